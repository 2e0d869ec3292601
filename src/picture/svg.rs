//! The display list as an SVG file: what is on screen, with fixed rounding, so that equal pictures give equal bytes.

use super::camera::Spot;
use super::scene::{Ink, Item, Scene, Shape};
use crate::decimal;
use std::fmt::Write;

/// Colours of a file: one CSS colour per ink, in the order of [`Ink::ALL`].
pub type Palette<'a> = [&'a str; 9];

/// Okabe and Ito (2008), "Color Universal Design": vermillion, blue and bluish green, with greys, on white.
pub const LIGHT: Palette<'static> =
    ["#d55e00", "#0072b2", "#00795a", "#8a8a8a", "#6b6b6b", "#ffffff", "#1b1b1b", "#5c5c5c", "#ffffff"];

/// Writes the picture as a complete SVG document. `title` is its accessible name.
pub fn write(scene: &Scene, title: &str, palette: &Palette<'_>) -> String {
    let mut out = String::with_capacity(4096);
    let (width, height) = (number(scene.width), number(scene.height));
    let _ = write!(
        out,
        "<svg xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" viewBox=\"0 0 {width} {height}\" \
         role=\"img\" font-family=\"system-ui, sans-serif\" stroke-linejoin=\"round\" stroke-linecap=\"butt\">\n\
         <title>{}</title>\n<rect width=\"{width}\" height=\"{height}\" fill=\"{}\"/>\n",
        escaped(title),
        colour(palette, Ink::Page)
    );
    scene.items.iter().for_each(|item| write_item(&mut out, item, palette));
    out.push_str("</svg>\n");
    out
}

fn colour<'a>(palette: &Palette<'a>, ink: Ink) -> &'a str {
    Ink::ALL.iter().position(|other| *other == ink).map_or("#000000", |index| palette[index])
}

fn write_item(out: &mut String, item: &Item, palette: &Palette<'_>) {
    let pen = pen(item, palette);
    let _ = match &item.shape {
        Shape::Polyline(spots) => writeln!(out, "<polyline points=\"{}\"{pen}/>", points(spots)),
        Shape::Polygon(spots) => writeln!(out, "<polygon points=\"{}\"{pen}/>", points(spots)),
        Shape::Circle([x, y], radius) => {
            writeln!(out, "<circle cx=\"{}\" cy=\"{}\" r=\"{}\"{pen}/>", number(*x), number(*y), number(*radius))
        }
        Shape::Text { at: [x, y], anchor, size, bold, text } => writeln!(
            out,
            "<text x=\"{}\" y=\"{}\" text-anchor=\"{}\" font-size=\"{}\"{}{pen} paint-order=\"stroke\" stroke=\"{}\" \
             stroke-width=\"3\">{}</text>",
            number(*x),
            number(*y),
            anchor.name(),
            number(*size),
            if *bold { " font-weight=\"600\"" } else { "" },
            colour(palette, Ink::Page),
            escaped(text)
        ),
    };
}

fn pen(item: &Item, palette: &Palette<'_>) -> String {
    let mut out = String::new();
    let fill = item.fill.map_or("none", |ink| colour(palette, ink));
    let _ = write!(out, " fill=\"{fill}\"");
    if let Some(stroke) = item.stroke {
        let _ = write!(out, " stroke=\"{}\" stroke-width=\"{}\"", colour(palette, stroke.ink), number(stroke.width));
        let lengths: Vec<_> = stroke.dash.lengths().iter().map(|x| number(*x)).collect();
        if !lengths.is_empty() {
            let _ = write!(out, " stroke-dasharray=\"{}\"", lengths.join(" "));
        }
    }
    if item.opacity < 1.0 {
        let _ = write!(out, " opacity=\"{}\"", number(item.opacity));
    }
    out
}

fn points(spots: &[Spot]) -> String {
    let pairs: Vec<_> = spots.iter().map(|[x, y]| format!("{},{}", number(*x), number(*y))).collect();
    pairs.join(" ")
}

/// Two decimals at most, without trailing zeros or a negative zero.
fn number(x: f64) -> String {
    decimal::fixed(x, 2).trim_end_matches('0').trim_end_matches('.').to_owned()
}

/// Text for element content and attributes. Characters that XML 1.0 (section 2.2) does not allow are replaced.
fn escaped(text: &str) -> String {
    text.chars().fold(String::with_capacity(text.len()), |mut out, c| {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            '\t' | '\n' | '\r' => out.push(' '),
            '\0'..='\u{1f}' | '\u{fffe}' | '\u{ffff}' => out.push('\u{fffd}'),
            other => out.push(other),
        }
        out
    })
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn numbers_are_short_and_never_minus_zero() {
        let rows = [(0.0, "0"), (-0.001, "0"), (1.0, "1"), (1.25, "1.25"), (-3.10, "-3.1"), (100.0, "100")];
        rows.iter().for_each(|(x, text)| assert_eq!(number(*x), *text));
    }

    #[test]
    fn a_file_name_cannot_break_the_document() {
        assert_eq!(escaped("a<b>&\"\u{1}\n"), "a&lt;b&gt;&amp;&quot;\u{fffd} ");
    }
}

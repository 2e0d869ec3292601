//! Paints a display list on a canvas 2D context.

use crate::decimal;
use crate::picture::Scene;
use crate::picture::camera::Spot;
use crate::picture::scene::{Anchor, Dash, Ink, Item, Shape, Stroke};
use js_sys::Array;
use std::f64::consts::TAU;
use wasm_bindgen::JsValue;
use web_sys::CanvasRenderingContext2d as Context;

/// Width of the rim that keeps words readable over lines, CSS pixels.
const RIM_PX: f64 = 3.0;

/// Colours by ink, as CSS colours, in the order of [`Ink::ALL`]. A missing one is black.
pub(super) struct Palette(pub(super) Vec<String>);

impl Palette {
    fn colour(&self, ink: Ink) -> &str {
        let index = Ink::ALL.iter().position(|other| *other == ink);
        index.and_then(|index| self.0.get(index)).map_or("#000", String::as_str)
    }
}

/// Paints the whole list; the context's canvas has `scale` device pixels per CSS pixel.
pub(super) fn paint(context: &Context, scene: &Scene, palette: &Palette, scale: f64) -> Result<(), JsValue> {
    context.set_transform(scale, 0.0, 0.0, scale, 0.0, 0.0)?;
    context.clear_rect(0.0, 0.0, scene.width, scene.height);
    context.set_line_join("round");
    context.set_line_cap("butt");
    scene.items.iter().try_for_each(|item| paint_item(context, item, palette))
}

fn paint_item(context: &Context, item: &Item, palette: &Palette) -> Result<(), JsValue> {
    context.set_global_alpha(item.opacity);
    match &item.shape {
        Shape::Polyline(spots) => trace(context, spots),
        Shape::Polygon(spots) => {
            trace(context, spots);
            context.close_path();
        }
        Shape::Circle([x, y], radius) => {
            context.begin_path();
            context.arc(*x, *y, *radius, 0.0, TAU)?;
        }
        Shape::Text { at, anchor, size, bold, text } => {
            let weight = if *bold { 600 } else { 400 };
            context.set_font(&format!("{weight} {}px system-ui, sans-serif", decimal::fixed(*size, 1)));
            return paint_text(context, *at, *anchor, text, item.fill, palette);
        }
    }
    if let Some(ink) = item.fill {
        context.set_fill_style_str(palette.colour(ink));
        context.fill();
    }
    match item.stroke {
        Some(stroke) => paint_stroke(context, stroke, palette),
        None => Ok(()),
    }
}

fn paint_stroke(context: &Context, stroke: Stroke, palette: &Palette) -> Result<(), JsValue> {
    context.set_line_dash(&dashes(stroke.dash))?;
    context.set_line_width(stroke.width);
    context.set_stroke_style_str(palette.colour(stroke.ink));
    context.stroke();
    Ok(())
}

fn dashes(dash: Dash) -> Array {
    dash.lengths().iter().map(|length| JsValue::from_f64(*length)).collect()
}

fn trace(context: &Context, spots: &[Spot]) {
    context.begin_path();
    if let Some([x, y]) = spots.first() {
        context.move_to(*x, *y);
    }
    spots.iter().skip(1).for_each(|[x, y]| context.line_to(*x, *y));
}

fn paint_text(
    context: &Context,
    [x, y]: Spot,
    anchor: Anchor,
    text: &str,
    ink: Option<Ink>,
    palette: &Palette,
) -> Result<(), JsValue> {
    context.set_text_align(match anchor {
        Anchor::Start => "left",
        Anchor::Middle => "center",
        Anchor::End => "right",
    });
    context.set_line_dash(&Array::new())?;
    context.set_line_width(RIM_PX);
    context.set_stroke_style_str(palette.colour(Ink::Page));
    context.stroke_text(text, x, y)?;
    context.set_fill_style_str(palette.colour(ink.unwrap_or(Ink::Text)));
    context.fill_text(text, x, y)
}

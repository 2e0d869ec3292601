//! Forced colours: a system, or its user, gives every page the same few. Text, controls, focus and picture have to be seen.

use super::exports::saved;
use super::scene::{LIMIT, idle};
use crate::browsers::{Browser, Engine};
use crate::serve::Server;
use crate::verify::Tally;
use anyhow::{Context, Result, ensure};
use serde_json::{Value, json};

/// WCAG 2.2, 1.4.3 (text) and 1.4.11 (lines, parts of controls, focus).
const TEXT: f64 = 4.5;
const LINES: f64 = 3.0;

/// Contrast after WCAG 2.2 ("relative luminance", "contrast ratio"), and colours as numbers, in the page.
const CONTRAST: &str = "const root = deep('handpath-compare').shadowRoot;
    const channels = colour => colour.match(/[\\d.]+/g).map(Number);
    const light = value => (value /= 255) <= 0.04045 ? value / 12.92 : ((value + 0.055) / 1.055) ** 2.4;
    const luminance = ([r, g, b]) => 0.2126 * light(r) + 0.7152 * light(g) + 0.0722 * light(b);
    const contrast = (a, b) => { const [x, y] = [a, b].map(c => luminance(channels(c))).sort((p, q) => q - p); return (x + 0.05) / (y + 0.05); };
    const probe = root.querySelector('.root').appendChild(document.createElement('span'));
    const named = name => { probe.style.color = name; return getComputedStyle(probe).color; };
    const page = named('Canvas');
";

/// In a browser of its own, started as such a user has it. WebKit has no forced colours.
pub(super) async fn play(engine: Engine, server: &Server, tally: &mut Tally) {
    if engine == Engine::WebKit {
        return;
    }
    let browser = match Browser::start_forced(engine).await {
        Ok(browser) => browser,
        Err(error) => return tally.check("a browser with forced colours", Err(error)),
    };
    tally.check("in forced colours the picture is painted in the system's", picture(&browser, server).await);
    tally.check("in forced colours student and reference differ in dash and weight", told_apart(&browser).await);
    tally.check("in forced colours text, controls and marks are seen", seen(&browser).await);
    tally.check("in forced colours the focus is seen", focus(&browser).await);
    tally.check("the browser with forced colours ends", browser.close().await);
}

/// Every ink is a colour of the system that stands out, and the canvases hold these and mixtures with the ground only.
async fn picture(browser: &Browser, server: &Server) -> Result<()> {
    browser.open(&server.url).await?;
    browser.until("the demo", "document.querySelector('handpath-compare').dataset.state === 'ready'", LIMIT).await?;
    idle(browser).await?;
    let forced = browser.run("return matchMedia('(forced-colors: active)').matches;", vec![]).await?;
    ensure!(forced == true, "the colours are not forced");
    let script = format!(
        "{CONTRAST}
        const inks = ['student', 'reference', 'other', 'ground', 'line', 'text', 'faint'];
        const style = getComputedStyle(root.querySelector('.root'));
        const colours = inks.map(ink => named(style.getPropertyValue(`--hp-${{ink}}`).trim()));
        const count = (selector, colour) => {{
          const canvas = root.querySelector(selector);
          const data = canvas.getContext('2d').getImageData(0, 0, canvas.width, canvas.height).data;
          const [r, g, b] = channels(colour);
          let found = 0;
          for (let i = 0; i < data.length; i += 4) if (data[i + 3] > 200 && Math.abs(data[i] - r) + Math.abs(data[i + 1] - g) + Math.abs(data[i + 2] - b) < 12) found += 1;
          return found;
        }};
        const answer = {{ page, apart: colours[0] === named('CanvasText') && colours[1] === named('LinkText') && colours[0] !== colours[1], inks: inks.map((ink, i) => [ink, colours[i], contrast(colours[i], page)]),
          drawn: ['canvas.large', 'canvas.ribbon', '.companion canvas'].map(selector => [selector, count(selector, colours[0]), count(selector, colours[1]), count(selector, 'rgb(213, 94, 0)') + count(selector, 'rgb(230, 159, 0)')]) }};
        probe.remove();
        return answer;"
    );
    let found = browser.run(&script, vec![]).await?;
    ensure!(found["apart"] == true, "student and reference are {}", found["inks"]);
    for ink in found["inks"].as_array().context("no inks")? {
        let least = if ["text", "faint"].iter().any(|name| ink[0] == *name) { TEXT } else { LINES };
        ensure!(ink[2].as_f64() >= Some(least), "{ink} on {}", found["page"]);
    }
    for drawn in found["drawn"].as_array().context("no canvases")? {
        let [student, reference, own] = [1, 2, 3].map(|i| drawn[i].as_u64().unwrap_or(0));
        ensure!(
            student > 50 && reference > 50 && own == 0,
            "pixels of student, reference, of colours of our own: {drawn}"
        );
    }
    Ok(())
}

/// In the drawing as saved: the lines of both swings differ in more than colour.
async fn told_apart(browser: &Browser) -> Result<()> {
    let svg = String::from_utf8(saved(browser, "svg").await?)?;
    let script = "const svg = new DOMParser().parseFromString(arguments[0], 'image/svg+xml');
        const lines = [...svg.querySelectorAll('path, polyline')].map(line => ({
          ink: line.getAttribute('class') ?? line.getAttribute('stroke'), width: Number(line.getAttribute('stroke-width')),
          dash: line.getAttribute('stroke-dasharray') ?? '', length: (line.getAttribute('d') ?? line.getAttribute('points')).length }));
        return lines.filter(({ length }) => length > 600);";
    let lines = browser.run(script, vec![json!(svg)]).await?;
    let lines = lines.as_array().context("no lines")?;
    let kinds: std::collections::BTreeSet<String> =
        lines.iter().map(|line| format!("{} {}", line["width"], line["dash"])).collect();
    ensure!(lines.len() >= 2 && kinds.len() >= 2, "long lines of the drawing: {lines:?}");
    Ok(())
}

/// What can be read or used stands out, also unfolded, and what is lit has a mark that no system takes away.
async fn seen(browser: &Browser) -> Result<()> {
    let script = format!(
        "{CONTRAST}
        root.querySelectorAll('details').forEach(details => {{ details.open = true; }});
        const bad = [];
        const shown = node => node.checkVisibility() && node.getClientRects().length > 0;
        const ground = node => {{ for (let at = node; at; at = at.parentElement) {{ const colour = getComputedStyle(at).backgroundColor; if (channels(colour)[3] !== 0) return colour; }} return page; }};
        const own = node => [...node.childNodes].some(child => child.nodeType === 3 && child.textContent.trim());
        for (const node of root.querySelectorAll('.root *')) if (shown(node) && own(node) && !node.closest(':disabled, option')) {{
          const ratio = contrast(getComputedStyle(node).color, ground(node));
          if (ratio < {TEXT}) bad.push(['text', node.outerHTML.slice(0, 80), ratio]);
        }}
        for (const node of root.querySelectorAll('button:not(.place), select, input:not([type=range], [type=checkbox], [type=file]), textarea, .pick-file')) if (shown(node) && !node.disabled) {{
          const style = getComputedStyle(node);
          const edge = ['Top', 'Right', 'Bottom', 'Left'].map(side => parseFloat(style[`border${{side}}Width`]) >= 1 && style[`border${{side}}Style`] !== 'none' && contrast(style[`border${{side}}Color`], page) >= {LINES});
          if (edge.includes(false)) bad.push(['edge', node.outerHTML.slice(0, 80), style.borderTopColor]);
        }}
        const ranges = [...root.querySelectorAll('input[type=range]:not(.scrub)')].filter(shown);
        if (!ranges.length || ranges.some(range => getComputedStyle(range).opacity !== '1')) bad.push(['ranges', ranges.length]);
        const lit = root.querySelector('tbody.here');
        const mark = lit && getComputedStyle(lit);
        const here = lit && getComputedStyle(lit.querySelector('th, td'));
        if (!lit || ![mark, here].some(style => parseFloat(style.borderInlineStartWidth) >= 3 && contrast(style.borderInlineStartColor, page) >= {LINES})) bad.push(['the lit row', mark?.borderInlineStartWidth]);
        probe.remove();
        return bad;"
    );
    let bad = browser.run(&script, vec![]).await?;
    ensure!(bad == json!([]), "not to be seen: {bad}");
    Ok(())
}

/// The focus, moved by keys, is outlined in a colour that stands out.
async fn focus(browser: &Browser) -> Result<()> {
    browser.run("window.scrollTo(0, 0); deep('handpath-compare >>> canvas.large').focus();", vec![]).await?;
    let mut stops = Vec::new();
    for _ in 0..25 {
        browser.press("\u{e004}").await?;
        let script = format!(
            "{CONTRAST}
            const node = root.activeElement;
            const box = node?.matches('.scrub') ? node.parentElement : node?.matches('[type=file]') ? node.nextElementSibling : node;
            const style = box && getComputedStyle(box);
            const answer = style && [node.outerHTML.slice(0, 60), style.outlineStyle, parseFloat(style.outlineWidth), contrast(style.outlineColor, page)];
            probe.remove();
            return answer;"
        );
        stops.push(browser.run(&script, vec![]).await?);
    }
    let outlined =
        |stop: &&Value| stop[1] != "none" && stop[2].as_f64() >= Some(1.0) && stop[3].as_f64() >= Some(LINES);
    let hidden: Vec<&Value> = stops.iter().filter(|stop| !outlined(stop)).collect();
    ensure!(hidden.is_empty(), "the focus is not seen on {hidden:?}");
    Ok(())
}

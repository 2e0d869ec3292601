//! The page's own instance: holds one comparison and paints it.

use super::canvas::{self, Palette};
use super::take;
use crate::picture::camera::{Orbit, Rect, View};
use crate::picture::cloud::{self, Cloud};
use crate::picture::plot::{Plot, Quantity};
use crate::picture::ribbon::{self, Ribbon};
use crate::picture::scene::Tag;
use crate::picture::{Picture, Scene, ViewState, Words, build, notes, summary, svg};
use std::array;
use wasm_bindgen::prelude::*;
use web_sys::CanvasRenderingContext2d;

/// What a canvas shows.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Kind {
    Large,
    Small,
    Ribbon,
    Cloud,
    Plot,
}

#[derive(Clone, Debug)]
struct Pane {
    kind: Kind,
    view: View,
    width: f64,
    height: f64,
    /// Cloud: the chosen track.
    picked: Option<usize>,
    /// Cloud: seconds from the file's first row.
    time: f64,
    /// Plot: what is drawn, over path length instead of time.
    quantity: Quantity,
    by_length: bool,
}

impl Pane {
    fn of(value: &JsValue) -> Pane {
        let length = |name| take::number(value, name).filter(|x| x.is_finite()).unwrap_or(0.0).clamp(0.0, 1e5);
        Pane {
            kind: match take::text(value, "kind").as_str() {
                "large" => Kind::Large,
                "ribbon" => Kind::Ribbon,
                "cloud" => Kind::Cloud,
                "plot" => Kind::Plot,
                _ => Kind::Small,
            },
            view: take::view(&take::text(value, "view")),
            width: length("width"),
            height: length("height"),
            picked: take::count(value, "picked"),
            time: take::number(value, "time").unwrap_or(0.0),
            quantity: Quantity::parse(&take::text(value, "quantity")),
            by_length: take::text(value, "over") == "length",
        }
    }
}

/// Paints one comparison on the canvases of one element.
#[wasm_bindgen]
#[derive(Default)]
pub struct Painter {
    picture: Picture,
    cloud: Cloud,
    words: Words,
    palette: Option<Palette>,
    state: ViewState,
    ribbon: Ribbon,
    /// The large pane as it was painted last, for hits: a view, or the cloud.
    large: Scene,
}

#[wasm_bindgen]
impl Painter {
    /// With nothing to paint yet.
    #[wasm_bindgen(constructor)]
    pub fn new() -> Painter {
        super::show_panics();
        Painter::default()
    }

    /// Takes the picture that the worker made (`{student, references}`), and the measures of the student's report.
    pub fn load(&mut self, picture: &JsValue, measures: &JsValue) {
        self.picture = take::picture(picture);
        self.picture.student.measures = take::measures(measures);
        self.ribbon = Ribbon::new(&self.picture, &self.state);
    }

    /// Takes the band of the references that the worker made, after the picture; null takes it away.
    #[wasm_bindgen(js_name = loadBand)]
    pub fn load_band(&mut self, band: &JsValue) {
        self.picture.band = take::band(band);
    }

    /// Takes the points of one file that the worker made.
    #[wasm_bindgen(js_name = loadCloud)]
    pub fn load_cloud(&mut self, cloud: &JsValue) {
        self.cloud = take::cloud(cloud);
    }

    /// Sets the words of the picture: a plain object from catalogue key to word.
    #[wasm_bindgen(js_name = setWords)]
    pub fn set_words(&mut self, words: &JsValue) {
        self.words = take::words(words);
    }

    /// Sets the colours: CSS colours in the order of `inks()`.
    #[wasm_bindgen(js_name = setPalette)]
    pub fn set_palette(&mut self, colours: Vec<String>) {
        self.palette = Some(Palette(colours));
    }

    /// Sets what the user looks at (the element's `view`).
    #[wasm_bindgen(js_name = setState)]
    pub fn set_state(&mut self, state: &JsValue) {
        let state = take::state(state);
        if state.reference != self.state.reference {
            self.ribbon = Ribbon::new(&self.picture, &state);
        }
        self.state = state;
    }

    /// Paints all panes of one frame: `[{kind, view, width, height}]` with one 2D context each; `scale` is the number of
    /// device pixels per CSS pixel.
    pub fn paint(
        &mut self,
        panes: Vec<JsValue>,
        contexts: Vec<CanvasRenderingContext2d>,
        scale: f64,
    ) -> Result<(), JsValue> {
        let plain = Palette(Vec::new());
        for (pane, context) in panes.iter().map(Pane::of).zip(&contexts) {
            let scene = self.scene(&pane);
            canvas::paint(context, &scene, self.palette.as_ref().unwrap_or(&plain), scale)?;
            if matches!(pane.kind, Kind::Large | Kind::Cloud) {
                self.large = scene;
            }
        }
        Ok(())
    }

    fn scene(&self, pane: &Pane) -> Scene {
        let frame = Rect::sized(pane.width, pane.height);
        let draw = |detail| build::pane(&self.picture, &self.state, &self.words, pane.view, detail, frame);
        match pane.kind {
            Kind::Large => draw(build::Detail::Full),
            Kind::Small => draw(build::Detail::Small),
            Kind::Ribbon => ribbon::build(&self.picture, &self.ribbon, &self.state, &self.words, frame),
            Kind::Plot => self.plot(pane).draw(&self.words, frame),
            Kind::Cloud => {
                let orbit = pane.view.orbit(self.state.orbit);
                cloud::build(&self.cloud, pane.time, orbit, self.state.zoom, pane.picked, frame)
            }
        }
    }

    fn plot(&self, pane: &Pane) -> Plot<'_> {
        let lengths = pane.by_length.then_some(&self.ribbon.student);
        Plot::new(&self.picture, &self.state, pane.quantity, lengths)
    }

    /// What the curves of a plot say at the cursor: `[key, value]`, flat.
    #[wasm_bindgen(js_name = plotReading)]
    pub fn plot_reading(&self, pane: &JsValue) -> Vec<JsValue> {
        let reading = self.plot(&Pane::of(pane)).reading();
        reading.into_iter().flat_map(|(key, value)| [JsValue::from_str(key), JsValue::from_f64(value)]).collect()
    }

    /// The student's time at a place of a plot.
    #[wasm_bindgen(js_name = plotTime)]
    pub fn plot_time(&self, pane: &JsValue, x: f64) -> f64 {
        let pane = Pane::of(pane);
        self.plot(&pane).time_at(x, Rect::sized(pane.width, pane.height))
    }

    /// The sentences above the picture, as messages.
    pub fn summary(&self) -> Result<JsValue, JsValue> {
        let sentences = summary::sentences(&self.picture, &self.state, &self.words);
        super::told(&sentences)
    }

    /// The pane as an SVG document, in the colours that are set.
    pub fn svg(&self, pane: &JsValue, title: &str) -> String {
        let set =
            self.palette.as_ref().map(|Palette(colours)| array::from_fn(|i| colours.get(i).map_or("#000", |c| c)));
        svg::write(&self.scene(&Pane::of(pane)), title, &set.unwrap_or(svg::LIGHT))
    }

    /// The instant at a spot of the large view, as `[figure, mark]`; nothing where there is none.
    #[wasm_bindgen(js_name = hitInstant)]
    pub fn hit_instant(&self, x: f64, y: f64, reach: f64) -> Option<Vec<usize>> {
        match self.large.hit([x, y], reach)? {
            Tag::Instant { figure, mark } => Some(vec![figure, mark]),
            Tag::Track(_) => None,
        }
    }

    /// The track at a spot of the cloud.
    #[wasm_bindgen(js_name = hitTrack)]
    pub fn hit_track(&self, x: f64, y: f64, reach: f64) -> Option<usize> {
        match self.large.hit([x, y], reach)? {
            Tag::Track(track) => Some(track),
            Tag::Instant { .. } => None,
        }
    }

    /// The way between the student's hands at two times: straight, and along the path, metres; NaN at a gap.
    #[wasm_bindgen(js_name = spanLength)]
    pub fn span_length(&self, from_s: f64, to_s: f64) -> Vec<f64> {
        notes::span_length(&self.picture.student, from_s, to_s).to_vec()
    }

    /// Drawn stretch of the student, `[from, to]` in seconds.
    pub fn span(&self) -> Vec<f64> {
        let (from, to) = self.picture.student.span();
        vec![from, to]
    }

    /// Span of the cloud, `[from, to]` in seconds.
    #[wasm_bindgen(js_name = cloudSpan)]
    pub fn cloud_span(&self) -> Vec<f64> {
        let last = self.cloud.time_s.last().copied().unwrap_or(0.0);
        vec![0.0, last]
    }

    /// The student's place on the scrubber, 0 to 1.
    pub fn place(&self, time_s: f64) -> f64 {
        self.ribbon.place(time_s)
    }

    /// The student's time at a place of the scrubber.
    #[wasm_bindgen(js_name = timeAt)]
    pub fn time_at(&self, place: f64) -> f64 {
        self.ribbon.time(place)
    }

    /// The time `steps` samples away.
    pub fn step(&self, time_s: f64, steps: f64) -> f64 {
        self.ribbon.student.step(time_s, steps)
    }

    /// The next instant of the student after a time (or the last before it, with `back`); else the end of the stretch.
    #[wasm_bindgen(js_name = nextInstant)]
    pub fn next_instant(&self, time_s: f64, back: bool) -> f64 {
        let (from, to) = self.picture.student.span();
        let mut times = self.picture.student.marks.iter().map(|mark| mark.time_s);
        if back {
            times.rev().find(|t| *t < time_s - HERE_S).unwrap_or(from)
        } else {
            times.find(|t| *t > time_s + HERE_S).unwrap_or(to)
        }
    }

    /// The student's time at an instant that `hitInstant` found; of a reference's instant, at the student's own.
    #[wasm_bindgen(js_name = markTime)]
    pub fn mark_time(&self, figure: usize, mark: usize) -> Option<f64> {
        let student = &self.picture.student;
        let found = if figure == 0 { Some(student) } else { self.state.chosen(&self.picture) };
        let name = &found?.marks.get(mark)?.name;
        student.marks.iter().find(|own| own.name == *name).map(|own| own.time_s)
    }

    /// The chosen reference's own time.
    #[wasm_bindgen(js_name = referenceTime)]
    pub fn reference_time(&self) -> Option<f64> {
        let reference = self.state.chosen(&self.picture)?;
        Some(self.state.reference_time(&self.picture.student, reference))
    }

    /// The name of the student's instant at a time, if one is there.
    #[wasm_bindgen(js_name = instantAt)]
    pub fn instant_at(&self, time_s: f64) -> Option<String> {
        let here = self.picture.student.marks.iter().find(|mark| (mark.time_s - time_s).abs() < HERE_S);
        here.map(|mark| mark.name.clone())
    }
}

/// An instant this close to the cursor is the one the cursor stands at, seconds.
const HERE_S: f64 = 0.002;

/// Yaw and pitch of a fixed view by its name, degrees.
#[wasm_bindgen(js_name = orbitOf)]
pub fn orbit_of(view: &str) -> Vec<f64> {
    let Orbit { yaw, pitch } = take::view(view).orbit(Orbit::START);
    vec![yaw, pitch]
}

/// Names of the inks, in the order of a palette.
#[wasm_bindgen]
pub fn inks() -> Vec<String> {
    crate::picture::scene::Ink::ALL.iter().map(|ink| ink.name().to_owned()).collect()
}

/// Documented names of all roles, in the order lists show them.
#[wasm_bindgen(js_name = roleNames)]
pub fn role_list() -> Vec<String> {
    crate::roles::Role::ALL.iter().map(|role| role.name().to_owned()).collect()
}

//! A comparison and what the user looks at, as a display list.

use super::camera::{Camera, Rect, Spot, View};
use super::data::{Band, Figure, Picture};
use super::gauges::PLACES;
use super::labels::{Label, Placer};
use super::ribbon::key;
use super::scene::{Anchor, Dash, Ink, Scene, Stroke, TEXT_PX, Tag, text_width};
use super::state::{Layout, LengthDisplay, ViewState, Words};
use crate::formats::{Point, is_gap};
use crate::swing::InstantName;

/// Large view or companion: companions leave out words, body and lines.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Detail {
    /// The large view.
    Full,
    /// A small companion view.
    Small,
}

/// Draws one pane.
pub fn pane(picture: &Picture, state: &ViewState, words: &Words, view: View, detail: Detail, frame: Rect) -> Scene {
    let mut scene = Scene::new(frame);
    if picture.student.time_s.is_empty() {
        let middle = [frame.x + frame.width / 2.0, frame.y + frame.height / 2.0];
        scene.text(middle, Anchor::Middle, Ink::Faint, words.get("picture.nothing"));
    } else if detail == Detail::Full
        && state.layout == Layout::SideBySide
        && state.references
        && state.chosen(picture).is_some()
    {
        side_by_side(&mut scene, picture, state, words, view, frame);
    } else {
        let cast = Cast::all(picture, state);
        Stage::new(picture, state, words, view, detail, frame).draw(&mut scene, &cast);
    }
    scene
}

fn side_by_side(scene: &mut Scene, picture: &Picture, state: &ViewState, words: &Words, view: View, frame: Rect) {
    let half = Rect { width: frame.width / 2.0, ..frame };
    let right = Rect { x: frame.x + half.width, ..half };
    let cast = Cast::all(picture, state);
    Stage::new(picture, state, words, view, Detail::Full, half)
        .draw(scene, &Cast { chosen: None, others: vec![], ..cast.clone() });
    Stage::new(picture, state, words, view, Detail::Full, right).draw(scene, &Cast { student: None, ..cast });
    let edge = [[right.x, frame.y + 8.0], [right.x, frame.y + frame.height - 8.0]];
    scene.line(&edge, Stroke { ink: Ink::Ground, width: 1.0, dash: Dash::Solid }, 0.6);
}

/// Who is on the stage.
#[derive(Clone)]
struct Cast<'a> {
    student: Option<&'a Figure>,
    chosen: Option<&'a Figure>,
    others: Vec<&'a Figure>,
}

impl<'a> Cast<'a> {
    fn all(picture: &'a Picture, state: &ViewState) -> Self {
        let chosen = state.chosen(picture);
        if !state.references {
            return Cast { student: Some(&picture.student), chosen: None, others: vec![] };
        }
        let is_chosen = |figure: &Figure| chosen.is_some_and(|chosen| std::ptr::eq(chosen, figure));
        let others = picture.references.iter().filter(|figure| !is_chosen(figure)).collect();
        Cast { student: Some(&picture.student), chosen, others }
    }

    fn pair(&self) -> impl Iterator<Item = &'a Figure> {
        self.student.into_iter().chain(self.chosen)
    }
}

pub(super) struct Stage<'a> {
    picture: &'a Picture,
    pub(super) state: &'a ViewState,
    pub(super) words: &'a Words,
    pub(super) view: View,
    detail: Detail,
    pub(super) frame: Rect,
    pub(super) camera: Camera,
}

/// How a figure is drawn.
#[derive(Clone, Copy)]
struct Style {
    index: usize,
    ink: Ink,
    dash: Dash,
    weight: f64,
}

const STUDENT: Style = Style { index: 0, ink: Ink::Student, dash: Dash::Solid, weight: 1.0 };
/// Panes less wide than this are laid out for a phone.
pub(super) const NARROW_PX: f64 = 520.0;

/// Upper right corner that the page covers with the view's name and the zoom buttons.
pub(super) fn corner(frame: &Rect) -> Rect {
    Rect { x: frame.x + frame.width - 140.0, width: 140.0, height: 66.0, ..*frame }
}

/// Another swing of the lesson: the student's colour, as thin as a line can be followed.
const QUIET: Stroke = Stroke { ink: Ink::Student, width: 1.25, dash: Dash::Solid };
const QUIET_OPACITY: f64 = 0.5;
const OTHER: Stroke = Stroke { ink: Ink::Other, width: 1.0, dash: Dash::Short };
const CHOSEN: Style = Style { index: 1, ink: Ink::Reference, dash: Dash::Long, weight: 0.75 };

impl<'a> Stage<'a> {
    fn new(
        picture: &'a Picture,
        state: &'a ViewState,
        words: &'a Words,
        view: View,
        detail: Detail,
        frame: Rect,
    ) -> Self {
        let points = shown_points(picture, state, detail);
        let zoom = if detail == Detail::Full { state.zoom } else { 1.0 };
        let margin = if detail == Detail::Full { (34.0_f64).min(frame.height / 8.0) } else { 8.0 };
        // In a narrow pane the legend would lie over the path, so the path starts below it.
        let top = match detail {
            Detail::Full if frame.width < NARROW_PX => {
                68.0 + if state.others && !picture.others.is_empty() { LEGEND_PX } else { 0.0 }
            }
            Detail::Full => margin + 10.0,
            Detail::Small => margin,
        };
        let inner = frame.inset(margin, top, margin, margin);
        let camera = Camera::fit(view.orbit(state.orbit), flipped(picture), points.iter(), inner, zoom);
        Stage { picture, state, words, view, detail, frame, camera }
    }

    /// Is there room for a few words only?
    pub(super) fn narrow(&self) -> bool {
        self.frame.width < NARROW_PX
    }

    pub(super) fn full(&self) -> bool {
        self.detail == Detail::Full
    }

    fn draw(&self, scene: &mut Scene, cast: &Cast<'_>) {
        self.ground(scene);
        if self.state.lines {
            self.lines(scene);
        }
        self.bodies(scene, cast);
        if self.state.shaft {
            cast.chosen.iter().for_each(|figure| self.shaft_ghosts(scene, figure, CHOSEN.ink));
            cast.student.iter().for_each(|figure| self.shaft_ghosts(scene, figure, STUDENT.ink));
        }
        self.lit(scene, cast);
        let gauged = cast.student.filter(|_| self.full() && self.state.numbers);
        gauged.iter().for_each(|figure| self.gauges_under(scene, figure));
        if self.banded(cast) {
            self.band(scene);
        } else {
            cast.others.iter().for_each(|figure| self.other(scene, figure));
        }
        self.of_lesson(cast).for_each(|path| self.quiet(scene, path));
        cast.chosen.iter().for_each(|figure| self.path(scene, figure, CHOSEN));
        cast.student.iter().for_each(|figure| self.path(scene, figure, STUDENT));
        cast.student.iter().filter(|_| self.state.arms).for_each(|figure| self.arms_only(scene, figure));
        gauged.iter().for_each(|figure| self.gauges_over(scene, figure));
        self.ball(scene);
        cast.chosen.iter().for_each(|figure| self.marks(scene, figure, CHOSEN));
        cast.student.iter().for_each(|figure| self.marks(scene, figure, STUDENT));
        cast.student.iter().for_each(|figure| self.notes(scene, figure));
        self.cursor(scene, cast);
        if self.full() {
            self.words(scene, cast);
        }
    }

    fn time_of(&self, figure: &Figure) -> f64 {
        if std::ptr::eq(figure, &self.picture.student) {
            self.state.time
        } else {
            self.state.reference_time(&self.picture.student, figure)
        }
    }

    pub(super) fn spots(&self, figure: &Figure, from: f64, to: f64) -> Vec<Spot> {
        let inside = figure.path().into_iter().zip(&figure.time_s).filter(|(_, t)| **t > from && **t < to);
        let ends = [figure.at(&figure.hands, from), figure.at(&figure.hands, to)];
        let middle = inside.map(|(point, _)| self.camera.project(&point));
        let mut spots = vec![self.camera.project(&ends[0])];
        spots.extend(middle);
        spots.push(self.camera.project(&ends[1]));
        spots
    }

    /// The path: the downswing heavy, backswing and follow-through light.
    fn path(&self, scene: &mut Scene, figure: &Figure, style: Style) {
        let (start, end) = figure.span();
        let top = figure.mark_s(InstantName::Top).unwrap_or(start);
        let low = figure.mark_s(InstantName::Impact).or(figure.mark_s(InstantName::HipHeight)).unwrap_or(end);
        let small = if self.full() { 1.0 } else { 0.6 };
        let pen = |width: f64| Stroke { ink: style.ink, width: width * style.weight * small, dash: style.dash };
        scene.line(&self.spots(figure, start, top), pen(1.6), 0.6);
        scene.line(&self.spots(figure, low, end), pen(1.6), 0.6);
        scene.line(&self.spots(figure, top, low), pen(4.0), 1.0);
    }

    /// A halo under the stretch that a number belongs to.
    fn lit(&self, scene: &mut Scene, cast: &Cast<'_>) {
        let (Some(figure), Some((from, to))) = (cast.student, self.state.lit) else { return };
        let small = if self.full() { 1.0 } else { 0.5 };
        let pen = Stroke { ink: Ink::Text, width: 16.0 * small, dash: Dash::Solid };
        if to > from {
            scene.line(&self.spots(figure, from, to), pen, 0.22);
        }
        for time_s in [from, to] {
            let rim = Stroke { width: 2.5 * small, ..pen };
            scene.circle(self.camera.project(&figure.at(&figure.hands, time_s)), 12.0 * small, Some(rim), None, None);
        }
    }

    /// Is the band drawn instead of the other references?
    fn banded(&self, cast: &Cast<'_>) -> bool {
        self.state.band && cast.chosen.is_some() && self.picture.band.swings > 0
    }

    /// The band of the references: its middle, and its width square to that in this view.
    fn band(&self, scene: &mut Scene) {
        let Band { mean, half, .. } = &self.picture.band;
        let (mut spots, mut halves) = (Vec::<Spot>::new(), vec![]);
        for (place, half) in mean.as_chunks::<3>().0.iter().zip(half.as_chunks::<3>().0) {
            let spot = self.camera.project(place);
            // Nearer neighbours have no direction to speak of.
            if spots.last().is_none_or(|last| (last[0] - spot[0]).hypot(last[1] - spot[1]) >= 16.0) {
                spots.push(spot);
                halves.push(half);
            }
        }
        let [mut near, mut far] = [vec![], vec![]];
        for (i, half) in halves.into_iter().enumerate() {
            let (from, to) = (spots[i.saturating_sub(1)], spots[(i + 1).min(spots.len() - 1)]);
            let (dx, dy) = (to[0] - from[0], to[1] - from[1]);
            let length = dx.hypot(dy);
            if length.is_nan() || length <= 1e-6 {
                continue;
            }
            let normal = [-dy / length, dx / length];
            let part = |axis: usize| {
                let mut reach = [0.0; 3];
                reach[axis] = half[axis] * self.camera.px_per_m();
                let [x, y] = self.camera.direction(reach);
                x * normal[0] + y * normal[1]
            };
            let width = part(0).hypot(part(1)).hypot(part(2));
            near.push([spots[i][0] + width * normal[0], spots[i][1] + width * normal[1]]);
            far.push([spots[i][0] - width * normal[0], spots[i][1] - width * normal[1]]);
        }
        let [mut near, far] = [near, far].map(smooth);
        let rim = Stroke { dash: Dash::Short, ..OTHER };
        scene.line(&near, rim, 0.8);
        scene.line(&far, rim, 0.8);
        near.extend(far.into_iter().rev());
        scene.area(near, Ink::Other, 0.18);
        scene.line(&spots, Stroke { width: 1.5, ..OTHER }, 0.9);
    }

    /// The student's other swings of the lesson, where the student is drawn and they are wished for.
    fn of_lesson(&self, cast: &Cast<'_>) -> impl Iterator<Item = &'a Vec<f64>> {
        let shown = self.state.others && cast.student.is_some();
        self.picture.others.iter().filter(move |_| shown)
    }

    /// One of them: its downswing, thin and without marks.
    fn quiet(&self, scene: &mut Scene, path: &[f64]) {
        let spots: Vec<Spot> = path.as_chunks::<3>().0.iter().map(|point| self.camera.project(point)).collect();
        scene.line(&spots, QUIET, QUIET_OPACITY);
    }

    /// A reference that is not compared now: its downswing, thin.
    fn other(&self, scene: &mut Scene, figure: &Figure) {
        let (start, end) = figure.span();
        let top = figure.mark_s(InstantName::Top).unwrap_or(start);
        let low = figure.mark_s(InstantName::Impact).unwrap_or(end);
        scene.line(&self.spots(figure, top, low), OTHER, 0.7);
    }

    fn marks(&self, scene: &mut Scene, figure: &Figure, style: Style) {
        let rim = Stroke { ink: style.ink, width: 1.5, dash: Dash::Solid };
        for (mark, instant) in figure.marks.iter().enumerate() {
            let told = PLACES.iter().any(|name| name.name() == instant.name);
            let radius = if told { 5.5 } else { 3.0 } * if self.full() { 1.0 } else { 0.5 };
            let at = self.camera.project(&figure.at(&figure.hands, instant.time_s));
            let fill = if style.index == 0 { style.ink } else { Ink::Page };
            let tag = self.full().then_some(Tag::Instant { figure: style.index, mark });
            scene.circle(at, radius, Some(rim), Some(fill), tag);
        }
    }

    /// Where the hands are now: a full disc for the student, a ring for the reference, and the way between them.
    fn cursor(&self, scene: &mut Scene, cast: &Cast<'_>) {
        let radius = if self.full() { 8.0 } else { 4.5 };
        let now = |figure: &Figure| self.camera.project(&figure.at(&figure.hands, self.time_of(figure)));
        if let (Some(student), Some(chosen), true) = (cast.student, cast.chosen, self.full()) {
            let pen = Stroke { ink: Ink::Text, width: 1.25, dash: Dash::Solid };
            scene.line(&[now(chosen), now(student)], pen, 1.0);
        }
        let rim = Stroke { ink: Ink::Text, width: 2.0, dash: Dash::Solid };
        let ring = Stroke { ink: Ink::Reference, width: 3.0, dash: Dash::Solid };
        cast.chosen
            .iter()
            .for_each(|figure| scene.circle(now(figure), radius - 1.0, Some(ring), Some(Ink::Page), None));
        cast.student.iter().for_each(|figure| scene.circle(now(figure), radius, Some(rim), Some(Ink::Student), None));
    }

    fn bodies(&self, scene: &mut Scene, cast: &Cast<'_>) {
        if !self.state.body || !self.full() {
            return;
        }
        for (figure, style) in [(cast.chosen, CHOSEN), (cast.student, STUDENT)] {
            let Some(figure) = figure else { continue };
            let joints: Vec<Spot> =
                figure.joints.iter().map(|s| self.camera.project(&figure.at(s, self.time_of(figure)))).collect();
            let pen = Stroke { ink: style.ink, width: 2.5 * style.weight, dash: style.dash };
            let lines = figure.limbs.iter().chain(&figure.club);
            let ends = lines.filter_map(|[a, b]| Some([*joints.get(*a)?, *joints.get(*b)?]));
            ends.for_each(|limb| scene.line(&limb, pen, 0.32));
        }
    }

    fn ground(&self, scene: &mut Scene) {
        let step = self.grid_m();
        let pen = Stroke { ink: Ink::Ground, width: 1.0, dash: Dash::Solid };
        let (out, target) = (grid_range(step, -0.5, 1.5), grid_range(step, -1.0, 1.0));
        let line = |a: Point, b: Point| [self.camera.project(&a), self.camera.project(&b)];
        for x in &out {
            scene.line(&line([*x, target[0], 0.0], [*x, target[target.len() - 1], 0.0]), pen, 0.25);
        }
        for y in &target {
            scene.line(&line([out[0], *y, 0.0], [out[out.len() - 1], *y, 0.0]), pen, 0.25);
        }
    }

    fn grid_m(&self) -> f64 {
        match self.state.unit {
            LengthDisplay::Centimetre => 0.25,
            LengthDisplay::Inch => 10.0 * 0.0254,
        }
    }

    /// The target line on the ground, with its direction; over it, seen from behind, the ball line as an upright.
    fn lines(&self, scene: &mut Scene) {
        let out = self.picture.student.ball.map_or(0.0, |ball| ball[0]);
        let middle = self.picture.student.ball.map_or(0.0, |ball| ball[1]);
        let middle = if middle.is_finite() { middle } else { 0.0 };
        let pen = Stroke { ink: Ink::Line, width: 1.25, dash: Dash::DashDot };
        let from = self.camera.project(&[out, middle - 1.0, 0.0]);
        let to = self.camera.project(&[out, middle + 1.0, 0.0]);
        scene.line(&[from, to], pen, 1.0);
        if (to[0] - from[0]).hypot(to[1] - from[1]) > 30.0 {
            let before = self.camera.project(&[out, middle + 0.9, 0.0]);
            scene.arrow(before, to, Stroke { dash: Dash::Solid, ..pen });
        }
        if self.view == View::DownTheLine && self.picture.student.ball.is_some() {
            let rise = [self.camera.project(&[out, middle, 0.0]), self.camera.project(&[out, middle, 1.6])];
            scene.line(&rise, Stroke { dash: Dash::Short, ..pen }, 0.9);
        }
    }

    fn ball(&self, scene: &mut Scene) {
        let Some(ball) = self.picture.student.ball else { return };
        let known = ball[1].is_finite();
        if known || self.view == View::DownTheLine {
            let at = self.camera.project(&[ball[0], if known { ball[1] } else { 0.0 }, ball[2]]);
            let radius = (BALL_RADIUS_M * self.camera.px_per_m()).max(3.5);
            let rim = Stroke { ink: Ink::Text, width: 1.25, dash: Dash::Solid };
            scene.circle(at, radius, Some(rim), Some(Ink::Ball), None);
        }
    }

    fn words(&self, scene: &mut Scene, cast: &Cast<'_>) {
        let drawn = cast.pair().flat_map(|figure| {
            let (from, to) = figure.span();
            self.spots(figure, from, to)
        });
        let gauged = cast.student.filter(|_| self.state.numbers);
        let gauges = gauged.iter().flat_map(|figure| self.gauge_spots(figure));
        let drawn = drawn.chain(gauges).chain(self.ball_line()).collect();
        let mut placer = Placer::new(self.frame.inset(4.0, 4.0, 4.0, 4.0), drawn);
        placer.reserve(corner(&self.frame));
        self.ball_line().into_iter().for_each(|[x, y]| placer.reserve(Rect { x: x - 4.0, y, width: 8.0, height: 8.0 }));
        self.legend(scene, cast, &mut placer);
        self.scale_bar(scene, &mut placer);
        self.axes(scene, &mut placer);
        cast.student.iter().for_each(|figure| self.note_labels(scene, figure, &mut placer));
        if self.state.numbers {
            let gauges = gauged.iter().flat_map(|figure| self.gauge_labels(figure));
            gauges.for_each(|label| placer.place(scene, &label));
            self.instant_labels(scene, cast, &mut placer);
            self.cursor_label(scene, cast, &mut placer);
        }
        let arms = cast.student.filter(|_| self.state.arms).and_then(|figure| self.arms_only_label(figure));
        arms.iter().for_each(|label| placer.place(scene, label));
        self.line_names(scene, &mut placer);
    }

    /// Spots along the upright ball line, which words keep off too.
    fn ball_line(&self) -> Vec<Spot> {
        match self.picture.student.ball {
            Some(ball) if self.view == View::DownTheLine && self.state.lines => {
                (0..40).map(|i| self.camera.project(&[ball[0], 0.0, f64::from(i) * 0.04])).collect()
            }
            _ => vec![],
        }
    }

    pub(super) fn axes_across(&self) -> &'static [usize] {
        match self.view {
            View::DownTheLine => &[0, 2],
            View::FaceOn => &[1, 2],
            View::Overhead => &[0, 1],
            View::Free => &[0, 1, 2],
        }
    }

    /// The places that get words, those that choose where they stand first in front.
    fn labelled<'b>(&self, figure: &'b Figure) -> impl Iterator<Item = &'b super::Mark> {
        PLACES
            .iter()
            .take(if self.narrow() { 2 } else { 4 })
            .filter_map(|name| figure.marks.iter().find(|mark| mark.name == name.name()))
    }

    fn instant_labels(&self, scene: &mut Scene, cast: &Cast<'_>, placer: &mut Placer) {
        let both = cast.student.is_some();
        if let Some(figure) = cast.student.or(cast.chosen) {
            for mark in self.labelled(figure) {
                let spot = self.camera.project(&figure.at(&figure.hands, mark.time_s));
                let numbers = if both && self.state.references { self.deviation_at(&mark.name) } else { None };
                let name = self.words.get(&key(mark)).to_owned();
                placer.place(scene, &Label { spot, name, lines: numbers.into_iter().collect(), ink: Ink::Text });
            }
        }
    }

    /// The student against the chosen reference at an instant, in the directions this view shows.
    fn deviation_at(&self, name: &str) -> Option<String> {
        let chosen = self.state.chosen(self.picture)?;
        let deviation = chosen.marks.iter().find(|mark| mark.name == name)?.deviation?;
        let text = self.words.difference(self.axes_across(), &deviation, self.state.unit);
        (!text.is_empty()).then_some(text)
    }

    /// The numbers between the hands now, unless an instant with its own numbers is right here.
    fn cursor_label(&self, scene: &mut Scene, cast: &Cast<'_>, placer: &mut Placer) {
        let (Some(student), Some(chosen)) = (cast.student, cast.chosen) else { return };
        let at_instant = |mark: &super::Mark| (mark.time_s - self.state.time).abs() < 0.006;
        if student.marks.iter().any(at_instant) {
            return;
        }
        let place = student.at(&student.hands, self.state.time);
        let other = chosen.at(&chosen.hands, self.time_of(chosen));
        if is_gap(&place) || is_gap(&other) {
            return;
        }
        let deviation = [0, 1, 2].map(|i| place[i] - other[i]);
        let line = self.words.difference(self.axes_across(), &deviation, self.state.unit);
        if line.is_empty() {
            return;
        }
        let spot = self.camera.project(&place);
        placer.place(scene, &Label { spot, name: line, lines: vec![], ink: Ink::Text });
    }

    fn line_names(&self, scene: &mut Scene, placer: &mut Placer) {
        if !self.state.lines {
            return;
        }
        let ball = self.picture.student.ball.unwrap_or([0.0; 3]);
        let middle = if ball[1].is_finite() { ball[1] } else { 0.0 };
        let (key, point) = match self.view {
            View::DownTheLine => ("picture.ball_line", [ball[0], middle, 1.45]),
            _ => ("picture.target_line", [ball[0], middle + 0.7, 0.0]),
        };
        let spot = self.camera.project(&point);
        let line = self.words.get(key).to_owned();
        placer.place(scene, &Label { spot, name: String::new(), lines: vec![line], ink: Ink::Faint });
    }

    fn legend(&self, scene: &mut Scene, cast: &Cast<'_>, placer: &mut Placer) {
        let rows = [(cast.student, STUDENT), (cast.chosen, CHOSEN)];
        let (x, mut y) = (self.frame.x + 12.0, self.frame.y + 18.0);
        let mut widest = 0.0_f64;
        for (figure, style) in rows.into_iter().filter_map(|(figure, style)| Some((figure?, style))) {
            let pen = Stroke { ink: style.ink, width: 4.0 * style.weight, dash: style.dash };
            scene.line(&[[x, y - 4.0], [x + 26.0, y - 4.0]], pen, 1.0);
            let text = fitting(self.legend_text(figure), self.frame.width - BESIDE_LEGEND_PX);
            widest = widest.max(text_width(&text));
            scene.bold([x + 34.0, y], Anchor::Start, Ink::Text, text);
            y += LEGEND_PX;
        }
        let of_lesson = self.of_lesson(cast).count();
        if of_lesson > 0 {
            scene.line(&[[x, y - 4.0], [x + 26.0, y - 4.0]], QUIET, QUIET_OPACITY);
            let text = self.words.get("picture.of_lesson").replace("{count}", &of_lesson.to_string());
            widest = widest.max(text_width(&text));
            scene.text([x + 34.0, y], Anchor::Start, Ink::Faint, text);
            y += LEGEND_PX;
        }
        if self.banded(cast) {
            scene.line(&[[x, y - 4.0], [x + 26.0, y - 4.0]], Stroke { width: 9.0, dash: Dash::Solid, ..OTHER }, 0.25);
            let text = self.band_text();
            widest = widest.max(text_width(&text));
            scene.text([x + 34.0, y], Anchor::Start, Ink::Faint, text);
            y += LEGEND_PX;
        } else if !cast.others.is_empty() {
            scene.line(&[[x, y - 4.0], [x + 26.0, y - 4.0]], OTHER, 0.7);
            let text = self.words.get("picture.others");
            widest = widest.max(text_width(text));
            scene.text([x + 34.0, y], Anchor::Start, Ink::Faint, text);
            y += LEGEND_PX;
        }
        let height = y - self.frame.y - 4.0;
        placer.reserve(Rect { x: self.frame.x, y: self.frame.y, width: widest + 52.0, height });
    }

    /// What the band is of, and what it promises.
    fn band_text(&self) -> String {
        let Band { swings, unlike, pointwise, .. } = self.picture.band;
        let word = |key| self.words.get(key);
        let key = if self.narrow() { "picture.band_short" } else { "picture.band" };
        let of = if unlike > 0 { "picture.band_some_unlike" } else { "picture.band_like" };
        let holds = if pointwise { "picture.band_places" } else { "picture.band_paths" };
        let text = word(key).replace("{of}", word(of)).replace("{holds}", word(holds));
        text.replace("{count}", &swings.to_string()).replace("{unlike}", &unlike.to_string())
    }

    fn legend_text(&self, figure: &Figure) -> String {
        if figure.left_handed && !flipped(self.picture) {
            format!("{} ({})", figure.label, self.words.get("picture.mirrored"))
        } else {
            figure.label.clone()
        }
    }

    /// 20 cm or 10 in across the view, lower left.
    fn scale_bar(&self, scene: &mut Scene, placer: &mut Placer) {
        let count = match self.state.unit {
            LengthDisplay::Centimetre => 20.0,
            LengthDisplay::Inch => 10.0,
        };
        let length = count * self.state.unit.metres() * self.camera.px_per_m();
        let (x, y) = (self.frame.x + 12.0, self.frame.y + self.frame.height - 12.0);
        let pen = Stroke { ink: Ink::Faint, width: 1.5, dash: Dash::Solid };
        let ticks = [[x, y - 4.0], [x, y], [x + length, y], [x + length, y - 4.0]];
        scene.line(&ticks, pen, 1.0);
        let text = format!("{} {}", count as u64, self.state.unit.symbol());
        scene.text([x + 4.0, y - 6.0], Anchor::Start, Ink::Faint, text);
        placer.reserve(Rect { x: x - 4.0, y: y - 22.0, width: length + 8.0, height: 30.0 });
    }

    /// Which way is out, up and towards the target, lower right.
    fn axes(&self, scene: &mut Scene, placer: &mut Placer) {
        const REACH: f64 = 26.0;
        let (right, foot) = (self.frame.x + self.frame.width, self.frame.y + self.frame.height);
        let home = [right - if self.view == View::Free { 84.0 } else { 76.0 }, foot - 40.0];
        placer.reserve(Rect { x: right - 124.0, y: foot - 92.0, width: 124.0, height: 92.0 });
        for (axis, key) in ["picture.out", "picture.target", "picture.up"].into_iter().enumerate() {
            let mut unit = [0.0; 3];
            unit[axis] = 1.0;
            let [dx, dy] = self.camera.direction(unit);
            if dx.hypot(dy) < 0.25 {
                continue;
            }
            let tip = [home[0] + dx * REACH, home[1] + dy * REACH];
            scene.arrow(home, tip, Stroke { ink: Ink::Faint, width: 1.25, dash: Dash::Solid });
            let (anchor, shift) = beside_tip(dx);
            let drop = if dy < -0.5 {
                -5.0
            } else if dy > 0.5 {
                14.0
            } else {
                4.0
            };
            scene.text([tip[0] + shift, tip[1] + drop], anchor, Ink::Faint, self.words.get(key));
        }
    }
}

fn beside_tip(dx: f64) -> (Anchor, f64) {
    match dx {
        dx if dx > 0.4 => (Anchor::Start, 4.0),
        dx if dx < -0.4 => (Anchor::End, -4.0),
        _ => (Anchor::Middle, 0.0),
    }
}

/// The rules of golf ask for a diameter of at least 42.67 mm.
const BALL_RADIUS_M: f64 = 0.02134;

/// A left-hander among left-handers is shown as filmed; over a right-hander, mirrored (and labelled).
fn flipped(picture: &Picture) -> bool {
    picture.student.left_handed && picture.references.iter().all(|figure| figure.left_handed)
}

/// What has to fit in the view: both paths; in the large view also ball, feet and head.
fn shown_points(picture: &Picture, state: &ViewState, detail: Detail) -> Vec<Point> {
    let pair = || std::iter::once(&picture.student).chain(state.chosen(picture));
    let mut points: Vec<Point> = pair().flat_map(stretch).collect();
    let others = picture.others.iter().filter(|_| state.others);
    points.extend(others.flat_map(|path| path.as_chunks::<3>().0));
    points
        .extend(picture.student.ball.map(|[out, target, up]| [out, if target.is_finite() { target } else { 0.0 }, up]));
    if detail == Detail::Full && state.body {
        let start = picture.student.span().0;
        points.extend(picture.student.joints.iter().map(|series| picture.student.at(series, start)));
        points.push([0.0; 3]);
    }
    points
}

fn stretch(figure: &Figure) -> impl Iterator<Item = Point> + '_ {
    let (from, to) = figure.span();
    figure.path().into_iter().zip(&figure.time_s).filter(move |(_, t)| (from..=to).contains(*t)).map(|(point, _)| point)
}

fn grid_range(step: f64, from: f64, to: f64) -> Vec<f64> {
    let (first, last) = ((from / step).ceil() as i32, (to / step).floor() as i32);
    (first..=last).map(|i| f64::from(i) * step).collect()
}

/// Distance between two points, metres.
pub(super) fn distance(a: &Point, b: &Point) -> f64 {
    (0..3).map(|i| (a[i] - b[i]).powi(2)).sum::<f64>().sqrt()
}

/// A row of the legend, CSS pixels.
const LEGEND_PX: f64 = TEXT_PX + 6.0;

/// What a legend leaves to its left and to the name and buttons of the view, CSS pixels.
const BESIDE_LEGEND_PX: f64 = 180.0;

/// A name cut to a width, with an ellipsis; of a few letters at least.
fn fitting(text: String, width: f64) -> String {
    if text_width(&text) <= width {
        return text;
    }
    let letters = (width / text_width("x")).max(6.0) as usize - 1;
    let mut cut: String = text.chars().take(letters).collect();
    cut.push('…');
    cut
}

/// An outline without the kinks that its points have where it bends: each goes half of the way to its neighbours' middle.
fn smooth(spots: Vec<Spot>) -> Vec<Spot> {
    let at = |i: usize| {
        let (Some(before), Some(after)) = (spots.get(i.wrapping_sub(1)), spots.get(i + 1)) else { return spots[i] };
        [0, 1].map(|axis| 0.5 * spots[i][axis] + 0.25 * (before[axis] + after[axis]))
    };
    (0..spots.len()).map(at).collect()
}

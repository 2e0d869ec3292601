//! The first measures, drawn where they belong on the student's path: the gap of the out drift, what body and arms did of
//! it, the strip to the direct line, and how far each place is to be trusted.

use super::build::Stage;
use super::camera::{Spot, View};
use super::data::Figure;
use super::labels::Label;
use super::scene::{Dash, Ink, Scene, Stroke};
use crate::formats::{Point, is_gap};
use crate::letters::filled;
use crate::swing::InstantName::{self, HipHeight, Impact, LeadArmLevel, Top};

/// Places told of every swing, those that choose where their words stand first in front.
pub(super) const PLACES: [InstantName; 4] = [LeadArmLevel, HipHeight, Top, Impact];

/// Half the height of a cloud over a coordinate that is known well, CSS pixels.
const THINNEST_PX: f64 = 5.0;

const THIN: Stroke = Stroke { ink: Ink::Text, width: 1.25, dash: Dash::Short };

/// Out drift: from straight below (or above) the hands at the top to where they are farthest out, or in.
struct Gap {
    top: Point,
    from: Point,
    to: Point,
    /// Value and both ends of its interval, metres.
    size: [f64; 3],
}

impl Gap {
    fn of(figure: &Figure) -> Option<Gap> {
        let (top_s, level_s) = (figure.mark_s(Top)?, figure.mark_s(LeadArmLevel)?);
        let [most, least] = ["out drift, greatest", "out drift, least"].map(|name| figure.measured(name));
        let size = if -least?[0] > most?[0] { least? } else { most? };
        let inner = figure.time_s.iter().copied().filter(|t| *t > top_s && *t < level_s);
        let places = inner.chain([level_s]).map(|t| figure.at(&figure.hands, t)).filter(|place| !is_gap(place));
        let to = places.max_by(|a, b| (a[0] * size[0].signum()).total_cmp(&(b[0] * size[0].signum())))?;
        let top = figure.at(&figure.hands, top_s);
        Some(Gap { top, from: [top[0], to[1], to[2]], to, size })
    }
}

/// The direct line from the hands at the top to the ball, and the hands at hip height beside it.
struct Strip {
    hip_s: f64,
    top: Point,
    hip: Point,
    ball: Point,
    /// Point of the line nearest to the hands at hip height, in the out/up plane.
    foot: Point,
}

impl Strip {
    fn of(figure: &Figure) -> Option<Strip> {
        let hip_s = figure.mark_s(HipHeight)?;
        let (top, hip) = (figure.at(&figure.hands, figure.mark_s(Top)?), figure.at(&figure.hands, hip_s));
        let ball = [figure.ball?[0], top[1], figure.ball?[2]];
        let (out, up) = (ball[0] - top[0], ball[2] - top[2]);
        let part = ((hip[0] - top[0]) * out + (hip[2] - top[2]) * up) / (out * out + up * up);
        Some(Strip { hip_s, top, hip, ball, foot: [top[0] + part * out, hip[1], top[2] + part * up] })
    }
}

impl Stage<'_> {
    /// Is `out` to be seen in this view?
    fn shows_out(&self) -> bool {
        self.view != View::FaceOn
    }

    /// What lies under the path: the strip to the direct line, and how far each place is to be trusted.
    pub(super) fn gauges_under(&self, scene: &mut Scene, figure: &Figure) {
        if self.view == View::DownTheLine
            && let Some(strip) = Strip::of(figure)
        {
            self.strip(scene, figure, &strip);
        }
        // The end of the gap shows how far lead arm level is to be trusted, where there is a gap to see.
        let gap = self.shows_out() && Gap::of(figure).is_some();
        let clouded = PLACES.iter().filter(|name| !(gap && **name == LeadArmLevel));
        if self.view != View::Free {
            clouded.for_each(|name| self.trust(scene, figure, *name));
        }
    }

    fn strip(&self, scene: &mut Scene, figure: &Figure, strip: &Strip) {
        let [top, foot, ball] = [strip.top, strip.foot, strip.ball].map(|place| self.camera.project(&place));
        let Some(top_s) = figure.mark_s(Top) else { return };
        let mut outline = self.spots(figure, top_s, strip.hip_s);
        outline.push(foot);
        scene.area(outline, Ink::Student, 0.16);
        scene.line(&[top, ball], THIN, 0.75);
        let width = Stroke { dash: Dash::Solid, ..THIN };
        scene.line(&[self.camera.project(&strip.hip), foot], width, 1.0);
    }

    /// A cloud as wide as the interval, fainter towards its edge.
    fn trust(&self, scene: &mut Scene, figure: &Figure, name: InstantName) {
        let Some(time_s) = figure.mark_s(name) else { return };
        let place = figure.at(&figure.hands, time_s);
        let [across, along] = match self.axes_across() {
            [a, b, ..] => [*a, *b],
            _ => return,
        };
        let reach = |axis: usize| {
            let part = ["out", "target", "up"][axis];
            let [value, low, high] = figure.measured(&format!("hands at {}, {part}", name.name()))?;
            let least = THINNEST_PX / self.camera.px_per_m();
            Some([(low - value).min(-least), (high - value).max(least)])
        };
        let (Some(x), Some(y)) = (reach(across), reach(along)) else { return };
        for share in [1.0, 0.66, 0.33] {
            let corner = |turn: f64| {
                let (sin, cos) = turn.sin_cos();
                let mut at = place;
                at[across] += share * cos.abs() * x[usize::from(cos > 0.0)];
                at[along] += share * sin.abs() * y[usize::from(sin > 0.0)];
                self.camera.project(&at)
            };
            let outline = (0..24).map(|i| corner(f64::from(i) * std::f64::consts::TAU / 24.0)).collect();
            scene.area(outline, Ink::Text, FAINT);
        }
    }

    /// What lies over the path: the gap, and what body and arms did.
    pub(super) fn gauges_over(&self, scene: &mut Scene, figure: &Figure) {
        if !self.shows_out() {
            return;
        }
        if let Some(gap) = Gap::of(figure) {
            self.gap(scene, &gap);
        }
        if let Some([top, carried, made]) = stack(figure) {
            let spots = [top, carried, made].map(|place| self.camera.project(&place));
            scene.arrow(spots[0], spots[1], BODY);
            scene.arrow(spots[1], spots[2], ARMS);
        }
    }

    /// The arrow, the drop it is measured from, and its fuzzy end.
    fn gap(&self, scene: &mut Scene, gap: &Gap) {
        let at = |out: f64| self.camera.project(&[gap.from[0] + out, gap.from[1], gap.from[2]]);
        let [value, low, high] = gap.size;
        for share in [1.0, 0.66, 0.33] {
            let ends = [at(value + share * (low - value)), at(value + share * (high - value))];
            scene.line(&ends, Stroke { ink: Ink::Text, width: 2.0 * THINNEST_PX + 10.0, dash: Dash::Solid }, FAINT);
        }
        let [x, y] = at(0.0);
        scene.line(&[self.camera.project(&gap.top), at(0.0)], THIN, 0.75);
        scene.line(&[[x, y - 7.0], [x, y + 7.0]], Stroke { dash: Dash::Solid, ..THIN }, 1.0);
        scene.arrow(at(0.0), self.camera.project(&gap.to), Stroke { ink: Ink::Text, width: 2.5, dash: Dash::Solid });
    }

    /// Labels of what is measured, the most telling first; a narrow pane has room for one.
    pub(super) fn gauge_labels(&self, figure: &Figure) -> Vec<Label> {
        let mut labels = vec![];
        if let (true, Some(gap)) = (self.shows_out(), Gap::of(figure)) {
            let mut label =
                self.gauge_label(self.middle(gap.from, gap.to), gap.size, ["picture.out_drift", "picture.in_drift"]);
            let parts = self.stack_labels(figure).unwrap_or_default();
            if self.narrow() {
                label.lines.extend(parts.into_iter().map(|part| part.name));
                return vec![label];
            }
            labels.push(label);
            labels.extend(parts);
        }
        let size = figure.measured("side of the direct line, at hip height");
        if let (View::DownTheLine, Some(strip), Some(size)) = (self.view, Strip::of(figure), size) {
            let spot = self.middle(strip.hip, strip.foot);
            labels.push(self.gauge_label(spot, size, ["picture.inside_line", "picture.beyond_line"]));
        }
        labels
    }

    fn stack_labels(&self, figure: &Figure) -> Option<Vec<Label>> {
        let [top, carried, made] = stack(figure)?;
        let body = self.gauge_label(
            self.middle(top, carried),
            figure.measured("carried, out")?,
            ["picture.body_out", "picture.body_in"],
        );
        let arms = self.gauge_label(
            self.middle(carried, made),
            figure.measured("made, out")?,
            ["picture.arms_out", "picture.arms_in"],
        );
        Some(vec![body, arms])
    }

    /// Spots along the arrows, which words keep off.
    pub(super) fn gauge_spots(&self, figure: &Figure) -> Vec<Spot> {
        let gap = Gap::of(figure).filter(|_| self.shows_out()).map(|gap| [gap.from, gap.to]);
        let stack = stack(figure).filter(|_| self.shows_out());
        let lines = gap.into_iter().chain(stack.into_iter().flat_map(|[a, b, c]| [[a, b], [b, c]]));
        let along =
            |[a, b]: [Point; 2]| (0..=8).map(move |i| [0, 1, 2].map(|k| a[k] + f64::from(i) / 8.0 * (b[k] - a[k])));
        lines.flat_map(along).map(|place| self.camera.project(&place)).collect()
    }

    fn middle(&self, a: Point, b: Point) -> Spot {
        self.camera.project(&[0, 1, 2].map(|i| 0.5 * (a[i] + b[i])))
    }

    /// "out drift {size}" with the interval under it. `keys`: templates for a positive and a negative value.
    fn gauge_label(&self, spot: Spot, [value, low, high]: [f64; 3], keys: [&'static str; 2]) -> Label {
        let (words, unit) = (self.words, self.state.unit);
        let told = |metres: f64| unit.size(metres, words.get("picture.decimal")).unwrap_or_else(|| "0".to_owned());
        let name = filled(words.get(keys[usize::from(value < 0.0)]), "{size}", &unit.spelled(&told(value)));
        let signed = |metres: f64| {
            let size = told(metres);
            if metres * value < 0.0 && size != "0" { format!("−{size}") } else { size }
        };
        let [from, to] = if value < 0.0 { [signed(high), signed(low)] } else { [signed(low), signed(high)] };
        let lines = if from == to { vec![] } else { vec![format!("{from} {} {to}", words.get("picture.to"))] };
        Label { spot, name, lines, ink: Ink::Faint }
    }

    /// What the arms would have drawn if the body had stopped at the top.
    pub(super) fn arms_only(&self, scene: &mut Scene, figure: &Figure) {
        let spots: Vec<Spot> = figure.arms_only.as_chunks::<3>().0.iter().map(|p| self.camera.project(p)).collect();
        scene.line(&spots, Stroke { ink: Ink::Student, width: 2.5, dash: Dash::Short }, 1.0);
        if let (Some(end), true) = (spots.last(), self.full()) {
            let rim = Stroke { ink: Ink::Student, width: 1.5, dash: Dash::Solid };
            scene.circle(*end, 3.5, Some(rim), Some(Ink::Page), None);
        }
    }

    /// Where the label of the arms-only path stands.
    pub(super) fn arms_only_label(&self, figure: &Figure) -> Option<Label> {
        let end = figure.arms_only.as_chunks::<3>().0.last()?;
        let line = self.words.get("picture.arms_only").to_owned();
        Some(Label { spot: self.camera.project(end), name: String::new(), lines: vec![line], ink: Ink::Faint })
    }

    /// The shaft as it stood at each place.
    pub(super) fn shaft_ghosts(&self, scene: &mut Scene, figure: &Figure, ink: Ink) {
        let pen = Stroke { ink, width: 2.0, dash: Dash::Solid };
        for time_s in PLACES.iter().filter_map(|name| figure.mark_s(*name)) {
            let place = |joint: usize| Some(self.camera.project(&figure.at(figure.joints.get(joint)?, time_s)));
            let lines = figure.club.iter().filter_map(|[a, b]| Some([place(*a)?, place(*b)?]));
            lines.for_each(|line| scene.line(&line, pen, 0.5));
        }
    }
}

/// Each of the three layers of what fades out.
const FAINT: f64 = 0.14;

const BODY: Stroke = Stroke { ink: Ink::Text, width: 2.0, dash: Dash::Solid };
const ARMS: Stroke = Stroke { dash: Dash::Short, ..BODY };

/// Hands at the top, where the body alone would have brought them by lead arm level, and where the arms brought them.
fn stack(figure: &Figure) -> Option<[Point; 3]> {
    let top = figure.at(&figure.hands, figure.mark_s(Top)?);
    let way = |room: &str| {
        let part = |name: &str| Some(figure.measured(&format!("{room}, {name}"))?[0]);
        Some([part("out")?, part("target")?, part("up")?])
    };
    let (carried, made) = (way("carried")?, way("made")?);
    let body = [0, 1, 2].map(|i| top[i] + carried[i]);
    Some([top, body, [0, 1, 2].map(|i| body[i] + made[i])])
}

//! Words placed beside their marks without covering each other.

use super::camera::{Rect, Spot};
use super::scene::{Anchor, Dash, Ink, Scene, Stroke, TEXT_PX, text_width};
use crate::order;

/// A label to place: lines of text beside a spot.
pub(super) struct Label {
    pub(super) spot: Spot,
    /// First line, heavier.
    pub(super) name: String,
    /// Further lines.
    pub(super) lines: Vec<String>,
    /// Colour of the further lines.
    pub(super) ink: Ink,
}

/// Where words may stand and what they should not cover.
pub(super) struct Placer {
    frame: Rect,
    taken: Vec<Rect>,
    drawn: Vec<Spot>,
}

const LINE_PX: f64 = TEXT_PX + 3.0;

/// Directions tried, best first when all are free: right, left, a little up or down, then the diagonals.
const SIDES: [(f64, f64); 8] =
    [(1.0, 0.0), (-1.0, 0.0), (1.0, -0.8), (-1.0, -0.8), (1.0, 0.8), (-1.0, 0.8), (0.0, -1.0), (0.0, 1.0)];

/// Distances tried from the mark to the label, CSS pixels.
const REACHES: [f64; 4] = [12.0, 28.0, 52.0, 84.0];

/// Labels that cover each other by more than this share are left out; the table has their numbers.
const WORST_SHARE: f64 = 0.2;

impl Placer {
    /// `drawn`: spots of the paths, which labels keep off where they can.
    pub(super) fn new(frame: Rect, drawn: Vec<Spot>) -> Self {
        Placer { frame, taken: Vec::new(), drawn: spaced(drawn) }
    }

    /// Keeps a rectangle free.
    pub(super) fn reserve(&mut self, rect: Rect) {
        self.taken.push(rect);
    }

    /// Places a label and adds it to the scene, with a thin line to its mark where it stands apart.
    pub(super) fn place(&mut self, scene: &mut Scene, label: &Label) {
        if !(label.spot[0] + label.spot[1]).is_finite() || !self.frame.holds(label.spot) {
            return;
        }
        let (width, height) = size(label);
        let tries = REACHES.iter().flat_map(|reach| SIDES.map(|side| (*reach, side)));
        let rated = tries.map(|(reach, side)| {
            let rect = beside(label.spot, side, reach, width, height);
            (self.cost(&rect) + reach * 1.5, rect, side)
        });
        let Some((_, rect, side)) = rated.min_by(|a, b| a.0.total_cmp(&b.0)) else { return };
        if self.covered(&rect) > WORST_SHARE * width * height {
            return;
        }
        self.taken.push(rect);
        write(scene, label, &rect, side);
    }

    fn covered(&self, rect: &Rect) -> f64 {
        self.taken.iter().map(|other| rect.overlap(other)).sum::<f64>() + rect.outside(&self.frame)
    }

    fn cost(&self, rect: &Rect) -> f64 {
        let crossed = self.drawn.iter().filter(|spot| rect.holds(**spot)).count();
        self.covered(rect) * 4.0 + (crossed as f64 * 10.0).min(120.0)
    }
}

/// Leaves out spots nearer than 6 px to the one before, so that the cost of covering a path does not depend on its rate.
fn spaced(spots: Vec<Spot>) -> Vec<Spot> {
    let mut kept: Vec<Spot> = Vec::new();
    for spot in spots {
        if kept.last().is_none_or(|last| (last[0] - spot[0]).hypot(last[1] - spot[1]) >= 6.0) {
            kept.push(spot);
        }
    }
    kept
}

fn size(label: &Label) -> (f64, f64) {
    let bold = if label.name.is_empty() { 0.0 } else { text_width(&label.name) * 1.06 };
    let width = label.lines.iter().map(|line| text_width(line)).fold(bold, f64::max);
    let rows = label.lines.len() + usize::from(!label.name.is_empty());
    (width + 4.0, rows as f64 * LINE_PX)
}

fn beside(spot: Spot, (dx, dy): (f64, f64), reach: f64, width: f64, height: f64) -> Rect {
    let x = spot[0] + dx * reach + (dx - 1.0) / 2.0 * width;
    let y = spot[1] + dy * (reach + height / 2.0) - height / 2.0;
    Rect { x, y, width, height }
}

fn write(scene: &mut Scene, label: &Label, rect: &Rect, (dx, _): (f64, f64)) {
    let (anchor, x) = match dx {
        dx if dx > 0.0 => (Anchor::Start, rect.x + 2.0),
        dx if dx < 0.0 => (Anchor::End, rect.x + rect.width - 2.0),
        _ => (Anchor::Middle, rect.x + rect.width / 2.0),
    };
    leader(scene, label.spot, rect);
    let mut y = rect.y + TEXT_PX - 1.0;
    if !label.name.is_empty() {
        scene.bold([x, y], anchor, Ink::Text, label.name.as_str());
        y += LINE_PX;
    }
    for line in &label.lines {
        scene.text([x, y], anchor, label.ink, line.as_str());
        y += LINE_PX;
    }
}

/// A thin line from the mark to the nearest edge of a label that stands apart.
fn leader(scene: &mut Scene, spot: Spot, rect: &Rect) {
    let end =
        [order::within(spot[0], rect.x, rect.x + rect.width), order::within(spot[1], rect.y, rect.y + rect.height)];
    if (end[0] - spot[0]).hypot(end[1] - spot[1]) > 18.0 {
        scene.line(&[spot, end], Stroke { ink: Ink::Faint, width: 0.75, dash: Dash::Solid }, 0.8);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn label(spot: Spot) -> Label {
        Label { spot, name: "lead arm level".into(), lines: vec!["6 cm out, 2 cm lower".into()], ink: Ink::Student }
    }

    #[test]
    fn labels_of_close_marks_do_not_cover_each_other_and_stay_inside() {
        let frame = Rect::sized(500.0, 400.0);
        let (mut placer, mut scene) = (Placer::new(frame, vec![]), Scene::new(frame));
        for spot in [[250.0, 200.0], [252.0, 204.0], [258.0, 199.0], [480.0, 20.0], [6.0, 390.0]] {
            placer.place(&mut scene, &label(spot));
        }
        assert_eq!(placer.taken.len(), 5);
        for (i, a) in placer.taken.iter().enumerate() {
            assert!(a.outside(&frame) < 1.0, "{a:?}");
            assert!(placer.taken[..i].iter().all(|b| a.overlap(b) < 1.0), "{a:?}");
        }
    }

    #[test]
    fn a_label_without_room_is_left_out() {
        let frame = Rect::sized(60.0, 20.0);
        let (mut placer, mut scene) = (Placer::new(frame, vec![]), Scene::new(frame));
        placer.place(&mut scene, &label([30.0, 10.0]));
        assert!(scene.items.is_empty());
    }
}

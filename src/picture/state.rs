use super::camera::Orbit;
use super::data::{Figure, Picture, number_at};
use super::notes::{Pin, Span};
use crate::decimal;
use crate::formats::Point;
use crate::swing::InstantName;

/// How the clocks of student and reference run together.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Timing {
    /// The reference stands at the point that the alignment matches to the student's.
    #[default]
    Matched,
    /// Each runs in its own time; both are at the top together.
    Own,
}

/// Where the reference is drawn.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Layout {
    /// Over the student.
    #[default]
    Overlaid,
    /// Beside the student, at the same scale.
    SideBySide,
}

/// Unit of the lengths shown.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum LengthDisplay {
    /// Centimetres, whole.
    #[default]
    Centimetre,
    /// Inches, one decimal.
    Inch,
}

impl LengthDisplay {
    /// Metres in one of it.
    pub fn metres(self) -> f64 {
        match self {
            LengthDisplay::Centimetre => 0.01,
            LengthDisplay::Inch => 0.0254,
        }
    }

    /// A size with its unit as it stands in a sentence: "6 cm", but "2.4″", because "2.4 in in" reads badly.
    pub fn spelled(self, size: &str) -> String {
        match self {
            LengthDisplay::Centimetre => format!("{size} cm"),
            LengthDisplay::Inch => format!("{size}″"),
        }
    }

    /// `cm` or `in`: a unit symbol, not a word.
    pub fn symbol(self) -> &'static str {
        match self {
            LengthDisplay::Centimetre => "cm",
            LengthDisplay::Inch => "in",
        }
    }

    /// The size of a length in this unit, without sign and unit; `None` where it rounds to nothing.
    pub fn size(self, metres: f64, decimal_mark: &str) -> Option<String> {
        let value = (metres / self.metres()).abs();
        let (text, zero) = match self {
            LengthDisplay::Centimetre => (decimal::fixed(value, 0), "0"),
            LengthDisplay::Inch => (decimal::fixed(value, 1), "0.0"),
        };
        (text != zero && value.is_finite()).then(|| text.replace('.', decimal_mark))
    }
}

/// What the user is looking at. The element's `view` property is this object.
#[derive(Clone, Debug, PartialEq)]
pub struct ViewState {
    /// The student's own time, seconds.
    pub time: f64,
    /// Clocks.
    pub timing: Timing,
    /// Overlaid or side by side.
    pub layout: Layout,
    /// Unit of lengths.
    pub unit: LengthDisplay,
    /// Direction of the free view.
    pub orbit: Orbit,
    /// Magnification of the large view.
    pub zoom: f64,
    /// Which reference is compared, 0-based.
    pub reference: usize,
    /// Draw the stick figure.
    pub body: bool,
    /// Draw ball line and target line.
    pub lines: bool,
    /// Draw the measures and numbers at their places.
    pub numbers: bool,
    /// Draw the references.
    pub references: bool,
    /// Draw the band of eight references or more, instead of the single ones.
    pub band: bool,
    /// Draw the student's other swings of the lesson.
    pub others: bool,
    /// Draw the arms-only path.
    pub arms: bool,
    /// Draw the shaft as it stood at the instants.
    pub shaft: bool,
    /// A stretch of the student's path that is lit: from and to, own time, seconds; one instant where both are equal.
    pub lit: Option<(f64, f64)>,
    /// Texts pinned to the student's path.
    pub pins: Vec<Pin>,
    /// Measured stretches of the student's path.
    pub spans: Vec<Span>,
}

impl Default for ViewState {
    fn default() -> Self {
        ViewState {
            time: 0.0,
            timing: Timing::Matched,
            layout: Layout::Overlaid,
            unit: LengthDisplay::Centimetre,
            orbit: Orbit::START,
            zoom: 1.0,
            reference: 0,
            body: true,
            lines: true,
            numbers: true,
            references: true,
            band: true,
            others: true,
            arms: false,
            shaft: false,
            lit: None,
            pins: vec![],
            spans: vec![],
        }
    }
}

impl ViewState {
    /// The reference compared.
    pub fn chosen<'a>(&self, picture: &'a Picture) -> Option<&'a Figure> {
        picture.references.get(self.reference).or(picture.references.first())
    }

    /// A reference's own time while the student is at `self.time`.
    pub fn reference_time(&self, student: &Figure, reference: &Figure) -> f64 {
        match self.timing {
            Timing::Matched => matched(student, reference, self.time),
            Timing::Own => self.time + shift(student, reference),
        }
    }
}

/// From the student's time to the reference's, with both at the top together (else at the first instant of both).
fn shift(student: &Figure, reference: &Figure) -> f64 {
    let both = |name: InstantName| Some(reference.mark_s(name)? - student.mark_s(name)?);
    both(InstantName::Top)
        .or_else(|| InstantName::ALL.into_iter().find_map(both))
        .unwrap_or_else(|| reference.span().0 - student.span().0)
}

/// Before the first match and after the last one, the reference runs on at its own pace.
fn matched(student: &Figure, reference: &Figure, time_s: f64) -> f64 {
    let own = number_at(&student.time_s, &reference.matched_s, time_s);
    if own.is_finite() {
        return own;
    }
    let pairs = || student.time_s.iter().zip(&reference.matched_s).filter(|(_, matched)| matched.is_finite());
    let nearest = pairs().min_by(|a, b| (a.0 - time_s).abs().total_cmp(&(b.0 - time_s).abs()));
    nearest.map_or_else(|| time_s + shift(student, reference), |(t, matched)| matched + time_s - t)
}

/// Words of the picture by key, from the catalogue. A missing word shows its key.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Words(Vec<(String, String)>);

impl FromIterator<(String, String)> for Words {
    fn from_iter<I: IntoIterator<Item = (String, String)>>(words: I) -> Self {
        Words(words.into_iter().collect())
    }
}

impl Words {
    /// The word of a key.
    pub fn get<'a>(&'a self, key: &'a str) -> &'a str {
        self.0.iter().find(|(own, _)| own == key).map_or(key, |(_, word)| word)
    }

    /// A difference along one axis in words: "6 cm out". `None` where it rounds to nothing.
    pub fn along(&self, axis: usize, metres: f64, unit: LengthDisplay) -> Option<String> {
        let size = unit.size(metres, self.get("picture.decimal"))?;
        Some(format!("{} {}", unit.spelled(&size), self.get(DIRECTIONS[axis][usize::from(metres < 0.0)])))
    }

    /// A difference in the axes that a view shows: "6 cm out, 2 cm lower". Empty where these round to nothing but
    /// another does not; the word for no difference where all three do.
    pub fn difference(&self, axes: &[usize], deviation: &Point, unit: LengthDisplay) -> String {
        let part = |axis: &usize| self.along(*axis, deviation[*axis], unit);
        let shown: Vec<_> = axes.iter().filter_map(part).collect();
        let same = [0, 1, 2].iter().all(|axis| part(axis).is_none());
        if same { self.get("picture.same").to_owned() } else { shown.join(", ") }
    }
}

/// Words for more and for less along out, target and up.
const DIRECTIONS: [[&str; 2]; 3] = [
    ["picture.farther_out", "picture.farther_in"],
    ["picture.ahead", "picture.behind"],
    ["picture.higher", "picture.lower"],
];

#[cfg(test)]
mod tests {
    use super::*;

    fn pair() -> (Figure, Figure) {
        let student = Figure { time_s: vec![0.0, 1.0, 2.0, 3.0], ..Figure::default() };
        let matched_s = vec![f64::NAN, 5.0, 7.0, f64::NAN];
        (student, Figure { time_s: vec![4.0, 5.0, 6.0, 7.0, 8.0], matched_s, ..Figure::default() })
    }

    #[test]
    fn a_matched_clock_follows_the_match_and_runs_on_beyond_it() {
        let (student, reference) = pair();
        let rows = [(1.0, 5.0), (1.5, 6.0), (2.0, 7.0), (0.5, 4.5), (3.0, 8.0)];
        for (time, expected) in rows {
            let state = ViewState { time, ..ViewState::default() };
            assert!((state.reference_time(&student, &reference) - expected).abs() < 1e-12, "{time}");
        }
    }

    #[test]
    fn own_clocks_meet_at_the_top() {
        let (mut student, mut reference) = pair();
        student.marks = vec![super::super::Mark::new("top", 1.25)];
        reference.marks = vec![super::super::Mark::new("top", 6.0)];
        let state = ViewState { time: 1.5, timing: Timing::Own, ..ViewState::default() };
        assert!((state.reference_time(&student, &reference) - 6.25).abs() < 1e-12);
    }

    #[test]
    fn differences_are_words_with_whole_centimetres() {
        let words = Words::default();
        let cm = LengthDisplay::Centimetre;
        assert_eq!(
            words.difference(&[0, 2], &[0.062, 0.5, -0.018], cm),
            "6 cm picture.farther_out, 2 cm picture.lower"
        );
        assert_eq!(words.difference(&[0], &[0.004, 0.0, 0.0], cm), "picture.same");
        assert_eq!(words.difference(&[0], &[0.004, 0.0, 0.1], cm), "");
        assert_eq!(words.along(1, -0.0254, LengthDisplay::Inch).as_deref(), Some("1picture.decimal0″ picture.behind"));
        assert_eq!(words.along(1, f64::NAN, cm), None);
    }
}

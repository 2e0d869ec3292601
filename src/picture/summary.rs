//! The sentences above the picture: where the hands went early in the downswing, and by how much more than a reference's.

use super::data::{Figure, Picture};
use super::state::{LengthDisplay, ViewState, Words};
use crate::formats::{Point, is_gap};
use crate::swing::InstantName;
use crate::words::Message;

/// Two or three sentences, in the order they are read.
pub fn sentences(picture: &Picture, state: &ViewState, words: &Words) -> Vec<Message> {
    let student = &picture.student;
    if student.time_s.is_empty() {
        return vec![Message::new("summary.no_student")];
    }
    match state.chosen(picture) {
        Some(reference) => {
            let told = [
                Some(drift(student, reference, state.unit, words)),
                places(reference, state.unit, words),
                tempo(student, reference),
            ];
            told.into_iter().flatten().collect()
        }
        None => vec![alone(student, state.unit, words), Message::new("summary.add_reference")],
    }
}

fn drift(student: &Figure, reference: &Figure, unit: LengthDisplay, words: &Words) -> Message {
    match (early(student), early(reference)) {
        (Some(mine), Some(theirs)) => Message::new("summary.drift")
            .with("student", moved(&mine, unit, words))
            .with("name", reference.label.as_str())
            .with("reference", moved(&theirs, unit, words)),
        (Some(_), None) => Message::new("summary.reference_without").with("name", reference.label.as_str()),
        (None, _) => Message::new("summary.student_without"),
    }
}

fn alone(student: &Figure, unit: LengthDisplay, words: &Words) -> Message {
    match early(student) {
        Some(mine) => Message::new("summary.alone").with("student", moved(&mine, unit, words)),
        None => Message::new("summary.student_without"),
    }
}

/// Displacement of the hands from the top to lead arm level.
fn early(figure: &Figure) -> Option<Point> {
    let place = |name| Some(figure.at(&figure.hands, figure.mark_s(name)?));
    let (from, to) = (place(InstantName::Top)?, place(InstantName::LeadArmLevel)?);
    let way = [0, 1, 2].map(|i| to[i] - from[i]);
    (!is_gap(&way)).then_some(way)
}

/// "9 cm out and 31 cm down": along out and up, the two that the coach looks at first; a zero is told too.
fn moved(way: &Point, unit: LengthDisplay, words: &Words) -> String {
    let part = |metres: f64, keys: [&'static str; 2]| {
        let size = unit.size(metres, words.get("picture.decimal"));
        let way = keys[usize::from(metres < 0.0 && size.is_some())];
        format!("{} {}", unit.spelled(size.as_deref().unwrap_or("0")), words.get(way))
    };
    let out = part(way[0], ["summary.out", "summary.in"]);
    format!("{out} {} {}", words.get("summary.and"), part(way[2], ["summary.up", "summary.down"]))
}

/// Where the student's hands are against the reference's at lead arm level and impact.
fn places(reference: &Figure, unit: LengthDisplay, words: &Words) -> Option<Message> {
    let at = |name: InstantName| {
        let deviation = reference.marks.iter().find(|mark| mark.name == name.name())?.deviation?;
        Some(words.difference(&[0, 2], &deviation, unit)).filter(|text| !text.is_empty())
    };
    let message = match (at(InstantName::LeadArmLevel), at(InstantName::Impact)) {
        (Some(level), Some(impact)) => Message::new("summary.places").with("level", level).with("impact", impact),
        (Some(level), None) => Message::new("summary.place_level").with("level", level),
        (None, Some(impact)) => Message::new("summary.place_impact").with("impact", impact),
        (None, None) => return None,
    };
    Some(message.with("name", reference.label.as_str()))
}

fn tempo(student: &Figure, reference: &Figure) -> Option<Message> {
    let down = |figure: &Figure| Some(figure.mark_s(InstantName::Impact)? - figure.mark_s(InstantName::Top)?);
    let message = Message::new("summary.tempo").with("student", down(student)?).with("reference", down(reference)?);
    Some(message.with("name", reference.label.as_str()))
}

#[cfg(test)]
mod tests {
    use super::super::Mark;
    use super::*;
    use crate::words::english;

    fn words() -> Words {
        let all: std::collections::BTreeMap<_, _> =
            serde_json::from_str(include_str!("../../www/text/en.json")).unwrap();
        all.into_iter().collect()
    }

    fn figure(label: &str, out: f64, names: [&str; 2]) -> Figure {
        Figure {
            label: label.into(),
            time_s: vec![0.0, 1.0, 1.25],
            hands: vec![0.0, 0.0, 1.5, out, 0.0, 1.2, out, 0.0, 0.8],
            marks: vec![Mark::new(names[0], 0.0), Mark::new(names[1], 1.0), Mark::new("impact", 1.25)],
            ..Figure::default()
        }
    }

    fn told(picture: &Picture, unit: LengthDisplay) -> Vec<String> {
        let state = ViewState { unit, ..ViewState::default() };
        sentences(picture, &state, &words()).iter().map(|m| m.render(english(m.key))).collect()
    }

    #[test]
    fn the_coach_reads_where_the_hands_went_and_by_how_much() {
        let student = figure("student", 0.09, ["top", "lead arm level"]);
        let mut reference = figure("reference A", -0.02, ["top", "lead arm level"]);
        reference.marks[1].deviation = Some([0.11, 0.0, -0.02]);
        reference.marks[2].deviation = Some([0.03, 0.0, 0.0]);
        let picture = Picture { student, references: vec![reference], ..Picture::default() };
        assert_eq!(
            told(&picture, LengthDisplay::Centimetre),
            [
                "From the top to lead arm level the student's hands moved 9 cm out and 30 cm down, those of reference A 2 cm in and 30 cm down.",
                "Against reference A the student's hands are 11 cm farther out, 2 cm lower at lead arm level, and 3 cm farther out at impact.",
                "From the top to impact the student takes 1.25 s, reference A 1.25 s.",
            ]
        );
        assert!(told(&picture, LengthDisplay::Inch)[0].contains("3.5″ out and 11.8″ down"));
    }

    #[test]
    fn what_is_missing_is_said() {
        let student = figure("student", 0.09, ["top", "lead arm level"]);
        let without = figure("reference A", 0.0, ["takeaway", "hip height"]);
        let picture = Picture { student: student.clone(), references: vec![without.clone()], ..Picture::default() };
        assert!(
            told(&picture, LengthDisplay::Centimetre)[0]
                .starts_with("Top or lead arm level was not found in reference A")
        );
        let picture = Picture { student: without, references: vec![student.clone()], ..Picture::default() };
        assert!(
            told(&picture, LengthDisplay::Centimetre)[0]
                .starts_with("Top or lead arm level was not found in the student's")
        );
        let picture = Picture { student, references: vec![], ..Picture::default() };
        assert!(told(&picture, LengthDisplay::Centimetre)[1].starts_with("Add a reference"));
        assert!(told(&Picture::default(), LengthDisplay::Centimetre)[0].starts_with("There is no swing"));
    }
}

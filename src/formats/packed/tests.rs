use super::super::hostile::{Random, survives};
use super::coding::Coding;
use super::*;
use crate::formats::write::packed;
use crate::formats::{Axis, Format};
use crate::formats::{ReadError, read as read_any, write};
use crate::json::{parse, spelled};
use crate::model::{Motion, SampleOptions, sample, student};
use crate::words::Message;
use crate::words::Place;

const BVH: &str = "HIERARCHY\nROOT Hips\n{\nOFFSET 0 0 0\nCHANNELS 6 Xposition Yposition Zposition Zrotation \
    Yrotation Xrotation\nEnd Site\n{\nOFFSET 0 1 0\n}\n}\nMOTION\nFrames: 4\nFrame Time: 0.01\n1 2 3 10 20 30\n\
    1.1 2.2 3.3 0 5 0\n0.1 0.2 0.7 0 0 7\n1 2 nan 0 0 0\n";

/// Points with everything that is hard to keep: gaps at both ends, minus zero, the least and the greatest numbers.
fn nasty() -> Recording {
    let hard =
        [0.0, -0.0, 5e-324, -f64::MAX, 1.0 / 3.0, 1e-300, f64::from(0.1_f32), -2.5, 12.345, 9_007_199_254_740_993.0];
    let points = |shift: usize| -> Vec<Point> {
        let row = |at: usize| [0, 3, 7].map(|axis| hard[(at + axis + shift) % hard.len()]);
        (0..12).map(|at| if !(2..=9).contains(&at) { GAP } else { row(at) }).collect()
    };
    let decimals = (0..12).map(|at| [0.1 * 3.0, -0.0, f64::from(at) / 1000.0]).map(|p| [0.3, p[1], p[2]]).collect();
    let mut tracks = vec![Track::marker("a \"b\"", points(0)), Track::marker("é", vec![GAP; 12])];
    tracks.push(Track {
        unit: Some(LengthUnit::Inch),
        parent: Some(0),
        end_site: true,
        ..Track::marker("c", decimals)
    });
    let place = Place { track: Some("é".into()), row: Some(3), ..Place::cell(7, 2) };
    let told = Message::new("text.slow_clock").with("step", 2.0).with("rows", 3_u64).with("first", "a \"b\"").at(place);
    Recording {
        format: Format::Trc,
        rate_hz: Some(59.94),
        rate_source: RateSource::TimeColumn,
        first_row: 3,
        clock_s: (0..12).map(|at| 0.1 + f64::from(at) / 59.94).collect(),
        tracks,
        up: Some(Axis::MinusZ),
        usual_up: None,
        events: vec![Event { label: "impact \n".into(), clock_s: -0.123 }],
        warnings: vec![told],
    }
}

fn kept(recording: &Recording) -> String {
    packed(recording, spelled).line()
}

fn back(text: &str) -> Recording {
    read_any(text.as_bytes(), &ReadOptions::default()).unwrap()
}

/// Equality of floats with gaps and signs of zeros: by what is printed.
#[track_caller]
fn comes_back(recording: &Recording) {
    let text = kept(recording);
    let found = back(&text);
    assert_eq!(format!("{found:?}"), format!("{recording:?}"));
    let bits = |r: &Recording| {
        r.tracks
            .iter()
            .flat_map(|t| t.points.iter().flatten().map(|x| if x.is_nan() { 0 } else { x.to_bits() }))
            .collect::<Vec<_>>()
    };
    assert_eq!(bits(&found), bits(recording));
    assert_eq!(kept(&found), text, "kept again it is the same text");
}

fn swing(rate_hz: f64) -> Recording {
    let params = student(1, 1);
    sample(&Motion::new(&params), &params, &SampleOptions { rate_hz, ..SampleOptions::default() }).unwrap()
}

#[test]
fn every_format_comes_back_to_the_bit() {
    let recording = swing(60.0);
    let files = [
        write::c3d(&recording, &write::C3dOptions::default()),
        write::c3d(&recording, &write::C3dOptions { integers: true, ..Default::default() }),
        write::trc(&recording, "swing.trc", 5),
        write::text(&recording, &write::TextOptions::default()),
        write::text(&recording, &write::TextOptions { decimals: None, ..Default::default() }),
        BVH.into(),
    ];
    for file in files {
        comes_back(&read_any(&file, &ReadOptions::default()).unwrap());
    }
    comes_back(&nasty());
    comes_back(&recording);
}

#[test]
fn decimals_and_single_precision_are_told_from_double() {
    let coding = |file: &[u8]| {
        let tree = parse(&kept(&read_any(file, &ReadOptions::default()).unwrap())).unwrap();
        let of = |told: &Json| told.get("as").unwrap().as_text().unwrap().to_owned();
        (of(tree.get("clock").unwrap()), of(&tree.get("tracks").unwrap().items()[1]))
    };
    let recording = swing(60.0);
    let c3d = write::c3d(&recording, &write::C3dOptions::default());
    assert_eq!(coding(&c3d), ("per 60".into(), "f32".into()));
    let integers = coding(&write::c3d(&recording, &write::C3dOptions { integers: true, ..Default::default() })).1;
    assert!(integers.starts_with("times 0.0"), "{integers}");
    let trc = coding(&write::trc(&recording, "x", 5));
    assert_eq!(trc.1, "per 100000");
    assert_eq!(coding(BVH.as_bytes()), ("per 100".into(), "f64".into()));
}

/// Kept text against the export: what compactness is for.
#[test]
fn kept_recordings_are_smaller_than_their_exports() {
    let recording = swing(240.0);
    for (file, most) in [
        (write::c3d(&recording, &write::C3dOptions::default()), 1.1),
        (write::c3d(&recording, &write::C3dOptions { integers: true, ..Default::default() }), 0.5),
        (write::trc(&recording, "x", 5), 0.5),
        (write::text(&recording, &write::TextOptions::default()), 0.5),
    ] {
        let text = kept(&read_any(&file, &ReadOptions::default()).unwrap());
        let share = text.len() as f64 / file.len() as f64;
        assert!(share < most, "{} bytes kept of {}: {share}", text.len(), file.len());
    }
}

#[test]
fn codings_bring_numbers_back_or_refuse() {
    let mut random = Random::new(5);
    let codings = [Coding::Single, Coding::Double, Coding::Per(1000.0), Coding::Per(59.94), Coding::Times(0.004)];
    let mut kept = [0; 5];
    for _ in 0..20_000 {
        let any = f64::from_bits(random.next() << 16 | random.next() & 0xFFFF);
        let near = (random.below(4_000_000) as f64 - 2e6) / 1000.0;
        for number in
            [any, near, f64::from(near as f32), near / 59.94 * 1000.0, near * 4.0].into_iter().filter(|x| x.is_finite())
        {
            for (count, coding) in kept.iter_mut().zip(codings) {
                if let Some(whole) = coding.whole(number) {
                    assert_eq!(coding.number(whole).to_bits(), number.to_bits());
                    *count += 1;
                }
            }
        }
        let whole = random.next() as i64;
        codings.iter().for_each(|coding| assert!(!coding.number(whole).to_string().is_empty()));
    }
    assert!(kept.iter().all(|count| *count > 5_000), "{kept:?}");
    for wrong in ["", "f16", "per", "per 0", "per -1", "per x", "times inf", "per  2"] {
        assert_eq!(Coding::parse(wrong), None, "{wrong}");
    }
}

#[test]
fn the_users_rate_makes_the_clock_anew() {
    let text = "LWRA x,LWRA y,LWRA z,RWRA x,RWRA y,RWRA z\n1,2,3,4,5,6\n2,3,4,5,6,7\n3,4,5,6,7,8\n";
    let at = |rate_hz| ReadOptions { rate_hz: Some(rate_hz) };
    let first = read_any(text.as_bytes(), &at(100.0)).unwrap();
    let kept = kept(&first);
    assert_eq!(format!("{:?}", read_any(kept.as_bytes(), &at(100.0)).unwrap()), format!("{first:?}"));
    assert_eq!(format!("{:?}", back(&kept)), format!("{first:?}"));
    let other = read_any(text.as_bytes(), &at(250.0)).unwrap();
    assert_eq!(format!("{:?}", read_any(kept.as_bytes(), &at(250.0)).unwrap()), format!("{other:?}"));
}

fn refused(change: impl Fn(&mut Json)) -> String {
    let mut tree = packed(&nasty(), spelled);
    change(&mut tree);
    read_any(tree.line().as_bytes(), &ReadOptions::default()).unwrap_err().to_string()
}

fn track_field(tree: &mut Json, name: &str, value: Json) {
    if let Some(Json::List(tracks)) = tree.get_mut("tracks") {
        tracks[2].set(name, value);
    }
}

const COPY: &str = "Take another copy, or open the original export.";

#[test]
fn errors_say_what_to_do() {
    let plain = |what: &str| format!("{what} {COPY}");
    let cut = &kept(&nasty())[..70];
    assert_eq!(
        read_any(cut.as_bytes(), &ReadOptions::default()).unwrap_err().to_string(),
        plain("line 1, column 71: This kept recording is damaged: expected one of :, found \"\".")
    );
    let mut bytes = kept(&nasty()).into_bytes();
    bytes[40] = 0xFF;
    assert_eq!(
        read_any(&bytes, &ReadOptions::default()).unwrap_err().to_string(),
        plain("byte 40: This kept recording holds bytes that are no text (UTF-8). It was damaged on its way: take another copy, or open the original export.").replace(&format!(" {COPY}"), "")
    );
    assert_eq!(
        refused(|tree| tree.set("rate_source", Json::count(3))),
        plain(
            "The field rate_source of this kept recording cannot be used: a documented word was expected, found: a number."
        )
    );
    assert_eq!(
        refused(|tree| drop(tree.remove("clock"))),
        plain("The field clock of this kept recording cannot be used: it is missing.")
    );
    assert_eq!(
        refused(|tree| track_field(tree, "parent", Json::count(2))),
        plain(
            "The field tracks.2.parent of this kept recording cannot be used: the number of an earlier track was expected."
        )
    );
    assert_eq!(
        refused(|tree| tree.set("tracks", Json::List(vec![]))),
        "This kept recording has no track or no row. Open the original export."
    );
    assert!(
        refused(|tree| tree.set("rows", Json::count(4_000_000_000)))
            .starts_with("This kept recording claims 12000000000 points in ")
    );
    assert_eq!(
        refused(|tree| track_field(tree, "as", Json::text("f16"))),
        "track \"c\": The numbers are kept in a way this version does not know (\"f16\"). Open the file with a newer version, or open the original export."
    );
    for data in ["", "!", "AAAA"] {
        assert_eq!(
            refused(|tree| track_field(tree, "data", Json::text(data))),
            plain("track \"c\": The kept numbers end early or are damaged.")
        );
    }
    let gaps = |gaps: &[usize]| Json::List(gaps.iter().map(|number| Json::count(*number)).collect());
    for wrong in [gaps(&[3]), gaps(&[0, 13]), gaps(&[4, 2, 5, 1]), gaps(&[1, usize::MAX])] {
        assert_eq!(
            refused(|tree| track_field(tree, "gaps", wrong.clone())),
            plain("track \"c\": The kept numbers end early or are damaged.")
        );
    }
    assert_eq!(
        refused(|tree| track_field(tree, "name", Json::text("é"))),
        plain("Two tracks of this kept recording are called é.")
    );
    let changed = refused(|tree| track_field(tree, "name", Json::text("d")));
    assert!(changed.starts_with("Names or numbers of this kept recording were changed: its check says "), "{changed}");
    let still = |tree: &mut Json| {
        let clock = tree.get_mut("clock").unwrap();
        clock.set("as", Json::text("per 1"));
        // Order 0, k 2, twelve zeros.
        clock.set("data", Json::text("AgAAAAAA"));
    };
    assert_eq!(refused(still), plain("The times of this kept recording do not rise."));
    let unrated = refused(|tree| tree.set("rate_hz", Json::Null));
    assert_eq!(
        unrated,
        plain("The field rate_hz of this kept recording cannot be used: a number above 0 was expected.")
    );
}

#[test]
fn a_warning_of_another_version_is_told_as_such() {
    let mut tree = packed(&nasty(), spelled);
    if let Some(Json::List(warnings)) = tree.get_mut("warnings") {
        warnings[0].set("key", Json::text("text.of_tomorrow"));
    }
    let told = back(&tree.line()).warnings[0].to_string();
    assert_eq!(
        told,
        "When this recording was read from its export there was a warning that this version does not know (text.of_tomorrow)."
    );
}

/// Every changed byte within the names and numbers is noticed.
#[test]
fn a_changed_byte_never_changes_a_number() {
    let text = kept(&swing(30.0));
    let start = back(&text);
    let (mut refused, mut random) = (0, Random::new(9));
    for _ in 0..600 {
        let mut bytes = text.clone().into_bytes();
        let at = random.below(bytes.len());
        bytes[at] = b"ABCdef0189,:"[random.below(12)];
        match read_any(&bytes, &ReadOptions::default()) {
            Ok(found) => {
                assert_eq!(
                    format!("{:?}", (&found.tracks, &found.clock_s)),
                    format!("{:?}", (&start.tracks, &start.clock_s))
                );
            }
            Err(_) => refused += 1,
        }
    }
    assert!(refused > 400, "{refused}");
}

/// Most damage ends at the check, which is the last thing looked at: at least a twentieth of the copies gets there.
#[test]
fn damaged_copies_are_no_harm() {
    let files = [kept(&nasty()).into_bytes(), kept(&swing(30.0)).into_bytes()];
    let mut read_through = 0;
    for seed in 0..1000 {
        let copy = Random::new(seed).mutate(&files[seed as usize % 2]);
        let checked =
            matches!(read_any(&copy, &ReadOptions::default()), Err(ReadError::Packed(PackedError::Check { .. })));
        read_through += usize::from(survives(&copy).is_some() || checked);
    }
    assert!(read_through >= 1000 / 20, "{read_through}");
}

//! Swings of the demo on a shelf.
#![allow(clippy::unwrap_used)]

use handpath::compare::scale_reference;
use handpath::formats::{ReadOptions, read};
use handpath::settings::Corrections;
use handpath::shelf::{Entry, Filter, POINTS, STEP, Shelf};
use handpath::swing::{Swing, analyse};
use std::path::Path;

fn swing(name: &str) -> Swing {
    let file = Path::new(env!("CARGO_MANIFEST_DIR")).join("www/demo").join(name);
    let recording = read(&std::fs::read(file).unwrap(), &ReadOptions::default()).unwrap();
    analyse(&recording, None, &Corrections::default()).unwrap()
}

/// A taller player who swings alike lies at the same place.
#[test]
fn size_does_not_matter() {
    let swing = swing("student-1-1.c3d");
    let (own, taller) = (Entry::of(&swing).unwrap(), Entry::of(&scale_reference(&swing, 1.3)).unwrap());
    assert_eq!((own.points.len(), &own.tags.label), (POINTS, &taller.tags.label));
    let apart = own.points.iter().flatten().zip(taller.points.iter().flatten()).map(|(a, b)| (a - b).abs());
    assert!(apart.fold(0.0, f64::max) <= STEP * 1.000_001);
    assert!((own.tags.depth.unwrap() - taller.tags.depth.unwrap()).abs() < 1e-9);
}

/// Swings of one player are nearer to each other than to any reference.
#[test]
fn a_swing_is_nearest_to_those_of_its_player() {
    let names = ["student-1-2.c3d", "reference-a.c3d", "student-1-3.c3d", "reference-b.trc", "reference-d.csv"];
    let mut shelf = Shelf::default();
    names.iter().filter_map(|name| Entry::of(&swing(name))).for_each(|entry| shelf.push(&entry));
    assert!(shelf.len() >= 4, "{}", shelf.len());
    let query = Entry::of(&swing("student-1-1.c3d")).unwrap();
    let found = shelf.nearest(&query.points, 5, &Filter::default());
    let mut first: Vec<usize> = found.iter().take(2).map(|near| near.number).collect();
    first.sort_unstable();
    assert_eq!(first, [0, 2]);
    assert!(found[1].apart < found[2].apart && found[0].apart > 0.0);
    let again = Shelf::from_pack(&shelf.to_pack()).unwrap();
    assert_eq!(again.nearest(&query.points, 5, &Filter::default()), found);
}

#[test]
fn what_has_no_body_lies_on_no_shelf() {
    let bare = Swing { has_body: false, ..swing("student-1-1.c3d") };
    assert_eq!(Entry::of(&bare), None);
    let mut short = swing("student-1-1.c3d");
    short.instants.retain(|instant| instant.name != handpath::swing::InstantName::Impact);
    assert_eq!(Entry::of(&short), None);
}

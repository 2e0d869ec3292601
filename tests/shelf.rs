//! Swings of the demo on a shelf.
#![allow(clippy::unwrap_used)]

use handpath::compare::scale_reference;
use handpath::formats::{ReadOptions, read};
use handpath::session::{Collection, Wish};
use handpath::settings::{Club, Corrections};
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

/// What the page and the command do: files in, the nearest in metres at the student's size out, by club and depth.
#[test]
fn a_collection_tells_the_nearest_in_metres() {
    let bytes = |name: &str| std::fs::read(Path::new(env!("CARGO_MANIFEST_DIR")).join("www/demo").join(name)).unwrap();
    let names = ["student-1-2.c3d", "reference-a.c3d", "reference-c.bvh", "reference-d.csv"];
    let mut shelf = Collection::default();
    for name in names {
        let shelved = shelf.add(name, &bytes(name), &Corrections::default());
        assert!(shelved.error.is_none() && shelved.tags.unwrap().label == name);
    }
    let refused = shelf.add("none", b"no table", &Corrections::default());
    assert!(refused.tags.is_none() && refused.error.is_some() && shelf.tags().len() == names.len());
    let query = bytes("student-1-1.c3d");
    let find = |wish: Wish| shelf.nearest_to_file(&query, None, &Corrections::default(), &Wish { count: 9, ..wish });
    let all = find(Wish::default());
    assert_eq!((all.among, all.near.len(), all.near[0].tags.label.as_str()), (4, 4, "student-1-2.c3d"));
    // A player's own swings are centimetres apart, those of others decimetres.
    assert!((0.001..0.06).contains(&all.near[0].apart_m) && all.near[3].apart_m < 1.0, "{all:?}");
    for club in Club::ALL {
        let found = find(Wish { club: Some(*club), ..Wish::default() });
        assert!(found.near.iter().all(|near| near.tags.club == *club));
        assert_eq!(found.among, shelf.tags().iter().filter(|tags| tags.club == *club).count());
    }
    let deep = find(Wish { within_m: Some(0.05), ..Wish::default() });
    let wanted = all.near.iter().filter(|near| near.deeper_m.is_some_and(|deeper_m| deeper_m.abs() <= 0.05));
    assert_eq!(deep.near, wanted.cloned().collect::<Vec<_>>());
    assert!(shelf.nearest_to_file(b"no table", None, &Corrections::default(), &Wish::default()).error.is_some());
    assert_eq!(Collection::from_pack(&shelf.to_pack()).unwrap().to_pack(), shelf.to_pack());
}

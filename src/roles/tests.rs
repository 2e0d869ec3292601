//! Name lists are written from general knowledge of the conventions (from memory, no file of these sets at hand).

use super::*;
use crate::formats::{Format, RateSource, Track};

/// A recording of two rows with these tracks.
fn recording(names: &[&str]) -> Recording {
    let track = |(at, name): (usize, &&str)| Track::marker(*name, vec![[at as f64, 0.0, 1.0]; 2]);
    Recording {
        format: Format::Text,
        first_row: 0,
        rate_hz: Some(100.0),
        rate_source: RateSource::Stated,
        clock_s: vec![0.0, 0.01],
        tracks: names.iter().enumerate().map(track).collect(),
        up: None,
        usual_up: None,
        events: Vec::new(),
        warnings: Vec::new(),
    }
}

fn guess(names: &[&str]) -> RoleMap {
    assign(&recording(names), &BTreeMap::new()).unwrap()
}

/// The map as `role=track+track` lines, in role order.
fn shown(names: &[&str]) -> String {
    let map = guess(names);
    let line = |(role, assignment): (&Role, &Assignment)| {
        let tracks: Vec<&str> = assignment.tracks.iter().map(|track| names[*track]).collect();
        format!("{}={}", role.name(), tracks.join("+"))
    };
    map.assigned.iter().map(line).collect::<Vec<_>>().join("\n")
}

/// Every expected line is there, and nothing else.
#[track_caller]
fn expect(names: &str, expected: &str) {
    let names: Vec<&str> = names.split_ascii_whitespace().collect();
    let wanted: Vec<&str> = expected.split_ascii_whitespace().collect();
    assert_eq!(shown(&names).lines().collect::<Vec<_>>(), wanted);
}

#[test]
fn conventional_gait_markers() {
    expect(
        "LFHD RFHD LBHD RBHD C7 T10 CLAV STRN RBAK LSHO LUPA LELB LFRM LWRA LWRB LFIN RSHO RUPA RELB RFRM RWRA RWRB RFIN
         LASI RASI LPSI RPSI LTHI LKNE LTIB LANK LHEE LTOE RTHI RKNE RTIB RANK RHEE RTOE",
        "left-hand=LFIN right-hand=RFIN left-wrist=LWRA+LWRB right-wrist=RWRA+RWRB left-elbow=LELB right-elbow=RELB
         left-shoulder=LSHO right-shoulder=RSHO left-hip-bone=LASI right-hip-bone=RASI left-hip-back=LPSI
         right-hip-back=RPSI left-knee=LKNE right-knee=RKNE left-ankle=LANK right-ankle=RANK left-heel=LHEE
         right-heel=RHEE left-toe=LTOE right-toe=RTOE notch=CLAV xiphoid=STRN c7=C7 t8=T10 head=LFHD+RFHD+LBHD+RBHD",
    );
}

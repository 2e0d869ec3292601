//! The list of guesses: everything the file does not settle by itself, most far-reaching first.

use super::assemble::{BallGuess, Parts};
use super::{Guess, GuessValue, Swing};
use crate::body::ASSUMED_STATURE_M;
use crate::roles::{Assignment, Role, RoleSource};
use crate::settings::{Club, Hand, SwingKind};

/// `club`: the club as its length tells it; `ball`: the ball's place and where it comes from.
pub(super) fn guesses(swing: &Swing, parts: &Parts, club: Option<Club>, ball: Option<BallGuess>) -> Vec<Guess> {
    let hands: Vec<&str> = parts.markers.hand_roles.iter().map(|role| role.name()).collect();
    let mut list = of_the_file(swing, parts);
    list.extend(of_the_player(parts));
    list.extend(of_the_swing(swing, parts, club));
    list.extend(ball.iter().flat_map(of_the_ball));
    list.push(Guess::word("mid-hands", &hands.join(" + "), "track name", "role"));
    list.extend(role_guesses(parts));
    list
}

fn of_the_file(swing: &Swing, parts: &Parts) -> Vec<Guess> {
    let (scale, up, mirror) = (&parts.markers.scale, &parts.markers.up, &parts.mirror);
    let unit = scale.unit.map_or("none of m, cm, mm, in, ft", |unit| unit.symbol());
    let (metres, sd) = (scale.metres_per_unit, scale.metres_per_unit * scale.relative_sd);
    vec![
        Guess::word("unit", unit, scale.source, "unit"),
        Guess::number("scale", metres, "m per file unit", sd, scale.source, "scale"),
        size_guess(swing, parts),
        Guess::word("up", up.axis.name(), up.source, "up"),
        Guess::word("mirror", if mirror.mirrored { "mirrored" } else { "as in the file" }, mirror.source, "mirror"),
    ]
}

fn of_the_player(parts: &Parts) -> Vec<Guess> {
    let (stance, aim) = (&parts.stance, parts.corrections.aim);
    let (hand, origin) = (stance.hand == Hand::Right, stance.has_body);
    let address = parts.coarse.address.source.name();
    vec![
        Guess::word("hand", if hand { "right" } else { "left" }, stance.hand_source, "hand"),
        Guess::number("target line", aim, "deg", stance.target.sd_deg(), stance.target.name(), "target"),
        Guess::word("origin", if origin { "floor" } else { "hands" }, stance.origin_source, "role"),
        Guess::word("address", address, address, "address"),
    ]
}

fn of_the_swing(swing: &Swing, parts: &Parts, club: Option<Club>) -> Vec<Guess> {
    let (corrections, number) = (parts.corrections, parts.coarse.number as f64);
    let stated = |given: bool, guessed: &'static str| if given { "stated by the user" } else { guessed };
    let by_length = if club.is_some() { "length of the club" } else { "assumed: iron" };
    let cutoff = stated(corrections.cutoff.is_some(), "default");
    vec![
        Guess::word("club", club_name(swing.club), stated(corrections.club.is_some(), by_length), "club"),
        Guess::word("kind", kind_name(swing.kind), stated(corrections.kind.is_some(), "course of the swing"), "kind"),
        Guess::number("cutoff", parts.markers.cutoff_hz, "Hz", 0.0, cutoff, "cutoff"),
        Guess::number(
            "swing",
            number,
            "of the recording",
            0.0,
            stated(corrections.swing.is_some(), "the fastest"),
            "swing",
        ),
    ]
}

fn of_the_ball((point, source, sd): &BallGuess) -> [Guess; 2] {
    let along = Guess {
        what: "ball along the target line".to_owned(),
        value: if point[1].is_nan() { GuessValue::from("unknown") } else { point[1].into() },
        unit: Some("m"),
        source: if point[1].is_nan() { "not in the file" } else { source },
        sd: None,
        correction: "ball-target",
    };
    [Guess::number("ball", point[0], "m", *sd, source, "ball-out"), along]
}

fn size_guess(swing: &Swing, parts: &Parts) -> Guess {
    let own = [
        (swing.size.arm_bones_m, "bones of the lead arm"),
        (swing.size.reach_m, "reach of the lead arm"),
        (swing.size.upper_arm_m, "upper arm of the lead side"),
    ];
    let own = own.into_iter().find_map(|(length, what)| Some((length?, what)));
    let (scale, stature) = (&parts.markers.scale, parts.corrections.stature);
    // 0.332 of stature: upper arm and forearm, see the bones in `body`.
    let (value, source) = match (own, stature) {
        // The bones are the player's own, but in metres only as far as the scale is known.
        (Some((length, what)), _) => (length, if scale.source.starts_with("assumed") { scale.source } else { what }),
        (None, Some(stature)) => (0.332 * stature, "stature stated by the user"),
        (None, None) => (0.332 * ASSUMED_STATURE_M, "assumed: stature 1.75 m"),
    };
    let sd = value * scale.relative_sd.hypot(0.02);
    Guess::number("size", value, "m", sd, source, "stature")
}

fn role_guesses(parts: &Parts) -> Vec<Guess> {
    let tracks = &parts.recording.tracks;
    let guess = |(role, assignment): (&Role, &Assignment)| {
        let names: Vec<&str> = assignment.tracks.iter().map(|&track| tracks[track].name.as_str()).collect();
        let source = match assignment.source {
            RoleSource::User => "stated by the user",
            RoleSource::Name => "track name",
        };
        Guess::word(&format!("role {}", role.name()), &names.join(" + "), source, "role")
    };
    parts.markers.roles.assigned.iter().map(guess).collect()
}

fn club_name(club: Club) -> &'static str {
    match club {
        Club::Driver => "driver",
        Club::FairwayWood => "fairway-wood",
        Club::Iron => "iron",
        Club::Wedge => "wedge",
    }
}

fn kind_name(kind: SwingKind) -> &'static str {
    match kind {
        SwingKind::Full => "full",
        SwingKind::Part => "part",
        SwingKind::Drill => "drill",
        SwingKind::Pause => "pause",
        SwingKind::Practice => "practice",
    }
}

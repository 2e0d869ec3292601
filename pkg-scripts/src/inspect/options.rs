//! The words after `cargo inspect`.

use handpath::align::{AlignOptions, Mode, StepPattern};
use handpath::formats::{Axis, LengthUnit};
use handpath::roles::Role;
use handpath::session::Wish;
use handpath::sets::{BandKind, Choice};
use handpath::settings::{Club, Corrections, Hand, SwingKind, TargetLine};
use handpath::swing::InstantName;
use lexopt::prelude::*;
use std::collections::BTreeMap;
use std::ffi::OsString;
use std::path::PathBuf;

/// What `--help` prints.
pub const HELP: &str = include_str!("help.txt");

/// A stature above this many metres was meant in centimetres.
const TALLEST_M: f64 = 3.0;

const HANDS: [(&str, Hand); 2] = [("right", Hand::Right), ("left", Hand::Left)];

const CLUBS: [(&str, Club); 4] =
    [("driver", Club::Driver), ("fairway-wood", Club::FairwayWood), ("iron", Club::Iron), ("wedge", Club::Wedge)];

const KINDS: [(&str, SwingKind); 5] = [
    ("full", SwingKind::Full),
    ("part", SwingKind::Part),
    ("drill", SwingKind::Drill),
    ("pause", SwingKind::Pause),
    ("practice", SwingKind::Practice),
];

const BANDS: [(&str, BandKind); 2] = [("whole-curve", BandKind::WholeCurve), ("pointwise", BandKind::Pointwise)];

/// What is to be inspected, and how.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Request {
    /// Files of the student.
    pub files: Vec<PathBuf>,
    /// Files of references.
    pub against: Vec<PathBuf>,
    /// Files of an earlier lesson of the student.
    pub before: Vec<PathBuf>,
    /// What is stated about the student's files.
    pub student: Stated,
    /// What is stated about the references.
    pub reference: Stated,
    /// What is stated about the files of the earlier lesson.
    pub earlier: Stated,
    /// Are the references swings of the student's own?
    pub own: bool,
    /// Which references go into the set.
    pub choice: Choice,
    /// Which band is drawn around an average path.
    pub set_band: BandKind,
    /// How the two are brought together in time.
    pub align: AlignOptions,
    /// One JSON document instead of text.
    pub json: bool,
    /// Where the tracks as read are written.
    pub tracks: Option<PathBuf>,
    /// Where everything is saved as a lesson file.
    pub save_lesson: Option<PathBuf>,
    /// What the student is called in it.
    pub code: Option<String>,
    /// A file of thresholds that differ from the rule table.
    pub thresholds: Option<PathBuf>,
    /// A house preset.
    pub preset: Option<PathBuf>,
    /// The name of one of its capture set-ups.
    pub setup: Option<String>,
    /// A folder of students' files, each for itself.
    pub folder: Option<PathBuf>,
    /// Where the folder's answer is written.
    pub csv: Option<PathBuf>,
    /// Where the folder's swings are saved as a shelf of references.
    pub save_shelf: Option<PathBuf>,
    /// A shelf that is looked through.
    pub shelf: Option<Wanted>,
    /// Odd but usable arguments, told before the answer.
    pub notes: Vec<String>,
}

/// What is looked for on a shelf.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Wanted {
    /// Its pack.
    pub pack: PathBuf,
    /// Which references, and how many.
    pub wish: Wish,
}

/// References that are told where nothing else is said.
const NEAREST: usize = 10;

/// What a user states about recordings.
#[derive(Clone, Debug, Default, PartialEq)]
pub struct Stated {
    /// A separate recording of the address.
    pub address: Option<PathBuf>,
    /// Corrections but for the roles, whose tracks can only be told apart once the file is read.
    pub corrections: Corrections,
    /// Role and the track names as typed.
    pub roles: BTreeMap<Role, String>,
}

impl Stated {
    /// The corrections for a recording with these track names: `A+B` is the two tracks A and B, unless one track is
    /// called `A+B`; nothing takes the role away.
    pub fn corrections(&self, has_track: impl Fn(&str) -> bool) -> Corrections {
        let split = |typed: &String| match typed.as_str() {
            "" => Vec::new(),
            whole if has_track(whole) => vec![whole.to_owned()],
            parts => parts.split('+').map(str::to_owned).collect(),
        };
        let roles = self.roles.iter().map(|(role, typed)| (*role, split(typed))).collect();
        Corrections { roles, ..self.corrections.clone() }
    }
}

/// Reads the arguments; `None`: help is wanted.
///
/// # Errors
/// An unknown option, or a value that cannot be meant.
pub fn parse(arguments: impl IntoIterator<Item = OsString>) -> Result<Option<Request>, lexopt::Error> {
    let mut request = Request::default();
    let mut parser = lexopt::Parser::from_args(arguments);
    while let Some(argument) = parser.next()? {
        let name = match argument {
            Value(file) => {
                request.files.push(file.into());
                continue;
            }
            Short('h') => return Ok(None),
            Short(letter) => format!("-{letter}"),
            Long(name) => name.to_owned(),
        };
        if name == "help" {
            return Ok(None);
        }
        option(&mut request, &name, &mut parser)?;
    }
    check(&request)?;
    Ok(Some(request))
}

fn option(request: &mut Request, name: &str, parser: &mut lexopt::Parser) -> Result<(), lexopt::Error> {
    match name {
        "json" => request.json = true,
        "free" => request.align.mode = Mode::Free,
        "against" => request.against.push(parser.value()?.into()),
        "before" => request.before.push(parser.value()?.into()),
        "own" => request.own = true,
        "all-references" => request.choice = Choice::SameKind,
        "set-band" => request.set_band = one_of(name, parser, &BANDS)?,
        "preset" => request.preset = Some(parser.value()?.into()),
        "setup" => request.setup = Some(text(parser)?),
        "folder" => request.folder = Some(parser.value()?.into()),
        "csv" => request.csv = Some(parser.value()?.into()),
        "save-shelf" => request.save_shelf = Some(parser.value()?.into()),
        "shelf" => wanted(request).pack = parser.value()?.into(),
        "shelf-club" => wanted(request).wish.club = Some(one_of(name, parser, &CLUBS)?),
        "shelf-hand" => wanted(request).wish.hand = Some(one_of(name, parser, &HANDS)?),
        "shelf-kind" => wanted(request).wish.kind = Some(one_of(name, parser, &KINDS)?),
        "shelf-depth" => wanted(request).wish.within_m = Some(positive(name, parser)?),
        "shelf-count" => wanted(request).wish.count = counted(name, &text(parser)?)?,
        "thresholds" => request.thresholds = Some(parser.value()?.into()),
        "save-lesson" => request.save_lesson = Some(parser.value()?.into()),
        "student" => request.code = Some(text(parser)?),
        "tracks" => request.tracks = Some(parser.value()?.into()),
        "band" => request.align.band = Some(within(name, number(name, parser)?, 0.0, 1.0)?),
        "step-pattern" => request.align.step = one_of(name, parser, &StepPattern::ALL.map(|step| (step.name(), step)))?,
        _ => {
            let (whose, name) = match (name.strip_prefix("against-"), name.strip_prefix("before-")) {
                (Some(name), _) => (&mut request.reference, name),
                (None, Some(name)) => (&mut request.earlier, name),
                (None, None) => (&mut request.student, name),
            };
            correct(whose, name, parser, &mut request.notes)?;
        }
    }
    Ok(())
}

fn wanted(request: &mut Request) -> &mut Wanted {
    request
        .shelf
        .get_or_insert_with(|| Wanted { wish: Wish { count: NEAREST, ..Wish::default() }, ..Wanted::default() })
}

fn correct(
    stated: &mut Stated,
    name: &str,
    parser: &mut lexopt::Parser,
    notes: &mut Vec<String>,
) -> Result<(), lexopt::Error> {
    let to = &mut stated.corrections;
    match name {
        "address" => stated.address = Some(parser.value()?.into()),
        "unit" => to.unit = Some(one_of(name, parser, &LengthUnit::ALL.map(|unit| (unit.symbol(), unit)))?),
        "scale" => to.scale = Some(positive(name, parser)?),
        "stature" => to.stature = Some(metres_tall(positive(name, parser)?, notes)?),
        "rate" => to.rate = Some(positive(name, parser)?),
        "hand" => to.hand = Some(one_of(name, parser, &HANDS)?),
        "mirror" => to.mirror = Some(one_of(name, parser, &[("yes", true), ("no", false)])?),
        "up" => to.up = Some(axis(name, &text(parser)?)?),
        "target" => to.target = Some(target(&text(parser)?)?),
        "aim" => to.aim = within(name, number(name, parser)?, -90.0, 90.0)?,
        "club" => to.club = Some(one_of(name, parser, &CLUBS)?),
        "kind" => to.kind = Some(one_of(name, parser, &KINDS)?),
        "role" => {
            let (role, tracks) = role(&text(parser)?)?;
            stated.roles.insert(role, tracks);
        }
        "ball-out" => to.ball_out = Some(number(name, parser)?),
        "ball-target" => to.ball_target = Some(number(name, parser)?),
        "cutoff" => to.cutoff = Some(positive(name, parser)?),
        "swing" => to.swing = Some(counted(name, &text(parser)?)?),
        "instant" => {
            let (instant, seconds) = instant(&text(parser)?)?;
            to.instants.insert(instant, seconds);
        }
        _ => return Err(format!("there is no option --{name}").into()),
    }
    Ok(())
}

fn check(request: &Request) -> Result<(), lexopt::Error> {
    check_folder(request)?;
    if request.files.is_empty() && request.folder.is_none() {
        return Err("no FILE given".into());
    }
    if request.setup.is_some() && request.preset.is_none() {
        return Err("--setup names a capture set-up of a --preset FILE".into());
    }
    if request.tracks.is_some() && request.files.len() > 1 {
        return Err("--tracks writes the tracks of one FILE".into());
    }
    if request.code.is_some() && request.save_lesson.is_none() {
        return Err("--student names the student of --save-lesson OUT.json".into());
    }
    if request.against.is_empty() && request.reference != Stated::default() {
        return Err("the --against-... options correct a reference, but there is no --against FILE".into());
    }
    if request.before.is_empty() && request.earlier != Stated::default() {
        return Err("the --before-... options correct an earlier lesson, but there is no --before FILE".into());
    }
    Ok(())
}

fn check_folder(request: &Request) -> Result<(), lexopt::Error> {
    if request.folder.is_some() != (request.csv.is_some() || request.save_shelf.is_some()) {
        return Err("--folder DIR goes together with --csv OUT.csv or --save-shelf PACK".into());
    }
    if request.csv.is_some() && request.save_shelf.is_some() {
        return Err("--folder DIR makes a table or a shelf, not both at once".into());
    }
    if request.shelf.as_ref().is_some_and(|wanted| wanted.pack.as_os_str().is_empty()) {
        return Err("the --shelf-... options need a --shelf PACK".into());
    }
    if request.shelf.is_some()
        && (request.folder.is_some() || !request.against.is_empty() || !request.before.is_empty())
    {
        return Err(
            "--shelf PACK tells the nearest of its references alone: no --folder, --against or --before beside it"
                .into(),
        );
    }
    let beside = !request.files.is_empty() || request.json || !request.before.is_empty();
    if request.folder.is_some() && (beside || request.tracks.is_some() || request.save_lesson.is_some()) {
        return Err("--folder DIR reads every file for itself into one table: no FILE, --json, --before, --tracks or \
                    --save-lesson beside it"
            .into());
    }
    Ok(())
}

fn text(parser: &mut lexopt::Parser) -> Result<String, lexopt::Error> {
    parser.value()?.string()
}

fn number(name: &str, parser: &mut lexopt::Parser) -> Result<f64, lexopt::Error> {
    finite(name, &text(parser)?)
}

fn finite(name: &str, typed: &str) -> Result<f64, lexopt::Error> {
    let value = typed.trim().parse::<f64>().ok().filter(|value| value.is_finite());
    value.ok_or_else(|| format!("--{name} takes a number, not {typed:?}").into())
}

fn positive(name: &str, parser: &mut lexopt::Parser) -> Result<f64, lexopt::Error> {
    let value = number(name, parser)?;
    if value > 0.0 { Ok(value) } else { Err(format!("--{name} takes a number above 0, not {value}").into()) }
}

fn within(name: &str, value: f64, least: f64, most: f64) -> Result<f64, lexopt::Error> {
    if (least..=most).contains(&value) {
        return Ok(value);
    }
    Err(format!("--{name} takes a number from {least} to {most}, not {value}").into())
}

fn counted(name: &str, typed: &str) -> Result<usize, lexopt::Error> {
    let value = typed.trim().parse::<usize>().ok().filter(|value| *value > 0);
    value.ok_or_else(|| format!("--{name} takes a whole number from 1 on, not {typed:?}").into())
}

/// Statures in centimetres are taken as such, and that is said.
fn metres_tall(value: f64, notes: &mut Vec<String>) -> Result<f64, lexopt::Error> {
    let metres = if value > TALLEST_M { value / 100.0 } else { value };
    if value > TALLEST_M {
        notes.push(format!("--stature {value} is taken as centimetres: {metres} m"));
    }
    within("stature", metres, 0.5, TALLEST_M)
}

fn one_of<T: Copy>(name: &str, parser: &mut lexopt::Parser, choices: &[(&str, T)]) -> Result<T, lexopt::Error> {
    let typed = text(parser)?;
    let found = choices.iter().find(|(word, _)| word.eq_ignore_ascii_case(typed.trim()));
    let words = || choices.iter().map(|(word, _)| *word).collect::<Vec<_>>().join(", ");
    found.map(|(_, choice)| *choice).ok_or_else(|| format!("--{name} takes one of {}, not {typed:?}", words()).into())
}

fn axis(name: &str, typed: &str) -> Result<Axis, lexopt::Error> {
    Axis::parse(typed).ok_or_else(|| format!("--{name} takes one of +x, -x, +y, -y, +z, -z, not {typed:?}").into())
}

fn target(typed: &str) -> Result<TargetLine, lexopt::Error> {
    let named = match typed.trim().to_ascii_lowercase().as_str() {
        "ankles" => Some(TargetLine::Ankles),
        "toes" => Some(TargetLine::Toes),
        "hips" => Some(TargetLine::Hips),
        "shoulders" => Some(TargetLine::Shoulders),
        _ => Axis::parse(typed).map(|axis| TargetLine::Direction(axis.unit())),
    };
    let markers = || {
        let (near, far) = typed.split_once('>')?;
        let name = |text: &str| Some(text.trim().to_owned()).filter(|name| !name.is_empty());
        Some(TargetLine::Markers { near: name(near)?, far: name(far)? })
    };
    named.or_else(|| direction(typed)).or_else(markers).ok_or_else(|| {
        let choices = "ankles, toes, hips, shoulders, an axis such as +x, a direction DX,DY,DZ, or two tracks NEAR>FAR";
        format!("--target takes {choices}, not {typed:?}").into()
    })
}

fn direction(typed: &str) -> Option<TargetLine> {
    let parts: Vec<f64> = typed.split(',').map(|part| part.trim().parse().ok()).collect::<Option<_>>()?;
    let direction: [f64; 3] = parts.try_into().ok()?;
    let usable = direction.iter().all(|x| x.is_finite()) && direction.iter().any(|x| *x != 0.0);
    usable.then_some(TargetLine::Direction(direction))
}

fn role(typed: &str) -> Result<(Role, String), lexopt::Error> {
    let (name, tracks) = typed
        .split_once('=')
        .ok_or_else(|| format!("--role takes ROLE=TRACK, ROLE=TRACK+TRACK or ROLE=, not {typed:?}"))?;
    let role = Role::parse(name.trim()).ok_or_else(|| {
        let names = Role::ALL.iter().map(|role| role.name()).collect::<Vec<_>>().join(", ");
        format!("there is no role {name:?}; the roles are {names}")
    })?;
    Ok((role, tracks.to_owned()))
}

fn instant(typed: &str) -> Result<(String, f64), lexopt::Error> {
    let (name, seconds) =
        typed.split_once('=').ok_or_else(|| format!("--instant takes NAME=SECONDS, not {typed:?}"))?;
    let instant = InstantName::parse(name.trim()).ok_or_else(|| {
        let names = InstantName::ALL.map(InstantName::name).join(", ");
        format!("there is no instant {name:?}; the instants are {names}")
    })?;
    Ok((instant.name().to_owned(), finite("instant", seconds)?))
}

#[cfg(test)]
mod tests {
    use super::*;
    use handpath::table::Table;

    fn ask(words: &[&str]) -> Result<Option<Request>, lexopt::Error> {
        parse(words.iter().map(OsString::from))
    }

    fn asked(words: &[&str]) -> Request {
        ask(words).unwrap().unwrap()
    }

    fn refused(words: &[&str]) -> String {
        ask(words).unwrap_err().to_string()
    }

    #[test]
    fn every_correction_has_an_option() {
        let words = "a.csv --unit mm --scale 0.05 --stature 1.8 --rate 240 --hand left --mirror yes --up -z --target +x \
             --aim -2.5 --club iron --kind drill --role left-wrist=LWRA+LWRB --ball-out 0.8 --ball-target -0.1 \
             --cutoff 12 --swing 2 --instant";
        let mut words: Vec<&str> = words.split_whitespace().collect();
        words.push("lead arm level=1.25");
        let request = asked(&words);
        let corrections = request.student.corrections(|_| false);
        let stated = serde_json::to_value(&corrections).unwrap();
        for (name, value) in stated.as_object().unwrap() {
            assert!(!value.is_null() && *value != serde_json::json!({}), "{name} has no option above");
        }
        assert_eq!(corrections.roles[&Role::LeftWrist], ["LWRA", "LWRB"]);
        assert_eq!(corrections.instants, Table::from([("lead arm level".to_owned(), 1.25)]));
        assert_eq!(corrections.target, Some(TargetLine::Direction([1.0, 0.0, 0.0])));
        assert_eq!(corrections.mirror, Some(true));
    }

    #[test]
    fn references_are_corrected_by_options_of_their_own() {
        let request =
            asked(&["a.c3d", "--against", "b.bvh", "--against-unit", "in", "--unit", "mm", "--band=0.1", "--free"]);
        assert_eq!(request.files, [PathBuf::from("a.c3d")]);
        assert_eq!(request.against, [PathBuf::from("b.bvh")]);
        assert_eq!(request.student.corrections.unit, Some(LengthUnit::Millimetre));
        assert_eq!(request.reference.corrections.unit, Some(LengthUnit::Inch));
        assert_eq!((request.align.band, request.align.mode), (Some(0.1), Mode::Free));
        let patterns = StepPattern::ALL.map(|step| asked(&["a", "--step-pattern", step.name()]).align.step);
        assert_eq!(patterns, StepPattern::ALL);
    }

    #[test]
    fn an_earlier_lesson_has_files_and_options_of_its_own() {
        let request = asked(&["a", "b", "--before", "c", "--before", "d", "--before-target", "-x", "--target", "+x"]);
        assert_eq!(request.before, [PathBuf::from("c"), PathBuf::from("d")]);
        let target = |stated: &Stated| stated.corrections.target.clone();
        assert_eq!(target(&request.student), Some(TargetLine::Direction([1.0, 0.0, 0.0])));
        assert_eq!(target(&request.earlier), Some(TargetLine::Direction([-1.0, 0.0, 0.0])));
        let request = asked(&["a", "--against", "b", "--own", "--all-references", "--set-band", "pointwise"]);
        assert_eq!((request.own, request.choice, request.set_band), (true, Choice::SameKind, BandKind::Pointwise));
    }

    #[test]
    fn the_target_line_is_written_in_four_ways() {
        assert_eq!(target("toes").unwrap(), TargetLine::Toes);
        assert_eq!(target("-Y").unwrap(), TargetLine::Direction([0.0, -1.0, 0.0]));
        assert_eq!(target("1, 0,-0.5").unwrap(), TargetLine::Direction([1.0, 0.0, -0.5]));
        let markers = TargetLine::Markers { near: "T1".into(), far: "T 2".into() };
        assert_eq!(target("T1 > T 2").unwrap(), markers);
        for wrong in ["", "knees", "0,0,0", "1,2", "1,2,NaN", ">", "a>"] {
            assert!(target(wrong).is_err(), "{wrong}");
        }
    }

    #[test]
    fn a_plus_joins_tracks_unless_it_is_part_of_a_name() {
        let request = asked(&["a", "--role", "ball=A+B", "--role", "head="]);
        assert_eq!(request.student.corrections(|name| name == "A+B").roles[&Role::Ball], ["A+B"]);
        assert_eq!(request.student.corrections(|_| false).roles[&Role::Ball], ["A", "B"]);
        assert!(request.student.corrections(|_| false).roles[&Role::Head].is_empty());
    }

    #[test]
    fn statures_in_centimetres_are_told() {
        let request = asked(&["a", "--stature", "178"]);
        assert_eq!(request.student.corrections.stature, Some(1.78));
        assert_eq!(request.notes, ["--stature 178 is taken as centimetres: 1.78 m"]);
        assert_eq!(refused(&["a", "--stature", "0.3"]), "--stature takes a number from 0.5 to 3, not 0.3");
    }

    #[test]
    fn wrong_words_say_what_is_right() {
        assert_eq!(refused(&[]), "no FILE given");
        assert_eq!(refused(&["a", "--colour", "x"]), "there is no option --colour");
        assert_eq!(refused(&["a", "--unit", "yd"]), "--unit takes one of mm, m, cm, in, ft, not \"yd\"");
        assert_eq!(refused(&["a", "--scale", "-1"]), "--scale takes a number above 0, not -1");
        assert_eq!(refused(&["a", "--rate", "inf"]), "--rate takes a number, not \"inf\"");
        assert_eq!(refused(&["a", "--up", "w"]), "--up takes one of +x, -x, +y, -y, +z, -z, not \"w\"");
        assert_eq!(refused(&["a", "--swing", "0"]), "--swing takes a whole number from 1 on, not \"0\"");
        assert_eq!(refused(&["a", "--band", "2"]), "--band takes a number from 0 to 1, not 2");
        assert_eq!(refused(&["a", "b", "--tracks", "c"]), "--tracks writes the tracks of one FILE");
        assert!(
            refused(&["a", "--role", "nose=A"]).starts_with("there is no role \"nose\"; the roles are mid-hands, ")
        );
        assert!(refused(&["a", "--role", "head"]).starts_with("--role takes ROLE=TRACK"));
        assert!(refused(&["a", "--instant", "noon=1"]).contains("the instants are address, takeaway, top, "));
        assert!(refused(&["a", "--against-unit", "mm"]).contains("there is no --against FILE"));
        assert!(refused(&["a", "--before-unit", "mm"]).contains("there is no --before FILE"));
        assert_eq!(
            refused(&["a", "--set-band", "wide"]),
            "--set-band takes one of whole-curve, pointwise, not \"wide\""
        );
        assert!(ask(&["--help"]).unwrap().is_none() && ask(&["a", "-h"]).unwrap().is_none());
    }

    #[test]
    fn help_names_every_option() {
        let fields = serde_json::to_value(Corrections::default()).unwrap();
        let singular = |name: &str| name.strip_suffix('s').unwrap_or(name).to_owned();
        for name in fields.as_object().unwrap().keys() {
            let option = if ["roles", "instants"].contains(&name.as_str()) { singular(name) } else { name.clone() };
            assert!(HELP.contains(&format!("  --{option} ")), "{option}");
        }
    }
}

//! One ball: where it started, how it bent, how it was struck, and what a launch measurement says, if there is one.
//!
//! The nine flights are three starts times three curves (common practice; the names are those of the trade). On the line
//! is what starts within a tolerance of it, 2 degrees unless another is stated.
//!
//! The start lies 61 to 83 % of the way from club path to face angle, by club ("The influence of face angle and club path
//! on the resultant launch angle of a golf ball", Proceedings 2018, 2(6):249, doi 10.3390/proceedings2060249). Of a
//! centred strike the curve goes to the side on which the face looks from the path. Numbers that contradict this are
//! told, not changed: most often a sign was typed the other way round.

use super::take::Take;
use crate::plain::{self, Given};
use crate::settings::Hand;
use crate::words::Message;

/// Half of what counts as "on the line", degrees, unless stated otherwise.
pub const TOLERANCE_DEG: f64 = 2.0;

/// The least and the greatest share of the way from path to face at which balls start; see the module.
pub const FACE_SHARE: [f64; 2] = [0.61, 0.83];

/// No angle at launch is larger, degrees (working assumption): a larger one is a slip of the pen.
const LARGEST_DEG: f64 = 45.0;

/// Fastest club head that is believed, m/s (working assumption; published are up to 58 with a driver: MacKenzie et al.
/// 2015, Int J Golf Sci 4:136-146).
const FASTEST_M_S: f64 = 75.0;

/// Where a ball started, seen from the target line.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Start {
    /// On the player's own side: left for a right-hander.
    Pull,
    /// On the line.
    Straight,
    /// On the other side: right for a right-hander.
    Push,
}

plain::words!(Start { Pull = "pull", Straight = "straight", Push = "push" });

/// How a ball bent after its start.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Curve {
    /// Strongly to the pull side: left for a right-hander.
    Hook,
    /// Slightly to the pull side.
    Draw,
    /// Not.
    None,
    /// Slightly to the push side.
    Fade,
    /// Strongly to the push side.
    Slice,
}

plain::words!(Curve { Hook = "hook", Draw = "draw", None = "none", Fade = "fade", Slice = "slice" });

impl Curve {
    /// -1 to the pull side, 0, 1 to the push side.
    pub fn side(self) -> i32 {
        match self {
            Curve::Hook | Curve::Draw => -1,
            Curve::None => 0,
            Curve::Fade | Curve::Slice => 1,
        }
    }
}

/// Where the club met the ball.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Strike {
    /// In the middle.
    Centre,
    /// Towards the toe.
    Toe,
    /// Towards the heel.
    Heel,
    /// Too high on the ball.
    Thin,
    /// The ground first.
    Fat,
}

plain::words!(Strike { Centre = "centre", Toe = "toe", Heel = "heel", Thin = "thin", Fat = "fat" });

/// One of the nine flights.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Flight {
    /// Starts on the pull side, bends further.
    PullHook,
    /// Starts on the pull side, stays straight.
    Pull,
    /// Starts on the pull side, bends back.
    PullSlice,
    /// Starts on the line, bends to the pull side.
    Hook,
    /// Starts on the line, stays.
    Straight,
    /// Starts on the line, bends to the push side.
    Slice,
    /// Starts on the push side, bends back.
    PushHook,
    /// Starts on the push side, stays straight.
    Push,
    /// Starts on the push side, bends further.
    PushSlice,
}

plain::words!(Flight {
    PullHook = "pull-hook",
    Pull = "pull",
    PullSlice = "pull-slice",
    Hook = "hook",
    Straight = "straight",
    Slice = "slice",
    PushHook = "push-hook",
    Push = "push",
    PushSlice = "push-slice"
});

/// The flight of a start and a curve; a slight curve counts like a strong one, `grade` of the answer keeps them apart.
pub fn flight(start: Start, curve: Curve) -> Flight {
    Flight::ALL[start as usize * 3 + (curve.side() + 1) as usize]
}

/// Numbers of a launch measurement, turned so that positive is the push side: right of the target for a right-hander.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Launch {
    /// Start direction from the target line, degrees.
    pub start_deg: Option<f64>,
    /// Face angle at impact from the target line, degrees.
    pub face_deg: Option<f64>,
    /// Club path at impact from the target line, degrees; positive is in-to-out.
    pub path_deg: Option<f64>,
    /// Speed of the club head, m/s.
    pub club_speed_m_s: Option<f64>,
}

plain::record!(Launch { start_deg, face_deg, path_deg, club_speed_m_s });

impl Launch {
    /// As typed in: angles positive to the right of the target, for either hand.
    fn take(given: &Given, hand: Hand, told: &mut Vec<Message>) -> Launch {
        let mut fields = Take::of(given);
        let sign = if hand == Hand::Left { -1.0 } else { 1.0 };
        let mut angle = |name| fields.number(name, -LARGEST_DEG, LARGEST_DEG).map(|angle| sign * angle + 0.0);
        let (start_deg, face_deg, path_deg) = (angle("start_deg"), angle("face_deg"), angle("path_deg"));
        let club_speed_m_s = fields.number("club_speed_m_s", 0.0, FASTEST_M_S);
        told.append(&mut fields.told);
        Launch { start_deg, face_deg, path_deg, club_speed_m_s }
    }

    /// Where a ball of this face and path starts, degrees from the target line: least and greatest.
    pub fn expected_start_deg(&self) -> Option<[f64; 2]> {
        let (face, path) = self.face_deg.zip(self.path_deg)?;
        let [a, b] = FACE_SHARE.map(|share| path + share * (face - path));
        Some([a.min(b), a.max(b)])
    }
}

/// One ball. What was not seen is `None`.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub struct Ball {
    /// Where it started.
    pub start: Option<Start>,
    /// How it bent.
    pub curve: Option<Curve>,
    /// How it was struck.
    pub strike: Option<Strike>,
    /// What was measured.
    pub launch: Launch,
}

impl Ball {
    /// Reads `{start, curve, strike, launch: {start_deg, face_deg, path_deg, club_speed_m_s}}`, the angles positive to the
    /// right of the target for either hand. A start that nobody saw, but that was measured, is taken from the
    /// measurement. What cannot be meant is left out and told.
    pub fn take(given: &Given, hand: Hand, tolerance_deg: f64, told: &mut Vec<Message>) -> Ball {
        let mut fields = Take::of(given);
        let launch = Launch::take(fields.given("launch"), hand, &mut fields.told);
        let seen: Option<Start> = fields.take("start");
        let start = seen.or_else(|| launch.start_deg.map(|angle| start_of(angle, tolerance_deg)));
        let ball = Ball { start, curve: fields.take("curve"), strike: fields.take("strike"), launch };
        told.append(&mut fields.told);
        ball
    }

    /// The flight, where start and curve are known.
    pub fn flight(&self) -> Option<Flight> {
        Some(flight(self.start?, self.curve?))
    }

    /// A pull that bends further to the pull side: it points to the face, not to the path.
    pub fn is_face_pull(&self) -> bool {
        self.start == Some(Start::Pull) && self.curve.is_some_and(|curve| curve.side() < 0)
    }

    /// Does the strike itself bend the ball? Off the toe or the heel of a club with a bulge it does.
    fn is_off_centre(&self) -> bool {
        matches!(self.strike, Some(Strike::Toe | Strike::Heel))
    }

    /// What contradicts itself.
    pub fn contradictions(&self, tolerance_deg: f64) -> Vec<Message> {
        let found = [self.start_seen(tolerance_deg), self.start_expected(tolerance_deg), self.bend(tolerance_deg)];
        found.into_iter().flatten().collect()
    }

    /// The start that was tapped against the one that was measured. Both may be right within the tolerance.
    fn start_seen(&self, tolerance_deg: f64) -> Option<Message> {
        let (seen, angle) = self.start.zip(self.launch.start_deg)?;
        let fits = [-tolerance_deg, 0.0, tolerance_deg].iter().any(|off| start_of(angle + off, tolerance_deg) == seen);
        let told = || Message::new("coach.ball_start_differs").with("start", seen.name()).with("degrees", angle);
        (!fits).then(told)
    }

    /// The measured start against face and path.
    fn start_expected(&self, tolerance_deg: f64) -> Option<Message> {
        let (start, [low, high]) = self.launch.start_deg.zip(self.launch.expected_start_deg())?;
        let off = |start: f64, [low, high]: [f64; 2]| start < low - tolerance_deg || start > high + tolerance_deg;
        if !off(start, [low, high]) {
            return None;
        }
        let told = |message: Message| message.with("degrees", start).with("low", low).with("high", high);
        // With the other sign it would fit: that is what most likely happened.
        let turned = !off(-start, [low, high]);
        Some(told(if turned { Message::new("coach.ball_sign") } else { Message::new("coach.ball_start_off") }))
    }

    /// The curve that was seen against the face as it looks from the path.
    fn bend(&self, tolerance_deg: f64) -> Option<Message> {
        let (face, path) = self.launch.face_deg.zip(self.launch.path_deg)?;
        let curve = self.curve.filter(|_| !self.is_off_centre())?;
        let opens = face - path;
        let against = opens.abs() > tolerance_deg && f64::from(curve.side()) * opens < 0.0;
        let told = || Message::new("coach.ball_curve_off").with("curve", curve.name()).with("degrees", opens);
        against.then(told)
    }
}

/// The start of an angle, positive to the push side.
pub fn start_of(angle_deg: f64, tolerance_deg: f64) -> Start {
    match angle_deg {
        angle if angle < -tolerance_deg => Start::Pull,
        angle if angle > tolerance_deg => Start::Push,
        _ => Start::Straight,
    }
}

/// A side, as the player sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Side {
    /// Left of the line.
    Left,
    /// On it, or straight on.
    On,
    /// Right of it.
    Right,
}

plain::words!(Side { Left = "left", On = "on", Right = "right" });

impl Side {
    /// From -1, the pull side, to 1, the push side.
    fn of(side: i32, hand: Hand) -> Side {
        let seen = if hand == Hand::Left { -side } else { side };
        Side::ALL[(seen + 1) as usize]
    }
}

impl Start {
    /// -1 to the pull side, 0, 1 to the push side.
    fn side(self) -> i32 {
        self as i32 - 1
    }
}

/// A word for a ball, and on which side a player of a hand sees it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Choice {
    /// The word of the log.
    pub word: &'static str,
    /// Where that is.
    pub side: Side,
}

plain::record!(Choice { word, side });

/// The words of a log.
#[derive(Clone, Debug, PartialEq)]
pub struct Choices {
    /// Of starts, from left to right.
    pub starts: Vec<Choice>,
    /// Of curves, from left to right.
    pub curves: Vec<Choice>,
    /// Of strikes.
    pub strikes: Vec<Strike>,
}

plain::record!(Choices { starts, curves, strikes });

/// The words for a player of this hand.
pub fn choices(hand: Hand) -> Choices {
    let start = |start: &Start| Choice { word: start.name(), side: Side::of(start.side(), hand) };
    let curve = |curve: &Curve| Choice { word: curve.name(), side: Side::of(curve.side(), hand) };
    let mut starts: Vec<Choice> = Start::ALL.iter().map(start).collect();
    let mut curves: Vec<Choice> = Curve::ALL.iter().map(curve).collect();
    if hand == Hand::Left {
        starts.reverse();
        curves.reverse();
    }
    Choices { starts, curves, strikes: Strike::ALL.to_vec() }
}

/// What is told of one ball.
#[derive(Clone, Debug, PartialEq)]
pub struct BallAnswer {
    /// Start, also from the measurement where nobody saw it.
    pub start: Option<Start>,
    /// Curve, its grade in its word: hook and slice are strong, draw and fade slight.
    pub curve: Option<Curve>,
    /// One of the nine.
    pub flight: Option<Flight>,
    /// Does it point to the face (a pull that bends further)?
    pub face: bool,
    /// Where the player saw it start.
    pub starts: Option<Side>,
    /// Where the player saw it bend.
    pub bends: Option<Side>,
    /// What cannot be meant, and what contradicts itself.
    pub notes: Vec<Message>,
}

plain::record!(BallAnswer { start, curve, flight, face, starts, bends, notes });

/// Reads a ball and says what it was.
pub fn told(given: &Given, hand: Hand, tolerance_deg: f64) -> BallAnswer {
    let mut notes = vec![];
    let ball = Ball::take(given, hand, tolerance_deg, &mut notes);
    notes.extend(ball.contradictions(tolerance_deg));
    BallAnswer {
        start: ball.start,
        curve: ball.curve,
        flight: ball.flight(),
        face: ball.is_face_pull(),
        starts: ball.start.map(|start| Side::of(start.side(), hand)),
        bends: ball.curve.map(|curve| Side::of(curve.side(), hand)),
        notes,
    }
}

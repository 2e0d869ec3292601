use super::instants::{LEAD_SOURCE, instant, lead_again};
use super::{GuessValue, InstantName, Swing};
use crate::formats::Point;

impl Swing {
    /// Where the ball is once the target line is turned by so many degrees.
    pub(crate) fn ball_turned(&self, degrees: f64) -> Option<Point> {
        self.ball.as_ref().map(|ball| turned_ball(self, ball, turn_by(degrees)))
    }

    /// The same swing with its target line turned by so many degrees, positive towards the player's `out` side: as if
    /// analysed with the correction `aim` raised by as much, at a small part of the cost.
    ///
    /// Tracks turn about the vertical. Instants stay, but for an impact that rests on the hands' way towards the
    /// target, which is found again. Distances stated by the user stay.
    #[must_use]
    pub fn turned(&self, degrees: f64) -> Swing {
        let turn = turn_by(degrees);
        let track = |points: &Vec<Point>| points.iter().map(turn).collect::<Vec<_>>();
        let mut turned = Swing {
            hands: track(&self.hands),
            body: self.body.iter().map(|(&point, points)| (point, track(points))).collect(),
            hands_at_address: self.hands_at_address.as_ref().map(turn),
            ball: self.ball_turned(degrees),
            ..self.clone()
        };
        turn_guesses(&mut turned, degrees);
        turn_impact(&mut turned);
        turned
    }
}

/// A point in the frame of a target line turned by so much.
fn turn_by(degrees: f64) -> impl Fn(&Point) -> Point + Copy {
    let (sin, cos) = degrees.to_radians().sin_cos();
    move |[out, target, up]| [out * cos - target * sin, out * sin + target * cos, *up]
}

/// The ball turns as a point does. Where it is placed by the shaft's usual angle, it lies straight out from the hands,
/// and where along the target line is unknown.
fn turned_ball(swing: &Swing, ball: &Point, turn: impl Fn(&Point) -> Point) -> Point {
    let source = swing.guesses.iter().find(|guess| guess.what == "ball").map_or("", |guess| guess.source);
    match swing.hands_at_address {
        _ if source == "stated by the user" => *ball,
        Some(hands) if ball[1].is_nan() => [ball[0] + turn(&hands)[0] - hands[0], f64::NAN, ball[2]],
        _ => turn(ball),
    }
}

fn turn_guesses(swing: &mut Swing, degrees: f64) {
    let ball = swing.ball;
    for guess in &mut swing.guesses {
        match (guess.what.as_str(), &mut guess.value, ball) {
            ("target line", GuessValue::Number(aim), _) => *aim += degrees,
            ("ball", GuessValue::Number(out), Some(ball)) => *out = ball[0],
            ("ball along the target line", GuessValue::Number(along), Some(ball)) => *along = ball[1],
            _ => {}
        }
    }
}

/// Finds again the impact that rests on the hands' way towards the target.
fn turn_impact(swing: &mut Swing) {
    let Some(at) = swing.instants.iter().position(|i| i.name == InstantName::Impact && i.source == LEAD_SOURCE) else {
        return;
    };
    let (before_s, sd_s) = (swing.instants[at].time_s, swing.instants[at].sd_s);
    if let Some(time_s) = lead_again(swing, before_s) {
        swing.instants[at] = instant(swing, InstantName::Impact, (time_s, sd_s, LEAD_SOURCE));
    }
}

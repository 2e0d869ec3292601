use crate::body::BodySize;
use crate::formats::Point;
use crate::swing::Swing;

/// A swing with all its lengths multiplied by `factor`, about the origin of its body-relative frame (the floor between
/// the ankles): hand path, body, club, ball, sizes, noise. Times, instants and angles stay.
///
/// The ball and the club shrink and grow with the body, and guesses and warnings go on to speak of the file's own
/// lengths.
#[must_use]
pub fn scale_reference(swing: &Swing, factor: f64) -> Swing {
    let point = |p: &Point| p.map(|x| x * factor);
    let track = |points: &Vec<Point>| points.iter().map(point).collect::<Vec<_>>();
    let length = |metres: Option<f64>| metres.map(|x| x * factor);
    Swing {
        hands: track(&swing.hands),
        body: swing.body.iter().map(|(&name, points)| (name, track(points))).collect(),
        hands_at_address: swing.hands_at_address.as_ref().map(point),
        ball: swing.ball.as_ref().map(point),
        size: BodySize {
            arm_bones_m: length(swing.size.arm_bones_m),
            upper_arm_m: length(swing.size.upper_arm_m),
            reach_m: length(swing.size.reach_m),
            stature_m: length(swing.size.stature_m),
        },
        noise_m: swing.noise_m * factor,
        ..swing.clone()
    }
}

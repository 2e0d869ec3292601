use crate::body::BodySize;
use crate::swing::Swing;

/// A swing with all its lengths multiplied by `factor`, about the origin of its body-relative frame (the floor between
/// the ankles): hand path, body, club, ball, sizes, noise. Times, instants and angles stay.
///
/// The ball and the club shrink and grow with the body, and guesses and warnings go on to speak of the file's own
/// lengths.
#[must_use]
pub fn scale_reference(swing: &Swing, factor: f64) -> Swing {
    let mut scaled = swing.clone();
    for points in scaled.body.values_mut().chain([&mut scaled.hands]) {
        points.iter_mut().flatten().for_each(|x| *x *= factor);
    }
    scaled.hands_at_address.iter_mut().chain(&mut scaled.ball).flatten().for_each(|x| *x *= factor);
    let BodySize { arm_bones_m, upper_arm_m, reach_m, stature_m } = &mut scaled.size;
    let lengths = [arm_bones_m, upper_arm_m, reach_m, stature_m].into_iter().flatten();
    lengths.chain([&mut scaled.noise_m]).for_each(|metres| *metres *= factor);
    scaled
}

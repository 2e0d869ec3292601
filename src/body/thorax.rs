use crate::formats::{Point, is_gap};
use nalgebra::{Matrix3, Vector3};

/// The frame of the thorax at one instant: right-handed, orthonormal.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Thorax {
    /// Suprasternal notch, in the axes and unit of the landmarks.
    pub origin: Vector3<f64>,
    /// Columns: forward (X), up along the trunk (Y), to the right of the body (Z), in the axes of the landmarks. They
    /// take coordinates in the thorax to coordinates of the landmarks.
    pub axes: Matrix3<f64>,
}

/// Landmarks closer to one line than this (sine of the angle between them) do not fix a frame.
const FLATTEST: f64 = 1e-6;

impl Thorax {
    /// The thorax frame of the International Society of Biomechanics (Wu et al. 2005, J Biomech 38:981-992): Y from
    /// midpoint(`px`, `t8`) to midpoint(`ij`, `c7`); Z perpendicular to the plane of `ij`, `c7` and midpoint(`px`, `t8`),
    /// to the right; X perpendicular to both, forward.
    ///
    /// `ij` suprasternal notch, `c7` lowest neck vertebra, `px` xiphoid process, `t8` eighth thoracic vertebra: any
    /// right-handed axes, any one unit. For a mirrored left-hander "right" is the trail side, as for a right-hander.
    /// `None` where a landmark is missing or they lie on a line.
    pub fn isb(ij: &Point, c7: &Point, px: &Point, t8: &Point) -> Option<Thorax> {
        if [ij, c7, px, t8].into_iter().any(is_gap) {
            return None;
        }
        let [ij, c7, px, t8] = [ij, c7, px, t8].map(|point| Vector3::from(*point));
        let lower = (px + t8) / 2.0;
        let y = ((ij + c7) / 2.0 - lower).try_normalize(f64::MIN_POSITIVE)?;
        let back = (c7 - ij).try_normalize(f64::MIN_POSITIVE)?;
        let down = (lower - ij).try_normalize(f64::MIN_POSITIVE)?;
        let z = back.cross(&down).try_normalize(FLATTEST)?;
        Some(Thorax { origin: ij, axes: Matrix3::from_columns(&[y.cross(&z), y, z]) })
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::formats::GAP;

    const BODY: [Point; 4] = [[0.05, 1.45, 0.0], [-0.09, 1.52, 0.0], [0.10, 1.25, 0.0], [-0.12, 1.30, 0.0]];

    fn isb([ij, c7, px, t8]: [Point; 4]) -> Option<Thorax> {
        Thorax::isb(&ij, &c7, &px, &t8)
    }

    #[test]
    fn missing_or_collinear_landmarks_fix_no_frame() {
        for missing in 0..4 {
            let mut body = BODY;
            body[missing] = GAP;
            assert_eq!(isb(body), None);
        }
        assert_eq!(isb([[0.0; 3]; 4]), None);
        assert_eq!(isb([0.0, 1.0, 2.0, 3.0].map(|x| [x, 2.0 * x, -x])), None);
    }

    #[test]
    fn a_body_in_millimetres_has_the_same_axes() {
        let (metres, millimetres) = (isb(BODY).unwrap(), isb(BODY.map(|p| p.map(|x| 1000.0 * x))).unwrap());
        assert!((metres.axes - millimetres.axes).norm() < 1e-12);
        assert!((metres.axes.determinant() - 1.0).abs() < 1e-12);
    }
}

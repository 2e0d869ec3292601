//! The points of the data section.

use super::layout::Layout;
use super::numbers::Processor;
use crate::formats::{GAP, Point};

/// The points of the wanted columns, one list per column.
///
/// Residual word, after the user guide: negative, the point is missing, whatever its coordinates; else the high byte
/// tells the cameras and the low byte the residual, and the point counts even with residual zero (interpolated). In a
/// float file the word is a float that is made a signed integer first: 2565.0 is 0x0A05, cameras 2 and 4, residual 5.
pub(super) fn read(file: &[u8], layout: &Layout, processor: Processor, wanted: &[usize]) -> Vec<Vec<Point>> {
    let data = file.get(layout.start..).unwrap_or(&[]);
    let point_bytes = 4 * layout.element_bytes();
    let mut columns: Vec<Vec<Point>> = wanted.iter().map(|_| Vec::with_capacity(layout.frames)).collect();
    for frame in data.chunks_exact(layout.frame_bytes()).take(layout.frames) {
        for (column, &index) in columns.iter_mut().zip(wanted) {
            let point = frame.get(index * point_bytes..).unwrap_or(&[]);
            column.push(match layout.int_scale {
                None => floats(point, processor),
                Some(scale) => words(point, scale, processor),
            });
        }
    }
    columns
}

fn floats(point: &[u8], processor: Processor) -> Point {
    let [x, y, z, residual] = [0, 4, 8, 12].map(|offset| processor.float_at(point, offset).unwrap_or(f64::NAN));
    // Made an integer, anything above -1 is not negative; a residual that is no number is no residual.
    if residual > -1.0 && x.is_finite() && y.is_finite() && z.is_finite() { [x, y, z] } else { GAP }
}

fn words(point: &[u8], scale: f64, processor: Processor) -> Point {
    let [x, y, z, residual] = [0, 2, 4, 6].map(|offset| processor.int_at(point, offset).unwrap_or(-1));
    if residual < 0 { GAP } else { [x, y, z].map(|word| f64::from(word) * scale) }
}

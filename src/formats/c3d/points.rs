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
    // One loop per element type and processor, so that nothing is decided inside it.
    match (layout.int_scale, processor) {
        (None, Processor::Intel) => columns(data, layout, wanted, |point| floats(point, Processor::Intel)),
        (None, Processor::Dec) => columns(data, layout, wanted, |point| floats(point, Processor::Dec)),
        (None, Processor::Sgi) => columns(data, layout, wanted, |point| floats(point, Processor::Sgi)),
        (Some(scale), Processor::Sgi) => columns(data, layout, wanted, |point| words(point, scale, Processor::Sgi)),
        (Some(scale), _) => columns(data, layout, wanted, |point| words(point, scale, Processor::Intel)),
    }
}

#[inline(always)]
fn columns<const BYTES: usize>(
    data: &[u8],
    layout: &Layout,
    wanted: &[usize],
    decode: impl Fn(&[u8; BYTES]) -> Point,
) -> Vec<Vec<Point>> {
    let mut columns: Vec<Vec<Point>> = wanted.iter().map(|_| Vec::with_capacity(layout.frames)).collect();
    for frame in data.chunks_exact(layout.frame_bytes()).take(layout.frames) {
        let (points, _) = frame.as_chunks::<BYTES>();
        for (column, &index) in columns.iter_mut().zip(wanted) {
            column.push(points.get(index).map_or(GAP, &decode));
        }
    }
    columns
}

#[inline(always)]
fn floats(point: &[u8; 16], processor: Processor) -> Point {
    let (values, _) = point.as_chunks::<4>();
    let [x, y, z, residual] = [0, 1, 2, 3].map(|index| processor.float(values[index]));
    // Made an integer, anything above -1 is not negative; a residual that is no number is no residual.
    if residual > -1.0 && x.is_finite() && y.is_finite() && z.is_finite() { [x, y, z] } else { GAP }
}

#[inline(always)]
fn words(point: &[u8; 8], scale: f64, processor: Processor) -> Point {
    let (values, _) = point.as_chunks::<2>();
    let [x, y, z, residual] = [0, 1, 2, 3].map(|index| processor.int(values[index]));
    if residual < 0 { GAP } else { [x, y, z].map(|word| f64::from(word) * scale) }
}

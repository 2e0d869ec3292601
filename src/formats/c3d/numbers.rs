//! Numbers as the three processors of the C3D standard write them.

/// Who wrote the numbers of a file.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub(super) enum Processor {
    /// 84: little-endian integers and IEEE floats.
    Intel,
    /// 85: little-endian integers, VAX F floats.
    Dec,
    /// 86: big-endian integers and IEEE floats.
    Sgi,
}

impl Processor {
    /// From the type byte of the parameter section.
    pub(super) fn parse(kind: u8) -> Option<Processor> {
        match kind {
            84 => Some(Processor::Intel),
            85 => Some(Processor::Dec),
            86 => Some(Processor::Sgi),
            _ => None,
        }
    }

    /// A signed 16-bit word.
    #[inline(always)]
    pub(super) fn int(self, bytes: [u8; 2]) -> i16 {
        match self {
            Processor::Intel | Processor::Dec => i16::from_le_bytes(bytes),
            Processor::Sgi => i16::from_be_bytes(bytes),
        }
    }

    /// A 32-bit float. Exact: every VAX F value is a double.
    #[inline(always)]
    pub(super) fn float(self, bytes: [u8; 4]) -> f64 {
        match self {
            Processor::Intel => f64::from(f32::from_le_bytes(bytes)),
            Processor::Dec => vax(bytes),
            Processor::Sgi => f64::from(f32::from_be_bytes(bytes)),
        }
    }

    /// The word at a byte offset.
    pub(super) fn int_at(self, bytes: &[u8], offset: usize) -> Option<i16> {
        Some(self.int(*bytes.get(offset..)?.first_chunk()?))
    }

    /// The word at a byte offset, unsigned: counts and block numbers.
    pub(super) fn count_at(self, bytes: &[u8], offset: usize) -> Option<u16> {
        self.int_at(bytes, offset).map(|word| word as u16)
    }

    /// The float at a byte offset.
    pub(super) fn float_at(self, bytes: &[u8], offset: usize) -> Option<f64> {
        Some(self.float(*bytes.get(offset..)?.first_chunk()?))
    }
}

/// VAX F: two little-endian 16-bit halves, the high one first: sign, 8 bits of exponent with bias 129, 23 bits of a
/// fraction with a hidden one. No infinities; exponent zero is zero, or with a sign not a number.
#[inline(always)]
fn vax(bytes: [u8; 4]) -> f64 {
    let bits = u32::from_le_bytes([bytes[2], bytes[3], bytes[0], bytes[1]]);
    let (sign, exponent, fraction) = (bits >> 31, (bits >> 23) & 0xFF, bits & 0x7F_FFFF);
    match (exponent, sign) {
        (0, 0) => 0.0,
        (0, _) => f64::NAN,
        _ => {
            let double = u64::from(sign) << 63 | u64::from(exponent + 1023 - 129) << 52 | u64::from(fraction) << 29;
            f64::from_bits(double)
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    // Source: comments of py-c3d (swap the halves, read as IEEE, divide by 4), recomputed.
    #[test]
    fn ok_dec_floats() {
        assert_eq!(Processor::Dec.float([0x80, 0x40, 0, 0]).to_bits(), 1.0_f64.to_bits());
        assert_eq!(Processor::Dec.float([0x20, 0xC1, 0, 0]).to_bits(), (-2.5_f64).to_bits());
        let tenth = Processor::Dec.float([0xCC, 0x3E, 0xCD, 0xCC]);
        assert_eq!(tenth.to_bits(), f64::from(0.1_f32).to_bits());
        assert_eq!(Processor::Dec.float([0; 4]).to_bits(), 0);
        assert!(Processor::Dec.float([0, 0x80, 0, 0]).is_nan());
    }

    #[test]
    fn ok_dec_floats_equal_the_rule_of_thumb_for_all_usual_exponents() {
        for exponent in 5..255_u32 {
            for rest in [0, 1, 0x40_0001, 0x7F_FFFF, 0x8000_0000, 0x80AB_CDEF] {
                let bits = exponent << 23 | (rest & 0x807F_FFFF);
                let [a, b, c, d] = bits.to_le_bytes();
                let quarter = f32::from_bits(bits) / 4.0;
                assert_eq!(Processor::Dec.float([c, d, a, b]).to_bits(), f64::from(quarter).to_bits(), "{bits:x}");
            }
        }
        // Past IEEE's range a VAX float is still a number.
        assert!(Processor::Dec.float([0xFF, 0x7F, 0xFF, 0xFF]).is_finite());
    }

    #[test]
    fn ok_words_and_ieee_floats() {
        assert_eq!(Processor::Intel.int([0x34, 0x12]), 0x1234);
        assert_eq!(Processor::Dec.int([0x34, 0x12]), 0x1234);
        assert_eq!(Processor::Sgi.int([0x12, 0x34]), 0x1234);
        assert_eq!(Processor::Intel.count_at(&[0, 0x40, 0x9C], 1), Some(40000));
        assert_eq!(Processor::Intel.count_at(&[0, 0x40], 1), None);
        // -1.0, the residual of a missing point.
        assert_eq!(Processor::Intel.float_at(&[0, 0, 0x80, 0xBF], 0), Some(-1.0));
        assert_eq!(Processor::Sgi.float_at(&[0xBF, 0x80, 0, 0], 0), Some(-1.0));
        assert_eq!(Processor::Sgi.float_at(&[0xBF, 0x80, 0, 0], usize::MAX), None);
    }
}

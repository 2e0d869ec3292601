//! Four numbers at a time. The compiler makes vectors of plain arrays, but for the shift by one lane it goes through memory,
//! at half the pace. So WebAssembly gets its own words for it, none of which is unsafe; elsewhere arrays do.

/// Numbers in one.
pub(crate) const WIDTH: usize = 4;

pub(crate) use machine::Lanes;

impl Lanes {
    /// The numbers from a place on.
    #[inline(always)]
    pub(crate) fn load(from: &[f32], at: usize) -> Lanes {
        match from[at..at + WIDTH].first_chunk() {
            Some(four) => Lanes::new(*four),
            None => Lanes::splat(f32::INFINITY),
        }
    }

    /// Puts them to a place.
    #[inline(always)]
    pub(crate) fn store(self, to: &mut [f32], at: usize) {
        if let Some(four) = to[at..at + WIDTH].first_chunk_mut() {
            *four = self.array();
        }
    }

    /// Multiplied with itself.
    #[inline(always)]
    pub(crate) fn square(self) -> Lanes {
        self.mul(self)
    }

    /// The square of the distance of points.
    #[inline(always)]
    pub(crate) fn apart(a: &[Lanes; 3], b: &[Lanes; 3]) -> Lanes {
        let (x, y, z) = (a[0].sub(b[0]), a[1].sub(b[1]), a[2].sub(b[2]));
        x.square().add(y.square()).add(z.square())
    }
}

#[cfg(target_arch = "wasm32")]
mod machine {
    use core::arch::wasm32::{
        f32x4_add, f32x4_mul, f32x4_pmax, f32x4_splat, f32x4_sqrt, f32x4_sub, i32x4_shuffle, u32x4_min, v128,
    };

    #[derive(Clone, Copy)]
    pub(crate) struct Lanes(v128);

    impl Lanes {
        #[inline(always)]
        pub(crate) fn new(numbers: [f32; 4]) -> Lanes {
            Lanes(bytemuck::cast(numbers))
        }

        #[inline(always)]
        pub(crate) fn array(self) -> [f32; 4] {
            bytemuck::cast(self.0)
        }

        #[inline(always)]
        pub(crate) fn splat(x: f32) -> Lanes {
            Lanes(f32x4_splat(x))
        }

        #[inline(always)]
        pub(crate) fn add(self, other: Lanes) -> Lanes {
            Lanes(f32x4_add(self.0, other.0))
        }

        #[inline(always)]
        pub(crate) fn sub(self, other: Lanes) -> Lanes {
            Lanes(f32x4_sub(self.0, other.0))
        }

        #[inline(always)]
        pub(crate) fn mul(self, other: Lanes) -> Lanes {
            Lanes(f32x4_mul(self.0, other.0))
        }

        #[inline(always)]
        pub(crate) fn sqrt(self) -> Lanes {
            Lanes(f32x4_sqrt(self.0))
        }

        /// The lesser of numbers that are not negative: their bits are in the same order, and integers wait less.
        #[inline(always)]
        pub(crate) fn min(self, other: Lanes) -> Lanes {
            Lanes(u32x4_min(self.0, other.0))
        }

        #[inline(always)]
        pub(crate) fn max(self, other: Lanes) -> Lanes {
            Lanes(f32x4_pmax(self.0, other.0))
        }

        /// The last of `before` and all but the last of `self`.
        #[inline(always)]
        pub(crate) fn shifted(self, before: Lanes) -> Lanes {
            Lanes(i32x4_shuffle::<3, 4, 5, 6>(before.0, self.0))
        }
    }
}

#[cfg(not(target_arch = "wasm32"))]
mod machine {
    use core::array::from_fn;

    #[derive(Clone, Copy)]
    pub(crate) struct Lanes([f32; 4]);

    impl Lanes {
        #[inline(always)]
        pub(crate) fn new(numbers: [f32; 4]) -> Lanes {
            Lanes(numbers)
        }

        #[inline(always)]
        pub(crate) fn array(self) -> [f32; 4] {
            self.0
        }

        #[inline(always)]
        pub(crate) fn splat(x: f32) -> Lanes {
            Lanes([x; 4])
        }

        #[inline(always)]
        pub(crate) fn add(self, other: Lanes) -> Lanes {
            Lanes(from_fn(|lane| self.0[lane] + other.0[lane]))
        }

        #[inline(always)]
        pub(crate) fn sub(self, other: Lanes) -> Lanes {
            Lanes(from_fn(|lane| self.0[lane] - other.0[lane]))
        }

        #[inline(always)]
        pub(crate) fn mul(self, other: Lanes) -> Lanes {
            Lanes(from_fn(|lane| self.0[lane] * other.0[lane]))
        }

        #[inline(always)]
        pub(crate) fn sqrt(self) -> Lanes {
            Lanes(self.0.map(f32::sqrt))
        }

        #[inline(always)]
        pub(crate) fn min(self, other: Lanes) -> Lanes {
            Lanes(from_fn(|lane| if self.0[lane] < other.0[lane] { self.0[lane] } else { other.0[lane] }))
        }

        #[inline(always)]
        pub(crate) fn max(self, other: Lanes) -> Lanes {
            Lanes(from_fn(|lane| if self.0[lane] < other.0[lane] { other.0[lane] } else { self.0[lane] }))
        }

        #[inline(always)]
        pub(crate) fn shifted(self, before: Lanes) -> Lanes {
            Lanes([before.0[3], self.0[0], self.0[1], self.0[2]])
        }
    }
}

#[cfg(test)]
mod tests {
    use super::Lanes;

    #[test]
    fn lanes_do_what_numbers_do() {
        let (a, b) = (Lanes::new([1.0, 2.0, 3.0, f32::INFINITY]), Lanes::new([4.0, 0.0, 9.0, 16.0]));
        assert_eq!(a.add(b).array(), [5.0, 2.0, 12.0, f32::INFINITY]);
        assert_eq!(a.sub(b).array(), [-3.0, 2.0, -6.0, f32::INFINITY]);
        assert_eq!(a.min(b).array(), [1.0, 0.0, 3.0, 16.0]);
        assert_eq!(a.max(b).array(), [4.0, 2.0, 9.0, f32::INFINITY]);
        assert_eq!(b.sqrt().array(), [2.0, 0.0, 3.0, 4.0]);
        assert_eq!(b.square().array(), [16.0, 0.0, 81.0, 256.0]);
        assert_eq!(b.shifted(a).array(), [f32::INFINITY, 4.0, 0.0, 9.0]);
    }
}

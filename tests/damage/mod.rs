//! Damage to files, the same on every run. One copy for the unit tests of the readers, the smoke run (`tests/hostile.rs`)
//! and the fuzz targets, which include this file.

/// A small generator (xorshift64*).
pub(crate) struct Random(u64);

#[allow(dead_code, reason = "not every place that includes this file does all kinds of damage")]
impl Random {
    pub(crate) fn new(seed: u64) -> Self {
        Random(seed.wrapping_mul(0x9E37_79B9_7F4A_7C15) | 1)
    }

    pub(crate) fn next(&mut self) -> u64 {
        self.0 ^= self.0 >> 12;
        self.0 ^= self.0 << 25;
        self.0 ^= self.0 >> 27;
        // The lowest bits are the weakest, and `below` takes those.
        self.0.wrapping_mul(0x2545_F491_4F6C_DD1D) >> 16
    }

    pub(crate) fn below(&mut self, limit: usize) -> usize {
        (self.next() % limit.max(1) as u64) as usize
    }

    /// A byte that breaks things more often than a random one.
    pub(crate) fn byte(&mut self) -> u8 {
        const NASTY: [u8; 11] = [0, 1, 0x7F, 0x80, 0xFF, b'\n', b'{', b'}', b'-', b'9', b'e'];
        if self.below(2) == 0 { NASTY[self.below(NASTY.len())] } else { self.next() as u8 }
    }

    /// A place in a file: now and then near its start, where the structure is.
    fn place(&mut self, length: usize) -> usize {
        let reach = if self.below(4) == 0 { length.min(1024) } else { length };
        self.below(reach)
    }

    /// The file with some bytes changed, a piece moved, doubled, turned round or taken out, or its end cut off.
    pub(crate) fn mutate(&mut self, file: &[u8]) -> Vec<u8> {
        let mut file = file.to_vec();
        for _ in 0..=self.below(3) {
            let (from, length) = (self.place(file.len()), self.below(64));
            let to = file.len().min(from + length);
            match self.below(14) {
                0 => drop(file.drain(from..to)),
                1 => file.truncate(from.max(1)),
                2 => file.extend_from_within(from..to),
                3 => file[from..to].reverse(),
                4 => file.splice(from..from, [b'9'; 12]).for_each(drop),
                5 => {
                    let piece = file[from..to].to_vec();
                    let at = self.below(file.len());
                    file.splice(at..at, piece);
                }
                _ => (0..=self.below(2)).for_each(|_| self.change_byte(&mut file)),
            }
        }
        file
    }

    fn change_byte(&mut self, file: &mut [u8]) {
        let at = self.place(file.len());
        if let Some(byte) = file.get_mut(at) {
            // Digits mostly stay digits, so that a text can still be one.
            let digit = byte.is_ascii_digit() && self.below(8) != 0;
            *byte = if digit { b'0' + self.below(10) as u8 } else { self.byte() };
        }
    }
}

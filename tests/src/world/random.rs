//! Random numbers from a seed: the same seed, the same run.

/// SplitMix64: small, good enough to choose faults, the same everywhere.
#[derive(Clone, Debug)]
pub struct Seeded(u64);

impl Seeded {
    /// A row of numbers from a seed.
    pub const fn new(seed: u64) -> Seeded {
        Seeded(seed)
    }

    /// The next 64 bits.
    pub const fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut mixed = self.0;
        mixed = (mixed ^ (mixed >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        mixed ^ (mixed >> 31)
    }

    /// A number below `end`; zero when `end` is zero.
    pub fn below(&mut self, end: u64) -> u64 {
        self.next().checked_rem(end).unwrap_or_default()
    }

    /// An index into something of this length.
    pub fn index(&mut self, length: usize) -> usize {
        usize::try_from(self.below(u64::try_from(length).unwrap_or(u64::MAX))).unwrap_or_default()
    }

    /// True about `of` times out of `hundred`.
    pub fn percent(&mut self, of: u64) -> bool {
        self.below(100) < of
    }

    /// Fills bytes.
    pub fn fill(&mut self, out: &mut [u8]) {
        for chunk in out.chunks_mut(8) {
            chunk.copy_from_slice(&self.next().to_le_bytes()[..chunk.len()]);
        }
    }

    /// A row of its own, for one part of the world.
    #[must_use]
    pub const fn fork(&mut self) -> Seeded {
        Seeded(self.next())
    }

    /// As a source of random bytes.
    pub fn source(mut self) -> client_core::device::Random {
        Box::new(move |out| self.fill(out))
    }
}

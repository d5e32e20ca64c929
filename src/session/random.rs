//! Numbers by chance that a seed brings back: for the simulated hand, and for the order of a study.

/// A small seeded generator (SplitMix64: Steele, Lea and Flood, 2014, from memory), fixed here so
/// that a seed gives the same demo, and the same order of a study, in every version.
#[derive(Debug, Clone)]
pub(super) struct Random(u64);

impl Random {
    pub(super) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next number, all 64 bits of it.
    pub(super) fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// Even between 0 and 1.
    #[allow(clippy::cast_precision_loss)]
    pub(super) fn unit(&mut self) -> f64 {
        (self.next() >> 11) as f64 / (1_u64 << 53) as f64
    }

    /// Close to normal with mean 0 and standard deviation 1: twelve even numbers added.
    pub(super) fn normal(&mut self) -> f64 {
        (0..12).map(|_| self.unit()).sum::<f64>() - 6.0
    }

    /// True once in so many times.
    pub(super) fn one_in(&mut self, n: u64) -> bool {
        self.next().is_multiple_of(n)
    }
}

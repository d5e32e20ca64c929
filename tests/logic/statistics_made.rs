//! Values made by a fixed generator, the same on every machine and in every run.

use fitledger::statistics::normal_quantile;

/// The generator: state = state * 6364136223846793005 + 1442695040888963407 modulo 2^64.
pub(crate) struct Made(u64);

impl Made {
    pub(crate) fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// A number of 20 bits.
    pub(crate) fn step(&mut self) -> u64 {
        self.0 = self
            .0
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        self.0 >> 44
    }

    /// A normal value.
    pub(crate) fn one(&mut self) -> f64 {
        let bits = (self.step() << 20) + self.step();
        normal_quantile((bits as f64 + 0.5) / 1_099_511_627_776.0).unwrap()
    }

    /// So many of them.
    pub(crate) fn normal(&mut self, n: usize) -> Vec<f64> {
        (0..n).map(|_| self.one()).collect()
    }
}

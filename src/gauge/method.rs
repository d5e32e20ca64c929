//! The way in which a gauge measures, as a record names it.

use super::kind::GaugeKind;
use super::register::{Gauge, GaugeReads};

/// The way of measuring.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Method {
    /// Between two faces: a size at one place, blind to three lobes.
    TwoPoint,
    /// With three jaws: blind to an oval.
    ThreePoint,
    /// As a difference from a setting standard.
    Comparator,
    /// The size is carried to another gauge, which reads it.
    Transfer,
    /// A limit gauge goes or does not.
    LimitGauge,
    /// A thread over three wires.
    OverWires,
}

impl Method {
    /// Every way with its word in registers and records.
    pub const WORDS: [(Self, &'static str); 6] = [
        (Self::TwoPoint, "two_point"),
        (Self::ThreePoint, "three_point"),
        (Self::Comparator, "comparator"),
        (Self::Transfer, "transfer"),
        (Self::LimitGauge, "limit_gauge"),
        (Self::OverWires, "over_wires"),
    ];

    /// Its word.
    pub fn word(self) -> &'static str {
        let found = Self::WORDS.iter().find(|(method, _)| *method == self);
        found.map_or("", |(_, word)| word)
    }
}

impl Gauge {
    /// The way in which it measures: what the register states, else what its kind settles; none
    /// where neither says (an inside micrometer may have two or three points).
    pub fn way_of_measuring(&self) -> Option<Method> {
        if self.method.is_some() {
            return self.method;
        }
        if self.kind.is_limit_gauge() {
            return Some(Method::LimitGauge);
        }
        if self.read_by.is_some() {
            return Some(Method::Transfer);
        }
        if matches!(self.reads, GaugeReads::Deviation { .. }) {
            return Some(Method::Comparator);
        }
        match self.kind {
            GaugeKind::Caliper | GaugeKind::OutsideMicrometer => Some(Method::TwoPoint),
            GaugeKind::SmallHoleGauge => Some(Method::Transfer),
            GaugeKind::Wires => Some(Method::OverWires),
            _ => None,
        }
    }
}

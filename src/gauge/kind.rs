//! The kinds of gauges, and what each kind can be asked.

/// What a gauge is, in the trade's words.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, PartialOrd, Ord)]
pub enum GaugeKind {
    /// Sliding caliper, vernier, dial or digital.
    Caliper,
    /// Outside micrometer.
    OutsideMicrometer,
    /// Inside micrometer, two or three points.
    InsideMicrometer,
    /// Depth micrometer.
    DepthMicrometer,
    /// Bore gauge: a comparator set on a ring or a micrometer.
    BoreGauge,
    /// Small-hole gauge: carries the size of a bore to a micrometer.
    SmallHoleGauge,
    /// Height gauge.
    HeightGauge,
    /// Thread micrometer with V and cone tips.
    ThreadMicrometer,
    /// Measuring wires for the pitch diameter.
    Wires,
    /// Dial or lever indicator.
    Indicator,
    /// Thread plug gauge.
    Plug,
    /// Plain plug gauge.
    PlainPlug,
    /// Thread ring gauge.
    Ring,
    /// Gap gauge.
    GapGauge,
    /// Pin gauges.
    Pins,
    /// Protractor or bevel gauge.
    Protractor,
    /// Setting ring.
    SettingRing,
    /// Gauge block.
    GaugeBlock,
    /// Steel rule.
    Rule,
}

impl GaugeKind {
    /// Every kind with its word in registers.
    pub const WORDS: [(Self, &'static str); 19] = [
        (Self::Caliper, "caliper"),
        (Self::OutsideMicrometer, "outside_micrometer"),
        (Self::InsideMicrometer, "inside_micrometer"),
        (Self::DepthMicrometer, "depth_micrometer"),
        (Self::BoreGauge, "bore_gauge"),
        (Self::SmallHoleGauge, "small_hole_gauge"),
        (Self::HeightGauge, "height_gauge"),
        (Self::ThreadMicrometer, "thread_micrometer"),
        (Self::Wires, "wires"),
        (Self::Indicator, "indicator"),
        (Self::Plug, "plug"),
        (Self::PlainPlug, "plain_plug"),
        (Self::Ring, "ring"),
        (Self::GapGauge, "gap_gauge"),
        (Self::Pins, "pins"),
        (Self::Protractor, "protractor"),
        (Self::SettingRing, "setting_ring"),
        (Self::GaugeBlock, "gauge_block"),
        (Self::Rule, "rule"),
    ];

    /// The kind's word.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(kind, _)| *kind == self)
            .map_or("caliper", |(_, word)| word)
    }

    /// The kind of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(kind, _)| *kind)
    }

    /// Whether it has a screw whose thimble is read by eye when it sends nothing; one turn too
    /// many or too few is then the likely slip.
    pub fn is_thimble(self) -> bool {
        matches!(
            self,
            Self::OutsideMicrometer
                | Self::InsideMicrometer
                | Self::DepthMicrometer
                | Self::ThreadMicrometer
        )
    }

    /// Whether it answers "goes" or "does not" instead of a size.
    pub fn is_limit_gauge(self) -> bool {
        matches!(
            self,
            Self::Plug | Self::PlainPlug | Self::Ring | Self::GapGauge
        )
    }

    /// Whether it is a material measure of one size, on which a comparator can be set.
    pub fn is_standard(self) -> bool {
        matches!(self, Self::SettingRing | Self::GaugeBlock | Self::Pins)
    }

    /// Whether it shows a length by itself.
    pub fn shows_sizes(self) -> bool {
        !self.is_limit_gauge()
            && !self.is_standard()
            && !self.reads_angles()
            && !matches!(self, Self::Wires | Self::SmallHoleGauge)
    }

    /// Whether it has a zero, or a size it is set to, that can be off.
    pub fn has_zero(self) -> bool {
        self.shows_sizes() && self != Self::Rule
    }

    /// Whether it may carry a size to another gauge that reads it, instead of showing it: a
    /// small-hole gauge always, a bore gauge that is put between the faces of a micrometer.
    pub fn may_carry(self) -> bool {
        matches!(self, Self::SmallHoleGauge | Self::BoreGauge)
    }

    /// Whether one size alone may stand as its range: a standard's, or that of measuring wires.
    pub fn has_one_size(self) -> bool {
        self.is_standard() || self == Self::Wires
    }

    /// Whether it reads angles.
    pub fn reads_angles(self) -> bool {
        self == Self::Protractor
    }
}

/// Which faces of a gauge touch the part; a caliper is less accurate inside and in depth.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Faces {
    /// Outside faces, closing on metal.
    Outside,
    /// Inside faces, opening against metal.
    Inside,
    /// Depth rod or step faces.
    Depth,
}

impl Faces {
    /// Every choice with its word in tables.
    pub const WORDS: [(Self, &'static str); 3] = [
        (Self::Outside, "outside"),
        (Self::Inside, "inside"),
        (Self::Depth, "depth"),
    ];

    /// The choice of that word.
    pub fn from_word(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(faces, _)| *faces)
    }
}

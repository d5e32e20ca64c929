//! What is asked of a limit gauge or a mating part: which end is tried, and of what thread.
//!
//! It refuses to know what an outcome means for the part; that is the judging room's matter.

use super::kind::GaugeKind;
use super::reading::CheckEnd;
use super::register::Gauge;

/// What is tried on the part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum CheckTool {
    /// Thread plug gauge, in an internal thread.
    ThreadPlug,
    /// Thread ring gauge, on an external thread.
    ThreadRing,
    /// Plain plug gauge, in a bore.
    PlainPlug,
    /// Gap gauge, over a shaft.
    GapGauge,
    /// The part that goes together with it: a screw, a nut, a shaft.
    MatingPart,
    /// Marking colour between a cone and its gauge or mating cone: where it carries.
    Colour,
}

impl CheckTool {
    /// Every tool with its word for people.
    pub const WORDS: [(Self, &'static str); 6] = [
        (Self::ThreadPlug, "plug"),
        (Self::ThreadRing, "ring"),
        (Self::PlainPlug, "plain plug"),
        (Self::GapGauge, "gap gauge"),
        (Self::MatingPart, "mating part"),
        (Self::Colour, "contact by colour"),
    ];

    /// Its word for people.
    pub fn word(self) -> &'static str {
        let mut all = Self::WORDS.iter();
        let found = all.find(|(tool, _)| *tool == self);
        found.map_or("gauge", |(_, word)| word)
    }

    /// Whether it has a thread, so that it is screwed and not pushed.
    pub fn is_screwed(self) -> bool {
        matches!(self, Self::ThreadPlug | Self::ThreadRing | Self::MatingPart)
    }
}

/// One attribute check of a characteristic.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct CheckAsked {
    /// Which end is tried.
    pub end: CheckEnd,
    /// With what.
    pub with: CheckTool,
    /// A thread of three turns or fewer: the NO-GO gauge must not pass right through (from
    /// memory of ISO 1502).
    pub short_thread: bool,
}

impl CheckAsked {
    /// What is tried, in a few words: `GO plug`, `NO-GO ring`, `mating part`.
    pub fn name(&self) -> String {
        let tool = self.with.word();
        match self.end {
            _ if self.with == CheckTool::Colour => tool.to_owned(),
            CheckEnd::Go => format!("GO {tool}"),
            CheckEnd::NoGo => format!("NO-GO {tool}"),
            CheckEnd::Mate => tool.to_owned(),
        }
    }

    /// Whether a gauge of that kind can be what is tried; no gauge is a mating part.
    pub fn fits(&self, kind: GaugeKind) -> bool {
        match self.with {
            CheckTool::ThreadPlug => kind == GaugeKind::Plug,
            CheckTool::ThreadRing => kind == GaugeKind::Ring,
            // A plain plug or ring may be a cone's gauge; the mating cone is none of the register.
            CheckTool::Colour => kind == GaugeKind::PlainPlug,
            CheckTool::PlainPlug => matches!(kind, GaugeKind::PlainPlug | GaugeKind::Pins),
            CheckTool::GapGauge => kind == GaugeKind::GapGauge,
            CheckTool::MatingPart => false,
        }
    }

    /// Whether the turns are counted while unscrewing: a NO-GO screw gauge on a thread of more
    /// than three turns.
    pub fn counts_turns(&self) -> bool {
        self.end == CheckEnd::NoGo && self.with.is_screwed() && !self.short_thread
    }
}

impl Gauge {
    /// Whether it may answer a check: a gauge of the right kind, that has the end which is tried
    /// (one that does not say has both), and is made for the feature's callout where it says what
    /// it is made for. `is_for` tells whether a callout is that of the feature.
    pub fn may_answer(&self, asked: &CheckAsked, is_for: impl FnOnce(&str) -> bool) -> bool {
        let has_end = self.end.is_none_or(|end| end == asked.end);
        asked.fits(self.kind) && has_end && self.callout.as_deref().is_none_or(is_for)
    }
}

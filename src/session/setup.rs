//! What a session measures against: the plan's characteristics in measuring order, the gauges,
//! the decision rule. Built from `session_opened`, live and on replay alike.

use crate::gauge::GaugeId;
use crate::journal::GaugeSource;
use crate::measure::Rule;
use crate::quantity::{Angle, Length};
use crate::tolerance::{Limits, Surface};

/// The limits of a target: of size or of angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TargetLimits {
    /// Limits of size.
    Length(Limits<Length>),
    /// Limits of an angle.
    Angle(Limits<Angle>),
}

/// One characteristic to be measured on every (selected) part.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Feature id in the plan.
    pub feature: String,
    /// Element of the feature: `size` or `angle`.
    pub element: String,
    /// The callout as written.
    pub callout: String,
    /// What the feature is called.
    pub name: String,
    /// Its limits at the stage measured.
    pub limits: TargetLimits,
    /// Where the metal is.
    pub surface: Surface,
    /// Points wanted.
    pub points: u16,
    /// Measured on the first part and every so many after it.
    pub every: u32,
    /// The setting it is turned in.
    pub setting: u32,
    /// Gauges that may prove it; empty: any.
    pub gauges: Vec<GaugeId>,
}

impl Target {
    /// Whether the limits are of an angle.
    pub fn is_angle(&self) -> bool {
        matches!(self.limits, TargetLimits::Angle(_))
    }

    /// Whether the sampling plan selects the characteristic on that part.
    pub fn is_selected(&self, part: u32) -> bool {
        part.saturating_sub(1).is_multiple_of(self.every.max(1))
    }

    /// Whether a verdict may rest on that gauge.
    pub fn may_prove(&self, gauge: &GaugeId) -> bool {
        self.gauges.is_empty() || self.gauges.contains(gauge)
    }
}

/// Everything a session rests on.
#[derive(Debug, Clone)]
pub struct Setup {
    /// Characteristics in measuring order.
    pub targets: Vec<Target>,
    /// Gauges of this session.
    pub sources: Vec<GaugeSource>,
    /// Who measures at the start.
    pub operator: String,
    /// The rule asked for; none means probability when u is known, else simple.
    pub rule: Option<Rule>,
    /// How many parts are wanted, if it was said.
    pub parts_wanted: Option<u32>,
    /// Whether a verdict that is not GO moves on too.
    pub advance_always: bool,
}

impl Setup {
    /// The place of a characteristic in measuring order.
    pub fn target_index(&self, feature: &str, element: &str) -> Option<usize> {
        self.targets.iter().position(|t| t.feature == feature && t.element == element)
    }

    /// The characteristic of a feature; an empty element means its first.
    pub fn choose(&self, feature: &str, element: &str) -> Option<&Target> {
        let fits = |t: &&Target| t.feature == feature && (element.is_empty() || t.element == element);
        self.targets.iter().find(fits)
    }

    /// The place of a gauge among those of the session.
    pub fn gauge_index(&self, gauge: &GaugeId) -> Option<u16> {
        let at = self.sources.iter().position(|source| source.gauge == gauge.as_str())?;
        u16::try_from(at).ok()
    }

    /// The debounce time of a gauge in milliseconds; 0 when it has none.
    pub fn repeat_ms(&self, gauge: &GaugeId) -> u32 {
        let source = self.sources.iter().find(|source| source.gauge == gauge.as_str());
        source.map_or(0, |source| source.repeat_ms)
    }
}

//! The answer of `plugs` as JSON.
//!
//! `kind` is `plug_gauges` (of an internal thread), `ring_gauges` (of an external one) or
//! `screw_gauges` (of a fit: `internal` and `external`). Each gauge has `established`, true only
//! when every diameter of it is, and three diameters; each of them `upper_limit` and
//! `lower_limit` of the new gauge, `worn_limit` (pitch diameter), `established`, `standing`
//! (`established`, `from memory`, `unresolved`) and `rule`. Limits are rounded to 0.1 µm.

use serde::Serialize;

use crate::quantity::Length;
use crate::tolerance::{GaugeStanding, GaugeZone, ScrewGauge};

use super::output_thread::four;

/// The gauges of one member.
#[derive(Debug, Serialize)]
pub(super) struct PlugsLine {
    pub(super) callout: String,
    pub(super) kind: &'static str,
    pub(super) designation: String,
    pub(super) standard: &'static str,
    pub(super) go: GaugeLine,
    pub(super) no_go: GaugeLine,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) check_plugs: Option<CheckPlugsLine>,
    pub(super) notes: Vec<String>,
    pub(super) acceptance: Vec<String>,
    pub(super) flags: Vec<String>,
    pub(super) why: Vec<String>,
}

/// The gauges of both members.
#[derive(Debug, Serialize)]
pub(super) struct BothPlugsLine<'a> {
    pub(super) callout: &'a str,
    pub(super) kind: &'static str,
    pub(super) internal: &'a PlugsLine,
    pub(super) external: &'a PlugsLine,
}

/// One gauge.
#[derive(Debug, Serialize)]
pub(super) struct GaugeLine {
    established: bool,
    pitch: ZoneLine,
    major: ZoneLine,
    minor: ZoneLine,
}

/// The plugs that check a GO ring: their pitch diameters.
#[derive(Debug, Serialize)]
pub(super) struct CheckPlugsLine {
    pub(super) go: ZoneLine,
    pub(super) no_go: ZoneLine,
    pub(super) wear: ZoneLine,
}

/// One diameter of a gauge.
#[derive(Debug, Serialize)]
pub(super) struct ZoneLine {
    upper_limit: Option<String>,
    lower_limit: Option<String>,
    worn_limit: Option<String>,
    established: bool,
    standing: &'static str,
    rule: &'static str,
}

impl GaugeLine {
    pub(super) fn new(gauge: &ScrewGauge) -> Self {
        let zones = [&gauge.pitch, &gauge.major, &gauge.minor];
        Self {
            established: zones.into_iter().all(is_established),
            pitch: ZoneLine::new(&gauge.pitch),
            major: ZoneLine::new(&gauge.major),
            minor: ZoneLine::new(&gauge.minor),
        }
    }
}

fn is_established(zone: &GaugeZone) -> bool {
    zone.standing == GaugeStanding::Established
}

impl ZoneLine {
    pub(super) fn new(zone: &GaugeZone) -> Self {
        let mm = |limit: Option<Length>| limit.map(four);
        Self {
            upper_limit: mm(zone.upper),
            lower_limit: mm(zone.lower),
            worn_limit: mm(zone.worn),
            established: is_established(zone),
            standing: zone.standing.word(),
            rule: zone.rule,
        }
    }
}

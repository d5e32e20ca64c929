//! What an entry of the register says of other entries, and keys that only some kinds have.
//!
//! Refuses to know what follows from a chain of gauges for a measured size.

use super::build::small;
use super::findings::{Findings, Written};
use super::format::GaugeEntry;
use super::kind::GaugeKind;
use super::pointed::nearest;
use super::problem::RegisterProblem;
use super::reading::GaugeId;
use super::register::{GaugeReads, ZeroCheck};
use crate::quantity::Length;

type Found<'t> = Findings<'t, RegisterProblem>;

/// What one entry may want to know of another.
pub(super) struct Listed {
    id: String,
    kind: GaugeKind,
    /// The one size of a standard.
    size: Option<Length>,
    /// Whether it only carries a size to another gauge.
    is_carrier: bool,
}

impl Listed {
    /// Of an entry whose id and kind are sound.
    pub(super) fn of(entry: &GaugeEntry<'_, '_>) -> Option<Self> {
        let kind = entry.kind.as_ref()?.value;
        let range = entry.range.as_ref();
        let size = range.and_then(|range| one_size(&range.value));
        Some(Self {
            id: entry.id.as_ref()?.value.clone(),
            kind,
            size: size.filter(|_| kind.is_standard()),
            is_carrier: entry.fields.has("read_by"),
        })
    }
}

fn one_size(ends: &[Written<Length>]) -> Option<Length> {
    match ends {
        [only] => Some(only.value),
        [lower, upper] if lower.value == upper.value => Some(lower.value),
        _ => None,
    }
}

/// The standard that a key names, with its size.
pub(super) fn standard_named(
    found: &mut Found<'_>,
    key: &'static str,
    written: &Written<String>,
    listed: &[Listed],
) -> Option<(GaugeId, Length)> {
    let named = written.value.as_str();
    let Some(standard) = listed.iter().find(|one| one.id == named) else {
        let problem = RegisterProblem::StandardUnknown {
            key,
            found: named.to_owned(),
            nearest: nearest_id(named, listed),
        };
        found.add(&written.span, problem);
        return None;
    };
    let Some(size) = standard.size else {
        let problem = RegisterProblem::NoStandard {
            key,
            found: named.to_owned(),
            kind: standard.kind.word(),
        };
        found.add(&written.span, problem);
        return None;
    };
    Some((GaugeId::new(named), size))
}

fn nearest_id(named: &str, listed: &[Listed]) -> Option<String> {
    let ids = listed.iter().map(|one| one.id.as_str());
    nearest(named, ids).map(str::to_owned)
}

/// What is asked of the zero; a standard on which the gauge cannot be zeroed is a problem.
pub(super) fn zero_check(
    found: &mut Found<'_>,
    entry: &GaugeEntry<'_, '_>,
    reads: Option<&GaugeReads>,
    range: Option<(Length, Length)>,
    listed: &[Listed],
) -> Option<ZeroCheck> {
    let written = entry.zero_check.as_ref()?;
    let bound = small(found, "bound", written.bound.as_ref());
    let named = written.on.as_ref();
    let on = named.and_then(|on| standard_named(found, "on", on, listed));
    if let (Some(named), Some((_, size)), Some((lower, upper))) = (named, &on, range) {
        let shown = match reads {
            Some(GaugeReads::Deviation { set_size, .. }) => *size - *set_size,
            _ => *size,
        };
        if !(lower..=upper).contains(&shown) {
            let problem = RegisterProblem::ZeroOutside {
                found: named.value.clone(),
                size: *size,
            };
            found.add(&named.span, problem);
        }
    }
    Some(ZeroCheck {
        every_hours: written.every_hours,
        bound,
        on: on.map(|(id, _)| id),
    })
}

/// The gauge that reads a transfer gauge: another one of the register that shows sizes itself.
pub(super) fn read_by(
    found: &mut Found<'_>,
    entry: &GaugeEntry<'_, '_>,
    listed: &[Listed],
) -> Option<GaugeId> {
    let written = entry.read_by.as_ref()?;
    let named = written.value.as_str();
    if entry.id.as_ref().is_some_and(|id| id.value == named) {
        found.add(&written.span, RegisterProblem::ReadByItself);
        return None;
    }
    let found_text = named.to_owned();
    let problem = match listed.iter().find(|one| one.id == named) {
        None => RegisterProblem::ReadByUnknown {
            found: found_text,
            nearest: nearest_id(named, listed),
        },
        Some(one) if one.is_carrier || one.kind == GaugeKind::SmallHoleGauge => {
            RegisterProblem::ReadByCarrier { found: found_text }
        }
        Some(one) if !one.kind.shows_sizes() => RegisterProblem::ReadByNoSize {
            found: found_text,
            kind: one.kind.word(),
        },
        Some(_) => return Some(GaugeId::new(named)),
    };
    found.add(&written.span, problem);
    None
}

/// A calibration that ended before it was made.
pub(super) fn dates_in_order(found: &mut Found<'_>, entry: &GaugeEntry<'_, '_>) {
    if let (Some(made), Some(due)) = (&entry.calibrated, &entry.due)
        && due.value <= made.value
    {
        let problem = RegisterProblem::DueBeforeCalibrated {
            calibrated: made.value,
        };
        found.add(&due.span, problem);
    }
}

/// Why a key means nothing for some kinds.
const SHOWS_NO_SIZE: &str = "it answers goes or does not, and shows no size";
const MADE_FOR_NOTHING: &str = "only a plug, plain_plug, ring or gap_gauge is made for a callout";
const NO_ZERO: &str = "it has no zero that could be set";
const READS_ITSELF: &str =
    "it shows the size itself; only small_hole_gauge and bore_gauge carry one";
const CARRIES: &str = "the gauge that reads it has the port";

/// Keys that mean nothing for the entry's kind.
pub(super) fn keys_of_kind(found: &mut Found<'_>, entry: &GaugeEntry<'_, '_>) {
    let Some(kind) = entry.kind.as_ref().map(|kind| kind.value) else {
        return;
    };
    if kind.reads_angles() {
        for key in [
            "calibration",
            "reads",
            "set_on",
            "repeatability",
            "unit",
            "zero_check",
        ] {
            if entry.fields.has(key) {
                let problem = RegisterProblem::NotForAngles { key };
                found.add(&entry.fields.key_span(key), problem);
            }
        }
    }
    let mut refuse = |keys: &[&'static str], why: &'static str| {
        for key in keys.iter().copied().filter(|key| entry.fields.has(key)) {
            let kind = kind.word();
            let problem = RegisterProblem::KeyNotForKind { key, kind, why };
            found.add(&entry.fields.key_span(key), problem);
        }
    };
    if kind.is_limit_gauge() {
        let sizes = [
            "resolution",
            "repeatability",
            "reads",
            "set_on",
            "zero_check",
            "read_by",
        ];
        refuse(&sizes, SHOWS_NO_SIZE);
        return;
    }
    refuse(&["callout", "end"], MADE_FOR_NOTHING);
    if !kind.has_zero() && !kind.reads_angles() {
        refuse(&["zero_check"], NO_ZERO);
    }
    match kind.may_carry() {
        false => refuse(&["read_by"], READS_ITSELF),
        true if entry.fields.has("read_by") => {
            refuse(&["port"], CARRIES);
            refuse(
                &["reads", "set_on", "zero_check"],
                "the gauge that reads it shows the size",
            );
        }
        true => {}
    }
}

//! From the entries of a register file to gauges: what makes sense together.

use std::ops::Range;

use toml::de::DeTable;

use super::capability::{BiasPoint, Calibration};
use super::file_problem::FileProblem;
use super::findings::{Findings, Written};
use super::format::{self, CalibrationEntry, GaugeEntry, PortEntry, Reads};
use super::links::{Listed, dates_in_order, keys_of_kind, read_by, standard_named, zero_check};
use super::problem::RegisterProblem;
use super::reading::GaugeId;
use super::register::{Angular, Gauge, GaugeReads, Port, PortPlace, StatedError};
use crate::quantity::{Angle, Decimal, Length};

type Found<'t> = Findings<'t, RegisterProblem>;

/// Largest error, step or uncertainty of a gauge (chosen): more is a number in micrometres.
pub(super) const ERROR_MAX: Length = Length::from_mm(1);
const ERROR_EXPECTED: &str = "more than 0 and at most 1 mm (millimetres, not micrometres)";
/// The same for angles (chosen).
const ANGLE_ERROR_MAX: Angle = Angle::from_minutes(120);

/// Every gauge of the file; incomplete when problems were found.
pub(super) fn gauges<'t>(found: &mut Found<'t>, file: &DeTable<'t>) -> Vec<Gauge> {
    let entries = format::entries(found, file);
    found.add_repeats("id", entries.iter().filter_map(|entry| entry.id.as_ref()));
    let listed: Vec<Listed> = entries.iter().filter_map(Listed::of).collect();
    entries
        .iter()
        .filter_map(|entry| gauge(found, entry, &listed))
        .collect()
}

fn gauge(found: &mut Found<'_>, entry: &GaugeEntry<'_, '_>, listed: &[Listed]) -> Option<Gauge> {
    keys_of_kind(found, entry);
    let range = range(found, entry);
    let resolution = small(found, "resolution", entry.resolution.as_ref());
    let error = stated_error(found, entry);
    let reads = reads(found, entry, listed);
    let repeatability = small(found, "repeatability", entry.repeatability.as_ref());
    dates_in_order(found, entry);
    let zero_check = zero_check(found, entry, reads.as_ref(), range, listed);
    let read_by = read_by(found, entry, listed);
    let port = entry.port.as_ref().and_then(|port| port_of(found, port));
    let angular = angular(found, entry);
    Some(Gauge {
        id: GaugeId::new(&entry.id.as_ref()?.value),
        kind: entry.kind.as_ref()?.value,
        range,
        resolution,
        error,
        angular,
        reads: reads?,
        repeatability,
        repeatability_readings: entry.repeatability_readings,
        repeatability_on: entry.repeatability_on.as_ref().map(|day| day.value),
        serial: text(&entry.serial),
        made_of: text(&entry.made_of),
        calibrated: entry.calibrated.as_ref().map(|day| day.value),
        certificate: text(&entry.certificate),
        zero_check,
        read_by,
        callout: text(&entry.callout),
        end: entry.end.as_ref().map(|end| end.value),
        method: entry.method.as_ref().map(|method| method.value),
        due: entry.due.as_ref().map(|due| due.value),
        port,
        unit: entry.unit,
    })
}

fn range(found: &mut Found<'_>, entry: &GaugeEntry<'_, '_>) -> Option<(Length, Length)> {
    let written = entry.range.as_ref()?;
    let ends: Vec<Length> = written.value.iter().map(|end| end.value).collect();
    let may_be_one = entry.kind.as_ref().is_some_and(|k| k.value.has_one_size());
    match ends.as_slice() {
        [only] if may_be_one => Some((*only, *only)),
        [_] => {
            found.add(&written.span, RegisterProblem::RangeNeedsTwoEnds);
            None
        }
        [lower, upper] => ends_of(found, &written.span, *lower, *upper, may_be_one),
        _ => {
            wrong_count(found, &written.span, ends.len());
            None
        }
    }
}

fn wrong_count(found: &mut Found<'_>, span: &Range<usize>, count: usize) {
    let problem = FileProblem::WrongCount {
        key: "range",
        found: count,
        expected: "two ends, as [0, 25]",
    };
    found.add(span, problem);
}

fn ends_of<Q: Ord>(
    found: &mut Found<'_>,
    span: &Range<usize>,
    lower: Q,
    upper: Q,
    same_allowed: bool,
) -> Option<(Q, Q)> {
    if lower < upper || (same_allowed && lower == upper) {
        return Some((lower, upper));
    }
    found.add(span, RegisterProblem::RangeReversed);
    None
}

/// A length that must be positive and at most [`ERROR_MAX`].
pub(super) fn small(
    found: &mut Found<'_>,
    key: &'static str,
    written: Option<&Written<Length>>,
) -> Option<Length> {
    let written = written?;
    if written.value > Length::ZERO && written.value <= ERROR_MAX {
        return Some(written.value);
    }
    let problem = FileProblem::OutOfRange {
        key,
        found: format!("{} mm", written.value),
        expected: ERROR_EXPECTED,
    };
    found.add(&written.span, problem);
    None
}

fn angular(found: &mut Found<'_>, entry: &GaugeEntry<'_, '_>) -> Angular {
    let written = &entry.angular;
    let small = |found: &mut Found<'_>, key, written: &Option<Written<Angle>>| {
        let written = written.as_ref()?;
        if written.value > Angle::ZERO && written.value <= ANGLE_ERROR_MAX {
            return Some(written.value);
        }
        let problem = FileProblem::OutOfRange {
            key,
            found: format!("{}°", written.value),
            expected: "more than 0 and at most 2°",
        };
        found.add(&written.span, problem);
        None
    };
    let resolution = small(found, "resolution", &written.resolution);
    let mpe = small(found, "mpe", &written.mpe);
    let range = written
        .range
        .as_ref()
        .and_then(|range| match range.value.as_slice() {
            [lower, upper] => ends_of(found, &range.span, lower.value, upper.value, false),
            ends => {
                wrong_count(found, &range.span, ends.len());
                None
            }
        });
    Angular {
        range,
        resolution,
        mpe,
    }
}

fn stated_error(found: &mut Found<'_>, entry: &GaugeEntry<'_, '_>) -> StatedError {
    let angles = entry
        .kind
        .as_ref()
        .is_some_and(|kind| kind.value.reads_angles());
    if entry.fields.has("mpe") && entry.fields.has("calibration") && !angles {
        found.add(
            &entry.fields.key_span("calibration"),
            RegisterProblem::TwoErrors,
        );
    }
    if let Some(mpe) = small(found, "mpe", entry.mpe.as_ref()) {
        return StatedError::Mpe(mpe);
    }
    let calibration = entry.calibration.as_ref();
    match calibration.and_then(|written| calibration_of(found, written)) {
        Some(calibration) => StatedError::Calibration(calibration),
        None => StatedError::NotStated,
    }
}

fn calibration_of(found: &mut Found<'_>, written: &CalibrationEntry) -> Option<Calibration> {
    let expanded = small(found, "U", written.expanded.as_ref());
    let bias = bias(found, &written.bias);
    let factor = written.coverage_factor.as_ref()?;
    let coverage_factor = coverage_factor(factor.value);
    if coverage_factor.is_none() {
        let problem = FileProblem::OutOfRange {
            key: "k",
            found: factor.value.to_string(),
            expected: "from 1 to 10, usually 2",
        };
        found.add(&factor.span, problem);
    }
    Calibration::new(expanded?, coverage_factor?, bias).ok()
}

fn bias(found: &mut Found<'_>, written: &[(Written<Length>, Written<Length>)]) -> Vec<BiasPoint> {
    let mut points: Vec<BiasPoint> = Vec::new();
    for (size, error) in written {
        if points.last().is_some_and(|before| before.at >= size.value) {
            found.add(&size.span, RegisterProblem::BiasOrder);
        }
        if error.value.abs() > ERROR_MAX {
            let problem = FileProblem::OutOfRange {
                key: "bias",
                found: format!("{} mm", error.value),
                expected: "within 1 mm (millimetres, not micrometres)",
            };
            found.add(&error.span, problem);
        }
        points.push(BiasPoint {
            at: size.value,
            bias: error.value,
        });
    }
    points
}

/// From 1, a standard uncertainty, to 10, as [`Calibration::new`] takes it.
fn coverage_factor(number: Decimal) -> Option<f64> {
    let value: f64 = number.to_string().parse().ok()?;
    (1.0..=10.0).contains(&value).then_some(value)
}

fn reads(
    found: &mut Found<'_>,
    entry: &GaugeEntry<'_, '_>,
    listed: &[Listed],
) -> Option<GaugeReads> {
    let deviation = matches!(&entry.reads, Some(reads) if reads.value == Reads::Deviation);
    let Some(set_on) = &entry.set_on else {
        if deviation && !entry.fields.has("set_on") {
            found.add(
                &entry.fields.key_span("reads"),
                RegisterProblem::SetOnMissing,
            );
        }
        return (!deviation).then_some(GaugeReads::Size);
    };
    if !deviation {
        let reads_bad = entry.fields.has("reads") && entry.reads.is_none();
        if !reads_bad {
            found.add(&set_on.span, RegisterProblem::SetOnWithoutDeviation);
        }
        return None;
    }
    let (set_on, set_size) = standard_named(found, "set_on", set_on, listed)?;
    Some(GaugeReads::Deviation { set_on, set_size })
}

fn port_of(found: &mut Found<'_>, written: &PortEntry<'_, '_>) -> Option<Port> {
    if written.fields.has("usb") == written.fields.has("path") {
        found.add(written.fields.span(), RegisterProblem::PortNeedsOne);
        return None;
    }
    let place = match (&written.usb, &written.path) {
        (Some(identity), _) => match usb_identity(&identity.value) {
            Some(place) => place,
            None => {
                let found_text = identity.value.clone();
                found.add(
                    &identity.span,
                    RegisterProblem::BadUsb { found: found_text },
                );
                return None;
            }
        },
        (None, Some(path)) => PortPlace::Path(path.value.clone()),
        (None, None) => return None,
    };
    Some(Port {
        place,
        adapter: text(&written.adapter),
        frame_id: text(&written.id),
    })
}

fn text(written: &Option<Written<String>>) -> Option<String> {
    written.as_ref().map(|written| written.value.clone())
}

/// `1209:0001` or `1209:0001:SERIAL`; the serial number may hold colons itself.
fn usb_identity(text: &str) -> Option<PortPlace> {
    let number = |part: &str| {
        let four = part.len() == 4 && part.bytes().all(|byte| byte.is_ascii_hexdigit());
        four.then(|| u16::from_str_radix(part, 16).ok()).flatten()
    };
    let mut parts = text.splitn(3, ':');
    let vendor = number(parts.next()?)?;
    let product = number(parts.next()?)?;
    let serial = parts.next().map(str::to_owned);
    if serial.as_deref() == Some("") {
        return None;
    }
    Some(PortPlace::Usb {
        vendor,
        product,
        serial,
    })
}

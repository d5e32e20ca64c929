//! The gauge register as it is written on disk: its keys, read one by one.
//!
//! Lengths are millimetres, or inches in an entry with `unit = "in"`; a quoted length may carry
//! its own unit. A protractor's range, resolution and mpe are degrees, or quoted angles (`"5'"`).
//! Refuses to know what makes sense together: `build.rs` and `links.rs` do.

use toml::Spanned;
use toml::de::{DeTable, DeValue};

use super::date::Date;
use super::fields::Fields;
use super::findings::{Findings, Written};
use super::kind::GaugeKind;
use super::method::Method;
use super::problem::RegisterProblem;
use super::reading::CheckEnd;
use super::written::{bare_number, length_of, wrong_type};
use crate::quantity::{Angle, Decimal, Length, LengthUnit};

const GAUGE_KEYS: &[&str] = &[
    "id",
    "kind",
    "range",
    "resolution",
    "mpe",
    "calibration",
    "reads",
    "set_on",
    "repeatability",
    "due",
    "port",
    "unit",
    "serial",
    "made_of",
    "calibrated",
    "certificate",
    "zero_check",
    "read_by",
    "callout",
    "end",
    "method",
];
const CALIBRATION_KEYS: &[&str] = &["U", "k", "bias"];
const STUDY_KEYS: &[&str] = &["s", "n", "on"];
const ZERO_KEYS: &[&str] = &["every_hours", "bound", "on"];
const PORT_KEYS: &[&str] = &["usb", "path", "adapter", "id"];

const READS: [(Reads, &str); 2] = [(Reads::Size, "size"), (Reads::Deviation, "deviation")];
const UNITS: [(LengthUnit, &str); 2] = [(LengthUnit::Millimetre, "mm"), (LengthUnit::Inch, "in")];

/// The ends that a limit gauge may have; one with both says nothing.
const ENDS: [(CheckEnd, &str); 2] = [(CheckEnd::Go, "go"), (CheckEnd::NoGo, "no_go")];
/// Readings of a repeatability study (chosen: two give a spread, more than a thousand is a slip).
const READINGS: std::ops::RangeInclusive<u32> = 2..=1_000;
/// Hours for which a zero check may hold: up to a year.
const HOURS: std::ops::RangeInclusive<u32> = 1..=8_784;

/// Whether a gauge shows a size or how far it is from what the gauge was set on.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub(super) enum Reads {
    /// The size itself.
    Size,
    /// The deviation from the standard that it was set on.
    Deviation,
}

/// One `[[gauge]]` as written.
pub(super) struct GaugeEntry<'d, 't> {
    pub(super) fields: Fields<'d, 't>,
    pub(super) id: Option<Written<String>>,
    pub(super) kind: Option<Written<GaugeKind>>,
    pub(super) range: Option<Written<Vec<Written<Length>>>>,
    pub(super) resolution: Option<Written<Length>>,
    pub(super) mpe: Option<Written<Length>>,
    pub(super) angular: AngularEntry,
    pub(super) calibration: Option<CalibrationEntry>,
    pub(super) reads: Option<Written<Reads>>,
    pub(super) set_on: Option<Written<String>>,
    pub(super) repeatability: Option<Written<Length>>,
    pub(super) repeatability_readings: Option<u32>,
    pub(super) repeatability_on: Option<Written<Date>>,
    pub(super) serial: Option<Written<String>>,
    pub(super) made_of: Option<Written<String>>,
    pub(super) calibrated: Option<Written<Date>>,
    pub(super) certificate: Option<Written<String>>,
    pub(super) zero_check: Option<ZeroEntry>,
    pub(super) read_by: Option<Written<String>>,
    pub(super) callout: Option<Written<String>>,
    pub(super) end: Option<Written<CheckEnd>>,
    pub(super) method: Option<Written<Method>>,
    pub(super) due: Option<Written<Date>>,
    pub(super) port: Option<PortEntry<'d, 't>>,
    pub(super) unit: LengthUnit,
}

/// Range, resolution and mpe of a protractor.
#[derive(Default)]
pub(super) struct AngularEntry {
    pub(super) range: Option<Written<Vec<Written<Angle>>>>,
    pub(super) resolution: Option<Written<Angle>>,
    pub(super) mpe: Option<Written<Angle>>,
}

/// `calibration = { U = …, k = …, bias = [[size, bias], …] }`.
pub(super) struct CalibrationEntry {
    pub(super) expanded: Option<Written<Length>>,
    pub(super) coverage_factor: Option<Written<Decimal>>,
    pub(super) bias: Vec<(Written<Length>, Written<Length>)>,
}

/// `zero_check = { every_hours = …, bound = …, on = … }`.
pub(super) struct ZeroEntry {
    pub(super) every_hours: Option<u32>,
    pub(super) bound: Option<Written<Length>>,
    pub(super) on: Option<Written<String>>,
}

/// `port = { usb = … | path = …, adapter = …, id = … }`.
pub(super) struct PortEntry<'d, 't> {
    pub(super) fields: Fields<'d, 't>,
    pub(super) usb: Option<Written<String>>,
    pub(super) path: Option<Written<String>>,
    pub(super) adapter: Option<Written<String>>,
    pub(super) id: Option<Written<String>>,
}

type Found<'t> = Findings<'t, RegisterProblem>;

/// Every `[[gauge]]` of the file.
pub(super) fn entries<'d, 't>(
    found: &mut Found<'t>,
    file: &'d DeTable<'t>,
) -> Vec<GaugeEntry<'d, 't>> {
    let file = Fields::open(found, file, "the gauge register", 0..0, &["gauge"]);
    let gauges = file.tables(found, "gauge", "[[gauge]]", GAUGE_KEYS);
    gauges
        .into_iter()
        .map(|fields| entry(found, fields))
        .collect()
}

fn entry<'d, 't>(found: &mut Found<'t>, fields: Fields<'d, 't>) -> GaugeEntry<'d, 't> {
    fields.require(found, &["id", "kind"]);
    let unit = fields.word(found, "unit", &UNITS);
    let unit = unit.map_or(LengthUnit::Millimetre, |written| written.value);
    let kind = fields.word(found, "kind", &GaugeKind::WORDS);
    let angles = kind.as_ref().is_some_and(|kind| kind.value.reads_angles());
    let angular = match angles {
        true => AngularEntry {
            range: angle_list(found, &fields, "range"),
            resolution: angle(found, "resolution", fields.value("resolution")),
            mpe: angle(found, "mpe", fields.value("mpe")),
        },
        false => AngularEntry::default(),
    };
    let lengths = |found: &mut Found<'t>, key| {
        let wanted = !angles;
        wanted.then(|| fields.length(found, key, unit)).flatten()
    };
    let (repeatability, repeatability_readings, repeatability_on) = match angles {
        true => (None, None, None),
        false => repeatability(found, &fields, unit),
    };
    GaugeEntry {
        id: fields.name(found, "id"),
        kind,
        range: match angles {
            true => None,
            false => fields.lengths(found, "range", unit),
        },
        resolution: lengths(found, "resolution"),
        mpe: lengths(found, "mpe"),
        angular,
        calibration: calibration(found, &fields, unit),
        reads: fields.word(found, "reads", &READS),
        set_on: fields.name(found, "set_on"),
        repeatability,
        repeatability_readings,
        repeatability_on,
        serial: fields.text(found, "serial"),
        made_of: fields.text(found, "made_of"),
        calibrated: fields.date(found, "calibrated"),
        certificate: fields.text(found, "certificate"),
        zero_check: zero_check(found, &fields, unit),
        read_by: fields.name(found, "read_by"),
        callout: fields.text(found, "callout"),
        end: fields.word(found, "end", &ENDS),
        method: fields.word(found, "method", &Method::WORDS),
        due: fields.date(found, "due"),
        port: port(found, &fields),
        unit,
        fields,
    }
}

fn calibration<'t>(
    found: &mut Found<'t>,
    fields: &Fields<'_, 't>,
    unit: LengthUnit,
) -> Option<CalibrationEntry> {
    let table = fields.table(found, "calibration", "calibration", CALIBRATION_KEYS)?;
    table.require(found, &["U", "k"]);
    let expanded = table.length(found, "U", unit);
    let coverage_factor = table.number(found, "k", "a number, as 2");
    let bias = table
        .value("bias")
        .map(|value| bias_list(found, value, unit));
    Some(CalibrationEntry {
        expanded,
        coverage_factor,
        bias: bias.unwrap_or_default(),
    })
}

/// s_r alone, or with the number of readings it comes from and the day of the study.
fn repeatability<'t>(
    found: &mut Found<'t>,
    fields: &Fields<'_, 't>,
    unit: LengthUnit,
) -> (Option<Written<Length>>, Option<u32>, Option<Written<Date>>) {
    const KEY: &str = "repeatability";
    let is_table = |value: &Spanned<DeValue<'_>>| value.get_ref().is_table();
    if !fields.value(KEY).is_some_and(is_table) {
        return (fields.length(found, KEY, unit), None, None);
    }
    let Some(table) = fields.table(found, KEY, KEY, STUDY_KEYS) else {
        return (None, None, None);
    };
    table.require(found, &["s", "n"]);
    let readings = table.whole(found, "n", READINGS, "a number of readings from 2 to 1000");
    let spread = table.length(found, "s", unit);
    let day = table.date(found, "on");
    (spread, readings.map(|written| written.value), day)
}

fn zero_check<'t>(
    found: &mut Found<'t>,
    fields: &Fields<'_, 't>,
    unit: LengthUnit,
) -> Option<ZeroEntry> {
    let table = fields.table(found, "zero_check", "zero_check", ZERO_KEYS)?;
    let hours = table.whole(found, "every_hours", HOURS, "whole hours from 1 to 8784");
    Some(ZeroEntry {
        every_hours: hours.map(|written| written.value),
        bound: table.length(found, "bound", unit),
        on: table.name(found, "on"),
    })
}

fn bias_list(
    found: &mut Found<'_>,
    value: &Spanned<DeValue<'_>>,
    unit: LengthUnit,
) -> Vec<(Written<Length>, Written<Length>)> {
    const EXPECTED: &str = "a list of [size, bias], as [[0, 0.0], [25, 0.001]]";
    let DeValue::Array(points) = value.get_ref() else {
        found.add(&value.span(), wrong_type("bias", value, EXPECTED));
        return Vec::new();
    };
    let mut list = Vec::new();
    for point in points.iter() {
        let members: Vec<_> = match point.get_ref() {
            DeValue::Array(members) => members.iter().collect(),
            _ => Vec::new(),
        };
        let [size, bias] = members.as_slice() else {
            found.add(&point.span(), RegisterProblem::BiasPoint);
            continue;
        };
        let size = length_of(found, "bias", unit, size);
        let bias = length_of(found, "bias", unit, bias);
        list.extend(size.zip(bias));
    }
    list
}

fn port<'d, 't>(found: &mut Found<'t>, fields: &Fields<'d, 't>) -> Option<PortEntry<'d, 't>> {
    let fields = fields.table(found, "port", "port", PORT_KEYS)?;
    Some(PortEntry {
        usb: fields.text(found, "usb"),
        path: fields.text(found, "path"),
        adapter: fields.text(found, "adapter"),
        id: fields.text(found, "id"),
        fields,
    })
}

fn angle(
    found: &mut Found<'_>,
    key: &'static str,
    value: Option<&Spanned<DeValue<'_>>>,
) -> Option<Written<Angle>> {
    let value = value?;
    let span = value.span();
    let angle = match value.get_ref() {
        DeValue::Integer(_) | DeValue::Float(_) => {
            Angle::from_degrees(bare_number(found, key, value)?.value)
        }
        DeValue::String(text) => Angle::parse(text.trim()),
        _ => {
            let expected = "an angle, as 0.1 or \"5'\"";
            found.add(&span, wrong_type(key, value, expected));
            return None;
        }
    };
    match angle {
        Ok(value) => Some(Written { value, span }),
        Err(error) => {
            found.add(&span, super::FileProblem::BadQuantity { key, error });
            None
        }
    }
}

fn angle_list(
    found: &mut Found<'_>,
    fields: &Fields<'_, '_>,
    key: &'static str,
) -> Option<Written<Vec<Written<Angle>>>> {
    let value = fields.value(key)?;
    let DeValue::Array(members) = value.get_ref() else {
        found.add(
            &value.span(),
            wrong_type(key, value, "two ends, as [0, 180]"),
        );
        return None;
    };
    let read = |member| angle(found, key, Some(member));
    let ends: Vec<_> = members.iter().map(read).collect();
    Some(Written {
        value: ends.into_iter().collect::<Option<Vec<_>>>()?,
        span: value.span(),
    })
}

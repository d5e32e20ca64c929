//! The gauges of a sheet as they stood on the day, and the way each measures.

use std::collections::BTreeMap;

use super::gather::Fold;
use super::gather_text::{bench_day, signed_mm};
use super::sheet::{GaugeFacts, ReadingRow, Sheet};
use crate::gauge::{Date, Due, Faces, Gauge, GaugeId, GaugeReads, Method, Register, StatedError};
use crate::journal::Sequence;
use crate::quantity::{Angle, Length};
use crate::session::{Setup, State, Target, TargetLimits, Zero};

/// How a characteristic was measured with a gauge; empty where its kind does not say.
pub(super) fn method_of(setup: &Setup, target: &Target, gauge: &str) -> &'static str {
    if target.over_wires.is_some() {
        return Method::OverWires.word();
    }
    if let TargetLimits::Check(_) = target.limits {
        let is_mate = target.element == "mate";
        return if is_mate {
            ""
        } else {
            Method::LimitGauge.word()
        };
    }
    let Some(entry) = setup.gauge(&GaugeId::new(gauge)) else {
        return "";
    };
    let way = entry.way_of_measuring();
    // The rod of a caliper does not measure between two faces, whatever its kind says.
    let is_rod = target.faces == Faces::Depth && entry.method.is_none();
    let way = way.filter(|way| !(is_rod && *way == Method::TwoPoint));
    way.map_or("", Method::word)
}

/// The setting standard that a reading rests on: what its comparator is set on, else the one of
/// the last good zero check before it.
pub(super) fn set_on_of(state: &State, gauge: &str, reading: Sequence) -> String {
    let register = &state.setup().register;
    let id = GaugeId::new(gauge);
    let entry = register.gauge(&id);
    let reader = entry.and_then(|entry| register.reader_of(entry)).or(entry);
    if let Some(GaugeReads::Deviation { set_on, .. }) = reader.map(|reader| &reader.reads) {
        return set_on.as_str().to_owned();
    }
    let id = reader.map_or(&id, |reader| &reader.id);
    let mut checks = state.zeros().history(id).iter().rev();
    let good = checks.find(|zero| zero.good && zero.reading < reading);
    let standard = good.and_then(|zero| zero.standard.as_ref());
    standard.map_or_else(String::new, |standard| standard.as_str().to_owned())
}

/// The gauges of the session, those that gave the sheet's readings, and what they rest on.
pub(super) fn gauges_of(fold: &Fold, state: &State, sheet: &Sheet) -> Vec<GaugeFacts> {
    let setup = state.setup();
    let used = used(sheet);
    let mut ids: Vec<String> = Vec::new();
    let mut add = |id: &str| {
        if !id.is_empty() && !ids.iter().any(|known| known == id) {
            ids.push(id.to_owned());
        }
    };
    for source in &setup.sources {
        add(&source.gauge);
    }
    for id in used.keys() {
        add(id);
    }
    for (id, _) in state.zeros().all() {
        add(id.as_str());
    }
    // What those rest on follows them.
    let named = ids.clone();
    for id in &named {
        let entry = setup.gauge(&GaugeId::new(id));
        let rests = entry.map(|entry| setup.register.rests_on(entry));
        for one in rests.into_iter().flatten() {
            if !ids.iter().any(|known| known == one.id.as_str()) {
                ids.push(one.id.as_str().to_owned());
            }
        }
    }
    let day_of_session = bench_day(&fold.last_time, &sheet.record.offset);
    ids.iter()
        .map(|id| {
            let last = used.get(id.as_str()).map(|used| used.last.as_str());
            let day = last.and_then(|time| bench_day(time, &sheet.record.offset));
            let mut facts = facts(fold, state, id, day.or(day_of_session));
            facts.readings = used.get(id.as_str()).map_or(0, |used| used.readings);
            facts
        })
        .collect()
}

/// How often a gauge was read, and when last.
#[derive(Default)]
struct Used {
    readings: u64,
    last: String,
}

fn used(sheet: &Sheet) -> BTreeMap<&str, Used> {
    let mut used: BTreeMap<&str, Used> = BTreeMap::new();
    let of_parts = sheet.parts.iter().flat_map(|part| &part.readings);
    let all = of_parts.chain(&sheet.record.other_readings);
    for row in all.filter(|row: &&ReadingRow| !row.gauge.is_empty()) {
        let entry = used.entry(row.gauge.as_str()).or_default();
        entry.readings += 1;
        // RFC 3339 in UTC with equal digits: the later one is the greater text.
        if entry.last < row.time {
            entry.last.clone_from(&row.time);
        }
    }
    used
}

fn facts(fold: &Fold, state: &State, id: &str, day: Option<Date>) -> GaugeFacts {
    let setup = state.setup();
    let gauge = GaugeId::new(id);
    let mut facts = GaugeFacts {
        id: id.to_owned(),
        zero: zero_words(fold, state, &gauge),
        source: source_words(setup, id),
        refused: fold.refused.get(id).copied().unwrap_or(0),
        ..GaugeFacts::default()
    };
    let Some(entry) = setup.gauge(&gauge) else {
        let remark = "not in the register: nothing is known of its error and its calibration";
        facts.remarks.push(remark.to_owned());
        return facts;
    };
    let register = &setup.register;
    let text = |text: Option<&String>| text.cloned().unwrap_or_default();
    let date = |date: Option<Date>| date.map_or_else(String::new, |date| date.to_string());
    facts.kind = entry.kind.word().replace('_', " ");
    facts.serial = text(entry.serial.as_ref());
    facts.resolution = resolution(entry);
    facts.error_basis = error_basis(register, entry);
    facts.calibrated = date(entry.calibrated);
    facts.certificate = text(entry.certificate.as_ref());
    facts.due = date(entry.due);
    facts.set_on = register
        .standard_of(entry)
        .map_or_else(String::new, |one| one.id.as_str().to_owned());
    facts.callout = text(entry.callout.as_ref());
    let way = entry.way_of_measuring();
    way.map_or("", Method::word).clone_into(&mut facts.method);
    if let Some(day) = day {
        facts.was_overdue = matches!(entry.due_on(day), Due::Overdue { .. });
        let remarks = register.standing(entry, day).remarks;
        facts.remarks = remarks.iter().map(ToString::to_string).collect();
    }
    facts
}

fn resolution(gauge: &Gauge) -> String {
    if let Some(step) = gauge.angular.resolution {
        return step.to_dms();
    }
    gauge.resolution.map_or_else(String::new, Length::to_mm)
}

/// What is known of a gauge's error, in words.
fn error_basis(register: &Register, gauge: &Gauge) -> String {
    if gauge.kind.reads_angles() {
        let known = gauge.angular.mpe.map(Angle::to_dms);
        return known.map_or_else(not_known, |mpe| {
            format!("largest permitted error {mpe}, stated in the register")
        });
    }
    if let Some(reader) = register.reader_of(gauge) {
        return format!("read by {}", reader.id);
    }
    match &gauge.error {
        StatedError::Mpe(mpe) => format!(
            "largest permitted error {} mm, stated in the register",
            mpe.to_mm()
        ),
        StatedError::Calibration(calibration) => format!(
            "calibration: U = {} mm, k = {}",
            calibration.expanded_uncertainty().to_mm(),
            calibration.coverage_factor()
        ),
        StatedError::NotStated if gauge.kind.is_limit_gauge() => String::new(),
        StatedError::NotStated => {
            let assumed = gauge.assumed_numbers();
            let mpe = assumed.iter().find(|number| number.key == "mpe");
            mpe.map_or_else(not_known, |number| {
                format!(
                    "largest permitted error {} mm, assumed for its kind: {}",
                    number.assumed.value.to_mm(),
                    number.assumed.source
                )
            })
        }
    }
}

fn not_known() -> String {
    "not known".to_owned()
}

/// Where its readings came from.
fn source_words(setup: &Setup, id: &str) -> String {
    let mut sources = setup.sources.iter();
    let Some(source) = sources.find(|source| source.gauge == id) else {
        return String::new();
    };
    match source.adapter.as_str() {
        "" => source.source.clone(),
        adapter => format!("{}, adapter {adapter}", source.source),
    }
}

/// The last zero check or finding, in words.
fn zero_words(fold: &Fold, state: &State, gauge: &GaugeId) -> String {
    let Some(zero) = state.zeros().last(gauge) else {
        return String::new();
    };
    let time = zero_time(fold, state, gauge, zero);
    if !zero.why.is_empty() {
        return format!("{time}: found wrong, {}", zero.why);
    }
    let on = match &zero.standard {
        Some(standard) => format!("on {standard}"),
        None => "at its own zero".to_owned(),
    };
    let offset = signed_mm(zero.offset);
    match zero.good {
        true => format!("{time}: good {on}, {offset} mm taken off"),
        false => format!("{time}: failed {on}, {offset} mm"),
    }
}

fn zero_time(fold: &Fold, state: &State, gauge: &GaugeId, zero: &Zero) -> String {
    if zero.line > 0 {
        return fold.times.get(&zero.line).cloned().unwrap_or_default();
    }
    let earlier = state.setup().zeros.iter().rev();
    let mut of_gauge = earlier.filter(|one| one.gauge == gauge.as_str());
    of_gauge
        .next()
        .map_or_else(String::new, |one| one.time.clone())
}

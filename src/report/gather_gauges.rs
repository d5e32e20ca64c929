//! The gauges of a sheet as they stood on the day, and the way each measures.

use std::collections::BTreeMap;

use super::gather::Fold;
use super::gather_text::{bench_day, bench_time, signed_mm};
use super::sheet::{GaugeFacts, ReadingRow, Sheet};
use super::words::Words;
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
            let mut facts = facts(
                fold,
                state,
                id,
                day.or(day_of_session),
                &sheet.record.offset,
            );
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

fn facts(fold: &Fold, state: &State, id: &str, day: Option<Date>, offset: &str) -> GaugeFacts {
    let setup = state.setup();
    let told = &fold.words.told;
    let gauge = GaugeId::new(id);
    let mut facts = GaugeFacts {
        id: id.to_owned(),
        zero: zero_words(fold, state, &gauge, offset),
        source: source_words(fold.words, setup, id),
        refused: fold.refused.get(id).copied().unwrap_or(0),
        ..GaugeFacts::default()
    };
    let Some(entry) = setup.gauge(&gauge) else {
        facts.remarks.push(told.not_in_register.to_owned());
        return facts;
    };
    let register = &setup.register;
    let text = |text: Option<&String>| text.cloned().unwrap_or_default();
    let date = |date: Option<Date>| date.map_or_else(String::new, |date| date.to_string());
    facts.kind = (told.gauge_kind)(entry.kind.word());
    facts.serial = text(entry.serial.as_ref());
    facts.resolution = resolution(entry);
    facts.error_basis = error_basis(fold.words, register, entry);
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
        facts.remarks = remarks.iter().map(told.gauge_remark).collect();
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
fn error_basis(words: &Words, register: &Register, gauge: &Gauge) -> String {
    let told = &words.told;
    let mm = |length: Length| format!("{} mm", length.to_mm());
    let not_known = || told.error_not_known.to_owned();
    if gauge.kind.reads_angles() {
        let known = gauge.angular.mpe.map(Angle::to_dms);
        return known.map_or_else(not_known, |mpe| (told.error_stated)(&mpe));
    }
    if let Some(reader) = register.reader_of(gauge) {
        return (told.read_by)(reader.id.as_str());
    }
    match &gauge.error {
        StatedError::Mpe(mpe) => (told.error_stated)(&mm(*mpe)),
        StatedError::Calibration(calibration) => (told.error_calibrated)(
            &mm(calibration.expanded_uncertainty()),
            &calibration.coverage_factor().to_string(),
        ),
        StatedError::NotStated if gauge.kind.is_limit_gauge() => String::new(),
        StatedError::NotStated => {
            let assumed = gauge.assumed_numbers();
            let mpe = assumed.iter().find(|number| number.key == "mpe");
            mpe.map_or_else(not_known, |number| {
                let ground = number.assumed.source.to_string();
                (told.error_assumed)(&mm(number.assumed.value), &ground)
            })
        }
    }
}

/// Where its readings came from.
fn source_words(words: &Words, setup: &Setup, id: &str) -> String {
    let mut sources = setup.sources.iter();
    let Some(source) = sources.find(|source| source.gauge == id) else {
        return String::new();
    };
    match source.adapter.as_str() {
        "" => source.source.clone(),
        adapter => (words.told.source_by_adapter)(&source.source, adapter),
    }
}

/// The last zero check or finding, in words, its time by the clock at the bench.
fn zero_words(fold: &Fold, state: &State, gauge: &GaugeId, offset: &str) -> String {
    let Some(zero) = state.zeros().last(gauge) else {
        return String::new();
    };
    let told = &fold.words.told;
    let time = bench_time(&zero_time(fold, state, gauge, zero), offset);
    if !zero.why.is_empty() {
        return (told.zero_found_wrong)(&time, &zero.why);
    }
    let on = zero.standard.as_ref().map(GaugeId::as_str);
    let shown = format!("{} mm", signed_mm(zero.offset));
    match zero.good {
        true => (told.zero_good)(&time, on, &shown),
        false => (told.zero_failed)(&time, on, &shown),
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

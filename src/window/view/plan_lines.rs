//! What is said of a feature or a pair of an edited plan: limits with their deviations, faults,
//! which gauges can prove it, how it is made.

use super::pairs_lines::mm;
use super::said::Said;
use super::words::{Words, capital, clean};
use crate::gauge::GaugeId;
use crate::measure::{
    Aim, DrillFit, Proof, bore_target, drill_verdict, thread_depth, threading_hints,
};
use crate::plan::{Bounds, Characteristic, Feature, Plan, SheetFault};
use crate::quantity::{Angle, Exact, Length, Rounding};
use crate::session::{Found, GaugeSuitable, Proven, Suitable, Unfit, element_words};
use crate::tolerance::{
    CalloutLimits, Context, FitKind, FitLimits, Limits, Tables, ThreadLimits, ThreadMember,
    tapping_drill,
};
use crate::window::plan_disk::PlanShelfFacts;
use crate::window::plan_sense::{PlanSense, PlanWarning, thread_of};

/// The file on the disk is not sound: by what the gauges are told.
const OLD_REGISTER: &str = "⚠ By the last gauges.toml that was sound: the one on the disk is not, \
                            as page 4 says.";
const NO_REGISTER: &str = "⚠ gauges.toml cannot be used as it stands: what can prove this is told \
                           here once it is mended.";
/// So many faults of one thing are told, and so many warnings; the others are counted (chosen).
const TOLD_MAX: usize = 12;
/// Nanometres of a micrometre.
const NM_PER_UM: i64 = 1_000;

/// What is wrong, with what to do; then what is worth a look.
pub(super) fn wrong<'f>(
    said: &mut Said,
    faults: impl Iterator<Item = &'f SheetFault>,
    warnings: impl Iterator<Item = &'f PlanWarning>,
) {
    let (mut faults, mut warnings) = (faults, warnings);
    for fault in faults.by_ref().take(TOLD_MAX) {
        said.strong(&fault_words(fault));
    }
    for warning in warnings.by_ref().take(TOLD_MAX) {
        said.strong(&format!("⚠ {}", warning.text));
    }
    match faults.count() + warnings.count() {
        0 => {}
        1 => said.strong("And 1 more, as page 4 lists them."),
        more => said.strong(&format!("And {more} more, as page 4 lists them.")),
    }
}

/// What is wrong, and what to do.
pub(super) fn fault_words(fault: &SheetFault) -> String {
    let hint = fault.error.hint().unwrap_or_default();
    let place = fault.error.place();
    // What belongs to no field is found by its line.
    let place = match fault.at {
        Some(_) => String::new(),
        None => format!("Line {}, column {}: ", place.line, place.column),
    };
    let text = format!("{place}{} {hint}", fault.error.problem());
    capital(text.trim())
}

/// The limits of a feature, those of its earlier stages too.
pub(super) fn limit_lines(said: &mut Said, feature: &Feature) {
    for one in &feature.characteristics {
        let text = limits_sentence(one, said.words);
        said.strong(&text);
        stages(said, one);
    }
}

/// What can prove a feature, and how it is made.
pub(super) fn proof_lines(said: &mut Said, feature: &Feature, sense: &PlanSense, tables: &Tables) {
    let of_feature = |one: &&Suitable| one.feature == feature.id.as_str();
    let all: Vec<&Suitable> = sense.could.iter().filter(of_feature).collect();
    match (all.is_empty(), sense.is_register_old) {
        (true, true) => said.strong(NO_REGISTER),
        (false, true) => said.strong(OLD_REGISTER),
        (true, false) => said.say(
            "The register has no gauge: gauges.toml in the workspace says what there is, and then \
             which of them can prove this is told here.",
        ),
        (false, false) => {}
    }
    for one in all {
        let setup = sense.setup.as_ref();
        let target = setup.and_then(|setup| setup.targets.get(one.target));
        let listed = target.map_or(&[][..], |target| &target.gauges);
        gauges(said, one, listed);
    }
    if let Some(thread) = thread_of(feature, tables) {
        making(said, &thread);
    }
}

/// `20.002 to 20.015 mm: +2 to +15 µm about 20, 13 µm wide`.
pub(super) fn limits_sentence(one: &Characteristic, words: Words) -> String {
    let element = one.id.element.as_deref().unwrap_or("");
    let element = match element_words(element) {
        "" => String::new(),
        element => format!("{}: ", capital(element)),
    };
    let limits = match one.bounds() {
        Some(Bounds::Length(limits)) => length_limits(&limits, one.nominal, words),
        Some(Bounds::Angle(limits)) => angle_limits(&limits),
        Some(Bounds::Check(asked)) => return format!("Tried with the {}.", asked.name()),
        None => "no limits".to_owned(),
    };
    format!("{element}{limits}.")
}

fn length_limits(limits: &Limits<Length>, nominal: Option<Length>, words: Words) -> String {
    let between = match (limits.lower(), limits.upper()) {
        (Some(lower), Some(upper)) => {
            format!("{} to {} mm", mm(lower, words), mm(upper, words))
        }
        (Some(lower), None) => format!("{} mm or more", mm(lower, words)),
        (None, Some(upper)) => format!("{} mm or less", mm(upper, words)),
        (None, None) => "no limits".to_owned(),
    };
    let from = |limit: Option<Length>| Some(limit? - nominal?);
    let deviations = match (from(limits.lower()), from(limits.upper())) {
        (Some(lower), Some(upper)) => format!(": {} to {} µm", signed(lower), signed(upper)),
        (Some(one), None) | (None, Some(one)) if one != Length::ZERO => {
            format!(": {} µm", signed(one))
        }
        _ => String::new(),
    };
    let about = match (deviations.is_empty(), nominal) {
        (false, Some(nominal)) => format!(" about {nominal}"),
        _ => String::new(),
    };
    let wide = limits
        .tolerance()
        .map(|wide| format!(", {} µm wide", um(wide)));
    format!("{between}{deviations}{about}{}", wide.unwrap_or_default())
}

fn angle_limits(limits: &Limits<Angle>) -> String {
    let text = |angle: Angle| format!("{}°", angle.to_degrees());
    match (limits.lower(), limits.upper()) {
        (Some(lower), Some(upper)) => format!("{} to {}", text(lower), text(upper)),
        (Some(lower), None) => format!("{} or more", text(lower)),
        (None, Some(upper)) => format!("{} or less", text(upper)),
        (None, None) => "no limits".to_owned(),
    }
}

/// Micrometres with as many decimals as they have.
fn um(length: Length) -> String {
    let nm = length.as_nm();
    let (whole, rest) = (nm.abs() / NM_PER_UM, nm.abs() % NM_PER_UM);
    let sign = if nm < 0 { "-" } else { "" };
    match rest {
        0 => format!("{sign}{whole}"),
        rest => format!("{sign}{whole}.{rest:03}")
            .trim_end_matches('0')
            .to_owned(),
    }
}

fn signed(length: Length) -> String {
    match length.units() {
        1.. => format!("+{}", um(length)),
        _ => um(length),
    }
}

/// Limits of the stages before the last one: what is left for finishing and coating.
fn stages(said: &mut Said, one: &Characteristic) {
    let Some((_, earlier)) = one.stages.split_last() else {
        return;
    };
    for stage in earlier {
        let (Some(name), Some(limits)) = (&stage.name, stage.bounds.length()) else {
            continue;
        };
        let limits = length_limits(limits, None, said.words);
        let last = one.stages.last().and_then(|last| last.name.as_deref());
        let last = clean(last.unwrap_or("the last stage"));
        said.say(&format!(
            "{}: {limits}; then {last}.",
            capital(&clean(name))
        ));
    }
}

/// Which gauges can prove it, only sometimes, and not at all.
fn gauges(said: &mut Said, one: &Suitable, listed: &[GaugeId]) {
    let about = match element_words(&one.element) {
        "" => String::new(),
        element => format!(" the {}", clean(element)),
    };
    let told = |wanted: fn(&Found) -> bool| {
        let all = one.gauges.iter().filter(|gauge| wanted(&gauge.found));
        let all: Vec<String> = all
            .map(|gauge| gauge_words(gauge, one.is_angle, listed))
            .collect();
        all.join(", ")
    };
    let can = told(|found| match found {
        Found::Measures(proven) => proven.proof == Proof::Can,
        Found::Tries => true,
        _ => false,
    });
    let sometimes =
        told(|found| matches!(found, Found::Measures(one) if one.proof == Proof::Sometimes));
    let cannot = told(|found| matches!(found, Found::Measures(one) if one.proof == Proof::Cannot));
    let unknown = told(|found| matches!(found, Found::NotKnown));
    if !can.is_empty() {
        said.say(&format!("Can prove{about}: {can}."));
    }
    if !sometimes.is_empty() {
        said.say(&format!("Can prove{about} only sometimes: {sometimes}."));
    }
    if !cannot.is_empty() {
        said.say(&format!(
            "Cannot prove{about}, no value would be GO: {cannot}."
        ));
    }
    if !unknown.is_empty() {
        said.say(&format!("Nothing is known of the error of {unknown}."));
    }
    unfit(said, one, &about);
}

/// Why others are not used: those of another kind are only counted.
fn unfit(said: &mut Said, one: &Suitable, about: &str) {
    let reasons = one.gauges.iter().filter_map(|gauge| match &gauge.found {
        Found::Unfit(Unfit::Kind) => None,
        Found::Unfit(why) => Some(format!("{} ({why})", clean(gauge.gauge.as_str()))),
        _ => None,
    });
    let reasons: Vec<String> = reasons.collect();
    if !reasons.is_empty() {
        said.say(&format!(
            "Not for{}: {}.",
            or_this(about),
            reasons.join(", ")
        ));
    }
    let other = one.gauges.iter();
    let other = other
        .filter(|one| one.found == Found::Unfit(Unfit::Kind))
        .count();
    match (other, one.is_check) {
        (0, _) | (_, true) => {}
        (1, false) => said.say("1 gauge of the register is of another kind."),
        (many, false) => said.say(&format!(
            "{many} gauges of the register are of other kinds."
        )),
    }
}

fn or_this(about: &str) -> &str {
    if about.is_empty() { " this" } else { about }
}

/// `mic-25 (U 2.9 µm, T/(2U) 2.2)`; of one that the plan does not list, so.
fn gauge_words(one: &GaugeSuitable, is_angle: bool, listed: &[GaugeId]) -> String {
    let is_other = !listed.is_empty() && !listed.contains(&one.gauge);
    let other = if is_other { ", not listed here" } else { "" };
    let id = clean(one.gauge.as_str());
    match (&one.found, is_other) {
        (Found::Measures(proven), _) => {
            format!("{id} ({}{other})", proven_words(proven, is_angle))
        }
        (_, true) => format!("{id} (not listed here)"),
        (_, false) => id,
    }
}

fn proven_words(proven: &Proven, is_angle: bool) -> String {
    // Never understated; of an angle the steps are thousandths of a second.
    let expanded = match is_angle {
        true => format!("{:.3}°", (proven.expanded / 3_600.0).ceil() / 1_000.0),
        false => format!("{:.1} µm", (proven.expanded / 100.0).ceil() / 10.0),
    };
    let ratio = proven.ratio.map(|ratio| {
        let down = (ratio * 10.0 + 1e-9).floor() / 10.0;
        format!(", T/(2U) {down:.1}")
    });
    let assumed = if proven.is_assumed {
        ", its error assumed"
    } else {
        ""
    };
    format!("U {expanded}{}{assumed}", ratio.unwrap_or_default())
}

/// How a thread is made: the drill, the size to bore or turn to, what is common practice.
fn making(said: &mut Said, thread: &ThreadLimits) {
    let parts = &thread.parts;
    let (profile, member) = (parts.profile(), parts.member());
    let words = said.words;
    let middle = |limits: &Limits<Length>| bore_target(limits, Aim::Middle);
    match member {
        ThreadMember::Internal => {
            if let Some(drill) = tapping_drill(parts.nominal, parts.pitch)
                && let Ok(verdict) = drill_verdict(&profile, drill.diameter, &thread.minor)
            {
                let place = match verdict.fit {
                    DrillFit::Inside => "inside the limits of the minor diameter",
                    DrillFit::TooSmall => "below the limits of this class: take a larger one",
                    DrillFit::TooLarge => "above the limits of this class: take a smaller one",
                };
                let (drill, percent) = (verdict.drill, verdict.percentage);
                said.say(&format!(
                    "Tapping drill {drill} mm (ISO 2306): {percent:.0} % of thread, {place}."
                ));
            }
            if let Some(bore) = middle(&thread.minor) {
                let bore = mm(bore, words);
                said.say(&format!(
                    "Bored to be cut: {bore} mm, the middle of the minor diameter."
                ));
            }
        }
        ThreadMember::External => {
            if let Some(turn) = middle(&thread.major) {
                let turn = mm(turn, words);
                said.say(&format!(
                    "Turn it to {turn} mm, the middle of the major diameter."
                ));
            }
        }
    }
    if let Ok(depth) = thread_depth(&profile, member) {
        let step = Length::from_um(1);
        let radial = mm(depth.radial.round_to(step, Rounding::HalfEven), words);
        said.say(&format!("Depth of thread {radial} mm on the radius."));
    }
    for hint in threading_hints(&profile, member).unwrap_or_default() {
        said.say(&hint.to_string());
    }
}

/// What is said of a pair: the intended fit, and what the limits of both features come to.
pub(super) fn pair_lines(
    said: &mut Said,
    (hole, shaft, intended): (&str, &str, &str),
    sense: &PlanSense,
    facts: &PlanShelfFacts,
) {
    let tables = facts.tables.as_ref().unwrap_or_else(|| Tables::standard());
    if let Some(fit) = fit_of(intended, tables) {
        let between = clearance(fit.min_clearance(), fit.max_clearance());
        let intended = clean(intended);
        said.strong(&format!(
            "{intended}: {between}: {}.",
            fit_words(fit.kind())
        ));
        for (name, size) in [("Hole", fit.hole()), ("Shaft", fit.shaft())] {
            let limits = length_limits(&size.limits, size.nominal, said.words);
            said.say(&format!("{name}: {limits}."));
        }
    } else if intended.is_empty() {
        said.say("No fit is intended: write it as 20 H7/k6, and what it comes to is told here.");
    }
    let Some(plan) = &sense.sound.plan else {
        return;
    };
    let limits = [hole, shaft].map(|id| limits_here(plan, id));
    let [Some(of_hole), Some(of_shaft)] = limits else {
        said.say("What the features themselves allow is told where both are in this plan.");
        return;
    };
    let bounds = (
        of_hole.lower(),
        of_hole.upper(),
        of_shaft.lower(),
        of_shaft.upper(),
    );
    if let (Some(least_hole), Some(most_hole), Some(least_shaft), Some(most_shaft)) = bounds {
        let (tight, loose) = (least_hole - most_shaft, most_hole - least_shaft);
        let between = clearance(tight, loose);
        said.say(&format!(
            "As the two features are written, {} and {}: {between}.",
            clean(hole),
            clean(shaft)
        ));
    }
}

/// The fit that a callout means.
pub(super) fn fit_of(callout: &str, tables: &Tables) -> Option<FitLimits> {
    let callout = crate::tolerance::parse_callout_in(callout, tables).ok()?;
    match callout.limits(&Context::with_tables(tables)).ok()? {
        CalloutLimits::Fit(fit) => Some(fit),
        _ => None,
    }
}

fn limits_here(plan: &Plan, id: &str) -> Option<Limits<Length>> {
    let mut features = plan.features.iter();
    let feature = features.find(|feature| feature.id.as_str() == id)?;
    feature.characteristics.first()?.bounds()?.length().copied()
}

/// `7 to 41 µm of clearance`; `15 µm of interference to 19 µm of clearance`.
fn clearance(tight: Length, loose: Length) -> String {
    match (tight.units(), loose.units()) {
        (0.., _) => format!("{} to {} µm of clearance", um(tight), um(loose)),
        (_, ..=0) => format!("{} to {} µm of interference", um(-loose), um(-tight)),
        _ => {
            let (tight, loose) = (um(-tight), um(loose));
            format!("{tight} µm of interference to {loose} µm of clearance")
        }
    }
}

fn fit_words(kind: FitKind) -> &'static str {
    match kind {
        FitKind::Clearance => "it always has play",
        FitKind::Transition => "a transition fit, which may have play or be tight",
        FitKind::Interference => "it is always tight",
    }
}

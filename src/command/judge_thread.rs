//! `fitledger judge --element`: one value against the limits of a thread's diameter.

use crate::gauge::{
    CheckAsked, CheckEnd, CheckOutcome, CheckTool, Gauge, GaugeId, GaugeKind, Observed,
};
use crate::measure::{
    LeadAngle, MeasureError, judge_check, pitch_diameter_uncertainty, wire_line, wire_range,
};
use crate::quantity::Length;
use crate::session::{Wanted, typed_reading};
use crate::tolerance::{
    Callout, Tables, ThreadElement, ThreadLimits, ThreadMember, ThreadStep, acceptance_rules,
};

use super::house;
use super::judge::{Item, Options, read, settled, size_judged};
use super::judge_answer::JudgeAnswer;
use super::judge_why::Shown;
use super::limits::surface_of_thread;
use super::problem::Problem;
use super::wires::{lead_angle, pitch_told, three_wires, wires_inside};

/// What of a thread the value is of.
enum Asked {
    /// A diameter that is measured as such.
    Diameter(ThreadElement),
    /// The size over three wires, which gives the pitch diameter.
    Wires,
    /// What a limit gauge did.
    Check(&'static str, CheckEnd),
}

/// Elements that a limit gauge proves.
const CHECKS: [(&str, ThreadMember, CheckEnd); 4] = [
    ("go_plug", ThreadMember::Internal, CheckEnd::Go),
    ("no_go_plug", ThreadMember::Internal, CheckEnd::NoGo),
    ("go_ring", ThreadMember::External, CheckEnd::Go),
    ("no_go_ring", ThreadMember::External, CheckEnd::NoGo),
];
const WIRES: &str = "wires";

/// The judgement on one element of one member of a thread.
pub(super) fn judged(
    item: &Item<'_>,
    callout: &Callout,
    limits: &ThreadLimits,
    options: &Options<'_>,
) -> Result<JudgeAnswer, Problem> {
    let arguments = options.arguments;
    let asked = asked(callout, limits.parts.member(), arguments.element.as_deref())?;
    if let Some(surface) = options.surface {
        return Err(surface_of_thread(callout, surface));
    }
    match asked {
        Asked::Wires => over_wires(item, limits, options),
        Asked::Check(word, end) => {
            wires_not_used(options)?;
            checked(item, limits, word, end)
        }
        Asked::Diameter(element) => {
            wires_not_used(options)?;
            if let Some(gauge) = &options.gauge
                && element == ThreadElement::Pitch
                && gauge.kind != GaugeKind::ThreadMicrometer
            {
                return Err(no_pitch_gauge(gauge, limits.parts.member()));
            }
            let against = (limits.element(element), limits.parts.surface());
            let why = element_why(limits, element, options.in_force.tables());
            let mut answer = size_judged(item, against, options, why)?;
            answer.of_element(element.word());
            Ok(answer)
        }
    }
}

/// Only a thread micrometer touches the flanks.
fn no_pitch_gauge(gauge: &Gauge, member: ThreadMember) -> Problem {
    let message = format!("{gauge} does not touch the flanks, so it shows no pitch diameter.");
    let hint = match member {
        ThreadMember::External => "Name the thread micrometer, or measure over --element wires.",
        ThreadMember::Internal => "Name the thread micrometer, or try plugs: --element go_plug.",
    };
    Problem::bad("gauge_cannot_measure", message, Some(hint))
}

/// Options of wires beside another element are a slip.
fn wires_not_used(options: &Options<'_>) -> Result<(), Problem> {
    let arguments = options.arguments;
    let of_wires = [
        (arguments.wire.is_some(), "--wire"),
        (arguments.wire_uncertainty.is_some(), "--wire-uncertainty"),
        (arguments.lead_angle_correction, "--lead-angle-correction"),
    ];
    let Some((_, option)) = of_wires.iter().find(|(given, _)| *given) else {
        return Ok(());
    };
    let message = format!("{option} belongs to a reading over wires.");
    let hint = Some("Say --element wires, or leave it out.");
    Err(Problem::bad("wire_not_used", message, hint))
}

/// The judgement on what a limit gauge did.
fn checked(
    item: &Item<'_>,
    limits: &ThreadLimits,
    word: &'static str,
    end: CheckEnd,
) -> Result<JudgeAnswer, Problem> {
    let parts = &limits.parts;
    let asked = CheckAsked {
        end,
        with: match parts.member() {
            ThreadMember::Internal => CheckTool::ThreadPlug,
            ThreadMember::External => CheckTool::ThreadRing,
        },
        short_thread: parts
            .engagement_length
            .is_some_and(|length| parts.is_short(length)),
    };
    let outcome = match CheckOutcome::from_word(item.value) {
        // Turns say nothing of the GO end, nor whether the gauge passed through a short thread.
        Some(outcome) if asked.counts_turns() || !is_turns(outcome) => outcome,
        _ => {
            let reading = typed_reading(item.value, &GaugeId::new(""), Wanted::Check(asked))?;
            match reading.observed {
                Observed::Check { outcome, .. } => outcome,
                _ => CheckOutcome::DoesNot, // a check is what was wanted
            }
        }
    };
    let Some(found) = judge_check(&asked, outcome) else {
        let message = format!("The {} proves nothing.", asked.name());
        return Err(Problem::bad("proves_nothing", message, None));
    };
    let mut why = vec![format!("{}: {}", asked.name(), outcome.said())];
    if asked.short_thread {
        let length = parts.engagement_length.unwrap_or_default();
        why.push(format!(
            "{length} mm of engagement are three turns or fewer: a short thread"
        ));
    }
    let rules = acceptance_rules(parts.member());
    why.extend(rules.iter().map(|rule| (*rule).to_owned()));
    Ok(JudgeAnswer::of_check(
        item.callout,
        word,
        outcome,
        found,
        why,
    ))
}

fn is_turns(outcome: CheckOutcome) -> bool {
    matches!(
        outcome,
        CheckOutcome::TurnsTwoOrFewer | CheckOutcome::TurnsMore
    )
}

/// The judgement on the pitch diameter that a reading over three wires gives.
fn over_wires(
    item: &Item<'_>,
    limits: &ThreadLimits,
    options: &Options<'_>,
) -> Result<JudgeAnswer, Problem> {
    let arguments = options.arguments;
    let Some(wire) = arguments.wire.as_deref() else {
        let best = wire_range(&limits.parts.profile())?.best;
        let message = "It is not said which wires were used.".to_owned();
        let hint = format!("Give --wire, their mean diameter in mm; the best is {best}.");
        return Err(Problem::bad("missing_wire", message, Some(&hint)));
    };
    let wire = house::length(wire)?;
    let wires = three_wires(limits, wire)?;
    let angle = lead_angle(arguments.lead_angle_correction);
    let surface = limits.parts.surface();
    let mut read = read(item, surface, options)?;
    let size = read.measured.value;
    let pitch = wires.pitch_diameter(size, angle)?;
    let mut why = element_why(limits, ThreadElement::Pitch, options.in_force.tables());
    let counted = match angle {
        LeadAngle::Corrected => Some(wires.lead_angle_effect(pitch)?),
        LeadAngle::Ignored => None,
    };
    why.push(pitch_told(limits, wire, size, pitch, counted));
    why.extend(
        wires
            .cautions(pitch, angle)?
            .iter()
            .map(ToString::to_string),
    );
    match arguments.wire_uncertainty.as_deref() {
        None => read.told("wires: the error of their diameter is not considered".to_owned()),
        Some(text) => {
            let u = house::length(text)?;
            let line = wire_line(u.as_nm_f64());
            let of_reading = read.measured.uncertainty.as_ref();
            let whole = pitch_diameter_uncertainty(of_reading, line).map_err(MeasureError::from)?;
            read.told(match &whole {
                Some(whole) => format!(
                    "wires: u(W) = {u} mm counts three times, {} mm; together u = {} mm",
                    u * 3,
                    Length::steps_text(whole.standard_nm())
                ),
                None => {
                    "wires: without an uncertainty of the reading theirs decides nothing".to_owned()
                }
            });
            read.measured.uncertainty = whole;
        }
    }
    let mut answer = settled(item, &read, pitch, (&limits.pitch, surface), options, why)?;
    answer.of_element(WIRES);
    answer.over_wires(pitch, wire);
    Ok(answer)
}

/// The element that is asked for.
fn asked(callout: &Callout, member: ThreadMember, element: Option<&str>) -> Result<Asked, Problem> {
    let hint = match member {
        ThreadMember::Internal => "Give --element major, pitch, minor, go_plug or no_go_plug.",
        ThreadMember::External => {
            "Give --element major, pitch, minor, wires, go_ring or no_go_ring."
        }
    };
    let Some(element) = element.map(str::trim) else {
        let message = format!("{callout} is a thread, and it is not said of which diameter.");
        return Err(Problem::bad("missing_element", message, Some(hint)));
    };
    let mut checks = CHECKS.into_iter();
    let check = checks.find(|(word, of, _)| *word == element && *of == member);
    if let Some((word, _, end)) = check {
        return Ok(Asked::Check(word, end));
    }
    match (ThreadElement::from_word(element), element, member) {
        (Some(element), _, _) => Ok(Asked::Diameter(element)),
        (None, WIRES, ThreadMember::External) => Ok(Asked::Wires),
        (None, WIRES, ThreadMember::Internal) => Err(wires_inside(callout)),
        _ => {
            let element = element.escape_debug();
            let message = format!("“{element}” is no element of an {} thread.", member.word());
            Err(Problem::bad("unknown_element", message, Some(hint)))
        }
    }
}

/// A thread of which both members are meant.
pub(super) fn member_missing(callout: &Callout) -> Problem {
    let message = format!(
        "{callout} means the internal and the external thread, and one value belongs to one of \
         them."
    );
    let hint = "Give the class of one of them, such as M10-6H or M10-6g.";
    Problem::bad("fit_not_judged", message, Some(hint))
}

/// How the element's limits came about, and what is to be said beside them.
pub(super) fn element_why(
    limits: &ThreadLimits,
    element: ThreadElement,
    tables: &Tables,
) -> Vec<String> {
    let parts = &limits.parts;
    let mut why = Vec::new();
    if parts.pitch_is_default {
        let (nominal, pitch) = (parts.nominal, parts.pitch);
        why.push(ThreadStep::CoarsePitch { nominal, pitch }.to_string());
    }
    let steps = limits.element(element).explain(tables);
    why.extend(steps.iter().map(ToString::to_string));
    why.extend(limits.flags.iter().map(|flag| format!("flag: {flag}")));
    why
}

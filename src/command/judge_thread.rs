//! `fitledger judge --element`: one value against the limits of a thread's diameter.

use crate::tolerance::{Callout, ThreadElement, ThreadLimits, ThreadMember, ThreadStep};

use super::judge::{Item, Options, size_judged};
use super::judge_answer::JudgeAnswer;
use super::limits::surface_of_thread;
use super::problem::Problem;

/// What of a thread the value is of.
enum Asked {
    /// A diameter that is measured as such.
    Diameter(ThreadElement),
}

/// The judgement on one element of one member of a thread.
pub(super) fn judged(
    item: &Item<'_>,
    callout: &Callout,
    limits: &ThreadLimits,
    options: &Options<'_>,
) -> Result<JudgeAnswer, Problem> {
    let asked = asked(
        callout,
        limits.parts.member(),
        options.arguments.element.as_deref(),
    )?;
    if let Some(surface) = options.surface {
        return Err(surface_of_thread(callout, surface));
    }
    let surface = limits.parts.surface();
    let Asked::Diameter(element) = asked;
    let why = why(limits, element, options);
    let mut answer = size_judged(item, (limits.element(element), surface), options, why)?;
    answer.of_element(element.word());
    Ok(answer)
}

/// The element that is asked for.
fn asked(callout: &Callout, member: ThreadMember, element: Option<&str>) -> Result<Asked, Problem> {
    let hint = format!("Give {}.", elements_of(member));
    let Some(element) = element.map(str::trim) else {
        let message = format!("{callout} is a thread, and it is not said of which diameter.");
        return Err(Problem::bad("missing_element", message, Some(&hint)));
    };
    match ThreadElement::from_word(element) {
        Some(element) => Ok(Asked::Diameter(element)),
        None => {
            let element = element.escape_debug();
            let message = format!("“{element}” is no element of a thread.");
            Err(Problem::bad("unknown_element", message, Some(&hint)))
        }
    }
}

fn elements_of(member: ThreadMember) -> &'static str {
    match member {
        ThreadMember::Internal | ThreadMember::External => "--element major, pitch or minor",
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
fn why(limits: &ThreadLimits, element: ThreadElement, options: &Options<'_>) -> Vec<String> {
    let parts = &limits.parts;
    let mut why = Vec::new();
    if parts.pitch_is_default {
        let (nominal, pitch) = (parts.nominal, parts.pitch);
        why.push(ThreadStep::CoarsePitch { nominal, pitch }.to_string());
    }
    let steps = limits.element(element).explain(options.in_force.tables());
    why.extend(steps.iter().map(ToString::to_string));
    why.extend(limits.flags.iter().map(|flag| format!("flag: {flag}")));
    why
}

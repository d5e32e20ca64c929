//! What one callout of a plan asks for: its limits, its surface, and where it is wrong.

use std::ops::Range;

use super::feature::Bounds;
use super::format::Found;
use super::problem::PlanProblem;
use crate::gauge::{SourceText, Written, character_span};
use crate::quantity::Length;
use crate::tolerance::{
    Callout, CalloutError, CalloutLimits, Context, FitCallout, SizeCallout, SizeForm, SizeLimits,
    Surface, ThreadLimits, ThreadMember, parse_callout_in,
};

/// A callout that gives limits.
pub(super) struct Asked {
    pub(super) callout: Callout,
    pub(super) bounds: Bounds,
    pub(super) nominal: Option<Length>,
    pub(super) surface: Option<Surface>,
    /// The limits of the member of a thread that this part has.
    pub(super) thread: Option<ThreadLimits>,
}

/// How a callout stands in its text: between quotes in a plan, or bare as it was typed.
#[derive(Clone, Copy, PartialEq, Eq)]
pub(super) enum Quoting {
    Quoted,
    Bare,
}

/// Reads a callout with the surface that the plan states for it.
pub(super) fn asked(
    found: &mut Found<'_>,
    written: &Written<String>,
    quoting: Quoting,
    surface: Option<&Written<Surface>>,
    context: &Context<'_>,
) -> Option<Asked> {
    let callout = match parse_callout_in(&written.value, context.tables) {
        Ok(Callout::Fit(fit)) => member_of_fit(found, written, fit, surface)?,
        Ok(callout) => callout,
        Err(error) => {
            refuse(found, written, quoting, error);
            return None;
        }
    };
    let limits = match callout.limits(context) {
        Ok(limits) => limits,
        Err(error) => {
            refuse(found, written, quoting, error);
            return None;
        }
    };
    match limits {
        CalloutLimits::Angle(angle) => Some(Asked {
            callout,
            bounds: Bounds::Angle(angle.limits),
            nominal: None,
            surface: None,
            thread: None,
        }),
        CalloutLimits::Size(size) => of_size(found, callout, &size, surface),
        // A fit was turned into one of its members above.
        CalloutLimits::Fit(_) => None,
        CalloutLimits::Thread(thread) => of_thread(found, callout, *thread, surface),
        CalloutLimits::ThreadFit(fit) => {
            let thread = match surface.map(|surface| surface.value) {
                Some(Surface::Inside) => fit.internal,
                Some(Surface::Outside) => fit.external,
                _ => {
                    found.add(&written.span, PlanProblem::ThreadNeedsSurface);
                    return None;
                }
            };
            of_thread(found, callout, thread, surface)
        }
    }
}

/// A fit that must be a fit of a pair.
pub(super) fn asked_fit(
    found: &mut Found<'_>,
    written: &Written<String>,
    context: &Context<'_>,
) -> Option<FitCallout> {
    let fit = match parse_callout_in(&written.value, context.tables) {
        Ok(Callout::Fit(fit)) => fit,
        Ok(_) => {
            found.add(&written.span, PlanProblem::IntendedNoFit);
            return None;
        }
        Err(error) => {
            refuse(found, written, Quoting::Quoted, error);
            return None;
        }
    };
    match fit.limits(context) {
        Ok(_) => Some(fit),
        Err(error) => {
            refuse(found, written, Quoting::Quoted, error);
            None
        }
    }
}

/// The hole or the shaft of a fit, whichever the surface says.
fn member_of_fit(
    found: &mut Found<'_>,
    written: &Written<String>,
    fit: FitCallout,
    surface: Option<&Written<Surface>>,
) -> Option<Callout> {
    let class = match surface.map(|surface| surface.value) {
        Some(Surface::Inside | Surface::Slot) => fit.hole,
        Some(Surface::Outside) => fit.shaft,
        _ => {
            found.add(&written.span, PlanProblem::FitNeedsSurface);
            return None;
        }
    };
    Some(Callout::Size(SizeCallout {
        form: SizeForm::Class {
            nominal: fit.nominal,
            class,
        },
        unit: fit.unit,
        diameter: fit.diameter,
        envelope: false,
    }))
}

fn of_size(
    found: &mut Found<'_>,
    callout: Callout,
    size: &SizeLimits,
    stated: Option<&Written<Surface>>,
) -> Option<Asked> {
    if let (Some(stated), Some(_), Some(said)) = (stated, size.class, size.surface) {
        let contradicts = match said {
            Surface::Inside => stated.value == Surface::Outside,
            _ => matches!(stated.value, Surface::Inside | Surface::Slot),
        };
        if contradicts {
            let problem = PlanProblem::SurfaceContradicts {
                class: size.kind().word(),
                surface: stated.value.word(),
            };
            found.add(&stated.span, problem);
            return None;
        }
    }
    Some(Asked {
        callout,
        bounds: Bounds::Length(size.limits),
        nominal: size.nominal,
        surface: stated.map(|stated| stated.value).or(size.surface),
        thread: None,
    })
}

/// One member of a thread.
fn of_thread(
    found: &mut Found<'_>,
    callout: Callout,
    thread: ThreadLimits,
    stated: Option<&Written<Surface>>,
) -> Option<Asked> {
    let surface = thread.parts.surface();
    if let Some(stated) = stated.filter(|stated| stated.value != surface) {
        let class = match thread.parts.member() {
            ThreadMember::Internal => "internal thread",
            ThreadMember::External => "external thread",
        };
        let surface = stated.value.word();
        found.add(
            &stated.span,
            PlanProblem::SurfaceContradicts { class, surface },
        );
        return None;
    }
    Some(Asked {
        callout,
        bounds: Bounds::Length(thread.pitch),
        nominal: Some(thread.parts.nominal),
        surface: Some(surface),
        thread: Some(thread),
    })
}

/// A problem at the character of the callout that is wrong, else at the whole of it.
pub(super) fn refuse(
    found: &mut Found<'_>,
    written: &Written<String>,
    quoting: Quoting,
    error: CalloutError,
) {
    let span = match error.place() {
        None => written.span.clone(),
        Some(place) => character(found.source(), &written.span, quoting, place.at),
    };
    found.add(&span, error);
}

fn character(
    source: &SourceText<'_>,
    span: &Range<usize>,
    quoting: Quoting,
    at: usize,
) -> Range<usize> {
    match quoting {
        Quoting::Quoted => character_span(source, span, at),
        Quoting::Bare => {
            let mut rest = source.slice(span).char_indices().skip(at);
            match rest.next() {
                Some((offset, c)) => span.start + offset..span.start + offset + c.len_utf8(),
                None => span.end..span.end,
            }
        }
    }
}

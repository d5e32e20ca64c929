//! `fitledger limits` and `fit` for both members of a thread.

use crate::quantity::Length;
use crate::tolerance::{Context, ThreadCallout, ThreadElement, ThreadFitLimits, ThreadLimits};

use super::answers::Note;
use super::exit::Exit;
use super::fit_thread::Play;
use super::limits::signed_um;
use super::limits_making::making_notes;
use super::limits_thread::{ThreadAnswer, ThreadAsked, member_callout};
use super::output::{Output, Stopped};
use super::output_thread::{ClearancesLine, ThreadFitLine};
use super::problem::Problem;
use super::table::{Row, cell};

/// Both members.
pub(super) struct ThreadFitAnswer {
    callout: String,
    fit: ThreadFitLimits,
    internal: ThreadAnswer,
    external: ThreadAnswer,
    flags: Vec<String>,
    why: Vec<String>,
    /// What follows from measured pitch diameters.
    pub(super) play: Option<Play>,
}

impl ThreadFitAnswer {
    /// Of both members. `written` is the item as it was given.
    pub(super) fn new(
        written: &str,
        callout: &ThreadCallout,
        fit: &ThreadFitLimits,
        context: &Context<'_>,
        asked: &ThreadAsked,
    ) -> Result<Self, Problem> {
        let member = |limits: &ThreadLimits| {
            let name = member_callout(callout, limits).to_string();
            ThreadAnswer::named(&name, name.clone(), limits, context, asked)
        };
        let (internal, external) = (member(&fit.internal)?, member(&fit.external)?);
        let mut flags = internal.line.flags.clone();
        for flag in &external.line.flags {
            if !flags.contains(flag) {
                flags.push(flag.clone());
            }
        }
        Ok(Self {
            callout: written.to_owned(),
            fit: *fit,
            internal,
            external,
            flags,
            why: fit_why(fit),
            play: None,
        })
    }
}

/// Default classes and the arithmetic of the clearances.
fn fit_why(fit: &ThreadFitLimits) -> Vec<String> {
    let mut why = Vec::new();
    for limits in [&fit.internal, &fit.external] {
        let parts = &limits.parts;
        if parts.class_is_default {
            why.push(format!(
                "{} thread: no class written, {} by default (quality medium, engagement N)",
                parts.member().word(),
                parts.class
            ));
        }
    }
    for element in ThreadElement::ALL {
        let (inside, outside) = (fit.internal.element(element), fit.external.element(element));
        let name = element.word();
        let difference = |one: Option<Length>, other: Option<Length>| {
            let (one, other) = (one?, other?);
            let result = (one - other).to_mm();
            Some(format!("{} - {} = {result}", one.to_mm(), other.to_mm()))
        };
        if let Some(sum) = difference(inside.lower(), outside.upper()) {
            why.push(format!("{name} diameter, least clearance: {sum}"));
        }
        why.push(match difference(inside.upper(), outside.lower()) {
            Some(sum) => format!("{name} diameter, greatest clearance: {sum}"),
            None => format!("{name} diameter, greatest clearance: not limited"),
        });
    }
    why
}

impl ThreadFitAnswer {
    pub(super) fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        let play = self.play.as_ref();
        let told = play.map(Play::why).unwrap_or_default();
        let line = play.map(Play::line).unwrap_or_default();
        out.json(&ThreadFitLine {
            callout: &self.callout,
            kind: "thread_fit",
            internal: &self.internal.line,
            external: &self.external.line,
            flags: &self.flags,
            clearances: ClearancesLine::new(&self.fit),
            why: &[&self.why, told].concat(),
            clearance: line.clearance,
            clearance_uncertainty: line.clearance_uncertainty,
            as_intended: line.as_intended,
            intended: line.intended,
            fit: line.fit,
            clearance_square_to_flank: line.clearance_square_to_flank,
            axial_play: line.axial_play,
            make_shaft: line.make_shaft,
            make_hole: line.make_hole,
        })
    }

    pub(super) fn rows(&self) -> Vec<Row> {
        let mut rows = vec![vec![cell(&self.callout), cell("thread fit")]];
        rows.extend(self.internal.rows("  "));
        rows.extend(self.external.rows("  "));
        for element in ThreadElement::ALL {
            let Some(clearance) = self.fit.clearance(element) else {
                continue;
            };
            let (least, most) = (Some(clearance.min), clearance.max);
            let mm = |length: Option<Length>| length.map(Length::to_mm).unwrap_or_default();
            let um = |length: Option<Length>| length.map(signed_um).unwrap_or_default();
            let texts = [
                format!("  {}", element.word()),
                "clearance".to_owned(),
                mm(least),
                mm(most),
                um(least),
                um(most),
            ];
            rows.push(texts.into_iter().map(cell).collect());
        }
        rows
    }

    pub(super) fn exit(&self) -> Exit {
        let play = self.play.as_ref().map_or(Exit::Answered, Play::exit);
        play.max(self.internal.exit())
    }

    pub(super) fn notes(&self) -> Vec<Note> {
        let mut notes = self.internal.notes();
        let making = self.external.line.making.iter();
        notes.extend(making.flat_map(making_notes));
        notes.extend(self.play.iter().flat_map(Play::notes));
        notes
    }

    pub(super) fn flags(&self) -> &[String] {
        &self.flags
    }

    pub(super) fn callout(&self) -> &str {
        &self.callout
    }

    pub(super) fn why(&self) -> Vec<String> {
        let mut why = self.why.clone();
        why.extend(self.play.iter().flat_map(Play::why).cloned());
        why.extend(self.internal.why());
        why.extend(self.external.why());
        why
    }
}

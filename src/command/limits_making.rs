//! `fitledger limits`: how a thread is made: the drill, the bore, the depth and the infeed, and
//! what is common practice.

use crate::measure::{
    Aim, DrillFit, DrillVerdict, InfeedSet, bore_target, drill_verdict, slide_travel, thread_depth,
    threading_hints, tool_nose,
};
use crate::quantity::Length;
use crate::tolerance::{Callout, Limits, TappingDrill, ThreadLimits, ThreadMember};

use super::answers::Note;
use super::output_making::{DrillLine, InfeedLine, MakingLine, NoseLine, SlideLine};
use super::output_thread::tenth as shown;
use super::problem::Problem;

/// A drill held against the limits of D1.
pub(super) struct Drill {
    verdict: DrillVerdict,
    /// Whether it was asked for; else it is the tabled one.
    asked: bool,
}

impl Drill {
    /// The drill that was asked for, else the tabled one; none for an external thread.
    pub(super) fn new(
        limits: &ThreadLimits,
        asked: Option<Length>,
        tabled: Option<&TappingDrill>,
    ) -> Result<Option<Self>, Problem> {
        let parts = &limits.parts;
        if parts.member() == ThreadMember::External {
            return Ok(None);
        }
        let Some(drill) = asked.or(tabled.map(|drill| drill.diameter)) else {
            return Ok(None);
        };
        let verdict = drill_verdict(&parts.profile(), drill, &limits.minor)?;
        Ok(Some(Self {
            verdict,
            asked: asked.is_some(),
        }))
    }

    /// Whether a drill was asked for that is not inside the limits.
    pub(super) fn is_wrong(&self) -> bool {
        self.asked && self.verdict.fit != DrillFit::Inside
    }

    /// What is said where the tabled drill is not for this class.
    pub(super) fn flag(&self) -> Option<String> {
        let place = match self.verdict.fit {
            _ if self.asked => return None,
            DrillFit::Inside => return None,
            DrillFit::TooSmall => "below",
            DrillFit::TooLarge => "above",
        };
        let drill = self.verdict.drill;
        Some(format!(
            "The tapping drill of ISO 2306, {drill} mm, lies {place} the limits of D1 of this \
             class: take a drill within them."
        ))
    }

    pub(super) fn line(&self) -> DrillLine {
        let verdict = &self.verdict;
        DrillLine {
            diameter: verdict.drill.to_mm(),
            thread_percentage: verdict.percentage,
            verdict: verdict.fit.word(),
            may_grow: verdict.may_grow.map(Length::to_mm),
            source: if self.asked { "asked" } else { "ISO 2306" },
        }
    }

    /// What people are told of it.
    pub(super) fn note(&self) -> Note {
        let verdict = &self.verdict;
        let from = if self.asked { "" } else { " (ISO 2306)" };
        let place = match (verdict.fit, verdict.may_grow) {
            (DrillFit::Inside, Some(left)) => {
                format!(
                    "inside the limits of D1, {} mm below the upper one",
                    left.to_mm()
                )
            }
            (DrillFit::Inside, None) => "inside the limits of D1".to_owned(),
            (DrillFit::TooSmall, _) => "too small: below the limits of D1".to_owned(),
            (DrillFit::TooLarge, _) => "too large: above the limits of D1".to_owned(),
        };
        let (drill, percent) = (verdict.drill, verdict.percentage);
        Note::new(
            "drill",
            format!("{drill} mm{from}, {percent:.1} % of thread, {place}"),
        )
    }

    pub(super) fn why(&self) -> String {
        self.verdict.to_string()
    }
}

/// A drill is asked of a thread that is not drilled.
pub(super) fn drill_outside(callout: &Callout) -> Problem {
    let message = format!("{callout} is an external thread; --drill is for a tapped hole.");
    Problem::bad("drill_not_internal", message, Some("Leave --drill out."))
}

/// How the thread is made.
///
/// # Errors
/// Nominal diameter and pitch that leave no thread.
pub(super) fn making(limits: &ThreadLimits) -> Result<MakingLine, Problem> {
    let parts = &limits.parts;
    let (profile, member) = (parts.profile(), parts.member());
    let depth = thread_depth(&profile, member)?;
    let nose = tool_nose(&profile, member)?;
    let slide = |set| slide_travel(depth.radial, set);
    let (half_less, flank) = (
        slide(InfeedSet::Compound29_5)?,
        slide(InfeedSet::Compound30)?,
    );
    let hints = threading_hints(&profile, member)?;
    let mut why = Vec::new();
    let bore = match member {
        ThreadMember::Internal => bore_target(&limits.minor, Aim::Middle),
        ThreadMember::External => None,
    };
    let turn = match member {
        ThreadMember::Internal => None,
        ThreadMember::External => bore_target(&limits.major, Aim::Middle),
    };
    for (name, target, limits) in [
        ("bore target, middle of D1", bore, &limits.minor),
        ("turn to, middle of d", turn, &limits.major),
    ] {
        why.extend(target.and_then(|target| middle_told(name, limits, target)));
    }
    why.push(format!(
        "depth {} on P {} mm = {} mm",
        depth.rule,
        parts.pitch,
        shown(depth.radial)
    ));
    for (name, degrees, travel) in [("29.5°", "29.5", half_less), ("30°", "30", flank)] {
        why.push(format!(
            "compound at {name}: along the slide {} / cos {degrees}° = {} mm, along the axis {} × \
             tan {degrees}° = {} mm (geometry)",
            shown(depth.radial),
            shown(travel.along_slide),
            shown(depth.radial),
            shown(travel.along_axis)
        ));
    }
    let slide_line = |travel: crate::measure::SlideTravel| SlideLine {
        along_slide: shown(travel.along_slide),
        along_axis: shown(travel.along_axis),
    };
    Ok(MakingLine {
        bore_target: bore.map(shown),
        turn_target: turn.map(shown),
        depth_radial: shown(depth.radial),
        depth_on_diameter: shown(depth.on_diameter),
        infeed: InfeedLine {
            radial: shown(depth.radial),
            compound_29_5: slide_line(half_less),
            compound_30: slide_line(flank),
        },
        tool_nose: NoseLine {
            radius: nose.radius.map(shown),
            least_radius: nose.least_radius.map(shown),
            flat: nose.flat.map(shown),
            crest_flat: shown(nose.crest_flat),
        },
        hints: hints.iter().map(ToString::to_string).collect(),
        why,
    })
}

fn middle_told(name: &str, limits: &Limits, target: Length) -> Option<String> {
    let (lower, upper) = (limits.lower()?.to_mm(), limits.upper()?.to_mm());
    Some(format!(
        "{name}: ({lower} + {upper}) / 2 = {} mm",
        shown(target)
    ))
}

/// What people are told of it.
pub(super) fn making_notes(line: &MakingLine) -> Vec<Note> {
    let member = match line.bore_target {
        Some(_) => "the internal thread:",
        None => "the external thread:",
    };
    let mut notes = vec![Note::new("making", member.to_owned())];
    if let Some(bore) = &line.bore_target {
        notes.push(Note::new("bore to", format!("{bore} mm, the middle of D1")));
    }
    if let Some(turn) = &line.turn_target {
        notes.push(Note::new("turn to", format!("{turn} mm, the middle of d")));
    }
    let (radial, on_diameter) = (&line.depth_radial, &line.depth_on_diameter);
    notes.push(Note::new(
        "depth",
        format!("{radial} mm radial, {on_diameter} mm on the diameter"),
    ));
    let InfeedLine {
        compound_29_5: half_less,
        compound_30: flank,
        ..
    } = &line.infeed;
    let compound = |slide: &SlideLine| {
        let (along, axis) = (&slide.along_slide, &slide.along_axis);
        format!("{along} mm along the slide, {axis} mm of it along the axis")
    };
    notes.push(Note::new("at 29.5°", compound(half_less)));
    notes.push(Note::new("at 30°", compound(flank)));
    let nose = &line.tool_nose;
    let mut parts = Vec::new();
    parts.extend(
        nose.radius
            .as_ref()
            .map(|radius| format!("radius {radius} mm")),
    );
    parts.extend(
        nose.least_radius
            .as_ref()
            .map(|radius| format!("at least {radius} mm")),
    );
    parts.extend(
        nose.flat
            .as_ref()
            .map(|flat| format!("flat at most {flat} mm")),
    );
    notes.push(Note::new("tool nose", parts.join(", ")));
    notes.extend(
        line.hints
            .iter()
            .map(|hint| Note::new("practice", hint.clone())),
    );
    notes
}

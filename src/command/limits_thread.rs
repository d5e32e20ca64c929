//! `fitledger limits` for threads: the limits of one member.

use crate::quantity::Length;
use crate::tolerance::{
    Callout, CalloutError, Context, Step, THREAD_STANDARD, TappingDrill, ThreadCallout,
    ThreadElement, ThreadLimits, ThreadMember, ThreadParts, ThreadTables, lead_angle_tangent,
    stress_area_mm2, tapping_drill,
};

use super::answers::Note;
use super::exit::Exit;
use super::limits::signed_um;
use super::limits_making::{Drill, making, making_notes};
use super::output::{Output, Stopped};
use super::output_thread::{
    CoatedLine, ElementsLine, ProfileLine, ThreadLine, group_letter, kind_word,
};
use super::problem::Problem;
use super::table::{Row, cell};

/// What is asked of threads beside their callouts.
#[derive(Debug, Clone, Copy, Default)]
pub(super) struct ThreadAsked {
    /// Least and greatest thickness of a coat, per surface.
    pub(super) coating: Option<(Length, Length)>,
    /// A drill to be held against the limits of D1.
    pub(super) drill: Option<Length>,
    /// Whether it is asked how the thread is made.
    pub(super) making: bool,
}

/// One member for machines, and what people see of it.
pub(super) struct ThreadAnswer {
    pub(super) line: ThreadLine,
    limits: ThreadLimits,
    before: Option<ThreadLimits>,
    drill: Option<Drill>,
}

impl ThreadAnswer {
    /// Of one member. `written` is the item as it was given.
    pub(super) fn new(
        written: &str,
        callout: &Callout,
        limits: &ThreadLimits,
        context: &Context<'_>,
        asked: &ThreadAsked,
    ) -> Result<Self, Problem> {
        let designation = callout.to_string();
        Self::named(written, designation, limits, context, asked)
    }

    /// The same under its own name.
    pub(super) fn named(
        callout: &str,
        designation: String,
        limits: &ThreadLimits,
        context: &Context<'_>,
        asked: &ThreadAsked,
    ) -> Result<Self, Problem> {
        let parts = &limits.parts;
        let tabled = match parts.member() {
            ThreadMember::Internal => tapping_drill(parts.nominal, parts.pitch),
            ThreadMember::External => None,
        };
        let drill = Drill::new(limits, asked.drill, tabled)?;
        let mut answer = Self {
            line: ThreadLine {
                callout: callout.to_owned(),
                kind: kind_word(parts.member()),
                nominal: parts.nominal.to_mm(),
                pitch: parts.pitch.to_mm(),
                designation,
                elements: ElementsLine::new(limits),
                tapping_drill: tabled.map(|drill| drill.diameter.to_mm()),
                lead: parts.lead().to_mm(),
                starts: parts.starts,
                hand: if parts.left_hand { "left" } else { "right" },
                engagement: group_letter(parts.engagement),
                engagement_length: parts.engagement_length.map(Length::to_mm),
                flags: limits.flags.iter().map(|flag| flag.to_string()).collect(),
                why: told(&limits.explain(ThreadTables::standard())),
                standard: THREAD_STANDARD,
                class: parts.class.to_string(),
                profile: ProfileLine::new(&parts.profile()),
                lead_angle: lead_angle_degrees(parts),
                stress_area_mm2: format!("{:.3}", stress_area_mm2(&parts.profile())),
                drill: drill.as_ref().map(Drill::line),
                before_coating: None,
                making: match asked.making {
                    true => Some(making(limits)?),
                    false => None,
                },
            },
            limits: *limits,
            before: None,
            drill,
        };
        answer
            .line
            .flags
            .extend(answer.drill.as_ref().and_then(Drill::flag));
        answer.line.why.extend(drill_why(parts, tabled));
        answer
            .line
            .why
            .extend(answer.drill.as_ref().map(Drill::why));
        if let Some((thin, thick)) = asked.coating {
            answer.coated(thin, thick, context)?;
        }
        Ok(answer)
    }

    /// Adds the limits before a coating.
    fn coated(
        &mut self,
        thin: Length,
        thick: Length,
        context: &Context<'_>,
    ) -> Result<(), Problem> {
        let limits = &self.limits;
        let before = limits.before_coating(thin, thick);
        let before = before.map_err(CalloutError::from)?;
        let mut why = Vec::new();
        for element in ThreadElement::ALL {
            let steps = before.element(element).explain(context.tables);
            let moved = steps
                .iter()
                .filter(|step| matches!(step, Step::Moved { .. }));
            why.extend(moved.map(|step| format!("{} diameter, {step}", element.word())));
        }
        self.line.flags.extend(plating_flag(limits, thick));
        let ElementsLine {
            major,
            pitch,
            minor,
        } = ElementsLine::new(&before);
        self.line.before_coating = Some(CoatedLine {
            major,
            pitch,
            minor,
            why,
        });
        self.before = Some(before);
        Ok(())
    }

    pub(super) fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        out.json(&self.line)
    }

    pub(super) fn callout(&self) -> &str {
        &self.line.callout
    }

    /// A drill that was asked for and is not inside the limits is something that is not good.
    pub(super) fn exit(&self) -> Exit {
        match &self.drill {
            Some(drill) if drill.is_wrong() => Exit::NotGood,
            _ => Exit::Answered,
        }
    }

    pub(super) fn flags(&self) -> &[String] {
        &self.line.flags
    }

    pub(super) fn rows(&self, indent: &str) -> Vec<Row> {
        let line = &self.line;
        let kind = self.limits.parts.member().word();
        let mut heading = vec![cell(format!("{indent}{}", line.callout)), cell(kind)];
        heading.extend(["", "", "", "", line.standard].map(cell));
        let mut rows = vec![heading];
        for element in ThreadElement::ALL {
            let limits = self.limits.element(element);
            let deviations = deviations(&self.limits, element);
            let texts = [
                format!("{indent}  {}", element.word()),
                String::new(),
                limits.lower().map(Length::to_mm).unwrap_or_default(),
                limits.upper().map(Length::to_mm).unwrap_or_default(),
                deviations.0.map(signed_um).unwrap_or_default(),
                deviations.1.map(signed_um).unwrap_or_default(),
            ];
            rows.push(texts.into_iter().map(cell).collect());
            if let Some(before) = &self.before {
                let limits = before.element(element);
                let mm = |limit: Option<Length>| limit.map(Length::to_mm).unwrap_or_default();
                let texts = [
                    format!("{indent}    to be coated"),
                    String::new(),
                    mm(limits.lower()),
                    mm(limits.upper()),
                ];
                rows.push(texts.into_iter().map(cell).collect());
            }
        }
        rows
    }

    pub(super) fn notes(&self) -> Vec<Note> {
        let line = &self.line;
        let starts = match line.starts {
            1 => "1 start".to_owned(),
            several => format!("{several} starts"),
        };
        let mut notes: Vec<Note> = self.drill.iter().map(Drill::note).collect();
        notes.push(Note::new(
            "lead",
            format!("{} mm, {starts}, {} hand", line.lead, line.hand),
        ));
        notes.push(Note::new(
            "lead angle",
            format!("{}° at the basic pitch diameter", line.lead_angle),
        ));
        notes.push(Note::new(
            "stress area",
            format!(
                "{} mm² of the screw (ISO 898-1, from memory)",
                line.stress_area_mm2
            ),
        ));
        if let Some(length) = &line.engagement_length {
            let group = match line.engagement {
                Some(letter) => format!(", group {letter}"),
                None => String::new(),
            };
            notes.push(Note::new("engagement", format!("{length} mm{group}")));
        } else if let Some(letter) = line.engagement {
            notes.push(Note::new("engagement", letter.to_string()));
        }
        notes.extend(line.making.iter().flat_map(making_notes));
        notes
    }

    pub(super) fn why(&self) -> Vec<String> {
        let coated = self.line.before_coating.iter();
        let coated = coated.flat_map(|coated| &coated.why);
        let making = self.line.making.iter().flat_map(|making| &making.why);
        let all = self.line.why.iter().chain(coated).chain(making);
        all.cloned().collect()
    }
}

/// The designation of one member of a fit, its class written out.
pub(super) fn member_callout(callout: &ThreadCallout, limits: &ThreadLimits) -> ThreadCallout {
    let class = Some(limits.parts.class);
    let (internal, external) = match limits.parts.member() {
        ThreadMember::Internal => (class, None),
        ThreadMember::External => (None, class),
    };
    let engagement = match (callout.engagement, limits.parts.engagement) {
        (Some(crate::tolerance::Engagement::Groups { .. }), Some(group)) => {
            Some(crate::tolerance::Engagement::Group(group))
        }
        (written, _) => written,
    };
    ThreadCallout {
        internal,
        external,
        engagement,
        ..*callout
    }
}

/// Deviations of a diameter from its basic size, where its limits are a tolerance from there.
fn deviations(limits: &ThreadLimits, element: ThreadElement) -> (Option<Length>, Option<Length>) {
    let parts = &limits.parts;
    let sides = limits.element(element);
    let first = limits.deviation;
    let one_position = parts.class.pitch.position == parts.class.crest.position;
    let around = |wide: Option<Length>| match (parts.member(), wide) {
        (ThreadMember::Internal, wide) => (Some(first), wide.map(|wide| first + wide)),
        (ThreadMember::External, wide) => (wide.map(|wide| first - wide), Some(first)),
    };
    match (element, parts.member()) {
        (ThreadElement::Pitch, _) => around(Some(limits.pitch_tolerance)),
        (ThreadElement::Minor, ThreadMember::Internal) if one_position => around(sides.tolerance()),
        (ThreadElement::Major, _) => {
            let from = |limit: Option<Length>| limit.map(|limit| limit - parts.nominal);
            (from(sides.lower()), from(sides.upper()))
        }
        _ => (None, None),
    }
}

/// What is said where a thread made to the limits of its class and coated crosses the basic
/// profile.
fn plating_flag(limits: &ThreadLimits, thick: Length) -> Option<String> {
    let allowance = limits.deviation.abs();
    let grows = thick * 4;
    if allowance >= grows {
        return None;
    }
    let (letters, line) = match limits.parts.member() {
        ThreadMember::Internal => (limits.parts.class.pitch.position.text(), "H"),
        ThreadMember::External => (limits.parts.class.pitch.position.text(), "h"),
    };
    Some(format!(
        "The allowance of position {letters}, {} mm, is less than 4 × {} mm = {} mm: a thread \
         within the limits of its class before coating can cross the {line} line after it, so \
         make it to the limits before coating.",
        allowance.to_mm(),
        thick.to_mm(),
        grows.to_mm()
    ))
}

/// Where the tapping drill comes from; nothing for an external thread.
fn drill_why(parts: &ThreadParts, drill: Option<&TappingDrill>) -> Option<String> {
    match (parts.member(), drill) {
        (ThreadMember::External, _) => None,
        (_, Some(drill)) => Some(format!(
            "ISO 2306: tapping drill for M{}x{} = {} mm ({})",
            parts.nominal, parts.pitch, drill.diameter, drill.source
        )),
        (_, None) => Some(format!(
            "ISO 2306 tables no tapping drill for M{}x{}; D - P = {} mm (common practice)",
            parts.nominal,
            parts.pitch,
            parts.nominal - parts.pitch
        )),
    }
}

/// The lead angle at the basic pitch diameter, decimal degrees.
fn lead_angle_degrees(parts: &ThreadParts) -> String {
    let pitch_diameter = parts.profile().pitch_diameter().to_nm();
    let tangent = lead_angle_tangent(parts.lead(), pitch_diameter);
    format!("{:.4}", tangent.atan().to_degrees())
}

fn told(steps: &[Step]) -> Vec<String> {
    steps.iter().map(ToString::to_string).collect()
}

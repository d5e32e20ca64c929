//! `fitledger wires`: an external thread over three wires.

use crate::measure::{LeadAngle, ThreeWires, WireCaution, WireRange, wire_range};
use crate::quantity::Length;
use crate::session::Workspace;
use crate::tolerance::{
    Callout, CalloutLimits, Limits, ThreadCallout, ThreadElement, ThreadLimits, ThreadMember,
    parse_callout_in,
};

use super::WiresArguments;
use super::answers::{Answer, Form, Note, answer_each};
use super::house::{self, InForce};
use super::judge_thread::element_why;
use super::limits::no_thread;
use super::limits_thread::member_callout;
use super::output::{Output, Stopped};
use super::output_thread::{SidesLine, four, tenth as shown};
use super::output_wires::WiresLine;
use super::problem::Problem;
use super::table::{Column, Row, cell, numbers, words};

/// The columns of several answers, lengths in mm.
const COLUMNS: &[Column] = &[
    words("callout"),
    numbers("best"),
    numbers("from"),
    numbers("to"),
    numbers("wire"),
    numbers("over min"),
    numbers("over max"),
    numbers("pitch"),
];

/// The titles of a single answer.
const FACTS: &[Column] = &[
    words("callout"),
    words("best wire"),
    words("usable"),
    words("wire"),
    words("over the wires"),
    words("measured"),
    words("pitch diameter"),
    words("its limits"),
];

/// What is asked beside the callouts.
struct Options {
    in_force: InForce,
    wire: Option<Length>,
    measured: Option<Length>,
    lead_angle: LeadAngle,
}

impl Options {
    fn new(arguments: &WiresArguments, workspace: &Workspace) -> Result<Self, Problem> {
        let length = |text: &Option<String>| text.as_deref().map(house::length).transpose();
        Ok(Self {
            in_force: InForce::new(workspace, None, None)?,
            wire: length(&arguments.wire)?,
            measured: length(&arguments.measured)?,
            lead_angle: lead_angle(arguments.lead_angle_correction),
        })
    }
}

/// Whether the lead angle is counted.
pub(super) fn lead_angle(corrected: bool) -> LeadAngle {
    match corrected {
        true => LeadAngle::Corrected,
        false => LeadAngle::Ignored,
    }
}

/// Answers each thread.
pub(super) fn run(
    arguments: &WiresArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let options = Options::new(arguments, workspace);
    let form = Form {
        json: arguments.json,
        columns: COLUMNS,
        word_at: 1,
    };
    answer_each(&arguments.callouts, form, out, |text| {
        WiresAnswer::new(text, options.as_ref().map_err(Problem::clone)?)
    })
}

/// One thread over wires.
struct WiresAnswer {
    line: WiresLine,
    range: WireRange,
    wire: Length,
    over: Limits,
    limits: Limits,
    measured: Option<(Length, Length)>,
}

impl WiresAnswer {
    fn new(text: &str, options: &Options) -> Result<Self, Problem> {
        let (thread, limits) = external_of(text, &options.in_force)?;
        let parts = &limits.parts;
        let profile = parts.profile();
        let range = wire_range(&profile)?;
        let wire = options.wire.unwrap_or(range.best);
        let wires = three_wires(&limits, wire)?;
        let lead_angle = options.lead_angle;
        let over = wires.over_wires_limits(&limits.pitch, lead_angle)?;
        let measured = match options.measured {
            None => None,
            Some(size) => Some((size, wires.pitch_diameter(size, lead_angle)?)),
        };
        // Where the thread is made to: what was measured, else the middle of its limits.
        let at = measured.map_or_else(|| middle(&limits.pitch), |(_, pitch)| pitch);
        let effect = wires.lead_angle_effect(at)?;
        let mut flags: Vec<String> = limits.flags.iter().map(|flag| flag.to_string()).collect();
        let cautions = wires.cautions(at, lead_angle)?;
        // What holds for every measurement over wires is no flag of this one.
        let always = |caution: &WireCaution| *caution == WireCaution::ContactForce;
        let special = cautions.iter().filter(|caution| !always(caution));
        flags.extend(special.map(ToString::to_string));
        flags.extend(measured.and_then(|(_, pitch)| unlikely(&limits, pitch)));
        let mut why = element_why(&limits, ThreadElement::Pitch, options.in_force.tables());
        why.push(range_told(&range));
        if options.wire.is_none() {
            why.push("no wire given: the best wire is taken".to_owned());
        }
        let counted = match lead_angle {
            LeadAngle::Corrected => Some(effect),
            LeadAngle::Ignored => None,
        };
        why.extend(both_told(&limits, wire, &over, counted));
        if let Some((size, pitch)) = measured {
            why.push(pitch_told(&limits, wire, size, pitch, counted));
        }
        why.extend(
            cautions
                .iter()
                .filter(|caution| always(caution))
                .map(ToString::to_string),
        );
        Ok(Self {
            line: WiresLine {
                callout: text.trim().to_owned(),
                designation: member_callout(&thread, &limits).to_string(),
                best_wire: four(range.best),
                wire_min: four(range.usual_min),
                wire_max: four(range.usual_max),
                wire: four(wire),
                over_wires: SidesLine {
                    upper_limit: over.upper().map(four),
                    lower_limit: over.lower().map(four),
                },
                pitch_diameter: measured.map(|(_, pitch)| four(pitch)),
                pitch_limits: SidesLine::new(&limits.pitch),
                lead_angle_correction: counted.is_some(),
                lead_angle_effect: four(effect),
                flags,
                why,
            },
            range,
            wire,
            over,
            limits: limits.pitch,
            measured,
        })
    }
}

/// The external thread that a callout is: a single one, or the one of a fit.
fn external_of(
    text: &str,
    in_force: &InForce,
) -> Result<(ThreadCallout, Box<ThreadLimits>), Problem> {
    let context = in_force.context();
    let callout = parse_callout_in(text, context.tables)?;
    let Callout::Thread(thread) = callout else {
        return Err(no_thread(&callout));
    };
    match callout.limits(&context)? {
        CalloutLimits::Thread(limits) if limits.parts.member() == ThreadMember::External => {
            Ok((thread, limits))
        }
        CalloutLimits::ThreadFit(fit) => Ok((thread, Box::new(fit.external))),
        _ => Err(wires_inside(&callout)),
    }
}

/// Wires are asked of an internal thread.
pub(super) fn wires_inside(callout: &Callout) -> Problem {
    let message = format!(
        "{callout} is an internal thread; wires measure the pitch diameter of an external one."
    );
    let hint = "Prove an internal thread with GO and NO-GO plug gauges: fitledger plugs.";
    Problem::bad("wires_not_inside", message, Some(hint))
}

/// Those wires on that thread.
///
/// # Errors
/// A wire that touches no flanks, or one outside the usable range.
pub(super) fn three_wires(limits: &ThreadLimits, wire: Length) -> Result<ThreeWires, Problem> {
    let parts = &limits.parts;
    let profile = parts.profile();
    let wires = ThreeWires::new(profile, parts.lead(), wire)?;
    let range = wire_range(&profile)?;
    if (range.usual_min..=range.usual_max).contains(&wire) {
        return Ok(wires);
    }
    let message = format!(
        "A wire of {wire} mm is outside the usable range for a pitch of {} mm, {} to {} mm (0.56 \
         P to 0.90 P).",
        parts.pitch, range.usual_min, range.usual_max
    );
    let hint = format!("Take wires near {} mm, the best wire.", range.best);
    Err(Problem::bad("wire_not_usable", message, Some(&hint)))
}

fn middle(limits: &Limits) -> Length {
    match (limits.lower(), limits.upper()) {
        (Some(lower), Some(upper)) => (lower + upper).div_half_even(2),
        (one, other) => one.or(other).unwrap_or(Length::ZERO),
    }
}

/// What is said of a pitch diameter that no such thread has: a slip of reading, wire or callout.
fn unlikely(limits: &ThreadLimits, pitch: Length) -> Option<String> {
    let profile = limits.parts.profile();
    let (root, crest) = (profile.minor_diameter().to_nm(), profile.nominal);
    if root < pitch && pitch < crest {
        return None;
    }
    Some(format!(
        "A pitch diameter of {} mm is not between the basic minor and major diameters, {} and \
         {} mm: check the reading, the wires and the callout.",
        shown(pitch),
        shown(root),
        crest.to_mm()
    ))
}

fn range_told(range: &WireRange) -> String {
    format!(
        "best wire P / √3 = {} mm, usable 0.56 P to 0.90 P = {} to {} mm (a rule of neme-s.org)",
        range.best, range.usual_min, range.usual_max
    )
}

/// `0.866025 P` as a number.
fn height(limits: &ThreadLimits) -> Length {
    limits.parts.profile().triangle_height().to_nm()
}

/// How both limits over the wires come about.
fn both_told(
    limits: &ThreadLimits,
    wire: Length,
    over: &Limits,
    effect: Option<Length>,
) -> Vec<String> {
    let sides = [
        ("least", limits.pitch.lower(), over.lower()),
        ("greatest", limits.pitch.upper(), over.upper()),
    ];
    let told = sides.into_iter().filter_map(|(name, pitch, size)| {
        Some(over_told(name, limits, wire, pitch?, size?, effect))
    });
    told.collect()
}

fn over_told(
    name: &str,
    limits: &ThreadLimits,
    wire: Length,
    pitch: Length,
    size: Length,
    effect: Option<Length>,
) -> String {
    let (plus_c, c) = match effect {
        Some(_) => {
            let c = size - (pitch + wire * 3 - height(limits));
            (" + c", format!(" + {c}"))
        }
        None => ("", String::new()),
    };
    format!(
        "over the wires, {name}: M = d2 + 3 W - 0.866025 P{plus_c} = {} + 3 × {wire} - {}{c} = {}",
        pitch.to_mm(),
        height(limits),
        four(size)
    )
}

/// How a pitch diameter follows from a size over the wires.
pub(super) fn pitch_told(
    limits: &ThreadLimits,
    wire: Length,
    size: Length,
    pitch: Length,
    effect: Option<Length>,
) -> String {
    let (minus_c, c) = match effect {
        Some(_) => {
            let c = size - wire * 3 + height(limits) - pitch;
            (" - c", format!(" - {c}"))
        }
        None => ("", String::new()),
    };
    format!(
        "pitch diameter d2 = M - 3 W + 0.866025 P{minus_c} = {size} - 3 × {wire} + {}{c} = {}",
        height(limits),
        four(pitch)
    )
}

fn shown_range(limits: &Limits) -> String {
    let of = |limit: Option<Length>| limit.map(shown).unwrap_or_default();
    format!("{} to {} mm", of(limits.lower()), of(limits.upper()))
}

impl Answer for WiresAnswer {
    fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        out.json(&self.line)
    }

    fn rows(&self) -> Vec<Row> {
        let of = |limit: Option<Length>| limit.map(shown).unwrap_or_default();
        let texts = [
            self.line.callout.clone(),
            shown(self.range.best),
            shown(self.range.usual_min),
            shown(self.range.usual_max),
            shown(self.wire),
            of(self.over.lower()),
            of(self.over.upper()),
            of(self.measured.map(|(_, pitch)| pitch)),
        ];
        vec![texts.into_iter().map(cell).collect()]
    }

    fn facts(&self) -> Option<(&'static [Column], Row)> {
        let mm = |length: Length| format!("{} mm", shown(length));
        let range = &self.range;
        let usable = format!("{} to {}", shown(range.usual_min), mm(range.usual_max));
        let texts = [
            self.line.designation.clone(),
            mm(range.best),
            usable,
            mm(self.wire),
            shown_range(&self.over),
            self.measured.map(|(size, _)| mm(size)).unwrap_or_default(),
            self.measured
                .map(|(_, pitch)| mm(pitch))
                .unwrap_or_default(),
            shown_range(&self.limits),
        ];
        Some((FACTS, texts.into_iter().map(cell).collect()))
    }

    fn notes(&self) -> Vec<Note> {
        let effect = format!("{} mm", self.line.lead_angle_effect);
        let text = match self.line.lead_angle_correction {
            true => format!("{effect}, counted"),
            false => format!("{effect}, not counted; count it with --lead-angle-correction"),
        };
        vec![Note::new("lead angle", text)]
    }

    fn flags(&self) -> Option<(&str, &[String])> {
        Some((&self.line.callout, &self.line.flags))
    }

    fn why(&self) -> Vec<String> {
        self.line.why.clone()
    }
}

//! `fitledger plugs`: the GO and NO-GO screw gauges of a thread.

use crate::quantity::Length;
use crate::session::Workspace;
use crate::tolerance::{
    Callout, CalloutLimits, GAUGE_STANDARD, GaugeZone, GaugedThread, ScrewGauge, ScrewGaugeLimits,
    ThreadCallout, ThreadElement, ThreadLimits, ThreadMember, acceptance_rules, parse_callout_in,
    screw_gauge_limits,
};

use super::PlugsArguments;
use super::answers::{Answer, Form, Note, answer_each};
use super::house::InForce;
use super::judge_thread::element_why;
use super::limits::no_thread;
use super::limits_thread::member_callout;
use super::output::{Output, Stopped};
use super::output_plugs::{BothPlugsLine, CheckPlugsLine, GaugeLine, PlugsLine, ZoneLine};
use super::output_thread::four;
use super::problem::Problem;
use super::table::{Column, Row, cell, numbers, words};

/// Limits of the new gauge and its worn limit in mm, and how well they are known.
const COLUMNS: &[Column] = &[
    words("callout"),
    words("diameter"),
    numbers("lower"),
    numbers("upper"),
    numbers("worn"),
    words("standing"),
];

/// Answers each thread.
pub(super) fn run(
    arguments: &PlugsArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let in_force = InForce::new(workspace, None, None);
    let form = Form {
        json: arguments.json,
        columns: COLUMNS,
        word_at: 1,
    };
    answer_each(&arguments.callouts, form, out, |text| {
        PlugsAnswer::new(text, in_force.as_ref().map_err(Problem::clone)?)
    })
}

/// The gauges of one member.
struct Gauges {
    line: PlugsLine,
    limits: ScrewGaugeLimits,
}

/// The gauges of one member, or of both.
enum PlugsAnswer {
    One(Box<Gauges>),
    Both {
        callout: String,
        internal: Box<Gauges>,
        external: Box<Gauges>,
        flags: Vec<String>,
    },
}

impl PlugsAnswer {
    fn new(text: &str, in_force: &InForce) -> Result<Self, Problem> {
        let context = in_force.context();
        let callout = parse_callout_in(text, context.tables)?;
        let Callout::Thread(thread) = callout else {
            return Err(no_thread(&callout));
        };
        let gauges = |limits: &ThreadLimits, name: Option<&str>| {
            Gauges::new(name, &thread, limits, in_force).map(Box::new)
        };
        match callout.limits(&context)? {
            CalloutLimits::Thread(limits) => Ok(Self::One(gauges(&limits, Some(text.trim()))?)),
            CalloutLimits::ThreadFit(fit) => {
                let internal = gauges(&fit.internal, None)?;
                let external = gauges(&fit.external, None)?;
                let flags = fit.flags().iter().map(|flag| flag.to_string()).collect();
                Ok(Self::Both {
                    callout: text.trim().to_owned(),
                    internal,
                    external,
                    flags,
                })
            }
            _ => Err(no_thread(&callout)),
        }
    }
}

impl Gauges {
    fn new(
        name: Option<&str>,
        thread: &ThreadCallout,
        limits: &ThreadLimits,
        in_force: &InForce,
    ) -> Result<Self, Problem> {
        let parts = &limits.parts;
        let found = screw_gauge_limits(&GaugedThread {
            profile: parts.profile(),
            member: parts.member(),
            deviation: limits.deviation,
            tolerance: limits.pitch_tolerance,
        })?;
        let designation = member_callout(thread, limits).to_string();
        let mut why = element_why(limits, ThreadElement::Pitch, in_force.tables());
        why.push(format!(
            "{GAUGE_STANDARD}: row for a pitch-diameter tolerance over {} to {} mm ({})",
            found.row_over, found.row_up_to, found.row_source
        ));
        for (gauge, name) in named_gauges(&found) {
            for (zone, element) in zones(gauge) {
                why.push(format!(
                    "{name}, {} diameter: {}",
                    element.word(),
                    zone.rule
                ));
            }
        }
        let check_plugs = found.check_plugs.as_ref().map(|plugs| CheckPlugsLine {
            go: ZoneLine::new(&plugs.go),
            no_go: ZoneLine::new(&plugs.no_go),
            wear: ZoneLine::new(&plugs.wear),
        });
        let acceptance = acceptance_rules(parts.member());
        Ok(Self {
            line: PlugsLine {
                callout: name.unwrap_or(&designation).to_owned(),
                kind: match parts.member() {
                    ThreadMember::Internal => "plug_gauges",
                    ThreadMember::External => "ring_gauges",
                },
                designation,
                standard: GAUGE_STANDARD,
                go: GaugeLine::new(&found.go),
                no_go: GaugeLine::new(&found.no_go),
                check_plugs,
                notes: found.notes().iter().map(ToString::to_string).collect(),
                acceptance: acceptance.iter().map(ToString::to_string).collect(),
                flags: limits.flags.iter().map(|flag| flag.to_string()).collect(),
                why,
            },
            limits: found,
        })
    }

    fn rows(&self) -> Vec<Row> {
        let mut rows = vec![vec![cell(&self.line.callout)]];
        let mm = |limit: Option<Length>| limit.map(four).unwrap_or_default();
        let row = |name: &str, diameter: &str, zone: &GaugeZone| {
            let texts = [
                format!("  {name}"),
                diameter.to_owned(),
                mm(zone.lower),
                mm(zone.upper),
                mm(zone.worn),
                zone.standing.word().to_owned(),
            ];
            texts.into_iter().map(cell).collect::<Row>()
        };
        for (gauge, name) in named_gauges(&self.limits) {
            for (at, (zone, element)) in zones(gauge).into_iter().enumerate() {
                rows.push(row(if at == 0 { name } else { "" }, element.word(), zone));
            }
        }
        if let Some(plugs) = &self.limits.check_plugs {
            rows.push(row("check GO", "pitch", &plugs.go));
            rows.push(row("check NO-GO", "pitch", &plugs.no_go));
            rows.push(row("check worn", "pitch", &plugs.wear));
        }
        rows
    }

    fn notes(&self) -> Vec<Note> {
        let line = &self.line;
        let notes = line
            .notes
            .iter()
            .map(|text| Note::new("note", text.clone()));
        let rules = line.acceptance.iter();
        notes
            .chain(rules.map(|text| Note::new("rule", text.clone())))
            .collect()
    }
}

/// GO and NO-GO, with the names that people know them by.
fn named_gauges(limits: &ScrewGaugeLimits) -> [(&ScrewGauge, &'static str); 2] {
    let (go, no_go) = match limits.member {
        ThreadMember::Internal => ("GO plug", "NO-GO plug"),
        ThreadMember::External => ("GO ring", "NO-GO ring"),
    };
    [(&limits.go, go), (&limits.no_go, no_go)]
}

/// The diameters of a gauge, the one that matters most first.
fn zones(gauge: &ScrewGauge) -> [(&GaugeZone, ThreadElement); 3] {
    [
        (&gauge.pitch, ThreadElement::Pitch),
        (&gauge.major, ThreadElement::Major),
        (&gauge.minor, ThreadElement::Minor),
    ]
}

impl Answer for PlugsAnswer {
    fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        match self {
            Self::One(gauges) => out.json(&gauges.line),
            Self::Both {
                callout,
                internal,
                external,
                ..
            } => out.json(&BothPlugsLine {
                callout,
                kind: "screw_gauges",
                internal: &internal.line,
                external: &external.line,
            }),
        }
    }

    fn rows(&self) -> Vec<Row> {
        match self {
            Self::One(gauges) => gauges.rows(),
            Self::Both {
                internal, external, ..
            } => internal.rows().into_iter().chain(external.rows()).collect(),
        }
    }

    fn notes(&self) -> Vec<Note> {
        match self {
            Self::One(gauges) => gauges.notes(),
            Self::Both {
                internal, external, ..
            } => internal
                .notes()
                .into_iter()
                .chain(external.notes())
                .collect(),
        }
    }

    fn flags(&self) -> Option<(&str, &[String])> {
        match self {
            Self::One(gauges) => Some((&gauges.line.callout, &gauges.line.flags)),
            Self::Both { callout, flags, .. } => Some((callout, flags)),
        }
    }

    fn why(&self) -> Vec<String> {
        match self {
            Self::One(gauges) => gauges.line.why.clone(),
            Self::Both {
                internal, external, ..
            } => [&internal.line.why[..], &external.line.why[..]].concat(),
        }
    }
}

//! `fitledger zero-check` and `fitledger doubt`: a record without parts, only about a gauge.

use super::inspect::Inspection;
use super::inspect_setup::pictured;
use super::output::{Output, Stopped};
use super::problem::Problem;
use super::{DoubtArguments, ZeroCheckArguments};
use crate::gauge::GaugeId;
use crate::session::{self, Begin, Command, Prepared, What, Workspace};

/// What answers of these commands are about.
const INPUT: &str = "gauge";

/// Asks for one reading of the gauge, and says what its zero came to.
pub(super) fn run(
    arguments: &ZeroCheckArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let begin = Begin {
        gauges: vec![arguments.gauge.clone()],
        adapter: arguments.adapter.clone(),
        operator: arguments.operator.clone().unwrap_or_default(),
        ..Begin::new(What::Gauges)
    };
    let ask = |prepared: &Prepared| {
        let source = prepared.recorder.state().setup().sources.first()?;
        Some(Command::AskZeroCheck {
            gauge: GaugeId::new(&source.gauge),
            standard: arguments.on.as_deref().map(GaugeId::new),
        })
    };
    carried_out(&begin, ask, arguments.json, workspace, out)
}

/// Records that a gauge was found wrong.
pub(super) fn doubt(
    arguments: &DoubtArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    if let Some(since) = &arguments.since
        && since.parse::<jiff::Timestamp>().is_err()
    {
        let message = format!("“{}” is no moment.", since.escape_debug());
        let hint = Some("Write it as 2026-11-25T08:00:00+01:00.");
        let problem = Problem::bad("bad_moment", message, hint);
        return out.refuse(arguments.json, INPUT, &problem);
    }
    let begin = Begin {
        gauges: vec![format!("{}=typed", arguments.gauge)],
        operator: arguments.operator.clone().unwrap_or_default(),
        ..Begin::new(What::Gauges)
    };
    let doubt = |_: &Prepared| {
        Some(Command::DoubtGauge {
            gauge: GaugeId::new(&arguments.gauge),
            since: arguments.since.clone(),
            reason: arguments.reason.clone(),
        })
    };
    carried_out(&begin, doubt, arguments.json, workspace, out)
}

fn carried_out(
    begin: &Begin,
    command: impl FnOnce(&Prepared) -> Option<Command>,
    json: bool,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match session::prepare(begin, workspace) {
        Ok(prepared) => {
            for line in &prepared.told {
                out.message(line);
            }
            let command = command(&prepared);
            Inspection::of_gauge(prepared, json, command).run(out)
        }
        Err(error) => out.refuse(json, INPUT, &pictured(error, begin, workspace)),
    }
}

//! The arguments of `inspect` and `window` become what the session room begins with; and the
//! typed lines.

use std::io::{self, IsTerminal};

use super::exit::Exit;
use super::lines::{ItemLines, LINE_TOO_LONG};
use super::output::Output;
use super::problem::Problem;
use super::rule::asked_rule;
use super::{Advance, InspectArguments, SessionArguments};
use crate::gauge::Register;
use crate::journal::Job;
use crate::session::{
    self, Begin, BeginError, LineFault, Prepared, UNNAMED_TYPED, What, Workspace,
};

/// Longest typed line that is taken, in bytes (chosen: its characters go into a journal line as
/// hexadecimal and with room to spare).
const TYPED_BYTES_MAX: usize = 8 * 1024;

/// Reads the plan and the gauges, opens or takes up the journal.
///
/// # Errors
/// What is wrong with the arguments, the files or the disk; nothing has been recorded then.
pub(super) fn prepare(
    arguments: &InspectArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<Prepared, Problem> {
    let session = &arguments.session;
    let only_typed = session
        .gauge
        .iter()
        .all(|gauge| gauge.ends_with(UNNAMED_TYPED));
    let piped = only_typed && !session.gauge.is_empty() && !io::stdin().is_terminal();
    let begin = Begin {
        advance_always: match arguments.advance {
            Some(advance) => advance == Advance::Always,
            None => piped,
        },
        advance_rework: arguments.advance == Some(Advance::Rework),
        cutting: arguments.cutting,
        ..begin(session)?
    };
    let needs_gauge = !matches!(begin.what, What::Demo | What::Continue(_));
    if begin.gauges.is_empty() && needs_gauge {
        return Err(Problem::bad(
            "gauge_missing",
            "No gauge was named.".to_owned(),
            Some("Give --gauge typed, --gauge serial:PORT or --gauge simulated, or run --demo."),
        ));
    }
    let prepared =
        session::prepare(&begin, workspace).map_err(|error| pictured(error, &begin, workspace))?;
    for line in &prepared.told {
        out.message(line);
    }
    Ok(prepared)
}

/// What the options ask for.
///
/// # Errors
/// Options that do not go together.
pub(super) fn begin(arguments: &SessionArguments) -> Result<Begin, Problem> {
    let what = match (&arguments.continue_journal, &arguments.plan) {
        (Some(journal), _) => What::Continue(journal.clone()),
        (None, Some(plan)) => What::Plan(plan.clone()),
        (None, None) if arguments.demo => What::Demo,
        (None, None) => What::Callouts(arguments.callout.clone()),
    };
    let text = |asked: &Option<String>| asked.clone().unwrap_or_default();
    Ok(Begin {
        gauges: arguments.gauge.clone(),
        adapter: arguments.adapter.clone(),
        operator: text(&arguments.operator),
        rule: asked_rule(&arguments.rule)?,
        stage: text(&arguments.stage),
        general: text(&arguments.general),
        dial: text(&arguments.dial),
        parts: arguments.parts,
        suits: arguments.suit.clone(),
        keep_class: arguments.keep_class,
        job: Job {
            order: text(&arguments.order),
            customer: text(&arguments.customer),
            material_lot: text(&arguments.lot),
            machine: text(&arguments.machine),
        },
        ..Begin::new(what)
    })
}

/// The error for a terminal: a register that is not right is shown with its places.
pub(super) fn pictured(error: BeginError, begin: &Begin, workspace: &Workspace) -> Problem {
    let text = match (error.code, &begin.what) {
        ("gauge_register_invalid", What::Plan(_) | What::Callouts(_)) => {
            workspace.gauges().ok().flatten()
        }
        _ => None,
    };
    let found = text.map(|(_, text)| Register::parse(&text, "gauges.toml"));
    match found {
        Some(Err(errors)) => Problem::register(&errors),
        _ => error.into(),
    }
}

/// Standard input, line by line; a line that is none is told apart, and an input that fails ends.
pub(super) fn typed_lines() -> impl Iterator<Item = Result<String, LineFault>> + Send {
    let input = io::BufReader::new(io::stdin());
    ItemLines::new(input).map_while(|line| match line {
        Ok(text) if text.len() > TYPED_BYTES_MAX => Some(Err(LineFault::TooLong)),
        Ok(text) => Some(Ok(text)),
        Err(bad) if bad.problem.exit == Exit::OutsideFailed => None,
        Err(bad) if bad.problem.code == LINE_TOO_LONG => Some(Err(LineFault::TooLong)),
        Err(_) => Some(Err(LineFault::NotText)),
    })
}

//! The command line: reads arguments, calls the rooms below, prints, and answers an exit code.
//!
//! `--json` gives JSON Lines on standard output, flushed line by line, and nothing else there;
//! messages go to standard error. Every item asked about gets exactly one answer, in order; a
//! bad one gets an error object in its place. Exit codes: 0 answered, 1 something is not GO,
//! 2 bad input or usage, 3 the outside world failed; the highest wins.
//!
//! A new command is a variant of [`Command`], one file here with a `run`, and one line in
//! `dispatch`; the form of its answers stands in an `output_*.rs`: they alone name JSON fields.
//!
//! This room refuses to know how limits, verdicts and readings come about.
//!
//! ```
//! use clap::Parser;
//! use fitledger::command::{Arguments, Command};
//! let arguments = Arguments::try_parse_from(["fitledger", "limits", "--json", "25 H7"])?;
//! let Some(Command::Limits(limits)) = arguments.command else { unreachable!() };
//! assert_eq!((limits.callouts, limits.json), (vec!["25 H7".to_owned()], true));
//! # Ok::<(), clap::Error>(())
//! ```

use std::ffi::OsString;
use std::process::ExitCode;

use clap::Parser;

use crate::session::Workspace;

mod answers;
mod arguments;
mod arguments_decide;
mod arguments_exchange;
mod arguments_fit;
mod arguments_gauge;
mod arguments_guide;
mod arguments_list;
mod arguments_pair;
mod arguments_record;
mod arguments_register;
mod arguments_report;
mod arguments_statistics;
mod arguments_study;
mod arguments_taper;
mod arguments_wire;
mod assembly;
mod assembly_told;
mod certificate;
mod chart;
mod chart_record;
mod completions;
mod decide;
mod decode;
mod doubtful;
mod exit;
mod export;
mod fit;
mod fit_choose;
mod fit_plain;
mod fit_thread;
mod fit_told;
mod gauge_study;
mod gauge_study_days;
mod gauge_study_table;
mod gauge_study_told;
mod gauges;
mod guide;
mod house;
mod import;
mod import_parts;
mod import_reading;
mod import_table;
mod inspect;
mod inspect_decide;
mod inspect_rescue;
mod inspect_setup;
mod inspect_show;
mod inspect_typed;
mod judge;
mod judge_answer;
mod judge_budget;
mod judge_gauge;
mod judge_thread;
mod judge_why;
mod limits;
mod limits_clearance;
mod limits_making;
mod limits_thread;
mod limits_thread_fit;
mod lines;
mod list;
mod list_study;
mod listen;
mod manual;
mod number_list;
mod output;
mod output_assembly;
mod output_choice;
mod output_decide;
mod output_doubtful;
mod output_files;
mod output_fit;
mod output_gauge_study;
mod output_gauges;
mod output_inspect;
mod output_judge;
mod output_limits;
mod output_list;
mod output_making;
mod output_pair;
mod output_plugs;
mod output_press;
mod output_records;
mod output_statistics;
mod output_study;
mod output_suitability;
mod output_taper;
mod output_teach;
mod output_thread;
mod output_wire;
mod output_wires;
mod pair;
mod pair_table;
mod plugs;
mod ports;
mod press;
mod press_told;
mod problem;
mod question_file;
mod records;
mod report;
mod rule;
mod screen;
mod signals;
mod statistics;
mod statistics_answer;
mod statistics_record;
mod study_run;
mod study_told;
mod suitability;
mod table;
mod taper;
mod taper_asked;
mod taper_told;
mod teach;
mod whole_session;
mod window;
mod wires;
mod work;
mod write_whole;
mod zero_check;

pub use arguments::{
    Advance, Arguments, Command, CompletionsArguments, InspectArguments, JudgeArguments,
    LimitsArguments, RuleArguments, RuleName, SessionArguments, WindowArguments,
};
pub use arguments_decide::{DecideArguments, Decision};
pub use arguments_exchange::{ExchangeFormat, ExportArguments, ImportArguments};
pub use arguments_fit::{FitArguments, PlugsArguments, WiresArguments};
pub use arguments_gauge::{DoubtArguments, DoubtfulArguments, ZeroCheckArguments};
pub use arguments_guide::GuideArguments;
pub use arguments_list::ListArguments;
pub use arguments_record::{ReplayArguments, VerifyArguments};
pub use arguments_register::{CertificateArguments, GaugesArguments};
pub use arguments_report::{Decimal, ReportArguments};
pub use arguments_statistics::{
    ChartArguments, ChartName, GaugeStudyArguments, PoolingAsked, StatisticsArguments, TestsName,
    ValuesArguments,
};
pub use arguments_study::{GuidedStudyArguments, StudyOrder};
pub use arguments_wire::{DecodeArguments, ListenArguments, PortsArguments, TeachArguments};
pub use import_table::{ImportDefaults, ImportRow, ImportTable, WrongRow, import_table};
pub use suitability::SuitabilityArguments;
pub use window::{OpenWindow, without_window};

use exit::Exit;
use output::{Output, Stopped};

/// Runs the program with its arguments (the first is the program's name); `open` opens its window.
pub fn run(arguments: impl IntoIterator<Item = OsString>, open: OpenWindow) -> ExitCode {
    signals::survive_file_size_limit();
    let line: Vec<OsString> = arguments.into_iter().collect();
    match Arguments::try_parse_from(&line) {
        Ok(arguments) => {
            let mut out = Output::system();
            let workspace = Workspace::locate(arguments.workspace.as_deref());
            let done = match arguments.command {
                None => {
                    window::run_demo(open, workspace, &mut out);
                    Ok(())
                }
                Some(command) => dispatch(command, open, workspace, &line, &mut out),
            };
            out.ended(done).into()
        }
        Err(usage) => told(&usage).into(),
    }
}

fn dispatch(
    command: Command,
    open: OpenWindow,
    here: Workspace,
    line: &[OsString],
    out: &mut Output,
) -> Result<(), Stopped> {
    let workspace = &here;
    match command {
        Command::Limits(arguments) => limits::run(&arguments, workspace, out),
        Command::Judge(arguments) => judge::run(&arguments, workspace, out),
        Command::Fit(arguments) => fit::run(&arguments, workspace, out),
        Command::Wires(arguments) => wires::run(&arguments, workspace, out),
        Command::Plugs(arguments) => plugs::run(&arguments, workspace, out),
        Command::Suitability(arguments) => suitability::run(&arguments, workspace, out),
        Command::Assembly(arguments) => assembly::run(&arguments, workspace, out),
        Command::Pair(arguments) => pair::run(&arguments, workspace, out),
        Command::Press(arguments) => press::run(&arguments, workspace, out),
        Command::Taper(arguments) => taper::run(&arguments, out),
        Command::Statistics(arguments) => statistics::run(&arguments, workspace, out),
        Command::GaugeStudy(arguments) => gauge_study::run(&arguments, workspace, out),
        Command::Chart(arguments) => chart::run(&arguments, workspace, out),
        Command::Decode(arguments) => decode::run(&arguments, workspace, out),
        Command::Gauges(arguments) => gauges::run(&arguments, workspace, out),
        Command::Certificate(arguments) => certificate::run(&arguments, workspace, out),
        Command::Ports(arguments) => ports::run(&arguments, out),
        Command::Listen(arguments) => listen::run(&arguments, workspace, out),
        Command::Teach(arguments) => teach::run(&arguments, workspace, out),
        Command::Completions(arguments) => completions::run(&arguments, out),
        Command::Guide(arguments) => guide::run(&arguments, out),
        Command::Manual(arguments) => manual::run(&arguments, out),
        Command::Inspect(arguments) => inspect::run(&arguments, workspace, out),
        Command::Verify(arguments) => records::verify(&arguments, workspace, out),
        Command::Replay(arguments) => records::replay_lines(&arguments, workspace, out),
        Command::Decide(arguments) => decide::run(&arguments, out),
        Command::Report(arguments) => report::run(&arguments, workspace, out),
        Command::List(arguments) => list::run(&arguments, workspace, out),
        Command::Import(arguments) => import::run(&arguments, workspace, out),
        Command::Export(arguments) => export::run(&arguments, workspace, out),
        Command::ZeroCheck(arguments) => zero_check::run(&arguments, workspace, out),
        Command::Doubt(arguments) => zero_check::doubt(&arguments, workspace, out),
        Command::Doubtful(arguments) => doubtful::run(&arguments, workspace, out),
        Command::Window(arguments) => window::run(&arguments, open, here, line, out),
    }
}

/// Help and version go to standard output and are no error; wrong usage goes to standard error.
fn told(usage: &clap::Error) -> Exit {
    let written = usage.print();
    match (usage.use_stderr(), written) {
        (true, _) => Exit::BadInput,
        (false, Err(error)) if error.kind() != std::io::ErrorKind::BrokenPipe => {
            Exit::OutsideFailed
        }
        (false, _) => Exit::Answered,
    }
}

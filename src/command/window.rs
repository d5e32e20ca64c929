//! `fitledger window`, and the program without a command: hands over to the window, which is
//! opened by whoever started the program. This room knows none.

use std::ffi::{OsStr, OsString};

use super::inspect_setup::{begin, pictured};
use super::output::{Output, Stopped};
use super::problem::Problem;
use super::{Advance, WindowArguments};
use crate::session::{Begin, BeginError, What, Workspace};

/// Opens the window: with a session, or where one is chosen. Comes back when it is closed.
pub type OpenWindow = fn(Option<Begin>, Workspace) -> Result<(), BeginError>;

/// The words of errors after which the terminal is the place to go on.
const WITHOUT_WINDOW: [&str; 2] = ["no_display", "no_window"];

/// What opens the window of a program that was built without one.
///
/// # Errors
/// Always: that there is none.
pub fn without_window(_begin: Option<Begin>, _workspace: Workspace) -> Result<(), BeginError> {
    Err(BeginError::outside(
        "no_window",
        "This build of the program has no window.",
        None,
    ))
}

/// Opens the window with the demo.
pub(super) fn run_demo(open: OpenWindow, workspace: Workspace, out: &mut Output) {
    let begin = Begin::new(What::Demo);
    opened(open, Some(begin), workspace, &[], out);
}

/// Opens the window with what the arguments ask for; `line` is the whole command line.
pub(super) fn run(
    arguments: &WindowArguments,
    open: OpenWindow,
    workspace: Workspace,
    line: &[OsString],
    out: &mut Output,
) -> Result<(), Stopped> {
    let session = &arguments.session;
    let has_what = session.plan.is_some()
        || !session.callout.is_empty()
        || session.demo
        || session.continue_journal.is_some();
    // The command alone, its options aside, leaves the choice to the window.
    let is_bare = !has_what && !line.iter().any(|word| is_of_a_session(word));
    let begin = match begin(session) {
        Ok(_) if is_bare => None,
        Ok(begin) if has_what => Some(Begin {
            advance_always: arguments.advance == Some(Advance::Always),
            advance_rework: arguments.advance == Some(Advance::Rework),
            ..begin
        }),
        Ok(_) => {
            out.complain(&Problem::bad(
                "plan_missing",
                "There is nothing to measure against.".to_owned(),
                Some("Give --plan FILE, --callout CALLOUT, --demo or --continue JOURNAL."),
            ));
            return Ok(());
        }
        Err(problem) => {
            out.complain(&problem);
            return Ok(());
        }
    };
    opened(open, begin, workspace, line, out);
    Ok(())
}

/// Whether a word is an option that says something of a session.
fn is_of_a_session(word: &OsStr) -> bool {
    let word = word.to_string_lossy();
    word.starts_with("--") && !word.starts_with("--workspace")
}

fn opened(
    open: OpenWindow,
    begin: Option<Begin>,
    workspace: Workspace,
    line: &[OsString],
    out: &mut Output,
) {
    let Err(error) = open(begin.clone(), workspace.clone()) else {
        return;
    };
    let is_without = WITHOUT_WINDOW.contains(&error.code);
    let mut problem = match &begin {
        Some(begin) => pictured(error, begin, &workspace),
        None => Problem::from(error),
    };
    if is_without {
        problem.hint = Some(format!(
            "Work in the terminal instead: {}",
            in_the_terminal(begin.as_ref(), line)
        ));
    }
    out.complain(&problem);
}

/// The command that does the same in the terminal.
fn in_the_terminal(begin: Option<&Begin>, line: &[OsString]) -> String {
    let needs_gauge = match begin {
        None => return "fitledger inspect --demo".to_owned(),
        Some(begin) => {
            let is_of_its_own = matches!(begin.what, What::Plan(_) | What::Callouts(_));
            is_of_its_own && begin.gauges.is_empty()
        }
    };
    let mut words: Vec<String> = vec!["fitledger".to_owned(), "inspect".to_owned()];
    // `window` is the command where it is not the folder of the workspace.
    let is_command =
        |(before, word): (&OsString, &OsString)| word == "window" && before != "--workspace";
    let mut pairs = line.iter().zip(line.iter().skip(1));
    let command = pairs.position(is_command).map(|at| at + 1);
    let asked = line.iter().enumerate().skip(1);
    let kept = asked.filter(|(at, _)| Some(*at) != command);
    words.extend(kept.map(|(_, word)| quoted(&word.to_string_lossy())));
    if line.is_empty() {
        words.push("--demo".to_owned());
    }
    if needs_gauge {
        words.push("--gauge typed".to_owned());
    }
    words.join(" ")
}

/// A word as a shell takes it.
fn quoted(word: &str) -> String {
    let is_plain = |c: char| c.is_alphanumeric() || "-_=+:,./@#".contains(c);
    if !word.is_empty() && word.chars().all(is_plain) {
        return word.to_owned();
    }
    format!("'{}'", word.replace('\'', "'\\''"))
}

#[cfg(test)]
mod tests {
    use super::{in_the_terminal, quoted};
    use crate::session::{Begin, What};

    #[test]
    fn the_same_is_named_for_the_terminal() {
        let words = |line: &str| line.split('|').map(Into::into).collect::<Vec<_>>();
        let callout = Begin::new(What::Callouts(vec!["20 k6".to_owned()]));
        let line = words("./fitledger|--workspace|window|window|--callout|20 k6");
        assert_eq!(
            in_the_terminal(Some(&callout), &words("f|window|--callout|20 k6")),
            "fitledger inspect --callout '20 k6' --gauge typed"
        );
        assert_eq!(in_the_terminal(None, &line), "fitledger inspect --demo");
        let demo = Begin::new(What::Demo);
        assert_eq!(
            in_the_terminal(Some(&demo), &[]),
            "fitledger inspect --demo"
        );
        let again = words("f|window|--continue|sessions/a.jsonl");
        let more = Begin::new(What::Continue("sessions/a.jsonl".into()));
        assert_eq!(
            in_the_terminal(Some(&more), &again),
            "fitledger inspect --continue sessions/a.jsonl"
        );
        let there = words("f|--workspace|window|window|--demo");
        assert_eq!(
            in_the_terminal(Some(&demo), &there),
            "fitledger inspect --workspace window --demo"
        );
        assert_eq!(quoted("it's"), "'it'\\''s'");
    }
}

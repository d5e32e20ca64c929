//! What the program writes: JSON Lines or text on standard output, messages on standard error.
//!
//! Every line is flushed when it is written. A reader that goes away (`| head -1`) ends the
//! program quietly; a disk that is full ends it with a message.

use std::io::{self, Write};

use serde::Serialize;

use super::exit::Exit;
use super::problem::Problem;
use super::screen::Screen;
use crate::report::shown;

/// Why nothing more can be written.
#[derive(Debug)]
pub(crate) enum Stopped {
    /// The reader of standard output has gone.
    ReaderGone,
    /// Standard output failed.
    Failed(io::Error),
}

impl From<io::Error> for Stopped {
    fn from(error: io::Error) -> Self {
        match error.kind() {
            io::ErrorKind::BrokenPipe => Self::ReaderGone,
            _ => Self::Failed(error),
        }
    }
}

/// Standard output and error, and the worst exit so far.
#[derive(Debug)]
pub(crate) struct Output {
    stdout: io::Stdout,
    screen: Screen,
    exit: Exit,
}

impl Output {
    /// The program's own.
    pub(crate) fn system() -> Self {
        Self {
            stdout: io::stdout(),
            screen: Screen::of_stdout(),
            exit: Exit::default(),
        }
    }

    /// What standard output looks like.
    pub(crate) fn screen(&self) -> Screen {
        self.screen
    }

    /// Remembers an exit if it is worse than all before.
    pub(crate) fn note(&mut self, exit: Exit) {
        self.exit = self.exit.max(exit);
    }

    /// One JSON object on a line of its own.
    pub(crate) fn json(&mut self, line: &impl Serialize) -> Result<(), Stopped> {
        let mut bytes = serde_json::to_vec(line).map_err(io::Error::other)?;
        bytes.push(b'\n');
        self.bytes(&bytes)
    }

    /// Text as it is.
    pub(crate) fn text(&mut self, text: &str) -> Result<(), Stopped> {
        self.bytes(text.as_bytes())
    }

    /// Bytes as they are.
    pub(crate) fn bytes(&mut self, bytes: &[u8]) -> Result<(), Stopped> {
        self.stdout.write_all(bytes)?;
        Ok(self.stdout.flush()?)
    }

    /// A message on standard error, whoever's words are in it; nothing can be done when that fails.
    pub(crate) fn message(&mut self, text: &str) {
        let mut stderr = io::stderr().lock();
        drop(writeln!(stderr, "{}", lines_shown(text)));
    }

    /// A problem as a message, with its caret and hint; its exit is remembered.
    pub(crate) fn complain(&mut self, problem: &Problem) {
        self.note(problem.exit);
        self.message(&problem.told());
    }

    /// The same for one of several items.
    pub(crate) fn complain_about(&mut self, input: &str, problem: &Problem) {
        self.note(problem.exit);
        self.message(&match problem.picture {
            Some(_) => problem.told(),
            None => format!("“{input}”: {}", problem.told()),
        });
    }

    /// A problem in the place of an answer; its exit is remembered.
    pub(crate) fn json_problem(&mut self, input: &str, problem: &Problem) -> Result<(), Stopped> {
        self.note(problem.exit);
        self.json(&ErrorLine {
            input,
            error: ErrorBody {
                code: problem.code,
                message: &problem.message,
                hint: problem.hint.as_deref(),
            },
        })
    }

    /// A problem as it was asked for: in the place of an answer, or as a message.
    pub(crate) fn refuse(
        &mut self,
        json: bool,
        input: &str,
        problem: &Problem,
    ) -> Result<(), Stopped> {
        if json {
            return self.json_problem(input, problem);
        }
        self.complain(problem);
        Ok(())
    }

    /// The exit of the whole run.
    pub(super) fn ended(&mut self, done: Result<(), Stopped>) -> Exit {
        if let Err(Stopped::Failed(error)) = done {
            self.note(Exit::OutsideFailed);
            self.message(&format!(
                "Standard output could not be written: {error}.\nCheck the disk or the pipe."
            ));
        }
        self.exit
    }
}

/// Lines in which everything can be seen: what steers a terminal stands as an escape.
fn lines_shown(text: &str) -> String {
    let lines = text.split('\n').map(|line| {
        let pieces = line.split('\t').map(shown);
        pieces.collect::<Vec<_>>().join("\t")
    });
    lines.collect::<Vec<_>>().join("\n")
}

#[derive(Serialize)]
struct ErrorLine<'a> {
    input: &'a str,
    error: ErrorBody<'a>,
}

#[derive(Serialize)]
struct ErrorBody<'a> {
    code: &'a str,
    message: &'a str,
    hint: Option<&'a str>,
}

#[cfg(test)]
mod tests {
    use super::lines_shown;

    #[test]
    fn a_message_keeps_its_lines_and_steers_no_terminal() {
        let text = "line\n\tid = \"\u{1b}[31m\u{9b}m\u{202e}\"\n\t     ^";
        let seen = "line\n\tid = \"\\u{1b}[31m\\u{9b}m\\u{202e}\"\n\t     ^";
        assert_eq!(lines_shown(text), seen);
    }
}

//! The exit codes of the program.

use std::process::ExitCode;

/// How a run ended; the highest of all answers wins.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Default)]
pub(crate) enum Exit {
    /// 0: everything was answered, and every verdict asked for is GO.
    #[default]
    Answered,
    /// 1: everything was answered, but something is not GO, a check failed, or a session measured
    /// nothing.
    NotGood,
    /// 2: bad input or usage; at least one item could not be answered.
    BadInput,
    /// 3: the outside world failed: a port, the disk.
    OutsideFailed,
}

impl From<Exit> for ExitCode {
    fn from(exit: Exit) -> Self {
        Self::from(match exit {
            Exit::Answered => 0,
            Exit::NotGood => 1,
            Exit::BadInput => 2,
            Exit::OutsideFailed => 3,
        })
    }
}

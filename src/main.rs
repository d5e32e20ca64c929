//! The program: hands its arguments to [`fitledger::command::run`], with what opens its window.

#[cfg(not(feature = "window"))]
use fitledger::command::without_window as open;
#[cfg(feature = "window")]
use fitledger::window::open;

fn main() -> std::process::ExitCode {
    fitledger::command::run(std::env::args_os(), open)
}

//! The program: hands its arguments to [`fitledger::command::run`].

fn main() -> std::process::ExitCode {
    fitledger::command::run(std::env::args_os())
}

//! `fitledger teach`: an adapter's description from presses on known sizes.
//!
//! Asks on standard error and listens at a port, or works from a file of captured bursts. Writes
//! an adapter only when a fresh size has confirmed it, and never over another file unasked.

use std::io::BufRead;
use std::time::Instant;

use crate::quantity::Length;
use crate::session::{Awaited, Patience, Teaching, Workspace, listen_press, read_text};
use crate::wire::{
    LineSettings, PortAddress, Role, SerialLine, Taught, built_in_names, captured_lesson,
    draft_file, line_of_text, teach,
};

use super::arguments_wire::TeachArguments;
use super::exit::Exit;
use super::judge_gauge::today;
use super::output::{Output, Stopped};
use super::output_teach::TeachLine;
use super::problem::Problem;

/// The longest request, bytes (chosen: a request of registers has 8).
const REQUEST_MAX: usize = 64;

/// Teaches, and writes what was learnt.
pub(super) fn run(
    arguments: &TeachArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    match taught(arguments, out).and_then(|learnt| kept(arguments, workspace, learnt)) {
        Ok(learnt) => told(arguments, &learnt, out),
        Err(problem) => out.refuse(arguments.json, &arguments.name, &problem),
    }
}

/// What was learnt: the finding, the adapter's text, and the file that holds it.
struct Learnt {
    taught: Taught,
    text: Option<String>,
    file: Option<String>,
}

fn taught(arguments: &TeachArguments, out: &mut Output) -> Result<Learnt, Problem> {
    named(&arguments.name)?;
    let error = size("--error", &arguments.error)?;
    match (&arguments.captured, &arguments.gauge) {
        (Some(file), _) => captured(arguments, file, error),
        (None, Some(gauge)) => at_port(arguments, gauge, error, out),
        (None, None) => Err(Problem::bad(
            "teach_no_source",
            "There is nothing to learn from.".to_owned(),
            Some("Give --gauge serial:PORT, or --captured FILE."),
        )),
    }
}

fn named(name: &str) -> Result<(), Problem> {
    let plain = |c: char| c.is_ascii_lowercase() || c.is_ascii_digit() || c == '-';
    if name.is_empty() || name.len() > 40 || !name.chars().all(plain) || name.starts_with('-') {
        let message = format!("“{}” is no name for an adapter.", name.escape_debug());
        let hint = "Use small letters, digits and hyphens, such as bench-caliper.";
        return Err(Problem::bad("teach_bad_name", message, Some(hint)));
    }
    if built_in_names().any(|known| known == name) {
        let message = format!("“{name}” is the name of a built-in adapter.");
        return Err(Problem::bad(
            "teach_bad_name",
            message,
            Some("Choose another name."),
        ));
    }
    Ok(())
}

fn size(what: &str, text: &str) -> Result<Length, Problem> {
    let read = Length::parse_mm(text)
        .ok()
        .filter(|size| !size.is_negative());
    read.ok_or_else(|| {
        let message = format!(
            "{what} is “{}”, which is no size in mm.",
            text.escape_debug()
        );
        Problem::bad(
            "teach_bad_size",
            message,
            Some("Give millimetres, such as 7.5."),
        )
    })
}

fn captured(
    arguments: &TeachArguments,
    file: &std::path::Path,
    error: Length,
) -> Result<Learnt, Problem> {
    let text = read_text(file)?;
    let lesson = captured_lesson(&text, error).map_err(|wrong| {
        Problem::bad(
            "teach_bad_capture",
            wrong.to_string(),
            Some("Correct that line."),
        )
    })?;
    let taught = teach(&lesson);
    let confirm = lesson
        .presses
        .iter()
        .rev()
        .find_map(|press| match press.role {
            Role::Confirm(size) => Some(size),
            _ => None,
        });
    let text = match (&taught.draft, taught.confirmed, confirm, today()) {
        (Some(draft), true, Some(size), Some(on)) => {
            Some(draft_file(draft, &arguments.name, on, &size.to_mm()))
        }
        _ => None,
    };
    Ok(Learnt {
        taught,
        text,
        file: None,
    })
}

fn at_port(
    arguments: &TeachArguments,
    gauge: &str,
    error: Length,
    out: &mut Output,
) -> Result<Learnt, Problem> {
    let place = gauge
        .strip_prefix("serial:")
        .filter(|place| !place.is_empty());
    let Some(place) = place else {
        let message = format!("“{}” is no source to learn from.", gauge.escape_debug());
        let hint = Some("Give serial:PORT, such as serial:/dev/ttyUSB0.");
        return Err(Problem::bad("bad_source", message, hint));
    };
    let sizes: Result<Vec<Length>, Problem> = arguments
        .size
        .iter()
        .map(|text| size("--size", text))
        .collect();
    let sizes = sizes?;
    let Some(confirm) = &arguments.confirm else {
        let message = "No size is named to confirm with.".to_owned();
        let hint = "Give --confirm MM, a size that is none of the others.";
        return Err(Problem::bad("teach_no_confirm", message, Some(hint)));
    };
    let confirm = size("--confirm", confirm)?;
    if sizes.is_empty() || sizes.iter().all(|size| *size == Length::from_nm(0)) {
        let message = "No size is named to learn from.".to_owned();
        let hint = "Give --size MM two or three times, small, middle, large.";
        return Err(Problem::bad("teach_no_size", message, Some(hint)));
    }
    let only = match &arguments.line {
        None => None,
        Some(text) => Some(line_of_text(text).ok_or_else(|| {
            let message = format!("“{}” is no line setting.", text.escape_debug());
            Problem::bad("teach_bad_line", message, Some("Write it like 9600-8N1."))
        })?),
    };
    let named: Result<Vec<Vec<u8>>, Problem> = arguments.request.iter().map(|t| asks(t)).collect();
    let mut teaching = Teaching::new(&sizes, confirm, error, only).asking_with(named?);
    asked(&mut teaching, &PortAddress::new(place), out)?;
    let text = today().and_then(|on| teaching.adapter_text(&arguments.name, on));
    Ok(Learnt {
        taught: teaching.finding(),
        text,
        file: None,
    })
}

/// The bytes of a request: pairs of hexadecimal digits, blanks between them or not.
fn asks(text: &str) -> Result<Vec<u8>, Problem> {
    let digits: Option<Vec<u8>> = text
        .chars()
        .filter(|c| !c.is_whitespace())
        .map(|c| u8::try_from(c.to_digit(16)?).ok())
        .collect();
    let pairs = digits.filter(|digits| {
        digits.len().is_multiple_of(2) && (2..=2 * REQUEST_MAX).contains(&digits.len())
    });
    let bytes = pairs.map(|digits| {
        let pairs = digits.chunks_exact(2);
        pairs
            .map(|pair| pair.iter().fold(0, |byte, digit| byte * 16 + digit))
            .collect()
    });
    bytes.ok_or_else(|| {
        let message = format!("--request is “{}”, which is no bytes.", text.escape_debug());
        let hint = "Give pairs of hexadecimal digits, such as 21 for an exclamation mark.";
        Problem::bad("teach_bad_request", message, Some(hint))
    })
}

/// Goes through the routine: prompts on standard error, bytes from the port, answers from the
/// terminal.
fn asked(teaching: &mut Teaching, address: &PortAddress, out: &mut Output) -> Result<(), Problem> {
    let begun = Instant::now();
    let mut now_ms = || u64::try_from(begun.elapsed().as_millis()).unwrap_or(u64::MAX);
    let mut open: Option<(LineSettings, SerialLine)> = None;
    loop {
        let prompt = teaching.prompt();
        match prompt.awaited {
            Awaited::End => return Ok(()),
            Awaited::Answer => {
                out.message(&format!("{} Enter for yes, n for no.", prompt.sentence));
                teaching.answer(!answered()?.starts_with(['n', 'N']));
            }
            Awaited::Bytes {
                line,
                trigger,
                ready_first,
                quiet,
            } => {
                let same = open.as_ref().is_some_and(|(own, _)| *own == line);
                if !same {
                    // The port is let go before it is opened again.
                    drop(open.take());
                    open = Some((line, SerialLine::open(address, line)?));
                }
                // Asked only now: what a gauge sends before its port is open is lost.
                out.message(&prompt.sentence);
                if ready_first {
                    out.message("Enter when it is ready.");
                    answered()?;
                }
                let Some((_, port)) = &mut open else { continue };
                let patience = match ready_first || quiet {
                    true => Patience::REPLY,
                    false => Patience::PRESS,
                };
                let heard = listen_press(port, &trigger, patience, ready_first, &mut now_ms)?;
                teaching.heard(heard);
            }
        }
    }
}

fn answered() -> Result<String, Problem> {
    let mut line = String::new();
    match std::io::stdin().lock().read_line(&mut line) {
        Ok(count) if count > 0 => Ok(line.trim().to_owned()),
        _ => Err(Problem::bad(
            "teach_no_answer",
            "The questions were not answered to the end.".to_owned(),
            Some("Run this at a terminal."),
        )),
    }
}

/// Writes the adapter where it belongs.
fn kept(
    arguments: &TeachArguments,
    workspace: &Workspace,
    mut learnt: Learnt,
) -> Result<Learnt, Problem> {
    if let Some(text) = &learnt.text {
        let asked = arguments.out.as_deref();
        let path = workspace.keep_adapter(&arguments.name, asked, text, arguments.replace)?;
        learnt.file = Some(path.display().to_string());
    }
    Ok(learnt)
}

fn told(arguments: &TeachArguments, learnt: &Learnt, out: &mut Output) -> Result<(), Stopped> {
    let taught = &learnt.taught;
    if taught.problem.is_some() {
        out.note(Exit::BadInput);
    }
    if arguments.json {
        let text = learnt.text.as_deref();
        let line = TeachLine::new(&arguments.name, taught, text, learnt.file.clone());
        return out.json(&line);
    }
    let mut text = String::new();
    for (title, sentences) in [
        ("Identified", &taught.found),
        ("Not identified", &taught.unknown),
        ("Assumed", &taught.assumed),
    ] {
        if !sentences.is_empty() {
            text.push_str(&format!("{title}:\n"));
        }
        for sentence in sentences {
            text.push_str(&format!("  {sentence}\n"));
        }
    }
    match (&learnt.file, &taught.draft) {
        (Some(file), _) => text.push_str(&format!("Confirmed and written to {file}.\n")),
        (None, Some(draft)) => {
            text.push_str("Not confirmed, so nothing is written. So far:\n");
            text.push_str(draft);
        }
        (None, None) => {}
    }
    out.text(&text)?;
    if let Some(problem) = &taught.problem {
        let told = Problem::bad(problem.code(), problem.to_string(), Some(problem.hint()));
        out.complain(&told);
    }
    Ok(())
}

//! `fitledger decide`: what a person decides about a part after the session, as further events of
//! its record.

use super::arguments_decide::{DecideArguments, Decision};
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_decide::{DecisionLine, decision_line};
use super::output_inspect::JournalLine;
use super::problem::Problem;
use crate::journal::{Disposition, DispositionKind, Manner, Meaning, SignedOff};
use crate::session::{Command, DecidedLater, LaterError, decide_later, decision_sentence};

/// Records the decision, and says how the part stands now.
pub(super) fn run(arguments: &DecideArguments, out: &mut Output) -> Result<(), Stopped> {
    let input = arguments.journal.display().to_string();
    let decided = asked(arguments)
        .and_then(|command| decide_later(&arguments.journal, &[command]).map_err(problem));
    match decided {
        Ok(decided) => show(arguments, &decided, out),
        Err(problem) => out.refuse(arguments.json, &input, &problem),
    }
}

fn show(
    arguments: &DecideArguments,
    decided: &DecidedLater,
    out: &mut Output,
) -> Result<(), Stopped> {
    let head = decided.head.hash.to_string();
    if arguments.json {
        for one in &decided.recorded {
            if let Some(line) = decision_line(one.sequence, &one.event, &decided.state) {
                out.json(&DecisionLine { decision: line })?;
            }
        }
        return out.json(&JournalLine {
            journal: &decided.journal.display().to_string(),
            head,
        });
    }
    for one in &decided.recorded {
        if let Some(sentence) = decision_sentence(&one.event) {
            let sentence = crate::report::shown(&sentence);
            out.text(&format!("line {}  {sentence}\n", one.sequence))?;
        }
    }
    let part = arguments.part.and_then(|part| decided.state.part(part));
    if let Some(part) = part {
        let standing = decided.state.standing(part).word();
        out.text(&format!("part {} is {standing}\n", part.number))?;
    }
    out.text(&format!("{}  head {head}\n", decided.journal.display()))
}

/// The request that the arguments make.
fn asked(arguments: &DecideArguments) -> Result<Command, Problem> {
    let text = |given: &Option<String>| given.clone().unwrap_or_default();
    let dispose = |kind| {
        let Some(part) = arguments.part else {
            return Err(part_missing());
        };
        Ok(Command::Dispose(Box::new(Disposition {
            part,
            kind,
            feature: text(&arguments.feature),
            element: text(&arguments.element),
            reason: text(&arguments.reason),
            by: text(&arguments.by),
            agreed_with: text(&arguments.agreed_with),
            of: arguments.of.unwrap_or(0),
        })))
    };
    let sign = |meaning, manner| {
        if arguments.by.is_none() {
            let message = "A signature needs a name.".to_owned();
            return Err(Problem::bad(
                "name_missing",
                message,
                Some("Give --by NAME."),
            ));
        }
        Ok(Command::SignOff(Box::new(SignedOff {
            part: arguments.part.unwrap_or(0),
            meaning,
            manner,
            by: text(&arguments.by),
            reason: text(&arguments.reason),
            covers: SignedOff::JUST_BEFORE,
            hash: String::new(),
            left: Vec::new(),
        })))
    };
    match arguments.what {
        Decision::Rework => dispose(DispositionKind::Rework),
        Decision::Hold => dispose(DispositionKind::Hold),
        Decision::Scrap => dispose(DispositionKind::Scrap),
        Decision::Concession => dispose(DispositionKind::Concession),
        Decision::Withdraw => dispose(DispositionKind::Withdrawn),
        Decision::Measured => sign(Meaning::Measured, Manner::Plain),
        Decision::Checked => sign(Meaning::Checked, Manner::Plain),
        Decision::Release => sign(Meaning::Released, Manner::Plain),
        Decision::ReleaseEarly => sign(Meaning::Released, Manner::Early),
        Decision::ReleaseInDoubt => sign(Meaning::Released, Manner::InDoubt),
        Decision::Name => match arguments.part {
            Some(part) => Ok(Command::NamePart {
                part: Some(part),
                serial: text(&arguments.serial),
            }),
            None => Err(part_missing()),
        },
    }
}

fn part_missing() -> Problem {
    Problem::bad(
        "part_missing",
        "Which part is decided about?".to_owned(),
        Some("Give --part N, its number in the session."),
    )
}

pub(super) fn problem(error: LaterError) -> Problem {
    let exit = match error.is_outside() {
        true => Exit::OutsideFailed,
        false => Exit::BadInput,
    };
    Problem {
        exit,
        ..Problem::bad(error.code(), error.to_string(), error.hint().as_deref())
    }
}

//! Decisions typed at the bench: `scrap bore too wide`, `release #3 early: customer waits / Weber`.
//! A number after `#` is another part than the one at hand, what stands before a colon is the
//! feature, what stands behind the last ` / ` is the name of who decides.

use super::problem::Problem;
use crate::journal::{Disposition, DispositionKind, Job, Manner, Meaning, Sequence, SignedOff};
use crate::session::Command;

/// Words that begin a decision, for the help.
pub(super) const DECISION_KEYS: &str = "\
s SERIAL      serial number of the part at hand
u 2           go on at part 2 (back to an earlier one, or to the newest)
job WHAT TEXT order, customer, lot or machine is another from here on
rework, hold, scrap, concede [#PART] [FEATURE:] WHY [/ NAME]   decide about the part
withdraw LINE WHY [/ NAME]   the decision of that line no longer holds
measured, checked [#PART|all] [/ NAME]   sign for the part, or the session
release [#PART|all] [early|doubt] [WHY] [/ NAME]   release it";

/// The request of a line that begins with such a word; none for other words.
pub(super) fn decision(word: &str, rest: &str) -> Option<Result<Command, Problem>> {
    let disposition = |kind| Some(dispose(kind, rest));
    match word {
        "s" => Some(Ok(Command::NamePart {
            part: None,
            serial: rest.to_owned(),
        })),
        "u" => Some(take_up(rest)),
        "job" => Some(job(rest)),
        "rework" => disposition(DispositionKind::Rework),
        "hold" => disposition(DispositionKind::Hold),
        "scrap" => disposition(DispositionKind::Scrap),
        "concede" => disposition(DispositionKind::Concession),
        "withdraw" => Some(withdraw(rest)),
        "measured" => Some(Ok(sign(Meaning::Measured, rest))),
        "checked" => Some(Ok(sign(Meaning::Checked, rest))),
        "release" => Some(Ok(sign(Meaning::Released, rest))),
        _ => None,
    }
}

fn take_up(rest: &str) -> Result<Command, Problem> {
    match rest.trim_start_matches('#').parse() {
        Ok(part) => Ok(Command::TakeUpPart { part }),
        Err(_) => Err(Problem::bad(
            "part_missing",
            "At which part does work go on?".to_owned(),
            Some("Write u and its number: u 2"),
        )),
    }
}

fn job(rest: &str) -> Result<Command, Problem> {
    let (what, text) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let text = text.trim().to_owned();
    let mut job = Job::default();
    let slot = match what {
        "order" => &mut job.order,
        "customer" => &mut job.customer,
        "lot" => &mut job.material_lot,
        "machine" => &mut job.machine,
        _ => return Err(job_unclear()),
    };
    if text.is_empty() {
        return Err(job_unclear());
    }
    *slot = text;
    Ok(Command::NoteJob(job))
}

fn job_unclear() -> Problem {
    Problem::bad(
        "job_unclear",
        "What is another from here on?".to_owned(),
        Some("Write job lot 4711, job machine small lathe, job order … or job customer …."),
    )
}

fn dispose(kind: DispositionKind, rest: &str) -> Result<Command, Problem> {
    let (part, rest) = part_of(rest);
    let (feature, element, rest) = place_of(rest);
    let (reason, by) = name_of(rest);
    if reason.is_empty() {
        return Err(reason_missing(kind.word()));
    }
    Ok(Command::Dispose(Box::new(Disposition {
        part: part.unwrap_or(0),
        kind,
        feature: feature.to_owned(),
        element: element.to_owned(),
        reason: reason.to_owned(),
        by: by.to_owned(),
        agreed_with: String::new(),
        of: 0,
    })))
}

fn withdraw(rest: &str) -> Result<Command, Problem> {
    let (part, rest) = part_of(rest);
    let (line, rest) = rest.split_once(char::is_whitespace).unwrap_or((rest, ""));
    let Ok(of) = line.parse::<Sequence>() else {
        return Err(Problem::bad(
            "line_missing",
            "Which decision is withdrawn?".to_owned(),
            Some("Write withdraw, the decision's line and why: withdraw 41 mixed up"),
        ));
    };
    let (reason, by) = name_of(rest);
    if reason.is_empty() {
        return Err(reason_missing("withdraw"));
    }
    Ok(Command::Dispose(Box::new(Disposition {
        part: part.unwrap_or(0),
        kind: DispositionKind::Withdrawn,
        feature: String::new(),
        element: String::new(),
        reason: reason.to_owned(),
        by: by.to_owned(),
        agreed_with: String::new(),
        of,
    })))
}

fn sign(meaning: Meaning, rest: &str) -> Command {
    let (part, rest) = match rest.strip_prefix("all") {
        Some(others) if others.is_empty() || others.starts_with(' ') => (Some(0), others.trim()),
        _ => part_of(rest),
    };
    let (first, others) = rest.split_once([' ', ':']).unwrap_or((rest, ""));
    let (manner, rest) = match first {
        "early" => (Manner::Early, others.trim_start_matches(':').trim()),
        "doubt" => (Manner::InDoubt, others.trim_start_matches(':').trim()),
        _ => (Manner::Plain, rest),
    };
    let (reason, by) = name_of(rest);
    Command::SignOff(Box::new(SignedOff {
        part: part.unwrap_or(SignedOff::PART_AT_HAND),
        meaning,
        manner,
        by: by.to_owned(),
        reason: reason.to_owned(),
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left: Vec::new(),
    }))
}

/// `#3 …`: another part than the one at hand.
fn part_of(rest: &str) -> (Option<u32>, &str) {
    let rest = rest.trim();
    let Some(marked) = rest.strip_prefix('#') else {
        return (None, rest);
    };
    let (number, others) = marked.split_once([' ', ':']).unwrap_or((marked, ""));
    match number.parse() {
        Ok(part) => (Some(part), others.trim()),
        Err(_) => (None, rest),
    }
}

/// `B: …` or `B.pitch: …`: one feature of the part.
fn place_of(rest: &str) -> (&str, &str, &str) {
    let Some((place, others)) = rest.split_once(':') else {
        return ("", "", rest);
    };
    // A word alone; anything else is part of the reason.
    if place.is_empty() || place.contains(char::is_whitespace) {
        return ("", "", rest);
    }
    let (feature, element) = place.split_once('.').unwrap_or((place, ""));
    (feature, element, others.trim())
}

/// `… / NAME`: who decides, if not who measures.
fn name_of(rest: &str) -> (&str, &str) {
    match rest.rsplit_once('/') {
        Some((reason, name)) if reason.is_empty() || reason.ends_with(' ') => {
            (reason.trim(), name.trim())
        }
        _ => (rest.trim(), ""),
    }
}

fn reason_missing(word: &str) -> Problem {
    Problem::bad(
        "reason_missing",
        "That is decided only with a reason.".to_owned(),
        Some(&format!("Write {word} and why.")),
    )
}

#[cfg(test)]
mod tests {
    use super::decision;
    use crate::journal::{DispositionKind, Manner, Meaning, SignedOff};
    use crate::session::Command;

    fn asked(line: &str) -> Command {
        let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
        decision(word, rest).unwrap().unwrap()
    }

    #[test]
    fn a_decision_names_part_feature_reason_and_person() {
        let Command::Dispose(given) = asked("concede #3 B.pitch: customer agrees / A. Weber")
        else {
            panic!("no decision")
        };
        assert_eq!(given.kind, DispositionKind::Concession);
        assert_eq!(
            (given.part, given.feature.as_str(), given.element.as_str()),
            (3, "B", "pitch")
        );
        assert_eq!(
            (given.reason.as_str(), given.by.as_str()),
            ("customer agrees", "A. Weber")
        );
        let Command::Dispose(given) = asked("scrap bore 1/2 mm too wide: no use") else {
            panic!("no decision")
        };
        assert_eq!((given.part, given.feature.as_str()), (0, ""));
        assert_eq!(
            (given.reason.as_str(), given.by.as_str()),
            ("bore 1/2 mm too wide: no use", "")
        );
        let Command::Dispose(given) = asked("withdraw 41 mixed up") else {
            panic!("no decision")
        };
        assert_eq!((given.kind, given.of), (DispositionKind::Withdrawn, 41));
        assert_eq!(given.reason, "mixed up");
    }

    #[test]
    fn a_release_says_how_for_what_and_why() {
        let signed = |line: &str| match asked(line) {
            Command::SignOff(signed) => *signed,
            other => panic!("{other:?}"),
        };
        let plain = signed("release");
        assert_eq!(
            (plain.part, plain.manner),
            (SignedOff::PART_AT_HAND, Manner::Plain)
        );
        let early = signed("release #2 early: the pump stands still / Weber");
        assert_eq!((early.part, early.manner), (2, Manner::Early));
        assert_eq!(
            (early.reason.as_str(), early.by.as_str()),
            ("the pump stands still", "Weber")
        );
        let all = signed("checked all / Weber");
        assert_eq!(
            (all.part, all.meaning, all.by.as_str()),
            (0, Meaning::Checked, "Weber")
        );
    }

    #[test]
    fn a_decision_without_its_reason_is_refused() {
        for line in [
            "scrap",
            "rework #2",
            "hold A:",
            "withdraw 41",
            "withdraw x why",
            "job lot",
            "u",
        ] {
            let (word, rest) = line.split_once(' ').unwrap_or((line, ""));
            assert!(decision(word, rest).unwrap().is_err(), "{line}");
        }
    }
}

//! `fitledger statistics`: what can be said of a list of values, with intervals; of a journal
//! `statistics_record.rs` answers.

use std::io;

use super::arguments_statistics::{StatisticsArguments, TestsName, ValuesArguments};
use super::list_study::{Asked, ListStudy};
use super::number_list::{NumberList, number_list, plain_number, step_of};
use super::output::{Output, Stopped};
use super::problem::Problem;
use super::statistics_answer::{answer, table};
use super::statistics_record;
use crate::session::Workspace;
use crate::statistics::{Limits, RunLengths, StatisticsError};

/// What an error about the list as a whole names.
const INPUT: &str = "statistics";

/// Reads the list and answers.
pub(super) fn run(
    arguments: &StatisticsArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    if let Some(journal) = &arguments.journal {
        return statistics_record::run(arguments, journal, workspace, out);
    }
    let Some((list, asked)) = read(&arguments.asked, INPUT, arguments.json, out)? else {
        return Ok(());
    };
    let study = ListStudy::of(&list.values, &asked).map_err(Problem::from);
    let line = study.and_then(|study| Ok(answer(&list, &asked, &study)?));
    match line {
        Ok(line) if arguments.json => out.json(&line),
        Ok(line) => out.text(&table(&line, list.decimals, out.screen())),
        Err(problem) => out.refuse(arguments.json, INPUT, &problem),
    }
}

/// The list and what is asked of it; none where something was wrong, which has then been told.
pub(super) fn read(
    arguments: &ValuesArguments,
    input: &str,
    is_json: bool,
    out: &mut Output,
) -> Result<Option<(NumberList, Asked)>, Stopped> {
    // What is wrong with the question is told before the list is waited for.
    let mut asked = match asked(arguments) {
        Ok(asked) => asked,
        Err(problem) => return out.refuse(is_json, input, &problem).map(|()| None),
    };
    match number_list(io::stdin().lock()) {
        Ok(list) => {
            if arguments.resolution.is_none() {
                asked.step = list.step();
            }
            Ok(Some((list, asked)))
        }
        Err(bad) => {
            for line in bad {
                out.refuse(is_json, &line.input, &line.problem)?;
            }
            Ok(None)
        }
    }
}

fn asked(arguments: &ValuesArguments) -> Result<Asked, Problem> {
    let number = |text: &Option<String>, of: &str| -> Result<Option<f64>, Problem> {
        let Some(text) = text else { return Ok(None) };
        let found = plain_number(text).map_err(|problem| Problem {
            message: format!("--{of}: {}", problem.message),
            ..problem
        })?;
        Ok(Some(found.value))
    };
    let lower = number(&arguments.lower, "lower")?;
    let upper = number(&arguments.upper, "upper")?;
    let limits = match Limits::new(lower, upper) {
        Err(StatisticsError::NoLimit) => None,
        found => Some(found?),
    };
    if arguments.bounded && upper.is_some_and(|upper| upper <= 0.0) {
        let message = "Values that end at zero cannot have an upper limit of zero or below.";
        let hint = Some("Give the upper limit, or leave --bounded out.");
        return Err(Problem::bad("out_of_range", message.to_owned(), hint));
    }
    let step = number(&arguments.resolution, "resolution")?;
    if step.is_some_and(|step| step <= 0.0) {
        let message = "--resolution: a step of the readings is above 0.".to_owned();
        return Err(Problem::bad("out_of_range", message, None));
    }
    Ok(Asked {
        limits,
        subgroup: arguments.subgroup.filter(|size| *size != 1),
        lengths: match arguments.tests {
            TestsName::Nelson => RunLengths::NELSON,
            TestsName::EightOnOneSide => RunLengths::EIGHT_ON_ONE_SIDE,
            TestsName::Sevens => RunLengths::SEVENS,
        },
        is_bounded: arguments.bounded,
        step: step.unwrap_or(step_of(0)),
    })
}

//! `fitledger statistics JOURNAL`: the numbers of a session over its parts, with advice; and what
//! an operation changed on the parts that an earlier session measured before it.

use std::path::Path;

use super::arguments_statistics::StatisticsArguments;
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_statistics::{
    LearnedBody, OperationBody, PartChangeBody, add_operation, of_record,
};
use super::problem::Problem;
use super::screen::paragraph;
use super::whole_session::{record_of, selection, sheet_of, state_of};
use super::work::Work;
use crate::report::{ReportOptions, Sheet, batch_objects, batch_sentences, shown};
use crate::session::{JoinedBy, OperationChange, Target, Workspace, operation_changes};

/// Sentences stand below the name of their characteristic.
const INDENT: usize = 2;

/// What is known of a session.
struct Told {
    sheet: Sheet,
    targets: Vec<Target>,
    changes: Vec<OperationChange>,
}

/// Answers for every characteristic of the session that the journal belongs to.
pub(super) fn run(
    arguments: &StatisticsArguments,
    journal: &Path,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let told = told(journal, arguments.before.as_deref(), workspace);
    match told {
        Ok(told) if arguments.json => json(&told, out),
        Ok(told) => text(&told, out),
        Err(problem) => out.refuse(arguments.json, &journal.display().to_string(), &problem),
    }
}

fn told(journal: &Path, before: Option<&Path>, workspace: &Workspace) -> Result<Told, Problem> {
    let work = Work::begin()?;
    let sheet = sheet_of(journal, &selection(&[], None), workspace, &work)?;
    let state = state_of(record_of(journal, workspace)?, journal)?;
    let changes = match before {
        None => Vec::new(),
        Some(before) => {
            let earlier = state_of(record_of(before, workspace)?, before)?;
            operation_changes(&earlier, &state)
                .map_err(|problem| Problem::bad(problem.code(), problem.to_string(), None))?
        }
    };
    let has_change = changes.iter().any(|change| !change.parts.is_empty());
    if sheet.batch.is_none() && !has_change {
        let message = format!(
            "{} has no numbers over its parts: they begin with two parts, and with sizes.",
            shown(&journal.display().to_string())
        );
        return Err(Problem::bad("no_batch", message, None));
    }
    Ok(Told {
        sheet,
        targets: state.setup().targets.clone(),
        changes,
    })
}

impl Told {
    /// A damaged record is told, and its numbers prove nothing.
    fn note(&self, out: &mut Output) {
        if !self.sheet.record.is_whole() {
            out.note(Exit::NotGood);
        }
    }

    /// Changes by the feature and element that they are of.
    fn changes(&self) -> impl Iterator<Item = (&Target, &OperationChange)> {
        let all = self
            .changes
            .iter()
            .filter(|change| !change.parts.is_empty());
        all.filter_map(|change| Some((self.targets.get(change.target)?, change)))
    }
}

fn json(told: &Told, out: &mut Output) -> Result<(), Stopped> {
    told.note(out);
    let mut objects = batch_objects(&told.sheet);
    for (target, change) in told.changes() {
        let of = (target.feature.as_str(), target.element.as_str());
        add_operation(&mut objects, of, &operation(change));
    }
    for object in objects {
        out.json(&of_record(object, &told.sheet.record.state))?;
    }
    Ok(())
}

fn operation(change: &OperationChange) -> OperationBody<'_> {
    let parts = change.parts.iter().map(|part| PartChangeBody {
        part: part.number,
        serial: &part.serial,
        change: part.change.to_mm(),
    });
    OperationBody {
        before: &change.before,
        after: &change.after,
        material: change.material.as_deref(),
        joined: match change.joined {
            JoinedBy::Serial => "serial",
            JoinedBy::Number => "number",
        },
        parts: parts.collect(),
        learned: change.learned.as_ref().ok().map(|learned| LearnedBody {
            mean: learned.mean.to_mm(),
            sd: learned.deviation_nm / 1e6,
            least: learned.least.to_mm(),
            most: learned.most.to_mm(),
            share: learned.share,
            confidence: learned.confidence,
            leave: learned.leave.map(|leave| leave.to_mm()),
            tighten: learned.tighten.to_mm(),
            sentence: learned.sentence(),
        }),
        missing: change.learned.as_ref().err().map(ToString::to_string),
    }
}

fn text(told: &Told, out: &mut Output) -> Result<(), Stopped> {
    told.note(out);
    let mut text = String::new();
    let options = ReportOptions::default();
    let screen = out.screen();
    let mut say = |line: &str, indent: usize| {
        text += &paragraph(line, (&" ".repeat(indent), indent), screen);
    };
    let remarks = told.sheet.batch.iter().flat_map(|batch| &batch.remarks);
    for remark in remarks {
        say(&shown(remark), 0);
    }
    for (name, sentences) in batch_sentences(&told.sheet, &options) {
        say(&name, 0);
        for sentence in sentences {
            say(&sentence, INDENT);
        }
    }
    for (target, change) in told.changes() {
        say(
            &format!("{} {}", shown(&target.feature), change.origin()),
            0,
        );
        match &change.learned {
            Ok(learned) => say(&learned.sentence(), INDENT),
            Err(error) => say(&format!("No allowance is learned yet. {error}"), INDENT),
        }
    }
    out.text(&text)
}

//! `fitledger statistics JOURNAL`: the numbers of a session over its parts, with advice; and what
//! an operation changed on the parts that an earlier session measured before it.

use std::path::Path;

use serde_json::{Map, Value};

use super::arguments_statistics::StatisticsArguments;
use super::exit::Exit;
use super::output::{Output, Stopped};
use super::output_statistics::{LearnedBody, OperationBody, PartChangeBody};
use super::problem::Problem;
use super::report::sheet_of;
use super::screen::wrapped;
use super::work::Work;
use crate::report::{ReportOptions, Selection, Sheet, batch_objects, batch_sentences, shown};
use crate::session::{
    Check, JoinedBy, OpeningError, OperationChange, RecordFolders, SessionRecord, State, Target,
    Workspace, operation_changes, session_parts,
};

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
        Err(problem) if arguments.json => {
            out.json_problem(&journal.display().to_string(), &problem)
        }
        Err(problem) => {
            out.complain(&problem);
            Ok(())
        }
    }
}

fn told(journal: &Path, before: Option<&Path>, workspace: &Workspace) -> Result<Told, Problem> {
    let work = Work::begin()?;
    let sheet = sheet_of(journal, &Selection::default(), workspace, &work)?;
    let state = state_of(journal, workspace)?;
    let changes = match before {
        None => Vec::new(),
        Some(before) => {
            let earlier = state_of(before, workspace)?;
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

/// The state at the end of the session.
fn state_of(journal: &Path, workspace: &Workspace) -> Result<State, Problem> {
    let (folder, name) = RecordFolders::of_journal(journal, workspace);
    let files = match session_parts(&folder, &name) {
        Err(OpeningError::ContinuedIn { newest, .. }) => session_parts(&folder, &newest)?,
        found => found?,
    };
    let record = SessionRecord::read(&folder, files, Check::State)?;
    record.replayed.state.ok_or_else(|| {
        let message = format!("{} begins no session.", shown(&name));
        Problem::bad("session_missing", message, Some("Check it with verify."))
    })
}

impl Told {
    /// A damaged record is told, and its numbers prove nothing.
    fn note(&self, out: &mut Output) {
        if !matches!(self.sheet.record.state.as_str(), "sound" | "not_closed") {
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
    let state = &told.sheet.record.state;
    let mut objects = batch_objects(&told.sheet);
    for (target, change) in told.changes() {
        let text = |of: &Map<String, Value>, key: &str| {
            of.get(key)
                .and_then(Value::as_str)
                .unwrap_or_default()
                .to_owned()
        };
        let is_of = |of: &&mut Map<String, Value>| {
            text(of, "feature") == target.feature && text(of, "element") == target.element
        };
        let body = serde_json::to_value(operation(change)).unwrap_or_default();
        match objects.iter_mut().find(is_of) {
            Some(object) => drop(object.insert("operation".to_owned(), body)),
            None => {
                let mut object = Map::new();
                object.insert("feature".to_owned(), Value::from(target.feature.clone()));
                object.insert("element".to_owned(), Value::from(target.element.clone()));
                object.insert("operation".to_owned(), body);
                objects.push(object);
            }
        }
    }
    for mut object in objects {
        object.insert("record".to_owned(), Value::from(state.as_str()));
        out.json(&object)?;
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
    let width = out.screen().width.max(1);
    let mut say = |line: &str, indent: usize| {
        for piece in wrapped(line, width.saturating_sub(indent)) {
            text += &format!("{:indent$}{piece}\n", "");
        }
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

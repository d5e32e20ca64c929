//! Values that were measured elsewhere become a record of their own: `import`.
//!
//! Nothing is recorded unless every row is right, or the right ones alone are asked for. In the
//! record, what came in is the row as it stands, and its origin is told everywhere.

use std::collections::BTreeSet;

use super::arguments_exchange::ImportArguments;
use super::exit::Exit;
use super::import_table::{ImportDefaults, ImportRow, ImportTable, WrongRow, import_table};
use super::inspect_show::Show;
use super::output::{Output, Stopped};
use super::output_files::{ImportLine, ImportedTable};
use super::problem::Problem;
use super::screen::counted;
use crate::journal::Event;
use crate::report::shown;
use crate::session::{
    Begin, Command, Importing, Incoming, Setup, Taken, What, Workspace, begin_import, read_text,
    setup_asked,
};

/// The longest name of a table in the record, in characters (chosen).
const NAME_MAX: usize = 120;

/// Reads the table and records it, or says what is wrong with it.
pub(super) fn run(
    arguments: &ImportArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let show = Show {
        json: arguments.json,
    };
    let read = match read(arguments, workspace) {
        Ok(read) => read,
        Err(problem) => return out.refuse(arguments.json, &shown_name(arguments), &problem),
    };
    tell_table(&read.table, &show, arguments, out)?;
    let wrong = read.table.wrong.len();
    if wrong > 0 && !arguments.partly || read.table.rows.is_empty() {
        let message = match wrong {
            0 => "The table has no reading; nothing was recorded.".to_owned(),
            1 => "One row is wrong; nothing was recorded.".to_owned(),
            wrong => format!("{wrong} rows are wrong; nothing was recorded."),
        };
        let hint = "Correct the table, or record the right rows alone with --partly.";
        let hint = (wrong > 0 && !read.table.rows.is_empty()).then_some(hint);
        let problem = Problem::bad("nothing_imported", message, hint);
        return out.refuse(arguments.json, &shown_name(arguments), &problem);
    }
    let gauges: BTreeSet<String> = read
        .table
        .rows
        .iter()
        .map(|row| row.reading.gauge.as_str().to_owned())
        .collect();
    let gauges: Vec<String> = gauges.into_iter().collect();
    let name: String = shown_name(arguments).chars().take(NAME_MAX).collect();
    let parts = read.table.rows.iter().map(|row| row.part).max();
    let begin = Begin {
        parts,
        ..read.begin
    };
    match begin_import(&begin, &name, &gauges, workspace) {
        Ok(importing) => {
            let mut import = Import {
                importing,
                show,
                take_implausible: arguments.take_implausible,
                held: 0,
            };
            import.run(&read.table.rows, &name, out)
        }
        Err(error) => out.refuse(arguments.json, &name, &error.into()),
    }
}

struct Read {
    begin: Begin,
    table: ImportTable,
}

fn read(arguments: &ImportArguments, workspace: &Workspace) -> Result<Read, Problem> {
    let begin = Begin {
        operator: arguments.operator.clone().unwrap_or_default(),
        advance_always: true,
        ..Begin::new(What::Plan(arguments.plan.clone()))
    };
    let setup: Setup = setup_asked(&begin, None, workspace)?;
    let text = read_text(&arguments.measured)?;
    let defaults = ImportDefaults {
        gauge: arguments.gauge.as_deref().unwrap_or_default(),
        operator: arguments.operator.as_deref().unwrap_or_default(),
    };
    let table = import_table(&text, &setup, defaults);
    Ok(Read { begin, table })
}

fn shown_name(arguments: &ImportArguments) -> String {
    let name = arguments.measured.file_name().unwrap_or_default();
    shown(&name.to_string_lossy()).into_owned()
}

/// What is to be known of the table before anything is recorded.
fn tell_table(
    table: &ImportTable,
    show: &Show,
    arguments: &ImportArguments,
    out: &mut Output,
) -> Result<(), Stopped> {
    for WrongRow {
        line,
        code,
        sentence,
        hint,
    } in &table.wrong
    {
        let problem = Problem::bad(code, format!("line {line}: {sentence}"), *hint);
        out.refuse(show.json, &shown_name(arguments), &problem)?;
    }
    if show.json {
        return out.json(&ImportLine {
            table: ImportedTable {
                rows: table.rows.len(),
                wrong: table.wrong.len(),
                not_counting: table.not_counting,
                unknown_columns: &table.unknown_columns,
                renumbered: &table.renumbered,
            },
        });
    }
    if !table.unknown_columns.is_empty() {
        let names: Vec<String> = table
            .unknown_columns
            .iter()
            .map(|name| format!("“{}”", shown(name)))
            .collect();
        out.message(&format!(
            "Columns that mean nothing here: {}.",
            names.join(", ")
        ));
    }
    if table.not_counting > 0 {
        let (one, many) = ("row does not count and is", "rows do not count and are");
        let told = counted(table.not_counting, one, many);
        out.message(&format!("{told} left out."));
    }
    for (there, here) in &table.renumbered {
        out.message(&format!(
            "Part {there} of the table is part {here} of the record."
        ));
    }
    Ok(())
}

/// The rows on their way into the record.
struct Import {
    importing: Importing,
    show: Show,
    take_implausible: bool,
    held: usize,
}

impl Import {
    fn run(&mut self, rows: &[ImportRow], name: &str, out: &mut Output) -> Result<(), Stopped> {
        for (at, row) in rows.iter().enumerate() {
            self.row(row, name, out)?;
            if self.importing.recorder.has_failed() {
                let left = rows.len() - at;
                let message = format!(
                    "The journal takes nothing more: from line {} on {} NOT RECORDED.",
                    row.line,
                    counted(left, "row is", "rows are")
                );
                let hint = "What was recorded before stays. Import the rows again elsewhere.";
                let problem = Problem::outside("not_recorded", message, Some(hint));
                out.refuse(self.show.json, name, &problem)?;
                break;
            }
        }
        self.end(rows.len(), name, out)
    }

    fn end(&mut self, rows: usize, name: &str, out: &mut Output) -> Result<(), Stopped> {
        if self.held > 0 && !self.show.json {
            let became = match self.take_implausible {
                true => "taken all the same",
                false => "set aside; --take-implausible takes such values",
            };
            let values = match self.held {
                1 => "One value was".to_owned(),
                held => format!("{held} values were"),
            };
            out.message(&format!("{values} far off and {became}."));
        }
        let reason = format!("{rows} rows of {name} imported");
        if !self.importing.recorder.has_failed() {
            self.take(vec![Incoming::Command(Command::Close { reason })], out)?;
        }
        let recorder = &self.importing.recorder;
        let mut parts = recorder.state().parts().iter();
        if !parts.all(|part| part.state().is_good()) {
            out.note(Exit::NotGood);
        }
        let path = self.importing.folder.path().join(recorder.journal());
        let head = recorder.head().hash.to_string();
        self.show
            .ended(&path.display().to_string(), head, recorder.state(), out)
    }

    fn row(&mut self, row: &ImportRow, name: &str, out: &mut Output) -> Result<(), Stopped> {
        let state = self.importing.recorder.state();
        let started = u32::try_from(state.parts().len()).unwrap_or(u32::MAX);
        // Parts before it of which every row is wrong are begun too, and stay open: so each part
        // has the number that sampling went by, and that was told.
        let begun = (started..row.part).map(|_| Command::StartNextPart);
        let mut asked: Vec<Command> = begun.collect();
        if !asked.is_empty() && !row.serial.is_empty() {
            let serial = row.serial.clone();
            asked.push(Command::NamePart { part: None, serial });
        }
        if !row.operator.is_empty() && row.operator != state.bench().operator {
            let name = row.operator.clone();
            asked.push(Command::ChangeOperator { name });
        }
        let target = state.setup().targets.get(row.target);
        let (feature, element) = target
            .map(|target| (target.feature.clone(), target.element.clone()))
            .unwrap_or_default();
        let is_at_hand = asked.is_empty() && state.current_target() == Some(row.target);
        if !is_at_hand {
            asked.push(Command::ChooseCharacteristic { feature, element });
        }
        let mut batch: Vec<Incoming> = asked.into_iter().map(Incoming::Command).collect();
        batch.push(Incoming::Reading(row.reading.clone()));
        let taken = self.take(batch, out)?;
        self.check_place(row, &taken, name, out)?;
        if self.importing.recorder.state().bench().held.is_some() {
            self.held += 1;
            let answer = Command::AnswerHeld {
                belongs: self.take_implausible,
                reason: format!("line {} of {name}", row.line),
            };
            self.take(vec![Incoming::Command(answer)], out)?;
        }
        Ok(())
    }

    /// A value that went elsewhere than its row says would be a fault of the program, and is told.
    fn check_place(
        &self,
        row: &ImportRow,
        taken: &Taken,
        name: &str,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        let setup = self.importing.recorder.state().setup();
        let target = setup.targets.get(row.target);
        for recorded in &taken.recorded {
            let Event::ReadingAssigned { place, .. } = &recorded.event else {
                continue;
            };
            let is_right = place.part == row.part
                && place.point == row.point
                && target.is_some_and(|target| {
                    target.feature == place.feature && target.element == place.element
                });
            if !is_right {
                let message = format!(
                    "line {}: the value was given to point {} of {} on part {}.",
                    row.line, place.point, place.feature, place.part
                );
                let hint = "Void it in the record, and report this.";
                let problem = Problem::bad("went_elsewhere", message, Some(hint));
                out.refuse(self.show.json, name, &problem)?;
            }
        }
        Ok(())
    }

    fn take(&mut self, batch: Vec<Incoming>, out: &mut Output) -> Result<Taken, Stopped> {
        let now = self.importing.clock.now();
        let batch = batch.into_iter().map(|incoming| (now, incoming)).collect();
        let taken = self.importing.recorder.take(batch);
        let state = self.importing.recorder.state();
        for recorded in &taken.recorded {
            self.show.recorded(recorded, state, out)?;
        }
        for (command, refusal) in &taken.refused {
            let hint = Some(refusal.hint());
            let problem = Problem::bad(refusal.code(), refusal.to_string(), hint);
            out.refuse(self.show.json, command.word(), &problem)?;
        }
        if let Some(failure) = &taken.failure {
            out.note(Exit::OutsideFailed);
            out.message(&failure.to_string());
        }
        Ok(taken)
    }
}

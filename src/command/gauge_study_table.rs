//! The readings of a gauge study from a table: which part, by whom, how often. A study with a
//! reading missing is told which, and is not computed.

use std::collections::{HashMap, HashSet};

use csv::StringRecord;

use super::lines::BadLine;
use super::number_list::plain_number;
use super::problem::Problem;
use crate::gauge::Date;
use crate::report::shown;

const COLUMNS: [&str; 6] = ["part", "operator", "trial", "value", "reference", DAY];
/// The column of days, and what it may be called too.
const DAY: &str = "day";
const DATE: &str = "date";
/// More readings than that are refused (chosen: a study takes an afternoon).
const READINGS_MAX: usize = 100_000;
/// Rows and gaps that are told one by one.
const TOLD_MAX: usize = 20;
/// A longer name is refused.
const NAME_CHARS_MAX: usize = 100;

/// All readings of a study: every operator measured every part equally often.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct StudyTable {
    /// In the order in which they come.
    pub(super) parts: Vec<String>,
    pub(super) operators: Vec<String>,
    pub(super) trials: usize,
    /// Part by part, in each operator by operator, in each trial by trial.
    pub(super) values: Vec<f64>,
    /// The known size of each part, where there is one.
    pub(super) references: Vec<Option<f64>>,
    /// The day of each of the values, where the table says it.
    pub(super) days: Vec<Option<Date>>,
}

/// A row that is a reading.
struct Reading {
    line: u64,
    part: usize,
    operator: usize,
    trial: String,
    day: Option<Date>,
    value: f64,
}

/// What the rows name, in the order in which it comes.
#[derive(Default)]
struct Named {
    parts: Names,
    operators: Names,
    /// The known size of each part, where there is one.
    references: Vec<Option<f64>>,
}

/// Names, each once.
#[derive(Default)]
struct Names {
    all: Vec<String>,
    places: HashMap<String, usize>,
}

impl Names {
    /// The place of a name; a new one comes to the end.
    fn place(&mut self, name: &str, of: &str) -> Result<usize, Problem> {
        if name.is_empty() {
            let message = format!("It names no {of}.");
            return Err(Problem::bad("name_missing", message, None));
        }
        if name.chars().count() > NAME_CHARS_MAX {
            let message =
                format!("The name of the {of} is longer than {NAME_CHARS_MAX} characters.");
            return Err(Problem::bad("name_too_long", message, None));
        }
        if let Some(at) = self.places.get(name) {
            return Ok(*at);
        }
        self.all.push(name.to_owned());
        self.places.insert(name.to_owned(), self.all.len() - 1);
        Ok(self.all.len() - 1)
    }
}

/// Reads a study.
///
/// # Errors
/// Each bad row, the first twenty; or what is missing.
pub(super) fn study_table(text: &str) -> Result<StudyTable, Vec<BadLine>> {
    let text = text.strip_prefix('\u{feff}').unwrap_or(text);
    let header = text.lines().next().unwrap_or_default();
    let separator = match header {
        header if header.contains(',') => b',',
        header if header.contains(';') => b';',
        header if header.contains('\t') => b'\t',
        _ => b',',
    };
    let mut reader = csv::ReaderBuilder::new()
        .delimiter(separator)
        .has_headers(false)
        .flexible(true)
        .from_reader(text.as_bytes());
    let mut rows = reader.records();
    let columns = match rows.next() {
        Some(Ok(header)) => Columns::of(&header).map_err(|problem| vec![whole(problem)])?,
        Some(Err(error)) => return Err(vec![whole(not_a_table(&error))]),
        None => return Err(vec![whole(empty())]),
    };
    let mut named = Named::default();
    let mut readings = Vec::new();
    let mut bad = Vec::new();
    for row in rows {
        let line = row.as_ref().ok().and_then(StringRecord::position);
        let line = line.map_or(0, csv::Position::line);
        let found = row
            .map_err(|error| not_a_table(&error))
            .and_then(|row| columns.reading(&row, line, &mut named));
        match found {
            Ok(reading) => readings.push(reading),
            Err(problem) => bad.push(placed(line, problem)),
        }
        if bad.len() >= TOLD_MAX {
            return Err(bad);
        }
        if readings.len() > READINGS_MAX {
            let message = format!("There are more than {READINGS_MAX} readings.");
            return Err(vec![whole(Problem::bad("too_many", message, None))]);
        }
    }
    if bad.is_empty() && readings.is_empty() {
        bad.push(whole(empty()));
    }
    if !bad.is_empty() {
        return Err(bad);
    }
    ordered(named, readings)
}

/// Puts the readings in their places.
fn ordered(named: Named, readings: Vec<Reading>) -> Result<StudyTable, Vec<BadLine>> {
    let (parts, operators) = (named.parts.all, named.operators.all);
    let cells = parts.len().saturating_mul(operators.len());
    // There may be as many of both as there are rows: their places would fill any memory.
    if cells > READINGS_MAX {
        let message = format!(
            "There are {} parts and {} operators, and only {} readings.",
            parts.len(),
            operators.len(),
            readings.len()
        );
        let hint = Some("In a study every operator reads every part equally often.");
        return Err(vec![whole(Problem::bad("reading_missing", message, hint))]);
    }
    let mut of_cell: Vec<Vec<Reading>> = (0..cells).map(|_| Vec::new()).collect();
    let mut trials = HashSet::new();
    let mut bad = Vec::new();
    for reading in readings {
        let at = reading.part * operators.len() + reading.operator;
        let Some(cell) = of_cell.get_mut(at) else {
            continue;
        };
        let trial = (at, reading.day, reading.trial.clone());
        if !reading.trial.is_empty() && !trials.insert(trial) {
            let message = format!("Trial {} stands twice.", shown(&reading.trial));
            let hint = match reading.day {
                Some(_) => Some("Each operator reads each part once a trial on each day."),
                None => Some("Each operator reads each part once a trial."),
            };
            bad.push(placed(
                reading.line,
                Problem::bad("repeated_reading", message, hint),
            ));
        }
        cell.push(reading);
    }
    let mut table = StudyTable {
        parts,
        operators,
        trials: of_cell.iter().map(Vec::len).max().unwrap_or(0),
        values: Vec::new(),
        references: named.references,
        days: Vec::new(),
    };
    for (at, cell) in of_cell.iter().enumerate() {
        let missing = table.trials - cell.len();
        if missing > 0 {
            let (part, operator) = (at / table.operators.len(), at % table.operators.len());
            bad.push(whole(gap(&table, part, operator, missing)));
        }
    }
    bad.truncate(TOLD_MAX);
    if !bad.is_empty() {
        return Err(bad);
    }
    table.values = of_cell.iter().flatten().map(|one| one.value).collect();
    table.days = of_cell.iter().flatten().map(|one| one.day).collect();
    Ok(table)
}

fn gap(table: &StudyTable, part: usize, operator: usize, missing: usize) -> Problem {
    let name = |names: &[String], at: usize| {
        let name = names.get(at).map_or("", String::as_str);
        shown(name).into_owned()
    };
    let by = match table.operators.len() {
        1 => String::new(),
        _ => format!(" by operator {}", name(&table.operators, operator)),
    };
    let readings = if missing == 1 {
        "reading is"
    } else {
        "readings are"
    };
    let message = format!(
        "Of part {}{by} {missing} {readings} missing: others were read {} times.",
        name(&table.parts, part),
        table.trials
    );
    let hint = Some("Read it again, or leave that part or operator out everywhere.");
    Problem::bad("reading_missing", message, hint)
}

fn empty() -> Problem {
    let hint = "Give a table on standard input: a line with part,operator,trial,value and a \
                line for each reading.";
    Problem::bad("too_few", "There is no reading.".to_owned(), Some(hint))
}

fn not_a_table(error: &csv::Error) -> Problem {
    let message = format!("The table cannot be read here: {error}.");
    let hint = Some("Save it as CSV (RFC 4180), UTF-8.");
    Problem::bad("not_a_table", message, hint)
}

fn whole(problem: Problem) -> BadLine {
    BadLine {
        input: String::new(),
        problem,
    }
}

fn placed(line: u64, problem: Problem) -> BadLine {
    whole(Problem {
        message: format!("Line {line}: {}", problem.message),
        ..problem
    })
}

/// Where each column is.
struct Columns {
    places: [Option<usize>; 6],
    count: usize,
}

impl Columns {
    fn of(header: &StringRecord) -> Result<Self, Problem> {
        let mut places = [None; 6];
        for (at, name) in header.iter().enumerate() {
            let name = match name.trim() {
                date if date.eq_ignore_ascii_case(DATE) => DAY,
                name => name,
            };
            let known = COLUMNS
                .iter()
                .position(|column| name.eq_ignore_ascii_case(column));
            let Some(place) = known.and_then(|known| places.get_mut(known)) else {
                let message = format!("The first line has an unknown column {}.", shown(name));
                let hint = Some("Known are part, operator, trial, value, reference, day.");
                return Err(Problem::bad("column_unknown", message, hint));
            };
            if place.replace(at).is_some() {
                let message = format!("The first line has the column {} twice.", shown(name));
                return Err(Problem::bad("column_twice", message, None));
            }
        }
        let [part, _, _, value, _, _] = places;
        if part.is_none() || value.is_none() {
            let message = "The first line must name the columns part and value.".to_owned();
            let hint = Some("Begin with a line such as part,operator,trial,value.");
            return Err(Problem::bad("column_missing", message, hint));
        }
        Ok(Self {
            places,
            count: header.len(),
        })
    }

    fn reading(
        &self,
        row: &StringRecord,
        line: u64,
        named: &mut Named,
    ) -> Result<Reading, Problem> {
        if row.len() != self.count {
            let message = format!(
                "It has {} fields, the first line {}.",
                row.len(),
                self.count
            );
            let hint = Some("A decimal comma needs semicolons between the fields.");
            return Err(Problem::bad("wrong_field_count", message, hint));
        }
        let [part, operator, trial, value, reference, day] = self
            .places
            .map(|at| at.and_then(|at| row.get(at)).unwrap_or_default().trim());
        let value = plain_number(value)?.value;
        let reference = match reference {
            "" => None,
            text => Some(plain_number(text)?.value),
        };
        let part_at = named.parts.place(part, "part")?;
        if named.references.len() < named.parts.all.len() {
            named.references.push(reference);
        }
        let known = named.references.get(part_at).copied().flatten();
        let is_same = match (known, reference) {
            (Some(known), Some(here)) => (known - here).abs() <= 0.0,
            (None, None) => true,
            _ => false,
        };
        if !is_same {
            let message = format!("Part {} has another reference before.", shown(part));
            let hint = Some("Every reading of a part names the same known size, or none does.");
            return Err(Problem::bad("reference_differs", message, hint));
        }
        let operator = match self.places[1] {
            None => named.operators.place("-", "operator")?,
            Some(_) => named.operators.place(operator, "operator")?,
        };
        if self.places[2].is_some() && trial.is_empty() {
            let message = "It names no trial.".to_owned();
            return Err(Problem::bad("name_missing", message, None));
        }
        Ok(Reading {
            line,
            part: part_at,
            operator,
            trial: trial.to_owned(),
            day: match self.places[5] {
                Some(_) => Some(day_of(day)?),
                None => None,
            },
            value,
        })
    }
}

/// A day of the table.
fn day_of(text: &str) -> Result<Date, Problem> {
    if text.is_empty() {
        let message = "It names no day.".to_owned();
        return Err(Problem::bad("name_missing", message, None));
    }
    Date::parse(text).ok_or_else(|| {
        let message = format!("“{}” is no day of the calendar.", shown(text));
        Problem::bad("bad_date", message, Some("Write it as 2026-11-26."))
    })
}

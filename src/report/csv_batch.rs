//! The numbers of all parts together as a table for other programs: RFC 4180, one row a
//! characteristic that has sizes. It stands beside the table of readings, which has the parts.

use std::io;

use serde_json::json;

use super::csv::field;
use super::csv_columns::Kind;
use super::csv_metadata::{described, description};
use super::sheet::{Asked, Sheet};
use super::sheet_batch::{BatchBreakRow, BatchFacts, BatchIndex, BatchSheet, BatchStretch};

/// A characteristic with what was asked.
struct Row<'a> {
    sheet: &'a Sheet,
    asked: &'a Asked,
    facts: &'a BatchFacts,
}

/// A column: its name, what it holds, its datatype, what it means, and its text in a row.
struct Column {
    name: &'static str,
    kind: Kind,
    datatype: &'static str,
    meaning: &'static str,
    of: fn(&Row<'_>) -> String,
}

const fn text(name: &'static str, meaning: &'static str, of: fn(&Row<'_>) -> String) -> Column {
    Column {
        name,
        kind: Kind::Text,
        datatype: "string",
        meaning,
        of,
    }
}

const fn whole(name: &'static str, meaning: &'static str, of: fn(&Row<'_>) -> String) -> Column {
    Column {
        name,
        kind: Kind::Number,
        datatype: "integer",
        meaning,
        of,
    }
}

const fn number(name: &'static str, meaning: &'static str, of: fn(&Row<'_>) -> String) -> Column {
    Column {
        name,
        kind: Kind::Number,
        datatype: "decimal",
        meaning,
        of,
    }
}

const fn yes_or_no(
    name: &'static str,
    meaning: &'static str,
    of: fn(&Row<'_>) -> String,
) -> Column {
    Column {
        name,
        kind: Kind::Text,
        datatype: "boolean",
        meaning,
        of,
    }
}

static COLUMNS: [Column; 68] = [
    whole(
        "characteristic",
        "Number of the characteristic on the outline and in the table of readings.",
        |row| row.asked.number.to_string(),
    ),
    text("feature", "Id of the feature in the plan.", |row| {
        row.asked.feature.clone()
    }),
    text("element", "Element of the feature.", |row| {
        row.asked.element.clone()
    }),
    text("characteristic_name", "Name of the feature.", |row| {
        row.asked.name.clone()
    }),
    text("callout", "The callout as it is written.", |row| {
        row.asked.callout.clone()
    }),
    text(
        "unit",
        "Unit of all numbers of the row: mm, or ° for degrees.",
        |row| row.facts.unit.clone(),
    ),
    number("lower_limit", "Lower limit of size.", |row| {
        row.facts.lower.clone()
    }),
    number("upper_limit", "Upper limit of size.", |row| {
        row.facts.upper.clone()
    }),
    whole("parts", "Parts begun in the record.", |row| {
        of_batch(row, |batch| batch.parts.to_string())
    }),
    whole("parts_go", "Parts that are GO.", |row| {
        row.facts.stands.go.to_string()
    }),
    whole("parts_no_go", "Parts that are NO-GO.", |row| {
        row.facts.stands.no_go.to_string()
    }),
    whole(
        "parts_doubt",
        "Parts that are DOUBT, or in doubt since.",
        |row| row.facts.stands.doubt.to_string(),
    ),
    whole(
        "parts_noted",
        "Parts of which a value was only recorded.",
        |row| row.facts.stands.noted.to_string(),
    ),
    whole("parts_open", "Parts that are not all measured.", |row| {
        row.facts.stands.open.to_string()
    }),
    whole(
        "parts_not_selected",
        "Parts that the sampling plan left out: nothing is said of them.",
        |row| row.facts.stands.not_selected.to_string(),
    ),
    whole(
        "parts_left_out",
        "Parts whose value is in doubt and counts for nothing in the row.",
        |row| row.facts.in_doubt.to_string(),
    ),
    whole(
        "values",
        "Values that count: every point of every part.",
        |row| row.facts.values.to_string(),
    ),
    number("mean", "Mean of the values.", |row| row.facts.mean.clone()),
    number("sd", "Standard deviation of the values.", |row| {
        row.facts.sd.clone()
    }),
    number("smallest", "Smallest value.", |row| {
        row.facts.smallest.clone()
    }),
    number("largest", "Largest value.", |row| row.facts.largest.clone()),
    number("range", "Largest less smallest.", |row| {
        row.facts.range.clone()
    }),
    text(
        "confidence",
        "Confidence of the intervals of indices, such as 0.95.",
        |row| {
            let first = row.facts.indices.first();
            first.map_or_else(String::new, |index| index.confidence.clone())
        },
    ),
    number("cp", "Cp; empty under 30 values.", |row| {
        index(row, "Cp", |one| &one.estimate)
    }),
    number("cp_lower", "Lower end of the interval of Cp.", |row| {
        index(row, "Cp", |one| &one.lower)
    }),
    number("cp_upper", "Upper end of the interval of Cp.", |row| {
        index(row, "Cp", |one| &one.upper)
    }),
    number("cpk", "Cpk; empty under 30 values.", |row| {
        index(row, "Cpk", |one| &one.estimate)
    }),
    number("cpk_lower", "Lower end of the interval of Cpk.", |row| {
        index(row, "Cpk", |one| &one.lower)
    }),
    number("cpk_upper", "Upper end of the interval of Cpk.", |row| {
        index(row, "Cpk", |one| &one.upper)
    }),
    number("pp", "Pp; empty under 30 values.", |row| {
        index(row, "Pp", |one| &one.estimate)
    }),
    number("pp_lower", "Lower end of the interval of Pp.", |row| {
        index(row, "Pp", |one| &one.lower)
    }),
    number("pp_upper", "Upper end of the interval of Pp.", |row| {
        index(row, "Pp", |one| &one.upper)
    }),
    number("ppk", "Ppk; empty under 30 values.", |row| {
        index(row, "Ppk", |one| &one.estimate)
    }),
    number("ppk_lower", "Lower end of the interval of Ppk.", |row| {
        index(row, "Ppk", |one| &one.lower)
    }),
    number("ppk_upper", "Upper end of the interval of Ppk.", |row| {
        index(row, "Ppk", |one| &one.upper)
    }),
    text(
        "ppk_way",
        "How Ppk was found: overall (values taken as normal), or the distribution that ends at \
         zero.",
        |row| index(row, "Ppk", |one| &one.way),
    ),
    number(
        "interval_lower",
        "Lower end of the interval that holds that share of all parts.",
        |row| of(&row.facts.interval, |one| &one.lower),
    ),
    number("interval_upper", "Its upper end.", |row| {
        of(&row.facts.interval, |one| &one.upper)
    }),
    number("interval_share", "That share.", |row| {
        of(&row.facts.interval, |one| &one.share)
    }),
    number(
        "step_over_sd",
        "Step of the gauge over the standard deviation.",
        |row| of(&row.facts.normality, |one| &one.step_over_sd),
    ),
    yes_or_no(
        "step_too_coarse",
        "Whether the step is too coarse to ask for normal values.",
        |row| flag(row.facts.normality.as_ref().map(|one| one.is_too_coarse)),
    ),
    number(
        "anderson_darling_a2",
        "A squared of Anderson and Darling.",
        |row| of(&row.facts.normality, |one| &one.a2),
    ),
    number("anderson_darling_p", "Its probability.", |row| {
        of(&row.facts.normality, |one| &one.a2_p)
    }),
    number("shapiro_wilk_w", "W of Shapiro and Wilk.", |row| {
        of(&row.facts.normality, |one| &one.w)
    }),
    number("shapiro_wilk_p", "Its probability.", |row| {
        of(&row.facts.normality, |one| &one.w_p)
    }),
    whole(
        "stretch_from_part",
        "First part of the stretch in force: since the last tool change or offset.",
        |row| of_last(row, |one| one.from_part.to_string()),
    ),
    text("stretch_began", "What that stretch began with.", |row| {
        of_last(row, began)
    }),
    number(
        "lower_control",
        "Lower control limit of that stretch.",
        |row| of_last(row, |one| one.lower_control.clone()),
    ),
    number("centre", "Its centre line.", |row| {
        of_last(row, |one| one.centre.clone())
    }),
    number("upper_control", "Its upper control limit.", |row| {
        of_last(row, |one| one.upper_control.clone())
    }),
    yes_or_no(
        "control_is_provisional",
        "Whether its limits rest on few parts.",
        |row| of_last(row, |one| one.is_provisional.to_string()),
    ),
    text(
        "signals",
        "Parts that signal, each with the numbers of its tests (ISO 8258): 7: 1 5; 9: 1.",
        signals,
    ),
    number(
        "slope",
        "Slope of the stretch in force, from part to part.",
        |row| of(&row.facts.trend, |one| &one.slope),
    ),
    number("slope_lower", "Lower end of its interval.", |row| {
        of(&row.facts.trend, |one| &one.lower)
    }),
    number("slope_upper", "Upper end of its interval.", |row| {
        of(&row.facts.trend, |one| &one.upper)
    }),
    number(
        "ahead_limit",
        "Limit, less its guard band, that a drift leads to; empty: none beyond chance.",
        |row| of(&row.facts.ahead, |one| &one.limit),
    ),
    whole("ahead_part", "Part at which the drift reaches it.", |row| {
        ahead(row, |one| one.part)
    }),
    whole("ahead_earliest", "First part of the interval.", |row| {
        ahead(row, |one| one.earliest)
    }),
    whole(
        "ahead_latest",
        "Last part of the interval; empty: too far ahead to be told.",
        |row| ahead(row, |one| one.latest),
    ),
    whole(
        "ahead_single",
        "From this part on a single one may lie beyond the limit.",
        |row| ahead(row, |one| one.single),
    ),
    number(
        "share_of_measuring",
        "Share of the variance from part to part that measuring makes.",
        |row| of(&row.facts.share, |one| &one.share),
    ),
    number(
        "offset",
        "Offset to give on the dimension (of a diameter: on the diameter); empty: none.",
        |row| row.facts.offset.clone(),
    ),
    text("offset_told", "The same as the dial reads.", |row| {
        row.facts.offset_told.clone()
    }),
    whole(
        "measure_every",
        "Measure every so many parts.",
        |row| match row.facts.measure_every {
            0 => String::new(),
            every => every.to_string(),
        },
    ),
    text("remarks", "What the values are and are not.", |row| {
        let batch = of_batch(row, |batch| batch.remarks.join(" "));
        let own = row.facts.remarks.join(" ");
        format!("{batch} {own}").trim().to_owned()
    }),
    text("missing", "Why numbers are missing or weak.", |row| {
        row.facts.missing.join(" ")
    }),
    text("advice", "What to do next.", |row| {
        row.facts.advice.join(" ")
    }),
    text(
        "record_head",
        "Hash of the record's last line, in hexadecimal digits.",
        |row| row.sheet.record.head.clone(),
    ),
];

/// The table's bytes, as those of [`csv`](super::csv()); none of a report without a batch.
///
/// # Errors
/// None that is known: it is written to memory.
pub fn csv_batch(sheet: &Sheet) -> io::Result<Option<Vec<u8>>> {
    let Some(batch) = &sheet.batch else {
        return Ok(None);
    };
    let mut table = csv::WriterBuilder::new()
        .terminator(csv::Terminator::CRLF)
        .from_writer(Vec::new());
    table.write_record(COLUMNS.iter().map(|column| column.name))?;
    for facts in &batch.characteristics {
        let Some(asked) = sheet.asked_under(facts.number) else {
            continue;
        };
        let row = Row {
            sheet,
            asked,
            facts,
        };
        let fields = COLUMNS
            .iter()
            .map(|column| field(column.kind, &(column.of)(&row)));
        table.write_record(fields)?;
    }
    let bytes = table.into_inner();
    let bytes = bytes.map_err(|error| io::Error::other(error.to_string()))?;
    Ok(Some(bytes))
}

/// The description of that table in the file `table` (its name alone, without folders).
pub fn csv_batch_metadata(table: &str) -> Vec<u8> {
    let columns = COLUMNS.iter().map(|column| {
        let is_key = column.name == "characteristic";
        described((column.name, column.meaning), (column.datatype, ""), is_key)
    });
    let about = "One row a characteristic that has sizes: its numbers over all parts of the \
                 record. Numbers are in the row's own unit. A text that a spreadsheet would take \
                 for a formula has a single quote before it.";
    description(
        (table, "All parts of an inspection record together", about),
        json!(columns.collect::<Vec<_>>()),
        "characteristic",
    )
}

fn of_batch(row: &Row<'_>, of: impl Fn(&BatchSheet) -> String) -> String {
    row.sheet.batch.as_ref().map_or_else(String::new, of)
}

fn of<T>(facts: &Option<T>, of: fn(&T) -> &String) -> String {
    facts
        .as_ref()
        .map_or_else(String::new, |one| of(one).clone())
}

fn of_last(row: &Row<'_>, of: impl Fn(&BatchStretch) -> String) -> String {
    row.facts.stretches.last().map_or_else(String::new, of)
}

fn index(row: &Row<'_>, name: &str, of: fn(&BatchIndex) -> &String) -> String {
    let mut all = row.facts.indices.iter();
    let found = all.find(|one| one.name == name);
    found.map_or_else(String::new, |one| of(one).clone())
}

fn ahead(row: &Row<'_>, of: fn(&super::sheet_batch::BatchAhead) -> u32) -> String {
    let part = row.facts.ahead.as_ref().map_or(0, of);
    match part {
        0 => String::new(),
        part => part.to_string(),
    }
}

fn flag(flag: Option<bool>) -> String {
    flag.map_or_else(String::new, |flag| flag.to_string())
}

fn began(stretch: &BatchStretch) -> String {
    let one = |one: &BatchBreakRow| {
        let texts = [&one.kind, &one.amount, &one.note];
        let texts = texts.into_iter().filter(|text| !text.is_empty());
        texts.map(String::as_str).collect::<Vec<&str>>().join(" ")
    };
    let all: Vec<String> = stretch.breaks.iter().map(one).collect();
    all.join("; ")
}

/// By part, as the table of parts has them.
fn signals(row: &Row<'_>) -> String {
    let mut by_part: Vec<(u32, String)> = Vec::new();
    for signal in &row.facts.signals {
        for part in &signal.parts {
            let test = signal.test.to_string();
            match by_part.iter_mut().find(|(known, _)| known == part) {
                Some((_, tests)) => *tests += &format!(" {test}"),
                None => by_part.push((*part, test)),
            }
        }
    }
    by_part.sort_by_key(|(part, _)| *part);
    let told = by_part
        .iter()
        .map(|(part, tests)| format!("{part}: {tests}"));
    told.collect::<Vec<String>>().join("; ")
}

//! What stands in the rows of tables, as text, on paper and on screen: nothing here knows where.

use super::gather_text::bench_time;
use super::options::ReportOptions;
use super::safe::shown;
use super::sheet::{Asked, PointRow, ResultRow, Sheet};
use super::words::Words;

/// The sheet with all times as the clock at the bench showed them.
pub(super) fn at_the_bench(sheet: &Sheet) -> Sheet {
    let mut sheet = sheet.clone();
    let offset = sheet.record.offset.clone();
    let turn = |time: &mut String| *time = bench_time(time, &offset);
    let record = &mut sheet.record;
    turn(&mut record.opened);
    turn(&mut record.last);
    let parts = &mut sheet.parts;
    for part in parts.iter_mut() {
        turn(&mut part.from);
        turn(&mut part.to);
        part.results.iter_mut().for_each(|row| turn(&mut row.time));
        part.decisions
            .iter_mut()
            .for_each(|row| turn(&mut row.time));
    }
    let signatures = parts.iter_mut().flat_map(|part| &mut part.signatures);
    let signatures = signatures.chain(&mut record.signatures);
    signatures.for_each(|row| turn(&mut row.time));
    let readings = parts.iter_mut().flat_map(|part| &mut part.readings);
    let readings = readings.chain(&mut record.other_readings);
    readings.for_each(|row| turn(&mut row.time));
    sheet
        .happenings
        .iter_mut()
        .for_each(|row| turn(&mut row.time));
    sheet
}

/// A value with the wanted mark, its sign kept; empty stays empty.
pub(super) fn value(options: &ReportOptions, text: &str) -> String {
    match text.strip_prefix('+') {
        Some(number) => format!("+{}", options.number(number)),
        None => shown(&options.number(text)).into_owned(),
    }
}

/// `name: text`, or nothing for an empty text.
pub(super) fn named(name: &str, text: &str) -> String {
    if text.is_empty() {
        String::new()
    } else {
        format!("{name}: {text}")
    }
}

/// What is not empty, one after the other.
pub(super) fn listed(texts: impl IntoIterator<Item = String>) -> String {
    let texts = texts.into_iter().filter(|text| !text.is_empty());
    texts.collect::<Vec<_>>().join("; ")
}

/// What a characteristic is called: its name, or its feature, with element and surface.
pub(super) fn called(words: &Words, asked: &Asked) -> String {
    let name = if asked.name.is_empty() {
        &asked.feature
    } else {
        &asked.name
    };
    let id = if asked.name.is_empty() || asked.name == asked.feature {
        ""
    } else {
        &asked.feature
    };
    let texts = [
        name,
        id,
        words.element(&asked.element),
        words.surface(&asked.surface),
    ];
    let texts = texts.into_iter().filter(|text| !text.is_empty());
    texts
        .map(|text| shown(text).into_owned())
        .collect::<Vec<_>>()
        .join(", ")
}

/// What most measured rows of a table have in common: said once, and in the rows only where it is
/// something else.
pub(super) struct Common<'p> {
    operator: Option<&'p str>,
    origin: Option<&'p str>,
    rule: Option<&'p str>,
    part_temperature: Option<&'p str>,
    gauge_temperature: Option<&'p str>,
    set_on: Option<&'p str>,
}

impl<'p> Common<'p> {
    /// Of the measured ones of these rows.
    pub(super) fn of(rows: &[(&Asked, &'p ResultRow)]) -> Self {
        let measured = || {
            let rows = rows.iter().map(|(_, row)| *row);
            rows.filter(|row| !row.actual.is_empty())
        };
        let most = |get: fn(&ResultRow) -> &str| {
            let mut counts: Vec<(usize, &'p str)> = Vec::new();
            for text in measured().map(get) {
                match counts.iter_mut().find(|(_, known)| *known == text) {
                    Some((count, _)) => *count += 1,
                    None => counts.push((1, text)),
                }
            }
            // Of equally many the first.
            let most = counts.iter().map(|(count, _)| *count).max()?;
            let found = counts.iter().find(|(count, _)| *count == most);
            found.map(|(_, text)| *text)
        };
        Self {
            operator: most(|row| &row.operator),
            origin: most(|row| &row.origin),
            rule: most(|row| &row.rule),
            part_temperature: most(|row| &row.part_temperature),
            gauge_temperature: most(|row| &row.gauge_temperature),
            set_on: most(|row| &row.set_on),
        }
    }

    /// As a sentence; empty where nothing is measured.
    pub(super) fn told(&self, options: &ReportOptions) -> String {
        let words = options.words;
        let told = |name: &str, text: Option<String>| match text {
            Some(text) => format!("{name}: {text}"),
            None => String::new(),
        };
        let plain = |text: &str| shown(words.or_not_recorded(text)).into_owned();
        let number = |text: &str| value(options, words.or_not_recorded(text));
        listed([
            told(words.measured_by, self.operator.map(plain)),
            told(
                words.origin,
                self.origin.map(|word| plain(words.origin_of(word))),
            ),
            told(words.part_temperature, self.part_temperature.map(number)),
            told(words.gauge_temperature, self.gauge_temperature.map(number)),
            told(words.rule, self.rule.map(|rule| rule_told(words, rule))),
            told(words.set_on, self.set_on.map(plain)),
        ])
    }
}

fn rule_told(words: &Words, rule: &str) -> String {
    shown(words.or_not_recorded(&words.rule_in_words(rule))).into_owned()
}

/// The line below a result: how the value came about, less what is told for all.
pub(super) fn detail(
    options: &ReportOptions,
    asked: &Asked,
    row: &ResultRow,
    common: &Common<'_>,
) -> String {
    let words = options.words;
    if row.actual.is_empty() && row.points.is_empty() && row.notes.is_empty() {
        return String::new();
    }
    let unless = |told: bool, name: &str, text: String| {
        if told {
            String::new()
        } else {
            named(name, &text)
        }
    };
    let plain = |text: &str| shown(words.or_not_recorded(text)).into_owned();
    let number = |text: &str| value(options, words.or_not_recorded(text));
    let is_measured = !row.actual.is_empty();
    let mut texts = vec![points(options, asked, &row.points)];
    if is_measured {
        texts.extend([
            named(words.line, &line_and_time(words, row)),
            unless(
                common.operator == Some(row.operator.as_str()),
                words.by,
                plain(&row.operator),
            ),
            unless(
                common.origin == Some(row.origin.as_str()) || is_marked(&row.origin),
                words.origin,
                plain(words.origin_of(&row.origin)),
            ),
            unless(
                common.part_temperature == Some(row.part_temperature.as_str()),
                words.part_temperature,
                number(&row.part_temperature),
            ),
            unless(
                common.gauge_temperature == Some(row.gauge_temperature.as_str()),
                words.gauge_temperature,
                number(&row.gauge_temperature),
            ),
            unless(
                common.rule == Some(row.rule.as_str()),
                words.rule,
                rule_told(words, &row.rule),
            ),
            unless(
                common.set_on == Some(row.set_on.as_str()),
                words.set_on,
                plain(&row.set_on),
            ),
            named(
                words.conformance,
                &conformance(options, row.conformance_ppm),
            ),
        ]);
    }
    let notes = row
        .notes
        .iter()
        .map(|note| shown(&words.note(note)).into_owned());
    texts.push(named(words.notes, &notes.collect::<Vec<_>>().join(", ")));
    listed(texts)
}

/// Origins that stand at the value itself, also where all rows have the same.
pub(super) fn is_marked(origin: &str) -> bool {
    matches!(origin, "simulated" | "imported")
}

/// `21, 2026-11-24 07:21:11 Z (of lines 19, 20, 21)`.
fn line_and_time(words: &Words, row: &ResultRow) -> String {
    let line = match row.time.as_str() {
        "" => row.reading.to_string(),
        time => format!("{}, {}", row.reading, shown(time)),
    };
    if row.from.len() < 2 {
        return line;
    }
    let from: Vec<String> = row.from.iter().map(u64::to_string).collect();
    format!("{line} ({} {})", words.taken_from, from.join(", "))
}

/// `99.87 %`, from parts per million; empty where there is none.
pub(super) fn conformance(options: &ReportOptions, ppm: Option<u32>) -> String {
    let Some(ppm) = ppm else {
        return String::new();
    };
    let text = format!("{}.{:04}", ppm / 10_000, ppm % 10_000);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    format!("{} %", options.number(text))
}

/// The values of all points, where there is more than one or it has a place.
fn points(options: &ReportOptions, asked: &Asked, points: &[PointRow]) -> String {
    let words = options.words;
    if points.len() < 2 && points.iter().all(|point| point.place.is_empty()) {
        return String::new();
    }
    let texts = points.iter().map(|point| {
        let value = match (point.value.as_str(), asked.unit.as_str()) {
            ("", _) => words.not_measured.to_owned(),
            (outcome, "check") => shown(words.outcome(outcome)).into_owned(),
            (number, _) => value(options, number),
        };
        let line = match point.reading {
            0 => String::new(),
            line => format!(" {} {line}", words.line),
        };
        let outcome = match point.outcome.as_str() {
            "" => String::new(),
            outcome => format!(", {}", shown(outcome)),
        };
        let place = match point.place.as_str() {
            "" => String::new(),
            place => format!(" {}", shown(place)),
        };
        let in_brackets = format!("{line}{outcome}");
        let in_brackets = in_brackets.trim_start_matches([' ', ',']);
        let in_brackets = match in_brackets {
            "" => String::new(),
            text => format!(" ({text})"),
        };
        format!("{}{place} {value}{in_brackets}", point.point)
    });
    format!("{}: {}", words.points, texts.collect::<Vec<_>>().join(", "))
}

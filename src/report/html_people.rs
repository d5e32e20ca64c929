//! What people did about a part, in the HTML form: corrections, readings, decisions, signatures.
//! Old and new stand beside each other; what holds no longer is struck out and says so.

use super::html::Page;
use super::html_head::origin;
use super::html_markup::Markup;
use super::html_part::line;
use super::sheet::{DecisionRow, PartSheet, ReadingRow, SignatureRow};

const VOIDED: &str = "voided";

/// What was voided or set aside, and what counts in its place.
pub(super) fn corrections(page: &Page<'_>, m: &mut Markup, part: &PartSheet) {
    let w = page.words;
    let replacements: Vec<u64> = part.readings.iter().map(|row| row.replaced_by).collect();
    let is_told = |row: &&ReadingRow| {
        matches!(row.end.as_str(), VOIDED | "set_aside" | "held")
            || row.replaced_by != 0
            || (row.line != 0 && replacements.contains(&row.line))
    };
    let told: Vec<&ReadingRow> = part.readings.iter().filter(is_told).collect();
    if told.is_empty() {
        m.element("h3", w.heading_corrections);
        m.element("p class=\"small\"", w.no_corrections);
    } else {
        reading_table(page, m, w.heading_corrections, &told);
    }
    let count = format!("{}: {}", w.readings_shown, part.readings.len());
    m.element("p class=\"small\"", &count);
}

/// Every reading.
pub(super) fn readings(page: &Page<'_>, m: &mut Markup, part: &PartSheet) {
    let all: Vec<&ReadingRow> = part.readings.iter().collect();
    if !all.is_empty() {
        reading_table(page, m, page.words.heading_readings, &all);
    }
}

fn reading_table(page: &Page<'_>, m: &mut Markup, caption: &str, rows: &[&ReadingRow]) {
    let w = page.words;
    let value_at_20 = w.actual;
    let value = format!("{} / {}", w.value, w.zero_offset);
    let temperatures = format!("{} / {}", w.part_temperature, w.gauge_temperature);
    let heads = [
        (w.line, "w12"),
        (w.number, "w7"),
        (&value, "w12"),
        (w.raw, "w10"),
        (value_at_20, "w10"),
        (w.gauge, "w12"),
        (w.by, "w10"),
        (&temperatures, "w10"),
        (w.state, "w17"),
    ];
    m.table("h3", caption, &heads, |m| {
        for row in rows {
            m.within("tr", |m| reading(page, m, row));
        }
    });
}

fn reading(page: &Page<'_>, m: &mut Markup, row: &ReadingRow) {
    let w = page.words;
    m.within("th scope=\"row\"", |m| {
        m.text(&line(row.line));
        m.element("small", &page.time(&row.time));
    });
    m.within("td", |m| {
        m.text(&match row.number {
            0 => page.words.not_assigned.to_owned(),
            number => number.to_string(),
        });
        if row.point > 0 {
            let point = format!("{} {}", w.point.to_lowercase(), row.point);
            m.element("small", &point);
        }
        if !row.stage.is_empty() {
            m.element(
                "small",
                &format!("{} {}", w.stage.to_lowercase(), row.stage),
            );
        }
    });
    m.within("td", |m| {
        struck(m, row, &shown_value(page, row));
        if !row.zero_offset.is_empty() {
            let offset = page.number(&row.zero_offset);
            m.element(
                "small",
                &format!("{} {offset}", w.zero_offset.to_lowercase()),
            );
        }
    });
    m.element("td class=\"record\"", &row.raw);
    m.within("td", |m| {
        struck(m, row, &value_text(page, row, &row.value_at_20))
    });
    m.within("td", |m| {
        m.text(w.or_not_recorded(&row.gauge));
        m.raw("<br />");
        origin(page, m, &row.origin);
    });
    m.element("td", w.or_not_recorded(&row.operator));
    m.within("td", |m| {
        m.text(&page.number_or_not_recorded(&row.part_temperature));
        m.text(" / ");
        m.text(&page.number_or_not_recorded(&row.gauge_temperature));
    });
    m.within("td", |m| ended(page, m, row));
}

/// What became of a reading, who did it and why.
fn ended(page: &Page<'_>, m: &mut Markup, row: &ReadingRow) {
    let w = page.words;
    match row.end.as_str() {
        VOIDED => m.element("b", w.end_of(VOIDED)),
        end => m.text(w.end_of(end)),
    }
    if row.counts {
        m.element("small", page.words.counts);
    }
    for verdict in &row.verdicts_before {
        m.within("small", |m| {
            m.text(page.words.before);
            m.raw(": ");
            m.element("s", verdict);
        });
    }
    m.unless_empty("small", &row.verdict);
    m.unless_empty("small", &row.taken);
    m.unless_empty("small", &row.held);
    if row.doubted_by != 0 {
        m.element(
            "small",
            &format!("{} {}", page.words.doubted_by, row.doubted_by),
        );
    }
    m.unless_empty("small", &row.doubt);
    if !row.reason.is_empty() {
        m.element("small", &format!("{}: {}", w.reason, row.reason));
    }
    if !row.by.is_empty() {
        m.element("small", &format!("{}: {}", w.by, row.by));
    }
    if row.replaced_by != 0 {
        let text = format!(
            "{}: {} {}",
            w.replaced_by,
            w.line.to_lowercase(),
            row.replaced_by
        );
        m.element("small", &text);
    }
}

fn shown_value(page: &Page<'_>, row: &ReadingRow) -> String {
    let value = value_text(page, row, &row.value);
    match row.unit.as_str() {
        "mm" | "in" if !value.is_empty() => format!("{value} {}", row.unit),
        _ => value,
    }
}

fn value_text(page: &Page<'_>, row: &ReadingRow, value: &str) -> String {
    match row.unit.as_str() {
        "check" => page.words.outcome(value).to_owned(),
        _ => page.number(value),
    }
}

/// A voided value stays to be read, struck out.
fn struck(m: &mut Markup, row: &ReadingRow, value: &str) {
    match row.end.as_str() {
        VOIDED => m.element("s", value),
        _ => m.text(value),
    }
}

/// What was decided, by whom, why.
pub(super) fn decisions(page: &Page<'_>, m: &mut Markup, part: &PartSheet) {
    let w = page.words;
    if part.decisions.is_empty() {
        m.element("h3", w.heading_decisions);
        m.element("p class=\"small\"", page.words.no_decisions);
        return;
    }
    let heads = [
        (w.line, "w14"),
        (page.words.what, "w14"),
        (page.words.about, "w14"),
        (w.reason, "w26"),
        (w.by, "w16"),
        (w.agreed_with, "w16"),
    ];
    m.table("h3", w.heading_decisions, &heads, |m| {
        for row in &part.decisions {
            m.within("tr", |m| decision(page, m, row));
        }
    });
}

fn decision(page: &Page<'_>, m: &mut Markup, row: &DecisionRow) {
    let w = page.words;
    m.within("th scope=\"row\"", |m| {
        m.text(&line(row.line));
        m.element("small", &page.time(&row.time));
    });
    m.within("td", |m| {
        let what = w.decision(&row.what);
        match row.withdrawn_by {
            0 => m.element("b", what),
            by => {
                m.element("s", what);
                m.element("small", &format!("{} {by}", w.withdrawn_by));
            }
        }
    });
    m.within("td", |m| {
        let about = match row.about.as_str() {
            "" => page.words.whole_part,
            about => about,
        };
        m.text(about);
        if row.number != 0 {
            m.element("small", &format!("{} {}", w.number, row.number));
        }
    });
    for text in [&row.reason, &row.by, &row.agreed_with] {
        m.element("td", w.or_not_recorded(text));
    }
}

/// Readings that were given to no part.
pub(super) fn other_readings(page: &Page<'_>, m: &mut Markup) {
    let others = &page.sheet.record.other_readings;
    if page.options.with_readings && !others.is_empty() {
        let all: Vec<&ReadingRow> = others.iter().collect();
        reading_table(page, m, page.words.heading_other_readings, &all);
    }
}

/// Who signed, what for, and up to which line of the record.
pub(super) fn signatures(page: &Page<'_>, m: &mut Markup, rows: &[SignatureRow]) {
    let w = page.words;
    if rows.is_empty() {
        m.element("h3", w.heading_signatures);
        m.element("p class=\"small\"", page.words.no_signatures);
        return;
    }
    let heads = [
        (w.line, "w12"),
        (w.signed, "w16"),
        (w.by, "w12"),
        (w.reason, "w14"),
        (w.covers, "w9 n"),
        (page.words.hash_of_line, "w23"),
        (w.left, "w14"),
    ];
    m.table("h3", w.heading_signatures, &heads, |m| {
        for row in rows {
            m.within("tr", |m| signature(page, m, row));
        }
    });
}

fn signature(page: &Page<'_>, m: &mut Markup, row: &SignatureRow) {
    let w = page.words;
    m.within("th scope=\"row\"", |m| {
        m.text(&line(row.line));
        m.element("small", &page.time(&row.time));
    });
    m.within("td", |m| {
        let meaning = w.meaning(&row.meaning);
        match row.has_lapsed {
            false => m.element("b", meaning),
            true => {
                m.element("s", meaning);
                let mut lapsed = w.signature_lapsed.to_owned();
                if row.lapsed_by != 0 {
                    lapsed += &format!(" ({} {})", w.line.to_lowercase(), row.lapsed_by);
                }
                m.within("small", |m| m.element("b", &lapsed));
            }
        }
        m.unless_empty("small", w.manner(&row.manner));
    });
    m.element("td", w.or_not_recorded(&row.by));
    m.element("td", &row.reason);
    m.element("td class=\"n\"", &line(row.covers));
    m.element("td class=\"record\"", &row.hash);
    m.element("td", &row.left.join(", "));
}

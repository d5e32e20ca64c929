//! One part in the HTML form: its standing, results, points, checks, and how each was measured.

use super::bar_svg::bar_svg;
use super::html::Page;
use super::html_head::{fact, meaning, origin, standing, verdict};
use super::html_markup::Markup;
use super::html_people::{corrections, decisions, readings, signatures};
use super::safe;
use super::sheet::{Asked, PartSheet, PointRow, ResultRow};

/// The unit of an attribute check.
const CHECK: &str = "check";

/// A result with what was asked.
type Answered<'a> = (&'a Asked, &'a ResultRow);

/// Everything about a part.
pub(super) fn part(page: &Page<'_>, part: &PartSheet, m: &mut Markup) {
    let w = page.words;
    m.within("section class=\"part\"", |m| {
        let mut name = format!("{} {}", w.part, part.number);
        if !part.serial.is_empty() {
            name += &format!(" · {} {}", w.serial, part.serial);
        }
        m.element("h2", &name);
        m.within("p", |m| {
            standing(page, m, part);
            m.raw(" ");
            meaning(page, m, part);
        });
        m.within("dl", |m| {
            fact(page, m, w.serial, &part.serial);
            fact(page, m, w.measured_from, &page.time(&part.from));
            fact(page, m, w.measured_to, &page.time(&part.to));
        });
        if !part.job_notes.is_empty() {
            m.within("ul", |m| {
                for note in &part.job_notes {
                    m.element("li", note);
                }
            });
        }
        for doubt in &part.doubts {
            m.element("p class=\"banner\"", doubt);
        }
        let answered = answered(page, part);
        let is_check = |one: &&Answered<'_>| one.0.unit == CHECK;
        let sizes: Vec<Answered<'_>> = answered
            .iter()
            .filter(|one| !is_check(one))
            .copied()
            .collect();
        let checks: Vec<Answered<'_>> = answered.iter().filter(is_check).copied().collect();
        results(page, m, &sizes);
        let is_keyed = page.sheet.parts.iter().find(|one| has_sizes(page, one));
        if is_keyed.is_some_and(|first| std::ptr::eq(first, part)) {
            m.element("p class=\"small\"", w.bar_key);
        }
        points(page, m, &answered);
        checks_table(page, m, &checks);
        circumstances(page, m, &answered);
        corrections(page, m, part);
        if page.options.with_readings {
            readings(page, m, part);
        }
        decisions(page, m, part);
        signatures(page, m, &part.signatures);
    });
}

/// Each result beside what was asked, by its number.
fn answered<'a>(page: &Page<'a>, part: &'a PartSheet) -> Vec<Answered<'a>> {
    let asked = page.sheet.asked.iter();
    let beside = asked.flat_map(|asked| {
        let own = part.results.iter().filter(|row| row.number == asked.number);
        own.map(move |row| (asked, row))
    });
    beside.collect()
}

fn number_cell(m: &mut Markup, number: usize) {
    m.element("th scope=\"row\" class=\"no\"", &number.to_string());
}

/// Callout, name and feature of what was asked.
fn asked_cell(page: &Page<'_>, m: &mut Markup, asked: &Asked) {
    m.within("td", |m| {
        m.element("b", &asked.callout);
        let element = page.words.element(&asked.element);
        let names = [asked.name.as_str(), element];
        let names: Vec<&str> = names.into_iter().filter(|name| !name.is_empty()).collect();
        let mut name = format!("{} {}", asked.feature, names.join(", "));
        name.truncate(name.trim_end().len());
        m.element("small", &name);
        if asked.is_general {
            m.element("small", page.words.general);
        }
        if asked.is_earlier_stage {
            m.element("small", page.words.earlier_limits);
        }
        if asked.is_suited {
            m.element("small", page.words.told.suited_limits);
        }
        if asked.every > 1 {
            m.element("small", &format!("{} {}", page.words.every, asked.every));
        }
    });
}

/// Whether a part has a table of results: the key to the bars stands below the first one.
fn has_sizes(page: &Page<'_>, part: &PartSheet) -> bool {
    let all = answered(page, part);
    all.iter().any(|(asked, _)| asked.unit != CHECK)
}

fn results(page: &Page<'_>, m: &mut Markup, rows: &[Answered<'_>]) {
    if rows.is_empty() {
        return;
    }
    let w = page.words;
    let heads = [
        (w.number, "w4"),
        (w.characteristic, "w16"),
        (w.limits, "w11 n"),
        (w.actual, "w11 n"),
        (w.deviation, "w17 c"),
        (w.u, "w11"),
        (w.gauge, "w10"),
        (w.verdict, "w20"),
    ];
    m.table("h3", w.heading_results, &heads, |m| {
        for (asked, row) in rows {
            m.within("tr", |m| {
                number_cell(m, asked.number);
                asked_cell(page, m, asked);
                limits_cell(page, m, asked);
                m.within("td class=\"n\"", |m| actual(page, m, row));
                m.within("td class=\"c\"", |m| bar(page, m, row));
                m.within("td", |m| uncertainty(page, m, row));
                m.within("td", |m| gauge(page, m, row));
                m.within("td", |m| judged(page, m, row));
            });
        }
    });
    if page.sheet.rule.some_general {
        m.element("p class=\"small\"", w.general_tolerance);
    }
}

/// Upper over lower, as on a drawing; a side without a limit says so.
fn limits_cell(page: &Page<'_>, m: &mut Markup, asked: &Asked) {
    m.within("td class=\"n\"", |m| {
        let sides = [
            (&asked.upper, page.words.no_upper),
            (&asked.lower, page.words.no_lower),
        ];
        for (at, (limit, none)) in sides.into_iter().enumerate() {
            m.raw(if at == 0 { "" } else { "<br />" });
            match limit.as_str() {
                "" => m.element("span class=\"small\"", none),
                limit => m.text(&page.number(limit)),
            }
        }
        if !asked.nominal.is_empty() {
            let nominal = page.number(&asked.nominal);
            m.element(
                "small",
                &format!("{} {nominal}", page.words.nominal.to_lowercase()),
            );
        }
    });
}

fn actual(page: &Page<'_>, m: &mut Markup, row: &ResultRow) {
    let w = page.words;
    match (row.actual.as_str(), row.is_selected) {
        ("", true) => m.element("span class=\"small\"", w.not_measured),
        ("", false) => m.element("span class=\"small\"", w.not_selected),
        (value, is_selected) => {
            m.element("b", &page.number(value));
            m.unless_empty("small", if is_selected { "" } else { w.not_selected });
        }
    }
    // A value that no gauge sent is marked where it stands.
    if row.origin == "simulated" || row.origin == "imported" {
        m.raw("<br />");
        origin(page, m, &row.origin);
    }
}

/// Where the value lies between the limits, over how far it is from their middle.
fn bar(page: &Page<'_>, m: &mut Markup, row: &ResultRow) {
    if let Some(bar) = row.bar {
        let side = page.words.side(&row.side);
        let title = format!("{} {side}", row.verdict);
        m.raw(&bar_svg(bar, &row.verdict, &safe::html(title.trim())));
    }
    m.unless_empty("small", &page.number(&row.deviation));
}

fn uncertainty(page: &Page<'_>, m: &mut Markup, row: &ResultRow) {
    match row.u.as_str() {
        "" if row.actual.is_empty() => {}
        "" => m.element("small", page.words.uncertainty_not_considered),
        u => m.text(&page.number(u)),
    }
}

fn gauge(page: &Page<'_>, m: &mut Markup, row: &ResultRow) {
    if row.reading == 0 && row.gauge.is_empty() {
        return;
    }
    m.text(page.words.or_not_recorded(&row.gauge));
    m.element("small", page.words.method_of(&row.method));
}

/// The verdict with its side, its rule, the chance and everything that was noticed.
fn judged(page: &Page<'_>, m: &mut Markup, row: &ResultRow) {
    let w = page.words;
    if !row.verdict.is_empty() {
        verdict(m, &row.verdict);
    }
    if !row.side.is_empty() {
        m.element("small", w.side(&row.side));
    }
    m.unless_empty("small", &page.number(&row.rule));
    if let Some(ppm) = row.conformance_ppm.filter(|_| row.verdict != "GO") {
        m.element(
            "small",
            &format!("{} {}", page.words.conformance, page.percent(ppm)),
        );
    }
    if row.is_in_doubt {
        m.within("small", |m| m.element("b", w.in_doubt));
    }
    if let Some(line) = row.concession {
        let text = format!(
            "{} ({} {line})",
            w.under_concession, page.words.concession_line
        );
        m.within("small", |m| m.element("b", &text));
    }
    for note in &row.notes {
        m.element("small", &w.note(note));
    }
}

/// The points of what has several, or a place with a name.
fn points(page: &Page<'_>, m: &mut Markup, rows: &[Answered<'_>]) {
    let w = page.words;
    let is_told = |asked: &Asked, row: &ResultRow| {
        asked.points > 1 || row.points.len() > 1 || row.points.iter().any(|p| !p.place.is_empty())
    };
    let told = || rows.iter().filter(|(asked, row)| is_told(asked, row));
    if told().all(|(_, row)| row.points.is_empty()) {
        return;
    }
    let heads = [
        (w.number, "w4"),
        (w.characteristic, "w22"),
        (w.point, "w10"),
        (w.place, "w24"),
        (w.actual, "w16 n"),
        (w.state, "w16"),
        (w.line, "w8 n"),
    ];
    m.table("h3", w.points, &heads, |m| {
        for (asked, row) in told() {
            for point in &row.points {
                m.within("tr", |m| {
                    number_cell(m, asked.number);
                    m.element("td", &asked.callout);
                    m.element("td", &format!("{} / {}", point.point, asked.points));
                    m.element("td", w.or_not_recorded(&point.place));
                    m.within("td class=\"n\"", |m| point_value(page, m, asked, point));
                    m.element("td", w.outcome(&point.outcome));
                    m.element("td class=\"n\"", &line(point.reading));
                });
            }
        }
    });
}

fn point_value(page: &Page<'_>, m: &mut Markup, asked: &Asked, point: &PointRow) {
    match (point.value.as_str(), asked.unit.as_str()) {
        ("", _) => m.element("span class=\"small\"", page.words.not_measured),
        (value, CHECK) => m.text(page.words.outcome(value)),
        (value, _) => m.text(&page.number(value)),
    }
}

/// A line of the record; nothing where there is none.
pub(super) fn line(number: u64) -> String {
    match number {
        0 => String::new(),
        number => number.to_string(),
    }
}

fn checks_table(page: &Page<'_>, m: &mut Markup, rows: &[Answered<'_>]) {
    if rows.is_empty() {
        return;
    }
    let w = page.words;
    let heads = [
        (w.number, "w4"),
        (w.characteristic, "w26"),
        (w.asked_for, "w18"),
        (w.found, "w18"),
        (w.gauge, "w16"),
        (w.verdict, "w18"),
    ];
    m.table("h3", w.heading_checks, &heads, |m| {
        for (asked, row) in rows {
            m.within("tr", |m| {
                number_cell(m, asked.number);
                asked_cell(page, m, asked);
                let wanted = [&asked.nominal, &asked.lower, &asked.upper];
                let wanted: Vec<&str> = wanted.into_iter().map(|text| w.outcome(text)).collect();
                let wanted = wanted.join(" ");
                let element = w.element(&asked.element);
                m.element("td", format!("{element} {wanted}").trim());
                m.within("td", |m| found(page, m, row));
                m.within("td", |m| gauge(page, m, row));
                m.within("td", |m| judged(page, m, row));
            });
        }
    });
}

fn found(page: &Page<'_>, m: &mut Markup, row: &ResultRow) {
    let w = page.words;
    let text = match (row.actual.as_str(), row.is_selected) {
        ("", true) => w.not_measured,
        ("", false) => w.not_selected,
        (found, _) => w.outcome(found),
    };
    m.element("b", text);
    if row.origin == "simulated" || row.origin == "imported" {
        m.raw("<br />");
        origin(page, m, &row.origin);
    }
}

/// Who, when, how warm, from where, set on what, in which line of the record.
fn circumstances(page: &Page<'_>, m: &mut Markup, rows: &[Answered<'_>]) {
    let was_measured = |row: &ResultRow| row.reading != 0 || !row.actual.is_empty();
    let measured = || rows.iter().filter(|(_, row)| was_measured(row));
    if measured().next().is_none() {
        return;
    }
    let w = page.words;
    let heads = [
        (w.number, "w4"),
        (w.origin, "w14"),
        (w.by, "w16"),
        (w.time, "w22"),
        (w.part_temperature, "w10"),
        (w.gauge_temperature, "w10"),
        (w.set_on, "w14"),
        (w.line, "w10 n"),
    ];
    m.table("h3", page.words.circumstances, &heads, |m| {
        for (asked, row) in measured() {
            m.within("tr", |m| {
                number_cell(m, asked.number);
                m.within("td", |m| origin(page, m, &row.origin));
                m.element("td", w.or_not_recorded(&row.operator));
                m.element("td", w.or_not_recorded(&page.time(&row.time)));
                m.element("td", &page.number_or_not_recorded(&row.part_temperature));
                m.element("td", &page.number_or_not_recorded(&row.gauge_temperature));
                m.element("td", w.or_not_recorded(&row.set_on));
                m.within("td class=\"n\"", |m| {
                    m.text(&line(row.reading));
                    let others = row.from.iter().filter(|other| **other != row.reading);
                    let others: Vec<String> = others.map(|other| line(*other)).collect();
                    if !others.is_empty() {
                        m.element(
                            "small",
                            &format!("{} {}", page.words.with, others.join(", ")),
                        );
                    }
                });
            });
        }
    });
}

//! The end of the HTML form: gauges on the day, what else happened, where the limits come from,
//! cautions, and the record that all of it was taken from.

use super::html::Page;
use super::html_head::fact;
use super::html_markup::Markup;
use super::html_part::line;
use super::html_people::{other_readings, signatures};
use super::sheet::GaugeFacts;

/// The gauges as they were on the day.
pub(super) fn gauges(page: &Page<'_>, m: &mut Markup) {
    let w = page.words;
    if page.sheet.gauges.is_empty() {
        m.element("h2", w.heading_gauges);
        m.element("p", w.not_recorded);
        return;
    }
    let heads = [
        (w.gauge, "w14"),
        (w.resolution, "w10"),
        (w.error_basis, "w14"),
        (w.calibrated, "w13"),
        (w.due, "w12"),
        (w.set_on, "w10"),
        (w.zero, "w13"),
        (w.source, "w14"),
    ];
    m.table("h2", w.heading_gauges, &heads, |m| {
        for one in &page.sheet.gauges {
            m.within("tr", |m| gauge(page, m, one));
        }
    });
}

fn gauge(page: &Page<'_>, m: &mut Markup, one: &GaugeFacts) {
    let w = page.words;
    m.within("th scope=\"row\"", |m| {
        m.element("b", &one.id);
        m.element("small", w.or_not_recorded(&one.kind));
        m.unless_empty("small", &one.callout);
        let serial = w.or_not_recorded(&one.serial);
        m.element("small", &format!("{}: {serial}", w.serial));
    });
    m.element("td", &page.number_or_not_recorded(&one.resolution));
    m.element("td", w.or_not_recorded(&one.error_basis));
    m.within("td", |m| {
        m.text(w.or_not_recorded(&one.calibrated));
        let certificate = w.or_not_recorded(&one.certificate);
        m.element("small", &format!("{}: {certificate}", w.certificate));
    });
    m.within("td", |m| {
        m.text(w.or_not_recorded(&one.due));
        if one.was_overdue {
            m.within("small", |m| m.element("b", w.was_overdue));
        }
    });
    m.element("td", w.or_not_recorded(&one.set_on));
    m.element("td", w.or_not_recorded(&one.zero));
    m.within("td", |m| {
        m.text(w.or_not_recorded(&one.source));
        m.unless_empty("small", w.text_for(w.lists.methods, &one.method));
        let counts = [
            (page.words.readings, one.readings),
            (page.words.refused, one.refused),
        ];
        for (name, count) in counts {
            m.element("small", &format!("{name}: {count}"));
        }
        for remark in &one.remarks {
            m.element("small", remark);
        }
    });
}

/// Tools, offsets, temperatures, checks, findings.
pub(super) fn happenings(page: &Page<'_>, m: &mut Markup) {
    let w = page.words;
    if page.sheet.happenings.is_empty() {
        m.element("h2", w.heading_happenings);
        m.element("p", page.words.no_happenings);
        return;
    }
    let heads = [
        (w.line, "w8"),
        (w.time, "w24"),
        (w.part, "w8"),
        (page.words.what, "w60"),
    ];
    m.table("h2", w.heading_happenings, &heads, |m| {
        for one in &page.sheet.happenings {
            m.within("tr", |m| {
                m.element("th scope=\"row\"", &line(one.line));
                m.element("td", &page.time(&one.time));
                m.element("td", &line(u64::from(one.part)));
                m.element("td", &one.what);
            });
        }
    });
}

/// Standard, table and arithmetic behind each limit.
pub(super) fn why(page: &Page<'_>, m: &mut Markup) {
    let w = page.words;
    let heads = [(w.number, "w4"), (w.callout, "w24"), (w.heading_why, "w72")];
    m.table("h2", w.heading_why, &heads, |m| {
        for asked in &page.sheet.asked {
            m.within("tr", |m| {
                m.element("th scope=\"row\" class=\"no\"", &asked.number.to_string());
                m.within("td", |m| {
                    m.text(&asked.callout);
                    m.unless_empty("small", w.surface(&asked.surface));
                    m.element("small", &format!("{}: {}", page.words.points, asked.points));
                    m.unless_empty("small", &asked.places.join(", "));
                });
                m.within("td", |m| {
                    if asked.why.is_empty() {
                        m.text(w.not_recorded);
                    }
                    for (at, one) in asked.why.iter().enumerate() {
                        m.raw(if at == 0 { "" } else { "<br />" });
                        m.text(one);
                    }
                });
            });
        }
    });
}

/// What to keep in mind, and what the record is not.
pub(super) fn cautions(page: &Page<'_>, m: &mut Markup) {
    let w = page.words;
    let lists = [
        (w.heading_cautions, w.cautions),
        (w.heading_not, w.what_it_is_not),
    ];
    for (heading, sentences) in lists {
        m.element("h2", heading);
        m.within("ul class=\"small\"", |m| {
            for one in sentences {
                m.element("li", one);
            }
        });
    }
}

/// Files, state, head hash, programs, tables, findings.
pub(super) fn record(page: &Page<'_>, m: &mut Markup) {
    let (w, record) = (page.words, &page.sheet.record);
    m.element("h2", w.heading_record);
    let closed = record.closed.as_deref().unwrap_or(w.not_closed);
    m.within("dl class=\"facts\"", |m| {
        fact(page, m, w.files, &record.files.join(", "));
        fact(page, m, w.record_state, w.state_of_record(&record.state));
        fact(page, m, w.events, &record.events.to_string());
        hash(page, m, w.head, &record.head);
        fact(page, m, w.opened, &page.time(&record.opened));
        fact(page, m, w.last, &page.time(&record.last));
        fact(page, m, w.closed, closed);
        fact(page, m, w.programs, &record.programs.join(", "));
        hash(page, m, w.tables, &record.tables);
        if record.findings.is_empty() {
            fact(page, m, w.findings, w.no_findings);
        }
        if record.elsewhere.is_empty() {
            fact(page, m, w.elsewhere, w.elsewhere_not_looked);
        }
    });
    if !record.signatures.is_empty() {
        m.element("p", page.words.heading_session_signed);
        signatures(page, m, &record.signatures);
    }
    other_readings(page, m);
    if record.tables_differ {
        m.element("p class=\"banner\"", w.tables_differ);
    }
    for (heading, sentences) in [
        (w.findings, &record.findings),
        (w.elsewhere, &record.elsewhere),
    ] {
        if !sentences.is_empty() {
            m.element("h3", heading);
            m.within("ul", |m| {
                for one in sentences {
                    m.element("li", one);
                }
            });
        }
    }
}

fn hash(page: &Page<'_>, m: &mut Markup, name: &str, digits: &str) {
    m.within("div", |m| {
        m.element("dt", name);
        m.element("dd class=\"record\"", page.words.or_not_recorded(digits));
    });
}

//! All parts together in the HTML form: the numbers of each characteristic, its charts, what they
//! say; and every part in a table.

use super::batch_figures::{Figure, figures, has_section};
use super::batch_told::{
    STRETCHES_MAX, began, below_numbers, index_text, named, next, said, stands, stretch_notes,
    stretch_parts, way_text,
};
use super::chart_svg::{ChartOptions, svg_within};
use super::drawing::drawn;
use super::html::Page;
use super::html_batch_table::table;
use super::html_markup::Markup;
use super::pdf_text::Faces;
use super::row_texts::called;
use super::sheet::Asked;
use super::sheet_batch::{BatchFacts, BatchSheet, BatchStretch};

/// The section; nothing of a report without one.
pub(super) fn batch(page: &Page<'_>, m: &mut Markup) {
    let Some(batch) = &page.sheet.batch else {
        return;
    };
    m.within("section class=\"part batch\"", |m| {
        let heading = page
            .words
            .stands(page.words.batch.heading, &page.sheet.record);
        m.element("h2", &heading);
        for remark in &batch.remarks {
            m.element("p class=\"banner\"", remark);
        }
        numbers(page, m, batch);
        table(page, m, batch);
        // Without faces nothing can be measured, and so nothing drawn: the numbers stand.
        let faces = Faces::load().ok();
        for (asked, facts) in told(page, batch).filter(|(_, facts)| has_section(facts)) {
            characteristic(page, m, (asked, facts), faces.as_ref());
        }
    });
}

/// Each characteristic with what was asked.
fn told<'a>(
    page: &Page<'a>,
    batch: &'a BatchSheet,
) -> impl Iterator<Item = (&'a Asked, &'a BatchFacts)> {
    let sheet = page.sheet;
    let all = batch.characteristics.iter();
    all.filter_map(|facts| Some((sheet.asked_under(facts.number)?, facts)))
}

fn numbers(page: &Page<'_>, m: &mut Markup, batch: &BatchSheet) {
    let (w, own) = (page.words, &page.words.batch);
    let heads = [
        (w.number, "w4"),
        (w.characteristic, "w22"),
        (own.values, "w14"),
        (own.mean, "w13 n"),
        (own.extremes, "w13 n"),
        (w.limits, "w11 n"),
        (own.capability, "w23"),
    ];
    m.table("h3", own.heading_numbers, &heads, |m| {
        for (asked, facts) in told(page, batch) {
            m.within("tr", |m| {
                m.element("th scope=\"row\" class=\"no\"", &asked.number.to_string());
                m.within("td", |m| {
                    m.element("b", &asked.callout);
                    m.element("small", &called(w, asked));
                    for remark in &facts.remarks {
                        m.element("small", remark);
                    }
                });
                m.within("td", |m| {
                    m.text(&facts.values.to_string());
                    m.element("small", &stands(page.options, facts).join(", "));
                });
                m.within("td class=\"n\"", |m| {
                    m.element("b", &page.number(&facts.mean));
                    if !facts.sd.is_empty() {
                        let sd = page.number(&facts.sd);
                        m.element("small", &format!("{} {sd}", own.sd));
                    }
                });
                m.within("td class=\"n\"", |m| {
                    m.text(&page.number(&facts.smallest));
                    m.raw("<br />");
                    m.text(&page.number(&facts.largest));
                    if !facts.range.is_empty() {
                        let range = page.number(&facts.range);
                        m.element("small", &format!("{} {range}", own.range));
                    }
                });
                m.within("td class=\"n\"", |m| {
                    let sides = [(&facts.upper, w.no_upper), (&facts.lower, w.no_lower)];
                    for (limit, none) in sides {
                        match limit.as_str() {
                            "" => m.element("small", none),
                            limit => {
                                m.text(&page.number(limit));
                                m.raw("<br />");
                            }
                        }
                    }
                    m.element("small", &facts.unit);
                });
                m.within("td", |m| {
                    capability(page, m, facts);
                    let next = next(page.options, facts);
                    if !next.is_empty() {
                        m.within("small", |m| m.element("b", &next));
                    }
                });
            });
        }
    });
    let below = below_numbers(page.options, batch);
    m.unless_empty("p class=\"small\"", &below.join(" "));
}

/// Each index with its interval, and below those of one way how they were found.
fn capability(page: &Page<'_>, m: &mut Markup, facts: &BatchFacts) {
    for (at, index) in facts.indices.iter().enumerate() {
        m.raw(if at == 0 { "" } else { "<br />" });
        m.text(&index_text(page.options, index));
        let next = facts.indices.get(at + 1);
        if next.is_none_or(|next| next.way != index.way) {
            m.element("small", &way_text(page.options, index));
        }
    }
}

fn characteristic(
    page: &Page<'_>,
    m: &mut Markup,
    (asked, facts): (&Asked, &BatchFacts),
    faces: Option<&Faces>,
) {
    let lines = said(page.options, facts);
    m.element("h3", &named(page.options, asked));
    m.within("ul", |m| {
        for line in &lines {
            match line.is_strong {
                true => m.within("li", |m| m.element("b", &line.text)),
                false => m.element("li", &line.text),
            }
        }
    });
    stretches(page, m, facts);
    let figures = figures(facts, &named(page.options, asked), page.options);
    let (halves, wide): (Vec<&Figure>, Vec<&Figure>) =
        figures.iter().partition(|figure| figure.is_half);
    for one in wide {
        figure(page, m, one, faces);
    }
    if !halves.is_empty() {
        m.within("div class=\"pair\"", |m| {
            for one in halves {
                m.within("div", |m| figure(page, m, one, faces));
            }
        });
    }
}

fn figure(page: &Page<'_>, m: &mut Markup, figure: &Figure, faces: Option<&Faces>) {
    let options = ChartOptions {
        is_black_and_white: true,
        decimal_mark: page.options.decimal_mark,
    };
    if let Some(faces) = faces {
        let mut drawing = drawn(
            faces,
            std::slice::from_ref(&figure.chart),
            figure.size,
            options.decimal_mark,
        );
        drawing.said = vec![figure.alt.clone()];
        m.raw(&svg_within(&drawing, options));
    }
    m.unless_empty("p class=\"small\"", &figure.notes.join(" "));
}

/// The stretches between tool changes and offsets, the newest of very many.
fn stretches(page: &Page<'_>, m: &mut Markup, facts: &BatchFacts) {
    let own = &page.words.batch;
    let passed = facts.stretches.len().saturating_sub(STRETCHES_MAX);
    let shown: Vec<&BatchStretch> = facts.stretches.iter().skip(passed).collect();
    if shown.is_empty() {
        return;
    }
    let [lower, centre, upper] = own.control;
    let heads = [
        (page.words.parts, "w12"),
        (own.began, "w26"),
        (lower, "w12 n"),
        (centre, "w12 n"),
        (upper, "w12 n"),
        (own.deviation, "w12 n"),
        (page.words.notes, "w14"),
    ];
    m.table("h4", own.heading_stretches, &heads, |m| {
        for one in shown {
            m.within("tr", |m| {
                m.element("th scope=\"row\"", &stretch_parts(page.options, one));
                m.element("td", &began(page.options, one));
                let numbers = [
                    &one.lower_control,
                    &one.centre,
                    &one.upper_control,
                    &one.deviation,
                ];
                for number in numbers {
                    m.element("td class=\"n\"", &page.number(number));
                }
                m.element("td", &stretch_notes(page.options, one));
            });
        }
    });
    if passed > 0 {
        m.element("p class=\"small\"", &(own.earlier_stretches)(passed));
    }
}

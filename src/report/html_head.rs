//! The head of the HTML form: what is made, for whom, by whom, when; and what each part came to,
//! in one line.

use super::html::Page;
use super::html_markup::Markup;
use super::sheet::PartSheet;

/// The first thing that is seen.
pub(super) fn head(page: &Page<'_>, m: &mut Markup) {
    let (w, job, record) = (page.words, &page.sheet.job, &page.sheet.record);
    m.within("header", |m| {
        m.element("p class=\"kind\"", w.title);
        m.element("h1", w.or_not_recorded(&job.part_name));
        m.within("p class=\"under\"", |m| {
            let facts = [(w.drawing, &job.drawing), (w.revision, &job.revision)];
            for (at, (name, value)) in facts.into_iter().enumerate() {
                m.raw(if at == 0 { "" } else { " · " });
                m.text(name);
                m.raw(" ");
                m.element("b", w.or_not_recorded(value));
            }
        });
        if record.state == "damaged" || !record.findings.is_empty() {
            m.element("p class=\"banner\"", w.record_damaged);
        }
        if job.is_earlier_stage {
            m.element("p class=\"banner\"", w.earlier_stage);
        }
        let has_origin = |origin| page.sheet.parts.iter().any(|part| part.has_origin(origin));
        if has_origin("simulated") {
            m.element("p class=\"banner\"", page.words.was_simulated);
        }
        if has_origin("imported") {
            m.element("p class=\"banner\"", page.words.was_imported);
        }
        m.within("dl", |m| job_facts(page, m));
        m.within("dl class=\"facts\"", |m| rule_facts(page, m));
    });
}

fn job_facts(page: &Page<'_>, m: &mut Markup) {
    let (w, job) = (page.words, &page.sheet.job);
    let stage = match job.stage.as_str() {
        "" => page.words.stage_last,
        stage => stage,
    };
    let facts = [
        (w.customer, job.customer.as_str()),
        (w.order, &job.order),
        (w.quantity, &job.quantity),
        (w.material, &job.material),
        (w.material_lot, &job.material_lot),
        (w.machine, &job.machine),
        (w.measured_by, &job.operators.join(", ")),
        (w.stage, stage),
        (w.plan, &job.plan_name),
    ];
    for (name, value) in facts {
        fact(page, m, name, value);
    }
    let parts = &page.sheet.parts;
    let (from, to) = page.sheet.measured();
    fact(page, m, w.measured_from, &page.time(from));
    fact(page, m, w.measured_to, &page.time(to));
    let all = page.sheet.record.parts;
    let shown = match u32::try_from(parts.len()) {
        Ok(shown) if shown < all => format!("{shown} {} {all}", w.of),
        _ => parts.len().to_string(),
    };
    fact(page, m, w.parts, &shown);
}

/// A name and its value, or that it was not recorded.
pub(super) fn fact(page: &Page<'_>, m: &mut Markup, name: &str, value: &str) {
    m.within("div", |m| {
        m.element("dt", name);
        m.element("dd", page.words.or_not_recorded(value));
    });
}

fn rule_facts(page: &Page<'_>, m: &mut Markup) {
    let (w, rule) = (page.words, &page.sheet.rule);
    m.within("div", |m| {
        m.element("dt", w.rule);
        m.within("dd", |m| {
            if rule.rules.is_empty() {
                m.text(w.not_recorded);
            }
            for one in &rule.rules {
                m.text(&w.rule_in_words(one));
                m.element("small", one);
            }
            if rule.some_without_uncertainty {
                m.element("b", w.uncertainty_not_considered);
            }
        });
    });
    m.within("div", |m| {
        m.element("dt", w.agreed_with);
        m.element(
            "dd",
            match rule.agreed_with.as_str() {
                "" => w.agreed_with_nobody,
                name => name,
            },
        );
    });
}

/// Each part in one line.
pub(super) fn outcomes(page: &Page<'_>, m: &mut Markup) {
    let w = page.words;
    if page.sheet.parts.is_empty() {
        m.element("h2", w.heading_outcome);
        m.element("p", w.no_parts);
        return;
    }
    let heads = [
        (w.part, "w5"),
        (w.serial, "w14"),
        (w.standing, "w24"),
        (w.state, "w13"),
        (w.what_it_means, "w44"),
    ];
    let record = &page.sheet.record;
    m.table("h2", &w.stands(w.heading_outcome, record), &heads, |m| {
        for part in &page.sheet.parts {
            m.within("tr", |m| {
                m.element("th scope=\"row\" class=\"no\"", &part.number.to_string());
                m.element("td", w.or_not_recorded(&part.serial));
                m.within("td", |m| standing(page, m, part));
                m.within("td", |m| match part.state.as_str() {
                    // What is lost may say otherwise.
                    "GO" if record.state == "damaged" => {
                        m.element("span class=\"verdict doubt\"", "GO");
                    }
                    state => verdict(m, state),
                });
                m.within("td", |m| meaning(page, m, part));
            });
        }
    });
}

/// What the standing means, and the chances where something is in doubt.
pub(super) fn meaning(page: &Page<'_>, m: &mut Markup, part: &PartSheet) {
    m.text(page.words.standing_means(&part.standing));
    let in_doubt = part.results.iter().filter(|row| row.verdict == "DOUBT");
    for row in in_doubt {
        let Some(ppm) = row.conformance_ppm else {
            continue;
        };
        let text = format!(
            "{}: {} {}",
            row.number,
            page.words.conformance,
            page.percent(ppm)
        );
        m.element("small", &text);
    }
    for doubt in &part.doubts {
        m.element("small", doubt);
    }
    for signature in &part.signatures {
        if !signature.manner.is_empty() {
            let manner = page.words.manner(&signature.manner);
            let by = page.words.or_not_recorded(&signature.by);
            m.element("small", &format!("{by}: {manner}"));
        }
    }
}

/// The standing, in a border by what it means.
pub(super) fn standing(page: &Page<'_>, m: &mut Markup, part: &PartSheet) {
    let tag = match (part.is_good, part.standing.as_str()) {
        (true, _) => "span class=\"standing go\"",
        (false, "NO-GO" | "scrap") => "span class=\"standing no-go\"",
        (false, "open" | "open (stage done)" | "not selected") => "span class=\"standing none\"",
        _ => "span class=\"standing doubt\"",
    };
    m.element(tag, &page.words.stands(&part.standing, &page.sheet.record));
}

/// A verdict, in a border by its word.
pub(super) fn verdict(m: &mut Markup, word: &str) {
    let tag = match word {
        "GO" => "span class=\"verdict go\"",
        "NO-GO" => "span class=\"verdict no-go\"",
        "DOUBT" => "span class=\"verdict doubt\"",
        _ => "span class=\"verdict none\"",
    };
    m.element(tag, word);
}

/// Where a reading came from; what was not sent by a gauge looks different.
pub(super) fn origin(page: &Page<'_>, m: &mut Markup, origin: &str) {
    let tag = match origin {
        "typed" => "span class=\"from typed\"",
        "simulated" => "span class=\"from simulated\"",
        "imported" => "span class=\"from imported\"",
        _ => "span class=\"from sent\"",
    };
    m.element(
        tag,
        page.words.or_not_recorded(page.words.origin_of(origin)),
    );
}

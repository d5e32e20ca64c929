//! What every sheet made by hand has in common, whatever form is tested with it: a visitor of all
//! its texts. No field of a sheet is named here twice, and none anywhere else.

use fitledger::report::{BatchFacts, BatchSheet, PartSheet, ReadingRow, Sheet, SignatureRow};

/// What a text of a sheet is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) enum Kind {
    /// From outside: a name, a remark, a reason, a file.
    Name,
    /// The record's own word that no form needs to know.
    Word,
    /// A number, a time, a hash, or a word that a form chooses by.
    Value,
}

/// Something done to a text.
pub(crate) type Put<'p> = &'p mut dyn FnMut(Kind, &mut String);

fn each<const N: usize>(kind: Kind, texts: [&mut String; N], put: Put<'_>) {
    for text in texts {
        put(kind, text);
    }
}

/// A list with two texts at least, if something is put into them.
fn list(kind: Kind, texts: &mut Vec<String>, put: Put<'_>) {
    while texts.len() < 2 {
        texts.push(String::new());
    }
    texts.iter_mut().for_each(|text| put(kind, text));
    texts.retain(|text| !text.is_empty());
}

/// The sheet with something done to each of its texts.
pub(crate) fn with_texts(mut sheet: Sheet, put: Put<'_>) -> Sheet {
    let record = &mut sheet.record;
    for texts in [
        &mut record.files,
        &mut record.findings,
        &mut record.programs,
        &mut record.elsewhere,
    ] {
        list(Kind::Name, texts, put);
    }
    let closed = record.closed.iter_mut();
    closed.for_each(|reason| put(Kind::Name, reason));
    let own = [&mut record.state, &mut record.head, &mut record.opened];
    each(Kind::Value, own, put);
    each(Kind::Value, [&mut record.last, &mut record.tables], put);
    readings(&mut record.other_readings, put);
    signatures(&mut record.signatures, put);
    let job = &mut sheet.job;
    list(Kind::Name, &mut job.operators, put);
    let names = [
        &mut job.part_name,
        &mut job.drawing,
        &mut job.revision,
        &mut job.customer,
        &mut job.order,
        &mut job.material,
        &mut job.material_lot,
        &mut job.machine,
        &mut job.quantity,
        &mut job.plan_name,
        &mut job.stage,
    ];
    each(Kind::Name, names, put);
    list(Kind::Word, &mut sheet.rule.rules, put);
    put(Kind::Name, &mut sheet.rule.agreed_with);
    for one in &mut sheet.asked {
        list(Kind::Name, &mut one.places, put);
        list(Kind::Name, &mut one.why, put);
        let names = [&mut one.feature, &mut one.name, &mut one.callout];
        each(Kind::Name, names, put);
        let limits = [&mut one.nominal, &mut one.lower, &mut one.upper];
        each(Kind::Value, limits, put);
        // A word that is no element or surface is shown as it is.
        each(Kind::Value, [&mut one.element, &mut one.surface], put);
    }
    for gauge in &mut sheet.gauges {
        list(Kind::Name, &mut gauge.remarks, put);
        let names = [
            &mut gauge.id,
            &mut gauge.callout,
            &mut gauge.kind,
            &mut gauge.serial,
            &mut gauge.error_basis,
            &mut gauge.calibrated,
            &mut gauge.certificate,
            &mut gauge.due,
            &mut gauge.set_on,
            &mut gauge.zero,
            &mut gauge.source,
        ];
        each(Kind::Name, names, put);
        each(Kind::Value, [&mut gauge.method, &mut gauge.resolution], put);
    }
    for one in &mut sheet.happenings {
        put(Kind::Value, &mut one.time);
        put(Kind::Name, &mut one.what);
    }
    sheet.parts.iter_mut().for_each(|one| part(one, put));
    if let Some(own) = &mut sheet.batch {
        batch(own, put);
    }
    sheet
}

fn batch(batch: &mut BatchSheet, put: Put<'_>) {
    list(Kind::Name, &mut batch.remarks, put);
    for row in &mut batch.rows {
        put(Kind::Name, &mut row.serial);
        for cell in &mut row.cells {
            put(Kind::Value, &mut cell.standing);
            // The extremes stand beside what is not good alone.
            for text in [&mut cell.value, &mut cell.smallest, &mut cell.largest] {
                if !text.is_empty() {
                    put(Kind::Value, text);
                }
            }
        }
    }
    batch
        .characteristics
        .iter_mut()
        .for_each(|one| facts(one, put));
}

fn facts(facts: &mut BatchFacts, put: Put<'_>) {
    list(Kind::Name, &mut facts.remarks, put);
    list(Kind::Name, &mut facts.missing, put);
    let numbers = [
        &mut facts.unit,
        &mut facts.lower,
        &mut facts.upper,
        &mut facts.mean,
        &mut facts.sd,
        &mut facts.smallest,
        &mut facts.largest,
        &mut facts.range,
        // For people it says the offset itself.
        &mut facts.offset_told,
    ];
    each(Kind::Value, numbers, put);
    for one in &mut facts.indices {
        let texts = [
            &mut one.name,
            &mut one.estimate,
            &mut one.lower,
            &mut one.upper,
            &mut one.way,
            &mut one.confidence,
        ];
        each(Kind::Value, texts, put);
    }
    if let Some(one) = &mut facts.ahead {
        put(Kind::Value, &mut one.limit);
    }
    if facts.stretches.is_empty() {
        return;
    }
    list(Kind::Name, &mut facts.advice, put);
    for one in &mut facts.stretches {
        for row in &mut one.breaks {
            each(Kind::Value, [&mut row.kind, &mut row.amount], put);
            put(Kind::Name, &mut row.note);
        }
        let limits = [
            &mut one.lower_control,
            &mut one.centre,
            &mut one.upper_control,
            &mut one.deviation,
        ];
        each(Kind::Value, limits, put);
    }
    for one in &mut facts.signals {
        put(Kind::Name, &mut one.name);
    }
    if let Some(one) = &mut facts.trend {
        let texts = [
            &mut one.slope,
            &mut one.lower,
            &mut one.upper,
            &mut one.confidence,
        ];
        each(Kind::Value, texts, put);
    }
    if let Some(one) = &mut facts.interval {
        let texts = [
            &mut one.lower,
            &mut one.upper,
            &mut one.share,
            &mut one.confidence,
        ];
        each(Kind::Value, texts, put);
    }
    if let Some(one) = &mut facts.share {
        let texts = [
            &mut one.seen,
            &mut one.measuring,
            &mut one.share,
            &mut one.parts,
        ];
        each(Kind::Value, texts, put);
    }
    if let Some(one) = &mut facts.normality {
        let texts = [
            &mut one.step_over_sd,
            &mut one.a2,
            &mut one.a2_p,
            &mut one.w,
            &mut one.w_p,
        ];
        each(Kind::Value, texts, put);
    }
}

fn part(part: &mut PartSheet, put: Put<'_>) {
    list(Kind::Name, &mut part.job_notes, put);
    list(Kind::Name, &mut part.doubts, put);
    put(Kind::Name, &mut part.serial);
    each(Kind::Value, [&mut part.state, &mut part.standing], put);
    each(Kind::Value, [&mut part.from, &mut part.to], put);
    for row in &mut part.results {
        list(Kind::Word, &mut row.notes, put);
        for point in &mut row.points {
            put(Kind::Name, &mut point.place);
            each(Kind::Value, [&mut point.value, &mut point.outcome], put);
        }
        let names = [&mut row.gauge, &mut row.set_on, &mut row.operator];
        each(Kind::Name, names, put);
        each(Kind::Word, [&mut row.rule, &mut row.method], put);
        let values = [
            &mut row.actual,
            &mut row.deviation,
            &mut row.u,
            &mut row.verdict,
            &mut row.side,
            &mut row.time,
            &mut row.origin,
            &mut row.part_temperature,
            &mut row.gauge_temperature,
        ];
        each(Kind::Value, values, put);
    }
    readings(&mut part.readings, put);
    signatures(&mut part.signatures, put);
    for row in &mut part.decisions {
        each(Kind::Value, [&mut row.time, &mut row.what], put);
        let names = [
            &mut row.about,
            &mut row.reason,
            &mut row.by,
            &mut row.agreed_with,
        ];
        each(Kind::Name, names, put);
    }
}

fn readings(rows: &mut [ReadingRow], put: Put<'_>) {
    for row in rows {
        list(Kind::Value, &mut row.verdicts_before, put);
        let names = [
            &mut row.raw,
            &mut row.operator,
            &mut row.reason,
            &mut row.by,
            &mut row.stage,
            &mut row.held,
            &mut row.taken,
            &mut row.doubt,
        ];
        each(Kind::Name, names, put);
        let values = [
            &mut row.time,
            &mut row.gauge,
            &mut row.origin,
            &mut row.value,
            &mut row.unit,
            &mut row.value_at_20,
            &mut row.zero_offset,
            &mut row.part_temperature,
            &mut row.gauge_temperature,
            &mut row.end,
            &mut row.verdict,
        ];
        each(Kind::Value, values, put);
    }
}

fn signatures(rows: &mut [SignatureRow], put: Put<'_>) {
    for row in rows {
        list(Kind::Name, &mut row.left, put);
        each(Kind::Value, [&mut row.time, &mut row.hash], put);
        each(Kind::Value, [&mut row.meaning, &mut row.manner], put);
        each(Kind::Name, [&mut row.by, &mut row.reason], put);
    }
}

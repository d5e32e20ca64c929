//! What every sheet made by hand has in common, whatever form is tested with it: a visitor of all
//! its texts. No field of a sheet is named here twice, and none anywhere else.

use fitledger::report::{PartSheet, ReadingRow, Sheet, SignatureRow};

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
    sheet
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

//! The whole report for other programs: one JSON object in its canonical form (RFC 8785), with the
//! head of the record's chain. Values are texts, as the record has them.
//!
//! Keys are the names of [`Sheet`] and of what it is made of, so that its documentation is theirs.
//! A text that was not recorded is left out, as is anything else that there is not; lists are
//! always there. The part's outline is a picture and has no place here.

use serde_json::{Map, Value};

use super::canonical::canonical;
use super::sheet::{
    Asked, Bar, DecisionRow, GaugeFacts, Happening, JobFacts, PartSheet, PointRow, ReadingRow,
    RecordFacts, ResultRow, RuleFacts, Sheet, SignatureRow,
};
use super::sheet_batch::{
    BatchAhead, BatchBreakRow, BatchCell, BatchFacts, BatchIndex, BatchInterval, BatchNormality,
    BatchRow, BatchShare, BatchSheet, BatchSignal, BatchStands, BatchStretch, BatchTrend,
};

/// What the object calls itself, with the version of its form.
const FORM: &str = "fitledger report 1";

/// The report as JSON, without a line end.
pub fn json(sheet: &Sheet) -> Vec<u8> {
    let mut value = sheet.told().unwrap_or_default();
    if let Value::Object(map) = &mut value {
        map.insert("form".to_owned(), Value::from(FORM));
    }
    canonical(&value)
}

/// The numbers over the parts, an object for each characteristic that has sizes: what was asked
/// with the keys of [`Asked`], what was found with those of [`BatchFacts`]. None without a batch.
pub fn batch_objects(sheet: &Sheet) -> Vec<Map<String, Value>> {
    let all = sheet.batch.iter().flat_map(|batch| &batch.characteristics);
    let object = |facts: &BatchFacts| {
        let asked = sheet.asked_under(facts.number);
        let mut object = Map::new();
        for told in [asked.and_then(Told::told), facts.told()] {
            if let Some(Value::Object(map)) = told {
                object.extend(map);
            }
        }
        object
    };
    all.map(object).collect()
}

/// What has a place in the object; none: nothing to tell.
trait Told {
    fn told(&self) -> Option<Value>;
}

impl Told for String {
    fn told(&self) -> Option<Value> {
        (!self.is_empty()).then(|| Value::from(self.as_str()))
    }
}

impl<T: Told> Told for Vec<T> {
    fn told(&self) -> Option<Value> {
        // A text in a list stays, were it empty: the others would move.
        let each = self
            .iter()
            .map(|one| one.told().unwrap_or_else(|| Value::from("")));
        Some(Value::Array(each.collect()))
    }
}

impl<T: Told> Told for Option<T> {
    fn told(&self) -> Option<Value> {
        self.as_ref().and_then(Told::told)
    }
}

macro_rules! plain {
    ($($type:ty),*) => {$(
        impl Told for $type {
            fn told(&self) -> Option<Value> {
                Some(Value::from(*self))
            }
        }
    )*};
}

plain!(bool, u16, u32, u64, usize, i32);

/// Takes the struct apart, so that a field which is not told of does not compile.
macro_rules! object {
    ($type:ident { $($field:ident),* } $(without { $($left:ident),* })?) => {
        impl Told for $type {
            fn told(&self) -> Option<Value> {
                let Self { $($field,)* $($($left: _,)*)? } = self;
                let mut map = Map::new();
                $(if let Some(value) = $field.told() {
                    map.insert(stringify!($field).to_owned(), value);
                })*
                Some(Value::Object(map))
            }
        }
    };
}

object!(Sheet {
    record, job, rule, asked, parts, gauges, happenings, batch
} without {
    outline
});
object!(RecordFacts {
    files,
    state,
    events,
    head,
    findings,
    opened,
    last,
    closed,
    programs,
    tables,
    tables_differ,
    offset,
    parts,
    signatures,
    other_readings,
    elsewhere
});
object!(JobFacts {
    part_name,
    drawing,
    revision,
    customer,
    order,
    material,
    material_lot,
    machine,
    quantity,
    plan_name,
    stage,
    is_earlier_stage,
    operators
});
object!(RuleFacts {
    rules,
    agreed_with,
    some_without_uncertainty,
    some_general
});
object!(Asked {
    number,
    feature,
    element,
    name,
    callout,
    unit,
    nominal,
    lower,
    upper,
    surface,
    points,
    places,
    every,
    why,
    is_drawn,
    is_general,
    is_earlier_stage,
    is_suited
});
object!(PartSheet {
    number,
    serial,
    state,
    standing,
    is_good,
    results,
    readings,
    decisions,
    signatures,
    from,
    to,
    job_notes,
    assembled_into,
    doubts
});
object!(ResultRow {
    number,
    is_selected,
    actual,
    points,
    deviation,
    bar,
    u,
    verdict,
    side,
    rule,
    conformance_ppm,
    gauge,
    method,
    set_on,
    operator,
    time,
    reading,
    from,
    origin,
    part_temperature,
    gauge_temperature,
    notes,
    is_in_doubt,
    concession
});
object!(Bar { at, half_width });
object!(PointRow {
    point,
    place,
    value,
    reading,
    outcome
});
object!(ReadingRow {
    line,
    time,
    number,
    point,
    gauge,
    origin,
    raw,
    value,
    unit,
    value_at_20,
    zero_offset,
    operator,
    part_temperature,
    gauge_temperature,
    stage,
    end,
    verdict,
    verdicts_before,
    taken,
    reason,
    by,
    replaced_by,
    counts,
    held,
    doubted_by,
    doubt
});
object!(DecisionRow {
    line,
    time,
    what,
    about,
    number,
    reason,
    by,
    agreed_with,
    withdrawn_by
});
object!(SignatureRow {
    line,
    time,
    meaning,
    manner,
    by,
    reason,
    covers,
    hash,
    left,
    has_lapsed,
    lapsed_by
});
object!(GaugeFacts {
    id,
    kind,
    serial,
    resolution,
    error_basis,
    calibrated,
    certificate,
    due,
    was_overdue,
    set_on,
    zero,
    source,
    callout,
    method,
    readings,
    refused,
    remarks
});
object!(Happening {
    line,
    time,
    part,
    what
});
object!(BatchSheet {
    parts,
    remarks,
    rows,
    characteristics
});
object!(BatchRow {
    part,
    serial,
    cells
});
object!(BatchCell {
    number,
    standing,
    value,
    smallest,
    largest,
    is_in_doubt,
    concession,
    voided,
    tests
});
object!(BatchFacts {
    number, unit, lower, upper, stands, in_doubt, values, mean, sd, smallest, largest, range,
    indices, interval, normality, stretches, put_back, signals, trend, ahead, share, offset,
    offset_told, measure_every, advice, remarks, missing
} without {
    charted
});
object!(BatchStands {
    go,
    no_go,
    doubt,
    noted,
    open,
    not_selected
});
object!(BatchIndex {
    name,
    estimate,
    lower,
    upper,
    way,
    confidence
});
object!(BatchInterval {
    lower,
    upper,
    share,
    confidence
});
object!(BatchNormality {
    step_over_sd,
    is_too_coarse,
    a2,
    a2_p,
    w,
    w_p
});
object!(BatchStretch {
    from_part,
    to_part,
    parts,
    breaks,
    lower_control,
    centre,
    upper_control,
    deviation,
    is_provisional,
    is_coarse
});
object!(BatchBreakRow { kind, amount, note });
object!(BatchSignal { test, name, parts });
object!(BatchTrend {
    parts,
    slope,
    lower,
    upper,
    confidence,
    is_beyond_chance
});
object!(BatchAhead {
    limit,
    is_upper,
    part,
    earliest,
    latest,
    single,
    confidence
});
object!(BatchShare {
    seen,
    measuring,
    share,
    parts
});

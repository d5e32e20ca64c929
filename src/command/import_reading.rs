//! A row's value as a reading of its characteristic: with its decimals and its unit, and the row
//! as it stands for what came in.

use super::import_table::{Fields, Wrong};
use crate::gauge::{CheckOutcome, GaugeId, Origin, Reading};
use crate::session::{Target, Wanted, check_reading, typed_reading};

/// The reading of a row.
pub(super) fn reading_of(
    fields: &Fields,
    target: &Target,
    gauge: &GaugeId,
) -> Result<Reading, Wrong> {
    let wanted = Wanted::of(Some(target));
    let value = fields.text("value");
    let unit = match fields.text("unit") {
        "" => fields.text("value_unit"),
        unit => unit,
    };
    if value.is_empty() {
        let sentence = "The row has no value.".to_owned();
        let hint = "Leave the row out where nothing was measured.";
        return Err(("value_missing", sentence, Some(hint)));
    }
    // In what is typed, it would name another gauge.
    if value.contains('=') {
        let sentence = format!("“{}” is no value.", value.escape_debug());
        return Err(("not_a_value", sentence, None));
    }
    let text = with_unit(value, unit, wanted)?;
    let by_word = match wanted {
        Wanted::Check(asked) => CheckOutcome::from_word(value).map(|outcome| (asked, outcome)),
        Wanted::Length | Wanted::Angle => None,
    };
    let typed = match by_word {
        // Only screw gauges are asked for turns.
        Some((asked, CheckOutcome::TurnsMore | CheckOutcome::TurnsTwoOrFewer))
            if !asked.counts_turns() =>
        {
            let sentence = format!("Turns are not counted with the {}.", asked.name());
            return Err(("no_answer", sentence, None));
        }
        Some((asked, outcome)) => Ok(check_reading(asked.end, outcome, gauge, value)),
        None => typed_reading(&text, gauge, wanted),
    };
    let typed = typed.map_err(|error| (error.code, error.to_string(), error.hint()))?;
    Ok(Reading {
        origin: Origin::Imported,
        raw: fields.raw.as_bytes().to_vec(),
        ..typed
    })
}

/// The value with its unit behind it where that is no millimetre; a unit that the characteristic
/// does not have is wrong.
fn with_unit(value: &str, unit: &str, wanted: Wanted) -> Result<String, Wrong> {
    let is_right = match (wanted, unit) {
        (_, "") => true,
        (Wanted::Length, unit) => ["mm", "in", "inch"].contains(&unit),
        (Wanted::Angle, unit) => ["degree", "degrees", "deg", "°", "angle"].contains(&unit),
        (Wanted::Check(_), unit) => unit == "check",
    };
    if !is_right {
        let sentence = match wanted {
            Wanted::Length => format!("“{}” is no unit of a length here.", unit.escape_debug()),
            Wanted::Angle => format!("“{}” is no unit of an angle here.", unit.escape_debug()),
            Wanted::Check(_) => format!("A check has no unit “{}”.", unit.escape_debug()),
        };
        let hint = "Units are mm, in, degree and check; empty is mm or degree.";
        return Err(("wrong_unit", sentence, Some(hint)));
    }
    // A value that carries its unit itself must not be read as the other one.
    let carried = value.trim_end_matches('"').to_lowercase();
    let own = ["mm", "in"].into_iter().find(|own| carried.ends_with(own));
    match (wanted, unit, own) {
        (Wanted::Length, "mm", Some("in")) | (Wanted::Length, "in" | "inch", Some("mm")) => {
            let sentence = format!("The value has another unit than “{unit}”.");
            Err(("wrong_unit", sentence, None))
        }
        (Wanted::Length, "mm", _) if value.ends_with('"') => {
            let sentence = format!("The value has another unit than “{unit}”.");
            Err(("wrong_unit", sentence, None))
        }
        (Wanted::Length, "in" | "inch", None) if !value.ends_with('"') => Ok(format!("{value} in")),
        _ => Ok(value.to_owned()),
    }
}

//! Stands in until the running session is here.

use super::command::Command;
use crate::gauge::{GaugeId, GaugeStatus, Observed, Origin, Reading, Shown};
use crate::quantity::{Angle, LengthUnit, QuantityError, parse_entry};

/// What may be asked of a running session.
#[derive(Debug, Clone, PartialEq)]
pub enum Request {
    /// A reading.
    Reading(Reading),
    /// A command.
    Command(Command),
    /// The simulated gauge's button.
    PressGauge,
    /// The simulated hand goes on by itself, or stops.
    Play(bool),
    /// Try again to record.
    TryRecording,
}

/// A reading as typed.
///
/// # Errors
/// What is wrong with it.
pub fn typed_reading(
    text: &str,
    gauge: &GaugeId,
    is_angle: bool,
) -> Result<Reading, QuantityError> {
    let plain = Shown {
        unit: LengthUnit::Millimetre,
        decimals: 0,
        minus: false,
    };
    let (observed, shown) = if is_angle {
        (Observed::Angle(Angle::parse(text)?), plain)
    } else {
        let entry = parse_entry(text, LengthUnit::Millimetre)?;
        (
            Observed::Length(entry.value),
            Shown {
                unit: entry.unit,
                decimals: entry.decimals,
                minus: text.starts_with('-'),
            },
        )
    };
    Ok(Reading {
        gauge: gauge.clone(),
        observed,
        shown,
        status: GaugeStatus::Ok,
        origin: Origin::Typed,
        raw: text.as_bytes().to_vec(),
        rounded: false,
    })
}

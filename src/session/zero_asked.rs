//! Asking for a zero check, what the gauge should show then, and what came of it in sentences.

use super::command::Refusal;
use super::state::State;
use crate::gauge::{Gauge, GaugeId, GaugeReads, StatedError};
use crate::journal::Event;
use crate::quantity::Length;

/// What asking for a zero check leads to.
///
/// # Errors
/// A refusal: the gauge or the standard is not in the register, or the gauge has no zero of its
/// own to be checked.
pub(super) fn ask(
    state: &State,
    gauge: &GaugeId,
    standard: Option<&GaugeId>,
) -> Result<Vec<Event>, Refusal> {
    let unknown = |id: &GaugeId| Refusal::NoSuchGauge {
        gauge: id.as_str().to_owned(),
    };
    let entry = state.setup().gauge(gauge).ok_or_else(|| unknown(gauge))?;
    if entry.kind.is_limit_gauge() || entry.kind.is_standard() || entry.kind.reads_angles() {
        return Err(Refusal::NoZero {
            gauge: gauge.as_str().to_owned(),
        });
    }
    let named = standard.or_else(|| usual_standard(entry));
    let size = match named {
        Some(id) => {
            let on = state.setup().gauge(id).ok_or_else(|| unknown(id))?;
            on.fixed_size().ok_or_else(|| Refusal::NoStandard {
                gauge: id.as_str().to_owned(),
            })?
        }
        // Its own zero: jaws or faces closed.
        None => entry.size_of(Length::ZERO),
    };
    // What its calibration says of it is taken off every reading anyway, and is no zero offset.
    let bias = match &entry.error {
        StatedError::Calibration(calibration) => calibration.bias_at(size),
        StatedError::Mpe(_) | StatedError::NotStated => Length::ZERO,
    };
    let shows = size + bias - entry.size_of(Length::ZERO);
    if !entry.covers(shows) {
        return Err(Refusal::StandardOutOfRange {
            gauge: gauge.as_str().to_owned(),
            shows,
        });
    }
    Ok(vec![Event::ZeroCheckAsked {
        gauge: gauge.as_str().to_owned(),
        standard: named.map_or("", GaugeId::as_str).to_owned(),
        shows,
    }])
}

/// What the register says that a gauge is checked on.
fn usual_standard(gauge: &Gauge) -> Option<&GaugeId> {
    let stated = gauge
        .zero_check
        .as_ref()
        .and_then(|check| check.on.as_ref());
    stated.or(match &gauge.reads {
        GaugeReads::Deviation { set_on, .. } => Some(set_on),
        GaugeReads::Size => None,
    })
}

/// The zero check that waits for its reading, in a sentence.
pub(super) fn asked_zero_sentence(state: &State) -> Option<String> {
    let (gauge, asked) = state.zeros.all_asked().next()?;
    zero_sentence(&Event::ZeroCheckAsked {
        gauge: gauge.as_str().to_owned(),
        standard: asked
            .standard
            .as_ref()
            .map_or("", GaugeId::as_str)
            .to_owned(),
        shows: asked.shows,
    })
}

/// What an event says of a gauge's zero, in a sentence; none for others.
pub fn zero_sentence(event: &Event) -> Option<String> {
    let on = |standard: &str| match standard {
        "" => "at its own zero".to_owned(),
        standard => format!("on {standard}"),
    };
    Some(match event {
        Event::ZeroCheckAsked {
            gauge,
            standard,
            shows,
        } => format!(
            "Zero check: put {gauge} {}; it must show {}.",
            match standard.as_str() {
                "" => "to its own zero, faces wiped and closed".to_owned(),
                standard => format!("on {standard}, both wiped"),
            },
            shows.to_mm()
        ),
        Event::ZeroCheckDropped { gauge } => format!("The zero of {gauge} is not checked now."),
        Event::ZeroChecked(checked) if checked.offset == Length::ZERO => format!(
            "{} shows what it must {}.",
            checked.gauge,
            on(&checked.standard)
        ),
        Event::ZeroChecked(checked) if checked.good => format!(
            "{} shows {} mm {}; that is taken off its readings from here on.",
            checked.gauge,
            signed(checked.offset),
            on(&checked.standard)
        ),
        Event::ZeroChecked(checked) => format!(
            "{} shows {} mm {}, more than ±{}: set it, then check again. What it measured since \
             its last good check is in doubt.",
            checked.gauge,
            signed(checked.offset),
            on(&checked.standard),
            checked.bound.unwrap_or(Length::ZERO).to_mm()
        ),
        Event::GaugeDoubted { gauge, reason, .. } => format!(
            "{gauge} was found wrong ({reason}): what it measured since its last good check is in \
             doubt."
        ),
        _ => return None,
    })
}

/// A length with its sign, in millimetres.
pub(super) fn signed(length: Length) -> String {
    let sign = if length.is_negative() { "" } else { "+" };
    format!("{sign}{}", length.to_mm())
}

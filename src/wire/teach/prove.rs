//! The finished text, read back: it must decode every press to the size that was measured.

use std::sync::Arc;

use super::Press;
use crate::wire::adapter::Adapter;
use crate::wire::decode::decode_groups;
use crate::wire::decoded::{Decoded, SentReading};

/// Events of a press from which on a first or last one may be an error: a stream is caught in mid
/// frame at both ends.
const STREAM_EVENTS: usize = 3;

/// Reads the text as an adapter and decodes every press with it; the error says what is wrong.
pub(super) fn prove(text: &str, presses: &[Press], error: i128) -> Result<(), String> {
    let adapter = Adapter::from_text(text, Some("taught")).map_err(|error| error.to_string())?;
    let adapter = Arc::new(adapter);
    for press in presses {
        let decoded = decode_groups(&adapter, &press.chunks);
        let last = decoded.len().saturating_sub(1);
        let mut readings = 0;
        for (at, event) in decoded.iter().enumerate() {
            match event {
                Decoded::Reading(reading) if is_expected(reading, press, error) => readings += 1,
                Decoded::Reading(reading) => {
                    return Err(format!(
                        "{} mm is read as {} {}.",
                        press.role.expected().to_mm(),
                        reading.value_text(),
                        reading.unit.symbol()
                    ));
                }
                Decoded::Error(_) if decoded.len() >= STREAM_EVENTS && (at == 0 || at == last) => {}
                Decoded::Error(sent) => return Err(sent.error.to_string()),
                Decoded::Status(_) => return Err("A state is read where a size was.".to_owned()),
            }
        }
        if readings == 0 {
            return Err(format!(
                "{} mm gives no reading.",
                press.role.expected().to_mm()
            ));
        }
    }
    Ok(())
}

/// Whether a reading is the size within the error and a digit (up to five of the last place).
fn is_expected(reading: &SentReading<Vec<u8>, String>, press: &Press, error: i128) -> bool {
    let unit_nm = i128::from(reading.unit.nm());
    let places = 10_i128.checked_pow(reading.value.decimals().into());
    let digit = places.map_or(0, |power| 5 * unit_nm / power);
    let expected = super::factor::nm(press.role.expected());
    reading
        .length
        .is_ok_and(|length| (super::factor::nm(length) - expected).abs() <= error + digit)
}

//! Lengths as the sentences of this room show them: to a tenth of a micrometre, finer is noise.

use crate::quantity::{Length, LengthUnit, Rounding};

const FINEST: Length = Length::from_nm(100);

fn shown(length: Length) -> Length {
    length.round_to(FINEST, Rounding::HalfEven)
}

/// Millimetres, three decimals at least.
pub(super) fn millimetres(length: Length) -> String {
    shown(length).to_text(LengthUnit::Millimetre, 3)
}

/// Millimetres with their sign.
pub(super) fn signed(length: Length) -> String {
    let text = millimetres(length.abs());
    match length.is_negative() {
        true => format!("\u{2212}{text}"),
        false => format!("+{text}"),
    }
}

/// Micrometres and their unit, no sign, with at least so many decimals.
pub(super) fn micrometres(length: Length, decimals: u8) -> String {
    format!("{} µm", shown(length.abs()).to_um(decimals))
}

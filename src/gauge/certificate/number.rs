//! Numbers and units of a certificate, exactly.
//!
//! Refuses to round: a length that is no whole number of nanometres is told, not bent.

use crate::quantity::{Decimal, DecimalMark, Length};

/// Units of length with the power of ten of the metre that they are.
///
/// Written as the D-SI form writes units (words behind backslashes; the metre alone is the
/// metre), compared letter by letter.
const UNITS: [(&str, i32); 4] = [
    ("\\metre", 0),
    ("\\milli\\metre", -3),
    ("\\micro\\metre", -6),
    ("\\nano\\metre", -9),
];

/// Why a text is no exact length.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Inexact {
    /// No number.
    NoNumber,
    /// A number, but no whole number of nanometres, or too large for one.
    NotWhole,
}

/// The power of ten of the metre that a unit is; none for any other unit.
pub(super) fn length_power(unit: &str) -> Option<i32> {
    let found = UNITS.iter().find(|(known, _)| *known == unit);
    found.map(|(_, power)| *power)
}

/// A number of the D-SI form, `-0.001` or `1.5E-3`, as digits and the power of ten behind them.
fn digits_of(text: &str) -> Option<(Decimal, i32)> {
    let (number, exponent) = match text.split_once(['e', 'E']) {
        Some((number, exponent)) => (number, exponent.parse::<i16>().ok()?),
        None => (text, 0),
    };
    let number = Decimal::parse(number, DecimalMark::Point).ok()?;
    Some((number, i32::from(exponent)))
}

/// The number without an exponent; none when it is no number or too long a one.
pub(super) fn plain(text: &str) -> Option<Decimal> {
    let (number, exponent) = digits_of(text)?;
    match exponent {
        0 => Some(number),
        up if up > 0 => {
            let factor = 10_i128.checked_pow(u32::try_from(up).ok()?)?;
            let mantissa = number.mantissa().checked_mul(factor)?;
            Decimal::new(mantissa, number.decimals()).ok()
        }
        down => {
            let more = u8::try_from(down.unsigned_abs()).ok()?;
            let decimals = number.decimals().checked_add(more)?;
            Decimal::new(number.mantissa(), decimals).ok()
        }
    }
}

/// The length of a number in a unit that is that power of ten of the metre.
pub(super) fn length(text: &str, power: i32) -> Result<Length, Inexact> {
    let (number, exponent) = digits_of(text).ok_or(Inexact::NoNumber)?;
    let mut nm = number.mantissa();
    // The power of ten of the nanometre that the last digit stands for.
    let mut places = power + 9 + exponent - i32::from(number.decimals());
    while places > 0 && nm != 0 {
        nm = nm.checked_mul(10).ok_or(Inexact::NotWhole)?;
        places -= 1;
    }
    while places < 0 && nm != 0 {
        if nm % 10 != 0 {
            return Err(Inexact::NotWhole);
        }
        nm /= 10;
        places += 1;
    }
    Length::checked_nm(nm).map_err(|_| Inexact::NotWhole)
}

#[cfg(test)]
mod tests {
    use super::{Inexact, length, length_power, plain};
    use crate::quantity::Length;

    #[test]
    fn lengths_are_whole_nanometres_or_refused() {
        let at = |text, unit| length(text, length_power(unit).unwrap());
        assert_eq!(at("2.5", "\\milli\\metre"), Ok(Length::from_um(2_500)));
        assert_eq!(at("-0.001", "\\milli\\metre"), Ok(Length::from_um(-1)));
        assert_eq!(at("1.5E-3", "\\milli\\metre"), Ok(Length::from_nm(1_500)));
        assert_eq!(at("0.15e+1", "\\micro\\metre"), Ok(Length::from_nm(1_500)));
        assert_eq!(at("0.025", "\\metre"), Ok(Length::from_mm(25)));
        assert_eq!(at("0.0000000100", "\\metre"), Ok(Length::from_nm(10)));
        assert_eq!(at("0.1234567", "\\milli\\metre"), Err(Inexact::NotWhole));
        assert_eq!(at("0.5", "\\nano\\metre"), Err(Inexact::NotWhole));
        assert_eq!(at("1e300", "\\metre"), Err(Inexact::NotWhole));
        assert_eq!(at("1e99999", "\\metre"), Err(Inexact::NoNumber));
        assert_eq!(at("0e30000", "\\metre"), Ok(Length::ZERO));
        assert_eq!(at("NaN", "\\metre"), Err(Inexact::NoNumber));
    }

    #[test]
    fn units_are_compared_letter_by_letter() {
        for strange in [
            "mm",
            "\\metre\\milli",
            "\\Milli\\Metre",
            "\\milli",
            "\\inch",
            "",
        ] {
            assert_eq!(length_power(strange), None, "{strange}");
        }
        // The metre is not the millimetre: a thousand times too much would pass unseen.
        assert_ne!(length_power("\\metre"), length_power("\\milli\\metre"));
    }

    #[test]
    fn a_factor_may_have_an_exponent() {
        assert_eq!(plain("2").unwrap().to_string(), "2");
        assert_eq!(plain("2.00E0").unwrap().to_string(), "2.00");
        assert_eq!(plain("20e-1").unwrap().to_string(), "2.0");
        assert_eq!(plain("two"), None);
    }
}

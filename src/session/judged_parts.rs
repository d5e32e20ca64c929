//! Small parts of a judgement: numbers made whole, what limits are noted for, what is worse.

use crate::gauge::Gauge;
use crate::measure::{Judgement, Rule, VerdictWord, judge};
use crate::quantity::{Exact, Length, LengthUnit};
use crate::tolerance::{Derivation, Limits, Surface};

/// Notes of a verdict about where its limits come from.
pub(super) const HOUSE_CLASS: &str = "house_class";
pub(super) const GENERAL_TOLERANCE: &str = "general_tolerance_exceeded";

/// The worth of the last digit of what a gauge shows, for one whose step is not known; at least
/// 1 nm.
pub(super) fn last_digit(decimals: u8, unit: LengthUnit) -> Length {
    let parts = 10_i64.checked_pow(u32::from(decimals));
    Length::from_nm(parts.map_or(1, |parts| unit.nm() / parts).max(1))
}

/// Standard uncertainty of a protractor in milliarcseconds, from its permissible error and step;
/// none when no error is stated.
///
/// Formula: u = sqrt(MPE^2 / 3 + d^2 / 12)
/// Symbols: MPE largest permissible error, rectangular half-width; d step shown.
/// Valid:   any.
/// Rounding: none.
/// Source:  JCGM 100:2008 clause 4.3.7 (rectangular distribution).
/// Checked: tests/logic/session.rs.
/// Errors:  none; None is "no error known".
pub(super) fn angular_uncertainty_mas(gauge: &Gauge) -> Option<f64> {
    let error = gauge.angular.mpe?.units_f64();
    let step = gauge.angular.resolution.map_or(0.0, Exact::units_f64);
    Some((error * error / 3.0 + step * step / 12.0).sqrt())
}

/// A house class is marked everywhere; a general tolerance that is exceeded says what ISO 2768-1
/// says of that.
pub(super) fn note_derivation<Q: Exact>(
    limits: &Limits<Q>,
    judgement: &Judgement<Q>,
    notes: &mut Vec<String>,
) {
    let derivation = limits.derivation();
    if derivation.is_house() {
        notes.push(HOUSE_CLASS.to_owned());
    }
    let general = matches!(
        derivation,
        Derivation::General { .. } | Derivation::GeneralAngle { .. }
    );
    if general && judgement.verdict == VerdictWord::NoGo {
        notes.push(GENERAL_TOLERANCE.to_owned());
    }
}

/// NO-GO is worse than DOUBT, DOUBT worse than GO.
pub(super) fn severity(word: VerdictWord) -> u8 {
    match word {
        VerdictWord::Go => 0,
        VerdictWord::Doubt => 1,
        VerdictWord::NoGo => 2,
    }
}

/// Side and distances without any uncertainty: simple acceptance cannot be refused.
#[allow(clippy::expect_used)]
pub(super) fn judged_simply<Q: Exact>(
    value: Q,
    limits: &Limits<Q>,
    surface: Surface,
) -> Judgement<Q> {
    judge(value, limits, surface, None, Some(Rule::Simple))
        .expect("simple acceptance needs nothing but value and limits")
}

/// An uncertainty in whole smallest steps, rounded up so that it is never understated.
#[allow(clippy::cast_possible_truncation)]
pub(super) fn whole_steps_up(u: f64) -> i64 {
    (u * (1.0 - 1e-12)).ceil() as i64
}

/// A probability in parts per million, to the nearest.
#[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
pub(super) fn parts_per_million(probability: f64) -> u32 {
    (probability.clamp(0.0, 1.0) * 1e6).round() as u32
}

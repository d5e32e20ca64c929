//! The bore of a bush before and after the bush is pressed into its housing.

use super::press_error::PressError;
use crate::quantity::Length;
use crate::tolerance::{CalloutError, CalloutLimits, Context, Surface, parse_callout_in};

/// A bore that a bush may have, mm (chosen: as wide as a joint).
const BORE_MM: (f64, f64) = (0.1, 3_150.0);

/// A bush's bore as it is before pressing, and its limits, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreAsked {
    /// Before pressing, at its smallest and its largest: as measured, else anywhere within its
    /// limits.
    pub before_mm: (f64, f64),
    /// Its limits.
    pub limits_mm: (f64, f64),
}

impl BoreAsked {
    /// A bore with such limits, and as it was measured.
    pub fn new(limits_mm: (f64, f64), measured_mm: Option<f64>) -> Self {
        let before_mm = measured_mm.map_or(limits_mm, |bore| (bore, bore));
        Self {
            before_mm,
            limits_mm,
        }
    }
}

/// The two limits of a bore that is called out, such as `16 H7`; none: it is no size of a bore with
/// two limits.
///
/// # Errors
/// The callout cannot be read, or has no limits in those tables.
pub fn bore_limits(
    callout: &str,
    context: &Context<'_>,
) -> Result<Option<(Length, Length)>, CalloutError> {
    Ok(
        match parse_callout_in(callout, context.tables)?.limits(context)? {
            CalloutLimits::Size(size) if size.surface != Some(Surface::Outside) => {
                size.limits.lower().zip(size.limits.upper())
            }
            _ => None,
        },
    )
}

/// What becomes of a bush's bore.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BoreAfter {
    /// The bore after pressing, mm: at its smallest and at its largest.
    pub after_mm: (f64, f64),
    /// Limits to make it to before pressing, mm, so that it is within its own afterwards whatever
    /// the pair; none: the shrinkage differs by more than its tolerance, so it must be finished
    /// after pressing.
    pub before_mm: Option<(f64, f64)>,
    /// It is within its limits after pressing, whatever the pair.
    pub stays: bool,
}

/// The bore of a bush after pressing, and what to make it to before.
///
/// Formula: after: from b_min - s_max to b_max - s_min; to be made: from L + s_max to U + s_min
/// Symbols: b_min, b_max bore before (mm); s_min, s_max shrinkage of the loosest and the tightest
///          pair (mm on the diameter); L, U the bore's limits (mm).
/// Valid:   shrinkage as [`super::Joint::shaft_bore_shrink_mm`] gives it; a bore that is round.
/// Rounding: none.
/// Source:  definition of the shrinkage; the rest is arithmetic.
/// Checked: tests/logic/press.rs.
/// Errors:  `OutOfRange`, `Reversed`.
pub fn bore_after_pressing(
    bore_mm: (f64, f64),
    shrink_mm: (f64, f64),
    limits_mm: (f64, f64),
) -> Result<BoreAfter, PressError> {
    for (name, (least, most)) in [
        ("bore of the bush", bore_mm),
        ("limit of the bore", limits_mm),
    ] {
        PressError::within(name, least, BORE_MM, "0.1 to 3150 mm")?;
        PressError::within(name, most, BORE_MM, "0.1 to 3150 mm")?;
        if least > most {
            let (least_mm, most_mm) = (least, most);
            return Err(PressError::Reversed { least_mm, most_mm });
        }
    }
    let after_mm = (bore_mm.0 - shrink_mm.1, bore_mm.1 - shrink_mm.0);
    let before = (limits_mm.0 + shrink_mm.1, limits_mm.1 + shrink_mm.0);
    Ok(BoreAfter {
        after_mm,
        before_mm: (before.0 < before.1).then_some(before),
        stays: after_mm.0 >= limits_mm.0 && after_mm.1 <= limits_mm.1,
    })
}

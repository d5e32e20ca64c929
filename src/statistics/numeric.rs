//! The two tools behind the intervals: a zero of a monotone function, an integral by panels.

use super::StatisticsError;

/// Half the abscissas and the weights of the 16-point Gauss-Legendre rule on -1 to 1: exact for
/// polynomials up to degree 31 (computed with mpmath 1.4.0; held by a test).
const ABSCISSAS: [f64; 8] = [
    0.095_012_509_837_637_44,
    0.281_603_550_779_258_9,
    0.458_016_777_657_227_37,
    0.617_876_244_402_643_8,
    0.755_404_408_355_003,
    0.865_631_202_387_831_8,
    0.944_575_023_073_232_6,
    0.989_400_934_991_649_9,
];
const WEIGHTS: [f64; 8] = [
    0.189_450_610_455_068_5,
    0.182_603_415_044_923_58,
    0.169_156_519_395_002_54,
    0.149_595_988_816_576_74,
    0.124_628_971_255_533_88,
    0.095_158_511_682_492_79,
    0.062_253_523_938_647_894,
    0.027_152_459_411_754_096,
];

/// More steps than the search for a bracket or a zero can need.
const STEPS_MAX: usize = 200;

/// The integral of `f` over the panels between neighbouring breaks, which must ascend.
pub(super) fn integral(breaks: &[f64], mut f: impl FnMut(f64) -> f64) -> f64 {
    let mut total = 0.0;
    for panel in breaks.windows(2) {
        let (middle, half) = (0.5 * (panel[0] + panel[1]), 0.5 * (panel[1] - panel[0]));
        if half <= 0.0 {
            continue;
        }
        for (x, weight) in ABSCISSAS.iter().zip(WEIGHTS) {
            total += half * weight * (f(middle - half * x) + f(middle + half * x));
        }
    }
    total
}

/// The abscissas and weights of the same rule, for functions worth keeping between integrals.
pub(super) fn nodes(breaks: &[f64]) -> Vec<(f64, f64)> {
    let mut found = Vec::with_capacity(16 * breaks.len());
    for panel in breaks.windows(2) {
        let (middle, half) = (0.5 * (panel[0] + panel[1]), 0.5 * (panel[1] - panel[0]));
        for (x, weight) in ABSCISSAS.iter().zip(WEIGHTS) {
            found.push((middle - half * x, half * weight));
            found.push((middle + half * x, half * weight));
        }
    }
    found
}

/// `count` + 1 equally spaced breaks.
pub(super) fn spaced(from: f64, to: f64, count: usize) -> Vec<f64> {
    (0..=count)
        .map(|at| from + (to - from) * at as f64 / count as f64)
        .collect()
}

/// Where the rising function `f` passes zero, searched above `least` from `near` in growing steps
/// and then closed in to the last digits; an error where it passes zero nowhere.
pub(super) fn zero_near(
    near: f64,
    step: f64,
    least: f64,
    f: impl Fn(f64) -> f64,
) -> Result<f64, StatisticsError> {
    let (mut low, mut high) = ((near - step).max(least), near + step);
    let (mut at_low, mut at_high) = (f(low), f(high));
    let mut width = step;
    for _ in 0..STEPS_MAX {
        width *= 2.0;
        if at_low > 0.0 {
            (high, at_high) = (low, at_low);
            low = if low - width > least {
                low - width
            } else {
                0.5 * (low + least)
            };
            at_low = f(low);
        } else if at_high < 0.0 {
            (low, at_low) = (high, at_high);
            high += width;
            at_high = f(high);
        } else {
            return Ok(zero_between((low, at_low), (high, at_high), &f));
        }
    }
    Err(StatisticsError::OutOfRange {
        name: "searched value",
        found: near,
        allowed: "within the range of floats",
    })
}

/// The zero between two places with different signs.
///
/// T. R. Chandrupatla, A new hybrid quadratic/bisection algorithm for finding the zero of a
/// nonlinear function, Advances in Engineering Software 28 (1997) 145-149 (from memory): inverse
/// quadratic interpolation where it is safe, halving elsewhere, so it always ends.
pub(super) fn zero_between(low: (f64, f64), high: (f64, f64), f: impl Fn(f64) -> f64) -> f64 {
    let (mut here, mut at_here) = high;
    let (mut there, mut at_there) = low;
    if let Some(end) = [low, high]
        .iter()
        .find(|end| end.1.abs() < f64::MIN_POSITIVE)
    {
        return end.0;
    }
    let mut share = 0.5;
    for _ in 0..STEPS_MAX {
        let next = here + share * (there - here);
        let at_next = f(next);
        let (before, at_before);
        if (at_next > 0.0) == (at_here > 0.0) {
            (before, at_before) = (here, at_here);
        } else {
            (before, at_before) = (there, at_there);
            (there, at_there) = (here, at_here);
        }
        (here, at_here) = (next, at_next);
        let (best, at_best) = if at_there.abs() < at_here.abs() {
            (there, at_there)
        } else {
            (here, at_here)
        };
        let smallest =
            0.5 * (2.0 * f64::EPSILON * best.abs() + f64::MIN_POSITIVE) / (there - here).abs();
        if smallest > 0.5 || !smallest.is_finite() || at_best.abs() < f64::MIN_POSITIVE {
            return best;
        }
        let place = (here - there) / (before - there);
        let height = (at_here - at_there) / (at_before - at_there);
        let safe = height * height < place && (1.0 - height) * (1.0 - height) < 1.0 - place;
        share = if safe {
            at_here / (at_there - at_here) * at_before / (at_there - at_before)
                + (before - here) / (there - here) * at_here / (at_before - at_here) * at_there
                    / (at_before - at_there)
        } else {
            0.5
        };
        share = share.clamp(smallest, 1.0 - smallest);
    }
    here
}

#[cfg(test)]
mod tests {
    use super::{integral, spaced, zero_near};

    #[test]
    fn the_rule_is_exact_for_polynomials_up_to_degree_31() {
        for degree in 0..=31_i32 {
            let found = integral(&[0.0, 1.0], |x| x.powi(degree));
            assert!(
                (found * f64::from(degree + 1) - 1.0).abs() < 1e-14,
                "{degree}"
            );
        }
        let missed = integral(&[0.0, 1.0], |x| x.powi(31)) * 32.0 - 1.0;
        assert!(missed.abs() < 1e-14);
        assert_eq!(spaced(0.0, 1.0, 4).len(), 5);
    }

    #[test]
    fn zeros_are_found_from_both_sides_and_far_away() {
        for (wanted, near) in [(3.0, 0.0), (-2000.0, 1.0), (1e-3, 5.0), (7e6, 0.1)] {
            let line = zero_near(near, 1.0, -1e12, |x| x - wanted).unwrap();
            let flat = zero_near(near, 1.0, -1e12, |x| (x - wanted).powi(3)).unwrap();
            assert!((line - wanted).abs() <= 1e-14 * wanted.abs(), "{line}");
            assert!((flat - wanted).abs() <= 1e-4 * wanted.abs(), "{flat}");
        }
        assert!(zero_near(0.0, 1.0, -1e12, |_| 1.0).is_err());
    }
}

//! The test of Anderson and Darling for a normal distribution with unknown mean and spread.

use std::f64::consts::PI;

use super::StatisticsError;
use super::checked::{enough, mean_and_sd, sum};
use super::ordered::ascending;
use super::special::normal_cdf;

/// The fewest values for which the probability is tabulated.
const VALUES_MIN: usize = 8;
/// Where the tail's probability has no digits left.
const FAR: f64 = 30.0;
/// The width of the cells in which both logarithms are expanded, in standard deviations.
const CELL: f64 = 1.0 / 32.0;
/// How many values make an expansion worth its while (chosen, not tuned).
const EXPANDED_FROM: usize = 10;
/// How many values are taken side by side.
const LANES: usize = 8;
/// Terms of an expansion: with half a cell of 1/64 and the nearest singular point more than 2.5
/// away, the first term left out is below 1e-17.
const TERMS: usize = 8;
/// Above this the formula for the probability turns back up; there it is below 1e-30 anyway.
const ADJUSTED_MAX: f64 = 13.0;

/// How far a sample lies from a normal distribution.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct AndersonDarling {
    /// The statistic A squared.
    pub a2: f64,
    /// The same, adjusted to the number of values.
    pub adjusted: f64,
    /// The probability that normal values lie so far away or further.
    pub p: f64,
}

/// The test of Anderson and Darling, mean and standard deviation estimated from the values.
///
/// Formula: A2 = -n - sum (2i - 1)(ln F(z_i) + ln(1 - F(z_(n+1-i))))/n; adjusted
///          A2 (1 + 0.75/n + 2.25/n2); its probability by four exponentials of a parabola
/// Symbols: n number of values; z sorted (value - mean)/standard deviation; F normal distribution.
/// Valid:   8 values and more; the probability not below 5e-31. A2 within 1e-9 max(1, n/1e4)
///          relative (measured up to 1e6 values).
/// Rounding: none.
/// Source:  R. B. D'Agostino, M. A. Stephens, Goodness-of-Fit Techniques (1986), table 4.9
///          (number from memory).
/// Checked: tests/tables/normality.json, tests/tables/normality_references.json.
/// Errors:  `NotFinite`, `TooFew`, `AllEqual`.
pub fn anderson_darling(values: &[f64]) -> Result<AndersonDarling, StatisticsError> {
    enough(values.len(), VALUES_MIN, "the Anderson-Darling test")?;
    let (mean, sd) = mean_and_sd(values)?;
    let mut z = ascending(values);
    for value in &mut z {
        *value = (*value - mean) / sd;
    }
    let n = z.len() as f64;
    let a2 = (-n - weighted_logarithms(&z) / n).max(0.0);
    let adjusted = a2 * (1.0 + 0.75 / n + 2.25 / (n * n));
    Ok(AndersonDarling {
        a2,
        adjusted,
        p: probability(adjusted),
    })
}

/// The probability of a statistic so large or larger.
fn probability(adjusted: f64) -> f64 {
    let a = adjusted.min(ADJUSTED_MAX);
    if a < 0.2 {
        1.0 - (-13.436 + 101.14 * a - 223.73 * a * a).exp()
    } else if a < 0.34 {
        1.0 - (-8.318 + 42.796 * a - 59.938 * a * a).exp()
    } else if a < 0.6 {
        (0.9177 - 4.279 * a - 1.38 * a * a).exp()
    } else {
        (1.2937 - 5.709 * a + 0.0186 * a * a).exp()
    }
}

/// The sum over i of (2i - 1) ln F(z_i) + (2n - 2i + 1) ln(1 - F(z_i)), z ascending.
///
/// Many values share a cell: there both logarithms are expanded once about its middle, which
/// costs neither an exponential nor a logarithm for the single value.
fn weighted_logarithms(z: &[f64]) -> f64 {
    let n = z.len();
    let mut cells = Vec::new();
    let mut from = 0;
    while from < n {
        let middle = (z[from] / CELL).round() * CELL;
        let end = from + z[from..].partition_point(|at| *at <= middle + 0.5 * CELL);
        let end = end.max(from + 1);
        let cell = &z[from..end];
        // The weight of ln F of the first value; that of ln(1 - F) makes up for 2n.
        let first = (2 * from + 1) as f64;
        cells.push(if cell.len() < EXPANDED_FROM || middle.abs() > FAR {
            one_by_one(cell, first, 2.0 * n as f64)
        } else {
            expanded(cell, middle, first, 2.0 * n as f64)
        });
        from = end;
    }
    sum(cells.into_iter())
}

fn one_by_one(cell: &[f64], first: f64, both: f64) -> f64 {
    let terms = cell.iter().enumerate().map(|(at, z)| {
        let weight = first + 2.0 * at as f64;
        weight * log_below(*z) + (both - weight) * log_below(-z)
    });
    sum(terms)
}

/// The logarithm of the normal distribution function, also where the function itself vanishes.
fn log_below(z: f64) -> f64 {
    if z > 0.0 {
        return (-normal_cdf(-z)).ln_1p();
    }
    if z > -FAR {
        return normal_cdf(z).ln();
    }
    let y = 1.0 / (z * z);
    let series = y * (-1.0 + y * (3.0 + y * (-15.0 + y * 105.0)));
    -0.5 * z * z - (-z).ln() - 0.5 * (2.0 * PI).ln() + series.ln_1p()
}

fn expanded(cell: &[f64], middle: f64, first: f64, both: f64) -> f64 {
    let (below, above) = expansions(middle);
    let mut lanes = [0.0_f64; LANES];
    let mut weights: [f64; LANES] = std::array::from_fn(|at| first + 2.0 * at as f64);
    let mut eights = cell.chunks_exact(LANES);
    for eight in &mut eights {
        let mut steps = [0.0; LANES];
        for (step, z) in steps.iter_mut().zip(eight) {
            *step = z - middle;
        }
        let (low, high) = (polynomials(&below, &steps), polynomials(&above, &steps));
        for at in 0..LANES {
            lanes[at] += weights[at] * low[at] + (both - weights[at]) * high[at];
            weights[at] += 2.0 * LANES as f64;
        }
    }
    let rest = eights.remainder().iter().zip(weights).map(|(z, weight)| {
        let steps = [z - middle; LANES];
        weight * polynomials(&below, &steps)[0] + (both - weight) * polynomials(&above, &steps)[0]
    });
    let rest: f64 = rest.sum();
    lanes.iter().sum::<f64>() + rest
}

/// A polynomial at eight places side by side, which the compiler does in wide registers.
fn polynomials(coefficients: &[f64; TERMS], places: &[f64; LANES]) -> [f64; LANES] {
    let mut sums = [0.0; LANES];
    for term in coefficients.iter().rev() {
        for (sum, x) in sums.iter_mut().zip(places) {
            *sum = *sum * x + term;
        }
    }
    sums
}

/// The power series of ln F and ln(1 - F) about `middle`.
fn expansions(middle: f64) -> ([f64; TERMS], [f64; TERMS]) {
    // The density's series: f' = -z f.
    let mut density = [0.0; TERMS];
    density[0] = (-0.5 * middle * middle).exp() / (2.0 * PI).sqrt();
    density[1] = -middle * density[0];
    for k in 2..TERMS {
        density[k] = -(middle * density[k - 1] + density[k - 2]) / k as f64;
    }
    (
        log_series(log_below(middle), &density, normal_cdf(middle)),
        log_series(
            log_below(-middle),
            &density.map(|term| -term),
            normal_cdf(-middle),
        ),
    )
}

/// The series of the logarithm of a function with this value and this series of its derivative.
fn log_series(start: f64, derivative: &[f64; TERMS], value: f64) -> [f64; TERMS] {
    let mut function = [1.0; TERMS];
    for k in 1..TERMS {
        function[k] = derivative[k - 1] / value / k as f64;
    }
    let mut found = [start; TERMS];
    for k in 1..TERMS {
        let known: f64 = (1..k).map(|j| j as f64 * found[j] * function[k - j]).sum();
        found[k] = function[k] - known / k as f64;
    }
    found
}

#[cfg(test)]
mod tests {
    use super::{CELL, LANES, expansions, log_below, polynomials};

    #[test]
    fn the_expansions_meet_the_functions_at_the_ends_of_every_cell() {
        for cell in -320_i32..=320 {
            let middle = f64::from(cell) * CELL;
            let (below, above) = expansions(middle);
            for step in [-0.5 * CELL, 0.3 * CELL, 0.5 * CELL] {
                let (low, high) = (log_below(middle + step), log_below(-middle - step));
                let allowed = |wanted: f64| 2e-14 * wanted.abs() + 1e-17;
                assert!(
                    (polynomials(&below, &[step; LANES])[0] - low).abs() <= allowed(low),
                    "{middle} {low}"
                );
                assert!(
                    (polynomials(&above, &[step; LANES])[0] - high).abs() <= allowed(high),
                    "{middle}"
                );
            }
        }
    }

    #[test]
    fn the_logarithm_joins_where_the_function_vanishes() {
        let (near, far) = (log_below(-29.999_999_999), log_below(-30.000_000_001));
        assert!((near - far - 30.0 * 2e-9).abs() < 3e-9, "{near} {far}");
        assert!(log_below(-1000.0).is_finite() && log_below(1000.0).abs() < 1e-300);
    }
}

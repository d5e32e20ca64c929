//! Lengths in a row: what remains of a gap when some add to it and some take from it.

use super::meeting::Member;
use super::pair_error::PairError;
use crate::quantity::Length;

/// Most lengths in a row (chosen: an assembly of a small workshop has a handful).
pub const LINKS_MAX: usize = 100;

/// One length of the row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StackLink {
    /// It takes from the gap instead of adding to it.
    pub takes: bool,
    /// Its limits, lower and upper.
    pub limits: (Length, Length),
    /// What it measured, at 20 degrees C; none: not measured.
    pub measured: Option<Member>,
}

/// What is left in the row.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stacked {
    /// From the limits alone: the least and the most that can be.
    pub worst: (Length, Length),
    /// From the limits alone: the middle, nm.
    pub middle_nm: f64,
    /// And half of what all but about 3 of 1000 assemblies keep within, nm.
    pub half_statistical_nm: f64,
    /// With the measured lengths in place of their limits: the least and the most that can be.
    pub known: (Length, Length),
    /// Standard uncertainty of the measured lengths together, nm; none where one of them has none,
    /// or nothing is measured.
    pub standard_nm: Option<f64>,
    /// How many are measured.
    pub measured: usize,
}

/// What remains of a row of lengths, from their limits and from what is measured.
///
/// Formula: worst case sum(lower+) - sum(upper-) to sum(upper+) - sum(lower-); statistical: middle
///          +- sqrt(sum((t/2)^2)); measured lengths stand for both of their limits;
///          u = sqrt(sum(u^2))
/// Symbols: lower, upper limits of lengths that add (+) and take (-); t = upper - lower; u standard
///          uncertainties (nm).
/// Valid:   1 to 100 lengths, limits not reversed. The statistical half width supposes lengths that
///          are made centred, independent, and each with six standard deviations in its tolerance.
/// Rounding: none: sums are exact.
/// Source:  dimension chains: arithmetic and root-sum-square tolerancing, textbook (from memory).
/// Checked: tests/logic/stack.rs.
/// Errors:  `LimitsReversed`, `StackLength` for a row of none or too many, `TooLong`.
pub fn stack(links: &[StackLink]) -> Result<Stacked, PairError> {
    if links.is_empty() || links.len() > LINKS_MAX {
        return Err(PairError::StackLength { found: links.len() });
    }
    let mut found = Stacked {
        worst: (Length::ZERO, Length::ZERO),
        middle_nm: 0.0,
        half_statistical_nm: 0.0,
        known: (Length::ZERO, Length::ZERO),
        standard_nm: None,
        measured: 0,
    };
    let (mut halves, mut variance) = (0.0, Some(0.0));
    for link in links {
        let (lower, upper) = link.limits;
        if lower > upper {
            return Err(PairError::LimitsReversed { lower, upper });
        }
        found.worst = added(found.worst, link.limits, link.takes)?;
        let size = link.measured.map(|one| (one.size, one.size));
        found.known = added(found.known, size.unwrap_or(link.limits), link.takes)?;
        halves += (0.5 * (upper - lower).as_nm_f64()).powi(2);
        if let Some(one) = link.measured {
            found.measured += 1;
            variance = variance.zip(one.standard_nm).map(|(sum, u)| sum + u * u);
        }
    }
    found.middle_nm = f64::midpoint(found.worst.0.as_nm_f64(), found.worst.1.as_nm_f64());
    found.half_statistical_nm = halves.sqrt();
    found.standard_nm = variance.filter(|_| found.measured > 0).map(f64::sqrt);
    Ok(found)
}

/// The range with one more length; a length that takes turns round.
fn added(
    sum: (Length, Length),
    (lower, upper): (Length, Length),
    takes: bool,
) -> Result<(Length, Length), PairError> {
    let (lower, upper) = match takes {
        false => (lower, upper),
        true => (-upper, -lower),
    };
    let plus = |one: Length, other: Length| {
        Length::checked_nm(i128::from(one.as_nm()) + i128::from(other.as_nm()))
            .map_err(|_| PairError::TooLong)
    };
    Ok((plus(sum.0, lower)?, plus(sum.1, upper)?))
}

//! Repeated readings of one point: do they agree, and what is their mean.

use crate::gauge::GaugeError;
use crate::quantity::Length;

/// The repeatability limit: two readings differ by more than so many s_r in 5 of 100 cases.
const LIMIT_FACTOR: f64 = 2.8;
/// The repeatability taken from a maximum permissible error is one part in so many of it.
const MPE_SHARE: f64 = 3.0;

/// Repeatability of a gauge at this bench.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Repeatability {
    /// Standard deviation s_r, nm.
    pub standard_nm: f64,
    /// Where it comes from.
    pub origin: RepeatabilityOrigin,
    /// The digital step, which no agreement can be finer than.
    pub resolution: Length,
}

/// Where a repeatability comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RepeatabilityOrigin {
    /// A study at this bench.
    Study,
    /// A third of the maximum permissible error (chosen).
    PermissibleError,
    /// The standard uncertainty of the calibration (chosen).
    Calibration,
    /// The digital step (chosen).
    Resolution,
}

/// What repeated readings of one point come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Repeats {
    /// They agree (a single reading agrees with itself).
    Agreed {
        /// Their mean, rounded once, half to even, to 1 nm.
        mean: Length,
        /// How many were averaged.
        readings: u32,
    },
    /// They disagree: DOUBT, "readings disagree", until one is voided.
    Disagree {
        /// The smallest reading.
        smallest: Length,
        /// The largest reading.
        largest: Length,
        /// How far apart they may be.
        limit: Length,
    },
}

impl Repeatability {
    /// What is known of a gauge's repeatability: a study, else a third of the maximum
    /// permissible error, else the calibration's standard uncertainty, else the step alone;
    /// none when nothing is known. Only the study's may shrink an uncertainty; the others only
    /// say when readings disagree.
    pub fn of(gauge: &GaugeError) -> Option<Self> {
        let resolution = gauge.resolution.unwrap_or(Length::ZERO).abs();
        let calibration = gauge.calibration.as_ref();
        let (standard_nm, origin) = if let Some(study) = gauge.repeatability {
            (study.abs().as_nm_f64(), RepeatabilityOrigin::Study)
        } else if let Some(mpe) = gauge.mpe {
            let third = mpe.abs().as_nm_f64() / MPE_SHARE;
            (third, RepeatabilityOrigin::PermissibleError)
        } else if let Some(calibration) = calibration {
            (calibration.standard_nm(), RepeatabilityOrigin::Calibration)
        } else {
            let step = gauge.resolution?.abs().as_nm_f64();
            (step / 12.0_f64.sqrt(), RepeatabilityOrigin::Resolution)
        };
        Some(Self {
            standard_nm,
            origin,
            resolution,
        })
    }

    /// How far apart repeated readings may be and still agree.
    ///
    /// Formula: r = 2.8 s_r, at least one digital step
    /// Symbols: s_r repeatability standard deviation (nm).
    /// Valid:   any number of readings, their whole spread against the limit for two: strict for
    ///          more than two, so that a stray reading is seen.
    /// Rounding: down to 1 nm.
    /// Source:  repeatability limit: ISO 5725-6 (from memory), 1.96 sqrt 2 = 2.77; the step:
    ///          chosen, neighbouring steps cannot be told from equal.
    /// Checked: tests/logic/measure_repeats.rs.
    /// Errors:  none.
    #[allow(clippy::cast_possible_truncation)]
    pub fn limit(&self) -> Length {
        let limit = (LIMIT_FACTOR * self.standard_nm * (1.0 + 1e-12)).floor();
        Length::from_nm(limit as i64).max(self.resolution)
    }
}

/// What the readings of one point come to, oldest first; none for no reading. While cutting, the
/// latest counts alone. Without a known repeatability any spread agrees: nothing says otherwise.
///
/// Formula: mean = sum / n when largest - smallest <= limit
/// Symbols: n readings.
/// Valid:   n >= 1.
/// Rounding: once, half to even, to 1 nm.
/// Source:  mean and repeatability limit as in [`Repeatability::limit`].
/// Checked: tests/logic/measure_repeats.rs.
/// Errors:  none.
pub fn settled_repeats(
    readings: &[Length],
    repeatability: Option<&Repeatability>,
    cutting: bool,
) -> Option<Repeats> {
    let latest = *readings.last()?;
    if cutting {
        return Some(Repeats::Agreed {
            mean: latest,
            readings: 1,
        });
    }
    let smallest = readings.iter().copied().min()?;
    let largest = readings.iter().copied().max()?;
    if let Some(limit) = repeatability.map(Repeatability::limit)
        && largest - smallest > limit
    {
        return Some(Repeats::Disagree {
            smallest,
            largest,
            limit,
        });
    }
    let count = u32::try_from(readings.len()).ok()?;
    let sum: Length = readings.iter().copied().sum();
    Some(Repeats::Agreed {
        mean: sum.div_half_even(i64::from(count)),
        readings: count,
    })
}

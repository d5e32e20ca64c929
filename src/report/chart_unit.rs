//! From the smallest steps of a row to the millimetres or degrees that are shown.

use crate::journal::ValueUnit;
use crate::session::{BatchSeries, Target, TargetLimits};
use crate::statistics::{ControlLimits, Histogram, Limits, Line};

/// Smallest steps in a millimetre and in a degree.
const NM_IN_MM: f64 = 1e6;
const MAS_IN_DEGREE: f64 = 3_600_000.0;
/// Decimals of an angle in degrees.
const ANGLE_DECIMALS: usize = 4;
/// Nanometres in a millimetre, and what a row without a step is read to.
const MM: i64 = 1_000_000;
const STEP_USUAL: i64 = 1_000;

/// How whole steps become the numbers that are shown.
#[derive(Debug, Clone, Copy)]
pub struct ChartUnit {
    per_unit: f64,
    name: &'static str,
    decimals: usize,
}

impl ChartUnit {
    /// That of a row: millimetres to the last digit of its finest gauge, or degrees.
    pub fn of(series: &BatchSeries) -> Self {
        match series.unit {
            ValueUnit::Milliarcsecond => Self {
                per_unit: MAS_IN_DEGREE,
                name: "°",
                decimals: ANGLE_DECIMALS,
            },
            ValueUnit::Nanometre | ValueUnit::Check => Self {
                per_unit: NM_IN_MM,
                name: "mm",
                decimals: decimals(series),
            },
        }
    }

    /// `mm` or `°`.
    pub fn name(self) -> &'static str {
        self.name
    }

    /// Decimals of its values as read.
    pub fn decimals(self) -> usize {
        self.decimals
    }

    /// A number of steps in the unit.
    pub fn value(self, steps: f64) -> f64 {
        steps / self.per_unit
    }

    /// Whole steps in the unit.
    pub fn whole(self, steps: i64) -> f64 {
        self.value(steps as f64)
    }

    /// The steps of a value.
    pub(super) fn steps(self, value: f64) -> f64 {
        value * self.per_unit
    }

    /// The limits of size; none for what has no sizes.
    pub(super) fn limits_of(self, target: &Target) -> Option<Limits> {
        let (lower, upper) = match &target.limits {
            TargetLimits::Length(limits) => (
                limits.lower().map(|limit| limit.as_nm()),
                limits.upper().map(|limit| limit.as_nm()),
            ),
            TargetLimits::Angle(limits) => (
                limits.lower().map(|limit| limit.as_mas()),
                limits.upper().map(|limit| limit.as_mas()),
            ),
            TargetLimits::Check(_) => return None,
        };
        let shown = |limit: Option<i64>| limit.map(|limit| self.whole(limit));
        Limits::new(shown(lower), shown(upper)).ok()
    }

    pub(super) fn control(self, limits: ControlLimits) -> ControlLimits {
        ControlLimits {
            lower: self.value(limits.lower),
            centre: self.value(limits.centre),
            upper: self.value(limits.upper),
        }
    }

    pub(super) fn histogram(self, found: &Histogram) -> Histogram {
        Histogram {
            start: self.value(found.start),
            bin_width: self.value(found.bin_width),
            ..found.clone()
        }
    }

    /// The line over the same places.
    pub(super) fn line(self, line: &Line) -> Line {
        Line {
            intercept: self.value(line.intercept),
            slope: self.value(line.slope),
            residual_sd: self.value(line.residual_sd),
            intercept_sd: self.value(line.intercept_sd),
            slope_sd: self.value(line.slope_sd),
            value_mean: self.value(line.value_mean),
            ..*line
        }
    }
}

/// As many decimals as the finest gauge of the row shows.
fn decimals(series: &BatchSeries) -> usize {
    let steps = series.points().iter().map(|point| point.step);
    let finest = steps.filter(|step| *step > 0).min().unwrap_or(STEP_USUAL);
    let mut decimals = 0;
    let mut place = MM;
    while place > 1 && finest % place != 0 {
        place /= 10;
        decimals += 1;
    }
    decimals
}

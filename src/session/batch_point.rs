//! One part in the row of a characteristic.

use super::state::{Characteristic, State};
use crate::journal::{Outcome, Sequence};
use crate::measure::VerdictWord;
use crate::quantity::Length;
use crate::statistics::Signals;

/// One part in the row of a characteristic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BatchPoint {
    /// Number of the part.
    pub part: u32,
    /// The newest reading that its value rests on.
    pub reading: Sequence,
    /// Value at 20 °C in smallest steps: of several points their mean, half to even.
    pub value: i64,
    /// The smallest of its points.
    pub smallest: i64,
    /// The largest of its points.
    pub largest: i64,
    /// Step of the gauge in smallest steps; the coarsest, where gauges differ.
    pub step: i64,
    /// A gauge was found wrong after it: it is shown and counts for nothing.
    pub is_in_doubt: bool,
    /// The tests that signal at this part.
    pub signals: Signals,
    /// The values of its points, where there are several.
    several: Box<[i64]>,
}

/// How a characteristic stands on a part.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PartStanding {
    /// GO.
    Go,
    /// NO-GO.
    NoGo,
    /// DOUBT, or in doubt since.
    Doubt,
    /// Recorded, and nothing is proved by it.
    Noted,
    /// Not all measured.
    Open,
    /// Left out by the sampling plan.
    NotSelected,
}

impl BatchPoint {
    /// The part in the row; none until all its points have a value.
    pub(super) fn of(state: &State, part: u32, one: &Characteristic) -> Option<Self> {
        let values = || one.points.iter().map(|point| point.value_at_20);
        let value = mean_of_points(one)?;
        let readings = || one.points.iter().map(|point| point.reading);
        Some(Self {
            part,
            reading: readings().max().unwrap_or_default(),
            value,
            smallest: values().min().unwrap_or(value),
            largest: values().max().unwrap_or(value),
            step: readings().map(|at| step_of(state, at)).max().unwrap_or(1),
            is_in_doubt: one.is_in_doubt(),
            signals: Signals::default(),
            several: match one.points.len() {
                1 => Box::default(),
                _ => values().collect(),
            },
        })
    }

    /// The values of its points, in their order.
    pub fn values(&self) -> &[i64] {
        match self.several.is_empty() {
            true => std::slice::from_ref(&self.value),
            false => &self.several,
        }
    }

    /// The same but for what its neighbours make of it.
    pub(super) fn is_same(&self, other: &Self) -> bool {
        let numbers = |one: &Self| (one.part, one.reading, one.value, one.step, one.is_in_doubt);
        numbers(self) == numbers(other) && self.values() == other.values()
    }
}

/// Mean of the points of a characteristic, half to even; none until all have a value.
pub fn mean_of_points(one: &Characteristic) -> Option<i64> {
    let mut sum = 0_i64;
    for point in &one.points {
        point.outcome?;
        sum = sum.checked_add(point.value_at_20)?;
    }
    let count = i64::try_from(one.points.len()).ok()?;
    (count > 0).then(|| Length::from_nm(sum).div_half_even(count).as_nm())
}

/// The step of the gauge that gave a reading: as the register says, else as it was shown.
fn step_of(state: &State, reading: Sequence) -> i64 {
    let Some(record) = state.reading(reading) else {
        return 1;
    };
    let setup = state.setup();
    let gauge = record.gauge.and_then(|index| setup.gauge_id(index));
    let known = gauge.and_then(|gauge| setup.gauge(&gauge)?.step());
    let is_angle = setup
        .targets
        .get(usize::from(record.target))
        .is_some_and(super::setup::Target::is_angle);
    match known {
        _ if is_angle => 1,
        Some(step) => step.value().as_nm().max(1),
        None => {
            let shown = record.shown;
            let decimals = 10_i64.checked_pow(u32::from(shown.decimals));
            decimals.map_or(1, |parts| (shown.unit.nm() / parts).max(1))
        }
    }
}

/// How a characteristic stands on a part; what the sampling plan left out and nobody measured is
/// not selected, and never good.
pub(super) fn standing_of(one: &Characteristic) -> PartStanding {
    let is_measured = one.points.iter().any(|point| point.outcome.is_some());
    if !one.selected && !is_measured {
        return PartStanding::NotSelected;
    }
    if one.is_in_doubt() {
        return PartStanding::Doubt;
    }
    match (one.worst(), one.settled) {
        (Some(Outcome::Verdict(VerdictWord::NoGo)), _) => PartStanding::NoGo,
        (Some(Outcome::Verdict(VerdictWord::Doubt)), _) => PartStanding::Doubt,
        (Some(Outcome::Verdict(VerdictWord::Go)), Some(_)) => PartStanding::Go,
        (Some(Outcome::Noted), Some(_)) => PartStanding::Noted,
        _ => PartStanding::Open,
    }
}

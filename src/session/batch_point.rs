//! One part in the row of a characteristic.

use super::judged_parts::last_digit;
use super::state::{Characteristic, Point, State};
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
    /// The part in the row; none as long as it has no [`mean_of_points`].
    pub(super) fn of(state: &State, part: u32, one: &Characteristic) -> Option<Self> {
        let value = mean_of_points(one)?;
        let values = || measured(one).map(|point| point.value_at_20);
        let readings = || measured(one).map(|point| point.reading());
        let several: Box<[i64]> = match one.points.len() {
            1 => Box::default(),
            _ => values().collect(),
        };
        Some(Self {
            part,
            reading: readings().max().unwrap_or_default(),
            value,
            smallest: values().min().unwrap_or(value),
            largest: values().max().unwrap_or(value),
            step: readings().map(|at| step_of(state, at)).max().unwrap_or(1),
            is_in_doubt: one.is_in_doubt(),
            signals: Signals::default(),
            several,
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

/// Mean of the points of a characteristic, half to even: once all have a value, or one is NO-GO,
/// since a part that is given up must not be missing among the others. None before.
pub fn mean_of_points(one: &Characteristic) -> Option<i64> {
    let is_bad = |point: &Point| point.outcome == Some(Outcome::Verdict(VerdictWord::NoGo));
    let is_whole = one.points.iter().all(|point| point.outcome.is_some());
    if !is_whole && !one.points.iter().any(is_bad) {
        return None;
    }
    let (mut sum, mut count) = (0_i64, 0);
    for point in measured(one) {
        sum = sum.checked_add(point.value_at_20)?;
        count += 1;
    }
    (count > 0).then(|| Length::from_nm(sum).div_half_even(count).as_nm())
}

fn measured(one: &Characteristic) -> impl Iterator<Item = &Point> {
    one.points.iter().filter(|point| point.outcome.is_some())
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
        None => last_digit(record.shown.decimals, record.shown.unit).as_nm(),
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

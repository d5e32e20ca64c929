//! How an answer came about, derived again: from what the gauge showed to the value at 20 °C and
//! its uncertainty, for whoever asks why. The answer itself stays what the record says.

use super::judged::{Case, READINGS_DISAGREE};
use super::judged_parts::{angular_uncertainty_mas, whole_steps_up};
use super::setup::TargetLimits;
use super::sight::gauge_for;
use super::state::{Record, State};
use crate::gauge::{GaugeError, GaugeId};
use crate::journal::{Event, Place, Sequence, ValueUnit, VerdictGiven};
use crate::measure::{LeadAngle, Measured, Thermal, ThreeWires, indication_for};
use crate::quantity::{Exact, Length};

/// The way from a reading to its value.
#[derive(Debug, Clone, PartialEq)]
pub struct Account {
    /// The gauge, if the register has it.
    pub gauge: Option<GaugeId>,
    /// What the gauge's value is added to: the size of its standard, zero for most.
    pub set_size: Length,
    /// What the zero check of the gauge took off what it showed; zero for most.
    pub zero_offset: Length,
    /// The size that the gauge showed, its zero offset taken off; the mean, where several readings
    /// were taken together.
    pub indication: Length,
    /// How many readings that is the mean of.
    pub readings: u32,
    /// What is known of the gauge's error.
    pub error: Option<GaugeError>,
    /// Temperatures and expansions; none when the part's material is not known.
    pub thermal: Option<Thermal>,
    /// The wires over which it was measured, if it was.
    pub wires: Option<ThreeWires>,
    /// The value at 20 °C with corrections and budget.
    pub measured: Measured,
    /// It gives the answer's own numbers; else something that it rests on changed since, such as
    /// the temperature entered, and only the answer's numbers count.
    pub is_same: bool,
}

impl Account {
    /// Whether anything stands between what the gauge shows and the value at 20 °C.
    pub fn is_corrected(&self) -> bool {
        self.measured.value != self.indication || self.set_size != Length::ZERO
    }

    /// What the gauge must show for the part to have that size at 20 °C; none where the
    /// temperature is out of the correction's range.
    pub fn gauge_must_show(&self, size_at_20: Length) -> Option<Length> {
        let none = GaugeError::default();
        let error = self.error.as_ref().unwrap_or(&none);
        let wires = self.wires.as_ref();
        let over = wires.map(|wires| wires.over_wires(size_at_20, LeadAngle::Corrected));
        let found = over.transpose().ok()?.unwrap_or(size_at_20);
        let indication = indication_for(found, error, self.thermal.as_ref()).ok()?;
        Some(indication - self.set_size)
    }

    /// Whether temperature makes more than half of the variance.
    pub fn is_temperature_the_most(&self) -> bool {
        use crate::measure::UncertaintySource as Source;
        let Some(uncertainty) = &self.measured.uncertainty else {
            return false;
        };
        let thermal = uncertainty.lines().iter().filter(|line| {
            matches!(
                line.source,
                Source::PartExpansion
                    | Source::GaugeExpansion
                    | Source::PartTemperature
                    | Source::GaugeTemperature
            )
        });
        let thermal: f64 = thermal.map(|line| line.standard_nm.powi(2)).sum();
        thermal * 2.0 > uncertainty.standard_nm().powi(2)
    }
}

/// The account of a verdict; none for angles, and when its reading or characteristic is not there.
pub fn account(state: &State, verdict: &VerdictGiven) -> Option<Account> {
    if verdict.unit != ValueUnit::Nanometre {
        return None;
    }
    // Readings that disagree are not averaged: the last one was judged alone.
    let disagree = verdict.notes.iter().any(|note| note == READINGS_DISAGREE);
    let last = [verdict.reading];
    let from = if disagree {
        &last
    } else {
        verdict.from.as_slice()
    };
    let mut account = derived(state, &verdict.place, verdict.reading, from)?;
    let u = account.measured.standard_nm().map(whole_steps_up);
    account.is_same = account.measured.value.as_nm() == verdict.value_at_20 && u == verdict.u;
    Some(account)
}

/// The account of any answer: a verdict, or a note while cutting. None for others.
pub fn account_of(state: &State, answer: &Event) -> Option<Account> {
    match answer {
        Event::VerdictGiven(verdict) => account(state, verdict),
        Event::CuttingNoted {
            reading,
            place,
            value_at_20,
            ..
        } => {
            let mut account = derived(state, place, *reading, &[*reading])?;
            let entered = state.bench().temperature.map_or(0, |entered| entered.at_ms);
            let read = state.reading(*reading)?.at_ms;
            account.is_same = account.measured.value == *value_at_20 && entered <= read;
            Some(account)
        }
        _ => None,
    }
}

/// Derives the value again; whether it is the same is the caller's to say.
fn derived(state: &State, place: &Place, sequence: Sequence, from: &[Sequence]) -> Option<Account> {
    let target_index = state.setup().target_index(&place.feature, &place.element)?;
    let target = state.setup().targets.get(target_index)?;
    let case = Case {
        state,
        target,
        target_index,
        place,
        sequence,
    };
    let gauge = case.gauge();
    let size_of = |record: &Record| {
        let shown = case.size_of(Length::from_units(record.value));
        shown - case.zero(state.offset_of(record.sequence))
    };
    let own = size_of(&state.reading(sequence)?);
    let error = case.error_at(own);
    let sizes = from.iter().filter_map(|one| state.reading(*one));
    let sizes: Vec<i64> = sizes.map(|record| size_of(&record).as_nm()).collect();
    let readings = u32::try_from(sizes.len()).unwrap_or(1).max(1);
    let sum = Length::from_nm(sizes.iter().sum());
    let indication = match readings {
        1 => own,
        _ => sum.div_half_even(i64::from(readings)),
    };
    let thermal = case.thermal(&mut Vec::new());
    let measured = case
        .measured(indication, readings, error.clone(), &mut Vec::new())
        .ok()?;
    Some(Account {
        gauge: gauge.map(|gauge| gauge.id.clone()),
        set_size: case.size_of(Length::ZERO),
        zero_offset: case.zero(state.offset_of(sequence)),
        indication,
        readings,
        error,
        thermal,
        wires: target.three_wires(),
        measured,
        is_same: false,
    })
}

/// The standard uncertainty (smallest steps) that a single reading of a characteristic will have,
/// measured near its limits with the session's gauge for it; none when nothing is known of that
/// gauge.
pub fn expected_uncertainty(state: &State, target_index: usize) -> Option<f64> {
    let target = state.setup().targets.get(target_index)?;
    let gauge = state.setup().gauge(&gauge_for(state, target)?)?;
    let limits = match target.limits {
        TargetLimits::Length(limits) => limits,
        TargetLimits::Angle(_) => return angular_uncertainty_mas(gauge),
        TargetLimits::Check(_) => return None,
    };
    let size = target.size_to_find(limits.upper().or(limits.lower())?);
    let error = gauge.error_at(size, target.faces);
    let place = Place {
        part: 0,
        feature: target.feature.clone(),
        element: target.element.clone(),
        point: 1,
    };
    let case = Case {
        state,
        target,
        target_index,
        place: &place,
        sequence: 0,
    };
    let measured = case.measured(size, 1, error, &mut Vec::new()).ok()?;
    measured.standard_nm()
}

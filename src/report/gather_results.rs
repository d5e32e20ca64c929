//! What each characteristic of a part came to: the point that decides, and what stands behind it.

use std::cmp::Reverse;

use super::gather::Fold;
use super::gather_gauges::{method_of, set_on_of};
use super::gather_readings::Draft;
use super::gather_text::{limits_of, number_of, unit_of};
use super::sheet::{Bar, PointRow, ReadingRow, ResultRow};
use crate::journal::{ATTRIBUTE_RULE, Outcome, ValueUnit, VerdictGiven, outcome_text, rule_text};
use crate::measure::{Rule, VerdictWord};
use crate::session::{Characteristic, Part, Point, State, Target};

/// The whole width between the limits on a bar.
const BAR_WIDTH: i128 = 1_000;

/// One row for each characteristic, in the plan's order.
pub(super) fn results_of(
    fold: &Fold,
    state: &State,
    part: &Part,
    readings: &[ReadingRow],
) -> Vec<ResultRow> {
    let targets = state.setup().targets.iter();
    let rows = targets.zip(&part.characteristics).enumerate();
    rows.map(|(at, (target, characteristic))| {
        let mut row = ResultRow {
            number: at + 1,
            is_selected: characteristic.selected,
            verdict: verdict_word(characteristic).to_owned(),
            points: point_rows(target, characteristic),
            is_in_doubt: characteristic.is_in_doubt(),
            ..ResultRow::default()
        };
        if let Some(point) = deciding(target, characteristic) {
            fill(&mut row, fold, state, target, point, readings);
        }
        if !is_good(&row) {
            let concession = state.concession_of(part, target, characteristic);
            row.concession = concession.map(|one| one.line);
        }
        row
    })
    .collect()
}

fn is_good(row: &ResultRow) -> bool {
    !row.is_in_doubt && matches!(row.verdict.as_str(), "GO" | "NOTED")
}

/// No GO before the last point, and none that rests on a gauge found wrong after it.
fn verdict_word(characteristic: &Characteristic) -> &'static str {
    const GO: Outcome = Outcome::Verdict(VerdictWord::Go);
    let is_in_doubt = characteristic.is_in_doubt();
    match characteristic.worst() {
        None => "",
        Some(GO) if characteristic.settled.is_none() => outcome_text(Outcome::Inside),
        Some(GO) if is_in_doubt => outcome_text(Outcome::Verdict(VerdictWord::Doubt)),
        Some(outcome) => outcome_text(outcome),
    }
}

fn point_rows(target: &Target, characteristic: &Characteristic) -> Vec<PointRow> {
    let unit = unit_of(target);
    let place = |number: u16| target.place_name(number).unwrap_or("").to_owned();
    let points = characteristic.points.iter().zip(1..);
    points
        .map(|(point, number)| match point.outcome {
            None => PointRow {
                point: number,
                place: place(number),
                ..PointRow::default()
            },
            Some(outcome) => PointRow {
                point: number,
                place: place(number),
                value: number_of(unit, point.value_at_20),
                reading: point.reading(),
                outcome: outcome_text(outcome).to_owned(),
            },
        })
        .collect()
}

/// The point that decides: the worst, of equally bad ones that nearest to a limit or farthest
/// beyond it, of equal ones the first.
fn deciding<'c>(target: &Target, characteristic: &'c Characteristic) -> Option<&'c Point> {
    let (lower, upper) = limits_of(target);
    let room = |point: &Point| {
        let value = i128::from(point.value_at_20);
        let above = lower.map(|lower| value - i128::from(lower));
        let below = upper.map(|upper| i128::from(upper) - value);
        above.into_iter().chain(below).min().unwrap_or(i128::MAX)
    };
    let measured = characteristic.points.iter().filter(|p| p.outcome.is_some());
    measured.min_by_key(|point| (Reverse(severity(point)), room(point)))
}

fn severity(point: &Point) -> u8 {
    match point.outcome {
        Some(Outcome::Verdict(VerdictWord::NoGo)) => 3,
        Some(Outcome::Verdict(VerdictWord::Doubt)) => 2,
        Some(Outcome::Verdict(VerdictWord::Go) | Outcome::Inside) => 1,
        Some(Outcome::Noted) | None => 0,
    }
}

fn fill(
    row: &mut ResultRow,
    fold: &Fold,
    state: &State,
    target: &Target,
    point: &Point,
    readings: &[ReadingRow],
) {
    let unit = unit_of(target);
    row.actual = number_of(unit, point.value_at_20);
    row.reading = point.reading();
    row.conformance_ppm = point.conformance_ppm.ppm();
    if let Some(reading) = readings.iter().find(|one| one.line == point.reading()) {
        row.gauge.clone_from(&reading.gauge);
        row.operator.clone_from(&reading.operator);
        row.time.clone_from(&reading.time);
        row.origin.clone_from(&reading.origin);
        row.part_temperature.clone_from(&reading.part_temperature);
        row.gauge_temperature.clone_from(&reading.gauge_temperature);
    }
    method_of(state.setup(), target, &row.gauge).clone_into(&mut row.method);
    row.set_on = set_on_of(state, &row.gauge, point.reading());
    let draft: Option<&Draft> = fold.readings.get(point.reading());
    if let Some(verdict) = draft.and_then(|draft| draft.verdict.as_ref()) {
        judged(row, state, target, verdict);
    }
}

/// What the record's verdict says.
fn judged(row: &mut ResultRow, state: &State, target: &Target, verdict: &VerdictGiven) {
    let unit = verdict.unit;
    row.from.clone_from(&verdict.from);
    row.u = verdict.u.map_or_else(String::new, |u| number_of(unit, u));
    row.notes.clone_from(&verdict.notes);
    if verdict.outcome != Outcome::Noted {
        verdict.side.word().clone_into(&mut row.side);
    }
    row.rule = match unit {
        ValueUnit::Check => ATTRIBUTE_RULE.to_owned(),
        _ => rule_text(verdict.rule),
    };
    let to_nominal = || {
        let nominal = super::gather_asked::nominal_of(state.setup(), target)?;
        (unit == ValueUnit::Nanometre).then_some(verdict.value_at_20 - nominal.as_nm())
    };
    let deviation = verdict.to_middle.map(|left| -left).or_else(to_nominal);
    row.deviation = deviation.map_or_else(String::new, |units| number_of(unit, units));
    row.bar = bar(verdict);
}

/// Where the value lies between the limits; none where one of them is missing.
fn bar(verdict: &VerdictGiven) -> Option<Bar> {
    let (lower, upper) = (verdict.lower?, verdict.upper?);
    let width = i128::from(upper) - i128::from(lower);
    if width <= 0 {
        return None;
    }
    let share = |part: i128| {
        let parts = part.saturating_mul(BAR_WIDTH).div_euclid(width);
        let bounded = parts.clamp(i128::from(i32::MIN), i128::from(i32::MAX));
        i32::try_from(bounded).unwrap_or(i32::MAX)
    };
    let u = i128::from(verdict.u.unwrap_or(0));
    Some(Bar {
        at: share(i128::from(verdict.value_at_20) - i128::from(lower)),
        half_width: share(u * factor_in_hundredths(verdict.rule) / 100),
    })
}

/// How many u the shown half width has: the guard band's, else two.
fn factor_in_hundredths(rule: Rule) -> i128 {
    match rule {
        Rule::Guard { factor } => hundredths(factor),
        Rule::Probability { .. } | Rule::Simple => 200,
    }
}

/// A factor between 0 and 10, as guard bands have.
#[allow(clippy::cast_possible_truncation)] // bounded just before
fn hundredths(factor: f64) -> i128 {
    (factor.clamp(0.0, 10.0) * 100.0).round() as i128
}

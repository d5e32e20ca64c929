//! Builds the steps of a why from limits and their derivation key, only when asked.

use crate::quantity::{Angle, Length, LengthUnit};

use super::class::ToleranceClass;
use super::fit::FitLimits;
use super::general::GeneralKind;
use super::limits::{Derivation, Limits};
use super::resolve::{AngleLimits, CalloutLimits, Context, SizeLimits};
use super::rows::{DeviationRow, RowValue};
use super::step::{Amount, LimitSide, SpecialRule, Step};
use super::tables::Tables;
use super::thread::ThreadTables;

impl Limits<Length> {
    /// The steps that gave these limits, in order. `tables` are those under which they were
    /// made.
    pub fn explain(&self, tables: &Tables) -> Vec<Step> {
        let mut steps = Vec::new();
        let (lower, upper) = self.before_moves();
        match self.derivation() {
            Derivation::Thread(_) => steps.extend(self.explain_thread(ThreadTables::standard())),
            Derivation::Class { nominal, class, .. } => {
                class_steps(&mut steps, tables, nominal, class);
                both_limits(&mut steps, nominal, lower, upper);
            }
            Derivation::Deviations {
                nominal,
                upper: es,
                lower: ei,
            } => {
                steps.push(Step::StatedDeviations {
                    upper: Amount::Length(es),
                    lower: Amount::Length(ei),
                });
                both_limits(&mut steps, nominal, lower, upper);
            }
            Derivation::General {
                nominal,
                class,
                kind,
                ..
            } => {
                if let Some(row) = tables.general(nominal, class, kind) {
                    steps.push(Step::General {
                        class,
                        kind,
                        range: row.range,
                        plus_minus: Amount::Length(row.plus_minus),
                        house: row.house,
                        source: row.source.clone(),
                    });
                }
                both_limits(&mut steps, nominal, lower, upper);
                steps.push(Step::GeneralMeaning);
            }
            Derivation::Stated
            | Derivation::AngleDeviations { .. }
            | Derivation::GeneralAngle { .. } => {
                stated(
                    &mut steps,
                    lower.map(Amount::Length),
                    upper.map(Amount::Length),
                );
            }
        }
        self.move_steps(&mut steps, lower, upper);
        steps
    }

    /// Both limits as they were before any move.
    fn before_moves(&self) -> (Option<Length>, Option<Length>) {
        let shifts = || self.moves().filter_map(super::Move::shift);
        let start = |limit: Option<Length>, pick: fn((Length, Length)) -> Length| {
            limit.map(|value| value - shifts().map(pick).sum())
        };
        let lower = start(self.lower(), |shift| shift.0);
        (lower, start(self.upper(), |shift| shift.1))
    }

    /// The steps of the moves alone.
    pub(super) fn moved_steps(&self) -> Vec<Step> {
        let (mut steps, (lower, upper)) = (Vec::new(), self.before_moves());
        self.move_steps(&mut steps, lower, upper);
        steps
    }

    fn move_steps(
        &self,
        steps: &mut Vec<Step>,
        mut lower: Option<Length>,
        mut upper: Option<Length>,
    ) {
        for cause in self.moves() {
            let (down, up) = cause.shift().unwrap_or((Length::ZERO, Length::ZERO));
            lower = lower.map(|limit| limit + down);
            upper = upper.map(|limit| limit + up);
            steps.push(Step::Moved {
                cause,
                lower,
                upper,
            });
        }
    }
}

impl Limits<Angle> {
    /// The steps that gave these limits, in order.
    pub fn explain(&self, tables: &Tables) -> Vec<Step> {
        let mut steps = Vec::new();
        let nominal = match self.derivation() {
            Derivation::AngleDeviations {
                nominal,
                upper,
                lower,
            } => {
                steps.push(Step::StatedDeviations {
                    upper: Amount::Angle(upper),
                    lower: Amount::Angle(lower),
                });
                nominal
            }
            Derivation::GeneralAngle {
                nominal,
                shorter_side,
                class,
                ..
            } => {
                if let Some(row) = tables.general_angle(shorter_side, class) {
                    steps.push(Step::General {
                        class,
                        kind: GeneralKind::Angle,
                        range: row.range,
                        plus_minus: Amount::Angle(row.plus_minus),
                        house: row.house,
                        source: row.source.clone(),
                    });
                }
                nominal
            }
            Derivation::Stated
            | Derivation::Thread(_)
            | Derivation::Deviations { .. }
            | Derivation::Class { .. }
            | Derivation::General { .. } => {
                let (lower, upper) = (self.lower(), self.upper());
                stated(
                    &mut steps,
                    lower.map(Amount::Angle),
                    upper.map(Amount::Angle),
                );
                return steps;
            }
        };
        for (side, limit) in [
            (LimitSide::Lower, self.lower()),
            (LimitSide::Upper, self.upper()),
        ] {
            steps.extend(limit.map(|limit| Step::Limit {
                side,
                nominal: Amount::Angle(nominal),
                deviation: Amount::Angle(limit - nominal),
                limit: Amount::Angle(limit),
            }));
        }
        if self.derivation().is_general() {
            steps.push(Step::GeneralMeaning);
        }
        steps
    }
}

impl SizeLimits {
    /// The steps that gave these limits, in order.
    pub fn explain(&self, context: &Context<'_>) -> Vec<Step> {
        let mut steps = Vec::new();
        let inch = self.nominal.filter(|_| self.unit == LengthUnit::Inch);
        steps.extend(inch.map(|nominal| Step::FromInch { nominal }));
        steps.extend(self.limits.explain(context.tables));
        if self.envelope {
            steps.push(Step::Envelope);
        }
        steps
    }
}

impl FitLimits {
    /// The steps of the hole, then those of the shaft.
    pub fn explain(&self, context: &Context<'_>) -> Vec<Step> {
        let mut steps = self.hole().explain(context);
        steps.extend(self.shaft().explain(context));
        steps
    }
}

impl AngleLimits {
    /// The steps that gave these limits, in order.
    pub fn explain(&self, context: &Context<'_>) -> Vec<Step> {
        self.limits.explain(context.tables)
    }
}

impl CalloutLimits {
    /// The steps that gave these limits, in order; of a fit, the hole's first.
    pub fn explain(&self, context: &Context<'_>) -> Vec<Step> {
        match self {
            Self::Size(size) => size.explain(context),
            Self::Fit(fit) => fit.explain(context),
            Self::Angle(angle) => angle.explain(context),
            Self::Thread(thread) => thread.explain(ThreadTables::standard()),
            Self::ThreadFit(fit) => {
                let mut steps = fit.internal.explain(ThreadTables::standard());
                let external = fit.external.explain(ThreadTables::standard());
                let new = external.into_iter().filter(|step| !steps.contains(step));
                let new: Vec<Step> = new.collect(); // the coarse pitch is both's
                steps.extend(new);
                steps
            }
        }
    }
}

fn stated(steps: &mut Vec<Step>, lower: Option<Amount>, upper: Option<Amount>) {
    for (side, limit) in [(LimitSide::Lower, lower), (LimitSide::Upper, upper)] {
        steps.extend(limit.map(|limit| Step::StatedLimit { side, limit }));
    }
}

fn both_limits(
    steps: &mut Vec<Step>,
    nominal: Length,
    lower: Option<Length>,
    upper: Option<Length>,
) {
    for (side, limit) in [(LimitSide::Lower, lower), (LimitSide::Upper, upper)] {
        steps.extend(limit.map(|limit| Step::Limit {
            side,
            nominal: Amount::Length(nominal),
            deviation: Amount::Length(limit - nominal),
            limit: Amount::Length(limit),
        }));
    }
}

/// Grade, fundamental deviation, rules and the other deviation of a class.
fn class_steps(steps: &mut Vec<Step>, tables: &Tables, nominal: Length, class: ToleranceClass) {
    let grade = class.grade();
    let (Some(tolerance), Some(row)) = (
        tables.grade_row(nominal, grade),
        tables.deviation_row(nominal, class),
    ) else {
        return; // other tables than those which gave the limits: nothing can be said
    };
    steps.push(Step::Grade {
        grade,
        range: tolerance.range,
        tolerance: tolerance.value,
        house: tolerance.house,
        source: tolerance.source.clone(),
    });
    let RowValue::Tabled(value) = row.value else {
        steps.push(Step::Symmetric {
            class,
            half: tolerance.value.div_floor(2),
        });
        return;
    };
    steps.push(Step::Deviation {
        letter: row.letter,
        symbol: row.which,
        value,
        range: row.range,
        finest: row.finest,
        coarsest: row.coarsest,
        add_delta: row.add_delta,
        house: row.house,
        source: row.source.clone(),
    });
    let mut deviation = value;
    if row.add_delta
        && let Some(delta) = tables.delta_row(nominal, grade)
    {
        steps.push(Step::Rule(SpecialRule::Delta));
        steps.push(Step::Delta {
            grade,
            range: delta.range,
            delta: delta.value,
        });
        steps.push(Step::WithDelta {
            value,
            delta: delta.value,
        });
        deviation = value + delta.value;
    }
    steps.extend(special_rule(row, class).map(Step::Rule));
    steps.push(Step::OtherDeviation {
        known: row.which,
        value: deviation,
        grade,
        tolerance: tolerance.value,
    });
}

/// The rule behind a row's value, where the value alone would surprise.
fn special_rule(row: &DeviationRow, class: ToleranceClass) -> Option<SpecialRule> {
    const TO_500: Length = Length::from_mm(500);
    if row.house || row.range.up_to.is_none_or(|end| end > TO_500) {
        return None;
    }
    let number = class.grade().number().unwrap_or(0);
    let over_three = row.range.over >= Length::from_mm(3);
    match class.letter().text() {
        "M" if number == 6 && row.range.over == Length::from_mm(250) => Some(SpecialRule::HoleM6),
        "N" if number > 8 && over_three => Some(SpecialRule::HoleNCoarse),
        "k" if !(4..=7).contains(&number) => Some(SpecialRule::ShaftKOtherGrades),
        _ => None,
    }
}

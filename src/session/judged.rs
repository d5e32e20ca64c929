//! From the value of a reading at its place to a verdict, or to the metal still to come off:
//! the session's circumstances (gauge, temperature, repeats, points) put into `measure`.

use std::sync::Arc;

use super::cut::metal_left;
use super::form_measured::form_measured;
use super::judged_parts::{
    angular_uncertainty_mas, judged_simply, last_digit, note_derivation, parts_per_million,
    severity, whole_steps_up,
};
use super::over_wires::pitch_measured;
use super::setup::{Target, TargetLimits};
use super::state::State;
use super::suitable::scale_expansion;
use crate::gauge::{CheckAsked, CheckOutcome, Gauge, GaugeError, GaugeId};
use crate::journal::{Outcome, Place, Sequence, ValueUnit, VerdictGiven};
use crate::material::Expansion;
use crate::measure::{
    CutAdvice, Judgement, Measured, Repeatability, RepeatabilityOrigin, Repeats, Rule,
    SCALE_EXPANSION_PER_KELVIN, Side, THERMOMETER_HALF_WIDTH_K, Temperature, Thermal, Thermometer,
    VerdictWord, judge, judge_check, measure, settled_repeats,
};
use crate::quantity::{Angle, Celsius, Exact, Length};
use crate::tolerance::{Limits, MetalSide};

/// Why and with what a reading was judged; see [`VerdictGiven::notes`].
pub(super) const READINGS_DISAGREE: &str = "readings_disagree";
pub(super) const GAUGE_NOT_ALLOWED: &str = "gauge_may_not_prove_this";
pub(super) const GAUGE_CANNOT_SHOW: &str = "gauge_does_not_show_this";
pub(super) const UNCERTAINTY_MISSING: &str = "rule_needs_uncertainty";
pub(super) const ERROR_ASSUMED: &str = "gauge_error_assumed";
pub(super) const MATERIAL_MISSING: &str = "temperature_without_material";
pub(super) const ZERO_SLIPPED: &str = "zero_may_have_slipped";
pub(super) const TEMPERATURE_LAPSED: &str = "temperature_lapsed";
/// Its limits are those of this session, to suit the measured mate.
pub(super) const MADE_TO_SUIT: &str = "made_to_suit";
/// The verdict is that of a worse point; its number follows.
pub(super) const WORST_AT_POINT: &str = "worst_at_point_";
/// And this point itself is in doubt.
pub(super) const POINT_IN_DOUBT: &str = "point_in_doubt";

/// A verdict names at most so many of the readings that it rests on, the latest (chosen): a line
/// of the record stays short, however often a point is measured. All of them are averaged.
const NAMED_READINGS_MAX: usize = 50;

/// What a reading came to.
#[derive(Debug, Clone, PartialEq)]
pub enum Judged {
    /// A verdict.
    Verdict(Arc<VerdictGiven>),
    /// Metal is still on, and the bench is cutting.
    Cutting {
        /// The size at 20 °C.
        value_at_20: Length,
        /// Metal still to come off the dimension.
        left: Length,
        /// How deep to cut, for diameters.
        depth: Option<Length>,
        /// By how much to turn the dial on, in its own numbers, where the dial is known.
        dial: Option<Length>,
    },
}

/// Judges the reading `sequence` with the value `value` (smallest steps, as read) at its place,
/// together with those that it repeats.
///
/// # Errors
/// A sentence, when the value cannot be judged at all (a temperature out of the correction's
/// range); the reading is then set aside with it.
pub fn judge_place(
    state: &State,
    target_index: usize,
    place: &Place,
    sequence: Sequence,
    value: i64,
) -> Result<Judged, String> {
    let target = state
        .setup()
        .targets
        .get(target_index)
        .ok_or_else(|| "the plan has no such characteristic".to_owned())?;
    let case = Case {
        state,
        target,
        target_index,
        place,
        sequence,
    };
    // A record may have been altered: a size is no answer for a plug, nor the GO end for NO-GO.
    let tried = state.reading(sequence).and_then(|record| record.check);
    match (target.limits, tried) {
        (TargetLimits::Length(limits), None) => {
            case.judge_length(&limits, Length::from_units(value))
        }
        (TargetLimits::Angle(limits), None) => case.judge_angle(&limits, Angle::from_units(value)),
        (TargetLimits::Check(asked), Some(end)) if end == asked.end => {
            case.judge_check(&asked, value)
        }
        _ => Err("the reading is none that this characteristic takes".to_owned()),
    }
}

/// One reading with everything around it.
pub(super) struct Case<'a> {
    pub(super) state: &'a State,
    pub(super) target: &'a Target,
    pub(super) target_index: usize,
    pub(super) place: &'a Place,
    pub(super) sequence: Sequence,
}

impl Case<'_> {
    fn judge_length(&self, limits: &Limits, value: Length) -> Result<Judged, String> {
        let gauge = self.gauge();
        let indication = self.size_of(value) - self.zero(self.state.offset_of(self.sequence));
        let error = self.error_at(indication);
        let mut notes = Vec::new();
        let permissible =
            gauge.and_then(|gauge| gauge.permissible_error(indication, self.target.faces));
        if permissible.is_some_and(|error| error.is_assumed()) {
            notes.push(ERROR_ASSUMED.to_owned());
        }
        let (mean, count, from) = self.with_repeats(indication, error.as_ref(), &mut notes);
        let measured = self.measured(mean, count, error, &mut notes)?;
        let u = measured.standard_nm();
        let mut judgement = self.judgement(measured.value, limits, u, &mut notes);
        self.consider_zero(&mut judgement, &mut notes);
        if notes.iter().any(|note| note == READINGS_DISAGREE) {
            judgement.verdict = VerdictWord::Doubt;
        }
        if self.is_warm_without_material() && self.target.form.is_none() {
            notes.push(MATERIAL_MISSING.to_owned());
            if judgement.verdict == VerdictWord::Go {
                judgement.verdict = VerdictWord::Doubt;
            }
        }
        if let Some(cutting) = self.cutting(&measured, &judgement) {
            return Ok(cutting);
        }
        self.forbid_unlisted_gauge(&mut judgement, &mut notes);
        self.consider_form(&mut judgement, &mut notes);
        self.note_setting(&mut notes);
        note_derivation(limits, &judgement, &mut notes);
        if self.target.suited.is_some() {
            notes.push(MADE_TO_SUIT.to_owned());
        }
        if judgement.verdict == VerdictWord::NoGo && self.zero_has_slipped(measured.value, limits) {
            notes.push(ZERO_SLIPPED.to_owned());
        }
        Ok(self.verdict(&judgement, limits, measured.value, u, from, notes))
    }

    fn judge_angle(&self, limits: &Limits<Angle>, value: Angle) -> Result<Judged, String> {
        let mut notes = Vec::new();
        let u = self.gauge().and_then(angular_uncertainty_mas);
        let mut judgement = self.judgement(value, limits, u, &mut notes);
        self.forbid_unlisted_gauge(&mut judgement, &mut notes);
        self.note_setting(&mut notes);
        note_derivation(limits, &judgement, &mut notes);
        Ok(self.verdict(&judgement, limits, value, u, vec![self.sequence], notes))
    }

    /// What a limit gauge did; a mating part's feel is only noted.
    fn judge_check(&self, asked: &CheckAsked, value: i64) -> Result<Judged, String> {
        let outcome = CheckOutcome::from_number(value)
            .ok_or_else(|| "this is no outcome of a limit gauge".to_owned())?;
        let mut notes = Vec::new();
        let found = judge_check(asked, outcome);
        let word = found.map(|found| found.verdict);
        let gauge = self.gauge_id();
        let may_prove = self.state.setup().may_check(self.target, gauge.as_ref());
        let word = match word {
            Some(VerdictWord::Go) if !may_prove => {
                notes.push(GAUGE_NOT_ALLOWED.to_owned());
                Some(VerdictWord::Doubt)
            }
            word => word,
        };
        let outcome = word.map_or(Outcome::Noted, |word| self.outcome(word, &mut notes));
        Ok(Judged::Verdict(Arc::new(VerdictGiven {
            reading: self.sequence,
            place: self.place.clone(),
            points: self.target.points,
            from: vec![self.sequence],
            value_at_20: value,
            u: None,
            lower: None,
            upper: None,
            unit: ValueUnit::Check,
            outcome,
            side: found.map_or(Side::Inside, |found| found.side),
            to_middle: None,
            conformance_ppm: None,
            rule: Rule::Simple,
            notes,
        })))
    }

    /// The gauge of the register that gave the reading.
    pub(super) fn gauge(&self) -> Option<&Gauge> {
        self.state.setup().gauge(&self.gauge_id()?)
    }

    pub(super) fn gauge_id(&self) -> Option<GaugeId> {
        let record = self.state.reading(self.sequence)?;
        self.state.setup().gauge_id(record.gauge?)
    }

    /// The mean of the readings that repeat each other, how many, and which.
    fn with_repeats(
        &self,
        indication: Length,
        error: Option<&GaugeError>,
        notes: &mut Vec<String>,
    ) -> (Length, u32, Vec<Sequence>) {
        let own = self
            .state
            .reading(self.sequence)
            .and_then(|record| record.gauge);
        let earlier = self.state.repeats_of(self.target_index, self.place);
        let earlier = earlier
            .into_iter()
            .filter(|record| record.sequence != self.sequence && record.gauge == own);
        let mut from = Vec::new();
        let mut readings = Vec::new();
        for record in earlier {
            let value = Length::from_units(record.value);
            from.push(record.sequence);
            readings.push(self.size_of(value) - self.zero(record.offset));
        }
        from.push(self.sequence);
        readings.push(indication);
        // Of a gauge that nothing is known of, readings agree within one step as shown.
        let known = error.and_then(Repeatability::of);
        let repeatability = known.or_else(|| self.step_as_shown());
        self.note_drift(repeatability.as_ref(), notes);
        match settled_repeats(
            &readings,
            repeatability.as_ref(),
            self.state.bench().cutting,
        ) {
            Some(Repeats::Agreed { mean, readings }) => (mean, readings, from),
            Some(Repeats::Disagree { .. }) => {
                notes.push(READINGS_DISAGREE.to_owned());
                (indication, 1, from)
            }
            None => (indication, 1, from),
        }
    }

    /// A part temperature that cannot be corrected proves nothing: a warm part measures large.
    fn is_warm_without_material(&self) -> bool {
        let entered = self
            .state
            .bench()
            .temperature
            .and_then(|entered| entered.part);
        self.state.setup().expansion.is_none()
            && entered.is_some_and(|part| part != Celsius::REFERENCE)
    }

    fn step_as_shown(&self) -> Option<Repeatability> {
        let shown = self.state.reading(self.sequence)?.shown;
        Some(Repeatability {
            standard_nm: 0.0,
            origin: RepeatabilityOrigin::Resolution,
            resolution: last_digit(shown.decimals, shown.unit),
        })
    }

    /// Corrected to 20 °C, with its uncertainty.
    pub(super) fn measured(
        &self,
        mean: Length,
        count: u32,
        error: Option<GaugeError>,
        notes: &mut Vec<String>,
    ) -> Result<Measured, String> {
        let known = error.is_some();
        // Warmth makes nothing of a difference of some micrometres.
        let thermal = match self.target.form {
            None => self.thermal(notes),
            Some(_) => None,
        };
        let measured = measure(mean, &error.unwrap_or_default(), thermal.as_ref(), count)
            .map_err(|error| error.to_string())?;
        // The temperature alone is not the uncertainty: with nothing known of the gauge, none is.
        let uncertainty = measured.uncertainty.filter(|_| known);
        let measured = Measured {
            uncertainty,
            ..measured
        };
        let measured = pitch_measured(self.state.setup(), self.target, measured, notes)?;
        form_measured(self.target, self.gauge(), measured, notes)
    }

    /// Temperatures as known at the reading; none when the part's material is not.
    pub(super) fn thermal(&self, notes: &mut Vec<String>) -> Option<Thermal> {
        let part_expansion = self.state.setup().expansion?;
        let at_ms = self
            .state
            .reading(self.sequence)
            .map_or(0, |record| record.at_ms);
        let entered = self.state.bench().temperature;
        let aged = |celsius| {
            let entered = entered?;
            let measured = Temperature::measured(celsius, THERMOMETER_HALF_WIDTH_K);
            measured.aged(at_ms.saturating_sub(entered.at_ms))
        };
        let part = entered.and_then(|entered| entered.part);
        let gauge = entered.and_then(|entered| entered.gauge);
        let aged_part = part.and_then(aged);
        if part.is_some() && aged_part.is_none() {
            notes.push(TEMPERATURE_LAPSED.to_owned());
        }
        let both = part.is_some() && gauge.is_some();
        Some(Thermal {
            part: aged_part.unwrap_or_else(Temperature::assumed),
            part_expansion,
            gauge: gauge.and_then(aged).unwrap_or_else(Temperature::assumed),
            gauge_expansion: self.gauge().map_or_else(
                || Expansion::with_usual_uncertainty(SCALE_EXPANSION_PER_KELVIN),
                |gauge| scale_expansion(gauge, &self.state.setup().materials),
            ),
            thermometer: if both {
                Thermometer::Shared
            } else {
                Thermometer::Separate
            },
        })
    }

    /// Under the session's rule; where it needs an uncertainty and none is known, DOUBT.
    fn judgement<Q: Exact>(
        &self,
        value: Q,
        limits: &Limits<Q>,
        u: Option<f64>,
        notes: &mut Vec<String>,
    ) -> Judgement<Q> {
        let (surface, rule) = (self.target.surface, self.state.setup().rule);
        match judge(value, limits, surface, u, rule) {
            Ok(judgement) => judgement,
            Err(_) => {
                notes.push(UNCERTAINTY_MISSING.to_owned());
                let plain = judged_simply(value, limits, surface);
                let rule = rule.unwrap_or(Rule::Simple);
                Judgement {
                    verdict: VerdictWord::Doubt,
                    rule,
                    ..plain
                }
            }
        }
    }

    /// While cutting, a value on the metal-on side that is not GO is no verdict yet.
    fn cutting(&self, measured: &Measured, judgement: &Judgement) -> Option<Judged> {
        let surface = self.target.surface;
        let is_cutting = self.state.bench().cutting && judgement.verdict != VerdictWord::Go;
        if !is_cutting || surface.metal_side() == MetalSide::Neither {
            return None;
        }
        let u = measured.standard_nm();
        let rule = judgement.rule;
        let metal = metal_left(self.state.setup(), self.target, measured.value, u, rule)?;
        matches!(metal.advice(), CutAdvice::Cut | CutAdvice::Polish).then(|| Judged::Cutting {
            value_at_20: measured.value,
            left: metal.left(),
            depth: metal.depth_of_cut().map(|depth| depth.length()),
            dial: metal.dial_numbers(),
        })
    }

    /// A gauge that the plan does not list, or that cannot show a pitch diameter, may rough, and
    /// prove that metal is wrong, but no GO.
    fn forbid_unlisted_gauge<Q>(&self, judgement: &mut Judgement<Q>, notes: &mut Vec<String>) {
        let listed = match self.gauge_id() {
            Some(gauge) => self.target.may_prove(&gauge) || self.carrier().is_some(),
            None => self.target.gauges.is_empty(),
        };
        let shows = self
            .gauge_id()
            .is_none_or(|gauge| self.state.setup().can_show(self.target, &gauge));
        if judgement.verdict != VerdictWord::Go || (listed && shows) {
            return;
        }
        judgement.verdict = VerdictWord::Doubt;
        notes.push(
            if shows {
                GAUGE_NOT_ALLOWED
            } else {
                GAUGE_CANNOT_SHOW
            }
            .to_owned(),
        );
    }

    fn verdict<Q: Exact>(
        &self,
        judgement: &Judgement<Q>,
        limits: &Limits<Q>,
        value: Q,
        u: Option<f64>,
        from: Vec<Sequence>,
        mut notes: Vec<String>,
    ) -> Judged {
        let more = from.len().saturating_sub(NAMED_READINGS_MAX);
        let from = from.into_iter().skip(more).collect();
        let outcome = self.outcome(judgement.verdict, &mut notes);
        Judged::Verdict(Arc::new(VerdictGiven {
            reading: self.sequence,
            place: self.place.clone(),
            points: self.target.points,
            from,
            value_at_20: value.units(),
            u: u.map(whole_steps_up),
            lower: limits.lower().map(Exact::units),
            upper: limits.upper().map(Exact::units),
            unit: self.target.unit(),
            outcome,
            side: judgement.side,
            to_middle: judgement.to_middle.map(Exact::units),
            conformance_ppm: judgement.conformance_probability.map(parts_per_million),
            rule: judgement.rule,
            notes,
        }))
    }

    /// GO only after the last point; then the verdict is that of the worst point.
    fn outcome(&self, own: VerdictWord, notes: &mut Vec<String>) -> Outcome {
        let part = self.state.part(self.place.part);
        let characteristic = part.and_then(|part| part.characteristics.get(self.target_index));
        let this = usize::from(self.place.point).saturating_sub(1);
        let points = characteristic.map_or(&[][..], |one| &*one.points);
        let mut worst = own;
        let mut worst_at = None;
        for (at, point) in points.iter().enumerate().filter(|(at, _)| *at != this) {
            match point.outcome.filter(|_| !point.is_in_doubt) {
                None if own == VerdictWord::Go => return Outcome::Inside,
                None => return Outcome::Verdict(own),
                Some(Outcome::Verdict(word)) if severity(word) > severity(worst) => {
                    worst = word;
                    worst_at = Some(at + 1);
                }
                Some(_) => {}
            }
        }
        if let Some(at) = worst_at {
            notes.push(format!("{WORST_AT_POINT}{at}"));
            if own == VerdictWord::Doubt {
                notes.push(POINT_IN_DOUBT.to_owned());
            }
        }
        Outcome::Verdict(worst)
    }
}

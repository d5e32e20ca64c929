//! A form or position measured: how a reading becomes the width that is asked for, what a way of
//! measuring cannot show, and whether two features were turned in one setting.

use super::batch_breaks::BreakKind;
use super::judged::Case;
use super::setup::{Setup, Target};
use super::state::State;
use crate::gauge::{Gauge, GaugeKind};
use crate::measure::{BudgetLine, Correction, Judgement, Measured, Uncertainty, VerdictWord};
use crate::pair::{two_point_factor, v_block_factor};
use crate::plan::{FeatureId, Form, FormKind, Take, When};
use crate::quantity::Length;

/// A V-block that shows less of the lobes than this share of their height is refused (chosen).
const LEAST_FACTOR: f64 = 0.1;
/// Angles of V-blocks, degrees (ISO 4292 in outline, from memory).
const V_BLOCKS: [u32; 5] = [60, 72, 90, 108, 120];

/// Notes of a verdict; their words are those of `form_words.rs`.
pub(super) const TWO_POINT_BLIND: &str = "two_point_blind";
pub(super) const FORM_TOO: &str = "shows_form_too";
pub(super) const ECCENTRICITY_TOO: &str = "shows_eccentricity_too";
pub(super) const SLIDE_COPIED: &str = "slide_copies_taper";
pub(super) const OVER_V_BLOCK: &str = "over_v_block";
pub(super) const ONE_SETTING: &str = "one_setting_with_";
pub(super) const RECHUCKED: &str = "rechucked_since_";
pub(super) const OTHER_SETTING: &str = "other_setting_than_";

/// What a gauge shows of a form.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct FormReading {
    /// Reading over the width that is asked for.
    pub(super) factor: f64,
    /// How many independent readings the difference is made of.
    readings: f64,
    /// What keeps a GO from being proved.
    pub(super) hides: Option<&'static str>,
    /// What else it shows, so that it proves no NO-GO.
    adds: Option<&'static str>,
}

/// Whether it touches with two faces, or measures like that.
fn has_two_faces(kind: GaugeKind) -> bool {
    matches!(
        kind,
        GaugeKind::Caliper
            | GaugeKind::OutsideMicrometer
            | GaugeKind::InsideMicrometer
            | GaugeKind::BoreGauge
            | GaugeKind::SmallHoleGauge
    )
}

/// The factor of the plan's V-block, 1 without one.
fn block_factor(form: &Form) -> f64 {
    match (form.v_block, form.lobes) {
        (Some(degrees), Some(lobes)) => v_block_factor(lobes, f64::from(degrees)),
        _ => 1.0,
    }
}

/// Why the plan's V-block shows nothing of the lobes, and which shows most.
pub(super) fn blind_block(feature: &str, form: &Form) -> Option<(String, String)> {
    let (degrees, lobes) = form.v_block.zip(form.lobes)?;
    if block_factor(form) >= LEAST_FACTOR {
        return None;
    }
    let shows = |degrees: &u32| v_block_factor(lobes, f64::from(*degrees));
    let best = V_BLOCKS
        .into_iter()
        .max_by(|one, other| shows(one).total_cmp(&shows(other)))?;
    let message =
        format!("{feature}: over a V of {degrees}° an indicator shows nothing of {lobes} lobes.");
    let hint = format!(
        "Take a V of {best}°, which shows {:.2} times their height.",
        shows(&best)
    );
    Some((message, hint))
}

impl Target {
    /// Whether what is read is a difference: a range, or the width of a form.
    pub fn is_difference(&self) -> bool {
        self.take == Take::Range || self.form.is_some()
    }

    /// Whether it waits for the part to be clamped anew.
    pub fn waits_for_rechucking(&self) -> bool {
        let form = self.form.as_ref();
        form.is_some_and(|form| form.when == When::Rechucked)
    }

    /// What is found with the gauge where the width is that: more or less of it over a V-block.
    pub(super) fn form_to_find(&self, width: Length) -> Length {
        match &self.form {
            Some(form) => scaled(width, block_factor(form)).unwrap_or(width),
            None => width,
        }
    }

    /// What that gauge shows of the form; a gauge that nobody knows is taken for the plan's own.
    pub(super) fn form_reading(&self, gauge: Option<&Gauge>) -> Option<FormReading> {
        let form = self.form.as_ref()?;
        let is_two_point = gauge.is_some_and(|gauge| has_two_faces(gauge.kind));
        let plain = FormReading {
            factor: 1.0,
            readings: 1.0,
            hides: None,
            adds: None,
        };
        let both = FormReading {
            readings: 2.0,
            ..plain
        };
        Some(match (form.kind, is_two_point) {
            (FormKind::Runout | FormKind::TotalRunout, _) => plain,
            (FormKind::Coaxiality, _) => FormReading {
                adds: Some(FORM_TOO),
                ..plain
            },
            (FormKind::Taper, true) => both,
            // On the radius; and the slide that turned it is followed, not the part's axis.
            (FormKind::Taper, false) => FormReading {
                factor: 0.5,
                hides: gauge.map(|_| SLIDE_COPIED),
                ..plain
            },
            // An odd number of lobes stays hidden; what is seen is of an even number.
            (FormKind::Roundness, true) => FormReading {
                factor: two_point_factor(2),
                hides: (form.lobes.map_or(0.0, two_point_factor) <= 0.0).then_some(TWO_POINT_BLIND),
                ..both
            },
            (FormKind::Roundness, false) => FormReading {
                factor: block_factor(form),
                adds: form.v_block.is_none().then_some(ECCENTRICITY_TOO),
                ..plain
            },
        })
    }
}

impl Setup {
    /// Whether a gauge of that kind can show such a position: two faces find a size, never how it
    /// runs about an axis.
    pub(super) fn shows_position(target: &Target, kind: GaugeKind) -> bool {
        let form = target.form.as_ref();
        form.is_none_or(|form| !form.kind.has_datum() || !has_two_faces(kind))
    }
}

impl State {
    /// Positions that are asked of the part at hand because it was clamped anew, and still open.
    pub fn asked_since_rechucking(&self) -> Vec<&Target> {
        let Some(part) = self.current_part() else {
            return Vec::new();
        };
        let all = self.setup().targets.iter().zip(&part.characteristics);
        all.filter(|(target, one)| target.waits_for_rechucking() && one.selected && one.is_open())
            .map(|(target, _)| target)
            .collect()
    }
}

/// A length times a factor, to the nearest nanometre; none out of range.
#[allow(clippy::cast_possible_truncation)]
fn scaled(length: Length, factor: f64) -> Option<Length> {
    let nm = (length.as_nm_f64() * factor).round();
    nm.is_finite()
        .then(|| Length::checked_nm(nm as i128).ok())
        .flatten()
}

/// The width from the difference that was read; what is no form stays.
///
/// Formula: w = r/F; u(w) = u(r) sqrt(k)/F
/// Symbols: r difference read, F what the way of measuring makes of the width
///          ([`FormReading::factor`]), k independent readings in it (1 for an indicator that stays
///          set, 2 for two sizes).
/// Valid:   F above 0.
/// Rounding: to the nearest nanometre.
/// Source:  F of V-block and two points: geometry, see `pair::v_block_factor`; u: JCGM 100:2008
///          5.1.2.
/// Checked: tests/logic/session_form.rs.
/// Errors:  a sentence, for a negative difference.
pub(super) fn form_measured(
    target: &Target,
    gauge: Option<&Gauge>,
    measured: Measured,
    notes: &mut Vec<String>,
) -> Result<Measured, String> {
    let Some(reading) = target.form_reading(gauge) else {
        return Ok(measured);
    };
    if measured.value.is_negative() {
        let why = "A full movement is never negative: it is the largest less the smallest reading.";
        return Err(why.to_owned());
    }
    let over_block = target
        .form
        .as_ref()
        .is_some_and(|form| form.v_block.is_some());
    if over_block && reading.hides.is_none() {
        notes.push(OVER_V_BLOCK.to_owned());
    }
    let value = scaled(measured.value, 1.0 / reading.factor)
        .ok_or_else(|| "The width that follows is out of range.".to_owned())?;
    let share = reading.readings.sqrt() / reading.factor;
    let uncertainty = match &measured.uncertainty {
        None => None,
        Some(known) => {
            let lines = known.lines().iter().map(|line| BudgetLine {
                standard_nm: line.standard_nm * share,
                ..*line
            });
            let combined = Uncertainty::combined(lines.collect());
            Some(combined.map_err(|error| error.to_string())?)
        }
    };
    let mut corrections = measured.corrections;
    if value != measured.value {
        let added = value - measured.value;
        corrections.push(Correction::Form { added });
    }
    Ok(Measured {
        value,
        uncertainty,
        corrections,
    })
}

impl Case<'_> {
    /// What the way of measuring hides proves no GO, and what it shows besides no NO-GO.
    pub(super) fn consider_form(&self, judgement: &mut Judgement, notes: &mut Vec<String>) {
        let Some(reading) = self.target.form_reading(self.gauge()) else {
            return;
        };
        let why = match judgement.verdict {
            VerdictWord::Go => reading.hides,
            VerdictWord::NoGo => reading.adds,
            VerdictWord::Doubt => None,
        };
        if let Some(why) = why {
            notes.push(why.to_owned());
            judgement.verdict = VerdictWord::Doubt;
            // Of what is not seen, or seen with something else, no chance is known.
            judgement.conformance_probability = None;
        }
    }

    /// Whether this feature and the one that its position is asked about were turned in one
    /// setting, as far as the other has been measured.
    pub(super) fn note_setting(&self, notes: &mut Vec<String>) {
        let own = &self.target.feature;
        for form in self
            .state
            .setup()
            .targets
            .iter()
            .filter_map(|one| one.form.as_ref())
        {
            let (Some(of), Some(datum)) = (&form.of, &form.datum) else {
                continue;
            };
            let (feature, other) = match (of.as_str() == own, datum.as_str() == own) {
                (true, _) => (of, datum),
                (_, true) => (datum, of),
                _ => continue,
            };
            let part = self.place.part;
            if !self.state.is_feature_measured(part, other) {
                continue;
            }
            let is_clamped_anew = self.state.clamped_between(part, feature, other);
            let word = match (self.is_of_setting(other), is_clamped_anew) {
                (false, _) => OTHER_SETTING,
                (true, true) => RECHUCKED,
                (true, false) => ONE_SETTING,
            };
            let note = format!("{word}{other}");
            if !notes.contains(&note) {
                notes.push(note);
            }
        }
    }

    fn is_of_setting(&self, other: &FeatureId) -> bool {
        let other = self.state.setup().plan.feature(other);
        other.is_some_and(|other| other.setting == self.target.setting)
    }
}

impl State {
    /// Whether a feature of a part has a reading that counts.
    fn is_feature_measured(&self, part: u32, feature: &FeatureId) -> bool {
        let part = self
            .part(part)
            .map_or(&[][..], |part| &*part.characteristics);
        let mut all = self.setup().targets.iter().zip(part);
        all.any(|(target, one)| {
            let mut points = one.points.iter();
            target.feature == feature.as_str() && points.any(|point| point.outcome.is_some())
        })
    }

    /// Whether the part was put back when one of two features had been measured and the other had
    /// not.
    fn clamped_between(&self, part: u32, one: &FeatureId, other: &FeatureId) -> bool {
        let had = |measured: &[bool], feature: &FeatureId| {
            let mut all = self.setup().targets.iter().zip(measured);
            all.any(|(target, measured)| *measured && target.feature == feature.as_str())
        };
        let put_back = self
            .breaks()
            .iter()
            .filter(|found| found.kind == BreakKind::PutBack);
        let mut measured = put_back.filter_map(|found| found.measured_on(part));
        measured.any(|measured| had(measured, one) != had(measured, other))
    }

    /// The part was clamped anew: a position that waits for that is asked for, where one of its two
    /// features had been measured and the other had not.
    pub(super) fn ask_after_rechucking(&mut self) {
        let Some(part) = self.current_part().map(|part| part.number) else {
            return;
        };
        let targets = self.setup().targets.iter().enumerate();
        let waiting = targets.filter(|(_, target)| {
            let is_between = target.form.as_ref().is_some_and(|form| {
                let is_measured = |feature: &Option<FeatureId>| {
                    let feature = feature.as_ref();
                    feature.is_some_and(|one| self.is_feature_measured(part, one))
                };
                is_measured(&form.of) != is_measured(&form.datum)
            });
            target.waits_for_rechucking() && target.is_due(part) && is_between
        });
        let waiting: Vec<usize> = waiting.map(|(at, _)| at).collect();
        for at in waiting {
            if let Some(one) = self.characteristic_mut(part, at) {
                one.selected = true;
            }
        }
    }
}

//! Which gauges of the register can prove the characteristics of a plan, before the first part.
//!
//! Pure: plan and register in, answers out. The temperatures are those that nobody measured yet,
//! 20 °C within 5 K, as a session begins with; a temperature that is entered makes it better.

use std::fmt;

use super::form_measured::form_measured;
use super::form_words::hidden_words;
use super::judged_parts::angular_uncertainty_mas;
use super::over_wires::pitch_measured;
use super::setup::{Setup, Target, TargetLimits};
use crate::gauge::{Faces, Gauge, GaugeId, GaugeKind, Register};
use crate::material::{Expansion, Materials};
use crate::measure::{
    CentredProcess, Measured, Proof, Rule, SCALE_EXPANSION_PER_KELVIN, Suitability, Temperature,
    Thermal, Thermometer, Uncertainty, measure, suitability,
};
use crate::quantity::{Angle, Exact, Length};
use crate::tolerance::{Limits, Surface};

/// U is said for this probability (usual practice).
const COVERAGE_PROBABILITY: f64 = 0.95;
/// So many reasons stand in a warning.
const REASONS_MAX: usize = 3;

/// One characteristic and what each gauge of the register can do for it.
#[derive(Debug, Clone, PartialEq)]
pub struct Suitable {
    /// Its place in measuring order.
    pub target: usize,
    /// Feature id.
    pub feature: String,
    /// Element of the feature.
    pub element: String,
    /// The callout as written.
    pub callout: String,
    /// Upper minus lower limit in smallest steps; none for one-sided limits and checks.
    pub tolerance: Option<i64>,
    /// Whether it is an angle, its steps milliarcseconds; else nanometres.
    pub is_angle: bool,
    /// Whether it is tried, not measured: a plug, a gap gauge, a mating part.
    pub is_check: bool,
    /// The gauges in the register's order, then those that the plan lists and it lacks.
    pub gauges: Vec<GaugeSuitable>,
}

/// What one gauge can do for a characteristic.
#[derive(Debug, Clone, PartialEq)]
pub struct GaugeSuitable {
    /// The gauge.
    pub gauge: GaugeId,
    /// Its kind; none when the register lacks it.
    pub kind: Option<GaugeKind>,
    /// What it can do.
    pub found: Found,
    /// What its uncertainty lacks, as a part of a sentence; only where it measures.
    pub caution: Option<String>,
}

/// What a gauge can do for a characteristic.
#[derive(Debug, Clone, PartialEq)]
pub enum Found {
    /// It measures it, with this uncertainty.
    Measures(Proven),
    /// It is a limit gauge that tries it: goes or does not.
    Tries,
    /// It measures it, but nothing is known of its error: the uncertainty is not considered.
    NotKnown,
    /// It cannot be used on it.
    Unfit(Unfit),
}

/// What an uncertainty leaves of the tolerance; lengths in smallest steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Proven {
    /// Whether it can prove it.
    pub proof: Proof,
    /// The rule that will judge.
    pub rule: Rule,
    /// Standard uncertainty of a single reading.
    pub standard: f64,
    /// Expanded uncertainty U.
    pub expanded: f64,
    /// Coverage factor of U for 95 %.
    pub coverage_factor: f64,
    /// T/(2U); none for one-sided limits.
    pub ratio: Option<f64>,
    /// How far inside each limit a value must lie to be GO; none: no value is.
    pub guard: Option<i64>,
    /// Guard zones over the tolerance.
    pub guard_share: Option<f64>,
    /// Share of a centred process (sd = T/6 assumed) that would be DOUBT.
    pub doubt_share: Option<f64>,
    /// The gauge's error is assumed by its kind, not stated.
    pub is_assumed: bool,
}

/// Why a gauge cannot be used on a characteristic.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Unfit {
    /// The plan lists other gauges for it.
    NotListed,
    /// Its kind does not show such a thing.
    Kind,
    /// A limit gauge: made for other limits, or it does not have the end that is tried.
    MadeForOther,
    /// Its faces do not touch such a surface.
    Faces,
    /// It hides what is asked for; why, in words.
    Blind(&'static str),
    /// The limits are outside its range; of a comparator, of the deviations that it shows.
    Range {
        /// Lower end.
        lower: Length,
        /// Upper end.
        upper: Length,
        /// What it is set on; zero for a gauge that shows the size.
        set_size: Length,
    },
}

impl Unfit {
    /// The word in JSON.
    pub fn word(self) -> &'static str {
        match self {
            Self::NotListed => "not_listed",
            Self::Kind => "kind",
            Self::MadeForOther => "made_for_other",
            Self::Faces => "faces",
            Self::Blind(_) => "blind",
            Self::Range { .. } => "range",
        }
    }
}

impl fmt::Display for Unfit {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        match self {
            Self::NotListed => f.write_str("the plan lists other gauges"),
            Self::Kind => f.write_str("its kind does not measure this"),
            Self::MadeForOther => f.write_str("it is made for other limits or for the other end"),
            Self::Faces => f.write_str("its faces do not touch such a surface"),
            Self::Blind(why) => f.write_str(why),
            Self::Range {
                lower,
                upper,
                set_size,
            } => {
                write!(f, "its range is {lower} to {upper} mm")?;
                match *set_size == Length::ZERO {
                    true => Ok(()),
                    false => write!(f, " about {set_size} mm"),
                }
            }
        }
    }
}

impl Suitable {
    /// Whether at least one gauge can prove it, be it only sometimes. A gauge of which nothing is
    /// known counts, since it is judged by simple acceptance, and so does whatever tries a check:
    /// limit gauges and mating parts need not be in the register.
    pub fn can_be_proved(&self) -> bool {
        let proves = |one: &GaugeSuitable| match &one.found {
            Found::Measures(proven) => proven.proof != Proof::Cannot,
            Found::Tries | Found::NotKnown => true,
            Found::Unfit(_) => false,
        };
        self.is_check || self.gauges.is_empty() || self.gauges.iter().any(proves)
    }

    /// The warning of the plan when no gauge can prove it; none when one can, or where the
    /// register has no gauge at all.
    pub fn warning(&self) -> Option<String> {
        if self.can_be_proved() {
            return None;
        }
        let proven = |one: &GaugeSuitable| match one.found {
            Found::Measures(proven) => Some((one.gauge.clone(), proven)),
            _ => None,
        };
        let measuring = self.gauges.iter().filter_map(proven);
        let best = measuring.min_by(|one, other| one.1.standard.total_cmp(&other.1.standard));
        let why = match best {
            Some((gauge, proven)) => {
                let ratio = proven
                    .ratio
                    .map_or(String::new(), |ratio| format!(" (T/(2U) = {ratio:.1})"));
                format!(
                    "{gauge} is the best with U = {}{ratio}, and no value at all could be GO",
                    self.steps_text(proven.expanded)
                )
            }
            None => {
                let unfit = |one: &GaugeSuitable| match one.found {
                    Found::Unfit(Unfit::Kind) => None,
                    Found::Unfit(unfit) => Some(format!("{}: {unfit}", one.gauge)),
                    _ => None,
                };
                let reasons: Vec<String> = self.gauges.iter().filter_map(unfit).collect();
                let more = reasons.len().saturating_sub(REASONS_MAX);
                let told: Vec<&str> = reasons
                    .iter()
                    .take(REASONS_MAX)
                    .map(String::as_str)
                    .collect();
                match (told.is_empty(), more) {
                    (true, _) => "none of the register measures such a thing".to_owned(),
                    (false, 0) => told.join("; "),
                    (false, more) => format!("{}; and {more} more", told.join("; ")),
                }
            }
        };
        Some(format!(
            "No gauge here can prove {} {}: {why}.",
            self.feature, self.callout
        ))
    }

    /// A number of steps as a person reads it, with its unit.
    fn steps_text(&self, steps: f64) -> String {
        match self.is_angle {
            true => format!("{:.4}°", steps / 3_600_000.0),
            false => format!("{:.4} mm", steps / 1e6),
        }
    }
}

/// What each gauge of the register can do for each characteristic of the plan, in measuring
/// order.
pub fn suitability_of(setup: &Setup) -> Vec<Suitable> {
    let targets = setup.targets.iter().enumerate();
    targets
        .map(|(index, target)| {
            let known = setup.register.gauges().iter().map(|gauge| {
                let found = found(setup, target, gauge);
                let measures = matches!(found, Found::Measures(_));
                GaugeSuitable {
                    gauge: gauge.id.clone(),
                    kind: Some(gauge.kind),
                    caution: standard_caution(&setup.register, gauge).filter(|_| measures),
                    found,
                }
            });
            let lacking = target.gauges.iter().filter(|id| setup.gauge(id).is_none());
            let lacking = lacking.map(|id| GaugeSuitable {
                gauge: id.clone(),
                kind: None,
                found: Found::NotKnown,
                caution: None,
            });
            Suitable {
                target: index,
                feature: target.feature.clone(),
                element: target.element.clone(),
                callout: target.callout.clone(),
                tolerance: match &target.limits {
                    TargetLimits::Length(limits) => width(limits),
                    TargetLimits::Angle(limits) => width(limits),
                    TargetLimits::Check(_) => None,
                },
                is_angle: target.is_angle(),
                is_check: target.check().is_some(),
                gauges: known.chain(lacking).collect(),
            }
        })
        .collect()
}

/// The warnings of a plan before its first part: "No gauge here can prove ...".
pub fn suitability_warnings(setup: &Setup) -> Vec<String> {
    let all = suitability_of(setup);
    all.iter().filter_map(Suitable::warning).collect()
}

/// What the uncertainty of a gauge lacks when nothing is known of the error of its standard:
/// `the error of its standard ring-6.003 is not stated, so it is left out of the uncertainty`.
pub(super) fn standard_caution(register: &Register, gauge: &Gauge) -> Option<String> {
    let standard = &register.standard_left_out(gauge)?.id;
    Some(format!(
        "the error of its standard {standard} is not stated, so it is left out of the uncertainty"
    ))
}

fn width<Q: Exact>(limits: &Limits<Q>) -> Option<i64> {
    let (lower, upper) = limits.lower().zip(limits.upper())?;
    Some(upper.units() - lower.units())
}

fn found(setup: &Setup, target: &Target, gauge: &Gauge) -> Found {
    if let Some(unfit) = unfit(setup, target, gauge) {
        return Found::Unfit(unfit);
    }
    let proven = match &target.limits {
        TargetLimits::Check(_) => return Found::Tries,
        TargetLimits::Length(limits) => {
            let size = limits.upper().or(limits.lower()).unwrap_or(Length::ZERO);
            let size = target.size_to_find(size);
            let known = uncertainty_at(setup, target, gauge, size);
            known.and_then(|known| proven(setup.rule, limits, &known))
        }
        TargetLimits::Angle(limits) => {
            let u = angular_uncertainty_mas(gauge);
            let known = u.and_then(|u| Uncertainty::stated(u).ok());
            known.and_then(|known| proven::<Angle>(setup.rule, limits, &known))
        }
    };
    proven.map_or(Found::NotKnown, |proven| {
        let size = match &target.limits {
            TargetLimits::Length(limits) => limits.upper().or(limits.lower()),
            TargetLimits::Angle(_) | TargetLimits::Check(_) => None,
        };
        let error = size.and_then(|size| gauge.permissible_error(size, target.faces));
        Found::Measures(Proven {
            is_assumed: error.is_some_and(|error| error.is_assumed()),
            ..proven
        })
    })
}

fn unfit(setup: &Setup, target: &Target, gauge: &Gauge) -> Option<Unfit> {
    if let Some(asked) = target.check() {
        return match (asked.fits(gauge.kind), target.may_prove(&gauge.id)) {
            (false, _) => Some(Unfit::Kind),
            (true, false) => Some(Unfit::NotListed),
            (true, true) => (!setup.answers(target, gauge)).then_some(Unfit::MadeForOther),
        };
    }
    let kind = gauge.kind;
    let measures = !kind.is_limit_gauge() && !kind.is_standard() && kind != GaugeKind::Wires;
    let shows = kind.reads_angles() == target.is_angle() && setup.can_show(target, &gauge.id);
    // A thread micrometer shows nothing but a pitch diameter.
    let is_only_of_pitch = kind == GaugeKind::ThreadMicrometer && target.element != "pitch";
    if !measures || !shows || is_only_of_pitch {
        return Some(Unfit::Kind);
    }
    // A bare size says nothing of its surface: the gauge's faces are then no reason against it.
    let is_bare = target.surface == Surface::Length && target.faces == Faces::Inside;
    if !target.is_angle() && !is_bare && !has_faces(kind, target.faces) {
        return Some(Unfit::Faces);
    }
    let hides = target
        .form_reading(Some(gauge))
        .and_then(|reading| reading.hides);
    if let Some(hides) = hides {
        return Some(Unfit::Blind(hidden_words(hides)));
    }
    if let Some(range) = out_of_range(setup, target, gauge) {
        return Some(range);
    }
    (!target.may_prove(&gauge.id)).then_some(Unfit::NotListed)
}

/// Whether a gauge of that kind has such faces (how the kinds are built; textbook).
fn has_faces(kind: GaugeKind, faces: Faces) -> bool {
    match kind {
        GaugeKind::Caliper | GaugeKind::Indicator => true,
        GaugeKind::InsideMicrometer | GaugeKind::BoreGauge | GaugeKind::SmallHoleGauge => {
            faces == Faces::Inside
        }
        GaugeKind::DepthMicrometer => faces == Faces::Depth,
        GaugeKind::HeightGauge | GaugeKind::Rule => faces != Faces::Inside,
        GaugeKind::OutsideMicrometer | GaugeKind::ThreadMicrometer => faces == Faces::Outside,
        _ => false,
    }
}

/// The range that does not hold both limits: the gauge's own, or that of the gauge that reads it.
fn out_of_range(setup: &Setup, target: &Target, gauge: &Gauge) -> Option<Unfit> {
    if target.form.is_some() {
        return None; // a difference of readings anywhere in its range
    }
    let limits = target.limits_to_find()?;
    let outside = |gauge: &Gauge| {
        let zero = gauge.size_of(Length::ZERO);
        let mut wanted = [limits.lower(), limits.upper()].into_iter().flatten();
        let (lower, upper) = gauge.range?;
        let misses = wanted.any(|limit| !gauge.covers(limit - zero));
        misses.then_some(Unfit::Range {
            lower,
            upper,
            set_size: zero,
        })
    };
    let reader = gauge.read_by.as_ref().and_then(|id| setup.gauge(id));
    outside(gauge).or_else(|| reader.and_then(outside))
}

/// The uncertainty of a single reading near that size, as at the beginning of a session.
fn uncertainty_at(
    setup: &Setup,
    target: &Target,
    gauge: &Gauge,
    size: Length,
) -> Option<Uncertainty> {
    let error = setup.register.error_of(gauge, size, target.faces)?;
    let thermal = setup.expansion.map(|part_expansion| Thermal {
        part: Temperature::assumed(),
        part_expansion,
        gauge: Temperature::assumed(),
        gauge_expansion: scale_expansion(gauge, &setup.materials),
        thermometer: Thermometer::Separate,
    });
    let measured = measure(size, &error, thermal.as_ref(), 1).ok()?;
    measured.uncertainty.as_ref()?;
    let measured: Measured = pitch_measured(setup, target, measured, &mut Vec::new()).ok()?;
    let measured = form_measured(target, Some(gauge), measured, &mut Vec::new()).ok()?;
    measured.uncertainty
}

/// The expansion of the gauge's scale: of the material that the register states, else steel.
pub(super) fn scale_expansion(gauge: &Gauge, materials: &Materials) -> Expansion {
    let stated = gauge
        .made_of
        .as_deref()
        .and_then(|name| materials.find(name).ok());
    stated.map_or_else(
        || Expansion::with_usual_uncertainty(SCALE_EXPANSION_PER_KELVIN),
        |scale| scale.expansion(),
    )
}

fn proven<Q: Exact>(rule: Option<Rule>, limits: &Limits<Q>, known: &Uncertainty) -> Option<Proven> {
    let standard = known.standard_nm();
    let coverage_factor = known.coverage_factor(COVERAGE_PROBABILITY).ok()?;
    let expanded = coverage_factor * standard;
    let rule = rule.unwrap_or(Rule::PROBABILITY);
    let left: Suitability<Q> =
        suitability(limits, standard, expanded, rule, CentredProcess::USUAL).ok()?;
    Some(Proven {
        proof: left.proof,
        rule,
        standard,
        expanded,
        coverage_factor,
        ratio: left.ratio,
        guard: left.guard.map(|guard| guard.units()),
        guard_share: left.guard_share,
        doubt_share: left.doubt_share,
        is_assumed: false,
    })
}

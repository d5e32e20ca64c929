//! What a session measures against: the plan's characteristics in measuring order, the gauges,
//! the decision rule. Built from `session_opened`, live and on replay alike.

use std::sync::Arc;

use super::advance::Advance;
use super::cut::dial_of;
use super::form_measured::blind_block;
use super::over_wires::wires_of;
use super::setup_house::{materials_of, tables_of};
use super::suited::{SuitedLimit, suit_targets};
use crate::gauge::{CheckAsked, Faces, Gauge, GaugeId, GaugeKind, Observed, Register};
use crate::journal::{EarlierZero, GaugeSource, Job, SessionOpened, ValueUnit, rule_of};
use crate::material::{Expansion, Material, Materials};
use crate::measure::{Dial, Rule};
use crate::plan::{
    Aim, Characteristic, Decision, Feature, FeatureId, Form, OverWires, Part, Plan, Rules, Take,
};
use crate::quantity::Length;
use crate::tolerance::{GeneralClass, Surface, Tables};

/// The limits of a target, at the stage that is measured.
pub use crate::plan::Bounds as TargetLimits;

/// One characteristic to be measured on every (selected) part.
#[derive(Debug, Clone, PartialEq)]
pub struct Target {
    /// Feature id in the plan.
    pub feature: String,
    /// Element of the feature: `size` or `angle`.
    pub element: String,
    /// The callout as written.
    pub callout: String,
    /// What the feature is called.
    pub name: String,
    /// Its limits at the stage measured.
    pub limits: TargetLimits,
    /// Where the metal is.
    pub surface: Surface,
    /// Points wanted.
    pub points: u16,
    /// The names of the points' places; empty where the plan has none.
    pub places: Arc<[String]>,
    /// Measured on the first part and every so many after it.
    pub every: u32,
    /// The setting it is turned in.
    pub setting: u32,
    /// Gauges that may prove it; empty: any.
    pub gauges: Vec<GaugeId>,
    /// The gauge's faces on it.
    pub faces: Faces,
    /// Where to aim inside the zone that can be proved.
    pub aim: Aim,
    /// Below this a cut is no cut.
    pub least_cut: Option<Length>,
    /// How a measurement over three wires becomes the pitch diameter, if that is measured.
    pub over_wires: Option<OverWires>,
    /// The wires of the register whose error counts; none: it is assumed.
    pub wires: Option<GaugeId>,
    /// How a reading is taken out of moving values.
    pub take: Take,
    /// Why its limits are others than the plan's: it is made to suit its measured mate.
    pub suited: Option<Arc<SuitedLimit>>,
    /// The form or position that is asked for, if it is none of a size.
    pub form: Option<Form>,
}

impl Target {
    /// The name of a point's place; the point counts from 1.
    pub fn place_name(&self, point: u16) -> Option<&str> {
        let at = usize::from(point).checked_sub(1)?;
        self.places.get(at).map(String::as_str)
    }

    /// Whether the limits are of an angle.
    pub fn is_angle(&self) -> bool {
        matches!(self.limits, TargetLimits::Angle(_))
    }

    /// What the whole numbers of its verdicts count.
    pub fn unit(&self) -> ValueUnit {
        match self.limits {
            TargetLimits::Length(_) => ValueUnit::Nanometre,
            TargetLimits::Angle(_) => ValueUnit::Milliarcsecond,
            TargetLimits::Check(_) => ValueUnit::Check,
        }
    }

    /// What a limit gauge or a mating part is asked, if it is an attribute check.
    pub fn check(&self) -> Option<&CheckAsked> {
        match &self.limits {
            TargetLimits::Check(asked) => Some(asked),
            TargetLimits::Length(_) | TargetLimits::Angle(_) => None,
        }
    }

    /// Whether a reading of that kind can belong to it.
    pub fn takes(&self, observed: Observed) -> bool {
        match (observed, &self.limits) {
            (Observed::Length(_), TargetLimits::Length(_))
            | (Observed::Angle(_), TargetLimits::Angle(_)) => true,
            (Observed::Check { end, .. }, TargetLimits::Check(asked)) => end == asked.end,
            _ => false,
        }
    }

    /// Whether it is asked for on that part from the start.
    pub fn is_selected(&self, part: u32) -> bool {
        self.is_due(part) && !self.waits_for_rechucking()
    }

    /// Whether the sampling plan selects the characteristic on that part. Parts count from 1 and
    /// the first is always selected: with `every = 5` these are 1, 6, 11, …, so that a wrong setup
    /// is found on the first part.
    pub(super) fn is_due(&self, part: u32) -> bool {
        part.saturating_sub(1).is_multiple_of(self.every.max(1))
    }

    /// Whether a verdict may rest on that gauge.
    pub fn may_prove(&self, gauge: &GaugeId) -> bool {
        self.gauges.is_empty() || self.gauges.contains(gauge)
    }
}

/// Everything a session rests on.
#[derive(Debug, Clone)]
pub struct Setup {
    /// Characteristics in measuring order.
    pub targets: Vec<Target>,
    /// The plan.
    pub plan: Plan,
    /// The tolerance tables that its limits come from, house tables included.
    pub tables: Arc<Tables>,
    /// The gauge register.
    pub register: Register,
    /// Expansion of the part's material, if the plan names one.
    pub expansion: Option<Expansion>,
    /// The materials in force, those of the house included.
    pub materials: Arc<Materials>,
    /// Stage that is measured; empty: the last one.
    pub stage: String,
    /// Gauges of this session.
    pub sources: Vec<GaugeSource>,
    /// Their gauges, in the same order: a clone of an id costs nothing.
    source_ids: Vec<GaugeId>,
    /// Who measures at the start.
    pub operator: String,
    /// The rule asked for; none means probability when u is known, else simple.
    pub rule: Option<Rule>,
    /// The cross-slide dial that cuts are told for, if it is known.
    pub dial: Option<Dial>,
    /// How many parts are wanted, if it was said.
    pub parts_wanted: Option<u32>,
    /// What moves on.
    pub advance: Advance,
    /// The last zero checks of gauges before the session.
    pub zeros: Vec<EarlierZero>,
    /// What names the work: what was said at the start, else the plan's word.
    pub job: Job,
}

/// Why the first event of a session does not give a setup.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SetupError {
    /// The error's word in JSON.
    pub code: &'static str,
    /// Sentences, one a problem, each with its place.
    pub messages: Vec<String>,
    /// What to do next.
    pub hint: Option<String>,
}

impl std::fmt::Display for SetupError {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        f.write_str(&self.messages.join("\n"))
    }
}

impl std::error::Error for SetupError {}

impl Setup {
    /// The setup of a session, from its first event alone.
    ///
    /// # Errors
    /// A [`SetupError`] with every problem of the plan, the register or the house tables.
    pub fn of(opened: &SessionOpened) -> Result<Self, SetupError> {
        let tables = tables_of(opened)?;
        let register = Register::parse(&opened.gauges, "gauges.toml").map_err(|errors| {
            let messages = errors.iter().map(ToString::to_string).collect();
            let hint = errors.first().and_then(|error| error.hint());
            SetupError {
                code: "gauge_register_invalid",
                messages,
                hint,
            }
        })?;
        let plan = plan_of(opened, &tables)?;
        let materials = materials_of(opened)?;
        let expansion = plan.material(&materials).map_err(|error| SetupError {
            code: error.code(),
            messages: vec![error.to_string()],
            hint: error.hint().map(str::to_owned),
        })?;
        let rule = match opened.rule.as_str() {
            "" => rule_of_plan(&plan.rules),
            text => Some(rule_of(text).ok_or_else(|| {
                let message = format!("“{}” is no decision rule.", text.escape_debug());
                SetupError {
                    code: "rule_unknown",
                    messages: vec![message],
                    hint: None,
                }
            })?),
        };
        let dial = match opened.dial.as_str() {
            "" => None,
            text => Some(dial_of(text).ok_or_else(|| SetupError {
                code: "dial_unknown",
                messages: vec![format!("“{}” is no dial.", text.escape_debug())],
                hint: Some("Write radius or diameter and its step: radius 0.02.".to_owned()),
            })?),
        };
        let job = job_of(&opened.job, &plan.part);
        let mut targets = targets_of(&plan, &opened.stage, &register)?;
        let stage = opened.stage.as_str();
        suit_targets(&mut targets, &opened.suits, |feature| {
            stage.is_empty() || plan.is_deciding_stage(&FeatureId::new(feature), stage)
        })?;
        Ok(Self {
            dial,
            targets,
            expansion: expansion.map(Material::expansion),
            materials: Arc::new(materials),
            plan,
            tables: Arc::new(tables),
            register,
            stage: opened.stage.clone(),
            sources: opened.sources.clone(),
            source_ids: opened
                .sources
                .iter()
                .map(|one| GaugeId::new(&one.gauge))
                .collect(),
            operator: opened.operator.clone(),
            rule,
            parts_wanted: opened.parts,
            advance: Advance::of(opened),
            zeros: opened.zeros.clone(),
            job,
        })
    }

    /// Whether a characteristic is measured at a stage before its last.
    pub fn is_before_last_stage(&self, target: &Target) -> bool {
        let of_target = |feature: &&Feature| feature.id.as_str() == target.feature;
        let feature = self.plan.features.iter().find(of_target);
        !self.stage.is_empty()
            && feature.is_some_and(|one| !self.plan.is_deciding_stage(&one.id, &self.stage))
    }

    /// Whether the stage that is measured is one before the last of some feature.
    pub fn is_earlier_stage(&self) -> bool {
        let mut features = self.plan.features.iter();
        let is_earlier = |feature: &Feature| !self.plan.is_deciding_stage(&feature.id, &self.stage);
        !self.stage.is_empty() && features.any(is_earlier)
    }

    /// The gauge of the register with that id.
    pub fn gauge(&self, id: &GaugeId) -> Option<&Gauge> {
        self.register.gauge(id)
    }

    /// The id of a gauge by its place: first those that are sources of the session, then those
    /// of the register (a typed reading may name any of them).
    pub fn gauge_id(&self, index: u16) -> Option<GaugeId> {
        let index = usize::from(index);
        let registered = || {
            let at = index.checked_sub(self.source_ids.len())?;
            Some(&self.register.gauges().get(at)?.id)
        };
        self.source_ids.get(index).or_else(registered).cloned()
    }

    /// The ids of all gauges that the session knows: its sources, then the register's, each once.
    pub fn gauge_ids(&self) -> Vec<&str> {
        let registered = self.register.gauges().iter().map(|one| &one.id);
        let mut ids: Vec<&str> = Vec::new();
        for id in self.source_ids.iter().chain(registered) {
            if !ids.contains(&id.as_str()) {
                ids.push(id.as_str());
            }
        }
        ids
    }

    /// The place of a characteristic in measuring order.
    pub fn target_index(&self, feature: &str, element: &str) -> Option<usize> {
        self.targets
            .iter()
            .position(|t| t.feature == feature && t.element == element)
    }

    /// The characteristic of a feature; an empty element means its first.
    pub fn choose(&self, feature: &str, element: &str) -> Option<&Target> {
        let fits =
            |t: &&Target| t.feature == feature && (element.is_empty() || t.element == element);
        self.targets.iter().find(fits)
    }

    /// The place of a gauge; see [`Setup::gauge_id`].
    pub fn gauge_index(&self, gauge: &GaugeId) -> Option<u16> {
        let source = self
            .sources
            .iter()
            .position(|source| source.gauge == gauge.as_str());
        let at = source.or_else(|| {
            let all = self.register.gauges();
            let at = all.iter().position(|one| one.id == *gauge)?;
            Some(self.sources.len() + at)
        })?;
        u16::try_from(at).ok()
    }

    /// The debounce time of a gauge in milliseconds; 0 when it has none.
    pub fn repeat_ms(&self, gauge: &GaugeId) -> u32 {
        let mut sources = self.sources.iter();
        let source = sources.find(|source| source.gauge == gauge.as_str());
        source.map_or(0, |source| source.repeat_ms)
    }
}

/// What names the work: what was said, else what the plan says.
fn job_of(said: &Job, part: &Part) -> Job {
    let or = |said: &String, planned: Option<&String>| match said.as_str() {
        "" => planned.cloned().unwrap_or_default(),
        _ => said.clone(),
    };
    Job {
        order: or(&said.order, part.order.as_ref()),
        customer: or(&said.customer, part.customer.as_ref()),
        material_lot: or(&said.material_lot, part.material_lot.as_ref()),
        machine: said.machine.clone(),
    }
}

pub(super) fn plan_of(opened: &SessionOpened, tables: &Tables) -> Result<Plan, SetupError> {
    let plan = match &opened.plan {
        None if opened.callouts.is_empty() => return Ok(Plan::without_part()),
        Some(text) => Plan::parse(text, &opened.plan_name, tables),
        None => {
            let callouts: Vec<&str> = opened.callouts.iter().map(String::as_str).collect();
            let general = GeneralClass::from_word(&opened.general);
            Plan::from_callouts(
                &callouts,
                Rules {
                    general,
                    ..Rules::default()
                },
                tables,
            )
        }
    };
    plan.map_err(|errors| SetupError {
        code: errors.first().map_or("plan_invalid", |error| error.code()),
        messages: errors.iter().map(ToString::to_string).collect(),
        hint: errors.first().and_then(|error| error.hint()),
    })
}

/// The plan's rule, with the usual numbers where it names none.
fn rule_of_plan(rules: &Rules) -> Option<Rule> {
    let Rule::Probability { confidence: usual } = Rule::PROBABILITY else {
        return None;
    };
    let Rule::Guard { factor } = Rule::GUARD else {
        return None;
    };
    match rules.decision? {
        Decision::Simple => Some(Rule::Simple),
        Decision::Guard => Some(Rule::Guard {
            factor: rules.guard_factor.unwrap_or(factor),
        }),
        Decision::Probability => Some(Rule::Probability {
            confidence: rules.confidence.unwrap_or(usual),
        }),
    }
}

fn targets_of(plan: &Plan, stage: &str, register: &Register) -> Result<Vec<Target>, SetupError> {
    let mut targets = Vec::new();
    let all = plan.order().into_iter();
    // A limit gauge is made for the finished part: earlier stages are not tried with it.
    let asked = all.filter(|one| {
        let is_check = matches!(one.bounds(), Some(TargetLimits::Check(_)));
        !is_check || stage.is_empty() || plan.is_deciding_stage(&one.id.feature, stage)
    });
    for characteristic in asked {
        let mut target = target_of(plan, characteristic, stage)?;
        let is_of_thread = characteristic.id.element.is_some();
        target.wires = wires_of(&target, register);
        keep_applicable(&mut target, is_of_thread, register);
        targets.push(target);
    }
    if targets.is_empty() && !plan.order().is_empty() {
        return Err(SetupError {
            code: "nothing_to_measure",
            messages: vec![format!(
                "Nothing is measured at the stage “{}”: limit gauges are for the finished part.",
                stage.escape_debug()
            )],
            hint: Some("Leave --stage out, or name the last stage.".to_owned()),
        });
    }
    Ok(targets)
}

/// Of the gauges listed for a thread, those that can do what is asked: plugs measure no diameter,
/// wires show none, and a micrometer is no plug. What the register does not know stays.
fn keep_applicable(target: &mut Target, is_of_thread: bool, register: &Register) {
    let check = target.check().copied();
    target
        .gauges
        .retain(|id| match (register.gauge(id), check) {
            (Some(gauge), Some(asked)) => asked.fits(gauge.kind),
            (Some(gauge), None) => {
                let shows_size = !gauge.kind.is_limit_gauge() && gauge.kind != GaugeKind::Wires;
                !is_of_thread || shows_size
            }
            (None, _) => true,
        });
}

fn target_of(plan: &Plan, one: &Characteristic, stage: &str) -> Result<Target, SetupError> {
    let wrong = |code, message: String, hint| SetupError {
        code,
        messages: vec![message],
        hint,
    };
    let bounds = if stage.is_empty() {
        one.bounds()
    } else {
        match one.stage(Some(stage)) {
            Ok(stage) => Some(stage.bounds),
            // A feature without stages is the same at each.
            Err(_) if one.stages.len() == 1 => one.bounds(),
            Err(error) => return Err(wrong(error.code(), error.to_string(), error.hint())),
        }
    };
    let Some(limits) = bounds else {
        let message = format!("{} has no limits.", one.id);
        return Err(wrong("no_limits", message, None));
    };
    let feature = plan.feature(&one.id.feature);
    let element = one.id.element.as_deref().unwrap_or(match limits {
        TargetLimits::Length(_) => "size",
        TargetLimits::Angle(_) => "angle",
        TargetLimits::Check(_) => "check",
    });
    let name = feature.and_then(|feature| feature.name.clone());
    let form = plan.form(one);
    if let Some((message, hint)) = form
        .as_ref()
        .and_then(|form| blind_block(one.id.feature.as_str(), form))
    {
        return Err(wrong("v_block_blind", message, Some(hint)));
    }
    Ok(Target {
        feature: one.id.feature.as_str().to_owned(),
        element: element.to_owned(),
        callout: one.callout_text.clone(),
        name: name.unwrap_or_default(),
        limits,
        surface: one.surface.unwrap_or(Surface::Length),
        points: u16::try_from(one.points).unwrap_or(u16::MAX),
        places: Arc::clone(&one.places),
        every: one.every,
        setting: feature.map_or(1, |feature| feature.setting),
        gauges: one.gauges.clone(),
        faces: one.faces(),
        aim: one.aim,
        least_cut: one.least_cut,
        over_wires: one.over_wires,
        wires: None,
        take: one.take,
        suited: None,
        form,
    })
}

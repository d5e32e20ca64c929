//! What an edited plan comes to: the plan as far as it is sound, its faults at their fields, which
//! gauges can prove what, and what is worth a look. Worked out anew when the text changes.

use std::collections::{BTreeMap, BTreeSet};

use super::plan_disk::PlanShelfFacts;
use crate::gauge::Register;
use crate::journal::SessionOpened;
use crate::plan::{
    Characteristic, Feature, FeatureId, Plan, PlanSheet, SheetFault, SoundPlan, TableAt,
};
use crate::quantity::Length;
use crate::session::{Setup, Suitable, suitability_of};
use crate::tolerance::{CalloutLimits, Context, Surface, Tables, ThreadLimits};

/// Faults of the part's material as a session tells them.
const MATERIAL: &str = "material";

/// Something worth a look that is no fault of the plan.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct PlanWarning {
    /// The table; none: the plan as a whole.
    pub at: Option<TableAt>,
    /// The key that it is about.
    pub key: Option<&'static str>,
    /// A sentence.
    pub text: String,
    /// No session can begin with it.
    pub is_fault: bool,
}

/// What a plan comes to.
#[derive(Debug, Clone, Default)]
pub struct PlanSense {
    /// The plan as far as it is sound, and its faults.
    pub sound: SoundPlan,
    /// What a session would measure; none where none could begin.
    pub setup: Option<Setup>,
    /// What each gauge of the register can do for each characteristic.
    pub suitable: Vec<Suitable>,
    /// The same as if the plan listed no gauges.
    pub could: Vec<Suitable>,
    /// The register that counts is not the one on the disk, which is not sound.
    pub is_register_old: bool,
    /// What is worth a look.
    pub warnings: Vec<PlanWarning>,
    /// Which faults and warnings are of which table: every row that is drawn asks.
    faults_of: BTreeMap<TableAt, Vec<usize>>,
    warnings_of: BTreeMap<TableAt, Vec<usize>>,
}

impl PlanSense {
    /// What the sheet comes to with what the workspace has.
    pub fn of(sheet: &PlanSheet, label: &str, facts: &PlanShelfFacts) -> Self {
        let tables = facts.tables.as_ref().unwrap_or_else(|| Tables::standard());
        let sound = sheet.sound(label, tables);
        let mut sense = Self {
            sound,
            is_register_old: facts.gauges_fault.is_some(),
            ..Self::default()
        };
        sense
            .warnings
            .extend(facts.gauges_fault.iter().map(|fault| PlanWarning {
                at: None,
                key: None,
                text: fault.clone(),
                is_fault: true,
            }));
        if sheet.features().is_empty() {
            // Said in the words of a file elsewhere.
            sense.sound.faults.retain(|fault| fault.at.is_some());
            sense.warnings.push(PlanWarning {
                at: None,
                key: None,
                text: "The plan has no feature yet: page 1, then N, adds one.".to_owned(),
                is_fault: true,
            });
        }
        if sense.sound.plan.is_some() {
            sense.set_up(sheet, label, facts);
        }
        let more = sense.sound.plan.as_ref().map(|plan| {
            let ids = Ids(sheet);
            let mut more = long_threads(plan, tables, &ids);
            more.extend(foreign_ends(plan, facts));
            if let Some(setup) = &sense.setup {
                more.extend(unknown_gauges(plan, &setup.register, &ids));
            }
            more
        });
        sense.warnings.extend(more.unwrap_or_default());
        sense.sort_out();
        sense
    }

    /// Enters every fault and warning at its table.
    fn sort_out(&mut self) {
        for (at, fault) in self.sound.faults.iter().enumerate() {
            let Some(table) = fault.at else { continue };
            self.faults_of.entry(table).or_default().push(at);
        }
        for (at, warning) in self.warnings.iter().enumerate() {
            let Some(table) = warning.at else { continue };
            self.warnings_of.entry(table).or_default().push(at);
        }
    }

    /// So many faults and warnings.
    pub fn count(&self) -> usize {
        self.sound.count() + self.warnings.len()
    }

    /// The faults of a text that is no TOML.
    pub fn of_text(text: &str, label: &str, facts: &PlanShelfFacts) -> Self {
        let tables = facts.tables.as_ref().unwrap_or_else(|| Tables::standard());
        let errors = Plan::parse(text, label, tables).err().unwrap_or_default();
        let faults = errors.into_iter().map(|error| SheetFault {
            at: None,
            key: None,
            character: None,
            error,
        });
        Self {
            sound: SoundPlan {
                faults: faults.collect(),
                ..SoundPlan::default()
            },
            ..Self::default()
        }
    }

    /// What a session that begins now would say.
    fn set_up(&mut self, sheet: &PlanSheet, label: &str, facts: &PlanShelfFacts) {
        let mut opened = SessionOpened {
            plan_name: label.to_owned(),
            plan: Some(self.sound.text.clone()),
            gauges: facts.gauges.clone(),
            house: facts.house.clone(),
            ..SessionOpened::default()
        };
        let mut setup = Setup::of(&opened);
        if let Err(error) = &setup {
            let is_register = error.code == "gauge_register_invalid";
            let at_part = error.code.contains(MATERIAL);
            let text = error.messages.first().cloned().unwrap_or_default();
            let text = text.lines().next().unwrap_or_default();
            let hint = error.hint.clone().unwrap_or_default();
            self.warnings.push(PlanWarning {
                at: at_part.then_some(TableAt::Part),
                key: at_part.then_some(MATERIAL),
                text: format!("{text} {hint}").trim().to_owned(),
                is_fault: true,
            });
            if is_register {
                opened.gauges = String::new();
                setup = Setup::of(&opened);
            }
        }
        let Ok(setup) = setup else { return };
        if !setup.register.gauges().is_empty() {
            self.suitable = suitability_of(&setup);
            let mut unlisted = setup.clone();
            unlisted
                .targets
                .iter_mut()
                .for_each(|one| one.gauges.clear());
            self.could = suitability_of(&unlisted);
        }
        let ids = Ids(sheet);
        let warned = self.suitable.iter().filter_map(|one| {
            Some(PlanWarning {
                at: ids.at(&FeatureId::new(&one.feature)),
                key: Some("gauge"),
                text: one.warning().map(|_| {
                    let callout = &one.callout;
                    format!("No gauge here can prove {} {callout}.", one.feature)
                })?,
                is_fault: false,
            })
        });
        self.warnings.extend(warned);
        self.setup = Some(setup);
    }

    /// The sound feature of a table.
    pub fn feature(&self, sheet: &PlanSheet, at: TableAt) -> Option<&Feature> {
        let TableAt::Feature(_) = at else { return None };
        if self.faults_at(at).next().is_some() {
            return None;
        }
        let id = FeatureId::new(sheet.shown(at, "id"));
        self.sound.plan.as_ref()?.feature(&id)
    }

    /// The faults of a table.
    pub fn faults_at(&self, at: TableAt) -> impl Iterator<Item = &SheetFault> {
        let all = self.faults_of.get(&at).into_iter().flatten();
        all.filter_map(|at| self.sound.faults.get(*at))
    }

    /// What is worth a look of a table.
    pub fn warnings_at(&self, at: TableAt) -> impl Iterator<Item = &PlanWarning> {
        let all = self.warnings_of.get(&at).into_iter().flatten();
        all.filter_map(|at| self.warnings.get(*at))
    }

    /// The gauges that may be named for a feature, those that can prove it first.
    pub fn gauges_for(&self, feature: &str) -> Vec<String> {
        use crate::measure::Proof;
        use crate::session::Found;
        let rank = |id: &str| {
            let of = self.could.iter().filter(|one| one.feature == feature);
            let found = of
                .flat_map(|one| &one.gauges)
                .filter(|one| one.gauge.as_str() == id);
            let ranks = found.map(|one| match &one.found {
                Found::Measures(proven) if proven.proof == Proof::Can => 0,
                Found::Tries => 0,
                Found::Measures(proven) if proven.proof == Proof::Sometimes => 1,
                Found::NotKnown => 2,
                Found::Measures(_) => 3,
                Found::Unfit(_) => 4,
            });
            ranks.min().unwrap_or(5)
        };
        let register = self.setup.as_ref().map(|setup| setup.register.gauges());
        let ids = register.unwrap_or_default().iter();
        let mut ids: Vec<String> = ids.map(|gauge| gauge.id.as_str().to_owned()).collect();
        ids.sort_by_key(|id| rank(id));
        ids
    }
}

/// The features of a sheet by their ids.
struct Ids<'a>(&'a PlanSheet);

impl Ids<'_> {
    fn at(&self, id: &FeatureId) -> Option<TableAt> {
        let mut features = self.0.features().iter();
        let found = features.position(|one| one.shown("id") == id.as_str());
        found.map(TableAt::Feature)
    }
}

/// The limits of the member of a thread that a feature has; none where it is no thread.
pub fn thread_of(feature: &Feature, tables: &Tables) -> Option<ThreadLimits> {
    let one = feature.characteristics.first()?;
    let limits = one.callout.limits(&Context::with_tables(tables)).ok()?;
    match limits {
        CalloutLimits::Thread(thread) => Some(*thread),
        CalloutLimits::ThreadFit(fit) => {
            let surfaces = feature.characteristics.iter().filter_map(|one| one.surface);
            let mut sided = surfaces.filter(|one| one.is_diameter());
            match sided.next()? {
                Surface::Inside => Some(fit.internal),
                _ => Some(fit.external),
            }
        }
        _ => None,
    }
}

/// Threads that are longer than their place or their hole.
fn long_threads(plan: &Plan, tables: &Tables, ids: &Ids<'_>) -> Vec<PlanWarning> {
    let mut all = Vec::new();
    for feature in &plan.features {
        let Some(thread) = thread_of(feature, tables) else {
            continue;
        };
        let id = feature.id.as_str();
        let warn = |key, text: String| PlanWarning {
            at: ids.at(&feature.id),
            key: Some(key),
            text,
            is_fault: false,
        };
        let of = |one: &&Characteristic| one.id.element.as_deref() == Some("full_thread");
        let full = feature.characteristics.iter().find(of);
        let full = full.and_then(|one| one.bounds()?.length()?.lower());
        let along = feature.along.map(|(from, to)| (from, to, to - from));
        if let (Some(full), Some((.., place))) = (full, along)
            && full > place
        {
            all.push(warn(
                "full_thread",
                format!("The full thread of {id} is {full} mm long, its place only {place} mm."),
            ));
        }
        let is_inside = thread.parts.surface() == Surface::Inside;
        if let (true, Some((from, to, _))) = (is_inside, along)
            && let Some((hole, end)) = hole_of(plan, &feature.id, from, to, thread.parts.nominal)
        {
            let wanted = full.map_or(to, |full| to.max(from + full));
            if wanted > end {
                let (deep, hole_deep) = (wanted - from, end - from);
                let hole = hole.as_str();
                all.push(warn(
                    "along",
                    format!(
                        "The thread {id} goes {deep} mm deep, its hole {hole} only {hole_deep} mm."
                    ),
                ));
            }
        }
    }
    all
}

/// The hole that a thread is cut into: the bore that begins where it begins, thinner than the
/// thread, and where it ends.
fn hole_of<'p>(
    plan: &'p Plan,
    thread: &FeatureId,
    from: Length,
    to: Length,
    nominal: Length,
) -> Option<(&'p FeatureId, Length)> {
    let holes = plan.features.iter().filter_map(|other| {
        let one = other.characteristics.first()?;
        let (begin, end) = other.along?;
        let is_bore = one.surface == Some(Surface::Inside) && one.id.element.is_none();
        let fits = is_bore && one.nominal? < nominal && begin <= from && end > from && begin < to;
        (fits && other.id != *thread).then_some((&other.id, end))
    });
    holes.max_by_key(|(_, end)| *end)
}

/// Ends of pairs in other plans that are not there.
fn foreign_ends(plan: &Plan, facts: &PlanShelfFacts) -> Vec<PlanWarning> {
    let mut all = Vec::new();
    for (at, pair) in plan.pairs.iter().enumerate() {
        for (key, end) in [("hole", &pair.hole), ("shaft", &pair.shaft)] {
            let Some(file) = &end.plan else { continue };
            let is_it =
                |name: &str| name == file || name.rsplit(['/', '\\']).next() == Some(file.as_str());
            let found = facts.features.iter().find(|(name, _)| is_it(name));
            let id = end.feature.as_str();
            let text = match found {
                None => format!("{file} is no plan of this workspace: the {key} {id} is missing."),
                Some((_, ids)) if ids.iter().any(|one| one == id) => continue,
                Some(_) => format!("{file} has no feature {id}: the {key} is missing."),
            };
            all.push(PlanWarning {
                at: Some(TableAt::Pair(at)),
                key: Some(key),
                text,
                is_fault: false,
            });
        }
    }
    all
}

/// Gauges that the plan names and the register does not have, once for each feature.
fn unknown_gauges(plan: &Plan, register: &Register, ids: &Ids<'_>) -> Vec<PlanWarning> {
    let mut told = BTreeSet::new();
    let missing = plan.gauges_missing_from(register).into_iter();
    let missing = missing.filter(|(one, gauge)| {
        told.insert((one.feature.as_str().to_owned(), gauge.as_str().to_owned()))
    });
    missing
        .map(|(one, gauge)| PlanWarning {
            at: ids.at(&one.feature),
            key: Some("gauge"),
            text: format!(
                "{gauge} is named for {} and not in gauges.toml.",
                one.feature
            ),
            is_fault: false,
        })
        .collect()
}

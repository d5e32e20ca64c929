//! The inspection plan of a part, and the questions that a session asks it.

use super::asked::Quoting;
use super::build;
use super::feature::{Characteristic, CharacteristicId, Feature, FeatureId};
use super::form::{self, Form};
use super::format::{FeatureEntry, Found, plan_entry};
use super::pair::{Pair, pairs};
use super::problem::PlanProblem;
use super::rules::{Part, Rules};
use crate::gauge::{GaugeId, Pointed, Register, SourceText, Written, document};
use crate::material::{Material, MaterialError, Materials};
use crate::tolerance::{Context, GeneralClass, Tables};

/// A problem of a plan with its place in the file.
pub type PlanError = Pointed<PlanProblem>;

/// What a part must be, and how that is proved.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// The part.
    pub part: Part,
    /// The rules of its verdicts.
    pub rules: Rules,
    /// Its features in the file's order, each id once; empty only where no part is measured.
    pub features: Vec<Feature>,
    /// What goes together.
    pub pairs: Vec<Pair>,
}

impl Plan {
    /// No part at all: for a record that is only about gauges.
    pub fn without_part() -> Self {
        Self {
            part: Part::default(),
            rules: Rules::default(),
            features: Vec::new(),
            pairs: Vec::new(),
        }
    }

    /// Reads a plan file; `label` is the name under which errors speak of it.
    ///
    /// Errors: every problem of the file that can be found in one pass, in the file's order.
    pub fn parse(text: &str, label: &str, tables: &Tables) -> Result<Self, Vec<PlanError>> {
        Self::read(text, label, tables).map_err(Found::into_pointed)
    }

    /// As [`Plan::parse`]; of what is wrong the first so many, and how many more there are.
    pub(super) fn parse_first(
        text: &str,
        label: &str,
        tables: &Tables,
        most: usize,
    ) -> Result<Self, (Vec<PlanError>, usize)> {
        Self::read(text, label, tables).map_err(|found| found.into_first(most))
    }

    fn read<'t>(text: &'t str, label: &'t str, tables: &Tables) -> Result<Self, Found<'t>> {
        let mut found: Found<'_> = Found::new(SourceText::new(label, text));
        let Some(table) = document(&mut found) else {
            return Err(found);
        };
        let entry = plan_entry(&mut found, &table);
        let general_refused = entry.rules.general_refused;
        let rules = build::rules(&mut found, entry.rules);
        let mut context = context(tables, &rules);
        if general_refused {
            // Any class, so that the bare sizes are not refused for it once more.
            context.general = Some(GeneralClass::Medium);
        }
        let features = build::features(&mut found, &entry.features, Quoting::Quoted, &context);
        form::references(&mut found, &entry.features);
        let pairs = pairs(
            &mut found,
            &entry.pairs,
            &entry.features,
            &features,
            &context,
        );
        if entry.features.is_empty() && found.is_empty() {
            found.add(&(0..0), PlanProblem::NoFeatures);
        }
        let part = build::part(entry.part);
        match found.is_empty() {
            true => Ok(Self {
                part,
                rules,
                features,
                pairs,
            }),
            false => Err(found),
        }
    }

    /// A plan for callouts that were typed: features `A`, `B`, … `Z`, `AA`, … in their order,
    /// under those rules.
    ///
    /// Errors: as [`Plan::parse`]; the line is the number of the callout, the column the
    /// character in it.
    pub fn from_callouts(
        callouts: &[&str],
        rules: Rules,
        tables: &Tables,
    ) -> Result<Self, Vec<PlanError>> {
        let text = callouts.join("\n");
        let mut found: Found<'_> = Found::new(SourceText::new("callouts", &text));
        let mut entries = Vec::new();
        let mut start = 0;
        for (index, callout) in callouts.iter().enumerate() {
            let span = start..start + callout.len();
            start = span.end + 1;
            let written = |value: String| {
                let span = span.clone();
                Some(Written { value, span })
            };
            entries.push(FeatureEntry {
                id: written(letters(index)),
                callout: written((*callout).to_owned()),
                ..FeatureEntry::default()
            });
        }
        let context = context(tables, &rules);
        let features = build::features(&mut found, &entries, Quoting::Bare, &context);
        if entries.is_empty() {
            found.add(&(0..0), PlanProblem::NoFeatures);
        }
        let part = Part {
            name: "one-off".to_owned(),
            ..Part::default()
        };
        match found.is_empty() {
            true => Ok(Self {
                part,
                rules,
                features,
                pairs: Vec::new(),
            }),
            false => Err(found.into_pointed()),
        }
    }

    /// The built-in plan of the demonstration: the shaft of a garden-irrigation pump, proved
    /// with the gauges of [`Register::demo`].
    #[allow(clippy::expect_used)] // the text is part of the program and read by its tests
    pub fn demo() -> Self {
        Self::parse(Self::DEMO_TEXT, "the built-in plan", Tables::standard())
            .expect("the built-in plan is sound")
    }

    /// The file of [`Plan::demo`], to begin a plan of one's own from.
    pub const DEMO_TEXT: &'static str = include_str!("demo.toml");

    /// The feature of that id.
    pub fn feature(&self, id: &FeatureId) -> Option<&Feature> {
        self.features.iter().find(|feature| feature.id == *id)
    }

    /// The characteristic of that id.
    pub fn characteristic(&self, id: &CharacteristicId) -> Option<&Characteristic> {
        let feature = self.feature(&id.feature)?;
        feature.characteristics.iter().find(|one| one.id == *id)
    }

    /// The form that a characteristic asks for, as a session asks for it: one between features of
    /// different settings does not wait for the part to be clamped anew.
    pub fn form(&self, one: &Characteristic) -> Option<Form> {
        form::asked_form(one, &self.features)
    }

    /// The part's material among those in force; `None` when the plan states none.
    ///
    /// A name that the table does not have is no fault of the plan, since the record must be
    /// able to name any material; but without a row there is no temperature correction.
    ///
    /// Errors: a name that the table does not have, with the nearest one.
    pub fn material<'m>(
        &self,
        materials: &'m Materials,
    ) -> Result<Option<&'m Material>, MaterialError> {
        let name = self.part.material.as_deref();
        name.map(|name| materials.find(name)).transpose()
    }

    /// Whether a stage is the last of a feature, or the feature knows no stages by name.
    pub fn is_deciding_stage(&self, feature: &FeatureId, stage: &str) -> bool {
        let Some(feature) = self.feature(feature) else {
            return true;
        };
        let named = feature.characteristics.iter();
        let mut last = named.filter_map(|one| one.stages.last()?.name.as_deref());
        last.next().is_none_or(|name| name == stage)
    }

    /// The characteristics in the order of measuring: by setting, and within one as the file
    /// has them.
    pub fn order(&self) -> Vec<&Characteristic> {
        let mut features: Vec<&Feature> = self.features.iter().collect();
        features.sort_by_key(|feature| feature.setting);
        let all = features.into_iter().map(|feature| &feature.characteristics);
        all.flatten().collect()
    }

    /// Gauges that a characteristic names and the register does not have.
    pub fn gauges_missing_from(&self, register: &Register) -> Vec<(&CharacteristicId, &GaugeId)> {
        let all = self.features.iter().flat_map(|f| &f.characteristics);
        all.flat_map(|one| one.gauges.iter().map(|gauge| (&one.id, gauge)))
            .filter(|(_, gauge)| register.gauge(gauge).is_none())
            .collect()
    }
}

fn context<'a>(tables: &'a Tables, rules: &Rules) -> Context<'a> {
    Context {
        tables,
        general: rules.general,
        shorter_side: None,
    }
}

/// `A` to `Z`, then `AA`, `AB`, …
fn letters(index: usize) -> String {
    let letter = char::from(b'A' + u8::try_from(index % 26).unwrap_or(0));
    match index / 26 {
        0 => letter.to_string(),
        before => letters(before - 1) + letter.encode_utf8(&mut [0; 4]),
    }
}

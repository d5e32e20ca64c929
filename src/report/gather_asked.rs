//! What was asked of each part, of which part and for whom, and by which rule.

use super::gather::Fold;
use super::gather_text::{limits_of, number_of, unit_of, unit_word};
use super::sheet::{Asked, JobFacts, RuleFacts, Sheet};
use super::words::Words;
use crate::journal::rule_text;
use crate::plan::{Characteristic, FeatureId, Outline};
use crate::quantity::Length;
use crate::session::{SessionRecord, Setup, State, Target, TargetLimits};
use crate::tolerance::Step;

/// What is asked, in measuring order, with its number on the outline.
pub(super) fn asked_of(words: &Words, setup: &Setup, outline: Option<&Outline>) -> Vec<Asked> {
    let drawn = |feature: &str| {
        let mut segments = outline.into_iter().flat_map(|outline| &outline.segments);
        segments.any(|one| {
            one.feature
                .as_ref()
                .is_some_and(|id| id.as_str() == feature)
        })
    };
    let targets = setup.targets.iter().enumerate();
    targets
        .map(|(at, target)| {
            let unit = unit_of(target);
            let (lower, upper) = limits_of(target);
            let text =
                |limit: Option<i64>| limit.map_or_else(String::new, |limit| number_of(unit, limit));
            let planned = planned(setup, target);
            let surface = planned.and_then(|one| one.surface);
            Asked {
                number: at + 1,
                feature: target.feature.clone(),
                element: target.element.clone(),
                name: target.name.clone(),
                callout: target.callout.clone(),
                unit: unit_word(unit).to_owned(),
                nominal: nominal_of(setup, target).map_or_else(String::new, Length::to_mm),
                lower: text(lower),
                upper: text(upper),
                surface: surface.map_or("", |surface| surface.word()).to_owned(),
                points: target.points,
                places: target.places.to_vec(),
                every: target.every,
                why: why(words, setup, target),
                is_drawn: drawn(&target.feature),
                is_general: is_general(target),
                is_earlier_stage: setup.is_before_last_stage(target),
                is_suited: target.suited.is_some(),
            }
        })
        .collect()
}

/// The plan's own entry of a characteristic.
fn planned<'s>(setup: &'s Setup, target: &Target) -> Option<&'s Characteristic> {
    let feature = setup.plan.feature(&FeatureId::new(&target.feature))?;
    let all = &feature.characteristics;
    let named = all
        .iter()
        .find(|one| one.id.element.as_deref() == Some(target.element.as_str()));
    named.or_else(|| all.iter().find(|one| one.id.element.is_none()))
}

/// The nominal size, where the callout has one.
pub(super) fn nominal_of(setup: &Setup, target: &Target) -> Option<Length> {
    planned(setup, target)?.nominal
}

fn is_general(target: &Target) -> bool {
    match &target.limits {
        TargetLimits::Length(limits) => limits.derivation().is_general(),
        TargetLimits::Angle(limits) => limits.derivation().is_general(),
        TargetLimits::Check(_) => false,
    }
}

/// The steps behind the limits, a sentence each.
fn why(words: &Words, setup: &Setup, target: &Target) -> Vec<String> {
    let tables = &setup.tables;
    let texts = |steps: Vec<Step>| steps.iter().map(words.told.limit_step).collect();
    let mut why: Vec<String> = match &target.limits {
        TargetLimits::Length(limits) => texts(limits.explain(tables)),
        TargetLimits::Angle(limits) => texts(limits.explain(tables)),
        TargetLimits::Check(asked) => vec![asked.name()],
    };
    if let Some(suited) = &target.suited {
        why.extend((words.told.suited)(suited));
    }
    if let Some(over) = &target.over_wires {
        let (wire, lead) = (over.wire.to_string(), over.lead.to_string());
        why.push((words.told.over_wires)(&wire, &lead));
    }
    why.extend(target.form.as_ref().map(words.told.form));
    why
}

/// What is made, for whom, and who measured.
pub(super) fn job_facts(
    fold: &Fold,
    record: &SessionRecord,
    state: &State,
    sheet: &Sheet,
) -> JobFacts {
    let setup = state.setup();
    let part = &setup.plan.part;
    let opened = record.replayed.opened.as_ref();
    // With nothing measured: what names the work at the record's end.
    let job = fold.first_job.as_ref().unwrap_or(&state.bench().job);
    let text = |text: Option<&String>| text.cloned().unwrap_or_default();
    let quantity = part.quantity.or(setup.parts_wanted);
    JobFacts {
        part_name: part.name.clone(),
        drawing: text(part.drawing.as_ref()),
        revision: text(part.revision.as_ref()),
        customer: job.customer.clone(),
        order: job.order.clone(),
        material: text(part.material.as_ref()),
        material_lot: job.material_lot.clone(),
        machine: job.machine.clone(),
        quantity: quantity.map_or_else(String::new, |quantity| quantity.to_string()),
        plan_name: opened.map_or_else(String::new, |opened| opened.plan_name.clone()),
        stage: setup.stage.clone(),
        is_earlier_stage: setup.is_earlier_stage(),
        operators: operators(sheet),
    }
}

/// Everybody who took a reading, in the order of their first one.
fn operators(sheet: &Sheet) -> Vec<String> {
    let of_parts = sheet.parts.iter().flat_map(|part| &part.readings);
    let mut rows: Vec<_> = of_parts.chain(&sheet.record.other_readings).collect();
    rows.sort_by_key(|row| row.line);
    let mut names: Vec<String> = Vec::new();
    for row in rows {
        if !row.operator.is_empty() && !names.contains(&row.operator) {
            names.push(row.operator.clone());
        }
    }
    names
}

/// By which rule the verdicts that count were given; of a session without any, by which they
/// would be.
pub(super) fn rule_facts(setup: &Setup, sheet: &Sheet) -> RuleFacts {
    let mut rules: Vec<String> = Vec::new();
    let mut some_without_uncertainty = false;
    let results = sheet.parts.iter().flat_map(|part| &part.results);
    for row in results.filter(|row| !row.rule.is_empty()) {
        if !rules.contains(&row.rule) {
            rules.push(row.rule.clone());
        }
        let asked = row.number.checked_sub(1).and_then(|at| sheet.asked.get(at));
        let is_check = asked.is_some_and(|asked| asked.unit == "check");
        some_without_uncertainty |= row.u.is_empty() && !is_check;
    }
    if rules.is_empty() {
        rules.extend(setup.rule.map(rule_text));
    }
    RuleFacts {
        rules,
        agreed_with: setup.plan.rules.agreed_with.clone().unwrap_or_default(),
        some_without_uncertainty,
        some_general: sheet.asked.iter().any(|asked| asked.is_general),
    }
}

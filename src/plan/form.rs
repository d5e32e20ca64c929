//! Form and position as characteristics: runout, roundness, coaxiality, taper along a cylinder.
//!
//! Each is a width that ends at zero: the callout states the largest one (`0.02 max`), and what
//! is found is a difference of readings, the full movement of an indicator. The definitions are
//! those of ISO 1101 in outline (from memory). Refuses to know how a reading becomes the width.

use std::sync::Arc;

use super::asked::{Asked, Quoting, refuse};
use super::build::{Common, stage_names};
use super::feature::{Bounds, Characteristic, CharacteristicId, Feature, FeatureId, Take};
use super::format::{FeatureEntry, Found, key, refuse_keys};
use super::problem::PlanProblem;
use super::problem_form::FormProblem;
use super::stage::equal_stages;
use crate::gauge::{Written, nearest};
use crate::quantity::Length;
use crate::tolerance::{
    Callout, Context, Derivation, Indication, Limits, SizeCallout, SizeForm, parse_callout_in,
};

/// Which form or position.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum FormKind {
    /// Runout at one place: full movement of an indicator over one turn about the datum.
    Runout,
    /// Runout over the whole surface.
    TotalRunout,
    /// Roundness at one place: the difference of the radii of two circles around the outline.
    Roundness,
    /// Coaxiality: the diameter of the cylinder about the datum that holds the axis.
    Coaxiality,
    /// Taper along a cylinder: the largest less the smallest diameter along it.
    Taper,
}

impl FormKind {
    /// Every kind with its word in plans.
    pub const WORDS: [(Self, &'static str); 5] = [
        (Self::Runout, "runout"),
        (Self::TotalRunout, "total_runout"),
        (Self::Roundness, "roundness"),
        (Self::Coaxiality, "coaxiality"),
        (Self::Taper, "taper"),
    ];

    /// The kind's word.
    pub fn word(self) -> &'static str {
        let mut all = Self::WORDS.iter();
        let found = all.find(|(kind, _)| *kind == self);
        found.map_or("runout", |(_, word)| word)
    }

    /// Whether it is found about another feature.
    pub fn has_datum(self) -> bool {
        matches!(self, Self::Runout | Self::TotalRunout | Self::Coaxiality)
    }
}

/// When a form is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum When {
    /// On every selected part.
    #[default]
    Always,
    /// Where the part was clamped anew between the datum and the feature.
    Rechucked,
}

impl When {
    /// Both with their words in plans.
    pub const WORDS: [(Self, &'static str); 2] =
        [(Self::Always, "always"), (Self::Rechucked, "rechucked")];
}

/// What is asked of a feature's form or position.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Form {
    /// Which one.
    pub kind: FormKind,
    /// The feature that it is asked of, if it is named.
    pub of: Option<FeatureId>,
    /// The datum feature.
    pub datum: Option<FeatureId>,
    /// The angle of the V-block in which the part is turned, degrees.
    pub v_block: Option<u32>,
    /// How many lobes the outline is taken to have.
    pub lobes: Option<u32>,
    /// Whether it is asked only where the part was clamped anew between datum and feature.
    pub when: When,
}

/// Keys that mean nothing without `form`.
pub(super) fn keys_without_form(found: &mut Found<'_>, entry: &FeatureEntry) {
    let keys = [
        key("of", &entry.of),
        key("datum", &entry.datum),
        key("v_block", &entry.v_block),
        key("lobes", &entry.lobes),
        key("when", &entry.when),
    ];
    // A form whose word was refused is told already.
    if !entry.spoiled {
        refuse_keys(found, keys, |key| FormProblem::KeyWithoutForm { key });
    }
}

/// The characteristic of a form; none when something is wrong.
pub(super) fn characteristic(
    found: &mut Found<'_>,
    entry: &FeatureEntry,
    kind: &Written<FormKind>,
    common: &Common,
    quoting: Quoting,
    context: &Context<'_>,
) -> Option<Characteristic> {
    let is_sound = keys_of_sizes(found, entry) & keys_of_kind(found, entry, kind);
    let asked = asked(found, entry.callout.as_ref()?, quoting, context)?;
    let id = FeatureId::new(&entry.id.as_ref()?.value);
    if !is_sound {
        return None;
    }
    let reference = |written: &Option<Written<String>>| {
        let written = written.as_ref();
        written.map(|written| FeatureId::new(&written.value))
    };
    let stages = equal_stages(asked.bounds, &stage_names(entry));
    let mut one = common.characteristic(&id, &asked, stages);
    one.id = CharacteristicId {
        feature: id,
        element: Some(Arc::from(kind.value.word())),
    };
    if entry.take.is_none() {
        one.take = Take::Range;
    }
    one.form = Some(Form {
        kind: kind.value,
        of: reference(&entry.of),
        datum: reference(&entry.datum),
        v_block: entry.v_block.as_ref().map(|one| one.value),
        lobes: entry.lobes.as_ref().map(|one| one.value),
        when: entry.when.as_ref().map_or(When::Always, |one| one.value),
    });
    Some(one)
}

/// The limits: the stated width. That none is below zero is nature, no limit: a value near zero is
/// not in doubt for it.
fn asked(
    found: &mut Found<'_>,
    written: &Written<String>,
    quoting: Quoting,
    context: &Context<'_>,
) -> Option<Asked> {
    let callout = match parse_callout_in(&written.value, context.tables) {
        Ok(callout) => callout,
        Err(error) => {
            refuse(found, written, quoting, error);
            return None;
        }
    };
    let limits =
        width(&callout).and_then(|width| Limits::new(None, Some(width), Derivation::Stated).ok());
    let Some(limits) = limits else {
        found.add(&written.span, FormProblem::Callout);
        return None;
    };
    Some(Asked {
        callout,
        bounds: Bounds::Length(limits),
        nominal: None,
        surface: None,
        thread: None,
    })
}

/// The width that a callout states: `0.02 max`, `..0.02` or `0..0.02`, above zero.
fn width(callout: &Callout) -> Option<Length> {
    let Callout::Size(SizeCallout {
        form: SizeForm::Indicated(indication),
        ..
    }) = callout
    else {
        return None;
    };
    let width = match indication {
        Indication::Maximum { limit } => *limit,
        Indication::Limits {
            lower: None | Some(Length::ZERO),
            upper: Some(upper),
        } => *upper,
        _ => return None,
    };
    (width > Length::ZERO).then_some(width)
}

/// Keys that only sizes have.
fn keys_of_sizes(found: &mut Found<'_>, entry: &FeatureEntry) -> bool {
    let keys = [
        key("surface", &entry.surface),
        key("leave", &entry.leave),
        key("coating", &entry.coating),
        key("aim", &entry.aim),
        key("least_cut", &entry.least_cut),
        key("elements", &entry.elements),
        key("wire", &entry.wire),
        key("full_thread", &entry.full_thread),
    ];
    refuse_keys(found, keys, |key| FormProblem::KeyOfSizes { key })
}

/// What belongs to some kinds only, and what a kind needs.
fn keys_of_kind(found: &mut Found<'_>, entry: &FeatureEntry, kind: &Written<FormKind>) -> bool {
    let form = kind.value.word();
    let is_round = kind.value == FormKind::Roundness;
    let mut problems = Vec::new();
    for (key, written) in [("v_block", &entry.v_block), ("lobes", &entry.lobes)] {
        if let (Some(written), false) = (written, is_round) {
            problems.push((&written.span, FormProblem::KeyOfOthers { key, form }));
        }
    }
    match (&entry.datum, kind.value.has_datum()) {
        (Some(datum), false) => {
            let key = "datum";
            problems.push((&datum.span, FormProblem::KeyOfOthers { key, form }));
        }
        (None, true) => {
            let key = "datum";
            problems.push((&kind.span, FormProblem::NeedsKey { form, key }));
        }
        _ => {}
    }
    if let (Some(v_block), None, true) = (&entry.v_block, &entry.lobes, is_round) {
        let key = "lobes";
        problems.push((&v_block.span, FormProblem::NeedsKey { form, key }));
    }
    let rechucked = entry
        .when
        .as_ref()
        .filter(|one| one.value == When::Rechucked);
    match (rechucked, kind.value.has_datum()) {
        (Some(when), false) => {
            let key = "when";
            problems.push((&when.span, FormProblem::KeyOfOthers { key, form }));
        }
        (Some(when), true) if entry.of.is_none() => {
            let key = "of";
            problems.push((&when.span, FormProblem::NeedsKey { form, key }));
        }
        _ => {}
    }
    let is_sound = problems.is_empty();
    for (span, problem) in problems {
        found.add(span, problem);
    }
    is_sound
}

/// Whether `of` and `datum` name features of this plan: surfaces, two different ones, and not the
/// entry itself.
pub(super) fn references(found: &mut Found<'_>, entries: &[FeatureEntry]) {
    for entry in entries.iter().filter(|entry| entry.form.is_some()) {
        for (key, written) in [("of", &entry.of), ("datum", &entry.datum)] {
            let Some(written) = written else { continue };
            let ids = entries
                .iter()
                .filter_map(|one| Some((one.id.as_ref()?, one)));
            let named = ids.clone().find(|(id, _)| id.value == written.value);
            let text = written.value.clone();
            let wrong = |is| {
                let found = text.clone();
                PlanProblem::from(FormProblem::Reference { key, found, is })
            };
            let problem = match named {
                None => {
                    let nearest = nearest(&text, ids.map(|(id, _)| id.value.as_str()));
                    Some(PlanProblem::UnknownFeature {
                        key,
                        found: text.clone(),
                        nearest: nearest.map(str::to_owned),
                    })
                }
                Some((_, one)) if std::ptr::eq(one, entry) => Some(wrong("this entry itself")),
                Some((_, one)) if one.form.is_some() => Some(wrong("a form and no surface")),
                Some(_) if key == "datum" && is_same(entry) => Some(wrong("also `of`")),
                Some(_) => None,
            };
            if let Some(problem) = problem {
                found.add(&written.span, problem);
            }
        }
    }
}

fn is_same(entry: &FeatureEntry) -> bool {
    match (&entry.of, &entry.datum) {
        (Some(of), Some(datum)) => of.value == datum.value,
        _ => false,
    }
}

/// The form as a session asks for it: what is made in another setting than its datum is always
/// clamped anew in between.
pub(super) fn asked_form(one: &Characteristic, features: &[Feature]) -> Option<Form> {
    let mut form = one.form.clone()?;
    let setting = |id: &Option<FeatureId>| {
        let found = features
            .iter()
            .find(|feature| Some(&feature.id) == id.as_ref());
        found.map(|feature| feature.setting)
    };
    if setting(&form.of) != setting(&form.datum) {
        form.when = When::Always;
    }
    Some(form)
}

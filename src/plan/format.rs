//! The plan file as it is written on disk: its keys, read one by one.
//!
//! Lengths are millimetres; a quoted length may carry its own unit. Refuses to know what makes
//! sense together: `build.rs` does.

use std::ops::Range;

use toml::de::DeTable;

use super::feature::{Aim, Take};
use super::form::{FormKind, When};
use super::problem::PlanProblem;
use super::rules::Decision;
use crate::gauge::{Fields, Findings, Written};
use crate::quantity::{Decimal, Length, LengthUnit};
use crate::tolerance::{GeneralClass, Surface};

const FILE_KEYS: &[&str] = &["part", "rules", "feature", "pair"];
const PART_KEYS: &[&str] = &[
    "name",
    "drawing",
    "revision",
    "material",
    "customer",
    "order",
    "material_lot",
    "quantity",
];
const RULES_KEYS: &[&str] = &[
    "decision",
    "confidence",
    "guard_factor",
    "agreed_with",
    "general",
];
const FEATURE_KEYS: &[&str] = &[
    "id",
    "callout",
    "name",
    "surface",
    "along",
    "setting",
    "points",
    "places",
    "take",
    "every",
    "gauge",
    "stages",
    "leave",
    "coating",
    "aim",
    "least_cut",
    "elements",
    "wire",
    "full_thread",
    "form",
    "of",
    "datum",
    "v_block",
    "lobes",
    "when",
];
const PAIR_KEYS: &[&str] = &["hole", "shaft", "intended"];

const MM: LengthUnit = LengthUnit::Millimetre;

pub(super) type Found<'t> = Findings<'t, PlanProblem>;

/// A key, and where it is written if it is.
pub(super) type Key<'e> = (&'static str, Option<&'e Range<usize>>);

/// A key with its place, for [`refuse_keys`].
pub(super) fn key<'e, T>(name: &'static str, written: &'e Option<Written<T>>) -> Key<'e> {
    (name, written.as_ref().map(|one| &one.span))
}

/// Refuses each of these keys that is written; whether none of them is.
pub(super) fn refuse_keys<'e, P: Into<PlanProblem>>(
    found: &mut Found<'_>,
    keys: impl IntoIterator<Item = Key<'e>>,
    problem: impl Fn(&'static str) -> P,
) -> bool {
    let mut is_sound = true;
    for (key, span) in keys {
        if let Some(span) = span {
            found.add(span, problem(key));
            is_sound = false;
        }
    }
    is_sound
}

/// The whole file as written.
pub(super) struct PlanEntry<'d, 't> {
    pub(super) part: Option<PartEntry>,
    pub(super) rules: RulesEntry,
    pub(super) features: Vec<FeatureEntry>,
    pub(super) pairs: Vec<PairEntry<'d, 't>>,
}

/// `[part]`.
pub(super) struct PartEntry {
    pub(super) name: Option<Written<String>>,
    pub(super) drawing: Option<Written<String>>,
    pub(super) revision: Option<Written<String>>,
    pub(super) material: Option<Written<String>>,
    pub(super) customer: Option<Written<String>>,
    pub(super) order: Option<Written<String>>,
    pub(super) material_lot: Option<Written<String>>,
    pub(super) quantity: Option<Written<u32>>,
}

/// `[rules]`.
#[derive(Default)]
pub(super) struct RulesEntry {
    pub(super) decision: Option<Written<Decision>>,
    pub(super) confidence: Option<Written<Decimal>>,
    pub(super) guard_factor: Option<Written<Decimal>>,
    pub(super) agreed_with: Option<Written<String>>,
    pub(super) general: Option<Written<GeneralClass>>,
    /// A general class is written and was refused, so nothing is concluded from its absence.
    pub(super) general_refused: bool,
}

/// One `[[feature]]`.
#[derive(Default)]
pub(super) struct FeatureEntry {
    pub(super) id: Option<Written<String>>,
    pub(super) callout: Option<Written<String>>,
    pub(super) name: Option<Written<String>>,
    pub(super) surface: Option<Written<Surface>>,
    pub(super) along: Option<Written<Vec<Written<Length>>>>,
    pub(super) setting: Option<Written<u32>>,
    pub(super) points: Option<Written<u32>>,
    pub(super) places: Option<Written<Vec<Written<String>>>>,
    pub(super) take: Option<Written<Take>>,
    pub(super) every: Option<Written<u32>>,
    pub(super) gauge: Option<Written<Vec<Written<String>>>>,
    pub(super) stages: Option<Written<Vec<Written<String>>>>,
    pub(super) leave: Option<Written<Length>>,
    pub(super) coating: Option<Written<Vec<Written<Length>>>>,
    pub(super) aim: Option<Written<Aim>>,
    pub(super) least_cut: Option<Written<Length>>,
    pub(super) elements: Option<Written<Vec<Written<String>>>>,
    pub(super) wire: Option<Written<Length>>,
    pub(super) full_thread: Option<Written<Length>>,
    pub(super) form: Option<Written<FormKind>>,
    pub(super) of: Option<Written<String>>,
    pub(super) datum: Option<Written<String>>,
    pub(super) v_block: Option<Written<u32>>,
    pub(super) lobes: Option<Written<u32>>,
    pub(super) when: Option<Written<When>>,
    /// A key is written whose value was refused, so nothing is concluded from its absence.
    pub(super) spoiled: bool,
}

/// One `[[pair]]`.
pub(super) struct PairEntry<'d, 't> {
    pub(super) fields: Fields<'d, 't>,
    pub(super) hole: Option<Written<String>>,
    pub(super) shaft: Option<Written<String>>,
    pub(super) intended: Option<Written<String>>,
}

/// The tables of the file; their headings and keys are checked.
pub(super) fn plan_entry<'d, 't>(
    found: &mut Found<'t>,
    file: &'d DeTable<'t>,
) -> PlanEntry<'d, 't> {
    let file = Fields::open(found, file, "the plan", 0..0, FILE_KEYS);
    file.require(found, &["part", "feature"]);
    let part = file.table(found, "part", "[part]", PART_KEYS);
    let rules = file.table(found, "rules", "[rules]", RULES_KEYS);
    let features = file.tables(found, "feature", "[[feature]]", FEATURE_KEYS);
    let pairs = file.tables(found, "pair", "[[pair]]", PAIR_KEYS);
    PlanEntry {
        part: part.map(|fields| part_entry(found, &fields)),
        rules: rules.map_or_else(RulesEntry::default, |fields| rules_entry(found, &fields)),
        features: features
            .iter()
            .map(|fields| feature_entry(found, fields))
            .collect(),
        pairs: pairs
            .into_iter()
            .map(|fields| pair_entry(found, fields))
            .collect(),
    }
}

fn part_entry<'t>(found: &mut Found<'t>, fields: &Fields<'_, 't>) -> PartEntry {
    fields.require(found, &["name"]);
    PartEntry {
        name: fields.text(found, "name"),
        drawing: fields.text(found, "drawing"),
        revision: fields.text(found, "revision"),
        material: fields.text(found, "material"),
        customer: fields.text(found, "customer"),
        order: fields.text(found, "order"),
        material_lot: fields.text(found, "material_lot"),
        quantity: fields.whole(found, "quantity", 1..=1_000_000, "1 to 1000000 parts"),
    }
}

fn rules_entry<'t>(found: &mut Found<'t>, fields: &Fields<'_, 't>) -> RulesEntry {
    let general = fields.word(found, "general", &GeneralClass::WORDS);
    RulesEntry {
        decision: fields.word(found, "decision", &Decision::WORDS),
        confidence: fields.number(found, "confidence", "a number, as 0.95 for 95 %"),
        guard_factor: fields.number(found, "guard_factor", "a number, as 1.65"),
        agreed_with: fields.text(found, "agreed_with"),
        general_refused: fields.has("general") && general.is_none(),
        general,
    }
}

fn feature_entry<'t>(found: &mut Found<'t>, fields: &Fields<'_, 't>) -> FeatureEntry {
    fields.require(found, &["id", "callout"]);
    let mut entry = FeatureEntry {
        id: fields.name(found, "id"),
        callout: fields.text(found, "callout"),
        name: fields.text(found, "name"),
        surface: fields.word(found, "surface", &Surface::WORDS),
        along: fields.lengths(found, "along", MM),
        setting: fields.whole(found, "setting", 1..=999, "a whole number, 1 to 999"),
        points: fields.whole(found, "points", 1..=99, "a whole number, 1 to 99"),
        places: fields.texts(found, "places"),
        take: fields.word(found, "take", &Take::WORDS),
        every: fields.whole(found, "every", 1..=9999, "a whole number, 1 to 9999"),
        gauge: fields.names(found, "gauge"),
        stages: fields.texts(found, "stages"),
        leave: fields.length(found, "leave", MM),
        coating: fields.lengths(found, "coating", MM),
        aim: fields.word(found, "aim", &Aim::WORDS),
        least_cut: fields.length(found, "least_cut", MM),
        elements: fields.texts(found, "elements"),
        wire: fields.length(found, "wire", MM),
        full_thread: fields.length(found, "full_thread", MM),
        form: fields.word(found, "form", &FormKind::WORDS),
        of: fields.name(found, "of"),
        datum: fields.name(found, "datum"),
        v_block: fields.whole(found, "v_block", 10..=170, "whole degrees, 10 to 170"),
        lobes: fields.whole(found, "lobes", 2..=100, "a whole number, 2 to 100"),
        when: fields.word(found, "when", &When::WORDS),
        spoiled: false,
    };
    entry.spoiled = [
        ("surface", entry.surface.is_some()),
        ("stages", entry.stages.is_some()),
        ("leave", entry.leave.is_some()),
        ("coating", entry.coating.is_some()),
        ("form", entry.form.is_some()),
    ]
    .iter()
    .any(|(key, read)| fields.has(key) && !read);
    entry
}

fn pair_entry<'d, 't>(found: &mut Found<'t>, fields: Fields<'d, 't>) -> PairEntry<'d, 't> {
    fields.require(found, &["hole", "shaft"]);
    PairEntry {
        hole: fields.text(found, "hole"),
        shaft: fields.text(found, "shaft"),
        intended: fields.text(found, "intended"),
        fields,
    }
}

//! What is asked of a press fit: from what is typed into its fields, and what is known of the
//! pair, to a fit that can be computed; each fault at the field it is about.

use super::PressFieldView;
use super::said::Said;
use super::words::{Words, clean};
use crate::material::{Friction, Joining, Material, Wetness};
use crate::pair::{
    BoreAsked, Elastic, Joint, Press, PressError, Strength, Surfaces, bore_in_joint_mm,
    bore_limits, creeps, joining_clearance_mm, usual_friction,
};
use crate::quantity::{Length, LengthUnit, parse_entry};
use crate::session::{IntendedFit, Paired, PairedHalf, Setup, TargetLimits};
use crate::tolerance::{Context, Surface};
use crate::window::pairs_room::{FIELDS, PressTyped, press_field as at};

const ROOM_C: f64 = 20.0;
const NM_PER_MM: f64 = 1e6;
const LABELS: [&str; FIELDS] = [
    "length of the joint, mm",
    "outside of the hub, mm",
    "bore of the shaft, mm",
    "material of the hub",
    "material of the shaft",
    "roughness Rz of the hub, µm",
    "roughness Rz of the shaft, µm",
    "how it is joined",
    "surfaces",
    "limits of the bush's bore",
    "bush's bore as measured, mm",
];
/// Usual classes of a bush's bore, for a size that is typed.
const BORE_CLASSES: [&str; 6] = ["H7", "H8", "H6", "H9", "F7", "G7"];

/// A sentence about what is missing or wrong, and the field it is about.
pub(super) struct Fault {
    pub(super) field: Option<usize>,
    pub(super) text: String,
}

impl Fault {
    fn at(field: usize, text: impl Into<String>) -> Self {
        Self {
            field: Some(field),
            text: text.into(),
        }
    }
}

/// What is asked, with where it comes from.
pub(super) struct Asked {
    pub(super) fit: Press,
    /// Where the interference comes from.
    pub(super) from: &'static str,
    /// Friction and materials with their sources, and what was taken as nothing is said.
    pub(super) sources: Vec<String>,
    pub(super) heat_source: String,
}

/// The fields as they are seen; one may have a fault.
pub(super) fn fields(
    pair: &Paired,
    (typed, setup): (&PressTyped, &Setup),
    fault: Option<usize>,
) -> Vec<PressFieldView> {
    let of_plan = |half: &PairedHalf| match planned(half, setup) {
        Some(name) => format!("{}, as the plan says", clean(name)),
        None => "not said".to_owned(),
    };
    let not_said = || "not said".to_owned();
    let usual: [String; FIELDS] = [
        not_said(),
        "very thick".to_owned(),
        "solid, or a bush's bore".to_owned(),
        of_plan(&pair.hole),
        of_plan(&pair.shaft),
        "0, as it is not said".to_owned(),
        "0, as it is not said".to_owned(),
        "pressed, as it is not said".to_owned(),
        "any, as it is not said".to_owned(),
        "none: no bush".to_owned(),
        "anywhere in its limits".to_owned(),
    ];
    let all = LABELS.iter().zip(&typed.fields).zip(usual).enumerate();
    all.map(|(place, ((label, text), usual))| {
        let is_usual = text.trim().is_empty();
        PressFieldView {
            label: (*label).to_owned(),
            text: if is_usual { usual } else { clean(text) },
            is_usual,
            is_at: place == typed.at,
            is_faulty: fault == Some(place),
        }
    })
    .collect()
}

/// What `+` and `-` step through in the field that is typed into.
pub(super) fn choices(typed: &PressTyped, setup: &Setup) -> Vec<String> {
    let nothing = String::new;
    let owned = |word: &str| word.to_owned();
    match typed.at {
        at::HUB | at::SHAFT => {
            let rows = setup.materials.rows().iter();
            // A name that leads to another row, which comes before it, is no choice.
            let is_found = |row: &&Material| {
                let found = setup.materials.find(&row.designation);
                found.is_ok_and(|found| std::ptr::eq(found, *row))
            };
            let names = rows.filter(is_found).map(|row| owned(&row.designation));
            std::iter::once(nothing()).chain(names).collect()
        }
        at::JOINING => {
            let words = Joining::WORDS.iter().map(|(_, word)| owned(word));
            std::iter::once(nothing()).chain(words).collect()
        }
        at::SURFACES => {
            let words = Wetness::WORDS.iter().map(|(_, word)| owned(word));
            std::iter::once(nothing()).chain(words).collect()
        }
        at::LIMITS => {
            let typed = typed.fields.get(at::LIMITS);
            let size = typed.and_then(|text| text.split_whitespace().next());
            let size = size.filter(|size| parse_entry(size, LengthUnit::Millimetre).is_ok());
            let classes = size.into_iter().flat_map(|size| {
                let called = move |class: &str| format!("{size} {class}");
                BORE_CLASSES.iter().map(move |class| called(class))
            });
            let mut all: Vec<String> = classes.collect();
            for hole in holes(setup) {
                if !all.contains(&hole) {
                    all.push(hole);
                }
            }
            all.push(nothing());
            all
        }
        _ => Vec::new(),
    }
}

/// The bores of the plan that have limits, as they are called out.
fn holes(setup: &Setup) -> impl Iterator<Item = String> {
    let all = setup.targets.iter().filter(|target| {
        let is_size = matches!(&target.limits, TargetLimits::Length(limits)
            if limits.lower().is_some() && limits.upper().is_some());
        is_size && target.form.is_none() && target.surface == Surface::Inside
    });
    all.map(|target| target.callout.clone())
}

/// The plan's material is that of the features of this plan.
fn planned<'s>(half: &PairedHalf, setup: &'s Setup) -> Option<&'s str> {
    let material = setup.plan.part.material.as_deref()?;
    half.plan.is_none().then_some(material)
}

/// The fit that is asked for, or what is missing or wrong.
pub(super) fn asked(
    pair: &Paired,
    (typed, setup): (&PressTyped, &Setup),
    words: Words,
) -> Result<Asked, Fault> {
    let number = |at: usize| number(typed, at);
    let Some(length) = number(at::LENGTH)? else {
        let text = "Type the length of the joint: how far it is pressed.";
        return Err(Fault::at(at::LENGTH, text));
    };
    let (outside, bore) = (number(at::OUTSIDE)?, number(at::BORE)?);
    let hub = material(typed, at::HUB, (&pair.hole, setup))?;
    let shaft = material(typed, at::SHAFT, (&pair.shaft, setup))?;
    let surfaces = Surfaces {
        rz_hub_um: roughness(typed, at::RZ_HUB)?.unwrap_or(0.0),
        rz_shaft_um: roughness(typed, at::RZ_SHAFT)?.unwrap_or(0.0),
    };
    let joining = chosen(typed, at::JOINING, &Joining::WORDS)?;
    let wetness = chosen(typed, at::SURFACES, &Wetness::WORDS)?;
    let measured = number(at::MEASURED)?;
    let limits = limits_of_bore(typed, setup, words)?;
    if let (None, Some(_)) = (limits, measured) {
        let text = "A bush's bore is measured, but its limits are not said: type a class such as \
                    16 H7, or both limits.";
        return Err(Fault::at(at::LIMITS, text));
    }
    let bush = limits.map(|limits| BoreAsked::new(limits, measured));
    let fit = pair.intended.as_ref().and_then(|fit| fit.as_ref().ok());
    let fit = fit.ok_or_else(|| Fault {
        field: None,
        text: "No fit is stated.".to_owned(),
    })?;
    let (diameter, interference_mm, from) = interference(pair, fit);
    let shown = |error: PressError| press_fault(error, typed, words);
    let in_joint = bore_in_joint_mm(bore, measured, bush.as_ref());
    let joint = Joint::new(diameter, outside, in_joint, length).map_err(shown)?;
    let groups = [&*hub.group, &*shaft.group];
    let (slip, press_in) = usual_friction(groups, joining, wetness);
    let mut sources = friction_told((&slip, &press_in), words);
    sources.push(source_of("hub", hub, words));
    sources.push(source_of("shaft", shaft, words));
    sources.extend(taken(typed));
    Ok(Asked {
        fit: Press {
            joint,
            interference_mm,
            hub: Elastic::of(hub).map_err(shown)?,
            shaft: Elastic::of(shaft).map_err(shown)?,
            hub_strength: Strength::of(hub),
            shaft_strength: Strength::of(shaft),
            surfaces,
            friction_slip: (slip.low, slip.high),
            friction_press_in: (press_in.low, press_in.high),
            clearance_mm: joining_clearance_mm(diameter),
            room_c: ROOM_C,
            lengths_mm: None,
            hub_heat_max_c: hub.joining_max_c,
            is_plastic: creeps(groups),
            bore_mm: bush.map(|bush| (bush.before_mm, bush.limits_mm)),
        },
        from,
        sources,
        heat_source: hub.joining_max_source.to_string(),
    })
}

fn field(typed: &PressTyped, at: usize) -> &str {
    typed.fields.get(at).map_or("", |text| text.trim())
}

fn label(at: usize) -> &'static str {
    LABELS.get(at).copied().unwrap_or_default()
}

fn number(typed: &PressTyped, at: usize) -> Result<Option<f64>, Fault> {
    number_in(field(typed, at), at)
}

fn number_in(text: &str, at: usize) -> Result<Option<f64>, Fault> {
    if text.is_empty() {
        return Ok(None);
    }
    match parse_entry(text, LengthUnit::Millimetre) {
        Ok(entry) => Ok(Some(in_mm(entry.value))),
        Err(error) => Err(Fault::at(at, format!("The {}: {error}", label(at)))),
    }
}

/// A number of micrometres, with or without its unit.
fn roughness(typed: &PressTyped, at: usize) -> Result<Option<f64>, Fault> {
    let text = field(typed, at);
    let bare = text.strip_suffix("µm").or_else(|| text.strip_suffix("um"));
    let bare = bare.unwrap_or(text).trim_end();
    let is_plain = |letter: char| letter.is_ascii_digit() || ".,+-".contains(letter);
    if !bare.chars().all(is_plain) {
        let text = format!(
            "The {}: “{}” is no number. Type it in µm, such as 6.3.",
            label(at),
            clean(text)
        );
        return Err(Fault::at(at, text));
    }
    number_in(bare, at)
}

fn material<'s>(
    typed: &PressTyped,
    at: usize,
    (half, setup): (&PairedHalf, &'s Setup),
) -> Result<&'s Material, Fault> {
    let missing = || {
        let text = format!("Type the {}, or step through the table with +.", label(at));
        Fault::at(at, text)
    };
    let name = match field(typed, at) {
        "" => planned(half, setup).ok_or_else(missing)?,
        name => name,
    };
    let found = setup.materials.find(name);
    found.map_err(|error| match error.hint() {
        Some(hint) => Fault::at(at, format!("The {}: {error} {hint}", label(at))),
        None => Fault::at(at, format!("The {}: {error}", label(at))),
    })
}

fn chosen<T: Copy>(typed: &PressTyped, at: usize, words: &[(T, &str)]) -> Result<Option<T>, Fault> {
    let text = field(typed, at);
    if text.is_empty() {
        return Ok(None);
    }
    let found = words.iter().find(|(_, word)| *word == text);
    found.map(|(one, _)| Some(*one)).ok_or_else(|| {
        let known: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
        let known = known.join(", ");
        let (label, text) = (label(at), clean(text));
        let text = format!("The field “{label}” cannot be “{text}”: step with + through {known}.");
        Fault::at(at, text)
    })
}

/// A class such as `16 H7`, or two limits such as `16.000 to 16.018` or `16.000-16.018`.
fn limits_of_bore(
    typed: &PressTyped,
    setup: &Setup,
    words: Words,
) -> Result<Option<(f64, f64)>, Fault> {
    let text = field(typed, at::LIMITS);
    if text.is_empty() {
        return Ok(None);
    }
    for between in [" to ", "…", "-"] {
        let both = text.split_once(between).and_then(|(lower, upper)| {
            let size = |text: &str| parse_entry(text, LengthUnit::Millimetre).ok();
            size(lower).zip(size(upper))
        });
        if let Some((lower, upper)) = both {
            let (lower, upper) = (in_mm(lower.value), in_mm(upper.value));
            if lower > upper {
                let text = format!("{lower} to {upper} mm: the lower limit is above the upper.");
                let text =
                    Said::as_given(words).shown(&format!("The {}: {text}", label(at::LIMITS)));
                return Err(Fault::at(at::LIMITS, text));
            }
            return Ok(Some((lower, upper)));
        }
    }
    let label = label(at::LIMITS);
    let hint = "Type a class such as 16 H7, or both limits such as 16.000-16.018; + after a size \
                steps through classes.";
    match bore_limits(text, &Context::with_tables(&setup.tables)) {
        Ok(Some((lower, upper))) => Ok(Some((in_mm(lower), in_mm(upper)))),
        Ok(None) => {
            let text = clean(text);
            let text = format!("The {label}: {text} is no bore with two limits. {hint}");
            Err(Fault::at(at::LIMITS, text))
        }
        Err(error) => Err(Fault::at(
            at::LIMITS,
            format!("The {label}: {error} {hint}"),
        )),
    }
}

/// The sentence about what cannot be pressed, at the field it is about.
pub(super) fn press_fault(error: PressError, typed: &PressTyped, words: Words) -> Fault {
    let text = format!("{error} {}", error.hint().unwrap_or_default());
    let text = Said::as_given(words).shown(text.trim_end());
    let has = |at: usize| !field(typed, at).is_empty();
    // The bore that the joint is computed with comes from the first of these.
    let bore = || {
        let from = [at::BORE, at::MEASURED, at::LIMITS];
        from.into_iter().find(|at| has(*at))
    };
    let field = match error {
        PressError::HubTooThin { .. } => Some(at::OUTSIDE),
        PressError::ShaftTooThin { .. } => bore(),
        PressError::Reversed { .. } => has(at::LIMITS).then_some(at::LIMITS),
        PressError::OutOfRange { what, .. } => match what {
            "joint length" => Some(at::LENGTH),
            "outside of the hub" => Some(at::OUTSIDE),
            "bore of the shaft" => bore(),
            "roughness Rz of the hub" => Some(at::RZ_HUB),
            "roughness Rz of the shaft" => Some(at::RZ_SHAFT),
            "bore of the bush" if has(at::MEASURED) => Some(at::MEASURED),
            "bore of the bush" | "limit of the bore" => Some(at::LIMITS),
            _ => None,
        },
    };
    Fault { field, text }
}

fn in_mm(length: Length) -> f64 {
    length.as_nm_f64() / NM_PER_MM
}

/// Diameter of the joint, interference of the loosest and the tightest pair (mm), and where they
/// come from.
fn interference(pair: &Paired, fit: &IntendedFit) -> (f64, (f64, f64), &'static str) {
    let met = pair.together.as_ref().and_then(|found| found.as_ref().ok());
    let hole = pair.hole.size().map_or(fit.hole.lower, |size| size.least);
    let Some(met) = met else {
        let intended = (-in_mm(fit.most), -in_mm(fit.least));
        return (in_mm(fit.hole.lower), intended, "the intended fit");
    };
    let wide = met.tight.expanded_nm();
    let ends = (-met.loose.clearance_nm(), -met.tight.clearance_nm());
    let by = wide.unwrap_or(0.0);
    let ends = ((ends.0 - by) / NM_PER_MM, (ends.1 + by) / NM_PER_MM);
    let from = match wide {
        Some(_) => "the measured halves, with U",
        None => "the measured halves, uncertainty not considered",
    };
    (in_mm(hole), ends, from)
}

fn friction_told((slip, press_in): (&Friction, &Friction), words: Words) -> Vec<String> {
    let range = |rubs: &Friction| {
        let (low, high) = (rubs.low.to_string(), rubs.high.to_string());
        format!(
            "{} to {} ({})",
            words.sentence(&low),
            words.sentence(&high),
            rubs.source
        )
    };
    match slip == press_in {
        true => vec![format!("Friction is taken as {}.", range(slip))],
        false => vec![
            format!("Friction against slip is taken as {}.", range(slip)),
            format!(
                "Friction while pressing in is taken as {}.",
                range(press_in)
            ),
        ],
    }
}

fn source_of(of: &str, row: &Material, words: Words) -> String {
    let bears = match row.yield_mpa {
        Some(mpa) => format!(
            "bears {} MPa ({}, {})",
            words.sentence(&mpa.to_string()),
            row.yield_kind,
            row.yield_source
        ),
        None => "what it bears is not known".to_owned(),
    };
    format!("The {of} is {}: {bears}.", row.designation)
}

/// What was taken because nothing is said.
fn taken(typed: &PressTyped) -> Vec<String> {
    let is_empty = |at: usize| field(typed, at).is_empty();
    let mut taken = Vec::new();
    if is_empty(at::RZ_HUB) && is_empty(at::RZ_SHAFT) {
        let rough = "Roughness is not said: nothing is taken off for smoothing, and the grip may \
                     be less.";
        taken.push(rough.to_owned());
    }
    if is_empty(at::OUTSIDE) {
        let thick = "The outside of the hub is not said: it is taken as very thick.";
        taken.push(thick.to_owned());
    }
    let heat = "For joining by heat or cold a thousandth of the diameter is taken as clearance \
                (DIN 7190, from memory).";
    taken.push(heat.to_owned());
    taken
}

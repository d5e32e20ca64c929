//! The fields of a plan as a person edits them: their keys, what each is, how a value is shown on
//! one line, and how what was typed is written into the file.

use toml::de::{DeTable, DeValue};

use super::feature::{Aim, Take};
use super::form::{FormKind, When};
use super::rules::Decision;
use crate::tolerance::{GeneralClass, Surface};

/// How the value of a field is written.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FieldKind {
    /// A text, a name, a callout.
    Text,
    /// One of a few words.
    Word(FieldWords),
    /// A number or a length: bare, or quoted with its unit.
    Number,
    /// Two numbers, or one: `0 to 14`.
    Numbers,
    /// A list of texts: `turned; ground`.
    Texts,
    /// A list of names, which hold no comma: `mic-25, caliper-150`.
    Names,
    /// As it stands in the file.
    Raw,
}

/// Whose words a field takes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum FieldWords {
    /// Surfaces.
    Surface,
    /// Ways of taking a reading.
    Take,
    /// Aims.
    Aim,
    /// Forms and positions.
    Form,
    /// When a form is asked for.
    When,
    /// Decision rules.
    Decision,
    /// General classes of ISO 2768-1.
    General,
}

impl FieldWords {
    /// The words, in the order of the format.
    pub fn all(self) -> Vec<&'static str> {
        fn words<T: Copy>(all: &[(T, &'static str)]) -> Vec<&'static str> {
            all.iter().map(|(_, word)| *word).collect()
        }
        match self {
            Self::Surface => words(&Surface::WORDS),
            Self::Take => words(&Take::WORDS),
            Self::Aim => words(&Aim::WORDS),
            Self::Form => words(&FormKind::WORDS),
            Self::When => words(&When::WORDS),
            Self::Decision => words(&Decision::WORDS),
            Self::General => words(&GeneralClass::WORDS),
        }
    }
}

/// A field of one of the tables.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct PlanField {
    /// Its key in the file.
    pub key: &'static str,
    /// What it is called on the screen.
    pub label: &'static str,
    /// How its value is written.
    pub kind: FieldKind,
    /// What it is for, one sentence.
    pub help: &'static str,
    /// It stands in the file even when it is empty.
    pub is_required: bool,
}

const fn field(
    key: &'static str,
    label: &'static str,
    kind: FieldKind,
    help: &'static str,
) -> PlanField {
    let is_required = false;
    PlanField {
        key,
        label,
        kind,
        help,
        is_required,
    }
}

const fn required(field: PlanField) -> PlanField {
    PlanField {
        is_required: true,
        ..field
    }
}

use FieldKind::{Names, Number, Numbers, Text, Texts, Word};

const PART: [PlanField; 8] = [
    required(field("name", "part", Text, "What the part is.")),
    field("drawing", "drawing", Text, "The number of its drawing."),
    field("revision", "revision", Text, "The drawing's revision."),
    field(
        "material",
        "material",
        Text,
        "As steel or 1.4301: its expansion corrects warm parts.",
    ),
    field("quantity", "how many", Number, "How many are to be made."),
    field("customer", "customer", Text, "For whom."),
    field("order", "order", Text, "Under which order."),
    field(
        "material_lot",
        "material lot",
        Text,
        "Lot or heat of the material.",
    ),
];

const RULES: [PlanField; 5] = [
    field(
        "general",
        "general class",
        Word(FieldWords::General),
        "ISO 2768-1 class of sizes that carry no tolerance: f, m, c or v.",
    ),
    field(
        "decision",
        "decision",
        Word(FieldWords::Decision),
        "How GO is decided: by probability, with a guard band, or simply inside.",
    ),
    field(
        "confidence",
        "confidence",
        Number,
        "Of the rule probability: 0.95 is 95 %.",
    ),
    field(
        "guard_factor",
        "guard factor",
        Number,
        "Of the rule guard: 1.65 times u.",
    ),
    field(
        "agreed_with",
        "agreed with",
        Text,
        "With whom the rule was agreed.",
    ),
];

const FEATURE: [PlanField; 25] = [
    required(field(
        "id",
        "id",
        Text,
        "A short name of its own: A, seat-2.",
    )),
    required(field(
        "callout",
        "callout",
        Text,
        "As on the drawing: 20 k6, 12 ±0.05, M10-6H.",
    )),
    field("name", "name", Text, "What it is: bearing seat, left."),
    field(
        "surface",
        "surface",
        Word(FieldWords::Surface),
        "Where the metal is; a class says it already: capitals inside, small letters outside.",
    ),
    field(
        "along",
        "along, mm",
        Numbers,
        "From where to where on the axis: 0 to 14.",
    ),
    field(
        "setting",
        "setting",
        Number,
        "In which clamping it is made and measured: 1, 2.",
    ),
    field(
        "points",
        "points",
        Number,
        "At how many places it is measured: GO only after all.",
    ),
    field(
        "places",
        "places",
        Texts,
        "A name for each point: at the shoulder; at the end.",
    ),
    field(
        "every",
        "every",
        Number,
        "On every so many-th part, beginning with the first.",
    ),
    field(
        "gauge",
        "gauges",
        Names,
        "What may prove it: mic-25, caliper-150. Empty: any.",
    ),
    field(
        "stages",
        "stages",
        Texts,
        "In order: turned; ground. The last one decides.",
    ),
    field(
        "leave",
        "leave, mm",
        Number,
        "Metal to leave before the last operation.",
    ),
    field(
        "coating",
        "coating, mm",
        Numbers,
        "Thinnest to thickest a side: 0.006 to 0.010.",
    ),
    field(
        "full_thread",
        "full thread, mm",
        Number,
        "Least length of full thread: it is measured.",
    ),
    field(
        "elements",
        "proved by",
        Texts,
        "Steps that prove it: minor; go_plug; no_go_plug.",
    ),
    field(
        "wire",
        "wires, mm",
        Number,
        "Diameter of the three wires over which it is measured.",
    ),
    field(
        "take",
        "reading",
        Word(FieldWords::Take),
        "How one value comes out of moving ones: press, stable, largest, smallest, range.",
    ),
    field(
        "aim",
        "aim",
        Word(FieldWords::Aim),
        "While cutting: the middle, or toward metal.",
    ),
    field(
        "least_cut",
        "least cut, mm",
        Number,
        "The smallest cut that the tool still takes.",
    ),
    field(
        "form",
        "form",
        Word(FieldWords::Form),
        "A form or position; the callout is then its largest value, as 0.02 max.",
    ),
    field("of", "form of", Text, "The feature whose form it is."),
    field(
        "datum",
        "datum",
        Text,
        "The feature that it is asked about.",
    ),
    field(
        "v_block",
        "V-block, °",
        Number,
        "The angle of the V in which it is turned: 90.",
    ),
    field(
        "lobes",
        "lobes",
        Number,
        "How many lobes are looked for in the V-block: 3.",
    ),
    field(
        "when",
        "when",
        Word(FieldWords::When),
        "always, or only where it was rechucked.",
    ),
];

const PAIR: [PlanField; 3] = [
    required(field(
        "hole",
        "hole",
        Text,
        "A feature of this plan: B; of another: cover.toml#B.",
    )),
    required(field(
        "shaft",
        "shaft",
        Text,
        "A feature of this plan, or other-plan.toml#A.",
    )),
    field(
        "intended",
        "intended fit",
        Text,
        "The fit that the drawing intends: 20 H7/k6.",
    ),
];

impl PlanField {
    /// The fields of a table, the usual ones first: `part`, `rules`, `feature` or `pair`.
    pub fn all(table: &str) -> &'static [PlanField] {
        match table {
            "part" => &PART,
            "rules" => &RULES,
            "feature" => &FEATURE,
            "pair" => &PAIR,
            _ => &[],
        }
    }

    /// The field of a key.
    pub fn of(table: &str, key: &str) -> Option<&'static PlanField> {
        Self::all(table).iter().find(|field| field.key == key)
    }
}

/// A value as it is edited on one line; none where that would lose something of it.
pub(super) fn shown_value(
    kind: FieldKind,
    value: &DeValue<'_>,
    raw: &str,
    text: &str,
) -> Option<String> {
    let one_line = || (!raw.contains(['\n', '\r'])).then(|| raw.to_owned());
    // Comments between the members of a list would be lost.
    if raw.contains('\n') && raw.contains('#') {
        return None;
    }
    match (kind, value) {
        (FieldKind::Raw, _) => one_line(),
        (_, DeValue::String(text)) => {
            let is_plain = !text.chars().any(char::is_control);
            is_plain.then(|| text.to_string())
        }
        (FieldKind::Texts | FieldKind::Names, DeValue::Array(all)) => {
            let members = all.iter().map(|one| match one.get_ref() {
                DeValue::String(text) => Some(text.to_string()),
                _ => None,
            });
            let members = members.collect::<Option<Vec<String>>>()?;
            let is_plain = |text: &String| {
                let splits = match kind {
                    FieldKind::Names => text.contains([';', ',']),
                    _ => text.contains(';'),
                };
                !splits
                    && text.trim() == text
                    && !text.is_empty()
                    && !text.chars().any(char::is_control)
            };
            let between = if kind == FieldKind::Names { ", " } else { "; " };
            members.iter().all(is_plain).then(|| members.join(between))
        }
        (FieldKind::Numbers, DeValue::Array(all)) => {
            let members = all.iter().map(|one| match one.get_ref() {
                DeValue::Integer(_) | DeValue::Float(_) => {
                    Some(text.get(one.span()).unwrap_or("").to_owned())
                }
                DeValue::String(text) => Some(text.to_string()),
                _ => None,
            });
            shown_numbers(&members.collect::<Option<Vec<String>>>()?)
        }
        (_, DeValue::Array(_) | DeValue::Table(_)) => None,
        _ => one_line(),
    }
}

/// `0 to 14`; members with units of their own stand between semicolons.
fn shown_numbers(members: &[String]) -> Option<String> {
    let is_plain = |text: &String| {
        !text.is_empty()
            && text.trim() == text
            && !text.contains(';')
            && !text.chars().any(char::is_control)
    };
    if !members.iter().all(is_plain) {
        return None;
    }
    let is_bare = |text: &String| !text.contains(char::is_whitespace) && !text.ends_with(',');
    Some(match members {
        [] => String::new(),
        _ if members.iter().all(is_bare) => members.join(" to "),
        [one] => format!("{one};"),
        _ => members.join("; "),
    })
}

/// What was typed, as a value of the file.
pub(super) fn written_value(kind: FieldKind, typed: &str) -> String {
    let typed = typed.trim();
    match kind {
        FieldKind::Text | FieldKind::Word(_) => quoted(typed),
        FieldKind::Number => number(typed),
        FieldKind::Numbers => {
            if typed.contains(';') {
                return list(typed.split(';'), number);
            }
            let spaced = typed.replace(" to ", " ").replace(", ", " ");
            list(spaced.split(char::is_whitespace), number)
        }
        FieldKind::Texts => list(typed.split(';'), quoted),
        FieldKind::Names => list(typed.split([';', ',']), quoted),
        FieldKind::Raw => {
            let line = format!("x = {typed}");
            let is_value = !typed.contains(['\n', '\r', '#'])
                && DeTable::parse(&line).is_ok_and(|table| table.get_ref().iter().count() == 1);
            match is_value {
                true => typed.to_owned(),
                false => quoted(typed),
            }
        }
    }
}

fn list<'t>(members: impl Iterator<Item = &'t str>, one: fn(&str) -> String) -> String {
    let members = members.map(str::trim).filter(|text| !text.is_empty());
    let members: Vec<String> = members.map(one).collect();
    format!("[{}]", members.join(", "))
}

/// A plain decimal number as it is, with a point; anything else quoted, so that the plan says what
/// is wrong with it.
fn number(typed: &str) -> String {
    let pointed = typed.replace(',', ".");
    let digits = pointed.strip_prefix(['-', '+']).unwrap_or(&pointed);
    let (whole, rest) = digits.split_once('.').unwrap_or((digits, "0"));
    let all_digits = |text: &str| !text.is_empty() && text.bytes().all(|b| b.is_ascii_digit());
    let has_zeros = whole.len() > 1 && whole.starts_with('0');
    match all_digits(whole) && all_digits(rest) && !has_zeros {
        true => pointed,
        false => quoted(typed),
    }
}

/// A text in quotes, as a person would write it.
pub(super) fn quoted(text: &str) -> String {
    let escapes = text.contains(['"', '\\']);
    if escapes && !text.contains('\'') && !text.chars().any(char::is_control) {
        return format!("'{text}'");
    }
    let mut shown = String::from('"');
    for letter in text.chars() {
        match letter {
            '"' | '\\' => shown.extend(['\\', letter]),
            letter if letter.is_control() => {
                shown.push_str(&format!("\\u{:04X}", u32::from(letter)));
            }
            letter => shown.push(letter),
        }
    }
    shown.push('"');
    shown
}

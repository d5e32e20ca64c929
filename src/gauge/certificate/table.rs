//! What a certificate holds: whose it is, when and by whom it was made, and its tables.

use std::collections::BTreeSet;

use crate::gauge::Date;

/// A Digital Calibration Certificate, as it was read. Nothing of it has been checked against its
/// signature.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Certificate {
    /// Version of the form (`3.2.1`); none when the file does not say.
    pub version: Option<String>,
    /// The certificate's number.
    pub number: Option<String>,
    /// The day on which the calibration was finished.
    pub performed: Option<Date>,
    /// The day of issue.
    pub issued: Option<Date>,
    /// The laboratory's name.
    pub laboratory: Option<String>,
    /// What was calibrated.
    pub items: Vec<Item>,
    /// The tables, in the file's order.
    pub tables: Vec<Table>,
    /// Statements of the laboratory about limits kept or not.
    pub conformity: Vec<Conformity>,
    /// Conditions at the calibration, temperature among them.
    pub conditions: Vec<Condition>,
    /// Whether a signature is in the file. It is not checked here.
    pub is_signed: bool,
}

/// One thing that was calibrated.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Item {
    /// What it is called.
    pub name: Option<String>,
    /// Its maker.
    pub manufacturer: Option<String>,
    /// Its model.
    pub model: Option<String>,
    /// The numbers that it is known by.
    pub identifications: Vec<Identification>,
}

/// One number that an item is known by.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Identification {
    /// Who gave it: `manufacturer`, `calibrationLaboratory`, `customer`, `owner`, `other`.
    pub issuer: String,
    /// What the certificate calls it (`Serial number`).
    pub name: Option<String>,
    /// The number.
    pub value: String,
}

/// A statement of the laboratory: limits kept or not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Conformity {
    /// The word of the form: `pass`, `fail`, `conditionalPass`, `conditionalFail`, `noPass`,
    /// `noFail`; any other as it stands.
    pub word: String,
    /// What it was stated of, and by which rule, if the certificate says.
    pub about: Option<String>,
}

impl Conformity {
    /// Whether the laboratory says plainly that the limits are kept.
    pub fn is_pass(&self) -> bool {
        self.word == "pass"
    }
}

/// A condition at the calibration: `Air temperature`, `20.1 ± 0.3`, `\degreecelsius`.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Condition {
    /// What it is called.
    pub name: String,
    /// Its first value, as written.
    pub value: String,
    /// Its unit, as written.
    pub unit: String,
    /// Its expanded uncertainty, as written, if it has one.
    pub uncertainty: Option<String>,
}

/// One table: columns that belong together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Table {
    /// Names of the results and lists that it stands in, outermost first.
    pub title: String,
    /// Its columns.
    pub columns: Vec<Column>,
}

/// One quantity of a table with its values as they are written.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Column {
    /// What it is called.
    pub name: String,
    /// Words of the `refType` attribute, told apart by blanks.
    pub ref_type: String,
    /// Unit of each value, or one for all.
    pub units: Vec<String>,
    /// The values as written.
    pub values: Vec<String>,
    /// The expanded uncertainty, if the column has one.
    pub uncertainty: Option<Uncertainty>,
}

/// Expanded uncertainty of a column: a number for each value, or one for all.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Uncertainty {
    /// U, in the column's unit.
    pub expanded: Vec<String>,
    /// The coverage factor k.
    pub coverage_factor: Vec<String>,
    /// The coverage probability.
    pub probability: Vec<String>,
    /// The distribution, if stated.
    pub distribution: Option<String>,
}

/// What a column is, as far as its name or its reference word tells.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Role {
    /// The size that the standard has.
    Nominal,
    /// What the gauge showed.
    Indication,
    /// Indication less the true size.
    Error,
    /// Nothing that is told clearly; a correction too, whose sign is the other way round.
    Other,
}

impl Role {
    /// Every role with its word in JSON.
    pub const WORDS: [(Self, &'static str); 4] = [
        (Self::Nominal, "nominal"),
        (Self::Indication, "indication"),
        (Self::Error, "error"),
        (Self::Other, "other"),
    ];

    /// The role's word.
    pub fn word(self) -> &'static str {
        let mut all = Self::WORDS.iter();
        all.find(|(role, _)| *role == self)
            .map_or("other", |(_, word)| word)
    }
}

/// Reference words of the good-practice lists (from memory), each as a whole word.
const REF_TYPES: [(&str, Role); 6] = [
    ("basic_nominalValue", Role::Nominal),
    ("basic_referenceValue", Role::Nominal),
    ("basic_measuredValue", Role::Indication),
    ("basic_measurementError", Role::Error),
    ("basic_measurementError_error", Role::Error),
    ("basic_error", Role::Error),
];
/// Names as laboratories write them (common practice, no source), in small letters, whole.
const NAMES: [(&str, Role); 22] = [
    ("nominal", Role::Nominal),
    ("nominal value", Role::Nominal),
    ("nominal length", Role::Nominal),
    ("nominal size", Role::Nominal),
    ("nominalwert", Role::Nominal),
    ("nennmaß", Role::Nominal),
    ("reference value", Role::Nominal),
    ("length of the gauge block", Role::Nominal),
    ("gauge block length", Role::Nominal),
    ("indication", Role::Indication),
    ("indicated value", Role::Indication),
    ("reading", Role::Indication),
    ("measured value", Role::Indication),
    ("anzeige", Role::Indication),
    ("messwert", Role::Indication),
    ("error", Role::Error),
    ("error of indication", Role::Error),
    ("indication error", Role::Error),
    ("measurement error", Role::Error),
    ("error of measurement", Role::Error),
    ("messabweichung", Role::Error),
    ("anzeigeabweichung", Role::Error),
];

impl Column {
    /// What it is, told by its reference word or its whole name and by nothing less: a
    /// “deviation” is an error for one laboratory and its opposite for another.
    pub fn role(&self) -> Role {
        let by_word = |word: &str| {
            let found = REF_TYPES.iter().find(|(known, _)| *known == word);
            found.map(|(_, role)| *role)
        };
        let name = self.name.trim().to_lowercase();
        let by_name = NAMES.iter().find(|(known, _)| *known == name);
        let mut words = self.ref_type.split_whitespace().filter_map(by_word);
        words
            .next()
            .or(by_name.map(|(_, role)| *role))
            .unwrap_or(Role::Other)
    }

    /// The unit of a value by its place; empty when none is written.
    pub fn unit_of(&self, row: usize) -> &str {
        each(&self.units, row).map_or("", String::as_str)
    }
}

/// The entry of a list that holds one for each value, or one for all.
pub(super) fn each<T>(list: &[T], row: usize) -> Option<&T> {
    match list {
        [only] => Some(only),
        list => list.get(row),
    }
}

impl Certificate {
    /// Numbers that may be the serial number: those of the maker, or named so; none of these, then
    /// every number that is stated.
    pub fn serials(&self) -> Vec<&str> {
        let all = || self.items.iter().flat_map(|item| &item.identifications);
        let is_serial = |one: &&Identification| {
            let name = one.name.as_deref().unwrap_or("").to_lowercase();
            one.issuer == "manufacturer" || name.contains("serial") || name.contains("seriennummer")
        };
        let mut found: Vec<&str> = all()
            .filter(is_serial)
            .map(|one| one.value.as_str())
            .collect();
        if found.is_empty() {
            found = all().map(|one| one.value.as_str()).collect();
        }
        let mut once = BTreeSet::new();
        found.retain(|value| once.insert(*value));
        found
    }

    /// The day from which the calibration counts.
    pub fn date(&self) -> Option<Date> {
        self.performed.or(self.issued)
    }
}

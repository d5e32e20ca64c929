//! Rows of the thread tables as their files hold them, read one at a time.

use super::super::csv::{Field, Sheet, TableError};
use super::super::rows::SizeRange;
use super::callout::LengthGroup;
use super::class::{ThreadMember, ThreadPosition};
use crate::quantity::Length;

/// A pair of ISO 261.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ThreadSize {
    /// Nominal diameter.
    pub nominal: Length,
    /// Pitch.
    pub pitch: Length,
    /// Whether it is the coarse pitch of the size.
    pub is_coarse: bool,
    /// Choice 1, 2 or 3: the first is to be preferred.
    pub choice: u8,
    /// Whether ISO 262 selects it for screws, bolts and nuts.
    pub is_selected: bool,
}

/// Values by grade, from one row.
#[derive(Debug, Clone)]
pub(super) struct GradedRow {
    /// The diameters that the row is for; none: all.
    pub(super) range: Option<SizeRange>,
    pub(super) pitch: Length,
    /// By the grades of the table's header.
    pub(super) values: Vec<(u8, Option<Length>)>,
    pub(super) source: String,
}

/// Fundamental deviations at one pitch.
#[derive(Debug, Clone)]
pub(super) struct DeviationsRow {
    pub(super) pitch: Length,
    values: [Option<Length>; POSITIONS.len()],
    pub(super) source: String,
}

/// Lengths of engagement of one range and pitch.
#[derive(Debug, Clone)]
pub(super) struct EngagementRow {
    pub(super) range: SizeRange,
    pub(super) pitch: Length,
    /// S goes up to and includes this.
    pub(super) short_to: Length,
    /// L is over this.
    pub(super) long_over: Length,
    pub(super) source: String,
}

/// The columns of `deviations.csv` after the pitch.
const POSITIONS: [ThreadPosition; 10] = [
    ThreadPosition::InternalG,
    ThreadPosition::InternalH,
    ThreadPosition::A,
    ThreadPosition::B,
    ThreadPosition::C,
    ThreadPosition::D,
    ThreadPosition::E,
    ThreadPosition::F,
    ThreadPosition::G,
    ThreadPosition::H,
];

impl GradedRow {
    /// The value of a grade; the standard may have none.
    pub(super) fn value(&self, grade: u8) -> Option<Length> {
        let found = self.values.iter().find(|(known, _)| *known == grade);
        found.and_then(|(_, value)| *value)
    }

    /// The grades with a value.
    pub(super) fn grades(&self) -> Vec<u8> {
        let with_value = self.values.iter().filter(|(_, value)| value.is_some());
        with_value.map(|(grade, _)| *grade).collect()
    }
}

impl DeviationsRow {
    /// The positions of a member that are defined at the pitch.
    pub(super) fn defined(&self, member: ThreadMember) -> Vec<ThreadPosition> {
        let all = POSITIONS.into_iter().zip(self.values);
        let with_value =
            all.filter(|(position, value)| value.is_some() && position.member() == member);
        with_value.map(|(position, _)| position).collect()
    }

    /// The fundamental deviation of a position: EI inside, es outside.
    pub(super) fn value(&self, position: ThreadPosition) -> Option<Length> {
        let at = POSITIONS.iter().position(|known| *known == position)?;
        self.values.get(at).copied().flatten()
    }
}

impl EngagementRow {
    /// The group of a length.
    pub(super) fn group(&self, length: Length) -> LengthGroup {
        if length <= self.short_to {
            LengthGroup::Short
        } else if length <= self.long_over {
            LengthGroup::Normal
        } else {
            LengthGroup::Long
        }
    }
}

fn positive(sheet: &Sheet<'_>, field: &Field) -> Result<Length, TableError> {
    let length = sheet.size(field)?;
    match length > Length::ZERO {
        true => Ok(length),
        false => Err(sheet.fault(field, "a size above zero")),
    }
}

fn cell(sheet: &Sheet<'_>, field: &Field) -> Result<Option<Length>, TableError> {
    let plain = Field {
        text: field.text.trim_start_matches('+').to_owned(),
        ..field.clone()
    };
    match field.text.as_str() {
        "" => Ok(None),
        _ => sheet.micrometres(&plain).map(Some),
    }
}

pub(super) fn sizes(sheet: &Sheet<'_>) -> Result<Vec<ThreadSize>, TableError> {
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [nominal, pitch, series, choice, selected] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        rows.push(ThreadSize {
            nominal: positive(sheet, nominal)?,
            pitch: positive(sheet, pitch)?,
            is_coarse: match series.text.as_str() {
                "coarse" => true,
                "fine" | "constant" => false,
                _ => return Err(sheet.fault(series, "coarse, fine or constant")),
            },
            choice: match choice.text.as_str() {
                "1" => 1,
                "2" => 2,
                "3" => 3,
                _ => return Err(sheet.fault(choice, "1, 2 or 3")),
            },
            is_selected: sheet.yes(selected)?,
        });
    }
    Ok(rows)
}

pub(super) fn graded(
    sheet: &Sheet<'_>,
    ranged: bool,
    grades: &[u8],
) -> Result<Vec<GradedRow>, TableError> {
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let (range, rest) = match fields.as_slice() {
            [over, to, rest @ ..] if ranged => (Some(sheet.range(over, to)?), rest),
            all => (None, all),
        };
        let [pitch, values @ .., source] = rest else {
            continue; // the sheet has checked the width against the header
        };
        if values.len() != grades.len() {
            return Err(sheet.fault(pitch, format!("{} grades", grades.len())));
        }
        let values = grades.iter().zip(values);
        let values: Result<Vec<_>, TableError> = values
            .map(|(grade, field)| Ok((*grade, cell(sheet, field)?)))
            .collect();
        rows.push(GradedRow {
            range,
            pitch: positive(sheet, pitch)?,
            values: values?,
            source: sheet.source(source, false)?,
        });
    }
    Ok(rows)
}

pub(super) fn deviations(sheet: &Sheet<'_>) -> Result<Vec<DeviationsRow>, TableError> {
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [pitch, values @ .., source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        let mut row = DeviationsRow {
            pitch: positive(sheet, pitch)?,
            values: [None; POSITIONS.len()],
            source: sheet.source(source, false)?,
        };
        for (slot, field) in row.values.iter_mut().zip(values) {
            *slot = cell(sheet, field)?;
        }
        rows.push(row);
    }
    Ok(rows)
}

pub(super) fn engagements(sheet: &Sheet<'_>) -> Result<Vec<EngagementRow>, TableError> {
    let mut rows = Vec::with_capacity(sheet.rows.len());
    for fields in &sheet.rows {
        let [over, to, pitch, short, long, source] = fields.as_slice() else {
            continue; // the sheet has checked the width against the header
        };
        rows.push(EngagementRow {
            range: sheet.range(over, to)?,
            pitch: positive(sheet, pitch)?,
            short_to: positive(sheet, short)?,
            long_over: positive(sheet, long)?,
            source: sheet.source(source, false)?,
        });
    }
    Ok(rows)
}

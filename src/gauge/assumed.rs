//! What is assumed of a gauge whose register entry does not state its error or its step.
//!
//! Published rows exist here for calipers and outside micrometers: the older DIN 862 and DIN 863-1
//! limits, since the current ISO 13385-1 and ISO 3611 leave the numbers to maker and user. Inside,
//! depth and thread micrometers, height gauges and rules take a deliberately wide number that is
//! marked as chosen without a source. For every other kind nothing is assumed: the answer is "not
//! known", and verdicts then say "uncertainty not considered". Comparators (bore gauge, indicator)
//! are among these, because their error depends on what they were set on.

use super::kind::{Faces, GaugeKind};
use crate::quantity::{Decimal, DecimalMark, Length, LengthUnit};

const ERROR_LIMITS: &str = include_str!("../../tolerances/gauges/error_limits.csv");
const ADDED_LIMITS: &str = include_str!("../../tolerances/gauges/added_limits.csv");
const RESOLUTIONS: &str = include_str!("../../tolerances/gauges/resolutions.csv");

/// On what an assumed number rests.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Basis {
    /// A row of a published table.
    Published,
    /// What the trade usually finds; no source.
    Practice,
    /// Chosen wide, no source.
    Chosen,
}

impl Basis {
    const WORDS: [(Self, &'static str); 3] = [
        (Self::Published, "published"),
        (Self::Practice, "practice"),
        (Self::Chosen, "chosen"),
    ];

    fn from_word(word: &str) -> Option<Self> {
        Self::WORDS
            .iter()
            .find(|(_, known)| *known == word)
            .map(|(basis, _)| *basis)
    }

    /// The basis in a table and in a record.
    pub fn word(self) -> &'static str {
        Self::WORDS
            .iter()
            .find(|(basis, _)| *basis == self)
            .map_or("chosen", |(_, word)| word)
    }
}

/// A number that the register does not state, with where it comes from.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Assumed {
    /// The number.
    pub value: Length,
    /// On what it rests.
    pub basis: Basis,
    /// The source as the table's row names it.
    pub source: String,
}

/// The error limit (half-width of the permissible error) assumed for a kind of gauge with that
/// step, at that length. `None` where nothing is assumed.
///
/// `length` is the measured length for a caliper and the upper end of the range for a micrometer;
/// a length on the border between two rows takes the lower row, as the tables read "up to".
pub fn error_limit(kind: GaugeKind, step: Length, length: Length, faces: Faces) -> Option<Assumed> {
    let length = length.abs();
    let row = rows(ERROR_LIMITS).find(|row| {
        let within = |above: usize, to: usize, value: Length, first: bool| {
            let (Some(above), Some(to)) = (row.mm(above), row.mm(to)) else {
                return row.is_blank(above) && row.is_blank(to);
            };
            (above < value || (first && above == value)) && value <= to
        };
        row.kind() == Some(kind)
            && within(2, 3, step, false)
            && within(4, 5, length, length == Length::ZERO)
    })?;
    let mut assumed = Assumed {
        value: row.um(6)?,
        basis: row.basis()?,
        source: row.text(7).to_owned(),
    };
    let added = rows(ADDED_LIMITS)
        .find(|row| row.kind() == Some(kind) && Faces::from_word(row.text(2)) == Some(faces));
    if let Some(row) = added {
        assumed.value += row.um(3)?;
        assumed.source = format!("{}; {}", assumed.source, row.text(5));
    }
    Some(assumed)
}

/// The step assumed for a kind of gauge; `None` where nothing is assumed.
pub fn resolution(kind: GaugeKind) -> Option<Assumed> {
    let row = rows(RESOLUTIONS).find(|row| row.kind() == Some(kind))?;
    Some(Assumed {
        value: row.mm(2)?,
        basis: row.basis()?,
        source: row.text(3).to_owned(),
    })
}

struct Row(Vec<String>);

impl Row {
    fn text(&self, column: usize) -> &str {
        self.0.get(column).map_or("", String::as_str)
    }

    fn is_blank(&self, column: usize) -> bool {
        self.text(column).is_empty()
    }

    fn kind(&self) -> Option<GaugeKind> {
        GaugeKind::from_word(self.text(0))
    }

    fn basis(&self) -> Option<Basis> {
        Basis::from_word(self.text(1))
    }

    fn mm(&self, column: usize) -> Option<Length> {
        Length::parse_mm(self.text(column)).ok()
    }

    fn um(&self, column: usize) -> Option<Length> {
        let number = Decimal::parse(self.text(column), DecimalMark::Point).ok()?;
        let mm = Decimal::new(number.mantissa(), number.decimals().checked_add(3)?).ok()?;
        Length::from_decimal(mm, LengthUnit::Millimetre).ok()
    }
}

/// The rows of a table without its heading; a field that holds commas is quoted.
fn rows(table: &'static str) -> impl Iterator<Item = Row> {
    table.lines().skip(1).map(|line| {
        let mut fields = vec![String::new()];
        let mut quoted = false;
        for c in line.chars() {
            match (c, quoted, fields.last_mut()) {
                ('"', _, _) => quoted = !quoted,
                (',', false, _) => fields.push(String::new()),
                (_, _, Some(field)) => field.push(c),
                _ => {}
            }
        }
        Row(fields)
    })
}

#[cfg(test)]
mod tests {
    use super::{ADDED_LIMITS, ERROR_LIMITS, RESOLUTIONS, Row, rows};

    #[test]
    fn every_row_of_the_tables_can_be_read() {
        let whole = |row: &Row, columns: usize| {
            assert_eq!(row.0.len(), columns, "{:?}", row.0);
            assert!(row.kind().is_some() && row.basis().is_some(), "{:?}", row.0);
        };
        for row in rows(ERROR_LIMITS) {
            whole(&row, 9);
            assert!(row.mm(4) < row.mm(5) && row.um(6).is_some(), "{:?}", row.0);
            assert_eq!(row.is_blank(2), row.is_blank(3), "{:?}", row.0);
            assert!(!row.is_blank(7) && !row.is_blank(8), "{:?}", row.0);
        }
        for row in rows(ADDED_LIMITS) {
            whole(&row, 6);
            assert!(row.um(3).is_some() && !row.is_blank(4), "{:?}", row.0);
        }
        for row in rows(RESOLUTIONS) {
            whole(&row, 5);
            assert!(row.mm(2).is_some() && !row.is_blank(3), "{:?}", row.0);
        }
    }
}

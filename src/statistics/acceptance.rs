//! Acceptance sampling by attributes: how many parts of a lot to inspect, and how many
//! nonconforming ones refuse it.

use super::StatisticsError;

const CODE_LETTERS: &str = include_str!("../../tolerances/iso2859/code_letters.csv");
const PLANS: &str = include_str!("../../tolerances/iso2859/single_normal.csv");

/// How much is inspected: general inspection levels; II is the usual one.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum InspectionLevel {
    /// Less than usual.
    I,
    /// The usual one.
    II,
    /// More than usual.
    III,
}

/// Acceptance quality limit: the share of nonconforming parts, in percent, that is still
/// acceptable as an average; one of the preferred numbers that are tabled here.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct QualityLimit {
    /// Which column of the table.
    column: usize,
}

/// The limits that are tabled, in the order of the table's columns.
const LIMITS: [(&str, f64); 6] = [
    ("0.65", 0.65),
    ("1.0", 1.0),
    ("1.5", 1.5),
    ("2.5", 2.5),
    ("4.0", 4.0),
    ("6.5", 6.5),
];

impl QualityLimit {
    /// The tabled limits, strictest first.
    pub fn all() -> impl Iterator<Item = Self> {
        (0..LIMITS.len()).map(|column| Self { column })
    }

    /// The limit with this percentage.
    ///
    /// # Errors
    /// `OutOfRange` where it is not tabled.
    pub fn of_percent(percent: f64) -> Result<Self, StatisticsError> {
        let near = |(_, tabled): &(&str, f64)| (percent - tabled).abs() < 1e-9;
        let found = LIMITS.iter().position(near);
        let column = found.ok_or(StatisticsError::OutOfRange {
            name: "acceptance quality limit in percent",
            found: percent,
            allowed: "0.65, 1.0, 1.5, 2.5, 4.0 or 6.5",
        })?;
        Ok(Self { column })
    }

    /// The percentage as the standard prints it.
    pub fn percent_text(self) -> &'static str {
        LIMITS.get(self.column).map_or("", |(text, _)| *text)
    }

    /// The percentage.
    pub fn percent(self) -> f64 {
        LIMITS.get(self.column).map_or(0.0, |(_, percent)| *percent)
    }
}

/// What to inspect, and when to refuse.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct AcceptancePlan {
    /// Code letter of the lot size and level.
    pub letter_of_lot: char,
    /// Code letter of the plan; another one where the table points to it.
    pub letter_of_plan: char,
    /// Sample size of the plan, in parts.
    pub sample_size: u64,
    /// Parts to inspect: the sample size, or the whole lot where that is smaller.
    pub parts_to_inspect: u64,
    /// Whether these are all parts of the lot.
    pub is_whole_lot: bool,
    /// Largest number of nonconforming parts with which the lot is accepted.
    pub accept_up_to: u32,
    /// Least number of nonconforming parts with which the lot is refused.
    pub refuse_from: u32,
}

/// The single sampling plan for normal inspection of one lot.
///
/// A plan speaks about a series of lots; about a single one it promises less than it seems to.
///
/// # Errors
/// `OutOfRange` for a lot of fewer than 2 parts.
///
/// Source: ISO 2859-1:1999, code letters and single plans for normal inspection (tables 1 and 2-A,
/// numbers from memory); the rows name their own source.
pub fn acceptance_plan(
    lot_size: u64,
    level: InspectionLevel,
    limit: QualityLimit,
) -> Result<AcceptancePlan, StatisticsError> {
    let out_of_range = StatisticsError::OutOfRange {
        name: "lot size",
        found: lot_size as f64,
        allowed: "2 parts or more",
    };
    let letter = code_letter(lot_size, level).ok_or(out_of_range)?;
    let plans: Vec<Plan> = PLANS.lines().skip(1).filter_map(Plan::of_row).collect();
    let mut at = plans.iter().position(|plan| plan.letter == letter);
    // Each arrow leads toward a plan and none leads back, so a walk visits no row twice.
    for _ in 0..plans.len() {
        let Some(plan) = at.and_then(|at| plans.get(at)) else {
            break;
        };
        match plan.cells.get(limit.column) {
            Some(Cell::Below) => at = at.map(|at| at + 1),
            Some(Cell::Above) => at = at.and_then(|at| at.checked_sub(1)),
            Some(Cell::Numbers { accept, refuse }) => {
                return Ok(AcceptancePlan {
                    letter_of_lot: letter,
                    letter_of_plan: plan.letter,
                    sample_size: plan.sample_size,
                    parts_to_inspect: plan.sample_size.min(lot_size),
                    is_whole_lot: plan.sample_size >= lot_size,
                    accept_up_to: *accept,
                    refuse_from: *refuse,
                });
            }
            None => break,
        }
    }
    Err(out_of_range)
}

/// The code letter of a lot size; its row ends where the next begins, the last one does not end.
fn code_letter(lot_size: u64, level: InspectionLevel) -> Option<char> {
    let row = CODE_LETTERS.lines().skip(1).find_map(|row| {
        let fields: Vec<&str> = row.split(',').collect();
        let [from, to, letters @ ..] = fields.as_slice() else {
            return None;
        };
        let from: u64 = from.parse().ok()?;
        let to: u64 = if to.is_empty() {
            u64::MAX
        } else {
            to.parse().ok()?
        };
        let column = match level {
            InspectionLevel::I => 0,
            InspectionLevel::II => 1,
            InspectionLevel::III => 2,
        };
        let found = (from..=to).contains(&lot_size);
        found.then(|| letters.get(column).copied())?
    })?;
    row.chars().next()
}

/// A row of the table of plans.
struct Plan {
    letter: char,
    sample_size: u64,
    cells: Vec<Cell>,
}

/// What the table says at a letter and a limit.
enum Cell {
    Numbers {
        accept: u32,
        refuse: u32,
    },
    /// The first plan below the arrow.
    Below,
    /// The first plan above the arrow.
    Above,
}

impl Plan {
    fn of_row(row: &str) -> Option<Self> {
        let fields: Vec<&str> = row.split(',').collect();
        let [letter, size, rest @ ..] = fields.as_slice() else {
            return None;
        };
        let cells = rest.get(..LIMITS.len())?;
        Some(Self {
            letter: letter.chars().next()?,
            sample_size: size.parse().ok()?,
            cells: cells
                .iter()
                .map(|cell| Cell::of(cell))
                .collect::<Option<_>>()?,
        })
    }
}

impl Cell {
    fn of(text: &str) -> Option<Self> {
        match text {
            "v" => Some(Self::Below),
            "^" => Some(Self::Above),
            _ => {
                let (accept, refuse) = text.split_once('/')?;
                Some(Self::Numbers {
                    accept: accept.parse().ok()?,
                    refuse: refuse.parse().ok()?,
                })
            }
        }
    }
}

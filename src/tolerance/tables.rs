//! The tolerance tables, embedded and as dense arrays: a class and a nominal size give both
//! deviations by one search of the size range and one array cell.
//!
//! Rows are kept too, for the why and for the reason when a class is not defined.

use std::sync::LazyLock;

use crate::quantity::{Angle, Length};

use super::class::{GRADE_COUNT, Grade, LETTER_COUNT, Letter, ToleranceClass};
use super::csv::TableError;
use super::gauge_rows::GAUGE_TEXTS;
use super::general::{GeneralClass, GeneralKind};
use super::limits::{Derivation, Limits};
use super::rows::{DeviationRow, GeneralRow, GradeRow, RowValue, SizeRange, TableRows, read};
use super::tapping::DRILL_TEXTS;
use super::thread::THREAD_TEXTS;
use super::undefined::ClassError;

/// The embedded tables in a fixed order: name and text. Whoever keeps a record hashes them in
/// this order, so that a change of any digit shows.
pub const TABLE_TEXTS: [(&str, &str); 7] = [
    (
        "iso286/tolerance_grades.csv",
        include_str!("../../tolerances/iso286/tolerance_grades.csv"),
    ),
    (
        "iso286/shaft_deviations.csv",
        include_str!("../../tolerances/iso286/shaft_deviations.csv"),
    ),
    (
        "iso286/hole_deviations.csv",
        include_str!("../../tolerances/iso286/hole_deviations.csv"),
    ),
    (
        "iso286/delta.csv",
        include_str!("../../tolerances/iso286/delta.csv"),
    ),
    (
        "iso2768/linear.csv",
        include_str!("../../tolerances/iso2768/linear.csv"),
    ),
    (
        "iso2768/edges.csv",
        include_str!("../../tolerances/iso2768/edges.csv"),
    ),
    (
        "iso2768/angular.csv",
        include_str!("../../tolerances/iso2768/angular.csv"),
    ),
];

/// Most cells of the dense arrays (chosen: the standard's are 70 000; these are 36 MB).
const CELLS_MAX: usize = 4_000_000;
/// Sizes are sorted into buckets of 2^20 nm, a little over 1 mm.
const BUCKET_BITS: u32 = 20;

/// Both deviations of a class in a size range, in nanometres.
#[derive(Debug, Clone, Copy)]
struct Cell {
    upper: i32,
    lower: i32,
}

impl Cell {
    const UNDEFINED: Self = Self {
        upper: i32::MIN,
        lower: i32::MIN,
    };

    fn is_defined(self) -> bool {
        self.upper != i32::MIN
    }
}

/// All tolerance tables: those of the standards, and house additions if there are any.
#[derive(Debug, Clone)]
pub struct Tables {
    /// Ends of the size ranges in nanometres, ascending, from 0; range `r` is over `r` up to
    /// and including `r + 1`.
    boundaries: Vec<i64>,
    /// For every [`BUCKET_BITS`] of nanometres the range in which its first size lies, so that
    /// the search starts at most a few ranges too low.
    starts: Vec<u16>,
    /// By letter, grade and range.
    cells: Vec<Cell>,
    /// Whether a house row is in a cell; empty when there are no house tables.
    house_cells: Vec<bool>,
    /// Letters beyond the standard's, in the order of the house tables.
    house_letters: Vec<Letter>,
    pub(super) grades: Vec<GradeRow>,
    pub(super) deltas: Vec<GradeRow>,
    pub(super) deviations: Vec<DeviationRow>,
    linear: Vec<GeneralRow<Length>>,
    edges: Vec<GeneralRow<Length>>,
    angular: Vec<GeneralRow<Angle>>,
    house_texts: Vec<(String, String)>,
}

/// The standard's tables as constant data, read once.
#[allow(clippy::expect_used)]
static STANDARD: LazyLock<Tables> = LazyLock::new(|| {
    let mut tables = Tables::empty();
    for (name, text) in TABLE_TEXTS {
        // The texts are part of the program; a test reads every row of them.
        let rows = read(text, name, false).expect("the embedded tables are sound");
        tables.take(rows, name).expect("the embedded rows fit");
    }
    tables.set_ranges();
    tables.fill();
    tables
});

impl Tables {
    /// The tables of ISO 286-1:2010 and ISO 2768-1:1989, without house additions.
    pub fn standard() -> &'static Self {
        &STANDARD
    }

    fn empty() -> Self {
        Self {
            boundaries: Vec::new(),
            starts: Vec::new(),
            cells: Vec::new(),
            house_cells: Vec::new(),
            house_letters: Vec::new(),
            grades: Vec::new(),
            deltas: Vec::new(),
            deviations: Vec::new(),
            linear: Vec::new(),
            edges: Vec::new(),
            angular: Vec::new(),
            house_texts: Vec::new(),
        }
    }

    /// These tables with a house table of the same form added: more rows, more classes, or a
    /// letter of the house. A house row may add to the standard, never change it: a row that
    /// meets one which is there already is refused. Everything that uses a house row says so.
    ///
    /// `origin` names the text in errors and in the why, usually a file name.
    pub fn with_house(&self, text: &str, origin: &str) -> Result<Self, TableError> {
        let mut tables = self.clone();
        tables.take(read(text, origin, true)?, origin)?;
        tables.set_ranges();
        if tables.cell_count() > CELLS_MAX {
            let (letters, ranges) = (tables.house_letters.len(), tables.boundaries.len() - 1);
            return Err(TableError {
                origin: origin.to_owned(),
                line: 1,
                column: 1,
                found: format!("{letters} letters of the house over {ranges} ranges of sizes"),
                expected: "fewer letters, or rows that share their size ranges".to_owned(),
            });
        }
        tables
            .house_texts
            .push((origin.to_owned(), text.to_owned()));
        tables.fill();
        Ok(tables)
    }

    /// Name and text of every table in use, the embedded ones first, then the house tables in
    /// the order in which they were added: the input of a digest.
    pub fn texts(&self) -> impl Iterator<Item = (&str, &str)> {
        let house = self.house_texts.iter();
        let threads = THREAD_TEXTS
            .into_iter()
            .chain(GAUGE_TEXTS)
            .chain(DRILL_TEXTS);
        let standard = TABLE_TEXTS.into_iter().chain(threads);
        standard.chain(house.map(|(name, text)| (name.as_str(), text.as_str())))
    }

    /// The letters that house tables add.
    pub fn house_letters(&self) -> &[Letter] {
        &self.house_letters
    }

    /// A class whose letter is the standard's or one of the house tables'.
    pub fn class(&self, letter: &str, grade: &str) -> Option<ToleranceClass> {
        let name = Letter::any(letter)?;
        let known = name.is_standard() || self.house_letters.contains(&name);
        known.then_some(ToleranceClass::new(name, Grade::parse(grade)?))
    }

    /// Both limits of size of a tolerance class at a nominal size. Allocates nothing.
    ///
    /// Formula: es given: ei = es - IT; ei given: es = ei + IT; ES given: EI = ES - IT; EI given:
    ///          ES = EI + IT; js, JS: +IT/2, -IT/2; with delta: ES = tabled value + delta;
    ///          limit = nominal + deviation.
    /// Symbols: es, ei (ES, EI) upper and lower deviation of shaft (hole), IT tolerance of the
    ///          grade, delta ITn - IT(n-1) (nm, exact).
    /// Valid:   over 0 up to 3150 mm, where letter and grade are tabled.
    /// Rounding: none; half micrometres are kept.
    /// Source:  ISO 286-1:2010, tables 1 to 5; provenance in tolerances/README.md.
    /// Checked: tests/tables/iso286_limits.csv, iso286_grades.csv, iso286_letter_sums.csv.
    /// Errors:  [`ClassError`]: not defined at that size, with the reason and a class near it.
    #[inline(always)] // a few nanoseconds; the call alone would double them
    #[allow(clippy::inline_always)]
    pub fn limits_of_class(
        &self,
        nominal: Length,
        class: ToleranceClass,
    ) -> Result<Limits<Length>, ClassError> {
        let place = self.place(nominal, class);
        match place.and_then(|at| self.cells.get(at).copied()) {
            Some(cell) if cell.is_defined() => {
                let house = place.is_some_and(|at| self.house_cells.get(at) == Some(&true));
                let lower = nominal + Length::from_nm(i64::from(cell.lower));
                let upper = nominal + Length::from_nm(i64::from(cell.upper));
                Ok(Limits::ordered(
                    Some(lower),
                    Some(upper),
                    Derivation::Class {
                        nominal,
                        class,
                        house,
                    },
                ))
            }
            _ => Err(self.class_error(nominal, class)),
        }
    }

    /// Whether a class is defined at a nominal size.
    pub fn defines(&self, nominal: Length, class: ToleranceClass) -> bool {
        self.place(nominal, class)
            .and_then(|at| self.cells.get(at))
            .is_some_and(|cell| cell.is_defined())
    }

    #[inline(always)]
    fn place(&self, nominal: Length, class: ToleranceClass) -> Option<usize> {
        let range = self.range_of(nominal.as_nm())?;
        let ranges = self.boundaries.len() - 1;
        let letter = self.letter_row(class.letter())?;
        Some((letter * GRADE_COUNT + class.grade().index()) * ranges + range)
    }

    /// The range of a size in nanometres, if it is in one.
    #[inline(always)]
    fn range_of(&self, size: i64) -> Option<usize> {
        let bucket = usize::try_from(size.checked_sub(1)? >> BUCKET_BITS).ok()?;
        let mut range = usize::from(*self.starts.get(bucket)?);
        while *self.boundaries.get(range + 1)? < size {
            range += 1;
        }
        Some(range)
    }

    #[inline(always)]
    fn letter_row(&self, letter: Letter) -> Option<usize> {
        if letter.is_standard() {
            return Some(usize::from(letter.index()));
        }
        let at = self.house_letters.iter().position(|known| *known == letter);
        at.map(|house| 2 * LETTER_COUNT + house)
    }

    /// Adds the rows of a table, refusing those that meet rows which are there already.
    fn take(&mut self, rows: TableRows, origin: &str) -> Result<(), TableError> {
        match rows {
            TableRows::Grades(rows) => {
                add_each(&mut self.grades, rows, origin, |old, new| {
                    (old.grade == new.grade && old.range.overlaps(new.range))
                        .then(|| (new.line, format!("{} {}", new.grade, old.range)))
                })?;
            }
            TableRows::Delta(rows) => self.deltas.extend(rows),
            TableRows::Deviations(rows) => {
                for row in &rows {
                    if !row.letter.is_standard() && !self.house_letters.contains(&row.letter) {
                        self.house_letters.push(row.letter);
                    }
                }
                add_each(&mut self.deviations, rows, origin, |old, new| {
                    let meets = old.letter == new.letter
                        && old.finest <= new.coarsest
                        && new.finest <= old.coarsest
                        && old.range.overlaps(new.range);
                    meets.then(|| {
                        let (from, to) = (old.finest.digits(), old.coarsest.digits());
                        let grades = format!("grades {from} to {to}");
                        (new.line, format!("{} {grades}, {}", old.letter, old.range))
                    })
                })?;
            }
            TableRows::Linear(rows) => add_each(&mut self.linear, rows, origin, meeting)?,
            TableRows::Edges(rows) => add_each(&mut self.edges, rows, origin, meeting)?,
            TableRows::Angular(rows) => add_each(&mut self.angular, rows, origin, meeting)?,
        }
        Ok(())
    }

    /// The size ranges that the rows make together.
    fn set_ranges(&mut self) {
        let ranges_of_rows = self
            .grades
            .iter()
            .map(|row| row.range)
            .chain(self.deviations.iter().map(|row| row.range));
        let mut ends: Vec<i64> = ranges_of_rows
            .flat_map(|range| [Some(range.over), range.up_to])
            .flatten()
            .map(Length::as_nm)
            .chain([0])
            .collect();
        ends.sort_unstable();
        ends.dedup();
        self.boundaries = ends;
        self.starts = self.bucket_starts();
    }

    fn cell_count(&self) -> usize {
        let letters = 2 * LETTER_COUNT + self.house_letters.len();
        letters * GRADE_COUNT * (self.boundaries.len() - 1)
    }

    /// Fills the dense arrays from the rows.
    fn fill(&mut self) {
        let ranges = self.boundaries.len() - 1;
        let has_house = !self.house_texts.is_empty();
        self.cells = vec![Cell::UNDEFINED; self.cell_count()];
        self.house_cells = vec![false; if has_house { self.cells.len() } else { 0 }];

        let grades = self.by_grade_and_range(&self.grades);
        let deltas = self.by_grade_and_range(&self.deltas);
        for row in &self.deviations {
            let Some(letter) = self.letter_row(row.letter) else {
                continue; // every letter of a row is the standard's or was noted in `take`
            };
            let span = self.span(row.range);
            for grade in row.finest.index()..=row.coarsest.index() {
                for range in span.clone() {
                    let key = grade * ranges + range;
                    let Some((tolerance, house)) = grades.get(key).copied().flatten() else {
                        continue;
                    };
                    let delta = deltas.get(key).copied().flatten();
                    let cell = cell_of(row, tolerance, delta.map(|(value, _)| value));
                    let at = (letter * GRADE_COUNT) * ranges + key;
                    if let Some(slot) = self.cells.get_mut(at) {
                        *slot = cell;
                    }
                    if let Some(slot) = self.house_cells.get_mut(at) {
                        *slot = house || row.house;
                    }
                }
            }
        }
    }

    fn bucket_starts(&self) -> Vec<u16> {
        let last = self.boundaries.last().copied().unwrap_or(0);
        (0..=last >> BUCKET_BITS)
            .map(|bucket| {
                let first = (bucket << BUCKET_BITS) + 1;
                let below = self.boundaries.partition_point(|end| *end < first);
                u16::try_from(below.saturating_sub(1)).unwrap_or(0)
            })
            .collect()
    }

    fn by_grade_and_range(&self, rows: &[GradeRow]) -> Vec<Option<(Length, bool)>> {
        let ranges = self.boundaries.len() - 1;
        let mut dense = vec![None; GRADE_COUNT * ranges];
        for row in rows {
            for range in self.span(row.range) {
                if let Some(slot) = dense.get_mut(row.grade.index() * ranges + range) {
                    *slot = Some((row.value, row.house));
                }
            }
        }
        dense
    }

    /// The dense ranges that a row's range covers.
    fn span(&self, range: SizeRange) -> std::ops::Range<usize> {
        let at = |size: Length| self.boundaries.partition_point(|end| *end < size.as_nm());
        at(range.over)..range.up_to.map_or(self.boundaries.len() - 1, at)
    }

    pub(super) fn grade_row(&self, nominal: Length, grade: Grade) -> Option<&GradeRow> {
        let mut rows = self.grades.iter();
        rows.find(|row| row.grade == grade && row.range.contains(nominal))
    }

    pub(super) fn delta_row(&self, nominal: Length, grade: Grade) -> Option<&GradeRow> {
        let mut rows = self.deltas.iter();
        rows.find(|row| row.grade == grade && row.range.contains(nominal))
    }

    pub(super) fn deviation_row(
        &self,
        nominal: Length,
        class: ToleranceClass,
    ) -> Option<&DeviationRow> {
        self.deviations.iter().find(|row| {
            row.letter == class.letter() && row.holds(class.grade()) && row.range.contains(nominal)
        })
    }

    pub(super) fn general(
        &self,
        nominal: Length,
        class: GeneralClass,
        kind: GeneralKind,
    ) -> Option<&GeneralRow<Length>> {
        general_row(
            match kind {
                GeneralKind::Edge => &self.edges,
                _ => &self.linear,
            },
            nominal,
            class,
        )
    }

    pub(super) fn general_angle(
        &self,
        shorter_side: Length,
        class: GeneralClass,
    ) -> Option<&GeneralRow<Angle>> {
        general_row(&self.angular, shorter_side, class)
    }

    /// The source notes of every row in use, in the order of the tables.
    pub fn sources(&self) -> impl Iterator<Item = &str> {
        let grades = self.grades.iter().chain(&self.deltas);
        let general = self.linear.iter().chain(&self.edges);
        grades
            .map(|row| row.source.as_str())
            .chain(self.deviations.iter().map(|row| row.source.as_str()))
            .chain(general.map(|row| row.source.as_str()))
            .chain(self.angular.iter().map(|row| row.source.as_str()))
    }
}

/// Both deviations from a row, the tolerance and, where the row asks for it, delta.
fn cell_of(row: &DeviationRow, tolerance: Length, delta: Option<Length>) -> Cell {
    let (upper, lower) = match row.value {
        RowValue::HalfTolerance => (tolerance.div_floor(2), -tolerance.div_floor(2)),
        RowValue::Tabled(value) => {
            let deviation = match delta {
                Some(delta) if row.add_delta => value + delta,
                None if row.add_delta => return Cell::UNDEFINED,
                _ => value,
            };
            if row.which.is_upper() {
                (deviation, deviation - tolerance)
            } else {
                (deviation + tolerance, deviation)
            }
        }
    };
    // Table values are held to ±1000 mm where they are read, so both fit.
    match (i32::try_from(upper.as_nm()), i32::try_from(lower.as_nm())) {
        (Ok(upper), Ok(lower)) => Cell { upper, lower },
        _ => Cell::UNDEFINED,
    }
}

fn general_row<Q>(
    rows: &[GeneralRow<Q>],
    size: Length,
    class: GeneralClass,
) -> Option<&GeneralRow<Q>> {
    rows.iter()
        .find(|row| row.class == class && row.range.contains(size))
}

fn meeting<Q>(old: &GeneralRow<Q>, new: &GeneralRow<Q>) -> Option<(usize, String)> {
    (old.class == new.class && old.range.overlaps(new.range))
        .then(|| (new.line, format!("class {} {}", old.class, old.range)))
}

/// Adds new rows one by one; a row that meets an earlier one is an error at its line.
fn add_each<R>(
    rows: &mut Vec<R>,
    new_rows: Vec<R>,
    origin: &str,
    meets: impl Fn(&R, &R) -> Option<(usize, String)>,
) -> Result<(), TableError> {
    for new in new_rows {
        if let Some((line, known)) = rows.iter().find_map(|old| meets(old, &new)) {
            return Err(TableError {
                origin: origin.to_owned(),
                line,
                column: 1,
                found: known,
                expected: "a row that adds to the tables; what is tabled already stays".to_owned(),
            });
        }
        rows.push(new);
    }
    Ok(())
}

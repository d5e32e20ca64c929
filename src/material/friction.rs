//! Friction of two metals that are joined: a range, never one number.

use std::sync::LazyLock;

use super::csv::fields;

const TABLE: &str = include_str!("../../tolerances/materials/friction.csv");

/// How two parts are joined.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Joining {
    /// Pressed in, cold.
    Pressed,
    /// By heating the hub or cooling the shaft.
    Shrunk,
}

impl Joining {
    /// With the word of each.
    pub const WORDS: [(Self, &str); 2] = [(Self::Pressed, "pressed"), (Self::Shrunk, "shrunk")];
}

/// What is between the surfaces.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Wetness {
    /// Nothing that was put there.
    Dry,
    /// Oil or grease.
    Oiled,
    /// Not even the film of handling: washed with a solvent.
    Degreased,
}

impl Wetness {
    /// With the word of each.
    pub const WORDS: [(Self, &str); 3] = [
        (Self::Dry, "dry"),
        (Self::Oiled, "oiled"),
        (Self::Degreased, "degreased"),
    ];
}

/// A range of friction coefficients, and where it comes from.
#[derive(Debug, Clone, PartialEq)]
pub struct Friction {
    /// Low end.
    pub low: f64,
    /// High end.
    pub high: f64,
    /// Source, or what the range was taken over.
    pub source: String,
}

struct Row {
    one: &'static str,
    other: &'static str,
    joining: Joining,
    wetness: Wetness,
    low: f64,
    high: f64,
    source: &'static str,
}

impl Row {
    fn of(line: &'static str) -> Option<Self> {
        let [one, other, joining, wetness, low, high, source] = *fields(line).as_slice() else {
            return None;
        };
        Some(Self {
            one,
            other,
            joining: word(joining, &Joining::WORDS)?,
            wetness: word(wetness, &Wetness::WORDS)?,
            low: low.parse().ok()?,
            high: high.parse().ok()?,
            source,
        })
    }
}

fn word<T: Copy>(text: &str, words: &[(T, &str)]) -> Option<T> {
    let mut words = words.iter();
    words.find(|(_, word)| *word == text).map(|(one, _)| *one)
}

static ROWS: LazyLock<Vec<Row>> =
    LazyLock::new(|| TABLE.lines().skip(1).filter_map(Row::of).collect());

/// Friction of two groups of materials (`steel`, `bronze`, ...), whichever is the hub; where the
/// table lacks that pair, or that surface, over all that it has of that way of joining.
pub fn friction(groups: [&str; 2], joining: Joining, wetness: Option<Wetness>) -> Friction {
    let [hub, shaft] = groups;
    let is_pair =
        |row: &&Row| (row.one, row.other) == (hub, shaft) || (row.one, row.other) == (shaft, hub);
    let is_wet = |row: &&Row| wetness.is_none_or(|wetness| row.wetness == wetness);
    let joined = || ROWS.iter().filter(|row| row.joining == joining);
    let exact: Vec<&Row> = joined().filter(is_pair).filter(is_wet).collect();
    let pair: Vec<&Row> = joined().filter(is_pair).collect();
    let over = |rows: &[&Row], source: String| Friction {
        low: rows.iter().fold(f64::INFINITY, |low, row| low.min(row.low)),
        high: rows.iter().fold(0.0, |high, row| row.high.max(high)),
        source,
    };
    let told = |rows: &[&Row]| {
        let mut told: Vec<&str> = rows.iter().map(|row| row.source).collect();
        told.dedup();
        told.join("; ")
    };
    let way = match joining {
        Joining::Pressed => "pressed",
        Joining::Shrunk => "shrunk",
    };
    if !exact.is_empty() {
        let source = format!("{hub} and {shaft}, {way}: {}", told(&exact));
        return over(&exact, source);
    }
    if !pair.is_empty() {
        let source = format!("{hub} and {shaft}, {way}, any surface: {}", told(&pair));
        return over(&pair, source);
    }
    let all: Vec<&Row> = joined().collect();
    over(
        &all,
        format!("no row for {hub} and {shaft}: over all pairs that are {way}"),
    )
}

#[cfg(test)]
mod tests {
    use super::{ROWS, TABLE};

    #[test]
    fn every_row_of_the_table_is_read_and_a_range() {
        assert_eq!(ROWS.len() + 1, TABLE.lines().count());
        let mut rows = ROWS.iter();
        assert!(rows.all(|row| 0.0 < row.low && row.low <= row.high && row.high < 1.0));
    }
}

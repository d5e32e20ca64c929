//! What every chart of a characteristic says beside its numbers: its name, unit and language.

use super::chart::Axis;
use super::chart::Scale;
use super::chart_axis::{Reach, number_text};
use super::chart_words::ChartWords;
use super::options::DecimalMark;

/// What the horizontal axis counts.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Counted {
    /// Parts, by their number in the session.
    Parts,
    /// Values of a list.
    Values,
    /// Subgroups of a list.
    Subgroups,
}

/// What is charted.
#[derive(Debug, Clone, Copy)]
pub struct Subject<'a> {
    /// Its name: `A 20 k6 bearing seat, left`.
    pub title: &'a str,
    /// The unit of its values; empty where they have none.
    pub unit: &'a str,
    /// Decimals of its values as read.
    pub decimals: usize,
    /// The mark in numbers.
    pub decimal_mark: DecimalMark,
    /// What is counted along the chart.
    pub counted: Counted,
    /// The texts.
    pub words: &'static ChartWords,
}

impl Subject<'_> {
    /// A value as it was read.
    pub(super) fn read(&self, value: f64) -> String {
        number_text(value, self.decimals, self.decimal_mark)
    }

    /// A computed value: one decimal more.
    pub(super) fn computed(&self, value: f64) -> String {
        number_text(value, self.decimals + 1, self.decimal_mark)
    }

    /// A number with so many decimals.
    pub(super) fn number(&self, value: f64, decimals: usize) -> String {
        number_text(value, decimals, self.decimal_mark)
    }

    /// The last decimal of the values.
    pub(super) fn step(&self) -> f64 {
        10_f64.powi(-i32::try_from(self.decimals).unwrap_or(0))
    }

    /// `name: kind`.
    pub(super) fn titled(&self, kind: &str) -> String {
        match self.title {
            "" => kind.to_owned(),
            title => format!("{title}: {kind}"),
        }
    }

    /// An axis of values in the subject's unit.
    pub(super) fn value_axis(&self, name: &str, reach: Reach) -> Axis {
        let (from, to) = reach.ends(self.step());
        Axis {
            title: match self.unit {
                "" => name.to_owned(),
                unit => format!("{name}, {unit}"),
            },
            from,
            to,
            scale: Scale::Numbers,
        }
    }

    /// The axis of parts, values or subgroups.
    pub(super) fn counting_axis(&self, reach: Reach) -> Axis {
        let (from, to) = reach.whole_ends();
        let title = match self.counted {
            Counted::Parts => self.words.part,
            Counted::Values => self.words.value_number,
            Counted::Subgroups => self.words.subgroup,
        };
        Axis {
            title: title.to_owned(),
            from,
            to,
            scale: Scale::Whole,
        }
    }
}

/// A sentence with its gaps filled: `{name}` becomes the text of that name.
pub(super) fn filled(sentence: &str, texts: &[(&str, &str)]) -> String {
    let mut done = String::with_capacity(sentence.len() + 32);
    let mut rest = sentence;
    while let Some((before, after)) = rest.split_once('{') {
        done.push_str(before);
        let Some((name, behind)) = after.split_once('}') else {
            done.push('{');
            rest = after;
            continue;
        };
        let text = texts.iter().find(|(known, _)| *known == name);
        done.push_str(text.map_or("", |(_, text)| text));
        rest = behind;
    }
    done.push_str(rest);
    done
}

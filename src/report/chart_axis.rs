//! Where the numbers of an axis stand, how they are written, and how far an axis reaches.

use super::options::DecimalMark;

/// More decimals than a reading has.
const DECIMALS_MAX: i32 = 12;
/// From here on a number is written with its power of ten.
const LARGE: f64 = 1e9;
/// The share of its width that an axis reaches beyond what it shows.
const BEYOND: f64 = 0.06;

/// Numbers along an axis.
#[derive(Debug, Clone, PartialEq)]
pub(super) struct Ticks {
    /// Where they stand.
    pub(super) at: Vec<f64>,
    /// How many decimals they need.
    decimals: usize,
    /// How many digits they need where they are written with a power of ten.
    digits: Option<usize>,
}

impl Ticks {
    /// Round numbers from end to end, not more than so many.
    pub(super) fn between(from: f64, to: f64, at_most: usize, is_whole: bool) -> Self {
        let most = at_most.clamp(2, 40) as f64;
        let step = rounded_step((to - from) / most, is_whole);
        let step = match step {
            Some(step) if from + step > from => step,
            _ => return Self::written(vec![from], to - from, from.abs().max(to.abs())),
        };
        let first = (from / step - 1e-9).ceil();
        let at = (0..=41_u32).map(|number| (first + f64::from(number)) * step);
        let end = to + 1e-9 * step;
        let at = at.take_while(|place| *place <= end).collect();
        Self::written(at, step, from.abs().max(to.abs()))
    }

    fn written(at: Vec<f64>, step: f64, largest: f64) -> Self {
        let place = if step > 0.0 { step.log10() } else { 0.0 };
        // Between -400 and 400 for every float.
        #[allow(clippy::cast_possible_truncation)]
        let power = (place + 1e-9).floor() as i32;
        let decimals = usize::try_from(-power).unwrap_or(0);
        let is_plain = largest < LARGE && -power <= DECIMALS_MAX;
        #[allow(clippy::cast_possible_truncation)]
        let over = (largest.max(f64::MIN_POSITIVE).log10().floor() as i32 - power).clamp(0, 15);
        Self {
            at,
            decimals,
            digits: (!is_plain).then(|| usize::try_from(over).unwrap_or(0)),
        }
    }

    /// The number at a place, as it is written.
    pub(super) fn text(&self, value: f64, mark: DecimalMark) -> String {
        match self.digits {
            Some(digits) => marked(format!("{value:.digits$e}"), mark),
            None => number_text(value, self.decimals, mark),
        }
    }
}

/// The next round step: 1, 2 or 5 and zeros; none where there is no width.
fn rounded_step(raw: f64, is_whole: bool) -> Option<f64> {
    if !raw.is_finite() || raw < f64::MIN_POSITIVE {
        return None;
    }
    let power = 10_f64.powf(raw.log10().floor());
    let steps = [1.0, 2.0, 5.0, 10.0].map(|factor| factor * power);
    let enough = raw * (1.0 - 1e-9);
    let step = steps.into_iter().find(|step| *step >= enough)?;
    let step = if is_whole { step.max(1.0) } else { step };
    (step.is_finite() && step > 0.0).then_some(step)
}

/// A number with so many decimals, and no minus before zeros.
pub fn fixed(value: f64, decimals: usize) -> String {
    let text = format!("{value:.decimals$}");
    let is_zero = text.bytes().all(|byte| matches!(byte, b'-' | b'0' | b'.'));
    match is_zero {
        true => text.trim_start_matches('-').to_owned(),
        false => text,
    }
}

/// A number with so many decimals, or with a power of ten where that would hide it.
pub fn number_text(value: f64, decimals: usize, mark: DecimalMark) -> String {
    let decimals = decimals.min(17);
    let unseen = 0.5 * 10_f64.powi(-i32::try_from(decimals).unwrap_or(0));
    let size = value.abs();
    if size >= LARGE || (size > 0.0 && size < unseen) {
        return marked(format!("{value:.4e}"), mark);
    }
    marked(fixed(value, decimals), mark)
}

fn marked(text: String, mark: DecimalMark) -> String {
    match mark {
        DecimalMark::Point => text,
        DecimalMark::Comma => text.replace('.', ","),
    }
}

/// The least and the largest of what an axis must show; values that are no numbers are passed
/// over.
#[derive(Debug, Clone, Copy)]
pub(super) struct Reach {
    least: f64,
    largest: f64,
}

impl Reach {
    pub(super) fn none() -> Self {
        Self {
            least: f64::INFINITY,
            largest: f64::NEG_INFINITY,
        }
    }

    /// With these values too.
    pub(super) fn with(mut self, values: impl IntoIterator<Item = f64>) -> Self {
        for value in values.into_iter().filter(|value| value.is_finite()) {
            self.least = self.least.min(value);
            self.largest = self.largest.max(value);
        }
        self
    }

    /// The ends with a little room. Values at one place get two steps of the readings each way.
    pub(super) fn ends(self, step: f64) -> (f64, f64) {
        if self.least > self.largest {
            return (0.0, 1.0);
        }
        let size = self.least.abs().max(self.largest.abs());
        let width = self.largest - self.least;
        // Below this a float has no places between.
        let room = if width > 1e-12 * size {
            BEYOND * width
        } else {
            (2.0 * step).max(1e-9 * size)
        };
        (self.least - room, self.largest + room)
    }

    /// The ends in whole numbers, half a step beyond.
    pub(super) fn whole_ends(self) -> (f64, f64) {
        if self.least > self.largest {
            return (0.5, 1.5);
        }
        let room = (0.01 * (self.largest - self.least)).max(0.5);
        // Counting begins at 1.
        let first = if self.least >= 1.0 {
            0.5
        } else {
            self.least - room
        };
        (first.max(self.least - room), self.largest + room)
    }
}

#[cfg(test)]
mod tests {
    use super::{Reach, Ticks, number_text};
    use crate::report::DecimalMark;

    fn written(from: f64, to: f64, at_most: usize, is_whole: bool) -> Vec<String> {
        let ticks = Ticks::between(from, to, at_most, is_whole);
        let texts = ticks.at.iter();
        texts
            .map(|at| ticks.text(*at, DecimalMark::Point))
            .collect()
    }

    #[test]
    fn numbers_along_an_axis_are_round_and_carry_their_decimals() {
        assert_eq!(
            written(19.989, 20.021, 7, false),
            [
                "19.990", "19.995", "20.000", "20.005", "20.010", "20.015", "20.020"
            ]
        );
        assert_eq!(written(0.5, 4.4, 9, true), ["1", "2", "3", "4"]);
        assert_eq!(
            written(-0.3, 0.25, 6, false),
            ["-0.3", "-0.2", "-0.1", "0.0", "0.1", "0.2"]
        );
        assert_eq!(
            written(1e12, 1.2e12, 2, false),
            ["1.0e12", "1.1e12", "1.2e12"]
        );
    }

    #[test]
    fn an_axis_without_width_or_beyond_the_digits_of_floats_ends() {
        assert_eq!(written(20.0, 20.0, 8, false).len(), 1);
        assert_eq!(written(1e17, 1e17 + 16.0, 8, false).len(), 1);
        assert_eq!(written(-1e140, 1e140, 5, false).len(), 5);
        assert_eq!(written(f64::NAN, 1.0, 5, false).len(), 1);
    }

    #[test]
    fn a_reach_is_never_empty() {
        assert_eq!(Reach::none().ends(0.001), (0.0, 1.0));
        assert_eq!(Reach::none().with([0.0, 0.0]).ends(0.5), (-1.0, 1.0));
        let (from, to) = Reach::none().with([1e20, 1e20]).ends(0.001);
        assert!(from < 1e20 && 1e20 < to);
        let (from, to) = Reach::none().with([20.0, 20.0, f64::NAN]).ends(0.001);
        assert!(from < 20.0 && 20.0 < to);
        assert_eq!(Reach::none().with([1.0]).whole_ends(), (0.5, 1.5));
        let (from, to) = Reach::none().with([1.0, 1001.0]).whole_ends();
        assert_eq!((from, to), (0.5, 1011.0));
        assert_eq!(Reach::none().with([90.0, 92.0]).whole_ends(), (89.5, 92.5));
    }

    #[test]
    fn a_number_is_never_hidden_by_its_decimals() {
        assert_eq!(number_text(20.0125, 3, DecimalMark::Comma), "20,012");
        assert_eq!(number_text(-0.0, 2, DecimalMark::Point), "0.00");
        assert_eq!(number_text(1e-7, 3, DecimalMark::Point), "1.0000e-7");
        assert_eq!(number_text(2e11, 1, DecimalMark::Comma), "2,0000e11");
    }
}

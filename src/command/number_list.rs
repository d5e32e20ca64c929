//! A list of plain numbers, one a line. Every line is a number or is told; no line is passed over.

use std::io::BufRead;

use super::lines::{BadLine, ItemLines};
use super::problem::Problem;
use super::screen::counted;

/// More values than that are refused (chosen: no bench makes so many; they need 80 MB).
const VALUES_MAX: usize = 10_000_000;
/// Bad lines that are told one by one.
const TOLD_MAX: usize = 20;
/// The largest size that is computed with.
const SIZE_MAX: f64 = 1e140;
/// Decimals of a value that are shown.
const DECIMALS_MAX: i64 = 12;
/// Characters of a bad line that are shown.
const SHOWN_MAX: usize = 60;

/// The values in their order.
#[derive(Debug, Clone, PartialEq, Default)]
pub(super) struct NumberList {
    pub(super) values: Vec<f64>,
    /// The most decimals of any value as it was written.
    pub(super) decimals: usize,
}

impl NumberList {
    /// Distance of two neighbouring numbers with so many decimals.
    pub(super) fn step(&self) -> f64 {
        step_of(self.decimals)
    }
}

pub(super) fn step_of(decimals: usize) -> f64 {
    10_f64.powi(-i32::try_from(decimals).unwrap_or(0))
}

/// Reads the list; blank lines at its end are no values, one between values is told.
///
/// # Errors
/// Each bad line, the first twenty; or that there are too many values, or none.
pub(super) fn number_list(reader: impl BufRead) -> Result<NumberList, Vec<BadLine>> {
    let mut list = NumberList::default();
    let mut bad = Vec::new();
    let mut blanks: Vec<usize> = Vec::new();
    let mut untold = 0_usize;
    for (at, line) in ItemLines::new(reader).enumerate() {
        let number = at + 1;
        let problem = match line {
            Ok(text) if text.trim().is_empty() => {
                blanks.push(number);
                continue;
            }
            Ok(text) => match plain_number(&text) {
                Ok(found) => {
                    list.values.push(found.value);
                    list.decimals = list.decimals.max(found.decimals);
                    None
                }
                Err(problem) => Some((shortened(&text), problem)),
            },
            Err(line) => Some((line.input, line.problem)),
        };
        let between = blanks.drain(..).map(|line| (line, String::new(), blank()));
        let here = problem.map(|(input, problem)| (number, input, problem));
        for (line, input, problem) in between.chain(here) {
            match bad.len() < TOLD_MAX {
                true => bad.push(placed(line, input, problem)),
                false => untold += 1,
            }
        }
        if list.values.len() > VALUES_MAX {
            let message = format!("There are more than {VALUES_MAX} values.");
            let hint = Some("Give fewer, a batch at a time.");
            return Err(vec![whole(Problem::bad("too_many", message, hint))]);
        }
    }
    if untold > 0 {
        let told = counted(
            untold,
            "more line is no number",
            "more lines are no numbers",
        );
        let message = format!("{told}.");
        bad.push(whole(Problem::bad("not_a_number", message, None)));
    }
    if bad.is_empty() && list.values.is_empty() {
        let hint = Some("Give one number a line on standard input.");
        let message = "There is no value.".to_owned();
        bad.push(whole(Problem::bad("too_few", message, hint)));
    }
    if bad.is_empty() { Ok(list) } else { Err(bad) }
}

fn blank() -> Problem {
    Problem::bad(
        "blank_line",
        "It is blank, but values follow.".to_owned(),
        Some("Take the line out, or write the missing value."),
    )
}

fn whole(problem: Problem) -> BadLine {
    BadLine {
        input: String::new(),
        problem,
    }
}

fn placed(line: usize, input: String, problem: Problem) -> BadLine {
    let message = format!("Line {line}: {}", problem.message);
    BadLine {
        input,
        problem: Problem { message, ..problem },
    }
}

fn shortened(text: &str) -> String {
    text.chars().take(SHOWN_MAX).collect()
}

/// A number and how many decimals were written.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Plain {
    pub(super) value: f64,
    pub(super) decimals: usize,
}

/// A number as people and programs write it: sign, digits, a point or a comma, a power of ten.
///
/// # Errors
/// `not_a_number`, `not_finite`, `out_of_range`.
pub(super) fn plain_number(text: &str) -> Result<Plain, Problem> {
    let trimmed = text.trim();
    let unsigned = trimmed.strip_prefix(['\u{2212}', '\u{2013}']);
    let ascii = match unsigned {
        Some(rest) => format!("-{rest}"),
        None => trimmed.to_owned(),
    };
    let marks = ascii.matches([',', '.']).count();
    let written = ascii.replace(',', ".");
    let is_plain = |c: char| c.is_ascii_digit() || matches!(c, '+' | '-' | '.' | 'e' | 'E');
    let has_digit = written.contains(|c: char| c.is_ascii_digit());
    let shown = shortened(trimmed).escape_debug().to_string();
    if marks > 1 || !has_digit || !written.chars().all(is_plain) {
        return Err(no_number(&shown));
    }
    let value: f64 = written.parse().map_err(|_| no_number(&shown))?;
    if !value.is_finite() || value.abs() > SIZE_MAX {
        let message = format!("“{shown}” is too large: sizes up to 1e140 are computed with.");
        return Err(Problem::bad("out_of_range", message, None));
    }
    Ok(Plain {
        value,
        decimals: decimals(&written),
    })
}

fn no_number(shown: &str) -> Problem {
    let word = shown.trim_start_matches(['+', '-']).to_ascii_lowercase();
    if ["nan", "inf", "infinity"].contains(&word.as_str()) {
        let message = format!("“{shown}” is no finite number.");
        let hint = Some("Take that line out, or read the value again.");
        return Problem::bad("not_finite", message, hint);
    }
    let message = format!("“{shown}” is not a number.");
    let hint = Some("Write digits with one point or comma, such as 20.012; no unit.");
    Problem::bad("not_a_number", message, hint)
}

/// Digits after the mark, moved by the power of ten.
fn decimals(written: &str) -> usize {
    let (digits, power) = match written.split_once(['e', 'E']) {
        Some((digits, power)) => (digits, power.parse().unwrap_or(0)),
        None => (written, 0_i64),
    };
    let after = digits.split_once('.').map_or(0, |(_, after)| after.len());
    let decimals = i64::try_from(after).unwrap_or(0).saturating_sub(power);
    usize::try_from(decimals.clamp(0, DECIMALS_MAX)).unwrap_or(0)
}

#[cfg(test)]
mod tests {
    use super::{number_list, plain_number};

    #[test]
    fn a_number_is_read_with_its_decimals_or_refused_by_name() {
        let good = [
            ("20.012", 20.012, 3),
            (" -7 ", -7.0, 0),
            ("\u{2212}0,5", -0.5, 1),
            ("+1.50e-3", 0.0015, 5),
            ("1e300000000", 0.0, 0),
            ("25e2", 2500.0, 0),
            ("1e-400", 0.0, 12),
        ];
        for (text, value, decimals) in good {
            match plain_number(text) {
                Ok(found) => assert_eq!((found.value, found.decimals), (value, decimals), "{text}"),
                Err(problem) => assert_eq!((text, problem.code), ("1e300000000", "out_of_range")),
            }
        }
        let bad = [
            ("abc", "not_a_number"),
            ("1,234.5", "not_a_number"),
            ("20.0 mm", "not_a_number"),
            ("0x10", "not_a_number"),
            (".", "not_a_number"),
            ("1e", "not_a_number"),
            ("NaN", "not_finite"),
            ("-Infinity", "not_finite"),
            ("1e141", "out_of_range"),
        ];
        for (text, code) in bad {
            assert_eq!(plain_number(text).unwrap_err().code, code, "{text}");
        }
    }

    #[test]
    fn every_bad_line_is_told_with_its_place_and_a_list_of_rubbish_ends() {
        let told = |text: &str| -> Vec<String> {
            let bad = number_list(text.as_bytes()).unwrap_err();
            bad.into_iter().map(|line| line.problem.message).collect()
        };
        assert_eq!(told("1\n\nx\n2\n").len(), 2);
        assert!(told("1\n\n2\n")[0].starts_with("Line 2: "));
        assert_eq!(told(""), ["There is no value."]);
        let rubbish = told(&"x\n".repeat(5000));
        assert_eq!(
            (rubbish.len(), &*rubbish[20]),
            (21, "4980 more lines are no numbers.")
        );
        let list = number_list("1.5\r\n2.25\n\n\n".as_bytes()).unwrap();
        assert_eq!((list.values, list.decimals), (vec![1.5, 2.25], 2));
    }
}

//! Existing classes near a mistyped one.

use super::class::{Grade, LETTER_COUNT, Letter, SHAFT_LETTERS};
use super::tables::Tables;

/// How many suggestions are given at most.
const SUGGESTIONS_MAX: usize = 2;
/// How many characters of a mistyped name are compared.
const COMPARED_MAX: usize = 8;

/// Classes whose letters are nearest to `found`, with the same digits.
pub(super) fn nearest_letters(found: &str, digits: &str, tables: &Tables) -> Vec<String> {
    let digits = match Grade::parse(digits) {
        Some(grade) => grade.digits(),
        None => "7",
    };
    let first = found.chars().next().unwrap_or('h');
    let hole = first.is_ascii_uppercase();
    let lower = found.to_ascii_lowercase();
    if found != lower
        && found != found.to_ascii_uppercase()
        && SHAFT_LETTERS.contains(&lower.as_str())
    {
        let capital = lower.to_ascii_uppercase();
        return vec![format!("{capital}{digits}"), format!("{lower}{digits}")];
    }
    let standard = (0..2 * LETTER_COUNT).filter_map(Letter::at);
    let house = tables.house_letters().iter().copied();
    let mut names: Vec<String> = standard
        .chain(house)
        .map(|letter| letter.text().to_owned())
        .filter(|name| name.starts_with(|c: char| c.is_ascii_uppercase()) == hole)
        .collect();
    names.sort_by_key(|name| {
        let start = name.chars().next().unwrap_or('h');
        (
            distance(&name.to_ascii_lowercase(), &lower),
            (start.to_ascii_lowercase() as u32).abs_diff(first.to_ascii_lowercase() as u32),
        )
    });
    names.truncate(SUGGESTIONS_MAX);
    names.sort();
    names.iter().map(|name| format!("{name}{digits}")).collect()
}

/// The class of the grade that was probably meant.
pub(super) fn nearest_grades(letters: &str, digits: &str) -> Vec<String> {
    const BARELY_TOO_LARGE: u32 = 25;
    let trimmed = digits.trim_start_matches('0');
    let grade = match trimmed.parse::<u32>() {
        Ok(number @ 1..=18) => number.to_string(),
        Ok(19..=BARELY_TOO_LARGE) => "18".to_owned(),
        _ => trimmed.chars().take(1).collect(),
    };
    let mut nearest = Vec::new();
    if Grade::parse(&grade).is_some() {
        nearest.push(format!("{letters}{grade}"));
    }
    if letters.eq_ignore_ascii_case("x") {
        nearest.push(format!("x{digits}°"));
    }
    nearest
}

/// The least number of letters to add, drop or change.
fn distance(one: &str, other: &str) -> usize {
    let one: Vec<char> = one.chars().take(COMPARED_MAX).collect();
    let mut row: Vec<usize> = (0..=one.len()).collect();
    for (at, c) in other.chars().take(COMPARED_MAX).enumerate() {
        let mut next = vec![at + 1];
        for (step, known) in one.iter().enumerate() {
            let (Some(diagonal), Some(above), Some(left)) =
                (row.get(step), row.get(step + 1), next.last())
            else {
                break; // both rows have one more entry than `one`
            };
            let change = diagonal + usize::from(*known != c);
            next.push(change.min(above + 1).min(left + 1));
        }
        row = next;
    }
    row.last().copied().unwrap_or(0)
}

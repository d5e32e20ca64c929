//! A material by its designation, number or plain word.

use std::fmt;

use super::table::{Material, Materials};

/// Why there is no such material.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum MaterialError {
    /// No designation, number or word of the table is this.
    Unknown {
        /// What was asked for.
        name: String,
        /// The nearest name of the table, if one is near.
        nearest: Option<String>,
    },
}

/// The material of that name in the program's own table; see [`Materials::find`].
///
/// # Errors
/// As there.
pub fn material(name: &str) -> Result<&'static Material, MaterialError> {
    Materials::standard().find(name)
}

impl Materials {
    /// The material of a designation, number, other name or plain word (`steel`, `stainless`,
    /// `aluminium`, `brass`, ...). Upper and lower case, blanks, dots, hyphens and `+` do not
    /// matter; where several rows share a number, the first one is taken.
    ///
    /// # Errors
    /// `Unknown`, with the nearest name.
    pub fn find(&self, name: &str) -> Result<&Material, MaterialError> {
        let wanted = folded(name);
        let is_wanted = |known: &str| !wanted.is_empty() && folded(known) == wanted;
        let mut rows = self.rows().iter();
        rows.find(|row| names(row).any(is_wanted))
            .ok_or_else(|| MaterialError::Unknown {
                name: name.to_owned(),
                nearest: self.nearest(&wanted),
            })
    }

    /// The name with the fewest changed letters, when those are at most a third of it.
    fn nearest(&self, wanted: &str) -> Option<String> {
        let letters: Vec<char> = wanted.chars().take(40).collect();
        self.rows()
            .iter()
            .flat_map(names)
            .map(|name| (changed_letters(&letters, &folded(name)), name))
            .filter(|(changes, name)| changes * 3 <= folded(name).chars().count())
            .min_by_key(|(changes, _)| *changes)
            .map(|(_, name)| name.to_owned())
    }
}

/// What a row answers to.
pub(super) fn names(row: &Material) -> impl Iterator<Item = &str> {
    [&*row.designation, &*row.number]
        .into_iter()
        .chain(row.aliases.split(';'))
        .filter(|name| !name.is_empty() && *name != "-")
}

pub(super) fn folded(name: &str) -> String {
    name.chars()
        .filter(|c| c.is_alphanumeric())
        .flat_map(char::to_lowercase)
        .collect()
}

/// Fewest insertions, removals and replacements from one word to the other (Levenshtein).
fn changed_letters(from: &[char], to: &str) -> usize {
    let mut row: Vec<usize> = (0..=from.len()).collect();
    for (above, letter) in to.chars().enumerate() {
        let mut diagonal = above;
        let mut left = above + 1;
        let mut next = vec![left];
        for (known, up) in from.iter().zip(row.iter().skip(1)) {
            let changed = diagonal + usize::from(*known != letter);
            left = changed.min(left + 1).min(up + 1);
            diagonal = *up;
            next.push(left);
        }
        row = next;
    }
    row.last().copied().unwrap_or(0)
}

impl MaterialError {
    /// The error's word in JSON.
    pub fn code(&self) -> &'static str {
        match self {
            Self::Unknown { .. } => "unknown_material",
        }
    }

    /// What to do next.
    pub fn hint(&self) -> Option<&'static str> {
        match self {
            Self::Unknown { .. } => Some(
                "Give a designation, a material number, or a plain word such as steel or brass.",
            ),
        }
    }
}

impl fmt::Display for MaterialError {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        let Self::Unknown { name, nearest } = self;
        let shown: String = name.chars().take(40).flat_map(char::escape_debug).collect();
        match nearest {
            Some(nearest) => {
                write!(
                    f,
                    "There is no material “{shown}”; did you mean “{nearest}”?"
                )
            }
            None => write!(f, "There is no material “{shown}” in the table."),
        }
    }
}

impl std::error::Error for MaterialError {}

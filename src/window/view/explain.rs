//! What a thing on the screen is: for every name that a painted place can have, its term, a
//! sentence or two, and where the term comes from.

mod bench;
mod keys;
mod pairs;
mod plan;
mod rooms;

use std::borrow::Cow;

use super::clean;
use bench::BENCH;
pub use keys::deed;
use keys::key_explained;
use pairs::PAIRS;
use plan::PLAN;
use rooms::ROOMS;

/// What is said of the place somebody asks about.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExplainView {
    /// The term: `expanded uncertainty`.
    pub term: String,
    /// What stands there now.
    pub says: String,
    /// What it means.
    pub text: String,
    /// Where the term comes from: `ISO 286-1`, `a term of the trade`, `this program's own word`.
    pub origin: String,
}

/// Where a term comes from.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Origin {
    /// A standard, named.
    Standard(&'static str),
    /// Used in workshops and handbooks.
    Trade,
    /// This program's own word.
    Own,
}

/// Where a name is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum In {
    /// In every room.
    Any,
    /// In the room of this function key; 0 is the Start room.
    Room(u8),
}

/// A name that a painted place can have, and what it is.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Explained {
    /// Where it is met.
    pub place: In,
    /// The name, each number in it as `#`.
    pub id: &'static str,
    /// What the place says begins with this; empty: whatever it says.
    pub says: &'static str,
    /// The term.
    pub term: &'static str,
    /// What it means.
    pub text: &'static str,
    /// Where the term comes from.
    pub origin: Origin,
}

const fn any(
    id: &'static str,
    term: &'static str,
    text: &'static str,
    origin: Origin,
) -> Explained {
    row(In::Any, (id, ""), term, text, origin)
}

const fn said(
    id: &'static str,
    says: &'static str,
    term: &'static str,
    text: &'static str,
    origin: Origin,
) -> Explained {
    row(In::Any, (id, says), term, text, origin)
}

const fn at(
    room: u8,
    id: &'static str,
    term: &'static str,
    text: &'static str,
    origin: Origin,
) -> Explained {
    row(In::Room(room), (id, ""), term, text, origin)
}

const fn row(
    place: In,
    (id, says): (&'static str, &'static str),
    term: &'static str,
    text: &'static str,
    origin: Origin,
) -> Explained {
    Explained {
        place,
        id,
        says,
        term,
        text,
        origin,
    }
}

impl Origin {
    fn told(self) -> String {
        match self {
            Self::Standard(name) => format!("term of {name}"),
            Self::Trade => "a term of the trade".to_owned(),
            Self::Own => "this program's own word".to_owned(),
        }
    }
}

/// All that is explained, but for the keys.
pub fn explained() -> impl Iterator<Item = &'static Explained> {
    BENCH.iter().chain(PLAN).chain(PAIRS).chain(ROOMS)
}

/// What the place is that has this name and says this, in the room of that function key; none: it
/// has no explanation of its own.
pub fn explain(room: u8, id: &str, says: &str) -> Option<ExplainView> {
    if let Some(key) = id.strip_prefix("key ") {
        return Some(key_explained(key, says));
    }
    let pattern = numbers_open(id);
    let fits = |one: &&Explained| one.id == pattern && says.starts_with(one.says);
    // What is said most narrowly counts: of this room, and of what stands there.
    let away = |one: &Explained| match one.place {
        In::Room(of) if of == room => 0_u8,
        In::Any => 1,
        In::Room(_) => 2,
    };
    let wide = |one: &Explained| usize::MAX - one.says.len();
    let fitting = explained().filter(fits);
    let found = fitting.min_by_key(|one| (away(one), wide(one)))?;
    Some(ExplainView {
        term: found.term.to_owned(),
        says: clean(says),
        text: found.text.to_owned(),
        origin: found.origin.told(),
    })
}

/// `row 12` as `row #`.
fn numbers_open(id: &str) -> Cow<'_, str> {
    if !id.contains(|letter: char| letter.is_ascii_digit()) {
        return Cow::Borrowed(id);
    }
    let mut open = String::new();
    for letter in id.chars() {
        match letter.is_ascii_digit() {
            true if open.ends_with('#') => {}
            true => open.push('#'),
            false => open.push(letter),
        }
    }
    Cow::Owned(open)
}

//! Finding sessions while typing: every word must be found somewhere in the session's line; a
//! word behind a field's name (`serial:17`) only there. Case makes no difference.

use super::records_facts::SessionRow;

/// Most characters of what is looked for (chosen: more than any line is wide).
pub const FIND_MAX: usize = 100;

/// What is looked for.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Query {
    /// Words, with blanks between them.
    pub text: String,
    /// Which sessions at all.
    pub filter: Filter,
}

/// Which sessions are listed at all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default)]
pub enum Filter {
    /// All of them.
    #[default]
    All,
    /// Those that were not closed.
    NotClosed,
    /// Those with a part that was measured and is not simply good.
    NotGood,
    /// Those with something in doubt.
    InDoubt,
    /// Those whose record is damaged or has a torn end.
    Damaged,
}

impl Filter {
    /// Each with its name.
    pub const ALL: [(Self, &'static str); 5] = [
        (Self::All, "all sessions"),
        (Self::NotClosed, "not closed"),
        (Self::NotGood, "with NO-GO, DOUBT or a decision"),
        (Self::InDoubt, "in doubt"),
        (Self::Damaged, "damaged records"),
    ];

    /// Its name.
    pub fn name(self) -> &'static str {
        let found = Self::ALL.iter().find(|(filter, _)| *filter == self);
        found.map_or("", |(_, name)| name)
    }

    /// The one so many steps further, from the last again to the first.
    pub fn turned(self, step: isize) -> Self {
        let at = Self::ALL.iter().position(|(filter, _)| *filter == self);
        let count = Self::ALL.len();
        let to = at
            .unwrap_or(0)
            .wrapping_add_signed(step)
            .wrapping_add(count)
            % count;
        Self::ALL.get(to).map_or(Self::All, |(filter, _)| *filter)
    }

    fn takes(self, row: &SessionRow) -> bool {
        let stands = |word: &str| row.standings.iter().any(|(one, _)| one == word);
        match self {
            Self::All => true,
            Self::NotClosed => row.state != "sound",
            Self::NotGood => row
                .standings
                .iter()
                .any(|(word, _)| !matches!(word.as_str(), "GO" | "released" | "NOTED" | "open")),
            Self::InDoubt => ["DOUBT", "in doubt", "released in doubt"]
                .into_iter()
                .any(stands),
            Self::Damaged => row.is_damaged() || row.state == "torn_tail",
        }
    }
}

/// A word that is looked for.
struct Word {
    field: Option<&'static str>,
    text: String,
}

/// The fields that may be named.
const FIELDS: [&str; 9] = [
    "part", "drawing", "serial", "customer", "order", "date", "verdict", "gauge", "state",
];

/// The places of the sessions that are looked for, in the order of `rows`.
pub fn find(rows: &[SessionRow], query: &Query) -> Vec<usize> {
    let words: Vec<Word> = query.text.split_whitespace().map(word_of).collect();
    let rows = rows.iter().enumerate();
    let found = rows
        .filter(|(_, row)| query.filter.takes(row) && words.iter().all(|word| is_in(row, word)));
    found.map(|(at, _)| at).collect()
}

fn word_of(text: &str) -> Word {
    let lower = text.to_lowercase();
    if let Some((name, rest)) = lower.split_once(':')
        && let Some(field) = FIELDS.iter().find(|field| **field == name)
    {
        return Word {
            field: Some(field),
            text: rest.to_owned(),
        };
    }
    Word {
        field: None,
        text: lower,
    }
}

fn is_in(row: &SessionRow, word: &Word) -> bool {
    let asked = |field: &str| word.field.is_none_or(|only| only == field);
    let has = |text: &str| text.to_lowercase().contains(&word.text);
    let plain: [(&str, &str); 5] = [
        ("part", &row.part),
        ("drawing", &row.drawing),
        ("customer", &row.customer),
        ("order", &row.order),
        ("date", &row.opened),
    ];
    // `go` is not NO-GO: of how parts stand the beginning is looked for.
    let begins = |text: &str| text.to_lowercase().starts_with(&word.text);
    let mut standings = row.standings.iter();
    plain.iter().any(|(field, text)| asked(field) && has(text))
        || (asked("serial") && row.serials.iter().any(|one| has(one)))
        || (asked("gauge") && row.gauges.iter().any(|one| has(one)))
        || (asked("verdict") && standings.any(|(one, _)| begins(one)))
        || (asked("state") && begins(&row.state.replace('_', "-")))
}

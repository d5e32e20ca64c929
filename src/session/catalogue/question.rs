//! What is looked for among the sessions. Every word may be written in capitals or small letters.

use regex::{Regex, RegexBuilder};

use super::entry::{
    Entry, EntryPart, IN_DOUBT, JOURNAL_STATES, JournalState, PART_STATES, STANDINGS,
};
use crate::gauge::Date;
use crate::journal::Job;
use crate::session::standing::Standing;
use crate::session::view::PartState;

/// What a session has to be to be found; what is empty asks nothing.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Question {
    /// Words, each of which occurs in some name: journal, plan, part, drawing, revision, serial
    /// number, customer, order, lot, machine, stage, operator, gauge.
    pub text: String,
    /// Occurs in the part's name or the callouts.
    pub part: String,
    /// Occurs in the drawing's number.
    pub drawing: String,
    /// Occurs in a part's serial number.
    pub serial: String,
    /// Occurs in the customer's name, also one that was replaced later.
    pub customer: String,
    /// Occurs in the order, also one that was replaced later.
    pub order: String,
    /// Occurs in the name of someone who measured, decided about a part or signed.
    pub operator: String,
    /// Not over before that day of the bench.
    pub from: Option<Date>,
    /// Begun on that day of the bench or before.
    pub to: Option<Date>,
    /// A part stands so, or a characteristic of it is NO-GO or DOUBT: `GO`, `NO-GO`, `DOUBT`,
    /// `open`, `released`, `scrap`, `on hold`, `under concession`, `in doubt`, … . A part in doubt
    /// is not GO.
    pub verdict: String,
    /// That gauge was read, or what was judged rests on it: its whole id.
    pub gauge: String,
    /// The record is so: `sound`, `not_closed`, `torn_tail`, `damaged`, `unreadable`.
    pub state: String,
}

impl Question {
    /// Whether nothing is asked.
    pub fn is_empty(&self) -> bool {
        *self == Self::default()
    }

    /// The words that [`Question::verdict`] may be.
    pub fn verdict_words() -> Vec<&'static str> {
        let standings = STANDINGS.into_iter().map(Standing::word);
        standings.chain([IN_DOUBT]).collect()
    }

    /// The words that [`Question::state`] may be.
    pub fn state_words() -> Vec<&'static str> {
        let states = JOURNAL_STATES.into_iter();
        states.map(JournalState::code).collect()
    }

    /// Whether a part may stand as asked, or nothing is asked.
    pub fn knows_verdict(&self) -> bool {
        let asked = plain(&self.verdict);
        let mut known = Self::verdict_words().into_iter();
        asked.is_empty() || known.any(|word| begins(word, &asked))
    }

    /// Whether a record may be as asked, or nothing is asked.
    pub fn knows_state(&self) -> bool {
        let asked = plain(&self.state);
        let mut known = Self::state_words().into_iter();
        asked.is_empty() || known.any(|word| plain(word) == asked)
    }
}

/// A question made ready to be put to many sessions.
pub(super) struct Asked<'q> {
    question: &'q Question,
    words: Vec<Needle>,
    part: Needle,
    drawing: Needle,
    serial: Needle,
    customer: Needle,
    order: Needle,
    operator: Needle,
    verdict: String,
    /// What parts may be and how they may stand to be meant.
    states: Vec<PartState>,
    standings: Vec<Standing>,
    state: String,
}

impl<'q> Asked<'q> {
    pub(super) fn new(question: &'q Question) -> Self {
        let verdict = plain(&question.verdict);
        let is_meant = |word: &str| begins(word, &verdict);
        let states = PART_STATES.into_iter();
        let standings = STANDINGS.into_iter();
        Self {
            question,
            states: states.filter(|one| is_meant(one.word())).collect(),
            standings: standings.filter(|one| is_meant(one.word())).collect(),
            words: question.text.split_whitespace().map(Needle::new).collect(),
            part: Needle::new(question.part.trim()),
            drawing: Needle::new(question.drawing.trim()),
            serial: Needle::new(question.serial.trim()),
            customer: Needle::new(question.customer.trim()),
            order: Needle::new(question.order.trim()),
            operator: Needle::new(question.operator.trim()),
            verdict,
            state: plain(&question.state),
        }
    }

    /// Whether that session is meant.
    pub(super) fn fits(&self, entry: &Entry) -> bool {
        self.fits_days(entry)
            && self.fits_state(entry)
            && self.fits_gauge(entry)
            && (self.drawing.is_in(&entry.drawing))
            && (self.part.is_in(&entry.part)
                || self.part.is_in(entry.part_name.as_deref().unwrap_or("")))
            && self.any_job(&self.customer, entry, |job| &job.customer)
            && self.any_job(&self.order, entry, |job| &job.order)
            && (self.operator.is_in_any(&entry.operators)
                || self.operator.is_in_any(&entry.decided_by))
            && self.fits_serial(entry)
            && self.fits_verdict(entry)
            && self.words.iter().all(|word| named(word, entry))
    }

    fn fits_days(&self, entry: &Entry) -> bool {
        let (from, to) = (self.question.from, self.question.to);
        if from.is_none() && to.is_none() {
            return true;
        }
        entry.days().is_some_and(|(opened, last)| {
            from.is_none_or(|from| last.max(opened) >= from) && to.is_none_or(|to| opened <= to)
        })
    }

    fn fits_state(&self, entry: &Entry) -> bool {
        self.state.is_empty() || plain(entry.state.code()) == self.state
    }

    fn fits_gauge(&self, entry: &Entry) -> bool {
        let wanted = self.question.gauge.trim();
        let is_it = |id: &str| id.to_lowercase() == wanted.to_lowercase();
        let mut resting = entry.rests.iter().map(|rests| rests.gauge.as_str());
        wanted.is_empty()
            || entry.gauges.iter().any(|gauge| is_it(gauge.as_str()))
            || entry.checks.iter().any(|check| is_it(check.gauge.as_str()))
            || resting.any(is_it)
    }

    fn any_job(&self, needle: &Needle, entry: &Entry, of: impl Fn(&Job) -> &String) -> bool {
        needle.is_any() || entry.jobs.iter().any(|job| needle.is_in(of(job)))
    }

    fn fits_serial(&self, entry: &Entry) -> bool {
        let mut parts = entry.parts.iter();
        self.serial.is_any() || parts.any(|part| self.serial.is_in(&part.serial))
    }

    fn fits_verdict(&self, entry: &Entry) -> bool {
        let mut parts = entry.parts.iter();
        self.verdict.is_empty() || parts.any(|part| self.stands_so(entry, part))
    }

    /// The words of a part, and the beginnings of those: `released` finds `released early`.
    fn stands_so(&self, entry: &Entry, part: &EntryPart) -> bool {
        let is_in_doubt = entry.doubts(part.number);
        if is_in_doubt && (self.verdict == plain(IN_DOUBT) || self.verdict == "doubt") {
            return true;
        }
        let says = |state: PartState| {
            let denied = is_in_doubt && state == PartState::Go;
            !denied && self.states.contains(&state)
        };
        let stands = match part.standing {
            Standing::Measured(state) => says(state),
            other => self.standings.contains(&other),
        };
        stands
            || says(part.state)
            || (part.no_go > 0 && says(PartState::NoGo))
            || (part.doubt > 0 && says(PartState::Doubt))
    }
}

/// Whether a word occurs in some name of the session.
fn named(word: &Needle, entry: &Entry) -> bool {
    let own = [
        entry.part_name.as_deref().unwrap_or(""),
        &entry.part,
        &entry.drawing,
        &entry.revision,
        &entry.plan_name,
        &entry.stage,
    ];
    own.iter().any(|text| word.is_in(text))
        || entry.files.iter().any(|file| word.is_in(&file.stamp.name))
        || word.is_in_any(&entry.operators)
        || word.is_in_any(&entry.decided_by)
        || entry.jobs.iter().any(|job| {
            let said = [&job.customer, &job.order, &job.material_lot, &job.machine];
            said.iter().any(|text| word.is_in(text))
        })
        || entry.gauges.iter().any(|gauge| word.is_in(gauge.as_str()))
        || entry.parts.iter().any(|part| word.is_in(&part.serial))
}

/// Whether a word begins with the ones that are asked for.
fn begins(word: &str, asked: &str) -> bool {
    let word = plain(word);
    let rest = word.strip_prefix(asked);
    rest.is_some_and(|rest| rest.is_empty() || rest.starts_with(' '))
}

/// Small letters, and one blank where there are blanks, hyphens or underscores.
fn plain(word: &str) -> String {
    let lower = word.to_lowercase();
    let pieces = lower.split([' ', '-', '_', '\t', '(', ')']);
    let pieces: Vec<&str> = pieces.filter(|piece| !piece.is_empty()).collect();
    match pieces.join(" ") {
        joined if joined == "nogo" => "no go".to_owned(),
        joined => joined,
    }
}

/// A text that is looked for in others, whatever the case of its letters.
enum Needle {
    /// Is in everything.
    Any,
    Pattern(Regex),
    /// Too long to be made a pattern.
    Lower(String),
}

impl Needle {
    fn new(text: &str) -> Self {
        if text.is_empty() {
            return Self::Any;
        }
        let mut pattern = RegexBuilder::new(&regex::escape(text));
        match pattern.case_insensitive(true).build() {
            Ok(pattern) => Self::Pattern(pattern),
            Err(_) => Self::Lower(text.to_lowercase()),
        }
    }

    fn is_any(&self) -> bool {
        matches!(self, Self::Any)
    }

    fn is_in(&self, text: &str) -> bool {
        match self {
            Self::Any => true,
            Self::Pattern(pattern) => pattern.is_match(text),
            Self::Lower(lower) => text.to_lowercase().contains(lower),
        }
    }

    fn is_in_any(&self, texts: &[String]) -> bool {
        self.is_any() || texts.iter().any(|text| self.is_in(text))
    }
}

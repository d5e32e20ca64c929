//! What the records have come to, as the Records room is told it by whatever reads them.

use std::sync::Arc;

use super::records_find::Query;
use crate::journal::Part;
use crate::report::Sheet;

/// A session in the list.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct SessionRow {
    /// Its files, the oldest first; the first one's name is what opens it.
    pub files: Vec<String>,
    /// The same, as they are read and replayed.
    pub record: Vec<Part>,
    /// The newest one lies where recording goes on when the workspace's own folder fails.
    pub is_elsewhere: bool,
    /// Bytes in all of them.
    pub bytes: u64,
    /// Opened at, local date and time to the minute; empty where that cannot be read.
    pub opened: String,
    /// The part's name, or the callouts.
    pub part: String,
    /// Drawing and revision; may be empty.
    pub drawing: String,
    /// Customer; may be empty.
    pub customer: String,
    /// Order; may be empty.
    pub order: String,
    /// Serial numbers, in the order of the parts.
    pub serials: Vec<String>,
    /// Gauges, by their ids.
    pub gauges: Vec<String>,
    /// How the parts stand: words as of a report (`GO`, `NO-GO`, `scrap`), each with how many.
    pub standings: Vec<(String, usize)>,
    /// Parts started.
    pub parts: usize,
    /// Readings.
    pub readings: usize,
    /// `sound`, `not_closed`, `torn_tail`, `damaged` or `unreadable`.
    pub state: String,
    /// What is wrong with it and where, a sentence each.
    pub damage: Vec<String>,
}

impl SessionRow {
    /// The name that it is opened by.
    pub fn key(&self) -> &str {
        self.files.first().map_or("", String::as_str)
    }

    /// Whether something in it is not as it was written.
    pub fn is_damaged(&self) -> bool {
        matches!(self.state.as_str(), "damaged" | "unreadable")
    }
}

/// A session that is open in the room.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct OpenRecord {
    /// [`SessionRow::key`].
    pub key: String,
    /// What its report says.
    pub sheet: Option<Arc<Sheet>>,
    /// Why there is none, in a sentence.
    pub fault: Option<String>,
}

/// How far a check of a record has come.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct VerifyFacts {
    /// [`SessionRow::key`].
    pub key: String,
    /// It goes on.
    pub is_running: bool,
    /// It was ended before its end.
    pub is_cancelled: bool,
    /// Bytes read.
    pub read: u64,
    /// Bytes in all; 0: not known.
    pub whole: u64,
    /// What it came to.
    pub result: Option<Result<Verified, String>>,
}

/// What a whole check of a record came to.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Verified {
    /// `sound`, `not_closed`, `torn_tail` or `damaged`.
    pub state: String,
    /// Lines that are right.
    pub lines: u64,
    /// The last line's hash.
    pub head: String,
    /// The tolerance tables of this program are others than those of the record.
    pub tables_differ: bool,
    /// What was found, with its file, line and byte, a sentence each.
    pub findings: Vec<String>,
    /// Findings beyond those.
    pub more: u64,
}

impl Verified {
    /// Whether nothing is wrong with it: sound, or only not closed.
    pub fn passes(&self) -> bool {
        matches!(self.state.as_str(), "sound" | "not_closed")
    }
}

/// A form in which a report leaves the room.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum ReportForm {
    /// One page for a browser.
    Html,
    /// Paper.
    Pdf,
    /// A table, with its description beside it.
    Csv,
    /// Canonical JSON.
    Json,
    /// QIF 3.0 results.
    Qif,
}

impl ReportForm {
    /// All of them, each with its key, its letter, its name and the end of its file.
    pub const ALL: [(Self, char, char, &'static str, &'static str); 5] = [
        (
            Self::Html,
            '1',
            'h',
            "report as a page for a browser (HTML)",
            "html",
        ),
        (Self::Pdf, '2', 'p', "report on paper (PDF)", "pdf"),
        (Self::Csv, '3', 'c', "values as a table (CSV)", "csv"),
        (
            Self::Json,
            '4',
            'j',
            "everything for a program (JSON)",
            "json",
        ),
        (
            Self::Qif,
            '5',
            'q',
            "results for quality programs (QIF)",
            "qif",
        ),
    ];

    /// The end of its file.
    pub fn ends(self) -> &'static str {
        let found = Self::ALL.iter().find(|(form, ..)| *form == self);
        found.map_or("", |(_, _, _, _, ends)| ends)
    }
}

/// A file that is to be written.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WriteOrder {
    /// [`SessionRow::key`].
    pub key: String,
    /// In which form.
    pub form: ReportForm,
    /// One part only; none: all of them.
    pub part: Option<u32>,
    /// Decimal mark of what people read, `.` or `,`.
    pub marker: char,
}

/// What became of a request, in a sentence; and which of them it was.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct Done {
    /// Counts the requests that have been answered.
    pub number: u64,
    /// What became of it.
    pub said: String,
    /// It was not done.
    pub is_fault: bool,
}

/// Everything that the room is told; cheap to clone.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct RecordsTold {
    /// Every session, the newest first.
    pub rows: Arc<Vec<SessionRow>>,
    /// They are being read; so many have been, of so many.
    pub listing: Option<(usize, usize)>,
    /// The list could not be read, or some of it: a sentence each.
    pub faults: Vec<String>,
    /// The sessions that were looked for, by their places in `rows`.
    pub found: Arc<Vec<usize>>,
    /// What was looked for.
    pub found_for: Query,
    /// The session that was opened last.
    pub open: Option<OpenRecord>,
    /// The session that is being opened.
    pub opening: Option<String>,
    /// The check that goes on or was last.
    pub verify: Option<VerifyFacts>,
    /// The last report or decision.
    pub done: Done,
}

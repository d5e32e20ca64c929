//! Sessions that go on in another file: what a continuation says of the file before it, and which
//! files make one session. It reads through what it is handed, and opens nothing itself.

use std::collections::{BTreeMap, BTreeSet};
use std::io::{self, BufRead};

use super::chain::Link;
use super::hash::Hash;
use super::line::{CONTINUATION_OPENED, Line};
use super::moment::LARGEST_WHOLE;
use super::reader::{Item, Reader};

/// What the first line of a continuation says of the file before it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ContinuationOf {
    /// The old file's name, without its folder.
    pub file: String,
    /// The old file's last line that counts.
    pub link: Link,
}

impl ContinuationOf {
    /// The body of the `continuation_opened` line.
    #[must_use]
    pub fn body(&self) -> String {
        let file = serde_json::Value::from(self.file.as_str());
        format!(
            "{{\"file\":{file},\"seq\":{},\"hash\":\"{}\"}}",
            self.link.seq, self.link.hash
        )
    }

    /// Reads a `continuation_opened` line; `None` for other kinds, for a number that no line can
    /// have, and for a body that is not as [`ContinuationOf::body`] writes it.
    #[must_use]
    pub fn parse(line: &Line<'_>) -> Option<Self> {
        if line.kind != CONTINUATION_OPENED {
            return None;
        }
        let value: serde_json::Value = serde_json::from_str(line.body).ok()?;
        let link = Link {
            seq: value.get("seq")?.as_u64().filter(|&n| n <= LARGEST_WHOLE)?,
            hash: Hash::parse(value.get("hash")?.as_str()?)?,
        };
        let origin = Self {
            file: value.get("file")?.as_str()?.to_owned(),
            link,
        };
        (origin.body() == line.body).then_some(origin)
    }
}

/// The name of a continuation of the file `newest`, in a session whose first file is `first`: the
/// first file's name with a number, one more than that of `newest`, and as many more as there were
/// attempts before.
#[must_use]
pub fn continuation_name(first: &str, newest: &str, attempt: u32) -> String {
    let stem = |name: &'_ str| name.strip_suffix(".jsonl").unwrap_or(name).to_owned();
    let (first, newest) = (stem(first), stem(newest));
    let number = newest
        .strip_prefix(&first)
        .and_then(|rest| rest.strip_prefix('-'))
        .and_then(|number| number.parse::<u32>().ok());
    let number = number.unwrap_or(1).saturating_add(1);
    format!("{first}-{}.jsonl", number.saturating_add(attempt))
}

/// What the beginning of a journal file tells of its place among others.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct FileStart {
    /// The file's name.
    pub name: String,
    /// What it continues, when its first line says so.
    pub continues: Option<ContinuationOf>,
    /// Whether it holds something: an event beyond the line that opens a continuation, or bytes
    /// that cannot be read.
    pub holds_events: bool,
}

impl FileStart {
    /// Reads the first two lines of the file `name`.
    ///
    /// # Errors
    /// What the source answered.
    pub fn read(name: &str, source: impl BufRead) -> io::Result<Self> {
        let mut reader = Reader::new(source);
        let continues = match reader.next_item()? {
            Some(Item::Line(sound)) => ContinuationOf::parse(&sound.line),
            _ => None,
        };
        let holds_events = match continues {
            Some(_) => reader.next_item()?.is_some(),
            None => reader.offset() > 0,
        };
        Ok(Self {
            name: name.to_owned(),
            continues,
            holds_events,
        })
    }
}

/// One file of a session.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Part {
    /// The file's name.
    pub name: String,
    /// The last line of this file that counts, as its continuation says; `None`: all of them.
    pub until: Option<Link>,
}

/// The files of one session, in order.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SessionFiles {
    /// The parts, the oldest first; at least one.
    pub parts: Vec<Part>,
    /// A file that the oldest part continues and that is not among the given ones.
    pub absent: Option<ContinuationOf>,
}

/// Puts the files of a folder, or of several, into sessions, ordered by their first file's name.
///
/// A continuation that holds no event, while another one continues the same file, is what a failed
/// retry left behind: it is in no session. Two that both hold events make two sessions that share
/// their beginning. Files that name each other in a circle are each a session of their own.
#[must_use]
pub fn sessions(files: &[FileStart]) -> Vec<SessionFiles> {
    let starts: BTreeMap<&str, &FileStart> = files
        .iter()
        .map(|file| (file.name.as_str(), file))
        .collect();
    let mut rivals: BTreeMap<&str, Vec<&FileStart>> = BTreeMap::new();
    for file in files {
        if let Some(origin) = origin(file) {
            rivals.entry(origin).or_default().push(file);
        }
    }
    let left_behind = |file: &FileStart| {
        let rivals = origin(file).and_then(|origin| rivals.get(origin));
        !file.holds_events
            && rivals
                .into_iter()
                .flatten()
                .any(|rival| (rival.holds_events, &rival.name) > (false, &file.name))
    };
    let kept: Vec<&FileStart> = starts
        .values()
        .copied()
        .filter(|f| !left_behind(f))
        .collect();
    let continued: BTreeSet<&str> = kept.iter().filter_map(|file| origin(file)).collect();
    let mut found: Vec<SessionFiles> = kept
        .iter()
        .filter(|file| !continued.contains(file.name.as_str()))
        .map(|file| trace(file, &starts))
        .collect();
    let parts = found.iter().flat_map(|session| &session.parts);
    let placed: BTreeSet<String> = parts.map(|part| part.name.clone()).collect();
    for file in kept.iter().filter(|file| !placed.contains(&file.name)) {
        let part = Part {
            name: file.name.clone(),
            until: None,
        };
        found.push(SessionFiles {
            parts: vec![part],
            absent: None,
        });
    }
    let first = |session: &SessionFiles| session.parts.first().map(|part| part.name.clone());
    found.sort_by_key(first);
    found
}

fn origin(file: &FileStart) -> Option<&str> {
    file.continues.as_ref().map(|origin| origin.file.as_str())
}

/// Goes back from the newest file to the oldest.
fn trace(newest: &FileStart, starts: &BTreeMap<&str, &FileStart>) -> SessionFiles {
    let mut parts = vec![Part {
        name: newest.name.clone(),
        until: None,
    }];
    let mut absent = None;
    let mut file = newest;
    while let Some(origin) = &file.continues {
        let seen = parts.iter().any(|part| part.name == origin.file);
        match starts.get(origin.file.as_str()) {
            Some(before) if !seen => file = before,
            _ => {
                absent = (!seen).then(|| origin.clone());
                break;
            }
        }
        parts.push(Part {
            name: origin.file.clone(),
            until: Some(origin.link),
        });
    }
    parts.reverse();
    SessionFiles { parts, absent }
}

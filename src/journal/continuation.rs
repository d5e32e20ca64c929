//! Sessions that go on in another file: what a continuation says of the file before it, and which
//! files make one session. It reads through what it is handed, and opens nothing itself.

use std::collections::BTreeMap;
use std::io::{self, BufRead};

use super::chain::Link;
use super::hash::Hash;
use super::line::{CONTINUATION_OPENED, Line};
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

    /// Reads a `continuation_opened` line; `None` for other kinds, and for a body that is not as
    /// [`ContinuationOf::body`] writes it.
    #[must_use]
    pub fn parse(line: &Line<'_>) -> Option<Self> {
        if line.kind != CONTINUATION_OPENED {
            return None;
        }
        let value: serde_json::Value = serde_json::from_str(line.body).ok()?;
        let link = Link {
            seq: value.get("seq")?.as_u64()?,
            hash: Hash::parse(value.get("hash")?.as_str()?)?,
        };
        let origin = Self {
            file: value.get("file")?.as_str()?.to_owned(),
            link,
        };
        (origin.body() == line.body).then_some(origin)
    }
}

/// What the journal in `source` continues; `None` when its first line says nothing of that, or
/// cannot be read. Reads one line.
///
/// # Errors
/// What the source answered.
pub fn continuation_of(source: impl BufRead) -> io::Result<Option<ContinuationOf>> {
    match Reader::new(source).next_item()? {
        Some(Item::Line(sound)) => Ok(ContinuationOf::parse(&sound.line)),
        _ => Ok(None),
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

/// Puts the files of a folder, or of several, into sessions.
///
/// `files` holds each file's name and what it continues. Two files that continue the same one make
/// two sessions that share their beginning. Files that name each other in a circle are left as
/// sessions of their own.
#[must_use]
pub fn sessions(files: &[(String, Option<ContinuationOf>)]) -> Vec<SessionFiles> {
    let origins: BTreeMap<&str, Option<&ContinuationOf>> = files
        .iter()
        .map(|(name, origin)| (name.as_str(), origin.as_ref()))
        .collect();
    let continued = |name: &str| {
        origins
            .iter()
            .any(|(other, origin)| *other != name && origin.is_some_and(|o| o.file == name))
    };
    let mut found: Vec<SessionFiles> = origins
        .keys()
        .filter(|name| !continued(name))
        .map(|name| trace(name, &origins))
        .collect();
    let placed = |found: &[SessionFiles], name: &str| {
        found
            .iter()
            .any(|session| session.parts.iter().any(|part| part.name == name))
    };
    for name in origins.keys() {
        if !placed(&found, name) {
            let part = Part {
                name: (*name).to_owned(),
                until: None,
            };
            found.push(SessionFiles {
                parts: vec![part],
                absent: None,
            });
        }
    }
    found.sort_by(|a, b| {
        a.parts
            .first()
            .map(|p| &p.name)
            .cmp(&b.parts.first().map(|p| &p.name))
    });
    found
}

/// Goes back from the newest file to the oldest.
fn trace(newest: &str, origins: &BTreeMap<&str, Option<&ContinuationOf>>) -> SessionFiles {
    let mut parts = vec![Part {
        name: newest.to_owned(),
        until: None,
    }];
    let mut absent = None;
    let mut name = newest;
    while let Some(Some(origin)) = origins.get(name) {
        let seen = parts.iter().any(|part| part.name == origin.file);
        if seen || !origins.contains_key(origin.file.as_str()) {
            absent = (!seen).then(|| (*origin).clone());
            break;
        }
        parts.push(Part {
            name: origin.file.clone(),
            until: Some(origin.link),
        });
        name = &origin.file;
    }
    parts.reverse();
    SessionFiles { parts, absent }
}

//! The pages of the guide as their texts are written: fences with what a test needs in their info
//! strings, and comments that a reader does not see.
//!
//! - ```` ```sh exit=0,1 stdin=a;b|c ````: each line is a command, run as it stands. `exit` says
//!   with which codes, one a command, the last for all further ones (0 unless said); `stdin` what is
//!   typed, commands apart by `|`, lines by `;`, blanks as `_`.
//!   With `port=VALUE` each command that names [`PORT`] is run once more with a gauge at that port,
//!   played by a pseudo-terminal, which sends that value.
//! - ```` ```text ````: lines that the commands of the last `sh` gave.
//! - ```` ```toml file=NAME ````, `csv`, `bursts`: a file of the reader's workspace.
//! - ```` ```bench plan=NAME ````: lines typed at the bench, what they do behind two blanks.
//! - `<!-- before`, to a line `-->`: what a shell does before the next fence.

use fitledger::guide::{Page, pages};

/// The port of the guide; it is not there where the tests run.
pub(crate) const PORT: &str = "/dev/ttyUSB0";

/// A fence or a comment of a page.
#[derive(Debug, Clone, PartialEq, Eq)]
pub(crate) struct Piece {
    /// The first word behind the backquotes, or `before`.
    pub(crate) kind: String,
    /// The rest of that line.
    info: String,
    pub(crate) text: String,
}

impl Piece {
    /// What an info string says under a word.
    pub(crate) fn said(&self, word: &str) -> Option<&str> {
        self.info
            .split(' ')
            .find_map(|said| said.strip_prefix(word)?.strip_prefix('='))
    }

    /// The command lines.
    pub(crate) fn commands(&self) -> impl Iterator<Item = &str> {
        self.text.lines().filter(|line| !line.trim().is_empty())
    }

    /// The exit code that command `at` must have.
    pub(crate) fn exit(&self, at: usize) -> i32 {
        let codes: Vec<i32> = self
            .said("exit")
            .unwrap_or("0")
            .split(',')
            .map(|code| code.parse().unwrap())
            .collect();
        codes.get(at).copied().unwrap_or(codes[codes.len() - 1])
    }

    /// What is typed for command `at`.
    pub(crate) fn typed(&self, at: usize) -> String {
        let all = self.said("stdin").unwrap_or_default();
        let typed = all.split('|').nth(at).unwrap_or_default();
        match typed {
            "" => String::new(),
            typed => typed.replace('_', " ").replace(';', "\n") + "\n",
        }
    }
}

/// The fences and comments of a text, in their order.
pub(crate) fn pieces(text: &str) -> Vec<Piece> {
    let mut found = Vec::new();
    let mut lines = text.lines();
    while let Some(line) = lines.next() {
        let (info, end) = match (line.strip_prefix("```"), line.strip_prefix("<!-- ")) {
            (Some(info), _) => (info, "```"),
            (None, Some(comment)) => (comment, "-->"),
            (None, None) => continue,
        };
        let (kind, info) = info.split_once(' ').unwrap_or((info, ""));
        let mut inside = String::new();
        loop {
            let line = lines.next().expect("a fence or a comment does not end");
            if line == end {
                break;
            }
            inside += line;
            inside.push('\n');
        }
        found.push(Piece {
            kind: kind.to_owned(),
            info: info.to_owned(),
            text: inside,
        });
    }
    found
}

/// Every page with its pieces.
pub(crate) fn all() -> impl Iterator<Item = (&'static Page, Vec<Piece>)> {
    pages().iter().map(|page| (page, pieces(page.text)))
}

/// The file of that name, as a page of the guide gives it.
pub(crate) fn file(name: &str) -> String {
    let pieces = all().flat_map(|(_, pieces)| pieces);
    let mut files = pieces.filter(|piece| piece.said("file") == Some(name));
    let found = files
        .next()
        .unwrap_or_else(|| panic!("no page gives {name}"));
    assert_eq!(files.next(), None, "two pages give {name}");
    found.text
}

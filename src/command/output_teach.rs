//! The answer of `teach` as JSON: `{"adapter","file","line","confirmed","found","unknown",
//! "assumed","text","problem"}`; `file`, `line`, `text` and `problem` may be null. `text` is the
//! adapter's description, `problem` is `{"code","message","hint"}`.

use serde::Serialize;

use crate::wire::{Taught, line_text};

/// What was taught.
#[derive(Debug, Serialize)]
pub(super) struct TeachLine<'a> {
    adapter: &'a str,
    file: Option<String>,
    line: Option<String>,
    confirmed: bool,
    found: &'a [String],
    unknown: &'a [String],
    assumed: &'a [String],
    text: Option<&'a str>,
    problem: Option<ProblemBody>,
}

#[derive(Debug, Serialize)]
struct ProblemBody {
    code: &'static str,
    message: String,
    hint: &'static str,
}

impl<'a> TeachLine<'a> {
    pub(super) fn new(
        name: &'a str,
        taught: &'a Taught,
        text: Option<&'a str>,
        file: Option<String>,
    ) -> Self {
        Self {
            adapter: name,
            file,
            line: taught.line.map(line_text),
            confirmed: taught.confirmed,
            found: &taught.found,
            unknown: &taught.unknown,
            assumed: &taught.assumed,
            text: text.or(taught.draft.as_deref()),
            problem: taught.problem.as_ref().map(|problem| ProblemBody {
                code: problem.code(),
                message: problem.to_string(),
                hint: problem.hint(),
            }),
        }
    }
}

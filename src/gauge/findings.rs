//! The problems found in one text, collected so that one pass reports them all.

use std::collections::{BTreeMap, BTreeSet};
use std::ops::Range;

use toml::de::DeTable;

use super::file_problem::FileProblem;
use super::pointed::{Pointed, SourceText};

/// A value and the bytes of the file that it was written with.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Written<T> {
    /// The value.
    pub value: T,
    /// Its bytes in the file.
    pub span: Range<usize>,
}

/// The problems found so far in one text.
#[derive(Debug)]
pub struct Findings<'t, P> {
    source: SourceText<'t>,
    problems: Vec<(Range<usize>, P)>,
}

impl<'t, P: From<FileProblem>> Findings<'t, P> {
    /// Most problems that are reported of one file (chosen).
    pub const SHOWN_MAX: usize = 20;

    /// No problems yet.
    pub fn new(source: SourceText<'t>) -> Self {
        Self {
            source,
            problems: Vec::new(),
        }
    }

    /// The text.
    pub fn source(&self) -> &SourceText<'t> {
        &self.source
    }

    /// One more problem at that span.
    pub fn add(&mut self, span: &Range<usize>, problem: impl Into<P>) {
        self.problems.push((span.clone(), problem.into()));
    }

    /// A problem at each name that stood before, with the line of the first.
    pub fn add_repeats<'w>(
        &mut self,
        key: &'static str,
        names: impl IntoIterator<Item = &'w Written<String>>,
    ) {
        let mut seen: BTreeMap<&str, &Range<usize>> = BTreeMap::new();
        for name in names {
            let Some(first) = seen.get(name.value.as_str()) else {
                seen.insert(&name.value, &name.span);
                continue;
            };
            let problem = FileProblem::Repeated {
                key,
                found: name.value.clone(),
                first_line: self.source.line(first.start),
            };
            self.add(&name.span, problem);
        }
    }

    /// Whether nothing was found.
    pub fn is_empty(&self) -> bool {
        self.problems.is_empty()
    }

    /// All problems in the order of the text; beyond [`Self::SHOWN_MAX`] only their number.
    pub fn into_pointed(self) -> Vec<Pointed<P>> {
        let (mut found, rest) = self.cut(Self::SHOWN_MAX);
        if let Some((span, _)) = rest.first() {
            let count = rest.len();
            found.add(&span.clone(), FileProblem::More { count });
        }
        found.pointed()
    }

    /// The first so many problems in the order of the text, and how many more there are.
    pub fn into_first(self, most: usize) -> (Vec<Pointed<P>>, usize) {
        let (found, rest) = self.cut(most);
        (found.pointed(), rest.len())
    }

    /// The first so many, and the others.
    fn cut(mut self, most: usize) -> (Self, Vec<(Range<usize>, P)>) {
        self.problems.sort_by_key(|(span, _)| span.start);
        let rest = self.problems.split_off(most.min(self.problems.len()));
        (self, rest)
    }

    fn pointed(self) -> Vec<Pointed<P>> {
        let source = self.source;
        self.problems
            .into_iter()
            .map(|(span, problem)| source.point(&span, problem))
            .collect()
    }
}

/// A whole file as a table; the problems when it is not TOML.
pub fn document<'t, P: From<FileProblem>>(findings: &mut Findings<'t, P>) -> Option<DeTable<'t>> {
    let (table, errors) = DeTable::parse_recoverable(findings.source.text());
    let mut lines = BTreeSet::new();
    for error in &errors {
        let span = error.span().unwrap_or(0..0);
        let line = findings.source.line(span.start);
        if !lines.insert(line) {
            continue;
        }
        let problem = FileProblem::NotToml {
            message: error.message().to_owned(),
            decimal_comma: has_decimal_comma(findings.source.line_text(line)),
        };
        findings.add(&span, problem);
    }
    errors.is_empty().then(|| table.into_inner())
}

/// Whether a line has a digit, a comma and a digit in a row outside quotes.
fn has_decimal_comma(line: &str) -> bool {
    let bare = line.split('"').step_by(2);
    bare.flat_map(|part| part.as_bytes().windows(3))
        .any(|w| matches!(w, [a, b',', c] if a.is_ascii_digit() && c.is_ascii_digit()))
}

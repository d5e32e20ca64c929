//! Blocks as a text for a terminal.

use super::block::{Block, Look, Span};
use super::plain_table::table;

/// Blanks before each line of code.
const CODE_IN: usize = 4;
/// Longest line of words, however wide the terminal: longer ones are hard to read (chosen).
const LINE_MAX: usize = 92;
/// A blank at which no line is broken, while it is laid out.
const KEPT: char = '\u{a0}';

/// A line, and what it is of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Line {
    /// What it is of.
    pub kind: LineKind,
    /// What stands in it.
    pub text: String,
}

/// What a line is of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LineKind {
    /// A heading, the title too.
    Heading,
    /// The rule under a heading, for where nothing can be bold.
    Rule,
    /// Words, a table, or blank.
    Text,
    /// Code: it was not wrapped.
    Code,
}

/// The blocks one below the other, a blank line between them, wrapped at `width`.
pub(super) fn told(blocks: &[Block], width: usize) -> String {
    let lines = lines(blocks, width.clamp(20, LINE_MAX));
    let mut text = String::new();
    for line in lines {
        text.push_str(&line.text);
        text.push('\n');
    }
    text
}

/// The same line by line.
pub(super) fn lines(blocks: &[Block], width: usize) -> Vec<Line> {
    let mut lines: Vec<Line> = Vec::new();
    let of = |kind: LineKind, texts: Vec<String>| {
        let line = move |text| Line { kind, text };
        texts.into_iter().map(line)
    };
    for block in blocks {
        if !lines.is_empty() {
            lines.extend(of(LineKind::Text, vec![String::new()]));
        }
        match block {
            Block::Heading { level, spans, .. } => {
                let texts = wrapped(&words(spans), width);
                let rule = rule(*level, &texts);
                lines.extend(of(LineKind::Heading, texts));
                lines.extend(of(LineKind::Rule, vec![rule]));
            }
            Block::Paragraph(spans) => {
                lines.extend(of(LineKind::Text, wrapped(&words(spans), width)));
            }
            Block::List(items) => lines.extend(list(items, width)),
            Block::Code(code) => {
                let inside = " ".repeat(CODE_IN);
                let code = code.lines().map(|line| format!("{inside}{line}"));
                let code = code.map(|line| line.trim_end().to_owned()).collect();
                lines.extend(of(LineKind::Code, code));
            }
            Block::Table { titles, rows } => {
                lines.extend(of(LineKind::Text, table(titles, rows, width)));
            }
        }
    }
    lines
}

/// The title is underlined twice, the others once.
fn rule(level: u8, lines: &[String]) -> String {
    let longest = lines.iter().map(|line| line.chars().count()).max();
    let mark = if level == 1 { "=" } else { "-" };
    mark.repeat(longest.unwrap_or(0))
}

fn list(items: &[Vec<Block>], width: usize) -> Vec<Line> {
    let mut all = Vec::new();
    for item in items {
        for (at, line) in lines(item, width.saturating_sub(2)).into_iter().enumerate() {
            let before = if at == 0 { "- " } else { "  " };
            let text = format!("{before}{}", line.text).trim_end().to_owned();
            all.push(Line { text, ..line });
        }
    }
    all
}

/// Lines of code that are wider go on in the next one, set in further.
pub(super) fn broken(lines: Vec<Line>, width: usize) -> Vec<Line> {
    let mut all = Vec::new();
    for line in lines {
        if line.kind != LineKind::Code || line.text.chars().count() <= width {
            all.push(line);
            continue;
        }
        let inside = " ".repeat(CODE_IN);
        let mut before = inside.clone();
        for piece in cut(line.text.trim_start(), width.saturating_sub(2 * CODE_IN)) {
            all.push(Line {
                text: format!("{before}{piece}"),
                ..line
            });
            before = format!("{inside}{inside}");
        }
    }
    all
}

/// Pieces of at most so many characters, cut at a blank where there is one; blanks stay.
fn cut(text: &str, width: usize) -> Vec<String> {
    let mut pieces = Vec::new();
    let mut rest: Vec<char> = text.chars().collect();
    while rest.len() > width.max(1) {
        let blank = rest[..=width.max(1)].iter().rposition(|c| *c == ' ');
        let at = blank.filter(|at| *at > 0).unwrap_or(width.max(1));
        let after = rest.split_off(at);
        pieces.push(rest.iter().collect());
        rest = after.into_iter().skip_while(|c| *c == ' ').collect();
    }
    pieces.push(rest.into_iter().collect());
    pieces
}

/// The words as one text: code between backquotes and, where it is short, kept on one line; a link
/// with the name of its page behind it.
pub(super) fn words(spans: &[Span]) -> String {
    let mut text = String::new();
    for (at, span) in spans.iter().enumerate() {
        let page = span.target.as_ref().map(|target| target.page.as_str());
        let goes_on = spans
            .get(at + 1)
            .is_some_and(|next| next.target == span.target);
        match (span.look, page) {
            (Look::Plain, Some(page)) if page == span.text => {
                if text.ends_with("page ") {
                    text.pop();
                    text.push(KEPT);
                } else {
                    text.push_str(&format!("page{KEPT}"));
                }
                text.push_str(page);
                continue;
            }
            (Look::Code, _) if span.text.chars().count() <= 30 => {
                text.extend(["`", &span.text.replace(' ', &KEPT.to_string()), "`"]);
            }
            (Look::Code, _) => text.extend(["`", &span.text, "`"]),
            _ => text.push_str(&span.text),
        }
        if let Some(page) = page.filter(|page| !page.is_empty() && !goes_on) {
            text.push_str(&format!(" (page{KEPT}{page})"));
        }
    }
    text
}

/// Breaks a text at blanks into lines of at most `width` characters; a longer word stands alone.
pub(super) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let (mut line, mut used) = (String::new(), 0);
    let words = text.split([' ', '\n']).flat_map(|word| {
        // What is kept together is broken only where it has no room on a line of its own.
        let is_long = word.chars().count() > width;
        word.split(move |c| is_long && c == KEPT)
    });
    for word in words.filter(|word| !word.is_empty()) {
        let long = word.chars().count();
        if used > 0 && used + 1 + long > width {
            lines.push(std::mem::take(&mut line));
            used = 0;
        }
        if used > 0 {
            line.push(' ');
            used += 1;
        }
        line.push_str(word);
        used += long;
    }
    if used > 0 {
        lines.push(line);
    }
    lines.iter().map(|line| line.replace(KEPT, " ")).collect()
}

#[cfg(test)]
mod tests {
    use super::super::{pages, parse::blocks};
    use super::told;

    #[test]
    fn headings_lists_code_and_links_are_told_apart_without_colour() {
        let text = "# One\n\n\
            See [records](records.md), the page [x](x.md), [y](z.md) and `a b`.\n\n\
            - x\n  y\n- z\n\n\
            ```sh\nrun  it\n```\n";
        assert_eq!(
            told(&blocks(text), 80),
            "One\n===\n\nSee page records, the page x, y (page z) and `a b`.\n\n\
             - x y\n- z\n\n    run  it\n"
        );
    }

    /// At any width no line is wider than the terminal, but for code and single long words; and no
    /// word is lost.
    #[test]
    fn every_page_keeps_the_width_and_all_its_words() {
        for width in [30, 60, 80, 200] {
            for page in pages() {
                let text = page.told(width);
                for line in text.lines() {
                    let is_code = line.starts_with("    ");
                    let words = line.split_whitespace().count();
                    let fits = line.chars().count() <= width.min(92);
                    assert!(fits || is_code || words <= 8, "{width}: {line}");
                    assert!(!line.contains(super::KEPT), "{line}");
                }
                let wide: Vec<String> = sorted(&page.told(92));
                assert_eq!(sorted(&text), wide, "{} at {width}", page.name);
            }
        }
    }

    #[test]
    fn in_a_window_nothing_is_wider_than_it_and_no_code_is_lost() {
        for columns in [30, 62, 86] {
            for page in pages() {
                let lines = page.lines(columns);
                let words = |text: &str| text.split_whitespace().count();
                for line in &lines {
                    let fits = line.text.chars().count() <= columns;
                    assert!(fits || words(&line.text) == 1, "{columns}: {}", line.text);
                }
                let code = |lines: &[super::Line]| -> String {
                    let code = lines
                        .iter()
                        .filter(|line| line.kind == super::LineKind::Code);
                    let text = code.map(|line| line.text.replace(' ', ""));
                    text.collect()
                };
                assert_eq!(code(&lines), code(&page.lines(500)), "{}", page.name);
            }
        }
    }

    /// Letters and digits, which no layout adds or takes away.
    fn sorted(text: &str) -> Vec<String> {
        let mut all: Vec<String> = text
            .split(|c: char| !c.is_alphanumeric())
            .filter(|word| !word.is_empty())
            .map(str::to_owned)
            .collect();
        all.sort();
        // Titles of columns stand in each row where a table is too wide.
        all.dedup();
        all
    }
}

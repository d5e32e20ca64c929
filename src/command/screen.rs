//! What the standard output looks like: how wide, and whether colour may be used.

use std::io::IsTerminal;

use super::table::Style;
use crate::report::shown;

/// Width that is taken when it is not known.
const WIDTH_UNKNOWN: usize = 80;
/// Narrowest width that is laid out for.
const WIDTH_MIN: usize = 20;

/// The place where human output goes.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(crate) struct Screen {
    /// Columns.
    pub(crate) width: usize,
    /// Whether words may be coloured; the words themselves never depend on it.
    pub(crate) colour: bool,
}

impl Screen {
    /// The screen behind standard output. `COLUMNS` counts where no terminal says its width.
    pub(super) fn of_stdout() -> Self {
        let terminal = std::io::stdout().is_terminal();
        let columns = terminal_size::terminal_size_of(std::io::stdout())
            .map(|(width, _)| usize::from(width.0))
            .or_else(|| std::env::var("COLUMNS").ok()?.parse().ok());
        let no_colour = std::env::var_os("NO_COLOR").is_some_and(|value| !value.is_empty());
        let dumb = std::env::var_os("TERM").is_some_and(|value| value == "dumb");
        Self {
            width: columns
                .filter(|width| *width > 0)
                .unwrap_or(WIDTH_UNKNOWN)
                .max(WIDTH_MIN),
            colour: may_colour(terminal, no_colour, dumb),
        }
    }

    /// The text in its style, where colour may be used.
    pub(super) fn styled(self, text: &str, style: Style) -> String {
        match style.code() {
            Some(code) if self.colour => format!("\u{1b}[{code}m{text}\u{1b}[0m"),
            _ => text.to_owned(),
        }
    }
}

fn may_colour(terminal: bool, no_colour: bool, dumb: bool) -> bool {
    terminal && !no_colour && !dumb
}

/// Breaks a text at blanks into lines of at most `width` characters; a longer word stands alone.
pub(super) fn wrapped(text: &str, width: usize) -> Vec<String> {
    let mut lines = Vec::new();
    let mut line = String::new();
    for word in text.split_whitespace() {
        let used = line.chars().count();
        if used > 0 && used + 1 + word.chars().count() > width {
            lines.push(std::mem::take(&mut line));
        }
        if !line.is_empty() {
            line.push(' ');
        }
        line.push_str(word);
    }
    if !line.is_empty() {
        lines.push(line);
    }
    lines
}

/// A text in lines of the screen's width, with `first` before the first of them and `rest` blanks
/// before the others. What cannot be seen, or steers a terminal, stands as an escape.
pub(super) fn paragraph(text: &str, (first, rest): (&str, usize), screen: Screen) -> String {
    let taken = first.chars().count().max(rest);
    let room = screen.width.saturating_sub(taken).max(1);
    let mut lines = String::new();
    for (at, line) in wrapped(text, room).iter().enumerate() {
        match at {
            0 => lines.push_str(first),
            _ => lines.push_str(&" ".repeat(rest)),
        }
        lines.push_str(&shown(line));
        lines.push('\n');
    }
    lines
}

/// `1 part is`, `3 parts are`.
pub(super) fn counted(count: impl ToString, one: &str, many: &str) -> String {
    let count = count.to_string();
    let named = if count == "1" { one } else { many };
    format!("{count} {named}")
}

#[cfg(test)]
mod tests {
    use super::{Screen, Style, counted, may_colour, paragraph, wrapped};

    #[test]
    fn colour_is_used_on_a_terminal_only_and_never_against_the_users_wish() {
        assert!(may_colour(true, false, false));
        for (terminal, no_colour, dumb) in [
            (false, false, false),
            (true, true, false),
            (true, false, true),
        ] {
            assert!(!may_colour(terminal, no_colour, dumb));
        }
        let plain = Screen {
            width: 80,
            colour: false,
        };
        assert_eq!(plain.styled("GO", Style::Go), "GO");
        let coloured = Screen {
            colour: true,
            ..plain
        };
        assert_eq!(
            coloured.styled("GO", Style::Go),
            "\u{1b}[30;48;5;36mGO\u{1b}[0m"
        );
        assert_eq!(coloured.styled("25", Style::Plain), "25");
    }

    #[test]
    fn long_text_is_broken_at_blanks_and_no_word_is_lost() {
        assert_eq!(wrapped("one two  three", 7), ["one two", "three"]);
        assert_eq!(
            wrapped("a longer-than-that b", 6),
            ["a", "longer-than-that", "b"]
        );
        assert_eq!(wrapped("", 6), Vec::<String>::new());
    }

    #[test]
    fn one_is_one_and_none_are_many() {
        let told = [0_u64, 1, 2, 11].map(|count| counted(count, "part is", "parts are"));
        assert_eq!(
            told,
            ["0 parts are", "1 part is", "2 parts are", "11 parts are"]
        );
    }

    #[test]
    fn lines_after_the_first_are_set_in_and_steer_no_terminal() {
        let screen = Screen {
            width: 9,
            colour: true,
        };
        let told = paragraph("one two three \u{9b}m", ("- ", 4), screen);
        assert_eq!(told, "- one\n    two\n    three\n    \\u{9b}m\n");
        assert_eq!(paragraph("", ("- ", 4), screen), "");
    }
}

//! What the standard output looks like: how wide, and whether colour may be used.

use std::io::IsTerminal;

use super::table::Style;

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

#[cfg(test)]
mod tests {
    use super::{Screen, Style, may_colour, wrapped};

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
}

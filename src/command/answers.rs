//! Items in, answers out, one each and in order: arguments, or lines of standard input for `-`.

use std::io::IsTerminal;

use super::exit::Exit;
use super::lines::ItemLines;
use super::output::{Output, Stopped};
use super::problem::Problem;
use super::screen::{Screen, paragraph};
use super::table::{Cell, Column, Row, Style, cell, laid_out, stacked};

/// Rows that are held back to be aligned with each other.
const ROWS_TOGETHER_MAX: usize = 500;
/// The item that means "one a line from standard input".
pub(super) const FROM_STDIN: &str = "-";

/// An answer that can be written for machines and for people.
pub(super) trait Answer {
    /// One JSON line.
    fn write_json(&self, out: &mut Output) -> Result<(), Stopped>;
    /// Its rows in the table of several answers.
    fn rows(&self) -> Vec<Row>;
    /// Everything about it, when it is the only one; none: its rows say it all.
    fn facts(&self) -> Option<(&'static [Column], Row)> {
        None
    }
    /// What is said of it below its rows, when it is the only one.
    fn notes(&self) -> Vec<Note> {
        Vec::new()
    }
    /// Its callout, and the sentences that must stand beside it.
    fn flags(&self) -> Option<(&str, &[String])> {
        None
    }
    /// How it came about, when it is the only one.
    fn why(&self) -> Vec<String>;
    /// What it does to the exit code.
    fn exit(&self) -> Exit {
        Exit::Answered
    }
}

/// A line below the table: a word, and what it is.
pub(super) struct Note {
    title: &'static str,
    text: String,
}

impl Note {
    pub(super) fn new(title: &'static str, text: String) -> Self {
        Self { title, text }
    }
}

/// How the answers are to be written.
#[derive(Clone, Copy)]
pub(super) struct Form {
    /// JSON Lines instead of a table.
    pub(super) json: bool,
    /// The columns of the table.
    pub(super) columns: &'static [Column],
    /// In which column `error` stands for a bad item; the item stands in the other of the first
    /// two.
    pub(super) word_at: usize,
}

/// Answers every item; `-` stands for all lines of standard input.
pub(super) fn answer_each<A: Answer>(
    items: &[String],
    form: Form,
    out: &mut Output,
    mut answer: impl FnMut(&str) -> Result<A, Problem>,
) -> Result<(), Stopped> {
    let mut writer = Writer {
        form,
        rows: Vec::new(),
        flags: Vec::new(),
        single: items.len() == 1 && items.iter().all(|item| item != FROM_STDIN),
        at_once: false,
    };
    for item in items {
        if item == FROM_STDIN {
            let stdin = std::io::stdin();
            writer.at_once = stdin.is_terminal();
            for line in ItemLines::new(stdin.lock()) {
                match line {
                    Ok(line) => writer.write(&line, answer(&line), out)?,
                    Err(bad) => writer.write::<A>(&bad.input, Err(bad.problem), out)?,
                }
            }
        } else {
            writer.write(item, answer(item), out)?;
        }
    }
    writer.finish(out)
}

struct Writer {
    form: Form,
    rows: Vec<Row>,
    /// Sentences that stand below the rows, each with its callout.
    flags: Vec<String>,
    single: bool,
    /// Somebody types the items and waits for each answer.
    at_once: bool,
}

impl Writer {
    fn write<A: Answer>(
        &mut self,
        input: &str,
        answer: Result<A, Problem>,
        out: &mut Output,
    ) -> Result<(), Stopped> {
        if let Ok(answer) = &answer {
            out.note(answer.exit());
        }
        match answer {
            Ok(answer) if self.form.json => answer.write_json(out),
            Err(problem) if self.form.json => out.json_problem(input, &problem),
            Ok(answer) if self.single => self.write_single(&answer, out),
            Ok(answer) => {
                self.rows.extend(answer.rows());
                if let Some((callout, flags)) = answer.flags() {
                    let told = flags.iter().map(|flag| format!("{callout}: {flag}"));
                    self.flags.extend(told);
                }
                self.ready(out)
            }
            Err(problem) => {
                if self.single {
                    out.complain(&problem);
                    return Ok(());
                }
                let word = Cell {
                    text: "error".to_owned(),
                    style: Style::NoGo,
                };
                let mut row = vec![cell(cut(input))];
                row.insert(self.form.word_at.min(1), word);
                self.rows.push(row);
                out.complain_about(&cut(input), &problem);
                self.ready(out)
            }
        }
    }

    fn write_single(&self, answer: &impl Answer, out: &mut Output) -> Result<(), Stopped> {
        let screen = out.screen();
        let mut text = match answer.facts() {
            Some((columns, row)) => stacked(columns, &[row], screen),
            None => laid_out(self.form.columns, &answer.rows(), screen),
        };
        text.push_str(&notes_told(answer, screen));
        let why = answer.why();
        if !why.is_empty() {
            text.push_str("\nwhy\n");
        }
        for step in why {
            text += &paragraph(&step, ("  ", 4), screen);
        }
        out.text(&text)
    }

    fn ready(&mut self, out: &mut Output) -> Result<(), Stopped> {
        if self.at_once || self.rows.len() >= ROWS_TOGETHER_MAX {
            return self.finish(out);
        }
        Ok(())
    }

    fn finish(&mut self, out: &mut Output) -> Result<(), Stopped> {
        let rows = std::mem::take(&mut self.rows);
        if rows.is_empty() {
            return Ok(());
        }
        let screen = out.screen();
        let mut text = laid_out(self.form.columns, &rows, screen);
        for flag in std::mem::take(&mut self.flags) {
            text += &paragraph(&flag, ("", 2), screen);
        }
        out.text(&text)
    }
}

/// Notes and flags below a single answer, titles in a column of their own.
fn notes_told(answer: &impl Answer, screen: Screen) -> String {
    let mut notes = answer.notes();
    if let Some((_, flags)) = answer.flags() {
        notes.extend(flags.iter().map(|flag| Note::new("flag", flag.clone())));
    }
    if notes.is_empty() {
        return String::new();
    }
    let titles = notes.iter().map(|note| note.title.chars().count());
    let widest = titles.max().unwrap_or(0);
    let mut text = "\n".to_owned();
    for note in notes {
        let title = format!("{:<widest$}  ", note.title);
        text += &paragraph(&note.text, (&title, widest + 2), screen);
    }
    text
}

/// An item short enough for a table.
fn cut(input: &str) -> String {
    const SHOWN_MAX: usize = 30;
    let mut cut: String = input.chars().take(SHOWN_MAX).collect();
    if input.chars().nth(SHOWN_MAX).is_some() {
        cut.push('…');
    }
    cut
}

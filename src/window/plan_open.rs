//! A plan file that is open: what it was on the disk, what it is now, and the way back.
//!
//! The file's text is the only truth here: every edit makes the next text from the last one, and
//! what was edited is the difference to what was read.

use std::path::{Path, PathBuf};

use crate::plan::{
    Conflict, MergeSide, Merged, PlanEdit, PlanSheet, SheetRefusal, SideRow, TableAt, merged,
    side_by_side, side_lines,
};

/// So many edits can be taken back (chosen).
const UNDO_MAX: usize = 500;
/// An empty plan as it is begun.
const NEW_TEXT: &str = "[part]\nname = \"\"\n";
/// Some text editors put it before the first line.
const MARK: char = '\u{feff}';

/// A plan file that is open.
#[derive(Debug, Clone, PartialEq)]
pub struct OpenPlan {
    /// Where it is; none: it was never saved.
    pub path: Option<PathBuf>,
    /// What it is called.
    pub name: String,
    /// The file as it was read or saved last, whole.
    base: String,
    /// The plan as it is now; none where the file is no TOML.
    sheet: Option<PlanSheet>,
    undo: Vec<PlanSheet>,
    redo: Vec<PlanSheet>,
    /// So many edits could be taken back when it was read or saved last.
    saved_steps: usize,
    /// What the file says by now, where that is something else.
    theirs: Option<String>,
}

/// What came of putting two people's changes together.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PutTogether {
    /// It is done; so many edits of one's own were put on top.
    Done(usize),
    /// Somebody has to choose: [`OpenPlan::next_conflict`].
    Choose,
    /// It cannot be done: why.
    Refused(String),
}

impl OpenPlan {
    /// A file with its text.
    pub fn of(path: PathBuf, name: String, text: String) -> Self {
        Self {
            path: Some(path),
            name,
            sheet: PlanSheet::read(bare(&text)).ok(),
            base: text,
            undo: Vec::new(),
            redo: Vec::new(),
            saved_steps: 0,
            theirs: None,
        }
    }

    /// A plan that has no file yet.
    pub fn fresh() -> Self {
        Self {
            path: None,
            name: "new plan".to_owned(),
            base: String::new(),
            sheet: PlanSheet::read(NEW_TEXT).ok(),
            undo: Vec::new(),
            redo: Vec::new(),
            saved_steps: 0,
            theirs: None,
        }
    }

    /// The plan as it is edited; none where the file is no TOML.
    pub fn sheet(&self) -> Option<&PlanSheet> {
        self.sheet.as_ref()
    }

    /// The text as it is now, without a byte order mark.
    pub fn text(&self) -> &str {
        let sheet = self.sheet.as_ref().map(PlanSheet::text);
        sheet.unwrap_or_else(|| bare(&self.base))
    }

    /// The whole file as it would be saved.
    pub fn whole(&self) -> String {
        match self.base.starts_with(MARK) {
            true => format!("{MARK}{}", self.text()),
            false => self.text().to_owned(),
        }
    }

    /// The whole file as it was read or saved last.
    pub fn base(&self) -> &str {
        &self.base
    }

    /// Whether there is something to save.
    pub fn is_edited(&self) -> bool {
        match self.path {
            Some(_) => self.text() != bare(&self.base),
            None => self.text() != NEW_TEXT,
        }
    }

    /// So many edits can be taken back, and so many made again.
    pub fn steps(&self) -> (usize, usize) {
        (self.undo.len(), self.redo.len())
    }

    /// So many edits away from what is on the disk; as far as that is known.
    pub fn unsaved(&self) -> usize {
        self.undo.len().abs_diff(self.saved_steps)
    }

    /// Makes an edit.
    ///
    /// # Errors
    /// It cannot be made here: why, in a sentence.
    pub fn edit(&mut self, edit: &PlanEdit) -> Result<(), String> {
        self.edit_all(std::slice::from_ref(edit))
    }

    /// Makes edits that belong together: one step, or none.
    ///
    /// # Errors
    /// As [`OpenPlan::edit`].
    pub fn edit_all(&mut self, edits: &[PlanEdit]) -> Result<(), String> {
        let sheet = self.sheet.clone().ok_or(SheetRefusal::NotToml);
        let after = sheet.and_then(|sheet| {
            let mut edits = edits.iter();
            edits.try_fold(sheet, |sheet, edit| sheet.edited(edit))
        });
        let after = after.map_err(|refusal| refusal.to_string())?;
        self.put(after);
        Ok(())
    }

    fn put(&mut self, after: PlanSheet) {
        let Some(before) = self.sheet.replace(after) else {
            return;
        };
        if self
            .sheet
            .as_ref()
            .is_some_and(|after| after.text() == before.text())
        {
            return;
        }
        self.redo.clear();
        self.undo.push(before);
        if self.undo.len() > UNDO_MAX {
            self.undo.remove(0);
        }
    }

    /// Takes the last edit back; whether there was one.
    pub fn undo(&mut self) -> bool {
        let Some(before) = self.undo.pop() else {
            return false;
        };
        self.redo.extend(self.sheet.replace(before));
        true
    }

    /// Makes the edit that was taken back last again; whether there was one.
    pub fn redo(&mut self) -> bool {
        let Some(after) = self.redo.pop() else {
            return false;
        };
        self.undo.extend(self.sheet.replace(after));
        true
    }

    /// The file is on the disk now as it is here, or as it was when it was written.
    pub fn saved(&mut self, path: &Path, name: String, whole: String) {
        self.path = Some(path.to_path_buf());
        self.name = name;
        self.base = whole;
        self.theirs = None;
        self.saved_steps = self.undo.len();
    }

    /// What the file says on the disk, whenever it is looked at. Answers whether that is news.
    pub fn seen(&mut self, on_disk: &str) -> bool {
        let theirs = (on_disk != self.base).then(|| on_disk.to_owned());
        let is_news = theirs.is_some() && theirs != self.theirs;
        self.theirs = theirs;
        is_news
    }

    /// Whether the file says something else by now.
    pub fn is_overtaken(&self) -> bool {
        self.theirs.is_some()
    }

    /// Reads what the file says by now; what was edited here goes.
    pub fn take_theirs(&mut self) {
        let Some(theirs) = self.theirs.take() else {
            return;
        };
        self.sheet = PlanSheet::read(bare(&theirs)).ok();
        self.base = theirs;
        self.undo.clear();
        self.redo.clear();
        self.saved_steps = 0;
    }

    /// What comes of the edits made here on top of what the file says by now.
    ///
    /// # Errors
    /// They cannot be put together: why.
    fn merge(&self, theirs: &str, choices: &[MergeSide]) -> Result<Merged, String> {
        let read = |text: &str| PlanSheet::read(bare(text));
        let mine = self.sheet.as_ref().ok_or(SheetRefusal::NotToml);
        let all = read(&self.base).and_then(|base| Ok((base, mine?, read(theirs)?)));
        let done = all.and_then(|(base, mine, theirs)| merged(&base, mine, &theirs, choices));
        done.map_err(|refusal| match refusal {
            SheetRefusal::NotToml => "The file on the disk is no TOML as it stands: mend it there \
                                      first, or save yours beside it."
                .to_owned(),
            SheetRefusal::Form => "The two cannot be put together here: an id stands twice, or \
                                   something is written in another form. Save yours beside it."
                .to_owned(),
        })
    }

    /// The conflict that comes next after those that were chosen in, its number from 0, and how
    /// many there are; none where there is none.
    pub fn next_conflict(&self, choices: &[MergeSide]) -> Option<(Conflict, usize, usize)> {
        let done = self.merge(self.theirs.as_deref()?, choices).ok()?;
        let count = done.conflicts.len();
        let next = done.conflicts.into_iter().nth(choices.len())?;
        Some((next, choices.len(), count))
    }

    /// What is written here and what the file says by now, line by line: of what a conflict is
    /// about, or the whole of both.
    pub fn sides(&self, of: Option<&Conflict>) -> Vec<SideRow> {
        let theirs = bare(self.theirs.as_deref().unwrap_or(&self.base));
        let (here, there) = match (of, &self.sheet, PlanSheet::read(theirs)) {
            (Some(of), Some(sheet), Ok(theirs)) => {
                (sheet.lines_named(&of.table), theirs.lines_named(&of.table))
            }
            _ => (side_lines(self.text(), 1), side_lines(theirs, 1)),
        };
        side_by_side(&here, &there)
    }

    /// Reads what the file says by now and puts the edits made here on top. What was chosen in
    /// conflicts so far is handed in; nothing is done while one is open.
    pub fn put_together(&mut self, choices: &[MergeSide]) -> PutTogether {
        let Some(theirs) = self.theirs.clone() else {
            return PutTogether::Done(0);
        };
        let done = match self.merge(&theirs, choices) {
            Ok(done) => done,
            Err(why) => return PutTogether::Refused(why),
        };
        if done.conflicts.len() > choices.len() {
            return PutTogether::Choose;
        }
        self.sheet = Some(done.sheet);
        self.base = theirs;
        self.theirs = None;
        // The way back would lead past what the others wrote.
        self.undo.clear();
        self.redo.clear();
        self.saved_steps = 0;
        PutTogether::Done(done.taken)
    }

    /// The next free letter for a feature.
    pub fn free_id(&self) -> String {
        let features = self
            .sheet
            .as_ref()
            .map_or(&[][..], |sheet| sheet.features());
        let is_taken = |id: &String| features.iter().any(|one| one.shown("id") == id);
        let mut ids = (0..).map(letters);
        ids.find(|id| !is_taken(id)).unwrap_or_default()
    }

    /// The value of a field.
    pub fn shown(&self, at: TableAt, key: &str) -> &str {
        let sheet = self.sheet.as_ref();
        sheet.map_or("", |sheet| sheet.shown(at, key))
    }
}

/// A text without a byte order mark.
fn bare(text: &str) -> &str {
    text.strip_prefix(MARK).unwrap_or(text)
}

/// `A` to `Z`, then `A2` to `Z2`, …
fn letters(index: u32) -> String {
    let letter = char::from_u32('A' as u32 + index % 26).unwrap_or('A');
    match index / 26 {
        0 => letter.to_string(),
        round => format!("{letter}{}", round + 1),
    }
}

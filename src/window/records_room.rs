//! The Records room by its keys: what is looked for, which session is open and where in it, what
//! is just being typed. Nothing of it is truth, and nothing of it is kept.
//!
//! A keypad alone is enough to look: digits are looked for, `+` and `-` go through the list,
//! Enter opens, `*` reads on, Backspace leads back, `.` to the Bench.

use super::drawn::read_on;
use super::press::{NUM_LOCK_OFF, Press};
use super::records_decide::{Decision, Filling};
use super::records_facts::ReportForm;
use super::records_find::{FIND_MAX, Query};
use crate::journal::Sequence;
use crate::session::Command;

/// What is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum RecordsPage {
    /// The list of sessions.
    #[default]
    List,
    /// A session as its report will print: the pages are its parts, the record itself and, last,
    /// all readings.
    Sheet,
    /// Its check.
    Verify,
}

/// A list of numbered choices.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum RecordsMenu {
    /// What can be done with the open session.
    Record,
    /// What can be decided about the part that is seen.
    Decide,
    /// What can be signed.
    Sign,
    /// Which decision is withdrawn.
    Withdraw,
}

/// What is being done.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub enum RecordsMode {
    /// Looking.
    #[default]
    Looking,
    /// A list of choices is open.
    Choosing(RecordsMenu),
    /// Something is filled in.
    Filling(Filling),
}

/// The room's state.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct RecordsRoom {
    /// What is looked for.
    pub query: Query,
    /// The chosen session, by its place among those found.
    pub chosen: usize,
    /// What is seen.
    pub page: RecordsPage,
    /// The open session's key; empty on the list.
    pub key: String,
    /// Its page, from 0: part by part, then the record, then all readings.
    pub sheet_page: usize,
    /// So many lines of that page are passed over.
    pub skipped: usize,
    /// Reports are of the part that is seen alone.
    pub is_one_part: bool,
    /// What is being done.
    pub mode: RecordsMode,
    /// The name that was signed with last, offered again.
    pub name: String,
    /// What could not be done, in a sentence; the next press takes it away.
    pub fault: Option<String>,
}

/// What the room needs to know to understand a press.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct RecordsNow {
    /// Sessions found.
    pub found: usize,
    /// So many of them fit on the screen.
    pub fit: usize,
    /// Pages of the open session.
    pub pages: usize,
    /// The part that is seen; none: the record's own page, or that of all readings.
    pub part: Option<u32>,
    /// Lines of the page that were seen.
    pub shown: usize,
    /// It has more lines below.
    pub has_more: bool,
    /// Decisions about the part that stand, by their lines.
    pub standing: Vec<Sequence>,
    /// A check goes on.
    pub is_verifying: bool,
    /// The session is there to be seen.
    pub is_open: bool,
}

/// What a press asks for.
#[derive(Debug, Clone, PartialEq)]
pub enum RecordsAsked {
    /// Back to the Bench.
    Bench,
    /// To read the list anew.
    LookAgain,
    /// To look for what the query says now.
    Find,
    /// To open the chosen session.
    Open,
    /// To check the open session.
    Verify,
    /// To end the check.
    Cancel,
    /// To write a report or an export; of the part that is seen, or of all.
    Write(ReportForm),
    /// To add a decision to the record.
    Decide(Box<Command>),
}

impl RecordsRoom {
    /// Takes one press.
    pub fn press(&mut self, press: &Press, now: &RecordsNow) -> Vec<RecordsAsked> {
        self.fault = None;
        if *press == Press::NumLockOff {
            self.fault = Some(NUM_LOCK_OFF.to_owned());
            return Vec::new();
        }
        match std::mem::take(&mut self.mode) {
            RecordsMode::Choosing(menu) => return self.choosing(menu, press, now),
            RecordsMode::Filling(filling) => return self.filling(filling, press),
            RecordsMode::Looking => {}
        }
        match self.page {
            RecordsPage::List => self.at_list(press, now),
            RecordsPage::Sheet => self.at_sheet(press, now),
            RecordsPage::Verify => self.at_verify(press, now),
        }
    }

    fn at_list(&mut self, press: &Press, now: &RecordsNow) -> Vec<RecordsAsked> {
        let has_text = !self.query.text.is_empty();
        match press {
            Press::Up => self.choose(self.chosen.saturating_sub(1), now),
            Press::Down | Press::Plus => self.choose(self.chosen.saturating_add(1), now),
            Press::Minus if !has_text => self.choose(self.chosen.saturating_sub(1), now),
            Press::Star => {
                let next = self.chosen.saturating_add(now.fit.max(1));
                // Past the end it begins again: a keypad has no way back up.
                self.choose(if next < now.found { next } else { 0 }, now);
            }
            Press::Choose(at) if *at == self.chosen => return self.open(now),
            Press::Choose(at) => self.choose(*at, now),
            Press::Enter => return self.open(now),
            Press::Left => return self.filter(-1),
            Press::Right | Press::Slash | Press::Tab => return self.filter(1),
            Press::Escape if has_text => {
                self.query.text.clear();
                return self.looked_for();
            }
            Press::Backspace | Press::BackspaceHeld if has_text => {
                self.query.text.pop();
                return self.looked_for();
            }
            Press::Escape | Press::Backspace => return vec![RecordsAsked::Bench],
            Press::Marker if !has_text => return vec![RecordsAsked::Bench],
            Press::Space if !has_text => return vec![RecordsAsked::LookAgain],
            other => return self.write(other),
        }
        Vec::new()
    }

    fn write(&mut self, press: &Press) -> Vec<RecordsAsked> {
        let before = self.query.text.clone();
        if !write_into(&mut self.query.text, press, FIND_MAX) {
            self.fault = Some(format!(
                "No more than {FIND_MAX} characters are looked for."
            ));
        }
        match before == self.query.text {
            true => Vec::new(),
            false => self.looked_for(),
        }
    }

    fn looked_for(&mut self) -> Vec<RecordsAsked> {
        self.chosen = 0;
        vec![RecordsAsked::Find]
    }

    fn filter(&mut self, step: isize) -> Vec<RecordsAsked> {
        self.query.filter = self.query.filter.turned(step);
        self.looked_for()
    }

    fn choose(&mut self, at: usize, now: &RecordsNow) {
        self.chosen = at.min(now.found.saturating_sub(1));
    }

    fn open(&mut self, now: &RecordsNow) -> Vec<RecordsAsked> {
        if now.found == 0 {
            return vec![RecordsAsked::LookAgain];
        }
        self.page = RecordsPage::Sheet;
        (self.sheet_page, self.skipped) = (0, 0);
        vec![RecordsAsked::Open]
    }

    fn at_sheet(&mut self, press: &Press, now: &RecordsNow) -> Vec<RecordsAsked> {
        match press {
            Press::Right | Press::Plus | Press::Tab => self.turn(1, now),
            Press::Left | Press::Minus => self.turn(-1, now),
            Press::Choose(at) => self.turn_to(*at, now),
            Press::Up => self.skipped = self.skipped.saturating_sub(1),
            Press::Down if now.has_more => self.skipped = self.skipped.saturating_add(1),
            Press::Star | Press::Space => {
                self.skipped = read_on(self.skipped, (now.shown, now.has_more));
            }
            Press::Enter | Press::Slash if now.is_open => {
                self.mode = RecordsMode::Choosing(RecordsMenu::Record);
            }
            Press::Backspace | Press::Escape => self.leave(),
            Press::Marker => return vec![RecordsAsked::Bench],
            Press::Letter(letter) if now.is_open => return self.letter(*letter, now),
            _ => {}
        }
        Vec::new()
    }

    /// Back to the list, which stands as it was.
    fn leave(&mut self) {
        self.page = RecordsPage::List;
        self.key.clear();
    }

    fn turn(&mut self, step: isize, now: &RecordsNow) {
        self.turn_to(self.sheet_page.saturating_add_signed(step), now);
    }

    fn turn_to(&mut self, page: usize, now: &RecordsNow) {
        self.sheet_page = page.min(now.pages.saturating_sub(1));
        self.skipped = 0;
    }

    fn letter(&mut self, letter: char, now: &RecordsNow) -> Vec<RecordsAsked> {
        let letter = letter.to_ascii_lowercase();
        let mut forms = ReportForm::ALL.iter();
        if let Some((form, ..)) = forms.find(|(_, _, key, ..)| *key == letter) {
            return vec![RecordsAsked::Write(*form)];
        }
        match letter {
            'v' => self.verify(),
            'd' => self.decide(now),
            's' => self.sign(),
            'a' => self.all_readings(now),
            'r' => {
                self.turn_to(now.pages.saturating_sub(2), now);
                Vec::new()
            }
            'o' => {
                self.is_one_part = !self.is_one_part;
                Vec::new()
            }
            _ => Vec::new(),
        }
    }

    fn verify(&mut self) -> Vec<RecordsAsked> {
        self.page = RecordsPage::Verify;
        self.skipped = 0;
        vec![RecordsAsked::Verify]
    }

    /// The last page.
    fn all_readings(&mut self, now: &RecordsNow) -> Vec<RecordsAsked> {
        self.turn_to(now.pages.saturating_sub(1), now);
        Vec::new()
    }

    /// For the part that is seen, or where none is, for the whole session.
    fn sign(&mut self) -> Vec<RecordsAsked> {
        self.mode = RecordsMode::Choosing(RecordsMenu::Sign);
        Vec::new()
    }

    fn decide(&mut self, now: &RecordsNow) -> Vec<RecordsAsked> {
        match now.part {
            Some(_) => self.mode = RecordsMode::Choosing(RecordsMenu::Decide),
            None => {
                self.fault = Some("Go to the part first: decisions are about a part.".to_owned());
            }
        }
        Vec::new()
    }

    fn at_verify(&mut self, press: &Press, now: &RecordsNow) -> Vec<RecordsAsked> {
        match press {
            Press::Escape | Press::Backspace if now.is_verifying => {
                return vec![RecordsAsked::Cancel];
            }
            Press::Escape | Press::Backspace | Press::Left => {
                self.page = RecordsPage::Sheet;
                self.skipped = 0;
            }
            Press::Up => self.skipped = self.skipped.saturating_sub(1),
            Press::Down if now.has_more => self.skipped = self.skipped.saturating_add(1),
            Press::Star | Press::Space => {
                self.skipped = read_on(self.skipped, (now.shown, now.has_more));
            }
            Press::Enter if !now.is_verifying => return self.verify(),
            Press::Letter('v' | 'V') if !now.is_verifying => return self.verify(),
            Press::Marker if !now.is_verifying => return vec![RecordsAsked::Bench],
            _ => {}
        }
        Vec::new()
    }

    /// A press while a list of choices is open. Enter chooses nothing: what is asked here must
    /// not be answered by the press that opened it.
    fn choosing(
        &mut self,
        menu: RecordsMenu,
        press: &Press,
        now: &RecordsNow,
    ) -> Vec<RecordsAsked> {
        let key = match press {
            Press::Escape | Press::Backspace => return Vec::new(),
            Press::Digit(digit) => *digit,
            _ => {
                self.mode = RecordsMode::Choosing(menu);
                return Vec::new();
            }
        };
        if menu == RecordsMenu::Record {
            return self.chosen_in_record(key, now);
        }
        // Of no part: the whole session, which can only be signed for.
        let part = now.part.unwrap_or(0);
        match (menu, Decision::of(menu, key, &now.standing)) {
            (RecordsMenu::Decide, _) if key == '6' && !now.standing.is_empty() => {
                self.mode = RecordsMode::Choosing(RecordsMenu::Withdraw);
            }
            (_, Some(deed)) => {
                self.mode = RecordsMode::Filling(Filling::new(deed, part, &self.name));
            }
            (_, None) => {
                self.fault = Some(format!("{key} is none of the choices."));
                self.mode = RecordsMode::Choosing(menu);
            }
        }
        Vec::new()
    }

    fn chosen_in_record(&mut self, key: char, now: &RecordsNow) -> Vec<RecordsAsked> {
        let mut forms = ReportForm::ALL.iter();
        if let Some((form, ..)) = forms.find(|(_, digit, ..)| *digit == key) {
            return vec![RecordsAsked::Write(*form)];
        }
        match key {
            '6' => self.verify(),
            '7' if now.part.is_some() => self.decide(now),
            '8' => self.sign(),
            '0' => self.all_readings(now),
            '9' if now.part.is_some() => {
                self.is_one_part = !self.is_one_part;
                self.mode = RecordsMode::Choosing(RecordsMenu::Record);
                Vec::new()
            }
            other => {
                self.fault = Some(format!("{other} is none of the choices."));
                self.mode = RecordsMode::Choosing(RecordsMenu::Record);
                Vec::new()
            }
        }
    }

    /// Enter goes on to the next field and, after the last, decides; Up goes back to the last one.
    fn filling(&mut self, mut filling: Filling, press: &Press) -> Vec<RecordsAsked> {
        match press {
            Press::Escape => return Vec::new(),
            Press::Backspace if filling.text().is_empty() && filling.at == 0 => {
                return Vec::new();
            }
            Press::Backspace if filling.text().is_empty() => filling.at -= 1,
            Press::Up => filling.at = filling.at.saturating_sub(1),
            Press::Enter => match filling.enter() {
                Ok(None) => {}
                Ok(Some(command)) => {
                    self.name = filling.name().to_owned();
                    // It stays open until it is done: a refusal must not cost what was typed.
                    self.mode = RecordsMode::Filling(filling);
                    return vec![RecordsAsked::Decide(Box::new(command))];
                }
                Err(fault) => self.fault = Some(fault),
            },
            other => self.fault = filling.write(other),
        }
        self.mode = RecordsMode::Filling(filling);
        Vec::new()
    }

    /// What was asked for has been answered.
    pub fn answered(&mut self, is_fault: bool) {
        if !is_fault && matches!(self.mode, RecordsMode::Filling(_)) {
            self.mode = RecordsMode::Looking;
        }
    }
}

/// Writes what a press writes; answers whether there was room for it.
pub(super) fn write_into(text: &mut String, press: &Press, most: usize) -> bool {
    let written: String = match press {
        Press::Pasted(pasted) | Press::Burst(pasted) => pasted.trim().to_owned(),
        Press::Backspace | Press::BackspaceHeld => {
            text.pop();
            return true;
        }
        other => other.character().into_iter().collect(),
    };
    let mut left = most.saturating_sub(text.chars().count());
    for character in written.chars().filter(|one| !one.is_control()) {
        if left == 0 {
            return false;
        }
        text.push(character);
        left -= 1;
    }
    true
}

//! The pages of the Pairs room where a batch of holes meets a batch of shafts, by their keys: the
//! two rows with their links, the list to work from, and the measured mates of the part at hand.
//! Nothing of it is truth, and nothing of it is kept.
//!
//! A keypad alone is enough: `+` and `-` go on and back, `/` takes the other objective, Enter goes
//! from the rows to the list and picks a mate, `0` reads the records again or ends the reading.

use std::collections::BTreeMap;

use super::drawn::read_on;
use super::press::Press;
use crate::session::{Objective, SizeNow};

/// Which of the pages is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum LinksPage {
    /// None of them: the pair itself.
    #[default]
    Closed,
    /// Both rows with their links.
    Rows,
    /// The pairs one below the other.
    List,
    /// The measured parts of a half that another plan makes.
    Mates,
}

/// What is seen of the pages.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct LinksRoom {
    /// The page.
    pub page: LinksPage,
    /// How the batch is put together.
    pub objective: Objective,
    /// So many places, or lines, are passed over.
    pub from: usize,
    /// The chosen mate.
    pub chosen: usize,
    /// So many sentences are passed over.
    pub skipped: usize,
    /// Mates that were picked to be looked at, by the pair's place.
    pub picked: BTreeMap<usize, SizeNow>,
}

/// What the pages need to know to understand a press.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct LinksNow {
    /// So many places, lines or mates there are.
    pub count: usize,
    /// So many of them were seen.
    pub fit: usize,
    /// So many sentences were seen.
    pub said: usize,
    /// There are more sentences below.
    pub has_more: bool,
    /// Records are being read.
    pub is_reading: bool,
    /// A half of the pair is made by another plan.
    pub has_mates: bool,
}

/// What a press asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LinksAsked {
    /// To read the records again.
    LookAgain,
    /// To end the reading.
    Cancel,
    /// To look at that measured mate together with the part at hand.
    Pick(usize),
}

impl LinksRoom {
    /// Opens a page from its beginning.
    pub fn open(&mut self, page: LinksPage) {
        self.page = page;
        (self.from, self.chosen, self.skipped) = (0, 0, 0);
    }

    /// Takes one press while a page is open; `pair` is the place of the pair.
    pub fn press(&mut self, press: &Press, pair: usize, now: LinksNow) -> Option<LinksAsked> {
        match (self.page, press) {
            (LinksPage::Closed, _) => {}
            (_, Press::Digit('0')) if now.is_reading => return Some(LinksAsked::Cancel),
            (LinksPage::Mates, _) => return self.press_at_mates(press, pair, now),
            (_, Press::Digit('0')) => return Some(LinksAsked::LookAgain),
            (page, Press::Backspace | Press::Escape | Press::Marker) => {
                self.open(match page {
                    LinksPage::List => LinksPage::Rows,
                    _ => LinksPage::Closed,
                });
            }
            (LinksPage::Rows, Press::Enter) => self.open(LinksPage::List),
            (LinksPage::List, Press::Enter) => self.open(LinksPage::Rows),
            (_, Press::Slash) => {
                self.objective = match self.objective {
                    Objective::Nearest => Objective::Most,
                    Objective::Most => Objective::Nearest,
                };
                (self.from, self.skipped) = (0, 0);
            }
            (LinksPage::Rows, Press::Star | Press::Space) => {
                self.skipped = read_on(self.skipped, (now.said, now.has_more));
            }
            // Past the end it begins again.
            (LinksPage::List, Press::Star | Press::Space) => {
                let next = self.from.saturating_add(now.fit.max(1));
                self.from = if next < now.count { next } else { 0 };
            }
            (_, Press::Plus | Press::Down | Press::Right | Press::Tab) => {
                let next = self.from.saturating_add(now.fit.max(1));
                if next < now.count {
                    self.from = next;
                }
            }
            (_, Press::Minus | Press::Up | Press::Left) => {
                self.from = self.from.saturating_sub(now.fit.max(1));
            }
            _ => {}
        }
        None
    }

    fn press_at_mates(&mut self, press: &Press, pair: usize, now: LinksNow) -> Option<LinksAsked> {
        let last = now.count.saturating_sub(1);
        self.chosen = self.chosen.min(last);
        match press {
            Press::Plus | Press::Down | Press::Right | Press::Tab => {
                self.chosen = self.chosen.saturating_add(1).min(last);
            }
            Press::Minus | Press::Up | Press::Left => self.chosen = self.chosen.saturating_sub(1),
            Press::Star | Press::Space => {
                let next = self.chosen.saturating_add(now.fit.max(1));
                self.chosen = match self.chosen {
                    at if at == last => 0,
                    _ => next.min(last),
                };
            }
            Press::Enter | Press::Choose(_) if now.count > 0 => {
                let at = match press {
                    Press::Choose(at) => (*at).min(last),
                    _ => self.chosen,
                };
                self.open(LinksPage::Closed);
                return Some(LinksAsked::Pick(at));
            }
            Press::Digit('0') => {
                self.picked.remove(&pair);
                self.open(LinksPage::Closed);
            }
            Press::Slash => return Some(LinksAsked::LookAgain),
            Press::Backspace | Press::Escape | Press::Marker => self.open(LinksPage::Closed),
            _ => {}
        }
        None
    }
}

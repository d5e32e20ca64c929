//! The Batch room by its keys: which characteristic is seen, which page of it, how far one has
//! read on. Nothing of it is truth, and nothing of it is kept.
//!
//! A keypad alone is enough: digits open pages, `+` and `-` go through the characteristics, Enter
//! turns to the next page, `*` reads on, `/` keeps the chart, Backspace leads back, `.` to the
//! Bench.

use super::drawn::read_on;
use super::press::{NUM_LOCK_OFF, Press};

const NO_CHART: &str = "This page has no chart that could be kept.";

/// What is seen.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Hash)]
pub enum BatchPage {
    /// All parts by all characteristics.
    Table,
    /// The values in their order.
    #[default]
    Run,
    /// The row in force with its control limits and signals.
    Control,
    /// How far neighbours lie apart, or the points of a part.
    Spread,
    /// How the values lie between the limits.
    Histogram,
    /// Capability as intervals.
    Capability,
    /// The line through the row in force, and when it reaches a limit.
    Trend,
    /// What to do next.
    Advice,
}

impl BatchPage {
    /// All of them, with the digit that opens each and its name.
    pub const ALL: [(Self, char, &'static str); 8] = [
        (Self::Table, '0', "table"),
        (Self::Run, '1', "run"),
        (Self::Control, '2', "control"),
        (Self::Spread, '3', "spread"),
        (Self::Histogram, '4', "histogram"),
        (Self::Capability, '5', "capability"),
        (Self::Trend, '6', "trend"),
        (Self::Advice, '7', "advice"),
    ];

    fn next(self) -> Self {
        let at = Self::ALL.iter().position(|(page, ..)| *page == self);
        let next = at.map_or(0, |at| at + 1) % Self::ALL.len();
        Self::ALL.get(next).map_or(Self::Run, |(page, ..)| *page)
    }

    /// Its name: `run`.
    pub fn name(self) -> &'static str {
        let mut all = Self::ALL.iter();
        all.find(|(page, ..)| *page == self)
            .map_or("", |(.., name)| name)
    }
}

/// In which form a chart is kept.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ChartForm {
    /// Pixels.
    Png,
    /// Lines and texts.
    Svg,
}

impl ChartForm {
    /// How the name of its file ends.
    pub fn ends(self) -> &'static str {
        match self {
            Self::Png => "png",
            Self::Svg => "svg",
        }
    }
}

/// The room's state.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct BatchRoom {
    /// What is seen.
    pub page: BatchPage,
    /// The characteristic, by its place in measuring order.
    pub chosen: usize,
    /// So many lines of the page, or rows of the table, are passed over.
    pub skipped: usize,
    /// It is asked in which form the chart is to be kept.
    pub is_keeping: bool,
    /// What could not be done, in a sentence; the next press takes it away.
    pub fault: Option<String>,
}

/// What the room needs to know to understand a press.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BatchNow {
    /// So many characteristics there are.
    pub characteristics: usize,
    /// Lines, or rows, that were seen.
    pub shown: usize,
    /// There are more below.
    pub has_more: bool,
    /// The page has a chart.
    pub has_chart: bool,
}

/// What a press asks for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BatchAsked {
    /// Back to the Bench.
    Bench,
    /// To keep the chart that is seen.
    Keep(ChartForm),
}

impl BatchRoom {
    /// The room at a characteristic.
    pub fn at(chosen: usize) -> Self {
        Self {
            chosen,
            ..Self::default()
        }
    }

    /// Takes one press.
    pub fn press(&mut self, press: &Press, now: BatchNow) -> Option<BatchAsked> {
        self.fault = None;
        if *press == Press::NumLockOff {
            self.fault = Some(NUM_LOCK_OFF.to_owned());
            return None;
        }
        if std::mem::take(&mut self.is_keeping) {
            return self.keeping(press);
        }
        match press {
            Press::Digit(digit) => self.open(*digit),
            Press::Plus | Press::Right | Press::Tab => {
                self.choose(self.chosen.saturating_add(1), now);
            }
            Press::Minus | Press::Left => self.choose(self.chosen.saturating_sub(1), now),
            Press::Choose(at) => self.choose(*at, now),
            Press::Enter => self.turn_to(self.page.next()),
            Press::Up => self.skipped = self.skipped.saturating_sub(1),
            Press::Down if now.has_more => self.skipped = self.skipped.saturating_add(1),
            Press::Star | Press::Space => {
                self.skipped = read_on(self.skipped, (now.shown, now.has_more));
            }
            Press::Slash if now.has_chart => self.is_keeping = true,
            Press::Letter('p' | 'P') if now.has_chart => {
                return Some(BatchAsked::Keep(ChartForm::Png));
            }
            Press::Letter('s' | 'S') if now.has_chart => {
                return Some(BatchAsked::Keep(ChartForm::Svg));
            }
            Press::Slash | Press::Letter('p' | 'P' | 's' | 'S') => {
                self.fault = Some(NO_CHART.to_owned());
            }
            Press::Backspace | Press::Escape if self.page != BatchPage::Table => {
                self.turn_to(BatchPage::Table);
            }
            Press::Backspace | Press::Escape | Press::Marker => return Some(BatchAsked::Bench),
            _ => {}
        }
        None
    }

    fn open(&mut self, digit: char) {
        let mut pages = BatchPage::ALL.iter();
        match pages.find(|(_, key, _)| *key == digit) {
            Some((page, ..)) => self.turn_to(*page),
            None => self.fault = Some(format!("{digit} is none of the pages.")),
        }
    }

    fn turn_to(&mut self, page: BatchPage) {
        self.page = page;
        self.skipped = 0;
    }

    /// In the table the rows stay where they are: only the column changes.
    fn choose(&mut self, at: usize, now: BatchNow) {
        self.chosen = at.min(now.characteristics.saturating_sub(1));
        if self.page != BatchPage::Table {
            self.skipped = 0;
        }
    }

    /// A press while it is asked in which form. Enter chooses nothing.
    fn keeping(&mut self, press: &Press) -> Option<BatchAsked> {
        let form = match press {
            Press::Digit('1') | Press::Letter('p' | 'P') => ChartForm::Png,
            Press::Digit('2') | Press::Letter('s' | 'S') => ChartForm::Svg,
            Press::Escape | Press::Backspace => return None,
            Press::Digit(digit) => {
                self.fault = Some(format!("{digit} is none of the choices."));
                self.is_keeping = true;
                return None;
            }
            _ => {
                self.is_keeping = true;
                return None;
            }
        };
        Some(BatchAsked::Keep(form))
    }
}

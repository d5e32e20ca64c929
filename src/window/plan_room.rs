//! The Plan room by its keys: which plan is open, where one is in it, what is typed, what wants an
//! answer. What is edited is the text of the open plan, and nothing of it is on the disk before it
//! is saved.

mod answering;
mod editing;

use super::drawn::read_on;
use super::plan_open::OpenPlan;
use super::plan_typing::PlanTyping;
use super::press::{NUM_LOCK_OFF, Press, no_session};
use crate::plan::{MergeSide, PlanField, TableAt};

const NOT_TOML: &str = "The file is no TOML as it stands: mend that place in a text editor. It is \
                        read again as soon as it changes.";

/// A page of an open plan.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum PlanPage {
    /// Its features.
    #[default]
    Features,
    /// The part and the rules.
    Head,
    /// Its pairs.
    Pairs,
    /// What is wrong, and what to look at.
    Faults,
}

impl PlanPage {
    /// All of them with the digits that open them.
    pub const ALL: [(Self, char); 4] = [
        (Self::Features, '1'),
        (Self::Head, '2'),
        (Self::Pairs, '3'),
        (Self::Faults, '4'),
    ];
}

/// Where one wants to when something is not saved.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum LeaveTo {
    /// To the Bench, or another room.
    Room(u8),
    /// To the list of files.
    Files,
    /// Out of the window.
    Quit,
}

/// What wants an answer.
#[derive(Debug, Clone, PartialEq)]
pub enum PlanQuestion {
    /// Somebody else changed the file.
    Overtaken,
    /// Both changed the same place; what was chosen before.
    Conflict(Vec<MergeSide>),
    /// The file is gone.
    Gone,
    /// Edits are not saved.
    Leave(LeaveTo),
}

/// The room's state.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct PlanRoom {
    /// The open plan; none: the list of files is seen.
    pub open: Option<OpenPlan>,
    /// The chosen entry of the list of files; the last one begins a new plan.
    pub file: usize,
    /// The page.
    pub page: PlanPage,
    /// The chosen row of the page.
    pub row: usize,
    /// The chosen field, while the fields of the row are seen.
    pub field: Option<usize>,
    /// What is typed.
    pub typing: Option<PlanTyping>,
    /// A new row is being filled in: typing goes on up to this field.
    filling: Option<usize>,
    /// What wants an answer.
    pub question: Option<PlanQuestion>,
    /// Where one goes once it is saved.
    pub after_save: Option<LeaveTo>,
    /// So many sentences are passed over.
    pub skipped: usize,
    /// What could not be done, or what was; the next press takes it away.
    pub said: Option<String>,
}

/// What the room needs to know to understand a press.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct PlanNow {
    /// So many plan files are listed.
    pub files: usize,
    /// The fields that the rows of the page of faults lead to.
    pub faults: Vec<(Option<TableAt>, Option<String>)>,
    /// The gauges that may be named for the chosen feature, the best first.
    pub gauges: Vec<String>,
    /// The metal to leave that was learned for the chosen feature, as it is written in the plan;
    /// none where none was, or the plan says so already.
    pub leave: Option<String>,
    /// Sentences that were seen.
    pub shown: usize,
    /// There are more below.
    pub has_more: bool,
}

/// What a press asks for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PlanAsked {
    /// To another room; 1 is the Bench.
    Room(u8),
    /// To close the window.
    Quit,
    /// To open the file of that place in the list.
    Open(usize),
    /// To save.
    Save,
    /// To save under that name, which is new.
    SaveAs(String),
    /// To write a file anew that is gone.
    WriteAnew,
    /// To save this text beside the file, under a name that says so: `mine`.
    Beside,
    /// To keep what is here as a `draft` beside the file, then to read the file.
    DraftAndReload,
    /// To keep what is here as a `draft`, then to leave.
    DraftAndLeave(LeaveTo),
    /// To measure by the open plan.
    Measure,
}

impl PlanRoom {
    /// The table that the fields are of.
    pub fn table(&self) -> Option<TableAt> {
        let sheet = self.open.as_ref()?.sheet()?;
        match self.page {
            PlanPage::Features => {
                let order = sheet.order();
                order.get(self.row).copied().map(TableAt::Feature)
            }
            PlanPage::Pairs => (self.row < sheet.pairs().len()).then_some(TableAt::Pair(self.row)),
            PlanPage::Head | PlanPage::Faults => None,
        }
    }

    /// The fields that are seen, each with its table.
    pub fn fields(&self) -> Vec<(TableAt, &'static PlanField)> {
        let of = |at: TableAt| {
            PlanField::all(at.name())
                .iter()
                .map(move |field| (at, field))
        };
        match (self.page, self.table()) {
            (PlanPage::Head, _) => of(TableAt::Part).chain(of(TableAt::Rules)).collect(),
            (_, Some(at)) => of(at).collect(),
            (_, None) => Vec::new(),
        }
    }

    /// So many rows the page has.
    fn rows(&self, now: &PlanNow) -> usize {
        let sheet = self.open.as_ref().and_then(OpenPlan::sheet);
        match self.page {
            PlanPage::Features => sheet.map_or(0, |sheet| sheet.features().len()),
            PlanPage::Pairs => sheet.map_or(0, |sheet| sheet.pairs().len()),
            PlanPage::Faults => now.faults.len(),
            PlanPage::Head => 0,
        }
    }

    /// Whether characters are text just now, a comma among them.
    pub fn is_writing(&self) -> bool {
        self.typing.is_some()
    }

    /// Whether something would be lost.
    pub fn is_edited(&self) -> bool {
        self.open.as_ref().is_some_and(OpenPlan::is_edited)
    }

    /// Wants to leave; asks first where something is not saved. Answers where to at once.
    pub fn leave(&mut self, to: LeaveTo) -> Option<PlanAsked> {
        self.typing = None;
        if self.is_edited() {
            self.question = Some(PlanQuestion::Leave(to));
            return None;
        }
        self.left(to)
    }

    /// Goes, whatever is not saved.
    pub fn left(&mut self, to: LeaveTo) -> Option<PlanAsked> {
        self.question = None;
        match to {
            LeaveTo::Room(key) => Some(PlanAsked::Room(key)),
            LeaveTo::Quit => Some(PlanAsked::Quit),
            LeaveTo::Files => {
                *self = Self {
                    file: self.file,
                    ..Self::default()
                };
                None
            }
        }
    }

    /// Opens a plan.
    pub fn opened(&mut self, plan: OpenPlan) {
        *self = Self {
            file: self.file,
            page: match (&plan.path, plan.sheet()) {
                (Some(_), Some(_)) => PlanPage::Features,
                (Some(_), None) => PlanPage::Faults,
                (None, _) => PlanPage::Head,
            },
            open: Some(plan),
            ..Self::default()
        };
    }

    /// Takes one press.
    pub fn press(&mut self, press: &Press, now: &PlanNow) -> Option<PlanAsked> {
        self.said = None;
        if *press == Press::NumLockOff {
            self.said = Some(NUM_LOCK_OFF.to_owned());
            return None;
        }
        if let Press::Burst(text) = press {
            self.said = Some(no_session(text));
            return None;
        }
        if let Some(question) = self.question.clone() {
            return self.answer(press, question, now);
        }
        if self.typing.is_some() {
            return self.type_into(press, now);
        }
        if *press == Press::Star || *press == Press::Space {
            self.read_on(now);
            return None;
        }
        if let (Press::Letter('a' | 'A'), Some(leave)) = (press, &now.leave) {
            self.take_leave(leave);
            return None;
        }
        match (&self.open, self.field, self.page) {
            (None, ..) => self.press_at_files(press, now),
            (Some(_), Some(_), _) | (Some(_), None, PlanPage::Head) => {
                self.press_at_fields(press, now)
            }
            (Some(_), None, _) => self.press_at_rows(press, now),
        }
    }

    fn read_on(&mut self, now: &PlanNow) {
        self.skipped = read_on(self.skipped, (now.shown, now.has_more));
    }

    fn press_at_files(&mut self, press: &Press, now: &PlanNow) -> Option<PlanAsked> {
        let file = match press {
            Press::Down | Press::Plus | Press::Right | Press::Tab => self.file.saturating_add(1),
            Press::Up | Press::Minus | Press::Left => self.file.saturating_sub(1),
            Press::Choose(at) => *at,
            Press::Letter('n' | 'N') => {
                self.opened(OpenPlan::fresh());
                self.field = Some(0);
                return None;
            }
            Press::Enter if self.file < now.files => return Some(PlanAsked::Open(self.file)),
            Press::Enter => {
                self.opened(OpenPlan::fresh());
                self.field = Some(0);
                return None;
            }
            Press::Marker | Press::Backspace | Press::Escape => return Some(PlanAsked::Room(1)),
            _ => self.file,
        };
        self.file = file.min(now.files);
        None
    }

    /// What is the same on every page. Answers whether the press was taken.
    fn press_anywhere(&mut self, press: &Press) -> Option<Option<PlanAsked>> {
        match press {
            Press::Digit(digit) => {
                let mut pages = PlanPage::ALL.iter();
                let (page, _) = pages.find(|(_, key)| key == digit)?;
                self.page = *page;
                self.row = 0;
                self.skipped = 0;
                self.field = (*page == PlanPage::Head).then_some(0);
                Some(None)
            }
            Press::Letter('u' | 'U') => {
                let open = self.open.as_mut()?;
                if !open.undo() {
                    self.said = Some("There is nothing to take back.".to_owned());
                }
                self.inside();
                Some(None)
            }
            Press::Letter('y' | 'Y') => {
                let open = self.open.as_mut()?;
                if !open.redo() {
                    self.said = Some("Nothing was taken back.".to_owned());
                }
                self.inside();
                Some(None)
            }
            Press::Letter('s' | 'S') => Some(self.save()),
            Press::Letter('c' | 'C') if self.open.as_ref()?.is_overtaken() => {
                self.overtaken();
                Some(None)
            }
            Press::Letter('o' | 'O') => Some(self.leave(LeaveTo::Files)),
            Press::Letter('m' | 'M') => Some(Some(PlanAsked::Measure)),
            Press::Marker => Some(self.leave(LeaveTo::Room(1))),
            _ => None,
        }
    }

    /// Undone edits may have taken the chosen row away.
    pub(super) fn inside(&mut self) {
        let rows = self.rows(&PlanNow::default());
        if self.page != PlanPage::Faults {
            self.row = self.row.min(rows.saturating_sub(1));
        }
        if self.table().is_none() && self.page != PlanPage::Head {
            self.field = None;
        }
        self.skipped = 0;
    }

    /// Saves, or asks for a name, or says that somebody else changed the file.
    fn save(&mut self) -> Option<PlanAsked> {
        let open = self.open.as_ref()?;
        if open.path.is_none() {
            let name = open.shown(TableAt::Part, "name");
            self.typing = Some(PlanTyping::file_name(name));
            return None;
        }
        if open.is_overtaken() {
            self.overtaken();
            return None;
        }
        if !open.is_edited() {
            self.said = Some("Nothing was changed since it was saved.".to_owned());
            return None;
        }
        Some(PlanAsked::Save)
    }

    /// Asks what is to be done with both sides.
    pub fn overtaken(&mut self) {
        self.question = Some(PlanQuestion::Overtaken);
        self.skipped = 0;
    }

    fn press_at_rows(&mut self, press: &Press, now: &PlanNow) -> Option<PlanAsked> {
        let rows = self.rows(now);
        let last = rows.saturating_sub(1);
        match press {
            Press::Down | Press::Plus | Press::Right | Press::Tab => {
                self.choose(self.row.saturating_add(1).min(last));
            }
            Press::Up | Press::Minus | Press::Left => self.choose(self.row.saturating_sub(1)),
            Press::Choose(at) => self.choose((*at).min(last)),
            Press::Enter if self.page == PlanPage::Faults => self.go_to_fault(now),
            Press::Enter if rows > 0 => self.field = Some(0),
            Press::Letter('n' | 'N') => self.add(),
            Press::Letter('x' | 'X') => self.remove(),
            Press::Letter('e' | 'E') => self.shift(false),
            Press::Letter('l' | 'L') => self.shift(true),
            Press::Backspace | Press::Escape => return self.leave(LeaveTo::Room(1)),
            other => return self.press_anywhere(other).flatten(),
        }
        None
    }

    fn choose(&mut self, row: usize) {
        if row != self.row {
            self.skipped = 0;
        }
        self.row = row;
    }

    /// To the field that the chosen fault is about.
    fn go_to_fault(&mut self, now: &PlanNow) {
        let Some((Some(at), key)) = now.faults.get(self.row).cloned() else {
            return;
        };
        let sheet = self.open.as_ref().and_then(OpenPlan::sheet);
        let order = sheet.map(|sheet| sheet.order()).unwrap_or_default();
        (self.page, self.row) = match at {
            TableAt::Part | TableAt::Rules => (PlanPage::Head, 0),
            TableAt::Pair(at) => (PlanPage::Pairs, at),
            TableAt::Feature(at) => {
                let row = order.iter().position(|one| *one == at);
                (PlanPage::Features, row.unwrap_or(0))
            }
        };
        let fields = self.fields();
        let mut fields = fields.iter();
        let found = fields.position(|(of, field)| *of == at && Some(field.key) == key.as_deref());
        self.field = Some(found.unwrap_or(0));
        self.skipped = 0;
    }

    fn press_at_fields(&mut self, press: &Press, now: &PlanNow) -> Option<PlanAsked> {
        let last = self.fields().len().saturating_sub(1);
        let at = self.field.unwrap_or(0).min(last);
        match press {
            Press::Down | Press::Plus | Press::Tab => self.field = Some((at + 1).min(last)),
            Press::Up | Press::Minus => self.field = Some(at.saturating_sub(1)),
            Press::Choose(at) if self.field == Some(*at) => self.begin_typing(*at),
            Press::Choose(at) => self.field = Some((*at).min(last)),
            Press::Enter => self.begin_typing(at),
            Press::Left | Press::Right if self.page != PlanPage::Head => {
                let rows = self.rows(now);
                let row = match press {
                    Press::Left => self.row.saturating_sub(1),
                    _ => self.row.saturating_add(1).min(rows.saturating_sub(1)),
                };
                self.choose(row);
            }
            Press::Backspace | Press::Escape if self.page == PlanPage::Head => {
                self.page = PlanPage::Features;
                self.field = None;
            }
            Press::Backspace | Press::Escape => self.field = None,
            other => return self.press_anywhere(other).flatten(),
        }
        None
    }
}

//! The Plan room in the window: it is entered, pressed and drawn while a session goes on behind;
//! what it asks of the disk is done here.

use std::path::{Path, PathBuf};

use eframe::egui::{Context, Ui, ViewportCommand};

use super::seen::SeenRoom;
use super::{Room, Window};
use crate::plan::Plan;
use crate::session::{GaugesSaid, PlanKey};
use crate::tolerance::Tables;
use crate::window::drawn::PageDrawn;
use crate::window::look::Look;
use crate::window::plan_disk::{PlanKept, PlanShelf, PlanShelfFacts, WatchingGauges, WatchingPlan};
use crate::window::plan_learned::{LearnedHandle, LearnedTold, learned_ends};
use crate::window::plan_open::OpenPlan;
use crate::window::plan_room::{LeaveTo, PlanAsked, PlanQuestion, PlanRoom};
use crate::window::plan_sense::PlanSense;
use crate::window::plan_ui::plan_ui;
use crate::window::press::Press;

use crate::window::view::{PlanSeen, counted, plan_now, plan_view, typed_sheet};

/// The function key of the Plan room.
pub(super) const PLAN_KEY: u8 = 2;

/// The room, while it is seen.
pub(super) struct AtPlan {
    room: PlanRoom,
    shelf: Box<dyn PlanShelf>,
    facts: PlanShelfFacts,
    watch: Option<Box<dyn WatchingPlan>>,
    gauges: Option<Box<dyn WatchingGauges>>,
    /// What the text comes to, and what it came to before something was typed.
    sense: Sensed,
    before: Sensed,
    /// What looks for what earlier batches teach, and what it has told.
    learning: LearnedHandle,
    learned: LearnedTold,
    drawn: PageDrawn,
}

/// What a text comes to, kept as long as it is the same.
#[derive(Default)]
struct Sensed {
    text: Option<String>,
    sense: PlanSense,
}

impl Sensed {
    fn look(&mut self, sheet: &crate::plan::PlanSheet, label: &str, facts: &PlanShelfFacts) {
        if self.text.as_deref() == Some(sheet.text()) {
            return;
        }
        self.sense = PlanSense::of(sheet, label, facts);
        self.text = Some(sheet.text().to_owned());
    }
}

impl AtPlan {
    /// What the plan comes to, worked out where it has changed.
    fn look(&mut self) {
        let Some(open) = &self.room.open else {
            return;
        };
        match (open.sheet(), typed_sheet(&self.room)) {
            (Some(sheet), Some(typed)) => {
                self.before.look(sheet, &open.name, &self.facts);
                self.sense.look(&typed, &open.name, &self.facts);
            }
            _ => self.sense_of_text(),
        }
        self.learn();
    }

    /// Asks for what the records of the part teach, and takes in what has come. A name that is just
    /// being typed is no part yet.
    fn learn(&mut self) {
        let plan = self.before.sense.sound.plan.as_ref();
        let key = plan.and_then(PlanKey::of);
        if let Some(key) = &key {
            self.learning.ask(key);
        }
        self.learned = self.learning.told(key.as_ref());
    }

    /// Of a file that is no TOML only the faults are told.
    fn sense_of_text(&mut self) {
        let Some(open) = &self.room.open else { return };
        if self.sense.text.as_deref() == Some(open.text()) {
            return;
        }
        self.sense.sense = PlanSense::of_text(open.text(), &open.name, &self.facts);
        self.sense.text = Some(open.text().to_owned());
    }

    /// What the plan and the register say by now, where that is news.
    fn hear(&mut self) {
        let news = self.gauges.as_ref().and_then(|watch| watch.news());
        if let Some(said) = news {
            self.hear_gauges(said);
        }
        let news = self.watch.as_ref().and_then(|watch| watch.news());
        let (Some(text), Some(open)) = (news, &mut self.room.open) else {
            return;
        };
        if !open.seen(&text) {
            return;
        }
        if !open.is_edited() {
            open.take_theirs();
            self.room.inside();
            self.room.said = Some("The file was changed, and has been read again.".to_owned());
        }
    }

    /// What can prove what is told anew.
    fn hear_gauges(&mut self, said: GaugesSaid) {
        let is_gone = said == GaugesSaid::NotThere;
        self.facts.hear_gauges(said);
        self.forget_sense();
        let is_fault = self.facts.gauges_fault.is_some();
        let told = match (is_fault, is_gone, self.facts.gauges.is_empty()) {
            (true, _, false) => {
                "gauges.toml was changed and cannot be used as it stands: the last one that was \
                 sound still counts."
            }
            (true, _, true) => "gauges.toml was changed and cannot be used as it stands.",
            (false, true, _) => "gauges.toml is gone: the register has no gauge now.",
            (false, false, _) => "gauges.toml was changed, and has been read again.",
        };
        self.room.said = Some(told.to_owned());
    }

    fn forget_sense(&mut self) {
        self.before.text = None;
        self.sense.text = None;
    }

    /// Looks up what there is.
    fn look_up(&mut self) {
        self.facts = self.shelf.facts().after(&self.facts);
        self.gauges = self.shelf.watch_gauges(&self.facts.gauges_said);
        self.forget_sense();
    }

    fn open(&mut self, path: &Path) {
        match self.shelf.read(path) {
            Ok(text) => {
                self.watch = self.shelf.watch(path, &text);
                let name = self.shelf.name(path);
                self.room
                    .opened(OpenPlan::of(path.to_path_buf(), name, text));
            }
            Err(why) => self.room.said = Some(why),
        }
    }

    /// What came of writing the open plan itself. Answers whether it is on the disk.
    fn kept(&mut self, kept: PlanKept, whole: String) -> bool {
        let Some(open) = &mut self.room.open else {
            return false;
        };
        match kept {
            PlanKept::At(path) => {
                let name = self.shelf.name(&path);
                let faults = match self.sense.sense.sound.count() {
                    0 => String::new(),
                    1 => " It has 1 fault: no session begins with it before that is mended.".into(),
                    many => format!(" It has {many} faults: no session begins with it as it is."),
                };
                self.room.said = Some(format!("Saved: {name}.{faults}"));
                self.watch = self.shelf.watch(&path, &whole);
                open.saved(&path, name, whole);
                return true;
            }
            PlanKept::Overtaken(now) => {
                open.seen(&now);
                self.room.overtaken();
            }
            PlanKept::Gone => self.room.question = Some(PlanQuestion::Gone),
            PlanKept::Failed(why) => self.room.said = Some(why),
        }
        false
    }

    fn save(&mut self, asked: &PlanAsked) -> bool {
        let Some(open) = &self.room.open else {
            return false;
        };
        let whole = open.whole();
        let kept = match (asked, &open.path) {
            (PlanAsked::SaveAs(name), _) => match named(name) {
                Some(path) => self.shelf.create(&path, &whole),
                None => PlanKept::Failed("No name is typed: it was not saved.".to_owned()),
            },
            (PlanAsked::WriteAnew, Some(path)) => self.shelf.create(path, &whole),
            (_, Some(path)) => self.shelf.replace(path, open.base(), &whole),
            (_, None) => return false,
        };
        self.kept(kept, whole)
    }

    /// Keeps what is here beside the file, under a name with that word; its path, or none where it
    /// failed.
    fn beside(&mut self, word: &str) -> Option<PathBuf> {
        let open = self.room.open.as_ref()?;
        match self.shelf.beside(open.path.as_deref(), word, &open.whole()) {
            PlanKept::At(path) => Some(path),
            PlanKept::Failed(why) => {
                self.room.said = Some(why);
                None
            }
            PlanKept::Overtaken(_) | PlanKept::Gone => None,
        }
    }

    fn save_mine_beside(&mut self) {
        let Some(path) = self.beside("mine") else {
            return;
        };
        if let Some(open) = &mut self.room.open {
            let whole = open.whole();
            let name = self.shelf.name(&path);
            self.watch = self.shelf.watch(&path, &whole);
            self.room.said = Some(format!("Saved as {name}, which is open now."));
            open.saved(&path, name, whole);
        }
    }

    fn draft_and_reload(&mut self) {
        let Some(path) = self.beside("draft") else {
            return;
        };
        let name = self.shelf.name(&path);
        if let Some(open) = &mut self.room.open {
            open.take_theirs();
        }
        self.room.inside();
        self.room.said = Some(format!("The file was read again; yours is {name}."));
    }
}

/// A typed name as a path that ends as plans do.
fn named(name: &str) -> Option<PathBuf> {
    let name = name.trim();
    let stem = name.strip_suffix(".toml").unwrap_or(name);
    let is_name = !stem.is_empty() && !stem.ends_with(['/', '\\', '.']);
    is_name.then(|| PathBuf::from(format!("{stem}.toml")))
}

impl Window {
    /// What is just being done in the Plan room, while it is seen.
    pub fn plan(&self) -> Option<&PlanRoom> {
        match &self.seen {
            Some(SeenRoom::Plan(plan)) => Some(&plan.room),
            _ => None,
        }
    }

    /// Into the room: the plan that was open last, or that the session began with; else the list.
    pub(super) fn enter_plan(&mut self) {
        let Some(mut shelf) = self.outside.plan_shelf() else {
            self.fault = Some("Plans cannot be edited here.".to_owned());
            return;
        };
        let facts = shelf.facts();
        let gauges = shelf.watch_gauges(&facts.gauges_said);
        let (learning, side) = learned_ends();
        if let Err(fault) = self.outside.learned(side) {
            self.fault = Some(fault);
        }
        let mut plan = Box::new(AtPlan {
            room: PlanRoom::default(),
            shelf,
            facts,
            watch: None,
            gauges,
            sense: Sensed::default(),
            before: Sensed::default(),
            learning,
            learned: LearnedTold::default(),
            drawn: PageDrawn::default(),
        });
        let path = self
            .plan_path
            .clone()
            .or_else(|| self.plan_of_session(&mut plan));
        if let Some(path) = path {
            plan.open(&path);
        }
        self.seen = Some(SeenRoom::Plan(plan));
    }

    /// The file that says what the running session measures by, where one still does: a session
    /// that was taken up again does not know its file.
    fn plan_of_session(&self, plan: &mut AtPlan) -> Option<PathBuf> {
        let snapshot = self.snapshot()?;
        let wanted = &snapshot.state.setup().plan;
        let tables = plan.facts.tables.clone();
        let tables = tables.as_ref().unwrap_or_else(|| Tables::standard());
        let paths: Vec<PathBuf> = plan
            .facts
            .plans
            .iter()
            .map(|one| one.path.clone())
            .collect();
        paths.into_iter().find(|path| {
            let text = plan.shelf.read(path).unwrap_or_default();
            let text = text.trim_start_matches('\u{feff}');
            Plan::parse(text, "", tables).is_ok_and(|plan| plan == *wanted)
        })
    }

    pub(super) fn press_at_plan(&mut self, press: &Press, context: &Context) {
        let Some(SeenRoom::Plan(plan)) = &mut self.seen else {
            return;
        };
        plan.hear();
        plan.look();
        let drawn = (plan.drawn.shown, plan.drawn.has_more);
        let known = (&plan.sense.sense, &plan.learned);
        let now = plan_now(&plan.room, &plan.facts, known, drawn);
        if let Some(asked) = plan.room.press(press, &now) {
            self.carry_out_at_plan(asked, context);
        }
    }

    fn carry_out_at_plan(&mut self, asked: PlanAsked, context: &Context) {
        let Some(SeenRoom::Plan(plan)) = &mut self.seen else {
            return;
        };
        let mut go = None;
        match asked {
            PlanAsked::Room(key) => go = Some(LeaveTo::Room(key)),
            PlanAsked::Quit => go = Some(LeaveTo::Quit),
            PlanAsked::Open(at) => {
                if let Some(known) = plan.facts.plans.get(at) {
                    let path = known.path.clone();
                    plan.open(&path);
                }
            }
            PlanAsked::Save | PlanAsked::SaveAs(_) | PlanAsked::WriteAnew => {
                let after = plan.room.after_save.take();
                if plan.save(&asked) {
                    go = after;
                }
            }
            PlanAsked::Beside => plan.save_mine_beside(),
            PlanAsked::DraftAndReload => plan.draft_and_reload(),
            PlanAsked::DraftAndLeave(to) => go = plan.beside("draft").map(|_| to),
            PlanAsked::Measure => return self.measure_by_plan(),
        }
        match go {
            None => {}
            Some(LeaveTo::Files) => {
                plan.look_up();
                plan.watch = None;
                drop(plan.room.left(LeaveTo::Files));
            }
            Some(LeaveTo::Room(key)) => {
                self.leave_plan();
                self.open_room(key);
            }
            Some(LeaveTo::Quit) => {
                self.leave_plan();
                context.send_viewport_cmd(ViewportCommand::Close);
            }
        }
    }

    /// The room is left; the same plan is open when one comes back.
    fn leave_plan(&mut self) {
        let is_plan = |seen: &mut SeenRoom| matches!(seen, SeenRoom::Plan(_));
        if let Some(SeenRoom::Plan(plan)) = self.seen.take_if(is_plan)
            && let Some(open) = plan.room.open
        {
            self.plan_path = open.path;
        }
    }

    /// Whether the room lets go at once: else it asks about what is not saved.
    pub(super) fn may_leave_plan(&mut self, to: LeaveTo) -> bool {
        let Some(SeenRoom::Plan(plan)) = &mut self.seen else {
            return true;
        };
        if plan.room.leave(to).is_none() {
            return false;
        }
        self.leave_plan();
        true
    }

    /// Characters are text just now.
    pub(super) fn is_writing(&self) -> bool {
        self.guide.is_none() && self.plan().is_some_and(PlanRoom::is_writing)
    }

    /// To the Start room, where only the gauge is left to be chosen.
    fn measure_by_plan(&mut self) {
        let is_at_start = matches!(self.room, Room::Start { .. });
        let Some(SeenRoom::Plan(plan)) = &mut self.seen else {
            return;
        };
        let Some(open) = &plan.room.open else { return };
        let faults = plan.sense.sense.sound.count();
        plan.room.said = Some(match (&open.path, open.is_edited(), is_at_start) {
            (_, _, false) => {
                "A session runs: leave it first, at the Bench, then measure by this plan."
                    .to_owned()
            }
            (None, ..) | (_, true, _) => {
                "Save the plan first: what is measured is what the file says.".to_owned()
            }
            (Some(_), false, true) if faults > 0 => {
                let faults = counted(faults, "fault");
                format!("The plan has {faults}, page 4: it cannot be measured by.")
            }
            (Some(path), false, true) => {
                let path = path.clone();
                self.leave_plan();
                let gauges = self.outside.gauges();
                if let Room::Start { start, facts } = &mut self.room {
                    facts.gauges = gauges;
                    let asked = start.measure_plan(path, facts);
                    self.carry_out_at_start(asked);
                }
                return;
            }
        });
    }

    pub(super) fn draw_plan(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) {
        let snapshot = self.snapshot();
        let now_ms = self.session_now_ms().unwrap_or(0);
        let Some(SeenRoom::Plan(plan)) = &mut self.seen else {
            return;
        };
        plan.hear();
        plan.look();
        let sheet = typed_sheet(&plan.room);
        let mut view = plan_view(&PlanSeen {
            room: &plan.room,
            facts: &plan.facts,
            sheet: sheet.as_ref(),
            sense: &plan.sense.sense,
            before: &plan.before.sense,
            learned: &plan.learned,
            snapshot: snapshot.as_deref(),
            now_ms,
            marker: self.settings.marker,
        });
        view.status.say_else(self.fault.as_deref());
        plan.drawn = plan_ui(ui, &view, look, presses);
    }
}

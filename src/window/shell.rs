//! The window without its frame: which room is open, where keys go, what is drawn. It draws on
//! any egui surface; what lies outside (the disk, ports, the running session) is behind
//! [`Outside`] and [`Running`].

mod at_bench;
mod batch;
mod explaining;
mod frame;
mod gauges;
mod guide;
mod leaving;
mod links;
mod outside;
mod pairs;
mod plan;
mod records;
mod seen;
mod sounding;
mod studying;
mod teaching;

use std::path::PathBuf;

use eframe::egui::{Context, Ui, UiBuilder};

use self::at_bench::{AtBench, again};
use self::explaining::Explaining;
use self::frame::{milliseconds, repaint_after, taken_keys};
use self::gauges::GAUGES_KEY;
use self::guide::AtGuide;
use self::leaving::Leaving;
use self::links::AtLinks;
pub use self::outside::{Outside, Running, Watching};
use self::seen::{BENCH_KEY, SeenRoom};
use self::teaching::AtTeach;
use super::bench_ui::bench_ui;
use super::calibrate_ui::{Calibration, calibrate_ui};
use super::desk::{Asked, Change, Desk, asks_the_same};
use super::glance_ui::glance_ui;
use super::keys::Keyboard;
use super::line_ui::cut_top;
use super::look::{Look, Sizes};
use super::press::Press;
use super::settings::Settings;
use super::start::{Start, StartAsked, StartFacts, StartFault};
use super::start_ui::start_ui;
use super::start_view::start_view;
use super::tabs_ui::{TABS_HEIGHT, tabs, tabs_ui};
use crate::journal::Sequence;
use crate::session::{Begin, What};

/// A window below this height has no tabs: their keys open the rooms all the same.
const TABS_FROM: f32 = 300.0;

/// The window.
pub struct Window {
    outside: Box<dyn Outside>,
    settings: Settings,
    keyboard: Keyboard,
    room: Room,
    /// What is seen over it; it goes on behind.
    seen: Option<SeenRoom>,
    /// The measured halves of pairs.
    links: AtLinks,
    /// The plan file that was begun with or edited last.
    plan_path: Option<PathBuf>,
    /// A gauge is being taught; it goes on whatever room is seen.
    teaching: Option<AtTeach>,
    /// The screen is being measured with a steel rule.
    calibration: Option<Calibration>,
    /// What is what.
    explaining: Explaining,
    /// The guide, while it is read; the room goes on behind it.
    guide: Option<AtGuide>,
    /// Readings are NOT RECORDED, and the session is to be left: the question is open.
    leaving: Option<Leaving>,
    /// The window may close: it was asked, or nothing is lost by it.
    may_close: bool,
    /// What went wrong with the settings, until a key is pressed.
    fault: Option<String>,
    /// The newest reading of the snapshot drawn last, and when it was received.
    drawn: Option<(Sequence, u64)>,
    /// What the pointer pressed in the last frame.
    pointed: Vec<Press>,
}

enum Room {
    Start {
        start: Box<Start>,
        facts: Box<StartFacts>,
    },
    Bench(Box<AtBench>),
}

impl Window {
    /// The window with a session, or in the Start room. A session that cannot begin leads to the
    /// Start room too, with what went wrong. `faults` are those of the settings.
    pub fn new(
        outside: Box<dyn Outside>,
        settings: Settings,
        faults: &[String],
        begin: Option<&Begin>,
    ) -> Self {
        let mut window = Self {
            outside,
            settings,
            keyboard: Keyboard::default(),
            room: Room::Start {
                start: Box::default(),
                facts: Box::default(),
            },
            seen: None,
            links: AtLinks::default(),
            plan_path: None,
            teaching: None,
            calibration: None,
            explaining: Explaining::default(),
            guide: None,
            leaving: None,
            may_close: false,
            fault: (!faults.is_empty()).then(|| faults.join(" ")),
            drawn: None,
            pointed: Vec::new(),
        };
        match begin {
            Some(begin) => window.begin(begin, Start::default()),
            None => window.enter_start(Start::default()),
        }
        window
    }

    /// Takes the keys of one frame and draws it.
    pub fn ui(&mut self, ui: &mut Ui) {
        let now_ms = milliseconds(ui.input(|input| input.time));
        self.see_close_request(ui);
        let events = taken_keys(ui.ctx());
        self.keyboard.writes_text(self.is_writing());
        for press in self.keyboard.take(&events, now_ms) {
            self.press(press, ui.ctx());
        }
        self.sound();
        let mut presses = Vec::new();
        let pointer = self.begin_explaining(ui.ctx());
        self.draw(ui, &mut presses);
        self.explain(ui, pointer, &self.look());
        if !presses.is_empty() {
            // What they do is to be seen.
            ui.ctx().request_repaint();
        }
        self.pointed.clone_from(&presses);
        for press in presses {
            self.press(press, ui.ctx());
        }
        if let Some(due_ms) = self.keyboard.due_in_ms(now_ms) {
            repaint_after(ui.ctx(), due_ms);
        }
    }

    /// The newest reading that was on the screen in the last frame: its line, and when it was
    /// received by the session's clock.
    pub fn drawn(&self) -> Option<(Sequence, u64)> {
        self.drawn
    }

    /// What the pointer pressed in the last frame: presses that keys make too.
    pub fn pointed(&self) -> &[Press] {
        &self.pointed
    }

    /// The session's clock, while one runs.
    pub fn session_now_ms(&self) -> Option<u64> {
        match &self.room {
            Room::Bench(bench) => Some(bench.session.now_ms()),
            Room::Start { .. } => None,
        }
    }

    /// What is just being done at the Bench, while it is open.
    pub fn desk(&self) -> Option<&Desk> {
        match &self.room {
            Room::Bench(bench) => Some(&bench.desk),
            Room::Start { .. } => None,
        }
    }

    /// What is set.
    pub fn settings(&self) -> &Settings {
        &self.settings
    }

    /// The window goes: the session ends, and stays unfinished unless it was closed.
    pub fn stop(&mut self) {
        if let Room::Bench(bench) = &self.room {
            bench.session.stop();
        }
    }

    fn look(&self) -> Look {
        let sizes = Sizes {
            points_per_mm: self.settings.points_per_mm,
            distance: self.settings.distance,
        };
        Look::new(self.settings.theme, sizes)
    }

    fn begin(&mut self, begin: &Begin, start: Start) {
        match self.outside.begin(begin) {
            Ok(session) => {
                if let What::Plan(path) = &begin.what {
                    self.plan_path = Some(path.clone());
                }
                let again = again(begin);
                let desk = Desk {
                    can_begin_again: again.is_some(),
                    marker: self.settings.marker,
                    is_glance: self.settings.is_glance,
                    ..Desk::default()
                };
                self.room = Room::Bench(Box::new(AtBench {
                    session,
                    desk,
                    again,
                    shown: None,
                    heard: None,
                }));
                // A study is gone through on its own page.
                if self.study_page().is_some() {
                    self.open_room(GAUGES_KEY);
                }
            }
            Err(error) => self.enter_start(start.failed(StartFault::from(error))),
        }
    }

    /// Into the Start room, with what there is now.
    fn enter_start(&mut self, start: Start) {
        let facts = Box::new(self.outside.facts());
        self.drawn = None;
        let start = Box::new(start);
        self.room = Room::Start { start, facts };
    }

    fn press(&mut self, press: Press, context: &Context) {
        self.fault = None;
        if let Some(leaving) = self.leaving {
            return self.press_while_leaving(press, leaving, context);
        }
        if self.press_while_explaining(&press) || self.press_at_guide(&press) {
            return;
        }
        if let Some(calibration) = &mut self.calibration
            && !matches!(press, Press::Burst(_))
        {
            let left = calibration.press(&press);
            return self.leave_calibration(left);
        }
        if let Press::Room(key) = press {
            return self.open_room(key);
        }
        // A device that plays keyboard is heard at the Bench, whatever is seen.
        let is_heard_there = matches!(press, Press::Burst(_)) && self.desk().is_some();
        if !is_heard_there && self.press_at_seen(&press, context) {
            return;
        }
        match &mut self.room {
            Room::Start { start, facts } => {
                facts.told = self.links.told_of(start);
                let asked = start.press(press, facts);
                self.carry_out_at_start(asked);
            }
            Room::Bench(bench) => {
                let snapshot = bench.session.snapshot();
                let drawn = bench.shown.as_ref().map(|shown| &shown.snapshot);
                if drawn.is_some_and(|drawn| !asks_the_same(&press, &bench.desk, drawn, &snapshot))
                {
                    return;
                }
                let asked = bench.desk.press(press, &snapshot);
                for one in asked {
                    self.carry_out(one, context);
                }
            }
        }
    }

    fn carry_out_at_start(&mut self, asked: Vec<StartAsked>) {
        for one in asked {
            let Room::Start { start, facts } = &mut self.room else {
                return;
            };
            match one {
                StartAsked::Begin(begin) => {
                    let start = Start::clone(start);
                    self.begin(&begin, start);
                }
                StartAsked::LookAgain => {
                    let before = std::mem::replace(&mut facts.gauges, self.outside.gauges());
                    start.looked_again(&before, facts);
                }
                StartAsked::Mates(plan) => self.look_for_mates(&plan),
            }
        }
    }

    fn carry_out(&mut self, asked: Asked, context: &Context) {
        match asked {
            Asked::Request(request) => {
                if let Room::Bench(bench) = &self.room {
                    bench.session.send(request);
                }
            }
            Asked::Settings(change) => self.set(change),
            Asked::Calibrate => {
                self.calibration = Some(Calibration::starting_at(self.settings.points_per_mm));
            }
            Asked::Room(key) => self.open_room(key),
            Asked::Explain => self.explaining.turn(),
            Asked::NextBatch => self.begin_next_batch(),
            Asked::Start => self.leave(Leaving::ToStart, context),
            Asked::Quit => self.leave(Leaving::Quit, context),
        }
    }

    fn set(&mut self, change: Change) {
        match change {
            Change::Theme(theme) => self.settings.theme = theme,
            Change::Distance(distance) => self.settings.distance = distance,
            Change::Marker(marker) => self.settings.marker = marker,
            Change::Glance(is_glance) => self.settings.is_glance = is_glance,
            Change::OtherSound => return self.turn_sound(),
        }
        self.keep_settings();
    }

    /// The bar is left when something was answered; what is kept goes to the settings.
    fn leave_calibration(&mut self, left: Option<Option<f32>>) {
        let Some(kept) = left else { return };
        self.calibration = None;
        if let Some(points_per_mm) = kept {
            self.settings.points_per_mm = points_per_mm;
            self.keep_settings();
        }
    }

    fn keep_settings(&mut self) {
        // A text editor may have been at the file meanwhile.
        let text = match self.outside.settings_file() {
            Some(file) => self.settings.to_text_in(&file),
            None => self.settings.to_text(),
        };
        if let Some(text) = text {
            self.fault = self.outside.keep_settings(&text).err();
        }
    }

    fn draw(&mut self, ui: &mut Ui, presses: &mut Vec<Press>) {
        let look = self.look();
        let rect = ui.max_rect();
        ui.painter().rect_filled(rect, 0.0, look.tokens.ground);
        if let Some(calibration) = &self.calibration {
            return calibrate_ui(ui, calibration, &look, presses);
        }
        let is_glance = self.desk().is_some_and(|desk| desk.is_glance);
        let is_at_bench = self.open_tab() == BENCH_KEY;
        let is_glance = is_glance && is_at_bench && self.guide.is_none();
        if rect.height() < TABS_FROM || is_glance {
            return self.draw_room(ui, &look, presses);
        }
        let mut rest = rect;
        let line = cut_top(&mut rest, TABS_HEIGHT);
        tabs_ui(ui, line, &tabs(self.open_tab()), &look, presses);
        let builder = UiBuilder::new().max_rect(rest);
        ui.scope_builder(builder, |ui| self.draw_room(ui, &look, presses));
    }

    /// What is asked about leaving is asked at the Bench.
    fn draw_room(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) {
        let leaving = self.leaving;
        if leaving.is_none() && self.draw_guide(ui, look, presses) {
            return;
        }
        if leaving.is_none() && self.draw_seen(ui, look, presses) {
            return;
        }
        match &mut self.room {
            Room::Start { start, facts } => {
                facts.told = self.links.told_of(start);
                let mut view = start_view(start, facts, self.settings.marker);
                view.notes.extend(self.fault.clone());
                start_ui(ui, &view, look, presses);
            }
            Room::Bench(bench) => {
                let is_glance = bench.desk.is_glance;
                let (view, snapshot, due_ms) = bench.seen(leaving, self.fault.as_deref());
                match is_glance {
                    true => glance_ui(ui, view, look, presses),
                    false => bench_ui(ui, view, look, presses),
                }
                let newest = snapshot.state.readings().last();
                self.drawn = newest.map(|record| (record.sequence, record.at_ms));
                if let Some(due_ms) = due_ms {
                    repaint_after(ui.ctx(), due_ms);
                }
            }
        }
    }
}

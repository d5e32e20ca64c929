//! The window without its frame: which room is open, where keys go, what is drawn. It draws on
//! any egui surface; what lies outside (the disk, ports, the running session) is behind
//! [`Outside`] and [`Running`].

mod batch;
mod gauges;
mod leaving;
mod outside;
mod records;
mod studying;
mod teaching;

use std::sync::Arc;

use eframe::egui::{Context, Event, Ui, UiBuilder};

use self::batch::AtBatch;
use self::gauges::{AtGauges, GAUGES_KEY};
use self::leaving::Leaving;
pub use self::outside::{Outside, Running, Watching};
use self::records::AtRecords;
use self::teaching::AtTeach;
use super::bench_ui::bench_ui;
use super::calibrate_ui::{Calibration, calibrate_ui};
use super::desk::{Asked, Change, Desk, asks_the_same};
use super::glance_ui::glance_ui;
use super::keys::Keyboard;
use super::leaving_view::leaving_question;
use super::line_ui::cut_top;
use super::look::{Look, Sizes};
use super::press::Press;
use super::settings::Settings;
use super::start::{Start, StartAsked, StartFacts, StartFault};
use super::start_ui::start_ui;
use super::start_view::start_view;
use super::tabs_ui::{TABS_HEIGHT, tabs, tabs_ui};
use super::view::{BenchView, bench_view};
use crate::journal::Sequence;
use crate::session::{Begin, Snapshot};

/// A minute, in which the age of a temperature is told.
const MINUTE_MS: u64 = 60_000;
/// An age is not told any more after so many minutes: the temperature has lapsed long before.
const AGE_MINUTES_MAX: u64 = 12;

/// A window below this height has no tabs: their keys open the rooms all the same.
const TABS_FROM: f32 = 300.0;

/// The window.
pub struct Window {
    outside: Box<dyn Outside>,
    settings: Settings,
    keyboard: Keyboard,
    room: Room,
    /// The Gauges room, while it is what is seen; the other one goes on behind it.
    gauges: Option<Box<AtGauges>>,
    /// The Records room, likewise; at most one of these is there.
    records: Option<Box<AtRecords>>,
    /// The Batch room, likewise.
    batch: Option<Box<AtBatch>>,
    /// A gauge is being taught; it goes on whatever room is seen.
    teaching: Option<AtTeach>,
    /// The screen is being measured with a steel rule.
    calibration: Option<Calibration>,
    /// Readings are NOT RECORDED, and the session is to be left: the question is open.
    leaving: Option<Leaving>,
    /// The window may close: it was asked, or nothing is lost by it.
    may_close: bool,
    /// What went wrong with the settings, until a key is pressed.
    fault: Option<String>,
    /// The newest reading of the snapshot drawn last, and when it was received.
    drawn: Option<(Sequence, u64)>,
}

enum Room {
    Start {
        start: Start,
        facts: Box<StartFacts>,
    },
    Bench(Box<AtBench>),
}

struct AtBench {
    session: Box<dyn Running>,
    desk: Desk,
    shown: Option<Shown>,
}

/// What was drawn last, kept as long as nothing changes.
struct Shown {
    snapshot: Arc<Snapshot>,
    desk: Desk,
    minute: u64,
    view: BenchView,
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
                start: Start::default(),
                facts: Box::default(),
            },
            gauges: None,
            records: None,
            batch: None,
            teaching: None,
            calibration: None,
            leaving: None,
            may_close: false,
            fault: (!faults.is_empty()).then(|| faults.join(" ")),
            drawn: None,
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
        for press in self.keyboard.take(&events, now_ms) {
            self.press(press, ui.ctx());
        }
        let mut presses = Vec::new();
        self.draw(ui, &mut presses);
        if !presses.is_empty() {
            // What they do is to be seen.
            ui.ctx().request_repaint();
        }
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
                let desk = Desk {
                    marker: self.settings.marker,
                    is_glance: self.settings.is_glance,
                    ..Desk::default()
                };
                self.room = Room::Bench(Box::new(AtBench {
                    session,
                    desk,
                    shown: None,
                }));
                // A study is gone through on its own page.
                if self.gauges.is_none() && self.study_page().is_some() {
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
        self.room = Room::Start { start, facts };
    }

    fn press(&mut self, press: Press, context: &Context) {
        self.fault = None;
        if let Some(leaving) = self.leaving {
            return self.press_while_leaving(press, leaving, context);
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
        if !(matches!(press, Press::Burst(_)) && self.desk().is_some()) {
            if self.gauges.is_some() {
                return self.press_at_gauges(press);
            }
            if self.records.is_some() {
                return self.press_at_records(&press);
            }
            if self.batch.is_some() {
                return self.press_at_batch(&press);
            }
        }
        match &mut self.room {
            Room::Start { start, facts } => {
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
                    let start = start.clone();
                    self.begin(&begin, start);
                }
                StartAsked::LookAgain => {
                    let before = std::mem::replace(&mut facts.gauges, self.outside.gauges());
                    start.looked_again(&before, facts);
                }
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
        if let Some(text) = self.settings.to_text() {
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
        let is_at_bench = self.open_tab() == 1;
        if rect.height() < TABS_FROM || (is_glance && is_at_bench) {
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
        if self.gauges.is_some() && leaving.is_none() {
            return self.draw_gauges(ui, look, presses);
        }
        if self.records.is_some() && leaving.is_none() {
            return self.draw_records(ui, look, presses);
        }
        if self.batch.is_some() && leaving.is_none() {
            return self.draw_batch(ui, look, presses);
        }
        match &mut self.room {
            Room::Start { start, facts } => {
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

impl AtBench {
    /// What is to be seen, made anew only when something has changed; and when it changes by
    /// itself, in milliseconds.
    fn seen(
        &mut self,
        leaving: Option<Leaving>,
        fault: Option<&str>,
    ) -> (&BenchView, Arc<Snapshot>, Option<u64>) {
        let snapshot = self.session.snapshot();
        let now_ms = self.session.now_ms().max(snapshot.now_ms);
        let age_ms = temperature_age_ms(&snapshot, now_ms);
        let minute = age_ms.map_or(0, |age| age / MINUTE_MS);
        let mut desk = self.desk.clone();
        if desk.fault.is_none() {
            desk.fault = fault.map(str::to_owned);
        }
        // The question about leaving is not part of the desk, so it is never kept.
        let kept = self.shown.take().filter(|shown| {
            leaving.is_none()
                && Arc::ptr_eq(&shown.snapshot, &snapshot)
                && shown.minute == minute
                && shown.desk == desk
        });
        let mut shown = kept.unwrap_or_else(|| Shown {
            view: bench_view(&snapshot, &desk, now_ms),
            snapshot: Arc::clone(&snapshot),
            desk,
            minute,
        });
        if leaving.is_some() {
            shown.view.question = Some(leaving_question(&snapshot));
            // Made anew without it afterwards.
            shown.minute = u64::MAX;
        }
        let due_ms = age_ms.map(|age| MINUTE_MS - age % MINUTE_MS + 1);
        (&self.shown.insert(shown).view, snapshot, due_ms)
    }
}

/// How old the temperatures of part and gauge are, as long as that is told.
fn temperature_age_ms(snapshot: &Snapshot, now_ms: u64) -> Option<u64> {
    let entered = snapshot.state.bench().temperature?;
    entered.part.or(entered.gauge)?;
    let age = now_ms.saturating_sub(entered.at_ms);
    (age < AGE_MINUTES_MAX * MINUTE_MS).then_some(age)
}

/// The events of keys, taken out of the frame: a widget that has the focus must not take Enter or
/// the space bar a second time. Nothing keeps the focus: at the bench keys always mean the same.
fn taken_keys(context: &Context) -> Vec<Event> {
    context.memory_mut(|memory| {
        if let Some(id) = memory.focused() {
            memory.surrender_focus(id);
        }
    });
    context.input_mut(|input| {
        let is_key = |event: &Event| {
            matches!(
                event,
                Event::Key { .. } | Event::Text(_) | Event::Paste(_) | Event::Ime(_)
            )
        };
        let (keys, others) = std::mem::take(&mut input.events)
            .into_iter()
            .partition(is_key);
        input.events = others;
        keys
    })
}

fn repaint_after(context: &Context, ms: u64) {
    context.request_repaint_after(std::time::Duration::from_millis(ms));
}

fn milliseconds(seconds: f64) -> u64 {
    #[allow(
        clippy::cast_possible_truncation,
        clippy::cast_sign_loss,
        reason = "a window is open for years at most, and the cast stops at the ends"
    )]
    let ms = (seconds * 1_000.0) as u64;
    ms
}

//! The Gauges room in the window: it is entered, pressed and drawn while a session goes on behind.

use std::sync::Arc;

use eframe::egui::Ui;

use super::seen::SeenRoom;
use super::studying::AtStudy;
use super::teaching::AtTeach;
use super::{Room, Watching, Window};
use crate::gauge::{Gauge, GaugeId};
use crate::session::{Command, Request, Snapshot, TapKind, Wanted, suitability_of, typed_reading};
use crate::window::gauges_facts::LiveFacts;
use crate::window::gauges_room::{GaugesAsked, GaugesFacts, GaugesPage, GaugesRoom};
use crate::window::gauges_ui::gauges_ui;
use crate::window::look::Look;
use crate::window::press::Press;
use crate::window::view::{GaugesSeen, gauges_now, gauges_view};

/// The function key of the Gauges room.
pub(super) const GAUGES_KEY: u8 = 6;

/// The room, while it is seen.
pub(super) struct AtGauges {
    pub(super) room: GaugesRoom,
    pub(super) facts: GaugesFacts,
    /// The page had more lines than there was room for, when it was drawn last.
    has_more: bool,
    /// The gauge whose port is watched.
    pub(super) watched: Option<(GaugeId, Box<dyn Watching>)>,
    /// What the page of a study keeps.
    pub(super) study: AtStudy,
}

impl AtGauges {
    /// The wire of the chosen gauge: of the session that holds its port, else watched.
    fn live(&self, snapshot: Option<&Snapshot>) -> Option<LiveFacts> {
        let gauge = self.facts.gauge(self.room.chosen)?;
        if let Some(tap) = snapshot.and_then(|snapshot| snapshot.tap(&gauge.id)) {
            return Some(LiveFacts {
                tap: tap.clone(),
                // A closed session still hears what it no longer records.
                is_recorded: snapshot.is_some_and(|snapshot| !snapshot.state.is_closed()),
                message: None,
            });
        }
        let (_, watching) = self.watched.as_ref().filter(|(id, _)| *id == gauge.id)?;
        let seen = watching.seen();
        Some(LiveFacts {
            tap: seen.tap.clone(),
            is_recorded: false,
            message: seen.message.clone(),
        })
    }
}

impl Window {
    /// What is just being done in the Gauges room, while it is seen.
    pub fn gauges(&self) -> Option<&GaugesRoom> {
        match &self.seen {
            Some(SeenRoom::Gauges(gauges)) => Some(&gauges.room),
            _ => None,
        }
    }

    pub(super) fn enter_gauges(&mut self) {
        let facts = self.gauge_facts();
        self.seen = Some(SeenRoom::Gauges(Box::new(AtGauges {
            room: self.first_page(&facts),
            facts,
            has_more: false,
            watched: None,
            study: AtStudy::default(),
        })));
        self.watch_chosen();
    }

    /// The page of a teaching that goes on; else the register.
    fn first_page(&self, facts: &GaugesFacts) -> GaugesRoom {
        if let Some(page) = self.study_page() {
            return page;
        }
        let mut gauges = facts.register.gauges().iter();
        let taught = self.teaching.as_ref();
        let taught = taught.and_then(|one| gauges.position(|gauge| gauge.id == one.gauge));
        taught.map_or_else(GaugesRoom::default, |chosen| GaugesRoom {
            chosen,
            page: GaugesPage::Teach,
            ..GaugesRoom::default()
        })
    }

    /// What is known now; of a session its own register counts, on which it rests.
    fn gauge_facts(&mut self) -> GaugesFacts {
        let mut facts = self.outside.gauge_facts();
        if let Some(snapshot) = self.snapshot() {
            let setup = snapshot.state.setup();
            facts.register = setup.register.clone();
            facts.suitable = suitability_of(setup);
        }
        facts
    }

    pub(super) fn snapshot(&self) -> Option<Arc<Snapshot>> {
        match &self.room {
            Room::Bench(bench) => Some(bench.session.snapshot()),
            Room::Start { .. } => None,
        }
    }

    pub(super) fn press_at_gauges(&mut self, press: Press) {
        self.show_teaching();
        self.show_study();
        let snapshot = self.snapshot();
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return;
        };
        let seen = GaugesSeen {
            room: &gauges.room,
            facts: &gauges.facts,
            snapshot: snapshot.as_deref(),
            now_ms: 0,
            marker: self.settings.marker,
        };
        let now = gauges_now(&seen, gauges.has_more);
        let asked = gauges.room.press(press, &gauges.facts, now);
        for one in asked {
            self.carry_out_at_gauges(one);
        }
    }

    fn carry_out_at_gauges(&mut self, asked: GaugesAsked) {
        match asked {
            GaugesAsked::Bench => self.seen = None,
            GaugesAsked::LookAgain | GaugesAsked::Chosen => self.look_at_gauges_again(),
            GaugesAsked::Take => self.take(),
            GaugesAsked::AskZero(gauge) => self.send(Command::AskZeroCheck {
                gauge,
                standard: None,
            }),
            GaugesAsked::DropZero(gauge) => self.send(Command::DropZeroCheck { gauge }),
            GaugesAsked::TypedZero(gauge, text) => self.typed_zero(&gauge, &text),
            GaugesAsked::Teach(press) => self.teach(press),
            GaugesAsked::Study(press) => self.study(press),
        }
    }

    pub(super) fn look_at_gauges_again(&mut self) {
        let facts = self.gauge_facts();
        if let Some(SeenRoom::Gauges(gauges)) = &mut self.seen {
            gauges.facts = facts;
        }
        self.watch_chosen();
    }

    pub(super) fn send(&self, command: Command) {
        if let Room::Bench(bench) = &self.room {
            bench.session.send(Request::Command(command));
        }
    }

    /// What the gauge shows at its check, as typed.
    fn typed_zero(&mut self, gauge: &GaugeId, text: &str) {
        let fault = match typed_reading(text, gauge, Wanted::Length) {
            Ok(reading) => {
                if let Room::Bench(bench) = &self.room {
                    bench.session.send(Request::Reading(reading));
                }
                None
            }
            Err(error) => Some(error.to_string()),
        };
        if let Some(SeenRoom::Gauges(gauges)) = &mut self.seen
            && fault.is_some()
        {
            gauges.room.fault = fault;
            gauges.room.entry = Some(text.to_owned());
        }
    }

    /// The port of the chosen gauge is watched while its wire is looked at and no session has it.
    fn watch_chosen(&mut self) {
        let snapshot = self.snapshot();
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return;
        };
        let gauge = gauges.facts.gauge(gauges.room.chosen);
        let is_held = |gauge: &Gauge| {
            let snapshot = snapshot.as_deref();
            snapshot.is_some_and(|snapshot| snapshot.tap(&gauge.id).is_some())
        };
        let wanted = gauge.filter(|gauge| {
            gauges.room.page == GaugesPage::Live && gauge.port.is_some() && !is_held(gauge)
        });
        let Some(gauge) = wanted else {
            gauges.watched = None;
            return;
        };
        if gauges
            .watched
            .as_ref()
            .is_some_and(|(id, _)| *id == gauge.id)
        {
            return;
        }
        if self.teaching.as_ref().is_some_and(AtTeach::has_port) {
            gauges.watched = None;
            gauges.room.fault = Some("A port is being taught: end that, then watch.".to_owned());
            return;
        }
        // The other one is let go of first: both may be on one port.
        gauges.watched = None;
        match self.outside.watch(gauge) {
            Ok(watching) => gauges.watched = Some((gauge.id.clone(), watching)),
            Err(why) => gauges.room.fault = Some(why),
        }
    }

    /// A value is asked for, or taken out of what streams.
    fn take(&mut self) {
        let snapshot = self.snapshot();
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return;
        };
        let Some(gauge) = gauges.facts.gauge(gauges.room.chosen) else {
            return;
        };
        let held = snapshot.as_ref().and_then(|one| one.tap(&gauge.id));
        match (held, &gauges.watched) {
            (Some(tap), _) if tap.kind == TapKind::Sends => {
                gauges.room.fault = Some(format!("{} sends at its own data button.", gauge.id));
            }
            (Some(_), _) => {
                if let Room::Bench(bench) = &self.room {
                    bench.session.send(Request::AskGauge(gauge.id.clone()));
                }
            }
            (None, Some((_, watching))) => {
                gauges.room.fault = watching.ask().err();
            }
            (None, None) => {
                gauges.room.fault = Some(format!("The port of {} is not open.", gauge.id));
            }
        }
    }

    pub(super) fn draw_gauges(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) {
        let snapshot = self.snapshot();
        let now_ms = self.session_now_ms().unwrap_or(0);
        self.show_teaching();
        self.show_study();
        let Some(SeenRoom::Gauges(gauges)) = &mut self.seen else {
            return;
        };
        gauges.facts.live = gauges.live(snapshot.as_deref());
        gauges.facts.story = self.outside.story().or(gauges.facts.story.take());
        let mut view = gauges_view(&GaugesSeen {
            room: &gauges.room,
            facts: &gauges.facts,
            snapshot: snapshot.as_deref(),
            now_ms,
            marker: self.settings.marker,
        });
        view.status.say_else(self.fault.as_deref());
        gauges.has_more = gauges_ui(ui, &view, look, presses);
    }
}

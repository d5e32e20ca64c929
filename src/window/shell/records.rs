//! The Records room in the window: it is entered, pressed and drawn while a session goes on behind
//! and the records are read beside.

use eframe::egui::Ui;

use super::seen::SeenRoom;
use super::{Room, Window};
use crate::journal::Sequence;
use crate::session::{Command, Snapshot};
use crate::window::drawn::PageDrawn;
use crate::window::look::Look;
use crate::window::press::Press;
use crate::window::records_facts::{RecordsTold, SessionRow, WriteOrder};
use crate::window::records_room::{RecordsAsked, RecordsRoom};
use crate::window::records_run::{RecordsHandle, RecordsJob, records_ends};
use crate::window::records_ui::records_ui;
use crate::window::view::{RecordsSeen, is_running, records_now, records_view};

/// The function key of the Records room.
pub(super) const RECORDS_KEY: u8 = 5;

/// The room, while it is seen.
pub(super) struct AtRecords {
    room: RecordsRoom,
    handle: RecordsHandle,
    /// What was drawn last: a press means what was seen.
    told: RecordsTold,
    drawn: PageDrawn,
    /// The last answer that has been taken in.
    answered: u64,
    /// What was said last, until the next press.
    message: Option<String>,
    /// A decision was given to the session that runs here: its last event and message before.
    live: Option<(Sequence, u64)>,
}

/// The row of the open session.
fn row_of<'t>(told: &'t RecordsTold, key: &str) -> Option<&'t SessionRow> {
    told.rows.iter().find(|row| row.key() == key)
}

fn message_number(snapshot: &Snapshot) -> u64 {
    snapshot
        .message
        .as_ref()
        .map_or(0, |message| message.number)
}

impl AtRecords {
    fn seen<'a>(&'a self, snapshot: Option<&'a Snapshot>, marker: char) -> RecordsSeen<'a> {
        RecordsSeen {
            room: &self.room,
            told: &self.told,
            snapshot,
            now_ms: 0,
            marker,
            message: self.message.as_deref(),
        }
    }

    /// What has been answered since it was looked at last.
    fn take_in(&mut self, snapshot: Option<&Snapshot>) {
        self.told = self.handle.told();
        let done = &self.told.done;
        if done.number != self.answered {
            self.answered = done.number;
            self.room.answered(done.is_fault);
            self.message = Some(done.said.clone());
        }
        let Some((snapshot, (head, number))) = snapshot.zip(self.live) else {
            return;
        };
        if message_number(snapshot) != number {
            self.live = None;
            let message = snapshot.message.as_ref();
            self.message = message.map(|message| message.text.clone());
        } else if snapshot.head > head {
            self.live = None;
            self.room.answered(false);
            self.message = Some("It is in the record.".to_owned());
            self.handle.ask(RecordsJob::List);
            self.handle.ask(RecordsJob::Open(self.room.key.clone()));
        }
    }
}

impl Window {
    /// What is just being done in the Records room, while it is seen.
    pub fn records(&self) -> Option<&RecordsRoom> {
        match &self.seen {
            Some(SeenRoom::Records(records)) => Some(&records.room),
            _ => None,
        }
    }

    /// What the Records room has been told, while it is seen.
    pub fn records_told(&self) -> Option<RecordsTold> {
        match &self.seen {
            Some(SeenRoom::Records(records)) => Some(records.handle.told()),
            _ => None,
        }
    }

    pub(super) fn enter_records(&mut self) {
        let (handle, side) = records_ends();
        let fault = self.outside.records(side).err();
        handle.ask(RecordsJob::List);
        self.seen = Some(SeenRoom::Records(Box::new(AtRecords {
            room: RecordsRoom {
                fault,
                ..RecordsRoom::default()
            },
            handle,
            told: RecordsTold::default(),
            drawn: PageDrawn::default(),
            answered: 0,
            message: None,
            live: None,
        })));
    }

    pub(super) fn press_at_records(&mut self, press: &Press) {
        let snapshot = self.snapshot();
        let marker = self.settings.marker;
        let Some(SeenRoom::Records(records)) = &mut self.seen else {
            return;
        };
        records.message = None;
        let drawn = records.drawn;
        let seen = records.seen(snapshot.as_deref(), marker);
        let now = records_now(&seen, drawn.fit, (drawn.shown, drawn.has_more));
        let asked = records.room.press(press, &now);
        for one in asked {
            self.carry_out_at_records(one, now.part);
        }
    }

    fn carry_out_at_records(&mut self, asked: RecordsAsked, part: Option<u32>) {
        let marker = self.settings.marker;
        let Some(SeenRoom::Records(records)) = &mut self.seen else {
            return;
        };
        let key = records.room.key.clone();
        match asked {
            RecordsAsked::Bench => self.seen = None,
            RecordsAsked::LookAgain => records.handle.ask(RecordsJob::List),
            RecordsAsked::Find => {
                let query = records.room.query.clone();
                records.handle.ask(RecordsJob::Find(query));
            }
            RecordsAsked::Open => {
                let told = &records.told;
                let place = told.found.get(records.room.chosen);
                let row = place.and_then(|at| told.rows.get(*at));
                let key = row.map_or("", SessionRow::key).to_owned();
                records.room.key = key.clone();
                records.handle.ask(RecordsJob::Open(key));
            }
            RecordsAsked::Verify => records.handle.ask(RecordsJob::Verify(key)),
            RecordsAsked::Cancel => records.handle.cancel(),
            RecordsAsked::Write(form) => {
                records.message = Some("The file is being written.".to_owned());
                records.handle.ask(RecordsJob::Write(WriteOrder {
                    key,
                    form,
                    part: part.filter(|_| records.room.is_one_part),
                    marker,
                }));
            }
            RecordsAsked::Decide(command) => self.decide_at_records(*command),
        }
    }

    /// The session that runs here is the one writer of its record; another's record is written
    /// apart from the window.
    fn decide_at_records(&mut self, command: Command) {
        let snapshot = self.snapshot();
        let marker = self.settings.marker;
        let Some(SeenRoom::Records(records)) = &mut self.seen else {
            return;
        };
        let key = records.room.key.clone();
        let seen = records.seen(snapshot.as_deref(), marker);
        let runs = row_of(seen.told, &key).is_some_and(|row| is_running(&seen, row));
        match (snapshot, &self.room) {
            (Some(snapshot), Room::Bench(_)) if runs => {
                records.live = Some((snapshot.head, message_number(&snapshot)));
                self.send(command);
            }
            _ => records.handle.ask(RecordsJob::Decide(key, command)),
        }
    }

    pub(super) fn draw_records(&mut self, ui: &mut Ui, look: &Look, presses: &mut Vec<Press>) {
        let snapshot = self.snapshot();
        let now_ms = self.session_now_ms().unwrap_or(0);
        let marker = self.settings.marker;
        let Some(SeenRoom::Records(records)) = &mut self.seen else {
            return;
        };
        records.take_in(snapshot.as_deref());
        let mut view = records_view(&RecordsSeen {
            now_ms,
            ..records.seen(snapshot.as_deref(), marker)
        });
        view.status.say_else(self.fault.as_deref());
        records.drawn = records_ui(ui, &view, look, presses);
    }
}

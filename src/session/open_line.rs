//! One open line of a gauge: what it says is decoded already; here it is watched, shown, and handed
//! over or kept until it is asked for.

use std::sync::Arc;

use super::asking::{Asking, Deed, Told, kind_of};
use super::intake::Intake;
use super::port_control::PortControl;
use super::recorder::Incoming;
use super::runner::Mailer;
use super::tap::TapKind;
use super::watchdog::{LineState, REFUSALS, SILENT_MS, Watchdog};
use crate::journal::{Event, Moment};
use crate::wire::{
    Adapter, Decoded, Heard, LineSettings, Parity, PortError, PortFault, PortNews, SerialLine,
};

/// Whose line it is, and whom to tell.
#[derive(Clone, Copy)]
pub(super) struct Desk<'d> {
    /// The gauge.
    pub(super) gauge: &'d str,
    /// The port's path, and what could not be set.
    pub(super) place: &'d str,
    /// What decodes it.
    pub(super) adapter: &'d Arc<Adapter>,
    /// The way to the one writer.
    pub(super) mailer: &'d Mailer,
    /// What is shared with whoever asks and looks.
    pub(super) control: &'d PortControl,
}

/// An open line.
pub(super) struct OpenLine<'d> {
    desk: Desk<'d>,
    intake: &'d mut Intake,
    watch: Watchdog,
    asking: Asking,
    kind: TapKind,
    /// The gauge is to be asked before the next read.
    is_to_be_asked: bool,
}

impl<'d> OpenLine<'d> {
    pub(super) fn new(desk: Desk<'d>, intake: &'d mut Intake) -> Self {
        let kind = kind_of(desk.adapter);
        let now = desk.mailer.now().mono_ms;
        Self {
            desk,
            intake,
            watch: Watchdog::new(now, kind == TapKind::Asked),
            asking: Asking::new(desk.adapter),
            kind,
            is_to_be_asked: false,
        }
    }

    /// Takes in what the port tells.
    pub(super) fn news(&mut self, news: PortNews<'_>) {
        let moment = self.desk.mailer.now();
        match news {
            PortNews::Bytes(bytes) => {
                self.watch.bytes(bytes.len(), moment.mono_ms);
                self.desk.control.show(|tap| tap.came(bytes));
            }
            PortNews::Heard(heard) => self.heard(&heard, moment),
            PortNews::Idle => {
                let counted = self.intake.counted_until_now(moment.mono_ms, false);
                self.hand_over(counted, moment);
            }
        }
    }

    fn heard(&mut self, heard: &Heard<'_>, moment: Moment) {
        let now = moment.mono_ms;
        self.desk.control.show(|tap| tap.heard(heard, now));
        let is_understood = !matches!(heard, Decoded::Error(_));
        let changed = if is_understood {
            self.watch.understood()
        } else {
            self.watch.refused()
        };
        let deeds = match heard {
            Decoded::Status(sent) => self.asking.status(sent.status, now),
            Decoded::Error(_) => {
                self.asking.garbled();
                Vec::new()
            }
            Decoded::Reading(_) => Vec::new(),
        };
        // A probe that hangs free says so many times a second: that is shown, and no event.
        let is_shown_only = self.kind == TapKind::Streams && matches!(heard, Decoded::Status(_));
        if !is_shown_only {
            for one in self.intake.take(heard, now) {
                match one {
                    Incoming::Reading(reading) => {
                        let seen = (reading.clone(), now);
                        self.desk.control.show(|tap| tap.value = Some(seen));
                        let deeds = self.asking.value(reading, now);
                        self.carry_out(deeds, moment);
                    }
                    other => self.hand_over(vec![other], moment),
                }
            }
        }
        self.carry_out(deeds, moment);
        if let Some(state) = changed {
            self.line_is(state);
        }
    }

    /// What is due before the next read: asks and is asked, looks at the clock.
    ///
    /// # Errors
    /// The port's fault, when it is gone.
    pub(super) fn between(&mut self, port: &mut SerialLine) -> Result<(), PortError> {
        let moment = self.desk.mailer.now();
        let now = moment.mono_ms;
        for ask in self.desk.control.wanted() {
            let deeds = self.asking.asked(ask, now);
            self.carry_out(deeds, moment);
        }
        let deeds = self.asking.look(now);
        self.carry_out(deeds, moment);
        if let Some(state) = self.watch.look(now) {
            self.line_is(state);
        }
        if std::mem::take(&mut self.is_to_be_asked) {
            match port.request(self.desk.adapter.trigger()) {
                Ok(()) => {}
                Err(fault) if fault.fault == PortFault::Gone => return Err(fault),
                Err(fault) => {
                    self.asking.forget();
                    let code = Some(fault.code());
                    let text = fault.to_string();
                    self.desk.mailer.tell(Told { code, text });
                }
            }
        }
        let so_far = self.asking.so_far();
        self.desk.control.show_taking(so_far, self.asking.is_busy());
        if self.desk.control.is_due(now) {
            self.desk.mailer.seen();
        }
        Ok(())
    }

    /// The line is left: what goes on on it ends without a value.
    pub(super) fn left(mut self, fault: Option<&PortError>) {
        let moment = self.desk.mailer.now();
        let counted = self.intake.counted_until_now(moment.mono_ms, true);
        self.hand_over(counted, moment);
        if self.asking.forget() && fault.is_some() {
            let text = format!("Nothing was taken: {} is gone.", self.desk.gauge);
            self.desk.mailer.tell(Told::nothing(text));
        }
    }

    fn carry_out(&mut self, deeds: Vec<Deed>, moment: Moment) {
        for deed in deeds {
            match deed {
                Deed::Send => self.is_to_be_asked = true,
                Deed::Record(reading) => {
                    self.hand_over(vec![Incoming::Reading(reading)], moment);
                }
                Deed::Take(taken) => {
                    let both = (taken.reading, taken.from);
                    self.hand_over(vec![Incoming::Taken(Box::new(both))], moment);
                }
                Deed::Tell(told) => {
                    self.desk.mailer.tell(told);
                }
                Deed::Unanswered(told) => {
                    if let Some(state) = self.watch.unanswered() {
                        self.line_is(state);
                    }
                    self.desk.mailer.tell(told);
                }
            }
        }
    }

    fn hand_over(&self, incoming: Vec<Incoming>, moment: Moment) {
        for one in incoming {
            self.desk.mailer.send(moment, one);
        }
    }

    fn line_is(&self, state: LineState) {
        let place = self.desk.place;
        let detail = match state {
            LineState::Attached => place.to_owned(),
            LineState::NoReadings => self.no_readings(),
            LineState::Silent => format!(
                "{place}: nothing has come for {} s. Is the gauge switched on and its cable in?",
                SILENT_MS / 1_000
            ),
            LineState::NoReply => format!("{place}: asked, and no answer came in time."),
        };
        self.desk.control.line_is(true, state.word(), &detail);
        tell(self.desk.mailer, self.desk.gauge, state.word(), &detail);
    }

    fn no_readings(&self) -> String {
        let set = self.desk.adapter.line().map(line_words).unwrap_or_default();
        format!(
            "{}: bytes come, but no readings ({REFUSALS} refusals in a row). Are speed and parity \
             right? The line is set to {set} by the adapter {}; look at the bytes with fitledger \
             listen.",
            self.desk.place,
            self.desk.adapter.name()
        )
    }
}

/// The settings of a line in words.
fn line_words(line: LineSettings) -> String {
    let parity = match line.parity {
        Parity::None => "no",
        Parity::Even => "even",
        Parity::Odd => "odd",
        Parity::Mark => "mark",
        Parity::Space => "space",
    };
    format!(
        "{} baud, {} data bits, {parity} parity, {} stop {}",
        line.baud,
        line.data_bits,
        line.stop_bits,
        if line.stop_bits == 1 { "bit" } else { "bits" }
    )
}

/// Tells the one writer how the gauge's line is.
pub(super) fn tell(mailer: &Mailer, gauge: &str, state: &str, detail: &str) {
    let event = Event::GaugeStateChanged {
        gauge: gauge.to_owned(),
        state: state.to_owned(),
        detail: detail.to_owned(),
    };
    mailer.send(mailer.now(), Incoming::Notice(event));
}

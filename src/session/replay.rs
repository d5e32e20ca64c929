//! A journal becomes a state again: the same `apply` as live, over what the file holds. On
//! request every verdict is derived anew and compared; a difference is reported, and what is
//! stored stays.

use std::io::{self, BufRead};
use std::sync::Arc;

use super::judged::{Judged, judge_place};
use super::replay_lost::{Lost, lost_reading, part_needed};
use super::setup::Setup;
use super::state::{Record, State};
use crate::journal::{
    Bodies, CONTINUATION_OPENED, Event, Link, Part, Place, Report, Sequence, SessionOpened,
    SignedOff, SoundLine, VerdictGiven, event_of, verify_parts_with,
};

/// Most faults that are kept in full; further ones are counted.
const FAULTS_MAX: usize = 1_000;
/// Probabilities and uncertainties of another machine may differ in the last step.
const STEP: u64 = 1;

/// Kinds of events from which on the wall clock may stand otherwise against the monotonic count.
const ANCHORING: [&str; 4] = [
    "session_opened",
    "session_resumed",
    CONTINUATION_OPENED,
    "clock_stepped",
];

/// What a journal gives when it is read again.
#[derive(Debug, Default)]
pub struct Replayed {
    /// What the session rests on.
    pub opened: Option<SessionOpened>,
    /// The state at the end of what could be read.
    pub state: Option<State>,
    /// What does not fit.
    pub faults: Vec<Fault>,
    /// Faults beyond those kept.
    pub more_faults: u64,
    /// Events of kinds that this version does not know.
    pub unknown_events: u64,
    /// Monotonic milliseconds of the last line.
    pub last_ms: u64,
    /// Wall clock of the first line.
    pub first_time: Option<jiff::Timestamp>,
    /// Wall clock of the last line.
    pub last_time: Option<jiff::Timestamp>,
    last_line_time: String,
    /// Wall clock beside the monotonic count, where one began or was set.
    anchors: Vec<(u64, jiff::Timestamp)>,
    /// The last line read.
    pub last: Option<Link>,
    lost: Lost,
    /// The file that the oldest one continues is not here: told once.
    is_headless: bool,
}

/// Something in sound lines that cannot be right.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Fault {
    /// One word.
    pub kind: &'static str,
    /// Which file of the session, counted from 0.
    pub part: usize,
    /// Physical line in the file, from 1.
    pub line: u64,
    /// Byte offset in the file.
    pub offset: u64,
    /// Length in bytes.
    pub length: u64,
    /// The line's sequence number.
    pub sequence: Sequence,
    /// What, in a sentence.
    pub what: String,
}

/// How closely to look.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Check {
    /// Rebuild the state.
    State,
    /// Rebuild the state and derive every verdict anew.
    Verdicts,
}

/// One event of a record that is read again, for whoever tells what happened.
#[derive(Debug, Clone, Copy)]
pub struct Retold<'r> {
    /// Its line.
    pub sequence: Sequence,
    /// Its wall clock, RFC 3339, UTC.
    pub time: &'r str,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// What happened.
    pub event: &'r Event,
    /// The state after it; none as long as the opening is missing.
    pub state: Option<&'r State>,
}

/// Reads the files of one session, the oldest first, each opened by `open` in its turn.
///
/// # Errors
/// What `open` or a file answered. Damage and misfits are no errors: they are reported.
pub fn replay<R: BufRead>(
    parts: &[Part],
    open: impl FnMut(&Part) -> io::Result<R>,
    check: Check,
) -> io::Result<(Vec<Report>, Replayed)> {
    replay_with(parts, open, check, |_| {})
}

/// As [`replay`]; `told` hears of every sound event, in order.
///
/// # Errors
/// As there.
pub fn replay_with<R: BufRead>(
    parts: &[Part],
    open: impl FnMut(&Part) -> io::Result<R>,
    check: Check,
    mut told: impl FnMut(&Retold<'_>),
) -> io::Result<(Vec<Report>, Replayed)> {
    let mut replayed = Replayed::default();
    // Every body is read as an event here; only a full check looks at its JSON by itself too.
    let bodies = match check {
        Check::State => Bodies::ReadByCaller,
        Check::Verdicts => Bodies::Checked,
    };
    let reports = verify_parts_with(parts, bodies, open, |part, sound| {
        let Some(event) = replayed.take(part, sound, check) else {
            return;
        };
        told(&Retold {
            sequence: sound.line.seq,
            time: sound.line.time,
            at_ms: sound.line.mono_ms,
            event: &event,
            state: replayed.state.as_ref(),
        });
    })?;
    // Parsed once: a million lines have a million times.
    replayed.last_time = replayed.last_line_time.parse().ok();
    replayed.check_ends(reports.len().saturating_sub(1));
    Ok((reports, replayed))
}

impl Replayed {
    /// Takes a line in, and gives its event back if it can be read.
    fn take(&mut self, part: usize, sound: &SoundLine<'_>, check: Check) -> Option<Event> {
        let sequence = sound.line.seq;
        if !self.lost.line_counts(sound) {
            return None;
        }
        self.last_ms = self.last_ms.max(sound.line.mono_ms);
        if self.first_time.is_none() {
            self.first_time = sound.line.time.parse().ok();
        }
        self.last_line_time.clear();
        self.last_line_time.push_str(sound.line.time);
        let before = self.last;
        if before.is_none_or(|last| last.seq < sequence) {
            self.last = Some(Link::of(&sound.line));
        }
        if ANCHORING.contains(&sound.line.kind)
            && let Ok(time) = sound.line.time.parse()
        {
            self.anchors.push((sound.line.mono_ms, time));
        }
        let event = match event_of(sound.line.kind, sound.line.body) {
            Ok(event) => event,
            Err(error) => {
                self.fault(part, sound, "body_unreadable", error.to_string());
                return None;
            }
        };
        match &event {
            Event::SessionOpened(opened) if self.opened.is_none() => {
                match Setup::of(opened) {
                    Ok(setup) => self.state = Some(State::new(Arc::new(setup))),
                    Err(error) => self.fault(part, sound, "setup_unreadable", error.to_string()),
                }
                self.opened = Some(opened.as_ref().clone());
            }
            Event::SessionOpened(_) => {
                let what = "the session was opened a second time".to_owned();
                self.fault(part, sound, "event_misfit", what);
            }
            Event::Unknown { .. } => self.unknown_events += 1,
            Event::ContinuationOpened { file, .. } if part == 0 && self.opened.is_none() => {
                self.is_headless = true;
                let what = format!(
                    "it goes on from {}, which is not here under that name",
                    file.escape_debug()
                );
                self.fault(part, sound, "earlier_file_absent", what);
            }
            event => {
                if let Event::SignedOff(signed) = event {
                    self.check_signature(part, sound, signed, before);
                }
                self.apply(part, sound, event, check);
            }
        }
        Some(event)
    }

    /// A signature covers the line just before it and no other: one that was moved here from
    /// elsewhere names another.
    fn check_signature(
        &mut self,
        part: usize,
        sound: &SoundLine<'_>,
        signed: &SignedOff,
        before: Option<Link>,
    ) {
        let covers = before.map(|link| (link.seq, link.hash.to_string()));
        if covers != Some((signed.covers, signed.hash.clone())) {
            let what = format!(
                "the signature names line {} and its hash, which is not the line before it",
                signed.covers
            );
            self.fault(part, sound, "signature_misplaced", what);
        }
    }

    /// The wall clock's time at a moment of the session's monotonic count.
    pub fn time_at(&self, at_ms: u64) -> Option<jiff::Timestamp> {
        let before = |anchor: &&(u64, jiff::Timestamp)| anchor.0 <= at_ms;
        let (from_ms, time) = self.anchors.iter().rev().find(before)?;
        let passed = i64::try_from(at_ms - from_ms).ok()?;
        time.checked_add(jiff::SignedDuration::from_millis(passed))
            .ok()
    }

    fn apply(&mut self, part: usize, sound: &SoundLine<'_>, event: &Event, check: Check) {
        if self.lost.any() {
            self.start_lost_parts(part, sound, event);
        }
        let Some(state) = &mut self.state else {
            // Told once, at the first event that needs it.
            let is_told = self
                .faults
                .iter()
                .any(|fault| fault.kind == "opening_missing");
            let is_first = !is_told && !self.is_headless;
            if self.opened.is_none() && sequence_matters(event) && is_first {
                let what = "the session's first event is missing: the readings cannot be judged, \
                            and what follows is not checked beyond its lines"
                    .to_owned();
                self.fault(part, sound, "opening_missing", what);
            }
            return;
        };
        let is_behind = |last: Record| last.sequence >= sound.line.seq;
        if matches!(event, Event::ReadingReceived(_))
            && state.readings.last().is_some_and(is_behind)
        {
            let what = "the reading stands behind later ones; it does not count".to_owned();
            return self.fault(part, sound, "event_misfit", what);
        }
        if let Some(what) = lost_reading(state, event) {
            // Nothing is compared: it rests on what is not here. It settles nothing either.
            let _there_is_no_such_reading = state.apply(sound.line.seq, sound.line.mono_ms, event);
            return self.fault(part, sound, "reading_lost", what);
        }
        let differs = match event {
            Event::VerdictGiven(stored) if check == Check::Verdicts => difference(state, stored),
            Event::CuttingNoted { reading, place, .. } if check == Check::Verdicts => {
                cutting_difference(state, *reading, place, event)
            }
            _ => None,
        };
        let misfit = state.apply(sound.line.seq, sound.line.mono_ms, event).err();
        if let Some(what) = differs {
            self.fault(part, sound, "verdict_differs", what);
        }
        if let Some(misfit) = misfit {
            self.fault(part, sound, "event_misfit", misfit.what);
        }
    }

    /// The line that started a part is lost, and a later one speaks of that part: it was started,
    /// else all that follows it would be lost with that one line. Never more parts than lines.
    fn start_lost_parts(&mut self, part: usize, sound: &SoundLine<'_>, event: &Event) {
        let Some(state) = &mut self.state else { return };
        let started = state.parts_started();
        let needed = part_needed(event);
        if !self.lost.may_have_started(needed.saturating_sub(started)) {
            return;
        }
        for number in started + 1..=needed {
            let begun = Event::PartStarted { part: number };
            let _fits = state.apply(sound.line.seq, sound.line.mono_ms, &begun);
        }
        for number in started + 1..=needed {
            let what = format!("the line that started part {number} is lost; the part is kept");
            self.fault(part, sound, "part_start_lost", what);
        }
    }

    /// In a closed session every reading has ended: else something was left out.
    fn check_ends(&mut self, part: usize) {
        let Some(state) = &self.state else { return };
        if !state.is_closed() {
            return;
        }
        let open: Vec<Sequence> = state
            .pending
            .iter()
            .map(|pending| pending.sequence)
            .collect();
        for sequence in open {
            self.push(Fault {
                kind: "reading_without_end",
                part,
                line: 0,
                offset: 0,
                length: 0,
                sequence,
                what: format!("the session was closed, but reading {sequence} has no end"),
            });
        }
    }

    fn fault(&mut self, part: usize, sound: &SoundLine<'_>, kind: &'static str, what: String) {
        self.push(Fault {
            kind,
            part,
            line: sound.place.line,
            offset: sound.place.offset,
            length: sound.place.length,
            sequence: sound.line.seq,
            what,
        });
    }

    fn push(&mut self, fault: Fault) {
        if self.faults.len() < FAULTS_MAX {
            self.faults.push(fault);
        } else {
            self.more_faults += 1;
        }
    }
}

/// Events that can only be understood after the opening.
fn sequence_matters(event: &Event) -> bool {
    !matches!(
        event,
        Event::ContinuationOpened { .. } | Event::TailDamaged { .. } | Event::SessionClosed { .. }
    )
}

/// How a reading taken while cutting differs when it is derived anew, if it does.
fn cutting_difference(
    state: &State,
    reading: Sequence,
    place: &Place,
    stored: &Event,
) -> Option<String> {
    let target = state.setup().target_index(&place.feature, &place.element)?;
    let value = state.reading(reading)?.value;
    let derived = match judge_place(state, target, place, reading, value) {
        Ok(Judged::Cutting {
            value_at_20,
            left,
            depth,
            dial,
        }) => Event::CuttingNoted {
            reading,
            place: place.clone(),
            value_at_20,
            left,
            depth,
            dial,
        },
        Ok(Judged::Verdict(_)) => return Some("derived anew it is a verdict".to_owned()),
        Err(why) => return Some(format!("it cannot be derived anew: {why}")),
    };
    (derived != *stored)
        .then(|| "the size or what is left is not what the reading gives".to_owned())
}

/// How a verdict derived anew differs from the stored one, if it does.
fn difference(state: &State, stored: &VerdictGiven) -> Option<String> {
    let target = state
        .setup()
        .target_index(&stored.place.feature, &stored.place.element)?;
    let value = state.reading(stored.reading)?.value;
    let derived = match judge_place(state, target, &stored.place, stored.reading, value) {
        Ok(Judged::Verdict(derived)) => derived,
        Ok(Judged::Cutting { .. }) => return Some("derived anew it is no verdict".to_owned()),
        Err(why) => return Some(format!("it cannot be derived anew: {why}")),
    };
    if (derived.lower, derived.upper) != (stored.lower, stored.upper) {
        return Some("the limits are not those that the callout gives".to_owned());
    }
    if derived.unit != stored.unit {
        return Some("the unit is not that of the characteristic".to_owned());
    }
    if derived.value_at_20 != stored.value_at_20 {
        return Some("the value at 20 °C is not what the reading gives".to_owned());
    }
    if derived.outcome != stored.outcome || derived.side != stored.side {
        return Some("the verdict is not what the value gives under the rule".to_owned());
    }
    let u_differs = match (derived.u, stored.u) {
        (Some(a), Some(b)) => a.abs_diff(b) > STEP,
        (a, b) => a != b,
    };
    let chance_differs = match (derived.conformance_ppm, stored.conformance_ppm) {
        (Some(a), Some(b)) => u64::from(a.abs_diff(b)) > STEP,
        (a, b) => a != b,
    };
    if u_differs || chance_differs {
        return Some("the uncertainty or the probability is not what the gauge gives".to_owned());
    }
    let rest = (
        &derived.from,
        derived.to_middle,
        derived.points,
        derived.rule,
    );
    let kept = (&stored.from, stored.to_middle, stored.points, stored.rule);
    // A later program may notice more than the one that wrote the record, but nothing less.
    let noted = stored.notes.iter().all(|note| derived.notes.contains(note));
    (rest != kept || !noted)
        .then(|| "its readings, points, rule or notes are not those derived".to_owned())
}

//! Checks a whole journal: every line, their order, their completeness, their end. It re-derives
//! no verdict: it hands every sound line to the caller, who can.

use std::io::{self, BufRead};

use super::body::check_body;
use super::chain::{ChainFault, Link};
use super::continuation::{ContinuationOf, Part};
use super::finding::{Finding, FindingKind, MOST_FINDINGS, Report, State, Tail};
use super::line::{CONTINUATION_OPENED, SESSION_CLOSED, TAIL_DAMAGED};
use super::reader::{Damage, DamageKind, Item, LineEnd, Place, Reader, SoundLine};

/// Checks the journal in `source`, and hands every line that checks itself to `on_line`, lines
/// with a chain fault too (their `fault` says so).
///
/// # Errors
/// What the source answered.
pub fn verify(source: impl BufRead, on_line: impl FnMut(&SoundLine<'_>)) -> io::Result<Report> {
    verify_until(source, None, Bodies::Checked, on_line)
}

/// Who looks into the bodies.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Bodies {
    /// Each is checked to be one JSON object.
    Checked,
    /// `on_line` reads each of them itself and tells of what is wrong in it.
    ReadByCaller,
}

/// Checks the files of one session, the oldest first, each opened by `open` when its turn comes.
/// `on_line` gets the part's place in `parts` and each line that counts. One report a file.
///
/// # Errors
/// What `open` or a source answered.
pub fn verify_parts<R: BufRead>(
    parts: &[Part],
    open: impl FnMut(&Part) -> io::Result<R>,
    on_line: impl FnMut(usize, &SoundLine<'_>),
) -> io::Result<Vec<Report>> {
    verify_parts_with(parts, Bodies::Checked, open, on_line)
}

/// As [`verify_parts`]; `bodies` says who looks into the bodies.
///
/// # Errors
/// As there.
pub fn verify_parts_with<R: BufRead>(
    parts: &[Part],
    bodies: Bodies,
    mut open: impl FnMut(&Part) -> io::Result<R>,
    mut on_line: impl FnMut(usize, &SoundLine<'_>),
) -> io::Result<Vec<Report>> {
    let mut reports = Vec::with_capacity(parts.len());
    for (index, part) in parts.iter().enumerate() {
        let source = open(part)?;
        reports.push(verify_until(source, part.until, bodies, |line| {
            on_line(index, line)
        })?);
    }
    Ok(reports)
}

/// The state of a session of several files: the worst of them. A file that another one continues
/// is neither unfinished nor torn by that.
#[must_use]
pub fn session_state(reports: &[Report]) -> State {
    let Some((last, before)) = reports.split_last() else {
        return State::NotClosed;
    };
    if before.iter().any(|report| report.state == State::Damaged) {
        return State::Damaged;
    }
    last.state
}

fn verify_until(
    source: impl BufRead,
    until: Option<Link>,
    bodies: Bodies,
    mut on_line: impl FnMut(&SoundLine<'_>),
) -> io::Result<Report> {
    let mut reader = Reader::new(source);
    let mut check = Check::new(until);
    check.bodies = bodies;
    loop {
        match reader.next_item()? {
            None => break,
            Some(Item::Damage(damage)) => check.damage(&damage),
            Some(Item::Line(sound)) => {
                if check.line(&sound) {
                    on_line(&sound);
                }
            }
        }
    }
    Ok(check.report(reader.head(), reader.offset()))
}

/// What has been seen so far.
struct Check {
    bodies: Bodies,
    until: Option<Link>,
    until_seen: bool,
    events: u64,
    counted: Link,
    /// The highest number among the lines that count.
    highest: u64,
    closed: bool,
    tail: Tail,
    findings: Vec<Finding>,
    more: u64,
    more_damaged: bool,
    /// The findings of the damaged stretches directly before this line begin here.
    stretch: Option<usize>,
    converted: Option<usize>,
    surplus: Option<usize>,
    last_place: Place,
}

impl Check {
    fn new(until: Option<Link>) -> Self {
        Self {
            bodies: Bodies::Checked,
            until,
            until_seen: until.is_none_or(|link| link.seq == 0),
            events: 0,
            counted: Link::GENESIS,
            highest: 0,
            closed: false,
            tail: Tail::Whole,
            findings: Vec::new(),
            more: 0,
            more_damaged: false,
            stretch: None,
            converted: None,
            surplus: None,
            last_place: Place {
                line: 0,
                offset: 0,
                length: 0,
            },
        }
    }

    /// Notes a finding; gives its index when there was room.
    fn find(&mut self, kind: FindingKind, place: Place) -> Option<usize> {
        let finding = Finding { kind, place };
        if self.findings.len() < MOST_FINDINGS {
            self.findings.push(finding);
            return Some(self.findings.len() - 1);
        }
        self.more += 1;
        self.more_damaged |= finding.state() == Some(State::Damaged);
        None
    }

    fn damage(&mut self, damage: &Damage) {
        let (mut place, kind) = (damage.place, damage.kind);
        if kind == DamageKind::TornTail && damage.begins_as_expected {
            place = self.torn_again(place);
        }
        self.last_place = place;
        let continued = self.until.is_some() && self.until_seen;
        if continued && kind == DamageKind::TornTail {
            return self.surplus_line(place);
        }
        if kind == DamageKind::TornTail {
            self.tail = Tail::Torn {
                offset: place.offset,
                bytes: place.length,
            };
        }
        let index = self.find(
            FindingKind::Damage {
                kind,
                missing: None,
            },
            place,
        );
        self.stretch = self.stretch.or(index);
    }

    /// An unfinished line that begins with the number that is due. Were the damaged stretches
    /// directly before it lines that had counted once, it would carry a higher one: what stands
    /// there was torn too, and this is the line that was to say so. All of it is one torn tail.
    fn torn_again(&mut self, place: Place) -> Place {
        let Some(index) = self.stretch else {
            return place;
        };
        let Some(first) = self.findings.get(index).map(|finding| finding.place) else {
            return place;
        };
        self.findings.truncate(index);
        self.stretch = None;
        Place {
            length: place.offset + place.length - first.offset,
            ..first
        }
    }

    /// Checks a line; says whether it counts.
    fn line(&mut self, sound: &SoundLine<'_>) -> bool {
        let place = sound.place;
        let previous = std::mem::replace(&mut self.last_place, place);
        let stretch = self.stretch.take();
        if let Some(until) = self.until
            && sound.line.seq > until.seq
        {
            // The last line that counts may be damaged: those after it count no more for that.
            if !self.until_seen {
                self.link_absent(until.seq, place);
                self.until_seen = true;
            }
            if sound.line.kind == TAIL_DAMAGED {
                self.explain_tail(sound, stretch, previous);
            }
            self.surplus_line(place);
            return false;
        }
        // Before anything else is found in this line, which would stand between the two.
        let is_told =
            sound.line.kind != TAIL_DAMAGED || self.explain_tail(sound, stretch, previous);
        self.events += 1;
        self.note_text(sound);
        if self.closed {
            self.find(FindingKind::AfterClose, place);
        }
        self.closed |= sound.line.kind == SESSION_CLOSED;
        self.note_fault(sound, stretch);
        if !is_told {
            self.find(FindingKind::BadLink, place);
        }
        let continues = sound.line.kind == CONTINUATION_OPENED;
        if continues && (self.events > 1 || !continuation_fits(sound)) {
            self.find(FindingKind::BadLink, place);
        }
        self.counted = Link::of(&sound.line);
        self.highest = self.highest.max(sound.line.seq);
        self.until_seen |= self.until == Some(self.counted);
        true
    }

    /// The line that the continuation names was not found. No later line tells what is missing
    /// before it: those do not count, or there is none.
    fn link_absent(&mut self, seq: u64, place: Place) {
        let missing = (self.highest < seq).then_some((self.highest + 1, seq));
        self.find(FindingKind::LinkAbsent { seq, missing }, place);
    }

    fn surplus_line(&mut self, place: Place) {
        let known = self.surplus.and_then(|index| self.findings.get_mut(index));
        if let Some(finding) = known {
            if let FindingKind::NotAcknowledged { lines } = &mut finding.kind {
                *lines += 1;
            }
            finding.place.length = place.offset + place.length - finding.place.offset;
        } else {
            self.surplus = self.find(FindingKind::NotAcknowledged { lines: 1 }, place);
        }
    }

    fn note_text(&mut self, sound: &SoundLine<'_>) {
        let place = sound.place;
        if sound.byte_order_mark {
            let mark = Place {
                line: place.line,
                offset: 0,
                length: 3,
            };
            self.find(FindingKind::ByteOrderMark, mark);
        }
        match sound.line_end {
            LineEnd::Lf => {}
            LineEnd::Missing => {
                self.tail = Tail::LineEndMissing;
                self.find(FindingKind::LineEndMissing, place);
            }
            LineEnd::CrLf => self.note_converted(place),
        }
        if self.bodies == Bodies::ReadByCaller {
            return;
        }
        if let Err(fault) = check_body(sound.line.body) {
            let kind = FindingKind::BadBody {
                at: fault.offset,
                expected: fault.expected,
            };
            self.find(kind, place);
        }
    }

    fn note_converted(&mut self, place: Place) {
        let known = self
            .converted
            .and_then(|index| self.findings.get_mut(index));
        if let Some(Finding {
            kind: FindingKind::LineEndsConverted { lines },
            ..
        }) = known
        {
            *lines += 1;
        } else {
            self.converted = self.find(FindingKind::LineEndsConverted { lines: 1 }, place);
        }
    }

    /// A gap directly after damage belongs to the damage.
    fn note_fault(&mut self, sound: &SoundLine<'_>, stretch: Option<usize>) {
        let Some(fault) = sound.fault else { return };
        let kind = match fault {
            ChainFault::Missing { first, last } => {
                let damaged = stretch.and_then(|index| self.findings.get_mut(index));
                if let Some(Finding {
                    kind: FindingKind::Damage { missing, .. },
                    ..
                }) = damaged
                {
                    *missing = Some((first, last));
                    return;
                }
                FindingKind::Missing { first, last }
            }
            ChainFault::Broken => FindingKind::ChainBroken,
            ChainFault::Duplicate => FindingKind::Duplicate,
            ChainFault::OutOfOrder => FindingKind::OutOfOrder,
        };
        self.find(kind, sound.place);
    }

    /// Whether a `tail_damaged` line tells of all the damaged stretches directly before it, torn
    /// once or several times; then they are no damage.
    fn explain_tail(
        &mut self,
        sound: &SoundLine<'_>,
        stretch: Option<usize>,
        previous: Place,
    ) -> bool {
        let end = previous.offset + previous.length;
        let void = end.saturating_sub(1);
        let Some(index) = stretch else {
            return sound.line.body == tail_damaged_body(0, void);
        };
        let Some(first) = self.findings.get(index).map(|finding| finding.place) else {
            return false;
        };
        let body = tail_damaged_body(void.saturating_sub(first.offset), first.offset);
        let fits = sound.fault.is_none() && sound.line.body == body;
        if fits {
            self.findings.truncate(index);
            let length = end - first.offset;
            let place = Place { length, ..first };
            self.find(FindingKind::TornTailContinued, place);
        }
        fits
    }

    fn report(mut self, head: Link, length: u64) -> Report {
        if let Some(until) = self.until {
            if !self.until_seen {
                self.link_absent(until.seq, self.last_place);
            }
            self.closed = false;
        }
        let damaged = self.more_damaged
            || self
                .findings
                .iter()
                .any(|finding| finding.state() == Some(State::Damaged));
        let state = match self.tail {
            _ if damaged => State::Damaged,
            Tail::Torn { .. } | Tail::LineEndMissing => State::TornTail,
            Tail::Whole if self.closed => State::Sound,
            Tail::Whole => State::NotClosed,
        };
        Report {
            state,
            events: self.events,
            head: if self.until.is_some() {
                self.counted
            } else {
                head
            },
            length,
            tail: self.tail,
            closed: self.closed,
            findings: self.findings,
            more_findings: self.more,
        }
    }
}

/// The body of a `tail_damaged` line.
pub(crate) fn tail_damaged_body(bytes: u64, offset: u64) -> String {
    format!("{{\"bytes\":{bytes},\"offset\":{offset}}}")
}

fn continuation_fits(sound: &SoundLine<'_>) -> bool {
    ContinuationOf::parse(&sound.line)
        .is_some_and(|origin| origin.link == Link::before(&sound.line))
}

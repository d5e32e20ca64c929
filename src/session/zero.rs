//! Whether a gauge's zero can be trusted: what its checks came to, what they take off its readings,
//! and which readings a failed check puts in doubt. Nothing that was recorded is changed.

use std::collections::BTreeMap;

use super::state::{End, Misfit, Pending, Record, State};
use crate::gauge::{Gauge, GaugeId, GaugeReads, Observed};
use crate::journal::{EarlierZero, Event, Sequence, ZeroChecked};
use crate::quantity::Length;

const HOUR_MS: u64 = 3_600_000;

/// The zeros of a session's gauges.
#[derive(Debug, Clone, Default)]
pub struct Zeros {
    /// By gauge; the oldest first, those before the session in front.
    checks: BTreeMap<GaugeId, Vec<Zero>>,
    asked: BTreeMap<GaugeId, AskedZero>,
}

/// One check of a gauge, or a finding that it is wrong.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Zero {
    /// The line that says so; 0 before this session.
    pub line: Sequence,
    /// The reading it rests on; 0 where there is none.
    pub reading: Sequence,
    /// When, in monotonic milliseconds of this session; negative before it.
    pub at_ms: i64,
    /// The setting standard; none: the gauge's own zero.
    pub standard: Option<GaugeId>,
    /// By how much the gauge shows too much.
    pub offset: Length,
    /// Whether the offset may be taken off; if not, the gauge proves nothing until it is checked
    /// again.
    pub good: bool,
    /// Why the gauge was found wrong, where no check said so; else empty.
    pub why: String,
    /// The moment (RFC 3339) from which on its readings are in doubt, if one was named.
    pub since: Option<String>,
}

/// A check that waits for its reading.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct AskedZero {
    /// The setting standard; none: the gauge's own zero.
    pub standard: Option<GaugeId>,
    /// What the gauge should show.
    pub shows: Length,
}

/// How far the zero of a gauge can be trusted at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum ZeroState {
    /// No check is asked for, and none was made.
    NotAsked,
    /// The last check was good and holds.
    Good,
    /// The register asks for a check, and there is none that holds.
    Due,
    /// The last check failed, or the gauge was found wrong.
    Failed,
}

impl ZeroState {
    /// The state in a word.
    pub fn word(self) -> &'static str {
        match self {
            Self::NotAsked => "not asked for",
            Self::Good => "checked",
            Self::Due => "check due",
            Self::Failed => "failed",
        }
    }
}

impl Zeros {
    /// Those that a session brings along.
    pub(super) fn of(earlier: &[EarlierZero]) -> Self {
        let mut zeros = Self::default();
        for one in earlier {
            zeros.keep(
                &GaugeId::new(&one.gauge),
                Zero {
                    line: 0,
                    reading: 0,
                    at_ms: i64::try_from(one.age_ms).map_or(i64::MIN, |age| -age),
                    standard: id_of(&one.standard),
                    offset: one.offset,
                    good: one.good,
                    why: String::new(),
                    since: None,
                },
            );
        }
        zeros
    }

    fn keep(&mut self, gauge: &GaugeId, zero: Zero) {
        self.checks.entry(gauge.clone()).or_default().push(zero);
    }

    /// The last check of a gauge.
    pub fn last(&self, gauge: &GaugeId) -> Option<&Zero> {
        self.checks.get(gauge)?.last()
    }

    /// All checks of a gauge, the oldest first.
    pub fn history(&self, gauge: &GaugeId) -> &[Zero] {
        self.checks.get(gauge).map_or(&[], Vec::as_slice)
    }

    /// The check that waits for a reading of that gauge.
    pub fn asked(&self, gauge: &GaugeId) -> Option<&AskedZero> {
        self.asked.get(gauge)
    }

    /// Every check and finding, by gauge, the oldest first.
    pub fn all(&self) -> impl Iterator<Item = (&GaugeId, &[Zero])> {
        self.checks
            .iter()
            .map(|(gauge, all)| (gauge, all.as_slice()))
    }

    /// Every check that waits, by gauge.
    pub fn all_asked(&self) -> impl Iterator<Item = (&GaugeId, &AskedZero)> {
        self.asked.iter()
    }
}

fn id_of(text: &str) -> Option<GaugeId> {
    (!text.is_empty()).then(|| GaugeId::new(text))
}

impl State {
    /// What is known of the gauges' zeros.
    pub fn zeros(&self) -> &Zeros {
        &self.zeros
    }

    /// What a good check takes off the readings of that gauge now.
    pub fn zero_offset(&self, gauge: &GaugeId) -> Length {
        let checks = self.zeros.history(gauge);
        let last_good = checks.iter().rev().find(|zero| zero.good);
        last_good.map_or(Length::ZERO, |zero| zero.offset)
    }

    /// The good check that counts for a reading: the last one before it.
    pub fn zero_of(&self, reading: Sequence) -> Option<&Zero> {
        let gauge = self.setup.gauge_id(self.reading(reading)?.gauge?)?;
        let mut checks = self.zeros.history(&gauge).iter().rev();
        checks.find(|zero| zero.good && zero.reading < reading)
    }

    /// How far that gauge's zero can be trusted at `now_ms` of this session.
    pub fn zero_state(&self, gauge: &GaugeId, now_ms: u64) -> ZeroState {
        let entry = self.setup.gauge(gauge);
        let every = entry
            .and_then(|entry| entry.zero_check.as_ref())
            .and_then(|check| check.every_hours);
        match (self.zeros.last(gauge), every) {
            (Some(zero), _) if !zero.good => ZeroState::Failed,
            (Some(zero), every) => {
                let now = i64::try_from(now_ms).unwrap_or(i64::MAX);
                let age = u64::try_from(now.saturating_sub(zero.at_ms)).unwrap_or(0);
                match every {
                    Some(hours) if age > u64::from(hours) * HOUR_MS => ZeroState::Due,
                    _ => ZeroState::Good,
                }
            }
            (None, Some(_)) => ZeroState::Due,
            (None, None) => ZeroState::NotAsked,
        }
    }

    pub(super) fn ask_zero(&mut self, gauge: &str, standard: &str, shows: Length) {
        let standard = id_of(standard);
        let asked = AskedZero { standard, shows };
        self.zeros.asked.insert(GaugeId::new(gauge), asked);
    }

    pub(super) fn drop_zero(&mut self, gauge: &str) {
        self.zeros.asked.remove(&GaugeId::new(gauge));
    }

    pub(super) fn take_zero(
        &mut self,
        line: Sequence,
        at_ms: u64,
        checked: &ZeroChecked,
    ) -> Result<(), Misfit> {
        self.end(line, checked.reading, End::ZeroCheck)?;
        self.finish(checked.reading);
        let gauge = GaugeId::new(&checked.gauge);
        self.zeros.asked.remove(&gauge);
        if !checked.good {
            let since = self.last_good_line(&gauge);
            self.doubt(line, &gauge, since);
        }
        let zero = Zero {
            line,
            reading: checked.reading,
            at_ms: i64::try_from(at_ms).unwrap_or(i64::MAX),
            standard: id_of(&checked.standard),
            offset: checked.offset,
            good: checked.good,
            why: String::new(),
            since: None,
        };
        self.zeros.keep(&gauge, zero);
        // What is read from here on is no repeat of what was read before.
        self.bench.repeats_from = line;
        Ok(())
    }

    pub(super) fn doubt_gauge(
        &mut self,
        line: Sequence,
        at_ms: u64,
        gauge: &str,
        since: Option<&str>,
        why: &str,
    ) {
        let gauge = GaugeId::new(gauge);
        let from = self.last_good_line(&gauge);
        self.doubt(line, &gauge, from);
        let zero = Zero {
            line,
            reading: 0,
            at_ms: i64::try_from(at_ms).unwrap_or(i64::MAX),
            standard: None,
            offset: Length::ZERO,
            good: false,
            why: why.to_owned(),
            since: since.map(str::to_owned),
        };
        self.zeros.keep(&gauge, zero);
        self.bench.repeats_from = line;
    }

    /// Marks what counts of the readings that rest on that gauge and are later than `since`.
    fn doubt(&mut self, line: Sequence, gauge: &GaugeId, since: Sequence) {
        let resting = resting_on(self.setup.register.gauges(), gauge);
        let rests: Vec<u16> = resting
            .iter()
            .filter_map(|id| self.setup.gauge_index(id))
            .collect();
        let carries = |record: &Record| {
            let target = self.setup.targets.get(usize::from(record.target));
            let by = record.gauge.and_then(|index| self.setup.gauge_id(index));
            let carrier = target
                .zip(by)
                .and_then(|(target, by)| self.setup.carrier(target, &by));
            carrier.is_some_and(|carrier| carrier.id == *gauge)
        };
        let is_meant = |record: &Record| {
            matches!(record.end, End::Judged | End::Study)
                && record.doubted_by == 0
                && (record.gauge.is_some_and(|index| rests.contains(&index)) || carries(record))
        };
        let meant: Vec<Sequence> = self
            .readings
            .iter()
            .rev()
            .take_while(|record| record.sequence > since)
            .filter(|record| is_meant(record))
            .map(|record| record.sequence)
            .collect();
        for sequence in meant {
            self.mark(sequence, line);
        }
    }

    /// What that line doubted is in doubt no more.
    fn settle_doubt(&mut self, line: Sequence) {
        let by_it = self.readings.iter().filter(|one| one.doubted_by == line);
        let meant: Vec<Sequence> = by_it.map(|record| record.sequence).collect();
        for sequence in meant {
            self.mark(sequence, 0);
        }
    }

    fn mark(&mut self, reading: Sequence, doubted_by: Sequence) {
        self.readings
            .change(reading, |record| record.doubted_by = doubted_by);
        let Some(record) = self.reading(reading) else {
            return;
        };
        if record.end == End::Study {
            self.doubt_cell(reading, doubted_by > 0);
            return;
        }
        let point = usize::from(record.point).wrapping_sub(1);
        let target = usize::from(record.target);
        let characteristic = self.characteristic_mut(record.part, target);
        let slot = characteristic.and_then(|one| one.points.get_mut(point));
        if let Some(slot) = slot
            && slot.reading() == reading
        {
            slot.is_in_doubt = doubted_by > 0;
        }
    }

    fn last_good_line(&self, gauge: &GaugeId) -> Sequence {
        let checks = self.zeros.history(gauge);
        let last_good = checks.iter().rev().find(|zero| zero.good);
        last_good.map_or(0, |zero| zero.line)
    }

    /// A failed check that was voided (dirt on the standard) doubts nothing any more.
    pub(super) fn void_zero(&mut self, reading: Sequence) {
        let mut line = 0;
        for checks in self.zeros.checks.values_mut() {
            if let Some(at) = checks
                .iter()
                .position(|zero| zero.line > 0 && zero.reading == reading)
            {
                line = checks.remove(at).line;
            }
        }
        if line > 0 {
            self.settle_doubt(line);
        }
    }

    /// Whether a zero-check reading may be voided: only of a failed check, for a good one has been
    /// taken off what came after it.
    pub(super) fn is_failed_zero(&self, reading: Sequence) -> bool {
        let mut all = self.zeros.checks.values().flatten();
        all.any(|zero| zero.line > 0 && zero.reading == reading && !zero.good)
    }

    /// The check that the reading of a gauge is, if one is asked for.
    pub(super) fn zero_check_of(&self, pending: &Pending) -> Option<Event> {
        let gauge = &pending.reading.gauge;
        let asked = self.zeros.asked(gauge)?;
        let Observed::Length(shown) = pending.reading.observed else {
            return Some(Event::ReadingSetAside {
                reading: pending.sequence,
                reason: "the zero of the gauge is being checked, and that is no length".to_owned(),
            });
        };
        let offset = shown - asked.shows;
        let size = self.setup.gauge(gauge).map(|entry| entry.size_of(shown));
        let bound = self
            .setup
            .gauge(gauge)
            .and_then(|entry| entry.zero_bound(size.unwrap_or(shown)));
        let standard = asked.standard.as_ref().map_or("", GaugeId::as_str);
        Some(Event::ZeroChecked(Box::new(ZeroChecked {
            reading: pending.sequence,
            gauge: gauge.as_str().to_owned(),
            standard: standard.to_owned(),
            shows: asked.shows,
            offset,
            bound,
            // With nothing to go by, only a zero that is right is taken.
            good: offset.abs() <= bound.unwrap_or(Length::ZERO),
        })))
    }
}

/// The gauges whose readings rest on that one: itself, comparators set on it, and those that only
/// carry a size to it.
pub fn resting_on(gauges: &[Gauge], gauge: &GaugeId) -> Vec<GaugeId> {
    let rests = |one: &&Gauge| {
        let set_on = match &one.reads {
            GaugeReads::Deviation { set_on, .. } => Some(set_on),
            GaugeReads::Size => None,
        };
        one.id == *gauge || set_on == Some(gauge) || one.read_by.as_ref() == Some(gauge)
    };
    let mut ids: Vec<GaugeId> = gauges
        .iter()
        .filter(rests)
        .map(|one| one.id.clone())
        .collect();
    if !ids.contains(gauge) {
        ids.push(gauge.clone());
    }
    ids
}

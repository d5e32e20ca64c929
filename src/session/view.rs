//! Questions that the edges and `decide` ask of the state; nothing here changes it.

use std::sync::Arc;

use super::log::Parts;
use super::packed::Records;
use super::routing::WHICH;
use super::setup::Setup;
use super::state::{Bench, Characteristic, End, Held, Part, Pending, Point, Record, State};
use super::suspicion::suspicion;
use crate::journal::{Event, Outcome, Place, Sequence};
use crate::measure::VerdictWord;

/// The state of a part, rolled up from its characteristics.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum PartState {
    /// Something is still to be measured or decided.
    Open,
    /// Every selected characteristic is GO, but for those that prove nothing; at least one is.
    Go,
    /// All are settled, at least one is NO-GO.
    NoGo,
    /// All are settled, none is NO-GO, at least one is DOUBT, or rests on a gauge that was found
    /// wrong after it.
    Doubt,
    /// All are settled by what proves nothing, such as the feel of a mating part.
    Noted,
    /// The sampling plan leaves everything on this part out: nothing is said of it.
    NotSelected,
}

impl PartState {
    /// The state's word.
    pub fn word(self) -> &'static str {
        match self {
            Self::Open => "open",
            Self::Go => "GO",
            Self::NoGo => "NO-GO",
            Self::Doubt => "DOUBT",
            Self::Noted => "NOTED",
            Self::NotSelected => "not selected",
        }
    }

    /// Whether nothing of the part is open, wrong or in doubt.
    pub fn is_good(self) -> bool {
        matches!(self, Self::Go | Self::Noted | Self::NotSelected)
    }
}

impl Part {
    /// The part's state.
    pub fn state(&self) -> PartState {
        let selected = || self.characteristics.iter().filter(|c| c.selected);
        if selected().next().is_none() {
            return PartState::NotSelected;
        }
        if selected().any(|c| c.settled.is_none()) {
            return PartState::Open;
        }
        let any = |word| selected().any(|c| c.settled == Some(Outcome::Verdict(word)));
        if any(VerdictWord::NoGo) {
            PartState::NoGo
        } else if any(VerdictWord::Doubt) || selected().any(Characteristic::is_in_doubt) {
            PartState::Doubt
        } else if any(VerdictWord::Go) {
            PartState::Go
        } else {
            PartState::Noted
        }
    }
}

impl Characteristic {
    /// Whether a point of it rests on a gauge that was found wrong after it.
    pub fn is_in_doubt(&self) -> bool {
        self.points.iter().any(|point| point.is_in_doubt)
    }

    /// Whether it is still to be measured: not settled, or in doubt since.
    pub fn is_open(&self) -> bool {
        self.settled.is_none() || self.is_in_doubt()
    }
}

impl State {
    /// The standard uncertainty of a point's value in smallest steps, where it is known.
    pub fn standard_of(&self, point: &Point) -> Option<i64> {
        self.uncertainties.of(point.standard)
    }

    /// What the session measures against.
    pub fn setup(&self) -> &Setup {
        &self.setup
    }

    /// What the operator set.
    pub fn bench(&self) -> &Bench {
        &self.bench
    }

    /// All parts so far.
    pub fn parts(&self) -> &Parts {
        &self.parts
    }

    /// All readings so far, by their line.
    pub fn readings(&self) -> &Records {
        &self.readings
    }

    /// The part of that number.
    pub fn part(&self, number: u32) -> Option<&Part> {
        self.parts
            .get(usize::try_from(number).ok()?.checked_sub(1)?)
            .map(Arc::as_ref)
    }

    /// The part at hand: the one taken up again, else the last one started.
    pub fn current_part(&self) -> Option<&Part> {
        if let Some(part) = self.bench.part_at_hand {
            return self.part(part);
        }
        self.parts.last().map(Arc::as_ref)
    }

    /// Whether an earlier part is at hand, and the newest is still open.
    pub(super) fn is_newest_open(&self) -> bool {
        let is_open = |part: &Arc<Part>| {
            let mut all = part.characteristics.iter();
            all.any(|one| one.selected && one.is_open())
        };
        self.bench.part_at_hand.is_some() && self.parts.last().is_some_and(is_open)
    }

    /// The chance that a characteristic of a part conforms, in parts per million: that of its
    /// worst point; none where none was computed.
    pub fn chance(&self, part: u32, target: usize) -> Option<u32> {
        let points = &self.part(part)?.characteristics.get(target)?.points;
        points
            .iter()
            .filter_map(|point| point.conformance_ppm.ppm())
            .min()
    }

    /// Whether the session has ended.
    pub fn is_closed(&self) -> bool {
        self.closed
    }

    /// How many parts were started.
    pub(super) fn parts_started(&self) -> u32 {
        u32::try_from(self.parts.len()).unwrap_or(u32::MAX)
    }

    /// The number that the next part gets.
    pub(super) fn next_part_number(&self) -> u32 {
        self.parts_started().saturating_add(1)
    }

    /// The event that ends the session as it stands.
    pub(super) fn closing(&self, reason: String) -> Event {
        Event::SessionClosed {
            readings: self.readings().len() as u64,
            parts: self.parts_started(),
            reason,
        }
    }

    /// Whether a further part may be started.
    pub fn has_parts_left(&self) -> bool {
        let wanted = self.setup.parts_wanted;
        wanted.is_none_or(|wanted| self.parts_started() < wanted)
    }

    /// The reading that may be decided now: the first that has not ended. While one is held, only
    /// one that answers for it: of the same gauge, fitting where the held one does not.
    pub fn next_pending(&self) -> Option<&Pending> {
        match &self.bench.held {
            Some(held) => self.measured_again(held),
            None => self.pending.front(),
        }
    }

    /// The newest reading, where it shows that the held one was a slip. Two that agree show
    /// nothing: a person answers.
    fn measured_again(&self, held: &Held) -> Option<&Pending> {
        let newest = self.pending.back()?;
        let first = self.held_reading()?;
        let at = (&held.place.feature, &held.place.element);
        let target = self.setup.target_index(at.0, at.1)?;
        let described = self.setup.targets.get(target)?;
        let is_again = newest.sequence != held.reading
            && held.cause != WHICH
            && newest.reading.gauge == first.reading.gauge
            && described.takes(newest.reading.observed)
            && self.zeros.asked(&newest.reading.gauge).is_none();
        (is_again && suspicion(self, newest, target, &held.place).is_none()).then_some(newest)
    }

    /// The reading that is held, whole.
    pub fn held_reading(&self) -> Option<&Pending> {
        let held = self.bench.held.as_ref()?;
        self.pending
            .iter()
            .find(|pending| pending.sequence == held.reading)
    }

    /// Readings recorded but waiting behind a held one.
    pub fn waiting(&self) -> usize {
        self.pending
            .len()
            .saturating_sub(usize::from(self.bench.held.is_some()))
    }

    /// The characteristic to measure now on the part at hand, by its place in measuring order:
    /// the one chosen by hand, else the first that is open. None when the part is settled.
    pub fn current_target(&self) -> Option<usize> {
        let part = self.current_part()?;
        let open = |c: &Characteristic| c.selected && c.is_open();
        self.bench
            .chosen
            .or_else(|| part.characteristics.iter().position(open))
    }

    /// Where the next reading belongs, on the part at hand.
    pub fn current_place(&self) -> Option<(usize, Place)> {
        let part = self.current_part()?;
        let target = self.current_target()?;
        let characteristic = part.characteristics.get(target)?;
        let asked = self.bench.chosen_point.map(|(point, _)| point);
        let point = asked.map_or_else(
            || self.next_point(part, characteristic),
            |point| usize::from(point).saturating_sub(1),
        );
        let description = self.setup.targets.get(target)?;
        let place = Place {
            part: part.number,
            feature: description.feature.clone(),
            element: description.element.clone(),
            point: u16::try_from(point + 1).unwrap_or(u16::MAX),
        };
        Some((target, place))
    }

    /// The place of a reading by its numbers.
    pub(super) fn place_of(&self, part: u32, target: usize, point: u16) -> Option<Place> {
        let target = self.setup.targets.get(target)?;
        let (feature, element) = (target.feature.clone(), target.element.clone());
        Some(Place {
            part,
            feature,
            element,
            point,
        })
    }

    /// Judged readings of a place that a further one repeats, oldest first. While cutting there
    /// are none: the size changes, so the latest counts.
    pub(super) fn repeats_of(&self, target: usize, place: &Place) -> Vec<Record> {
        if self.bench.cutting {
            return Vec::new();
        }
        self.judged_at(target, place)
    }

    /// Judged readings of a place since the work or its temperature changed, oldest first.
    pub(super) fn judged_at(&self, target: usize, place: &Place) -> Vec<Record> {
        let from = self.bench.repeats_from;
        let same = |record: &Record| {
            record.part == place.part
                && usize::from(record.target) == target
                && record.point == place.point
                && record.end == End::Judged
        };
        let recent = self.readings.iter().rev().take_while(|record| {
            record.sequence > from && (record.part == 0 || record.part >= place.part)
        });
        let mut found: Vec<Record> = recent.filter(same).collect();
        found.reverse();
        found
    }

    /// The point of the part at hand that was measured last, for "repeat this point".
    pub fn last_place(&self) -> Option<Place> {
        let part = self.current_part()?.number;
        let counts = |record: &Record| {
            record.part == part && matches!(record.end, End::Judged | End::Cutting)
        };
        let record = self.readings.iter().rev().find(counts)?;
        self.place_of(part, usize::from(record.target), record.point)
    }

    /// The last reading that still counts, for "void the last".
    pub fn last_reading(&self) -> Option<Sequence> {
        let counts = |record: &Record| {
            let is_failed_check =
                record.end == End::ZeroCheck && self.is_failed_zero(record.sequence);
            let ends = [
                End::Judged,
                End::Cutting,
                End::Assigned,
                End::Held,
                End::Study,
            ];
            is_failed_check || ends.contains(&record.end)
        };
        self.readings
            .iter()
            .rev()
            .find(counts)
            .map(|record| record.sequence)
    }

    /// Features that stay open in the setting that the part is clamped in, if it leaves now.
    pub fn open_when_taken_out(&self) -> Vec<String> {
        let next = self
            .current_target()
            .and_then(|at| self.setup.targets.get(at));
        // What was measured last says how the part is clamped; else what comes next.
        let setting = self.bench.setting.or(next.map(|target| target.setting));
        setting.map_or_else(Vec::new, |setting| self.open_in_setting(setting))
    }

    /// Features of that setting that are still open on the part.
    pub fn open_in_setting(&self, setting: u32) -> Vec<String> {
        let Some(part) = self.current_part() else {
            return Vec::new();
        };
        let pairs = self.setup.targets.iter().zip(&part.characteristics);
        pairs
            .filter(|(target, c)| target.setting == setting && c.selected && c.is_open())
            .map(|(target, _)| target.feature.clone())
            .collect()
    }
}

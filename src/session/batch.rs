//! The numbers of every characteristic over the parts: kept up with each event in the same time,
//! however many parts there are, and at any moment equal to what the state gives anew.
//!
//! A part stands in a row once all its wanted points have a value, or one is NO-GO; of several
//! points their mean is its value, and they are its subgroup. What was voided is not in it; what
//! is in doubt is shown and counts for nothing. Parts stand in the order of their numbers, so that
//! one measured late or again keeps its place.
//!
//! This file asks no advice and judges no limits of size.

use super::batch_breaks::{BreakKind, WorkBreak};
use super::batch_point::{BatchPoint, PartStanding, standing_of};
use super::batch_running::{BatchSegment, Running};
use super::setup::Target;
use super::state::State;
use crate::journal::{Event, ValueUnit};
use crate::statistics::{LineSums, RunLengths, StatisticsError, Summary};

/// The rows of numbers of a session, one for each characteristic.
#[derive(Debug, Clone, PartialEq)]
pub struct Batch {
    series: Vec<BatchSeries>,
    /// So many parts of the state, and so many breaks, are in the rows.
    parts: usize,
    breaks: usize,
}

/// One characteristic over the parts.
#[derive(Debug, Clone, PartialEq)]
pub struct BatchSeries {
    /// Its place in measuring order.
    pub target: usize,
    /// What its whole numbers are. Outcomes of a limit gauge have no points, only standings.
    pub unit: ValueUnit,
    points: Vec<BatchPoint>,
    breaks: Vec<BatchBreak>,
    /// First parts of rows that a break began, ascending.
    splits: Vec<u32>,
    /// How the characteristic stands on each part, and how many stand so.
    standings: Vec<PartStanding>,
    counts: BatchCounts,
    lengths: RunLengths,
    /// Rows that a break ended.
    closed: Vec<BatchSegment>,
    running: Running,
    /// As it was before the newest point, to measure that again in the same time.
    before: Running,
}

/// A break in the row of a characteristic.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct BatchBreak {
    /// The first part that was made after it.
    pub before_part: u32,
    /// What it was.
    pub kind: BreakKind,
    /// What was said of it.
    pub note: String,
}

/// On how many parts a characteristic stands in which way; together the parts begun.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct BatchCounts {
    /// GO.
    pub go: u32,
    /// NO-GO.
    pub no_go: u32,
    /// DOUBT, or measured with a gauge that was found wrong after it.
    pub doubt: u32,
    /// Recorded, and nothing is proved by it.
    pub noted: u32,
    /// Not all measured.
    pub open: u32,
    /// Left out by the sampling plan: nothing is said of them, least of all that they are good.
    pub not_selected: u32,
}

/// Which rows an event changed.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Changed {
    /// None.
    Nothing,
    /// One, by its place in measuring order.
    One(usize),
    /// Perhaps all.
    All,
}

impl Batch {
    /// The rows that a state gives, with the tests of ISO 8258 (Nelson).
    pub fn of(state: &State) -> Self {
        let targets = state.setup().targets.iter().enumerate();
        let series = targets.map(|(at, target)| BatchSeries::new(at, target, RunLengths::NELSON));
        let mut batch = Self {
            series: series.collect(),
            parts: 0,
            breaks: 0,
        };
        batch.take_new(state);
        batch
    }

    /// Takes in what an event changed; `state` is the state after it, or after some more that will
    /// follow. Costs the same for every reading; a void, a late part or a gauge that was found
    /// wrong may cost a pass over the row.
    pub fn follow(&mut self, state: &State, event: &Event) -> Changed {
        let was = (self.parts, self.breaks);
        self.take_new(state);
        let grown = was != (self.parts, self.breaks);
        let changed = match event {
            Event::VerdictGiven(verdict) => {
                let place = &verdict.place;
                let target = state.setup().target_index(&place.feature, &place.element);
                target.map(|target| (place.part, target))
            }
            Event::ReadingVoided { reading, .. } => match state.reading(*reading) {
                Some(record) if record.part > 0 => Some((record.part, usize::from(record.target))),
                // It may have been the check of a gauge's zero.
                _ => return self.sync_all(state),
            },
            Event::ZeroChecked(_) | Event::GaugeDoubted { .. } => return self.sync_all(state),
            _ => None,
        };
        if let Some((part, target)) = changed {
            self.sync(state, part, target);
        }
        match changed {
            _ if grown => Changed::All,
            Some((_, target)) => Changed::One(target),
            None => Changed::Nothing,
        }
    }

    /// The rows in measuring order.
    pub fn series(&self) -> &[BatchSeries] {
        &self.series
    }

    /// Breaks and parts that are new in the state.
    fn take_new(&mut self, state: &State) {
        for found in state.breaks().iter().skip(self.breaks) {
            for series in &mut self.series {
                series.add_break(found);
            }
        }
        self.breaks = state.breaks().len();
        while let Some(part) = state.parts().get(self.parts) {
            self.parts += 1;
            for target in 0..self.series.len() {
                self.sync(state, part.number, target);
            }
        }
    }

    fn sync(&mut self, state: &State, part: u32, target: usize) {
        if let Some(series) = self.series.get_mut(target) {
            series.sync(state, part);
        }
    }

    fn sync_all(&mut self, state: &State) -> Changed {
        for part in state.parts() {
            for target in 0..self.series.len() {
                self.sync(state, part.number, target);
            }
        }
        Changed::All
    }
}

impl BatchSeries {
    fn new(at: usize, target: &Target, lengths: RunLengths) -> Self {
        Self {
            target: at,
            unit: target.unit(),
            points: Vec::new(),
            breaks: Vec::new(),
            splits: Vec::new(),
            standings: Vec::new(),
            counts: BatchCounts::default(),
            lengths,
            closed: Vec::new(),
            running: Running::default(),
            before: Running::default(),
        }
    }

    /// The parts that have a value, in the order of their numbers.
    pub fn points(&self) -> &[BatchPoint] {
        &self.points
    }

    /// What happened between the parts, in its order.
    pub fn breaks(&self) -> &[BatchBreak] {
        &self.breaks
    }

    /// How the characteristic stands over the parts begun.
    pub fn counts(&self) -> BatchCounts {
        self.counts
    }

    /// How the characteristic stands on a part; none before the part was begun.
    pub fn standing(&self, part: u32) -> Option<PartStanding> {
        let at = usize::try_from(part).ok()?.checked_sub(1)?;
        self.standings.get(at).copied()
    }

    /// The run lengths that signals are looked for with.
    pub fn lengths(&self) -> RunLengths {
        self.lengths
    }

    /// The rows between breaks, each with its limits; the last one is the row in force.
    pub fn segments(&self) -> Vec<BatchSegment> {
        let mut all = self.closed.clone();
        all.push(self.segment());
        all
    }

    /// The row in force: the points since the last break.
    pub fn segment(&self) -> BatchSegment {
        self.running.segment()
    }

    /// The points of the row in force.
    pub fn segment_points(&self) -> &[BatchPoint] {
        let from = self.running.segment_start();
        self.points.get(from..).unwrap_or_default()
    }

    /// Number, mean and standard deviation of all values that count, of every point of every part,
    /// in units.
    ///
    /// # Errors
    /// `TooFew` without a value.
    pub fn summary(&self) -> Result<Summary, StatisticsError> {
        self.running.summary()
    }

    /// The same without the one value that lies furthest from the mean: what all the others do.
    ///
    /// # Errors
    /// `TooFew` below two values.
    pub fn summary_but_furthest(&self) -> Result<Summary, StatisticsError> {
        self.running.summary_but_furthest()
    }

    /// Sums of the line through the parts of the row in force: place is the part's number.
    pub fn line_sums(&self) -> &LineSums {
        self.running.line_sums()
    }

    fn add_break(&mut self, found: &WorkBreak) {
        let before_part = found.before_part(self.target);
        self.breaks.push(BatchBreak {
            before_part,
            kind: found.kind,
            note: found.note.clone(),
        });
        if found.kind.splits() {
            let at = self.splits.partition_point(|split| *split <= before_part);
            self.splits.insert(at, before_part);
        }
    }

    /// Brings what is kept of a part to what the state says of it.
    fn sync(&mut self, state: &State, part: u32) {
        let Some(at) = usize::try_from(part).ok().and_then(|at| at.checked_sub(1)) else {
            return;
        };
        let Some(found) = state.part(part) else {
            return;
        };
        let Some(one) = found.characteristics.get(self.target) else {
            return;
        };
        self.stand(at, standing_of(one));
        if self.unit == ValueUnit::Check {
            return;
        }
        let fresh = BatchPoint::of(state, part, one);
        let (last, is_newest) = match self.points.last() {
            Some(last) => (last.part, last.part == part),
            None => (0, false),
        };
        match fresh {
            Some(fresh) if part > last => self.push(fresh),
            Some(fresh) if is_newest => {
                let is_same = self.points.last().is_some_and(|old| old.is_same(&fresh));
                if !is_same {
                    self.pop();
                    self.push(fresh);
                }
            }
            fresh => self.change_earlier(part, fresh),
        }
    }

    fn stand(&mut self, at: usize, standing: PartStanding) {
        if let Some(old) = self.standings.get_mut(at) {
            *self.counts.of(*old) -= 1;
            *old = standing;
        } else {
            self.standings.push(standing);
        }
        *self.counts.of(standing) += 1;
    }

    /// A part amid the others got a value, another one, or none any more.
    fn change_earlier(&mut self, part: u32, fresh: Option<BatchPoint>) {
        let found = self.points.binary_search_by_key(&part, |point| point.part);
        match (found, fresh) {
            (Err(_), None) => return,
            (Err(at), Some(fresh)) => self.points.insert(at, fresh),
            (Ok(at), Some(fresh)) => {
                let Some(old) = self.points.get_mut(at) else {
                    return;
                };
                if old.is_same(&fresh) {
                    return;
                }
                *old = fresh;
            }
            (Ok(at), None) => drop(self.points.remove(at)),
        }
        let points = std::mem::take(&mut self.points);
        self.closed.clear();
        self.running = Running::default();
        self.before = Running::default();
        for point in points {
            self.push(point);
        }
    }

    fn push(&mut self, point: BatchPoint) {
        self.before = self.running.clone();
        let splits = self.splits.partition_point(|split| *split <= point.part);
        let from_part = splits.checked_sub(1).and_then(|at| self.splits.get(at));
        let from_part = from_part.copied().unwrap_or(1);
        if from_part != self.running.first_part() {
            if !self.points.is_empty() {
                self.closed.push(self.running.segment());
            }
            self.running.begin_segment(from_part, self.points.len());
        }
        self.points.push(point);
        self.running.take(&mut self.points, self.lengths);
    }

    /// Takes the newest point out; another one comes for it.
    fn pop(&mut self) {
        self.points.pop();
        self.running = self.before.clone();
        self.closed.truncate(self.running.closed());
    }
}

impl BatchCounts {
    fn of(&mut self, standing: PartStanding) -> &mut u32 {
        match standing {
            PartStanding::Go => &mut self.go,
            PartStanding::NoGo => &mut self.no_go,
            PartStanding::Doubt => &mut self.doubt,
            PartStanding::Noted => &mut self.noted,
            PartStanding::Open => &mut self.open,
            PartStanding::NotSelected => &mut self.not_selected,
        }
    }

    /// Parts that the characteristic was asked of.
    pub fn selected(&self) -> u32 {
        self.go + self.no_go + self.doubt + self.noted + self.open
    }
}

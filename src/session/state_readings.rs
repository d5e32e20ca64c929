//! How each reading goes through the state: received, given a place, ended in one way.

use std::sync::Arc;

use super::judged::{POINT_IN_DOUBT, WORST_AT_POINT};
use super::state::{Characteristic, End, Frame, Misfit, Pending, Point, Record, State};
use crate::gauge::Reading;
use crate::journal::{Event, Outcome, Place, Sequence, VerdictGiven};
use crate::measure::VerdictWord;
use crate::quantity::Length;

impl State {
    pub(super) fn receive(&mut self, sequence: Sequence, at_ms: u64, reading: &Reading) {
        let repeat_ms = self.setup.repeat_ms(&reading.gauge);
        let repeat_of = self.last_frames.get(&reading.gauge).and_then(|frame| {
            let soon = repeat_ms > 0 && at_ms.saturating_sub(frame.at_ms) < u64::from(repeat_ms);
            (soon && frame.raw == reading.raw).then_some(frame.sequence)
        });
        if repeat_ms > 0 {
            let frame = Frame {
                sequence,
                at_ms,
                raw: reading.raw.clone(),
            };
            self.last_frames.insert(reading.gauge.clone(), frame);
        }
        self.readings.push(&Record {
            sequence,
            at_ms,
            value_at_20: 0,
            value: reading.observed.value(),
            check: reading.observed.end(),
            gauge: self.setup.gauge_index(&reading.gauge),
            part: 0,
            target: 0,
            point: 0,
            end: End::Received,
            offset: Length::ZERO,
            doubted_by: 0,
            shown: reading.shown,
            origin: reading.origin,
        });
        let reading = reading.clone();
        self.pending.push_back(Pending {
            sequence,
            at_ms,
            reading,
            repeat_of,
        });
    }

    /// The reading of that line.
    pub fn reading(&self, sequence: Sequence) -> Option<Record> {
        self.readings.of(sequence)
    }

    pub(super) fn end(
        &mut self,
        line: Sequence,
        reading: Sequence,
        end: End,
    ) -> Result<(), Misfit> {
        self.change_open(line, reading, end, |_| {})
    }

    /// Lets a reading come to `end`, if it may, with what else changes then.
    fn change_open(
        &mut self,
        line: Sequence,
        reading: Sequence,
        end: End,
        with: impl FnOnce(&mut Record),
    ) -> Result<(), Misfit> {
        let misfit = |what: String| Misfit {
            sequence: line,
            what,
        };
        let mut may = true;
        let is_there = self.readings.change(reading, |record| {
            may = record.end.may_become(end);
            if may {
                record.end = end;
                with(record);
            }
        });
        match (is_there, may) {
            (true, true) => Ok(()),
            (true, false) => Err(misfit(format!("reading {reading} had ended before"))),
            (false, _) => Err(misfit(format!("there is no reading {reading}"))),
        }
    }

    /// What a reading came to at 20 °C.
    pub(super) fn keep_value(&mut self, reading: Sequence, value_at_20: i64) {
        self.readings
            .change(reading, |record| record.value_at_20 = value_at_20);
    }

    /// The part is clamped in the setting of what was measured last.
    pub(super) fn measured_in_setting_of(&mut self, place: &Place) {
        let target = self.setup.target_index(&place.feature, &place.element);
        let target = target.and_then(|target| self.setup.targets.get(target));
        self.bench.setting = target.map(|target| target.setting);
    }

    pub(super) fn place_reading(
        &mut self,
        line: Sequence,
        reading: Sequence,
        place: &Place,
        end: End,
    ) -> Result<(), Misfit> {
        let (target, _) = self.find(line, place)?;
        self.place_at(line, reading, place, target, end, |_| {})
    }

    fn place_at(
        &mut self,
        line: Sequence,
        reading: Sequence,
        place: &Place,
        target: usize,
        end: End,
        with: impl FnOnce(&mut Record),
    ) -> Result<(), Misfit> {
        let offset = self.offset_of(reading);
        self.change_open(line, reading, end, |record| {
            record.offset = offset;
            record.part = place.part;
            record.target = u16::try_from(target).unwrap_or(u16::MAX);
            record.point = place.point;
            with(record);
        })
    }

    /// What the zero check takes off a reading: as it was when the reading was given its place,
    /// else as it is now.
    pub(super) fn offset_of(&self, reading: Sequence) -> Length {
        match self.reading(reading) {
            Some(record) if matches!(record.end, End::Received | End::Held) => {
                let gauge = record.gauge.and_then(|index| self.setup.gauge_id(index));
                gauge.map_or(Length::ZERO, |gauge| self.zero_offset(&gauge))
            }
            Some(record) => record.offset,
            None => Length::ZERO,
        }
    }

    /// Characteristic and point of a place, both checked to be there.
    fn find(&self, line: Sequence, place: &Place) -> Result<(usize, usize), Misfit> {
        let misfit = |what: String| Misfit {
            sequence: line,
            what,
        };
        let target = self
            .setup
            .target_index(&place.feature, &place.element)
            .ok_or_else(|| misfit(format!("there is no characteristic {}", place.feature)))?;
        let part = self
            .part(place.part)
            .ok_or_else(|| misfit(format!("part {} was not started", place.part)))?;
        let points = part
            .characteristics
            .get(target)
            .map_or(0, |c| c.points.len());
        match usize::from(place.point) {
            point if (1..=points).contains(&point) => Ok((target, point - 1)),
            point => Err(misfit(format!(
                "there is no point {point} of {}",
                place.feature
            ))),
        }
    }

    /// The next reading belongs to that point, whatever it came to before.
    pub(super) fn choose_point(&mut self, line: Sequence, place: &Place) -> Result<(), Misfit> {
        let (target, _) = self.find(line, place)?;
        if self
            .current_part()
            .is_none_or(|part| part.number != place.part)
        {
            let what = format!("part {} is not at hand", place.part);
            return Err(Misfit {
                sequence: line,
                what,
            });
        }
        self.bench.chosen = Some(target);
        self.bench.chosen_point = Some((place.point, line));
        Ok(())
    }

    /// A point that was asked for is done once a later reading has come to something, or when
    /// something else is measured.
    pub(super) fn forget_chosen_point(&mut self, event: &Event) {
        let reading = match event {
            Event::VerdictGiven(verdict) => verdict.reading,
            Event::CuttingNoted { reading, .. } => *reading,
            Event::CharacteristicChosen { .. } | Event::PartStarted { .. } => Sequence::MAX,
            _ => return,
        };
        self.bench
            .chosen_point
            .take_if(|(_, asked_in)| reading > *asked_in);
    }

    pub(super) fn take_verdict(
        &mut self,
        line: Sequence,
        verdict: &VerdictGiven,
    ) -> Result<(), Misfit> {
        let (target, point) = self.find(line, &verdict.place)?;
        let place = &verdict.place;
        self.place_at(
            line,
            verdict.reading,
            place,
            target,
            End::Judged,
            |record| {
                record.value_at_20 = verdict.value_at_20;
            },
        )?;
        self.part_changed(line, verdict.place.part);
        // A damaged record may lack a reading, or the verdict on another point: then nothing is
        // proved, whatever this verdict says of the characteristic.
        let is_whole = verdict
            .from
            .iter()
            .all(|reading| self.readings.has(*reading));
        self.bench.setting = self.setup.targets.get(target).map(|target| target.setting);
        let standard = self.uncertainties.keep(verdict.u);
        let Some(characteristic) = self.characteristic_mut(verdict.place.part, target) else {
            return Ok(());
        };
        if let Some(slot) = characteristic.points.get_mut(point) {
            *slot = Point {
                outcome: Some(outcome_of_point(verdict)),
                value_at_20: verdict.value_at_20,
                side: Some(verdict.side),
                // No session is that long; a line beyond it is of a damaged record, and
                // of no reading.
                line: u32::try_from(verdict.reading).unwrap_or_default(),
                is_in_doubt: false,
                conformance_ppm: verdict.conformance_ppm.into(),
                standard,
            };
        }
        let is_settled = self.settle(place.part, target, verdict, is_whole);
        if self.awaits_cut(place) {
            // What is read next is another size: no repeat of what was read before the cut.
            self.bench.repeats_from = self.bench.repeats_from.max(verdict.reading);
        }
        self.bench
            .chosen
            .take_if(|chosen| *chosen == target && is_settled);
        self.bench
            .held
            .take_if(|held| held.reading == verdict.reading);
        self.finish(verdict.reading);
        Ok(())
    }

    /// Settles a characteristic, or leaves it open, after a verdict on one of its points.
    fn settle(&mut self, part: u32, target: usize, verdict: &VerdictGiven, is_whole: bool) -> bool {
        let found = self.part(part).and_then(|part| {
            let one = part.characteristics.get(target)?;
            let mut points = one.points.iter();
            let complete = points.all(|point| point.outcome.is_some() && !point.is_in_doubt);
            let moves_on = self.is_settled_by_points(part, one);
            let settled = match verdict.outcome {
                _ if !is_whole || !complete => None,
                Outcome::Noted | Outcome::Verdict(VerdictWord::Go) => Some(verdict.outcome),
                Outcome::Verdict(_) if moves_on => Some(verdict.outcome),
                _ => None,
            };
            Some(settled)
        });
        if let Some(characteristic) = self.characteristic_mut(part, target) {
            characteristic.settled = found.flatten();
            return characteristic.settled.is_some();
        }
        false
    }

    pub(super) fn void(&mut self, line: Sequence, reading: Sequence) -> Result<(), Misfit> {
        let record = self.reading(reading);
        self.end(line, reading, End::Voided)?;
        self.void_zero(reading);
        self.reopen_cell(reading);
        self.bench.held.take_if(|held| held.reading == reading);
        self.finish(reading);
        let Some(record) = record.filter(|record| record.end == End::Judged) else {
            return Ok(());
        };
        self.part_changed(line, record.part);
        let point = usize::from(record.point).wrapping_sub(1);
        let target = usize::from(record.target);
        if let Some(characteristic) = self.characteristic_mut(record.part, target) {
            characteristic.settled = None;
            if let Some(slot) = characteristic.points.get_mut(point) {
                *slot = Point::default();
            }
        }
        Ok(())
    }

    pub(super) fn characteristic_mut(
        &mut self,
        part: u32,
        target: usize,
    ) -> Option<&mut Characteristic> {
        let at = usize::try_from(part).ok()?.checked_sub(1)?;
        Arc::make_mut(self.parts.get_mut(at)?)
            .characteristics
            .get_mut(target)
    }

    /// Takes a reading out of the queue without an end: judging it failed inside the program. It
    /// is judged again when the session is opened next.
    pub(super) fn leave_undecided(&mut self, reading: Sequence) {
        self.finish(reading);
    }

    pub(super) fn finish(&mut self, reading: Sequence) {
        self.pending.retain(|pending| pending.sequence != reading);
    }
}

/// What the reading came to at its own point: the verdict may be that of a worse point.
fn outcome_of_point(verdict: &VerdictGiven) -> Outcome {
    let says = |wanted: &str| verdict.notes.iter().any(|note| note.starts_with(wanted));
    match (says(WORST_AT_POINT), says(POINT_IN_DOUBT)) {
        (false, _) => verdict.outcome,
        (true, true) => Outcome::Verdict(VerdictWord::Doubt),
        (true, false) => Outcome::Verdict(VerdictWord::Go),
    }
}

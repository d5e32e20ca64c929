//! What damage took from a record, as far as the rest of it tells: which line numbers are gone,
//! which parts began in one of them, and which verdicts rest on a reading that is no more.

use super::state::State;
use crate::journal::{ChainFault, Event, Sequence, SoundLine};

/// Most gaps that are kept in mind (chosen); what stands out of order beyond them does not count.
const GAPS_MAX: usize = 1_000;

/// Most parts that are taken to have begun in lost lines, in all of a record (chosen): a number
/// that jumps claims any count of lost lines, and costs nothing to write.
const PARTS_MAX: u32 = 1_000;

/// The line numbers that are lost.
#[derive(Debug, Default)]
pub(super) struct Lost {
    /// Parts that were taken to have begun in them.
    parts: u32,
    /// First and last number of each gap that nothing has filled yet.
    gaps: Vec<(Sequence, Sequence)>,
    /// How many lines that is; each may have started a part.
    lines: u64,
}

impl Lost {
    /// Whether any line is.
    pub(super) fn any(&self) -> bool {
        self.lines > 0
    }

    /// Notes what is missing before a line. Says whether the line itself counts: one that stands
    /// twice counts once, and one out of order counts where it is missing.
    pub(super) fn line_counts(&mut self, sound: &SoundLine<'_>) -> bool {
        match sound.fault {
            None | Some(ChainFault::Broken) => true,
            Some(ChainFault::Missing { first, last }) => {
                self.lines = self.lines.saturating_add((last - first).saturating_add(1));
                if self.gaps.len() < GAPS_MAX {
                    self.gaps.push((first, last));
                }
                true
            }
            Some(ChainFault::Duplicate) => false,
            Some(ChainFault::OutOfOrder) => self.fill(sound.line.seq),
        }
    }

    fn fill(&mut self, sequence: Sequence) -> bool {
        let holds = |gap: &(Sequence, Sequence)| (gap.0..=gap.1).contains(&sequence);
        let Some(at) = self.gaps.iter().position(holds) else {
            return false;
        };
        let (first, last) = self.gaps.swap_remove(at);
        let halves = [
            (first, sequence.saturating_sub(1)),
            (sequence.saturating_add(1), last),
        ];
        self.gaps
            .extend(halves.iter().filter(|(first, last)| first <= last));
        self.lines = self.lines.saturating_sub(1);
        true
    }

    /// Whether so many parts can have begun in lost lines; then they have.
    pub(super) fn may_have_started(&mut self, parts: u32) -> bool {
        let lines = u64::from(parts);
        let in_all = self.parts.saturating_add(parts);
        let may = lines > 0 && lines <= self.lines && in_all <= PARTS_MAX;
        if may {
            self.lines -= lines;
            self.parts = in_all;
        }
        may
    }
}

/// How many parts must have been started before an event.
pub(super) fn part_needed(event: &Event) -> u32 {
    match event {
        Event::PartStarted { part } => part.saturating_sub(1),
        Event::PartTakenUp { part } | Event::PartNamed { part, .. } => *part,
        Event::VerdictGiven(verdict) => verdict.place.part,
        Event::ReadingAssigned { place, .. }
        | Event::ReadingHeld { place, .. }
        | Event::CuttingNoted { place, .. }
        | Event::PointChosen { place } => place.part,
        Event::DispositionGiven(given) => given.part,
        Event::PartAssembled(one) => one.part,
        Event::SignedOff(signed) => signed.part,
        _ => 0,
    }
}

/// Which readings that a verdict rests on are not in the record, in a sentence.
pub(super) fn lost_reading(state: &State, event: &Event) -> Option<String> {
    let Event::VerdictGiven(verdict) = event else {
        return None;
    };
    let all = std::iter::once(&verdict.reading).chain(&verdict.from);
    let mut lost: Vec<Sequence> = all
        .copied()
        .filter(|reading| !state.readings().has(*reading))
        .collect();
    lost.sort_unstable();
    lost.dedup();
    let (first, last) = (lost.first()?, lost.last()?);
    let place = &verdict.place;
    let which = match first == last {
        true => format!("reading {first}"),
        false => format!("{} readings, {first} to {last}", lost.len()),
    };
    Some(format!(
        "the verdict on part {}, {}, rests on {which}, which the record does not hold; \
         it does not count",
        place.part, place.feature
    ))
}

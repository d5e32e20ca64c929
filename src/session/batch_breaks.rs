//! What makes the parts after it another row than those before: a new tool, an offset, a part
//! clamped anew. Kept in the state, since only the moment tells what had been measured by then.

use std::sync::Arc;

use super::state::{Part, State};
use crate::journal::{Event, Sequence};
use crate::quantity::Length;

/// What happened to the work.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum BreakKind {
    /// Another tool, or the same with a new edge.
    ToolChanged,
    /// An offset was given, so much as set on the machine.
    OffsetApplied(Length),
    /// The part was put back: its other features were cut in another clamping.
    PutBack,
}

impl BreakKind {
    /// Whether a trend ends here. A part that is put back moves no tool: where every part is
    /// turned round, nothing would be left of a trend.
    pub fn splits(self) -> bool {
        !matches!(self, Self::PutBack)
    }
}

/// Something that happened to the work, for all characteristics.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct WorkBreak {
    /// The line that tells it.
    pub line: Sequence,
    /// What it was.
    pub kind: BreakKind,
    /// What was said of it.
    pub note: String,
    /// For each characteristic the first part that was made after it: the newest one, unless that
    /// had been measured there before.
    before_part: Box<[u32]>,
    /// The part that was at hand, and for each characteristic whether it had been measured on it.
    at_hand: Option<(u32, Box<[bool]>)>,
}

impl WorkBreak {
    /// The first part on which the characteristic was made after it.
    pub fn before_part(&self, target: usize) -> u32 {
        self.before_part.get(target).copied().unwrap_or(1)
    }

    /// Which characteristics of that part had been measured by then; none where another part was at
    /// hand.
    pub(super) fn measured_on(&self, part: u32) -> Option<&[bool]> {
        let (of, measured) = self.at_hand.as_ref()?;
        (*of == part).then_some(measured)
    }
}

impl Part {
    /// Whether a characteristic has a reading that counts.
    fn is_measured(&self, target: usize) -> bool {
        self.characteristics.get(target).is_some_and(|one| {
            let mut points = one.points.iter();
            points.any(|point| point.outcome.is_some())
        })
    }
}

impl State {
    /// Everything that happened to the work, oldest first.
    pub fn breaks(&self) -> &[WorkBreak] {
        &self.breaks
    }

    /// Keeps what the event says about the work, if it does.
    pub(super) fn keep_break(&mut self, line: Sequence, event: &Event) {
        let (kind, note) = match event {
            Event::ToolChanged { note } => (BreakKind::ToolChanged, note),
            Event::OffsetApplied { amount, note } => (BreakKind::OffsetApplied(*amount), note),
            Event::PutBack { method, .. } => (BreakKind::PutBack, method),
            _ => return,
        };
        let newest = self.parts.last();
        let targets = 0..self.setup.targets.len();
        let before_part = targets.clone().map(|target| {
            let Some(part) = newest else { return 1 };
            part.number
                .saturating_add(u32::from(part.is_measured(target)))
        });
        let at_hand = self.current_part().map(|part| {
            let measured = targets.map(|target| part.is_measured(target));
            (part.number, measured.collect())
        });
        let found = WorkBreak {
            line,
            kind,
            note: note.clone(),
            before_part: before_part.collect(),
            at_hand,
        };
        Arc::make_mut(&mut self.breaks).push(found);
    }
}

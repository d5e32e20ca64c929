//! What of a session is to be heard: the newest answer, and that readings are not recorded.

use super::Mark;
use super::focus::mark_of;
use crate::journal::Sequence;
use crate::session::Snapshot;
use crate::window::sound::Tone;

/// What could be heard at a moment.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Heard {
    /// The line of the newest answer so far; 0 before the first.
    newest: Sequence,
    /// The state of that answer.
    mark: Option<Mark>,
    /// So many readings are not recorded; none while everything is.
    unrecorded: Option<usize>,
}

impl Heard {
    /// What can be heard of a snapshot.
    pub fn of(snapshot: &Snapshot) -> Self {
        let latest = snapshot.state.latest_answer();
        let unrecorded = snapshot.unrecorded.as_ref();
        Self {
            newest: latest.map_or(0, |(_, answer)| answer.sequence),
            mark: latest.map(|(_, answer)| mark_of(&answer.event)),
            unrecorded: unrecorded.map(|one| one.count),
        }
    }

    /// Goes on to a later moment: what sounds then. Of several answers the newest; nothing when
    /// one is voided, and nothing that claims to be good while nothing is recorded.
    pub fn go_on(&mut self, later: Self) -> Option<Tone> {
        let before = *self;
        *self = later;
        self.newest = later.newest.max(before.newest);
        if later.unrecorded.is_some() {
            return (later.unrecorded != before.unrecorded).then_some(Tone::Look);
        }
        match later.mark.filter(|_| later.newest > before.newest)? {
            Mark::Go => Some(Tone::Good),
            Mark::NoGo => Some(Tone::Bad),
            Mark::Doubt | Mark::Held | Mark::NotRecorded => Some(Tone::Look),
            // No verdict yet: one looks at the numbers anyway.
            Mark::Cutting | Mark::Inside | Mark::Noted | Mark::Open | Mark::NotSelected => None,
        }
    }
}

//! The Bench in the window: what was drawn last is kept as long as nothing changes.

use std::sync::Arc;

use super::leaving::Leaving;
use super::outside::Running;
use crate::session::{Begin, Snapshot, What};
use crate::window::desk::Desk;
use crate::window::leaving_view::leaving_question;
use crate::window::view::{BenchView, Heard, bench_view};

/// A minute, in which the age of a temperature is told.
const MINUTE_MS: u64 = 60_000;
/// An age is not told any more after so many minutes: the temperature has lapsed long before.
const AGE_MINUTES_MAX: u64 = 12;

/// A running session, and what the window adds to it.
pub(super) struct AtBench {
    pub(super) session: Box<dyn Running>,
    pub(super) desk: Desk,
    /// What began it, where the same can begin once more.
    pub(super) again: Option<Begin>,
    pub(super) shown: Option<Shown>,
    /// What was heard of it; none before its first frame.
    pub(super) heard: Option<Heard>,
}

/// What was drawn last, kept as long as nothing changes.
pub(super) struct Shown {
    pub(super) snapshot: Arc<Snapshot>,
    desk: Desk,
    minute: u64,
    view: BenchView,
}

/// What begins the same for the next batch: not what was made to suit one measured half, and not
/// what only goes on with a record.
pub(super) fn again(begin: &Begin) -> Option<Begin> {
    let is_of_parts = matches!(begin.what, What::Plan(_) | What::Callouts(_) | What::Demo);
    (is_of_parts && begin.suits.is_empty()).then(|| begin.clone())
}

impl AtBench {
    /// What is to be seen, made anew only when something has changed; and when it changes by
    /// itself, in milliseconds.
    pub(super) fn seen(
        &mut self,
        leaving: Option<Leaving>,
        fault: Option<&str>,
    ) -> (&BenchView, Arc<Snapshot>, Option<u64>) {
        let snapshot = self.session.snapshot();
        let now_ms = self.session.now_ms().max(snapshot.now_ms);
        let age_ms = temperature_age_ms(&snapshot, now_ms);
        let minute = age_ms.map_or(0, |age| age / MINUTE_MS);
        let mut desk = self.desk.clone();
        if desk.fault.is_none() {
            desk.fault = fault.map(str::to_owned);
        }
        // The question about leaving is not part of the desk, so it is never kept.
        let kept = self.shown.take().filter(|shown| {
            leaving.is_none()
                && Arc::ptr_eq(&shown.snapshot, &snapshot)
                && shown.minute == minute
                && shown.desk == desk
        });
        let mut shown = kept.unwrap_or_else(|| Shown {
            view: bench_view(&snapshot, &desk, now_ms),
            snapshot: Arc::clone(&snapshot),
            desk,
            minute,
        });
        if leaving.is_some() {
            shown.view.question = Some(leaving_question(&snapshot));
            // Made anew without it afterwards.
            shown.minute = u64::MAX;
        }
        let due_ms = age_ms.map(|age| MINUTE_MS - age % MINUTE_MS + 1);
        (&self.shown.insert(shown).view, snapshot, due_ms)
    }
}

/// How old the temperatures of part and gauge are, as long as that is told.
fn temperature_age_ms(snapshot: &Snapshot, now_ms: u64) -> Option<u64> {
    let entered = snapshot.state.bench().temperature?;
    entered.part.or(entered.gauge)?;
    let age = now_ms.saturating_sub(entered.at_ms);
    (age < AGE_MINUTES_MAX * MINUTE_MS).then_some(age)
}

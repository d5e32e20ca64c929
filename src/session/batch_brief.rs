//! What the Bench says of the rows: the newest part's signals where they belong, control limits,
//! and one line of advice. Small and shared, so that every snapshot carries it.

use std::sync::Arc;

use super::batch::{Batch, BatchSeries, Changed};
use super::batch_advice::{BatchAdvice, Circumstances, batch_advice};
use super::batch_running::BatchLimits;
use super::state::State;
use crate::journal::Event;
use crate::measure::OffsetAdvice;
use crate::statistics::{RunLengths, Share, SignalTest, Signals};

/// So many parts with signals are marked at most, the newest; and so far back they are looked for.
const MARKED_MAX: usize = 64;
const LOOKED_AT_MAX: usize = 512;

/// What there is to be seen of all rows.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct BatchBrief {
    /// In measuring order.
    series: Vec<Arc<SeriesBrief>>,
}

/// What there is to be seen of a row.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SeriesBrief {
    /// The newest part that has a value.
    pub part: Option<u32>,
    /// The tests that signal at it.
    pub signals: Signals,
    /// The first part that could belong to the row in force.
    pub from_part: u32,
    /// Control limits of the row in force.
    pub limits: Option<BatchLimits>,
    /// The parts with signals, ascending; of very many the newest.
    pub marked: Vec<u32>,
    /// The signals of the newest part in words.
    pub signal: Option<String>,
    /// What to do next, in a few words.
    pub advice: Option<String>,
}

impl BatchBrief {
    /// The brief of a state, worked out anew.
    pub fn of(state: &State) -> Self {
        BatchWatch::of(state).brief.as_ref().clone()
    }

    /// What there is to be seen of a characteristic, by its place in measuring order.
    pub fn series(&self, target: usize) -> Option<&SeriesBrief> {
        self.series.get(target).map(Arc::as_ref)
    }
}

/// The rows of a running session with what there is to be seen of them.
#[derive(Debug, Clone)]
pub struct BatchWatch {
    batch: Batch,
    brief: Arc<BatchBrief>,
}

impl BatchWatch {
    /// Those of a state.
    pub fn of(state: &State) -> Self {
        let mut watch = Self {
            batch: Batch::of(state),
            brief: Arc::default(),
        };
        watch.tell(state, Changed::All);
        watch
    }

    /// Takes in what an event changed; as [`Batch::follow`].
    pub fn follow(&mut self, state: &State, event: &Event) {
        let changed = self.batch.follow(state, event);
        self.tell(state, changed);
    }

    /// The rows.
    pub fn batch(&self) -> &Batch {
        &self.batch
    }

    /// What there is to be seen.
    pub fn brief(&self) -> Arc<BatchBrief> {
        Arc::clone(&self.brief)
    }

    fn tell(&mut self, state: &State, changed: Changed) {
        let all = self.batch.series();
        match changed {
            Changed::Nothing => {}
            Changed::One(target) => {
                let fresh = all
                    .get(target)
                    .map(|series| Arc::new(brief_of(state, series)));
                let brief = Arc::make_mut(&mut self.brief);
                if let (Some(slot), Some(fresh)) = (brief.series.get_mut(target), fresh) {
                    *slot = fresh;
                }
            }
            Changed::All => {
                let fresh = all.iter().map(|series| Arc::new(brief_of(state, series)));
                self.brief = Arc::new(BatchBrief {
                    series: fresh.collect(),
                });
            }
        }
    }
}

fn brief_of(state: &State, series: &BatchSeries) -> SeriesBrief {
    let segment = series.segment();
    let Some(newest) = series.points().last() else {
        return SeriesBrief {
            from_part: segment.from_part,
            ..SeriesBrief::default()
        };
    };
    let looked_at = series.points().iter().rev().take(LOOKED_AT_MAX);
    let signalled = looked_at.filter(|point| !point.signals.is_empty());
    let mut marked: Vec<u32> = signalled.take(MARKED_MAX).map(|point| point.part).collect();
    marked.reverse();
    let advice = state.setup().targets.get(series.target).map(|target| {
        let with = Circumstances::of(state, series.target);
        batch_advice(series, target, &with)
    });
    SeriesBrief {
        part: Some(newest.part),
        signals: newest.signals,
        from_part: segment.from_part,
        limits: segment.limits,
        marked,
        signal: signal_sentence(newest.part, newest.signals, &series.lengths()),
        advice: advice.as_ref().and_then(advice_line),
    }
}

/// `part 7 signals: 6 in a row steadily up or down (test 3)`, and how many tests more; none without
/// a signal.
fn signal_sentence(part: u32, signals: Signals, lengths: &RunLengths) -> Option<String> {
    let mut tests = signals.iter();
    let first = tests.next()?;
    let (words, number) = (signal_words(first, lengths), first.number());
    let more = match tests.count() {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    Some(format!(
        "part {part} signals: {words} (test {number}){more}"
    ))
}

/// What a test found, in words, with its run length.
pub fn signal_words(test: SignalTest, lengths: &RunLengths) -> String {
    let run = |run: Option<u32>| run.unwrap_or_default();
    let share = |share: Option<Share>| {
        let share = share.unwrap_or(Share {
            points: 0,
            among: 0,
        });
        format!("{} of {}", share.points, share.among)
    };
    match test {
        SignalTest::Beyond => "beyond a control limit".to_owned(),
        SignalTest::OneSide => format!("{} in a row on one side", run(lengths.one_side)),
        SignalTest::Trend => format!("{} in a row steadily up or down", run(lengths.trend)),
        SignalTest::Alternating => format!("{} in a row up and down", run(lengths.alternating)),
        SignalTest::NearLimit => {
            format!("{} near the same control limit", share(lengths.near_limit))
        }
        SignalTest::OffCentre => format!("{} off the centre", share(lengths.off_centre)),
        SignalTest::Quiet => format!("{} in a row close to the centre", run(lengths.quiet)),
        SignalTest::Mixed => format!("{} in a row off both ways", run(lengths.mixed)),
    }
}

/// The advice that matters most, and what to do about it.
fn advice_line(advice: &BatchAdvice) -> Option<String> {
    let offset = match &advice.offset {
        Some(OffsetAdvice::Give(offset)) => Some(offset.line()),
        _ => None,
    };
    let ahead = advice.ahead.as_ref().map(|ahead| ahead.line());
    let cannot = advice.cannot_hold.as_ref().map(|cannot| cannot.line());
    let said = match (ahead, offset, cannot) {
        (Some(ahead), Some(offset), _) => vec![ahead, offset],
        (Some(ahead), None, _) => vec![ahead],
        (None, Some(offset), _) => vec![offset],
        (None, None, cannot) => cannot.into_iter().collect(),
    };
    (!said.is_empty()).then(|| said.join(" · "))
}

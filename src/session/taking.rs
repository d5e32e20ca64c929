//! One reading out of moving ones: the value now, the first that holds still, the largest, the
//! smallest, or the range of a sweep (a bore swept across, a rocked gauge, a runout). Pure: times
//! come with the values.

use super::judged_parts::last_digit;
use crate::gauge::{GaugeId, GaugeStatus, Observed, Reading};
use crate::journal::ReadingTaken;
use crate::plan::Take;
use crate::quantity::{Length, counted};

/// So many values in a row must agree within one step before one counts as still (chosen).
pub const STABLE_VALUES: u32 = 5;
/// And for so long, milliseconds (chosen: longer than a hand's tremor takes to turn back).
pub const STABLE_MS: u64 = 500;
/// A value that was shown no longer ago than this is the value now, milliseconds (chosen).
pub(super) const FRESH_MS: u64 = 1_000;
/// A sweep of fewer values has no largest and no smallest.
pub(super) const SWEEP_VALUES_MIN: u32 = 2;

/// A reading that was taken, and out of what.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct TakenReading {
    /// The reading: the very value that was shown, with its bytes; a range has the bytes of the
    /// smallest and then those of the largest.
    pub reading: Reading,
    /// What it was taken out of.
    pub from: ReadingTaken,
}

/// Why nothing was taken.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TakingRefusal {
    /// No value came.
    NoValue,
    /// A sweep of so many values is none.
    TooFew {
        /// How many came.
        values: u32,
    },
    /// No value held still before the end.
    NotStill,
    /// The gauge reported a state without a value in between: the largest or smallest may have
    /// been there.
    Broken(GaugeStatus),
    /// Bytes in between were no reading: the largest or smallest may have been there.
    Garbled,
}

impl std::fmt::Display for TakingRefusal {
    fn fmt(&self, f: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Self::NoValue => f.write_str("Nothing was taken: no value came."),
            Self::TooFew { values } => {
                let values = counted(*values, "value");
                write!(
                    f,
                    "Nothing was taken: a sweep takes more than {values}. Start again and move \
                     slowly."
                )
            }
            Self::NotStill => f.write_str("Nothing was taken: no value held still."),
            Self::Broken(status) => write!(
                f,
                "Nothing was taken: the gauge reported {} in between. Sweep again.",
                status.word().replace('_', " ")
            ),
            Self::Garbled => f.write_str(
                "Nothing was taken: bytes in between were no reading, and the value looked for \
                 may have been among them. Sweep again.",
            ),
        }
    }
}

impl std::error::Error for TakingRefusal {}

/// What is seen of a taking while it goes on.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct TakingSoFar {
    /// The way.
    pub how: Take,
    /// How many values came.
    pub values: u32,
    /// The smallest so far.
    pub smallest: Option<Length>,
    /// The largest so far.
    pub largest: Option<Length>,
    /// So many of the last values agree within one step.
    pub still: u32,
    /// Since when, by the session's clock.
    pub since_ms: u64,
}

/// One taking from its start to its end; its memory does not grow.
#[derive(Debug, Clone)]
pub struct Taking {
    gauge: GaugeId,
    how: Take,
    /// The step of the gauge, if its register states one; else its last digit.
    step: Option<Length>,
    since_ms: u64,
    seen: Option<Seen>,
    still: Option<Still>,
    fault: Option<TakingRefusal>,
}

#[derive(Debug, Clone)]
struct Seen {
    values: u32,
    first_ms: u64,
    last_ms: u64,
    smallest: (Length, Reading),
    largest: (Length, Reading),
}

/// The values at the end that agree within one step.
#[derive(Debug, Clone, Copy)]
struct Still {
    smallest: Length,
    largest: Length,
    values: u32,
    since_ms: u64,
}

impl Taking {
    /// A taking that starts at `at_ms`; `step` is the gauge's resolution, where it is stated.
    pub fn new(gauge: GaugeId, how: Take, step: Option<Length>, at_ms: u64) -> Self {
        Self {
            gauge,
            how,
            step,
            since_ms: at_ms,
            seen: None,
            still: None,
            fault: None,
        }
    }

    /// Which gauge's values are looked at.
    pub fn gauge(&self) -> &GaugeId {
        &self.gauge
    }

    /// The way.
    pub fn how(&self) -> Take {
        self.how
    }

    /// Whether it ends by itself; else by [`Taking::end`].
    pub fn ends_by_itself(&self) -> bool {
        matches!(self.how, Take::Press | Take::Stable)
    }

    /// Takes in a value that came at `at_ms`; the reading, where that ends it.
    pub fn value(&mut self, reading: &Reading, at_ms: u64) -> Option<TakenReading> {
        let Observed::Length(length) = reading.observed else {
            return None;
        };
        let shown = reading.shown;
        let step = self
            .step
            .unwrap_or_else(|| last_digit(shown.decimals, shown.unit));
        self.still = Some(match self.still {
            Some(still) if still.holds(length, step) => still.with(length),
            _ => Still::of(length, at_ms),
        });
        let at_edge = (length, reading);
        let own = || (length, reading.clone());
        self.seen = Some(match self.seen.take() {
            None => Seen {
                values: 1,
                first_ms: at_ms,
                last_ms: at_ms,
                smallest: own(),
                largest: own(),
            },
            Some(mut seen) => {
                seen.values = seen.values.saturating_add(1);
                seen.last_ms = at_ms;
                if at_edge.0 < seen.smallest.0 {
                    seen.smallest = own();
                }
                if at_edge.0 > seen.largest.0 {
                    seen.largest = own();
                }
                seen
            }
        });
        let is_still = self.still.is_some_and(|still| {
            still.values >= STABLE_VALUES && at_ms.saturating_sub(still.since_ms) >= STABLE_MS
        });
        match self.how {
            Take::Press => self.taken(reading.clone()),
            Take::Stable if is_still => self.taken(reading.clone()),
            Take::Stable | Take::Largest | Take::Smallest | Take::Range => None,
        }
    }

    /// The gauge reported a state without a value.
    pub fn status(&mut self, status: GaugeStatus) {
        self.broken(TakingRefusal::Broken(status));
    }

    /// Bytes came that are no reading.
    pub fn garbled(&mut self) {
        self.broken(TakingRefusal::Garbled);
    }

    fn broken(&mut self, why: TakingRefusal) {
        self.still = None;
        self.fault.get_or_insert(why);
    }

    /// Ends it, with what was seen until now.
    ///
    /// # Errors
    /// Why there is nothing to be taken.
    pub fn end(&self) -> Result<TakenReading, TakingRefusal> {
        let Some(seen) = &self.seen else {
            return Err(match self.fault {
                Some(fault) => fault,
                None => TakingRefusal::NoValue,
            });
        };
        if self.ends_by_itself() {
            return Err(TakingRefusal::NotStill);
        }
        if let Some(fault) = self.fault {
            return Err(fault);
        }
        if seen.values < SWEEP_VALUES_MIN {
            let values = seen.values;
            return Err(TakingRefusal::TooFew { values });
        }
        let reading = match self.how {
            Take::Smallest => seen.smallest.1.clone(),
            Take::Range => seen.range(),
            Take::Press | Take::Stable | Take::Largest => seen.largest.1.clone(),
        };
        self.taken(reading).ok_or(TakingRefusal::NoValue)
    }

    /// What there is to be seen meanwhile.
    pub fn so_far(&self) -> TakingSoFar {
        let seen = self.seen.as_ref();
        TakingSoFar {
            how: self.how,
            values: seen.map_or(0, |seen| seen.values),
            smallest: seen.map(|seen| seen.smallest.0),
            largest: seen.map(|seen| seen.largest.0),
            still: self.still.map_or(0, |still| still.values),
            since_ms: self.since_ms,
        }
    }

    fn taken(&self, reading: Reading) -> Option<TakenReading> {
        let seen = self.seen.as_ref()?;
        Some(TakenReading {
            reading,
            from: ReadingTaken {
                reading: ReadingTaken::JUST_BEFORE,
                how: self.how.word().to_owned(),
                values: seen.values,
                smallest: Some(seen.smallest.0),
                largest: Some(seen.largest.0),
                over_ms: seen.last_ms.saturating_sub(seen.first_ms),
            },
        })
    }
}

impl Seen {
    /// The largest less the smallest, in the finer digits of the two; the bytes of both.
    fn range(&self) -> Reading {
        let (smallest, largest) = (&self.smallest.1, &self.largest.1);
        let finer = if smallest.shown.decimals > largest.shown.decimals {
            smallest
        } else {
            largest
        };
        let mut shown = finer.shown;
        shown.minus = false;
        Reading {
            observed: Observed::Length(self.largest.0 - self.smallest.0),
            shown,
            status: largest.status,
            raw: [smallest.raw.as_slice(), &largest.raw].concat(),
            rounded: smallest.rounded || largest.rounded,
            ..largest.clone()
        }
    }
}

impl Still {
    fn of(length: Length, at_ms: u64) -> Self {
        Self {
            smallest: length,
            largest: length,
            values: 1,
            since_ms: at_ms,
        }
    }

    /// Whether one more value leaves all of them within one step.
    fn holds(&self, length: Length, step: Length) -> bool {
        self.largest.max(length) - self.smallest.min(length) <= step
    }

    fn with(self, length: Length) -> Self {
        Self {
            smallest: self.smallest.min(length),
            largest: self.largest.max(length),
            values: self.values.saturating_add(1),
            since_ms: self.since_ms,
        }
    }
}

//! What the gauge brings into a judgement: the size that it stands for, its error and that of what
//! it was set on or read through, and how far its zero can be trusted.

use super::judged::Case;
use super::setup::{Target, TargetLimits};
use super::state::State;
use super::zero::ZeroState;
use crate::gauge::{Faces, Gauge, GaugeError, GaugeReads};
use crate::journal::Sequence;
use crate::measure::{Drift, Judgement, Repeatability, VerdictWord, drift, slipped_zero};
use crate::quantity::{Exact, Length};
use crate::tolerance::Limits;

/// So many characteristics off alike look like a slipped zero.
const SLIPPED_READINGS: usize = 3;

/// Notes of a verdict; see [`crate::journal::VerdictGiven::notes`].
pub(super) const ZERO_FAILED: &str = "zero_check_failed";
pub(super) const ZERO_DUE: &str = "zero_check_due";
/// By how much the readings drift follows, and over which time.
const DRIFTS: &str = "drifts_";

impl Target {
    /// The size that a value of that gauge stands for; a range is a difference, to which no
    /// standard's size is added.
    pub(super) fn size_read(&self, gauge: Option<&Gauge>, value: Length) -> Length {
        match gauge {
            Some(gauge) if !self.is_difference() => gauge.size_of(value),
            _ => value,
        }
    }
}

impl State {
    /// What is known of the error of the size that a reading came to, got with `gauge` and read on
    /// `reader`, which may be the same one.
    pub(super) fn error_of_reading(
        &self,
        reading: Sequence,
        (gauge, reader): (&Gauge, &Gauge),
        size: Length,
        faces: Faces,
    ) -> Option<GaugeError> {
        let register = &self.setup().register;
        let mut error = register.error_of(gauge, size, faces)?;
        // A standard that only the zero is checked on counts once it was, and the one it was.
        if reader.reads == GaugeReads::Size {
            let zero = self.zero_of(reading);
            let on = zero.and_then(|zero| zero.standard.as_ref());
            let on = on.and_then(|id| register.gauge(id));
            let of_standard =
                on.and_then(|on| on.error_at(on.fixed_size().unwrap_or(size), Faces::Outside));
            error.standard = of_standard.map(Box::new);
        }
        Some(error)
    }
}

impl Case<'_> {
    /// The size that a value of the gauge stands for.
    pub(super) fn size_of(&self, value: Length) -> Length {
        self.target.size_read(self.gauge(), value)
    }

    /// What the zero check takes off a size; nothing off a range, which is a difference.
    pub(super) fn zero(&self, offset: Length) -> Length {
        match self.target.is_difference() {
            true => Length::ZERO,
            false => offset,
        }
    }

    /// What is known of the error of a size got in this way: of the gauge that was read, of the
    /// one that carried the size to it, and of the standard it was set on.
    pub(super) fn error_at(&self, size: Length) -> Option<GaugeError> {
        let reader = self.gauge()?;
        let gauge = self.carrier().unwrap_or(reader);
        self.state
            .error_of_reading(self.sequence, (gauge, reader), size, self.target.faces)
    }

    /// The gauge that carried the size to the one that was read.
    pub(super) fn carrier(&self) -> Option<&Gauge> {
        self.state.setup().carrier(self.target, &self.gauge_id()?)
    }

    /// A gauge whose zero was found wrong proves nothing until it is checked again; that a check
    /// is due is told.
    pub(super) fn consider_zero<Q: Exact>(
        &self,
        judgement: &mut Judgement<Q>,
        notes: &mut Vec<String>,
    ) {
        let at_ms = self.state.reading(self.sequence).map(|one| one.at_ms);
        let (Some(gauge), Some(at_ms)) = (self.gauge_id(), at_ms) else {
            return;
        };
        match self.state.zero_state(&gauge, at_ms) {
            ZeroState::Failed => {
                notes.push(ZERO_FAILED.to_owned());
                if judgement.verdict == VerdictWord::Go {
                    judgement.verdict = VerdictWord::Doubt;
                }
            }
            ZeroState::Due => notes.push(ZERO_DUE.to_owned()),
            ZeroState::NotAsked | ZeroState::Good => {}
        }
    }

    /// Whether the last characteristics of this part are all off alike: only a warning.
    pub(super) fn zero_has_slipped(&self, value: Length, limits: &Limits) -> bool {
        let mut last = vec![(value, *limits)];
        let Some(part) = self.state.part(self.place.part) else {
            return false;
        };
        let before = part.characteristics.iter().take(self.target_index).rev();
        let targets = self
            .state
            .setup()
            .targets
            .iter()
            .take(self.target_index)
            .rev();
        for (characteristic, target) in before.zip(targets) {
            let judged = characteristic
                .points
                .iter()
                .rev()
                .find(|point| point.outcome.is_some());
            let (Some(point), TargetLimits::Length(limits)) = (judged, target.limits) else {
                continue;
            };
            last.push((Length::from_units(point.value_at_20), limits));
            if last.len() == SLIPPED_READINGS {
                break;
            }
        }
        last.len() == SLIPPED_READINGS && slipped_zero(&last).is_some()
    }

    /// Whether the readings of this place drift with time: the part cools, or warms.
    pub(super) fn note_drift(
        &self,
        repeatability: Option<&Repeatability>,
        notes: &mut Vec<String>,
    ) {
        let Some(repeatability) = repeatability else {
            return;
        };
        let own = self.state.reading(self.sequence);
        let gauge = own.and_then(|record| record.gauge);
        let earlier = self.state.repeats_of(self.target_index, self.place);
        let earlier = earlier.into_iter().filter(|record| record.gauge == gauge);
        let before = earlier.filter(|record| record.sequence < self.sequence);
        let readings: Vec<(u64, Length)> = before
            .chain(own)
            .map(|record| {
                let shown = self.size_of(Length::from_units(record.value));
                (record.at_ms, shown - self.state.offset_of(record.sequence))
            })
            .collect();
        if let Some(drift) = drift(&readings, repeatability) {
            notes.push(format!(
                "{DRIFTS}{}_nm_in_{}_ms",
                drift.change.as_nm(),
                drift.over_ms
            ));
        }
    }
}

/// The drift that a note of a verdict tells.
pub fn drift_of_note(note: &str) -> Option<Drift> {
    let (change, rest) = note.strip_prefix(DRIFTS)?.split_once("_nm_in_")?;
    Some(Drift {
        change: Length::from_nm(change.parse().ok()?),
        over_ms: rest.strip_suffix("_ms")?.parse().ok()?,
        readings: 0,
    })
}

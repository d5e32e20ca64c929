//! How a part stands: what its characteristics give, and what people decided on top of it. A
//! decision never changes a verdict; both stay visible.

use std::ops::Deref;
use std::sync::Arc;

use super::setup::Target;
use super::state::{Characteristic, Misfit, Part, Point, State};
use super::view::PartState;
use crate::journal::{
    Disposition, DispositionKind, Manner, Meaning, Outcome, PartAssembled, Sequence, SignedOff,
};
use crate::measure::VerdictWord;

/// What was decided about a part, in order.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Decided {
    /// Serial number or mark; empty: none was given.
    pub serial: String,
    /// Rework, scrap, hold, concession, and withdrawals.
    pub dispositions: Vec<GivenDisposition>,
    /// Who signed for it.
    pub signatures: Vec<GivenSignature>,
    /// The assembly that it went into last.
    pub assembled: Option<Box<PartAssembled>>,
}

/// What was decided about one of many parts: mostly nothing, which takes no room. Reads as
/// [`Decided`].
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct DecidedOfPart(Option<Arc<Decided>>);

/// Nothing was decided.
static NOTHING: Decided = Decided {
    serial: String::new(),
    dispositions: Vec::new(),
    signatures: Vec::new(),
    assembled: None,
};

impl Deref for DecidedOfPart {
    type Target = Decided;

    fn deref(&self) -> &Decided {
        self.0.as_deref().unwrap_or(&NOTHING)
    }
}

impl DecidedOfPart {
    /// To be added to.
    fn to_mut(&mut self) -> &mut Decided {
        Arc::make_mut(self.0.get_or_insert_default())
    }
}

/// A decision and the line that holds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GivenDisposition {
    /// Its line.
    pub line: Sequence,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// What was decided.
    pub given: Disposition,
    /// The line that withdrew it, 0: none.
    pub withdrawn_by: Sequence,
}

/// A signature and the line that holds it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct GivenSignature {
    /// Its line.
    pub line: Sequence,
    /// Monotonic milliseconds since the session started.
    pub at_ms: u64,
    /// What was signed.
    pub signed: SignedOff,
    /// Something of the part changed after it, in this line; 0: nothing.
    pub lapsed_by: Sequence,
}

/// How a part stands in all.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Standing {
    /// What its characteristics give; nothing was decided on top.
    Measured(PartState),
    /// Everything asked is good at a stage before the last: nothing is finished by it.
    StageDone,
    /// It is being worked on again.
    Rework,
    /// It is kept back.
    OnHold,
    /// It is given up.
    Scrap,
    /// What is not good is covered by concessions; it is not released yet.
    Conceded,
    /// Released by a named person.
    Released(Manner),
    /// It was released, and something changed after that.
    ChangedSinceRelease,
}

impl Standing {
    /// The standing in words.
    pub fn word(self) -> &'static str {
        match self {
            Self::Measured(state) => state.word(),
            Self::StageDone => "open (stage done)",
            Self::Rework => "rework",
            Self::OnHold => "on hold",
            Self::Scrap => "scrap",
            Self::Conceded => "under concession",
            Self::Released(Manner::Plain) => "released",
            Self::Released(Manner::Early) => "released early",
            Self::Released(Manner::InDoubt) => "released in doubt",
            Self::Released(Manner::UnderConcession) => "released under concession",
            Self::ChangedSinceRelease => "changed since release",
        }
    }

    /// Whether it may be taken for good without reading on: everything is proved, and nobody
    /// decided otherwise.
    pub fn is_good(self) -> bool {
        match self {
            Self::Measured(state) => state.is_good(),
            Self::Released(manner) => manner == Manner::Plain,
            _ => false,
        }
    }
}

impl Decided {
    /// The decisions that stand.
    pub fn standing(&self) -> impl DoubleEndedIterator<Item = &GivenDisposition> {
        let stands = |one: &&GivenDisposition| {
            one.withdrawn_by == 0 && one.given.kind != DispositionKind::Withdrawn
        };
        self.dispositions.iter().filter(stands)
    }

    /// Whether a decision of that kind stands.
    pub fn has(&self, kind: DispositionKind) -> bool {
        self.standing().any(|one| one.given.kind == kind)
    }

    /// The concession that covers a characteristic: its own, or one for the whole part.
    pub fn concession(&self, feature: &str, element: &str) -> Option<&GivenDisposition> {
        self.standing().rev().find(|one| {
            let given = &one.given;
            let covers = given.feature.is_empty()
                || (given.feature == feature
                    && (given.element.is_empty() || given.element == element));
            given.kind == DispositionKind::Concession && covers
        })
    }

    /// The release that was given last.
    pub fn release(&self) -> Option<&GivenSignature> {
        let released = |one: &&GivenSignature| one.signed.meaning == Meaning::Released;
        self.signatures.iter().rev().find(released)
    }

    /// Nothing signed before that line holds any longer: the part changed in it.
    fn lapse(&mut self, line: Sequence) {
        lapse(&mut self.signatures, line);
    }
}

fn lapse(signatures: &mut [GivenSignature], line: Sequence) {
    for one in signatures.iter_mut().filter(|one| one.lapsed_by == 0) {
        one.lapsed_by = line;
    }
}

impl Characteristic {
    /// The worst that its points came to; none where nothing was measured.
    pub fn worst(&self) -> Option<Outcome> {
        let rank = |outcome: &Outcome| match outcome {
            Outcome::Verdict(VerdictWord::NoGo) => 3,
            Outcome::Verdict(VerdictWord::Doubt) => 2,
            Outcome::Inside | Outcome::Verdict(VerdictWord::Go) => 1,
            Outcome::Noted => 0,
        };
        let points = self.points.iter().filter_map(|point| point.outcome);
        self.settled.or_else(|| points.max_by_key(rank))
    }
}

impl State {
    /// Whether the session measures at a stage before the last.
    pub fn is_earlier_stage(&self) -> bool {
        self.setup.is_earlier_stage()
    }

    /// How a part stands in all.
    pub fn standing(&self, part: &Part) -> Standing {
        let decided = &part.decided;
        if decided.has(DispositionKind::Scrap) {
            return Standing::Scrap;
        }
        if decided.has(DispositionKind::Hold) {
            return Standing::OnHold;
        }
        if let Some(release) = decided.release() {
            return match release.lapsed_by {
                0 => Standing::Released(release.signed.manner),
                _ => Standing::ChangedSinceRelease,
            };
        }
        let state = part.state();
        if state.is_good() {
            return match self.is_earlier_stage() && state != PartState::NotSelected {
                true => Standing::StageDone,
                false => Standing::Measured(state),
            };
        }
        if self.is_covered(part) {
            return Standing::Conceded;
        }
        match state {
            PartState::Open if decided.has(DispositionKind::Rework) => Standing::Rework,
            _ => Standing::Measured(state),
        }
    }

    /// Whether everything selected was measured, something is not good, and a concession covers
    /// each of those.
    pub fn is_covered(&self, part: &Part) -> bool {
        let mut covered = 0;
        for (target, characteristic) in self.setup.targets.iter().zip(&part.characteristics) {
            if !characteristic.selected {
                continue;
            }
            let is_good = matches!(
                characteristic.settled,
                Some(Outcome::Verdict(VerdictWord::Go) | Outcome::Noted)
            );
            if is_good && !characteristic.is_in_doubt() {
                continue;
            }
            let was_measured = characteristic
                .points
                .iter()
                .all(|point| point.outcome.is_some());
            let concession = self.concession_of(part, target, characteristic);
            if !was_measured || concession.is_none() {
                return false;
            }
            covered += 1;
        }
        covered > 0
    }

    /// The concession that covers what a characteristic came to. One that was given before its
    /// latest reading, or before its gauge was found wrong, was about something else.
    pub fn concession_of<'p>(
        &self,
        part: &'p Part,
        target: &Target,
        characteristic: &Characteristic,
    ) -> Option<&'p GivenDisposition> {
        let given = part.decided.concession(&target.feature, &target.element)?;
        let is_known = |point: &Point| {
            let doubted_by = self
                .reading(point.reading())
                .map_or(0, |one| one.doubted_by);
            point.reading() < given.line && doubted_by < given.line
        };
        characteristic.points.iter().all(is_known).then_some(given)
    }

    /// Signatures under the session as a whole.
    pub fn signatures(&self) -> &[GivenSignature] {
        &self.signatures
    }

    pub(super) fn name_part(
        &mut self,
        line: Sequence,
        part: u32,
        serial: &str,
    ) -> Result<(), Misfit> {
        self.decided_mut(line, part)?.serial = serial.to_owned();
        Ok(())
    }

    pub(super) fn put_together(
        &mut self,
        line: Sequence,
        one: &PartAssembled,
    ) -> Result<(), Misfit> {
        self.decided_mut(line, one.part)?.assembled = Some(Box::new(one.clone()));
        Ok(())
    }

    pub(super) fn take_disposition(
        &mut self,
        line: Sequence,
        at_ms: u64,
        given: &Disposition,
    ) -> Result<(), Misfit> {
        let decided = self.decided_mut(line, given.part)?;
        if given.kind == DispositionKind::Withdrawn {
            let stands = |one: &&mut GivenDisposition| {
                one.line == given.of
                    && one.withdrawn_by == 0
                    && one.given.kind != DispositionKind::Withdrawn
            };
            let Some(old) = decided.dispositions.iter_mut().find(stands) else {
                let what = format!("line {} is no decision that stands", given.of);
                return Err(Misfit {
                    sequence: line,
                    what,
                });
            };
            old.withdrawn_by = line;
        }
        decided.lapse(line);
        decided.dispositions.push(GivenDisposition {
            line,
            at_ms,
            given: given.clone(),
            withdrawn_by: 0,
        });
        lapse(&mut self.signatures, line);
        if given.kind == DispositionKind::Rework {
            self.reopen(line, given);
        }
        Ok(())
    }

    /// What is worked on again is measured anew: its earlier readings stay in the record and are
    /// no repeats of the coming ones.
    fn reopen(&mut self, line: Sequence, given: &Disposition) {
        let part = self.part(given.part);
        let is_good = |one: &Characteristic| {
            one.settled == Some(Outcome::Verdict(VerdictWord::Go)) && !one.is_in_doubt()
        };
        let all_good = part.is_some_and(|part| part.characteristics.iter().all(is_good));
        for target in 0..self.setup.targets.len() {
            let Some(asked) = self.setup.targets.get(target) else {
                continue;
            };
            let is_meant = match given.feature.as_str() {
                "" => None,
                feature => Some(
                    asked.feature == feature
                        && (given.element.is_empty() || given.element == asked.element),
                ),
            };
            let Some(characteristic) = self.characteristic_mut(given.part, target) else {
                continue;
            };
            // The whole part: what was good stays good, unless all of it was.
            if is_meant.unwrap_or(all_good || !is_good(characteristic)) {
                characteristic.settled = None;
                characteristic.points.fill(Default::default());
            }
        }
        self.bench.repeats_from = line;
    }

    pub(super) fn take_signature(
        &mut self,
        line: Sequence,
        at_ms: u64,
        signed: &SignedOff,
    ) -> Result<(), Misfit> {
        let given = GivenSignature {
            line,
            at_ms,
            signed: signed.clone(),
            lapsed_by: 0,
        };
        match signed.part {
            0 => self.signatures.push(given),
            part => self.decided_mut(line, part)?.signatures.push(given),
        }
        Ok(())
    }

    /// A reading of the part was judged or voided: what was signed before holds no longer.
    pub(super) fn part_changed(&mut self, line: Sequence, part: u32) {
        lapse(&mut self.signatures, line);
        let has_signatures =
            |part: &Part| part.decided.signatures.iter().any(|one| one.lapsed_by == 0);
        if self.part(part).is_some_and(has_signatures)
            && let Ok(decided) = self.decided_mut(line, part)
        {
            decided.lapse(line);
        }
    }

    fn decided_mut(&mut self, line: Sequence, part: u32) -> Result<&mut Decided, Misfit> {
        let at = usize::try_from(part)
            .ok()
            .and_then(|part| part.checked_sub(1));
        let found = at.and_then(|at| self.parts.get_mut(at));
        let found = found.map(|part| Arc::make_mut(part).decided.to_mut());
        found.ok_or_else(|| Misfit {
            sequence: line,
            what: format!("part {part} was not started"),
        })
    }
}

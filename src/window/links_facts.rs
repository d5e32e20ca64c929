//! What is known of the other parts of a pair, as plain values: the parts of both halves, put
//! together both ways, and the measured mates of a plan that is about to be begun.

use std::path::{Path, PathBuf};
use std::sync::Arc;

use crate::journal::Sequence;
use crate::quantity::Length;
use crate::session::{
    HalfParts, Links, MateWanted, Objective, Paired, PlanRecords, RecordSizes, half_parts, links,
};

/// What has been found so far.
#[derive(Debug, Clone, Default)]
pub struct LinksTold {
    /// Records are being read: so many of so many.
    pub reading: Option<(usize, usize)>,
    /// Of the session's pairs.
    pub facts: Option<Arc<LinksFacts>>,
    /// Of a plan that is about to be begun.
    pub mates: Option<Arc<MatesFacts>>,
}

/// The pairs of a session's plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct LinksFacts {
    /// The session's journal.
    pub journal: String,
    /// Up to this event.
    pub head: Sequence,
    /// In the plan's order.
    pub pairs: Vec<PairFacts>,
}

/// One pair.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct PairFacts {
    /// Its holes.
    pub hole: HalfParts,
    /// Its shafts.
    pub shaft: HalfParts,
    /// The intended clearance, least and most; zero where none is.
    pub range: (Length, Length),
    /// Put together as near as can be; none where no fit is intended, else why it cannot be.
    pub nearest: Option<Result<Links, String>>,
    /// With as many inside the range as can be, the same.
    pub most: Option<Result<Links, String>>,
    /// The other records that hold parts of it: R1 is the first.
    pub records: Vec<String>,
    /// So many records were not read, since reading was ended.
    pub missing: usize,
    /// So many cannot be read.
    pub unreadable: usize,
    /// Why the records could not be listed, in a sentence.
    pub fault: Option<String>,
}

/// The measured mates of a plan.
#[derive(Debug, Clone, Default, PartialEq)]
pub struct MatesFacts {
    /// The plan.
    pub plan: PathBuf,
    /// Of each mate that is asked for, in that order.
    pub mates: Vec<HalfParts>,
    /// Why the records could not be listed, in a sentence.
    pub fault: Option<String>,
}

impl PairFacts {
    /// The parts put together so.
    pub fn links(&self, objective: Objective) -> Option<&Result<Links, String>> {
        match objective {
            Objective::Nearest => self.nearest.as_ref(),
            Objective::Most => self.most.as_ref(),
        }
    }

    /// Puts both halves together; the records of each, the first those of the hole.
    pub(super) fn of(
        pair: &Paired,
        here: &Arc<RecordSizes>,
        (hole, shaft): (&PlanRecords, &PlanRecords),
    ) -> Self {
        let of = |name: &str, plan: Option<&String>, found: &PlanRecords| {
            let own = plan.is_none().then(|| Arc::clone(here));
            let all: Vec<_> = own.into_iter().chain(found.records.clone()).collect();
            half_parts(&all, feature_of(name))
        };
        let mut facts = Self {
            hole: of(&pair.hole.name, pair.hole.plan.as_ref(), hole),
            shaft: of(&pair.shaft.name, pair.shaft.plan.as_ref(), shaft),
            missing: hole.missing.max(shaft.missing),
            unreadable: hole.unreadable.max(shaft.unreadable),
            ..Self::default()
        };
        let both = (&facts.hole, &facts.shaft);
        let fit = pair.intended.as_ref().and_then(|fit| fit.as_ref().ok());
        let range = fit.map(|fit| (fit.least, fit.most));
        let put = |objective| {
            fit.map(|fit| links(fit, both, objective).map_err(|error| error.to_string()))
        };
        let put = (put(Objective::Nearest), put(Objective::Most));
        (facts.nearest, facts.most) = put;
        facts.range = range.unwrap_or_default();
        let parts = facts.hole.offered.iter().chain(&facts.shaft.offered);
        let others = parts.filter(|part| !part.is_here && part.serial.is_empty());
        let mut records: Vec<String> = others.map(|part| part.journal.clone()).collect();
        records.sort();
        records.dedup();
        facts.records = records;
        facts
    }
}

impl MatesFacts {
    pub(super) fn of(plan: &Path, mates: &[MateWanted], found: &[PlanRecords]) -> Self {
        let mates = mates.iter().zip(found);
        let of = |(mate, found): (&MateWanted, &PlanRecords)| {
            half_parts(&found.records, feature_of(&mate.name))
        };
        Self {
            plan: plan.to_path_buf(),
            mates: mates.map(of).collect(),
            fault: None,
        }
    }
}

/// The feature in its own plan: `ring` of `bearing.toml#ring`.
fn feature_of(name: &str) -> &str {
    name.rsplit_once('#').map_or(name, |(_, feature)| feature)
}

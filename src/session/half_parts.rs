//! All parts on which a half of a pair is measured whole, out of many records, each real part once:
//! of one serial number the newest record counts that measured the finished feature.

use std::collections::BTreeMap;
use std::sync::Arc;

use super::paired::SizeNow;
use super::part_sizes::{HalfSize, NotOffered, PartSizes, RecordSizes};
use super::standing::Standing;
use crate::quantity::Length;

/// A part that may go with a mate.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct HalfPart {
    /// The newest file of its record.
    pub journal: String,
    /// The same with its folder.
    pub path: String,
    /// It is of the session that goes on.
    pub is_here: bool,
    /// Running number in its record.
    pub number: u32,
    /// Serial number or mark; may be empty.
    pub serial: String,
    /// How it stands in all.
    pub standing: Standing,
    /// Its size.
    pub size: HalfSize,
}

/// All parts of a half.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct HalfParts {
    /// Those that are offered, the smallest first.
    pub offered: Vec<HalfPart>,
    /// How many are not, and why.
    pub left: BTreeMap<NotOffered, usize>,
    /// So many records hold a part with the feature.
    pub records: usize,
}

impl HalfPart {
    /// The size by which it is paired: the middle of its points.
    pub fn middle(&self) -> Length {
        let size = &self.size;
        size.least + (size.most - size.least).div_ceil(2)
    }

    /// The part as `--suit` takes it behind the feature: `RECORD.jsonl#3`.
    pub fn reference(&self) -> String {
        format!("{}#{}", self.path, self.number)
    }

    /// Its size as that of a half that is looked at together with the part at hand.
    pub fn size_now(&self) -> SizeNow {
        SizeNow {
            least: self.size.least,
            most: self.size.most,
            standard: self.size.standard,
            part: None,
            source: format!("{} part {}", self.journal, self.number),
            picked: Some(format!("{}#{}", self.journal, self.number)),
        }
    }
}

impl HalfParts {
    /// How many are not offered.
    pub fn left_count(&self) -> usize {
        self.left.values().sum()
    }

    /// The smallest and the largest point of those that are offered.
    pub fn span(&self) -> Option<(Length, Length)> {
        let least = self.offered.iter().map(|one| one.size.least).min();
        least.zip(self.offered.iter().map(|one| one.size.most).max())
    }
}

/// One measurement of a real part.
struct Found<'r> {
    record: &'r RecordSizes,
    part: &'r PartSizes,
    size: Result<HalfSize, NotOffered>,
}

/// The parts of a half that those records measured.
pub fn half_parts(records: &[Arc<RecordSizes>], feature: &str) -> HalfParts {
    let mut parts = HalfParts::default();
    let mut named: BTreeMap<&str, Vec<Found<'_>>> = BTreeMap::new();
    let mut single = Vec::new();
    for record in records {
        let mut features = record.features.iter();
        let Some(at) = features.position(|one| one == feature) else {
            continue;
        };
        parts.records += usize::from(!record.parts.is_empty());
        for part in &record.parts {
            let Some(size) = part.sizes.get(at).copied() else {
                continue;
            };
            let found = Found { record, part, size };
            match part.serial.as_str() {
                "" => single.push(found),
                serial => named.entry(serial).or_default().push(found),
            }
        }
    }
    let real = named.into_values().filter_map(of_one_part);
    for found in single.into_iter().chain(real) {
        match found.size {
            Ok(size) => parts.offered.push(offered(&found, size)),
            Err(why) => *parts.left.entry(why).or_default() += 1,
        }
    }
    parts.offered.sort_by(|one, two| {
        let key = |part: &HalfPart| (part.middle(), part.journal.clone(), part.number);
        key(one).cmp(&key(two))
    });
    parts
}

/// Which of several measurements of one serial number counts.
fn of_one_part(found: Vec<Found<'_>>) -> Option<Found<'_>> {
    let of_the_part = |one: &Found<'_>| one.size.err().is_some_and(NotOffered::is_of_the_part);
    let rank = |one: &Found<'_>| {
        let says_nothing = one.size.err().is_some_and(NotOffered::says_nothing);
        let newest = (one.record.is_here, one.record.opened_ms, one.part.number);
        (of_the_part(one), !says_nothing, newest)
    };
    found.into_iter().max_by_key(rank)
}

fn offered(found: &Found<'_>, size: HalfSize) -> HalfPart {
    HalfPart {
        journal: found.record.journal.clone(),
        path: found.record.path.clone(),
        is_here: found.record.is_here,
        number: found.part.number,
        serial: found.part.serial.clone(),
        standing: found.part.standing,
        size,
    }
}

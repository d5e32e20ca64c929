//! Batches of holes and shafts in every state, collected as the window collects them, from records
//! that are made up.
#![allow(clippy::unwrap_used)]

use std::collections::BTreeMap;
use std::path::Path;
use std::sync::Arc;

use fitledger::quantity::Length;
use fitledger::session::{
    HalfSize, NotOffered, PartSizes, PartState, PlanKey, PlanRecords, RecordSizes, Snapshot,
    Standing,
};
use fitledger::window::links_facts::LinksTold;
use fitledger::window::links_room::{LinksPage, LinksRoom};
use fitledger::window::links_run::{LinksJob, LinksOutside, Seen, links_ends};
use fitledger::window::pairs_room::PairsRoom;
use fitledger::window::view::{LinksView, PairsPageView, PairsSeen, PairsView, pairs_view};

use crate::pairs::scenes::{measured, opened};
use crate::support::bench::Bench;
use crate::support::shown::snapshot;

pub(crate) fn part(
    number: u32,
    serial: &str,
    size: Result<(i64, i64), NotOffered>,
    standard: Option<i64>,
) -> PartSizes {
    PartSizes {
        number,
        serial: serial.to_owned(),
        standing: Standing::Measured(PartState::Go),
        sizes: vec![size.map(|(least, most)| HalfSize {
            least: Length::from_nm(least),
            most: Length::from_nm(most),
            standard: standard.map(Length::from_nm),
        })],
    }
}

pub(crate) fn record(journal: &str, feature: &str, parts: Vec<PartSizes>) -> RecordSizes {
    RecordSizes {
        journal: journal.to_owned(),
        path: format!("/w/sessions/{journal}"),
        features: vec![feature.to_owned()],
        parts,
        ..RecordSizes::default()
    }
}

/// Records that stand in no folder.
#[derive(Default)]
pub(crate) struct Shelf {
    /// Of the plan that the session measures.
    pub(crate) own: Vec<RecordSizes>,
    /// Of the plans that make other halves, by their files.
    pub(crate) others: BTreeMap<String, Vec<RecordSizes>>,
    /// So many were not read.
    pub(crate) missing: usize,
    pub(crate) looked: usize,
    /// The records cannot be listed.
    pub(crate) fails: bool,
}

impl LinksOutside for Shelf {
    fn look(&mut self, seen: Seen<'_>) -> Result<(), String> {
        self.looked += 1;
        seen(0, 3);
        match self.fails {
            true => Err("The folder cannot be listed.".to_owned()),
            false => Ok(()),
        }
    }

    fn plan_key(&mut self, file: &str, _beside: Option<&Path>) -> PlanKey {
        PlanKey::File(file.to_owned())
    }

    fn of_plan(&mut self, key: &PlanKey, _but: &str, _seen: Seen<'_>) -> PlanRecords {
        let records = match key {
            PlanKey::File(file) => self.others.get(file),
            PlanKey::Part { .. } => Some(&self.own),
        };
        let records = records.into_iter().flatten().cloned().map(Arc::new);
        PlanRecords {
            records: records.collect(),
            missing: self.missing,
            unreadable: 0,
        }
    }

    fn running(&mut self, snapshot: &Snapshot) -> RecordSizes {
        RecordSizes {
            journal: snapshot.journal.clone(),
            is_here: true,
            ..RecordSizes::default()
        }
    }

    fn changed(&mut self) {}
}

/// What is told of a session's pairs with those records.
pub(crate) fn told(snapshot: &Snapshot, shelf: &mut Shelf) -> LinksTold {
    let (handle, mut side) = links_ends();
    handle.ask(LinksJob::Pairs(Arc::new(snapshot.clone()), true));
    side.run_waiting(shelf);
    handle.told()
}

/// Parts with these sizes, nanometres from 20 mm, and numbers as serials behind the letter.
fn sized(letter: &str, sizes: &[i64], standard: Option<i64>) -> Vec<PartSizes> {
    let all = (1..).zip(sizes).map(|(number, size)| {
        let size = 20_000_000 + size;
        let serial = format!("{letter}{number:02}");
        part(number, &serial, Ok((size, size)), standard)
    });
    all.collect()
}

/// 12 bores and 12 shafts for 20 H7/g6 (7 to 41 µm), u = 0.5 µm each: by size partners are 24 µm
/// apart, but the first two (in doubt at 7.5 and at 40 µm) and the last (45 µm: too loose).
pub(crate) fn twelve() -> Shelf {
    let bores: Vec<i64> = (0..12).map(|at| 1_000 + 1_600 * at).collect();
    let mut shafts: Vec<i64> = bores.iter().map(|bore| bore - 24_000).collect();
    shafts[11] = bores[11] - 7_500;
    shafts[0] = bores[0] - 45_000;
    shafts[10] = bores[10] - 18_000;
    let mut failed = sized("B", &bores, Some(500));
    failed.push(part(13, "B13", Err(NotOffered::NoGo), None));
    failed.push(part(14, "B14", Err(NotOffered::Scrap), None));
    failed.push(part(15, "B15", Err(NotOffered::Open), None));
    Shelf {
        own: vec![
            record("2026-11-20-081500-housing.jsonl", "bore", failed),
            record(
                "2026-11-21-093000-shaft.jsonl",
                "A",
                sized("S", &shafts, Some(500)),
            ),
        ],
        ..Shelf::default()
    }
}

/// Nine bores in two records, some without serial numbers and one of several points, and twelve
/// shafts, of which one has no known uncertainty.
pub(crate) fn unequal() -> Shelf {
    let mut first = sized("B", &[2_000, 5_000, 8_000, 11_000], Some(400));
    first.push(part(5, "", Ok((20_012_000, 20_016_000)), Some(400)));
    let second = [3_000, 9_000, 14_000, 19_000].iter().zip(1..);
    let second = second.map(|(size, number)| {
        let size = 20_000_000 + size;
        part(number, "", Ok((size, size)), Some(400))
    });
    let mut shafts = sized(
        "S",
        &[
            -20_000, -19_000, -18_000, -17_000, -16_000, -15_500, -15_000, -14_000, -13_000,
            -12_000, -9_000, -8_000,
        ],
        Some(500),
    );
    shafts[6] = part(7, "S07", Ok((19_985_000, 19_985_000)), None);
    Shelf {
        own: vec![
            record("2026-11-20-081500-housing.jsonl", "bore", first),
            record("2026-11-20-140000-housing.jsonl", "bore", second.collect()),
            record("2026-11-21-093000-shaft.jsonl", "A", shafts),
        ],
        ..Shelf::default()
    }
}

/// As many of each; every fiftieth shaft is too small for its partner.
pub(crate) fn many(count: i64) -> Shelf {
    let step = (20_000_000 / count).max(1) / 1_000;
    let bores: Vec<i64> = (0..count).map(|at| 500 + step * at).collect();
    let shafts = bores.iter().enumerate();
    let shafts: Vec<i64> = shafts
        .map(|(at, bore)| match at % 50 {
            49 => bore - 46_000,
            _ => bore - 24_000,
        })
        .collect();
    Shelf {
        own: vec![
            record("a.jsonl", "bore", sized("B", &bores, Some(300))),
            record("b.jsonl", "A", sized("S", &shafts, Some(300))),
        ],
        ..Shelf::default()
    }
}

/// Three rings for the shaft, 20.012 to 20.018, in the records of their plan.
pub(crate) fn rings() -> Shelf {
    let rings = vec![
        part(1, "RG-0101", Ok((20_012_000, 20_012_000)), Some(600)),
        part(2, "RG-0102", Ok((20_014_000, 20_018_000)), Some(600)),
        part(3, "", Ok((20_013_000, 20_013_000)), None),
        part(4, "RG-0104", Err(NotOffered::GaugeWrong), None),
    ];
    let mut shelf = Shelf::default();
    let records = vec![record("2026-11-19-101500-bearing.jsonl", "ring", rings)];
    shelf.others.insert("bearing.toml".to_owned(), records);
    shelf
}

/// The session in front of which the pages are seen: bore and shaft of part 1 are measured.
pub(crate) fn at_hand() -> Snapshot {
    measured(1, "0.010", &["19.986"])
}

pub(crate) fn fresh() -> Snapshot {
    snapshot(&Bench::new(opened(1)))
}

pub(crate) fn room(chosen: usize, page: LinksPage) -> PairsRoom {
    let mut room = PairsRoom {
        chosen,
        ..PairsRoom::default()
    };
    room.links.open(page);
    room
}

pub(crate) fn seen(snapshot: &Snapshot, told: &LinksTold, room: &PairsRoom) -> PairsView {
    pairs_view(&PairsSeen {
        room,
        snapshot: Some(snapshot),
        told,
        now_ms: 0,
        marker: '.',
    })
}

pub(crate) fn links(view: PairsView) -> LinksView {
    match view.page {
        PairsPageView::Links(links) => *links,
        other => panic!("{other:?}"),
    }
}

/// A page of the pair with those records.
pub(crate) fn page(mut shelf: Shelf, pair: usize, edit: impl Fn(&mut LinksRoom)) -> PairsView {
    let snapshot = at_hand();
    let told = told(&snapshot, &mut shelf);
    let mut room = room(pair, LinksPage::Rows);
    edit(&mut room.links);
    seen(&snapshot, &told, &room)
}

pub(crate) fn scenes() -> Vec<(&'static str, PairsView)> {
    use fitledger::session::Objective::Most;
    let rows = |shelf: Shelf| page(shelf, 0, |_| {});
    let list = |shelf: Shelf| page(shelf, 0, |room| room.page = LinksPage::List);
    let mut reading = told(&at_hand(), &mut twelve());
    reading.reading = Some((12, 340));
    let nothing = LinksTold {
        reading: Some((0, 0)),
        ..LinksTold::default()
    };
    let mut partly = twelve();
    partly.missing = 12;
    let mates = |edit: fn(&mut LinksRoom)| {
        page(rings(), 2, |room| {
            room.page = LinksPage::Mates;
            edit(room);
        })
    };
    let picked = {
        let snapshot = at_hand();
        let told = told(&snapshot, &mut rings());
        let mut room = room(2, LinksPage::Closed);
        let size = fitledger::window::view::picked_mate(&told, &snapshot, (2, 2)).unwrap();
        room.links.picked.insert(2, size);
        seen(&snapshot, &told, &room)
    };
    let known = {
        let snapshot = fresh();
        let told = told(&snapshot, &mut rings());
        seen(&snapshot, &told, &room(2, LinksPage::Closed))
    };
    vec![
        ("twelve", rows(twelve())),
        ("twelve-list", list(twelve())),
        ("most", page(twelve(), 0, |room| room.objective = Most)),
        ("unequal", rows(unequal())),
        ("unequal-list", list(unequal())),
        (
            "unequal-most",
            page(unequal(), 0, |room| room.objective = Most),
        ),
        ("many", page(many(2_000), 0, |room| room.from = 1_150)),
        (
            "many-list",
            page(many(2_000), 0, |room| {
                room.page = LinksPage::List;
                room.from = 1_990;
            }),
        ),
        (
            "reading",
            seen(&at_hand(), &reading, &room(0, LinksPage::Rows)),
        ),
        (
            "looking",
            seen(&at_hand(), &nothing, &room(0, LinksPage::Rows)),
        ),
        ("ended", rows(partly)),
        ("empty", rows(Shelf::default())),
        ("no-fit", page(rings(), 3, |_| {})),
        ("elsewhere-empty", page(Shelf::default(), 2, |_| {})),
        ("mates", mates(|room| room.chosen = 1)),
        (
            "no-mates",
            page(Shelf::default(), 2, |room| room.page = LinksPage::Mates),
        ),
        ("picked", picked),
        ("known", known),
    ]
}

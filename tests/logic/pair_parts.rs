//! The parts of both halves of a pair out of many records: which are offered, which are not and
//! why, each real part once; and what they come to when they are put together.

use std::fs;
use std::path::Path;
use std::sync::Arc;

use fitledger::gauge::GaugeId;
use fitledger::journal::{AssembledWith, Disposition, DispositionKind, PartAssembled};
use fitledger::pair::{most_pairing, nearest_pairing};
use fitledger::plan::Plan;
use fitledger::quantity::Length;
use fitledger::session::{
    Begin, Command, HalfPart, HalfParts, HalfSize, Links, NotOffered, Objective, PairRecords,
    PartSizes, PartState, PlanKey, RecordSizes, Slot, Standing, What, Workspace, half_parts, links,
    mates_wanted, paired, record_sizes, setup_asked,
};
use fitledger::tolerance::Tables;

use crate::support::bench::{Bench, feature, plan};
use crate::support::program::Shop;

fn um(value: i64) -> Length {
    Length::from_um(value)
}

/// What a bench offers of a feature, with nothing known of uncertainties.
fn sizes(bench: &Bench, doubted: &[u32], is_damaged: bool) -> RecordSizes {
    record_sizes(bench.state(), &|_| None, doubted, is_damaged)
}

fn half(records: &[RecordSizes], feature: &str) -> HalfParts {
    let records: Vec<_> = records.iter().cloned().map(Arc::new).collect();
    half_parts(&records, feature)
}

fn dispose(kind: DispositionKind, part: u32) -> Command {
    Command::Dispose(Box::new(Disposition {
        part,
        feature: String::new(),
        element: String::new(),
        kind,
        of: 0,
        by: "A. Hill".to_owned(),
        reason: "as agreed".to_owned(),
        agreed_with: String::new(),
    }))
}

/// 20 g6 is 19.980 to 19.993 (ISO 286-1); u of `mic` is a few tenths of a micrometre, so that
/// 19.986 is GO, 20.020 is NO-GO and 19.993 is DOUBT.
fn shafts(sizes: &[&str]) -> Bench {
    let mut opened = plan(&(feature("A", "20 g6", "") + &feature("B", "25 h9", "")));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    for size in sizes {
        bench.verdict("mic", size);
        bench.verdict("mic", "24.98");
    }
    bench
}

#[test]
fn every_part_is_offered_or_it_is_told_why_not() {
    let mut bench = shafts(&["19.986", "20.020", "19.993", "19.985", "19.987", "19.988"]);
    bench.verdict("mic", "19.989");
    bench.asks(dispose(DispositionKind::Scrap, 4));
    bench.asks(dispose(DispositionKind::Hold, 5));
    let all = sizes(&bench, &[], false);
    let found = half(std::slice::from_ref(&all), "A");
    let offered: Vec<u32> = found.offered.iter().map(|part| part.number).collect();
    assert_eq!(offered, [1, 6]);
    // Part 7 is open: its collar is not measured, though the shaft is.
    let wanted = [
        (NotOffered::Scrap, 1),
        (NotOffered::OnHold, 1),
        (NotOffered::NoGo, 1),
        (NotOffered::Doubt, 1),
        (NotOffered::Open, 1),
    ];
    assert_eq!(found.left.clone().into_iter().collect::<Vec<_>>(), wanted);
    assert_eq!(found.left_count() + found.offered.len(), 7);
    assert_eq!(found.span(), Some((um(19_986), um(19_988))));
    // What other records put in doubt, a part that went into an assembly, a damaged record.
    let doubted = half(&[sizes(&bench, &[6], false)], "A");
    assert_eq!(doubted.left[&NotOffered::GaugeWrong], 1);
    assert_eq!(doubted.offered.len(), 1);
    let damaged = half(&[sizes(&bench, &[], true)], "A");
    assert!(damaged.offered.is_empty() && damaged.left[&NotOffered::Damaged] == 7);
    bench.asks(Command::Assemble(Box::new(PartAssembled {
        part: 1,
        assembly: "Pump".to_owned(),
        drawing: String::new(),
        serial: "P-1".to_owned(),
        member: "shaft".to_owned(),
        state: "GO".to_owned(),
        by: "A. Hill".to_owned(),
        with: vec![AssembledWith {
            member: "housing".to_owned(),
            part_name: "Housing".to_owned(),
            serial: "H-1".to_owned(),
            journal: "h.jsonl".to_owned(),
            head: String::new(),
        }],
    })));
    let assembled = half(&[sizes(&bench, &[], false)], "A");
    assert_eq!(assembled.left[&NotOffered::Assembled], 1);
    let offered: Vec<u32> = assembled.offered.iter().map(|part| part.number).collect();
    assert_eq!(offered, [6]);
    // A gauge that is found wrong afterwards: nothing that it measured is offered.
    bench.asks(Command::DoubtGauge {
        gauge: GaugeId::new("mic"),
        since: None,
        reason: "it fell".to_owned(),
    });
    let wrong = half(&[sizes(&bench, &[], false)], "A");
    assert!(wrong.offered.is_empty(), "{wrong:?}");
    assert!(half(&[sizes(&bench, &[], false)], "C").left.is_empty());
}

#[test]
fn a_size_has_all_its_points_and_the_largest_uncertainty_of_them() {
    let mut bench = Bench::new(plan(&feature("A", "20 g6", "points = 3")));
    let verdicts: Vec<_> = ["19.984", "19.988", "19.986"]
        .map(|size| bench.verdict("mic", size))
        .into();
    let known = |skip: usize| {
        let all = verdicts.iter().enumerate();
        let all = all.filter(move |(at, _)| *at != skip);
        let all: Vec<(u64, i64)> = all
            .map(|(at, one)| (one.reading, 300 + at as i64 * 100))
            .collect();
        move |line: u64| all.iter().find(|one| one.0 == line).map(|one| one.1)
    };
    let of = |skip| {
        half(
            &[record_sizes(bench.state(), &known(skip), &[], false)],
            "A",
        )
    };
    let size = of(9).offered[0].size;
    assert_eq!((size.least, size.most), (um(19_984), um(19_988)));
    assert_eq!(size.standard, Some(Length::from_nm(500)));
    assert_eq!(of(9).offered[0].middle(), um(19_986));
    assert_eq!(of(1).offered[0].size.standard, None, "one point unknown");
}

fn part(number: u32, serial: &str, size: Result<i64, NotOffered>) -> PartSizes {
    PartSizes {
        number,
        serial: serial.to_owned(),
        standing: Standing::Measured(PartState::Go),
        sizes: vec![size.map(|size| HalfSize {
            least: um(size),
            most: um(size),
            standard: Some(Length::from_nm(500)),
        })],
    }
}

fn record(journal: &str, opened_ms: i64, parts: Vec<PartSizes>) -> RecordSizes {
    RecordSizes {
        journal: journal.to_owned(),
        path: format!("/w/{journal}"),
        opened_ms,
        features: vec!["A".to_owned()],
        parts,
        ..RecordSizes::default()
    }
}

#[test]
fn a_serial_number_is_one_real_part_and_its_newest_finished_record_counts() {
    let old = vec![
        part(1, "S1", Ok(19_981)),
        part(2, "S2", Ok(19_982)),
        part(3, "S3", Err(NotOffered::Scrap)),
        part(4, "S4", Ok(19_984)),
        part(5, "", Ok(19_985)),
    ];
    let new = vec![
        part(1, "S1", Ok(19_990)),
        part(2, "S2", Err(NotOffered::NoGo)),
        part(3, "S3", Ok(19_991)),
        part(4, "S4", Err(NotOffered::EarlierStage)),
        part(5, "", Ok(19_985)),
    ];
    let records = [
        record("new.jsonl", 2_000, new),
        record("old.jsonl", 1_000, old),
    ];
    let found = half(&records, "A");
    let told: Vec<(&str, &str, Length)> = found
        .offered
        .iter()
        .map(|one| (one.serial.as_str(), one.journal.as_str(), one.middle()))
        .collect();
    let wanted = [
        ("S4", "old.jsonl", um(19_984)),
        ("", "new.jsonl", um(19_985)),
        ("", "old.jsonl", um(19_985)),
        ("S1", "new.jsonl", um(19_990)),
    ];
    assert_eq!(told, wanted);
    // S2 failed when it was measured again; S3 was given up, whatever was measured later.
    assert_eq!(
        found.left.into_iter().collect::<Vec<_>>(),
        [(NotOffered::Scrap, 1), (NotOffered::NoGo, 1)]
    );
    assert_eq!(found.offered[0].reference(), "/w/old.jsonl#4");
    // The session that goes on is the newest of all.
    let here = RecordSizes {
        is_here: true,
        ..record("here.jsonl", 0, vec![part(1, "S1", Ok(19_980))])
    };
    let found = half(&[records[0].clone(), here], "A");
    let first = &found.offered[0];
    assert!(first.is_here && first.middle() == um(19_980));
}

fn offered(sizes: &[i64]) -> HalfParts {
    let parts = (1..)
        .zip(sizes)
        .map(|(number, size)| part(number, "", Ok(*size)));
    half(&[record("r.jsonl", 0, parts.collect())], "A")
}

/// 20 H7/g6: 7 to 41 µm of clearance (ISO 286-1), 24 in the middle.
fn fit() -> fitledger::session::IntendedFit {
    let text = feature("bore", "20 H7", "")
        + &feature("A", "20 g6", "")
        + "[[pair]]\nhole = \"bore\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n";
    let bench = Bench::new(plan(&text));
    let pairs = paired(bench.state());
    pairs[0].intended.clone().unwrap().unwrap()
}

fn numbers(links: &Links) -> Vec<String> {
    let slots = links.slots.iter().map(|slot| match slot {
        Slot::Pair { hole, shaft, .. } => format!("{hole}-{shaft}"),
        Slot::Hole(hole, why) => format!("{hole} {}", why.code()),
        Slot::Shaft(shaft, why) => format!("{} {shaft}", why.code()),
    });
    slots.collect()
}

/// By hand. Nearest: 20.000, 20.010 and 20.020 less 24 µm are 19.976, 19.986 and 19.996; of
/// 19.950, 19.980, 19.985 and 19.994 the last three are 4, 1 and 2 away, and 19.950 is left. Most:
/// 20.000 - 19.950 = 50 µm is too loose, so 19.950 is left as well.
#[test]
fn both_rows_stand_by_size_with_partners_at_one_place_and_the_left_between_them() {
    let (holes, shafts) = (
        offered(&[20_020, 20_000, 20_010]),
        offered(&[19_985, 19_994, 19_950, 19_980]),
    );
    let nearest = links(&fit(), (&holes, &shafts), Objective::Nearest).unwrap();
    assert_eq!(numbers(&nearest), ["no_other_half 0", "0-1", "1-2", "2-3"]);
    let counts = nearest.counts;
    assert_eq!(
        (counts.pairs, counts.holes_left, counts.shafts_left),
        (3, 0, 1)
    );
    assert_eq!((counts.intended, counts.doubt, counts.outside), (3, 0, 0));
    // 20.000 is 5 and 0 µm from these: outside, and in doubt on the edge of 7 µm.
    let tight = links(
        &fit(),
        (&offered(&[20_000]), &offered(&[19_995])),
        Objective::Nearest,
    )
    .unwrap();
    assert_eq!((tight.counts.outside, tight.counts.intended), (1, 0));
    let edge = links(
        &fit(),
        (&offered(&[20_000]), &offered(&[19_993])),
        Objective::Most,
    )
    .unwrap();
    assert_eq!((edge.counts.doubt, edge.counts.pairs), (1, 1));
    let most = links(
        &fit(),
        (&offered(&[20_000]), &offered(&[19_995])),
        Objective::Most,
    )
    .unwrap();
    assert_eq!(numbers(&most), ["0 too_tight", "too_tight 0"]);
}

#[test]
fn links_are_the_pairing_of_the_same_sizes_whatever_the_sizes() {
    let mut random = 5_u64;
    let mut next = |below: u64| {
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        (random >> 33) % below
    };
    let fit = fit();
    let mut has_left = 0;
    for _ in 0..300 {
        let mut some = |from: i64| -> Vec<i64> {
            let count = next(15);
            (0..count).map(|_| from + next(60) as i64).collect()
        };
        let (holes, shafts) = (offered(&some(20_000)), offered(&some(19_960)));
        for objective in [Objective::Nearest, Objective::Most] {
            let found = links(&fit, (&holes, &shafts), objective).unwrap();
            let sizes = |half: &HalfParts| -> Vec<Length> {
                half.offered.iter().map(HalfPart::middle).collect()
            };
            let (one, two) = (sizes(&holes), sizes(&shafts));
            let pairing = match objective {
                Objective::Nearest => nearest_pairing(&one, &two, um(24)),
                Objective::Most => most_pairing(&one, &two, (um(7), um(41))),
            };
            let pairs = found.slots.iter().filter_map(|slot| match slot {
                Slot::Pair { hole, shaft, .. } => Some((*hole, *shaft)),
                _ => None,
            });
            let wanted = pairing.pairs.iter().map(|pair| (pair.hole, pair.shaft));
            assert_eq!(pairs.collect::<Vec<_>>(), wanted.collect::<Vec<_>>());
            let holes_seen = found.slots.iter().filter_map(|slot| match slot {
                Slot::Pair { hole, .. } | Slot::Hole(hole, _) => Some(*hole),
                Slot::Shaft(..) => None,
            });
            assert_eq!(
                holes_seen.collect::<Vec<_>>(),
                (0..one.len()).collect::<Vec<_>>()
            );
            let shafts_seen = found.slots.iter().filter_map(|slot| match slot {
                Slot::Pair { shaft, .. } | Slot::Shaft(shaft, _) => Some(*shaft),
                Slot::Hole(..) => None,
            });
            assert_eq!(
                shafts_seen.collect::<Vec<_>>(),
                (0..two.len()).collect::<Vec<_>>()
            );
            has_left += usize::from(found.counts.holes_left > 0 && found.counts.pairs > 0);
        }
    }
    assert!(has_left > 50, "{has_left}");
}

const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
    resolution = 0.001\nmpe = 0.002\n[[gauge]]\nid = \"bore\"\nkind = \"inside_micrometer\"\n\
    range = [10, 30]\nresolution = 0.001\ncalibration = { U = 0.002, k = 2 }\n";
const BUSH: &str = "[part]\nname = \"Bush\"\n[[feature]]\nid = \"A\"\ncallout = \"20 g6\"\n\
    [[pair]]\nhole = \"housing.toml#B\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n\
    [[pair]]\nhole = \"cover.toml#H\"\nshaft = \"A\"\n";
const HOUSING: &str = "[part]\nname = \"Housing\"\ndrawing = \"GH-1\"\n[[feature]]\nid = \"B\"\n\
    callout = \"20 H7\"\npoints = 2\n";

fn shop() -> Shop {
    let shop = Shop::in_memory();
    for (name, text) in [
        ("gauges.toml", GAUGES),
        ("bush.toml", BUSH),
        ("housing.toml", HOUSING),
        ("other.toml", &HOUSING.replace("GH-1", "GH-2")),
    ] {
        fs::write(shop.path(name), text).unwrap();
    }
    shop
}

fn measure(shop: &Shop, plan: &str, values: &str) {
    let all = ["inspect", "--plan", plan, "--gauge", "bore=typed", "--json"];
    shop.run(&all, values);
}

fn looked(records: &mut PairRecords) -> usize {
    let mut read = 0;
    records
        .look(&mut |_, of| {
            read = of;
            true
        })
        .unwrap();
    read
}

#[test]
fn records_of_a_plan_are_known_by_part_and_drawing_and_read_once() {
    let shop = shop();
    measure(&shop, "housing.toml", "20.010\n20.012\n20.004\n20.006\n");
    measure(&shop, "other.toml", "20.001\n20.001\n");
    let workspace = Workspace::locate(Some(shop.path("")).as_deref().map(Path::new));
    let mut records = PairRecords::new(workspace.clone());
    let tables = Tables::standard();
    let key = records.plan_key("housing.toml", None, tables);
    let wanted = PlanKey::Part {
        name: "Housing".to_owned(),
        drawing: "GH-1".to_owned(),
    };
    assert_eq!(key, wanted);
    // A plan that is not there is known by its file's name alone.
    assert_eq!(
        records.plan_key("gone/far.toml", None, tables),
        PlanKey::File("far.toml".to_owned())
    );
    assert_eq!(looked(&mut records), 2);
    let read_of = |records: &mut PairRecords, but: &str| {
        let mut read = 0;
        let found = records.of_plan(&key, but, &mut |_, of| {
            read = of;
            true
        });
        (found, read)
    };
    let (found, read) = read_of(&mut records, "");
    assert_eq!((found.records.len(), read, found.missing), (1, 1, 0));
    let parts = half_parts(&found.records, "B");
    let told: Vec<_> = parts.offered.iter().map(HalfPart::middle).collect();
    assert_eq!(told, [um(20_005), um(20_011)]);
    // Once read it is not read again, until it changes.
    assert_eq!(read_of(&mut records, "").1, 0);
    // The session begins with the part as it is offered, and measures by the same size.
    let part = &parts.offered[1];
    let mate = format!("housing.toml#B={}", part.reference());
    let begin = Begin {
        suits: vec![mate],
        gauges: vec!["mic=typed".to_owned()],
        ..Begin::new(What::Plan(shop.path("bush.toml")))
    };
    let setup = setup_asked(&begin, None, &workspace).unwrap();
    let suited = setup.choose("A", "").unwrap().suited.clone().unwrap();
    assert_eq!((suited.suit.size, suited.suit.form), (part.middle(), um(1)));
    assert_eq!(suited.suit.u, part.size.standard);
    assert!(part.size.standard.is_some());
    // The session that goes on is not among the records; a further record is read alone.
    let own = part.journal.clone();
    assert!(read_of(&mut records, &own).0.records.is_empty());
    measure(&shop, "housing.toml", "20.008\n20.008\n");
    looked(&mut records);
    let (found, read) = read_of(&mut records, "");
    assert_eq!((found.records.len(), read), (2, 1));
    // Ended at once, it says what is missing.
    let mut fresh = PairRecords::new(workspace);
    looked(&mut fresh);
    let ended = fresh.of_plan(&key, "", &mut |_, _| false);
    assert_eq!((ended.records.len(), ended.missing), (0, 2));
}

#[test]
fn a_plan_asks_for_the_mates_that_other_plans_make_and_whose_fit_is_stated() {
    let plan = |text: &str| Plan::parse(text, "p.toml", Tables::standard()).unwrap();
    let wanted = mates_wanted(&plan(BUSH));
    assert_eq!(wanted.len(), 1, "the cover's fit is not stated");
    assert_eq!(wanted[0].name, "housing.toml#B");
    assert_eq!(
        (wanted[0].file.as_str(), wanted[0].fit.as_str()),
        ("housing.toml", "20 H7/g6")
    );
    assert_eq!(wanted[0].made, ["A"]);
    assert!(mates_wanted(&plan(HOUSING)).is_empty());
    let inside = BUSH.replace("housing.toml#B", "B").replace(
        "[[pair]]",
        "[[feature]]\nid = \"B\"\ncallout = \"20 H7\"\n[[pair]]",
    );
    let inside = inside.replacen(
        "[[feature]]\nid = \"B\"\ncallout = \"20 H7\"\n[[pair]]\nhole = \"cover",
        "[[pair]]\nhole = \"cover",
        1,
    );
    assert!(mates_wanted(&plan(&inside)).is_empty(), "made by this plan");
    let twice = BUSH.replace(
        "cover.toml#H\"\nshaft = \"A\"",
        "housing.toml#B\"\nshaft = \"C\"\nintended = \"20 H7/g6\"",
    );
    let twice = twice.replacen(
        "[[pair]]",
        "[[feature]]\nid = \"C\"\ncallout = \"20 g6\"\n[[pair]]",
        1,
    );
    let wanted = mates_wanted(&plan(&twice));
    assert_eq!(
        (wanted.len(), wanted[0].made.len()),
        (1, 2),
        "one mate of two"
    );
}

//! Many holes and many shafts, against every pairing of small lists.

use fitledger::pair::{LeftOver, Pairing, most_pairing, nearest_pairing};
use fitledger::quantity::Length;
use proptest::prelude::*;

fn um(list: &[i64]) -> Vec<Length> {
    list.iter().map(|one| Length::from_um(*one)).collect()
}

/// The best worth over every way to give each of the fewer another of the more, and over leaving
/// any out where `may_leave`: by trying all.
fn best(fewer: usize, more: usize, may_leave: bool, worth: &dyn Fn(usize, usize) -> i64) -> i64 {
    fn from(
        (at, fewer, more): (usize, usize, usize),
        taken: u32,
        may_leave: bool,
        worth: &dyn Fn(usize, usize) -> i64,
    ) -> i64 {
        if at == fewer {
            return 0;
        }
        let mut found = match may_leave {
            true => from((at + 1, fewer, more), taken, may_leave, worth),
            false => i64::MIN / 2,
        };
        for other in 0..more {
            if taken & (1 << other) == 0 {
                let rest = from(
                    (at + 1, fewer, more),
                    taken | (1 << other),
                    may_leave,
                    worth,
                );
                found = found.max(worth(at, other) + rest);
            }
        }
        found
    }
    from((0, fewer, more), 0, may_leave, worth)
}

/// Each part is in one pair or left over once, and the clearances are those of the sizes.
fn is_whole(found: &Pairing, holes: &[Length], shafts: &[Length]) {
    let mut seen: Vec<usize> = found.pairs.iter().map(|pair| pair.hole).collect();
    seen.extend(found.holes_left.iter().map(|(at, _)| *at));
    seen.sort_unstable();
    assert_eq!(seen, (0..holes.len()).collect::<Vec<usize>>());
    let mut seen: Vec<usize> = found.pairs.iter().map(|pair| pair.shaft).collect();
    seen.extend(found.shafts_left.iter().map(|(at, _)| *at));
    seen.sort_unstable();
    assert_eq!(seen, (0..shafts.len()).collect::<Vec<usize>>());
    for pair in &found.pairs {
        assert_eq!(pair.clearance, holes[pair.hole] - shafts[pair.shaft]);
    }
}

fn off(found: &Pairing, wanted: Length) -> i64 {
    let pairs = found.pairs.iter();
    pairs
        .map(|pair| (pair.clearance - wanted).abs().as_nm())
        .sum()
}

#[test]
fn as_many_of_each_go_by_size() {
    let holes = um(&[25_018, 25_004, 25_011]);
    let shafts = um(&[24_985, 24_992, 24_981]);
    let found = nearest_pairing(&holes, &shafts, Length::from_um(20));
    is_whole(&found, &holes, &shafts);
    let pairs: Vec<(usize, usize)> = found
        .pairs
        .iter()
        .map(|one| (one.hole, one.shaft))
        .collect();
    assert_eq!(pairs, [(1, 2), (2, 0), (0, 1)]);
    let clearances: Vec<Length> = found.pairs.iter().map(|one| one.clearance).collect();
    assert_eq!(clearances, um(&[23, 26, 26]));
}

#[test]
fn the_ones_left_over_are_those_that_fit_worst() {
    // One shaft is far too small, one a little: by hand.
    let holes = um(&[25_010, 25_012]);
    let shafts = um(&[24_900, 24_990, 24_992, 24_999]);
    let found = nearest_pairing(&holes, &shafts, Length::from_um(20));
    is_whole(&found, &holes, &shafts);
    let left: Vec<usize> = found.shafts_left.iter().map(|(at, _)| *at).collect();
    assert_eq!(left, [0, 3]);
    assert_eq!(off(&found, Length::from_um(20)), 0);
    assert!(
        found
            .shafts_left
            .iter()
            .all(|(_, why)| *why == LeftOver::NoOther)
    );
    // Turned round: more holes than shafts.
    let found = nearest_pairing(
        &um(&[25_100, 25_010, 25_012, 25_001]),
        &um(&[24_990, 24_992]),
        Length::from_um(20),
    );
    let left: Vec<usize> = found.holes_left.iter().map(|(at, _)| *at).collect();
    assert_eq!(left, [3, 0]);
}

#[test]
fn most_pairs_leave_each_other_part_with_its_reason() {
    // 25 H7/g6: clearance 7 to 41 µm (ISO 286-1).
    let range = (Length::from_um(7), Length::from_um(41));
    let holes = um(&[25_000, 25_010, 25_021]);
    let shafts = um(&[24_993, 24_999, 24_950]);
    let found = most_pairing(&holes, &shafts, range);
    is_whole(&found, &holes, &shafts);
    let pairs: Vec<(usize, usize)> = found
        .pairs
        .iter()
        .map(|one| (one.hole, one.shaft))
        .collect();
    assert_eq!(pairs, [(0, 0), (1, 1)]);
    assert_eq!(found.holes_left, [(2, LeftOver::TooLoose)]);
    assert_eq!(found.shafts_left, [(2, LeftOver::TooLoose)]);
    let tight = most_pairing(&um(&[25_000]), &um(&[24_999]), range);
    assert_eq!(tight.holes_left, [(0, LeftOver::TooTight)]);
    assert_eq!(tight.shafts_left, [(0, LeftOver::TooTight)]);
    let none = most_pairing(&um(&[25_000]), &[], range);
    assert_eq!(none.holes_left, [(0, LeftOver::NoOther)]);
    let between = most_pairing(&um(&[25_000]), &um(&[24_900, 24_999]), range);
    assert_eq!(between.holes_left, [(0, LeftOver::NoneBetween)]);
    // Exactly on both ends counts.
    let ends = most_pairing(&um(&[25_007, 25_041]), &um(&[25_000, 25_000]), range);
    assert_eq!(ends.pairs.len(), 2);
    assert_eq!(most_pairing(&[], &[], range), Pairing::default());
    assert_eq!(nearest_pairing(&[], &[], Length::ZERO), Pairing::default());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_500))]

    #[test]
    fn no_pairing_is_nearer(
        holes in prop::collection::vec(0_i64..60, 0..7),
        shafts in prop::collection::vec(0_i64..60, 0..7),
        wanted in -10_i64..30,
    ) {
        let (bores, pins) = (um(&holes), um(&shafts));
        let found = nearest_pairing(&bores, &pins, Length::from_um(wanted));
        is_whole(&found, &bores, &pins);
        prop_assert_eq!(found.pairs.len(), holes.len().min(shafts.len()));
        let cost = |hole: usize, shaft: usize| -((holes[hole] - shafts[shaft] - wanted).abs());
        let least = match holes.len() <= shafts.len() {
            true => best(holes.len(), shafts.len(), false, &cost),
            false => best(shafts.len(), holes.len(), false, &|shaft, hole| cost(hole, shaft)),
        };
        prop_assert_eq!(off(&found, Length::from_um(wanted)), -1_000 * least);
    }

    #[test]
    fn as_many_of_each_are_best_by_squares_too(
        both in prop::collection::vec((0_i64..60, 0_i64..60), 1..7),
        wanted in -10_i64..30,
    ) {
        let (holes, shafts): (Vec<i64>, Vec<i64>) = both.into_iter().unzip();
        let found = nearest_pairing(&um(&holes), &um(&shafts), Length::from_um(wanted));
        let square = |um: i64| um * um;
        let ours: i64 = found
            .pairs
            .iter()
            .map(|pair| square(pair.clearance.as_nm() / 1_000 - wanted))
            .sum();
        let cost = |hole: usize, shaft: usize| -square(holes[hole] - shafts[shaft] - wanted);
        prop_assert_eq!(ours, -best(holes.len(), shafts.len(), false, &cost));
    }

    #[test]
    fn no_pairing_has_more_pairs_in_the_range(
        holes in prop::collection::vec(0_i64..40, 0..7),
        shafts in prop::collection::vec(0_i64..40, 0..7),
        least in -10_i64..20,
        width in 0_i64..20,
    ) {
        let (bores, pins) = (um(&holes), um(&shafts));
        let range = (Length::from_um(least), Length::from_um(least + width));
        let found = most_pairing(&bores, &pins, range);
        is_whole(&found, &bores, &pins);
        prop_assert!(found.pairs.iter().all(|pair| (range.0..=range.1).contains(&pair.clearance)));
        let counts = |hole: usize, shaft: usize| {
            i64::from((least..=least + width).contains(&(holes[hole] - shafts[shaft])))
        };
        let most = best(holes.len(), shafts.len(), true, &counts);
        prop_assert_eq!(found.pairs.len() as i64, most);
    }
}

#[cfg(unix)]
mod program {
    use crate::support::program::Shop;

    const TABLE: &str = "part,kind,size\nH1,hole,25.018\nS1,shaft,24.985\nH2,hole,25.004\n\
                         S2,shaft,24.992\nH3,hole,25.011\nS3,shaft,24.981\n";

    fn pairs(line: &serde_json::Value) -> Vec<[String; 3]> {
        let all = line["pairs"].as_array().unwrap().iter();
        let text = |value: &serde_json::Value| value.as_str().unwrap().to_owned();
        all.map(|one| [&one["hole"], &one["shaft"], &one["clearance"]].map(text))
            .collect()
    }

    #[test]
    fn the_command_puts_a_table_together() {
        let shop = Shop::new();
        let answer = shop.run(&["pair", "--json", "25 H7/g6"], TABLE);
        assert_eq!((answer.lines.len(), answer.code), (1, 0), "{}", answer.text);
        let line = &answer.lines[0];
        // 25 H7/g6: 7 to 41 µm (ISO 286-1), so that 24 is wanted.
        assert_eq!(line["wanted_clearance"], "0.024");
        let expected = [
            ["H2", "S3", "0.023"],
            ["H3", "S1", "0.026"],
            ["H1", "S2", "0.026"],
        ];
        assert_eq!(pairs(line), expected.map(|one| one.map(str::to_owned)));
        assert_eq!(
            (&line["min_clearance"], &line["max_clearance"]),
            (&"0.007".into(), &"0.041".into())
        );
        assert_eq!(line["in_range"], 3);
        // One hole is far too large: with the most pairs it is left, with its reason.
        let more = TABLE.replace("25.004", "25.400");
        let args = ["pair", "--json", "--objective", "most", "25 H7/g6"];
        let answer = shop.run(&args, &more);
        let line = &answer.lines[0];
        assert_eq!((pairs(line).len(), answer.code), (2, 0), "{line}");
        let left = &line["holes_left"][0];
        assert_eq!(
            (&left["part"], &left["why"]),
            (&"H2".into(), &"too_loose".into())
        );
        let nearest = shop.run(&["pair", "25 H7/g6"], &more);
        assert_eq!(nearest.code, 1);
        assert!(
            nearest.text.contains("2 of 3 pairs keep 25 H7/g6"),
            "{}",
            nearest.text
        );
        let wanted = shop.run(&["pair", "--json", "--wanted", "-0,005", "25 H7/g6"], TABLE);
        assert_eq!(wanted.lines[0]["wanted_clearance"], "-0.005");
    }

    #[test]
    fn what_is_no_table_of_parts_says_where() {
        let shop = Shop::new();
        let code = |fit: &str, table: &str| {
            let answer = shop.run(&["pair", "--json", fit], table);
            let error = &answer.lines[0]["error"];
            let word = error["code"].as_str().unwrap().to_owned();
            (
                word,
                error["message"].as_str().unwrap().to_owned(),
                answer.code,
            )
        };
        for (table, word, part) in [
            ("", "no_parts", "no part"),
            ("part,kind,size\n", "no_parts", "no part"),
            ("part,size\na,20\n", "column_missing", "kind"),
            ("part,kind,size,day\n", "column_unknown", "day"),
            (
                "part,kind,size\na,hole,20.0\nb,pin,20\n",
                "kind_unknown",
                "Line 3",
            ),
            ("part,kind,size\n,hole,20.0\n", "part_missing", "Line 2"),
            (
                "part,kind,size,kind\na,hole,20,hole\n",
                "column_twice",
                "twice",
            ),
            // A decimal comma among commas would be another size.
            (
                "part,kind,size\na,hole,25,004\n",
                "wrong_field_count",
                "Line 2: It has 4 fields",
            ),
            (
                "part,kind,size\na;hole,25.004\n",
                "wrong_field_count",
                "Line 2: It has 2 fields",
            ),
        ] {
            let (found, message, exit) = code("25 H7/g6", table);
            assert_eq!((found.as_str(), exit), (word, 2), "{table}: {message}");
            assert!(message.contains(part), "{table}: {message}");
        }
        let (_, message, exit) = code("25 H7/g6", "part,kind,size\na,hole,big\n");
        assert!(message.starts_with("Line 2") && exit == 2, "{message}");
        assert_eq!(code("25 H7", "").0, "not_a_fit");
        assert_eq!(code("M10-6H/6g", "").0, "not_a_fit");
    }
}

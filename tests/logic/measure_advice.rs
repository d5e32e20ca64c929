//! Advice for a batch: numbers against independent computations, the funnel against its published
//! result, and the words against the numbers.

// Whole numbers as floats, which are exact.
#![allow(clippy::float_cmp, clippy::cast_possible_truncation)]

use crate::statistics_cases::{case, cases, near, number, numbers};
use crate::statistics_made::Made;
use fitledger::measure::{
    ADVICE_PARTS_MIN, Dial, DialReads, LeaveReason, LimitAhead, OffsetAdvice, ProcessStands,
    SamplingReason, cannot_hold, learned_allowance, limit_ahead, measurement_share, offset_advice,
    process_stands, sampling_advice,
};
use fitledger::quantity::Length;
use fitledger::statistics::{Limits as ShapeLimits, LineSums, capability, trend};
use fitledger::tolerance::{Derivation, Limits, Surface};
use serde_json::Value;

const FILE: &str = include_str!("../tables/advice.json");

fn limits(lower_nm: i64, upper_nm: i64) -> Limits {
    let length = |nm| Some(Length::from_nm(nm));
    Limits::new(length(lower_nm), length(upper_nm), Derivation::Stated).unwrap()
}

fn nm(case: &Value, key: &str) -> i64 {
    case[key]
        .as_i64()
        .unwrap_or_else(|| panic!("{}: no {key}", case["id"]))
}

fn sums(values: &[f64]) -> LineSums {
    let mut sums = LineSums::new();
    for (at, value) in (1..).zip(values) {
        sums.add(at, value.round() as i64).unwrap();
    }
    sums
}

#[test]
fn drifts_reach_their_limits_where_the_reference_says() {
    let (mut told, mut far) = (0, 0);
    for case in cases(FILE) {
        if case["guard_nm"].is_null() {
            continue;
        }
        let values = numbers(&case["values_nm"]);
        let newest = u32::try_from(values.len()).unwrap();
        let line = trend(&values).unwrap();
        let expected = |key: &str| number(&case["expected"][key]);
        near(
            "chance of the slope",
            line.slope_p,
            expected("slope_p"),
            1e-6,
        );
        let stands = process_stands(&sums(&values), newest).unwrap();
        near("next", stands.next_nm, expected("next_nm"), 1e-12);
        near("noise", stands.noise_nm, expected("noise_nm"), 1e-8);
        assert!(stands.drift_nm.is_some());
        let limits = limits(nm(&case, "lower_nm"), nm(&case, "upper_nm"));
        let guard = Length::from_nm(nm(&case, "guard_nm"));
        let ahead = limit_ahead(&line, &limits, guard, newest).unwrap();
        if expected("at") > f64::from(newest) * 6.0 {
            assert_eq!(ahead, None, "too far ahead to be told");
            far += 1;
            continue;
        }
        let ahead = ahead.unwrap();
        assert_eq!(f64::from(ahead.part), expected("at").ceil());
        assert_eq!(f64::from(ahead.earliest), expected("earliest").floor());
        assert_eq!(ahead.latest.map(f64::from), Some(expected("latest").ceil()));
        assert_eq!(f64::from(ahead.single), expected("single").ceil());
        let limit = match ahead.is_upper {
            true => limits.upper().unwrap() - guard,
            false => limits.lower().unwrap() + guard,
        };
        assert_eq!(ahead.limit, limit);
        told += 1;
    }
    assert_eq!((told, far), (2, 1));
}

#[test]
fn a_mean_has_the_reference_s_interval_where_nothing_drifts() {
    for id in ["steady, off the middle", "steady, in the middle"] {
        let case = case(FILE, id);
        let stands = process_stands(&sums(&numbers(&case["values_nm"])), 99).unwrap();
        assert_eq!(stands.drift_nm, None);
        near(
            id,
            stands.next_nm,
            number(&case["expected"]["mean_nm"]),
            1e-12,
        );
        near(
            id,
            stands.noise_nm,
            number(&case["expected"]["half_nm"]),
            1e-8,
        );
        let limits = limits(20_002_000, 20_015_000);
        let advice = offset_advice(&stands, &limits, Surface::Outside, None).unwrap();
        let is_off = id == "steady, off the middle";
        assert_eq!(
            matches!(advice, OffsetAdvice::Give(_)),
            is_off,
            "{advice:?}"
        );
    }
}

#[test]
fn an_allowance_is_the_reference_s_tolerance_interval_rounded_outward() {
    let case = case(FILE, "polishing takes off");
    let changes: Vec<Length> = case["changes_nm"]
        .as_array()
        .unwrap()
        .iter()
        .map(|one| Length::from_nm(one.as_i64().unwrap()))
        .collect();
    let expected = |key: &str| number(&case["expected"][key]);
    let step = Length::from_um(1);
    let found = learned_allowance(&changes, Surface::Outside, step).unwrap();
    near(
        "deviation",
        found.deviation_nm,
        expected("deviation_nm"),
        1e-9,
    );
    let um = |nm: f64| nm / 1e3;
    let whole = |length: Length| length.as_nm_f64() / 1e3;
    assert_eq!(whole(found.mean), um(expected("mean_nm")).round());
    assert_eq!(
        whole(found.least),
        um(expected("mean_nm") - expected("reach_nm")).floor()
    );
    assert_eq!(
        whole(found.most),
        um(expected("mean_nm") + expected("reach_nm")).ceil()
    );
    assert_eq!(found.leave, Some(Length::from_um(6)));
    assert_eq!(found.tighten, Length::from_um(3));
    // A bore from which metal comes off gets larger; a shaft that grows leaves nothing.
    let bigger: Vec<Length> = changes.iter().map(|one| -*one).collect();
    let bore = learned_allowance(&bigger, Surface::Inside, step).unwrap();
    assert_eq!(bore.leave, Some(Length::from_um(6)));
    let plated = learned_allowance(&bigger, Surface::Outside, step).unwrap();
    assert_eq!((plated.leave, plated.mean), (None, Length::from_um(6)));
    assert!(learned_allowance(&changes[..4], Surface::Outside, step).is_err());
    let sentence = found.sentence();
    for part in [
        "10 parts",
        "−0.006 on average",
        "between −0.009 and −0.003",
        "Leave 0.006",
    ] {
        assert!(sentence.contains(part), "{sentence}");
    }
    // Where nothing is to be left it says why, and never of a length that it got metal.
    let ends_of = |changes: &[Length], surface| {
        let found = learned_allowance(changes, surface, step).unwrap();
        let sentence = found.sentence();
        let ends = sentence.rsplit_once("confidence). ").unwrap().1;
        (found.leave, ends.to_owned())
    };
    let added = "It adds metal: nothing is to be left for it.";
    assert_eq!(ends_of(&bigger, Surface::Outside), (None, added.to_owned()));
    let level: Vec<Length> = changes.iter().chain(&bigger).copied().collect();
    assert_eq!(
        ends_of(&level, Surface::Outside).1,
        "On average it takes no metal: nothing is to be left for it."
    );
    for changes in [&changes, &bigger, &level] {
        let (leave, ends) = ends_of(changes, Surface::Length);
        assert!(
            leave.is_none() && ends.starts_with("Metal has no side here"),
            "{ends}"
        );
    }
}

/// How a machinist adjusts who follows a rule; the spread of what comes out, over that of chance.
fn funnel(seed: u64, parts: usize, mut rule: impl FnMut(&[f64]) -> Option<f64>) -> (f64, usize) {
    let mut made = Made::new(seed);
    let (mut setting, mut row, mut all, mut turns) = (0.0, Vec::new(), Vec::new(), 0);
    for _ in 0..parts {
        let value: f64 = setting + made.one();
        all.push(value);
        row.push(value);
        if let Some(change) = rule(&row) {
            setting += change;
            row.clear();
            turns += 1;
        }
    }
    let variance = all.iter().map(|value| value * value).sum::<f64>() / parts as f64;
    (variance, turns)
}

/// In thousandths of the spread around a middle at 20 mm.
fn advised(row: &[f64], row_max: usize) -> Option<f64> {
    const SIGMA_NM: f64 = 10_000.0;
    if row.len() < ADVICE_PARTS_MIN || row.len() > row_max {
        return None;
    }
    let values: Vec<f64> = row.iter().map(|one| 2e7 + SIGMA_NM * one).collect();
    let stands = process_stands(&sums(&values), u32::try_from(row.len()).unwrap()).unwrap();
    let limits = limits(19_900_000, 20_100_000);
    match offset_advice(&stands, &limits, Surface::Length, None).unwrap() {
        OffsetAdvice::Give(offset) => Some(offset.on_dimension.as_nm_f64() / SIGMA_NM),
        OffsetAdvice::Leave { .. } => None,
    }
}

/// W. E. Deming, Out of the Crisis (1986), chapter 11 (from memory): a process in its middle that is
/// corrected by each deviation has twice the variance; left alone it has its own.
#[test]
fn no_advice_is_given_inside_noise_and_correcting_it_would_double_the_variance() {
    let parts = 20_000;
    let (alone, _) = funnel(1, parts, |_| None);
    let (meddled, turns) = funnel(1, parts, |row| row.last().map(|last| -last));
    assert_eq!(turns, parts);
    // Three standard deviations of a variance of so many values: 3 sqrt(2/20000) = 0.03; those of
    // the corrected row are neighbours' differences, sqrt(3/2) as much, of 2.
    assert!((alone - 1.0).abs() < 0.03, "{alone}");
    assert!((meddled - 2.0).abs() < 0.08, "{meddled}");
    // Batches of 25 parts, each advised after every part.
    let (mut worst, mut turned): (f64, usize) = (0.0, 0);
    for batch in 0..800 {
        let (_, turns) = funnel(batch, 25, |row| advised(row, 25));
        turned += usize::from(turns > 0);
        worst = worst.max(turns as f64);
    }
    // Looked at 21 times at 1 in 500 each, of which neighbours mostly agree: below 42 in 1000.
    assert!(
        turned > 0 && turned < 34,
        "{turned} of 800 batches were meddled with"
    );
    let (advised_variance, _) = funnel(1, parts, |row| advised(row, 60));
    assert!(advised_variance < 1.04, "{advised_variance}");
}

#[test]
fn a_process_that_is_off_is_brought_back_once() {
    let mut found = 0;
    for seed in 0..200 {
        let mut made = Made::new(seed);
        let row: Vec<f64> = (0..12).map(|_| 2.0 + made.one()).collect();
        if let Some(change) = (ADVICE_PARTS_MIN..=12).find_map(|n| advised(&row[..n], 99)) {
            assert!(change < 0.0 && change > -4.5, "{change}");
            found += 1;
        }
    }
    assert!(found > 190, "{found} of 200");
}

fn stands(next_nm: f64, noise_nm: f64) -> ProcessStands {
    ProcessStands {
        parts: 8,
        next_nm,
        noise_nm,
        drift_nm: None,
    }
}

fn given(advice: OffsetAdvice) -> fitledger::measure::Offset {
    match advice {
        OffsetAdvice::Give(offset) => offset,
        leave => panic!("{leave:?}"),
    }
}

#[test]
fn an_offset_is_told_as_the_dial_reads() {
    let limits = limits(20_002_000, 20_015_000); // middle 20.0085
    let um = Length::from_um;
    let nm = Length::from_nm;
    let dial = |reads, step| Some(Dial { reads, step });
    // 6.9 µm above the middle.
    let off = stands(20_015_400.0, 2_000.0);
    let plain = given(offset_advice(&off, &limits, Surface::Outside, None).unwrap());
    assert_eq!(
        (plain.on_dimension, plain.on_tool, plain.on_dial),
        (um(-6), um(-3), None)
    );
    assert_eq!(plain.off, nm(6_900));
    assert!(
        plain
            .sentence()
            .contains("−0.006 on the diameter, −0.003 on the radius"),
        "{plain:?}"
    );
    let radius = dial(DialReads::Radius, um(2));
    let found = given(offset_advice(&off, &limits, Surface::Outside, radius).unwrap());
    assert_eq!(found.on_dial, Some((DialReads::Radius, um(-2))));
    assert_eq!(found.on_dimension, um(-4));
    let diameter = dial(DialReads::Diameter, um(5));
    let found = given(offset_advice(&off, &limits, Surface::Outside, diameter).unwrap());
    assert_eq!(found.on_dial, Some((DialReads::Diameter, um(-5))));
    assert_eq!(found.line(), "offset −0.005 on the dial (diameter)");
    // A bore that is too small gets larger: the sign is that of the dimension.
    let small = stands(20_001_000.0, 2_000.0);
    let found = given(offset_advice(&small, &limits, Surface::Inside, None).unwrap());
    assert_eq!((found.on_dimension, found.on_tool), (um(6), um(3)));
    let found = given(offset_advice(&small, &limits, Surface::Length, None).unwrap());
    assert_eq!((found.on_dimension, found.on_tool), (um(7), um(7)));
    assert_eq!(found.line(), "offset +0.007");
    // A coarse dial cannot do it; nor does chance ask for it; nor is there a middle.
    let coarse = dial(DialReads::Radius, um(20));
    let advice = offset_advice(&off, &limits, Surface::Outside, coarse).unwrap();
    assert!(matches!(
        advice,
        OffsetAdvice::Leave {
            reason: LeaveReason::BelowStep(_),
            ..
        }
    ));
    assert!(
        advice
            .sentence()
            .contains("less than the least step (0.040)"),
        "{}",
        advice.sentence()
    );
    let noisy = offset_advice(
        &stands(20_015_400.0, 7_000.0),
        &limits,
        Surface::Outside,
        None,
    );
    let noisy = noisy.unwrap();
    assert!(matches!(
        noisy,
        OffsetAdvice::Leave {
            reason: LeaveReason::Noise,
            ..
        }
    ));
    let expected = "Give no offset. The process stands 6.9 µm above the middle (8 parts); chance \
                    alone makes 7.0 µm, and correcting chance adds to the spread.";
    assert_eq!(noisy.sentence(), expected);
    let one_sided = Limits::new(None, Some(um(12)), Derivation::Stated).unwrap();
    assert_eq!(offset_advice(&off, &one_sided, Surface::Length, None), None);
}

#[test]
fn few_parts_and_steady_ones_reach_nothing() {
    let limits = limits(20_002_000, 20_015_000);
    let guard = Length::ZERO;
    let straight = |n: i32| -> Vec<f64> {
        let size = |at: i32| 20_003_100.0 + 500.0 * f64::from(at) + f64::from(at % 2);
        (1..=n).map(size).collect()
    };
    for n in 3..=4 {
        let line = trend(&straight(n)).unwrap();
        assert_eq!(limit_ahead(&line, &limits, guard, 4), Ok(None), "{n}");
        let few = process_stands(&sums(&straight(n)), 4);
        assert_eq!(few.unwrap_err().code(), "too_few");
    }
    let line = trend(&straight(6)).unwrap();
    let ahead = limit_ahead(&line, &limits, guard, 6).unwrap().unwrap();
    assert_eq!((ahead.part, ahead.is_upper), (24, true));
    // A limit that is passed already lies at the next part, never behind.
    let passed = limit_ahead(&line, &limits, Length::from_um(10), 6)
        .unwrap()
        .unwrap();
    assert_eq!((passed.part, passed.earliest, passed.single), (7, 7, 7));
    let level = trend(&[
        20_008_000.0,
        20_009_000.0,
        20_008_000.0,
        20_009_000.0,
        20_008_000.0,
    ]);
    assert_eq!(limit_ahead(&level.unwrap(), &limits, guard, 5), Ok(None));
    // There is no lower limit to reach.
    let only_upper = Limits::new(None, limits.upper(), Derivation::Stated).unwrap();
    let falling: Vec<f64> = straight(6).into_iter().rev().collect();
    let line = trend(&falling).unwrap();
    assert_eq!(limit_ahead(&line, &only_upper, guard, 6), Ok(None));
}

#[test]
fn what_cannot_be_held_is_said_by_the_upper_end() {
    let mut made = Made::new(5);
    let wide: Vec<f64> = made
        .normal(40)
        .iter()
        .map(|one| 20_008_500.0 + 6_000.0 * one)
        .collect();
    let shape = ShapeLimits::new(Some(20_002_000.0), Some(20_015_000.0)).unwrap();
    let found = capability(&wide, &shape, 0.95).unwrap();
    let advice = cannot_hold(&found).unwrap();
    assert!(
        advice.worst_upper < 1.0 && !advice.might_centred,
        "{advice:?}"
    );
    assert!(
        advice
            .sentence()
            .starts_with("This process cannot hold this tolerance")
    );
    // Narrow and far off: an offset comes first.
    let off: Vec<f64> = made
        .normal(40)
        .iter()
        .map(|one| 20_013_500.0 + 1_500.0 * one)
        .collect();
    let advice = cannot_hold(&capability(&off, &shape, 0.95).unwrap()).unwrap();
    assert!(advice.might_centred, "{advice:?}");
    assert!(
        advice.sentence().contains("centre it first"),
        "{}",
        advice.sentence()
    );
    // Narrow and in the middle; and few values that say nothing yet.
    let good: Vec<f64> = made
        .normal(40)
        .iter()
        .map(|one| 20_008_500.0 + 1_500.0 * one)
        .collect();
    assert_eq!(cannot_hold(&capability(&good, &shape, 0.95).unwrap()), None);
    assert_eq!(
        cannot_hold(&capability(&wide[..9], &shape, 0.95).unwrap()),
        None
    );
}

#[test]
fn how_often_to_measure_follows_the_drift_or_the_capability() {
    let ahead = LimitAhead {
        part: 60,
        earliest: 50,
        latest: None,
        single: 41,
        limit: Length::from_um(20_013),
        is_upper: true,
        drift_nm: 120.0,
        parts: 12,
        confidence: 0.95,
    };
    let found = sampling_advice(Some(&ahead), None, false, 12);
    assert_eq!(found.every, 7); // (41 - 12)/4
    assert_eq!(found.because, SamplingReason::Drift { single: 41 });
    assert_eq!(sampling_advice(Some(&ahead), None, false, 40).every, 1);
    let mut made = Made::new(9);
    let shape = ShapeLimits::new(Some(20_002_000.0), Some(20_015_000.0)).unwrap();
    let good: Vec<f64> = made
        .normal(60)
        .iter()
        .map(|one| 20_008_500.0 + 1_000.0 * one)
        .collect();
    let ample = capability(&good, &shape, 0.95).unwrap();
    assert_eq!(sampling_advice(None, Some(&ample), false, 60).every, 5);
    assert_eq!(sampling_advice(None, Some(&ample), true, 60).every, 1);
    assert_eq!(
        sampling_advice(None, None, false, 60).because,
        SamplingReason::NotProved
    );
    let sentence = ahead.sentence();
    for part in [
        "grows by 0.1 µm a part",
        "at part 60",
        "20.013",
        "upper",
        "from part 50 on",
    ] {
        assert!(sentence.contains(part), "{sentence}");
    }
}

#[test]
fn the_gauge_s_share_leaves_the_parts_own_spread() {
    let um = Length::from_um;
    // s = 5, s_r = 3, step 12: variance 9 + 144/12 = 21 of 25; 2 are left.
    let found = measurement_share(5_000.0, Some(um(3)), um(12), 1).unwrap();
    near("share", found.share, 21.0 / 25.0, 1e-12);
    near("process", found.process_nm.unwrap(), 2_000.0, 1e-12);
    // Means of three readings: a third of it.
    let found = measurement_share(5_000.0, Some(um(3)), um(12), 3).unwrap();
    near("share of means", found.share, 7.0 / 25.0, 1e-12);
    let all = measurement_share(1_000.0, Some(um(3)), um(1), 1).unwrap();
    assert_eq!((all.share, all.process_nm), (1.0, None));
    assert!(
        all.sentence().contains("Measuring alone"),
        "{}",
        all.sentence()
    );
    assert_eq!(
        measurement_share(0.0, None, um(1), 1).unwrap_err().code(),
        "all_equal"
    );
}

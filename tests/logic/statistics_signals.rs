//! The eight tests against the cases, their run lengths, and the watch against the whole chart.

use crate::statistics_cases::{json_cases, numbers};
use fitledger::statistics::{
    RunLengths, Share, SignalTest, StatisticsError, TestSet, Watch, signals,
};
use proptest::prelude::*;
use serde_json::Value;

const NOWHERE: [u64; 0] = [];

/// The points (counted from 1) at which a test signals.
fn points(z: &[f64], lengths: RunLengths, test: SignalTest) -> Vec<u64> {
    let found = signals(z, lengths, 0.0, 1.0).unwrap();
    let of_test = found.iter().filter(|signal| signal.test == test);
    of_test.map(|signal| signal.point as u64 + 1).collect()
}

fn whole(list: &Value) -> Vec<u64> {
    let list = list.as_array().map(Vec::as_slice).unwrap_or_default();
    list.iter().map(|at| at.as_u64().unwrap()).collect()
}

#[test]
fn all_sequences_signal_where_they_should_and_nowhere_else() {
    let mut seen = [0; 8];
    for case in json_cases(include_str!("../tables/out_of_control_tests.json"), 17) {
        let (z, name) = (numbers(&case["z"]), &case["id"]);
        let expected = case["expected_signals"].as_object().unwrap();
        for test in SignalTest::ALL {
            let key = format!("test_{}", test.number());
            let found = points(&z, RunLengths::NELSON, test);
            let wanted = expected.get(&key).map(whole).unwrap_or_default();
            assert_eq!(found, wanted, "{name}: {key}");
            seen[usize::from(test.number()) - 1] += found.len();
        }
        let variant = |one_side, trend| RunLengths {
            one_side: Some(one_side),
            trend: Some(trend),
            ..RunLengths::NELSON
        };
        let variants = [
            ("test_2_run_of_8", variant(8, 6), SignalTest::OneSide),
            ("test_2_run_of_7", variant(7, 6), SignalTest::OneSide),
            ("test_3_trend_of_7_points", variant(9, 7), SignalTest::Trend),
        ];
        assert_eq!(case["variants"].as_object().unwrap().len(), variants.len());
        for (key, lengths, test) in variants {
            assert_eq!(lengths.set(), TestSet::Own);
            let wanted = whole(&case["variants"][key]);
            assert_eq!(points(&z, lengths, test), wanted, "{name}: {key}");
        }
    }
    assert!(seen.iter().all(|signals| *signals > 0), "{seen:?}");
}

#[test]
fn signals_are_the_same_upside_down_and_on_any_scale() {
    for case in json_cases(include_str!("../tables/out_of_control_tests.json"), 17) {
        let z = numbers(&case["z"]);
        let found = signals(&z, RunLengths::NELSON, 0.0, 1.0).unwrap();
        // 25.013 mm and 2 micrometres; turned over.
        let sizes: Vec<f64> = z.iter().map(|z| 25.013 - 0.002 * z).collect();
        let turned = signals(&sizes, RunLengths::NELSON, 25.013, 0.002).unwrap();
        assert_eq!(found, turned, "{}", case["id"]);
    }
}

#[test]
fn a_point_on_a_line_is_not_beyond_it() {
    let lengths = RunLengths::NELSON;
    assert_eq!(points(&[3.0, -3.0], lengths, SignalTest::Beyond), NOWHERE);
    assert_eq!(
        points(&[2.0, 2.0, 2.0], lengths, SignalTest::NearLimit),
        NOWHERE
    );
    assert_eq!(points(&[1.0; 5], lengths, SignalTest::OffCentre), NOWHERE);
    // On the centre line is on no side.
    let mut run = [0.5; 10];
    assert_eq!(points(&run, lengths, SignalTest::OneSide), [9, 10]);
    run[4] = 0.0;
    assert_eq!(points(&run, lengths, SignalTest::OneSide), NOWHERE);
    // On the line of one standard deviation is within it.
    assert_eq!(points(&[1.0; 15], lengths, SignalTest::Quiet), [15]);
    assert_eq!(
        points(&[-1.0, 1.0].repeat(4), lengths, SignalTest::Mixed),
        NOWHERE
    );
    // Mixed wants both sides among the last eight.
    let one_side = [[-1.5].repeat(2), [1.5].repeat(8)].concat();
    assert_eq!(points(&one_side, lengths, SignalTest::Mixed), [8, 9]);
}

#[test]
fn the_reported_point_lies_in_the_zone_and_pairs_need_no_third() {
    let lengths = RunLengths::NELSON;
    assert_eq!(
        points(&[2.5, 2.5, 0.1], lengths, SignalTest::NearLimit),
        [2]
    );
    assert_eq!(
        points(&[2.5, 0.1, 0.1, 2.5], lengths, SignalTest::NearLimit),
        NOWHERE
    );
    let four = [1.5, 1.5, 1.5, 1.5, 0.1, 1.5];
    assert_eq!(points(&four, lengths, SignalTest::OffCentre), [4, 6]);
}

#[test]
fn equal_neighbours_end_a_trend_and_an_alternation() {
    let lengths = RunLengths::NELSON;
    let mut swings = [0.1, 0.2].repeat(8);
    assert_eq!(
        points(&swings, lengths, SignalTest::Alternating),
        [14, 15, 16]
    );
    swings[7] = swings[6];
    assert_eq!(points(&swings, lengths, SignalTest::Alternating), NOWHERE);
    let falling: Vec<f64> = (0..8).map(|k| 0.4 - 0.1 * f64::from(k)).collect();
    assert_eq!(points(&falling, lengths, SignalTest::Trend), [6, 7, 8]);
}

#[test]
fn the_set_is_named_by_its_run_lengths() {
    assert_eq!(RunLengths::NELSON.set(), TestSet::Nelson);
    assert_eq!(RunLengths::EIGHT_ON_ONE_SIDE.set(), TestSet::EightOnOneSide);
    assert_eq!(RunLengths::SEVENS.set(), TestSet::Sevens);
    let none = RunLengths {
        one_side: None,
        ..RunLengths::SEVENS
    };
    assert_eq!(none.set(), TestSet::Own);
    // The lengths by which the sets differ, and what is switched off in them.
    let eight = RunLengths::EIGHT_ON_ONE_SIDE;
    assert_eq!(points(&[0.5; 9], eight, SignalTest::OneSide), [8, 9]);
    assert_eq!(points(&[2.5; 2], eight, SignalTest::NearLimit), [2]);
    assert_eq!(points(&[1.5; 4], eight, SignalTest::OffCentre), [4]);
    assert_eq!(
        points(&[0.5; 7], RunLengths::SEVENS, SignalTest::OneSide),
        [7]
    );
    let rising: Vec<f64> = (0..20).map(|k| f64::from(k) * 0.01).collect();
    assert_eq!(
        points(&rising[..7], RunLengths::SEVENS, SignalTest::Trend),
        [7]
    );
    assert_eq!(points(&rising, eight, SignalTest::Trend), NOWHERE);
    assert_eq!(points(&[0.5; 20], none, SignalTest::OneSide), NOWHERE);
    assert_eq!(
        points(&[0.5; 20], RunLengths::SEVENS, SignalTest::Quiet),
        NOWHERE
    );
}

#[test]
fn settings_and_points_that_cannot_be_are_refused() {
    let refused =
        |lengths, centre, deviation| Watch::new(lengths, centre, deviation).unwrap_err().code();
    let nelson = RunLengths::NELSON;
    assert_eq!(refused(nelson, 0.0, 0.0), "all_equal");
    for deviation in [-1.0, f64::NAN, f64::INFINITY] {
        assert_eq!(refused(nelson, 0.0, deviation), "out_of_range");
        assert_eq!(refused(nelson, f64::NAN, 1.0), "out_of_range");
    }
    for run in [0, 1] {
        let lengths = RunLengths {
            quiet: Some(run),
            ..nelson
        };
        assert_eq!(refused(lengths, 0.0, 1.0), "out_of_range");
    }
    for (points, among) in [(0, 3), (4, 3), (2, 0), (2, 65)] {
        let lengths = RunLengths {
            near_limit: Some(Share { points, among }),
            ..nelson
        };
        assert_eq!(refused(lengths, 0.0, 1.0), "out_of_range");
    }
    let mut watch = Watch::new(nelson, 0.0, 1.0).unwrap();
    watch.add(0.5).unwrap();
    let before = watch.clone();
    let bad = StatisticsError::NotFinite { index: 1 };
    assert_eq!(watch.add(f64::NAN), Err(bad));
    assert_eq!(watch, before, "a refused point leaves no trace");
    assert_eq!(watch.count(), 1);
}

/// The tests read from their words, each over all points anew.
fn by_words(z: &[f64], lengths: &RunLengths, test: SignalTest) -> Vec<usize> {
    let last = |at: usize, run: u32| (at + 1).checked_sub(run as usize).map(|from| &z[from..=at]);
    let run = |at: usize, length: Option<u32>, whole: &dyn Fn(&[f64]) -> bool| {
        length.is_some_and(|run| last(at, run).is_some_and(whole))
    };
    let crowded = |at: usize, share: Option<Share>, line: f64| {
        share.is_some_and(|share| {
            let from = (at + 1).saturating_sub(share.among as usize);
            [1.0, -1.0].iter().any(|side| {
                let inside = z[from..=at].iter().filter(|z| side * **z > line).count();
                side * z[at] > line && inside >= share.points as usize
            })
        })
    };
    let all = |window: &[f64], holds: &dyn Fn(f64) -> bool| window.iter().all(|z| holds(*z));
    let steps = |window: &[f64]| -> Vec<f64> { window.windows(2).map(|w| w[1] - w[0]).collect() };
    let signals = |at: usize| match test {
        SignalTest::Beyond => z[at].abs() > 3.0,
        SignalTest::OneSide => run(at, lengths.one_side, &|w| {
            all(w, &|z| z > 0.0) || all(w, &|z| z < 0.0)
        }),
        SignalTest::Trend => run(at, lengths.trend, &|w| {
            all(&steps(w), &|s| s > 0.0) || all(&steps(w), &|s| s < 0.0)
        }),
        SignalTest::Alternating => run(at, lengths.alternating, &|w| {
            let steps = steps(w);
            all(&steps, &|s| s.abs() > 0.0) && steps.windows(2).all(|s| s[0] * s[1] < 0.0)
        }),
        SignalTest::NearLimit => crowded(at, lengths.near_limit, 2.0),
        SignalTest::OffCentre => crowded(at, lengths.off_centre, 1.0),
        SignalTest::Quiet => run(at, lengths.quiet, &|w| all(w, &|z| z.abs() <= 1.0)),
        SignalTest::Mixed => run(at, lengths.mixed, &|w| {
            let both = w.iter().any(|z| *z > 0.0) && w.iter().any(|z| *z < 0.0);
            both && all(w, &|z| z.abs() > 1.0)
        }),
    };
    (0..z.len()).filter(|at| signals(*at)).collect()
}

fn any_lengths() -> impl Strategy<Value = RunLengths> {
    let run = || prop::option::of(2_u32..10);
    let share = || {
        let pair = (1_u32..6).prop_flat_map(|among| (1..=among, Just(among)));
        prop::option::of(pair.prop_map(|(points, among)| Share { points, among }))
    };
    let parts = (run(), run(), run(), share(), share(), run(), run());
    parts.prop_map(
        |(one_side, trend, alternating, near_limit, off_centre, quiet, mixed)| RunLengths {
            one_side,
            trend,
            alternating,
            near_limit,
            off_centre,
            quiet,
            mixed,
        },
    )
}

proptest! {
    #[test]
    fn the_watch_says_at_each_point_what_the_words_say(
        // Halves, so that points lie on lines and neighbours are equal.
        halves in prop::collection::vec(-7_i32..=7, 0..80),
        lengths in prop_oneof![any_lengths(), Just(RunLengths::NELSON)],
    ) {
        let z: Vec<f64> = halves.iter().map(|half| f64::from(*half) / 2.0).collect();
        let mut watch = Watch::new(lengths, 0.0, 1.0).unwrap();
        let told: Vec<_> = z.iter().map(|z| watch.add(*z).unwrap()).collect();
        let whole = signals(&z, lengths, 0.0, 1.0).unwrap();
        for test in SignalTest::ALL {
            let expected = by_words(&z, &lengths, test);
            let watched: Vec<usize> =
                (0..z.len()).filter(|at| told[*at].contains(test)).collect();
            prop_assert_eq!(&watched, &expected, "{:?}", test);
            let listed = whole.iter().filter(|signal| signal.test == test);
            let listed: Vec<usize> = listed.map(|signal| signal.point).collect();
            prop_assert_eq!(&listed, &expected, "{:?}", test);
        }
        prop_assert_eq!(told.iter().map(|t| t.iter().count()).sum::<usize>(), whole.len());
        prop_assert!(told.iter().all(|t| t.is_empty() == (t.iter().count() == 0)));
    }
}

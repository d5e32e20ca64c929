//! The study of a row, what the Bench is told of it, and what two sessions of the same parts teach.

// Whole numbers as floats, which are exact.
#![allow(clippy::cast_possible_truncation)]

use fitledger::gauge::Origin;
use fitledger::journal::ValueUnit;
use fitledger::measure::{Dial, DialReads, OffsetAdvice};
use fitledger::quantity::Length;
use fitledger::session::{
    Batch, BatchBrief, BatchWatch, Circumstances, Incoming, StudyOptions, StudyShape, batch_advice,
    signal_words, study,
};
use fitledger::statistics::{
    Limits as ShapeLimits, RunLengths, Sides, SignalTest, capability, histogram, individuals_chart,
    mean_and_range_chart, tolerance_interval, trend,
};

use crate::session_random::{random_incoming, random_plan};
use crate::statistics_cases::near;
use crate::statistics_made::Made;
use crate::support::bench::{Bench, feature, plan, typed};
use crate::support::journals::Seeded;

fn parts_of(callout: &str, more: &str, values: &[String]) -> Bench {
    let mut opened = plan(&feature("A", callout, more));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    for value in values {
        bench.reads(value);
    }
    bench
}

/// Values around a middle, in whole micrometres.
fn made(seed: u64, n: usize, middle_um: f64, sigma_um: f64) -> Vec<i64> {
    let values = Made::new(seed).normal(n);
    values
        .iter()
        .map(|one| (middle_um + sigma_um * one).round() as i64)
        .collect()
}

fn texts(values_um: &[i64]) -> Vec<String> {
    values_um
        .iter()
        .map(|um| Length::from_um(*um).to_mm())
        .collect()
}

fn nm(values_um: &[i64]) -> Vec<f64> {
    values_um.iter().map(|um| *um as f64 * 1e3).collect()
}

#[test]
fn a_study_holds_what_the_statistics_say_of_the_same_list() {
    let values = made(3, 40, 20_008.5, 2.0);
    let bench = parts_of("20 k6", "", &texts(&values));
    let (state, batch) = (bench.state(), Batch::of(bench.state()));
    let (series, target) = (&batch.series()[0], &state.setup().targets[0]);
    let options = StudyOptions::usual(Circumstances::of(state, 0));
    let found = study(series, target, &options);
    let list = nm(&values);
    let shape = ShapeLimits::new(Some(20_002_000.0), Some(20_015_000.0)).unwrap();
    let StudyShape::Normal {
        overall,
        within,
        normality,
        interval,
    } = &found.shape
    else {
        panic!("{:?}", found.shape);
    };
    let expected = capability(&list, &shape, 0.95).unwrap();
    let overall = overall.as_ref().unwrap();
    near(
        "Ppk",
        overall.worst.estimate.unwrap(),
        expected.worst.estimate.unwrap(),
        1e-9,
    );
    near(
        "its upper end",
        overall.worst.upper,
        expected.worst.upper,
        1e-9,
    );
    assert!(
        within
            .as_ref()
            .unwrap()
            .as_ref()
            .unwrap()
            .sigma
            .method
            .is_within()
    );
    let expected = tolerance_interval(&list, Sides::Both, 0.99, 0.95).unwrap();
    assert_eq!(interval.as_ref().unwrap(), &expected);
    assert!(
        normality.resolution.as_ref().unwrap().too_coarse,
        "steps of half a deviation"
    );
    let limits = individuals_chart(&list).unwrap().limits;
    assert_eq!(found.individuals.as_ref().unwrap(), &limits);
    assert_eq!(
        (found.subgroups.is_none(), found.unit),
        (true, ValueUnit::Nanometre)
    );
    assert_eq!(
        found.histogram.as_ref().unwrap(),
        &histogram(&list, 1_000.0, 7).unwrap()
    );
    near(
        "slope",
        found.trend.as_ref().unwrap().slope,
        trend(&list).unwrap().slope,
        1e-6,
    );
    assert_eq!(
        found.counts.go + found.counts.no_go + found.counts.doubt,
        40
    );
    // The limits that judge are those of the first 25 parts.
    let first = individuals_chart(&list[..25]).unwrap().limits.location;
    let judged = found.segments[0].limits.unwrap();
    near(
        "upper control limit",
        judged.location.upper,
        first.upper,
        1e-12,
    );
    assert!(!judged.is_provisional);
}

#[test]
fn under_thirty_values_an_index_is_refused_and_its_interval_told() {
    let bench = parts_of("20 k6", "", &texts(&made(4, 29, 20_008.5, 2.0)));
    let batch = Batch::of(bench.state());
    let options = StudyOptions::usual(Circumstances::of(bench.state(), 0));
    let found = study(
        &batch.series()[0],
        &bench.state().setup().targets[0],
        &options,
    );
    let StudyShape::Normal { overall, .. } = found.shape else {
        panic!()
    };
    let worst = overall.unwrap().worst;
    assert_eq!(worst.estimate, None);
    assert!(worst.lower < worst.upper);
}

#[test]
fn subgroups_are_the_points_of_a_part_and_given_up_parts_are_left_out_of_their_chart() {
    let values = made(5, 24, 20_008.5, 1.0);
    let bench = parts_of("20 k6", "points = 3", &texts(&values));
    let batch = Batch::of(bench.state());
    let options = StudyOptions::usual(Circumstances::of(bench.state(), 0));
    let target = &bench.state().setup().targets[0];
    let found = study(&batch.series()[0], target, &options);
    let list = nm(&values);
    let groups: Vec<&[f64]> = list.chunks(3).collect();
    let expected = mean_and_range_chart(&groups).unwrap().limits;
    assert_eq!(found.subgroups.unwrap().unwrap(), expected);
    let StudyShape::Normal { within, .. } = found.shape else {
        panic!()
    };
    assert!(within.is_none(), "the form of a part is not what parts do");
    assert_eq!(found.summary.unwrap().count, 24);
}

#[test]
fn a_runout_is_bounded_by_zero_and_never_taken_as_normal() {
    let values: Vec<i64> = made(6, 40, 0.0, 6.0).iter().map(|um| um.abs()).collect();
    let bench = parts_of("0.03 max", "surface = \"length\"", &texts(&values));
    let batch = Batch::of(bench.state());
    let target = &bench.state().setup().targets[0];
    let with = Circumstances::of(bench.state(), 0);
    let found = study(&batch.series()[0], target, &StudyOptions::usual(with));
    let StudyShape::Bounded(Ok(shape)) = &found.shape else {
        panic!("{:?}", found.shape)
    };
    assert_eq!(shape.n, 40);
    assert_eq!(found.advice.cannot_hold, None);
    // A length that is far from zero is not.
    let values = made(6, 12, 11_950.0, 6.0);
    let bench = parts_of("12 max", "surface = \"length\"", &texts(&values));
    let batch = Batch::of(bench.state());
    let target = &bench.state().setup().targets[0];
    let found = study(&batch.series()[0], target, &StudyOptions::usual(with));
    assert!(matches!(found.shape, StudyShape::Normal { .. }));
}

#[test]
fn near_zero_a_lower_limit_above_it_keeps_a_size_a_size() {
    // Less than four standard deviations above zero: a thin wall between limits, and the same with none.
    let um: Vec<i64> = (0..30).map(|at| 10 + (at * 8) % 31).collect();
    let shape = |callout: &str| {
        let bench = parts_of(callout, "", &texts(&um));
        let batch = Batch::of(bench.state());
        let target = &bench.state().setup().targets[0];
        let with = Circumstances::of(bench.state(), 0);
        study(&batch.series()[0], target, &StudyOptions::usual(with)).shape
    };
    let wall = shape("0.05 ±0.04");
    assert!(matches!(wall, StudyShape::Normal { .. }), "{wall:?}");
    let runout = shape("0.05 ±0.05");
    assert!(matches!(runout, StudyShape::Bounded(_)), "{runout:?}");
}

#[test]
fn parts_with_signals_are_marked_in_their_order() {
    let um = [
        &[20_007, 20_008, 20_009, 20_008].repeat(4)[..],
        &[20_014, 20_008, 20_014],
    ]
    .concat();
    let bench = parts_of("20 k6", "", &texts(&um));
    let brief = BatchBrief::of(bench.state());
    let marked = &brief.series(0).unwrap().marked;
    assert_eq!(marked.as_slice(), [17, 19], "{marked:?}");
}

#[test]
fn degenerate_rows_say_why_there_is_no_number() {
    for values in [vec![], vec![20_008], vec![20_008; 6]] {
        let bench = parts_of("20 k6", "", &texts(&values));
        let batch = Batch::of(bench.state());
        let target = &bench.state().setup().targets[0];
        let options = StudyOptions::usual(Circumstances::of(bench.state(), 0));
        let found = study(&batch.series()[0], target, &options);
        let StudyShape::Normal {
            overall, interval, ..
        } = found.shape
        else {
            panic!()
        };
        let code = if values.is_empty() {
            "too_few"
        } else {
            "all_equal"
        };
        assert_eq!(overall.unwrap_err().code(), code, "{values:?}");
        assert!(interval.is_err());
        assert_eq!(found.histogram.is_err(), values.is_empty());
        assert_eq!(found.trend.is_err(), values.len() < 3);
        assert_eq!((found.advice.ahead, found.advice.cannot_hold), (None, None));
        assert!(found.signals.is_empty());
    }
}

#[test]
fn one_mishap_is_not_the_process_and_many_are() {
    let advised = |values: &[i64]| {
        let bench = parts_of("20 k6", "", &texts(values));
        let batch = Batch::of(bench.state());
        let with = Circumstances::of(bench.state(), 0);
        batch_advice(&batch.series()[0], &bench.state().setup().targets[0], &with)
    };
    let good = made(8, 14, 20_008.5, 1.0);
    assert_eq!(advised(&good).cannot_hold, None);
    let mut mishap = good.clone();
    mishap[12] = 19_940;
    assert_eq!(advised(&mishap).cannot_hold, None);
    let wide = made(8, 14, 20_008.5, 9.0);
    assert!(advised(&wide).cannot_hold.is_some());
}

#[test]
fn the_guard_band_and_the_dial_of_the_session_are_in_the_advice() {
    let values: Vec<i64> = (0..10).map(|at| 20_004 + at + at % 2).collect();
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.advance_always = true;
    opened.dial = "radius 0.001".to_owned();
    let mut bench = Bench::new(opened);
    for value in texts(&values) {
        bench.reads(&value);
    }
    let with = Circumstances::of(bench.state(), 0);
    // u = 1.291 µm of `mic` (its budget stands in bench_view.rs), z of 95 %: 2.124 µm, rounded up.
    assert_eq!(with.guard, Length::from_nm(2_124));
    assert_eq!(with.repeatability, Some(Length::from_nm(500)));
    let step = Length::from_um(1);
    assert_eq!(
        with.dial,
        Some(Dial {
            reads: DialReads::Radius,
            step
        })
    );
    let batch = Batch::of(bench.state());
    let advice = batch_advice(&batch.series()[0], &bench.state().setup().targets[0], &with);
    let ahead = advice.ahead.unwrap();
    assert_eq!(ahead.limit, Length::from_um(20_015) - with.guard);
    let Some(OffsetAdvice::Give(offset)) = advice.offset else {
        panic!("{advice:?}")
    };
    assert!(offset.on_dimension.is_negative(), "{offset:?}");
    // The Bench's line has both: when, and what to do about it.
    let brief = BatchBrief::of(bench.state());
    let line = brief.series(0).unwrap().advice.clone().unwrap();
    assert_eq!(line, format!("{} · {}", ahead.line(), offset.line()));
    assert_eq!(offset.on_dial.unwrap().1 * 2, offset.on_dimension);
}

#[test]
fn signals_are_told_in_words_with_their_run_lengths() {
    let words: Vec<String> = SignalTest::ALL
        .iter()
        .map(|test| signal_words(*test, &RunLengths::NELSON))
        .collect();
    let expected = [
        "beyond a control limit",
        "9 in a row on one side",
        "6 in a row steadily up or down",
        "14 in a row up and down",
        "2 of 3 near the same control limit",
        "4 of 5 off the centre",
        "15 in a row close to the centre",
        "8 in a row off both ways",
    ];
    assert_eq!(words, expected);
    assert!(signal_words(SignalTest::Trend, &RunLengths::SEVENS).starts_with("7 in a row"));
}

/// What the Bench is told, event by event, is what the state gives anew. The circumstances of
/// advice (the temperature's age) may have changed since a row was last told: signals, limits and
/// parts may not.
#[test]
fn the_brief_that_follows_is_the_brief_of_the_state() {
    let mut signals = 0;
    for session in 0..40 {
        let mut random = Seeded(77_000 + session);
        let mut opened = random_plan(&mut random);
        opened.parts = None;
        opened.advance_always = true;
        let mut bench = Bench::new(opened);
        let mut watch = BatchWatch::of(bench.state());
        for _ in 0..40 {
            let known = bench.readings();
            let next = match random.below(3) {
                0 => random_incoming(&mut random, &known),
                _ => {
                    let um = 20_005 + i64::try_from(random.below(8)).unwrap();
                    let mut reading = typed("mic", &Length::from_um(um).to_mm());
                    reading.origin = Origin::Sent;
                    Incoming::Reading(reading)
                }
            };
            for one in bench.take(vec![next]).recorded {
                watch.follow(bench.state(), &one.event);
            }
            let (brief, fresh) = (watch.brief(), BatchBrief::of(bench.state()));
            for target in 0..watch.batch().series().len() {
                let (old, new) = (brief.series(target).unwrap(), fresh.series(target).unwrap());
                let seen = |one: &fitledger::session::SeriesBrief| {
                    let marked = one.marked.clone();
                    (
                        one.part,
                        one.signals,
                        one.from_part,
                        one.limits,
                        marked,
                        one.signal.clone(),
                    )
                };
                assert_eq!(seen(old), seen(new), "session {session}");
                signals += old.marked.len();
            }
        }
    }
    assert!(signals > 40, "{signals}");
}

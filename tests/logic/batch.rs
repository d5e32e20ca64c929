//! The rows of numbers over the parts: kept up event by event they equal what the state gives anew,
//! and both equal their definition, worked out here from plain lists.

// Whole numbers as floats, which are exact.
#![allow(clippy::cast_possible_truncation)]

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId};
use fitledger::journal::{Event, Outcome, ValueUnit};
use fitledger::measure::VerdictWord;
use fitledger::quantity::Length;
use fitledger::session::{
    BASELINE, Batch, BatchSeries, BreakKind, Changed, Command, Incoming, PartStanding, RANGES_MIN,
    State, check_reading,
};
use fitledger::statistics::{
    RunLengths, SignalTest, fit_line, individuals_chart, mean_moving_range, signals, summary,
};

use crate::session_random::{random_incoming, random_plan};
use crate::support::bench::{Bench, feature, fresh, plan, typed};
use crate::support::journals::Seeded;

const SESSIONS: u64 = 150;
const STEPS: usize = 70;

/// What comes next: mostly a reading that fits what is asked, or anything at all.
fn incoming(random: &mut Seeded, state: &State, readings: &[u64]) -> Incoming {
    let asked = state
        .current_target()
        .or((!state.setup().targets.is_empty()).then_some(0))
        .and_then(|at| state.setup().targets.get(at));
    let middle = asked.and_then(|target| match target.limits {
        fitledger::session::TargetLimits::Length(limits) => limits.upper().or(limits.lower()),
        _ => None,
    });
    let command = match random.below(16) {
        0..=8 => {
            let Some(middle) = middle else {
                return random_incoming(random, readings);
            };
            let off = i64::try_from(random.below(15)).unwrap() - 11;
            let text = (middle + Length::from_um(off)).to_mm();
            let gauge = if middle > Length::from_mm(25) {
                "caliper"
            } else {
                "mic"
            };
            return Incoming::Reading(typed(gauge, &text));
        }
        9 => Command::ChangeTool {
            note: "new insert".to_owned(),
        },
        10 => Command::ApplyOffset {
            amount: Length::from_um(-8),
            note: "T3 X".to_owned(),
        },
        11 => Command::StartNextPart,
        12 => Command::TakeUpPart {
            part: 1 + u32::try_from(random.below(state.parts().len().max(1))).unwrap(),
        },
        13 if !readings.is_empty() => Command::VoidReading {
            reading: match random.below(3) {
                0 => None,
                _ => Some(readings[random.below(readings.len())]),
            },
            reason: "wrong".to_owned(),
        },
        _ => return random_incoming(random, readings),
    };
    Incoming::Command(command)
}

#[test]
fn any_session_followed_event_by_event_equals_computing_again() {
    let asked = std::env::var("FITLEDGER_TEST_SEED").ok();
    let seed = asked
        .and_then(|seed| seed.parse().ok())
        .unwrap_or(20_261_126_u64);
    let (mut points, mut splits, mut earlier, mut doubtful) = (0, 0, 0, 0);
    for session in 0..SESSIONS {
        let case = format!("seed {seed}, session {session}");
        let mut random = Seeded(seed.wrapping_mul(1_000).wrapping_add(session));
        let mut opened = random_plan(&mut random);
        opened.parts = None;
        opened.advance_always = true;
        let mut bench = Bench::new(opened.clone());
        // One follows each event as it comes, the other several at a time.
        let mut state = fresh(&opened);
        let mut batch = Batch::of(&state);
        let mut late = Batch::of(bench.state());
        for _ in 0..STEPS {
            let known = bench.readings();
            let all = (0..1 + random.below(3))
                .map(|_| incoming(&mut random, bench.state(), &known))
                .collect();
            for one in bench.take(all).recorded {
                state
                    .apply(one.sequence, one.moment.mono_ms, &one.event)
                    .unwrap();
                let before: Vec<BatchSeries> = batch.series().to_vec();
                let changed = batch.follow(&state, &one.event);
                assert_eq!(batch, Batch::of(&state), "{case}: {:?}", one.event);
                for (at, (old, new)) in before.iter().zip(batch.series()).enumerate() {
                    let told = changed == Changed::All || changed == Changed::One(at);
                    assert!(told || old == new, "{case}: {changed:?} {:?}", one.event);
                    let is_earlier = old.points().len() > new.points().len();
                    earlier += usize::from(is_earlier);
                }
                late.follow(bench.state(), &one.event);
            }
            assert_eq!(late, Batch::of(bench.state()), "{case}");
        }
        for series in batch.series() {
            check_definition(&state, series, &case);
            points += series.points().len();
            splits += series.segments().len() - 1;
            doubtful += series
                .points()
                .iter()
                .filter(|point| point.is_in_doubt)
                .count();
        }
    }
    println!("{points} points, {splits} splits, {earlier} taken out, {doubtful} in doubt");
    assert!(points > 1_500 && splits > 300 && earlier > 100 && doubtful > 10);
}

/// The row as its definition says, from plain lists.
fn check_definition(state: &State, series: &BatchSeries, case: &str) {
    let mut expected: Vec<(u32, Vec<i64>, bool)> = Vec::new();
    let mut left_out = 0;
    for part in state.parts() {
        let one = &part.characteristics[series.target];
        let values: Vec<i64> = one
            .points
            .iter()
            .filter(|point| point.outcome.is_some())
            .map(|point| point.value_at_20)
            .collect();
        left_out += u32::from(!one.selected && values.is_empty());
        let is_check = series.unit == ValueUnit::Check;
        let no_go = Some(Outcome::Verdict(VerdictWord::NoGo));
        let is_bad = one.points.iter().any(|point| point.outcome == no_go);
        if (values.len() == one.points.len() || is_bad) && !is_check {
            let is_in_doubt = one.points.iter().any(|point| point.is_in_doubt);
            expected.push((part.number, values, is_in_doubt));
        }
    }
    let found: Vec<(u32, Vec<i64>, bool)> = series
        .points()
        .iter()
        .map(|point| (point.part, point.values().to_vec(), point.is_in_doubt))
        .collect();
    assert_eq!(found, expected, "{case}");
    let counts = series.counts();
    assert_eq!(counts.not_selected, left_out, "{case}");
    let all = counts.selected() + counts.not_selected;
    assert_eq!(all as usize, state.parts().len(), "{case}");
    let counted: Vec<f64> = expected
        .iter()
        .filter(|(_, _, in_doubt)| !in_doubt)
        .flat_map(|(_, values, _)| values.iter().map(|value| *value as f64))
        .collect();
    match (series.summary(), summary(&counted)) {
        (Ok(found), Ok(expected)) => {
            assert_eq!(
                (found.count, found.min as i64),
                (expected.count, expected.min as i64)
            );
            assert!(
                (found.mean - expected.mean).abs() <= 1e-9 * expected.mean.abs(),
                "{case}"
            );
            let apart = found.standard_deviation.unwrap_or(0.0)
                - expected.standard_deviation.unwrap_or(0.0);
            assert!(apart.abs() < 1e-3, "{case}: {found:?} {expected:?}");
        }
        (found, expected) => assert_eq!(found, expected, "{case}"),
    }
    check_rows(series, case);
}

/// Rows, limits and signals as said: from the first parts of each row.
fn check_rows(series: &BatchSeries, case: &str) {
    let splits = |part: u32| {
        let breaks = series.breaks().iter();
        let before = breaks.filter(|one| one.kind != BreakKind::PutBack);
        before
            .map(|one| one.before_part)
            .filter(|before| *before <= part)
            .max()
            .unwrap_or(1)
    };
    let (mut range_sum, mut range_count) = (0.0, 0_u32);
    let mut rest = series.points();
    let mut segments = series.segments().into_iter();
    while let Some(first) = rest.first() {
        let row = splits(first.part);
        let long = rest
            .iter()
            .take_while(|point| splits(point.part) == row)
            .count();
        let (points, next) = rest.split_at(long);
        rest = next;
        let found = segments.next().unwrap();
        assert_eq!(
            (found.from_part, found.start),
            (row, series.points().len() - next.len() - long)
        );
        let counted: Vec<_> = points.iter().filter(|point| !point.is_in_doubt).collect();
        let values: Vec<f64> = counted.iter().map(|point| point.value as f64).collect();
        let first: Vec<f64> = values.iter().copied().take(BASELINE as usize).collect();
        if first.len() > 1 {
            let steps = (first.len() - 1) as f64;
            range_sum += mean_moving_range(&first).unwrap() * steps;
            range_count += u32::try_from(first.len() - 1).unwrap();
        }
        let expected_none = range_count < RANGES_MIN || first.is_empty();
        assert_eq!(found.limits.is_none(), expected_none, "{case}");
        let tests: Vec<SignalTest> = match found.limits {
            None => vec![SignalTest::Trend, SignalTest::Alternating],
            Some(limits) => {
                let centre = first.iter().sum::<f64>() / first.len() as f64;
                let d2 = 2.0 / std::f64::consts::PI.sqrt();
                let coarsest = counted
                    .iter()
                    .take(BASELINE as usize)
                    .map(|point| point.step);
                let several = counted.iter().take(BASELINE as usize);
                let several = several.map(|point| point.values().len()).max().unwrap();
                let half_step = coarsest.max().unwrap() as f64 / 2.0 / several as f64;
                let deviation = (range_sum / f64::from(range_count) / d2).max(half_step);
                assert!((limits.location.centre - centre).abs() < 1e-2, "{case}");
                assert!(
                    (limits.deviation - deviation).abs() < 1e-2,
                    "{case}: {limits:?}"
                );
                let upper = centre + 3.0 * deviation;
                assert!((limits.location.upper - upper).abs() < 1e-1, "{case}");
                SignalTest::ALL.to_vec()
            }
        };
        let (centre, deviation) = found.limits.map_or((0.0, 1e100), |limits| {
            (limits.location.centre, limits.deviation)
        });
        let all = signals(&values, RunLengths::NELSON, centre, deviation).unwrap_or_default();
        for (at, point) in counted.iter().enumerate() {
            let here = all.iter().filter(|signal| signal.point == at);
            let expected: Vec<SignalTest> = here
                .map(|signal| signal.test)
                .filter(|test| tests.contains(test))
                .collect();
            assert_eq!(point.signals.iter().collect::<Vec<_>>(), expected, "{case}");
        }
        assert!(
            points
                .iter()
                .all(|point| !point.is_in_doubt || point.signals.is_empty())
        );
        if next.is_empty() {
            let places: Vec<f64> = counted.iter().map(|point| f64::from(point.part)).collect();
            let (found, expected) = (series.line_sums().line(), fit_line(&places, &values));
            assert_eq!(found.is_ok(), expected.is_ok(), "{case}");
            if let (Ok(found), Ok(expected)) = (found, expected) {
                let near = |a: f64, b: f64| (a - b).abs() <= 1e-6 * b.abs().max(1.0);
                assert!(near(found.slope, expected.slope), "{case}");
                assert!(near(found.residual_sd, expected.residual_sd), "{case}");
            }
        }
    }
}

/// A session of one characteristic whose parts came out so.
fn parts(callout: &str, more: &str, values: &[&str]) -> (Bench, Batch) {
    let mut opened = plan(&feature("A", callout, more));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    let mut batch = Batch::of(bench.state());
    for value in values {
        measure(&mut bench, &mut batch, value);
    }
    (bench, batch)
}

fn measure(bench: &mut Bench, batch: &mut Batch, value: &str) {
    for event in bench.events("mic", value) {
        batch.follow(bench.state(), &event);
    }
}

fn asks(bench: &mut Bench, batch: &mut Batch, command: Command) {
    for event in bench.asks(command) {
        batch.follow(bench.state(), &event);
    }
}

const STEADY: [&str; 10] = [
    "20.008", "20.010", "20.007", "20.009", "20.008", "20.010", "20.008", "20.007", "20.009",
    "20.008",
];

#[test]
fn a_part_beyond_the_limits_is_the_part_that_signals() {
    let (mut bench, mut batch) = parts("20 k6", "", &STEADY);
    let row = batch.series()[0].segment();
    let list: Vec<f64> = STEADY
        .iter()
        .map(|text| text.parse::<f64>().unwrap() * 1e6)
        .collect();
    let chart = individuals_chart(&list).unwrap().limits;
    let limits = row.limits.unwrap();
    assert!((limits.location.upper - chart.location.upper).abs() < 1e-3);
    assert!((limits.location.lower - chart.location.lower).abs() < 1e-3);
    assert!(limits.is_provisional && !limits.is_coarse);
    assert!(
        batch.series()[0]
            .points()
            .iter()
            .all(|point| point.signals.is_empty())
    );
    measure(&mut bench, &mut batch, "20.017");
    let newest = batch.series()[0].points().last().unwrap();
    assert_eq!(newest.part, 11);
    assert!(newest.signals.contains(SignalTest::Beyond), "{newest:?}");
    // Voided, it is as if it had never been; measured again, the part is judged anew.
    for event in bench.void(None) {
        batch.follow(bench.state(), &event);
    }
    assert_eq!(batch.series()[0].points().len(), 10);
    assert_eq!(batch.series()[0].segment(), row);
    measure(&mut bench, &mut batch, "20.008");
    let newest = batch.series()[0].points().last().unwrap();
    assert_eq!((newest.part, newest.signals.is_empty()), (11, true));
}

#[test]
fn six_parts_that_grow_steadily_signal_before_there_are_limits() {
    let grown = ["20.003", "20.004", "20.005", "20.006", "20.007", "20.008"];
    let (_, batch) = parts("20 k6", "", &grown);
    let points = batch.series()[0].points();
    let found: Vec<bool> = points.iter().map(|one| !one.signals.is_empty()).collect();
    assert_eq!(found, [false, false, false, false, false, true]);
    assert!(points[5].signals.contains(SignalTest::Trend));
    assert_eq!(batch.series()[0].segment().limits, None);
}

#[test]
fn a_tool_change_begins_a_row_and_the_spread_is_kept() {
    let (mut bench, mut batch) = parts("20 k6", "", &STEADY);
    let note = "new insert".to_owned();
    asks(&mut bench, &mut batch, Command::ChangeTool { note });
    // The part at hand had been measured: the new tool cuts the next one.
    for value in ["20.004", "20.005"] {
        measure(&mut bench, &mut batch, value);
    }
    let series = &batch.series()[0];
    let rows = series.segments();
    assert_eq!((rows.len(), rows[1].from_part, rows[1].start), (2, 11, 10));
    let (old, new) = (rows[0].limits.unwrap(), rows[1].limits.unwrap());
    assert!((new.location.centre - 20_004_500.0).abs() < 1e-6, "{new:?}");
    assert_eq!((old.ranges, new.ranges, new.parts), (9, 10, 2));
    assert_eq!(series.segment_points().len(), 2);
    assert!(series.points().iter().all(|one| one.signals.is_empty()));
    assert_eq!(series.line_sums().count(), 2);
    // So does an offset; a part that was put back does not.
    let amount = Length::from_um(4);
    asks(&mut bench, &mut batch, Command::TakeOut);
    let method = "dial indicator".to_owned();
    asks(
        &mut bench,
        &mut batch,
        Command::PutBack {
            method,
            runout: None,
        },
    );
    measure(&mut bench, &mut batch, "20.005");
    assert_eq!(batch.series()[0].segments().len(), 2);
    let note = "T1 X".to_owned();
    asks(
        &mut bench,
        &mut batch,
        Command::ApplyOffset { amount, note },
    );
    measure(&mut bench, &mut batch, "20.009");
    let series = &batch.series()[0];
    assert_eq!(series.segments().last().unwrap().from_part, 14);
    let kinds: Vec<BreakKind> = series.breaks().iter().map(|one| one.kind).collect();
    let offset = BreakKind::OffsetApplied(amount);
    assert_eq!(kinds, [BreakKind::ToolChanged, BreakKind::PutBack, offset]);
}

#[test]
fn a_tool_changed_amid_a_part_begins_the_row_there_for_what_was_not_measured_yet() {
    let mut opened = plan(&(feature("A", "20 k6", "") + &feature("E", "15 h6", "")));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    let mut batch = Batch::of(bench.state());
    for value in ["20.008", "14.995", "20.007"] {
        measure(&mut bench, &mut batch, value);
    }
    let note = "new insert".to_owned();
    asks(&mut bench, &mut batch, Command::ChangeTool { note });
    for value in ["14.994", "20.006", "14.994"] {
        measure(&mut bench, &mut batch, value);
    }
    // Part 2 had its bearing seat turned by the old tool, its impeller seat by the new one.
    let begins: Vec<u32> = batch
        .series()
        .iter()
        .map(|series| series.segment().from_part)
        .collect();
    assert_eq!(begins, [3, 2]);
    assert_eq!(batch.series()[1].breaks()[0].before_part, 2);
}

#[test]
fn limits_of_means_allow_for_half_a_step_shared_by_the_points() {
    let texts = ["20.008"; 20];
    let (_, batch) = parts("20 k6", "points = 2", &texts);
    let limits = batch.series()[0].segment().limits.unwrap();
    // A step of 1 µm over two points and two: 0.25 µm.
    assert!(
        limits.is_coarse && (limits.deviation - 250.0).abs() < 1e-9,
        "{limits:?}"
    );
}

#[test]
fn what_the_sampling_plan_leaves_out_is_never_good() {
    let text = feature("A", "20 k6", "") + &feature("E", "15 h6", "every = 3");
    let mut opened = plan(&text);
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    let mut batch = Batch::of(bench.state());
    for part in 1..=5 {
        measure(&mut bench, &mut batch, "20.008");
        if part == 1 || part == 4 {
            measure(&mut bench, &mut batch, "14.995");
        }
    }
    let (all, sampled) = (batch.series()[0].counts(), batch.series()[1].counts());
    assert_eq!((all.go, all.not_selected, all.selected()), (5, 0, 5));
    assert_eq!(
        (sampled.go, sampled.not_selected, sampled.selected()),
        (2, 3, 2)
    );
    assert_eq!(
        batch.series()[1].standing(2),
        Some(PartStanding::NotSelected)
    );
    assert_eq!(batch.series()[1].standing(6), None);
    let measured: Vec<u32> = batch.series()[1]
        .points()
        .iter()
        .map(|one| one.part)
        .collect();
    assert_eq!(measured, [1, 4]);
}

#[test]
fn several_points_are_one_part_and_their_mean_is_its_value() {
    let (mut bench, mut batch) = parts("20 k6", "points = 3", &["20.008", "20.009"]);
    assert!(batch.series()[0].points().is_empty());
    assert_eq!(batch.series()[0].counts().open, 1);
    measure(&mut bench, &mut batch, "20.011");
    let part = &batch.series()[0].points()[0];
    // The mean of 8, 9 and 11 µm is 9.333333.
    assert_eq!(part.value, 20_009_333);
    assert_eq!((part.smallest, part.largest), (20_008_000, 20_011_000));
    assert_eq!(part.values(), [20_008_000, 20_009_000, 20_011_000]);
    assert_eq!(batch.series()[0].summary().unwrap().count, 3);
}

#[test]
fn a_part_that_is_given_up_is_not_missing_among_the_others() {
    let mut opened = plan(&feature("A", "20 k6", "points = 3"));
    opened.advance_always = false;
    let mut bench = Bench::new(opened);
    let mut batch = Batch::of(bench.state());
    for value in ["20.008", "20.009", "20.008", "19.990"] {
        measure(&mut bench, &mut batch, value);
    }
    let points = batch.series()[0].points();
    let found: Vec<(u32, i64)> = points.iter().map(|one| (one.part, one.value)).collect();
    assert_eq!(found, [(1, 20_008_333), (2, 19_990_000)]);
    assert_eq!(
        (
            batch.series()[0].counts().go,
            batch.series()[0].counts().no_go
        ),
        (1, 1)
    );
    assert_eq!(batch.series()[0].summary().unwrap().count, 4);
}

#[test]
fn equal_parts_and_coarse_steps_make_no_signals() {
    let (mut bench, mut batch) = parts("20 k6", "", &["20.008"; 12]);
    let limits = batch.series()[0].segment().limits.unwrap();
    assert!(
        limits.is_coarse && (limits.deviation - 500.0).abs() < 1e-9,
        "{limits:?}"
    );
    measure(&mut bench, &mut batch, "20.009");
    let beyond = |batch: &Batch| {
        let newest = batch.series()[0].points().last().unwrap().signals;
        newest.contains(SignalTest::Beyond)
    };
    assert!(!beyond(&batch), "a single step is no signal");
    measure(&mut bench, &mut batch, "20.011");
    assert!(beyond(&batch), "three steps are one");
}

#[test]
fn attribute_checks_count_outcomes_and_have_no_sizes() {
    let text = "[[feature]]\nid = \"T\"\ncallout = \"M8-6H\"\nelements = [\"go_plug\"]\n";
    let mut bench = Bench::new(plan(text));
    let mut batch = Batch::of(bench.state());
    assert_eq!(batch.series()[0].unit, ValueUnit::Check);
    for outcome in [CheckOutcome::Goes, CheckOutcome::DoesNot] {
        let reading = check_reading(CheckEnd::Go, outcome, &GaugeId::new("plug"), outcome.word());
        for recorded in bench.take(vec![Incoming::Reading(reading)]).recorded {
            batch.follow(bench.state(), &recorded.event);
        }
    }
    let series = &batch.series()[0];
    let counts = series.counts();
    assert_eq!(
        (counts.selected(), counts.no_go + counts.doubt),
        (2, 1),
        "{counts:?}"
    );
    assert!(series.points().is_empty() && series.summary().is_err());
    assert_eq!(batch, Batch::of(bench.state()));
}

#[test]
fn no_go_counts_as_what_it_is_until_it_is_good() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.advance_always = false;
    let mut bench = Bench::new(opened);
    let mut batch = Batch::of(bench.state());
    measure(&mut bench, &mut batch, "20.040");
    let found = bench.told.iter().any(|event| {
        let Event::VerdictGiven(verdict) = event else {
            return false;
        };
        verdict.outcome == Outcome::Verdict(VerdictWord::NoGo)
    });
    assert!(found, "{:?}", bench.told);
    assert_eq!(batch.series()[0].counts().no_go, 1);
    for event in bench.void(None) {
        batch.follow(bench.state(), &event);
    }
    assert_eq!(
        (
            batch.series()[0].counts().no_go,
            batch.series()[0].counts().open
        ),
        (0, 1)
    );
    measure(&mut bench, &mut batch, "20.008");
    assert_eq!(
        (
            batch.series()[0].counts().go,
            batch.series()[0].counts().open
        ),
        (1, 0)
    );
}

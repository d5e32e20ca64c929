//! The pages of a characteristic: run, control, histogram, capability, trend, advice.

use fitledger::report::{
    Chart, Layer, Point, Shape as PointShape, Signalled, Stroke as LineStroke,
};
use fitledger::session::{Batch, Circumstances, Snapshot, StudyOptions, study};
use fitledger::statistics::SignalTest;
use fitledger::window::batch_room::BatchPage;
use fitledger::window::view::{BatchPageView, BatchSeen, batch_view};

use super::scenes::{
    GROWN, STEADY, at, parts, room, seen, several, shafts, signals, worked_out, worn,
};
use super::{chart, one, page, text};

fn points_of(chart: &Chart, wanted: PointShape) -> Vec<Point> {
    let found = chart.layers.iter().filter_map(|layer| match layer {
        Layer::Points { at, shape } if *shape == wanted => Some(at.clone()),
        _ => None,
    });
    found.flatten().collect()
}

pub(super) fn signals_of(chart: &Chart) -> Vec<Signalled> {
    let found = chart.layers.iter().filter_map(|layer| match layer {
        Layer::Signals { at, .. } => Some(at.clone()),
        _ => None,
    });
    found.flatten().collect()
}

fn lines_of(chart: &Chart, wanted: LineStroke) -> Vec<f64> {
    let found = chart.layers.iter().filter_map(|layer| match layer {
        Layer::HorizontalLine { y, stroke, .. } if *stroke == wanted => Some(*y),
        Layer::VerticalLine { x, stroke, .. } if *stroke == wanted => Some(*x),
        _ => None,
    });
    found.collect()
}

pub(super) fn near(found: f64, expected: f64) -> bool {
    (found - expected).abs() <= 1e-9 * expected.abs().max(1.0)
}

#[test]
fn the_run_shows_every_part_in_millimetres_with_its_limits_breaks_and_signals() {
    let snapshot = signals();
    let chart = chart(&snapshot, BatchPage::Run);
    assert_eq!(chart.y.title, "Value, mm");
    // 20 k6: 20.002 to 20.015 (ISO 286-2).
    assert_eq!(lines_of(&chart, LineStroke::Limit), [20.002, 20.015]);
    let discs = points_of(&chart, PointShape::Disc);
    let crosses = points_of(&chart, PointShape::Cross);
    assert_eq!((discs.len(), crosses.len()), (19, 1));
    assert_eq!((crosses[0].x, crosses[0].y), (16.0, 20.018));
    // The new insert cut part 17 and those after it.
    assert_eq!(lines_of(&chart, LineStroke::Break), [16.5]);
    let batch = Batch::of(&snapshot.state);
    let expected: Vec<f64> = batch.series()[0]
        .points()
        .iter()
        .filter(|point| !point.signals.is_empty())
        .map(|point| f64::from(point.part))
        .collect();
    let boxed = signals_of(&chart);
    let places: Vec<f64> = boxed.iter().map(|one| one.at.x).collect();
    assert!(expected.contains(&16.0), "{expected:?}");
    assert_eq!(places, expected);
    let newest = boxed.iter().find(|one| near(one.at.x, 16.0)).unwrap();
    assert!(newest.tests.contains(SignalTest::Beyond) && !newest.goes_on);
    let said = text(&page(&snapshot, BatchPage::Run).lines);
    assert!(
        said.contains("Before part 17: tool changed: new insert."),
        "{said}"
    );
    assert!(
        said.contains("Cross: beyond a limit of size (1 of 20)."),
        "{said}"
    );
}

#[test]
fn the_newest_signal_is_said_in_words_before_everything_else() {
    let mut values = STEADY.to_vec();
    values.extend(GROWN);
    let snapshot = parts("20 k6", "", &values);
    for looked_at in [BatchPage::Run, BatchPage::Control] {
        let lines = page(&snapshot, looked_at).lines;
        assert!(lines[0].is_strong);
        let first = &lines[0].text;
        assert!(
            first.starts_with("Part 16 signals: beyond a control limit (test 1), 6 in a row"),
            "{first}"
        );
    }
}

#[test]
fn the_control_chart_has_the_limits_that_its_signals_were_looked_for_with() {
    let mut values = STEADY.to_vec();
    values.extend(GROWN);
    let snapshot = parts("20 k6", "", &values);
    let chart = chart(&snapshot, BatchPage::Control);
    let batch = Batch::of(&snapshot.state);
    let limits = batch.series()[0].segment().limits.unwrap();
    let lines = lines_of(&chart, LineStroke::Control);
    let expected = [limits.location.upper, limits.location.lower].map(|limit| limit / 1e6);
    assert_eq!(lines.len(), 2);
    assert!(
        near(lines[0], expected[0]) && near(lines[1], expected[1]),
        "{lines:?}"
    );
    let boxed = signals_of(&chart);
    assert!(boxed.iter().any(|one| near(one.at.x, 16.0)), "{boxed:?}");
    let said = text(&page(&snapshot, BatchPage::Control).lines);
    assert!(said.contains("Limits: mean of 16 parts"), "{said}");
    assert!(said.contains("provisional"), "{said}");
    // After a tool change the row in force begins anew; its spread is known from before.
    let said = text(&page(&signals(), BatchPage::Control).lines);
    assert!(
        said.contains("begins with part 17 (tool changed)"),
        "{said}"
    );
    assert!(said.contains("Limits: mean of 4 parts"), "{said}");
}

#[test]
fn before_there_are_limits_the_page_says_when_there_will_be_and_draws_none() {
    let snapshot = parts("20 k6", "", &STEADY[..5]);
    for looked_at in [BatchPage::Control, BatchPage::Spread] {
        let chart = chart(&snapshot, looked_at);
        assert!(lines_of(&chart, LineStroke::Control).is_empty());
        let said = text(&page(&snapshot, looked_at).lines);
        assert!(said.contains("before 7 moving ranges"), "{said}");
        assert!(!said.contains("Two values are needed"), "{said}");
    }
    let snapshot = parts("20 k6", "", &STEADY);
    let chart = chart(&snapshot, BatchPage::Spread);
    assert_eq!(points_of(&chart, PointShape::Disc).len(), 9);
    assert_eq!(chart.y.title, "Moving range, mm");
    assert_eq!(lines_of(&chart, LineStroke::Control).len(), 1);
}

#[test]
fn the_histogram_counts_every_value_in_millimetres_and_says_whether_it_may_be_normal() {
    let snapshot = worn();
    let chart = chart(&snapshot, BatchPage::Histogram);
    let bars = chart.layers.iter().filter_map(|layer| match layer {
        Layer::Bars { bars, .. } => Some((
            bars.first()?.from,
            bars.iter().map(|bar| bar.height).sum::<f64>(),
        )),
        _ => None,
    });
    let bars: Vec<(f64, f64)> = bars.collect();
    assert!(near(bars[0].1, 16.0), "{bars:?}");
    assert!((20.0..20.005).contains(&bars[0].0), "{bars:?}");
    let curve = chart.layers.iter().find_map(|layer| match layer {
        Layer::Line {
            at,
            stroke: LineStroke::Fitted,
        } => Some(at.clone()),
        _ => None,
    });
    // The area under the curve is that of the bars: 16 values.
    let curve = curve.unwrap();
    let width = chart.layers.iter().find_map(|layer| match layer {
        Layer::Bars { bars, .. } => bars.first().map(|bar| bar.to - bar.from),
        _ => None,
    });
    let step = curve[1].x - curve[0].x;
    let area: f64 = curve.iter().map(|point| point.y * step).sum();
    assert!((area / width.unwrap() - 16.0).abs() < 0.3, "{area}");
    let said = text(&page(&snapshot, BatchPage::Histogram).lines);
    assert!(
        said.contains("16 values from 20.004 to 20.010, mean 20.0069"),
        "{said}"
    );
    assert!(
        said.contains("Anderson-Darling") || said.contains("too coarse"),
        "{said}"
    );
    assert!(said.contains("99 % of all parts lie between"), "{said}");
}

#[test]
fn under_thirty_values_an_index_is_an_interval_and_never_a_number() {
    let best = |snapshot: &Snapshot| -> Vec<Option<f64>> {
        let chart = chart(snapshot, BatchPage::Capability);
        let found = chart.layers.iter().filter_map(|layer| match layer {
            Layer::Interval { best, .. } => Some(*best),
            _ => None,
        });
        found.collect()
    };
    assert_eq!(best(&worn()), [None; 4]);
    let said = text(&page(&worn(), BatchPage::Capability).lines);
    assert!(said.contains("Fewer than 30 values"), "{said}");
    assert!(
        !said.contains("expected beyond a limit"),
        "a share would be bare too: {said}"
    );
    let many: Vec<&str> = STEADY.iter().cycle().take(40).copied().collect();
    let many = parts("20 k6", "", &many);
    let said = text(&page(&many, BatchPage::Capability).lines);
    assert!(said.contains("expected beyond a limit"), "{said}");
    let found = best(&many);
    assert_eq!(found.len(), 4);
    assert!(found.iter().all(Option::is_some), "{found:?}");
}

#[test]
fn the_trend_says_the_part_at_which_the_limit_is_reached_as_the_study_has_it() {
    let snapshot = worn();
    let batch = Batch::of(&snapshot.state);
    let options = StudyOptions::usual(Circumstances::of(&snapshot.state, 0));
    let target = &snapshot.state.setup().targets[0];
    let found = study(&batch.series()[0], target, &options);
    let ahead = found.advice.ahead.unwrap();
    let view = page(&snapshot, BatchPage::Trend);
    assert_eq!(view.lines[0].text, ahead.sentence());
    assert!(view.lines[0].is_strong);
    assert!(ahead.part > 16 && ahead.part < 40, "{ahead:?}");
    let chart = view.chart.unwrap();
    let band = chart.layers.iter().find_map(|layer| match layer {
        Layer::Band { lower, upper } => Some((lower.clone(), upper.clone())),
        _ => None,
    });
    let (lower, upper) = band.unwrap();
    assert!(
        lower[0].y < upper[0].y && upper[0].y < 20.02,
        "in millimetres"
    );
    let crossing = chart.layers.iter().find_map(|layer| match layer {
        Layer::Interval { y, best, .. } => Some((*y, *best)),
        _ => None,
    });
    let (y, best) = crossing.unwrap();
    // One number everywhere: the part that the advice names, on the limit less its guard band.
    assert!(
        near(y, ahead.limit.as_nm() as f64 / 1e6) && y < 20.015,
        "{y}"
    );
    assert!(
        near(best.unwrap(), f64::from(ahead.part)),
        "{best:?} {ahead:?}"
    );
    let told = text(&view.lines);
    assert!(!told.contains("The line reaches"), "said once: {told}");
    // Without a drift the page says why nothing is predicted.
    let said = text(&page(&parts("20 k6", "", &STEADY), BatchPage::Trend).lines);
    assert!(
        said.contains("No limit is predicted: chance alone"),
        "{said}"
    );
    let said = text(&page(&parts("20 k6", "", &STEADY[..4]), BatchPage::Trend).lines);
    assert!(said.contains("before 5 parts"), "{said}");
}

#[test]
fn advice_stands_with_its_numbers_and_what_is_not_advised_with_its_reason() {
    let snapshot = worn();
    let view = page(&snapshot, BatchPage::Advice);
    assert_eq!(view.chart, None);
    let said = text(&view.lines);
    for part in [
        "Over the last 16 parts",
        "Give",
        "Measure every",
        "Of the spread seen",
    ] {
        assert!(said.contains(part), "{part}: {said}");
    }
    let strong = view.lines.iter().filter(|line| line.is_strong).count();
    assert!(strong >= 2, "{said}");
    let said = text(&page(&parts("20 k6", "", &STEADY), BatchPage::Advice).lines);
    assert!(said.contains("Give no offset."), "{said}");
    assert!(said.contains("No part signals."), "{said}");
    let said = text(&page(&signals(), BatchPage::Advice).lines);
    assert!(said.contains("Part 16 signals"), "{said}");
    assert!(said.contains("No offset is said"), "{said}");
}

#[test]
fn of_several_points_the_worst_is_not_hidden_by_their_mean() {
    let snapshot = several();
    let chart = chart(&snapshot, BatchPage::Run);
    let crosses = points_of(&chart, PointShape::Cross);
    assert_eq!(crosses.len(), 1, "{crosses:?}");
    assert_eq!((crosses[0].x, crosses[0].y), (2.0, 20.018));
    assert!(chart.y.to >= 20.018);
    let upright = chart.layers.iter().filter(
        |layer| matches!(layer, Layer::Line { at, stroke: LineStroke::Fitted } if at.len() == 2),
    );
    assert_eq!(upright.count(), 10);
    let said = text(&page(&snapshot, BatchPage::Run).lines);
    assert!(said.contains("upright lines"), "{said}");
    let ranges = self::chart(&snapshot, BatchPage::Spread);
    assert_eq!(ranges.y.title, "Range, mm");
    let said = text(&page(&snapshot, BatchPage::Capability).lines);
    assert!(said.contains("Cp and Cpk are not said"), "{said}");
}

#[test]
fn where_nothing_is_shown_it_says_why() {
    let one = parts("20 k6", "", &["20.008"]);
    for (looked_at, why) in [
        (BatchPage::Run, "One value shows no spread."),
        (BatchPage::Control, "There are no control limits yet"),
        (BatchPage::Histogram, "1 value from 20.008"),
        (BatchPage::Capability, "There is 1 value;"),
        (BatchPage::Trend, "No limit is predicted."),
        (BatchPage::Advice, "No offset is said"),
    ] {
        let said = text(&page(&one, looked_at).lines);
        assert!(said.contains(why), "{looked_at:?}: {said}");
    }
    let equal = parts("20 k6", "", &["20.008"; 12]);
    for (looked_at, why) in [
        (BatchPage::Run, "All values are 20.008"),
        (BatchPage::Control, "coarser than what varies"),
        (BatchPage::Histogram, "All values are the same"),
        (BatchPage::Capability, "All values are the same"),
        (BatchPage::Trend, "No limit is predicted"),
    ] {
        let said = text(&page(&equal, looked_at).lines);
        assert!(said.contains(why), "{looked_at:?}: {said}");
    }
    let none = parts("20 k6", "", &[]);
    for (looked_at, ..) in BatchPage::ALL {
        if looked_at == BatchPage::Table {
            continue;
        }
        let view = page(&none, looked_at);
        assert_eq!(view.chart, None);
        assert!(
            text(&view.lines).contains("No part has a value"),
            "{looked_at:?}"
        );
        // A plug gives no size: its outcomes are counted.
        let plug = self::one(seen(&shafts(), 2, looked_at));
        assert_eq!(plug.chart, None);
        assert!(
            text(&plug.lines).contains("outcomes are counted"),
            "{looked_at:?}"
        );
        assert_eq!(plug.head.counts, "12 parts: 1 NO-GO, 10 GO, 1 open");
    }
    let room = room(0, BatchPage::Run);
    let view = batch_view(&BatchSeen {
        room: &room,
        facts: None,
        snapshot: None,
        now_ms: 0,
        marker: '.',
        message: None,
    });
    assert!(matches!(&view.page, BatchPageView::Notice(text) if text.contains("No session runs")));
}

#[test]
fn numbers_have_the_marker_that_is_set() {
    let snapshot = worn();
    let looked_at = fitledger::window::batch_run::LookedAt {
        marker: ',',
        ..at(0, BatchPage::Trend)
    };
    let facts = worked_out(&snapshot, looked_at);
    let said = text(&facts.lines);
    assert!(said.contains("20,01") && !said.contains("20.0"), "{said}");
}

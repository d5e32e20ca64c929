//! The Batch room: by value, by keys, by accessibility name, in pictures, and over a running
//! session.
#![allow(clippy::unwrap_used, clippy::panic)]

mod crowded;
mod live;
mod scenes;

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;
use std::sync::Arc;

use eframe::egui::epaint::Shape as Painted;
use eframe::egui::{Pos2, Ui};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::report::{
    Axis, Chart, Layer, Point, Scale, Shape as PointShape, Signalled, Stroke as LineStroke,
};
use fitledger::session::{Batch, Circumstances, Snapshot, State, StudyOptions, study};
use fitledger::statistics::SignalTest;
use fitledger::window::batch_room::{BatchAsked, BatchNow, BatchPage, BatchRoom, ChartForm};
use fitledger::window::batch_run::{BatchJob, BatchOutside, batch_ends};
use fitledger::window::batch_ui::batch_ui;
use fitledger::window::chart_paint_ui::{LaidChart, chart_paint_ui};
use fitledger::window::keys::character_press;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::press::Press;
use fitledger::window::view::{
    BatchOneView, BatchPageView, BatchSeen, BatchTableView, BatchView, Mark, SentenceView,
    batch_now, batch_view,
};

use self::scenes::{
    GROWN, STEADY, at, parts, room, seen, seen_of, several, shafts, signals, worked_out, worn,
};
use crate::support::picture::window;
use crate::support::readable::{Shown, assert_accepted, assert_readable, text_faults};

const SMALL: [f32; 2] = [800.0, 458.0];
const LARGE: [f32; 2] = [1280.0, 778.0];

fn one(view: BatchView) -> BatchOneView {
    match view.page {
        BatchPageView::One(one) => one,
        other => panic!("{other:?}"),
    }
}

fn table(view: BatchView) -> BatchTableView {
    match view.page {
        BatchPageView::Table(table) => table,
        other => panic!("{other:?}"),
    }
}

fn page(snapshot: &Snapshot, page: BatchPage) -> BatchOneView {
    one(seen(snapshot, 0, page))
}

fn chart(snapshot: &Snapshot, looked_at: BatchPage) -> Arc<Chart> {
    page(snapshot, looked_at).chart.unwrap()
}

fn text(lines: &[SentenceView]) -> String {
    let all = lines.iter().map(|line| line.text.as_str());
    all.collect::<Vec<_>>().join("\n")
}

fn points_of(chart: &Chart, wanted: PointShape) -> Vec<Point> {
    let found = chart.layers.iter().filter_map(|layer| match layer {
        Layer::Points { at, shape } if *shape == wanted => Some(at.clone()),
        _ => None,
    });
    found.flatten().collect()
}

fn signals_of(chart: &Chart) -> Vec<Signalled> {
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

fn near(found: f64, expected: f64) -> bool {
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
        (BatchPage::Capability, "There are 1 values"),
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
fn the_table_has_every_part_on_every_characteristic_and_marks_what_is_not_good() {
    let snapshot = shafts();
    let view = table(seen(&snapshot, 0, BatchPage::Table));
    let ids: Vec<&str> = view.columns.iter().map(|one| one.id.as_str()).collect();
    assert_eq!(ids, ["A", "B", "T"]);
    assert_eq!(
        (view.count, view.rows.len(), view.rows[0].part),
        (12, 12, 12)
    );
    let cell = |part: u32, column: usize| {
        let row = view.rows.iter().find(|row| row.part == part).unwrap();
        &row.cells[column]
    };
    assert_eq!(
        (cell(1, 0).text.as_str(), cell(1, 0).mark),
        ("20.008", Mark::Go)
    );
    assert_eq!(cell(1, 0).spoken, "part 1, A: 20.008, GO");
    assert_eq!(
        (cell(11, 0).text.as_str(), cell(11, 0).mark),
        ("20.022", Mark::NoGo)
    );
    assert_eq!(cell(11, 0).tests, "1");
    assert_eq!(
        cell(11, 0).spoken,
        "part 11, A: 20.022, NO-GO, signal of test 1"
    );
    assert_eq!(cell(12, 0).mark, Mark::Doubt);
    assert!(
        cell(12, 0).text.starts_with("20.014"),
        "{}",
        cell(12, 0).text
    );
    // Left out by the sampling plan: said so, and never good.
    assert_eq!(
        (cell(2, 1).text.as_str(), cell(2, 1).mark),
        ("not selected", Mark::NotSelected)
    );
    assert_eq!(
        (cell(4, 1).text.as_str(), cell(4, 1).mark),
        ("14.995", Mark::Go)
    );
    assert_eq!(
        (cell(5, 2).text.as_str(), cell(5, 2).mark),
        ("NO-GO", Mark::NoGo)
    );
    assert_eq!(
        (cell(12, 2).text.as_str(), cell(12, 2).mark),
        ("open", Mark::Open)
    );
    assert_eq!(view.head.counts, "12 parts: 1 NO-GO, 1 DOUBT, 10 GO");
    let sampled = table(seen(&snapshot, 1, BatchPage::Table));
    assert_eq!(sampled.head.counts, "12 parts: 4 GO, 8 not selected");
}

#[test]
fn of_a_long_batch_only_some_screens_of_rows_are_made() {
    let many: Vec<&str> = STEADY.iter().cycle().take(300).copied().collect();
    let snapshot = parts("20 k6", "", &many);
    let facts = worked_out(&snapshot, at(0, BatchPage::Table));
    let room = BatchRoom {
        skipped: 250,
        ..room(0, BatchPage::Table)
    };
    let view = table(batch_view(&seen_of(&room, &facts, &snapshot)));
    assert_eq!(
        (view.count, view.rows.len(), view.rows[0].part),
        (300, 50, 50)
    );
    let room = BatchRoom { skipped: 0, ..room };
    let view = table(batch_view(&seen_of(&room, &facts, &snapshot)));
    assert!((60..200).contains(&view.rows.len()));
    assert_eq!(view.rows[0].part, 300);
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

fn keys(room: &mut BatchRoom, now: BatchNow, keys: &str) -> Vec<BatchAsked> {
    let mut asked = Vec::new();
    for key in keys.chars() {
        let press = match key {
            '⏎' => Press::Enter,
            '⌫' => Press::Backspace,
            '␛' => Press::Escape,
            '↓' => Press::Down,
            '↑' => Press::Up,
            '→' => Press::Right,
            '←' => Press::Left,
            other => character_press(other),
        };
        asked.extend(room.press(&press, now));
    }
    asked
}

const NOW: BatchNow = BatchNow {
    characteristics: 3,
    shown: 4,
    has_more: true,
    has_chart: true,
};

#[test]
fn a_keypad_goes_through_pages_and_characteristics_reads_on_and_leads_back() {
    let mut room = BatchRoom::default();
    assert_eq!((room.page, room.chosen), (BatchPage::Run, 0));
    for (looked_at, key, _) in BatchPage::ALL {
        keys(&mut room, NOW, &key.to_string());
        assert_eq!(room.page, looked_at);
    }
    keys(&mut room, NOW, "9");
    assert_eq!(room.fault.as_deref(), Some("9 is none of the pages."));
    keys(&mut room, NOW, "1");
    assert_eq!(room.fault, None);
    let mut turned = Vec::new();
    for _ in 0..8 {
        keys(&mut room, NOW, "⏎");
        turned.push(room.page);
    }
    assert_eq!(turned.last(), Some(&BatchPage::Run), "once round");
    assert_eq!(
        turned
            .iter()
            .collect::<std::collections::HashSet<_>>()
            .len(),
        8
    );
    keys(&mut room, NOW, "+++++");
    assert_eq!(room.chosen, 2, "not past the end");
    keys(&mut room, NOW, "-");
    assert_eq!(room.chosen, 1);
    keys(&mut room, NOW, "*↓");
    assert_eq!(room.skipped, 5);
    let end = BatchNow {
        has_more: false,
        ..NOW
    };
    keys(&mut room, end, "↓");
    assert_eq!(room.skipped, 5, "nothing below");
    keys(&mut room, end, "*");
    assert_eq!(room.skipped, 0, "* begins again");
    keys(&mut room, NOW, "*-");
    assert_eq!(
        (room.chosen, room.skipped),
        (0, 0),
        "another characteristic from its top"
    );
    assert_eq!(keys(&mut room, NOW, "⌫"), []);
    assert_eq!(room.page, BatchPage::Table);
    keys(&mut room, NOW, "*+");
    assert_eq!(
        (room.chosen, room.skipped),
        (1, 4),
        "the rows of the table stay"
    );
    assert_eq!(keys(&mut room, NOW, "⌫"), [BatchAsked::Bench]);
    assert_eq!(keys(&mut room, NOW, "2."), [BatchAsked::Bench]);
    room.press(&Press::NumLockOff, NOW);
    assert!(room.fault.as_deref().unwrap().contains("Num Lock"));
}

#[test]
fn a_chart_is_kept_by_two_keys_of_a_keypad_and_only_where_there_is_one() {
    let mut room = BatchRoom::default();
    let png = BatchAsked::Keep(ChartForm::Png);
    let svg = BatchAsked::Keep(ChartForm::Svg);
    assert_eq!(keys(&mut room, NOW, "/1"), [png]);
    assert_eq!(keys(&mut room, NOW, "/2"), [svg]);
    assert_eq!(keys(&mut room, NOW, "Ps"), [png, svg]);
    assert_eq!(keys(&mut room, NOW, "/⏎⏎"), [], "Enter chooses nothing");
    assert!(room.is_keeping);
    assert_eq!(keys(&mut room, NOW, "7"), []);
    assert!(room.is_keeping && room.fault.is_some());
    assert_eq!(keys(&mut room, NOW, "⌫"), []);
    assert!(!room.is_keeping);
    let without = BatchNow {
        has_chart: false,
        ..NOW
    };
    for key in ["/", "p", "s"] {
        assert_eq!(keys(&mut room, without, key), []);
        assert!(!room.is_keeping && room.fault.is_some());
    }
    // What the question offers is what is taken.
    let snapshot = worn();
    let facts = worked_out(&snapshot, at(0, BatchPage::Run));
    room.is_keeping = true;
    let offered = batch_view(&seen_of(&room, &facts, &snapshot))
        .question
        .unwrap();
    for key in '0'..='9' {
        let mut one = room.clone();
        let asked = keys(&mut one, NOW, &key.to_string());
        let is_offered = offered.answers.iter().any(|answer| answer.key == key);
        assert_eq!(!asked.is_empty(), is_offered, "{key}");
    }
}

#[test]
fn every_press_is_survived_on_every_page() {
    let snapshot = shafts();
    let mut room = BatchRoom::default();
    let mut random = 7_u64;
    let mut reached = BTreeSet::new();
    let (_, mut side) = batch_ends();
    for _ in 0..3_000 {
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let bits = random >> 33;
        let press = match (bits >> 4) % 14 {
            0 => Press::Enter,
            1 => Press::Backspace,
            2 => Press::Up,
            3 => Press::Down,
            4 => Press::Plus,
            5 => Press::Minus,
            6 => Press::Star,
            7 => Press::Slash,
            8 => Press::Choose(900),
            9 => Press::Pasted("é\u{202e}1".repeat(90)),
            10 => Press::Digit(char::from(b'0' + u8::try_from(bits % 10).unwrap())),
            11 => Press::Burst("20.008".to_owned()),
            12 => Press::Escape,
            _ => Press::Space,
        };
        let facts = side.worked_out(&snapshot, at(room.chosen, room.page), &mut Kept::default());
        let seen = seen_of(&room, &facts, &snapshot);
        let drawn = (usize::try_from(bits % 9).unwrap(), bits & 1 == 1);
        let now = batch_now(&seen, drawn);
        let _ = batch_view(&seen);
        room.press(&press, now);
        reached.insert((room.page.name(), room.is_keeping));
    }
    assert_eq!(reached.len(), 8 + 6, "{reached:?}");
}

/// Counts frames asked for, and keeps what was to be kept.
#[derive(Default)]
pub(crate) struct Kept {
    frames: usize,
    files: Vec<(String, String, Vec<u8>)>,
    is_full: bool,
    /// What was measured before, and how often it was looked for.
    earlier: Option<State>,
    looked: usize,
}

impl BatchOutside for Kept {
    fn keep(&mut self, stem: &str, ends: &str, bytes: Vec<u8>) -> Result<String, String> {
        if self.is_full {
            return Err("The disk is full.".to_owned());
        }
        self.files.push((stem.to_owned(), ends.to_owned(), bytes));
        Ok(format!("/w/reports/{stem}.{ends}"))
    }

    fn earlier(&mut self, _: &Snapshot) -> Option<State> {
        self.looked += 1;
        self.earlier.clone()
    }

    fn changed(&mut self) {
        self.frames += 1;
    }
}

/// Six parts turned, and the same ones hardened: 6 or 7 µm smaller, by hand.
#[test]
fn what_an_operation_changed_is_learned_from_the_session_before_it() {
    let before = parts(
        "20 k6",
        "",
        &["20.012", "20.013", "20.012", "20.014", "20.013", "20.012"],
    );
    let after = parts(
        "20 k6",
        "",
        &["20.006", "20.006", "20.006", "20.007", "20.006", "20.006"],
    );
    let mut outside = Kept {
        earlier: Some(before.state.clone()),
        ..Kept::default()
    };
    let (_, mut side) = batch_ends();
    for _ in 0..3 {
        let facts = side.worked_out(&after, at(0, BatchPage::Advice), &mut outside);
        let told: Vec<&str> = facts.lines.iter().map(|line| &*line.text).collect();
        let [.., origin, learned] = told.as_slice() else {
            panic!("{told:?}")
        };
        let wanted = "From the earlier session to this one: 6 parts, taken in the same order, as \
                      none has a serial number.";
        assert_eq!(*origin, wanted);
        assert!(
            learned.starts_with("On 6 parts the operation changed the size by"),
            "{learned}"
        );
        assert!(learned.contains("Leave 0.006 for it"), "{learned}");
        assert!(facts.lines.last().unwrap().is_strong);
    }
    assert_eq!(outside.looked, 1, "looked for once");
    let facts = side.worked_out(&after, at(0, BatchPage::Run), &mut outside);
    assert!(
        !text(&facts.lines).contains("operation"),
        "on the page of advice alone"
    );
    // Too few parts: said so; none: nothing is said.
    let two = parts("20 k6", "", &["20.006", "20.006"]);
    let told = |after: &Snapshot, earlier: Option<State>| {
        let mut outside = Kept {
            earlier,
            ..Kept::default()
        };
        let (_, mut side) = batch_ends();
        let facts = side.worked_out(after, at(0, BatchPage::Advice), &mut outside);
        text(&facts.lines)
    };
    let said = told(&two, Some(before.state.clone()));
    assert!(said.contains("No allowance is learned yet."), "{said}");
    let said = told(&after, None);
    assert!(
        !said.contains("operation") && !said.contains("allowance"),
        "{said}"
    );
}

#[test]
fn of_many_requests_the_last_is_worked_out_and_a_page_alone_costs_no_study() {
    let snapshot = Arc::new(worn());
    let (handle, mut side) = batch_ends();
    let mut outside = Kept::default();
    for looked_at in [BatchPage::Run, BatchPage::Control, BatchPage::Trend] {
        handle.ask(BatchJob::Show(Arc::clone(&snapshot), at(0, looked_at)));
    }
    side.run_waiting(&mut outside);
    assert_eq!(outside.frames, 1);
    let first = handle.told().facts.unwrap();
    assert_eq!(first.at.page, BatchPage::Trend);
    handle.ask(BatchJob::Show(Arc::clone(&snapshot), at(0, BatchPage::Run)));
    side.run_waiting(&mut outside);
    let second = handle.told().facts.unwrap();
    assert!(
        Arc::ptr_eq(&first.batch, &second.batch),
        "the rows are those of before"
    );
    let mut later = (*snapshot).clone();
    later.head += 1;
    handle.ask(BatchJob::Show(Arc::new(later), at(0, BatchPage::Run)));
    side.run_waiting(&mut outside);
    let third = handle.told().facts.unwrap();
    assert!(
        !Arc::ptr_eq(&third.batch, &second.batch),
        "something was recorded"
    );
}

#[test]
fn a_kept_chart_is_a_whole_file_with_its_name_and_what_is_said_of_it() {
    let snapshot = Arc::new(worn());
    let (handle, mut side) = batch_ends();
    let mut outside = Kept::default();
    handle.ask(BatchJob::Keep(ChartForm::Svg));
    side.run_waiting(&mut outside);
    let done = handle.told().done;
    assert!(done.is_fault && outside.files.is_empty(), "{done:?}");
    handle.ask(BatchJob::Show(
        Arc::clone(&snapshot),
        at(0, BatchPage::Trend),
    ));
    handle.ask(BatchJob::Keep(ChartForm::Svg));
    handle.ask(BatchJob::Keep(ChartForm::Png));
    side.run_waiting(&mut outside);
    let [(stem, ends, svg), (_, other, png)] = outside.files.as_slice() else {
        panic!("{}", outside.files.len());
    };
    assert_eq!((ends.as_str(), other.as_str()), ("svg", "png"));
    assert!(
        stem.starts_with("session") && stem.ends_with("trend"),
        "{stem}"
    );
    assert!(png.starts_with(b"\x89PNG\r\n"));
    let svg = std::str::from_utf8(svg).unwrap();
    assert!(
        svg.contains("<title>A, Ø20 k6, bearing seat: trend</title>"),
        "{svg}"
    );
    assert!(svg.contains("Over the last 16 parts") && svg.ends_with("</svg>\n"));
    outside.is_full = true;
    handle.ask(BatchJob::Keep(ChartForm::Png));
    side.run_waiting(&mut outside);
    let done = handle.told().done;
    assert!(
        done.is_fault && done.said == "The disk is full.",
        "{done:?}"
    );
}

/// Every shape that the last frame painted.
fn painted_shapes(harness: &Harness<'_>) -> Vec<Painted> {
    fn gather(shape: &Painted, into: &mut Vec<Painted>) {
        match shape {
            Painted::Vec(shapes) => shapes.iter().for_each(|one| gather(one, into)),
            other => into.push(other.clone()),
        }
    }
    let mut all = Vec::new();
    for clipped in &harness.output().shapes {
        gather(&clipped.shape, &mut all);
    }
    all
}

fn long_chart(count: u32, outlier: u32) -> Chart {
    let points = (0..count).map(|at| Point {
        x: f64::from(at),
        y: match at == outlier {
            true => 9.0,
            false => f64::from(at.wrapping_mul(2_654_435_761) >> 8) / f64::from(1 << 24),
        },
    });
    let points: Vec<Point> = points.collect();
    let axis = |from, to, scale| Axis {
        title: "Part".to_owned(),
        from,
        to,
        scale,
    };
    Chart {
        title: "run of values".to_owned(),
        x: axis(-0.5, f64::from(count), Scale::Whole),
        y: axis(0.0, 10.0, Scale::Numbers),
        layers: vec![
            Layer::Line {
                at: points.clone(),
                stroke: LineStroke::Course,
            },
            Layer::Points {
                at: points,
                shape: PointShape::Disc,
            },
        ],
        notes: Vec::new(),
    }
}

#[test]
fn of_a_million_points_few_are_painted_and_the_outlier_among_them() {
    let chart = Arc::new(long_chart(1_000_000, 654_321));
    let look = Look::new(Theme::Night, Sizes::default());
    let mut laid = LaidChart::default();
    let harness = window(SMALL, 1.0, move |ui| {
        let place = ui.max_rect();
        chart_paint_ui(ui, place, (&chart, '.'), &look, &mut laid);
    });
    let circles: Vec<Pos2> = painted_shapes(&harness)
        .iter()
        .filter_map(|shape| match shape {
            Painted::Circle(circle) => Some(circle.center),
            _ => None,
        })
        .collect();
    assert!((500..4 * 800).contains(&circles.len()), "{}", circles.len());
    let (least, most) = circles
        .iter()
        .fold((f32::MAX, f32::MIN), |(low, high), one| {
            (low.min(one.y), high.max(one.y))
        });
    let highest: Vec<&Pos2> = circles.iter().filter(|one| one.y < least + 0.5).collect();
    assert_eq!(highest.len(), 1, "the outlier stands alone");
    // The others lie below a tenth of the height.
    let others = circles.iter().filter(|one| one.y > least + 0.5);
    let top = others.fold(f32::MAX, |top, one| top.min(one.y));
    assert!((most - top) < 0.2 * (most - least), "{least} {top} {most}");
    let share = (highest[0].x - 40.0) / (SMALL[0] - 50.0);
    assert!((share - 0.654).abs() < 0.03, "{share}");
}

/// A scene on a window.
struct Shot {
    name: String,
    view: BatchView,
    size: [f32; 2],
    theme: Theme,
}

fn scenes() -> Vec<(String, BatchView)> {
    let batches = [
        ("signals", signals(), 0),
        ("worn", worn(), 0),
        ("several", several(), 0),
        ("shafts", shafts(), 0),
        ("plug", shafts(), 2),
        ("one", parts("20 k6", "", &["20.008"]), 0),
        ("equal", parts("20 k6", "", &["20.008"; 12]), 0),
        ("none", parts("20 k6", "", &[]), 0),
    ];
    let mut scenes = Vec::new();
    for (name, snapshot, target) in &batches {
        for (looked_at, _, word) in BatchPage::ALL {
            scenes.push((format!("{name}-{word}"), seen(snapshot, *target, looked_at)));
        }
    }
    let (_, snapshot, _) = &batches[1];
    let facts = worked_out(snapshot, at(0, BatchPage::Advice));
    let below = BatchRoom {
        skipped: 2,
        fault: Some("9 is none of the pages.".to_owned()),
        ..room(0, BatchPage::Advice)
    };
    let keeping = BatchRoom {
        is_keeping: true,
        ..below.clone()
    };
    for (name, room) in [("below", below), ("keeping", keeping)] {
        scenes.push((
            name.to_owned(),
            batch_view(&seen_of(&room, &facts, snapshot)),
        ));
    }
    scenes
}

fn shots() -> Vec<Shot> {
    let mut shots = Vec::new();
    for (name, view) in scenes() {
        for (size, theme, word) in [
            (SMALL, Theme::Night, "night"),
            (LARGE, Theme::Day, "day"),
            (SMALL, Theme::HighContrast, "high"),
        ] {
            shots.push(Shot {
                name: format!("batch-{word}-{name}"),
                view: view.clone(),
                size,
                theme,
            });
        }
    }
    shots
}

impl Shown for Shot {
    fn name(&self) -> &str {
        &self.name
    }

    fn size(&self) -> [f32; 2] {
        self.size
    }

    fn shown<'a>(&self) -> Harness<'a> {
        window(self.size, 1.0, self.paint(self.theme))
    }
}

impl Shot {
    fn paint(&self, theme: Theme) -> impl FnMut(&mut Ui) + 'static {
        let (view, look) = (self.view.clone(), Look::new(theme, Sizes::default()));
        let mut laid = LaidChart::default();
        move |ui| {
            batch_ui(ui, &view, &look, &mut laid, &mut Vec::new());
        }
    }
}

/// A page of the first characteristic.
pub(crate) fn seen_at(snapshot: &Snapshot, looked_at: BatchPage) -> BatchView {
    seen(snapshot, 0, looked_at)
}

/// Every page once, to be painted in a theme on the small window.
pub(crate) fn every_page(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let small = shots()
        .into_iter()
        .filter(|shot| shot.size == SMALL && shot.theme == Theme::HighContrast);
    let named = small.map(|shot| {
        let paint: crate::contrast::Paint = Box::new(shot.paint(theme));
        (shot.name.replace("-high", ""), paint)
    });
    named.collect()
}

/// Pictures are kept too, in `target/pictures`.
#[test]
fn no_text_of_the_batch_leaves_the_window_or_lies_on_another() {
    assert_readable(&shots(), text_faults, |shot| shot.size == SMALL);
}

#[test]
fn the_accepted_pictures_of_the_batch() {
    let accepted = [
        "batch-night-signals-run",
        "batch-day-several-run",
        "batch-night-worn-trend",
        "batch-high-worn-capability",
        "batch-night-shafts-table",
        "batch-night-equal-histogram",
    ];
    assert_accepted(&shots(), &accepted);
}

#[test]
fn everything_in_the_room_is_found_by_its_name_and_can_be_pointed_at() {
    let snapshot = shafts();
    for size in [SMALL, LARGE] {
        let view = seen(&snapshot, 0, BatchPage::Table);
        let look = Look::new(Theme::Night, Sizes::default());
        let presses = Rc::new(RefCell::new(Vec::new()));
        let taken = Rc::clone(&presses);
        let mut laid = LaidChart::default();
        let mut harness = window(size, 1.0, move |ui| {
            batch_ui(ui, &view, &look, &mut laid, &mut taken.borrow_mut());
        });
        for name in [
            "part 11, A: 20.022, NO-GO, signal of test 1",
            "part 11, B: not selected",
            "0 table, open",
            "1 of 3",
        ] {
            let found = harness.query_all_by_label_contains(name).next();
            assert!(found.is_some(), "{size:?}: {name}");
        }
        harness.get_by_label("B Ø15 h6").click();
        harness.run_steps(2);
        harness.get_by_label("characteristic next").click();
        harness.run_steps(2);
        harness.get_by_label("6 trend").click();
        harness.run_steps(2);
        let expected = [Press::Choose(1), Press::Plus, Press::Digit('6')];
        assert_eq!(*presses.borrow(), expected);
    }
    let shot = Shot {
        name: String::new(),
        view: seen(&worn(), 0, BatchPage::Trend),
        size: SMALL,
        theme: Theme::Day,
    };
    let harness = shot.shown();
    let ahead = harness.query_by_label_contains("Over the last 16 parts the size grows");
    assert!(ahead.is_some());
    let drawn = harness.query_all_by_label_contains("trend");
    assert_eq!(drawn.count(), 2, "its page and its chart");
}

#[test]
fn every_size_of_the_room_is_survived() {
    for (name, view) in scenes() {
        for size in [
            [1.0, 1.0],
            [0.0, 0.0],
            [30.0, 900.0],
            [900.0, 30.0],
            [480.0, 320.0],
            [599.0, 240.0],
        ] {
            let (view, look) = (view.clone(), Look::new(Theme::Day, Sizes::default()));
            let mut laid = LaidChart::default();
            let harness = window(size, 1.0, move |ui| {
                batch_ui(ui, &view, &look, &mut laid, &mut Vec::new());
            });
            drop((harness, &name));
        }
    }
}

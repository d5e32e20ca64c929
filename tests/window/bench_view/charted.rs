//! The last points on the bar, and the run chart with its signals and control limits.

use fitledger::session::Command;
use fitledger::window::view::Mark;

use super::shaft;
use crate::support::bench::{Bench, feature, plan};
use crate::support::scenes::{GROWING, batch_of};
use crate::support::shown::shown;

#[test]
fn the_last_points_stay_as_ticks_and_not_the_present_one() {
    let mut bench = shaft("");
    for at in 0..12 {
        bench.reads(&format!("20.0{:02}", 5 + at % 6));
    }
    let view = shown(&bench);
    let bar = view.bar.unwrap();
    assert_eq!(bar.last.len(), 8);
    // The eleventh reading, 20.009, is the newest tick: 0.22 + 0.34 × 7 / 13.
    let newest = bar.last[7];
    assert!((newest - 0.403_076_9).abs() < 1e-5, "{newest}");
}

#[test]
fn the_chart_has_the_worst_point_of_each_part_and_the_last_reading() {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.parts = Some(12);
    let mut bench = Bench::new(opened);
    // Worst: 20.005 (3 µm inside) and not 20.009 (6 µm inside).
    for reading in ["20.009", "20.005"] {
        bench.reads(reading);
    }
    bench.asks(Command::SwitchCutting(true));
    bench.reads("20.046");
    let chart = shown(&bench).chart;
    assert_eq!(chart.span, "parts 1 to 12");
    let at: Vec<(f32, Mark)> = chart
        .points
        .iter()
        .map(|point| (point.x, point.mark))
        .collect();
    assert_eq!(at.len(), 2);
    assert_eq!((at[0].1, at[1].1), (Mark::Go, Mark::Cutting));
    assert!(
        at[0].0.abs() < 1e-6 && (at[1].0 - 1.0 / 11.0).abs() < 1e-6,
        "{at:?}"
    );
    // The limits stand at 0.8 and 0.2; 3 of 13 µm above the lower: 0.8 - 0.6 × 3 / 13.
    assert!(
        (chart.points[0].y - 0.661_538).abs() < 1e-5,
        "{:?}",
        chart.points
    );
    assert!(
        chart.points[1].y < 0.1,
        "far beyond, but still on the chart"
    );
    assert_eq!(chart.upper.unwrap(), (0.2, "20.015".to_owned()));
}

#[test]
fn a_signal_stands_at_the_part_that_caused_it_with_what_to_do() {
    let (ten, bench) = (batch_of(&GROWING[..10]), batch_of(&GROWING));
    let before = shown(&ten).chart;
    assert!(before.points.iter().all(|point| !point.is_signal));
    assert!(!before.note.contains("signals"), "{}", before.note);
    let chart = shown(&bench).chart;
    let marked: Vec<bool> = chart.points.iter().map(|point| point.is_signal).collect();
    assert_eq!(marked.iter().filter(|marked| **marked).count(), 1);
    assert_eq!(marked.last(), Some(&true));
    let note = "Part 11 signals: 6 in a row steadily up or down (test 3)";
    assert!(chart.note.starts_with(note), "{}", chart.note);
    assert!(chart.spoken.contains(note), "{}", chart.spoken);
    // The mean is 20.007 182, the mean moving range 1.8 µm: three deviations are
    // 3 * 1.8/1.128 379 = 4.786 µm. The limits, 13 µm apart, stand at 0.8 and 0.2.
    let control = chart.control.unwrap();
    let place = |um: f32| 0.8 - (um - 2.0) / 13.0 * 0.6;
    assert!(
        (control.upper - place(7.182 + 4.786)).abs() < 1e-3,
        "{control:?}"
    );
    assert!(
        (control.lower - place(7.182 - 4.786)).abs() < 1e-3,
        "{control:?}"
    );
    assert!(control.from.abs() < 1e-6, "{control:?}");
    // A new tool: its parts have a row of their own, and no old signal is told again.
    let mut bench = bench;
    let note = "new insert".to_owned();
    bench.asks(Command::ChangeTool { note });
    bench.reads("20.006");
    let chart = shown(&bench).chart;
    assert_eq!((chart.note.as_str(), chart.points.len()), ("", 12));
    assert!((chart.control.unwrap().from - 11.0 / 15.0).abs() < 1e-6);
    // A voided reading takes its signal with it.
    let mut bench = batch_of(&GROWING);
    bench.void(None);
    assert!(
        shown(&bench)
            .chart
            .points
            .iter()
            .all(|point| !point.is_signal)
    );
}

#[test]
fn control_limits_are_for_means_which_stand_beside_the_worst_points() {
    let mut bench = shaft("points = 2");
    for _ in 0..9 {
        for value in ["20.007", "20.010"] {
            bench.reads(value);
        }
    }
    let chart = shown(&bench).chart;
    // The middle is 20.008 5 = the mean of both; the worst point is the nearer to a limit.
    assert!(
        chart
            .points
            .iter()
            .all(|point| point.mean.is_some_and(|y| (y - 0.5).abs() < 1e-5))
    );
    assert!(chart.points.iter().all(|point| (point.y - 0.5).abs() > 0.0));
    let single = shown(&batch_of(&GROWING)).chart;
    assert!(single.points.iter().all(|point| point.mean.is_none()));
}

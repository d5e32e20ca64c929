//! Very many parts, and signals that stand close: the run and the control chart stay readable.

use std::sync::Arc;

use fitledger::report::{
    Break, Chart, ChartSize, Control, ControlRow, Controlled, Counted, DecimalMark, Drawing,
    ENGLISH_CHARTS, Ink, Place, Point, Subject, Tone, control_chart, drawing,
};
use fitledger::session::{Command, Incoming, Snapshot};
use fitledger::statistics::{ControlLimits, RunLengths, Signal, SignalTest};
use fitledger::window::batch_room::BatchPage;
use fitledger::window::chart_paint_ui::{LaidChart, chart_paint_ui};
use fitledger::window::look::{Look, Sizes, Theme};
use proptest::prelude::*;

use super::pages::{near, signals_of};
use super::scenes::{bench_of, seen};
use super::{LARGE, SMALL, Shot};
use crate::support::bench::{Bench, feature, typed};
use crate::support::picture::{compare, keep, window};
use crate::support::readable::{Shown, text_faults, texts_on_texts};
use crate::support::shown::snapshot;

/// Seats of pump shafts as they come out of the lathe, in micrometres over 20 mm: about a bell
/// with a deviation of 1.5, the same every time.
fn noise(count: usize, middle: i64) -> Vec<i64> {
    let mut random = 11_u64;
    let mut next = || {
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1_442_695_040_888_963_407);
        i64::try_from(random >> 33).unwrap() % 1_000
    };
    let one = |_| middle + (next() + next() + next() + next() - 2_000 + 192) / 385;
    (0..count).map(one).collect()
}

/// Neighbours that no test finds, but for the one in the middle.
fn one_alone(count: usize) -> Vec<i64> {
    let usual = [0, 1, 3, 0, -1, -3];
    let mut values: Vec<i64> = (0..count).map(|at| 8 + usual[at % 6]).collect();
    values[count / 2] = 16;
    values
}

/// Up and down without end: from the fourteenth on every part signals.
fn alternating(count: usize) -> Vec<i64> {
    let value = |at: usize| if at.is_multiple_of(2) { 6 } else { 10 };
    (0..count).map(value).collect()
}

fn measured(bench: &mut Bench, micrometres: &[i64]) {
    for some in micrometres.chunks(2_000) {
        let reading = |value: &i64| {
            let text = format!(
                "{}.{:03}",
                20 + value.div_euclid(1_000),
                value.rem_euclid(1_000)
            );
            Incoming::Reading(typed("mic", &text))
        };
        let taken = bench.take(some.iter().map(reading).collect());
        assert_eq!(taken.failure, None);
    }
}

fn of(micrometres: &[i64]) -> Snapshot {
    two(micrometres, &[])
}

/// Before and after a new insert.
fn two(before: &[i64], after: &[i64]) -> Snapshot {
    let mut bench = bench_of(&feature("A", "20 k6", "name = \"bearing seat\""));
    measured(&mut bench, before);
    if !after.is_empty() {
        let note = "new insert".to_owned();
        bench.asks(Command::ChangeTool { note });
        measured(&mut bench, after);
    }
    snapshot(&bench)
}

fn batches() -> Vec<(&'static str, Snapshot)> {
    vec![
        ("50", of(&noise(50, 8))),
        ("1000", of(&noise(1_000, 8))),
        ("10000", of(&noise(10_000, 8))),
        ("alone", of(&one_alone(10_000))),
        ("every", of(&alternating(2_000))),
        ("two", two(&noise(1_000, 8), &noise(1_000, 10))),
    ]
}

/// The pictures are kept in `target/pictures`; no text lies on another in any of them, and one of
/// them is compared with the accepted one.
#[test]
fn crowded_charts_are_readable_and_look_as_accepted() {
    let mut faults = Vec::new();
    for (name, snapshot) in batches() {
        for page in [BatchPage::Run, BatchPage::Control] {
            let view = seen(&snapshot, 0, page);
            for (size, theme, word) in [
                (SMALL, Theme::Night, "night"),
                (LARGE, Theme::Day, "day"),
                (SMALL, Theme::HighContrast, "high"),
            ] {
                let shot = Shot {
                    name: format!("crowded-{word}-{name}-{}", page.name()),
                    view: view.clone(),
                    size,
                    theme,
                };
                let mut harness = shot.shown();
                let found = text_faults(&harness, size).into_iter();
                faults.extend(found.map(|fault| format!("{}: {fault}", shot.name)));
                let image = harness.render().unwrap();
                keep(&shot.name, &image);
                if shot.name == "crowded-night-1000-run" {
                    faults.extend(compare(&shot.name, &image).err());
                }
            }
        }
    }
    assert_eq!(faults, [""; 0]);
}

/// A chart that is laid out, and what can be read off it alone.
struct Seen {
    drawing: Drawing,
    /// Left, top, right and bottom of the chart between its axes.
    plot: [f64; 4],
}

/// One row above the chart.
struct RowSeen {
    tests: Vec<u8>,
    count: usize,
    bars: Vec<(f64, f64)>,
}

impl Seen {
    fn of(chart: &Chart, size: ChartSize) -> Self {
        let drawing = drawing(std::slice::from_ref(chart), size, DecimalMark::Point).unwrap();
        // Both axes are one line: down at the left, along the foot.
        let axes = drawing.inks.iter().find_map(|ink| match ink {
            Ink::Lines { pieces, .. } => match pieces.as_slice() {
                [piece] if piece.len() == 3 => {
                    Some([piece[0].x, piece[0].y, piece[2].x, piece[2].y])
                }
                _ => None,
            },
            _ => None,
        });
        Self {
            plot: axes.unwrap(),
            drawing,
        }
    }

    fn across(&self, chart: &Chart, x: f64) -> f64 {
        let share = (x - chart.x.from) / (chart.x.to - chart.x.from);
        self.plot[0] + share * (self.plot[2] - self.plot[0])
    }

    fn down(&self, chart: &Chart, y: f64) -> f64 {
        let share = (y - chart.y.from) / (chart.y.to - chart.y.from);
        self.plot[3] - share * (self.plot[3] - self.plot[1])
    }

    /// Lines in the colour of signals.
    fn signal_lines(&self) -> Vec<&[Place]> {
        let lines = self.drawing.inks.iter().filter_map(|ink| match ink {
            Ink::Lines { pieces, pen } if pen.tone == Tone::Signal && pen.dashes.is_empty() => {
                Some(pieces)
            }
            _ => None,
        });
        lines.flatten().map(Vec::as_slice).collect()
    }

    /// Boxes: middle and half the side.
    fn boxes(&self) -> Vec<(Place, f64)> {
        let closed = self
            .signal_lines()
            .into_iter()
            .filter(|line| line.len() == 5);
        let boxes = closed.map(|line| {
            let half = (line[1].x - line[0].x)
                .abs()
                .max((line[2].x - line[1].x).abs())
                / 2.0;
            let middle = Place {
                x: (line[0].x + line[2].x) / 2.0,
                y: (line[0].y + line[2].y) / 2.0,
            };
            (middle, half)
        });
        boxes.collect()
    }

    /// Texts: where, the text, and whether it is bold.
    fn texts(&self) -> Vec<(Place, &str, bool)> {
        let texts = self.drawing.inks.iter().filter_map(|ink| match ink {
            Ink::Text {
                at, text, is_bold, ..
            } => Some((*at, text.as_str(), *is_bold)),
            _ => None,
        });
        texts.collect()
    }

    fn rows(&self) -> Vec<RowSeen> {
        let texts = self.texts();
        let counts = texts.iter().filter(|(_, text, _)| text.starts_with('×'));
        let rows = counts.map(|(place, count, _)| {
            let is_name = |(at, _, _): &&(Place, &str, bool)| {
                at.x < self.plot[0] && (at.y - place.y).abs() < 0.1
            };
            let (_, name, _) = texts.iter().find(is_name).unwrap();
            let bars = self.signal_lines().into_iter();
            let bars = bars.filter(|line| line.len() == 2 && (line[0].y - place.y).abs() < 6.0);
            RowSeen {
                tests: tests_named(name),
                count: count.trim_start_matches("× ").parse().unwrap(),
                bars: bars.map(|line| (line[0].x, line[1].x)).collect(),
            }
        });
        rows.collect()
    }

    /// The line from value to value, if there is one.
    fn course(&self) -> Option<Tone> {
        self.drawing.inks.iter().find_map(|ink| match ink {
            Ink::Lines { pieces, pen } => match pieces.as_slice() {
                [piece] if piece.len() > 3 && pen.tone != Tone::Signal => Some(pen.tone),
                _ => None,
            },
            _ => None,
        })
    }

    fn has_disc(&self, x: f64, y: f64) -> bool {
        self.drawing.inks.iter().any(|ink| match ink {
            Ink::Discs { at, .. } => at
                .iter()
                .any(|one| (one.x - x).abs() < 0.01 && (one.y - y).abs() < 0.01),
            _ => false,
        })
    }
}

/// `test 1, 3-5`, or the numbers alone.
fn tests_named(name: &str) -> Vec<u8> {
    let numbers = name.trim_start_matches("test ").split(", ");
    let tests = numbers.flat_map(|run| {
        let (from, to) = run.split_once('-').unwrap_or((run, run));
        let number = |text: &str| text.parse::<u8>().unwrap();
        number(from)..=number(to)
    });
    tests.collect()
}

/// What is wrong with how a chart shows these signals, by point: each must be found in a mark that
/// reaches over it and has the number of its test.
fn not_shown(chart: &Chart, signals: &[Vec<u8>], seen: &Seen) -> Vec<String> {
    let mut faults = Vec::new();
    let points = signalled(chart);
    let (boxes, rows) = (seen.boxes(), seen.rows());
    let texts = seen.texts();
    for (index, tests) in signals.iter().enumerate() {
        let Some(point) = points.iter().find(|at| near(at.x, index as f64 + 1.0)) else {
            faults.extend((!tests.is_empty()).then(|| format!("{index} is no signal")));
            continue;
        };
        let (x, y) = (seen.across(chart, point.x), seen.down(chart, point.y));
        let is_at = |(at, _): &&(Place, f64)| (at.x - x).abs() < 0.01 && (at.y - y).abs() < 0.01;
        if let Some((middle, half)) = boxes.iter().find(is_at) {
            // Numbered, or it goes on as the point before it.
            let text = tests
                .iter()
                .map(u8::to_string)
                .collect::<Vec<_>>()
                .join(" ");
            let is_numbered = texts.iter().any(|(at, found, is_bold)| {
                *is_bold && *found == text && (at.y - middle.y).abs() < half + 16.0
            });
            let goes_on = index > 0 && signals[index - 1] == *tests;
            if !is_numbered && !goes_on {
                faults.push(format!("{index}: no number {text}"));
            }
            continue;
        }
        for test in tests {
            let covers = |row: &&RowSeen| {
                let mut bars = row.bars.iter();
                row.tests.contains(test) && bars.any(|(from, to)| *from <= x && x <= *to)
            };
            if !rows.iter().any(|row| covers(&row)) {
                faults.push(format!("{index}: test {test} is not shown"));
            }
        }
    }
    for row in &rows {
        let here = signals
            .iter()
            .filter(|tests| tests.iter().any(|test| row.tests.contains(test)));
        if here.count() != row.count {
            faults.push(format!("{:?}: × {}", row.tests, row.count));
        }
    }
    let mut sides = boxes.iter().enumerate();
    let lies = |(at, (one, half)): (usize, &(Place, f64))| {
        boxes[at + 1..].iter().any(|(other, _)| {
            (one.x - other.x).abs() < 2.0 * half - 0.01
                && (one.y - other.y).abs() < 2.0 * half - 0.01
        })
    };
    if sides.any(lies) {
        faults.push("a box lies on another".to_owned());
    }
    faults
}

fn signalled(chart: &Chart) -> Vec<Point> {
    signals_of(chart).iter().map(|one| one.at).collect()
}

/// A control chart of these values, with a signal of each of these tests at each point.
fn charted(values: &[f64], signals: &[Vec<u8>], breaks: &[Break]) -> Chart {
    let places: Vec<f64> = (1..=values.len()).map(|at| at as f64).collect();
    let all = signals.iter().enumerate().flat_map(|(point, tests)| {
        let tests = tests
            .iter()
            .map(|number| SignalTest::ALL[usize::from(*number) - 1]);
        tests.map(move |test| Signal { test, point })
    });
    let limits = ControlLimits {
        lower: 20.002,
        centre: 20.0085,
        upper: 20.015,
    };
    let subject = Subject {
        title: "",
        unit: "mm",
        decimals: 3,
        decimal_mark: DecimalMark::Point,
        counted: Counted::Parts,
        words: &ENGLISH_CHARTS,
    };
    let control = Control {
        shows: Controlled::Values,
        places: &places,
        values,
        rows: &[ControlRow { from: 0.0, limits }],
        is_provisional: false,
        in_doubt: &[],
        signals: &all.collect::<Vec<Signal>>(),
        tests: Some(RunLengths::NELSON),
        breaks,
    };
    control_chart(&subject, &control)
}

/// Values with the tests that signal at each.
#[derive(Debug, Clone)]
struct Made {
    values: Vec<f64>,
    signals: Vec<Vec<u8>>,
    breaks: Vec<u32>,
}

/// Few parts and thousands; signals alone, in runs, everywhere.
fn made() -> impl Strategy<Value = Made> {
    let count = prop_oneof![3 => 1_u32..120, 2 => 120_u32..1_200, 1 => Just(10_000_u32)];
    let of_tests = prop_oneof![
        Just(vec![1]),
        Just(vec![2]),
        Just(vec![1, 5]),
        Just((1..=8).collect::<Vec<u8>>()),
        proptest::collection::btree_set(1_u8..=8, 1..4).prop_map(|set| set.into_iter().collect()),
    ];
    let runs = proptest::collection::vec((0.0..1.0_f64, 1_u32..400, of_tests), 0..14);
    let breaks = proptest::collection::vec(0.0..1.0_f64, 0..4);
    (count, runs, breaks, any::<u32>()).prop_map(|(count, runs, breaks, seed)| {
        let place = |share: f64| (share * f64::from(count)) as u32;
        let mut signals = vec![Vec::new(); count as usize];
        for (from, long, tests) in runs {
            // Of a few parts a run of a few.
            let long = long.min(count / 8 + 1);
            for at in place(from)..(place(from) + long).min(count) {
                signals[at as usize].clone_from(&tests);
            }
        }
        let value = |at: u32| {
            let bits = at.wrapping_add(seed).wrapping_mul(2_654_435_761) >> 20;
            20.004 + f64::from(bits % 10) / 1_000.0
        };
        Made {
            values: (0..count).map(value).collect(),
            signals,
            breaks: breaks.into_iter().map(place).collect(),
        }
    })
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(96))]

    /// Whatever signals: each lies under a mark of its test, in the plot the least and the largest
    /// value are seen, and no text lies on another, in the window and where it is kept.
    #[test]
    fn every_signal_is_marked_and_no_text_lies_on_another(
        made in made(),
        (wide, high) in prop_oneof![
            Just((784.0_f32, 290.0_f32)), Just((1264.0, 560.0)), Just((784.0, 180.0)),
            (300.0..1400.0_f32, 130.0..700.0_f32)
        ],
    ) {
        let breaks: Vec<Break> = made.breaks.iter().map(|before| Break {
            before: f64::from(*before),
            name: "tool changed".to_owned(),
        }).collect();
        let chart = charted(&made.values, &made.signals, &breaks);
        let size = ChartSize::new(f64::from(wide), f64::from(high)).unwrap();
        let seen = Seen::of(&chart, size);
        let faults = not_shown(&chart, &made.signals, &seen);
        prop_assert!(faults.is_empty(), "{faults:?}");
        // Of very many values the way between them must not be a slab over limits and means.
        let is_dense = made.values.len() as f64 > 1.5 * (seen.plot[2] - seen.plot[0]);
        let wanted = if is_dense { Tone::Filled } else { Tone::Muted };
        prop_assert!(seen.course().is_none_or(|tone| tone == wanted), "{:?}", seen.course());
        let least = made.values.iter().copied().fold(f64::INFINITY, f64::min);
        let largest = made.values.iter().copied().fold(f64::NEG_INFINITY, f64::max);
        for extreme in [least, largest] {
            let at = made.values.iter().position(|value| value.total_cmp(&extreme).is_eq()).unwrap();
            // Of equal ones a column keeps the first: the first of all is kept.
            let x = seen.across(&chart, at as f64 + 1.0);
            prop_assert!(seen.has_disc(x, seen.down(&chart, extreme)), "{extreme} is hidden");
        }
        let (chart, look) = (Arc::new(chart), Look::new(Theme::Day, Sizes::default()));
        let mut laid = LaidChart::default();
        let harness = window([wide, high], 1.0, move |ui| {
            let place = ui.max_rect();
            chart_paint_ui(ui, place, (&chart, '.'), &look, &mut laid);
        });
        let faults = texts_on_texts(&harness);
        prop_assert!(faults.is_empty(), "{faults:?}");
    }
}

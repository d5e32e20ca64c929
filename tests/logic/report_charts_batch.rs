//! Charts of a session: from smallest steps to millimetres, with breaks, doubt and the limits that
//! the bench uses; and the same through the program.

use fitledger::report::{
    BatchChart, Chart, DecimalMark, ENGLISH_CHARTS, Layer, Shape, Stroke, batch_charts,
};
use fitledger::session::{
    Batch, Circumstances, Command, Incoming, StudyOptions, StudyShape, study,
};
use fitledger::statistics::fit_line;

use crate::support::bench::{Bench, feature, plan, typed};

const BEFORE: [&str; 10] = [
    "20.006", "20.007", "20.006", "20.008", "20.007", "20.006", "20.008", "20.007", "20.006",
    "20.007",
];
const AFTER: [&str; 10] = [
    "20.004", "20.006", "20.007", "20.009", "20.010", "20.011", "20.012", "20.014", "20.015",
    "20.016",
];

/// A session of one characteristic whose tool is changed after the tenth part.
fn session(callout: &str, more: &str) -> Bench {
    let mut opened = plan(&feature("A", callout, more));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    for value in BEFORE {
        bench.take(vec![Incoming::Reading(typed("mic", value))]);
    }
    let note = "new insert".to_owned();
    bench.asks(Command::ChangeTool { note });
    for value in AFTER {
        bench.take(vec![Incoming::Reading(typed("mic", value))]);
    }
    bench
}

fn charts(bench: &Bench, kind: BatchChart) -> Vec<Chart> {
    let state = bench.state();
    let batch = Batch::of(state);
    let (series, target) = (&batch.series()[0], &state.setup().targets[0]);
    let options = StudyOptions::usual(Circumstances::of(state, 0));
    let known = study(series, target, &options);
    let language = (&ENGLISH_CHARTS, DecimalMark::Point);
    batch_charts(kind, series, target, &known, language)
}

fn places(chart: &Chart, wanted: Shape) -> Vec<(f64, f64)> {
    let points = chart.layers.iter().filter_map(|layer| match layer {
        Layer::Points { at, shape } if *shape == wanted => Some(at),
        _ => None,
    });
    points.flatten().map(|at| (at.x, at.y)).collect()
}

fn values(texts: &[&str]) -> Vec<f64> {
    texts.iter().map(|text| text.parse().unwrap()).collect()
}

#[test]
fn a_run_stands_in_millimetres_by_part_with_its_break_and_its_limits() {
    let bench = session("20 k6", "");
    let chart = &charts(&bench, BatchChart::Run)[0];
    assert_eq!(chart.title, "A 20 k6: run of values");
    assert_eq!((&*chart.x.title, &*chart.y.title), ("Part", "Value, mm"));
    // 20 k6 is 20.002 to 20.015 (ISO 286-1, tables 1, 4).
    assert_eq!(places(chart, Shape::Cross), [(20.0, 20.016)]);
    let discs = places(chart, Shape::Disc);
    assert_eq!(
        (discs.len(), discs[0], discs[18]),
        (19, (1.0, 20.006), (19.0, 20.015))
    );
    let labels: Vec<&str> = chart
        .layers
        .iter()
        .filter_map(|layer| match layer {
            Layer::HorizontalLine { label, .. } => Some(&**label),
            _ => None,
        })
        .collect();
    assert_eq!(labels[..2], ["lower limit 20.002", "upper limit 20.015"]);
    let at = chart.layers.iter().find_map(|layer| match layer {
        Layer::VerticalLine { x, label, .. } => Some((*x, &**label)),
        _ => None,
    });
    assert_eq!(at, Some((10.5, "tool changed")));
}

#[test]
fn control_charts_have_the_limits_of_the_bench_row_by_row() {
    let bench = session("20 k6", "");
    let found = charts(&bench, BatchChart::Control);
    assert_eq!(found.len(), 2);
    let batch = Batch::of(bench.state());
    let rows = batch.series()[0].segments();
    let lines: Vec<f64> = found[0]
        .layers
        .iter()
        .filter_map(|layer| match layer {
            Layer::Line {
                at,
                stroke: Stroke::Centre,
            } => Some(at[0].y),
            Layer::HorizontalLine {
                y,
                stroke: Stroke::Centre,
                ..
            } => Some(*y),
            _ => None,
        })
        .collect();
    let centre = |at: usize| rows[at].limits.unwrap().location.centre / 1e6;
    assert_eq!(lines.len(), 2);
    for (line, expected) in lines.iter().zip([centre(0), centre(1)]) {
        assert!((line - expected).abs() < 1e-9);
    }
    let signals = batch.series()[0].points().iter();
    let signals = signals.filter(|point| !point.signals.is_empty()).count();
    assert!(signals > 0);
    let boxed = found[0].layers.iter().map(|layer| match layer {
        Layer::Signals { at, .. } => at.len(),
        _ => 0,
    });
    assert_eq!(boxed.sum::<usize>(), signals);
    // Moving ranges of the row in force, at the later part of each two.
    let ranges = places(&found[1], Shape::Disc);
    assert_eq!(ranges.len(), AFTER.len() - 1);
    assert!((ranges[0].0 - 12.0).abs() < 1e-12 && (ranges[0].1 - 0.002).abs() < 1e-12);
}

#[test]
fn a_trend_is_that_of_the_row_in_force() {
    let bench = session("20 k6", "");
    let chart = &charts(&bench, BatchChart::Trend)[0];
    let parts: Vec<f64> = (11..=20).map(f64::from).collect();
    let expected = fit_line(&parts, &values(&AFTER)).unwrap();
    let line = chart.layers.iter().find_map(|layer| match layer {
        Layer::Line {
            at,
            stroke: Stroke::Fitted,
        } => Some(at.clone()),
        _ => None,
    });
    let line = line.unwrap();
    assert!((line[0].x - 11.0).abs() < 1e-9);
    for at in line {
        assert!((at.y - expected.predict(at.x, 0.95).unwrap().value).abs() < 1e-9);
    }
}

#[test]
fn histogram_and_capability_rest_on_the_study() {
    let bench = session("20 k6", "");
    let chart = &charts(&bench, BatchChart::Histogram)[0];
    let mut area = 0.0;
    for layer in &chart.layers {
        if let Layer::Bars { bars, .. } = layer {
            area += bars
                .iter()
                .map(|bar| (bar.to - bar.from) * bar.height)
                .sum::<f64>();
        }
    }
    let state = bench.state();
    let batch = Batch::of(state);
    let options = StudyOptions::usual(Circumstances::of(state, 0));
    let known = study(&batch.series()[0], &state.setup().targets[0], &options);
    let width = known.histogram.as_ref().unwrap().bin_width / 1e6;
    assert!((area / width - 20.0).abs() < 1e-6, "20 values in the bars");
    let chart = &charts(&bench, BatchChart::Capability)[0];
    let intervals: Vec<(f64, f64, Option<f64>)> = chart
        .layers
        .iter()
        .filter_map(|layer| match layer {
            Layer::Interval { from, to, best, .. } => Some((*from, *to, *best)),
            _ => None,
        })
        .collect();
    let StudyShape::Normal {
        overall, within, ..
    } = &known.shape
    else {
        panic!("20 k6 is not bounded by zero");
    };
    let (overall, within) = (overall.as_ref().unwrap(), within.as_ref().unwrap());
    let within = within.as_ref().unwrap();
    let expected = [
        within.spread.unwrap(),
        within.worst,
        overall.spread.unwrap(),
        overall.worst,
    ];
    // 20 values: no index without its interval.
    assert_eq!(
        intervals,
        expected.map(|index| (index.lower, index.upper, None))
    );
}

#[test]
fn points_of_a_part_make_a_chart_of_their_ranges() {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    for value in BEFORE {
        bench.take(vec![Incoming::Reading(typed("mic", value))]);
    }
    let found = charts(&bench, BatchChart::Control);
    assert_eq!(found[1].title, "A 20 k6: ranges of subgroups");
    let ranges = places(&found[1], Shape::Disc);
    let rounded: Vec<(f64, f64)> = ranges
        .iter()
        .map(|(x, y)| (*x, (y * 1e6).round()))
        .collect();
    let expected = [
        (1.0, 1000.0),
        (2.0, 2000.0),
        (3.0, 1000.0),
        (4.0, 1000.0),
        (5.0, 1000.0),
    ];
    assert_eq!(rounded, expected);
}

#[test]
fn a_session_without_a_value_has_charts_that_say_so() {
    let bench = Bench::new(plan(&feature("A", "20 k6", "")));
    for kind in [
        BatchChart::Run,
        BatchChart::Control,
        BatchChart::Histogram,
        BatchChart::Capability,
        BatchChart::Trend,
    ] {
        let found = charts(&bench, kind);
        assert!(!found.is_empty() && !found[0].notes.is_empty(), "{kind:?}");
    }
    let plug = "[[feature]]\nid = \"T\"\ncallout = \"M8-6H\"\nelements = [\"go_plug\"]\n";
    let bench = Bench::new(plan(plug));
    assert!(charts(&bench, BatchChart::Run).is_empty());
}

#[cfg(unix)]
mod program {
    use std::fs;

    use crate::support::program::Shop;

    const VALUES: &str = "20.006\n20.007\n20.009\n20.008\n20.016\n20.007\n";

    fn measured(shop: &Shop, callouts: &[&str]) -> String {
        let mut arguments = vec!["inspect", "--json", "--gauge", "typed"];
        for callout in callouts {
            arguments.extend(["--callout", callout]);
        }
        let answer = shop.run(&arguments, VALUES);
        let last = answer.lines.last().unwrap();
        last["journal"].as_str().unwrap().to_owned()
    }

    #[test]
    fn a_record_gives_the_chart_of_its_values() {
        let shop = Shop::new();
        let journal = measured(&shop, &["20 k6"]);
        let args = [
            "chart", "--json", &journal, "--kind", "run", "--out", "a.svg",
        ];
        let answer = shop.run(&args, "");
        assert_eq!(answer.lines.len(), 1, "{}", answer.text);
        assert_eq!(answer.lines[0]["n"], 6);
        let note = "Cross: beyond a limit of size (1 of 6).";
        assert_eq!(answer.lines[0]["notes"], serde_json::json!([note]));
        let svg = fs::read_to_string(shop.path("a.svg")).unwrap();
        assert!(svg.contains("20 k6: run of values") && svg.contains("upper limit 20.015"));
        // A record is never written over.
        let args = [
            "chart", "--json", &journal, "--kind", "run", "--out", "x.jsonl",
        ];
        assert_eq!(
            shop.run(&args, "").lines[0]["error"]["code"],
            "form_unknown"
        );
    }

    #[test]
    fn what_is_not_in_the_record_is_said_and_damage_is_told() {
        let shop = Shop::new();
        let journal = measured(&shop, &["20 k6", "25 h9"]);
        let code = |more: &[&str]| {
            let mut args = vec![
                "chart", "--json", &journal, "--kind", "run", "--out", "a.svg",
            ];
            args.extend(more);
            let answer = shop.run(&args, "");
            (answer.lines[0]["error"]["code"].clone(), answer.code)
        };
        assert_eq!(code(&[]), ("feature_missing".into(), 2));
        assert_eq!(code(&["--feature", "Z"]), ("no_such_feature".into(), 2));
        assert_eq!(
            code(&["--feature", "A", "--element", "pitch"]).0,
            "no_such_feature"
        );
        let spoilt = fs::read_to_string(&journal)
            .unwrap()
            .replacen("20.007", "20.001", 1);
        fs::write(&journal, spoilt).unwrap();
        let args = [
            "chart",
            "--json",
            &journal,
            "--feature",
            "A",
            "--kind",
            "run",
        ];
        let answer = shop.run(&[&args[..], &["--out", "b.svg"]].concat(), "");
        assert_eq!(answer.code, 1, "{}", answer.text);
        let first = answer.lines[0]["notes"][0].as_str().unwrap();
        assert!(first.starts_with("The record is damaged"), "{first}");
        let args = [
            "chart",
            "--json",
            "none.jsonl",
            "--kind",
            "run",
            "--out",
            "c.svg",
        ];
        assert_eq!(shop.run(&args, "").code, 3);
    }
}

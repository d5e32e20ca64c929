//! Charts: what stands on them, that nothing is lost or hidden on the way to a picture, and that
//! every painter paints the same.

use fitledger::report::{
    Break, Chart, ChartOptions, ChartSize, Control, ControlRow, Controlled, Counted, Curve,
    DecimalMark, ENGLISH_CHARTS, IndexRow, Ink, Layer, RunPoint, Shape, Signalled, Stroke, Subject,
    Trend, capability_chart, chart_png, chart_svg, control_chart, drawing, histogram_chart,
    run_chart, tests_text, trend_chart,
};
use fitledger::statistics::{
    ControlLimits, Limits, Line, RunLengths, Signal, SignalTest, capability, histogram, normal_cdf,
    trend,
};
use quick_xml::Reader;
use quick_xml::events::Event;

use crate::statistics_cases::{case, number, numbers};

const LIMITS: (f64, f64) = (20.002, 20.015);

fn subject(decimal_mark: DecimalMark) -> Subject<'static> {
    Subject {
        title: "A 20 k6",
        unit: "mm",
        decimals: 3,
        decimal_mark,
        counted: Counted::Parts,
        words: &ENGLISH_CHARTS,
    }
}

fn limits() -> Limits {
    Limits::new(Some(LIMITS.0), Some(LIMITS.1)).unwrap()
}

fn points(values: &[f64]) -> Vec<RunPoint> {
    let numbered = values.iter().zip(1_u32..);
    let point = numbered.map(|(value, place)| RunPoint {
        place: f64::from(place),
        value: *value,
        is_in_doubt: false,
    });
    point.collect()
}

/// Numbers that look random and are the same everywhere.
fn noise(count: u32) -> Vec<f64> {
    let mut state = 12_345_u64;
    let mut next = || {
        state = state
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        f64::from((state >> 40) as u32) / f64::from(1_u32 << 24) - 0.5
    };
    (0..count)
        .map(|_| 20.0085 + 0.006 * (next() + next()))
        .collect()
}

fn shapes(chart: &Chart, wanted: Shape) -> usize {
    let count = chart.layers.iter().map(|layer| match layer {
        Layer::Points { at, shape } if *shape == wanted => at.len(),
        _ => 0,
    });
    count.sum()
}

fn lines_at(chart: &Chart, wanted: Stroke) -> Vec<f64> {
    let at = chart.layers.iter().filter_map(|layer| match layer {
        Layer::HorizontalLine { y, stroke, .. } if *stroke == wanted => Some(*y),
        _ => None,
    });
    at.collect()
}

/// One row of limits from the first point on.
fn row(lower: f64, centre: f64, upper: f64) -> [ControlRow; 1] {
    let limits = ControlLimits {
        lower,
        centre,
        upper,
    };
    [ControlRow { from: 0.5, limits }]
}

/// Every kind of chart of these values.
fn every_kind(values: &[f64], limits: Option<&Limits>, mark: DecimalMark) -> Vec<Chart> {
    let subject = subject(mark);
    let run = points(values);
    let places: Vec<f64> = run.iter().map(|point| point.place).collect();
    let line = trend(values).ok();
    let spread = histogram(values, 0.001, 20).ok();
    let found = limits.and_then(|limits| capability(values, limits, 0.95).ok());
    let rows = [
        IndexRow {
            name: "Pp",
            index: found.and_then(|found| found.spread),
        },
        IndexRow {
            name: "Ppk",
            index: found.map(|found| found.worst),
        },
    ];
    let share = |x: f64| normal_cdf((x - 20.0085) / 0.002);
    let curve = Curve {
        share_below: &share,
        is_bounded: false,
    };
    let signal = Signal {
        test: SignalTest::Beyond,
        point: 0,
    };
    let row = row(20.001, 20.0085, 20.016);
    let is_out = |value: &f64| {
        let below = limits.and_then(Limits::lower).is_some_and(|l| *value < l);
        below || limits.and_then(Limits::upper).is_some_and(|u| *value > u)
    };
    let beyond: Vec<f64> = values.iter().copied().filter(is_out).collect();
    let control = Control {
        shows: Controlled::Values,
        places: &places,
        values,
        rows: if values.len() > 1 { &row } else { &[] },
        is_provisional: false,
        in_doubt: &[],
        signals: &[signal],
        tests: Some(RunLengths::NELSON),
        breaks: &[],
    };
    let breaks = [Break {
        before: 2.0,
        name: "tool changed <T1> & \"T2\"".to_owned(),
    }];
    vec![
        run_chart(&subject, &run, limits, &breaks),
        trend_chart(&subject, &run, &held(line.as_ref(), limits, 0.0), &[]),
        control_chart(&subject, &control),
        histogram_chart(&subject, spread.as_ref(), (limits, &beyond), Some(curve)),
        capability_chart(&subject, &rows, values.len(), 0.95),
    ]
}

fn held<'a>(line: Option<&'a Line>, limits: Option<&'a Limits>, guard: f64) -> Trend<'a> {
    Trend {
        line,
        confidence: 0.95,
        limits,
        guard,
        is_told: true,
    }
}

/// Lists that a chart must survive.
fn hard_lists() -> Vec<Vec<f64>> {
    vec![
        vec![],
        vec![20.01],
        vec![20.01; 40],
        vec![20.0, 20.001],
        noise(60),
        noise(5_000),
        vec![-1e140, 1e140, 0.0],
        vec![1e17, 1e17 + 16.0, 1e17 + 32.0],
        vec![1e-300, 2e-300, 0.0],
        vec![f64::NAN, 20.0, f64::INFINITY],
    ]
}

#[test]
fn every_chart_of_every_list_is_sound_svg_inside_its_size() {
    let mut pictures = 0;
    for values in hard_lists() {
        for limits in [None, Some(limits())] {
            for size in [(900.0, 540.0), (120.0, 120.0), (3000.0, 200.0)] {
                for chart in every_kind(&values, limits.as_ref(), DecimalMark::Comma) {
                    let size = ChartSize::new(size.0, size.1).unwrap();
                    check_drawing(&chart, size);
                    let svg = chart_svg(&[chart], size, ChartOptions::default()).unwrap();
                    check_svg(&svg);
                    pictures += 1;
                }
            }
        }
    }
    assert_eq!(pictures, 10 * 2 * 3 * 5);
}

/// Every place is finite and on the picture; texts may reach a little beyond a small one.
fn check_drawing(chart: &Chart, size: ChartSize) {
    let drawn = drawing(std::slice::from_ref(chart), size, DecimalMark::Point).unwrap();
    let mut places = 0;
    for ink in &drawn.inks {
        let at: Vec<_> = match ink {
            Ink::Lines { pieces, .. } => pieces.concat(),
            Ink::Area { corners, .. } => corners.clone(),
            Ink::Discs { at, .. } | Ink::Rings { at, .. } => at.clone(),
            Ink::Text { .. } => Vec::new(),
        };
        for place in at {
            let fits = (-8.0..=size.width() + 8.0).contains(&place.x)
                && (-8.0..=size.height() + 8.0).contains(&place.y);
            assert!(fits, "{place:?} of {ink:?} on {size:?}");
            places += 1;
        }
    }
    assert!(places > 3, "an empty picture of {}", chart.title);
    assert!(drawn.said.contains(&chart.title));
}

fn check_svg(svg: &str) {
    let mut reader = Reader::from_str(svg);
    reader.config_mut().check_end_names = true;
    let mut elements = 0;
    loop {
        match reader.read_event().unwrap() {
            Event::Eof => break,
            Event::Start(one) | Event::Empty(one) => {
                for attribute in one.attributes() {
                    let attribute = attribute.unwrap();
                    let value = String::from_utf8(attribute.value.to_vec()).unwrap();
                    assert!(
                        !value.contains("NaN") && !value.contains("inf"),
                        "{value} in {svg}"
                    );
                }
                elements += 1;
            }
            _ => {}
        }
    }
    assert!(elements > 10);
    assert!(svg.starts_with("<svg xmlns=\"http://www.w3.org/2000/svg\""));
    // Nothing is loaded from elsewhere.
    assert!(!svg.contains("href") && !svg.contains("url("));
}

#[test]
fn what_comes_from_outside_stands_as_text_in_svg() {
    let chart = &every_kind(&noise(9), None, DecimalMark::Point)[0];
    let size = ChartSize::default();
    let svg = chart_svg(std::slice::from_ref(chart), size, ChartOptions::default()).unwrap();
    assert!(svg.contains("tool changed &lt;T1&gt; &amp; &quot;T2&quot;"));
    assert!(!svg.contains("<T1>"));
}

fn pixels(png: &[u8]) -> image::RgbaImage {
    image::load_from_memory(png).unwrap().to_rgba8()
}

#[test]
fn a_png_has_its_size_and_is_the_same_every_time() {
    let charts = every_kind(&noise(60), Some(&limits()), DecimalMark::Point);
    let size = ChartSize::new(300.0, 200.0).unwrap();
    for chart in charts {
        let chart = std::slice::from_ref(&chart);
        let first = chart_png(chart, size, 2.0, ChartOptions::default()).unwrap();
        let again = chart_png(chart, size, 2.0, ChartOptions::default()).unwrap();
        assert_eq!(first, again);
        let picture = pixels(&first);
        assert_eq!(picture.dimensions(), (600, 400));
        let dark = picture.pixels().filter(|pixel| pixel.0[1] < 80).count();
        assert!((500..100_000).contains(&dark), "{dark} dark pixels");
    }
}

#[test]
fn black_and_white_has_no_colour_and_says_the_same() {
    let beyond = Limits::new(Some(20.006), Some(20.010)).unwrap();
    let charts = every_kind(&noise(60), Some(&beyond), DecimalMark::Point);
    let size = ChartSize::default();
    let grey = ChartOptions {
        is_black_and_white: true,
        ..ChartOptions::default()
    };
    let is_coloured = |pixel: &image::Rgba<u8>| {
        let [red, green, blue, _] = pixel.0;
        let (least, most) = (red.min(green).min(blue), red.max(green).max(blue));
        most - least > 40
    };
    let mut coloured_charts = 0;
    for chart in charts {
        let chart = std::slice::from_ref(&chart);
        let png = chart_png(chart, size, 1.0, grey).unwrap();
        assert_eq!(pixels(&png).pixels().filter(|p| is_coloured(p)).count(), 0);
        let png = chart_png(chart, size, 1.0, ChartOptions::default()).unwrap();
        coloured_charts += u32::from(pixels(&png).pixels().any(is_coloured));
        // The same strokes, whatever the colours.
        let plain = |options| {
            let svg = chart_svg(chart, size, options).unwrap();
            let pieces = svg.split('"').map(str::to_owned);
            pieces
                .filter(|piece| !piece.starts_with('#'))
                .collect::<Vec<String>>()
        };
        assert_eq!(plain(grey), plain(ChartOptions::default()));
    }
    // The capability chart needs no colour.
    assert_eq!(coloured_charts, 4);
}

#[test]
fn each_shape_says_what_it_means_and_how_often() {
    let mut run = points(&[20.0085, 20.0020, 20.0150, 20.0019, 20.0151, 20.020]);
    run[5].is_in_doubt = true;
    let chart = run_chart(&subject(DecimalMark::Point), &run, Some(&limits()), &[]);
    // On a limit is within.
    assert_eq!(shapes(&chart, Shape::Disc), 3);
    assert_eq!(shapes(&chart, Shape::Cross), 2);
    assert_eq!(shapes(&chart, Shape::Ring), 1);
    assert_eq!(lines_at(&chart, Stroke::Limit), [20.002, 20.015]);
    let told = [
        "Cross: beyond a limit of size (2 of 6).",
        "Open disc: in doubt, its gauge was found wrong after it (1).",
    ];
    assert_eq!(chart.notes, told);
}

#[test]
fn a_break_stands_before_the_part_that_it_changed() {
    let breaks = [Break {
        before: 3.0,
        name: "tool changed".to_owned(),
    }];
    let run = points(&noise(5));
    let chart = run_chart(&subject(DecimalMark::Point), &run, None, &breaks);
    let found = chart.layers.iter().find_map(|layer| match layer {
        Layer::VerticalLine { x, label, stroke } => Some((*x, label.clone(), *stroke)),
        _ => None,
    });
    assert_eq!(found, Some((2.5, "tool changed".to_owned(), Stroke::Break)));
}

#[test]
fn signals_are_boxed_numbered_once_a_run_and_named_below() {
    let values = [1.0, 2.0, 3.0, 4.0, 5.0, 6.0, 7.0, 3.0, 30.0];
    let places = [11.0, 12.0, 13.0, 14.0, 15.0, 16.0, 17.0, 18.0, 19.0];
    let signal = |test, point| Signal { test, point };
    let control = Control {
        shows: Controlled::Values,
        places: &places,
        values: &values,
        rows: &row(-5.0, 4.0, 13.0),
        is_provisional: false,
        in_doubt: &[],
        signals: &[
            signal(SignalTest::Trend, 5),
            signal(SignalTest::Trend, 6),
            signal(SignalTest::Beyond, 8),
        ],
        tests: Some(RunLengths::NELSON),
        breaks: &[],
    };
    let chart = control_chart(&subject(DecimalMark::Point), &control);
    assert_eq!(shapes(&chart, Shape::Disc), 9);
    let signalled: Vec<Signalled> = chart
        .layers
        .iter()
        .filter_map(|layer| match layer {
            Layer::Signals { at, .. } => Some(at.clone()),
            _ => None,
        })
        .flatten()
        .collect();
    let told: Vec<(f64, String, bool)> = signalled
        .iter()
        .map(|one| (one.at.x, tests_text(one.tests), one.goes_on))
        .collect();
    let expected = [(16.0, "3", false), (17.0, "3", true), (19.0, "1", false)];
    let expected = expected.map(|(x, tests, goes_on)| (x, tests.to_owned(), goes_on));
    assert_eq!(told, expected);
    assert_eq!(lines_at(&chart, Stroke::Control), [13.0, -5.0]);
    let told = [
        "Box: a signal, with the number of its test. Tests: Nelson 1984 and ISO 8258.",
        "Where boxes would lie on each other, each test has a row above the chart instead: a bar \
         where it signals, and how often (×).",
        "1: a point beyond a control limit, at 19.",
        "3: 6 points in a row, steadily up or down, at 16, 17.",
    ];
    assert_eq!(chart.notes, told);
    let sevens = Control {
        tests: Some(RunLengths::SEVENS),
        ..control
    };
    let chart = control_chart(&subject(DecimalMark::Point), &sevens);
    assert_eq!(
        chart.notes[3],
        "3: 7 points in a row, steadily up or down, at 16, 17."
    );
}

#[test]
fn each_row_between_breaks_has_its_own_limits_and_only_the_last_is_labelled() {
    let of = |from: f64, centre: f64| ControlRow {
        from,
        limits: ControlLimits {
            lower: centre - 1.0,
            centre,
            upper: centre + 1.0,
        },
    };
    let control = Control {
        shows: Controlled::Values,
        places: &[1.0, 2.0, 3.0, 4.0],
        values: &[5.0, 5.5, 7.0, 7.5],
        rows: &[of(0.5, 5.0), of(2.5, 7.0)],
        is_provisional: true,
        in_doubt: &[1],
        signals: &[],
        tests: Some(RunLengths::NELSON),
        breaks: &[],
    };
    let chart = control_chart(&subject(DecimalMark::Point), &control);
    let earlier: Vec<(f64, f64, f64)> = chart
        .layers
        .iter()
        .filter_map(|layer| match layer {
            Layer::Line { at, stroke } if *stroke != Stroke::Course => {
                Some((at[0].x, at[1].x, at[0].y))
            }
            _ => None,
        })
        .collect();
    assert_eq!(earlier, [(0.5, 2.5, 5.0), (0.5, 2.5, 6.0), (0.5, 2.5, 4.0)]);
    let inforce: Vec<(Option<f64>, &str)> = chart
        .layers
        .iter()
        .filter_map(|layer| match layer {
            Layer::HorizontalLine { from, label, .. } => Some((*from, &**label)),
            _ => None,
        })
        .collect();
    let labels = [
        "mean 7.0000",
        "upper control 8.0000",
        "lower control 6.0000",
    ];
    assert_eq!(inforce, labels.map(|label| (Some(2.5), label)));
    assert_eq!(shapes(&chart, Shape::Ring), 1);
    let told = [
        "Open disc: in doubt, its gauge was found wrong after it (1).",
        "The control limits rest on few points: they are provisional.",
        "No signal. Tests: Nelson 1984 and ISO 8258.",
    ];
    assert_eq!(chart.notes, told);
}

#[test]
fn a_spread_has_no_lower_limit_at_zero_and_its_axis_shows_zero() {
    let control = Control {
        shows: Controlled::MovingRanges,
        places: &[2.0, 3.0],
        values: &[0.004, 0.002],
        rows: &row(0.0, 0.003, 0.0098),
        is_provisional: false,
        in_doubt: &[],
        signals: &[],
        tests: None,
        breaks: &[],
    };
    let chart = control_chart(&subject(DecimalMark::Point), &control);
    assert_eq!(lines_at(&chart, Stroke::Control), [0.0098]);
    assert!(chart.y.from < 0.0 && chart.y.from > -0.001);
    assert_eq!(chart.notes, ["No point beyond a control limit."]);
    let means = Control {
        shows: Controlled::Means,
        ..control
    };
    let chart = control_chart(&subject(DecimalMark::Point), &means);
    assert_eq!(lines_at(&chart, Stroke::Control), [0.0098, 0.0]);
}

#[test]
fn the_band_is_that_of_single_values_and_the_crossing_has_its_interval() {
    let drift = case(
        include_str!("../tables/linear_trend.json"),
        "drift_turned_diameter",
    );
    let values = numbers(&drift["y"]);
    let line = trend(&values).unwrap();
    let upper = number(&drift["upper_limit"]);
    let limits = Limits::new(None, Some(upper)).unwrap();
    let run = points(&values);
    let subject = subject(DecimalMark::Point);
    let chart = trend_chart(&subject, &run, &held(Some(&line), Some(&limits), 0.0), &[]);
    let band = chart.layers.iter().find_map(|layer| match layer {
        Layer::Band { lower, upper } => Some((lower.clone(), upper.clone())),
        _ => None,
    });
    let (lower, above) = band.unwrap();
    for (low, high) in lower.iter().zip(&above) {
        let expected = line.predict(low.x, 0.95).unwrap();
        let half = 0.5 * (high.y - low.y);
        assert!((half - expected.single_half_width).abs() < 1e-12);
        assert!((0.5 * (high.y + low.y) - expected.value).abs() < 1e-12);
    }
    let first = lower.first().unwrap();
    assert!(
        (first.x - 1.0).abs() < 1e-9,
        "the band begins at the first value"
    );
    let expected = number(&drift["expected"]["x_where_line_meets_limit"]);
    let crossing = chart.layers.iter().find_map(|layer| match layer {
        Layer::Interval {
            y,
            from,
            to,
            best: Some(best),
        } => Some((*y, *from, *to, *best)),
        _ => None,
    });
    let (y, from, to, best) = crossing.unwrap();
    // The part, as the advice says it: the next whole one.
    assert!((best - expected.ceil()).abs() < 1e-9 && (y - upper).abs() < 1e-12);
    assert!(from < best && best < to && to <= lower.last().unwrap().x + 1e-9);
    assert_eq!(
        chart.notes.last().unwrap(),
        "The line reaches the upper limit at 25 (23 to 28)."
    );
    // No limit lies ahead of a line that goes the other way.
    let behind = Limits::new(Some(19.9), None).unwrap();
    let chart = trend_chart(&subject, &run, &held(Some(&line), Some(&behind), 0.0), &[]);
    assert!(!chart.notes.iter().any(|note| note.contains("reaches")));
    let passed = Limits::new(None, Some(19.985)).unwrap();
    let chart = trend_chart(&subject, &run, &held(Some(&line), Some(&passed), 0.0), &[]);
    let is_beyond = |note: &String| note == "The line lies beyond the upper limit already.";
    assert!(chart.notes.iter().any(is_beyond));
    assert!(!chart.notes.iter().any(|note| note.contains("reaches")));
}

#[test]
fn a_guard_band_brings_the_part_nearer_and_is_drawn() {
    let values: Vec<f64> = (1..=12)
        .map(|at| 20.0 + 0.001 * f64::from(at) + if at % 2 == 0 { 0.0002 } else { -0.0002 })
        .collect();
    let line = trend(&values).unwrap();
    let limits = Limits::new(Some(19.9), Some(20.020)).unwrap();
    let subject = subject(DecimalMark::Point);
    let run = points(&values);
    let found = |guard: f64| {
        let held = held(Some(&line), Some(&limits), guard);
        let chart = trend_chart(&subject, &run, &held, &[]);
        let crossing = chart.layers.iter().find_map(|layer| match layer {
            Layer::Interval { y, best, .. } => Some((*y, best.unwrap())),
            _ => None,
        });
        (chart, crossing.unwrap())
    };
    // By hand: the line is 20 + 0.001 x within 0.00002, so it is at 20.020 by part 20, at 20.017
    // by part 17.
    let (chart, (y, part)) = found(0.0);
    assert!(
        (y - 20.020).abs() < 1e-12 && (part - 20.0).abs() <= 1.0,
        "{part}"
    );
    assert_eq!(lines_at(&chart, Stroke::Compared), [0.0; 0]);
    let (chart, (guarded, sooner)) = found(0.003);
    assert!(
        (guarded - 20.017).abs() < 1e-9 && (sooner - 17.0).abs() <= 1.0,
        "{sooner}"
    );
    assert!(sooner < part);
    assert!((lines_at(&chart, Stroke::Compared)[0] - 20.017).abs() < 1e-9);
    let last = chart.notes.last().unwrap();
    assert!(
        last.contains("upper limit less its guard band, 20.0170, at 1"),
        "{last}"
    );
}

#[test]
fn a_slope_that_may_be_chance_reaches_nothing() {
    // Steep enough to leave the limits soon, and too few or too scattered to be a drift.
    let four: Vec<f64> = (1..=4).map(|at| 20.0 + 0.002 * f64::from(at)).collect();
    let scattered = [20.0, 20.006, 19.999, 20.007, 20.001, 20.006, 20.004, 20.003];
    let limits = Limits::new(Some(19.98), Some(20.012)).unwrap();
    let subject = subject(DecimalMark::Point);
    for values in [&four[..], &scattered[..]] {
        let line = trend(values).unwrap();
        let held = held(Some(&line), Some(&limits), 0.0);
        let chart = trend_chart(&subject, &points(values), &held, &[]);
        assert!(!chart.notes.iter().any(|note| note.contains("reaches")));
        let chance = |note: &String| note.starts_with("The slope may be chance");
        assert!(chart.notes.iter().any(chance), "{:?}", chart.notes);
        let is_interval = |layer: &Layer| matches!(layer, Layer::Interval { .. });
        assert!(!chart.layers.iter().any(is_interval));
    }
}

#[test]
fn a_bar_is_hatched_only_where_a_value_lies_beyond() {
    // Bars of one step: the limit runs through the middle of the last, whose values are on it.
    let values = [20.010, 20.011, 20.012, 20.012];
    let found = histogram(&values, 0.001, 30).unwrap();
    let limits = Limits::new(None, Some(20.012)).unwrap();
    let subject = subject(DecimalMark::Point);
    let chart = histogram_chart(&subject, Some(&found), (Some(&limits), &[]), None);
    let is_hatched = |layer: &Layer| {
        matches!(
            layer,
            Layer::Bars {
                is_hatched: true,
                ..
            }
        )
    };
    assert!(!chart.layers.iter().any(is_hatched));
    assert!(!chart.notes.iter().any(|note| note.starts_with("Hatched")));
    // All of a bar beyond: whole and hatched.
    let limits = Limits::new(None, Some(20.0118)).unwrap();
    let beyond = [20.012, 20.012];
    let chart = histogram_chart(&subject, Some(&found), (Some(&limits), &beyond), None);
    let hatched = chart.layers.iter().find_map(|layer| match layer {
        Layer::Bars {
            bars,
            is_hatched: true,
        } => Some(bars.clone()),
        _ => None,
    });
    let hatched = hatched.unwrap();
    assert_eq!(hatched.len(), 1);
    assert!((hatched[0].from - 20.0115).abs() < 1e-9 && (hatched[0].to - 20.0125).abs() < 1e-9);
}

#[test]
fn under_thirty_values_no_best_index_is_drawn_or_written() {
    for (count, has_best) in [(29, false), (30, true)] {
        let charts = every_kind(&noise(count), Some(&limits()), DecimalMark::Point);
        let chart = charts.last().unwrap();
        let best = chart
            .layers
            .iter()
            .filter(|layer| matches!(layer, Layer::Interval { best: Some(_), .. }));
        assert_eq!(best.count(), if has_best { 2 } else { 0 });
        let is_bare = |layer: &Layer| match layer {
            Layer::Mark { text, .. } => !text.contains(" to "),
            _ => false,
        };
        assert!(!chart.layers.iter().any(is_bare));
        let said = chart
            .notes
            .iter()
            .any(|note| note.starts_with("Fewer than 30"));
        assert_eq!(said, !has_best);
    }
}

#[test]
fn bars_are_cut_at_the_limits_and_hatched_beyond() {
    // Steps of 0.001: the bar of 20.012 to 20.013 reaches over a limit of 20.0125.
    let values = [20.010, 20.011, 20.012, 20.013, 20.014, 20.014];
    let found = histogram(&values, 0.001, 3).unwrap();
    assert_eq!(found.steps_per_bin, 2);
    let limits = Limits::new(None, Some(20.0125)).unwrap();
    let subject = subject(DecimalMark::Point);
    let chart = histogram_chart(
        &subject,
        Some(&found),
        (Some(&limits), &[20.014, 20.013, 20.014]),
        None,
    );
    let bars = |wanted: bool| -> Vec<(f64, f64, f64)> {
        let all = chart.layers.iter().flat_map(|layer| match layer {
            Layer::Bars { bars, is_hatched } if *is_hatched == wanted => bars.clone(),
            _ => Vec::new(),
        });
        let rounded = |x: f64| (x * 1e5).round() / 1e5;
        all.map(|bar| (rounded(bar.from), rounded(bar.to), bar.height))
            .collect()
    };
    assert_eq!(
        bars(false),
        [(20.0095, 20.0115, 2.0), (20.0115, 20.0125, 2.0)]
    );
    assert_eq!(
        bars(true),
        [(20.0125, 20.0135, 2.0), (20.0135, 20.0155, 2.0)]
    );
}

#[test]
fn a_curve_expects_as_many_values_as_there_are() {
    let values = noise(1_000);
    let found = histogram(&values, 0.0001, 40).unwrap();
    let share = |x: f64| normal_cdf((x - 20.0085) / 0.0025);
    let curve = Curve {
        share_below: &share,
        is_bounded: false,
    };
    let subject = subject(DecimalMark::Point);
    let wide = Limits::new(Some(19.99), Some(20.03)).unwrap();
    let chart = histogram_chart(&subject, Some(&found), (Some(&wide), &[]), Some(curve));
    let line = chart.layers.iter().find_map(|layer| match layer {
        Layer::Line { at, .. } => Some(at.clone()),
        _ => None,
    });
    // The area under the curve over the width of a bar.
    let area: f64 = line
        .unwrap()
        .windows(2)
        .map(|pair| 0.5 * (pair[0].y + pair[1].y) * (pair[1].x - pair[0].x))
        .sum();
    assert!((area / found.bin_width - 1_000.0).abs() < 1.0);
}

#[test]
fn a_million_values_keep_their_extremes_and_few_strokes() {
    let mut values = noise(1_000_000);
    values[543_210] = 20.9;
    values[777_777] = 19.1;
    let run = points(&values);
    let chart = run_chart(&subject(DecimalMark::Point), &run, Some(&limits()), &[]);
    let drawn = drawing(
        std::slice::from_ref(&chart),
        ChartSize::default(),
        DecimalMark::Point,
    );
    let (mut places, mut highest, mut lowest) = (0, f64::INFINITY, f64::NEG_INFINITY);
    for ink in &drawn.unwrap().inks {
        let pieces = match ink {
            Ink::Lines { pieces, .. } => pieces.concat(),
            Ink::Discs { at, .. } => at.clone(),
            _ => Vec::new(),
        };
        places += pieces.len();
        if let Ink::Lines { pieces, .. } = ink
            && pieces.len() == 1
            && pieces[0].len() > 1_000
        {
            for at in &pieces[0] {
                highest = highest.min(at.y);
                lowest = lowest.max(at.y);
            }
        }
    }
    assert!(places < 20_000, "{places} places");
    // The axis reaches 6 % of its width beyond both, 106 of 112 parts of the height.
    let (top, bottom) = (48.0, 540.0 - 8.0 - 38.0 - 2.0 * 1.35 * 11.0);
    let share = |y: f64| (y - top) / (bottom - top);
    assert!(
        (share(highest) - 6.0 / 112.0).abs() < 0.01,
        "{}",
        share(highest)
    );
    assert!(
        (share(lowest) - 106.0 / 112.0).abs() < 0.01,
        "{}",
        share(lowest)
    );
}

#[test]
fn a_size_outside_what_a_picture_has_is_refused() {
    for (width, height) in [(119.0, 500.0), (500.0, 8_001.0), (f64::NAN, 500.0)] {
        assert_eq!(ChartSize::new(width, height), None);
    }
}

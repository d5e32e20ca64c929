//! How values lie between their limits: the histogram with its curve, and capability as intervals.

use super::chart::{Axis, Bar, Chart, Layer, Point, Scale, Stroke};
use super::chart_axis::Reach;
use super::chart_run::{is_beyond, percent};
use super::chart_subject::{Subject, filled};
use crate::statistics::{Histogram, Index, Limits};

/// Places at which a curve is computed.
const STEPS: u32 = 160;
/// What indices are compared with (common practice, no source).
const COMPARED: [f64; 3] = [1.0, 4.0 / 3.0, 5.0 / 3.0];
/// An axis of indices reaches at least so far.
const INDEX_SHOWN: f64 = 2.0;

/// The distribution that is drawn over a histogram.
#[derive(Clone, Copy)]
pub struct Curve<'a> {
    /// The share of values below a place.
    pub share_below: &'a dyn Fn(f64) -> f64,
    /// Whether it ends at zero; else it is normal.
    pub is_bounded: bool,
}

/// How often the values lie where, with the limits of size and a curve: what the curve expects in
/// a bar at each place. `beyond` are the values beyond a limit: a bar is hatched for them alone.
pub fn histogram_chart(
    subject: &Subject<'_>,
    histogram: Option<&Histogram>,
    (limits, beyond): (Option<&Limits>, &[f64]),
    curve: Option<Curve<'_>>,
) -> Chart {
    let words = subject.words;
    let both = [
        limits.and_then(Limits::lower),
        limits.and_then(Limits::upper),
    ];
    let mut reach = Reach::none().with(both.into_iter().flatten());
    let mut layers = Vec::new();
    let mut notes = Vec::new();
    let mut highest = 1.0_f64;
    if let Some(histogram) = histogram {
        let bars = histogram.counts.len() as f64;
        let end = histogram.start + bars * histogram.bin_width;
        reach = reach.with([histogram.start, end]);
        let (drawn, top) = bars_of(histogram, limits, beyond);
        highest = highest.max(top);
        let has_hatched = drawn.len() > 1;
        layers.extend(drawn);
        if let Some(curve) = curve {
            let line = expected(histogram, curve, reach.ends(subject.step()));
            highest = line.iter().map(|at| at.y).fold(highest, f64::max);
            layers.push(Layer::Line {
                at: line,
                stroke: Stroke::Fitted,
            });
        }
        notes.extend(bars_told(subject, histogram, curve, has_hatched));
    } else {
        notes.push(words.empty.to_owned());
    }
    for (limit, name) in both.iter().zip([words.lower_limit, words.upper_limit]) {
        if let Some(x) = *limit {
            layers.push(Layer::VerticalLine {
                x,
                label: filled(name, &[("value", &subject.read(x))]),
                stroke: Stroke::Limit,
            });
        }
    }
    if limits.is_none() {
        notes.push(words.limitless.to_owned());
    }
    Chart {
        title: subject.titled(words.histogram),
        x: subject.value_axis(words.value, reach),
        y: Axis {
            title: words.how_many.to_owned(),
            from: 0.0,
            to: 1.08 * highest,
            scale: Scale::Whole,
        },
        layers,
        notes,
    }
}

/// What curve and bars are.
fn bars_told(
    subject: &Subject<'_>,
    histogram: &Histogram,
    curve: Option<Curve<'_>>,
    has_hatched: bool,
) -> Vec<String> {
    let words = subject.words;
    let mut notes = Vec::new();
    if let Some(curve) = curve {
        let name = match curve.is_bounded {
            true => words.bounded_curve,
            false => words.normal_curve,
        };
        notes.push(name.to_owned());
    }
    let texts = [
        ("width", &*subject.read(histogram.bin_width)),
        ("steps", &*histogram.steps_per_bin.to_string()),
    ];
    notes.push(filled(words.bar_width, &texts));
    if has_hatched {
        notes.push(words.hatched_bars.to_owned());
    }
    notes
}

/// The bars, what of them lies beyond a limit apart, and how high the highest is. A bar that a
/// limit runs through is cut there, unless none of its values is beyond: a bar is as wide as its
/// steps, and a value on the limit is within.
fn bars_of(
    histogram: &Histogram,
    limits: Option<&Limits>,
    values_beyond: &[f64],
) -> (Vec<Layer>, f64) {
    let both = [
        limits.and_then(Limits::lower),
        limits.and_then(Limits::upper),
    ];
    let (mut within, mut beyond) = (Vec::new(), Vec::new());
    let edge = |bar: usize| histogram.start + bar as f64 * histogram.bin_width;
    let filled = histogram.counts.iter().enumerate();
    for (bar, count) in filled.filter(|(_, count)| **count > 0) {
        let mut cuts = vec![edge(bar)];
        let is_here = |value: &&f64| (edge(bar)..edge(bar + 1)).contains(*value);
        let out = values_beyond.iter().filter(is_here).count();
        let is_inside = |cut: &f64| edge(bar) < *cut && *cut < edge(bar + 1);
        // None of its values is beyond: whole; all are: whole and hatched.
        let is_mixed = out > 0 && (out as u64) < *count;
        let limits_inside = both.into_iter().flatten().filter(is_inside);
        cuts.extend(limits_inside.filter(|_| is_mixed));
        cuts.push(edge(bar + 1));
        for pair in cuts.windows(2) {
            let piece = Bar {
                from: pair[0],
                to: pair[1],
                height: *count as f64,
            };
            let is_out = match is_mixed {
                true => is_beyond(0.5 * (piece.from + piece.to), limits),
                false => out > 0,
            };
            match is_out {
                true => beyond.push(piece),
                false => within.push(piece),
            }
        }
    }
    let mut layers = vec![Layer::Bars {
        bars: within,
        is_hatched: false,
    }];
    if !beyond.is_empty() {
        layers.push(Layer::Bars {
            bars: beyond,
            is_hatched: true,
        });
    }
    let highest = histogram.counts.iter().copied().max().unwrap_or_default();
    (layers, highest as f64)
}

/// The number of values that the distribution puts in a bar at each place.
fn expected(histogram: &Histogram, curve: Curve<'_>, (from, to): (f64, f64)) -> Vec<Point> {
    let count = histogram.counts.iter().sum::<u64>() as f64;
    let half = 0.5 * histogram.bin_width;
    let step = (to - from) / f64::from(STEPS);
    let place = (0..=STEPS).map(|at| {
        let x = from + step * f64::from(at);
        // A distribution that ends at zero has nothing to the left of it.
        let left = match curve.is_bounded {
            true => (x - half).max(0.0),
            false => x - half,
        };
        let share = (curve.share_below)(x + half) - (curve.share_below)(left);
        let height = count * share.max(0.0) * 2.0 * half / (x + half - left);
        Point { x, y: height }
    });
    let is_there = |at: &Point| at.y.is_finite() && (at.x >= 0.0 || !curve.is_bounded);
    place.filter(is_there).collect()
}

/// One index of a capability chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct IndexRow<'a> {
    /// Its symbol: `Cp`, `Cpk`, `Pp`, `Ppk`.
    pub name: &'a str,
    /// What is known of it; none where it cannot be found.
    pub index: Option<Index>,
}

/// Capability as intervals, one row an index. `n` is the number of values.
pub fn capability_chart(
    subject: &Subject<'_>,
    rows: &[IndexRow<'_>],
    n: usize,
    confidence: f64,
) -> Chart {
    let words = subject.words;
    let known = rows.iter().filter_map(|row| row.index);
    let ends = known.flat_map(|index| [index.lower, index.upper]);
    let reach = Reach::none().with(ends).with([0.0, INDEX_SHOWN]);
    let (from, to) = reach.ends(subject.step());
    // The first row stands on top.
    let height = |row: usize| (rows.len() - row) as f64;
    let mut layers = Vec::new();
    for x in COMPARED {
        layers.push(Layer::VerticalLine {
            x,
            label: subject.number(x, 2),
            stroke: Stroke::Compared,
        });
    }
    for (row, one) in rows.iter().enumerate() {
        layers.extend(index_layers(subject, one.index, height(row)));
    }
    let mut names: Vec<String> = rows.iter().map(|row| row.name.to_owned()).collect();
    names.reverse();
    let texts = [
        ("confidence", &*percent(subject, confidence)),
        ("n", &*n.to_string()),
    ];
    let mut notes = Vec::new();
    if rows.iter().any(|row| row.index.is_some()) {
        notes.push(filled(words.intervals, &texts));
        let is_bare = |row: &IndexRow<'_>| row.index.is_some_and(|index| index.estimate.is_none());
        if rows.iter().any(is_bare) {
            notes.push(words.no_bare_index.to_owned());
        }
        let [low, middle, high] = COMPARED.map(|index| subject.number(index, 2));
        notes.push(filled(
            words.compared,
            &[("low", &low), ("middle", &middle), ("high", &high)],
        ));
    }
    Chart {
        title: subject.titled(words.capability),
        x: Axis {
            title: words.index.to_owned(),
            from: from.min(0.0),
            to,
            scale: Scale::Numbers,
        },
        y: Axis {
            title: String::new(),
            from: 0.4,
            // Room for what is written over the first row.
            to: rows.len() as f64 + 1.0,
            scale: Scale::Named(names),
        },
        layers,
        notes,
    }
}

fn index_layers(subject: &Subject<'_>, index: Option<Index>, y: f64) -> Vec<Layer> {
    let words = subject.words;
    let Some(index) = index else {
        return vec![Layer::Mark {
            at: Point { x: 0.0, y },
            text: words.no_index.to_owned(),
        }];
    };
    let number = |value: f64| subject.number(value, 2);
    let (from, to) = (number(index.lower), number(index.upper));
    let text = match index.estimate {
        Some(best) => filled(
            words.with_best,
            &[("best", &number(best)), ("from", &from), ("to", &to)],
        ),
        None => filled(words.without_best, &[("from", &from), ("to", &to)]),
    };
    let middle = index.estimate.unwrap_or(0.5 * (index.lower + index.upper));
    vec![
        Layer::Interval {
            y,
            from: index.lower,
            to: index.upper,
            best: index.estimate,
        },
        Layer::Mark {
            at: Point { x: middle, y },
            text,
        },
    ]
}

//! Control charts: points with their control limits, and each signal by the name of its test.

use super::chart::{Chart, Layer, Point, Shape, Signalled, Stroke};
use super::chart_axis::Reach;
use super::chart_run::{Break, break_lines, crowded};
use super::chart_subject::{Subject, filled};
use super::chart_words::ChartWords;
use crate::statistics::{ControlLimits, RunLengths, Signal, SignalTest, Signals, TestSet};

/// Places of one signal that are said one by one.
const PLACES_SAID: usize = 12;

/// What the points of a control chart are.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Controlled {
    /// Single values.
    Values,
    /// Distances of neighbours.
    MovingRanges,
    /// Means of subgroups.
    Means,
    /// Ranges of subgroups.
    Ranges,
    /// Standard deviations of subgroups.
    Deviations,
}

impl Controlled {
    fn is_spread(self) -> bool {
        matches!(self, Self::MovingRanges | Self::Ranges | Self::Deviations)
    }
}

/// A stretch of points with limits of its own: a break moves the process.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ControlRow {
    /// Where it begins.
    pub from: f64,
    /// Its limits.
    pub limits: ControlLimits,
}

/// A chart of location or of spread.
#[derive(Debug, Clone, Copy)]
pub struct Control<'a> {
    /// What the points are.
    pub shows: Controlled,
    /// Their numbers, as many as there are values.
    pub places: &'a [f64],
    /// The points.
    pub values: &'a [f64],
    /// Their limits, a row for each stretch between breaks, the one in force last; empty where
    /// there are too few points.
    pub rows: &'a [ControlRow],
    /// Whether the limits in force rest on few points.
    pub is_provisional: bool,
    /// Points in doubt, by place in `values`, ascending.
    pub in_doubt: &'a [usize],
    /// The signals, by point in `values`.
    pub signals: &'a [Signal],
    /// The tests that were made; none: only the limits are watched.
    pub tests: Option<RunLengths>,
    /// What happened between.
    pub breaks: &'a [Break],
}

/// A control chart.
pub fn control_chart(subject: &Subject<'_>, control: &Control<'_>) -> Chart {
    let words = subject.words;
    let (kind, axis) = match control.shows {
        Controlled::Values => (words.single_values, words.value),
        Controlled::MovingRanges => (words.moving_ranges, words.moving_range),
        Controlled::Means => (words.means, words.mean_of_subgroup),
        Controlled::Ranges => (words.ranges, words.range),
        Controlled::Deviations => (words.deviations, words.deviation),
    };
    let at = |(x, y): (&f64, &f64)| Point { x: *x, y: *y };
    let mut layers = vec![Layer::Line {
        at: control.places.iter().zip(control.values).map(at).collect(),
        stroke: Stroke::Course,
    }];
    layers.extend(break_lines(control.breaks));
    let mut reach = Reach::none().with(control.values.iter().copied());
    if control.shows.is_spread() {
        reach = reach.with([0.0]);
    }
    for row in control.rows {
        let limits = row.limits;
        reach = reach.with([limits.lower, limits.centre, limits.upper]);
    }
    layers.extend(limit_lines(subject, control));
    layers.extend(points(subject, control));
    Chart {
        title: subject.titled(kind),
        x: subject.counting_axis(Reach::none().with(control.places.iter().copied())),
        y: subject.value_axis(axis, reach),
        layers,
        notes: notes(subject, control),
    }
}

/// Centre and limits of every row, with their values where they are in force.
fn limit_lines(subject: &Subject<'_>, control: &Control<'_>) -> Vec<Layer> {
    let mut found = Vec::new();
    let first = control.places.first().copied().unwrap_or_default();
    for (at, row) in control.rows.iter().enumerate() {
        let is_whole = at == 0 && row.from <= first;
        let next = control.rows.get(at + 1);
        let ends = (row.from, next.map(|next| next.from));
        for (y, name, stroke) in lines(subject, row.limits, control.shows.is_spread()) {
            found.push(match ends {
                (from, Some(to)) => Layer::Line {
                    at: [from, to].map(|x| Point { x, y }).into(),
                    stroke,
                },
                (from, None) => Layer::HorizontalLine {
                    y,
                    from: (!is_whole).then_some(from),
                    label: filled(name, &[("value", &subject.computed(y))]),
                    stroke,
                },
            });
        }
    }
    found
}

/// Centre and limits of one row; a limit that lies on the centre has no line of its own. A spread
/// cannot be below zero, so that a limit there limits nothing.
fn lines(
    subject: &Subject<'_>,
    limits: ControlLimits,
    is_spread: bool,
) -> Vec<(f64, &'static str, Stroke)> {
    let words = subject.words;
    let mut found = vec![(limits.centre, words.mean, Stroke::Centre)];
    if limits.upper > limits.centre {
        found.push((limits.upper, words.upper_control, Stroke::Control));
    }
    if limits.lower < limits.centre && !(is_spread && limits.lower <= 0.0) {
        found.push((limits.lower, words.lower_control, Stroke::Control));
    }
    found
}

/// Every point, in doubt or not, and the signals among them.
fn points(subject: &Subject<'_>, control: &Control<'_>) -> Vec<Layer> {
    let pairs = || control.places.iter().zip(control.values);
    let at = |(x, y): (&f64, &f64)| Point { x: *x, y: *y };
    let of = |is_doubtful: bool, shape: Shape| {
        let numbered = pairs().enumerate();
        let same = numbered
            .filter(|(point, _)| control.in_doubt.binary_search(point).is_ok() == is_doubtful);
        let at = same.map(|(_, pair)| at(pair)).collect();
        Layer::Points { at, shape }
    };
    let mut layers = vec![of(false, Shape::Disc), of(true, Shape::Ring)];
    let mut tests = vec![Signals::default(); control.values.len()];
    for signal in control.signals {
        if let Some(here) = tests.get_mut(signal.point) {
            *here = here.with(signal.test);
        }
    }
    let mut before = Signals::default();
    let all = pairs().zip(tests).map(|(pair, tests)| {
        let goes_on = std::mem::replace(&mut before, tests) == tests;
        Signalled {
            at: at(pair),
            tests,
            goes_on,
        }
    });
    let signalled: Vec<Signalled> = all.filter(|one| !one.tests.is_empty()).collect();
    if !signalled.is_empty() {
        layers.push(signals_layer(subject.words, signalled));
    }
    layers
}

pub(super) fn signals_layer(words: &ChartWords, at: Vec<Signalled>) -> Layer {
    let test = words.signal_row.to_owned();
    Layer::Signals { at, test }
}

/// What stands in place of boxes that would lie on each other, which one alone cannot.
pub(super) fn rows_note(words: &ChartWords, signalled: usize) -> Option<String> {
    (signalled > 1).then(|| words.signal_rows.to_owned())
}

fn notes(subject: &Subject<'_>, control: &Control<'_>) -> Vec<String> {
    let words = subject.words;
    let mut notes = Vec::new();
    let Some(row) = control.rows.last() else {
        notes.push(words.uncontrolled.to_owned());
        return notes;
    };
    let limits = row.limits;
    if limits.upper <= limits.centre && limits.lower >= limits.centre {
        let centre = subject.read(limits.centre);
        notes.push(filled(words.all_equal, &[("value", &centre)]));
        return notes;
    }
    notes.extend(crowded(subject, control.values.len()));
    if !control.in_doubt.is_empty() {
        let n = control.in_doubt.len().to_string();
        notes.push(filled(words.rings, &[("n", &n)]));
    }
    if control.is_provisional {
        notes.push(words.provisional.to_owned());
    }
    let Some(lengths) = control.tests else {
        let at = control.signals.iter();
        let places: Vec<f64> = at
            .filter_map(|signal| control.places.get(signal.point).copied())
            .collect();
        notes.push(match places.is_empty() {
            true => words.limits_only.to_owned(),
            false => {
                let places = listed(subject, &places);
                filled(words.boxes_of_limits, &[("places", &places)])
            }
        });
        notes.extend(rows_note(words, control.signals.len()));
        return notes;
    };
    let [nelson, eight, sevens, own] = words.test_sets;
    let name = match lengths.set() {
        TestSet::Nelson => nelson,
        TestSet::EightOnOneSide => eight,
        TestSet::Sevens => sevens,
        TestSet::Own => own,
    };
    let sentence = match control.signals.is_empty() {
        true => words.silent,
        false => words.boxes,
    };
    notes.push(filled(sentence, &[("tests", name)]));
    notes.extend(rows_note(words, control.signals.len()));
    for test in SignalTest::ALL {
        let at = control.signals.iter().filter(|signal| signal.test == test);
        let places: Vec<f64> = at
            .filter_map(|signal| control.places.get(signal.point).copied())
            .collect();
        if !places.is_empty() {
            let name = named_test(words, test, lengths);
            let texts = [
                ("number", &*test.number().to_string()),
                ("name", &*name),
                ("places", &*listed(subject, &places)),
            ];
            notes.push(filled(words.signal, &texts));
        }
    }
    notes
}

/// The name of a test with its run length.
pub(super) fn named_test(
    words: &'static ChartWords,
    test: SignalTest,
    lengths: RunLengths,
) -> String {
    let run = |n: Option<u32>| (n, None);
    let (n, of) = match test {
        SignalTest::Beyond => (None, None),
        SignalTest::OneSide => run(lengths.one_side),
        SignalTest::Trend => run(lengths.trend),
        SignalTest::Alternating => run(lengths.alternating),
        SignalTest::NearLimit => split(lengths.near_limit),
        SignalTest::OffCentre => split(lengths.off_centre),
        SignalTest::Quiet => run(lengths.quiet),
        SignalTest::Mixed => run(lengths.mixed),
    };
    let name = words.tests.get(usize::from(test.number()) - 1);
    let text = |number: Option<u32>| number.map_or(String::new(), |number| number.to_string());
    filled(
        name.copied().unwrap_or_default(),
        &[("n", &text(n)), ("of", &text(of))],
    )
}

fn split(share: Option<crate::statistics::Share>) -> (Option<u32>, Option<u32>) {
    (
        share.map(|share| share.points),
        share.map(|share| share.among),
    )
}

fn listed(subject: &Subject<'_>, places: &[f64]) -> String {
    let said = places.iter().take(PLACES_SAID);
    let said: Vec<String> = said.map(|place| subject.number(*place, 0)).collect();
    let mut text = said.join(", ");
    if places.len() > PLACES_SAID {
        let rest = (places.len() - PLACES_SAID).to_string();
        text += " ";
        text += &filled(subject.words.more, &[("n", &rest)]);
    }
    text
}

//! Control charts: points with their control limits, and each signal by the name of its test.

use super::chart::{Chart, Layer, Point, Shape, Stroke};
use super::chart_axis::Reach;
use super::chart_run::{Break, break_lines};
use super::chart_subject::{Subject, filled};
use crate::statistics::{ControlLimits, RunLengths, Signal, SignalTest, TestSet};

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

/// A chart of location or of spread.
#[derive(Debug, Clone, Copy)]
pub struct Control<'a> {
    /// What the points are.
    pub shows: Controlled,
    /// Their numbers, as many as there are values.
    pub places: &'a [f64],
    /// The points.
    pub values: &'a [f64],
    /// Their limits; none where there are too few.
    pub limits: Option<ControlLimits>,
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
    let mut layers: Vec<Layer> = break_lines(control.breaks).collect();
    let mut reach = Reach::none().with(control.values.iter().copied());
    if let Some(limits) = control.limits {
        reach = reach.with([limits.lower, limits.centre, limits.upper]);
        layers.extend(lines(subject, limits));
    }
    layers.extend(points(control));
    Chart {
        title: subject.titled(kind),
        x: subject.counting_axis(Reach::none().with(control.places.iter().copied())),
        y: subject.value_axis(axis, reach),
        layers,
        notes: notes(subject, control),
    }
}

/// Centre and limits; a limit that lies on the centre has no line of its own.
fn lines(subject: &Subject<'_>, limits: ControlLimits) -> Vec<Layer> {
    let words = subject.words;
    let line = |y: f64, name: &str, stroke| Layer::HorizontalLine {
        y,
        label: filled(name, &[("value", &subject.computed(y))]),
        stroke,
    };
    let mut found = vec![line(limits.centre, words.mean, Stroke::Centre)];
    if limits.upper > limits.centre {
        found.push(line(limits.upper, words.upper_control, Stroke::Control));
    }
    if limits.lower < limits.centre {
        found.push(line(limits.lower, words.lower_control, Stroke::Control));
    }
    found
}

fn points(control: &Control<'_>) -> Vec<Layer> {
    let pairs = || control.places.iter().zip(control.values);
    let mut tests = vec![Vec::new(); control.values.len()];
    for signal in control.signals {
        if let Some(here) = tests.get_mut(signal.point) {
            here.push(signal.test.number().to_string());
        }
    }
    let at = |(x, y): (&f64, &f64)| Point { x: *x, y: *y };
    let of = |is_signal: bool| {
        let same = pairs()
            .zip(&tests)
            .filter(|(_, tests)| tests.is_empty() != is_signal);
        same.map(|(pair, _)| at(pair)).collect::<Vec<Point>>()
    };
    let mut layers = vec![
        Layer::Line {
            at: pairs().map(at).collect(),
            stroke: Stroke::Course,
        },
        Layer::Points {
            at: of(false),
            shape: Shape::Disc,
        },
        Layer::Points {
            at: of(true),
            shape: Shape::Boxed,
        },
    ];
    let signalling = pairs().zip(&tests).filter(|(_, tests)| !tests.is_empty());
    layers.extend(signalling.map(|(pair, tests)| Layer::Mark {
        at: at(pair),
        text: tests.join(" "),
    }));
    layers
}

fn notes(subject: &Subject<'_>, control: &Control<'_>) -> Vec<String> {
    let words = subject.words;
    let mut notes = Vec::new();
    let Some(limits) = control.limits else {
        notes.push(words.uncontrolled.to_owned());
        return notes;
    };
    if limits.upper <= limits.centre && limits.lower >= limits.centre {
        let centre = subject.read(limits.centre);
        notes.push(filled(words.all_equal, &[("value", &centre)]));
        return notes;
    }
    let set = match control.tests {
        None => words.limits_only.to_owned(),
        Some(lengths) => {
            let [nelson, eight, sevens, own] = words.test_sets;
            let name = match lengths.set() {
                TestSet::Nelson => nelson,
                TestSet::EightOnOneSide => eight,
                TestSet::Sevens => sevens,
                TestSet::Own => own,
            };
            let sentence = match control.signals.is_empty() {
                true => words.silent,
                false => words.tested,
            };
            filled(sentence, &[("tests", name)])
        }
    };
    if !control.signals.is_empty() {
        notes.push(words.boxes.to_owned());
    }
    for test in SignalTest::ALL {
        let at = control.signals.iter().filter(|signal| signal.test == test);
        let places: Vec<f64> = at
            .filter_map(|signal| control.places.get(signal.point).copied())
            .collect();
        if !places.is_empty() {
            let name = named(subject, test, control.tests);
            let texts = [
                ("number", &*test.number().to_string()),
                ("name", &*name),
                ("places", &*listed(subject, &places)),
            ];
            notes.push(filled(words.signal, &texts));
        }
    }
    notes.push(set);
    notes
}

/// The name of a test with its run length.
fn named(subject: &Subject<'_>, test: SignalTest, lengths: Option<RunLengths>) -> String {
    let run = |n: Option<u32>| (n, None);
    let lengths = lengths.unwrap_or(RunLengths::NELSON);
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
    let name = subject.words.tests.get(usize::from(test.number()) - 1);
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

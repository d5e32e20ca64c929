//! Control charts: points with their control limits, and each signal by the name of its test.

use super::chart::{Chart, Layer, Point, Shape, Stroke};
use super::chart_axis::Reach;
use super::chart_run::{Break, break_lines, crowded};
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

impl Controlled {
    fn is_spread(self) -> bool {
        matches!(self, Self::MovingRanges | Self::Ranges | Self::Deviations)
    }
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
    if let Some(limits) = control.limits {
        reach = reach.with([limits.lower, limits.centre, limits.upper]);
        layers.extend(lines(subject, limits, control.shows.is_spread()));
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
/// A spread cannot be below zero, so that a limit there limits nothing.
fn lines(subject: &Subject<'_>, limits: ControlLimits, is_spread: bool) -> Vec<Layer> {
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
    if limits.lower < limits.centre && !(is_spread && limits.lower <= 0.0) {
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
        Layer::Points {
            at: of(false),
            shape: Shape::Disc,
        },
        Layer::Points {
            at: of(true),
            shape: Shape::Boxed,
        },
    ];
    // Where the same tests signal point after point, the first is numbered.
    let mut before: &[String] = &[];
    for (pair, tests) in pairs().zip(&tests) {
        if !tests.is_empty() && tests != before {
            layers.push(Layer::Mark {
                at: at(pair),
                text: tests.join(" "),
            });
        }
        before = tests;
    }
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
    notes.extend(crowded(subject, control.values.len()));
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
    for test in SignalTest::ALL {
        let at = control.signals.iter().filter(|signal| signal.test == test);
        let places: Vec<f64> = at
            .filter_map(|signal| control.places.get(signal.point).copied())
            .collect();
        if !places.is_empty() {
            let name = named(subject, test, lengths);
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
fn named(subject: &Subject<'_>, test: SignalTest, lengths: RunLengths) -> String {
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

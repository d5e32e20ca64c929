//! Signals on a chart: a box around each, with the numbers of its tests, as long as boxes and
//! numbers have room beside each other. Else each test has a row above the chart, with a bar
//! wherever it signals: so no signal hides another, nor what the values do.

use super::chart::{Chart, Layer, Point, Signalled};
use super::chart_batch::tests_text;
use super::drawing::{Anchor, Ink, NOTE_SIZE, Place, Tone, at, width_of};
use super::drawing_layers::{Frame, pen, stroked};
use super::drawing_texts::Written;
use super::pdf_text::{Faces, Weight};
use crate::statistics::{SignalTest, Signals};

/// A box leaves so much free around its point, and is not smaller than that from its middle on.
const AROUND: f64 = 2.6;
const HALF_MIN: f64 = 4.4;
/// A point that signals among very many has at least this radius.
const SIGNAL_RADIUS: f64 = 1.3;
/// The height of a row.
const ROW: f64 = 13.0;
/// Rows get at most so much of what chart and rows have together.
const ROWS_SHARE: f64 = 0.36;
/// From the last row to the chart: the title of the vertical axis stands between them.
const TO_CHART: f64 = 21.0;
/// A bar: its height, half of its least length, and how much has to be free between two.
const BAR: f64 = 6.0;
const BAR_HALF: f64 = 1.25;
const BAR_GAP: f64 = 1.0;
/// A row's name that would take more of the width is its number alone.
const NAME_SHARE: f64 = 0.16;

/// Half the side of a box around a point.
fn half_box(radius: f64) -> f64 {
    (radius + AROUND).max(HALF_MIN)
}

/// Those of a chart that lie between the ends of its horizontal axis, and what a test is called.
fn signals_of(chart: &Chart) -> (Vec<&Signalled>, &str) {
    let mut name = "";
    let layers = chart.layers.iter().filter_map(|layer| match layer {
        Layer::Signals { at, test } => {
            name = test;
            Some(at)
        }
        _ => None,
    });
    let shown = |one: &&Signalled| (chart.x.from..=chart.x.to).contains(&one.at.x);
    let mut all: Vec<&Signalled> = layers.flatten().filter(shown).collect();
    all.sort_by(|one, other| one.at.x.total_cmp(&other.at.x));
    (all, name)
}

/// Whether boxes around these points would lie on each other.
fn are_crowded(frame: &Frame, signals: &[Signalled], radius: f64) -> bool {
    let side = 2.0 * half_box(radius);
    let mut places: Vec<_> = signals.iter().map(|one| frame.place(&one.at)).collect();
    places.sort_by(|one, other| one.x.total_cmp(&other.x));
    let mut rest = places.as_slice();
    while let [first, later @ ..] = rest {
        let mut near = later.iter().take_while(|other| other.x - first.x < side);
        if near.any(|other| (other.y - first.y).abs() < side) {
            return true;
        }
        rest = later;
    }
    false
}

/// A box around each signal, with the numbers of its tests; or not, if two would lie on each other.
pub(super) fn boxed(
    frame: &Frame,
    signals: &[Signalled],
    radius: f64,
    faces: &Faces,
    written: &mut Written,
    inks: &mut Vec<Ink>,
) -> bool {
    let shown = |one: &&Signalled| frame.has_across(one.at.x);
    let signals: Vec<Signalled> = signals.iter().filter(shown).copied().collect();
    if are_crowded(frame, &signals, radius) {
        return false;
    }
    let half = half_box(radius);
    let boxes = signals.iter().map(|one| square(frame.place(&one.at), half));
    inks.push(Ink::Lines {
        pieces: boxes.collect(),
        pen: pen(if radius > 1.5 { 1.6 } else { 1.2 }, Tone::Signal, &[]),
    });
    let middles = signals.iter().map(|one| frame.place(&one.at));
    written.boxes(middles, half);
    let mut named = signals.iter().filter(|one| !one.goes_on);
    named.all(|one| {
        let text = tests_text(one.tests);
        written.mark(frame, frame.place(&one.at), &text, half - 2.6, faces, inks)
    })
}

/// The points that signal, where their tests have rows: told apart a little here, too.
pub(super) fn signalling(frame: &Frame, signals: &[Signalled], radius: f64, inks: &mut Vec<Ink>) {
    let points: Vec<Point> = signals.iter().map(|one| one.at).collect();
    inks.push(Ink::Discs {
        at: frame.shown(&points),
        radius: radius.max(SIGNAL_RADIUS),
        tone: Tone::Signal,
    });
}

fn square(middle: Place, half: f64) -> Vec<Place> {
    let corner = |x: f64, y: f64| at(middle.x + x * half, middle.y + y * half);
    vec![
        corner(-1.0, -1.0),
        corner(1.0, -1.0),
        corner(1.0, 1.0),
        corner(-1.0, 1.0),
        corner(-1.0, -1.0),
    ]
}

/// The numbers of tests, three and more in a row by their ends: `1, 3-6`.
fn numbers_short(tests: Signals) -> String {
    let mut runs: Vec<(u8, u8)> = Vec::new();
    for number in tests.iter().map(SignalTest::number) {
        match runs.last_mut() {
            Some((_, last)) if *last + 1 == number => *last = number,
            _ => runs.push((number, number)),
        }
    }
    let texts = runs.into_iter().map(|(first, last)| match last - first {
        0 => first.to_string(),
        1 => format!("{first}, {last}"),
        _ => format!("{first}-{last}"),
    });
    texts.collect::<Vec<_>>().join(", ")
}

/// One row: of one test, or of those for which no further row has room.
struct Row {
    name: String,
    count: String,
    /// Where it signals, ascending, in the units of the axis.
    at: Vec<f64>,
}

/// The rows above a chart.
pub(super) struct SignalRows {
    rows: Vec<Row>,
    names: f64,
    counts: f64,
}

impl SignalRows {
    /// Those of a chart that has `width` and, with its rows, `height`.
    pub(super) fn of(chart: &Chart, faces: &Faces, (width, height): (f64, f64)) -> Self {
        let (signals, name) = signals_of(chart);
        let of = |tests: Signals| -> Vec<f64> {
            let signals = signals.iter();
            let here = signals.filter(|one| one.tests.iter().any(|test| tests.contains(test)));
            here.map(|one| one.at.x).collect()
        };
        let signalling = signals.iter().flat_map(|one| one.tests.iter());
        let found = signalling.fold(Signals::default(), Signals::with);
        // From 1 to 8: the conversion keeps the number.
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
        let most = (ROWS_SHARE * height / ROW).clamp(1.0, 8.0) as usize;
        // The last row takes those for which there is none.
        let mut tests: Vec<Signals> = Vec::new();
        for test in found.iter() {
            let is_full = tests.len() >= most;
            match tests.last_mut() {
                Some(last) if is_full => *last = last.with(test),
                _ => tests.push(Signals::default().with(test)),
            }
        }
        let wide = |text: &str| width_of(faces, text, Weight::Regular, NOTE_SIZE);
        let long = |tests: &Signals| format!("{name} {}", numbers_short(*tests));
        let widest = |texts: &[String]| texts.iter().map(|text| wide(text)).fold(0.0, f64::max);
        let mut names: Vec<String> = tests.iter().map(long).collect();
        if widest(&names) > NAME_SHARE * width {
            names = tests.iter().map(|tests| numbers_short(*tests)).collect();
        }
        let rows = tests.into_iter().zip(names).map(|(tests, name)| {
            let at = of(tests);
            let count = format!("× {}", at.len());
            Row { name, count, at }
        });
        let rows: Vec<Row> = rows.collect();
        Self {
            names: rows.iter().map(|row| wide(&row.name)).fold(0.0, f64::max),
            counts: rows.iter().map(|row| wide(&row.count)).fold(0.0, f64::max),
            rows,
        }
    }

    /// How high they are together.
    pub(super) fn height(&self) -> f64 {
        self.rows.len() as f64 * ROW
    }

    /// How wide their names are.
    pub(super) fn names(&self) -> f64 {
        self.names
    }

    /// How wide their counts are.
    pub(super) fn counts(&self) -> f64 {
        self.counts
    }

    /// The rows, with the lines of the chart at which something happened.
    pub(super) fn paint(&self, chart: &Chart, frame: &Frame, inks: &mut Vec<Ink>) {
        let plot = frame.plot;
        let bottom = plot.top - TO_CHART;
        let top = bottom - self.height();
        let middles = (0..self.rows.len()).map(|row| top + (row as f64 + 0.5) * ROW);
        let middles: Vec<f64> = middles.collect();
        let across = middles.iter();
        inks.push(Ink::Lines {
            pieces: across
                .map(|y| vec![at(plot.left, *y), at(plot.right, *y)])
                .collect(),
            pen: pen(1.0, Tone::Faint, &[]),
        });
        for layer in &chart.layers {
            if let Layer::VerticalLine { x, stroke, .. } = layer
                && (chart.x.from..=chart.x.to).contains(x)
            {
                let x = frame.across(*x);
                inks.push(stroked(vec![vec![at(x, top), at(x, bottom)]], *stroke));
            }
        }
        for (row, y) in self.rows.iter().zip(middles) {
            let bars = bars(row.at.iter().map(|x| frame.across(*x)));
            let bars = bars.into_iter();
            inks.push(Ink::Lines {
                pieces: bars
                    .map(|(from, to)| vec![at(from, y), at(to, y)])
                    .collect(),
                pen: pen(BAR, Tone::Signal, &[]),
            });
            let base = y + 0.36 * NOTE_SIZE;
            let text = |x: f64, text: &str, anchor: Anchor| Ink::Text {
                at: at(x, base),
                text: text.to_owned(),
                size: NOTE_SIZE,
                is_bold: false,
                anchor,
                tone: Tone::Black,
            };
            inks.push(text(plot.left - 6.0, &row.name, Anchor::End));
            inks.push(text(plot.right + 9.0, &row.count, Anchor::Start));
        }
    }
}

/// From where to where bars reach that cover all these places, which ascend: bars that would touch
/// are one.
fn bars(places: impl Iterator<Item = f64>) -> Vec<(f64, f64)> {
    let mut bars: Vec<(f64, f64)> = Vec::new();
    for x in places {
        let (from, to) = (x - BAR_HALF, x + BAR_HALF);
        match bars.last_mut() {
            Some((_, end)) if from < *end + BAR_GAP => *end = to,
            _ => bars.push((from, to)),
        }
    }
    bars
}

#[cfg(test)]
mod tests {
    use super::{SignalTest, Signals, bars, numbers_short};

    #[test]
    fn bars_that_would_touch_are_one_and_cover_every_place() {
        let found = bars([1.0, 2.0, 4.5, 40.0].into_iter());
        assert_eq!(found, [(-0.25, 5.75), (38.75, 41.25)]);
    }

    #[test]
    fn the_numbers_of_a_row_are_told_by_their_ends_where_they_follow_each_other() {
        let of = |numbers: &[u8]| {
            let tests = SignalTest::ALL.into_iter();
            let tests = tests.filter(|test| numbers.contains(&test.number()));
            numbers_short(tests.fold(Signals::default(), Signals::with))
        };
        assert_eq!(of(&[3]), "3");
        assert_eq!(of(&[1, 2, 5]), "1, 2, 5");
        assert_eq!(of(&[1, 3, 4, 5, 8]), "1, 3-5, 8");
    }
}

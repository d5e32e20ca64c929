//! Where a value lies between its limits, as a small picture.

use super::pdf_page::{Ink, Op};
use super::sheet::Bar;

/// Width of a bar in its column, points.
pub(super) const BAR_WIDTH: f32 = 62.0;
/// Height of a bar, points.
pub(super) const BAR_HEIGHT: f32 = 12.0;
/// Where the limits stand in a bar, over its width.
const BAR_LIMIT: f32 = 0.16;

/// The limits as two ticks, what lies between as a band, the uncertainty as a line, the value as a
/// mark whose shape says the verdict.
pub(super) fn bar_ops(bar: Bar, verdict: &str) -> Vec<Op> {
    let place = |thousandths: i32| {
        // A little beyond the limits can still be told; what is farther stands at the end.
        #[allow(clippy::cast_precision_loss)] // a place on paper
        let share = thousandths.clamp(-240, 1240) as f32 / 1000.0;
        BAR_WIDTH * (BAR_LIMIT + share * (1.0 - 2.0 * BAR_LIMIT))
    };
    let (lower, upper, at) = (place(0), place(1000), place(bar.at));
    let middle = BAR_HEIGHT * 0.5;
    let mut ops = vec![
        Op::rule((0.0, middle), (BAR_WIDTH, middle), 0.4, Ink::Line),
        Op::rect(lower, middle - 3.0, upper - lower, 6.0, Ink::Tint),
        Op::rule(
            (place(500), middle - 3.0),
            (place(500), middle + 3.0),
            0.3,
            Ink::Line,
        ),
        Op::rule(
            (lower, middle - 5.0),
            (lower, middle + 5.0),
            0.9,
            Ink::Black,
        ),
        Op::rule(
            (upper, middle - 5.0),
            (upper, middle + 5.0),
            0.9,
            Ink::Black,
        ),
    ];
    if bar.half_width > 0 {
        let from = place(bar.at.saturating_sub(bar.half_width));
        let to = place(bar.at.saturating_add(bar.half_width));
        ops.push(Op::rule((from, middle), (to, middle), 1.2, Ink::Black));
        for end in [from, to] {
            ops.push(Op::rule(
                (end, middle - 2.0),
                (end, middle + 2.0),
                0.8,
                Ink::Black,
            ));
        }
    }
    ops.extend(mark(at, middle, verdict));
    if !(-240..=1240).contains(&bar.at) {
        let (tip, back) = if bar.at < 0 {
            (at - 6.5, 3.0)
        } else {
            (at + 6.5, -3.0)
        };
        ops.push(Op::Shape {
            points: vec![
                (tip, middle),
                (tip + back, middle - 2.4),
                (tip + back, middle + 2.4),
            ],
            fill: Some(Ink::Black),
            edge: None,
        });
    }
    ops
}

/// The mark of a value: its shape says the verdict.
fn mark(x: f32, y: f32, verdict: &str) -> Vec<Op> {
    let disc = |fill| Op::Pill {
        left: x - 2.6,
        top: y - 2.6,
        width: 5.2,
        height: 5.2,
        fill,
        edge: Some((0.9, Ink::Black)),
    };
    let stroke = |from, to| Op::rule(from, to, 1.6, Ink::Black);
    let (left, right, up, down) = (x - 2.8, x + 2.8, y - 2.8, y + 2.8);
    match verdict {
        "GO" => vec![disc(Ink::Black)],
        "DOUBT" => vec![disc(Ink::White)],
        "NO-GO" => vec![
            stroke((left, up), (right, down)),
            stroke((left, down), (right, up)),
        ],
        _ => vec![Op::Shape {
            points: vec![(left, up), (right, up), (right, down), (left, down)],
            fill: Some(Ink::White),
            edge: Some((0.9, Ink::Black)),
        }],
    }
}

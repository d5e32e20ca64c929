//! Charts on paper: the drawing that every painter gets, in points and in the inks of paper, which
//! are black and greys: what a line or a mark means is told by its shape.

use super::drawing::{Anchor, Drawing, Ink as Drawn, Pen, Place, Tone};
use super::pdf_page::{Ink, Op};
use super::pdf_text::{Faces, Weight};

/// Points in a pixel of a drawing: 72 over 96.
pub(super) const POINTS: f64 = 0.75;
/// A line of that length with round ends is a disc (a line without any length is not painted by
/// every reader).
const DOT: f32 = 0.01;

/// The drawing as things to paint, from the upper left corner.
pub(super) fn chart_ops(faces: &Faces, drawing: &Drawing) -> Vec<Op> {
    drawing
        .inks
        .iter()
        .flat_map(|ink| match ink {
            Drawn::Lines { pieces, pen } => vec![lines(pieces, *pen)],
            Drawn::Area {
                corners,
                fill,
                edge,
            } => vec![Op::Shape {
                points: corners.iter().map(point).collect(),
                fill: Some(ink_of(*fill)),
                edge: edge.map(|pen| (scaled(pen.width), ink_of(pen.tone))),
            }],
            Drawn::Discs { at, radius, tone } => {
                let dot = |place: &Place| {
                    let (x, y) = point(place);
                    vec![(x - DOT, y), (x + DOT, y)]
                };
                vec![Op::Lines {
                    pieces: at.iter().map(dot).collect(),
                    width: scaled(2.0 * radius),
                    ink: ink_of(*tone),
                    dashes: Vec::new(),
                    is_round: true,
                }]
            }
            Drawn::Rings { at, radius, pen } => at
                .iter()
                .map(|place| ring(point(place), scaled(*radius), *pen))
                .collect(),
            Drawn::Text {
                at,
                text,
                size,
                is_bold,
                anchor,
                tone,
            } => {
                let weight = if *is_bold {
                    Weight::Bold
                } else {
                    Weight::Regular
                };
                let line = faces.line(text, weight, scaled(*size));
                let (x, y) = point(at);
                let x = match anchor {
                    Anchor::Start => x,
                    Anchor::Middle => x - 0.5 * line.width,
                    Anchor::End => x - line.width,
                };
                let ink = ink_of(*tone);
                vec![Op::Text { x, y, line, ink }]
            }
        })
        .collect()
}

fn lines(pieces: &[Vec<Place>], pen: Pen) -> Op {
    Op::Lines {
        pieces: pieces
            .iter()
            .map(|piece| piece.iter().map(point).collect())
            .collect(),
        width: scaled(pen.width),
        ink: ink_of(pen.tone),
        dashes: pen.dashes.iter().map(|dash| scaled(*dash)).collect(),
        is_round: false,
    }
}

fn ring((x, y): (f32, f32), radius: f32, pen: Pen) -> Op {
    Op::Pill {
        left: x - radius,
        top: y - radius,
        width: 2.0 * radius,
        height: 2.0 * radius,
        fill: Ink::White,
        edge: Some((scaled(pen.width), ink_of(pen.tone))),
    }
}

/// The ink of a tone. Two tones may have one ink: none of them says anything alone.
fn ink_of(tone: Tone) -> Ink {
    match tone {
        Tone::Black | Tone::Beyond | Tone::Signal | Tone::Fitted => Ink::Black,
        Tone::Muted => Ink::Grey,
        Tone::Faint | Tone::Filled => Ink::Tint,
        Tone::White => Ink::White,
    }
}

fn point(place: &Place) -> (f32, f32) {
    (scaled(place.x), scaled(place.y))
}

/// Pixels as points.
#[allow(clippy::cast_possible_truncation)] // places on paper: f32 holds them
pub(super) fn scaled(pixels: f64) -> f32 {
    (pixels * POINTS) as f32
}

#[cfg(test)]
mod tests {
    use super::{Anchor, Drawing, Drawn, Faces, Ink, Op, Place, Tone, chart_ops};
    use crate::report::ChartSize;

    fn text(anchor: Anchor) -> Drawn {
        Drawn::Text {
            at: Place { x: 100.0, y: 40.0 },
            text: "20.015".to_owned(),
            size: 12.0,
            is_bold: false,
            anchor,
            tone: Tone::Signal,
        }
    }

    #[test]
    fn texts_stand_at_their_anchors_and_no_tone_is_a_colour() {
        let faces = Faces::load().unwrap();
        let anchors = [Anchor::Start, Anchor::Middle, Anchor::End];
        let drawing = Drawing {
            size: ChartSize::default(),
            inks: anchors.map(text).to_vec(),
            said: Vec::new(),
        };
        // 72 points are 96 pixels.
        let ends = [75.0, 75.0, 75.0];
        for ((op, share), end) in chart_ops(&faces, &drawing)
            .into_iter()
            .zip([0.0, 0.5, 1.0])
            .zip(ends)
        {
            let Op::Text { x, y, line, ink } = op else {
                panic!("{op:?}");
            };
            assert!((x + share * line.width - end).abs() < 1e-3, "{x}");
            assert!((y - 30.0).abs() < 1e-3 && (line.size - 9.0).abs() < 1e-3);
            assert_eq!(ink, Ink::Black);
        }
    }

    #[test]
    fn discs_are_dots_with_round_ends_and_rings_are_open() {
        let faces = Faces::load().unwrap();
        let at = vec![Place { x: 8.0, y: 16.0 }, Place { x: 40.0, y: 16.0 }];
        let pen = super::Pen {
            width: 1.2,
            tone: Tone::Black,
            dashes: &[],
        };
        let drawing = Drawing {
            size: ChartSize::default(),
            inks: vec![
                Drawn::Discs {
                    at: at.clone(),
                    radius: 4.0,
                    tone: Tone::Black,
                },
                Drawn::Rings {
                    at,
                    radius: 4.0,
                    pen,
                },
            ],
            said: Vec::new(),
        };
        let ops = chart_ops(&faces, &drawing);
        let Op::Lines {
            pieces,
            width,
            is_round,
            ..
        } = &ops[0]
        else {
            panic!("{ops:?}");
        };
        assert_eq!((pieces.len(), *is_round), (2, true));
        assert!((width - 6.0).abs() < 1e-4);
        let rings = ops[1..].iter();
        let open = rings.filter(|op| {
            matches!(
                op,
                Op::Pill {
                    fill: Ink::White,
                    ..
                }
            )
        });
        assert_eq!(open.count(), 2);
    }
}

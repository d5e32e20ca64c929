//! Charts as SVG that stands alone: texts stay texts, nothing is loaded from elsewhere.

use super::chart::Chart;
use super::drawing::{Anchor, ChartSize, Drawing, FaceUnreadable, Ink, Pen, Place, Tone, drawing};
use super::options::DecimalMark;
use super::safe::html;

/// How a chart is painted.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct ChartOptions {
    /// Black and greys alone.
    pub is_black_and_white: bool,
    /// The mark in the numbers of the axes.
    pub decimal_mark: DecimalMark,
}

/// Charts one below the other as an SVG document, which may also stand in a page.
///
/// # Errors
/// A built-in face cannot be read.
pub fn chart_svg(
    charts: &[Chart],
    size: ChartSize,
    options: ChartOptions,
) -> Result<String, FaceUnreadable> {
    let drawing = drawing(charts, size, options.decimal_mark)?;
    let (width, height) = (number(size.width()), number(size.height()));
    let alone =
        format!("xmlns=\"http://www.w3.org/2000/svg\" width=\"{width}\" height=\"{height}\" ");
    Ok(svg_of(&drawing, options, &alone))
}

/// A drawing as SVG that stands in a page.
pub(super) fn svg_within(drawing: &Drawing, options: ChartOptions) -> String {
    svg_of(drawing, options, "")
}

/// `alone`: the attributes that only a document of its own needs.
fn svg_of(drawing: &Drawing, options: ChartOptions, alone: &str) -> String {
    let size = drawing.size;
    let (width, height) = (number(size.width()), number(size.height()));
    let mut svg = format!(
        "<svg {alone}class=\"chart\" role=\"img\" viewBox=\"0 0 {width} {height}\" fill=\"none\" \
         font-family=\"B612, DejaVu Sans, Verdana, sans-serif\">"
    );
    let mut said = drawing.said.iter();
    let title = said.next().map(String::as_str).unwrap_or_default();
    svg += &format!("<title>{}</title>", html(title));
    let rest: Vec<&str> = said.map(String::as_str).collect();
    if !rest.is_empty() {
        svg += &format!("<desc>{}</desc>", html(&rest.join(" ")));
    }
    svg += &format!("<path d=\"M0,0H{width}V{height}H0Z\" fill=\"#fff\" />\n");
    for ink in &drawing.inks {
        svg += &element(ink, options);
        svg.push('\n');
    }
    svg += "</svg>\n";
    svg
}

/// The colour of a tone, red, green and blue. Colours are those of Okabe and Ito, which people
/// with red-green deficiency tell apart.
pub(super) fn colour(tone: Tone, options: ChartOptions) -> (u8, u8, u8) {
    if options.is_black_and_white {
        return match tone {
            Tone::Black | Tone::Beyond | Tone::Signal | Tone::Fitted => (0, 0, 0),
            Tone::Muted => (0x40, 0x40, 0x40),
            Tone::Faint => (0xdc, 0xdc, 0xdc),
            Tone::Filled => (0xcc, 0xcc, 0xcc),
            Tone::White => (255, 255, 255),
        };
    }
    match tone {
        Tone::Black => (0x15, 0x18, 0x1b),
        Tone::Muted => (0x4a, 0x50, 0x57),
        Tone::Faint => (0xdd, 0xdf, 0xe2),
        Tone::Filled => (0xc9, 0xd0, 0xd6),
        Tone::White => (255, 255, 255),
        Tone::Beyond => (0xd5, 0x5e, 0x00),
        Tone::Signal => (0x00, 0x72, 0xb2),
        Tone::Fitted => (0x00, 0x7a, 0x5a),
    }
}

fn hex(tone: Tone, options: ChartOptions) -> String {
    let (red, green, blue) = colour(tone, options);
    format!("#{red:02x}{green:02x}{blue:02x}")
}

fn element(ink: &Ink, options: ChartOptions) -> String {
    match ink {
        Ink::Lines { pieces, pen } => {
            let path: String = pieces.iter().map(|piece| path(piece)).collect();
            format!("<path d=\"{path}\" {} />", stroke(*pen, options))
        }
        Ink::Area {
            corners,
            fill,
            edge,
        } => {
            let edge = edge.map_or(String::new(), |pen| stroke(pen, options));
            let fill = hex(*fill, options);
            format!("<path d=\"{}Z\" fill=\"{fill}\" {edge} />", path(corners))
        }
        Ink::Discs { at, radius, tone } => {
            // A round cap on a line of no length is a disc: one element for all of them.
            let path: String = at
                .iter()
                .map(|one| format!("M{},{}h0", number(one.x), number(one.y)))
                .collect();
            format!(
                "<path class=\"discs\" d=\"{path}\" stroke=\"{}\" stroke-width=\"{}\" \
                 stroke-linecap=\"round\" />",
                hex(*tone, options),
                number(2.0 * radius)
            )
        }
        Ink::Rings { at, radius, pen } => {
            let rings = at.iter().map(|one| {
                format!(
                    "<circle cx=\"{}\" cy=\"{}\" r=\"{}\" fill=\"#fff\" {} />",
                    number(one.x),
                    number(one.y),
                    number(*radius),
                    stroke(*pen, options)
                )
            });
            rings.collect()
        }
        Ink::Text {
            at,
            text,
            size,
            is_bold,
            anchor,
            tone,
        } => {
            let weight = if *is_bold {
                " font-weight=\"bold\""
            } else {
                ""
            };
            let anchor = match anchor {
                Anchor::Start => "",
                Anchor::Middle => " text-anchor=\"middle\"",
                Anchor::End => " text-anchor=\"end\"",
            };
            format!(
                "<text x=\"{}\" y=\"{}\" font-size=\"{}\"{weight}{anchor} fill=\"{}\">{}</text>",
                number(at.x),
                number(at.y),
                number(*size),
                hex(*tone, options),
                html(text)
            )
        }
    }
}

fn stroke(pen: Pen, options: ChartOptions) -> String {
    let mut text = format!(
        "stroke=\"{}\" stroke-width=\"{}\"",
        hex(pen.tone, options),
        number(pen.width)
    );
    if !pen.dashes.is_empty() {
        let dashes: Vec<String> = pen.dashes.iter().map(|dash| number(*dash)).collect();
        text += &format!(" stroke-dasharray=\"{}\"", dashes.join(","));
    }
    text
}

fn path(piece: &[Place]) -> String {
    let mut text = String::new();
    for (at, place) in piece.iter().enumerate() {
        let letter = if at == 0 { 'M' } else { 'L' };
        text += &format!("{letter}{},{}", number(place.x), number(place.y));
    }
    text
}

/// A tenth of a pixel is enough; whole numbers have no decimals.
fn number(value: f64) -> String {
    let text = format!("{value:.1}");
    match text.strip_suffix(".0") {
        Some("-0") => "0".to_owned(),
        Some(whole) => whole.to_owned(),
        None => text,
    }
}

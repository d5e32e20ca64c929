//! The program's own icon: a shaft in half section beside a metal bar with its GO zone. It is made
//! of rectangles on 16 by 16 places, so that each size that is a multiple of 16 is sharp.

use eframe::egui::IconData;

/// Places along each side.
const PLACES: usize = 16;

/// A filled rectangle: places from the left and from the top, width and height, and its colour.
struct Filled {
    at: [usize; 2],
    size: [usize; 2],
    colour: u32,
}

const fn filled(at: [usize; 2], size: [usize; 2], colour: u32) -> Filled {
    Filled { at, size, colour }
}

const GROUND: u32 = 0x1D_22_27;
const METAL: u32 = 0xEE_F1_F4;
const CUT: u32 = 0x9B_A7_B2;
const GO: u32 = 0x00_9E_73;
const GONE: u32 = 0xD5_5E_00;
const ON: u32 = 0xE6_9F_00;

/// From the back to the front.
const DRAWING: [Filled; 11] = [
    filled([0, 0], [16, 16], GROUND),
    // The shaft: seat, collar, thin end. Its lower half is cut.
    filled([1, 4], [4, 3], METAL),
    filled([5, 3], [2, 4], METAL),
    filled([7, 5], [8, 2], METAL),
    filled([1, 7], [4, 3], CUT),
    filled([5, 7], [2, 4], CUT),
    filled([7, 7], [8, 2], CUT),
    // The metal bar: gone, GO, on; and where the reading stands.
    filled([1, 12], [4, 2], GONE),
    filled([5, 12], [6, 2], GO),
    filled([11, 12], [4, 2], ON),
    filled([8, 11], [1, 4], METAL),
];

/// The icon as an SVG file: what the desktop shows.
#[must_use]
pub fn icon_svg() -> String {
    let rects = DRAWING.iter().map(|one| {
        let ([x, y], [width, height]) = (one.at, one.size);
        let colour = one.colour;
        format!(
            "  <rect x=\"{x}\" y=\"{y}\" width=\"{width}\" height=\"{height}\" \
             fill=\"#{colour:06X}\"/>\n"
        )
    });
    format!(
        "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {PLACES} {PLACES}\" \
         width=\"256\" height=\"256\" shape-rendering=\"crispEdges\">\n  \
         <title>Fitledger</title>\n{}</svg>\n",
        rects.collect::<String>()
    )
}

/// The icon for the window's frame, each place `scale` by `scale` pixels.
#[must_use]
pub fn icon(scale: usize) -> IconData {
    let side = PLACES * scale;
    let mut rgba = vec![u8::MAX; 4 * side * side];
    for (at, pixel) in rgba.chunks_exact_mut(4).enumerate() {
        let (x, y) = (at % side / scale, at / side / scale);
        let covers = |one: &&Filled| {
            let ([left, top], [width, height]) = (one.at, one.size);
            (left..left + width).contains(&x) && (top..top + height).contains(&y)
        };
        let colour = DRAWING
            .iter()
            .rev()
            .find(covers)
            .map_or(0, |one| one.colour);
        let [_, red, green, blue] = colour.to_be_bytes();
        pixel[..3].copy_from_slice(&[red, green, blue]);
    }
    let side = u32::try_from(side).unwrap_or_default();
    IconData {
        rgba,
        width: side,
        height: side,
    }
}

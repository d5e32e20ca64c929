//! The band beside the verdict: its pattern tells the state without colour, its colour without
//! pattern.

#![allow(
    clippy::cast_possible_truncation,
    reason = "places of pixels inside the picture"
)]

use eframe::egui::{Color32, Rect};
use fitledger::window::look::{Pattern, Theme, Tokens, pattern_of};
use fitledger::window::view::Mark;
use image::RgbaImage;

use super::{SMALL, Shot};
use crate::support::colour_vision::{Vision, distance};
use crate::support::picture::{luminance, painted_texts};

/// The four states that must never be taken for each other, a scene of each.
const STATES: [(&str, &str); 4] = [
    ("go", "GO"),
    ("nogo-on", "NO-GO"),
    ("doubt", "DOUBT"),
    ("cutting", "CUTTING"),
];

/// The band left of the plate, as grey values of 0 to 1, and its most frequent colour.
struct Band {
    rows: Vec<Vec<f64>>,
    color: [u8; 3],
}

impl Band {
    /// Found in the pixels: from the block's edge to where its plate begins.
    fn of(image: &RgbaImage, block: Rect, plate: Color32) -> Self {
        let pixel = |x: u32, y: u32| {
            let [red, green, blue, _] = image.get_pixel(x, y).0;
            [red, green, blue]
        };
        let [left, top, right, bottom] =
            [block.left(), block.top(), block.right(), block.bottom()].map(|side| side as u32);
        let plate = [plate.r(), plate.g(), plate.b()];
        let middle = (top + bottom) / 2;
        let is_plate = |x: &u32| (0..14).all(|more| pixel(x + more, middle) == plate);
        let until = (left..right - 14).find(is_plate).unwrap();
        assert!(until - left >= 24, "the band is {} wide", until - left);
        let (from, to) = (left + 4, until - 4);
        let mut counts = std::collections::BTreeMap::new();
        let rows = (top + 4..bottom - 4).map(|y| {
            let row = (from..to).map(|x| {
                *counts.entry(pixel(x, y)).or_insert(0_usize) += 1;
                luminance(pixel(x, y))
            });
            row.collect()
        });
        let rows = rows.collect();
        let most = counts.iter().max_by_key(|(_, count)| **count);
        Self {
            rows,
            color: *most.unwrap().0,
        }
    }

    /// Mean of the squares of the differences between each pixel and the one at `(right, down)`.
    fn change(&self, right: usize, down: i64) -> f64 {
        let (mut sum, mut count) = (0.0, 0.0);
        for (y, row) in self.rows.iter().enumerate() {
            let other = i64::try_from(y).unwrap() + down;
            let other = usize::try_from(other).ok().and_then(|y| self.rows.get(y));
            let Some(other) = other else { continue };
            for (one, other) in row.iter().zip(other.iter().skip(right)) {
                sum += (one - other).powi(2);
                count += 1.0;
            }
        }
        sum / f64::max(count, 1.0)
    }

    /// Which pattern the grey values make.
    fn pattern(&self) -> Pattern {
        let (across, down) = (self.change(4, 0), self.change(0, 4));
        let rising = self.change(4, -4);
        if across + down < 1e-4 {
            return Pattern::Plain;
        }
        if across < 0.05 * down {
            return Pattern::Lines;
        }
        if rising < 0.3 * across.min(down) {
            return Pattern::Hatch;
        }
        Pattern::Dots
    }
}

fn band(name: &str, theme: Theme) -> Band {
    let shot = Shot::of(name, SMALL, theme);
    let mut harness = shot.shown(1.0);
    let block = shot.block(&harness).unwrap();
    let plate = Tokens::of(theme).plate(shot.mark());
    Band::of(&harness.render().unwrap(), block, plate)
}

#[test]
fn states_are_told_apart_in_grey_by_pattern_and_word() {
    for theme in Theme::ALL {
        for (name, word) in STATES {
            let shot = Shot::of(name, SMALL, theme);
            let found = band(name, theme).pattern();
            assert_eq!(found, pattern_of(shot.scene.mark), "{name} {theme:?}");
            let harness = shot.shown(1.0);
            let block = shot.block(&harness).unwrap();
            let texts = painted_texts(&harness);
            let texts = texts.iter().filter(|one| block.contains_rect(one.rect));
            let mut said: Vec<&str> = texts.map(|one| one.text.as_str()).collect();
            said.retain(|text| STATES.iter().any(|(_, word)| word == text));
            assert_eq!(said, [word], "{name} {theme:?}");
        }
    }
    let patterns = [Mark::Go, Mark::NoGo, Mark::Doubt, Mark::Cutting].map(pattern_of);
    for (at, one) in patterns.iter().enumerate() {
        assert!(!patterns[at + 1..].contains(one), "{one:?} twice");
    }
}

/// The colours of the bands as they are painted. A distance of about 2.3 is just seen side by side
/// (from memory); five times that is a different colour (chosen).
#[test]
fn states_are_told_apart_without_red_or_green_cones() {
    for theme in Theme::ALL {
        let colors = STATES.map(|(name, _)| (name, band(name, theme).color));
        for (at, (one, color)) in colors.iter().enumerate() {
            for (other, second) in &colors[at + 1..] {
                for vision in [Vision::Usual, Vision::Protanopia, Vision::Deuteranopia] {
                    let found = distance(*color, *second, vision);
                    assert!(found >= 11.5, "{one}, {other}: {found:.1} for {vision:?}");
                }
            }
        }
    }
}

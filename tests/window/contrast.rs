//! Contrast of everything that is written and of every mark, in all rooms and all themes, from
//! the pixels of pictures; and what is left of marks and plates without red-green vision.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeMap;
use std::fmt::Write;

use eframe::egui::{Color32, Pos2, Rect, Ui, vec2};
use fitledger::window::bench_ui::bench_ui;
use fitledger::window::glance_ui::glance_ui;
use fitledger::window::look::{Look, Sizes, Theme, Tokens, paint_mark};
use fitledger::window::view::Mark;
use image::RgbaImage;

use crate::support::colour_vision::{Vision, distance};
use crate::support::picture::{Measured, contrast_of, keep, painted_texts, picture, window};
use crate::support::scenes::scene;

/// What paints a page from edge to edge.
pub(crate) type Paint = Box<dyn FnMut(&mut Ui)>;

const SMALL: [f32; 2] = [800.0, 480.0];
/// WCAG 2.2, 1.4.6, 1.4.3 and 1.4.11 (from memory): 7 for verdict and value, which must be read at
/// any cost (own choice), 4.5 for text, 3 for marks.
const VERDICT: f64 = 7.0;
const TEXT: f64 = 4.5;
const MARKS: f64 = 3.0;
const ALL_MARKS: [Mark; 10] = [
    Mark::Open,
    Mark::Inside,
    Mark::Noted,
    Mark::Go,
    Mark::NoGo,
    Mark::Doubt,
    Mark::Cutting,
    Mark::Held,
    Mark::NotSelected,
    Mark::NotRecorded,
];
const BENCH: [&str; 12] = [
    "fresh",
    "go",
    "cutting",
    "nogo-gone",
    "doubt",
    "held",
    "not-recorded",
    "typing-fault",
    "why",
    "menu-look",
    "signal",
    "check-turns",
];

fn word(theme: Theme) -> &'static str {
    match theme {
        Theme::Night => "night",
        Theme::Day => "day",
        Theme::HighContrast => "high contrast",
    }
}

/// The smallest contrast found and where.
#[derive(Clone)]
struct Least {
    ratio: f64,
    at: String,
    count: usize,
}

impl Least {
    fn none() -> Self {
        Self {
            ratio: f64::INFINITY,
            at: String::new(),
            count: 0,
        }
    }

    fn see(&mut self, ratio: f64, at: impl FnOnce() -> String) {
        self.count += 1;
        if ratio < self.ratio {
            (self.ratio, self.at) = (ratio, at());
        }
    }
}

/// What was found in a room in a theme: texts, and those of verdict and value.
struct Found {
    text: Least,
    verdict: Least,
}

fn bench(theme: Theme, is_glance: bool) -> Vec<(String, Paint, Option<String>)> {
    let shown = BENCH.into_iter().map(|name| {
        let (view, look) = (scene(name).view(), Look::new(theme, Sizes::default()));
        // Before the first reading there is neither verdict nor value.
        let has_block = view.verdict.entry.is_none() && !view.verdict.word.is_empty();
        let block = has_block.then(|| view.verdict.spoken());
        let paint: Paint = Box::new(move |ui| match is_glance {
            true => glance_ui(ui, &view, &look, &mut Vec::new()),
            false => bench_ui(ui, &view, &look, &mut Vec::new()),
        });
        (name.to_owned(), paint, block)
    });
    shown.collect()
}

fn measure(sheet: &str, pages: Vec<(String, Paint, Option<String>)>) -> Found {
    use egui_kittest::kittest::Queryable;
    let mut found = Found {
        text: Least::none(),
        verdict: Least::none(),
    };
    let mut pictures = Vec::new();
    for (name, paint, block) in pages {
        let mut harness = window(SMALL, 2.0, paint);
        let block = block.and_then(|block| {
            let node = harness.query_all_by_label(&block).next();
            node.map(|node| node.rect())
        });
        let texts = painted_texts(&harness);
        let image = harness.render().unwrap();
        let measured = Measured {
            image: &image,
            pixels_per_point: 2.0,
        };
        for text in texts {
            let place = text.rect.intersect(text.clip);
            if !place.is_positive() {
                continue;
            }
            let ratio = measured.contrast(place);
            let is_verdict = block.is_some_and(|block| block.contains_rect(text.rect));
            let least = match is_verdict {
                true => &mut found.verdict,
                false => &mut found.text,
            };
            least.see(ratio, || format!("{name}: {}", text.text));
        }
        pictures.push(image);
    }
    keep(sheet, &side_by_side(&pictures));
    found
}

/// Pictures of one size, half as large, three to a row: a room to be looked at as a whole.
fn side_by_side(pictures: &[RgbaImage]) -> RgbaImage {
    const TO_A_ROW: u32 = 3;
    let [width, height] = SMALL.map(|side| side as u32);
    let rows = (pictures.len() as u32).div_ceil(TO_A_ROW);
    let mut sheet = RgbaImage::new(TO_A_ROW * width, rows * height);
    for (at, picture) in (0_u32..).zip(pictures) {
        let small = image::imageops::thumbnail(picture, width, height);
        let (x, y) = (at % TO_A_ROW * width, at / TO_A_ROW * height);
        image::imageops::replace(&mut sheet, &small, x.into(), y.into());
    }
    sheet
}

/// The share of a mark's place that stands out from the ground, and its largest contrast.
fn mark_stands_out(mark: Mark, ground: Color32, theme: Theme) -> (f64, f64) {
    let look = Look::new(theme, Sizes::default());
    let place = Rect::from_min_size(Pos2::new(6.0, 6.0), vec2(12.0, 12.0));
    let image = picture([24.0, 24.0], 2.0, move |ui| {
        ui.painter().rect_filled(ui.max_rect(), 0.0, ground);
        paint_mark(ui.painter(), place, mark, &look);
    });
    let measured = Measured {
        image: &image,
        pixels_per_point: 2.0,
    };
    let ground = [ground.r(), ground.g(), ground.b()];
    let colours = measured.colours_in(place);
    let all: usize = colours.values().sum();
    let apart = |colour: &[u8; 3]| contrast_of(*colour, ground);
    let seen: usize = colours
        .iter()
        .filter(|(one, _)| apart(one) >= MARKS)
        .map(|(_, n)| n)
        .sum();
    let most = colours.keys().map(apart).fold(1.0, f64::max);
    (seen as f64 / all as f64, most)
}

fn line(table: &mut String, cells: [&str; 5]) {
    writeln!(table, "| {} |", cells.join(" | ")).unwrap();
}

/// The table is written to `target/pictures/contrast.md`, and each room in each theme is kept there
/// as one picture, `room-NAME-THEME.png`.
#[test]
fn everything_written_and_every_mark_stands_out_in_every_room_and_theme() {
    let mut table = String::from("# Contrast, measured in pictures at 800 x 480\n\n");
    let mut faults = Vec::new();
    line(
        &mut table,
        [
            "room",
            "theme",
            "texts: least of all",
            "where",
            "verdict and value: least",
        ],
    );
    line(&mut table, ["---"; 5]);
    for theme in Theme::ALL {
        let plain = |pages: Vec<(String, Paint)>| {
            pages
                .into_iter()
                .map(|(name, paint)| (name, paint, None))
                .collect::<Vec<_>>()
        };
        let rooms = [
            ("Bench", bench(theme, false)),
            ("glance", bench(theme, true)),
            ("Start", plain(crate::pictures::start_pages(theme))),
            ("Plan", plain(crate::plan::every_page(theme))),
            ("Pairs", plain(crate::pairs::every_page(theme))),
            ("links", plain(crate::links::every_page(theme))),
            ("Batch", plain(crate::batch::every_page(theme))),
            ("Records", plain(crate::records::every_page(theme))),
            ("Gauges", plain(crate::gauges::every_page(theme))),
            ("guide", plain(crate::guide::every_page(theme))),
        ];
        for (room, pages) in rooms {
            let sheet = format!("room-{room}-{}", word(theme)).replace(' ', "-");
            let found = measure(&sheet, pages);
            assert!(found.text.count >= 5, "{room}: {} texts", found.text.count);
            let verdict = match found.verdict.count {
                0 => "–".to_owned(),
                _ => format!("{:.2}", found.verdict.ratio),
            };
            assert!(found.verdict.count > 0 || !matches!(room, "Bench" | "glance"));
            let least = format!("{:.2} of {}", found.text.ratio, found.text.count);
            line(
                &mut table,
                [room, word(theme), &least, &found.text.at, &verdict],
            );
            for (least, bound) in [(&found.text, TEXT), (&found.verdict, VERDICT)] {
                if least.ratio < bound {
                    let (ratio, at) = (least.ratio, &least.at);
                    faults.push(format!("{room} {}: {ratio:.2} at {at:?}", word(theme)));
                }
            }
        }
    }
    marks(&mut table, &mut faults);
    eyes(&mut table, &mut faults);
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pictures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("contrast.md"), &table).unwrap();
    print!("{table}");
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}

/// Every mark on every ground that it may stand on: enough of it has 3 : 1.
fn marks(table: &mut String, faults: &mut Vec<String>) {
    table.push('\n');
    line(
        table,
        [
            "mark",
            "theme",
            "ground",
            "share of it with 3 : 1",
            "largest",
        ],
    );
    line(table, ["---"; 5]);
    for theme in Theme::ALL {
        let tokens = Tokens::of(theme);
        for mark in ALL_MARKS {
            for (name, ground) in [("ground", tokens.ground), ("panel", tokens.panel)] {
                let (share, most) = mark_stands_out(mark, ground, theme);
                let told = [
                    format!("{mark:?}"),
                    format!("{share:.2}"),
                    format!("{most:.1}"),
                ];
                line(table, [&told[0], word(theme), name, &told[1], &told[2]]);
                // Those that are lines alone have less to show.
                let is_lines = matches!(mark, Mark::Noted | Mark::NotSelected);
                let bound = if is_lines { 0.13 } else { 0.25 };
                if share < bound || most < MARKS {
                    faults.push(format!("{mark:?} on {name} of {}: {share:.2}", word(theme)));
                }
            }
        }
    }
}

/// A mark of twelve points, as it is seen in lists.
fn mark_picture(mark: Mark, theme: Theme) -> RgbaImage {
    let look = Look::new(theme, Sizes::default());
    picture([12.0, 12.0], 2.0, move |ui| {
        ui.painter()
            .rect_filled(ui.max_rect(), 0.0, look.tokens.panel);
        paint_mark(ui.painter(), ui.max_rect(), mark, &look);
    })
}

/// Any two marks, and any two plates with their frames, differ to eyes without red or without
/// green cones: pixel by pixel, for patterns and shapes count as colours do.
fn eyes(table: &mut String, faults: &mut Vec<String>) {
    table.push('\n');
    line(
        table,
        [
            "eyes",
            "theme",
            "what",
            "the two most alike",
            "mean distance (CIE 1976)",
        ],
    );
    line(table, ["---"; 5]);
    for theme in Theme::ALL {
        let marks = ALL_MARKS.map(|mark| (format!("{mark:?}"), mark_picture(mark, theme)));
        let plates =
            ["go", "nogo-on", "doubt", "cutting"].map(|name| (name.to_owned(), plate(name, theme)));
        for vision in [Vision::Usual, Vision::Protanopia, Vision::Deuteranopia] {
            for (what, all, bound) in [("marks", &marks[..], 8.0), ("plates", &plates[..], 8.0)] {
                let mut least = (f64::INFINITY, String::new());
                for (at, (one, first)) in all.iter().enumerate() {
                    for (other, second) in &all[at + 1..] {
                        let apart = mean_distance(first, second, vision);
                        if apart < least.0 {
                            least = (apart, format!("{one} and {other}"));
                        }
                    }
                }
                let told = [format!("{vision:?}"), format!("{:.1}", least.0)];
                line(table, [&told[0], word(theme), what, &least.1, &told[1]]);
                if least.0 < bound {
                    faults.push(format!(
                        "{vision:?} {}: {} {:.1}",
                        word(theme),
                        least.1,
                        least.0
                    ));
                }
            }
        }
    }
}

/// The verdict block of a scene without its texts: frame, pattern and plate at its left edge.
fn plate(name: &str, theme: Theme) -> RgbaImage {
    let (view, look) = (scene(name).view(), Look::new(theme, Sizes::default()));
    let image = picture(SMALL, 1.0, move |ui| {
        glance_ui(ui, &view, &look, &mut Vec::new());
    });
    image::imageops::crop_imm(&image, 10, 34, 60, 120).to_image()
}

fn mean_distance(one: &RgbaImage, other: &RgbaImage, vision: Vision) -> f64 {
    let mut known: BTreeMap<([u8; 3], [u8; 3]), f64> = BTreeMap::new();
    let colour = |pixel: &image::Rgba<u8>| [pixel.0[0], pixel.0[1], pixel.0[2]];
    let pairs = one
        .pixels()
        .zip(other.pixels())
        .map(|(one, other)| (colour(one), colour(other)));
    let mut sum = 0.0;
    for (one, other) in pairs {
        sum += *known
            .entry((one, other))
            .or_insert_with(|| distance(one, other, vision));
    }
    sum / f64::from(one.width() * one.height())
}

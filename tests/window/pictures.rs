//! Pictures of the Bench in every state: kept to be looked at, measured, and some of them compared
//! with accepted ones.
#![allow(clippy::unwrap_used, clippy::panic)]

mod accepted;
mod bands;

pub(crate) use accepted::start_pages;

use std::cell::Cell;
use std::rc::Rc;

use eframe::egui::{Pos2, Rect};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::window::bench_ui::bench_ui;
use fitledger::window::glance_ui::glance_ui;
use fitledger::window::look::{Look, Sizes, Theme, Tokens};
use fitledger::window::view::Mark;
use image::RgbaImage;

use crate::support::picture::{Measured, keep, painted_texts, share_of, window};
use crate::support::readable::text_faults;
use crate::support::scenes::{Scene, scene, scenes};

const SMALL: [f32; 2] = [800.0, 480.0];
const LARGE: [f32; 2] = [1280.0, 800.0];
/// One scene of each state, and those that fill the window most.
const MAIN: [&str; 12] = [
    "fresh",
    "go",
    "cutting",
    "nogo-on",
    "doubt",
    "held",
    "not-recorded",
    "typing",
    "long-names",
    "check-turns",
    "check-metal-on",
    "wires-go",
];
/// WCAG 2.2, 1.4.6 and 1.4.3 (from memory): 7 for what must be read at any cost, 4.5 for text.
const CONTRAST_OF_VERDICT: f64 = 7.0;
const CONTRAST: f64 = 4.5;

fn look(theme: Theme) -> Look {
    Look {
        tokens: Tokens::of(theme),
        sizes: Sizes::default(),
    }
}

/// A scene on a window of a size.
struct Shot {
    scene: Scene,
    size: [f32; 2],
    theme: Theme,
}

impl Shot {
    fn of(name: &str, size: [f32; 2], theme: Theme) -> Self {
        Self {
            scene: scene(name),
            size,
            theme,
        }
    }

    /// The same in the glance layout.
    fn glance(name: &str, size: [f32; 2], theme: Theme) -> Self {
        let mut shot = Self::of(name, size, theme);
        shot.scene.desk.is_glance = true;
        shot
    }

    fn name(&self) -> String {
        let theme = match self.theme {
            Theme::Night => "night",
            Theme::Day => "day",
            Theme::HighContrast => "high",
        };
        let is_glance = self.scene.desk.is_glance && !self.scene.name.ends_with("glance");
        let glance = if is_glance { "glance-" } else { "" };
        format!("{glance}{}-{theme}-{}", self.scene.name, self.size[0])
    }

    fn shown<'a>(&self, pixels_per_point: f32) -> Harness<'a> {
        let (view, look) = (self.scene.view(), look(self.theme));
        let is_glance = self.scene.desk.is_glance;
        window(self.size, pixels_per_point, move |ui| {
            let mut presses = Vec::new();
            if is_glance {
                glance_ui(ui, &view, &look, &mut presses);
            } else {
                bench_ui(ui, &view, &look, &mut presses);
            }
        })
    }

    /// Where the verdict block stands; the reasons may take its place.
    fn block(&self, harness: &Harness<'_>) -> Option<Rect> {
        let verdict = self.scene.view().verdict;
        let name = match &verdict.entry {
            Some(entry) => format!("{}: {}", entry.what, entry.text),
            None => verdict.spoken(),
        };
        let node = harness.query_all_by_label(&name).next();
        let is_there = node.is_some() || self.scene.desk.is_why;
        assert!(is_there, "{}: no block {name:?}", self.name());
        node.map(|node| node.rect())
    }

    /// The state that the block must show: what is typed is not judged yet.
    fn mark(&self) -> Mark {
        let is_typed = self.scene.view().verdict.entry.is_some();
        match self.scene.mark {
            Mark::NotRecorded => Mark::NotRecorded,
            _ if is_typed => Mark::Open,
            mark => mark,
        }
    }
}

/// Every scene on the small and on the large window, the main ones in high contrast and in the
/// glance layout too.
fn shots() -> Vec<Shot> {
    let mut shots = Vec::new();
    for scene in scenes() {
        for (size, theme) in [(SMALL, Theme::Night), (LARGE, Theme::Day)] {
            shots.push(Shot {
                scene: scene.clone(),
                size,
                theme,
            });
        }
    }
    for name in MAIN {
        shots.push(Shot::of(name, SMALL, Theme::HighContrast));
        shots.push(Shot::glance(name, SMALL, Theme::Night));
    }
    for name in ["why", "menu-void"] {
        shots.push(Shot::of(name, SMALL, Theme::HighContrast));
    }
    shots
}

/// All that was found, so that one run says everything.
fn none(faults: &[String]) {
    let count = faults.len();
    assert!(faults.is_empty(), "{count} faults:\n{}", faults.join("\n"));
}

#[test]
fn every_scene_is_in_the_state_that_it_says() {
    for scene in scenes() {
        let view = scene.view();
        assert_eq!(
            view.verdict.mark, scene.mark,
            "{}: {:?}",
            scene.name, view.verdict
        );
    }
}

#[test]
fn no_text_leaves_the_window_or_lies_on_another() {
    let mut faults = Vec::new();
    for shot in shots() {
        let found = text_faults(&shot.shown(1.0), shot.size).into_iter();
        faults.extend(found.map(|fault| format!("{}: {fault}", shot.name())));
    }
    none(&faults);
}

/// Each picture is kept too, in `target/pictures`.
#[test]
fn the_block_has_the_fill_of_its_state_and_of_no_other() {
    let mut faults = Vec::new();
    for shot in shots() {
        let mut harness = shot.shown(1.0);
        let block = shot.block(&harness);
        let image = harness.render().unwrap();
        let name = shot.name();
        keep(&name, &image);
        let Some(block) = block else { continue };
        let tokens = Tokens::of(shot.theme);
        let measured = Measured {
            image: &image,
            pixels_per_point: 1.0,
        };
        let colours = measured.colours_in(block);
        let share = |color| share_of(&colours, color);
        let wanted = tokens.fill(shot.mark());
        for fill in [tokens.go, tokens.no_go, tokens.cutting, tokens.doubt] {
            let (found, is_wanted) = (share(fill), wanted == Some(fill));
            // A small mark may stand in the block of a fault.
            if is_wanted != (found >= 0.06) || (!is_wanted && found > 0.01) {
                faults.push(format!("{name}: {found:.3} of the block is {fill:?}"));
            }
        }
        let plate = share(tokens.plate(shot.mark()));
        if plate < 0.3 {
            faults.push(format!("{name}: only {plate:.3} of the block is its plate"));
        }
    }
    none(&faults);
}

/// From pixels, at twice the size, so that thin strokes cover some of them whole.
#[test]
fn every_text_stands_out_from_what_is_right_behind_it() {
    let mut shots: Vec<Shot> = Vec::new();
    for name in ["cutting", "nogo-on", "doubt", "go", "not-recorded"] {
        shots.push(Shot::of(name, SMALL, Theme::Night));
    }
    for name in ["go", "inside", "held", "typing-fault", "why", "batch"] {
        shots.push(Shot::of(name, SMALL, Theme::Day));
    }
    shots.push(Shot::of("doubt", SMALL, Theme::HighContrast));
    shots.push(Shot::glance("cutting", SMALL, Theme::Night));
    let mut faults = Vec::new();
    for shot in shots {
        let mut harness = shot.shown(2.0);
        let block = shot.block(&harness).unwrap_or(Rect::NOTHING);
        let texts = painted_texts(&harness);
        let image = harness.render().unwrap();
        let measured = Measured {
            image: &image,
            pixels_per_point: 2.0,
        };
        let mut in_block = 0;
        for text in texts {
            let is_verdict = block.contains_rect(text.rect);
            in_block += usize::from(is_verdict);
            let least = if is_verdict {
                CONTRAST_OF_VERDICT
            } else {
                CONTRAST
            };
            let found = measured.contrast(text.rect.intersect(text.clip));
            if found < least {
                let (name, words) = (shot.name(), &text.text);
                faults.push(format!(
                    "{name}: {words:?} has {found:.2} : 1, at {:?}",
                    text.rect
                ));
            }
        }
        let is_whole = in_block >= 2 || shot.scene.desk.is_why;
        assert!(is_whole, "{}: value and word", shot.name());
    }
    none(&faults);
}

/// Vermillion, as a share of the window.
fn vermillion(shot: &Shot, below_block: bool) -> f64 {
    let mut harness = shot.shown(1.0);
    let block = shot.block(&harness).unwrap();
    let image = harness.render().unwrap();
    let measured = Measured {
        image: &image,
        pixels_per_point: 1.0,
    };
    let mut place = Rect::from_min_size(Pos2::ZERO, shot.size.into());
    if below_block {
        place.min.y = block.max.y + 1.0;
    }
    let tokens = Tokens::of(shot.theme);
    let colours = [tokens.no_go, tokens.plate(Mark::NotRecorded)];
    let is_lit = tokens.is_lit;
    let counted = if is_lit { &colours[..] } else { &colours[..1] };
    let found = measured.colours_in(place);
    counted.iter().map(|color| share_of(&found, *color)).sum()
}

#[test]
fn a_window_that_records_nothing_is_vermillion_in_two_places() {
    for theme in Theme::ALL {
        for glance in [false, true] {
            let shot = |name| match glance {
                true => Shot::glance(name, SMALL, theme),
                false => Shot::of(name, SMALL, theme),
            };
            let (lost, kept) = (shot("not-recorded"), shot("go"));
            let least = if theme == Theme::HighContrast {
                0.02
            } else {
                0.1
            };
            let name = lost.name();
            let whole = vermillion(&lost, false);
            assert!(whole >= least, "{name}: {whole:.3} of the window");
            // Where the verdict block is not: the line that says that nothing is recorded.
            let line = vermillion(&lost, true);
            assert!(line >= 0.01, "{name}: {line:.3} below the block");
            let usual = vermillion(&kept, false);
            assert!(usual < 0.01, "{}: {usual:.3} of the window", kept.name());
        }
    }
}

#[test]
fn a_scene_painted_twice_has_the_same_pixels() {
    for (name, theme) in [
        ("cutting", Theme::Night),
        ("why", Theme::Day),
        ("held", Theme::Day),
    ] {
        let shot = Shot::of(name, SMALL, theme);
        let mut harness = shot.shown(1.0);
        let first = harness.render().unwrap();
        harness.run_steps(3);
        assert!(harness.render().unwrap() == first, "{name}: a later frame");
        assert!(
            shot.shown(1.0).render().unwrap() == first,
            "{name}: painted anew"
        );
    }
}

/// Its own window must differ from the one before: else the comparison above sees nothing.
#[test]
fn a_digit_that_changes_changes_pixels() {
    let (mut view, look) = (scene("go").view(), look(Theme::Night));
    let turn = Rc::new(Cell::new(0));
    let now = Rc::clone(&turn);
    let mut harness = window(SMALL, 1.0, move |ui| {
        view.verdict.value = format!("20.00{}", now.get());
        bench_ui(ui, &view, &look, &mut Vec::new());
    });
    let first: RgbaImage = harness.render().unwrap();
    turn.set(1);
    harness.run_steps(1);
    assert!(harness.render().unwrap() != first);
}

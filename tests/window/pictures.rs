//! Pictures of the Bench in every state: kept to be looked at, and measured.

use eframe::egui::Rect;
use egui_kittest::Harness;
use fitledger::window::bench_ui::bench_ui;
use fitledger::window::glance_ui::glance_ui;
use fitledger::window::look::{Look, Sizes, Theme, Tokens};

use crate::support::picture::{keep, painted_texts, window};
use crate::support::scenes::{Scene, scenes};

const SMALL: [f32; 2] = [800.0, 480.0];
const LARGE: [f32; 2] = [1280.0, 800.0];

fn look(theme: Theme) -> Look {
    Look {
        tokens: Tokens::of(theme),
        sizes: Sizes::default(),
    }
}

/// The window with a scene on it.
fn shown<'a>(scene: &Scene, size: [f32; 2], theme: Theme) -> Harness<'a> {
    let (view, look) = (scene.view(), look(theme));
    let is_glance = scene.desk.is_glance;
    window(size, 1.0, move |ui| {
        let mut presses = Vec::new();
        if is_glance {
            glance_ui(ui, &view, &look, &mut presses);
        } else {
            bench_ui(ui, &view, &look, &mut presses);
        }
    })
}

fn name_of(scene: &Scene, size: [f32; 2], theme: Theme) -> String {
    let theme = match theme {
        Theme::Night => "night",
        Theme::Day => "day",
        Theme::HighContrast => "high",
    };
    format!("{}-{theme}-{}", scene.name, size[0])
}

/// Every scene as a person would see it, in `target/pictures/`.
fn each(mut look_at: impl FnMut(&Scene, &str, [f32; 2], Theme, &mut Harness<'_>)) {
    for scene in scenes() {
        for (size, theme) in [
            (SMALL, Theme::Night),
            (LARGE, Theme::Day),
            (SMALL, Theme::HighContrast),
        ] {
            let mut harness = shown(&scene, size, theme);
            look_at(
                &scene,
                &name_of(&scene, size, theme),
                size,
                theme,
                &mut harness,
            );
        }
    }
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
fn every_picture_is_kept() {
    each(|_, name, _, _, harness| {
        keep(name, &harness.render().unwrap());
    });
}

#[test]
fn no_text_leaves_the_window_or_lies_on_another() {
    let mut faults = Vec::new();
    each(|_, name, size, _, harness| {
        let whole = Rect::from_min_size(eframe::egui::Pos2::ZERO, size.into());
        let texts = painted_texts(harness);
        for (at, text) in texts.iter().enumerate() {
            if !whole.expand(0.5).contains_rect(text.rect) {
                faults.push(format!(
                    "{name}: {:?} leaves the window: {:?}",
                    text.text, text.rect
                ));
            }
            if !text.clip.expand(1.0).contains_rect(text.rect) {
                faults.push(format!(
                    "{name}: {:?} is cut: {:?} in {:?}",
                    text.text, text.rect, text.clip
                ));
            }
            for other in &texts[at + 1..] {
                let common = text.rect.intersect(other.rect);
                if common.width() > 1.0 && common.height() > 1.0 {
                    faults.push(format!(
                        "{name}: {:?} and {:?} overlap: {common:?}",
                        text.text, other.text
                    ));
                }
            }
        }
    });
    assert!(
        faults.is_empty(),
        "{} faults:\n{}",
        faults.len(),
        faults.join("\n")
    );
}

//! Nothing happens, or the worst does: no room asks for frames while nothing changes, and what may
//! come from outside leaves every room readable. Each has a picture, `target/pictures/steady-*`.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::fs;
use std::time::Duration;

use eframe::egui::{Pos2, Rect, ViewportId, vec2};
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::session::{Begin, What};
use fitledger::window::batch_room::BatchPage;
use fitledger::window::bench_ui::bench_ui;
use fitledger::window::glance_ui::glance_ui;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::taken_away::{is_of_windows, until_taken_away};

use crate::contrast::Paint;
use crate::shell::Desk;
use crate::support::picture::{Measured, keep, painted_texts, window};
use crate::support::scenes::scene;

const SMALL: [f32; 2] = [800.0, 480.0];

fn asks_for_nothing<State>(harness: &Harness<'_, State>, name: &str) {
    let delay = harness.output().viewport_output[&ViewportId::ROOT].repaint_delay;
    assert_eq!(delay, Duration::MAX, "{name} asks for a frame");
    assert!(!harness.ctx.has_requested_repaint(), "{name}");
}

#[test]
fn no_page_of_any_room_asks_for_a_frame_while_nothing_changes() {
    let theme = Theme::Night;
    let rooms = [
        crate::pictures::start_pages(theme),
        crate::pairs::every_page(theme),
        crate::batch::every_page(theme),
        crate::records::every_page(theme),
        crate::gauges::every_page(theme),
    ];
    let mut pages = 0;
    for (name, paint) in rooms.into_iter().flatten() {
        let mut harness = window(SMALL, 1.0, paint);
        harness.run_steps(4);
        asks_for_nothing(&harness, &name);
        pages += 1;
    }
    assert!(pages > 60, "{pages}");
}

/// The whole window with its keys, its session and what reads beside it.
#[test]
fn the_window_asks_for_no_frame_in_any_room_while_its_session_waits() {
    let mut begin = Begin::new(What::Callouts(vec!["20 k6".to_owned()]));
    begin.gauges = vec!["typed".to_owned()];
    let mut desk = Desk::open(Some(begin));
    desk.keys("20.008⏎");
    desk.wait("verdict_given", 1);
    for (key, room) in [
        ("①", "Bench"),
        ("③", "Pairs"),
        ("④", "Batch"),
        ("⑤", "Records"),
        ("⑥", "Gauges"),
        ("①g", "glance"),
    ] {
        desk.keys(key);
        // What is read beside the window comes when it comes.
        for _ in 0..60 {
            std::thread::sleep(Duration::from_millis(5));
            desk.harness.step();
        }
        desk.harness.step();
        asks_for_nothing(&desk.harness, room);
    }
}

/// A page painted in a window, that nothing leaves and that is not empty.
fn shown(name: &str, size: [f32; 2], paint: Paint) -> Vec<String> {
    let mut harness = window(size, 1.0, paint);
    harness.run_steps(2);
    let image = harness.render().unwrap();
    keep(&format!("steady-{name}"), &image);
    let whole = Rect::from_min_size(Pos2::ZERO, size.into());
    let measured = Measured {
        image: &image,
        pixels_per_point: 1.0,
    };
    assert!(!measured.is_blank(whole), "{name} is empty");
    let texts = painted_texts(&harness);
    for text in &texts {
        let visible = text.rect.intersect(text.clip);
        let is_inside = !visible.is_positive() || whole.expand(0.5).contains_rect(visible);
        assert!(is_inside, "{name}: {text:?}");
        let steers = |letter: char| {
            letter.is_control()
                || matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}')
        };
        assert!(!text.text.contains(steers), "{name}: {:?}", text.text);
    }
    texts.into_iter().map(|text| text.text).collect()
}

fn bench_page(name: &str, is_glance: bool) -> Paint {
    let (view, look) = (
        scene(name).view(),
        Look::new(Theme::Night, Sizes::default()),
    );
    Box::new(move |ui| match is_glance {
        true => glance_ui(ui, &view, &look, &mut Vec::new()),
        false => bench_ui(ui, &view, &look, &mut Vec::new()),
    })
}

#[test]
fn tiny_windows_show_what_fits_and_no_window_is_survived() {
    for is_glance in [false, true] {
        let word = if is_glance { "glance" } else { "bench" };
        for [wide, high] in [[480.0, 320.0], [320.0, 200.0], [160.0, 100.0]] {
            let name = format!("tiny-{word}-{wide}");
            let texts = shown(&name, [wide, high], bench_page("nogo-on", is_glance));
            assert!(
                texts.iter().any(|text| text == "NO-GO"),
                "{name}: {texts:?}"
            );
        }
    }
    for size in [[0.0, 0.0], [1.0, 1.0], [800.0, 1.0], [3.0, 480.0]] {
        let paints = [bench_page("go", false), bench_page("go", true)];
        let rooms = [
            crate::pictures::start_pages(Theme::Day),
            crate::pairs::every_page(Theme::Day),
            crate::batch::every_page(Theme::Day),
            crate::records::every_page(Theme::Day),
            crate::gauges::every_page(Theme::Day),
        ];
        let firsts = rooms.into_iter().filter_map(|room| room.into_iter().next());
        for mut paint in paints.into_iter().chain(firsts.map(|(_, paint)| paint)) {
            let mut harness = window(SMALL, 1.0, move |ui| {
                let place = Rect::from_min_size(Pos2::ZERO, vec2(size[0], size[1]));
                let builder = eframe::egui::UiBuilder::new().max_rect(place);
                ui.scope_builder(builder, |ui| {
                    ui.set_clip_rect(place);
                    paint(ui);
                });
            });
            harness.run_steps(1);
        }
    }
}

#[test]
fn ten_thousand_parts_are_readable_in_both_rooms() {
    let texts = shown(
        "ten-thousand-bench",
        SMALL,
        bench_page("ten-thousand", false),
    );
    assert!(
        texts.iter().any(|text| text == "parts 1 to 10000"),
        "{texts:?}"
    );
    let snapshot = scene("ten-thousand").snapshot;
    for (page, word) in [(BatchPage::Run, "run"), (BatchPage::Table, "table")] {
        let view = crate::batch::seen_at(&snapshot, page);
        let look = Look::new(Theme::Day, Sizes::default());
        let mut laid = fitledger::window::chart_paint_ui::LaidChart::default();
        let paint: Paint = Box::new(move |ui| {
            fitledger::window::batch_ui::batch_ui(ui, &view, &look, &mut laid, &mut Vec::new());
        });
        let texts = shown(&format!("ten-thousand-{word}"), SMALL, paint);
        assert!(
            texts.iter().any(|text| text.contains("10000")),
            "{word}: {texts:?}"
        );
    }
}

/// Between its ends a column of the run chart is faint: limits and marks are not hidden by it.
#[test]
fn the_run_chart_of_ten_thousand_is_no_slab() {
    for (theme, is_large) in [(Theme::Night, false), (Theme::Day, true)] {
        let size = if is_large { [1280.0, 800.0] } else { SMALL };
        let (view, look) = (
            scene("ten-thousand").view(),
            Look::new(theme, Sizes::default()),
        );
        let said = view.chart.spoken.clone();
        let (ink, bars) = (look.tokens.text, look.tokens.bars);
        let mut harness = window(size, 1.0, move |ui| {
            bench_ui(ui, &view, &look, &mut Vec::new());
        });
        let place = harness.get_by_label(&said).rect();
        let image = harness.render().unwrap();
        let measured = Measured {
            image: &image,
            pixels_per_point: 1.0,
        };
        let (dark, faint) = (
            measured.share_of(place, ink),
            measured.share_of(place, bars),
        );
        assert!(dark < 0.08, "{theme:?}: {dark:.3} of the chart is ink");
        assert!(
            faint > 2.0 * dark,
            "{theme:?}: {faint:.3} faint, {dark:.3} ink"
        );
    }
}

#[test]
fn what_goes_wrong_is_seen_on_the_bench() {
    for (name, wanted) in [
        ("unplugged", "mic-25 → A: unplugged"),
        ("not-recorded", "NOT RECORDED"),
        ("damaged-resumed", "recorded: event"),
        ("long-names", "…"),
        ("control-names", "\\u{7}"),
    ] {
        for is_glance in [false, true] {
            let word = if is_glance { "glance" } else { "bench" };
            let texts = shown(
                &format!("{name}-{word}"),
                SMALL,
                bench_page(name, is_glance),
            );
            let is_there = texts.iter().any(|text| text.contains(wanted));
            // Names of people are not shown at a glance.
            let is_of_both = !matches!(name, "control-names" | "long-names");
            assert!(
                is_there || (is_glance && !is_of_both),
                "{name} {word}: {texts:?}"
            );
        }
    }
}

/// A workspace in which everything is wrong: a plan with errors, names that are endless, that run
/// from right to left, and that steer; a record that is damaged.
#[test]
fn a_workspace_full_of_trouble_is_told_in_sentences() {
    let folder = tempfile::tempdir().unwrap();
    let at = |name: &str| folder.path().join(name);
    fs::create_dir_all(at("plans")).unwrap();
    fs::create_dir_all(at("sessions")).unwrap();
    let plan = "[part]\nname = \"Pump shaft\"\n\n[[feature]]\nid = \"A\"\ncallout = \"20 k99\"\n";
    fs::write(at("plans/1-wrong.toml"), plan).unwrap();
    let long = "a-bush-of-the-second-foundry-".repeat(7);
    for (name, part) in [
        (long.as_str(), "Pump bush ".repeat(19)),
        (
            "0 \u{5d1}\u{5d5}\u{5dc}\u{5d8} \u{202e}gnp.exe",
            "\u{5e6}\u{5d9}\u{5e8}".to_owned(),
        ),
        (
            "\u{645}\u{636}\u{62e}\u{629}\u{1b}[2J\n",
            "\u{645}\u{636}\u{62e}\u{629}".to_owned(),
        ),
    ] {
        let text =
            format!("[part]\nname = \"{part}\"\n\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n");
        fs::write(at("plans").join(format!("{name}.toml")), text).unwrap();
    }
    fs::write(
        at("sessions/2026-11-24-080000-x.jsonl"),
        b"{\"no\":\x00 journal\n",
    )
    .unwrap();
    fs::write(at("gauges.toml"), "[[gauge]]\nid = 3\n").unwrap();
    fs::write(at("window.toml"), "theme = \"\u{202e}pink\"\n").unwrap();
    let mut desk = Desk::open_in(folder, None);
    let look_at = |desk: &mut Desk<'_>, name: &str| {
        for _ in 0..30 {
            std::thread::sleep(Duration::from_millis(5));
            desk.harness.step();
        }
        let image = desk.harness.render().unwrap();
        keep(&format!("steady-{name}"), &image);
        let whole = Rect::from_min_size(Pos2::ZERO, SMALL.into());
        let mut all = Vec::new();
        let shapes = desk.harness.output().shapes.iter();
        for one in shapes {
            if let eframe::egui::Shape::Text(text) = &one.shape {
                let rect = text.galley.mesh_bounds.translate(text.pos.to_vec2());
                let seen = rect.intersect(one.clip_rect);
                assert!(
                    !seen.is_positive() || whole.expand(0.5).contains_rect(seen),
                    "{name}"
                );
                all.push(text.galley.job.text.clone());
            }
        }
        let steers = |letter: char| {
            letter.is_control()
                || matches!(letter, '\u{200b}'..='\u{200f}' | '\u{202a}'..='\u{202e}')
        };
        let found = all.iter().find(|text| text.contains(steers));
        assert!(found.is_none(), "{name}: {found:?}");
        all.join("\n")
    };
    let start = look_at(&mut desk, "trouble-start");
    assert!(start.contains("wrong.toml"), "{start}");
    assert!(start.contains("1 fault; Enter shows it"), "{start}");
    assert!(
        start.contains("0 readings; The record is damaged"),
        "{start}"
    );
    desk.keys("3⏎⏎");
    let register = look_at(&mut desk, "trouble-register");
    assert!(register.contains("`id` is a number"), "{register}");
    // The register is mended, the plan is not.
    let mended = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                  resolution = 0.001\nmpe = 0.002\n";
    fs::write(desk.folder.path().join("gauges.toml"), mended).unwrap();
    desk.keys("⏎");
    let plan = look_at(&mut desk, "trouble-plan");
    assert!(plan.contains("k99"), "{plan}");
    for (key, room) in [
        ("⑤", "records"),
        ("⑥", "gauges"),
        ("④", "batch"),
        ("③", "pairs"),
    ] {
        desk.keys(key);
        look_at(&mut desk, &format!("trouble-{room}"));
    }
    asks_for_nothing(&desk.harness, "in trouble");
}

/// Paths as panics of released and of local builds name them.
#[test]
fn only_a_panic_of_the_window_s_libraries_is_a_window_taken_away() {
    for file in [
        "/home/x/.cargo/registry/src/index.crates.io-1949cf8c6b5b557f/winit-0.30.13/src/a.rs",
        "C:\\Users\\x\\registry\\src\\eframe-0.37.0\\src\\native\\run.rs",
        "/r/egui-winit-0.37.0/src/lib.rs",
        "/r/glutin-0.32.3/src/context.rs",
        "/r/wayland-sys-0.31.11/src/egl.rs",
    ] {
        assert!(is_of_windows(file), "{file}");
    }
    for file in [
        "src/window/app.rs",
        "/r/egui-0.37.0/src/context.rs",
        "/home/winit/fitledger/src/session/live.rs",
        "/r/winit-of-mine/src/lib.rs",
        "",
    ] {
        assert!(!is_of_windows(file), "{file}");
    }
    assert_eq!(until_taken_away(|| 3), Some(3));
    let other = std::panic::catch_unwind(|| until_taken_away(|| panic!("a fault of its own")));
    assert!(other.is_err(), "a fault of the program must stay one");
}

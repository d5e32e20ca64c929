//! Pictures that were looked at and accepted: the window still looks like them.

use std::path::PathBuf;

use fitledger::window::look::Theme;
use fitledger::window::start::{GaugeChoice, GaugeKind, Known, Start, StartFacts};
use fitledger::window::start_ui::start_ui;
use fitledger::window::start_view::start_view;
use image::RgbaImage;

use super::{LARGE, SMALL, Shot, look, none};
use crate::support::picture::{compare, picture};

/// The Start room of a workspace with a session left open, two plans and a gauge that is there.
fn start(size: [f32; 2], theme: Theme) -> RgbaImage {
    let (view, look) = (start_view(&start_room(), &start_facts(), '.'), look(theme));
    picture(size, 1.0, |ui| start_ui(ui, &view, &look, &mut Vec::new()))
}

/// The Start room with a callout being typed, with nothing typed, and while it asks for a gauge.
pub(crate) fn start_pages(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let mut asking = start_room();
    let _ = asking.press(fitledger::window::press::Press::Enter, &start_facts());
    let rooms = [
        ("typed", start_room(), start_facts()),
        ("empty", Start::default(), StartFacts::default()),
        ("gauge", asking, start_facts()),
    ];
    let pages = rooms.map(|(name, start, facts)| {
        let (view, look) = (start_view(&start, &facts, '.'), look(theme));
        let paint: crate::contrast::Paint =
            Box::new(move |ui| start_ui(ui, &view, &look, &mut Vec::new()));
        (format!("start-{name}"), paint)
    });
    pages.into()
}

fn start_room() -> Start {
    Start {
        text: "20 k6".to_owned(),
        ..Start::default()
    }
}

fn start_facts() -> StartFacts {
    let known = |name: &str, detail: &str| Known {
        path: PathBuf::from(format!("/w/{name}")),
        name: name.to_owned(),
        detail: detail.to_owned(),
    };
    StartFacts {
        unfinished: vec![known("2026-11-24-080000-20-k6.jsonl", "yesterday")],
        plans: vec![known("pump-shaft.toml", ""), known("pump-bush.toml", "")],
        gauges: vec![GaugeChoice {
            source: "serial:/dev/ttyUSB0".to_owned(),
            name: "mic-25".to_owned(),
            detail: "outside micrometer".to_owned(),
            kind: GaugeKind::Attached,
        }],
        ..StartFacts::default()
    }
}

fn bench(name: &str, theme: Theme) -> RgbaImage {
    Shot::of(name, SMALL, theme).shown(1.0).render().unwrap()
}

fn glance(name: &str, size: [f32; 2], theme: Theme) -> RgbaImage {
    Shot::glance(name, size, theme).shown(1.0).render().unwrap()
}

fn large(name: &str, theme: Theme) -> RgbaImage {
    Shot::of(name, LARGE, theme).shown(1.0).render().unwrap()
}

#[test]
fn the_window_looks_as_it_was_accepted() {
    let pictures = [
        ("bench-night-cutting", bench("cutting", Theme::Night)),
        ("bench-day-go", bench("go", Theme::Day)),
        ("bench-day-signal", bench("signal", Theme::Day)),
        (
            "bench-high-contrast-doubt",
            bench("doubt", Theme::HighContrast),
        ),
        ("bench-day-cooling", bench("cooling", Theme::Day)),
        ("glance-night-go", bench("glance", Theme::Night)),
        ("why-day", bench("why", Theme::Day)),
        ("check-night-turns", bench("check-turns", Theme::Night)),
        ("wires-day-on", bench("wires-on", Theme::Day)),
        ("start", start(SMALL, Theme::Night)),
        ("start-large-day", start(LARGE, Theme::Day)),
        ("bench-large-night-cutting", large("cutting", Theme::Night)),
        (
            "bench-large-day-ten-thousand",
            large("ten-thousand", Theme::Day),
        ),
        ("bench-night-angle", bench("angle", Theme::Night)),
        (
            "bench-high-contrast-not-recorded",
            bench("not-recorded", Theme::HighContrast),
        ),
        ("menu-night-look", bench("menu-look", Theme::Night)),
        (
            "glance-large-night-unplugged",
            glance("unplugged", LARGE, Theme::Night),
        ),
        (
            "glance-day-zero-failed",
            glance("zero-failed", SMALL, Theme::Day),
        ),
        ("why-large-night", large("why", Theme::Night)),
    ];
    let compared = pictures.iter().map(|(name, image)| compare(name, image));
    none(&compared.filter_map(Result::err).collect::<Vec<_>>());
}

//! Pictures that were looked at and accepted: the window still looks like them.

use std::path::PathBuf;

use fitledger::window::look::Theme;
use fitledger::window::start::{GaugeChoice, GaugeKind, Known, Start, StartFacts};
use fitledger::window::start_ui::start_ui;
use fitledger::window::start_view::start_view;
use image::RgbaImage;

use super::{SMALL, Shot, look, none};
use crate::support::picture::{compare, picture};

/// The Start room of a workspace with a session left open, two plans and a gauge that is there.
fn start() -> RgbaImage {
    let known = |name: &str, detail: &str| Known {
        path: PathBuf::from(format!("/w/{name}")),
        name: name.to_owned(),
        detail: detail.to_owned(),
    };
    let facts = StartFacts {
        unfinished: vec![known("2026-11-24-080000-20-k6.jsonl", "yesterday")],
        plans: vec![known("pump-shaft.toml", ""), known("pump-bush.toml", "")],
        gauges: vec![GaugeChoice {
            source: "serial:/dev/ttyUSB0".to_owned(),
            name: "mic-25".to_owned(),
            detail: "outside micrometer".to_owned(),
            kind: GaugeKind::Attached,
        }],
        ..StartFacts::default()
    };
    let start = Start {
        text: "20 k6".to_owned(),
        ..Start::default()
    };
    let (view, look) = (start_view(&start, &facts, '.'), look(Theme::Night));
    picture(SMALL, 1.0, |ui| start_ui(ui, &view, &look, &mut Vec::new()))
}

fn bench(name: &str, theme: Theme) -> RgbaImage {
    Shot::of(name, SMALL, theme).shown(1.0).render().unwrap()
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
        ("start", start()),
    ];
    let compared = pictures.iter().map(|(name, image)| compare(name, image));
    none(&compared.filter_map(Result::err).collect::<Vec<_>>());
}

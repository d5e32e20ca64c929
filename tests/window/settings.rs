//! `window.toml`: what is read, what is told, what is kept.
#![allow(clippy::unwrap_used, clippy::panic)]

use fitledger::window::look::{Distance, Theme};
use fitledger::window::settings::{POINTS_PER_MM_USUAL, Settings, marker_of_locale};

#[test]
fn what_is_written_is_read_again_and_unknown_keys_are_kept() {
    let text = "theme = \"day\"\nfuture = [1, 2]\n[more]\nkey = \"value\"\n";
    let (mut settings, faults) = Settings::parse(text, '.');
    assert_eq!((settings.theme, faults.len()), (Theme::Day, 0));
    settings.theme = Theme::HighContrast;
    settings.distance = Distance::Half;
    settings.points_per_mm = 5.51;
    settings.marker = ',';
    settings.is_glance = true;
    let written = settings.to_text().unwrap();
    assert!(written.contains("5.51\n"), "{written}");
    let (again, faults) = Settings::parse(&written, '.');
    assert_eq!((again.to_text(), faults.len()), (Some(written.clone()), 0));
    assert_eq!(
        (again.theme, again.distance, again.marker, again.is_glance),
        (Theme::HighContrast, Distance::Half, ',', true)
    );
    assert!((again.points_per_mm - 5.51).abs() < 1e-6);
    let table: toml::Table = written.parse().unwrap();
    assert_eq!(table["future"].as_array().unwrap().len(), 2);
    assert_eq!(table["more"]["key"].as_str(), Some("value"));
}

#[test]
fn every_fault_is_a_sentence_and_the_rest_holds() {
    for (line, key) in [
        ("theme = \"pink\"", "theme"),
        ("theme = 3", "theme"),
        ("distance_m = 9", "distance_m"),
        ("points_per_mm = 0.001", "points_per_mm"),
        ("points_per_mm = nan", "points_per_mm"),
        ("points_per_mm = inf", "points_per_mm"),
        ("points_per_mm = 99999999999999999", "points_per_mm"),
        ("decimal_marker = \";\"", "decimal_marker"),
        ("glance = \"yes\"", "glance"),
    ] {
        let (settings, faults) = Settings::parse(line, ',');
        assert_eq!(faults.len(), 1, "{line}");
        assert!(faults[0].starts_with("window.toml: ") && faults[0].contains(key));
        assert!(faults[0].ends_with('.'), "{faults:?}");
        assert_eq!(settings.marker, ',');
        assert!((settings.points_per_mm - POINTS_PER_MM_USUAL).abs() < 1e-6);
    }
}

#[test]
fn a_file_that_is_no_toml_is_left_alone() {
    for text in ["theme = ", "\0", "= 3", "[theme"] {
        let (settings, faults) = Settings::parse(text, '.');
        assert_eq!((settings.to_text(), faults.len()), (None, 1), "{text}");
        assert!(faults[0].contains("left as it is"), "{faults:?}");
    }
}

#[test]
fn the_usual_marker_follows_the_locale() {
    for (locale, marker) in [
        ("de_DE.UTF-8", ','),
        ("fr_FR@euro", ','),
        ("sv", ','),
        ("de_CH.UTF-8", '.'),
        ("en_US.UTF-8", '.'),
        ("C", '.'),
        ("C.UTF-8", '.'),
        ("POSIX", '.'),
        ("", '.'),
        ("es_MX", '.'),
        ("es_ES", ','),
        ("pt-BR", ','),
    ] {
        assert_eq!(marker_of_locale(locale), marker, "{locale}");
    }
}

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
        ("sound = 1", "sound"),
    ] {
        let (settings, faults) = Settings::parse(line, ',');
        assert_eq!(faults.len(), 1, "{line}");
        assert!(faults[0].starts_with("window.toml: ") && faults[0].contains(key));
        assert!(faults[0].ends_with('.'), "{faults:?}");
        assert_eq!(settings.marker, ',');
        assert!((settings.points_per_mm - POINTS_PER_MM_USUAL).abs() < 1e-6);
    }
}

const COMMENTED: &str = "# How our window looks.\n\ntheme = \"day\" # by the window\n\
     distance_m = 2 # from the chuck\n# ours\n\n[more] # behind\nkey = 1\n# end\n";

/// Whatever a person wrote stands where it stood.
#[test]
fn comments_blank_lines_and_order_are_kept() {
    let (mut settings, faults) = Settings::parse(COMMENTED, '.');
    assert!(faults.is_empty(), "{faults:?}");
    settings.theme = Theme::Night;
    settings.has_sound = true;
    let written = settings.to_text().unwrap();
    let mut at = 0;
    for kept in [
        "# How our window looks.\n\n",
        "theme = \"night\" # by the window\n",
        "distance_m = 2 # from the chuck\n",
        "sound = true\n",
        "[more] # behind\nkey = 1\n# end\n",
    ] {
        let found = written.get(at..).and_then(|rest| rest.find(kept));
        at += found.unwrap_or_else(|| panic!("{kept:?} in {written}")) + kept.len();
    }
    assert!(written.contains("# ours\n"), "{written}");
    let (again, faults) = Settings::parse(&written, '.');
    assert_eq!((again.to_text(), faults.len()), (Some(written.clone()), 0));
    assert!(again.has_sound && again.theme == Theme::Night);
    // Nothing but a comment: it stays above what comes.
    let (settings, _) = Settings::parse("# ours\n", '.');
    assert!(settings.to_text().unwrap().starts_with("# ours\ntheme = "));
}

/// What a text editor did while the window was open is not lost either.
#[test]
fn settings_are_kept_in_the_file_as_it_stands_now() {
    let (mut settings, _) = Settings::parse("theme = \"day\"\n", '.');
    settings.is_glance = true;
    let now = "# new\ntheme = \"day\"\nfuture = 7 # soon\n";
    let written = settings.to_text_in(now).unwrap();
    assert!(
        written.starts_with("# new\ntheme = \"day\"\nfuture = 7 # soon\n"),
        "{written}"
    );
    assert!(written.contains("glance = true\n"));
    assert_eq!(settings.to_text_in("theme = "), None);
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

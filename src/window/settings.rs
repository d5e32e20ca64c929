//! How the window is to look, as it is kept in `window.toml` of the workspace.
//!
//! What is not understood is kept as it stands, comments and order too; a file that is no TOML is
//! left alone.

use toml::{Table, Value};
use toml_edit::{DocumentMut, Item};

pub use super::look::POINTS_PER_MM_USUAL;
use super::look::{Distance, Theme};

/// Name of the file.
pub const SETTINGS_FILE: &str = "window.toml";
/// Fewest points to a millimetre that are taken (chosen: a very coarse panel).
pub const POINTS_PER_MM_MIN: f32 = 1.0;
/// Most points to a millimetre that are taken (chosen: beyond any screen).
pub const POINTS_PER_MM_MAX: f32 = 40.0;

/// Languages whose decimal marker is a comma (CLDR number data, from memory; only the common
/// ones, the setting is one key away).
const COMMA_LANGUAGES: [&str; 32] = [
    "bg", "ca", "cs", "da", "de", "el", "es", "et", "fi", "fr", "gl", "hr", "hu", "id", "is", "it",
    "lt", "lv", "nb", "nl", "nn", "no", "pl", "pt", "ro", "ru", "sk", "sl", "sr", "sv", "tr", "uk",
];
/// Countries of those languages that write a point (CLDR, from memory).
const POINT_COUNTRIES: [&str; 10] = ["CH", "LI", "MX", "US", "GT", "HN", "NI", "PA", "PE", "PR"];

/// What is set.
#[derive(Debug, Clone, PartialEq)]
pub struct Settings {
    /// Light and contrast.
    pub theme: Theme,
    /// From where the screen is read.
    pub distance: Distance,
    /// Points to a millimetre of the real screen.
    pub points_per_mm: f32,
    /// Decimal marker shown, `.` or `,`.
    pub marker: char,
    /// The layout that is read at a glance.
    pub is_glance: bool,
    /// Sounds say what the screen shows.
    pub has_sound: bool,
    /// The file as it was read; none when it is no TOML and must be left alone.
    read: Option<String>,
}

impl Settings {
    /// What holds where nothing is set.
    pub fn usual(marker: char) -> Self {
        Self {
            theme: Theme::default(),
            distance: Distance::default(),
            points_per_mm: POINTS_PER_MM_USUAL,
            marker,
            is_glance: false,
            has_sound: false,
            read: Some(String::new()),
        }
    }

    /// Reads the file's text. What is missing or at fault is as usual, and each fault is told in
    /// a sentence.
    pub fn parse(text: &str, marker: char) -> (Self, Vec<String>) {
        let mut settings = Self::usual(marker);
        let table: Table = match text.parse() {
            Ok(table) => table,
            Err(error) => {
                settings.read = None;
                let why = error.message();
                let fault = format!(
                    "{SETTINGS_FILE} is no TOML ({why}); it is left as it is, and settings are \
                     not kept until it is mended or deleted."
                );
                return (settings, vec![fault]);
            }
        };
        let mut faults = Vec::new();
        let mut read = |key: &str, wanted: &str, set: &mut dyn FnMut(&Value) -> Option<()>| {
            if let Some(value) = table.get(key)
                && set(value).is_none()
            {
                let found = value.to_string();
                let found: String = found.chars().take(40).collect();
                faults.push(format!(
                    "{SETTINGS_FILE}: {key} is {found}; it is {wanted}."
                ));
            }
        };
        let place = &mut settings;
        read("theme", "night, day or high-contrast", &mut |value| {
            place.theme = theme_of(value.as_str()?)?;
            Some(())
        });
        read("distance_m", "0.5, 1, 2 or 3", &mut |value| {
            place.distance = distance_of(number(value)?)?;
            Some(())
        });
        read("points_per_mm", "a number from 1 to 40", &mut |value| {
            place.points_per_mm = points_of(number(value)?)?;
            Some(())
        });
        read("decimal_marker", "\".\" or \",\"", &mut |value| {
            place.marker = marker_of(value.as_str()?)?;
            Some(())
        });
        read("glance", "true or false", &mut |value| {
            place.is_glance = value.as_bool()?;
            Some(())
        });
        read("sound", "true or false", &mut |value| {
            place.has_sound = value.as_bool()?;
            Some(())
        });
        settings.read = Some(text.to_owned());
        (settings, faults)
    }

    /// The file's text; none when the file must be left alone.
    pub fn to_text(&self) -> Option<String> {
        self.to_text_in(self.read.as_deref()?)
    }

    /// These settings in a file as it stands: only values that differ are written, each in its
    /// place. None when the file is no TOML and must be left alone.
    pub fn to_text_in(&self, file: &str) -> Option<String> {
        let mut document: DocumentMut = file.parse().ok()?;
        let is_bare = document.as_table().is_empty();
        for (key, value) in self.values() {
            set(&mut document, key, value);
        }
        let written = document.to_string();
        match is_bare {
            // What stands in a file without a value would come to stand below them.
            true if !file.trim().is_empty() => {
                let values = DocumentMut::new();
                let values = self.values().fold(values, |mut document, (key, value)| {
                    set(&mut document, key, value);
                    document
                });
                Some(format!("{}\n{values}", file.trim_end()))
            }
            _ => Some(written),
        }
    }

    fn values(&self) -> impl Iterator<Item = (&'static str, toml_edit::Value)> {
        // Through its shortest text, so that 3.78 does not become 3.7799999713897705.
        let points: f64 = self.points_per_mm.to_string().parse().unwrap_or_default();
        let all: [(&str, toml_edit::Value); 6] = [
            ("theme", theme_word(self.theme).into()),
            ("distance_m", distance_m(self.distance).into()),
            ("points_per_mm", points.into()),
            ("decimal_marker", self.marker.to_string().into()),
            ("glance", self.is_glance.into()),
            ("sound", self.has_sound.into()),
        ];
        all.into_iter()
    }
}

/// Sets a value where it differs; what stands around it stays, a comment behind it too.
fn set(document: &mut DocumentMut, key: &str, mut value: toml_edit::Value) {
    let Some(item) = document.get_mut(key) else {
        document.insert(key, Item::Value(value));
        return;
    };
    if let Some(before) = item.as_value() {
        if is_same(before, &value) {
            return;
        }
        *value.decor_mut() = before.decor().clone();
    }
    *item = Item::Value(value);
}

/// `2` and `2.0` are the same.
fn is_same(one: &toml_edit::Value, other: &toml_edit::Value) -> bool {
    const NEAR: f64 = 1e-9;
    let number = |value: &toml_edit::Value| {
        let whole = value
            .as_integer()
            .and_then(|whole| i32::try_from(whole).ok());
        value.as_float().or(whole.map(f64::from))
    };
    if let (Some(one), Some(other)) = (number(one), number(other)) {
        return (one - other).abs() < NEAR;
    }
    let text = one.as_str().zip(other.as_str());
    let truth = one.as_bool().zip(other.as_bool());
    text.is_some_and(|(one, other)| one == other) || truth.is_some_and(|(one, other)| one == other)
}

/// The decimal marker that a locale such as `de_DE.UTF-8` writes.
pub fn marker_of_locale(locale: &str) -> char {
    let name = locale.split(['.', '@']).next().unwrap_or_default();
    let (language, country) = name.split_once(['_', '-']).unwrap_or((name, ""));
    let is_comma = COMMA_LANGUAGES.contains(&language) && !POINT_COUNTRIES.contains(&country);
    if is_comma { ',' } else { '.' }
}

fn theme_of(word: &str) -> Option<Theme> {
    let mut all = Theme::ALL.into_iter();
    all.find(|theme| theme_word(*theme) == word)
}

/// A theme's word.
pub fn theme_word(theme: Theme) -> &'static str {
    match theme {
        Theme::Night => "night",
        Theme::Day => "day",
        Theme::HighContrast => "high-contrast",
    }
}

/// A distance in metres.
pub fn distance_m(distance: Distance) -> f64 {
    match distance {
        Distance::Half => 0.5,
        Distance::One => 1.0,
        Distance::Two => 2.0,
        Distance::Three => 3.0,
    }
}

fn distance_of(metres: f64) -> Option<Distance> {
    const NEAR: f64 = 1e-9;
    let fits = |distance: &Distance| (distance_m(*distance) - metres).abs() < NEAR;
    Distance::ALL.into_iter().find(fits)
}

fn points_of(number: f64) -> Option<f32> {
    let range = f64::from(POINTS_PER_MM_MIN)..=f64::from(POINTS_PER_MM_MAX);
    #[allow(clippy::cast_possible_truncation, reason = "a screen is not so exact")]
    range.contains(&number).then_some(number as f32)
}

fn number(value: &Value) -> Option<f64> {
    match value {
        Value::Float(number) => Some(*number),
        Value::Integer(number) => Some(f64::from(i32::try_from(*number).ok()?)),
        _ => None,
    }
}

fn marker_of(text: &str) -> Option<char> {
    match text {
        "." => Some('.'),
        "," => Some(','),
        _ => None,
    }
}

//! The adapters that come with the program: generic families, none describes an instrument.

use std::sync::Arc;

use super::adapter::Adapter;
use super::error::AdapterError;

/// Name and description of each, in alphabetical order.
const BUILT_IN: [(&str, &str); 25] = [
    ("bcd13-bytes", include_str!("adapters/bcd13-bytes.toml")),
    ("bcd13-hex", include_str!("adapters/bcd13-hex.toml")),
    (
        "bcd13-packed-high",
        include_str!("adapters/bcd13-packed-high.toml"),
    ),
    ("bcd7", include_str!("adapters/bcd7.toml")),
    ("bin24", include_str!("adapters/bin24.toml")),
    (
        "bits-high-first",
        include_str!("adapters/bits-high-first.toml"),
    ),
    ("flagged", include_str!("adapters/flagged.toml")),
    ("half-micron", include_str!("adapters/half-micron.toml")),
    ("id-line", include_str!("adapters/id-line.toml")),
    ("implied", include_str!("adapters/implied.toml")),
    ("line-comma", include_str!("adapters/line-comma.toml")),
    ("line-fixed", include_str!("adapters/line-fixed.toml")),
    ("line-free", include_str!("adapters/line-free.toml")),
    ("line-inch", include_str!("adapters/line-inch.toml")),
    ("line-strict", include_str!("adapters/line-strict.toml")),
    ("modbus-f32", include_str!("adapters/modbus-f32.toml")),
    ("modbus-i16", include_str!("adapters/modbus-i16.toml")),
    ("modbus-i32", include_str!("adapters/modbus-i32.toml")),
    ("modbus-u32", include_str!("adapters/modbus-u32.toml")),
    ("padded-unit", include_str!("adapters/padded-unit.toml")),
    ("stx-check", include_str!("adapters/stx-check.toml")),
    ("sum-check", include_str!("adapters/sum-check.toml")),
    ("tail-id", include_str!("adapters/tail-id.toml")),
    ("typed-tab", include_str!("adapters/typed-tab.toml")),
    ("wedge", include_str!("adapters/wedge.toml")),
];

/// The adapter that is used when none is named.
pub const DEFAULT_ADAPTER: &str = "line-free";

/// The names of the built-in adapters, in alphabetical order.
pub fn built_in_names() -> impl Iterator<Item = &'static str> {
    BUILT_IN.iter().map(|(name, _)| *name)
}

/// The description of a built-in adapter as its file holds it.
pub fn built_in_text(name: &str) -> Option<&'static str> {
    BUILT_IN
        .iter()
        .find(|(known, _)| *known == name)
        .map(|(_, text)| *text)
}

/// The built-in adapter of that name.
///
/// # Errors
/// [`AdapterError::Unknown`] with the names that exist.
pub fn built_in(name: &str) -> Result<Arc<Adapter>, AdapterError> {
    match built_in_text(name) {
        Some(text) => Adapter::from_text(text, Some(name)).map(Arc::new),
        None => Err(AdapterError::Unknown {
            name: name.to_owned(),
            known: built_in_names().map(str::to_owned).collect(),
        }),
    }
}

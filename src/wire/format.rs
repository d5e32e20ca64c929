//! The adapter description's file form: TOML, one adapter or a table of them.
//!
//! Only shapes here: which keys exist and what kind of value each holds. What the values may be
//! is decided in `check.rs`.

use std::collections::BTreeMap;
use std::ops::Range;

use serde::Deserialize;
use toml::Spanned;

use super::adapter::Adapter;
use super::description::Place;
use super::error::AdapterError;

/// A value with its place in the text.
pub(super) type At<T> = Option<Spanned<T>>;
/// Words of the wire and what they mean.
pub(super) type Words = BTreeMap<String, Spanned<String>>;

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct AdapterText {
    pub(super) name: At<String>,
    pub(super) note: Option<String>,
    /// How it was learnt; free, kept in the file only.
    #[serde(rename = "taught")]
    pub(super) _taught: Option<toml::Table>,
    pub(super) line: At<LineText>,
    pub(super) trigger: At<TriggerText>,
    pub(super) frame: At<FrameText>,
    pub(super) check: At<CheckText>,
    pub(super) fields: At<FieldsText>,
    pub(super) number: At<NumberText>,
    pub(super) unit: At<UnitText>,
    pub(super) sign: At<SignText>,
    pub(super) status: At<StatusText>,
    pub(super) id: At<IdText>,
    pub(super) limits: At<LimitsText>,
    pub(super) repeat: At<RepeatText>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LineText {
    pub(super) baud: At<i64>,
    pub(super) data_bits: At<i64>,
    pub(super) parity: At<String>,
    pub(super) stop_bits: At<i64>,
    pub(super) flow: At<String>,
    pub(super) dtr: At<String>,
    pub(super) rts: At<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct TriggerText {
    pub(super) kind: At<String>,
    pub(super) send_hex: At<String>,
    pub(super) reply_ms: At<i64>,
    pub(super) pin: At<String>,
    pub(super) pulse_ms: At<i64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FrameText {
    pub(super) kind: At<String>,
    pub(super) terminator: At<String>,
    pub(super) terminator_hex: At<String>,
    pub(super) start_hex: At<String>,
    pub(super) end_hex: At<String>,
    pub(super) trailer: At<i64>,
    pub(super) length: At<i64>,
    pub(super) gap_ms: At<i64>,
    pub(super) max_bytes: At<i64>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct CheckText {
    pub(super) kind: At<String>,
    pub(super) over: At<String>,
    pub(super) sep: At<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct FieldsText {
    pub(super) kind: At<String>,
    pub(super) pattern: At<String>,
    pub(super) width: At<i64>,
    pub(super) id: At<toml::Value>,
    pub(super) status: At<toml::Value>,
    pub(super) sign: At<toml::Value>,
    pub(super) num: At<toml::Value>,
    pub(super) unit: At<toml::Value>,
    pub(super) coding: At<String>,
    pub(super) count: At<i64>,
    pub(super) header: At<String>,
    pub(super) digits: At<toml::Value>,
    pub(super) places: At<i64>,
    pub(super) flags: At<i64>,
    pub(super) flag_minus: At<i64>,
    pub(super) flag_half: At<i64>,
    pub(super) flag_mm: At<i64>,
    pub(super) skip: At<i64>,
    pub(super) byte_order: At<String>,
    pub(super) magnitude: At<toml::Value>,
    pub(super) address: At<i64>,
    pub(super) function: At<i64>,
    #[serde(rename = "type")]
    pub(super) register_type: At<String>,
    pub(super) word_order: At<String>,
}

#[derive(Deserialize, Default)]
#[serde(deny_unknown_fields)]
pub(super) struct NumberText {
    pub(super) decimal: At<String>,
    pub(super) decimals: At<i64>,
    pub(super) implied_decimals: At<i64>,
    pub(super) places: At<BTreeMap<String, i64>>,
    pub(super) max_places: At<i64>,
    pub(super) scale: At<toml::Value>,
    pub(super) pad: At<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct UnitText {
    pub(super) rule: At<String>,
    pub(super) value: At<String>,
    pub(super) map: At<Words>,
    pub(super) default: At<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct SignText {
    pub(super) map: At<Words>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct StatusText {
    pub(super) map: At<Words>,
    pub(super) words: At<Words>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct IdText {
    pub(super) from: At<String>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct LimitsText {
    pub(super) max_abs: At<Words>,
}

#[derive(Deserialize)]
#[serde(deny_unknown_fields)]
pub(super) struct RepeatText {
    pub(super) ignore_same_ms: At<i64>,
}

impl Adapter {
    /// Reads an adapter from TOML text: one adapter, or a table of them of which `name` picks
    /// one. A single adapter without a name of its own takes `name`, else `adapter`.
    ///
    /// Total: any text gives an adapter or an error with its line and column.
    pub fn from_text(text: &str, name: Option<&str>) -> Result<Self, AdapterError> {
        let names = Self::names(text)?;
        let Some(names) = names else {
            let read: AdapterText = toml::from_str(text).map_err(|e| syntax(text, &e))?;
            return super::check::adapter(&read, 0..0, text, name.unwrap_or("adapter"));
        };
        let picked = match (name, names.as_slice()) {
            (Some(name), _) if names.iter().any(|known| known == name) => name,
            (Some(name), _) => {
                return Err(AdapterError::Unknown {
                    name: name.to_owned(),
                    known: names,
                });
            }
            (None, [only]) => only,
            (None, _) => return Err(AdapterError::Several { names }),
        };
        let read: BTreeMap<String, Spanned<AdapterText>> =
            toml::from_str(text).map_err(|e| syntax(text, &e))?;
        match read.get(picked) {
            Some(found) => super::check::adapter(found.get_ref(), found.span(), text, picked),
            None => Err(AdapterError::Unknown {
                name: picked.to_owned(),
                known: names,
            }),
        }
    }

    /// The names in a text that holds a table of adapters, in alphabetical order; none when it
    /// holds one adapter itself (it then has a `frame` or `fields` of its own).
    pub fn names(text: &str) -> Result<Option<Vec<String>>, AdapterError> {
        let table: toml::Table = toml::from_str(text).map_err(|e| syntax(text, &e))?;
        let single = ["frame", "fields"].iter().any(|key| {
            table
                .get(*key)
                .and_then(toml::Value::as_table)
                .is_some_and(|inner| inner.contains_key("kind"))
        });
        let all_tables = !table.is_empty() && table.values().all(toml::Value::is_table);
        let known_only = table.keys().all(|key| TABLES.contains(&key.as_str()));
        if single || known_only || !all_tables {
            return Ok(None);
        }
        Ok(Some(table.keys().cloned().collect()))
    }
}

/// The tables of one adapter: the keys of [`AdapterText`] that hold one.
const TABLES: [&str; 13] = [
    "taught", "line", "trigger", "frame", "check", "fields", "number", "unit", "sign", "status",
    "id", "limits", "repeat",
];

fn syntax(text: &str, error: &toml::de::Error) -> AdapterError {
    let (line, column) = error.span().map_or((1, 1), |span: Range<usize>| {
        Place::new(text, span.start).line_column()
    });
    AdapterError::Syntax {
        line,
        column,
        message: error.message().trim().replace('\n', ", "),
    }
}

macro_rules! keys_of {
    ($table:ty: $($key:ident $name:literal),+ $(,)?) => {
        impl $table {
            /// The keys that are there, with their places.
            pub(super) fn present(&self) -> Vec<(&'static str, Range<usize>)> {
                let mut found = Vec::new();
                $(if let Some(value) = &self.$key {
                    found.push(($name, value.span()));
                })+
                found
            }
        }
    };
}

keys_of!(TriggerText: send_hex "send_hex", reply_ms "reply_ms", pin "pin", pulse_ms "pulse_ms");
keys_of!(FrameText: terminator "terminator", terminator_hex "terminator_hex",
    start_hex "start_hex", end_hex "end_hex", trailer "trailer", length "length",
    gap_ms "gap_ms", max_bytes "max_bytes");
keys_of!(CheckText: over "over", sep "sep");
keys_of!(FieldsText: pattern "pattern", width "width", id "id", status "status", sign "sign",
    num "num", unit "unit", coding "coding", count "count", header "header", digits "digits",
    places "places", flags "flags", flag_minus "flag_minus", flag_half "flag_half",
    flag_mm "flag_mm", skip "skip", byte_order "byte_order", magnitude "magnitude",
    address "address", function "function", register_type "type", word_order "word_order");
keys_of!(UnitText: value "value", map "map", default "default");
keys_of!(NumberText: decimal "decimal", decimals "decimals",
    implied_decimals "implied_decimals", places "places", max_places "max_places",
    scale "scale", pad "pad");

//! From an adapter description's text to an adapter: fields, number, unit, limits.

use std::collections::BTreeMap;
use std::ops::Range;

use toml::Spanned;

use super::adapter::{Check, Columns, Fields, Framing, NumberRule, PerUnit, Scale, UnitRule};
use super::check_binary;
use super::description::Checked;
use super::error::AdapterError;
use super::format::{At, FieldsText, NumberText, UnitText, Words};
use super::pattern::Pattern;
use crate::quantity::{Decimal, DecimalMark, Length, LengthUnit};

const UNITS: [(&str, LengthUnit); 2] = [("mm", LengthUnit::Millimetre), ("in", LengthUnit::Inch)];

/// A table of words of the wire and their meanings.
pub(super) fn meanings<T: Copy>(
    on: &Checked<'_>,
    key: &str,
    map: &Spanned<Words>,
    known: &[(&str, T)],
) -> Result<BTreeMap<String, T>, AdapterError> {
    let mut read = BTreeMap::new();
    for (code, meaning) in map.get_ref() {
        if !code.bytes().all(|b| (0x20..=0x7e).contains(&b)) {
            return Err(on.wrong(key, map.span(), "codes of plain characters"));
        }
        read.insert(code.clone(), on.word(key, meaning, known)?);
    }
    if read.is_empty() {
        return Err(on.wrong(key, map.span(), "at least one code"));
    }
    Ok(read)
}

pub(super) fn fields(
    on: &Checked<'_>,
    read: &Spanned<FieldsText>,
    framing: &Framing,
    check: &Check,
) -> Result<Fields, AdapterError> {
    let (text, span) = (read.get_ref(), read.span());
    let expected = "pattern, columns, nibbles, bits or registers";
    let kind = on.need("fields.kind", &text.kind, &span, expected)?;
    let kinds = [
        ("pattern", &["pattern"] as &[&str]),
        ("columns", &["width", "id", "status", "sign", "num", "unit"]),
        (
            "nibbles",
            &[
                "coding",
                "count",
                "header",
                "sign",
                "digits",
                "places",
                "unit",
                "flags",
                "flag_minus",
                "flag_half",
                "flag_mm",
            ],
        ),
        ("bits", &["skip", "byte_order", "magnitude", "sign", "unit"]),
        ("registers", &["address", "function", "type", "word_order"]),
    ];
    let allowed = on.word("fields.kind", kind, &kinds)?;
    on.only("fields", kind.get_ref(), &text.present(), allowed)?;
    let made = match kind.get_ref().as_str() {
        "pattern" => {
            let pattern = on.need("fields.pattern", &text.pattern, &span, "a pattern")?;
            let made = Pattern::new(pattern.get_ref())
                .map_err(|expected| on.wrong("fields.pattern", pattern.span(), expected))?;
            Fields::Pattern(made)
        }
        "columns" => Fields::Columns(columns(on, text, &span)?),
        "nibbles" => Fields::Nibbles(check_binary::nibbles(on, text, &span)?),
        "bits" => Fields::Bits(check_binary::bits(on, text, &span, framing, check)?),
        _ => Fields::Registers(check_binary::registers(on, text, &span)?),
    };
    check_binary::fits_frame(on, kind, &made, framing, check)?;
    Ok(made)
}

fn columns(
    on: &Checked<'_>,
    text: &FieldsText,
    span: &Range<usize>,
) -> Result<Columns, AdapterError> {
    let width_text = on.need("fields.width", &text.width, span, "the frame's width")?;
    let width = on.count("fields.width", width_text, 1..1_025)? as usize;
    let mut taken = vec![false; width];
    let mut place = |key: &str,
                     value: &At<toml::Value>|
     -> Result<Option<(usize, usize)>, AdapterError> {
        let Some(value) = value else { return Ok(None) };
        let expected = format!("[from, to) within 0 to {width}, apart from the other fields");
        let ends = value.get_ref().as_array().map(Vec::as_slice);
        let found = match ends {
            Some([from, to]) => from.as_integer().zip(to.as_integer()),
            _ => None,
        };
        let found = found
            .and_then(|(from, to)| Some((usize::try_from(from).ok()?, usize::try_from(to).ok()?)))
            .filter(|(from, to)| from < to);
        let free = found.and_then(|(from, to)| {
            let cells = taken.get_mut(from..to)?;
            let free = cells.iter().all(|cell| !*cell);
            cells.fill(true);
            free.then_some((from, to))
        });
        match free {
            Some(ends) => Ok(Some(ends)),
            None => Err(on.wrong(key, value.span(), expected)),
        }
    };
    let number_text = on.need("fields.num", &text.num, span, "[from, to)")?;
    let number = place("fields.num", &text.num)?;
    let made = Columns {
        width,
        id: place("fields.id", &text.id)?,
        status: place("fields.status", &text.status)?,
        sign: place("fields.sign", &text.sign)?,
        unit: place("fields.unit", &text.unit)?,
        number: number.ok_or_else(|| on.wrong("fields.num", number_text.span(), "[from, to)"))?,
    };
    Ok(made)
}

pub(super) fn unit(
    on: &Checked<'_>,
    read: &At<UnitText>,
    whole: &Range<usize>,
    fields: &Fields,
) -> Result<UnitRule, AdapterError> {
    let read = on.need("unit", read, whole, "where the unit comes from")?;
    let (text, span) = (read.get_ref(), read.span());
    let rule = on.need("unit.rule", &text.rule, &span, "fixed, field or flag")?;
    let rules = [
        ("fixed", &["value"] as &[&str]),
        ("field", &["map", "default"]),
        ("flag", &[]),
    ];
    let allowed = on.word("unit.rule", rule, &rules)?;
    on.only("unit", rule.get_ref(), &text.present(), allowed)?;
    match rule.get_ref().as_str() {
        "fixed" => {
            let value = on.need("unit.value", &text.value, &span, "mm or in")?;
            Ok(UnitRule::Fixed(on.word("unit.value", value, &UNITS)?))
        }
        "field" => {
            let map = on.need("unit.map", &text.map, &span, "what each unit word means")?;
            let default = match &text.default {
                None => None,
                Some(word) => Some(on.word("unit.default", word, &UNITS)?),
            };
            if !fields.has_unit() {
                let expected = "fixed, because the frame has no unit field";
                return Err(on.wrong("unit.rule", rule.span(), expected));
            }
            let map_read = meanings(on, "unit.map", map, &UNITS)?;
            check_binary::codes_fit(on, "unit.map", map, fields)?;
            Ok(UnitRule::Field {
                map: map_read,
                default,
            })
        }
        _ => match fields {
            Fields::Nibbles(nibbles) if nibbles.flags.is_some_and(|f| f.millimetre.is_some()) => {
                Ok(UnitRule::Flag)
            }
            _ => {
                let expected = "flag only beside nibbles with fields.flag_mm";
                Err(on.wrong("unit.rule", rule.span(), expected))
            }
        },
    }
}

pub(super) fn number(
    on: &Checked<'_>,
    read: &At<NumberText>,
    whole: &Range<usize>,
    unit: &UnitRule,
    fields: &Fields,
) -> Result<NumberRule, AdapterError> {
    let empty = NumberText::default();
    let text = read.as_ref().map_or(&empty, Spanned::get_ref);
    let table = read.as_ref().map_or(whole.clone(), Spanned::span);
    let marks = [
        ("point", DecimalMark::Point),
        ("comma", DecimalMark::Comma),
        ("either", DecimalMark::Either),
    ];
    let places = |key, value: &At<i64>| match value {
        None => Ok(None),
        Some(value) => {
            let count = on.count(key, value, 0..10)?;
            Ok::<_, AdapterError>(Some(u8::try_from(count).unwrap_or(u8::MAX)))
        }
    };
    let decimals = places("number.decimals", &text.decimals)?;
    let implied_decimals = places("number.implied_decimals", &text.implied_decimals)?;
    if let (Some(_), Some(implied)) = (decimals, &text.implied_decimals) {
        let expected = "either decimals or implied_decimals";
        return Err(on.wrong("number.implied_decimals", implied.span(), expected));
    }
    let (per_unit, max_places) = check_binary::number(on, text, &table, unit, fields)?;
    let padded = match &text.pad {
        None => false,
        Some(pad) => on.word("number.pad", pad, &[("space", true)])?,
    };
    Ok(NumberRule {
        mark: match &text.decimal {
            None => DecimalMark::Point,
            Some(word) => on.word("number.decimal", word, &marks)?,
        },
        decimals,
        implied_decimals,
        padded,
        places: per_unit,
        max_places,
        scale: scale(on, &text.scale, unit)?,
    })
}

fn scale(
    on: &Checked<'_>,
    read: &At<toml::Value>,
    unit: &UnitRule,
) -> Result<PerUnit<Option<Scale>>, AdapterError> {
    const KEY: &str = "number.scale";
    let mut scale = PerUnit::default();
    let Some(read) = read else { return Ok(scale) };
    let expected = "a decimal or a ratio in quotes, such as \"0.0005\" or \"25.4/20480\"";
    let units = unit.units();
    match read.get_ref() {
        toml::Value::String(text) => {
            for unit in units {
                let one = one_scale(text, unit)
                    .ok_or_else(|| on.wrong(KEY, read.span(), scale_expected(unit, expected)))?;
                scale.set(unit, Some(one));
            }
        }
        toml::Value::Table(table) => {
            for (name, value) in table {
                let unit = LengthUnit::from_symbol(name)
                    .ok_or_else(|| on.wrong(KEY, read.span(), "the keys mm and in"))?;
                let one = value.as_str().and_then(|text| one_scale(text, unit));
                let one =
                    one.ok_or_else(|| on.wrong(KEY, read.span(), scale_expected(unit, expected)))?;
                scale.set(unit, Some(one));
            }
            if units.iter().any(|unit| scale.of(*unit).is_none()) {
                return Err(on.wrong(KEY, read.span(), "a scale for each unit that can come"));
            }
        }
        _ => return Err(on.wrong(KEY, read.span(), expected)),
    }
    Ok(scale)
}

fn scale_expected(unit: LengthUnit, expected: &str) -> String {
    match unit {
        LengthUnit::Millimetre => expected.to_owned(),
        LengthUnit::Inch => format!("{expected}; a ratio only in millimetres"),
    }
}

/// One scale; a ratio is held as whole numbers so that the product is exact before it is rounded.
fn one_scale(text: &str, unit: LengthUnit) -> Option<Scale> {
    let positive = |text: &str| {
        let read = Decimal::parse(text, DecimalMark::Point).ok()?;
        // At most 12 digits, so that products with a wire number stay within 128 bits.
        (read.mantissa() > 0 && read.mantissa() < 1_000_000_000_000 && read.decimals() <= 12)
            .then_some(read)
    };
    let Some((above, below)) = text.split_once('/') else {
        return positive(text).map(Scale::Exact);
    };
    if unit != LengthUnit::Millimetre {
        return None;
    }
    let (above, below) = (positive(above)?, positive(below)?);
    let nm = above.mantissa() * 1_000_000 * 10_i128.pow(u32::from(below.decimals()));
    let divisor = below.mantissa() * 10_i128.pow(u32::from(above.decimals()));
    Some(Scale::Ratio { nm, divisor })
}

pub(super) fn limits(
    on: &Checked<'_>,
    map: &Spanned<Words>,
) -> Result<PerUnit<Option<Length>>, AdapterError> {
    const KEY: &str = "limits.max_abs";
    let mut read = PerUnit::default();
    for (name, value) in map.get_ref() {
        let unit = LengthUnit::from_symbol(name)
            .ok_or_else(|| on.wrong(KEY, map.span(), "the keys mm and in"))?;
        let limit = Decimal::parse(value.get_ref(), DecimalMark::Point)
            .and_then(|number| Length::from_decimal(number, unit))
            .ok()
            .filter(|limit| !limit.is_negative())
            .ok_or_else(|| on.wrong(KEY, value.span(), "a length in quotes, such as \"350\""))?;
        read.set(unit, Some(limit));
    }
    Ok(read)
}

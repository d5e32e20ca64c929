//! From an adapter description's text to an adapter: groups of 4 bits, bits and registers, and
//! whether they fit the frame.

use std::ops::Range;

use toml::Spanned;

use super::adapter::{Check, Fields, Framing, PerUnit, SignRule, UnitRule};
use super::bits::Bits;
use super::check_fields::meanings;
use super::description::Checked;
use super::error::AdapterError;
use super::format::{At, FieldsText, NumberText, SignText, Words};
use super::nibbles::{Coding, Flags, Nibbles};
use super::registers::{RegisterType, Registers};
use crate::quantity::LengthUnit;

/// Two whole numbers in brackets.
fn pair(on: &Checked<'_>, key: &str, value: &Spanned<toml::Value>) -> Result<Pair, AdapterError> {
    let ends = value.get_ref().as_array().map(Vec::as_slice);
    let found = match ends {
        Some([from, to]) => from.as_integer().zip(to.as_integer()),
        _ => None,
    };
    let whole = |end: i64| u32::try_from(end).ok();
    found
        .and_then(|(from, to)| Some((whole(from)?, whole(to)?)))
        .ok_or_else(|| on.wrong(key, value.span(), "two whole numbers, [from, to)"))
}

type Pair = (u32, u32);

/// One place of a list of `count`.
fn place(
    on: &Checked<'_>,
    key: &str,
    value: &Spanned<toml::Value>,
    count: u32,
) -> Result<u32, AdapterError> {
    value
        .get_ref()
        .as_integer()
        .and_then(|at| u32::try_from(at).ok())
        .filter(|at| *at < count)
        .ok_or_else(|| {
            let last = count.saturating_sub(1);
            on.wrong(key, value.span(), format!("one place, 0 to {last}"))
        })
}

/// Places that are taken by fields: each may be used once.
struct Taken(Vec<bool>);

impl Taken {
    fn take(
        &mut self,
        on: &Checked<'_>,
        key: &str,
        span: Range<usize>,
        places: Range<usize>,
    ) -> Result<(), AdapterError> {
        let count = self.0.len();
        let free = self.0.get_mut(places).is_some_and(|cells| {
            let free = !cells.is_empty() && cells.iter().all(|cell| !*cell);
            cells.fill(true);
            free
        });
        match free {
            true => Ok(()),
            false => {
                let last = count.saturating_sub(1);
                let expected = format!("places 0 to {last}, apart from the other fields");
                Err(on.wrong(key, span, expected))
            }
        }
    }
}

pub(super) fn nibbles(
    on: &Checked<'_>,
    text: &FieldsText,
    span: &Range<usize>,
) -> Result<Nibbles, AdapterError> {
    let codings = [
        ("hex_text", Coding::HexText),
        ("low_nibble", Coding::LowNibble),
        ("packed_low_first", Coding::PackedLowFirst),
        ("packed_high_first", Coding::PackedHighFirst),
    ];
    let coding = on.need("fields.coding", &text.coding, span, "how groups are sent")?;
    let coding = on.word("fields.coding", coding, &codings)?;
    let count_text = on.need("fields.count", &text.count, span, "how many groups")?;
    let most = u32::try_from(Nibbles::GROUPS_MAX).unwrap_or(u32::MAX);
    let count = on.count("fields.count", count_text, 1..most + 1)?;
    let mut taken = Taken(vec![false; count as usize]);
    let header = header(on, &text.header, &mut taken)?;
    let digits_text = on.need("fields.digits", &text.digits, span, "[from, to)")?;
    let (a, b) = pair(on, "fields.digits", digits_text)?;
    let digits = (a.min(b) as usize, a.max(b) as usize);
    taken.take(on, "fields.digits", digits_text.span(), digits.0..digits.1)?;
    if digits.1 - digits.0 > Nibbles::DIGITS_MAX {
        let expected = format!("at most {} digits", Nibbles::DIGITS_MAX);
        return Err(on.wrong("fields.digits", digits_text.span(), expected));
    }
    let mut group = |key: &str, value: &At<i64>| match value {
        None => Ok(None),
        Some(value) => {
            let at = on.count(key, value, 0..count)? as usize;
            taken.take(on, key, value.span(), at..at + 1)?;
            Ok::<_, AdapterError>(Some(at))
        }
    };
    let places = group("fields.places", &text.places)?;
    let flags = group("fields.flags", &text.flags)?;
    let flags = flag_bits(on, text, span, flags)?;
    let mut value_group = |key: &str, value: &At<toml::Value>| match value {
        None => Ok(None),
        Some(value) => {
            let at = place(on, key, value, count)? as usize;
            taken.take(on, key, value.span(), at..at + 1)?;
            Ok::<_, AdapterError>(Some(at))
        }
    };
    let sign = value_group("fields.sign", &text.sign)?;
    let unit = value_group("fields.unit", &text.unit)?;
    let flag_minus = flags.and_then(|flags| flags.minus);
    if let (Some(_), Some(value)) = (flag_minus, &text.sign) {
        return Err(on.wrong("fields.sign", value.span(), "either sign or flag_minus"));
    }
    Ok(Nibbles {
        coding,
        count: count as usize,
        header,
        sign,
        digits,
        lowest_first: a > b,
        places,
        unit,
        flags,
    })
}

/// The groups that every frame begins with.
fn header(on: &Checked<'_>, read: &At<String>, taken: &mut Taken) -> Result<Vec<u8>, AdapterError> {
    const KEY: &str = "fields.header";
    let Some(read) = read else {
        return Ok(Vec::new());
    };
    let digit = |c: char| u8::try_from(c.to_digit(16)?).ok();
    let groups: Option<Vec<u8>> = read.get_ref().chars().map(digit).collect();
    let groups = groups.filter(|groups| !groups.is_empty());
    let groups = groups.ok_or_else(|| {
        on.wrong(
            KEY,
            read.span(),
            "groups as hexadecimal digits, such as FFFF",
        )
    })?;
    taken.take(on, KEY, read.span(), 0..groups.len())?;
    Ok(groups)
}

/// The bits of the flag group.
fn flag_bits(
    on: &Checked<'_>,
    text: &FieldsText,
    span: &Range<usize>,
    group: Option<usize>,
) -> Result<Option<Flags>, AdapterError> {
    let mut taken = Taken(vec![false; 4]);
    let mut bit = |key: &str, value: &At<i64>| match value {
        None => Ok(None),
        Some(value) => {
            let at = on.count(key, value, 0..4)?;
            taken.take(on, key, value.span(), at as usize..at as usize + 1)?;
            Ok::<_, AdapterError>(u8::try_from(at).ok())
        }
    };
    let minus = bit("fields.flag_minus", &text.flag_minus)?;
    let half = bit("fields.flag_half", &text.flag_half)?;
    let millimetre = bit("fields.flag_mm", &text.flag_mm)?;
    match group {
        Some(group) => Ok(Some(Flags {
            group,
            minus,
            half,
            millimetre,
        })),
        None if minus.or(half).or(millimetre).is_some() => {
            Err(on.missing("fields.flags", span.clone(), "the group of the flag bits"))
        }
        None => Ok(None),
    }
}

pub(super) fn bits(
    on: &Checked<'_>,
    text: &FieldsText,
    span: &Range<usize>,
    framing: &Framing,
    check: &Check,
) -> Result<Bits, AdapterError> {
    let skip = match &text.skip {
        None => 0,
        Some(skip) => on.count("fields.skip", skip, 0..1_025)? as usize,
    };
    let orders = [("low_first", true), ("high_first", false)];
    let order = on.need(
        "fields.byte_order",
        &text.byte_order,
        span,
        "low_first or high_first",
    )?;
    let low_first = on.word("fields.byte_order", order, &orders)?;
    let whole = whole_length(framing).unwrap_or(0);
    let bytes = whole
        .checked_sub(skip + check_bytes(check))
        .filter(|bytes| (1..=Bits::BYTES_MAX).contains(bytes));
    let Some(bytes) = bytes else {
        let at = text.skip.as_ref().map_or(span.clone(), Spanned::span);
        let expected = "a frame.length that leaves 1 to 8 bytes for the number";
        return Err(on.wrong("fields.skip", at, expected));
    };
    let count = u32::try_from(8 * bytes).unwrap_or(0);
    let mut taken = Taken(vec![false; 8 * bytes]);
    let magnitude_text = on.need("fields.magnitude", &text.magnitude, span, "[from, to)")?;
    let (from, to) = pair(on, "fields.magnitude", magnitude_text)?;
    let ends = from as usize..(to as usize).max(from as usize);
    taken.take(on, "fields.magnitude", magnitude_text.span(), ends)?;
    let mut bit = |key: &str, value: &At<toml::Value>| match value {
        None => Ok(None),
        Some(value) => {
            let at = place(on, key, value, count)?;
            taken.take(on, key, value.span(), at as usize..at as usize + 1)?;
            Ok::<_, AdapterError>(Some(at))
        }
    };
    Ok(Bits {
        skip,
        bytes,
        low_first,
        magnitude: (from, to),
        sign: bit("fields.sign", &text.sign)?,
        unit: bit("fields.unit", &text.unit)?,
    })
}

pub(super) fn registers(
    on: &Checked<'_>,
    text: &FieldsText,
    span: &Range<usize>,
) -> Result<Registers, AdapterError> {
    let small = |key: &str, value: &At<i64>, allowed: Range<u32>, expected: &str| {
        let value = on.need(key, value, span, expected)?;
        let count = on.count(key, value, allowed)?;
        Ok::<_, AdapterError>(u8::try_from(count).unwrap_or(u8::MAX))
    };
    // Addresses 248 to 255 are reserved; 0 is for everyone and never answers.
    let address = small("fields.address", &text.address, 1..248, "1 to 247")?;
    let function = small("fields.function", &text.function, 3..5, "3 or 4")?;
    let types = [
        ("i16", RegisterType::I16),
        ("u16", RegisterType::U16),
        ("i32", RegisterType::I32),
        ("u32", RegisterType::U32),
        ("f32", RegisterType::Float),
    ];
    let kind = on.need(
        "fields.type",
        &text.register_type,
        span,
        "i16, u16, i32, u32 or f32",
    )?;
    let holds = on.word("fields.type", kind, &types)?;
    let orders = [("low_first", true), ("high_first", false)];
    let low_first = match (&text.word_order, holds.words()) {
        (Some(order), 2) => on.word("fields.word_order", order, &orders)?,
        (Some(order), _) => {
            let expected = "no such key beside one register";
            return Err(on.wrong("fields.word_order", order.span(), expected));
        }
        (None, 2) => {
            let expected = "low_first or high_first";
            return Err(on.missing("fields.word_order", span.clone(), expected));
        }
        (None, _) => false,
    };
    Ok(Registers {
        address,
        function,
        holds,
        low_first,
    })
}

/// Bytes that every frame has.
fn whole_length(framing: &Framing) -> Option<usize> {
    match *framing {
        Framing::StartLength { length, .. } => Some(length),
        Framing::Gap { length, .. } => length,
        Framing::Terminated { .. } | Framing::StartEnd { .. } => None,
    }
}

/// Check bytes at a frame's end that are no text.
fn check_bytes(check: &Check) -> usize {
    match check {
        Check::Crc16Modbus => 2,
        Check::None | Check::Xor8 | Check::Sum8Hex { .. } => 0,
    }
}

/// Refuses fields that do not fit the frame or its check.
pub(super) fn fits_frame(
    on: &Checked<'_>,
    kind: &Spanned<String>,
    fields: &Fields,
    framing: &Framing,
    check: &Check,
) -> Result<(), AdapterError> {
    let wrong = |expected: String| Err(on.wrong("fields.kind", kind.span(), expected));
    let crc = *check == Check::Crc16Modbus;
    let length = whole_length(framing);
    let needed = match fields {
        Fields::Registers(registers) => {
            let bytes = registers.bytes();
            let gap = matches!(framing, Framing::Gap { .. });
            return match gap && crc && length == Some(bytes) {
                true => Ok(()),
                false => wrong(format!(
                    "registers beside frame.kind = \"gap\", frame.length = {bytes} and \
                     check.kind = \"crc16_modbus\""
                )),
            };
        }
        _ if crc && fields.is_text() => {
            return wrong("no text beside check.kind = \"crc16_modbus\"".to_owned());
        }
        Fields::Pattern(_) | Fields::Columns(_) => return Ok(()),
        Fields::Bits(bits) => bits.skip + bits.bytes,
        Fields::Nibbles(nibbles) => nibbles.bytes(),
    };
    let needed = needed + check_bytes(check);
    match length {
        Some(length) if length == needed => Ok(()),
        None if fields.is_text() => Ok(()),
        _ => wrong(format!(
            "{} beside frame.kind = \"start_length\" or \"gap\" with frame.length = {needed}",
            kind.get_ref()
        )),
    }
}

/// Refuses codes that no group and no bit can be.
pub(super) fn codes_fit(
    on: &Checked<'_>,
    key: &str,
    map: &Spanned<Words>,
    fields: &Fields,
) -> Result<(), AdapterError> {
    let (codes, expected) = match fields {
        Fields::Nibbles(_) => ("0123456789ABCDEF", "codes of one group, 0 to 9 or A to F"),
        Fields::Bits(_) => ("01", "the codes 0 and 1"),
        Fields::Pattern(_) | Fields::Columns(_) | Fields::Registers(_) => return Ok(()),
    };
    let fits = |code: &String| code.len() == 1 && codes.contains(code.as_str());
    match map.get_ref().keys().all(fits) {
        true => Ok(()),
        false => Err(on.wrong(key, map.span(), expected)),
    }
}

/// What the sign field means.
pub(super) fn signs(
    on: &Checked<'_>,
    read: &At<SignText>,
    whole: &Range<usize>,
    fields: &Fields,
) -> Result<SignRule, AdapterError> {
    const KEY: &str = "sign.map";
    let map = read.as_ref().and_then(|sign| sign.get_ref().map.as_ref());
    let has_sign = match fields {
        Fields::Nibbles(nibbles) => nibbles.sign.is_some(),
        Fields::Bits(bits) => bits.sign.is_some(),
        Fields::Registers(_) => false,
        Fields::Pattern(_) | Fields::Columns(_) => true,
    };
    match map {
        None if has_sign && matches!(fields, Fields::Nibbles(_)) => {
            Err(on.missing(KEY, whole.clone(), "what each sign group means"))
        }
        None => Ok(SignRule::Plain),
        Some(map) if !has_sign => Err(on.wrong(KEY, map.span(), "a sign field beside the map")),
        Some(map) => {
            let signs = meanings(on, KEY, map, &[("+", false), ("-", true)])?;
            codes_fit(on, KEY, map, fields)?;
            Ok(SignRule::Map(signs))
        }
    }
}

type Places = (PerUnit<Option<u8>>, Option<u8>);

/// The places of a number in groups; refuses keys of `number` that mean nothing to the fields.
pub(super) fn number(
    on: &Checked<'_>,
    text: &NumberText,
    table: &Range<usize>,
    unit: &UnitRule,
    fields: &Fields,
) -> Result<Places, AdapterError> {
    let (kind, allowed): (&str, &[&str]) = match fields {
        Fields::Pattern(_) | Fields::Columns(_) => {
            let groups = ["places", "max_places"];
            let present = text.present();
            return match present.iter().find(|(key, _)| groups.contains(key)) {
                None => Ok(Places::default()),
                Some((key, span)) => {
                    let expected = "no such key beside text (it belongs to nibbles)";
                    Err(on.wrong(&format!("number.{key}"), span.clone(), expected))
                }
            };
        }
        Fields::Nibbles(nibbles) => match nibbles.places {
            Some(_) => ("nibbles with a places group", &["max_places", "scale"]),
            None => ("nibbles without a places group", &["places", "scale"]),
        },
        Fields::Bits(_) => ("bits", &["scale"]),
        Fields::Registers(registers) => match registers.holds {
            RegisterType::Float => ("registers of type f32", &["decimals", "scale"]),
            _ => ("registers of whole numbers", &["scale"]),
        },
    };
    on.only("number", kind, &text.present(), allowed)?;
    match fields {
        Fields::Registers(registers) if registers.holds == RegisterType::Float => {
            let expected = "how many decimals the number is rounded to";
            on.need("number.decimals", &text.decimals, table, expected)?;
            Ok(Places::default())
        }
        Fields::Nibbles(nibbles) if nibbles.places.is_some() => {
            let expected = "the largest legal places group";
            let most = on.need("number.max_places", &text.max_places, table, expected)?;
            let most = on.count("number.max_places", most, 0..10)?;
            Ok((PerUnit::default(), u8::try_from(most).ok()))
        }
        Fields::Nibbles(_) => {
            let expected = "how many of the digits are decimals, for each unit";
            let read = on.need("number.places", &text.places, table, expected)?;
            let mut places = PerUnit::default();
            for (name, count) in read.get_ref() {
                let unit = LengthUnit::from_symbol(name);
                let count = u8::try_from(*count).ok().filter(|count| *count < 10);
                match (unit, count) {
                    (Some(unit), Some(_)) => places.set(unit, count),
                    _ => {
                        let expected = "the keys mm and in with 0 to 9";
                        return Err(on.wrong("number.places", read.span(), expected));
                    }
                }
            }
            match unit.units().iter().all(|unit| places.of(*unit).is_some()) {
                true => Ok((places, None)),
                false => {
                    let expected = "the places of each unit that can come";
                    Err(on.wrong("number.places", read.span(), expected))
                }
            }
        }
        _ => Ok(Places::default()),
    }
}

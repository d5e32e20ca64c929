//! Text from outside (names, notes, what came over a wire) made safe for where it goes: a person's
//! eye, markup, a table that a spreadsheet opens, the name of a file.

use std::borrow::Cow;

/// Longest name of a file in bytes, its ending included (chosen: far below what any file system
/// in use takes, so that a folder and a suffix still fit).
pub const FILE_NAME_MAX: usize = 120;
/// What a name that leaves nothing becomes.
const NAMELESS: &str = "unnamed";
/// Names that some systems take for devices, whatever their ending and case; `COM` and `LPT` are
/// followed by one digit.
const DEVICES: [&str; 4] = ["con", "prn", "aux", "nul"];
const NUMBERED_DEVICES: [&str; 2] = ["com", "lpt"];

/// The text as a person can see it: control characters, and those that turn the direction of
/// writing or cannot be seen at all, stand as escapes (`\n`, `\u{202e}`).
pub fn shown(text: &str) -> Cow<'_, str> {
    if !text.chars().any(is_unseen) {
        return Cow::Borrowed(text);
    }
    let mut seen = String::with_capacity(text.len() + 8);
    for c in text.chars() {
        if is_unseen(c) {
            seen.extend(c.escape_default());
        } else {
            seen.push(c);
        }
    }
    Cow::Owned(seen)
}

/// Whether a character has to stand as an escape to be seen.
fn is_unseen(c: char) -> bool {
    c.is_control() || matches!(c,
        // Soft hyphen, Arabic letter mark, Mongolian vowel separator.
        '\u{00ad}' | '\u{061c}' | '\u{180e}'
        // Zero widths and direction marks; line and paragraph separators, embeddings, overrides.
        | '\u{200b}'..='\u{200f}' | '\u{2028}'..='\u{202e}'
        // Invisible operators and isolates.
        | '\u{2060}'..='\u{206f}'
        // Byte order mark, interlinear marks, what is no character.
        | '\u{feff}' | '\u{fff9}'..='\u{fffb}' | '\u{fffe}' | '\u{ffff}'
        // Tags.
        | '\u{e0000}'..='\u{e007f}')
        // The last two places of every plane are no characters.
        || (u32::from(c) & 0xfffe) == 0xfffe
}

/// The text for markup (HTML or XML), between tags and in quoted attributes: as [`shown`], with
/// `&`, `<`, `>`, `"` and `'` as references.
pub fn html(text: &str) -> Cow<'_, str> {
    let seen = shown(text);
    if !seen.contains(['&', '<', '>', '"', '\'']) {
        return seen;
    }
    let mut marked = String::with_capacity(seen.len() + 16);
    for c in seen.chars() {
        match c {
            '&' => marked.push_str("&amp;"),
            '<' => marked.push_str("&lt;"),
            '>' => marked.push_str("&gt;"),
            '"' => marked.push_str("&quot;"),
            '\'' => marked.push_str("&#39;"),
            c => marked.push(c),
        }
    }
    Cow::Owned(marked)
}

/// The name of a file or of a part of one, from any text: letters, digits, space, `-`, `_` and
/// `.`, others as `_`; no `..`, no dot, `-` or space in front, no dot or space at the end, none of
/// the names that systems take for devices, at most [`FILE_NAME_MAX`] bytes, never empty.
pub fn file_name(text: &str) -> String {
    named(text, FILE_NAME_MAX)
}

/// As [`file_name`], with an ending of ASCII letters and digits (`pdf`) that is never cut off.
pub fn file_name_with(text: &str, ending: &str) -> String {
    let kept = ending.chars().filter(char::is_ascii_alphanumeric).take(16);
    let ending: String = kept.collect();
    if ending.is_empty() {
        return file_name(text);
    }
    let room = FILE_NAME_MAX - ending.len() - 1;
    format!("{}.{ending}", named(text, room))
}

fn named(text: &str, most: usize) -> String {
    let mut name = String::with_capacity(text.len().min(most));
    for c in text.chars() {
        let may_stay = c.is_alphanumeric() || matches!(c, ' ' | '-' | '_');
        let c = match c {
            // Two dots in a row would name the folder above, somewhere.
            '.' if name.ends_with('.') => '_',
            '.' => '.',
            c if may_stay => c,
            _ => '_',
        };
        let c = match (name.is_empty(), c) {
            (true, ' ') => continue,
            (true, '.' | '-') => '_',
            (_, c) => c,
        };
        // Room is left for the `_` that a device's name gets.
        if name.len() + c.len_utf8() >= most {
            break;
        }
        name.push(c);
    }
    name.truncate(name.trim_end_matches(['.', ' ']).len());
    if name.is_empty() {
        return NAMELESS.to_owned();
    }
    if is_device(&name) {
        name.insert(0, '_');
    }
    name
}

/// A device's name, alone or before a dot.
fn is_device(name: &str) -> bool {
    let stem = name.split('.').next().unwrap_or_default();
    let stem = stem.trim_end_matches(' ').to_lowercase();
    let is_numbered = |word: &str| {
        let rest = stem.strip_prefix(word);
        // Superscript digits count as digits there.
        rest.is_some_and(|rest| {
            let mut rest = rest.chars();
            rest.next().is_some_and(char::is_numeric) && rest.next().is_none()
        })
    };
    DEVICES.contains(&stem.as_str()) || NUMBERED_DEVICES.iter().any(|word| is_numbered(word))
}

/// A text field of a CSV file: what a spreadsheet would take for a formula gets a single quote in
/// front. So does what already begins with quotes and such a character, so that whoever takes one
/// quote off ([`csv_text_back`]) always has the text again. Quoting by RFC 4180 comes after it.
pub fn csv_text(text: &str) -> Cow<'_, str> {
    if starts_a_formula(text) {
        Cow::Owned(format!("'{text}"))
    } else {
        Cow::Borrowed(text)
    }
}

/// The text of a field that [`csv_text`] made.
pub fn csv_text_back(field: &str) -> &str {
    match field.strip_prefix('\'') {
        Some(text) if starts_a_formula(text) => text,
        _ => field,
    }
}

/// After any single quotes stands what a spreadsheet may take for a formula's beginning.
fn starts_a_formula(text: &str) -> bool {
    let rest = text.trim_start_matches('\'');
    rest.starts_with([
        '=', '+', '-', '@', '\t', '\r', '\n', '\0', '＝', '＋', '－', '＠',
    ])
}

/// Whether a text is a number as the record writes it: `-?digits(.digits)?`, ASCII alone. Only
/// such a text may stand in a column of numbers without [`csv_text`].
pub fn is_plain_number(text: &str) -> bool {
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    let text = text.strip_prefix('-').unwrap_or(text);
    match text.split_once('.') {
        None => digits(text),
        Some((whole, rest)) => digits(whole) && digits(rest),
    }
}

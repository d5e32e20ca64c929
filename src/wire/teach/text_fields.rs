//! From text frames that are understood to the fields of an adapter's description.

use super::draft::Draft;
use super::framing::quoted;
use super::problem::TeachProblem;
use super::skeleton::{Skeleton, Token};
use super::text::{OtherUnit, SignCodes, Understood};
use crate::quantity::LengthUnit;
use crate::wire::teach::Role;

/// Words that say a unit by themselves.
const UNIT_WORDS: [(&str, LengthUnit); 9] = [
    ("mm", LengthUnit::Millimetre),
    ("MM", LengthUnit::Millimetre),
    ("Mm", LengthUnit::Millimetre),
    ("M", LengthUnit::Millimetre),
    ("in", LengthUnit::Inch),
    ("IN", LengthUnit::Inch),
    ("inch", LengthUnit::Inch),
    ("I", LengthUnit::Inch),
    ("\"", LengthUnit::Inch),
];

/// Which part of a frame a token is: behind the number or before it, and its place there.
type Place = (bool, usize);

/// The description of frames that are understood.
pub(super) fn draft(understood: &Understood) -> Result<Draft, TeachProblem> {
    let (_, base) = understood
        .frames
        .iter()
        .find(|(role, _)| matches!(role, Role::Size(_)))
        .ok_or(TeachProblem::NoLine)?;
    let mut draft = Draft::default();
    let unit = unit(understood, base, &mut draft);
    number(understood, &mut draft);
    let sign = match understood.sign {
        SignCodes::Code(at) => Some((false, at)),
        SignCodes::Plain { .. } => None,
    };
    let status = status(base, [unit, sign], &mut draft);
    let mut pattern = String::from("^");
    let parts = Parts {
        understood,
        unit,
        sign,
        status,
    };
    parts.tokens(&mut pattern, &base.head, false);
    parts.sign(&mut pattern, &mut draft, base);
    parts.number(&mut pattern, &mut draft);
    parts.tokens(&mut pattern, &base.tail, true);
    pattern.push('$');
    draft.fields = vec![
        ("kind", quoted("pattern")),
        ("pattern", format!("'{pattern}'")),
    ];
    Ok(draft)
}

/// The unit's rule; the place of its word, where it is sent.
fn unit(understood: &Understood, base: &Skeleton, draft: &mut Draft) -> Option<Place> {
    let unit = understood.factor.unit;
    let word_of = |skeleton: &Skeleton, (behind, at): Place| {
        let tokens = if behind {
            &skeleton.tail
        } else {
            &skeleton.head
        };
        match tokens.get(at) {
            Some(Token::Word(word)) => Some(word.clone()),
            _ => None,
        }
    };
    let fixed = |draft: &mut Draft| {
        draft.unit = vec![("rule", quoted("fixed")), ("value", quoted(unit.symbol()))];
        None
    };
    match understood.other_unit {
        OtherUnit::Word { behind, at, factor } => {
            let pressed = understood
                .frames
                .iter()
                .find(|(role, _)| matches!(role, Role::OtherUnit(_)))
                .and_then(|(_, frame)| word_of(frame, (behind, at)));
            let (Some(own), Some(other)) = (word_of(base, (behind, at)), pressed) else {
                return fixed(draft);
            };
            let (own_word, other_word) = (quoted(&own), quoted(&other));
            let map = format!(
                "{{ {own_word} = \"{}\", {other_word} = \"{}\" }}",
                unit.symbol(),
                factor.unit.symbol()
            );
            draft.unit = vec![("rule", quoted("field")), ("map", map)];
            let words = format!("The unit is sent: “{own}” and “{other}”.");
            draft.found.push(words);
            Some((behind, at))
        }
        OtherUnit::NotSent => {
            draft.unit_not_sent = true;
            draft.unknown.push(
                "The unit is not sent: pressing the gauge's unit key spoils its readings.".into(),
            );
            draft.assumed.push(format!(
                "The gauge stays in {}; nothing on the wire tells its unit.",
                unit.symbol()
            ));
            fixed(draft)
        }
        OtherUnit::NotAsked | OtherUnit::Unchanged => {
            let place = said_unit(unit, base, draft);
            place.or_else(|| fixed(draft))
        }
    }
}

/// The unit that a word says by itself: its rule and place; none when no word does.
fn said_unit(unit: LengthUnit, base: &Skeleton, draft: &mut Draft) -> Option<Place> {
    let said = UNIT_WORDS.iter().find_map(|(word, of)| {
        let place = place_of(base, word)?;
        (*of == unit).then_some((*word, place))
    });
    let symbol = unit.symbol();
    let Some((word, place)) = said else {
        draft.assumed.push(format!(
            "The gauge stays in {symbol}; its unit key was not tried."
        ));
        return None;
    };
    let map = format!("{{ {} = \"{symbol}\" }}", quoted(word));
    draft.unit = vec![("rule", quoted("field")), ("map", map)];
    draft.assumed.push(format!(
        "“{word}” says {symbol}; the other unit's word was not seen and is refused."
    ));
    Some(place)
}

fn place_of(base: &Skeleton, word: &str) -> Option<Place> {
    let within = |tokens: &[Token]| {
        let is = |token: &Token| matches!(token, Token::Word(own) if own == word);
        tokens.iter().position(is)
    };
    let behind = within(&base.tail).map(|at| (true, at));
    behind.or_else(|| within(&base.head).map(|at| (false, at)))
}

/// Scale and decimals of the number.
fn number(understood: &Understood, draft: &mut Draft) {
    let factor = understood.factor;
    let sizes: Vec<&Skeleton> = understood
        .frames
        .iter()
        .filter(|(role, _)| !matches!(role, Role::OtherUnit(_)))
        .map(|(_, frame)| frame)
        .collect();
    let mark = sizes.iter().find_map(|frame| frame.mark());
    let word = match mark {
        Some(',') => "comma",
        _ => "point",
    };
    draft.number.push(("decimal", quoted(word)));
    let decimals: Option<Vec<u8>> = sizes
        .iter()
        .map(|frame| Some(frame.value()?.decimals))
        .collect();
    let decimals = decimals.unwrap_or_default();
    let first = decimals.first().copied().unwrap_or(0);
    let all_same = decimals.iter().all(|one| *one == first);
    let two_units = matches!(understood.other_unit, OtherUnit::Word { .. });
    match understood.other_unit {
        OtherUnit::Word { factor: other, .. } if !factor.is_plain() || !other.is_plain() => {
            let (mm, inch) = match factor.unit {
                LengthUnit::Millimetre => (factor, other),
                LengthUnit::Inch => (other, factor),
            };
            let scale = format!(
                "{{ \"mm\" = {}, \"in\" = {} }}",
                quoted(&mm.text()),
                quoted(&inch.text())
            );
            draft.number.push(("scale", scale));
        }
        _ if factor.is_plain() => {}
        _ => match factor.implied_decimals().filter(|_| mark.is_none()) {
            Some(places) => draft.number.push(("implied_decimals", places.to_string())),
            None => draft.number.push(("scale", quoted(&factor.text()))),
        },
    }
    if mark.is_some() && all_same && !two_units && decimals.len() > 1 {
        draft.number.push(("decimals", first.to_string()));
        draft.assumed.push(format!(
            "The gauge always sends {first} decimals; another count is refused."
        ));
    }
    let words = match (mark, factor.is_plain()) {
        (Some(mark), true) => format!(
            "The number is in {}, with “{mark}” as decimal mark.",
            factor.unit.symbol()
        ),
        _ => format!("A one on the wire is {}.", factor.words()),
    };
    draft.found.push(words);
}

/// A word that came with every good reading and is neither unit nor sign: it may be a channel or
/// a state, so it is a status that is good, and any other is refused.
fn status(base: &Skeleton, taken: [Option<Place>; 2], draft: &mut Draft) -> Option<Place> {
    let of = |behind: bool, tokens: &[Token]| -> Option<(Place, String)> {
        tokens.iter().enumerate().find_map(|(at, token)| {
            let place = (behind, at);
            match token {
                Token::Word(word) if !taken.contains(&Some(place)) => Some((place, word.clone())),
                _ => None,
            }
        })
    };
    let (place, word) = of(false, &base.head).or_else(|| of(true, &base.tail))?;
    draft.status = vec![("map", format!("{{ {} = \"ok\" }}", quoted(&word)))];
    draft.unknown.push(format!(
        "“{word}” came with every good reading: a channel or a state; what else it may be cannot \
         be learnt from good readings, and is refused."
    ));
    Some(place)
}

/// What the parts of a frame are.
struct Parts<'u> {
    understood: &'u Understood,
    unit: Option<Place>,
    sign: Option<Place>,
    status: Option<Place>,
}

impl Parts<'_> {
    fn sizes(&self) -> impl Iterator<Item = &Skeleton> {
        let own = |(role, _): &&(Role, Skeleton)| !matches!(role, Role::OtherUnit(_));
        self.understood.frames.iter().filter(own).map(|(_, f)| f)
    }

    fn tokens(&self, pattern: &mut String, tokens: &[Token], behind: bool) {
        for (at, token) in tokens.iter().enumerate() {
            let place = Some((behind, at));
            match token {
                Token::Word(_) if place == self.unit => {
                    pattern.push_str("(?P<unit>[A-Za-z\"]+)");
                }
                Token::Word(word) if place == self.sign => {
                    pattern.push_str(&format!("(?P<sign>{})", class(word)));
                }
                Token::Word(word) if place == self.status => {
                    pattern.push_str(&format!("(?P<status>{})", class(word)));
                }
                Token::Word(word) => pattern.push_str(word),
                Token::Blank => pattern.push_str(" +"),
                Token::Mark('\'') => pattern.push_str(r"\x27"),
                Token::Mark(mark) => {
                    pattern.push_str(&regex::escape(&mark.to_string()));
                }
            }
        }
    }

    fn sign(&self, pattern: &mut String, draft: &mut Draft, base: &Skeleton) {
        if let SignCodes::Code(at) = self.understood.sign {
            let word = |frame: &Skeleton| match frame.head.get(at) {
                Some(Token::Word(word)) => word.clone(),
                Some(Token::Mark(mark)) => mark.to_string(),
                _ => String::new(),
            };
            let plus = word(base);
            let zeroed = self.understood.frames.iter();
            let minus = zeroed
                .filter(|(role, _)| matches!(role, Role::Zeroed { .. }))
                .map(|(_, frame)| word(frame))
                .next()
                .unwrap_or_default();
            let (plus_text, minus_text) = (quoted(&plus), quoted(&minus));
            let map = format!("{{ {plus_text} = \"+\", {minus_text} = \"-\" }}");
            draft.sign = vec![("map", map)];
            draft
                .found
                .push(format!("“{plus}” means plus and “{minus}” minus."));
            return;
        }
        let always = self.understood.frames.iter().all(|(_, f)| f.sign.is_some());
        pattern.push_str(match always {
            true => "(?P<sign>[+-])",
            false => "(?P<sign>[+-]?)",
        });
        match self.understood.sign {
            SignCodes::Plain { seen: true } => {
                draft
                    .found
                    .push("A minus sign stands before the number.".into());
            }
            _ => draft.assumed.push(
                "A minus sign before the number means minus; no negative reading was seen.".into(),
            ),
        }
    }

    /// The number's group; a field of fixed width filled with blanks is one, so that a lost digit
    /// is noticed.
    fn number(&self, pattern: &mut String, draft: &mut Draft) {
        let width_of = |frame: &Skeleton| frame.blanks + frame.number.len();
        let mut widths = self.sizes().map(width_of);
        let first = widths.next().unwrap_or(0);
        let signed = self.understood.frames.iter().all(|(_, f)| f.sign.is_some());
        let blanks = self.sizes().any(|frame| frame.blanks > 0);
        let one_width = self
            .understood
            .frames
            .iter()
            .all(|(_, f)| width_of(f) == first);
        let mark = self.sizes().find_map(Skeleton::mark);
        if blanks && signed && one_width {
            let mark = mark.map(String::from).unwrap_or_default();
            pattern.push_str(&format!("(?P<num>[ 0-9{mark}]{{{first}}})"));
            draft.number.push(("pad", quoted("space")));
        } else {
            if blanks || self.understood.frames.iter().any(|(_, f)| f.blanks > 0) {
                pattern.push_str(" *");
            }
            pattern.push_str(&format!("(?P<num>{})", self.digits(mark)));
        }
        if self
            .understood
            .frames
            .iter()
            .any(|(_, f)| f.blanks_behind > 0)
        {
            pattern.push_str(" *");
        }
    }

    /// The digits' pattern: of fixed width when they are filled with noughts.
    fn digits(&self, mark: Option<char>) -> String {
        let numbers: Vec<&str> = self.sizes().map(|frame| frame.number.as_str()).collect();
        let whole = |number: &&str| number.split(['.', ',']).next().map_or(0, str::len);
        let places = |number: &&str| number.split(['.', ',']).nth(1).map_or(0, str::len);
        let first = numbers.first().copied().unwrap_or_default();
        let same = numbers
            .iter()
            .all(|number| (whole(number), places(number)) == (whole(&first), places(&first)));
        let filled = numbers.iter().any(|number| {
            let bytes = number.as_bytes();
            bytes.first() == Some(&b'0') && bytes.get(1).is_some_and(u8::is_ascii_digit)
        });
        let two_units = !matches!(
            self.understood.other_unit,
            OtherUnit::NotAsked | OtherUnit::Unchanged
        );
        let Some(mark) = mark else {
            return match same && filled {
                true => format!("[0-9]{{{}}}", first.len()),
                false => "[0-9]+".to_owned(),
            };
        };
        if same && filled && !two_units {
            let (whole, places) = (whole(&first), places(&first));
            return format!("[0-9]{{{whole}}}[{mark}][0-9]{{{places}}}");
        }
        let frames = self.understood.frames.iter();
        let bare = frames
            .map(|(_, frame)| frame.number.as_str())
            .any(|number| number.starts_with(mark));
        let whole = if bare { "*" } else { "+" };
        format!("[0-9]{whole}[{mark}][0-9]+")
    }
}

/// Words of the same length and kind as this one.
fn class(word: &str) -> String {
    let letters = word.chars().all(|c| c.is_ascii_alphabetic());
    let digits = word.chars().all(|c| c.is_ascii_digit());
    let kind = match (letters, digits) {
        (true, _) => "A-Za-z",
        (_, true) => "0-9",
        _ => "0-9A-Za-z",
    };
    let kind = if word.contains('"') { "!-~" } else { kind };
    match word.len() {
        1 => format!("[{kind}]"),
        length => format!("[{kind}]{{{length}}}"),
    }
}

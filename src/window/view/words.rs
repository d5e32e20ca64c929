//! Numbers and names as they stand on the screen: the decimal marker asked for, a true minus,
//! nothing invisible, nothing endless.

use super::check_view::about;
use super::wires_view::wanted_over_wires;
use crate::journal::ValueUnit;
pub use crate::quantity::counted;
use crate::quantity::{Angle, Exact, Length, LengthUnit, Rounding};
use crate::report::DecimalMark;
use crate::session::{Target, TargetLimits, element_words, number_text};
use crate::tolerance::Surface;

/// Longest name that is shown, in characters (chosen: more than any screen is wide).
const SHOWN_MAX: usize = 200;
/// A size is shown with at most so many decimals: then it is exact.
const DECIMALS_MAX: u8 = 6;
/// An angle is shown in steps of a ten-thousandth of a degree (chosen: no protractor is finer).
const SHOWN_ANGLE_MAS: i64 = 360;
const MINUS: char = '\u{2212}';
const SECOND_MS: u64 = 1_000;
const MINUTE_MS: u64 = 60 * SECOND_MS;
const HOUR_MS: u64 = 60 * MINUTE_MS;
const MAS_PER_SECOND: i64 = 1_000;

/// A name or sentence from outside: what cannot be seen is written as its number, so that no text
/// can hide a part of itself or turn another round; what is too long is cut.
pub fn clean(text: &str) -> String {
    let mut shown = String::new();
    for (at, letter) in text.chars().enumerate() {
        if at == SHOWN_MAX {
            shown.push('…');
            break;
        }
        if letter.is_control() || is_invisible(letter) {
            shown.extend(letter.escape_unicode());
        } else {
            shown.push(letter);
        }
    }
    shown
}

/// Marks of direction and width, line separators, tags, stand-ins for things that are no text: no
/// text needs them here.
pub fn is_invisible(letter: char) -> bool {
    matches!(
        letter,
        '\u{ad}'
            | '\u{61c}'
            | '\u{180e}'
            | '\u{200b}'..='\u{200f}'
            | '\u{2028}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{fe00}'..='\u{fe0f}'
            | '\u{feff}'
            | '\u{fff9}'..='\u{fffc}'
            | '\u{e0000}'..='\u{e0fff}'
    )
}

/// Puts numbers into the form of the screen.
#[derive(Debug, Clone, Copy)]
pub(super) struct Words {
    pub(super) marker: char,
}

impl Words {
    /// A sentence with numbers in it: marker and minus as on the screen, cleaned.
    pub(super) fn sentence(self, text: &str) -> String {
        let letters: Vec<char> = text.chars().collect();
        let is_digit = |at: Option<usize>| {
            let letter = at.and_then(|at| letters.get(at));
            letter.is_some_and(char::is_ascii_digit)
        };
        let opens = |at: Option<usize>| {
            let before = at.and_then(|at| letters.get(at));
            before.is_none_or(|before| matches!(before, ' ' | '('))
        };
        let shown = letters.iter().enumerate().map(|(at, letter)| {
            let (before, after) = (at.checked_sub(1), Some(at + 1));
            match letter {
                '.' if is_digit(before) && is_digit(after) => self.marker,
                '-' if opens(before) && is_digit(after) => MINUS,
                other => *other,
            }
        });
        clean(&shown.collect::<String>())
    }

    /// A size with the decimals of the gauge, rounded half to even; with more where the rounded
    /// one would lie on another side of a limit than the size itself.
    pub(super) fn size(self, size: Length, decimals: u8, limits: &TargetLimits) -> String {
        let decimals = decimals.min(DECIMALS_MAX);
        let text = (decimals..=DECIMALS_MAX).find_map(|decimals| {
            let step = Length::from_nm(10_i64.pow(u32::from(DECIMALS_MAX - decimals)));
            let rounded = size.round_to(step, Rounding::HalfEven);
            let same = side(rounded.as_nm(), limits) == side(size.as_nm(), limits);
            same.then(|| rounded.to_text(LengthUnit::Millimetre, decimals))
        });
        self.sentence(&text.unwrap_or_else(|| size.to_mm()))
    }

    /// A value of a target in its smallest steps: millimetres as [`Words::size`], or degrees.
    pub(super) fn value(self, units: i64, decimals: u8, limits: &TargetLimits) -> String {
        match limits {
            TargetLimits::Length(_) => self.size(Length::from_units(units), decimals, limits),
            TargetLimits::Angle(_) => {
                let step = Length::from_nm(SHOWN_ANGLE_MAS);
                let rounded = Length::from_nm(units).round_to(step, Rounding::HalfEven);
                let same = side(rounded.as_nm(), limits) == side(units, limits);
                let shown = if same { rounded.as_nm() } else { units };
                self.sentence(&Angle::from_units(shown).to_degrees())
            }
            TargetLimits::Check(_) => number_text(ValueUnit::Check, units),
        }
    }

    /// A limit or another exact number of a target, without its unit.
    pub(super) fn exact(self, units: i64, limits: &TargetLimits) -> String {
        self.sentence(&match limits {
            TargetLimits::Length(_) => Length::from_units(units).to_mm(),
            TargetLimits::Angle(_) => format!("{}°", Angle::from_units(units).to_degrees()),
            TargetLimits::Check(_) => number_text(ValueUnit::Check, units),
        })
    }

    /// A length in micrometres with one decimal at most, half to even; without a sign.
    pub(super) fn um(self, length: Length) -> String {
        let tenths = length.round_to(Length::from_nm(100), Rounding::HalfEven);
        self.sentence(&format!("{} µm", um_text(tenths)))
    }

    /// The same, rounded up: for an uncertainty, which is never understated.
    pub(super) fn um_up(self, length: Length) -> String {
        let tenths = length.round_to(Length::from_nm(100), Rounding::Ceil);
        self.sentence(&format!("{} µm", um_text(tenths)))
    }

    /// The same, rounded down: for what must not be passed; below a tenth in nanometres.
    pub(super) fn um_down(self, length: Length) -> String {
        let tenths = length.round_to(Length::from_nm(100), Rounding::Floor);
        match tenths {
            Length::ZERO => format!("{} nm", length.as_nm()),
            _ => self.sentence(&format!("{} µm", um_text(tenths))),
        }
    }

    /// A difference with its sign: `+37.5 µm`, `−0°5'`; zero has none.
    pub(super) fn difference(self, units: i64, limits: &TargetLimits) -> String {
        let sign = match units.signum() {
            1 => "+".to_owned(),
            -1 => MINUS.to_string(),
            _ => String::new(),
        };
        let size = match limits {
            TargetLimits::Length(_) => self.um(Length::from_units(units).abs()),
            TargetLimits::Angle(_) => Angle::from_units(units.saturating_abs()).to_dms(),
            TargetLimits::Check(_) => String::new(),
        };
        format!("{sign}{size}")
    }

    /// Twice the standard uncertainty: `U 2.4 µm (k = 2)`.
    pub(super) fn expanded(self, standard: i64, limits: &TargetLimits) -> String {
        let expanded = standard.saturating_mul(2);
        let text = match limits {
            TargetLimits::Length(_) => self.um_up(Length::from_units(expanded)),
            TargetLimits::Angle(_) => {
                let seconds = Length::from_nm(expanded).div_ceil(MAS_PER_SECOND).as_nm();
                Angle::from_units(seconds.saturating_mul(MAS_PER_SECOND)).to_dms()
            }
            TargetLimits::Check(_) => String::new(),
        };
        format!("U {text} (k = 2)")
    }

    /// `20.002 to 20.015`; `at most 0.02`.
    pub(super) fn limits(self, limits: &TargetLimits) -> String {
        let text = |units| self.exact(units, limits);
        match bounds(limits) {
            (Some(lower), Some(upper)) => format!("{} to {}", text(lower), text(upper)),
            (Some(lower), None) => format!("at least {}", text(lower)),
            (None, Some(upper)) => format!("at most {}", text(upper)),
            (None, None) => match limits {
                TargetLimits::Check(asked) => asked.name(),
                TargetLimits::Length(_) | TargetLimits::Angle(_) => String::new(),
            },
        }
    }

    /// `B, Ø25 h9, collar (24.948 to 25.000)`; `A, M10-6H, minor diameter (8.376 to 8.676)`; over
    /// wires with what must be found there.
    pub(super) fn target(self, target: &Target) -> String {
        let text = about(target);
        if let Some(asked) = target.check() {
            return format!("{text}, {}", asked.name());
        }
        let element = match element_words(&target.element) {
            "" => String::new(),
            element => format!(", {}", clean(element)),
        };
        let limits = wanted_over_wires(target, self);
        let limits = limits.unwrap_or_else(|| self.limits(&target.limits));
        format!("{text}{element} ({limits})")
    }
}

fn um_text(length: Length) -> String {
    (length * 1_000).to_text(LengthUnit::Millimetre, 1)
}

/// The callout, with the sign of a diameter where it is one and does not say so.
pub(super) fn callout(target: &Target) -> String {
    let text = clean(&target.callout);
    let bare = text.starts_with(|letter: char| letter.is_ascii_digit());
    match target.surface {
        Surface::Outside | Surface::Inside if bare && !target.is_angle() => format!("Ø{text}"),
        _ => text,
    }
}

/// Lower and upper limit in smallest steps.
pub(super) fn bounds(limits: &TargetLimits) -> (Option<i64>, Option<i64>) {
    match limits {
        TargetLimits::Length(limits) => (
            limits.lower().map(Exact::units),
            limits.upper().map(Exact::units),
        ),
        TargetLimits::Angle(limits) => (
            limits.lower().map(Exact::units),
            limits.upper().map(Exact::units),
        ),
        TargetLimits::Check(_) => (None, None),
    }
}

/// Below, inside or above the limits; on a limit is inside.
fn side(units: i64, limits: &TargetLimits) -> i8 {
    match bounds(limits) {
        (Some(lower), _) if units < lower => -1,
        (_, Some(upper)) if units > upper => 1,
        _ => 0,
    }
}

/// The middle of two-sided limits, half to even.
pub(super) fn middle(limits: &TargetLimits) -> Option<i64> {
    let (lower, upper) = bounds(limits);
    let sum = lower?.checked_add(upper?)?;
    Some(Length::from_nm(sum).div_half_even(2).as_nm())
}

/// A sentence with numbers in it, with the decimal marker that is set; cleaned.
pub fn sentence(text: &str, marker: char) -> String {
    Words { marker }.sentence(text)
}

/// The decimal marker of the screen as files and charts have it.
pub fn decimal_mark(marker: char) -> DecimalMark {
    match marker {
        ',' => DecimalMark::Comma,
        _ => DecimalMark::Point,
    }
}

/// With its first letter large.
pub(super) fn capital(text: &str) -> String {
    let mut letters = text.chars();
    let first = letters.next().map(char::to_uppercase);
    first.into_iter().flatten().chain(letters).collect()
}

/// How long ago: `just now`, `2 min ago`, `3 h ago`.
pub(super) fn ago(ms: u64) -> String {
    match ms {
        0..MINUTE_MS => "just now".to_owned(),
        MINUTE_MS..HOUR_MS => format!("{} min ago", ms / MINUTE_MS),
        _ => format!("{} h ago", ms / HOUR_MS),
    }
}

/// A sentence of words that begin small and have no full stop.
pub(super) fn as_sentence(words: &str) -> String {
    let mut text = capital(words);
    if text.is_empty() {
        return text;
    }
    if !text.ends_with(['.', '?']) {
        text.push('.');
    }
    text
}

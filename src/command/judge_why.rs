//! The words of a judgement: numbers as text, corrections, uncertainty, rule, remedies.

use crate::measure::{Correction, Judgement, Measured, Rule, Thermal, UncertaintySource};
use crate::quantity::{Angle, Exact, Length, LengthUnit};

/// What is said wherever no uncertainty is known.
pub(super) const NOT_CONSIDERED: &str = "uncertainty not considered";

/// A quantity as JSON and people see it.
pub(super) trait Shown: Exact {
    /// The unit behind it for people.
    const UNIT: &'static str;
    /// With at least so many decimals where the quantity is written with them.
    fn text(self, decimals: u8) -> String;
    /// So many smallest steps, which need not be whole.
    fn steps_text(steps: f64) -> String;
}

impl Shown for Length {
    const UNIT: &'static str = " mm";

    fn text(self, decimals: u8) -> String {
        self.to_text(LengthUnit::Millimetre, decimals)
    }

    /// Millimetres; not whole nanometres carry four digits at least.
    fn steps_text(steps: f64) -> String {
        const EXACT_BELOW: f64 = 1e10;
        if steps.fract().abs() < 1e-9 && steps.abs() < EXACT_BELOW {
            return Self::from_nm(whole(steps)).to_mm();
        }
        let mm = steps / 1e6;
        if steps.abs() < 1_000.0 {
            format!("{mm:.9}")
        } else {
            format!("{mm:.6}")
        }
    }
}

impl Shown for Angle {
    const UNIT: &'static str = "°";

    fn text(self, _: u8) -> String {
        self.to_degrees()
    }

    fn steps_text(steps: f64) -> String {
        let text = format!("{:.7}", steps / 3_600_000.0);
        text.trim_end_matches('0').trim_end_matches('.').to_owned()
    }
}

/// Whole steps of a number that is whole and well within range.
#[allow(clippy::cast_possible_truncation)]
fn whole(steps: f64) -> i64 {
    steps.round() as i64
}

/// What was added on the way to the value at 20 °C.
pub(super) fn corrections(measured: &Measured, thermal: Option<&Thermal>) -> Vec<String> {
    let signed = |added: Length| {
        let sign = if added.is_negative() { "" } else { "+" };
        format!("{sign}{added} mm")
    };
    let told = measured
        .corrections
        .iter()
        .map(|correction| match correction {
            Correction::Bias { added } => {
                format!("calibration: bias taken off, {}", signed(*added))
            }
            Correction::Standard { added } => format!(
                "standard: deviation found by its calibration, {}",
                signed(*added)
            ),
            Correction::Transfer { added } => {
                format!("transfer gauge: bias taken off, {}", signed(*added))
            }
            Correction::Form { added } => {
                format!(
                    "from the difference to the width of the form, {}",
                    signed(*added)
                )
            }
            Correction::OverWires { wire, added } => format!(
                "three wires of {wire} mm, M - 3 W + 0.866025 P - lead: {} to the pitch diameter",
                signed(*added)
            ),
            Correction::Temperature { added } => match thermal {
                Some(thermal) => format!(
                    "temperature: part {} °C at {}e-6/K, gauge {} °C at {}e-6/K, {} to 20 °C",
                    thermal.part.celsius,
                    trimmed(thermal.part_expansion.per_kelvin * 1e6),
                    thermal.gauge.celsius,
                    trimmed(thermal.gauge_expansion.per_kelvin * 1e6),
                    signed(*added)
                ),
                None => format!("temperature: {} to 20 °C", signed(*added)),
            },
        });
    told.collect()
}

/// The lines of the uncertainty budget in one sentence.
pub(super) fn budget(measured: &Measured) -> Option<String> {
    let uncertainty = measured.uncertainty.as_ref()?;
    let lines: Vec<String> = uncertainty
        .lines()
        .iter()
        .map(|line| {
            format!(
                "{} {}",
                source_words(line.source),
                Length::steps_text(line.standard_nm)
            )
        })
        .collect();
    let whole = Length::steps_text(uncertainty.standard_nm());
    Some(format!("u = {whole} mm from {}", lines.join(", ")))
}

fn source_words(source: UncertaintySource) -> String {
    source.word().replace('_', " ")
}

/// The rule in one sentence; `guard` is how far inside each limit a value is GO, none when no
/// value can be.
pub(super) fn rule<Q: Shown>(judgement: &Judgement<Q>, guard: Option<Q>) -> String {
    let chance = judgement
        .conformance_probability
        .map(|chance| format!("; the chance of being inside is {}", percent(chance)))
        .unwrap_or_default();
    let proved = match guard {
        Some(guard) => format!("a value is GO from {guard}{} inside each limit", Q::UNIT),
        None => "no value can be proved inside with this uncertainty".to_owned(),
    };
    match judgement.rule {
        Rule::Probability { confidence } => format!(
            "rule probability (ISO 14253-1:2017): GO or NO-GO from {} %, {proved}{chance}",
            trimmed(confidence * 100.0)
        ),
        Rule::Guard { factor } => {
            format!(
                "rule guard: guard band of {} u, {proved}{chance}",
                trimmed(factor)
            )
        }
        Rule::Simple => "rule simple: simple acceptance (JCGM 106), inside is GO".to_owned(),
    }
}

/// A probability for people: never 100 % or 0 % when it is not.
pub(super) fn percent(probability: f64) -> String {
    let text = format!("{:.1}", probability * 100.0);
    match text.as_str() {
        "100.0" if probability < 1.0 => "over 99.9 %".to_owned(),
        "0.0" if probability > 0.0 => "under 0.1 %".to_owned(),
        _ => format!("{text} %"),
    }
}

/// A number with at most four decimals and no trailing zeros.
fn trimmed(number: f64) -> String {
    let text = format!("{number:.4}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

#[cfg(test)]
mod tests {
    use super::{Angle, Length, Shown, percent};

    #[test]
    fn an_uncertainty_is_exact_where_it_is_whole_and_keeps_its_digits_where_it_is_not() {
        assert_eq!(Length::steps_text(2_000.0), "0.002");
        assert_eq!(Length::steps_text(4_000.0 / 3.0_f64.sqrt()), "0.002309");
        assert_eq!(Length::steps_text(288.675), "0.000288675");
        assert_eq!(Length::steps_text(0.0), "0.000");
        assert_eq!(Angle::steps_text(900_000.0), "0.25");
    }

    #[test]
    fn a_chance_is_never_rounded_to_certainty() {
        assert_eq!(percent(0.99999), "over 99.9 %");
        assert_eq!(percent(1.0), "100.0 %");
        assert_eq!(percent(1e-9), "under 0.1 %");
        assert_eq!(percent(0.5), "50.0 %");
    }
}

//! Builds the reasons of a verdict: limits, corrections, budget, rule, remedies.

use super::bar_view::{guard_units, rule, uncertainty, value};
use super::bench_view::celsius;
use super::focus::Focus;
use super::verdict_view::{decimals_of_answer, inside, whole_steps_up};
use super::why_check::why_check;
use super::words::{Words, callout, clean};
use super::{BudgetBar, Mark, WhyLine, WhyView};
use crate::gauge::GaugeError;
use crate::journal::{Event, Outcome, outcome_text};
use crate::measure::{Correction, Rule, UncertaintySource};
use crate::quantity::{Length, Rounding};
use crate::session::{
    Account, Snapshot, State, TargetLimits, account_of, expected_uncertainty, remedy_sentences,
};
use crate::tolerance::{Move, Step};

const OF_FORM: &str = "what the way of measuring makes of the width, taken out";
const CHANGED_SINCE: &str = "What it rests on has changed since: the value and u of the record \
                             count, and the lines below are those of now.";

/// Why the answer in focus is what it is; before an answer, where the limits come from.
pub(super) fn why(snapshot: &Snapshot, focus: &Focus<'_>, words: Words) -> Option<WhyView> {
    let state = &snapshot.state;
    if let Some(asked) = focus.target.check() {
        return Some(why_check(state, focus, asked, words));
    }
    let event = focus.answer.map(|answer| &answer.event);
    let account = event.and_then(|event| account_of(state, event));
    let u = match event {
        Some(_) => uncertainty(state, focus),
        None => expected_uncertainty(state, focus.index),
    };
    Some(WhyView {
        title: title(state, focus, words),
        mark: Mark::Open,
        page: 0,
        limits: limits(state, focus, words),
        corrections: account
            .as_ref()
            .map(|one| corrections(one, words))
            .unwrap_or_default(),
        budget: account
            .as_ref()
            .map(|one| budget(one, words))
            .unwrap_or_default(),
        total: total(focus, account.as_ref(), u, words),
        rule: rule_lines(state, focus, u, words),
        remedies: match event {
            Some(Event::VerdictGiven(verdict)) => remedy_sentences(state, verdict)
                .iter()
                .map(|text| words.sentence(text))
                .collect(),
            _ => Vec::new(),
        },
    })
}

fn title(state: &State, focus: &Focus<'_>, words: Words) -> String {
    let callout = callout(focus.target);
    let Some(answer) = focus.answer else {
        return format!("{callout}: nothing measured yet");
    };
    let limits = &focus.target.limits;
    let unit = if focus.target.is_angle() { "°" } else { " mm" };
    let units = value(focus);
    let text =
        units.map(|units| words.value(units, decimals_of_answer(state, &answer.event), limits));
    let text = text.unwrap_or_default();
    match &answer.event {
        Event::VerdictGiven(verdict) => {
            let word = match verdict.outcome {
                Outcome::Inside => inside(state, verdict),
                other => outcome_text(other).to_owned(),
            };
            format!("{callout}: {text}{unit} is {word}")
        }
        Event::CuttingNoted { .. } => format!("{callout}: {text}{unit} is CUTTING"),
        _ => format!("{callout}: the reading is held"),
    }
}

fn limits(state: &State, focus: &Focus<'_>, words: Words) -> Vec<WhyLine> {
    let tables = &state.setup().tables;
    let steps = match &focus.target.limits {
        TargetLimits::Length(limits) => limits.explain(tables),
        TargetLimits::Angle(limits) => limits.explain(tables),
        TargetLimits::Check(_) => return Vec::new(),
    };
    // What is made to suit is told in sentences.
    let is_told = |step: &&Step| {
        !matches!(
            step,
            Step::Moved {
                cause: Move::ToSuit { .. },
                ..
            }
        )
    };
    let lines = steps
        .iter()
        .filter(is_told)
        .map(|step| split(&step.to_string(), words));
    let suited = focus.target.suited.iter().flat_map(|one| one.sentences());
    lines
        .chain(suited.map(|sentence| line(&words.sentence(&sentence), "")))
        .collect()
}

/// A step's sentence in three: its source stands before a colon and in brackets at the end, its
/// value behind the last equals sign.
fn split(step: &str, words: Words) -> WhyLine {
    let (told, remark) = match step
        .strip_suffix(')')
        .and_then(|text| text.rsplit_once(" ("))
    {
        Some((told, remark)) => (told, remark.trim_start_matches("house: ")),
        None => (step, ""),
    };
    let (place, rest) = told.split_once(": ").unwrap_or(("", told));
    let (what, value) = rest.rsplit_once(" = ").unwrap_or((rest, ""));
    let source: Vec<&str> = [place, remark]
        .into_iter()
        .filter(|text| !text.is_empty())
        .collect();
    WhyLine {
        what: words.sentence(what),
        value: words.sentence(value),
        source: clean(&source.join(", ")),
    }
}

fn line(what: &str, value: &str) -> WhyLine {
    WhyLine {
        what: what.to_owned(),
        value: value.to_owned(),
        source: String::new(),
    }
}

fn corrections(account: &Account, words: Words) -> Vec<WhyLine> {
    let exact = |length: Length| words.sentence(&format!("{} mm", length.to_mm()));
    let signed = |length: Length| {
        let sign = if length > Length::ZERO { "+" } else { "" };
        words.sentence(&format!("{sign}{} mm", length.to_mm()))
    };
    let mut lines = Vec::new();
    if !account.is_same {
        lines.push(line(CHANGED_SINCE, ""));
    }
    let shows = match account.readings {
        1 => "what the gauge shows".to_owned(),
        readings => format!("mean of what the gauge shows, {readings} readings"),
    };
    lines.push(line(&shows, &exact(account.indication - account.set_size)));
    if account.set_size != Length::ZERO {
        lines.push(line(
            "size of the standard that it was set on",
            &signed(account.set_size),
        ));
    }
    for correction in &account.measured.corrections {
        match correction {
            Correction::Bias { added } => {
                lines.push(line("bias of the calibration taken off", &signed(*added)));
            }
            Correction::Standard { added } => {
                let what = "deviation of the standard, from its calibration";
                lines.push(line(what, &signed(*added)));
            }
            Correction::Transfer { added } => {
                let what = "bias of the gauge that carried the size, taken off";
                lines.push(line(what, &signed(*added)));
            }
            Correction::Form { added } => lines.push(line(OF_FORM, &signed(*added))),
            Correction::OverWires { wire, added } => {
                let what = format!("three wires of {wire} mm: M - 3 W + 0.866025 P - lead");
                lines.push(line(&words.sentence(&what), &signed(*added)));
            }
            Correction::Temperature { added } => {
                let what = account.thermal.map_or("to 20 °C".to_owned(), |thermal| {
                    format!(
                        "part {} °C, gauge {} °C, to 20 °C",
                        celsius(thermal.part.celsius),
                        celsius(thermal.gauge.celsius)
                    )
                });
                let mut told = line(&words.sentence(&what), &signed(*added));
                told.source = account.thermal.map_or(String::new(), |thermal| {
                    let ppm = |per_kelvin: f64| format!("{:.1}", per_kelvin * 1e6);
                    words.sentence(&format!(
                        "expansion: part {}, gauge {} µm/m per kelvin",
                        ppm(thermal.part_expansion.per_kelvin),
                        ppm(thermal.gauge_expansion.per_kelvin)
                    ))
                });
                lines.push(told);
            }
        }
    }
    if account.thermal.is_none() {
        lines.push(line(
            "temperature not considered: the part's material is not known",
            "",
        ));
    }
    lines.push(line("value at 20 °C", &exact(account.measured.value)));
    lines
}

/// Shares of the variance; they sum to 1.
fn budget(account: &Account, words: Words) -> Vec<BudgetBar> {
    let Some(uncertainty) = &account.measured.uncertainty else {
        return Vec::new();
    };
    let none = GaugeError::default();
    let error = account.error.as_ref().unwrap_or(&none);
    let is_shared = account
        .thermal
        .is_some_and(|thermal| thermal.thermometer == crate::measure::Thermometer::Shared);
    let whole = uncertainty.standard_nm().powi(2);
    let bars = uncertainty.lines().iter().map(|line| BudgetBar {
        what: words.sentence(&source_words(
            line.source,
            error,
            account.readings,
            is_shared,
        )),
        value: words.um(nearest_nm(line.standard_nm)),
        share: match whole > 0.0 {
            true => super::axis::fraction(line.standard_nm.powi(2) / whole),
            false => 0.0,
        },
    });
    bars.collect()
}

/// A part of the uncertainty in words; `is_shared`: one thermometer for part and gauge.
pub(super) fn source_words(
    source: UncertaintySource,
    error: &GaugeError,
    readings: u32,
    is_shared: bool,
) -> String {
    let um = |length: Option<Length>| {
        length.map_or(String::new(), |length| {
            let tenths = length.round_to(Length::from_nm(100), Rounding::HalfEven);
            let text = (tenths * 1_000).to_text(crate::quantity::LengthUnit::Millimetre, 0);
            format!(" {text} µm")
        })
    };
    match source {
        UncertaintySource::MaximumPermissibleError => {
            format!("gauge, MPE{}, even between", um(error.mpe))
        }
        UncertaintySource::Calibration => {
            let calibration = error.calibration.as_ref();
            let expanded = calibration.map(|one| one.expanded_uncertainty());
            format!("gauge, calibration U{}", um(expanded))
        }
        UncertaintySource::Resolution => format!("gauge, step{}", um(error.resolution)),
        UncertaintySource::Repeatability => match readings {
            1 => format!("repeatability{}", um(error.repeatability)),
            count => format!("repeatability{}, {count} readings", um(error.repeatability)),
        },
        UncertaintySource::PartExpansion => "expansion of the part".to_owned(),
        UncertaintySource::GaugeExpansion => "expansion of the gauge".to_owned(),
        UncertaintySource::PartTemperature if is_shared => {
            "temperature of part and gauge".to_owned()
        }
        UncertaintySource::PartTemperature => "temperature of the part".to_owned(),
        UncertaintySource::GaugeTemperature => "temperature of the gauge".to_owned(),
        UncertaintySource::WireDiameter => "diameter of the wires, three times".to_owned(),
        UncertaintySource::SettingStandard => "standard that it was set on".to_owned(),
        UncertaintySource::ZeroSetting => "setting it: step and repeatability".to_owned(),
        UncertaintySource::TransferGauge => "gauge that carried the size".to_owned(),
        UncertaintySource::Form => format!("form of the part{}", um(error.form)),
        UncertaintySource::Stated => "stated".to_owned(),
        UncertaintySource::Other => "other".to_owned(),
    }
}

#[allow(clippy::cast_possible_truncation)] // far below the range of a length
fn nearest_nm(nm: f64) -> Length {
    Length::from_nm(nm.round() as i64)
}

fn total(focus: &Focus<'_>, account: Option<&Account>, u: Option<f64>, words: Words) -> String {
    let limits = &focus.target.limits;
    let Some(u) = u else {
        let gauge = account.and_then(|account| account.gauge.as_ref());
        return match gauge {
            Some(gauge) => format!(
                "uncertainty not considered: the register states no error of {}",
                clean(gauge.as_str())
            ),
            None => "uncertainty not considered: the gauge is not in the register".to_owned(),
        };
    };
    let steps = whole_steps_up(u);
    let expanded = words.expanded(steps, limits);
    match limits {
        TargetLimits::Length(_) => format!("u {}, {expanded}", words.um_up(Length::from_nm(steps))),
        TargetLimits::Angle(_) | TargetLimits::Check(_) => expanded,
    }
}

fn rule_lines(state: &State, focus: &Focus<'_>, u: Option<f64>, words: Words) -> Vec<WhyLine> {
    let rule = rule(state, focus, u);
    let limits = &focus.target.limits;
    let number = |number: f64| words.sentence(&trimmed(number));
    let mut lines = vec![match rule {
        Rule::Probability { confidence } => WhyLine {
            what: "probability that GO or NO-GO needs".to_owned(),
            value: format!("{} %", number(confidence * 100.0)),
            source: "ISO 14253-1:2017".to_owned(),
        },
        Rule::Guard { factor } => WhyLine {
            what: "guard band at each limit".to_owned(),
            value: format!("{} u", number(factor)),
            source: "guard band, agreed".to_owned(),
        },
        Rule::Simple => WhyLine {
            what: "simple acceptance: inside is GO, and there is no DOUBT".to_owned(),
            value: String::new(),
            source: "JCGM 106:2012".to_owned(),
        },
    }];
    if rule != Rule::Simple {
        lines.push(match guard_units(limits, u, rule) {
            Some(guard) => line(
                "how far inside each limit a value is GO",
                words.difference(guard, limits).trim_start_matches('+'),
            ),
            None => line("no value can be proved inside with this gauge", ""),
        });
    }
    if let Some(Event::VerdictGiven(verdict)) = focus.answer.map(|answer| &answer.event)
        && let Some(ppm) = verdict.conformance_ppm
    {
        lines.push(line(
            "chance of being inside",
            &words.sentence(&chance(ppm)),
        ));
    }
    lines
}

/// A chance with one decimal of a percent; never rounded to certainty.
fn chance(ppm: u32) -> String {
    match ppm {
        0 => "0 %".to_owned(),
        1..=999 => "under 0.1 %".to_owned(),
        1_000_000.. => "100 %".to_owned(),
        999_001.. => "over 99.9 %".to_owned(),
        _ => format!("{}.{} %", ppm / 10_000, ppm % 10_000 / 1_000),
    }
}

/// A number with at most two decimals and no trailing zeros.
fn trimmed(number: f64) -> String {
    let text = format!("{number:.2}");
    text.trim_end_matches('0').trim_end_matches('.').to_owned()
}

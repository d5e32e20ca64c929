//! A gauge study for people: a table for each method, and what it means.

use super::output_gauge_study::{ComponentBody, ComponentsBody, GaugeStudyLine};
use super::screen::{Screen, wrapped};
use super::table::{Row, cell, laid_out, numbers, told as from_outside, words};
use crate::report::shown;

/// Shares of the tolerance or of the spread up to which a gauge is good, and from which it is not
/// acceptable (common practice, no source).
const GOOD_UP_TO: f64 = 0.10;
const ACCEPTABLE_UP_TO: f64 = 0.30;
/// Categories that are wanted (common practice, no source).
const CATEGORIES_WANTED: u32 = 5;

/// The study as text.
pub(super) fn told(line: &GaugeStudyLine, screen: Screen) -> String {
    let mut text = format!(
        "{} parts, {} operators, {} trials\n",
        line.parts, line.operators, line.trials
    );
    let mut sentences = Vec::new();
    if let Some(found) = &line.repeatability {
        sentences.push(format!(
            "Repeatability: standard deviation {} ({} to {} with 95 % confidence){}.",
            digits(found.sd),
            digits(found.interval.lower),
            digits(found.interval.upper),
            found
                .share_of_tolerance
                .map_or(String::new(), |share| format!(
                    ", 6 of them are {} of the tolerance",
                    percent(share)
                ))
        ));
    }
    if let Some(found) = &line.average_and_range {
        text += "\nBy averages and ranges\n";
        text += &table(&found.components, screen);
        for one in &found.ranges_beyond {
            sentences.push(format!(
                "Part {} by {} differs from reading to reading more than chance: read it again.",
                shown(&one.part),
                shown(&one.operator)
            ));
        }
    }
    if let Some(found) = &line.variance_analysis {
        text += "\nBy analysis of variance\n";
        text += &table(&found.components, screen);
        let (what, p) = match found.pooled {
            true => ("was joined with the repeatability", found.interaction_p),
            false => ("was kept", found.interaction_p),
        };
        sentences.push(format!(
            "Operators × parts {what} (p {p:.4}; joined: {}).",
            found.pooling
        ));
        sentences.push(judged(line, &found.components));
    }
    if !line.bias.is_empty() {
        text += "\nBias\n";
        text += &bias_table(line, screen);
    }
    if let Some(found) = &line.linearity {
        let is_chance = match found.significant {
            true => "the bias changes over the range",
            false => "the bias does not change over the range by more than chance",
        };
        sentences.push(format!(
            "Linearity: the bias changes by {} for each unit of size ({} to {}): {is_chance}.",
            digits(found.slope),
            digits(found.slope_interval.lower),
            digits(found.slope_interval.upper),
        ));
    }
    sentences.extend(line.notes.iter().cloned());
    text.push('\n');
    for sentence in sentences {
        for piece in wrapped(&sentence, screen.width.max(1)) {
            text += &piece;
            text.push('\n');
        }
    }
    text
}

fn table(found: &ComponentsBody, screen: Screen) -> String {
    let rows = [
        ("repeatability", &found.repeatability),
        ("reproducibility", &found.reproducibility),
        ("gauge, both", &found.gauge),
        ("parts", &found.part),
        ("all together", &found.total),
    ];
    let row = |(name, one): (&str, &ComponentBody)| -> Row {
        vec![
            cell(name),
            cell(digits(one.sd)),
            cell(one.share_of_variation.map_or(String::new(), percent)),
            cell(one.share_of_tolerance.map_or(String::new(), percent)),
        ]
    };
    let columns = [
        words("from"),
        numbers("standard deviation"),
        numbers("of the spread"),
        numbers("of the tolerance"),
    ];
    let mut text = laid_out(&columns, &rows.map(row), screen);
    text += &match found.distinct_categories {
        Some(count) => format!("{count} categories of parts are told apart\n"),
        None => "the gauge shows no spread: categories cannot be counted\n".to_owned(),
    };
    text
}

/// What common practice says of it.
fn judged(line: &GaugeStudyLine, found: &ComponentsBody) -> String {
    let share = match line.tolerance {
        Some(_) => found.gauge.share_of_tolerance,
        None => found.gauge.share_of_variation,
    };
    let of = match line.tolerance {
        Some(_) => "tolerance",
        None => "spread",
    };
    let Some(share) = share else {
        return "Nothing varies: nothing can be said of the gauge.".to_owned();
    };
    let word = match share {
        share if share <= GOOD_UP_TO => "good",
        share if share <= ACCEPTABLE_UP_TO => "acceptable where nothing better is at hand",
        _ => "not acceptable",
    };
    let few = match found.distinct_categories {
        Some(count) if count < CATEGORIES_WANTED => {
            format!("; {CATEGORIES_WANTED} categories or more are wanted")
        }
        _ => String::new(),
    };
    format!(
        "The gauge takes {} of the {of}: {word} (common practice: up to 10 % good, above 30 % not \
         acceptable{few}).",
        percent(share)
    )
}

fn bias_table(line: &GaugeStudyLine, screen: Screen) -> String {
    let rows = line.bias.iter().map(|one| -> Row {
        let end = |end: Option<f64>| cell(end.map_or(String::new(), digits));
        vec![
            from_outside(&one.part),
            cell(format!("{}", one.reference)),
            cell(digits(one.bias)),
            end(one.interval.map(|ends| ends.lower)),
            end(one.interval.map(|ends| ends.upper)),
            cell(match one.significant {
                Some(true) => "more than chance",
                Some(false) => "may be chance",
                None => "no spread seen",
            }),
        ]
    });
    let columns = [
        words("part"),
        numbers("reference"),
        numbers("bias"),
        numbers("from"),
        numbers("to"),
        words("with 95 %"),
    ];
    laid_out(&columns, &rows.collect::<Vec<Row>>(), screen)
}

/// A number with four digits that count.
fn digits(value: f64) -> String {
    if value.abs() <= 0.0 {
        return "0".to_owned();
    }
    let size = value.abs().log10().floor();
    if !(-7.0..6.0).contains(&size) {
        return format!("{value:.3e}");
    }
    // From -3 to 10: the conversion keeps the number.
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss)]
    let decimals = (3.0 - size).max(0.0) as usize;
    format!("{value:.decimals$}")
}

fn percent(share: f64) -> String {
    format!("{:.1} %", 100.0 * share)
}

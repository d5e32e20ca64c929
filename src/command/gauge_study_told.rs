//! A gauge study for people: a table for each method, and what it means.

use super::gauge_study_days::days_text;
use super::output_gauge_study::{ComponentBody, ComponentsBody, GaugeStudyLine};
use super::screen::{Screen, counted, paragraph};
use super::table::{Row, cell, laid_out, numbers, words};
use crate::report::shown;
use crate::session::{categories_sentence, share_sentence};

/// Where it is said what the numbers mean.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(super) enum Judged {
    /// With the numbers.
    Here,
    /// After them, with what to do next.
    Below,
}

/// The study as text.
pub(super) fn told(line: &GaugeStudyLine, judged: Judged, screen: Screen) -> String {
    let mut text = format!(
        "{}, {}, {}\n",
        counted(line.parts, "part", "parts"),
        counted(line.operators, "operator", "operators"),
        counted(line.trials, "trial", "trials")
    );
    let mut sentences = Vec::new();
    if let Some(found) = &line.repeatability {
        sentences.push(format!(
            "Repeatability: standard deviation {} ({} to {} with 95 % confidence).",
            digits(found.sd),
            digits(found.interval.lower),
            digits(found.interval.upper)
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
    }
    if judged == Judged::Here {
        sentences.extend(meaning(line));
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
    for days in &line.days {
        text += &days_text(days, screen);
    }
    text.push('\n');
    for sentence in sentences {
        text += &paragraph(&sentence, ("", 0), screen);
    }
    text
}

/// The components, each with its interval where one is given.
fn table(found: &ComponentsBody, screen: Screen) -> String {
    let rows = [
        ("repeatability", &found.repeatability),
        ("reproducibility", &found.reproducibility),
        ("gauge, both", &found.gauge),
        ("parts", &found.part),
        ("all together", &found.total),
    ];
    let has_intervals = rows.iter().any(|(_, one)| one.interval.is_some());
    let row = |(name, one): (&str, &ComponentBody)| -> Row {
        let share = |share: Option<f64>| cell(share.map_or(String::new(), percent));
        let (of_spread, of_tolerance) = (one.share_of_variation, one.share_of_tolerance);
        let mut cells = vec![cell(name), cell(digits(one.sd))];
        if has_intervals {
            let ends = one.interval.map(|ends| (ends.lower, ends.upper));
            let (lower, upper) = ends.unzip();
            let end = |end: Option<f64>| cell(end.map_or("-".to_owned(), digits));
            cells.extend([end(lower), end(upper)]);
        }
        cells.extend([share(of_spread), share(of_tolerance)]);
        cells
    };
    let mut columns = vec![words("standard deviation"), numbers("")];
    if has_intervals {
        columns.extend([numbers("95 %: from"), numbers("to")]);
    }
    columns.extend([numbers("of spread"), numbers("of tolerance")]);
    let mut text = laid_out(&columns, &rows.map(row), screen);
    text += &match found.distinct_categories {
        Some(count) => format!("{count} categories of parts are told apart\n"),
        None => "the gauge shows no spread: categories cannot be counted\n".to_owned(),
    };
    text += match has_intervals {
        true => "no interval is given for reproducibility and parts: they are differences\n",
        false => "no intervals are given by averages and ranges\n",
    };
    text
}

/// What common practice says of it: of the analysis of variance, else of the repeatability.
fn meaning(line: &GaugeStudyLine) -> Vec<String> {
    let of_variances = line.variance_analysis.as_ref().map(|one| &one.components);
    let alone = line.repeatability.as_ref();
    let (share, of) = match (line.tolerance, of_variances) {
        (Some(_), Some(found)) => (found.gauge.share_of_tolerance, "the tolerance"),
        (Some(_), None) => {
            let share = alone.and_then(|found| found.share_of_tolerance);
            (share, "the tolerance")
        }
        (None, Some(found)) => (
            found.gauge.share_of_variation,
            "the spread of these readings",
        ),
        (None, None) => return Vec::new(),
    };
    let count = of_variances.and_then(|found| found.distinct_categories);
    let said = match (share, of_variances) {
        (Some(share), _) => Some(share_sentence(share, of)),
        (None, Some(_)) => Some("Nothing varies: nothing can be said of the gauge.".to_owned()),
        (None, None) => None,
    };
    said.into_iter()
        .chain(count.and_then(categories_sentence))
        .collect()
}

fn bias_table(line: &GaugeStudyLine, screen: Screen) -> String {
    let rows = line.bias.iter().map(|one| -> Row {
        let end = |end: Option<f64>| cell(end.map_or(String::new(), digits));
        vec![
            cell(&one.part),
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

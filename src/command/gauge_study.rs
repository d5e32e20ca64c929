//! `fitledger gauge-study`: how much of the spread a gauge and its users make.

use std::collections::BTreeMap;
use std::io::{self, Read};

use super::arguments_statistics::{GaugeStudyArguments, PoolingAsked};
use super::gauge_study_days::days_body;
use super::gauge_study_table::{StudyTable, study_table};
use super::gauge_study_told::{Judged, told};
use super::list_study::CONFIDENCE;
use super::number_list::plain_number;
use super::output::{Output, Stopped};
use super::output_gauge_study::{
    AverageAndRangeBody, BiasBody, CellBody, ComponentBody, ComponentsBody, GaugeStudyLine,
    LinearityBody, NamedMean, RepeatabilityBody, SourceBody, VarianceBody,
};
use super::output_statistics::ends;
use super::output_study::DaysBody;
use super::problem::Problem;
use super::study_run;
use crate::gauge::Date;
use crate::session::{Workspace, days_compared};
use crate::statistics::{
    AverageAndRange, Components, Crossed, Line, Pooling, Repeatability, StatisticsError,
    StudyIntervals, VarianceStudy, average_and_range, bias, linearity, repeatability,
    share_of_tolerance, study_intervals, variance_study,
};

/// What an error about the study as a whole names.
const INPUT: &str = "gauge-study";
/// More bytes than that are refused (chosen: 100 000 readings with long names).
const BYTES_MAX: u64 = 32 * 1024 * 1024;

/// Reads the table and answers.
pub(super) fn run(
    arguments: &GaugeStudyArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let guided = &arguments.guided;
    if guided.is_meant() {
        let asked = study_run::Asked {
            guided,
            tolerance: arguments.tolerance.as_deref(),
            pooling: pooling(arguments.pooling),
            pooling_text: pooling_text(arguments.pooling),
            json: arguments.json,
        };
        return study_run::run(&asked, workspace, out);
    }
    if let Some(option) = guided.only_here() {
        let message = format!("{option} belongs to a study that is measured now.");
        let hint = Some("Name the gauge with --gauge, or leave the option out for a table.");
        let problem = Problem::bad("gauge_missing", message, hint);
        return refuse(&[(INPUT.to_owned(), problem)], arguments.json, out);
    }
    let tolerance = match arguments.tolerance.as_deref().map(tolerance).transpose() {
        Ok(tolerance) => tolerance,
        Err(problem) => return refuse(&[(String::new(), problem)], arguments.json, out),
    };
    let table = read().map_err(|problem| vec![(INPUT.to_owned(), problem)]);
    let table = table.and_then(|text| {
        let bad = study_table(&text).map_err(|bad| bad.into_iter());
        bad.map_err(|bad| bad.map(|line| (INPUT.to_owned(), line.problem)).collect())
    });
    let found = table.and_then(|table| {
        answer(&table, tolerance, arguments.pooling)
            .map_err(|error| vec![(INPUT.to_owned(), Problem::from(error))])
    });
    match found {
        Ok(line) if arguments.json => out.json(&line),
        Ok(line) => out.text(&told(&line, Judged::Here, out.screen())),
        Err(problems) => refuse(&problems, arguments.json, out),
    }
}

fn refuse(problems: &[(String, Problem)], is_json: bool, out: &mut Output) -> Result<(), Stopped> {
    for (input, problem) in problems {
        out.refuse(is_json, input, problem)?;
    }
    Ok(())
}

fn tolerance(text: &str) -> Result<f64, Problem> {
    let found = plain_number(text)?.value;
    if found > 0.0 {
        return Ok(found);
    }
    let message = format!("The tolerance {found} is not above 0.");
    let hint = Some("Give the upper limit less the lower one.");
    Err(Problem::bad("out_of_range", message, hint))
}

fn read() -> Result<String, Problem> {
    let mut bytes = Vec::new();
    let read = io::stdin()
        .lock()
        .take(BYTES_MAX + 1)
        .read_to_end(&mut bytes);
    read.map_err(|error| {
        let message = format!("Standard input could not be read: {error}.");
        Problem::outside("input_failed", message, None)
    })?;
    if bytes.len() as u64 > BYTES_MAX {
        let message = format!("The table is longer than {BYTES_MAX} bytes.");
        return Err(Problem::bad("too_many", message, None));
    }
    String::from_utf8(bytes).map_err(|_| {
        let hint = Some("Save it as CSV, UTF-8.");
        Problem::bad(
            "line_not_text",
            "The table is no UTF-8 text.".to_owned(),
            hint,
        )
    })
}

/// The study by every method that its readings allow.
fn answer(
    table: &StudyTable,
    tolerance: Option<f64>,
    asked: PoolingAsked,
) -> Result<GaugeStudyLine, StatisticsError> {
    let (parts, operators, trials) = (table.parts.len(), table.operators.len(), table.trials);
    let mut notes = Vec::new();
    let mut ranges = None;
    let mut variances = None;
    if operators > 1 {
        let study = Crossed::new(parts, operators, trials, &table.values)?;
        ranges = Some(by_ranges(table, &average_and_range(&study)?, tolerance));
        let found = variance_study(&study, pooling(asked))?;
        variances = Some(by_variances(&found, pooling_text(asked), tolerance)?);
    } else {
        notes.push("One operator: repeatability only, nothing about other users.".to_owned());
    }
    let days = over_days(table)?;
    if !days.is_empty() {
        let within = "Readings of several days: the repeatability is that within a day.";
        notes.push(within.to_owned());
        if operators > 1 {
            notes.push("By both methods the days count as repeats.".to_owned());
        }
    }
    let repeated = repeated(table, tolerance, &mut notes)?;
    let of_parts: Vec<&[f64]> = table.values.chunks((operators * trials).max(1)).collect();
    Ok(GaugeStudyLine {
        parts,
        operators,
        trials,
        tolerance,
        confidence: CONFIDENCE,
        repeatability: repeated,
        average_and_range: ranges,
        variance_analysis: variances,
        bias: biases(table, &of_parts)?,
        linearity: straightness(table, &of_parts, &mut notes)?,
        days,
        notes,
    })
}

/// One person's readings of one part on one day.
fn repeated(
    table: &StudyTable,
    tolerance: Option<f64>,
    notes: &mut Vec<String>,
) -> Result<Option<RepeatabilityBody>, StatisticsError> {
    let trials = table.trials.max(1);
    let mut cells: Vec<Vec<f64>> = Vec::new();
    for (values, days) in table.values.chunks(trials).zip(table.days.chunks(trials)) {
        let mut by_day: BTreeMap<Option<Date>, Vec<f64>> = BTreeMap::new();
        for (value, day) in values.iter().zip(days) {
            by_day.entry(*day).or_default().push(*value);
        }
        cells.extend(by_day.into_values());
    }
    match repeatability(&cells, CONFIDENCE) {
        Ok(found) => Ok(Some(repeatability_body(&found, tolerance))),
        Err(StatisticsError::AllEqual) => {
            let sentence =
                "Repeated readings never differ: the step of the gauge hides its spread.";
            notes.push(sentence.to_owned());
            Ok(None)
        }
        Err(error) => Err(error),
    }
}

/// The spread of repeated readings, for machines.
pub(super) fn repeatability_body(
    found: &Repeatability,
    tolerance: Option<f64>,
) -> RepeatabilityBody {
    RepeatabilityBody {
        sd: found.sd,
        degrees_of_freedom: found.degrees_of_freedom,
        interval: ends(found.interval),
        share_of_tolerance: share(found.sd, tolerance),
    }
}

/// Each part over its days, whoever read it.
fn over_days(table: &StudyTable) -> Result<Vec<DaysBody>, StatisticsError> {
    let of_part = (table.operators.len() * table.trials).max(1);
    let read = table.values.chunks(of_part).zip(table.days.chunks(of_part));
    let mut all = Vec::new();
    for ((part, reference), (values, days)) in table.parts.iter().zip(&table.references).zip(read) {
        let mut by_day: BTreeMap<Date, Vec<f64>> = BTreeMap::new();
        for (value, day) in values.iter().zip(days) {
            if let Some(day) = day {
                by_day.entry(*day).or_default().push(*value);
            }
        }
        let found = days_compared(part, *reference, &by_day)?;
        all.extend(found.map(|found| days_body(&found, "")));
    }
    Ok(all)
}

/// The share of the tolerance that a standard deviation takes; the width was checked before.
pub(super) fn share(sd: f64, tolerance: Option<f64>) -> Option<f64> {
    share_of_tolerance(sd, tolerance?).ok()
}

fn pooling(asked: PoolingAsked) -> Pooling {
    match asked {
        PoolingAsked::Never => Pooling::Never,
        PoolingAsked::Always => Pooling::Always,
        PoolingAsked::Above(level) => Pooling::Above(level),
    }
}

fn pooling_text(asked: PoolingAsked) -> String {
    match asked {
        PoolingAsked::Never => "never".to_owned(),
        PoolingAsked::Always => "always".to_owned(),
        PoolingAsked::Above(level) => format!("above {level}"),
    }
}

fn components(
    found: &Components,
    intervals: Option<&StudyIntervals>,
    tolerance: Option<f64>,
) -> ComponentsBody {
    let with = |sd: f64, interval: Option<(f64, f64)>| ComponentBody {
        sd,
        variance: sd * sd,
        share_of_variation: (found.total > 0.0).then(|| sd / found.total),
        share_of_variance: (found.total > 0.0).then(|| (sd / found.total).powi(2)),
        share_of_tolerance: share(sd, tolerance),
        interval: interval.map(ends),
    };
    ComponentsBody {
        repeatability: with(found.repeatability, intervals.map(|one| one.repeatability)),
        reproducibility: with(found.reproducibility, None),
        gauge: with(found.gauge, intervals.map(|one| one.gauge)),
        part: with(found.part, None),
        total: with(found.total, intervals.map(|one| one.total)),
        distinct_categories: found.distinct_categories(),
        distinct_categories_uncut: found.categories(),
    }
}

pub(super) fn by_ranges(
    table: &StudyTable,
    found: &AverageAndRange,
    tolerance: Option<f64>,
) -> AverageAndRangeBody {
    let name = |names: &[String], at: usize| names.get(at).cloned().unwrap_or_default();
    let cells = found.wild.iter().map(|(part, operator)| CellBody {
        part: name(&table.parts, *part),
        operator: name(&table.operators, *operator),
    });
    let means = found.means.iter().zip(&found.mean_ranges).enumerate();
    let means = means.map(|(at, (mean, mean_range))| NamedMean {
        operator: name(&table.operators, at),
        mean: *mean,
        mean_range: *mean_range,
    });
    AverageAndRangeBody {
        components: components(&found.components, None, tolerance),
        mean_range: found.mean_range,
        range_limit: found.range_limit,
        ranges_beyond: cells.collect(),
        operator_means: means.collect(),
        difference_of_means: found.difference_of_means,
        range_of_parts: found.range_of_parts,
    }
}

pub(super) fn by_variances(
    found: &VarianceStudy,
    pooling: String,
    tolerance: Option<f64>,
) -> Result<VarianceBody, StatisticsError> {
    let intervals = study_intervals(found, CONFIDENCE)?;
    let sources = [
        ("part", found.parts),
        ("operator", found.operators),
        ("interaction", found.interaction),
        ("repeatability", found.repeatability),
    ];
    let table = sources.map(|(source, of)| SourceBody {
        source,
        degrees_of_freedom: of.freedom,
        sum_of_squares: of.squares,
        mean_square: of.mean_square(),
    });
    let ratio = found.interaction_ratio;
    Ok(VarianceBody {
        components: components(&found.components, Some(&intervals), tolerance),
        operator_sd: found.operator,
        interaction_sd: found.interaction_sd,
        pooled: found.pooled,
        pooling,
        interaction_ratio: ratio.is_finite().then_some(ratio),
        interaction_p: found.interaction_p,
        table: table.into(),
    })
}

fn biases(table: &StudyTable, parts: &[&[f64]]) -> Result<Vec<BiasBody>, StatisticsError> {
    let mut found = Vec::new();
    for ((part, reference), readings) in table.parts.iter().zip(&table.references).zip(parts) {
        let Some(reference) = *reference else {
            continue;
        };
        let n = readings.len();
        let mut body = BiasBody {
            part: part.clone(),
            reference,
            n,
            bias: readings.iter().map(|value| value - reference).sum::<f64>() / n as f64,
            interval: None,
            p: None,
            significant: None,
        };
        match bias(readings, reference, CONFIDENCE) {
            Ok(known) => {
                body.bias = known.bias;
                body.interval = Some(ends(known.interval));
                body.p = Some(known.p);
                body.significant = Some(known.is_significant(CONFIDENCE));
            }
            Err(StatisticsError::AllEqual | StatisticsError::TooFew { .. }) => {}
            Err(error) => return Err(error),
        }
        found.push(body);
    }
    Ok(found)
}

fn straightness(
    table: &StudyTable,
    parts: &[&[f64]],
    notes: &mut Vec<String>,
) -> Result<Option<LinearityBody>, StatisticsError> {
    let known = table.references.iter().zip(parts);
    let (references, readings): (Vec<f64>, Vec<&[f64]>) = known
        .filter_map(|(reference, readings)| Some(((*reference)?, *readings)))
        .unzip();
    if references.is_empty() {
        return Ok(None);
    }
    let found = match linearity(&references, &readings) {
        Ok(found) => found.line,
        Err(StatisticsError::AllEqual | StatisticsError::TooFew { .. }) => {
            notes.push("Linearity needs two references or more, and three readings.".to_owned());
            return Ok(None);
        }
        Err(error) => return Err(error),
    };
    linearity_body(&found, CONFIDENCE).map(Some)
}

/// The line of biases over their references, for machines.
pub(super) fn linearity_body(
    line: &Line,
    confidence: f64,
) -> Result<LinearityBody, StatisticsError> {
    Ok(LinearityBody {
        slope: line.slope,
        slope_interval: ends(line.slope_interval(confidence)?),
        slope_p: line.slope_p,
        intercept: line.intercept,
        intercept_p: line.intercept_p,
        residual_sd: line.residual_sd,
        r_squared: line.r_squared,
        significant: line.is_significant(confidence),
    })
}

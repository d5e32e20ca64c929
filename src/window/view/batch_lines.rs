//! What is said of a characteristic beside its chart: its numbers with their intervals, what to do
//! next, and where nothing is shown, why.

use super::SentenceView;
use super::batch_chart::Of;
use super::said::Said;
use super::words::{Words, clean, counted};
use crate::measure::{ADVICE_PARTS_MIN, DRIFT_CONFIDENCE, LeaveReason, OffsetAdvice};
use crate::report::{ChartUnit, DecimalMark, ENGLISH_CHARTS, break_name};
use crate::session::{
    BatchPoint, BatchSeries, BatchStudy, BreakKind, FIRM_FROM, Known, Normality, OperationChange,
    RANGES_MIN, StudyShape, signal_words,
};
use crate::statistics::{Capability, ToleranceInterval};
use crate::window::batch_room::BatchPage;

/// So many of the newest signals, and of the breaks, are told one by one.
const TOLD_MAX: usize = 8;
/// From so many values on a single number is said, and not an interval alone (as the indices are).
const BARE_FROM: usize = 30;
/// Below this probability values do not look normal (common practice, no source).
const NORMAL_FROM: f64 = 0.05;
const NO_PART: &str = "No part has a value of this characteristic yet: there is nothing to chart. \
                       Measure one at the Bench: F1.";
const NO_SIZE: &str = "A limit gauge gives no size: its outcomes are counted, and there is nothing \
                       to chart.";
const NO_ADVICE: &str = "Nothing is advised here: advice is about sizes.";

/// Why a number is not there.
fn missing<T>(said: &mut Said, what: &str, found: &Known<T>) {
    if let Err(error) = found {
        said.say(&format!("{what}: {error}"));
    }
}

/// What a page says; `notes` are those of its chart.
pub fn batch_lines(
    page: BatchPage,
    of: Of<'_>,
    notes: Vec<String>,
    marker: char,
) -> Vec<SentenceView> {
    let (series, target, study) = of;
    let mut said = Said::new(Words { marker });
    if target.check().is_some() {
        said.say(NO_SIZE);
        return said.lines;
    }
    if series.points().is_empty() {
        said.say(NO_PART);
        return said.lines;
    }
    match page {
        BatchPage::Table => {}
        BatchPage::Run => newest_signal(&mut said, series),
        BatchPage::Control => control(&mut said, series, study),
        BatchPage::Spread => spread(&mut said, series, study),
        BatchPage::Histogram => shape(&mut said, series, study),
        BatchPage::Capability => capability(&mut said, study),
        BatchPage::Trend => trend(&mut said, study),
        BatchPage::Advice => advice(&mut said, series, study),
    }
    for note in notes {
        said.say(&note);
    }
    if page == BatchPage::Run {
        breaks(&mut said, series);
    }
    said.lines
}

/// `Part 7 signals: six in a row …`, of the newest part.
fn newest_signal(said: &mut Said, series: &BatchSeries) {
    if let Some(newest) = series.points().last()
        && !newest.signals.is_empty()
    {
        said.strong(&signal_sentence(series, newest));
    }
}

fn signal_sentence(series: &BatchSeries, point: &BatchPoint) -> String {
    let lengths = series.lengths();
    let tests = point.signals.iter().map(|test| {
        let words = signal_words(test, &lengths);
        format!("{words} (test {})", test.number())
    });
    let tests: Vec<String> = tests.collect();
    format!("Part {} signals: {}.", point.part, tests.join(", "))
}

fn control(said: &mut Said, series: &BatchSeries, study: &BatchStudy) {
    newest_signal(said, series);
    whose_row(said, series);
    let limits = study.segments.last().and_then(|row| row.limits);
    let Some(limits) = limits else {
        return said.say(&no_limits());
    };
    let unit = ChartUnit::of(series);
    said.say(&format!(
        "Limits: mean of {} parts, s {} from {} moving ranges.",
        limits.parts,
        fine(unit, limits.deviation),
        limits.ranges
    ));
    if limits.is_provisional {
        said.say(&format!(
            "They are provisional: usual are {FIRM_FROM} values and more (common practice)."
        ));
    }
    if limits.is_coarse {
        said.say(
            "The gauge's steps are coarser than what varies: the limits allow for one step, so \
             that a single step is no signal.",
        );
    }
}

fn no_limits() -> String {
    format!(
        "There are no control limits yet: before {RANGES_MIN} moving ranges they would be mostly \
         chance."
    )
}

/// Which parts the row in force has.
fn whose_row(said: &mut Said, series: &BatchSeries) {
    let from = series.segment().from_part;
    if from > 1 {
        let last = series.breaks().iter().rev();
        let mut last = last.filter(|one| one.kind.splits());
        let why = last
            .next()
            .map_or(String::new(), |one| format!(" ({})", happened(one.kind)));
        said.say(&format!("The row in force begins with part {from}{why}."));
    }
}

fn spread(said: &mut Said, series: &BatchSeries, study: &BatchStudy) {
    whose_row(said, series);
    if study
        .segments
        .last()
        .is_some_and(|row| row.limits.is_none())
    {
        return said.say(&no_limits());
    }
    match &study.subgroups {
        Some(found) => missing(said, "Ranges of the points", found),
        None => missing(said, "Moving ranges", &study.individuals),
    }
}

fn shape(said: &mut Said, series: &BatchSeries, study: &BatchStudy) {
    let unit = ChartUnit::of(series);
    if let Ok(found) = &study.summary {
        let deviation = found.standard_deviation;
        let deviation = deviation.map_or(String::new(), |s| format!(", s {}", fine(unit, s)));
        said.say(&format!(
            "{} from {} to {}, mean {}{deviation}.",
            counted(found.count, "value"),
            exact(unit, found.min),
            exact(unit, found.max),
            fine(unit, found.mean),
        ));
    }
    missing(said, "Histogram", &study.histogram);
    match &study.shape {
        StudyShape::Normal {
            normality,
            interval,
            ..
        } => {
            if let Err(error) = &normality.resolution {
                said.say(&format!("Normal values, interval of all parts: {error}"));
            } else {
                normal(said, normality);
                interval_line(said, unit, interval);
            }
        }
        StudyShape::Bounded(found) => {
            said.say("It ends at zero: it is not taken as normal.");
            missing(said, "Fit", found);
        }
    }
}

fn normal(said: &mut Said, found: &Normality) {
    if let Ok(resolution) = &found.resolution
        && resolution.too_coarse
    {
        said.say(&format!(
            "The step of the gauge is {:.2} s: too coarse to say whether the values are normal.",
            resolution.step_over_sd
        ));
        return;
    }
    let tests = [
        ("Anderson-Darling", found.anderson_darling.map(|one| one.p)),
        ("Shapiro-Wilk", found.shapiro_wilk.map(|one| one.p)),
    ];
    for (name, p) in tests {
        match p {
            Ok(p) => said.say(&format!(
                "{name}: p {p:.3}, {}.",
                match p < NORMAL_FROM {
                    true => "the values do not look normal",
                    false => "nothing speaks against normal values",
                }
            )),
            Err(error) => said.say(&format!("{name}: {error}")),
        }
    }
}

fn interval_line(said: &mut Said, unit: ChartUnit, found: &Known<ToleranceInterval>) {
    match found {
        Ok(interval) => {
            if let (Some(lower), Some(upper)) = (interval.lower, interval.upper) {
                said.say(&format!(
                    "With 95 % confidence 99 % of all parts lie between {} and {}.",
                    fine(unit, lower),
                    fine(unit, upper)
                ));
            }
        }
        Err(error) => said.say(&format!("Interval of all parts: {error}")),
    }
}

fn capability(said: &mut Said, study: &BatchStudy) {
    if let Some(cannot) = &study.advice.cannot_hold {
        said.strong(&cannot.sentence());
    }
    let outside = |said: &mut Said, name: &str, found: &Known<Capability>| match found {
        // Of fewer values a share would be a bare number.
        Ok(found) if found.n < BARE_FROM => {}
        Ok(found) => said.say(&format!(
            "{name}: {} of parts are expected beyond a limit.",
            share(found.outside_below + found.outside_above)
        )),
        Err(error) => said.say(&format!("{name}: {error}")),
    };
    match &study.shape {
        StudyShape::Normal {
            overall, within, ..
        } => {
            outside(said, "Performance (Pp, Ppk), all parts", overall);
            match within {
                Some(within) => outside(said, "Capability (Cp, Cpk), the row in force", within),
                None => said.say(
                    "Cp and Cpk are not said: the points of a part show its form, not what parts \
                     do from one to the next.",
                ),
            }
        }
        StudyShape::Bounded(Ok(found)) => {
            said.say("It ends at zero: Ppk is found by quantiles of the fitted distribution.");
            if found.n >= BARE_FROM {
                said.say(&format!(
                    "{} of parts are expected beyond the limit.",
                    share(found.outside)
                ));
            }
        }
        StudyShape::Bounded(found) => missing(said, "Performance (Ppk)", found),
    }
}

fn trend(said: &mut Said, study: &BatchStudy) {
    match &study.advice.ahead {
        Some(ahead) => said.strong(&ahead.sentence()),
        None => said.say(&not_predicted(study)),
    }
    if let Some(OffsetAdvice::Give(_)) = &study.advice.offset
        && let Some(offset) = &study.advice.offset
    {
        said.strong(&offset.sentence());
    }
}

/// Why no limit is said to be reached.
fn not_predicted(study: &BatchStudy) -> String {
    let line = match &study.trend {
        Ok(line) => line,
        Err(error) => return format!("No limit is predicted. {error}"),
    };
    if line.n < ADVICE_PARTS_MIN {
        return format!(
            "No limit is predicted before {ADVICE_PARTS_MIN} parts since the last tool change or \
             offset."
        );
    }
    if !line.is_significant(DRIFT_CONFIDENCE) {
        return format!(
            "No limit is predicted: chance alone makes such a slope with probability {:.2}; {:.2} \
             is asked.",
            line.slope_p,
            1.0 - DRIFT_CONFIDENCE
        );
    }
    "No limit is predicted: the drift leads to none, or to one too far ahead to be told.".to_owned()
}

fn advice(said: &mut Said, series: &BatchSeries, study: &BatchStudy) {
    let told = &study.advice;
    if told.sampling.is_none() {
        said.say(NO_ADVICE);
    } else {
        trend(said, study);
        match &told.offset {
            Some(leave @ OffsetAdvice::Leave { reason, .. }) => match reason {
                LeaveReason::Noise => said.strong(&leave.sentence()),
                LeaveReason::BelowStep(_) => said.say(&leave.sentence()),
            },
            Some(OffsetAdvice::Give(_)) => {}
            None => said.say(&format!(
                "No offset is said: it needs two limits, and {ADVICE_PARTS_MIN} parts since the \
                 last tool change or offset."
            )),
        }
    }
    if let Some(cannot) = &told.cannot_hold {
        said.strong(&cannot.sentence());
    }
    if let Some(sampling) = &told.sampling {
        said.strong(&sampling.sentence());
    }
    if let Some(share) = &told.share {
        said.say(&share.sentence());
    }
    let signalled = series.points().iter().rev();
    let signalled = signalled.filter(|point| !point.signals.is_empty());
    for point in signalled.clone().take(TOLD_MAX) {
        said.say(&signal_sentence(series, point));
    }
    let all = study.signals.len();
    match all.checked_sub(TOLD_MAX) {
        Some(1) => said.say("1 earlier part signals."),
        Some(more) if more > 1 => said.say(&format!("{more} earlier parts signal.")),
        _ if all == 0 => said.say("No part signals."),
        _ => {}
    }
    breaks(said, series);
}

/// What the operation between two stages changed the characteristic by, and what to leave for it
/// in the next batch; nothing where no part was measured before it.
pub fn learned_lines(change: Option<&OperationChange>, marker: char) -> Vec<SentenceView> {
    let mut said = Said::new(Words { marker });
    let Some(change) = change.filter(|change| !change.parts.is_empty()) else {
        return said.lines;
    };
    said.say(&change.origin());
    match &change.learned {
        Ok(learned) => said.strong(&learned.sentence()),
        Err(error) => said.say(&format!("No allowance is learned yet. {error}")),
    }
    said.lines
}

/// What happened between the parts, the newest first.
fn breaks(said: &mut Said, series: &BatchSeries) {
    for one in series.breaks().iter().rev().take(TOLD_MAX) {
        let note = match one.note.is_empty() {
            true => String::new(),
            false => format!(": {}", clean(&one.note)),
        };
        let what = happened(one.kind);
        said.say(&format!("Before part {}: {what}{note}.", one.before_part));
    }
}

/// What happened, in short; the sentence gives it the marker that is shown.
fn happened(kind: BreakKind) -> String {
    break_name(kind, &ENGLISH_CHARTS, DecimalMark::Point)
}

/// A computed number with one decimal more than was read, and its unit.
fn fine(unit: ChartUnit, steps: f64) -> String {
    let decimals = unit.decimals() + 1;
    format!("{:.decimals$}", unit.value(steps))
}

/// A number as it was read.
fn exact(unit: ChartUnit, steps: f64) -> String {
    let decimals = unit.decimals();
    format!("{:.decimals$}", unit.value(steps))
}

/// A share as people read it: `1.2 %`, `34 in a million`.
fn share(share: f64) -> String {
    match share {
        ..1e-9 => "less than one in a thousand million".to_owned(),
        1e-9..0.001 => format!("{:.2} in a million", 1e6 * share),
        _ => format!("{:.1} %", 100.0 * share),
    }
}

//! A study of a gauge in sentences: what is to be done now, what looks odd in a reading, and what
//! to do about what the study has come to.

use super::judged_parts::last_digit;
use super::state::State;
use super::study::Study;
use super::study_decide::{is_zero_failed, values};
use super::study_result::{PartBias, STUDY_CONFIDENCE, StudyResult};
use crate::gauge::Gauge;
use crate::journal::StudyCell;
use crate::statistics::{CATEGORIES_WANTED, SHARE_ACCEPTABLE, SHARE_GOOD, ShareJudged};

/// A reading looks odd beyond so many standard deviations of the others (chosen: by chance in one
/// of many thousands), and beyond so many steps of the gauge ...
const ODD_DEVIATIONS: f64 = 6.0;
const ODD_STEPS: i64 = 3;
/// ... once so many readings say how far they scatter (chosen).
const ODD_FREEDOM: usize = 5;
/// Fewer degrees of freedom leave a repeatability open by more than half (chosen).
const FREEDOM_WANTED: f64 = 10.0;
/// So many open cells are named.
const MISSING_NAMED: usize = 6;

/// The names of a cell: `part 3, Bea, trial 2`.
pub fn cell_name(study: &Study, cell: StudyCell) -> String {
    let opened = study.opened();
    let names: Vec<&str> = opened.parts.iter().map(|part| &*part.name).collect();
    named(&names, &opened.operators, cell)
}

fn named<S: AsRef<str>>(parts: &[S], operators: &[String], cell: StudyCell) -> String {
    let at = |number: u32| usize::try_from(number).unwrap_or(0).wrapping_sub(1);
    let part = parts.get(at(cell.part)).map_or("", S::as_ref);
    let operator = operators
        .get(at(cell.operator))
        .filter(|name| !name.is_empty());
    let operator = operator.map(|name| format!(", {name}")).unwrap_or_default();
    format!("part {part}{operator}, trial {}", cell.trial)
}

/// What is to be measured now, and by whom; nothing while the gauge's zero is wrong.
pub fn study_next(state: &State, study: &Study) -> String {
    if is_zero_failed(state, study) && !study.is_complete() {
        let gauge = study.gauge();
        return format!(
            "{gauge} failed its zero check: set it, then check its zero (z {gauge}; in the window \
             / leads there). Until then a reading fills nothing."
        );
    }
    let Some(cell) = study.next() else {
        return "Every reading of the study has been taken.".to_owned();
    };
    let opened = study.opened();
    let at = |number: u32| usize::try_from(number).unwrap_or(0).wrapping_sub(1);
    let part = opened
        .parts
        .get(at(cell.part))
        .map_or("", |part| &part.name);
    let operator = opened.operators.get(at(cell.operator));
    let operator = operator.map_or("", String::as_str);
    let before = study.last().map(|(last, _)| last);
    let is_again = before.is_some_and(|last| last.part == cell.part);
    let who = match (operator, before) {
        ("", _) => String::new(),
        (name, Some(last)) if last.operator == cell.operator => format!("{name}: "),
        (name, _) => format!("{name} measures now: "),
    };
    // The same part twice in a row is only a reading of its own when the gauge was taken off.
    let again = match is_again {
        true => "Take the gauge off, set it on anew: ",
        false => "",
    };
    let text = format!(
        "Reading {} of {}. {who}{again}part {part}, trial {} of {}.",
        study.filled() + 1,
        study.wanted(),
        cell.trial,
        opened.trials
    );
    text.replace(". part ", ". Part ")
}

/// What looks odd in the reading that a cell was just filled with; none where nothing does.
pub fn study_remark(state: &State, cell: StudyCell) -> Option<String> {
    let study = state.study()?;
    let reading = study.reading_of(cell)?;
    let value = state.reading(reading)?.value;
    let others = |part: u32| {
        let all = study.readings_of_part(part).filter(|one| *one != reading);
        values(state, all)
    };
    let own = mean_nm(&others(cell.part))?;
    let parts = 1..=u32::try_from(study.opened().parts.len()).unwrap_or(u32::MAX);
    let (mut squares, mut freedom) = (0.0, 0);
    for part in parts {
        let all = others(part);
        let Some(mean) = mean_nm(&all) else { continue };
        squares += all.iter().map(|one| (nm(*one) - mean).powi(2)).sum::<f64>();
        freedom += all.len() - 1;
    }
    if freedom < ODD_FREEDOM {
        return None;
    }
    let sd = (squares / freedom as f64).sqrt();
    let entry = state.setup().gauge(study.gauge());
    let step = entry.and_then(Gauge::step).map(|step| step.value());
    let shown = state.reading(reading)?.shown;
    let step = step.unwrap_or_else(|| last_digit(shown.decimals, shown.unit));
    let limit = (ODD_DEVIATIONS * sd).max(nm((step * ODD_STEPS).as_nm()));
    let away = nm(value) - own;
    if away.abs() <= limit {
        return None;
    }
    let part = study.opened().parts.get(cell.part as usize - 1)?;
    Some(format!(
        "It lies {} mm from the other readings of part {}, which is more than chance. If it was a \
         slip, void it with the reason and measure again; if not, go on: it stays.",
        digits(away.abs() / 1e6),
        part.name
    ))
}

#[allow(clippy::cast_precision_loss)]
fn nm(units: i64) -> f64 {
    units as f64
}

fn mean_nm(all: &[i64]) -> Option<f64> {
    let sum: i128 = all.iter().map(|one| i128::from(*one)).sum();
    let count = i64::try_from(all.len()).ok().filter(|count| *count > 0)?;
    let whole = i64::try_from(sum / i128::from(count)).ok()?;
    let rest = i64::try_from(sum % i128::from(count)).ok()?;
    Some(nm(whole) + nm(rest) / nm(count))
}

/// A number with four significant digits, without an exponent.
pub fn digits(value: f64) -> String {
    if value == 0.0 || !value.is_finite() {
        return "0".to_owned();
    }
    let mut decimals = 3;
    let mut size = value.abs();
    while size < 1.0 && decimals < 9 {
        size *= 10.0;
        decimals += 1;
    }
    while size >= 10.0 && decimals > 0 {
        size /= 10.0;
        decimals -= 1;
    }
    format!("{value:.decimals$}")
}

/// A share in percent.
pub fn percent(share: f64) -> String {
    let of_hundred = 100.0 * share;
    match of_hundred < 9.95 {
        true => format!("{of_hundred:.1} %"),
        false => format!("{of_hundred:.0} %"),
    }
}

/// What to do about what the study has come to, the most urgent first; never empty.
pub fn next_steps(result: &StudyResult) -> Vec<String> {
    let mut steps = Vec::new();
    if result.doubted > 0 {
        steps.push(doubt_sentence(result));
    }
    if !result.is_complete() {
        steps.push(missing_sentence(result));
    }
    if result.is_hidden_by_step {
        steps.push(
            "Repeated readings never differ: the gauge's step hides how far they scatter. Take a \
             gauge with a finer step to learn more; for this one the step is what counts."
                .to_owned(),
        );
    }
    steps.extend(wild_sentences(result));
    steps.extend(share_sentences(result));
    let count = result
        .components()
        .and_then(|found| found.distinct_categories());
    steps.extend(count.and_then(categories_sentence));
    steps.extend(result.biases.iter().filter_map(bias_sentence));
    steps.extend(linearity_sentence(result));
    if let Some(found) = result.repeatability
        && found.degrees_of_freedom < FREEDOM_WANTED
    {
        steps.push(format!(
            "The repeatability rests on {:.0} degrees of freedom and lies between {} and {} mm: \
             take more readings before relying on it.",
            found.degrees_of_freedom,
            digits(found.interval.0),
            digits(found.interval.1)
        ));
    }
    if steps.is_empty() {
        steps.push(match result.repeatability {
            Some(_) => "Enter the repeatability in the gauge register, and use the gauge; give \
                        the study a tolerance to learn what it can judge."
                .to_owned(),
            None => "Take more readings.".to_owned(),
        });
    }
    steps
}

/// What is said of a study that rests on a gauge which was found wrong in another session.
pub fn study_in_doubt(why: &str) -> String {
    format!(
        "The study is in doubt: {why}. Set the gauge, check its zero, and study it again; what \
         this study came to counts for no uncertainty."
    )
}

fn doubt_sentence(result: &StudyResult) -> String {
    let (count, gauge) = (result.doubted, &result.gauge);
    let are = match count {
        1 => "reading is",
        _ => "readings are",
    };
    format!(
        "{count} {are} in doubt: {gauge} was found wrong after them. Set it and check its zero, \
         then take them anew; until then nothing of this study counts for its uncertainty."
    )
}

fn missing_sentence(result: &StudyResult) -> String {
    let names = result.missing.iter().take(MISSING_NAMED);
    let names: Vec<String> = names
        .map(|cell| named(&result.parts, &result.operators, *cell))
        .collect();
    let more = result.missing.len() - names.len();
    let more = match more {
        0 => String::new(),
        more => format!(" and {more} more"),
    };
    let are = if result.missing.len() == 1 {
        "is"
    } else {
        "are"
    };
    let what = match result.operators.len() {
        1 => "what it comes to rests on fewer readings",
        _ => "operators and parts are not separated before all are there",
    };
    format!(
        "{} of {} readings {are} missing ({}{more}): continue the study; {what}.",
        result.missing.len(),
        result.wanted,
        names.join("; ")
    )
}

/// Cells whose readings differ by more than chance.
fn wild_sentences(result: &StudyResult) -> Vec<String> {
    let Some(ranges) = &result.ranges else {
        return Vec::new();
    };
    let name = |names: &[String], at: usize| names.get(at).cloned().unwrap_or_default();
    let wild = ranges.wild.iter().map(|(part, operator)| {
        format!(
            "The readings of part {} by {} differ by more than {} mm, which is no chance: look \
             for the cause, void what was a slip, and measure again.",
            name(&result.parts, *part),
            name(&result.operators, *operator),
            digits(ranges.range_limit)
        )
    });
    wild.collect()
}

/// What common practice says of the gauge's share of `of` (`the tolerance`), in a sentence.
pub fn share_sentence(share: f64, of: &str) -> String {
    let word = match ShareJudged::of(share) {
        ShareJudged::Good => "good",
        ShareJudged::Acceptable => "acceptable where nothing better is at hand",
        ShareJudged::NotAcceptable => "not acceptable for that",
    };
    format!(
        "The gauge takes {} of {of}: {word} (common practice: up to {} good, above {} not \
         acceptable).",
        percent(share),
        percent(SHARE_GOOD),
        percent(SHARE_ACCEPTABLE)
    )
}

/// That too few categories of parts are told apart, in a sentence; none where they are enough.
pub fn categories_sentence(count: u32) -> Option<String> {
    (count < CATEGORIES_WANTED).then(|| {
        format!(
            "It tells {count} categories of these parts apart, cut down to a whole number; \
             {CATEGORIES_WANTED} or more are wanted (common practice): take parts that differ as \
             the work does, or a finer gauge."
        )
    })
}

/// What common practice says of the gauge's share, and where to begin.
fn share_sentences(result: &StudyResult) -> Vec<String> {
    let (share, of) = match (result.share_of_tolerance(), result.share_of_variation()) {
        (Some(share), _) => (share, "the tolerance"),
        (None, Some(share)) => (share, "the spread of these readings"),
        (None, None) => return Vec::new(),
    };
    let judged = share_sentence(share, of);
    if ShareJudged::of(share) == ShareJudged::Good {
        return vec![judged];
    }
    let begin = match result.components() {
        Some(found) if found.reproducibility > found.repeatability => {
            "Most of it lies between the people: agree on where and how firmly to measure, show \
             it to each other, use a stop or a fixture."
        }
        _ => {
            "Most of it lies in repeating: clean faces and parts, hold part and gauge steady, \
             measure at one place; else take a finer gauge."
        }
    };
    vec![judged, begin.to_owned()]
}

fn bias_sentence(found: &PartBias) -> Option<String> {
    let tested = found.tested?;
    tested.is_significant(STUDY_CONFIDENCE).then(|| {
        format!(
            "On {} it reads {} mm too {} ({} to {} mm with 95 %, the standard's own uncertainty \
             left out): check and set its zero there, then repeat the study.",
            found.part,
            digits(tested.bias.abs()),
            if tested.bias > 0.0 { "much" } else { "little" },
            digits(tested.interval.0),
            digits(tested.interval.1)
        )
    })
}

fn linearity_sentence(result: &StudyResult) -> Option<String> {
    let line = &result.linearity.as_ref()?.line;
    line.is_significant(STUDY_CONFIDENCE).then(|| {
        format!(
            "Its bias changes by {} mm for each millimetre of size: no zero setting takes that \
             away. Enter bias points from a calibration in the register, or have it mended.",
            digits(line.slope)
        )
    })
}

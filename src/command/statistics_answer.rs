//! The study of a list as the answer of `statistics`, for machines and for people.

use super::list_study::{Asked, CONFIDENCE, Controlled, ListStudy, SHARE};
use super::number_list::NumberList;
use super::output_statistics::{
    AndersonDarlingBody, ControlBody, EndsBody, IndexBody, LimitsBody, ModelBody, NextBody,
    OutsideBody, PercentileBody, ReachBody, ResolutionBody, ShapiroWilkBody, SignalBody,
    StatisticsLine, ToleranceBody, TrendBody, WithinBody, ends,
};
use super::screen::{Screen, paragraph};
use super::table::{Row, cell, laid_out, numbers, words};
use crate::report::{DecimalMark, number_text};
use crate::statistics::{
    AndersonDarling, BoundedModel, ControlLimits, Index, Limits, Line, Resolution, ShapiroWilk,
    SigmaMethod, SignalTest, StatisticsError, TestSet, ToleranceInterval, cp_interval,
    lag1_autocorrelation, median_interval, normal_quantile, quantile, student_quantile,
};

/// The answer.
///
/// # Errors
/// Those of the functions that compute it; for a list that was studied there are none.
pub(super) fn answer(
    list: &NumberList,
    asked: &Asked,
    study: &ListStudy,
) -> Result<StatisticsLine, StatisticsError> {
    let values = &list.values;
    let summary = study.summary;
    let sd = summary.standard_deviation;
    let spread = sd.filter(|sd| *sd > 0.0);
    let limits = asked.limits;
    Ok(StatisticsLine {
        n: summary.count,
        mean: summary.mean,
        sd,
        min: summary.min,
        max: summary.max,
        median: quantile(values, 0.5)?,
        autocorrelation_lag1: lag1_autocorrelation(values).ok(),
        confidence: CONFIDENCE,
        mean_interval: spread
            .map(|sd| of_mean(summary.mean, sd, summary.count))
            .transpose()?,
        sd_interval: spread
            .map(|sd| of_deviation(sd, summary.count))
            .transpose()?,
        median_interval: median_interval(values, CONFIDENCE)?.map(ends),
        autocorrelation_chance: spread.map(|_| chance(summary.count)).transpose()?,
        lower: limits.as_ref().and_then(Limits::lower),
        upper: limits.as_ref().and_then(Limits::upper),
        outside: limits.map(|_| outside(study)),
        cp: study.within.and_then(|one| one.spread).map(index),
        cpk: study.within.map(|one| index(one.worst)),
        pp: study.overall.and_then(|one| one.spread).map(index),
        ppk: match (study.overall, study.bounded) {
            (_, Some(bounded)) => Some(index(bounded.worst)),
            (overall, None) => overall.map(|one| index(one.worst)),
        },
        within: study.sigma.map(|sigma| WithinBody {
            sd: sigma.value,
            degrees_of_freedom: sigma.degrees_of_freedom,
            method: method(sigma.method),
        }),
        model: study.bounded.map(|bounded| model(bounded.model)),
        percentile: study.percentile.map(|found| PercentileBody {
            pp: found.spread.map(index),
            ppk: index(found.worst),
        }),
        tolerance_interval: study.tolerance.map(tolerance),
        anderson_darling: study.anderson_darling.map(anderson_darling),
        shapiro_wilk: study.shapiro_wilk.map(shapiro_wilk),
        resolution: study.resolution.map(resolution),
        control: study.control.as_ref().map(|found| control(found, asked)),
        tests: test_set(asked.lengths.set()),
        signals: study.control.as_ref().map_or(Vec::new(), signals),
        spread_signals: study.control.as_ref().map_or(Vec::new(), spread_signals),
        trend: study
            .trend
            .map(|line| trend(&line, limits.as_ref()))
            .transpose()?,
        notes: study.notes.clone(),
    })
}

fn tolerance(found: ToleranceInterval) -> ToleranceBody {
    ToleranceBody {
        lower: found.lower,
        upper: found.upper,
        share: SHARE,
        factor: found.factor,
    }
}

fn anderson_darling(found: AndersonDarling) -> AndersonDarlingBody {
    AndersonDarlingBody {
        a2: found.a2,
        adjusted: found.adjusted,
        p: found.p,
    }
}

fn shapiro_wilk(found: ShapiroWilk) -> ShapiroWilkBody {
    ShapiroWilkBody {
        w: found.w,
        p: found.p,
    }
}

fn resolution(found: Resolution) -> ResolutionBody {
    ResolutionBody {
        step: found.step,
        step_over_sd: found.step_over_sd,
        distinct: found.distinct,
        too_coarse: found.too_coarse,
    }
}

/// Mean -/+ t s/sqrt(n).
fn of_mean(mean: f64, sd: f64, n: usize) -> Result<EndsBody, StatisticsError> {
    let t = student_quantile(0.5 + 0.5 * CONFIDENCE, (n - 1) as f64)?;
    let half = t * sd / (n as f64).sqrt();
    Ok(ends((mean - half, mean + half)))
}

/// By chi-square: that of 1/Cp turned around.
fn of_deviation(sd: f64, n: usize) -> Result<EndsBody, StatisticsError> {
    let (low, high) = cp_interval(1.0, (n - 1) as f64, CONFIDENCE)?;
    Ok(ends((sd / high, sd / low)))
}

/// z/sqrt(n) about zero: where independent values mostly lie.
fn chance(n: usize) -> Result<EndsBody, StatisticsError> {
    let half = normal_quantile(0.5 + 0.5 * CONFIDENCE)? / (n as f64).sqrt();
    Ok(ends((-half, half)))
}

fn outside(study: &ListStudy) -> OutsideBody {
    let (below, above) = study.outside;
    let bounded = study.bounded;
    OutsideBody {
        below,
        above,
        expected_below: study.overall.map(|one| one.outside_below),
        expected_above: match bounded {
            Some(bounded) => Some(bounded.outside),
            None => study.overall.map(|one| one.outside_above),
        },
    }
}

fn index(found: Index) -> IndexBody {
    IndexBody {
        estimate: found.estimate,
        lower: found.lower,
        upper: found.upper,
    }
}

fn method(found: SigmaMethod) -> &'static str {
    match found {
        SigmaMethod::Overall => "overall",
        SigmaMethod::MeanRange => "mean_range",
        SigmaMethod::MeanDeviation => "mean_deviation",
        SigmaMethod::Pooled => "pooled",
        SigmaMethod::MovingRange => "moving_range",
    }
}

fn model(found: BoundedModel) -> ModelBody {
    let (name, location, sigma) = match found {
        BoundedModel::FoldedNormal { location, sigma } => ("folded_normal", location, sigma),
        BoundedModel::LogNormal { mu, sigma } => ("log_normal", mu, sigma),
        BoundedModel::Rayleigh { sigma } => ("rayleigh", 0.0, sigma),
        BoundedModel::TruncatedNormal { location, sigma } => ("truncated_normal", location, sigma),
    };
    ModelBody {
        name,
        location,
        sigma,
    }
}

fn control(found: &Controlled, asked: &Asked) -> ControlBody {
    let body = |limits: ControlLimits| LimitsBody {
        lower: limits.lower,
        centre: limits.centre,
        upper: limits.upper,
    };
    ControlBody {
        chart: found.kind.word(),
        subgroup: asked.subgroup,
        location: body(found.chart.limits.location),
        spread: body(found.chart.limits.spread),
        within_sd: found.chart.limits.within_deviation,
    }
}

fn test_set(set: TestSet) -> &'static str {
    match set {
        TestSet::Nelson => "nelson",
        TestSet::EightOnOneSide => "eight_on_one_side",
        TestSet::Sevens => "sevens",
        TestSet::Own => "own",
    }
}

fn signals(found: &Controlled) -> Vec<SignalBody> {
    let body = found.signals.iter().map(|signal| SignalBody {
        index: signal.point + 1,
        test: signal.test.number(),
        name: test_name(signal.test),
    });
    body.collect()
}

/// A moving range belongs to the later one of its two values.
fn spread_signals(found: &Controlled) -> Vec<usize> {
    let values = found.chart.locations.len() - found.chart.spreads.len();
    let places = found.spread_beyond.iter();
    places.map(|place| place + 1 + values).collect()
}

fn test_name(test: SignalTest) -> &'static str {
    match test {
        SignalTest::Beyond => "beyond",
        SignalTest::OneSide => "one_side",
        SignalTest::Trend => "trend",
        SignalTest::Alternating => "alternating",
        SignalTest::NearLimit => "near_limit",
        SignalTest::OffCentre => "off_centre",
        SignalTest::Quiet => "quiet",
        SignalTest::Mixed => "mixed",
    }
}

fn trend(line: &Line, limits: Option<&Limits>) -> Result<TrendBody, StatisticsError> {
    let next = line.predict((line.n + 1) as f64, CONFIDENCE)?;
    let now = line.value_mean + line.slope * (line.n as f64 - line.place_mean);
    let both = [
        ("lower", limits.and_then(Limits::lower)),
        ("upper", limits.and_then(Limits::upper)),
    ];
    let mut reaches = Vec::new();
    for (name, limit) in both {
        let Some(limit) = limit else { continue };
        // A limit that lies behind is not gone towards.
        let is_ahead = (limit - now) * line.slope > 0.0;
        if let Some(found) = line.reaches(limit, CONFIDENCE)?
            && is_ahead
        {
            reaches.push(ReachBody {
                limit: name,
                at: found.at,
                earliest: found.line.0,
                latest: found.line.1,
                first_value: found.single.0,
            });
        }
    }
    Ok(TrendBody {
        slope: line.slope,
        slope_interval: ends(line.slope_interval(CONFIDENCE)?),
        slope_p: line.slope_p,
        significant: line.is_significant(CONFIDENCE),
        intercept: line.intercept,
        residual_sd: line.residual_sd,
        r_squared: line.r_squared,
        next: NextBody {
            at: line.n + 1,
            value: next.value,
            lower: next.value - next.single_half_width,
            upper: next.value + next.single_half_width,
        },
        reaches,
    })
}

/// The answer for people: a table, and the notes below it.
pub(super) fn table(line: &StatisticsLine, decimals: usize, screen: Screen) -> String {
    let number = |value: f64| rounded(value, decimals + 2);
    let plain = |name: &str, value: Option<f64>, between: Option<EndsBody>| -> Option<Row> {
        let (lower, upper) = match between {
            Some(found) => (number(found.lower), number(found.upper)),
            None => (String::new(), String::new()),
        };
        Some(vec![
            cell(name),
            cell(number(value?)),
            cell(lower),
            cell(upper),
        ])
    };
    let mut rows: Vec<Row> = [
        plain("mean", Some(line.mean), line.mean_interval),
        plain("standard deviation", line.sd, line.sd_interval),
        plain("least", Some(line.min), None),
        plain("largest", Some(line.max), None),
        plain("median", Some(line.median), line.median_interval),
    ]
    .into_iter()
    .flatten()
    .collect();
    if let Some(found) = line.autocorrelation_lag1 {
        rows.push(vec![
            cell("autocorrelation of neighbours"),
            cell(rounded(found, 3)),
        ]);
    }
    let indices = [
        ("Cp", line.cp),
        ("Cpk", line.cpk),
        ("Pp", line.pp),
        ("Ppk", line.ppk),
    ];
    for (name, found) in indices {
        let Some(found) = found else { continue };
        rows.push(vec![
            cell(name),
            cell(
                found
                    .estimate
                    .map_or(String::new(), |best| rounded(best, 2)),
            ),
            cell(rounded(found.lower, 2)),
            cell(rounded(found.upper, 2)),
        ]);
    }
    if let Some(found) = &line.tolerance_interval {
        let end = |end: Option<f64>| end.map_or(String::new(), number);
        rows.push(vec![
            cell(format!(
                "{} % of all parts",
                rounded(100.0 * found.share, 2)
            )),
            cell(""),
            cell(end(found.lower)),
            cell(end(found.upper)),
        ]);
    }
    let columns = [words(""), numbers("value"), numbers("from"), numbers("to")];
    let mut text = format!("{} values; from and to with 95 % confidence\n", line.n);
    text += &laid_out(&columns, &rows, screen);
    for sentence in sentences(line, decimals) {
        text += &paragraph(&sentence, ("", 0), screen);
    }
    text
}

fn rounded(value: f64, decimals: usize) -> String {
    number_text(value, decimals, DecimalMark::Point)
}

/// What no row of the table says.
fn sentences(line: &StatisticsLine, decimals: usize) -> Vec<String> {
    let number = |value: f64| rounded(value, decimals + 2);
    let mut said = Vec::new();
    if let Some(found) = &line.outside {
        let (below, above) = (found.below, found.above);
        said.push(format!("Beyond the limits: {below} below, {above} above."));
    }
    let probability = |p: f64| match p < 1e-4 {
        true => "below 0.0001".to_owned(),
        false => rounded(p, 4),
    };
    if let Some(found) = &line.anderson_darling {
        let (a2, p) = (rounded(found.a2, 4), probability(found.p));
        said.push(format!("Normal, by Anderson-Darling: A2 {a2}, p {p}."));
    }
    if let Some(found) = &line.shapiro_wilk {
        let (w, p) = (rounded(found.w, 4), probability(found.p));
        said.push(format!("Normal, by Shapiro-Wilk: W {w}, p {p}."));
    }
    if let Some(found) = &line.control {
        said.push(format!(
            "Control limits ({}): {} to {} about {}; spread up to {}.",
            found.chart.replace('_', " "),
            number(found.location.lower),
            number(found.location.upper),
            number(found.location.centre),
            number(found.spread.upper),
        ));
        said.push(told_signals(line));
    }
    if let Some(found) = &line.trend {
        let (from, to) = (found.slope_interval.lower, found.slope_interval.upper);
        let by = |value: f64| rounded(value, decimals + 3);
        let is_chance = if found.significant {
            ""
        } else {
            "; it may be chance"
        };
        said.push(format!(
            "Trend: {} from one to the next ({} to {}){is_chance}.",
            by(found.slope),
            by(from),
            by(to)
        ));
        said.extend(found.reaches.iter().map(|reach| {
            let (at, from, to) = (reach.at, reach.earliest.floor(), reach.latest.ceil());
            let limit = reach.limit;
            format!("The {limit} limit is reached at value {at:.0} ({from:.0} to {to:.0}).")
        }));
    }
    said.extend(line.notes.iter().cloned());
    said
}

fn told_signals(line: &StatisticsLine) -> String {
    let set = line.tests.replace('_', " ");
    if line.signals.is_empty() && line.spread_signals.is_empty() {
        return format!("No signal (tests: {set}).");
    }
    let by_test = SignalTest::ALL.into_iter().filter_map(|test| {
        let own = line.signals.iter().filter(|one| one.test == test.number());
        let places: Vec<usize> = own.map(|one| one.index).collect();
        let name = test_name(test).replace('_', " ");
        (!places.is_empty()).then(|| format!("{} {name} at {}", test.number(), listed(&places)))
    });
    let mut said: Vec<String> = by_test.collect();
    if !line.spread_signals.is_empty() {
        said.push(format!("spread beyond at {}", listed(&line.spread_signals)));
    }
    format!("Signals (tests: {set}): {}.", said.join("; "))
}

/// The first of some places, and how many more there are.
fn listed(places: &[usize]) -> String {
    let first: Vec<String> = places.iter().take(12).map(ToString::to_string).collect();
    let more = match places.len() {
        0..=12 => String::new(),
        count => format!(" and {} more", count - 12),
    };
    format!("{}{more}", first.join(", "))
}

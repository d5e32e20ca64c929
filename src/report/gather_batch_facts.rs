//! The numbers of one characteristic over the parts, from its study: every number or why there is
//! none. Nothing is computed here; numbers become texts.

use std::sync::Arc;

use super::chart_control::named_test;
use super::chart_unit::ChartUnit;
use super::gather_batch_stretches::{put_back_of, stretches_of};
use super::gather_batch_text::{Written, plain};
use super::gather_text::{limits_of, number_of, signed_mm};
use super::sheet_batch::{
    BatchAhead, BatchCharted, BatchFacts, BatchIndex, BatchInterval, BatchNormality, BatchShare,
    BatchSignal, BatchStands, BatchTrend,
};
use super::words::Words;
use super::words_batch::BatchWords;
use crate::journal::ValueUnit;
use crate::measure::{LimitAhead, MeasurementShare, OffsetAdvice};
use crate::quantity::{Length, LengthUnit, Rounding};
use crate::session::{
    BatchAdvice, BatchSeries, BatchStudy, Circumstances, Known, Normality, State, StudyOptions,
    StudyShape, Target, study,
};
use crate::statistics::{
    BoundedModel, Capability, Index, Line, SignalTest, StatisticsError, ToleranceInterval,
};

/// Decimals of an index, of a statistic with its probability, of a step in standard deviations.
const INDEX_DECIMALS: usize = 2;
const TEST_DECIMALS: usize = 4;
const SHARE_DECIMALS: usize = 2;

/// What is made of a study beside its numbers.
struct Making<'a> {
    words: &'static Words,
    series: &'a BatchSeries,
    target: &'a Target,
    study: &'a BatchStudy,
    options: &'a StudyOptions,
    written: Written,
}

/// The numbers of a characteristic; none of what has no sizes.
pub(super) fn facts_of(
    words: &'static Words,
    state: &State,
    series: &BatchSeries,
) -> Option<BatchFacts> {
    let target = state.setup().targets.get(series.target)?;
    if target.check().is_some() {
        return None;
    }
    let unit = ChartUnit::of(series).name();
    let options = StudyOptions::usual(Circumstances::of(state, series.target));
    let known = study(series, target, &options);
    let making = Making {
        words,
        series,
        target,
        study: &known,
        options: &options,
        written: Written::of(series),
    };
    let mut facts = making.facts(unit);
    facts.charted = Some(Arc::new(BatchCharted {
        series: series.clone(),
        target: target.clone(),
        study: known,
    }));
    Some(facts)
}

impl Making<'_> {
    fn facts(&self, unit: &str) -> BatchFacts {
        let (study, written) = (self.study, self.written);
        let (lower, upper) = limits_of(self.target);
        let limit = |limit: Option<i64>| limit.map_or_else(String::new, |one| self.exact(one));
        let mut facts = BatchFacts {
            number: self.series.target + 1,
            unit: unit.to_owned(),
            lower: limit(lower),
            upper: limit(upper),
            stands: self.stands(),
            in_doubt: self.in_doubt(),
            indices: self.indices(),
            interval: self.interval(),
            normality: self.normality(),
            stretches: stretches_of(self.series, &study.segments, written),
            put_back: put_back_of(self.series),
            signals: self.signals(),
            trend: study.trend.as_ref().ok().and_then(|line| self.trend(line)),
            ahead: study.advice.ahead.as_ref().map(ahead),
            share: study.advice.share.as_ref().map(|share| self.share(share)),
            measure_every: study.advice.sampling.map_or(0, |sampling| sampling.every),
            advice: advice(&self.words.batch, &study.advice),
            ..BatchFacts::default()
        };
        if let Some(OffsetAdvice::Give(offset)) = &study.advice.offset {
            facts.offset = signed_mm(offset.on_dimension);
            facts.offset_told = (self.words.batch.give)(offset);
        }
        if let Ok(found) = &study.summary {
            facts.values = found.count;
            facts.mean = written.computed(found.mean);
            let sd = found.standard_deviation;
            facts.sd = sd.map_or_else(String::new, |sd| written.spread(sd));
            facts.smallest = self.whole(found.min);
            facts.largest = self.whole(found.max);
            facts.range = self.whole(found.max - found.min);
        }
        facts.remarks = self.remarks(&facts);
        facts.missing = self.missing(&facts);
        facts
    }

    /// A whole number of smallest steps as the record writes it; angles in degrees.
    fn exact(&self, steps: i64) -> String {
        match self.series.unit {
            ValueUnit::Nanometre => number_of(ValueUnit::Nanometre, steps),
            _ => self.written.read(steps as f64),
        }
    }

    /// The same of a float that holds one: sizes are far below 2^53 steps.
    #[allow(clippy::cast_possible_truncation)]
    fn whole(&self, steps: f64) -> String {
        self.exact(steps.round() as i64)
    }

    fn stands(&self) -> BatchStands {
        let counts = self.study.counts;
        BatchStands {
            go: counts.go,
            no_go: counts.no_go,
            doubt: counts.doubt,
            noted: counts.noted,
            open: counts.open,
            not_selected: counts.not_selected,
        }
    }

    fn in_doubt(&self) -> u32 {
        let points = self.series.points().iter();
        let count = points.filter(|point| point.is_in_doubt).count();
        u32::try_from(count).unwrap_or(u32::MAX)
    }

    fn indices(&self) -> Vec<BatchIndex> {
        let confidence = share_text(self.options.confidence);
        let row = |name: &str, way: &str, index: Index| BatchIndex {
            name: name.to_owned(),
            estimate: index
                .estimate
                .map_or_else(String::new, |best| plain(best, INDEX_DECIMALS)),
            lower: plain(index.lower, INDEX_DECIMALS),
            upper: plain(index.upper, INDEX_DECIMALS),
            way: way.to_owned(),
            confidence: confidence.clone(),
        };
        let both = |names: [&str; 2], way: &str, found: &Capability| {
            let spread = found.spread.map(|index| row(names[0], way, index));
            spread.into_iter().chain([row(names[1], way, found.worst)])
        };
        let mut rows = Vec::new();
        match &self.study.shape {
            StudyShape::Normal {
                overall, within, ..
            } => {
                if let Some(Ok(found)) = within {
                    rows.extend(both(["Cp", "Cpk"], "moving_range", found));
                }
                if let Ok(found) = overall {
                    rows.extend(both(["Pp", "Ppk"], "overall", found));
                }
            }
            StudyShape::Bounded(Ok(found)) => {
                rows.push(row("Ppk", model_word(found.model), found.worst));
            }
            StudyShape::Bounded(Err(_)) => {}
        }
        rows
    }

    fn interval(&self) -> Option<BatchInterval> {
        let StudyShape::Normal { interval, .. } = &self.study.shape else {
            return None;
        };
        let found: &ToleranceInterval = interval.as_ref().ok()?;
        Some(BatchInterval {
            lower: self.written.computed(found.lower?),
            upper: self.written.computed(found.upper?),
            share: share_text(self.options.share),
            confidence: share_text(self.options.confidence),
        })
    }

    fn normality(&self) -> Option<BatchNormality> {
        let StudyShape::Normal { normality, .. } = &self.study.shape else {
            return None;
        };
        let resolution = normality.resolution.as_ref().ok()?;
        let text = |value: Option<f64>| {
            value.map_or_else(String::new, |value| plain(value, TEST_DECIMALS))
        };
        let first = normality.anderson_darling.as_ref().ok();
        let second = normality.shapiro_wilk.as_ref().ok();
        Some(BatchNormality {
            step_over_sd: plain(resolution.step_over_sd, SHARE_DECIMALS),
            is_too_coarse: resolution.too_coarse,
            a2: text(first.map(|found| found.a2)),
            a2_p: text(first.map(|found| found.p)),
            w: text(second.map(|found| found.w)),
            w_p: text(second.map(|found| found.p)),
        })
    }

    fn signals(&self) -> Vec<BatchSignal> {
        let of = |test: SignalTest| {
            let at = self.study.signals.iter();
            let at = at.filter(|(_, signals)| signals.iter().any(|one| one == test));
            let parts: Vec<u32> = at.map(|(part, _)| *part).collect();
            let words = self.words.charts;
            (!parts.is_empty()).then(|| BatchSignal {
                test: u16::from(test.number()),
                name: named_test(words, test, self.study.tests),
                parts,
            })
        };
        SignalTest::ALL.into_iter().filter_map(of).collect()
    }

    fn trend(&self, line: &Line) -> Option<BatchTrend> {
        let confidence = self.options.confidence;
        let (lower, upper) = line.slope_interval(confidence).ok()?;
        let text = |value: f64| self.written.beside(value, upper - lower);
        Some(BatchTrend {
            parts: line.n,
            slope: text(line.slope),
            lower: text(lower),
            upper: text(upper),
            confidence: share_text(confidence),
            is_beyond_chance: line.is_significant(confidence),
        })
    }

    fn share(&self, share: &MeasurementShare) -> BatchShare {
        BatchShare {
            seen: self.written.spread(share.seen_nm),
            measuring: self.written.spread(share.measurement_nm),
            share: plain(share.share, SHARE_DECIMALS),
            parts: share
                .process_nm
                .map_or_else(String::new, |nm| self.written.spread(nm)),
        }
    }

    /// What the values are and are not.
    fn remarks(&self, facts: &BatchFacts) -> Vec<String> {
        let words = &self.words.batch;
        let stands = &facts.stands;
        let mut said = Vec::new();
        if stands.not_selected > 0 {
            let selected = self.study.counts.selected();
            let all = selected.saturating_add(stands.not_selected);
            let every = self.target.every;
            said.push(match self.target.waits_for_rechucking() {
                true => (words.not_rechucked)(stands.not_selected, all),
                false => (words.sampled)(every, stands.not_selected, all),
            });
        }
        if stands.open > 0 {
            said.push((words.still_open)(stands.open));
        }
        if facts.in_doubt > 0 {
            said.push((words.left_out)(facts.in_doubt));
        }
        if facts.values == 0 {
            said.push(words.no_value.to_owned());
        }
        said
    }

    /// Why numbers are missing or weak.
    fn missing(&self, facts: &BatchFacts) -> Vec<String> {
        let words = &self.words.batch;
        match facts.values {
            0 => return Vec::new(),
            1 => return vec![words.one_value.to_owned()],
            _ if !facts.has_spread() => return vec![words.all_equal.to_owned()],
            _ => {}
        }
        let mut said = Vec::new();
        match &self.study.shape {
            StudyShape::Normal {
                overall,
                within,
                normality,
                interval,
            } => {
                if within.is_none() {
                    said.push(words.no_within.to_owned());
                }
                said.extend(no_capability(words, overall, within.as_ref()));
                said.extend(interval.as_ref().err().map(words.no_interval));
                said.extend(no_tests(words, normality));
            }
            StudyShape::Bounded(found) => {
                said.push(words.ends_at_zero.to_owned());
                let error = found.as_ref().err();
                said.extend(error.map(|error| (words.no_capability)("Ppk", error)));
            }
        }
        if facts.indices.iter().any(|index| index.estimate.is_empty()) {
            said.push(words.no_bare_index.to_owned());
        }
        said.extend(self.study.trend.as_ref().err().map(words.no_trend));
        said
    }
}

/// Why indices are not said; where both lack the same, once.
fn no_capability(
    words: &BatchWords,
    overall: &Known<Capability>,
    within: Option<&Known<Capability>>,
) -> Vec<String> {
    let overall = overall.as_ref().err();
    let within = within.and_then(|within| within.as_ref().err());
    let one =
        |names: &[&str], error: &StatisticsError| (words.no_capability)(&names.join(", "), error);
    match (within, overall) {
        (Some(within), Some(overall)) if within == overall => {
            vec![one(&["Cp", "Cpk", "Pp", "Ppk"], overall)]
        }
        (within, overall) => {
            let within = within.map(|error| one(&["Cp", "Cpk"], error));
            let overall = overall.map(|error| one(&["Pp", "Ppk"], error));
            within.into_iter().chain(overall).collect()
        }
    }
}

/// Why there is no test for normal values; nothing where the gauge is too coarse to ask.
fn no_tests(words: &BatchWords, found: &Normality) -> Vec<String> {
    if found.resolution.as_ref().is_ok_and(|one| one.too_coarse) {
        return Vec::new();
    }
    let tests = [
        ("Anderson-Darling", found.anderson_darling.as_ref().err()),
        ("Shapiro-Wilk", found.shapiro_wilk.as_ref().err()),
    ];
    let told = tests.into_iter();
    told.filter_map(|(name, error)| Some((words.no_test)(name, error?)))
        .collect()
}

/// What to do next, what matters most first.
fn advice(words: &BatchWords, advice: &BatchAdvice) -> Vec<String> {
    let said = [
        advice.cannot_hold.as_ref().map(words.cannot_hold),
        advice.ahead.as_ref().map(words.ahead),
        advice.offset.as_ref().map(words.offset),
        advice.sampling.as_ref().map(words.sampling),
    ];
    said.into_iter().flatten().collect()
}

fn ahead(found: &LimitAhead) -> BatchAhead {
    // As its sentence says it.
    let limit = found
        .limit
        .round_to(Length::from_nm(100), Rounding::HalfEven);
    BatchAhead {
        limit: limit.to_text(LengthUnit::Millimetre, 3),
        is_upper: found.is_upper,
        part: found.part,
        earliest: found.earliest,
        latest: found.latest.unwrap_or(0),
        single: found.single,
        confidence: share_text(found.confidence),
    }
}

fn model_word(model: BoundedModel) -> &'static str {
    match model {
        BoundedModel::FoldedNormal { .. } => "folded_normal",
        BoundedModel::LogNormal { .. } => "log_normal",
        BoundedModel::Rayleigh { .. } => "rayleigh",
        BoundedModel::TruncatedNormal { .. } => "truncated_normal",
    }
}

fn share_text(share: f64) -> String {
    plain(share, SHARE_DECIMALS)
}

//! What a gauge can prove of the open plan, before anything is measured.

use super::gauges_view::GaugesSeen;
use super::words::{Words, callout, clean};
use super::{Mark, ProvesLineView, ProvesView};
use crate::gauge::Gauge;
use crate::measure::{
    CentredProcess, Proof, Rule, Suitability, Uncertainty, gauge_lines, suitability,
};
use crate::quantity::{Exact, Length};
use crate::session::{Setup, Target, TargetLimits, element_words};

/// Of U: the probability that it covers (JCGM 100:2008, 6.2.2: about 95 % is usual).
const COVERAGE: f64 = 0.95;
const NOTE: &str = "T is the tolerance, U the expanded uncertainty (95 %) without temperature. \
                    T/(2U) of 10 or 4 is asked for by common practice; what decides is the rule. \
                    A centred process is one of Cp 1.";

/// What it can prove of the open plan.
pub(super) fn proves(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> ProvesView {
    let Some(snapshot) = seen.snapshot else {
        return ProvesView {
            title: "No plan is open: what a gauge can prove is told for a plan.".to_owned(),
            ..ProvesView::default()
        };
    };
    let setup = snapshot.state.setup();
    let lines = setup
        .targets
        .iter()
        .map(|target| line(seen, setup, target, gauge, words));
    ProvesView {
        title: format!("What it can prove of {}", clean(&setup.plan.part.name)),
        lines: lines.collect(),
        note: match gauge.kind.is_limit_gauge() {
            true => String::new(),
            false => words.sentence(NOTE),
        },
    }
}

fn line(
    seen: &GaugesSeen<'_>,
    setup: &Setup,
    target: &Target,
    gauge: &Gauge,
    words: Words,
) -> ProvesLineView {
    let about = match target.check() {
        Some(asked) => format!(", {}", asked.name()),
        None => match element_words(&target.element) {
            "" => String::new(),
            element => format!(" {}", clean(element)),
        },
    };
    let plain = |word: &str, mark, detail: String| ProvesLineView {
        what: format!("{} {}{about}", clean(&target.feature), callout(target)),
        word: word.to_owned(),
        mark,
        ratio: String::new(),
        guard: None,
        detail,
    };
    let no = |why: String| plain("not its matter", Mark::NotSelected, why);
    let listed = || {
        let all: Vec<String> = target.gauges.iter().map(|id| clean(id.as_str())).collect();
        format!("the plan lists {} for it", all.join(", "))
    };
    match &target.limits {
        TargetLimits::Check(asked) => match (asked.fits(gauge.kind), target.may_prove(&gauge.id)) {
            (true, true) => plain("can prove it", Mark::Go, String::new()),
            (true, false) => no(listed()),
            (false, _) => no("a limit gauge is asked for".to_owned()),
        },
        TargetLimits::Angle(_) => match gauge.kind.reads_angles() {
            true => plain("reads angles", Mark::Open, String::new()),
            false => no("an angle is asked for".to_owned()),
        },
        TargetLimits::Length(_) if gauge.kind.is_limit_gauge() || gauge.kind.is_standard() => {
            no("a size is asked for".to_owned())
        }
        TargetLimits::Length(_) if !setup.can_show(target, &gauge.id) => {
            no("it touches another place of the thread".to_owned())
        }
        TargetLimits::Length(_) if !target.may_prove(&gauge.id) => no(listed()),
        TargetLimits::Length(limits) => {
            let size = limits.upper().or(limits.lower());
            let size = size.map_or(Length::ZERO, |size| target.size_to_find(size));
            if !gauge.covers(size - gauge.size_of(Length::ZERO)) {
                let text = format!("{} mm is out of its range", size.to_mm());
                return no(words.sentence(&text));
            }
            let plain = plain("", Mark::Open, String::new());
            length_line(seen, setup, (target, size), gauge, plain, words)
        }
    }
}

fn length_line(
    seen: &GaugesSeen<'_>,
    setup: &Setup,
    (target, size): (&Target, Length),
    gauge: &Gauge,
    plain: ProvesLineView,
    words: Words,
) -> ProvesLineView {
    let TargetLimits::Length(limits) = &target.limits else {
        return plain;
    };
    let register = &seen.facts.register;
    let error = register.error_of(gauge, size, target.faces);
    let budget = error.and_then(|error| {
        let lines = gauge_lines(&error, 1).ok()??;
        let budget = Uncertainty::combined(lines).ok()?;
        let expanded = budget.expanded(COVERAGE).ok()?;
        Some((budget.standard_nm(), expanded.units_f64()))
    });
    let Some((u, expanded)) = budget else {
        return ProvesLineView {
            word: "not known".to_owned(),
            mark: Mark::Doubt,
            detail: "its error is not known: uncertainty is not considered".to_owned(),
            ..plain
        };
    };
    let rule = setup.rule.unwrap_or(Rule::PROBABILITY);
    match suitability(limits, u, expanded, rule, CentredProcess::USUAL) {
        Ok(found) => told(&found, plain, words),
        Err(error) => ProvesLineView {
            word: "not known".to_owned(),
            mark: Mark::Doubt,
            detail: words.sentence(&error.to_string()),
            ..plain
        },
    }
}

fn told(found: &Suitability<Length>, plain: ProvesLineView, words: Words) -> ProvesLineView {
    let (word, mark) = match found.proof {
        Proof::Can => ("can prove it", Mark::Go),
        Proof::Sometimes => ("only sometimes", Mark::Doubt),
        Proof::Cannot => ("cannot prove it", Mark::NoGo),
    };
    let percent = |share: f64| match share * 100.0 {
        small if small > 0.0 && small < 1.0 => "under 1 %".to_owned(),
        share => format!("{share:.0} %"),
    };
    let guard = found.guard_share.map(|share| {
        let share = percent(share);
        format!("guard zones {share} of the tolerance")
    });
    let doubt = found.doubt_share.map(|share| {
        let share = percent(share);
        format!("{share} of a centred process would be DOUBT")
    });
    let none = (found.proof == Proof::Cannot).then(|| "no value would be GO".to_owned());
    let all: Vec<String> = none.into_iter().chain(guard).chain(doubt).collect();
    ProvesLineView {
        word: word.to_owned(),
        mark,
        ratio: found.ratio.map_or(String::new(), |ratio| {
            words.sentence(&format!("T/(2U) {}", one_decimal_down(ratio)))
        }),
        guard: found.guard_share.map(super::axis::fraction),
        detail: all.join("; "),
        ..plain
    }
}

/// With one decimal, never rounded up: 3.96 does not meet 4.
fn one_decimal_down(ratio: f64) -> String {
    let tenths = (ratio * (1.0 + 1e-12) * 10.0).floor() / 10.0;
    match tenths >= 100.0 {
        true => "over 100".to_owned(),
        false => format!("{tenths:.1}"),
    }
}

//! What a gauge can prove of the open plan, before anything is measured.

use super::gauges_view::GaugesSeen;
use super::words::{Words, callout, clean};
use super::{Mark, ProvesLineView, ProvesView};
use crate::gauge::Gauge;
use crate::measure::Proof;
use crate::session::{Found, Proven, Setup, Suitable, element_words};

const NOTE: &str = "T is the tolerance, U the expanded uncertainty (95 %) before a temperature is \
                    entered. T/(2U) of 10 or 4 is asked for by common practice; what decides is \
                    the rule. A centred process is one of Cp 1.";

/// What it can prove of the open plan.
pub(super) fn proves(seen: &GaugesSeen<'_>, gauge: &Gauge, words: Words) -> ProvesView {
    let Some(snapshot) = seen.snapshot else {
        return ProvesView {
            title: "No plan is open: what a gauge can prove is told for a plan.".to_owned(),
            ..ProvesView::default()
        };
    };
    let setup = snapshot.state.setup();
    let all = seen.facts.suitable.iter();
    let lines = all.filter_map(|suitable| line(setup, suitable, gauge, words));
    let none: Vec<String> = seen
        .facts
        .suitable
        .iter()
        .filter_map(Suitable::warning)
        .map(|warning| words.sentence(&warning))
        .collect();
    ProvesView {
        title: format!("What it can prove of {}", clean(&setup.plan.part.name)),
        warning: none.join(" "),
        lines: lines.collect(),
        note: match gauge.kind.is_limit_gauge() {
            true => String::new(),
            false => words.sentence(NOTE),
        },
    }
}

fn line(setup: &Setup, suitable: &Suitable, gauge: &Gauge, words: Words) -> Option<ProvesLineView> {
    let target = setup.targets.get(suitable.target)?;
    let mut gauges = suitable.gauges.iter();
    let found = &gauges.find(|one| one.gauge == gauge.id)?.found;
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
    Some(match found {
        Found::Measures(proven) => told(proven, plain("", Mark::Open, String::new()), words),
        Found::Tries => plain("can prove it", Mark::Go, "goes, or does not".to_owned()),
        Found::NotKnown => {
            let why = "its error is not known: uncertainty is not considered";
            plain("not known", Mark::Doubt, why.to_owned())
        }
        Found::Unfit(unfit) => {
            let why = words.sentence(&unfit.to_string());
            plain("not its matter", Mark::NotSelected, why)
        }
    })
}

fn told(proven: &Proven, plain: ProvesLineView, words: Words) -> ProvesLineView {
    let (word, mark) = match proven.proof {
        Proof::Can => ("can prove it", Mark::Go),
        Proof::Sometimes => ("only sometimes", Mark::Doubt),
        Proof::Cannot => ("cannot prove it", Mark::NoGo),
    };
    let percent = |share: f64| match share * 100.0 {
        small if small > 0.0 && small < 1.0 => "under 1 %".to_owned(),
        share => format!("{share:.0} %"),
    };
    let guard = proven.guard_share.map(|share| {
        let share = percent(share);
        format!("guard zones {share} of the tolerance")
    });
    let doubt = proven.doubt_share.map(|share| {
        let share = percent(share);
        format!("{share} of a centred process would be DOUBT")
    });
    let none = (proven.proof == Proof::Cannot).then(|| "no value would be GO".to_owned());
    let assumed = proven
        .is_assumed
        .then(|| "its error is assumed by its kind".to_owned());
    let all = none.into_iter().chain(guard).chain(doubt).chain(assumed);
    ProvesLineView {
        word: word.to_owned(),
        mark,
        ratio: proven.ratio.map_or(String::new(), |ratio| {
            words.sentence(&format!("T/(2U) {}", one_decimal_down(ratio)))
        }),
        guard: proven.guard_share.map(super::axis::fraction),
        detail: all.collect::<Vec<String>>().join("; "),
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

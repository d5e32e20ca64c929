//! `fitledger suitability`: which gauges of the register can prove a plan's characteristics.

use std::collections::BTreeSet;
use std::path::PathBuf;

use clap::Args;

use crate::measure::{FOUR_TO_ONE, Proof, SOMETIMES_FROM_SHARE, TEN_TO_ONE, meets_ratio};
use crate::quantity::{Angle, Exact, Length};
use crate::session::{
    Begin, Found, GaugeSuitable, Proven, Suitable, Unfit, What, Workspace, setup_asked,
    suitability_of,
};

use super::arguments::RuleArguments;
use super::exit::Exit;
use super::house;
use super::judge_why::{Shown, percent};
use super::output::{Output, Stopped};
use super::output_suitability::{GaugeLine, ProvenLine, SuitabilityLine};
use super::problem::Problem;
use super::rule::asked_rule;
use super::screen::paragraph;
use super::table::{Cell, Column, Row, Style, cell, laid_out, numbers, words};

const COLUMNS: &[Column] = &[
    words("callout"),
    words("gauge"),
    words("answer"),
    numbers("U"),
    numbers("T/(2U)"),
    numbers("guard"),
    numbers("DOUBT"),
    words("why"),
];

const LEGEND: &str = "\
guard: share of the tolerance that the guard zones take. DOUBT: share of a centred process that \
would be DOUBT, with a standard deviation of T/6, which is assumed. T/(2U) of 10 or of 4 is asked \
for by common practice, without a source.";

/// See [`Command::Suitability`](super::Command::Suitability).
#[derive(Debug, Args)]
pub struct SuitabilityArguments {
    /// Callouts such as '20 k6'
    #[arg(
        value_name = "CALLOUT",
        required_unless_present = "plan",
        conflicts_with = "plan"
    )]
    pub callouts: Vec<String>,
    /// Inspection plan (TOML)
    #[arg(long, value_name = "FILE")]
    pub plan: Option<PathBuf>,
    /// Gauge register in place of the workspace's gauges.toml
    #[arg(long, value_name = "FILE")]
    pub gauges: Option<PathBuf>,
    /// Stage of the plan; the last one unless said
    #[arg(long, value_name = "NAME")]
    pub stage: Option<String>,
    /// Material of the part, in place of the plan's
    #[arg(long)]
    pub material: Option<String>,
    /// General tolerance class of ISO 2768-1 for bare sizes
    #[arg(long, value_name = "f|m|c|v")]
    pub general: Option<String>,
    /// The decision rule.
    #[command(flatten)]
    pub rule: RuleArguments,
    /// One JSON object a characteristic
    #[arg(long)]
    pub json: bool,
}

/// Answers each characteristic.
pub(super) fn run(
    arguments: &SuitabilityArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let found = match answers(arguments, workspace) {
        Ok(found) => found,
        Err(problem) => return out.refuse(arguments.json, "suitability", &problem),
    };
    if found.iter().any(|one| !one.can_be_proved()) {
        out.note(Exit::NotGood);
    }
    if arguments.json {
        for one in &found {
            out.json(&line(one))?;
        }
        return Ok(());
    }
    let screen = out.screen();
    let rows: Vec<Row> = found.iter().flat_map(rows).collect();
    let mut text = laid_out(COLUMNS, &rows, screen);
    let warnings = found.iter().filter_map(Suitable::warning);
    for said in warnings
        .chain(cautions(&found))
        .chain(std::iter::once(LEGEND.to_owned()))
    {
        text.push('\n');
        text += &paragraph(&said, ("", 0), screen);
    }
    out.text(&text)
}

/// What the uncertainties of gauges lack, once a gauge.
fn cautions(found: &[Suitable]) -> BTreeSet<String> {
    let gauges = found.iter().flat_map(|one| &one.gauges);
    let cautions = gauges.filter_map(|one| {
        let caution = one.caution.as_ref()?;
        Some(format!("{}: {caution}.", one.gauge))
    });
    cautions.collect()
}

fn answers(
    arguments: &SuitabilityArguments,
    workspace: &Workspace,
) -> Result<Vec<Suitable>, Problem> {
    let what = match &arguments.plan {
        Some(plan) => What::Plan(plan.clone()),
        None => What::Callouts(arguments.callouts.clone()),
    };
    let begin = Begin {
        rule: asked_rule(&arguments.rule)?,
        general: arguments.general.clone().unwrap_or_default(),
        stage: arguments.stage.clone().unwrap_or_default(),
        ..Begin::new(what)
    };
    let mut setup = setup_asked(&begin, arguments.gauges.as_deref(), workspace)?;
    if let Some(name) = &arguments.material {
        setup.expansion = Some(house::materials(workspace)?.find(name)?.expansion());
    }
    if setup.register.gauges().is_empty() {
        let message = "The gauge register is empty, so nothing can be said of its gauges.";
        let hint = "Write gauges.toml into the workspace, or give --gauges FILE.";
        return Err(Problem::bad("no_gauges", message.to_owned(), Some(hint)));
    }
    Ok(suitability_of(&setup))
}

/// Smallest steps as text: mm or degrees.
fn steps_text(steps: f64, is_angle: bool) -> String {
    match is_angle {
        true => Angle::steps_text(steps),
        false => Length::steps_text(steps),
    }
}

fn units_text(units: i64, is_angle: bool) -> String {
    match is_angle {
        true => Angle::from_units(units).to_degrees(),
        false => Length::from_nm(units).to_mm(),
    }
}

fn line(one: &Suitable) -> SuitabilityLine {
    SuitabilityLine {
        feature: one.feature.clone(),
        element: one.element.clone(),
        callout: one.callout.clone(),
        tolerance: one.tolerance.map(|units| units_text(units, one.is_angle)),
        gauges: one
            .gauges
            .iter()
            .map(|gauge| gauge_line(one, gauge))
            .collect(),
        warning: one.warning(),
    }
}

fn gauge_line(one: &Suitable, gauge: &GaugeSuitable) -> GaugeLine {
    GaugeLine {
        gauge: gauge.gauge.to_string(),
        kind: gauge.kind.map(|kind| kind.word()),
        answer: answer(&gauge.found),
        unfit: match &gauge.found {
            Found::Unfit(unfit) => Some(unfit.word()),
            _ => None,
        },
        leaves: match &gauge.found {
            Found::Measures(proven) => Some(proven_line(proven, one.is_angle)),
            _ => None,
        },
        why: why(gauge)
            .into_iter()
            .chain(gauge.caution.clone())
            .collect(),
    }
}

fn proven_line(proven: &Proven, is_angle: bool) -> ProvenLine {
    let meets = |wanted: f64| proven.ratio.map(|ratio| meets_ratio(ratio, wanted));
    ProvenLine {
        rule: proven.rule.word(),
        u: steps_text(proven.standard, is_angle),
        expanded_uncertainty: steps_text(proven.expanded, is_angle),
        coverage_factor: proven.coverage_factor,
        ratio_t_to_2u: proven.ratio,
        meets_10_to_1: meets(TEN_TO_ONE),
        meets_4_to_1: meets(FOUR_TO_ONE),
        guard: proven.guard.map(|guard| units_text(guard, is_angle)),
        guard_share: proven.guard_share,
        doubt_share: proven.doubt_share,
    }
}

fn answer(found: &Found) -> &'static str {
    match found {
        Found::Measures(proven) => proven.proof.word(),
        Found::Tries => "tries",
        Found::NotKnown => "not_known",
        Found::Unfit(_) => "unfit",
    }
}

/// Why a gauge can, cannot or only sometimes can.
fn why(gauge: &GaugeSuitable) -> Vec<String> {
    let mut why = Vec::new();
    match &gauge.found {
        Found::Tries => why.push("goes or does not".to_owned()),
        Found::NotKnown if gauge.kind.is_none() => why.push("not in the register".to_owned()),
        Found::NotKnown => why.push("nothing is known of its error".to_owned()),
        Found::Unfit(unfit) => why.push(unfit.to_string()),
        Found::Measures(proven) => {
            match proven.proof {
                Proof::Cannot => why.push("no value at all could be GO".to_owned()),
                Proof::Sometimes => why.push(format!(
                    "guard zones over {:.0} % of the tolerance",
                    SOMETIMES_FROM_SHARE * 100.0
                )),
                Proof::Can => {}
            }
            if proven.is_assumed {
                why.push("its error is assumed by kind".to_owned());
            }
        }
    }
    why
}

fn rows(one: &Suitable) -> Vec<Row> {
    let row = |gauge: &GaugeSuitable| {
        let proven = match &gauge.found {
            Found::Measures(proven) => Some(proven),
            _ => None,
        };
        let share = |share: Option<f64>| share.map(percent).unwrap_or_default();
        let callout = format!("{} {}", one.feature, one.callout);
        let style = match &gauge.found {
            Found::Measures(proven) if proven.proof == Proof::Cannot => Style::NoGo,
            Found::Measures(proven) if proven.proof == Proof::Sometimes => Style::Doubt,
            Found::Measures(_) => Style::Go,
            _ => Style::Plain,
        };
        vec![
            cell(callout),
            cell(gauge.gauge.to_string()),
            Cell {
                text: answer(&gauge.found).replace('_', " "),
                style,
            },
            cell(
                proven
                    .map(|proven| steps_text(proven.expanded, one.is_angle))
                    .unwrap_or_default(),
            ),
            cell(
                proven
                    .and_then(|proven| proven.ratio)
                    .map(|ratio| format!("{ratio:.1}"))
                    .unwrap_or_default(),
            ),
            cell(share(proven.and_then(|proven| proven.guard_share))),
            cell(share(proven.and_then(|proven| proven.doubt_share))),
            cell(why(gauge).join("; ")),
        ]
    };
    // What cannot show such a thing at all is told to machines only.
    let fits = |gauge: &&GaugeSuitable| gauge.found != Found::Unfit(Unfit::Kind);
    one.gauges.iter().filter(fits).map(row).collect()
}

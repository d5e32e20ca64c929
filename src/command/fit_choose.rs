//! `fitledger fit --for`: from what a joint is for to the classes that are usual for it, and back
//! to what the gauges of this workshop can prove of them.

use crate::measure::Proof;
use crate::quantity::{Length, LengthUnit};
use crate::session::{Begin, Found, Suitable, What, Workspace, setup_asked, suitability_of};
use crate::tolerance::{
    CalloutLimits, ChoiceRule, Context, FitChoice, Limits, Load, Purpose, Ring, Seat, SeatChoice,
    bearing_rules, dowel_rules, fit_choices, parse_callout_in, seat_choices,
};

use super::FitArguments;
use super::answers::{Answer, Form, Note, answer_each};
use super::arguments_fit::{LoadName, PurposeName, RingName};
use super::exit::Exit;
use super::house::{self, InForce};
use super::output::{Output, Stopped};
use super::output_choice::{ChoiceLine, ChoicesLine, MemberLine, ProvesLine, RuleLine};
use super::problem::Problem;
use super::table::{Column, Row, cell, numbers, words};

const COLUMNS: &[Column] = &[
    words("choice"),
    words("kind"),
    numbers("lower"),
    numbers("upper"),
    words("proved here by"),
];

/// Said beside every choice.
const ADVICE: &str =
    "usual choices, no more: the drawing and the maker of a bearing go before them";

/// What is asked for.
#[derive(Debug, Clone, Copy)]
enum Asked {
    Joint(Purpose),
    Bearing(Seat),
}

/// Answers each diameter.
pub(super) fn run(
    arguments: &FitArguments,
    purpose: PurposeName,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let in_force = InForce::new(workspace, None, None);
    let form = Form {
        json: arguments.json,
        columns: COLUMNS,
        word_at: 1,
    };
    answer_each(&arguments.fits, form, out, |text| {
        let in_force = in_force.as_ref().map_err(Problem::clone)?;
        chosen(text, purpose, arguments, in_force, workspace)
    })
}

fn chosen(
    text: &str,
    purpose: PurposeName,
    arguments: &FitArguments,
    in_force: &InForce,
    workspace: &Workspace,
) -> Result<Choices, Problem> {
    let nominal = house::length(text.trim().trim_start_matches(['Ø', 'ø', '⌀']))?;
    if nominal <= Length::ZERO {
        let message = format!("A diameter of {nominal} mm has no fit.");
        return Err(Problem::bad(
            "out_of_range",
            message,
            Some("Give one above zero."),
        ));
    }
    let asked = match purpose {
        PurposeName::Running => Asked::Joint(Purpose::Running),
        PurposeName::Sliding => Asked::Joint(Purpose::Sliding),
        PurposeName::Locating => Asked::Joint(Purpose::Locating),
        PurposeName::LightPress => Asked::Joint(Purpose::LightPress),
        PurposeName::Permanent => Asked::Joint(Purpose::Permanent),
        PurposeName::Dowel => Asked::Joint(Purpose::Dowel),
        PurposeName::BearingShaft => Asked::Bearing(Seat::Shaft),
        PurposeName::BearingHousing => Asked::Bearing(Seat::Housing),
    };
    let context = in_force.context();
    let size = nominal.to_text(LengthUnit::Millimetre, 0);
    let mut choices = match asked {
        Asked::Joint(_) if arguments.ring.is_some() || arguments.load.is_some() => {
            let message = "--ring and --load are of the seats of rolling bearings.".to_owned();
            let hint = Some("Leave them out, or ask for bearing-shaft or bearing-housing.");
            return Err(Problem::bad("load_of_no_bearing", message, hint));
        }
        Asked::Joint(purpose) => fit_choices(purpose)
            .map(|one| fit_line(one, &size, &context))
            .collect::<Result<Vec<_>, _>>()?,
        Asked::Bearing(seat) => {
            let ring = arguments.ring.map(ring_of);
            let load = arguments.load.map(load_of);
            let rows = seat_choices(seat, nominal, ring, load);
            let lines = rows.flat_map(|one| seat_lines(one, &size, &context));
            lines.collect::<Result<Vec<_>, _>>()?
        }
    };
    if choices.is_empty() {
        let message = format!("No class is tabled for such a seat of {size} mm.");
        let hint =
            Some("Ask with another --ring or --load, or without them, to see what there is.");
        return Err(Problem::bad("no_class_tabled", message, hint));
    }
    let has_register = prove(&mut choices, workspace)?;
    let rules: Vec<&ChoiceRule> = match asked {
        Asked::Bearing(_) => bearing_rules().collect(),
        Asked::Joint(Purpose::Dowel) => dowel_rules().collect(),
        Asked::Joint(_) => Vec::new(),
    };
    Ok(Choices {
        has_register,
        line: ChoicesLine {
            purpose: purpose.word(),
            nominal: nominal.to_mm(),
            choices,
            rules: rules.into_iter().map(rule_line).collect(),
        },
    })
}

fn ring_of(name: RingName) -> Ring {
    match name {
        RingName::Rotates => Ring::Rotates,
        RingName::Stands => Ring::Stands,
        RingName::Indeterminate => Ring::Indeterminate,
    }
}

fn load_of(name: LoadName) -> Load {
    match name {
        LoadName::Light => Load::Light,
        LoadName::Normal => Load::Normal,
        LoadName::Heavy => Load::Heavy,
        LoadName::Shock => Load::Shock,
    }
}

fn rule_line(rule: &'static ChoiceRule) -> RuleLine {
    RuleLine {
        rule: &rule.rule,
        source: &rule.source,
    }
}

fn limits_of(callout: &str, context: &Context<'_>) -> Result<CalloutLimits, Problem> {
    Ok(parse_callout_in(callout, context.tables)?.limits(context)?)
}

fn member(callout: String, limits: &Limits) -> MemberLine {
    let text = |limit: Option<Length>| limit.map(Length::to_mm).unwrap_or_default();
    MemberLine {
        callout,
        lower_limit: text(limits.lower()),
        upper_limit: text(limits.upper()),
        gauges: None,
    }
}

fn fit_line(one: &FitChoice, size: &str, context: &Context<'_>) -> Result<ChoiceLine, Problem> {
    let callout = format!("{size} {}/{}", one.hole, one.shaft);
    let CalloutLimits::Fit(fit) = limits_of(&callout, context)? else {
        let message = format!("{callout} is no fit.");
        return Err(Problem::bad("not_a_fit", message, None));
    };
    let hole = member(format!("{size} {}", one.hole), &fit.hole().limits);
    let shaft = member(format!("{size} {}", one.shaft), &fit.shaft().limits);
    Ok(ChoiceLine {
        callout,
        fit: Some(fit.kind().word()),
        min_clearance: Some(fit.min_clearance().to_mm()),
        max_clearance: Some(fit.max_clearance().to_mm()),
        hole: Some(hole),
        shaft: Some(shaft),
        ring: None,
        loads: None,
        usual_for: one.usual_for.clone(),
        source: one.source.clone(),
    })
}

/// A line for each class of a row.
fn seat_lines(
    one: &'static SeatChoice,
    size: &str,
    context: &Context<'_>,
) -> Vec<Result<ChoiceLine, Problem>> {
    let classes = one.classes.iter();
    let lines = classes.map(|class| {
        let callout = format!("{size} {class}");
        let CalloutLimits::Size(limits) = limits_of(&callout, context)? else {
            let message = format!("{callout} is no size.");
            return Err(Problem::bad("not_a_size", message, None));
        };
        let line = member(callout.clone(), &limits.limits);
        let (hole, shaft) = match one.seat {
            Seat::Housing => (Some(line), None),
            Seat::Shaft => (None, Some(line)),
        };
        Ok(ChoiceLine {
            callout,
            fit: None,
            min_clearance: None,
            max_clearance: None,
            hole,
            shaft,
            ring: Some(one.ring.word()),
            loads: Some(one.loads.iter().map(|load| load.word()).collect()),
            usual_for: one.condition.clone(),
            source: one.source.clone(),
        })
    });
    lines.collect()
}

/// Says of every member what the gauges of the register can do; whether there is a register.
fn prove(choices: &mut [ChoiceLine], workspace: &Workspace) -> Result<bool, Problem> {
    let mut callouts: Vec<String> = Vec::new();
    for member in choices
        .iter()
        .flat_map(|one| [&one.hole, &one.shaft])
        .flatten()
    {
        if !callouts.contains(&member.callout) {
            callouts.push(member.callout.clone());
        }
    }
    let setup = setup_asked(&Begin::new(What::Callouts(callouts)), None, workspace)?;
    if setup.register.gauges().is_empty() {
        return Ok(false);
    }
    let found = suitability_of(&setup);
    for one in choices {
        for member in [&mut one.hole, &mut one.shaft].into_iter().flatten() {
            let suitable = found.iter().find(|one| one.callout == member.callout);
            member.gauges = suitable.map(proves);
        }
    }
    Ok(true)
}

fn proves(suitable: &Suitable) -> ProvesLine {
    let mut line = ProvesLine::default();
    for gauge in &suitable.gauges {
        let list = match &gauge.found {
            Found::Measures(proven) => match proven.proof {
                Proof::Can => &mut line.can,
                Proof::Sometimes => &mut line.only_sometimes,
                Proof::Cannot => &mut line.cannot,
            },
            Found::Tries => &mut line.tries,
            Found::NotKnown => &mut line.not_known,
            Found::Unfit(_) => continue,
        };
        list.push(gauge.gauge.to_string());
    }
    line
}

/// What is usual for a purpose at one diameter, and what is proved of it here.
struct Choices {
    line: ChoicesLine,
    has_register: bool,
}

impl Choices {
    /// Whether the gauges of the register can prove a choice whole.
    fn some_proved(&self) -> bool {
        let proved = |member: &Option<MemberLine>| {
            member.as_ref().is_none_or(|member| {
                let gauges = member.gauges.as_ref();
                gauges.is_some_and(|one| !one.can.is_empty() || !one.only_sometimes.is_empty())
            })
        };
        let mut all = self.line.choices.iter();
        all.any(|one| proved(&one.hole) && proved(&one.shaft))
    }
}

impl Answer for Choices {
    fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        out.json(&self.line)
    }

    fn rows(&self) -> Vec<Row> {
        self.line.choices.iter().flat_map(rows).collect()
    }

    fn notes(&self) -> Vec<Note> {
        let rules = self.line.rules.iter();
        let mut notes = vec![Note::new("advice", ADVICE.to_owned())];
        notes.extend(rules.map(|rule| {
            let told = format!("{} ({})", rule.rule, rule.source);
            Note::new("rule", told)
        }));
        if !self.has_register {
            let told = "no gauge register here, so nothing is said of what can be proved";
            notes.push(Note::new("gauges", told.to_owned()));
        }
        notes
    }

    fn why(&self) -> Vec<String> {
        let mut why: Vec<String> = Vec::new();
        for one in &self.line.choices {
            let usual_for = match one.usual_for.as_str() {
                "" => String::new(),
                usual_for => format!("{usual_for}; "),
            };
            why.push(format!("{}: {usual_for}{}", one.callout, one.source));
        }
        why
    }

    /// A register that can prove no choice at all is something that is not good.
    fn exit(&self) -> Exit {
        match self.has_register && !self.some_proved() {
            true => Exit::NotGood,
            false => Exit::Answered,
        }
    }
}

fn rows(one: &ChoiceLine) -> Vec<Row> {
    let proved = |member: &MemberLine| match &member.gauges {
        None => String::new(),
        Some(gauges) => {
            let sometimes = gauges
                .only_sometimes
                .iter()
                .map(|id| format!("{id} sometimes"));
            let all: Vec<String> = gauges.can.iter().cloned().chain(sometimes).collect();
            match all.is_empty() {
                true => "no gauge here".to_owned(),
                false => all.join(", "),
            }
        }
    };
    let of_member = |member: &MemberLine, kind: &str, indent: &str| {
        vec![
            cell(format!("{indent}{}", member.callout)),
            cell(kind),
            cell(&member.lower_limit),
            cell(&member.upper_limit),
            cell(proved(member)),
        ]
    };
    match (&one.hole, &one.shaft) {
        (Some(hole), Some(shaft)) => vec![
            vec![
                cell(&one.callout),
                cell(one.fit.unwrap_or_default()),
                cell(one.min_clearance.as_deref().unwrap_or_default()),
                cell(one.max_clearance.as_deref().unwrap_or_default()),
            ],
            of_member(hole, "hole", "  "),
            of_member(shaft, "shaft", "  "),
        ],
        (Some(seat), None) | (None, Some(seat)) => vec![of_member(seat, &case_of(one), "")],
        (None, None) => Vec::new(),
    }
}

/// What the ring of a bearing does, and under which loads.
fn case_of(one: &ChoiceLine) -> String {
    let loads = one.loads.as_deref().unwrap_or_default();
    let loads = match loads {
        [] => "any load".to_owned(),
        loads => loads.join(" or "),
    };
    format!("{}, {loads}", one.ring.unwrap_or_default())
}

//! `fitledger judge`: one value against the limits of a callout.

use clap::CommandFactory;
use clap::error::ErrorKind;

use crate::gauge::{Gauge, Register};
use crate::measure::{
    Aim, CutAdvice, CutSetting, LEAST_CUT, MeasureError, Measured, RemainingError, RemainingMetal,
    Rule, Thermal, Uncertainty, VerdictWord, guard_band, judge, measure, remaining_metal, remedies,
};
use crate::quantity::{
    Angle, Decimal, DecimalMark, Entry, Exact, Length, LengthUnit, QuantityError, parse_entry,
};
use crate::session::{Workspace, dial_of};
use crate::tolerance::{AngleLimits, Callout, CalloutLimits, Limits, Surface, parse_callout_in};

use super::answers::{FROM_STDIN, Form, answer_each};
use super::arguments::{Arguments, JudgeArguments};
use super::exit::Exit;
use super::house::{self, InForce};
use super::judge_answer::{COLUMNS, JudgeAnswer};
use super::judge_gauge::{self, can_measure, faces};
use super::judge_thread;
use super::judge_why::{self, NOT_CONSIDERED, Shown};
use super::output::{Output, Stopped};
use super::problem::Problem;
use super::rule::asked_rule;

/// What is asked beside callout and value.
pub(super) struct Options<'a> {
    pub(super) in_force: InForce,
    rule: Option<Rule>,
    pub(super) gauge: Option<Gauge>,
    /// The register that it is of.
    register: Option<Register>,
    /// Half-width of the form allowance.
    form: Option<Length>,
    thermal: Option<Thermal>,
    pub(super) surface: Option<Surface>,
    coverage_factor: f64,
    pub(super) arguments: &'a JudgeArguments,
}

impl<'a> Options<'a> {
    fn new(arguments: &'a JudgeArguments, workspace: &Workspace) -> Result<Self, Problem> {
        let gauge = arguments.gauge.as_deref();
        let found = gauge
            .map(|id| judge_gauge::registered(workspace, id))
            .transpose()?;
        let (register, gauge) = found.unzip();
        let in_force = InForce::new(workspace, arguments.general.as_deref(), None)?;
        Ok(Self {
            rule: asked_rule(&arguments.rule)?,
            thermal: judge_gauge::thermal(
                arguments.part_temperature.as_deref(),
                arguments.gauge_temperature.as_deref(),
                arguments.material.as_deref(),
                made_of(gauge.as_ref()),
                in_force.materials(),
            )?,
            in_force,
            gauge,
            register,
            form: arguments.form.as_deref().map(form_allowance).transpose()?,
            surface: arguments
                .surface
                .as_deref()
                .map(house::surface)
                .transpose()?,
            coverage_factor: coverage_factor(&arguments.k)?,
            arguments,
        })
    }
}

/// The material of a gauge's scale, if the register states it.
fn made_of(gauge: Option<&Gauge>) -> Option<&str> {
    gauge?.made_of.as_deref()
}

/// The half-width of `--form`.
fn form_allowance(text: &str) -> Result<Length, Problem> {
    let half_width = parse_entry(text, LengthUnit::Millimetre)?.value;
    if half_width.is_negative() {
        let message = format!("The form allowance {half_width} mm is negative.");
        let hint = Some("Give the half-width: 0.002 means plus or minus 0.002 mm.");
        return Err(Problem::bad("form_out_of_range", message, hint));
    }
    Ok(half_width)
}

/// Answers the value, or each line `CALLOUT | VALUE [| u]` of standard input.
pub(super) fn run(
    arguments: &JudgeArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let item = match (arguments.callout.as_str(), &arguments.value) {
        (FROM_STDIN, None) => FROM_STDIN.to_owned(),
        (callout, Some(value)) if callout != FROM_STDIN => format!("{callout} | {value}"),
        (FROM_STDIN, Some(_)) => {
            return wrong_usage(
                ErrorKind::ArgumentConflict,
                "- and VALUE exclude each other",
                out,
            );
        }
        _ => return wrong_usage(ErrorKind::MissingRequiredArgument, "VALUE is missing", out),
    };
    let options = Options::new(arguments, workspace);
    let form = Form {
        json: arguments.json,
        columns: COLUMNS,
        word_at: 0,
    };
    answer_each(&[item], form, out, |line| {
        let options = options.as_ref().map_err(Problem::clone)?;
        judged(line, options)
    })
}

fn wrong_usage(kind: ErrorKind, message: &str, out: &mut Output) -> Result<(), Stopped> {
    let mut command = Arguments::command();
    command.build();
    let usage = match command.find_subcommand_mut("judge") {
        Some(judge) => judge.error(kind, message),
        None => command.error(kind, message),
    };
    out.note(Exit::BadInput);
    out.message(&usage.to_string());
    Ok(())
}

/// The judgement on one line.
fn judged(line: &str, options: &Options<'_>) -> Result<JudgeAnswer, Problem> {
    let mut fields = line.split('|').map(str::trim);
    let (callout, value, u) = (fields.next().unwrap_or(""), fields.next(), fields.next());
    if fields.next().is_some() {
        let message = "The line has more than three fields.".to_owned();
        return Err(Problem::bad("bad_line", message, Some(LINE_HINT)));
    }
    let context = options.in_force.context();
    let parsed = parse_callout_in(callout, options.in_force.tables())?;
    let limits = parsed.limits(&context)?;
    let is_thread = matches!(parsed, Callout::Thread(_));
    if let Some(element) = &options.arguments.element
        && !is_thread
    {
        let element = element.escape_debug();
        let message = format!("{callout} is no thread, so it has no {element}.");
        let hint = Some("Leave --element out.");
        return Err(Problem::bad("not_a_thread", message, hint));
    }
    let Some(value) = value else {
        let message = format!("There is no value beside {callout}.");
        return Err(Problem::bad("missing_value", message, Some(LINE_HINT)));
    };
    let item = Item {
        callout,
        value,
        u: u.filter(|text| !text.is_empty()),
    };
    let why = |steps: Vec<crate::tolerance::Step>| {
        steps
            .iter()
            .map(ToString::to_string)
            .collect::<Vec<String>>()
    };
    match limits {
        CalloutLimits::Size(size) => {
            let surface = options.surface.or(size.surface);
            let surface = surface.unwrap_or(Surface::Length);
            let why = why(size.explain(&context));
            size_judged(&item, (&size.limits, surface), options, why)
        }
        CalloutLimits::Angle(angle) => {
            angle_judged(&item, &angle, options, why(angle.explain(&context)))
        }
        CalloutLimits::Thread(thread) => judge_thread::judged(&item, &parsed, &thread, options),
        CalloutLimits::ThreadFit(_) => Err(judge_thread::member_missing(&parsed)),
        CalloutLimits::Fit(_) => {
            let message = format!("{callout} is a fit, and one value belongs to one of its parts.");
            let hint = Some("Give the class of the hole or of the shaft alone.");
            Err(Problem::bad("fit_not_judged", message, hint))
        }
    }
}

const LINE_HINT: &str = "Write CALLOUT | VALUE or CALLOUT | VALUE | u.";

/// One line, taken apart.
pub(super) struct Item<'a> {
    pub(super) callout: &'a str,
    pub(super) value: &'a str,
    u: Option<&'a str>,
}

impl Item<'_> {
    /// The standard uncertainty that was stated, in smallest steps: the line's own, else the
    /// options'.
    fn stated_u(
        &self,
        options: &Options<'_>,
        steps: impl Fn(&str) -> Result<f64, Problem>,
    ) -> Result<Option<f64>, Problem> {
        let arguments = options.arguments;
        match (
            self.u,
            &arguments.standard_uncertainty,
            &arguments.uncertainty,
        ) {
            (Some(u), _, _) => steps(u).map(Some),
            (None, Some(u), _) => steps(u).map(Some),
            (None, None, Some(expanded)) => Ok(Some(steps(expanded)? / options.coverage_factor)),
            (None, None, None) => Ok(None),
        }
    }
}

/// One value against limits on that surface.
pub(super) fn size_judged(
    item: &Item<'_>,
    against: (&Limits, Surface),
    options: &Options<'_>,
    why: Vec<String>,
) -> Result<JudgeAnswer, Problem> {
    let reading = read(item, against.1, options)?;
    settled(
        item,
        &reading,
        reading.measured.value,
        against,
        options,
        why,
    )
}

/// What was read, and what it means.
pub(super) struct Read {
    entry: Entry,
    /// The reading at 20 °C with its uncertainty.
    pub(super) measured: Measured,
    told: Vec<String>,
}

impl Read {
    /// One more thing to say of it.
    pub(super) fn told(&mut self, what: String) {
        self.told.push(what);
    }
}

/// Reads the item's value and uncertainty.
pub(super) fn read(
    item: &Item<'_>,
    surface: Surface,
    options: &Options<'_>,
) -> Result<Read, Problem> {
    let entry = parse_entry(item.value, LengthUnit::Millimetre)?;
    let stated = item.stated_u(options, |text| {
        Ok(parse_entry(text, LengthUnit::Millimetre)?.value.as_nm_f64())
    })?;
    let (measured, told) = measured(entry.value, stated, surface, options)?;
    Ok(Read {
        entry,
        measured,
        told,
    })
}

/// The verdict on a value that a reading gives: the reading itself, or what is computed of it.
pub(super) fn settled(
    item: &Item<'_>,
    read: &Read,
    value: Length,
    (limits, surface): (&Limits, Surface),
    options: &Options<'_>,
    mut why: Vec<String>,
) -> Result<JudgeAnswer, Problem> {
    let (entry, measured) = (&read.entry, &read.measured);
    why.extend(read.told.iter().cloned());
    let u = measured.standard_nm();
    let judgement = judge(value, limits, surface, u, options.rule)?;
    let guard = guard_band(limits, u, judgement.rule)?;
    let metal = match judgement.verdict {
        VerdictWord::Go => None,
        _ => metal_left(value, limits, surface, guard, options, &mut why)?,
    };
    // As many decimals as were typed, so that nothing of what was read is lost.
    let decimals = match entry.unit {
        LengthUnit::Millimetre => entry.decimals.min(9),
        LengthUnit::Inch => 3,
    };
    let typed = entry.value.text(decimals);
    let at_20 = measured.value.text(decimals);
    let mut answer = JudgeAnswer::new(item.callout, [typed, at_20], u, &judgement, guard, why);
    if let Some(uncertainty) = &measured.uncertainty {
        answer.with_budget(uncertainty);
    }
    if judgement.verdict == VerdictWord::Doubt
        && let Some(uncertainty) = &measured.uncertainty
    {
        let found = remedies(value, limits, judgement.rule, uncertainty, 1);
        answer.settled_by(&found);
    }
    if let Some(metal) = metal {
        answer.with_metal(&metal, options.arguments.cutting);
    }
    Ok(answer)
}

/// The value at 20 °C with its uncertainty, and how both came about. A stated uncertainty stands
/// for the whole; only the gauge's bias and the temperatures are still corrected.
fn measured(
    value: Length,
    stated: Option<f64>,
    surface: Surface,
    options: &Options<'_>,
) -> Result<(Measured, Vec<String>), Problem> {
    let mut why = Vec::new();
    let mut indication = value;
    let mut error = None;
    if let Some(gauge) = &options.gauge {
        can_measure(gauge, false)?;
        indication = gauge.size_of(value);
        if indication != value {
            why.push(format!(
                "gauge {} reads the deviation: size {indication} mm",
                gauge.id
            ));
        }
        let faces = faces(surface);
        let register = options.register.as_ref();
        error = register.and_then(|register| register.error_of(gauge, indication, faces));
        if let Some(error) = &mut error {
            error.form = options.form.or(error.form);
        }
        why.extend(judge_gauge::told(gauge, indication, faces));
        why.extend(register.and_then(|register| judge_gauge::standard_caution(register, gauge)));
    }
    let known = error.is_some();
    let thermal = options.thermal.as_ref();
    let mut measured = measure(indication, &error.unwrap_or_default(), thermal, 1)?;
    why.extend(judge_why::corrections(&measured, thermal));
    if thermal.is_some() {
        let material = options.arguments.material.as_deref();
        let scale = made_of(options.gauge.as_ref());
        why.extend(judge_gauge::expansion_sources(
            material,
            scale,
            options.in_force.materials(),
        ));
    }
    match stated {
        Some(u) => {
            let whole = Uncertainty::stated(u).map_err(MeasureError::from)?;
            measured.uncertainty = Some(whole);
            why.push(format!("u = {} mm as stated", Length::steps_text(u)));
        }
        None => {
            // Temperature alone is not the uncertainty, and a chain with an unknown link has none.
            measured.uncertainty = measured.uncertainty.filter(|_| known);
            let told = judge_why::budget(&measured);
            why.push(told.unwrap_or_else(|| NOT_CONSIDERED.to_owned()));
        }
    }
    Ok((measured, why))
}

/// Metal still to come off, when there is any.
fn metal_left(
    value: Length,
    limits: &Limits,
    surface: Surface,
    guard: Option<Length>,
    options: &Options<'_>,
    why: &mut Vec<String>,
) -> Result<Option<RemainingMetal>, Problem> {
    let cutting = options.arguments.cutting;
    let dial = match options.arguments.dial.as_deref() {
        None => None,
        Some(text) => Some(dial_of(text).ok_or_else(|| no_dial(text))?),
    };
    let setting = CutSetting {
        aim: Aim::Middle,
        guard: guard.unwrap_or(Length::ZERO),
        leave: Length::ZERO,
        least_cut: LEAST_CUT,
        dial,
    };
    match remaining_metal(value, limits, surface, &setting) {
        Err(error @ RemainingError::NoMetalSide { .. }) if cutting => {
            let hint =
                Some("Say where the metal is with --surface outside, inside, depth or slot.");
            Err(Problem::bad(error.code(), error.to_string(), hint))
        }
        Err(error @ RemainingError::NoMetalOnLimit) if cutting => {
            why.push(error.to_string());
            Ok(None)
        }
        Ok(_) if guard.is_none() => {
            why.push(
                "no size can be proved with this uncertainty, so there is no target".to_owned(),
            );
            Ok(None)
        }
        Ok(metal) if matches!(metal.advice(), CutAdvice::Cut | CutAdvice::Polish) => {
            why.push(format!(
                "target {} mm, the middle of what can be proved",
                metal.target()
            ));
            Ok(Some(metal))
        }
        Ok(_) | Err(_) => Ok(None),
    }
}

fn no_dial(text: &str) -> Problem {
    let message = format!("“{}” is no dial.", text.escape_debug());
    let hint = "Write radius or diameter and its step in mm: --dial radius:0.02.";
    Problem::bad("dial_unknown", message, Some(hint))
}

fn angle_judged(
    item: &Item<'_>,
    angle: &AngleLimits,
    options: &Options<'_>,
    mut why: Vec<String>,
) -> Result<JudgeAnswer, Problem> {
    let value = typed_angle(item.value)?;
    let stated = item.stated_u(options, |text| Ok(typed_angle(text)?.units_f64()))?;
    if let Some(gauge) = &options.gauge {
        can_measure(gauge, true)?;
        why.extend(judge_gauge::calibration_caution(gauge));
    }
    if options.arguments.cutting {
        let message =
            "The metal of an angle has no side, so what is left cannot be told.".to_owned();
        return Err(Problem::bad(
            "no_metal_side",
            message,
            Some("Leave --cutting out."),
        ));
    }
    let of_gauge = options
        .gauge
        .as_ref()
        .and_then(judge_gauge::angular_uncertainty_mas);
    let u = stated.or(of_gauge);
    why.push(match (u, &options.gauge) {
        (None, _) => NOT_CONSIDERED.to_owned(),
        (Some(u), Some(gauge)) if stated.is_none() => {
            let text = Angle::steps_text(u);
            format!(
                "u = {text}° from permissible error and step of gauge {}",
                gauge.id
            )
        }
        (Some(u), _) => format!("u = {}° as stated", Angle::steps_text(u)),
    });
    let judgement = judge(value, &angle.limits, Surface::Length, u, options.rule)?;
    let guard = guard_band(&angle.limits, u, judgement.rule)?;
    let texts = [value.text(0), value.text(0)];
    Ok(JudgeAnswer::new(
        item.callout,
        texts,
        u,
        &judgement,
        guard,
        why,
    ))
}

/// An angle as a person types it: any minus sign, blanks between its parts.
fn typed_angle(text: &str) -> Result<Angle, QuantityError> {
    let body: String = text.chars().filter(|c| !c.is_whitespace()).collect();
    Angle::parse(&body.replace(['\u{2212}', '\u{2013}'], "-"))
}

/// The coverage factor of `--k`.
fn coverage_factor(text: &str) -> Result<f64, Problem> {
    let number = Decimal::parse(text.trim(), DecimalMark::Either)?.to_string();
    match number.parse::<f64>() {
        Ok(factor) if (1.0..=10.0).contains(&factor) => Ok(factor),
        _ => {
            let message = format!("The coverage factor {number} is not between 1 and 10.");
            let hint = Some("Give the k that stands beside the U, usually 2.");
            Err(Problem::bad("coverage_factor_out_of_range", message, hint))
        }
    }
}

//! `fitledger limits`: limits of size for callouts.

use crate::quantity::{Angle, Length, LengthUnit};
use crate::session::Workspace;
use crate::tolerance::{
    AngleLimits, Callout, CalloutLimits, Context, FitLimits, LimitsError, SizeLimits, Surface,
    ThreadMember, parse_callout_in,
};

use super::answers::{Answer, Form, Note, answer_each};
use super::arguments::LimitsArguments;
use super::exit::Exit;
use super::fit_plain::{FitAsked, Together};
use super::fit_thread::Play;
use super::house::{self, InForce};
use super::limits_clearance::ClearanceAnswer;
use super::limits_making::drill_outside;
use super::limits_thread::{ThreadAnswer, ThreadAsked};
use super::limits_thread_fit::ThreadFitAnswer;
use super::output::{Output, Stopped};
use super::output_fit::FitLine;
use super::output_limits::SizeLine;
use super::problem::Problem;
use super::table::{Column, Row, cell, numbers, words};

/// Limits in mm (angles with their mark), deviations in micrometres.
pub(super) const COLUMNS: &[Column] = &[
    words("callout"),
    words("kind"),
    numbers("lower"),
    numbers("upper"),
    numbers("lower µm"),
    numbers("upper µm"),
    words("standard"),
];

/// What is asked beside the callouts.
struct Options {
    in_force: InForce,
    coating: Option<(Length, Length)>,
    surface: Option<Surface>,
    drill: Option<Length>,
    making: bool,
    clearance: bool,
}

impl Options {
    fn new(arguments: &LimitsArguments, workspace: &Workspace) -> Result<Self, Problem> {
        let (general, side) = (
            arguments.general.as_deref(),
            arguments.shorter_side.as_deref(),
        );
        Ok(Self {
            in_force: InForce::new(workspace, general, side)?,
            coating: arguments
                .coating
                .as_deref()
                .map(house::coating)
                .transpose()?,
            surface: arguments
                .surface
                .as_deref()
                .map(house::surface)
                .transpose()?,
            drill: arguments.drill.as_deref().map(house::length).transpose()?,
            making: arguments.making,
            clearance: arguments.clearance,
        })
    }
}

/// Answers each callout.
pub(super) fn run(
    arguments: &LimitsArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let options = Options::new(arguments, workspace);
    let form = Form {
        json: arguments.json,
        columns: COLUMNS,
        word_at: 1,
    };
    answer_each(&arguments.callouts, form, out, |text| {
        let options = options.as_ref().map_err(Problem::clone)?;
        limits_of(text, options)
    })
}

fn limits_of(text: &str, options: &Options) -> Result<LimitsAnswer, Problem> {
    let context = options.in_force.context();
    let callout = parse_callout_in(text, context.tables)?;
    let written = text.trim().to_owned();
    if options.clearance {
        let answer = ClearanceAnswer::new(&written, &callout, &context)?;
        return Ok(LimitsAnswer::Clearance(Box::new(answer)));
    }
    let limits = callout.limits(&context)?;
    if (options.making || options.drill.is_some()) && !matches!(callout, Callout::Thread(_)) {
        return Err(no_thread(&callout));
    }
    match limits {
        CalloutLimits::Size(size) => {
            let surface = options.surface.or(size.surface);
            let answer = SizeAnswer::new(written, &size, surface, &context, options.coating)?;
            Ok(LimitsAnswer::One(Box::new(answer)))
        }
        CalloutLimits::Fit(fit) => {
            let answer = FitAnswer::new(written, &fit, &context, options.coating)?;
            Ok(LimitsAnswer::Fit(Box::new(answer)))
        }
        CalloutLimits::Thread(_) | CalloutLimits::ThreadFit(_) => {
            threads_of(text, &callout, &limits, options)
        }
        CalloutLimits::Angle(angle) => {
            if options.coating.is_some() {
                let message = "A coating does not move the limits of an angle.".to_owned();
                let hint = Some("Leave the coating out.");
                return Err(Problem::bad("metal_side_unknown", message, hint));
            }
            let answer = SizeAnswer::of_angle(written, &angle, &context);
            Ok(LimitsAnswer::One(Box::new(answer)))
        }
    }
}

/// The limits of one member of a thread, or of both.
fn threads_of(
    text: &str,
    callout: &Callout,
    limits: &CalloutLimits,
    options: &Options,
) -> Result<LimitsAnswer, Problem> {
    let (written, context) = (text.trim(), options.in_force.context());
    let asked = ThreadAsked {
        coating: options.coating,
        drill: options.drill,
        making: options.making,
    };
    if let Some(surface) = options.surface {
        return Err(surface_of_thread(callout, surface));
    }
    match (callout, limits) {
        (Callout::Thread(thread), CalloutLimits::ThreadFit(fit)) => {
            let answer = ThreadFitAnswer::new(written, thread, fit, &context, &asked)?;
            Ok(LimitsAnswer::ThreadFit(Box::new(answer)))
        }
        (_, CalloutLimits::Thread(limits))
            if asked.drill.is_some() && limits.parts.member() == ThreadMember::External =>
        {
            Err(drill_outside(callout))
        }
        (_, CalloutLimits::Thread(limits)) => {
            let answer = ThreadAnswer::new(written, callout, limits, &context, &asked)?;
            Ok(LimitsAnswer::Thread(Box::new(answer)))
        }
        _ => Err(no_thread(callout)),
    }
}

/// A thread says itself where its metal is.
pub(super) fn surface_of_thread(callout: &Callout, surface: Surface) -> Problem {
    let message = format!(
        "{callout} is a thread and says itself where the metal is, not --surface {}.",
        surface.word()
    );
    Problem::bad("surface_of_thread", message, Some("Leave --surface out."))
}

/// What is asked of threads only.
pub(super) fn no_thread(callout: &Callout) -> Problem {
    let message = format!("{callout} is no thread.");
    Problem::bad(
        "not_a_thread",
        message,
        Some("Give a thread, such as M10-6H."),
    )
}

/// The fit that a callout is.
///
/// # Errors
/// No callout, or one of a single member.
pub(super) fn fit_of(
    text: &str,
    in_force: &InForce,
    asked: &FitAsked,
) -> Result<LimitsAnswer, Problem> {
    let context = in_force.context();
    let callout = parse_callout_in(text, context.tables)?;
    let written = text.trim().to_owned();
    match (&callout, callout.limits(&context)?) {
        (_, CalloutLimits::Fit(fit)) => {
            let mut answer = FitAnswer::new(written, &fit, &context, None)?;
            answer.together = Together::new(&fit, asked)?;
            Ok(LimitsAnswer::Fit(Box::new(answer)))
        }
        (Callout::Thread(thread), CalloutLimits::ThreadFit(fit)) => {
            let measured = asked.of_threads(&written)?;
            let plain = ThreadAsked::default();
            let mut answer = ThreadFitAnswer::new(&written, thread, &fit, &context, &plain)?;
            answer.play = Play::new(&fit, &measured)?;
            Ok(LimitsAnswer::ThreadFit(Box::new(answer)))
        }
        (_, CalloutLimits::Thread(thread)) => {
            let class = thread.parts.class;
            let message = format!("{callout} is no fit: it has the class {class} alone.");
            let hint = Some("Give both classes, such as M10-6H/6g, or ask for limits.");
            Err(Problem::bad("not_a_fit", message, hint))
        }
        _ => {
            let message = format!("{callout} is no fit: it has no hole class and shaft class.");
            let hint = Some("Give both classes, such as 25 H7/g6, or ask for limits.");
            Err(Problem::bad("not_a_fit", message, hint))
        }
    }
}

/// The answer for one callout.
pub(super) enum LimitsAnswer {
    /// A size, an edge or an angle.
    One(Box<SizeAnswer>),
    /// A fit.
    Fit(Box<FitAnswer>),
    /// One member of a thread.
    Thread(Box<ThreadAnswer>),
    /// Both members of a thread.
    ThreadFit(Box<ThreadFitAnswer>),
    /// The holes for a bolt.
    Clearance(Box<ClearanceAnswer>),
}

/// One size for machines, and what people see of it.
pub(super) struct SizeAnswer {
    line: SizeLine,
    /// Lower and upper limit, lower and upper deviation.
    shown: [String; 4],
    before: Option<[String; 2]>,
}

impl SizeAnswer {
    fn new(
        callout: String,
        size: &SizeLimits,
        surface: Option<Surface>,
        context: &Context<'_>,
        coating: Option<(Length, Length)>,
    ) -> Result<Self, Problem> {
        let mm = |limit: Option<Length>| limit.map(Length::to_mm).unwrap_or_default();
        let um = |deviation: Option<Length>| deviation.map(signed_um).unwrap_or_default();
        let (lower, upper) = (size.limits.lower(), size.limits.upper());
        let mut answer = Self {
            shown: [
                mm(lower),
                mm(upper),
                um(size.lower_deviation),
                um(size.upper_deviation),
            ],
            line: SizeLine::of_size(callout, size, surface, context),
            before: None,
        };
        if let Some((thin, thick)) = coating {
            let surface = surface.unwrap_or(Surface::Length);
            let before = size.limits.before_coating(surface, thin, thick);
            let before = before.map_err(coating_problem)?;
            answer.before = Some([mm(before.lower()), mm(before.upper())]);
            answer.line = answer.line.coated(&before, context);
        }
        Ok(answer)
    }

    fn of_angle(callout: String, angle: &AngleLimits, context: &Context<'_>) -> Self {
        let degrees =
            |limit: Option<Angle>| limit.map(|angle| format!("{angle}°")).unwrap_or_default();
        let (lower, upper) = (angle.limits.lower(), angle.limits.upper());
        Self {
            shown: [degrees(lower), degrees(upper), String::new(), String::new()],
            line: SizeLine::of_angle(callout, angle, context),
            before: None,
        }
    }

    fn rows(&self, indent: &str) -> Vec<Row> {
        let line = &self.line;
        let [lower, upper, lower_um, upper_um] = &self.shown;
        let texts = [
            &format!("{indent}{}", line.callout),
            line.kind,
            lower,
            upper,
            lower_um,
        ];
        let mut row: Row = texts.map(cell).into();
        row.extend([cell(upper_um), cell(line.standard.unwrap_or_default())]);
        let mut rows = vec![row];
        if let Some([lower, upper]) = &self.before {
            let name = format!("{indent}  to be coated");
            rows.push(vec![cell(name), cell(""), cell(lower), cell(upper)]);
        }
        rows
    }

    fn why(&self) -> Vec<String> {
        let coated = self
            .line
            .before_coating
            .iter()
            .flat_map(|before| &before.why);
        self.line.why.iter().chain(coated).cloned().collect()
    }
}

/// A fit for machines and people.
pub(super) struct FitAnswer {
    callout: String,
    fit: FitLimits,
    hole: SizeAnswer,
    shaft: SizeAnswer,
    /// What follows from measured sizes and a working temperature.
    together: Together,
}

impl FitAnswer {
    fn new(
        callout: String,
        fit: &FitLimits,
        context: &Context<'_>,
        coating: Option<(Length, Length)>,
    ) -> Result<Self, Problem> {
        let member = |size: &SizeLimits| {
            let nominal = size
                .nominal
                .map(|size| size.to_text(LengthUnit::Millimetre, 0));
            let class = size.class.map(|class| class.to_string());
            let name = [nominal, class]
                .into_iter()
                .flatten()
                .collect::<Vec<String>>()
                .join(" ");
            SizeAnswer::new(name, size, size.surface, context, coating)
        };
        Ok(Self {
            callout,
            fit: *fit,
            hole: member(fit.hole())?,
            shaft: member(fit.shaft())?,
            together: Together::default(),
        })
    }
}

impl Answer for LimitsAnswer {
    fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        match self {
            Self::One(size) => out.json(&size.line),
            Self::Fit(fit) => out.json(&FitLine::new(
                &fit.callout,
                &fit.fit,
                [&fit.hole.line, &fit.shaft.line],
                fit.together.line(),
            )),
            Self::Thread(thread) => thread.write_json(out),
            Self::ThreadFit(fit) => fit.write_json(out),
            Self::Clearance(holes) => holes.write_json(out),
        }
    }

    fn rows(&self) -> Vec<Row> {
        match self {
            Self::One(size) => size.rows(""),
            Self::Fit(answer) => {
                let fit = &answer.fit;
                let mut rows = vec![vec![cell(&answer.callout), cell("fit")]];
                rows.extend(answer.hole.rows("  "));
                rows.extend(answer.shaft.rows("  "));
                rows.push(vec![
                    cell("  clearance"),
                    cell(fit.kind().word()),
                    cell(fit.min_clearance().to_mm()),
                    cell(fit.max_clearance().to_mm()),
                    cell(signed_um(fit.min_clearance())),
                    cell(signed_um(fit.max_clearance())),
                ]);
                rows
            }
            Self::Thread(thread) => thread.rows(""),
            Self::ThreadFit(fit) => fit.rows(),
            Self::Clearance(holes) => holes.rows(),
        }
    }

    fn notes(&self) -> Vec<Note> {
        match self {
            Self::Thread(thread) => thread.notes(),
            Self::ThreadFit(fit) => fit.notes(),
            Self::Fit(fit) => fit.together.notes(),
            Self::One(_) | Self::Clearance(_) => Vec::new(),
        }
    }

    fn flags(&self) -> Option<(&str, &[String])> {
        match self {
            Self::Thread(thread) => Some((thread.callout(), thread.flags())),
            Self::ThreadFit(fit) => Some((fit.callout(), fit.flags())),
            Self::One(_) | Self::Fit(_) | Self::Clearance(_) => None,
        }
    }

    fn exit(&self) -> Exit {
        match self {
            Self::Thread(thread) => thread.exit(),
            Self::ThreadFit(fit) => fit.exit(),
            Self::Fit(fit) => fit.together.exit(),
            Self::One(_) | Self::Clearance(_) => Exit::Answered,
        }
    }

    fn why(&self) -> Vec<String> {
        match self {
            Self::One(size) => size.why(),
            Self::Fit(fit) => {
                let mut why = fit.hole.why();
                why.extend(fit.shaft.why());
                why.extend(fit.together.why().iter().cloned());
                why
            }
            Self::Thread(thread) => thread.why(),
            Self::ThreadFit(fit) => fit.why(),
            Self::Clearance(holes) => holes.why(),
        }
    }
}

/// Micrometres with their sign; zero has none.
pub(super) fn signed_um(length: Length) -> String {
    let sign = if length > Length::ZERO { "+" } else { "" };
    format!(
        "{sign}{}",
        (length * 1_000).to_text(LengthUnit::Millimetre, 0)
    )
}

fn coating_problem(error: LimitsError) -> Problem {
    let hint = match error {
        LimitsError::SideUnknown { .. } => {
            Some("Say where the metal is with --surface outside, inside, depth or slot.")
        }
        _ => error.hint(),
    };
    Problem::bad(error.code(), error.to_string(), hint)
}

//! `fitledger limits`: limits of size for callouts.

use crate::quantity::{Angle, Length, LengthUnit};
use crate::session::Workspace;
use crate::tolerance::{
    AngleLimits, Callout, CalloutLimits, Context, FitLimits, LimitsError, SizeLimits, Surface,
    parse_callout_in,
};

use super::answers::{Answer, Form, answer_each};
use super::arguments::LimitsArguments;
use super::house::{self, InForce};
use super::output::{Output, Stopped};
use super::output_limits::{FitLine, SizeLine};
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
    match callout.limits(&context)? {
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
            let message = format!("{written} is a thread, which is not shown yet.");
            Err(Problem::bad("thread_not_available", message, None))
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

/// The fit that a callout is.
///
/// # Errors
/// No callout, or one of a single member.
pub(super) fn fit_of(text: &str, in_force: &InForce) -> Result<LimitsAnswer, Problem> {
    let context = in_force.context();
    let callout = parse_callout_in(text, context.tables)?;
    let Callout::Fit(fit) = callout else {
        let message = format!("{callout} is no fit: it has no hole class and shaft class.");
        let hint = Some("Give both classes, such as 25 H7/g6, or ask for limits.");
        return Err(Problem::bad("not_a_fit", message, hint));
    };
    let answer = FitAnswer::new(
        text.trim().to_owned(),
        &fit.limits(&context)?,
        &context,
        None,
    )?;
    Ok(LimitsAnswer::Fit(Box::new(answer)))
}

/// The answer for one callout.
pub(super) enum LimitsAnswer {
    /// A size, an edge or an angle.
    One(Box<SizeAnswer>),
    /// A fit.
    Fit(Box<FitAnswer>),
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
                &fit.hole.line,
                &fit.shaft.line,
            )),
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
        }
    }

    fn why(&self) -> Vec<String> {
        match self {
            Self::One(size) => size.why(),
            Self::Fit(fit) => {
                let mut why = fit.hole.why();
                why.extend(fit.shaft.why());
                why
            }
        }
    }
}

/// Micrometres with their sign; zero has none.
fn signed_um(length: Length) -> String {
    let sign = if length > Length::ZERO { "+" } else { "" };
    format!(
        "{sign}{}",
        (length * 1_000).to_text(LengthUnit::Millimetre, 0)
    )
}

fn coating_problem(error: LimitsError) -> Problem {
    let hint = match error {
        LimitsError::SideUnknown { .. } => {
            Some("Say where the metal is with --surface outside, inside or slot.")
        }
        _ => error.hint(),
    };
    Problem::bad(error.code(), error.to_string(), hint)
}

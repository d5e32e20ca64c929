//! `fitledger limits --clearance`: the holes that a bolt passes through.

use crate::quantity::LengthUnit;
use crate::tolerance::{
    CLEARANCE_HOLE_STANDARD, Callout, CalloutLimits, ClearanceHole, ClearanceSeries, Context,
    clearance_hole, parse_callout_in,
};

use super::limits::no_thread;
use super::output::{Output, Stopped};
use super::output_limits::{ClearanceHoleLine, ClearanceLine};
use super::problem::Problem;
use super::table::{Row, cell};

const MM: LengthUnit = LengthUnit::Millimetre;

/// The holes for one thread.
pub(super) struct ClearanceAnswer {
    line: ClearanceHoleLine,
}

impl ClearanceAnswer {
    /// Of a thread; `written` is the item as it was given.
    ///
    /// # Errors
    /// No thread, or one that the table does not have.
    pub(super) fn new(
        written: &str,
        callout: &Callout,
        context: &Context<'_>,
    ) -> Result<Self, Problem> {
        let Callout::Thread(thread) = callout else {
            return Err(no_thread(callout));
        };
        let nominal = thread.nominal;
        let hole = clearance_hole(nominal).map_err(|beside| {
            let beside = beside.into_iter().flatten();
            let beside: Vec<String> = beside
                .map(|one| format!("M{}", one.to_text(MM, 0)))
                .collect();
            let message = format!(
                "{CLEARANCE_HOLE_STANDARD} has no hole for M{}.",
                nominal.to_text(MM, 0)
            );
            let hint = format!("It has {}.", beside.join(" and "));
            Problem::bad("no_clearance_hole", message, Some(&hint))
        })?;
        let [fine, medium, coarse] = ClearanceSeries::ALL.map(|one| line(hole, one, context));
        Ok(Self {
            line: ClearanceHoleLine {
                callout: written.to_owned(),
                standard: CLEARANCE_HOLE_STANDARD,
                kind: "clearance_hole",
                nominal: nominal.to_mm(),
                fine: fine?,
                medium: medium?,
                coarse: coarse?,
                source: hole.source.clone(),
                why: vec![
                    format!("{CLEARANCE_HOLE_STANDARD}: {}", hole.source),
                    "Classes H12, H13 and H14: for guidance in the standard (from memory); their \
                     limits from ISO 286-1:2010"
                        .to_owned(),
                ],
            },
        })
    }

    pub(super) fn write_json(&self, out: &mut Output) -> Result<(), Stopped> {
        out.json(&self.line)
    }

    pub(super) fn rows(&self) -> Vec<Row> {
        let line = &self.line;
        let mut rows = vec![vec![
            cell(&line.callout),
            cell("clearance hole"),
            cell(""),
            cell(""),
            cell(""),
            cell(""),
            cell(line.standard),
        ]];
        for (word, hole) in [
            ("fine", &line.fine),
            ("medium", &line.medium),
            ("coarse", &line.coarse),
        ] {
            rows.push(vec![
                cell(format!("  {}", hole.callout)),
                cell(word),
                cell(&hole.lower_limit),
                cell(&hole.upper_limit),
            ]);
        }
        rows
    }

    pub(super) fn why(&self) -> Vec<String> {
        self.line.why.clone()
    }
}

/// One hole with the limits of its class.
fn line(
    hole: &ClearanceHole,
    series: ClearanceSeries,
    context: &Context<'_>,
) -> Result<ClearanceLine, Problem> {
    let diameter = hole.diameter(series);
    let callout = format!("{} {}", diameter.to_text(MM, 0), series.class());
    let limits = parse_callout_in(&callout, context.tables)?.limits(context)?;
    let (lower, upper) = match limits {
        CalloutLimits::Size(size) => (size.limits.lower(), size.limits.upper()),
        _ => (None, None),
    };
    let mm = |limit: Option<crate::quantity::Length>| limit.unwrap_or(diameter).to_mm();
    Ok(ClearanceLine {
        diameter: diameter.to_mm(),
        class: series.class(),
        lower_limit: mm(lower),
        upper_limit: mm(upper),
        callout,
    })
}

//! The answers of `limits` as JSON; those of plain fits stand in `output_fit.rs`.
//!
//! Beyond the contract's list: `kind` may be `angle` (its values are decimal degrees), and
//! `before_coating` is `{"upper_limit","lower_limit","why"}`; `--clearance` gives
//! `clearance_hole` with `fine`, `medium` and `coarse`.

use serde::Serialize;

use crate::quantity::{Angle, Length};
use crate::tolerance::{AngleLimits, Context, GENERAL_STANDARD, Limits, SizeLimits, Step, Surface};

/// Limits of one size, edge or angle.
#[derive(Debug, Serialize)]
pub(super) struct SizeLine {
    pub(super) callout: String,
    pub(super) standard: Option<&'static str>,
    pub(super) kind: &'static str,
    pub(super) nominal: Option<String>,
    pub(super) upper_deviation: Option<String>,
    pub(super) lower_deviation: Option<String>,
    pub(super) upper_limit: Option<String>,
    pub(super) lower_limit: Option<String>,
    pub(super) grade: Option<String>,
    pub(super) maximum_material_limit: Option<String>,
    pub(super) least_material_limit: Option<String>,
    pub(super) why: Vec<String>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub(super) before_coating: Option<BeforeCoating>,
}

/// Limits that a part must keep before it is coated.
#[derive(Debug, Serialize)]
pub(super) struct BeforeCoating {
    pub(super) upper_limit: Option<String>,
    pub(super) lower_limit: Option<String>,
    pub(super) why: Vec<String>,
}

/// The holes that a bolt passes through.
#[derive(Debug, Serialize)]
pub(super) struct ClearanceHoleLine {
    pub(super) callout: String,
    pub(super) standard: &'static str,
    pub(super) kind: &'static str,
    pub(super) nominal: String,
    pub(super) fine: ClearanceLine,
    pub(super) medium: ClearanceLine,
    pub(super) coarse: ClearanceLine,
    pub(super) source: String,
    pub(super) why: Vec<String>,
}

/// One of them.
#[derive(Debug, Serialize)]
pub(super) struct ClearanceLine {
    pub(super) diameter: String,
    pub(super) class: &'static str,
    pub(super) lower_limit: String,
    pub(super) upper_limit: String,
    /// What a drawing or a plan writes for it.
    pub(super) callout: String,
}

impl SizeLine {
    /// Of a size or an edge, on that surface.
    pub(super) fn of_size(
        callout: String,
        size: &SizeLimits,
        surface: Option<Surface>,
        context: &Context<'_>,
    ) -> Self {
        let (limits, mm) = (&size.limits, |length: Length| length.to_mm());
        let on = |pick: fn(&SizeLimits, Surface) -> Option<Length>| {
            surface.and_then(|surface| pick(size, surface)).map(mm)
        };
        Self {
            callout,
            standard: size.standard(),
            kind: size.kind().word(),
            nominal: size.nominal.map(mm),
            upper_deviation: size.upper_deviation.map(mm),
            lower_deviation: size.lower_deviation.map(mm),
            upper_limit: limits.upper().map(mm),
            lower_limit: limits.lower().map(mm),
            grade: size.class.map(|class| class.grade().to_string()),
            maximum_material_limit: on(SizeLimits::maximum_material_limit_on),
            least_material_limit: on(SizeLimits::least_material_limit_on),
            why: size
                .explain(context)
                .iter()
                .map(ToString::to_string)
                .collect(),
            before_coating: None,
        }
    }

    /// Of an angle, in decimal degrees.
    pub(super) fn of_angle(callout: String, angle: &AngleLimits, context: &Context<'_>) -> Self {
        let degrees = |angle: Angle| angle.to_degrees();
        let by_standard = angle.general.is_some() && !angle.house;
        Self {
            callout,
            standard: by_standard.then_some(GENERAL_STANDARD),
            kind: "angle",
            nominal: angle.nominal.map(degrees),
            upper_deviation: angle.upper_deviation.map(degrees),
            lower_deviation: angle.lower_deviation.map(degrees),
            upper_limit: angle.limits.upper().map(degrees),
            lower_limit: angle.limits.lower().map(degrees),
            grade: None,
            maximum_material_limit: None,
            least_material_limit: None,
            why: angle
                .explain(context)
                .iter()
                .map(ToString::to_string)
                .collect(),
            before_coating: None,
        }
    }

    /// The same with the limits before coating beside it.
    pub(super) fn coated(mut self, before: &Limits, context: &Context<'_>) -> Self {
        let steps = before.explain(context.tables);
        let moved = steps
            .iter()
            .skip_while(|step| !matches!(step, Step::Moved { .. }));
        self.before_coating = Some(BeforeCoating {
            upper_limit: before.upper().map(Length::to_mm),
            lower_limit: before.lower().map(Length::to_mm),
            why: moved.map(ToString::to_string).collect(),
        });
        self
    }
}

//! From a callout to limits, under the tables and the general tolerance in force.

use crate::quantity::{Angle, Exact, Length, LengthUnit};

use super::callout::{AngleCallout, Callout, EdgeCallout, FitCallout, Indication, SizeCallout};
use super::callout::{SizeForm, angle_text};
use super::class::{ClassKind, ToleranceClass};
use super::error::CalloutError;
use super::fit::FitLimits;
use super::general::{GENERAL_STANDARD, GeneralClass, GeneralKind};
use super::limits::{Derivation, Limits};
use super::surface::{MetalSide, Surface};
use super::tables::Tables;
use super::thread::{ThreadCalloutLimits, ThreadFitLimits, ThreadLimits, ThreadTables};

/// The edition of ISO 286-1 whose values are tabled.
pub const CLASS_STANDARD: &str = "ISO 286-1:2010";

/// What a callout is read under.
#[derive(Debug, Clone, Copy)]
pub struct Context<'a> {
    /// The tables in use.
    pub tables: &'a Tables,
    /// The general tolerance class of the drawing, if it has one.
    pub general: Option<GeneralClass>,
    /// The length of an angle's shorter side, if it is known.
    pub shorter_side: Option<Length>,
}

impl Context<'static> {
    /// The standard's tables and no general tolerance.
    pub fn standard() -> Self {
        Self {
            tables: Tables::standard(),
            general: None,
            shorter_side: None,
        }
    }
}

impl<'a> Context<'a> {
    /// These tables, and no general tolerance.
    pub fn with_tables(tables: &'a Tables) -> Self {
        Self {
            tables,
            general: None,
            shorter_side: None,
        }
    }

    /// The same with a general tolerance class in force.
    pub fn general(mut self, class: GeneralClass) -> Self {
        self.general = Some(class);
        self
    }

    /// The same with the length of an angle's shorter side.
    pub fn shorter_side(mut self, side: Length) -> Self {
        self.shorter_side = Some(side);
        self
    }
}

/// The limits of a callout.
#[derive(Debug, Clone, PartialEq, Eq)]
#[allow(clippy::large_enum_variant)] // sizes are the usual case, and need no allocation
pub enum CalloutLimits {
    /// Of a size or a broken edge.
    Size(SizeLimits),
    /// Of both members of a fit.
    Fit(FitLimits),
    /// Of an angle.
    Angle(AngleLimits),
    /// Of one member of a thread.
    Thread(Box<ThreadLimits>),
    /// Of both members of a thread.
    ThreadFit(Box<ThreadFitLimits>),
}

/// Limits of a size with what the callout says beside them.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct SizeLimits {
    /// The limits.
    pub limits: Limits<Length>,
    /// Nominal size; bare limits have none.
    pub nominal: Option<Length>,
    /// Upper limit deviation from the nominal.
    pub upper_deviation: Option<Length>,
    /// Lower limit deviation from the nominal.
    pub lower_deviation: Option<Length>,
    /// The tolerance class, if it is one.
    pub class: Option<ToleranceClass>,
    /// The general tolerance class, if that gave the limits.
    pub general: Option<GeneralClass>,
    /// Where the metal is, as far as the callout says: a hole inside, a shaft outside, a size
    /// without a diameter sign a length. With a diameter sign and no class it may be either.
    pub surface: Option<Surface>,
    /// Whether a house table gave any part.
    pub house: bool,
    /// Ⓔ: the envelope requirement.
    pub envelope: bool,
    /// The unit in which the callout is written; the lengths here are exact in either case.
    pub unit: LengthUnit,
}

/// What kind of size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum SizeKind {
    /// With a class in capital letters.
    Hole,
    /// With a class in small letters.
    Shaft,
    /// Without a class.
    Size,
}

impl SizeKind {
    /// `hole`, `shaft` or `size`.
    pub fn word(self) -> &'static str {
        match self {
            Self::Hole => "hole",
            Self::Shaft => "shaft",
            Self::Size => "size",
        }
    }
}

/// Limits of an angle.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct AngleLimits {
    /// The limits.
    pub limits: Limits<Angle>,
    /// Nominal angle; bare limits have none.
    pub nominal: Option<Angle>,
    /// Upper limit deviation from the nominal.
    pub upper_deviation: Option<Angle>,
    /// Lower limit deviation from the nominal.
    pub lower_deviation: Option<Angle>,
    /// The general tolerance class, if that gave the limits.
    pub general: Option<GeneralClass>,
    /// Whether a house table gave any part.
    pub house: bool,
}

impl SizeLimits {
    /// Hole, shaft or size.
    pub fn kind(&self) -> SizeKind {
        match self.class.map(ToleranceClass::kind) {
            Some(ClassKind::Hole) => SizeKind::Hole,
            Some(ClassKind::Shaft) => SizeKind::Shaft,
            None => SizeKind::Size,
        }
    }

    /// The standard behind the limits; `None` when the drawing states them, and for a house
    /// table.
    pub fn standard(&self) -> Option<&'static str> {
        match (self.house, self.class, self.general) {
            (false, Some(_), _) => Some(CLASS_STANDARD),
            (false, None, Some(_)) => Some(GENERAL_STANDARD),
            _ => None,
        }
    }

    /// The limit at which most metal is left: the upper limit of a shaft, the lower one of a
    /// hole. `None` where the callout does not say where the metal is.
    pub fn maximum_material_limit(&self) -> Option<Length> {
        self.maximum_material_limit_on(self.surface?)
    }

    /// The limit at which least metal is left.
    pub fn least_material_limit(&self) -> Option<Length> {
        self.least_material_limit_on(self.surface?)
    }

    /// The maximum-material limit when the size belongs to that surface.
    pub fn maximum_material_limit_on(&self, surface: Surface) -> Option<Length> {
        match surface.metal_side() {
            MetalSide::Larger => self.limits.upper(),
            MetalSide::Smaller => self.limits.lower(),
            MetalSide::Neither => None,
        }
    }

    /// The least-material limit when the size belongs to that surface.
    pub fn least_material_limit_on(&self, surface: Surface) -> Option<Length> {
        match surface.metal_side() {
            MetalSide::Larger => self.limits.lower(),
            MetalSide::Smaller => self.limits.upper(),
            MetalSide::Neither => None,
        }
    }

    /// The same size before a coating; see [`Limits::before_coating`]. The callout must say
    /// where the metal is.
    pub fn before_coating(&self, thin: Length, thick: Length) -> Result<Limits, CalloutError> {
        let surface = self.surface.unwrap_or(Surface::Length);
        Ok(self.limits.before_coating(surface, thin, thick)?)
    }
}

impl Callout {
    /// The limits of the callout under the tables and the general tolerance in force.
    ///
    /// Errors: a class that is not defined at the size, a bare value without a general
    /// tolerance, an angle without its shorter side, deviations that leave no size.
    pub fn limits(&self, context: &Context<'_>) -> Result<CalloutLimits, CalloutError> {
        match self {
            Self::Size(size) => size.limits(context).map(CalloutLimits::Size),
            Self::Fit(fit) => fit.limits(context).map(CalloutLimits::Fit),
            Self::Angle(angle) => angle.limits(context).map(CalloutLimits::Angle),
            Self::Edge(edge) => edge.limits(context).map(CalloutLimits::Size),
            Self::Thread(thread) => match thread.limits(ThreadTables::standard())? {
                ThreadCalloutLimits::One(limits) => Ok(CalloutLimits::Thread(Box::new(limits))),
                ThreadCalloutLimits::Both(fit) => Ok(CalloutLimits::ThreadFit(Box::new(fit))),
            },
        }
    }
}

impl SizeCallout {
    /// The limits of the size.
    pub fn limits(&self, context: &Context<'_>) -> Result<SizeLimits, CalloutError> {
        let indication = match self.form {
            SizeForm::Class { nominal, class } => {
                let limits = of_class(context.tables, nominal, class)?;
                return Ok(SizeLimits {
                    envelope: self.envelope,
                    unit: self.unit,
                    ..limits
                });
            }
            SizeForm::Indicated(indication) => indication,
        };
        let mut limits = of_indication(indication, GeneralKind::Linear, context, self)?;
        limits.surface = (!self.diameter).then_some(Surface::Length);
        limits.envelope = self.envelope;
        limits.unit = self.unit;
        Ok(limits)
    }
}

impl FitCallout {
    /// The limits of both members and the clearances between them.
    pub fn limits(&self, context: &Context<'_>) -> Result<FitLimits, CalloutError> {
        let mut hole = of_class(context.tables, self.nominal, self.hole)?;
        let mut shaft = of_class(context.tables, self.nominal, self.shaft)?;
        hole.unit = self.unit;
        shaft.unit = self.unit;
        // Classes always give both limits.
        FitLimits::new(hole, shaft).ok_or(CalloutError::BadLimits(super::LimitsError::Neither))
    }
}

impl EdgeCallout {
    /// The limits of the radius or of the chamfer's height.
    pub fn limits(&self, context: &Context<'_>) -> Result<SizeLimits, CalloutError> {
        let limits = of_indication(self.indication, GeneralKind::Edge, context, self)?;
        Ok(SizeLimits {
            unit: self.unit,
            ..limits
        })
    }
}

/// Limits from a class at a nominal size.
pub(super) fn of_class(
    tables: &Tables,
    nominal: Length,
    class: ToleranceClass,
) -> Result<SizeLimits, CalloutError> {
    let limits = tables.limits_of_class(nominal, class)?;
    Ok(SizeLimits {
        limits,
        nominal: Some(nominal),
        upper_deviation: limits.upper().map(|limit| limit - nominal),
        lower_deviation: limits.lower().map(|limit| limit - nominal),
        class: Some(class),
        general: None,
        surface: Some(match class.kind() {
            ClassKind::Hole => Surface::Inside,
            ClassKind::Shaft => Surface::Outside,
        }),
        house: limits.derivation().is_house(),
        envelope: false,
        unit: LengthUnit::Millimetre,
    })
}

fn of_indication(
    indication: Indication<Length>,
    kind: GeneralKind,
    context: &Context<'_>,
    callout: &impl ToString,
) -> Result<SizeLimits, CalloutError> {
    let mut general = None;
    let limits = match indication {
        Indication::Bare { nominal } => {
            let class = context
                .general
                .ok_or_else(|| CalloutError::MissingGeneralClass {
                    callout: callout.to_string(),
                })?;
            let row = context.tables.general(nominal, class, kind);
            let row = row.ok_or_else(|| CalloutError::GeneralNotDefined {
                callout: callout.to_string(),
                class: class.word(),
                size: nominal,
                table: kind.table(),
            })?;
            general = Some(class);
            let derivation = Derivation::General {
                nominal,
                class,
                kind,
                house: row.house,
            };
            around(nominal, row.plus_minus, -row.plus_minus, derivation)
        }
        Indication::Deviations {
            nominal,
            upper,
            lower,
        } => {
            let upper_limit = nominal + upper;
            if nominal > Length::ZERO && upper_limit <= Length::ZERO {
                return Err(CalloutError::NothingLeft {
                    callout: callout.to_string(),
                    upper_limit,
                });
            }
            let derivation = Derivation::Deviations {
                nominal,
                upper,
                lower,
            };
            around(nominal, upper, lower, derivation)
        }
        other => stated(other)?,
    };
    let nominal = indication.nominal();
    let deviation = |limit: Option<Length>| Some(limit? - nominal?);
    Ok(SizeLimits {
        limits,
        nominal,
        upper_deviation: deviation(limits.upper()),
        lower_deviation: deviation(limits.lower()),
        class: None,
        general,
        surface: Some(Surface::Length),
        house: limits.derivation().is_house(),
        envelope: false,
        unit: LengthUnit::Millimetre,
    })
}

/// Limits at a nominal and its two deviations.
fn around<Q>(nominal: Q, upper: Q, lower: Q, derivation: Derivation) -> Limits<Q>
where
    Q: Exact + std::ops::Add<Output = Q>,
{
    let (one, other) = (nominal + lower, nominal + upper);
    Limits::ordered(Some(one.min(other)), Some(one.max(other)), derivation)
}

/// Limits that stand on the drawing as such.
fn stated<Q: Exact>(indication: Indication<Q>) -> Result<Limits<Q>, CalloutError> {
    let (lower, upper) = match indication {
        Indication::Maximum { limit } => (None, Some(limit)),
        Indication::Minimum { limit } => (Some(limit), None),
        Indication::Limits { lower, upper } => (lower, upper),
        Indication::Bare { .. } | Indication::Deviations { .. } => (None, None),
    };
    Ok(Limits::new(lower, upper, Derivation::Stated)?)
}

impl AngleCallout {
    /// The limits of the angle.
    pub fn limits(&self, context: &Context<'_>) -> Result<AngleLimits, CalloutError> {
        let mut general = None;
        let limits = match self.indication {
            Indication::Bare { nominal } => {
                let class = context
                    .general
                    .ok_or_else(|| CalloutError::MissingGeneralClass {
                        callout: angle_text(nominal),
                    })?;
                let side =
                    context
                        .shorter_side
                        .ok_or_else(|| CalloutError::MissingShorterSide {
                            callout: angle_text(nominal),
                        })?;
                let row = context.tables.general_angle(side, class);
                let row = row.ok_or_else(|| CalloutError::GeneralNotDefined {
                    callout: angle_text(nominal),
                    class: class.word(),
                    size: side,
                    table: GeneralKind::Angle.table(),
                })?;
                general = Some(class);
                let derivation = Derivation::GeneralAngle {
                    nominal,
                    shorter_side: side,
                    class,
                    house: row.house,
                };
                around(nominal, row.plus_minus, -row.plus_minus, derivation)
            }
            Indication::Deviations {
                nominal,
                upper,
                lower,
            } => {
                let derivation = Derivation::AngleDeviations {
                    nominal,
                    upper,
                    lower,
                };
                around(nominal, upper, lower, derivation)
            }
            other => stated(other)?,
        };
        let nominal = self.indication.nominal();
        let deviation = |limit: Option<Angle>| Some(limit? - nominal?);
        Ok(AngleLimits {
            limits,
            nominal,
            upper_deviation: deviation(limits.upper()),
            lower_deviation: deviation(limits.lower()),
            general,
            house: limits.derivation().is_house(),
        })
    }
}

//! A cone from what was measured on it, with the uncertainty of its angle and its diameters.

use super::taper::{Taper, TaperError, length, length_or_none, sine_bar_may};

/// A measured length and its standard uncertainty, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredMm {
    /// The length.
    pub value_mm: f64,
    /// Its standard uncertainty.
    pub standard_mm: f64,
}

impl MeasuredMm {
    /// A length that is taken as exact.
    pub const fn exact(value_mm: f64) -> Self {
        Self {
            value_mm,
            standard_mm: 0.0,
        }
    }
}

/// A cone with the standard uncertainty of half its angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredTaper {
    /// The cone.
    pub taper: Taper,
    /// Standard uncertainty of half the angle, degrees.
    pub half_standard_degrees: f64,
    /// The diameter at the place that the method names.
    pub diameter: Option<MeasuredMm>,
    method: Method,
}

/// Over two rollers beside a plug on a plate, at two heights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rollers {
    /// Diameter of the rollers; both alike.
    pub roller: MeasuredMm,
    /// Height of the blocks under the rollers, lower place.
    pub low: MeasuredMm,
    /// Over the rollers there.
    pub over_low: MeasuredMm,
    /// Height of the blocks, upper place.
    pub high: MeasuredMm,
    /// Over the rollers there.
    pub over_high: MeasuredMm,
}

/// Two balls in a ring, one after the other; depths of their tops below the face, negative above.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Balls {
    /// Diameter of the small ball.
    pub small: MeasuredMm,
    /// Its top below the face.
    pub small_depth: MeasuredMm,
    /// Diameter of the large ball.
    pub large: MeasuredMm,
    /// Its top below the face.
    pub large_depth: MeasuredMm,
}

/// What a cone was found from; every question about it goes back to these lengths, so that what
/// they share in angle and diameter is counted once.
#[derive(Debug, Clone, Copy, PartialEq)]
enum Method {
    /// Large and small diameter, the length between them.
    Diameters([MeasuredMm; 3]),
    Rollers(Rollers),
    Balls(Balls),
    /// Blocks, bar, and a diameter that is known besides.
    SineBar([MeasuredMm; 2], Option<MeasuredMm>),
    /// Half the angle, exact, and a diameter that is known besides.
    Known(f64, Option<MeasuredMm>),
}

impl Method {
    fn lengths(&self) -> Vec<MeasuredMm> {
        match *self {
            Self::Diameters(all) => all.to_vec(),
            Self::Rollers(over) => vec![
                over.roller,
                over.low,
                over.over_low,
                over.high,
                over.over_high,
            ],
            Self::Balls(balls) => vec![
                balls.small,
                balls.small_depth,
                balls.large,
                balls.large_depth,
            ],
            Self::SineBar(two, known) => two.into_iter().chain(known).collect(),
            Self::Known(_, known) => known.into_iter().collect(),
        }
    }

    /// Half the angle (radians) and the diameter at the method's place (mm, NaN where it names
    /// none), of such lengths.
    fn solved(&self, x: &[f64]) -> (f64, f64) {
        match (self, x) {
            (Self::Diameters(_), [large, small, between, ..]) => {
                (((large - small) / (2.0 * between)).atan(), *large)
            }
            (Self::Rollers(_), [d, low, over_low, high, over_high, ..]) => {
                let half = ((over_high - over_low) / (2.0 * (high - low))).atan();
                let at_centre = over_low - d * (1.0 + 1.0 / half.cos());
                (half, at_centre - 2.0 * half.tan() * (low + 0.5 * d))
            }
            (Self::Balls(_), [small, small_depth, large, large_depth, ..]) => {
                let (r, big) = (small / 2.0, large / 2.0);
                let centre = large_depth + big;
                let half = ((big - r) / (small_depth + r - centre)).min(1.0).asin();
                (half, 2.0 * (big / half.cos() + centre * half.tan()))
            }
            (Self::SineBar(..), [height, bar, rest @ ..]) => {
                let known = rest.first().copied().unwrap_or(f64::NAN);
                (0.5 * (height / bar).min(1.0).asin(), known)
            }
            (Self::Known(half, _), rest) => (*half, rest.first().copied().unwrap_or(f64::NAN)),
            _ => (f64::NAN, f64::NAN),
        }
    }

    /// What is asked of the cone, with the standard uncertainty that comes from its lengths and
    /// from the further ones of the question.
    ///
    /// Formula: u^2 = sum (df/dx u(x))^2, slopes by differences
    /// Symbols: f what is asked (of half the angle in radians, the diameter in mm and the further
    ///          lengths), x the measured lengths.
    /// Valid:   errors independent and small.
    /// Rounding: none.
    /// Source:  JCGM 100:2008 5.1.2.
    /// Checked: tests/logic/taper.rs (slopes by hand, and values drawn at random).
    /// Errors:  none.
    fn asked(&self, further: &[MeasuredMm], asked: &dyn Fn(f64, f64, &[f64]) -> f64) -> MeasuredMm {
        let own = self.lengths();
        let all: Vec<MeasuredMm> = own.iter().chain(further).copied().collect();
        let at: Vec<f64> = all.iter().map(|one| one.value_mm).collect();
        let value = |at: &[f64]| {
            let (half, diameter) = self.solved(at);
            asked(half, diameter, at.get(own.len()..).unwrap_or_default())
        };
        let share = |place: usize, standard_mm: f64| {
            let moved = |by: f64| {
                let mut at = at.clone();
                if let Some(slot) = at.get_mut(place) {
                    *slot += by;
                }
                value(&at)
            };
            (moved(STEP_MM) - moved(-STEP_MM)) / (2.0 * STEP_MM) * standard_mm
        };
        let unsure = all.iter().enumerate();
        let unsure = unsure.filter(|(_, one)| one.standard_mm > 0.0);
        let squares = unsure.map(|(place, one)| share(place, one.standard_mm).powi(2));
        MeasuredMm {
            value_mm: value(&at),
            standard_mm: squares.sum::<f64>().sqrt(),
        }
    }
}

/// A step for slopes that are found by differences, mm.
const STEP_MM: f64 = 1e-4;

fn made(method: Method) -> Result<MeasuredTaper, TaperError> {
    for one in method.lengths() {
        if !(one.standard_mm.is_finite() && one.standard_mm >= 0.0) {
            return Err(TaperError::OutOfRange {
                what: "standard uncertainty",
                found: one.standard_mm,
                allowed: "0 or more, in mm",
            });
        }
    }
    let half = method.asked(&[], &|half, _, _| half);
    let diameter = method.asked(&[], &|_, diameter, _| diameter);
    Ok(MeasuredTaper {
        taper: Taper::of_half(half.value_mm)?,
        half_standard_degrees: half.standard_mm.to_degrees(),
        diameter: diameter.value_mm.is_finite().then_some(diameter),
        method,
    })
}

impl MeasuredTaper {
    /// The diameter so far from the method's place towards the small end; none where the method
    /// names no diameter.
    ///
    /// Formula: D = D1 - 2 z tan(a/2)
    /// Symbols: D1 diameter at the place, z distance from it (mm), a whole angle.
    /// Valid:   along the cone; negative beyond its point.
    /// Rounding: none.
    /// Source:  definition of the taper, ISO 1119.
    /// Checked: tests/logic/taper.rs.
    /// Errors:  none.
    pub fn diameter_at(&self, distance: MeasuredMm) -> Option<MeasuredMm> {
        self.diameter?;
        let at = |half: f64, diameter: f64, further: &[f64]| match further {
            [distance] => diameter - 2.0 * half.tan() * distance,
            _ => f64::NAN,
        };
        Some(self.method.asked(&[distance], &at))
    }

    /// How much larger the diameter is at one place when the cone moves so far along its axis,
    /// its large end first.
    ///
    /// Formula: dD = s C
    /// Symbols: s move along the axis (mm), C taper.
    /// Valid:   along the cone.
    /// Rounding: none.
    /// Source:  definition of the taper, ISO 1119.
    /// Checked: tests/logic/taper.rs.
    /// Errors:  none.
    pub fn diameter_change(&self, axial: MeasuredMm) -> MeasuredMm {
        let change = |half: f64, _: f64, further: &[f64]| match further {
            [axial] => 2.0 * half.tan() * axial,
            _ => f64::NAN,
        };
        self.method.asked(&[axial], &change)
    }

    /// How far the cone must move along its axis for such a change of the diameter.
    ///
    /// Formula: s = dD/C
    /// Symbols: as [`MeasuredTaper::diameter_change`].
    /// Valid:   along the cone.
    /// Rounding: none.
    /// Source:  definition of the taper, ISO 1119.
    /// Checked: tests/logic/taper.rs.
    /// Errors:  none.
    pub fn axial_move(&self, diameter: MeasuredMm) -> MeasuredMm {
        let moved = |half: f64, _: f64, further: &[f64]| match further {
            [diameter] => diameter / (2.0 * half.tan()),
            _ => f64::NAN,
        };
        self.method.asked(&[diameter], &moved)
    }

    /// Standard uncertainty of the difference of the diameters for each millimetre of length.
    pub fn per_mm_standard(&self) -> f64 {
        let per_mm = |half: f64, _: f64, _: &[f64]| 2.0 * half.tan();
        self.method.asked(&[], &per_mm).standard_mm
    }
}

/// A cone whose angle is known, with a diameter where one is known.
///
/// # Errors
/// `OutOfRange` of the diameter.
pub fn taper_known(taper: Taper, large: Option<MeasuredMm>) -> Result<MeasuredTaper, TaperError> {
    if let Some(large) = large {
        length("diameter", large.value_mm)?;
    }
    let half = taper.half_angle_degrees().to_radians();
    made(Method::Known(half, large))
}

/// A cone from two diameters and the length between them; its place is the large end.
///
/// Formula: tan(a/2) = (D1 - D2)/(2 L)
/// Symbols: D1 large, D2 small diameter, L length between them, a whole angle.
/// Valid:   D1 above D2.
/// Rounding: none.
/// Source:  definition of the taper, ISO 1119.
/// Checked: tests/tables/pair_examples.json.
/// Errors:  `OutOfRange`, `NotACone`.
pub fn taper_of_diameters(
    large: MeasuredMm,
    small: MeasuredMm,
    between: MeasuredMm,
) -> Result<MeasuredTaper, TaperError> {
    Taper::of_diameters(large.value_mm, small.value_mm, between.value_mm)?;
    made(Method::Diameters([large, small, between]))
}

/// A plug from readings over two equal rollers on blocks at two heights; its place is the plate,
/// on which it stands with its small end.
///
/// Formula: tan(a/2) = (M2 - M1)/(2 (h2 - h1)); D = M1 - d (1 + 1/cos(a/2)) - C (h1 + d/2)
/// Symbols: M over the rollers, h blocks, d rollers, C = 2 tan(a/2); D diameter at the plate.
/// Valid:   h2 above h1, M2 above M1.
/// Rounding: none.
/// Source:  university lecture slides on taper measurement (public archive).
/// Checked: tests/tables/pair_examples.json.
/// Errors:  `OutOfRange`, `NotACone`.
pub fn taper_over_rollers(over: &Rollers) -> Result<MeasuredTaper, TaperError> {
    length("diameter of the rollers", over.roller.value_mm)?;
    length("reading over the lower rollers", over.over_low.value_mm)?;
    length("reading over the upper rollers", over.over_high.value_mm)?;
    let low = length_or_none("height of the lower blocks", over.low.value_mm)?;
    length("height of the upper blocks", over.high.value_mm)?;
    if over.high.value_mm <= low {
        let why = "the upper blocks must be higher than the lower ones";
        return Err(TaperError::NotACone { why });
    }
    if over.over_high.value_mm <= over.over_low.value_mm {
        let why = "over the upper rollers there must be more than over the lower ones; turn the \
                   plug round";
        return Err(TaperError::NotACone { why });
    }
    let found = made(Method::Rollers(*over))?;
    if found.diameter.is_none_or(|at| at.value_mm <= 0.0) {
        let why = "the plug would have no width at the plate; check rollers and readings";
        return Err(TaperError::NotACone { why });
    }
    Ok(found)
}

/// A ring from the depths of two balls in it; its place is the face, the mouth of the ring.
///
/// Formula: sin(a/2) = (R - r)/(c1 - c2), c = depth of the top + radius;
///          D = 2 (R/cos(a/2) + c2 tan(a/2))
/// Symbols: r, R radii of the small and the large ball; c1, c2 depths of their centres below the
///          face; D diameter at the face.
/// Valid:   the large ball lies nearer to the face, and touches below it.
/// Rounding: none.
/// Source:  geometry; question pages of a metrology service (sin), derived (D).
/// Checked: tests/tables/pair_examples.json.
/// Errors:  `OutOfRange`, `NotACone`.
pub fn taper_with_balls(balls: &Balls) -> Result<MeasuredTaper, TaperError> {
    length("diameter of the small ball", balls.small.value_mm)?;
    length("diameter of the large ball", balls.large.value_mm)?;
    let (small, large) = (balls.small.value_mm / 2.0, balls.large.value_mm / 2.0);
    if large <= small {
        let why = "the large ball must be larger than the small one";
        return Err(TaperError::NotACone { why });
    }
    let centre = balls.large_depth.value_mm + large;
    let apart = balls.small_depth.value_mm + small - centre;
    if apart.is_nan() || apart <= large - small {
        let why = "the small ball must lie deeper, by more than the difference of the radii";
        return Err(TaperError::NotACone { why });
    }
    let found = made(Method::Balls(*balls))?;
    let touches = centre + large * found.taper.half_angle_degrees().to_radians().sin();
    if touches < 0.0 {
        let why = "the large ball would touch above the face; take a smaller one";
        return Err(TaperError::NotACone { why });
    }
    Ok(found)
}

/// A cone that lies level on a sine bar, from the blocks under it; `large` is a diameter that is
/// known besides.
///
/// Formula: sin(a) = H/L
/// Symbols: H blocks, L distance of the rollers, a whole angle.
/// Valid:   up to 45 degrees (lecture notes).
/// Rounding: none.
/// Source:  definition of the sine bar.
/// Checked: tests/logic/taper.rs.
/// Errors:  `OutOfRange`, `NotACone`, `SineBarSteep`.
pub fn taper_on_sine_bar(
    height: MeasuredMm,
    bar: MeasuredMm,
    large: Option<MeasuredMm>,
) -> Result<MeasuredTaper, TaperError> {
    length("height of the blocks", height.value_mm)?;
    length("length of the sine bar", bar.value_mm)?;
    if let Some(large) = large {
        length("diameter", large.value_mm)?;
    }
    if height.value_mm >= bar.value_mm {
        let why = "the blocks must be lower than the sine bar is long";
        return Err(TaperError::NotACone { why });
    }
    let found = made(Method::SineBar([height, bar], large))?;
    sine_bar_may(found.taper.angle_degrees())?;
    Ok(found)
}

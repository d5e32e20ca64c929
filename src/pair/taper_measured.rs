//! A cone from what was measured on it, with the uncertainty of its angle.

use super::taper::{Taper, TaperError, length};

/// A measured length and its standard uncertainty, mm.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredMm {
    /// The length.
    pub value_mm: f64,
    /// Its standard uncertainty.
    pub standard_mm: f64,
}

/// A cone with the standard uncertainty of half its angle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct MeasuredTaper {
    /// The cone.
    pub taper: Taper,
    /// Standard uncertainty of half the angle, degrees.
    pub half_standard_degrees: f64,
    /// The diameter at the place that the method names, mm.
    pub diameter_mm: Option<f64>,
}

/// Over two rollers beside a plug on a plate, at two heights.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Rollers {
    /// Diameter of the rollers, mm.
    pub roller_mm: f64,
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
    /// Diameter of the small ball, mm.
    pub small_mm: f64,
    /// Its top below the face.
    pub small_depth: MeasuredMm,
    /// Diameter of the large ball, mm.
    pub large_mm: f64,
    /// Its top below the face.
    pub large_depth: MeasuredMm,
}

/// A step for slopes that are found by differences, mm.
const STEP_MM: f64 = 1e-3;

/// Half the angle and its standard uncertainty, from what it is computed from.
///
/// Formula: u^2 = sum (df/dx u(x))^2, slopes by differences
/// Symbols: f half the angle (radians), x the measured lengths.
/// Valid:   errors independent and small.
/// Rounding: none.
/// Source:  JCGM 100:2008 5.1.2.
/// Checked: tests/logic/taper.rs (slopes by hand).
/// Errors:  none.
fn unsure(half: &dyn Fn(&[f64]) -> f64, measured: &[MeasuredMm]) -> (f64, f64) {
    let at: Vec<f64> = measured.iter().map(|one| one.value_mm).collect();
    let share = |place: usize, standard_mm: f64| {
        let moved = |by: f64| {
            let mut at = at.clone();
            if let Some(slot) = at.get_mut(place) {
                *slot += by;
            }
            half(&at)
        };
        (moved(STEP_MM) - moved(-STEP_MM)) / (2.0 * STEP_MM) * standard_mm
    };
    let shares = measured.iter().enumerate();
    let squares = shares.map(|(place, one)| share(place, one.standard_mm).powi(2));
    (half(&at), squares.sum::<f64>().sqrt())
}

fn made(
    (half, standard): (f64, f64),
    diameter_mm: impl Fn(&Taper) -> Option<f64>,
) -> Result<MeasuredTaper, TaperError> {
    let taper = Taper::of_half(half)?;
    Ok(MeasuredTaper {
        taper,
        half_standard_degrees: standard.to_degrees(),
        diameter_mm: diameter_mm(&taper),
    })
}

/// A cone from two diameters and the length between them; no further diameter.
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
    let half = |x: &[f64]| match *x {
        [large, small, between] => ((large - small) / (2.0 * between)).atan(),
        _ => f64::NAN,
    };
    made(unsure(&half, &[large, small, between]), |_| None)
}

/// A plug from readings over two equal rollers on blocks at two heights; its diameter at the plate.
///
/// Formula: tan(a/2) = (M2 - M1)/(2 (h2 - h1)); D = M1 - d (1 + 1/cos(a/2)) - C (h1 + d/2)
/// Symbols: M over the rollers, h blocks, d rollers, C = 2 tan(a/2); D diameter at the plate, on
///          which the plug stands with its small end.
/// Valid:   h2 above h1, M2 above M1.
/// Rounding: none.
/// Source:  university lecture slides on taper measurement (public archive).
/// Checked: tests/tables/pair_examples.json.
/// Errors:  `OutOfRange`, `NotACone`.
pub fn taper_over_rollers(over: &Rollers) -> Result<MeasuredTaper, TaperError> {
    length("diameter of the rollers", over.roller_mm)?;
    length("reading over the rollers", over.over_low.value_mm)?;
    length("reading over the rollers", over.over_high.value_mm)?;
    if over.high.value_mm <= over.low.value_mm {
        let why = "the upper blocks must be higher than the lower ones";
        return Err(TaperError::NotACone { why });
    }
    if over.over_high.value_mm <= over.over_low.value_mm {
        let why = "over the upper rollers there must be more than over the lower ones; turn the \
                   plug round";
        return Err(TaperError::NotACone { why });
    }
    let half = |x: &[f64]| match *x {
        [low, over_low, high, over_high] => ((over_high - over_low) / (2.0 * (high - low))).atan(),
        _ => f64::NAN,
    };
    let measured = [over.low, over.over_low, over.high, over.over_high];
    made(unsure(&half, &measured), |taper| {
        let d = over.roller_mm;
        let half = taper.half_angle_degrees().to_radians();
        let at_centre = over.over_low.value_mm - d * (1.0 + 1.0 / half.cos());
        Some(at_centre - taper.per_mm() * (over.low.value_mm + 0.5 * d))
    })
}

/// A ring from the depths of two balls in it; its diameter at the mouth.
///
/// Formula: sin(a/2) = (R - r)/(c1 - c2), c = depth of the top + radius;
///          D = 2 (R/cos(a/2) + c2 tan(a/2))
/// Symbols: r, R radii of the small and the large ball; c1, c2 depths of their centres below the
///          face; D diameter at the face.
/// Valid:   the large ball lies nearer to the face.
/// Rounding: none.
/// Source:  geometry; question pages of a metrology service (sin), derived (D).
/// Checked: tests/tables/pair_examples.json.
/// Errors:  `OutOfRange`, `NotACone`.
pub fn taper_with_balls(balls: &Balls) -> Result<MeasuredTaper, TaperError> {
    length("diameter of the small ball", balls.small_mm)?;
    length("diameter of the large ball", balls.large_mm)?;
    let (small, large) = (balls.small_mm / 2.0, balls.large_mm / 2.0);
    if large <= small {
        let why = "the large ball must be larger than the small one";
        return Err(TaperError::NotACone { why });
    }
    let apart = balls.small_depth.value_mm + small - balls.large_depth.value_mm - large;
    if apart.is_nan() || apart <= large - small {
        let why = "the small ball must lie deeper, by more than the difference of the radii";
        return Err(TaperError::NotACone { why });
    }
    let half = |x: &[f64]| match *x {
        [small_depth, large_depth] => {
            ((large - small) / (small_depth + small - large_depth - large)).asin()
        }
        _ => f64::NAN,
    };
    let measured = [balls.small_depth, balls.large_depth];
    made(unsure(&half, &measured), |taper| {
        let half = taper.half_angle_degrees().to_radians();
        let centre = balls.large_depth.value_mm + large;
        Some(2.0 * (large / half.cos() + centre * half.tan()))
    })
}

/// A cone that lies level on a sine bar, from the blocks under it.
///
/// Formula: sin(a) = H/L
/// Symbols: H blocks, L distance of the rollers, a whole angle.
/// Valid:   H below L.
/// Rounding: none.
/// Source:  definition of the sine bar.
/// Checked: tests/logic/taper.rs.
/// Errors:  `OutOfRange`, `NotACone`.
pub fn taper_on_sine_bar(height: MeasuredMm, bar: MeasuredMm) -> Result<MeasuredTaper, TaperError> {
    length("height of the blocks", height.value_mm)?;
    length("length of the sine bar", bar.value_mm)?;
    if height.value_mm >= bar.value_mm {
        let why = "the blocks must be lower than the sine bar is long";
        return Err(TaperError::NotACone { why });
    }
    let half = |x: &[f64]| match *x {
        [height, bar] => 0.5 * (height / bar).asin(),
        _ => f64::NAN,
    };
    made(unsure(&half, &[height, bar]), |_| None)
}

//! The gauge and the temperatures that `judge` is told of.

use crate::gauge::{
    Date, Due, Faces, Gauge, GaugeId, GaugeReads, Known, Register, StatedError, nearest,
};
use crate::material::{Expansion, Materials};
use crate::measure::{
    SCALE_EXPANSION_PER_KELVIN, THERMOMETER_HALF_WIDTH_K, Temperature, Thermal, Thermometer,
};
use crate::quantity::{Exact, Length};
use crate::session::{Workspace, trusted_register};
use crate::tolerance::Surface;

use super::house;
use super::problem::Problem;

/// The gauge of the workspace's register with that id.
///
/// # Errors
/// No register, a register that is none, or no such gauge in it.
pub(super) fn registered(workspace: &Workspace, id: &str) -> Result<(Register, Gauge), Problem> {
    let Some((label, text)) = workspace.gauges()? else {
        let folder = workspace.root().display();
        let message = format!("There is no gauge register gauges.toml in “{folder}”.");
        let hint = Some("Write one, or give the uncertainty instead of a gauge.");
        return Err(Problem::bad("no_gauge_register", message, hint));
    };
    let (text, _) = trusted_register(text, workspace);
    let register = Register::parse(&text, &label).map_err(|errors| Problem::register(&errors))?;
    if let Some(gauge) = register.gauge(&GaugeId::new(id)) {
        let gauge = gauge.clone();
        return Ok((register, gauge));
    }
    let ids = || register.gauges().iter().map(|gauge| gauge.id.as_str());
    let message = format!("There is no gauge “{}” in {label}.", id.escape_debug());
    let hint = match nearest(id, ids()) {
        Some(near) => format!("Did you mean {near}?"),
        None => format!(
            "Its gauges are {}.",
            ids().collect::<Vec<&str>>().join(", ")
        ),
    };
    Err(Problem::bad("unknown_gauge", message, Some(&hint)))
}

/// Refuses a gauge that cannot show such a value.
pub(super) fn can_measure(gauge: &Gauge, angle: bool) -> Result<(), Problem> {
    let kind = gauge.kind;
    if kind.reads_angles() == angle && !kind.is_limit_gauge() && !kind.is_standard() {
        return Ok(());
    }
    let what = if angle { "an angle" } else { "a length" };
    let message = format!("{gauge} does not show {what}.");
    Err(Problem::bad(
        "gauge_cannot_measure",
        message,
        Some("Name the gauge that was used."),
    ))
}

/// The faces of a gauge that touch such a surface.
pub(super) fn faces(surface: Surface) -> Faces {
    match surface {
        Surface::Outside | Surface::Length => Faces::Outside,
        Surface::Depth | Surface::Step => Faces::Depth,
        Surface::Inside | Surface::Slot => Faces::Inside,
    }
}

/// What the register says of the gauge, for the why: its error, and cautions.
pub(super) fn told(gauge: &Gauge, size: Length, faces: Faces) -> Vec<String> {
    let mut told = Vec::new();
    let id = &gauge.id;
    match (&gauge.error, gauge.permissible_error(size, faces)) {
        (StatedError::Calibration(calibration), _) => told.push(format!(
            "gauge {id}: calibrated, U = {} mm with k = {}",
            calibration.expanded_uncertainty(),
            calibration.coverage_factor()
        )),
        (_, Some(Known::Stated(error))) => {
            told.push(format!(
                "gauge {id}: permissible error {error} mm as its register states"
            ));
        }
        (_, Some(Known::Assumed(assumed))) => told.push(format!(
            "gauge {id}: permissible error {} mm assumed ({}: {})",
            assumed.value,
            assumed.basis.word(),
            assumed.source
        )),
        (_, None) => told.push(format!("gauge {id}: nothing is known of its error")),
    }
    if let GaugeReads::Deviation { set_on, set_size } = &gauge.reads {
        told.push(format!("gauge {id}: set on {set_on}, {set_size} mm"));
    }
    if let Some(reader) = &gauge.read_by {
        told.push(format!("gauge {id}: carries the size to {reader}"));
    }
    // A comparator's range is of what it shows, the deviation.
    let shown = size - gauge.size_of(Length::ZERO);
    if !gauge.covers(shown) {
        told.push(format!("caution: {shown} mm is outside the range of {id}"));
    }
    told.extend(calibration_caution(gauge));
    told
}

/// A caution when nothing is known of the standard that the gauge was set on: a budget without it
/// is too small.
pub(super) fn standard_caution(register: &Register, gauge: &Gauge) -> Option<String> {
    let standard = register.standard_of(gauge)?;
    let size = standard.fixed_size().unwrap_or(Length::ZERO);
    match standard.error_at(size, Faces::Outside) {
        Some(_) => None,
        None => Some(format!(
            "caution: nothing is known of the error of {}, so the budget lacks it",
            standard.id
        )),
    }
}

/// A caution when its calibration has lapsed.
pub(super) fn calibration_caution(gauge: &Gauge) -> Option<String> {
    gauge.due?;
    match gauge.due_on(today()?) {
        Due::Overdue { days_over } => Some(format!(
            "caution: the calibration of {} lapsed {days_over} days ago",
            gauge.id
        )),
        Due::NotStated | Due::Ok | Due::Soon { .. } => None,
    }
}

/// The local date; none when the system's clock is far off.
pub(super) fn today() -> Option<Date> {
    let today = jiff::ZonedDateTime::now().date();
    let year = u16::try_from(today.year()).ok()?;
    let month = u8::try_from(today.month()).ok()?;
    Date::new(year, month, u8::try_from(today.day()).ok()?)
}

/// Standard uncertainty of a protractor in milliarcseconds; none when no error is stated.
///
/// Formula: u = sqrt(MPE^2 / 3 + d^2 / 12)
/// Symbols: MPE permissible error, rectangular half-width; d step shown.
/// Valid:   any.
/// Rounding: none.
/// Source:  JCGM 100:2008 clause 4.3.7 and F.2.2.1.
/// Checked: tests/command/judge.toml.
/// Errors:  none; None is "no error known".
pub(super) fn angular_uncertainty_mas(gauge: &Gauge) -> Option<f64> {
    let error = gauge.angular.mpe?.units_f64();
    let step = gauge.angular.resolution.map_or(0.0, Exact::units_f64);
    Some((error * error / 3.0 + step * step / 12.0).sqrt())
}

/// Temperatures of part and gauge with the part's material. Without a material there is nothing
/// to correct by; without a temperature it is assumed to be 20 °C within 5 K, which widens the
/// uncertainty of a gauge.
///
/// `scale` is the material of the gauge's scale; steel unless stated.
///
/// # Errors
/// A temperature without a material, or a temperature or material that is none.
pub(super) fn thermal(
    part: Option<&str>,
    gauge: Option<&str>,
    name: Option<&str>,
    scale: Option<&str>,
    materials: &Materials,
) -> Result<Option<Thermal>, Problem> {
    let Some(name) = name else {
        if part.is_none() && gauge.is_none() {
            return Ok(None);
        }
        let message = "A temperature is given, but not of what material the part is.".to_owned();
        let hint = Some("Give --material, such as steel, brass or 1.4301.");
        return Err(Problem::bad("missing_material", message, hint));
    };
    let part_expansion = materials.find(name)?.expansion();
    let measured = |text: Option<&str>| -> Result<Option<Temperature>, Problem> {
        let Some(text) = text else { return Ok(None) };
        let celsius = house::celsius(text)?;
        Ok(Some(Temperature::measured(
            celsius,
            THERMOMETER_HALF_WIDTH_K,
        )))
    };
    let (part, gauge) = (measured(part)?, measured(gauge)?);
    Ok(Some(Thermal {
        thermometer: match (part, gauge) {
            (Some(_), Some(_)) => Thermometer::Shared,
            _ => Thermometer::Separate,
        },
        part: part.unwrap_or_else(Temperature::assumed),
        part_expansion,
        gauge: gauge.unwrap_or_else(Temperature::assumed),
        gauge_expansion: match scale {
            Some(scale) => materials.find(scale)?.expansion(),
            None => Expansion::with_usual_uncertainty(SCALE_EXPANSION_PER_KELVIN),
        },
    }))
}

/// Where the expansions of part and gauge come from, for the why.
pub(super) fn expansion_sources(
    name: Option<&str>,
    scale: Option<&str>,
    materials: &Materials,
) -> Vec<String> {
    let told = |whose: &str, name: &str| {
        let found = materials.find(name).ok()?;
        Some(format!(
            "{whose} of {}: {}e-6/K ({})",
            found.designation, found.expansion_um_per_m_k, found.expansion_source
        ))
    };
    let Some(part) = name.and_then(|name| told("part", name)) else {
        return Vec::new();
    };
    let scale = match scale {
        Some(scale) => told("gauge", scale),
        None => Some("gauge: steel assumed, 11.5e-6/K (JCGM 100:2008 Annex H.1)".to_owned()),
    };
    std::iter::once(part).chain(scale).collect()
}

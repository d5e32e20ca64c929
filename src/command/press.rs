//! `fitledger press`: what a press or shrink fit does, from its loosest to its tightest pair.

use std::io;

use super::arguments_pair::PressArguments;
use super::exit::Exit;
use super::house::InForce;
use super::lines::ItemLines;
use super::output::{Output, Stopped};
use super::output_press::{
    BoreBody, FrictionBody, PressAsked, PressLine, PressWithBody, press_of_json, press_of_toml,
};
use super::press_told::{notes, text};
use super::problem::Problem;
use super::question_file::question_text;
use crate::material::{Friction, Joining, Material, Wetness};
use crate::pair::{
    BoreAsked, Elastic, Joint, Press, PressAnswer, PressError, Strength, Surfaces,
    bore_in_joint_mm, bore_limits, creeps, force_over_travel, joining_clearance_mm, press,
    usual_friction,
};
use crate::quantity::Length;
use crate::report::shown;
use crate::session::Workspace;
use crate::tolerance::{CalloutLimits, parse_callout_in};

/// Pieces of the curve of force over travel.
const CURVE_STEPS: u32 = 10;
/// What errors of a file name.
const INPUT: &str = "press";
const NM_PER_MM: f64 = 1e6;

impl From<PressError> for Problem {
    fn from(error: PressError) -> Self {
        Self::bad(error.code(), error.to_string(), error.hint())
    }
}

/// Answers each fit.
pub(super) fn run(
    arguments: &PressArguments,
    workspace: &Workspace,
    out: &mut Output,
) -> Result<(), Stopped> {
    let in_force = InForce::new(workspace, None, None);
    let answer = |name: &str, asked: Result<PressAsked, Problem>, out: &mut Output| {
        let line = asked.and_then(|asked| {
            let in_force = in_force.as_ref().map_err(Problem::clone)?;
            line_of(&asked, in_force)
        });
        tell(name, line, arguments.json, out)
    };
    if let Some(path) = &arguments.from {
        let name = path.display().to_string();
        return answer(&name, of_file(path), out);
    }
    for line in ItemLines::new(io::stdin().lock()) {
        match line {
            Ok(text) => {
                let asked = press_of_json(&text).map_err(not_asked);
                answer(&text, asked, out)?;
            }
            Err(bad) => answer(&bad.input, Err(bad.problem), out)?,
        }
    }
    Ok(())
}

fn of_file(path: &std::path::Path) -> Result<PressAsked, Problem> {
    press_of_toml(&question_text(path, "a fit")?).map_err(not_asked)
}

fn not_asked(why: String) -> Problem {
    let why = why.lines().next().unwrap_or_default().to_owned();
    let message = format!(
        "This describes no fit: {}.",
        shown(why.trim_end_matches('.'))
    );
    Problem::bad(
        "not_a_fit",
        message,
        Some("See fitledger press --help for the names."),
    )
}

fn tell(
    name: &str,
    line: Result<PressLine, Problem>,
    is_json: bool,
    out: &mut Output,
) -> Result<(), Stopped> {
    let input = match name {
        "" => INPUT,
        name => name,
    };
    match line {
        Ok(line) => {
            let leaves = line.bore.as_ref().is_some_and(|bore| !bore.stays);
            if !line.holds || line.yields == Some(true) || leaves {
                out.note(Exit::NotGood);
            }
            match is_json {
                true => out.json(&line),
                false => out.text(&text(&line, out.screen())),
            }
        }
        Err(problem) => out.refuse(is_json, input, &problem),
    }
}

/// Diameter of the joint and the interference of its loosest and tightest pair, mm.
fn interference(asked: &PressAsked, in_force: &InForce) -> Result<(f64, (f64, f64)), Problem> {
    let measured = asked.shaft_mm.zip(asked.hub_mm);
    let deviations = asked.shaft_deviations_um.zip(asked.hub_deviations_um);
    match (&asked.fit, deviations, measured) {
        (Some(fit), None, None) => {
            let context = in_force.context();
            let limits = parse_callout_in(fit, context.tables)?.limits(&context)?;
            let CalloutLimits::Fit(fit) = limits else {
                let message = format!("{} is no fit of plain sizes.", shown(fit));
                let hint = Some("Give both classes, such as 20 H7/p6.");
                return Err(Problem::bad("not_a_fit", message, hint));
            };
            let nominal = asked
                .joint_diameter_mm
                .or_else(|| Some(mm(fit.hole().nominal?)));
            let joint = nominal.ok_or_else(|| missing("joint_diameter_mm"))?;
            // Clearance turned round; the largest clearance is the least interference.
            Ok((joint, (-mm(fit.max_clearance()), -mm(fit.min_clearance()))))
        }
        (None, Some(([es_low, es_high], [ei_low, ei_high])), None) => {
            let joint = asked.joint_diameter_mm;
            let joint = joint.ok_or_else(|| missing("joint_diameter_mm"))?;
            let um = |um: f64| um / 1_000.0;
            Ok((joint, (um(es_low - ei_high), um(es_high - ei_low))))
        }
        (None, None, Some((shaft, hub))) => {
            let joint = asked.joint_diameter_mm.unwrap_or(hub);
            Ok((joint, (shaft - hub, shaft - hub)))
        }
        _ => {
            let message =
                "The interference is to be said once: by fit, by shaft_deviations_um with \
                           hub_deviations_um, or by the measured shaft_mm with hub_mm."
                    .to_owned();
            Err(Problem::bad("interference_missing", message, None))
        }
    }
}

fn missing(field: &str) -> Problem {
    let message = format!("{field} is missing.");
    Problem::bad(
        "missing_field",
        message,
        Some("See fitledger press --help."),
    )
}

/// One half's material: what is said of it, else the table's.
struct Half<'a> {
    of: &'static str,
    material: Option<&'a Material>,
    young: Option<f64>,
    poisson: Option<f64>,
    expansion: Option<f64>,
}

impl Half<'_> {
    fn elastic(&self) -> Result<Elastic, Problem> {
        let known = |of: fn(&Material) -> f64| self.material.map(of);
        let number = |said: Option<f64>, known: Option<f64>, name: String| {
            said.or(known)
                .ok_or_else(|| missing(&format!("{name} or {}_material", self.of)))
        };
        let of = self.of;
        Ok(Elastic::new(
            number(
                self.young,
                known(|row| row.youngs_modulus_gpa * 1e3),
                format!("E_{of}_MPa"),
            )?,
            number(
                self.poisson,
                known(|row| row.poisson_ratio),
                format!("nu_{of}"),
            )?,
            number(
                self.expansion,
                known(|row| row.expansion_um_per_m_k * 1e-6),
                format!("alpha_{of}_per_K"),
            )?,
        )?)
    }
}

/// Friction as it is said, else as the table has it for the two materials.
struct Rubbing {
    slip: (f64, f64),
    press_in: (f64, f64),
    /// Where what was not said comes from.
    sources: Vec<String>,
}

impl Rubbing {
    fn body(&self) -> FrictionBody {
        FrictionBody {
            slip: self.slip.into(),
            press_in: self.press_in.into(),
            is_assumed: !self.sources.is_empty(),
        }
    }
}

fn rubbing(asked: &PressAsked, groups: [&str; 2]) -> Result<Rubbing, Problem> {
    let joining = chosen("joining", asked.joining.as_deref(), &Joining::WORDS)?;
    let wetness = chosen("surface", asked.surface.as_deref(), &Wetness::WORDS)?;
    let (slip, press_in) = usual_friction(groups, joining, wetness);
    let mut sources = Vec::new();
    let mut range = |said: Option<f64>, most: Option<f64>, usual: Friction, what: &str| {
        if let Some(low) = said {
            return (low, most.unwrap_or(low));
        }
        sources.push(format!(
            "Friction {what} was not said: {} to {} is taken ({}).",
            usual.low, usual.high, usual.source
        ));
        (usual.low, usual.high)
    };
    Ok(Rubbing {
        slip: range(asked.mu_slip, asked.mu_slip_max, slip, "against slip"),
        press_in: range(
            asked.mu_press_in,
            asked.mu_press_in_max,
            press_in,
            "while pressing in",
        ),
        sources,
    })
}

fn chosen<T: Copy>(
    field: &str,
    said: Option<&str>,
    words: &[(T, &str)],
) -> Result<Option<T>, Problem> {
    let Some(said) = said else { return Ok(None) };
    let found = words.iter().find(|(_, word)| *word == said.trim());
    found.map(|(one, _)| Some(*one)).ok_or_else(|| {
        let known: Vec<&str> = words.iter().map(|(_, word)| *word).collect();
        let message = format!("{field} cannot be “{}”.", shown(said));
        let hint = format!("Give one of {}.", known.join(", "));
        Problem::bad("unknown_word", message, Some(&hint))
    })
}

/// The bore of a bush as it is before pressing, and its limits.
fn bore_of(asked: &PressAsked, in_force: &InForce) -> Result<Option<BoreAsked>, Problem> {
    let limits = match (&asked.bore, asked.bore_limits_mm) {
        (None, None) => return Ok(None),
        (None, Some([lower, upper])) => (lower, upper),
        (Some(callout), None) => {
            let found = bore_limits(callout, &in_force.context())?;
            let (lower, upper) = found.ok_or_else(|| {
                let message = format!("{} is no size of a bore with two limits.", shown(callout));
                let hint = Some("Give a class such as 16 H7, or bore_limits_mm.");
                Problem::bad("not_a_bore", message, hint)
            })?;
            (mm(lower), mm(upper))
        }
        (Some(_), Some(_)) => {
            let message = "The bore's limits are said twice: by bore and by bore_limits_mm.";
            return Err(Problem::bad("bore_twice", message.to_owned(), None));
        }
    };
    Ok(Some(BoreAsked::new(limits, asked.bore_mm)))
}

fn mm(length: Length) -> f64 {
    length.as_nm_f64() / NM_PER_MM
}

fn line_of(asked: &PressAsked, in_force: &InForce) -> Result<PressLine, Problem> {
    let (diameter, interference_mm) = interference(asked, in_force)?;
    let length = asked.length_mm.ok_or_else(|| missing("length_mm"))?;
    let bore_mm = bore_of(asked, in_force)?;
    let bore = bore_in_joint_mm(asked.shaft_bore_mm, asked.bore_mm, bore_mm.as_ref());
    let joint = Joint::new(diameter, asked.hub_outside_mm, bore, length)?;
    let known = |name: &Option<String>| {
        let name = name.as_deref();
        name.map(|name| in_force.materials().find(name)).transpose()
    };
    let (hub, shaft) = (known(&asked.hub_material)?, known(&asked.shaft_material)?);
    let group = |row: Option<&Material>| row.map_or(String::new(), |row| row.group.to_string());
    let groups = (group(hub), group(shaft));
    let rubbing = rubbing(asked, [&groups.0, &groups.1])?;
    let heat = asked
        .hub_heat_max_C
        .or_else(|| hub.and_then(|row| row.joining_max_c));
    let fit = Press {
        joint,
        interference_mm,
        hub: Half {
            of: "hub",
            material: hub,
            young: asked.E_hub_MPa,
            poisson: asked.nu_hub,
            expansion: asked.alpha_hub_per_K,
        }
        .elastic()?,
        shaft: Half {
            of: "shaft",
            material: shaft,
            young: asked.E_shaft_MPa,
            poisson: asked.nu_shaft,
            expansion: asked.alpha_shaft_per_K,
        }
        .elastic()?,
        hub_strength: Strength::said(asked.yield_hub_MPa, hub),
        shaft_strength: Strength::said(asked.yield_shaft_MPa, shaft),
        surfaces: Surfaces {
            rz_shaft_um: asked.Rz_shaft_um.unwrap_or(0.0),
            rz_hub_um: asked.Rz_hub_um.unwrap_or(0.0),
        },
        friction_slip: rubbing.slip,
        friction_press_in: rubbing.press_in,
        clearance_mm: asked
            .assembly_clearance_mm
            .unwrap_or_else(|| joining_clearance_mm(diameter)),
        room_c: asked.room_C.unwrap_or(20.0),
        lengths_mm: asked.hub_length_mm.zip(asked.seat_length_mm),
        hub_heat_max_c: heat,
        is_plastic: creeps([&groups.0, &groups.1]),
        bore_mm: bore_mm.map(|bore| (bore.before_mm, bore.limits_mm)),
    };
    let answer = press(&fit)?;
    let materials = [(hub, asked.yield_hub_MPa), (shaft, asked.yield_shaft_MPa)];
    let heat_source = match (asked.hub_heat_max_C, hub) {
        (None, Some(row)) if heat.is_some() => row.joining_max_source.to_string(),
        _ => String::new(),
    };
    let beside = Beside {
        friction: rubbing.body(),
        notes: notes(asked, rubbing.sources, &materials),
        heat_source,
    };
    Ok(line(&fit, &answer, beside))
}

/// What the answer rests on, beside its numbers.
struct Beside {
    friction: FrictionBody,
    notes: Vec<String>,
    heat_source: String,
}

fn line(fit: &Press, answer: &PressAnswer, beside: Beside) -> PressLine {
    let um = |mm: f64| mm * 1_000.0;
    let kn = |(low, high): (f64, f64)| [low / 1_000.0, high / 1_000.0];
    let curve = |pressure: f64, friction: f64| {
        force_over_travel(&fit.joint, (pressure, friction), CURVE_STEPS)
    };
    let loosest = curve(answer.pressure_min_mpa, fit.friction_press_in.0);
    let tightest = curve(answer.pressure_max_mpa, fit.friction_press_in.1);
    let both = loosest.iter().zip(&tightest);
    PressLine {
        joint_diameter_mm: fit.joint.diameter_mm(),
        interference_max_um: um(answer.interference_max_mm),
        interference_min_um: um(answer.interference_min_mm),
        smoothing_loss_um: um(answer.smoothing_loss_mm),
        effective_interference_min_um: um(answer.effective_interference_min_mm),
        pressure_max_mpa: answer.pressure_max_mpa,
        pressure_max_smoothed_mpa: answer.pressure_max_smoothed_mpa,
        pressure_min_mpa: answer.pressure_min_mpa,
        hub_hoop_max_mpa: answer.hub_hoop_max_mpa,
        hub_von_mises_max_mpa: answer.hub_von_mises_max_mpa,
        hub_tresca_max_mpa: answer.hub_tresca_max_mpa,
        shaft_hoop_max_mpa: answer.shaft_hoop_max_mpa,
        hub_pressure_limit_von_mises_mpa: answer.limits.hub_von_mises_mpa,
        hub_pressure_limit_tresca_mpa: answer.limits.hub_tresca_mpa,
        hub_pressure_limit_brittle_mpa: answer.limits.hub_brittle_mpa,
        shaft_pressure_limit_mpa: answer.limits.shaft_mpa,
        slip_force_min_kn: answer.slip_force_min_n.0 / 1_000.0,
        slip_force_kn: kn(answer.slip_force_min_n),
        press_in_force_max_kn: answer.press_in_force_n.1 / 1_000.0,
        press_in_force_kn: kn(answer.press_in_force_n),
        torque_min_nm: answer.torque_min_nm.0,
        torque_nm: answer.torque_min_nm.into(),
        hub_growth_max_um: um(answer.hub_growth_max_mm),
        shaft_bore_shrink_max_um: um(answer.shaft_bore_shrink_mm.1),
        shaft_bore_shrink_min_um: um(answer.shaft_bore_shrink_mm.0),
        hub_heating_k: answer.hub_heating_k,
        shaft_cooling_k: answer.shaft_cooling_k,
        hub_temperature_c: answer.hub_temperature_c,
        shaft_temperature_c: answer.shaft_temperature_c,
        friction: beside.friction,
        bore: answer
            .bore
            .zip(fit.bore_mm)
            .map(|(bore, (before, limits))| BoreBody {
                before_mm: before.into(),
                limits_mm: limits.into(),
                after_mm: bore.after_mm.into(),
                make_mm: bore.before_mm.map(Into::into),
                stays: bore.stays,
            }),
        hub_heat_max_c: fit.hub_heat_max_c,
        hub_heat_max_source: beside.heat_source,
        press_with: PressWithBody {
            code: answer.way.code(),
            sentence: answer.way.sentence(),
        },
        press_in_curve: both
            .map(|((travel, low), (_, high))| [*travel, low / 1_000.0, high / 1_000.0])
            .collect(),
        holds: answer.holds,
        yields: answer.yields,
        cautions: answer.cautions.iter().map(|one| one.sentence()).collect(),
        caution_codes: answer.cautions.iter().map(|one| one.code()).collect(),
        notes: beside.notes,
    }
}

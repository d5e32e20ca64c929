//! `fitledger press`: what a press or shrink fit does, from its loosest to its tightest pair.

use std::io;

use super::arguments_pair::PressArguments;
use super::exit::Exit;
use super::house::InForce;
use super::lines::ItemLines;
use super::output::{Output, Stopped};
use super::output_press::{FrictionBody, PressAsked, PressLine, press_of_json, press_of_toml};
use super::problem::Problem;
use super::screen::{Screen, wrapped};
use crate::material::{Material, material};
use crate::pair::{
    Elastic, Joint, Press, PressAnswer, PressError, Strength, Surfaces, force_over_travel, press,
};
use crate::report::shown;
use crate::session::Workspace;
use crate::tolerance::{CalloutLimits, parse_callout_in};

/// Friction of metals pressed in, dry or lubricated (textbook range, from memory): for whoever says
/// nothing of it.
const FRICTION_USUAL: (f64, f64) = (0.05, 0.12);
/// Clearance for joining by heat or cold, as a share of the diameter (DIN 7190, from memory).
const CLEARANCE_SHARE: f64 = 0.001;
/// Pieces of the curve of force over travel.
const CURVE_STEPS: u32 = 10;
/// A TOML file is no longer than that (chosen: a fit has some thirty lines).
const FILE_BYTES_MAX: u64 = 64 * 1024;
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
    let name = shown(&path.display().to_string()).into_owned();
    let failed = |why: &dyn std::fmt::Display| {
        let message = format!("{name} could not be read: {why}.");
        Problem::outside(
            "file_unreadable",
            message,
            Some("Check the name and the folder."),
        )
    };
    let length = std::fs::metadata(path)
        .map_err(|error| failed(&error))?
        .len();
    if length > FILE_BYTES_MAX {
        return Err(failed(&"it is longer than a fit"));
    }
    let text = std::fs::read_to_string(path).map_err(|error| failed(&error))?;
    press_of_toml(&text).map_err(not_asked)
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
            if !line.holds || line.yields == Some(true) {
                out.note(Exit::NotGood);
            }
            match is_json {
                true => out.json(&line),
                false => out.text(&text(&line, out.screen())),
            }
        }
        Err(problem) if is_json => out.json_problem(input, &problem),
        Err(problem) => {
            out.complain(&problem);
            Ok(())
        }
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
            let mm = |length: crate::quantity::Length| length.as_nm_f64() / NM_PER_MM;
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
    material: Option<&'a str>,
    young: Option<f64>,
    poisson: Option<f64>,
    expansion: Option<f64>,
    bears: Option<f64>,
}

impl Half<'_> {
    fn found(&self) -> Result<(Elastic, Strength), Problem> {
        let table: Option<&Material> = self.material.map(material).transpose()?;
        let number = |said: Option<f64>, known: Option<f64>, name: &str| {
            said.or(known)
                .ok_or_else(|| missing(&format!("{name} or {}_material", self.of)))
        };
        let known = |of: fn(&Material) -> f64| table.map(of);
        let (hub_e, hub_nu, hub_a) = (
            format!("E_{}_MPa", self.of),
            format!("nu_{}", self.of),
            format!("alpha_{}_per_K", self.of),
        );
        let elastic = Elastic::new(
            number(
                self.young,
                known(|row| row.youngs_modulus_gpa * 1e3),
                &hub_e,
            )?,
            number(self.poisson, known(|row| row.poisson_ratio), &hub_nu)?,
            number(
                self.expansion,
                known(|row| row.expansion_um_per_m_k * 1e-6),
                &hub_a,
            )?,
        )?;
        let is_brittle = table.is_some_and(|row| row.yield_kind.contains("brittle"));
        let bears = self.bears.or_else(|| table.and_then(|row| row.yield_mpa));
        let strength = match bears {
            Some(bears) if is_brittle => Strength::Cracks(bears),
            Some(bears) => Strength::Yields(bears),
            None => Strength::Unknown,
        };
        Ok((elastic, strength))
    }
}

fn line_of(asked: &PressAsked, in_force: &InForce) -> Result<PressLine, Problem> {
    let (diameter, interference_mm) = interference(asked, in_force)?;
    let length = asked.length_mm.ok_or_else(|| missing("length_mm"))?;
    let bore = asked.shaft_bore_mm.unwrap_or(0.0);
    let joint = Joint::new(diameter, asked.hub_outside_mm, bore, length)?;
    let (hub, hub_strength) = Half {
        of: "hub",
        material: asked.hub_material.as_deref(),
        young: asked.E_hub_MPa,
        poisson: asked.nu_hub,
        expansion: asked.alpha_hub_per_K,
        bears: asked.yield_hub_MPa,
    }
    .found()?;
    let (shaft, shaft_strength) = Half {
        of: "shaft",
        material: asked.shaft_material.as_deref(),
        young: asked.E_shaft_MPa,
        poisson: asked.nu_shaft,
        expansion: asked.alpha_shaft_per_K,
        bears: asked.yield_shaft_MPa,
    }
    .found()?;
    let friction = |low: Option<f64>, high: Option<f64>| {
        low.map_or(FRICTION_USUAL, |low| (low, high.unwrap_or(low)))
    };
    let fit = Press {
        joint,
        interference_mm,
        hub,
        shaft,
        hub_strength,
        shaft_strength,
        surfaces: Surfaces {
            rz_shaft_um: asked.Rz_shaft_um.unwrap_or(0.0),
            rz_hub_um: asked.Rz_hub_um.unwrap_or(0.0),
        },
        friction_slip: friction(asked.mu_slip, asked.mu_slip_max),
        friction_press_in: friction(asked.mu_press_in, asked.mu_press_in_max),
        clearance_mm: asked
            .assembly_clearance_mm
            .unwrap_or(CLEARANCE_SHARE * diameter),
        room_c: asked.room_C.unwrap_or(20.0),
        lengths_mm: asked.hub_length_mm.zip(asked.seat_length_mm),
        hub_heat_max_c: asked.hub_heat_max_C,
    };
    let answer = press(&fit)?;
    Ok(line(&fit, &answer, notes(asked)))
}

/// What was taken because nothing was said.
fn notes(asked: &PressAsked) -> Vec<String> {
    let mut notes = Vec::new();
    if asked.mu_slip.is_none() || asked.mu_press_in.is_none() {
        notes.push(format!(
            "Friction was not said: {} to {} is taken, the usual range of metals pressed in \
             (textbooks, from memory).",
            FRICTION_USUAL.0, FRICTION_USUAL.1
        ));
    }
    if asked.Rz_shaft_um.is_none() && asked.Rz_hub_um.is_none() {
        let note = "Roughness was not said: nothing is taken off for smoothing, and the grip may \
                    be less.";
        notes.push(note.to_owned());
    }
    if asked.hub_outside_mm.is_none() {
        let note = "The outside of the hub was not said: it is taken as very thick.";
        notes.push(note.to_owned());
    }
    if asked.assembly_clearance_mm.is_none() {
        let note = "Clearance for joining by heat or cold: a thousandth of the diameter (DIN 7190, \
                    from memory).";
        notes.push(note.to_owned());
    }
    notes
}

fn line(fit: &Press, answer: &PressAnswer, notes: Vec<String>) -> PressLine {
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
        friction: FrictionBody {
            slip: fit.friction_slip.into(),
            press_in: fit.friction_press_in.into(),
            is_assumed: notes.iter().any(|note| note.starts_with("Friction")),
        },
        press_in_curve: both
            .map(|((travel, low), (_, high))| [*travel, low / 1_000.0, high / 1_000.0])
            .collect(),
        holds: answer.holds,
        yields: answer.yields,
        cautions: answer.cautions.iter().map(|one| one.sentence()).collect(),
        caution_codes: answer.cautions.iter().map(|one| one.code()).collect(),
        notes,
    }
}

/// For people: what it does, then what must be said beside it.
fn text(line: &PressLine, screen: Screen) -> String {
    let grip = match line.holds {
        true => "Every pair grips.",
        false => "The loosest pair does not grip.",
    };
    let bears = match line.yields {
        Some(true) => "The tightest pair goes beyond what a material bears.",
        Some(false) => "Both parts stay elastic in the tightest pair.",
        None => "Whether both parts stay elastic is not known.",
    };
    let facts = [
        format!("{grip} {bears}"),
        format!(
            "Interference {:.1} to {:.1} µm on {} mm; smoothing takes {:.1} µm, so that the \
             loosest pair keeps {:.1} µm.",
            line.interference_min_um,
            line.interference_max_um,
            line.joint_diameter_mm,
            line.smoothing_loss_um,
            line.effective_interference_min_um
        ),
        format!(
            "Pressure {:.1} to {:.1} MPa. Hub at its bore: hoop {:.0} MPa, von Mises {:.0} MPa, \
             Tresca {:.0} MPa. Shaft: hoop {:.0} MPa.",
            line.pressure_min_mpa,
            line.pressure_max_mpa,
            line.hub_hoop_max_mpa,
            line.hub_von_mises_max_mpa,
            line.hub_tresca_max_mpa,
            line.shaft_hoop_max_mpa
        ),
        limits_text(line),
        forces_text(line),
        format!(
            "The hub's outside grows by up to {:.1} µm; the shaft's bore shrinks by {:.1} to \
             {:.1} µm.",
            line.hub_growth_max_um, line.shaft_bore_shrink_min_um, line.shaft_bore_shrink_max_um
        ),
        format!(
            "To join the tightest pair: the hub at {:.0} °C ({:.0} K warmer), or the shaft at \
             {:.0} °C ({:.0} K colder).",
            line.hub_temperature_c,
            line.hub_heating_k,
            line.shaft_temperature_c,
            line.shaft_cooling_k
        ),
    ];
    let mut text = String::new();
    let cautions = line
        .cautions
        .iter()
        .map(|caution| format!("Caution: {caution}"));
    let all = facts
        .into_iter()
        .chain(line.notes.iter().cloned())
        .chain(cautions);
    for sentence in all.filter(|sentence| !sentence.is_empty()) {
        for (at, piece) in wrapped(&sentence, screen.width.saturating_sub(2).max(1))
            .iter()
            .enumerate()
        {
            text += if at == 0 { "" } else { "  " };
            text += piece;
            text += "\n";
        }
    }
    text
}

fn forces_text(line: &PressLine) -> String {
    let [[low, high], [slips, holds], [turns, stays]] =
        [line.press_in_force_kn, line.slip_force_kn, line.torque_nm];
    format!(
        "Pressing in takes {low:.2} to {high:.2} kN at the end of the way. The loosest pair slips \
         at {slips:.2} to {holds:.2} kN, or turns at {turns:.1} to {stays:.1} N m."
    )
}

fn limits_text(line: &PressLine) -> String {
    let named = [
        (
            "the hub by von Mises",
            line.hub_pressure_limit_von_mises_mpa,
        ),
        ("the hub by Tresca", line.hub_pressure_limit_tresca_mpa),
        ("a brittle hub", line.hub_pressure_limit_brittle_mpa),
        ("the shaft", line.shaft_pressure_limit_mpa),
    ];
    let told = named
        .iter()
        .filter_map(|(name, limit)| Some(format!("{name} {:.0} MPa", (*limit)?)));
    let told: Vec<String> = told.collect();
    match told.is_empty() {
        true => String::new(),
        false => format!("Largest pressure that stays elastic: {}.", told.join(", ")),
    }
}

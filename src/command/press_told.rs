//! What a press or shrink fit does, in sentences for people.

use super::output_press::{PressAsked, PressLine};
use super::screen::{Screen, paragraph};
use crate::material::Material;

/// For people: what it does, then what must be said beside it.
pub(super) fn text(line: &PressLine, screen: Screen) -> String {
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
        growth_text(line),
        bore_text(line),
        format!(
            "To join the tightest pair: the hub at {:.0} °C ({:.0} K warmer), or the shaft at \
             {:.0} °C ({:.0} K colder).",
            line.hub_temperature_c,
            line.hub_heating_k,
            line.shaft_temperature_c,
            line.shaft_cooling_k
        ),
        heat_text(line),
        line.press_with.sentence.to_owned(),
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
        text += &paragraph(&sentence, ("", 2), screen);
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

fn growth_text(line: &PressLine) -> String {
    let hub = format!(
        "The hub's outside grows by up to {:.1} µm",
        line.hub_growth_max_um
    );
    match line.shaft_bore_shrink_max_um > 0.0 {
        false => format!("{hub}."),
        true => format!(
            "{hub}; the shaft's bore shrinks by {:.1} to {:.1} µm.",
            line.shaft_bore_shrink_min_um, line.shaft_bore_shrink_max_um
        ),
    }
}

fn bore_text(line: &PressLine) -> String {
    let Some(bore) = &line.bore else {
        return String::new();
    };
    let [[least, most], [lower, upper]] = [bore.after_mm, bore.limits_mm];
    let after = format!(
        "The bore is {least:.4} to {most:.4} mm after pressing; its limits are {lower:.4} to \
         {upper:.4} mm"
    );
    match (bore.stays, bore.make_mm) {
        (true, _) => format!("{after}: it stays within them."),
        (false, Some([from, to])) => {
            format!("{after}. Make it {from:.4} to {to:.4} mm before, and it is within them after.")
        }
        (false, None) => format!(
            "{after}. The shrinkage differs by more than its tolerance: finish it after pressing."
        ),
    }
}

fn heat_text(line: &PressLine) -> String {
    match (line.hub_heat_max_c, line.hub_heat_max_source.as_str()) {
        (Some(limit), "") => format!("The hub may be {limit:.0} °C hot, as was said."),
        (Some(limit), source) => format!("The hub may be {limit:.0} °C hot ({source})."),
        (None, _) => String::new(),
    }
}

/// What was taken because nothing was said, and where it comes from.
pub(super) fn notes(
    asked: &PressAsked,
    friction: Vec<String>,
    materials: &[(Option<&Material>, Option<f64>)],
) -> Vec<String> {
    let mut notes = friction;
    for (at, (row, said)) in materials.iter().enumerate() {
        let is_told = materials.iter().take(at).any(|one| one == &(*row, *said));
        let Some(row) = row.filter(|_| !is_told) else {
            continue;
        };
        let whose = match &*row.house {
            "" => String::new(),
            file => format!(", of {file}"),
        };
        let bears = match row.yield_mpa.filter(|_| said.is_none()) {
            None => String::new(),
            Some(mpa) => format!(
                ", bears {mpa} MPa ({}{})",
                row.yield_kind,
                joined(&row.yield_source)
            ),
        };
        notes.push(format!(
            "{}{}{whose}: E {} GPa ({}), expansion {}e-6/K ({}){bears}.",
            row.designation,
            joined(&row.state),
            row.youngs_modulus_gpa,
            row.youngs_modulus_source,
            row.expansion_um_per_m_k,
            row.expansion_source,
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

/// A comma and the text; nothing where it is empty.
fn joined(text: &str) -> String {
    match text {
        "" => String::new(),
        text => format!(", {text}"),
    }
}

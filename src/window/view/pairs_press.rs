//! What pressing a pair together takes: the measured or intended interference with what is typed
//! of the two halves, as `fitledger press` computes it.

use super::pairs_lines::mm;
use super::pairs_press_asked::{Asked, Fault, asked, fields, press_fault};
use super::said::Said;
use super::words::Words;
use super::{ForceView, PressView};
use crate::pair::{BoreAfter, Press, PressAnswer, PressCaution, force_over_travel, press};
use crate::quantity::Length;
use crate::session::{Paired, Setup};
use crate::window::pairs_room::PressTyped;

/// Pieces of the curve of force over travel.
const CURVE_STEPS: u32 = 8;
const NM_PER_MM: f64 = 1e6;

/// The page of a pair.
pub(super) fn press_page(
    pair: &Paired,
    (typed, setup): (&PressTyped, &Setup),
    (title, skipped): (&str, usize),
    words: Words,
) -> PressView {
    let mut said = Said::as_given(words);
    let mut curve = None;
    let answered = asked(pair, (typed, setup), words).and_then(|asked| match press(&asked.fit) {
        Ok(answer) => Ok((asked, answer)),
        Err(error) => Err(press_fault(error, typed, words)),
    });
    let mut fault = None;
    match answered {
        Ok((asked, answer)) => {
            told(&mut said, &asked, &answer);
            curve = Some(curve_of(&asked.fit, &answer, words));
        }
        Err(Fault { field, text }) => {
            said.strong(&text);
            fault = field;
        }
    }
    let always = PressCaution::ALWAYS.iter();
    PressView {
        title: format!("Press: {title}"),
        fields: fields(pair, (typed, setup), fault),
        curve,
        lines: said.lines,
        skipped,
        cautions: always.map(|one| one.sentence().to_owned()).collect(),
    }
}

fn told(said: &mut Said, asked: &Asked, answer: &PressAnswer) {
    let words = said.words;
    let n = |value: f64, decimals: usize| words.sentence(&format!("{value:.decimals$}"));
    let grip = match answer.holds {
        true => "Every pair grips.",
        false => "The loosest pair does not grip.",
    };
    let bears = match answer.yields {
        Some(true) => "The tightest pair goes beyond what a material bears.",
        Some(false) => "Both parts stay elastic in the tightest pair.",
        None => "Whether both parts stay elastic is not known.",
    };
    said.strong(&format!("{grip} {bears}"));
    if let (Some(bore), Some((_, limits))) = (&answer.bore, asked.fit.bore_mm) {
        said.strong(&bore_words(bore, limits, words));
    }
    let special = answer.cautions.iter();
    for caution in special.filter(|one| !PressCaution::ALWAYS.contains(one)) {
        said.strong(&format!("Caution: {}", caution.sentence()));
    }
    pressures(said, asked, answer);
    let kn = |newton: f64| n(newton / 1e3, 2);
    said.say(&format!(
        "Pressing in takes {} to {} kN at the end of the way; the loosest pair slips at {} to {} \
         kN, or turns at {} to {} N m.",
        kn(answer.press_in_force_n.0),
        kn(answer.press_in_force_n.1),
        kn(answer.slip_force_min_n.0),
        kn(answer.slip_force_min_n.1),
        n(answer.torque_min_nm.0, 1),
        n(answer.torque_min_nm.1, 1)
    ));
    let heat = match asked.fit.hub_heat_max_c {
        Some(most) => format!(" It may be {} °C hot ({}).", n(most, 0), asked.heat_source),
        None => String::new(),
    };
    said.say(&format!(
        "To join the tightest pair by heat: the hub at {} °C, or the shaft at {} °C.{heat}",
        n(answer.hub_temperature_c, 0),
        n(answer.shaft_temperature_c, 0)
    ));
    said.say(&growth_words(answer, words));
    said.say(answer.way.sentence());
    for source in &asked.sources {
        said.say(source);
    }
}

/// Pressure and interference, with what they are held against and where they come from.
fn pressures(said: &mut Said, asked: &Asked, answer: &PressAnswer) {
    let words = said.words;
    let n = |value: f64, decimals: usize| words.sentence(&format!("{value:.decimals$}"));
    let limits = [
        ("hub by von Mises", answer.limits.hub_von_mises_mpa),
        ("hub by Tresca", answer.limits.hub_tresca_mpa),
        ("brittle hub", answer.limits.hub_brittle_mpa),
        ("shaft", answer.limits.shaft_mpa),
    ];
    let limits = limits
        .iter()
        .filter_map(|(name, limit)| Some(format!("{name} {} MPa", n((*limit)?, 0))));
    let limits: Vec<String> = limits.collect();
    let bearing = match limits.is_empty() {
        true => String::new(),
        false => format!("; it may be {}", limits.join(", ")),
    };
    said.say(&format!(
        "Pressure {} to {} MPa{bearing}.",
        n(answer.pressure_min_mpa, 1),
        n(answer.pressure_max_mpa, 1)
    ));
    said.say(&format!(
        "Interference {} to {} µm ({}).",
        n(answer.interference_min_mm * 1e3, 1),
        n(answer.interference_max_mm * 1e3, 1),
        asked.from
    ));
    if answer.smoothing_loss_mm > 0.0 {
        said.say(&format!(
            "Smoothing takes {} µm: the loosest pair keeps {} µm.",
            n(answer.smoothing_loss_mm * 1e3, 1),
            n(answer.effective_interference_min_mm * 1e3, 1)
        ));
    }
}

/// Whether a bush's bore stays within its limits, what it becomes, and what to make it to.
fn bore_words(bore: &BoreAfter, limits_mm: (f64, f64), words: Words) -> String {
    let n = |mm: f64| words.sentence(&format!("{mm:.4}"));
    let range = |(least, most): (f64, f64)| format!("{} to {} mm", n(least), n(most));
    let (after, limits) = (range(bore.after_mm), range(limits_mm));
    match (bore.stays, bore.before_mm) {
        (true, _) => {
            format!("The bush's bore stays within its limits: {after} after pressing, of {limits}.")
        }
        (false, Some(before)) => format!(
            "The bush's bore may leave its limits: {after} after pressing, of {limits}. Make it \
             {} before, and it is within them after.",
            range(before)
        ),
        (false, None) => format!(
            "The bush's bore may leave its limits: {after} after pressing, of {limits}. The \
             shrinkage differs by more than its tolerance: finish it after pressing."
        ),
    }
}

fn growth_words(answer: &PressAnswer, words: Words) -> String {
    let um = |mm: f64| words.sentence(&format!("{:.1}", mm * 1e3));
    let hub = format!(
        "The hub's outside grows by up to {} µm",
        um(answer.hub_growth_max_mm)
    );
    let (least, most) = answer.shaft_bore_shrink_mm;
    match most > 0.0 {
        false => format!("{hub}."),
        true => format!(
            "{hub}; the shaft's bore shrinks by {} to {} µm.",
            um(least),
            um(most)
        ),
    }
}

fn curve_of(fit: &Press, answer: &PressAnswer, words: Words) -> ForceView {
    let along = |pressure: f64, friction: f64| {
        force_over_travel(&fit.joint, (pressure, friction), CURVE_STEPS)
    };
    let low = along(answer.pressure_min_mpa, fit.friction_press_in.0);
    let high = along(answer.pressure_max_mpa, fit.friction_press_in.1);
    let most = high.iter().map(|(_, force)| *force).fold(0.0, f64::max);
    let length = fit.joint.length_mm();
    let placed = |points: &[(f64, f64)]| {
        let places = points.iter().map(|(travel, force)| {
            let share = if most > 0.0 { force / most } else { 0.0 };
            (fraction(travel / length), fraction(share))
        });
        places.collect()
    };
    let kn = |points: &[(f64, f64)]| {
        let end = points.last().map_or(0.0, |(_, force)| *force);
        words.sentence(&format!("{:.2} kN", end / 1e3))
    };
    let (least, largest) = (kn(&low), kn(&high));
    #[allow(clippy::cast_possible_truncation)] // within a millimetre's millionth
    let travel = mm(Length::from_nm((length * NM_PER_MM).round() as i64), words);
    ForceView {
        spoken: format!("force over the way in: {least} to {largest} after {travel} mm"),
        low: placed(&low),
        high: placed(&high),
        travel: format!("{travel} mm"),
        forces: (least, largest),
    }
}

fn fraction(share: f64) -> f32 {
    super::axis::fraction(share.clamp(0.0, 1.0))
}

/// Whether the two may have interference, as they are intended.
pub(super) fn can_press(pair: &Paired) -> bool {
    let fit = pair.intended.as_ref().and_then(|fit| fit.as_ref().ok());
    fit.is_some_and(|fit| fit.least.is_negative())
}

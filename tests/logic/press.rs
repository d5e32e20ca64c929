//! Press and shrink fits against published worked examples and against mechanics.

mod printed;
#[cfg(unix)]
mod program;
mod said;

use fitledger::pair::{
    Elastic, Joint, Press, PressAnswer, PressCaution, Strength, Surfaces, press,
};
use proptest::prelude::*;
use serde_json::Value;

pub(crate) fn example(id: &str) -> Value {
    let text = include_str!("../tables/pair_examples.json");
    let all: Value = serde_json::from_str(text).unwrap();
    let found = all["examples"].as_array().unwrap().iter();
    let mut found = found.filter(|one| one["id"] == id);
    found.next().unwrap_or_else(|| panic!("no {id}")).clone()
}

pub(crate) fn given(example: &Value, name: &str) -> f64 {
    example["given"][name]
        .as_f64()
        .unwrap_or_else(|| panic!("{name}"))
}

/// Every result of the example that is named must be there, to its printed digit where it was
/// published and to seven digits where it was computed; and none is left out.
pub(crate) fn agrees(example: &Value, ours: &[(&str, f64)]) {
    let id = example["id"].as_str().unwrap();
    for result in example["results"].as_array().unwrap() {
        let name = result["name"].as_str().unwrap();
        let found = ours.iter().find(|(known, _)| *known == name);
        let (_, found) = found.unwrap_or_else(|| panic!("{id}: {name} is not computed"));
        let recomputed = result["recomputed"].as_f64().unwrap();
        let near = 2e-7 * recomputed.abs().max(1e-12);
        assert!(
            (found - recomputed).abs() <= near,
            "{id} {name}: {found}, not {recomputed}"
        );
        let Some(published) = result["published"].as_f64() else {
            continue;
        };
        let decimals = i32::try_from(result["published_decimals"].as_i64().unwrap()).unwrap();
        let agrees = (found - published).abs() <= 0.500_001 * 10_f64.powi(-decimals);
        let printed = result["agrees_to_published_rounding"].as_bool().unwrap();
        assert_eq!(
            agrees, printed,
            "{id} {name}: {found} beside the printed {published}"
        );
    }
}

fn steel() -> Elastic {
    Elastic::new(210_000.0, 0.3, 11.5e-6).unwrap()
}

fn near(found: f64, expected: f64, relative: f64) {
    let allowed = relative * expected.abs().max(1e-300);
    assert!(
        (found - expected).abs() <= allowed,
        "{found}, not {expected}"
    );
}

/// The fit of a whole example.
fn fit_of(one: &Value) -> Press {
    let pair = |name: &str| {
        let both = one["given"][name].as_array().unwrap();
        let ends: Vec<f64> = both.iter().map(|end| end.as_f64().unwrap()).collect();
        (ends[0] / 1_000.0, ends[1] / 1_000.0)
    };
    let (shaft, hub) = (pair("shaft_deviations_um"), pair("hub_deviations_um"));
    let elastic = |of: &str| {
        let number = |name: &str| {
            given(
                one,
                &format!(
                    "{name}_{of}{}",
                    match name {
                        "E" => "_MPa",
                        "alpha" => "_per_K",
                        _ => "",
                    }
                ),
            )
        };
        Elastic::new(number("E"), number("nu"), number("alpha")).unwrap()
    };
    let friction = |name: &str| (given(one, name), given(one, name));
    Press {
        joint: Joint::new(
            given(one, "joint_diameter_mm"),
            Some(given(one, "hub_outside_mm")),
            given(one, "shaft_bore_mm"),
            given(one, "length_mm"),
        )
        .unwrap(),
        interference_mm: (shaft.0 - hub.1, shaft.1 - hub.0),
        hub: elastic("hub"),
        shaft: elastic("shaft"),
        hub_strength: Strength::Yields(given(one, "yield_hub_MPa")),
        shaft_strength: Strength::Yields(given(one, "yield_shaft_MPa")),
        surfaces: Surfaces {
            rz_shaft_um: given(one, "Rz_shaft_um"),
            rz_hub_um: given(one, "Rz_hub_um"),
        },
        friction_slip: friction("mu_slip"),
        friction_press_in: friction("mu_press_in"),
        clearance_mm: given(one, "assembly_clearance_mm"),
        room_c: 20.0,
        lengths_mm: None,
        hub_heat_max_c: None,
        is_plastic: false,
        bore_mm: None,
    }
}

fn told(found: &PressAnswer) -> Vec<(&'static str, f64)> {
    let um = 1_000.0;
    let limits = found.limits;
    vec![
        ("max interference", found.interference_max_mm * um),
        ("min interference", found.interference_min_mm * um),
        ("smoothing loss", found.smoothing_loss_mm * um),
        (
            "min effective interference",
            found.effective_interference_min_mm * um,
        ),
        (
            "max pressure (no smoothing, for the stress check)",
            found.pressure_max_mpa,
        ),
        (
            "max pressure (with smoothing)",
            found.pressure_max_smoothed_mpa,
        ),
        ("min pressure (with smoothing)", found.pressure_min_mpa),
        ("hub hoop at bore, max", found.hub_hoop_max_mpa),
        ("hub von Mises, max", found.hub_von_mises_max_mpa),
        ("hub Tresca, max", found.hub_tresca_max_mpa),
        ("shaft hoop governing, max", found.shaft_hoop_max_mpa),
        (
            "elastic pressure limit hub, von Mises",
            limits.hub_von_mises_mpa.unwrap(),
        ),
        (
            "elastic pressure limit hub, Tresca",
            limits.hub_tresca_mpa.unwrap(),
        ),
        (
            "elastic pressure limit shaft, von Mises",
            limits.shaft_mpa.unwrap(),
        ),
        (
            "axial slip force at min pressure",
            found.slip_force_min_n.0 / 1_000.0,
        ),
        (
            "press-in force at max pressure",
            found.press_in_force_n.1 / 1_000.0,
        ),
        (
            "hub outside growth at max pressure (diameter)",
            found.hub_growth_max_mm * um,
        ),
        (
            "hub heating above shaft for max interference + clearance",
            found.hub_heating_k,
        ),
        (
            "shaft cooling below hub for max interference + clearance",
            found.shaft_cooling_k,
        ),
        ("torque at min pressure", found.torque_min_nm.0 / 1_000.0),
        (
            "shaft bore contraction at max pressure (diameter)",
            found.shaft_bore_shrink_mm.1 * um,
        ),
    ]
}

#[test]
fn whole_fits_from_class_to_temperature() {
    for (id, holds) in [("IF-C1", true), ("IF-C2", true), ("IF-C3", false)] {
        let one = example(id);
        let found = press(&fit_of(&one)).unwrap();
        agrees(&one, &told(&found));
        assert_eq!((found.holds, found.yields), (holds, Some(false)), "{id}");
        let says = found.cautions.contains(&PressCaution::NoGrip);
        assert_eq!(says, !holds, "{id}");
        assert_eq!(found.cautions[..4], PressCaution::ALWAYS, "{id}");
    }
}

/// The bore of the hub and the outside of the shaft, moved by the pressure, meet: their strains by
/// Hooke's law from the stresses of the rings, not from the formula of the pressure.
#[test]
fn both_sides_meet_at_the_joint_and_the_work_is_kept() {
    let bronze = Elastic::new(110_000.0, 0.34, 18e-6).unwrap();
    for (outside, bore) in [(60.0, 0.0), (30.0, 14.0), (200.0, 19.0)] {
        let joint = Joint::new(20.0, Some(outside), bore, 25.0).unwrap();
        let interference = 0.03;
        let pressure = joint.contact_pressure_mpa(interference, &bronze, &steel());
        let strain = |stress: fitledger::pair::RingStress, of: &Elastic| {
            (stress.hoop_mpa - of.poisson() * stress.radial_mpa) / of.young_mpa()
        };
        let widens = 20.0 * strain(joint.hub_stress(pressure), &bronze);
        let narrows = 20.0 * strain(joint.shaft_stress_at(pressure, 20.0), &steel());
        near(widens - narrows, interference, 1e-12);
        // The work of the pressure on both sides is the energy of all stresses, summed over thin
        // rings (Simpson's rule over the wall).
        let energy = |from: f64, to: f64, of: &Elastic, at: &dyn Fn(f64) -> (f64, f64)| {
            let n = 2_000_u32;
            let step = (to - from) / f64::from(n);
            (0..=n)
                .map(|k| {
                    let d = from + step * f64::from(k);
                    let (radial, hoop) = at(d);
                    let dense = (radial * radial + hoop * hoop
                        - 2.0 * of.poisson() * radial * hoop)
                        / (2.0 * of.young_mpa());
                    let weight = match k {
                        0 => 1.0,
                        k if k == n => 1.0,
                        k if k % 2 == 1 => 4.0,
                        _ => 2.0,
                    };
                    weight * dense * std::f64::consts::PI * d / 2.0 * step / 3.0
                })
                .sum::<f64>()
        };
        let both = |stress: fitledger::pair::RingStress| (stress.radial_mpa, stress.hoop_mpa);
        let of_hub = energy(20.0, outside, &bronze, &|d| {
            both(joint.hub_stress_at(pressure, d))
        });
        let of_shaft = energy(bore, 20.0, &steel(), &|d| {
            both(joint.shaft_stress_at(pressure, d.max(1e-9)))
        });
        let work = 0.5 * pressure * std::f64::consts::PI * 20.0 * interference / 2.0;
        near(of_hub + of_shaft, work, 1e-6);
    }
}

#[test]
fn a_hub_without_an_end_is_the_limit_of_thick_ones() {
    let pressure = |outside: Option<f64>| {
        let joint = Joint::new(20.0, outside, 0.0, 25.0).unwrap();
        joint.contact_pressure_mpa(0.02, &steel(), &steel())
    };
    // By hand: E U/(2 D) = 210000 * 0.02/40 = 105 MPa.
    near(pressure(None), 105.0, 1e-12);
    near(pressure(Some(20_000.0)), 105.0, 2e-6);
    let endless = Joint::new(20.0, None, 0.0, 25.0).unwrap();
    assert!(endless.hub_growth_mm(105.0, &steel()).abs() < 1e-300);
    near(endless.hub_stress(105.0).hoop_mpa, 105.0, 1e-12);
}

#[test]
fn the_limit_of_the_pressure_is_where_the_stress_is_the_limit() {
    let joint = Joint::new(20.0, Some(37.0), 11.0, 25.0).unwrap();
    let (mises, tresca) = joint.hub_pressure_limits_mpa(340.0);
    near(joint.hub_stress(mises).von_mises_mpa(), 340.0, 1e-12);
    near(joint.hub_stress(tresca).tresca_mpa(), 340.0, 1e-12);
    assert!(tresca < mises);
    let brittle = joint.brittle_hub_pressure_limit_mpa(165.0);
    near(joint.hub_stress(brittle).hoop_mpa, 165.0, 1e-12);
    let shaft = joint.shaft_pressure_limit_mpa(340.0);
    near(joint.shaft_stress(shaft).von_mises_mpa(), 340.0, 1e-12);
    near(joint.shaft_stress(shaft).tresca_mpa(), 340.0, 1e-12);
    let solid = Joint::new(20.0, Some(37.0), 0.0, 25.0).unwrap();
    near(solid.shaft_pressure_limit_mpa(340.0), 340.0, 1e-12);
    near(solid.shaft_stress(340.0).von_mises_mpa(), 340.0, 1e-12);
}

proptest! {
    #[test]
    fn more_interference_presses_harder_and_units_do_not_matter(
        d in 1.0..90.0_f64, wall in 1.05..20.0_f64, bore in 0.0..0.95_f64,
        u in 0.0..0.002_f64, more in 1.0..2.0_f64,
    ) {
        let joint = Joint::new(d, Some(d * wall), d * bore, d).unwrap();
        let (hub, shaft) = (steel(), Elastic::new(110_000.0, 0.34, 18e-6).unwrap());
        let pressure = joint.contact_pressure_mpa(u * d, &hub, &shaft);
        let harder = joint.contact_pressure_mpa(more * u * d, &hub, &shaft);
        prop_assert!(harder >= pressure && pressure >= 0.0);
        prop_assert!((harder - more * pressure).abs() <= 1e-9 * harder);
        // The same in inches: only the ratio counts.
        let inches = Joint::new(d * 10.0, Some(d * wall * 10.0), d * bore * 10.0, d).unwrap();
        let same = inches.contact_pressure_mpa(u * d * 10.0, &hub, &shaft);
        prop_assert!((same - pressure).abs() <= 1e-9 * pressure);
        // A thicker hub presses harder, a hollower shaft less.
        let thicker = Joint::new(d, Some(d * wall * 2.0), d * bore, d).unwrap();
        prop_assert!(thicker.contact_pressure_mpa(u * d, &hub, &shaft) >= pressure);
        prop_assert!(joint.contact_pressure_mpa(-u * d, &hub, &shaft).abs() < 1e-300);
    }
}

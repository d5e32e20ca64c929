//! What the collection of facts about fits says besides: every published example has its test,
//! expansion as textbooks print it, and the traps of sources that are wrong.

use fitledger::material::{Expansion, Joining, friction, material, materials};
use fitledger::measure::{Temperature, Thermal, Thermometer};
use fitledger::pair::{Elastic, Joint, Press, Strength, Surfaces, press, usual_friction};
use fitledger::quantity::{Celsius, Length};
use fitledger::tolerance::clearance_hole;

use crate::press::{agrees, example, given};

/// The tests that take examples by their names.
const TESTS: [&str; 6] = [
    include_str!("press.rs"),
    include_str!("press/printed.rs"),
    include_str!("press/program.rs"),
    include_str!("pair_meeting.rs"),
    include_str!("taper.rs"),
    include_str!("fits_reference.rs"),
];

#[test]
fn every_example_of_the_collection_is_run() {
    let text = include_str!("../tables/pair_examples.json");
    let all: serde_json::Value = serde_json::from_str(text).unwrap();
    let all = all["examples"].as_array().unwrap();
    assert_eq!(all.len(), 34);
    for one in all {
        let id = format!("\"{}\"", one["id"].as_str().unwrap());
        assert!(TESTS.iter().any(|test| test.contains(&id)), "{id}");
    }
}

fn exactly(celsius: f64, per_kelvin: f64) -> (Temperature, Expansion) {
    #[allow(clippy::cast_possible_truncation)] // whole degrees
    let celsius = Celsius::from_milli((celsius * 1e3).round() as i32);
    let temperature = Temperature {
        celsius,
        standard_uncertainty_k: 0.0,
    };
    let expansion = Expansion {
        per_kelvin,
        standard_uncertainty_per_kelvin: 0.0,
    };
    (temperature, expansion)
}

fn thermal(part: (f64, f64), gauge: (f64, f64)) -> Thermal {
    let (part, part_expansion) = exactly(part.0, part.1);
    let (gauge, gauge_expansion) = exactly(gauge.0, gauge.1);
    Thermal {
        part,
        part_expansion,
        gauge,
        gauge_expansion,
        thermometer: Thermometer::Separate,
    }
}

fn size_at_20(indicated_mm: f64, part: (f64, f64), gauge: (f64, f64)) -> f64 {
    let indicated = Length::parse_mm(&format!("{indicated_mm:.6}")).unwrap();
    let size = thermal(part, gauge).size_at_20(indicated).unwrap();
    size.as_nm_f64() / 1e6
}

/// A rod and a rail whose expansion two textbooks print: what a scale at 20 °C must show of it warm,
/// less what it must show of it cold. Of a rail of 12 m, which is on no bench, the tenth part.
#[test]
fn a_rod_and_a_rail_expand_as_printed() {
    let not_expanding = (20.0, 0.0);
    for (id, length_mm, mm_in_printed) in [("TH-01", 2_000, 10.0), ("TH-02", 1_200, 0.1)] {
        let one = example(id);
        let shown = |name: &str| {
            let part = (given(&one, name), given(&one, "alpha_per_K"));
            let thermal = thermal(part, not_expanding);
            let shown = thermal.gauge_must_show(Length::from_um(length_mm * 1_000));
            shown.unwrap().as_nm_f64() / 1e6
        };
        let expansion = (shown("T2_C") - shown("T1_C")) / mm_in_printed;
        agrees(&one, &[("expansion", expansion)]);
    }
}

/// Computed elsewhere to the first order, L (1 - αp ΔTp + αs ΔTs); ours is the exact quotient, so
/// that the second order, L (α ΔT)², lies between them: less than 8 nm in all of these.
#[test]
fn warm_parts_have_the_size_at_20_that_was_computed_elsewhere() {
    for id in ["TH-03", "TH-04", "TH-05"] {
        let one = example(id);
        let indicated = given(&one, "indicated_mm");
        let part = (given(&one, "T_part_C"), given(&one, "alpha_part_per_K"));
        let scale = (given(&one, "T_scale_C"), given(&one, "alpha_scale_per_K"));
        let ours = size_at_20(indicated, part, scale);
        let first = indicated * (1.0 - part.1 * (part.0 - 20.0) + scale.1 * (scale.0 - 20.0));
        agrees(
            &one,
            &[
                ("size at 20 degC", ours),
                ("correction", (first - indicated) * 1e3),
            ],
        );
        let second = indicated * (part.1 * (part.0 - 20.0)).powi(2);
        assert!(
            (ours - first).abs() <= second + 1e-6,
            "{id}: {ours}, {first}"
        );
        assert!(second < 8e-6, "{id}");
    }
    // One temperature and one material: nothing is corrected.
    let both = (27.0, 11.5e-6);
    assert!((size_at_20(50.0, both, both) - 50.0).abs() < 1e-9);
}

/// Open cards print 11e-6/K for 1.4301 (that of ferritic steel) and 236e-6/K for 7075 (ten times
/// too much); handbooks have 16 to 17.2e-6 and 23.4e-6.
#[test]
fn expansions_that_open_cards_print_wrong_are_those_of_handbooks() {
    let expansion = |name: &str| material(name).unwrap().expansion_um_per_m_k;
    assert!((16.0..=17.2).contains(&expansion("1.4301")));
    assert!((23.0..=23.6).contains(&expansion("7075")));
    // No metal of the table is near the slip: the most is that of aluminium, plastics apart.
    for row in materials().iter().filter(|row| row.group != "plastic") {
        assert!(
            (4.0..31.0).contains(&row.expansion_um_per_m_k),
            "{}",
            row.designation
        );
    }
}

/// One public table prints 7.8 for the coarse hole of M7, others 8.
#[test]
fn the_misprinted_clearance_hole_is_that_of_the_other_tables() {
    let mm = |text: &str| Length::parse_mm(text).unwrap();
    let hole = clearance_hole(mm("7")).unwrap();
    assert_eq!(hole.diameters, ["7.4", "7.6", "8"].map(mm));
}

/// A comment on a public chart gives “K = B - L” as the length of the plug: that makes 1:17 of a
/// Morse taper, which is about 1:19 to 1:20.05 (from memory, and as the inch chart's sizes make it).
#[test]
fn a_morse_taper_is_near_one_in_twenty_and_never_one_in_seventeen() {
    for number in 0..=6 {
        let row = fitledger::tolerance::morse_cone(number).unwrap();
        let found = fitledger::pair::taper_by_name(row).unwrap().taper.ratio();
        assert!((18.9..20.1).contains(&found), "Morse {number}: 1:{found}");
    }
}

/// An exercise takes 0.3 for a drive fit: no value to design with. The table never goes beyond
/// 0.25, and is a range by a factor of more than two where steel is pressed into steel.
#[test]
fn no_friction_of_an_exercise_is_in_the_table() {
    let groups: Vec<&str> = materials().iter().map(|row| &*row.group).collect();
    for hub in &groups {
        for shaft in &groups {
            for joining in Joining::WORDS {
                let found = friction([hub, shaft], joining.0, None);
                assert!(found.high <= 0.25, "{hub} {shaft}");
            }
        }
    }
    let (slip, press_in) = usual_friction(["steel", "steel"], None, None);
    assert!(slip.high / slip.low > 2.0 && slip == press_in);
    // Shrunk it holds by other values than it would be pressed in by.
    let (slip, press_in) = usual_friction(["steel", "steel"], Some(Joining::Shrunk), None);
    assert!(slip.low > press_in.high);
}

fn plain(interference_mm: (f64, f64), rz_um: f64) -> Press {
    let steel = Elastic::new(210_000.0, 0.3, 11.5e-6).unwrap();
    Press {
        joint: Joint::new(50.0, Some(100.0), 0.0, 60.0).unwrap(),
        interference_mm,
        hub: steel,
        shaft: steel,
        hub_strength: Strength::Yields(340.0),
        shaft_strength: Strength::Yields(340.0),
        surfaces: Surfaces {
            rz_shaft_um: rz_um,
            rz_hub_um: 0.0,
        },
        friction_slip: (0.1, 0.2),
        friction_press_in: (0.1, 0.2),
        clearance_mm: 0.05,
        room_c: 20.0,
        lengths_mm: None,
        hub_heat_max_c: None,
        is_plastic: false,
        bore_mm: None,
    }
}

/// Three limits of a hub of 340 MPa, q = 1/2: by distortion energy 0.75 · 340/√3.0625 = 145.71,
/// by the largest shear 0.75 · 170 = 127.5, and by the modified shear of DIN 7190 (from memory)
/// 0.75 · 340/√3 = 147.22. The first two are told by their names; the third never.
#[test]
fn which_elastic_limit_is_meant_is_said() {
    let found = press(&plain((0.018, 0.059), 0.0)).unwrap().limits;
    let (mises, tresca) = (
        found.hub_von_mises_mpa.unwrap(),
        found.hub_tresca_mpa.unwrap(),
    );
    assert!((mises - 145.714_286).abs() < 1e-6 && (tresca - 127.5).abs() < 1e-9);
    let modified = 0.75 * 340.0 / 3.0_f64.sqrt();
    assert!((modified - mises) > 1.4);
}

/// Stress counts the largest interference before smoothing, grip the smallest after it; and what is
/// smoothed away whole holds nothing, never less than nothing.
#[test]
fn smoothing_takes_from_the_grip_and_never_from_the_stress() {
    let (smooth, rough) = (plain((0.018, 0.059), 0.0), plain((0.018, 0.059), 12.6));
    let (smooth, rough) = (press(&smooth).unwrap(), press(&rough).unwrap());
    let same = |one: f64, other: f64| (one - other).abs() < 1e-9;
    assert!(same(smooth.pressure_max_mpa, rough.pressure_max_mpa));
    assert!(same(
        smooth.hub_von_mises_max_mpa,
        rough.hub_von_mises_max_mpa
    ));
    // 18 - 10.08 = 7.92 µm of 18.
    assert!(same(
        rough.pressure_min_mpa,
        smooth.pressure_min_mpa * 7.92 / 18.0
    ));
    let gone = press(&plain((0.010, 0.059), 12.6)).unwrap();
    let nothing = [
        gone.pressure_min_mpa,
        gone.slip_force_min_n.0,
        gone.slip_force_min_n.1,
        gone.torque_min_nm.0,
        gone.torque_min_nm.1,
        gone.press_in_force_n.0,
    ];
    assert!(nothing.iter().all(|none| same(*none, 0.0)) && !gone.holds);
}

/// Joining by heat goes by the diameter of the joint, not by the hub's outside: 109 µm on 50 mm at
/// 11.5e-6/K are 189.565 K, whatever the hub.
#[test]
fn the_heat_goes_by_the_diameter_of_the_joint() {
    for outside in [60.0, 100.0, 300.0] {
        let fit = Press {
            joint: Joint::new(50.0, Some(outside), 0.0, 60.0).unwrap(),
            ..plain((0.018, 0.059), 0.0)
        };
        let found = press(&fit).unwrap();
        assert!(
            (found.hub_heating_k - 189.565_217).abs() < 1e-6,
            "{outside}"
        );
    }
}

//! Cones and lobes against printed tables, worked examples and a disc turned in a V.

use fitledger::pair::{
    Balls, MeasuredMm, Rollers, Taper, TaperError, taper_of_diameters, taper_on_sine_bar,
    taper_over_rollers, taper_with_balls, two_point_factor, v_block_factor,
};
use proptest::prelude::*;

use crate::press::{agrees, example, given};

fn exact(value_mm: f64) -> MeasuredMm {
    MeasuredMm {
        value_mm,
        standard_mm: 0.0,
    }
}

fn unsure(value_mm: f64, standard_mm: f64) -> MeasuredMm {
    MeasuredMm {
        value_mm,
        standard_mm,
    }
}

#[test]
fn cones_have_the_angles_that_the_standard_prints() {
    let table = include_str!("../tables/cones.csv");
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let fields: Vec<&str> = line.splitn(3, ',').collect();
        let (x, printed): (f64, f64) = (fields[0].parse().unwrap(), fields[1].parse().unwrap());
        let taper = Taper::of_ratio(x).unwrap();
        // The rows of angles print their ratio, those of ratios their angle.
        match fields[0].len() > 5 {
            true => {
                let found = Taper::of_angle(printed).unwrap().ratio();
                assert!((found - x).abs() <= 5e-8, "{line}: {found}");
            }
            false => {
                let found = taper.angle_degrees();
                assert!((found - printed).abs() <= 5e-9, "{line}: {found}");
            }
        }
        rows += 1;
    }
    assert_eq!(rows, 21);
}

#[test]
fn examples_of_ratios_bars_slides_and_tailstocks_as_printed() {
    for (id, x) in [
        ("TP-03", 3.0),
        ("TP-05", 5.0),
        ("TP-10", 10.0),
        ("TP-20", 20.0),
        ("TP-50", 50.0),
    ] {
        let found = Taper::of_ratio(x).unwrap().angle_degrees();
        agrees(&example(id), &[("cone angle", found)]);
    }
    let one = example("TP-S1");
    let found = Taper::of_angle(given(&one, "angle_deg")).unwrap();
    let height = found.sine_bar_height_mm(given(&one, "length_in"));
    agrees(&one, &[("gauge block height", height)]);
    let one = example("TP-O1");
    let (large, small) = (given(&one, "large_in"), given(&one, "small_in"));
    let length = given(&one, "length_in");
    let found = Taper::of_diameters(large, small, length).unwrap();
    agrees(&one, &[("set-over", found.tailstock_offset_mm(length))]);
    let one = example("TP-T1");
    let found = Taper::of_angle(given(&one, "included_angle_deg")).unwrap();
    agrees(&one, &[("taper per inch", found.per_mm())]);
    let found = Taper::of_ratio(12.0).unwrap();
    agrees(
        &example("TP-TS"),
        &[
            ("top slide angle", found.half_angle_degrees()),
            (
                "indicator change over 100 mm of slide travel against a parallel bar",
                found.indicator_over_travel_mm(100.0),
            ),
        ],
    );
}

#[test]
fn plugs_over_rollers_and_rings_with_balls_as_computed_elsewhere() {
    let one = example("TP-R1");
    let found = taper_of_diameters(
        exact(given(&one, "M1_in")),
        exact(given(&one, "M2_in")),
        exact(given(&one, "h_step_in")),
    )
    .unwrap();
    agrees(&one, &[("half angle", found.taper.half_angle_degrees())]);
    let one = example("TP-R2");
    let found = taper_over_rollers(&Rollers {
        roller_mm: given(&one, "roller_diameter_mm"),
        low: exact(given(&one, "h1_mm")),
        over_low: exact(given(&one, "M1_mm")),
        high: exact(given(&one, "h2_mm")),
        over_high: exact(given(&one, "M2_mm")),
    })
    .unwrap();
    let plate = found.diameter_mm.unwrap();
    let top = plate + found.taper.per_mm() * given(&one, "plug_height_mm");
    agrees(
        &one,
        &[
            ("half angle", found.taper.half_angle_degrees()),
            ("taper ratio x (1:x)", found.taper.ratio()),
            ("diameter at the plate", plate),
            ("diameter at the top", top),
        ],
    );
    let one = example("TP-B1");
    let found = taper_with_balls(&Balls {
        small_mm: given(&one, "small_ball_mm"),
        small_depth: exact(given(&one, "small_top_below_face_mm")),
        large_mm: given(&one, "large_ball_mm"),
        large_depth: exact(given(&one, "large_top_below_face_mm")),
    })
    .unwrap();
    agrees(
        &one,
        &[
            ("half angle", found.taper.half_angle_degrees()),
            ("included angle", found.taper.angle_degrees()),
            ("mouth diameter", found.diameter_mm.unwrap()),
        ],
    );
}

/// By hand: tan(a/2) = (D1 - D2)/(2 L), so u = cos² (u1, u2)/(2 L) and sin cos uL/L.
#[test]
fn the_angle_is_as_unsure_as_what_it_comes_from() {
    let (large, small, between) = (unsure(24.0, 0.002), unsure(20.0, 0.001), unsure(40.0, 0.01));
    let found = taper_of_diameters(large, small, between).unwrap();
    let half = (4.0_f64 / 80.0).atan();
    let cos2 = half.cos() * half.cos();
    let parts = [
        cos2 * 0.002 / 80.0,
        cos2 * 0.001 / 80.0,
        half.sin() * half.cos() * 0.01 / 40.0,
    ];
    let u = parts
        .iter()
        .map(|part| part * part)
        .sum::<f64>()
        .sqrt()
        .to_degrees();
    assert!(
        (found.half_standard_degrees - u).abs() < 1e-6 * u,
        "{found:?} {u}"
    );
    // A sine bar: half of u(a) = dH/(L cos a).
    let found = taper_on_sine_bar(unsure(30.0, 0.001), exact(100.0)).unwrap();
    let u = 0.5 * (0.001 / (100.0 * (0.3_f64).asin().cos())).to_degrees();
    assert!((found.half_standard_degrees - u).abs() < 1e-6 * u);
    assert!((found.taper.sine_bar_height_mm(100.0) - 30.0).abs() < 1e-9);
}

#[test]
fn a_larger_ring_slides_along_by_the_ratio() {
    let found = Taper::of_ratio(20.0).unwrap();
    assert!((found.axial_shift_mm(0.05) - 1.0).abs() < 1e-12);
    assert!((found.diameter_at_mm(25.0, 40.0) - 23.0).abs() < 1e-12);
}

#[test]
fn what_makes_no_cone_says_why() {
    let code = |found: Result<Taper, TaperError>| found.unwrap_err().code();
    for x in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9] {
        assert_eq!(code(Taper::of_ratio(x)), "out_of_range", "{x}");
    }
    for angle in [0.0, 180.0, f64::NAN] {
        assert_eq!(code(Taper::of_angle(angle)), "out_of_range");
    }
    assert_eq!(code(Taper::of_diameters(20.0, 20.0, 10.0)), "not_a_cone");
    assert_eq!(
        code(Taper::of_diameters(20.0, f64::NAN, 10.0)),
        "out_of_range"
    );
    assert_eq!(code(Taper::of_diameters(20.0, 10.0, 0.0)), "out_of_range");
    let rollers = Rollers {
        roller_mm: 10.0,
        low: exact(10.0),
        over_low: exact(50.0),
        high: exact(50.0),
        over_high: exact(54.0),
    };
    let refused = |rollers: Rollers| taper_over_rollers(&rollers).unwrap_err();
    let turned = refused(Rollers {
        over_high: exact(49.0),
        ..rollers
    });
    assert!(
        turned.to_string().contains("turn the plug round"),
        "{turned}"
    );
    let low = refused(Rollers {
        high: exact(10.0),
        ..rollers
    });
    assert_eq!(low.code(), "not_a_cone");
    let balls = Balls {
        small_mm: 15.0,
        small_depth: exact(35.0),
        large_mm: 20.0,
        large_depth: exact(-5.0),
    };
    for odd in [
        Balls {
            large_mm: 15.0,
            ..balls
        },
        Balls {
            small_depth: exact(-3.0),
            ..balls
        },
        Balls {
            large_depth: exact(f64::NAN),
            ..balls
        },
    ] {
        assert_eq!(taper_with_balls(&odd).unwrap_err().code(), "not_a_cone");
    }
    assert!(taper_on_sine_bar(exact(100.0), exact(100.0)).is_err());
}

#[test]
fn lobes_are_magnified_as_the_table_says() {
    let table = include_str!("../tables/v_block.csv");
    let angles = [60.0, 72.0, 90.0, 108.0, 120.0];
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let fields: Vec<&str> = line.split(',').collect();
        let lobes: u32 = fields[0].parse().unwrap();
        for (angle, field) in angles.iter().zip(&fields[1..6]) {
            let printed: f64 = field.parse().unwrap();
            let found = v_block_factor(lobes, *angle);
            assert!(
                (found - printed).abs() <= 5.000_1e-4,
                "{lobes} {angle}: {found}"
            );
        }
        let printed: f64 = fields[6].parse().unwrap();
        assert!((two_point_factor(lobes) - printed).abs() < 1e-12);
        rows += 1;
    }
    assert_eq!(rows, 23);
    for (lobes, angle) in [(0, 90.0), (1, 90.0), (3, 0.0), (3, 180.0), (3, f64::NAN)] {
        assert!(v_block_factor(lobes, angle).abs() < 1e-300);
    }
}

/// A disc whose outline lies `1 + 0.001 cos(n t)` away in every direction `t`, turned in a V: it
/// touches both sides, and the indicator above follows its top. Geometry alone, not the formula.
#[test]
fn a_lobed_disc_turned_in_a_v_moves_the_indicator_by_the_factor() {
    let small = 0.001;
    for (lobes, v) in [
        (2, 90.0),
        (3, 90.0),
        (3, 60.0),
        (5, 108.0),
        (7, 90.0),
        (8, 90.0),
        (4, 120.0),
    ] {
        let reach = |direction: f64| 1.0 + small * (f64::from(lobes) * direction).cos();
        let half = f64::to_radians(v / 2.0);
        let pi = std::f64::consts::PI;
        let (left, right) = (pi + half, 2.0 * pi - half);
        let reading = |turned: f64| {
            // The centre sinks until both sides touch: two lines, two unknowns.
            let (a, b) = (1.0 - reach(left - turned), 1.0 - reach(right - turned));
            let determinant = left.cos() * right.sin() - right.cos() * left.sin();
            let y = (left.cos() * b - right.cos() * a) / determinant;
            reach(pi / 2.0 - turned) + y
        };
        let all: Vec<f64> = (0..7_200)
            .map(|k| reading(f64::from(k) * pi / 3_600.0))
            .collect();
        let (least, most) = all.iter().fold((f64::MAX, f64::MIN), |(least, most), one| {
            (least.min(*one), most.max(*one))
        });
        let found = (most - least) / (2.0 * small);
        let expected = v_block_factor(lobes, v);
        assert!(
            (found - expected).abs() < 1e-5,
            "{lobes} lobes in {v}: {found}, {expected}"
        );
    }
}

proptest! {
    #[test]
    fn a_cone_is_the_same_however_it_was_found(x in 0.3..500.0_f64, large in 5.0..100.0_f64) {
        let cone = Taper::of_ratio(x).unwrap();
        prop_assert!((cone.ratio() - x).abs() < 1e-9 * x);
        let again = Taper::of_angle(cone.angle_degrees()).unwrap();
        prop_assert!((again.ratio() - x).abs() < 1e-9 * x);
        // Its small end, as far away as it has half its diameter.
        let length = large * x / 2.0;
        prop_assume!(length < 10_000.0);
        let small = cone.diameter_at_mm(large, length);
        let again = Taper::of_diameters(large, small, length).unwrap();
        prop_assert!((again.ratio() - x).abs() < 1e-6 * x);
        // Rollers on a plug of that cone: where they touch follows from the cone.
        let (d, plate) = (6.0, large);
        let half = cone.half_angle_degrees().to_radians();
        let over = |h: f64| plate + cone.per_mm() * (h + d / 2.0) + d * (1.0 + 1.0 / half.cos());
        let found = taper_over_rollers(&Rollers {
            roller_mm: d,
            low: exact(5.0),
            over_low: exact(over(5.0)),
            high: exact(25.0),
            over_high: exact(over(25.0)),
        }).unwrap();
        prop_assert!((found.taper.ratio() - x).abs() < 1e-6 * x);
        prop_assert!((found.diameter_mm.unwrap() - plate).abs() < 1e-6);
    }
}

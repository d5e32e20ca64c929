//! Cones and lobes against printed tables, worked examples and a disc turned in a V.

use fitledger::pair::{
    Balls, MeasuredMm, MeasuredTaper, Rollers, Taper, TaperError, nearest_named, taper_by_name,
    taper_known, taper_of_diameters, taper_on_sine_bar, taper_over_rollers, taper_with_balls,
    two_point_factor, v_block_factor,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{CONE_TEXTS, morse_cone, named_cones};
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
    let height = found.sine_bar_height_mm(given(&one, "length_in")).unwrap();
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
        roller: exact(given(&one, "roller_diameter_mm")),
        low: exact(given(&one, "h1_mm")),
        over_low: exact(given(&one, "M1_mm")),
        high: exact(given(&one, "h2_mm")),
        over_high: exact(given(&one, "M2_mm")),
    })
    .unwrap();
    let plate = found.diameter.unwrap().value_mm;
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
        small: exact(given(&one, "small_ball_mm")),
        small_depth: exact(given(&one, "small_top_below_face_mm")),
        large: exact(given(&one, "large_ball_mm")),
        large_depth: exact(given(&one, "large_top_below_face_mm")),
    })
    .unwrap();
    agrees(
        &one,
        &[
            ("half angle", found.taper.half_angle_degrees()),
            ("included angle", found.taper.angle_degrees()),
            ("mouth diameter", found.diameter.unwrap().value_mm),
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
    let found = taper_on_sine_bar(unsure(30.0, 0.001), exact(100.0), None).unwrap();
    let u = 0.5 * (0.001 / (100.0 * (0.3_f64).asin().cos())).to_degrees();
    assert!((found.half_standard_degrees - u).abs() < 1e-6 * u);
    let height = found.taper.sine_bar_height_mm(100.0).unwrap();
    assert!((height - 30.0).abs() < 1e-9);
}

#[test]
fn a_larger_ring_slides_along_by_the_ratio() {
    let found = taper_known(Taper::of_ratio(20.0).unwrap(), Some(exact(25.0))).unwrap();
    assert!((found.axial_move(exact(0.05)).value_mm - 1.0).abs() < 1e-12);
    assert!((found.diameter_at(exact(40.0)).unwrap().value_mm - 23.0).abs() < 1e-12);
}

#[test]
fn what_makes_no_cone_says_why() {
    let code = |found: Result<Taper, TaperError>| found.unwrap_err().code();
    for x in [0.0, -1.0, f64::NAN, f64::INFINITY, 1e-9] {
        assert_eq!(code(Taper::of_ratio(x)), "out_of_range", "{x}");
    }
    let slip = Taper::of_ratio(-12.0).unwrap_err().to_string();
    assert!(slip.starts_with("The x of the ratio 1:x is -12;"), "{slip}");
    for angle in [0.0, 1e-300, 180.0, f64::NAN] {
        assert_eq!(code(Taper::of_angle(angle)), "out_of_range");
    }
    assert_eq!(code(Taper::of_ratio(1e300)), "out_of_range");
    assert!(Taper::of_ratio(1e8).is_ok() && Taper::of_angle(179.0).is_ok());
    assert_eq!(code(Taper::of_diameters(20.0, 20.0, 10.0)), "not_a_cone");
    assert_eq!(
        code(Taper::of_diameters(20.0, f64::NAN, 10.0)),
        "out_of_range"
    );
    assert_eq!(code(Taper::of_diameters(20.0, 10.0, 0.0)), "out_of_range");
    // A cone may come to a point, and the error says so.
    assert!(Taper::of_diameters(20.0, 0.0, 10.0).is_ok());
    let below = Taper::of_diameters(20.0, -1.0, 10.0).unwrap_err();
    assert_eq!(
        below.to_string(),
        "The small diameter is -1; it must be 0 to 10 000 mm."
    );
    let rollers = Rollers {
        roller: exact(10.0),
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
        small: exact(15.0),
        small_depth: exact(35.0),
        large: exact(20.0),
        large_depth: exact(-5.0),
    };
    for odd in [
        Balls {
            large: exact(15.0),
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
    assert!(taper_on_sine_bar(exact(100.0), exact(100.0), None).is_err());
}

#[test]
fn what_gives_a_bad_reading_is_refused_with_what_to_do() {
    // sin 45° = 0.70711: blocks of 70.71 on a bar of 100 are still allowed, 70.72 are not.
    assert!(taper_on_sine_bar(exact(70.71), exact(100.0), None).is_ok());
    let steep = taper_on_sine_bar(exact(70.72), exact(100.0), None).unwrap_err();
    assert_eq!(steep.code(), "sine_bar_too_steep");
    assert!(steep.to_string().contains("above 45"), "{steep}");
    assert!(steep.hint().unwrap().contains("90 degrees less the angle"));
    let right = Taper::of_angle(45.0).unwrap();
    assert!((right.sine_bar_height_mm(100.0).unwrap() - 70.710_678_118_7).abs() < 1e-9);
    let over = Taper::of_angle(45.001).unwrap().sine_bar_height_mm(100.0);
    assert_eq!(over.unwrap_err().code(), "sine_bar_too_steep");
    assert!(right.sine_bar_height_mm(0.0).is_err());
    let rollers = Rollers {
        roller: exact(0.0),
        low: exact(0.0),
        over_low: exact(50.0),
        high: exact(40.0),
        over_high: exact(54.0),
    };
    let nothing = taper_over_rollers(&rollers).unwrap_err();
    assert!(
        nothing.to_string().contains("diameter of the rollers is 0"),
        "{nothing}"
    );
    let of = |d: f64, low: f64| Rollers {
        roller: exact(d),
        low: exact(low),
        ..rollers
    };
    assert!(
        taper_over_rollers(&of(10.0, 0.0)).is_ok(),
        "rollers on the plate itself"
    );
    for (d, low) in [(10.0, -1.0), (10.0, f64::NAN), (30.0, 0.0)] {
        assert!(taper_over_rollers(&of(d, low)).is_err(), "{d} {low}");
    }
    let wide = taper_over_rollers(&of(30.0, 0.0)).unwrap_err();
    assert!(wide.to_string().contains("no width at the plate"), "{wide}");
    // A ball of 20 whose top stands 14 mm above the face: its centre is 4 mm above.
    let balls = Balls {
        small: exact(15.0),
        small_depth: exact(20.0),
        large: exact(20.0),
        large_depth: exact(-14.0),
    };
    let above = taper_with_balls(&balls).unwrap_err();
    assert!(
        above.to_string().contains("touch above the face"),
        "{above}"
    );
    let odd = taper_of_diameters(unsure(24.0, -0.001), exact(20.0), exact(40.0)).unwrap_err();
    assert_eq!(odd.code(), "out_of_range");
}

/// Morse: the ratio of the inch sizes of a chart, and its large end, against our rows.
#[test]
fn morse_tapers_have_the_sizes_of_the_inch_chart() {
    let table = include_str!("../tables/morse.csv");
    let mut rows = 0;
    for line in table.lines().skip(1) {
        let fields: Vec<&str> = line.splitn(6, ',').collect();
        let number = |at: usize| fields[at].parse::<f64>().unwrap();
        let row = morse_cone(fields[0].parse().unwrap()).unwrap();
        let x = number(4) / (number(2) - number(3));
        let found = taper_by_name(row).unwrap().taper.ratio();
        // The rows hold three decimals.
        assert!((found - x).abs() < 5.1e-4, "{line}: {found}, {x}");
        assert_eq!(
            row.gauge_diameter.unwrap(),
            Length::parse_mm(fields[1]).unwrap()
        );
        // The inch chart rounds to a thousandth (to a ten-thousandth of number 0).
        assert!((row.gauge_diameter.unwrap().as_nm_f64() / 25.4e6 - number(2)).abs() < 5.1e-4);
        rows += 1;
    }
    assert_eq!(rows, 7);
    assert!(morse_cone(7).is_none());
    let lines: usize = CONE_TEXTS
        .iter()
        .map(|(_, text)| text.lines().count() - 1)
        .sum();
    assert_eq!((named_cones().len(), lines), (28, 28));
    for row in named_cones() {
        let cone = taper_by_name(row).unwrap();
        let near = nearest_named(&cone.taper).unwrap();
        assert_eq!(near.row.name, row.name, "its own neighbour");
        assert!(!row.source.is_empty());
    }
    let near = nearest_named(&Taper::of_ratio(20.021).unwrap()).unwrap();
    assert_eq!(near.row.name, "Morse 2");
}

/// The rows of the series against the angles that are printed beside them elsewhere.
#[test]
fn the_series_of_cones_is_that_of_the_standard() {
    let table = include_str!("../tables/cones.csv");
    let printed = table.lines().skip(1).map(|line| {
        let mut fields = line.split(',').map(|field| field.parse::<f64>());
        (
            fields.next().unwrap().unwrap(),
            fields.next().unwrap().unwrap(),
        )
    });
    let series = named_cones().iter().filter(|row| row.morse.is_none());
    let mut rows = 0;
    for (row, (x, angle)) in series.zip(printed) {
        let cone = taper_by_name(row).unwrap().taper;
        assert!((cone.angle_degrees() - angle).abs() <= 5e-9, "{}", row.name);
        assert!((cone.ratio() - x).abs() <= 5e-8, "{}", row.name);
        rows += 1;
    }
    assert_eq!(rows, 21);
}

/// A generator of its own (splitmix64) and the sum of twelve: normal enough for 2 %.
struct Drawn(u64);

impl Drawn {
    fn uniform(&mut self) -> f64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        f64::from(u32::try_from((z ^ (z >> 31)) >> 32).unwrap()) / 4_294_967_296.0
    }

    fn near(&mut self, one: MeasuredMm) -> MeasuredMm {
        let normal: f64 = (0..12).map(|_| self.uniform()).sum::<f64>() - 6.0;
        exact(one.value_mm + normal * one.standard_mm)
    }
}

fn spread(values: &[f64]) -> f64 {
    let n = f64::from(u32::try_from(values.len()).unwrap());
    let mean = values.iter().sum::<f64>() / n;
    (values.iter().map(|one| (one - mean).powi(2)).sum::<f64>() / n).sqrt()
}

/// What is told as standard uncertainty is the standard deviation of results from readings drawn
/// at random: angle, diameter at the place, diameter further along, change over a move.
#[test]
fn uncertainties_are_the_spread_of_results_from_readings_drawn_at_random() {
    let rollers = Rollers {
        roller: unsure(10.0, 0.000_5),
        low: unsure(10.0, 0.000_3),
        over_low: unsure(50.0, 0.002),
        high: unsure(50.0, 0.000_3),
        over_high: unsure(54.0, 0.002),
    };
    let balls = Balls {
        small: unsure(15.0, 0.000_5),
        small_depth: unsure(35.0, 0.003),
        large: unsure(20.0, 0.000_5),
        large_depth: unsure(-5.0, 0.002),
    };
    let diameters = [unsure(24.0, 0.002), unsure(20.0, 0.003), unsure(40.0, 0.02)];
    let bar = [
        unsure(30.0, 0.001),
        unsure(100.0, 0.002),
        unsure(25.0, 0.002),
    ];
    let (along, axial) = (unsure(12.0, 0.01), unsure(3.0, 0.02));
    let told = |one: &MeasuredTaper| {
        let at = one.diameter_at(along).unwrap();
        let change = one.diameter_change(axial);
        [
            one.half_standard_degrees,
            one.diameter.unwrap().standard_mm,
            at.standard_mm,
            change.standard_mm,
        ]
    };
    let drawn = |one: &MeasuredTaper, along: MeasuredMm, axial: MeasuredMm| {
        let at = one.diameter_at(along).unwrap().value_mm;
        let change = one.diameter_change(axial).value_mm;
        [
            one.taper.half_angle_degrees(),
            one.diameter.unwrap().value_mm,
            at,
            change,
        ]
    };
    type Made<'a> = Box<dyn Fn(&mut dyn FnMut(MeasuredMm) -> MeasuredMm) -> MeasuredTaper + 'a>;
    let methods: [Made<'_>; 4] = [
        Box::new(|of| {
            let [large, small, length] = diameters.map(of);
            taper_of_diameters(large, small, length).unwrap()
        }),
        Box::new(|of| {
            taper_over_rollers(&Rollers {
                roller: of(rollers.roller),
                low: of(rollers.low),
                over_low: of(rollers.over_low),
                high: of(rollers.high),
                over_high: of(rollers.over_high),
            })
            .unwrap()
        }),
        Box::new(|of| {
            taper_with_balls(&Balls {
                small: of(balls.small),
                small_depth: of(balls.small_depth),
                large: of(balls.large),
                large_depth: of(balls.large_depth),
            })
            .unwrap()
        }),
        Box::new(|of| {
            let [height, length, large] = bar.map(of);
            taper_on_sine_bar(height, length, Some(large)).unwrap()
        }),
    ];
    let mut random = Drawn(8);
    for (at, method) in methods.iter().enumerate() {
        let expected = told(&method(&mut |one| one));
        let mut results = [const { Vec::new() }; 4];
        for _ in 0..20_000 {
            let one = method(&mut |length| random.near(length));
            let all = drawn(&one, random.near(along), random.near(axial));
            for (list, value) in results.iter_mut().zip(all) {
                list.push(value);
            }
        }
        for (what, (list, expected)) in results.iter().zip(expected).enumerate() {
            let found = spread(list);
            // 20 000 draws: the deviation is known to 0.5 %; four of them.
            assert!(
                (found - expected).abs() < 0.02 * expected,
                "{at} {what}: {found}, {expected}"
            );
        }
    }
}

#[test]
fn a_move_along_the_axis_and_a_change_of_diameter_belong_together() {
    let cone = taper_known(Taper::of_ratio(20.0).unwrap(), Some(unsure(25.0, 0.002))).unwrap();
    let change = cone.diameter_change(unsure(3.0, 0.02));
    assert!((change.value_mm - 0.15).abs() < 1e-12 && (change.standard_mm - 0.001).abs() < 1e-9);
    let moved = cone.axial_move(unsure(0.15, 0.001));
    assert!((moved.value_mm - 3.0).abs() < 1e-12 && (moved.standard_mm - 0.02).abs() < 1e-9);
    // The diameter's own uncertainty and that of the place: √(0.002² + (0.04/20)²).
    let at = cone.diameter_at(unsure(40.0, 0.04)).unwrap();
    assert!((at.value_mm - 23.0).abs() < 1e-12);
    assert!((at.standard_mm - 0.002_f64.hypot(0.002)).abs() < 1e-9);
    // The far end of two measured diameters is as unsure as it was measured, no more.
    let cone = taper_of_diameters(unsure(24.0, 0.002), unsure(20.0, 0.003), unsure(40.0, 0.0));
    let small = cone.unwrap().diameter_at(exact(40.0)).unwrap();
    assert!((small.value_mm - 20.0).abs() < 1e-12 && (small.standard_mm - 0.003).abs() < 1e-9);
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
        let small = large - cone.per_mm() * length;
        let again = Taper::of_diameters(large, small, length).unwrap();
        prop_assert!((again.ratio() - x).abs() < 1e-6 * x);
        // Rollers on a plug of that cone: where they touch follows from the cone.
        let (d, plate) = (6.0, large);
        let half = cone.half_angle_degrees().to_radians();
        let over = |h: f64| plate + cone.per_mm() * (h + d / 2.0) + d * (1.0 + 1.0 / half.cos());
        let found = taper_over_rollers(&Rollers {
            roller: exact(d),
            low: exact(5.0),
            over_low: exact(over(5.0)),
            high: exact(25.0),
            over_high: exact(over(25.0)),
        }).unwrap();
        prop_assert!((found.taper.ratio() - x).abs() < 1e-6 * x);
        prop_assert!((found.diameter.unwrap().value_mm - plate).abs() < 1e-6);
    }
}

#[cfg(unix)]
mod program {
    use std::fs;

    use serde_json::{Value, json};

    use super::{example, given};
    use crate::support::program::Shop;

    fn answers(lines: &[Value]) -> (Vec<Value>, i32) {
        let shop = Shop::in_memory();
        let lines: Vec<String> = lines.iter().map(Value::to_string).collect();
        let answer = shop.run(&["taper", "--json"], &(lines.join("\n") + "\n"));
        assert_eq!(answer.lines.len(), lines.len(), "{}", answer.text);
        (answer.lines, answer.code)
    }

    fn number(line: &Value, field: &str) -> f64 {
        let text = line[field]
            .as_str()
            .unwrap_or_else(|| panic!("{field} in {line}"));
        text.parse().unwrap()
    }

    fn near(line: &Value, field: &str, expected: f64, within: f64) {
        let found = number(line, field);
        assert!(
            (found - expected).abs() <= within,
            "{field}: {found}, not {expected}"
        );
    }

    /// The worked examples: what is printed, to its last digit.
    #[test]
    fn the_command_answers_the_examples_by_the_names_of_the_contract() {
        let (rollers, balls) = (example("TP-R2"), example("TP-B1"));
        let field = |of: &Value, name: &str| json!(given(of, name));
        let lines = [
            json!({"kind": "ratio", "taper": "1:3"}),
            json!({"kind": "ratio", "x": 20}),
            json!({"kind": "ratio", "taper": "1:12", "slide_travel_mm": 100}),
            json!({"kind": "ratio", "included_angle_deg": 30, "set_on_bar_mm": 127}),
            json!({"kind": "diameters", "large_mm": 76.2, "small_mm": 50.8, "length_mm": 304.8,
                "between_centres_mm": 304.8}),
            json!({"kind": "rollers", "roller_diameter_mm": field(&rollers, "roller_diameter_mm"),
                "M1_mm": 50.0, "h1_mm": 10, "M2_mm": 54.0, "h2_mm": 50, "plug_height_mm": 80}),
            json!({"kind": "balls", "small_ball_mm": field(&balls, "small_ball_mm"),
                "large_ball_mm": 20, "small_top_below_face_mm": 35,
                "large_top_below_face_mm": -5}),
            json!({"kind": "diameters", "large_mm": 18.923, "small_mm": 15.748,
                "length_mm": 25.4}),
            json!({"kind": "ratio", "half_angle_deg": "13.5", "set_on_bar_mm": 127}),
        ];
        let (found, code) = answers(&lines);
        assert_eq!(code, 0);
        near(&found[0], "included_angle_deg", 18.924_644_42, 5.1e-9);
        near(&found[1], "included_angle_deg", 2.864_192_37, 5.1e-9);
        near(&found[2], "top_slide_deg", 2.385_944, 5e-7);
        near(
            &found[2],
            "top_slide_from_cross_deg",
            90.0 - 2.385_944,
            5e-7,
        );
        near(&found[2], "indicator_change_mm", 4.163_054_5, 1e-6);
        assert!((found[3]["taper_per_mm"].as_f64().unwrap() - 0.535_90).abs() < 5e-6);
        near(&found[4], "tailstock_setover_mm", 0.50 * 25.4, 1e-9);
        near(&found[5], "half_angle_deg", 2.862_405_2, 5e-8);
        near(&found[5], "small_mm", 28.487_508, 1e-6);
        near(&found[5], "large_mm", 36.487_508, 1e-6);
        assert_eq!(found[5]["nearest"]["name"], "1:10");
        near(&found[6], "half_angle_deg", 3.822_553_7, 5e-8);
        near(&found[6], "included_angle_deg", 7.645_107_5, 1e-7);
        near(&found[6], "large_mm", 20.712_746, 1e-6);
        near(&found[7], "half_angle_deg", 3.5763, 5e-5);
        near(&found[8], "sine_bar_height_mm", 2.270 * 25.4, 0.0005 * 25.4);
        for line in &found {
            assert!(
                (number(line, "included_angle_deg") - 2.0 * number(line, "half_angle_deg")).abs()
                    < 2e-8
            );
            assert_eq!(line["half_angle_u_deg"], Value::Null);
        }
    }

    #[test]
    fn named_cones_unsure_readings_and_moves_along_the_axis() {
        let lines = [
            json!({"kind": "ratio", "morse": 2, "length_mm": 64}),
            json!({"kind": "ratio", "taper": "morse 3"}),
            json!({"kind": "ratio", "taper": "1:10", "small_mm": 20, "small_u_mm": 0.002,
                "length_mm": 50, "length_u_mm": 0.02, "axial_move_mm": 1.5,
                "axial_move_u_mm": 0.05}),
            json!({"kind": "ratio", "taper": "1:10", "large_mm": 25, "small_mm": 20}),
            json!({"kind": "diameters", "large_mm": 24, "large_u_mm": 0.002, "small_mm": 20,
                "small_u_mm": 0.001, "length_mm": 40, "length_u_mm": 0.01,
                "diameter_change_mm": 0.1}),
            json!({"kind": "sine_bar", "bar_mm": 100, "height_mm": 5, "height_u_mm": 0.001,
                "large_mm": 30, "length_mm": 60}),
            json!({"kind": "ratio", "taper": "37,5°"}),
        ];
        let (found, code) = answers(&lines);
        assert_eq!(code, 0, "{found:?}");
        assert_eq!(
            (&found[0]["name"], &found[0]["ratio"]),
            (&json!("Morse 2"), &json!("1:20.02"))
        );
        near(&found[0], "large_mm", 17.780, 1e-9);
        near(&found[0], "small_mm", 17.780 - 64.0 / 20.02, 1e-6);
        assert!(
            found[0]["source"]
                .as_str()
                .unwrap()
                .contains("from memory of ISO 296")
        );
        assert_eq!(found[1]["name"], "Morse 3");
        near(&found[2], "large_mm", 25.0, 1e-9);
        near(&found[2], "large_u_mm", 0.002_f64.hypot(0.002), 1e-6);
        near(&found[2], "diameter_change_mm", 0.15, 1e-9);
        near(&found[2], "diameter_change_u_mm", 0.005, 1e-6);
        near(&found[3], "length_mm", 50.0, 1e-9);
        // By hand, as in the test of the room below: cos² (u1, u2)/(2 L) and sin cos uL/L.
        let half = (4.0_f64 / 80.0).atan();
        let slope = half.cos() * half.cos() / 80.0;
        let along = half.sin() * half.cos() * 0.01 / 40.0;
        let u = (slope * 0.002)
            .hypot(slope * 0.001)
            .hypot(along)
            .to_degrees();
        near(&found[4], "half_angle_u_deg", u, 1e-8);
        near(&found[4], "included_angle_u_deg", 2.0 * u, 1e-8);
        near(&found[4], "axial_move_mm", 1.0, 1e-9);
        assert_eq!(found[4]["nearest"]["name"], "1:10");
        assert_eq!(found[4]["nearest"]["agrees"], true);
        near(
            &found[5],
            "included_angle_deg",
            0.05_f64.asin().to_degrees(),
            1e-8,
        );
        near(&found[6], "included_angle_deg", 37.5, 1e-8);
    }

    #[test]
    fn what_describes_no_cone_says_what_is_wrong() {
        let lines = [
            (
                json!({"kind": "diameters", "large_mm": 20, "small_mm": 24, "length_mm": 40}),
                "not_a_cone",
                "large diameter must be larger",
            ),
            (
                json!({"kind": "diameters", "large_mm": 24, "small_mm": 20, "length_mm": 0}),
                "out_of_range",
                "The length is 0",
            ),
            (
                json!({"kind": "diameters", "large_mm": 24, "small_mm": 20}),
                "missing_field",
                "length_mm of kind diameters",
            ),
            (
                json!({"kind": "sine_bar", "bar_mm": 100, "height_mm": 75}),
                "sine_bar_too_steep",
                "above 45",
            ),
            (
                json!({"kind": "ratio", "included_angle_deg": 50, "set_on_bar_mm": 100}),
                "sine_bar_too_steep",
                "above 45",
            ),
            (
                json!({"kind": "rollers", "roller_diameter_mm": 0, "M1_mm": 50, "h1_mm": 10,
                "M2_mm": 54, "h2_mm": 50}),
                "out_of_range",
                "diameter of the rollers is 0",
            ),
            (
                json!({"kind": "rollers", "roller_diameter_mm": 10, "M1_mm": 50, "h1_mm": 10,
                "M2_mm": 54, "h2_mm": 10}),
                "not_a_cone",
                "upper blocks must be higher",
            ),
            (
                json!({"kind": "balls", "small_ball_mm": 20, "large_ball_mm": 20,
                "small_top_below_face_mm": 35, "large_top_below_face_mm": -5}),
                "not_a_cone",
                "large ball must be larger",
            ),
            (
                json!({"kind": "cone"}),
                "unknown_kind",
                "diameters, rollers",
            ),
            (json!({"x": 12}), "missing_field", "kind is missing"),
            (json!({"kind": "ratio"}), "shape_missing", "said once"),
            (
                json!({"kind": "ratio", "x": 12, "morse": 2}),
                "shape_missing",
                "said once",
            ),
            (
                json!({"kind": "ratio", "morse": 7}),
                "unknown_taper",
                "no Morse taper 7",
            ),
            (
                json!({"kind": "ratio", "morse": 2.5}),
                "unknown_taper",
                "no Morse taper 2.5",
            ),
            (
                json!({"kind": "ratio", "taper": "steep"}),
                "unknown_taper",
                "steep",
            ),
            (
                json!({"kind": "ratio", "x": "twelve"}),
                "not_a_number",
                "x is “twelve”",
            ),
            (
                json!({"kind": "ratio", "x": [12]}),
                "not_a_number",
                "x is a list",
            ),
            (
                json!({"kind": "ratio", "x": 0}),
                "out_of_range",
                "The x of the ratio 1:x is 0; it must be above 0",
            ),
            (
                json!({"kind": "ratio", "x": 12, "roller_diameter_mm": 10}),
                "unknown_field",
                "roller_diameter_mm is no field of kind ratio",
            ),
            (
                json!({"kind": "ratio", "x": 12, "large_mm": 20, "length_mm": 300}),
                "beyond_point",
                "240.0000 mm from its large end",
            ),
            (
                json!({"kind": "ratio", "x": 12, "large_mm": 20, "small_mm": 10, "length_mm": 3}),
                "said_twice",
                "say the same twice",
            ),
            (
                json!({"kind": "ratio", "x": 12, "large_mm": 20, "large_u_mm": -1}),
                "out_of_range",
                "large_u_mm is -1",
            ),
            (
                json!({"kind": "ratio", "x": 12, "large_u_mm": 1}),
                "missing_field",
                "without large_mm",
            ),
            (
                json!({"kind": "ratio", "x": 12, "axial_move_mm": 1e300}),
                "out_of_range",
                "within ±1000000",
            ),
            (
                json!({"kind": "ratio", "x": 12, "axial_move_mm": 1, "diameter_change_mm": 1}),
                "said_twice",
                "both ends",
            ),
            (
                json!({"kind": "ratio", "x": 12, "length_mm": 50, "between_centres_mm": 40}),
                "out_of_range",
                "must have room",
            ),
        ];
        let asked: Vec<Value> = lines.iter().map(|(asked, ..)| asked.clone()).collect();
        let (found, code) = answers(&asked);
        assert_eq!(code, 2);
        for ((asked, word, said), line) in lines.iter().zip(&found) {
            let error = &line["error"];
            assert_eq!(error["code"], *word, "{asked}: {line}");
            assert!(
                error["message"].as_str().unwrap().contains(said),
                "{asked}: {line}"
            );
        }
        let shop = Shop::in_memory();
        let answer = shop.run(&["taper", "--json"], "{\n\n{\"kind\":\"ratio\",\"x\":5}\n");
        assert_eq!((answer.lines.len(), answer.code), (3, 2), "{}", answer.text);
        assert_eq!(answer.lines[0]["error"]["code"], "not_a_taper");
        assert_eq!(answer.lines[1]["input"], "taper");
        assert_eq!(answer.lines[2]["ratio"], "1:5");
    }

    #[test]
    fn a_file_and_people_are_answered_in_sentences() {
        let shop = Shop::in_memory();
        let file = crate::support::guide::file("plug.toml");
        fs::write(shop.path("plug.toml"), file).unwrap();
        let answer = shop.run(&["taper", "--from", "plug.toml"], "");
        assert_eq!(answer.code, 0, "{}", answer.text);
        for said in [
            "half angle 2.8624°",
            "(k = 2)",
            "Top slide at 2.8624°",
            "1:10",
            "87.1376°",
            "Small diameter 28.4875 mm",
            "centre height",
        ] {
            assert!(answer.text.contains(said), "{said}: {}", answer.text);
        }
        fs::write(shop.path("odd.toml"), "kind = \"ratio\"\nx = nan\n").unwrap();
        let answer = shop.run(&["taper", "--json", "--from", "odd.toml"], "");
        assert_eq!(
            (answer.code, &answer.lines[0]["error"]["code"]),
            (2, &json!("not_a_number"))
        );
        let answer = shop.run(&["taper", "--json", "--from", "none.toml"], "");
        assert_eq!(
            (answer.code, &answer.lines[0]["error"]["code"]),
            (3, &json!("file_unreadable"))
        );
    }
}

//! Intervals of a crossed gauge study: computed apart from the program's own chi-square, and held
//! against studies whose true spread is known.

use fitledger::statistics::{Crossed, Pooling, StudyIntervals, study_intervals, variance_study};
use serde_json::Value;

use crate::statistics_cases::json_cases;

const STUDY: &str = include_str!("../tables/gauge_study.json");

fn published() -> Crossed {
    let cases = json_cases(STUDY, 2);
    let is_it = |case: &&Value| case["id"] == "ten_parts_three_operators_three_trials";
    let case = cases.iter().find(is_it).unwrap().clone();
    let flat = |value: &Value| value.as_array().unwrap().clone();
    let values: Vec<f64> = flat(&case["data"])
        .iter()
        .flat_map(&flat)
        .flat_map(|operator| flat(&operator))
        .map(|value| value.as_f64().unwrap())
        .collect();
    Crossed::new(10, 3, 3, &values).unwrap()
}

fn near(found: (f64, f64), wanted: (f64, f64), what: &str) {
    let off = (found.0 / wanted.0 - 1.0)
        .abs()
        .max((found.1 / wanted.1 - 1.0).abs());
    assert!(off < 2e-5, "{what}: {found:?}, {wanted:?}");
}

/// Mean squares of the published table (9.81799271604938, 1.58363111111111, 0.0199434567901241,
/// 0.0459822222222222 with 9, 2, 18, 60 degrees of freedom; pooled 3.11791555555556 over 78), and
/// chi-square quantiles at 0.025 and 0.975 of published tables with six digits and more: 2:
/// 0.0506356, 7.37776; 9: 2.70039, 19.0228; 18: 8.23075, 31.5264; 60: 40.4817, 83.2977; 78:
/// 55.4656, 104.316. The formula of Graybill and Wang put into numbers by hand and calculator.
#[test]
fn the_published_study_has_the_intervals_of_the_published_formula() {
    let study = published();
    let wanted = |terms: &[(f64, f64, f64, f64, f64)]| {
        let (mut whole, mut below, mut above) = (0.0_f64, 0.0_f64, 0.0_f64);
        for (factor, square, freedom, low, high) in terms {
            whole += factor * square;
            below += ((1.0 - freedom / high) * factor * square).powi(2);
            above += ((freedom / low - 1.0) * factor * square).powi(2);
        }
        ((whole - below.sqrt()).sqrt(), (whole + above.sqrt()).sqrt())
    };
    let parts = (9.817_992_716_049_38, 9.0, 2.700_39, 19.022_8);
    let people = (1.583_631_111_111_11, 2.0, 0.050_635_6, 7.377_76);
    let mixed = (0.019_943_456_790_124_1, 18.0, 8.230_75, 31.526_4);
    let error = (0.045_982_222_222_222_2, 60.0, 40.481_7, 83.297_7);
    let pooled = (0.039_973_276_353_276_4, 78.0, 55.465_6, 104.316);
    let term = |factor: f64, (square, freedom, low, high): (f64, f64, f64, f64)| {
        (factor, square, freedom, low, high)
    };
    let found = |pooling| -> StudyIntervals {
        study_intervals(&variance_study(&study, pooling).unwrap(), 0.95).unwrap()
    };
    let apart = found(Pooling::Never);
    near(apart.repeatability, wanted(&[term(1.0, error)]), "EV");
    let gauge = [
        term(1.0 / 30.0, people),
        term(9.0 / 30.0, mixed),
        term(2.0 / 3.0, error),
    ];
    near(apart.gauge, wanted(&gauge), "gauge");
    let total = [
        term(1.0 / 9.0, parts),
        term(1.0 / 30.0, people),
        term(17.0 / 90.0, mixed),
        term(2.0 / 3.0, error),
    ];
    near(apart.total, wanted(&total), "total");
    let joined = found(Pooling::Always);
    near(joined.repeatability, wanted(&[term(1.0, pooled)]), "EV");
    let gauge = [term(1.0 / 30.0, people), term(29.0 / 30.0, pooled)];
    near(joined.gauge, wanted(&gauge), "gauge, pooled");
    let total = [
        term(1.0 / 9.0, parts),
        term(1.0 / 30.0, people),
        term(1.0 - 1.0 / 30.0 - 1.0 / 9.0, pooled),
    ];
    near(joined.total, wanted(&total), "total, pooled");
    // Without a hair of doubt the point lies within.
    let of = variance_study(&study, Pooling::Never).unwrap().components;
    for (sd, (lower, upper)) in [(of.gauge, apart.gauge), (of.total, apart.total)] {
        assert!(lower < sd && sd < upper, "{lower} {sd} {upper}");
    }
    assert!(study_intervals(&variance_study(&study, Pooling::Never).unwrap(), 1.0).is_err());
}

/// Made studies of which the true spread is known: the interval holds it about as often as it says.
#[test]
fn the_interval_holds_the_truth_as_often_as_it_says() {
    let mut seed = 20_261_126_u64;
    let mut uniform = move || {
        seed = seed.wrapping_mul(6_364_136_223_846_793_005).wrapping_add(1);
        (f64::from(u32::try_from(seed >> 33).unwrap()) + 0.5) / f64::from(1_u32 << 31)
    };
    let mut normal =
        move || (-2.0 * uniform().ln()).sqrt() * (std::f64::consts::TAU * uniform()).cos();
    let (of_part, of_person, of_both, of_reading) = (5.0, 1.0, 0.5, 1.0_f64);
    let truth = |squares: &[f64]| squares.iter().map(|sd| sd * sd).sum::<f64>().sqrt();
    let gauge = truth(&[of_person, of_both, of_reading]);
    let total = truth(&[of_part, of_person, of_both, of_reading]);
    let (turns, mut gauge_held, mut total_held) = (600, 0, 0);
    for _ in 0..turns {
        let people: Vec<f64> = (0..3).map(|_| of_person * normal()).collect();
        let mut values = Vec::new();
        for _ in 0..10 {
            let part = of_part * normal();
            for person in &people {
                let both = of_both * normal();
                values.extend((0..3).map(|_| part + person + both + of_reading * normal()));
            }
        }
        let study = Crossed::new(10, 3, 3, &values).unwrap();
        let found = variance_study(&study, Pooling::Never).unwrap();
        let found = study_intervals(&found, 0.95).unwrap();
        let holds = |(lower, upper): (f64, f64), truth: f64| lower <= truth && truth <= upper;
        gauge_held += u32::from(holds(found.gauge, gauge));
        total_held += u32::from(holds(found.total, total));
    }
    // 95 % of 600 is 570; 4 standard deviations of the count are 21.
    for held in [gauge_held, total_held] {
        assert!((549..=591).contains(&held), "{gauge_held} {total_held}");
    }
}

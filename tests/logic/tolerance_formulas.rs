//! The tables against the formulas of ISO 286-1:1988, annex A (from memory). The tabled value
//! governs; every cell that differs from formula and rounding stands in a list.

use std::collections::BTreeMap;

use fitledger::quantity::{Length, LengthUnit};
use fitledger::tolerance::{Grade, Letter, TABLE_TEXTS, Tables, ToleranceClass};

const ENDS: [f64; 22] = [
    0.0, 3.0, 6.0, 10.0, 18.0, 30.0, 50.0, 80.0, 120.0, 180.0, 250.0, 315.0, 400.0, 500.0, 630.0,
    800.0, 1000.0, 1250.0, 1600.0, 2000.0, 2500.0, 3150.0,
];

/// Geometric mean of a size range; the first range counts from 1 mm.
fn mean_size(over: f64, up_to: f64) -> f64 {
    (over.max(1.0) * up_to).sqrt()
}

/// Whether a tabled value is the formula's, rounded to the step.
fn is_rounded(tabled: f64, formula: f64, step: f64) -> bool {
    (tabled - formula).abs() <= step / 2.0 + 1e-6
}

/// The rounding step of tolerances.
fn tolerance_step(value: f64, above_500: bool) -> f64 {
    let steps = [
        (60.0, 1.0),
        (100.0, if above_500 { 2.0 } else { 1.0 }),
        (200.0, 5.0),
        (500.0, 10.0),
        (1000.0, 20.0),
        (2000.0, 50.0),
        (5000.0, 100.0),
        (10_000.0, 200.0),
        (20_000.0, 500.0),
        (1e9, 1000.0),
    ];
    steps.iter().find(|(limit, _)| value <= *limit).unwrap().1
}

/// The rounding step of deviations: a to g, k to zc, or all over 500 mm.
fn deviation_step(value: f64, column: usize) -> f64 {
    let steps: [(f64, [f64; 3]); 12] = [
        (45.0, [1.0, 1.0, 1.0]),
        (60.0, [2.0, 1.0, 1.0]),
        (100.0, [5.0, 1.0, 2.0]),
        (200.0, [5.0, 2.0, 5.0]),
        (300.0, [10.0, 2.0, 10.0]),
        (500.0, [10.0, 5.0, 10.0]),
        (560.0, [10.0, 5.0, 20.0]),
        (600.0, [20.0, 5.0, 20.0]),
        (800.0, [20.0, 10.0, 20.0]),
        (1000.0, [20.0, 20.0, 20.0]),
        (2000.0, [50.0, 50.0, 50.0]),
        (1e9, [100.0, 100.0, 100.0]),
    ];
    steps.iter().find(|(limit, _)| value <= *limit).unwrap().1[column]
}

/// The tolerance of a grade by formula, in micrometres: i to 500 mm, I above.
fn tolerance_formula(digits: &str, size: f64, above_500: bool) -> f64 {
    let unit = if above_500 {
        0.004 * size + 2.1
    } else {
        0.45 * size.cbrt() + 0.001 * size
    };
    let multiples = [
        7.0, 10.0, 16.0, 25.0, 40.0, 64.0, 100.0, 160.0, 250.0, 400.0, 640.0, 1000.0, 1600.0,
        2500.0,
    ];
    match (digits, digits.parse::<usize>().unwrap()) {
        ("01", _) => 0.3 + 0.008 * size,
        ("0", _) => 0.5 + 0.012 * size,
        (_, number @ 5..) => multiples[number - 5] * unit,
        (_, number) if above_500 => [2.0, 2.7, 3.7, 5.0][number - 1] * unit,
        (_, number) => {
            let finest = 0.8 + 0.020 * size;
            let ratio = 7.0 * unit / finest;
            finest * ratio.powf((f64::from(u32::try_from(number).unwrap()) - 1.0) / 4.0)
        }
    }
}

/// Deviations a to g by formula, without sign, in micrometres.
fn shaft_above_zero_line(letter: &str, size: f64) -> Option<f64> {
    let mean = |one, other| {
        let (one, other) = (
            shaft_above_zero_line(one, size),
            shaft_above_zero_line(other, size),
        );
        Some((one? * other?).sqrt())
    };
    Some(match letter {
        "a" if size <= 120.0 => 265.0 + 1.3 * size,
        "a" => 3.5 * size,
        "b" if size <= 160.0 => 140.0 + 0.85 * size,
        "b" => 1.8 * size,
        "c" if size <= 40.0 => 52.0 * size.powf(0.2),
        "c" => 95.0 + 0.8 * size,
        "d" => 16.0 * size.powf(0.44),
        "e" => 11.0 * size.powf(0.41),
        "f" => 5.5 * size.powf(0.41),
        "g" => 2.5 * size.powf(0.34),
        "cd" => return mean("c", "d"),
        "ef" => return mean("e", "f"),
        "fg" => return mean("f", "g"),
        _ => return None,
    })
}

/// Micrometres of a length that is a table value.
fn um(length: Length) -> f64 {
    length
        .to_text(LengthUnit::Millimetre, 0)
        .parse::<f64>()
        .unwrap()
        * 1_000.0
}

fn size_of(mm: f64) -> Length {
    Length::parse_mm(&mm.to_string()).unwrap()
}

fn tolerance(digits: &str, up_to: f64) -> f64 {
    let wanted = ToleranceClass::parse(&format!("h{digits}")).unwrap();
    let limits = Tables::standard()
        .limits_of_class(size_of(up_to), wanted)
        .unwrap();
    um(limits.tolerance().unwrap())
}

/// The lower deviation of a shaft letter at IT6.
fn lower_deviation(letter: &str, up_to: f64) -> f64 {
    let wanted = ToleranceClass::new(
        Letter::standard(letter).unwrap(),
        Grade::parse("6").unwrap(),
    );
    let nominal = size_of(up_to);
    um(Tables::standard()
        .limits_of_class(nominal, wanted)
        .unwrap()
        .lower()
        .unwrap()
        - nominal)
}

/// What the formulas give for k to zc: one value to be rounded, or a band.
enum Expected {
    Value(f64),
    Band(f64, f64),
}

fn shaft_below_zero_line(letter: &str, size: f64, over: f64, up_to: f64) -> Expected {
    let (above_500, grade) = (over >= 500.0, |digits| tolerance(digits, up_to));
    let factors = [
        ("t", "7", 0.63),
        ("u", "7", 1.0),
        ("v", "7", 1.25),
        ("x", "7", 1.6),
        ("y", "7", 2.0),
        ("z", "7", 2.5),
        ("za", "8", 3.15),
        ("zb", "9", 4.0),
        ("zc", "10", 5.0),
    ];
    Expected::Value(match letter {
        "k" if above_500 => 0.0,
        "k" => 0.6 * size.cbrt(),
        "m" if above_500 => 0.024 * size + 12.6,
        "m" => grade("7") - grade("6"),
        "n" if above_500 => 0.04 * size + 21.0,
        "n" => 5.0 * size.powf(0.34),
        "p" if above_500 => 0.072 * size + 37.8,
        "p" => return Expected::Band(grade("7"), grade("7") + 5.0),
        "r" => (lower_deviation("p", up_to) * lower_deviation("s", up_to)).sqrt(),
        "s" if size <= 50.0 => return Expected::Band(grade("8") + 1.0, grade("8") + 4.0),
        "s" => grade("7") + 0.4 * size,
        _ => {
            let (_, digits, factor) = factors.iter().find(|(name, _, _)| *name == letter).unwrap();
            grade(digits) + factor * size
        }
    })
}

/// The deviating cells as the list has them: tabled value and formula, by case.
fn listed() -> BTreeMap<&'static str, (f64, &'static str)> {
    let text = include_str!("../tables/iso286_formula_deviations.csv");
    let lines = text.lines().skip(1).map(|line| {
        let fields: Vec<&str> = line.split(',').collect();
        (fields[0], (fields[4].parse().unwrap(), fields[5]))
    });
    lines.collect()
}

fn check_list(deviating: &BTreeMap<String, (f64, String)>, wanted: impl Fn(&str) -> bool) {
    let listed = listed();
    let expected: Vec<&str> = listed.keys().copied().filter(|case| wanted(case)).collect();
    let found: Vec<&str> = deviating.keys().map(String::as_str).collect();
    assert_eq!(found, expected);
    for (case, (tabled, formula)) in deviating {
        let (listed_value, listed_formula) = &listed[case.as_str()];
        assert!((tabled - listed_value).abs() < 1e-9, "{case}: {tabled}");
        assert_eq!(formula, listed_formula, "{case}");
    }
}

#[test]
fn tolerances_agree_with_their_formula_but_for_the_listed_cells() {
    let (mut agreeing, mut deviating) = (0, BTreeMap::new());
    for pair in ENDS.windows(2) {
        let (over, up_to) = (pair[0], pair[1]);
        let (size, above_500) = (mean_size(over, up_to), over >= 500.0);
        for grade in Grade::all().skip(if above_500 { 2 } else { 0 }) {
            let tabled = tolerance(grade.digits(), up_to);
            let formula = tolerance_formula(grade.digits(), size, above_500);
            if is_rounded(tabled, formula, tolerance_step(formula, above_500)) {
                agreeing += 1;
            } else {
                let case = format!("{grade} {over}-{up_to}");
                deviating.insert(case, (tabled, format!("{formula:.3}")));
            }
        }
    }
    assert_eq!((agreeing, agreeing + deviating.len()), (330, 404));
    check_list(&deviating, |case| case.starts_with("IT"));
}

#[test]
fn deviations_agree_with_their_formula_but_for_the_listed_cells() {
    let (mut agreeing, mut deviating) = (0, BTreeMap::new());
    for line in TABLE_TEXTS[1].1.lines().skip(1) {
        let row: Vec<&str> = line.split(',').collect();
        let (letter, over, up_to) = (row[0], row[3], row[4].parse::<f64>().unwrap());
        let other_k = letter == "k" && !["4", "1"].contains(&row[1]);
        if ["h", "j", "js"].contains(&letter) || other_k {
            continue;
        }
        let tabled = row[6].parse::<f64>().unwrap().abs();
        let over_mm = over.parse::<f64>().unwrap();
        // a and b start over 1 mm; their formula takes the first range whole, as for others.
        let size = mean_size(over_mm, up_to);
        let column = |shaft: usize| if over_mm >= 500.0 { 2 } else { shaft };
        let expected = match shaft_above_zero_line(letter, size) {
            Some(value) => Expected::Value(value),
            None => shaft_below_zero_line(letter, size, over_mm, up_to),
        };
        let above = shaft_above_zero_line(letter, size).is_some();
        let (agrees, formula) = match expected {
            Expected::Band(low, high) => {
                (low <= tabled && tabled <= high, format!("{low} to {high}"))
            }
            Expected::Value(value) => {
                let step = deviation_step(value, column(usize::from(!above)));
                (is_rounded(tabled, value, step), format!("{value:.3}"))
            }
        };
        if agrees {
            agreeing += 1;
        } else {
            deviating.insert(format!("{letter} {over}-{}", row[4]), (tabled, formula));
        }
    }
    assert_eq!((agreeing, agreeing + deviating.len()), (471, 572));
    check_list(&deviating, |case| !case.starts_with("IT"));
}

#[test]
fn tenfold_every_five_grades_but_for_it11_of_3_to_6() {
    let mut odd = Vec::new();
    for up_to in ENDS.iter().skip(1) {
        for number in 6..=13 {
            let fine = tolerance(&number.to_string(), *up_to);
            let coarse = tolerance(&(number + 5).to_string(), *up_to);
            if (coarse - 10.0 * fine).abs() > 1e-9 {
                odd.push((number + 5, *up_to));
            }
        }
    }
    assert_eq!(odd, [(11, 6.0)]);
}

#[test]
fn letters_stand_in_order_at_every_size() {
    let rows = TABLE_TEXTS[1].1.lines().skip(1);
    let mut ends: Vec<f64> = rows
        .map(|line| line.split(',').nth(4).unwrap().parse().unwrap())
        .collect();
    ends.sort_by(f64::total_cmp);
    ends.dedup();
    let middle = |letter: &str, up_to: f64| {
        let wanted = ToleranceClass::parse(&format!("{letter}7")).unwrap();
        let limits = Tables::standard()
            .limits_of_class(size_of(up_to), wanted)
            .ok()?;
        Some(um(limits.lower()?) + um(limits.upper()?))
    };
    let order = [
        "a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js", "k", "m", "n", "p", "r",
        "s", "t", "u", "v", "x", "y", "z", "za", "zb", "zc",
    ];
    for up_to in ends {
        let found: Vec<f64> = order
            .iter()
            .filter_map(|letter| middle(letter, up_to))
            .collect();
        assert!(found.len() >= 14, "{up_to}");
        // Over 500 mm fourteen letters are left; k is zero there, and js still lies below it.
        assert!(
            found.windows(2).all(|pair| pair[0] < pair[1]),
            "at {up_to}: {found:?}"
        );
    }
}

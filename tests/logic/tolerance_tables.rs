//! ISO 286-1 and ISO 2768-1: the tables against the outside world, row by row and rule by rule.

use fitledger::quantity::{Decimal, DecimalMark, Length};
use fitledger::tolerance::{Grade, Letter, TABLE_TEXTS, Tables, ToleranceClass, UndefinedReason};
use proptest::prelude::*;

/// The rows of a table of cases or of tolerances, as fields; the header first.
fn rows(text: &str) -> Vec<Vec<&str>> {
    text.lines().map(|line| line.split(',').collect()).collect()
}

/// The rows below the header, whose last two fields are kind and source.
pub(crate) fn cases(text: &'static str) -> Vec<Vec<&'static str>> {
    // Sources may hold commas; they come last, so the fields before them stand where they are.
    let all = rows(text);
    assert!(all[0].ends_with(&["allowed_difference", "kind", "source"]));
    assert!(all.len() > 1);
    let width = all[0].len();
    for row in all.iter().skip(1) {
        assert!(row.len() >= width && !row[width - 1].is_empty(), "{row:?}");
        assert_eq!(row[width - 3], "0", "exact values: {row:?}");
        assert!(
            ["published", "computed", "definition"].contains(&row[width - 2]),
            "{row:?}"
        );
    }
    all.into_iter().skip(1).collect()
}

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

/// Micrometres.
fn um(text: &str) -> Length {
    let number = Decimal::parse(text, DecimalMark::Point).unwrap();
    let steps = 10_i128.pow(u32::from(number.decimals()));
    assert_eq!(number.mantissa() * 1_000 % steps, 0, "{text}");
    Length::checked_nm(number.mantissa() * 1_000 / steps).unwrap()
}

fn class(text: &str) -> ToleranceClass {
    ToleranceClass::parse(text).unwrap_or_else(|| panic!("{text} is no class"))
}

/// Lower and upper deviation.
fn deviations(nominal: Length, wanted: ToleranceClass) -> Option<(Length, Length)> {
    let limits = Tables::standard().limits_of_class(nominal, wanted).ok()?;
    Some((limits.lower()? - nominal, limits.upper()? - nominal))
}

/// Upper and lower deviation in micrometres, as the tables print them.
fn printed(nominal: &str, wanted: &str) -> Option<(String, String)> {
    let (lower, upper) = deviations(mm(nominal), class(wanted))?;
    let text = |length: Length| (length * 1_000).to_string();
    Some((text(upper), text(lower)))
}

fn reason(nominal: &str, wanted: &str) -> UndefinedReason {
    let error = Tables::standard().limits_of_class(mm(nominal), class(wanted));
    error.unwrap_err().reason
}

fn both(upper: &str, lower: &str) -> Option<(String, String)> {
    Some((upper.to_owned(), lower.to_owned()))
}

#[test]
fn published_limits_are_met_for_every_letter() {
    let mut seen = std::collections::BTreeSet::new();
    for case in cases(include_str!("../tables/iso286_limits.csv")) {
        assert_eq!(
            printed(case[1], case[2]),
            both(case[3], case[4]),
            "{}",
            case[0]
        );
        seen.insert(class(case[2]).letter().text().to_owned());
    }
    assert_eq!(seen.len(), 56, "letters with a case: {seen:?}");
}

#[test]
fn published_tolerances_of_grades_are_met() {
    for case in cases(include_str!("../tables/iso286_grades.csv")) {
        let (lower, upper) = deviations(mm(case[1]), class(&format!("h{}", case[2]))).unwrap();
        assert_eq!(upper - lower, um(case[3]), "{}", case[0]);
    }
}

#[test]
fn every_cell_agrees_with_an_independent_reading_of_the_rows() {
    let mut ends: Vec<Length> = ["0.5", "1", "0.999999"].map(mm).to_vec();
    for (name, text) in TABLE_TEXTS {
        if name.ends_with("_deviations.csv") {
            ends.extend(rows(text).iter().skip(1).map(|row| mm(row[4])));
        }
    }
    ends.sort();
    ends.dedup();
    let table = cases(include_str!("../tables/iso286_letter_sums.csv"));
    assert_eq!(table.len(), 56);
    for (case, letter) in table.iter().zip(Letter::all()) {
        assert_eq!(case[1], letter.text());
        let (mut defined, mut upper_sum, mut lower_sum) = (0, 0, 0);
        for (row, end) in (1_i64..).zip(&ends) {
            for (column, grade) in (1_i64..).zip(Grade::all()) {
                let Some((low, high)) = deviations(*end, ToleranceClass::new(letter, grade)) else {
                    continue;
                };
                defined += 1;
                upper_sum += high.as_nm() * row * column;
                lower_sum += low.as_nm() * row * column;
            }
        }
        let found = [defined, upper_sum, lower_sum].map(|sum: i64| sum.to_string());
        assert_eq!(found, [case[2], case[3], case[4]], "{letter}");
    }
}

#[test]
fn every_row_is_reached_and_gives_its_value() {
    let grades: Vec<Grade> = Grade::all().collect();
    let place = |digits: &str| {
        grades
            .iter()
            .position(|grade| grade.digits() == digits)
            .unwrap()
    };
    for (name, text) in TABLE_TEXTS
        .iter()
        .filter(|(name, _)| name.ends_with("_deviations.csv"))
    {
        for row in rows(text).iter().skip(1) {
            let mut used = 0;
            for grade in &grades[place(row[1])..=place(row[2])] {
                let wanted = ToleranceClass::new(Letter::standard(row[0]).unwrap(), *grade);
                for nominal in [mm(row[4]), mm(row[3]) + Length::from_nm(1)] {
                    let Some((low, high)) = deviations(nominal, wanted) else {
                        // Only where the grade itself has no tolerance.
                        assert!(!Tables::standard().defines(
                            nominal,
                            ToleranceClass::new(Letter::standard("h").unwrap(), *grade)
                        ));
                        continue;
                    };
                    used += 1;
                    let with_delta = *name == "iso286/hole_deviations.csv" && row[7] == "yes";
                    match row[6] {
                        "IT/2" => assert_eq!(high, -low, "{row:?}"),
                        value if with_delta => assert!(high >= um(value), "{row:?}"),
                        value if matches!(row[5], "es" | "ES") => assert_eq!(high, um(value)),
                        value => assert_eq!(low, um(value), "{row:?}"),
                    }
                }
            }
            assert!(used > 0, "{name}: {row:?} is never used");
        }
    }
    let grade_rows = rows(TABLE_TEXTS[0].1);
    for row in grade_rows.iter().skip(1) {
        let digits = row[2].strip_prefix("IT").unwrap();
        let (low, high) = deviations(mm(row[1]), class(&format!("H{digits}"))).unwrap();
        assert_eq!(high - low, um(row[3]), "{row:?}");
    }
}

#[test]
fn every_delta_is_used_and_is_the_step_to_the_next_finer_grade() {
    let tolerance = |nominal, digits: &str| {
        let (low, high) = deviations(nominal, class(&format!("h{digits}"))).unwrap();
        high - low
    };
    let table = rows(TABLE_TEXTS[3].1);
    assert_eq!(table.len(), 1 + 78);
    for row in table.iter().skip(1) {
        let (digits, nominal) = (row[2].strip_prefix("IT").unwrap(), mm(row[1]));
        let finer = (digits.parse::<u8>().unwrap() - 1).to_string();
        if row[0] == "0" {
            assert_eq!(um(row[3]), Length::ZERO);
            continue;
        }
        let step = tolerance(nominal, digits) - tolerance(nominal, &finer);
        assert_eq!(um(row[3]), step, "{row:?}");
        // K uses delta in all six grades: ES = -(k of IT4 to IT7) + delta.
        let (_, upper) = deviations(nominal, class(&format!("K{digits}"))).unwrap();
        let (shaft, _) = deviations(nominal, class("k6")).unwrap();
        assert_eq!(upper, step - shaft, "{row:?}");
    }
}

#[test]
fn tolerances_grow_with_grade_and_never_shrink_with_size() {
    let ends: Vec<Length> = rows(TABLE_TEXTS[0].1)
        .iter()
        .skip(1)
        .map(|row| mm(row[1]))
        .collect();
    let tolerance = |nominal, grade| {
        let wanted = ToleranceClass::new(Letter::standard("h").unwrap(), grade);
        deviations(nominal, wanted).map(|(low, high)| high - low)
    };
    for end in &ends {
        let widths: Vec<Length> = Grade::all()
            .filter_map(|grade| tolerance(*end, grade))
            .collect();
        assert!(widths.windows(2).all(|pair| pair[0] < pair[1]), "{end}");
    }
    for grade in Grade::all() {
        let widths: Vec<Length> = ends
            .iter()
            .filter_map(|end| tolerance(*end, grade))
            .collect();
        let mut sorted = widths.clone();
        sorted.sort();
        assert!(widths.iter().all(|width| sorted.contains(width)));
        let by_size: Vec<Length> = {
            let mut distinct = ends.clone();
            distinct.sort();
            distinct.dedup();
            distinct
                .iter()
                .filter_map(|end| tolerance(*end, grade))
                .collect()
        };
        assert!(by_size.windows(2).all(|pair| pair[0] <= pair[1]), "{grade}");
    }
}

fn any_class() -> impl Strategy<Value = ToleranceClass> {
    let letters: Vec<Letter> = Letter::all().collect();
    let grades: Vec<Grade> = Grade::all().collect();
    (prop::sample::select(letters), prop::sample::select(grades))
        .prop_map(|(letter, grade)| ToleranceClass::new(letter, grade))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(4_000))]

    #[test]
    fn holes_a_to_h_mirror_shafts_at_every_size(
        nm in 1_i64..3_200_000_000,
        name in prop::sample::select(vec![
            "a", "b", "c", "cd", "d", "e", "ef", "f", "fg", "g", "h", "js",
        ]),
        grade in prop::sample::select(Grade::all().collect::<Vec<_>>()),
    ) {
        let digits = grade.digits();
        let shaft = deviations(Length::from_nm(nm), class(&format!("{name}{digits}")));
        let capital = name.to_ascii_uppercase();
        let hole = deviations(Length::from_nm(nm), class(&format!("{capital}{digits}")));
        prop_assert_eq!(hole, shaft.map(|(low, high)| (-high, -low)));
    }

    #[test]
    fn every_size_and_class_has_limits_or_a_reason(
        nm in -5_i64..4_000_000_000, wanted in any_class()
    ) {
        let tables = Tables::standard();
        match tables.limits_of_class(Length::from_nm(nm), wanted) {
            Ok(limits) => prop_assert!(limits.tolerance().unwrap() > Length::ZERO),
            Err(error) => {
                prop_assert!(error.reason != UndefinedReason::NoRow, "{}", error);
                prop_assert!(error.reason != UndefinedReason::UnknownLetter);
                if let Some(near) = error.nearest {
                    prop_assert!(tables.defines(Length::from_nm(nm), near));
                }
            }
        }
    }
}

#[test]
fn a_range_holds_its_upper_size_and_not_its_lower_one() {
    let mut ends: Vec<Length> = rows(TABLE_TEXTS[1].1)
        .iter()
        .skip(1)
        .map(|row| mm(row[4]))
        .collect();
    ends.sort();
    ends.dedup();
    let step = Length::from_nm(1);
    for end in ends {
        for letter in Letter::all() {
            let wanted = ToleranceClass::new(letter, Grade::numbered(7).unwrap());
            let beside = deviations(end, wanted);
            assert_eq!(deviations(end - step, wanted), beside, "{letter} to {end}");
        }
    }
    assert_eq!(printed("50", "d7"), both("-80", "-105"));
    assert_eq!(printed("50.000001", "d7"), both("-100", "-130"));
}

#[test]
fn delta_is_added_to_k_m_n_up_to_it8_and_to_p_and_beyond_up_to_it7() {
    assert_eq!(printed("25", "K8"), both("10", "-23")); // -2 + 12 (delta of IT8), IT8 33
    assert_eq!(printed("25", "P7"), both("-14", "-35")); // -22 + 8
    assert_eq!(printed("25", "P8"), both("-22", "-55")); // no delta over IT7
    assert_eq!(printed("50", "U7"), both("-61", "-86"));
    assert_eq!(printed("50", "U8"), both("-70", "-109"));
    assert_eq!(printed("3", "P7"), both("-6", "-16")); // no delta up to 3 mm
    assert_eq!(printed("500.001", "P7"), both("-78", "-148")); // none over 500 mm, IT7 70
}

#[test]
fn m6_over_250_to_315_is_the_exception() {
    assert_eq!(printed("250", "M6"), both("-8", "-37")); // -17 + 9, IT6 29
    assert_eq!(printed("250.001", "M6"), both("-9", "-41"));
    assert_eq!(printed("315", "M6"), both("-9", "-41")); // the rule would give -11, -43
    assert_eq!(printed("315", "M7"), both("0", "-52")); // -20 + 20, IT7 52
    assert_eq!(printed("315.001", "M6"), both("-10", "-46")); // -21 + 11, IT6 36
}

#[test]
fn n_from_it9_has_zero_over_3_to_500_and_is_not_used_up_to_1() {
    assert_eq!(printed("25", "N9"), both("0", "-52"));
    assert_eq!(printed("3", "N9"), both("-4", "-29"));
    assert_eq!(printed("1.000001", "N9"), both("-4", "-29"));
    assert_eq!(printed("25", "N8"), both("-3", "-36")); // -15 + 12, IT8 33
    assert_eq!(printed("500.001", "N9"), both("-44", "-219")); // IT9 175
    assert_eq!(reason("1", "N9"), UndefinedReason::HoleNToOneMm);
    assert_eq!(reason("0.5", "N11"), UndefinedReason::HoleNToOneMm);
    assert_eq!(printed("1", "N8"), both("-4", "-18"));
}

#[test]
fn a_and_b_are_not_used_up_to_1() {
    for wanted in ["a9", "b11", "A9", "B13"] {
        assert_eq!(reason("1", wanted), UndefinedReason::LetterToOneMm);
        assert!(printed("1.000001", wanted).is_some());
    }
    assert!(printed("1", "c11").is_some());
}

#[test]
fn j_has_few_grades_and_ends_at_500() {
    for digits in ["5", "6", "7"] {
        assert!(printed("25", &format!("j{digits}")).is_some());
    }
    for digits in ["6", "7", "8"] {
        assert!(printed("500", &format!("J{digits}")).is_some());
    }
    for wanted in ["j4", "j9", "J5", "J9"] {
        assert_eq!(reason("25", wanted), UndefinedReason::GradesOfJ);
    }
    assert_eq!(printed("3", "j8"), both("8", "-6"));
    assert_eq!(reason("3.001", "j8"), UndefinedReason::J8AboveThree);
    for wanted in ["j6", "J7"] {
        assert!(matches!(
            reason("500.001", wanted),
            UndefinedReason::LetterSizes { .. }
        ));
    }
}

#[test]
fn js_is_symmetric_and_keeps_half_micrometres() {
    assert_eq!(printed("18", "js8"), both("13.5", "-13.5"));
    assert_eq!(printed("18", "JS8"), both("13.5", "-13.5"));
    assert_eq!(printed("3", "js01"), both("0.15", "-0.15"));
}

#[test]
fn k_has_its_value_for_it4_to_it7_only() {
    assert_eq!(printed("25", "k3"), both("4", "0"));
    assert_eq!(printed("25", "k4"), both("8", "2"));
    assert_eq!(printed("25", "k7"), both("23", "2"));
    assert_eq!(printed("25", "k8"), both("33", "0"));
    assert_eq!(printed("3", "k6"), both("6", "0"));
    assert_eq!(printed("630", "k6"), both("44", "0"));
}

#[test]
fn hole_k_from_it9_ends_at_3() {
    assert_eq!(printed("3", "K9"), both("0", "-25"));
    assert_eq!(reason("3.001", "K9"), UndefinedReason::HoleKCoarse);
    assert_eq!(reason("600", "K9"), UndefinedReason::HoleKCoarse);
    assert_eq!(printed("600", "K8"), both("0", "-110"));
}

#[test]
fn coarse_grades_start_over_1_and_the_finest_end_at_500() {
    for digits in ["14", "15", "16", "17", "18"] {
        assert_eq!(
            reason("1", &format!("h{digits}")),
            UndefinedReason::GradeToOneMm
        );
        assert!(printed("1.000001", &format!("h{digits}")).is_some());
    }
    for digits in ["01", "0"] {
        assert!(printed("500", &format!("h{digits}")).is_some());
        assert_eq!(
            reason("500.001", &format!("h{digits}")),
            UndefinedReason::GradeAbove500
        );
    }
    assert!(printed("1", "h13").is_some());
    assert!(printed("3150", "h1").is_some());
}

#[test]
fn holes_k_to_zc_start_at_it3_up_to_500() {
    for wanted in ["K2", "M1", "N0", "P2", "ZC01"] {
        assert_eq!(
            reason("25", wanted),
            UndefinedReason::HoleFinerThanDelta,
            "{wanted}"
        );
    }
    assert!(printed("25", "P3").is_some() && printed("600", "P1").is_some());
}

#[test]
fn letters_keep_to_their_sizes() {
    let spans = [
        ("cd", "0", "50"),
        ("ef", "0", "50"),
        ("fg", "0", "50"),
        ("c", "0", "500"),
        ("t", "24", "3150"),
        ("v", "14", "500"),
        ("y", "18", "500"),
        ("u", "0", "3150"),
        ("x", "0", "500"),
        ("z", "0", "500"),
        ("za", "0", "500"),
        ("zb", "0", "500"),
        ("zc", "0", "500"),
        ("d", "0", "3150"),
        ("s", "0", "3150"),
    ];
    for (name, over, up_to) in spans {
        for letter in [name.to_owned(), name.to_ascii_uppercase()] {
            let wanted = class(&format!("{letter}7"));
            let defined = |size| deviations(size, wanted).is_some();
            let step = Length::from_nm(1);
            assert!(
                !defined(mm(over)) && defined(mm(over) + step),
                "{letter} over {over}"
            );
            assert!(
                defined(mm(up_to)) && !defined(mm(up_to) + step),
                "{letter} to {up_to}"
            );
        }
    }
}

#[test]
fn every_row_says_where_it_comes_from() {
    assert_eq!(
        Tables::standard().sources().count(),
        404 + 78 + 667 + 948 + 30 + 12 + 20
    );
    assert!(Tables::standard().sources().all(|source| source.len() > 10));
}

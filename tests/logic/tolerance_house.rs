//! House tables: what they add, that it shows everywhere, and what is refused.

use fitledger::quantity::Length;
use fitledger::tolerance::{
    CalloutLimits, Context, GeneralClass, SizeLimits, Tables, parse_callout, parse_callout_in,
};

const SHAFTS: &str = "letter,grade_from,grade_to,over_mm,up_to_mm,which,deviation_um,source\n";
const GRADES: &str = "over_mm,up_to_mm,grade,tolerance_um,source\n";
const LINEAR: &str = "class,over_mm,up_to_mm,lower_included,plus_minus_mm,source\n";

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn house(text: &str) -> Tables {
    Tables::standard()
        .with_house(text, "house.csv")
        .unwrap_or_else(|error| panic!("{error}"))
}

fn fault(text: &str) -> String {
    match Tables::standard().with_house(text, "house.csv") {
        Ok(_) => panic!("taken: {text}"),
        Err(error) => error.to_string(),
    }
}

fn size(text: &str, tables: &Tables) -> SizeLimits {
    let context = Context::with_tables(tables).general(GeneralClass::VeryCoarse);
    match parse_callout_in(text, tables)
        .unwrap()
        .limits(&context)
        .unwrap()
    {
        CalloutLimits::Size(size) => size,
        other => panic!("{other:?}"),
    }
}

fn why(size: &SizeLimits, tables: &Tables) -> Vec<String> {
    let context = Context::with_tables(tables);
    size.explain(&context)
        .iter()
        .map(ToString::to_string)
        .collect()
}

#[test]
fn a_house_letter_is_read_computed_and_marked() {
    let tables = house(&format!(
        "{SHAFTS}q,5,7,18,30,es,-4,pump bush running fit 2019\n"
    ));
    let shaft = size("25 q6", &tables);
    assert_eq!(shaft.limits.upper(), Some(mm("24.996")));
    assert_eq!(shaft.limits.lower(), Some(mm("24.983"))); // IT6 13
    assert!(shaft.house && shaft.limits.derivation().is_house());
    assert_eq!(shaft.standard(), None);
    let steps = why(&shaft, &tables);
    assert!(
        steps.iter().any(|step| step
            == "House table: shaft q over 18 to 30 mm, IT5 to IT7: es = -4 µm \
                (house: house.csv line 2, pump bush running fit 2019)"),
        "{steps:?}"
    );
    // Classes of the standard are the standard's still, beside it and in a fit.
    assert!(!size("25 g6", &tables).house);
    assert!(parse_callout("25 q6").is_err());
    let unknown = parse_callout_in("25 q6", &tables)
        .unwrap()
        .limits(&Context::standard());
    assert_eq!(unknown.unwrap_err().code(), "unknown_class");
    let outside = parse_callout_in("40 q6", &tables).unwrap();
    assert!(outside.limits(&Context::with_tables(&tables)).is_err());
}

#[test]
fn house_rows_may_go_on_where_the_standard_ends() {
    let tables = house(&format!(
        "{GRADES}3150,4000,IT7,250,extrapolated by the house\n"
    ));
    let error = parse_callout("3500 H7")
        .unwrap()
        .limits(&Context::with_tables(&tables));
    assert!(error.is_err(), "a grade alone makes no class");
    let tables = tables
        .with_house(
            &format!("{SHAFTS}h,7,7,3150,4000,es,0,extrapolated by the house\n"),
            "more.csv",
        )
        .unwrap();
    let shaft = size("3500 h7", &tables);
    assert_eq!(
        (shaft.limits.lower(), shaft.house),
        (Some(mm("3499.75")), true)
    );
    let names: Vec<&str> = tables.texts().map(|(name, _)| name).collect();
    let standard: Vec<&str> = Tables::standard().texts().map(|(name, _)| name).collect();
    let (own, added) = names.split_at(standard.len());
    assert_eq!(
        (own, added),
        (&standard[..], &["house.csv", "more.csv"][..])
    );
    assert_eq!(standard[0], "iso286/tolerance_grades.csv");
    for name in [
        "iso965/deviations.csv",
        "iso1502/gauges.csv",
        "iso2306/tapping_drills.csv",
    ] {
        assert!(standard.contains(&name), "{name} is not in the digest");
    }
    let smallest = house(&format!("{SHAFTS}qq,6,6,18,19,ei,1,house\n"));
    assert_eq!(
        size("18.5 qq6", &smallest).limits.lower(),
        Some(mm("18.501"))
    );
    assert_eq!(
        size("18.5 k6", &smallest).limits.lower(),
        Some(mm("18.502"))
    );
}

#[test]
fn a_house_general_tolerance_is_marked() {
    let tables = house(&format!("{LINEAR}v,0.5,3,yes,0.3,house habit\n"));
    let bare = size("2", &tables);
    assert_eq!((bare.upper_deviation, bare.house), (Some(mm("0.3")), true));
    assert!(why(&bare, &tables)[0].contains("(house: house.csv line 2, house habit)"));
    assert!(!size("12", &tables).house);
}

#[test]
fn faults_of_house_tables_name_line_column_and_what_was_expected() {
    let cases = [
        (
            "letter;grade\n".to_owned(),
            "house.csv, line 1, column 1: found “letter;grade”, expected one of the headers",
        ),
        (
            format!("{SHAFTS}q,5,7,18,30,es,-4,ok\nq,5,7,30,fifty,es,-4,ok\n"),
            "house.csv, line 3, column 10: found “fifty”, expected a size in millimetres",
        ),
        (
            format!("{SHAFTS}q,5,7,30,18,es,-4,ok\n"),
            "line 2, column 10: found “18”, expected a size above 30 mm",
        ),
        (
            format!("{SHAFTS}q,5,19,18,30,es,-4,ok\n"),
            "line 2, column 5: found “19”, expected a grade 01, 0, 1 to 18",
        ),
        (
            format!("{SHAFTS}q,7,5,18,30,es,-4,ok\n"),
            "line 2, column 5: found “5”, expected a grade not finer than IT7",
        ),
        (
            format!("{SHAFTS}Q,5,7,18,30,es,-4,ok\n"),
            "line 2, column 1: found “Q”, expected one to three small letters",
        ),
        (
            format!("{SHAFTS}max,5,7,18,30,es,-4,ok\n"),
            "line 2, column 1: found “max”, expected one to three small letters",
        ),
        (
            format!("{SHAFTS}q,5,7,18,30,ES,-4,ok\n"),
            "line 2, column 13: found “ES”, expected es or ei",
        ),
        (
            format!("{SHAFTS}q,5,7,18,30,es,-4x,ok\n"),
            "line 2, column 16: found “-4x”, expected micrometres",
        ),
        (
            format!("{SHAFTS}q,5,7,18,30,es,-4,\n"),
            "line 2, column 19: found “”, expected where the value comes from",
        ),
        (
            format!("{SHAFTS}q,5,7,18,30,es,-4\n"),
            "line 2, column 16: found “7 fields”, expected 8 fields as in the header",
        ),
        (
            format!("{SHAFTS}q,5,7,18,30,es,-4,\"open\n"),
            "line 2, column 19: found “open”, expected a closing double quote",
        ),
        (
            format!("{SHAFTS}g,6,6,18,30,es,-9,ours is better\n"),
            "line 2, column 1: found “g grades 01 to 18, over 18 to 30 mm”, expected a row that \
             adds to the tables",
        ),
        (
            format!("{GRADES}20,25,IT7,18,ours is better\n"),
            "line 2, column 1: found “IT7 over 18 to 30 mm”, expected a row that adds",
        ),
        (
            format!("{GRADES}3150,4000,IT7,0,none\n"),
            "line 2, column 15: found “0”, expected a tolerance above zero",
        ),
        (
            format!("{LINEAR}m,6,8,no,0.1,ours is better\n"),
            "line 2, column 1: found “class m over 6 to 30 mm”, expected a row that adds",
        ),
        (
            format!("{LINEAR}x,6,8,no,0.1,none\n"),
            "line 2, column 1: found “x”, expected one of the general classes f, m, c, v",
        ),
        (
            format!("{LINEAR}v,0.5,3,perhaps,0.1,none\n"),
            "line 2, column 9: found “perhaps”, expected yes or no",
        ),
    ];
    for (text, expected) in cases {
        let found = fault(&text);
        assert!(found.contains(expected), "{found}\n  lacks {expected}");
    }
}

#[test]
fn spreadsheet_habits_are_read() {
    let text = format!("\u{feff}{SHAFTS}q,5,7,18,30,es,-4,\"house, \"\"old\"\" drawing\"\n\n")
        .replace('\n', "\r\n");
    let tables = house(&text);
    let steps = why(&size("25 q6", &tables), &tables);
    assert!(
        steps
            .iter()
            .any(|step| step.contains("(house: house.csv line 2, house, \"old\" drawing)"))
    );
}

proptest::proptest! {
    #![proptest_config(proptest::prelude::ProptestConfig::with_cases(64))]

    #[test]
    fn no_text_breaks_the_reading_of_house_tables(rows in "[0-9a-zA-Z,.\"\\-\n/ ]{0,80}") {
        for header in [SHAFTS, GRADES, LINEAR, ""] {
            let _ = Tables::standard().with_house(&format!("{header}{rows}"), "house.csv");
        }
    }
}

/// 400 letters over 800 ranges are 8 million cells; a file of 200 kB could ask for thousands of
/// each, and so for gigabytes.
#[test]
fn a_house_table_that_would_fill_the_memory_is_refused() {
    let letters = |at: usize| {
        let of = |digit: usize| char::from(b'q' + u8::try_from(digit % 8).unwrap());
        [of(at / 64), of(at / 8), of(at)].iter().collect::<String>()
    };
    let rows = (0..400).map(|at| {
        let (over, up_to) = (3_200 + 2 * at, 3_201 + 2 * at);
        format!("{},7,7,{over},{up_to},es,-4,own\n", letters(at))
    });
    let few = format!("{SHAFTS}{}", rows.clone().take(20).collect::<String>());
    house(&few);
    let many = format!("{SHAFTS}{}", rows.collect::<String>());
    let told = fault(&many);
    assert!(
        told.starts_with("house.csv, line 1, column 1: found “400 letters of the house over ")
            && told.ends_with("expected fewer letters, or rows that share their size ranges."),
        "{told}"
    );
}

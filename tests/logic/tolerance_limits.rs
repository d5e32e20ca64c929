//! Limits of fits, general tolerances, material limits, moved limits, and the words of the why.

use fitledger::quantity::{Angle, Decimal, DecimalMark, Length};
use fitledger::tolerance::{
    CalloutLimits, ClassKind, Context, FitLimits, GeneralClass, LimitsError, SizeLimits, Surface,
    TABLE_TEXTS, limits_of, parse_callout,
};

use crate::tolerance_tables::cases;

/// The rows of a table of tolerances, as fields; the header first.
fn rows(text: &str) -> Vec<Vec<&str>> {
    text.lines().map(|line| line.split(',').collect()).collect()
}

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

/// Whole micrometres.
fn um(text: &str) -> Length {
    let number = Decimal::parse(text, DecimalMark::Point).unwrap();
    assert_eq!(number.decimals(), 0);
    Length::from_um(i64::try_from(number.mantissa()).unwrap())
}

fn size_limits(text: &str, context: &Context<'_>) -> SizeLimits {
    match parse_callout(text).unwrap().limits(context).unwrap() {
        CalloutLimits::Size(size) => size,
        other => panic!("{other:?}"),
    }
}

fn fit_limits(text: &str) -> FitLimits {
    match parse_callout(text)
        .unwrap()
        .limits(&Context::standard())
        .unwrap()
    {
        CalloutLimits::Fit(fit) => fit,
        other => panic!("{other:?}"),
    }
}

#[test]
fn fits_have_their_clearances_and_kind() {
    for case in cases(include_str!("../tables/iso286_fits.csv")) {
        let fit = fit_limits(case[1]);
        assert_eq!(fit.max_clearance(), um(case[2]), "{}", case[0]);
        assert_eq!(fit.min_clearance(), um(case[3]), "{}", case[0]);
        assert_eq!(fit.kind().word(), case[4], "{}", case[0]);
        assert_eq!(fit.hole().class.unwrap().kind(), ClassKind::Hole);
        assert_eq!(fit.shaft().class.unwrap().kind(), ClassKind::Shaft);
    }
}

#[test]
fn the_maximum_material_limit_is_where_most_metal_is() {
    let context = Context::standard();
    let hole = size_limits("25 H7", &context);
    assert_eq!(hole.maximum_material_limit(), Some(mm("25")));
    assert_eq!(hole.least_material_limit(), Some(mm("25.021")));
    let shaft = size_limits("25 g6", &context);
    assert_eq!(shaft.maximum_material_limit(), Some(mm("24.993")));
    assert_eq!(shaft.least_material_limit(), Some(mm("24.980")));
    let size = size_limits("12 ±0.05", &context);
    assert_eq!(size.maximum_material_limit(), None);
    assert_eq!(
        size.maximum_material_limit_on(Surface::Inside),
        Some(mm("11.95"))
    );
    assert_eq!(
        size.least_material_limit_on(Surface::Outside),
        Some(mm("11.95"))
    );
}

#[test]
fn every_general_tolerance_row_is_reached() {
    let tables = [(4, ""), (5, "R")];
    for (at, prefix) in tables {
        for row in rows(TABLE_TEXTS[at].1).iter().skip(1) {
            let class = GeneralClass::from_word(row[0]).unwrap();
            let context = Context::standard().general(class);
            let end = if row[2].is_empty() { "2000" } else { row[2] };
            let mut nominals = vec![mm(end), mm(row[1]) + Length::from_nm(1)];
            if row[3] == "yes" {
                nominals.push(mm(row[1]));
            }
            for nominal in nominals {
                let size = size_limits(&format!("{prefix}{nominal}"), &context);
                assert_eq!(
                    size.upper_deviation,
                    Some(mm(row[4])),
                    "{row:?} at {nominal}"
                );
                assert_eq!(
                    size.lower_deviation,
                    Some(-mm(row[4])),
                    "{row:?} at {nominal}"
                );
                assert_eq!(size.general, Some(class));
            }
        }
    }
    for row in rows(TABLE_TEXTS[6].1).iter().skip(1) {
        let class = GeneralClass::from_word(row[0]).unwrap();
        let end = if row[2].is_empty() { "9000" } else { row[2] };
        for side in [mm(end), mm(row[1]) + Length::from_nm(1)] {
            let context = Context::standard().general(class).shorter_side(side);
            let limits = parse_callout("45°").unwrap().limits(&context).unwrap();
            let CalloutLimits::Angle(angle) = limits else {
                panic!("{row:?}")
            };
            let minutes = Angle::from_minutes(row[4].parse().unwrap());
            assert_eq!(angle.upper_deviation, Some(minutes), "{row:?}");
            assert_eq!(angle.lower_deviation, Some(-minutes), "{row:?}");
        }
    }
}

#[test]
fn general_tolerances_are_those_published() {
    for case in cases(include_str!("../tables/iso2768_general.csv")) {
        let size = mm(case[3]);
        let context = Context::standard()
            .general(GeneralClass::from_word(case[2]).unwrap())
            .shorter_side(size);
        let text = match case[1] {
            "linear" => size.to_string(),
            "edge" => format!("R{size}"),
            _ => "45°".to_owned(),
        };
        let found = match limits_of(&text, &context) {
            Ok((_, CalloutLimits::Size(limits))) => limits.upper_deviation.unwrap().to_string(),
            Ok((_, CalloutLimits::Angle(limits))) => {
                (limits.upper_deviation.unwrap().as_mas() / 60_000).to_string()
            }
            Ok(other) => panic!("{other:?}"),
            Err(error) => {
                assert_eq!(error.code(), "general_not_defined", "{}", case[0]);
                "none".to_owned()
            }
        };
        assert_eq!(found, case[4], "{}", case[0]);
    }
}

#[test]
fn a_general_tolerance_is_applied_only_when_a_class_is_given() {
    let callout = parse_callout("12").unwrap();
    let error = callout.limits(&Context::standard()).unwrap_err();
    assert_eq!(error.code(), "missing_general_class");
    let stated = size_limits(
        "12 ±0.05",
        &Context::standard().general(GeneralClass::Coarse),
    );
    assert_eq!(
        (stated.general, stated.upper_deviation),
        (None, Some(mm("0.05")))
    );
}

#[test]
fn limits_before_coating_follow_the_metal() {
    let context = Context::standard();
    let shaft = size_limits("25 h6", &context); // 24.987 to 25.000
    let coated = shaft.before_coating(mm("0.003"), mm("0.005")).unwrap();
    // Upper limit (most metal) less 2 × 0.005, lower limit less 2 × 0.003: by hand.
    assert_eq!(
        (coated.lower(), coated.upper()),
        (Some(mm("24.981")), Some(mm("24.990")))
    );
    let hole = size_limits("25 H7", &context); // 25.000 to 25.021
    let coated = hole.before_coating(mm("0.003"), mm("0.005")).unwrap();
    assert_eq!(
        (coated.lower(), coated.upper()),
        (Some(mm("25.010")), Some(mm("25.027")))
    );
    let why: Vec<String> = coated
        .explain(context.tables)
        .iter()
        .map(ToString::to_string)
        .collect();
    assert_eq!(
        why.last().unwrap(),
        "before a coating of 0.003 to 0.005 mm per surface (inside): \
         lower limit 25.000 + 0.01 = 25.010; upper limit 25.021 + 0.006 = 25.027;"
    );
    assert!(
        why.contains(&"upper limit 25 + 0.021 = 25.021".to_owned()),
        "{why:?}"
    );
    let length = size_limits("12 ±0.05", &context).limits;
    let slot = length
        .before_coating(Surface::Slot, mm("0.006"), mm("0.010"))
        .unwrap();
    assert_eq!(
        (slot.lower(), slot.upper()),
        (Some(mm("11.97")), Some(mm("12.062")))
    );
    let step = length
        .before_coating(Surface::Step, mm("0.006"), mm("0.010"))
        .unwrap();
    assert_eq!(
        (step.lower(), step.upper()),
        (Some(mm("11.954")), Some(mm("12.046")))
    );
    let even = length
        .before_coating(Surface::Depth, mm("0.01"), mm("0.01"))
        .unwrap();
    assert_eq!(
        (even.lower(), even.upper()),
        (length.lower(), length.upper())
    );
}

#[test]
fn coatings_that_leave_no_zone_or_have_no_side_are_refused() {
    let shaft = size_limits("25 h6", &Context::standard()).limits; // 13 µm wide
    let outside = |thin, thick| shaft.before_coating(Surface::Outside, mm(thin), mm(thick));
    assert!(outside("0.0035", "0.010").is_ok()); // exactly no width left
    let overlap = mm("0.002");
    assert_eq!(
        outside("0.002", "0.0095"),
        Err(LimitsError::EmptyZone { overlap })
    );
    assert!(matches!(
        outside("0.01", "0.006"),
        Err(LimitsError::CoatingRange { .. })
    ));
    assert!(matches!(
        outside("-0.01", "0.006"),
        Err(LimitsError::CoatingRange { .. })
    ));
    let length = shaft.before_coating(Surface::Length, mm("0.006"), mm("0.01"));
    assert_eq!(
        length,
        Err(LimitsError::SideUnknown {
            surface: Surface::Length
        })
    );
}

#[test]
fn metal_left_moves_both_limits_towards_metal_and_adds_to_a_coating() {
    let shaft = size_limits("20 k6", &Context::standard()).limits; // 20.002 to 20.015
    let left = shaft.leaving(Surface::Outside, mm("0.02")).unwrap();
    assert_eq!(
        (left.lower(), left.upper()),
        (Some(mm("20.022")), Some(mm("20.035")))
    );
    let bore = size_limits("20 H7", &Context::standard()).limits; // 20.000 to 20.021
    let both = bore
        .before_coating(Surface::Inside, mm("0.003"), mm("0.004"))
        .and_then(|limits| limits.leaving(Surface::Inside, mm("0.02")))
        .unwrap();
    assert_eq!(
        (both.lower(), both.upper()),
        (Some(mm("19.988")), Some(mm("20.007")))
    );
    assert_eq!(both.moves().count(), 2);
    assert_eq!(
        both.leaving(Surface::Inside, mm("0.01")),
        Err(LimitsError::TooManyMoves)
    );
    assert!(bore.leaving(Surface::Step, mm("0.02")).is_err());
    assert!(bore.leaving(Surface::Inside, mm("-0.02")).is_err());
}

fn why(text: &str, context: &Context<'_>) -> Vec<String> {
    let (_, limits) = limits_of(text, context).unwrap();
    limits
        .explain(context)
        .iter()
        .map(ToString::to_string)
        .collect()
}

#[test]
fn a_class_explains_itself_by_table_row_rule_and_arithmetic() {
    let context = Context::standard();
    assert_eq!(
        why("25 H7", &context),
        [
            "ISO 286-1:2010 table 1: IT7 over 18 to 30 mm = 21 µm",
            "hole H: EI = 0",
            "ES = EI + IT7 = 0 + 21 = +21 µm",
            "lower limit 25 + 0 = 25.000",
            "upper limit 25 + 0.021 = 25.021",
        ]
    );
    assert_eq!(
        why("40 p6", &context),
        [
            "ISO 286-1:2010 table 1: IT6 over 30 to 50 mm = 16 µm",
            "ISO 286-1:2010 table 5: shaft p over 30 to 50 mm: ei = +26 µm",
            "es = ei + IT6 = 26 + 16 = +42 µm",
            "lower limit 40 + 0.026 = 40.026",
            "upper limit 40 + 0.042 = 40.042",
        ]
    );
    assert_eq!(
        why("18 js8 Ⓔ", &context),
        [
            "ISO 286-1:2010 table 1: IT8 over 10 to 18 mm = 27 µm",
            "shaft js: es = +IT8/2 = +13.5 µm, ei = -IT8/2 = -13.5 µm",
            "lower limit 18 - 0.0135 = 17.9865",
            "upper limit 18 + 0.0135 = 18.0135",
            "Ⓔ envelope requirement (ISO 14405-1): the maximum-material size is also the limit of \
             a perfect envelope",
        ]
    );
}

#[test]
fn special_rules_are_named_where_they_act() {
    let context = Context::standard();
    assert_eq!(
        why("25 K7", &context)[1..6],
        [
            "ISO 286-1:2010 table 2: hole K over 18 to 30 mm, IT3 to IT8: ES = -2 µm + delta",
            "special rule of ISO 286-1 for K, M, N to IT8 and P to ZC to IT7, over 3 to 500 mm: \
             ES = -ei(shaft) + delta",
            "ISO 286-1:2010 table 3: delta of IT7 over 18 to 30 mm = 8 µm",
            "ES = -2 + 8 = +6 µm",
            "EI = ES - IT7 = 6 - 21 = -15 µm",
        ]
    );
    let says = |text: &str, part: &str| {
        let steps = why(text, &context);
        assert!(steps.iter().any(|step| step.contains(part)), "{steps:?}");
    };
    says("315 M6", "M6 over 250 to 315 mm has ES = -9 µm");
    says(
        "25 N9",
        "N with grades coarser than IT8, over 3 to 500 mm, has ES = 0",
    );
    says("25 k8", "k has its value for IT4 to IT7 only");
    says("0.5 h6", "IT6 up to 3 mm = 6 µm");
}

#[test]
fn all_other_indications_explain_themselves() {
    let context = Context::standard()
        .general(GeneralClass::Medium)
        .shorter_side(Length::from_mm(40));
    let meaning = "ISO 2768-1:1989: exceeding a general tolerance is not automatic rejection \
                   when the function is unimpaired";
    assert_eq!(
        why("12", &context),
        [
            "ISO 2768-1:1989 table 1: class m over 6 to 30 mm = ±0.2 mm",
            "lower limit 12 - 0.2 = 11.800",
            "upper limit 12 + 0.2 = 12.200",
            meaning,
        ]
    );
    assert_eq!(
        why("30°", &context),
        [
            "ISO 2768-1:1989 table 3: class m, shorter side over 10 to 50 mm = ±0.5°",
            "lower limit 30° - 0.5° = 29.5°",
            "upper limit 30° + 0.5° = 30.5°",
            meaning,
        ]
    );
    assert_eq!(
        why("R0.5", &context)[0],
        "ISO 2768-1:1989 table 2: class m, edge from 0.5 to 3 mm = ±0.2 mm"
    );
    assert_eq!(
        why("12 +0.1/-0.02", &context),
        [
            "deviations as stated: upper +0.1, lower -0.02",
            "lower limit 12 - 0.02 = 11.980",
            "upper limit 12 + 0.1 = 12.100",
        ]
    );
    assert_eq!(why("..0.0125", &context), ["upper limit 0.0125, as stated"]);
    assert_eq!(
        why("0.5in ±0.001", &context),
        [
            "0.5 in = 12.7 mm (1 in = 25.4 mm, exact)",
            "deviations as stated: upper +0.0254, lower -0.0254",
            "lower limit 12.7 - 0.0254 = 12.6746",
            "upper limit 12.7 + 0.0254 = 12.7254",
        ]
    );
}

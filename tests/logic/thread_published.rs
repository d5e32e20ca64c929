//! Limits of threads against what is published, value by value; and what is printed otherwise.

use crate::table::{Case, cases};
use fitledger::tolerance::{CalloutLimits, Context, ThreadElement, limits_of};

fn found(case: &Case) -> String {
    let text = case.text("callout");
    let limits = match limits_of(text, &Context::standard()) {
        Ok((_, CalloutLimits::Thread(limits))) => limits,
        other => panic!("{text}: {other:?}"),
    };
    let element = ThreadElement::from_word(case.text("element")).unwrap();
    let limit = match case.text("side") {
        "upper" => limits.element(element).upper(),
        "lower" => limits.element(element).lower(),
        side => panic!("{side}"),
    };
    limit.unwrap().to_mm()
}

#[test]
fn published_limits_are_met_to_the_micrometre() {
    let cases = cases(include_str!("../tables/thread_published.csv"));
    assert!(cases.len() >= 329);
    for case in cases {
        assert_eq!(found(&case), case.text("expected_mm"), "{}", case.name());
    }
}

/// Where a public page prints something else, the other value and its reason stand in a list; the
/// printed one is not ours.
#[test]
fn misprints_and_other_roundings_are_known() {
    for case in cases(include_str!("../tables/thread_misprints.csv")) {
        assert_eq!(found(&case), case.text("expected_mm"), "{}", case.name());
        assert_ne!(case.text("printed_mm"), case.text("expected_mm"));
    }
}

/// A worked example after ISO 965-3 for M10-6g, seen on a public page: d3 from 7.938 to 8.128, d1
/// up to 8.344. The design root's greatest diameter is told, and is no limit.
#[test]
fn the_three_minor_diameters_of_an_external_thread_are_told_apart() {
    let context = Context::standard();
    let (_, limits) = limits_of("M10-6g", &context).unwrap();
    let why: Vec<String> = limits
        .explain(&context)
        .iter()
        .map(ToString::to_string)
        .collect();
    let wanted = [
        "minor diameter, upper limit: d1 + es, which the GO ring must clear, = 8.3762 - 32 µm = \
         8.344",
        "minor diameter, lower limit: d3 min, the root radius R_min = P/8 just touching, = d2 + \
         es - Td2 - (H - 2 R_min) = 9.0257 - 32 µm - 132 µm - 0.924 = 7.938",
        "for information, the design root rounded with H/6: d3 max = d3 + es = 8.1597 - 32 µm = \
         8.128",
    ];
    for step in wanted {
        assert!(why.iter().any(|found| found == step), "{step}\n{why:#?}");
    }
}

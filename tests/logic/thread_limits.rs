//! Limits of threads against published rows.

use fitledger::tolerance::{
    Callout, CalloutLimits, Context, ThreadElement, ThreadLimits, limits_of, parse_callout,
};

fn one(text: &str) -> Box<ThreadLimits> {
    match limits_of(text, &Context::standard()) {
        Ok((_, CalloutLimits::Thread(limits))) => limits,
        other => panic!("{text}: {other:?}"),
    }
}

fn mm(limits: &ThreadLimits, element: ThreadElement) -> [String; 2] {
    let limits = limits.element(element);
    [limits.lower(), limits.upper()].map(|one| one.map(|one| one.to_mm()).unwrap_or_default())
}

#[test]
fn m10_of_the_usual_classes() {
    let bore = one("M10-6H");
    assert_eq!(mm(&bore, ThreadElement::Pitch), ["9.026", "9.206"]);
    assert_eq!(mm(&bore, ThreadElement::Minor), ["8.376", "8.676"]);
    assert_eq!(mm(&bore, ThreadElement::Major), ["10.000", ""]);
    let screw = one("M10-6g");
    assert_eq!(mm(&screw, ThreadElement::Major), ["9.732", "9.968"]);
    assert_eq!(mm(&screw, ThreadElement::Pitch), ["8.862", "8.994"]);
    assert_eq!(mm(&screw, ThreadElement::Minor), ["7.938", "8.344"]);
}

/// Published as 2.635 and 3.869; rounding the pitch diameter first gives 1 µm less.
#[test]
fn the_root_is_rounded_once_at_the_end() {
    assert_eq!(mm(&one("M3.5-6g"), ThreadElement::Minor)[0], "2.635");
    assert_eq!(mm(&one("M5-6g"), ThreadElement::Minor)[0], "3.869");
}

#[test]
fn a_designation_prints_as_it_is_read() {
    for text in [
        "M10",
        "M10x1",
        "M8x1-6g",
        "M10-5g6g",
        "M20x2-6H/5g6g",
        "M6x0.75-7g6g-L",
        "M6x1-5h6h-S-LH",
        "M8-LH",
        "M16xPh3P1.5-6H",
        "M20x2-7g6g-15",
        "M10-6az",
        "M10-6AZ",
    ] {
        assert_eq!(parse_callout(text).unwrap().to_string(), text);
        assert!(matches!(parse_callout(text), Ok(Callout::Thread(_))));
    }
}

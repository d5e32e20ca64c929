//! Limits of threads before a coating, and hot-dip positions; worked by hand.

use fitledger::quantity::Length;
use fitledger::tolerance::{CalloutLimits, Context, ThreadElement, ThreadLimits, limits_of};

fn one(text: &str) -> Box<ThreadLimits> {
    match limits_of(text, &Context::standard()) {
        Ok((_, CalloutLimits::Thread(limits))) => limits,
        other => panic!("{text}: {other:?}"),
    }
}

fn um(count: i64) -> Length {
    Length::from_um(count)
}

fn shown(limits: &ThreadLimits) -> Vec<[String; 2]> {
    let text = |limit: Option<Length>| limit.map(|limit| limit.to_mm()).unwrap_or_default();
    ThreadElement::ALL
        .map(|element| limits.element(element))
        .map(|limits| [text(limits.lower()), text(limits.upper())])
        .to_vec()
}

/// M10-6g is 9.732 to 9.968, 8.862 to 8.994, 7.938 to 8.344 (ASME B1.13M-2005). A coat of 6 to
/// 10 µm: crests move by twice, flanks by four times the thickness; the upper limits, where most
/// metal is, by the thickest, the lower ones by the thinnest.
#[test]
fn an_external_thread_is_made_smaller() {
    let before = one("M10-6g").before_coating(um(6), um(10)).unwrap();
    assert_eq!(
        shown(&before),
        [
            ["9.720", "9.948"], // 9.732 - 0.012, 9.968 - 0.020
            ["8.838", "8.954"], // 8.862 - 0.024, 8.994 - 0.040
            ["7.926", "8.324"], // 7.938 - 0.012, 8.344 - 0.020
        ]
    );
}

/// M10-6H is from 10.000, 9.026 to 9.206, 8.376 to 8.676 (ANSI/ASME B1.13M-1995).
#[test]
fn an_internal_thread_is_made_larger() {
    let before = one("M10-6H").before_coating(um(6), um(10)).unwrap();
    assert_eq!(
        shown(&before),
        [
            ["10.020", ""],     // 10.000 + 0.020
            ["9.066", "9.230"], // 9.026 + 0.040, 9.206 + 0.024
            ["8.396", "8.688"], // 8.376 + 0.020, 8.676 + 0.012
        ]
    );
}

#[test]
fn a_coat_of_one_thickness_moves_both_limits_alike() {
    let (after, before) = (
        one("M10-6g"),
        one("M10-6g").before_coating(um(8), um(8)).unwrap(),
    );
    for (element, by) in [(ThreadElement::Major, 16), (ThreadElement::Pitch, 32)] {
        let (after, before) = (after.element(element), before.element(element));
        assert_eq!(before.upper(), after.upper().map(|limit| limit - um(by)));
        assert_eq!(before.lower(), after.lower().map(|limit| limit - um(by)));
    }
}

/// The tolerance of d2 is 132 µm: a thickness that varies by 33 µm just leaves one size, by
/// 40 µm it leaves none.
#[test]
fn a_coat_that_leaves_no_zone_is_refused() {
    let screw = one("M10-6g");
    let last = screw.before_coating(um(0), um(33)).unwrap();
    assert_eq!(last.pitch.lower(), last.pitch.upper());
    let error = screw.before_coating(um(0), um(40)).unwrap_err();
    assert_eq!(error.code(), "empty_zone");
    let text = error.to_string();
    assert!(
        text.starts_with("The pitch diameter:") && text.contains("0.028"),
        "{text}"
    );
    assert!(error.hint().is_some());
    for (thin, thick) in [(-1, 5), (10, 6)] {
        let error = screw.before_coating(um(thin), um(thick)).unwrap_err();
        assert_eq!(error.code(), "bad_coating", "{thin}..{thick}");
    }
}

#[test]
fn the_why_tells_which_diameter_was_moved_and_by_what() {
    let before = one("M10-6g").before_coating(um(6), um(10)).unwrap();
    let context = Context::standard();
    let limits = CalloutLimits::Thread(Box::new(before));
    let why: Vec<String> = limits
        .explain(&context)
        .iter()
        .map(ToString::to_string)
        .collect();
    let moved: Vec<&String> = why
        .iter()
        .filter(|step| step.contains("before a coating"))
        .collect();
    assert_eq!(
        moved,
        [
            "major diameter before a coating of 0.006 to 0.01 mm per surface (outside): lower \
             limit 9.732 - 0.012 = 9.720; upper limit 9.968 - 0.02 = 9.948;",
            "pitch diameter before a coating of 0.006 to 0.01 mm per surface (flanks outside, \
             four times on the pitch diameter): lower limit 8.862 - 0.024 = 8.838; upper limit \
             8.994 - 0.04 = 8.954;",
            "minor diameter before a coating of 0.006 to 0.01 mm per surface (outside): lower \
             limit 7.938 - 0.012 = 7.926; upper limit 8.344 - 0.02 = 8.324;",
        ]
    );
    let last = why[why.len() - 3..].iter();
    assert!(last.eq(moved), "the moves come last");
    assert!(why.iter().any(|step| step.ends_with("= 8.994")), "{why:#?}");
}

/// ISO 965-4 (from memory) and ISO 965-5 (its abstract) at a pitch of 1.5 mm: az -(300 + 30), AZ
/// 300 + 30, AX 330 - 20; at 3.5 mm: 370 and 750.
#[test]
fn hot_dip_positions_by_their_formulas() {
    let deviation = |text: &str| one(text).deviation;
    assert_eq!(deviation("M10-6az"), um(-330));
    assert_eq!(deviation("M10-6AZ"), um(330));
    assert_eq!(deviation("M10-6AX"), um(310));
    assert_eq!(deviation("M30-6az"), um(-370));
    assert_eq!(deviation("M30-6AX"), um(750));
    // 9.0257 - 0.330 and 132 µm less; 9.0257 + 0.310 and 180 µm more.
    assert_eq!(shown(&one("M10-6az"))[1], ["8.564", "8.696"]);
    assert_eq!(shown(&one("M10-6AX"))[1], ["9.336", "9.516"]);
}

//! Plain sizes that are proved by limit gauges: which end stands for which limit, and which gauge
//! of the register is made for which callout.
//!
//! Published: the GO end is made to the maximum-material limit and the NO-GO end to the
//! least-material limit (ISO 1938-1 in outline, from memory). 20 H7 is 20.000 to 20.021 and 20 k6
//! is 20.002 to 20.015 (ISO 286-2, tables of H7 and k6, 18 to 30 mm).

use fitledger::gauge::{CheckEnd, CheckOutcome, CheckTool};
use fitledger::measure::{Side, VerdictWord, judge_check};
use fitledger::plan::{Bounds, Characteristic, Plan, is_callout_of};
use fitledger::tolerance::Tables;

use crate::plan::parse;

fn read(lines: &str) -> Plan {
    let text = format!("[part]\nname = \"Pump housing\"\n[[feature]]\nid = \"A\"\n{lines}\n");
    parse(&text).unwrap_or_else(|errors| panic!("{}", errors[0]))
}

fn named<'p>(plan: &'p Plan, element: &str) -> &'p Characteristic {
    let mut all = plan.features[0].characteristics.iter();
    all.find(|one| one.id.element.as_deref() == Some(element))
        .unwrap_or_else(|| panic!("no {element}"))
}

#[test]
fn a_bore_is_proved_by_plain_plugs_and_a_shaft_by_a_gap_gauge() {
    let cases = [
        ("20 H7", CheckTool::PlainPlug, ["go_plug", "no_go_plug"]),
        ("20 k6", CheckTool::GapGauge, ["go_gap", "no_go_gap"]),
    ];
    for (callout, with, words) in cases {
        let lines = format!("callout = \"{callout}\"\nelements = {words:?}");
        let plan = read(&lines);
        assert_eq!(plan.features[0].characteristics.len(), 2, "{callout}");
        for (word, end) in words.into_iter().zip([CheckEnd::Go, CheckEnd::NoGo]) {
            let Some(Bounds::Check(asked)) = named(&plan, word).bounds() else {
                panic!("{word} is no check");
            };
            assert_eq!((asked.end, asked.with), (end, with), "{word}");
            // A GO end that does not go: metal is on. A NO-GO end that goes: metal is gone.
            let wrong = match end {
                CheckEnd::Go => judge_check(&asked, CheckOutcome::DoesNot),
                _ => judge_check(&asked, CheckOutcome::Goes),
            };
            let side = match end {
                CheckEnd::Go => Side::MetalOn,
                _ => Side::MetalGone,
            };
            let wrong = wrong.unwrap();
            assert_eq!((wrong.verdict, wrong.side), (VerdictWord::NoGo, side));
        }
    }
}

#[test]
fn a_size_may_be_measured_beside_its_gauges_and_only_finished_parts_are_gauged() {
    let plan = read(
        "callout = \"20 H7\"\nelements = [\"size\", \"go_plug\"]\npoints = 3\n\
         stages = [\"bored\", \"honed\"]\nleave = 0.02\n",
    );
    let size = named(&plan, "size");
    assert_eq!((size.points, size.stages.len()), (3, 2));
    assert!(matches!(size.bounds(), Some(Bounds::Length(_))));
    let plug = named(&plan, "go_plug");
    assert_eq!(plug.points, 1);
    let names: Vec<_> = plug
        .stages
        .iter()
        .map(|stage| stage.name.as_deref())
        .collect();
    assert_eq!(names, [Some("honed")]);
    // Without elements a plain size is measured, as before.
    let plain = read("callout = \"20 H7\"");
    assert_eq!(plain.features[0].characteristics.len(), 1);
    assert!(plain.features[0].characteristics[0].id.element.is_none());
}

#[test]
fn a_gauge_is_made_for_a_callout_when_the_limits_are_the_same() {
    let tables = Tables::standard();
    let hole = read("callout = \"20 H7\"\nelements = [\"go_plug\"]");
    let shaft = read("callout = \"20 k6\"\nelements = [\"go_gap\"]");
    let nut = read("callout = \"M10-6H\"\nelements = [\"go_plug\"]");
    let both = read("callout = \"M10-6H/6g\"\nsurface = \"inside\"\nelements = [\"go_plug\"]");
    let is =
        |text: &str, plan: &Plan| is_callout_of(text, &plan.features[0].characteristics[0], tables);
    for same in ["20 H7", "Ø20H7", "20 +0.021/0", "20.000..20.021"] {
        assert!(is(same, &hole), "{same}");
    }
    for other in [
        "20 H8",
        "25 H7",
        "20 k6",
        "20 +0.020/0",
        "20.000..",
        "M20-6H",
        "plug",
    ] {
        assert!(!is(other, &hole), "{other}");
    }
    assert!(is("20 +0.015/+0.002", &shaft));
    assert!(!is("20 H7", &shaft));
    // The same limits of a hole and of a shaft are not the same gauge.
    let bush = read("callout = \"20 JS6\"\nelements = [\"go_plug\"]");
    assert!(is("20 JS6", &bush) && !is("20 js6", &bush));
    for same in ["M10-6H", "M10x1.5-6H", "m10 - 6H"] {
        assert!(is(same, &nut) && is(same, &both), "{same}");
    }
    for other in ["M10-6G", "M10x1-6H", "M10-6g", "M10-6h"] {
        assert!(!is(other, &nut) && !is(other, &both), "{other}");
    }
}

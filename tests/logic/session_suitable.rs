//! Which gauges can prove a plan, asked of plan and register alone.

use fitledger::gauge::GaugeId;
use fitledger::measure::Proof;
use fitledger::session::{
    Found, Setup, Suitable, Unfit, expected_uncertainty, suitability_of, suitability_warnings,
};

use crate::support::bench::{feature, fresh, plan};

fn suitable(text: &str) -> Vec<Suitable> {
    suitability_of(&Setup::of(&plan(text)).unwrap())
}

fn found<'a>(one: &'a Suitable, gauge: &str) -> &'a Found {
    let id = GaugeId::new(gauge);
    let gauge = one.gauges.iter().find(|one| one.gauge == id);
    &gauge.unwrap_or_else(|| panic!("no {id}")).found
}

fn proof(one: &Suitable, gauge: &str) -> Option<Proof> {
    match found(one, gauge) {
        Found::Measures(proven) => Some(proven.proof),
        _ => None,
    }
}

/// 20 k6 has T = 13 µm. The micrometer: u = sqrt(2^2/3 + 0.5^2/3 + 0.5^2) = 1.291 µm, guard zones
/// 2 x 1.645 u = 4.25 µm of 13, a third; the caliper: u = 17.6 µm, T below 3.92 u.
#[test]
fn each_gauge_of_the_register_is_answered_for() {
    let all = suitable(&feature("A", "20 k6", ""));
    let [one] = all.as_slice() else {
        panic!("one characteristic")
    };
    assert_eq!(one.tolerance, Some(13_000));
    assert_eq!(one.gauges.len(), 6);
    assert_eq!(proof(one, "mic"), Some(Proof::Sometimes));
    assert_eq!(proof(one, "caliper"), Some(Proof::Cannot));
    assert_eq!(*found(one, "comparator"), Found::Unfit(Unfit::Faces));
    assert_eq!(*found(one, "ring"), Found::Unfit(Unfit::Kind));
    assert_eq!(*found(one, "protractor"), Found::Unfit(Unfit::Kind));
    assert_eq!(one.warning(), None);
}

#[test]
fn a_gauge_that_the_plan_does_not_list_proves_nothing() {
    let all = suitable(&feature("A", "20 k6", "gauge = [\"caliper\"]"));
    assert_eq!(*found(&all[0], "mic"), Found::Unfit(Unfit::NotListed));
    let warnings = suitability_warnings(
        &Setup::of(&plan(&feature("A", "20 k6", "gauge = [\"caliper\"]"))).unwrap(),
    );
    let [warning] = warnings.as_slice() else {
        panic!("{warnings:?}")
    };
    assert!(
        warning.starts_with("No gauge here can prove A 20 k6: caliper is the best with U = 0.034"),
        "{warning}"
    );
    // A gauge that the register lacks may be anything: no warning.
    let all = suitable(&feature(
        "A",
        "20 k6",
        "gauge = [\"caliper\", \"elsewhere\"]",
    ));
    assert_eq!(*found(&all[0], "elsewhere"), Found::NotKnown);
    assert_eq!(all[0].warning(), None);
}

#[test]
fn a_size_that_no_range_reaches_is_told_with_the_ranges() {
    let all = suitable(&feature("A", "200 h9", ""));
    let warning = all[0].warning().unwrap();
    assert!(
        warning.contains("mic: its range is 0 to 25 mm"),
        "{warning}"
    );
    assert!(
        warning.contains("caliper: its range is 0 to 150 mm"),
        "{warning}"
    );
}

/// The comparator is set on a ring of 20.000 and shows half a millimetre to each side.
#[test]
fn a_comparator_reaches_as_far_as_its_deviation() {
    let within = suitable(&feature("A", "20 H9", ""));
    assert!(matches!(
        found(&within[0], "comparator"),
        Found::Measures(_) | Found::NotKnown
    ));
    let beyond = suitable(&feature("A", "21 H9", ""));
    let Found::Unfit(Unfit::Range { set_size, .. }) = found(&beyond[0], "comparator") else {
        panic!("{:?}", found(&beyond[0], "comparator"));
    };
    assert_eq!(set_size.as_nm(), 20_000_000);
    assert_eq!(*found(&within[0], "mic"), Found::Unfit(Unfit::Faces));
    // The ring states no error; with one, nothing is left out.
    let caution = |text: String, ring: &str| {
        let mut opened = plan(&text);
        opened.gauges = opened.gauges.replace("range = 20.000", ring);
        let all = suitability_of(&Setup::of(&opened).unwrap());
        let mut gauges = all[0].gauges.iter();
        let id = GaugeId::new("comparator");
        gauges.find(|one| one.gauge == id).unwrap().caution.clone()
    };
    let bore = || feature("A", "20 H9", "");
    assert_eq!(
        caution(bore(), "range = 20.000").as_deref(),
        Some("the error of its standard ring is not stated, so it is left out of the uncertainty")
    );
    assert_eq!(caution(bore(), "range = 20.000\nmpe = 0.001"), None);
    // Where it measures nothing there is nothing to leave out.
    assert_eq!(caution(feature("A", "20 k6", ""), "range = 20.000"), None);
}

/// What is promised before the first part is what the first reading of the session has.
#[test]
fn the_uncertainty_is_the_session_s_own() {
    // With and without a material: temperature joins the budget.
    for material in ["", "material = \"steel\"\n"] {
        let text = format!("{material}{}", feature("A", "20 k6", ""));
        let bench = fresh(&plan(&text));
        let expected = expected_uncertainty(&bench, 0).unwrap();
        let all = suitability_of(bench.setup());
        let Found::Measures(proven) = found(&all[0], "mic") else {
            panic!("{all:?}");
        };
        assert!((proven.standard - expected).abs() < 1e-9, "{expected}");
    }
}

/// The register has no plug, and limit gauges need not be in it; sizes are still warned of.
#[test]
fn what_is_tried_is_never_warned_of() {
    let text = feature(
        "D",
        "M10-6H",
        "elements = [\"minor\", \"go_plug\", \"no_go_plug\"]",
    ) + &feature("E", "20 H7", "elements = [\"size\", \"go_plug\"]")
        + &feature("F", "200 h9", "");
    let all = suitable(&text);
    let warned: Vec<&str> = all
        .iter()
        .filter(|one| one.warning().is_some())
        .map(|one| one.element.as_str())
        .collect();
    let elements: Vec<&str> = all.iter().map(|one| one.element.as_str()).collect();
    assert_eq!(
        elements,
        ["minor", "go_plug", "no_go_plug", "size", "go_plug", "size"]
    );
    assert_eq!(all.iter().filter(|one| one.is_check).count(), 3);
    // The caliper proves M10's minor diameter and the comparator the bore; nothing reaches 200 mm.
    assert_eq!(warned, ["size"]);
    assert!(all[5].warning().is_some());
}

#[test]
fn a_register_without_gauges_warns_of_nothing() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.gauges.clear();
    let setup = Setup::of(&opened).unwrap();
    assert_eq!(suitability_warnings(&setup), Vec::<String>::new());
}

//! The drawn part by value: what the plan gives, and the state of each feature on the part at
//! hand.

#![allow(clippy::unwrap_used)]

use fitledger::journal::SessionOpened;
use fitledger::session::Command;
use fitledger::window::view::{Mark, OutlineShape, OutlineView, outline_view};

use crate::support::bench::{Bench, feature, plan};
use crate::support::shown::{shown, snapshot};

/// A bush: a seat with two points, a collar measured on every second part, a groove in the
/// collar, a bore, a length; and a pin bore that has no place.
fn bush() -> SessionOpened {
    let text = [
        feature("A", "20 k6", "along = [0, 14]\npoints = 2"),
        feature("B", "24 h9", "along = [14, 30]\nevery = 2"),
        feature("C", "22 h11", "along = [17, 18]"),
        feature("D", "12 H8", "along = [0, 20]"),
        feature("E", "30 ±0.1", "along = [0, 30]\nsurface = \"length\""),
        feature("F", "6 H8", ""),
    ];
    plan(&text.concat())
}

fn seen(bench: &Bench, subject: Option<usize>) -> OutlineView {
    outline_view(&snapshot(bench), subject).unwrap()
}

fn mark(bench: &Bench, id: &str) -> Mark {
    let view = seen(bench, None);
    view.shapes
        .iter()
        .find(|shape| shape.id == id)
        .unwrap()
        .mark
}

#[test]
fn a_plan_becomes_cylinders_bores_and_dimensions_in_millimetres() {
    let bench = Bench::new(bush());
    let view = seen(&bench, Some(1));
    assert_eq!((view.left, view.right, view.radius), (0.0, 30.0, 12.0));
    assert_eq!(
        view.spoken,
        "Half section of Pump shaft, 30 mm long, 24 mm across; not drawn: F"
    );
    let plain = OutlineShape {
        target: Some(0),
        id: "A".to_owned(),
        balloon: "1".to_owned(),
        from: 0.0,
        to: 14.0,
        radius_from: 10.0,
        radius_to: 10.0,
        thread_root: None,
        is_bore: false,
        is_length: false,
        mark: Mark::Open,
        leader: None,
    };
    // Of the two pieces of the collar the longer one carries its name.
    let piece = |from, to, id: &str, target, radius, leader: Option<&str>| OutlineShape {
        target: Some(target),
        id: id.to_owned(),
        balloon: if id.is_empty() {
            String::new()
        } else {
            (target + 1).to_string()
        },
        from,
        to,
        radius_from: radius,
        radius_to: radius,
        leader: leader.map(str::to_owned),
        ..plain.clone()
    };
    let expected = [
        plain.clone(),
        piece(14.0, 17.0, "", 1, 12.0, None),
        piece(17.0, 18.0, "C", 2, 11.0, None),
        piece(18.0, 30.0, "B", 1, 12.0, Some("24 h9")),
        OutlineShape {
            is_bore: true,
            ..piece(0.0, 20.0, "D", 3, 6.0, None)
        },
        OutlineShape {
            is_length: true,
            ..piece(0.0, 30.0, "E", 4, 0.0, None)
        },
    ];
    assert_eq!(view.shapes, expected);
}

#[test]
fn each_feature_has_the_state_of_the_part_at_hand() {
    let mut bench = Bench::new(bush());
    assert_eq!(mark(&bench, "A"), Mark::Open);
    assert_eq!(bench.reads("20.008"), "inside");
    assert_eq!(mark(&bench, "A"), Mark::Inside);
    assert_eq!(bench.reads("20.009"), "GO");
    assert_eq!(mark(&bench, "A"), Mark::Go);
    assert_eq!(mark(&bench, "B"), Mark::Open);
    assert_eq!(bench.reads("23.940"), "NO-GO metal_gone");
    let view = seen(&bench, None);
    let collar = view.shapes.iter().filter(|shape| shape.target == Some(1));
    let marks: Vec<Mark> = collar.map(|shape| shape.mark).collect();
    assert_eq!(marks, [Mark::NoGo, Mark::NoGo]);
    assert!(view.shapes.iter().all(|shape| shape.leader.is_none()));
}

#[test]
fn doubt_a_held_reading_and_cutting_are_seen_and_a_new_part_begins_open() {
    let mut bench = Bench::new(bush());
    assert_eq!(bench.reads("20.0145"), "DOUBT");
    assert_eq!(mark(&bench, "A"), Mark::Doubt);
    bench.asks(Command::SwitchCutting(true));
    assert_eq!(bench.reads("20.050"), "cutting_noted");
    assert_eq!(mark(&bench, "A"), Mark::Cutting);
    bench.asks(Command::SwitchCutting(false));
    assert_eq!(bench.reads("20.450"), "held far");
    assert_eq!(mark(&bench, "A"), Mark::Held);
    bench.asks(Command::AnswerHeld {
        belongs: false,
        reason: String::new(),
    });
    bench.asks(Command::StartNextPart);
    assert_eq!(mark(&bench, "A"), Mark::Open);
}

#[test]
fn a_characteristic_that_the_sampling_plan_leaves_out_is_told_apart() {
    let mut bench = Bench::new(bush());
    assert_eq!(mark(&bench, "B"), Mark::Open);
    bench.asks(Command::StartNextPart);
    bench.asks(Command::StartNextPart);
    assert_eq!(mark(&bench, "A"), Mark::Open);
    assert_eq!(mark(&bench, "B"), Mark::NotSelected);
}

#[test]
fn typed_callouts_have_no_shape_and_an_absurd_subject_no_leader() {
    let mut opened = bush();
    opened.plan = None;
    opened.callouts = vec!["20 k6".to_owned()];
    let bench = Bench::new(opened);
    assert_eq!(outline_view(&snapshot(&bench), Some(0)), None);

    let bench = Bench::new(bush());
    for subject in [Some(5), Some(6), Some(usize::MAX)] {
        let view = seen(&bench, subject);
        assert!(view.shapes.iter().all(|shape| shape.leader.is_none()));
    }
}

#[test]
fn the_bench_shows_the_part_with_the_leader_at_what_the_verdict_is_of() {
    let mut bench = Bench::new(bush());
    let leader = |bench: &Bench| {
        let shapes = shown(bench).outline.unwrap().shapes;
        shapes.into_iter().find_map(|shape| shape.leader)
    };
    assert_eq!(leader(&bench).as_deref(), Some("20 k6"));
    bench.reads("20.008");
    bench.reads("20.009");
    assert_eq!(leader(&bench).as_deref(), Some("20 k6"));
    bench.reads("23.980");
    assert_eq!(leader(&bench).as_deref(), Some("24 h9"));
}

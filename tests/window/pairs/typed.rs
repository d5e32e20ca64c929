//! The fields of a press fit: stepped through from a keypad, each fault at its field.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use egui_kittest::kittest::Queryable;
use fitledger::session::Snapshot;
use fitledger::window::drawn::PageDrawn;
use fitledger::window::links_facts::LinksTold;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::pairs_room::{
    FIELDS, PairsAsked, PairsNow, PairsRoom, PressTyped, press_field,
};
use fitledger::window::pairs_ui::pairs_ui;
use fitledger::window::press::Press;
use fitledger::window::view::{PairsSeen, pairs_now, pairs_view, press_choices};

use super::scenes::{demonstration, measured, opened, pressing_at, pump_bush, room, seen};
use super::{LARGE, SMALL, keys, list, page, said, states, text};
use crate::support::bench::Bench;
use crate::support::picture::window;
use crate::support::shown::snapshot;

fn now_of(room: &PairsRoom, snapshot: &Snapshot) -> PairsNow {
    let drawn = PageDrawn {
        shown: 4,
        has_more: true,
        ..PageDrawn::default()
    };
    pairs_now((room, &LinksTold::default()), Some(snapshot), drawn)
}

/// As the window does: what `+` and `-` ask for is stepped to.
fn stepped(room: &mut PairsRoom, snapshot: &Snapshot, text: &str) -> String {
    let now = now_of(room, snapshot);
    for key in text.chars() {
        for asked in keys(room, now, &key.to_string()) {
            let PairsAsked::Step { next } = asked else {
                panic!("{key} leads out");
            };
            let choices = press_choices(room, Some(snapshot));
            room.step(&choices, next);
        }
    }
    let typed = &room.typed[&room.chosen];
    typed.fields[typed.at].clone()
}

#[test]
fn a_keypad_steps_through_materials_ways_surfaces_and_classes() {
    let pump = pump_bush();
    let mut room = PairsRoom::default();
    assert_eq!(stepped(&mut room, &pump, "/15⏎50+⏎⏎"), "");
    // The table in its order, the first row first; and back to nothing.
    assert_eq!(stepped(&mut room, &pump, "+"), "steel");
    assert_eq!(stepped(&mut room, &pump, "+-"), "steel");
    assert_eq!(stepped(&mut room, &pump, "-"), "");
    let mut names = BTreeSet::new();
    loop {
        let name = stepped(&mut room, &pump, "+");
        let is_known = name.is_empty() || fitledger::material::material(&name).is_ok();
        assert!(is_known, "{name}");
        if !names.insert(name) {
            break;
        }
    }
    for row in fitledger::material::materials() {
        assert!(names.contains(&*row.designation), "{}", row.designation);
    }
    // What was stepped to is erased whole; a number or a beginning is typed and leads on.
    stepped(&mut room, &pump, "+⌫");
    assert_eq!(stepped(&mut room, &pump, "en aw-60+"), "EN AW-6082 T6");
    assert_eq!(stepped(&mut room, &pump, "⌫1.4301"), "1.4301");
    assert_eq!(stepped(&mut room, &pump, "⌫⌫⌫⌫⌫⌫EN-GJL-250"), "EN-GJL-250");
    stepped(&mut room, &pump, "⏎⏎6.3⏎4⏎");
    assert_eq!(stepped(&mut room, &pump, "+"), "pressed");
    assert_eq!(stepped(&mut room, &pump, "+"), "shrunk");
    assert_eq!(stepped(&mut room, &pump, "+"), "");
    assert_eq!(stepped(&mut room, &pump, "⏎-"), "degreased");
    assert_eq!(stepped(&mut room, &pump, "-"), "oiled");
    // The bore of the plan; or a size with usual classes; or two limits.
    assert_eq!(stepped(&mut room, &pump, "⏎+"), "16 F7");
    assert_eq!(stepped(&mut room, &pump, "⌫16+"), "16 H7");
    assert_eq!(stepped(&mut room, &pump, "+-"), "16 H7");
    let typed = room.typed[&0].clone();
    let text = said(&page(pairs_view(&PairsSeen {
        room: &room,
        snapshot: Some(&pump),
        told: &LinksTold::default(),
        now_ms: 0,
        marker: ',',
    })));
    assert!(
        text.contains("The bush's bore may leave its limits: 15,9"),
        "{text}"
    );
    assert_eq!(typed.fields[press_field::SURFACES], "oiled");
    assert_eq!(stepped(&mut room, &pump, "⌫16-16.018"), "16-16.018");
    let limits = room.typed[&0].fields.clone();
    let with = |fields: &[String; FIELDS]| {
        let fields = fields.each_ref().map(String::as_str);
        said(&page(pressing_at(&pump, 0, fields, 0)))
    };
    // 16 H7 is 16.000 to 16.018 (ISO 286-1): the same said in two ways.
    assert_eq!(with(&limits), with(&typed.fields));
    // Where nothing is typed into there is nothing to step through.
    let choices = press_choices(&PairsRoom::default(), Some(&pump));
    assert_eq!(choices, Vec::<String>::new());
    let mut empty = PairsRoom::default();
    empty.step(&[], true);
    empty.step(&[], false);
    assert_eq!(empty.typed[&0], PressTyped::default());
}

/// A bronze that the table of the program has not, and steel with numbers of its own.
const HOUSE: &str = "[[material]]\ndesignation = \"pump bronze 7\"\ngroup = \"bronze\"\nyoungs_modulus_gpa = 115\npoisson_ratio = 0.34\n\
    expansion_um_per_m_k = 17.9\nyield_mpa = 450\nyield_kind = \"Rp0.2\"\n\
    source = \"certificate of the lot\"\n\
    [[material]]\ndesignation = \"C45\"\ngroup = \"steel\"\nyoungs_modulus_gpa = 200\n\
    poisson_ratio = 0.29\nexpansion_um_per_m_k = 11.1\nsource = \"certificate of the bar\"\n";

#[test]
fn materials_of_the_house_are_stepped_to_each_name_once() {
    let mut opened = opened(1);
    opened.house = vec![("materials.toml".to_owned(), HOUSE.to_owned())];
    let ours = snapshot(&Bench::new(opened));
    let steps = |snapshot: &Snapshot| {
        let mut room = room(1);
        room.typed.insert(
            1,
            PressTyped {
                at: press_field::HUB,
                ..PressTyped::default()
            },
        );
        press_choices(&room, Some(snapshot))
    };
    let (with, without) = (steps(&ours), steps(&measured(1, "", &[])));
    let bronze = |names: &[String]| names.iter().filter(|name| *name == "pump bronze 7").count();
    assert_eq!((bronze(&with), bronze(&without)), (1, 0));
    let different: BTreeSet<&String> = with.iter().collect();
    assert_eq!(different.len(), with.len(), "{with:?}");
    assert_eq!(with.len(), without.len() + 1);
    // What was stepped to is what is computed with.
    let mut fields = [""; FIELDS];
    fields[..5].copy_from_slice(&["15", "40", "", "pump bronze 7", "C45"]);
    let told = said(&page(pressing_at(&ours, 1, fields, 0)));
    assert!(told.contains("certificate of the lot"), "{told}");
}

#[test]
fn each_fault_is_pointed_at_its_field() {
    let pump = pump_bush();
    let right = [
        "15",
        "50",
        "",
        "EN-GJL-250",
        "",
        "6.3",
        "4",
        "pressed",
        "oiled",
        "16 H7",
        "16.02",
    ];
    let faulty = |at: usize, text: &'static str| {
        let mut fields = right;
        fields[at] = text;
        let page = page(pressing_at(&pump, 0, fields, 0));
        let found = page.fields.iter().position(|field| field.is_faulty);
        (found, page.lines[0].text.clone())
    };
    assert_eq!(faulty(0, "15").0, None);
    for (at, text, words) in [
        (0, "", "Type the length of the joint"),
        (0, "6x", "The length of the joint, mm: "),
        (0, "0.01", "The joint length is 0.01"),
        (1, "5,0,0", "The outside of the hub, mm: "),
        (1, "20", "outside diameter is 20 mm; it must be larger"),
        (
            1,
            "30000",
            "The outside of the hub, mm: 30000 mm is out of range",
        ),
        (1, "-5", "The outside of the hub is \u{2212}5"),
        (2, "x", "The bore of the shaft, mm: "),
        (2, "20", "The shaft's bore is 20 mm"),
        (2, "-3", "The bore of the shaft is \u{2212}3"),
        (3, "", "Type the material of the hub, or step"),
        (3, "stel", "did you mean “steel”?"),
        (4, "unobtainium", "The material of the shaft: "),
        (
            5,
            "rough",
            "The roughness Rz of the hub, µm: “rough” is no number.",
        ),
        (5, "201", "The roughness Rz of the hub is 201"),
        (6, "-1", "The roughness Rz of the shaft is \u{2212}1"),
        (
            7,
            "glued",
            "cannot be “glued”: step with + through pressed, shrunk.",
        ),
        (8, "wet", "step with + through dry, oiled, degreased."),
        (9, "", "its limits are not said"),
        (9, "16 h7", "is no bore with two limits"),
        (9, "16 Q77", "The limits of the bush's bore: "),
        (9, "16.02-16.00", "16.02 to 16 mm: the lower limit is above"),
        (10, "x", "The bush's bore as measured, mm: "),
        (10, "20.5", "The shaft's bore is 20.5 mm"),
        (10, "0.01", "The bore of the bush is 0.01"),
    ] {
        let (found, said) = faulty(at, text);
        assert_eq!(found, Some(at), "{text}: {said}");
        assert!(said.contains(words), "{text}: {said}");
    }
    // A bore from the limits alone.
    let mut fields = [""; FIELDS];
    fields[..4].copy_from_slice(&["15", "50", "", "steel"]);
    fields[press_field::LIMITS] = "24 H7";
    let page = page(pressing_at(&pump, 0, fields, 0));
    assert!(
        page.fields[press_field::LIMITS].is_faulty,
        "{:?}",
        page.lines
    );
    assert!(page.curve.is_none());
}

#[test]
fn the_field_that_is_typed_into_is_seen_on_every_window_and_the_next_one_with_it() {
    let pump = pump_bush();
    for (size, rows) in [(SMALL, 5), (LARGE, FIELDS), ([800.0, 330.0], 2)] {
        for at in 0..FIELDS {
            let view = pressing_at(&pump, 0, ["7"; FIELDS], at);
            let labels: Vec<String> = match &view.page {
                fitledger::window::view::PairsPageView::Press(page) => {
                    page.fields.iter().map(|one| one.label.clone()).collect()
                }
                other => panic!("{other:?}"),
            };
            let look = Look::new(Theme::Night, Sizes::default());
            let presses = Rc::new(RefCell::new(Vec::new()));
            let taken = Rc::clone(&presses);
            let mut harness = window(size, 1.0, move |ui| {
                pairs_ui(ui, &view, &look, &mut taken.borrow_mut());
            });
            let is_seen = |label: &String| {
                let label = format!("{label}: 7");
                let mut found = harness.query_all_by_label_contains(&label);
                found.next().is_some()
            };
            let seen: Vec<usize> = (0..FIELDS).filter(|at| is_seen(&labels[*at])).collect();
            assert_eq!(seen.len(), rows, "{size:?} {at}: {seen:?}");
            assert!(seen.contains(&at), "{size:?} {at}: {seen:?}");
            assert!(seen.contains(&(at + 1).min(FIELDS - 1)), "{size:?} {at}");
            let label = format!("{}: 7, typed into", labels[at]);
            harness.get_by_label_contains(&label).click();
            harness.run_steps(2);
            assert_eq!(*presses.borrow(), [Press::Choose(at)]);
        }
    }
}

/// ISO 286-1, by hand: f7 at 15 is -16 to -34 µm and H7 is 0 to 18 µm, so the clearance is 16 to
/// 52 µm; k6 at 20 is +2 to +15 and H7 0 to 21 µm: 15 µm of interference to 19 µm of clearance.
#[test]
fn the_demonstration_has_a_pair_to_make_and_one_to_press() {
    let demo = demonstration();
    let impeller = list(seen(&demo, 0));
    assert_eq!(impeller.rows.len(), 2);
    let states = states(&impeller);
    assert!(
        states
            .iter()
            .all(|(_, state)| *state == "hole can be made to suit"),
        "{states:?}"
    );
    let said_of = text(&impeller);
    assert!(
        said_of.contains("Make the hole impeller.toml#bore 14.99"),
        "{said_of}"
    );
    assert!(
        said_of.contains("16.0 to 52.0") || said_of.contains("0.016 to 0.052"),
        "{said_of}"
    );
    let mut room = PairsRoom::default();
    let now = |room: &PairsRoom| now_of(room, &demo);
    assert!(!now(&room).can_press);
    room.chosen = 1;
    assert!(now(&room).can_press);
    let mut fields = [""; FIELDS];
    fields[..4].copy_from_slice(&["14", "30", "", "C45"]);
    let page = page(pressing_at(&demo, 1, fields, 3));
    let told = said(&page);
    assert!(
        told.contains("Interference \u{2212}19.0 to 15.0 µm (the intended fit)."),
        "{told}"
    );
    assert!(told.contains("The loosest pair does not grip."), "{told}");
    assert_eq!(
        page.fields[press_field::SHAFT].text,
        "1.4301, as the plan says"
    );
}

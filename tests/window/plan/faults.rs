//! A plan with a thousand faults: what is sound of it is drawn, every fault is counted, the first
//! ones are listed, and a frame paints no more than for a few.
#![allow(clippy::unwrap_used, clippy::panic)]

use eframe::egui::epaint::Shape;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::named::take_named;
use fitledger::window::plan_room::PlanPage;
use fitledger::window::plan_ui::plan_ui;
use fitledger::window::press::Press;
use fitledger::window::view::{Mark, PlanView};

use super::scenes::{Hand, many};
use super::{LARGE, SMALL, open, rows, said};
use crate::support::picture::window;

/// Five sound features, and so many with a callout that is none.
pub(super) fn faulty(count: usize) -> String {
    let mut text = many(5);
    for at in 0..count {
        text.push_str(&format!(
            "\n[[feature]]\nid = \"X{at}\"\ncallout = \"20 q9\"\n"
        ));
    }
    text
}

#[test]
fn of_a_thousand_faults_the_sound_part_is_drawn_and_every_faulty_feature_is_marked() {
    let hand = Hand::on(&faulty(1_000));
    let view = open(hand.seen());
    let outline = view.outline.unwrap();
    assert_eq!(
        outline
            .shapes
            .iter()
            .filter(|shape| !shape.id.is_empty())
            .count(),
        5
    );
    let told = said(hand.seen());
    let first = "9.964 to 10.000 mm: −36 to 0 µm about 10, 36 µm wide.";
    assert!(told.starts_with(first), "{told}");
    assert!(!told.contains("not drawn"), "{told}");
    let list = rows(hand.seen());
    assert_eq!(list.len(), 1_005);
    let faulty = list.iter().filter(|row| row.mark == Some(Mark::NoGo));
    assert!(
        faulty
            .clone()
            .all(|row| row.detail == "1 fault" && row.id.starts_with('X'))
    );
    assert_eq!(faulty.count(), 1_000);
    assert_eq!(view.pages[3].text, "faults (1000)");
}

#[test]
fn the_first_hundred_are_listed_and_a_row_says_how_many_more_there_are() {
    let hand = Hand::on(&faulty(1_000)).keys("4");
    let list = rows(hand.seen());
    assert_eq!(list.len(), 101);
    assert_eq!(
        (list[0].id.as_str(), list[0].main.as_str()),
        ("X0", "callout")
    );
    assert_eq!(
        (list[99].id.as_str(), list[99].mark),
        ("X99", Some(Mark::NoGo))
    );
    assert_eq!(
        (list[100].main.as_str(), list[100].mark),
        ("and 900 more", None)
    );
    // The last row leads nowhere, and says what it is.
    let mut hand = hand;
    hand.press(&Press::Choose(150));
    assert_eq!(hand.room.row, 100);
    let hand = hand.keys("↓");
    assert_eq!(hand.room.row, 100);
    assert!(rows(hand.seen())[100].is_chosen);
    let told = said(hand.seen());
    assert!(told.starts_with("The first ones are listed"), "{told}");
    let hand = hand.keys("⏎");
    assert_eq!(hand.room.page, PlanPage::Faults);
    let hand = hand.keys("↑⏎");
    assert_eq!(
        (hand.room.page, hand.room.row),
        (PlanPage::Features, 5 + 99)
    );
    // A hundred are listed whole.
    let list = rows(Hand::on(&faulty(100)).keys("4").seen());
    assert_eq!((list.len(), list[99].id.as_str()), (100, "X99"));
}

#[test]
fn of_many_faults_of_one_thing_the_first_are_told_and_the_others_counted() {
    let keys: String = (0..1_000).map(|at| format!("unknown{at} = 1\n")).collect();
    let hand = Hand::on(&format!("{keys}{}", many(5)));
    let lines = open(hand.seen()).lines;
    let first =
        "The part is not drawn and no limits are told before the faults on page 4 are mended.";
    assert_eq!(lines[0].text, first);
    assert!(open(hand.seen()).outline.is_none());
    assert_eq!(
        lines.last().unwrap().text,
        "And 988 more, as page 4 lists them."
    );
    assert_eq!(lines.len(), 14);
    // At a feature as well.
    let feature = format!("{}{keys}", many(1));
    let lines = open(Hand::on(&feature).seen()).lines;
    assert!(
        lines
            .iter()
            .any(|line| line.text == "And 988 more, as page 4 lists them."),
        "{lines:?}"
    );
    assert!(lines.len() < 20);
}

/// Every shape that is painted, those inside others too; and every name.
fn painted(view: &PlanView, size: [f32; 2]) -> (usize, usize) {
    fn count(shape: &Shape) -> usize {
        match shape {
            Shape::Vec(shapes) => shapes.iter().map(count).sum(),
            Shape::Noop => 0,
            _ => 1,
        }
    }
    let (view, look) = (view.clone(), Look::new(Theme::Night, Sizes::default()));
    let names = std::rc::Rc::new(std::cell::Cell::new(0));
    let named = std::rc::Rc::clone(&names);
    let harness = window(size, 1.0, move |ui| {
        plan_ui(ui, &view, &look, &mut Vec::new());
        // Taken before the window's own look at them: their number is all that is wanted.
        named.set(take_named(ui.ctx()).len());
    });
    let shapes = &harness.output().shapes;
    (
        shapes.iter().map(|one| count(&one.shape)).sum(),
        names.get(),
    )
}

#[test]
fn a_frame_paints_no_more_for_a_thousand_faults_than_for_two_hundred() {
    for size in [SMALL, LARGE] {
        for keys in ["", "4", "↓↓↓↓↓↓⏎"] {
            let few = painted(&Hand::on(&faulty(200)).keys(keys).seen(), size);
            let many = painted(&Hand::on(&faulty(1_000)).keys(keys).seen(), size);
            assert_eq!(few, many, "{size:?} {keys:?}");
            assert!(many.0 < 600 && many.1 < 80, "{many:?}");
        }
        let whole: String = (0..1_000).map(|at| format!("unknown{at} = 1\n")).collect();
        let whole = painted(&Hand::on(&format!("{whole}{}", many(5))).seen(), size);
        assert!(whole.0 < 600 && whole.1 < 80, "{whole:?}");
    }
}

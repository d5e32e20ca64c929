//! What is what: by a key, by the list of the keypad, by a pointer that rests. That every name that
//! any test paints has an explanation is checked where windows are painted (`support/picture.rs`).
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeSet;

use eframe::egui::{Event, Modifiers, PointerButton, Rect, pos2, vec2};
use egui_kittest::kittest::Queryable;
use fitledger::report::{ReportOptions, key_card_pdf};
use fitledger::session::{Begin, What};
use fitledger::window::batch_room::BatchPage;
use fitledger::window::desk::{Menu, Mode};
use fitledger::window::gauges_room::GaugesPage;
use fitledger::window::view::{Origin, deed, explain, explained, key_card};

use crate::shell::Desk;
use crate::support::picture::keep;

fn at_bench() -> Desk<'static> {
    let mut begin = Begin::new(What::Callouts(vec!["20 k6".to_owned(), "25 h9".to_owned()]));
    begin.gauges = vec!["mic=typed".to_owned()];
    let mut desk = Desk::open(Some(begin));
    desk.wait("session_opened", 1);
    desk.keys("20.008⏎");
    desk.wait("verdict_given", 1);
    desk
}

/// Something is explained now.
fn is_told(desk: &Desk<'_>) -> bool {
    let origins = ["this program's own word", "a term of the trade", "term of "];
    origins.iter().any(|origin| says(desk, origin))
}

/// The plate of the explanation is on the screen and says that.
fn says(desk: &Desk<'_>, what: &str) -> bool {
    desk.harness
        .query_all_by_label_contains(what)
        .next()
        .is_some()
}

const BAR: &str = "metal bar: An axis of metal, not of millimetres";
const GO: &str = "GO: The size is inside its limits";
const U: &str = "deviation and expanded uncertainty: How far the value lies from the middle";

/// The list of all is written to `target/pictures/labels.md`.
#[test]
fn every_explanation_is_a_sentence_with_where_its_term_comes_from() {
    let mut names = BTreeSet::new();
    let mut list = String::from("| term | where from | what it is |\n|---|---|---|\n");
    for one in explained() {
        let origin = match one.origin {
            Origin::Standard(name) => name,
            Origin::Trade => "the trade",
            Origin::Own => "our own",
        };
        list += &format!("| {} | {origin} | {} |\n", one.term, one.text);
        assert!(!one.term.is_empty() && one.text.ends_with('.'), "{one:?}");
        assert!(one.text.len() > 10 && one.text.len() < 330, "{one:?}");
        assert!(!one.text.contains("  "), "{one:?}");
        if let Origin::Standard(name) = one.origin {
            let known = ["ISO", "JCGM", "DIN", "SI", "Lamé"];
            assert!(known.iter().any(|known| name.contains(known)), "{one:?}");
        }
        let key = format!("{:?} {} {}", one.place, one.id, one.says);
        assert!(names.insert(key), "explained twice: {one:?}");
    }
    assert!(names.len() > 100);
    let folder = std::path::Path::new(env!("CARGO_MANIFEST_DIR")).join("target/pictures");
    std::fs::create_dir_all(&folder).unwrap();
    std::fs::write(folder.join("labels.md"), list).unwrap();
}

#[test]
fn the_same_name_may_mean_another_thing_in_another_room_and_with_another_text() {
    let term = |room, id: &str, says: &str| explain(room, id, says).unwrap().term;
    assert_eq!(term(1, "row 3", "D 15 f7, open"), "characteristic");
    assert_eq!(term(6, "row 3", "mic-25"), "gauge of the register");
    assert_eq!(term(5, "row 12", "anything"), "row");
    assert_eq!(term(1, "word", "DOUBT"), "DOUBT");
    assert_eq!(term(1, "word", "inside"), "state");
    assert_eq!(
        term(4, "cell 12 3", "part 1, A: 20.008, GO"),
        "a part's value"
    );
    assert_eq!(term(1, "key W", "W why"), "the key W");
    assert!(explain(1, "nothing of that name", "").is_none());
    // What came from outside cannot turn the text round.
    let view = explain(1, "part name", "Pump\u{202e}tfahs").unwrap();
    assert!(!view.says.contains('\u{202e}'), "{}", view.says);
}

#[test]
fn every_page_of_a_room_is_named_where_its_tabs_are_explained() {
    let named = |room, id, names: &[&str]| {
        let text = explain(room, id, "").unwrap().text.to_lowercase();
        for name in names {
            assert!(text.contains(name), "{id}: {name}: {text}");
        }
    };
    named(4, "batch page 1", &BatchPage::ALL.map(|(.., name)| name));
    named(6, "page 1", &GaugesPage::ALL.map(|(.., name)| name));
}

#[test]
fn a_key_goes_through_what_is_seen_and_ends_where_it_began() {
    let mut desk = at_bench();
    let before = desk.journal();
    desk.keys("⑦");
    assert!(is_told(&desk));
    let mut seen = BTreeSet::new();
    for _ in 0..80 {
        seen.extend([BAR, GO, U].into_iter().filter(|what| says(&desk, what)));
        desk.keys("⏎");
    }
    assert_eq!(seen.len(), 3, "{seen:?}");
    // The digits of a slip of the hand type nothing, void nothing, begin nothing.
    desk.keys("1⌫");
    assert!(!says(&desk, "metal bar:") && desk.window().desk().is_some());
    assert_eq!(
        desk.journal(),
        before,
        "looking at explanations leaves no trace"
    );
    // Again, and out with the same key.
    desk.keys("⑦");
    assert!(is_told(&desk));
    desk.keys("⑦");
    assert!(!is_told(&desk));
}

#[test]
fn a_keypad_alone_asks_and_a_reading_that_comes_meanwhile_is_taken() {
    let mut desk = at_bench();
    desk.keys("./");
    assert!(is_told(&desk));
    desk.burst("20.009");
    desk.wait("reading_received", 2);
    assert!(is_told(&desk), "it goes on");
    desk.keys("⌫");
    assert!(!is_told(&desk));
    let mode = &desk.window().desk().unwrap().mode;
    assert_eq!(*mode, Mode::Choosing(Menu::Bench), "the list is still open");
    desk.keys("/");
    assert!(is_told(&desk));
    desk.keys("③");
    assert!(says(&desk, "The plan of this session has no pair"));
    assert!(!says(&desk, "Arrows go to"), "another room: it is over");
}

#[test]
fn the_card_of_keys_is_a_page_that_says_what_each_key_does() {
    let card = key_card();
    for group in card.sides.iter().flatten() {
        let mut told = BTreeSet::new();
        for key in &group.keys {
            let is_new = told.insert((&key.key, &key.does));
            assert!(is_new, "{}: twice: {key:?}", group.name);
            let is_said = deed(&key.does).is_some_and(|text| text.ends_with('.'));
            assert!(is_said, "{}: {key:?}", group.name);
        }
    }
    let bytes = key_card_pdf(&card, &ReportOptions::default()).unwrap();
    let kept = concat!(env!("CARGO_MANIFEST_DIR"), "/target/tmp/report_pdf");
    std::fs::create_dir_all(kept).unwrap();
    std::fs::write(format!("{kept}/keys.pdf"), &bytes).unwrap();
    let pdf = lopdf::Document::load_mem(&bytes).unwrap();
    assert_eq!(pdf.get_pages().len(), 2, "a front and a back");
}

#[test]
fn the_card_is_written_beside_the_reports_and_a_full_folder_is_told() {
    let mut desk = at_bench();
    desk.keys("⑦*");
    assert!(says(&desk, "The card of keys is in"), "it says where");
    let reports = desk.folder.path().join("reports");
    assert!(
        std::fs::read(reports.join("keys.pdf"))
            .unwrap()
            .starts_with(b"%PDF")
    );
    desk.keys("*");
    assert!(
        reports.join("keys-2.pdf").exists(),
        "nothing is ever replaced"
    );
    std::fs::remove_dir_all(&reports).unwrap();
    std::fs::write(&reports, "no folder").unwrap();
    desk.keys("*");
    assert!(says(&desk, "The card of keys was not written"));
    desk.keys("⏎");
    assert!(
        !says(&desk, "The card of keys"),
        "the next key takes it away"
    );
}

fn pointer(desk: &mut Desk<'_>, x: f32, y: f32) {
    desk.harness.event(Event::PointerMoved(pos2(x, y)));
    desk.harness.step();
}

fn smallest(desk: &Desk<'_>, label: &str) -> Rect {
    let rects = desk
        .harness
        .query_all_by_label_contains(label)
        .map(|node| node.rect());
    rects
        .min_by(|one, other| one.area().total_cmp(&other.area()))
        .unwrap()
}

#[test]
fn a_pointer_that_was_moved_and_rests_asks_and_a_key_or_click_sends_it_away() {
    let mut desk = at_bench();
    let place = smallest(&desk, "µm from the middle").center();
    // It lay there when the window opened: nobody asked.
    pointer(&mut desk, place.x, place.y);
    for _ in 0..6 {
        desk.harness.step();
    }
    assert!(!says(&desk, U));
    pointer(&mut desk, place.x + 2.0, place.y);
    assert!(!says(&desk, U), "it does not rest yet");
    for _ in 0..4 {
        desk.harness.step();
    }
    assert!(says(&desk, U));
    // The plate does not lie on what it explains, neither here nor at the top of the window.
    let plate = smallest(&desk, U);
    assert!(!plate.contains(place), "{plate:?}");
    keep("explained-by-pointer", &desk.harness.render().unwrap());
    desk.keys("c");
    desk.wait("cutting_switched", 1);
    for _ in 0..6 {
        desk.harness.step();
    }
    assert!(
        !says(&desk, "metal bar:") && !says(&desk, U),
        "a hand is at the keys"
    );
    let top = smallest(&desk, "part temperature not known").center();
    pointer(&mut desk, top.x, top.y);
    for _ in 0..4 {
        desk.harness.step();
    }
    let plate = smallest(&desk, "temperature of part and gauge:");
    assert!(!plate.contains(top), "{plate:?}");
    // Left lying, it asks no more after a while, and the window is idle.
    pointer(&mut desk, 500.0, 240.0);
    for _ in 0..100 {
        desk.harness.step();
    }
    assert!(!is_told(&desk));
    // A click is a click.
    pointer(&mut desk, place.x, place.y);
    for _ in 0..4 {
        desk.harness.step();
    }
    for pressed in [true, false] {
        desk.harness.event(Event::PointerButton {
            pos: place,
            button: PointerButton::Primary,
            pressed,
            modifiers: Modifiers::NONE,
        });
        desk.harness.step();
    }
    desk.harness.step();
    assert!(
        desk.window().desk().unwrap().is_why,
        "the verdict was pointed at"
    );
    assert!(!says(&desk, U));
}

#[test]
fn the_plate_stays_in_every_window_and_beside_its_place() {
    for size in [
        [800.0, 480.0],
        [1280.0, 800.0],
        [320.0, 240.0],
        [90.0, 40.0],
        [1.0, 1.0],
    ] {
        let mut desk = at_bench();
        desk.harness.set_size(vec2(size[0], size[1]));
        desk.keys("⑦");
        for at in 0..60 {
            desk.keys("⏎");
            if size[0] > 500.0 && at % 20 == 7 {
                let name = format!("explained-{}-{at}", size[0]);
                keep(&name, &desk.harness.render().unwrap());
            }
            let whole = Rect::from_min_size(pos2(0.0, 0.0), vec2(size[0], size[1]));
            let plates = desk
                .harness
                .query_all_by_label_contains("this program's own word");
            for plate in plates {
                assert!(
                    whole.contains_rect(plate.rect()),
                    "{size:?}: {:?}",
                    plate.rect()
                );
            }
        }
    }
}

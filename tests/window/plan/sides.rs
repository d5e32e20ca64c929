//! The two sides of a plan that was changed here and on the disk: seen beside each other, told apart
//! by shape and word, read on by a key.
#![allow(clippy::unwrap_used, clippy::panic)]

use std::cell::RefCell;
use std::rc::Rc;

use egui_kittest::kittest::Queryable;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::plan_room::PlanQuestion;
use fitledger::window::plan_ui::plan_ui;
use fitledger::window::press::Press;
use fitledger::window::view::{SideLineView, SideMark, SideRowView, SidesView};

use super::scenes::{Hand, SHAFT, gone, many, much, odd};
use super::{LARGE, SMALL};
use crate::support::picture::{painted_texts, window};

fn line(side: Option<&SideLineView>) -> String {
    side.map_or_else(String::new, |side| {
        format!("{}[{}]{}", side.before, side.differs, side.behind)
    })
}

fn told(row: &SideRowView) -> String {
    match row.mark {
        SideMark::Same => line(row.here.as_ref()),
        SideMark::Folded => format!("({})", row.word),
        _ => {
            let (here, there) = (line(row.here.as_ref()), line(row.there.as_ref()));
            format!("{here} | {} | {there}", row.word)
        }
    }
}

fn sides(hand: &Hand) -> SidesView {
    hand.seen().sides.unwrap()
}

fn rows(hand: &Hand) -> Vec<String> {
    sides(hand).rows.iter().map(told).collect()
}

fn both() -> Hand {
    let theirs = SHAFT
        .replace("20 k6", "20 h6")
        .replace(
            "# runs in the ball bearing",
            "# runs in the ball bearing 6204",
        )
        .replace("points = 3\n", "");
    Hand::on(SHAFT).keys("⏎↓⏎⌫⌫m6⏎␛").overtaken(&theirs)
}

#[test]
fn of_a_conflict_both_tables_stand_beside_each_other_with_what_differs_marked_in_words() {
    let hand = both().keys("c1");
    let view = sides(&hand);
    assert_eq!(view.title, "Both changed feature A, callout");
    let first = "1 of 1 places that you and somebody else changed. At first: 20 k6";
    assert_eq!(view.lines, [first]);
    let answers: Vec<&str> = view.answers.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(answers, ["mine: 20 m6", "the file's: 20 h6"]);
    let expected = [
        "# runs in the ball bearing[] | differs | # runs in the ball bearing[ 6204]",
        "[[feature]][]",
        "id = \"A\"[]",
        "callout = \"20 [m]6\" | asked: differs | callout = \"20 [h]6\"",
        "name = \"bearing seat, left\"[]",
        "along = [0, 14][]",
        "[points = 3] | only here | ",
        "gauge = [\"mic-25\"][]",
    ];
    assert_eq!(rows(&hand), expected);
    let asked: Vec<bool> = view.rows.iter().map(|row| row.is_asked).collect();
    assert_eq!(asked.iter().filter(|is| **is).count(), 1);
    assert_eq!(
        view.rows[3].spoken,
        "differs, asked about: here callout = \"20 m6\", on the disk callout = \"20 h6\""
    );
    // The lines' numbers are those of each file.
    let number = |side: &Option<SideLineView>| side.as_ref().map(|line| line.number);
    assert_eq!(number(&view.rows[0].here), Some(12));
    assert_eq!(number(&view.rows[6].here), Some(18));
    assert_eq!(number(&view.rows[7].there), Some(18));
}

#[test]
fn what_one_side_took_out_and_what_was_moved_is_seen_beside_what_is_left() {
    let hand = gone().keys("c1");
    let view = sides(&hand);
    let answers: Vec<&str> = view.answers.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(
        answers,
        ["mine: take it out", "the file's: as it is on the disk"]
    );
    assert!(
        view.rows
            .iter()
            .all(|row| row.mark == SideMark::There && row.here.is_none())
    );
    assert!(rows(&hand).contains(&" | only there | [callout = \"25 h8\"]".to_owned()));
    // Moved here to the front, there to the end.
    let feature = "[[feature]]\nid = \"B\"\ncallout = \"25 h9\"\nname = \"collar\"\n\
                   along = [14, 22]\n\n";
    let theirs = SHAFT
        .replace(feature, "")
        .replace("[[pair]]", &format!("{feature}[[pair]]"));
    let hand = Hand::on(SHAFT).keys("↓e").overtaken(&theirs).keys("c1");
    let view = sides(&hand);
    assert_eq!(view.title, "Both changed order");
    assert_eq!(view.answers[0].text, "mine: this order");
    let expected = [
        "[B] | only here | ",
        "A[]",
        "D[]",
        "M[]",
        "L[]",
        " | only there | [B]",
    ];
    assert_eq!(rows(&hand), expected);
}

#[test]
fn before_anything_is_chosen_the_whole_of_both_is_seen_and_what_is_the_same_is_folded() {
    let hand = both().keys("c");
    let view = sides(&hand);
    assert_eq!((view.answers.len(), view.is_over), (3, false));
    let expected = [
        "(9 lines are the same)",
        "general = \"m\"[]",
        "[]",
        "# runs in the ball bearing[] | differs | # runs in the ball bearing[ 6204]",
        "[[feature]][]",
        "id = \"A\"[]",
        "callout = \"20 [m]6\" | differs | callout = \"20 [h]6\"",
        "name = \"bearing seat, left\"[]",
        "along = [0, 14][]",
        "[points = 3] | only here | ",
        "gauge = [\"mic-25\"][]",
        "[]",
        "(32 lines are the same)",
    ];
    assert_eq!(rows(&hand), expected);
    // What is no TOML is seen all the same.
    let broken = Hand::on(SHAFT)
        .keys("⏎↓⏎⌫⌫m6⏎␛")
        .overtaken("[part\n")
        .keys("c");
    let broken = rows(&broken);
    assert!(
        broken.contains(&" | only there | [[part]".to_owned()),
        "{broken:?}"
    );
    // Of a long line the letters that differ are among those that are seen.
    let hand = odd().keys("c1");
    let row = sides(&hand)
        .rows
        .into_iter()
        .find(|row| row.is_asked)
        .unwrap();
    let (here, there) = (row.here.unwrap(), row.there.unwrap());
    assert!(
        here.before.starts_with('…') && here.before.chars().count() == 49,
        "{here:?}"
    );
    assert!(here.before.ends_with("as-machined-again "), "{here:?}");
    assert!(there.differs.starts_with("flange"), "{there:?}");
}

#[test]
fn the_two_columns_stand_side_by_side_in_the_small_window_and_words_say_what_colour_would() {
    for (size, theme) in [
        (SMALL, Theme::Day),
        (SMALL, Theme::HighContrast),
        (LARGE, Theme::Night),
    ] {
        let (view, look) = (both().keys("c1").seen(), Look::new(theme, Sizes::default()));
        let harness = window(size, 1.0, move |ui| {
            plan_ui(ui, &view, &look, &mut Vec::new());
        });
        let texts = painted_texts(&harness);
        let at = |text: &str| {
            let found = texts.iter().find(|one| one.text.contains(text));
            found.unwrap_or_else(|| panic!("{text}")).rect
        };
        let (here, there) = (at("callout = \"20 m6\""), at("callout = \"20 h6\""));
        assert!(here.right() < there.left() && (here.top() - there.top()).abs() < 1.0);
        let word = at("asked: differs");
        assert!(here.right() < word.left() && word.right() < there.left());
        assert!(at("typed here").right() < at("on the disk").left());
        assert!(at("mine: 20 m6").bottom() < here.top());
        // Large enough to be read at the bench: 12 points and more, each line whole.
        let lines = texts.iter().filter(|one| one.text.contains(" = "));
        assert!(lines.clone().count() >= 9);
        assert!(
            lines
                .clone()
                .all(|one| one.size >= 12.0 && !one.text.ends_with('…'))
        );
    }
}

#[test]
fn an_answer_is_pointed_at_and_a_key_reads_on_to_the_last_line_and_back() {
    let presses = Rc::new(RefCell::new(Vec::new()));
    let taken = Rc::clone(&presses);
    let (view, look) = (
        both().keys("c1").seen(),
        Look::new(Theme::Night, Sizes::default()),
    );
    let mut harness = window(SMALL, 1.0, move |ui| {
        plan_ui(ui, &view, &look, &mut taken.borrow_mut());
    });
    harness.get_by_label("the file's: 20 h6").click();
    harness.run_steps(2);
    assert_eq!(*presses.borrow(), [Press::Digit('2')]);
    // By the room's own counting: a page a press, until everything was seen once.
    let mut hand = much().keys("c");
    let count = sides(&hand).rows.len();
    assert!(count > 60, "{count}");
    let mut seen = std::collections::BTreeSet::new();
    for _ in 0..count {
        let (view, look) = (hand.seen(), Look::new(Theme::Night, Sizes::default()));
        let drawn = Rc::new(RefCell::new((0, false)));
        let told = Rc::clone(&drawn);
        let first = view.sides.as_ref().unwrap().skipped;
        drop(window(SMALL, 1.0, move |ui| {
            let drawn = plan_ui(ui, &view, &look, &mut Vec::new());
            *told.borrow_mut() = (drawn.shown, drawn.has_more);
        }));
        let (shown, has_more) = *drawn.borrow();
        assert!(shown > 0);
        seen.extend(first..first + shown);
        hand.press_drawn(&Press::Star, (shown, has_more));
        if !has_more {
            break;
        }
    }
    assert_eq!(seen.len(), count);
    assert_eq!(hand.room.skipped, 0, "it begins again");
    assert_eq!(hand.room.question, Some(PlanQuestion::Overtaken));
    // Whoever goes back stands at the begin of the page.
    let hand = much().keys("c**␛");
    assert_eq!((hand.room.skipped, &hand.room.question), (0, &None));
    assert!(hand.text().len() < many(40).len());
}

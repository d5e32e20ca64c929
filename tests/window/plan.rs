//! The Plan room: by value, by keys, by accessibility name, in pictures, and on real files.
#![allow(clippy::unwrap_used, clippy::panic)]

mod faults;
mod learned;
mod live;
mod register;
mod scenes;
mod sides;

use std::cell::RefCell;
use std::rc::Rc;

use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::plan_room::{LeaveTo, PlanAsked, PlanPage, PlanQuestion};
use fitledger::window::plan_ui::plan_ui;
use fitledger::window::press::Press;
use fitledger::window::view::{
    Mark, PlanBodyView, PlanFieldView, PlanListView, PlanOpenView, PlanRowView, PlanTypedView,
    PlanView,
};

use self::scenes::{Hand, SHAFT, many, scenes, strange};
use crate::support::picture::window;
use crate::support::readable::{Shown, assert_accepted, assert_readable, text_faults};

const SMALL: [f32; 2] = [800.0, 458.0];
const LARGE: [f32; 2] = [1280.0, 778.0];

fn open(view: PlanView) -> PlanOpenView {
    match view.body {
        PlanBodyView::Open(open) => *open,
        other @ PlanBodyView::Files { .. } => panic!("{other:?}"),
    }
}

fn rows(view: PlanView) -> Vec<PlanRowView> {
    match open(view).list {
        PlanListView::Rows(rows, _) => rows,
        other @ PlanListView::Fields(..) => panic!("{other:?}"),
    }
}

fn fields(view: PlanView) -> Vec<PlanFieldView> {
    match open(view).list {
        PlanListView::Fields(_, fields) => fields,
        other @ PlanListView::Rows(..) => panic!("{other:?}"),
    }
}

fn typed(view: PlanView) -> PlanTypedView {
    let mut all = fields(view).into_iter();
    all.find_map(|field| field.typed).unwrap()
}

fn said(view: PlanView) -> String {
    let lines = open(view).lines;
    let lines: Vec<String> = lines.into_iter().map(|line| line.text).collect();
    lines.join("\n")
}

#[test]
fn the_features_stand_in_measuring_order_with_what_is_asked_of_them() {
    let text = SHAFT.replace("name = \"collar\"", "setting = 2\nname = \"collar\"");
    let rows = rows(Hand::on(&text).seen());
    let ids: Vec<&str> = rows.iter().map(|row| row.id.as_str()).collect();
    assert_eq!(ids, ["A", "D", "M", "L", "B"]);
    assert_eq!(
        (
            rows[0].main.as_str(),
            rows[0].name.as_str(),
            rows[0].detail.as_str()
        ),
        ("20 k6", "bearing seat, left", "3 points, mic-25")
    );
    assert_eq!(rows[1].detail, "turned; ground");
    assert_eq!(rows[3].detail, "every 5 parts");
    assert_eq!(rows[4].detail, "setting 2");
    assert!(rows[0].is_chosen && rows[0].mark.is_none());
}

#[test]
fn the_chosen_feature_is_told_with_deviations_gauges_stages_and_making() {
    // ISO 286-1, 20 k6: +2 to +15 µm (by hand, as in the example of the room `tolerance`).
    let seat = said(Hand::on(SHAFT).seen());
    assert!(
        seat.starts_with("20.002 to 20.015 mm: +2 to +15 µm about 20, 13 µm wide."),
        "{seat}"
    );
    assert!(seat.contains("mic-25 (U "), "{seat}");
    assert!(
        seat.contains("Cannot prove, no value would be GO: caliper-150 (U ")
            && seat.contains("T/(2U) 0.1, not listed here)"),
        "{seat}"
    );
    // 15 f7: -16 to -34 µm (ISO 286-1, by hand); 0.2 mm left outside moves both limits up.
    let impeller = said(Hand::on(SHAFT).keys("↓↓").seen());
    assert!(
        impeller.contains("14.966 to 14.984 mm: \u{2212}34 to \u{2212}16 µm"),
        "{impeller}"
    );
    assert!(
        impeller.contains("Turned: 15.166 to 15.184 mm, 18 µm wide; then ground."),
        "{impeller}"
    );
    let thread = said(Hand::on(SHAFT).keys("↓↓↓").seen());
    // M12 has a pitch of 1.75 mm; d3 by hand: 12 - 1.2269 x 1.75 = 9.853.
    assert!(thread.contains("Turn it to "), "{thread}");
    assert!(thread.contains("to 9.8 mm or less"), "{thread}");
    assert!(
        thread.contains("The full thread of M is 16 mm long, its place only 14 mm."),
        "{thread}"
    );
    let tapped = SHAFT.replace("M12-6g", "M12-6H");
    let tapped = said(Hand::on(&tapped).keys("↓↓↓").seen());
    // ISO 2306: 10.2 mm for M12 (by hand).
    assert!(
        tapped.contains("Tapping drill 10.2 mm (ISO 2306)"),
        "{tapped}"
    );
}

#[test]
fn a_thread_that_is_deeper_than_its_hole_is_worth_a_look() {
    let text = "[part]\nname = \"Valve\"\n\
        [[feature]]\nid = \"H\"\ncallout = \"10.2 ±0.1\"\nsurface = \"inside\"\nalong = [0, 20]\n\
        [[feature]]\nid = \"T\"\ncallout = \"M12-6H\"\nalong = [0, 18]\nfull_thread = 18\n";
    assert!(!said(Hand::on(text).keys("↓").seen()).contains("goes"));
    let deep = text.replace("[0, 20]", "[0, 15]");
    let told = said(Hand::on(&deep).keys("↓").seen());
    assert!(
        told.contains("The thread T goes 18 mm deep, its hole H only 15 mm."),
        "{told}"
    );
    assert_eq!(rows(Hand::on(&deep).seen())[1].mark, Some(Mark::Doubt));
}

#[test]
fn a_callout_explains_itself_while_it_is_typed_and_points_at_what_is_wrong() {
    let good = typed(Hand::on(SHAFT).keys("↓⏎↓⏎⌫⌫k6").seen());
    assert_eq!(
        (good.text.as_str(), good.cursor, good.is_wrong),
        ("25 k6", 5, false)
    );
    assert_eq!(
        good.says,
        ["25.002 to 25.015 mm: +2 to +15 µm about 25, 13 µm wide."]
    );
    let wrong = typed(Hand::on(SHAFT).keys("↓⏎↓⏎⌫⌫q9").seen());
    assert_eq!((wrong.wrong_at, wrong.is_wrong), (Some(3), true));
    assert!(wrong.says[0].contains('q'), "{:?}", wrong.says);
    let first = typed(Hand::on(SHAFT).keys("↓⏎↓⏎⌫⌫⌫⌫⌫±5").seen());
    assert_eq!(first.wrong_at, Some(0));
    // Blanks before it do not move the caret off.
    let blank = typed(Hand::on(SHAFT).keys("↓⏎↓⏎⌫⌫⌫⌫⌫  25 q9").seen());
    assert_eq!(blank.wrong_at, Some(5));
    let comma = open(Hand::on(SHAFT).keys("↓⏎↓⏎⌫⌫k6").seen_with(None, ',')).list;
    let PlanListView::Fields(_, all) = comma else {
        panic!()
    };
    let says = all.into_iter().find_map(|one| one.typed).unwrap().says;
    assert!(says[0].starts_with("25,002 to 25,015 mm"), "{says:?}");
}

#[test]
fn the_part_is_drawn_anew_while_a_size_is_typed_and_stays_where_it_is_wrong() {
    let radius = |keys: &str| {
        open(Hand::on(SHAFT).keys(keys).seen())
            .outline
            .unwrap()
            .radius
    };
    assert!((radius("") - 12.5).abs() < 1e-6);
    assert!((radius("↓⏎↓⏎⌫⌫⌫⌫⌫30 h9") - 15.0).abs() < 1e-6);
    assert!((radius("↓⏎↓⏎⌫⌫⌫⌫⌫30 q9") - 12.5).abs() < 1e-6);
    let leader = |keys: &str| {
        let shapes = open(Hand::on(SHAFT).keys(keys).seen())
            .outline
            .unwrap()
            .shapes;
        shapes.into_iter().find_map(|shape| shape.leader)
    };
    assert_eq!(leader("↓").as_deref(), Some("25 h9"));
    assert_eq!(leader("↓⏎↓⏎⌫⌫k6").as_deref(), Some("25 k6"));
}

#[test]
fn fields_are_edited_by_keys_and_the_text_is_changed_there_only() {
    let hand = Hand::on(SHAFT).keys("⏎↓⏎⌫⌫m6⏎");
    assert_eq!(hand.text(), SHAFT.replace("20 k6", "20 m6"));
    assert_eq!(hand.room.field, Some(2), "the next field");
    let hand = hand.keys("⏎⌫⌫⌫⌫⌫⌫ right, outer⏎");
    let expected = SHAFT
        .replace("20 k6", "20 m6")
        .replace("seat, left", "seat right, outer");
    assert_eq!(hand.text(), expected);
    // Back and forth.
    let hand = hand.keys("␛u");
    assert_eq!(hand.text(), SHAFT.replace("20 k6", "20 m6"));
    let hand = hand.keys("u");
    assert!(!hand.room.is_edited() && hand.text() == SHAFT);
    assert_eq!(hand.keys("yy").text(), expected);
    // The cursor goes into the text; a word is chosen among its words.
    let hand = Hand::on(SHAFT).keys("⏎↓⏎←←x␛");
    assert_eq!(hand.text(), SHAFT, "dropped");
    let hand = Hand::on(SHAFT).keys("⏎↓⏎←←←←→.5⏎");
    assert!(hand.text().contains("20.5 k6"), "{}", hand.text());
    let hand = Hand::on(SHAFT).keys("⏎↓↓↓⏎⇥⇥↓⏎");
    assert!(
        hand.text().contains("surface = \"length\""),
        "{}",
        hand.text()
    );
    let hand = Hand::on(SHAFT).keys("⏎↓↓↓↓↓↓↓↓↓⏎, c⇥⏎");
    assert!(
        hand.text()
            .contains("gauge = [\"mic-25\", \"caliper-150\"]"),
        "{}",
        hand.text()
    );
    let told = said(Hand::on(SHAFT).keys("⏎↓↓↓↓↓↓").seen());
    assert!(told.starts_with("points: At how many places"), "{told}");
    // Part and rules.
    let hand = Hand::on(SHAFT).keys("2↓↓⏎⌫C⏎");
    assert_eq!(
        hand.text(),
        SHAFT.replace("revision = \"B\"", "revision = \"C\"")
    );
    let hand = Hand::on(SHAFT).keys("2↓↓↓↓↓↓↓↓↓⏎simple⏎");
    assert_eq!(
        hand.text(),
        SHAFT.replace("\"m\"\n", "\"m\"\ndecision = \"simple\"\n")
    );
}

#[test]
fn features_and_pairs_come_go_and_move_by_keys() {
    let hand = Hand::on(SHAFT).keys("n6 H8⏎");
    assert!(
        hand.text()
            .contains("\n[[feature]]\nid = \"C\"\ncallout = \"6 H8\"\n"),
        "{}",
        hand.text()
    );
    let ids: Vec<String> = rows(hand.keys("␛").seen())
        .into_iter()
        .map(|row| row.id)
        .collect();
    assert_eq!(ids, ["A", "C", "B", "D", "M", "L"]);
    let hand = Hand::on(SHAFT).keys("↓ll");
    let ids: Vec<String> = rows(hand.seen()).into_iter().map(|row| row.id).collect();
    assert_eq!(ids, ["A", "D", "M", "B", "L"]);
    assert_eq!(hand.room.row, 3, "the row goes with it");
    assert_eq!(hand.keys("ee").text(), SHAFT);
    let hand = Hand::on(SHAFT).keys("x");
    assert!(!hand.text().contains("20 k6") && hand.text().contains("# Pump shaft"));
    assert_eq!(
        hand.room.said.as_deref(),
        Some("Feature A is taken out; U takes that back.")
    );
    assert_eq!(hand.keys("u").text(), SHAFT);
    // Not into another setting.
    let two = SHAFT.replace("name = \"collar\"", "setting = 2\nname = \"collar\"");
    let hand = Hand::on(&two).keys("↓↓↓l");
    assert_eq!(hand.text(), two);
    assert!(
        hand.room
            .said
            .as_deref()
            .unwrap()
            .contains("another setting")
    );
    // A new one is made where the one before it is made.
    let hand = Hand::on(&two).keys("↓↓↓↓n6 H8⏎␛");
    assert_eq!(rows(hand.seen())[5].id, "C");
    assert!(
        hand.text().contains("callout = \"6 H8\"\nsetting = 2\n"),
        "{}",
        hand.text()
    );
    let hand = Hand::on(SHAFT).keys("3nB⏎A⏎20 H7/k6⏎");
    let pair = "\n[[pair]]\nhole = \"B\"\nshaft = \"A\"\nintended = \"20 H7/k6\"\n";
    assert_eq!(hand.text(), format!("{SHAFT}{pair}"));
    assert_eq!(hand.keys("␛x").text(), SHAFT);
}

#[test]
fn a_feature_that_gets_another_id_keeps_its_pairs_in_one_step() {
    let form = "\n[[feature]]\nid = \"R\"\ncallout = \"0.02 max\"\nform = \"runout\"\nof = \"D\"\n\
                datum = \"A\"\n\n[[pair]]";
    let text = SHAFT.replace("\n[[pair]]", form);
    let hand = Hand::on(&text).keys("↓↓⏎⏎⌫seat-2⏎");
    let expected = text
        .replace("id = \"D\"", "id = \"seat-2\"")
        .replace("of = \"D\"", "of = \"seat-2\"")
        .replace("shaft = \"D\"", "shaft = \"seat-2\"");
    assert_eq!(hand.text(), expected);
    assert_eq!(hand.keys("␛u").text(), text);
    // Of a name that is taken nothing else is touched.
    let hand = Hand::on(&text).keys("↓↓⏎⏎⌫B⏎");
    assert_eq!(hand.text(), text.replace("id = \"D\"", "id = \"B\""));
}

#[test]
fn a_pair_is_told_as_its_fit_and_what_its_features_come_to() {
    let text = SHAFT
        .replace("impeller.toml#bore\"\nshaft = \"D\"", "H\"\nshaft = \"A\"")
        .replace("15 H7/f7", "20 H7/k6")
        .replace(
            "[[pair]]",
            "[[feature]]\nid = \"H\"\ncallout = \"20 H8\"\n\n[[pair]]",
        );
    // 20 H7: 0 to +21, k6: +2 to +15, H8: 0 to +33 µm (ISO 286-1, by hand).
    let told = said(Hand::on(&text).keys("3").seen());
    let first = "20 H7/k6: 15 µm of interference to 19 µm of clearance: a transition fit";
    assert!(told.starts_with(first), "{told}");
    assert!(
        told.contains("H and A: 15 µm of interference to 31 µm of clearance."),
        "{told}"
    );
    let missing = said(Hand::on(&SHAFT.replace("#bore", "#hub")).keys("3").seen());
    assert!(
        missing.contains("impeller.toml has no feature hub: the hole is missing."),
        "{missing}"
    );
    let gone = said(
        Hand::on(&SHAFT.replace("impeller.toml", "cover.toml"))
            .keys("3")
            .seen(),
    );
    assert!(
        gone.contains("cover.toml is no plan of this workspace"),
        "{gone}"
    );
    let fine = said(Hand::on(SHAFT).keys("3").seen());
    assert!(!fine.contains("missing"), "{fine}");
}

#[test]
fn faults_are_shown_at_their_fields_and_lead_there() {
    let broken = SHAFT
        .replace("25 h9", "25 q9")
        .replace("points = 3", "points = 300");
    let hand = Hand::on(&broken);
    let marks: Vec<Option<Mark>> = rows(hand.seen()).iter().map(|row| row.mark).collect();
    assert_eq!(marks[..3], [Some(Mark::NoGo), Some(Mark::NoGo), None]);
    assert_eq!(rows(hand.seen())[0].detail, "1 fault");
    let hand = hand.keys("4");
    let list = rows(hand.seen());
    assert_eq!(
        (list[0].id.as_str(), list[0].main.as_str()),
        ("A", "points")
    );
    assert_eq!(
        (list[1].id.as_str(), list[1].main.as_str()),
        ("B", "callout")
    );
    let hand = hand.keys("↓⏎");
    assert_eq!(
        (hand.room.page, hand.room.row, hand.room.field),
        (PlanPage::Features, 1, Some(1))
    );
    let all = fields(hand.seen());
    assert_eq!(all[1].mark, Some(Mark::NoGo));
    assert!(all[1].is_at && all[1].spoken.contains("1 fault"));
    // The rest is drawn and told.
    assert!(said(hand.keys("␛↓").seen()).contains("14.966 to 14.984"));
    let unknown = SHAFT.replace("\"1.4301\"", "\"cheese\"");
    let head = fields(Hand::on(&unknown).keys("2").seen());
    assert_eq!(head[3].mark, Some(Mark::NoGo), "{:?}", head[3]);
}

#[test]
fn no_gauge_fine_enough_and_gauges_that_are_not_there_are_worth_a_look() {
    let fine = SHAFT.replace("20 k6", "20 k2");
    let told = said(Hand::on(&fine).seen());
    assert!(told.contains("No gauge here can prove A 20 k2."), "{told}");
    let other = SHAFT.replace("[\"mic-25\"]", "[\"mic-9\", \"mic-25\"]");
    let told = said(Hand::on(&other).seen());
    assert!(
        told.contains("mic-9 is named for A and not in gauges.toml."),
        "{told}"
    );
    assert_eq!(rows(Hand::on(&other).seen())[0].detail, "worth a look");
}

#[test]
fn saving_asks_for_what_it_needs_and_leaving_asks_first() {
    assert_eq!(Hand::on(SHAFT).keys("s").asked, []);
    assert_eq!(Hand::on(SHAFT).keys(".").asked, [PlanAsked::Room(1)]);
    let edited = || Hand::on(SHAFT).keys("⏎↓⏎⌫⌫m6⏎␛");
    assert_eq!(edited().keys("s").asked, [PlanAsked::Save]);
    let asked = edited().keys(".");
    assert_eq!(
        asked.room.question,
        Some(PlanQuestion::Leave(LeaveTo::Room(1)))
    );
    assert_eq!(asked.asked, []);
    let stays = asked.keys("␛");
    assert!(stays.room.question.is_none() && stays.room.is_edited() && stays.asked.is_empty());
    assert_eq!(edited().keys(".-").asked, [PlanAsked::Room(1)]);
    let drafted = edited().keys(".0").asked;
    assert_eq!(drafted, [PlanAsked::DraftAndLeave(LeaveTo::Room(1))]);
    let saved = edited().keys(".+");
    assert_eq!(
        (saved.asked.as_slice(), saved.room.after_save),
        (&[PlanAsked::Save][..], Some(LeaveTo::Room(1)))
    );
    // Another plan: the same question.
    assert_eq!(
        edited().keys("o").room.question,
        Some(PlanQuestion::Leave(LeaveTo::Files))
    );
    // A new plan asks for a name, proposed after the part.
    let new = Hand::at_files().keys("n⏎Pump bush, left⏎s");
    assert_eq!(
        new.room.typing.as_ref().unwrap().text,
        "pump-bush-left.toml"
    );
    assert_eq!(
        new.keys("⏎").asked,
        [PlanAsked::SaveAs("pump-bush-left.toml".to_owned())]
    );
}

#[test]
fn of_two_people_neither_side_is_lost() {
    let theirs = SHAFT
        .replace("25 h9", "25 h8")
        .replace("# stainless", "# acid-proof");
    let edited = || Hand::on(SHAFT).keys("⏎↓⏎⌫⌫m6⏎␛").overtaken(&theirs);
    let view = open(edited().seen());
    assert!(
        view.note.contains("Somebody else changed this file"),
        "{}",
        view.note
    );
    let asked = edited().keys("s");
    assert_eq!(
        (asked.room.question.as_ref(), asked.asked.len()),
        (Some(&PlanQuestion::Overtaken), 0)
    );
    let done = asked.keys("1");
    assert_eq!(done.text(), theirs.replace("20 k6", "20 m6"));
    assert_eq!(done.room.open.as_ref().unwrap().base(), theirs);
    assert!(
        done.room
            .said
            .as_deref()
            .unwrap()
            .contains("1 edit of yours is on top")
    );
    assert_eq!(done.keys("s").asked, [PlanAsked::Save]);
    assert_eq!(edited().keys("c2").asked, [PlanAsked::Beside]);
    assert_eq!(edited().keys("c3").asked, [PlanAsked::DraftAndReload]);
    // The same place: both are shown, and somebody chooses.
    let same = theirs.replace("20 k6", "20 h6");
    let asked = Hand::on(SHAFT)
        .keys("⏎↓⏎⌫⌫m6⏎␛")
        .overtaken(&same)
        .keys("c1");
    let sides = asked.seen().sides.unwrap();
    assert_eq!(sides.title, "Both changed feature A, callout");
    assert!(
        sides.lines[0].ends_with("At first: 20 k6"),
        "{:?}",
        sides.lines
    );
    let answers: Vec<&str> = sides.answers.iter().map(|one| one.text.as_str()).collect();
    assert_eq!(answers, ["mine: 20 m6", "the file's: 20 h6"]);
    let back = asked.keys("␛");
    assert!(
        back.text().contains("20 m6"),
        "nothing is done before it is answered"
    );
    assert_eq!(back.keys("c11").text(), same.replace("20 h6", "20 m6"));
    let asked = Hand::on(SHAFT)
        .keys("⏎↓⏎⌫⌫m6⏎␛")
        .overtaken(&same)
        .keys("c12");
    assert_eq!(asked.text(), same);
    // A file that is no TOML by now is not put together, and nothing is lost.
    let broken = Hand::on(SHAFT)
        .keys("⏎↓⏎⌫⌫m6⏎␛")
        .overtaken("[part")
        .keys("c1");
    assert!(broken.text().contains("20 m6") && broken.room.said.unwrap().contains("no TOML"));
}

#[test]
fn a_file_that_is_no_toml_is_told_with_its_place_and_not_edited() {
    let hand = Hand::on("[part\nname = 1");
    let view = open(hand.seen());
    let told: Vec<&str> = view.lines.iter().map(|line| line.text.as_str()).collect();
    assert!(told[0].contains("no TOML"), "{told:?}");
    assert!(told[1].starts_with("Line 1, column "), "{told:?}");
    let faults = rows(hand.seen());
    assert!(
        !faults.is_empty() && faults[0].mark == Some(Mark::NoGo),
        "{faults:?}"
    );
    let hand = Hand::on("[part\nname = 1").keys("n⏎x⏎s3nx2⏎a⏎s");
    assert_eq!(hand.text(), "[part\nname = 1");
    assert!(!hand.room.is_edited() && hand.asked.is_empty());
}

#[test]
fn a_byte_order_mark_and_other_line_ends_stay() {
    let text = format!("\u{feff}{}", SHAFT.replace('\n', "\r\n"));
    let hand = Hand::on(&text).keys("⏎↓⏎⌫⌫m6⏎␛");
    let open = hand.room.open.as_ref().unwrap();
    assert_eq!(open.whole(), text.replace("20 k6", "20 m6"));
}

#[test]
fn a_running_session_is_told_to_go_on_with_its_own_plan() {
    use crate::support::bench::{Bench, feature, plan};
    let bench = Bench::new(plan(&feature("A", "20 g6", "")));
    let snapshot = crate::support::shown::snapshot(&bench);
    let view = open(Hand::on(SHAFT).seen_with(Some(&snapshot), '.'));
    assert!(
        view.note
            .contains("goes on with the plan that it began with"),
        "{}",
        view.note
    );
}

#[test]
fn no_press_makes_the_room_panic_or_changes_what_it_does_not_own() {
    let texts = [
        SHAFT.to_owned(),
        many(40),
        strange(),
        "[part".to_owned(),
        String::new(),
    ];
    let mut random: u64 = 7;
    for round in 0..60_usize {
        let mut hand = match round % 6 {
            0 => Hand::at_files(),
            at => Hand::on(&texts[at - 1]),
        };
        for _ in 0..60 {
            random = random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let bits = random >> 33;
            let letters = [
                'n', 'x', 'e', 'l', 'u', 'y', 's', 'c', 'o', 'm', 'µ', '"', '\u{202e}',
            ];
            let press = match (bits >> 4) % 24 {
                0 => Press::Enter,
                1 => Press::Up,
                2 => Press::Down,
                3 => Press::Plus,
                4 => Press::Minus,
                5 => Press::Star,
                6 => Press::Choose(usize::try_from(bits % 900).unwrap()),
                7 => Press::Pasted("é\u{202e}1\n".repeat(90)),
                8 => Press::Digit(char::from(b'0' + u8::try_from(bits % 10).unwrap())),
                9 => Press::Burst("20.008".to_owned()),
                10 => Press::Escape,
                11 => Press::Tab,
                12 => Press::Backspace,
                13 => Press::Left,
                14 => Press::Right,
                15 => Press::Marker,
                16 => Press::BackspaceHeld,
                _ => Press::Letter(letters[usize::try_from(bits % 13).unwrap()]),
            };
            hand.press(&press);
            drop(hand.seen());
        }
    }
}

/// A scene on a window.
struct Shot {
    name: String,
    view: PlanView,
    size: [f32; 2],
    theme: Theme,
}

fn shots() -> Vec<Shot> {
    let mut shots = Vec::new();
    for (name, view) in scenes() {
        for (size, theme, word) in [
            (SMALL, Theme::Night, "night"),
            (LARGE, Theme::Day, "large"),
            (SMALL, Theme::Day, "day"),
            (SMALL, Theme::HighContrast, "high"),
        ] {
            shots.push(Shot {
                name: format!("plan-{word}-{name}"),
                view: view.clone(),
                size,
                theme,
            });
        }
    }
    shots
}

impl Shown for Shot {
    fn name(&self) -> &str {
        &self.name
    }

    fn size(&self) -> [f32; 2] {
        self.size
    }

    fn shown<'a>(&self) -> Harness<'a> {
        let (view, look) = (self.view.clone(), Look::new(self.theme, Sizes::default()));
        window(self.size, 1.0, move |ui| {
            plan_ui(ui, &view, &look, &mut Vec::new());
        })
    }
}

/// Each page with what it takes to paint it in that theme.
pub(crate) fn every_page(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let pages = scenes().into_iter().map(|(name, view)| {
        let look = Look::new(theme, Sizes::default());
        let paint: crate::contrast::Paint = Box::new(move |ui| {
            plan_ui(ui, &view, &look, &mut Vec::new());
        });
        (format!("plan-{name}"), paint)
    });
    pages.collect()
}

/// Each picture is kept too, in `target/pictures`.
#[test]
fn no_text_of_the_plan_leaves_the_window_or_lies_on_another() {
    assert_readable(&shots(), text_faults, |_| true);
}

#[test]
fn the_accepted_pictures_of_the_plan() {
    let accepted = [
        "plan-night-features",
        "plan-day-typed-wrong",
        "plan-night-typed",
        "plan-high-thread",
        "plan-day-conflict",
        "plan-day-learned",
        "plan-day-register-broken",
        "plan-day-faults-many-last",
    ];
    assert_accepted(&shots(), &accepted);
}

#[test]
fn everything_in_the_room_is_found_by_its_name_and_can_be_pointed_at() {
    for size in [SMALL, LARGE] {
        let view = Hand::on(SHAFT).seen();
        let look = Look::new(Theme::Night, Sizes::default());
        let presses = Rc::new(RefCell::new(Vec::new()));
        let taken = Rc::clone(&presses);
        let mut harness = window(size, 1.0, move |ui| {
            plan_ui(ui, &view, &look, &mut taken.borrow_mut());
        });
        for name in [
            "Pump shaft GP-07 B",
            "plans/shaft.toml: saved",
            "Half section of Pump shaft, 62 mm long, 25 mm across",
            "20.002 to 20.015 mm: +2 to +15 µm",
        ] {
            let found = harness.query_all_by_label_contains(name).next();
            assert!(found.is_some(), "{size:?}: {name}");
        }
        harness.get_by_label("B, 25 h9, collar").click();
        harness.run_steps(2);
        harness.get_by_label("3 pairs").click();
        harness.run_steps(2);
        assert_eq!(*presses.borrow(), [Press::Choose(1), Press::Digit('3')]);
    }
}

#[test]
fn every_size_of_the_room_is_survived() {
    for (name, view) in scenes() {
        for size in [
            [1.0, 1.0],
            [0.0, 0.0],
            [30.0, 900.0],
            [900.0, 30.0],
            [480.0, 320.0],
            [599.0, 240.0],
        ] {
            let (view, look) = (view.clone(), Look::new(Theme::Day, Sizes::default()));
            let harness = window(size, 1.0, move |ui| {
                plan_ui(ui, &view, &look, &mut Vec::new());
            });
            drop((harness, name));
        }
    }
}

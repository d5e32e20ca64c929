//! The list of sessions: what a row says, damage, finding while typing.

use egui_kittest::kittest::Queryable;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::records_find::Filter;
use fitledger::window::records_room::{RecordsAsked, RecordsPage, RecordsRoom};
use fitledger::window::records_ui::records_ui;
use fitledger::window::view::{Mark, SheetLine};

use super::scenes::{DAMAGE, rows, sheet, told};
use super::{LARGE, at_page, found, keys, list, opened, page, seen, texts};
use crate::support::picture::{painted_texts, window};

#[test]
fn the_list_says_what_was_made_for_whom_how_it_stands_and_how_sound_it_is() {
    let view = list(seen(&RecordsRoom::default(), &told(rows())));
    assert_eq!((view.found, view.count.as_str()), (4, "4 sessions"));
    let first = &view.rows[0];
    assert_eq!(first.opened, "2026-11-24 07:12");
    assert_eq!(first.part, "Pump shaft, GP-07 rev B");
    assert!(first.is_chosen && !view.rows[1].is_chosen);
    let detail =
        "2 parts, serial GP-0017, GP-0018, Green Valley Nurseries, order 4711, 12 readings";
    assert_eq!(first.detail, detail);
    let stands = |at: usize| {
        let one = view.rows[at].standings.clone().unwrap();
        (one.text, one.mark)
    };
    // What is open is no GO, and what is bad stands first.
    assert_eq!(stands(0), ("1 open, 1 GO".to_owned(), Mark::Open));
    assert_eq!(stands(1), ("1 NO-GO, 11 GO".to_owned(), Mark::NoGo));
    // A damaged record never looks good: its state goes first, and what is counted is qualified.
    let far = "as far as readable: 3 GO".to_owned();
    assert_eq!(stands(2), (far, Mark::Doubt));
    let first: Vec<bool> = view.rows.iter().map(|row| row.is_state_first).collect();
    assert_eq!(first, [false, false, true, false]);
    assert_eq!(stands(3), ("1 released in doubt".to_owned(), Mark::Doubt));
    let states = view.rows.iter().map(|row| row.state.clone().unwrap());
    let states: Vec<(String, Mark)> = states.map(|one| (one.text, one.mark)).collect();
    let expected = [
        ("not closed", Mark::Open),
        ("closed", Mark::Inside),
        ("damaged", Mark::NotRecorded),
        ("unfinished last line", Mark::Doubt),
    ];
    let expected = expected.map(|(text, mark)| (text.to_owned(), mark));
    assert_eq!(states, expected);
}

#[test]
fn a_damaged_record_says_where_and_what_and_can_be_opened_all_the_same() {
    let told = told(rows());
    let mut room = RecordsRoom {
        chosen: 2,
        ..RecordsRoom::default()
    };
    let view = list(seen(&room, &told));
    assert_eq!(view.detail[0].text, DAMAGE);
    assert!(view.detail[0].text.contains("line 14") && view.detail[0].text.contains("byte 3021"));
    assert_eq!(view.detail[0].mark, Mark::NotRecorded);
    assert_eq!(keys(&mut room, &told, "⏎"), [RecordsAsked::Open]);
    // What could be read is there, with the damage before it and on the record's page.
    let mut sheet = sheet();
    sheet.record.state = "damaged".to_owned();
    sheet.record.findings = vec![DAMAGE.to_owned()];
    let told = opened(sheet);
    let first = page(seen(&at_page(0), &told));
    let warning = texts(&first)[0];
    assert!(
        warning.text.contains("not as it was written"),
        "{warning:?}"
    );
    assert_eq!(warning.mark, Some(Mark::NotRecorded));
    assert!(
        first
            .lines
            .iter()
            .any(|line| matches!(line, SheetLine::Result(_)))
    );
    let record = page(seen(&at_page(2), &told));
    assert!(texts(&record).iter().any(|text| text.text == DAMAGE));
    // Its parts stand as they do as far as readable; all its readings are shown behind the damage.
    let standing = first.lines.iter().find_map(|line| match line {
        SheetLine::Standing(state) => Some(state.text.as_str()),
        _ => None,
    });
    assert_eq!(standing, Some("released, as far as readable"));
    let all = page(seen(&at_page(3), &told));
    assert!(texts(&all)[0].text.contains("not as it was written"));
    let heading = "3 readings, in the order in which they came, as far as readable";
    assert_eq!(all.lines[1], SheetLine::Heading(heading.to_owned()));
}

/// What is bad stays bad: damage does not make a scrapped part look better.
#[test]
fn damage_hides_nothing_that_is_bad_and_comes_first_to_the_ear_too() {
    let mut rows = rows();
    rows[1].state = "damaged".to_owned();
    rows[3].state = "unreadable".to_owned();
    let told = told(rows);
    let view = list(seen(&RecordsRoom::default(), &told));
    let one = view.rows[1].standings.clone().unwrap();
    let expected = "as far as readable: 1 NO-GO, 11 GO";
    assert_eq!((one.text.as_str(), one.mark), (expected, Mark::NoGo));
    assert!(view.rows[3].is_state_first);
    let look = Look::new(Theme::Night, Sizes::default());
    let whole = seen(&RecordsRoom::default(), &told);
    let harness = window(LARGE, 1.0, move |ui| {
        records_ui(ui, &whole, &look, &mut Vec::new());
    });
    let said = "GP-03 rev A, damaged, as far as readable: 1 NO-GO, 11 GO";
    assert!(harness.query_by_label_contains(said).is_some());
    let painted = painted_texts(&harness);
    let top = |words: &str| {
        painted
            .iter()
            .find(|one| one.text == words)
            .unwrap()
            .rect
            .top()
    };
    assert!(top("damaged") < top(expected), "damage stands above");
}

#[test]
fn sessions_are_found_by_words_of_every_field_and_by_which_they_are() {
    let all = |text: &str| found(text, Filter::All);
    assert_eq!(all(""), [0, 1, 2, 3]);
    assert_eq!(all("pump"), [0, 1]);
    assert_eq!(all("PUMP gp-03"), [1]);
    assert_eq!(all("0018"), [0]);
    assert_eq!(all("riverside"), [1]);
    assert_eq!(all("4711"), [0]);
    assert_eq!(all("2026-11-2"), [0, 1, 2]);
    assert_eq!(all("bore-20"), [1]);
    assert_eq!(all("no-go"), [1]);
    assert_eq!(all("verdict:go"), [0, 1, 2]);
    assert_eq!(all("released"), [3]);
    assert_eq!(
        all("verdict:oubt"),
        Vec::<usize>::new(),
        "from its beginning"
    );
    assert_eq!(all("damaged"), [2]);
    assert_eq!(all("state:not-closed"), [0]);
    assert_eq!(all("serial:20"), Vec::<usize>::new());
    assert_eq!(all("part:20"), [3]);
    assert_eq!(all("nothing such"), Vec::<usize>::new());
    assert_eq!(found("", Filter::NotClosed), [0, 2, 3]);
    assert_eq!(found("", Filter::NotGood), [1, 3]);
    assert_eq!(found("", Filter::InDoubt), [3]);
    assert_eq!(found("", Filter::Damaged), [2, 3]);
    assert_eq!(found("gp", Filter::Damaged), [2]);
}

#[test]
fn what_is_typed_is_looked_for_and_a_keypad_goes_through_the_list() {
    let mut told = told(rows());
    let mut room = RecordsRoom::default();
    assert_eq!(
        keys(&mut room, &told, "pu"),
        [RecordsAsked::Find, RecordsAsked::Find]
    );
    assert_eq!(room.query.text, "pu");
    assert_eq!(keys(&mut room, &told, "⌫-7.5"), vec![RecordsAsked::Find; 5]);
    assert_eq!(
        room.query.text, "p-7.5",
        "with a text, minus and point are of it"
    );
    assert_eq!(keys(&mut room, &told, "␛"), [RecordsAsked::Find]);
    assert!(room.query.text.is_empty());
    assert!(keys(&mut room, &told, "+↓").is_empty());
    assert_eq!(room.chosen, 2);
    keys(&mut room, &told, "-");
    assert_eq!(room.chosen, 1);
    keys(&mut room, &told, "+++++++");
    assert_eq!(room.chosen, 3, "not past the end");
    keys(&mut room, &told, "*");
    assert_eq!(room.chosen, 0, "* begins again");
    keys(&mut room, &told, "*");
    assert_eq!(room.chosen, 3, "a screen of three on");
    assert_eq!(keys(&mut room, &told, "/"), [RecordsAsked::Find]);
    assert_eq!((room.query.filter, room.chosen), (Filter::NotClosed, 0));
    keys(&mut room, &told, "←←");
    assert_eq!(room.query.filter, Filter::Damaged);
    assert_eq!(keys(&mut room, &told, "."), [RecordsAsked::Bench]);
    assert_eq!(keys(&mut room, &told, "⌫"), [RecordsAsked::Bench]);
    // Nothing found: the list says what to do, and Enter opens nothing.
    told.found = std::sync::Arc::default();
    let view = list(seen(&room, &told));
    assert!(view.empty.contains("Backspace"), "{}", view.empty);
    assert_eq!(keys(&mut room, &told, "⏎"), [RecordsAsked::LookAgain]);
    assert_eq!(room.page, RecordsPage::List);
    // Never more than a line of words.
    keys(&mut room, &told, &"x".repeat(300));
    assert_eq!(room.query.text.chars().count(), 100);
    assert!(
        room.fault
            .as_deref()
            .is_some_and(|fault| fault.contains("100"))
    );
}

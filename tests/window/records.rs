//! The Records room: by value, by accessibility name, in pictures, and with real records on a disk.
#![allow(clippy::unwrap_used, clippy::panic)]

mod disk;
mod run;
mod scenes;

use std::cell::RefCell;
use std::rc::Rc;

use eframe::egui::Ui;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::journal::{DispositionKind, Manner, Meaning};
use fitledger::report::{ReadingRow, Sheet};
use fitledger::session::Command;
use fitledger::window::drawn::PageDrawn;
use fitledger::window::keys::character_press;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::press::Press;
use fitledger::window::records_facts::{
    OpenRecord, RecordsTold, ReportForm, SessionRow, Verified, VerifyFacts,
};
use fitledger::window::records_find::{Filter, Query, find};
use fitledger::window::records_room::{
    RecordsAsked, RecordsMenu, RecordsMode, RecordsNow, RecordsPage, RecordsRoom,
};
use fitledger::window::records_ui::records_ui;
use fitledger::window::view::{
    Mark, RecordListView, RecordsPageView, RecordsSeen, RecordsView, SheetLine, SheetTextView,
    SheetView, VerifyView, records_now, records_view,
};

use self::scenes::{DAMAGE, HEAD, rows, sheet, told, told_open};
use crate::support::picture::{painted_texts, window};
use crate::support::readable::{Shown, assert_accepted, assert_readable, text_faults};

const SMALL: [f32; 2] = [800.0, 458.0];
const LARGE: [f32; 2] = [1280.0, 778.0];

fn seen(room: &RecordsRoom, told: &RecordsTold) -> RecordsView {
    records_view(&seen_of(room, told))
}

fn seen_of<'a>(room: &'a RecordsRoom, told: &'a RecordsTold) -> RecordsSeen<'a> {
    RecordsSeen {
        room,
        told,
        snapshot: None,
        now_ms: 0,
        marker: '.',
        message: None,
    }
}

fn now(room: &RecordsRoom, told: &RecordsTold) -> RecordsNow {
    records_now(&seen_of(room, told), 3, (4, true))
}

/// Keys as a hand presses them.
fn keys(room: &mut RecordsRoom, told: &RecordsTold, keys: &str) -> Vec<RecordsAsked> {
    let mut asked = Vec::new();
    for key in keys.chars() {
        let press = match key {
            '⏎' => Press::Enter,
            '⌫' => Press::Backspace,
            '␛' => Press::Escape,
            '↓' => Press::Down,
            '↑' => Press::Up,
            '→' => Press::Right,
            '←' => Press::Left,
            other => character_press(other),
        };
        let now = now(room, told);
        asked.extend(room.press(&press, &now));
    }
    asked
}

fn list(view: RecordsView) -> RecordListView {
    match view.page {
        RecordsPageView::List(list) => list,
        other => panic!("{other:?}"),
    }
}

fn page(view: RecordsView) -> SheetView {
    match view.page {
        RecordsPageView::Sheet(sheet) => sheet,
        other => panic!("{other:?}"),
    }
}

fn checked(view: RecordsView) -> VerifyView {
    match view.page {
        RecordsPageView::Verify(verify) => verify,
        other => panic!("{other:?}"),
    }
}

/// The first session open at a page.
fn at_page(sheet_page: usize) -> RecordsRoom {
    RecordsRoom {
        page: RecordsPage::Sheet,
        key: "2026-11-24-shaft.jsonl".to_owned(),
        sheet_page,
        ..RecordsRoom::default()
    }
}

fn texts(view: &SheetView) -> Vec<&SheetTextView> {
    let lines = view.lines.iter();
    lines
        .filter_map(|line| match line {
            SheetLine::Text(text) => Some(text),
            _ => None,
        })
        .collect()
}

fn found(text: &str, filter: Filter) -> Vec<usize> {
    let text = text.to_owned();
    find(&rows(), &Query { text, filter })
}

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

/// Every reading, in the order of the record: also what was voided, set aside or came twice.
#[test]
fn all_readings_are_shown_in_their_order_whatever_became_of_them() {
    let mut sheet = sheet();
    let one = |line, value: &str, end: &str| ReadingRow {
        gauge: "mic-25".to_owned(),
        origin: "typed".to_owned(),
        operator: "M. Brook".to_owned(),
        raw: format!("+{value}"),
        ..scenes::reading(line, value, end)
    };
    let held = "Far off: 5 mm too large.".to_owned();
    sheet.parts[1].readings = vec![
        ReadingRow {
            reason: "Far off.".to_owned(),
            held,
            ..one(40, "25.011", "set_aside")
        },
        ReadingRow {
            reason: "the same frame as line 21".to_owned(),
            ..one(22, "20.003", "repeat")
        },
        ReadingRow {
            verdict: "GO".to_owned(),
            doubted_by: 60,
            zero_offset: "0.001".to_owned(),
            taken: "largest of 41 values".to_owned(),
            replaced_by: 44,
            verdicts_before: vec!["DOUBT".to_owned()],
            value_at_20: "20.0029".to_owned(),
            ..one(43, "20.003", "judged")
        },
        ReadingRow {
            verdict: "GO".to_owned(),
            counts: true,
            doubt: "found wrong in another record".to_owned(),
            ..one(44, "20.004", "judged")
        },
        one(45, "20.005", "held"),
        one(46, "20.006", "cutting"),
        one(47, "20.007", "open"),
    ];
    sheet.record.other_readings = vec![ReadingRow {
        number: 0,
        ..one(5, "0.001", "zero_check")
    }];
    let told = opened(sheet);
    let view = page(seen(&at_page(3), &told));
    assert_eq!(
        (view.place.as_str(), view.turns),
        ("all readings", (true, false))
    );
    let texts = texts(&view);
    let lines: Vec<u64> = texts
        .iter()
        .map(|text| {
            let (number, _) = text.note[5..].split_once(',').unwrap();
            number.parse().unwrap()
        })
        .collect();
    assert_eq!(lines, [5, 18, 21, 22, 24, 40, 43, 44, 45, 46, 47]);
    let of = |line: u64| texts[lines.iter().position(|one| *one == line).unwrap()];
    let marks: Vec<Mark> = texts.iter().map(|text| text.mark.unwrap()).collect();
    let expected = [
        Mark::Noted,
        Mark::Noted,
        Mark::Go,
        Mark::Noted,
        Mark::Noted,
        Mark::Noted,
        Mark::Doubt,
        Mark::Doubt,
        Mark::Held,
        Mark::Cutting,
        Mark::Open,
    ];
    assert_eq!(marks, expected);
    let voided = of(18);
    assert_eq!(
        voided.struck,
        "part 1, serial GP-0017, 1 Ø20 k6: 20.021 mm, NO-GO"
    );
    let instead = "voided: chip or dirt between; in its place 20.008 of line 21";
    assert_eq!(voided.text, instead);
    assert!(
        voided.note.ends_with("voided by M. Brook"),
        "{}",
        voided.note
    );
    let aside = of(40);
    assert!(aside.struck.contains("25.011 mm"), "{}", aside.struck);
    assert!(aside.text.contains("set aside: Far off."), "{}", aside.text);
    assert!(
        aside.note.contains("was held: Far off: 5 mm"),
        "{}",
        aside.note
    );
    assert_eq!(of(5).text, "no part: 0.001 mm, zero check");
    let repeat = "part 2, serial GP-0018, 1 Ø20 k6: 20.003 mm, the same press again: the same \
                  frame as line 21";
    assert_eq!(of(22).text, repeat);
    assert!(
        of(43)
            .text
            .ends_with("20.003 mm, 20.0029 at 20 °C, DOUBT, then GO")
    );
    for words in [
        "mic-25",
        "typed",
        "by M. Brook",
        "arrived as “+20.003”",
        "zero check took off 0.001 mm",
        "largest of 41 values",
        "put in doubt by line 60",
        "line 44 counts in its place",
    ] {
        assert!(of(43).note.contains(words), "{words}: {}", of(43).note);
    }
    let note = &of(44).note;
    assert!(note.ends_with("found wrong in another record"), "{note}");
    assert!(
        of(45).text.ends_with("waits for an answer"),
        "{}",
        of(45).text
    );
    assert!(of(47).text.ends_with("nothing decided"), "{}", of(47).text);
}

/// On the record's page and on that of all readings a name is put under the whole session.
#[test]
fn the_whole_session_is_signed_for_where_no_part_is_seen() {
    let told = told_open();
    for sheet_page in [2, 3] {
        for (signing, meaning, manner) in [
            ("s1A. Field⏎", Meaning::Measured, Manner::Plain),
            ("⏎82A. Field⏎", Meaning::Checked, Manner::Plain),
            ("s3A. Field⏎", Meaning::Released, Manner::Plain),
            ("s4wanted today⏎A. Field⏎", Meaning::Released, Manner::Early),
        ] {
            let mut room = at_page(sheet_page);
            let asked = keys(&mut room, &told, signing);
            let [RecordsAsked::Decide(command)] = asked.as_slice() else {
                panic!("{asked:?}");
            };
            let Command::SignOff(signed) = command.as_ref() else {
                panic!("{command:?}");
            };
            assert_eq!(signed.part, 0, "the whole session");
            assert_eq!((signed.meaning, signed.manner), (meaning, manner));
            assert_eq!(signed.by, "A. Field");
        }
        let mut room = at_page(sheet_page);
        keys(&mut room, &told, "s");
        let question = seen(&room, &told).question.unwrap();
        assert_eq!(question.title, "What is signed for the whole session?");
        keys(&mut room, &told, "3");
        let question = seen(&room, &told).question.unwrap();
        assert_eq!(question.title, "The whole session: release it");
    }
    // A part that is seen is signed for alone.
    let asked = keys(&mut at_page(0), &told, "s3A. Field⏎");
    assert!(
        matches!(&asked[..], [RecordsAsked::Decide(command)]
            if matches!(command.as_ref(), Command::SignOff(signed) if signed.part == 1)),
        "{asked:?}"
    );
}

fn opened(sheet: Sheet) -> RecordsTold {
    RecordsTold {
        open: Some(OpenRecord {
            key: "2026-11-24-shaft.jsonl".to_owned(),
            sheet: Some(std::sync::Arc::new(sheet)),
            fault: None,
        }),
        ..told(rows())
    }
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

#[test]
fn a_part_is_shown_as_its_report_prints_it() {
    let view = page(seen(&at_page(0), &told_open()));
    assert_eq!(view.title, "Pump shaft, GP-07 rev B");
    assert_eq!(view.place, "part 1 of 2, serial GP-0017");
    assert_eq!(view.turns, (false, true));
    let SheetLine::Standing(standing) = &view.lines[0] else {
        panic!("{:?}", view.lines[0]);
    };
    assert_eq!(
        (standing.text.as_str(), standing.mark),
        ("released", Mark::Go)
    );
    let results: Vec<_> = view
        .lines
        .iter()
        .filter_map(|line| match line {
            SheetLine::Result(result) => Some(result),
            _ => None,
        })
        .collect();
    assert_eq!(results.len(), 3);
    let first = results[0];
    assert_eq!(
        (first.number.as_str(), first.callout.as_str()),
        ("1", "Ø20 k6")
    );
    assert_eq!(
        (first.limits.as_str(), first.actual.as_str()),
        ("20.002 to 20.015", "20.008")
    );
    assert_eq!(first.verdict.as_ref().unwrap().mark, Mark::Go);
    assert_eq!(first.bar, Some((0.46, 0.13)));
    assert!(first.note.contains("two-point") && first.note.contains("M. Brook"));
    // The outline carries the numbers of the table.
    let outline = view.lines.iter().find_map(|line| match line {
        SheetLine::Outline(outline) => Some(outline),
        _ => None,
    });
    let numbers: Vec<&str> = outline
        .unwrap()
        .shapes
        .iter()
        .map(|one| one.balloon.as_str())
        .collect();
    assert_eq!(numbers, ["1", "2", "3"]);
    let corrected = texts(&view)[0];
    assert_eq!(corrected.struck, "1 Ø20 k6: 20.021, NO-GO");
    let said = "voided: chip or dirt between; in its place 20.008 of line 21";
    assert_eq!(corrected.text, said);
    let signed = texts(&view)
        .into_iter()
        .find(|text| text.text.contains("by A. Field"));
    assert!(
        signed.unwrap().note.contains(HEAD),
        "the hash that it covers"
    );
}

#[test]
fn decisions_and_what_holds_no_longer_both_stay_visible_and_are_never_go() {
    let view = page(seen(&at_page(1), &told_open()));
    let SheetLine::Standing(standing) = &view.lines[0] else {
        panic!("{:?}", view.lines[0]);
    };
    assert_eq!(standing.text, "under concession");
    assert_ne!(standing.mark, Mark::Go);
    let all = texts(&view);
    let hold = all
        .iter()
        .find(|text| text.struck.starts_with("on hold"))
        .unwrap();
    assert_eq!(hold.text, "withdrawn by line 57");
    let concession = all
        .iter()
        .find(|text| text.text.starts_with("concession"))
        .unwrap();
    assert!(
        concession
            .text
            .contains("agreed with Green Valley Nurseries")
    );
    assert_eq!(concession.mark, Some(Mark::Doubt));
    let lapsed = all.iter().find(|text| text.struck.contains("by M. Brook"));
    assert!(lapsed.is_some(), "{all:?}");
    // What a person decided on top is never GO by itself.
    let mut sheet = sheet();
    sheet.parts[0].is_good = false;
    let view = page(seen(&at_page(0), &opened(sheet)));
    assert!(matches!(&view.lines[0], SheetLine::Standing(one) if one.mark == Mark::Doubt));
}

#[test]
fn the_records_own_page_has_the_head_hash_the_gauges_and_what_it_is_not() {
    let view = page(seen(&at_page(2), &told_open()));
    assert_eq!(
        (view.place.as_str(), view.turns),
        ("the record", (true, true))
    );
    let last = page(seen(&at_page(9), &told_open()));
    assert_eq!(last.place, "all readings", "no page is beyond the last");
    let facts: Vec<_> = view
        .lines
        .iter()
        .filter_map(|line| match line {
            SheetLine::Fact(fact) => Some(fact),
            _ => None,
        })
        .collect();
    assert!(facts.iter().any(|fact| fact.value == HEAD));
    let gauge = facts.iter().find(|fact| fact.what == "mic-25").unwrap();
    assert!(gauge.note.contains("overdue"), "{gauge:?}");
    assert_eq!(gauge.mark, Some(Mark::Doubt));
    assert!(
        texts(&view)
            .iter()
            .any(|text| text.text.contains("not a certificate"))
    );
    let tool = texts(&view)
        .into_iter()
        .find(|text| text.text.contains("new insert"))
        .unwrap();
    assert_eq!(tool.note, "2026-11-24 07:40:00 +01:00, part 1, line 30");
}

#[test]
fn keys_at_a_session_turn_pages_read_on_write_check_and_lead_back() {
    let told = told_open();
    let mut room = at_page(0);
    keys(&mut room, &told, "*↓");
    assert_eq!(room.skipped, 5);
    keys(&mut room, &told, "+");
    assert_eq!((room.sheet_page, room.skipped), (1, 0));
    keys(&mut room, &told, "+++");
    assert_eq!(room.sheet_page, 3, "that of all readings is the last");
    keys(&mut room, &told, "---");
    assert_eq!(room.sheet_page, 0);
    for (key, page) in [("a", 3), ("r", 2), ("⏎0", 3), ("R", 2)] {
        room.skipped = 3;
        keys(&mut room, &told, key);
        assert_eq!((room.sheet_page, room.skipped), (page, 0), "{key}");
        assert_eq!(room.mode, RecordsMode::Looking);
    }
    room.sheet_page = 0;
    for (key, form) in [
        ('h', ReportForm::Html),
        ('P', ReportForm::Pdf),
        ('c', ReportForm::Csv),
        ('j', ReportForm::Json),
        ('q', ReportForm::Qif),
    ] {
        let asked = keys(&mut room, &told, &key.to_string());
        assert_eq!(asked, [RecordsAsked::Write(form)]);
    }
    assert_eq!(
        keys(&mut room, &told, "⏎2"),
        [RecordsAsked::Write(ReportForm::Pdf)]
    );
    assert_eq!(room.mode, RecordsMode::Looking);
    // Enter opens the list of what can be done, and chooses nothing in it.
    assert!(keys(&mut room, &told, "⏎⏎⏎").is_empty());
    assert_eq!(room.mode, RecordsMode::Choosing(RecordsMenu::Record));
    keys(&mut room, &told, "9␛");
    assert!(room.is_one_part);
    assert_eq!(keys(&mut room, &told, "v"), [RecordsAsked::Verify]);
    assert_eq!(room.page, RecordsPage::Verify);
    keys(&mut room, &told, "⌫⌫");
    assert_eq!((room.page, room.key.as_str()), (RecordsPage::List, ""));
    // On the record's own page there is no part to decide about.
    let mut room = at_page(2);
    assert!(keys(&mut room, &told, "d").is_empty());
    assert_eq!(room.mode, RecordsMode::Looking);
    assert!(room.fault.is_some());
}

#[test]
fn a_decision_asks_for_reason_and_name_and_loses_neither_when_refused() {
    let told = told_open();
    let mut room = at_page(1);
    keys(&mut room, &told, "d3");
    assert!(keys(&mut room, &told, "⏎").is_empty(), "no reason");
    assert!(room.fault.as_deref().unwrap().contains("reason"));
    keys(&mut room, &told, "to be looked at⏎");
    assert!(keys(&mut room, &told, "⏎").is_empty(), "no name");
    assert!(room.fault.as_deref().unwrap().contains("name"));
    let asked = keys(&mut room, &told, "A. Field⏎");
    let [RecordsAsked::Decide(command)] = asked.as_slice() else {
        panic!("{asked:?}");
    };
    let Command::Dispose(given) = command.as_ref() else {
        panic!("{command:?}");
    };
    assert_eq!((given.part, given.kind), (2, DispositionKind::Hold));
    assert_eq!(
        (given.reason.as_str(), given.by.as_str()),
        ("to be looked at", "A. Field")
    );
    // Refused: everything stands as it was typed; Up goes back to it.
    room.answered(true);
    keys(&mut room, &told, "↑");
    let RecordsMode::Filling(filling) = &room.mode else {
        panic!("{:?}", room.mode);
    };
    assert_eq!(filling.text(), "to be looked at");
    // Done: it closes, and the name is offered the next time.
    room.answered(false);
    assert_eq!(room.mode, RecordsMode::Looking);
    let asked = keys(&mut room, &told, "s5not proved⏎⏎");
    let [RecordsAsked::Decide(command)] = asked.as_slice() else {
        panic!("{asked:?}");
    };
    let Command::SignOff(signed) = command.as_ref() else {
        panic!("{command:?}");
    };
    assert_eq!(
        (signed.meaning, signed.manner),
        (Meaning::Released, Manner::InDoubt)
    );
    assert_eq!(
        (signed.by.as_str(), signed.reason.as_str()),
        ("A. Field", "not proved")
    );
    keys(&mut room, &told, "␛");
    // The concession stands and can be withdrawn; the hold was.
    let asked = keys(&mut room, &told, "d61not needed⏎⏎");
    let [RecordsAsked::Decide(command)] = asked.as_slice() else {
        panic!("{asked:?}");
    };
    assert!(
        matches!(command.as_ref(), Command::Dispose(one)
            if one.kind == DispositionKind::Withdrawn && one.of == 58),
        "{command:?}"
    );
    keys(&mut room, &told, "␛d2");
    let view = seen(&room, &told);
    assert_eq!(
        view.question.unwrap().title,
        "Part 2, serial GP-0018: rework it"
    );
    assert_eq!(view.entry.unwrap().what, "reason");
}

#[test]
fn every_choice_of_every_list_is_taken_and_no_other() {
    let told = told_open();
    for menu in [
        RecordsMenu::Record,
        RecordsMenu::Decide,
        RecordsMenu::Sign,
        RecordsMenu::Withdraw,
    ] {
        for sheet_page in 1..=3 {
            let is_of_a_part = matches!(menu, RecordsMenu::Decide | RecordsMenu::Withdraw);
            if is_of_a_part && sheet_page > 1 {
                continue;
            }
            let mut room = at_page(sheet_page);
            room.mode = RecordsMode::Choosing(menu);
            let offered = seen(&room, &told).question.unwrap().answers;
            for key in '0'..='9' {
                let mut one = room.clone();
                keys(&mut one, &told, &key.to_string());
                let is_offered = offered.iter().any(|answer| answer.key == key);
                assert_eq!(
                    one.fault.is_none(),
                    is_offered,
                    "{menu:?} {sheet_page} {key}"
                );
            }
        }
    }
}

#[test]
fn a_check_shows_how_far_it_is_what_it_came_to_and_that_it_was_ended() {
    let mut told = told_open();
    let facts = |read, is_running| VerifyFacts {
        key: "2026-11-24-shaft.jsonl".to_owned(),
        is_running,
        read,
        whole: 30_100_000,
        ..VerifyFacts::default()
    };
    let mut room = RecordsRoom {
        page: RecordsPage::Verify,
        ..at_page(0)
    };
    told.verify = Some(facts(12_450_000, true));
    let view = checked(seen(&room, &told));
    assert_eq!(view.progress_text, "12.4 of 30.1 MB");
    assert!((view.progress.unwrap() - 0.413_6).abs() < 0.001);
    assert_eq!(keys(&mut room, &told, "⌫"), [RecordsAsked::Cancel]);
    assert_eq!(
        room.page,
        RecordsPage::Verify,
        "what it came to is to be seen"
    );
    told.verify = Some(VerifyFacts {
        is_cancelled: true,
        ..facts(12_450_000, false)
    });
    let view = checked(seen(&room, &told));
    assert!(view.progress.is_none());
    assert!(
        view.state
            .as_ref()
            .unwrap()
            .text
            .contains("nothing is known of the rest")
    );
    assert_ne!(view.state.unwrap().mark, Mark::Go);
    let verified = Verified {
        state: "damaged".to_owned(),
        lines: 99,
        head: HEAD.to_owned(),
        findings: vec![DAMAGE.to_owned()],
        ..Verified::default()
    };
    told.verify = Some(VerifyFacts {
        result: Some(Ok(verified)),
        ..facts(30_100_000, false)
    });
    let view = checked(seen(&room, &told));
    assert!(
        view.state
            .as_ref()
            .unwrap()
            .text
            .contains("99 lines are right")
    );
    assert_eq!(view.state.unwrap().mark, Mark::NotRecorded);
    let found = view
        .lines
        .iter()
        .any(|line| matches!(line, SheetLine::Text(text) if text.text == DAMAGE));
    assert!(found, "{:?}", view.lines);
}

#[test]
fn of_one_line_and_one_more_finding_a_check_speaks_in_the_singular() {
    let mut told = told_open();
    let room = RecordsRoom {
        page: RecordsPage::Verify,
        ..at_page(0)
    };
    let mut said = |state: &str, lines, more| {
        let verified = Verified {
            state: state.to_owned(),
            lines,
            findings: vec![DAMAGE.to_owned()],
            more,
            ..Verified::default()
        };
        told.verify = Some(VerifyFacts {
            key: "2026-11-24-shaft.jsonl".to_owned(),
            result: Some(Ok(verified)),
            ..VerifyFacts::default()
        });
        let view = checked(seen(&room, &told));
        let last = match view.lines.last().unwrap() {
            SheetLine::Heading(text) => text.clone(),
            other => panic!("{other:?}"),
        };
        (view.state.unwrap().text, last)
    };
    let (one, more) = said("damaged", 1, 1);
    assert!(one.contains("1 line is right"), "{one}");
    assert_eq!(more, "1 more finding");
    let (two, more) = said("damaged", 2, 2);
    assert!(two.contains("2 lines are right"), "{two}");
    assert_eq!(more, "2 more findings");
    let (one, _) = said("torn_tail", 1, 1);
    assert!(one.starts_with("1 line is as it was written;"), "{one}");
    let (one, _) = said("sound", 1, 1);
    assert!(one.starts_with("Sound: 1 line, each"), "{one}");
}

/// What cannot be seen, or turns the reading round, stands as its number wherever it is shown.
#[test]
fn hostile_names_are_shown_and_never_obeyed() {
    let hostile = "Pump\u{202e}tfahs\n\u{200b}\u{7}<b>=1+1";
    let mut rows = rows();
    rows[0].part = hostile.to_owned();
    rows[0].customer = hostile.to_owned();
    rows[0].serials = vec![hostile.to_owned()];
    rows[0].files = vec![hostile.to_owned()];
    rows[0].damage = vec![hostile.to_owned()];
    let mut sheet = sheet();
    sheet.job.part_name = hostile.to_owned();
    sheet.job.customer = hostile.to_owned();
    sheet.parts[1].serial = hostile.to_owned();
    sheet.parts[1].decisions[1].reason = hostile.to_owned();
    sheet.parts[1].results[0].operator = hostile.to_owned();
    sheet.parts[0].readings[0].reason = hostile.to_owned();
    sheet.parts[0].readings[1].raw = hostile.to_owned();
    sheet.asked[0].callout = hostile.to_owned();
    sheet.record.findings = vec![hostile.to_owned()];
    let mut told = told(rows);
    told.open = Some(OpenRecord {
        key: hostile.to_owned(),
        sheet: Some(std::sync::Arc::new(sheet)),
        fault: None,
    });
    told.faults = vec![hostile.to_owned()];
    for sheet_page in [None, Some(1), Some(2), Some(3)] {
        let mut room = RecordsRoom::default();
        if let Some(sheet_page) = sheet_page {
            room = at_page(sheet_page);
            room.key = hostile.to_owned();
        }
        room.query.text = hostile.to_owned();
        let view = seen(&room, &told);
        let look = Look::new(Theme::Night, Sizes::default());
        let harness = window(SMALL, 1.0, move |ui| {
            records_ui(ui, &view, &look, &mut Vec::new());
        });
        let painted = painted_texts(&harness);
        let is_shown = painted.iter().any(|one| one.text.contains("\\u{202e}"));
        assert!(is_shown, "shown as its number");
        for painted in painted {
            let bad = ['\u{202e}', '\u{200b}', '\u{7}'];
            assert!(!painted.text.contains(bad), "{:?}", painted.text);
        }
    }
}

#[test]
fn of_ten_thousand_sessions_only_those_on_the_screen_are_painted() {
    let one = rows().remove(0);
    let rows = (0..10_000).map(|at| SessionRow {
        files: vec![format!("{at}.jsonl")],
        part: format!("Pump shaft {at}"),
        ..one.clone()
    });
    let told = told(rows.collect());
    let room = RecordsRoom {
        chosen: 7_654,
        ..RecordsRoom::default()
    };
    let view = seen(&room, &told);
    assert!(
        list(view.clone()).rows.len() <= 200,
        "made for the screen alone"
    );
    let fit = Rc::new(RefCell::new(PageDrawn::default()));
    let drawn = Rc::clone(&fit);
    let look = Look::new(Theme::Night, Sizes::default());
    let harness = window(LARGE, 1.0, move |ui| {
        *drawn.borrow_mut() = records_ui(ui, &view, &look, &mut Vec::new());
    });
    let painted = painted_texts(&harness);
    let painted: Vec<_> = painted
        .iter()
        .filter(|text| text.text.starts_with("Pump shaft"))
        .collect();
    let fit = fit.borrow().fit;
    assert_eq!(painted.len(), fit);
    assert!((10..30).contains(&fit), "{fit} rows");
    assert!(
        painted
            .iter()
            .any(|text| text.text.contains("Pump shaft 7654"))
    );
    // 7654 is on the page that begins with a whole number of screens.
    let first = 7_654 / fit * fit;
    assert!(
        painted[0].text.contains(&format!("Pump shaft {first},")),
        "{:?}",
        painted[0].text
    );
}

/// A scene on a window.
struct Shot {
    name: String,
    view: RecordsView,
    size: [f32; 2],
    theme: Theme,
}

fn scenes() -> Vec<(&'static str, RecordsView)> {
    let told = told(rows());
    let open = told_open();
    let mut finding = RecordsRoom {
        chosen: 2,
        ..RecordsRoom::default()
    };
    let damaged = seen(&finding, &told);
    finding.chosen = 0;
    finding.query.text = "pump gp-0".to_owned();
    let mut menu = at_page(1);
    menu.mode = RecordsMode::Choosing(RecordsMenu::Record);
    let mut sign = at_page(2);
    sign.mode = RecordsMode::Choosing(RecordsMenu::Sign);
    let mut form = at_page(1);
    keys(&mut form, &open, "d5B⏎runs free in the seal⏎A. Fi");
    let mut running = open.clone();
    running.verify = Some(VerifyFacts {
        key: "2026-11-24-shaft.jsonl".to_owned(),
        is_running: true,
        read: 12_450_000,
        whole: 30_100_000,
        ..VerifyFacts::default()
    });
    let mut bad = running.clone();
    if let Some(verify) = &mut bad.verify {
        verify.is_running = false;
        verify.result = Some(Ok(Verified {
            state: "damaged".to_owned(),
            lines: 99,
            head: HEAD.to_owned(),
            findings: vec![DAMAGE.to_owned(); 2],
            ..Verified::default()
        }));
    }
    let check = RecordsRoom {
        page: RecordsPage::Verify,
        ..at_page(0)
    };
    let mut below = at_page(0);
    below.skipped = 9;
    vec![
        ("list", seen(&finding, &told)),
        ("damaged", damaged),
        ("part", seen(&at_page(0), &open)),
        ("part-below", seen(&below, &open)),
        ("conceded", seen(&at_page(1), &open)),
        ("record", seen(&at_page(2), &open)),
        ("readings", seen(&at_page(3), &open)),
        ("sign", seen(&sign, &open)),
        ("menu", seen(&menu, &open)),
        ("form", seen(&form, &open)),
        ("verify", seen(&check, &running)),
        ("verified", seen(&check, &bad)),
        (
            "empty",
            seen(&RecordsRoom::default(), &RecordsTold::default()),
        ),
    ]
}

fn shots() -> Vec<Shot> {
    let mut shots = Vec::new();
    for (name, view) in scenes() {
        for (size, theme, word) in [
            (SMALL, Theme::Night, "night"),
            (LARGE, Theme::Day, "day"),
            (SMALL, Theme::HighContrast, "high"),
        ] {
            shots.push(Shot {
                name: format!("records-{word}-{name}"),
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
        window(self.size, 1.0, self.paint(self.theme))
    }
}

impl Shot {
    fn paint(&self, theme: Theme) -> impl FnMut(&mut Ui) + 'static {
        let (view, look) = (self.view.clone(), Look::new(theme, Sizes::default()));
        move |ui| {
            records_ui(ui, &view, &look, &mut Vec::new());
        }
    }
}

/// Every page once, to be painted in a theme on the small window.
pub(crate) fn every_page(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let small = shots()
        .into_iter()
        .filter(|shot| shot.size == SMALL && shot.theme == Theme::HighContrast);
    let named = small.map(|shot| {
        let paint: crate::contrast::Paint = Box::new(shot.paint(theme));
        (shot.name.replace("-high", ""), paint)
    });
    named.collect()
}

/// Each picture is kept too, in `target/pictures`.
#[test]
fn no_text_of_the_records_leaves_the_window_or_lies_on_another() {
    assert_readable(&shots(), text_faults, |_| true);
}

#[test]
fn the_accepted_pictures_of_the_records() {
    let accepted = [
        "records-night-list",
        "records-day-part",
        "records-high-damaged",
        "records-night-conceded",
        "records-night-verified",
        "records-day-readings",
        "records-night-sign",
    ];
    assert_accepted(&shots(), &accepted);
}

#[test]
fn everything_in_the_room_is_found_by_its_name_and_can_be_pointed_at() {
    let told = told(rows());
    for size in [SMALL, LARGE] {
        let view = seen(&RecordsRoom::default(), &told);
        let look = Look::new(Theme::Night, Sizes::default());
        let presses = Rc::new(RefCell::new(Vec::new()));
        let taken = Rc::clone(&presses);
        let mut harness = window(size, 1.0, move |ui| {
            records_ui(ui, &view, &look, &mut taken.borrow_mut());
        });
        for name in [
            "find: ; all sessions, 4 sessions",
            "Pump housing, GP-03 rev A, 1 NO-GO, 11 GO, closed",
            "Enter open",
        ] {
            assert!(
                harness.query_by_label_contains(name).is_some(),
                "{size:?}: {name}"
            );
        }
        harness
            .query_by_label_contains("Bush, GP-11")
            .unwrap()
            .click();
        harness.run_steps(2);
        assert_eq!(*presses.borrow(), [Press::Choose(2)]);
    }
    let view = seen(&at_page(0), &told_open());
    let look = Look::new(Theme::Day, Sizes::default());
    let presses = Rc::new(RefCell::new(Vec::new()));
    let taken = Rc::clone(&presses);
    let mut harness = window(LARGE, 1.0, move |ui| {
        records_ui(ui, &view, &look, &mut taken.borrow_mut());
    });
    for name in [
        "1, Ø20 k6, 20.002 to 20.015, 20.008, GO",
        "no longer: 1 Ø20 k6: 20.021, NO-GO",
        "Half section of Pump shaft, numbered",
    ] {
        assert!(harness.query_by_label_contains(name).is_some(), "{name}");
    }
    harness.get_by_label("page after").click();
    harness.run_steps(2);
    assert_eq!(*presses.borrow(), [Press::Plus]);
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
                records_ui(ui, &view, &look, &mut Vec::new());
            });
            drop((harness, name));
        }
    }
}

#[test]
fn every_press_is_survived_in_every_state() {
    let open = told_open();
    let empty = RecordsTold::default();
    let mut reached = std::collections::BTreeSet::new();
    for told in [&open, &empty] {
        let mut room = RecordsRoom::default();
        let mut random = 7_u64;
        for _ in 0..20_000 {
            random = random
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let bits = random >> 33;
            let press = match (bits >> 4) % 22 {
                0..=2 => Press::Enter,
                3 => Press::Backspace,
                4 => Press::Up,
                5 => Press::Down,
                6 => Press::Left,
                7 => Press::Right,
                8 => Press::Digit('5'),
                9 => Press::Digit('7'),
                10 => Press::Choose(900),
                11 => Press::Star,
                12 => Press::Pasted("é\u{202e}1".repeat(90)),
                13 => Press::Plus,
                14 => Press::Minus,
                15 => Press::Escape,
                16 => Press::Letter('d'),
                17 => Press::Letter('s'),
                18 => Press::Letter('v'),
                19 => Press::Digit('1'),
                20 => Press::Burst("GP-0017".to_owned()),
                _ => Press::NumLockOff,
            };
            let now = RecordsNow {
                is_verifying: bits & 1 == 1,
                ..now(&room, told)
            };
            if room.press(&press, &now).contains(&RecordsAsked::Open) {
                room.key = "2026-11-24-shaft.jsonl".to_owned();
            }
            reached.insert(format!(
                "{:?} {}",
                room.page,
                std::mem::discriminant(&room.mode) == std::mem::discriminant(&RecordsMode::Looking)
            ));
            let _ = seen(&room, told);
        }
    }
    assert_eq!(reached.len(), 4, "{reached:?}");
}

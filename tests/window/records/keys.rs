//! Keys at an open session: turning, writing, deciding, signing.

use fitledger::journal::{DispositionKind, Manner, Meaning};
use fitledger::session::Command;
use fitledger::window::press::Press;
use fitledger::window::records_facts::{RecordsTold, ReportForm};
use fitledger::window::records_room::{
    RecordsAsked, RecordsMenu, RecordsMode, RecordsNow, RecordsPage, RecordsRoom,
};

use super::scenes::told_open;
use super::{at_page, keys, now, seen};

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

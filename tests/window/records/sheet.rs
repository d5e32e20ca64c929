//! A session as it will print: parts, decisions, the record itself, every reading.

use fitledger::report::ReadingRow;
use fitledger::window::records_facts::{Verified, VerifyFacts};

use fitledger::window::records_room::{RecordsAsked, RecordsPage, RecordsRoom};
use fitledger::window::view::{Mark, RecordsPageView, RecordsView, SheetLine, VerifyView};

use super::scenes::{DAMAGE, HEAD, sheet, told_open};
use super::{at_page, keys, opened, page, scenes, seen, texts};

fn checked(view: RecordsView) -> VerifyView {
    match view.page {
        RecordsPageView::Verify(verify) => verify,
        other => panic!("{other:?}"),
    }
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

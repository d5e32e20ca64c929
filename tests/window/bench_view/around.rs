//! What stands around the verdict: header, foot, messages, a held reading, NOT RECORDED.

use fitledger::session::{Command, Incoming, Message, Snapshot, Unrecorded};
use fitledger::window::desk::Desk;
use fitledger::window::view::{Mark, bench_view};

use super::{block, shaft};
use crate::support::bench::{Bench, feature, plan, typed};
use crate::support::cruel_disk::{CruelDisk, Fault, Plan};
use crate::support::shown::{shown, shown_with, snapshot};

#[test]
fn a_held_reading_shows_what_came_and_asks() {
    let mut bench = shaft("");
    assert!(bench.reads("0.7877").starts_with("held"));
    bench.events("plain-mic", "20.008");
    bench.events("plain-mic", "20.009");
    // Left with Enter or not, it stays until it is answered.
    let desk = Desk {
        left: 1_000,
        ..Desk::default()
    };
    let view = shown_with(&bench, &desk);
    assert_eq!(block(&view), ("held", "", "0.7877"));
    assert_eq!(view.verdict.mark, Mark::Held);
    let question = view.question.unwrap();
    assert_eq!(question.title, "0.7877 mm is held");
    assert!(
        question.lines[0].contains("Inch taken for millimetre"),
        "{:?}",
        question.lines
    );
    let keys: Vec<(char, &str)> = question
        .answers
        .iter()
        .map(|a| (a.key, a.text.as_str()))
        .collect();
    assert_eq!(keys, [('+', "it belongs here"), ('-', "set it aside")]);
    assert_eq!(question.waiting, "2 more readings wait, recorded");
    assert!(question.is_alarm);
    assert!(
        view.action.ends_with("Does the reading belong here?"),
        "{}",
        view.action
    );
    let keys: Vec<&str> = view.keys.iter().map(|key| key.key.as_str()).collect();
    assert_eq!(keys, ["+", "-"]);
    let (belongs, reason) = (false, String::new());
    bench.asks(Command::AnswerHeld { belongs, reason });
    let view = shown(&bench);
    assert_eq!(view.question, None);
    // The readings that waited were judged: the second of them on the second part.
    assert_eq!(block(&view), ("GO", "", "20.009"));
}

#[test]
fn not_recorded_is_unmistakable_whatever_the_verdict_was() {
    let disk = CruelDisk::default();
    let mut bench = Bench::on(disk.clone(), plan(&feature("A", "20 k6", ""))).unwrap();
    assert_eq!(bench.reads("20.008"), "GO");
    let mut before = snapshot(&bench);
    before.unrecorded = Some(Unrecorded {
        cause: "The disk is full.".to_owned(),
        hint: "Make room, then press Enter.".to_owned(),
        count: 2,
        readings: vec!["20.011".to_owned(), "20.010".to_owned()],
    });
    let view = bench_view(&before, &Desk::default(), 0);
    assert_eq!(block(&view), ("NOT RECORDED", "2 readings", "20.011"));
    assert_eq!(view.verdict.mark, Mark::NotRecorded);
    assert_eq!(
        view.verdict.notes,
        ["The disk is full.", "Make room, then press Enter."]
    );
    assert_eq!(view.action, "Make room, then press Enter.");
    assert_eq!(
        view.status.journal.text,
        "NOT RECORDED: 2 readings. The disk is full. Make room, then press Enter."
    );
    assert!(!view.status.journal.is_recorded);
    assert_eq!(view.bar, None, "no place is claimed for it");
    assert_eq!(view.verdict.deviation, "");
}

#[test]
fn a_disk_that_fails_is_seen_through_the_session_too() {
    // Every call from the tenth on fails.
    let plan_of_disk = Plan {
        at: 10,
        fault: Fault::Errno(28),
        persistent: true,
    };
    let disk = CruelDisk::failing(plan_of_disk);
    let mut bench = Bench::on(disk, plan(&feature("A", "20 k6", ""))).unwrap();
    for reading in ["20.008", "20.009", "20.010", "20.007"] {
        bench.take(vec![Incoming::Reading(typed("mic", reading))]);
    }
    assert!(bench.recorder.has_failed());
    let view = shown(&bench);
    assert_eq!(block(&view).0, "NOT RECORDED");
    assert_eq!(view.verdict.value, "20.007", "the latest that came");
}

#[test]
fn the_status_line_says_where_it_is_recorded_and_how_the_gauges_are() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.sources[1].source = "serial:/dev/ttyUSB0".to_owned();
    opened.sources[2].source = "simulated:7".to_owned();
    let mut bench = Bench::new(opened);
    bench.reads("20.008");
    let text = |bench: &Bench, now_ms: u64| {
        let view = bench_view(&snapshot(bench), &Desk::default(), now_ms);
        let gauges = view.status.gauges.into_iter();
        gauges
            .map(|gauge| (gauge.text, gauge.is_ready))
            .collect::<Vec<_>>()
    };
    let view = shown(&bench);
    // Line 1 opens the session; then part, received, assigned, verdict.
    assert_eq!(
        view.status.journal.text,
        "recorded: event 5 in session.jsonl"
    );
    assert_eq!(view.status.caution, "Stop the spindle before you measure");
    assert_eq!(text(&bench, 0)[0], ("mic: typed".to_owned(), true));
    assert_eq!(
        text(&bench, 0)[1],
        ("caliper: no sign of it yet".to_owned(), false)
    );
    assert_eq!(
        text(&bench, 0)[2],
        ("comparator: simulated".to_owned(), true)
    );
    let told = |bench: &mut Bench, state: &str| {
        let (gauge, state, detail) = ("caliper".to_owned(), state.to_owned(), String::new());
        let event = fitledger::journal::Event::GaugeStateChanged {
            gauge,
            state,
            detail,
        };
        bench.take(vec![Incoming::Notice(event)]);
    };
    told(&mut bench, "attached");
    assert_eq!(
        text(&bench, bench.now_ms)[1],
        ("caliper: ready".to_owned(), true)
    );
    told(&mut bench, "unplugged");
    let later = bench.now_ms + 120_000;
    assert_eq!(
        text(&bench, later)[1],
        ("caliper: unplugged 2 min ago".to_owned(), false)
    );
    let (gauge, count, code) = ("caliper".to_owned(), 12, "bad_frame".to_owned());
    let event = fitledger::journal::Event::GarbageCounted { gauge, count, code };
    bench.take(vec![Incoming::Notice(event)]);
    told(&mut bench, "attached");
    assert_eq!(
        text(&bench, later)[1],
        (
            "caliper: ready, 12 frames were no readings".to_owned(),
            true
        )
    );
}

#[test]
fn a_message_is_shown_until_an_answer_is_newer() {
    let mut bench = shaft("");
    bench.reads("20.046");
    let with = |bench: &Bench, after: u64| -> Snapshot {
        let text = "The gauge sent a state and no value.".to_owned();
        let message = Some(Message {
            after,
            number: 1,
            text,
        });
        Snapshot {
            message,
            ..snapshot(bench)
        }
    };
    let seen = |snapshot: &Snapshot, desk: &Desk| bench_view(snapshot, desk, 0).status.message;
    let told = with(&bench, snapshot(&bench).head);
    let desk = Desk::default();
    assert_eq!(
        seen(&told, &desk).as_deref(),
        Some("The gauge sent a state and no value.")
    );
    let after = snapshot(&bench).head;
    bench.reads("20.008");
    assert_eq!(seen(&with(&bench, after), &desk), None);
    let desk = Desk {
        fault: Some("Two decimal markers.".to_owned()),
        ..desk
    };
    assert_eq!(seen(&told, &desk).as_deref(), Some("Two decimal markers."));
}

#[test]
fn the_header_names_part_drawing_and_who_measures() {
    let text = format!(
        "drawing = \"GP-07\"\nrevision = \"B\"\n{}",
        feature("A", "20 k6", "")
    );
    let header = shown(&Bench::new(plan(&text))).header;
    assert_eq!(header.part_name, "Pump shaft");
    assert_eq!(header.drawing, "GP-07 rev B");
    assert_eq!(header.operator, "Ada");
    assert_eq!(header.part, "part 1");
}

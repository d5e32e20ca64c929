//! The routine step by step, over simulated gauges behind a simulated line.

use std::collections::VecDeque;
use std::sync::Arc;

use fitledger::gauge::Date;
use fitledger::quantity::Length;
use fitledger::session::{AskedPort, Awaited, Patience, Teaching, listen_press};
use fitledger::wire::{
    Adapter, Decoded, Port, PortError, PortFault, TeachProblem, Trigger, captured_lesson,
    decode_groups, line_text,
};

use crate::support::taught_gauges::{Gauge, binary_gauges, text_gauges, through_line};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn of_text(trigger: &str) -> Trigger {
    let text = format!("trigger {trigger}\n");
    captured_lesson(&text, mm("0.02")).unwrap().trigger
}

/// What a sentence asks to be measured, less what it says to be zeroed on, nanometres.
fn asked_nm(sentence: &str) -> i64 {
    let number = |after: &str| {
        let rest = &sentence[sentence.find(after)? + after.len()..];
        Some(mm(rest.split(' ').next().unwrap()).as_nm())
    };
    let size = number("easure ").unwrap();
    size - number("Zero the gauge on ").unwrap_or(0)
}

/// Whether a gauge that waits for one request hears it in the other.
fn same_request(one: &Trigger, other: &Trigger) -> bool {
    match (one, other) {
        (Trigger::Request { send, .. }, Trigger::Request { send: other, .. }) => send == other,
        (one, other) => one == other,
    }
}

/// Goes through the routine as a user with this gauge would; at most so many steps.
fn taught(gauge: &Gauge, sizes: &[&str], answers: VecDeque<bool>) -> Teaching {
    taught_with(gauge, sizes, answers, Vec::new())
}

/// The same, with requests that the user names.
fn taught_with(
    gauge: &Gauge,
    sizes: &[&str],
    mut answers: VecDeque<bool>,
    named: Vec<Vec<u8>>,
) -> Teaching {
    let sizes: Vec<Length> = sizes.iter().map(|text| mm(text)).collect();
    let wanted = of_text(gauge.trigger);
    let is_named = !named.is_empty();
    let mut teaching = Teaching::new(&sizes, mm("12.345"), mm("0.02"), None).asking_with(named);
    for _ in 0..300 {
        let prompt = teaching.prompt();
        let presses = prompt.sentence.contains("data button");
        assert!(!is_named || !presses, "{}", prompt.sentence);
        match prompt.awaited {
            Awaited::End => return teaching,
            Awaited::Answer => {
                let can = match prompt.sentence.as_str() {
                    text if text.contains("unit key") => gauge.unit_sent,
                    text if text.contains("below zero") => gauge.signed,
                    _ => answers.pop_front().unwrap_or(true),
                };
                teaching.answer(can);
            }
            Awaited::Bytes {
                line,
                trigger,
                quiet,
                ..
            } => {
                let streams = wanted == Trigger::Stream;
                let speaks = streams
                    || (wanted == Trigger::Unsolicited && !quiet)
                    || (same_request(&wanted, &trigger) && !quiet);
                if !speaks {
                    teaching.heard(Vec::new());
                    continue;
                }
                let nm = if quiet { 0 } else { asked_nm(&prompt.sentence) };
                let inch = prompt.sentence.starts_with("Press the gauge's unit key");
                let sent = gauge.send(nm + 1_300, inch);
                let line = line_text(line);
                let count = if streams { 4 } else { 1 };
                let heard = through_line(&sent, gauge.line, &line);
                teaching.heard(vec![heard; count]);
            }
        }
    }
    panic!("{} never ends", gauge.name);
}

const SIZES: [&str; 3] = ["1.005", "7.5", "20"];

#[test]
fn the_routine_finds_speed_way_of_asking_and_adapter_of_every_family() {
    let day = Date::new(2026, 11, 26).unwrap();
    let mut learnt = 0;
    for gauge in text_gauges().into_iter().chain(binary_gauges()) {
        let way = gauge
            .trigger
            .trim_end_matches(|c: char| c.is_ascii_digit())
            .trim();
        let tried = [
            "unsolicited",
            "stream",
            "pulse rts",
            "request 0d",
            "request 520d",
            "request 05",
        ];
        if !tried.contains(&way) {
            continue;
        }
        let teaching = taught(&gauge, &SIZES, VecDeque::new());
        let finding = teaching.finding();
        assert_eq!(finding.problem, None, "{}: {finding:#?}", gauge.name);
        let text = teaching.adapter_text("bench", day).unwrap();
        assert!(text.contains("on = 2026-11-26") && text.contains("name = \"bench\""));
        let adapter = Arc::new(Adapter::from_text(&text, None).unwrap());
        assert_eq!(adapter.name(), "bench");
        let wanted = of_text(gauge.trigger);
        assert!(same_request(adapter.trigger(), &wanted), "{}", gauge.name);
        let sent = gauge.send(9_990_000, false);
        let expected = gauge.count(9_990_000, false) * gauge.step_nm[0];
        match decode_groups(&adapter, &[sent]).as_slice() {
            [Decoded::Reading(reading)] => {
                assert_eq!(reading.length.unwrap().as_nm(), expected, "{}", gauge.name);
            }
            other => panic!("{}: {other:?}", gauge.name),
        }
        learnt += 1;
    }
    assert!(learnt >= 18, "{learnt}");
}

/// Gauges whose requests nobody would guess: `!`, and registers of a numbered station.
#[test]
fn a_request_that_the_user_names_is_sent_without_a_question_and_before_all_guesses() {
    let day = Date::new(2026, 11, 26).unwrap();
    let mut learnt = Vec::new();
    for gauge in text_gauges().into_iter().chain(binary_gauges()) {
        let Trigger::Request { send, .. } = of_text(gauge.trigger) else {
            continue;
        };
        // The wrong one first: the next is tried when it brings nothing.
        let named = vec![b"?\r".to_vec(), send];
        let no_leave = VecDeque::from([false; 8]);
        let teaching = taught_with(&gauge, &SIZES, no_leave, named);
        let text = teaching.adapter_text("bench", day);
        let text = text.unwrap_or_else(|| panic!("{}: {:#?}", gauge.name, teaching.finding()));
        let adapter = Adapter::from_text(&text, None).unwrap();
        let wanted = of_text(gauge.trigger);
        assert!(same_request(adapter.trigger(), &wanted), "{}", gauge.name);
        learnt.push(gauge.trigger.split(' ').nth(1).unwrap());
    }
    assert!(
        learnt.contains(&"21") && learnt.contains(&"010300000002c40b"),
        "{learnt:?}"
    );
}

#[test]
fn a_silent_gauge_is_spoken_to_only_with_leave_and_told_as_silent_in_the_end() {
    let gauges = text_gauges();
    let gauge = gauges
        .iter()
        .find(|gauge| gauge.name == "sum-check")
        .unwrap();
    let teaching = taught(gauge, &SIZES, VecDeque::from([false; 9]));
    assert_eq!(teaching.finding().problem, Some(TeachProblem::NothingHeard));
    assert!(teaching.lesson().trigger == Trigger::Unsolicited);
    let day = Date::new(2026, 11, 26).unwrap();
    assert_eq!(teaching.adapter_text("bench", day), None);
}

#[test]
fn an_adapter_that_needs_a_line_at_rest_is_found_and_its_file_says_so() {
    let gauges = text_gauges();
    let named = |gauge: &&Gauge| gauge.name == "line-free";
    let gauge = gauges.iter().find(named).unwrap();
    let sizes = SIZES.map(mm);
    let mut teaching = Teaching::new(&sizes, mm("12.345"), mm("0.02"), None);
    let mut asked = Vec::new();
    for _ in 0..300 {
        let prompt = teaching.prompt();
        match prompt.awaited {
            Awaited::End => break,
            Awaited::Answer => {
                let is_way = prompt.sentence.starts_with("Nothing came.");
                if is_way {
                    asked.push(prompt.sentence.clone());
                }
                teaching.answer(is_way);
            }
            // It has power only while RTS is off and DTR on.
            Awaited::Bytes { line, quiet, .. } if quiet || line.rts || !line.dtr => {
                teaching.heard(Vec::new());
            }
            Awaited::Bytes { line, .. } => {
                let bytes = gauge.send(asked_nm(&prompt.sentence), false);
                teaching.heard(vec![through_line(&bytes, gauge.line, &line_text(line))]);
            }
        }
    }
    // Said before it was done, and the first way was enough.
    assert_eq!(asked.len(), 1, "{asked:?}");
    assert!(asked[0].contains("DTR be on and RTS be off"), "{asked:?}");
    let day = Date::new(2026, 11, 26).unwrap();
    let text = teaching.adapter_text("bench", day).unwrap();
    let adapter = Adapter::from_text(&text, Some("bench")).unwrap();
    let line = adapter.line().unwrap();
    assert_eq!((line.dtr, line.rts), (true, false), "{text}");
}

#[test]
fn a_first_size_that_is_mistyped_is_found_after_all_settings_or_named() {
    let gauges = text_gauges();
    let gauge = gauges
        .iter()
        .find(|gauge| gauge.name == "line-free")
        .unwrap();
    let mut teaching = Teaching::new(
        &[mm("1.5"), mm("7.5"), mm("20")],
        mm("12"),
        mm("0.02"),
        None,
    );
    for _ in 0..100 {
        let prompt = teaching.prompt();
        match prompt.awaited {
            Awaited::End => break,
            Awaited::Answer => teaching.answer(false),
            Awaited::Bytes { quiet: true, .. } => teaching.heard(Vec::new()),
            Awaited::Bytes { line, .. } => {
                let nm = match asked_nm(&prompt.sentence) {
                    1_500_000 => 5_100_000,
                    other => other,
                };
                let bytes = gauge.send(nm, false);
                teaching.heard(vec![through_line(&bytes, gauge.line, &line_text(line))]);
            }
        }
    }
    let problem = teaching.finding().problem;
    let (typed, read) = (mm("1.5"), mm("5.1"));
    assert_eq!(problem, Some(TeachProblem::Mistyped { typed, read }));
    let sentence = teaching.prompt().sentence;
    assert!(
        sentence.contains("1.500 mm") && sentence.contains("5.100 mm"),
        "{sentence}"
    );
}

/// A port whose bytes come at given times; each read waits at most 250 ms.
struct TimedPort {
    now_ms: std::rc::Rc<std::cell::Cell<u64>>,
    bytes: VecDeque<(u64, Vec<u8>)>,
    asked: Vec<Trigger>,
}

impl Port for TimedPort {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize, PortError> {
        let now = self.now_ms.get();
        match self.bytes.front() {
            Some((at, bytes)) if *at <= now + 250 => {
                self.now_ms.set(now.max(*at));
                let count = bytes.len();
                buffer[..count].copy_from_slice(bytes);
                self.bytes.pop_front();
                Ok(count)
            }
            _ => {
                self.now_ms.set(now + 250);
                Err(PortError {
                    fault: PortFault::Timeout,
                    port: "test".to_owned(),
                    errno: None,
                    found: String::new(),
                })
            }
        }
    }

    fn write(&mut self, _: &[u8]) -> Result<(), PortError> {
        Ok(())
    }
}

impl AskedPort for TimedPort {
    fn ask(&mut self, trigger: &Trigger) -> Result<(), PortError> {
        self.asked.push(trigger.clone());
        Ok(())
    }
}

#[test]
fn a_press_is_cut_at_pauses_and_what_came_before_the_prompt_is_thrown_away() {
    let patience = Patience {
        first_ms: 2_000,
        silent_ms: 300,
        longest_ms: 1_500,
    };
    let run = |bytes: &[(u64, &str)], drain: bool| {
        let now_ms = std::rc::Rc::new(std::cell::Cell::new(1_000));
        let bytes = bytes
            .iter()
            .map(|(at, text)| (*at, text.as_bytes().to_vec()));
        let mut port = TimedPort {
            now_ms: now_ms.clone(),
            bytes: bytes.collect(),
            asked: Vec::new(),
        };
        let mut clock = || now_ms.get();
        let trigger = of_text("request 0d 500");
        let heard = listen_press(&mut port, &trigger, patience, drain, &mut clock).unwrap();
        assert_eq!(port.asked, [trigger]);
        let heard: Vec<String> = heard
            .into_iter()
            .map(|chunk| String::from_utf8(chunk).unwrap())
            .collect();
        (heard, now_ms.get())
    };
    let (heard, _) = run(&[(1_400, "a"), (1_410, "b"), (1_445, "c")], false);
    assert_eq!(heard, ["ab", "c"]);
    let (heard, _) = run(&[(900, "old"), (950, "older"), (1_400, "new")], false);
    assert_eq!(heard.concat(), "oldoldernew");
    let (heard, _) = run(
        &[(900, "old"), (950, "older"), (1_400, "x"), (1_450, "new")],
        true,
    );
    assert!(!heard.concat().contains("old"), "{heard:?}");
    let (heard, end) = run(&[], false);
    assert!(heard.is_empty() && (3_000..3_300).contains(&end), "{end}");
    // A stream never falls silent.
    let stream: Vec<(u64, &str)> = (0..400).map(|at| (1_300 + at * 50, "s")).collect();
    let (heard, end) = run(&stream, false);
    assert!((28..34).contains(&heard.len()), "{}", heard.len());
    assert!(end < 3_000, "{end}");
}

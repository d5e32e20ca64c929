//! Nothing needs a mouse: in every room whatever can be pointed at is a press that a key makes, or
//! leads where keys lead too.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic)]

use eframe::egui::accesskit::Role;
use eframe::egui::{Event, Modifiers, PointerButton, Pos2};
use egui_kittest::kittest::{By, NodeT, Queryable};
use fitledger::session::{Begin, What};
use fitledger::window::keys::Keyboard;
use fitledger::window::press::Press;

use crate::shell::{Desk, events_of};

const PLAN: &str = "[part]\nname = \"Pump housing\"\n\
    [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\nname = \"seat\"\nalong = [0, 14]\n\
    [[feature]]\nid = \"B\"\ncallout = \"15 h6\"\nalong = [14, 40]\n\
    [[feature]]\nid = \"H\"\ncallout = \"20 H7\"\n\
    [[feature]]\nid = \"T\"\ncallout = \"M10-6H\"\n\
    [[feature]]\nid = \"K\"\ncallout = \"15 H7\"\n\
    [[pair]]\nhole = \"H\"\nshaft = \"A\"\nintended = \"20 H7/k6\"\n\
    [[pair]]\nhole = \"K\"\nshaft = \"B\"\nintended = \"15 H7/h6\"\n";
const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
    resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n\
    [[gauge]]\nid = \"caliper\"\nkind = \"caliper\"\nrange = [0, 150]\nresolution = 0.01\n";

/// A moment of the window: the keys that lead there, from a session with two parts begun.
struct Place {
    name: &'static str,
    keys: &'static str,
    /// Keys that do what pointing at the one of that number does.
    choose: fn(usize) -> String,
}

fn none(_: usize) -> String {
    String::new()
}

/// From the one that is at hand in [`begun`], the third, to another, with these keys for back and
/// on.
fn steps(at: usize, back: &str, on: &str) -> String {
    match at.checked_sub(2) {
        Some(after) => on.repeat(after),
        None => back.repeat(2 - at),
    }
}

/// The rows of the Bench; pointing at the one at hand leaves the answer, as Enter does.
fn rows(at: usize) -> String {
    match at {
        2 => "⏎".to_owned(),
        at => steps(at, "↑", "↓"),
    }
}

fn place(name: &'static str, keys: &'static str, choose: fn(usize) -> String) -> Place {
    Place { name, keys, choose }
}

fn places() -> Vec<Place> {
    let chosen = |at: usize| "+".repeat(at);
    let entered = |at: usize| format!("{}⏎", "↓".repeat(at));
    vec![
        place("Bench", "", rows),
        place("why", "w", |at| format!("w{}", rows(at))),
        place("glance", "g", rows),
        place("the list", ".", none),
        place("look", ".9", none),
        place("close", ".0", none),
        place("decide", "d", none),
        place("void", "⌫", none),
        place("temperature", "t", none),
        place("next part", "/", none),
        place("held", "200.08⏎", rows),
        place("typing", "20", |at| format!("⌫⌫{}20", rows(at))),
        place("calibrate", ".98", none),
        place("Pairs", "③", chosen),
        place("Batch", "④", none),
        place("Batch table", "④0", |at| steps(at, "-", "+")),
        place("Batch capability", "④5", none),
        place("Batch keep", "④1/", none),
        place("Records", "⑤", entered),
        place("Records sheet", "⑤⏎", none),
        place("Records list", "⑤⏎⏎", none),
        place("Gauges", "⑥", chosen),
        place("Gauges live", "⑥2", chosen),
        place("Gauges zero", "⑥5", chosen),
        place("Gauges teach", "⑥7", chosen),
        place("Gauges study", "⑥8", chosen),
        place("closed", ".0+", none),
        place("explained", "⑦", |at| format!("⑦{}", rows(at))),
    ]
}

/// So many windows, opened together: what one session writes, and how long its window waits for it,
/// costs no time of the others.
type Open = fn(usize) -> Vec<Desk<'static>>;

/// Sessions with a part measured in two of its characteristics.
fn begun(count: usize) -> Vec<Desk<'static>> {
    let desk = |_| {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
        let plan = folder.path().join("housing.toml");
        std::fs::write(&plan, PLAN).unwrap();
        let mut begin = Begin::new(What::Plan(plan));
        begin.gauges = vec!["mic=typed".to_owned()];
        begin.operator = "Ada".to_owned();
        Desk::open_in(folder, Some(begin))
    };
    let mut desks: Vec<Desk<'_>> = (0..count).map(desk).collect();
    Desk::wait_all(&mut desks, "session_opened", 1);
    for (number, reading) in ["20.008⏎", "14.995⏎"].into_iter().enumerate() {
        for desk in &mut desks {
            desk.keys_quickly(reading);
        }
        Desk::wait_all(&mut desks, "verdict_given", number + 1);
    }
    desks
}

fn start_rooms(count: usize) -> Vec<Desk<'static>> {
    let desk = |_| {
        let folder = tempfile::tempdir().unwrap();
        std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
        std::fs::write(folder.path().join("housing.toml"), PLAN).unwrap();
        Desk::open_in(folder, None)
    };
    (0..count).map(desk).collect()
}

fn settled(desks: &mut [Desk<'_>]) {
    for _ in 0..3 {
        std::thread::sleep(std::time::Duration::from_millis(10));
        for desk in desks.iter_mut() {
            desk.harness.step();
        }
    }
}

/// Waits until these can be pointed at.
fn show(desk: &mut Desk<'_>, all: &[(String, Pos2)]) {
    for _ in 0..200 {
        if buttons(desk) == all {
            return;
        }
        std::thread::sleep(std::time::Duration::from_millis(20));
        desk.harness.step();
    }
    panic!("{:?} are {all:?}", buttons(desk));
}

/// So many windows at that place.
fn at(place: &Place, open: Open, count: usize) -> Vec<Desk<'static>> {
    let mut desks = open(count);
    for key in place.keys.chars() {
        for desk in &mut desks {
            desk.keys(&key.to_string());
        }
        settled(&mut desks);
    }
    desks
}

/// What can be pointed at: name and middle of each.
fn buttons(desk: &Desk<'_>) -> Vec<(String, Pos2)> {
    let all = desk.harness.query_all(By::new().role(Role::Button));
    all.filter(|node| node.rect().is_positive())
        .map(|node| {
            let label = node.accesskit_node().label().unwrap_or_default();
            (label, node.rect().center())
        })
        .collect()
}

fn click(desk: &mut Desk<'_>, place: Pos2) -> Vec<Press> {
    let button = |pressed| Event::PointerButton {
        pos: place,
        button: PointerButton::Primary,
        pressed,
        modifiers: Modifiers::NONE,
    };
    let mut pointed = Vec::new();
    for events in [
        vec![Event::PointerMoved(place), button(true)],
        vec![button(false)],
    ] {
        desk.harness.input_mut().events.extend(events);
        desk.harness.step();
        pointed.extend_from_slice(desk.window().pointed());
    }
    // A pointer that rests has what it rests on explained.
    desk.harness.input_mut().events.push(Event::PointerGone);
    pointed
}

/// The keys that a keyboard makes that press with, if there are any.
fn key_of(press: &Press) -> Option<char> {
    let all = "0123456789.+-*/⏎⌫␛ ↑↓①②③④⑤⑥⑦"
        .chars()
        .chain('a'..='z')
        .chain('A'..='Z');
    let makes = |key: &char| {
        let mut keyboard = Keyboard::default();
        let mut presses = keyboard.take(&events_of(*key), 1_000);
        presses.extend(keyboard.take(&[], 2_000));
        presses == [press.clone()]
    };
    all.filter(makes).collect::<Vec<char>>().first().copied()
}

/// Everything that is said on the screen, for those who do not see it.
fn said(desk: &Desk<'_>) -> Vec<String> {
    let all = desk.harness.query_all(By::new());
    let all = all.filter_map(|node| node.accesskit_node().label());
    // On the way there keys may choose what lies between, which is recorded.
    all.filter(|label| !label.starts_with("recorded: event"))
        .collect()
}

/// What is said once nothing has changed for a while: a choice goes through the session.
fn rested(desks: &mut [Desk<'_>]) -> Vec<Vec<String>> {
    let (mut before, mut still) = (Vec::new(), 0);
    while still < 8 && !desks.is_empty() {
        std::thread::sleep(std::time::Duration::from_millis(20));
        desks.iter_mut().for_each(|desk| desk.harness.step());
        let now: Vec<Vec<String>> = desks.iter().map(said).collect();
        still = if now == before { still + 1 } else { 0 };
        before = now;
    }
    before
}

/// Each button of that place is a press of a key, or does what keys do. Answers those that are
/// neither, and how many there are. So many windows are there together.
fn not_by_key(place: &Place, (open, together): (Open, usize)) -> (Vec<String>, usize) {
    let mut first = at(place, open, 1);
    // What is read beside the window comes when it comes.
    settled(&mut first);
    let all = buttons(&first[0]);
    drop(first);
    // The tabs are the same everywhere.
    let is_tab = |label: &str| {
        label.starts_with('F') && label.as_bytes().get(1).is_some_and(u8::is_ascii_digit)
    };
    let asked = all.iter();
    let asked = asked.filter(|(label, _)| place.name == "Bench" || !is_tab(label));
    let asked: Vec<&(String, Pos2)> = asked.collect();
    let (mut wrong, mut led, mut by_pointer) = (Vec::new(), Vec::new(), Vec::new());
    for asked in asked.chunks(together) {
        let mut pointed = Vec::new();
        for ((label, middle), mut desk) in asked.iter().zip(at(place, open, asked.len())) {
            show(&mut desk, &all);
            let presses = click(&mut desk, *middle);
            let told = format!("{}: “{label}” is {presses:?}", place.name);
            match presses.as_slice() {
                [] => wrong.push(told),
                [press @ (Press::Choose(_) | Press::Verdict)] => {
                    // Of those that lead to one of many: the first two and the last.
                    if led.len() > 2 {
                        led.pop();
                        if pointed.pop().is_none() {
                            by_pointer.pop();
                        }
                    }
                    led.push((label.clone(), press.clone()));
                    pointed.push(desk);
                }
                presses if presses.iter().all(|press| key_of(press).is_some()) => {}
                _ => wrong.push(told),
            }
        }
        by_pointer.extend(rested(&mut pointed));
    }
    let pressed = at(place, open, led.len());
    let led = led.into_iter().zip(by_pointer);
    for (((label, press), by_pointer), mut pressed) in led.zip(pressed) {
        let keys = match (&press, place.name) {
            // Where words are filled in, it is no button: nothing happens.
            (Press::Verdict, "temperature") => String::new(),
            (Press::Verdict, "explained") => "⑦w".to_owned(),
            (Press::Choose(number), _) => (place.choose)(*number),
            _ => "w".to_owned(),
        };
        // Each key after what the one before it did is seen.
        for key in keys.chars() {
            pressed.keys(&key.to_string());
            settled(std::slice::from_mut(&mut pressed));
        }
        let mut by_keys = said(&pressed);
        for _ in 0..200 {
            if by_keys == by_pointer {
                break;
            }
            settled(std::slice::from_mut(&mut pressed));
            by_keys = said(&pressed);
        }
        if by_pointer != by_keys {
            let only = |one: &[String], two: &[String]| -> Vec<String> {
                one.iter()
                    .filter(|label| !two.contains(label))
                    .cloned()
                    .collect()
            };
            let other = (only(&by_pointer, &by_keys), only(&by_keys, &by_pointer));
            wrong.push(format!("{}: “{label}”, {press:?}: {other:?}", place.name));
        }
    }
    (wrong, all.len())
}

/// Every third place from that one on: three tests share the work.
fn every_third(from: usize) {
    let (mut wrong, mut count) = (Vec::new(), 0);
    for place in places().iter().skip(from).step_by(3) {
        let (found, buttons) = not_by_key(place, (begun, 30));
        assert!(buttons > 0, "{}", place.name);
        wrong.extend(found);
        count += buttons;
    }
    assert_eq!(wrong, [""; 0]);
    assert!(count > 60, "{count}");
}

#[test]
fn whatever_can_be_pointed_at_is_a_key() {
    every_third(0);
}

#[test]
fn whatever_can_be_pointed_at_is_a_key_second() {
    every_third(1);
}

#[test]
fn whatever_can_be_pointed_at_is_a_key_third() {
    every_third(2);
}

#[test]
fn whatever_can_be_pointed_at_in_the_start_room_is_a_key() {
    let number = |at: usize| format!("{}⏎", at + 1);
    let places = [
        place("Start", "", number),
        place("which gauge", "20 k6⏎", number),
    ];
    for place in &places {
        // Gauges there may stand for one port of this machine, which one window at a time can
        // have, and which another program may have meanwhile: then it is tried again.
        let found = (0..4).map(|_| not_by_key(place, (start_rooms, 1)));
        let is_last =
            |(at, (wrong, _)): &(usize, (Vec<String>, usize))| wrong.is_empty() || *at == 3;
        let (_, (wrong, buttons)) = found.enumerate().find(is_last).unwrap();
        assert_eq!(wrong, [""; 0]);
        assert!(buttons > 2, "{}", place.name);
    }
}

#[test]
fn a_press_that_no_key_makes_is_seen_as_one() {
    assert_eq!(key_of(&Press::Room(6)), Some('⑥'));
    assert_eq!(key_of(&Press::Letter('w')), Some('w'));
    assert_eq!(key_of(&Press::Choose(0)), None);
    assert_eq!(key_of(&Press::Verdict), None);
}

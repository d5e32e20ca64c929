//! Whole batches through the real window with a real session on a real disk, and no mouse: with
//! the gauge's button alone, with the keypad alone, with a foot switch alone.
#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::panic)]

use std::collections::BTreeMap;
use std::sync::mpsc::{Sender, channel};
use std::time::Duration;

use eframe::egui::{Event as Input, Key};
use fitledger::journal::{DiskFolder, Event, Outcome, StorageFolder, outcome_text};
use fitledger::session::{Advance, Begin, Check, PartState, What, replay_with, session_parts};

use egui_kittest::kittest::Queryable;

use crate::shell::{Desk, events_of};
use crate::support::program::{FarEnd, Shop};

/// Limits of ISO 286-2:2010: k6 over 18 to 30 +15 and +2 µm; h6 over 10 to 18 0 and -11 µm.
const PLAN: &str = "[part]\nname = \"Pump shaft\"\n\
                    [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\npoints = 2\ngauge = [\"mic\"]\n\
                    [[feature]]\nid = \"B\"\ncallout = \"15 h6\"\npoints = 2\ngauge = [\"mic\"]\n";
const GAUGES: &str = "[[gauge]]\nid = \"mic\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\n\
                      resolution = 0.001\nmpe = 0.002\nrepeatability = 0.0005\n";
/// Plain lines of a gauge that never stops sending.
pub(crate) const LIVE: &str = "\
line = { baud = 9600, data_bits = 8, parity = \"none\", stop_bits = 1 }\n\
trigger = { kind = \"stream\" }\n\
frame = { kind = \"terminated\", terminator = \"cr\", max_bytes = 24 }\n\
fields = { kind = \"pattern\", pattern = '^(?P<num>[0-9]+[.][0-9]+)$' }\n\
number = { decimal = \"point\", decimals = 3 }\n\
unit = { rule = \"fixed\", value = \"mm\" }\n";

fn batch(gauge: &str, advance: Advance) -> Desk<'static> {
    let folder = tempfile::tempdir().unwrap();
    std::fs::write(folder.path().join("gauges.toml"), GAUGES).unwrap();
    std::fs::create_dir(folder.path().join("adapters")).unwrap();
    std::fs::write(folder.path().join("adapters/live.toml"), LIVE).unwrap();
    let plan = folder.path().join("shaft.toml");
    std::fs::write(&plan, PLAN).unwrap();
    let mut begin = Begin::new(What::Plan(plan));
    begin.gauges = vec![gauge.to_owned()];
    begin.operator = "Ada".to_owned();
    begin.parts = Some(3);
    begin.advance_always = advance == Advance::Always;
    begin.advance_rework = advance == Advance::Rework;
    let mut desk = Desk::open_in(folder, Some(begin));
    desk.wait("session_opened", 1);
    desk
}

/// The one journal, its program gone: sound, every verdict derived anew and the same, and the
/// parts as they are told. Answers how often each kind of event is in it.
fn ended(mut desk: Desk<'_>, parts: [PartState; 3]) -> BTreeMap<String, usize> {
    let touched = desk.harness.ctx.input(|input| input.pointer.latest_pos());
    assert_eq!(touched, None, "the pointer was never used");
    desk.harness.state_mut().as_mut().unwrap().stop();
    let Desk { harness, folder } = desk;
    drop(harness);
    let sessions = DiskFolder::new(folder.path().join("sessions"));
    let entries = std::fs::read_dir(sessions.path()).unwrap();
    let names: Vec<String> = entries
        .map(|entry| entry.unwrap().file_name().into_string().unwrap())
        .filter(|name| name.ends_with(".jsonl"))
        .collect();
    let [name] = names.as_slice() else {
        panic!("{names:?}")
    };
    // The program's own check, as a person calls it.
    let journal = folder.path().join("sessions").join(name);
    let shop = Shop::new();
    let verified = shop.verified(&journal);
    assert!(verified["state"] == "sound" || verified["state"] == "not_closed");
    let files = session_parts(&sessions, name).unwrap();
    let (mut kinds, mut last) = (BTreeMap::new(), BTreeMap::new());
    let open = |part: &fitledger::journal::Part| sessions.open_read(&part.name);
    let (_, replayed) = replay_with(&files, open, Check::Verdicts, |told| {
        *kinds.entry(told.event.kind().to_owned()).or_default() += 1;
        if let Event::VerdictGiven(verdict) = told.event {
            let place = &verdict.place;
            let key = (place.part, place.feature.clone());
            last.insert(key, verdict.outcome);
        }
    })
    .unwrap();
    assert_eq!(replayed.faults, Vec::new());
    let state = replayed.state.unwrap();
    let found: Vec<PartState> = state.parts().iter().map(|part| part.state()).collect();
    assert_eq!(found, parts);
    // What stands last in the journal is what the parts came to.
    for part in state.parts().iter() {
        for (target, one) in state.setup().targets.iter().zip(&part.characteristics) {
            let told: &Outcome = &last[&(part.number, target.feature.clone())];
            assert_eq!(
                one.settled,
                Some(*told),
                "{} {}",
                part.number,
                target.feature
            );
        }
    }
    assert_eq!(last.len(), 6);
    assert!(
        last.values()
            .all(|outcome| outcome_text(*outcome) != "INSIDE")
    );
    kinds
}

fn count(kinds: &BTreeMap<String, usize>, kind: &str) -> usize {
    kinds.get(kind).copied().unwrap_or(0)
}

#[test]
fn with_the_gauges_button_alone() {
    let mut far = FarEnd::new();
    let mut desk = batch(
        &format!("mic=serial:{}@line-free", far.path),
        Advance::Always,
    );
    desk.wait("gauge_state_changed", 1);
    let mut press = |desk: &mut Desk<'_>, value: &str, kind: &str| {
        let before = desk.count(kind);
        far.send(format!("{value}\r\n").as_bytes());
        desk.wait(kind, before + 1);
    };
    for value in ["20.008", "20.009", "14.995", "14.996"] {
        press(&mut desk, value, "verdict_given");
    }
    // The gauge stood on inches: the slip waits, and measuring again answers it.
    press(&mut desk, "0.7877", "reading_held");
    press(&mut desk, "20.007", "reading_set_aside");
    desk.wait("verdict_given", 5);
    // Metal gone: the part is lost, and the batch goes on.
    for value in ["19.990", "14.994", "14.995"] {
        press(&mut desk, value, "verdict_given");
    }
    for value in ["20.010", "20.008", "14.996", "14.994"] {
        press(&mut desk, value, "verdict_given");
    }
    let kinds = ended(desk, [PartState::Go, PartState::NoGo, PartState::Go]);
    assert_eq!(count(&kinds, "reading_received"), 13);
    assert_eq!(count(&kinds, "verdict_given"), 12);
}

#[test]
fn with_the_keypad_alone() {
    let mut desk = batch("mic=typed", Advance::Go);
    let mut verdicts = 0;
    let mut typed = |desk: &mut Desk<'_>, keys: &str| {
        // Nothing but what a keypad has, and Backspace beside it.
        assert!(keys.chars().all(|key| "0123456789.+-*/⏎⌫".contains(key)));
        let events = keys.chars().flat_map(events_of);
        let is_key = |event: &Input| match event {
            Input::Key { key, .. } => *key != Key::Escape,
            Input::Text(_) => true,
            _ => false,
        };
        assert!(events.into_iter().all(|event| is_key(&event)));
        desk.keys(keys);
    };
    let mut verdict =
        |desk: &mut Desk<'_>, typed: &mut dyn FnMut(&mut Desk<'_>, &str), keys: &str| {
            verdicts += 1;
            typed(desk, keys);
            desk.wait("verdict_given", verdicts);
        };
    // Cutting, from the list: what is left is told, and no verdict is given.
    typed(&mut desk, ".1");
    desk.wait("cutting_switched", 1);
    typed(&mut desk, "20.300⏎");
    desk.wait("cutting_noted", 1);
    typed(&mut desk, ".1");
    desk.wait("cutting_switched", 2);
    verdict(&mut desk, &mut typed, "20.00⌫08⏎");
    verdict(&mut desk, &mut typed, "⏎20.009⏎");
    verdict(&mut desk, &mut typed, "14.995⏎");
    // Still too large: it is cut again, and the old reading does not count any more.
    verdict(&mut desk, &mut typed, "15.030⏎");
    typed(&mut desk, ".1");
    desk.wait("cutting_switched", 3);
    typed(&mut desk, "15.010⏎");
    desk.wait("cutting_noted", 2);
    typed(&mut desk, ".1");
    desk.wait("cutting_switched", 4);
    verdict(&mut desk, &mut typed, "14.996⏎");
    // The next part by its key; a slip of the finger is held, and set aside.
    typed(&mut desk, "/");
    desk.wait("part_started", 2);
    typed(&mut desk, "200.08⏎");
    desk.wait("reading_held", 1);
    typed(&mut desk, "-");
    desk.wait("reading_set_aside", 1);
    verdict(&mut desk, &mut typed, "20.006⏎");
    // The same point once more; and one that does not count, with the reason from the list.
    typed(&mut desk, "*");
    verdict(&mut desk, &mut typed, "20.007⏎");
    typed(&mut desk, "⌫1");
    desk.wait("reading_voided", 1);
    // What is left of the point is judged again.
    desk.wait("verdict_given", 8);
    verdicts = 8;
    let mut verdict = |desk: &mut Desk<'_>, keys: &str| {
        verdicts += 1;
        typed(desk, keys);
        desk.wait("verdict_given", verdicts);
    };
    for keys in ["20.008⏎", "14.994⏎", "14.995⏎"] {
        verdict(&mut desk, keys);
    }
    for keys in ["⏎⏎20.008⏎", "20.010⏎", "14.995⏎", "14.996⏎"] {
        verdict(&mut desk, keys);
    }
    // The last part is done: Enter asks, + closes for good.
    desk.keys("⏎⏎+");
    desk.wait("session_closed", 1);
    let kinds = ended(desk, [PartState::Go; 3]);
    assert_eq!(count(&kinds, "reading_voided"), 1);
    assert_eq!(count(&kinds, "part_started"), 3);
}

/// The values that a gauge shows, sent all the time.
pub(crate) fn streaming(mut far: FarEnd) -> Sender<String> {
    let (values, next) = channel::<String>();
    std::thread::spawn(move || {
        let mut value = next.recv().unwrap_or_default();
        loop {
            match next.recv_timeout(Duration::from_millis(10)) {
                Ok(newer) => value = newer,
                Err(std::sync::mpsc::RecvTimeoutError::Timeout) => {}
                // The test is over.
                Err(std::sync::mpsc::RecvTimeoutError::Disconnected) => return,
            }
            far.send(format!("{value}\r").as_bytes());
        }
    });
    values
}

/// The stream goes on to that value, which stands on the screen before the foot moves.
fn shows(desk: &mut Desk<'_>, values: &Sender<String>, value: &str) {
    values.send(value.to_owned()).unwrap();
    let live = format!("live {value} mm, not recorded");
    for _ in 0..400 {
        if desk.harness.query_by_label_contains(&live).is_some() {
            return;
        }
        std::thread::sleep(Duration::from_millis(5));
        desk.harness.step();
    }
    panic!("{live} is not seen");
}

/// One after the other, with a pedal that sends that key.
fn with_a_pedal(pedal: char) {
    let far = FarEnd::new();
    let mut desk = batch(&format!("mic=serial:{}@live", far.path), Advance::Always);
    desk.wait("gauge_state_changed", 1);
    let values = streaming(far);
    let step = pedal.to_string();
    let shows = |desk: &mut Desk<'_>, value: &str| shows(desk, &values, value);
    let mut verdicts = 0;
    let mut measured = |desk: &mut Desk<'_>, value: &str| {
        shows(desk, value);
        verdicts += 1;
        desk.keys(&step);
        desk.wait("verdict_given", verdicts);
        // Away from the answer; nothing is taken by that.
        desk.keys(&step);
    };
    for value in ["20.008", "20.009", "14.995", "14.996"] {
        measured(&mut desk, value);
    }
    // The part is done: the pedal takes the next one.
    desk.keys(&step);
    desk.wait("part_started", 2);
    measured(&mut desk, "20.007");
    shows(&mut desk, "200.080");
    desk.keys(&step);
    desk.wait("reading_held", 1);
    // Stepping on it again measures again.
    shows(&mut desk, "20.008");
    desk.keys(&step);
    desk.wait("reading_set_aside", 1);
    desk.wait("verdict_given", 6);
    desk.keys(&step);
    let mut verdicts = 6;
    let mut measured = |desk: &mut Desk<'_>, value: &str| {
        shows(desk, value);
        verdicts += 1;
        desk.keys(&step);
        desk.wait("verdict_given", verdicts);
        desk.keys(&step);
    };
    for value in ["14.980", "14.995"] {
        measured(&mut desk, value);
    }
    desk.keys(&step);
    desk.wait("part_started", 3);
    for value in ["20.006", "20.008", "14.996", "14.994"] {
        measured(&mut desk, value);
    }
    // The last part is done: the question about closing is none that a pedal answers.
    desk.keys(&step);
    desk.keys(&step);
    assert_eq!(desk.count("session_closed"), 0);
    let kinds = ended(desk, [PartState::Go, PartState::NoGo, PartState::Go]);
    assert_eq!(
        count(&kinds, "reading_received"),
        13,
        "streaming records nothing by itself"
    );
    assert_eq!(count(&kinds, "reading_taken"), 13);
}

#[test]
fn with_a_foot_switch_alone_that_sends_enter() {
    with_a_pedal('⏎');
}

#[test]
fn with_a_foot_switch_alone_that_sends_the_space_bar() {
    with_a_pedal(' ');
}

/// A batch with rework: what each reading comes to, three parts. The first is cut again at its
/// second seat; at the second, a slip after the cut is held, and measured again; of the third
/// metal is gone, and nobody waits for a cut on it.
const REWORK: [(&str, &str); 15] = [
    ("20.008", "verdict_given"),
    ("20.009", "verdict_given"),
    ("15.030", "verdict_given"),
    ("14.995", "verdict_given"),
    ("14.996", "verdict_given"),
    ("20.040", "verdict_given"),
    ("20.110", "reading_held"),
    ("20.010", "verdict_given"),
    ("20.008", "verdict_given"),
    ("14.994", "verdict_given"),
    ("14.995", "verdict_given"),
    ("19.990", "verdict_given"),
    ("20.008", "verdict_given"),
    ("15.030", "verdict_given"),
    ("14.995", "verdict_given"),
];
const REWORKED: [PartState; 3] = [PartState::Go, PartState::Go, PartState::NoGo];
/// After these readings of it a part is done.
const PARTS_DONE: [usize; 2] = [5, 11];

/// Nothing was lost, and nothing but the slip set aside; who closed it is said.
fn reworked(desk: Desk<'_>) {
    let kinds = ended(desk, REWORKED);
    let counts = [
        "reading_received",
        "verdict_given",
        "reading_set_aside",
        "part_started",
        "cutting_switched",
        "reading_voided",
    ];
    let found = counts.map(|kind| count(&kinds, kind));
    assert_eq!(found, [15, 14, 1, 3, 0, 0], "{counts:?}");
}

#[test]
fn with_rework_and_the_gauges_button_alone() {
    let mut far = FarEnd::new();
    let gauge = format!("mic=serial:{}@line-free", far.path);
    let mut desk = batch(&gauge, Advance::Rework);
    desk.wait("gauge_state_changed", 1);
    for (value, kind) in REWORK {
        let before = desk.count(kind);
        far.send(format!("{value}\r\n").as_bytes());
        desk.wait(kind, before + 1);
        if value == "15.030" && before == 2 {
            // What to do is said, and that it is measured again then.
            let action = "Then measure it again.";
            assert!(desk.harness.query_by_label_contains(action).is_some());
        }
    }
    reworked(desk);
}

#[test]
fn with_rework_and_the_keypad_s_digits_and_enter_alone() {
    let mut desk = batch("mic=typed", Advance::Rework);
    for (value, kind) in REWORK {
        let before = desk.count(kind);
        desk.keys(&format!("{value}⏎"));
        desk.wait(kind, before + 1);
    }
    reworked(desk);
}

fn rework_with_a_pedal(pedal: char) {
    let far = FarEnd::new();
    let mut desk = batch(&format!("mic=serial:{}@live", far.path), Advance::Rework);
    desk.wait("gauge_state_changed", 1);
    let values = streaming(far);
    let step = pedal.to_string();
    for (at, (value, kind)) in REWORK.into_iter().enumerate() {
        shows(&mut desk, &values, value);
        let before = desk.count(kind);
        desk.keys(&step);
        desk.wait(kind, before + 1);
        if kind == "verdict_given" {
            // Away from the answer; nothing is taken by that.
            desk.keys(&step);
        }
        if PARTS_DONE.contains(&(at + 1)) {
            let parts = desk.count("part_started");
            desk.keys(&step);
            desk.wait("part_started", parts + 1);
        }
    }
    reworked(desk);
}

#[test]
fn with_rework_and_a_foot_switch_alone_that_sends_enter() {
    rework_with_a_pedal('⏎');
}

#[test]
fn with_rework_and_a_foot_switch_alone_that_sends_the_space_bar() {
    rework_with_a_pedal(' ');
}

//! From key events to presses: keyboard and keypad alike, wedges told from hands by their timing.
#![allow(clippy::unwrap_used, clippy::panic)]

use eframe::egui::{Event, Key, Modifiers};
use fitledger::window::keys::{GAP_MS, Keyboard};
use fitledger::window::press::Press;

fn key(key: Key) -> Event {
    key_at(key, None, false)
}

fn key_at(key: Key, physical_key: Option<Key>, repeat: bool) -> Event {
    Event::Key {
        key,
        physical_key,
        pressed: true,
        repeat,
        modifiers: Modifiers::NONE,
    }
}

fn up(key: Key, physical_key: Option<Key>) -> Event {
    Event::Key {
        key,
        physical_key,
        pressed: false,
        repeat: false,
        modifiers: Modifiers::NONE,
    }
}

fn text(text: &str) -> Event {
    Event::Text(text.to_owned())
}

/// Characters, one every `pace_ms`, the frames being `frame_ms` long, then Enter; and the frames
/// that an idle window draws afterwards.
fn typed(characters: &str, pace_ms: u64, frame_ms: u64) -> Vec<Press> {
    let mut keyboard = Keyboard::default();
    let mut events: Vec<(u64, Event)> = Vec::new();
    for (at, character) in characters.chars().enumerate() {
        let at_ms = u64::try_from(at).unwrap() * pace_ms;
        let event = match character {
            '⏎' => key(Key::Enter),
            other => text(&other.to_string()),
        };
        events.push((at_ms, event));
        if character == '⏎' {
            events.push((at_ms, up(Key::Enter, None)));
        }
    }
    let mut presses = Vec::new();
    let mut now_ms = 0;
    let last = events.last().map_or(0, |(at, _)| *at);
    while now_ms <= last + 4 * GAP_MS + frame_ms {
        let until = events.partition_point(|(at, _)| *at <= now_ms);
        let frame: Vec<Event> = events.drain(..until).map(|(_, event)| event).collect();
        presses.extend(keyboard.take(&frame, 1_000 + now_ms));
        now_ms += frame_ms;
    }
    assert_eq!(keyboard.due_in_ms(now_ms), None, "nothing stays behind");
    presses
}

fn by_hand(characters: &str) -> Vec<Press> {
    let press = |character| match character {
        '0'..='9' => Press::Digit(character),
        '.' | ',' => Press::Marker,
        '⏎' => Press::Enter,
        '+' => Press::Plus,
        '-' => Press::Minus,
        '*' => Press::Star,
        '/' => Press::Slash,
        ' ' => Press::Space,
        other => Press::Letter(other),
    };
    characters.chars().map(press).collect()
}

#[test]
fn hands_at_every_usual_pace_press_keys_at_every_frame_rate() {
    for characters in ["20.009⏎", "20,009⏎", "c", "+", "-0.5⏎", "*/w g⏎", "31 22⏎"] {
        for pace_ms in [60, 80, 100, 150, 300, 1_000] {
            for frame_ms in [4, 8, 16, 33, 50]
                .into_iter()
                .filter(|ms| 3 * ms / 2 < pace_ms)
            {
                assert_eq!(
                    typed(characters, pace_ms, frame_ms),
                    by_hand(characters),
                    "{characters} every {pace_ms} ms in frames of {frame_ms} ms"
                );
            }
        }
    }
}

#[test]
fn a_wedge_gives_one_burst_at_every_frame_rate_and_presses_nothing() {
    for characters in ["20.009", "+0020.009", "-0,5", "A+20.009 mm", "c*/+-wgt"] {
        for pace_ms in [0, 1, 2, 5, 8, 10, 16] {
            for frame_ms in [4, 8, 16, 33, 100] {
                assert_eq!(
                    typed(&format!("{characters}⏎"), pace_ms, frame_ms),
                    [Press::Burst(characters.to_owned())],
                    "{characters} every {pace_ms} ms in frames of {frame_ms} ms"
                );
            }
        }
    }
}

#[test]
fn two_readings_of_a_wedge_are_two_bursts() {
    let burst = |text: &str| Press::Burst(text.to_owned());
    assert_eq!(
        typed("20.009⏎20.010⏎", 2, 16),
        [burst("20.009"), burst("20.010")]
    );
}

#[test]
fn a_burst_without_enter_is_told_apart_after_a_moment() {
    assert_eq!(typed("+20.0", 2, 16), [Press::BurstCut("+20.0".to_owned())]);
    // The rest that comes late with its Enter is a burst of its own, never joined by guess.
    let mut keyboard = Keyboard::default();
    let mut presses = keyboard.take(&[text("+20.0")], 0);
    presses.extend(keyboard.take(&[], GAP_MS + 1));
    presses.extend(keyboard.take(&[text("0"), text("9"), key(Key::Enter)], 500));
    assert_eq!(
        presses,
        [
            Press::BurstCut("+20.0".to_owned()),
            Press::Digit('0'),
            Press::Digit('9'),
            Press::Enter
        ]
    );
}

#[test]
fn waiting_characters_ask_to_be_looked_at_again() {
    let mut keyboard = Keyboard::default();
    assert_eq!(keyboard.due_in_ms(0), None);
    assert_eq!(keyboard.take(&[text("2")], 1_000), []);
    let due = keyboard.due_in_ms(1_000).unwrap();
    assert!(due > 0 && due <= GAP_MS + 1);
    assert_eq!(keyboard.take(&[], 1_000 + due), [Press::Digit('2')]);
    assert_eq!(keyboard.due_in_ms(1_000 + due), None);
    // What came before another key is pressed before it.
    assert_eq!(
        keyboard.take(&[text("2"), key(Key::Backspace)], 2_000),
        [Press::Digit('2'), Press::Backspace]
    );
}

#[test]
fn a_held_key_counts_once() {
    for (held, press) in [
        (Key::Enter, Press::Enter),
        (Key::Slash, Press::Slash),
        (Key::Minus, Press::Minus),
        (Key::Plus, Press::Plus),
        (Key::Num5, Press::Digit('5')),
        (Key::Space, Press::Space),
        (Key::ArrowDown, Press::Down),
        (Key::Escape, Press::Escape),
        (Key::C, Press::Letter('c')),
    ] {
        let character = match &press {
            Press::Slash => "/",
            Press::Minus => "-",
            Press::Plus => "+",
            Press::Digit(_) => "5",
            Press::Space => " ",
            Press::Letter(_) => "c",
            _ => "",
        };
        let mut keyboard = Keyboard::default();
        let mut presses = Vec::new();
        for at in 0..40 {
            // Whatever the toolkit says of it.
            let mut events = vec![key_at(held, None, at % 2 > 0)];
            if !character.is_empty() {
                events.push(text(character));
            }
            presses.extend(keyboard.take(&events, 1_000 + 33 * at));
        }
        presses.extend(keyboard.take(&[], 9_000));
        assert_eq!(presses, [press], "{held:?}");
    }
    // Backspace goes on erasing, as another press that never voids.
    let mut keyboard = Keyboard::default();
    let held = [
        key(Key::Backspace),
        key_at(Key::Backspace, None, true),
        key_at(Key::Backspace, None, true),
    ];
    assert_eq!(
        keyboard.take(&held, 0),
        [Press::Backspace, Press::BackspaceHeld, Press::BackspaceHeld]
    );
}

/// Shift or NumLock may change while a key of the keypad is down: it comes up under another name.
/// The toolkit then takes the first name for held, and every later press for a repetition.
#[test]
fn a_key_that_comes_up_under_another_name_is_pressed_anew() {
    let mut keyboard = Keyboard::default();
    let mut presses = Vec::new();
    for at in 0..5 {
        let is_taken_for_held = at > 0;
        let zero = key_at(Key::Num0, Some(Key::Num0), is_taken_for_held);
        let came = [zero, text("0"), up(Key::Insert, Some(Key::Num0))];
        presses.extend(keyboard.take(&came, 1_000 * (2 * at + 1)));
        let marker = key_at(Key::Period, None, is_taken_for_held);
        let came = [marker, text("."), up(Key::Delete, None)];
        presses.extend(keyboard.take(&came, 1_000 * (2 * at + 2)));
    }
    presses.extend(keyboard.take(&[], 60_000));
    assert_eq!(presses, by_hand("0.0.0.0.0."));
    // Another window had the keys when it came up.
    let held = [key_at(Key::Num5, Some(Key::Num5), false), text("5")];
    let gone = [Event::WindowFocused(false), Event::WindowFocused(true)];
    let mut presses = keyboard.take(&held, 61_000);
    presses.extend(keyboard.take(&gone, 62_000));
    presses.extend(keyboard.take(&held, 63_000));
    presses.extend(keyboard.take(&[], 64_000));
    assert_eq!(presses, by_hand("55"));
}

#[test]
fn the_keypad_without_num_lock_is_told_from_the_arrow_keys() {
    let mut keyboard = Keyboard::default();
    for (cursor, digit) in [
        (Key::ArrowUp, Key::Num8),
        (Key::ArrowDown, Key::Num2),
        (Key::Home, Key::Num7),
        (Key::PageUp, Key::Num9),
        (Key::Insert, Key::Num0),
    ] {
        let event = key_at(cursor, Some(digit), false);
        assert_eq!(
            keyboard.take(&[event], 0),
            [Press::NumLockOff],
            "{cursor:?}"
        );
    }
    assert_eq!(keyboard.take(&[key(Key::Delete)], 0), [Press::NumLockOff]);
    let delete = key_at(Key::Delete, Some(Key::Delete), false);
    assert_eq!(keyboard.take(&[delete], 0), []);
    for (cursor, press) in [
        (Key::ArrowUp, Press::Up),
        (Key::ArrowDown, Press::Down),
        (Key::ArrowLeft, Press::Left),
        (Key::ArrowRight, Press::Right),
    ] {
        for event in [key_at(cursor, Some(cursor), false), key(cursor)] {
            let presses = keyboard.take(&[event], 0);
            assert_eq!(presses.as_slice(), std::slice::from_ref(&press));
        }
    }
}

#[test]
fn chords_releases_and_unknown_keys_press_nothing() {
    let mut keyboard = Keyboard::default();
    let chord = Event::Key {
        key: Key::Enter,
        physical_key: None,
        pressed: true,
        repeat: false,
        modifiers: Modifiers::CTRL,
    };
    let release = Event::Key {
        key: Key::Enter,
        physical_key: None,
        pressed: false,
        repeat: false,
        modifiers: Modifiers::NONE,
    };
    assert_eq!(keyboard.take(&[chord, release, key(Key::F9)], 0), []);
    assert_eq!(keyboard.take(&[key(Key::F7)], 0), [Press::Explain]);
    assert_eq!(keyboard.take(&[text("\u{8}\u{1b}")], 50), []);
    assert_eq!(
        keyboard.take(&[Event::Paste("20.009".to_owned())], 60),
        [Press::Pasted("20.009".to_owned())]
    );
}

#[test]
fn a_flood_of_characters_is_bounded() {
    let mut keyboard = Keyboard::default();
    let flood = "7".repeat(100_000);
    let mut presses = keyboard.take(&[text(&flood)], 0);
    presses.extend(keyboard.take(&[], 1_000));
    let longest = presses.iter().map(|press| match press {
        Press::BurstCut(text) => text.len(),
        other => panic!("{other:?}"),
    });
    assert!(longest.max().unwrap() <= 500);
}

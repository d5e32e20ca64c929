//! From what the window system says to presses: keyboard and keypad alike.
//!
//! A device that plays keyboard (a wedge) types a reading with a few milliseconds between the
//! characters and Enter at the end. Every character therefore waits a moment until it is clear
//! that no burst goes on; a burst becomes one [`Press::Burst`] and never presses a button. A key
//! that is held down counts once.

use eframe::egui::{Event, ImeEvent, Key};

use super::press::Press;

/// A character waits so long for the next one, in milliseconds (chosen: hands are slower).
pub const GAP_MS: u64 = 40;
/// Mean time from one character of a burst to the next, at most, in milliseconds (chosen: wedges
/// need 1 to 10 and practised hands 80; common practice, no source).
pub const BURST_MEAN_MS: u64 = 25;
/// Characters before its Enter that a burst has at least (chosen: no hand types three characters
/// and Enter that fast).
pub const BURST_CHARACTERS_MIN: usize = 3;
/// Most characters that wait; more of them are no reading of any gauge (chosen).
const WAITING_MAX: usize = 500;

/// The keyboard, with the characters that may belong to a burst.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Keyboard {
    waiting: Vec<char>,
    /// The frame of the first of them.
    first_ms: u64,
    /// The frame of the last of them.
    last_ms: u64,
    /// The frame before that: the last of them came after it.
    last_after_ms: u64,
    /// The frame before this one: what is new came after it.
    before_ms: u64,
    /// The key that went down last is held down: the text that follows, in this frame or a later
    /// one, is a repetition.
    is_repeat: bool,
    held: Held,
    /// A comma is a comma and no decimal marker.
    is_text: bool,
}

/// The keys that are down. What a key of the keypad is called depends on NumLock and Shift, which
/// may change before it comes up: it is known by its place, so that its next press is no
/// repetition.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
struct Held(Vec<(Option<Key>, Key)>);

impl Held {
    /// Whether it was down already.
    fn down(&mut self, key: Key, physical: Option<Key>) -> bool {
        let is_same = |held: &(Option<Key>, Key)| match physical {
            Some(_) => held.0 == physical,
            None => *held == (None, key),
        };
        let is_held = self.0.iter().any(is_same);
        if !is_held {
            self.0.push((physical, key));
        }
        is_held
    }

    /// A key whose place has no name takes with it all such: one of them under another name.
    fn up(&mut self, physical: Option<Key>) {
        self.0.retain(|held| held.0 != physical);
    }
}

impl Keyboard {
    /// The presses that the events of one frame make, the frame having begun at `now_ms`.
    pub fn take(&mut self, events: &[Event], now_ms: u64) -> Vec<Press> {
        let mut presses = Vec::new();
        let mut has_come = false;
        for event in events {
            match event {
                Event::Key {
                    key,
                    physical_key,
                    pressed: true,
                    modifiers,
                    ..
                } => {
                    let repeat = self.held.down(*key, *physical_key);
                    // The text of a key follows it.
                    self.is_repeat = repeat;
                    let is_chord = modifiers.ctrl || modifiers.command || modifiers.alt;
                    if let (false, Some(press)) = (is_chord, key_press(*key, *physical_key)) {
                        has_come = true;
                        self.key(press, repeat, &mut presses);
                    }
                }
                Event::Text(text) | Event::Ime(ImeEvent::Commit(text)) if !self.is_repeat => {
                    has_come = true;
                    for character in text.chars().filter(|c| !c.is_control()) {
                        self.character(character, now_ms, &mut presses);
                    }
                }
                Event::Key { physical_key, .. } => {
                    self.held.up(*physical_key);
                    self.is_repeat = false;
                }
                // What comes up while another window has the keys is not told.
                Event::WindowFocused(false) => self.held = Held::default(),
                Event::Paste(text) => {
                    self.flush(&mut presses);
                    presses.push(Press::Pasted(text.clone()));
                }
                _ => {}
            }
        }
        if !has_come && now_ms.saturating_sub(self.last_ms) > GAP_MS {
            self.give_up(&mut presses);
        }
        self.before_ms = now_ms;
        presses
    }

    /// Whether what is typed goes into a text, where a comma is not the decimal marker.
    pub fn writes_text(&mut self, is_text: bool) {
        self.is_text = is_text;
    }

    /// Milliseconds until waiting characters must be looked at again; none when none waits.
    pub fn due_in_ms(&self, now_ms: u64) -> Option<u64> {
        let passed = now_ms.saturating_sub(self.last_ms);
        (!self.waiting.is_empty()).then(|| GAP_MS.saturating_sub(passed) + 1)
    }

    fn character(&mut self, character: char, now_ms: u64, presses: &mut Vec<Press>) {
        let count = u64::try_from(self.waiting.len()).unwrap_or(u64::MAX);
        let patience = count.saturating_mul(BURST_MEAN_MS).saturating_add(GAP_MS);
        let is_late = self.before_ms.saturating_sub(self.first_ms) > patience;
        if is_late || self.waiting.len() >= WAITING_MAX {
            self.give_up(presses);
        }
        if self.waiting.is_empty() {
            self.first_ms = now_ms;
        }
        self.waiting.push(character);
        self.last_ms = now_ms;
        self.last_after_ms = self.before_ms;
    }

    fn key(&mut self, press: Press, is_repeat: bool, presses: &mut Vec<Press>) {
        let ends_burst = press == Press::Enter || press == Press::Tab;
        if ends_burst && !is_repeat && self.is_burst(self.before_ms) {
            let text = self.waiting.drain(..).collect();
            presses.push(Press::Burst(text));
            return;
        }
        self.flush(presses);
        match (is_repeat, press) {
            (false, press) => presses.push(press),
            // Erasing goes on; it never goes over into voiding.
            (true, Press::Backspace) => presses.push(Press::BackspaceHeld),
            (true, _) => {}
        }
    }

    /// Whether the waiting characters came faster than from a hand, the last of them, or what
    /// ends them, after `after_ms`. Events do not say when they came, only frames do: slow frames
    /// must not tear a reading apart, so the time is the shortest that it can have been.
    fn is_burst(&self, after_ms: u64) -> bool {
        let count = self.waiting.len();
        let most = u64::try_from(count).unwrap_or(u64::MAX);
        let most = most.saturating_mul(BURST_MEAN_MS);
        count >= BURST_CHARACTERS_MIN && after_ms.saturating_sub(self.first_ms) <= most
    }

    /// No more has come: typed by hand, or a burst that was cut short. The latter presses no
    /// buttons either, and is no reading.
    fn give_up(&mut self, presses: &mut Vec<Press>) {
        if self.is_burst(self.last_after_ms) {
            let text = self.waiting.drain(..).collect();
            presses.push(Press::BurstCut(text));
        } else {
            self.flush(presses);
        }
    }

    /// The waiting characters as presses of a hand.
    fn flush(&mut self, presses: &mut Vec<Press>) {
        let is_text = self.is_text;
        let press = |character| match character {
            ',' if is_text => Press::Letter(','),
            other => character_press(other),
        };
        presses.extend(self.waiting.drain(..).map(press));
    }
}

/// The press of a character.
pub fn character_press(character: char) -> Press {
    match character {
        '0'..='9' => Press::Digit(character),
        '.' | ',' => Press::Marker,
        '+' => Press::Plus,
        '-' | '\u{2212}' => Press::Minus,
        '*' => Press::Star,
        '/' => Press::Slash,
        ' ' => Press::Space,
        other => Press::Letter(other),
    }
}

/// The press of a key that gives no character.
fn key_press(key: Key, physical: Option<Key>) -> Option<Press> {
    let is_cursor = matches!(
        key,
        Key::ArrowUp
            | Key::ArrowDown
            | Key::ArrowLeft
            | Key::ArrowRight
            | Key::Home
            | Key::End
            | Key::PageUp
            | Key::PageDown
            | Key::Insert
            | Key::Delete
    );
    // The keypad's marker has no name of its own; the Delete key has.
    let is_marker = key == Key::Delete && physical.is_none();
    if is_marker || (is_cursor && physical.is_some_and(is_digit_key)) {
        return Some(Press::NumLockOff);
    }
    match key {
        Key::Enter => Some(Press::Enter),
        Key::Tab => Some(Press::Tab),
        Key::Backspace => Some(Press::Backspace),
        Key::Escape => Some(Press::Escape),
        Key::ArrowUp => Some(Press::Up),
        Key::ArrowDown => Some(Press::Down),
        Key::ArrowLeft => Some(Press::Left),
        Key::ArrowRight => Some(Press::Right),
        Key::F1 => Some(Press::Room(1)),
        Key::F2 => Some(Press::Room(2)),
        Key::F3 => Some(Press::Room(3)),
        Key::F4 => Some(Press::Room(4)),
        Key::F5 => Some(Press::Room(5)),
        Key::F6 => Some(Press::Room(6)),
        Key::F7 => Some(Press::Explain),
        _ => None,
    }
}

fn is_digit_key(key: Key) -> bool {
    matches!(
        key,
        Key::Num0
            | Key::Num1
            | Key::Num2
            | Key::Num3
            | Key::Num4
            | Key::Num5
            | Key::Num6
            | Key::Num7
            | Key::Num8
            | Key::Num9
    )
}

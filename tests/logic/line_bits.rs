//! A line that is read with wrong settings, computed bit by bit: what a receiver makes of the bits
//! of a sender of other speed, parity, data or stop bits (EIA/TIA-232 practice: idle is one, start
//! bit zero, lowest bit first, sampled in the middle of each bit).

use fitledger::session::{LineState, Watchdog};
use fitledger::wire::{Decoded, Decoder, built_in};

use crate::support::journals::Seeded;

/// How a character is sent.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
struct Form {
    baud: u64,
    data: u32,
    /// None, even (0) or odd (1).
    parity: Option<u32>,
    stop: u32,
}

const SPEEDS: [u64; 7] = [2_400, 4_800, 9_600, 19_200, 38_400, 57_600, 115_200];
/// The forms that gauges are sold with, and their neighbours.
const FORMS: [(u32, Option<u32>, u32); 7] = [
    (8, None, 1),
    (8, None, 2),
    (7, Some(0), 1),
    (7, Some(0), 2),
    (7, Some(1), 1),
    (8, Some(0), 1),
    (8, Some(1), 1),
];
/// What the driver hands on for a byte with a parity or framing error, as the port does.
const DAMAGED: u8 = 0xff;

impl Form {
    fn all() -> Vec<Self> {
        let of = |baud| {
            FORMS.map(|(data, parity, stop)| Self {
                baud,
                data,
                parity,
                stop,
            })
        };
        SPEEDS.into_iter().flat_map(of).collect()
    }

    /// The levels of a text on the line, one for each of the sender's bits.
    fn sent(self, text: &[u8], levels: &mut Vec<bool>) {
        // The line was idle before.
        levels.push(true);
        for byte in text {
            levels.push(false);
            levels.extend((0..self.data).map(|bit| byte >> bit & 1 == 1));
            let kept = u32::from(*byte) & ((1 << self.data) - 1);
            levels.extend(self.parity.map(|odd| (kept.count_ones() + odd) % 2 == 1));
            levels.extend((0..self.stop).map(|_| true));
        }
    }

    /// What a receiver of this form reads from a sender's bits; behind them the line is idle.
    fn received(self, levels: &[bool], sender_baud: u64, bytes: &mut Vec<u8>) {
        // Times in half units of 1 / (both speeds): a sender's bit lasts twice the receiver's baud.
        let (sender_bit, bit) = (2 * self.baud, 2 * sender_baud);
        let level = |time: u64| {
            let at = usize::try_from(time / sender_bit).unwrap();
            levels.get(at).copied().unwrap_or(true)
        };
        let end = sender_bit * levels.len() as u64;
        let mut time = 0;
        loop {
            // The next falling edge.
            while time < end && !level(time) {
                time = (time / sender_bit + 1) * sender_bit;
            }
            while time < end && level(time) {
                time = (time / sender_bit + 1) * sender_bit;
            }
            if time >= end {
                return;
            }
            let sample = |number: u64| level(time + bit / 2 + number * bit);
            if sample(0) {
                // A spike, no start bit.
                time += bit / 2;
                continue;
            }
            let mut value = 0_u32;
            for number in 0..self.data {
                value |= u32::from(sample(1 + u64::from(number))) << number;
            }
            let mut next = 1 + u64::from(self.data);
            let mut good = true;
            if let Some(odd) = self.parity {
                good &= (value.count_ones() + odd) % 2 == u32::from(sample(next));
                next += 1;
            }
            good &= sample(next);
            bytes.push(if good {
                u8::try_from(value).unwrap()
            } else {
                DAMAGED
            });
            time += bit / 2 + next * bit;
        }
    }
}

#[test]
fn right_settings_give_every_byte_back() {
    let text: Vec<u8> = (0..=127).collect();
    for form in Form::all() {
        let (mut levels, mut bytes) = (Vec::new(), Vec::new());
        form.sent(&text, &mut levels);
        form.received(&levels, form.baud, &mut bytes);
        assert_eq!(bytes, text, "{form:?}");
    }
    // Published: 7E1 read as 8N1 has the parity bit as its highest ("+12.345" as 2b b1 b2 2e 33 b4
    // 35, the bits counted by hand).
    let (mut levels, mut bytes) = (Vec::new(), Vec::new());
    let of = |data, parity| Form {
        baud: 9_600,
        data,
        parity,
        stop: 1,
    };
    of(7, Some(0)).sent(b"+12.345", &mut levels);
    of(8, None).received(&levels, 9_600, &mut bytes);
    assert_eq!(bytes, [0x2b, 0xb1, 0xb2, 0x2e, 0x33, 0xb4, 0x35]);
}

/// So often a person may press until the hint stands there.
const PRESSES_MAX: u32 = 60;

/// What came of all lines of one pairing.
#[derive(Debug, Default)]
struct Heard {
    right: u32,
    wrong: Vec<String>,
    is_hinted: bool,
}

fn pairing(sender: Form, reader: Form, adapter: &str, lines: u32, random: &mut Seeded) -> Heard {
    let mut decoder = Decoder::new(built_in(adapter).unwrap());
    let mut watch = Watchdog::new(0, false);
    let mut heard = Heard::default();
    let (mut levels, mut bytes) = (Vec::new(), Vec::new());
    // Where hardly a byte of each line arrives, the hint comes with more presses, a second apart.
    let mut line = 0;
    while line < lines || (heard.right == 0 && !heard.is_hinted && line < lines + PRESSES_MAX) {
        let now_ms = u64::from(line) * 1_000;
        let number = random.next() % 100_000;
        let sign = if random.next().is_multiple_of(3) {
            '-'
        } else {
            '+'
        };
        let value = format!("{}.{:03}", number / 1_000, number % 1_000);
        let text = match adapter {
            "line-fixed" => format!("{sign}{value:0>8}\r"),
            _ => format!("{sign}{value}\r"),
        };
        let minus = if sign == '-' && number > 0 { "-" } else { "" };
        let value = format!("{minus}{value}");
        levels.clear();
        bytes.clear();
        sender.sent(text.as_bytes(), &mut levels);
        reader.received(&levels, sender.baud, &mut bytes);
        if !bytes.is_empty() {
            watch.bytes(bytes.len(), now_ms);
        }
        let mut take = |decoded: fitledger::wire::Heard<'_>| match decoded {
            Decoded::Reading(sent) => {
                watch.understood();
                if sent.value_text() == value {
                    heard.right += 1;
                } else {
                    heard
                        .wrong
                        .push(format!("{text:?} gave {}", sent.value_text()));
                }
            }
            Decoded::Status(sent) => heard.wrong.push(format!("{text:?} gave {:?}", sent.status)),
            Decoded::Error(_) => heard.is_hinted |= watch.refused() == Some(LineState::NoReadings),
        };
        decoder.push(&bytes, &mut take);
        // Every other line is a press of its own, the rest come glued.
        if line % 2 == 0 {
            decoder.idle(&mut take);
        }
        heard.is_hinted |= matches!(
            watch.look(now_ms),
            Some(LineState::NoReadings | LineState::Silent)
        );
        line += 1;
    }
    heard
}

#[test]
fn no_wrong_pairing_of_settings_gives_a_false_reading_and_each_gives_the_hint() {
    let lines = std::env::var("FITLEDGER_LINES").map_or(40_000, |text| text.parse().unwrap());
    let seed = u64::from(std::process::id());
    println!("seed {seed}");
    let mut random = Seeded(seed);
    let forms = Form::all();
    let pairs = u32::try_from(forms.len() * forms.len()).unwrap();
    let each = (lines / pairs).max(8);
    let (mut computed, mut silent, mut harmless) = (0, 0, 0);
    for sender in &forms {
        for reader in &forms {
            for adapter in ["line-strict", "line-fixed"] {
                let heard = pairing(*sender, *reader, adapter, each / 2, &mut random);
                let case = format!("seed {seed}: {sender:?} read as {reader:?} by {adapter}");
                assert_eq!(heard.wrong, [""; 0], "{case}");
                if sender == reader {
                    assert_eq!(heard.right, each / 2, "{case}");
                }
                if heard.right == 0 {
                    assert!(heard.is_hinted, "no hint: {case}");
                    silent += 1;
                } else if sender != reader {
                    harmless += 1;
                }
                computed += each / 2;
            }
        }
    }
    println!("{computed} lines, {silent} pairings without a reading, {harmless} harmless ones");
    // Otherwise the model sends nothing wrong at all.
    assert!(silent > 10 * harmless, "{silent}, {harmless}");
}

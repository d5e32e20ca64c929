//! Frames that only a pause ends, at the port: how long it reads, and what it makes of pauses.

#![cfg(unix)]

use std::collections::VecDeque;
use std::sync::atomic::{AtomicBool, Ordering};
use std::time::Duration;

use fitledger::wire::{
    Decoded, Decoder, IDLE_READS, Port, PortAddress, PortError, PortFault, PortNews, READ_TIME,
    SerialLine, built_in, read_port,
};

use crate::support::program::FarEnd;

/// A port by script: bytes, or nothing for one read.
struct Script<'s> {
    steps: VecDeque<Option<&'s [u8]>>,
    waits: Vec<Duration>,
    stop: &'s AtomicBool,
}

impl Port for Script<'_> {
    fn read(&mut self, buffer: &mut [u8]) -> Result<usize, PortError> {
        let step = self.steps.pop_front();
        self.stop.store(self.steps.is_empty(), Ordering::Relaxed);
        match step.flatten() {
            Some(bytes) => {
                buffer[..bytes.len()].copy_from_slice(bytes);
                Ok(bytes.len())
            }
            None => Err(PortError {
                fault: PortFault::Timeout,
                port: String::new(),
                errno: None,
                found: String::new(),
            }),
        }
    }

    fn write(&mut self, _bytes: &[u8]) -> Result<(), PortError> {
        Ok(())
    }

    fn wait_at_most(&mut self, time: Duration) -> Duration {
        self.waits.push(time);
        time
    }
}

fn word(news: PortNews<'_>) -> Option<String> {
    match news {
        PortNews::Bytes(_) => None,
        PortNews::Idle => Some("idle".to_owned()),
        PortNews::Heard(heard) => Some(match heard.to_decoded() {
            Decoded::Reading(sent) => sent.value_text(),
            Decoded::Status(sent) => sent.status.word().to_owned(),
            Decoded::Error(sent) => sent.error.code().to_owned(),
        }),
    }
}

/// What is told, and how long each read waited.
fn heard(adapter: &str, steps: &[Option<&[u8]>]) -> (Vec<String>, Vec<Duration>) {
    let stop = AtomicBool::new(false);
    let mut port = Script {
        steps: steps.iter().copied().collect(),
        waits: Vec::new(),
        stop: &stop,
    };
    let mut decoder = Decoder::new(built_in(adapter).unwrap());
    let mut told = Vec::new();
    let ended = read_port(&mut port, &mut decoder, &stop, &mut |news| {
        told.extend(word(news))
    });
    assert_eq!(ended, Ok(()));
    (told, port.waits)
}

#[test]
fn a_pause_of_the_adapter_s_length_ends_a_frame_and_a_shorter_one_does_not() {
    let adapter = built_in("bin24").unwrap();
    let gap = Duration::from_millis(u64::from(adapter.gap_ms().unwrap()));
    // Two pieces with no pause between them that a read could see, then a pause, then a frame that
    // a pause broke. (12.34 mm is d2 04 00: shared corpus, case w153; broken frame: w156.)
    let steps = [
        Some(&[0xd2][..]),
        Some(&[0x04, 0x00]),
        None,
        Some(&[0xd3, 0x04]),
        None,
        Some(&[0x00]),
        None,
        None,
    ];
    let (told, waits) = heard("bin24", &steps);
    assert_eq!(told, ["12.34", "truncated", "truncated"]);
    let long = READ_TIME;
    assert_eq!(waits, [long, gap, gap, long, gap, long, gap, long]);
}

#[test]
fn where_no_pause_ends_a_frame_none_is_looked_for_and_idle_is_as_long_as_ever() {
    let mut steps = vec![Some(&b"+1.2"[..]), None, Some(b"34\r+5.6")];
    steps.resize(steps.len() + usize::try_from(IDLE_READS).unwrap(), None);
    steps.push(Some(b"78\r"));
    let (told, waits) = heard("line-strict", &steps);
    assert_eq!(told, ["1.234", "truncated", "idle", "malformed"]);
    assert!(waits.iter().all(|wait| *wait == READ_TIME), "{waits:?}");
}

#[test]
fn frames_with_pauses_come_through_a_real_line() {
    let mut far = FarEnd::new();
    let adapter = built_in("bin24").unwrap();
    let line = adapter.line().unwrap();
    let mut port = SerialLine::open(&PortAddress::new(&far.path), line).unwrap();
    let stop = AtomicBool::new(false);
    let mut told = Vec::new();
    std::thread::scope(|scope| {
        scope.spawn(|| {
            for frame in [[0xd2, 0x04, 0x00], [0xd3, 0x04, 0x00], [0xff, 0xff, 0x00]] {
                far.send(&frame);
                std::thread::sleep(Duration::from_millis(300));
            }
            stop.store(true, Ordering::Relaxed);
        });
        let mut decoder = Decoder::new(adapter.clone());
        let ended = read_port(&mut port, &mut decoder, &stop, &mut |news| {
            told.extend(word(news))
        });
        assert_eq!(ended, Ok(()));
    });
    // The bytes FF are true ones, which the driver doubles and the port undoes.
    assert_eq!(told.len(), 3, "{told:?}");
    assert_eq!(told[..2], ["12.34", "12.35"]);
}

//! The serial port on real pseudo-terminals: a far end that splits, garbles, stalls, vanishes.

#![cfg(unix)]
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::panic)]

use std::path::Path;
use std::sync::Arc;
use std::sync::atomic::{AtomicBool, Ordering};
use std::sync::mpsc::{Receiver, channel};
use std::thread::JoinHandle;
use std::time::{Duration, Instant};

use fitledger::wire::{
    Adapter, Decoded, Decoder, IDLE_READS, LineSettings, Port, PortAddress, PortError, PortFault,
    PortNews, SerialLine, Trigger, built_in, read_port,
};

use crate::support::program::FarEnd;

fn line() -> LineSettings {
    built_in("line-free").unwrap().line().unwrap()
}

fn open(path: &str) -> Result<SerialLine, PortError> {
    SerialLine::open(&PortAddress::new(path), line())
}

/// A reader on its own thread.
struct Listener {
    told: Receiver<String>,
    stop: Arc<AtomicBool>,
    thread: JoinHandle<Result<(), PortError>>,
}

impl Listener {
    fn new(mut port: SerialLine, adapter: &str) -> Self {
        let adapter: Arc<Adapter> = built_in(adapter).unwrap();
        let stop = Arc::new(AtomicBool::new(false));
        let (tell, told) = channel();
        let thread = std::thread::spawn({
            let stop = Arc::clone(&stop);
            move || {
                let mut decoder = Decoder::new(adapter);
                read_port(&mut port, &mut decoder, &stop, &mut |news| {
                    let word = match news {
                        PortNews::Bytes(_) => return,
                        PortNews::Idle => "idle".to_owned(),
                        PortNews::Heard(heard) => match heard.to_decoded() {
                            Decoded::Reading(sent) => sent.value_text(),
                            Decoded::Status(sent) => sent.status.word().to_owned(),
                            Decoded::Error(sent) => sent.error.code().to_owned(),
                        },
                    };
                    tell.send(word).unwrap();
                })
            }
        });
        Self { told, stop, thread }
    }

    fn next(&self) -> String {
        self.told.recv_timeout(Duration::from_secs(30)).unwrap()
    }

    fn stopped(self) -> (Result<(), PortError>, Vec<String>) {
        self.stop.store(true, Ordering::Relaxed);
        self.ended()
    }

    fn ended(self) -> (Result<(), PortError>, Vec<String>) {
        let ended = self.thread.join().unwrap();
        (ended, self.told.try_iter().collect())
    }
}

#[test]
fn split_glued_and_garbled_lines_come_as_they_were_sent() {
    let mut far = FarEnd::new();
    let listener = Listener::new(open(&far.path).unwrap(), "line-free");
    for piece in [
        b"+12.".as_slice(),
        b"34",
        b"5 mm\r",
        b"\n",
        b"\0\0-0.5000in\r\n7.1\r8.2\r",
    ] {
        far.send(piece);
        std::thread::sleep(Duration::from_millis(30));
    }
    far.send(b"12\xb4.345\r\nOL\r1,234.5\r\n9.999\r\n");
    let found: Vec<String> = (0..8).map(|_| listener.next()).collect();
    let expected = [
        "12.345",
        "-0.5000",
        "7.1",
        "8.2",
        "bad_char",
        "over_range",
        "malformed",
        "9.999",
    ];
    assert_eq!(found, expected);
    assert_eq!(listener.stopped(), (Ok(()), Vec::new()));
}

#[test]
fn ten_thousand_lines_at_once_are_all_read_in_order() {
    let mut far = FarEnd::new();
    let listener = Listener::new(open(&far.path).unwrap(), "line-strict");
    let flood: String = (0..10_000)
        .map(|at| format!("+{}.{:03}\r\n", at / 1000, at % 1000))
        .collect();
    let sender = std::thread::spawn(move || {
        far.send(flood.as_bytes());
        far
    });
    for at in 0..10_000 {
        assert_eq!(listener.next(), format!("{}.{:03}", at / 1000, at % 1000));
    }
    let _far = sender.join().unwrap();
    assert_eq!(listener.stopped(), (Ok(()), Vec::new()));
}

#[test]
fn a_hang_up_in_mid_frame_is_told_and_gives_no_reading() {
    let mut far = FarEnd::new();
    let listener = Listener::new(open(&far.path).unwrap(), "line-free");
    far.send(b"1.234\r\n5.6");
    assert_eq!(listener.next(), "1.234");
    // Bytes that are unread at a hang-up are lost, so let the reader take the rest.
    std::thread::sleep(Duration::from_millis(300));
    let since = Instant::now();
    drop(far);
    let (ended, told) = listener.ended();
    assert!(since.elapsed() < Duration::from_secs(15), "told too late");
    assert_eq!(ended.unwrap_err().fault, PortFault::Gone);
    assert_eq!(told, ["truncated"]);
}

#[test]
fn a_port_that_is_gone_stays_gone_and_is_never_read_in_a_busy_loop() {
    let far = FarEnd::new();
    let mut port = open(&far.path).unwrap();
    drop(far);
    for _ in 0..3 {
        assert_eq!(port.read(&mut [0; 64]).unwrap_err().fault, PortFault::Gone);
    }
    assert_eq!(port.write(b"\r").unwrap_err().fault, PortFault::Gone);
}

#[test]
fn an_adapter_that_is_plugged_in_again_is_opened_by_its_name_and_goes_on() {
    let folder = tempfile::tempdir().unwrap();
    let name = folder.path().join("gauge");
    let plug = |far: &FarEnd| std::os::unix::fs::symlink(Path::new(&far.path), &name).unwrap();
    let name_text = name.to_str().unwrap();
    for (round, sent) in ["1.11", "2.22", "3.33"].into_iter().enumerate() {
        assert_eq!(
            open(name_text).unwrap_err().fault,
            PortFault::NotFound,
            "{round}"
        );
        let mut far = FarEnd::new();
        plug(&far);
        let listener = Listener::new(open(name_text).unwrap(), "line-free");
        far.send(format!("{sent}\r\n").as_bytes());
        assert_eq!(listener.next(), sent);
        drop(far);
        assert_eq!(listener.ended().0.unwrap_err().fault, PortFault::Gone);
        std::fs::remove_file(&name).unwrap();
    }
}

#[test]
fn the_same_far_end_can_be_opened_again_after_it_was_closed() {
    let mut far = FarEnd::new();
    for sent in ["4.44", "5.55"] {
        let listener = Listener::new(open(&far.path).unwrap(), "line-free");
        far.send(format!("{sent}\r\n").as_bytes());
        assert_eq!(listener.next(), sent);
        assert_eq!(listener.stopped().0, Ok(()));
    }
}

#[test]
fn a_second_opener_is_refused_and_told_that_the_port_is_in_use() {
    let far = FarEnd::new();
    let _first = open(&far.path).unwrap();
    let refused = open(&far.path).unwrap_err();
    assert_eq!(
        (refused.fault, refused.code()),
        (PortFault::Busy, "port_busy")
    );
}

#[test]
fn what_is_no_serial_port_is_told_apart_from_what_is_not_there() {
    let file = tempfile::NamedTempFile::new().unwrap();
    for (path, fault) in [
        (file.path().to_str().unwrap(), PortFault::NotSerial),
        ("/dev/null", PortFault::NotSerial),
        ("/dev", PortFault::NotSerial),
        ("/dev/no-such-port", PortFault::NotFound),
        ("ffff:ffff:NOBODY", PortFault::NotFound),
    ] {
        let refused = open(path).unwrap_err();
        assert_eq!(refused.fault, fault, "{path}: {refused}");
    }
}

#[test]
fn a_line_that_falls_silent_in_mid_frame_is_told_once() {
    let mut far = FarEnd::new();
    let listener = Listener::new(open(&far.path).unwrap(), "line-strict");
    far.send(b"+12.3");
    let since = Instant::now();
    assert_eq!(listener.next(), "truncated");
    let waited = since.elapsed();
    let idle = fitledger::wire::READ_TIME * IDLE_READS;
    assert!(waited >= idle.mul_f64(0.8), "{waited:?}");
    assert_eq!(listener.next(), "idle");
    std::thread::sleep(idle.mul_f64(1.5));
    far.send(b"+12.345\r");
    assert_eq!(listener.next(), "12.345");
    assert_eq!(listener.stopped(), (Ok(()), Vec::new()));
}

#[test]
fn a_pause_within_a_frame_shorter_than_the_idle_time_does_not_break_it() {
    let mut far = FarEnd::new();
    let listener = Listener::new(open(&far.path).unwrap(), "line-strict");
    far.send(b"+12.3");
    std::thread::sleep(Duration::from_millis(350));
    far.send(b"45\r");
    assert_eq!(listener.next(), "12.345");
    assert_eq!(listener.stopped(), (Ok(()), Vec::new()));
}

#[test]
fn stopping_in_mid_frame_tells_that_it_was_cut() {
    let mut far = FarEnd::new();
    let listener = Listener::new(open(&far.path).unwrap(), "line-strict");
    far.send(b"+1.000\r+12.3");
    assert_eq!(listener.next(), "1.000");
    std::thread::sleep(Duration::from_millis(200));
    assert_eq!(listener.stopped(), (Ok(()), vec!["truncated".to_owned()]));
}

#[test]
fn control_lines_that_a_port_has_not_are_warnings_and_a_request_is_sent() {
    let mut far = FarEnd::new();
    let mut port = open(&far.path).unwrap();
    assert!(
        !port.warnings().is_empty(),
        "a pseudo-terminal has no control lines"
    );
    assert_eq!(port.path(), far.path);
    let adapter = built_in("padded-unit").unwrap();
    port.request(adapter.trigger()).unwrap();
    let mut asked = [0; 2];
    far.read_exact(&mut asked);
    assert_eq!(&asked, b"R\r");
    let pulse = Trigger::LinePulse {
        pin: fitledger::wire::Pin::Rts,
        pulse_ms: 1,
    };
    assert_eq!(port.request(&pulse).unwrap_err().fault, PortFault::Other);
    assert_eq!(port.request(&Trigger::Unsolicited), Ok(()));
}

#[test]
fn every_line_setting_that_the_system_knows_can_be_opened_and_mark_parity_is_refused() {
    let far = FarEnd::new();
    for baud in [300, 1_200, 2_400, 4_800, 9_600, 19_200, 115_200, 230_400] {
        let line = LineSettings { baud, ..line() };
        SerialLine::open(&PortAddress::new(&far.path), line).unwrap();
    }
    let line = LineSettings {
        parity: fitledger::wire::Parity::Mark,
        ..line()
    };
    let refused = SerialLine::open(&PortAddress::new(&far.path), line).unwrap_err();
    assert_eq!(refused.fault, PortFault::Unsupported);
}

#[test]
fn every_byte_comes_as_it_was_sent_whatever_marks_the_driver_makes() {
    let mut far = FarEnd::new();
    let mut port = open(&far.path).unwrap();
    let all: Vec<u8> = (0..=255).chain([255, 255, 0, 255]).collect();
    far.send(&all);
    let (mut came, since) = (Vec::new(), Instant::now());
    while came.len() < all.len() && since.elapsed() < Duration::from_secs(60) {
        let mut buffer = [0; 7];
        if let Ok(count) = port.read(&mut buffer) {
            came.extend_from_slice(&buffer[..count]);
        }
    }
    assert_eq!(came, all);
}

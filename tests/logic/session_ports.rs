//! Several ports of one session on real pseudo-terminals: found again under another name, watched,
//! looked at.

#![cfg(unix)]

use std::sync::mpsc::channel;
use std::sync::{Arc, Mutex};
use std::time::{Duration, Instant};

use fitledger::gauge::{GaugeId, Origin};
use fitledger::journal::Event;
use fitledger::session::{
    Arrival, Clock, GaugePort, Inbox, Incoming, Intake, Listing, PortWatch, TapKind,
};
use fitledger::wire::{Adapter, PortAccess, PortAddress, SeenPort, UsbIdentity, built_in};

use crate::inspect_asked::adapter;
use crate::support::program::FarEnd;

const PATIENCE: Duration = Duration::from_secs(60);
/// It takes a fraction of a second; how loaded the machine is must not decide.
const SOON: Duration = Duration::from_secs(15);

/// What is attached, as it is told to the program.
#[derive(Clone, Default)]
struct Attached(Arc<Mutex<Vec<SeenPort>>>);

impl Attached {
    fn listing(&self) -> Listing {
        let all = Arc::clone(&self.0);
        Arc::new(move || Ok(all.lock().unwrap().clone()))
    }

    fn are(&self, ports: &[(&str, &str)]) {
        let seen = |(path, usb): &(&str, &str)| SeenPort {
            path: (*path).to_owned(),
            usb: UsbIdentity::parse(usb),
            product: None,
            access: PortAccess::Free,
        };
        *self.0.lock().unwrap() = ports.iter().map(seen).collect();
    }
}

fn open(gauge: &str, address: &str, attached: &Attached) -> GaugePort {
    let adapter = built_in("line-strict").unwrap();
    let intake = Intake::new(GaugeId::new(gauge), Origin::Sent);
    let address = PortAddress::new(address);
    let line = adapter.line().unwrap();
    GaugePort::open_listed(gauge, address, line, adapter, intake, attached.listing()).unwrap()
}

/// What comes, one line each: readings, and states of lines.
fn until(inbox: &Inbox, wanted: &str) -> Vec<String> {
    let (mut all, since) = (Vec::new(), Instant::now());
    while !all.iter().any(|one| one == wanted) {
        assert!(since.elapsed() < PATIENCE, "{wanted}: {all:?}");
        for arrival in inbox.next_batch(Duration::from_millis(50)) {
            match arrival {
                Arrival::Incoming(_, Incoming::Reading(reading)) => {
                    let raw = String::from_utf8_lossy(&reading.raw).into_owned();
                    all.push(format!("{} {raw}", reading.gauge));
                }
                Arrival::Incoming(
                    _,
                    Incoming::Notice(Event::GaugeStateChanged { gauge, state, .. }),
                ) => {
                    all.push(format!("{gauge} {state}"));
                }
                Arrival::Incoming(
                    _,
                    Incoming::Notice(Event::ReadingRefused { gauge, code, .. }),
                ) => {
                    all.push(format!("{gauge} refused {code}"));
                }
                _ => {}
            }
        }
    }
    all
}

#[test]
fn adapters_that_change_their_names_while_unplugged_are_each_found_by_identity() {
    let attached = Attached::default();
    let mut far = [FarEnd::new(), FarEnd::new()];
    attached.are(&[(&far[0].path, "1209:0001:A"), (&far[1].path, "1209:0001:B")]);
    let mut inbox = Inbox::new(Clock::starting_at(0)).unwrap();
    // One is named by its path, the other by its identity: both are found again by identity.
    let (first, second) = (far[0].path.clone(), "1209:0001:B");
    for port in [open("a", &first, &attached), open("b", second, &attached)] {
        inbox.spawn_reader(move |mailer| port.read(mailer));
    }
    far[0].send(b"+1.111\r");
    until(&inbox, "a +1.111");
    far[1].send(b"+2.222\r+2.2");
    until(&inbox, "b +2.222");
    std::thread::sleep(Duration::from_millis(300));
    attached.are(&[]);
    let since = Instant::now();
    drop(far);
    let told = until(&inbox, "b unplugged");
    assert!(since.elapsed() < SOON, "{:?}", since.elapsed());
    assert!(told.contains(&"b refused truncated".to_owned()), "{told:?}");
    if !told.contains(&"a unplugged".to_owned()) {
        until(&inbox, "a unplugged");
    }
    // Each comes back where the other was told before, and one more adapter of the kind besides.
    let mut far = [FarEnd::new(), FarEnd::new(), FarEnd::new()];
    attached.are(&[
        (&far[0].path, "1209:0001:B"),
        (&far[1].path, "1209:0001:C"),
        (&far[2].path, "1209:0001:A"),
    ]);
    // What is sent before a port is open is thrown away there.
    let told = until(&inbox, "b attached");
    if !told.contains(&"a attached".to_owned()) {
        until(&inbox, "a attached");
    }
    far[0].send(b"+3.333\r");
    until(&inbox, "b +3.333");
    far[2].send(b"+4.444\r");
    until(&inbox, "a +4.444");
    far[1].send(b"+5.555\r");
    inbox.shut_down();
}

#[test]
fn garbage_is_told_once_and_a_reading_ends_it() {
    let attached = Attached::default();
    let mut far = FarEnd::new();
    let path = far.path.clone();
    let mut inbox = Inbox::new(Clock::starting_at(0)).unwrap();
    let port = open("mic", &path, &attached);
    let control = port.control();
    inbox.spawn_reader(move |mailer| port.read(mailer));
    until(&inbox, "mic attached");
    far.send(b"\xb1\xb2.3\r\xb1\r");
    far.send(b"\xfe\xfe\xfe\r");
    until(&inbox, "mic no_readings");
    let detail = control.seen().detail;
    for word in [
        "speed and parity",
        "9600 baud, 8 data bits, no parity",
        "line-strict",
        &path,
    ] {
        assert!(detail.contains(word), "{detail}");
    }
    far.send(b"\xb1\xb2.3\r\xb1\r");
    far.send(b"+1.234\r");
    let told = until(&inbox, "mic attached");
    assert!(
        !told.contains(&"mic no_readings".to_owned()),
        "told again: {told:?}"
    );
    assert_eq!(control.seen().state, "attached");
    // Bytes of which nothing at all comes: every one was damaged on its way.
    far.send(&[0; 40]);
    let told = until(&inbox, "mic no_readings");
    assert_eq!(told, ["mic no_readings"]);
    inbox.shut_down();
}

#[test]
fn a_port_that_no_session_holds_is_watched_until_that_is_dropped() {
    let (attached, mut far) = (Attached::default(), FarEnd::new());
    let stream = Adapter::from_text(&adapter("kind = \"stream\""), None).unwrap();
    let (tell, told) = channel();
    let tell = Mutex::new(tell);
    attached.are(&[(&far.path, "1209:0001:A")]);
    let address = PortAddress::new("1209:0001:A");
    let watch = PortWatch::start_listed(address, Arc::new(stream), attached.listing(), move || {
        let _ = tell.lock().unwrap().send(());
    })
    .unwrap();
    let wait = |what: &str, is_so: &dyn Fn(&fitledger::session::Seen) -> bool| {
        let since = Instant::now();
        while !is_so(&watch.seen()) {
            assert!(since.elapsed() < PATIENCE, "{what}: {:?}", watch.seen());
            let _ = told.recv_timeout(Duration::from_millis(200));
        }
        watch.seen()
    };
    wait("opened", &|seen| seen.tap.state == "attached");
    far.send(b"+1.001\r+1.002\r?\r");
    let seen = wait("heard", &|seen| {
        seen.refused == 1 && seen.tap.lines.len() == 3
    });
    assert_eq!((seen.tap.kind, seen.readings), (TapKind::Streams, 0));
    let bytes: Vec<u8> = seen.tap.bytes.iter().copied().collect();
    assert_eq!(bytes, b"+1.001\r+1.002\r?\r");
    let words: Vec<&str> = seen
        .tap
        .lines
        .iter()
        .map(|line| line.text.as_str())
        .collect();
    assert_eq!(words, ["1.001 mm", "1.002 mm", "malformed"]);
    assert_eq!(seen.tap.value.as_ref().unwrap().0.raw, b"+1.002");
    far.send(b"+1.003\r");
    wait("the next", &|seen| seen.tap.lines.len() == 4);
    watch.ask().unwrap();
    wait("taken", &|seen| seen.readings == 1);
    attached.are(&[]);
    drop(far);
    wait("gone", &|seen| seen.tap.state == "unplugged");
    assert!(watch.ask().unwrap_err().contains("unplugged"));
    let far = FarEnd::new();
    attached.are(&[(&far.path, "1209:0001:A")]);
    wait("back", &|seen| seen.tap.state == "attached");
    let since = Instant::now();
    drop(watch);
    assert!(since.elapsed() < SOON, "{:?}", since.elapsed());
    // The port is free again.
    let line = built_in("line-free").unwrap().line().unwrap();
    fitledger::wire::SerialLine::open(&PortAddress::new(&far.path), line).unwrap();
}

#[test]
fn readers_end_with_their_inbox_whoever_drops_it() {
    let ended = std::sync::Arc::new(std::sync::atomic::AtomicBool::new(false));
    let inbox = Inbox::new(Clock::starting_at(0)).unwrap();
    let says = std::sync::Arc::clone(&ended);
    let (started, begins) = std::sync::mpsc::channel();
    inbox.spawn_reader(move |mailer| {
        started.send(()).unwrap();
        while !mailer.is_stopped() {
            std::thread::sleep(Duration::from_millis(5));
        }
        says.store(true, std::sync::atomic::Ordering::SeqCst);
    });
    begins.recv().unwrap();
    drop(inbox);
    assert!(ended.load(std::sync::atomic::Ordering::SeqCst));
}

//! The session behind a window: on real pseudo-terminals, in a flood, on a failing disk, left and
//! taken up again.

#![cfg(unix)]

use std::collections::BTreeSet;
use std::fs;
use std::process::Command as Process;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::sync::{Arc, Mutex, OnceLock, Weak};
use std::time::{Duration, Instant};

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId};
use fitledger::journal::{Event, Outcome, event_of, verify};
use fitledger::measure::VerdictWord;
use fitledger::session::{
    Begin, Command, End, Live, PartState, Request, Snapshot, Wanted, What, Workspace,
    check_reading, prepare, typed_reading,
};

use crate::support::program::{FarEnd, Shop};

const PATIENCE: Duration = Duration::from_secs(60);

/// A live session in a workspace of its own.
struct Bench {
    live: Arc<Live>,
    notified: Arc<AtomicUsize>,
    /// Every snapshot, as it was when it was told of.
    seen: Arc<Mutex<Vec<Arc<Snapshot>>>>,
}

impl Bench {
    fn start(shop: &Shop, begin: &Begin) -> Self {
        let workspace = Workspace::locate(Some(shop.place.path()));
        let prepared = prepare(begin, &workspace).unwrap();
        let home: Arc<OnceLock<Weak<Live>>> = Arc::default();
        let notified: Arc<AtomicUsize> = Arc::default();
        let seen: Arc<Mutex<Vec<Arc<Snapshot>>>> = Arc::default();
        let (count, all, at) = (Arc::clone(&notified), Arc::clone(&seen), Arc::clone(&home));
        let live = Live::start(prepared, move || {
            count.fetch_add(1, Ordering::SeqCst);
            if let Some(live) = at.get().and_then(Weak::upgrade) {
                all.lock().unwrap().push(live.snapshot());
            }
        });
        let live = Arc::new(live.unwrap());
        home.set(Arc::downgrade(&live)).unwrap();
        Self {
            live,
            notified,
            seen,
        }
    }

    fn until(&self, what: &str, is_so: impl Fn(&Snapshot) -> bool) -> Arc<Snapshot> {
        let since = Instant::now();
        loop {
            let snapshot = self.live.snapshot();
            if is_so(&snapshot) {
                return snapshot;
            }
            assert!(since.elapsed() < PATIENCE, "{what}: {}", told(&snapshot));
            std::thread::sleep(Duration::from_millis(2));
        }
    }

    fn types(&self, text: &str) {
        let gauge = GaugeId::new("typed");
        let reading = typed_reading(text, &gauge, Wanted::Length).unwrap();
        self.live.send(Request::Reading(reading));
    }

    fn asks(&self, command: Command) {
        self.live.send(Request::Command(command));
    }

    fn until_attached(&self) {
        self.until("the line is read", |snapshot| {
            let mut lines = snapshot.state.gauge_lines();
            lines.any(|(_, line)| line.state == "attached")
        });
    }

    /// Nothing is told of for so long, after the start.
    fn is_idle_for(&self, time: Duration) {
        self.until("the start", |_| self.notified.load(Ordering::SeqCst) > 0);
        std::thread::sleep(Duration::from_millis(50));
        let before = self.notified.load(Ordering::SeqCst);
        std::thread::sleep(time);
        assert_eq!(self.notified.load(Ordering::SeqCst), before);
    }
}

fn told(snapshot: &Snapshot) -> String {
    let Snapshot {
        head,
        message,
        unrecorded,
        ended,
        ..
    } = snapshot;
    format!("{head} {message:?} {unrecorded:?} {ended:?}")
}

fn message(snapshot: &Snapshot) -> &str {
    let message = snapshot.message.as_ref();
    message.map_or("", |message| message.text.as_str())
}

fn callout(gauges: &[&str]) -> Begin {
    Begin {
        gauges: gauges.iter().map(|one| (*one).to_owned()).collect(),
        advance_always: true,
        ..Begin::new(What::Callouts(vec!["20 k6".to_owned()]))
    }
}

fn events(path: &str) -> Vec<Event> {
    let mut events = Vec::new();
    verify(fs::read(path).unwrap().as_slice(), |sound| {
        events.push(event_of(sound.line.kind, sound.line.body).unwrap());
    })
    .unwrap();
    events
}

/// The characters of each reading of a record, in its order.
fn raw(path: &str) -> Vec<String> {
    let text = |event| match event {
        Event::ReadingReceived(reading) => Some(String::from_utf8(reading.raw).unwrap()),
        _ => None,
    };
    events(path).into_iter().filter_map(text).collect()
}

fn outcome(snapshot: &Snapshot) -> Option<Outcome> {
    match &snapshot.state.latest_answer()?.1.event {
        Event::VerdictGiven(verdict) => Some(verdict.outcome),
        _ => None,
    }
}

const GO: Option<Outcome> = Some(Outcome::Verdict(VerdictWord::Go));
const NO_GO: Option<Outcome> = Some(Outcome::Verdict(VerdictWord::NoGo));

#[test]
fn bytes_on_a_line_become_a_verdict_that_is_on_the_disk() {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let bench = Bench::start(&shop, &callout(&[&format!("serial:{}", far.path)]));
    bench.until_attached();
    far.send(b"20.008 mm\r\n");
    let snapshot = bench.until("a verdict", |snapshot| outcome(snapshot) == GO);
    assert_eq!(snapshot.path, shop.journal().to_str().unwrap());
    assert!(snapshot.path.ends_with(&snapshot.journal));
    let on_disk = events(&snapshot.path);
    assert_eq!(snapshot.head, on_disk.len() as u64);
    assert!(matches!(on_disk.last(), Some(Event::VerdictGiven(_))));
    assert_eq!(
        (snapshot.is_playing, &snapshot.unrecorded),
        (None, &None),
        "nothing is simulated"
    );
    far.send(b"#?!\r\n");
    let snapshot = bench.until("noise is told", |one| message(one).contains("no reading"));
    assert!(message(&snapshot).contains("#?!"), "{}", told(&snapshot));
    // A gauge that sends does not keep the keyboard away.
    bench.types("20.030");
    bench.until("the typed one is judged", |one| outcome(one) == NO_GO);
    bench.types("nosuch=20.008");
    let told = bench.until("the slip is told", |one| message(one).contains("“nosuch”"));
    assert!(
        message(&told).contains("its gauges are "),
        "{}",
        message(&told)
    );
    assert_eq!(bench.live.snapshot().state.readings().len(), 2);
}

#[test]
fn an_answer_about_a_plug_goes_the_way_of_typed_values_beside_a_gauge_that_sends() {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let begin = Begin {
        gauges: vec![format!("serial:{}", far.path)],
        ..Begin::new(What::Callouts(vec!["M10-6H".to_owned()]))
    };
    let bench = Bench::start(&shop, &begin);
    bench.until_attached();
    far.send(b"8.600 mm\r\n");
    let asked = |snapshot: &Snapshot| {
        let place = snapshot.state.current_place();
        place.map_or_else(String::new, |(_, place)| place.element)
    };
    bench.until("the plug is asked", |one| asked(one) == "go_plug");
    for (end, outcome, key, next) in [
        (CheckEnd::Go, CheckOutcome::Goes, "+", "no_go_plug"),
        (CheckEnd::NoGo, CheckOutcome::TurnsTwoOrFewer, "-", ""),
    ] {
        let reading = check_reading(end, outcome, &GaugeId::new("typed"), key);
        bench.live.send(Request::Reading(reading));
        bench.until("the next is asked", |one| asked(one) == next);
    }
    let snapshot = bench.live.snapshot();
    let part = snapshot.state.current_part().unwrap();
    assert_eq!(part.state(), PartState::Go);
    assert_eq!(raw(&snapshot.path), ["8.600 mm", "+", "-"]);
}

#[test]
fn requests_and_readings_are_taken_in_the_order_in_which_they_came() {
    let shop = Shop::new();
    let bench = Bench::start(&shop, &callout(&[]));
    bench.asks(Command::VoidReading {
        reading: None,
        reason: "none".to_owned(),
    });
    let snapshot = bench.until("a refusal", |one| {
        message(one).contains("no reading that could be voided")
    });
    assert_eq!(snapshot.message.as_ref().unwrap().number, 1);
    bench.types("20.030");
    bench.asks(Command::VoidReading {
        reading: None,
        reason: "tilted".to_owned(),
    });
    bench.types("20.008");
    bench.asks(Command::StartNextPart);
    bench.types("20.009");
    bench.asks(Command::StartNextPart);
    let snapshot = bench.until("three parts", |one| one.state.parts().len() == 3);
    let ends: Vec<End> = snapshot
        .state
        .readings()
        .iter()
        .map(|one| one.end)
        .collect();
    assert_eq!(ends, [End::Voided, End::Judged, End::Judged]);
    let parts: Vec<PartState> = snapshot
        .state
        .parts()
        .iter()
        .map(|one| one.state())
        .collect();
    assert_eq!(parts, [PartState::Go, PartState::Go, PartState::Open]);
}

#[test]
fn more_requests_than_the_queue_is_long_are_all_carried_out() {
    let shop = Shop::new();
    let bench = Bench::start(&shop, &callout(&[]));
    let names: Vec<String> = (0..6_000).map(|at| format!("worker {at}")).collect();
    let since = Instant::now();
    for name in &names {
        bench.asks(Command::ChangeOperator { name: name.clone() });
    }
    let took = since.elapsed();
    let last = names.last().unwrap();
    let snapshot = bench.until("the last", |one| one.state.bench().operator == *last);
    let name_of = |event| match event {
        Event::OperatorChanged { name } => Some(name),
        _ => None,
    };
    let on_disk: Vec<String> = events(&snapshot.path)
        .into_iter()
        .filter_map(name_of)
        .collect();
    assert_eq!(on_disk, names);
    println!("6000 requests handed over in {took:?}");
}

#[test]
fn a_flood_is_recorded_whole_and_in_order_and_requests_are_answered_meanwhile() {
    const EVERY: Duration = Duration::from_millis(10);
    // 823 a second, the rate of the fastest line that is planned for (9600 baud, short frames,
    // several ports), for four seconds.
    let count = 823 * 4;
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let bench = Bench::start(&shop, &callout(&[&format!("serial:{}", far.path)]));
    bench.until_attached();
    let value = |at: usize| format!("20.{:04}", 20 + at % 130);
    let is_over = Arc::new(AtomicBool::new(false));
    let over = Arc::clone(&is_over);
    let sender = std::thread::spawn(move || {
        let since = Instant::now();
        let mut sent = 0;
        while sent < count {
            std::thread::sleep(EVERY);
            let due = usize::try_from(since.elapsed().as_millis() * 823 / 1000).unwrap();
            let piece: String = (sent..due.min(count))
                .map(|at| value(at) + "\r\n")
                .collect();
            far.send(piece.as_bytes());
            sent = due.min(count).max(sent);
        }
        over.store(true, Ordering::SeqCst);
        far
    });
    let mut asked = Vec::new();
    while !is_over.load(Ordering::SeqCst) {
        let name = format!("worker {}", asked.len());
        bench.asks(Command::ChangeOperator { name: name.clone() });
        bench.until("the request", |one| one.state.bench().operator == name);
        asked.push(name);
        std::thread::sleep(Duration::from_millis(50));
    }
    let far = sender.join().unwrap();
    let snapshot = bench.until("all are judged", |one| {
        let readings = one.state.readings();
        readings.len() == count && readings.iter().all(|one| !one.end.is_open())
    });
    // The second is asked only while the flood goes on, so the first was answered within it.
    assert!(asked.len() > 1, "{} requests", asked.len());
    bench.live.stop();
    drop(far);
    let expected: Vec<String> = (0..count).map(value).collect();
    assert_eq!(raw(&snapshot.path), expected);
    assert_eq!(shop.verified(&shop.journal())["state"], "not_closed");
}

/// The folder where recording goes on elsewhere is the process's own, so this test runs itself
/// again in a process that has another one.
#[test]
fn what_is_not_recorded_is_shown_and_recorded_elsewhere_as_soon_as_that_can_be() {
    const INSIDE: &str = "FITLEDGER_TEST_LIVE_TMP";
    const NAME: &str =
        "live::what_is_not_recorded_is_shown_and_recorded_elsewhere_as_soon_as_that_can_be";
    let shop = Shop::new();
    let Ok(tmp) = std::env::var(INSIDE) else {
        let tmp = shop.path("tmp");
        let again = Process::new(std::env::current_exe().unwrap())
            .args([NAME, "--exact", "--nocapture", "--test-threads=1"])
            .env("TMPDIR", &tmp)
            .env(INSIDE, &tmp)
            .output()
            .unwrap();
        let said = String::from_utf8_lossy(&again.stdout);
        let failed = String::from_utf8_lossy(&again.stderr);
        assert!(again.status.success(), "{said}\n{failed}");
        assert!(said.contains("1 passed"), "{said}");
        return;
    };
    let tmp = std::path::PathBuf::from(tmp);
    let bench = Bench::start(&shop, &callout(&[]));
    bench.types("20.003");
    bench.until("a verdict", |one| outcome(one) == GO);
    // Neither the folder nor the one for the worst case can be written.
    fs::write(tmp.join("fitledger-sessions"), "in the way").unwrap();
    fs::rename(shop.path("sessions"), shop.path("away")).unwrap();
    let sent: Vec<String> = (0..10).map(|at| format!("20.{:03}", 4 + at)).collect();
    for text in &sent {
        bench.types(text);
    }
    let snapshot = bench.until("NOT RECORDED", |one| {
        one.unrecorded.as_ref().is_some_and(|all| all.count == 10)
    });
    let unrecorded = snapshot.unrecorded.as_ref().unwrap();
    let newest: Vec<&String> = sent.iter().rev().take(8).collect();
    assert_eq!(unrecorded.readings.iter().collect::<Vec<_>>(), newest);
    let cause = "Looking for the file in its folder failed: it was renamed, replaced or removed.";
    assert_eq!(unrecorded.cause, cause);
    assert!(!unrecorded.hint.is_empty());
    assert_eq!(snapshot.state.readings().len(), 1, "nothing is claimed");
    // Asked too early it is tried, and nothing is lost.
    bench.live.send(Request::TryRecording);
    let snapshot = bench.until("it was tried", |one| message(one).contains("Tried again"));
    assert_eq!(snapshot.unrecorded.as_ref(), Some(unrecorded));
    fs::remove_file(tmp.join("fitledger-sessions")).unwrap();
    bench.live.send(Request::TryRecording);
    let snapshot = bench.until("all is recorded", |one| one.unrecorded.is_none());
    let elsewhere = tmp.join("fitledger-sessions");
    assert!(snapshot.path.starts_with(elsewhere.to_str().unwrap()));
    assert_eq!(
        message(&snapshot),
        format!("Recording goes on in {}.", snapshot.path)
    );
    let snapshot = bench.until("all are judged", |one| {
        one.state
            .readings()
            .iter()
            .all(|one| one.end == End::Judged)
    });
    assert_eq!(snapshot.state.readings().len(), 11);
    assert_eq!(raw(&snapshot.path), sent);
    bench.live.stop();
    // A failure that is over at once has been seen all the same.
    let seen = bench.seen.lock().unwrap();
    let first = seen.iter().position(|one| one.unrecorded.is_some());
    let after = seen.iter().rposition(|one| one.unrecorded.is_some());
    assert!(first.is_some() && after < Some(seen.len() - 1));
}

#[test]
fn a_session_that_was_left_goes_on_at_the_same_characteristic() {
    let shop = Shop::new();
    let plan = shop.path("plan.toml");
    fs::write(
        &plan,
        "[part]\nname = \"Pump bush\"\n[[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n\
         [[feature]]\nid = \"B\"\ncallout = \"35 ±0.1\"\nsurface = \"length\"\npoints = 2\n",
    )
    .unwrap();
    let bench = Bench::start(&shop, &Begin::new(What::Plan(plan)));
    bench.types("20.008");
    bench.types("35.02");
    let left = bench.until("one point of B", |one| {
        one.state
            .current_place()
            .is_some_and(|(_, place)| place.point == 2)
    });
    bench.live.stop();
    bench.live.send(Request::Play(true));
    let journal = shop.journal();
    assert_eq!(shop.verified(&journal)["state"], "not_closed");
    let again = Bench::start(&shop, &Begin::new(What::Continue(journal.clone())));
    let snapshot = again.live.snapshot();
    assert_eq!(snapshot.state.current_place(), left.state.current_place());
    assert_eq!(snapshot.path, journal.to_str().unwrap());
    again.types("35.03");
    let snapshot = again.until("the part is GO", |one| {
        one.state
            .part(1)
            .is_some_and(|part| part.state() == PartState::Go)
    });
    assert_eq!(snapshot.state.readings().len(), 3);
    // Taken up by one, it is not taken up by another.
    let workspace = Workspace::locate(Some(shop.place.path()));
    let twice = prepare(&Begin::new(What::Continue(journal)), &workspace);
    assert_eq!(twice.err().unwrap().code, "journal_locked");
}

#[test]
fn closing_decides_what_waits_behind_a_held_reading_and_ends_the_loop() {
    let shop = Shop::new();
    let bench = Bench::start(&shop, &callout(&[]));
    bench.types("0.7877");
    // The same slip again: it is held in its turn.
    bench.types("0.7878");
    bench.until("one waits", |one| one.state.waiting() == 1);
    bench.asks(Command::Close {
        reason: String::new(),
    });
    let snapshot = bench.until("closed", |one| one.state.is_closed());
    let ends: Vec<End> = snapshot
        .state
        .readings()
        .iter()
        .map(|one| one.end)
        .collect();
    assert_eq!(ends, [End::SetAside; 2]);
    bench.live.stop();
    let verified = shop.verified(&shop.journal());
    assert_eq!(verified["state"], "sound", "{verified}");
    assert_eq!(bench.live.snapshot().ended, None);
    let workspace = Workspace::locate(Some(shop.place.path()));
    let again = prepare(&Begin::new(What::Continue(shop.journal())), &workspace);
    assert_eq!(again.err().unwrap().code, "journal_closed");
}

#[test]
fn while_nothing_happens_nothing_is_told_of() {
    let (shop, far) = (Shop::new(), FarEnd::new());
    let bench = Bench::start(&shop, &callout(&[&format!("serial:{}", far.path)]));
    bench.until_attached();
    std::thread::sleep(Duration::from_millis(100));
    bench.is_idle_for(Duration::from_secs(2));
    bench.types("20.008");
    bench.until("it still listens", |one| outcome(one) == GO);
}

#[test]
fn the_demonstration_plays_pauses_and_is_played_by_hand() {
    let shop = Shop::in_memory();
    let bench = Bench::start(&shop, &Begin::default());
    assert_eq!(bench.live.snapshot().is_playing, Some(true));
    let since = Instant::now();
    bench.until("readings", |one| one.state.readings().len() >= 2);
    let took = since.elapsed();
    assert!(
        took > Duration::from_secs(1),
        "two in {took:?}: too fast to read"
    );
    bench.live.send(Request::Play(false));
    bench.until("a pause", |one| one.is_playing == Some(false));
    bench.is_idle_for(Duration::from_secs(2));
    let mut head = bench.live.snapshot().head;
    for _ in 0..5 {
        bench.live.send(Request::PressGauge);
        head = bench.until("a press", |one| one.head > head).head;
    }
    bench.live.send(Request::Play(true));
    bench.until("it goes on", |one| one.head > head);
}

#[test]
fn a_simulated_gauge_on_a_plan_of_ones_own_waits_for_the_hand_and_ends_with_the_parts() {
    let shop = Shop::in_memory();
    let begin = Begin {
        parts: Some(1),
        advance_always: false,
        ..callout(&["simulated:3"])
    };
    let bench = Bench::start(&shop, &begin);
    assert_eq!(bench.live.snapshot().is_playing, Some(false));
    bench.is_idle_for(Duration::from_millis(1_500));
    for _ in 0..40 {
        bench.live.send(Request::PressGauge);
    }
    bench.until("all is measured", |one| {
        message(one).contains("what was wanted")
    });
    bench.live.send(Request::Play(true));
    let snapshot = bench.until("it stops again", |one| one.is_playing == Some(false));
    assert_eq!(snapshot.state.parts().len(), 1);
    let other = Shop::in_memory();
    let typed = Bench::start(&other, &callout(&[]));
    typed.live.send(Request::PressGauge);
    typed.until("there is no such gauge", |one| {
        message(one).contains("simulated")
    });
}

#[test]
fn a_fault_in_the_program_loses_no_reading_and_is_told() {
    let shop = Shop::new();
    let workspace = Workspace::locate(Some(shop.place.path()));
    let prepared = prepare(&callout(&[]), &workspace).unwrap();
    let faults = Arc::new(AtomicUsize::new(0));
    let due = Arc::clone(&faults);
    let live = Live::start(prepared, move || {
        let is_due = due.fetch_update(Ordering::SeqCst, Ordering::SeqCst, |n| n.checked_sub(1));
        assert!(is_due.is_err(), "a fault that the test asked for");
    });
    let live = Arc::new(live.unwrap());
    let bench = Bench {
        live,
        notified: Arc::default(),
        seen: Arc::default(),
    };
    bench.types("20.003");
    bench.until("a verdict", |one| outcome(one) == GO);
    let mut sent = BTreeSet::from(["20.003".to_owned()]);
    for at in 4..7 {
        faults.store(1, Ordering::SeqCst);
        let text = format!("20.{at:03}");
        bench.types(&text);
        sent.insert(text);
        let snapshot = bench.until("the fault is told", |one| {
            message(one).contains("program failed") && one.state.readings().len() == sent.len()
        });
        assert_eq!(snapshot.ended, None);
        let path = snapshot.path.clone();
        assert_eq!(raw(&path).into_iter().collect::<BTreeSet<_>>(), sent);
    }
    assert_eq!(raw(&bench.live.snapshot().path).len(), 4, "none twice");
    // It is not got over for ever.
    faults.store(1, Ordering::SeqCst);
    bench.types("20.009");
    let snapshot = bench.until("the end", |one| one.ended.is_some());
    assert!(snapshot.ended.as_ref().unwrap().contains(&snapshot.path));
    bench.live.stop();
    assert_eq!(raw(&snapshot.path).len(), 5);
}

#[test]
fn a_stream_is_seen_live_in_a_running_session_and_a_value_is_taken_by_request() {
    let (shop, mut far) = (Shop::new(), FarEnd::new());
    let stream = crate::inspect_asked::adapter("kind = \"stream\"");
    fs::write(shop.path("own.toml"), stream).unwrap();
    let file = shop.path("own.toml").display().to_string();
    let bench = Bench::start(&shop, &callout(&[&format!("serial:{}@{file}", far.path)]));
    bench.until_attached();
    far.send(b"20.007\r20.008\r");
    let gauge = GaugeId::new("serial");
    let shown = |snapshot: &Snapshot, value: &str| {
        let seen = snapshot.tap(&gauge).and_then(|tap| tap.value.as_ref());
        seen.is_some_and(|(reading, _)| reading.raw == value.as_bytes())
    };
    let snapshot = bench.until("the value is shown", |one| shown(one, "20.008"));
    assert_eq!(snapshot.state.readings().len(), 0, "and not recorded");
    bench.live.send(Request::AskGauge(GaugeId::new("nobody")));
    bench.until("who that is", |one| {
        message(one).contains("nobody has no line")
    });
    bench.live.send(Request::AskAnyGauge);
    far.send(b"20.009\r");
    let snapshot = bench.until("a verdict", |one| outcome(one) == GO);
    let taken = |event: &Event| matches!(event, Event::ReadingTaken(_));
    assert_eq!(
        events(&snapshot.path)
            .iter()
            .filter(|one| taken(one))
            .count(),
        1
    );
    // A stream that goes on publishes no more often than an eye reads.
    let before = bench.notified.load(Ordering::SeqCst);
    let since = Instant::now();
    for at in 0..200 {
        far.send(format!("20.{:03}\r", at % 100).as_bytes());
        std::thread::sleep(Duration::from_millis(2));
    }
    bench.until("the last value", |one| shown(one, "20.099"));
    let told = bench.notified.load(Ordering::SeqCst) - before;
    let most = usize::try_from(since.elapsed().as_millis() / 100).unwrap() + 2;
    assert!(told <= most, "{told} times in {:?}", since.elapsed());
}

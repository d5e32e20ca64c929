//! Studying a gauge in the window: the questions before it, real keys, a real record, the pages.
#![allow(clippy::unwrap_used, clippy::panic)]

use egui_kittest::kittest::Queryable;
use fitledger::gauge::{Date, Gauge, GaugeId, Register};
use fitledger::journal::{GaugeSource, SessionOpened, StudyCell, StudyPart};
use fitledger::quantity::Length;
use fitledger::session::{Command, StudyAsked, What};
use fitledger::window::gauges_room::{GaugesFacts, GaugesNow, GaugesPage, GaugesRoom};
use fitledger::window::gauges_ui::gauges_ui;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::study_facts::{StudyFacts, StudyStage, study_facts};
use fitledger::window::study_setup::StudySetup;
use fitledger::window::view::{GaugesSeen, PageView, StudyView, gauges_view};

use crate::shell::Desk;
use crate::support::bench::{Bench, GAUGES};
use crate::support::picture::{compare, keep, picture};
use crate::support::shown::snapshot;

const SMALL: [f32; 2] = [800.0, 458.0];

/// Invented: five bushes, two people, three times, µm above 20 mm.
const READ: [[[i64; 3]; 2]; 5] = [
    [[1, 2, 1], [3, 3, 2]],
    [[12, 13, 12], [14, 15, 14]],
    [[-8, -7, -8], [-6, -6, -5]],
    [[21, 20, 21], [23, 22, 23]],
    [[5, 6, 6], [8, 7, 8]],
];

fn begun(parts: usize, people: &[&str], trials: u32, tolerance: Option<Length>) -> Bench {
    let opened = SessionOpened {
        program: "test".to_owned(),
        plan_name: "gauge-study".to_owned(),
        gauges: GAUGES.to_owned(),
        sources: vec![GaugeSource {
            gauge: "mic".to_owned(),
            source: "typed".to_owned(),
            adapter: String::new(),
            repeat_ms: 0,
        }],
        ..SessionOpened::default()
    };
    let register = Register::parse(GAUGES, "gauges.toml").unwrap();
    let asked = StudyAsked {
        parts: vec![StudyPart::default(); parts],
        operators: people.iter().map(|name| (*name).to_owned()).collect(),
        trials: Some(trials),
        tolerance,
        seed: Some(2),
    };
    let plan = asked.plan("mic", &register).unwrap();
    let mut bench = Bench::new(opened);
    bench.asks(Command::OpenStudy(Box::new(plan)));
    bench
}

fn read(bench: &mut Bench, cell: StudyCell) {
    let at = |number: u32| usize::try_from(number).unwrap() - 1;
    let um = READ[at(cell.part)][at(cell.operator)][at(cell.trial)];
    bench.reads(
        &Length::from_um(20_000 + um).to_text(fitledger::quantity::LengthUnit::Millimetre, 3),
    );
}

fn measured(readings: usize, tolerance: Option<Length>) -> Bench {
    let mut bench = begun(5, &["A", "B"], 3, tolerance);
    for _ in 0..readings {
        let cell = bench.state().study().unwrap().next().unwrap();
        read(&mut bench, cell);
    }
    bench
}

fn facts_of(bench: &Bench) -> GaugesFacts {
    let today = Date::parse("2026-11-26");
    GaugesFacts {
        register: bench.state().setup().register.clone(),
        today,
        study: study_facts(&snapshot(bench), today),
        ..GaugesFacts::default()
    }
}

/// A study half way, with an entry begun.
pub(crate) fn measuring_facts() -> GaugesFacts {
    facts_of(&measured(14, None))
}

/// A study with all its readings.
pub(crate) fn result_facts() -> GaugesFacts {
    facts_of(&measured(30, Some(Length::from_um(40))))
}

fn page(facts: &GaugesFacts, room: &GaugesRoom) -> StudyView {
    let view = gauges_view(&GaugesSeen {
        room,
        facts,
        snapshot: None,
        now_ms: 0,
        marker: '.',
    });
    match view.detail.unwrap().page {
        PageView::Study(study) => study,
        other => panic!("{other:?}"),
    }
}

fn at_study() -> GaugesRoom {
    GaugesRoom {
        page: GaugesPage::Study,
        ..GaugesRoom::default()
    }
}

fn mic() -> Gauge {
    let register = Register::parse(GAUGES, "gauges.toml").unwrap();
    register.gauge(&GaugeId::new("mic")).unwrap().clone()
}

#[test]
fn the_questions_before_a_study_make_what_is_asked_for() {
    let mut setup = StudySetup::new(&mic(), 9).unwrap();
    for (answer, awaits) in [
        ("3", "parts"),
        ("2", "people"),
        ("", "readings of each part"),
        ("", "known size, mm"),
    ] {
        assert_eq!(setup.facts().awaits, awaits);
        assert_eq!(setup.answer(answer), Ok(None));
    }
    let asked = setup.answer("0,02").unwrap().unwrap();
    assert_eq!(
        (asked.parts.len(), asked.operators.len(), asked.trials),
        (3, 2, Some(3))
    );
    assert_eq!(
        (asked.tolerance, asked.seed),
        (Some(Length::from_um(20)), Some(9))
    );
    // One person on a ring: as often as is usual, with its size.
    let mut setup = StudySetup::new(&mic(), 1).unwrap();
    for answer in ["", "", "", "20.003"] {
        assert_eq!(setup.answer(answer), Ok(None), "{answer}");
    }
    let asked = setup.answer("").unwrap().unwrap();
    assert_eq!(
        (asked.operators.len(), asked.trials, asked.tolerance),
        (0, Some(25), None)
    );
    assert_eq!(asked.parts[0].reference, Some(Length::from_um(20_003)));
}

#[test]
fn wrong_answers_are_told_and_asked_again() {
    let mut setup = StudySetup::new(&mic(), 9).unwrap();
    for wrong in ["0", "101", "two", "-3"] {
        assert!(
            setup.answer(wrong).unwrap_err().contains("1 to 100"),
            "{wrong}"
        );
    }
    for answer in ["2", "", ""] {
        setup.answer(answer).unwrap();
    }
    assert!(setup.answer("x").unwrap_err().contains("no size"));
    setup.answer("20").unwrap();
    // One of two known sizes is none.
    assert!(setup.answer("").unwrap_err().contains("every part"));
    setup.answer("25").unwrap();
    assert!(setup.answer("0").unwrap_err().contains("above 0"));
    let register = Register::parse(GAUGES, "gauges.toml").unwrap();
    let ring = register.gauge(&GaugeId::new("ring")).unwrap();
    assert!(StudySetup::new(ring, 1).is_err());
}

#[test]
fn the_page_says_what_to_measure_and_what_came_of_it() {
    let mut room = at_study();
    room.entry = Some("20.0".to_owned());
    let view = page(&measuring_facts(), &room);
    assert_eq!(view.step, "14 of 30 readings");
    assert!(
        view.prompt.starts_with("Reading 15 of 30. "),
        "{}",
        view.prompt
    );
    assert_eq!(view.entry.unwrap().text, "20.0");
    assert!(view.value.ends_with("mm") && view.bars.is_empty());

    let facts = result_facts();
    let view = page(&facts, &at_study());
    let study = facts.study.unwrap();
    assert_eq!(study.stage, StudyStage::Complete);
    // Shares of the tolerance: the bars are six standard deviations over 40 µm, by hand.
    let (what, _, share) = &study.bars[2];
    assert_eq!(what, "gauge, both");
    let said = view.total;
    let percent: f32 = said
        .split(", ")
        .find_map(|part| part.strip_suffix(" % of the tolerance"))
        .unwrap()
        .parse()
        .unwrap();
    assert!((share * 100.0 - percent).abs() < 0.51, "{share} {said}");
    assert!(view.prompt.contains("common practice"), "{}", view.prompt);
    let line = view
        .lines
        .iter()
        .find(|line| line.what == "for the register")
        .unwrap();
    assert!(
        line.value.starts_with("repeatability = { s = 0.000"),
        "{}",
        line.value
    );
    assert!(
        line.value.ends_with("n = 21, on = 2026-11-26 }"),
        "{}",
        line.value
    );
}

#[test]
fn a_reading_far_off_is_marked_on_the_page() {
    let mut bench = measured(14, None);
    bench.reads("20.500");
    let view = page(&facts_of(&bench), &at_study());
    assert!(view.remark.contains("more than chance"), "{}", view.remark);
}

#[test]
fn what_fills_no_cell_is_on_the_page_at_once() {
    use fitledger::journal::Event;
    use fitledger::session::{Incoming, Message};
    let mut bench = begun(1, &[], 5, None);
    bench.reads("20.001");
    // A reading in inches.
    assert_eq!(bench.reads("0.787"), "reading_set_aside");
    let view = page(&facts_of(&bench), &at_study());
    assert!(
        view.remark.contains("0.787 mm counts for nothing") && view.remark.contains("inches"),
        "{}",
        view.remark
    );
    assert_eq!(view.step, "1 of 5 readings");
    bench.reads("20.002");
    assert_eq!(page(&facts_of(&bench), &at_study()).remark, "");
    // Bytes that are no reading: the session's last sentence, until something comes after it.
    let told = |bench: &Bench, after: u64| {
        let mut shown = snapshot(bench);
        shown.message = Some(Message {
            after,
            number: 1,
            text: "mic sent bytes that are no reading: 20.0.".to_owned(),
        });
        study_facts(&shown, None).unwrap().remark
    };
    let head = snapshot(&bench).head;
    assert!(told(&bench, head).contains("no reading: 20.0"));
    assert_eq!(told(&bench, head - 1), "");
    // The cable is out, and in again.
    let line = |state: &str| {
        Incoming::Notice(Event::GaugeStateChanged {
            gauge: "mic".to_owned(),
            state: state.to_owned(),
            detail: "the cable of the bench".to_owned(),
        })
    };
    for (state, said) in [("unplugged", "unplugged"), ("not_found", "not found")] {
        bench.take(vec![line(state)]);
        let view = page(&facts_of(&bench), &at_study());
        assert_eq!(view.remark, format!("mic: {said}. the cable of the bench"));
    }
    bench.take(vec![line("attached")]);
    assert_eq!(page(&facts_of(&bench), &at_study()).remark, "");
}

#[test]
fn a_zero_that_failed_stops_the_study_and_a_key_leads_there() {
    use fitledger::window::press::Press;
    let mut bench = begun(1, &[], 3, None);
    for text in ["20.001", "20.002"] {
        bench.reads(text);
    }
    bench.asks(Command::AskZeroCheck {
        gauge: GaugeId::new("mic"),
        standard: None,
    });
    bench.reads("0.050");
    let facts = facts_of(&bench);
    let view = page(&facts, &at_study());
    assert!(
        view.prompt.contains("failed its zero check"),
        "{}",
        view.prompt
    );
    // Both cells are open again.
    assert_eq!(view.step, "0 of 3 readings");
    let mut room = at_study();
    let now = GaugesNow {
        is_size_awaited: true,
        ..GaugesNow::default()
    };
    room.press(Press::Slash, &facts, now);
    assert_eq!(room.page, GaugesPage::Zero);
    // A closed study tells what it lost.
    bench.asks(Command::Close {
        reason: "later".to_owned(),
    });
    let view = page(&facts_of(&bench), &at_study());
    assert!(
        view.prompt.starts_with("2 readings are in doubt"),
        "{}",
        view.prompt
    );
    assert!(
        view.lines
            .iter()
            .all(|line| line.what != "for the register")
    );
}

#[test]
fn the_days_and_a_doubt_of_another_session_are_on_the_page() {
    use std::collections::BTreeMap;
    let day = |text: &str| Date::parse(text).unwrap();
    let by_day = BTreeMap::from([
        (day("2026-11-24"), vec![20.000, 20.001, 20.002]),
        (day("2026-11-26"), vec![20.011, 20.012, 20.013]),
    ]);
    let days = fitledger::session::days_compared("ring", Some(20.0), &by_day).unwrap();
    let mut facts = result_facts();
    let study = facts.study.as_mut().unwrap();
    study.take_days(&[days.unwrap()]);
    let view = page(&facts, &at_study());
    let said = |what: &str| {
        let line = view.lines.iter().find(|line| line.what == what);
        line.unwrap_or_else(|| panic!("{what}")).value.clone()
    };
    // By hand: 1 and 12 µm.
    assert_eq!(
        said("ring, 2026-11-24"),
        "off the known size by 0.001000 mm, 3 readings"
    );
    assert_eq!(
        said("ring, 2026-11-26"),
        "off the known size by 0.01200 mm, 3 readings"
    );
    assert!(
        said("ring, days").contains("The days differ by more"),
        "{}",
        said("ring, days")
    );
    assert!(
        view.lines
            .iter()
            .any(|line| line.what == "for the register")
    );
    facts
        .study
        .as_mut()
        .unwrap()
        .take_doubt("mic failed its zero check");
    let view = page(&facts, &at_study());
    assert!(
        view.prompt
            .starts_with("The study is in doubt: mic failed its zero check"),
        "{}",
        view.prompt
    );
    assert!(
        view.lines
            .iter()
            .all(|line| line.what != "for the register")
    );
}

#[test]
fn an_earlier_day_is_looked_for_and_shown_once_all_is_measured() {
    use crate::support::forged::{chained, lines_of};
    let mut desk = Desk::open(None);
    desk.keys("⑥8⏎⏎⏎3⏎20⏎⏎");
    desk.wait("study_opened", 1);
    desk.keys("20.001⏎20.002⏎20.003⏎");
    desk.wait("study_cell_filled", 3);
    desk.keys("⏎");
    desk.wait("session_closed", 1);
    let sessions = desk.folder.path().join("sessions");
    let mut entries = std::fs::read_dir(&sessions).unwrap();
    let bytes = std::fs::read(entries.next().unwrap().unwrap().path()).unwrap();
    // The same lines on 2026-11-24.
    let earlier = chained(&lines_of(&bytes));
    std::fs::write(sessions.join("earlier.jsonl"), earlier).unwrap();
    desk.keys("⏎⏎⏎3⏎20⏎⏎");
    desk.wait("study_opened", 3);
    desk.keys("20.011⏎20.012⏎20.013⏎");
    desk.wait("study_cell_filled", 9);
    let until = std::time::Instant::now() + std::time::Duration::from_secs(60);
    while desk
        .harness
        .query_by_label_contains("1, 2026-11-24")
        .is_none()
    {
        assert!(std::time::Instant::now() < until, "no earlier day");
        desk.keys("");
        desk.harness.step();
    }
}

#[test]
fn the_register_s_page_says_that_the_study_of_its_repeatability_is_in_doubt() {
    use fitledger::session::{DoubtfulStudy, GaugeCheck, GaugeStory, RegisterStudy, Zero};
    let study = "repeatability = { s = 0.0008, n = 25, on = 2026-11-20 }\n";
    let text = GAUGES.replacen("repeatability = 0.0005\n", study, 1);
    let said = |entry: RegisterStudy| {
        let zero = Zero {
            line: 4,
            reading: 3,
            at_ms: 0,
            standard: None,
            offset: Length::from_um(50),
            good: false,
            why: String::new(),
            since: None,
        };
        let time = "2026-11-24T10:40:00Z".parse().unwrap();
        let story = GaugeStory {
            checks: vec![GaugeCheck {
                gauge: GaugeId::new("mic"),
                time,
                journal: "zero.jsonl".to_owned(),
                zero,
            }],
            studies: vec![DoubtfulStudy {
                journal: "study.jsonl".to_owned(),
                gauge: GaugeId::new("mic"),
                time,
                readings: 25,
                of: 25,
                because: 0,
                entry: Some(entry),
                is_measured_again: false,
            }],
            ..GaugeStory::default()
        };
        let facts = GaugesFacts {
            register: Register::parse(&text, "gauges.toml").unwrap(),
            today: Date::parse("2026-11-26"),
            story: Some(std::sync::Arc::new(story)),
            ..GaugesFacts::default()
        };
        let seen = |page: GaugesPage| {
            let room = GaugesRoom {
                page,
                ..GaugesRoom::default()
            };
            let view = gauges_view(&GaugesSeen {
                room: &room,
                facts: &facts,
                snapshot: None,
                now_ms: 0,
                marker: '.',
            });
            view.detail.unwrap().page
        };
        let PageView::InDoubt(doubt) = seen(GaugesPage::InDoubt) else {
            panic!("another page");
        };
        let line = &doubt.lines[0];
        assert_eq!(
            (&*line.what, &*line.value),
            ("study of mic", "25 of 25 readings")
        );
        assert!(line.note.contains("feeds no uncertainty"), "{}", line.note);
        let PageView::Facts(lines) = seen(GaugesPage::Facts) else {
            panic!("another page");
        };
        let mut lines = lines.into_iter();
        lines
            .find(|line| line.what == "repeatability")
            .unwrap()
            .note
    };
    let entry = RegisterStudy {
        repeatability: Length::from_nm(800),
        readings: 25,
    };
    assert!(said(entry).contains("study is in doubt"), "{}", said(entry));
    // Another study of that gauge is none of it.
    let other = RegisterStudy {
        readings: 24,
        ..entry
    };
    assert_eq!(said(other), "");
}

/// The zero check is another program's, while the window still shows the closed study.
#[cfg(unix)]
#[test]
fn a_check_that_fails_elsewhere_is_told_on_the_page_of_the_study() {
    use std::io::Write;
    let mut desk = Desk::open(None);
    desk.keys("⑥8⏎⏎⏎3⏎20⏎⏎");
    desk.wait("study_opened", 1);
    desk.keys("20.001⏎20.002⏎20.003⏎");
    desk.wait("study_cell_filled", 3);
    desk.keys("⏎");
    desk.wait("session_closed", 1);
    let mut other = std::process::Command::new(env!("CARGO_BIN_EXE_fitledger"))
        .args(["zero-check", "--gauge", "mic=typed", "--json"])
        .env("FITLEDGER_WORKSPACE", desk.folder.path())
        .stdin(std::process::Stdio::piped())
        .stdout(std::process::Stdio::null())
        .stderr(std::process::Stdio::null())
        .spawn()
        .unwrap();
    other.stdin.take().unwrap().write_all(b"0.050\n").unwrap();
    assert_eq!(other.wait().unwrap().code(), Some(1));
    desk.keys("⌫⑥");
    shows(
        &mut desk,
        "The study is in doubt: mic failed its zero check",
    );
}

/// Waits until that is on the screen.
#[cfg(unix)]
fn shows(desk: &mut Desk<'_>, text: &str) {
    let until = std::time::Instant::now() + std::time::Duration::from_secs(60);
    while desk
        .harness
        .query_all_by_label_contains(text)
        .next()
        .is_none()
    {
        assert!(std::time::Instant::now() < until, "{text} is not shown");
        std::thread::sleep(std::time::Duration::from_millis(5));
        desk.harness.step();
    }
}

/// A gauge with a port: its button alone fills the cells, and its cable may be drawn.
#[cfg(unix)]
#[test]
fn with_its_button_alone_a_gauge_is_studied_and_may_be_unplugged() {
    use crate::support::program::FarEnd;
    let folder = tempfile::tempdir().unwrap();
    let port = folder.path().join("gauge-port");
    let mut far = FarEnd::new();
    std::os::unix::fs::symlink(&far.path, &port).unwrap();
    let bound = format!(
        "mpe = 0.002\nport = {{ path = \"{}\", adapter = \"line-free\" }}\n",
        port.display()
    );
    let register = GAUGES.replacen("mpe = 0.002\n", &bound, 1);
    std::fs::write(folder.path().join("gauges.toml"), register).unwrap();
    let mut desk = Desk::open_in(folder, None);
    desk.keys("⑥8⏎⏎⏎3⏎⏎⏎");
    desk.wait("study_opened", 1);
    desk.wait("gauge_state_changed", 1);
    far.send(b"20.001\r\n");
    desk.wait("study_cell_filled", 1);
    // Nothing is asked of a gauge that sends by itself.
    desk.keys("⏎");
    shows(&mut desk, "data button");
    far.send(b"20.0");
    desk.wait("reading_refused", 1);
    shows(&mut desk, "mic sent bytes that are no reading: 20.0");
    std::fs::remove_file(&port).unwrap();
    drop(far);
    desk.wait("gauge_state_changed", 3);
    shows(&mut desk, "mic: not found");
    let mut far = FarEnd::new();
    std::os::unix::fs::symlink(&far.path, &port).unwrap();
    desk.wait("gauge_state_changed", 4);
    far.send(b"09\r\n");
    desk.wait("reading_set_aside", 1);
    shows(&mut desk, "9 mm counts for nothing");
    far.send(b"20.003\r\n20.002\r\n");
    desk.wait("study_cell_filled", 3);
    shows(&mut desk, "all 3 readings");
}

#[test]
fn keys_belong_to_the_study_while_it_goes_on() {
    use fitledger::window::gauges_room::{GaugesAsked, StudyPress};
    use fitledger::window::press::Press;
    let now = |is_size_awaited| GaugesNow {
        is_size_awaited,
        ..GaugesNow::default()
    };
    let facts = measuring_facts();
    let mut room = at_study();
    for digit in ['2', '0'] {
        assert!(
            room.press(Press::Digit(digit), &facts, now(true))
                .is_empty()
        );
    }
    let asked = room.press(Press::Enter, &facts, now(true));
    assert_eq!(
        asked,
        [GaugesAsked::Study(StudyPress::Answer("20".to_owned()))]
    );
    let asked = room.press(Press::Star, &facts, now(true));
    assert_eq!(asked, [GaugesAsked::Study(StudyPress::Again)]);
    // Another gauge is not chosen by chance.
    assert!(room.press(Press::Plus, &facts, now(true)).is_empty());
    assert_eq!((room.chosen, room.page), (0, GaugesPage::Study));
    let facts = result_facts();
    for (press, said) in [
        (Press::Plus, StudyPress::Write),
        (Press::Slash, StudyPress::Again),
        (Press::Enter, StudyPress::GoOn),
    ] {
        let mut room = at_study();
        assert_eq!(
            room.press(press, &facts, now(false)),
            [GaugesAsked::Study(said)]
        );
    }
}

#[test]
fn by_the_keypad_alone_a_study_is_asked_for_measured_mended_and_entered() {
    let mut desk = Desk::open(None);
    desk.keys("⑥8⏎");
    assert!(
        desk.harness
            .query_by_label_contains("How many parts?")
            .is_some()
    );
    // One part, one person, four readings, a ring of 20 mm, a tolerance.
    desk.keys("1⏎⏎4⏎20⏎0.02⏎");
    desk.wait("study_opened", 1);
    assert!(
        desk.harness
            .query_by_label_contains("Reading 1 of 4")
            .is_some()
    );
    desk.keys("20.001⏎");
    desk.wait("study_cell_filled", 1);
    // A device that plays keyboard, then one reading too many taken once more.
    desk.burst("20.003");
    desk.wait("study_cell_filled", 2);
    desk.keys("20.300⏎");
    desk.wait("study_cell_filled", 3);
    desk.keys("*");
    desk.wait("reading_voided", 1);
    desk.keys("20.002⏎");
    desk.wait("study_cell_filled", 4);
    desk.keys("20.004⏎");
    desk.wait("study_cell_filled", 5);
    assert!(
        desk.harness
            .query_by_label_contains("all 4 readings")
            .is_some()
    );
    desk.keys("+");
    let register = std::fs::read_to_string(desk.folder.path().join("gauges.toml")).unwrap();
    // sqrt(5/3) µm = 1.29099… µm, up to the next nanometre.
    assert!(
        register.contains("repeatability = { s = 0.001291, n = 4, on = "),
        "{register}"
    );
    desk.keys("⏎");
    desk.wait("session_closed", 1);
    assert!(
        desk.journal()
            .contains("every reading of the study has been taken")
    );
}

#[test]
fn a_study_that_was_left_opens_on_its_page_again() {
    let mut desk = Desk::open(None);
    desk.keys("⑥8⏎⏎⏎3⏎⏎⏎");
    desk.wait("study_opened", 1);
    desk.keys("20.001⏎");
    desk.wait("study_cell_filled", 1);
    let Desk {
        mut harness,
        folder,
    } = desk;
    harness.state_mut().as_mut().unwrap().stop();
    drop(harness);
    let sessions = std::fs::read_dir(folder.path().join("sessions")).unwrap();
    let journal = sessions.map(|entry| entry.unwrap().path()).next().unwrap();
    let begin = fitledger::session::Begin::new(What::Continue(journal));
    let mut desk = Desk::open_in(folder, Some(begin));
    desk.wait("session_resumed", 1);
    assert_eq!(desk.window().gauges().unwrap().page, GaugesPage::Study);
    assert!(
        desk.harness
            .query_by_label_contains("Reading 2 of 3")
            .is_some()
    );
    // A study is a record of its own: no other begins beside it, and the Bench is a key away.
    assert!(
        desk.harness
            .query_by_label("Backspace to the Bench")
            .is_some()
    );
    desk.keys("⌫");
    assert!(desk.window().gauges().is_none());
}

#[test]
fn beside_a_session_no_study_begins() {
    let callout = What::Callouts(vec!["20 k6".to_owned()]);
    let begin = fitledger::session::Begin {
        gauges: vec!["mic=typed".to_owned()],
        ..fitledger::session::Begin::new(callout)
    };
    let mut desk = Desk::open(Some(begin));
    desk.wait("session_opened", 1);
    desk.keys("⑥8⏎");
    assert!(
        desk.harness
            .query_by_label_contains("a record of its own")
            .is_some()
    );
    assert_eq!(desk.count("study_opened"), 0);
}

#[test]
fn the_pages_of_a_study_look_as_they_were_accepted() {
    let mut entry = at_study();
    entry.entry = Some("20.0".to_owned());
    let mut faults = Vec::new();
    for (name, theme, bench, room) in [
        (
            "gauges-night-study",
            Theme::Night,
            measured(14, None),
            entry,
        ),
        (
            "gauges-day-study-result",
            Theme::Day,
            measured(30, Some(Length::from_um(40))),
            at_study(),
        ),
    ] {
        let (facts, snapshot) = (facts_of(&bench), snapshot(&bench));
        let view = gauges_view(&GaugesSeen {
            room: &room,
            facts: &facts,
            snapshot: Some(&snapshot),
            now_ms: 0,
            marker: '.',
        });
        let look = Look::new(theme, Sizes::default());
        let image = picture(SMALL, 1.0, |ui| {
            gauges_ui(ui, &view, &look, &mut Vec::new());
        });
        keep(name, &image);
        faults.extend(compare(name, &image).err());
    }
    assert!(faults.is_empty(), "{}", faults.join("\n"));
}

/// Nothing on the page rests on a study that is not there.
#[test]
fn without_a_study_the_page_offers_one() {
    let facts = GaugesFacts {
        study: None,
        ..result_facts()
    };
    let view = page(&facts, &at_study());
    assert!(
        view.prompt.contains("Enter begins a study"),
        "{}",
        view.prompt
    );
    assert_eq!(view.bars, Vec::new());
    let empty = StudyFacts::default();
    assert_eq!(empty.stage, StudyStage::Setup);
}

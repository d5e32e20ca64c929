//! A study whose gauge is found wrong: its readings are in doubt, their cells are open again, and
//! nothing of it counts. And readings as a measurement would have them: zero offsets and the biases
//! of calibrations taken off.

use fitledger::gauge::{GaugeId, Register, StudyEntry, with_study, without_study};
use fitledger::journal::{Event, GaugeSource, SessionOpened, StudyCell, StudyPart};
use fitledger::quantity::Length;
use fitledger::session::{
    Command, STUDY_POOLING, StudyAsked, StudyResult, next_action, next_steps, study_result,
};

use crate::support::bench::{Bench, GAUGES};

/// A calibrated gauge and a calibrated ring beside those of the other tests: the gauge shows 3 µm
/// too much up to 15 mm and 5 µm from there on, the ring is marked 2 µm more than it has.
const CALIBRATED: &str = "
[[gauge]]\nid = \"known\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nresolution = 0.001
calibration = { U = 0.001, k = 2, bias = [[0, 0.003], [15, 0.003], [15.001, 0.005]] }
[[gauge]]\nid = \"true-ring\"\nkind = \"setting_ring\"\nrange = 20.000
calibration = { U = 0.001, k = 2, bias = [[20, 0.002]] }
[[gauge]]\nid = \"plunger\"\nkind = \"bore_gauge\"\nrange = [-0.5, 0.5]\nresolution = 0.001
mpe = 0.002\nreads = \"deviation\"\nset_on = \"true-ring\"
";

fn opened() -> SessionOpened {
    let source = |gauge: &str| GaugeSource {
        gauge: gauge.to_owned(),
        source: "typed".to_owned(),
        adapter: String::new(),
        repeat_ms: 0,
    };
    SessionOpened {
        program: "test".to_owned(),
        plan_name: "gauge-study".to_owned(),
        gauges: format!("{GAUGES}{CALIBRATED}"),
        sources: ["mic", "known", "plunger"].map(source).to_vec(),
        offset: "+01:00".to_owned(),
        ..SessionOpened::default()
    }
}

fn begun(gauge: &str, parts: &[StudyPart], trials: u32) -> Bench {
    let asked = StudyAsked {
        parts: parts.to_vec(),
        trials: Some(trials),
        ..StudyAsked::default()
    };
    let register = Register::parse(&opened().gauges, "gauges.toml").unwrap();
    let plan = asked.plan(gauge, &register).unwrap();
    let mut bench = Bench::new(opened());
    bench.asks(Command::OpenStudy(Box::new(plan)));
    bench
}

fn sized(mm: i64) -> StudyPart {
    StudyPart {
        reference: Some(Length::from_mm(mm)),
        ..StudyPart::default()
    }
}

fn on(standard: &str) -> StudyPart {
    StudyPart {
        standard: standard.to_owned(),
        ..StudyPart::default()
    }
}

fn checks_zero(bench: &mut Bench, gauge: &str, shown: &str) -> bool {
    bench.asks(Command::AskZeroCheck {
        gauge: GaugeId::new(gauge),
        standard: None,
    });
    let events = bench.events(gauge, shown);
    let good = events.iter().find_map(|event| match event {
        Event::ZeroChecked(checked) => Some(checked.good),
        _ => None,
    });
    good.unwrap()
}

fn result(bench: &Bench) -> StudyResult {
    study_result(bench.state(), STUDY_POOLING).unwrap().unwrap()
}

fn next(bench: &Bench) -> Option<StudyCell> {
    bench.state().study().unwrap().next()
}

fn near(found: f64, wanted: f64, what: &str) {
    assert!((found - wanted).abs() < 1e-9, "{what}: {found}, {wanted}");
}

#[test]
fn a_zero_offset_is_taken_off_the_bias_and_is_no_scatter() {
    let mut bench = begun("mic", &[sized(20)], 6);
    for text in ["20.003", "20.001", "20.002"] {
        bench.reads(text);
    }
    near(result(&bench).biases[0].bias_mm, 0.002, "as shown");
    assert!(!result(&bench).is_corrected);
    // The zero is checked, and shows 2 µm too much: from here on that is taken off.
    assert!(checks_zero(&mut bench, "mic", "0.002"));
    for text in ["20.005", "20.003", "20.004"] {
        assert_eq!(bench.reads(text), "study_cell_filled");
    }
    let found = result(&bench);
    // 3, 1, 2, 3, 1, 2 µm: numpy 2.4.6 std(ddof=1) = 0.8944271909999159, mean 2.
    near(found.biases[0].bias_mm, 0.002, "less the offset");
    near(found.repeatability.unwrap().sd, 0.000_894_427_191, "sd");
    assert!(found.is_corrected);
    assert!(found.notes()[0].contains("as in a measurement"));
    bench.check();
}

#[test]
fn the_bias_that_a_calibration_found_is_no_bias_and_no_slope_of_the_study() {
    let mut bench = begun("known", &[sized(10), sized(20)], 3);
    // As its certificate says, and 1 µm more than that at 20 mm.
    for (at, text) in ["10.003", "20.006", "10.004", "20.007", "10.002", "20.005"]
        .iter()
        .enumerate()
    {
        assert_eq!(bench.reads_with("known", text), "study_cell_filled", "{at}");
    }
    let found = result(&bench);
    near(found.biases[0].bias_mm, 0.0, "at 10");
    near(found.biases[1].bias_mm, 0.001, "at 20");
    near(found.linearity.unwrap().line.slope, 0.000_1, "slope");
}

#[test]
fn a_setting_standard_counts_with_the_size_that_its_calibration_found() {
    let mut bench = begun("mic", &[on("true-ring")], 3);
    let part = &bench.state().study().unwrap().opened().parts[0];
    assert_eq!(part.reference, Some(Length::from_um(19_998)));
    for text in ["19.999", "19.999", "19.999"] {
        bench.reads(text);
    }
    near(result(&bench).biases[0].bias_mm, 0.001, "on its true size");
    // A comparator that was set on it shows 0 there, and measures 19.998.
    let mut bench = begun("plunger", &[on("true-ring")], 3);
    for text in ["0.000", "0.001", "-0.001"] {
        assert_eq!(bench.reads_with("plunger", text), "study_cell_filled");
    }
    near(result(&bench).biases[0].bias_mm, 0.0, "set on it");
}

#[test]
fn a_failed_check_opens_the_cells_since_the_last_good_one_and_nothing_counts() {
    let mut bench = begun("mic", &[sized(20)], 6);
    for text in ["20.001", "20.002"] {
        bench.reads(text);
    }
    assert!(checks_zero(&mut bench, "mic", "0.000"));
    for text in ["20.003", "20.004", "20.003", "20.002"] {
        bench.reads(text);
    }
    let before = result(&bench);
    assert!(before.is_complete() && before.for_register().is_some());
    assert!(!checks_zero(&mut bench, "mic", "0.050"));
    let found = result(&bench);
    assert_eq!((found.doubted, found.filled), (4, 2));
    assert_eq!(found.for_register(), None);
    let steps = next_steps(&found);
    assert!(
        steps[0].starts_with("4 readings are in doubt: mic"),
        "{steps:?}"
    );
    assert_eq!(next(&bench).unwrap().trial, 3);
    // Until the zero is checked again no reading fills anything, and that is said.
    assert!(next_action(bench.state()).contains("failed its zero check"));
    assert_eq!(bench.reads("20.003"), "reading_set_aside");
    let (_, reason) = bench.state().study().unwrap().last_aside().unwrap();
    assert!(reason.contains("failed its zero check"), "{reason}");
    assert!(checks_zero(&mut bench, "mic", "0.000"));
    assert!(next_action(bench.state()).starts_with("Reading 3 of 6."));
    for text in ["20.003", "20.004", "20.003"] {
        assert_eq!(bench.reads(text), "study_cell_filled");
    }
    assert_eq!(
        (result(&bench).doubted, result(&bench).for_register()),
        (1, None)
    );
    assert_eq!(bench.reads("20.002"), "study_cell_filled");
    assert_eq!(result(&bench), StudyResult { ..before });
    bench.check();
}

#[test]
fn dirt_on_the_standard_is_voided_and_the_readings_count_again() {
    let mut bench = begun("mic", &[sized(20)], 4);
    for text in ["20.001", "20.002", "20.003", "20.004"] {
        bench.reads(text);
    }
    let before = result(&bench);
    assert!(!checks_zero(&mut bench, "mic", "0.050"));
    assert_eq!(result(&bench).doubted, 4);
    let check = *bench.readings().last().unwrap();
    bench.void(Some(check));
    assert_eq!(result(&bench), before);
    // A voided reading that was in doubt does not come back with the others.
    assert!(!checks_zero(&mut bench, "mic", "0.050"));
    let first = bench.readings()[0];
    let check = *bench.readings().last().unwrap();
    bench.void(Some(first));
    bench.void(Some(check));
    let found = result(&bench);
    assert_eq!((found.filled, found.doubted), (3, 0));
    bench.check();
}

#[test]
fn a_gauge_that_was_dropped_puts_its_study_in_doubt() {
    let mut bench = begun("mic", &[sized(20)], 3);
    for text in ["20.001", "20.002", "20.003"] {
        bench.reads(text);
    }
    bench.asks(Command::DoubtGauge {
        gauge: GaugeId::new("mic"),
        since: None,
        reason: "fell on the floor".to_owned(),
    });
    assert_eq!(result(&bench).doubted, 3);
    // Another gauge's fall is none of it.
    let mut bench = begun("mic", &[sized(20)], 3);
    bench.reads("20.001");
    bench.asks(Command::DoubtGauge {
        gauge: GaugeId::new("caliper"),
        since: None,
        reason: "fell on the floor".to_owned(),
    });
    assert_eq!(result(&bench).doubted, 0);
}

#[test]
fn a_register_without_a_study_says_why_and_keeps_the_rest() {
    let mic = GaugeId::new("mic");
    let entry = StudyEntry {
        repeatability: Length::from_nm(800),
        readings: 25,
        on: fitledger::gauge::Date::parse("2026-11-26").unwrap(),
    };
    let text = with_study(GAUGES, &mic, &entry).unwrap();
    let without = without_study(&text, &mic, "it fell\ninto the coolant").unwrap();
    let register = Register::parse(&without, "gauges.toml").unwrap();
    assert_eq!(register.gauge(&mic).unwrap().repeatability, None);
    assert!(
        without.ends_with("left out, its study is in doubt: it fellinto the coolant\n"),
        "{without}"
    );
    assert_eq!(
        register.gauges().len(),
        Register::parse(GAUGES, "x").unwrap().gauges().len()
    );
    assert!(without_study(&text, &GaugeId::new("nobody"), "x").is_err());
}

/// The released record of a study: two parts, two people, twice each, µm above 20 and 15 mm; a zero
/// check after the second reading finds 1 µm, which is taken off what comes after it.
#[test]
fn the_released_record_of_a_study_gives_what_its_lines_give_by_hand() {
    let bytes = include_bytes!("../../sessions/example-study.jsonl");
    let disk = crate::support::cruel_disk::CruelDisk::default();
    disk.put_file("example-study.jsonl", bytes);
    let parts = fitledger::session::session_parts(&disk, "example-study.jsonl").unwrap();
    let open = |part: &fitledger::journal::Part| {
        use fitledger::journal::StorageFolder;
        disk.open_read(&part.name)
    };
    let check = fitledger::session::Check::Verdicts;
    let (_, replayed) = fitledger::session::replay(&parts, open, check).unwrap();
    assert_eq!(replayed.faults, Vec::new());
    let found = study_result(&replayed.state.unwrap(), STUDY_POOLING)
        .unwrap()
        .unwrap();
    // Ada 3, 2 and 6, 4; Bea 3, 4 and 6, 8: variances 1/2, 2, 1/2, 2, on the mean 5/4.
    near(
        found.repeatability.unwrap().sd,
        0.001 * 1.25_f64.sqrt(),
        "sd",
    );
    let components = found.components().unwrap();
    assert!(found.variances.unwrap().pooled);
    // Interaction 0.5, 1 degree of freedom, pooled with 5: 5.5/5.
    near(components.repeatability, 0.001 * 1.1_f64.sqrt(), "pooled");
    // People: means 3.75 and 5.25, 8/2 of 0.75^2 twice is 4.5; (4.5 - 1.1)/4.
    near(
        components.reproducibility,
        0.001 * 0.85_f64.sqrt(),
        "people",
    );
    assert!(found.is_corrected && found.is_complete());
    assert_eq!((found.doubted, found.parts.len(), found.trials), (0, 2, 2));
}

#[test]
fn the_rest_of_a_reading_is_no_zero_check_and_no_cell() {
    use fitledger::gauge::{Origin, Reading};
    use fitledger::session::Incoming;
    let mut bench = begun("mic", &[sized(20)], 3);
    let sent = |text: &str| {
        Incoming::Reading(Reading {
            origin: Origin::Sent,
            ..crate::support::bench::typed("mic", text)
        })
    };
    let refused = |code: &str| {
        Incoming::Notice(Event::ReadingRefused {
            gauge: "mic".to_owned(),
            code: code.to_owned(),
            raw: b"0.0".to_vec(),
        })
    };
    bench.asks(Command::AskZeroCheck {
        gauge: GaugeId::new("mic"),
        standard: None,
    });
    let kinds = |bench: &mut Bench, all: Vec<Incoming>| -> Vec<String> {
        let taken = bench.take(all);
        let kinds = taken.recorded.iter().map(|one| one.event.kind());
        let kinds = kinds.filter(|kind| !kind.ends_with("received") && !kind.ends_with("refused"));
        kinds.map(str::to_owned).collect()
    };
    let said = kinds(&mut bench, vec![refused("truncated"), sent("0.001")]);
    assert_eq!(said, ["reading_set_aside"]);
    assert_eq!(kinds(&mut bench, vec![sent("0.001")]), ["zero_checked"]);
    // What was whole before the break counts, what came after it does not, in one batch too; and
    // a line that is none, but whole, leaves no rest behind.
    let said = kinds(
        &mut bench,
        vec![sent("20.001"), refused("truncated"), sent("0.002")],
    );
    assert_eq!(said, ["study_cell_filled", "reading_set_aside"]);
    let said = kinds(
        &mut bench,
        vec![refused("truncated"), refused("malformed"), sent("20.003")],
    );
    assert_eq!(said, ["study_cell_filled"]);
    // A person who types has seen the whole value.
    kinds(&mut bench, vec![refused("truncated")]);
    assert_eq!(bench.reads("20.002"), "study_cell_filled");
    bench.check();
}

//! The sheet of sessions made here: corrections, decisions, signatures, people, temperatures,
//! stages, sampling. What each comes to is the rule in words beside it, not our own output.

use fitledger::gauge::{Origin, Reading};
use fitledger::journal::{
    Disposition, DispositionKind, Event, Job, Manner, Meaning, ReadingTaken, SignedOff,
};
use fitledger::quantity::{Celsius, Length};
use fitledger::report::{PartSheet, Selection, Sheet};
use fitledger::session::{Command, Incoming};

use crate::support::bench::{Bench, feature, plan, typed};
use crate::support::hostile::TEXTS;
use crate::support::sheets::{bytes_of, row, sheet_of, sheet_of_bytes};

/// `20 k6` is 20.002 to 20.015 (ISO 286-2), `10 ±0.1` is 9.9 to 10.1.
fn two_features() -> String {
    feature("A", "20 k6", "") + &feature("B", "10 ±0.1", "")
}

fn decide(kind: DispositionKind, part: u32, reason: &str, by: &str) -> Disposition {
    Disposition {
        part,
        kind,
        feature: String::new(),
        element: String::new(),
        reason: reason.to_owned(),
        by: by.to_owned(),
        agreed_with: String::new(),
        of: 0,
    }
}

fn sign(part: u32, meaning: Meaning, manner: Manner, by: &str, reason: &str) -> Command {
    Command::SignOff(Box::new(SignedOff {
        part,
        meaning,
        manner,
        by: by.to_owned(),
        reason: reason.to_owned(),
        covers: SignedOff::JUST_BEFORE,
        hash: String::new(),
        left: Vec::new(),
    }))
}

fn dispose(given: Disposition) -> Command {
    Command::Dispose(Box::new(given))
}

fn part(sheet: &Sheet, number: u32) -> &PartSheet {
    sheet
        .parts
        .iter()
        .find(|part| part.number == number)
        .unwrap()
}

/// State, standing, whether it may be taken for good.
fn stands(sheet: &Sheet, number: u32) -> (&str, &str, bool) {
    let part = part(sheet, number);
    (&part.state, &part.standing, part.is_good)
}

fn new_line(bench: &Bench) -> u64 {
    *bench.readings().last().unwrap()
}

#[test]
fn a_voided_reading_names_who_why_and_what_counts_now() {
    let mut bench = Bench::new(plan(&two_features()));
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    let wrong = new_line(&bench);
    bench.void(None);
    assert_eq!(bench.reads("20.009"), "GO");
    let right = new_line(&bench);
    let sheet = sheet_of(&bench);
    let (old, new) = (row(&sheet, wrong), row(&sheet, right));
    assert_eq!(
        (&*old.end, &*old.reason, &*old.by),
        ("voided", "tilted", "Ada")
    );
    assert_eq!((&*old.verdict, &*old.value_at_20), ("NO-GO", "20.030"));
    assert_eq!((old.replaced_by, old.counts), (right, false));
    assert_eq!(
        (new.replaced_by, new.counts, &*new.end),
        (0, true, "judged")
    );
    let seat = &part(&sheet, 1).results[0];
    assert_eq!(
        (seat.reading, &*seat.actual, &*seat.verdict),
        (right, "20.009", "GO")
    );
    // B is still to be measured: the part is open, whatever A is.
    assert_eq!(stands(&sheet, 1), ("open", "open", false));
    assert_eq!(part(&sheet, 1).results[1].verdict, "");
}

#[test]
fn repeats_that_were_averaged_all_count() {
    let mut bench = Bench::new(plan(&two_features()));
    bench.reads("20.003");
    let first = new_line(&bench);
    bench.reads("20.003");
    let second = new_line(&bench);
    let sheet = sheet_of(&bench);
    let seat = &part(&sheet, 1).results[0];
    assert_eq!(
        (seat.from.clone(), seat.reading),
        (vec![first, second], second)
    );
    assert!(row(&sheet, first).counts && row(&sheet, second).counts);
    assert_eq!(row(&sheet, first).replaced_by, 0);
}

#[test]
fn rework_keeps_the_old_reading_and_the_new_one_counts() {
    let mut bench = Bench::new(plan(&two_features()));
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    let before = new_line(&bench);
    bench.asks(dispose(decide(
        DispositionKind::Rework,
        1,
        "metal on",
        "Berta",
    )));
    let between = sheet_of(&bench);
    assert_eq!(stands(&between, 1), ("open", "rework", false));
    assert_eq!(
        part(&between, 1).results[0].actual,
        "",
        "nothing counts until it is measured"
    );
    assert_eq!(bench.reads("20.009"), "GO");
    let after = new_line(&bench);
    assert_eq!(bench.reads("10.000"), "GO");
    let sheet = sheet_of(&bench);
    assert_eq!(stands(&sheet, 1), ("GO", "GO", true));
    let old = row(&sheet, before);
    assert_eq!(
        (&*old.end, &*old.verdict, old.replaced_by),
        ("judged", "NO-GO", after)
    );
    assert!(!old.counts && row(&sheet, after).counts);
    let decision = &part(&sheet, 1).decisions[0];
    assert_eq!(
        (&*decision.what, &*decision.reason, &*decision.by),
        ("rework", "metal on", "Berta")
    );
    assert!(decision.line > before && decision.line < after);
    assert!(!decision.time.is_empty());
}

#[test]
fn a_concession_covers_what_is_not_good_and_is_never_go() {
    let mut bench = Bench::new(plan(&two_features()));
    assert_eq!(bench.reads("20.009"), "GO");
    assert_eq!(bench.reads("9.850"), "NO-GO below");
    bench.asks(dispose(Disposition {
        feature: "B".to_owned(),
        element: "size".to_owned(),
        agreed_with: "Pump works".to_owned(),
        ..decide(DispositionKind::Concession, 1, "face is free", "Carla")
    }));
    let sheet = sheet_of(&bench);
    assert_eq!(part(&sheet, 1).standing, "under concession");
    assert!(!part(&sheet, 1).is_good);
    let decision = &part(&sheet, 1).decisions[0];
    assert_eq!((&*decision.about, decision.number), ("B size", 2));
    assert_eq!(
        (&*decision.agreed_with, &*decision.by),
        ("Pump works", "Carla")
    );
    let results = &part(&sheet, 1).results;
    assert_eq!(results[1].concession, Some(decision.line));
    assert_eq!(results[1].verdict, "NO-GO", "a decision changes no verdict");
    assert_eq!(results[0].concession, None, "what is good needs none");

    bench.asks(sign(
        1,
        Meaning::Released,
        Manner::UnderConcession,
        "Carla",
        "",
    ));
    let sheet = sheet_of(&bench);
    let released = &part(&sheet, 1).signatures[0];
    assert_eq!(part(&sheet, 1).standing, "released under concession");
    assert!(!part(&sheet, 1).is_good);
    assert_eq!(
        (&*released.meaning, &*released.manner),
        ("released", "under_concession")
    );
    assert_eq!(released.covers, released.line - 1);
    let line = String::from_utf8(bytes_of(&bench)).unwrap();
    let covered = line
        .lines()
        .nth(usize::try_from(released.covers).unwrap() - 1)
        .unwrap();
    assert!(
        covered.ends_with(&format!("\"hash\":\"{}\"}}", released.hash)),
        "{covered}"
    );
    assert_eq!(
        released.left,
        ["B size: NO-GO, chance of conformity 0.0000 %"]
    );
}

/// A concession for the whole part covers what needs it, and is not put beside what is good.
#[test]
fn a_concession_for_the_whole_part_stands_beside_what_is_not_good() {
    let mut bench = Bench::new(plan(&two_features()));
    assert_eq!(
        (&*bench.reads("20.009"), &*bench.reads("9.850")),
        ("GO", "NO-GO below")
    );
    bench.asks(dispose(decide(
        DispositionKind::Concession,
        1,
        "free",
        "Carla",
    )));
    let sheet = sheet_of(&bench);
    let decision = &part(&sheet, 1).decisions[0];
    assert_eq!((&*decision.about, decision.number), ("", 0));
    let results = &part(&sheet, 1).results;
    assert_eq!(results[0].concession, None);
    assert_eq!(results[1].concession, Some(decision.line));
}

#[test]
fn scrap_hold_and_what_was_withdrawn_stay_visible() {
    let mut bench = Bench::new(plan(&two_features()));
    assert_eq!(bench.reads("19.900"), "NO-GO metal_gone");
    bench.asks(dispose(decide(
        DispositionKind::Hold,
        1,
        "ask the customer",
        "Ada",
    )));
    assert_eq!(stands(&sheet_of(&bench), 1), ("open", "on hold", false));
    let hold = part(&sheet_of(&bench), 1).decisions[0].line;
    bench.asks(dispose(Disposition {
        of: hold,
        ..decide(DispositionKind::Withdrawn, 1, "answered", "Ada")
    }));
    bench.asks(dispose(decide(
        DispositionKind::Scrap,
        1,
        "too small",
        "Ada",
    )));
    let sheet = sheet_of(&bench);
    assert_eq!(stands(&sheet, 1), ("open", "scrap", false));
    let decisions = &part(&sheet, 1).decisions;
    let words: Vec<&str> = decisions.iter().map(|one| &*one.what).collect();
    assert_eq!(words, ["hold", "withdrawn", "scrap"]);
    assert_eq!(decisions[0].withdrawn_by, decisions[1].line);
    assert_eq!(
        (decisions[1].withdrawn_by, decisions[2].withdrawn_by),
        (0, 0)
    );
}

#[test]
fn an_early_release_and_one_in_doubt_are_marked_and_never_good() {
    let mut bench = Bench::new(plan(&two_features()));
    assert_eq!(bench.reads("20.009"), "GO");
    bench.asks(sign(
        1,
        Meaning::Released,
        Manner::Early,
        "Dora",
        "needed at the pump",
    ));
    bench.asks(Command::StartNextPart);
    assert_eq!(bench.reads("20.003"), "DOUBT");
    bench.asks(Command::ChooseCharacteristic {
        feature: "B".to_owned(),
        element: String::new(),
    });
    assert_eq!(bench.reads("10.000"), "GO");
    bench.asks(sign(
        2,
        Meaning::Released,
        Manner::InDoubt,
        "Dora",
        "0.1 um is no harm",
    ));
    let sheet = sheet_of(&bench);
    assert_eq!(stands(&sheet, 1), ("open", "released early", false));
    let early = &part(&sheet, 1).signatures[0];
    assert_eq!(
        (&*early.manner, &*early.reason, &*early.by),
        ("early", "needed at the pump", "Dora")
    );
    assert_eq!(early.left, ["B size: open"]);
    let doubt = part(&sheet, 2);
    assert_eq!(
        (&*doubt.standing, doubt.is_good),
        ("released in doubt", false)
    );
    assert_ne!(doubt.state, "GO");
    let left = &doubt.signatures[0].left[0];
    assert!(
        left.starts_with("A size: DOUBT, chance of conformity "),
        "{left}"
    );
}

#[test]
fn a_release_lapses_when_the_part_changes_after_it() {
    let mut bench = Bench::new(plan(&two_features()));
    assert_eq!(
        (&*bench.reads("20.009"), &*bench.reads("10.000")),
        ("GO", "GO")
    );
    bench.asks(sign(1, Meaning::Checked, Manner::Plain, "Eva", ""));
    bench.asks(sign(1, Meaning::Released, Manner::Plain, "Dora", ""));
    let sheet = sheet_of(&bench);
    assert_eq!(stands(&sheet, 1), ("GO", "released", true));
    let manners: Vec<&str> = part(&sheet, 1)
        .signatures
        .iter()
        .map(|one| &*one.manner)
        .collect();
    assert_eq!(manners, ["", ""], "a plain release has no manner");
    bench.asks(sign(0, Meaning::Released, Manner::Plain, "Dora", ""));
    assert!(!sheet_of(&bench).record.signatures[0].has_lapsed);
    bench.void(None);
    let sheet = sheet_of(&bench);
    assert_eq!(stands(&sheet, 1), ("open", "changed since release", false));
    let voided = part(&sheet, 1).signatures.iter();
    assert!(
        voided
            .clone()
            .all(|one| one.has_lapsed && one.lapsed_by > one.line)
    );
    assert_eq!(
        sheet.record.signatures.len(),
        1,
        "under the session as a whole"
    );
    assert!(sheet.record.signatures[0].has_lapsed);
}

#[test]
fn each_reading_has_its_own_operator_and_each_part_its_own_lot() {
    let mut opened =
        plan(&("customer = \"Pump works\"\nmaterial_lot = \"L-1\"\n".to_owned() + &two_features()));
    opened.job.machine = "lathe 1".to_owned();
    let mut bench = Bench::new(opened);
    bench.reads("20.009");
    bench.asks(Command::ChangeOperator {
        name: "Ben".to_owned(),
    });
    bench.reads("10.000");
    bench.asks(Command::NamePart {
        part: Some(1),
        serial: "S-1".to_owned(),
    });
    bench.asks(Command::NoteJob(Job {
        material_lot: "L-2".to_owned(),
        ..Job::default()
    }));
    bench.asks(Command::StartNextPart);
    bench.asks(Command::NamePart {
        part: None,
        serial: "S-2".to_owned(),
    });
    bench.reads("20.008");
    let sheet = sheet_of(&bench);
    let who: Vec<&str> = part(&sheet, 1)
        .readings
        .iter()
        .map(|row| &*row.operator)
        .collect();
    assert_eq!(who, ["Ada", "Ben"]);
    assert_eq!(part(&sheet, 1).results[1].operator, "Ben");
    assert_eq!(sheet.job.operators, ["Ada", "Ben"]);
    let job = &sheet.job;
    assert_eq!(
        (&*job.material_lot, &*job.machine, &*job.customer),
        ("L-1", "lathe 1", "Pump works")
    );
    assert!(part(&sheet, 1).job_notes.is_empty());
    assert_eq!(part(&sheet, 2).job_notes, ["material lot: L-2"]);
    let serials: Vec<&str> = sheet.parts.iter().map(|part| &*part.serial).collect();
    assert_eq!(serials, ["S-1", "S-2"]);
    let told: Vec<(&str, u32)> = sheet
        .happenings
        .iter()
        .map(|h| (&*h.what, h.part))
        .collect();
    assert!(
        told.contains(&("Part 2 was given the serial number S-2.", 2)),
        "{told:?}"
    );
    assert!(
        told.contains(&("From here on Ben measured.", 1)),
        "{told:?}"
    );
    assert!(
        told.contains(&("From here on: material lot: L-2.", 1)),
        "{told:?}"
    );

    let by_serial = Selection {
        parts: None,
        serial: Some("S-2".to_owned()),
    };
    let second = sheet_of_bytes(&bytes_of(&bench), &by_serial);
    // Alone it is the first, so that the head names its lot.
    let alone = PartSheet {
        job_notes: Vec::new(),
        ..sheet.parts[1].clone()
    };
    assert_eq!(second.parts, [alone]);
    assert_eq!(
        (second.job.operators, second.job.material_lot),
        (vec!["Ben".to_owned()], "L-2".to_owned())
    );
}

/// A temperature lapses after ten minutes (chosen; product page): what is older is not recorded
/// with a reading.
#[test]
fn a_reading_has_the_temperatures_that_held_when_it_was_taken() {
    let text = "material = \"1.4301\"\n".to_owned() + &feature("A", "20 ±0.2", "points = 5");
    let mut bench = Bench::new(plan(&text));
    bench.reads("20.001");
    bench.asks(Command::SetTemperature {
        part: Some(Celsius::parse("24.5").unwrap()),
        gauge: None,
    });
    let entered_ms = bench.now_ms;
    bench.reads("20.002");
    // The reading comes a second later than the clock stands.
    bench.now_ms = entered_ms + 599_000;
    bench.reads("20.003");
    bench.reads("20.004");
    bench.asks(Command::SetTemperature {
        part: Some(Celsius::parse("21").unwrap()),
        gauge: Some(Celsius::parse("20.25").unwrap()),
    });
    bench.reads("20.005");
    let sheet = sheet_of(&bench);
    let rows = part(&sheet, 1).readings.iter();
    let found: Vec<(&str, &str)> = rows
        .map(|row| (&*row.part_temperature, &*row.gauge_temperature))
        .collect();
    let (none, first) = (("", ""), ("24.5", ""));
    assert_eq!(found, [none, first, first, none, ("21", "20.25")]);
    let told: Vec<&str> = sheet.happenings.iter().map(|one| &*one.what).collect();
    assert_eq!(told[0], "Temperature of the part: 24.5 °C.");
    assert_eq!(
        told[1],
        "Temperature of the part: 21 °C; of the gauge: 20.25 °C."
    );
}

#[test]
fn a_part_measured_before_its_last_stage_is_never_go() {
    let mut opened = plan(&feature(
        "A",
        "20 k6",
        "stages = [\"turned\", \"ground\"]\nleave = 0.2",
    ));
    opened.stage = "turned".to_owned();
    let mut bench = Bench::new(opened);
    // 0.2 mm is left on: 20.202 to 20.215.
    assert_eq!(bench.reads("20.209"), "GO");
    let sheet = sheet_of(&bench);
    assert_eq!(stands(&sheet, 1), ("open", "open (stage done)", false));
    assert_eq!(
        (&*sheet.job.stage, sheet.job.is_earlier_stage),
        ("turned", true)
    );
    let asked = &sheet.asked[0];
    assert_eq!((&*asked.lower, &*asked.upper), ("20.202", "20.215"));
    assert!(asked.is_earlier_stage);
    assert_eq!(part(&sheet, 1).readings[0].stage, "turned");
}

#[test]
fn what_the_sampling_plan_leaves_out_is_not_selected() {
    let text = feature("A", "20 k6", "") + &feature("B", "10 ±0.1", "every = 5");
    let mut bench = Bench::new(plan(&text));
    assert_eq!(
        (&*bench.reads("20.009"), &*bench.reads("10.000")),
        ("GO", "GO")
    );
    assert_eq!(bench.reads("20.008"), "GO");
    let sheet = sheet_of(&bench);
    let selected = |number| part(&sheet, number).results[1].is_selected;
    assert_eq!((selected(1), selected(2)), (true, false));
    assert_eq!(part(&sheet, 2).results[1].verdict, "");
    assert_eq!(sheet.asked[1].every, 5);
}

#[test]
fn what_happened_at_the_machine_stands_in_order() {
    let mut bench = Bench::new(plan(&two_features()));
    bench.reads("20.009");
    bench.asks(Command::ChangeTool {
        note: "new insert".to_owned(),
    });
    bench.asks(Command::ApplyOffset {
        amount: Length::from_um(-8),
        note: "X".to_owned(),
    });
    bench.asks(Command::TakeOut);
    bench.asks(Command::PutBack {
        method: "indicator".to_owned(),
        runout: Some(Length::from_um(12)),
    });
    let sheet = sheet_of(&bench);
    let told: Vec<(&str, u32)> = sheet
        .happenings
        .iter()
        .map(|one| (&*one.what, one.part))
        .collect();
    assert_eq!(
        told,
        [
            ("The tool was changed: new insert.", 1),
            ("A tool offset of -0.008 mm was given: X.", 1),
            (
                "The part was taken out of the machine; still open in that setting: B.",
                1
            ),
            (
                "The part was put back, set true by indicator, runout 0.012 mm.",
                1
            ),
        ]
    );
}

/// Due on 2026-11-23: the session of the 24th is a day over.
#[test]
fn a_gauge_overdue_on_the_day_says_so() {
    let mut opened = plan(&two_features());
    opened.gauges = opened.gauges.replace(
        "[[gauge]]\nid = \"plain-mic\"",
        "due = 2026-11-23\ncalibrated = 2025-11-23\ncertificate = \"C-7\"\nserial = \"M 17\"\n\
         [[gauge]]\nid = \"plain-mic\"",
    );
    let mut bench = Bench::new(opened);
    bench.reads("20.009");
    bench.events("comparator", "-10.000");
    let sheet = sheet_of(&bench);
    assert_eq!(row(&sheet, new_line(&bench)).value, "-10.000");
    let gauge = |id: &str| sheet.gauges.iter().find(|one| one.id == id).unwrap();
    let mic = gauge("mic");
    assert!(mic.was_overdue);
    assert_eq!((&*mic.due, &*mic.calibrated), ("2026-11-23", "2025-11-23"));
    assert_eq!((&*mic.certificate, &*mic.serial), ("C-7", "M 17"));
    assert!(
        mic.remarks.contains(&"overdue for 1 day".to_owned()),
        "{:?}",
        mic.remarks
    );
    assert_eq!((&*mic.method, &*mic.source), ("two_point", "typed"));
    let comparator = gauge("comparator");
    assert_eq!(
        (&*comparator.method, &*comparator.set_on),
        ("comparator", "ring")
    );
    assert_eq!((&*comparator.due, comparator.was_overdue), ("", false));
    assert!(!gauge("caliper").was_overdue);
}

/// Lines of gauges, refused bytes, the same press twice, a reading taken out of many, one that
/// waits for an answer, one that was taken elsewhere.
#[test]
fn what_came_over_the_wire_is_counted_and_told() {
    let mut bench = Bench::new(plan(&two_features()));
    let notice = |event| Incoming::Notice(event);
    let gauge = || "mic".to_owned();
    bench.take(vec![
        notice(Event::GaugeStateChanged {
            gauge: gauge(),
            state: "unplugged".to_owned(),
            detail: "the adapter is gone".to_owned(),
        }),
        notice(Event::ReadingRefused {
            gauge: gauge(),
            code: "garbage".to_owned(),
            raw: vec![0xff],
        }),
        notice(Event::GarbageCounted {
            gauge: gauge(),
            count: 41,
            code: "garbage".to_owned(),
        }),
        notice(Event::ClockStepped { by_ms: -3_600_000 }),
    ]);
    let imported = Reading {
        origin: Origin::Imported,
        raw: vec![b'2', b'0', 0x1b, b'\\', b'\r', 0xff],
        ..typed("mic", "20.009")
    };
    let taken = ReadingTaken {
        reading: ReadingTaken::JUST_BEFORE,
        how: "largest".to_owned(),
        values: 41,
        smallest: Some(Length::parse_mm("20.001").unwrap()),
        largest: Some(Length::parse_mm("20.009").unwrap()),
        over_ms: 2_400,
    };
    bench.take(vec![Incoming::Taken(Box::new((imported, taken)))]);
    let first = new_line(&bench);
    // Twice within 300 ms: the same press.
    let press = || Incoming::Reading(typed("caliper", "10.00"));
    bench.take(vec![press(), press()]);
    let second = new_line(&bench);
    bench.asks(Command::StartNextPart);
    assert_eq!(bench.reads("0.7877"), "held inch_taken_for_millimetre");
    let held = new_line(&bench);
    let sheet = sheet_of(&bench);
    let told: Vec<&str> = sheet.happenings.iter().map(|one| &*one.what).collect();
    assert_eq!(told[0], "mic: unplugged, the adapter is gone.");
    assert!(told[1].contains("set by -3600000 ms"), "{told:?}");
    let mic = sheet.gauges.iter().find(|one| one.id == "mic").unwrap();
    assert_eq!(mic.refused, 42);
    let one = row(&sheet, first);
    assert_eq!(
        one.taken,
        "largest of 41 values from 20.001 to 20.009 in 2400 ms"
    );
    assert_eq!(
        (&*one.origin, &*one.raw),
        ("imported", "20\\x1b\\\\\\r\\xff")
    );
    let again = row(&sheet, second);
    assert_eq!(
        (&*again.end, again.number, again.counts),
        ("repeat", 2, false)
    );
    assert!(part(&sheet, 1).readings.contains(again));
    let waits = row(&sheet, held);
    assert_eq!((&*waits.end, &waits.reason), ("held", &waits.held));
    assert!(waits.reason.starts_with("Inch taken for millimetre?"));
    assert!(part(&sheet, 2).readings.contains(waits));
}

/// Point 2 is inside by itself, but once point 1 is voided the characteristic is not settled: an
/// open part never says GO.
#[test]
fn a_point_that_is_good_alone_is_no_go_for_the_characteristic() {
    let mut opened = plan(&feature("A", "20 k6", "points = 2"));
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    assert_eq!(bench.reads("20.030"), "NO-GO metal_on");
    let first = new_line(&bench);
    bench.reads("20.009");
    let sheet = sheet_of(&bench);
    assert_eq!(part(&sheet, 1).results[0].verdict, "NO-GO");
    assert_eq!(part(&sheet, 1).results[0].actual, "20.030");
    bench.void(Some(first));
    let sheet = sheet_of(&bench);
    let seat = &part(&sheet, 1).results[0];
    assert_eq!((&*seat.verdict, &*seat.actual), ("INSIDE", "20.009"));
    assert_eq!(stands(&sheet, 1), ("open", "open", false));
}

/// What the register states comes before what the kind says; the rod of a caliper has no two
/// faces.
#[test]
fn the_way_of_measuring_is_the_registers_word_and_points_have_their_places() {
    let text = feature("A", "20 k6", "points = 2\nplaces = [\"front\", \"back\"]")
        + &feature("B", "10 ±0.1", "surface = \"depth\"");
    let mut opened = plan(&text);
    opened.gauges = opened.gauges.replacen(
        "kind = \"outside_micrometer\"",
        "kind = \"outside_micrometer\"\nmethod = \"three_point\"",
        1,
    );
    let mut bench = Bench::new(opened);
    assert_eq!(bench.reads("20.009"), "inside");
    assert_eq!(bench.reads("20.008"), "GO");
    bench.reads_with("caliper", "10.00");
    let sheet = sheet_of(&bench);
    let results = &part(&sheet, 1).results;
    let methods: Vec<&str> = results.iter().map(|row| &*row.method).collect();
    assert_eq!(methods, ["three_point", ""]);
    let places: Vec<&str> = results[0].points.iter().map(|one| &*one.place).collect();
    assert_eq!(places, ["front", "back"]);
    assert_eq!(sheet.asked[0].places, ["front", "back"]);
}

/// The sheet holds what was said, letter for letter; whoever writes it makes it safe.
#[test]
fn hostile_texts_reach_the_sheet_unchanged() {
    for text in TEXTS.iter().filter(|text| text.trim() == **text) {
        let mut opened = plan(&two_features());
        opened.operator = (*text).to_owned();
        opened.job.customer = (*text).to_owned();
        let mut bench = Bench::new(opened);
        bench.reads("20.030");
        bench.asks(Command::VoidReading {
            reading: None,
            reason: (*text).to_owned(),
        });
        bench.asks(Command::NamePart {
            part: None,
            serial: (*text).to_owned(),
        });
        bench.asks(dispose(decide(DispositionKind::Hold, 1, text, text)));
        let sheet = sheet_of(&bench);
        let held = &part(&sheet, 1).decisions[0];
        let reading = &part(&sheet, 1).readings[0];
        for found in [
            &reading.operator,
            &reading.reason,
            &sheet.job.customer,
            &part(&sheet, 1).serial,
            &held.reason,
            &held.by,
        ] {
            assert_eq!(found, text);
        }
    }
}

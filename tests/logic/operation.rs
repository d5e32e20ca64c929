//! What an operation changed on parts that were measured before and after it.

use fitledger::gauge::GaugeId;
use fitledger::quantity::Length;
use fitledger::session::{
    Command, JoinedBy, LearnedOperation, MeasuredBatch, OperationBatch, OperationProblem,
    learned_operations, operation_changes,
};

use crate::support::bench::{Bench, feature, plan};

const TURNED: [i64; 6] = [20_112, 20_113, 20_112, 20_114, 20_113, 20_112];
const HARDENED: [i64; 6] = [20_106, 20_106, 20_107, 20_107, 20_106, 20_106];

/// A plan with stages, at one of them.
fn at_stage(stage: &str) -> Bench {
    let stages = "stages = [\"turned\", \"hardened\", \"polished\"]\nleave = 0.1";
    let mut opened = plan(&feature("A", "20 k6", stages));
    opened.advance_always = true;
    opened.stage = stage.to_owned();
    Bench::new(opened)
}

fn measured(mut bench: Bench, values_um: &[i64], serials: &[&str]) -> Bench {
    for (um, number) in values_um.iter().zip(1_u32..) {
        bench.reads(&Length::from_um(*um).to_mm());
        let serial = serials.get(number as usize - 1).copied();
        if let Some(serial) = serial.filter(|serial| !serial.is_empty()) {
            bench.asks(Command::NamePart {
                part: Some(number),
                serial: serial.to_owned(),
            });
        }
    }
    bench
}

fn um(changes: &[fitledger::session::PartChange]) -> Vec<(u32, i64)> {
    let changes = changes.iter();
    changes
        .map(|one| (one.number, one.change.as_nm() / 1_000))
        .collect()
}

#[test]
fn parts_without_serial_numbers_are_taken_in_their_order() {
    let before = measured(at_stage("turned"), &TURNED, &[]);
    let after = measured(at_stage("hardened"), &HARDENED[..5], &[]);
    let found = operation_changes(before.state(), after.state()).unwrap();
    assert_eq!(found.len(), 1);
    let one = &found[0];
    assert_eq!((one.target, one.joined), (0, JoinedBy::Number));
    assert_eq!((&*one.before, &*one.after), ("turned", "hardened"));
    // By hand: 106 - 112 and so on.
    assert_eq!(
        um(&one.parts),
        [(1, -6), (2, -7), (3, -5), (4, -7), (5, -7)]
    );
    let learned = one.learned.as_ref().unwrap();
    // Mean -6.4 µm: the gauge shows whole micrometres.
    assert_eq!(learned.leave, Some(Length::from_um(6)));
    assert_eq!(
        one.origin(),
        "From turned to hardened: 5 parts, taken in the same order, as none has a serial number."
    );
}

#[test]
fn parts_with_serial_numbers_are_known_by_them_in_any_order() {
    let before = measured(
        at_stage("turned"),
        &TURNED,
        &["P1", "P2", "", "P4", "P5", "P6"],
    );
    // They came back from the hardener in another order, one is new and one bears none.
    let back = [20_107, 20_106, 20_100, 20_107, 20_106, 20_106];
    let after = measured(
        at_stage("hardened"),
        &back,
        &["P4", "P1", "P9", "", "P2", "P6"],
    );
    let found = operation_changes(before.state(), after.state()).unwrap();
    assert_eq!(found[0].joined, JoinedBy::Serial);
    assert_eq!(um(&found[0].parts), [(1, -7), (2, -6), (5, -7), (6, -6)]);
    assert_eq!(found[0].parts[0].serial, "P4");
    // Four parts teach nothing yet.
    assert_eq!(found[0].learned.as_ref().unwrap_err().code(), "too_few");
    // Where one session names its parts and the other none, no part is the same for certain.
    let unnamed = measured(at_stage("hardened"), &HARDENED, &[]);
    let found = operation_changes(before.state(), unnamed.state()).unwrap();
    assert_eq!(found[0].parts, []);
}

#[test]
fn what_is_in_doubt_teaches_nothing() {
    let doubted = || {
        let mut bench = measured(at_stage("hardened"), &HARDENED, &[]);
        bench.asks(Command::DoubtGauge {
            gauge: GaugeId::new("mic"),
            since: None,
            reason: "dropped".to_owned(),
        });
        bench
    };
    let before = measured(at_stage("turned"), &TURNED, &[]);
    let found = operation_changes(before.state(), doubted().state()).unwrap();
    assert_eq!(found[0].parts, []);
    let mut before = before;
    before.asks(Command::DoubtGauge {
        gauge: GaugeId::new("mic"),
        since: None,
        reason: "dropped".to_owned(),
    });
    let after = measured(at_stage("hardened"), &HARDENED, &[]);
    let found = operation_changes(before.state(), after.state()).unwrap();
    assert_eq!(found[0].parts, []);
}

#[test]
fn sessions_that_do_not_lie_before_and_after_are_refused_in_words() {
    let turned = measured(at_stage("turned"), &TURNED, &[]);
    let hardened = measured(at_stage("hardened"), &HARDENED, &[]);
    let problem = |before: &Bench, after: &Bench| {
        operation_changes(before.state(), after.state()).unwrap_err()
    };
    let same = problem(&turned, &turned);
    assert_eq!(same, OperationProblem::SameStage("turned".to_owned()));
    let reversed = problem(&hardened, &turned);
    assert_eq!(reversed.code(), "stages_reversed");
    assert_eq!(
        reversed.to_string(),
        "The plan has the stage “hardened” after “turned”: the sessions are the other way round."
    );
    let mut other = plan(&feature("A", "20 k6", ""));
    other.plan = other
        .plan
        .map(|text| text.replace("Pump shaft", "Pump bush"));
    let other = problem(&turned, &Bench::new(other));
    assert_eq!(other.code(), "other_part");
    assert!(other.to_string().contains("Pump shaft"), "{other}");
}

/// A record and its parts in doubt, before; another after.
type Told<'b> = (&'b str, &'b Bench, &'b [u32], &'b str, &'b Bench, &'b [u32]);

/// What the batches teach, the newest first, each by its records: before, after, and the numbers
/// of parts that other sessions put in doubt.
fn taught(batches: &[Told<'_>]) -> Vec<LearnedOperation> {
    let batches = batches
        .iter()
        .filter_map(|(one, before, doubted, other, after, later)| {
            let before = MeasuredBatch {
                journal: one,
                state: before.state(),
                in_doubt: doubted,
            };
            let after = MeasuredBatch {
                journal: other,
                state: after.state(),
                in_doubt: later,
            };
            OperationBatch::of(before, after)
        });
    learned_operations(&batches.collect::<Vec<_>>())
}

#[test]
fn batches_of_one_operation_are_put_together_and_each_part_counts_once() {
    let before = measured(at_stage("turned"), &TURNED, &[]);
    let after = measured(at_stage("hardened"), &HARDENED, &[]);
    let (before_2, after_2) = (
        measured(at_stage("turned"), &[20_110, 20_111, 20_110, 20_112], &[]),
        measured(at_stage("hardened"), &[20_100, 20_101, 20_101, 20_102], &[]),
    );
    let one = ("t1", &before, &[][..], "h1", &after, &[][..]);
    let two = ("t2", &before_2, &[][..], "h2", &after_2, &[][..]);
    let found = taught(&[two, one]);
    assert_eq!(found.len(), 1, "{found:?}");
    let learned = &found[0];
    // By hand: -6 -7 -5 -7 -7 -6 and -10 -10 -9 -10: -77 / 10 = -7.7, to whole micrometres -8.
    assert_eq!(learned.learned.parts, 10);
    assert_eq!(learned.learned.mean, Length::from_um(-8));
    assert_eq!(learned.learned.leave, Some(Length::from_um(8)));
    let records = [("t2", "h2"), ("t1", "h1")].map(|(one, other)| (one.into(), other.into()));
    assert_eq!(learned.records, records);
    assert_eq!(
        learned.origin(),
        "Learned between turned and hardened on 10 parts out of 2 batches, taken in the same \
         order, as not all have a serial number."
    );
    // Measured once more, or other parts taken for them: the first time counts.
    let again = measured(at_stage("hardened"), &[20_050; 6], &[]);
    let again = ("t1", &before, &[][..], "h9", &again, &[][..]);
    assert_eq!(taught(&[again, two, one]), found);
    // Four parts alone teach nothing.
    assert_eq!(taught(&[two]), []);
}

#[test]
fn parts_with_serial_numbers_come_back_in_two_sessions_and_none_counts_twice() {
    let before = measured(
        at_stage("turned"),
        &TURNED,
        &["P1", "P2", "P3", "P4", "P5", "P6"],
    );
    let first = measured(
        at_stage("hardened"),
        &[20_106, 20_107, 20_105],
        &["P1", "P2", "P3"],
    );
    // By hand: P1..P3 -6 -6 -7, P4..P6 -8 -6 -5; P3 once more, which is not taken.
    let second = measured(
        at_stage("hardened"),
        &[20_106, 20_107, 20_107, 20_012],
        &["P4", "P5", "P6", "P3"],
    );
    let batches = [
        ("t", &before, &[][..], "h2", &second, &[][..]),
        ("t", &before, &[][..], "h1", &first, &[][..]),
    ];
    let found = taught(&batches);
    let learned = found[0].learned;
    assert_eq!((found[0].joined, learned.parts), (JoinedBy::Serial, 6));
    assert_eq!(learned.mean, Length::from_um(-6), "-38 / 6 = -6.3");
    // A gauge of another session was found wrong: P1 by its number after, P5 by that before.
    let doubted = [
        ("t", &before, &[5][..], "h2", &second, &[][..]),
        ("t", &before, &[5][..], "h1", &first, &[1][..]),
    ];
    assert_eq!(taught(&doubted), [], "four are left, too few");
    let doubted = [
        ("t", &before, &[][..], "h2", &second, &[][..]),
        ("t", &before, &[][..], "h1", &first, &[1][..]),
    ];
    assert_eq!(taught(&doubted)[0].learned.parts, 5);
}

#[test]
fn only_what_is_alike_is_put_together_and_a_length_teaches_nothing_to_leave() {
    let bench = |stage: &str, callout: &str, material: &str, surface: &str| {
        let stages = format!("surface = \"{surface}\"\nstages = [\"turned\", \"hardened\"]");
        let mut opened = plan(&feature("A", callout, &stages));
        let name = "name = \"Pump shaft\"\n";
        opened.plan = opened
            .plan
            .map(|text| text.replace(name, &format!("{name}material = \"{material}\"\n")));
        opened.advance_always = true;
        opened.stage = stage.to_owned();
        Bench::new(opened)
    };
    let pair = |callout: &str, material: &str, surface: &str| {
        (
            measured(bench("turned", callout, material, surface), &TURNED, &[]),
            measured(
                bench("hardened", callout, material, surface),
                &HARDENED,
                &[],
            ),
        )
    };
    let count = |one: &(Bench, Bench), other: &(Bench, Bench)| {
        let one = ("t1", &one.0, &[][..], "h1", &one.1, &[][..]);
        let other = ("t2", &other.0, &[][..], "h2", &other.1, &[][..]);
        let found = taught(&[one, other]);
        let parts = found.iter().map(|one| one.learned.parts);
        parts.collect::<Vec<_>>()
    };
    let usual = pair("20 k6", "steel", "outside");
    assert_eq!(count(&usual, &pair("20 h9", "steel", "outside")), [12]);
    assert_eq!(
        count(&usual, &pair("20.1 ±0.1", "steel", "outside")),
        [6, 6]
    );
    assert_eq!(count(&usual, &pair("20 k6", "brass", "outside")), [6, 6]);
    assert_eq!(count(&usual, &pair("20 H7", "steel", "inside")), [6, 6]);
    let length = pair("20 ±0.2", "steel", "length");
    assert!(count(&length, &pair("20 ±0.2", "steel", "length")).is_empty());
}

#[cfg(unix)]
mod program {
    use std::fs;

    use fitledger::session::{
        Check, LearnedFound, PlanKey, RecordFolders, SessionRecord, Workspace, operations_of,
        session_before, session_parts,
    };

    use crate::support::program::Shop;

    const PLAN: &str = "[part]\nname = \"Pump shaft\"\ndrawing = \"GP-07\"\n\
        [[feature]]\nid = \"A\"\ncallout = \"20 k6\"\n\
        stages = [\"turned\", \"hardened\"]\nleave = 0.1\n";

    fn measured(shop: &Shop, plan: &str, stage: &str, input: &str) -> String {
        fs::write(shop.path("plan.toml"), plan).unwrap();
        let before = shop.journals();
        let args = [
            "inspect",
            "--plan",
            "plan.toml",
            "--gauge",
            "typed",
            "--stage",
            stage,
        ];
        shop.run(&args, input);
        let new = shop
            .journals()
            .into_iter()
            .find(|path| !before.contains(path));
        new.unwrap()
            .file_name()
            .unwrap()
            .to_str()
            .unwrap()
            .to_owned()
    }

    /// The session of the workspace that measured the same parts before, by its stage.
    fn before(shop: &Shop, journal: &str) -> Option<String> {
        let workspace = Workspace::locate(Some(shop.place.path()));
        let folders = RecordFolders::of_workspace(&workspace);
        let files = session_parts(&folders, journal).unwrap();
        let read = SessionRecord::read(&folders, files, Check::State).unwrap();
        let state = read.replayed.state.unwrap();
        session_before(&workspace, journal, &state).map(|state| state.setup().stage.clone())
    }

    #[test]
    fn the_session_before_an_operation_is_found_among_others() {
        let shop = Shop::new();
        let values = "20.110\n20.111\n20.112\n";
        let turned = measured(&shop, PLAN, "turned", values);
        // Another part, another drawing, a damaged record: none of them is it.
        let bush = PLAN.replace("Pump shaft", "Pump bush");
        measured(&shop, &bush, "turned", values);
        let drawing = PLAN.replace("GP-07", "GP-08");
        measured(&shop, &drawing, "turned", values);
        let damaged = measured(&shop, PLAN, "turned", values);
        let path = shop.path("sessions").join(damaged);
        let text = fs::read_to_string(&path).unwrap();
        fs::write(&path, text.replacen("20.111", "20.119", 1)).unwrap();
        let hardened = measured(&shop, PLAN, "hardened", "20.006\n20.007\n");
        assert_eq!(before(&shop, &hardened).as_deref(), Some("turned"));
        // Another one, at the last stage by the name of none: later than both.
        let last = measured(&shop, PLAN, "hardened", "20.005\n");
        let path = shop.path("sessions").join(last);
        let text = fs::read_to_string(&path).unwrap();
        assert!(text.contains("\"stage\":\"hardened\""));
        assert_eq!(before(&shop, &turned), None, "it came first");
        fs::remove_file(shop.path("sessions").join(turned)).unwrap();
        assert_eq!(before(&shop, &hardened), None);
    }

    fn learned(shop: &Shop) -> (String, String) {
        let turned = measured(
            shop,
            PLAN,
            "turned",
            "20.112\n20.113\n20.112\n20.114\n20.113\n",
        );
        let hardened = measured(
            shop,
            PLAN,
            "hardened",
            "20.006\n20.006\n20.007\n20.007\n20.006\n",
        );
        (format!("sessions/{turned}"), format!("sessions/{hardened}"))
    }

    fn taught(shop: &Shop, name: &str, most: usize) -> LearnedFound {
        let workspace = Workspace::locate(Some(shop.place.path()));
        let key = PlanKey::Part {
            name: name.to_owned(),
            drawing: "GP-07".to_owned(),
        };
        operations_of(&workspace, &key, most, &mut || true).unwrap()
    }

    #[test]
    fn what_the_records_of_a_part_teach_is_gathered_from_all_its_batches() {
        let shop = Shop::new();
        assert_eq!(taught(&shop, "Pump shaft", 9), LearnedFound::default());
        let (turned, hardened) = learned(&shop);
        // Of one stage alone, and of another part.
        let bush = PLAN.replace("Pump shaft", "Pump bush");
        measured(&shop, &bush, "turned", "20.110\n20.111\n");
        let found = taught(&shop, "Pump shaft", 9);
        let records = [turned, hardened].map(|path| path.replace("sessions/", ""));
        let records = [(records[0].clone(), records[1].clone())];
        assert_eq!((found.operations.len(), found.unread), (1, 0), "{found:?}");
        let one = &found.operations[0];
        assert_eq!(one.records, records);
        // By hand, as above: -106 -107 -105 -107 -107.
        assert_eq!(
            (one.learned.parts, one.learned.mean.to_mm().as_str()),
            (5, "-0.106")
        );
        assert_eq!(taught(&shop, "Pump bush", 9), LearnedFound::default());
        // A second batch, and of it a record that is damaged afterwards.
        let values = "20.212\n20.213\n20.212\n20.214\n20.213\n";
        let damaged = measured(&shop, PLAN, "turned", values);
        measured(
            &shop,
            PLAN,
            "hardened",
            "20.112\n20.113\n20.113\n20.113\n20.113\n",
        );
        let found = taught(&shop, "Pump shaft", 9);
        assert_eq!(found.operations[0].learned.parts, 10);
        assert_eq!(found.operations[0].records.len(), 2);
        let newest = taught(&shop, "Pump shaft", 2);
        assert_eq!((newest.operations[0].learned.parts, newest.unread), (5, 2));
        let path = shop.path("sessions").join(damaged);
        let text = fs::read_to_string(&path).unwrap();
        fs::write(&path, text.replacen("20.214", "20.219", 1)).unwrap();
        let found = taught(&shop, "Pump shaft", 9);
        assert_eq!(
            found.operations[0].learned.parts, 5,
            "the first batch alone"
        );
        assert_eq!(found.operations[0].records, records);
        // The reading of records can be ended.
        let workspace = Workspace::locate(Some(shop.place.path()));
        let key = PlanKey::Part {
            name: "Pump shaft".to_owned(),
            drawing: "GP-07".to_owned(),
        };
        let ended = operations_of(&workspace, &key, 9, &mut || false).unwrap();
        assert_eq!(ended.operations, []);
    }

    #[test]
    fn the_command_tells_the_numbers_of_the_report_and_what_was_learned() {
        let shop = Shop::new();
        let (turned, hardened) = learned(&shop);
        let args = ["statistics", "--json", &hardened, "--before", &turned];
        let answer = shop.run(&args, "");
        assert_eq!((answer.lines.len(), answer.code), (1, 0), "{}", answer.text);
        let mut ours = answer.lines[0].clone();
        let operation = ours.as_object_mut().unwrap().remove("operation").unwrap();
        // By hand: -106, -107, -105, -107, -107 µm.
        assert_eq!(operation["learned"]["mean"], "-0.106");
        assert_eq!(operation["learned"]["leave"], "0.106");
        assert_eq!(
            (&operation["before"], &operation["after"]),
            (&"turned".into(), &"hardened".into())
        );
        assert_eq!(operation["joined"], "number");
        let changes: Vec<&str> = operation["parts"]
            .as_array()
            .unwrap()
            .iter()
            .map(|part| part["change"].as_str().unwrap())
            .collect();
        assert_eq!(changes, ["-0.106", "-0.107", "-0.105", "-0.107", "-0.107"]);
        // Everything else stands in the report as well, and the same.
        let args = ["export", "--format", "json", &hardened, "--out", "all.json"];
        shop.run(&args, "");
        let report = fs::read_to_string(shop.path("all.json")).unwrap();
        let report: serde_json::Value = serde_json::from_str(&report).unwrap();
        let (facts, asked) = (&report["batch"]["characteristics"][0], &report["asked"][0]);
        for (key, value) in facts.as_object().unwrap() {
            assert_eq!(&ours[key], value, "{key}");
        }
        for (key, value) in asked.as_object().unwrap() {
            if facts.get(key).is_none() {
                assert_eq!(&ours[key], value, "{key}");
            }
        }
        assert_eq!(ours["record"], "sound");
        let text = shop
            .run(&["statistics", &hardened, "--before", &turned], "")
            .text;
        let told = text.split_whitespace().collect::<Vec<_>>().join(" ");
        assert!(told.contains("Leave 0.106 for it"), "{told}");
        assert!(told.contains("Values: 5 (5 GO)"), "{told}");
        let once = "Fewer than 30 values: an index alone";
        assert_eq!(told.matches(once).count(), 1, "{told}");
    }

    #[test]
    fn what_has_no_numbers_over_its_parts_says_so_and_damage_is_told() {
        let shop = Shop::new();
        let (turned, hardened) = learned(&shop);
        let one = measured(&shop, PLAN, "turned", "20.110\n");
        let code = |args: &[&str]| {
            let answer = shop.run(&[&["statistics", "--json"], args].concat(), "");
            (answer.lines[0]["error"]["code"].clone(), answer.code)
        };
        let one = format!("sessions/{one}");
        assert_eq!(code(&[&one]), ("no_batch".into(), 2));
        assert_eq!(
            code(&[&turned, "--before", &hardened]),
            ("stages_reversed".into(), 2)
        );
        assert_eq!(
            code(&[&turned, "--before", &turned]),
            ("same_stage".into(), 2)
        );
        assert_eq!(code(&["none.jsonl"]).1, 3);
        let path = shop.path(&hardened);
        let spoilt = fs::read_to_string(&path)
            .unwrap()
            .replacen("20.007", "20.001", 1);
        fs::write(&path, spoilt).unwrap();
        let answer = shop.run(&["statistics", "--json", &hardened], "");
        assert_eq!(answer.code, 1, "{}", answer.text);
        assert_eq!(answer.lines[0]["record"], "damaged");
    }
}

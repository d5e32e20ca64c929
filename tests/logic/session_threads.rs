//! Threads in a session: a plan's thread from its first reading to the sound record; over three
//! wires the pitch diameter is judged, whatever the gauge shows.
//!
//! M10x1.5-6g has d2 8.862 to 8.994 mm (CAD table of the reference notes). Over wires of 0.895 mm
//! numbers are computed apart, from M = d2 - sqrt(3)/2 P + W (1 + sqrt(4 + 3 tan^2 psi)).

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId};
use fitledger::journal::{Event, Outcome, SessionOpened, VerdictGiven};
use fitledger::measure::{Remedy, UncertaintySource, VerdictWord};
use fitledger::quantity::{Celsius, Length};
use fitledger::session::{
    Command, Incoming, PartState, Setup, Target, account, answer_sentence, check_reading,
    doubt_remedies, expected_uncertainty, next_action, sight,
};

use crate::support::bench::{Bench, feature, fresh, plan, word};

const WIRES: &str = "wire = 0.895\n";
const ONLY_WIRES: &str = "wire = 0.895\nelements = [\"wires\"]\n";
const GO: Outcome = Outcome::Verdict(VerdictWord::Go);

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn turned(more: &str) -> SessionOpened {
    plan(&feature("T", "M10x1.5-6g", more))
}

/// The same with more gauges in the register.
fn with_gauges(more: &str, gauges: &str) -> SessionOpened {
    let mut opened = turned(more);
    opened.gauges.push_str(gauges);
    opened
}

fn targets(opened: &SessionOpened) -> Vec<Target> {
    Setup::of(opened).unwrap().targets
}

fn elements(opened: &SessionOpened) -> Vec<String> {
    let all = targets(opened).into_iter();
    all.map(|target| format!("{} {}", target.feature, target.element))
        .collect()
}

fn answers(bench: &mut Bench, end: CheckEnd, outcome: CheckOutcome, text: &str) -> VerdictGiven {
    let reading = check_reading(end, outcome, &GaugeId::new("typed"), text);
    let mut taken = bench.take(vec![Incoming::Reading(reading)]);
    match taken.recorded.pop().map(|one| one.event) {
        Some(Event::VerdictGiven(verdict)) => std::sync::Arc::unwrap_or_clone(verdict),
        other => panic!("{text}: {other:?}"),
    }
}

fn has(verdict: &VerdictGiven, note: &str) -> bool {
    verdict.notes.iter().any(|one| one == note)
}

fn near(found: i64, expected_nm: i64, by_nm: i64, what: &str) {
    assert!((found - expected_nm).abs() <= by_nm, "{what}: {found} nm");
}

#[test]
fn a_screw_and_a_tapped_hole_are_proved_part_after_part_and_the_record_is_sound() {
    let text = feature("H", "M10-6H", "full_thread = 12") + &feature("T", "M10x1.5-6g", WIRES);
    let opened = plan(&text);
    let expected = [
        "H minor",
        "H go_plug",
        "H no_go_plug",
        "H full_thread",
        "T major",
        "T wires",
        "T go_ring",
        "T no_go_ring",
    ];
    assert_eq!(elements(&opened), expected);
    let mut bench = Bench::new(opened);
    for part in 1..=2 {
        assert_eq!(bench.reads("8.550"), "GO");
        let go = answers(&mut bench, CheckEnd::Go, CheckOutcome::Goes, "goes");
        assert_eq!(go.outcome, GO);
        let few = CheckOutcome::TurnsTwoOrFewer;
        assert_eq!(answers(&mut bench, CheckEnd::NoGo, few, "1.5").outcome, GO);
        assert_eq!(bench.reads_with("caliper", "12.40"), "GO");
        assert_eq!(bench.reads("9.850"), "GO");
        assert_eq!(bench.reads("10.370"), "GO");
        answers(&mut bench, CheckEnd::Go, CheckOutcome::Goes, "goes");
        answers(&mut bench, CheckEnd::NoGo, few, "2");
        let state = bench.state().part(part).unwrap().state();
        assert_eq!(state, PartState::Go);
    }
    bench.check();
    // Too short a full thread: metal is still on.
    bench.asks(Command::StartNextPart);
    bench.asks(Command::ChooseCharacteristic {
        feature: "H".to_owned(),
        element: "full_thread".to_owned(),
    });
    assert_eq!(bench.reads_with("caliper", "11.50"), "NO-GO metal_on");
    bench.check();
}

#[test]
fn over_wires_the_reading_stays_and_the_pitch_diameter_is_judged() {
    let mut bench = Bench::new(turned(ONLY_WIRES));
    let verdict = bench.verdict("mic", "10.370");
    // 10.370 - 3 x 0.895 + 1.299038 = 8.984038, less 1.896 µm of the lead angle.
    near(verdict.value_at_20, 8_982_142, 1, "pitch diameter");
    assert_eq!(
        (verdict.outcome, verdict.lower, verdict.upper),
        (GO, Some(8_862_000), Some(8_994_000))
    );
    assert!(has(&verdict, "over_three_wires") && has(&verdict, "wire_error_assumed"));
    let told = answer_sentence(
        bench.state(),
        &Event::VerdictGiven(std::sync::Arc::new(verdict.clone())),
    );
    assert_eq!(
        told.as_deref(),
        Some(
            "pitch diameter, from 10.370 over wires of 0.895; the wires' error is assumed to be \
             1 µm"
        )
    );
    // mic: 2 µm / sqrt(3), 1 µm / sqrt(12), 0.5 µm; wires 3 x 1 µm / sqrt(3). u^2 = 4.6667 µm^2.
    near(verdict.u.unwrap(), 2_161, 1, "u");
    assert_eq!(bench.state().readings().last().unwrap().value, 10_370_000);
    let account = account(bench.state(), &verdict).unwrap();
    assert!(account.is_same);
    assert_eq!(account.wires.unwrap().wire(), mm("0.895"));
    let must = account.gauge_must_show(mm("8.994")).unwrap();
    near(must.as_nm(), 10_381_853, 1, "shown at the upper limit");
    let expected = expected_uncertainty(bench.state(), 0).unwrap();
    assert!((expected - 2_160.25).abs() < 0.1, "{expected}");
    // What is seen before: limits over the wires, for the hand that aims.
    let seen = sight(&fresh(&turned(ONLY_WIRES)), None);
    near(
        seen.lower.unwrap().as_nm(),
        10_249_909,
        1,
        "lower over wires",
    );
    near(
        seen.upper.unwrap().as_nm(),
        10_381_853,
        1,
        "upper over wires",
    );
    bench.check();
}

#[test]
fn repeats_over_wires_are_averaged_before_they_are_converted() {
    let mut bench = Bench::new(turned(ONLY_WIRES));
    bench.reads("10.370");
    bench.asks(Command::RepeatPoint);
    let verdict = bench.verdict("mic", "10.371");
    assert_eq!(verdict.from.len(), 2);
    // Of 10.3705: half a micrometre more than of 10.370.
    near(verdict.value_at_20, 8_982_642, 1, "pitch diameter");
    // Of the lines, the repeatability alone is halved in square: 1.3333 + 0.0833 + 0.125 + 3.
    near(verdict.u.unwrap(), 2_132, 1, "u");
    bench.check();
}

/// Steel, 11.5e-6 per kelvin (JCGM 100:2008 Annex H.1), 10 K warm: 10.380 over the wires shrinks by
/// 1.194 µm, and so does the pitch diameter; 8.99 mm alone would shrink by 1.034 µm.
#[test]
fn the_size_over_the_wires_is_corrected_to_20_degrees_first() {
    let text = feature("T", "M10x1.5-6g", ONLY_WIRES);
    let mut opened = plan("");
    opened.plan = Some(format!(
        "[part]\nname = \"Pump shaft\"\nmaterial = \"steel\"\n{text}"
    ));
    let mut bench = Bench::new(opened);
    let cold = bench.verdict("mic", "10.370").value_at_20;
    bench.asks(Command::SetTemperature {
        part: Some(Celsius::from_milli(30_000)),
        gauge: Some(Celsius::from_milli(20_000)),
    });
    bench.asks(Command::RepeatPoint);
    bench.void(None);
    let warm = bench.verdict("mic", "10.370").value_at_20;
    near(cold - warm, 1_193, 2, "shrinks");
    bench.check();
}

#[test]
fn the_error_of_wires_counts_as_the_register_states_it() {
    let wires =
        |id: &str, rest: &str| format!("[[gauge]]\nid = \"{id}\"\nkind = \"wires\"\n{rest}");
    let list = |ids: &str| format!("{ONLY_WIRES}gauge = [{ids}]\n");
    let good = wires("w", "mpe = 0.0003\n");
    let sure = wires("v", "calibration = { U = 0.0004, k = 2 }\n");
    let other = wires("o", "range = [0.2, 0.5]\nmpe = 0.0003\n");
    // Of the micrometer 1.6667 µm^2; of the wires (3 x 0.3)^2 / 3 and (3 x 0.2)^2, or assumed 3.
    let (assumed, of_good, of_sure) = (2_161, 1_392, 1_424);
    for (more, gauges, u) in [
        (list(""), String::new(), assumed),
        (list(""), good.clone(), of_good),
        (list(""), sure.clone(), of_sure),
        (list(""), good.clone() + &sure, assumed),
        (list("\"mic\", \"v\""), good.clone() + &sure, of_sure),
        (list("\"mic\", \"w\""), good.clone() + &sure, of_good),
        (list("\"v\""), good.clone() + &sure, of_sure),
        (list(""), other.clone(), assumed),
        (list(""), other + &good, of_good),
        (list(""), wires("n", ""), assumed),
        // One size, as of a measured diameter that differs by 10 µm at most.
        (
            list(""),
            wires("s", "range = 0.905\nmpe = 0.0003\n"),
            of_good,
        ),
        (
            list(""),
            wires("s", "range = 0.906\nmpe = 0.0003\n"),
            assumed,
        ),
    ] {
        let mut bench = Bench::new(with_gauges(&more, &gauges));
        let verdict = bench.verdict("mic", "10.370");
        let case = format!("{more}{gauges}");
        near(verdict.u.unwrap(), u, 1, &case);
        assert_eq!(has(&verdict, "wire_error_assumed"), u == assumed, "{case}");
        assert_eq!(verdict.outcome, GO, "{case}: wires show no size");
        let told = account(bench.state(), &verdict).unwrap().measured;
        let lines = told.uncertainty.unwrap();
        let of_wires = |source| source == UncertaintySource::WireDiameter;
        assert_eq!(
            lines
                .lines()
                .iter()
                .filter(|one| of_wires(one.source))
                .count(),
            1
        );
        bench.check();
    }
}

/// A list names gauges of every kind together; each element goes by those that can prove it.
#[test]
fn of_the_gauges_listed_each_element_goes_by_its_own_kind() {
    let register = "[[gauge]]\nid = \"ring-M10\"\nkind = \"ring\"\n\
        [[gauge]]\nid = \"w\"\nkind = \"wires\"\n";
    let gauges = |list: &str| {
        let opened = with_gauges(&format!("{WIRES}gauge = [{list}]"), register);
        let of = |target: Target| {
            let ids: Vec<_> = target.gauges.iter().map(GaugeId::as_str).collect();
            ids.join(" ")
        };
        targets(&opened).into_iter().map(of).collect::<Vec<_>>()
    };
    let all = gauges("\"mic\", \"ring-M10\", \"w\"");
    assert_eq!(all, ["mic", "mic", "ring-M10", "ring-M10"]);
    assert_eq!(gauges("\"mic\""), ["mic", "mic", "", ""]);
    assert_eq!(gauges("\"ring-M10\""), ["", "", "ring-M10", "ring-M10"]);
    assert_eq!(gauges("\"w\""), ["", "", "", ""]);
    // One that the register does not know may be of any kind.
    assert_eq!(
        gauges("\"mic\", \"lent\""),
        ["mic lent", "mic lent", "lent", "lent"]
    );
    let mut bench = Bench::new(with_gauges(&format!("{WIRES}gauge = [\"mic\"]"), register));
    assert_eq!(bench.reads_with("plain-mic", "9.850"), "DOUBT");
    bench.void(None);
    assert_eq!(bench.reads("9.850"), "GO");
    assert_eq!(bench.reads("10.370"), "GO");
    let go = answers(&mut bench, CheckEnd::Go, CheckOutcome::Goes, "goes");
    assert_eq!(go.outcome, GO, "no ring is listed, so any may answer");
    bench.check();
}

#[test]
fn a_doubt_over_wires_says_what_to_set_the_gauge_on_and_which_wires_would_do() {
    let mut bench = Bench::new(turned(ONLY_WIRES));
    // d2 = 8.991146, so 2.854 µm to 8.994: u may be 2.854 / 1.644854 = 1.7350 µm.
    let verdict = bench.verdict("mic", "10.379");
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Doubt));
    near(verdict.value_at_20, 8_991_146, 1, "pitch diameter");
    let all = doubt_remedies(bench.state(), &verdict);
    let [
        Remedy::SettingStandard { size },
        Remedy::BetterGauge {
            expanded_at_most: gauge,
        },
        Remedy::BetterWires {
            expanded_at_most: wires,
        },
    ] = all.as_slice()
    else {
        panic!("{all:?}")
    };
    near(
        size.as_nm(),
        10_379_000,
        1,
        "a standard of what the gauge shows",
    );
    // Beside wires of 3 µm^2: 2 sqrt(1.7350^2 - 3) µm; beside the gauge's 1.6667 µm^2 a third.
    near(gauge.as_nm(), 203, 12, "gauge");
    near(wires.as_nm(), 773, 2, "wires");
    bench.check();
    let words = all[2].to_string();
    assert!(
        words.starts_with("Measure over wires whose mean diameter is known to U"),
        "{words}"
    );
}

#[test]
fn while_cutting_what_is_left_is_left_on_the_pitch_diameter() {
    let mut bench = Bench::new(turned(ONLY_WIRES));
    bench.asks(Command::SwitchCutting(true));
    let events = bench.events("mic", "10.500");
    let Some(Event::CuttingNoted {
        value_at_20,
        left,
        depth,
        ..
    }) = events.last()
    else {
        panic!("{events:?}")
    };
    near(value_at_20.as_nm(), 9_112_196, 1, "pitch diameter");
    // To the middle, 8.928; in by half of it.
    near(left.as_nm(), 184_196, 1, "left");
    near(depth.unwrap().as_nm(), 92_098, 1, "depth");
    let told = answer_sentence(bench.state(), events.last().unwrap()).unwrap();
    assert_eq!(told, "cut 0.092 deeper: 0.184 on the pitch diameter");
    bench.check();
}

#[test]
fn a_size_at_the_wrong_element_is_asked_about() {
    // At the crest, what is measured over the wires.
    let mut bench = Bench::new(turned(WIRES));
    let held = bench.reads_with("caliper", "10.37");
    assert_eq!(held, "held other_characteristic");
    let asked = next_action(bench.state());
    assert!(
        asked.starts_with("It fits T (M10x1.5-6g), over three wires of this part."),
        "{asked}"
    );
    bench.check();
    // Over the wires, the pitch diameter that somebody worked out.
    let mut bench = Bench::new(turned(ONLY_WIRES));
    assert_eq!(bench.reads("8.982"), "held other_characteristic");
    let asked = next_action(bench.state());
    assert!(
        asked.starts_with("It fits the pitch diameter itself:"),
        "{asked}"
    );
    bench.asks(Command::AnswerHeld {
        belongs: false,
        reason: String::new(),
    });
    // What is expected over the wires is not.
    assert_eq!(bench.reads("10.370"), "GO");
    bench.check();
}

#[test]
fn before_coating_the_flanks_count_four_times_and_no_ring_is_asked() {
    let mut opened = turned(&format!("{WIRES}coating = [0.004, 0.006]"));
    opened.stage = "before coating".to_owned();
    let mut bench = Bench::new(opened.clone());
    assert_eq!(elements(&opened), ["T major", "T wires"]);
    assert_eq!(bench.reads("9.850"), "GO");
    // d2 8.846 to 8.970 before it is coated: 8.982 is inside afterwards and too large before.
    let verdict = bench.verdict("mic", "10.370");
    assert_eq!(
        (verdict.lower, verdict.upper),
        (Some(8_846_000), Some(8_970_000))
    );
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::NoGo));
    bench.check();
    opened.stage = "coated".to_owned();
    let all = ["T major", "T wires", "T go_ring", "T no_go_ring"];
    assert_eq!(elements(&opened), all);
}

#[test]
fn a_thread_is_sampled_whole_and_typed_callouts_expand_too() {
    let text = feature("A", "20 k6", "") + &feature("H", "M10-6H", "every = 2");
    let mut bench = Bench::new(plan(&text));
    for reading in ["20.008", "8.550"] {
        assert_eq!(bench.reads(reading), "GO");
    }
    answers(&mut bench, CheckEnd::Go, CheckOutcome::Goes, "goes");
    answers(
        &mut bench,
        CheckEnd::NoGo,
        CheckOutcome::TurnsTwoOrFewer,
        "1",
    );
    assert_eq!(bench.reads("20.008"), "GO");
    let second = bench.state().part(2).unwrap();
    assert_eq!(
        second.state(),
        PartState::Go,
        "no element is selected on it"
    );
    bench.check();
    let mut typed = plan("");
    typed.plan = None;
    typed.callouts = vec!["M10-6H".to_owned(), "20 k6".to_owned()];
    let all = elements(&typed);
    assert_eq!(all[1..3], ["A go_plug", "A no_go_plug"]);
    assert_eq!((all[0].as_str(), all[3].as_str()), ("A minor", "B size"));
    typed.callouts = vec!["M10".to_owned()];
    assert_eq!(Setup::of(&typed).unwrap_err().code, "thread_needs_surface");
}

/// A thread micrometer touches the flanks, flat faces touch the crests or the wires.
#[test]
fn a_pitch_diameter_is_proved_by_the_faces_that_can_show_it() {
    let register = "[[gauge]]\nid = \"thread-mic\"\nkind = \"thread_micrometer\"\n\
        range = [0, 25]\nresolution = 0.001\nmpe = 0.004\n";
    for (more, reading, gauge, expected) in [
        ("elements = [\"pitch\"]", "8.930", "thread-mic", "GO"),
        ("elements = [\"pitch\"]", "8.930", "mic", "DOUBT"),
        ("elements = [\"pitch\"]", "9.100", "mic", "NO-GO metal_on"),
        (ONLY_WIRES, "10.320", "mic", "GO"),
        (ONLY_WIRES, "10.320", "thread-mic", "DOUBT"),
    ] {
        let mut bench = Bench::new(with_gauges(more, register));
        let verdict = bench.verdict(gauge, reading);
        let found = word(&Event::VerdictGiven(std::sync::Arc::new(verdict.clone())));
        assert_eq!(found, expected, "{more} {gauge}");
        let is_told = has(&verdict, "gauge_does_not_show_this");
        assert_eq!(is_told, expected == "DOUBT", "{more} {gauge}");
        bench.check();
    }
}

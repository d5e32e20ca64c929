//! Parts, settings, temperatures, clocks and stages of a session, one rule a test.

use fitledger::journal::{Event, Outcome, Place};
use fitledger::measure::VerdictWord;
use fitledger::quantity::Celsius;
use fitledger::session::{Command, Incoming, OpeningError, PartState, Setup};

use crate::support::bench::{Bench, feature, plan, typed, typed_angle, word};
use crate::support::cruel_disk::CruelDisk;

/// `20 k6`: 20.002 to 20.015 (ISO 286-2:2010 table for k6 over 18 to 30: +15 and +2 µm).
fn shaft(more: &str) -> Bench {
    Bench::new(plan(&feature("A", "20 k6", more)))
}

fn two_features(more: &str) -> Bench {
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", more);
    Bench::new(plan(&text))
}

fn choose(feature: &str) -> Command {
    let (feature, element) = (feature.to_owned(), String::new());
    Command::ChooseCharacteristic { feature, element }
}

fn kinds(events: &[Event]) -> Vec<&str> {
    events.iter().map(Event::kind).collect()
}

#[test]
fn a_characteristic_left_out_by_sampling_is_not_asked_and_says_nothing() {
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", "every = 2");
    let mut bench = Bench::new(plan(&text));
    for reading in ["20.008", "14.995", "20.008", "20.008", "14.995"] {
        assert_eq!(bench.reads(reading), "GO", "{reading}");
    }
    assert_eq!(bench.state().parts().len(), 3);
    assert!(
        bench
            .state()
            .parts()
            .iter()
            .all(|part| part.state() == PartState::Go)
    );
    // Where all is left out, nothing is claimed.
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "every = 3")));
    for _ in 0..2 {
        assert_eq!(bench.reads("20.008"), "GO");
    }
    let states: Vec<PartState> = bench
        .state()
        .parts()
        .iter()
        .map(|part| part.state())
        .collect();
    let left_out = PartState::NotSelected;
    assert_eq!(states, [PartState::Go, left_out, left_out, PartState::Go]);
    assert_eq!(left_out.word(), "not selected");
    bench.check();
}

#[test]
fn no_more_parts_than_wanted_and_what_comes_then_is_set_aside() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.parts = Some(2);
    let mut bench = Bench::new(opened);
    for expected in ["GO", "GO", "reading_set_aside"] {
        assert_eq!(bench.reads("20.008"), expected);
    }
    assert_eq!(bench.refuses(Command::StartNextPart), "no_parts_left");
    bench.check();
}

#[test]
fn what_is_still_open_in_the_setting_is_named_when_the_part_leaves() {
    let text = feature("A", "20 k6", "")
        + &feature("B", "15 h6", "")
        + &feature("C", "10 h6", "setting = 2");
    let mut bench = Bench::new(plan(&text));
    let open = |bench: &mut Bench| match bench.asks(Command::TakeOut).remove(0) {
        Event::TakenOut { open } => open,
        other => panic!("{other:?}"),
    };
    assert_eq!(bench.reads("20.008"), "GO");
    assert_eq!(open(&mut bench), ["B"]);
    assert!(bench.state().bench().taken_out);
    assert_eq!(bench.reads("14.995"), "GO");
    // The first setting is done; that the second is still to come is no news.
    assert_eq!(open(&mut bench), Vec::<String>::new());
    let (method, runout) = ("between centres".to_owned(), None);
    bench.asks(Command::PutBack { method, runout });
    assert!(!bench.state().bench().taken_out);
    assert_eq!(open(&mut bench), ["C"]);
    bench.check();
}

#[test]
fn every_fifth_part_begins_with_the_first() {
    let of = |more: &str| Setup::of(&plan(&feature("A", "20 k6", more))).unwrap();
    let (fifth, each) = (of("every = 5"), of(""));
    let selected = |setup: &Setup| -> Vec<u32> {
        let is_selected = |part: &u32| setup.targets[0].is_selected(*part);
        (1..=16).filter(is_selected).collect()
    };
    assert_eq!(selected(&fifth), [1, 6, 11, 16]);
    assert_eq!(selected(&each), (1..=16).collect::<Vec<_>>());
    assert!(fifth.targets[0].is_selected(4_294_967_291));
}

#[test]
fn a_characteristic_can_be_chosen_before_the_first_reading() {
    let mut bench = two_features("");
    assert_eq!(
        kinds(&bench.asks(choose("B"))),
        ["part_started", "characteristic_chosen"]
    );
    let verdict = bench.verdict("mic", "14.995");
    let place = Place {
        part: 1,
        feature: "B".into(),
        element: "size".into(),
        point: 1,
    };
    assert_eq!(verdict.place, place);
    assert_eq!(bench.state().current_place().unwrap().1.feature, "A");
    assert_eq!(bench.refuses(choose("Z")), "no_such_characteristic");
    bench.check();
}

/// The feature is there, and only its element is not: the sentence does not deny the feature.
#[test]
fn an_element_that_a_feature_does_not_have_is_named_with_it() {
    let mut bench = two_features("");
    let refused = |bench: &mut Bench, element: &str| {
        let mut taken = bench.take(vec![Incoming::Command(Command::ChooseCharacteristic {
            feature: "B".to_owned(),
            element: element.to_owned(),
        })]);
        taken.refused.pop().map(|(_, refusal)| refusal.to_string())
    };
    let sentence = refused(&mut bench, "pitch");
    assert_eq!(
        sentence.as_deref(),
        Some("The plan has no characteristic “B pitch”.")
    );
    assert_eq!(refused(&mut bench, "size"), None);
    bench.check();
}

#[test]
fn a_closed_session_refuses_and_every_reading_has_an_end() {
    let mut bench = shaft("");
    assert_eq!(bench.reads("0.7877"), "held inch_taken_for_millimetre");
    let waits = kinds(&bench.events("plain-mic", "20.008")) == ["reading_received"];
    assert!(waits);
    let reason = "time to go".to_owned();
    let events = bench.asks(Command::Close { reason });
    assert_eq!(
        kinds(&events),
        ["reading_set_aside", "reading_set_aside", "session_closed"]
    );
    assert_eq!(bench.refuses(Command::StartNextPart), "session_closed");
    let taken = bench.take(vec![Incoming::Reading(typed("mic", "20.008"))]);
    assert!(taken.recorded.is_empty() && !bench.recorder.has_failed());
    assert_eq!(taken.failure.unwrap().code(), "journal_closed");
    bench.check();
}

#[test]
fn a_rule_that_needs_u_is_doubt_where_none_is_known() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.rule = "guard 1.65".to_owned();
    let mut bench = Bench::new(opened.clone());
    let verdict = bench.verdict("nobody", "20.008");
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Doubt));
    assert_eq!(
        (verdict.notes, verdict.u),
        (vec!["rule_needs_uncertainty".to_owned()], None)
    );
    let mut bench = Bench::new(opened);
    bench.asks(Command::SwitchCutting(true));
    assert_eq!(bench.reads_with("nobody", "20.208"), "cutting_noted");
    // Without a rule asked for, nothing known means simple acceptance.
    let mut bench = shaft("");
    let verdict = bench.verdict("nobody", "20.008");
    assert_eq!((verdict.rule.word(), verdict.u), ("simple", None));
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Go));
    bench.check();
}

#[test]
fn an_angle_and_a_length_do_not_take_each_others_place() {
    let text = feature("A", "30° ±0.5°", "") + &feature("B", "20 k6", "");
    let mut bench = Bench::new(plan(&text));
    assert_eq!(bench.reads("20.008"), "reading_set_aside");
    let taken = bench.take(vec![Incoming::Reading(typed_angle("nobody", "30.2"))]);
    assert_eq!(
        taken.recorded.last().map(|one| word(&one.event)).as_deref(),
        Some("GO")
    );
    let taken = bench.take(vec![Incoming::Reading(typed_angle("nobody", "30.2"))]);
    assert_eq!(
        word(&taken.recorded.last().unwrap().event),
        "reading_set_aside"
    );
    bench.check();
}

#[test]
fn a_part_temperature_corrects_ages_and_lapses() {
    // 1.4301: 16.5e-6/K in the materials table; the gauge is at 20 °C and grows nothing.
    let text = "material = \"1.4301\"\n".to_owned() + &feature("A", "20 k6", "");
    let mut bench = Bench::new(plan(&text));
    let set = |part: Option<i32>, gauge: Option<i32>| Command::SetTemperature {
        part: part.map(Celsius::from_milli),
        gauge: gauge.map(Celsius::from_milli),
    };
    let assumed = bench.verdict("mic", "20.010");
    assert_eq!((assumed.value_at_20, assumed.notes.len()), (20_010_000, 0));
    bench.asks(choose("A"));
    bench.asks(set(Some(30_000), Some(20_000)));
    let warm = bench.verdict("mic", "20.010");
    assert_eq!(
        warm.from.len(),
        1,
        "a reading at another temperature is no repeat"
    );
    assert_eq!(
        warm.value_at_20, 20_006_699,
        "20.010 / (1 + 16.5e-6 * 10), computed by hand"
    );
    bench.now_ms += 5 * 60_000;
    bench.asks(choose("A"));
    let aged = bench.verdict("mic", "20.010");
    assert!(aged.u.unwrap() > 0 && aged.notes.is_empty(), "{aged:?}");
    bench.now_ms += 5 * 60_000;
    bench.asks(choose("A"));
    let lapsed = bench.verdict("mic", "20.010");
    assert_eq!(lapsed.notes, ["temperature_lapsed"]);
    bench.asks(set(None, None));
    bench.asks(choose("A"));
    assert_eq!(bench.verdict("mic", "20.010").notes.len(), 0);
    bench.check();
}

#[test]
fn the_materials_of_the_house_and_of_the_gauge_decide_what_warmth_does() {
    let house = "[[material]]\ndesignation = \"1.4301\"\ngroup = \"stainless\"\n\
         youngs_modulus_gpa = 200\npoisson_ratio = 0.3\nexpansion_um_per_m_k = 20\n\
         source = \"measured here\"\n";
    let text = "material = \"1.4301\"\n".to_owned() + &feature("A", "20 k6", "");
    let warm = |house: &str, made_of: &str, part: i32, gauge: i32| {
        let mut opened = plan(&text);
        if !house.is_empty() {
            opened.house = vec![("materials.toml".to_owned(), house.to_owned())];
        }
        let of_mic = "id = \"mic\"\n";
        assert!(opened.gauges.contains(of_mic));
        opened.gauges = opened.gauges.replace(of_mic, &format!("{of_mic}{made_of}"));
        let mut bench = Bench::new(opened);
        bench.asks(Command::SetTemperature {
            part: Some(Celsius::from_milli(part)),
            gauge: Some(Celsius::from_milli(gauge)),
        });
        let verdict = bench.verdict("mic", "20.010");
        // The record alone gives the same again.
        bench.check();
        verdict.value_at_20
    };
    // By hand: 20.010 (1 + a_s 0)/(1 + a_p 10), a_p of the table and of the house.
    assert_eq!(warm("", "", 30_000, 20_000), 20_006_699);
    assert_eq!(warm(house, "", 30_000, 20_000), 20_005_999);
    // The gauge warm, the part not: 20.010 (1 + a_s 10), steel unless the register says otherwise.
    assert_eq!(warm("", "", 20_000, 30_000), 20_012_301);
    let hardmetal = "made_of = \"hardmetal\"\n";
    assert_eq!(warm("", hardmetal, 20_000, 30_000), 20_010_900);
    let own = "made_of = \"1.4301\"\n";
    assert_eq!(warm(house, own, 20_000, 30_000), 20_014_002);

    let mut wrong = plan(&text);
    let house = house.replace("0.3", "0.7");
    wrong.house = vec![("materials.toml".to_owned(), house)];
    let Err(OpeningError::Setup(error)) = Bench::on(CruelDisk::default(), wrong) else {
        panic!("a material that cannot be");
    };
    assert_eq!(error.code, "materials_invalid");
    assert!(
        error.messages[0].contains("materials.toml, line 1: poisson_ratio"),
        "{error:?}"
    );
}

#[test]
fn a_clock_that_is_set_during_a_session_is_an_event_and_order_stays() {
    let mut bench = shaft("");
    bench.reads("20.008");
    for by_ms in [-1_000_000_i64, 3_600_000, -1_001, 1_001, -999, 999] {
        let mut moment = bench.later();
        moment.time += jiff::SignedDuration::from_millis(by_ms);
        let reading = Incoming::Reading(typed("mic", "20.008"));
        let stepped = bench.recorder.take(vec![(moment, reading)]);
        let after = bench.take(Vec::new());
        assert!(after.recorded.is_empty());
        let back = bench.events("mic", "20.008");
        let found = |events: &[Event]| {
            events.iter().find_map(|event| match event {
                Event::ClockStepped { by_ms } => Some(*by_ms),
                _ => None,
            })
        };
        let stepped: Vec<Event> = stepped.recorded.into_iter().map(|one| one.event).collect();
        let expected = (by_ms.abs() > 1_000).then_some(by_ms);
        assert_eq!(found(&stepped), expected, "{by_ms}");
        assert_eq!(found(&back), expected.map(|by_ms| -by_ms), "{by_ms}");
    }
    bench.check();
}

#[test]
fn limits_of_an_earlier_stage_move_by_what_is_left_and_the_last_decides() {
    let text = feature(
        "A",
        "20 k6",
        "stages = [\"turned\", \"polished\"]\nleave = 0.02",
    );
    let mut opened = plan(&text);
    opened.stage = "turned".to_owned();
    let mut bench = Bench::new(opened.clone());
    let verdict = bench.verdict("mic", "20.028");
    assert_eq!(
        (verdict.lower, verdict.upper),
        (Some(20_022_000), Some(20_035_000))
    );
    assert_eq!(verdict.outcome, Outcome::Verdict(VerdictWord::Go));
    opened.stage = String::new();
    let mut bench = Bench::new(opened.clone());
    let verdict = bench.verdict("mic", "20.008");
    assert_eq!(
        (verdict.lower, verdict.upper),
        (Some(20_002_000), Some(20_015_000))
    );
    opened.stage = "plated".to_owned();
    assert!(fitledger::session::Setup::of(&opened).is_err());
}

#[test]
fn any_point_can_be_repeated_after_it_is_settled_and_nothing_is_voided() {
    let mut bench = shaft("points = 3");
    assert_eq!(
        bench.refuses(Command::RepeatPoint),
        "nothing_to_repeat",
        "before the first part"
    );
    let point = |verdict: &fitledger::journal::VerdictGiven| verdict.place.point;
    assert_eq!(point(&bench.verdict("mic", "20.008")), 1);
    assert_eq!(kinds(&bench.asks(Command::RepeatPoint)), ["point_chosen"]);
    // Asked twice, it is asked once.
    assert_eq!(kinds(&bench.asks(Command::RepeatPoint)).len(), 0);
    let again = bench.verdict("mic", "20.008");
    assert_eq!((point(&again), again.from.len()), (1, 2), "both count");
    // Then it goes on where it was.
    assert_eq!(point(&bench.verdict("mic", "20.009")), 2);
    assert_eq!(point(&bench.verdict("mic", "20.007")), 3);
    assert!(bench.state().current_target().is_none(), "settled");
    bench.asks(Command::RepeatPoint);
    assert_eq!(point(&bench.verdict("mic", "20.007")), 3);
    assert!(bench.state().current_target().is_none(), "still settled");
    // A repeat that disagrees opens the point again, and stays there.
    bench.asks(Command::RepeatPoint);
    let far = bench.verdict("mic", "20.012");
    assert_eq!(far.outcome, Outcome::Verdict(VerdictWord::Doubt));
    assert_eq!(kinds(&bench.asks(Command::RepeatPoint)).len(), 0);
    bench.check();
    // Something else chosen in between takes it back.
    let mut bench = two_features("");
    bench.reads("20.008");
    bench.asks(Command::RepeatPoint);
    bench.asks(choose("B"));
    assert_eq!(bench.verdict("mic", "14.995").place.feature, "B");
    bench.check();
}

//! Forms and positions in a session: widths that end at zero, what a way of measuring hides, what
//! was turned in one setting, cones by colour, angles with their uncertainty.

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId, Observed};
use fitledger::journal::{Event, Outcome, SessionOpened, VerdictGiven};
use fitledger::measure::{Side, VerdictWord};
use fitledger::quantity::Length;
use fitledger::session::{
    Command, Found, Incoming, PartState, SetupError, Unfit, check_reading, form_advice,
    is_bounded_by_zero, next_action, note_words, suitability_of, suitability_warnings,
};

use crate::support::bench::{Bench, feature, plan, typed, typed_angle, word};
use crate::support::cruel_disk::CruelDisk;
use crate::support::sheets::sheet_of;

const INDICATOR: &str = "[[gauge]]\nid = \"dial\"\nkind = \"indicator\"\nrange = [0, 1]\n\
resolution = 0.001\nmpe = 0.003\n";
const GO: Outcome = Outcome::Verdict(VerdictWord::Go);
const NO_GO: Outcome = Outcome::Verdict(VerdictWord::NoGo);
const DOUBT: Outcome = Outcome::Verdict(VerdictWord::Doubt);

/// A plan with an indicator beside the usual gauges.
fn with_dial(text: &str) -> SessionOpened {
    let mut opened = plan(text);
    opened.gauges.push_str(INDICATOR);
    opened
}

fn one_form(callout: &str, keys: &str) -> Bench {
    Bench::new(with_dial(&with_datum(callout, keys)))
}

/// The form comes first; its datum is measured on none of the parts here.
fn with_datum(callout: &str, keys: &str) -> String {
    feature("R", callout, keys) + &feature("A", "20 k6", "every = 9999\nsetting = 9")
}

/// What the form comes to on a part of its own.
fn finds(bench: &mut Bench, gauge: &str, text: &str) -> VerdictGiven {
    let is_measured = bench.state().current_part().is_some_and(|part| {
        let mut points = part.characteristics[0].points.iter();
        points.any(|point| point.outcome.is_some())
    });
    if is_measured {
        bench.asks(Command::StartNextPart);
    }
    bench.verdict(gauge, text)
}

fn has(verdict: &VerdictGiven, note: &str) -> bool {
    verdict.notes.iter().any(|one| one == note)
}

/// By hand: rectangles of ±3 µm and of one step of 1 µm (JCGM 100:2008, 4.3.7).
fn u_of_dial() -> f64 {
    (9.0_f64 / 3.0 + 1.0 / 12.0).sqrt() * 1_000.0
}

/// The micrometer of the bench: ±2 µm, a step of 1 µm, and 0.5 µm from one reading to the next.
fn u_of_mic() -> f64 {
    (4.0_f64 / 3.0 + 0.25 + 1.0 / 12.0).sqrt() * 1_000.0
}

fn near_u(verdict: &VerdictGiven, expected: f64) {
    let u = verdict.u.unwrap() as f64;
    assert!((u - expected).abs() <= 1.5, "{u}, not {expected}");
}

#[test]
fn a_runout_is_a_full_movement_between_zero_and_the_width() {
    let mut bench = one_form("0.02 max", "form = \"runout\"\ndatum = \"A\"\npoints = 2");
    let said = next_action(bench.state());
    assert!(
        said.contains("turn it about A, one turn; the full movement"),
        "{said}"
    );
    let inside = bench.verdict("dial", "0.008");
    assert_eq!(
        (inside.outcome, inside.side),
        (Outcome::Inside, Side::Inside)
    );
    assert_eq!(inside.place.element.as_str(), "runout");
    let (lower, upper) = (inside.lower, inside.upper);
    assert_eq!(
        (lower, upper, inside.value_at_20),
        (None, Some(20_000), 8_000)
    );
    assert_eq!(inside.to_middle, None, "the best is zero");
    near_u(&inside, u_of_dial());
    assert_eq!(bench.verdict("dial", "0.012").outcome, GO);
    bench.asks(Command::StartNextPart);
    let beyond = bench.verdict("dial", "0.030");
    assert_eq!((beyond.outcome, beyond.side), (NO_GO, Side::Above));
    // Near the width it is not proved; a warm part changes nothing of it.
    bench.asks(Command::SetTemperature {
        part: Some(fitledger::quantity::Celsius::parse("35").unwrap()),
        gauge: None,
    });
    bench.asks(Command::StartNextPart);
    let near = bench.verdict("dial", "0.019");
    assert_eq!(near.outcome, DOUBT, "{near:?}");
    assert!(!has(&near, "temperature_without_material"));
    let told = bench.events("dial", "-0.005");
    match told.last().unwrap() {
        Event::ReadingSetAside { reason, .. } => assert!(reason.contains("never negative")),
        other => panic!("{other:?}"),
    }
    bench.check();
}

/// No width is below zero: a movement of nothing at all is the best, however unsure it is.
#[test]
fn a_width_near_zero_is_no_doubt() {
    let mut bench = one_form("0.02 max", "form = \"runout\"\ndatum = \"A\"");
    for movement in ["0.000", "0.001", "0.002"] {
        let verdict = finds(&mut bench, "dial", movement);
        assert_eq!(verdict.outcome, GO, "{movement}");
        assert!(verdict.conformance_ppm.unwrap() > 999_000);
    }
    let found = suitability_of(bench.state().setup());
    let dial = found[0]
        .gauges
        .iter()
        .find(|one| one.gauge.as_str() == "dial");
    let Found::Measures(proven) = &dial.unwrap().found else {
        panic!("{dial:?}");
    };
    // One guard zone of 1.645 u in the width.
    let share = 1.645 * u_of_dial() / 20_000.0;
    assert!(
        (proven.guard_share.unwrap() - share).abs() < 1e-3,
        "{proven:?}"
    );
    // A gauge whose guard is wider than the width proves none.
    let mut opened = with_dial(&with_datum("0.02 max", "form = \"runout\"\ndatum = \"A\""));
    opened.gauges = opened.gauges.replace("mpe = 0.003", "mpe = 0.03");
    let bench = Bench::new(opened);
    let warned = suitability_warnings(bench.state().setup());
    assert!(
        warned.iter().any(|one| one.contains("R 0.02 max")),
        "{warned:?}"
    );
    bench.check();
}

#[test]
fn what_has_two_faces_shows_no_position() {
    for form in ["runout", "total_runout", "coaxiality"] {
        let mut bench = one_form("0.02 max", &format!("form = \"{form}\"\ndatum = \"A\""));
        for gauge in ["mic", "caliper"] {
            let verdict = finds(&mut bench, gauge, "0.001");
            assert_eq!(verdict.outcome, DOUBT, "{form} {gauge}");
        }
        let setup = bench.state().setup();
        let found = suitability_of(setup);
        let of = |gauge: &str| {
            let mut all = found[0].gauges.iter();
            all.find(|one| one.gauge == GaugeId::new(gauge))
                .unwrap()
                .found
                .clone()
        };
        assert_eq!(of("mic"), Found::Unfit(Unfit::Kind));
        assert!(matches!(of("dial"), Found::Measures(_)), "{:?}", of("dial"));
        bench.check();
    }
}

/// An axis cannot be seen apart from the form: the movement proves that it is near enough, never
/// that it is not (F20 of the reference: coaxiality is at most what the indicator moves).
#[test]
fn a_coaxiality_is_proved_by_the_movement_and_never_disproved() {
    let mut bench = one_form("0.02 max", "form = \"coaxiality\"\ndatum = \"A\"");
    assert_eq!(finds(&mut bench, "dial", "0.010").outcome, GO);
    let beyond = finds(&mut bench, "dial", "0.040");
    assert_eq!((beyond.outcome, beyond.side), (DOUBT, Side::Above));
    assert!(has(&beyond, "shows_form_too"));
    assert!(note_words("shows_form_too").contains("roundness"));
    bench.check();
}

/// Every cell of the table of V-blocks: the reading over the printed factor is the roundness, and
/// where the table prints nothing the plan is refused with the angle that shows most.
#[test]
fn roundness_over_a_v_block_is_the_reading_over_the_factor_of_the_table() {
    let table = include_str!("../tables/v_block.csv");
    let angles = [60, 72, 90, 108, 120];
    let (mut read, mut refused) = (0, 0);
    for line in table.lines().skip(1) {
        let fields: Vec<f64> = line
            .split(',')
            .map_while(|field| field.parse().ok())
            .collect();
        let factors = &fields[1..6];
        for (degrees, factor) in angles.iter().zip(factors) {
            let keys = format!(
                "form = \"roundness\"\nv_block = {degrees}\nlobes = {}",
                fields[0]
            );
            let opened = with_dial(&with_datum("0.5 max", &keys));
            let made = Bench::on(CruelDisk::default(), opened);
            if *factor < 0.1 {
                let error: SetupError = match made {
                    Err(fitledger::session::OpeningError::Setup(error)) => error,
                    other => panic!("{line} {degrees}: {:?}", other.map(|_| ())),
                };
                assert_eq!(error.code, "v_block_blind");
                let most = factors.iter().fold(0.0_f64, |most, one| most.max(*one));
                let best = factors
                    .iter()
                    .position(|one| (one - most).abs() < 1e-9)
                    .unwrap();
                let hint = error.hint.unwrap();
                let ties = angles
                    .iter()
                    .zip(factors)
                    .filter(|(_, one)| (**one - most).abs() < 1e-3);
                let named = ties.map(|(angle, _)| format!("V of {angle}°"));
                assert!(
                    named.into_iter().any(|name| hint.contains(&name)),
                    "{hint} {best}"
                );
                refused += 1;
                continue;
            }
            let mut bench = made.unwrap();
            let verdict = finds(&mut bench, "dial", "0.040");
            let (roundness, u) = (40_000.0 / factor, u_of_dial() / factor);
            // The table is printed to three decimals.
            let within = 5.1e-4 / factor;
            let found = verdict.value_at_20 as f64;
            assert!(
                (found - roundness).abs() <= roundness * within + 1.0,
                "{line} {degrees}"
            );
            let found = verdict.u.unwrap() as f64;
            assert!(
                (found - u).abs() <= u * within + 1.5,
                "{line} {degrees}: {found}, {u}"
            );
            assert!(has(&verdict, "over_v_block"));
            read += 1;
        }
    }
    assert_eq!(read + refused, 23 * 5);
    // Counted in the table: cells of 0.000.
    assert_eq!(refused, table.matches(",0.000").count());
}

#[test]
fn two_faces_are_blind_to_three_lobes() {
    // Half of the difference of the diameters, of two readings; no GO without even lobes.
    let mut bench = one_form("0.02 max", "form = \"roundness\"\nlobes = 3");
    let small = finds(&mut bench, "mic", "0.004");
    assert_eq!((small.outcome, small.value_at_20), (DOUBT, 2_000));
    assert!(has(&small, "two_point_blind"));
    assert_eq!(small.conformance_ppm, None, "nobody knows a chance");
    assert!(form_advice(&small.notes).unwrap().contains("V-block"));
    near_u(&small, u_of_mic() * 2.0_f64.sqrt() / 2.0);
    let seen = finds(&mut bench, "mic", "0.060");
    assert_eq!(
        (seen.outcome, seen.value_at_20),
        (NO_GO, 30_000),
        "what is seen is there"
    );
    bench.check();
    let mut bench = one_form("0.02 max", "form = \"roundness\"");
    assert_eq!(
        finds(&mut bench, "mic", "0.004").outcome,
        DOUBT,
        "nobody knows how many lobes"
    );
    let mut bench = one_form("0.02 max", "form = \"roundness\"\nlobes = 4");
    let even = finds(&mut bench, "mic", "0.010");
    assert_eq!((even.outcome, even.value_at_20), (GO, 5_000));
    // Before anything is measured: the plan lists nothing that can prove it.
    let listed = "form = \"roundness\"\nlobes = 3\ngauge = [\"mic\"]";
    let bench = one_form("0.02 max", listed);
    let warned = suitability_warnings(bench.state().setup());
    let blind = warned.iter().find(|one| one.contains("R 0.02 max"));
    assert!(
        blind.is_some_and(|one| one.contains("mic: two faces are blind")),
        "{warned:?}"
    );
    let listed = "form = \"roundness\"\nlobes = 3\nv_block = 90\ngauge = [\"dial\"]";
    let bench = one_form("0.02 max", listed);
    let warned = suitability_warnings(bench.state().setup());
    assert!(
        !warned.iter().any(|one| one.contains("R 0.02 max")),
        "{warned:?}"
    );
}

#[test]
fn turned_about_its_own_axis_an_indicator_also_shows_how_far_out_it_runs() {
    let mut bench = one_form("0.02 max", "form = \"roundness\"");
    assert_eq!(finds(&mut bench, "dial", "0.010").outcome, GO);
    let beyond = finds(&mut bench, "dial", "0.040");
    assert_eq!(beyond.outcome, DOUBT);
    assert!(has(&beyond, "shows_eccentricity_too"));
    bench.check();
}

#[test]
fn a_taper_along_a_cylinder_is_of_two_diameters() {
    let mut bench = one_form("0.02 max", "form = \"taper\"");
    let two = finds(&mut bench, "mic", "0.010");
    assert_eq!((two.outcome, two.value_at_20), (GO, 10_000));
    near_u(&two, u_of_mic() * 2.0_f64.sqrt());
    // An indicator moves on the radius, along the way that turned the part.
    let along = finds(&mut bench, "dial", "0.004");
    assert_eq!((along.outcome, along.value_at_20), (DOUBT, 8_000));
    assert!(has(&along, "slide_copies_taper"));
    near_u(&along, u_of_dial() * 2.0);
    bench.check();
}

/// Under simple acceptance: GO exactly where the reading over the factor is at most the width.
#[test]
fn whatever_is_read_the_width_decides() {
    let rules = "[rules]\ndecision = \"simple\"\n";
    for (keys, gauge, doubled) in [
        ("form = \"runout\"\ndatum = \"A\"", "dial", 2),
        ("form = \"roundness\"\nlobes = 6", "mic", 1),
        ("form = \"roundness\"\nlobes = 5\nv_block = 90", "dial", 1),
        ("form = \"taper\"", "mic", 2),
    ] {
        let mut opened = with_dial(&(rules.to_owned() + &with_datum("0.015 max", keys)));
        opened.advance_always = true;
        let mut bench = Bench::new(opened);
        let mut state = 17_u64;
        for _ in 0..40 {
            state = state
                .wrapping_mul(6_364_136_223_846_793_005)
                .wrapping_add(1);
            let um = i64::try_from(state >> 33).unwrap() % 60;
            let verdict = finds(&mut bench, gauge, &Length::from_um(um).to_mm());
            let twice = um * doubled;
            let expected = if twice <= 30 { GO } else { NO_GO };
            assert_eq!(verdict.outcome, expected, "{keys}: {um} µm");
            assert_eq!(verdict.value_at_20, twice * 500, "{keys}: {um} µm");
        }
        bench.check();
    }
}

fn shaft_of_two(when: &str, more: &str) -> Bench {
    let keys = format!("form = \"runout\"\nof = \"B\"\ndatum = \"A\"\n{when}");
    let text = feature("A", "20 k6", "") + &feature("B", "15 h6", more);
    Bench::new(with_dial(&(text + &feature("R", "0.02 max", &keys))))
}

fn choose(feature: &str) -> Command {
    let (feature, element) = (feature.to_owned(), String::new());
    Command::ChooseCharacteristic { feature, element }
}

fn rechuck(bench: &mut Bench) {
    bench.asks(Command::TakeOut);
    let (method, runout) = ("soft jaws".to_owned(), None);
    bench.asks(Command::PutBack { method, runout });
}

fn state_of(bench: &Bench, part: u32) -> PartState {
    bench.state().part(part).unwrap().state()
}

#[test]
fn a_part_clamped_anew_between_two_features_asks_for_the_runout() {
    let mut bench = shaft_of_two("when = \"rechucked\"", "");
    // Both in one setting: recorded with the second, and no runout is asked for.
    let first = bench.verdict("mic", "20.008");
    assert_eq!(first.notes, Vec::<String>::new());
    let second = bench.verdict("mic", "14.995");
    assert!(has(&second, "one_setting_with_A"), "{:?}", second.notes);
    assert_eq!(
        note_words("one_setting_with_A"),
        "turned in one setting with A"
    );
    assert_eq!(state_of(&bench, 1), PartState::Go);
    // Clamped anew between them: told, and asked for.
    bench.verdict("mic", "20.008");
    rechuck(&mut bench);
    let after = bench.verdict("mic", "14.995");
    assert!(has(&after, "rechucked_since_A"), "{:?}", after.notes);
    assert_eq!(state_of(&bench, 2), PartState::Open);
    let said = next_action(bench.state());
    assert!(
        said.contains("Part 2, R (0.02 max)") && said.contains("turn B about A"),
        "{said}"
    );
    let runout = bench.verdict("dial", "0.006");
    assert_eq!((runout.outcome, runout.place.part), (GO, 2));
    assert_eq!(state_of(&bench, 2), PartState::Go);
    // The datum measured once more was still turned before.
    bench.verdict("mic", "20.008");
    rechuck(&mut bench);
    bench.asks(choose("A"));
    let again = bench.verdict("mic", "20.008");
    assert!(
        !again.notes.iter().any(|note| note.contains("setting")),
        "{:?}",
        again.notes
    );
    let after = bench.verdict("mic", "14.995");
    assert!(has(&after, "rechucked_since_A"), "{:?}", after.notes);
    bench.verdict("dial", "0.006");
    // A feature measured once more after both were turned is not clamped anew since.
    bench.verdict("mic", "20.008");
    bench.verdict("mic", "14.995");
    let (part, second) = (4, 2);
    rechuck(&mut bench);
    bench.asks(Command::TakeUpPart { part });
    bench.asks(choose("B"));
    let again = bench.verdict("mic", "14.995");
    assert!(has(&again, "one_setting_with_A"), "{:?}", again.notes);
    assert_eq!(state_of(&bench, second), PartState::Go);
    // After both, or before both, it changes nothing.
    rechuck(&mut bench);
    for reading in ["20.008", "14.995"] {
        bench.verdict("mic", reading);
    }
    rechuck(&mut bench);
    assert_eq!(state_of(&bench, 5), PartState::Go);
    let told = format!("{:?}", sheet_of(&bench).batch.unwrap());
    assert!(
        told.contains("between datum and feature: 3 of 5 parts were not"),
        "{told}"
    );
    assert!(
        !told.contains("one part in"),
        "no sampling plan left anything out"
    );
    bench.check();
}

#[test]
fn a_runout_that_is_always_asked_and_one_across_settings_do_not_wait() {
    let mut bench = shaft_of_two("", "");
    bench.verdict("mic", "20.008");
    bench.verdict("mic", "14.995");
    assert_eq!(state_of(&bench, 1), PartState::Open);
    bench.check();
    // Made in two settings it is clamped anew on every part.
    let mut bench = shaft_of_two("when = \"rechucked\"\nsetting = 2", "setting = 2");
    bench.verdict("mic", "20.008");
    let second = bench.verdict("mic", "14.995");
    assert!(has(&second, "other_setting_than_A"), "{:?}", second.notes);
    assert_eq!(state_of(&bench, 1), PartState::Open);
    assert_eq!(bench.verdict("dial", "0.006").outcome, GO);
    assert_eq!(state_of(&bench, 1), PartState::Go);
    bench.check();
}

#[test]
fn what_waits_keeps_to_the_sampling_plan() {
    let mut bench = shaft_of_two("when = \"rechucked\"\nevery = 2", "");
    for (part, expected) in [(1, PartState::Open), (2, PartState::Go)] {
        bench.verdict("mic", "20.008");
        rechuck(&mut bench);
        bench.verdict("mic", "14.995");
        assert_eq!(state_of(&bench, part), expected, "{part}");
        if part == 1 {
            bench.verdict("dial", "0.006");
        }
    }
    bench.check();
}

#[test]
fn a_width_is_bounded_by_zero_however_it_is_taken() {
    let keys = "form = \"runout\"\ndatum = \"A\"\ntake = \"press\"";
    let mut bench = one_form("0.5 max", keys);
    for um in [212, 205, 219, 208, 211, 214, 207] {
        finds(&mut bench, "dial", &Length::from_um(um).to_mm());
    }
    let state = bench.state();
    let batch = fitledger::session::Batch::of(state);
    let (series, target) = (&batch.series()[0], &state.setup().targets[0]);
    assert!(is_bounded_by_zero(series, target));
}

fn check(bench: &mut Bench, outcome: CheckOutcome) -> VerdictGiven {
    let reading = check_reading(CheckEnd::Go, outcome, &GaugeId::new("unnamed"), "answer");
    assert!(matches!(reading.observed, Observed::Check { .. }));
    let taken = bench.take(vec![Incoming::Reading(reading)]);
    match taken.recorded.last().map(|one| one.event.clone()) {
        Some(Event::VerdictGiven(verdict)) => std::sync::Arc::unwrap_or_clone(verdict),
        other => panic!("{other:?}"),
    }
}

#[test]
fn a_cone_carries_by_colour_or_does_not() {
    let text = feature("C", "30° ±0.5°", "elements = [\"angle\", \"contact\"]");
    let mut bench = Bench::new(plan(&text));
    bench.take(vec![Incoming::Reading(typed_angle("nobody", "30.1"))]);
    let said = next_action(bench.state());
    assert!(
        said.contains("Blue one cone thinly") && said.contains("carry evenly"),
        "{said}"
    );
    let wrong = check(&mut bench, CheckOutcome::DoesNot);
    assert_eq!((wrong.outcome, wrong.side), (NO_GO, Side::Below));
    bench.void(None);
    assert_eq!(check(&mut bench, CheckOutcome::Goes).outcome, GO);
    assert_eq!(state_of(&bench, 1), PartState::Go);
    // A size is no answer.
    let taken = bench.take(vec![Incoming::Reading(typed("mic", "20.008"))]);
    assert_eq!(
        word(&taken.recorded.last().unwrap().event),
        "reading_set_aside"
    );
    bench.check();
}

/// A protractor of ±5' and a step of 1': u = √(25/3 + 1/12) = 2.9011'. By hand: 30.2° is 6 u inside
/// 30.5°, 30.45° is 1.03 u inside it (84.9 %), 30.6° is 2.07 u beyond it (98.1 %).
#[test]
fn an_angle_is_judged_with_the_uncertainty_of_its_gauge() {
    let mut opened = plan(&feature("C", "30° ±0.5°", ""));
    let known = "kind = \"protractor\"\nrange = [0, 360]\nresolution = \"1'\"\nmpe = \"5'\"\n";
    opened.gauges = opened.gauges.replace("kind = \"protractor\"\n", known);
    let mut bench = Bench::new(opened);
    let u = (25.0_f64 / 3.0 + 1.0 / 12.0).sqrt() * 60_000.0;
    for (angle, outcome, ppm) in [
        ("30.2", GO, 999_999),
        ("30.45", DOUBT, 849_000),
        ("30.6", NO_GO, 19_000),
    ] {
        let taken = bench.take(vec![Incoming::Reading(typed_angle("protractor", angle))]);
        let verdict = match taken.recorded.last().map(|one| one.event.clone()) {
            Some(Event::VerdictGiven(verdict)) => verdict,
            other => panic!("{other:?}"),
        };
        assert_eq!(verdict.outcome, outcome, "{angle}");
        assert!((verdict.u.unwrap() as f64 - u).abs() <= 1.0);
        let found = i64::from(verdict.conformance_ppm.unwrap());
        assert!((found - ppm).abs() < 1_500, "{angle}: {found}");
        if outcome != GO {
            bench.void(None);
        }
    }
    bench.check();
}

#[test]
fn a_report_says_of_what_and_about_what() {
    let keys = "form = \"roundness\"\nof = \"A\"\nv_block = 90\nlobes = 3";
    let text = feature("A", "20 k6", "") + &feature("O", "0.02 max", keys);
    let mut bench = Bench::new(with_dial(&text));
    bench.verdict("mic", "20.008");
    bench.verdict("dial", "0.010");
    let sheet = sheet_of(&bench);
    assert_eq!(
        (sheet.asked[1].lower.as_str(), sheet.asked[1].upper.as_str()),
        ("", "0.020")
    );
    let said = "roundness of A over a V of 90°, 3 lobes taken";
    assert!(
        sheet.asked[1].why.iter().any(|why| why == said),
        "{:?}",
        sheet.asked[1].why
    );
}

#[cfg(unix)]
mod program {
    use std::fs;

    use crate::support::program::Shop;

    const GAUGES: &str = "[[gauge]]\nid = \"mic-25\"\nkind = \"outside_micrometer\"\n\
        range = [0, 25]\nresolution = 0.001\nmpe = 0.002\n[[gauge]]\nid = \"dial\"\n\
        kind = \"indicator\"\nrange = [0, 1]\nresolution = 0.001\nmpe = 0.002\n";

    /// The plan of the guide at the bench, typed.
    #[test]
    fn the_terminal_asks_for_the_runout_of_a_part_clamped_anew() {
        let shop = Shop::in_memory();
        let plan = crate::support::guide::file("plans/seat.toml");
        fs::create_dir_all(shop.path("plans")).unwrap();
        fs::create_dir_all(shop.path("sessions")).unwrap();
        fs::write(shop.path("plans/seat.toml"), plan).unwrap();
        fs::write(shop.path("gauges.toml"), GAUGES).unwrap();
        let typed = "20.008\no\np soft jaws 0.01\n14.995\ndial=0.006\ndial=0.004\n2.86\n-\nq\n";
        let gauges = ["--gauge", "mic-25=typed", "--gauge", "dial=typed"];
        let mut arguments = vec!["inspect", "--plan", "plans/seat.toml"];
        arguments.extend(gauges);
        let answer = shop.run(&arguments, typed);
        for said in [
            "put back: soft jaws; R is asked now",
            "clamped anew since A",
            "R 0.02 max runout",
            "O 0.005 max roundness",
            "from the reading over a V-block",
            "it does not carry: correct the angle",
        ] {
            assert!(answer.text.contains(said), "{said}: {}", answer.text);
        }
        assert_eq!(answer.code, 1, "{}", answer.text);
        let sound = shop.shell("\"$FITLEDGER\" verify sessions/*.jsonl", "");
        assert_eq!(sound.code, 0, "{}", sound.text);
        let told = shop.run(&["suitability", "--plan", "plans/seat.toml"], "");
        assert!(told.text.contains("two faces are blind"), "{}", told.text);
    }
}

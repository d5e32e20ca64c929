//! Attribute checks in a session: what a plug, a ring and a mating part did, typed, judged,
//! recorded, and derived again from the record.

use fitledger::gauge::{
    CheckAsked, CheckEnd, CheckOutcome, CheckTool, GaugeId, Observed, Origin, Reading,
};
use fitledger::journal::{
    Event, Outcome, SessionOpened, StorageFolder, VerdictGiven, event_of, verify,
};
use fitledger::measure::{Side, VerdictWord};
use fitledger::session::{
    Command, End, Found, Incoming, LastAnswer, Move, PartState, Setup, Sight, Simulated, Unfit,
    Wanted, answer_sentence, check_reading, next_action, resume_session, sight, suitability_of,
    typed_reading,
};

use crate::support::bench::{
    Bench, NAME, feature, fresh, moment_at, picture, plan, replayed, typed, word,
};
use crate::support::cruel_disk::CruelDisk;
use crate::support::journals::line_starts;

const PLUGS: &str = "[[gauge]]\nid = \"plug\"\nkind = \"plug\"\n\
[[gauge]]\nid = \"other-plug\"\nkind = \"plug\"\n[[gauge]]\nid = \"ring-gauge\"\nkind = \"ring\"\n";
const GO: Outcome = Outcome::Verdict(VerdictWord::Go);
const NO_GO: Outcome = Outcome::Verdict(VerdictWord::NoGo);
const DOUBT: Outcome = Outcome::Verdict(VerdictWord::Doubt);

fn tapped(more: &str) -> SessionOpened {
    let mut opened = plan(&feature("A", "M10-6H", more));
    opened.gauges.push_str(PLUGS);
    opened
}

/// A line typed at the bench, as `inspect` takes it.
fn line(bench: &Bench, text: &str) -> Result<Reading, String> {
    let state = bench.state();
    let at = state.current_target().unwrap_or(0);
    let target = state.setup().targets.get(at).unwrap();
    let gauge = match target.check() {
        Some(_) => state.setup().check_gauge(target, &GaugeId::new("mic")),
        None => GaugeId::new("mic"),
    };
    typed_reading(text, &gauge, Wanted::of(Some(target))).map_err(|error| error.code.to_owned())
}

fn events(bench: &mut Bench, reading: Reading) -> Vec<Event> {
    let taken = bench.take(vec![Incoming::Reading(reading)]);
    assert_eq!((taken.failure, taken.undecided), (None, Vec::new()));
    taken.recorded.into_iter().map(|one| one.event).collect()
}

fn answers(bench: &mut Bench, text: &str) -> VerdictGiven {
    let reading = line(bench, text).unwrap();
    match events(bench, reading).pop() {
        Some(Event::VerdictGiven(verdict)) => std::sync::Arc::unwrap_or_clone(verdict),
        other => panic!("{text}: {other:?}"),
    }
}

fn element(bench: &Bench) -> String {
    let place = bench.state().current_place();
    place.map_or_else(String::new, |(_, place)| place.element)
}

#[test]
fn a_tapped_hole_is_proved_by_bore_plug_and_turns_and_the_record_gives_it_again() {
    let mut bench = Bench::new(tapped(""));
    assert_eq!(bench.reads("8.600"), "GO");
    assert_eq!(element(&bench), "go_plug");
    let go = answers(&mut bench, "+");
    assert_eq!((go.outcome, go.side, go.from.len()), (GO, Side::Inside, 1));
    assert_eq!(
        (go.u, go.lower, go.upper, go.to_middle),
        (None, None, None, None)
    );
    assert_eq!(element(&bench), "no_go_plug");
    let two = answers(&mut bench, "1,5");
    assert_eq!((two.outcome, two.side), (GO, Side::Inside));
    let part = bench.state().current_part().unwrap();
    assert_eq!(part.state(), PartState::Go);
    let all = bench.state().readings().iter();
    let kept: Vec<_> = all.map(|record| (record.check, record.origin)).collect();
    let expected = [None, Some(CheckEnd::Go), Some(CheckEnd::NoGo)];
    assert_eq!(kept, expected.map(|end| (end, Origin::Typed)));
    bench.check();
}

#[test]
fn a_failed_plug_says_on_which_side_the_metal_is_wrong_and_is_tried_again() {
    let mut bench = Bench::new(tapped("elements = [\"go_plug\", \"no_go_plug\"]"));
    let not = answers(&mut bench, "does not");
    assert_eq!((not.outcome, not.side), (NO_GO, Side::MetalOn));
    let told = answer_sentence(
        bench.state(),
        &Event::VerdictGiven(std::sync::Arc::new(not)),
    );
    let expected = "it does not go the whole way: metal is still on, cut again";
    assert_eq!(told.as_deref(), Some(expected));
    assert_eq!(element(&bench), "go_plug", "only GO moves on");
    assert_eq!(answers(&mut bench, "goes").outcome, GO);
    let more = answers(&mut bench, "2.5");
    assert_eq!((more.outcome, more.side), (NO_GO, Side::MetalGone));
    let told = answer_sentence(
        bench.state(),
        &Event::VerdictGiven(std::sync::Arc::new(more)),
    );
    let expected = "it goes where it must not: metal is gone";
    assert_eq!(told.as_deref(), Some(expected));
    // Miscounted: voided, and counted once more.
    let reading = bench.state().last_reading();
    bench.void(reading);
    assert_eq!(answers(&mut bench, "2").outcome, GO);
    bench.check();
}

#[test]
fn a_ring_on_a_short_thread_must_not_pass_right_through() {
    // Three turns of pitch 1.5 are 4.5 mm.
    for (length, is_short) in [("4.5", true), ("4.6", false)] {
        let more = format!("full_thread = {length}\nelements = [\"no_go_ring\"]");
        let mut bench = Bench::new(plan(&feature("A", "M10-6g", &more)));
        let asked = *bench.state().setup().targets[0].check().unwrap();
        assert_eq!(asked.short_thread, is_short);
        let turns = line(&bench, "3");
        let goes = match is_short {
            // Turns do not tell whether it passed through.
            true => {
                assert_eq!(turns.unwrap_err(), "no_answer");
                assert_eq!(answers(&mut bench, "-").outcome, GO);
                "+"
            }
            false => {
                assert!(turns.is_ok());
                assert_eq!(answers(&mut bench, "-").outcome, GO);
                "3"
            }
        };
        bench.asks(Command::RepeatPoint);
        let again = answers(&mut bench, goes);
        assert_eq!((again.outcome, again.side), (NO_GO, Side::MetalGone));
        bench.check();
    }
}

#[test]
fn a_mating_part_is_noted_and_makes_no_part_go() {
    for answer in ["+", "-"] {
        let mut bench = Bench::new(tapped("elements = [\"mate\"]"));
        let noted = answers(&mut bench, answer);
        assert_eq!(noted.outcome, Outcome::Noted);
        let part = bench.state().current_part().unwrap();
        assert_eq!(part.state(), PartState::Noted);
        assert_eq!(part.characteristics[0].settled, Some(Outcome::Noted));
        assert!(part.state().is_good(), "nothing is wrong with it");
        assert!(bench.state().current_target().is_none(), "it is settled");
        bench.check();
    }
    // Beside something that is proved, that counts alone.
    for (turns, expected) in [("1", PartState::Go), ("7", PartState::NoGo)] {
        let mut opened = tapped("elements = [\"mate\", \"no_go_plug\"]");
        opened.advance_always = true;
        let mut bench = Bench::new(opened);
        answers(&mut bench, "-");
        answers(&mut bench, turns);
        let part = bench.state().current_part().unwrap();
        assert_eq!(part.state(), expected, "{turns} turns");
        bench.check();
    }
}

#[test]
fn a_size_is_no_answer_and_an_answer_is_no_size() {
    let mut bench = Bench::new(tapped("elements = [\"go_plug\", \"minor\"]"));
    // A gauge's button is pressed while the plug is asked.
    let mut sent = typed("mic", "8.376");
    sent.origin = Origin::Sent;
    let last = events(&mut bench, sent).pop();
    let Some(Event::ReadingSetAside { reason, .. }) = last else {
        panic!("{last:?}")
    };
    let expected = "the GO plug is asked, which goes or does not; a size is no answer";
    assert_eq!(reason, expected);
    let wrong_end = check_reading(
        CheckEnd::NoGo,
        CheckOutcome::DoesNot,
        &GaugeId::new("plug"),
        "-",
    );
    let last = events(&mut bench, wrong_end).pop();
    let Some(Event::ReadingSetAside { reason, .. }) = last else {
        panic!("{last:?}")
    };
    assert_eq!(reason, "that is no answer for the GO plug");
    assert_eq!(answers(&mut bench, "goes").outcome, GO);
    let late = check_reading(CheckEnd::Go, CheckOutcome::Goes, &GaugeId::new("plug"), "+");
    let last = events(&mut bench, late).pop();
    let Some(Event::ReadingSetAside { reason, .. }) = last else {
        panic!("{last:?}")
    };
    let expected = "this characteristic is measured, not tried with a limit gauge";
    assert_eq!(reason, expected);
    assert_eq!(bench.reads("8.600"), "GO");
    bench.check();
}

#[test]
fn what_may_be_typed_is_taken_as_it_was_said_and_nothing_else_is() {
    use CheckOutcome::{DoesNot, Goes, TurnsMore, TurnsTwoOrFewer};
    let asked = |end, with, short_thread| {
        Wanted::Check(CheckAsked {
            end,
            with,
            short_thread,
        })
    };
    let go = asked(CheckEnd::Go, CheckTool::ThreadPlug, false);
    let no_go = asked(CheckEnd::NoGo, CheckTool::ThreadRing, false);
    let short = asked(CheckEnd::NoGo, CheckTool::ThreadPlug, true);
    let plain = asked(CheckEnd::NoGo, CheckTool::GapGauge, false);
    let mate = asked(CheckEnd::Mate, CheckTool::MatingPart, false);
    let gauge = GaugeId::new("plug");
    let outcome = |text: &str, wanted| {
        let reading = typed_reading(text, &gauge, wanted).ok()?;
        assert_eq!(reading.raw, text.as_bytes(), "as typed");
        assert_eq!(reading.origin, Origin::Typed);
        match (reading.observed, wanted) {
            (Observed::Check { end, outcome }, Wanted::Check(asked)) => {
                assert_eq!(end, asked.end);
                Some(outcome)
            }
            other => panic!("{text}: {other:?}"),
        }
    };
    for wanted in [go, short, plain, mate] {
        for text in ["+", "goes", " Goes ", "yes", "y"] {
            assert_eq!(outcome(text, wanted), Some(Goes), "{text}");
        }
        for text in ["-", "\u{2212}", "does  not", "does not go", "no", "N"] {
            assert_eq!(outcome(text, wanted), Some(DoesNot), "{text}");
        }
        for text in [
            "0", "1", "2.5", "7", "8.376", "more", "two", "fewer", "", "x",
        ] {
            assert_eq!(outcome(text, wanted), None, "{text}");
        }
    }
    for (text, expected) in [
        ("+", TurnsMore),
        ("more", TurnsMore),
        ("more than two", TurnsMore),
        ("goes", Goes),
        ("-", TurnsTwoOrFewer),
        ("two", TurnsTwoOrFewer),
        ("fewer", TurnsTwoOrFewer),
        ("does not", DoesNot),
        ("0", DoesNot),
        ("0.25", TurnsTwoOrFewer),
        ("1", TurnsTwoOrFewer),
        ("1,5", TurnsTwoOrFewer),
        ("2", TurnsTwoOrFewer),
        ("2.0", TurnsTwoOrFewer),
        ("2.1", TurnsMore),
        ("2.25", TurnsMore),
        ("7", TurnsMore),
    ] {
        assert_eq!(outcome(text, no_go), Some(expected), "{text}");
    }
    // Sizes, signs and units are no counted turns.
    for text in [
        "8.376", "2.000", "1.33", "-1", "100.1", "2 mm", "1.5in", "1/2", "", "maybe",
    ] {
        let error = typed_reading(text, &gauge, no_go).unwrap_err();
        assert_eq!(error.code, "no_answer", "{text}");
        assert!(error.hint().unwrap().contains("turns counted"), "{text}");
    }
    for (text, wanted) in [
        ("+", Wanted::Length),
        ("goes", Wanted::Length),
        ("no", Wanted::Angle),
    ] {
        let error = typed_reading(text, &gauge, wanted).unwrap_err();
        assert_eq!(error.code, "no_check_here", "{text}");
    }
    let named = typed_reading("other-plug = goes", &gauge, go).unwrap();
    assert_eq!(named.gauge.as_str(), "other-plug");
}

#[test]
fn a_go_rests_on_a_gauge_that_the_plan_lists_and_a_no_go_on_any() {
    let only_go = "elements = [\"go_plug\"]\n";
    let of = |list: &str| tapped(&format!("{only_go}gauge = [{list}]"));
    // (listed, typed, what comes of it, the gauge that is recorded)
    for (list, text, outcome, gauge) in [
        ("", "+", GO, None),
        ("", "plug=+", GO, Some("plug")),
        ("", "mic=+", DOUBT, Some("mic")),
        ("", "ring-gauge=+", DOUBT, Some("ring-gauge")),
        ("\"mic\"", "+", GO, None),
        ("\"mic\", \"plug\"", "+", GO, Some("plug")),
        ("\"plug\"", "other-plug=+", DOUBT, Some("other-plug")),
        ("\"plug\"", "other-plug=-", NO_GO, Some("other-plug")),
        ("\"plug\", \"other-plug\"", "+", DOUBT, None),
        (
            "\"plug\", \"other-plug\"",
            "other-plug=+",
            GO,
            Some("other-plug"),
        ),
        ("\"plug\"", "stranger=+", DOUBT, None),
    ] {
        let mut bench = Bench::new(of(list));
        let verdict = answers(&mut bench, text);
        assert_eq!(verdict.outcome, outcome, "[{list}] {text}");
        let record = bench.state().reading(verdict.reading).unwrap();
        let id = record
            .gauge
            .and_then(|at| bench.state().setup().gauge_id(at));
        let id = id.as_ref().map(GaugeId::as_str);
        assert_eq!(id, gauge, "[{list}] {text}");
        let notes: &[&str] = match outcome == DOUBT {
            true => &["gauge_may_not_prove_this"],
            false => &[],
        };
        assert_eq!(verdict.notes, notes, "[{list}] {text}");
        bench.check();
    }
    let mut bench = Bench::new(of("\"plug\", \"other-plug\""));
    let verdict = answers(&mut bench, "+");
    let told = answer_sentence(
        bench.state(),
        &Event::VerdictGiven(std::sync::Arc::new(verdict)),
    );
    let expected = "not proved; the plan asks for plug or other-plug: name the gauge, as plug=goes";
    assert_eq!(told.as_deref(), Some(expected));
    // A plug in the list of a thread keeps no micrometer from measuring its crest.
    let mut bench = Bench::new(tapped("gauge = [\"plug\"]"));
    assert_eq!(bench.reads("8.600"), "GO");
}

/// A plug is for a hole when the limits are the same, however both are written; the same is said
/// before the first part.
#[test]
fn a_plug_proves_what_it_is_made_for_however_that_is_written() {
    let inside = "surface = \"inside\"\nelements = [\"go_plug\"]";
    let bore = "elements = [\"go_plug\"]";
    for (callout, more, kind, made, is_proved) in [
        ("20 H7", bore, "plain_plug", "callout = \"20 H7\"", true),
        (
            "20 H7",
            bore,
            "plain_plug",
            "callout = \"20 +0.021/0\"",
            true,
        ),
        ("20 H7", bore, "plain_plug", "callout = \"20 H8\"", false),
        ("20 H7", bore, "plain_plug", "end = \"no_go\"", false),
        ("M10-6H", bore, "plug", "callout = \"M10x1.5-6H\"", true),
        ("M10-6H/6g", inside, "plug", "callout = \"M10-6H\"", true),
        ("M10-6H/6g", inside, "plug", "callout = \"M10-6G\"", false),
    ] {
        let case = format!("{callout} by {made}");
        let mut opened = plan(&feature("A", callout, more));
        let entry = format!("[[gauge]]\nid = \"made\"\nkind = \"{kind}\"\n{made}\n");
        opened.gauges.push_str(&entry);
        let suitable = suitability_of(&Setup::of(&opened).unwrap());
        let mut gauges = suitable.iter().flat_map(|one| &one.gauges);
        let found = gauges
            .find(|one| one.gauge == GaugeId::new("made"))
            .unwrap();
        let verdict = answers(&mut Bench::new(opened), "made=+");
        match is_proved {
            true => assert_eq!(
                (verdict.outcome, &found.found),
                (GO, &Found::Tries),
                "{case}"
            ),
            false => {
                let unfit = Found::Unfit(Unfit::MadeForOther);
                assert_eq!((verdict.outcome, &found.found), (DOUBT, &unfit), "{case}");
            }
        }
    }
}

#[test]
fn before_the_last_stage_no_limit_gauge_is_asked() {
    let coated = "coating = [0.004, 0.006]\n";
    let at = |stage: &str, more: &str| {
        let mut opened = plan(&feature("A", "M10-6g", more));
        opened.stage = stage.to_owned();
        Setup::of(&opened).map(|setup| {
            let targets = setup.targets.iter();
            let elements: Vec<String> = targets.map(|one| one.element.clone()).collect();
            elements.join(" ")
        })
    };
    let all = "major go_ring no_go_ring";
    assert_eq!(at("", coated).unwrap(), all);
    assert_eq!(at("coated", coated).unwrap(), all);
    assert_eq!(at("before coating", coated).unwrap(), "major");
    // A thread that is proved by gauges alone is not proved before it is coated.
    let gauges = format!("{coated}elements = [\"go_ring\", \"no_go_ring\"]\n");
    assert_eq!(at("", &gauges).unwrap(), "go_ring no_go_ring");
    let error = at("before coating", &gauges).unwrap_err();
    assert_eq!(error.code, "nothing_to_measure");
    let named = "stages = [\"cut\", \"hard\"]\n";
    assert_eq!(at("cut", named).unwrap(), "major");
    assert_eq!(at("hard", named).unwrap(), all);
    // A thread that knows no stages is the same at each.
    assert_eq!(at("before coating", "").unwrap(), all);
}

#[test]
fn the_next_action_asks_the_question_of_what_is_tried() {
    let mut bench = Bench::new(tapped("elements = [\"go_plug\", \"no_go_plug\", \"mate\"]"));
    let asked = |bench: &Bench| next_action(bench.state());
    assert_eq!(
        asked(&bench),
        "Part 1, A (M10-6H): Screw the GO plug in by hand, without force. Does it go over the \
         whole thread?"
    );
    answers(&mut bench, "+");
    assert_eq!(
        asked(&bench),
        "Part 1, A (M10-6H): Try the NO-GO plug by hand at every end that it can enter, without \
         force; count the turns while unscrewing. How many turns?"
    );
    answers(&mut bench, "2");
    assert_eq!(
        asked(&bench),
        "Part 1, A (M10-6H): Try the mating part by hand: its feel is recorded and proves \
         nothing. Does it go together?"
    );
}

/// A record in which a verdict rests on a reading that is none for its characteristic.
#[test]
fn verify_derives_a_check_from_the_end_that_was_tried() {
    use fitledger::session::{Judged, judge_place};
    let opened = tapped("elements = [\"go_plug\", \"no_go_plug\", \"minor\"]");
    let mut bench = Bench::new(opened.clone());
    answers(&mut bench, "+");
    answers(&mut bench, "-");
    assert_eq!(bench.reads("8.600"), "GO");
    let state = bench.state();
    let readings = bench.readings();
    let places: Vec<_> = bench
        .told
        .iter()
        .filter_map(|event| match event {
            Event::VerdictGiven(verdict) => Some(verdict.place.clone()),
            _ => None,
        })
        .collect();
    for (at, place) in places.iter().enumerate() {
        for (of, sequence) in readings.iter().enumerate() {
            let value = state.reading(*sequence).unwrap().value;
            let derived = judge_place(state, at, place, *sequence, value);
            let is_own = matches!(derived, Ok(Judged::Verdict(_)));
            assert_eq!(is_own, at == of, "target {at}, reading {of}: {derived:?}");
        }
    }
}

#[test]
fn the_simulated_hand_tries_the_plugs_too() {
    let mut bench = Bench::new(tapped("elements = [\"go_plug\", \"no_go_plug\", \"mate\"]"));
    let mut hand = Simulated::new(7);
    let mut last: Option<Event> = None;
    let mut seen = Vec::new();
    for _ in 0..3 {
        let view: Sight = sight(bench.state(), last.as_ref());
        let Move::Try { end, outcome } = hand.next_move(&view) else {
            panic!("{view:?}")
        };
        let reading = check_reading(end, outcome, &GaugeId::new("simulated"), outcome.word());
        last = events(&mut bench, reading).pop();
        seen.push(last.as_ref().map(word).unwrap());
    }
    assert_eq!(seen, ["GO", "GO", "noted"]);
    let settled = sight(bench.state(), last.as_ref());
    assert_eq!((settled.target, settled.last), (None, LastAnswer::Accepted));
    // Where its answers prove nothing, it gives the part up in the end.
    let listed = tapped("elements = [\"go_plug\"]\ngauge = [\"plug\"]");
    let state = fresh(&listed);
    let mut stuck = sight(&state, None);
    stuck.last = LastAnswer::Doubt;
    let moves: Vec<Move> = (0..6).map(|_| hand.next_move(&stuck)).collect();
    assert!(moves.contains(&Move::NextPart), "{moves:?}");
}

#[test]
fn the_answer_after_the_work_was_done_again_stands_in_the_record_too() {
    let mut bench = Bench::new(tapped("elements = [\"no_go_plug\"]"));
    assert_eq!(answers(&mut bench, "more").outcome, NO_GO);
    assert_eq!(bench.ends(), [End::Judged]);
    assert_eq!(answers(&mut bench, "two").outcome, GO);
    let (_, replayed) = bench.replayed();
    let again = replayed.state.unwrap();
    let settled = again.current_part().unwrap().characteristics[0].settled;
    assert_eq!(settled, Some(GO));
}

#[test]
fn a_session_stopped_at_any_line_goes_on_and_judges_the_answer_that_was_left() {
    let mut bench = Bench::new(tapped("elements = [\"go_plug\", \"no_go_plug\", \"mate\"]"));
    for text in ["-", "+", "1.5", "+"] {
        answers(&mut bench, text);
    }
    let whole = bench.disk.bytes(NAME);
    let outcomes = |events: &[Event]| -> Vec<Outcome> {
        let all = events.iter().filter_map(|event| match event {
            Event::VerdictGiven(verdict) => Some(verdict.outcome),
            _ => None,
        });
        all.collect()
    };
    let expected = outcomes(&bench.told);
    for start in line_starts(&whole).into_iter().skip(1) {
        let disk = CruelDisk::default();
        drop(disk.create_new(NAME).unwrap());
        disk.put_junk(NAME, &whole[..start]);
        let continued = |_: &str, attempt: u32| format!("session-{}.jsonl", attempt + 2);
        let mut resumed = resume_session(&disk, NAME, continued, "test 2", |last_ms, _| {
            moment_at(last_ms + 60_000)
        })
        .unwrap();
        resumed.recorder.take(Vec::new());
        let state = resumed.recorder.state();
        assert!(state.readings().iter().all(|one| one.end == End::Judged));
        let (_, replayed) = replayed(&disk, NAME);
        assert_eq!(replayed.faults, Vec::new(), "{start}");
        assert_eq!(picture(&replayed.state.unwrap()), picture(state), "{start}");
        // As many answers as readings, each what it was without the stop.
        let count = state.readings().len();
        let mut given = Vec::new();
        verify(disk.bytes(NAME).as_slice(), |sound| {
            given.push(event_of(sound.line.kind, sound.line.body).unwrap());
        })
        .unwrap();
        assert_eq!(outcomes(&given), expected[..count], "{start}");
    }
}

//! Every key of the Bench, by value: what a press asks for, and what the record says then.
#![allow(clippy::unwrap_used, clippy::panic)]

use fitledger::gauge::GaugeId;
use fitledger::journal::{Event, Outcome};
use fitledger::measure::VerdictWord;
use fitledger::session::{End, PartState, Request};
use fitledger::window::desk::{Asked, Change, Desk, Form, Menu, Mode, deed_of};
use fitledger::window::look::{Distance, Theme};
use fitledger::window::press::Press;
use fitledger::window::view::choices;

use crate::support::bench::{Bench, feature, plan, word};
use crate::support::hand::Hand;
use crate::support::shown::{shown_with, snapshot};

/// `20 k6`: 20.002 to 20.015; `15 h6`: 14.989 to 15 (ISO 286-2:2010: k6 over 18 to 30 +15 and
/// +2 µm, h6 over 10 to 18 0 and -11 µm).
fn two_features() -> Hand {
    let text = feature("A", "20 k6", "points = 2") + &feature("B", "15 h6", "");
    Hand::at(Bench::new(plan(&text)))
}

fn one_feature(more: &str) -> Hand {
    Hand::at(Bench::new(plan(&feature("A", "20 k6", more))))
}

fn last_word(hand: &Hand) -> String {
    hand.bench.told.last().map(word).unwrap_or_default()
}

#[test]
fn a_whole_part_is_measured_with_digits_marker_and_enter_alone() {
    let mut hand = two_features();
    hand.keys("20.008⏎");
    assert_eq!(last_word(&hand), "inside");
    // Enter looks away from the answer, and asks for nothing.
    assert_eq!(hand.keys("⏎⏎").len(), 0);
    hand.keys("20,009⏎⏎");
    assert_eq!(last_word(&hand), "GO");
    hand.keys("14.995⏎⏎");
    let part = hand.bench.state().current_part().unwrap().state();
    assert_eq!((part, hand.count()), (PartState::Go, 3));
    // The part is settled: Enter takes the next one.
    assert_eq!(hand.keys("⏎"), ["part_started"]);
    assert_eq!(hand.keys("⏎⏎").len(), 0, "the part at hand is open");
    hand.bench.check();
}

#[test]
fn a_whole_part_is_measured_with_the_gauges_button_alone() {
    let mut hand = two_features();
    for reading in ["20.008", "20.009", "14.995", "20.008"] {
        hand.sends("mic", reading);
    }
    assert_eq!(hand.bench.state().parts().len(), 2);
    assert_eq!(hand.bench.ends(), [End::Judged; 4]);
}

#[test]
fn both_markers_count_and_the_one_of_the_setting_is_shown() {
    for (marker, shown) in [('.', "20.0"), (',', "20,0")] {
        let mut hand = one_feature("");
        hand.desk.marker = marker;
        for typed in ["20.0", "20,0"] {
            hand.keys(typed);
            assert_eq!(hand.typed_text(), Some(shown));
            hand.keys("␛");
        }
        hand.keys("20,008⏎");
        assert_eq!(last_word(&hand), "GO");
    }
}

#[test]
fn what_is_no_number_is_pointed_at_and_the_text_stays() {
    let mut hand = one_feature("");
    hand.keys("20.0.");
    assert_eq!(hand.typed_text(), Some("20.0"));
    assert!(hand.fault().contains("at character 3"), "{}", hand.fault());
    // The next press takes the fault away and goes on.
    hand.keys("08");
    assert_eq!((hand.typed_text(), hand.fault()), (Some("20.008"), ""));
    for odd in ["x", "+", "-", "/", "*"] {
        hand.keys(odd);
        assert_eq!(hand.typed_text(), Some("20.008"), "{odd}");
        assert!(hand.fault().contains(odd), "{odd}: {}", hand.fault());
    }
    assert_eq!(hand.keys("⏎")[0], "received");
    // Too large for a length: refused on Enter, still there to be corrected.
    hand.keys("⏎99999999999⏎");
    assert_eq!(hand.typed_text(), Some("99999999999"));
    assert!(!hand.fault().is_empty());
    assert_eq!(hand.count(), 1);
}

#[test]
fn very_long_text_is_bounded_and_that_is_said() {
    let mut hand = one_feature("");
    hand.keys(&"7".repeat(1_000));
    assert_eq!(hand.typed_text().unwrap().len(), 24);
    assert!(hand.fault().contains("at most 24"), "{}", hand.fault());
    hand.keys("␛");
    hand.press(Press::Pasted("7".repeat(100_000)));
    assert_eq!(hand.typed_text().unwrap().len(), 24);
    hand.keys("␛k");
    hand.desk.mode = Mode::Filling {
        form: Form::ToolNote,
        text: String::new(),
    };
    hand.keys(&"é".repeat(1_000));
    assert_eq!(hand.typed_text().unwrap().chars().count(), 500);
    assert_eq!(hand.keys("⏎"), ["tool_changed"]);
}

#[test]
fn no_digit_is_lost_when_a_gauge_sends_meanwhile_and_a_question_waits_its_turn() {
    let mut hand = one_feature("");
    hand.keys("25.0");
    hand.sends("mic", "25.000");
    assert!(hand.bench.state().bench().held.is_some(), "a slip is held");
    // Typing goes on; minus and plus are part of it, not answers.
    hand.keys("08+-");
    assert_eq!(hand.typed_text(), Some("25.008"));
    assert!(hand.bench.state().bench().held.is_some());
    assert_eq!(shown_with(&hand.bench, &hand.desk).question, None);
    assert_eq!(hand.keys("⏎"), ["received"], "recorded, and waits");
    assert!(shown_with(&hand.bench, &hand.desk).question.is_some());
    assert_eq!(hand.keys("⏎/").len(), 0, "the question comes first");
    assert!(hand.fault().contains("set it aside"), "{}", hand.fault());
    assert_eq!(hand.keys("-"), ["reading_set_aside", "reading_held"]);
    // Typed again, and it fits: that answers it.
    let kinds = hand.keys("20.008⏎");
    let given = ["reading_set_aside", "reading_assigned", "verdict_given"];
    assert_eq!(
        (kinds[0].as_str(), &kinds[1..]),
        ("received", &given.map(str::to_owned)[..])
    );
    let ends = [End::SetAside, End::SetAside, End::Judged];
    assert_eq!(hand.bench.ends(), ends);
    hand.bench.check();
}

#[test]
fn a_held_reading_is_answered_with_plus_and_with_minus_alone() {
    for (key, end) in [("+", End::Judged), ("-", End::SetAside)] {
        let mut hand = one_feature("");
        hand.sends("mic", "25.000");
        for other in ["⏎", "␣", "/"] {
            hand.keys(other);
            assert!(hand.bench.state().bench().held.is_some(), "{other}");
        }
        hand.keys(key);
        assert_eq!(hand.bench.ends(), [end]);
        assert_eq!(hand.bench.state().bench().held, None);
    }
}

#[test]
fn the_last_reading_is_voided_with_a_numbered_reason_even_if_another_comes_meanwhile() {
    let mut hand = two_features();
    assert_eq!(hand.keys("⌫").len(), 0);
    assert!(hand.fault().contains("no reading"), "{}", hand.fault());
    hand.sends("mic", "20.008");
    let first = hand.bench.readings()[0];
    hand.keys("⌫");
    assert_eq!(hand.desk.mode, Mode::Choosing(Menu::VoidReasons));
    // Neither the foot switch nor a number that is not offered is a reason.
    assert_eq!(hand.keys("⏎␣9+").len(), 0);
    hand.sends("mic", "20.009");
    let asked = shown_with(&hand.bench, &hand.desk).question.unwrap();
    assert!(asked.title.contains("20.008 mm of A"), "{}", asked.title);
    let events = hand.press(Press::Digit('1'));
    let Some(Event::ReadingVoided {
        reading, reason, ..
    }) = events.first()
    else {
        panic!("{events:?}")
    };
    assert_eq!((*reading, reason.as_str()), (first, "gauge was tilted"));
    // Another reason, in words, which must not be empty.
    hand.keys("⌫0⏎");
    assert_eq!(
        hand.desk.mode,
        Mode::Filling {
            form: Form::VoidReason,
            text: String::new()
        }
    );
    assert!(
        hand.fault().contains("only with a reason"),
        "{}",
        hand.fault()
    );
    hand.keys(" ⏎");
    assert_eq!(hand.bench.ends(), [End::Voided, End::Judged]);
    assert_eq!(hand.keys("chip, jaw 3⏎")[0], "reading_voided");
    assert_eq!(hand.bench.ends(), [End::Voided, End::Voided]);
    hand.bench.check();
}

#[test]
fn backspace_edits_while_typing_and_does_not_go_over_into_voiding() {
    let mut hand = one_feature("");
    hand.sends("mic", "20.008");
    hand.keys("20⌫");
    assert_eq!(hand.typed_text(), Some("2"));
    hand.press(Press::BackspaceHeld);
    assert_eq!(hand.desk.mode, Mode::Measuring);
    for _ in 0..20 {
        hand.press(Press::BackspaceHeld);
    }
    assert_eq!(hand.desk.mode, Mode::Measuring);
    // A keypad has no Escape: Backspace leaves every list and every empty form.
    hand.keys("⌫⌫");
    assert_eq!(hand.desk.mode, Mode::Measuring);
    hand.keys(".2");
    assert_eq!(hand.typed_text(), Some(""));
    hand.keys("⌫");
    assert_eq!(hand.desk.mode, Mode::Measuring);
    assert_eq!(hand.bench.ends(), [End::Judged]);
}

#[test]
fn the_next_part_is_asked_for_while_this_one_is_open() {
    let mut hand = two_features();
    assert_eq!(hand.keys("/"), ["part_started"]);
    hand.sends("mic", "20.008");
    assert_eq!(hand.keys("/⏎␣").len(), 0);
    assert_eq!(hand.desk.mode, Mode::Choosing(Menu::NextPart));
    assert_eq!(hand.keys("-").len(), 0);
    assert_eq!(hand.desk.mode, Mode::Measuring);
    assert_eq!(hand.keys("/+"), ["part_started"]);
    for reading in ["20.008", "20.009", "14.995"] {
        hand.sends("mic", reading);
    }
    assert_eq!(
        hand.keys("/"),
        ["part_started"],
        "a settled part needs no question"
    );
}

#[test]
fn no_part_is_taken_beyond_those_that_were_wanted() {
    let mut opened = plan(&feature("A", "20 k6", ""));
    opened.parts = Some(1);
    let mut hand = Hand::at(Bench::new(opened));
    hand.keys("/");
    assert_eq!(hand.keys("/").len(), 0);
    assert!(hand.fault().contains("last of 1"), "{}", hand.fault());
    hand.sends("mic", "20.008");
    hand.keys("⏎⏎");
    assert_eq!(hand.desk.mode, Mode::Choosing(Menu::Close));
    assert_eq!(hand.keys("+"), ["session_closed"]);
    assert_eq!(hand.refused, Vec::<&str>::new());
}

#[test]
fn star_repeats_the_point_measured_last() {
    let mut hand = two_features();
    assert_eq!(hand.keys("*").len(), 0);
    hand.sends("mic", "20.008");
    assert_eq!(hand.keys("*"), ["point_chosen"]);
    let events = hand.sends("mic", "20.008");
    let Some(Event::VerdictGiven(verdict)) = events.last() else {
        panic!("{events:?}")
    };
    assert_eq!((verdict.place.point, verdict.from.len()), (1, 2));
    assert!(!hand.bench.ends().contains(&End::Voided));
}

#[test]
fn arrows_choose_the_characteristic_and_stop_at_the_ends() {
    let mut hand = two_features();
    assert_eq!(hand.keys("↑").len(), 0, "A is the first");
    assert_eq!(hand.keys("↓"), ["part_started", "characteristic_chosen"]);
    assert_eq!(hand.keys("↓").len(), 0, "B is the last");
    assert_eq!(hand.bench.state().current_target(), Some(1));
    assert_eq!(hand.keys("↑"), ["characteristic_chosen"]);
    hand.press(Press::Choose(1));
    assert_eq!(hand.bench.state().current_target(), Some(1));
    assert_eq!(hand.press(Press::Choose(77)), Vec::new());
}

#[test]
fn typed_readings_are_of_a_gauge_that_is_shown_and_can_be_changed() {
    let more = "gauge = [\"unknown\", \"plain-mic\", \"mic\"]";
    let mut hand = one_feature(more);
    let gauge = |hand: &Hand| match &hand.desk.mode {
        Mode::Typing { gauge, .. } => gauge.as_str().to_owned(),
        other => panic!("{other:?}"),
    };
    hand.keys("20.008");
    assert_eq!(gauge(&hand), "plain-mic", "the first allowed that is known");
    hand.keys("↑");
    assert_eq!(gauge(&hand), "plain-mic");
    hand.keys("↓");
    assert_eq!(
        (gauge(&hand), hand.typed_text()),
        ("mic".to_owned(), Some("20.008"))
    );
    hand.keys("⏎2");
    assert_eq!(gauge(&hand), "mic", "it stays chosen");
    let event = hand.bench.told.iter().find_map(|event| match event {
        Event::ReadingReceived(reading) => Some(reading.gauge.clone()),
        _ => None,
    });
    assert_eq!(event, Some(GaugeId::new("mic")));
    // Standards measure nothing.
    let mut all = vec![gauge(&hand)];
    for _ in 0..20 {
        hand.keys("↓");
        all.push(gauge(&hand));
    }
    assert!(!all.contains(&"ring".to_owned()), "{all:?}");
    // Without any the session's first source is taken.
    let mut hand = one_feature("");
    hand.keys("2");
    assert_eq!(gauge(&hand), "mic");
}

#[test]
fn a_gauge_that_reads_deviations_takes_a_minus() {
    let mut hand = one_feature("gauge = [\"comparator\"]");
    hand.keys("-0.5⌫⌫⌫");
    assert_eq!(hand.typed_text(), Some("-"));
    hand.keys("⌫");
    assert_eq!(hand.desk.mode, Mode::Measuring);
    // Set on a ring of 20.000 that shows +0.008 less 0.003: below the upper limit.
    hand.keys("-0.003⏎");
    let events = &hand.bench.told;
    let Some(Event::VerdictGiven(verdict)) = events.last() else {
        panic!("{events:?}")
    };
    assert_eq!(verdict.value_at_20, 19_997_000, "20.000 - 0.003");
    // Where sizes are read there is no sign to begin with.
    let mut hand = one_feature("");
    hand.keys("-");
    assert_eq!(hand.desk.mode, Mode::Measuring);
    assert!(hand.fault().contains("no sign"), "{}", hand.fault());
}

#[test]
fn a_burst_is_a_reading_whatever_is_open_and_presses_nothing() {
    let modes = [
        Mode::Measuring,
        Mode::Choosing(Menu::Bench),
        Mode::Choosing(Menu::VoidReasons),
        Mode::Choosing(Menu::Close),
        Mode::Typing {
            text: "19".to_owned(),
            gauge: GaugeId::new("mic"),
        },
        Mode::Filling {
            form: Form::VoidReason,
            text: "til".to_owned(),
        },
    ];
    for mode in modes {
        let mut hand = one_feature("");
        hand.sends("mic", "25.000");
        hand.desk.mode = mode.clone();
        let events = hand.press(Press::Burst(" +25.001".to_owned()));
        assert!(
            matches!(events[..], [Event::ReadingReceived(_)]),
            "{events:?}"
        );
        assert_eq!((&hand.desk.mode, hand.count()), (&mode, 2));
        assert!(hand.bench.state().bench().held.is_some());
        for garbage in ["c/*-+wgt", "1.2.3", "", "+-+-"] {
            assert_eq!(hand.press(Press::Burst(garbage.to_owned())), Vec::new());
            assert!(hand.fault().contains("no reading"), "{}", hand.fault());
            assert_eq!((&hand.desk.mode, hand.desk.is_why), (&mode, false));
        }
        assert!(!hand.bench.state().bench().cutting);
    }
}

#[test]
fn a_burst_without_its_end_is_no_reading_and_presses_nothing() {
    let mut hand = one_feature("");
    hand.sends("mic", "20.008");
    for cut in ["+20.0", "c.1", "wwww"] {
        assert_eq!(hand.press(Press::BurstCut(cut.to_owned())), Vec::new());
        assert!(hand.fault().contains("without Enter"), "{}", hand.fault());
        assert_eq!(
            (&hand.desk.mode, hand.desk.is_why),
            (&Mode::Measuring, false)
        );
    }
    hand.keys("⌫");
    hand.press(Press::BurstCut("111".to_owned()));
    assert_eq!(hand.bench.ends(), [End::Judged]);
    // Digits that a hand rolled are not lost.
    hand.keys("⌫");
    hand.press(Press::BurstCut("20.".to_owned()));
    hand.press(Press::BurstCut("008".to_owned()));
    assert_eq!(hand.typed_text(), Some("20.008"));
}

#[test]
fn num_lock_is_named_and_nothing_moves() {
    let mut hand = two_features();
    hand.keys("20");
    assert_eq!(hand.press(Press::NumLockOff), Vec::new());
    assert!(hand.fault().contains("Num Lock is off"), "{}", hand.fault());
    assert_eq!(hand.typed_text(), Some("20"));
}

#[test]
fn letters_double_what_the_list_of_the_keypad_does() {
    for key in ["c", "C", ".1"] {
        let mut hand = one_feature("");
        assert_eq!(hand.keys(key), ["cutting_switched"], "{key}");
        assert!(hand.bench.state().bench().cutting);
        hand.keys(key);
        assert!(!hand.bench.state().bench().cutting);
    }
    for key in ["w", ".3"] {
        let mut hand = one_feature("");
        hand.keys(key);
        assert!(hand.desk.is_why);
        hand.keys("⏎");
        assert!(!hand.desk.is_why, "Enter closes it");
    }
    for key in ["g", ".4", ",4"] {
        let mut hand = one_feature("");
        hand.keys(key);
        assert!(hand.desk.is_glance);
        assert_eq!(hand.asked, [Asked::Settings(Change::Glance(true))]);
    }
    for key in ["t31.5⏎", ".231,5⏎", "t31.5 22⏎", ".231.5/22⏎", "t-⏎"] {
        let mut hand = one_feature("");
        assert_eq!(hand.keys(key), ["temperature_set"], "{key}");
        let set = hand.bench.state().bench().temperature.unwrap();
        let milli = set.part.map(|part| part.to_string());
        let wanted = (!key.contains('-')).then(|| "31.5".to_owned());
        assert_eq!(milli.map(|text| text[..4].to_owned()), wanted, "{key}");
        assert_eq!(set.gauge.is_some(), key.contains("22"), "{key}");
    }
    let mut hand = one_feature("");
    for wrong in ["t⏎", "thot⏎", "t1 2 3⏎"] {
        assert_eq!(hand.keys(wrong).len(), 0, "{wrong}");
        assert!(!hand.fault().is_empty() && hand.typed_text().is_some());
        hand.keys("␛");
    }
}

#[test]
fn the_list_records_tools_offsets_persons_and_the_part_in_and_out() {
    let mut hand = two_features();
    assert_eq!(hand.keys(".63⏎"), ["tool_changed"]);
    assert_eq!(hand.keys(".7-0,02/X⏎"), ["offset_applied"]);
    assert_eq!(hand.keys(".8⏎").len(), 0, "a person has a name");
    assert_eq!(hand.keys("Bo⏎"), ["operator_changed"]);
    hand.sends("mic", "20.008");
    // A and B are open in this setting: they are named first.
    assert_eq!(hand.keys(".5").len(), 0);
    assert_eq!(hand.desk.mode, Mode::Choosing(Menu::TakeOut));
    assert_eq!(hand.keys("-.5+"), ["taken_out"]);
    assert_eq!(hand.keys(".5⏎").len(), 0);
    assert!(hand.fault().contains("set true"), "{}", hand.fault());
    assert_eq!(hand.keys("dial indicator 0.01⏎"), ["put_back"]);
    hand.sends("mic", "20.009");
    hand.sends("mic", "14.995");
    assert_eq!(hand.keys(".5"), ["taken_out"], "nothing is open");
    assert_eq!(
        hand.keys(".50.02⏎"),
        ["put_back"],
        "a keypad gives the runout"
    );
    hand.bench.check();
}

#[test]
fn looks_are_settings_and_the_session_is_left_or_closed_only_after_a_question() {
    let mut hand = one_feature("");
    hand.keys(".91.92.93.94.95.96.97.98");
    let theme = |theme| Asked::Settings(Change::Theme(theme));
    let distance = |distance| Asked::Settings(Change::Distance(distance));
    let wanted = [
        theme(Theme::Night),
        theme(Theme::Day),
        theme(Theme::HighContrast),
        distance(Distance::Half),
        distance(Distance::One),
        distance(Distance::Two),
        distance(Distance::Three),
        Asked::Calibrate,
    ];
    assert_eq!(hand.asked, wanted);
    hand.asked.clear();
    hand.keys(".99");
    assert_eq!(hand.asked, [Asked::Settings(Change::Marker(','))]);
    hand.asked.clear();
    assert_eq!(hand.keys("␛⏎␣-␛").len(), 0);
    assert_eq!(hand.desk.mode, Mode::Choosing(Menu::Close));
    hand.keys("0");
    assert_eq!(hand.asked, [Asked::Start]);
    assert_eq!(hand.keys(".0+"), ["session_closed"]);
    hand.asked.clear();
    assert_eq!(hand.keys("20.008⏎c*/↓+-").len(), 0, "nothing is added");
    assert_eq!(hand.refused, Vec::<&str>::new(), "nor asked for");
    assert_eq!(hand.press(Press::Burst("20.008".to_owned())), Vec::new());
    assert!(hand.fault().contains("not recorded"), "{}", hand.fault());
    hand.asked.clear();
    hand.keys("⏎");
    assert_eq!(hand.asked, [Asked::Start]);
}

#[test]
fn a_simulated_gauge_has_its_button_on_the_space_bar() {
    let mut hand = one_feature("");
    hand.is_playing = Some(false);
    hand.keys("␣.*p.+");
    let asked = [
        Request::PressGauge,
        Request::PressGauge,
        Request::Play(true),
        Request::Play(true),
    ];
    assert_eq!(hand.asked, asked.map(Asked::Request));
    hand.asked.clear();
    hand.is_playing = Some(true);
    hand.keys("p.+");
    assert_eq!(
        hand.asked,
        [false, false].map(|on| Asked::Request(Request::Play(on)))
    );
    // While typing it is the foot switch.
    assert_eq!(hand.keys("20.008␣")[0], "received");
    // Without a simulated gauge it always is.
    hand.is_playing = None;
    hand.asked.clear();
    hand.keys("␣");
    assert_eq!((hand.asked.len(), hand.desk.left > 0), (0, true));
}

#[test]
fn every_choice_that_is_offered_does_something_and_nothing_else_is_offered() {
    let menus = [
        Menu::Bench,
        Menu::VoidReasons,
        Menu::TakeOut,
        Menu::NextPart,
        Menu::Look,
        Menu::Close,
        Menu::Decide,
    ];
    let bench = Bench::new(plan(&feature("A", "20 k6", "")));
    for menu in menus {
        for is_playing in [None, Some(true), Some(false)] {
            let mut seen = snapshot(&bench);
            seen.is_playing = is_playing;
            let offered = choices(menu, &seen);
            assert!(!offered.is_empty());
            for (key, text) in &offered {
                assert!(deed_of(menu, *key).is_some(), "{menu:?} {key} {text}");
                assert!(offered.iter().filter(|(one, _)| one == key).count() == 1);
            }
            // On a keypad.
            assert!(
                offered
                    .iter()
                    .all(|(key, _)| "0123456789+-*/".contains(*key))
            );
            let mut desk = Desk {
                mode: Mode::Choosing(menu),
                ..Desk::default()
            };
            let hidden = "0123456789+-*".chars();
            for key in hidden.filter(|key| offered.iter().all(|(one, _)| one != key)) {
                let press = fitledger::window::keys::character_press(key);
                assert_eq!(desk.press(press, &seen), Vec::new(), "{menu:?} {key}");
                assert_eq!(desk.mode, Mode::Choosing(menu));
                assert!(desk.fault.is_some());
            }
        }
    }
}

#[test]
fn no_press_at_any_moment_panics_or_loses_typed_text_to_another_mode() {
    let presses = [
        Press::Digit('5'),
        Press::Marker,
        Press::Enter,
        Press::Backspace,
        Press::BackspaceHeld,
        Press::Plus,
        Press::Minus,
        Press::Star,
        Press::Slash,
        Press::Up,
        Press::Down,
        Press::Left,
        Press::Right,
        Press::Escape,
        Press::Space,
        Press::Tab,
        Press::Letter('c'),
        Press::Letter('\u{202e}'),
        Press::Choose(0),
        Press::Choose(9),
        Press::Verdict,
        Press::Burst("20.008".to_owned()),
        Press::BurstCut("20.".to_owned()),
        Press::NumLockOff,
        Press::Pasted("20.008\n".to_owned()),
    ];
    let mut hand = two_features();
    let mut random = 1_u64;
    for _ in 0..4_000 {
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let at = usize::try_from(random >> 33).unwrap() % presses.len();
        hand.press(presses[at].clone());
        hand.is_playing = if random & 1 == 0 { None } else { Some(true) };
        if hand.bench.state().is_closed() {
            hand = two_features();
        }
    }
    hand.bench.check();
    assert!(hand.bench.state().parts().iter().all(|part| {
        let settled = part.characteristics.iter().filter_map(|one| one.settled);
        settled
            .into_iter()
            .all(|word| word == Outcome::Verdict(VerdictWord::Go))
    }));
}

//! A half that is made to suit its measured mate: limits of one session, which the Bench judges by.
//!
//! 20 H7/g6: H7 is 0 to +21 µm, g6 -20 to -7 µm (ISO 286-1), so the clearance is 7 to 41 µm. A bore
//! of 20.030 with u = 1 µm takes a shaft of 19.989 to 20.023; 2 u less at each end, 19.991 to 20.021;
//! of these 19.991 to 19.993 lie in g6 (19.980 to 19.993). By hand.

use fitledger::journal::{Part, SessionOpened, Suit};
use fitledger::measure::AsIntended;
use fitledger::pair::{Measured, Meeting, Member};
use fitledger::quantity::Length;
use fitledger::session::{Begin, Check, Setup, TargetLimits, What, Workspace, replay, setup_asked};
use proptest::prelude::{prop_oneof, proptest};
use proptest::strategy::Just;
use proptest::{prop_assert, prop_assert_eq};

use crate::support::bench::{Bench, NAME, feature, plan};
use crate::support::forged::{chained, lines_of};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

pub(crate) fn suit() -> Suit {
    Suit {
        feature: "A".to_owned(),
        mate: "housing.toml#bore".to_owned(),
        measured: Measured::Hole,
        fit: "20 H7/g6".to_owned(),
        least: mm("0.007"),
        most: mm("0.041"),
        size: mm("20.030"),
        u: Some(mm("0.001")),
        form: Length::ZERO,
        source: "typed".to_owned(),
        keep_class: false,
    }
}

fn opened(suits: Vec<Suit>) -> SessionOpened {
    SessionOpened {
        suits,
        ..plan(&feature("A", "20 g6", ""))
    }
}

/// Lower and upper limit of the session.
fn limits(suits: Vec<Suit>) -> Result<(Length, Length), &'static str> {
    let setup = Setup::of(&opened(suits)).map_err(|error| error.code)?;
    let TargetLimits::Length(limits) = setup.targets[0].limits else {
        panic!("no size")
    };
    Ok((limits.lower().unwrap(), limits.upper().unwrap()))
}

#[test]
fn the_bench_judges_by_what_suits_and_says_so() {
    // Good by its class, loose in this bore.
    for (size, word) in [
        ("19.985", "NO-GO metal_gone"),
        ("19.992", "DOUBT"),
        ("20.008", "GO"),
    ] {
        let mut bench = Bench::new(opened(vec![suit()]));
        assert_eq!(bench.reads(size), word, "{size}");
        bench.check();
    }
    // Too large for its class, and what this bore needs.
    let mut bench = Bench::new(opened(vec![suit()]));
    let good = bench.verdict("mic", "20.008");
    assert_eq!(
        (good.lower, good.upper),
        (Some(19_991_000), Some(20_021_000))
    );
    assert_eq!(good.notes, ["made_to_suit"]);
    let mut plain = Bench::new(opened(Vec::new()));
    let beyond = plain.verdict("mic", "20.008");
    assert_eq!((beyond.upper, beyond.notes), (Some(19_993_000), Vec::new()));
}

#[test]
fn both_the_class_and_what_suits_are_told_with_their_why() {
    let setup = Setup::of(&opened(vec![suit()])).unwrap();
    let target = &setup.targets[0];
    let suited = target.suited.as_ref().unwrap();
    assert_eq!(
        suited.sentences(),
        [
            "This session only, every part of it: the shaft A is made to suit the hole \
             housing.toml#bore, 20.030 mm (typed): for a clearance of 0.007 to 0.041 mm \
             (20 H7/g6) it may be 19.989 to 20.023 mm.",
            "A guard band of 0.002 mm at each end, 2 u of that measurement (u 0.001 mm), leaves \
             19.991 to 20.021 mm.",
            "Its own class is 19.980 to 19.993 mm; only 19.991 to 19.993 mm lie in both and stay \
             interchangeable.",
        ]
    );
    let TargetLimits::Length(limits) = target.limits else {
        panic!("no size")
    };
    let why: Vec<String> = limits
        .explain(&setup.tables)
        .iter()
        .map(ToString::to_string)
        .collect();
    let last = why.last().unwrap();
    assert_eq!(why.len(), 6, "{why:?}");
    assert!(
        last.starts_with("made to suit the measured mate: lower limit 19.980 + 0.011 = 19.991;"),
        "{last}"
    );
    // Size for size the class is kept, where the maker asks for that.
    let kept = Suit {
        keep_class: true,
        ..suit()
    };
    let found = self::limits(vec![kept.clone()]);
    assert_eq!(found, Ok((mm("19.991"), mm("19.993"))));
    let told = Setup::of(&opened(vec![kept])).unwrap();
    let told = told.targets[0].suited.as_ref().unwrap().sentences();
    assert!(told[2].ends_with("19.991 to 19.993 mm lie in both and are its limits here."));
}

#[test]
fn nothing_in_common_with_the_class_is_explained_and_refused_only_where_the_class_is_kept() {
    let large = Suit {
        size: mm("20.050"),
        ..suit()
    };
    let setup = Setup::of(&opened(vec![large.clone()])).unwrap();
    let told = setup.targets[0].suited.as_ref().unwrap().sentences();
    assert_eq!(
        told[2],
        "Its own class is 19.980 to 19.993 mm. The class ends at 19.993 mm, and the measured half \
         needs 20.011 mm at least: it can be made to suit, but not interchangeable."
    );
    let kept = Suit {
        keep_class: true,
        ..large
    };
    let refused = Setup::of(&opened(vec![kept])).unwrap_err();
    assert_eq!(refused.code, "not_in_class");
    assert_eq!(
        refused.hint.as_deref(),
        Some("Leave --keep-class out, and it suits this mate alone.")
    );
}

#[test]
fn the_form_of_the_mate_and_what_is_not_known_of_it_count() {
    let with = |form: &str, u: Option<&str>| {
        let suit = Suit {
            form: mm(form),
            u: u.map(mm),
            ..suit()
        };
        limits(vec![suit])
    };
    assert_eq!(
        with("0.003", Some("0.001")),
        Ok((mm("19.994"), mm("20.018")))
    );
    assert_eq!(with("0.003", None), Ok((mm("19.992"), mm("20.020"))));
    assert_eq!(with("0", None), Ok((mm("19.989"), mm("20.023"))));
    let bare = Suit { u: None, ..suit() };
    let setup = Setup::of(&opened(vec![bare])).unwrap();
    let told = setup.targets[0].suited.as_ref().unwrap().sentences();
    assert_eq!(
        told[1],
        "No guard band: the uncertainty of that measurement is not known."
    );
}

/// What stands in a record may be anybody's: it gives an error, never a panic and no limits.
#[test]
fn suits_that_make_no_sense_begin_no_session() {
    let far = Length::from_nm(i64::MAX / 4);
    let one = suit;
    for (suits, code) in [
        (
            vec![Suit {
                feature: "Z".to_owned(),
                ..one()
            }],
            "nothing_to_suit",
        ),
        (vec![one(), one()], "suited_twice"),
        (
            vec![Suit {
                least: mm("0.050"),
                ..one()
            }],
            "clearance_reversed",
        ),
        (
            vec![Suit {
                u: Some(mm("0.010")),
                ..one()
            }],
            "nothing_left",
        ),
        (
            vec![Suit {
                u: Some(mm("-0.001")),
                ..one()
            }],
            "suit_out_of_range",
        ),
        (
            vec![Suit {
                u: Some(far),
                ..one()
            }],
            "suit_out_of_range",
        ),
        (
            vec![Suit {
                form: mm("-0.001"),
                ..one()
            }],
            "suit_out_of_range",
        ),
        (
            vec![Suit {
                size: Length::ZERO,
                ..one()
            }],
            "suit_out_of_range",
        ),
        (
            vec![Suit {
                size: mm("2.003"),
                ..one()
            }],
            "suit_far_from_class",
        ),
        (
            vec![Suit {
                size: mm("2.003"),
                measured: Measured::Shaft,
                ..one()
            }],
            "suit_far_from_class",
        ),
        (vec![Suit { size: far, ..one() }], "suit_out_of_range"),
        (
            vec![Suit {
                least: -far,
                ..one()
            }],
            "suit_out_of_range",
        ),
        (vec![Suit { most: far, ..one() }], "suit_out_of_range"),
        (vec![Suit { form: far, ..one() }], "suit_out_of_range"),
        (
            vec![Suit {
                size: mm("0.010"),
                ..one()
            }],
            "suit_far_from_class",
        ),
    ] {
        assert_eq!(limits(suits.clone()), Err(code), "{suits:?}");
    }
    let tiny = SessionOpened {
        suits: vec![Suit {
            size: mm("0.020"),
            ..one()
        }],
        ..plan(&feature("A", "0.3 g6", ""))
    };
    assert_eq!(Setup::of(&tiny).unwrap_err().code, "suit_out_of_range");
    let thread = SessionOpened {
        suits: vec![one()],
        ..plan(&feature("A", "M10-6g", ""))
    };
    assert_eq!(Setup::of(&thread).unwrap_err().code, "nothing_to_suit");
    let open = SessionOpened {
        suits: vec![one()],
        ..plan(&feature("A", "20 max", "surface = \"outside\""))
    };
    assert_eq!(Setup::of(&open).unwrap_err().code, "suit_one_sided");
}

#[test]
fn a_stage_before_the_last_suits_nothing_yet() {
    let stages = "stages = [\"turned\", \"ground\"]\nleave = 0.2";
    let at = |stage: &str| {
        let opened = SessionOpened {
            stage: stage.to_owned(),
            suits: vec![suit()],
            ..plan(&feature("A", "20 g6", stages))
        };
        Setup::of(&opened).map(|_| ()).map_err(|error| error.code)
    };
    assert_eq!(at("turned"), Err("suit_before_last_stage"));
    assert_eq!(at("ground"), Ok(()));
    assert_eq!(at(""), Ok(()));
}

proptest! {
    /// Whatever is typed gives limits or a sentence, and never a panic.
    #[test]
    fn whatever_is_typed_as_a_mate_is_answered(
        text in prop_oneof![
            "\\PC{0,40}",
            "housing.toml#bore=[-+0-9.,±in ]{0,24}",
            "housing.toml#bore=[a-z/#]{0,9}\\.jsonl(#[0-9x]{0,12})?",
        ],
        keep_class in prop_oneof![Just(true), Just(false)],
    ) {
        let place = tempfile::tempdir().unwrap();
        let pair = "[[pair]]\nhole = \"housing.toml#bore\"\nshaft = \"A\"\n\
                    intended = \"20 H7/g6\"\n";
        let text_of_plan = format!("[part]\nname = \"P\"\n{}{pair}", feature("A", "20 g6", ""));
        let path = place.path().join("plan.toml");
        std::fs::write(&path, text_of_plan).unwrap();
        let begin = Begin {
            suits: vec![text],
            keep_class,
            ..Begin::new(What::Plan(path))
        };
        let workspace = Workspace::locate(Some(place.path()));
        match setup_asked(&begin, None, &workspace) {
            Ok(setup) => {
                let TargetLimits::Length(limits) = setup.targets[0].limits else {
                    panic!("no size")
                };
                prop_assert!(limits.lower() > Some(Length::ZERO));
                prop_assert!(setup.targets[0].suited.is_some());
            }
            Err(error) => prop_assert!(!error.message.is_empty() && !error.code.is_empty()),
        }
    }

    /// Whatever is inside the limits of the session is proved as intended with the mate, and what
    /// lies beyond the limits without their guard band is not.
    #[test]
    fn what_the_session_takes_is_as_intended(
        size_um in -40_i64..80, u_nm in 1_i64..6_000, at in 0.0_f64..1.0, beyond_nm in 1_i64..9_000,
        measured in prop_oneof![Just(Measured::Hole), Just(Measured::Shaft)],
    ) {
        let suit = Suit {
            measured,
            size: mm("20") + Length::from_um(size_um),
            u: Some(Length::from_nm(u_nm)),
            ..suit()
        };
        let range = (suit.least, suit.most);
        let (lower, upper) = limits(vec![suit.clone()]).unwrap();
        let mate = Member { size: suit.size, standard_nm: Some(Length::from_nm(u_nm).as_nm_f64()) };
        let together = |size: Length| {
            let made = Member { size, standard_nm: Some(0.0) };
            let meeting = match measured {
                Measured::Hole => Meeting::of(mate, made),
                Measured::Shaft => Meeting::of(made, mate),
            };
            meeting.as_intended(range).unwrap()
        };
        #[allow(clippy::cast_possible_truncation)]
        let inside = lower + Length::from_nm(((upper - lower).as_nm_f64() * at) as i64);
        for size in [lower, inside, upper] {
            prop_assert_eq!(together(size), AsIntended::Yes);
        }
        let beyond = Length::from_nm(u_nm * 2 + beyond_nm);
        for size in [lower - beyond, upper + beyond] {
            prop_assert!(together(size) != AsIntended::Yes);
        }
    }
}

/// A mate that somebody put into a record afterwards, with a chain that is right: the verdicts that
/// it holds do not follow from it any more, and that is found. One that makes no sense is a fault too.
#[test]
fn a_mate_that_was_changed_in_the_record_is_found() {
    let mut bench = Bench::new(opened(vec![suit()]));
    assert_eq!(bench.reads("20.008"), "GO");
    let bytes = bench.disk.bytes(NAME);
    let honest = lines_of(&bytes);
    let read = |lines: &[(String, String)]| {
        let part = Part {
            name: NAME.to_owned(),
            until: None,
        };
        let forged = chained(lines);
        let (reports, replayed) =
            replay(&[part], |_| Ok(forged.as_slice()), Check::Verdicts).unwrap();
        assert!(reports[0].findings.is_empty(), "{:?}", reports[0].findings);
        replayed
    };
    assert_eq!(read(&honest).faults, Vec::new());
    let changed = |from: &str, to: &str| {
        let mut lines = honest.clone();
        assert!(lines[0].1.contains(from), "{}", lines[0].1);
        lines[0].1 = lines[0].1.replace(from, to);
        read(&lines)
    };
    let other = changed("\"size\":\"20.030\"", "\"size\":\"20.033\"");
    let kinds: Vec<&str> = other.faults.iter().map(|fault| fault.kind).collect();
    assert!(kinds.contains(&"verdict_differs"), "{kinds:?}");
    for (from, to) in [
        ("\"feature\":\"A\"", "\"feature\":\"Z\""),
        ("\"least\":\"0.007\"", "\"least\":\"9000\""),
        ("\"u\":\"0.001\"", "\"u\":\"10000\""),
        ("\"size\":\"20.030\"", "\"size\":\"-10000\""),
    ] {
        let found = changed(from, to);
        assert!(!found.faults.is_empty(), "{to}");
        assert!(found.state.is_none(), "{to}");
    }
}

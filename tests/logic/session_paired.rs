//! The pairs of a session's plan on the part at hand.
//!
//! 20 H7/g6: H7 is 0 to +21 µm, g6 -20 to -7 µm (ISO 286-1), so the clearance is 7 to 41 µm. By
//! hand.
#![allow(clippy::float_cmp)] // clearances are whole nanometres

use fitledger::journal::SessionOpened;
use fitledger::measure::AsIntended;
use fitledger::pair::{Between, Measured, Meeting, MeetingKind, Member, OutOfClass, guard_of};
use fitledger::quantity::Length;
use fitledger::session::{Command, HalfNow, HalfOpen, Paired, PartState, paired};
use fitledger::tolerance::FitKind;

use super::session_suited::suit;
use crate::support::bench::{Bench, feature, plan};

const PAIR: &str = "[[pair]]\nhole = \"bore\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n";

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn between(lower: &str, upper: &str) -> Between {
    Between {
        lower: mm(lower),
        upper: mm(upper),
    }
}

/// A bore and a shaft of one plan, that shaft with so many points.
fn opened(points: u32) -> SessionOpened {
    let shaft = feature("A", "20 g6", &format!("points = {points}"));
    let mut opened = plan(&(feature("bore", "20 H7", "") + &shaft + PAIR));
    opened.advance_always = true;
    opened
}

fn only(bench: &Bench) -> Paired {
    let mut all = paired(bench.state());
    assert_eq!(all.len(), 1);
    all.pop().unwrap()
}

/// The bore, read as what it is more than its ring of 20 mm; its standard uncertainty.
fn reads_bore(bench: &mut Bench, above: &str) -> Length {
    let verdict = bench.verdict("comparator", above);
    assert_eq!(verdict.place.feature, "bore");
    Length::from_nm(verdict.u.unwrap())
}

fn reads_shaft(bench: &mut Bench, size: &str) -> Length {
    let verdict = bench.verdict("mic", size);
    assert_eq!(verdict.place.feature, "A");
    Length::from_nm(verdict.u.unwrap())
}

fn member(size: &str, u: Length) -> Member {
    Member {
        size: mm(size),
        standard_nm: Some(u.as_nm_f64()),
    }
}

#[test]
fn two_measured_halves_meet_with_the_uncertainty_of_both() {
    let mut bench = Bench::new(opened(1));
    let fresh = only(&bench);
    let fit = fresh.intended.clone().unwrap().unwrap();
    assert_eq!(fit.callout, "20 H7/g6");
    assert_eq!((fit.least, fit.most), (mm("0.007"), mm("0.041")));
    assert_eq!(fit.hole, between("20.000", "20.021"));
    assert_eq!(fit.shaft, between("19.980", "19.993"));
    assert_eq!(fit.kind, FitKind::Clearance);
    assert!(fresh.together.is_none() && fresh.make.is_none());
    let of_hole = reads_bore(&mut bench, "0.010");
    let of_shaft = reads_shaft(&mut bench, "19.986");
    assert!(of_hole != of_shaft && of_hole > Length::ZERO && of_shaft > Length::ZERO);
    let found = only(&bench);
    assert!(found.make.is_none());
    let together = found.together.unwrap().unwrap();
    let expected = Meeting::of(member("20.010", of_hole), member("19.986", of_shaft));
    assert_eq!((together.tight, together.loose), (expected, expected));
    assert_eq!(expected.clearance_nm(), 24_000.0);
    assert_eq!(together.kind, MeetingKind::Clearance);
    assert_eq!(together.as_intended, AsIntended::Yes);
    assert_eq!(together.interference, expected.interference_probability());
    let range = (mm("0.007"), mm("0.041"));
    assert_eq!(together.inside, expected.inside_probability(range));
    assert!(together.inside.unwrap() > 0.99);
}

#[test]
fn of_several_points_the_tightest_and_the_loosest_count_and_the_worse_decides() {
    let mut bench = Bench::new(opened(2));
    let u = reads_bore(&mut bench, "0.010");
    let first = reads_shaft(&mut bench, "19.986");
    assert_eq!(
        only(&bench).shaft.now,
        HalfNow::Open(HalfOpen::Points(1, 2))
    );
    // 40 µm at the second point: 1 µm from the end of the range, less than what is not known.
    let second = reads_shaft(&mut bench, "19.970");
    let found = only(&bench);
    let size = found.shaft.size().unwrap();
    assert_eq!((size.least, size.most), (mm("19.970"), mm("19.986")));
    assert_eq!(size.standard, Some(first.max(second)));
    let together = found.together.unwrap().unwrap();
    assert_eq!(together.tight.clearance_nm(), 24_000.0);
    assert_eq!(together.loose.clearance_nm(), 40_000.0);
    assert_eq!(together.as_intended, AsIntended::Doubt);
    let range = (mm("0.007"), mm("0.041"));
    let worse = together.loose.inside_probability(range);
    assert!(u > Length::ZERO && together.inside == worse && worse.unwrap() < 0.95);
    // The next part begins without what was measured before.
    let mut bench = Bench::new(opened(1));
    reads_bore(&mut bench, "0.010");
    reads_shaft(&mut bench, "19.986");
    let before = bench.state().current_part().unwrap();
    assert_eq!(before.state(), PartState::Go);
    reads_bore(&mut bench, "0.012");
    let found = only(&bench);
    let size = found.hole.size().unwrap();
    assert_eq!((size.part, size.least), (Some(2), mm("20.012")));
    assert_eq!(found.shaft.now, HalfNow::Open(HalfOpen::Points(0, 1)));
}

#[test]
fn one_measured_half_says_what_the_other_must_become() {
    let mut bench = Bench::new(opened(1));
    let u = reads_bore(&mut bench, "0.010");
    let make = only(&bench).make.unwrap().unwrap();
    assert_eq!(make.measured, Measured::Hole);
    assert_eq!(make.guard, Some(guard_of(u.as_nm_f64())));
    // 20.010 less 41 and 7 µm; its class from 19.980 to 19.993.
    assert_eq!(make.suits.whole, between("19.969", "20.003"));
    let guard = make.guard.unwrap();
    assert_eq!(guard, u + u);
    assert_eq!(make.suits.guarded.lower, mm("19.969") + guard);
    assert_eq!(make.suits.guarded.upper, mm("20.003") - guard);
    assert_eq!(make.suits.in_class, Ok(between("19.980", "19.993")));
    // A bore that is far too wide: no size of the class suits it.
    let mut bench = Bench::new(opened(1));
    reads_bore(&mut bench, "0.080");
    let make = only(&bench).make.unwrap().unwrap();
    let too_small = make.suits.in_class.unwrap_err();
    assert!(
        matches!(too_small, OutOfClass::ClassTooSmall { class_upper, .. }
        if class_upper == mm("19.993"))
    );
}

#[test]
fn a_half_that_the_session_was_told_of_counts_and_the_limits_that_suit_it_are_told() {
    let pair = "[[pair]]\nhole = \"housing.toml#bore\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n";
    let text = feature("A", "20 g6", "") + pair;
    let without = Bench::new(plan(&text));
    let found = only(&without);
    assert_eq!(found.hole.plan.as_deref(), Some("housing.toml"));
    assert_eq!(found.hole.now, HalfNow::Open(HalfOpen::Elsewhere));
    let opened = SessionOpened {
        suits: vec![suit()],
        ..plan(&text)
    };
    let mut bench = Bench::new(opened);
    let found = only(&bench);
    let told = found.hole.size().unwrap();
    assert_eq!((told.least, told.most), (mm("20.030"), mm("20.030")));
    assert_eq!((told.part, told.source.as_str()), (None, "typed"));
    // As in `session_suited`: 19.991 to 20.021, in this session.
    let suited = between("19.991", "20.021");
    assert_eq!(found.shaft.suited, Some(suited));
    assert_eq!(found.make.unwrap().unwrap().suits.guarded, suited);
    let u = reads_shaft(&mut bench, "20.008");
    let found = only(&bench);
    let together = found.together.unwrap().unwrap();
    let expected = Meeting::of(member("20.030", mm("0.001")), member("20.008", u));
    assert_eq!(together.tight, expected);
    assert_eq!(together.as_intended, AsIntended::Yes);
    assert_eq!(found.shaft.suited, Some(suited));
}

#[test]
fn what_has_no_size_says_why() {
    let why = |text: &str, stage: &str| {
        let opened = SessionOpened {
            stage: stage.to_owned(),
            ..plan(text)
        };
        let mut bench = Bench::new(opened);
        bench.reads("19.99");
        only(&bench).shaft.now
    };
    let with = |shaft: &str| feature("bore", "20 H7", "setting = 2") + shaft + PAIR;
    let staged = with(&feature(
        "A",
        "20 g6",
        "stages = [\"turned\", \"ground\"]\nleave = 0.2",
    ));
    assert_eq!(
        why(&staged, "turned"),
        HalfNow::Open(HalfOpen::EarlierStage)
    );
    let threaded = feature("bore", "20 H7", "setting = 2") + &feature("A", "M20-6g", "") + PAIR;
    let bench = Bench::new(plan(&threaded));
    assert_eq!(only(&bench).shaft.now, HalfNow::Open(HalfOpen::NoSize));
    let sampled = opened(1);
    let text = sampled.plan.clone().unwrap();
    let text = text.replace("points = 1", "every = 2");
    let mut bench = Bench::new(SessionOpened {
        plan: Some(text),
        ..sampled
    });
    assert_eq!(only(&bench).hole.now, HalfNow::Open(HalfOpen::NoPart));
    reads_bore(&mut bench, "0.010");
    reads_shaft(&mut bench, "19.986");
    reads_bore(&mut bench, "0.010");
    assert_eq!(only(&bench).shaft.now, HalfNow::Open(HalfOpen::NotSelected));
}

#[test]
fn without_a_stated_fit_the_limits_of_both_are_the_fit() {
    let pair = "[[pair]]\nhole = \"bore\"\nshaft = \"A\"\n";
    let both = feature("bore", "20 H7", "") + &feature("A", "20 p6", "");
    let found = only(&Bench::new(plan(&(both + pair))));
    let fit = found.intended.unwrap().unwrap();
    // p6 is +22 to +35 µm (ISO 286-1).
    assert_eq!((fit.least, fit.most), (mm("-0.035"), mm("-0.001")));
    assert_eq!(
        (fit.callout.as_str(), fit.kind),
        ("", FitKind::Interference)
    );
    let elsewhere = "[[pair]]\nhole = \"other.toml#bore\"\nshaft = \"A\"\n";
    let text = feature("A", "20 g6", "") + elsewhere;
    let mut bench = Bench::new(plan(&text));
    reads_shaft(&mut bench, "19.986");
    let found = only(&bench);
    assert!(found.intended.is_none() && found.make.is_none() && found.together.is_none());
}

#[test]
fn the_uncertainty_is_that_of_the_reading_that_counts() {
    let mut bench = Bench::new(opened(1));
    let of_hole = reads_bore(&mut bench, "0.010");
    let fine = reads_shaft(&mut bench, "19.990");
    bench.void(None);
    assert_eq!(only(&bench).shaft.size(), None);
    let coarse = bench.verdict("caliper", "19.99");
    let coarse = Length::from_nm(coarse.u.unwrap());
    assert!(coarse > fine + fine);
    let found = only(&bench);
    assert_eq!(found.shaft.size().unwrap().standard, Some(coarse));
    assert_eq!(found.hole.size().unwrap().standard, Some(of_hole));
}

/// What is known of an earlier part stays known: what it was measured with is in the record.
#[test]
fn of_a_part_that_is_taken_up_again_the_uncertainty_is_that_of_its_own_readings() {
    let mut bench = Bench::new(opened(1));
    reads_bore(&mut bench, "0.010");
    let verdict = bench.verdict("caliper", "19.99");
    let coarse = Length::from_nm(verdict.u.unwrap());
    let first = only(&bench);
    let of_hole = reads_bore(&mut bench, "0.012");
    let fine = reads_shaft(&mut bench, "19.986");
    assert!(coarse > fine + fine);
    let second = only(&bench);
    bench.asks(Command::TakeUpPart { part: 1 });
    let found = only(&bench);
    assert_eq!(found, first);
    let size = found.shaft.size().unwrap();
    assert_eq!((size.part, size.standard), (Some(1), Some(coarse)));
    let together = found.together.unwrap().unwrap();
    assert!(together.interference.is_some() && together.inside.is_some());
    // Back at the newest it is that part's again; what is measured anew takes its place.
    bench.asks(Command::TakeUpPart { part: 2 });
    assert_eq!(only(&bench), second);
    assert_eq!(second.hole.size().unwrap().standard, Some(of_hole));
    bench.asks(Command::TakeUpPart { part: 1 });
    bench.void(Some(verdict.reading));
    assert_eq!(only(&bench).shaft.size(), None);
    // And of what the record alone says.
    bench.asks(Command::TakeUpPart { part: 2 });
    let (_, replayed) = bench.replayed();
    assert_eq!(paired(&replayed.state.unwrap()), [second]);
}

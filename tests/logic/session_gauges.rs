//! What a session makes of its gauges: two gauges in one chain, the ends of limit gauges, a part
//! that is still cooling.

use fitledger::gauge::{CheckEnd, CheckOutcome, GaugeId, Observed, Origin, Reading};
use fitledger::journal::{Outcome, SessionOpened, VerdictGiven};
use fitledger::measure::{UncertaintySource, VerdictWord};
use fitledger::quantity::Length;
use fitledger::session::{Command, Incoming, account, drift_of_note, note_words};

use crate::support::bench::{Bench, feature, plan, typed};

const DOUBT: Outcome = Outcome::Verdict(VerdictWord::Doubt);
const GO: Outcome = Outcome::Verdict(VerdictWord::Go);

fn noted(verdict: &VerdictGiven, note: &str) -> bool {
    verdict.notes.iter().any(|one| one == note)
}

fn bored(more: &str) -> SessionOpened {
    let mut opened = plan(&feature("H", "6 H11", "gauge = [\"holes\"]\n"));
    opened.gauges.push_str(
        "[[gauge]]\nid = \"holes\"\nkind = \"small_hole_gauge\"\nrange = [5, 7.5]\nmpe = 0.006\n\
         read_by = \"mic\"\n",
    );
    opened.gauges.push_str(more);
    opened
}

#[test]
fn a_bore_taken_over_by_a_small_hole_gauge_has_both_gauges_in_its_budget() {
    // 6 H11 is 6.000 to 6.075 (ISO 286-2).
    let mut bench = Bench::new(bored(""));
    // The micrometer sends the reading; the plan lists the gauge that was in the bore.
    let verdict = bench.verdict("mic", "6.040");
    assert_eq!(verdict.outcome, GO, "{:?}", verdict.notes);
    let account = account(bench.state(), &verdict).unwrap();
    let uncertainty = account.measured.uncertainty.unwrap();
    let of = |source| -> f64 {
        let lines = uncertainty.lines().iter();
        let lines = lines.filter(|line| line.source == source);
        lines.map(|line| line.standard_nm.powi(2)).sum()
    };
    // By hand: ± 6 µm and ± 2 µm as rectangles (JCGM 100, 4.3.7), the micrometer's step of 1 µm
    // and its repeatability of 0.5 µm as the register states them.
    let (carried, own) = (36e6 / 3.0, 4e6 / 3.0);
    assert!(
        (of(UncertaintySource::TransferGauge) - carried).abs() < 1.0,
        "{uncertainty:?}"
    );
    assert!((of(UncertaintySource::MaximumPermissibleError) - own).abs() < 1.0);
    let all = carried + own + 1e6 / 12.0 + 0.25e6;
    assert!(
        (uncertainty.standard_nm().powi(2) - all).abs() < 2.0,
        "{uncertainty:?}"
    );
    assert_eq!(verdict.u, Some(3_697), "the root of {all}, up to 1 nm");
    // The same micrometer alone proves no bore of that plan's list.
    let mut alone = bored("");
    alone.gauges = alone
        .gauges
        .replace("read_by = \"mic\"\n", "read_by = \"plain-mic\"\n");
    let mut bench = Bench::new(alone);
    let verdict = bench.verdict("mic", "6.040");
    assert_eq!(verdict.outcome, DOUBT);
    assert!(noted(&verdict, "gauge_may_not_prove_this"));
    bench.check();
}

#[test]
fn a_transfer_gauge_that_was_found_wrong_doubts_what_it_carried() {
    let mut bench = Bench::new(bored(""));
    bench.verdict("mic", "6.040");
    bench.asks(Command::DoubtGauge {
        gauge: GaugeId::new("holes"),
        since: None,
        reason: "bent".to_owned(),
    });
    let doubted = bench
        .state()
        .readings()
        .iter()
        .filter(|one| one.doubted_by > 0);
    assert_eq!(doubted.count(), 1);
    bench.check();
}

fn tried(gauge: &str, end: CheckEnd) -> Reading {
    Reading {
        observed: Observed::Check {
            end,
            outcome: match end {
                CheckEnd::NoGo => CheckOutcome::DoesNot,
                CheckEnd::Go | CheckEnd::Mate => CheckOutcome::Goes,
            },
        },
        origin: Origin::Typed,
        ..typed(gauge, "0")
    }
}

#[test]
fn an_end_of_a_plug_answers_for_itself_only_and_for_the_thread_it_is_made_for() {
    let plugs = "[[gauge]]\nid = \"go\"\nkind = \"plug\"\ncallout = \"M10x1.5-6H\"\nend = \"go\"\n\
                 [[gauge]]\nid = \"no-go\"\nkind = \"plug\"\ncallout = \"M10-6H\"\nend = \"no_go\"\n\
                 [[gauge]]\nid = \"fine\"\nkind = \"plug\"\ncallout = \"M10x1-6H\"\n";
    let mut opened = plan(&feature(
        "A",
        "M10-6H",
        "elements = [\"go_plug\", \"no_go_plug\"]\ngauge = [\"go\", \"no-go\", \"fine\"]\n",
    ));
    opened.gauges.push_str(plugs);
    let mut bench = Bench::new(opened);
    let mut answer = |gauge: &str, end| {
        let taken = bench.take(vec![Incoming::Reading(tried(gauge, end))]);
        match taken.recorded.into_iter().map(|one| one.event).next_back() {
            Some(fitledger::journal::Event::VerdictGiven(verdict)) => {
                (verdict.outcome, noted(&verdict, "gauge_may_not_prove_this"))
            }
            other => panic!("{other:?}"),
        }
    };
    assert_eq!(
        answer("no-go", CheckEnd::Go),
        (DOUBT, true),
        "the other end"
    );
    assert_eq!(answer("fine", CheckEnd::Go), (DOUBT, true), "another pitch");
    assert_eq!(
        answer("go", CheckEnd::Go),
        (GO, false),
        "the same thread, written out"
    );
    assert_eq!(answer("go", CheckEnd::NoGo), (DOUBT, true));
    assert_eq!(answer("no-go", CheckEnd::NoGo), (GO, false));
    bench.check();
}

#[test]
fn readings_that_shrink_with_time_say_that_the_part_is_still_cooling() {
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
    let mut last = None;
    // 0.5 µm every five seconds, against a repeatability of 0.5 µm and a step of 1 µm.
    for at in 0..9 {
        bench.now_ms += 9_000;
        let size = Length::parse_mm("20.0150").unwrap() - Length::from_um(1) * at;
        last = Some(bench.verdict("mic", &size.to_mm()));
    }
    let verdict = last.unwrap();
    let drift = verdict
        .notes
        .iter()
        .find_map(|note| drift_of_note(note))
        .unwrap();
    // A micrometre every ten seconds is 6 µm a minute.
    assert_eq!((drift.change, drift.over_ms), (Length::from_um(-6), 60_000));
    let words: Vec<String> = verdict.notes.iter().map(|note| note_words(note)).collect();
    let said = "still cooling: the readings shrink by 6 µm in the last minute";
    assert!(words.iter().any(|word| word == said), "{words:?}");
    bench.check();
    // The same readings at once are no drift.
    let mut bench = Bench::new(plan(&feature("A", "20 k6", "")));
    for text in ["20.010", "20.009", "20.009", "20.010"] {
        let verdict = bench.verdict("mic", text);
        assert!(
            verdict
                .notes
                .iter()
                .all(|note| drift_of_note(note).is_none())
        );
    }
}

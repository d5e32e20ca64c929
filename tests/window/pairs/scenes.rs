//! Pairs of a garden-irrigation pump in every state, each measured through the one writer.
#![allow(clippy::unwrap_used)]

use fitledger::journal::{SessionOpened, Suit};
use fitledger::pair::Measured;
use fitledger::quantity::Length;
use fitledger::session::{Command, Snapshot};
use fitledger::window::links_facts::LinksTold;
use fitledger::window::pairs_room::{FIELDS, PairsRoom, PressTyped};
use fitledger::window::view::{PairsSeen, PairsView, pairs_view};

use crate::support::bench::{Bench, feature, plan};
use crate::support::scenes::demo;
use crate::support::shown::snapshot;
use crate::support::suited_scenes::suited;

/// 20 H7/g6: 7 to 41 µm of clearance; 20 H7/p6: 1 to 35 µm of interference (ISO 286-1, by hand).
pub(crate) const PAIRS: &str = "[[pair]]\nhole = \"bore\"\nshaft = \"A\"\n\
    intended = \"20 H7/g6\"\n\
    [[pair]]\nhole = \"bore\"\nshaft = \"P\"\nintended = \"20 H7/p6\"\n\
    [[pair]]\nhole = \"bearing.toml#ring\"\nshaft = \"A\"\nintended = \"20 H6/g6\"\n\
    [[pair]]\nhole = \"cover.toml#hub\"\nshaft = \"P\"\n";

pub(crate) fn opened(points: u32) -> SessionOpened {
    let text = feature("bore", "20 H7", "name = \"impeller bore\"")
        + &feature("A", "20 g6", &format!("points = {points}"))
        + &feature("P", "20 p6", "name = \"press seat\"")
        + PAIRS;
    let mut opened = plan(&text);
    opened.advance_always = true;
    opened
}

/// The bore as its comparator shows it above the ring of 20 mm, then the shafts.
pub(crate) fn measured(points: u32, bore: &str, shafts: &[&str]) -> Snapshot {
    let mut bench = Bench::new(opened(points));
    if !bore.is_empty() {
        bench.verdict("comparator", bore);
    }
    for shaft in shafts {
        bench.verdict("mic", shaft);
    }
    snapshot(&bench)
}

/// Nothing is known of any gauge.
pub(crate) fn unknown() -> Snapshot {
    let mut opened = opened(1);
    opened.gauges = String::new();
    let mut bench = Bench::new(opened);
    bench.verdict("mic", "20.010");
    bench.verdict("mic", "19.986");
    snapshot(&bench)
}

/// A shaft that is made to suit a bore of 20.030 with u = 1 µm: 19.991 to 20.021, by hand.
pub(crate) fn made_to_suit(size: Option<&str>) -> Snapshot {
    let mut opened = suited("impeller.toml#bore");
    let pair = "[[pair]]\nhole = \"impeller.toml#bore\"\nshaft = \"A\"\n\
                intended = \"20 H7/g6\"\n";
    opened.plan = opened.plan.map(|text| text + pair);
    let mut bench = Bench::new(opened);
    if let Some(size) = size {
        bench.verdict("mic", size);
    }
    snapshot(&bench)
}

/// 20 H4/g4 leaves 12 µm; a caliper's guard bands are wider.
pub(crate) fn nothing_left() -> Snapshot {
    let text = feature("bore", "20 H4", "")
        + &feature("A", "20 g4", "")
        + "[[pair]]\nhole = \"bore\"\nshaft = \"A\"\nintended = \"20 H4/g4\"\n";
    let mut opened = plan(&text);
    opened.advance_always = true;
    let mut bench = Bench::new(opened);
    bench.verdict("caliper", "20.00");
    snapshot(&bench)
}

pub(crate) fn without_pairs() -> Snapshot {
    snapshot(&Bench::new(plan(&feature("A", "20 g6", ""))))
}

/// Names as long as they come, and what cannot be seen in them.
pub(crate) fn long_names() -> Snapshot {
    let long = "the-impeller-bore-of-the-second-foundry-as-machined-again-2026";
    let text = feature(long, "20 H7", "")
        + &feature("A", "20 g6", "")
        + &format!("[[pair]]\nhole = \"{long}\"\nshaft = \"A\"\nintended = \"20 H7/g6\"\n")
        + &format!("[[pair]]\nhole = \"{long}.toml#{long}\"\nshaft = \"A\"\n")
        + "intended = \"20 H7/g6\"\n";
    let mut bench = Bench::new(plan(&text));
    bench.verdict("comparator", "0.010");
    snapshot(&bench)
}

pub(crate) fn room(chosen: usize) -> PairsRoom {
    PairsRoom {
        chosen,
        ..PairsRoom::default()
    }
}

/// 50 H7/s6: 18 to 59 µm of interference (ISO 286-1, by hand), both of that material.
pub(crate) fn bush(material: &str) -> Snapshot {
    let text = format!("material = \"{material}\"\n")
        + &feature("bore", "50 H7", "")
        + &feature("bush", "50 s6", "")
        + "[[pair]]\nhole = \"bore\"\nshaft = \"bush\"\nintended = \"50 H7/s6\"\n";
    snapshot(&Bench::new(plan(&text)))
}

/// What pressing a pair together takes, with that typed: length, outside, bore, both materials.
pub(crate) fn pressing(snapshot: &Snapshot, chosen: usize, first: [&str; 5]) -> PairsView {
    let mut fields = [""; FIELDS];
    fields[..5].copy_from_slice(&first);
    pressing_at(snapshot, chosen, fields, 1)
}

/// The same of all fields, that one typed into.
pub(crate) fn pressing_at(
    snapshot: &Snapshot,
    chosen: usize,
    fields: [&str; FIELDS],
    at: usize,
) -> PairsView {
    let mut room = room(chosen);
    room.is_pressing = true;
    let typed = PressTyped {
        fields: fields.map(str::to_owned),
        at,
        ..PressTyped::default()
    };
    room.typed.insert(chosen, typed);
    pairs_view(&PairsSeen {
        room: &room,
        snapshot: Some(snapshot),
        told: &LinksTold::default(),
        now_ms: 0,
        marker: '.',
    })
}

/// 20 H7/p6: 1 to 35 µm of interference (ISO 286-1, by hand): a bush of the pump, pressed into its
/// housing, which another plan makes.
pub(crate) fn pump_bush() -> Snapshot {
    let text = "material = \"CuSn8\"\n".to_owned()
        + &feature("P", "20 p6", "name = \"bush outside\"")
        + &feature("bore", "16 F7", "name = \"bush bore\"")
        + "[[pair]]\nhole = \"housing.toml#bore\"\nshaft = \"P\"\nintended = \"20 H7/p6\"\n";
    snapshot(&Bench::new(plan(&text)))
}

/// A part of the demonstration with its bearing seat and its impeller seat measured.
pub(crate) fn demonstration() -> Snapshot {
    let mut bench = Bench::new(demo());
    for size in ["20.007", "20.008", "20.009"] {
        bench.verdict("mic-25", size);
    }
    bench.asks(Command::ChooseCharacteristic {
        feature: "D".to_owned(),
        element: String::new(),
    });
    for size in ["14.974", "14.976"] {
        bench.verdict("mic-25", size);
    }
    snapshot(&bench)
}

/// A half that is made to suit its measured mate, of such a size, and measured too: of that pair.
fn worked(
    (feature_text, made): (String, &str),
    pair: [&str; 3],
    suit: Suit,
    gauge: (&str, &str),
) -> Snapshot {
    let [hole, shaft, fit] = pair;
    let text = "material = \"CuSn8\"\n".to_owned()
        + &feature_text
        + &format!("[[pair]]\nhole = \"{hole}\"\nshaft = \"{shaft}\"\nintended = \"{fit}\"\n");
    let mut opened = plan(&text);
    opened.suits = vec![Suit {
        feature: made.to_owned(),
        fit: fit.to_owned(),
        ..suit
    }];
    let mut bench = Bench::new(opened);
    bench.verdict(gauge.0, gauge.1);
    snapshot(&bench)
}

fn suit(mate: &str, measured: Measured, sizes: [&str; 4]) -> Suit {
    let [least, most, size, u] = sizes.map(|text| Length::parse_mm(text).unwrap());
    Suit {
        feature: String::new(),
        mate: mate.to_owned(),
        measured,
        fit: String::new(),
        least,
        most,
        size,
        u: Some(u),
        form: Length::ZERO,
        source: "typed".to_owned(),
        keep_class: false,
    }
}

/// The pump worked through: the bush of 20.036 for a housing of 20.009, 20 H7/r6 (ISO 286-1: 7 to
/// 41 µm of interference).
pub(crate) fn worked_bush() -> Snapshot {
    let made = (feature("P", "20 r6", "name = \"bush outside\""), "P");
    let sizes = ["-0.041", "-0.007", "20.009", "0.001191"];
    let suit = suit("housing.toml#bore", Measured::Hole, sizes);
    worked(
        made,
        ["housing.toml#bore", "P", "20 H7/r6"],
        suit,
        ("mic", "20.036"),
    )
}

/// And the impeller's bore of 15.012 for a seat of 14.976, 15 H7/f7 (16 to 52 µm).
pub(crate) fn worked_impeller() -> Snapshot {
    let made = (feature("bore", "15 H7", ""), "bore");
    let sizes = ["0.016", "0.052", "14.976", "0.001041"];
    let suit = suit("shaft.toml#D", Measured::Shaft, sizes);
    worked(
        made,
        ["bore", "shaft.toml#D", "15 H7/f7"],
        suit,
        ("mic", "15.012"),
    )
}

pub(crate) fn seen(snapshot: &Snapshot, chosen: usize) -> PairsView {
    seen_with(snapshot, chosen, '.')
}

pub(crate) fn seen_with(snapshot: &Snapshot, chosen: usize, marker: char) -> PairsView {
    pairs_view(&PairsSeen {
        room: &room(chosen),
        snapshot: Some(snapshot),
        told: &LinksTold::default(),
        now_ms: 0,
        marker,
    })
}

pub(crate) fn scenes() -> Vec<(&'static str, PairsView)> {
    let one = |snapshot: Snapshot, chosen| seen(&snapshot, chosen);
    vec![
        ("fresh", one(measured(1, "", &[]), 0)),
        ("make", one(measured(1, "0.010", &[]), 0)),
        ("out-of-class", one(measured(1, "0.080", &[]), 0)),
        ("intended", one(measured(1, "0.010", &["19.986"]), 0)),
        ("doubt", one(measured(1, "0.002", &["19.994"]), 0)),
        ("loose", one(measured(1, "0.020", &["19.960"]), 0)),
        (
            "points",
            one(measured(2, "0.010", &["19.982", "19.990"]), 0),
        ),
        ("press", one(measured(1, "0.010", &["19.986", "20.030"]), 1)),
        ("elsewhere", one(measured(1, "0.010", &["19.986"]), 2)),
        ("no-fit", one(measured(1, "0.010", &["19.986"]), 3)),
        ("unknown", one(unknown(), 0)),
        ("suited", one(made_to_suit(None), 0)),
        ("suited-met", one(made_to_suit(Some("20.008")), 0)),
        ("nothing-left", one(nothing_left(), 0)),
        (
            "pressing",
            pressing(&bush("steel"), 0, ["60", "100", "", "", ""]),
        ),
        ("pressing-nothing", pressing(&bush("steel"), 0, [""; 5])),
        (
            "pressing-thin",
            pressing(&bush("1.4301"), 0, ["20", "56", "30", "", ""]),
        ),
        (
            "pressing-bush",
            pressing_at(
                &pump_bush(),
                0,
                [
                    "15",
                    "50",
                    "",
                    "EN-GJL-250",
                    "",
                    "6.3",
                    "4",
                    "pressed",
                    "oiled",
                    "16 H7",
                    "",
                ],
                9,
            ),
        ),
        (
            "pressing-fault",
            pressing_at(
                &pump_bush(),
                0,
                [
                    "15",
                    "50",
                    "",
                    "EN-GJL-250",
                    "",
                    "6.3",
                    "400",
                    "",
                    "",
                    "",
                    "",
                ],
                6,
            ),
        ),
        ("demo-impeller", one(demonstration(), 0)),
        ("demo-sleeve", one(demonstration(), 1)),
        (
            "demo-pressing",
            pressing_at(
                &demonstration(),
                1,
                [
                    "14", "30", "", "C45", "", "4", "2.5", "shrunk", "dry", "", "",
                ],
                3,
            ),
        ),
        ("worked-bush", one(worked_bush(), 0)),
        ("worked-impeller", one(worked_impeller(), 0)),
        (
            "worked-pressing-bush",
            pressing_at(
                &worked_bush(),
                0,
                [
                    "25",
                    "50",
                    "",
                    "EN-GJL-250",
                    "",
                    "4",
                    "2.5",
                    "pressed",
                    "oiled",
                    "16 H7",
                    "16.028",
                ],
                10,
            ),
        ),
        ("none", one(without_pairs(), 0)),
        ("long", one(long_names(), 0)),
        ("long-elsewhere", one(long_names(), 1)),
    ]
}

//! The Pairs room: by value, by keys, by accessibility name, in pictures, and over a running
//! session.
#![allow(clippy::unwrap_used, clippy::panic)]

mod agrees;
mod live;
pub(crate) mod scenes;
mod typed;

use std::cell::RefCell;
use std::collections::BTreeSet;
use std::rc::Rc;

use eframe::egui::Ui;
use egui_kittest::Harness;
use egui_kittest::kittest::Queryable;
use fitledger::session::Snapshot;
use fitledger::window::drawn::PageDrawn;
use fitledger::window::keys::character_press;
use fitledger::window::links_facts::LinksTold;
use fitledger::window::links_room::LinksNow;
use fitledger::window::look::{Look, Sizes, Theme};
use fitledger::window::pairs_room::{PairsAsked, PairsNow, PairsRoom};
use fitledger::window::pairs_ui::pairs_ui;
use fitledger::window::press::Press;
use fitledger::window::view::{
    BandsView, Mark, PairsListView, PairsPageView, PairsSeen, PairsView, PressView, pairs_now,
    pairs_view,
};

use self::scenes::{
    bush, long_names, made_to_suit, measured, nothing_left, pressing, scenes, seen, seen_with,
    unknown, without_pairs,
};
use crate::support::picture::window;
use crate::support::readable::{Shown, assert_accepted, assert_readable, text_faults};

const SMALL: [f32; 2] = [800.0, 458.0];
const LARGE: [f32; 2] = [1280.0, 778.0];

fn list(view: PairsView) -> PairsListView {
    match view.page {
        PairsPageView::Pairs(list) => *list,
        other => panic!("{other:?}"),
    }
}

fn of(snapshot: &Snapshot, chosen: usize) -> PairsListView {
    list(seen(snapshot, chosen))
}

fn text(list: &PairsListView) -> String {
    let lines = list.lines.iter().map(|line| line.text.as_str());
    lines.collect::<Vec<_>>().join("\n")
}

fn strong(list: &PairsListView) -> Vec<&str> {
    let lines = list.lines.iter().filter(|line| line.is_strong);
    lines.map(|line| line.text.as_str()).collect()
}

fn states(list: &PairsListView) -> Vec<(Mark, &str)> {
    let rows = list.rows.iter();
    rows.map(|row| (row.mark, row.state.as_str())).collect()
}

fn bands(list: &PairsListView) -> &BandsView {
    list.bands.as_ref().unwrap()
}

/// The fraction of a micrometre on the axis of sizes: the bands are to scale.
fn per_um(bands: &BandsView, tolerance_um: f32) -> f32 {
    (bands.hole.to - bands.hole.from) / tolerance_um
}

fn near(one: f32, other: f32) -> bool {
    (one - other).abs() < 1e-4
}

#[test]
fn every_pair_of_the_plan_is_listed_with_how_it_stands() {
    let list = of(&measured(1, "0.010", &["19.986", "20.030"]), 0);
    let names: Vec<(&str, &str, &str)> = list
        .rows
        .iter()
        .map(|row| (row.hole.as_str(), row.shaft.as_str(), row.fit.as_str()))
        .collect();
    let expected = [
        ("bore", "A", "20 H7/g6"),
        ("bore", "P", "20 H7/p6"),
        ("bearing.toml#ring", "A", "20 H6/g6"),
        ("cover.toml#hub", "P", "no fit stated"),
    ];
    assert_eq!(names, expected);
    let expected = [
        (Mark::Go, "as intended"),
        (Mark::Go, "as intended"),
        (Mark::Open, "hole can be made to suit"),
        (Mark::Open, "no fit to hold it to"),
    ];
    assert_eq!(states(&list), expected);
    assert_eq!(list.title, "Hole bore and shaft A, 20 H7/g6");
    assert_eq!(list.part, "part 1");
    let spoken = &list.rows[0].spoken;
    assert_eq!(spoken, "hole bore, shaft A, 20 H7/g6: as intended, chosen");
    let fresh = of(&measured(1, "", &[]), 0);
    assert!(
        fresh.rows[..3]
            .iter()
            .all(|row| row.state == "not measured")
    );
    assert_eq!(fresh.part, "");
    let doubt = of(&measured(1, "0.002", &["19.994"]), 0);
    assert_eq!(states(&doubt)[0], (Mark::Doubt, "in doubt"));
    let loose = of(&measured(1, "0.020", &["19.960"]), 0);
    assert_eq!(states(&loose)[0], (Mark::NoGo, "not as intended"));
    let elsewhere = of(&measured(1, "0.010", &[]), 2);
    assert!(
        text(&elsewhere).contains("made by the plan bearing.toml"),
        "{}",
        text(&elsewhere)
    );
    assert!(text(&elsewhere).contains("--suit 'bearing.toml#ring=SIZE±u'"));
}

#[test]
fn measured_sizes_stand_in_the_bands_to_scale_with_their_uncertainty() {
    let list = of(&measured(1, "0.010", &["19.986"]), 0);
    let bands = bands(&list);
    assert_eq!(
        bands.hole.limits,
        ("20.000".to_owned(), "20.021".to_owned())
    );
    assert_eq!(
        bands.shaft.limits,
        ("19.980".to_owned(), "19.993".to_owned())
    );
    assert_eq!(
        bands.clearance.limits,
        ("0.007".to_owned(), "0.041".to_owned())
    );
    let um = per_um(bands, 21.0);
    // g6 is 13 µm wide, and ends 7 µm below the hole's band.
    assert!(near(bands.shaft.to - bands.shaft.from, 13.0 * um));
    assert!(near(bands.hole.from - bands.shaft.to, 7.0 * um));
    let hole = bands.hole.sized.unwrap();
    assert!(near(hole.least, bands.hole.from + 10.0 * um) && near(hole.least, hole.most));
    let shaft = bands.shaft.sized.unwrap();
    assert!(near(shaft.least, bands.shaft.from + 6.0 * um) && !shaft.is_compressed);
    let (below, above) = shaft.doubt.unwrap();
    assert!(below < shaft.least && above > shaft.most);
    assert!(near(shaft.least - below, above - shaft.most));
    // As far as the number says that stands beside it, which is rounded up to a tenth.
    let told = bands.shaft.now.strip_prefix("19.986, U ").unwrap();
    let told: f32 = told.strip_suffix(" µm").unwrap().parse().unwrap();
    let reach = (above - shaft.most) / um;
    assert!(
        reach <= told + 1e-3 && reach > told - 0.11,
        "{reach} {told}"
    );
    // The clearance has its own scale: 24 of 7 to 41 µm is its middle, and zero 7 µm before it.
    let gap = &bands.clearance;
    let step = (gap.to - gap.from) / 34.0;
    let met = gap.sized.unwrap();
    assert!(near(met.least, gap.from + 17.0 * step));
    assert!(near(bands.zero, gap.from - 7.0 * step));
    let of_both = met.doubt.unwrap();
    assert!(of_both.0 < met.least && of_both.1 > met.most);
    assert!(gap.now.contains("0.024, U ") && gap.now.ends_with("clearance, as intended"));
    assert!(
        gap.spoken
            .starts_with("clearance: 0.007 to 0.041 mm; 0.024, U ")
    );
    assert!(bands.hole.suits.is_none() && bands.shaft.suits.is_none());
}

#[test]
fn what_lies_beyond_the_bands_is_drawn_to_scale_unless_it_is_far_out() {
    let out = of(&measured(1, "0.080", &[]), 0);
    let bands_of_out = bands(&out);
    let um = per_um(bands_of_out, 21.0);
    let hole = bands_of_out.hole.sized.unwrap();
    assert!(near(hole.least - bands_of_out.hole.from, 80.0 * um) && !hole.is_compressed);
    let far = of(&measured(1, "0.130", &[]), 0);
    let hole = bands(&far).hole.sized.unwrap();
    assert!(hole.is_compressed && hole.least > bands(&far).hole.to && hole.least < 1.0);
}

#[test]
fn an_interference_lies_on_the_other_side_of_zero_and_is_told_so() {
    let list = of(&measured(1, "0.010", &["19.986", "20.030"]), 1);
    let bands = bands(&list);
    assert!(bands.clearance.to < bands.zero);
    assert_eq!(
        bands.clearance.limits,
        ("\u{2212}0.035".to_owned(), "\u{2212}0.001".to_owned())
    );
    assert!(bands.clearance.now.contains("interference, as intended"));
    let said = text(&list);
    assert!(
        said.contains("there is interference, as intended"),
        "{said}"
    );
    assert!(
        said.contains("(negative: interference): always interference"),
        "{said}"
    );
    assert!(
        said.contains("Chance of interference more than 99.99 %"),
        "{said}"
    );
}

#[test]
fn what_two_halves_do_is_said_in_words_with_uncertainty_and_chances() {
    let list = of(&measured(1, "0.010", &["19.986"]), 0);
    let first = strong(&list)[0].to_owned();
    assert!(first.starts_with("Clearance 0.024 mm (U "), "{first}");
    assert!(
        first.ends_with("k = 2): there is clearance, as intended."),
        "{first}"
    );
    let said = text(&list);
    assert!(
        said.contains("Chance of interference less than 0.01 %;"),
        "{said}"
    );
    assert!(
        said.contains("Intended is a clearance of 0.007 to 0.041 mm: always"),
        "{said}"
    );
    assert!(
        said.contains("The shaft A: 19.986 mm at 20 °C, part 1 of this session."),
        "{said}"
    );
    let doubt = text(&of(&measured(1, "0.002", &["19.994"]), 0));
    assert!(
        doubt.contains("and whether it is as intended is not proved"),
        "{doubt}"
    );
    let points = text(&of(&measured(2, "0.010", &["19.982", "19.990"]), 0));
    assert!(points.contains("Clearance 0.020 to 0.028 mm"), "{points}");
    let unknown = of(&unknown(), 0);
    let said = text(&unknown);
    let wanted = "Uncertainty not considered: that of the hole bore and the shaft A is not known";
    assert!(said.contains(wanted) && !said.contains("Chance"), "{said}");
    assert_eq!(bands(&unknown).shaft.sized.unwrap().doubt, None);
    let comma = list_text_with_comma();
    assert!(comma.contains("Clearance 0,024 mm"), "{comma}");
    assert!(
        !comma.contains("0.0") && comma.contains("99,99 %"),
        "{comma}"
    );
}

fn list_text_with_comma() -> String {
    text(&list(seen_with(&measured(1, "0.010", &["19.986"]), 0, ',')))
}

#[test]
fn one_half_alone_says_what_the_other_must_become_and_by_which_words() {
    let list = of(&measured(1, "0.010", &[]), 0);
    assert_eq!(states(&list)[0], (Mark::Open, "shaft can be made to suit"));
    let said = text(&list);
    // Inwards: what is made by the numbers on the screen keeps the limits.
    let told = "Make the shaft A 19.9711 to 20.0009 mm: then it suits the hole bore";
    assert!(said.starts_with(told), "{said}");
    assert!(
        said.contains("That is 19.969 to 20.003 mm less a guard band of"),
        "{said}"
    );
    assert!(
        said.contains("Its own class is 19.980 to 19.993 mm: every size of it suits."),
        "{said}"
    );
    assert!(said.contains("--suit 'bore=session.jsonl#1'"), "{said}");
    let bands = bands(&list);
    let (from, to) = bands.shaft.suits.unwrap();
    let um = per_um(bands, 21.0);
    // Between 19.969 and 20.003, less the same at each end.
    assert!(from < bands.shaft.from && to > bands.shaft.to && bands.hole.suits.is_none());
    let middle = bands.shaft.from + 6.0 * um;
    assert!((f32::midpoint(from, to) - middle).abs() < 1e-3);
    let out = text(&of(&measured(1, "0.080", &[]), 0));
    assert!(out.contains("but not interchangeable."), "{out}");
    assert!(out.contains("The class ends at 19.993 mm"), "{out}");
    // Of a half that another plan makes, the command is for that plan.
    let other = text(&of(&measured(1, "0.010", &["19.986"]), 2));
    let command = "fitledger inspect --plan bearing.toml --suit 'THIS_PLAN#A=session.jsonl#1'";
    assert!(other.contains(command), "{other}");
    let left = of(&nothing_left(), 0);
    assert_eq!(states(&left)[0], (Mark::Doubt, "nothing suits"));
    assert!(
        strong(&left)[0].contains("leaves nothing of it"),
        "{}",
        text(&left)
    );
}

#[test]
fn a_session_that_measures_by_what_suits_says_so_and_asks_for_no_command() {
    let list = of(&made_to_suit(None), 0);
    assert_eq!(states(&list)[0], (Mark::Open, "shaft is made to suit"));
    let said = text(&list);
    assert!(
        said.contains("judges the shaft A by 19.991 to 20.021 mm, made to suit"),
        "{said}"
    );
    assert!(
        said.contains("20.030 mm at 20 °C, as the session was told (typed)."),
        "{said}"
    );
    assert!(!said.contains("--suit"), "{said}");
    // 19.991 to 19.993 of 19.980 to 19.993.
    assert!(
        said.contains("only 19.991 to 19.993 mm lie in both"),
        "{said}"
    );
    let met = of(&made_to_suit(Some("20.008")), 0);
    assert_eq!(states(&met)[0], (Mark::Go, "as intended"));
    let bands = bands(&met);
    let sized = bands.shaft.sized.unwrap();
    let (from, to) = bands.shaft.suits.unwrap();
    assert!(sized.least > bands.shaft.to, "beyond its class");
    assert!((from..to).contains(&sized.least), "and inside what suits");
}

#[test]
fn without_pairs_or_a_session_a_calm_sentence_says_what_to_do() {
    let notice = |view: &PairsView| match &view.page {
        PairsPageView::Notice(text) => text.clone(),
        other => panic!("{other:?}"),
    };
    let none = seen(&without_pairs(), 0);
    assert!(notice(&none).contains("has no pair") && notice(&none).contains("[[pair]]"));
    let view = pairs_view(&PairsSeen {
        room: &PairsRoom::default(),
        snapshot: None,
        told: &LinksTold::default(),
        now_ms: 0,
        marker: '.',
    });
    assert!(notice(&view).contains("No session runs"));
    assert_eq!(view.keys.last().unwrap().does, "to the start");
}

const NOW: PairsNow = PairsNow {
    pairs: 3,
    can_press: false,
    shown: 4,
    has_more: true,
    links: LinksNow {
        count: 0,
        fit: 0,
        said: 0,
        has_more: false,
        is_reading: false,
        has_mates: false,
    },
};

fn keys(room: &mut PairsRoom, now: PairsNow, keys: &str) -> Vec<PairsAsked> {
    let press = |key| match key {
        '⏎' => Press::Enter,
        '⌫' => Press::Backspace,
        '␛' => Press::Escape,
        '↓' => Press::Down,
        '↑' => Press::Up,
        other => character_press(other),
    };
    let asked = keys.chars().map(|key| room.press(&press(key), now));
    asked.collect::<Vec<_>>().into_iter().flatten().collect()
}

#[test]
fn a_keypad_goes_through_the_pairs_reads_on_and_leads_back() {
    let mut room = PairsRoom::default();
    assert_eq!(keys(&mut room, NOW, "+*"), []);
    assert_eq!((room.chosen, room.skipped), (1, 4));
    keys(&mut room, NOW, "+");
    assert_eq!(
        (room.chosen, room.skipped),
        (2, 0),
        "another pair from its top"
    );
    keys(&mut room, NOW, "++↓");
    assert_eq!(room.chosen, 2, "not past the end");
    keys(&mut room, NOW, "*⏎");
    assert_eq!((room.chosen, room.skipped), (0, 0), "Enter goes round");
    keys(&mut room, NOW, "⏎⏎↑-");
    assert_eq!(room.chosen, 0);
    keys(&mut room, NOW, "-*");
    let end = PairsNow {
        has_more: false,
        ..NOW
    };
    keys(&mut room, end, "*");
    assert_eq!(room.skipped, 0, "* begins again");
    for out in [".", "⌫", "␛"] {
        assert_eq!(keys(&mut room, NOW, out), [PairsAsked::Bench]);
    }
    room.press(&Press::NumLockOff, NOW);
    assert!(room.fault.as_deref().unwrap().contains("Num Lock"));
    keys(&mut room, PairsNow::default(), "+⏎*-");
    assert_eq!((room.chosen, room.skipped, room.fault), (0, 0, None));
}

fn page(view: PairsView) -> PressView {
    match view.page {
        PairsPageView::Press(page) => *page,
        other => panic!("{other:?}"),
    }
}

fn said(page: &PressView) -> String {
    let lines = page.lines.iter().map(|line| line.text.as_str());
    lines.collect::<Vec<_>>().join("\n")
}

/// 59 µm on 50 mm in a hub of 100 mm, all of 210 GPa: p = U E (1 - (D/Do)²) / (2 D) = 92.925 MPa
/// (Lamé, by hand); 18 µm give 28.350 (28.3499). Over 60 mm with friction 0.05 to 0.12: 13.36 and 105.10 kN.
/// For 59 µm and 50 µm of clearance at 11.5e-6/K the hub is 189.6 K warmer.
#[test]
fn what_pressing_takes_is_computed_from_the_intended_fit_and_what_is_typed() {
    let page = page(pressing(&bush("steel"), 0, ["60", "100", "", "", ""]));
    assert_eq!(page.title, "Press: Hole bore and shaft bush, 50 H7/s6");
    let text = said(&page);
    assert!(text.contains("Pressure 28.3 to 92.9 MPa"), "{text}");
    assert!(
        text.contains("Interference 18.0 to 59.0 µm (the intended fit)."),
        "{text}"
    );
    assert!(
        text.contains("Pressing in takes 13.36 to 105.10 kN"),
        "{text}"
    );
    assert!(text.contains("the hub at 210 °C"), "{text}");
    assert!(
        text.contains("Friction is taken as 0.05 to 0.12 ("),
        "{text}"
    );
    assert!(
        text.starts_with("Every pair grips. Whether both parts stay elastic is not"),
        "{text}"
    );
    assert!(
        text.contains("Caution: What a material bears is not known"),
        "{text}"
    );
    let curve = page.curve.unwrap();
    assert_eq!(
        curve.forces,
        ("13.36 kN".to_owned(), "105.10 kN".to_owned())
    );
    assert_eq!(curve.travel, "60.000 mm");
    assert_eq!(curve.high.last(), Some(&(1.0, 1.0)));
    let (way, share) = *curve.low.last().unwrap();
    assert!(near(way, 1.0) && near(share, 0.1271), "{share}");
    let fields: Vec<&str> = page.fields.iter().map(|one| one.text.as_str()).collect();
    let steel = "steel, as the plan says";
    assert_eq!(fields[..2], ["60", "100"]);
    assert_eq!(fields[2..5], ["solid, or a bush's bore", steel, steel]);
    assert!(page.fields[1].is_at && page.fields[2].is_usual);
    // 304 of 56 mm around 50: p = 59 µm * 200 GPa * 0.1 ..., far beyond what it bears.
    let thin = said(&self::page(pressing(
        &bush("1.4301"),
        0,
        ["20", "56", "", "", ""],
    )));
    assert!(
        thin.contains("goes beyond what a material bears."),
        "{thin}"
    );
    assert!(thin.contains("it may be hub by von Mises "), "{thin}");
    assert!(
        thin.contains("Caution: The joint is shorter than half its diameter"),
        "{thin}"
    );
}

#[test]
fn of_measured_halves_the_interference_is_theirs_with_its_uncertainty() {
    let both = measured(1, "0.010", &["19.986", "20.030"]);
    let text = said(&page(pressing(
        &both,
        1,
        ["15", "40", "", "bronze", "steel"],
    )));
    // 20 µm, and U of 3.32 µm at each end.
    assert!(
        text.contains("Interference 16.7 to 23.3 µm (the measured halves, with U)."),
        "{text}"
    );
    assert!(text.contains("The hub is bronze"), "{text}");
}

#[test]
fn the_cautions_stand_whatever_is_typed_and_what_is_missing_is_said() {
    let with = |fields| page(pressing(&bush("steel"), 0, fields));
    let first = |fields| said(&with(fields));
    assert!(first([""; 5]).starts_with("Type the length of the joint"));
    assert!(
        first(["60", "49", "", "", ""]).contains("outside"),
        "{}",
        first(["60", "49", "", "", ""])
    );
    assert!(first(["6x", "", "", "", ""]).starts_with("The length of the joint, mm: "));
    assert!(first(["60", "", "", "stel", ""]).contains("stel"));
    for fields in [[""; 5], ["60", "100", "", "", ""], ["60", "49", "", "", ""]] {
        let page = with(fields);
        let cautions = page.cautions.join("\n");
        for word in ["competent person", "eye protection", "ventilate", "Dry ice"] {
            assert!(cautions.contains(word), "{word}: {cautions}");
        }
        assert_eq!(page.cautions.len(), 4);
    }
    // Elsewhere made: its material is not the plan's.
    let both = measured(1, "0.010", &["19.986", "20.030"]);
    let text = said(&page(pressing(&both, 1, ["15", "", "", "", ""])));
    assert!(
        text.starts_with("Type the material of the hub, or step"),
        "{text}"
    );
}

#[test]
fn a_keypad_types_what_a_press_fit_needs_and_leads_back() {
    let now = PairsNow {
        can_press: true,
        ..NOW
    };
    let mut room = PairsRoom::default();
    keys(&mut room, NOW, "/");
    assert!(!room.is_pressing && room.fault.as_deref().unwrap().contains("No interference"));
    assert_eq!(
        keys(&mut room, now, "/15.5⏎40⏎⏎1.4301"),
        [],
        "the marker is typed"
    );
    let typed = room.typed[&0].clone();
    assert_eq!(
        typed.fields[..4],
        ["15.5", "40", "", "1.4301"].map(str::to_owned)
    );
    assert_eq!(typed.at, 3);
    keys(&mut room, now, "↓↓↓↓↓↓↓↓⌫⌫9");
    assert_eq!(room.typed[&0].fields[0], "15".to_owned() + "9");
    keys(&mut room, now, "*");
    assert_eq!(room.skipped, 4);
    keys(&mut room, now, "/");
    assert!(!room.is_pressing && room.skipped == 0);
    keys(&mut room, now, "*");
    assert_eq!(room.skipped, 4);
    keys(&mut room, now, "/");
    assert!(room.is_pressing && room.skipped == 0, "from its beginning");
    keys(&mut room, now, "/");
    keys(&mut room, now, "+/7");
    assert_eq!(
        (room.typed[&1].fields[0].as_str(), room.typed[&0].at),
        ("7", 0)
    );
    keys(&mut room, now, "⌫⌫");
    assert!(!room.is_pressing, "Backspace in an empty field leads back");
    room.press(&Press::Slash, now);
    for _ in 0..90 {
        room.press(&Press::Digit('1'), now);
    }
    assert_eq!(room.typed[&1].fields[0].len(), 40);
    // What is typed stays where the pair may no longer be pressed, and the keys are the list's.
    assert_eq!(keys(&mut room, NOW, "."), [PairsAsked::Bench]);
}

#[test]
fn every_press_is_survived() {
    let all = [
        measured(1, "0.010", &["19.986"]),
        without_pairs(),
        long_names(),
    ];
    let mut room = PairsRoom::default();
    let mut random = 7_u64;
    let mut reached = BTreeSet::new();
    let told = LinksTold::default();
    for _ in 0..2_000 {
        random = random
            .wrapping_mul(6_364_136_223_846_793_005)
            .wrapping_add(1);
        let bits = random >> 33;
        let press = match (bits >> 4) % 15 {
            12 => Press::Slash,
            13 => Press::Letter('µ'),
            14 => Press::Backspace,
            0 => Press::Enter,
            1 => Press::Up,
            2 => Press::Down,
            3 => Press::Plus,
            4 => Press::Minus,
            5 => Press::Star,
            6 => Press::Choose(900),
            7 => Press::Pasted("é\u{202e}1".repeat(90)),
            8 => Press::Digit('3'),
            9 => Press::Burst("20.008".to_owned()),
            10 => Press::Escape,
            _ => Press::Space,
        };
        let snapshot = (bits % 5)
            .checked_sub(1)
            .and_then(|at| all.get(at as usize % 3));
        let drawn = (usize::try_from(bits % 9).unwrap(), bits & 1 == 1);
        let _ = pairs_view(&PairsSeen {
            room: &room,
            snapshot,
            told: &told,
            now_ms: 0,
            marker: ',',
        });
        let drawn = PageDrawn {
            shown: drawn.0,
            has_more: drawn.1,
            fit: drawn.0,
        };
        let now = pairs_now((&room, &told), snapshot, drawn);
        room.press(&press, now);
        reached.insert((room.chosen, room.is_pressing));
    }
    let pressed = reached.iter().filter(|(_, is_pressing)| *is_pressing);
    assert_eq!((reached.len(), pressed.count()), (5, 1), "{reached:?}");
}

/// A scene on a window.
struct Shot {
    name: String,
    view: PairsView,
    size: [f32; 2],
    theme: Theme,
}

fn shots() -> Vec<Shot> {
    let mut shots = Vec::new();
    for (name, view) in scenes() {
        for (size, theme, word) in [
            (SMALL, Theme::Night, "night"),
            (LARGE, Theme::Day, "large"),
            (SMALL, Theme::Day, "day"),
            (SMALL, Theme::HighContrast, "high"),
        ] {
            shots.push(Shot {
                name: format!("pairs-{word}-{name}"),
                view: view.clone(),
                size,
                theme,
            });
        }
    }
    shots
}

impl Shown for Shot {
    fn name(&self) -> &str {
        &self.name
    }

    fn size(&self) -> [f32; 2] {
        self.size
    }

    fn shown<'a>(&self) -> Harness<'a> {
        window(self.size, 1.0, self.paint(self.theme))
    }
}

impl Shot {
    fn paint(&self, theme: Theme) -> impl FnMut(&mut Ui) + 'static {
        let (view, look) = (self.view.clone(), Look::new(theme, Sizes::default()));
        move |ui| {
            pairs_ui(ui, &view, &look, &mut Vec::new());
        }
    }
}

/// Every page once, to be painted in a theme on the small window.
pub(crate) fn every_page(theme: Theme) -> Vec<(String, crate::contrast::Paint)> {
    let small = shots()
        .into_iter()
        .filter(|shot| shot.size == SMALL && shot.theme == Theme::HighContrast);
    let named = small.map(|shot| {
        let paint: crate::contrast::Paint = Box::new(shot.paint(theme));
        (shot.name.replace("-high", ""), paint)
    });
    named.collect()
}

/// Pictures are kept too, in `target/pictures`.
#[test]
fn no_text_of_the_pairs_leaves_the_window_or_lies_on_another() {
    assert_readable(&shots(), text_faults, |shot| {
        shot.size == SMALL || shot.name.ends_with("-pressing-bush")
    });
}

#[test]
fn the_accepted_pictures_of_the_pairs() {
    let accepted = [
        "pairs-night-intended",
        "pairs-day-make",
        "pairs-day-press",
        "pairs-night-pressing",
        "pairs-day-pressing-bush",
        "pairs-night-demo-sleeve",
        "pairs-high-doubt",
        "pairs-large-intended",
        "pairs-night-suited-met",
    ];
    assert_accepted(&shots(), &accepted);
}

#[test]
fn everything_in_the_room_is_found_by_its_name_and_can_be_pointed_at() {
    for size in [SMALL, LARGE] {
        let view = seen(&measured(1, "0.010", &["19.986"]), 0);
        let look = Look::new(Theme::Night, Sizes::default());
        let presses = Rc::new(RefCell::new(Vec::new()));
        let taken = Rc::clone(&presses);
        let mut harness = window(size, 1.0, move |ui| {
            pairs_ui(ui, &view, &look, &mut taken.borrow_mut());
        });
        for name in [
            "hole bore: 20.000 to 20.021 mm; 20.010, U ",
            "shaft A: 19.980 to 19.993 mm; 19.986, U ",
            "clearance: 0.007 to 0.041 mm; 0.024, U ",
            "Hole bore and shaft A, 20 H7/g6",
            "there is clearance, as intended.",
        ] {
            let found = harness.query_all_by_label_contains(name).next();
            assert!(found.is_some(), "{size:?}: {name}");
        }
        let row = "hole bore, shaft P, 20 H7/p6: shaft can be made to suit";
        harness.get_by_label(row).click();
        harness.run_steps(2);
        assert_eq!(*presses.borrow(), [Press::Choose(1)]);
    }
}

#[test]
fn every_size_of_the_room_is_survived() {
    for (name, view) in scenes() {
        for size in [
            [1.0, 1.0],
            [0.0, 0.0],
            [30.0, 900.0],
            [900.0, 30.0],
            [480.0, 320.0],
            [599.0, 240.0],
        ] {
            let (view, look) = (view.clone(), Look::new(Theme::Day, Sizes::default()));
            let harness = window(size, 1.0, move |ui| {
                pairs_ui(ui, &view, &look, &mut Vec::new());
            });
            drop((harness, name));
        }
    }
}

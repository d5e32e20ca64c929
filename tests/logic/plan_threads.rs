//! Properties of threads in plans: what an element list may say, what a default set holds, when a
//! thread is short, and what a coating does to each diameter.

use std::collections::BTreeSet;

use fitledger::gauge::{CheckEnd, CheckTool};
use fitledger::plan::{Bounds, Characteristic, Plan};
use fitledger::quantity::Length;
use fitledger::tolerance::{Limits, Surface};
use proptest::prelude::{Just, Strategy, any, prop};
use proptest::{prop_assert, prop_assert_eq, prop_assume, proptest};

use crate::plan::parse;

const INTERNAL: [&str; 6] = [
    "minor",
    "pitch",
    "go_plug",
    "no_go_plug",
    "full_thread",
    "mate",
];
const EXTERNAL: [&str; 8] = [
    "major",
    "pitch",
    "wires",
    "minor",
    "go_ring",
    "no_go_ring",
    "full_thread",
    "mate",
];
/// Pairs of ISO 261 of the choices in use, with their pitch; a wire near P / sqrt(3).
const SIZES: [(&str, &str, i64, &str); 6] = [
    ("M3", "0.5", 500, "0.29"),
    ("M6", "1", 1_000, "0.58"),
    ("M10", "1.5", 1_500, "0.87"),
    ("M10", "1", 1_000, "0.58"),
    ("M20", "2.5", 2_500, "1.45"),
    ("M64", "6", 6_000, "3.47"),
];

fn read(lines: &str) -> Result<Plan, Vec<&'static str>> {
    let text = format!("[part]\nname = \"Pump housing\"\n[[feature]]\nid = \"A\"\n{lines}\n");
    parse(&text).map_err(|errors| errors.iter().map(|error| error.code()).collect())
}

fn words(plan: &Plan) -> Vec<String> {
    let all = plan.features[0].characteristics.iter();
    all.filter_map(|one| one.id.element.as_deref().map(str::to_owned))
        .collect()
}

fn length(bounds: &Bounds) -> Limits {
    *bounds.length().unwrap()
}

fn element<'p>(plan: &'p Plan, word: &str) -> &'p Characteristic {
    let mut all = plan.features[0].characteristics.iter();
    all.find(|one| one.id.element.as_deref() == Some(word))
        .unwrap()
}

fn sizes() -> impl Strategy<Value = (&'static str, &'static str, i64, &'static str)> {
    prop::sample::select(SIZES.to_vec())
}

/// A list of words, in any order, of either member, with repeats.
fn lists() -> impl Strategy<Value = Vec<&'static str>> {
    let all: Vec<&str> = INTERNAL
        .into_iter()
        .chain(EXTERNAL)
        .chain(["turns"])
        .collect();
    prop::collection::vec(prop::sample::select(all), 0..5)
}

proptest! {
    /// A list is taken when every word is one of that member, stands once, and has its key; then
    /// the characteristics are these, in this order. Else something is pointed at.
    #[test]
    fn a_list_is_taken_as_it_stands_or_refused(
        (size, pitch, _, wire) in sizes(), list in lists(), inside in any::<bool>(),
        has_wire in any::<bool>(), has_length in any::<bool>(),
    ) {
        let (class, known): (_, &[&str]) = match inside {
            true => ("6H", &INTERNAL),
            false => ("6g", &EXTERNAL),
        };
        let mut text = format!("callout = \"{size}x{pitch}-{class}\"\nelements = {list:?}\n");
        if has_wire {
            text.push_str(&format!("wire = {wire}\n"));
        }
        if has_length {
            text.push_str("full_thread = 12\n");
        }
        let once: BTreeSet<_> = list.iter().collect();
        let names = |word: &str| list.contains(&word);
        let is_sound = !list.is_empty()
            && once.len() == list.len()
            && list.iter().all(|word| known.contains(word))
            && (has_length || !names("full_thread"))
            && has_wire == names("wires");
        match read(&text) {
            Ok(plan) => {
                prop_assert!(is_sound, "{text}");
                prop_assert_eq!(words(&plan), list);
                for one in &plan.features[0].characteristics {
                    let element = one.id.element.as_deref().unwrap();
                    prop_assert_eq!(one.over_wires.is_some(), element == "wires");
                    let is_check = matches!(one.bounds(), Some(Bounds::Check(_)));
                    prop_assert_eq!(is_check, element.contains("go_") || element == "mate");
                    prop_assert!(!is_check || one.points == 1);
                }
            }
            Err(codes) => prop_assert!(!is_sound && !codes.is_empty(), "{text}: {codes:?}"),
        }
    }

    /// Without a list: the crest, both ends of the gauge of that member, and what keys ask for.
    #[test]
    fn the_usual_set_is_a_list_that_could_have_been_written(
        (size, pitch, _, wire) in sizes(), inside in any::<bool>(), has_wire in any::<bool>(),
        has_length in any::<bool>(),
    ) {
        prop_assume!(!(inside && has_wire));
        let class = if inside { "6H" } else { "6g" };
        let mut keys = format!("callout = \"{size}x{pitch}-{class}\"\n");
        if has_wire {
            keys.push_str(&format!("wire = {wire}\n"));
        }
        if has_length {
            keys.push_str("full_thread = 12\n");
        }
        let usual = read(&keys).unwrap();
        let found = words(&usual);
        let (crest, go, no_go) = match inside {
            true => ("minor", "go_plug", "no_go_plug"),
            false => ("major", "go_ring", "no_go_ring"),
        };
        let mut expected = vec![crest];
        expected.extend(has_wire.then_some("wires"));
        expected.extend([go, no_go]);
        expected.extend(has_length.then_some("full_thread"));
        prop_assert_eq!(&found, &expected);
        let written = read(&format!("{keys}elements = {found:?}\n")).unwrap();
        prop_assert_eq!(&written.features, &usual.features);
        let gauge = |word: &str| match element(&usual, word).bounds() {
            Some(Bounds::Check(asked)) => (asked.end, asked.with),
            other => panic!("{other:?}"),
        };
        let tool = if inside { CheckTool::ThreadPlug } else { CheckTool::ThreadRing };
        prop_assert_eq!(gauge(go), (CheckEnd::Go, tool));
        prop_assert_eq!(gauge(no_go), (CheckEnd::NoGo, tool));
        let surface = if inside { Surface::Inside } else { Surface::Outside };
        prop_assert_eq!(element(&usual, crest).surface, Some(surface));
    }

    /// Three turns or fewer are short (ISO 1502, from memory); a turn is a lead. A length in the
    /// designation counts when the plan states none.
    #[test]
    fn a_thread_is_short_up_to_three_turns(um in 500_i64..40_000, starts in 1_i64..5) {
        let callout = match starts {
            1 => "M16x1.5".to_owned(),
            starts => format!("M16xPh{}P1.5", text_of(starts * 1_500)),
        };
        let is_short = um <= 3 * starts * 1_500;
        for (class, word) in [("6H", "no_go_plug"), ("6g", "no_go_ring")] {
            let stated = format!(
                "callout = \"{callout}-{class}\"\nfull_thread = {}\nelements = [\"{word}\"]",
                text_of(um)
            );
            let written = format!(
                "callout = \"{callout}-{class}-{}\"\nelements = [\"{word}\"]", text_of(um)
            );
            for text in [stated, written] {
                let plan = read(&text).unwrap();
                let Some(Bounds::Check(asked)) = element(&plan, word).bounds() else {
                    panic!("a check")
                };
                prop_assert_eq!(asked.short_thread, is_short, "{}", text);
            }
        }
    }

    /// A coat t grows a crest by 2 t and the pitch diameter by 4 t (the flank stands at 30 degrees:
    /// t / sin 30 on each of two sides); a bore shrinks. Metal left moves each diameter by itself.
    #[test]
    fn coating_moves_flanks_twice_as_far_as_crests(
        thin in 0_i64..8, more in 0_i64..8, leave in 0_i64..300, inside in any::<bool>(),
    ) {
        let thick = thin + more;
        let (class, crest, sign) = if inside { ("6H", "minor", -1) } else { ("6g", "major", 1) };
        let text = format!(
            "callout = \"M20x2.5-{class}\"\nelements = [\"{crest}\", \"pitch\"]\n\
             coating = [{}, {}]\nleave = {}\n", text_of(thin), text_of(thick), text_of(leave)
        );
        let plan = read(&text).unwrap();
        for (word, factor) in [(crest, 2), ("pitch", 4)] {
            let all = &element(&plan, word).stages;
            prop_assert_eq!(all.len(), 3);
            let [rough, bare, coated] = [0, 1, 2].map(|at| length(&all[at].bounds));
            let by = |um: i64| Length::from_um(sign * um);
            let (lower, upper) = if inside { (thick, thin) } else { (thin, thick) };
            prop_assert_eq!(coated.lower().unwrap() - bare.lower().unwrap(), by(factor * lower));
            prop_assert_eq!(coated.upper().unwrap() - bare.upper().unwrap(), by(factor * upper));
            prop_assert_eq!(rough.lower().unwrap() - bare.lower().unwrap(), by(leave));
            prop_assert_eq!(rough.upper().unwrap() - bare.upper().unwrap(), by(leave));
        }
    }

    /// Usable wires are 0.56 P to 0.90 P, both ends included (neme-s.org).
    #[test]
    fn wires_are_taken_from_056_to_090_of_the_pitch(
        (size, pitch, um, _) in sizes(), hundredth_um in 1_i64..600_000, edge in any::<bool>(),
        at in Just([-1_i64, 0, 1]),
    ) {
        let exact = |nm: i64| format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000);
        let free = hundredth_um * 10;
        let wires = at.map(|off| if edge { um * 900 + off } else { um * 560 + off });
        for nm in wires.into_iter().chain([free]) {
            let text = format!("callout = \"{size}x{pitch}-6g\"\nwire = {}", exact(nm));
            let usable = (um * 560..=um * 900).contains(&nm);
            match read(&text) {
                Ok(plan) => {
                    prop_assert!(usable, "{text}");
                    let over = element(&plan, "wires").over_wires.unwrap();
                    prop_assert_eq!(over.wire, Length::from_nm(nm));
                }
                Err(codes) => prop_assert!(!usable && codes == ["wire_out_of_range"], "{text}"),
            }
        }
    }
}

/// Micrometres as millimetres, as written.
fn text_of(um: i64) -> String {
    format!("{}.{:03}", um / 1_000, um % 1_000)
}

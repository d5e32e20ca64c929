//! Cutting a thread: depths, slides, passes, drills, hints.

use crate::table::{Case, cases};
use fitledger::measure::{
    Aim, COMMON_PRACTICE, DrillFit, InfeedSet, ThreadingHint, bore_target, drill_verdict,
    infeed_passes, passes_for_first_cut, slide_travel, thread_depth, thread_percentage,
    threading_hints, tool_nose,
};
use fitledger::quantity::Length;
use fitledger::tolerance::{Derivation, Limits, ThreadMember, ThreadProfile};
use proptest::{prop_assert, prop_assert_eq, proptest};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

fn profile(nominal: &str, pitch: &str) -> ThreadProfile {
    ThreadProfile {
        nominal: mm(nominal),
        pitch: mm(pitch),
    }
}

fn limits(lower: &str, upper: &str) -> Limits {
    Limits::new(Some(mm(lower)), Some(mm(upper)), Derivation::Stated).unwrap()
}

fn found(case: &Case) -> f64 {
    let profile = profile(case.text("nominal_mm"), case.text("pitch_mm"));
    let given = || mm(case.text("given"));
    let depth = |member| thread_depth(&profile, member).unwrap().radial;
    let nose = |member| tool_nose(&profile, member).unwrap();
    let (outside, inside) = (ThreadMember::External, ThreadMember::Internal);
    let set = |word: &str| {
        let known = InfeedSet::WORDS.iter().find(|(_, known)| *known == word);
        slide_travel(given(), known.unwrap().0).unwrap()
    };
    let length = match case
        .text("quantity")
        .split_once('_')
        .unwrap_or(("percentage", ""))
    {
        ("percentage", _) => return thread_percentage(&profile, given()).unwrap(),
        ("depth", "external") => depth(outside),
        ("depth", "internal") => depth(inside),
        ("nose", "radius") => nose(outside).radius.unwrap(),
        ("nose", "least_radius") => nose(outside).least_radius.unwrap(),
        ("nose", "flat") => nose(inside).flat.unwrap(),
        ("crest", "flat_internal") => nose(inside).crest_flat,
        ("crest", "flat_external") => nose(outside).crest_flat,
        ("slide", word) => set(word).along_slide,
        ("axis", word) => set(word).along_axis,
        ("pass", which) => {
            let (number, all) = which.split_once("_of_").unwrap();
            let passes = infeed_passes(given(), all.parse().unwrap()).unwrap();
            passes[number.parse::<usize>().unwrap() - 1].reached
        }
        other => panic!("unknown quantity {other:?}"),
    };
    length.as_nm_f64() / 1e6
}

#[test]
fn sums_agree_with_handbook_and_independent_computation() {
    for case in cases(include_str!("../tables/threading.csv")) {
        let found = found(&case);
        case.check("expected", found);
        let exact = case.number("allowed_difference") < 2e-6;
        let off_nm = (found - case.number("expected")).abs() * 1e6;
        assert!(!exact || off_nm < 0.5, "{}: {off_nm} nm", case.name());
    }
}

#[test]
fn a_depth_on_the_diameter_is_twice_the_depth() {
    let depth = thread_depth(&profile("10", "1.5"), ThreadMember::External).unwrap();
    assert_eq!(depth.on_diameter, depth.radial * 2);
    assert!(depth.rule.contains("17/24 H"));
    let depth = thread_depth(&profile("10", "1.5"), ThreadMember::Internal).unwrap();
    // d - D1 of M10: 10 - 8.376202, to 2 nm.
    assert_eq!(depth.on_diameter, mm("1.623798"));
    assert!(depth.rule.contains("5/8 H"));
}

/// M10-6H: D1 8.376 to 8.676 (ISO 965-1 limits as published tables print them).
#[test]
fn a_drill_is_inside_too_small_or_too_large() {
    let (ten, minor) = (profile("10", "1.5"), limits("8.376", "8.676"));
    let verdict = |drill: &str| drill_verdict(&ten, mm(drill), &minor).unwrap();
    for (drill, fit, may_grow) in [
        ("8.375999", DrillFit::TooSmall, Some("0.300001")),
        ("8.376", DrillFit::Inside, Some("0.3")),
        ("8.5", DrillFit::Inside, Some("0.176")),
        ("8.676", DrillFit::Inside, Some("0")),
        ("8.676001", DrillFit::TooLarge, None),
    ] {
        let found = verdict(drill);
        assert_eq!(
            (found.fit, found.may_grow),
            (fit, may_grow.map(mm)),
            "{drill}"
        );
    }
    assert_eq!(
        verdict("8.5").to_string(),
        "A hole of 8.5 mm leaves 92 % of thread and is inside the limits of the minor diameter; \
         it may come out larger by 0.176 mm."
    );
    let small = verdict("8.3").to_string();
    assert!(small.contains("the tap may break") && small.contains(COMMON_PRACTICE));
    let hints = threading_hints(&ten, ThreadMember::Internal).unwrap();
    assert!(hints.contains(&ThreadingHint::DrillsCutOversize));
    let one_sided = Limits::new(Some(mm("8.376")), None, Derivation::Stated).unwrap();
    let open = drill_verdict(&ten, mm("9"), &one_sided).unwrap();
    assert_eq!((open.fit, open.may_grow), (DrillFit::Inside, None));
}

#[test]
fn the_bore_is_aimed_at_the_middle_or_toward_metal() {
    let minor = limits("8.376", "8.676001");
    assert_eq!(bore_target(&minor, Aim::Middle), Some(mm("8.526")));
    assert_eq!(bore_target(&minor, Aim::TowardMetal), Some(mm("8.376")));
    let open = Limits::new(Some(mm("8.376")), None, Derivation::Stated).unwrap();
    assert_eq!(bore_target(&open, Aim::Middle), Some(mm("8.376")));
    let none = Limits::new(None, Some(mm("8.676")), Derivation::Stated).unwrap();
    assert_eq!(bore_target(&none, Aim::Middle), None);
}

#[test]
fn hints_carry_sizes_and_say_what_they_rest_on() {
    let ten = profile("10", "1.5");
    let told = |member| {
        let hints = threading_hints(&ten, member).unwrap();
        hints.iter().map(ToString::to_string).collect::<Vec<_>>()
    };
    // d3 of M10 is 8.160 (UNI 4535-64): 8.1; 3 P = 4.5; 4 P = 6; 10 + 0.45 = 10.5 up.
    assert_eq!(
        told(ThreadMember::External)[2..],
        [
            "Thread relief where the drawing gives none: 4.5 mm wide at 8.1 mm (common practice, \
             no source).",
            "Chamfer the start at 45 degrees to 8.1 mm or less (common practice, no source).",
        ]
    );
    assert_eq!(
        told(ThreadMember::Internal)[2..4],
        [
            "Thread relief where the drawing gives none: 6 mm wide at 10.5 mm (common practice, \
             no source).",
            "Countersink the start to 10 to 10.5 mm (DIN 76-1, from memory).",
        ]
    );
    for member in [ThreadMember::External, ThreadMember::Internal] {
        for sentence in told(member) {
            let marked = sentence.contains(COMMON_PRACTICE) || sentence.contains("from memory");
            assert!(marked && sentence.ends_with("."), "{sentence}");
        }
    }
}

#[test]
fn what_cannot_be_cut_is_refused() {
    let ten = profile("10", "1.5");
    for hole in ["0", "-1", "10", "11"] {
        let error = thread_percentage(&ten, mm(hole)).unwrap_err();
        assert_eq!(error.code(), "hole_out_of_range");
    }
    for (nominal, pitch) in [("10", "0"), ("10", "-1"), ("1", "1"), ("0", "1")] {
        let profile = profile(nominal, pitch);
        for member in [ThreadMember::External, ThreadMember::Internal] {
            assert_eq!(
                thread_depth(&profile, member).unwrap_err().code(),
                "no_thread"
            );
            assert_eq!(tool_nose(&profile, member).unwrap_err().code(), "no_thread");
            assert_eq!(
                threading_hints(&profile, member).unwrap_err().code(),
                "no_thread"
            );
        }
        assert_eq!(
            thread_percentage(&profile, mm("0.5")).unwrap_err().code(),
            "no_thread"
        );
    }
    for depth in [Length::ZERO, mm("-1"), Length::MAX + mm("1")] {
        let code = "depth_out_of_range";
        assert_eq!(
            slide_travel(depth, InfeedSet::Compound30)
                .unwrap_err()
                .code(),
            code
        );
        assert_eq!(infeed_passes(depth, 4).unwrap_err().code(), code);
        assert_eq!(
            passes_for_first_cut(depth, mm("0.1")).unwrap_err().code(),
            code
        );
        assert_eq!(
            passes_for_first_cut(mm("0.1"), depth).unwrap_err().code(),
            code
        );
    }
    for passes in [0, 101, 255] {
        let error = infeed_passes(mm("1"), passes).unwrap_err();
        assert_eq!(error.code(), "passes_out_of_range");
    }
    // (10 m / 1 nm)^2 passes.
    let many = passes_for_first_cut(Length::MAX, Length::from_nm(1)).unwrap_err();
    assert_eq!(many.code(), "passes_out_of_range");
    // 1 / 0.1 squared is a hundred; a nanometre less is one more.
    assert_eq!(passes_for_first_cut(mm("1"), mm("0.1")), Ok(100));
    assert!(passes_for_first_cut(mm("1"), mm("0.099999")).is_err());
}

proptest! {
    #[test]
    fn passes_grow_to_the_whole_depth_and_never_take_more_than_before(
        nm in 1_000_i64..5_000_000, passes in 1_u8..=100
    ) {
        let depth = Length::from_nm(nm);
        let plan = infeed_passes(depth, passes).unwrap();
        prop_assert_eq!(plan.len(), usize::from(passes));
        prop_assert_eq!(plan.last().map(|pass| pass.reached), Some(depth));
        prop_assert_eq!(plan.iter().map(|pass| pass.step).sum::<Length>(), depth);
        for pair in plan.windows(2) {
            // A nanometre of rounding.
            prop_assert!(pair[1].step <= pair[0].step + Length::from_nm(1));
            prop_assert!(pair[1].reached > pair[0].reached);
        }
    }

    #[test]
    fn the_fewest_passes_keep_the_first_cut(nm in 10_000_i64..2_000_000, share in 1_001_i64..9_000) {
        let (depth, first) = (Length::from_nm(nm), Length::from_nm(nm * share / 10_000));
        let passes = passes_for_first_cut(depth, first).unwrap();
        let cut = |passes| infeed_passes(depth, passes).unwrap()[0].step;
        prop_assert!(cut(passes) <= first + Length::from_nm(1));
        prop_assert!(passes == 1 || cut(passes - 1) >= first);
    }

    #[test]
    fn a_larger_drill_leaves_less_thread(um in 100_i64..9_900, more in 1_i64..90) {
        let ten = profile("10", "1.5");
        let small = thread_percentage(&ten, Length::from_um(um)).unwrap();
        let large = thread_percentage(&ten, Length::from_um(um + more)).unwrap();
        prop_assert!(large < small && large > 0.0);
    }

    #[test]
    fn a_slide_goes_farther_than_the_depth(nm in 1_000_i64..5_000_000) {
        let depth = Length::from_nm(nm);
        let way = |set| slide_travel(depth, set).unwrap();
        let (radial, less, full) =
            (way(InfeedSet::Radial), way(InfeedSet::Compound29_5), way(InfeedSet::Compound30));
        prop_assert!(radial.along_slide < less.along_slide && less.along_slide < full.along_slide);
        // The slide, the depth and the axis make a right triangle.
        let square = |length: Length| length.as_nm_f64().powi(2);
        let whole = square(full.along_slide);
        let sides = square(depth) + square(full.along_axis);
        prop_assert!((whole.sqrt() - sides.sqrt()).abs() < 2.0);
    }
}

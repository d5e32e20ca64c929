//! What is computable but unusual is said; what is usual is not flagged.

use fitledger::quantity::Length;
use fitledger::tolerance::{
    CalloutLimits, Context, LengthGroup, THREAD_TEXTS, ThreadFlag, ThreadLimits, ThreadTables,
    limits_of,
};

/// The flags of a callout, both members' together.
fn flags(text: &str) -> Vec<ThreadFlag> {
    match limits_of(text, &Context::standard()) {
        Ok((_, CalloutLimits::Thread(limits))) => limits.flags.iter().collect(),
        Ok((_, CalloutLimits::ThreadFit(fit))) => fit.flags().iter().collect(),
        other => panic!("{text}: {other:?}"),
    }
}

fn one(text: &str) -> Box<ThreadLimits> {
    match limits_of(text, &Context::standard()) {
        Ok((_, CalloutLimits::Thread(limits))) => limits,
        other => panic!("{text}: {other:?}"),
    }
}

/// The default classes of every pair of ISO 261 need no remark, but for the four restricted pairs.
/// M2x0.25 and M2.2x0.25 have no default inside: 6H is not tabled at that pitch.
#[test]
fn standard_sizes_in_their_default_classes_have_no_flags_but_the_restricted_ones() {
    let (mut flagged, mut refused) = (Vec::new(), Vec::new());
    for size in ThreadTables::standard().sizes() {
        let text = format!("M{}x{}", size.nominal, size.pitch);
        match limits_of(&text, &Context::standard()) {
            Ok(_) => {
                for flag in flags(&text) {
                    flagged.push((text.clone(), flag));
                }
            }
            Err(error) => refused.push((text, error.code())),
        }
    }
    let wanted = [
        ("M14x1.25", ThreadFlag::SparkPlugsOnly),
        ("M30x3", ThreadFlag::ToBeAvoided),
        ("M33x3", ThreadFlag::ToBeAvoided),
        ("M35x1.5", ThreadFlag::LocknutsOnly),
    ];
    let wanted = wanted.map(|(text, flag)| (text.to_owned(), flag));
    assert_eq!(flagged, wanted);
    let wanted = ["M2x0.25", "M2.2x0.25"].map(|text| (text.to_owned(), "grade_not_tabled"));
    assert_eq!(refused, wanted);
}

/// ISO 965-1, table of recommended classes by group of engagement (from memory, as the reference
/// lists them): fine, medium, coarse.
#[test]
fn usual_classes_are_those_recommended_for_the_group() {
    let recommended = [
        ("S", "4H 5H 5G 3h4h 5g6g 5h6h"),
        ("N", "5H 6H 6G 7H 4h 6g 6h 6f 6e 8g"),
        ("L", "6H 7H 7G 8H 5h4h 7g6g 7h6h 9g8g"),
    ];
    let all: Vec<&str> = recommended
        .iter()
        .flat_map(|(_, classes)| classes.split(' '))
        .collect();
    let other = [
        "4G", "8G", "5f6f", "7e6e", "4h6h", "6H5H", "3g4g", "9h8h", "6g4g",
    ];
    for (group, classes) in recommended {
        let usual: Vec<&str> = classes.split(' ').collect();
        for class in all.iter().chain(&other) {
            let text = format!("M10-{class}-{group}");
            let flagged = flags(&text).contains(&ThreadFlag::UnusualClass);
            assert_eq!(flagged, !usual.contains(class), "{text}");
        }
    }
    // None written is N.
    assert!(flags("M10-5g6g").contains(&ThreadFlag::UnusualClass));
    assert!(flags("M10-6g").is_empty());
}

/// M20x2 is short up to 8 mm, long over 24 mm (Machinery's Handbook 27th ed., as the table's row
/// says): the limits themselves belong to S and to N.
#[test]
fn a_length_in_millimetres_is_of_its_group_and_told_when_the_class_is_not_usual_there() {
    let group = |text: &str| one(text).parts.engagement;
    assert_eq!(group("M20x2-6g-8"), Some(LengthGroup::Short));
    assert_eq!(group("M20x2-6g-8.001"), Some(LengthGroup::Normal));
    assert_eq!(group("M20x2-6g-24"), Some(LengthGroup::Normal));
    assert_eq!(group("M20x2-6g-24,001"), Some(LengthGroup::Long));
    assert_eq!(flags("M20x2-6g-15"), []);
    assert_eq!(flags("M20x2-5g6g-8"), []);
    assert_eq!(flags("M20x2-7g6g-30"), []);
    assert_eq!(flags("M20x2-6g-8"), [ThreadFlag::UnusualShortLength]);
    assert_eq!(flags("M20x2-7g6g-15"), [ThreadFlag::UnusualLength]);
    assert_eq!(flags("M20x2-6g-30"), [ThreadFlag::UnusualLongLength]);
    assert_eq!(flags("M20x2-4g-15"), [ThreadFlag::UnusualClass]);
    // No row, so no group.
    let fine = flags("M12x0.75-6g-5");
    assert!(fine.contains(&ThreadFlag::EngagementNotTabled), "{fine:?}");
}

#[test]
fn what_stands_from_memory_or_outside_its_standard_is_said() {
    for position in ["a", "b", "c", "d"] {
        assert!(flags(&format!("M10-6{position}")).contains(&ThreadFlag::PositionFromMemory));
    }
    assert!(!flags("M10-6e").contains(&ThreadFlag::PositionFromMemory));
    assert!(flags("M16xPh3P1.5-6H").contains(&ThreadFlag::StartsFromMemory));
    assert!(flags("M10-6g6h").contains(&ThreadFlag::PositionsDiffer));
    assert_eq!(flags("M10-6az"), [ThreadFlag::HotDip]);
    assert_eq!(flags("M64-6AZ"), [ThreadFlag::HotDip]);
    for text in ["M8-6az", "M68-6az", "M10x1-6AX", "M10xPh3P1.5-6AZ"] {
        assert!(
            flags(text).contains(&ThreadFlag::HotDipOutsideRange),
            "{text}"
        );
    }
    let both = [ThreadFlag::HotDip];
    assert_eq!(flags("M12-6H/6az"), both);
    for flag in ThreadFlag::TEXTS {
        let text = flag.0.to_string();
        assert!(
            text.ends_with('.') && text.len() > 20 && text.len() < 200,
            "{text}"
        );
    }
}

/// Factors of ISO 965-1:2013 clause 9 (from memory, unverified): 1.12, 1.25, 1.4, 1.6 on the
/// pitch diameter's 190 µm alone.
#[test]
fn several_starts_widen_the_pitch_diameter_and_nothing_else() {
    let single = one("M16x1.5-6H");
    for (starts, lead, width) in [
        (2, "3", 213),
        (3, "4.5", 238),
        (4, "6", 266),
        (5, "7.5", 304),
    ] {
        let text = format!("M16xPh{lead}P1.5-6H");
        let several = one(&text);
        assert_eq!(several.pitch_tolerance, Length::from_um(width), "{text}");
        assert_eq!(
            several.pitch.tolerance(),
            Some(Length::from_um(width)),
            "{text}"
        );
        assert_eq!(several.minor.tolerance(), single.minor.tolerance());
        assert_eq!(several.pitch.lower(), single.pitch.lower());
        assert_eq!(
            (several.parts.starts, several.parts.lead().to_mm()),
            (starts, Length::parse_mm(lead).unwrap().to_mm())
        );
    }
    assert_eq!(one("M36xPh18P1.5-6H").pitch_tolerance, Length::from_um(320)); // 200 x 1.6
}

/// The coarse pitches of ISO 261 (from memory); all other sizes have none.
#[test]
fn coarse_pitches_are_those_of_iso_261() {
    let coarse = "1:0.25 1.1:0.25 1.2:0.25 1.4:0.3 1.6:0.35 1.8:0.35 2:0.4 2.2:0.45 2.5:0.45 \
                  3:0.5 3.5:0.6 4:0.7 4.5:0.75 5:0.8 6:1 7:1 8:1.25 9:1.25 10:1.5 11:1.5 12:1.75 \
                  14:2 16:2 18:2.5 20:2.5 22:2.5 24:3 27:3 30:3.5 33:3.5 36:4 39:4 42:4.5 45:4.5 \
                  48:5 52:5 56:5.5 60:5.5 64:6 68:6";
    let mm = |text: &str| Length::parse_mm(text).unwrap();
    let wanted: Vec<(Length, Length)> = coarse
        .split_whitespace()
        .map(|pair| pair.split_once(':').unwrap())
        .map(|(nominal, pitch)| (mm(nominal), mm(pitch)))
        .collect();
    let tables = ThreadTables::standard();
    let mut nominals: Vec<Length> = tables.sizes().iter().map(|size| size.nominal).collect();
    nominals.dedup();
    let found: Vec<(Length, Length)> = nominals
        .iter()
        .filter_map(|nominal| Some((*nominal, tables.coarse_pitch(*nominal)?)))
        .collect();
    assert_eq!(found, wanted);
    for (nominal, pitch) in wanted {
        let coarsest = tables.sizes_of(nominal).iter().map(|size| size.pitch).max();
        assert_eq!(coarsest, Some(pitch), "M{nominal}");
    }
}

/// Engagement: L over about three times the limit of S, both growing with pitch and diameter.
#[test]
fn lengths_of_engagement_keep_their_ratio_and_grow() {
    let (_, text) = THREAD_TEXTS
        .into_iter()
        .find(|(name, _)| *name == "iso965/engagement_length.csv")
        .unwrap();
    let mut last = [0.0; 4];
    let mut rows = 0;
    for line in text.lines().skip(1) {
        let fields: Vec<f64> = line
            .split(',')
            .take(5)
            .map(|one| one.parse().unwrap())
            .collect();
        let [over, to, pitch, short, long] = fields[..] else {
            panic!("{line}")
        };
        assert!((2.6..=3.4).contains(&(long / short)), "{line}");
        // About 2.24 P d^0.2 and 6.7 P d^0.2 for the smallest size of the range (ISO 965-1, from
        // memory); the smallest size is not below the range.
        let low = 2.24 * pitch * over.powf(0.2);
        let high = 2.24 * pitch * to.powf(0.2);
        assert!(short >= 0.85 * low && short <= 1.08 * high, "{line}");
        if (last[0] - over).abs() < 1e-9 {
            assert!(
                short >= last[2] && long > last[3] && pitch > last[1],
                "{line}"
            );
        }
        last = [over, pitch, short, long];
        rows += 1;
    }
    assert_eq!(rows, 47);
}

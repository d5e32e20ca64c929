//! Every size of ISO 261 in every class, and any designation, drawn at random.

use fitledger::quantity::Length;
use fitledger::tolerance::{
    Callout, CalloutError, Context, Engagement, LengthGroup, ThreadCallout, ThreadCalloutLimits,
    ThreadClass, ThreadElement, ThreadLimits, ThreadMember, ThreadPosition, ThreadTables,
    ThreadTolerance, limits_of, parse_callout, render_caret,
};
use proptest::prelude::*;

fn positions(member: ThreadMember) -> impl Iterator<Item = ThreadPosition> {
    let all = ThreadPosition::TEXTS
        .into_iter()
        .map(|(position, _)| position);
    all.filter(move |position| position.member() == member)
}

/// Every class whose two positions are the same; grades as the standard has them for some size.
fn classes(member: ThreadMember) -> Vec<ThreadClass> {
    let (pitch, crest): (&[u8], &[u8]) = match member {
        ThreadMember::Internal => (&[4, 5, 6, 7, 8], &[4, 5, 6, 7, 8]),
        ThreadMember::External => (&[3, 4, 5, 6, 7, 8, 9], &[4, 6, 8]),
    };
    let mut all = Vec::new();
    for position in positions(member) {
        for pitch in pitch {
            for crest in crest {
                let tolerance = |grade: u8| ThreadTolerance { grade, position };
                all.push(ThreadClass {
                    pitch: tolerance(*pitch),
                    crest: tolerance(*crest),
                });
            }
        }
    }
    all
}

fn callout(nominal: Length, pitch: Length, class: ThreadClass) -> ThreadCallout {
    let is_internal = class.member() == ThreadMember::Internal;
    ThreadCallout {
        nominal,
        pitch: Some(pitch),
        lead: None,
        internal: is_internal.then_some(class),
        external: (!is_internal).then_some(class),
        engagement: None,
        left_hand: false,
    }
}

fn limits(nominal: Length, pitch: Length, class: ThreadClass) -> Option<ThreadLimits> {
    match callout(nominal, pitch, class).limits(ThreadTables::standard()) {
        Ok(ThreadCalloutLimits::One(limits)) => Some(limits),
        Ok(other) => panic!("{other:?}"),
        Err(error) => {
            let code = error.code();
            assert!(
                [
                    "grade_not_tabled",
                    "position_not_tabled",
                    "class_not_defined"
                ]
                .contains(&code),
                "M{nominal}x{pitch}-{class}: {code}"
            );
            None
        }
    }
}

fn check_one(limits: &ThreadLimits) {
    let (parts, profile) = (limits.parts, limits.parts.profile());
    let name = parts.callout();
    for element in ThreadElement::ALL {
        let one = limits.element(element);
        if let (Some(lower), Some(upper)) = (one.lower(), one.upper()) {
            assert!(lower < upper && lower > Length::ZERO, "{name}");
        }
    }
    // Adding whole micrometres to one unrounded diameter keeps the tolerance whole.
    assert_eq!(
        limits.pitch.tolerance(),
        Some(limits.pitch_tolerance),
        "{name}"
    );
    let (d2, d1) = (
        profile.pitch_diameter().printed(),
        profile.minor_diameter().printed(),
    );
    let zero = limits.deviation == Length::ZERO;
    match parts.member() {
        ThreadMember::External => {
            // All within the basic profile, at most touching it.
            assert!(limits.major.upper() <= Some(parts.nominal), "{name}");
            assert!(limits.pitch.upper() <= Some(d2), "{name}");
            assert!(limits.minor.upper() <= Some(d1), "{name}");
            assert_eq!(limits.pitch.upper() == Some(d2), zero, "{name}");
            assert_eq!(limits.major.upper() == Some(parts.nominal), zero, "{name}");
            assert_eq!(
                parts.class.pitch.position == ThreadPosition::H,
                zero,
                "{name}"
            );
        }
        ThreadMember::Internal => {
            assert_eq!(limits.major.upper(), None, "{name}");
            assert!(limits.major.lower() >= Some(parts.nominal), "{name}");
            assert!(limits.pitch.lower() >= Some(d2), "{name}");
            assert!(limits.minor.lower() >= Some(d1), "{name}");
            assert_eq!(limits.pitch.lower() == Some(d2), zero, "{name}");
            assert_eq!(limits.minor.lower() == Some(d1), zero, "{name}");
            assert_eq!(
                parts.class.pitch.position == ThreadPosition::InternalH,
                zero,
                "{name}"
            );
        }
    }
}

/// Limits in order, tolerances whole, everything on its side of the basic profile, and the loosest
/// screw still in the tightest nut: the maximum-material limits of both never cross.
#[test]
fn every_size_in_every_class_keeps_its_side_of_the_basic_profile() {
    let mut answered = 0;
    for size in ThreadTables::standard().sizes() {
        let of = |member| -> Vec<ThreadLimits> {
            let classes = classes(member).into_iter();
            let found = classes.filter_map(|class| limits(size.nominal, size.pitch, class));
            found.collect()
        };
        let (nuts, screws) = (of(ThreadMember::Internal), of(ThreadMember::External));
        for limits in nuts.iter().chain(&screws) {
            check_one(limits);
            answered += 1;
        }
        let tightest = |element: ThreadElement| {
            let nut = nuts
                .iter()
                .filter_map(|nut| nut.element(element).lower())
                .min();
            let screw = screws
                .iter()
                .filter_map(|one| one.element(element).upper())
                .max();
            (nut, screw)
        };
        for element in ThreadElement::ALL {
            let (nut, screw) = tightest(element);
            assert!(
                nut.is_some() && nut >= screw,
                "M{}x{}",
                size.nominal,
                size.pitch
            );
        }
    }
    assert!(answered > 70_000, "only {answered}");
}

fn width_of_pitch(
    nominal: Length,
    pitch: Length,
    position: ThreadPosition,
    grade: u8,
) -> Option<Length> {
    // The crest's grade that every size of the member has.
    let crest = ThreadTolerance { grade: 4, position };
    let pitch_tolerance = ThreadTolerance { grade, position };
    let class = ThreadClass {
        pitch: pitch_tolerance,
        crest,
    };
    limits(nominal, pitch, class).map(|limits| limits.pitch_tolerance)
}

fn width_of_crest(
    nominal: Length,
    pitch: Length,
    position: ThreadPosition,
    grade: u8,
) -> Option<Length> {
    let class = ThreadClass {
        pitch: ThreadTolerance { grade: 4, position },
        crest: ThreadTolerance { grade, position },
    };
    let found = limits(nominal, pitch, class)?;
    match class.member() {
        ThreadMember::Internal => found.minor.tolerance(),
        ThreadMember::External => found.major.tolerance(),
    }
}

/// A coarser grade is wider; and in one range of diameters a coarser pitch is not narrower.
#[test]
fn tolerances_grow_with_grade_and_pitch() {
    let tables = ThreadTables::standard();
    for position in [ThreadPosition::InternalH, ThreadPosition::H] {
        for size in tables.sizes() {
            let (d, p) = (size.nominal, size.pitch);
            for width in [width_of_pitch, width_of_crest] {
                let widths: Vec<Length> = (3..=9)
                    .filter_map(|grade| width(d, p, position, grade))
                    .collect();
                assert!(
                    !widths.is_empty() && widths.is_sorted_by(|a, b| a < b),
                    "M{d}x{p}"
                );
            }
        }
        for size in tables.sizes() {
            let pitches: Vec<Length> = tables
                .sizes_of(size.nominal)
                .iter()
                .map(|one| one.pitch)
                .collect();
            for grade in 3..=9 {
                for width in [width_of_pitch, width_of_crest] {
                    let widths: Vec<Length> = pitches
                        .iter()
                        .filter_map(|pitch| width(size.nominal, *pitch, position, grade))
                        .collect();
                    assert!(
                        widths.is_sorted_by(|a, b| a < b),
                        "M{} grade {grade}",
                        size.nominal
                    );
                }
            }
        }
    }
}

/// A larger diameter of the same pitch does not have a narrower tolerance.
#[test]
fn tolerances_grow_with_the_diameter() {
    let tables = ThreadTables::standard();
    let mut sizes: Vec<(Length, Length)> = tables
        .sizes()
        .iter()
        .map(|size| (size.pitch, size.nominal))
        .collect();
    sizes.sort_unstable();
    for position in [ThreadPosition::InternalH, ThreadPosition::H] {
        for grade in 3..=9 {
            for pair in sizes.windows(2).filter(|pair| pair[0].0 == pair[1].0) {
                let width = |(pitch, nominal)| width_of_pitch(nominal, pitch, position, grade);
                if let (Some(small), Some(large)) = (width(pair[0]), width(pair[1])) {
                    assert!(small <= large, "grade {grade}: {pair:?}");
                }
            }
        }
    }
}

fn lengths() -> impl Strategy<Value = Length> {
    prop_oneof![
        (1_i64..400_000).prop_map(Length::from_um),
        (1_i64..400_000_000).prop_map(Length::from_nm),
        (1_i64..400).prop_map(Length::from_mm),
    ]
}

fn class_of(member: ThreadMember) -> impl Strategy<Value = ThreadClass> {
    let (positions, pitch, crest): (Vec<_>, Vec<u8>, Vec<u8>) = match member {
        ThreadMember::Internal => (
            positions(member).collect(),
            (4..=8).collect(),
            (4..=8).collect(),
        ),
        ThreadMember::External => (
            positions(member).collect(),
            (3..=9).collect(),
            vec![4, 6, 8],
        ),
    };
    let position = prop::sample::select(positions);
    (
        position.clone(),
        position,
        prop::sample::select(pitch),
        prop::sample::select(crest),
    )
        .prop_map(|(first, second, pitch, crest)| ThreadClass {
            pitch: ThreadTolerance {
                grade: pitch,
                position: first,
            },
            crest: ThreadTolerance {
                grade: crest,
                position: second,
            },
        })
}

fn groups() -> impl Strategy<Value = LengthGroup> {
    prop::sample::select(vec![
        LengthGroup::Short,
        LengthGroup::Normal,
        LengthGroup::Long,
    ])
}

/// Designations that can be written: a length in mm stands behind a class, two groups behind two
/// classes or none, a lead is more than one pitch.
fn designations() -> impl Strategy<Value = ThreadCallout> {
    let pitch = prop_oneof![
        Just((None, None)),
        (1_i64..9_000_000).prop_map(|nm| (Some(Length::from_nm(nm)), None)),
        (1_i64..9_000, 2_i64..=12).prop_map(|(um, starts)| {
            let pitch = Length::from_um(um);
            (Some(pitch), Some(pitch * starts))
        }),
    ];
    let classes = (
        prop::option::of(class_of(ThreadMember::Internal)),
        prop::option::of(class_of(ThreadMember::External)),
    );
    (
        lengths(),
        pitch,
        classes,
        (groups(), groups(), lengths(), 0..4_u8),
        any::<bool>(),
    )
        .prop_map(
            |(
                nominal,
                (pitch, lead),
                (internal, external),
                (one, other, length, form),
                left_hand,
            )| {
                let engagement = match form {
                    0 => None,
                    1 => Some(Engagement::Group(one)),
                    2 if internal.is_some() == external.is_some() => Some(Engagement::Groups {
                        internal: one,
                        external: other,
                    }),
                    3 if internal.is_some() || external.is_some() => {
                        Some(Engagement::Length(length))
                    }
                    _ => None,
                };
                ThreadCallout {
                    nominal,
                    pitch,
                    lead,
                    internal,
                    external,
                    engagement,
                    left_hand,
                }
            },
        )
}

/// Pieces of designations in any order.
fn jumbles() -> impl Strategy<Value = String> {
    let pieces = [
        "M",
        "m",
        "10",
        "1.5",
        "2",
        "20",
        "0,75",
        "x",
        "X",
        "×",
        "*",
        "Ph",
        "P",
        "3",
        "-",
        "–",
        "−",
        " ",
        "6H",
        "6g",
        "5g6g",
        "4H5H",
        "9g8g",
        "6az",
        "AZ",
        "h",
        "/",
        "S",
        "N",
        "L",
        "LH",
        "(two starts)",
        "(",
        ")",
        "starts",
        "15",
        ".",
        ",",
        "\u{a0}",
        "Ø",
        "9999999",
        "1e3",
        "0",
    ];
    let piece = prop::sample::select(pieces.to_vec());
    prop::collection::vec(piece, 0..14).prop_map(|pieces| format!("M10{}", pieces.concat()))
}

fn check_text(text: &str) -> Result<(), TestCaseError> {
    match limits_of(text, &Context::standard()) {
        Ok((callout, limits)) => {
            prop_assert_eq!(parse_callout(&callout.to_string()), Ok(callout), "{}", text);
            prop_assert!(!limits.explain(&Context::standard()).is_empty());
        }
        Err(error) => {
            let is_number = matches!(error, CalloutError::BadNumber { .. });
            prop_assert!(
                !error.code().is_empty() && error.to_string().ends_with(['.', ')']),
                "{error}"
            );
            prop_assert!(error.hint().is_some() || is_number, "{text}: {error:?}");
            let place = error.place();
            prop_assert!(
                place.is_none_or(|place| place.at <= text.chars().count()),
                "{text}"
            );
            let threads = matches!(parse_callout(text), Ok(Callout::Thread(_)));
            prop_assert!(
                !threads || place.is_some(),
                "{text} is refused without a place"
            );
            let _ = render_caret(&error);
        }
    }
    Ok(())
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(3_000))]

    #[test]
    fn a_designation_survives_its_canonical_text(thread in designations()) {
        let text = thread.to_string();
        prop_assert_eq!(parse_callout(&text), Ok(Callout::Thread(thread)), "{}", text);
        check_text(&text)?;
    }

    #[test]
    fn no_jumble_of_parts_breaks_the_reading(text in jumbles()) {
        check_text(&text)?;
    }
}

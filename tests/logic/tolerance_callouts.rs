//! Callouts: every form that is read, every fault that is named, and no text that breaks it.

use std::fs;
use std::path::{Path, PathBuf};

use fitledger::quantity::{Angle, Exact, Length, LengthUnit};
use fitledger::tolerance::{
    AngleCallout, Callout, CalloutError, CalloutLimits, Context, EdgeCallout, EdgeKind, FitCallout,
    GeneralClass, Grade, Indication, Letter, Limits, SizeCallout, SizeForm, SizeLimits,
    ThreadElement, ThreadLimits, ToleranceClass, limits_of, parse_callout, render_caret,
};
use proptest::prelude::*;

/// The case files of a folder below tests/callouts, each with its expected text beside it.
fn case_files(folder: &str) -> Vec<PathBuf> {
    let path = Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/callouts")
        .join(folder);
    let mut files: Vec<PathBuf> = fs::read_dir(path)
        .unwrap()
        .map(|entry| entry.unwrap().path())
        .filter(|path| path.extension().is_some_and(|end| end == "txt"))
        .collect();
    files.sort();
    assert!(!files.is_empty());
    files
}

/// The callout of a case file and what is given beside it.
fn read_case(path: &Path) -> (String, Context<'static>) {
    let text = fs::read_to_string(path).unwrap();
    let mut lines = text.split('\n');
    let callout = lines
        .next()
        .unwrap()
        .strip_prefix("callout: ")
        .unwrap()
        .to_owned();
    let mut context = Context::standard();
    let given = lines.next().and_then(|line| line.strip_prefix("given: "));
    for part in given.into_iter().flat_map(|line| line.split(", ")) {
        match part.split_once(' ').unwrap() {
            ("general", word) => context.general = GeneralClass::from_word(word),
            ("shorter", side) => {
                let size = side.strip_prefix("side ").unwrap();
                context.shorter_side = Some(Length::parse_mm(size).unwrap());
            }
            other => panic!("{other:?} in {}", path.display()),
        }
    }
    (callout, context)
}

fn expected_text(path: &Path) -> String {
    let beside = path.with_extension("expected");
    fs::read_to_string(&beside).unwrap_or_else(|_| panic!("no {}", beside.display()))
}

fn or_none<T: ToString>(value: Option<T>) -> String {
    value.map_or_else(|| "none".to_owned(), |found| found.to_string())
}

fn size_text(size: &SizeLimits) -> String {
    let metal = size.surface.map_or("unknown", |surface| surface.word());
    let mut text = format!(
        "{}, metal {metal}, nominal {}\nlower {}, upper {}\n",
        size.kind().word(),
        or_none(size.nominal),
        or_none(size.limits.lower()),
        or_none(size.limits.upper())
    );
    if size.envelope {
        text.push_str("envelope\n");
    }
    text
}

fn angle_text(angle: Angle) -> String {
    let indication = Indication::Bare { nominal: angle };
    Callout::Angle(AngleCallout { indication }).to_string()
}

fn limits_text(limits: &CalloutLimits) -> String {
    match limits {
        CalloutLimits::Size(size) => size_text(size),
        CalloutLimits::Fit(fit) => format!(
            "{}{}{}, greatest clearance {}, least {}\n",
            size_text(fit.hole()),
            size_text(fit.shaft()),
            fit.kind().word(),
            fit.max_clearance(),
            fit.min_clearance()
        ),
        CalloutLimits::Angle(angle) => format!(
            "angle, nominal {}\nlower {}, upper {}\n",
            or_none(angle.nominal.map(angle_text)),
            or_none(angle.limits.lower().map(angle_text)),
            or_none(angle.limits.upper().map(angle_text))
        ),
        CalloutLimits::Thread(thread) => thread_text(thread),
        CalloutLimits::ThreadFit(fit) => thread_text(&fit.internal) + &thread_text(&fit.external),
    }
}

fn thread_text(thread: &ThreadLimits) -> String {
    let parts = &thread.parts;
    let mut text = format!(
        "{} thread, nominal {}, pitch {}, starts {}, class {}\n",
        parts.member().word(),
        parts.nominal,
        parts.pitch,
        parts.starts,
        parts.class
    );
    for element in ThreadElement::ALL {
        let limits = thread.element(element);
        let (lower, upper) = (limits.lower(), limits.upper());
        let (lower, upper) = (
            or_none(lower.map(Length::to_mm)),
            or_none(upper.map(Length::to_mm)),
        );
        text += &format!("{}: lower {lower}, upper {upper}\n", element.word());
    }
    for flag in thread.flags.iter() {
        text += &format!("flag: {flag}\n");
    }
    text
}

#[test]
fn every_valid_callout_gives_the_limits_beside_it() {
    for path in case_files("valid") {
        let (text, context) = read_case(&path);
        let name = path.display();
        let callout = parse_callout(&text).unwrap_or_else(|error| panic!("{name}: {error}"));
        let limits = callout
            .limits(&context)
            .unwrap_or_else(|error| panic!("{name}: {error}"));
        let found = format!("canonical: {callout}\n{}", limits_text(&limits));
        assert_eq!(found, expected_text(&path), "{name}");
        assert_eq!(parse_callout(&callout.to_string()), Ok(callout), "{name}");
    }
}

fn fault_of(text: &str, context: &Context<'_>) -> Option<CalloutError> {
    limits_of(text, context).err()
}

#[test]
fn every_invalid_callout_is_refused_with_the_words_beside_it() {
    let mut wrong = Vec::new();
    for path in case_files("invalid") {
        let (text, context) = read_case(&path);
        let Some(error) = fault_of(&text, &context) else {
            wrong.push(format!("{} was taken", path.display()));
            continue;
        };
        let found = format!(
            "code: {}\n{error}\n{}{}",
            error.code(),
            error
                .hint()
                .map(|hint| format!("hint: {hint}\n"))
                .unwrap_or_default(),
            render_caret(&error)
                .map(|lines| format!("{lines}\n"))
                .unwrap_or_default(),
        );
        let expected = expected_text(&path);
        if found != expected {
            let name = path.display();
            wrong.push(format!("{name}, expected:\n{expected}found:\n{found}"));
        }
    }
    assert!(wrong.is_empty(), "{}", wrong.join("\n"));
}

#[test]
fn no_expected_text_is_without_its_case() {
    for folder in ["valid", "invalid"] {
        let cases = case_files(folder).len();
        let path = Path::new(env!("CARGO_MANIFEST_DIR"))
            .join("tests/callouts")
            .join(folder);
        assert_eq!(fs::read_dir(path).unwrap().count(), 2 * cases, "{folder}");
    }
}

fn lengths(unit: LengthUnit) -> impl Strategy<Value = Length> {
    // Whole steps of 127 nm are what decimal inches can write; millimetres write every one.
    let step = match unit {
        LengthUnit::Millimetre => 1,
        LengthUnit::Inch => 127,
    };
    prop_oneof![
        (0_i64..40_000_000).prop_map(move |count| Length::from_nm(count * step)),
        (0_i64..40_000).prop_map(move |count| Length::from_nm(count * 1_000 * step)),
    ]
}

fn angles() -> impl Strategy<Value = Angle> {
    prop_oneof![
        (0_i64..324_000_000).prop_map(Angle::from_mas),
        (0_i64..5_400).prop_map(Angle::from_minutes),
    ]
}

/// Indications of a non-negative quantity.
fn indications<Q>(values: impl Strategy<Value = Q> + Clone) -> impl Strategy<Value = Indication<Q>>
where
    Q: Exact + std::ops::Neg<Output = Q> + 'static,
{
    let signed = (values.clone(), any::<bool>()).prop_map(
        |(value, minus)| {
            if minus { -value } else { value }
        },
    );
    let pair =
        (signed.clone(), signed.clone()).prop_map(|(one, other)| (one.min(other), one.max(other)));
    prop_oneof![
        values
            .clone()
            .prop_map(|nominal| Indication::Bare { nominal }),
        (values.clone(), pair.clone()).prop_map(|(nominal, (lower, upper))| {
            Indication::Deviations {
                nominal,
                upper,
                lower,
            }
        }),
        (values.clone(), values.clone()).prop_map(|(nominal, upper)| {
            Indication::Deviations {
                nominal,
                upper,
                lower: -upper,
            }
        }),
        values
            .clone()
            .prop_map(|limit| Indication::Maximum { limit }),
        values.prop_map(|limit| Indication::Minimum { limit }),
        pair.prop_map(|(low, high)| {
            Indication::Limits {
                lower: Some(low),
                upper: Some(high),
            }
        }),
        signed.clone().prop_map(|low| Indication::Limits {
            lower: Some(low),
            upper: None
        }),
        signed.prop_map(|high| Indication::Limits {
            lower: None,
            upper: Some(high)
        }),
    ]
}

fn classes() -> impl Strategy<Value = ToleranceClass> {
    let letters: Vec<Letter> = Letter::all().collect();
    let grades: Vec<Grade> = Grade::all().collect();
    (prop::sample::select(letters), prop::sample::select(grades))
        .prop_map(|(letter, grade)| ToleranceClass::new(letter, grade))
}

fn callouts_in(unit: LengthUnit) -> impl Strategy<Value = Callout> {
    let form = prop_oneof![
        indications(lengths(unit).boxed()).prop_map(SizeForm::Indicated),
        (lengths(unit), classes()).prop_map(|(nominal, class)| SizeForm::Class { nominal, class }),
    ];
    let size = (form, any::<bool>(), any::<bool>()).prop_map(move |(form, diameter, envelope)| {
        Callout::Size(SizeCallout {
            form,
            unit,
            diameter,
            envelope,
        })
    });
    let fit = (lengths(unit), classes(), classes(), any::<bool>())
        .prop_filter("a hole and a shaft", |(_, hole, shaft, _)| {
            hole.kind() != shaft.kind()
        })
        .prop_map(move |(nominal, one, other, diameter)| {
            let holes_first = one.kind() == fitledger::tolerance::ClassKind::Hole;
            let (hole, shaft) = if holes_first {
                (one, other)
            } else {
                (other, one)
            };
            Callout::Fit(FitCallout {
                nominal,
                hole,
                shaft,
                unit,
                diameter,
            })
        });
    let angle = indications(angles().boxed())
        .prop_map(|indication| Callout::Angle(AngleCallout { indication }));
    let edge_kind = prop_oneof![
        Just(EdgeKind::Radius),
        (1_i64..323_999_999).prop_map(|mas| EdgeKind::Chamfer {
            angle: Angle::from_mas(mas)
        }),
    ];
    let edge = (edge_kind, indications(lengths(unit).boxed()))
        .prop_filter("edges have a nominal", |(_, form)| form.nominal().is_some())
        .prop_map(move |(kind, indication)| {
            Callout::Edge(EdgeCallout {
                kind,
                indication,
                unit,
            })
        });
    prop_oneof![size, fit, angle, edge]
}

fn callouts() -> impl Strategy<Value = Callout> {
    prop_oneof![
        callouts_in(LengthUnit::Millimetre),
        callouts_in(LengthUnit::Inch)
    ]
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn a_callout_survives_its_canonical_text(callout in callouts()) {
        let text = callout.to_string();
        // Two empty positions in an inch text without a number cannot carry the unit.
        prop_assert_eq!(parse_callout(&text), Ok(callout), "{}", text);
    }

    #[test]
    fn limits_are_in_order_and_explain_themselves(callout in callouts()) {
        let context = Context::standard()
            .general(GeneralClass::Medium)
            .shorter_side(Length::from_mm(40));
        if let Ok(limits) = callout.limits(&context) {
            let (lower, upper) = match &limits {
                CalloutLimits::Size(size) => as_units(&size.limits),
                CalloutLimits::Fit(fit) => as_units(&fit.hole().limits),
                CalloutLimits::Angle(angle) => as_units(&angle.limits),
                CalloutLimits::Thread(thread) => as_units(&thread.pitch),
                CalloutLimits::ThreadFit(fit) => as_units(&fit.internal.pitch),
            };
            prop_assert!(lower.is_none() || upper.is_none() || lower <= upper);
            prop_assert!(!limits.explain(&context).is_empty());
        }
    }

    #[test]
    fn no_text_breaks_the_reading(text in any::<String>()) {
        let _ = fault_of(&text, &Context::standard());
    }

    #[test]
    fn no_text_of_callout_characters_breaks_the_reading(
        text in "[ 0-9.,+±°'\"/xX×*MmRrHhGgeEjJsSNLPkpinazAZØⒺ()−–-]{0,24}"
    ) {
        let context = Context::standard().general(GeneralClass::Coarse);
        if let Some(error) = fault_of(&text, &context) {
            prop_assert!(!error.to_string().is_empty() && !error.code().is_empty());
            if let Some(place) = error.place() {
                prop_assert!(place.at <= text.chars().count());
            }
            let _ = render_caret(&error);
        } else {
            let read = parse_callout(&text);
            let again = read.as_ref().map(|callout| parse_callout(&callout.to_string()));
            prop_assert_eq!(again, Ok(read.clone()));
        }
    }
}

fn as_units<Q: Exact>(limits: &Limits<Q>) -> (Option<i64>, Option<i64>) {
    (
        limits.lower().map(Exact::units),
        limits.upper().map(Exact::units),
    )
}

#[test]
fn the_caret_stands_under_the_fault_behind_wide_and_multi_byte_characters() {
    let caret = |text| {
        let error = limits_of(text, &Context::standard()).unwrap_err();
        render_caret(&error)
            .unwrap()
            .lines()
            .nth(1)
            .unwrap()
            .to_owned()
    };
    // U+3000 is a blank of two columns; Ø, ⌀ and the minus sign have several bytes, one column.
    assert_eq!(caret("25\u{3000}q6"), "    ^");
    assert_eq!(caret("⌀25 H7 漢"), "       ^");
    assert_eq!(caret("Ø12 +0,1/−0,02 q"), "               ^");
    assert_eq!(caret("Ø25 J9"), "    ^");
    assert_eq!(caret("Ø60 H7/cd7"), "       ^");
}

#[test]
fn a_long_text_is_refused_before_it_is_read() {
    let error = parse_callout(&"9".repeat(100_000)).unwrap_err();
    assert_eq!(error.code(), "too_long");
}

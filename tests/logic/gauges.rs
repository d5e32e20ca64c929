//! The gauge register: files, assumed errors, dates.

use std::fmt::Write as _;
use std::path::{Path, PathBuf};

use fitledger::gauge::{
    Basis, Due, Faces, Gauge, GaugeId, GaugeReads, PortPlace, Register, StatedError,
};
use fitledger::quantity::Length;
use proptest::prelude::{Strategy, any, prop};
use proptest::{prop_assert, prop_assert_eq, proptest};

use crate::support::{cases, expected_beside, label};

fn folder(kind: &str) -> PathBuf {
    Path::new(env!("CARGO_MANIFEST_DIR"))
        .join("tests/gauges")
        .join(kind)
}

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

#[test]
fn valid_registers_give_the_gauges_written_beside_them() {
    for (path, text) in cases(&folder("valid")) {
        let register = Register::parse(&text, &label(&path)).unwrap_or_else(|errors| {
            panic!("{}: {}", path.display(), errors[0]);
        });
        let described: String = register.gauges().iter().map(described).collect();
        assert_eq!(described, expected_beside(&path), "{}", path.display());
    }
}

#[test]
fn invalid_registers_are_refused_with_every_problem_pointed_at() {
    for (path, text) in cases(&folder("invalid")) {
        let errors = Register::parse(&text, &label(&path))
            .err()
            .unwrap_or_else(|| panic!("{} was accepted", path.display()));
        let report: String = errors
            .iter()
            .map(|error| format!("{error}\n[{}]\n\n", error.code()))
            .collect();
        assert_eq!(report, expected_beside(&path), "{}", path.display());
    }
}

/// One line of everything that the register says of a gauge.
fn described(gauge: &Gauge) -> String {
    let mut line = format!("{}: {}", gauge.id, gauge.kind.word());
    if let Some((lower, upper)) = gauge.range {
        let unit = gauge.unit;
        write!(
            line,
            " {}..{}",
            lower.to_text(unit, 0),
            upper.to_text(unit, 0)
        )
        .unwrap();
    }
    write!(line, " {}", gauge.unit.symbol()).unwrap();
    gauge
        .resolution
        .iter()
        .for_each(|step| write!(line, " step {step}").unwrap());
    match &gauge.error {
        StatedError::NotStated => {}
        StatedError::Mpe(mpe) => write!(line, " error {mpe}").unwrap(),
        StatedError::Calibration(stated) => {
            write!(
                line,
                " U {} k {}",
                stated.expanded_uncertainty(),
                stated.coverage_factor()
            )
            .unwrap();
            if !stated.bias_points().is_empty() {
                line.push_str(" bias");
            }
            for point in stated.bias_points() {
                let (size, bias) = (point.at, point.bias);
                write!(line, " {size}:{bias}").unwrap();
            }
        }
    }
    match &gauge.reads {
        GaugeReads::Size => line.push_str(" reads size"),
        GaugeReads::Deviation { set_on, set_size } => {
            write!(line, " reads deviation from {set_size} of {set_on}").unwrap();
        }
    }
    gauge
        .repeatability
        .iter()
        .for_each(|s| write!(line, " s_r {s}").unwrap());
    gauge
        .repeatability_readings
        .iter()
        .for_each(|n| write!(line, " of {n}").unwrap());
    gauge
        .repeatability_on
        .iter()
        .for_each(|on| write!(line, " on {on}").unwrap());
    line.push_str(&described_links(gauge));
    gauge
        .due
        .iter()
        .for_each(|due| write!(line, " due {due}").unwrap());
    if let Some(port) = &gauge.port {
        match &port.place {
            PortPlace::Usb {
                vendor,
                product,
                serial,
            } => {
                write!(line, " usb {vendor:04x}:{product:04x}").unwrap();
                serial
                    .iter()
                    .for_each(|serial| write!(line, ":{serial}").unwrap());
            }
            PortPlace::Path(path) => write!(line, " path {path}").unwrap(),
        }
        port.adapter
            .iter()
            .for_each(|name| write!(line, " adapter {name}").unwrap());
        port.frame_id
            .iter()
            .for_each(|id| write!(line, " id {id}").unwrap());
    }
    let angular = gauge.angular;
    if let Some((lower, upper)) = angular.range {
        write!(line, " angles {lower}..{upper}").unwrap();
    }
    angular
        .resolution
        .iter()
        .for_each(|a| write!(line, " step {}", a.as_mas()).unwrap());
    angular
        .mpe
        .iter()
        .for_each(|a| write!(line, " error {}", a.as_mas()).unwrap());
    line + "\n"
}

/// Certificate, zero check, and what it says of other gauges.
fn described_links(gauge: &Gauge) -> String {
    let mut line = String::new();
    let mut add = |word: &str, value: Option<String>| {
        value
            .iter()
            .for_each(|value| write!(line, " {word} {value}").unwrap());
    };
    add("serial", gauge.serial.clone());
    add("made of", gauge.made_of.clone());
    add("calibrated", gauge.calibrated.map(|day| day.to_string()));
    add("certificate", gauge.certificate.clone());
    if let Some(zero) = &gauge.zero_check {
        add(
            "zero every",
            zero.every_hours.map(|hours| hours.to_string()),
        );
        add("within", zero.bound.map(|bound| bound.to_string()));
        add("on", zero.on.as_ref().map(ToString::to_string));
    }
    add("read by", gauge.read_by.as_ref().map(ToString::to_string));
    add("for", gauge.callout.clone());
    add(
        "method",
        gauge.method.map(|method| method.word().to_owned()),
    );
    add("end", gauge.end.map(|end| end.word().to_owned()));
    line
}

fn gauge_of(entry: &str) -> Gauge {
    let text = format!("[[gauge]]\nid = \"g\"\n{entry}\n");
    let register = Register::parse(&text, "test").unwrap_or_else(|e| panic!("{}", e[0]));
    register.gauges()[0].clone()
}

/// Published: DIN 863-1 and DIN 862 limits as in the rows of tolerances/gauges; the rows were
/// copied from a public one-page summary, so these values are read from it by hand.
#[test]
fn an_absent_error_is_assumed_by_kind_range_and_step_and_says_so() {
    const MIC: &str = "kind = \"outside_micrometer\"\nrange =";
    for (entry, size, faces, um, basis) in [
        (
            format!("{MIC} [0, 25]"),
            "3",
            Faces::Outside,
            4,
            Basis::Published,
        ),
        (
            format!("{MIC} [50, 75]"),
            "51",
            Faces::Outside,
            5,
            Basis::Published,
        ),
        (
            format!("{MIC} [0, 100]"), // one frame with rods: the instrument's row, not the size's
            "20",
            Faces::Outside,
            5,
            Basis::Published,
        ),
        (
            format!("{MIC} [475, 500]"),
            "476",
            Faces::Outside,
            13,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"".into(),
            "0",
            Faces::Outside,
            20,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"".into(),
            "99",
            Faces::Outside,
            20,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"".into(),
            "101",
            Faces::Outside,
            30,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"".into(),
            "99",
            Faces::Inside,
            40,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"".into(),
            "101",
            Faces::Depth,
            50,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"\nresolution = 0.02".into(),
            "99",
            Faces::Outside,
            20,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"\nresolution = 0.05".into(),
            "99",
            Faces::Outside,
            50,
            Basis::Published,
        ),
        (
            "kind = \"caliper\"\nresolution = 0.1".into(),
            "450",
            Faces::Outside,
            70,
            Basis::Published,
        ),
        // chosen here, no source
        (
            "kind = \"depth_micrometer\"\nrange = [0, 25]".into(),
            "9",
            Faces::Depth,
            8,
            Basis::Chosen,
        ),
        (
            "kind = \"height_gauge\"".into(),
            "99",
            Faces::Outside,
            40,
            Basis::Chosen,
        ),
    ] {
        let gauge = gauge_of(&entry);
        let known = gauge.permissible_error(mm(size), faces).unwrap();
        assert_eq!(known.value(), Length::from_um(um), "{entry} at {size}");
        let fitledger::gauge::Known::Assumed(assumed) = &known else {
            panic!("{entry}: not marked as assumed");
        };
        assert_eq!(assumed.basis, basis, "{entry}");
        assert!(!assumed.source.is_empty());
        let error = gauge.error_at(mm(size), faces).unwrap();
        assert_eq!(error.mpe, Some(Length::from_um(um)));
    }
}

#[test]
fn where_no_table_has_a_row_the_error_is_not_known() {
    for (entry, size) in [
        ("kind = \"indicator\"", "1"),
        ("kind = \"bore_gauge\"", "20"),
        ("kind = \"plain_plug\"", "20"),
        ("kind = \"caliper\"\nresolution = 0.5", "20"),
        ("kind = \"caliper\"\nrange = [0, 2000]", "1500"),
        ("kind = \"outside_micrometer\"\nrange = [500, 600]", "510"),
    ] {
        let gauge = gauge_of(entry);
        assert_eq!(
            gauge.permissible_error(mm(size), Faces::Outside),
            None,
            "{entry}"
        );
        assert!(
            gauge.error_at(mm(size), Faces::Outside).is_none(),
            "{entry}"
        );
    }
}

#[test]
fn a_stated_error_or_calibration_stands_instead_of_the_assumption() {
    let stated = gauge_of("kind = \"caliper\"\nmpe = 0.025");
    let known = stated.permissible_error(mm("300"), Faces::Inside).unwrap();
    assert_eq!((known.value(), known.is_assumed()), (mm("0.025"), false));
    let calibrated = gauge_of("kind = \"caliper\"\ncalibration = { U = 0.02, k = 2 }");
    assert_eq!(calibrated.permissible_error(mm("300"), Faces::Inside), None);
    let error = calibrated.error_at(mm("300"), Faces::Inside).unwrap();
    assert_eq!(error.mpe, None);
    assert_eq!(
        error.calibration.unwrap().expanded_uncertainty(),
        mm("0.02")
    );
}

#[test]
fn a_comparator_adds_its_deviation_to_the_size_that_it_was_set_on() {
    let register = Register::demo();
    let gauge = register.gauge(&GaugeId::new("bore-6")).unwrap();
    assert_eq!(gauge.size_of(mm("-0.004")), mm("5.999"));
    let mic = register.gauge(&GaugeId::new("mic-25")).unwrap();
    assert_eq!(mic.size_of(mm("19.99")), mm("19.99"));
    assert!(mic.is_thimble() && !gauge.is_thimble());
    assert!(mic.covers(mm("25")) && !mic.covers(mm("25.001")));
    let day = fitledger::gauge::Date::parse("2027-03-04").unwrap();
    assert_eq!(mic.due_on(day), Due::Overdue { days_over: 3 });
}

/// Plausible pieces of a register in any order, so that arbitrary text reaches deep.
fn scrambled() -> impl Strategy<Value = String> {
    let piece = prop::sample::select(vec![
        "[[gauge]]\n",
        "[gauge]\n",
        "[gauge.port]\n",
        "id = ",
        "kind = ",
        "range = ",
        "mpe = ",
        "calibration = ",
        "due = ",
        "port = ",
        "usb = ",
        "bias = ",
        "U = ",
        "k = ",
        "set_on = ",
        "reads = ",
        "unit = ",
        "\"deviation\"",
        "\"caliper\"",
        "\"protractor\"",
        "\"in\"",
        "\"a\"",
        "\n",
        "\n",
        "\n",
        "[",
        "]",
        "{",
        "}",
        ",",
        "0.001",
        "-1",
        "1e400",
        "inf",
        "0x",
        "\"",
        "'",
        "\"\"\"",
        "\\u00d8",
        "Ø",
        "2027-03-01",
        "\u{feff}",
        "\r\n",
        "#",
        "=",
        ".",
        "[[0, 0.0], [25, 0.001]]",
        "99999999999999999999999999999999999999",
    ]);
    prop::collection::vec(piece, 0..40).prop_map(|pieces| pieces.concat())
}

proptest! {
    #[test]
    fn no_text_makes_the_register_panic(text in any::<String>(), pieces in scrambled()) {
        for text in [text, pieces] {
            if let Err(errors) = Register::parse(&text, "f") {
                prop_assert!(!errors.is_empty());
                for error in errors {
                    prop_assert!(error.place().line >= 1 && error.place().column >= 1);
                    prop_assert!(error.to_string().lines().count() >= 4);
                }
            }
        }
    }

    /// Definition: 1 mm is 1 000 000 nm, so the digits are the count.
    #[test]
    fn a_number_in_the_file_is_exact_to_the_nanometre(nm in 1_i64..=1_000_000) {
        let text = format!("{}.{:06}", nm / 1_000_000, nm % 1_000_000);
        for entry in [format!("mpe = {text}"), format!("mpe = \"{text}\"")] {
            let gauge = gauge_of(&format!("kind = \"caliper\"\n{entry}"));
            prop_assert_eq!(gauge.error, StatedError::Mpe(Length::from_nm(nm)));
        }
    }
}

#[test]
fn what_is_not_shown_is_counted_one_or_many() {
    let last = |wrong: usize| {
        let keys: String = (0..wrong).map(|at| format!("wrong{at} = 1\n")).collect();
        let text = format!("[[gauge]]\nid = \"a\"\nkind = \"caliper\"\n{keys}");
        let errors = Register::parse(&text, "f").unwrap_err();
        (errors.len(), errors.last().unwrap().problem().to_string())
    };
    assert_eq!(last(21), (21, "1 more problem is not shown.".to_owned()));
    assert_eq!(last(22), (21, "2 more problems are not shown.".to_owned()));
}

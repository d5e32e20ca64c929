//! Digital Calibration Certificates: what is taken, what is left to the person, what is refused.
//!
//! `minimal_micrometer.xml` is own work with invented values, valid by the published schema 3.2.1
//! (checked with a schema validator). Expected numbers are those that stand in the file.

use fitledger::gauge::{Certificate, CertificateProblem, Choice, ChoiceProblem, Date, Role, Taken};
use fitledger::quantity::Length;

const MINIMAL: &str = include_str!("../gauges/certificates/minimal_micrometer.xml");

fn choice(table: usize, at: usize, error: usize) -> Choice {
    Choice {
        table: Some(table),
        at: Some(at),
        error: Some(error),
    }
}

/// A certificate around the data of one result.
fn around(data: &str) -> String {
    format!(
        "<digitalCalibrationCertificate schemaVersion=\"3.3.0\"><measurementResults>\
         <measurementResult><results><result><data>{data}</data></result></results>\
         </measurementResult></measurementResults></digitalCalibrationCertificate>"
    )
}

/// A list with a nominal column in millimetres and an error column of this content.
fn with_error(error: &str) -> String {
    around(&format!(
        "<list><quantity refType=\"basic_nominalValue\"><realListXMLList>\
         <valueXMLList>5 10</valueXMLList><unitXMLList>\\milli\\metre</unitXMLList>\
         </realListXMLList></quantity><quantity refType=\"basic_measurementError\">{error}\
         </quantity></list>"
    ))
}

fn taken(text: &str) -> Result<Taken, ChoiceProblem> {
    Certificate::parse(text)
        .unwrap_or_else(|error| panic!("{error}"))
        .take(Choice::default())
}

fn refused(text: &str) -> CertificateProblem {
    Certificate::parse(text)
        .err()
        .unwrap_or_else(|| panic!("accepted: {}", &text[..text.len().min(200)]))
        .problem
}

#[test]
fn identity_dates_and_conditions_are_read() {
    let found = Certificate::parse(MINIMAL).unwrap();
    assert_eq!(found.version.as_deref(), Some("3.2.1"));
    assert_eq!(found.number.as_deref(), Some("EXAMPLE-MIC-2025-0001"));
    assert_eq!(found.performed, Date::new(2025, 9, 1));
    assert_eq!(found.issued, Date::new(2025, 9, 2));
    assert_eq!(found.laboratory.as_deref(), Some("Example Laboratory"));
    assert_eq!(found.serials(), ["EX-0001"]);
    assert!(!found.is_signed);
    let condition = &found.conditions[0];
    assert_eq!(condition.name, "Air temperature");
    assert_eq!(
        (condition.value.as_str(), condition.unit.as_str()),
        ("20.1", "\\degreecelsius")
    );
    assert_eq!(condition.uncertainty.as_deref(), Some("0.3"));
}

#[test]
fn the_clear_columns_give_bias_and_uncertainty_exactly() {
    let found = Certificate::parse(MINIMAL).unwrap();
    assert_eq!(found.tables.len(), 2);
    let roles: Vec<Role> = found.tables[0]
        .columns
        .iter()
        .map(|one| one.role())
        .collect();
    assert_eq!(roles, [Role::Nominal, Role::Error]);
    let taken = found.take(Choice::default()).unwrap();
    assert_eq!(
        (taken.chosen.table, taken.chosen.at, taken.chosen.error),
        (1, 1, 2)
    );
    assert_eq!(
        taken.calibration.expanded_uncertainty(),
        Length::from_nm(1_500)
    );
    assert_eq!(taken.coverage_factor.to_string(), "2");
    assert!(!taken.is_largest_of_several);
    let nominal = [
        2_500, 5_100, 7_700, 10_300, 12_900, 15_000, 17_600, 20_200, 22_800, 25_000,
    ];
    let errors = [0, 1, 1, 0, -1, 1, 2, 1, 1, 2];
    let points = taken.calibration.bias_points();
    assert_eq!(points.len(), 10);
    for ((point, nominal), error) in points.iter().zip(nominal).zip(errors) {
        assert_eq!(point.bias, Length::from_um(error));
        // What the gauge showed: the length of the block and the error found on it.
        assert_eq!(point.at, Length::from_um(nominal + error));
    }
}

#[test]
fn names_that_leave_it_open_are_left_to_the_person() {
    // A deviation is an error for one laboratory and its opposite for another.
    for name in [
        "Deviation",
        "Correction",
        "Maximum permissible error",
        "Error limit",
    ] {
        let text = MINIMAL.replace(
            "Error of indication</dcc:content></dcc:name>\n                \
                                    <si:realListXMLList>",
            &format!("{name}</dcc:content></dcc:name>\n                <si:realListXMLList>"),
        );
        assert_ne!(text, MINIMAL, "the fixture changed its form");
        let found = Certificate::parse(&text).unwrap();
        assert_eq!(
            found.take(Choice::default()).unwrap_err(),
            ChoiceProblem::NotClear
        );
        assert_eq!(
            found
                .take(choice(1, 1, 2))
                .unwrap()
                .calibration
                .bias_points()
                .len(),
            10
        );
    }
    // Two columns of errors, as at two places of the spindle: which counts is not said.
    let second = "<quantity refType=\"basic_measurementError\"><realListXMLList>\
                  <valueXMLList>0 0</valueXMLList><unitXMLList>\\milli\\metre</unitXMLList>\
                  </realListXMLList></quantity></list>";
    let list = "<realListXMLList><valueXMLList>0 1</valueXMLList><unitXMLList>\\micro\\metre\
                </unitXMLList></realListXMLList>";
    let two = with_error(list).replace("</list>", second);
    assert_eq!(taken(&two), Err(ChoiceProblem::NotClear));
}

#[test]
fn columns_that_do_not_exist_are_named() {
    let found = Certificate::parse(MINIMAL).unwrap();
    let of = |table, at, error| found.take(choice(table, at, error)).unwrap_err();
    assert_eq!(
        of(3, 1, 2),
        ChoiceProblem::NoSuchTable {
            found: 3,
            tables: 2
        }
    );
    assert_eq!(
        of(0, 1, 2),
        ChoiceProblem::NoSuchTable {
            found: 0,
            tables: 2
        }
    );
    assert_eq!(
        of(1, 1, 3),
        ChoiceProblem::NoSuchColumn {
            found: 3,
            columns: 2
        }
    );
    assert_eq!(
        of(1, 0, 2),
        ChoiceProblem::NoSuchColumn {
            found: 0,
            columns: 2
        }
    );
    assert_eq!(of(1, 2, 2), ChoiceProblem::SameColumn);
    // Sizes are no errors: the columns were pointed at the wrong way round.
    let found = "2.5".to_owned();
    assert_eq!(of(1, 2, 1), ChoiceProblem::OutOfRange { found });
}

#[test]
fn the_largest_standard_uncertainty_counts_where_there_are_several() {
    let list = |expanded: &str, factor: &str| {
        with_error(&format!(
            "<realListXMLList><valueXMLList>0 1</valueXMLList><unitXMLList>\\micro\\metre\
             </unitXMLList><expandedUncXMLList><uncertaintyXMLList>{expanded}</uncertaintyXMLList>\
             <coverageFactorXMLList>{factor}</coverageFactorXMLList></expandedUncXMLList>\
             </realListXMLList>"
        ))
    };
    let of = |text: &str| {
        let taken = taken(text).unwrap();
        let expanded = taken.calibration.expanded_uncertainty().as_nm();
        (
            expanded,
            taken.coverage_factor.to_string(),
            taken.is_largest_of_several,
        )
    };
    assert_eq!(of(&list("1.5 2.5", "2")), (2_500, "2".to_owned(), true));
    // 2.4 / 3 is less than 2 / 2: the larger U is not the larger uncertainty.
    assert_eq!(
        of(&list("2.4 2", "3 2.00")),
        (2_000, "2.00".to_owned(), true)
    );
    assert_eq!(of(&list("1.5", "2")), (1_500, "2".to_owned(), false));
    assert_eq!(
        taken(&list("1.5 1.5 1.5", "2")),
        Err(ChoiceProblem::NoUncertainty { column: 2 })
    );
    let factor = |found: &str| {
        Err(ChoiceProblem::CoverageFactor {
            found: found.to_owned(),
        })
    };
    assert_eq!(taken(&list("1.5", "0.5")), factor("0.5"));
    assert_eq!(taken(&list("1.5", "20")), factor("20"));
    let out = |found: &str| {
        Err(ChoiceProblem::OutOfRange {
            found: found.to_owned(),
        })
    };
    assert_eq!(taken(&list("0", "2")), out("0"));
    assert_eq!(taken(&list("1500", "2")), out("1.5"));
}

#[test]
fn the_newer_names_of_uncertainty_mean_the_same() {
    let newer = "<realListXMLList><valueXMLList>0 1</valueXMLList><unitXMLList>\\micro\\metre\
         </unitXMLList><measurementUncertaintyUnivariateXMLList><expandedMUXMLList>\
         <valueExpandedMUXMLList>1.5</valueExpandedMUXMLList><coverageFactorXMLList>2\
         </coverageFactorXMLList></expandedMUXMLList></measurementUncertaintyUnivariateXMLList>\
         </realListXMLList>";
    let newer = taken(&with_error(newer)).unwrap();
    assert_eq!(
        newer.calibration.expanded_uncertainty(),
        Length::from_nm(1_500)
    );
    assert_eq!(newer.coverage_factor.to_string(), "2");
    let standard = "<realListXMLList><valueXMLList>0 1</valueXMLList><unitXMLList>\\micro\\metre\
         </unitXMLList><measurementUncertaintyUnivariateXMLList><standardMUXMLList>\
         <valueStandardMUXMLList>0.75</valueStandardMUXMLList></standardMUXMLList>\
         </measurementUncertaintyUnivariateXMLList></realListXMLList>";
    let standard = taken(&with_error(standard)).unwrap();
    assert_eq!(
        standard.calibration.expanded_uncertainty(),
        Length::from_nm(750)
    );
    assert_eq!(standard.coverage_factor.to_string(), "1");
}

#[test]
fn older_lists_rows_and_several_units_read_alike() {
    let real = |value: &str, unit: &str| {
        format!(
            "<real><value>{value}</value><unit>{unit}</unit><expandedUnc><uncertainty>1.5\
             </uncertainty><coverageFactor>2</coverageFactor></expandedUnc></real>"
        )
    };
    let micro = "\\micro\\metre";
    let older = format!("<list>{}{}</list>", real("0", micro), real("1", micro));
    let rows: String = [("5", "0"), ("10", "1")]
        .iter()
        .map(|(size, error)| {
            format!(
                "<list><quantity><name><content>Nominal value</content></name><real><value>{size}\
                 </value><unit>\\milli\\metre</unit></real></quantity><quantity><name><content>\
                 Error</content></name>{}</quantity></list>",
                real(error, micro)
            )
        })
        .collect();
    let hybrid = "<hybrid><realListXMLList><valueXMLList>0 39.4</valueXMLList><unitXMLList>\
         \\micro\\inch</unitXMLList></realListXMLList><realListXMLList><valueXMLList>0 1\
         </valueXMLList><unitXMLList>\\micro\\metre</unitXMLList><expandedUncXMLList>\
         <uncertaintyXMLList>1.5</uncertaintyXMLList><coverageFactorXMLList>2\
         </coverageFactorXMLList></expandedUncXMLList></realListXMLList></hybrid>";
    let texts = [
        with_error(&older),
        around(&format!("<list>{rows}</list>")),
        with_error(hybrid),
        with_error(&older).replace("3.3.0", "2.4.0"),
    ];
    for text in texts {
        let taken = taken(&text).unwrap_or_else(|problem| panic!("{problem}: {text}"));
        let points = taken.calibration.bias_points();
        let points: Vec<(i64, i64)> = points
            .iter()
            .map(|point| (point.at.as_nm(), point.bias.as_nm()))
            .collect();
        assert_eq!(points, [(5_000_000, 0), (10_001_000, 1_000)], "{text}");
        assert_eq!(
            taken.calibration.expanded_uncertainty(),
            Length::from_nm(1_500)
        );
    }
}

/// Rows and older lists hold one value each: what one of them lacks is not its neighbour's.
#[test]
fn a_value_without_a_unit_or_uncertainty_of_its_own_gets_no_other_s() {
    let micro = "\\micro\\metre";
    let real = |unit: &str, expanded: &str| {
        let unit = format!("<unit>{unit}</unit>");
        let stated = "<expandedUnc><uncertainty>E</uncertainty><coverageFactor>2</coverageFactor>\
                      </expandedUnc>";
        let stated = match expanded {
            "" => String::new(),
            _ => stated.replace('E', expanded),
        };
        format!("<real><value>1</value>{unit}{stated}</real>")
    };
    let list = |second: &str| format!("<list>{}{second}</list>", real(micro, "1.5"));
    let row = |size: &str, error: &str| {
        format!(
            "<list><quantity><name><content>Nominal value</content></name><real><value>{size}\
             </value><unit>\\milli\\metre</unit></real></quantity><quantity><name><content>\
             Error</content></name>{error}</quantity></list>"
        )
    };
    let rows = |second: &str| {
        let first = row("5", &real(micro, "1.5"));
        around(&format!("<list>{first}{}</list>", row("10", second)))
    };
    for second in [real("", "1.5"), real(&format!("{micro} {micro}"), "1.5")] {
        for text in [with_error(&list(&second)), rows(&second)] {
            let found = taken(&text);
            let is_unit = matches!(found, Err(ChoiceProblem::Unit { column: 2, .. }));
            assert!(is_unit, "{found:?} {text}");
        }
    }
    for second in [real(micro, ""), real(micro, "1.5 1.5"), real(micro, " ")] {
        let found = taken(&with_error(&list(&second)));
        assert_eq!(found, Err(ChoiceProblem::NoUncertainty { column: 2 }));
    }
    for second in [real(micro, "1.5 1.5"), real(micro, " ")] {
        let found = taken(&rows(&second));
        assert_eq!(found, Err(ChoiceProblem::NoUncertainty { column: 2 }));
    }
}

#[test]
fn what_is_not_exact_or_not_known_is_refused() {
    let list = |value: &str, unit: &str| {
        with_error(&format!(
            "<realListXMLList><valueXMLList>0 {value}</valueXMLList><unitXMLList>{unit}\
             </unitXMLList><expandedUncXMLList><uncertaintyXMLList>1</uncertaintyXMLList>\
             <coverageFactorXMLList>2</coverageFactorXMLList></expandedUncXMLList>\
             </realListXMLList>"
        ))
    };
    let found = |problem: Result<Taken, ChoiceProblem>| problem.unwrap_err();
    let micro = "\\micro\\metre";
    assert!(matches!(
        found(taken(&list("0.0005", micro))),
        ChoiceProblem::NotExact { column: 2, .. }
    ));
    assert!(matches!(
        found(taken(&list("about 1", micro))),
        ChoiceProblem::DifferentLength
    ));
    assert!(matches!(
        found(taken(&list("1,5", micro))),
        ChoiceProblem::Number { column: 2, .. }
    ));
    // A unit that is not known is no column of lengths, and a pointed one is refused by name.
    let strange = Certificate::parse(&list("1", "\\inch")).unwrap();
    assert_eq!(
        strange.take(Choice::default()),
        Err(ChoiceProblem::NotClear)
    );
    let unit = ChoiceProblem::Unit {
        column: 2,
        found: "\\inch".to_owned(),
    };
    assert_eq!(strange.take(choice(1, 1, 2)), Err(unit));
    let same = list("1", micro)
        .replace("5 10", "5 5")
        .replace("0 1<", "1 1<");
    assert!(matches!(
        found(taken(&same)),
        ChoiceProblem::SamePoint { .. }
    ));
    assert_eq!(taken(&around("")), Err(ChoiceProblem::NoTable));
}

#[test]
fn the_laboratorys_statement_and_a_signature_are_told_but_not_judged() {
    let text = around("").replace(
        "</data>",
        "</data><measurementMetaData><metaData><declaration><content>DIN 863</content>\
         </declaration><conformity>fail</conformity></metaData></measurementMetaData>",
    );
    let text = text.replace(
        "</digitalCalibrationCertificate>",
        "<ds:Signature xmlns:ds=\"x\"/></digitalCalibrationCertificate>",
    );
    let found = Certificate::parse(&text).unwrap();
    assert!(found.is_signed);
    assert_eq!(found.conformity[0].word, "fail");
    assert_eq!(found.conformity[0].about.as_deref(), Some("DIN 863"));
    assert!(!found.conformity[0].is_pass());
}

#[test]
fn hostile_files_are_refused_before_they_grow() {
    // An entity within an entity, ten times over: ten to the ninth letters if it were expanded.
    let mut laughs = String::from("<!DOCTYPE x [<!ENTITY a0 \"ha\">");
    for n in 1..10 {
        let inner = format!("&a{};", n - 1).repeat(10);
        laughs.push_str(&format!("<!ENTITY a{n} \"{inner}\">"));
    }
    laughs.push_str("]><digitalCalibrationCertificate>&a9;</digitalCalibrationCertificate>");
    assert_eq!(refused(&laughs), CertificateProblem::DocumentType);
    let outside = "<!DOCTYPE x SYSTEM \"file:///etc/hostname\"><digitalCalibrationCertificate/>";
    assert_eq!(refused(outside), CertificateProblem::DocumentType);
    let entity = around("&xxe;");
    assert_eq!(
        refused(&entity),
        CertificateProblem::UnknownEntity {
            name: "xxe".to_owned()
        }
    );
    assert_eq!(refused(&"<a>".repeat(100_000)), CertificateProblem::TooDeep);
    let many = around(&"<a/>".repeat(250_000));
    assert_eq!(refused(&many), CertificateProblem::TooManyElements);
    let values = format!("<valueXMLList>{}</valueXMLList>", "1 ".repeat(150_000));
    assert_eq!(refused(&around(&values)), CertificateProblem::TooManyValues);
    let wide: String = (0..100).map(|n| format!(" a{n}=\"\"")).collect();
    assert_eq!(
        refused(&around(&format!("<a{wide}/>"))),
        CertificateProblem::TooManyAttributes
    );
    let large = around(&"x".repeat(17 * 1024 * 1024));
    assert!(matches!(
        refused(&large),
        CertificateProblem::TooLarge { .. }
    ));
}

#[test]
fn a_long_title_is_not_copied_to_every_list() {
    let title = "t".repeat(1_000_000);
    let lists = "<list><list><quantity><real><value>1</value><unit>\\metre</unit></real>\
                 </quantity></list></list>";
    let text = around(&lists.repeat(1_000));
    let text = text.replace(
        "<data>",
        &format!("<name><content>{title}</content></name><data>"),
    );
    let found = Certificate::parse(&text).unwrap();
    assert_eq!(found.tables.len(), 1_000);
    assert!(
        found
            .tables
            .iter()
            .all(|table| table.title.chars().count() <= 61)
    );
}

#[test]
fn what_is_no_certificate_is_told_with_its_place() {
    let problem = |text: &str| refused(text);
    let malformed = |text: &str| matches!(problem(text), CertificateProblem::Malformed { .. });
    assert!(malformed("<digitalCalibrationCertificate>"));
    assert!(malformed("<a></b>"));
    assert!(malformed("<a/><b/>"));
    assert!(malformed("<a b=\"1\" b=\"2\"/>"));
    assert!(malformed("text"));
    let empty = CertificateProblem::NotACertificate {
        found: String::new(),
    };
    assert_eq!(problem(""), empty);
    let other = CertificateProblem::NotACertificate {
        found: "html".to_owned(),
    };
    assert_eq!(problem("<html/>"), other);
    let version = "<digitalCalibrationCertificate schemaVersion=\"4.0.0\"/>";
    let newer = CertificateProblem::UnknownVersion {
        found: "4.0.0".to_owned(),
    };
    assert_eq!(problem(version), newer);
    let error = Certificate::parse("<a>\n  <Ø/> <b></c>\n</a>").unwrap_err();
    assert_eq!((error.line, error.code()), (2, "certificate_malformed"));
    // A name as long as the file stays out of the sentence.
    let long = format!("<a></{}>", "b".repeat(100_000));
    let told = Certificate::parse(&long).unwrap_err().to_string();
    assert!(told.chars().count() < 300, "{}", told.len());
    for cut in (0..MINIMAL.len()).step_by(97) {
        let cut = MINIMAL.get(..cut).unwrap_or("");
        assert!(Certificate::parse(cut).is_err(), "{cut}");
    }
}

proptest::proptest! {
    /// Cut, doubled or overwritten anywhere, it is a certificate or a problem with its place.
    #[test]
    fn a_mangled_certificate_is_read_or_refused(
        at in 0..MINIMAL.len(),
        length in 0_usize..200,
        put in "(<[a-z:]{0,8}>|&[a-z#0-9]{0,6};|-?[0-9.eE+]{0,40}|\\PC{0,20}|<!\\[CDATA\\[|-->|\")",
    ) {
        let end = (at + length).min(MINIMAL.len());
        let (Some(before), Some(after)) = (MINIMAL.get(..at), MINIMAL.get(end..)) else {
            return Ok(());
        };
        match Certificate::parse(&format!("{before}{put}{after}")) {
            Err(error) => proptest::prop_assert!(error.line >= 1 && error.column >= 1),
            Ok(found) => {
                for choice in [Choice::default(), choice(1, 1, 2), choice(1, 2, 1)] {
                    if let Ok(taken) = found.take(choice) {
                        let points = taken.calibration.bias_points();
                        proptest::prop_assert!(points.windows(2).all(|w| w[0].at < w[1].at));
                    }
                }
            }
        }
    }
}

//! The register on a day: what a gauge rests on, what is assumed of it, and what a certificate or
//! a confirmation writes into the file.

use fitledger::gauge::{
    Certificate, CertificateEntry, CheckAsked, CheckEnd, CheckTool, Choice, Date, Due, EditError,
    Faces, Gauge, GaugeId, Register, Remark, StatedError, StudyEntry, study_line, with_certificate,
    with_confirmed, with_study,
};
use fitledger::quantity::{Length, LengthUnit};

const MINIMAL: &str = include_str!("../gauges/certificates/minimal_micrometer.xml");
const CHAINS: &str = include_str!("../gauges/valid/chains.toml");

fn register(text: &str) -> Register {
    Register::parse(text, "gauges.toml").unwrap_or_else(|errors| panic!("{}", errors[0]))
}

fn gauge<'r>(register: &'r Register, id: &str) -> &'r Gauge {
    register.gauge(&GaugeId::new(id)).unwrap()
}

fn day(text: &str) -> Date {
    Date::parse(text).unwrap()
}

fn um(um: i64) -> Length {
    Length::from_um(um)
}

/// What the minimal certificate says of its micrometer.
fn entry() -> CertificateEntry {
    let certificate = Certificate::parse(MINIMAL).unwrap();
    CertificateEntry {
        taken: certificate.take(Choice::default()).unwrap(),
        calibrated: certificate.date().unwrap(),
        certificate: certificate.number.clone(),
        serial: certificate.serials()[0].to_owned(),
        due: None,
    }
}

#[test]
fn both_gauges_of_a_transfer_are_in_the_error() {
    let register = register(CHAINS);
    let of = |id: &str, faces| register.error_of(gauge(&register, id), Length::from_mm(12), faces);
    let mic = of("mic-25", Faces::Outside).unwrap();
    assert!(mic.transfer.is_none());
    let block = mic.standard.as_ref().expect("its zero is set on the block");
    let block = block.calibration.as_ref().unwrap();
    assert_eq!(block.expanded_uncertainty(), Length::from_nm(100));
    // Ten readings leave nine degrees of freedom (JCGM 100:2008, 4.2.3 and 4.2.6).
    assert_eq!(mic.repeatability_freedom, Some(9));
    // Carried out of a bore and read between the micrometer's outside faces.
    let carried = of("rocked", Faces::Inside).unwrap();
    assert_eq!(carried.calibration, mic.calibration);
    assert_eq!(carried.standard, mic.standard);
    assert_eq!(carried.transfer.unwrap().mpe, Some(um(2)));
    // A study of its feel is all that is known of the other one, and enough.
    let feel = of("holes", Faces::Inside).unwrap().transfer.unwrap();
    assert_eq!((feel.mpe, feel.repeatability), (None, Some(um(3))));
}

/// Published: a caliper has 20 µm more inside than outside (DIN 862 rows of tolerances/gauges); a
/// bore that is carried to it is read between its outside faces.
#[test]
fn a_carried_bore_is_read_between_outside_faces() {
    let text = "[[gauge]]\nid = \"cal\"\nkind = \"caliper\"\nrange = [0, 150]\n\
                resolution = 0.01\n\n[[gauge]]\nid = \"h\"\nkind = \"small_hole_gauge\"\n\
                read_by = \"cal\"\nmpe = 0.01\n";
    let register = register(text);
    let of = |id: &str| {
        let error = register.error_of(gauge(&register, id), Length::from_mm(12), Faces::Inside);
        error.unwrap().mpe.unwrap()
    };
    assert_eq!((of("cal"), of("h")), (um(40), um(20)));
}

#[test]
fn a_chain_with_an_unknown_link_is_not_considered() {
    let text = CHAINS.replace("repeatability = 0.003\n", "");
    let register_without = register(&text);
    let of = |register: &Register, id: &str| {
        register
            .error_of(gauge(register, id), Length::from_mm(12), Faces::Inside)
            .is_some()
    };
    assert!(!of(&register_without, "holes"));
    assert!(of(&register_without, "rocked"));
    let alone = register("[[gauge]]\nid = \"h\"\nkind = \"small_hole_gauge\"\nmpe = 0.002\n");
    assert!(!of(&alone, "h"));
    let remarks = alone
        .standing(gauge(&alone, "h"), day("2026-11-25"))
        .remarks;
    assert!(remarks.contains(&Remark::NoReader), "{remarks:?}");
}

#[test]
fn what_a_gauge_rests_on_is_in_its_standing() {
    let text = CHAINS.replace("range = 10\n", "range = 10\ndue = 2026-08-01\n");
    let register = register(&text);
    let standing = |id: &str, today: &str| register.standing(gauge(&register, id), day(today));
    let fine = standing("mic-25", "2026-07-01");
    assert!(fine.is_in_date() && fine.assumed.is_empty(), "{fine:?}");
    let block = Remark::RestsOnOverdue {
        on: GaugeId::new("block-10"),
        days: 1,
    };
    for id in ["mic-25", "holes", "rocked"] {
        assert!(standing(id, "2026-08-01").is_in_date(), "{id}");
        let over = standing(id, "2026-08-02");
        assert!(over.remarks.contains(&block), "{id} {over:?}");
        assert!(!over.is_in_date());
    }
    let own = standing("mic-25", "2026-09-03");
    assert_eq!(own.due, Due::Overdue { days_over: 2 });
    assert_eq!(own.remarks[0], Remark::Overdue { days: 2 });
    let plug = standing("plug-20", "2026-07-01");
    assert_eq!(plug.remarks, [Remark::NoDueDate]);
}

/// Published: DIN 862 and DIN 863-1 limits, rows of tolerances/gauges (from a public one-page
/// summary): a caliper of step 0.01 up to 600 mm has 30 µm, and 20 µm more inside and in depth.
#[test]
fn assumed_numbers_are_named_with_their_source_until_confirmed() {
    let text = "# my gauges\n[[gauge]]\nid = \"cal\"\nkind = \"caliper\" # the old one\n\
                range = [0, 150]\n\n# second\n[[gauge]]\nid = \"mic\"\n\
                kind = \"outside_micrometer\"\nresolution = 0.001\nrange = [50, 75]\n";
    let before = register(text);
    let cal = gauge(&before, "cal");
    let numbers = cal.assumed_numbers();
    let found: Vec<(&str, Length)> = numbers
        .iter()
        .map(|one| (one.key, one.assumed.value))
        .collect();
    assert_eq!(found, [("resolution", um(10)), ("mpe", um(50))]);
    let mic: Vec<_> = gauge(&before, "mic").assumed_numbers();
    assert_eq!(
        (mic.len(), mic[0].key, mic[0].assumed.value),
        (1, "mpe", um(5))
    );
    let today = day("2026-11-25");
    let changed = with_confirmed(text, &cal.id, &numbers, today).unwrap();
    let after = register(&changed);
    let cal = gauge(&after, "cal");
    assert_eq!(
        (&cal.error, cal.resolution),
        (&StatedError::Mpe(um(50)), Some(um(10)))
    );
    assert!(cal.assumed_numbers().is_empty());
    assert_eq!(gauge(&after, "mic"), gauge(&before, "mic"));
    for line in text.lines() {
        assert!(changed.contains(line), "{line} was lost:\n{changed}");
    }
    let mpe = changed
        .lines()
        .find(|line| line.starts_with("mpe"))
        .unwrap();
    assert!(
        mpe.contains("DIN 862") && mpe.ends_with("confirmed 2026-11-25"),
        "{mpe}"
    );
    let none = with_confirmed(&changed, &cal.id, &cal.assumed_numbers(), today);
    assert!(matches!(none, Err(EditError::NothingAssumed { .. })));
}

#[test]
fn a_certificate_is_written_where_the_gauge_stands_and_nothing_else_changes() {
    let text = "# gauges of the pump shop\n\n[[gauge]]  # on the shelf\nid = \"mic-25\"\n\
                kind = \"outside_micrometer\"\nrange = [0, 25]\n# from the maker's sheet\n\
                mpe = 0.004   # half-width\nserial = \"EX-0001\" # on the frame\n\
                due = 2027-03-01\n\n# the block\n[[gauge]]\nid = \"b\"\nkind = \"gauge_block\"\n\
                range = 10\n";
    let id = GaugeId::new("mic-25");
    let changed = with_certificate(text, &id, &entry()).unwrap();
    let after = register(&changed);
    let mic = gauge(&after, "mic-25");
    let StatedError::Calibration(calibration) = &mic.error else {
        panic!("{changed}");
    };
    assert_eq!(calibration.expanded_uncertainty(), Length::from_nm(1_500));
    assert_eq!(calibration.bias_points().len(), 10);
    assert_eq!(mic.calibrated, Some(day("2025-09-01")));
    assert_eq!(mic.certificate.as_deref(), Some("EXAMPLE-MIC-2025-0001"));
    assert_eq!(mic.due, Some(day("2027-03-01")));
    assert_eq!(gauge(&after, "b"), gauge(&register(text), "b"));
    for line in text.lines().filter(|line| !line.starts_with("mpe")) {
        assert!(changed.contains(line), "{line} was lost:\n{changed}");
    }
    assert!(
        changed.contains("# mpe = 0.004   # half-width\n"),
        "{changed}"
    );
    // Written once more, it is the same.
    assert_eq!(with_certificate(&changed, &id, &entry()).unwrap(), changed);
}

#[test]
fn an_entry_that_counts_in_inches_gets_millimetres_with_their_unit() {
    let text =
        "[[gauge]]\nid = \"m\"\nkind = \"outside_micrometer\"\nunit = \"in\"\nrange = [0, 1]\n";
    let changed = with_certificate(text, &GaugeId::new("m"), &entry()).unwrap();
    let after = register(&changed);
    let StatedError::Calibration(calibration) = &gauge(&after, "m").error else {
        panic!("{changed}");
    };
    assert_eq!(calibration.expanded_uncertainty(), Length::from_nm(1_500));
    assert!(changed.contains("U = \"0.0015 mm\""), "{changed}");
}

#[test]
fn a_certificate_of_another_gauge_or_day_is_not_written() {
    let with = |keys: &str| {
        let text = format!("[[gauge]]\nid = \"m\"\nkind = \"outside_micrometer\"\n{keys}\n");
        with_certificate(&text, &GaugeId::new("m"), &entry()).unwrap_err()
    };
    assert!(matches!(
        with("serial = \"EX-0002\""),
        EditError::OtherSerial { .. }
    ));
    assert!(matches!(
        with("calibrated = 2025-09-02"),
        EditError::Older { .. }
    ));
    assert!(matches!(
        with("due = 2025-09-01"),
        EditError::DuePassed { .. }
    ));
    assert!(matches!(with("serial = 7"), EditError::NotSound { .. }));
    let plug = "[[gauge]]\nid = \"m\"\nkind = \"plug\"\n";
    let refused =
        |text: &str, id: &str| with_certificate(text, &GaugeId::new(id), &entry()).unwrap_err();
    assert!(matches!(refused(plug, "m"), EditError::NotForKind { .. }));
    assert!(matches!(refused(plug, "n"), EditError::NoGauge { .. }));
    let inline = "gauge = [{ id = \"m\", kind = \"caliper\" }]\n";
    assert_eq!(refused(inline, "m"), EditError::Form);
    let later = CertificateEntry {
        due: Some(day("2026-09-01")),
        ..entry()
    };
    let text = "[[gauge]]\nid = \"m\"\nkind = \"caliper\"\ndue = 2025-08-01 # yearly\n";
    let changed = with_certificate(text, &GaugeId::new("m"), &later).unwrap();
    assert!(changed.contains("due = 2026-09-01 # yearly\n"), "{changed}");
}

#[test]
fn the_end_and_the_callout_of_a_limit_gauge_decide_what_it_may_answer() {
    let register = register(CHAINS);
    let asked = |end, with| CheckAsked {
        end,
        with,
        short_thread: false,
    };
    let may = |id: &str, end, with, callout: &str| {
        gauge(&register, id).may_answer(&asked(end, with), |made_for| made_for == callout)
    };
    let (go, no_go) = (CheckEnd::Go, CheckEnd::NoGo);
    assert!(may("go-M10", go, CheckTool::ThreadPlug, "M10-6H"));
    assert!(!may("go-M10", no_go, CheckTool::ThreadPlug, "M10-6H"));
    assert!(!may("go-M10", go, CheckTool::ThreadPlug, "M10-6G"));
    assert!(!may("go-M10", go, CheckTool::ThreadRing, "M10-6H"));
    // One that does not say which end it is has both.
    assert!(may("plug-20", go, CheckTool::PlainPlug, "20 H7"));
    assert!(may("plug-20", no_go, CheckTool::PlainPlug, "20 H7"));
    assert!(may("gap-20", no_go, CheckTool::GapGauge, "20 k6"));
    assert!(!may("gap-20", go, CheckTool::GapGauge, "20 k6"));
    assert!(!may("mic-25", go, CheckTool::GapGauge, "20 k6"));
}

fn study_entry() -> StudyEntry {
    StudyEntry {
        repeatability: Length::from_nm(1_049),
        readings: 6,
        on: day("2026-11-26"),
    }
}

#[test]
fn a_study_is_written_where_the_gauge_stands_and_nothing_else_changes() {
    for (before, expected) in [
        (
            "",
            "repeatability = { s = 0.001049, n = 6, on = 2026-11-26 }\n",
        ),
        (
            "# from the old caliper days\nrepeatability = 0.0008   # by hand\n",
            "# from the old caliper days\nrepeatability = { s = 0.001049, n = 6, on = 2026-11-26 }   \
             # by hand\n",
        ),
        (
            "repeatability = { s = 0.002, n = 10 }\n",
            "repeatability = { s = 0.001049, n = 6, on = 2026-11-26 }\n",
        ),
    ] {
        let text = format!(
            "# the bench\n[[gauge]] # mine\nid = \"mic-25\"\nkind = \"outside_micrometer\"\n\
             range = [0, 25]\nmpe = 0.004 # half\n{before}\n# the block\n[[gauge]]\nid = \"b\"\n\
             kind = \"gauge_block\"\nrange = 10\n"
        );
        let id = GaugeId::new("mic-25");
        let changed = with_study(&text, &id, &study_entry()).unwrap();
        assert!(changed.contains(expected), "{changed}");
        let mic = register(&changed);
        let mic = gauge(&mic, "mic-25");
        assert_eq!(mic.repeatability, Some(Length::from_nm(1_049)));
        assert_eq!(mic.repeatability_on, Some(day("2026-11-26")));
        // What goes into an uncertainty: five degrees of freedom.
        let error = mic.error_at(Length::from_mm(10), Faces::Outside).unwrap();
        assert_eq!(error.repeatability_freedom, Some(5));
        for line in text
            .lines()
            .filter(|line| !line.starts_with("repeatability"))
        {
            assert!(changed.contains(line), "{line} was lost:\n{changed}");
        }
        assert_eq!(with_study(&changed, &id, &study_entry()).unwrap(), changed);
    }
}

#[test]
fn a_study_is_written_for_no_other_kind_and_told_as_its_line() {
    let inch = "[[gauge]]\nid = \"m\"\nkind = \"outside_micrometer\"\nunit = \"in\"\n\
                range = [0, 1]\n[[gauge]]\nid = \"p\"\nkind = \"plug\"\n";
    let changed = with_study(inch, &GaugeId::new("m"), &study_entry()).unwrap();
    let line = study_line(&study_entry(), LengthUnit::Inch).unwrap();
    assert_eq!(
        line,
        "repeatability = { s = \"0.001049 mm\", n = 6, on = 2026-11-26 }"
    );
    assert!(changed.contains(&line), "{changed}");
    let plug = with_study(inch, &GaugeId::new("p"), &study_entry());
    assert!(matches!(plug, Err(EditError::NotForKind { .. })));
    let nobody = with_study(inch, &GaugeId::new("x"), &study_entry());
    assert!(matches!(nobody, Err(EditError::NoGauge { .. })));
    let broken = with_study("[[gauge]]\nid = 3\n", &GaugeId::new("m"), &study_entry());
    assert!(matches!(broken, Err(EditError::NotSound { .. })));
}

#[test]
fn a_study_before_the_calibration_is_told_and_one_after_it_is_not() {
    let text = |on: &str| {
        format!(
            "[[gauge]]\nid = \"m\"\nkind = \"outside_micrometer\"\nrange = [0, 25]\nmpe = 0.004\n\
             calibrated = 2026-06-01\nrepeatability = {{ s = 0.001, n = 25, on = {on} }}\n"
        )
    };
    for (on, is_told) in [
        ("2026-05-31", true),
        ("2026-06-01", false),
        ("2026-06-02", false),
    ] {
        let register = register(&text(on));
        let standing = register.standing(gauge(&register, "m"), day("2026-07-01"));
        let told = standing.remarks.iter().map(ToString::to_string);
        let told: Vec<String> = told.filter(|one| one.contains("studied on")).collect();
        assert_eq!(told.len(), usize::from(is_told), "{on}: {told:?}");
    }
}

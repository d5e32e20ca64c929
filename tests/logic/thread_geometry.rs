//! Stress area and lead angle.

use crate::table::cases;
use fitledger::quantity::Length;
use fitledger::tolerance::{ThreadProfile, lead_angle_tangent, stress_area_mm2};

fn mm(text: &str) -> Length {
    Length::parse_mm(text).unwrap()
}

#[test]
fn stress_areas_are_those_of_the_standard() {
    for case in cases(include_str!("../tables/stress_area.csv")) {
        let profile = ThreadProfile {
            nominal: mm(case.text("nominal_mm")),
            pitch: mm(case.text("pitch_mm")),
        };
        case.check("expected", stress_area_mm2(&profile));
    }
}

/// By hand: a lead of 1.5 mm on a circumference of pi times 9.026 mm (M10): 3.03 degrees, as
/// handbooks print it (from memory).
#[test]
fn the_lead_angle_of_m10_is_three_degrees() {
    let degrees = lead_angle_tangent(mm("1.5"), mm("9.026"))
        .atan()
        .to_degrees();
    assert!((degrees - 3.03).abs() < 0.005, "{degrees}");
    let two_starts = lead_angle_tangent(mm("3"), mm("9.026"));
    assert!((two_starts / lead_angle_tangent(mm("1.5"), mm("9.026")) - 2.0).abs() < 1e-12);
}

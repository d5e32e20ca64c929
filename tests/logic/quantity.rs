//! Decimal text in and out of exact quantities, as properties and as cases.

use fitledger::quantity::{
    Angle, Celsius, Decimal, DecimalMark, Entry, Length, LengthUnit, QuantityError, Rounding,
    parse_entry,
};
use proptest::prelude::*;

fn nm() -> impl Strategy<Value = i64> {
    -10_000_000_000_i64..=10_000_000_000
}

proptest! {
    #[test]
    fn a_length_survives_its_text(nm in nm(), decimals in 0_u8..9) {
        let length = Length::from_nm(nm);
        let text = length.to_text(LengthUnit::Millimetre, decimals);
        prop_assert_eq!(Length::parse_mm(&text), Ok(length));
        let comma = text.replace('.', ",");
        prop_assert_eq!(Length::parse_mm(&comma), Ok(length));
    }

    #[test]
    fn a_number_is_read_alike_however_many_zeros_lead_it(
        text in "[-+]?[0-9]{0,6}[.,]?[0-9]{0,8}",
    ) {
        // Eighteen digits and fewer are read a quicker way; zeros in front change the way only.
        let (sign, body) = match text.strip_prefix(['-', '+']) {
            Some(body) => (&text[..1], body),
            None => ("", text.as_str()),
        };
        let long = format!("{sign}{}{body}", "0".repeat(15));
        let short = Decimal::parse(&text, DecimalMark::Either);
        if body.chars().any(|c| c.is_ascii_digit()) {
            prop_assert_eq!(short, Decimal::parse(&long, DecimalMark::Either));
        } else {
            prop_assert!(short.is_err());
        }
    }

    #[test]
    fn every_fine_inch_step_is_exact(steps in -78_000_000_i64..78_000_000) {
        // 0.000 005 in = 127 nm, so a whole number of steps is a whole number of nanometres.
        let length = Length::from_nm(steps * 127);
        let text = length.to_text(LengthUnit::Inch, 6);
        prop_assert_eq!(Length::parse_inch(&text), Ok(length));
    }

    #[test]
    fn a_millimetre_text_is_read_without_rounding(nm in nm(), extra in 1_u8..9) {
        let text = Length::from_nm(nm).to_text(LengthUnit::Millimetre, 6);
        let finer = format!("{text}{extra}");
        let refused =
            matches!(Length::parse_mm(&finer), Err(QuantityError::NotExact { .. }));
        prop_assert!(refused, "{} was taken", finer);
    }

    #[test]
    fn division_names_its_direction(nm in nm(), divisor in 1_i64..1000) {
        let length = Length::from_nm(nm);
        let (floor, ceil) = (length.div_floor(divisor), length.div_ceil(divisor));
        let half = length.div_half_even(divisor);
        prop_assert!(floor * divisor <= length && length <= ceil * divisor);
        prop_assert!((ceil - floor).as_nm() == i64::from(nm % divisor != 0));
        prop_assert!(half == floor || half == ceil);
        let twice_error = ((half * divisor - length) * 2).abs();
        prop_assert!(twice_error <= Length::from_nm(divisor));
    }

    #[test]
    fn rounding_to_a_step_lands_on_the_step(nm in nm(), step in 1_i64..1_000_000) {
        let (length, step) = (Length::from_nm(nm), Length::from_nm(step));
        for rounding in [Rounding::Floor, Rounding::Ceil, Rounding::HalfEven] {
            let rounded = length.round_to(step, rounding);
            prop_assert_eq!(rounded.as_nm() % step.as_nm(), 0);
            prop_assert!((rounded - length).abs() < step);
        }
    }

    #[test]
    fn no_text_makes_a_quantity_panic(text in "\\PC{0,40}") {
        let _ = Length::parse_mm(&text);
        let _ = Length::parse_inch(&text);
        let _ = Angle::parse(&text);
        let _ = Celsius::parse(&text);
        let _ = parse_entry(&text, LengthUnit::Inch);
        let _ = Decimal::parse(&text, DecimalMark::Point);
    }

    #[test]
    fn no_digits_make_a_quantity_panic(text in "[-+0-9.,°'\"]{0,50}") {
        let _ = Length::parse_mm(&text);
        let _ = Angle::parse(&text);
        let _ = Celsius::parse(&text);
        let _ = parse_entry(&text, LengthUnit::Millimetre);
    }

    #[test]
    fn an_angle_survives_its_text(mas in -1_296_000_000_i64..=1_296_000_000) {
        let angle = Angle::from_mas(mas);
        let degrees = angle.to_degrees();
        // Text has seven decimals; it names the angle when it is exact, else the nearest step.
        if let Ok(back) = Angle::parse(&degrees) {
            prop_assert_eq!(back, angle);
        } else {
            let number = Decimal::parse(&degrees, DecimalMark::Point).unwrap();
            let scaled = number.mantissa() * 3_600_000;
            let divisor = 10_i128.pow(u32::from(number.decimals()));
            let nearest = (scaled * 2 + divisor * scaled.signum()) / (divisor * 2);
            prop_assert_eq!(nearest, i128::from(mas));
        }
    }

    #[test]
    fn an_angle_survives_its_degrees_minutes_and_seconds(mas in -1_296_000_000_i64..=1_296_000_000) {
        let angle = Angle::from_mas(mas);
        prop_assert_eq!(Angle::parse(&angle.to_dms()), Ok(angle));
    }

    #[test]
    fn a_rounded_inch_text_comes_back_to_the_same_nanometre(nm in nm()) {
        let length = Length::from_nm(nm);
        let number = Decimal::parse(&length.to_text(LengthUnit::Inch, 4), DecimalMark::Point);
        let back = Length::from_decimal_rounded(number.unwrap(), LengthUnit::Inch);
        prop_assert_eq!(back, Ok(length));
    }

    #[test]
    fn degrees_minutes_seconds_add_up(d in 0_i64..359, m in 0_i64..60, s in 0_i64..60) {
        let text = format!("-{d}°{m}'{s}\"");
        let expected = Angle::from_mas(-((d * 60 + m) * 60 + s) * 1000);
        prop_assert_eq!(Angle::parse(&text), Ok(expected));
    }

    #[test]
    fn a_temperature_survives_its_text(milli in -200_000..=1_500_000_i32) {
        let celsius = Celsius::from_milli(milli);
        prop_assert_eq!(Celsius::parse(&celsius.to_string()), Ok(celsius));
    }
}

#[test]
fn micrometres_are_exact_with_no_more_decimals_than_needed() {
    let of = |nm: i64, decimals: u8| Length::from_nm(nm).to_um(decimals);
    assert_eq!(
        (of(13_500, 0), of(-22_000, 0)),
        ("13.5".to_owned(), "-22".to_owned())
    );
    assert_eq!(
        (of(21_000, 1), of(1, 0)),
        ("21.0".to_owned(), "0.001".to_owned())
    );
    assert_eq!(
        (of(0, 0), of(-5, 4)),
        ("0".to_owned(), "-0.0050".to_owned())
    );
}

#[test]
fn an_inch_is_exactly_25_4_millimetres() {
    // Definition: international inch, 1959.
    assert_eq!(Length::parse_inch("1"), Ok(Length::from_um(25_400)));
    assert_eq!(Length::parse_inch("0.00005"), Ok(Length::from_nm(1270)));
    assert_eq!(Length::parse_inch("0.0005"), Ok(Length::from_nm(12_700)));
    assert_eq!(Length::parse_inch("-1.5"), Ok(Length::from_um(-38_100)));
}

#[test]
fn what_is_not_exact_is_refused_not_rounded() {
    for text in ["0.0000001", "12.0000005"] {
        let error = Length::parse_mm(text).unwrap_err();
        assert_eq!(error.code(), "not_exact", "{text}");
    }
    assert_eq!(
        Length::parse_inch("0.000001").unwrap_err().code(),
        "not_exact"
    );
    assert_eq!(Celsius::parse("20.0001").unwrap_err().code(), "not_exact");
}

#[test]
fn beyond_ten_metres_is_refused_not_saturated() {
    assert_eq!(Length::parse_mm("10000"), Ok(Length::MAX));
    for text in [
        "10000.000001",
        "-10000.000001",
        "99999999999999999999999999999",
    ] {
        assert_eq!(
            Length::parse_mm(text).unwrap_err().code(),
            "out_of_range",
            "{text}"
        );
    }
    let long = "1".repeat(31);
    assert_eq!(
        Length::parse_mm(&long).unwrap_err().code(),
        "too_many_digits"
    );
}

#[test]
fn errors_say_what_where_and_what_was_expected() {
    assert_eq!(
        Length::parse_mm("12.3.4").unwrap_err().to_string(),
        "“.” does not belong at character 5 of “12.3.4”; expected a digit."
    );
    assert_eq!(
        Length::parse_mm("12 mm").unwrap_err().to_string(),
        "“ ” does not belong at character 3 of “12 mm”; expected a digit or the decimal mark."
    );
    assert_eq!(
        Length::parse_mm("0.0000001").unwrap_err().to_string(),
        "0.0000001 mm is not a whole number of nanometres, so it would have to be rounded."
    );
    assert_eq!(
        Length::parse_mm("").unwrap_err().to_string(),
        "There is no number."
    );
    assert_eq!(
        Length::parse_mm("-").unwrap_err().to_string(),
        "“-” ends too early; expected a digit."
    );
}

#[test]
fn typed_entry_takes_what_people_type() {
    let mm = |um: i64, decimals: u8| {
        Ok(Entry {
            value: Length::from_um(um),
            unit: LengthUnit::Millimetre,
            decimals,
        })
    };
    for (text, expected) in [
        (" 12.340 ", mm(12_340, 3)),
        ("12,340", mm(12_340, 3)),
        ("1,234", mm(1_234, 3)),
        ("+0.5", mm(500, 1)),
        ("\u{2212}0.5", mm(-500, 1)),
        ("\u{2013}0.5mm", mm(-500, 1)),
        ("20 MM", mm(20_000, 0)),
    ] {
        assert_eq!(
            parse_entry(text, LengthUnit::Millimetre),
            expected,
            "{text}"
        );
    }
    for text in ["0.5in", "0.5 in", "0.5\"", "0.5 IN"] {
        let entry = parse_entry(text, LengthUnit::Millimetre).unwrap();
        assert_eq!(
            (entry.value, entry.unit),
            (Length::from_um(12_700), LengthUnit::Inch)
        );
    }
    for text in [
        "1,234.5", "1 234", "12.5 cm", "--1", "", "mm", "12e3", "１２",
    ] {
        assert!(parse_entry(text, LengthUnit::Millimetre).is_err(), "{text}");
    }
}

#[test]
fn angles_are_read_in_each_customary_form() {
    for (text, mas) in [
        ("30", 108_000_000),
        ("30°", 108_000_000),
        ("30,5°", 109_800_000),
        ("0°15'", 900_000),
        ("15'", 900_000),
        ("29°59'59.999\"", 107_999_999),
        ("-0°30′", -1_800_000),
        ("0.00001", 36),
    ] {
        assert_eq!(Angle::parse(text), Ok(Angle::from_mas(mas)), "{text}");
    }
    for text in [
        "",
        "°",
        "30°60'",
        "30.5°15'",
        "15'30°",
        "30°15",
        "400",
        "30 °",
        "0.0000001",
    ] {
        assert!(Angle::parse(text).is_err(), "{text}");
    }
}

#[test]
fn shown_decimals_are_kept_and_extended_only_when_needed() {
    let size = Length::from_nm(19_990_000);
    assert_eq!(size.to_text(LengthUnit::Millimetre, 3), "19.990");
    assert_eq!(size.to_text(LengthUnit::Millimetre, 0), "19.99");
    assert_eq!(Length::from_nm(-13_500).to_mm(), "-0.0135");
    assert_eq!(Length::ZERO.to_text(LengthUnit::Millimetre, 0), "0");
    assert_eq!(
        Length::from_nm(12_700).to_text(LengthUnit::Inch, 4),
        "0.0005"
    );
    assert_eq!(
        Length::from_nm(1).to_text(LengthUnit::Inch, 4),
        "0.000000039"
    );
}

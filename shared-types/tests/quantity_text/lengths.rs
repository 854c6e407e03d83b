//! Lengths: every sixty-fourth, the forms people write, what is asked about and refused, and what is shown.

use setdown_types::quantity::text::{
    InchFraction, LengthFormat, Understood, format_length, parse_length,
};
use setdown_types::quantity::{Length, Unit, UnitSystem};

const SIXTY_FOURTHS_IN_200_FEET: i64 = 200 * 12 * 64;

fn exact_us() -> LengthFormat {
    LengthFormat {
        fraction: InchFraction::SixtyFourths,
        mark_rounded: true,
        ..LengthFormat::default()
    }
}

/// One line for any answer: the length, `asks: ...` or `refuses: ...`.
fn read(text: &str, default_unit: Option<Unit>) -> String {
    match parse_length(text, default_unit) {
        Ok(Understood::One(length)) => exact_us().write(length),
        Ok(Understood::Ambiguous(readings)) => {
            let words: Vec<String> = readings.into_iter().map(|reading| reading.words).collect();
            format!("asks: {}", words.join(" | "))
        }
        Err(error) => format!("refuses: {error}"),
    }
}

#[track_caller]
fn check(text: &str, expect: &str) {
    assert_eq!(read(text, None), expect, "{text}");
}

#[track_caller]
fn check_with(text: &str, default_unit: Unit, expect: &str) {
    assert_eq!(read(text, Some(default_unit)), expect, "{text}");
}

#[track_caller]
fn check_asks(text: &str) {
    let answer = read(text, None);
    assert!(answer.starts_with("asks: "), "{text}: {answer}");
}

#[track_caller]
fn check_refuses(text: &str, part: &str) {
    let answer = read(text, None);
    assert!(
        answer.starts_with("refuses: ") && answer.contains(part),
        "{text}: {answer}"
    );
}

/// Every 1/64 in up to 200 ft, written and read again, in feet and inches and in inches alone.
#[test]
fn every_sixty_fourth_survives() {
    let inches = LengthFormat {
        inches_only: true,
        ..exact_us()
    };
    for count in 0..=SIXTY_FOURTHS_IN_200_FEET {
        let length = Length::from_inches_64ths(count).unwrap();
        for format in [exact_us(), inches] {
            let text = format.write(length);
            assert!(!text.contains('≈'), "{text}");
            assert_eq!(
                parse_length(&text, None),
                Ok(Understood::One(length)),
                "{text}"
            );
        }
    }
}

/// The same lengths as people write them on paper.
#[test]
fn every_sixty_fourth_with_marks_survives() {
    for count in 0..=SIXTY_FOURTHS_IN_200_FEET {
        let (feet, inches, part) = (count / 768, count / 64 % 12, count % 64);
        let length = Length::from_inches_64ths(count).unwrap();
        let fraction = if part == 0 {
            String::new()
        } else {
            format!(" {part}/64")
        };
        for text in [
            format!("{feet}' {inches}{fraction}\""),
            format!("{feet}'-{inches}{}\"", fraction.replace(' ', "-")),
            format!("{feet}ft{inches}{fraction}in"),
        ] {
            assert_eq!(
                parse_length(&text, None),
                Ok(Understood::One(length)),
                "{text}"
            );
        }
    }
}

#[test]
fn common_forms_are_understood() {
    let gate = "7 ft 10 1/2 in";
    for text in [
        "7' 10 1/2\"",
        "7'10-1/2\"",
        "7'-10 1/2\"",
        "7' - 10 1/2\"",
        "7'-10-1/2\"",
        "7 ft 10.5 in",
        "7ft 10½in",
        "7ft. 10 ½ in.",
        "7′ 10½″",
        "7’ 10 1⁄2”",
        "7' 10 1/2''",
        "7 feet, 10 1/2 inches",
        "7 FT 10 1/2 IN",
        "7 foot and 10 1/2 inch",
        "7' 10 1/2",
        "7'10.5",
        "94.5in",
        "94 1/2\"",
        "94-1/2\"",
        "7.875'",
        "7 7/8 ft",
        "2 yd 1 ft 10 1/2 in",
        "2.4003 m",
        "240.03 cm",
        "2400.3 mm",
        "2 m 40 cm 0.3 mm",
        "\u{a0}7\u{202f}ft 10 1/2 in ",
    ] {
        check(text, gate);
    }
    check("3 yd", "9 ft 0 in");
    check("8-foot", "8 ft 0 in");
    check("1/3 ft", "4 in");
    check("½ in", "1/2 in");
    check(".5 in", "1/2 in");
    check("0 in", "0 in");
    check("1,200 in", "100 ft 0 in");
    check("2,540 mm", "8 ft 4 in");
    check("7.5 ft", "7 ft 6 in");
    check_with("94 1/2", Unit::Inch, gate);
    check_with("94-1/2", Unit::Inch, gate);
    check_with("2400.3", Unit::Millimetre, gate);
    check_with("7' 10 1/2\"", Unit::Millimetre, gate);
}

#[test]
fn doubtful_forms_are_asked_about() {
    check(
        "7-10-08",
        "asks: 7 ft 10 8/16 in (7 ft 10 1/2 in) | 7 ft 10 8/32 in (7 ft 10 1/4 in) | 7 ft 10.08 in (≈ 7 ft 10 5/64 in)",
    );
    check(
        "7-10-4",
        "asks: 7 ft 10 4/16 in (7 ft 10 1/4 in) | 7 ft 10 4/8 in (7 ft 10 1/2 in) | 7 ft 10 4/32 in (7 ft 10 1/8 in) | 7 ft 10.4 in (≈ 7 ft 10 13/32 in)",
    );
    check("7-10", "asks: 7 ft 10 in");
    check("7 10", "asks: 7 ft 10 in");
    check("7-10-1/2", "asks: 7 ft 10 1/2 in");
    check("7 10 1/2\"", "asks: 7 ft 10 1/2 in");
    check("7.10'", "asks: 7.10 ft (≈ 7 ft 1 13/64 in) | 7 ft 10 in");
    check("7.10 ft", "asks: 7.10 ft (≈ 7 ft 1 13/64 in) | 7 ft 10 in");
    check("7.05 ft", "asks: 7.05 ft (≈ 7 ft 0 19/32 in) | 7 ft 5 in");
    check("7 ft 14 in", "asks: 7 ft 14 in (8 ft 2 in)");
    check("7.5 ft 3 in", "asks: 7.5 ft 3 in (7 ft 9 in)");
    check("7' 10\" 1/2", "asks: 7 ft 10 1/2 in");
    check("101/2\"", "asks: 10 1/2 in | 101/2 in (4 ft 2 1/2 in)");
    check(
        "7' 101/2\"",
        "asks: 7 ft 10 1/2 in | 7 ft 101/2 in (11 ft 2 1/2 in)",
    );
    check("5/4 in", "asks: 5/4 in (1 1/4 in)");
    check("2 m 40", "asks: 2 m 40 cm | 2 m 40 mm");
    check("2 400 mm", "asks: 2400 mm");
    check("2,400 m", "asks: 2400 m | 2.400 m");
    check(
        "94.5",
        "asks: 94.5 in (7 ft 10 1/2 in) | 94.5 ft (94 ft 6 in) | 94.5 mm | 94.5 cm | 94.5 m",
    );
    check_with("7-10-08", Unit::Inch, &read("7-10-08", None));
    check_with("7.10", Unit::Foot, &read("7.10 ft", None));
    // A default that measures no length is no default.
    check_with("94.5", Unit::Pound, &read("94.5", None));
    for text in ["8 0", "7-11-15", "1 1 1/2 in", "1011/16 in"] {
        check_asks(text);
    }
}

#[test]
fn nonsense_is_refused_with_a_reason() {
    check_refuses("", "type a number and its unit");
    check_refuses("   ", "type a number and its unit");
    check_refuses("-7 ft", "below zero");
    check_refuses("\u{2212}2 m", "below zero");
    check_refuses("-", "number is missing");
    check_refuses("ft", "number is missing");
    check_refuses("7 ft -", "number is missing");
    check_refuses("about 94 in", "\"about\" is not a unit");
    check_refuses("94 lb", "\"lb\" is not a unit of length");
    check_refuses("4 x 8", "\"x\"");
    check_refuses("4 ft × 8 ft", "\"×\"");
    check_refuses("7 ft 3 ft", "ft is written twice");
    check_refuses("10 in 7 ft", "larger unit comes first");
    check_refuses("7 ft 20 cm", "mixed");
    check_refuses("10 5/4 in", "one or more");
    check_refuses("1/0 in", "nothing under the line");
    check_refuses("10 1/0 in", "nothing under the line");
    check_refuses("10 1/7 in", "no tape shows");
    check_refuses("1.5/2 in", "not a clear fraction");
    check_refuses("10.5 1/2 in", "not a clear fraction");
    check_refuses("1.2.3 in", "not a clear number");
    check_refuses("7,5 m", "not a clear number");
    check_refuses("94 96", "not clear which number");
    check_refuses("7-14", "not clear which number");
    check_refuses("1 2 3 4", "not clear which number");
    check_refuses("10 in 3", "\"3\" has no unit");
    check_refuses("999999999999999 yd", "too large");
    check_refuses("12345678901234567 in", "too many digits");
    check_refuses(&"9".repeat(5_000), "too long");
    check_refuses("NaN", "not a unit");
    check_refuses("1e3 in", "\"e\"");
    check_refuses("∞ m", "\"∞\"");
}

#[test]
fn lengths_are_shown_as_the_trade_writes_them() {
    let sixty_fourths = |count: i64| Length::from_inches_64ths(count).unwrap();
    let us = |length: Length| format_length(length, UnitSystem::Us);
    let metric = |length: Length| format_length(length, UnitSystem::Metric);
    assert_eq!(us(sixty_fourths(94 * 64 + 32)), "7 ft 10 1/2 in");
    assert_eq!(us(sixty_fourths(84 * 64)), "7 ft 0 in");
    assert_eq!(us(sixty_fourths(84 * 64 + 32)), "7 ft 0 1/2 in");
    assert_eq!(us(sixty_fourths(10 * 64 + 8)), "10 1/8 in");
    assert_eq!(us(sixty_fourths(32)), "1/2 in");
    assert_eq!(us(sixty_fourths(-(84 * 64 + 32))), "-7 ft 0 1/2 in");
    assert_eq!(us(Length::ZERO), "0 in");
    // Rounding carries through: 11 63/64 in is 12 in to the nearest sixteenth.
    assert_eq!(us(sixty_fourths(11 * 64 + 63)), "1 ft 0 in");
    // Never shown as nothing.
    assert_eq!(us(sixty_fourths(1)), "1/64 in");
    assert_eq!(us(Length::from_nanometres(100_000)), "0.004 in");
    assert_eq!(metric(Length::from_nanometres(2_400_300_000)), "2.400 m");
    assert_eq!(metric(Length::from_nanometres(63_400_000)), "63 mm");
    assert_eq!(metric(Length::from_nanometres(6_350_000)), "6.4 mm");
    assert_eq!(metric(Length::from_nanometres(5_000_000)), "5 mm");
    assert_eq!(
        metric(Length::from_nanometres(-12_345_600_000)),
        "-12.346 m"
    );
    assert_eq!(
        metric(Length::from_nanometres(i64::MIN)),
        "-9,223,372,036.855 m"
    );
    let quarters = LengthFormat {
        fraction: InchFraction::Quarters,
        inches_only: true,
        mark_rounded: true,
        ..LengthFormat::default()
    };
    assert_eq!(quarters.write(sixty_fourths(94 * 64 + 32)), "94 1/2 in");
    assert_eq!(quarters.write(sixty_fourths(94 * 64 + 8)), "≈ 94 1/4 in");
}

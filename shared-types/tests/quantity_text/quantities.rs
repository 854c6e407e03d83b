//! Every other quantity and its spread, the units themselves, and what cannot be kept.

use setdown_types::quantity::text::{
    Understood, format_quantity, parse_quantity, parse_quantity_with_spread, parse_with_spread,
};
use setdown_types::quantity::{Dimension, Length, Measure, Quantity, Unit, UnitSystem, unit_table};

#[track_caller]
fn check_quantity(dimension: Dimension, text: &str, expect: &str) {
    let answer = match parse_quantity(dimension, text, None) {
        Ok(quantity) => format!(
            "{} {}",
            quantity.base,
            format_quantity(quantity, UnitSystem::Us)
        ),
        Err(error) => format!("refuses: {error}"),
    };
    assert_eq!(answer, expect, "{text}");
}

#[track_caller]
fn check_quantity_refuses(dimension: Dimension, text: &str, part: &str) {
    match parse_quantity(dimension, text, None) {
        Ok(quantity) => panic!("{text} was read as {quantity:?}"),
        Err(error) => assert!(error.to_string().contains(part), "{text}: {error}"),
    }
}

#[test]
fn other_quantities_are_understood() {
    use Dimension::*;
    check_quantity(Mass, "4,850 lb", "2199922994500 4,850 lb");
    check_quantity(Mass, "4850lbs.", "2199922994500 4,850 lb");
    check_quantity(Mass, "2.2 t", "2200000000000 4,850 lb");
    check_quantity(Mass, "2 short tons", "1814369480000 4,000 lb");
    check_quantity(Volume, "1,500 gal", "5678117676000 1,500 gal");
    check_quantity(Volume, "3 cubic yards", "2293664573952 606 gal");
    check_quantity(Volume, "10 L", "10000000000 2.6 gal");
    check_quantity(Area, "120 sq ft", "11148364800000 120 sq ft");
    check_quantity(Area, "120 square feet", "11148364800000 120 sq ft");
    check_quantity(Area, "1 m²", "1000000000000 10.8 sq ft");
    check_quantity(Slope, "2.1 %", "21000000 2.1 %");
    check_quantity(Slope, "-2%", "-20000000 -2 %");
    check_quantity(Slope, "1:48", "20833333 2.1 %");
    check_quantity(Slope, "1 : 12", "83333333 8.3 %");
    check_quantity(Slope, "-1:48", "-20833333 -2.1 %");
    for text in [
        "1/4 in/ft",
        "0.25 in per ft",
        "¼\" per foot",
        "1/4\"/ft",
        "1/4\"/'",
        "1/4 inch per foot",
    ] {
        check_quantity(Slope, text, "20833333 2.1 %");
    }
    check_quantity(Slope, "20 mm/m", "20000000 2 %");
    check_quantity(Slope, "45°", "1000000000 100 %");
    check_quantity(Slope, "45 deg", "1000000000 100 %");
    check_quantity(Angle, "1.5°", "1500000000 1.5°");
    check_quantity(Current, "50A", "50000000 50 A");
    check_quantity(Current, "5 mA", "5000 0.01 A");
    check_quantity(Voltage, "240 V", "240000000 240 V");
    check_quantity(Voltage, "7.2 kV", "7200000000 7,200 V");
    check_quantity(Power, "4.5 kW", "4500000000 4,500 W");
    check_quantity(Power, "18,600 VA", "18600000000 18,600 W");
    check_quantity(Flow, "7.5 gpm", "473176473000 7.5 gal/min");
    check_quantity(Flow, "7 1/2 gal/min", "473176473000 7.5 gal/min");
    check_quantity(Flow, "28 L/min", "466666666667 7.4 gal/min");
    check_quantity(Force, "50 lb", "222411080763 50 lbf");
    check_quantity(Force, "225 N", "225000000000 50.6 lbf");
    check_quantity(Pressure, "1,500 psf", "71820388471 1,500 psf");
    check_quantity(Pressure, "50 psi", "344737864658 7,200 psf");
    check_quantity(Pressure, "72 kPa", "72000000000 1,504 psf");
    check_quantity(Speed, "20 mph", "8940800 20 mph");
    check_quantity(Speed, "36 km/h", "10000000 22.4 mph");
    check_quantity(Duration, "90 s", "90000000 90 s");
    check_quantity(Duration, "45 min", "2700000000 45 min");
    check_quantity(Duration, "1 h 30 min", "5400000000 90 min");
    check_quantity(Duration, "2.5 hours", "9000000000 2 h 30 min");
    check_quantity(Duration, "7 days", "604800000000 7 days");
    check_quantity(Count, "4", "4 4");
    check_quantity(Length, "7' 10 1/2\"", "2400300000 7 ft 10 1/2 in");
    assert_eq!(
        parse_quantity(Current, "50", Some(Unit::Ampere)),
        Ok(Quantity::new(Current, 50_000_000))
    );
    assert_eq!(
        parse_quantity(Slope, "45", Some(Unit::Degree)),
        Ok(Quantity::new(Slope, 1_000_000_000))
    );
}

#[test]
fn other_quantities_are_refused_with_a_reason() {
    use Dimension::*;
    check_quantity_refuses(Mass, "4,850", "unit is missing");
    check_quantity_refuses(
        Mass,
        "4,850 gal",
        "\"gal\" measures volume, and weight is asked for",
    );
    check_quantity_refuses(Mass, "4850 stone", "\"stone\" is not a unit of weight");
    check_quantity_refuses(Mass, "5 tons", "a ton may be");
    check_quantity_refuses(Mass, "-5 lb", "below zero");
    check_quantity_refuses(Mass, "heavy", "number is missing");
    check_quantity_refuses(Mass, "", "nothing is written");
    check_quantity_refuses(Mass, "48,50 lb", "not a clear number");
    check_quantity_refuses(Mass, "999999999999999 t", "too large");
    check_quantity_refuses(Voltage, "120/240 V", "not a clear fraction");
    check_quantity_refuses(Voltage, "12/2 V", "one or more");
    check_quantity_refuses(Slope, "1 in 48", "rise:run");
    check_quantity_refuses(Slope, "1.5:1", "rise:run");
    check_quantity_refuses(Slope, "1:0", "rise:run");
    check_quantity_refuses(Slope, "1:", "rise:run");
    check_quantity_refuses(Slope, "90°", "less than 90");
    check_quantity_refuses(Slope, "11/2 in/ft", "one or more");
    check_quantity_refuses(Duration, "30 min 1 h", "not a unit");
    check_quantity_refuses(Duration, "1 h 30", "unit is missing");
    check_quantity_refuses(Count, "2.5", "whole things");
    check_quantity_refuses(Count, "2 kg", "measures weight");
    check_quantity_refuses(Length, "7-10-08", "more than one way");
    check_quantity_refuses(Current, "50 A 3", "not a unit");
}

#[test]
fn spreads_are_understood() {
    let inch = |count: i64| Length::from_inches_64ths(count).unwrap();
    let gate = Understood::One(inch(94 * 64 + 32));
    for text in [
        "7' 10 1/2\" ± 1/4\"",
        "7' 10 1/2\" +/- 1/4\"",
        "94.5 in ± 1/4",
        "7' 10 1/2 ±¼",
        "7 ft 10 1/2 in +- 0.25 in",
        "94 1/2 in plus or minus 6.35 mm",
    ] {
        let expect = Ok((gate.clone(), Some(inch(16))));
        assert_eq!(parse_with_spread(text, None), expect, "{text}");
    }
    assert_eq!(parse_with_spread("94.5 in", None), Ok((gate.clone(), None)));
    let (asked, spread) = parse_with_spread("7-10-08 ± 1/4 in", None).unwrap();
    assert!(matches!(asked, Understood::Ambiguous(_)));
    assert_eq!(spread, Some(inch(16)));
    for (text, part) in [
        ("94.5 in ±", "spread after ± is not clear"),
        ("7 ft ± 1", "spread after ± is not clear"),
        ("94.5 in ± 0", "spread of nothing"),
        ("94.5 in ± -1", "below zero"),
        ("± 1 in", "nothing is written"),
        ("94 in ± 1 in ± 1 in", "±"),
    ] {
        let error = parse_with_spread(text, None).unwrap_err().to_string();
        assert!(error.contains(part), "{text}: {error}");
    }
}

#[test]
fn spreads_of_other_quantities_are_understood() {
    use Dimension::*;
    let read = |dimension, text| parse_quantity_with_spread(dimension, text, None);
    let pounds = |count: i64| Quantity::new(Mass, 453_592_370 * count);
    let expect = Ok((pounds(4_850), Some(pounds(50))));
    assert_eq!(read(Mass, "4,850 lb ± 50"), expect);
    assert_eq!(read(Mass, "4,850 lb +/- 50 lb"), expect);
    assert_eq!(
        read(Mass, "1,000 lb ± 5 %"),
        Ok((pounds(1_000), Some(pounds(50))))
    );
    assert_eq!(
        read(Slope, "2 % ± 0.2"),
        Ok((
            Quantity::new(Slope, 20_000_000),
            Some(Quantity::new(Slope, 2_000_000))
        ))
    );
    // d(tan a)/da at 0 is 1: 0.1° is 0.001 745 rad.
    assert_eq!(
        read(Slope, "0° ± 0.1°"),
        Ok((
            Quantity::new(Slope, 0),
            Some(Quantity::new(Slope, 1_745_331))
        ))
    );
    let length = read(Length, "94.5 in ± 1/4 in").unwrap();
    assert_eq!(length.1, Some(Quantity::new(Length, 6_350_000)));
    assert!(read(Slope, "1:48 ± 1").is_err());
    assert!(read(Mass, "4,850 lb ±").is_err());
    assert!(read(Mass, "4,850 lb ± 0").is_err());
}

/// Definitions: the inch is 25.4 mm, the gallon 231 in³, the pound 0.453 592 37 kg (values from memory; the oracle
/// tests compare every unit with an independent library).
#[test]
fn units_fit_their_definitions() {
    let base =
        |dimension, text: &str| parse_quantity(dimension, text, None).map(|found| found.base);
    let inch = 0.0254_f64;
    let gallon = base(Dimension::Volume, "1 gal").unwrap();
    assert_eq!(gallon, (231.0 * inch * inch * inch * 1e12).round() as i64);
    assert_eq!(base(Dimension::Force, "1 lbf"), Ok(4_448_221_615));
    assert_eq!(base(Dimension::Pressure, "1 psi"), Ok(6_894_757_293));
    assert_eq!(base(Dimension::Pressure, "144 psf"), Ok(6_894_757_293));
    assert_eq!(base(Dimension::Flow, "1 gal/min"), Ok(63_090_196_400));
    assert_eq!(base(Dimension::Power, "1 hp"), Ok(745_699_872));
    assert_eq!(base(Dimension::Speed, "1 mph"), Ok(447_040));
}

/// Every unit reads back from its own symbol, and its table entry agrees.
#[test]
fn every_unit_is_understood_by_its_symbol() {
    let table = unit_table();
    assert_eq!(table.len(), Unit::ALL.len());
    for (unit, (dimension, symbol, si)) in Unit::ALL.iter().zip(table) {
        assert_eq!((unit.dimension(), unit.symbol()), (dimension, symbol));
        let read = parse_quantity(dimension, &format!("100 {symbol}"), None);
        let read = read.unwrap_or_else(|error| panic!("{symbol}: {error}"));
        let relative = (read.si() / (100.0 * si) - 1.0).abs();
        assert!(relative < 1e-6, "{symbol}: {relative}");
    }
}

#[test]
fn measures_keep_what_was_typed() {
    let measure = Measure::new(Length::from_nanometres(2_400_300_000).into(), "7' 10 1/2\"");
    let json = serde_json::to_string(&measure).unwrap();
    assert_eq!(
        json,
        r#"{"dimension":"length","base":2400300000,"typed":"7' 10 1/2\""}"#
    );
    assert_eq!(serde_json::from_str::<Measure>(&json).unwrap(), measure);
    assert_eq!(
        serde_json::to_string(&Length::from_nanometres(5)).unwrap(),
        "5"
    );
}

#[test]
fn numbers_that_cannot_be_kept_are_refused() {
    for value in [f64::NAN, f64::INFINITY, 1e30, -1e30, 9_223_372_036.854_776] {
        assert!(
            Quantity::from_si(Dimension::Length, value).is_err(),
            "{value}"
        );
    }
    assert!(Length::from_inches_64ths(i64::MAX).is_err());
    let most = Length::from_nanometres(i64::MAX);
    assert_eq!(most.checked_add(Length::from_nanometres(1)), None);
    let pound = Quantity::new(Dimension::Mass, 1);
    assert_eq!(pound.checked_add(Quantity::new(Dimension::Force, 1)), None);
    assert_eq!(
        pound.checked_sub(pound),
        Some(Quantity::new(Dimension::Mass, 0))
    );
}

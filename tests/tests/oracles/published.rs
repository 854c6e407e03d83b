//! Published numbers beside the formulas and tables that must reproduce them.

use crate::harness::{near, prints_as};
use setdown_rules::maths::crane::{
    ChartPoint, ChartReading, boom_at_radius, boom_clearance, chart_capacity, net_capacity,
};
use setdown_rules::maths::{bearing, roll, sling, stairs, tip, water};
use setdown_rules::tables::ibc_1806::{SoilClass, presumptive_bearing};
use setdown_rules::tables::osha_1926::{line_clearance, trigger_distance};
use setdown_rules::tables::tape_mpe::{TapeClass, greatest_error};
use setdown_rules::tables::units::{
    FOOT, INCH, POUND, POUND_FORCE, POUND_PER_SQUARE_FOOT, US_GALLON,
};
use setdown_rules::tables::{self, astm_f1346, vehicles};

/// W20: US Navy Seabee manual text (enginemechanics.tpub.com/14080, Bridle Hitch): 1000 lb on two legs, 500 lb at 90
/// degrees from the horizontal, 1000 at 30; 577 at 60 and 707 at 45 on a rigging page. Read,
/// recomputed. The efficiencies 96.6, 86.6, 70.7, 50.0 % on a sling safety page citing ASME B30.9.
#[test]
fn sling_legs() {
    for (angle, pounds) in [(90.0, 500.0), (60.0, 577.0), (45.0, 707.0), (30.0, 1000.0)] {
        for legs in [2, 4] {
            let tension = sling::leg_tension(1000.0 * POUND_FORCE, legs, angle).expect("sensible");
            prints_as(tension.value / POUND_FORCE, pounds, 1.0, "W20");
        }
    }
    for (angle, percent) in [(75.0, 96.6), (60.0, 86.6), (45.0, 70.7), (30.0, 50.0)] {
        let tension = sling::tension_for_share(1.0, angle).expect("sensible");
        prints_as(100.0 / tension.value, percent, 0.1, "sling efficiency");
    }
    assert_eq!(sling::steepness(29.9), sling::Steepness::Refused);
    assert_eq!(sling::steepness(30.0), sling::Steepness::Flat);
    assert_eq!(sling::steepness(45.0), sling::Steepness::Good);
    assert_eq!(sling::steepness(f64::NAN), sling::Steepness::Refused);
    assert!(sling::leg_tension(1000.0, 0, 60.0).is_none());
    assert!(sling::leg_tension(1000.0, 2, 0.0).is_none());
}

/// The Seabee manual's other form, leg length and height (tpub 14080, fig. 3-23): SWL(2) = SWL(1) * H/L * 2.
#[test]
fn sling_by_height() {
    let (height, reach) = (3.0, 4.0);
    let angle = sling::leg_angle(height, reach).expect("sensible");
    let tension = sling::leg_tension(1000.0, 2, angle).expect("sensible");
    near(1000.0 / tension.value, 2.0 * height / 5.0, 1e-12, "H/L * 2");
}

/// Four-leg bridle on a rigid load: two legs may take practically all of it (Seabee manuals 14080 and 14081, read
/// twice). In the middle that is half for the worst leg; the even four shares are a quarter.
#[test]
fn four_legs_are_two() {
    near(
        sling::worst_of_four_shares(1.0, 0.5, 0.5).expect("inside"),
        0.5,
        1e-12,
        "worst leg",
    );
    for (along, across) in [(0.3, 0.5), (0.7, 0.2), (1.0, 0.0)] {
        let shares = sling::four_point_shares(2.0, along, across).expect("inside");
        near(
            shares.iter().sum(),
            2.0,
            1e-12,
            "the shares make the weight",
        );
        let worst = sling::worst_of_four_shares(2.0, along, across).expect("inside");
        assert!(shares.iter().all(|share| *share <= worst + 1e-12));
    }
    assert!(
        sling::four_point_shares(1.0, 1.1, 0.5).is_none(),
        "the load would tip"
    );
    assert!(
        sling::two_point_shares(1.0, 3.0, 3.1).is_none(),
        "the load would tip"
    );
}

/// W21: bccranesafety.ca load chart quiz (a provincial crane safety body; read, recomputed).
#[test]
fn net_crane_capacity() {
    let net = net_capacity(18_300.0, &[380.0, 338.0, 930.0, 220.0]);
    assert_eq!(net, Some(16_432.0));
    assert_eq!(net_capacity(14_450.0, &[2101.0]), Some(12_349.0));
    assert_eq!(net_capacity(7000.0, &[560.0]), Some(6440.0));
    assert_eq!(net_capacity(f64::NAN, &[]), None);
}

/// The same body's note 6 (read): between listed values the smallest load at the next larger radius or boom length,
/// never interpolated. The chart itself is made up.
#[test]
fn chart_is_never_interpolated() {
    let row = |boom: f64, radius: f64, capacity: f64| ChartPoint {
        boom_length: boom * FOOT,
        radius: radius * FOOT,
        capacity: capacity * POUND,
    };
    let chart = [
        row(50.0, 20.0, 30_000.0),
        row(50.0, 30.0, 18_000.0),
        row(70.0, 20.0, 26_000.0),
        row(70.0, 30.0, 18_500.0),
        row(70.0, 40.0, 11_000.0),
    ];
    let pounds = |boom: f64, radius: f64| match chart_capacity(&chart, boom * FOOT, radius * FOOT) {
        ChartReading::Rated(point) => Some(whole(point.capacity / POUND)),
        _ => None,
    };
    assert_eq!(pounds(50.0, 20.0), Some(30_000));
    assert_eq!(pounds(50.0, 20.5), Some(18_000), "next larger radius");
    assert_eq!(pounds(60.0, 20.0), Some(26_000), "next longer boom");
    assert_eq!(
        pounds(60.0, 25.0),
        Some(18_000),
        "the smaller of both booms"
    );
    assert_eq!(
        pounds(60.0, 35.0),
        Some(11_000),
        "only the longer boom reaches"
    );
    assert_eq!(pounds(50.0, 31.0), None, "off the chart");
    assert_eq!(pounds(71.0, 20.0), None, "off the chart");
    assert_eq!(pounds(49.0, 20.0), None, "off the chart");
    assert_eq!(pounds(50.0, 19.0), None, "off the chart");
    assert_eq!(
        chart_capacity(&chart, f64::NAN, 1.0),
        ChartReading::NotFinite
    );
    assert_eq!(chart_capacity(&[], 1.0, 1.0), ChartReading::BoomOffChart);
}

fn whole(value: f64) -> i64 {
    value.round() as i64
}

/// W22: handout attributed to an OSHA Alliance Program (one secondary page,
/// recomputed): 62,800 lb on 36 by 36 in: 48.5 psi.
#[test]
fn outrigger_pad() {
    let side = 36.0 * INCH;
    let pressure = bearing::pressure(62_800.0 * POUND_FORCE, side * side).expect("sensible");
    prints_as(
        pressure.value / (POUND_FORCE / (INCH * INCH)),
        48.5,
        0.1,
        "W22",
    );
    prints_as(
        pressure.value / POUND_PER_SQUARE_FOOT,
        6978.0,
        1.0,
        "W22 in psf",
    );
}

/// IBC 2012 Table 1806.2 (read on two pages); mud, peat and unprepared fill have none.
#[test]
fn presumptive_bearings() {
    let psf = |class| presumptive_bearing(class).map(|p| whole(p / POUND_PER_SQUARE_FOOT));
    let all = SoilClass::ALL.map(psf);
    let printed = [
        Some(12_000),
        Some(4000),
        Some(3000),
        Some(2000),
        Some(1500),
        None,
        None,
    ];
    assert_eq!(all, printed);
}

/// 8 by 16 ft under 4 ft of water: 31,949 lb, 250 psf (worked out at 62.4 lb/cu ft, which water has at about 57 °F).
#[test]
fn filled_pressure() {
    let density = water::density(14.0).expect("in the table");
    let volume = 8.0 * 16.0 * 4.0 * FOOT * FOOT * FOOT;
    let mass = bearing::filled_mass(0.0, volume, density, 0.0, 0.0).expect("sensible");
    near(mass.value / POUND / 31_949.0, 1.0, 0.001, "water");
    let under = bearing::pressure_under_slab(mass.value, 128.0 * FOOT * FOOT, 0.0, 0.0);
    let psf = under.expect("sensible").value / POUND_PER_SQUARE_FOOT;
    near(psf / 249.6, 1.0, 0.001, "pressure");
}

/// W 5000 lb at c = 0.02: level 100, 2 % 200, 5 % 350, 1 in 12 515 lbf (worked out).
#[test]
fn pull_up_a_slope() {
    for (slope, pounds, last) in [
        (0.0, 100.0, 1.0),
        (0.02, 200.0, 1.0),
        (0.05, 350.0, 1.0),
        (1.0 / 12.0, 515.0, 1.0),
    ] {
        let pull = roll::pull(5000.0 * POUND_FORCE, slope, 0.02).expect("sensible");
        prints_as(pull.value / POUND_FORCE, pounds, last, "pull");
    }
    let held = roll::hold_back(1000.0, -0.1, 0.0).expect("sensible");
    let pushed = roll::pull(1000.0, 0.1, 0.0).expect("sensible");
    near(
        held.value,
        pushed.value,
        1e-12,
        "without friction pull and hold back are one",
    );
    assert_eq!(roll::worst_wheel_load(1000.0, 4), Some(500.0));
    assert_eq!(roll::worst_wheel_load(1000.0, 0), None);
}

/// 2 % is 1.146 degrees and 1 in 12 is 4.76 (IRC 2024 R318.7.7 prints the ratios; worked out). A load as high as half
/// its track tips at 45 degrees.
#[test]
fn slopes_and_tipping() {
    prints_as(tip::degrees_of(0.02).expect("finite"), 1.146, 0.001, "2 %");
    prints_as(
        tip::degrees_of(1.0 / 12.0).expect("finite"),
        4.76,
        0.01,
        "1 in 12",
    );
    let tipping = tip::tipping_slope(2.0, 0.0, 1.0).expect("sensible");
    near(
        tip::degrees_of(tipping.value).expect("finite"),
        45.0,
        1e-12,
        "tips",
    );
    let allowed = tip::allowed_slope(2.0, 0.5, 1.0, 2.0).expect("sensible");
    near(allowed.value, 0.25, 1e-12, "half of what tips");
    assert!(tip::allowed_slope(2.0, 0.0, 1.0, 0.5).is_none());
    assert!(tip::tipping_slope(1.0, 0.6, 1.0).is_none(), "already over");
}

/// IRC 2024 R318.7.5 and R318.7.8 (read): risers up to 7 3/4 in, treads from 10 in, a handrail from four risers.
#[test]
fn stair_rows() {
    for (inches, risers, handrail) in [
        (0.0, 0, false),
        (7.75, 1, false),
        (23.25, 3, false),
        (24.0, 4, true),
        (31.0, 4, true),
        (31.01, 5, true),
        (48.0, 7, true),
    ] {
        let flight = stairs::flight_at_limits(inches * INCH).expect("sensible");
        assert_eq!(
            (flight.risers, flight.handrail),
            (risers, handrail),
            "{inches} in"
        );
        assert_eq!(flight.treads, risers.saturating_sub(1));
        near(
            flight.run,
            f64::from(flight.treads) * 10.0 * INCH,
            1e-12,
            "run",
        );
        near(
            flight.riser * f64::from(risers),
            inches * INCH,
            1e-12,
            "risers make the rise",
        );
    }
    for bad in [-1.0, f64::NAN, f64::INFINITY, 1e9] {
        assert!(stairs::flight_at_limits(bad).is_none());
    }
    assert!(stairs::flight(1.0, 0.0, 0.25).is_none());
}

/// 29 CFR 1926.1408 Table A (cfr.laws-info.com, read twice): "up to" includes the end value; above 1000 kV the utility
/// decides. Triggers 20 and 50 ft (one secondary page); an unknown voltage gets the larger.
#[test]
fn power_lines() {
    for (kilovolts, feet) in [
        (0.0, 10.0),
        (7.2, 10.0),
        (50.0, 10.0),
        (50.001, 15.0),
        (200.0, 15.0),
        (350.0, 20.0),
        (500.0, 25.0),
        (750.0, 35.0),
        (1000.0, 45.0),
    ] {
        let clearance = line_clearance(kilovolts * 1000.0).expect("in the table");
        near(clearance / FOOT, feet, 1e-12, "Table A");
    }
    assert_eq!(line_clearance(1_000_001.0), None);
    assert_eq!(line_clearance(f64::NAN), None);
    for (volts, feet) in [
        (Some(7200.0), 20.0),
        (Some(350_000.0), 20.0),
        (Some(350_001.0), 50.0),
        (None, 50.0),
        (Some(f64::NAN), 50.0),
    ] {
        near(trigger_distance(volts) / FOOT, feet, 1e-12, "trigger");
    }
}

/// Annex MI-008 as tabulated (read on two pages, recomputed), lengths 2, 3, 5, 8, 10 m,
/// in mm; the length is rounded up to the next whole metre.
#[test]
fn tapes() {
    let lengths = [2.0, 3.0, 5.0, 8.0, 10.0];
    for (class, printed) in [
        (TapeClass::First, [0.3, 0.4, 0.6, 0.9, 1.1]),
        (TapeClass::Second, [0.7, 0.9, 1.3, 1.9, 2.3]),
        (TapeClass::Third, [1.4, 1.8, 2.6, 3.8, 4.6]),
    ] {
        for (length, millimetres) in lengths.iter().zip(printed) {
            for shorter in [0.0, 0.3] {
                let error = greatest_error(class, length - shorter).expect("sensible");
                near(error * 1000.0, millimetres, 1e-12, "tape");
            }
        }
    }
    assert_eq!(greatest_error(TapeClass::First, f64::NAN), None);
}

/// Pounds in a US gallon by temperature (a public engineering table, read; it rounds a cubic foot to 7.48 gal
/// and interpolates its own table, hence a tolerance of 0.05 %).
#[test]
fn pounds_in_a_gallon() {
    for (fahrenheit, pounds) in [
        (40.0, 8.3451),
        (50.0, 8.3430),
        (60.0, 8.3378),
        (70.0, 8.3290),
        (80.0, 8.3176),
        (100.0, 8.2877),
    ] {
        let celsius = (fahrenheit - 32.0) / 1.8;
        let ours = water::pounds_per_gallon(celsius).expect("in the table");
        near(ours / pounds, 1.0, 0.000_5, "lb/gal");
    }
}

/// 1,500 gal at 9 gpm take 2.78 h (worked out); 5 gal in 40 s are 7.5 gpm (one secondary page).
#[test]
fn filling() {
    let gallons_per_minute = US_GALLON / 60.0;
    let hours = water::fill_hours(1500.0 * US_GALLON, 9.0 * gallons_per_minute);
    prints_as(hours.expect("sensible"), 2.78, 0.01, "fill");
    let flow = water::flow_from_bucket(5.0 * US_GALLON, 40.0).expect("sensible");
    near(flow.value / gallons_per_minute, 7.5, 1e-12, "bucket");
    assert_eq!(water::fill_hours(1.0, 0.0), None);
}

/// ASTM F1346-91 7.1, 7.1.1, 9.1.1 as quoted on two pages: 485 lb over 8 ft, 275 lb up to it.
#[test]
fn cover_loads() {
    let pounds = |feet: f64| whole(astm_f1346::cover_load(feet * FOOT) / POUND);
    assert_eq!([pounds(7.9), pounds(8.0), pounds(8.01)], [275, 275, 485]);
    assert_eq!(whole(astm_f1346::cover_load(f64::NAN) / POUND), 485);
}

/// 13 ft 6 in is 162 in (common practice, no source).
#[test]
fn rig_height() {
    near(vehicles::RIG_HEIGHT.value / INCH, 162.0, 1e-12, "rig");
}

/// A 3-4-5 triangle (worked out): a boom of 5 m whose pivot lies 1 m behind the centre and 2 m up puts its tip at
/// radius 2 and 6 m up. An edge on the boom's own line has no clearance; one 0.5 m square below it has 0.5 m.
#[test]
fn boom_triangle() {
    let boom = boom_at_radius(5.0, 2.0, 1.0, 2.0).expect("it reaches");
    near(boom.tip_height, 6.0, 1e-12, "tip");
    let (x, h) = (0.5 * 3.0 - 1.0, 0.5 * 4.0 + 2.0);
    let on_line = boom_clearance(x, 1.0, h, 2.0, boom.angle).expect("sensible");
    near(on_line.value, 0.0, 1e-12, "on the line");
    let below = boom_clearance(x + 0.5 * 0.8, 1.0, h - 0.5 * 0.6, 2.0, boom.angle);
    near(below.expect("sensible").value, 0.5, 1e-12, "below the line");
    assert!(boom_at_radius(5.0, 4.5, 1.0, 2.0).is_none(), "too short");
    assert!(boom_clearance(1.0, 1.0, 1.0, 1.0, 91.0).is_none());
}

/// A remembered or once-read value is not enough to clear; a value read in two places is.
#[test]
fn standing_of_sources() {
    assert!(!tables::crane::OUTRIGGER_SHARE.source.status.may_clear());
    assert!(!tables::push_limits::START.source.status.may_clear());
    assert!(
        !tables::rolling::SMALL_HARD_ON_HARD
            .source
            .status
            .may_clear()
    );
    assert!(tables::osha_1926::TABLE_A.source.status.may_clear());
    let line = tables::nec::WITHIN_SIGHT.source.line();
    assert!(line.ends_with("from memory, not verified"), "{line}");
}

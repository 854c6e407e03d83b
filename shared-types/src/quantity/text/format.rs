//! Quantities other than lengths, as the trade writes them: `4,850 lb`, `2.1 %`, `7.5 gal/min`.

use super::super::unit::{Unit, UnitSystem};
use super::super::{Dimension, Length, Quantity};
use super::exact::Exact;
use super::format_length::{format_length, with_thousands};

/// A quantity in the usual unit of its dimension, rounded for reading: to whole units from 100 up, tenths from 1 up,
/// else to two places that show something. The unit is always written (a count has none).
///
/// Watts and volt-amperes are kept alike; this writes watts. Use [`format_in`] to choose the unit.
///
/// ```
/// use setdown_types::quantity::text::format_quantity;
/// use setdown_types::quantity::{Dimension, Quantity, UnitSystem};
/// let weight = Quantity::new(Dimension::Mass, 453_592_370 * 4_850);
/// assert_eq!(format_quantity(weight, UnitSystem::Us), "4,850 lb");
/// assert_eq!(format_quantity(weight, UnitSystem::Metric), "2,200 kg");
/// ```
pub fn format_quantity(quantity: Quantity, system: UnitSystem) -> String {
    match quantity.dimension {
        Dimension::Length => format_length(Length::from_nanometres(quantity.base), system),
        Dimension::Duration => format_duration(quantity),
        dimension => format_in(quantity, usual_unit(dimension, system)),
    }
}

/// A quantity in `unit`, rounded as by [`format_quantity`]. A unit of another dimension is not used; the usual US one is.
pub fn format_in(quantity: Quantity, unit: Unit) -> String {
    let unit = if unit.dimension() == quantity.dimension {
        unit
    } else {
        usual_unit(quantity.dimension, UnitSystem::Us)
    };
    let (numerator, denominator) = unit.size();
    let value = Exact::new(numerator, denominator)
        .and_then(|size| Exact::whole(quantity.base).divide(size))
        .map(readable_number)
        .unwrap_or_else(|| quantity.base.to_string());
    match unit {
        Unit::Each => value,
        Unit::Degree => format!("{value}°"),
        _ => format!("{value} {}", unit.symbol()),
    }
}

/// The unit a dimension is shown in.
const fn usual_unit(dimension: Dimension, system: UnitSystem) -> Unit {
    match (dimension, system) {
        (Dimension::Length, UnitSystem::Us) => Unit::Inch,
        (Dimension::Length, UnitSystem::Metric) => Unit::Metre,
        (Dimension::Mass, UnitSystem::Us) => Unit::Pound,
        (Dimension::Mass, UnitSystem::Metric) => Unit::Kilogram,
        (Dimension::Volume, UnitSystem::Us) => Unit::Gallon,
        (Dimension::Volume, UnitSystem::Metric) => Unit::Litre,
        (Dimension::Area, UnitSystem::Us) => Unit::SquareFoot,
        (Dimension::Area, UnitSystem::Metric) => Unit::SquareMetre,
        (Dimension::Flow, UnitSystem::Us) => Unit::GallonPerMinute,
        (Dimension::Flow, UnitSystem::Metric) => Unit::LitrePerMinute,
        (Dimension::Force, UnitSystem::Us) => Unit::PoundForce,
        (Dimension::Force, UnitSystem::Metric) => Unit::Newton,
        (Dimension::Pressure, UnitSystem::Us) => Unit::PoundPerSquareFoot,
        (Dimension::Pressure, UnitSystem::Metric) => Unit::Kilopascal,
        (Dimension::Speed, UnitSystem::Us) => Unit::MilePerHour,
        (Dimension::Speed, UnitSystem::Metric) => Unit::KilometrePerHour,
        (Dimension::Slope, _) => Unit::Percent,
        (Dimension::Angle, _) => Unit::Degree,
        (Dimension::Current, _) => Unit::Ampere,
        (Dimension::Voltage, _) => Unit::Volt,
        (Dimension::Power, _) => Unit::Watt,
        (Dimension::Duration, _) => Unit::Minute,
        (Dimension::Count, _) => Unit::Each,
    }
}

/// Seconds up to two minutes, minutes up to two hours, hours and minutes up to two days, then days and hours.
fn format_duration(quantity: Quantity) -> String {
    const MINUTE: i64 = 60_000_000;
    const HOUR: i64 = 60 * MINUTE;
    const DAY: i64 = 24 * HOUR;
    let size = quantity.base.unsigned_abs();
    let at_least = |limit: i64| size >= limit.unsigned_abs();
    if at_least(2 * DAY) {
        two_units(quantity.base, (DAY, "days"), (HOUR, "h"))
    } else if at_least(2 * HOUR) {
        two_units(quantity.base, (HOUR, "h"), (MINUTE, "min"))
    } else if at_least(2 * MINUTE) {
        format_in(quantity, Unit::Minute)
    } else {
        format_in(quantity, Unit::Second)
    }
}

fn two_units(base: i64, large: (i64, &str), small: (i64, &str)) -> String {
    let (base, large_size, small_size) =
        (i128::from(base), i128::from(large.0), i128::from(small.0));
    let count = (base.abs() + small_size / 2) / small_size;
    let per_large = (large_size / small_size).max(1);
    let sign = if base < 0 { "-" } else { "" };
    let whole = with_thousands(count / per_large);
    match count % per_large {
        0 => format!("{sign}{whole} {}", large.1),
        rest => format!("{sign}{whole} {} {rest} {}", large.1, small.1),
    }
}

fn readable_number(value: Exact) -> String {
    let size = if value.approximate() < 0.0 {
        value.negate().unwrap_or(value)
    } else {
        value
    };
    let mut places = match size {
        size if size.at_least(100) => 0,
        size if size.at_least(1) => 1,
        _ => 2,
    };
    while places < 6 && !value.is_zero() && rounds_to_nothing(value, places) {
        places += 1;
    }
    number_with_places(value, places)
}

fn rounds_to_nothing(value: Exact, places: u32) -> bool {
    scaled(value, places) == Some(0)
}

fn scaled(value: Exact, places: u32) -> Option<i64> {
    value
        .multiply(Exact::whole(10_i64.checked_pow(places)?))?
        .round()
}

/// The number to at most `places` places, zeros at the end dropped, with commas for thousands.
pub(super) fn number_with_places(value: Exact, places: u32) -> String {
    let Some((count, scale)) = scaled(value, places).zip(10_i64.checked_pow(places)) else {
        return value
            .round()
            .map(|whole| with_thousands(i128::from(whole)))
            .unwrap_or_default();
    };
    let sign = if count < 0 { "-" } else { "" };
    let size = i128::from(count).abs();
    let scale = i128::from(scale);
    let whole = with_thousands(size / scale);
    let width = usize::try_from(places).unwrap_or(0);
    let decimals = format!("{:0width$}", size % scale);
    let decimals = decimals.trim_end_matches('0');
    if places == 0 || decimals.is_empty() {
        format!("{sign}{whole}")
    } else {
        format!("{sign}{whole}.{decimals}")
    }
}

//! The units people write, each with its exact size in base units.
//!
//! Sizes follow from the definitions 1 in = 25.4 mm, 1 lb = 0.453 592 37 kg, 1 US gal = 231 in³ and standard gravity
//! 9.806 65 m/s² (from memory). [`unit_table`] hands them out so that a test can hold each against an independent
//! unit library.

use super::Dimension;
use serde::{Deserialize, Serialize};

/// US customary or metric, for what is shown. Both are understood when typed, whatever is shown.
#[derive(
    Clone, Copy, Debug, Default, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize,
)]
#[serde(rename_all = "snake_case")]
pub enum UnitSystem {
    /// Feet, inches, pounds, gallons.
    #[default]
    Us,
    /// Metres, kilograms, litres.
    Metric,
}

/// Declares every unit once: name, dimension, symbol, other spellings, and its size as `numerator / denominator` base
/// units. Spellings are lower case without spaces or full stops.
macro_rules! units {
    ($($(#[$doc:meta])* $name:ident, $dimension:ident, $symbol:literal, [$($spelling:literal),*], $numerator:expr, $denominator:expr;)*) => {
        /// A unit that can be typed or shown.
        #[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
        #[serde(rename_all = "snake_case")]
        pub enum Unit { $($(#[$doc])* $name,)* }

        impl Unit {
            /// Every unit, grouped by dimension.
            pub const ALL: &'static [Unit] = &[$(Unit::$name,)*];

            /// What the unit measures.
            pub const fn dimension(self) -> Dimension {
                match self { $(Unit::$name => Dimension::$dimension,)* }
            }

            /// How the unit is written on screen.
            pub const fn symbol(self) -> &'static str {
                match self { $(Unit::$name => $symbol,)* }
            }

            /// Spellings understood when typed, lower case, without spaces or full stops.
            pub(crate) const fn spellings(self) -> &'static [&'static str] {
                match self { $(Unit::$name => &[$($spelling),*],)* }
            }

            /// The exact size of the unit in base units of its dimension, as numerator and denominator.
            pub(crate) const fn size(self) -> (i128, i128) {
                match self { $(Unit::$name => ($numerator, $denominator),)* }
            }
        }
    };
}

/// One pound-force in 10⁻⁴ nN: 0.453 592 37 kg × 9.806 65 m/s², exact by definition.
const POUND_FORCE: i128 = 44_482_216_152_605;

units! {
    /// 25.4 mm.
    Inch, Length, "in", ["in", "ins", "inch", "inches"], 25_400_000, 1;
    /// 12 in.
    Foot, Length, "ft", ["ft", "foot", "feet"], 304_800_000, 1;
    /// 3 ft.
    Yard, Length, "yd", ["yd", "yds", "yard", "yards"], 914_400_000, 1;
    /// 10⁻³ m.
    Millimetre, Length, "mm", ["mm", "millimetre", "millimetres", "millimeter", "millimeters"], 1_000_000, 1;
    /// 10⁻² m.
    Centimetre, Length, "cm", ["cm", "centimetre", "centimetres", "centimeter", "centimeters"], 10_000_000, 1;
    /// The SI unit.
    Metre, Length, "m", ["m", "metre", "metres", "meter", "meters"], 1_000_000_000, 1;

    /// The international avoirdupois pound.
    Pound, Mass, "lb", ["lb", "lbs", "pound", "pounds"], 453_592_370, 1;
    /// 2,000 lb. Plain "ton" is not understood: it may also mean 1,000 kg.
    ShortTon, Mass, "short ton", ["shortton", "shorttons", "uston", "ustons"], 907_184_740_000, 1;
    /// 10⁻³ kg.
    Gram, Mass, "g", ["g", "gram", "grams"], 1_000_000, 1;
    /// The SI unit.
    Kilogram, Mass, "kg", ["kg", "kgs", "kilo", "kilos", "kilogram", "kilograms"], 1_000_000_000, 1;
    /// 1,000 kg.
    Tonne, Mass, "t", ["t", "tonne", "tonnes", "metricton", "metrictons"], 1_000_000_000_000, 1;

    /// The US gallon, 231 in³.
    Gallon, Volume, "gal", ["gal", "gals", "gallon", "gallons", "usgal", "usgallon", "usgallons"], 3_785_411_784, 1;
    /// 10⁻³ m³.
    Litre, Volume, "L", ["l", "litre", "litres", "liter", "liters"], 1_000_000_000, 1;
    /// 1 ft³.
    CubicFoot, Volume, "cu ft", ["cuft", "ft3", "cufoot", "cufeet", "cf"], 28_316_846_592, 1;
    /// 27 ft³.
    CubicYard, Volume, "cu yd", ["cuyd", "cuyds", "yd3", "cuyard", "cuyards", "cy"], 764_554_857_984, 1;
    /// The SI unit.
    CubicMetre, Volume, "m³", ["m3", "cum", "cumetre", "cumetres", "cumeter", "cumeters"], 1_000_000_000_000, 1;

    /// 1 ft².
    SquareFoot, Area, "sq ft", ["sqft", "ft2", "sqfoot", "sqfeet", "sf"], 92_903_040_000, 1;
    /// 1 in².
    SquareInch, Area, "sq in", ["sqin", "in2", "sqinch", "sqinches"], 645_160_000, 1;
    /// 1 yd².
    SquareYard, Area, "sq yd", ["sqyd", "yd2", "sqyard", "sqyards"], 836_127_360_000, 1;
    /// The SI unit.
    SquareMetre, Area, "m²", ["m2", "sqm", "sqmetre", "sqmetres", "sqmeter", "sqmeters"], 1_000_000_000_000, 1;

    /// One of rise in a hundred of run.
    Percent, Slope, "%", ["%", "percent", "pct"], 10_000_000, 1;
    /// One inch of rise in a foot of run.
    InchPerFoot, Slope, "in/ft", ["in/ft", "inch/foot", "inches/foot", "in/foot", "inch/ft", "inches/ft"], 1_000_000_000, 12;
    /// One millimetre of rise in a metre of run.
    MillimetrePerMetre, Slope, "mm/m", ["mm/m"], 1_000_000, 1;
    /// One centimetre of rise in a metre of run.
    CentimetrePerMetre, Slope, "cm/m", ["cm/m"], 10_000_000, 1;

    /// A 360th of a turn. A slope may be typed in degrees too.
    Degree, Angle, "°", ["°", "º", "deg", "degs", "degree", "degrees"], 1_000_000_000, 1;

    /// The SI unit.
    Ampere, Current, "A", ["a", "amp", "amps", "ampere", "amperes"], 1_000_000, 1;
    /// 10⁻³ A.
    Milliampere, Current, "mA", ["ma", "milliamp", "milliamps", "milliampere", "milliamperes"], 1_000, 1;

    /// The SI unit.
    Volt, Voltage, "V", ["v", "volt", "volts", "vac"], 1_000_000, 1;
    /// 1,000 V.
    Kilovolt, Voltage, "kV", ["kv", "kilovolt", "kilovolts"], 1_000_000_000, 1;

    /// The SI unit.
    Watt, Power, "W", ["w", "watt", "watts"], 1_000_000, 1;
    /// 1,000 W.
    Kilowatt, Power, "kW", ["kw", "kilowatt", "kilowatts"], 1_000_000_000, 1;
    /// Apparent power, counted like watts.
    VoltAmpere, Power, "VA", ["va", "voltampere", "voltamperes", "voltamps", "volt-amperes"], 1_000_000, 1;
    /// 1,000 VA.
    KilovoltAmpere, Power, "kVA", ["kva"], 1_000_000_000, 1;
    /// Mechanical horsepower, 550 ft·lbf/s exactly.
    Horsepower, Power, "hp", ["hp", "horsepower"], 550 * 3048 * POUND_FORCE, 100_000_000_000;

    /// US gallons a minute.
    GallonPerMinute, Flow, "gal/min", ["gal/min", "gpm", "gal/minute", "gallons/minute", "gallon/minute", "gallons/min"], 63_090_196_400, 1;
    /// US gallons an hour.
    GallonPerHour, Flow, "gal/h", ["gal/h", "gph", "gal/hr", "gal/hour", "gallons/hour"], 63_090_196_400, 60;
    /// Litres a minute.
    LitrePerMinute, Flow, "L/min", ["l/min", "lpm", "litres/minute", "liters/minute", "l/minute"], 1_000_000_000_000, 60;
    /// Litres a second.
    LitrePerSecond, Flow, "L/s", ["l/s", "lps", "l/sec"], 1_000_000_000_000, 1;
    /// Cubic feet a second.
    CubicFootPerSecond, Flow, "cu ft/s", ["cuft/s", "ft3/s", "cfs", "cuft/sec", "cufeet/second"], 28_316_846_592_000, 1;
    /// Cubic metres an hour.
    CubicMetrePerHour, Flow, "m³/h", ["m3/h", "m3/hr", "m3/hour"], 1_000_000_000_000_000, 3_600;

    /// The force of one pound under standard gravity; plain "lb" is understood where a force is asked for.
    PoundForce, Force, "lbf", ["lbf", "lb", "lbs", "pound", "pounds", "poundforce"], POUND_FORCE, 10_000;
    /// The SI unit.
    Newton, Force, "N", ["n", "newton", "newtons"], 1_000_000_000, 1;
    /// 1,000 N.
    Kilonewton, Force, "kN", ["kn", "kilonewton", "kilonewtons"], 1_000_000_000_000, 1;
    /// The force of one kilogram under standard gravity, 9.806 65 N.
    KilogramForce, Force, "kgf", ["kgf"], 9_806_650_000, 1;

    /// Pounds-force a square foot.
    PoundPerSquareFoot, Pressure, "psf", ["psf", "lb/sqft", "lb/ft2", "lbf/ft2", "lbf/sqft", "lbs/sqft"], POUND_FORCE * 10, 64_516 * 144;
    /// Pounds-force a square inch.
    PoundPerSquareInch, Pressure, "psi", ["psi", "lb/sqin", "lb/in2", "lbf/in2", "lbf/sqin", "lbs/sqin"], POUND_FORCE * 10, 64_516;
    /// The SI unit.
    Pascal, Pressure, "Pa", ["pa", "pascal", "pascals"], 1_000_000, 1;
    /// 1,000 Pa.
    Kilopascal, Pressure, "kPa", ["kpa", "kilopascal", "kilopascals"], 1_000_000_000, 1;

    /// Miles an hour.
    MilePerHour, Speed, "mph", ["mph", "mi/h", "miles/hour", "mile/hour"], 447_040, 1;
    /// Kilometres an hour.
    KilometrePerHour, Speed, "km/h", ["km/h", "kmh", "kph", "km/hr", "km/hour"], 10_000_000, 36;
    /// The SI unit.
    MetrePerSecond, Speed, "m/s", ["m/s", "m/sec", "mps"], 1_000_000, 1;
    /// Feet a second.
    FootPerSecond, Speed, "ft/s", ["ft/s", "fps", "ft/sec", "feet/second"], 304_800, 1;

    /// The SI unit.
    Second, Duration, "s", ["s", "sec", "secs", "second", "seconds"], 1_000_000, 1;
    /// 60 s.
    Minute, Duration, "min", ["min", "mins", "minute", "minutes"], 60_000_000, 1;
    /// 60 min.
    Hour, Duration, "h", ["h", "hr", "hrs", "hour", "hours"], 3_600_000_000, 1;
    /// 24 h.
    Day, Duration, "days", ["day", "days", "d"], 86_400_000_000, 1;

    /// Whole things; written without a unit.
    Each, Count, "", ["", "each", "pc", "pcs", "piece", "pieces"], 1, 1;
}

impl Unit {
    /// The unit of `dimension` that is spelt `spelling` (lower case, without spaces or full stops).
    pub(crate) fn named(dimension: Dimension, spelling: &str) -> Option<Unit> {
        Unit::ALL
            .iter()
            .copied()
            .filter(|unit| unit.dimension() == dimension)
            .find(|unit| unit.spellings().contains(&spelling))
    }

    /// Which system the unit belongs to, where that matters for lengths.
    pub(crate) const fn length_system(self) -> UnitSystem {
        match self {
            Unit::Millimetre | Unit::Centimetre | Unit::Metre => UnitSystem::Metric,
            _ => UnitSystem::Us,
        }
    }
}

/// Every unit with its size in the SI unit of its dimension (degrees for angles, plain ratio for slopes).
///
/// For comparing with an independent unit library. Sizes are the `f64` nearest to the exact one, give or take one
/// unit in the last place.
pub fn unit_table() -> Vec<(Dimension, &'static str, f64)> {
    Unit::ALL
        .iter()
        .map(|unit| {
            let (numerator, denominator) = unit.size();
            let base = numerator as f64 / denominator as f64;
            let dimension = unit.dimension();
            (dimension, unit.symbol(), base / dimension.base_per_si())
        })
        .collect()
}

//! Exact unit factors to SI for writing published values down as they were printed.

/// Metres in an inch, exact.
pub const INCH: f64 = 0.0254;
/// Metres in a foot, exact.
pub const FOOT: f64 = 0.3048;
/// Kilograms in a pound, exact.
pub const POUND: f64 = 0.453_592_37;
/// Newtons in a pound-force: the pound at standard gravity, exact.
pub const POUND_FORCE: f64 = 4.448_221_615_260_5;
/// Pascals in a pound-force per square foot.
pub const POUND_PER_SQUARE_FOOT: f64 = POUND_FORCE / (FOOT * FOOT);
/// Newtons in a kilogram-force, exact.
pub const KILOGRAM_FORCE: f64 = 9.806_65;
/// Cubic metres in a US gallon, exact (231 cubic inches).
pub const US_GALLON: f64 = 0.003_785_411_784;
/// Metres per second in a mile per hour, exact.
pub const MILE_PER_HOUR: f64 = 0.447_04;

//! The kinds of quantity, and the base unit each is counted in.

use serde::{Deserialize, Serialize};

/// What kind of thing a quantity measures.
///
/// Each dimension has a base unit (the whole units that are stored) and an SI unit (what computation uses). Two
/// quantities can only be added or compared if their dimensions agree.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(rename_all = "snake_case")]
pub enum Dimension {
    /// Base nanometre, SI metre. 1 in = 25 400 000 nm exactly.
    Length,
    /// Base microgram, SI kilogram. 1 lb = 453 592 370 µg exactly.
    Mass,
    /// Base nanolitre, SI cubic metre. 1 US gal = 3 785 411 784 nL exactly.
    Volume,
    /// Base square micrometre, SI square metre. 1 ft² = 92 903 040 000 µm² exactly.
    Area,
    /// Base one part in 10⁹ of rise over run, SI the plain ratio (2 % is 0.02).
    Slope,
    /// Base nanodegree; the computing unit is the **degree**, not the radian.
    Angle,
    /// Base microampere, SI ampere.
    Current,
    /// Base microvolt, SI volt.
    Voltage,
    /// Base microwatt, SI watt. Volt-amperes are kept here too, one for one.
    Power,
    /// Base picolitre per second, SI cubic metre per second. 1 gal/min = 63 090 196 400 pL/s exactly.
    Flow,
    /// Base nanonewton, SI newton.
    Force,
    /// Base micropascal, SI pascal.
    Pressure,
    /// Base micrometre per second, SI metre per second. 1 mph = 447 040 µm/s exactly.
    Speed,
    /// Base microsecond, SI second.
    Duration,
    /// Whole things, counted one by one.
    Count,
}

impl Dimension {
    /// Every dimension, in the order of the enum.
    pub const ALL: [Dimension; 15] = [
        Dimension::Length,
        Dimension::Mass,
        Dimension::Volume,
        Dimension::Area,
        Dimension::Slope,
        Dimension::Angle,
        Dimension::Current,
        Dimension::Voltage,
        Dimension::Power,
        Dimension::Flow,
        Dimension::Force,
        Dimension::Pressure,
        Dimension::Speed,
        Dimension::Duration,
        Dimension::Count,
    ];

    /// How many base units make one SI unit (one degree for [`Dimension::Angle`]). Always a power of ten.
    pub const fn base_per_si(self) -> f64 {
        match self {
            Dimension::Length
            | Dimension::Mass
            | Dimension::Slope
            | Dimension::Angle
            | Dimension::Force => 1e9,
            Dimension::Volume | Dimension::Area => 1e12,
            Dimension::Flow => 1e15,
            Dimension::Current
            | Dimension::Voltage
            | Dimension::Power
            | Dimension::Pressure
            | Dimension::Speed
            | Dimension::Duration => 1e6,
            Dimension::Count => 1.0,
        }
    }

    /// The plain English word for the dimension, for messages.
    pub const fn word(self) -> &'static str {
        match self {
            Dimension::Length => "length",
            Dimension::Mass => "weight",
            Dimension::Volume => "volume",
            Dimension::Area => "area",
            Dimension::Slope => "slope",
            Dimension::Angle => "angle",
            Dimension::Current => "current",
            Dimension::Voltage => "voltage",
            Dimension::Power => "power",
            Dimension::Flow => "flow",
            Dimension::Force => "force",
            Dimension::Pressure => "pressure",
            Dimension::Speed => "speed",
            Dimension::Duration => "time",
            Dimension::Count => "count",
        }
    }
}

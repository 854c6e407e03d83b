//! Density of water by temperature at atmospheric pressure.

use super::{Row, Source, Status};

/// Degrees Celsius and kg/m³, rising in temperature.
pub const DENSITY: Row<[(f64, f64); 10]> = Row::new(
    [
        (0.0, 999.8395),
        (4.0, 999.9720),
        (10.0, 999.7026),
        (15.0, 999.1026),
        (20.0, 998.2071),
        (22.0, 997.7735),
        (25.0, 997.0479),
        (30.0, 995.6502),
        (40.0, 992.2),
        (60.0, 983.2),
    ],
    Source::published(
        "table of the density of water by temperature",
        "0 to 60 °C",
        "",
        Status::Read2,
    ),
);

/// The pounds in a US gallon of water used for loads: cold water, the heavier end of the filling's range.
pub const POUNDS_PER_GALLON: Row<f64> = Row::new(
    8.34,
    Source::published(
        "table of the density of water",
        "50 to 60 °F",
        "",
        Status::Read,
    ),
);

//! How hard one person may push or pull, in newtons.

use super::units::{KILOGRAM_FORCE, POUND_FORCE};
use super::{Row, Source, Status};

const fn trade_guide() -> Source {
    Source::published(
        "workplace safety guide on carts",
        "after a study of acceptable pushing forces",
        "1991",
        Status::ReadSecondary,
    )
}

/// To start a load moving, one person.
pub const START: Row<f64> = Row::new(50.0 * POUND_FORCE, trade_guide());
/// To keep it moving for a minute or over 10 ft, one person.
pub const SUSTAINED: Row<f64> = Row::new(25.0 * POUND_FORCE, trade_guide());
/// To stop it in an emergency within 3 ft, one person.
pub const EMERGENCY_STOP: Row<f64> = Row::new(80.0 * POUND_FORCE, trade_guide());
/// The UK risk filter to start or stop a load, men.
pub const UK_START_MEN: Row<f64> = Row::new(
    20.0 * KILOGRAM_FORCE,
    Source::published("HSE Research Report 228", "", "2004", Status::Read),
);
/// The UK risk filter to start or stop a load, women.
pub const UK_START_WOMEN: Row<f64> = Row::new(
    15.0 * KILOGRAM_FORCE,
    Source::published("HSE Research Report 228", "", "2004", Status::Read),
);

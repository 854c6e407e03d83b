//! The table of checks: one module per area, one file per check or close family.

mod base;
mod power;
mod reach;
mod spot;
mod vault;

use crate::frame::spec::Check;

/// Every check, in the order in which screens and sheets list them.
pub fn all() -> impl Iterator<Item = &'static Check> {
    [
        reach::CHECKS,
        spot::CHECKS,
        base::CHECKS,
        vault::CHECKS,
        power::CHECKS,
    ]
    .into_iter()
    .flatten()
}

/// The check with this key.
pub fn find(key: &str) -> Option<&'static Check> {
    all().find(|check| check.key == key)
}

//! The table of checks: one module per area, one file per check or close family.

mod base;
mod cover;
mod entry;
mod fact;
mod permission;
mod power;
pub(crate) mod reach;
mod spot;
mod stage;
mod vault;
mod water;

use crate::frame::spec::Check;

/// Every check, in the order in which screens and sheets list them.
pub fn all() -> impl Iterator<Item = &'static Check> {
    [
        reach::CHECKS,
        spot::CHECKS,
        base::CHECKS,
        vault::CHECKS,
        power::CHECKS,
        water::CHECKS,
        entry::CHECKS,
        cover::CHECKS,
        permission::CHECKS,
        stage::CHECKS,
    ]
    .into_iter()
    .flatten()
}

/// The check with this key.
pub fn find(key: &str) -> Option<&'static Check> {
    all().find(|check| check.key == key)
}

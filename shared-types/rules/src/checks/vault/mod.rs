//! Vault: below grade. This version does not assess it, and says so instead of passing it over.

use setdown_types::party::Party;
use setdown_types::subject::Subject;

use super::base::placing::{Placing, of};
use crate::frame::context::Context;
use crate::frame::result::{HoldPoint, Line};
use crate::frame::spec::{Area, Check};

/// Hold points that name the vault: all of them, since a unit that floats or cannot be lowered is not ordered.
const VAULT: &[HoldPoint] = &[
    HoldPoint::Order,
    HoldPoint::Dig,
    HoldPoint::CloseIn,
    HoldPoint::Deliver,
    HoldPoint::Fill,
    HoldPoint::Start,
    HoldPoint::FirstUse,
];

/// The checks of this area.
pub const CHECKS: &[Check] = &[Check::new("vault.assessed", Area::Vault, assessed)
    .stopper()
    .holds(VAULT)
    .owner(Party::Office)];

/// A recessed site stays open here whatever is answered: flotation, walls, drainage and room are not worked out yet.
fn assessed(context: &Context<'_>) {
    context.caution("caution.vault");
    let item = context.item(Subject::SITE);
    match of(context) {
        None => item.wait(),
        Some(Placing::Vault | Placing::PartlyRecessed) => {
            context.action(Party::Office, Line::new("vault.assessed.engineer"), 60.0);
            item.open("vault.assessed.not_in_this_version");
        }
        Some(Placing::OnGrade | Placing::RaisedDeck | Placing::Indoors) => {
            item.not_needed("vault.assessed.not_recessed");
        }
    }
}

#[cfg(test)]
mod tests {
    use crate::frame::result::Outcome;
    use crate::frame::testing::TestSite;

    #[test]
    fn a_recessed_site_stays_open_and_another_needs_nothing() {
        for (placing, expect) in [
            ("vault", Outcome::Open),
            ("partly_recessed", Outcome::Open),
            ("on_grade", Outcome::NotNeeded),
            ("raised_deck", Outcome::NotNeeded),
            ("indoors", Outcome::NotNeeded),
        ] {
            let site = TestSite::new().choice("site", "base.placing", placing);
            assert_eq!(site.outcome("vault.assessed"), expect, "{placing}");
        }
        assert_eq!(TestSite::new().outcome("vault.assessed"), Outcome::Open);
    }

    /// The unit is not ordered for a place of which nobody has said that it stays down and can be lowered in.
    #[test]
    fn a_recessed_unit_cannot_be_ordered() {
        assert!(
            super::CHECKS[0]
                .hold_points
                .contains(&super::HoldPoint::Order)
        );
    }
}

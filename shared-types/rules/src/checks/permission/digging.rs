//! Whether anything is dug: the answer, held against what the base and the supply are said to be.

use setdown_types::subject::Subject;

use crate::checks::base::placing::{Kind, Placing, kind_of, of};
use crate::frame::context::Context;

/// What is known about digging.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub(in crate::checks) enum Digging {
    /// Something goes into the ground.
    Yes,
    /// Nothing does, and nothing that is planned says otherwise.
    No,
    /// Somebody said no, and what is planned cannot be built without.
    Contradicted,
    /// An answer is missing and on record.
    NotSaid,
}

/// A new slab, rock, a pad on prepared ground, a sunk unit and a bonding ring are all dug for: common practice, no
/// source. A no stands only beside an answer to where the unit stands and on what.
pub(in crate::checks) fn digging(context: &Context<'_>) -> Digging {
    match context.yes(Subject::SITE, "utilities.digging") {
        None => return Digging::NotSaid,
        Some(true) => return Digging::Yes,
        Some(false) => {}
    }
    let (placing, kind) = (of(context), kind_of(context));
    let (Some(placing), Some(kind)) = (placing, kind) else {
        return Digging::NotSaid;
    };
    let sunk = matches!(placing, Placing::Vault | Placing::PartlyRecessed);
    let laid = matches!(kind, Kind::Slab | Kind::Rock | Kind::Pad);
    if sunk || laid || ring_planned(context) {
        Digging::Contradicted
    } else {
        Digging::No
    }
}

/// Whether a bonding ring goes into the ground. Asked by the bonding check where it matters, so only looked at here.
pub(in crate::checks) fn ring_planned(context: &Context<'_>) -> bool {
    context.optionally(|| context.yes(Subject::SITE, "bonding.ring_planned")) == Some(true)
}

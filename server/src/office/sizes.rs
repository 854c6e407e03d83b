//! Other sizes of the unit on a site's way in: worked out for whoever asks, recorded nowhere.

use std::sync::Arc;

use setdown_app::office::messages::{OfficeError, SizeAnswer, SizeAsked};
use setdown_rules::frame::result::Outcome;
use setdown_rules::motion::largest::largest_unit;
use setdown_rules::motion::scene::Fault;
use setdown_rules::motion::{Certified, Options, certify_scene, file};
use setdown_rules::plan::ledger::{CHECK, Wanted};

use super::told;
use crate::summary::{Assessed, away};
use crate::ways;

/// What is proved of another size.
///
/// # Errors
/// Bad input while the way itself is not settled: nothing is told as proved of a yard that is not known; and for a size
/// that no unit has.
pub async fn answer(assessed: Assessed, asked: SizeAsked) -> Result<SizeAnswer, OfficeError> {
    let check = assessed.assessment.check(CHECK);
    let judged = check.is_some_and(|check| check.worked_out() != Outcome::Open);
    let wanted = assessed.wanted.filter(|_| judged).ok_or_else(unsettled)?;
    let turn = ways::any_turn().await;
    let worked_out = away(move || {
        let worked_out = work_out(&wanted, asked);
        // The turn ends with the work, also where nobody waits for it any more.
        drop(turn);
        worked_out
    });
    worked_out.await.map_err(told)?.map_err(refused)
}

fn unsettled() -> OfficeError {
    OfficeError::bad_input(
        "The way in of this site is not settled yet, so no other size can be worked out. Finish the yard plan first.",
    )
}

fn refused(fault: Fault) -> OfficeError {
    OfficeError::bad_input(format!(
        "This size cannot be worked out: {fault}. Try another size."
    ))
}

fn work_out(wanted: &Wanted, asked: SizeAsked) -> Result<SizeAnswer, Fault> {
    match asked {
        SizeAsked::Largest(measured) => {
            let scene = file::read(&wanted.scene_text)?;
            let most_cells = Options::default().most_cells;
            largest_unit(&scene, measured, wanted.ends, most_cells).map(SizeAnswer::Limit)
        }
        SizeAsked::Length(inches) => {
            let certified = certified(&wanted.with_length(inches)?)?;
            Ok(SizeAnswer::Tried {
                verdict: certified.answer.verdict,
                lower: certified.answer.lower,
            })
        }
    }
}

fn certified(wanted: &Wanted) -> Result<Arc<Certified>, Fault> {
    if let Some(known) = ways::known(Some(wanted)).get(&wanted.digest) {
        return Ok(Arc::clone(known));
    }
    let certified = Arc::new(certify_scene(&wanted.scene_text, wanted.resolution)?);
    ways::keep(&certified);
    Ok(certified)
}

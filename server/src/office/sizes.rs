//! Other sizes of the unit on a site's way in: worked out for whoever asks, recorded nowhere.

use std::sync::Arc;

use setdown_app::office::messages::{OfficeError, SizeAnswer, SizeAsked};
use setdown_rules::frame::result::Outcome;
use setdown_rules::motion::largest::{Extent, Search, Sought};
use setdown_rules::motion::scene::Fault;
use setdown_rules::motion::{Certified, Options, certify_scene, file};
use setdown_rules::plan::ledger::{CHECK, Wanted};

use super::told;
use crate::summary::{Assessed, away};
use crate::ways;

/// What is proved of another size on the way in named `way`.
///
/// # Errors
/// Bad input while the way itself is not settled: nothing is told as proved of a yard that is not known; and for a size
/// that no unit has. A conflict where the yard is no longer that of `way`.
pub async fn answer(
    assessed: Assessed,
    way: &str,
    asked: SizeAsked,
) -> Result<SizeAnswer, OfficeError> {
    let check = assessed.assessment.check(CHECK);
    let judged = check.is_some_and(|check| check.worked_out() != Outcome::Open);
    let wanted = assessed.wanted.filter(|_| judged).ok_or_else(unsettled)?;
    if wanted.digest != way {
        return Err(other_yard());
    }
    match asked {
        SizeAsked::Largest(side) => {
            let sought = wanted.sought(side);
            limit(wanted, sought).await.map(SizeAnswer::Limit)
        }
        SizeAsked::Length(inches) => tried(&wanted, inches).await,
    }
}

fn unsettled() -> OfficeError {
    OfficeError::bad_input(
        "The way in of this site is not settled yet, so no other size can be worked out. Finish the yard plan first.",
    )
}

fn other_yard() -> OfficeError {
    let detail = "The yard plan has changed since this page showed it, so nothing was worked out. Load the page again, then ask again.";
    OfficeError::changed(detail, vec![CHECK.to_owned()])
}

fn refused(fault: Fault) -> OfficeError {
    OfficeError::bad_input(format!(
        "This size cannot be worked out: {fault}. Try another size."
    ))
}

/// The limit of a side, trial by trial: whoever waits for the solver meanwhile waits for one trial.
async fn limit(wanted: Wanted, sought: Sought) -> Result<Extent, OfficeError> {
    let name = format!("{}.{}", wanted.digest, sought.name());
    if let Some(extent) = ways::known_limit(&name) {
        return Ok(extent);
    }
    let mut search = worked_out(move || {
        let scene = file::read(&wanted.scene_text)?;
        Search::new(&scene, sought, Options::default().most_cells)
    })
    .await?;
    loop {
        // Somebody else may have found it meanwhile.
        if let Some(extent) = ways::known_limit(&name) {
            return Ok(extent);
        }
        let (after, more) = worked_out(move || {
            let more = search.step()?;
            Ok((search, more))
        })
        .await?;
        if !more {
            let extent = after.extent();
            ways::keep_limit(name, extent);
            return Ok(extent);
        }
        search = after;
    }
}

async fn tried(wanted: &Wanted, inches: f64) -> Result<SizeAnswer, OfficeError> {
    let wanted = wanted.with_length(inches).map_err(refused)?;
    let certified = match ways::known(Some(&wanted)).get(&wanted.digest) {
        Some(known) => Arc::clone(known),
        None => worked_out(move || certified(&wanted)).await?,
    };
    Ok(SizeAnswer::Tried {
        lower: certified.answer.lower,
        upper: certified.answer.upper,
    })
}

fn certified(wanted: &Wanted) -> Result<Arc<Certified>, Fault> {
    // Somebody else may have asked the same while this waited for its turn.
    if let Some(known) = ways::known(Some(wanted)).get(&wanted.digest) {
        return Ok(Arc::clone(known));
    }
    let certified = Arc::new(certify_scene(&wanted.scene_text, wanted.resolution)?);
    ways::keep(&certified);
    Ok(certified)
}

/// Work of the solver in its turn.
async fn worked_out<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Fault> + Send + 'static,
) -> Result<T, OfficeError> {
    let turn = ways::any_turn().await;
    let done = away(move || {
        let done = work();
        // The turn ends with the work, also where nobody waits for it any more.
        drop(turn);
        done
    });
    done.await.map_err(told)?.map_err(refused)
}

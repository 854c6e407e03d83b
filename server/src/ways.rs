//! Ways in that were worked out lately, kept under the digest of what was asked: the same question has the same answer
//! whoever asks, so all sites share them. Nothing here is a rule.

use std::sync::{Arc, Mutex, PoisonError};

use setdown_rules::Ways;
use setdown_rules::motion::Certified;
use setdown_rules::motion::largest::Extent;
use setdown_rules::plan::ledger::Wanted;
use tokio::sync::{Semaphore, SemaphorePermit};

/// How many answers are kept; one has some kilobytes.
const KEPT: usize = 256;

/// Held while a way is worked out: one processor at most is kept busy by it, and who asks the same meanwhile finds the
/// answer. Who waits for it holds no thread.
static SOLVING: Semaphore = Semaphore::const_new(1);

/// The one that was asked for last stands last.
static LATELY: Mutex<Vec<Arc<Certified>>> = Mutex::new(Vec::new());

/// Limits of a side found lately, by the digest of the question and what was sought; the newest stand last.
static LIMITS: Mutex<Vec<(String, Extent)>> = Mutex::new(Vec::new());

/// A limit that was found lately.
pub fn known_limit(name: &str) -> Option<Extent> {
    let limits = LIMITS.lock().unwrap_or_else(PoisonError::into_inner);
    let found = limits.iter().find(|(known, _)| known == name);
    found.map(|(_, extent)| *extent)
}

/// Keeps a limit; the oldest makes room.
pub fn keep_limit(name: String, extent: Extent) {
    let mut limits = LIMITS.lock().unwrap_or_else(PoisonError::into_inner);
    limits.retain(|(known, _)| *known != name);
    if limits.len() >= KEPT {
        limits.remove(0);
    }
    limits.push((name, extent));
}

/// A turn to work out what is wanted; `None` where nothing is left to work out.
pub async fn turn(wanted: Option<&Wanted>) -> Option<SemaphorePermit<'static>> {
    let wanted = wanted?;
    if there(wanted) {
        return None;
    }
    let turn = SOLVING.acquire().await.ok()?;
    (!there(wanted)).then_some(turn)
}

/// A turn for work whose answer is not kept here; `None` where the program ends.
pub async fn any_turn() -> Option<SemaphorePermit<'static>> {
    SOLVING.acquire().await.ok()
}

fn there(wanted: &Wanted) -> bool {
    known(Some(wanted)).get(&wanted.digest).is_some()
}

/// Those there are of what is wanted.
pub fn known(wanted: Option<&Wanted>) -> Ways {
    let mut lately = LATELY.lock().unwrap_or_else(PoisonError::into_inner);
    let place = lately
        .iter()
        .position(|certified| wanted.is_some_and(|wanted| certified.scene == wanted.digest));
    let found = place.map(|place| lately.remove(place));
    lately.extend(found.clone());
    found.into_iter().collect()
}

/// Keeps an answer; the one that was not asked for the longest makes room.
pub fn keep(certified: &Arc<Certified>) {
    let mut lately = LATELY.lock().unwrap_or_else(PoisonError::into_inner);
    if lately.iter().any(|known| known.scene == certified.scene) {
        return;
    }
    if lately.len() >= KEPT {
        lately.remove(0);
    }
    lately.push(Arc::clone(certified));
}

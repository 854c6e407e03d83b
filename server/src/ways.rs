//! Ways in that were worked out lately, kept under the digest of what was asked: the same question has the same answer
//! whoever asks, so all sites share them. Nothing here is a rule.

use std::sync::{Arc, Mutex, PoisonError};

use setdown_rules::Ways;
use setdown_rules::motion::Certified;
use setdown_rules::plan::ledger::Wanted;

/// How many answers are kept; one has some kilobytes.
const KEPT: usize = 256;

static LATELY: Mutex<Vec<Arc<Certified>>> = Mutex::new(Vec::new());

/// Those there are of what is wanted.
pub fn known(wanted: Option<&Wanted>) -> Ways {
    let lately = LATELY.lock().unwrap_or_else(PoisonError::into_inner);
    let named =
        |certified: &&Arc<Certified>| wanted.is_some_and(|wanted| certified.scene == wanted.digest);
    lately.iter().filter(named).cloned().collect()
}

/// Keeps an answer; the oldest makes room.
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

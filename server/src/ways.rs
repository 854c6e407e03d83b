//! Ways in that were worked out lately, kept under the digest of what was asked: the same question has the same answer
//! whoever asks, so all sites share them. Nothing here is a rule.

use std::sync::{Arc, Mutex, PoisonError};

use setdown_rules::Ways;
use setdown_rules::motion::Certified;
use setdown_rules::plan::ledger::Wanted;

/// How many answers are kept; one has some kilobytes.
const KEPT: usize = 256;

/// Held while a way is worked out: one processor at most is kept busy by it, and who asks the same meanwhile finds the
/// answer.
static SOLVING: Mutex<()> = Mutex::new(());

static LATELY: Mutex<Vec<Arc<Certified>>> = Mutex::new(Vec::new());

/// Does `work` with the answer to what is wanted, where it is there, or alone where it has to be worked out first.
pub fn alone<T>(wanted: Option<&Wanted>, work: impl FnOnce(Ways) -> T) -> T {
    let ways = known(wanted);
    let there = wanted.is_none_or(|wanted| ways.get(&wanted.digest).is_some());
    if there {
        return work(ways);
    }
    let _alone = SOLVING.lock().unwrap_or_else(PoisonError::into_inner);
    work(known(wanted))
}

/// Those there are of what is wanted.
fn known(wanted: Option<&Wanted>) -> Ways {
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

//! What follows a push outside its site's ledger: the summary, then the poke; for each site one at a time.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use setdown_types::ids::{OrganisationId, SiteId};

use crate::state::AppState;
use crate::summary;

type Key = (OrganisationId, SiteId);

/// Whether a push is answered before what follows it is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Follow {
    /// It waits: who pushed looks at the summary next, or ends.
    Awaited,
    /// It is answered at once: a way in may take long to work out, and the entries stand already.
    Behind,
}

/// Sites that are followed up behind their answers, and whether more came to them meanwhile.
#[derive(Debug, Clone, Default)]
pub struct FollowUps(Arc<Mutex<BTreeMap<Key, bool>>>);

impl FollowUps {
    /// Whether the caller is to follow up; whoever is at it already does so once more.
    fn begin(&self, key: Key) -> bool {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let begun = all.contains_key(&key);
        all.insert(key, begun);
        !begun
    }

    /// Whether more came meanwhile; else it is over.
    fn again(&self, key: Key) -> bool {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let again = all.remove(&key).unwrap_or(false);
        if again {
            all.insert(key, false);
        }
        again
    }
}

/// Follows up what was accepted at a site.
pub async fn follow_up(state: &AppState, key: Key, follow: Follow) {
    match follow {
        Follow::Awaited => tell(state, key).await,
        Follow::Behind if state.follow_ups.begin(key) => {
            tokio::spawn(tell_all(state.clone(), key));
        }
        Follow::Behind => {}
    }
}

async fn tell_all(state: AppState, key: Key) {
    tell(&state, key).await;
    while state.follow_ups.again(key) {
        tell(&state, key).await;
    }
}

/// The summary first: who is poked looks at it.
async fn tell(state: &AppState, (organisation, site): Key) {
    summary::refresh_quietly(&state.store, organisation, site).await;
    state.events.poke(organisation, site).await;
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    #[test]
    fn however_much_comes_meanwhile_is_followed_up_once_more() {
        let all = FollowUps::default();
        let organisation = OrganisationId(Uuid::from_u128(1));
        let [here, there] = [2, 3].map(|site| (organisation, SiteId(Uuid::from_u128(site))));
        assert!(all.begin(here));
        assert!(all.begin(there), "another site is not concerned");
        assert!(!all.begin(here) && !all.begin(here));
        assert!(all.again(here));
        assert!(!all.again(here), "once");
        assert!(all.begin(here), "it is over");
    }
}

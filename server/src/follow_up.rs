//! What follows a push outside its site's ledger: the summary, then the poke; for each site one at a time.

use std::collections::BTreeMap;
use std::sync::Arc;
use std::time::Duration;

use setdown_types::ids::{OrganisationId, SiteId};
use tokio::sync::watch;

use crate::state::AppState;
use crate::summary;

type Key = (OrganisationId, SiteId);

/// How long a summary or a poke may take: one that hangs keeps its site's next one waiting no longer.
const PATIENCE: Duration = Duration::from_secs(120);

/// Whether a push is answered before what follows it is done.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Follow {
    /// It waits: who pushed looks at the summary next, or ends.
    Awaited,
    /// It is answered at once: a way in may take long to work out, and the entries stand already.
    Behind,
}

/// Sites that are followed up behind their answers, and whether more came to them meanwhile.
#[derive(Debug, Clone)]
pub struct FollowUps {
    under_way: Arc<watch::Sender<BTreeMap<Key, bool>>>,
    patience: Duration,
}

/// One site's follow-up: over when it is dropped, whatever ended it.
#[derive(Debug)]
struct Turn {
    all: FollowUps,
    key: Key,
    over: bool,
}

impl Default for FollowUps {
    fn default() -> Self {
        Self::patient(PATIENCE)
    }
}

impl FollowUps {
    /// None yet; each summary and each poke may take so long.
    pub fn patient(patience: Duration) -> Self {
        Self {
            under_way: Arc::default(),
            patience,
        }
    }

    /// The caller's turn to follow up; `None` where somebody is at it, who then does so once more.
    fn begin(&self, key: Key) -> Option<Turn> {
        let mut begun = false;
        self.under_way.send_modify(|all| {
            begun = all.contains_key(&key);
            all.insert(key, begun);
        });
        (!begun).then(|| Turn {
            all: self.clone(),
            key,
            over: false,
        })
    }

    /// Waits until none is under way.
    pub async fn over(&self) {
        let mut under_way = self.under_way.subscribe();
        // Cannot fail: the sender lives as long as `self`.
        let _ = under_way.wait_for(BTreeMap::is_empty).await;
    }
}

impl Turn {
    /// Whether more came meanwhile; else it is over.
    fn again(&mut self) -> bool {
        let mut again = false;
        self.all.under_way.send_modify(|all| {
            again = all.remove(&self.key).unwrap_or(false);
            if again {
                all.insert(self.key, false);
            }
        });
        self.over = !again;
        again
    }
}

impl Drop for Turn {
    fn drop(&mut self) {
        // Once it is over the key may be another turn's.
        if !self.over {
            self.all.under_way.send_modify(|all| {
                all.remove(&self.key);
            });
        }
    }
}

/// Follows up what was accepted at a site.
pub async fn follow_up(state: &AppState, key: Key, follow: Follow) {
    match follow {
        Follow::Awaited => tell(state, key).await,
        Follow::Behind => {
            if let Some(turn) = state.follow_ups.begin(key) {
                tokio::spawn(tell_all(state.clone(), turn));
            }
        }
    }
}

async fn tell_all(state: AppState, mut turn: Turn) {
    tell(&state, turn.key).await;
    while turn.again() {
        tell(&state, turn.key).await;
    }
}

/// The summary first: who is poked looks at it. Where it fails, the poke still comes.
async fn tell(state: &AppState, (organisation, site): Key) {
    let patience = state.follow_ups.patience;
    let (store, events) = (state.store.clone(), state.events.clone());
    let summary = async move { summary::refresh_quietly(&store, organisation, site).await };
    ended(patience, "a summary", site, summary).await;
    let poke = async move { events.poke(organisation, site).await };
    ended(patience, "a poke", site, poke).await;
}

/// Ends when the work is done, has stopped by itself, or has had its time; the last two are logged.
async fn ended(
    patience: Duration,
    what: &str,
    site: SiteId,
    work: impl Future<Output = ()> + Send + 'static,
) {
    let mut task = tokio::spawn(work);
    match tokio::time::timeout(patience, &mut task).await {
        Ok(Ok(())) => {}
        Ok(Err(error)) => tracing::error!(%error, %site, "{what} stopped half-way"),
        Err(_) => {
            task.abort();
            tracing::error!(%site, "{what} took longer than {patience:?} and was given up");
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use uuid::Uuid;

    fn keys() -> [Key; 2] {
        let organisation = OrganisationId(Uuid::from_u128(1));
        [2, 3].map(|site| (organisation, SiteId(Uuid::from_u128(site))))
    }

    #[test]
    fn however_much_comes_meanwhile_is_followed_up_once_more() {
        let all = FollowUps::default();
        let [here, there] = keys();
        let mut turn = all.begin(here).expect("the first");
        assert!(all.begin(there).is_some(), "another site is not concerned");
        assert!(all.begin(here).is_none() && all.begin(here).is_none());
        assert!(turn.again());
        assert!(!turn.again(), "once");
        let _next = all.begin(here).expect("it is over");
        drop(turn);
        assert!(all.begin(here).is_none(), "the next one's turn is its own");
    }

    #[tokio::test]
    async fn a_follow_up_that_stops_half_way_leaves_its_site_free() {
        let all = FollowUps::default();
        let [here, _] = keys();
        let turn = all.begin(here).expect("the first");
        let stopped = tokio::spawn(async move {
            let _turn = turn;
            panic!("as a fault would");
        });
        assert!(stopped.await.is_err());
        tokio::time::timeout(Duration::from_secs(5), all.over())
            .await
            .expect("none is under way");
        assert!(all.begin(here).is_some());
    }

    #[tokio::test]
    async fn what_panics_or_hangs_is_ended_and_what_follows_comes() {
        let [(_, site), _] = keys();
        let short = Duration::from_millis(50);
        ended(short, "a panic", site, async { panic!("as a fault would") }).await;
        let both = ended(short, "a hang", site, std::future::pending());
        tokio::time::timeout(Duration::from_secs(5), both)
            .await
            .expect("the hang is given up");
    }
}

//! What is looked after from time to time: what a stop left behind, and what a new day or an hour did. Each piece of work
//! and each round has its time, so that nothing that hangs or is long keeps the rest waiting for ever.

use std::panic::AssertUnwindSafe;
use std::time::Duration;

use futures::FutureExt as _;
use setdown_types::ids::{OrganisationId, SiteId};
use tokio::time::{Instant, timeout};

use crate::clock;
use crate::error::ServerError;
use crate::state::AppState;
use crate::summary;

/// How long one photo or one site may take.
const EACH: Duration = Duration::from_secs(60);
/// How long a round of photos, or one of sites, may take; the next round begins where it stopped.
const ROUND: Duration = Duration::from_secs(5 * 60);

/// The rounds, and how far the last ones came.
#[derive(Debug)]
pub struct Tidying {
    patience: Patience,
    sites: Option<(OrganisationId, SiteId)>,
    photos: Option<(OrganisationId, String)>,
}

/// How long one piece of work may take, and how long all of them before the rest waits for the next round.
#[derive(Debug, Clone, Copy)]
pub struct Patience {
    /// For one piece of work.
    pub each: Duration,
    /// After which no further one is begun.
    pub round: Duration,
}

impl Default for Tidying {
    fn default() -> Self {
        Self::patient(Patience {
            each: EACH,
            round: ROUND,
        })
    }
}

impl Tidying {
    /// None done yet; each may take so long.
    pub const fn patient(patience: Patience) -> Self {
        Self {
            patience,
            sites: None,
            photos: None,
        }
    }

    /// Each once; what fails or takes too long is logged and keeps none of the others back. The photos come last: a
    /// bucket may answer late.
    pub async fn round(&mut self, state: &AppState) {
        self.within("the database's log", state.store.empty_log())
            .await;
        let old = state.store.forget_old_attempts(clock::now());
        self.within("old attempts to sign in", old).await;
        let stale = state.store.stale_sites();
        if let Some(stale) = self.within("summaries", stale).await {
            let refresh = |(organisation, site)| {
                let store = state.store.clone();
                async move { summary::refresh(&store, organisation, site).await }
            };
            let last = self.sites.take();
            self.sites = self.each("a summary", last, stale, refresh).await;
        }
        let out = state.store.photos_taken_out();
        if let Some(out) = self.within("photos that were taken out", out).await {
            let delete = |(organisation, sha256): (OrganisationId, String)| {
                let photos = state.photos.clone();
                async move { photos.delete(organisation, &sha256).await }
            };
            let what = "what is left of a photo that was taken out";
            let last = self.photos.take();
            self.photos = self.each(what, last, out, delete).await;
        }
    }

    /// What came of it; nothing where it failed or took too long, which is logged.
    async fn within<T>(
        &self,
        what: &str,
        work: impl Future<Output = Result<T, ServerError>>,
    ) -> Option<T> {
        // Nothing of what panics is used again but the state, which outlives any request that does.
        let caught = AssertUnwindSafe(work).catch_unwind();
        match timeout(self.patience.each, caught).await {
            Ok(Ok(Ok(done))) => Some(done),
            Ok(Err(_)) => {
                tracing::error!(what, "stopped half-way while tidying");
                None
            }
            Ok(Ok(Err(error))) => {
                tracing::error!(%error, what, "could not be tidied");
                None
            }
            Err(_) => {
                tracing::error!(what, "took too long to tidy");
                None
            }
        }
    }

    /// Works on each of `all` while the round lasts, beginning behind `last`; tells which was the last, where some are
    /// left for the next round.
    async fn each<T: Ord + Clone, Work: Future<Output = Result<(), ServerError>>>(
        &self,
        what: &str,
        last: Option<T>,
        mut all: Vec<T>,
        work: impl Fn(T) -> Work,
    ) -> Option<T> {
        all.sort();
        let behind = last.map_or(0, |last| all.partition_point(|one| *one <= last));
        all.rotate_left(behind);
        let begun = Instant::now();
        let mut left = all.len();
        for one in all {
            self.within(what, work(one.clone())).await;
            left -= 1;
            if left > 0 && begun.elapsed() >= self.patience.round {
                tracing::warn!(what, left, "the rest waits for the next round");
                return Some(one);
            }
        }
        None
    }
}

#[cfg(test)]
mod tests {
    use std::cell::RefCell;

    use super::*;

    /// The number whose work panics.
    const PANICS: u32 = 4;

    /// What each of so many rounds over five numbers gets done, where `hangs` never answers.
    async fn rounds(count: usize, round: Duration, hangs: u32) -> Vec<Vec<u32>> {
        let each = Duration::from_millis(20);
        let tidying = Tidying::patient(Patience { each, round });
        let mut last = None;
        let mut rounds = Vec::new();
        for _ in 0..count {
            let done = RefCell::new(Vec::new());
            let work = async |one: u32| {
                if one == hangs {
                    std::future::pending::<()>().await;
                }
                assert!(one != PANICS, "one of them panics");
                done.borrow_mut().push(one);
                Ok(())
            };
            last = tidying
                .each("a number", last, vec![3, 0, 4, 1, 2], &work)
                .await;
            rounds.push(done.into_inner());
        }
        rounds
    }

    /// Hangs and panics keep nobody else back, whatever round it is.
    #[tokio::test]
    async fn one_that_hangs_takes_its_own_time_only() {
        let hour = Duration::from_secs(3600);
        let all_but_one = vec![0, 2, 3];
        assert_eq!(rounds(2, hour, 1).await, [all_but_one.clone(), all_but_one]);
    }

    /// With no time at all a round does one: the next goes on behind it, also behind one that hangs.
    #[tokio::test]
    async fn a_round_that_is_over_leaves_the_rest_to_the_next() {
        let done = rounds(7, Duration::ZERO, 0).await;
        let one_by_one = [vec![], vec![1], vec![2], vec![3], vec![], vec![], vec![1]];
        assert_eq!(done, one_by_one);
    }
}

//! Pokes: that something changed at a site, without saying what. Listeners pull for the facts.
//!
//! On one node a channel carries them. On PostgreSQL they also travel between nodes by NOTIFY,
//! over connections of their own.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex, PoisonError};

use setdown_types::ids::{OrganisationId, SiteId};
use sqlx::postgres::PgListener;
use sqlx::{PgPool, postgres::PgPoolOptions};
use tokio::sync::{broadcast, watch};

use crate::error::ServerError;

/// How many pokes a slow listener may fall behind; then it is poked about everything.
const BACKLOG: usize = 256;
/// The NOTIFY channel between nodes.
const CHANNEL: &str = "setdown_poke";

/// Something changed here.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Poke {
    /// For which dealer.
    pub organisation: OrganisationId,
    /// At which site.
    pub site: SiteId,
}

impl Poke {
    fn payload(self) -> String {
        format!("{} {}", self.organisation, self.site)
    }

    fn parse(payload: &str) -> Option<Self> {
        let (organisation, site) = payload.split_once(' ')?;
        Some(Self {
            organisation: OrganisationId::parse(organisation)?,
            site: SiteId::parse(site)?,
        })
    }
}

/// The most streams that one session keeps open: every page listens once.
pub const MAX_STREAMS: usize = 8;

/// How many streams each session keeps open, by the digest of its token.
#[derive(Debug, Clone, Default)]
pub struct Streams(Arc<Mutex<BTreeMap<String, usize>>>);

/// One stream that counts until it is dropped.
#[derive(Debug)]
pub struct OpenStream {
    streams: Streams,
    session: String,
}

impl Streams {
    /// Counts one more stream of `session`; `None` where it has as many as it may.
    pub fn open(&self, session: String) -> Option<OpenStream> {
        self.at_most(MAX_STREAMS, session)
    }

    /// The same where it may have so many.
    pub fn at_most(&self, most: usize, session: String) -> Option<OpenStream> {
        let mut all = self.0.lock().unwrap_or_else(PoisonError::into_inner);
        let open = all.entry(session.clone()).or_default();
        if *open >= most {
            return None;
        }
        *open += 1;
        drop(all);
        Some(OpenStream {
            streams: self.clone(),
            session,
        })
    }
}

impl Drop for OpenStream {
    fn drop(&mut self) {
        let mut all = self
            .streams
            .0
            .lock()
            .unwrap_or_else(PoisonError::into_inner);
        if let Some(open) = all.get_mut(&self.session) {
            *open -= 1;
            if *open == 0 {
                all.remove(&self.session);
            }
        }
    }
}

/// Takes pokes in and hands them to all listeners, until the server stops.
#[derive(Debug, Clone)]
pub struct Events {
    channel: broadcast::Sender<Poke>,
    stopping: watch::Sender<bool>,
    nodes: Option<PgPool>,
}

impl Default for Events {
    fn default() -> Self {
        Self {
            channel: broadcast::Sender::new(BACKLOG),
            stopping: watch::Sender::new(false),
            nodes: None,
        }
    }
}

impl Events {
    /// Pokes that also travel between nodes on this PostgreSQL database.
    pub async fn between_nodes(url: &str) -> Result<Self, ServerError> {
        let pool = PgPoolOptions::new().max_connections(2).connect(url).await?;
        let mut listener = PgListener::connect_with(&pool).await?;
        listener.listen(CHANNEL).await?;
        let events = Self {
            nodes: Some(pool),
            ..Self::default()
        };
        let channel = events.channel.clone();
        let mut stopping = events.stopping.subscribe();
        tokio::spawn(async move {
            loop {
                let heard = tokio::select! {
                    _ = stopping.changed() => return,
                    heard = listener.recv() => heard,
                };
                match heard {
                    Ok(heard) => {
                        if let Some(poke) = Poke::parse(heard.payload()) {
                            let _ = channel.send(poke);
                        }
                    }
                    Err(error) => {
                        tracing::warn!(%error, "listening for pokes between nodes failed; trying again");
                        tokio::time::sleep(std::time::Duration::from_secs(1)).await;
                    }
                }
            }
        });
        Ok(events)
    }

    /// Pokes everybody who listens to this site. A poke that gets lost costs nothing but time.
    pub async fn poke(&self, organisation: OrganisationId, site: SiteId) {
        let poke = Poke { organisation, site };
        if let Some(pool) = &self.nodes {
            let sent = sqlx::query("SELECT pg_notify($1, $2)")
                .bind(CHANNEL)
                .bind(poke.payload())
                .execute(pool)
                .await;
            match sent {
                Ok(_) => return,
                Err(error) => tracing::warn!(%error, "a poke between nodes failed"),
            }
        }
        let _ = self.channel.send(poke);
    }

    /// Listens from now on.
    pub fn listen(&self) -> broadcast::Receiver<Poke> {
        self.channel.subscribe()
    }

    /// Tells when the server stops.
    pub fn stopping(&self) -> watch::Receiver<bool> {
        self.stopping.subscribe()
    }

    /// Ends every listening connection.
    pub fn stop(&self) {
        self.stopping.send_replace(true);
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_poke_survives_the_way_between_nodes() {
        let poke = Poke {
            organisation: OrganisationId(uuid::Uuid::from_u128(1)),
            site: SiteId(uuid::Uuid::from_u128(2)),
        };
        assert_eq!(Poke::parse(&poke.payload()), Some(poke));
        assert_eq!(Poke::parse("nonsense"), None);
    }

    #[test]
    fn a_session_keeps_so_many_streams_open_and_no_more() {
        let streams = Streams::default();
        let mut open: Vec<_> = (0..MAX_STREAMS)
            .map(|_| streams.open("one".into()))
            .collect();
        assert!(open.iter().all(Option::is_some));
        assert!(streams.open("one".into()).is_none());
        assert!(streams.open("other".into()).is_some());
        open.pop();
        assert!(streams.open("one".into()).is_some());
    }
}

//! What every request can reach: store, photos, pokes, and how the server is reached itself.

use std::collections::BTreeMap;
use std::sync::{Arc, Mutex};

use axum::http::HeaderName;
use bytes::Bytes;
use setdown_types::admission::{Arrival, Writer};
use setdown_types::digest::digest_hex;
use setdown_types::entry::Entry;
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::party::Role;
use setdown_types::wire::{EntryVerdict, Verdict};

use crate::clock;
use crate::error::ServerError;
use crate::events::{Events, Streams};
use crate::follow_up::{Follow, FollowUps, follow_up};
use crate::photo_store::PhotoStore;
use crate::settings::{DataSettings, ServeSettings};
use crate::store::photos::PhotoState;
use crate::store::{Database, Store};

/// How many digests of sites are remembered.
const DIGESTS: usize = 4096;

type Digests = BTreeMap<(OrganisationId, SiteId, Role), (u64, String)>;

/// Shared by all requests.
#[derive(Clone)]
pub struct AppState {
    /// The database.
    pub store: Store,
    /// The bytes of photos.
    pub photos: PhotoStore,
    /// Pokes.
    pub events: Events,
    /// The address people use, without a slash at its end.
    pub address: Arc<str>,
    /// Whether cookies are Secure.
    pub https: bool,
    /// Whether a public address was set: then only it counts as our own.
    pub address_is_fixed: bool,
    /// The header in which the proxy in front names a client's address, where there is one.
    pub address_header: Option<HeaderName>,
    /// Streams of pokes that are open, by session.
    pub streams: Streams,
    /// Photos that are on their way in, by session.
    pub uploads: Streams,
    /// Whether the demo's people may sign in from anywhere.
    pub open_demo: bool,
    /// Sites that are followed up behind the answers to pushes.
    pub follow_ups: FollowUps,
    digests: Arc<Mutex<Digests>>,
}

impl AppState {
    /// Opens everything the settings name.
    pub async fn open(settings: &ServeSettings) -> Result<Self, ServerError> {
        let address = settings.address()?;
        let mut state = Self::open_data(&settings.data, &address).await?;
        state.https = settings.https();
        state.address_is_fixed = settings.public_url.is_some();
        state.address_header = settings.address_header()?;
        state.open_demo = settings.open_demo;
        Ok(state)
    }

    /// Opens database and photos, for commands and tests that do not serve.
    pub async fn open_data(settings: &DataSettings, address: &str) -> Result<Self, ServerError> {
        let url = settings.database()?;
        let store = Store::open(&url).await?;
        let events = match store.database() {
            Database::Sqlite => Events::default(),
            Database::Postgres => Events::between_nodes(&url).await?,
        };
        Ok(Self {
            store,
            photos: PhotoStore::open(&settings.photos())?,
            events,
            address: address.into(),
            https: false,
            address_is_fixed: false,
            address_header: None,
            streams: Streams::default(),
            uploads: Streams::default(),
            open_demo: false,
            follow_ups: FollowUps::default(),
            digests: Arc::default(),
        })
    }

    /// Takes a push: site by site, each in one transaction; then summaries and pokes, which it waits for.
    ///
    /// Verdicts come in the order of the entries. An entry whose site the writer's organisation
    /// does not have is refused as of another site.
    pub async fn push(
        &self,
        writer: &Writer,
        arrival: &Arrival,
        raws: &[&str],
    ) -> Result<Vec<EntryVerdict>, ServerError> {
        self.push_and(writer, arrival, raws, Follow::Awaited).await
    }

    /// The same, where the answer may come before summaries and pokes.
    pub async fn push_and(
        &self,
        writer: &Writer,
        arrival: &Arrival,
        raws: &[&str],
        follow: Follow,
    ) -> Result<Vec<EntryVerdict>, ServerError> {
        let mut by_site: BTreeMap<Option<SiteId>, Vec<usize>> = BTreeMap::new();
        for (place, raw) in raws.iter().enumerate() {
            by_site.entry(site_of(raw)).or_default().push(place);
        }
        let mut verdicts: Vec<Option<EntryVerdict>> = vec![None; raws.len()];
        for (site, places) in by_site {
            let entries = places.iter().map(|place| raws[*place].to_owned());
            let judged = self
                .to_its_end(writer, site, arrival, entries.collect(), follow)
                .await?;
            for (place, verdict) in places.into_iter().zip(judged) {
                verdicts[place] = Some(verdict);
            }
        }
        Ok(verdicts.into_iter().flatten().collect())
    }

    /// Pushes to one site in a task of its own: what follows a commit is done also where the sender goes away meanwhile,
    /// since the sender's next try finds nothing left to do.
    async fn to_its_end(
        &self,
        writer: &Writer,
        site: Option<SiteId>,
        arrival: &Arrival,
        raws: Vec<String>,
        follow: Follow,
    ) -> Result<Vec<EntryVerdict>, ServerError> {
        let (state, writer, arrival) = (self.clone(), *writer, *arrival);
        let push = async move {
            let raws: Vec<&str> = raws.iter().map(String::as_str).collect();
            state.push_to(&writer, site, &arrival, &raws, follow).await
        };
        tokio::spawn(push)
            .await
            .map_err(|error| ServerError::Internal(format!("a push stopped: {error}")))?
    }

    async fn push_to(
        &self,
        writer: &Writer,
        site: Option<SiteId>,
        arrival: &Arrival,
        raws: &[&str],
        follow: Follow,
    ) -> Result<Vec<EntryVerdict>, ServerError> {
        let may_reach = |site: &SiteId| writer.site.is_none_or(|invited| invited == *site);
        let pushed = match site.filter(may_reach) {
            Some(site) => self.store.push(writer, site, arrival, raws).await?,
            None => None,
        };
        let (Some(site), Some(pushed)) = (site, pushed) else {
            return Ok(raws.iter().map(|raw| nowhere(raw)).collect());
        };
        for sha256 in &pushed.photos_gone {
            if let Err(error) = self.photos.delete(writer.organisation, sha256).await {
                tracing::error!(%error, sha256, "a redacted photo's bytes could not be deleted");
            }
        }
        if !pushed.outcome.accepted.is_empty() {
            follow_up(self, (writer.organisation, site), follow).await;
        }
        Ok(pushed.outcome.verdicts)
    }

    /// Keeps the bytes of a photo that an entry of the dealer shows; `false` where they were held already.
    ///
    /// # Errors
    /// [`ServerError::NotFound`] where nothing shows it, [`ServerError::Gone`] where a redaction took it out,
    /// [`ServerError::BadInput`] where the bytes are not this picture, or tell where it was taken.
    pub async fn keep_photo(
        &self,
        organisation: OrganisationId,
        sha256: &str,
        bytes: Bytes,
    ) -> Result<bool, ServerError> {
        match self.store.photo_state(organisation, sha256).await? {
            PhotoState::TakenOut => return Err(taken_out()),
            // Already held: what came must still be these bytes for the answer to be true, and the store still have them.
            PhotoState::Present(_)
                if digest_hex(&bytes) == sha256
                    && self.photos.holds(organisation, sha256).await? =>
            {
                return Ok(false);
            }
            PhotoState::Present(_) => {}
            PhotoState::Missing => {
                if !self
                    .store
                    .photo_is_shown(organisation, sha256, None, Role::Office)
                    .await?
                {
                    return Err(ServerError::NotFound("photo"));
                }
            }
        }
        let length = i64::try_from(bytes.len()).unwrap_or(i64::MAX);
        let checked = self.photos.check_sent(sha256, bytes.clone()).await?;
        let media_type = checked.media_type;
        self.photos
            .put(organisation, sha256, bytes, checked)
            .await?;
        let now = clock::now();
        let kept = self
            .store
            .photo_present(organisation, sha256, media_type, length, now)
            .await?;
        if !kept {
            self.photos.delete(organisation, sha256).await?;
            return Err(taken_out());
        }
        Ok(true)
    }

    /// The digest of those of a site's streams that `role` may see, up to `last_seq`; remembered while nothing new comes.
    pub async fn digest(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        role: Role,
        last_seq: u64,
    ) -> Result<String, ServerError> {
        let key = (organisation, site, role);
        let known = self
            .digests
            .lock()
            .ok()
            .and_then(|all| all.get(&key).cloned());
        if let Some((_, digest)) = known.filter(|(seq, _)| *seq == last_seq) {
            return Ok(digest);
        }
        let digest = self
            .store
            .digest(organisation, site, role, last_seq)
            .await?;
        if let Ok(mut all) = self.digests.lock() {
            if all.len() >= DIGESTS {
                all.clear();
            }
            all.insert(key, (last_seq, digest.clone()));
        }
        Ok(digest)
    }
}

/// Told of a photo whose content a redaction took out.
pub fn taken_out() -> ServerError {
    ServerError::Gone("This photo was taken out by the office and is not kept.".into())
}

/// The site an entry names; `None` where its bytes name none.
fn site_of(raw: &str) -> Option<SiteId> {
    setdown_types::admission::Address::of(raw).map(|address| address.site)
}

/// The verdict on an entry for which there is no site.
fn nowhere(raw: &str) -> EntryVerdict {
    use setdown_types::ledger::Refusal;
    match Entry::from_json(raw) {
        Ok(entry) => EntryVerdict {
            id: entry.id,
            verdict: Verdict::Refused(Refusal::OtherSite),
        },
        Err(error) => EntryVerdict {
            id: setdown_types::admission::Address::of(raw)
                .map_or(setdown_types::ids::EntryId::NIL, |address| address.id),
            verdict: Verdict::Refused(Refusal::Malformed(error.to_string())),
        },
    }
}

//! Sync: who is signed in, entries up, entries down, sites to take along, and documents.

use axum::Json as Answer;
use axum::extract::{Query, State};
use serde::Deserialize;
use serde_json::value::RawValue;
use setdown_types::admission::{Arrival, Writer};
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::ledger::{Record, Standing};
use setdown_types::wire::{
    Document, MAX_PUSH, PROTOCOL, Pulled, PulledEntry, PulledRefused, Push, Pushed, Session,
    SiteCard, SiteList,
};

use super::body::{self, Hash, Raw};
use super::guard::SignedIn;
use crate::clock;
use crate::error::ServerError;
use crate::follow_up::Follow;
use crate::state::AppState;
use crate::store::sites::SiteRow;

/// The most entries on one page of a pull.
pub const PAGE: u32 = 500;

/// `GET /api/sync/session`.
pub async fn session(SignedIn(session): SignedIn) -> Answer<Session> {
    Answer(session)
}

/// Only the version of a message, readable in every version.
#[derive(Deserialize)]
struct Spoken {
    protocol: u32,
}

/// `POST /api/sync/push`.
pub async fn push(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
    Raw(bytes): Raw,
) -> Result<Answer<Pushed>, ServerError> {
    let received_at = clock::now();
    let spoken: Spoken = body::parse(&bytes)?;
    speaks(spoken.protocol)?;
    let push: Push = body::parse(&bytes)?;
    if push.entries.len() > MAX_PUSH {
        return Err(ServerError::BadInput(format!(
            "A push carries at most {MAX_PUSH} entries; nothing was taken. Send them in several."
        )));
    }
    let raws: Vec<&str> = push.entries.iter().map(|raw| raw.get()).collect();
    let arrival = Arrival::of(&push, received_at);
    let writer = Writer::from(&session);
    let verdicts = state
        .push_and(&writer, &arrival, &raws, Follow::Behind)
        .await?;
    Ok(Answer(Pushed { verdicts }))
}

fn speaks(protocol: u32) -> Result<(), ServerError> {
    if protocol == PROTOCOL {
        Ok(())
    } else {
        Err(ServerError::Protocol(protocol))
    }
}

/// The cursor of a pull.
#[derive(Deserialize)]
pub struct Cursor {
    site: String,
    #[serde(default)]
    after: Option<String>,
    #[serde(default)]
    protocol: Option<u32>,
}

/// `GET /api/sync/pull?site=…&after=SEQ`.
pub async fn pull(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
    cursor: Result<Query<Cursor>, axum::extract::rejection::QueryRejection>,
) -> Result<Answer<Pulled>, ServerError> {
    let Query(cursor) = cursor.map_err(|error| {
        ServerError::BadInput(format!(
            "{}. Ask for ?site=SITE&after=SEQ.",
            error.body_text()
        ))
    })?;
    speaks(cursor.protocol.unwrap_or(PROTOCOL))?;
    let site = readable_site(&session, &cursor.site)?;
    let after: u64 = cursor
        .after
        .as_deref()
        .unwrap_or("0")
        .parse()
        .map_err(|_| ServerError::BadInput("'after' must be a seq, 0 from the start.".into()))?;
    let organisation = session.organisation;
    let page = state
        .store
        .pull(organisation, site, session.role, after, PAGE)
        .await?
        .ok_or(ServerError::NotFound("site"))?;
    let digest = if page.more {
        None
    } else {
        Some(
            state
                .digest(organisation, site, session.role, page.last_seq)
                .await?,
        )
    };
    Ok(Answer(Pulled {
        site,
        entries: page.entries.into_iter().filter_map(entry).collect(),
        refused: page.refused.into_iter().filter_map(refused).collect(),
        last_seq: page.last_seq,
        more: page.more,
        digest,
    }))
}

/// The site by its text, if this session may read it; whether it exists is found later.
fn readable_site(session: &Session, text: &str) -> Result<SiteId, ServerError> {
    SiteId::parse(text)
        .filter(|site| session.site.is_none_or(|invited| invited == *site))
        .ok_or(ServerError::NotFound("site"))
}

fn entry(record: Record) -> Option<PulledEntry> {
    match record.standing {
        Standing::Accepted(acceptance) => Some(PulledEntry {
            raw: RawValue::from_string(record.raw).ok()?,
            acceptance,
        }),
        _ => None,
    }
}

fn refused(record: Record) -> Option<PulledRefused> {
    match record.standing {
        Standing::Refused(refusal) => Some(PulledRefused {
            raw: RawValue::from_string(record.raw).ok()?,
            refusal,
        }),
        _ => None,
    }
}

/// `GET /api/sync/sites`.
pub async fn sites(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
) -> Result<Answer<SiteList>, ServerError> {
    let rows = match session.site {
        Some(site) => state
            .store
            .site(session.organisation, site)
            .await?
            .into_iter()
            .collect(),
        None => state.store.all_sites(session.organisation).await?,
    };
    Ok(Answer(SiteList {
        sites: rows.into_iter().map(card).collect(),
    }))
}

fn card(row: SiteRow) -> SiteCard {
    SiteCard {
        site: row.site,
        name: row.name,
        time_zone: row.time_zone,
        last_seq: row.last_seq,
    }
}

/// `GET /api/sync/documents/DIGEST`.
pub async fn document(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
    Hash(digest): Hash,
) -> Result<Answer<Document>, ServerError> {
    if let Some(site) = session.site
        && !pins(&state, session.organisation, site, &digest).await?
    {
        return Err(ServerError::NotFound("document"));
    }
    state
        .store
        .document(session.organisation, &digest)
        .await?
        .map(Answer)
        .ok_or(ServerError::NotFound("document"))
}

/// Whether a site is or ever was pinned to a document: all an invitation may read.
async fn pins(
    state: &AppState,
    organisation: OrganisationId,
    site: SiteId,
    digest: &str,
) -> Result<bool, ServerError> {
    use setdown_types::value::Value;
    let Some(row) = state.store.site(organisation, site).await? else {
        return Ok(false);
    };
    if row.spa == digest || row.practice == digest {
        return Ok(true);
    }
    let records = state
        .store
        .records(organisation, site, row.last_seq)
        .await?;
    Ok(records
        .iter()
        .any(|record| matches!(record.entry.value(), Some(Value::Pin(pinned)) if pinned == digest)))
}

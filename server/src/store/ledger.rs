//! The ledger's rows: pushes decided by `setdown_types::admission` inside one transaction per
//! site, pulls by cursor, and all records of a site for the fold.

use std::collections::BTreeSet;

use setdown_types::admission::{Address, Arrival, Kept, MemorySite, Outcome, Writer};
use setdown_types::entry::Entry;
use setdown_types::ids::{EntryId, OrganisationId, SiteId};
use setdown_types::ledger::{Acceptance, Record, Standing, fold, ledger_digest};
use setdown_types::party::Role;
use setdown_types::question;
use setdown_types::site::StreamKey;
use setdown_types::value::Value;
use setdown_types::wire::MAX_PAGE_BYTES;
use sqlx::any::AnyRow;
use sqlx::{Any, AssertSqlSafe, Row, Transaction};

use super::touched::{self, Touched};
use super::{SiteWrite, Store, bigint, count, id, photos, waiting};
use crate::error::ServerError;

/// What a push to one site came to, and what follows from it outside the database.
#[derive(Debug, Clone)]
pub struct PushedSite {
    /// Verdicts, in the order of the entries.
    pub outcome: Outcome,
    /// Photos that nothing shows any more: their bytes may go.
    pub photos_gone: Vec<String>,
}

/// A page of a pull as read from the database.
#[derive(Debug, Clone)]
pub struct PulledPage {
    /// Accepted entries by rising seq.
    pub entries: Vec<Record>,
    /// Stubs of refused entries that these build on.
    pub refused: Vec<Record>,
    /// Highest seq at the time of reading.
    pub last_seq: u64,
    /// Whether more follow.
    pub more: bool,
}

pub(super) const COLUMNS: &str =
    "id, seq, raw, digest, received_at, effective_at, standing, refusal";

impl Store {
    /// Takes a push of entries that all name `site`; `None` when there is no such site in the
    /// writer's organisation.
    pub async fn push(
        &self,
        writer: &Writer,
        site: SiteId,
        arrival: &Arrival,
        raws: &[&str],
    ) -> Result<Option<PushedSite>, ServerError> {
        let organisation = writer.organisation;
        let Some(mut write) = self.begin_write(organisation, site).await? else {
            return Ok(None);
        };
        let pushed = push_within(&mut write, writer, site, arrival, raws).await?;
        write.commit().await?;
        if !pushed.outcome.redacted.is_empty()
            && let Err(error) = self.empty_log().await
        {
            tracing::warn!(%error, "the database's log could not be emptied after a redaction");
        }
        Ok(Some(pushed))
    }

    /// Accepted entries of a site after a cursor that `role` may see; `None` when there is no such site.
    pub async fn pull(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        role: Role,
        after: u64,
        limit: u32,
    ) -> Result<Option<PulledPage>, ServerError> {
        let Some(row) = self.site(organisation, site).await? else {
            return Ok(None);
        };
        let most = usize::try_from(limit).unwrap_or(usize::MAX);
        let (mut kept, mut bytes, mut cursor) = (Vec::<Kept>::new(), 0, after);
        // Where much is hidden, one look may not fill the page; one entry too many shows that more follows.
        while cursor < row.last_seq
            && (kept.len() < 2 || (kept.len() <= most && bytes <= MAX_PAGE_BYTES))
        {
            let (found, reached) = self
                .after(organisation, site, cursor, row.last_seq, limit)
                .await?;
            cursor = reached;
            // What this version cannot read is walked past: a page of nothing else would be empty and lead nowhere.
            let readable = |kept: &Kept| Entry::from_json(&kept.raw).is_ok();
            let found = found.into_iter();
            let found = found.filter(|kept| kept.visible(role) && readable(kept));
            kept.extend(found.inspect(|kept| bytes += kept.raw.len()));
        }
        let mut connection = self.pool().acquire().await?;
        touched::add_refused(&mut connection, organisation, site, &mut kept).await?;
        drop(connection);
        let page = MemorySite::from_kept(organisation, site, row.last_seq, kept).page(
            after,
            most,
            |kept| kept.visible(role),
        );
        Ok(Some(PulledPage {
            entries: page.entries,
            refused: page.refused,
            last_seq: row.last_seq,
            more: page.more,
        }))
    }

    /// Accepted entries behind `after` up to `last` by rising seq, and the seq that was reached: at most one more than
    /// `limit`, and one more than fits into [`MAX_PAGE_BYTES`].
    async fn after(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        after: u64,
        last: u64,
        limit: u32,
    ) -> Result<(Vec<Kept>, u64), ServerError> {
        let sizes = sqlx::query(
            "SELECT seq, CAST(OCTET_LENGTH(raw) AS BIGINT) AS size FROM entries \
             WHERE organisation = $1 AND site = $2 AND seq > $3 AND seq <= $4 ORDER BY seq LIMIT $5",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(bigint(after))
        .bind(bigint(last))
        .bind(i64::from(limit) + 1)
        .fetch_all(self.pool())
        .await?;
        let reached = reached(&sizes)?.unwrap_or(last);
        let rows = sqlx::query(AssertSqlSafe(format!(
            "SELECT {COLUMNS} FROM entries WHERE organisation = $1 AND site = $2 \
             AND seq > $3 AND seq <= $4 ORDER BY seq"
        )))
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(bigint(after))
        .bind(bigint(reached))
        .fetch_all(self.pool())
        .await?;
        let kept = rows.iter().map(kept_of).collect::<Result<_, _>>()?;
        Ok((kept, reached))
    }

    /// Every accepted and refused entry of a site up to `last_seq`, for the fold.
    pub async fn records(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        last_seq: u64,
    ) -> Result<Vec<Record>, ServerError> {
        let mut kept = self.kept(organisation, site, "accepted").await?;
        kept.retain(|kept| matches!(kept.standing, Standing::Accepted(a) if a.seq <= last_seq));
        kept.extend(self.kept(organisation, site, "refused").await?);
        Ok(MemorySite::from_kept(organisation, site, last_seq, kept).records())
    }

    /// Entries that wait for others, for the office to see.
    pub async fn held(
        &self,
        organisation: OrganisationId,
        site: SiteId,
    ) -> Result<Vec<Kept>, ServerError> {
        self.kept(organisation, site, "held").await
    }

    /// The digest of those of a site's streams that `role` may see, up to `last_seq`.
    pub async fn digest(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        role: Role,
        last_seq: u64,
    ) -> Result<String, ServerError> {
        let mut records = self.records(organisation, site, last_seq).await?;
        records.retain(|record| question::visible(&record.entry.question, role));
        Ok(ledger_digest(&fold(&records)))
    }

    async fn kept(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        standing: &str,
    ) -> Result<Vec<Kept>, ServerError> {
        let rows = sqlx::query(AssertSqlSafe(format!(
            "SELECT {COLUMNS} FROM entries WHERE organisation = $1 AND site = $2 \
             AND standing = $3"
        )))
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(standing)
        .fetch_all(self.pool())
        .await?;
        rows.iter().map(kept_of).collect()
    }
}

/// Takes a push of entries that all name `site` inside a write that holds it.
pub(super) async fn push_within(
    write: &mut SiteWrite,
    writer: &Writer,
    site: SiteId,
    arrival: &Arrival,
    raws: &[&str],
) -> Result<PushedSite, ServerError> {
    let organisation = writer.organisation;
    let Touched {
        kept,
        mut surroundings,
    } = touched::load(&mut write.transaction, writer, site, raws).await?;
    let waited: BTreeSet<EntryId> = kept
        .iter()
        .filter(|kept| kept.is_held())
        .map(|kept| kept.id)
        .collect();
    let mut memory = MemorySite::from_kept(organisation, site, write.last_seq, kept);
    let outcome = memory.push_among(&mut surroundings, writer, arrival, raws);
    for kept in outcome.changed.iter().filter_map(|id| memory.find(*id)) {
        waiting::note(
            &mut write.transaction,
            organisation,
            site,
            kept,
            waited.contains(&kept.id),
        )
        .await?;
    }
    let photos_gone = write_outcome(write, organisation, site, &memory, &outcome, arrival).await?;
    Ok(PushedSite {
        outcome,
        photos_gone,
    })
}

/// The seq of the first entry that no longer fits into [`MAX_PAGE_BYTES`], else of the last; nothing without any.
fn reached(sizes: &[AnyRow]) -> Result<Option<u64>, ServerError> {
    let (mut bytes, mut reached) = (0, None);
    for row in sizes {
        reached = Some(count(row.try_get("seq")?));
        bytes += count(row.try_get("size")?);
        if usize::try_from(bytes).is_ok_and(|bytes| bytes > MAX_PAGE_BYTES) {
            break;
        }
    }
    Ok(reached)
}

/// Writes down what a push changed; gives photos that nothing shows any more.
async fn write_outcome(
    write: &mut SiteWrite,
    organisation: OrganisationId,
    site: SiteId,
    memory: &MemorySite,
    outcome: &Outcome,
    arrival: &Arrival,
) -> Result<Vec<String>, ServerError> {
    for kept in outcome.changed.iter().filter_map(|id| memory.find(*id)) {
        write_kept(&mut write.transaction, organisation, site, kept).await?;
    }
    for kept in outcome.accepted.iter().filter_map(|id| memory.find(*id)) {
        if let Some(sha256) = shown_photo(kept) {
            photos::note_use(&mut write.transaction, organisation, site, kept.id, &sha256).await?;
        }
    }
    let mut photos_gone = Vec::new();
    for id in &outcome.redacted {
        let now = arrival.received_at;
        photos_gone
            .extend(photos::drop_uses(&mut write.transaction, organisation, site, *id, now).await?);
    }
    if !outcome.accepted.is_empty() {
        sqlx::query(
            "UPDATE sites SET last_seq = $3, last_received_at = $4 \
             WHERE organisation = $1 AND id = $2",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(bigint(memory.last_seq()))
        .bind(arrival.received_at)
        .execute(&mut *write.transaction)
        .await?;
    }
    Ok(photos_gone)
}

/// The photo an accepted entry shows; nothing once it is redacted.
fn shown_photo(kept: &Kept) -> Option<String> {
    match Entry::from_json(&kept.raw).ok()?.value() {
        Some(Value::Photo(photo)) => Some(photo.sha256.clone()),
        _ => None,
    }
}

async fn write_kept(
    transaction: &mut Transaction<'static, Any>,
    organisation: OrganisationId,
    site: SiteId,
    kept: &Kept,
) -> Result<(), ServerError> {
    let (standing, seq, refusal) = match &kept.standing {
        Standing::Accepted(acceptance) => ("accepted", Some(bigint(acceptance.seq)), None),
        Standing::Refused(refusal) => {
            let refusal = serde_json::to_string(refusal)
                .map_err(|error| ServerError::Internal(error.to_string()))?;
            ("refused", None, Some(refusal))
        }
        Standing::Held | Standing::Unsent => ("held", None, None),
    };
    sqlx::query(
        "INSERT INTO entries (organisation, site, id, seq, raw, digest, received_at, \
         effective_at, standing, refusal) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) \
         ON CONFLICT (organisation, site, id) DO UPDATE SET seq = excluded.seq, \
         raw = excluded.raw, digest = excluded.digest, standing = excluded.standing, \
         refusal = excluded.refusal",
    )
    .bind(organisation.to_string())
    .bind(site.to_string())
    .bind(kept.id.to_string())
    .bind(seq)
    .bind(&kept.raw)
    .bind(kept.digest.clone())
    .bind(kept.received_at)
    .bind(kept.effective_at)
    .bind(standing)
    .bind(refusal)
    .execute(&mut **transaction)
    .await?;
    Ok(())
}

pub(super) fn kept_of(row: &AnyRow) -> Result<Kept, ServerError> {
    let id = id(row, "id")?;
    let raw: String = row.try_get("raw")?;
    let received_at = row.try_get("received_at")?;
    let effective_at = row.try_get("effective_at")?;
    let entry = Entry::from_json(&raw).ok();
    let replaces = match &entry {
        Some(entry) => entry.replaces.clone(),
        None => Address::of(&raw).map_or_else(Vec::new, |address| address.replaces),
    };
    Ok(Kept {
        id,
        stream: entry
            .as_ref()
            .map(|entry| StreamKey::new(entry.subject, &entry.question)),
        replaces,
        intent: entry.map(|entry| entry.intent),
        digest: row.try_get("digest")?,
        standing: standing_of(row, received_at, effective_at)?,
        raw,
        received_at,
        effective_at,
    })
}

fn standing_of(
    row: &AnyRow,
    received_at: i64,
    effective_at: Option<i64>,
) -> Result<Standing, ServerError> {
    let seq: Option<i64> = row.try_get("seq")?;
    let refusal: Option<String> = row.try_get("refusal")?;
    match (row.try_get::<String, _>("standing")?.as_str(), seq, refusal) {
        ("accepted", Some(seq), _) => Ok(Standing::Accepted(Acceptance {
            seq: count(seq),
            received_at,
            effective_at,
        })),
        ("refused", _, Some(refusal)) => serde_json::from_str(&refusal)
            .map(Standing::Refused)
            .map_err(|error| ServerError::Unreadable(format!("a refusal: {error}"))),
        ("held", ..) => Ok(Standing::Held),
        (other, ..) => Err(ServerError::Unreadable(format!("the standing '{other}'"))),
    }
}

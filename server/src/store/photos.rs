//! Photos: which bytes are present, which entries show them, and who may see them.

use setdown_types::entry::Entry;
use setdown_types::ids::{EntryId, OrganisationId, SiteId};
use setdown_types::party::Role;
use setdown_types::question;
use setdown_types::wire::Session;
use sqlx::{Any, AssertSqlSafe, Row, Transaction};

use super::{Store, id};
use crate::error::ServerError;

/// What is known about a photo's bytes.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum PhotoState {
    /// Nothing came yet.
    Missing,
    /// Held, as this media type.
    Present(String),
    /// Taken out by a redaction: never taken again.
    TakenOut,
}

impl Store {
    /// Whether an entry that this caller can see shows the photo; `site` narrows it to one site, `role` to the
    /// streams that it may see.
    pub async fn photo_is_shown(
        &self,
        organisation: OrganisationId,
        sha256: &str,
        site: Option<SiteId>,
        role: Role,
    ) -> Result<bool, ServerError> {
        let entries = self
            .showing("photo_uses", organisation, sha256, site)
            .await?;
        Ok(entries
            .iter()
            .any(|entry| question::visible(&entry.question, role)))
    }

    /// Whether an entry that was redacted since showed the photo, which this caller can see or wrote.
    pub async fn photo_was_shown(
        &self,
        session: &Session,
        sha256: &str,
    ) -> Result<bool, ServerError> {
        let entries = self
            .showing(
                "photo_past_uses",
                session.organisation,
                sha256,
                session.site,
            )
            .await?;
        Ok(entries.iter().any(|entry| {
            entry.author == session.person || question::visible(&entry.question, session.role)
        }))
    }

    async fn showing(
        &self,
        uses: &'static str,
        organisation: OrganisationId,
        sha256: &str,
        site: Option<SiteId>,
    ) -> Result<Vec<Entry>, ServerError> {
        let rows = sqlx::query(AssertSqlSafe(format!(
            "SELECT e.raw FROM {uses} u JOIN entries e ON e.organisation = u.organisation \
             AND e.site = u.site AND e.id = u.entry \
             WHERE u.organisation = $1 AND u.sha256 = $2 AND ($3 = '' OR u.site = $3)"
        )))
        .bind(organisation.to_string())
        .bind(sha256)
        .bind(site.map(|site| site.to_string()).unwrap_or_default())
        .fetch_all(self.pool())
        .await?;
        let mut entries = Vec::new();
        for row in &rows {
            let raw: String = row.try_get("raw")?;
            entries.extend(Entry::from_json(&raw).ok());
        }
        Ok(entries)
    }

    /// Every photo that was taken out, of every dealer.
    pub async fn photos_taken_out(&self) -> Result<Vec<(OrganisationId, String)>, ServerError> {
        let rows = sqlx::query(
            "SELECT organisation, sha256 FROM photos WHERE state = 'taken_out' \
             ORDER BY organisation, sha256",
        )
        .fetch_all(self.pool())
        .await?;
        rows.iter()
            .map(|row| Ok((id(row, "organisation")?, row.try_get("sha256")?)))
            .collect()
    }

    /// What is known about the photo's bytes.
    pub async fn photo_state(
        &self,
        organisation: OrganisationId,
        sha256: &str,
    ) -> Result<PhotoState, ServerError> {
        let row = sqlx::query(
            "SELECT state, media_type FROM photos WHERE organisation = $1 AND sha256 = $2",
        )
        .bind(organisation.to_string())
        .bind(sha256)
        .fetch_optional(self.pool())
        .await?;
        let Some(row) = row else {
            return Ok(PhotoState::Missing);
        };
        Ok(match row.try_get::<String, _>("state")?.as_str() {
            "present" => PhotoState::Present(row.try_get("media_type")?),
            _ => PhotoState::TakenOut,
        })
    }

    /// Hashes of photos that a site shows and whose bytes are held.
    pub async fn photos_of(
        &self,
        organisation: OrganisationId,
        site: SiteId,
    ) -> Result<Vec<String>, ServerError> {
        let rows = sqlx::query(
            "SELECT DISTINCT u.sha256 FROM photo_uses u JOIN photos p \
             ON p.organisation = u.organisation AND p.sha256 = u.sha256 \
             WHERE u.organisation = $1 AND u.site = $2 AND p.state = 'present' ORDER BY u.sha256",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .fetch_all(self.pool())
        .await?;
        rows.iter().map(|row| Ok(row.try_get("sha256")?)).collect()
    }

    /// Marks bytes present that were written to the photo store before; `false` when a redaction
    /// came in between and they have to go again.
    pub async fn photo_present(
        &self,
        organisation: OrganisationId,
        sha256: &str,
        media_type: &str,
        bytes: i64,
        now: i64,
    ) -> Result<bool, ServerError> {
        sqlx::query(
            "INSERT INTO photos (organisation, sha256, media_type, bytes, state, changed_at) \
             VALUES ($1, $2, $3, $4, 'present', $5) \
             ON CONFLICT (organisation, sha256) DO NOTHING",
        )
        .bind(organisation.to_string())
        .bind(sha256)
        .bind(media_type)
        .bind(bytes)
        .bind(now)
        .execute(self.pool())
        .await?;
        let state = self.photo_state(organisation, sha256).await?;
        Ok(matches!(state, PhotoState::Present(_)))
    }
}

/// Notes that an accepted entry shows a photo.
pub(crate) async fn note_use(
    transaction: &mut Transaction<'static, Any>,
    organisation: OrganisationId,
    site: SiteId,
    entry: EntryId,
    sha256: &str,
) -> Result<(), ServerError> {
    let sql = "INSERT INTO photo_uses (organisation, sha256, site, entry) VALUES ($1, $2, $3, $4) \
               ON CONFLICT (organisation, sha256, site, entry) DO NOTHING";
    write_use(transaction, sql, (organisation, site, entry), sha256).await
}

async fn write_use(
    transaction: &mut Transaction<'static, Any>,
    sql: &'static str,
    (organisation, site, entry): (OrganisationId, SiteId, EntryId),
    sha256: &str,
) -> Result<(), ServerError> {
    sqlx::query(sql)
        .bind(organisation.to_string())
        .bind(sha256)
        .bind(site.to_string())
        .bind(entry.to_string())
        .execute(&mut **transaction)
        .await?;
    Ok(())
}

/// Takes a redacted entry off the photos it showed; gives the hashes that nothing shows any more,
/// marked taken out: their bytes may go. The dealer's row is locked meanwhile: of two sites that take the last two
/// entries off one photo at once, the later one sees what the earlier one did.
pub(super) async fn drop_uses(
    transaction: &mut Transaction<'static, Any>,
    organisation: OrganisationId,
    site: SiteId,
    entry: EntryId,
    now: i64,
) -> Result<Vec<String>, ServerError> {
    let rows = sqlx::query(
        "DELETE FROM photo_uses WHERE organisation = $1 AND site = $2 AND entry = $3 \
         RETURNING sha256",
    )
    .bind(organisation.to_string())
    .bind(site.to_string())
    .bind(entry.to_string())
    .fetch_all(&mut **transaction)
    .await?;
    if !rows.is_empty() {
        sqlx::query("UPDATE organisations SET name = name WHERE id = $1")
            .bind(organisation.to_string())
            .execute(&mut **transaction)
            .await?;
    }
    let mut gone = Vec::new();
    for row in rows {
        let sha256: String = row.try_get("sha256")?;
        // It is kept in mind that the entry showed the photo before it was redacted.
        let sql = "INSERT INTO photo_past_uses (organisation, sha256, site, entry) VALUES ($1, $2, $3, $4) \
                   ON CONFLICT (organisation, sha256, site, entry) DO NOTHING";
        write_use(transaction, sql, (organisation, site, entry), &sha256).await?;
        let shown = sqlx::query(
            "SELECT entry FROM photo_uses WHERE organisation = $1 AND sha256 = $2 LIMIT 1",
        )
        .bind(organisation.to_string())
        .bind(&sha256)
        .fetch_optional(&mut **transaction)
        .await?;
        if shown.is_none() {
            sqlx::query(
                "INSERT INTO photos (organisation, sha256, media_type, bytes, state, changed_at) \
                 VALUES ($1, $2, '', 0, 'taken_out', $3) \
                 ON CONFLICT (organisation, sha256) DO UPDATE SET state = 'taken_out', \
                 changed_at = excluded.changed_at",
            )
            .bind(organisation.to_string())
            .bind(&sha256)
            .bind(now)
            .execute(&mut **transaction)
            .await?;
            gone.push(sha256);
        }
    }
    Ok(gone)
}

//! Spa sheets and practice sheets: append-only revisions, named by the digest of their bytes.

use setdown_types::digest::{digest_hex, is_digest};
use setdown_types::ids::OrganisationId;
use setdown_types::practice::PracticeSheet;
use setdown_types::spa::SpaSheet;
use setdown_types::wire::Document;
use sqlx::Row;
use sqlx::any::AnyRow;

use super::{Store, plain};
use crate::error::ServerError;

/// `kind` of a spa sheet.
pub const SPA: &str = "spa";
/// `kind` of a practice sheet.
pub const PRACTICE: &str = "practice";

/// A revision as it stands in a list.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct DocumentCard {
    /// Digest of its bytes.
    pub digest: String,
    /// [`SPA`] or [`PRACTICE`].
    pub kind: String,
    /// Its descriptive name.
    pub name: String,
    /// When it was imported, milliseconds since 1970.
    pub created_at: i64,
}

impl Store {
    /// Adds a revision of a spa sheet and gives its digest; the same bytes are one revision.
    pub async fn add_spa(
        &self,
        organisation: OrganisationId,
        sheet: &SpaSheet,
        now: i64,
    ) -> Result<String, ServerError> {
        self.add_document(organisation, SPA, &sheet.name, sheet.canonical(), now)
            .await
    }

    /// Adds a revision of a practice sheet and gives its digest; the same bytes are one revision.
    pub async fn add_practice(
        &self,
        organisation: OrganisationId,
        sheet: &PracticeSheet,
        now: i64,
    ) -> Result<String, ServerError> {
        self.add_document(organisation, PRACTICE, &sheet.name, sheet.canonical(), now)
            .await
    }

    async fn add_document(
        &self,
        organisation: OrganisationId,
        kind: &str,
        name: &str,
        body: String,
        now: i64,
    ) -> Result<String, ServerError> {
        let name = plain("the sheet's name", name, 200)?;
        let digest = digest_hex(body.as_bytes());
        sqlx::query(
            "INSERT INTO documents (organisation, digest, kind, name, body, created_at) \
             VALUES ($1, $2, $3, $4, $5, $6) ON CONFLICT (organisation, digest) DO NOTHING",
        )
        .bind(organisation.to_string())
        .bind(&digest)
        .bind(kind)
        .bind(name)
        .bind(body)
        .bind(now)
        .execute(self.pool())
        .await?;
        Ok(digest)
    }

    /// A revision by its digest.
    pub async fn document(
        &self,
        organisation: OrganisationId,
        digest: &str,
    ) -> Result<Option<Document>, ServerError> {
        if !is_digest(digest) {
            return Ok(None);
        }
        let row = sqlx::query(
            "SELECT digest, kind, body FROM documents WHERE organisation = $1 AND digest = $2",
        )
        .bind(organisation.to_string())
        .bind(digest)
        .fetch_optional(self.pool())
        .await?;
        row.map(|row| {
            Ok(Document {
                digest: row.try_get("digest")?,
                kind: row.try_get("kind")?,
                body: row.try_get("body")?,
            })
        })
        .transpose()
    }

    /// All revisions of one kind, newest first.
    pub async fn documents(
        &self,
        organisation: OrganisationId,
        kind: &str,
    ) -> Result<Vec<DocumentCard>, ServerError> {
        let rows = sqlx::query(
            "SELECT digest, kind, name, created_at FROM documents \
             WHERE organisation = $1 AND kind = $2 ORDER BY created_at DESC, digest",
        )
        .bind(organisation.to_string())
        .bind(kind)
        .fetch_all(self.pool())
        .await?;
        rows.iter().map(card).collect()
    }

    /// The spa sheet of this digest.
    pub async fn spa_sheet(
        &self,
        organisation: OrganisationId,
        digest: &str,
    ) -> Result<Option<SpaSheet>, ServerError> {
        self.sheet(organisation, digest, SPA).await
    }

    /// The practice sheet of this digest.
    pub async fn practice_sheet(
        &self,
        organisation: OrganisationId,
        digest: &str,
    ) -> Result<Option<PracticeSheet>, ServerError> {
        self.sheet(organisation, digest, PRACTICE).await
    }

    async fn sheet<T: serde::de::DeserializeOwned>(
        &self,
        organisation: OrganisationId,
        digest: &str,
        kind: &str,
    ) -> Result<Option<T>, ServerError> {
        let document = self.document(organisation, digest).await?;
        document
            .filter(|document| document.kind == kind)
            .map(|document| {
                serde_json::from_str(&document.body).map_err(|error| {
                    ServerError::Unreadable(format!("the {kind} sheet {digest}: {error}"))
                })
            })
            .transpose()
    }
}

fn card(row: &AnyRow) -> Result<DocumentCard, ServerError> {
    Ok(DocumentCard {
        digest: row.try_get("digest")?,
        kind: row.try_get("kind")?,
        name: row.try_get("name")?,
        created_at: row.try_get("created_at")?,
    })
}

//! Invitations: a homeowner's way in without an account, for one site, revocable.

use setdown_types::ids::{OrganisationId, PersonId, SiteId};
use sqlx::Row;
use uuid::Uuid;

use super::{Store, id, plain};
use crate::error::ServerError;
use crate::secrets::{Token, token_hash};

/// How long an invitation opens, milliseconds.
pub const INVITATION_LASTS: i64 = 180 * 24 * 60 * 60 * 1000;

/// An invitation as the office sees it; its token is shown once, when it is made.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Invitation {
    /// Which one.
    pub id: Uuid,
    /// Whom it is for.
    pub name: String,
    /// When it was made, milliseconds since 1970.
    pub created_at: i64,
    /// Until when it opens, milliseconds since 1970.
    pub expires_at: i64,
    /// When it was revoked, if it was.
    pub revoked_at: Option<i64>,
}

impl Store {
    /// Makes an invitation to a site and gives out its token, once.
    ///
    /// # Errors
    /// [`ServerError::NotFound`] when the organisation has no such site.
    pub async fn add_invitation(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        name: &str,
        created_by: PersonId,
        now: i64,
    ) -> Result<(Uuid, Token), ServerError> {
        let name = plain("the name", name, 200)?;
        if self.site(organisation, site).await?.is_none() {
            return Err(ServerError::NotFound("site"));
        }
        let (invitation, token) = (Uuid::now_v7(), Token::draw()?);
        sqlx::query(
            "INSERT INTO invitations (organisation, site, id, token_hash, person, name, \
             created_by, created_at, expires_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9)",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(invitation.to_string())
        .bind(&token.hash)
        .bind(Uuid::new_v4().to_string())
        .bind(if name.is_empty() {
            "Homeowner".into()
        } else {
            name
        })
        .bind(created_by.to_string())
        .bind(now)
        .bind(now + INVITATION_LASTS)
        .execute(self.pool())
        .await?;
        Ok((invitation, token))
    }

    /// All invitations to a site, newest first.
    pub async fn invitations(
        &self,
        organisation: OrganisationId,
        site: SiteId,
    ) -> Result<Vec<Invitation>, ServerError> {
        let rows = sqlx::query(
            "SELECT id, name, created_at, expires_at, revoked_at FROM invitations \
             WHERE organisation = $1 AND site = $2 ORDER BY created_at DESC, id DESC",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .fetch_all(self.pool())
        .await?;
        rows.iter()
            .map(|row| {
                Ok(Invitation {
                    id: id(row, "id")?,
                    name: row.try_get("name")?,
                    created_at: row.try_get("created_at")?,
                    expires_at: row.try_get("expires_at")?,
                    revoked_at: row.try_get("revoked_at")?,
                })
            })
            .collect()
    }

    /// The site that a person holds an open invitation to.
    pub async fn invited_site(
        &self,
        organisation: OrganisationId,
        person: PersonId,
        now: i64,
    ) -> Result<Option<SiteId>, ServerError> {
        let row = sqlx::query(
            "SELECT site FROM invitations WHERE organisation = $1 AND person = $2 \
             AND revoked_at IS NULL AND expires_at > $3",
        )
        .bind(organisation.to_string())
        .bind(person.to_string())
        .bind(now)
        .fetch_optional(self.pool())
        .await?;
        row.as_ref().map(|row| id(row, "site")).transpose()
    }

    /// Revokes an invitation; its sessions end with it. Entries stay.
    ///
    /// # Errors
    /// [`ServerError::NotFound`] when the site has no such invitation.
    pub async fn revoke_invitation(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        invitation: Uuid,
        now: i64,
    ) -> Result<(), ServerError> {
        let mut write = self.begin().await?;
        let revoked = sqlx::query(
            "UPDATE invitations SET revoked_at = COALESCE(revoked_at, $4) \
             WHERE organisation = $1 AND site = $2 AND id = $3",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(invitation.to_string())
        .bind(now)
        .execute(&mut *write.transaction)
        .await?;
        if revoked.rows_affected() == 0 {
            return Err(ServerError::NotFound("invitation"));
        }
        sqlx::query("DELETE FROM sessions WHERE organisation = $1 AND invitation = $2")
            .bind(organisation.to_string())
            .bind(invitation.to_string())
            .execute(&mut *write.transaction)
            .await?;
        write.commit().await
    }

    /// Opens an invitation: a session for its holder.
    ///
    /// # Errors
    /// [`ServerError::InvitationClosed`] when it is unknown, revoked or over.
    pub async fn open_invitation(&self, secret: &str, now: i64) -> Result<Token, ServerError> {
        let row = sqlx::query(
            "SELECT organisation, id, person FROM invitations \
             WHERE token_hash = $1 AND revoked_at IS NULL AND expires_at > $2",
        )
        .bind(token_hash(secret))
        .bind(now)
        .fetch_optional(self.pool())
        .await?
        .ok_or(ServerError::InvitationClosed)?;
        let invitation: String = row.try_get("id")?;
        self.insert_session(
            id(&row, "organisation")?,
            id(&row, "person")?,
            Some(invitation),
            now,
        )
        .await
    }
}

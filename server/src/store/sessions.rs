//! Sessions: a cookie's token, hashed, and whom it stands for right now.

use setdown_types::ids::{OrganisationId, PersonId, SiteId};
use setdown_types::party::Role;
use setdown_types::wire::Session;
use sqlx::Row;

use super::{Store, from_word, id};
use crate::error::ServerError;
use crate::secrets::{Token, token_hash};

/// How long a session lasts, milliseconds: long enough for a season of surveys with no signal.
pub const SESSION_LASTS: i64 = 60 * 24 * 60 * 60 * 1000;

impl Store {
    /// Begins a session of a person with an account.
    pub async fn begin_session(
        &self,
        organisation: OrganisationId,
        person: PersonId,
        now: i64,
    ) -> Result<Token, ServerError> {
        self.insert_session(organisation, person, None, now).await
    }

    /// Begins a session of an invitation's holder.
    pub(super) async fn insert_session(
        &self,
        organisation: OrganisationId,
        person: PersonId,
        invitation: Option<String>,
        now: i64,
    ) -> Result<Token, ServerError> {
        let token = Token::draw()?;
        sqlx::query("DELETE FROM sessions WHERE expires_at <= $1")
            .bind(now)
            .execute(self.pool())
            .await?;
        sqlx::query(
            "INSERT INTO sessions (token_hash, organisation, person, invitation, created_at, \
             expires_at) VALUES ($1, $2, $3, $4, $5, $6)",
        )
        .bind(&token.hash)
        .bind(organisation.to_string())
        .bind(person.to_string())
        .bind(invitation)
        .bind(now)
        .bind(now + SESSION_LASTS)
        .execute(self.pool())
        .await?;
        Ok(token)
    }

    /// Ends the session of this token, if there is one.
    pub async fn end_session(&self, secret: &str) -> Result<(), ServerError> {
        sqlx::query("DELETE FROM sessions WHERE token_hash = $1")
            .bind(token_hash(secret))
            .execute(self.pool())
            .await?;
        Ok(())
    }

    /// Whom a token stands for. The role is read anew each time, so that a right taken away is
    /// gone at once; `None` when the session, the person or the invitation has ended.
    pub async fn session(&self, secret: &str, now: i64) -> Result<Option<Session>, ServerError> {
        let row = sqlx::query(
            "SELECT organisation, person, invitation FROM sessions \
             WHERE token_hash = $1 AND expires_at > $2",
        )
        .bind(token_hash(secret))
        .bind(now)
        .fetch_optional(self.pool())
        .await?;
        let Some(row) = row else { return Ok(None) };
        let organisation = id(&row, "organisation")?;
        let person = id(&row, "person")?;
        match row.try_get::<Option<String>, _>("invitation")? {
            Some(invitation) => self.invited(organisation, person, &invitation, now).await,
            None => Ok(self
                .person(organisation, person)
                .await?
                .map(|(role, name)| Session {
                    person,
                    name,
                    role,
                    organisation,
                    site: None,
                })),
        }
    }

    async fn invited(
        &self,
        organisation: OrganisationId,
        person: PersonId,
        invitation: &str,
        now: i64,
    ) -> Result<Option<Session>, ServerError> {
        let row = sqlx::query(
            "SELECT site, name FROM invitations WHERE organisation = $1 AND id = $2 \
             AND revoked_at IS NULL AND expires_at > $3",
        )
        .bind(organisation.to_string())
        .bind(invitation)
        .bind(now)
        .fetch_optional(self.pool())
        .await?;
        row.map(|row| {
            let site: SiteId = id(&row, "site")?;
            Ok(Session {
                person,
                name: row.try_get("name")?,
                role: from_word::<Role>("homeowner")?,
                organisation,
                site: Some(site),
            })
        })
        .transpose()
    }
}

//! Organisations and the people who sign in.

use std::collections::BTreeMap;

use setdown_types::ids::{OrganisationId, PersonId};
use setdown_types::party::Role;
use sqlx::Row;

use super::{Store, from_word, id, plain, word};
use crate::error::ServerError;

/// Somebody to be added.
#[derive(Debug, Clone)]
pub struct NewPerson {
    /// Who; drawn by the caller.
    pub id: PersonId,
    /// For which dealer.
    pub organisation: OrganisationId,
    /// What they sign in with.
    pub sign_in: String,
    /// Shown name.
    pub name: String,
    /// As what.
    pub role: Role,
    /// Argon2id hash of the password.
    pub password_hash: String,
}

/// A person as looked up at sign-in.
#[derive(Debug, Clone)]
pub struct Account {
    /// For which dealer.
    pub organisation: OrganisationId,
    /// Who.
    pub person: PersonId,
    /// Argon2id hash of the password.
    pub password_hash: String,
}

/// A sign-in name as it is compared: trimmed, lower case.
pub fn folded(sign_in: &str) -> String {
    sign_in.trim().to_lowercase()
}

impl Store {
    /// Adds a dealer; nothing happens if the id is there already.
    pub async fn add_organisation(
        &self,
        organisation: OrganisationId,
        name: &str,
        now: i64,
    ) -> Result<(), ServerError> {
        let name = plain("the dealer's name", name, 200)?;
        sqlx::query(
            "INSERT INTO organisations (id, name, created_at) VALUES ($1, $2, $3) \
             ON CONFLICT (id) DO NOTHING",
        )
        .bind(organisation.to_string())
        .bind(name)
        .bind(now)
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// The dealer with this name, if there is exactly that one.
    pub async fn find_organisation(
        &self,
        name: &str,
    ) -> Result<Option<OrganisationId>, ServerError> {
        let row = sqlx::query("SELECT id FROM organisations WHERE name = $1")
            .bind(name.trim())
            .fetch_optional(self.pool())
            .await?;
        row.as_ref().map(|row| id(row, "id")).transpose()
    }

    /// Whether there is any dealer at all.
    pub async fn is_empty(&self) -> Result<bool, ServerError> {
        Ok(sqlx::query("SELECT id FROM organisations LIMIT 1")
            .fetch_optional(self.pool())
            .await?
            .is_none())
    }

    /// Adds somebody who can sign in.
    ///
    /// # Errors
    /// [`ServerError::BadInput`] when the sign-in name is taken or unusable.
    pub async fn add_person(&self, person: &NewPerson, now: i64) -> Result<(), ServerError> {
        let sign_in = folded(&plain("the sign-in name", &person.sign_in, 200)?);
        let name = plain("the name", &person.name, 200)?;
        if sign_in.is_empty() || name.is_empty() {
            return Err(ServerError::BadInput(
                "a person needs a name and a sign-in name".into(),
            ));
        }
        let added = sqlx::query(
            "INSERT INTO people (organisation, id, sign_in, name, role, password, active, \
             created_at) VALUES ($1, $2, $3, $4, $5, $6, 1, $7) ON CONFLICT DO NOTHING",
        )
        .bind(person.organisation.to_string())
        .bind(person.id.to_string())
        .bind(&sign_in)
        .bind(name)
        .bind(word(&person.role)?)
        .bind(&person.password_hash)
        .bind(now)
        .execute(self.pool())
        .await?;
        if added.rows_affected() == 0 {
            return Err(ServerError::BadInput(format!(
                "the sign-in name '{sign_in}' is taken: choose another"
            )));
        }
        Ok(())
    }

    /// Sets somebody's password anew and ends their sessions; gives their shown name.
    ///
    /// # Errors
    /// [`ServerError::BadInput`] when nobody active has this sign-in name.
    pub async fn set_password(
        &self,
        sign_in: &str,
        password_hash: &str,
    ) -> Result<String, ServerError> {
        let mut write = self.begin().await?;
        let row = sqlx::query(
            "UPDATE people SET password = $2 WHERE sign_in = $1 AND active = 1 \
             RETURNING organisation, id, name",
        )
        .bind(folded(sign_in))
        .bind(password_hash)
        .fetch_optional(&mut *write.transaction)
        .await?
        .ok_or_else(|| {
            ServerError::BadInput(format!(
                "nobody signs in as '{}': add them with add-person",
                folded(sign_in)
            ))
        })?;
        sqlx::query("DELETE FROM sessions WHERE organisation = $1 AND person = $2")
            .bind(row.try_get::<String, _>("organisation")?)
            .bind(row.try_get::<String, _>("id")?)
            .execute(&mut *write.transaction)
            .await?;
        write.commit().await?;
        Ok(row.try_get("name")?)
    }

    /// The account behind a sign-in name.
    pub async fn account(&self, sign_in: &str) -> Result<Option<Account>, ServerError> {
        let row = sqlx::query(
            "SELECT organisation, id, password FROM people WHERE sign_in = $1 AND active = 1",
        )
        .bind(folded(sign_in))
        .fetch_optional(self.pool())
        .await?;
        row.map(|row| {
            Ok(Account {
                organisation: id(&row, "organisation")?,
                person: id(&row, "id")?,
                password_hash: row.try_get("password")?,
            })
        })
        .transpose()
    }

    /// Names of everybody of one dealer who ever wrote entries: people and invited homeowners.
    pub async fn names(
        &self,
        organisation: OrganisationId,
    ) -> Result<BTreeMap<PersonId, String>, ServerError> {
        let rows = sqlx::query(
            "SELECT id AS person, name FROM people WHERE organisation = $1 \
             UNION SELECT person, name FROM invitations WHERE organisation = $1",
        )
        .bind(organisation.to_string())
        .fetch_all(self.pool())
        .await?;
        rows.iter()
            .map(|row| Ok((id(row, "person")?, row.try_get("name")?)))
            .collect()
    }

    /// The role and shown name of a person with an account.
    pub async fn person(
        &self,
        organisation: OrganisationId,
        person: PersonId,
    ) -> Result<Option<(Role, String)>, ServerError> {
        let row = sqlx::query(
            "SELECT role, name FROM people WHERE organisation = $1 AND id = $2 AND active = 1",
        )
        .bind(organisation.to_string())
        .bind(person.to_string())
        .fetch_optional(self.pool())
        .await?;
        row.map(|row| {
            let role: String = row.try_get("role")?;
            Ok((from_word(&role)?, row.try_get("name")?))
        })
        .transpose()
    }
}

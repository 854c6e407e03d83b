//! Contacts: names, numbers, addresses and access codes of a site, outside the ledger and erasable.

use setdown_app::office::messages::{
    LONGEST_ACCESS_CODE, LONGEST_ADDRESS, LONGEST_CONTACT_NAME, LONGEST_EMAIL, LONGEST_PHONE,
};
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::party::Party;
use sqlx::any::AnyRow;
use sqlx::{AnyConnection, Row};
use uuid::Uuid;

use super::{Store, from_word, id, plain, word};
use crate::error::ServerError;

/// One person or firm to reach for a site.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Contact {
    /// Which one; drawn by the caller.
    pub id: Uuid,
    /// As what they take part.
    pub party: Party,
    /// Name.
    pub name: String,
    /// Phone number as written.
    pub phone: String,
    /// E-mail address.
    pub email: String,
    /// Postal address.
    pub address: String,
    /// Gate or door code.
    pub access_code: String,
}

impl Contact {
    /// Each text as it is kept: name, phone number, e-mail address, postal address, access code.
    ///
    /// # Errors
    /// [`ServerError::BadInput`] for the first that is too long or no line.
    pub fn kept(&self) -> Result<[String; 5], ServerError> {
        Ok([
            plain("the name", &self.name, LONGEST_CONTACT_NAME)?,
            plain("the phone number", &self.phone, LONGEST_PHONE)?,
            plain("the e-mail address", &self.email, LONGEST_EMAIL)?,
            plain("the address", &self.address, LONGEST_ADDRESS)?,
            plain("the access code", &self.access_code, LONGEST_ACCESS_CODE)?,
        ])
    }
}

impl Store {
    /// The contacts of a site, by party and name.
    pub async fn contacts(
        &self,
        organisation: OrganisationId,
        site: SiteId,
    ) -> Result<Vec<Contact>, ServerError> {
        let mut connection = self.pool().acquire().await?;
        contacts_of(&mut connection, organisation, site).await
    }

    /// Writes a contact, new or changed.
    ///
    /// # Errors
    /// [`ServerError::NotFound`] when the organisation has no such site; [`ServerError::BadInput`] as [`Contact::kept`].
    pub async fn write_contact(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        contact: &Contact,
        now: i64,
    ) -> Result<(), ServerError> {
        if self.site(organisation, site).await?.is_none() {
            return Err(ServerError::NotFound("site"));
        }
        let mut connection = self.pool().acquire().await?;
        write_contact(&mut connection, organisation, site, contact, now).await
    }

    /// Erases a contact: nothing of it stays.
    ///
    /// # Errors
    /// [`ServerError::NotFound`] when the site has no such contact.
    pub async fn erase_contact(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        contact: Uuid,
    ) -> Result<(), ServerError> {
        let erased =
            sqlx::query("DELETE FROM contacts WHERE organisation = $1 AND site = $2 AND id = $3")
                .bind(organisation.to_string())
                .bind(site.to_string())
                .bind(contact.to_string())
                .execute(self.pool())
                .await?;
        if erased.rows_affected() == 0 {
            return Err(ServerError::NotFound("contact"));
        }
        Ok(())
    }
}

/// The contacts of a site, by party and name.
pub(super) async fn contacts_of(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
) -> Result<Vec<Contact>, ServerError> {
    let rows = sqlx::query(
        "SELECT id, party, name, phone, email, address, access_code FROM contacts \
         WHERE organisation = $1 AND site = $2 ORDER BY party, name, id",
    )
    .bind(organisation.to_string())
    .bind(site.to_string())
    .fetch_all(connection)
    .await?;
    rows.iter().map(contact).collect()
}

/// Writes a contact of a site that is there.
pub(super) async fn write_contact(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    contact: &Contact,
    now: i64,
) -> Result<(), ServerError> {
    let [name, phone, email, address, access_code] = contact.kept()?;
    sqlx::query(
        "INSERT INTO contacts (organisation, site, id, party, name, phone, email, address, \
         access_code, changed_at) VALUES ($1, $2, $3, $4, $5, $6, $7, $8, $9, $10) \
         ON CONFLICT (organisation, site, id) DO UPDATE SET party = excluded.party, \
         name = excluded.name, phone = excluded.phone, email = excluded.email, \
         address = excluded.address, access_code = excluded.access_code, \
         changed_at = excluded.changed_at",
    )
    .bind(organisation.to_string())
    .bind(site.to_string())
    .bind(contact.id.to_string())
    .bind(word(&contact.party)?)
    .bind(name)
    .bind(phone)
    .bind(email)
    .bind(address)
    .bind(access_code)
    .bind(now)
    .execute(connection)
    .await?;
    Ok(())
}

fn contact(row: &AnyRow) -> Result<Contact, ServerError> {
    let party: String = row.try_get("party")?;
    Ok(Contact {
        id: id(row, "id")?,
        party: from_word(&party)?,
        name: row.try_get("name")?,
        phone: row.try_get("phone")?,
        email: row.try_get("email")?,
        address: row.try_get("address")?,
        access_code: row.try_get("access_code")?,
    })
}

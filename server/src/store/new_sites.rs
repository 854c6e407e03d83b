//! New sites: the row, what it is pinned to and whom to reach for it, in one transaction.

use setdown_app::office::messages::LONGEST_SITE_NAME;
use setdown_types::admission::{Arrival, Writer};
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::party::Party;
use setdown_types::wire::Verdict;
use sqlx::{AnyConnection, Row};

use super::contacts::{Contact, contacts_of, write_contact};
use super::ledger::push_within;
use super::{SiteWrite, Store, Write, plain};
use crate::clock;
use crate::error::ServerError;

/// A site to be made.
#[derive(Debug, Clone)]
pub struct NewSite {
    /// Which one; drawn once by whoever asks for it, so that asking again makes no second one.
    pub site: SiteId,
    /// A descriptive name.
    pub name: String,
    /// IANA time zone.
    pub time_zone: String,
    /// Digest of a spa sheet of the organisation.
    pub spa: String,
    /// Digest of a practice sheet of the organisation.
    pub practice: String,
    /// Whom to reach for it.
    pub contacts: Vec<Contact>,
}

impl Store {
    /// Makes a site with its `pins`, entries of the writer, and its contacts: all of it or nothing. `false` where the
    /// writer's organisation has this very site already: it stays as it is.
    ///
    /// # Errors
    /// [`ServerError::BadInput`] for a name, zone, sheet or contact that cannot be used; [`ServerError::SiteThere`] where
    /// the site of this id was made from something else.
    pub async fn make_site(
        &self,
        writer: &Writer,
        arrival: &Arrival,
        new: &NewSite,
        pins: &[&str],
    ) -> Result<bool, ServerError> {
        let organisation = writer.organisation;
        let name = self.usable(organisation, new).await?;
        let Write {
            mut transaction,
            _turn,
        } = self.begin().await?;
        let now = arrival.received_at;
        if !add_row(&mut transaction, organisation, new, &name, now).await? {
            let there = made_before(&mut transaction, organisation, new, &name).await?;
            return there.map_or(Ok(false), |name| Err(ServerError::SiteThere(name)));
        }
        for contact in &new.contacts {
            write_contact(&mut transaction, organisation, new.site, contact, now).await?;
        }
        let mut write = SiteWrite {
            transaction,
            last_seq: 0,
            _turn,
        };
        let pushed = push_within(&mut write, writer, new.site, arrival, pins).await?;
        let taken = |verdict: &Verdict| matches!(verdict, Verdict::Accepted(_));
        let verdicts = &pushed.outcome.verdicts;
        if let Some(verdict) = verdicts.iter().find(|one| !taken(&one.verdict)) {
            return Err(ServerError::Internal(format!(
                "a pin of a new site was not taken: {verdict:?}"
            )));
        }
        write.commit().await?;
        Ok(true)
    }

    /// Its name as it is kept, where everything about it can be used.
    async fn usable(
        &self,
        organisation: OrganisationId,
        new: &NewSite,
    ) -> Result<String, ServerError> {
        let name = plain("the site's name", &new.name, LONGEST_SITE_NAME)?;
        if name.is_empty() {
            return Err(ServerError::BadInput(
                "a site needs a descriptive name".into(),
            ));
        }
        if !clock::knows_zone(&new.time_zone) {
            return Err(ServerError::BadInput(format!(
                "'{}' is no time zone; write it like America/Denver",
                new.time_zone
            )));
        }
        let spa = self.spa_sheet(organisation, &new.spa).await?;
        let practice = self.practice_sheet(organisation, &new.practice).await?;
        if spa.is_none() || practice.is_none() {
            return Err(ServerError::BadInput(
                "a site needs a spa sheet and a practice sheet of this dealer: import them first"
                    .into(),
            ));
        }
        Ok(name)
    }
}

/// Adds the row; `false` where the organisation has one of this id. Who asks at the same moment waits for the first.
async fn add_row(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    new: &NewSite,
    name: &str,
    now: i64,
) -> Result<bool, ServerError> {
    let added = sqlx::query(
        "INSERT INTO sites (organisation, id, name, name_folded, time_zone, spa, practice, \
         last_seq, created_at, summary_seq) VALUES ($1, $2, $3, $4, $5, $6, $7, 0, $8, 0) \
         ON CONFLICT (organisation, id) DO NOTHING",
    )
    .bind(organisation.to_string())
    .bind(new.site.to_string())
    .bind(name)
    .bind(name.to_lowercase())
    .bind(&new.time_zone)
    .bind(&new.spa)
    .bind(&new.practice)
    .bind(now)
    .execute(connection)
    .await?;
    Ok(added.rows_affected() == 1)
}

/// The name of the site that is there, where it is something else than `new` would make.
async fn made_before(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    new: &NewSite,
    name: &str,
) -> Result<Option<String>, ServerError> {
    let row = sqlx::query(
        "SELECT name, time_zone, spa, practice FROM sites WHERE organisation = $1 AND id = $2",
    )
    .bind(organisation.to_string())
    .bind(new.site.to_string())
    .fetch_one(&mut *connection)
    .await?;
    let text = |column: &str| row.try_get::<String, _>(column);
    let there = [
        text("name")?,
        text("time_zone")?,
        text("spa")?,
        text("practice")?,
    ];
    let same_row = there == [name, &new.time_zone, &new.spa, &new.practice];
    let known = contacts_of(connection, organisation, new.site).await?;
    let same = same_row && are_alike(&new.contacts, &known)?;
    let [there, ..] = there;
    Ok((!same).then_some(there))
}

/// Whether the contacts asked for are those that are there, whatever their ids and order.
fn are_alike(asked: &[Contact], known: &[Contact]) -> Result<bool, ServerError> {
    let mut known: Vec<(Party, [String; 5])> = known
        .iter()
        .map(|contact| Ok((contact.party, contact.kept()?)))
        .collect::<Result<_, ServerError>>()?;
    for contact in asked {
        let wanted = (contact.party, contact.kept()?);
        let Some(place) = known.iter().position(|one| *one == wanted) else {
            return Ok(false);
        };
        known.swap_remove(place);
    }
    Ok(known.is_empty())
}

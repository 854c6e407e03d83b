//! What a push can touch and what a page leans on, loaded by id: never everything that is held or refused.

use std::collections::BTreeSet;

use setdown_types::admission::{Address, Kept, Surroundings, Writer, pinned_sheet};
use setdown_types::digest::is_digest;
use setdown_types::entry::Entry;
use setdown_types::ids::{EntryId, OrganisationId, SiteId};
use setdown_types::ledger::Standing;
use sqlx::{AnyConnection, AssertSqlSafe};

use super::ledger::{COLUMNS, kept_of};
use super::waiting;
use crate::error::ServerError;

/// How many ids one query asks for.
const CHUNK: usize = 400;

/// What a push can touch.
pub(super) struct Touched {
    /// Entries.
    pub(super) kept: Vec<Kept>,
    /// What is known beyond the entries.
    pub(super) surroundings: Surroundings,
}

/// Loads the pushed ids, what is held for them step by step, what all of these build on, and what is known beyond.
pub(super) async fn load(
    connection: &mut AnyConnection,
    writer: &Writer,
    site: SiteId,
    raws: &[&str],
) -> Result<Touched, ServerError> {
    let organisation = writer.organisation;
    let addresses: Vec<Address> = raws.iter().filter_map(|raw| Address::of(raw)).collect();
    let pushed = addresses.iter().map(|address| address.id).collect();
    let held = waiting::released_by(connection, organisation, site, pushed).await?;
    let mut wanted = held;
    for address in addresses {
        wanted.insert(address.id);
        wanted.extend(address.replaces);
    }
    let mut kept = by_id(connection, organisation, site, &wanted).await?;
    let parents: BTreeSet<EntryId> = kept
        .iter()
        .filter(|kept| kept.is_held())
        .flat_map(|kept| kept.replaces.iter().copied())
        .filter(|id| !wanted.contains(id))
        .collect();
    kept.extend(by_id(connection, organisation, site, &parents).await?);
    let surroundings = Surroundings {
        sheets: Some(sheets(connection, organisation, raws).await?),
        waiting: waiting::count_of(connection, organisation, site, writer.person).await?,
    };
    Ok(Touched { kept, surroundings })
}

/// Those of the sheets named by pushed pins that the dealer has.
async fn sheets(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    raws: &[&str],
) -> Result<BTreeSet<(&'static str, String)>, ServerError> {
    let entries = raws.iter().filter_map(|raw| Entry::from_json(raw).ok());
    let named: BTreeSet<(&str, String)> = entries
        .filter_map(|entry| pinned_sheet(&entry).map(|(kind, digest)| (kind, digest.to_owned())))
        .filter(|(_, digest)| is_digest(digest))
        .collect();
    let mut here = BTreeSet::new();
    for (kind, digest) in named {
        let row = sqlx::query(
            "SELECT digest FROM documents WHERE organisation = $1 AND digest = $2 AND kind = $3",
        )
        .bind(organisation.to_string())
        .bind(&digest)
        .bind(kind)
        .fetch_optional(&mut *connection)
        .await?;
        if row.is_some() {
            here.insert((kind, digest));
        }
    }
    Ok(here)
}

/// Adds the refused entries that `kept` builds on, directly or through other refused ones.
pub(super) async fn add_refused(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    kept: &mut Vec<Kept>,
) -> Result<(), ServerError> {
    let mut known: BTreeSet<EntryId> = kept.iter().map(|kept| kept.id).collect();
    let mut wanted: BTreeSet<EntryId> = named_by(kept, &known);
    while !wanted.is_empty() {
        let mut found = by_id(connection, organisation, site, &wanted).await?;
        found.retain(|kept| matches!(kept.standing, Standing::Refused(_)));
        known.append(&mut wanted);
        wanted = named_by(&found, &known);
        kept.append(&mut found);
    }
    Ok(())
}

fn named_by(kept: &[Kept], known: &BTreeSet<EntryId>) -> BTreeSet<EntryId> {
    let named = kept.iter().flat_map(|kept| kept.replaces.iter().copied());
    named.filter(|id| !known.contains(id)).collect()
}

async fn by_id(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    ids: &BTreeSet<EntryId>,
) -> Result<Vec<Kept>, ServerError> {
    let ids: Vec<EntryId> = ids.iter().copied().collect();
    let mut kept = Vec::new();
    for chunk in ids.chunks(CHUNK) {
        let places: Vec<String> = (3..chunk.len() + 3)
            .map(|place| format!("${place}"))
            .collect();
        let mut query = sqlx::query(AssertSqlSafe(format!(
            "SELECT {COLUMNS} FROM entries WHERE organisation = $1 AND site = $2 AND id IN ({})",
            places.join(", ")
        )))
        .bind(organisation.to_string())
        .bind(site.to_string());
        for id in chunk {
            query = query.bind(id.to_string());
        }
        for row in query.fetch_all(&mut *connection).await? {
            kept.push(kept_of(&row)?);
        }
    }
    Ok(kept)
}

//! Which held entry waits for which: so that a push finds what it releases without reading all that is held.

use std::collections::BTreeSet;

use setdown_types::admission::Kept;
use setdown_types::entry::Entry;
use setdown_types::ids::{EntryId, OrganisationId, PersonId, SiteId};
use sqlx::{AnyConnection, AssertSqlSafe, Row};

use super::id;
use crate::error::ServerError;

/// Stands for everything, where an entry was held before it was written down what it waits for.
const ANYTHING: &str = "";
/// How many ids one query asks for.
const CHUNK: usize = 400;

/// Writes down what `kept` waits for, or that it waits no longer where it `waited` before.
pub(crate) async fn note(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    kept: &Kept,
    waited: bool,
) -> Result<(), ServerError> {
    if kept.is_held() {
        return add(connection, organisation, site, kept.id, &kept.raw).await;
    }
    if waited {
        sqlx::query("DELETE FROM waiting WHERE organisation = $1 AND site = $2 AND entry = $3")
            .bind(organisation.to_string())
            .bind(site.to_string())
            .bind(kept.id.to_string())
            .execute(connection)
            .await?;
    }
    Ok(())
}

/// Writes down what the held entry `id` waits for, by its bytes.
pub(crate) async fn add(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    id: EntryId,
    raw: &str,
) -> Result<(), ServerError> {
    let Ok(entry) = Entry::from_json(raw) else {
        return Ok(());
    };
    for waits_for in &entry.replaces {
        sqlx::query(
            "INSERT INTO waiting (organisation, site, waits_for, entry, author) \
             VALUES ($1, $2, $3, $4, $5) ON CONFLICT (organisation, site, waits_for, entry) DO NOTHING",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(waits_for.to_string())
        .bind(id.to_string())
        .bind(entry.author.to_string())
        .execute(&mut *connection)
        .await?;
    }
    Ok(())
}

/// How many entries of one author wait at a site.
pub(super) async fn count_of(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    author: PersonId,
) -> Result<usize, ServerError> {
    let row = sqlx::query(
        "SELECT COUNT(DISTINCT entry) AS waiting FROM waiting \
         WHERE organisation = $1 AND site = $2 AND author = $3",
    )
    .bind(organisation.to_string())
    .bind(site.to_string())
    .bind(author.to_string())
    .fetch_one(connection)
    .await?;
    Ok(usize::try_from(row.try_get::<i64, _>("waiting")?).unwrap_or(usize::MAX))
}

/// The held entries that may be decided once `settled` are, step by step.
pub(super) async fn released_by(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    settled: BTreeSet<EntryId>,
) -> Result<BTreeSet<EntryId>, ServerError> {
    let mut released = BTreeSet::new();
    let mut asked: Vec<String> = vec![ANYTHING.to_owned()];
    asked.extend(settled.iter().map(ToString::to_string));
    while !asked.is_empty() {
        let mut further = BTreeSet::new();
        for chunk in asked.chunks(CHUNK) {
            further.extend(waiting_for(connection, organisation, site, chunk).await?);
        }
        further.retain(|id| !released.contains(id) && !settled.contains(id));
        asked = further.iter().map(ToString::to_string).collect();
        released.append(&mut further);
    }
    Ok(released)
}

async fn waiting_for(
    connection: &mut AnyConnection,
    organisation: OrganisationId,
    site: SiteId,
    names: &[String],
) -> Result<BTreeSet<EntryId>, ServerError> {
    let places: Vec<String> = (3..names.len() + 3)
        .map(|place| format!("${place}"))
        .collect();
    let mut query = sqlx::query(AssertSqlSafe(format!(
        "SELECT DISTINCT entry FROM waiting \
         WHERE organisation = $1 AND site = $2 AND waits_for IN ({})",
        places.join(", ")
    )))
    .bind(organisation.to_string())
    .bind(site.to_string());
    for name in names {
        query = query.bind(name);
    }
    let rows = query.fetch_all(&mut *connection).await?;
    rows.iter().map(|row| id(row, "entry")).collect()
}

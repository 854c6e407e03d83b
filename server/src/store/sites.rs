//! Sites: their rows, their lists for phone and office, and the summary derived from the ledger.

use setdown_types::ids::{OrganisationId, SiteId};
use sqlx::any::AnyRow;
use sqlx::{AssertSqlSafe, Row};

use super::{Store, count, id};
use crate::clock;
use crate::error::ServerError;

/// The most sites a list gives at once.
pub const MAX_PAGE: u32 = 200;

/// A site's row.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SiteRow {
    /// Which one.
    pub site: SiteId,
    /// Its descriptive name.
    pub name: String,
    /// IANA time zone.
    pub time_zone: String,
    /// Digest of the spa sheet it was made with; a later pin in its ledger overrides it.
    pub spa: String,
    /// Digest of the practice sheet it was made with; a later pin in its ledger overrides it.
    pub practice: String,
    /// Highest seq of its ledger.
    pub last_seq: u64,
    /// When the last entry came, milliseconds since 1970.
    pub last_received_at: Option<i64>,
    /// When it was made, milliseconds since 1970.
    pub created_at: i64,
    /// The summary as JSON, if one was made.
    pub summary: Option<String>,
}

/// What a list of sites is ordered by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub enum SiteOrder {
    /// By name.
    #[default]
    Name,
    /// By the next hold point.
    HoldPoint,
    /// By state.
    State,
    /// By score.
    Score,
    /// By who holds it up.
    WaitsFor,
    /// By the last entry.
    LastReceived,
}

impl SiteOrder {
    /// Sites without a value come first going up, on both databases alike.
    const fn column(self) -> &'static str {
        match self {
            Self::Name => "name_folded",
            Self::HoldPoint => "COALESCE(hold_point, '')",
            Self::State => "COALESCE(state, '')",
            Self::Score => "COALESCE(score, -1)",
            Self::WaitsFor => "COALESCE(waits_for, '')",
            Self::LastReceived => "COALESCE(last_received_at, 0)",
        }
    }
}

/// Which sites to list.
#[derive(Debug, Clone, Default)]
pub struct SiteQuery {
    /// Part of the name, in any case; empty for all.
    pub search: String,
    /// Only sites in this state, if given.
    pub state: Option<String>,
    /// Ordered by this.
    pub order: SiteOrder,
    /// From the other end.
    pub descending: bool,
    /// How many to leave out first.
    pub skip: u32,
    /// How many to give, at most [`MAX_PAGE`].
    pub take: u32,
}

/// A page of sites.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SitePage {
    /// The sites.
    pub sites: Vec<SiteRow>,
    /// How many match in all.
    pub total: u64,
}

/// What is derived from a site's ledger and kept beside it.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SummaryRow {
    /// The summary as JSON.
    pub json: String,
    /// The seq up to which entries were counted.
    pub seq: u64,
    /// The civil date at the site.
    pub date: String,
    /// Key of the next hold point.
    pub hold_point: String,
    /// Its state.
    pub state: String,
    /// Its score, 0 to 100.
    pub score: i64,
    /// The party that holds it up.
    pub waits_for: String,
}

const COLUMNS: &str = "id, name, time_zone, spa, practice, last_seq, last_received_at, \
                       created_at, summary";

impl Store {
    /// One site; `None` when the organisation has no such site.
    pub async fn site(
        &self,
        organisation: OrganisationId,
        site: SiteId,
    ) -> Result<Option<SiteRow>, ServerError> {
        let row = sqlx::query(AssertSqlSafe(format!(
            "SELECT {COLUMNS} FROM sites WHERE organisation = $1 AND id = $2"
        )))
        .bind(organisation.to_string())
        .bind(site.to_string())
        .fetch_optional(self.pool())
        .await?;
        row.as_ref().map(site_row).transpose()
    }

    /// All sites of an organisation by name, for taking along.
    pub async fn all_sites(
        &self,
        organisation: OrganisationId,
    ) -> Result<Vec<SiteRow>, ServerError> {
        let rows = sqlx::query(AssertSqlSafe(format!(
            "SELECT {COLUMNS} FROM sites WHERE organisation = $1 ORDER BY name_folded, id"
        )))
        .bind(organisation.to_string())
        .fetch_all(self.pool())
        .await?;
        rows.iter().map(site_row).collect()
    }

    /// A page of sites, searched and ordered.
    pub async fn site_page(
        &self,
        organisation: OrganisationId,
        query: &SiteQuery,
    ) -> Result<SitePage, ServerError> {
        let pattern = like_pattern(&query.search);
        let state = query.state.clone().unwrap_or_default();
        let matching = "organisation = $1 AND name_folded LIKE $2 ESCAPE '!' \
                        AND ($3 = '' OR state = $3)";
        let total = sqlx::query(AssertSqlSafe(format!(
            "SELECT COUNT(*) AS total FROM sites WHERE {matching}"
        )))
        .bind(organisation.to_string())
        .bind(&pattern)
        .bind(&state)
        .fetch_one(self.pool())
        .await?;
        let direction = if query.descending { "DESC" } else { "ASC" };
        let rows = sqlx::query(AssertSqlSafe(format!(
            "SELECT {COLUMNS} FROM sites WHERE {matching} \
             ORDER BY {} {direction}, name_folded, id LIMIT $4 OFFSET $5",
            query.order.column()
        )))
        .bind(organisation.to_string())
        .bind(&pattern)
        .bind(&state)
        .bind(i64::from(query.take.min(MAX_PAGE)))
        .bind(i64::from(query.skip))
        .fetch_all(self.pool())
        .await?;
        Ok(SitePage {
            sites: rows.iter().map(site_row).collect::<Result<_, _>>()?,
            total: count(total.try_get("total")?),
        })
    }

    /// Keeps a summary, unless a later one is there already.
    pub async fn write_summary(
        &self,
        organisation: OrganisationId,
        site: SiteId,
        summary: &SummaryRow,
    ) -> Result<(), ServerError> {
        sqlx::query(
            "UPDATE sites SET summary = $3, summary_seq = $4, summary_date = $5, \
             hold_point = $6, state = $7, score = $8, waits_for = $9 \
             WHERE organisation = $1 AND id = $2 AND summary_seq <= $4",
        )
        .bind(organisation.to_string())
        .bind(site.to_string())
        .bind(&summary.json)
        .bind(super::bigint(summary.seq))
        .bind(&summary.date)
        .bind(&summary.hold_point)
        .bind(&summary.state)
        .bind(summary.score)
        .bind(&summary.waits_for)
        .execute(self.pool())
        .await?;
        Ok(())
    }

    /// Sites whose summary is behind their ledger or of another date than today at the site.
    pub async fn stale_sites(&self) -> Result<Vec<(OrganisationId, SiteId)>, ServerError> {
        let rows = sqlx::query(
            "SELECT organisation, id, time_zone, last_seq, summary_seq, summary_date FROM sites",
        )
        .fetch_all(self.pool())
        .await?;
        let mut stale = Vec::new();
        for row in &rows {
            let (last, summed): (i64, i64) =
                (row.try_get("last_seq")?, row.try_get("summary_seq")?);
            let zone: String = row.try_get("time_zone")?;
            let date: Option<String> = row.try_get("summary_date")?;
            if last != summed || date != Some(clock::today(&zone).to_string()) {
                stale.push((id(row, "organisation")?, id(row, "id")?));
            }
        }
        Ok(stale)
    }
}

fn site_row(row: &AnyRow) -> Result<SiteRow, ServerError> {
    Ok(SiteRow {
        site: id(row, "id")?,
        name: row.try_get("name")?,
        time_zone: row.try_get("time_zone")?,
        spa: row.try_get("spa")?,
        practice: row.try_get("practice")?,
        last_seq: count(row.try_get("last_seq")?),
        last_received_at: row.try_get("last_received_at")?,
        created_at: row.try_get("created_at")?,
        summary: row.try_get("summary")?,
    })
}

/// A LIKE pattern for text anywhere in a name, with `!` before what LIKE would interpret.
fn like_pattern(search: &str) -> String {
    let mut pattern = String::from("%");
    for character in search.trim().to_lowercase().chars() {
        if character.is_control() {
            continue;
        }
        if matches!(character, '%' | '_' | '!') {
            pattern.push('!');
        }
        pattern.push(character);
    }
    pattern.push('%');
    pattern
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn search_text_is_never_a_pattern() {
        assert_eq!(like_pattern(" 50% Slope_"), "%50!% slope!_%");
    }
}

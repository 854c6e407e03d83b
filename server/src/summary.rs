//! The summary of a site: its assessment of today in one row, derived from the ledger and kept
//! beside the site so that a table of thousands needs no fold.

use std::sync::Arc;

use jiff::civil::Date;
use setdown_app::office::messages::SiteSummary;
use setdown_rules::frame::result::{HoldPoint, HoldState};
use setdown_rules::motion::Certified;
use setdown_rules::plan::ledger::{self, Wanted};
use setdown_rules::{Assessment, Input, Ways, assess_worked_out};
use setdown_types::ids::{OrganisationId, SiteId};
use setdown_types::ledger::{Record, fold};
use setdown_types::party::Party;
use setdown_types::practice::PracticeSheet;
use setdown_types::site::{Site, StreamState};
use setdown_types::spa::SpaSheet;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use crate::clock;
use crate::error::ServerError;
use crate::store::Store;
use crate::store::sites::{SiteRow, SummaryRow};
use crate::ways;

/// A site read, folded and assessed at one seq.
pub struct Assessed {
    /// Its row.
    pub row: SiteRow,
    /// Accepted and refused entries up to the row's last seq.
    pub records: Vec<Record>,
    /// The folded site.
    pub site: Site,
    /// Digest of the spa sheet it is pinned to.
    pub spa_digest: String,
    /// Digest of the practice sheet it is pinned to.
    pub practice_digest: String,
    /// The spa sheet.
    pub spa: SpaSheet,
    /// The practice sheet.
    pub practice: PracticeSheet,
    /// Civil date at the site.
    pub today: Date,
    /// What the rules say.
    pub assessment: Assessment,
    /// The answer about the way in, where the yard plan is settled.
    pub way: Option<Arc<Certified>>,
    /// What that is the answer to.
    pub wanted: Option<Wanted>,
}

/// What the rules are asked about a site.
struct Question {
    site: Site,
    spa: SpaSheet,
    practice: PracticeSheet,
    today: Date,
}

impl Question {
    /// The way in that an answer needs.
    fn wanted(&self) -> Option<Wanted> {
        ledger::wanted(&Input {
            site: &self.site,
            spa: &self.spa,
            practice: &self.practice,
            today: self.today,
            suppose: None,
            ways: &Ways::default(),
        })
    }

    /// Assesses with the way in worked out, or remembered.
    fn answer(&self, wanted: Option<&Wanted>) -> (Assessment, Option<Arc<Certified>>) {
        let mut known = ways::known(wanted);
        let assessment = assess_worked_out(
            &self.site,
            &self.spa,
            &self.practice,
            self.today,
            &mut known,
        );
        let way = wanted.and_then(|wanted| known.get(&wanted.digest).cloned());
        if let Some(way) = &way {
            ways::keep(way);
        }
        (assessment, way)
    }
}

/// Works away from the async threads.
pub(crate) async fn away<T: Send + 'static>(
    work: impl FnOnce() -> T + Send + 'static,
) -> Result<T, ServerError> {
    tokio::task::spawn_blocking(work)
        .await
        .map_err(|error| ServerError::Internal(format!("an assessment stopped: {error}")))
}

/// Reads, folds and assesses a site; `None` when the organisation has no such site.
///
/// # Errors
/// [`ServerError::NoSheet`] where its ledger pins it to a sheet that is not there: no other sheet stands in for it.
pub async fn assess(
    store: &Store,
    organisation: OrganisationId,
    site: SiteId,
) -> Result<Option<Assessed>, ServerError> {
    let Some(row) = store.site(organisation, site).await? else {
        return Ok(None);
    };
    let records = store.records(organisation, site, row.last_seq).await?;
    let folded = fold(&records);
    let spa_digest = pinned(&folded, "site.spa").unwrap_or_else(|| row.spa.clone());
    let practice_digest = pinned(&folded, "site.practice").unwrap_or_else(|| row.practice.clone());
    let spa = store
        .spa_sheet(organisation, &spa_digest)
        .await?
        .ok_or(ServerError::NoSheet("spa sheet"))?;
    let practice = store
        .practice_sheet(organisation, &practice_digest)
        .await?
        .ok_or(ServerError::NoSheet("practice sheet"))?;
    let today = clock::today(&row.time_zone);
    let question = Question {
        site: folded,
        spa,
        practice,
        today,
    };
    let (question, wanted) = away(move || {
        let wanted = question.wanted();
        (question, wanted)
    })
    .await?;
    let turn = ways::turn(wanted.as_ref()).await;
    away(move || {
        let (assessment, way) = question.answer(wanted.as_ref());
        // The turn ends with the work, also where nobody waits for it any more.
        drop(turn);
        Some(Assessed {
            row,
            records,
            site: question.site,
            spa_digest,
            practice_digest,
            spa: question.spa,
            practice: question.practice,
            today,
            assessment,
            way,
            wanted,
        })
    })
    .await
}

/// The digest a site is pinned to by its ledger.
pub(crate) fn pinned(site: &Site, question: &str) -> Option<String> {
    match site
        .stream(Subject::SITE, question)?
        .leading()?
        .value
        .as_ref()?
    {
        Value::Pin(digest) => Some(digest.clone()),
        _ => None,
    }
}

/// What an assessment amounts to in one row.
pub fn summarise(site: &Site, assessment: &Assessment) -> Option<SiteSummary> {
    let current = assessment
        .hold_points
        .iter()
        .find(|point| point.state != HoldState::Signed)
        .or(assessment.hold_points.last())?;
    let waits_for = assessment
        .tasks
        .iter()
        .find(|task| task.unlocks.contains(&current.hold_point))
        .map(|task| task.party);
    let disagreements = site
        .streams()
        .values()
        .filter(|stream| matches!(stream.state, StreamState::Conflict { .. }))
        .count();
    Some(SiteSummary {
        hold_point: current.hold_point,
        state: current.state,
        score: current.score,
        named: current.named,
        settled: current.settled,
        to_measure: current.to_measure,
        tight: current.tight,
        stopped: current.stopped,
        worst: current.worst.as_ref().map(ToString::to_string),
        waits_for,
        disagreements: u32::try_from(disagreements).unwrap_or(u32::MAX),
    })
}

/// Works a site's summary out anew and keeps it.
pub async fn refresh(
    store: &Store,
    organisation: OrganisationId,
    site: SiteId,
) -> Result<(), ServerError> {
    let assessed = match assess(store, organisation, site).await {
        Ok(Some(assessed)) => assessed,
        Ok(None) => return Ok(()),
        Err(ServerError::NoSheet(_)) => return write_unassessed(store, organisation, site).await,
        Err(error) => return Err(error),
    };
    let Some(summary) = summarise(&assessed.site, &assessed.assessment) else {
        return Ok(());
    };
    write(store, organisation, &assessed.row, assessed.today, &summary).await
}

/// The summary of a site that cannot be assessed: nothing of it is settled.
async fn write_unassessed(
    store: &Store,
    organisation: OrganisationId,
    site: SiteId,
) -> Result<(), ServerError> {
    let Some(row) = store.site(organisation, site).await? else {
        return Ok(());
    };
    let summary = SiteSummary {
        hold_point: HoldPoint::Order,
        state: HoldState::Unmeasured,
        score: 0,
        named: 0,
        settled: 0,
        to_measure: 0,
        tight: 0,
        stopped: 0,
        worst: None,
        waits_for: Some(Party::Office),
        disagreements: 0,
    };
    let today = clock::today(&row.time_zone);
    write(store, organisation, &row, today, &summary).await
}

async fn write(
    store: &Store,
    organisation: OrganisationId,
    site: &SiteRow,
    today: Date,
    summary: &SiteSummary,
) -> Result<(), ServerError> {
    let json =
        serde_json::to_string(summary).map_err(|error| ServerError::Internal(error.to_string()))?;
    let row = SummaryRow {
        json,
        seq: site.last_seq,
        date: today.to_string(),
        hold_point: hold_point_rank(summary.hold_point).to_owned(),
        state: state_rank(summary.state).to_owned(),
        score: i64::from(summary.score),
        waits_for: summary
            .waits_for
            .as_ref()
            .map(crate::store::word)
            .transpose()?
            .unwrap_or_default(),
    };
    store.write_summary(organisation, site.site, &row).await
}

/// The same, where a failure must not undo what was already acknowledged: it is logged, and the
/// next look at stale sites makes it good.
pub async fn refresh_quietly(store: &Store, organisation: OrganisationId, site: SiteId) {
    if let Err(error) = refresh(store, organisation, site).await {
        tracing::error!(%error, %site, "a summary could not be worked out");
    }
}

/// A hold point as it sorts in the database: in the order in which they open.
pub const fn hold_point_rank(hold_point: HoldPoint) -> &'static str {
    match hold_point {
        HoldPoint::Order => "1_order",
        HoldPoint::Dig => "2_dig",
        HoldPoint::CloseIn => "3_close_in",
        HoldPoint::Deliver => "4_deliver",
        HoldPoint::Fill => "5_fill",
        HoldPoint::Start => "6_start",
        HoldPoint::FirstUse => "7_first_use",
    }
}

/// A state as it sorts in the database: the worst last.
pub const fn state_rank(state: HoldState) -> &'static str {
    match state {
        HoldState::Signed => "1_signed",
        HoldState::ReadyToSign => "2_ready_to_sign",
        HoldState::Unmeasured => "3_unmeasured",
        HoldState::Unsure => "4_unsure",
        HoldState::ToPutRight => "5_to_put_right",
        HoldState::Stopped => "6_stopped",
    }
}

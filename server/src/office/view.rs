//! What the office's screens show of a site and of lists, made from rows and records.

use jiff::{Timestamp, tz::TimeZone};
use setdown_app::office::messages::{
    ContactInput, ContactView, InvitationView, OfficeError, RecordView, SheetCard, SiteTableRow,
    SiteView, SitesOrder,
};
use setdown_types::ledger::{Record, Standing};
use setdown_types::wire::Session;
use uuid::Uuid;

use super::{Office, told};
use crate::clock;
use crate::store::contacts::Contact;
use crate::store::documents::{DocumentCard, PRACTICE, SPA};
use crate::store::sites::{SiteOrder, SiteRow};
use crate::summary::Assessed;

impl Office {
    async fn sheet(
        &self,
        caller: &Session,
        kind: &str,
        digest: &str,
    ) -> Result<SheetCard, OfficeError> {
        let all = self
            .state
            .store
            .documents(caller.organisation, kind)
            .await
            .map_err(told)?;
        Ok(all
            .into_iter()
            .find(|document| document.digest == digest)
            .map(sheet_card)
            .unwrap_or_default())
    }

    pub(super) async fn view(
        &self,
        caller: &Session,
        assessed: Assessed,
    ) -> Result<SiteView, OfficeError> {
        let store = &self.state.store;
        let (organisation, site) = (caller.organisation, assessed.row.site);
        let held = store.held(organisation, site).await.map_err(told)?;
        let mut records: Vec<RecordView> = assessed.records.iter().map(record_view).collect();
        records.sort_by_key(|record| seq_of(&record.standing));
        records.extend(held.into_iter().map(|kept| RecordView {
            raw: kept.raw,
            standing: kept.standing,
        }));
        let contacts = store.contacts(organisation, site).await.map_err(told)?;
        let invitations = store.invitations(organisation, site).await.map_err(told)?;
        Ok(SiteView {
            site,
            name: assessed.row.name.clone(),
            offset_minutes: offset_minutes(&assessed.row.time_zone),
            time_zone: assessed.row.time_zone.clone(),
            spa: self.sheet(caller, SPA, &assessed.spa_digest).await?,
            practice: self
                .sheet(caller, PRACTICE, &assessed.practice_digest)
                .await?,
            spa_sheet: assessed.spa,
            way: assessed.way.as_deref().cloned(),
            demanded: assessed.wanted.as_ref().map(|wanted| wanted.demanded),
            practice_sheet: assessed.practice,
            assessment: assessed.assessment,
            records,
            last_seq: assessed.row.last_seq,
            last_received_at: assessed.row.last_received_at,
            people: store.names(organisation).await.map_err(told)?,
            contacts: contacts.into_iter().map(contact_view).collect(),
            invitations: invitations
                .into_iter()
                .map(|invitation| InvitationView {
                    id: invitation.id,
                    name: invitation.name,
                    created_at: invitation.created_at,
                    expires_at: invitation.expires_at,
                    revoked_at: invitation.revoked_at,
                })
                .collect(),
            photos: store.photos_of(organisation, site).await.map_err(told)?,
            now: clock::now(),
        })
    }
}

/// Accepted entries by seq, refused ones behind them.
const fn seq_of(standing: &Standing) -> u64 {
    match standing {
        Standing::Accepted(acceptance) => acceptance.seq,
        _ => u64::MAX,
    }
}

fn record_view(record: &Record) -> RecordView {
    RecordView {
        raw: record.raw.clone(),
        standing: record.standing.clone(),
    }
}

fn offset_minutes(time_zone: &str) -> i32 {
    let zone = TimeZone::get(time_zone).unwrap_or(TimeZone::UTC);
    zone.to_offset(Timestamp::now()).seconds() / 60
}

pub(super) fn sheet_card(document: DocumentCard) -> SheetCard {
    SheetCard {
        digest: document.digest,
        name: document.name,
        created_at: document.created_at,
    }
}

pub(super) fn table_row(row: SiteRow) -> SiteTableRow {
    SiteTableRow {
        site: row.site,
        name: row.name,
        summary: row
            .summary
            .and_then(|json| serde_json::from_str(&json).ok()),
        last_received_at: row.last_received_at,
    }
}

pub(super) const fn order(order: SitesOrder) -> SiteOrder {
    match order {
        SitesOrder::Name => SiteOrder::Name,
        SitesOrder::HoldPoint => SiteOrder::HoldPoint,
        SitesOrder::State => SiteOrder::State,
        SitesOrder::Score => SiteOrder::Score,
        SitesOrder::WaitsFor => SiteOrder::WaitsFor,
        SitesOrder::LastSync => SiteOrder::LastReceived,
    }
}

pub(super) fn contact_of(id: Uuid, input: ContactInput) -> Contact {
    Contact {
        id,
        party: input.party,
        name: input.name,
        phone: input.phone,
        email: input.email,
        address: input.address,
        access_code: input.access_code,
    }
}

pub(super) fn contact_view(contact: Contact) -> ContactView {
    ContactView {
        id: contact.id,
        contact: ContactInput {
            party: contact.party,
            name: contact.name,
            phone: contact.phone,
            email: contact.email,
            address: contact.address,
            access_code: contact.access_code,
        },
    }
}

//! The office's side of the server: what its screens ask for, over store, admission and rules.

use async_trait::async_trait;
use jiff::{Timestamp, tz::TimeZone};
use setdown_app::office::backend::OfficeBackend;
use setdown_app::office::messages::{
    Catalogue, ContactInput, ContactView, InvitationView, NewInvitation, NewSiteInput,
    OfficeAnswer, OfficeError, OfficeSignature, OfficeStrike, PAGE, RecordView, SheetCard,
    SiteTableRow, SiteView, SitesOrder, SitesPage, SitesQuery, Written,
};
use setdown_rules::frame::result::{HoldPointResult, HoldState};
use setdown_types::admission::{Arrival, Writer};
use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, SiteId};
use setdown_types::ledger::{Acceptance, Record, Refusal, Standing};
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;
use setdown_types::value::{Signature, Value};
use setdown_types::wire::{Session, Verdict};
use uuid::Uuid;

use crate::clock;
use crate::error::ServerError;
use crate::state::AppState;
use crate::store::contacts::Contact;
use crate::store::documents::{DocumentCard, PRACTICE, SPA};
use crate::store::sites::{NewSite, SiteOrder, SiteQuery, SiteRow};
use crate::summary::{self, Assessed};

/// The device of everything written at a desk: the server itself.
pub const DESK: DeviceId = DeviceId(Uuid::from_u128(0x5e7d_0000_0000_4000_8000_0000_0000_0001));

/// The office's side, over the shared state.
#[derive(Clone)]
pub struct Office {
    state: AppState,
}

/// What an entry from the desk says, before it has an id and a time.
pub struct Draft {
    /// Which question about what.
    pub stream: StreamKey,
    /// Why.
    pub intent: Intent,
    /// What it replaces.
    pub replaces: Vec<EntryId>,
    /// What it says.
    pub payload: Payload,
    /// Half-width, base units.
    pub spread: Option<i64>,
    /// How it was got.
    pub method: Method,
}

impl Draft {
    /// A first answer from a document.
    pub fn first(question: &str, value: Value) -> Self {
        Self {
            stream: StreamKey::new(Subject::SITE, question),
            intent: Intent::First,
            replaces: Vec::new(),
            payload: Payload::Known(value),
            spread: None,
            method: Method::Document,
        }
    }
}

impl From<ServerError> for OfficeErrorOf {
    fn from(error: ServerError) -> Self {
        if error.status().is_server_error() {
            tracing::error!(%error, "a request of the office failed");
        }
        Self(OfficeError::from(error.problem()))
    }
}

/// Lets `?` turn the server's errors into the office's.
struct OfficeErrorOf(OfficeError);

impl From<OfficeErrorOf> for OfficeError {
    fn from(error: OfficeErrorOf) -> Self {
        error.0
    }
}

fn told(error: ServerError) -> OfficeError {
    OfficeErrorOf::from(error).0
}

impl Office {
    /// Over this state.
    pub const fn new(state: AppState) -> Self {
        Self { state }
    }

    /// Appends an entry in the caller's name, through the same admission as a phone's push.
    pub async fn append(
        &self,
        caller: &Session,
        site: SiteId,
        draft: Draft,
    ) -> Result<Written, OfficeError> {
        let now = clock::now();
        let boot = BootId(Uuid::now_v7());
        let entry = Entry {
            id: EntryId(Uuid::now_v7()),
            organisation: caller.organisation,
            site,
            subject: draft.stream.subject,
            question: draft.stream.question,
            payload: draft.payload,
            spread: draft.spread,
            method: draft.method,
            intent: draft.intent,
            replaces: draft.replaces,
            author: caller.person,
            role: caller.role,
            device: DESK,
            stamp: Stamp {
                wall: now,
                boot,
                monotonic: 0,
                counter: 1,
            },
            schema: SCHEMA,
        };
        let raw = entry.to_json().ok_or_else(OfficeError::server)?;
        let arrival = Arrival {
            device: DESK,
            boot,
            monotonic: 0,
            received_at: now,
        };
        let verdicts = self
            .state
            .push(&Writer::from(caller), &arrival, &[&raw])
            .await
            .map_err(told)?;
        match verdicts.into_iter().next().map(|verdict| verdict.verdict) {
            Some(Verdict::Accepted(acceptance) | Verdict::Duplicate(acceptance)) => {
                Ok(written(entry.id, acceptance))
            }
            Some(Verdict::Refused(refusal)) => Err(refused(&refusal)),
            Some(Verdict::Held) => Err(OfficeError::bad_input(
                "What this answer replaces is not known here. Nothing was changed: load the page again.",
            )),
            None => Err(OfficeError::server()),
        }
    }

    async fn assessed(&self, caller: &Session, site: SiteId) -> Result<Assessed, OfficeError> {
        summary::assess(&self.state.store, caller.organisation, site)
            .await
            .map_err(told)?
            .ok_or_else(|| OfficeError::not_found("site"))
    }

    async fn own_site(&self, caller: &Session, site: SiteId) -> Result<SiteRow, OfficeError> {
        self.state
            .store
            .site(caller.organisation, site)
            .await
            .map_err(told)?
            .ok_or_else(|| OfficeError::not_found("site"))
    }

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

    async fn view(&self, caller: &Session, assessed: Assessed) -> Result<SiteView, OfficeError> {
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

#[async_trait]
impl OfficeBackend for Office {
    async fn sites(&self, caller: &Session, query: SitesQuery) -> Result<SitesPage, OfficeError> {
        let page = self
            .state
            .store
            .site_page(
                caller.organisation,
                &SiteQuery {
                    search: query.search,
                    state: query
                        .state
                        .map(|state| summary::state_rank(state).to_owned()),
                    order: order(query.order),
                    descending: query.descending,
                    skip: query.page.saturating_mul(PAGE),
                    take: PAGE,
                },
            )
            .await
            .map_err(told)?;
        Ok(SitesPage {
            rows: page.sites.into_iter().map(table_row).collect(),
            total: page.total,
            now: clock::now(),
        })
    }

    async fn site(&self, caller: &Session, site: SiteId) -> Result<SiteView, OfficeError> {
        let assessed = self.assessed(caller, site).await?;
        self.view(caller, assessed).await
    }

    async fn answer(&self, caller: &Session, answer: OfficeAnswer) -> Result<Written, OfficeError> {
        self.own_site(caller, answer.site).await?;
        let allowed = matches!(
            answer.intent,
            Intent::First | Intent::Correct | Intent::Changed | Intent::Repeat | Intent::Settle
        );
        if !allowed || matches!(answer.value, Value::Signature(_)) {
            return Err(OfficeError::bad_input(
                "An answer is a first, corrected, changed, repeated or settling one; hold points are signed by themselves.",
            ));
        }
        let draft = Draft {
            stream: answer.stream,
            intent: answer.intent,
            replaces: answer.replaces,
            payload: Payload::Known(answer.value),
            spread: answer.spread,
            method: answer.method,
        };
        self.append(caller, answer.site, draft).await
    }

    async fn strike(&self, caller: &Session, strike: OfficeStrike) -> Result<Written, OfficeError> {
        self.own_site(caller, strike.site).await?;
        let draft = Draft {
            stream: strike.stream,
            intent: Intent::Strike,
            replaces: vec![strike.entry],
            payload: Payload::Nothing,
            spread: None,
            method: Method::Document,
        };
        self.append(caller, strike.site, draft).await
    }

    async fn sign(&self, caller: &Session, sign: OfficeSignature) -> Result<Written, OfficeError> {
        let assessed = self.assessed(caller, sign.site).await?;
        let name = crate::store::plain("the name", &sign.name, 200).map_err(told)?;
        if name.is_empty() {
            return Err(OfficeError::bad_input("Write the name you sign with."));
        }
        let point = assessed
            .assessment
            .hold_points
            .iter()
            .find(|point| point.hold_point == sign.hold_point)
            .ok_or_else(|| OfficeError::not_found("hold point"))?;
        may_sign(point, &sign.digest)?;
        let stream = StreamKey::new(Subject::SITE, sign.hold_point.question());
        let replaces = assessed
            .site
            .stream(stream.subject, &stream.question)
            .map_or_else(Vec::new, |stream| stream.heads.clone());
        let signature = Signature {
            hold_point: sign.hold_point.key().to_owned(),
            digest: point.digest.clone(),
            rules: assessed.assessment.rules.to_string(),
            spa: assessed.assessment.spa.clone(),
            practice: assessed.assessment.practice.clone(),
            date: assessed.today,
            name,
            findings: point.findings.clone(),
        };
        let draft = Draft {
            stream,
            intent: if replaces.is_empty() {
                Intent::First
            } else {
                Intent::Changed
            },
            replaces,
            payload: Payload::Known(Value::Signature(signature)),
            spread: None,
            method: Method::Document,
        };
        self.append(caller, sign.site, draft).await
    }

    async fn catalogue(&self, caller: &Session) -> Result<Catalogue, OfficeError> {
        let store = &self.state.store;
        let spas = store
            .documents(caller.organisation, SPA)
            .await
            .map_err(told)?;
        let practices = store
            .documents(caller.organisation, PRACTICE)
            .await
            .map_err(told)?;
        Ok(Catalogue {
            spas: spas.into_iter().map(sheet_card).collect(),
            practices: practices.into_iter().map(sheet_card).collect(),
        })
    }

    async fn new_site(&self, caller: &Session, input: NewSiteInput) -> Result<SiteId, OfficeError> {
        let site = SiteId(Uuid::now_v7());
        let new = NewSite {
            site,
            name: input.name,
            time_zone: input.time_zone,
            spa: input.spa.clone(),
            practice: input.practice.clone(),
        };
        let store = &self.state.store;
        let now = clock::now();
        store
            .add_site(caller.organisation, &new, now)
            .await
            .map_err(told)?;
        for (question, digest) in [("site.spa", input.spa), ("site.practice", input.practice)] {
            self.append(caller, site, Draft::first(question, Value::Pin(digest)))
                .await?;
        }
        for contact in input.contacts {
            let contact = contact_of(Uuid::now_v7(), contact);
            store
                .write_contact(caller.organisation, site, &contact, now)
                .await
                .map_err(told)?;
        }
        Ok(site)
    }

    async fn create_invitation(
        &self,
        caller: &Session,
        site: SiteId,
        name: String,
    ) -> Result<NewInvitation, OfficeError> {
        let (id, token) = self
            .state
            .store
            .add_invitation(
                caller.organisation,
                site,
                &name,
                caller.person,
                clock::now(),
            )
            .await
            .map_err(told)?;
        Ok(NewInvitation {
            id,
            link: invitation_link(&self.state.address, &token.secret),
        })
    }

    async fn revoke_invitation(
        &self,
        caller: &Session,
        site: SiteId,
        invitation: Uuid,
    ) -> Result<(), OfficeError> {
        self.state
            .store
            .revoke_invitation(caller.organisation, site, invitation, clock::now())
            .await
            .map_err(told)
    }

    async fn save_contact(
        &self,
        caller: &Session,
        site: SiteId,
        id: Option<Uuid>,
        contact: ContactInput,
    ) -> Result<ContactView, OfficeError> {
        let contact = contact_of(id.unwrap_or_else(Uuid::now_v7), contact);
        self.state
            .store
            .write_contact(caller.organisation, site, &contact, clock::now())
            .await
            .map_err(told)?;
        Ok(contact_view(contact))
    }

    async fn erase_contact(
        &self,
        caller: &Session,
        site: SiteId,
        id: Uuid,
    ) -> Result<(), OfficeError> {
        self.state
            .store
            .erase_contact(caller.organisation, site, id)
            .await
            .map_err(told)
    }
}

/// Whether a hold point may be signed on the findings that were shown.
fn may_sign(point: &HoldPointResult, digest: &str) -> Result<(), OfficeError> {
    if point.digest != digest {
        return Err(OfficeError::changed(
            "The findings have changed since they were shown. Nothing was signed: look at them again.",
            Vec::new(),
        ));
    }
    match point.state {
        HoldState::ReadyToSign | HoldState::Signed => Ok(()),
        _ => Err(OfficeError::not_ready(
            "Not every check that this hold point names is clear. Nothing was signed.",
            point.worst.iter().map(ToString::to_string).collect(),
        )),
    }
}

/// The link that opens an invitation; the token stands behind `#`, which browsers never send.
pub fn invitation_link(address: &str, secret: &str) -> String {
    format!("{address}/home#{secret}")
}

const fn written(entry: EntryId, acceptance: Acceptance) -> Written {
    Written {
        entry,
        seq: acceptance.seq,
    }
}

fn refused(refusal: &Refusal) -> OfficeError {
    match refusal {
        Refusal::NotAllowed => {
            OfficeError::not_allowed("The office may not write this answer. Nothing was changed.")
        }
        Refusal::OtherSite => OfficeError::not_found("site"),
        Refusal::OtherStream => OfficeError::bad_input(
            "What this answer replaces answers another question. Nothing was changed: load the page again.",
        ),
        _ => OfficeError::bad_input(
            "The answer cannot be taken. Nothing was changed: load the page again.",
        ),
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

fn sheet_card(document: DocumentCard) -> SheetCard {
    SheetCard {
        digest: document.digest,
        name: document.name,
        created_at: document.created_at,
    }
}

fn table_row(row: SiteRow) -> SiteTableRow {
    SiteTableRow {
        site: row.site,
        name: row.name,
        summary: row
            .summary
            .and_then(|json| serde_json::from_str(&json).ok()),
        last_received_at: row.last_received_at,
    }
}

const fn order(order: SitesOrder) -> SiteOrder {
    match order {
        SitesOrder::Name => SiteOrder::Name,
        SitesOrder::HoldPoint => SiteOrder::HoldPoint,
        SitesOrder::State => SiteOrder::State,
        SitesOrder::Score => SiteOrder::Score,
        SitesOrder::WaitsFor => SiteOrder::WaitsFor,
        SitesOrder::LastSync => SiteOrder::LastReceived,
    }
}

fn contact_of(id: Uuid, input: ContactInput) -> Contact {
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

fn contact_view(contact: Contact) -> ContactView {
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

//! The office's side of the server: what its screens ask for, over store, admission and rules.

use async_trait::async_trait;
use setdown_app::office::backend::OfficeBackend;
use setdown_app::office::messages::{
    Catalogue, ContactInput, ContactView, MissingSheets, NewInvitation, NewSiteInput, OfficeAnswer,
    OfficeError, OfficeSignature, OfficeStrike, PAGE, SiteView, SitesPage, SitesQuery, SizeAnswer,
    SizeAsked, Written,
};
use setdown_types::entry::{Intent, Method, Payload};
use setdown_types::ids::SiteId;
use setdown_types::value::Value;
use setdown_types::wire::Session;
use uuid::Uuid;

use crate::clock;
use crate::error::ServerError;
use crate::state::AppState;
use crate::store::documents::{PRACTICE, SPA};
use crate::store::new_sites::NewSite;
use crate::store::sites::{SiteQuery, SiteRow};
use crate::summary::{self, Assessed};

mod append;
mod missing;
mod new_site;
mod sign;
mod sizes;
mod view;

pub use append::{DESK, Draft};
use view::{contact_of, contact_view, order, sheet_card, table_row};

/// The longest search text, in characters: as long as a site's name can be.
const MAX_SEARCH: usize = 200;

/// The office's side, over the shared state.
#[derive(Clone)]
pub struct Office {
    state: AppState,
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
}

#[async_trait]
impl OfficeBackend for Office {
    async fn sites(&self, caller: &Session, query: SitesQuery) -> Result<SitesPage, OfficeError> {
        if query.search.chars().count() > MAX_SEARCH {
            return Err(OfficeError::bad_input(format!(
                "A search has at most {MAX_SEARCH} characters. Search for a shorter part of the name."
            )));
        }
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

    async fn missing_sheets(
        &self,
        caller: &Session,
        site: SiteId,
    ) -> Result<MissingSheets, OfficeError> {
        self.missing_of(caller, site).await
    }

    async fn other_size(
        &self,
        caller: &Session,
        site: SiteId,
        way: &str,
        asked: SizeAsked,
    ) -> Result<SizeAnswer, OfficeError> {
        let assessed = self.assessed(caller, site).await?;
        sizes::answer(assessed, way, asked).await
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
        self.sign_hold_point(caller, sign).await
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
        let site = input.site;
        if site == SiteId::NIL {
            return Err(OfficeError::bad_input(
                "A new site needs an id of its own. Nothing was made: load the page again.",
            ));
        }
        let contact = |contact| contact_of(Uuid::now_v7(), contact);
        let new = NewSite {
            site,
            name: input.name,
            time_zone: input.time_zone,
            spa: input.spa,
            practice: input.practice,
            contacts: input.contacts.into_iter().map(contact).collect(),
        };
        self.make_site(caller, new).await.map_err(told)?;
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

/// The link that opens an invitation; the token stands behind `#`, which browsers never send.
pub fn invitation_link(address: &str, secret: &str) -> String {
    format!("{address}/home#{secret}")
}

//! The office's server functions: called by the screens, run on the server. Each admits only the office.
//!
//! On the server the context is read before the first `await`: it belongs to the request.

#![expect(
    missing_docs,
    reason = "the macro makes a struct of every argument list; the arguments are documented by their types"
)]

use leptos::prelude::*;
use leptos::server_fn::codec::Json;
use setdown_types::ids::SiteId;
use uuid::Uuid;

#[cfg(feature = "ssr")]
use super::backend::{caller, told};
use super::messages::{
    Catalogue, ContactInput, ContactView, MissingSheets, NewInvitation, NewSiteInput, OfficeAnswer,
    OfficeError, OfficeSignature, OfficeStrike, SiteView, SitesPage, SitesQuery, SizeAnswer,
    SizeAsked, Written,
};

/// One page of the table of sites.
#[server(prefix = "/api/office", endpoint = "sites", input = Json)]
pub async fn list_sites(query: SitesQuery) -> Result<SitesPage, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.sites(&session, query).await)
}

/// Everything the site page shows.
#[server(prefix = "/api/office", endpoint = "site", input = Json)]
pub async fn load_site(site: SiteId) -> Result<SiteView, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.site(&session, site).await)
}

/// Which of its sheets a site cannot be worked out without.
#[server(prefix = "/api/office", endpoint = "missing-sheets", input = Json)]
pub async fn load_missing_sheets(site: SiteId) -> Result<MissingSheets, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.missing_sheets(&session, site).await)
}

/// What is proved of another size of the unit on a way in, named as [`SiteView::way`] names its scene. Nothing is
/// recorded.
#[server(prefix = "/api/office", endpoint = "other-size", input = Json)]
pub async fn ask_other_size(
    site: SiteId,
    way: String,
    asked: SizeAsked,
) -> Result<SizeAnswer, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.other_size(&session, site, &way, asked).await)
}

/// Appends an answer or a settlement.
#[server(prefix = "/api/office", endpoint = "answer", input = Json)]
pub async fn append_answer(answer: OfficeAnswer) -> Result<Written, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.answer(&session, answer).await)
}

/// Strikes an entry.
#[server(prefix = "/api/office", endpoint = "strike", input = Json)]
pub async fn strike_entry(strike: OfficeStrike) -> Result<Written, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.strike(&session, strike).await)
}

/// Signs a hold point.
#[server(prefix = "/api/office", endpoint = "sign", input = Json)]
pub async fn sign_hold_point(sign: OfficeSignature) -> Result<Written, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.sign(&session, sign).await)
}

/// Every revision that a new site can be made from.
#[server(prefix = "/api/office", endpoint = "catalogue", input = Json)]
pub async fn load_catalogue() -> Result<Catalogue, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.catalogue(&session).await)
}

/// Makes a site.
#[server(prefix = "/api/office", endpoint = "new-site", input = Json)]
pub async fn create_site(input: NewSiteInput) -> Result<SiteId, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.new_site(&session, input).await)
}

/// Makes an invitation.
#[server(prefix = "/api/office", endpoint = "invite", input = Json)]
pub async fn create_invitation(site: SiteId, name: String) -> Result<NewInvitation, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.create_invitation(&session, site, name).await)
}

/// Revokes an invitation.
#[server(prefix = "/api/office", endpoint = "revoke-invitation", input = Json)]
pub async fn revoke_invitation(site: SiteId, invitation: Uuid) -> Result<(), OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.revoke_invitation(&session, site, invitation).await)
}

/// Writes a contact.
#[server(prefix = "/api/office", endpoint = "save-contact", input = Json)]
pub async fn save_contact(
    site: SiteId,
    id: Option<Uuid>,
    contact: ContactInput,
) -> Result<ContactView, OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.save_contact(&session, site, id, contact).await)
}

/// Erases a contact.
#[server(prefix = "/api/office", endpoint = "erase-contact", input = Json)]
pub async fn erase_contact(site: SiteId, id: Uuid) -> Result<(), OfficeError> {
    let (backend, session) = told(caller())?;
    told(backend.erase_contact(&session, site, id).await)
}

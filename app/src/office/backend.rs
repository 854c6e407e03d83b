//! What the office's server functions need from the server. The server crate implements it over its store; the app
//! knows no database.

use std::sync::Arc;

use async_trait::async_trait;
use leptos::prelude::use_context;
use leptos::server_fn::http_export::StatusCode;
use setdown_types::ids::SiteId;
use setdown_types::party::Role;
use setdown_types::wire::Session;
use uuid::Uuid;

use super::messages::{
    Catalogue, ContactInput, ContactView, MissingSheets, NewInvitation, NewSiteInput, OfficeAnswer,
    OfficeError, OfficeSignature, OfficeStrike, SiteView, SitesPage, SitesQuery, SizeAnswer,
    SizeAsked, Written,
};

/// What the office can ask of the server.
///
/// The caller has been found to be of role [`Role::Office`] before any method is reached; every method looks at
/// nothing outside `caller.organisation` and answers [`OfficeError::not_found`] for what belongs to somebody else.
/// Entries are appended in the caller's name through the same admission as a phone's push, and poke the listeners.
#[async_trait]
pub trait OfficeBackend: Send + Sync {
    /// One page of the table of sites.
    async fn sites(&self, caller: &Session, query: SitesQuery) -> Result<SitesPage, OfficeError>;
    /// Everything the site page shows.
    async fn site(&self, caller: &Session, site: SiteId) -> Result<SiteView, OfficeError>;
    /// Which of its sheets a site cannot be worked out without.
    async fn missing_sheets(
        &self,
        caller: &Session,
        site: SiteId,
    ) -> Result<MissingSheets, OfficeError>;
    /// What is proved of another size of the unit on the way in named `way`; takes seconds.
    ///
    /// # Errors
    /// [`OfficeError::bad_input`] where the way itself is not settled yet, or no unit has such a size;
    /// [`OfficeError::changed`] where the yard is no longer that of `way`.
    async fn other_size(
        &self,
        caller: &Session,
        site: SiteId,
        way: &str,
        asked: SizeAsked,
    ) -> Result<SizeAnswer, OfficeError>;
    /// Appends an answer or a settlement.
    async fn answer(&self, caller: &Session, answer: OfficeAnswer) -> Result<Written, OfficeError>;
    /// Strikes an entry.
    async fn strike(&self, caller: &Session, strike: OfficeStrike) -> Result<Written, OfficeError>;
    /// Signs a hold point.
    ///
    /// # Errors
    /// [`OfficeError::changed`] where the digest is not that of the current assessment,
    /// [`OfficeError::not_ready`] with the checks where the hold point is not ready to be signed.
    async fn sign(&self, caller: &Session, sign: OfficeSignature) -> Result<Written, OfficeError>;
    /// Every spa sheet and practice sheet of the organisation, newest first.
    async fn catalogue(&self, caller: &Session) -> Result<Catalogue, OfficeError>;
    /// Makes a site, pins its sheets by entries, and writes its contacts.
    async fn new_site(&self, caller: &Session, input: NewSiteInput) -> Result<SiteId, OfficeError>;
    /// Makes an invitation for somebody; its link is given out this once.
    async fn create_invitation(
        &self,
        caller: &Session,
        site: SiteId,
        name: String,
    ) -> Result<NewInvitation, OfficeError>;
    /// Revokes an invitation; its sessions end, entries stay.
    async fn revoke_invitation(
        &self,
        caller: &Session,
        site: SiteId,
        invitation: Uuid,
    ) -> Result<(), OfficeError>;
    /// Writes a contact: a new one without `id`, else in place of the old.
    async fn save_contact(
        &self,
        caller: &Session,
        site: SiteId,
        id: Option<Uuid>,
        contact: ContactInput,
    ) -> Result<ContactView, OfficeError>;
    /// Erases a contact: nothing of it stays.
    async fn erase_contact(
        &self,
        caller: &Session,
        site: SiteId,
        id: Uuid,
    ) -> Result<(), OfficeError>;
}

/// What the server provides as leptos context around every server function (`provide_context(OfficeContext { … })`).
#[derive(Clone)]
pub struct OfficeContext {
    /// The server's side.
    pub backend: Arc<dyn OfficeBackend>,
    /// Who is signed in, by the session cookie; `None`: nobody.
    pub session: Option<Session>,
}

/// The backend and the caller, if somebody of the office is signed in; sets the HTTP status of a refusal.
///
/// # Errors
/// [`OfficeError::signed_out`], [`OfficeError::not_allowed`] for other roles, [`OfficeError::server`] where the
/// server provides no context.
pub(super) fn caller() -> Result<(Arc<dyn OfficeBackend>, Session), OfficeError> {
    let context = use_context::<OfficeContext>().ok_or_else(OfficeError::server)?;
    let session = context.session.ok_or_else(OfficeError::signed_out)?;
    if session.role != Role::Office {
        return Err(OfficeError::not_allowed(
            "Only the office may do this. Nothing was changed. Sign in with an office account.",
        ));
    }
    Ok((context.backend, session))
}

/// Hands a result on, with the HTTP status of its error.
pub(super) fn told<T>(result: Result<T, OfficeError>) -> Result<T, OfficeError> {
    if let Err(error) = &result
        && let Ok(status) = StatusCode::from_u16(error.problem.status)
        && let Some(response) = use_context::<leptos_axum::ResponseOptions>()
    {
        response.set_status(status);
    }
    result
}

//! The office's server functions below `/api/office`, with the caller behind the cookie provided
//! to each.

use std::sync::Arc;

use axum::Router;
use axum::extract::{Request, State};
use axum::response::{IntoResponse, Response};
use axum::routing::post;
use leptos::prelude::provide_context;
use setdown_app::office::backend::OfficeContext;
use setdown_app::office::calls;

use super::guard;
use crate::error::ServerError;
use crate::office::Office;
use crate::state::AppState;

/// The route of every server function. They are registered by name: a program that links the
/// library without running its constructors would otherwise miss them.
pub fn routes(_state: &AppState) -> Router<AppState> {
    use leptos::server_fn::axum::register_explicit;
    register_explicit::<calls::ListSites>();
    register_explicit::<calls::LoadSite>();
    register_explicit::<calls::AppendAnswer>();
    register_explicit::<calls::StrikeEntry>();
    register_explicit::<calls::SignHoldPoint>();
    register_explicit::<calls::LoadCatalogue>();
    register_explicit::<calls::CreateSite>();
    register_explicit::<calls::CreateInvitation>();
    register_explicit::<calls::RevokeInvitation>();
    register_explicit::<calls::SaveContact>();
    register_explicit::<calls::EraseContact>();
    Router::new().route("/api/office/{call}", post(call))
}

async fn call(State(state): State<AppState>, request: Request) -> Response {
    let session = match guard::session(request.headers(), &state).await {
        Ok(session) => session,
        Err(error) => return error.into_response(),
    };
    if session.is_none() {
        return ServerError::SignedOut.into_response();
    }
    if leptos::server_fn::axum::get_server_fn_service(
        request.uri().path(),
        request.method().clone(),
    )
    .is_none()
    {
        return ServerError::NotFound("address").into_response();
    }
    let backend = Arc::new(Office::new(state));
    leptos_axum::handle_server_fns_with_context(
        move || {
            provide_context(OfficeContext {
                backend: backend.clone(),
                session: session.clone(),
            });
        },
        request,
    )
    .await
    .into_response()
}

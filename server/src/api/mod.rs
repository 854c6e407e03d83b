//! Everything under `/api`: sync, photos, sign-in, pokes, and the office's server functions.

use std::time::Duration;

use axum::Router;
use axum::extract::{DefaultBodyLimit, Request, State};
use axum::http::{HeaderValue, header};
use axum::middleware::{self, Next};
use axum::response::{IntoResponse, Response};
use axum::routing::{get, post, put};

use crate::error::ServerError;
use crate::photo_store::MAX_PHOTO_BYTES;
use crate::state::AppState;

pub mod body;
pub mod caller;
pub mod events;
pub mod guard;
pub mod office;
pub mod people;
pub mod photos;
pub mod sync;

/// The most bytes of one push.
pub const MAX_PUSH_BYTES: usize = 8 * 1024 * 1024;
/// The most bytes of any other message.
pub const MAX_MESSAGE_BYTES: usize = 1024 * 1024;
/// How long a request may take, bytes of photos apart.
const PATIENCE: Duration = Duration::from_secs(30);
/// How long bytes of a photo may take to come.
const PHOTO_PATIENCE: Duration = Duration::from_secs(120);

/// The routes below `/api`.
pub fn routes(state: &AppState) -> Router {
    let sync = Router::new()
        .route("/api/sync/session", get(sync::session))
        .route("/api/sync/push", post(sync::push))
        .route("/api/sync/pull", get(sync::pull))
        .route("/api/sync/sites", get(sync::sites))
        .route("/api/sync/documents/{digest}", get(sync::document))
        .layer(DefaultBodyLimit::max(MAX_PUSH_BYTES));
    let people = Router::new()
        .route("/api/sign-in", post(people::sign_in))
        .route("/api/sign-out", post(people::sign_out))
        .route("/api/invitation/open", post(people::open_invitation))
        .layer(DefaultBodyLimit::max(MAX_MESSAGE_BYTES));
    let office = office::routes(state).layer(DefaultBodyLimit::max(MAX_MESSAGE_BYTES));
    let quick = sync
        .merge(people)
        .merge(office)
        .layer(middleware::from_fn(|request, next| {
            in_time(PATIENCE, request, next)
        }));
    let photos = Router::new()
        .route("/api/photos/{sha256}", put(photos::put).get(photos::get))
        .route("/api/photos/{sha256}/thumb", get(photos::thumbnail))
        .layer(DefaultBodyLimit::max(MAX_PHOTO_BYTES))
        .layer(middleware::from_fn(|request, next| {
            in_time(PHOTO_PATIENCE, request, next)
        }));
    Router::new()
        .merge(quick)
        .merge(photos)
        .route("/api/events", get(events::listen))
        .route("/api/{*any}", axum::routing::any(nothing_here))
        .method_not_allowed_fallback(wrong_method)
        .layer(middleware::from_fn_with_state(
            state.clone(),
            guard::same_origin,
        ))
        .layer(middleware::map_response(never_stored))
        .with_state(state.clone())
}

async fn in_time(limit: Duration, request: Request, next: Next) -> Response {
    match tokio::time::timeout(limit, next.run(request)).await {
        Ok(response) => response,
        Err(_) => ServerError::TimedOut.into_response(),
    }
}

/// Answers of `/api` belong to one person: no cache keeps them unless they say so themselves.
async fn never_stored(mut response: Response) -> Response {
    response
        .headers_mut()
        .entry(header::CACHE_CONTROL)
        .or_insert(HeaderValue::from_static("no-store"));
    response
}

async fn nothing_here(State(_): State<AppState>) -> ServerError {
    ServerError::NotFound("address")
}

async fn wrong_method() -> ServerError {
    ServerError::Method
}

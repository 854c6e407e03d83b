//! Signing in and out, and opening an invitation.

use axum::Json as Answer;
use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::{IntoResponse, Response};
use serde::Deserialize;
use setdown_types::wire::{OpenInvitation, SignIn};

use super::body::Json;
use super::caller::{Caller, is_at_home};
use super::guard::{cookie_name, token};
use crate::clock;
use crate::demo;
use crate::error::ServerError;
use crate::secrets::{Token, password_fits};
use crate::state::AppState;
use crate::store::plain;
use crate::store::sessions::SESSION_LASTS;

/// The longest sign-in name, in characters.
const MAX_NAME: usize = 200;

/// `POST /api/sign-in`.
pub async fn sign_in(
    State(state): State<AppState>,
    headers: HeaderMap,
    Caller(network): Caller,
    Json(message): Json<SignIn>,
) -> Result<Response, ServerError> {
    let now = clock::now();
    let name = plain("the sign-in name", &message.sign_in, MAX_NAME)?;
    let slowed = match &network {
        Some(network) => state.store.count_attempt(&name, network, now).await?,
        None => state.store.count_attempt_from_anywhere(&name, now).await?,
    };
    tokio::time::sleep(slowed).await;
    let account = state.store.account(&name).await?;
    if account.as_ref().is_some_and(|account| {
        demo::is_dealer(account.organisation) && !lets_the_demo_in(&state, &headers)
    }) {
        return Err(ServerError::Forbidden(
            "Everybody knows the demo's passwords, so it is signed in to on the server's own machine only, without a \
             public address (or where the server was started with --open-demo)."
                .into(),
        ));
    }
    let hash = account
        .as_ref()
        .map(|account| account.password_hash.clone());
    let fits = password_fits(message.password, hash).await?;
    let Some(account) = account.filter(|_| fits) else {
        return Err(ServerError::WrongPassword);
    };
    let network = network.unwrap_or_default();
    state.store.forget_attempts(&name, &network).await?;
    let begun = state
        .store
        .begin_session(account.organisation, account.person, now)
        .await?;
    entered(&state, &headers, &begun).await
}

fn lets_the_demo_in(state: &AppState, headers: &HeaderMap) -> bool {
    state.open_demo || (!state.address_is_fixed && is_at_home(headers))
}

/// `POST /api/invitation/open`.
pub async fn open_invitation(
    State(state): State<AppState>,
    headers: HeaderMap,
    Json(message): Json<OpenInvitation>,
) -> Result<Response, ServerError> {
    let now = clock::now();
    let begun = state
        .store
        .open_invitation(message.token.trim(), now)
        .await?;
    entered(&state, &headers, &begun).await
}

/// Ends the session that was there before, answers with the new one and its cookie.
async fn entered(
    state: &AppState,
    headers: &HeaderMap,
    begun: &Token,
) -> Result<Response, ServerError> {
    if let Some(before) = token(state, headers) {
        state.store.end_session(before).await?;
    }
    let session = state
        .store
        .session(&begun.secret, clock::now())
        .await?
        .ok_or(ServerError::SignedOut)?;
    let cookie = cookie(state, &begun.secret, SESSION_LASTS / 1000)?;
    Ok(([(header::SET_COOKIE, cookie)], Answer(session)).into_response())
}

/// `POST /api/sign-out` with `{}`.
pub async fn sign_out(
    State(state): State<AppState>,
    headers: HeaderMap,
    Json(Nothing {}): Json<Nothing>,
) -> Result<Response, ServerError> {
    if let Some(token) = token(&state, &headers) {
        state.store.end_session(token).await?;
    }
    let cookie = cookie(&state, "", 0)?;
    Ok((
        [(header::SET_COOKIE, cookie)],
        Answer(serde_json::json!({})),
    )
        .into_response())
}

/// An empty message.
#[derive(Deserialize)]
pub struct Nothing {}

fn cookie(state: &AppState, secret: &str, seconds: i64) -> Result<HeaderValue, ServerError> {
    let secure = if state.https { "; Secure" } else { "" };
    let name = cookie_name(state);
    HeaderValue::from_str(&format!(
        "{name}={secret}; Path=/; Max-Age={seconds}; HttpOnly; SameSite=Lax{secure}"
    ))
    .map_err(|error| ServerError::Internal(format!("no cookie: {error}")))
}

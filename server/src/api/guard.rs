//! Who asks: the session behind the cookie, and that a write comes from our own pages.

use axum::extract::{FromRequestParts, Request, State};
use axum::http::request::Parts;
use axum::http::{HeaderMap, Method, header};
use axum::middleware::Next;
use axum::response::{IntoResponse, Response};
use setdown_types::wire::Session;

use super::body::expect_json;
use crate::clock;
use crate::error::ServerError;
use crate::state::AppState;

/// The session cookie's name. Over HTTPS its prefix lets no other host and no plain connection set it (RFC 6265bis,
/// 4.1.3.2).
pub const fn cookie_name(state: &AppState) -> &'static str {
    if state.https {
        "__Host-setdown_session"
    } else {
        "setdown_session"
    }
}

/// Whoever is signed in; without anybody the request ends with 401.
pub struct SignedIn(pub Session);

impl FromRequestParts<AppState> for SignedIn {
    type Rejection = ServerError;

    async fn from_request_parts(parts: &mut Parts, state: &AppState) -> Result<Self, ServerError> {
        session(&parts.headers, state)
            .await?
            .map(Self)
            .ok_or(ServerError::SignedOut)
    }
}

/// Whom the cookie stands for, if for anybody.
pub async fn session(
    headers: &HeaderMap,
    state: &AppState,
) -> Result<Option<Session>, ServerError> {
    match token(state, headers) {
        Some(token) => state.store.session(token, clock::now()).await,
        None => Ok(None),
    }
}

/// The token of the session cookie.
pub fn token<'a>(state: &AppState, headers: &'a HeaderMap) -> Option<&'a str> {
    named(cookie_name(state), headers)
}

fn named<'a>(wanted: &str, headers: &'a HeaderMap) -> Option<&'a str> {
    headers
        .get_all(header::COOKIE)
        .iter()
        .filter_map(|value| value.to_str().ok())
        .flat_map(|value| value.split(';'))
        .filter_map(|pair| pair.trim().split_once('='))
        .find(|(name, _)| *name == wanted)
        .map(|(_, value)| value)
}

/// A write has to come from our own pages: by its `Origin` where a browser states one, and as JSON
/// or a picture, which a foreign page cannot send without asking first.
pub async fn same_origin(State(state): State<AppState>, request: Request, next: Next) -> Response {
    if request.method() == Method::GET || request.method() == Method::HEAD {
        return next.run(request).await;
    }
    match check(&state, &request) {
        Ok(()) => next.run(request).await,
        Err(error) => error.into_response(),
    }
}

fn check(state: &AppState, request: &Request) -> Result<(), ServerError> {
    let headers = request.headers();
    let foreign = || {
        Err(ServerError::Forbidden(
            "This was sent by a page of another address.".into(),
        ))
    };
    if let Some(site) = headers.get("sec-fetch-site")
        && !matches!(site.as_bytes(), b"same-origin" | b"none")
    {
        return foreign();
    }
    if let Some(origin) = headers.get(header::ORIGIN)
        && !is_own(state, origin.as_bytes(), headers)
    {
        return foreign();
    }
    if request.uri().path().starts_with("/api/photos/") {
        return Ok(());
    }
    expect_json(headers)
}

/// Whether an origin is ours: the public address where one is set, else the host that was asked.
fn is_own(state: &AppState, origin: &[u8], headers: &HeaderMap) -> bool {
    if state.address_is_fixed {
        return origin == state.address.as_bytes();
    }
    let Some(host) = headers.get(header::HOST) else {
        return false;
    };
    [&b"http://"[..], b"https://"]
        .iter()
        .any(|scheme| origin.strip_prefix(*scheme) == Some(host.as_bytes()))
}

#[cfg(test)]
mod tests {
    use super::*;
    use axum::http::HeaderValue;

    #[test]
    fn the_token_is_found_among_other_cookies() {
        let mut headers = HeaderMap::new();
        let cookie = HeaderValue::from_static("other=1; setdown_session=abc; x=y");
        headers.append(header::COOKIE, cookie);
        assert_eq!(named("setdown_session", &headers), Some("abc"));
        assert_eq!(named("__Host-setdown_session", &headers), None);
        assert_eq!(named("setdown_session", &HeaderMap::new()), None);
    }
}

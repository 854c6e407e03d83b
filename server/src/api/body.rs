//! Reading bodies: limits and JSON errors as problem details.

use axum::body::Bytes;
use axum::extract::rejection::BytesRejection;
use axum::extract::{FromRequest, FromRequestParts, Path, Request};
use axum::http::request::Parts;
use axum::http::{StatusCode, header};
use futures::StreamExt;
use serde::de::DeserializeOwned;
use setdown_types::digest::is_digest;

use super::{MAX_MESSAGE_BYTES, MAX_PUSH_BYTES};
use crate::error::ServerError;
use crate::photo_store::MAX_PHOTO_BYTES;

/// The hash at the end of an address; whatever is none names nothing.
pub struct Hash(pub String);

impl<S: Send + Sync> FromRequestParts<S> for Hash {
    type Rejection = ServerError;

    async fn from_request_parts(parts: &mut Parts, state: &S) -> Result<Self, ServerError> {
        match Path::<String>::from_request_parts(parts, state).await {
            Ok(Path(text)) if is_digest(&text) => Ok(Self(text)),
            _ => Err(ServerError::NotFound("hash")),
        }
    }
}

/// How many bytes a request says that it carries, at most what any photo may have; that much where it does not say.
pub fn length_of(request: &Request) -> usize {
    declared(request).map_or(MAX_PHOTO_BYTES, |length| length.min(MAX_PHOTO_BYTES))
}

fn declared(request: &Request) -> Option<usize> {
    let length = request.headers().get(header::CONTENT_LENGTH)?;
    length.to_str().ok()?.parse().ok()
}

/// The most that is read of a body that is not taken.
const MOST_DRAINED: usize = 2 * MAX_PHOTO_BYTES;

/// Reads a body to its end, or twice as far as a photo goes, and keeps none of it: a sender that is cut short hears no
/// answer.
pub async fn drain(request: Request) {
    let mut left = MOST_DRAINED;
    let mut pieces = request.into_body().into_data_stream();
    while let Some(Ok(piece)) = pieces.next().await {
        left = match left.checked_sub(piece.len()) {
            Some(left) => left,
            None => return,
        };
    }
}

/// The body's bytes, within the route's limit.
pub struct Raw(pub Bytes);

impl<S: Send + Sync> FromRequest<S> for Raw {
    type Rejection = ServerError;

    async fn from_request(request: Request, state: &S) -> Result<Self, ServerError> {
        let limit = limit_of(request.uri().path());
        let length = declared(&request).filter(|length| *length > limit);
        if let Some(length) = length {
            if length <= MOST_DRAINED {
                drain(request).await;
            }
            return Err(ServerError::TooLarge(limit));
        }
        match Bytes::from_request(request, state).await {
            Ok(bytes) => Ok(Self(bytes)),
            Err(rejection) => Err(told(&rejection, limit)),
        }
    }
}

/// A JSON body of this type.
pub struct Json<T>(pub T);

impl<S: Send + Sync, T: DeserializeOwned> FromRequest<S> for Json<T> {
    type Rejection = ServerError;

    async fn from_request(request: Request, state: &S) -> Result<Self, ServerError> {
        expect_json(request.headers())?;
        let Raw(bytes) = Raw::from_request(request, state).await?;
        parse(&bytes).map(Self)
    }
}

/// Reads JSON; the error says where it went wrong.
pub fn parse<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, ServerError> {
    serde_json::from_slice(bytes).map_err(|error| {
        ServerError::BadInput(format!(
            "The message cannot be read: {error}. Nothing was taken; send it as DEVELOPERS.md describes it."
        ))
    })
}

/// Refuses what is not declared as JSON: a form of another site can not declare it.
pub fn expect_json(headers: &axum::http::HeaderMap) -> Result<(), ServerError> {
    let declared = headers
        .get(header::CONTENT_TYPE)
        .and_then(|value| value.to_str().ok())
        .and_then(|value| value.split(';').next())
        .map(str::trim);
    if declared.is_some_and(|declared| declared.eq_ignore_ascii_case("application/json")) {
        Ok(())
    } else {
        Err(ServerError::ContentType("application/json".into()))
    }
}

fn told(rejection: &BytesRejection, limit: usize) -> ServerError {
    if rejection.status() == StatusCode::PAYLOAD_TOO_LARGE {
        ServerError::TooLarge(limit)
    } else {
        ServerError::BadInput("The message broke off; nothing was taken. Send it again.".into())
    }
}

fn limit_of(path: &str) -> usize {
    if path.starts_with("/api/photos/") {
        MAX_PHOTO_BYTES
    } else if path.starts_with("/api/sync/") {
        MAX_PUSH_BYTES
    } else {
        MAX_MESSAGE_BYTES
    }
}

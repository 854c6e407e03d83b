//! Bytes of photos: up by their hash after the entry that shows them, down to whoever may see it.

use axum::Json as Answer;
use axum::extract::{FromRequest, Request, State};
use axum::http::{HeaderValue, header};
use axum::response::{IntoResponse, Response};
use bytes::Bytes;
use setdown_types::wire::{PhotoStored, Session};

use super::body::{Hash, Raw, drain, length_of};
use super::guard::{SignedIn, token};
use crate::error::ServerError;
use crate::events::OpenStream;
use crate::secrets::token_hash;
use crate::state::{AppState, taken_out};
use crate::store::photos::PhotoState;

/// How many photos one session sends at once: slow ones do not take all the room that there is for everybody.
const UPLOADS: usize = 2;
/// How long a session that sends more at once is asked to wait, seconds.
const COME_BACK: i64 = 10;

/// `PUT /api/photos/SHA`: facts first, bytes later. Only a photo that an entry shows is taken, and whether it is one is
/// found out before its bytes take any room.
pub async fn put(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
    Hash(sha256): Hash,
    request: Request,
) -> Result<Answer<PhotoStored>, ServerError> {
    let turned_away = match seen(&state, &session, &sha256).await {
        Ok(PhotoState::TakenOut) => Some(taken_out()),
        Ok(_) => None,
        Err(error) => Some(error),
    };
    if let Some(error) = turned_away {
        // A sender that is cut short hears no answer.
        drain(request).await;
        return Err(error);
    }
    let Some(_upload) = begun(&state, &request) else {
        drain(request).await;
        return Err(ServerError::TooMany(COME_BACK));
    };
    let _room = state.photos.room(length_of(&request)).await?;
    let Raw(bytes) = Raw::from_request(request, &state).await?;
    let length = bytes.len();
    state
        .keep_photo(session.organisation, &sha256, bytes)
        .await?;
    Ok(stored(sha256, length))
}

/// One more upload of this session; `None` where it has as many as it may.
fn begun(state: &AppState, request: &Request) -> Option<OpenStream> {
    let session = token_hash(token(state, request.headers())?);
    state.uploads.at_most(UPLOADS, session)
}

fn stored(sha256: String, length: usize) -> Answer<PhotoStored> {
    Answer(PhotoStored {
        sha256,
        bytes: u64::try_from(length).unwrap_or(u64::MAX),
    })
}

/// `GET /api/photos/SHA`.
pub async fn get(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
    Hash(sha256): Hash,
) -> Result<Response, ServerError> {
    let media_type = present(&state, &session, &sha256).await?;
    let bytes = state.photos.get(session.organisation, &sha256).await?;
    picture(bytes, &media_type)
}

/// `GET /api/photos/SHA/thumb`.
pub async fn thumbnail(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
    Hash(sha256): Hash,
) -> Result<Response, ServerError> {
    present(&state, &session, &sha256).await?;
    let bytes = state
        .photos
        .thumbnail(session.organisation, &sha256)
        .await?;
    picture(bytes, "image/jpeg")
}

/// What is known of a photo that this session may see; 404 for every other. Whose entry showed it before it was redacted
/// is told that it was taken out, also where it is still shown to others.
async fn seen(
    state: &AppState,
    session: &Session,
    sha256: &str,
) -> Result<PhotoState, ServerError> {
    let store = &state.store;
    let known = store.photo_state(session.organisation, sha256).await?;
    let shown = store
        .photo_is_shown(session.organisation, sha256, session.site, session.role)
        .await?;
    match known {
        PhotoState::TakenOut if session.site.is_none() => Ok(known),
        _ if shown => Ok(known),
        _ if store.photo_was_shown(session, sha256).await? => Ok(PhotoState::TakenOut),
        _ => Err(ServerError::NotFound("photo")),
    }
}

async fn present(state: &AppState, session: &Session, sha256: &str) -> Result<String, ServerError> {
    match seen(state, session, sha256).await? {
        PhotoState::Present(media_type) => Ok(media_type),
        PhotoState::Missing => Err(ServerError::NotFound("photo")),
        PhotoState::TakenOut => Err(taken_out()),
    }
}

/// A picture under its hash never changes, but only its viewer may keep it.
fn picture(bytes: Bytes, media_type: &str) -> Result<Response, ServerError> {
    let media_type = HeaderValue::from_str(media_type)
        .map_err(|error| ServerError::Unreadable(format!("a media type: {error}")))?;
    let headers = [
        (header::CONTENT_TYPE, media_type),
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("private, max-age=3600"),
        ),
        (
            header::CONTENT_DISPOSITION,
            HeaderValue::from_static("inline"),
        ),
    ];
    Ok((headers, bytes).into_response())
}

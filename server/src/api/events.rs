//! `GET /api/events`: a poke whenever something changed at a site that this session may see.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::State;
use axum::http::{HeaderMap, HeaderValue, header};
use axum::response::sse::{Event, Sse};
use axum::response::{IntoResponse, Response};
use futures::stream::{self, Stream};
use setdown_types::wire::Session;
use tokio::sync::broadcast::{Receiver, error::RecvError};
use tokio::sync::watch;
use tokio::time::Instant;

use super::guard::{SignedIn, token};
use crate::clock;
use crate::error::ServerError;
use crate::events::{OpenStream, Poke};
use crate::secrets::token_hash;
use crate::state::AppState;

/// How long one connection lasts: the browser opens the next by itself, and shows its cookie.
const LASTS: Duration = Duration::from_secs(10 * 60);
/// A comment this often keeps proxies from closing the connection, and ends it once its session has ended.
const ALIVE: Duration = Duration::from_secs(20);
/// How long a session with too many streams is asked to wait, seconds.
const WAIT: i64 = 30;

struct Listening {
    state: AppState,
    token: String,
    session: Session,
    _stream: OpenStream,
    pokes: Receiver<Poke>,
    stopping: watch::Receiver<bool>,
    until: Instant,
    greeted: bool,
}

/// The stream of pokes.
pub async fn listen(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
    headers: HeaderMap,
) -> Result<Response, ServerError> {
    let token = token(&state, &headers)
        .ok_or(ServerError::SignedOut)?
        .to_owned();
    let stream = state
        .streams
        .open(token_hash(&token))
        .ok_or(ServerError::TooMany(WAIT))?;
    let listening = Listening {
        token,
        session,
        _stream: stream,
        pokes: state.events.listen(),
        stopping: state.events.stopping(),
        until: Instant::now() + LASTS,
        greeted: false,
        state,
    };
    let events = Sse::new(pokes(listening));
    let headers = [
        (
            header::CACHE_CONTROL,
            HeaderValue::from_static("no-store, no-transform"),
        ),
        (
            header::HeaderName::from_static("x-accel-buffering"),
            HeaderValue::from_static("no"),
        ),
    ];
    Ok((headers, events).into_response())
}

fn pokes(listening: Listening) -> impl Stream<Item = Result<Event, Infallible>> {
    stream::unfold(listening, |mut listening| async move {
        if !listening.greeted {
            listening.greeted = true;
            return Some((Ok(Event::default().comment("listening")), listening));
        }
        let event = match listening.next().await? {
            Some(data) => Event::default().event("poke").data(data),
            None => Event::default().comment("listening"),
        };
        Some((Ok(event), listening))
    })
}

impl Listening {
    /// The site of the next poke for this session, `all` after falling behind, or nothing where it was quiet for long;
    /// `None` at the end of the connection.
    async fn next(&mut self) -> Option<Option<String>> {
        let heard = self.heard().await?;
        self.is_signed_in().await.then_some(heard)
    }

    async fn heard(&mut self) -> Option<Option<String>> {
        if *self.stopping.borrow() {
            return None;
        }
        let quiet = Instant::now() + ALIVE;
        loop {
            let heard = tokio::select! {
                _ = self.stopping.changed() => return None,
                () = tokio::time::sleep_until(self.until) => return None,
                () = tokio::time::sleep_until(quiet) => return Some(None),
                heard = self.pokes.recv() => heard,
            };
            match heard {
                Ok(poke) if self.concerns(poke) => return Some(Some(poke.site.to_string())),
                Ok(_) => {}
                Err(RecvError::Lagged(_)) => return Some(Some("all".into())),
                Err(RecvError::Closed) => return None,
            }
        }
    }

    /// Whether the session is still the one that began to listen. Where that cannot be found out, the connection ends:
    /// the browser opens the next one.
    async fn is_signed_in(&self) -> bool {
        let now = self.state.store.session(&self.token, clock::now()).await;
        matches!(now, Ok(Some(session)) if session == self.session)
    }

    fn concerns(&self, poke: Poke) -> bool {
        poke.organisation == self.session.organisation
            && self.session.site.is_none_or(|site| site == poke.site)
    }
}

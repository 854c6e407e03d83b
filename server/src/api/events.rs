//! `GET /api/events`: a poke whenever something changed at a site that this session may see.

use std::convert::Infallible;
use std::time::Duration;

use axum::extract::State;
use axum::http::{HeaderValue, header};
use axum::response::sse::{Event, KeepAlive, Sse};
use axum::response::{IntoResponse, Response};
use futures::stream::{self, Stream};
use setdown_types::wire::Session;
use tokio::sync::broadcast::{Receiver, error::RecvError};
use tokio::sync::watch;
use tokio::time::Instant;

use super::guard::SignedIn;
use crate::error::ServerError;
use crate::events::Poke;
use crate::state::AppState;

/// How long one connection lasts: the browser opens the next by itself, and shows its cookie.
const LASTS: Duration = Duration::from_secs(10 * 60);
/// A comment this often keeps proxies from closing the connection.
const ALIVE: Duration = Duration::from_secs(20);

struct Listening {
    session: Session,
    pokes: Receiver<Poke>,
    stopping: watch::Receiver<bool>,
    until: Instant,
    greeted: bool,
}

/// The stream of pokes.
pub async fn listen(
    State(state): State<AppState>,
    SignedIn(session): SignedIn,
) -> Result<Response, ServerError> {
    let listening = Listening {
        session,
        pokes: state.events.listen(),
        stopping: state.events.stopping(),
        until: Instant::now() + LASTS,
        greeted: false,
    };
    let events = Sse::new(pokes(listening)).keep_alive(KeepAlive::new().interval(ALIVE));
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
        let data = listening.next().await?;
        Some((Ok(Event::default().event("poke").data(data)), listening))
    })
}

impl Listening {
    /// The site of the next poke for this session, or `all` after falling behind; `None` at the
    /// end of the connection.
    async fn next(&mut self) -> Option<String> {
        if *self.stopping.borrow() {
            return None;
        }
        loop {
            let heard = tokio::select! {
                _ = self.stopping.changed() => return None,
                () = tokio::time::sleep_until(self.until) => return None,
                heard = self.pokes.recv() => heard,
            };
            match heard {
                Ok(poke) if self.concerns(poke) => return Some(poke.site.to_string()),
                Ok(_) => {}
                Err(RecvError::Lagged(_)) => return Some("all".into()),
                Err(RecvError::Closed) => return None,
            }
        }
    }

    fn concerns(&self, poke: Poke) -> bool {
        poke.organisation == self.session.organisation
            && self.session.site.is_none_or(|site| site == poke.site)
    }
}

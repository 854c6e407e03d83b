//! Who is signed in: cached on the phone, so that everything works without signal.

use gloo_timers::future::TimeoutFuture;
use leptos::prelude::*;
use serde::Serialize;
use setdown_types::digest::digest_hex;
use setdown_types::ids::SiteId;
use setdown_types::wire::{OpenInvitation, Session, SignIn};

use super::database::{META, StoreError, Transaction};
use super::inner::{self, Inner, SESSION};
use super::logic::entering::{asks_first, handed_over};
use super::logic::sites::Holder;
use super::rows::{from_text, to_text};
use super::types::{DeviceError, RequestError, SignOutError};
use super::wake::{self, Told};
use super::{http, photo, sync};
use crate::words::filled;

/// Name in the meta store of the digest of the link that this phone was opened with last.
const OPENED_LINK: &str = "opened_link";
/// Name in the meta store of the mark that the server has not heard of a signing out yet.
const SIGN_OUT_OWED: &str = "sign_out_owed";

#[derive(Serialize)]
struct Nothing {}

/// Signs in.
pub async fn sign_in(name: &str, password: &str) -> Result<Session, RequestError> {
    let body = SignIn {
        sign_in: name.to_owned(),
        password: password.to_owned(),
    };
    signed_out().await;
    entered(http::post_patiently("/api/sign-in", &body).await?).await
}

/// Opens an invitation.
pub async fn open_invitation(token: &str) -> Result<Session, RequestError> {
    let body = OpenInvitation {
        token: token.to_owned(),
    };
    signed_out().await;
    let session = entered(http::post_patiently("/api/invitation/open", &body).await?).await?;
    let digest = digest_hex(token.as_bytes());
    inner::get()
        .database
        .write(&[META], async |transaction| {
            transaction.put_text(META, OPENED_LINK, &digest)
        })
        .await?;
    Ok(session)
}

/// Whether opening an invitation has to be asked about first.
pub async fn asks_before_opening(token: &str) -> Result<bool, DeviceError> {
    let inner = inner::get();
    let before = inner
        .database
        .read(&[META], async |transaction| {
            transaction.text(META, OPENED_LINK).await
        })
        .await?;
    let opened_before = before == Some(digest_hex(token.as_bytes()));
    let only_here = inner.unsent.borrow().len() + inner.photos_unsent();
    let session = inner.session();
    Ok(asks_first(session.as_ref(), only_here, opened_before))
}

/// Waits for a signing out that is on its way; its time limit bounds the wait.
async fn signed_out() {
    while inner::get().syncing.signing_out.get() {
        TimeoutFuture::new(50).await;
    }
}

/// Writes down who has just come in, and starts sending.
async fn entered(session: Session) -> Result<Session, RequestError> {
    let inner = inner::get();
    adopt(&inner, Some(session.clone()), Why::CameIn).await?;
    inner.syncing.session_checked();
    inner.syncing.sites_unknown();
    sync::wake();
    Ok(session)
}

/// Asks the server who is signed in, and goes by its answer.
pub async fn check(inner: &Inner) -> Result<(), RequestError> {
    settle_sign_out(inner).await?;
    let before = inner.session();
    let session: Session = http::get("/api/sync/session").await?;
    if inner.session() != before {
        // Somebody came in or went meanwhile: the answer is about the one before.
        return Ok(());
    }
    if before.as_ref() == Some(&session) || adopt(inner, Some(session), Why::Heard).await? {
        inner.syncing.session_checked();
    }
    Ok(())
}

/// Signs out.
pub async fn sign_out(anyway: bool) -> Result<(), SignOutError> {
    let inner = inner::get();
    let session = inner.session();
    let unsent = inner
        .unsent
        .borrow()
        .iter()
        .filter(|waiting| {
            session
                .as_ref()
                .is_some_and(|session| waiting.queued.belongs_to(session))
        })
        .count();
    // Those of somebody else wait for them.
    let photos = match &session {
        Some(session) => photo::owed_by(&inner, session).await,
        None => Ok(0),
    };
    let photos = photos.unwrap_or_else(|_| inner.photos_unsent());
    if !anyway && unsent + photos > 0 {
        return Err(SignOutError::Unsent(unsent, photos));
    }
    adopt(&inner, None, Why::Left)
        .await
        .map_err(|error| SignOutError::Device(error.into()))?;
    sync::wake();
    Ok(())
}

/// Tells the server of a signing out that it has not heard of.
async fn settle_sign_out(inner: &Inner) -> Result<(), RequestError> {
    let owed = inner.database.read(&[META], is_owed).await?;
    if !owed {
        return Ok(());
    }
    inner.syncing.signing_out.set(true);
    let answer = http::post_plain("/api/sign-out", &Nothing {}).await;
    inner.syncing.signing_out.set(false);
    match answer {
        Ok(()) | Err(RequestError::NotSignedIn(_)) => {}
        Err(error) => return Err(error),
    }
    inner
        .database
        .write(&[META], async |transaction| {
            transaction.delete(META, SIGN_OUT_OWED)
        })
        .await?;
    Ok(())
}

/// Whether the server has not heard of a signing out yet.
async fn is_owed(transaction: &Transaction) -> Result<bool, StoreError> {
    Ok(transaction.text(META, SIGN_OUT_OWED).await?.is_some())
}

/// Why the session is another one.
#[derive(Clone, Copy, PartialEq, Eq)]
enum Why {
    /// Somebody has just signed in.
    CameIn,
    /// The server says so; a signing out that it has not heard of counts for more.
    Heard,
    /// Somebody has signed out.
    Left,
}

/// Writes down who is signed in, and shows it; `false` where nothing was written, since somebody has signed out.
async fn adopt(inner: &Inner, session: Option<Session>, why: Why) -> Result<bool, StoreError> {
    let text = session.as_ref().map(to_text).transpose()?;
    let written = inner
        .database
        .write(&[META], async |transaction| {
            match why {
                Why::Heard if is_owed(transaction).await? => return Ok(false),
                Why::Heard => {}
                Why::CameIn => transaction.delete(META, SIGN_OUT_OWED)?,
                Why::Left => transaction.put_text(META, SIGN_OUT_OWED, "yes")?,
            }
            match &text {
                Some(text) => transaction.put_text(META, SESSION, text)?,
                None => transaction.delete(META, SESSION)?,
            }
            Ok(true)
        })
        .await?;
    if !written {
        return Ok(false);
    }
    let holder = session.as_ref().map(Holder::of);
    if let Some(site) = session.as_ref().and_then(|session| session.site) {
        take(inner, site, holder).await?;
    }
    if why == Why::Heard {
        say_handed_over(inner, session.as_ref());
    }
    goes_on_as(inner, session);
    wake::tell(inner, Told::Session);
    Ok(true)
}

fn goes_on_as(inner: &Inner, session: Option<Session>) {
    inner.session.set(session);
    inner.syncing.session_unknown();
    inner.show_counts();
}

/// Says so where the screen is somebody else's from now on: what was typed on it is not.
fn say_handed_over(inner: &Inner, now: Option<&Session>) {
    let before = inner.session();
    match handed_over(before.as_ref(), now) {
        Some((from, Some(to))) => {
            inner.note(&filled(
                "session.handed_over",
                &[("from", from), ("to", to)],
            ));
        }
        Some((from, None)) => inner.note(&filled("session.gone", &[("from", from)])),
        None => {}
    }
}

/// Takes over who is signed in by the store: another tab has changed that.
pub async fn take_over(inner: &Inner) -> Result<(), StoreError> {
    let session = inner.database.read(&[META], stored_session).await?;
    if inner.session() != session {
        say_handed_over(inner, session.as_ref());
        goes_on_as(inner, session);
    }
    Ok(())
}

/// Who is signed in by the store.
pub async fn stored_session(transaction: &Transaction) -> Result<Option<Session>, StoreError> {
    Ok(from_text(&transaction.get(META, SESSION).await?))
}

/// Marks a site as taken along by somebody.
pub async fn take(inner: &Inner, site: SiteId, holder: Option<Holder>) -> Result<(), StoreError> {
    inner.change_row(site, |row| row.take(holder)).await?;
    inner.remember();
    inner.show_counts();
    wake::tell(inner, Told::Sites);
    Ok(())
}

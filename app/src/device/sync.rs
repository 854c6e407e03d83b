//! The sync client: facts out, facts in, documents, then the bytes of photos. One tab at a time does it.
//!
//! Every request decides anew whether there is a network; a failure stops the round, uses up nothing, and the next
//! wake-up starts over. Doing any part twice is harmless.

use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use std::rc::Rc;
use std::sync::Arc;

use gloo_timers::callback::Timeout;
use leptos::prelude::*;
use setdown_types::digest::digest_hex;
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::{Refusal, Standing};
use setdown_types::party::Role;
use setdown_types::wire::{Document, PROTOCOL, Pulled, Pushed, SiteList};
use wasm_bindgen_futures::spawn_local;

use super::commit::{CommitError, Plan};
use super::database::{DOCUMENTS, SITES};
use super::inner::{self, Inner};
use super::logic::pace::{self, Ended};
use super::logic::pulling::{Next, PageError, Pulling};
use super::logic::queue::{self, Piece, Queued};
use super::logic::sites::{Holder, merged};
use super::rows::{SiteRow, from_text, to_text};
use super::showing::pins;
use super::types::{RequestError, SyncState};
use super::wake::{self, Told};
use super::{clock, http, people, photo};

/// How old the list of sites may grow before a round asks for it again, milliseconds.
const SITES_FRESH: i64 = 10 * 60_000;
/// How old a site's last pull may grow in the store before it is written again without other news, milliseconds.
const PULL_FRESH: i64 = 5 * 60_000;

/// Where the sync client stands.
#[derive(Default)]
pub struct Syncing {
    running: Cell<bool>,
    again: Cell<bool>,
    session_checked: Cell<bool>,
    failures: Cell<u32>,
    piece: Cell<Piece>,
    sites_at: Cell<i64>,
    /// A signing out is on its way: an answer that comes late would take the next person's cookie away.
    pub signing_out: Cell<bool>,
    timer: RefCell<Option<Timeout>>,
    /// No photo has been looked at since one of them may have become nobody's; so it is when a page opens.
    tidy: Cell<bool>,
}

impl Syncing {
    /// The server has just said who is signed in.
    pub fn session_checked(&self) {
        self.session_checked.set(true);
    }

    /// The list of sites is somebody else's.
    pub fn sites_unknown(&self) {
        self.sites_at.set(0);
    }

    /// Makes the next push smaller; false where it cannot be.
    fn shrink_piece(&self) -> bool {
        let smaller = self.piece.get().smaller();
        if let Some(piece) = smaller {
            self.piece.set(piece);
        }
        smaller.is_some()
    }

    /// A photo may be named by nothing any more.
    pub fn photos_untidy(&self) {
        self.tidy.set(false);
    }

    /// Whether photos are to be looked at; then they count as looked at.
    pub fn take_untidy(&self) -> bool {
        !self.tidy.replace(true)
    }

    /// The server has to be asked who is signed in.
    pub fn session_unknown(&self) {
        self.session_checked.set(false);
    }
}

/// Asks for a round now, or for another one after the one under way.
pub fn wake() {
    let inner = inner::get();
    inner.syncing.again.set(true);
    if !inner.syncing.running.replace(true) {
        spawn_local(rounds(inner));
    }
}

async fn rounds(inner: Rc<Inner>) {
    match wake::lock("setdown-sync").await {
        wake::Lock::Held(guard) => {
            while inner.syncing.again.replace(false) {
                round(&inner).await;
            }
            guard.give_back().await;
        }
        // The tab that syncs reads the same queue.
        wake::Lock::Elsewhere => {
            inner.syncing.again.set(false);
            wake::tell(&inner, Told::Wake);
        }
    }
    inner.syncing.running.set(false);
    // Somebody may have asked while the lock was given back.
    if inner.syncing.again.get() {
        wake();
    } else {
        schedule(&inner);
    }
}

/// One round, from asking who is signed in to the last photo.
async fn round(inner: &Rc<Inner>) {
    inner
        .status
        .update(|status| status.state = SyncState::Syncing);
    let state = match steps(inner).await {
        Ok(()) => SyncState::Idle,
        Err(RequestError::Offline) => SyncState::Offline,
        Err(RequestError::NotSignedIn(_)) => {
            inner.syncing.session_unknown();
            SyncState::SignInNeeded
        }
        Err(RequestError::UpdateNeeded) => SyncState::UpdateNeeded,
        Err(error) => SyncState::Error(error.to_string()),
    };
    let well = state == SyncState::Idle;
    inner.syncing.failures.set(if well {
        0
    } else {
        inner.syncing.failures.get().saturating_add(1)
    });
    inner.status.update(|status| status.state = state);
    if let Err(error) = inner.refresh_counts().await {
        leptos::logging::warn!("the counts could not be read: {error}");
    }
    inner.note_reopened();
    if well {
        wake::listen_to_server(inner);
    }
    wake::look_at_storage(inner).await;
}

async fn steps(inner: &Rc<Inner>) -> Result<(), RequestError> {
    if !inner.syncing.session_checked.get() {
        people::check(inner).await?;
    }
    inner.refresh_counts().await?;
    let pushed = push(inner).await;
    // A push that went unanswered may only have been too large for the signal: what the server has to say is asked for
    // all the same, and if it answers, a smaller piece follows at once.
    let retry = matches!(pushed, Err(RequestError::Offline)) && inner.syncing.shrink_piece();
    let mut trouble = None;
    if !retry {
        keep_first(&mut trouble, pushed)?;
    }
    if clock::wall() - inner.syncing.sites_at.get() > SITES_FRESH {
        keep_first(&mut trouble, list_sites(inner).await)?;
    }
    for site in inner.pulled() {
        keep_first(&mut trouble, bring_up_to_date(inner, site).await)?;
    }
    if retry {
        inner.syncing.again.set(true);
        return trouble.map_or(Ok(()), Err);
    }
    photo::tidy(inner).await?;
    keep_first(&mut trouble, photo::send_all(inner).await)?;
    trouble.map_or(Ok(()), Err)
}

/// Trouble with one site does not hold up the others; no network and no session do.
fn keep_first(
    trouble: &mut Option<RequestError>,
    result: Result<(), RequestError>,
) -> Result<(), RequestError> {
    match result {
        Err(error @ (RequestError::Server { .. } | RequestError::Answer(_))) => {
            trouble.get_or_insert(error);
            Ok(())
        }
        other => other,
    }
}

/// Sends what is only on this phone, piece by piece, until nothing is left that the signed-in person may send.
async fn push(inner: &Inner) -> Result<(), RequestError> {
    // What the server has no room for in this round holds up nothing behind it.
    let mut no_room = BTreeSet::new();
    loop {
        let Some(session) = inner.session() else {
            return Err(RequestError::NotSignedIn(
                "Sign in to send what is on this phone.".to_owned(),
            ));
        };
        let unsent: Vec<Queued> = inner
            .unsent
            .borrow()
            .iter()
            .map(|waiting| waiting.queued.clone())
            .filter(|queued| !no_room.contains(&queued.id))
            .collect();
        let piece = queue::next_push(&unsent, &session, inner.syncing.piece.get());
        if piece.is_empty() {
            return Ok(());
        }
        let (message, unreadable) =
            queue::message(inner.device, clock::boot(), clock::monotonic(), &piece);
        let sent: Vec<EntryId> = piece
            .iter()
            .map(|queued| queued.id)
            .filter(|id| !unreadable.contains(id))
            .collect();
        let answer: Pushed = http::post("/api/sync/push", &message).await?;
        inner.syncing.piece.set(inner.syncing.piece.get().larger());
        let mut standings = queue::standings(&sent, &answer)
            .map_err(|error| RequestError::Answer(error.to_string()))?;
        let reason = || Standing::Refused(Refusal::Malformed("its bytes are no JSON".to_owned()));
        standings.extend(unreadable.into_iter().map(|id| (id, reason())));
        if standings
            .iter()
            .any(|(_, standing)| queue::is_not_yours(standing))
        {
            people::check(inner).await?;
            if inner.session().as_ref() != Some(&session) {
                standings.retain(|(_, standing)| !queue::is_not_yours(standing));
            }
        }
        if standings.is_empty() {
            return Ok(());
        }
        let unsent = standings
            .iter()
            .filter(|(_, standing)| *standing == Standing::Unsent);
        no_room.extend(unsent.map(|(id, _)| *id));
        settle(inner, &standings).await?;
        inner
            .status
            .update(|status| status.last_push = Some(clock::wall()));
    }
}

/// Writes verdicts down, site by site.
async fn settle(inner: &Inner, standings: &[(EntryId, Standing)]) -> Result<(), RequestError> {
    let sites: BTreeMap<EntryId, SiteId> = inner
        .unsent
        .borrow()
        .iter()
        .map(|waiting| (waiting.queued.id, waiting.site))
        .collect();
    let mut by_site: BTreeMap<SiteId, Vec<(EntryId, Standing)>> = BTreeMap::new();
    for (id, standing) in standings {
        if let Some(site) = sites.get(id) {
            by_site
                .entry(*site)
                .or_default()
                .push((*id, standing.clone()));
        }
    }
    for (site, standings) in by_site {
        inner
            .commit(site, |replica, _| {
                Ok::<_, PageError>(Plan::of(replica.stand(&standings)))
            })
            .await
            .map_err(request_error)?;
    }
    inner.refresh_counts().await?;
    Ok(())
}

/// Pulls a site until its digest agrees, and its documents.
async fn bring_up_to_date(inner: &Inner, site: SiteId) -> Result<(), RequestError> {
    let news = match pull(inner, site).await {
        // Listed as such from now on, and not asked for again; what is here stays legible.
        Err(RequestError::Server { status: 404, .. }) => {
            return no_longer_yours(inner, site).await;
        }
        other => other?,
    };
    fetch_documents(inner, site).await?;
    note_pull(inner, site, news).await
}

/// Writes down that a site is here in full: its entries, and the sheets that they name.
async fn note_pull(inner: &Inner, site: SiteId, news: bool) -> Result<(), RequestError> {
    let now = clock::wall();
    let before = inner.row(site).and_then(|row| row.last_pull);
    if !news && now - before.unwrap_or_default() <= PULL_FRESH {
        return Ok(());
    }
    inner
        .commit(site, |_, _| {
            Ok::<_, PageError>(Plan {
                pulled_at: Some(now),
                ..Plan::default()
            })
        })
        .await
        .map_err(request_error)
}

/// Marks that the server does not show a site to whoever is signed in.
async fn no_longer_yours(inner: &Inner, site: SiteId) -> Result<(), RequestError> {
    let told = inner.session().as_ref().map(Holder::of);
    inner.change_row(site, |row| row.not_yours = told).await?;
    inner.show_counts();
    wake::tell(inner, Told::Sites);
    Ok(())
}

/// Pulls a site's entries; whether anything came of it.
async fn pull(inner: &Inner, site: SiteId) -> Result<bool, RequestError> {
    let (replica, _) = inner.replica(site).await?;
    let mut news = false;
    let role = inner
        .session()
        .map_or(Role::Homeowner, |session| session.role);
    let pulling = RefCell::new(Pulling::since(site, inner.device, role, &replica));
    loop {
        let after = pulling.borrow().after();
        let page: Pulled = http::get(&format!(
            "/api/sync/pull?site={site}&after={after}&protocol={PROTOCOL}"
        ))
        .await?;
        news |= take_page(inner, site, &pulling, &page).await?;
        let (replica, _) = inner.replica(site).await?;
        let known_to_differ = inner.row(site).and_then(|row| row.differs_at(&build()));
        let next = pulling.borrow().next(&replica, &page);
        match next {
            Next::Page => {}
            Next::FullPull if known_to_differ != Some(page.last_seq) => {
                pulling.replace(Pulling::full(site, inner.device, role));
            }
            Next::FullPull => return Ok(news),
            Next::Agreed if known_to_differ.is_none() => return Ok(news),
            Next::Agreed => {
                remark(inner, site, None).await?;
                return Ok(news);
            }
            Next::StillDiffers => {
                inner.note("This version reads some entries of a site differently than the server. Load the update when it comes; nothing was lost.");
                remark(inner, site, Some(page.last_seq)).await?;
                return Ok(news);
            }
        }
    }
}

/// Writes one page down; `pulling` moves on only with it. Whether it changed anything.
async fn take_page(
    inner: &Inner,
    site: SiteId,
    pulling: &RefCell<Pulling>,
    page: &Pulled,
) -> Result<bool, RequestError> {
    let moved = RefCell::new(pulling.borrow().clone());
    let news = Cell::new(false);
    inner
        .commit(site, |replica, _| {
            let mut attempt = pulling.borrow().clone();
            let plan = Plan::of(attempt.take(replica, page)?);
            news.set(!plan.changes.is_empty());
            moved.replace(attempt);
            Ok::<_, PageError>(plan)
        })
        .await
        .map_err(request_error)?;
    pulling.replace(moved.into_inner());
    Ok(news.get())
}

/// The build of the app that runs: another one may read entries that this one does not.
fn build() -> String {
    leptos::prelude::document()
        .query_selector("meta[name=setdown-build]")
        .ok()
        .flatten()
        .and_then(|meta| meta.get_attribute("content"))
        .unwrap_or_default()
}

async fn remark(inner: &Inner, site: SiteId, differs_at: Option<u64>) -> Result<(), RequestError> {
    inner
        .commit(site, |_, _| {
            Ok::<_, PageError>(Plan {
                differs_at: Some(differs_at.map(|at| (at, build()))),
                ..Plan::default()
            })
        })
        .await
        .map_err(request_error)
}

fn request_error(error: CommitError<PageError>) -> RequestError {
    match error {
        CommitError::Plan(error) => RequestError::Answer(error.to_string()),
        // What a server sends has no author of its own.
        CommitError::OtherPerson => RequestError::NotSignedIn(String::new()),
        CommitError::Store(error) => error.into(),
    }
}

/// Fetches pinned documents that are not here yet.
async fn fetch_documents(inner: &Inner, site: SiteId) -> Result<(), RequestError> {
    let (replica, _) = inner.replica(site).await?;
    let wanted: Vec<String> = {
        let here = inner.documents.borrow();
        pins(&replica.fold())
            .into_iter()
            .filter(|pin| !here.contains_key(pin))
            .collect()
    };
    if wanted.is_empty() {
        return Ok(());
    }
    let mut fault = Ok(());
    for digest in wanted {
        // One that is not there keeps no other back.
        if let Err(error) = fetch_document(inner, &digest).await {
            fault = fault.and(Err(error));
        }
    }
    inner.show(site);
    fault
}

async fn fetch_document(inner: &Inner, digest: &str) -> Result<Document, RequestError> {
    let document: Document = http::get(&format!("/api/sync/documents/{digest}")).await?;
    if digest_hex(document.body.as_bytes()) != digest {
        return Err(RequestError::Answer(
            "the document's text is not the one that was asked for".to_owned(),
        ));
    }
    let document = Document {
        digest: digest.to_owned(),
        ..document
    };
    let text = to_text(&document)?;
    inner
        .database
        .write(&[DOCUMENTS], async |transaction| {
            transaction.put_text(DOCUMENTS, digest, &text)
        })
        .await?;
    inner
        .documents
        .borrow_mut()
        .insert(digest.to_owned(), Arc::new(document.clone()));
    Ok(document)
}

/// A document from this phone, else from the server.
pub async fn document(digest: &str) -> Result<Document, RequestError> {
    let inner = inner::get();
    if let Some(document) = inner.documents.borrow().get(digest) {
        return Ok(Document::clone(document));
    }
    let stored: Option<Document> = inner
        .database
        .read(&[DOCUMENTS], async |transaction| {
            Ok(from_text(&transaction.get(DOCUMENTS, digest).await?))
        })
        .await?;
    match stored {
        Some(document) => Ok(document),
        None => fetch_document(&inner, digest).await,
    }
}

/// Asks for the list of sites.
pub async fn refresh_sites() -> Result<(), RequestError> {
    list_sites(&inner::get()).await
}

async fn list_sites(inner: &Inner) -> Result<(), RequestError> {
    let session = inner.session();
    let list: SiteList = http::get("/api/sync/sites").await?;
    let Some(holder) = session.as_ref().map(Holder::of) else {
        return Ok(());
    };
    if inner.session() != session {
        // Somebody else came in meanwhile: the list is not theirs.
        return Ok(());
    }
    // On what lies in the store: what was taken along since the list was asked for stays taken along.
    let rows = inner
        .database
        .write(&[SITES], async |transaction| {
            let known = transaction.all(SITES).await?;
            let known = known.iter().filter_map(|row| from_text::<SiteRow>(&row));
            let rows = merged(known, &list.sites, holder);
            for (site, row) in &rows {
                transaction.put_text(SITES, &site.to_string(), &to_text(row)?)?;
            }
            Ok(rows)
        })
        .await?;
    inner.rows.replace(rows);
    inner.syncing.sites_at.set(clock::wall());
    inner.show_counts();
    let shown: Vec<SiteId> = inner.slots.borrow().keys().copied().collect();
    shown.into_iter().for_each(|site| inner.show(site));
    wake::tell(inner, Told::Sites);
    Ok(())
}

/// Takes a site along.
pub async fn take_along(site: SiteId) -> Result<(), RequestError> {
    let inner = inner::get();
    let holder = inner.session().as_ref().map(Holder::of);
    people::take(&inner, site, holder).await?;
    if inner.row(site).is_none_or(|row| row.card.name.is_empty()) {
        list_sites(&inner).await?;
    }
    bring_up_to_date(&inner, site).await
}

/// Sets the timer for the next round: soon after a first failure, then ever more rarely, never in step with others.
fn schedule(inner: &Inner) {
    let ended = match inner.status.with_untracked(|status| status.state.clone()) {
        SyncState::Offline => Ended::Unanswered,
        SyncState::SignInNeeded | SyncState::UpdateNeeded => Ended::Waiting,
        SyncState::Error(_) => Ended::InTrouble,
        SyncState::Idle | SyncState::Syncing => Ended::Well,
    };
    let seconds = pace::seconds(ended, inner.syncing.failures.get());
    let millis = seconds * 1000.0 * (0.75 + 0.5 * clock::jitter());
    inner
        .syncing
        .timer
        .replace(Some(Timeout::new(millis as u32, wake)));
}

//! The handle through which screens use the device.

use std::collections::BTreeMap;

use jiff::civil::Date;
use leptos::prelude::*;
use setdown_types::ids::{DeviceId, EntryId, PersonId, SiteId, SubjectId};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::wire::{Document, Session};
use web_sys::Blob;

use super::inner;
use super::types::*;
use super::{Leaving, NewAnswer, clock, export, leaving, opening, people, photo, recording, sync};

/// The phone's store and sync client. A token: it can be copied into any closure, and exists only once the store is
/// open. There is one store per page.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Device {
    opened: (),
}

/// Opens the store, once per page however often it is called, and tells how far that has come.
pub fn opened() -> Signal<Opening> {
    opening::opened()
}

impl Device {
    /// The token; only the opening gives it out.
    pub(super) const fn new() -> Self {
        Self { opened: () }
    }

    /// Opens the store, or waits for an opening that is under way.
    ///
    /// # Errors
    /// [`DeviceError`] where this browser keeps nothing.
    pub async fn open() -> Result<Self, DeviceError> {
        opening::open().await
    }

    // Who

    /// Who is signed in, as last heard from the server; stays through reloads and without signal.
    pub fn session(self) -> Signal<Option<Session>> {
        inner::get().session.clone().into()
    }

    /// Whether whoever is signed in may look at a site that is on this phone: not where it is another dealer's.
    pub fn may_open(self, site: SiteId) -> bool {
        let inner = inner::get();
        let row = inner.row(site);
        row.is_none_or(|row| row.is_for(inner.session().as_ref()))
    }

    /// Signs in with name and password. Needs the server.
    ///
    /// # Errors
    /// [`RequestError::NotSignedIn`] with a text for the person where they do not fit; others by their names.
    pub async fn sign_in(self, name: &str, password: &str) -> Result<Session, RequestError> {
        people::sign_in(name, password).await
    }

    /// Opens an invitation by its token: once with signal, from then on without.
    ///
    /// # Errors
    /// [`RequestError::NotSignedIn`] where the invitation has run out or never was; others by their names.
    pub async fn open_invitation(self, token: &str) -> Result<Session, RequestError> {
        people::open_invitation(token).await
    }

    /// Whether opening this invitation has to be asked about first: somebody else is signed in, or something is only on
    /// this phone.
    ///
    /// # Errors
    /// [`DeviceError`] where the store cannot be read.
    pub async fn asks_before_opening(self, token: &str) -> Result<bool, DeviceError> {
        people::asks_before_opening(token).await
    }

    /// Signs out on this phone, and at the server where it can be reached. Nothing is removed from the phone.
    ///
    /// # Errors
    /// [`SignOutError::Unsent`] where something is only on this phone and `anyway` is not given.
    pub async fn sign_out(self, anyway: bool) -> Result<(), SignOutError> {
        people::sign_out(anyway).await
    }

    /// This browser profile's id.
    pub fn device_id(self) -> DeviceId {
        inner::get().device
    }

    // Sites

    /// Every site this person may take along, as last heard from the server, and every site on this phone.
    pub fn sites(self) -> Signal<Vec<SiteOnPhone>> {
        inner::get().sites.clone().into()
    }

    /// Asks the server for the list of sites.
    ///
    /// # Errors
    /// [`RequestError`]; the known list stays.
    pub async fn refresh_sites(self) -> Result<(), RequestError> {
        sync::refresh_sites().await
    }

    /// Takes a site along: pulls all of it and its documents, and keeps it up to date from now on. Marked even where
    /// the server cannot be reached just now; then the pull follows by itself.
    ///
    /// # Errors
    /// [`RequestError`] where the pull did not end well yet.
    pub async fn take_along(self, site: SiteId) -> Result<(), RequestError> {
        sync::take_along(site).await
    }

    /// What removing a site from this phone would take with it.
    ///
    /// # Errors
    /// [`DeviceError`] where the store cannot be read.
    pub async fn leaving(self, site: SiteId) -> Result<Leaving, DeviceError> {
        leaving::leaving(site).await
    }

    /// Stops keeping a site up to date and removes it from this phone, with what the person was `told` goes for good:
    /// entries that the server did not take, and drafts.
    ///
    /// # Errors
    /// [`DeviceError::Unsent`] where something has to be sent first, [`DeviceError::MoreThanTold`] where more would go.
    pub async fn leave_behind(self, site: SiteId, told: Leaving) -> Result<(), DeviceError> {
        leaving::leave_behind(site, told).await
    }

    /// The site, folded, as it stands on this phone at any moment. The same signal for the same site, valid as long
    /// as the page; `loaded` is false until the store has been read.
    pub fn site(self, site: SiteId) -> Signal<SiteView> {
        inner::site(site)
    }

    /// A pinned document by its digest: from this phone, else from the server. Its hash was checked.
    ///
    /// # Errors
    /// [`RequestError`] where it is not here and cannot be fetched.
    pub async fn document(self, digest: &str) -> Result<Document, RequestError> {
        sync::document(digest).await
    }

    /// Today at a site in this IANA time zone, such as `America/Chicago`; `None` where the browser does not know it.
    pub fn today_in(self, time_zone: &str) -> Option<Date> {
        clock::today_in(time_zone)
    }

    /// Now by this phone's wall clock, milliseconds since 1970: to say "5 minutes ago" beside the times above.
    pub fn now(self) -> i64 {
        clock::wall()
    }

    // Recording

    /// Saves an answer: when this returns `Ok` it is on the phone for good (its strict transaction has completed),
    /// the site's signal shows it, its draft is gone and sending has been asked for.
    ///
    /// What it replaces is read off the site as it stands on this phone, other tabs counted. A handle that the browser
    /// closed is opened again and the write tried once more, which [`SyncStatus::note`] says.
    ///
    /// # Errors
    /// [`AppendError`]; nothing was written then, and the draft stays as it was last kept.
    pub async fn append(self, answer: NewAnswer) -> Result<EntryId, AppendError> {
        recording::append(answer).await
    }

    /// Saves several answers in one transaction: all of them or none (a level point with its name, a row of slots).
    ///
    /// # Errors
    /// As [`Device::append`].
    pub async fn append_all(self, answers: Vec<NewAnswer>) -> Result<Vec<EntryId>, AppendError> {
        recording::append_all(answers).await
    }

    /// Strikes an entry: its question is open again, and it stays legible.
    ///
    /// # Errors
    /// [`AppendError::Nothing`] where it is not here or was struck; others as [`Device::append`].
    pub async fn strike(self, site: SiteId, entry: EntryId) -> Result<EntryId, AppendError> {
        recording::strike(site, entry).await
    }

    /// Takes back the last thing this person recorded about this site on this phone: a correction gives way to what
    /// stood before, a first answer is struck.
    ///
    /// # Errors
    /// [`AppendError::Nothing`] where the last thing no longer stands or was itself a strike.
    pub async fn undo_last(self, site: SiteId) -> Result<Undone, AppendError> {
        recording::undo_last(site).await
    }

    /// A new thing on a site, with an id of its own. It is on the site once its `present_question` is answered.
    pub fn new_subject(self, kind: SubjectKind) -> Subject {
        Subject::new(kind, SubjectId(clock::new_id()))
    }

    // Drafts: typed and not saved

    /// Keeps what is being typed and what is chosen beside it, so that a page that dies gives it back; an empty text
    /// removes it. Call on every input. Where it cannot be kept, [`SyncStatus::note`] says so.
    pub async fn keep_draft(
        self,
        site: SiteId,
        subject: Subject,
        question: &str,
        text: &str,
        how: Option<How>,
    ) {
        recording::keep_draft(site, subject, question, text, how).await;
    }

    /// The same for what somebody began who may have gone meanwhile: it stays theirs.
    pub async fn keep_draft_of(
        self,
        author: Option<PersonId>,
        site: SiteId,
        subject: Subject,
        question: &str,
        text: &str,
    ) {
        recording::keep_draft_of(author, site, subject, question, text).await;
    }

    /// What was typed and not saved for this question.
    pub async fn draft(self, site: SiteId, subject: Subject, question: &str) -> Option<Draft> {
        recording::draft(site, subject, question).await
    }

    /// Everything typed and not saved about a site.
    pub async fn drafts(self, site: SiteId) -> Vec<Draft> {
        recording::drafts(site).await
    }

    // Photos

    /// Says that the camera is about to open for this question: phones may unload the page under it. Await it before
    /// `input.click()`.
    pub async fn expect_photo(self, site: SiteId, subject: Subject, question: &str) {
        recording::expect_photo(site, subject, question).await;
    }

    /// Photos that were about to be taken when the page was last heard of: ask whether to take them again.
    pub async fn expected_photos(self, site: SiteId) -> Vec<ExpectedPhoto> {
        recording::expected_photos(site).await
    }

    /// The photo came, or nobody wants it any more. [`Device::append`] of a photo does this by itself.
    pub async fn forget_expected_photo(self, site: SiteId, subject: Subject, question: &str) {
        recording::forget_expected_photo(site, subject, question).await;
    }

    /// Keeps a picture (a `File` is a `Blob`): turned upright, at most 2048 pixels long, without its location, read
    /// back and compared. Put `photo` into the answer's value; the bytes follow the entry to the server by
    /// themselves.
    ///
    /// # Errors
    /// [`PhotoError`]; nothing was kept then.
    pub async fn keep_photo(self, picture: &Blob) -> Result<KeptPhoto, PhotoError> {
        photo::keep(picture).await
    }

    /// An address for `<img src>` of a photo: from this phone, else fetched from the server and checked.
    ///
    /// # Errors
    /// [`RequestError`] where it is not here and cannot be fetched.
    pub async fn photo_address(self, sha256: &str) -> Result<String, RequestError> {
        photo::address(sha256).await
    }

    /// How far the bytes of the photos on this phone have come, by hash.
    pub fn photos(self) -> Signal<BTreeMap<String, PhotoState>> {
        inner::get().photos.clone().into()
    }

    // Sync

    /// What is sent, what is not, and why.
    pub fn status(self) -> Signal<SyncStatus> {
        inner::get().status.clone().into()
    }

    /// Asks for a sync now. Returns at once; [`Device::status`] tells.
    pub fn sync_now(self) {
        sync::wake();
    }

    /// Clears [`SyncStatus::note`] and [`SyncStatus::wiped`] once the person has read them.
    pub fn note_read(self) {
        let mut told = None;
        inner::get().status.update(|status| {
            status.note = None;
            told = status.wiped.take();
        });
        if told.is_some() {
            opening::loss_read();
        }
    }

    /// Switches to the build that waits; the page loads again.
    pub fn use_new_build(self) {
        inner::announce("setdown-use-new-build");
    }

    /// Everything on this phone that whoever is signed in may see, and what of theirs is nowhere else, as one JSON file:
    /// entries with their exact bytes and standing, sites, documents, drafts, photos.
    ///
    /// # Errors
    /// [`DeviceError::Store`] where the store cannot be read.
    pub async fn export_everything(self) -> Result<Blob, DeviceError> {
        Ok(export::everything().await?.0)
    }

    /// Hands [`Device::export_everything`] to the browser as a download named after the day; says what stayed out of it.
    ///
    /// # Errors
    /// As [`Device::export_everything`].
    pub async fn download_everything(self) -> Result<(), DeviceError> {
        export::download().await
    }
}

//! What the device hands to screens: views, states and errors, all plain data.

use std::collections::BTreeMap;
use std::sync::Arc;

use jiff::civil::Date;
use serde::{Deserialize, Serialize};
use setdown_types::entry::{Intent, Method};
use setdown_types::ids::{EntryId, SiteId};
use setdown_types::ledger::Record;
use setdown_types::party::NotAllowed;
use setdown_types::site::Site;
use setdown_types::subject::Subject;
use setdown_types::value::{PhotoRef, Value};
use setdown_types::wire::{Document, SiteCard};
use thiserror::Error;

use super::Device;

/// How far the store has come since the page loaded.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Opening {
    /// Not there yet.
    Underway,
    /// Ready for use.
    Open(Device),
    /// This browser keeps nothing: say so, record nothing.
    Failed(DeviceError),
}

/// One site as its screens read it. Cloning is cheap.
#[derive(Debug, Clone)]
pub struct SiteView {
    /// Which site.
    pub id: SiteId,
    /// Whether its entries have been read from the store; until then everything below is empty.
    pub loaded: bool,
    /// Name and time zone; `None` while the phone has never seen a list with it.
    pub card: Option<SiteCard>,
    /// The folded site.
    pub site: Arc<Site>,
    /// Every entry on this phone, refused ones included, by id.
    pub records: Arc<BTreeMap<EntryId, Arc<Record>>>,
    /// Documents that the site's pins name and the phone has, by digest.
    pub documents: Arc<BTreeMap<String, Arc<Document>>>,
    /// Digests of pinned documents that the phone does not have yet.
    pub missing_documents: Vec<String>,
    /// Today at the site; `None` where its time zone is unknown to this browser and to this phone.
    pub today: Option<Date>,
    /// Entries that are only on this phone.
    pub unsent: usize,
    /// Entries that wait at the server for one they build on.
    pub held: usize,
    /// Entries of this phone that the server did not take: show them, marked, with their text to copy.
    pub refused: Vec<EntryId>,
    /// When it was last brought up to date, milliseconds since 1970 by this phone; `None`: never.
    pub last_pull: Option<i64>,
}

impl SiteView {
    /// The entry with this id.
    pub fn record(&self, id: EntryId) -> Option<&Record> {
        self.records.get(&id).map(Arc::as_ref)
    }
}

/// One site in the list of sites.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SiteOnPhone {
    /// Name, time zone, highest seq.
    pub card: SiteCard,
    /// Whether it was taken along: kept up to date and usable with no signal.
    pub taken: bool,
    /// When it was last brought up to date, milliseconds since 1970 by this phone; `None`: never.
    pub last_pull: Option<i64>,
    /// Entries that are only on this phone.
    pub unsent: usize,
    /// The server says that it is not this person's to see any more. What is here stays legible; it is not brought up to
    /// date until somebody else signs in or the server lists it again.
    pub no_longer_yours: bool,
}

/// What the sync client is doing, or why it is not.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum SyncState {
    /// Nothing to do.
    Idle,
    /// A request is under way.
    Syncing,
    /// The server did not answer in time. Everything keeps working; it is tried again.
    Offline,
    /// Nobody is signed in, or the sign-in has run out. Nothing was dropped.
    SignInNeeded,
    /// The server speaks a newer protocol: ask for the update; nothing was dropped.
    UpdateNeeded,
    /// The server answered with an error, or this phone met one; the text says what to do next.
    Error(String),
}

/// What the status line shows.
#[derive(Debug, Clone, PartialEq)]
pub struct SyncStatus {
    /// What the sync client is doing.
    pub state: SyncState,
    /// Entries that are only on this phone.
    pub unsent: usize,
    /// Minutes since the oldest of them was written, by this phone's clock.
    pub oldest_unsent_minutes: Option<u64>,
    /// Entries that wait at the server for one they build on.
    pub held: usize,
    /// Entries that the server did not take.
    pub refused: usize,
    /// Unsent entries that somebody else wrote on this phone: they go when that person signs in.
    pub of_others: usize,
    /// Photos whose bytes the server has not verified yet.
    pub photos_unsent: usize,
    /// Last time a pull ended well, milliseconds since 1970 by this phone.
    pub last_pull: Option<i64>,
    /// Last time a push ended well, milliseconds since 1970 by this phone.
    pub last_push: Option<i64>,
    /// Whether the browser promised to keep the store; `None`: not asked yet.
    pub persisted: Option<bool>,
    /// Room in the store, where the browser says.
    pub storage: Option<StorageEstimate>,
    /// A newer build is on the phone and waits for consent: see [`Device::use_new_build`].
    pub update_waiting: bool,
    /// The store was emptied by the browser since the last visit: how many entries and photos were only on this phone
    /// then (not sent, or not taken by the server), and are gone. What had been sent comes back by itself. See [`Device::note_read`].
    pub wiped: Option<usize>,
    /// A passing remark for the person, such as "the store was closed by the browser and opened again".
    pub note: Option<String>,
}

/// Room in the browser's store, in bytes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StorageEstimate {
    /// Used by this app.
    pub usage: f64,
    /// What the browser may grant.
    pub quota: f64,
}

/// What an undo did.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Undone {
    /// The entry that was taken back; it stays legible.
    pub entry: EntryId,
    /// What it was about.
    pub subject: Subject,
    /// Which question it had answered.
    pub question: String,
    /// The value that stands again; `None`: the question is open.
    pub restored: Option<Value>,
    /// Why it had been written.
    pub intent: Intent,
}

/// A value typed but not saved.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Draft {
    /// What it is about.
    pub subject: Subject,
    /// Which question.
    pub question: String,
    /// The text as typed.
    pub text: String,
    /// What was chosen beside it; `None` where nothing was.
    pub how: Option<How>,
    /// When it was typed, milliseconds since 1970 by this phone.
    pub wall: i64,
}

/// What was chosen beside a typed value: it changes what the value means.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, Deserialize)]
pub struct How {
    /// How it was got.
    pub method: Method,
    /// A spread chosen instead of the method's usual one, base units.
    pub spread: Option<i64>,
    /// Why it is written, where something stands already.
    pub intent: Option<Intent>,
}

/// A photo that was about to be taken when the page was last heard of.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ExpectedPhoto {
    /// What it is about.
    pub subject: Subject,
    /// Which question.
    pub question: String,
    /// When the camera was opened, milliseconds since 1970 by this phone.
    pub wall: i64,
}

/// A photo that is safely in the store.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct KeptPhoto {
    /// What goes into the entry (`Value::Photo`).
    pub photo: PhotoRef,
    /// An address for `<img src>`, valid until the page closes.
    pub address: String,
}

/// How far a photo's bytes have come.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum PhotoState {
    /// The bytes are not on this phone (perhaps on another, or at the server).
    Elsewhere,
    /// Only on this phone.
    Kept,
    /// The server has them, and has not checked them yet.
    Sent,
    /// The server has checked them.
    Verified,
}

/// Why the store cannot be used. The texts are for people.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum DeviceError {
    /// The browser has no IndexedDB, or does not open it (private window, blocked, full).
    #[error(
        "This browser does not keep data for Setdown ({0}). Nothing can be recorded here: open it outside a private window, or free some storage, and load the page again."
    )]
    NoStore(String),
    /// Another tab holds an older build's store open.
    #[error(
        "Setdown is open in another tab with an older version. Close the other tab and load this page again. Nothing was lost."
    )]
    Blocked,
    /// A newer version of the app has taken over while this page was open.
    #[error(
        "A newer version of this app is in use on this phone. Load this page again to go on. Nothing was lost."
    )]
    Newer,
    /// The storage is full.
    #[error(
        "The phone's storage is full. Nothing that was saved is lost: free some storage, then try again."
    )]
    Full,
    /// Reading or writing failed.
    #[error(
        "The store on this phone did not answer ({0}). Load the page again; what was marked as saved is kept."
    )]
    Store(String),
    /// The site is not on this phone.
    #[error(
        "This site is not on this phone. Take it along from the list of sites while there is signal."
    )]
    UnknownSite,
    /// There is something unsent that would be lost.
    #[error(
        "{0} answers or photos of this site are only on this phone. Send them first; nothing was removed."
    )]
    Unsent(usize),
    /// More would be gone for good than the person was told.
    #[error(
        "Something was typed or turned down just now that would go as well. Read once more what would go; nothing was removed."
    )]
    MoreThanTold,
}

/// Why an answer was not saved. Whatever was typed is kept as a draft.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum AppendError {
    /// Nobody has ever signed in on this phone.
    #[error("Nobody is signed in on this phone. Sign in once with signal; what you typed is kept.")]
    NoSession,
    /// Whoever typed it is not signed in any more: another tab has changed that.
    #[error(
        "Somebody else has signed in on this phone meanwhile, or signed out, so this was not saved. What was typed is kept for whoever typed it: sign in again to go on."
    )]
    OtherPerson,
    /// The storage is full.
    #[error(
        "The phone's storage is full, so this was not saved. Nothing that was saved is lost, and what you typed stays on this screen: free some storage, then keep it again."
    )]
    Full,
    /// The rights table says no.
    #[error("This is not yours to record ({0:?}): ask the office. What you typed is kept.")]
    NotAllowed(NotAllowed),
    /// The answer is too long or does not fit its intent.
    #[error("This cannot be saved: {0} What you typed is kept.")]
    Invalid(String),
    /// There is nothing to strike or undo.
    #[error("There is nothing to take back here.")]
    Nothing,
    /// Reading or writing failed twice.
    #[error(
        "The store on this phone did not answer ({0}), so this was not saved. What you typed is kept on the screen: save again, or load the page again."
    )]
    Store(String),
}

/// Why a photo was not kept.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum PhotoError {
    /// The file is no picture this browser can read.
    #[error(
        "This file could not be read as a picture ({0}). Take it again, or choose a JPEG, PNG or WebP file."
    )]
    Unreadable(String),
    /// The storage is full.
    #[error(
        "The phone's storage is full, so the photo was not kept. Nothing that was saved is lost: free some storage, then take it again."
    )]
    Full,
    /// What was read back differs from what was written, or nothing was.
    #[error("The photo could not be kept ({0}). Take it again.")]
    Store(String),
}

/// Why the server did not do what was asked. Nothing on the phone is changed by any of these.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum RequestError {
    /// No answer in time.
    #[error(
        "The server cannot be reached. Everything saved stays on this phone; try again with signal."
    )]
    Offline,
    /// Not signed in, or name and password do not fit.
    #[error("{0}")]
    NotSignedIn(String),
    /// The server speaks a newer protocol.
    #[error(
        "The server needs a newer version of this app. Nothing was lost: load the update, then go on."
    )]
    UpdateNeeded,
    /// The server answered with an error; the text is its own and says what to do next.
    #[error("{text}")]
    Server {
        /// HTTP status.
        status: u16,
        /// What the server said.
        text: String,
    },
    /// The answer is not what was asked for.
    #[error("The server's answer could not be read ({0}). Nothing was changed; try again later.")]
    Answer(String),
    /// The phone's own store failed.
    #[error("{0}")]
    Device(DeviceError),
}

/// Why signing out was held back.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum SignOutError {
    /// Entries or photos are only on this phone. They are kept either way: ask, then sign out with `anyway`.
    #[error(
        "{0} entries and {1} photos are only on this phone. They stay here and are sent when the same person signs in again."
    )]
    Unsent(usize, usize),
    /// The phone's own store failed.
    #[error("{0}")]
    Device(DeviceError),
}

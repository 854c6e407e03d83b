//! The rescue of a phone: what its own export file holds and the server does not have yet.
//!
//! Entries go through the same admission as a push, in their author's name and with the rights that the author has
//! today; photos follow the entries that show them. Doing it twice is harmless.

use std::collections::BTreeMap;
use std::fs::File;
use std::io::BufReader;
use std::path::Path;

use base64::Engine;
use base64::engine::general_purpose::STANDARD;
use serde::Deserialize;
use setdown_types::admission::{Arrival, Writer};
use setdown_types::entry::Entry;
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId};
use setdown_types::ledger::{Refusal, Standing};
use setdown_types::party::Role;
use setdown_types::value::Value;
use setdown_types::wire::{MAX_PUSH, Verdict};

use super::ArchiveError;
use crate::clock;
use crate::error::ServerError;
use crate::state::AppState;

/// The version of the phone's file that is read.
const VERSION: u32 = 1;

/// As much of a phone's file as a rescue needs.
#[derive(Debug, Deserialize)]
struct PhoneFile {
    device: DeviceId,
    entries: Vec<PhoneEntry>,
    photos: Vec<PhonePhoto>,
}

#[derive(Debug, Deserialize)]
struct PhoneEntry {
    raw: Option<String>,
    standing: Option<Standing>,
}

#[derive(Debug, Deserialize)]
struct PhonePhoto {
    photo: PhotoName,
    base64: Option<String>,
}

#[derive(Debug, Deserialize)]
struct PhotoName {
    sha256: String,
}

/// Only the version, readable in every version.
#[derive(Debug, Deserialize)]
struct AnyPhoneFile {
    version: u32,
}

/// What came of a rescue.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Rescued {
    /// Entries that the server took now.
    pub accepted: u64,
    /// Entries that it had already.
    pub known: u64,
    /// Entries that wait for others.
    pub held: u64,
    /// Entries that were not taken, and why.
    pub refused: Vec<(EntryId, String)>,
    /// Entries that the phone itself had as sent or refused: left alone.
    pub left_alone: u64,
    /// Entries of the file whose bytes were lost on the phone.
    pub unreadable: u64,
    /// Photos that the server took now.
    pub photos: u64,
    /// Photos that were not taken, and why.
    pub photos_refused: Vec<(String, String)>,
}

/// An unsent entry of the file.
struct Unsent {
    entry: Entry,
    raw: String,
}

/// Takes what is unsent in the phone's file at `path`. The file is read whole before anything is written.
///
/// # Errors
/// [`ArchiveError`] for a file that is none of a phone.
pub async fn rescue(state: &AppState, path: &Path) -> Result<Rescued, ArchiveError> {
    let file = read(path)?;
    let mut rescued = Rescued::default();
    let shown = photos_of(&file);
    let by_author = unsent(&file, &mut rescued);
    let arrival = Arrival {
        device: file.device,
        // No page load of the phone is known to the server: times are not bridged.
        boot: BootId::NIL,
        monotonic: 0,
        received_at: clock::now(),
    };
    for ((organisation, author), entries) in by_author {
        match writer(state, organisation, author, arrival.received_at).await? {
            Some(writer) => push(state, &writer, &arrival, &entries, &mut rescued).await?,
            None => turn_away(&entries, &mut rescued),
        }
    }
    for photo in file.photos {
        keep_photo(state, &shown, photo, &mut rescued).await?;
    }
    Ok(rescued)
}

fn read(path: &Path) -> Result<PhoneFile, ArchiveError> {
    let open = || {
        File::open(path)
            .map(BufReader::new)
            .map_err(ArchiveError::file(path))
    };
    let cut = |error: serde_json::Error| {
        if error.is_eof() {
            ArchiveError::Truncated(u64::try_from(error.line()).unwrap_or(0))
        } else {
            ArchiveError::Foreign(error.to_string())
        }
    };
    let any: AnyPhoneFile = serde_json::from_reader(open()?).map_err(cut)?;
    if any.version != VERSION {
        return Err(ArchiveError::Version(any.version));
    }
    serde_json::from_reader(open()?).map_err(cut)
}

/// The unsent entries by author, in the order in which each was written.
fn unsent(
    file: &PhoneFile,
    rescued: &mut Rescued,
) -> BTreeMap<(OrganisationId, PersonId), Vec<Unsent>> {
    let mut by_author: BTreeMap<_, Vec<Unsent>> = BTreeMap::new();
    for item in &file.entries {
        if matches!(
            item.standing,
            Some(Standing::Accepted(_) | Standing::Refused(_))
        ) {
            rescued.left_alone += 1;
            continue;
        }
        let Some(raw) = &item.raw else {
            rescued.unreadable += 1;
            continue;
        };
        match Entry::from_json(raw) {
            Ok(entry) => by_author
                .entry((entry.organisation, entry.author))
                .or_default()
                .push(Unsent {
                    entry,
                    raw: raw.clone(),
                }),
            Err(error) => rescued.refused.push((EntryId::NIL, error.to_string())),
        }
    }
    for entries in by_author.values_mut() {
        entries.sort_by_key(|unsent| (unsent.entry.stamp.counter, unsent.entry.id));
    }
    by_author
}

/// The photos that entries of the file show, and the dealer whose they are.
fn photos_of(file: &PhoneFile) -> BTreeMap<String, OrganisationId> {
    let raws = file.entries.iter().filter_map(|item| item.raw.as_deref());
    raws.filter_map(|raw| Entry::from_json(raw).ok())
        .filter_map(|entry| match entry.value() {
            Some(Value::Photo(photo)) => Some((photo.sha256.clone(), entry.organisation)),
            _ => None,
        })
        .collect()
}

/// The author as who they are today: a person with an account, or the holder of an open invitation.
async fn writer(
    state: &AppState,
    organisation: OrganisationId,
    author: PersonId,
    now: i64,
) -> Result<Option<Writer>, ServerError> {
    let store = &state.store;
    if let Some((role, _)) = store.person(organisation, author).await? {
        return Ok(Some(Writer {
            person: author,
            role,
            organisation,
            site: None,
        }));
    }
    let site = store.invited_site(organisation, author, now).await?;
    Ok(site.map(|site| Writer {
        person: author,
        role: Role::Homeowner,
        organisation,
        site: Some(site),
    }))
}

async fn push(
    state: &AppState,
    writer: &Writer,
    arrival: &Arrival,
    entries: &[Unsent],
    rescued: &mut Rescued,
) -> Result<(), ServerError> {
    for piece in entries.chunks(MAX_PUSH) {
        let raws: Vec<&str> = piece.iter().map(|unsent| unsent.raw.as_str()).collect();
        for verdict in state.push(writer, arrival, &raws).await? {
            match verdict.verdict {
                Verdict::Accepted(_) => rescued.accepted += 1,
                Verdict::Duplicate(_) => rescued.known += 1,
                Verdict::Held => rescued.held += 1,
                Verdict::Refused(refusal) => {
                    rescued.refused.push((verdict.id, why(&refusal).to_owned()));
                }
            }
        }
    }
    Ok(())
}

fn turn_away(entries: &[Unsent], rescued: &mut Rescued) {
    for unsent in entries {
        let reason = "its author has no account or open invitation here: give them one, then import the file again";
        rescued.refused.push((unsent.entry.id, reason.to_owned()));
    }
}

const fn why(refusal: &Refusal) -> &'static str {
    match refusal {
        Refusal::OtherBytes => "the server has another entry under the same id",
        Refusal::NotAllowed => "its author may not write such an entry",
        Refusal::NotYours => "it was written under a role that its author no longer has",
        Refusal::OtherSite => "its site is not in this database: import the site first",
        Refusal::Malformed(_) => "its bytes cannot be read as an entry",
        Refusal::OtherStream => "it replaces an entry of another question or thing",
        Refusal::NoSuchSheet => {
            "the sheet that it pins is not in this database: import the dealer first"
        }
        Refusal::OtherFindings => "it signs other findings than it carries",
        Refusal::TooManyWaiting => {
            "too many entries of its author wait for others: import the file again when those have come"
        }
        Refusal::Other => "the server does not say why",
    }
}

async fn keep_photo(
    state: &AppState,
    shown: &BTreeMap<String, OrganisationId>,
    photo: PhonePhoto,
    rescued: &mut Rescued,
) -> Result<(), ServerError> {
    let sha256 = photo.photo.sha256;
    let mut refuse = |reason: String| rescued.photos_refused.push((sha256.clone(), reason));
    let Some(bytes) = photo.base64 else {
        refuse("its bytes were not on the phone any more".into());
        return Ok(());
    };
    let Ok(bytes) = STANDARD.decode(bytes) else {
        refuse("its bytes are damaged in the file".into());
        return Ok(());
    };
    let Some(organisation) = shown.get(&sha256) else {
        refuse("no entry of the file shows it".into());
        return Ok(());
    };
    match state.keep_photo(*organisation, &sha256, bytes.into()).await {
        Ok(true) => rescued.photos += 1,
        Ok(false) => {}
        Err(
            error @ (ServerError::BadInput(_) | ServerError::Gone(_) | ServerError::NotFound(_)),
        ) => refuse(error.to_string()),
        Err(error) => return Err(error),
    }
    Ok(())
}

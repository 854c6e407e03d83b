//! How an answer becomes an entry: its intent, and which entries it replaces.

use setdown_types::entry::{
    Entry, EntryError, EntryKind, Intent, MAX_ENTRY_BYTES, Method, Payload, SCHEMA, Stamp,
};
use setdown_types::ids::{DeviceId, EntryId, OrganisationId, PersonId, SiteId};
use setdown_types::ledger::Record;
use setdown_types::party::{self, NotAllowed, Role};
use setdown_types::site::{Site, Stream, StreamState};
use setdown_types::subject::Subject;
use setdown_types::value::Value;
use setdown_types::wire::Session;
use thiserror::Error;

/// One answer as a screen hands it over.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct NewAnswer {
    /// The site.
    pub site: SiteId,
    /// What was asked about.
    pub subject: Subject,
    /// The question's key.
    pub question: String,
    /// What is answered.
    pub value: Value,
    /// Half-width in the value's base units that holds the truth 19 times in 20; `None`: by method.
    pub spread: Option<i64>,
    /// How it was got.
    pub method: Method,
    /// Why it is written; `None` derives it: the first answer, the settling of a conflict (where the role may
    /// settle), else a correction.
    pub intent: Option<Intent>,
    /// The one entry that is corrected, where several stand side by side; `None`: all of them.
    pub correcting: Option<EntryId>,
}

impl NewAnswer {
    /// An answer with no stated spread and a derived intent.
    pub fn new(
        site: SiteId,
        subject: Subject,
        question: &str,
        value: Value,
        method: Method,
    ) -> Self {
        Self {
            site,
            subject,
            question: question.to_owned(),
            value,
            spread: None,
            method,
            intent: None,
            correcting: None,
        }
    }

    /// With this stated spread, base units of the value.
    pub fn spread(mut self, spread: Option<i64>) -> Self {
        self.spread = spread;
        self
    }

    /// Written for this reason.
    pub fn intent(mut self, intent: Intent) -> Self {
        self.intent = Some(intent);
        self
    }

    /// Corrects this one of several that stand side by side.
    pub fn correcting(mut self, entry: EntryId) -> Self {
        self.correcting = Some(entry);
        self
    }
}

/// Notes and photos of the site as a whole: each further one stands beside the others, and replaces none.
pub fn gathers(question: &str) -> bool {
    matches!(
        question,
        "site.note" | "site.photo" | "site.staff_note" | "site.staff_photo"
    )
}

/// Why an answer is written where its screen chose nothing; `None` derives it.
pub fn usual_intent(question: &str, in_conflict: bool) -> Option<Intent> {
    (gathers(question) && !in_conflict).then_some(Intent::Repeat)
}

/// Who writes, for whom, on what.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Author {
    /// The person.
    pub person: PersonId,
    /// As what.
    pub role: Role,
    /// For which dealer.
    pub organisation: OrganisationId,
    /// On which device.
    pub device: DeviceId,
}

impl Author {
    /// The person of a session on `device`.
    pub const fn of(session: &Session, device: DeviceId) -> Self {
        Self {
            person: session.person,
            role: session.role,
            organisation: session.organisation,
            device,
        }
    }
}

/// Why no entry came of it. Nothing was written.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum ComposeError {
    /// The rights table says no.
    #[error("this role may not write it ({0:?})")]
    NotAllowed(NotAllowed),
    /// Too long, or the intent does not fit.
    #[error("{0}")]
    Entry(#[from] EntryError),
    /// The named entry is not in this stream, or nothing stands that could be taken back.
    #[error("there is nothing to take back")]
    NothingThere,
}

/// An entry with the bytes that are its identity.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Composed {
    /// The entry.
    pub entry: Entry,
    /// Its exact bytes.
    pub raw: String,
}

impl Composed {
    /// The entry as a record that is only on this device.
    pub fn unsent(self) -> Record {
        Record {
            entry: self.entry,
            raw: self.raw,
            standing: setdown_types::ledger::Standing::Unsent,
        }
    }
}

/// Makes the entry of an answer, given the site as its author sees it.
///
/// # Errors
/// [`ComposeError`] where the role may not write it or it is no valid entry.
pub fn compose(
    answer: &NewAnswer,
    seen: &Site,
    author: Author,
    id: EntryId,
    stamp: Stamp,
) -> Result<Composed, ComposeError> {
    let stream = seen.stream(answer.subject, &answer.question);
    let (intent, replaces) = aim(answer, stream, author);
    finish(Entry {
        id,
        organisation: author.organisation,
        site: answer.site,
        subject: answer.subject,
        question: answer.question.clone(),
        payload: Payload::Known(answer.value.clone()),
        spread: answer.spread,
        method: answer.method,
        intent,
        replaces,
        author: author.person,
        role: author.role,
        device: author.device,
        stamp,
        schema: SCHEMA,
    })
}

/// Makes the entry that strikes `target`.
///
/// # Errors
/// [`ComposeError::NothingThere`] where it was struck already, [`ComposeError::NotAllowed`] by the rights table.
pub fn compose_strike(
    target: &Entry,
    seen: &Site,
    author: Author,
    id: EntryId,
    stamp: Stamp,
) -> Result<Composed, ComposeError> {
    let stream = seen.stream(target.subject, &target.question);
    let struck = stream.is_none_or(|stream| stream.struck.contains(&target.id));
    if struck || matches!(target.intent, Intent::Strike | Intent::Redact) {
        return Err(ComposeError::NothingThere);
    }
    finish(Entry {
        id,
        organisation: author.organisation,
        site: target.site,
        subject: target.subject,
        question: target.question.clone(),
        payload: Payload::Nothing,
        spread: None,
        method: target.method,
        intent: Intent::Strike,
        replaces: vec![target.id],
        author: author.person,
        role: author.role,
        device: author.device,
        stamp,
        schema: SCHEMA,
    })
}

/// The intent of an answer and the heads it replaces, from what its author sees of the stream.
fn aim(answer: &NewAnswer, stream: Option<&Stream>, author: Author) -> (Intent, Vec<EntryId>) {
    let Some(stream) = stream else {
        return (first_or(answer.intent), Vec::new());
    };
    if stream.standing().is_empty() {
        // A struck question is open again: what is replaced is the strike.
        let mut strikes = stream.heads.clone();
        if !party::may_write(author.role, EntryKind::Settlement) {
            strikes.truncate(1);
        }
        return (first_or(answer.intent), strikes);
    }
    if stream.standing().len() > 1 && !party::may_write(author.role, EntryKind::Settlement) {
        return beside_others(answer, stream, author);
    }
    let conflict = matches!(stream.state, StreamState::Conflict { .. });
    let may_settle = party::may_write(author.role, EntryKind::Settlement);
    let intent =
        answer
            .intent
            .unwrap_or(if conflict && may_settle && answer.correcting.is_none() {
                Intent::Settle
            } else {
                Intent::Correct
            });
    let replaces = match (intent, answer.correcting) {
        (Intent::Repeat, _) => Vec::new(),
        (Intent::Settle, _) | (_, None) => stream.heads.clone(),
        (_, Some(one)) => stream
            .heads
            .iter()
            .copied()
            .filter(|head| *head == one)
            .collect(),
    };
    (intent, replaces)
}

/// Several answers stand, and the author may not settle: they take back their own, else theirs stands beside.
fn beside_others(answer: &NewAnswer, stream: &Stream, author: Author) -> (Intent, Vec<EntryId>) {
    let own = stream.standing().iter().find(|head| {
        head.author == author.person && answer.correcting.is_none_or(|one| one == head.entry)
    });
    match (answer.intent, own) {
        (Some(Intent::Repeat), _) | (_, None) => (Intent::Repeat, Vec::new()),
        (intent, Some(head)) => (intent.unwrap_or(Intent::Correct), vec![head.entry]),
    }
}

/// Where nothing stands, an answer is the first one whatever the screen thought it repeats or corrects; that the site
/// changed is worth keeping.
const fn first_or(intent: Option<Intent>) -> Intent {
    match intent {
        Some(Intent::Changed) => Intent::Changed,
        _ => Intent::First,
    }
}

fn finish(entry: Entry) -> Result<Composed, ComposeError> {
    party::judge(entry.role, &entry).map_err(ComposeError::NotAllowed)?;
    let raw = entry.to_json().ok_or_else(|| {
        EntryError::Malformed("it holds a value that cannot be written".to_owned())
    })?;
    if raw.len() > MAX_ENTRY_BYTES {
        return Err(EntryError::TooLong(raw.len()).into());
    }
    // Read back: what is kept is what every other replica will read.
    let entry = Entry::from_json(&raw)?;
    Ok(Composed { entry, raw })
}

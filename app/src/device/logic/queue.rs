//! The queue of what is only on this device: what goes into the next push, and what its verdicts change.

use serde_json::value::RawValue;
use setdown_types::ids::{BootId, DeviceId, EntryId, OrganisationId, PersonId};
use setdown_types::ledger::{Refusal, Standing};
use setdown_types::order;
use setdown_types::wire::{MAX_PUSH, PROTOCOL, Push, Pushed, Session, Verdict};
use thiserror::Error;

/// The most bytes of entries that one push carries: a phone at the edge of its signal gets small pieces through.
pub const MAX_PUSH_BYTES: usize = 1024 * 1024;

/// One unsent entry.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Queued {
    /// Its id.
    pub id: EntryId,
    /// The device's own count: entries leave in this order.
    pub counter: u64,
    /// Who wrote it: nobody else sends it.
    pub author: PersonId,
    /// For which dealer.
    pub organisation: OrganisationId,
    /// Its exact bytes.
    pub raw: String,
}

impl Queued {
    /// Whether the signed-in person may send it.
    pub fn belongs_to(&self, session: &Session) -> bool {
        self.author == session.person && self.organisation == session.organisation
    }
}

/// How much one push carries: less after a push that did not get through, more again after one that did. A signal so
/// weak that a large piece never arrives in time still gets the queue out, entry by entry.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Piece(usize);

impl Default for Piece {
    fn default() -> Self {
        Self(MAX_PUSH)
    }
}

impl Piece {
    /// The most entries of the next push; at least 1.
    pub const fn entries(self) -> usize {
        self.0
    }

    /// After a push that did not get through: half as much; `None` where it cannot be less.
    pub fn smaller(self) -> Option<Self> {
        (self.0 > 1).then_some(Self(self.0 / 2))
    }

    /// After a push that got through: twice as much.
    pub fn larger(self) -> Self {
        Self((self.0 * 2).min(MAX_PUSH))
    }
}

/// The entries of the next push: those of the signed-in person, in the order in which they were written, at most
/// `piece` of them and about [`MAX_PUSH_BYTES`] (one entry always fits).
pub fn next_push<'a>(queue: &'a [Queued], session: &Session, piece: Piece) -> Vec<&'a Queued> {
    let mut mine: Vec<&Queued> = queue
        .iter()
        .filter(|queued| queued.belongs_to(session))
        .collect();
    order::sort_by_key(&mut mine, |queued| (queued.counter, queued.id));
    let mut bytes = 0;
    let fit = mine
        .iter()
        .take(piece.entries())
        .take_while(|queued| {
            let first = bytes == 0;
            bytes += queued.raw.len();
            first || bytes <= MAX_PUSH_BYTES
        })
        .count();
    mine.truncate(fit);
    mine
}

/// The message of a push. Entries whose bytes are no JSON cannot be sent; their ids come second, to be marked refused.
pub fn message(
    device: DeviceId,
    boot: BootId,
    monotonic: i64,
    entries: &[&Queued],
) -> (Push, Vec<EntryId>) {
    let mut unreadable = Vec::new();
    let raws = entries
        .iter()
        .filter_map(|queued| match RawValue::from_string(queued.raw.clone()) {
            Ok(raw) => Some(raw),
            Err(_) => {
                unreadable.push(queued.id);
                None
            }
        })
        .collect();
    let push = Push {
        protocol: PROTOCOL,
        device,
        boot,
        monotonic,
        entries: raws,
    };
    (push, unreadable)
}

/// Why an answer to a push is not to be used. Every entry stays unsent.
#[derive(Debug, Clone, PartialEq, Eq, Error)]
pub enum VerdictError {
    /// Not one verdict per entry.
    #[error("{sent} entries were sent and {answered} answered")]
    Count {
        /// Entries sent.
        sent: usize,
        /// Verdicts given.
        answered: usize,
    },
    /// A verdict names another entry than the one in its place.
    #[error("the answer speaks of another entry than {0}")]
    OtherEntry(EntryId),
}

/// The new standing of each sent entry by the answer to its push.
///
/// # Errors
/// [`VerdictError`] where the answer does not fit what was sent; then nothing changes and the push is repeated,
/// which is harmless.
pub fn standings(
    sent: &[EntryId],
    answer: &Pushed,
) -> Result<Vec<(EntryId, Standing)>, VerdictError> {
    if sent.len() != answer.verdicts.len() {
        return Err(VerdictError::Count {
            sent: sent.len(),
            answered: answer.verdicts.len(),
        });
    }
    sent.iter()
        .zip(&answer.verdicts)
        .map(|(id, given)| {
            if given.id != *id && given.id != EntryId::NIL {
                return Err(VerdictError::OtherEntry(*id));
            }
            Ok((*id, standing(&given.verdict)))
        })
        .collect()
}

/// Whether the server took the sender for somebody else than the author: somebody signed in elsewhere in the meantime.
/// That is no fault of the entry, so such a verdict is not final until the session has been asked for again.
pub const fn is_not_yours(standing: &Standing) -> bool {
    matches!(standing, Standing::Refused(Refusal::NotYours))
}

fn standing(verdict: &Verdict) -> Standing {
    match verdict {
        Verdict::Accepted(acceptance) | Verdict::Duplicate(acceptance) => {
            Standing::Accepted(*acceptance)
        }
        Verdict::Held => Standing::Held,
        // The server has no room to let it wait there: it is nowhere but here, and is sent again with the next round.
        Verdict::Refused(Refusal::TooManyWaiting) => Standing::Unsent,
        Verdict::Refused(refusal) => Standing::Refused(refusal.clone()),
    }
}

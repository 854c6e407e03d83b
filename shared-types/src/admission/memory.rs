//! One site's entries in memory: takes pushes, releases what was held, gives pages of a pull.
//!
//! The simulator keeps whole sites in it. The server loads into it what one push can touch, lets
//! it decide, and writes back what changed.

use crate::order;
use std::collections::{BTreeMap, BTreeSet};

use super::{
    Address, Arrival, Decision, Kept, MAX_WAITING, Surroundings, Writer, accepted, judge_alone,
    judge_parents, judge_pin, raw_digest, stub,
};
use crate::entry::{Entry, Intent};
use crate::ids::{EntryId, OrganisationId, SiteId};
use crate::ledger::{Record, Refusal, Standing, fold, ledger_digest};
use crate::site::{Site, StreamKey};
use crate::wire::{EntryVerdict, MAX_PAGE_BYTES, Verdict};

/// Entries of one site and the count of those accepted.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct MemorySite {
    organisation: OrganisationId,
    site: SiteId,
    last_seq: u64,
    kept: BTreeMap<EntryId, Kept>,
}

/// What a push came to.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Outcome {
    /// One verdict per pushed entry, in their order.
    pub verdicts: Vec<EntryVerdict>,
    /// Ids of all entries that are new or changed: what has to be written down.
    pub changed: BTreeSet<EntryId>,
    /// Entries accepted now, held ones that were released among them, in order of seq.
    pub accepted: Vec<EntryId>,
    /// Entries whose content was taken out now.
    pub redacted: Vec<EntryId>,
}

/// One page of a pull.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Page {
    /// Accepted entries by rising seq.
    pub entries: Vec<Record>,
    /// Stubs of refused entries that these build on, so that every replica can look through them.
    pub refused: Vec<Record>,
    /// The highest seq of the site.
    pub last_seq: u64,
    /// Whether more follow.
    pub more: bool,
    /// [`ledger_digest`] of the whole site; only on the last page.
    pub digest: Option<String>,
}

impl MemorySite {
    /// A site without entries.
    pub const fn new(organisation: OrganisationId, site: SiteId) -> Self {
        Self {
            organisation,
            site,
            last_seq: 0,
            kept: BTreeMap::new(),
        }
    }

    /// A site from what is kept of it, all of it or as much as the next pushes can touch: the
    /// pushed ids, what is held for them step by step, and what either builds on.
    pub fn from_kept(
        organisation: OrganisationId,
        site: SiteId,
        last_seq: u64,
        kept: impl IntoIterator<Item = Kept>,
    ) -> Self {
        Self {
            organisation,
            site,
            last_seq,
            kept: kept.into_iter().map(|kept| (kept.id, kept)).collect(),
        }
    }

    /// The highest seq given out.
    pub const fn last_seq(&self) -> u64 {
        self.last_seq
    }

    /// What is kept under `id`.
    pub fn find(&self, id: EntryId) -> Option<&Kept> {
        self.kept.get(&id)
    }

    /// Everything kept, by id.
    pub fn kept(&self) -> impl Iterator<Item = &Kept> {
        self.kept.values()
    }

    /// Takes a push: every entry gets its verdict, and held entries whose parents have arrived
    /// are released behind them.
    pub fn push(&mut self, writer: &Writer, arrival: &Arrival, raws: &[&str]) -> Outcome {
        self.push_among(&mut Surroundings::default(), writer, arrival, raws)
    }

    /// The same with what is known beyond the entries of the site; what waits is counted up.
    pub fn push_among(
        &mut self,
        surroundings: &mut Surroundings,
        writer: &Writer,
        arrival: &Arrival,
        raws: &[&str],
    ) -> Outcome {
        let mut outcome = Outcome::default();
        for raw in raws {
            let verdict = self.take(surroundings, writer, arrival, raw, &mut outcome);
            outcome.verdicts.push(verdict);
        }
        outcome
    }

    fn take(
        &mut self,
        surroundings: &mut Surroundings,
        writer: &Writer,
        arrival: &Arrival,
        raw: &str,
        outcome: &mut Outcome,
    ) -> EntryVerdict {
        let entry = match Entry::from_json(raw) {
            Ok(entry) => entry,
            Err(error) => {
                return self.take_unreadable(writer, arrival, raw, error.to_string(), outcome);
            }
        };
        let id = entry.id;
        let digest = raw_digest(raw);
        let verdict = |verdict| EntryVerdict { id, verdict };
        let here = entry.organisation == self.organisation && entry.site == self.site;
        if let (true, Some(kept)) = (here, self.kept.get(&id)) {
            return verdict(kept.again(&digest));
        }
        let mut kept = keep(&entry, raw, digest, arrival);
        let decision = judge_alone(writer, self.site, &entry)
            .and_then(|()| judge_pin(surroundings, &entry))
            .map_or_else(|decision| decision, |()| self.decide(&kept));
        let decision = match decision {
            Decision::Hold if surroundings.waiting >= MAX_WAITING => {
                Decision::TurnAway(Refusal::TooManyWaiting)
            }
            decision => decision,
        };
        if let Decision::TurnAway(refusal) = decision {
            return verdict(Verdict::Refused(refusal));
        }
        surroundings.waiting += usize::from(decision == Decision::Hold);
        self.settle(&mut kept, decision, outcome);
        let standing = kept.standing.clone();
        self.kept.insert(id, kept);
        self.after(id, outcome);
        verdict(match standing {
            Standing::Accepted(acceptance) => Verdict::Accepted(acceptance),
            Standing::Refused(refusal) => Verdict::Refused(refusal),
            Standing::Held | Standing::Unsent => Verdict::Held,
        })
    }

    /// Bytes that are no entry are refused; where they carry an address of this site the refusal
    /// is remembered, so that what builds on them is not held for ever.
    fn take_unreadable(
        &mut self,
        writer: &Writer,
        arrival: &Arrival,
        raw: &str,
        reason: String,
        outcome: &mut Outcome,
    ) -> EntryVerdict {
        let refusal = Refusal::Malformed(reason);
        let address = Address::of(raw);
        let id = address.as_ref().map_or(EntryId::NIL, |address| address.id);
        let ours = address.filter(|address| {
            address.organisation == self.organisation
                && address.site == self.site
                && writer.organisation == self.organisation
                && writer.site.is_none_or(|invited| invited == self.site)
        });
        if let Some(address) = ours.filter(|address| !self.kept.contains_key(&address.id)) {
            let kept = Kept {
                id,
                stream: None,
                raw: address.stub(),
                replaces: address.replaces,
                intent: None,
                digest: Some(raw_digest(raw)),
                received_at: arrival.received_at,
                effective_at: None,
                standing: Standing::Refused(refusal.clone()),
            };
            self.kept.insert(id, kept);
            outcome.changed.insert(id);
            self.after(id, outcome);
        }
        EntryVerdict {
            id,
            verdict: Verdict::Refused(refusal),
        }
    }

    fn decide(&self, kept: &Kept) -> Decision {
        judge_parents(kept.stream.as_ref(), kept.intent, &kept.replaces, |id| {
            self.kept.get(&id)
        })
    }

    /// Gives `kept` its standing by `decision`, and the next seq where it is accepted.
    fn settle(&mut self, kept: &mut Kept, decision: Decision, outcome: &mut Outcome) {
        match decision {
            Decision::Accept => {
                self.last_seq += 1;
                kept.standing = Standing::Accepted(accepted(self.last_seq, kept));
                outcome.accepted.push(kept.id);
            }
            Decision::Hold => kept.standing = Standing::Held,
            Decision::Refuse(refusal) | Decision::TurnAway(refusal) => {
                kept.raw = stub(&kept.raw);
                kept.standing = Standing::Refused(refusal);
            }
        }
        outcome.changed.insert(kept.id);
    }

    /// Carries out a redaction, and releases what waited for `id`, step by step.
    fn after(&mut self, id: EntryId, outcome: &mut Outcome) {
        let mut settled = vec![id];
        while let Some(id) = settled.pop() {
            self.redact_targets(id, outcome);
            for waiting in self.waiting_for(id) {
                let Some(mut kept) = self.kept.get(&waiting).cloned() else {
                    continue;
                };
                let decision = self.decide(&kept);
                if decision == Decision::Hold {
                    continue;
                }
                self.settle(&mut kept, decision, outcome);
                self.kept.insert(waiting, kept);
                settled.push(waiting);
            }
        }
    }

    /// Held entries that build on `id`, in the order in which they came.
    fn waiting_for(&self, id: EntryId) -> Vec<EntryId> {
        if self.kept.get(&id).is_none_or(Kept::is_held) {
            return Vec::new();
        }
        let mut waiting: Vec<&Kept> = self
            .kept
            .values()
            .filter(|kept| kept.is_held() && kept.replaces.contains(&id))
            .collect();
        order::sort_by_key(&mut waiting, |kept| (kept.received_at, kept.id));
        waiting.into_iter().map(|kept| kept.id).collect()
    }

    fn redact_targets(&mut self, id: EntryId, outcome: &mut Outcome) {
        let targets = match self.kept.get(&id) {
            Some(kept)
                if kept.intent == Some(Intent::Redact)
                    && matches!(kept.standing, Standing::Accepted(_)) =>
            {
                kept.replaces.clone()
            }
            _ => return,
        };
        for target in targets {
            if let Some(kept) = self
                .kept
                .get_mut(&target)
                .filter(|kept| !kept.is_redacted())
            {
                kept.raw = stub(&kept.raw);
                kept.digest = None;
                outcome.changed.insert(target);
                outcome.redacted.push(target);
            }
        }
    }

    /// Every accepted and refused entry as a record for the fold; what is held is not yet part
    /// of the site, and what cannot be read is left out.
    pub fn records(&self) -> Vec<Record> {
        self.kept
            .values()
            .filter(|kept| !kept.is_held())
            .filter_map(record)
            .collect()
    }

    /// The site as the server sees it.
    pub fn fold(&self) -> Site {
        fold(&self.records())
    }

    /// Accepted entries after the cursor `after` (a seq; 0 from the start), at most `limit` of them and about
    /// [`MAX_PAGE_BYTES`], and on the last page the digest of the whole site.
    pub fn pull(&self, after: u64, limit: usize) -> Page {
        let mut page = self.page(after, limit, |_| true);
        page.digest = (!page.more).then(|| ledger_digest(&self.fold()));
        page
    }

    /// The page of a pull without its digest, with nothing but what is `visible`: enough entries for the page suffice.
    pub fn page(&self, after: u64, limit: usize, visible: impl Fn(&Kept) -> bool) -> Page {
        let mut following: Vec<(u64, &Kept)> = self
            .kept
            .values()
            .filter(|kept| visible(kept))
            .filter_map(|kept| match kept.standing {
                Standing::Accepted(acceptance) if acceptance.seq > after => {
                    Some((acceptance.seq, kept))
                }
                _ => None,
            })
            .collect();
        order::sort_by_key(&mut following, |(seq, _)| *seq);
        let fit = fitting(following.iter().map(|(_, kept)| kept.raw.len()), limit);
        let more = following.len() > fit;
        following.truncate(fit);
        let page: Vec<&Kept> = following.into_iter().map(|(_, kept)| kept).collect();
        Page {
            refused: self.refused_ancestors(&page, &visible),
            entries: page.into_iter().filter_map(record).collect(),
            last_seq: self.last_seq,
            more,
            digest: None,
        }
    }

    fn refused_ancestors(&self, page: &[&Kept], visible: &impl Fn(&Kept) -> bool) -> Vec<Record> {
        let mut seen = BTreeSet::new();
        let mut queue: Vec<EntryId> = page.iter().flat_map(|kept| kept.replaces.clone()).collect();
        let mut found = Vec::new();
        while let Some(id) = queue.pop() {
            let Some(kept) = self.kept.get(&id) else {
                continue;
            };
            if matches!(kept.standing, Standing::Refused(_)) && seen.insert(id) {
                queue.extend(kept.replaces.iter().copied());
                found.extend(record(kept).filter(|_| visible(kept)));
            }
        }
        order::sort_by_key(&mut found, |record| record.entry.id);
        found
    }
}

/// How many entries of these sizes go on one page: at most `limit` and [`MAX_PAGE_BYTES`], but always one.
fn fitting(sizes: impl Iterator<Item = usize>, limit: usize) -> usize {
    let mut bytes = 0;
    sizes
        .take(limit)
        .enumerate()
        .take_while(|(place, size)| {
            bytes += size;
            *place == 0 || bytes <= MAX_PAGE_BYTES
        })
        .count()
}

fn keep(entry: &Entry, raw: &str, digest: String, arrival: &Arrival) -> Kept {
    Kept {
        id: entry.id,
        stream: Some(StreamKey::new(entry.subject, &entry.question)),
        replaces: entry.replaces.clone(),
        intent: Some(entry.intent),
        raw: raw.to_owned(),
        digest: Some(digest),
        received_at: arrival.received_at,
        effective_at: arrival.effective_at(entry),
        standing: Standing::Held,
    }
}

/// A kept entry as a record; `None` where its bytes cannot be read as an entry.
pub(super) fn record(kept: &Kept) -> Option<Record> {
    Some(Record {
        entry: Entry::from_json(&kept.raw).ok()?,
        raw: kept.raw.clone(),
        standing: kept.standing.clone(),
    })
}

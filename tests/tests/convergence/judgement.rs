//! What must hold once a run is healed, and what clocks would have made of it.

use std::collections::{BTreeMap, BTreeSet};
use std::fmt;

use setdown_types::entry::{Entry, Intent, Payload};
use setdown_types::ids::EntryId;
use setdown_types::ledger::{Record, Standing};
use setdown_types::site::{Site, StreamKey, StreamState};

use super::world::World;

/// Counts over runs: that the disturbances happened, and what clocks lose.
#[derive(Debug, Default)]
pub struct Tally {
    pub runs: u64,
    pub entries: u64,
    pub refused: u64,
    pub redacted: u64,
    pub unknown: u64,
    pub conflicts: u64,
    pub released_after_hold: u64,
    pub lost_answers: u64,
    pub kills: u64,
    pub replaced_streams: u64,
    pub undone_by_parents: u64,
    pub undone_by_wall: u64,
    pub undone_by_hybrid: u64,
}

impl Tally {
    pub fn add(&mut self, other: Self) {
        self.runs += 1;
        self.entries += other.entries;
        self.refused += other.refused;
        self.redacted += other.redacted;
        self.unknown += other.unknown;
        self.conflicts += other.conflicts;
        self.released_after_hold += other.released_after_hold;
        self.lost_answers += other.lost_answers;
        self.kills += other.kills;
        self.replaced_streams += other.replaced_streams;
        self.undone_by_parents += other.undone_by_parents;
        self.undone_by_wall += other.undone_by_wall;
        self.undone_by_hybrid += other.undone_by_hybrid;
    }
}

impl fmt::Display for Tally {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(
            f,
            "{} runs, {} entries: {} refused, {} redacted, {} of a newer kind, {} conflicts, \
             {} released after being held, {} answers lost, {} kills",
            self.runs,
            self.entries,
            self.refused,
            self.redacted,
            self.unknown,
            self.conflicts,
            self.released_after_hold,
            self.lost_answers,
            self.kills
        )
    }
}

/// What every replica must agree on: the state and heads of each stream that anything stands in.
fn agreed(site: &Site) -> BTreeMap<&StreamKey, (&StreamState, BTreeSet<EntryId>)> {
    site.streams()
        .iter()
        .filter(|(_, stream)| !stream.heads.is_empty())
        .map(|(key, stream)| (key, (&stream.state, stream.heads.iter().copied().collect())))
        .collect()
}

pub fn judge(world: &World, seed: u64) -> Tally {
    let server = world.server.fold();
    let truth = agreed(&server);
    let records: BTreeMap<EntryId, Record> = world
        .server
        .records()
        .into_iter()
        .map(|record| (record.entry.id, record))
        .collect();
    for (index, phone) in world.phones.iter().enumerate() {
        let waiting: Vec<_> = phone
            .replica
            .records
            .values()
            .filter(|record| matches!(record.standing, Standing::Unsent | Standing::Held))
            .map(|record| (&record.standing, record.entry.id, &record.entry.replaces))
            .collect();
        assert!(
            waiting.is_empty(),
            "seed {seed}: phone {index} still waits with {waiting:?}"
        );
        let site = phone.replica.fold();
        assert_eq!(
            agreed(&site),
            truth,
            "seed {seed}: phone {index} sees another site"
        );
        for (id, _) in &phone.wrote {
            nothing_lost(world, phone, &records, *id, seed);
        }
    }
    for id in &world.acknowledged {
        let standing = records.get(id).map(|record| &record.standing);
        assert!(
            matches!(standing, Some(Standing::Accepted(_))),
            "seed {seed}: {id} was acknowledged and is gone"
        );
    }
    gapless(&records, seed);
    no_replaced_entry_stands(world, &server, &records, seed);
    tally(world, &server, &records)
}

/// Everything written is at the server, or refused and still on its own phone with its words.
fn nothing_lost(
    world: &World,
    phone: &super::phone::Phone,
    records: &BTreeMap<EntryId, Record>,
    id: EntryId,
    seed: u64,
) {
    let here = phone.replica.records.get(&id);
    match here.map(|record| &record.standing) {
        Some(Standing::Refused(_)) => {
            let raw = &here.expect("just seen").raw;
            let entry = Entry::from_json(raw).expect("kept as written");
            // Unless the office redacted it: then its words are gone everywhere, as asked.
            let redacted = records.values().any(|record| {
                record.entry.intent == Intent::Redact && record.entry.replaces.contains(&id)
            });
            let emptied = !redacted
                && entry.payload == Payload::Nothing
                && !matches!(entry.intent, Intent::Strike | Intent::Redact);
            assert!(
                !emptied,
                "seed {seed}: refused {id} lost its words on its own phone"
            );
        }
        Some(Standing::Accepted(_)) => {
            let there = records
                .get(&id)
                .unwrap_or_else(|| panic!("seed {seed}: {id} is not at the server"));
            assert!(
                matches!(there.standing, Standing::Accepted(_)),
                "seed {seed}: {id}"
            );
            // Byte for byte everywhere, unless redacted: then nowhere.
            for other in &world.phones {
                let copy = other
                    .replica
                    .records
                    .get(&id)
                    .unwrap_or_else(|| panic!("seed {seed}: {id} missing"));
                assert_eq!(
                    copy.raw, there.raw,
                    "seed {seed}: {id} differs between replicas"
                );
            }
        }
        other => panic!("seed {seed}: {id} stands as {other:?} on its own phone"),
    }
}

fn gapless(records: &BTreeMap<EntryId, Record>, seed: u64) {
    let mut seqs: Vec<u64> = accepted(records).map(|(_, seq)| seq).collect();
    seqs.sort_unstable();
    let expected: Vec<u64> = (1..=seqs.len() as u64).collect();
    assert_eq!(seqs, expected, "seed {seed}: gaps in seq");
}

fn accepted(records: &BTreeMap<EntryId, Record>) -> impl Iterator<Item = (&Record, u64)> {
    records.values().filter_map(|record| match record.standing {
        Standing::Accepted(acceptance) => Some((record, acceptance.seq)),
        _ => None,
    })
}

/// What an author saw standing and replaced never stands again.
fn no_replaced_entry_stands(
    world: &World,
    server: &Site,
    records: &BTreeMap<EntryId, Record>,
    seed: u64,
) {
    for phone in &world.phones {
        for (id, seen) in &phone.wrote {
            let Some(record) = records.get(id) else {
                continue;
            };
            let replaces = matches!(record.standing, Standing::Accepted(_))
                && !matches!(record.entry.intent, Intent::Repeat | Intent::Redact);
            if !replaces {
                continue;
            }
            let stream = server
                .stream(record.entry.subject, &record.entry.question)
                .unwrap_or_else(|| panic!("seed {seed}: {id} has no stream"));
            for old in seen {
                assert!(
                    !stream.heads.contains(old),
                    "seed {seed}: {old} stands although {id} replaced it"
                );
            }
        }
    }
}

fn tally(world: &World, server: &Site, records: &BTreeMap<EntryId, Record>) -> Tally {
    let all: Vec<&Record> = accepted(records).map(|(record, _)| record).collect();
    let mut tally = Tally {
        entries: records.len() as u64,
        refused: records
            .values()
            .filter(|record| matches!(record.standing, Standing::Refused(_)))
            .count() as u64
            + world
                .phones
                .iter()
                .map(|phone| {
                    phone.count(|standing| matches!(standing, Standing::Refused(_))) as u64
                })
                .sum::<u64>(),
        redacted: server
            .streams()
            .values()
            .map(|stream| stream.redacted.len() as u64)
            .sum(),
        unknown: all
            .iter()
            .filter(|record| record.entry.payload == Payload::Unknown)
            .count() as u64,
        conflicts: server
            .streams()
            .values()
            .filter(|stream| matches!(stream.state, StreamState::Conflict { .. }))
            .count() as u64,
        released_after_hold: world
            .held
            .iter()
            .filter(|id| {
                records
                    .get(id)
                    .is_some_and(|record| matches!(record.standing, Standing::Accepted(_)))
            })
            .count() as u64,
        lost_answers: world.lost_answers,
        kills: world.kills,
        ..Tally::default()
    };
    let mut streams: BTreeMap<StreamKey, Vec<&Record>> = BTreeMap::new();
    for record in all
        .iter()
        .filter(|record| record.entry.intent != Intent::Redact)
    {
        let key = StreamKey::new(record.entry.subject, &record.entry.question);
        streams.entry(key).or_default().push(record);
    }
    for (key, members) in &streams {
        clocks(members, &mut tally);
        let replaced = replaced(members);
        let heads = server
            .streams()
            .get(key)
            .map_or(&[][..], |stream| &stream.heads);
        tally.undone_by_parents += u64::from(heads.iter().any(|head| replaced.contains(head)));
    }
    tally
}

/// Everything that an accepted entry of the stream replaces.
fn replaced(members: &[&Record]) -> BTreeSet<EntryId> {
    members
        .iter()
        .flat_map(|record| record.entry.replaces.iter().copied())
        .collect()
}

/// Whether a winner by clock is an entry that somebody knowingly replaced.
fn clocks(members: &[&Record], tally: &mut Tally) {
    let replaced = replaced(members);
    let plain: Vec<&&Record> = members
        .iter()
        .filter(|record| record.entry.intent != Intent::Repeat)
        .collect();
    if !plain
        .iter()
        .any(|record| replaced.contains(&record.entry.id))
    {
        return;
    }
    tally.replaced_streams += 1;
    let by_wall = plain
        .iter()
        .max_by_key(|record| (record.entry.stamp.wall, record.entry.id));
    let by_hybrid = plain
        .iter()
        .max_by_key(|record| (hybrid(record, members), record.entry.id));
    let undone = |winner: Option<&&&Record>| {
        u64::from(winner.is_some_and(|winner| replaced.contains(&winner.entry.id)))
    };
    tally.undone_by_wall += undone(by_wall);
    tally.undone_by_hybrid += undone(by_hybrid);
}

/// A hybrid logical clock with a drift guard: the stamp is at least one more than its parents',
/// but a parent more than a minute ahead of the author's own wall clock is not believed
/// (Kulkarni and others, "Logical Physical Clocks", 2014, section 6).
fn hybrid(record: &Record, members: &[&Record]) -> i64 {
    const GUARD: i64 = 60_000;
    let wall = record.entry.stamp.wall;
    record
        .entry
        .replaces
        .iter()
        .filter_map(|parent| members.iter().find(|member| member.entry.id == *parent))
        .map(|parent| hybrid(parent, members))
        .filter(|stamp| *stamp <= wall + GUARD)
        .map(|stamp| stamp + 1)
        .fold(wall, i64::max)
}

//! The walk and the checklist: what is still asked of whom, in the order the feet go. Both come
//! from what the checks read and from the question table; there is no other list.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use setdown_types::party::Role;
use setdown_types::question::{self, Station};
use setdown_types::site::{Site, StreamKey};
use setdown_types::subject::{Subject, SubjectKind};

use super::result::{CheckResult, Key, Need, NeedState, Outcome};

/// One stop of the walk: a question about a thing.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Stop {
    /// Which question about what.
    pub stream: StreamKey,
    /// Where it is answered.
    pub station: Station,
    /// How it stands.
    pub state: NeedState,
    /// Whether every check can be settled without it.
    pub optional: bool,
    /// The checks that read it.
    pub checks: Vec<Key>,
}

/// Every question that some applying check reads and `role` may answer, each once, in walking
/// order: station, then thing by thing as they were added, then as the table lists them.
pub fn walk(site: &Site, checks: &[CheckResult], role: Role) -> Vec<Stop> {
    let mut stops: BTreeMap<StreamKey, Stop> = BTreeMap::new();
    for check in checks {
        if check.outcome == Outcome::NotNeeded && check.would_be.is_some() {
            continue;
        }
        for need in &check.needs {
            add(&mut stops, need, &check.key, role);
        }
    }
    let mut list: Vec<Stop> = stops.into_values().collect();
    list.sort_by_cached_key(|stop| place(site, stop));
    list
}

fn add(stops: &mut BTreeMap<StreamKey, Stop>, need: &Need, check: &Key, role: Role) {
    let Some(row) = question::find(&need.stream.question) else {
        return;
    };
    if !row.may_answer(role) {
        return;
    }
    let stop = stops.entry(need.stream.clone()).or_insert_with(|| Stop {
        stream: need.stream.clone(),
        station: row.station,
        state: need.state,
        optional: true,
        checks: Vec::new(),
    });
    stop.optional &= need.optional;
    stop.state = stop.state.max(need.state);
    if !stop.checks.contains(check) {
        stop.checks.push(check.clone());
    }
}

/// Sorting key: station; the first question of the thing's kind; the thing; the question.
fn place(site: &Site, stop: &Stop) -> (Station, u32, usize, u32) {
    let order = question::walking_order(&stop.stream.question).1;
    let subject = stop.stream.subject;
    if subject == Subject::SITE {
        return (stop.station, order, 0, order);
    }
    let first = first_of(subject.kind, stop.station);
    let index = site
        .subjects(subject.kind)
        .iter()
        .position(|known| *known == subject);
    (stop.station, first, index.unwrap_or(usize::MAX), order)
}

fn first_of(kind: SubjectKind, station: Station) -> u32 {
    question::all()
        .find(|row| row.subject == kind && row.station == station)
        .map_or(u32::MAX, |row| question::walking_order(row.key).1)
}

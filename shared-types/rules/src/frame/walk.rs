//! The walk and the checklist: what is still asked of whom, in the order the feet go. Both come
//! from what the checks read and from the question table; there is no other list.

use std::collections::{BTreeMap, BTreeSet};

use serde::{Deserialize, Serialize};
use setdown_types::party::Role;
use setdown_types::question::{self, Station};
use setdown_types::site::{Site, StreamKey};
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;

use super::result::{
    CheckResult, HoldPoint, HoldPointResult, HoldState, Key, Need, NeedState, Outcome,
};

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
    /// Whether it has been answered "don't know" or "can't measure", and is now for somebody further up to answer.
    pub passed_on: bool,
    /// The checks that read it.
    pub checks: Vec<Key>,
}

impl Stop {
    /// Whether it still waits for an answer of the role whose walk this is: a check needs it, and neither this role nor
    /// one further up has said that they have none.
    pub fn wanted(&self) -> bool {
        let answered = matches!(self.state, NeedState::Answered | NeedState::Disputed);
        !self.optional && !answered && !self.passed_on
    }
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
            add(&mut stops, site, need, &check.key, role);
        }
    }
    let mut list: Vec<Stop> = stops.into_values().collect();
    list.sort_by_cached_key(|stop| place(site, stop));
    list
}

/// Which of `stops` wait for the delivery day: the hold point that is worked towards (the first that is not signed) comes
/// before [`HoldPoint::Deliver`], and no check named by a hold point before it reads them.
pub fn waiting_for_delivery(
    stops: &[Stop],
    checks: &[CheckResult],
    points: &[HoldPointResult],
) -> BTreeSet<StreamKey> {
    let next = points
        .iter()
        .find(|point| point.state != HoldState::Signed)
        .map(|point| point.hold_point);
    if next.is_none_or(|next| next >= HoldPoint::Deliver) {
        return BTreeSet::new();
    }
    let is_early = |key: &Key| {
        checks
            .iter()
            .filter(|check| check.key == *key)
            .any(|check| {
                check
                    .hold_points
                    .iter()
                    .any(|point| *point < HoldPoint::Deliver)
            })
    };
    stops
        .iter()
        .filter(|stop| !stop.checks.iter().any(is_early))
        .map(|stop| stop.stream.clone())
        .collect()
}

fn add(stops: &mut BTreeMap<StreamKey, Stop>, site: &Site, need: &Need, check: &Key, role: Role) {
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
        passed_on: passed_on(site, &need.stream, role),
        checks: Vec::new(),
    });
    stop.optional &= need.optional;
    stop.state = stop.state.max(need.state);
    if !stop.checks.contains(check) {
        stop.checks.push(check.clone());
    }
}

/// Whether somebody at or above `role` tried this question and has no answer.
fn passed_on(site: &Site, stream: &StreamKey, role: Role) -> bool {
    site.stream(stream.subject, &stream.question)
        .and_then(|stream| stream.leading())
        .filter(|head| matches!(head.value, Some(Value::CannotMeasure(_) | Value::DontKnow)))
        .is_some_and(|head| rank(head.role) >= rank(role))
}

/// In which order people are asked: the homeowner, the coordinator, the office.
const fn rank(role: Role) -> u8 {
    match role {
        Role::Homeowner => 0,
        Role::Coordinator => 1,
        Role::Office => 2,
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

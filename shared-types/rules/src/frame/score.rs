//! Hold points: their state, readiness score, chance, digest and signature.

use std::collections::BTreeMap;

use serde::{Deserialize, Serialize};
use setdown_types::digest::digest_hex;
use setdown_types::subject::Subject;
use setdown_types::value::{Attestation, Signature, Value};

use super::assess::Input;
use super::chance::joint;
use super::result::{
    CheckResult, HoldPoint, HoldPointResult, HoldState, Key, Margin, Outcome, SignatureState,
};

/// What is signed: everything that could change the decision, nothing that only words it.
#[derive(Debug, PartialEq, Serialize, Deserialize)]
struct Findings {
    hold_point: HoldPoint,
    rules: String,
    spa: String,
    practice: String,
    checks: Vec<Finding>,
}

/// One check as signed.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
struct Finding {
    key: String,
    outcome: Outcome,
    attested: Option<Attestation>,
    items: Vec<(Subject, Outcome, Option<Margin>)>,
}

/// Every hold point as it stands.
pub fn hold_points(
    input: &Input<'_>,
    checks: &[CheckResult],
    spa: &str,
    practice: &str,
) -> Vec<HoldPointResult> {
    HoldPoint::ALL
        .into_iter()
        .map(|point| hold_point(input, point, checks, spa, practice))
        .collect()
}

fn hold_point(
    input: &Input<'_>,
    point: HoldPoint,
    checks: &[CheckResult],
    spa: &str,
    practice: &str,
) -> HoldPointResult {
    let named: Vec<&CheckResult> = checks
        .iter()
        .filter(|check| check.hold_points.contains(&point) && check.outcome != Outcome::NotNeeded)
        .collect();
    let findings = Findings {
        hold_point: point,
        rules: crate::RULES_VERSION.to_owned(),
        spa: spa.to_owned(),
        practice: practice.to_owned(),
        checks: named.iter().map(|check| finding(check)).collect(),
    };
    let canonical = serde_json::to_string(&findings).unwrap_or_default();
    let digest = digest_hex(canonical.as_bytes());
    let signature = signature(input, point, &digest, &findings);
    let count = |outcome: Outcome| {
        u32::try_from(
            named
                .iter()
                .filter(|check| check.outcome == outcome)
                .count(),
        )
        .unwrap_or(0)
    };
    let holds = signature.as_ref().is_some_and(|signature| signature.holds);
    HoldPointResult {
        hold_point: point,
        state: state(&named, holds),
        score: score(&named),
        named: u32::try_from(named.len()).unwrap_or(0),
        settled: count(Outcome::Clear) + count(Outcome::ClearAttested),
        tight: count(Outcome::Tight),
        to_measure: count(Outcome::Open),
        stopped: count(Outcome::Short),
        worst: worst(&named),
        checks: named.iter().map(|check| check.key.clone()).collect(),
        chance: chance(&named),
        digest,
        findings: canonical,
        signature,
    }
}

/// Probability that everything measured holds: facts one by one, margins with those of other checks on the same
/// readings.
fn chance(named: &[&CheckResult]) -> f64 {
    let counts = |check: &&&CheckResult| {
        check.chance > 0.0 && !check.bets.is_empty() && !check.outcome.settled_without_margins()
    };
    let facts: f64 = named
        .iter()
        .filter(|check| !counts(check))
        .map(|check| check.chance)
        .product();
    facts * joint(named.iter().filter(counts).flat_map(|check| &check.bets))
}

fn finding(check: &CheckResult) -> Finding {
    Finding {
        key: check.key.to_string(),
        outcome: check.outcome,
        attested: check.attested.clone(),
        items: check
            .items
            .iter()
            .map(|item| (item.subject, item.outcome, item.margin))
            .collect(),
    }
}

/// Weight settled over weight named, 0 to 100; tight counts half. Nothing named: nothing settled.
fn score(named: &[&CheckResult]) -> u32 {
    let total: u32 = named.iter().map(|check| check.weight * 2).sum();
    let settled: u32 = named
        .iter()
        .map(|check| match check.outcome {
            Outcome::Clear | Outcome::ClearAttested => check.weight * 2,
            Outcome::Tight => check.weight,
            _ => 0,
        })
        .sum();
    // Rounded down: 100 is shown only when everything is settled.
    (settled * 100).checked_div(total).unwrap_or(0)
}

fn state(named: &[&CheckResult], signed: bool) -> HoldState {
    let short_stopper = named
        .iter()
        .any(|check| check.stopper && check.outcome == Outcome::Short);
    let worst = named.iter().map(|check| check.outcome).max();
    match worst {
        _ if short_stopper => HoldState::Stopped,
        Some(Outcome::Short) => HoldState::ToPutRight,
        Some(Outcome::Tight) => HoldState::Unsure,
        Some(Outcome::Open) | None => HoldState::Unmeasured,
        Some(_) if signed => HoldState::Signed,
        Some(_) => HoldState::ReadyToSign,
    }
}

/// The check that holds it up most: worst outcome, stoppers before others, first in the table.
fn worst(named: &[&CheckResult]) -> Option<Key> {
    let mut worst: Option<&CheckResult> = None;
    for check in named.iter().filter(|check| !check.outcome.settled()) {
        let rank = |check: &CheckResult| (check.outcome, check.weight);
        if worst.is_none_or(|known| rank(check) > rank(known)) {
            worst = Some(check);
        }
    }
    worst.map(|check| check.key.clone())
}

fn signature(
    input: &Input<'_>,
    point: HoldPoint,
    digest: &str,
    now: &Findings,
) -> Option<SignatureState> {
    let stream = input.site.stream(Subject::SITE, point.question())?;
    let Some(Value::Signature(signature)) = stream.leading()?.value.as_ref() else {
        return None;
    };
    let holds = signature.digest == digest && signature.hold_point == point.key();
    Some(SignatureState {
        name: signature.name.clone(),
        date: signature.date,
        holds,
        changed: if holds {
            Vec::new()
        } else {
            changed(signature, now)
        },
    })
}

/// Checks whose finding is not the one signed, in the order of the table.
fn changed(signature: &Signature, now: &Findings) -> Vec<Key> {
    let Ok(then) = serde_json::from_str::<Findings>(&signature.findings) else {
        return now
            .checks
            .iter()
            .map(|check| Key::Owned(check.key.clone()))
            .collect();
    };
    let before: BTreeMap<&str, &Finding> = then
        .checks
        .iter()
        .map(|check| (check.key.as_str(), check))
        .collect();
    let after: BTreeMap<&str, &Finding> = now
        .checks
        .iter()
        .map(|check| (check.key.as_str(), check))
        .collect();
    let gone = then
        .checks
        .iter()
        .filter(|check| !after.contains_key(check.key.as_str()));
    now.checks
        .iter()
        .filter(|check| before.get(check.key.as_str()) != Some(check))
        .chain(gone)
        .map(|check| Key::Owned(check.key.clone()))
        .collect()
}

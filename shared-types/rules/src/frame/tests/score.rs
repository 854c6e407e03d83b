//! Hold points, the score, signatures and the chance.

use super::*;

/// Everything that the start needs of its own and of the supply.
fn startable() -> TestSite {
    TestSite::new()
        .choice("site", "base.placing", "on_grade")
        .date("site", "start.filled_on", 2026, 4, 20)
        .date("site", "start.energised_on", 2026, 4, 20)
        .attest("start.ground_fault_test")
        .attest("attest.power_gfci")
        .measure("site", "receptacle.from_water", "10 ft")
        .yes("site", "receptacle.ground_fault", true)
}

fn sign(site: TestSite, which: HoldPoint) -> TestSite {
    let assessment = site.assess();
    let result = point(&assessment, which);
    let signature = Signature {
        hold_point: which.key().to_owned(),
        digest: result.digest.clone(),
        rules: assessment.rules.to_string(),
        spa: assessment.spa.clone(),
        practice: assessment.practice.clone(),
        date: assessment.date,
        name: "the office".to_owned(),
        findings: result.findings.clone(),
    };
    site.answer(
        "site",
        which.question(),
        Value::Signature(signature),
        Method::Document,
    )
}

#[test]
fn every_hold_point_names_checks_and_no_empty_site_is_ready() {
    let assessment = TestSite::new().assess();
    for result in &assessment.hold_points {
        assert!(result.named > 0, "{:?}", result.hold_point);
        assert_eq!(
            result.state,
            HoldState::Unmeasured,
            "{:?}",
            result.hold_point
        );
        assert!(result.worst.is_some(), "{:?}", result.hold_point);
    }
}

/// Score = weight settled over weight named, tight counting half, rounded down; stoppers weigh 3.
#[test]
fn the_score_adds_up_from_the_checks_it_names() {
    for site in [
        TestSite::new(),
        startable(),
        startable().yes("site", "receptacle.ground_fault", false),
    ] {
        let assessment = site.assess();
        for result in &assessment.hold_points {
            let named: Vec<&CheckResult> = result
                .checks
                .iter()
                .map(|key| assessment.check(key).unwrap())
                .collect();
            let mut total = 0.0;
            let mut settled = 0.0;
            for check in &named {
                let weight = if check.stopper { 3.0 } else { 1.0 };
                total += weight;
                settled += match check.outcome {
                    Outcome::Clear | Outcome::ClearAttested => weight,
                    Outcome::Tight => weight / 2.0,
                    _ => 0.0,
                };
            }
            assert_eq!(result.score, (100.0 * settled / total) as u32);
            assert_eq!(
                result.settled + result.tight + result.to_measure + result.stopped,
                result.named
            );
        }
    }
}

#[test]
fn a_short_stopper_stops_and_another_short_check_is_to_put_right() {
    let ready = startable();
    assert_eq!(
        point(&ready.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
    assert_eq!(point(&ready.assess(), HoldPoint::Start).score, 100);
    let near = ready.clone().yes("site", "receptacle.ground_fault", false);
    let assessment = near.assess();
    let start = point(&assessment, HoldPoint::Start);
    assert_eq!(start.state, HoldState::ToPutRight);
    assert_eq!(start.worst.as_deref(), Some("power.receptacle"));
    let early = ready.date("site", "start.energised_on", 2026, 4, 1);
    assert_eq!(
        point(&early.assess(), HoldPoint::Start).state,
        HoldState::Stopped
    );
}

#[test]
fn a_signature_holds_until_what_was_signed_changes() {
    let signed = sign(startable(), HoldPoint::Start);
    let assessment = signed.assess();
    assert_eq!(
        point(&assessment, HoldPoint::Start).state,
        HoldState::Signed
    );
    // Nothing that was signed has changed: another day, an answer that no named check reads.
    let other = signed
        .clone()
        .today(2026, 8, 1)
        .text("site", "site.note", "gate is stiff");
    assert_eq!(
        point(&other.assess(), HoldPoint::Start).state,
        HoldState::Signed
    );
    // A margin that moved, though it still holds.
    let moved = signed
        .clone()
        .measure("site", "receptacle.from_water", "11 ft");
    let assessment = moved.assess();
    let start = point(&assessment, HoldPoint::Start);
    assert_eq!(start.state, HoldState::ReadyToSign);
    let signature = start.signature.as_ref().unwrap();
    assert!(!signature.holds);
    assert_eq!(signature.changed, ["power.receptacle"]);
    // Another spa sheet or practice sheet.
    let spa = signed.clone().spa(|spa| spa.people = 6);
    assert_eq!(
        point(&spa.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
    let practice = signed.clone().practice("head_room", "3 in");
    assert_eq!(
        point(&practice.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
    // Signed, and then something is short: stopped, not signed.
    let short = signed.date("site", "start.energised_on", 2026, 4, 1);
    assert_eq!(
        point(&short.assess(), HoldPoint::Start).state,
        HoldState::Stopped
    );
}

#[test]
fn a_signature_of_one_hold_point_opens_no_other() {
    let site = startable();
    let assessment = site.assess();
    let start = point(&assessment, HoldPoint::Start);
    let signature = Signature {
        hold_point: "fill".to_owned(),
        digest: start.digest.clone(),
        rules: assessment.rules.to_string(),
        spa: assessment.spa.clone(),
        practice: assessment.practice.clone(),
        date: assessment.date,
        name: "the office".to_owned(),
        findings: start.findings.clone(),
    };
    let signed = site.answer(
        "site",
        "sign.start",
        Value::Signature(signature),
        Method::Document,
    );
    assert_eq!(
        point(&signed.assess(), HoldPoint::Start).state,
        HoldState::ReadyToSign
    );
}

#[test]
fn a_signed_hold_point_has_no_standing_task() {
    let standing = |site: &TestSite| {
        site.assess()
            .tasks
            .iter()
            .any(|task| task.reason == TaskReason::Standing(HoldPoint::Start))
    };
    assert!(standing(&startable()));
    assert!(!standing(&sign(startable(), HoldPoint::Start)));
}

/// A short fact holds nothing at all; a limit that is only remembered takes nothing from what was measured; margins on
/// the same reading hold together, so that two checks of one reading are as likely as the less likely of them.
#[test]
fn the_chance_counts_facts_once_and_readings_once() {
    use super::super::chance::{Bet, joint};
    let steps = TestSite::new()
        .choice("site", "entry.kind", "deck")
        .measure("site", "entry.rise", "20 in")
        .measure("site", "entry.run_available", "10 ft")
        .measure("site", "entry.step_over", "20 in")
        .yes("site", "entry.handhold", true)
        .check("entry.steps");
    assert_eq!(steps.reason.key, "frame.remembered");
    assert_eq!(steps.chance, 1.0);
    let stream = |question: &str| {
        setdown_types::site::StreamKey::new(setdown_types::subject::Subject::SITE, question)
    };
    let bet = |margin: f64, on: &[&str]| Bet {
        readings: on.iter().map(|question| stream(question)).collect(),
        margin,
        spread: super::super::spread::SPREADS_PER_SIGMA,
    };
    // Normal table: Φ(0) = 0.5, Φ(1) = 0.841345 (any printed table).
    let close = |chance: f64, expect: f64| assert!((chance - expect).abs() < 1e-6, "{chance}");
    close(
        joint(&[bet(0.0, &["a.a"]), bet(1.0, &["b.b"])]),
        0.5 * 0.841_345,
    );
    close(joint(&[bet(0.0, &["a.a"]), bet(1.0, &["a.a", "b.b"])]), 0.5);
    close(
        joint(&[
            bet(1.0, &["a.a"]),
            bet(1.0, &["b.b"]),
            bet(1.0, &["a.a", "b.b"]),
        ]),
        0.841_345,
    );
    let short_fact =
        TestSite::new()
            .spa(|spa| spa.attitudes.clear())
            .yes("site", "spot.easement_clear", false);
    assert_eq!(short_fact.check("spot.fits").chance, 0.0);
}

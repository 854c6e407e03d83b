//! Walk and checklist: nothing is listed twice, nothing is unreachable, whatever the site.

use std::collections::BTreeSet;

use setdown_rules::frame::assess::{Input, assess_check};
use setdown_rules::frame::result::CheckResult;
use setdown_rules::frame::walk::walk;
use setdown_tests::generated::{GeneratedSite, generated};
use setdown_types::entry::Entry;
use setdown_types::ledger::{Acceptance, Record, Standing, fold};
use setdown_types::party::Role;
use setdown_types::question::{self, AnswerKind};
use setdown_types::site::Site;

fn site_of(drawn: &GeneratedSite) -> Site {
    let records: Vec<Record> = drawn
        .entries
        .iter()
        .zip(1..)
        .map(|(raw, seq)| Record {
            entry: Entry::from_json(raw).unwrap(),
            raw: raw.clone(),
            standing: Standing::Accepted(Acceptance {
                seq,
                received_at: 0,
                effective_at: None,
            }),
        })
        .collect();
    fold(&records)
}

fn checks_of(drawn: &GeneratedSite, site: &Site) -> Vec<CheckResult> {
    let input = Input {
        site,
        spa: &drawn.spa,
        practice: &drawn.practice,
        today: drawn.date,
        suppose: None,
        ways: setdown_rules::Ways::none(),
    };
    setdown_rules::checks::all()
        .map(|check| assess_check(check, &input))
        .collect()
}

#[test]
fn every_question_is_reached_and_none_is_listed_twice() {
    let mut reached: BTreeSet<String> = BTreeSet::new();
    for seed in 0..1_500 {
        let drawn = generated(seed);
        let site = site_of(&drawn);
        let checks = checks_of(&drawn, &site);
        for role in [Role::Coordinator, Role::Homeowner, Role::Office] {
            let stops = walk(&site, &checks, role);
            let mut seen = BTreeSet::new();
            for stop in &stops {
                assert!(
                    seen.insert(&stop.stream),
                    "seed {seed}: {:?} is listed twice",
                    stop.stream
                );
                assert!(
                    question::find(&stop.stream.question).is_some_and(|row| row.may_answer(role))
                );
            }
            reached.extend(stops.into_iter().map(|stop| stop.stream.question));
        }
    }
    // Not asked by a check: the office's own documents and signatures, free notes, and the names
    // that put things on the site (those are asked by the button that adds one).
    let asked_elsewhere = |row: &question::Question| {
        matches!(row.kind, AnswerKind::Pin | AnswerKind::Signature)
            || matches!(row.key, "site.note" | "site.photo")
            || matches!(row.key, "site.staff_note" | "site.staff_photo")
            || row.subject.present_question() == Some(row.key)
    };
    let unreached: Vec<&str> = question::all()
        .filter(|row| !asked_elsewhere(row))
        .map(|row| row.key)
        .filter(|key| !reached.contains(*key))
        .collect();
    assert!(unreached.is_empty(), "no site asks for {unreached:?}");
}

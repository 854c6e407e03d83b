//! The way as a whole: what it needs, how its links hang together, and answers of every kind.

use super::*;

#[test]
fn a_settled_way_is_clear_from_end_to_end() {
    let site = planned().worked_out();
    let assessment = site.assess();
    for check in &assessment.checks {
        let reach = check.key.starts_with("roll.") || check.key == "way.chosen";
        if reach {
            assert!(
                matches!(check.outcome, Clear | NotNeeded),
                "{}: {:?} {:?}",
                check.key,
                check.reason,
                site.missing(&check.key)
            );
        }
        if check.key.starts_with("lift.") {
            assert_eq!(check.outcome, NotNeeded, "{}", check.key);
        }
    }
    check(site, "way.chosen", Clear);
}

#[test]
fn nothing_is_clear_on_a_site_of_which_nothing_is_known() {
    for row in super::super::CHECKS {
        let site = TestSite::new();
        check(site.clone(), row.key, Open);
        assert!(
            !site.missing(row.key).is_empty(),
            "{} names what is missing",
            row.key
        );
    }
}

#[test]
fn every_answer_that_is_needed_is_missed_when_it_is_taken_away() {
    let site = rolled();
    for row in super::super::CHECKS
        .iter()
        .filter(|row| row.key.starts_with("roll."))
    {
        for need in site.check(row.key).needs {
            if need.optional || need.state != NeedState::Answered {
                continue;
            }
            let name = match need.stream.subject {
                Subject::SITE => "site".to_owned(),
                thing => format!("{}#1", thing.kind.key()),
            };
            let question = need.stream.question.clone();
            let outcome = site.clone().without(&name, &question).outcome(row.key);
            assert!(
                matches!(outcome, Open),
                "{}: {question} gives {outcome:?}",
                row.key
            );
        }
    }
}

#[test]
fn the_way_must_be_chosen_and_whole() {
    let chosen = |site: TestSite, expect| check(site, "way.chosen", expect);
    chosen(rolled().choice("site", "way.chain", "none"), Short);
    chosen(rolled().yes("site", "way.covers", false), Short);
    chosen(rolled().without("site", "way.covers"), Open);
    // A mixed way names its change-over; its lift is not settled either.
    chosen(
        rolled().choice("site", "way.chain", "lifted_then_rolled"),
        Open,
    );
    // A link that is short takes the way with it; one that is too close to call or open is waited for.
    chosen(
        rolled().measure("opening#1", "opening.width_hip", "7 ft"),
        Short,
    );
    chosen(
        rolled().measure("opening#1", "opening.width_hip", "8 ft 2 in"),
        Open,
    );
    chosen(rolled().without("opening#1", "opening.width_hip"), Open);
    assert_eq!(
        rolled()
            .without("opening#1", "opening.width_hip")
            .reason("way.chosen"),
        "way.chosen.link_open"
    );
}

#[test]
fn on_edge_needs_the_maker_and_the_carrier() {
    let on_edge = || planned().choice("site", "way.attitude", "on_edge");
    let allowed = || {
        on_edge()
            .spa(|spa| spa.attitudes.push(Attitude::OnEdge))
            .yes("site", "way.carrier_allows_edge", true)
            .yes("site", "way.laying_down_open_sky", true)
    };
    assert_eq!(
        on_edge().reason("way.chosen"),
        "way.chosen.maker_forbids_edge"
    );
    check(allowed().worked_out(), "way.chosen", Clear);
    check(
        allowed().yes("site", "way.carrier_allows_edge", false),
        "way.chosen",
        Short,
    );
    // On edge it is 5 ft 2 in wide: a 6 ft gate takes it, and 2 % of crossfall is the strict limit.
    let narrow = |site: TestSite| {
        let site = site.measure("leg#1", "leg.width", "6 ft");
        ["ankle", "hip", "head"].iter().fold(site, |site, place| {
            site.measure("opening#1", &format!("opening.width_{place}"), "6 ft")
        })
    };
    check(narrow(allowed()), "roll.openings", Clear);
    check(narrow(rolled()), "roll.openings", Short);
    check(
        rolled().measure("leg#1", "leg.crossfall", "4 %"),
        "roll.crossfall",
        Clear,
    );
    check(
        allowed().measure("leg#1", "leg.crossfall", "4 %"),
        "roll.crossfall",
        Short,
    );
    // Laid down it sweeps √(7 ft 10 in² + 5 ft 2 in²) = 9 ft 4.6 in, and needs 2 in of head room.
    let under = |height| {
        allowed()
            .yes("site", "way.laying_down_open_sky", false)
            .measure("site", "way.laying_down_height", height)
    };
    check(under("9 ft 7 in"), "roll.headroom", Clear);
    check(under("9 ft 6 in"), "roll.headroom", Short);
}

/// Too long for the crew, or more across than is wanted, is put right; it does not stop the job.
#[test]
fn a_link_that_is_no_stopper_stops_nothing() {
    let slow = planned().practice("effort_limit", "30 min").worked_out();
    check(slow.clone(), "roll.effort", Short);
    check(slow.clone(), "way.chosen", Open);
    assert_eq!(slow.reason("way.chosen"), "way.chosen.link_to_put_right");
}

/// Whatever is typed: no panic, and nothing clear on a length, weight or force below zero.
#[test]
fn extreme_answers_give_findings_like_any_other() {
    for site in [rolled(), super::super::lift::settled_lift()] {
        for row in super::super::CHECKS {
            for need in site.check(row.key).needs {
                let name = match need.stream.subject {
                    Subject::SITE => "site".to_owned(),
                    thing => format!("{}#1", thing.kind.key()),
                };
                let question = need.stream.question;
                let kind = question::find(&question).unwrap().kind;
                let AnswerKind::Measure(dimension) = kind else {
                    continue;
                };
                for base in [0, 1, -1, i64::MIN, i64::MAX] {
                    let value = Value::Measure(Measure {
                        dimension,
                        base,
                        typed: String::new(),
                    });
                    let result = site
                        .clone()
                        .answer(&name, &question, value, Method::Tape)
                        .check(row.key);
                    let below_zero = question::find(&question)
                        .and_then(|row| row.plausible)
                        .is_some_and(|(low, _)| low < 0.0);
                    if base < 0 && !below_zero && !need.optional {
                        let outcome = result.would_be.unwrap_or(result.outcome);
                        assert!(
                            matches!(outcome, Open | Short),
                            "{}: {question} below zero gives {outcome:?}",
                            row.key
                        );
                    }
                    assert!((0.0..=1.0).contains(&result.chance), "{}", row.key);
                }
            }
        }
    }
}

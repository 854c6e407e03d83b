//! The walk, what to measure next, and whose task is what.

use super::*;

#[test]
fn what_somebody_has_no_answer_to_is_asked_further_up_and_not_of_them_again() {
    let stream = gate().dont_know("opening#1", "opening.width_head");
    let (site, assessment) = (stream.build(), stream.assess());
    let wanted = |role: Role| {
        walk(&site, &assessment.checks, role)
            .iter()
            .any(|stop| stop.stream.question == "opening.width_head" && stop.wanted())
    };
    // The test site's answers are a coordinator's.
    assert!(!wanted(Role::Homeowner));
    assert!(!wanted(Role::Coordinator));
    assert!(wanted(Role::Office));
    assert_eq!(
        assessment.check("roll.openings").unwrap().outcome,
        Outcome::Open
    );
}

#[test]
fn what_to_measure_next_falls_in_gain_a_minute_and_is_still_open() {
    let assessment = gate().without("opening#1", "opening.width_head").assess();
    assert!(!assessment.next.is_empty());
    let rates: Vec<f64> = assessment
        .next
        .iter()
        .map(|next| next.gain / next.minutes)
        .collect();
    assert!(rates.windows(2).all(|pair| pair[0] >= pair[1]), "{rates:?}");
    for next in &assessment.next {
        assert!(next.minutes > 0.0 && next.gain.is_finite());
        for key in &next.checks {
            let check = assessment.check(key).unwrap();
            assert!(check.needs.iter().any(|need| need.stream == next.stream
                && need.state == NeedState::Missing
                && !need.optional));
        }
    }
    // The last missing width of a stopper promises something.
    let last = assessment
        .next
        .iter()
        .find(|next| next.stream.question == "opening.width_head")
        .unwrap();
    assert!(last.gain > 0.0);
}

#[test]
fn tasks_go_to_whoever_can_do_them_and_each_question_is_asked_once() {
    let assessment = TestSite::new().assess();
    let mut asked = std::collections::BTreeSet::new();
    for task in assessment
        .tasks
        .iter()
        .filter(|task| task.line.key == "frame.task.measure")
    {
        for stream in &task.streams {
            assert!(asked.insert(stream.clone()), "{stream:?} twice");
            let row = setdown_types::question::find(&stream.question).unwrap();
            if task.party == Party::Homeowner {
                assert!(row.may_answer(Role::Homeowner), "{}", stream.question);
            }
        }
    }
    for party in [Party::Homeowner, Party::Coordinator] {
        assert!(
            assessment.tasks.iter().any(|task| task.party == party),
            "{party:?}"
        );
    }
    // Who could not say is not asked again: somebody further up is.
    let unknown = TestSite::new()
        .dont_know("site", "water.hose_reaches")
        .assess();
    let again = unknown
        .tasks
        .iter()
        .find(|task| {
            task.streams
                .iter()
                .any(|stream| stream.question == "water.hose_reaches")
        })
        .unwrap();
    // The test site's answers are the coordinator's: the check's owner is next.
    assert_eq!(again.party, Party::Homeowner);
    let stoppers_first: Vec<bool> = assessment.tasks.iter().map(|task| !task.stopper).collect();
    assert!(stoppers_first.is_sorted());
}

#[test]
fn what_the_homeowner_may_not_answer_is_never_theirs() {
    for owner_check in crate::checks::all().filter(|check| check.owner == Party::Homeowner) {
        let site = TestSite::new();
        for need in site.check(owner_check.key).needs {
            let row = setdown_types::question::find(&need.stream.question).unwrap();
            if row.may_answer(Role::Homeowner) {
                continue;
            }
            let tasks = site.clone().dont_know("site", row.key).assess().tasks;
            let theirs = tasks.iter().any(|task| {
                task.party == Party::Homeowner
                    && task.streams.iter().any(|stream| stream.question == row.key)
            });
            assert!(!theirs, "{}", row.key);
        }
    }
}

fn stops_of(site: &TestSite) -> (Vec<Stop>, Assessment) {
    let assessment = site.assess();
    let stops = walk(&site.build(), &assessment.checks, Role::Coordinator);
    (stops, assessment)
}

/// Order, dig and close-in come before the delivery; what only later hold points name waits, and all else does not.
#[test]
fn what_no_hold_point_before_the_delivery_reads_waits_for_that_day() {
    let (stops, assessment) = stops_of(&TestSite::new().choice("site", "way.chain", "rolled"));
    let waiting = waiting_for_delivery(&stops, &assessment.checks, &assessment.hold_points);
    let before = |stop: &&Stop| {
        stop.checks.iter().any(|key| {
            let check = assessment.check(key).unwrap();
            let early = [HoldPoint::Order, HoldPoint::Dig, HoldPoint::CloseIn];
            early.iter().any(|point| check.hold_points.contains(point))
        })
    };
    let (now, later): (Vec<&Stop>, Vec<&Stop>) = stops.iter().partition(before);
    assert!(
        now.len() > 20 && later.len() > 5,
        "{} and {}",
        now.len(),
        later.len()
    );
    assert!(now.iter().all(|stop| !waiting.contains(&stop.stream)));
    assert!(later.iter().all(|stop| waiting.contains(&stop.stream)));
    let questions = |stops: &[&Stop]| -> Vec<String> {
        stops
            .iter()
            .map(|stop| stop.stream.question.clone())
            .collect()
    };
    assert!(questions(&now).contains(&"way.chain".to_owned()));
    assert!(questions(&later).contains(&"fill.as_set_fall".to_owned()));
}

#[test]
fn with_the_delivery_next_nothing_waits_for_it() {
    let (stops, assessment) = stops_of(&TestSite::new());
    let mut points = assessment.hold_points.clone();
    for point in points
        .iter_mut()
        .filter(|point| point.hold_point < HoldPoint::Deliver)
    {
        point.state = HoldState::Signed;
    }
    assert!(waiting_for_delivery(&stops, &assessment.checks, &points).is_empty());
}

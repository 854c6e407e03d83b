//! Permission: each paper holds through its last day; today on the test site is 2026-06-01.

use crate::frame::result::Outcome;
use crate::frame::testing::TestSite;

/// Permits by state: (check, question, question of the last day, question of who says so).
const PERMITS: &[(&str, &str)] = &[
    ("permission.building", "permit.building"),
    ("permission.electrical", "permit.electrical"),
    ("permission.street", "permit.street"),
];

fn site() -> TestSite {
    TestSite::new()
        .yes("site", "permit.street_needed", true)
        .yes("site", "street.traffic_plan", true)
}

#[test]
fn a_permit_by_its_state_and_last_day() {
    for (check, question) in PERMITS {
        let (expires, said_by) = (format!("{question}_expires"), format!("{question}_said_by"));
        assert_eq!(site().missing(check), [*question]);
        for (state, expect) in [
            ("not_asked", Outcome::Open),
            ("applied", Outcome::Open),
            ("issued", Outcome::Open),
            ("issued_without_end", Outcome::Clear),
            ("refused", Outcome::Short),
            ("not_required", Outcome::Open),
        ] {
            let site = site().choice("site", question, state);
            assert_eq!(site.outcome(check), expect, "{check} {state}");
        }
        let issued = site().choice("site", question, "issued");
        for (month, day, expect) in [(6, 1, Outcome::Clear), (5, 31, Outcome::Short)] {
            let site = issued.clone().date("site", &expires, 2026, month, day);
            assert_eq!(site.outcome(check), expect, "{check} {month}-{day}");
            // On delivery day, where that is fixed.
            let later = site.date("site", "deliver.date", 2026, 6, 20);
            assert_eq!(later.outcome(check), Outcome::Short, "{check}");
        }
        let free = site().choice("site", question, "not_required");
        let named = free.clone().text("site", &said_by, "the permit desk");
        assert_eq!(named.outcome(check), Outcome::Clear, "{check}");
        let unnamed = free.text("site", &said_by, "  ");
        assert_eq!(unnamed.outcome(check), Outcome::Open, "{check}");
    }
    let off_street = TestSite::new().yes("site", "permit.street_needed", false);
    assert_eq!(off_street.outcome("permission.street"), Outcome::Clear);
}

#[test]
fn agreements() {
    for (check, answers, expect) in [
        (
            "permission.association",
            vec![("association.must_approve", "no")],
            Outcome::Clear,
        ),
        (
            "permission.association",
            vec![("association.must_approve", "yes")],
            Outcome::Open,
        ),
        (
            "permission.association",
            vec![
                ("association.must_approve", "yes"),
                ("association.approval", "approved"),
            ],
            Outcome::Clear,
        ),
        (
            "permission.association",
            vec![
                ("association.must_approve", "yes"),
                ("association.approval", "refused"),
            ],
            Outcome::Short,
        ),
        (
            "permission.hours",
            vec![("hours.limited", "no")],
            Outcome::Clear,
        ),
        (
            "permission.hours",
            vec![("hours.limited", "yes"), ("hours.fits", "no")],
            Outcome::Short,
        ),
        (
            "permission.hours",
            vec![("hours.limited", "yes"), ("hours.fits", "yes")],
            Outcome::Clear,
        ),
        (
            "permission.neighbour",
            vec![("neighbour.land_used", "no")],
            Outcome::Clear,
        ),
        (
            "permission.neighbour",
            vec![
                ("neighbour.land_used", "yes"),
                ("neighbour.agreed", "by_word"),
            ],
            Outcome::Open,
        ),
        (
            "permission.neighbour",
            vec![
                ("neighbour.land_used", "yes"),
                ("neighbour.agreed", "in_writing"),
            ],
            Outcome::Clear,
        ),
    ] {
        let site = answers
            .iter()
            .fold(TestSite::new(), |site, (question, answer)| match *answer {
                "yes" | "no" => site.yes("site", question, *answer == "yes"),
                choice => site.choice("site", question, choice),
            });
        assert_eq!(site.outcome(check), expect, "{answers:?}");
    }
}

#[test]
fn the_location_ticket_holds_until_digging_ends() {
    let site = TestSite::new()
        .yes("site", "utilities.digging", true)
        .text("site", "utilities.ticket", "ticket 7")
        .date("site", "utilities.ticket_expires", 2026, 6, 1)
        .yes("site", "utilities.all_marked", true)
        .choice("site", "utilities.private_lines", "marked");
    let outcome = |site: &TestSite| site.outcome("permission.utilities");
    assert_eq!(outcome(&site), Outcome::Clear);
    let next_day = site.clone().today(2026, 6, 2);
    assert_eq!(outcome(&next_day), Outcome::Short);
    let finished = next_day.date("site", "dig.finished_on", 2026, 5, 30);
    assert_eq!(outcome(&finished), Outcome::Clear);
    let unmarked = site.clone().yes("site", "utilities.all_marked", false);
    assert_eq!(outcome(&unmarked), Outcome::Open);
    let private = site
        .clone()
        .choice("site", "utilities.private_lines", "not_looked_for");
    assert_eq!(outcome(&private), Outcome::Open);
    let untouched = site
        .yes("site", "utilities.digging", false)
        .choice("site", "base.placing", "on_grade")
        .choice("site", "base.kind", "existing_slab");
    assert_eq!(outcome(&untouched), Outcome::NotNeeded);
    // A no does not stand beside what is dug for (common practice, no source).
    for (question, choice) in [
        ("base.kind", "slab"),
        ("base.kind", "rock"),
        ("base.kind", "pad"),
        ("base.placing", "vault"),
        ("base.placing", "partly_recessed"),
    ] {
        let site = untouched.clone().choice("site", question, choice);
        assert_eq!(outcome(&site), Outcome::Open, "{choice}");
    }
    let ring = untouched.clone().yes("site", "bonding.ring_planned", true);
    assert_eq!(outcome(&ring), Outcome::Open);
    let unsaid = untouched.without("site", "base.kind");
    assert_eq!(unsaid.missing("permission.utilities"), ["base.kind"]);
}

#[test]
fn certificates_of_carrier_and_operator() {
    let rolled = TestSite::new().choice("site", "way.chain", "rolled").date(
        "site",
        "insurance.expires",
        2026,
        6,
        1,
    );
    assert_eq!(rolled.outcome("permission.insurance"), Outcome::Clear);
    let expired = rolled
        .clone()
        .date("site", "insurance.expires", 2026, 5, 31);
    assert_eq!(expired.outcome("permission.insurance"), Outcome::Short);
    let lifted = rolled.choice("site", "way.chain", "lifted");
    assert_eq!(
        lifted.missing("permission.insurance"),
        ["operator.certificate_expires"]
    );
    let late = lifted.date("site", "operator.certificate_expires", 2026, 5, 31);
    assert_eq!(late.outcome("permission.insurance"), Outcome::Short);
}

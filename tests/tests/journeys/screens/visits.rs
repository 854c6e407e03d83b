//! Which screens there are: every address of the router's table, and the states reached inside them.

use setdown_app::routes::{Area, ROUTES, RouteSpec};
use setdown_app::words::word;
use setdown_tests::yard::Yard;
use setdown_types::party::Role;
use setdown_types::quantity::Dimension;
use setdown_types::question::{self, AnswerKind, Question};
use setdown_types::subject::{Subject, SubjectKind};

use super::looking::Visit;
use super::site::Filled;

/// Nothing in the demo has this id.
const NOBODY: &str = "01924f00-0000-7000-8000-000000000001";

/// Every address of an area, each with what the demo has for its named segments.
pub fn routes(yard: &Yard, filled: &Filled, area: Area) -> Vec<Visit> {
    let specs = ROUTES.iter().filter(|spec| spec.area == area);
    specs
        .map(|spec| {
            let address = address_of(spec, filled);
            assert!(!address.contains(':'), "nothing to put into {address}");
            let name = format!("route{}", spec.path.replace('/', "-").replace(':', ""));
            Visit::new(name, yard.at(&address))
        })
        .collect()
}

fn address_of(spec: &RouteSpec, filled: &Filled) -> String {
    spec.path
        .replace(":site", &filled.site.to_string())
        .replace(":subject", "site")
        .replace(":question", "spot.people_from")
        .replace(":check", "roll.openings")
}

/// One question for every kind of answer that `role` is asked for.
fn one_of_each_kind(role: Role) -> Vec<(&'static str, &'static Question)> {
    let mut kinds: Vec<(&'static str, &'static Question)> = Vec::new();
    let may_be_shown = |row: &&Question| {
        row.may_answer(role)
            && matches!(
                row.subject,
                SubjectKind::Site
                    | SubjectKind::Opening
                    | SubjectKind::Leg
                    | SubjectKind::Slot
                    | SubjectKind::LevelPoint
            )
    };
    for row in question::all().filter(may_be_shown) {
        let Some(kind) = entry_name(row.kind) else {
            continue;
        };
        if !kinds.iter().any(|(known, _)| *known == kind) {
            kinds.push((kind, row));
        }
    }
    kinds
}

/// What the entry of a kind is called; `None` for what is not entered on a phone.
fn entry_name(kind: AnswerKind) -> Option<&'static str> {
    match kind {
        AnswerKind::Measure(Dimension::Length) => Some("length"),
        AnswerKind::Measure(Dimension::Slope) => Some("slope"),
        AnswerKind::Measure(_) => Some("number"),
        AnswerKind::Count => Some("count"),
        AnswerKind::YesNo => Some("yes-no"),
        AnswerKind::Choice(_) => Some("choice"),
        AnswerKind::Choices(_) => Some("choices"),
        AnswerKind::Text => Some("text"),
        AnswerKind::Date => Some("date"),
        AnswerKind::Photo => Some("photo"),
        AnswerKind::Attestation => Some("attestation"),
        AnswerKind::Slot => Some("slot"),
        AnswerKind::Level => Some("level"),
        AnswerKind::Points { .. } => Some("points"),
        AnswerKind::Tie => Some("tie"),
        AnswerKind::Signature | AnswerKind::Pin => None,
    }
}

fn subject_text(subject: Subject) -> String {
    if subject == Subject::SITE {
        "site".to_owned()
    } else {
        format!("{}.{}", subject.kind.key(), subject.id)
    }
}

/// Where a question is asked about the demo's thing of its kind, or about a new one.
fn ask(yard: &Yard, filled: &Filled, base: &str, question: &str) -> String {
    let kind = question::find(question)
        .expect("a question of the table")
        .subject;
    let subject = match kind {
        SubjectKind::Site => "site".to_owned(),
        SubjectKind::Opening => subject_text(filled.gate),
        SubjectKind::Leg => subject_text(filled.leg),
        other => format!("{}.{NOBODY}", other.key()),
    };
    yard.at(&format!("{base}/ask/{subject}/{question}"))
}

/// The question screen with every kind of entry.
pub fn entries(yard: &Yard, filled: &Filled, role: Role) -> Vec<Visit> {
    let base = base(filled, role);
    one_of_each_kind(role)
        .into_iter()
        .map(|(kind, row)| {
            Visit::new(format!("ask-{kind}"), ask(yard, filled, &base, row.key)).wait_for(".entry")
        })
        .collect()
}

fn base(filled: &Filled, role: Role) -> String {
    match role {
        Role::Homeowner => "/home".to_owned(),
        _ => format!("/field/{}", filled.site),
    }
}

/// The states that entries get into while somebody answers.
pub fn states_of_asking(yard: &Yard, filled: &Filled) -> Vec<Visit> {
    let base = base(filled, Role::Coordinator);
    let at = |question: &str| ask(yard, filled, &base, question);
    let key = |visit: Visit, key: &str| {
        visit.until(format!(
            "const key = [...document.querySelectorAll('.keypad button')].find((each) => each.textContent.trim() === '{key}');\
             if (!key) return false; key.click(); return true;"
        ))
    };
    let tick = "const ruler = document.querySelector('.ruler'); if (!ruler) return false;\
         const box = ruler.getBoundingClientRect();\
         ruler.dispatchEvent(new PointerEvent('pointerdown', { clientX: box.left + box.width * 0.41, bubbles: true }));\
         return true;";
    let keyed = ["8", "ft", "4"].iter().fold(
        Visit::new("ask-length-keyed", at("opening.width_hip")),
        |visit, each| key(visit, each),
    );
    let typing = |name: &str, text: &str| {
        Visit::new(name, at("opening.width_head"))
            // What was typed before comes back, and with it the input.
            .until(
                "if (document.querySelector('.length-entry input')) return true;\
                 document.querySelector('.length-head .chip')?.click(); return false;",
            )
            .write(".length-entry input", text)
    };
    vec![
        keyed,
        Visit::then("ask-length-ruler").until(tick).wait_for(".intents"),
        Visit::then("ask-length-how").click(".fold.how > summary"),
        Visit::then("ask-length-working").press(&word("working.title")).wait_for(".working"),
        Visit::then("ask-length-history").press(&word("ask.history")),
        typing("ask-length-which-is-meant", "7-10-08").wait_for("fieldset.doubt"),
        typing("ask-length-doubted", "78 ft").wait_for(".doubt"),
        typing("ask-length-not-understood", "seven foot something").wait_for(".understanding .unclear"),
        Visit::new("ask-length-cannot", at("leg.width")).press(&word("entry.cannot_measure")).wait_for(".no-answer + .field"),
        Visit::new("ask-nothing-to-keep", at("leg.length"))
            .click(".field-bottom .primary")
            .until("return document.querySelector('.field-bottom [role=alert]')?.textContent.trim().length > 0;"),
        Visit::new("ask-slope-by-gap", at("leg.slope_along"))
            .press(&word("slope.level_and_tape"))
            .write(".slope-entry label:last-of-type input", "48"),
        Visit::new("ask-conflict", at("spot.clear_foot")).wait_for(".standing .notice"),
        Visit::new("ask-level-placed", at("level_point.height"))
            .until(
                "const places = document.querySelector('.level-entry select'); if (!places) return false;\
                 places.value = places.options[3].value; places.dispatchEvent(new Event('change', { bubbles: true }));\
                 return true;",
            ),
        Visit::new("ask-slot-breaker", at("slot.holds")).press(&word("slot.two_pole")).wait_for(".slot-entry [role=group] ~ [role=group]"),
        Visit::new("ask-slots-listed", at("panel.slots_listed")).wait_for(".slot-grid"),
        Visit::new("ask-openings-listed", at("way.openings_listed")).wait_for(".things"),
        Visit::new("ask-attested", at("attest.base_ground")).wait_for(".standing"),
        Visit::new("ask-name-of-a-thing", at("opening.present")).wait_for(".button.danger"),
    ]
}

/// The states of the coordinator's other screens.
pub fn states_of_the_field(yard: &Yard, filled: &Filled) -> Vec<Visit> {
    let site = |rest: &str| yard.at(&format!("/field/{}{rest}", filled.site));
    vec![
        Visit::new("overview-tape-open", site("")).click(".tape-button").wait_for(".tape-items"),
        Visit::then("overview-all-hold-points").press(&word("overview.other_hold_points")),
        Visit::new("taped-plan", yard.at(&format!("/field/{}/plan", filled.taped))).wait_for(".plan .dimension, .plan path"),
        Visit::new("taped-way", yard.at(&format!("/field/{}/way", filled.taped))).wait_for(".moves li"),
        Visit::new("stopped-overview", yard.at(&format!("/field/{}", filled.stopped))).wait_for(".tape-block.stopped"),
        Visit::then("stopped-tape-open").click(".tape-button").wait_for(".tape-items"),
        Visit::new("stopped-check", yard.at(&format!("/field/{}/checks/roll.openings", filled.stopped))),
        Visit::new("walk-all-open", site("/walk")).until(
            "const folds = [...document.querySelectorAll('details')]; folds.forEach((fold) => { fold.open = true; });\
             return folds.length > 3;",
        ),
        Visit::new("tasks-all-open", site("/tasks")).until(
            "const folds = [...document.querySelectorAll('details')]; folds.forEach((fold) => { fold.open = true; });\
             return folds.length > 1;",
        ),
        Visit::new("history-strike", site("/history")).press(&word("history.strike")),
        Visit::new("site-not-here", yard.at(&format!("/field/{NOBODY}"))),
        Visit::new("question-unknown", site("/ask/site/no.such_question")),
        Visit::new("check-unknown", site("/checks/no.such_check")),
        Visit::new("address-unknown", yard.at("/field/a/b/c/d/e/f")),
        Visit::new("update-waiting", site("/walk"))
            .until("window.dispatchEvent(new Event('setdown-update-waiting')); return true;")
            .wait_for("[aria-label=Update]"),
    ]
}

/// One check of every area.
pub fn checks(yard: &Yard, filled: &Filled) -> Vec<Visit> {
    let mut areas = Vec::new();
    for check in setdown_rules::checks::all() {
        if !areas.iter().any(|(known, _)| *known == check.area) {
            areas.push((check.area, check.key));
        }
    }
    let site = filled.site;
    areas
        .into_iter()
        .map(|(_, key)| {
            Visit::new(
                format!("check-{key}"),
                yard.at(&format!("/field/{site}/checks/{key}")),
            )
        })
        .collect()
}

/// The views of a site at the desk, and what opens in them.
pub fn states_of_the_office(yard: &Yard, filled: &Filled) -> Vec<Visit> {
    let site = |query: &str| yard.at(&format!("/office/{}{query}", filled.site));
    let view = |key: &str| {
        Visit::new(format!("view-{key}"), site(&format!("?view={key}"))).wait_for(".tabs")
    };
    let mut visits: Vec<Visit> = [
        "checks",
        "plan",
        "readings",
        "tasks",
        "hold_points",
        "history",
        "photos",
        "invitations",
        "contacts",
    ]
    .map(view)
    .into();
    visits.extend([
        Visit::new(
            "taped-plan",
            yard.at(&format!("/office/{}?view=plan", filled.taped)),
        )
        .wait_for(".moves li"),
        Visit::new("check-opened", site("?view=checks#check-roll-openings"))
            .wait_for("#check-roll-openings .working"),
        Visit::new("tape-open", site(""))
            .click(".tape-button")
            .wait_for(".tape-items"),
        Visit::new("reading-history", site("?view=readings"))
            .click(".table.readings .button.small")
            .wait_for(".entry-line"),
        Visit::then("reading-answered-again")
            .click(".table.readings .button.small + .button.small")
            .wait_for(".desk-entry"),
        Visit::new("hold-point-in-the-way", site("?view=hold_points"))
            .click(".office details > summary"),
        Visit::new("sheet-homeowner", site("?view=tasks&party=homeowner")).wait_for(".sheet"),
        Visit::new("sheet-electrician", site("?view=tasks&party=electrician")).wait_for(".sheet"),
        Visit::new("invitation-made", site("?view=invitations"))
            .write("#invitation-name", "the other owner")
            .click("form button.primary")
            .wait_for("#invitation-link"),
        Visit::new("invitation-revoking", site("?view=invitations")).press(&word("office.revoke")),
        Visit::new("contact-edited", site("?view=contacts"))
            .press(&word("office.change"))
            .wait_for("form"),
        Visit::new("contact-erasing", site("?view=contacts")).press(&word("office.erase")),
        Visit::new(
            "stopped",
            yard.at(&format!("/office/{}?view=hold_points", filled.stopped)),
        )
        .wait_for(".tabs"),
        Visit::new("nothing-found", yard.at("/office"))
            .wait_for("#search")
            .write("#search", "no such site anywhere")
            .until(format!(
                "return document.body.textContent.includes({});",
                serde_json::json!(word("office.nothing_matches"))
            )),
        Visit::new("new-without-a-name", yard.at("/office/new")).press(&word("office.make_site")),
        Visit::new("site-unknown", yard.at(&format!("/office/{NOBODY}")))
            .wait_for(".notice.error")
            .logs(&["404"]),
    ]);
    visits
}

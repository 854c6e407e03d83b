//! A new site from spa, practice revision and contact; a hold point of it is signed, and a changed reading opens it again.

use setdown_app::words::{check_title, date_text, filled, question_title, word};
use setdown_rules::frame::result::{HoldPoint, HoldState};
use setdown_tests::browser::Failure;
use setdown_tests::yard::{LIMIT, page_says};
use setdown_types::question::{self, AnswerKind};
use setdown_types::subject::Subject;

use super::Office;

const NAME: &str = "Cottage by the mill";
const SIGNER: &str = "Dealer's desk";
/// Check whose card shows the question, question, answer as typed or chosen by its key; dates in days from today.
const ANSWERS: &[(&str, &str, &str)] = &[
    ("power.receptacle", "base.placing", "on_grade"),
    ("power.receptacle", "receptacle.from_water", "10 ft"),
    ("power.receptacle", "receptacle.ground_fault", "yes"),
    ("power.gfci", "gfci.kind", "integral_listed"),
    ("power.gfci", "attest.power_gfci", "-2"),
    ("stage.energised", "start.filled_on", "-2"),
    ("stage.energised", "start.energised_on", "-1"),
    ("stage.ground_fault", "start.ground_fault_test", "-1"),
];
const POINT: &str = "section[aria-labelledby=point-start]";

#[tokio::test]
async fn a_hold_point_is_signed_and_a_changed_reading_opens_it_again() -> Result<(), Failure> {
    let office = Office::open().await?;
    let id = new_site(&office).await?;
    for (check, question, answer) in ANSWERS {
        answer_in_card(&office, check, question, answer).await?;
    }
    office.tab("hold_points").await?;
    office.mark().await?;
    let state = format!("{POINT} .state-mark .word");
    office.says(&state, &word("state.ready_to_sign")).await?;
    sign(&office).await?;
    office.says(&state, &word("state.signed")).await?;
    let today = setdown_server::clock::today("America/Denver");
    let who = [("person", SIGNER), ("date", &date_text(today))];
    office
        .says(
            &format!("{POINT} > .notice"),
            &filled("office.signed_by", &who),
        )
        .await?;
    assert_eq!(state_of(&office, &id).await?, HoldState::Signed);

    office.tab("readings").await?;
    change_the_distance(&office).await?;
    office.tab("hold_points").await?;
    office
        .says(
            &format!("{POINT} .notice.stopped strong"),
            &word("office.reopened"),
        )
        .await?;
    office
        .says(
            &format!("{POINT} .notice.stopped li"),
            &check_title("power.receptacle"),
        )
        .await?;
    office
        .counts(&format!("{POINT} .notice.stopped li"), 1)
        .await?;
    office.says(&state, &word("state.ready_to_sign")).await?;
    assert_eq!(state_of(&office, &id).await?, HoldState::ReadyToSign);
    office.assert_not_reloaded().await
}

/// Fills the form; gives the id of the site that it made.
async fn new_site(office: &Office) -> Result<String, Failure> {
    let desk = &office.desk;
    desk.tap("a[href='/office/new']", "").await?;
    desk.text("#site-name").await?;
    desk.tap("form.new-site button[type=submit]", "").await?;
    page_says(desk, &word("office.site_name_missing")).await?;
    desk.write("#site-name", NAME).await?;
    desk.write("#site-zone", "America/Denver").await?;
    let spa = desk
        .run("return [...document.querySelectorAll('#site-spa option')].find((one) => one.textContent.startsWith('short one-zone unit')).textContent;")
        .await?;
    desk.pick("#site-spa", spa.as_str().ok_or("a spa")?).await?;
    desk.pick("#contact-0-party", &word("party.electrician"))
        .await?;
    desk.write("#contact-0-name", "The electrician of the job")
        .await?;
    desk.tap("form.new-site button[type=submit]", "").await?;
    page_says(desk, "short one-zone unit").await?;
    let id = office.is_on_a_site().await?;
    office.says(".site-head h1", NAME).await?;
    page_says(desk, "Valley dealer practice").await?;
    office.tab("contacts").await?;
    page_says(desk, "The electrician of the job").await?;
    office.tab("checks").await?;
    Ok(id)
}

/// Begins the ids of the form for a question about the site.
fn form_of(question: &str) -> String {
    format!("answer-{}-{}", Subject::SITE.id, question.replace('.', "-"))
}

/// Opens a check, and in it the form of a question that it waits for; answers that.
async fn answer_in_card(
    office: &Office,
    check: &str,
    question: &str,
    answer: &str,
) -> Result<(), Failure> {
    let (desk, form) = (&office.desk, form_of(question));
    let card = format!("#check-{}", check.replace('.', "-"));
    let open = format!("return document.querySelector('{card}').open;");
    if desk.run(&open).await? != true {
        desk.tap(&format!("{card} > summary"), "").await?;
    }
    let title = serde_json::to_string(&question_title(question))?;
    let find = format!(
        "const row = [...document.querySelectorAll('{card} .needs li')].find((each) => each.textContent.includes({title}));\
         const button = row && row.querySelector('button'); if (!button) return false;\
         button.setAttribute('data-answer', ''); return true;"
    );
    desk.until(question, LIMIT, &find).await?;
    desk.tap("[data-answer]", "").await?;
    let row = question::find(question).ok_or("a question")?;
    let field = format!("[id='{form}']");
    match row.kind {
        AnswerKind::Attestation => attest(office, &form, answer).await?,
        AnswerKind::Date => pick_date(office, &field, answer).await?,
        AnswerKind::YesNo => desk.pick(&field, &word(&format!("entry.{answer}"))).await?,
        AnswerKind::Choice(_) => {
            let label = word(&format!("choice.{question}.{answer}"));
            desk.pick(&field, &label).await?;
        }
        _ => desk.write(&field, answer).await?,
    }
    desk.tap(
        &format!("{card} form button[type=submit]"),
        &word("office.keep_answer"),
    )
    .await?;
    office.counts(&field, 0).await?;
    office.counts(&format!("[id='{form}-person']"), 0).await
}

async fn attest(office: &Office, form: &str, days: &str) -> Result<(), Failure> {
    for (part, text) in [
        ("person", "The electrician of the job"),
        ("licence", "as on the letter"),
        ("document", "test record"),
    ] {
        office
            .desk
            .write(&format!("[id='{form}-{part}']"), text)
            .await?;
    }
    pick_date(office, &format!("[id='{form}-date']"), days).await
}

async fn pick_date(office: &Office, field: &str, days: &str) -> Result<(), Failure> {
    let today = setdown_server::clock::today("America/Denver");
    let days: i64 = days.parse()?;
    let date = today.checked_add(jiff::Span::new().days(days))?;
    office.desk.set_picker(field, &date.to_string()).await
}

/// Reads, ticks, writes the name, signs; each step that is left out is asked for first.
async fn sign(office: &Office) -> Result<(), Failure> {
    let desk = &office.desk;
    let submit = format!("{POINT} form.sign button[type=submit]");
    desk.tap(&submit, "").await?;
    page_says(desk, &word("office.sign_read_first")).await?;
    desk.tap(&format!("{POINT} form.sign input[type=checkbox]"), "")
        .await?;
    desk.tap(&submit, "").await?;
    page_says(desk, &word("office.sign_name_missing")).await?;
    desk.write("#sign-start", SIGNER).await?;
    desk.tap(&submit, "").await
}

/// The receptacle was moved: another distance, because the site changed.
async fn change_the_distance(office: &Office) -> Result<(), Failure> {
    let desk = &office.desk;
    let title = question_title("receptacle.from_water");
    desk.tap(
        "table.readings button",
        &format!("{}: {title}", word("office.answer_again")),
    )
    .await?;
    let form = form_of("receptacle.from_water");
    desk.write(&format!("[id='{form}']"), "11 ft 6 in").await?;
    let changed = word("office.intent.changed");
    desk.tap("table.readings label.choice", &changed).await?;
    desk.tap(
        "table.readings form button[type=submit]",
        &word("office.keep_answer"),
    )
    .await?;
    office.counts(&format!("[id='{form}']"), 0).await?;
    page_says(desk, "11 ft 6 in").await
}

async fn state_of(office: &Office, id: &str) -> Result<HoldState, Failure> {
    let view = office.site(id).await?;
    let points = &view.assessment.hold_points;
    let point = points
        .iter()
        .find(|point| point.hold_point == HoldPoint::Start);
    Ok(point.ok_or("the hold point")?.state)
}

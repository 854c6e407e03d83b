//! What the coordinator's screens offer: notes that stay with the dealer, today's questions first, every key in reach.

use setdown_app::words::word;
use setdown_tests::browser::{Browser, Failure};
use setdown_tests::clients::Client;
use setdown_tests::yard::{LIMIT, Yard, page_says, phone, sign_in, strip_says, take_along};
use setdown_types::entry::Entry;
use setdown_types::ids::SiteId;
use setdown_types::value::Value;

const SITE: &str = "Hillside house";

async fn with_the_site(yard: &Yard) -> Result<(Browser, String, tempfile::TempDir), Failure> {
    let profile = tempfile::tempdir()?;
    let browser = phone(profile.path()).await?;
    sign_in(&browser, yard, "valley-coordinator", "/field").await?;
    let id = take_along(&browser, SITE).await?;
    Ok((browser, id, profile))
}

#[tokio::test]
async fn a_note_for_the_dealer_only_reaches_the_office_and_no_homeowner() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let (browser, id, _profile) = with_the_site(&yard).await?;
    browser
        .open(&yard.at(&format!("/field/{id}/notes")))
        .await?;
    browser
        .tap(".staff-only > summary", &word("notes.staff"))
        .await?;
    let words = "They are in a quarrel with the neighbor";
    browser.write(".staff-only textarea", words).await?;
    browser
        .tap(".staff-only button.primary", &word("notes.keep"))
        .await?;
    let listed = format!(
        "return document.querySelector('.staff-only .entries')?.textContent.includes('{words}') ?? false;"
    );
    browser.until("the note among them", LIMIT, &listed).await?;
    strip_says(&browser, "Everything is sent").await?;

    let office = Client::sign_in(&yard.at(""), "valley-office").await;
    let site = SiteId::parse(&id).ok_or("a site id")?;
    let notes: Vec<Value> = office
        .pull(site, 0)
        .await
        .entries
        .iter()
        .filter_map(|pulled| Entry::from_json(pulled.raw.get()).ok())
        .filter(|entry| entry.question == "site.staff_note")
        .filter_map(|entry| entry.value().cloned())
        .collect();
    assert_eq!(notes, [Value::Text(words.to_owned())]);

    let message = serde_json::json!({ "site": site, "name": "the homeowner" });
    let (_, made) = office.post("/api/office/invite", &message).await;
    let token = made["link"].as_str().and_then(|link| link.split_once('#'));
    let folder = tempfile::tempdir()?;
    let home = phone(folder.path()).await?;
    home.open(&yard.at(&format!("/home#{}", token.ok_or("a token")?.1)))
        .await?;
    page_says(&home, &word("home.list")).await?;
    home.open(&yard.at("/home/notes")).await?;
    page_says(&home, &word("notes.keep")).await?;
    let offered = home
        .run("return document.querySelectorAll('.staff-only').length;")
        .await?;
    assert_eq!(offered, 0);
    Ok(())
}

#[tokio::test]
async fn questions_of_the_delivery_day_are_folded_and_nothing_leads_there() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let (browser, id, _profile) = with_the_site(&yard).await?;
    browser.open(&yard.at(&format!("/field/{id}/walk"))).await?;
    browser.text("details.station").await?;
    let groups = browser
        .run(
            "return [...document.querySelectorAll('details.station')].map((group) => [\
               group.querySelector('h2').textContent, group.open,\
               [...group.querySelectorAll('a.line-link')].map((link) => link.getAttribute('href').split('/').pop())]);",
        )
        .await?;
    let groups: Vec<(String, bool, Vec<String>)> = serde_json::from_value(groups)?;
    let (later, today) = groups.split_last().ok_or("groups")?;
    assert_eq!(
        (later.0.as_str(), later.1),
        (word("walk.on_the_day").as_str(), false)
    );
    let is_later = |question: &str| later.2.iter().any(|each| each == question);
    let is_today = |question: &str| {
        today
            .iter()
            .any(|group| group.2.iter().any(|each| each == question))
    };
    // The way in is measured today; the meter that is read with the unit standing is not.
    assert!(is_today("way.chain") && !is_later("way.chain"));
    assert!(is_later("fill.as_set_fall") && !is_today("fill.as_set_fall"));
    assert!(
        today
            .iter()
            .all(|group| group.2.iter().all(|question| !is_later(question)))
    );

    // Where the walk goes on from the overview is never among them.
    browser.open(&yard.at(&format!("/field/{id}"))).await?;
    browser
        .tap("a.button.primary.grow", &word("overview.go_on"))
        .await?;
    browser.text("h1.question").await?;
    let path = browser.run("return location.pathname;").await?;
    let question = path.as_str().and_then(|path| path.rsplit('/').next());
    assert!(is_today(question.ok_or("a question")?), "{path}");
    Ok(())
}

/// Every question that is answered on keys, with the keypad as the question opens.
#[tokio::test]
async fn every_key_stands_above_the_bar_when_a_question_opens() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let (browser, id, _profile) = with_the_site(&yard).await?;
    browser.until_kept_for_offline().await?;
    server.kill();
    browser.open(&yard.at(&format!("/field/{id}/walk"))).await?;
    browser.text("details.station").await?;
    let links = browser
        .run("return [...document.querySelectorAll('details.station a.line-link')].map((link) => link.getAttribute('href'));")
        .await?;
    let links: Vec<String> = serde_json::from_value(links)?;
    let mut looked_at = std::collections::BTreeSet::new();
    let mut covered = Vec::new();
    for link in links {
        let question = link.rsplit('/').next().unwrap_or_default().to_owned();
        let on_keys = setdown_types::question::find(&question)
            .is_some_and(|row| matches!(row.kind, setdown_types::question::AnswerKind::Measure(_)));
        if !on_keys || !looked_at.insert(question.clone()) {
            continue;
        }
        browser.open(&yard.at(&link)).await?;
        let there = "return document.querySelectorAll('.entry .keypad button').length > 0;";
        browser.until("its keys", LIMIT, there).await?;
        let hidden = browser
            .run(
                "return [...document.querySelectorAll('.keypad button')].filter((key) => {\
                   const box = key.getBoundingClientRect();\
                   const at = document.elementFromPoint(box.left + box.width / 2, box.bottom - 4);\
                   return !at || !key.contains(at); }).map((key) => key.textContent.trim());",
            )
            .await?;
        if hidden != serde_json::json!([]) {
            covered.push(format!("{question}: {hidden}"));
        }
    }
    assert!(looked_at.len() > 20, "{looked_at:?}");
    assert!(covered.is_empty(), "under the bar: {covered:?}");
    Ok(())
}

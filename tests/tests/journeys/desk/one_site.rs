//! One site: its checks with their working, its readings with their history, and changes without a reload.

use setdown_app::office::messages::SiteView;
use setdown_app::words::{Wording, question_title, word};
use setdown_tests::browser::Failure;
use setdown_tests::clients::{Client, seq};
use setdown_tests::yard::page_says;
use setdown_types::ids::SiteId;
use setdown_types::ledger::fold;
use setdown_types::quantity::UnitSystem;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use super::{Office, SITE};

/// The formula lines of a check, in words, as the server's own assessment has them.
fn working(view: &SiteView, check: &str) -> Vec<String> {
    let records: Vec<_> = view
        .records
        .iter()
        .filter_map(|record| record.record())
        .collect();
    let site = fold(&records);
    let wording = Wording::new(UnitSystem::Us, &site);
    view.assessment
        .check(check)
        .into_iter()
        .flat_map(|check| &check.items)
        .flat_map(|item| &item.working)
        .map(|line| wording.line(line))
        .collect()
}

#[tokio::test]
async fn a_check_shows_the_working_that_the_server_has() -> Result<(), Failure> {
    let office = Office::open().await?;
    let id = office.go_to(SITE).await?;
    let expected = working(&office.site(&id).await?, "roll.pull");
    assert!(expected.len() > 2, "{expected:?}");
    office.desk.tap("#check-roll-pull > summary", "").await?;
    office
        .counts("#check-roll-pull .formula li", expected.len())
        .await?;
    let shown = office
        .desk
        .run("return [...document.querySelectorAll('#check-roll-pull .formula li')].map((line) => line.textContent.trim());")
        .await?;
    assert_eq!(shown, serde_json::to_value(&expected)?);
    let inside = office.desk.text("#check-roll-pull .check-inside").await?;
    for words in [word("working.caution"), word("working.sources")] {
        assert!(inside.contains(&words), "{words}: {inside}");
    }
    Ok(())
}

#[tokio::test]
async fn a_reading_shows_spread_method_author_and_history() -> Result<(), Failure> {
    let office = Office::open().await?;
    office.go_to(SITE).await?;
    office.tab("readings").await?;
    let question = question_title("opening.width_hip");
    office.desk.write("#reading-search", &question).await?;
    office
        .counts("table.readings tbody:not([hidden]) > tr", 1)
        .await?;
    let row = office
        .desk
        .text("section:not([hidden]) > .table-frame table.readings tbody tr")
        .await?;
    for words in [
        "8 ft 6 1/2 in",
        "±",
        &word("method.tape"),
        "Demo coordinator",
    ] {
        assert!(row.contains(words), "{words}: {row}");
    }
    office
        .desk
        .tap(
            "table.readings button",
            &format!("{}: {question}", word("office.history")),
        )
        .await?;
    office.counts("ol.history li.entry-line", 1).await?;
    let line = office.desk.text("ol.history li.entry-line").await?;
    assert!(line.contains(&word("office.did.first")), "{line}");
    Ok(())
}

#[tokio::test]
async fn what_a_phone_sends_stands_on_the_open_page() -> Result<(), Failure> {
    let office = Office::open().await?;
    let id = office.go_to(SITE).await?;
    let outcome = "#check-roll-openings .gap-mark .word";
    office.says(outcome, &word("outcome.open")).await?;
    office
        .desk
        .tap("#check-roll-openings > summary", "")
        .await?;
    office.mark().await?;
    let coordinator = Client::sign_in(&office.yard.at(""), "valley-coordinator").await;
    let site = SiteId::parse(&id).ok_or("a site id")?;
    let listed = coordinator.entry(
        site,
        Subject::SITE,
        "way.openings_listed",
        Value::YesNo(true),
    );
    assert!(seq(&coordinator.push_one(&listed).await) > 0);
    office.says(outcome, &word("outcome.clear")).await?;
    // What was opened stays open.
    office
        .counts("#check-roll-openings .check-inside", 1)
        .await?;
    page_says(&office.desk, &word("office.live")).await?;
    office.assert_not_reloaded().await
}

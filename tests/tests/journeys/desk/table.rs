//! The table: pages, search, state, order; and no site of another dealer in it.

use setdown_app::words::{filled, word};
use setdown_server::demo::{DEALERS, seed};
use setdown_server::settings::DataSettings;
use setdown_server::state::AppState;
use setdown_tests::browser::Failure;
use setdown_tests::yard::{LIMIT, Yard, page_says};

use super::{Office, SITE};

/// More than one page.
const MORE: u32 = 60;

async fn yard_with_many_sites() -> Result<Yard, Failure> {
    let yard = Yard::new().await?;
    let folder = tempfile::tempdir()?;
    let settings = DataSettings {
        database_url: Some(yard.database_url.clone()),
        ..DataSettings::under(folder.path())
    };
    let state = AppState::open_data(&settings, &yard.at("")).await?;
    seed(&state, MORE).await?;
    state.store.close().await;
    Ok(yard)
}

fn range(first: usize, last: usize, total: usize) -> String {
    let [first, last, total] = [first, last, total].map(|number| number.to_string());
    filled(
        "office.range",
        &[("first", &first), ("last", &last), ("total", &total)],
    )
}

#[tokio::test]
async fn the_table_is_paged_searched_narrowed_and_ordered() -> Result<(), Failure> {
    let office = Office::open_as(yard_with_many_sites().await?, "valley-office").await?;
    let all = DEALERS[0].sites.len() + MORE as usize;
    let pages = "nav[aria-label=Pages] [role=status]";
    let rows = "table.sites tbody tr";
    office.says(pages, &range(1, 50, all)).await?;
    office.counts(rows, 50).await?;
    office
        .desk
        .tap("nav[aria-label=Pages] button", &word("office.next"))
        .await?;
    office.says(pages, &range(51, all, all)).await?;
    office.counts(rows, all - 50).await?;
    office
        .desk
        .tap("nav[aria-label=Pages] button", &word("office.previous"))
        .await?;
    office.says(pages, &range(1, 50, all)).await?;

    office.desk.write("#search", "ROW house").await?;
    office.counts(rows, 1).await?;
    office.says("table.sites th a", "Narrow row house").await?;
    office.desk.write("#search", "no such place").await?;
    page_says(&office.desk, &word("office.nothing_matches")).await?;
    office.desk.write("#search", "seeded site 00").await?;
    office.says(pages, &range(1, 50, MORE as usize)).await?;
    office.desk.write("#search", "house").await?;
    office.counts(rows, 2).await?;

    // By state: only the surveyed house is stopped.
    office.desk.pick("#state", &word("state.stopped")).await?;
    office.counts(rows, 1).await?;
    office.says("table.sites th a", SITE).await?;
    office
        .desk
        .pick("#state", &word("office.every_state"))
        .await?;
    office.counts(rows, 2).await?;

    // By name, and the other way round.
    office
        .says("table.sites tbody tr:first-child a", SITE)
        .await?;
    office
        .desk
        .tap(
            "table.sites .heading",
            &format!("{} ↑", word("office.column.site")),
        )
        .await?;
    office
        .says("table.sites tbody tr:first-child a", "Narrow row house")
        .await?;

    // Back from a site the table is as it was left.
    office.go_to(SITE).await?;
    office.desk.tap("a.office-home", "").await?;
    office.counts(rows, 2).await?;
    assert_eq!(office.desk.value("#search").await?, "house");
    Ok(())
}

#[tokio::test]
async fn another_dealer_neither_lists_nor_opens_it() -> Result<(), Failure> {
    let office = Office::open().await?;
    let id = office.go_to(SITE).await?;
    let Office {
        yard,
        desk,
        _server,
        _profile,
    } = office;
    drop((desk, _server, _profile));
    let coast = Office::open_as(yard, "coast-office").await?;
    coast
        .counts("table.sites tbody tr", DEALERS[1].sites.len())
        .await?;
    let listed = coast.desk.text("table.sites").await?;
    assert!(
        DEALERS[0].sites.iter().all(|name| !listed.contains(name)),
        "{listed}"
    );
    coast
        .desk
        .open(&coast.yard.at(&format!("/office/{id}")))
        .await?;
    let refused = "return document.querySelector('.notice.error')?.textContent.includes('not yours to see') === true;";
    coast.desk.until("the refusal", LIMIT, refused).await?;
    let shown = coast.desk.text("body").await?;
    assert!(!shown.contains(SITE), "{shown}");
    Ok(())
}

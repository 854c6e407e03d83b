//! One phone, several people: whose sites it shows, and who is put out of whose place.

use serde_json::json;
use setdown_app::words::{filled, word};
use setdown_server::demo::DEALERS;
use setdown_tests::browser::Failure;
use setdown_tests::clients::Client;
use setdown_tests::yard::{LIMIT, Yard, page_says, press, sign_in, strip_says};
use setdown_types::party::Role;

use super::{COORDINATOR, OFFICE, Phone};

impl Phone {
    /// Waits until the list of sites links, or does not link, to the phone's own site.
    async fn lists_its_site(&self, listed: bool) -> Result<(), Failure> {
        let script = format!(
            "return document.querySelectorAll('.site-card').length > 0 &&\
             !!document.querySelector('a[href=\"/field/{}\"]') === {listed};",
            self.site
        );
        let what = if listed {
            "the site"
        } else {
            "a list without it"
        };
        self.shown_on_failure(self.browser.until(what, LIMIT, &script).await)
            .await
    }

    /// How often this page has asked the server for entries of its site.
    async fn pulls(&self) -> Result<u64, Failure> {
        let script = format!(
            "return performance.getEntriesByType('resource').filter((each) => each.name.includes('/api/sync/pull?site={}')).length;",
            self.site
        );
        Ok(self.browser.run(&script).await?.as_u64().ok_or("a count")?)
    }
}

#[tokio::test]
async fn the_sites_of_another_dealer_are_neither_listed_nor_asked_for() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    sign_in(
        &phone.browser,
        &yard,
        &DEALERS[1].sign_in(Role::Coordinator),
        "/field",
    )
    .await?;
    phone.lists_its_site(false).await?;
    // Opened anew, so that only requests of theirs are counted.
    phone.browser.open(&yard.at("/field")).await?;
    phone.lists_its_site(false).await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    assert_eq!(phone.pulls().await?, 0);

    sign_in(&phone.browser, &yard, COORDINATOR, "/field").await?;
    phone.lists_its_site(true).await?;
    page_says(&phone.browser, "brought up to date: ").await
}

/// Runs one statement past the server.
async fn past_the_server(yard: &Yard, statement: &str) -> Result<(), Failure> {
    use sqlx::{Connection, Executor};
    sqlx::any::install_default_drivers();
    let mut connection = sqlx::AnyConnection::connect(&yard.database_url).await?;
    connection.execute("PRAGMA foreign_keys = OFF").await?;
    let changed = connection
        .execute(sqlx::AssertSqlSafe(statement.to_owned()))
        .await?;
    connection.close().await?;
    assert_eq!(changed.rows_affected(), 1, "{statement}");
    Ok(())
}

#[tokio::test]
async fn a_site_that_is_no_longer_theirs_stays_legible_and_is_not_asked_for_again()
-> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    let elsewhere = "01924f00-0000-7000-8000-0000000000ff";
    past_the_server(
        &yard,
        &format!(
            "UPDATE sites SET id = '{elsewhere}' WHERE id = '{}'",
            phone.site
        ),
    )
    .await?;
    let server = yard.start();
    phone.browser.open(&yard.at("/field")).await?;
    page_says(&phone.browser, &word("sites.no_longer_yours")).await?;
    strip_says(&phone.browser, "1 not taken").await?;
    // Asked for again, neither by a round nor by another page.
    phone.browser.open(&yard.at("/field")).await?;
    page_says(&phone.browser, &word("sites.no_longer_yours")).await?;
    phone.signal_is_back().await?;
    let idle = "return performance.getEntriesByType('resource').some((each) => each.name.includes('/api/sync/sites'));";
    phone.browser.until("the list", LIMIT, idle).await?;
    assert_eq!(phone.pulls().await?, 0);
    phone.open("/history").await?;
    page_says(&phone.browser, "Rolled flat on dollies").await?;

    // It is theirs again once the server lists it.
    server.kill();
    past_the_server(
        &yard,
        &format!(
            "UPDATE sites SET id = '{}' WHERE id = '{elsewhere}'",
            phone.site
        ),
    )
    .await?;
    let _server = yard.start();
    phone.browser.open(&yard.at("/field")).await?;
    press(&phone.browser, &word("sites.refresh")).await?;
    let gone = format!(
        "return !document.body.textContent.includes({});",
        json!(word("sites.no_longer_yours"))
    );
    phone.browser.until("the mark to go", LIMIT, &gone).await?;
    phone.lists_its_site(true).await
}

#[tokio::test]
async fn a_link_asks_before_it_puts_the_coordinator_out() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    let office = Client::sign_in(&yard.at(""), OFFICE).await;
    let message = json!({ "site": phone.site, "name": "the homeowner" });
    let (status, made) = office.post("/api/office/invite", &message).await;
    assert!(status.is_success(), "{made}");
    let token = made["link"].as_str().and_then(|link| link.split_once('#'));
    let link = yard.at(&format!("/home#{}", token.ok_or("a token")?.1));
    server.kill();
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    strip_says(&phone.browser, "1 only on this phone").await?;

    let coordinator = "Demo coordinator";
    let in_use = filled("opening.in_use", &[("name", coordinator)]);
    phone.browser.open("about:blank").await?;
    phone.browser.open(&link).await?;
    page_says(&phone.browser, &in_use).await?;
    page_says(
        &phone.browser,
        &filled("opening.only_here", &[("count", "1")]),
    )
    .await?;
    press(&phone.browser, &word("opening.stay")).await?;
    page_says(
        &phone.browser,
        &filled("sites.signed_in_as", &[("name", coordinator)]),
    )
    .await?;

    // With signal, and on purpose.
    let _server = yard.start();
    phone.browser.open("about:blank").await?;
    phone.browser.open(&link).await?;
    page_says(&phone.browser, &in_use).await?;
    press(&phone.browser, &word("opening.go")).await?;
    let listed = "return !!document.querySelector('.station') && location.hash === '';";
    phone.browser.until("the checklist", LIMIT, listed).await?;
    // The same link again, by the same person: nobody is put out.
    phone.browser.open("about:blank").await?;
    phone.browser.open(&link).await?;
    phone.browser.until("the checklist", LIMIT, listed).await
}

#[tokio::test]
async fn with_nobody_signed_in_the_list_offers_one_way_in() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    phone.browser.open(&yard.at("/field/settings")).await?;
    press(&phone.browser, &word("settings.sign_out")).await?;
    page_says(&phone.browser, &word("sites.not_signed_in")).await?;
    let ways = format!(
        "return [...document.querySelectorAll('a, button')].filter((each) => each.textContent.trim() === {}).length;",
        json!(word("field.sign_in"))
    );
    // A round has found out that nobody is signed in: the state that used to add a second button.
    let asked = "return performance.getEntriesByType('resource').some((each) => each.name.includes('/api/sync/session'));";
    for page in ["/field/settings", "/field"] {
        phone.browser.open(&yard.at(page)).await?;
        page_says(&phone.browser, &word("sites.not_signed_in")).await?;
        phone.browser.until("a round", LIMIT, asked).await?;
        tokio::time::sleep(std::time::Duration::from_millis(500)).await;
        assert_eq!(phone.browser.run(&ways).await?, 1, "{page}");
    }
    Ok(())
}

impl Phone {
    /// Keeps a note that stays with the dealer.
    async fn note_for_staff(&self, words: &str) -> Result<(), Failure> {
        self.open("/notes").await?;
        let browser = &self.browser;
        browser
            .tap(".staff-only > summary", &word("notes.staff"))
            .await?;
        browser.write(".staff-only textarea", words).await?;
        browser
            .tap(".staff-only button.primary", &word("notes.keep"))
            .await?;
        // The strip may say "sent" from before: the note itself has to be there.
        let listed = format!(
            "return document.querySelector('.staff-only .entries')?.textContent.includes('{words}') ?? false;"
        );
        browser.until("the note among them", LIMIT, &listed).await?;
        strip_says(browser, "Everything is sent").await
    }

    /// The text of the file that the settings offer.
    async fn exported(&self) -> Result<String, Failure> {
        let browser = &self.browser;
        browser
            .open(&format!("{}/field/settings", self.base))
            .await?;
        let listen = "window.offered = []; const before = URL.createObjectURL;\
            URL.createObjectURL = (blob) => { window.offered.push(blob); return before.call(URL, blob); };";
        browser.run(listen).await?;
        press(browser, &word("settings.export")).await?;
        page_says(browser, &word("settings.exported")).await?;
        let text = browser
            .run_async("return await window.offered[0].text();")
            .await?;
        Ok(text.as_str().ok_or("a text")?.to_owned())
    }
}

#[tokio::test]
async fn the_file_of_a_shared_phone_holds_what_who_is_signed_in_may_see() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    let words = "They are in a quarrel with the neighbor";
    phone.note_for_staff(words).await?;
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    let file = phone.exported().await?;
    assert!(file.contains(words) && file.contains("way.chain"));
    serde_json::from_str::<serde_json::Value>(&file)?;

    let kept = phone.stored("entries").await?.len();
    // A homeowner is led away from the settings: the other person of a shared phone is another dealer's.
    sign_in(
        &phone.browser,
        &yard,
        &DEALERS[1].sign_in(Role::Coordinator),
        "/field",
    )
    .await?;
    phone.lists_its_site(false).await?;
    let file = phone.exported().await?;
    assert!(!file.contains(words) && !file.contains("way.chain"));
    assert!(!file.contains(&phone.site.to_string()));
    let kept = kept.to_string();
    let told = [
        ("entries", kept.as_str()),
        ("photos", "0"),
        ("only", "0"),
        ("drafts", "0"),
    ];
    let told = filled("export.left_out", &told);
    let read: serde_json::Value = serde_json::from_str(&file)?;
    assert_eq!(read["left_out"], json!(told));
    page_says(&phone.browser, &told).await
}

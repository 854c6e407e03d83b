//! The sign-in ends while the phone is offline.

use setdown_app::words::filled;
use setdown_tests::browser::Failure;
use setdown_tests::clients::Client;
use setdown_tests::yard::{LIMIT, Yard, page_says, sign_in, strip_says};
use setdown_types::ids::PersonId;

use super::{COORDINATOR, LENGTH, OFFICE, Phone, choice, on_server, until_on_server, values};

impl Phone {
    /// The length on screen.
    async fn typed_length(&self) -> Result<String, Failure> {
        self.browser.text(".length-shown .large").await
    }

    /// Waits until a draft of this person lies in the store, and no other.
    async fn has_draft_of(&self, person: PersonId) -> Result<(), Failure> {
        let until = std::time::Instant::now() + LIMIT;
        loop {
            let drafts = self.stored("drafts").await?;
            let authors: Vec<_> = drafts.iter().map(|draft| draft["author"].clone()).collect();
            if authors == [serde_json::json!(person)] {
                return Ok(());
            }
            if std::time::Instant::now() > until {
                return Err(format!("drafts of {authors:?}").into());
            }
            tokio::time::sleep(std::time::Duration::from_millis(100)).await;
        }
    }
}

/// Ends every session, past the server.
async fn revoke_all(yard: &Yard) -> Result<(), Failure> {
    sqlx::any::install_default_drivers();
    let pool = sqlx::AnyPool::connect(&yard.database_url).await?;
    let ended = sqlx::query("DELETE FROM sessions").execute(&pool).await?;
    pool.close().await;
    assert!(ended.rows_affected() > 0, "nobody was signed in");
    Ok(())
}

#[tokio::test]
async fn a_sign_in_that_ended_offline_drops_nothing_and_lends_nobody_a_name() -> Result<(), Failure>
{
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    let coordinator = Client::sign_in(&yard.at(""), COORDINATOR)
        .await
        .session
        .person;
    let office = Client::sign_in(&yard.at(""), OFFICE).await.session.person;
    server.kill();
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    phone.choose("base.kind", "New concrete slab").await?;
    strip_says(&phone.browser, "2 only on this phone").await?;
    revoke_all(&yard).await?;

    // Signal again: the queue stops, and says what to do.
    let _server = yard.start();
    phone.signal_is_back().await?;
    page_says(
        &phone.browser,
        "Sign in to send. Everything saved stays on this phone.",
    )
    .await?;
    strip_says(&phone.browser, "2 only on this phone").await?;

    // Somebody else signs in on this phone: what they write is sent, and nothing else.
    sign_in(&phone.browser, &yard, OFFICE, "/field").await?;
    phone.choose("way.attitude", "Flat").await?;
    let theirs = until_on_server(&yard, phone.site, "way.attitude", 1).await?;
    assert!(theirs.iter().all(|entry| entry.author == office));
    for question in ["way.chain", "base.kind"] {
        let sent = on_server(&yard, phone.site, question).await?;
        assert!(sent.is_empty(), "sent under another's name: {sent:?}");
    }
    strip_says(&phone.browser, "2 only on this phone").await?;
    page_says(&phone.browser, "Written by somebody else on this phone: 2.").await?;

    // The one who wrote it signs in again.
    sign_in(&phone.browser, &yard, COORDINATOR, "/field").await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    for (question, value) in [("way.chain", "rolled"), ("base.kind", "slab")] {
        let sent = on_server(&yard, phone.site, question).await?;
        assert_eq!(values(&sent), [choice(value)]);
        assert!(sent.iter().all(|entry| entry.author == coordinator));
    }
    Ok(())
}

/// Whoever signs in in one tab takes nothing over that somebody else was typing in another; it waits for who typed it.
#[tokio::test]
async fn who_signs_in_in_another_tab_keeps_nothing_that_was_typed_here() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    let coordinator = Client::sign_in(&yard.at(""), COORDINATOR).await.session;
    let office = Client::sign_in(&yard.at(""), OFFICE).await.session;
    phone.ask(LENGTH).await?;
    phone.key("9").await?;
    phone.key("7").await?;
    let typed = phone.typed_length().await?;
    phone.has_draft_of(coordinator.person).await?;

    let client = &phone.browser.client;
    let here = client.window().await?;
    let other = client.new_window(true).await?.handle;
    client.switch_to_window(other.clone()).await?;
    sign_in(&phone.browser, &yard, OFFICE, "/field").await?;
    client.switch_to_window(here.clone()).await?;
    let names = [
        ("from", coordinator.name.as_str()),
        ("to", office.name.as_str()),
    ];
    page_says(&phone.browser, &filled("session.handed_over", &names)).await?;
    assert_ne!(
        phone.typed_length().await?,
        typed,
        "it is not theirs to keep"
    );
    phone.key("5").await?;
    phone.keep().await?;
    let kept = until_on_server(&yard, phone.site, LENGTH, 1).await?;
    assert!(kept.iter().all(|entry| entry.author == office.person));
    phone.has_draft_of(coordinator.person).await?;

    client.switch_to_window(other).await?;
    sign_in(&phone.browser, &yard, COORDINATOR, "/field").await?;
    client.switch_to_window(here).await?;
    phone.ask(LENGTH).await?;
    let back = format!(
        "return document.querySelector('.length-shown .large').textContent.trim() === {};",
        serde_json::to_string(&typed)?
    );
    phone.browser.until("what was typed", LIMIT, &back).await
}

//! The sign-in ends while the phone is offline.

use setdown_tests::browser::Failure;
use setdown_tests::clients::Client;
use setdown_tests::yard::{Yard, page_says, sign_in, strip_says};

use super::{COORDINATOR, OFFICE, Phone, choice, on_server, until_on_server, values};

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

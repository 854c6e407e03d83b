//! The way to the server loses an answer.

use setdown_tests::browser::Failure;
use setdown_tests::proxy::{Proxy, Weather};
use setdown_tests::yard::{LIMIT, Yard, strip_says};

use super::{Phone, choice, on_server, until_on_server, values};

#[tokio::test]
async fn an_answer_lost_on_the_way_back_leaves_the_entry_once() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let proxy = Proxy::start(yard.port).await?;
    let phone = Phone::with_a_site(&proxy.at("")).await?;
    proxy.set(Weather::LosesAnswers("/api/sync/pu".to_owned()));
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    proxy.until_lost(0, LIMIT).await?;
    strip_says(&phone.browser, "1 only on this phone").await?;
    let there = until_on_server(&yard, phone.site, "way.chain", 1).await?;

    // Tried again, and lost again; what a pull would tell is lost as well.
    let before = proxy.lost();
    phone.signal_is_back().await?;
    proxy.until_lost(before, LIMIT).await?;
    strip_says(&phone.browser, "1 only on this phone").await?;

    proxy.set(Weather::Fair);
    phone.signal_is_back().await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    let after = on_server(&yard, phone.site, "way.chain").await?;
    assert_eq!(values(&after), [choice("rolled")]);
    assert_eq!(
        there.first().map(|entry| entry.id),
        after.first().map(|entry| entry.id)
    );
    let [(_, state)] = &phone.entries("way.chain").await?[..] else {
        return Err("not one entry on the phone".into());
    };
    assert_eq!(state, "settled");
    Ok(())
}

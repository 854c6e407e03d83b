//! A newer build of the app arrives while a survey is unsent.

use setdown_tests::browser::Failure;
use setdown_tests::packed::copy_as_newer_build;
use setdown_tests::proxy::{Proxy, Weather};
use setdown_tests::running_server::packed_folder;
use setdown_tests::yard::{LIMIT, Yard, strip_says};

use super::{LENGTH, Phone, choice, on_server, until_on_server, values};

const BUILD: &str = "return document.querySelector('meta[name=setdown-build]').content";

#[tokio::test]
async fn an_unsent_survey_goes_through_an_update_and_is_sent_by_the_new_build()
-> Result<(), Failure> {
    let yard = Yard::new().await?;
    let newer = tempfile::tempdir()?;
    let new_build = copy_as_newer_build(&packed_folder(), newer.path())?;
    let server = yard.start();
    let proxy = Proxy::start(yard.port).await?;
    let phone = Phone::with_a_site(&proxy.at("")).await?;
    let old_build = phone.browser.run(BUILD).await?;
    server.kill();
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    phone.choose("base.kind", "New concrete slab").await?;
    phone.ask(LENGTH).await?;
    phone.key("7").await?;
    phone
        .until_stored("drafts", "the length so far", |draft| {
            draft["text"] == "7 in"
        })
        .await?;

    // The new build gets through to the phone; what the phone has to say does not get out.
    proxy.set(Weather::Stops(" /api/".to_owned()));
    let server = yard.start_with(newer.path());
    phone.signal_is_back().await?;
    let waits = "return window.setdownUpdateWaiting === true;";
    phone
        .browser
        .until("the update to wait", LIMIT, waits)
        .await?;
    phone.length_reads("7 in").await?;
    assert_eq!(phone.browser.run(BUILD).await?, old_build);
    server.kill();

    // Consent, with no server in reach.
    phone.browser.click("[aria-label=Update] button").await?;
    let switched = format!(
        "const build = document.querySelector('meta[name=setdown-build]');\
         return !!build && build.content === '{new_build}';"
    );
    phone
        .browser
        .until("the new build", LIMIT, &switched)
        .await?;
    phone.length_reads("7 in").await?;
    strip_says(&phone.browser, "2 only on this phone").await?;

    proxy.set(Weather::Fair);
    let _server = yard.start_with(newer.path());
    phone.signal_is_back().await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    for (question, value) in [("way.chain", "rolled"), ("base.kind", "slab")] {
        let sent = on_server(&yard, phone.site, question).await?;
        assert_eq!(values(&sent), [choice(value)]);
    }
    phone.keep().await?;
    until_on_server(&yard, phone.site, LENGTH, 1).await?;
    Ok(())
}

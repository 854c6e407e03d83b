//! The installed app: opens from a killed state with no server, and changes build only when asked.

use setdown_app::routes::ROUTES;
use setdown_server::web::{self, assets::Assets, headers};
use setdown_tests::browser::{Browser, Failure, PHONE};
use setdown_tests::packed::{copy, copy_as_newer_build, packed_file};
use setdown_tests::running_server::{RunningServer, packed_folder};
use std::path::Path;
use std::time::Duration;

const BUILD_ON_SCREEN: &str = "return document.querySelector('meta[name=setdown-build]').content";

/// Serves the packed app in `folder`, and nothing else.
fn serve(folder: &Path, port: u16) -> Result<RunningServer, Failure> {
    let assets = Assets::load(folder)?;
    RunningServer::start(headers::secure(web::pages(&assets), false), port)
}

#[tokio::test]
async fn every_offline_route_opens_from_a_killed_state_with_no_server() -> Result<(), Failure> {
    let profile = tempfile::tempdir()?;
    let server = serve(&packed_folder(), 0)?;
    let browser = Browser::start(profile.path(), PHONE).await?;
    browser.open(&server.at("/field")).await?;
    browser.text("#app h1").await?;
    browser.until_kept_for_offline().await?;
    browser.kill();
    let addresses: Vec<String> = ROUTES
        .iter()
        .filter(|spec| spec.offline)
        .map(|spec| server.at(&spec.example("01924f00-0000-7000-8000-000000000001")))
        .collect();
    assert!(!addresses.is_empty());
    server.stop()?;

    let browser = Browser::start(profile.path(), PHONE).await?;
    for address in addresses {
        browser
            .open(&address)
            .await
            .map_err(|error| format!("{address}: {error}"))?;
        let heading = browser
            .text("#app h1")
            .await
            .map_err(|error| format!("{address}: {error}"))?;
        assert!(!heading.is_empty(), "{address} shows an empty heading");
        assert_ne!(heading, "Setdown could not start", "{address}");
        assert_ne!(heading, "Nothing here", "{address} finds no screen");
        let reached = browser
            .run_async("return await fetch('/api/any').then(() => true, () => false)")
            .await?;
        assert_eq!(
            reached, false,
            "a server still answers, so {address} proves nothing"
        );
    }
    Ok(())
}

#[tokio::test]
async fn an_update_waits_for_consent_and_the_old_build_keeps_running() -> Result<(), Failure> {
    let profile = tempfile::tempdir()?;
    let newer = tempfile::tempdir()?;
    let new_build = copy_as_newer_build(&packed_folder(), newer.path())?;

    let server = serve(&packed_folder(), 0)?;
    let port = server.port();
    let browser = Browser::start(profile.path(), PHONE).await?;
    browser.open(&server.at("/field")).await?;
    browser.until_kept_for_offline().await?;
    let old_build = browser.run(BUILD_ON_SCREEN).await?;
    assert_ne!(old_build, new_build.as_str());
    server.stop()?;

    let server = serve(newer.path(), port)?;
    browser.open(&server.at("/field")).await?;
    assert_eq!(
        browser.run(BUILD_ON_SCREEN).await?,
        old_build,
        "the phone runs what it has"
    );
    let waiting = "return window.setdownUpdateWaiting === true";
    browser
        .until("the update to wait", Duration::from_secs(20), waiting)
        .await?;
    browser.client.refresh().await?;
    browser.text("#app h1").await?;
    assert_eq!(
        browser.run(BUILD_ON_SCREEN).await?,
        old_build,
        "loading again is not consent"
    );

    browser
        .until("the update to wait", Duration::from_secs(20), waiting)
        .await?;
    browser.click("[aria-label=Update] button").await?;
    let switched = format!(
        "return document.querySelector('meta[name=setdown-build]').content === '{new_build}'"
    );
    browser
        .until("the new build", Duration::from_secs(20), &switched)
        .await?;
    browser.text("#app h1").await?;
    Ok(())
}

#[tokio::test]
async fn a_build_that_cannot_be_kept_whole_is_not_kept_at_all() -> Result<(), Failure> {
    let profile = tempfile::tempdir()?;
    let broken = tempfile::tempdir()?;
    copy(&packed_folder(), broken.path())?;
    std::fs::remove_file(broken.path().join("public/icons/setdown-512.png"))?;

    let server = serve(broken.path(), 0)?;
    let browser = Browser::start(profile.path(), PHONE).await?;
    browser.open(&server.at("/field")).await?;
    browser.text("#app h1").await?;
    let state = browser
        .run_async(
            "const answer = await navigator.serviceWorker.register('/service-worker.js');\
             const worker = answer.installing || answer.waiting || answer.active;\
             while (worker.state === 'installing') await new Promise((go) => setTimeout(go, 20));\
             return worker.state",
        )
        .await?;
    assert_eq!(state, "redundant");
    let caches = browser
        .run_async("return (await caches.keys()).length")
        .await?;
    assert_eq!(caches, 0, "half a build was left behind");
    Ok(())
}

#[tokio::test]
async fn a_wasm_that_cannot_start_says_so_in_words() -> Result<(), Failure> {
    let profile = tempfile::tempdir()?;
    let broken = tempfile::tempdir()?;
    copy(&packed_folder(), broken.path())?;
    let wasm = packed_file(broken.path(), "setdown.wasm")?;
    std::fs::write(&wasm, b"\0asm\x01\0\0\0 not a module")?;
    std::fs::remove_file(format!("{}.br", wasm.display()))?;

    let server = serve(broken.path(), 0)?;
    let browser = Browser::start(profile.path(), PHONE).await?;
    browser.open(&server.at("/field")).await?;
    assert_eq!(browser.text("#app h1").await?, "Setdown could not start");
    assert!(
        browser
            .text("[role=alert] p")
            .await?
            .contains("Nothing on this phone was lost")
    );
    Ok(())
}

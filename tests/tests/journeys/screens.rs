//! Every screen, looked at: the router's table and the states inside its screens, on a phone upright, sideways, in the
//! dark and with large text, and at the desk.
//!
//! What is right is said elsewhere: the Web Content Accessibility Guidelines 2.2 (A and AA, through an independent
//! checker), and target sizes by the design's own rule of 48 px, 8 px apart, which is stricter than their 24 px. Writes
//! the contact sheet to `tests/screens/index.html`.

mod looking;
mod sheet;
mod site;
mod visits;

use looking::{AT_DESK, DARK, LARGE_TEXT, Looker, OFFICE_PHONE, SIDEWAYS, UPRIGHT, Visit};
use setdown_app::routes::Area;
use setdown_app::words::word;
use setdown_tests::browser::{Browser, DESK, Failure};
use setdown_tests::yard::{LIMIT, Yard, sign_in};
use setdown_types::party::Role;
use site::Filled;

const PHONE_WAYS: [looking::Mode; 3] = [UPRIGHT, DARK, LARGE_TEXT];

#[tokio::test]
async fn screens_of_the_field() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let filled = Filled::new(&yard).await?;
    let profile = tempfile::tempdir()?;
    let browser = Browser::start(profile.path(), DESK).await?;
    let mut look = Looker::new(&browser, "field")?;

    for visit in visits::routes(&yard, &filled, Area::Door) {
        look.visit(&visit, &PHONE_WAYS).await?;
    }
    let wrong = Visit::new("sign-in-wrong-password", yard.at("/sign-in"))
        .write("#sign-in-name", "valley-coordinator")
        .write("#sign-in-password", "not the password")
        .click("button[type=submit]")
        .wait_for(".notice.error")
        .logs(&["401"]);
    look.visit(&wrong, &PHONE_WAYS).await?;
    look.visit(
        &Visit::new("signed-out", yard.at("/field")).logs(&["401"]),
        &PHONE_WAYS,
    )
    .await?;

    sign_in(&browser, &yard, "valley-coordinator", "/field").await?;
    browser.console_errors().await?;
    for name in [site::SURVEYED, site::STOPPED, site::TAPED] {
        take_along(&browser, name).await?;
    }
    for visit in visits::routes(&yard, &filled, Area::Field) {
        look.visit(&visit, &PHONE_WAYS).await?;
    }
    for visit in visits::states_of_the_field(&yard, &filled) {
        look.visit(&visit, &PHONE_WAYS).await?;
    }
    for visit in visits::checks(&yard, &filled) {
        look.visit(&visit, &[UPRIGHT]).await?;
    }
    let asking = visits::entries(&yard, &filled, Role::Coordinator).into_iter();
    for visit in asking.chain(visits::states_of_asking(&yard, &filled)) {
        look.visit(&visit, &[UPRIGHT, DARK, LARGE_TEXT, SIDEWAYS])
            .await?;
    }

    // No server any more: an answer is on this phone only.
    browser.until_kept_for_offline().await?;
    server.kill();
    let unsent = Visit::new("saved-not-sent", yard.at(&format!("/field/{}/ask/site/way.attitude", filled.site)))
        .click(".entry .chip.line:not([aria-pressed=true])")
        .press(&word("ask.keep"))
        .until("return document.querySelector('.strip-state')?.textContent.includes('only on this phone') ?? false;")
        .logs(&["ERR_CONNECTION_REFUSED", "ERR_INCOMPLETE_CHUNKED_ENCODING"]);
    look.visit(&unsent, &PHONE_WAYS).await?;
    for (name, path) in [
        ("not-sent-overview", format!("/field/{}", filled.site)),
        (
            "not-sent-history",
            format!("/field/{}/history", filled.site),
        ),
        ("not-sent-settings", "/field/settings".to_owned()),
    ] {
        let visit = Visit::new(name, yard.at(&path)).logs(&["ERR_CONNECTION_REFUSED"]);
        look.visit(&visit, &[UPRIGHT]).await?;
    }
    look.finish()
}

/// Takes a site along by its name, and waits until it is among those on the phone.
async fn take_along(browser: &Browser, name: &str) -> Result<(), Failure> {
    let name = serde_json::json!(name);
    let card = format!(
        "[...document.querySelectorAll('.site-card')].find((each) => each.querySelector('strong').textContent === {name})"
    );
    let take = format!(
        "const take = {card}?.querySelector('button'); if (!take) return false; take.click(); return true;"
    );
    browser
        .until("the site to take along", LIMIT, &take)
        .await?;
    let taken = format!("return {card}?.matches('a') ?? false;");
    browser.until("the site on the phone", LIMIT, &taken).await
}

#[tokio::test]
async fn screens_of_the_homeowner() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let filled = Filled::new(&yard).await?;
    let profile = tempfile::tempdir()?;
    let browser = Browser::start(profile.path(), DESK).await?;
    let mut look = Looker::new(&browser, "home")?;
    let without = Visit::new("no-link", yard.at("/home")).logs(&["401"]);
    look.visit(&without, &PHONE_WAYS).await?;
    let never = Visit::new(
        "link-unknown",
        yard.at(&format!("/home#{}", "0".repeat(64))),
    )
    .wait_for(".notice.error")
    .logs(&["401", "404", "410", "403"]);
    look.visit(&never, &PHONE_WAYS).await?;

    browser.open(&yard.at("/")).await?;
    browser
        .open(&yard.at(&format!("/home#{}", filled.token)))
        .await?;
    browser
        .until(
            "the checklist",
            LIMIT,
            "return !!document.querySelector('.station');",
        )
        .await?;
    // What was logged before the link had let them in is not held against their screens.
    browser.console_errors().await?;
    for visit in visits::routes(&yard, &filled, Area::Homeowner) {
        look.visit(&visit, &PHONE_WAYS).await?;
    }
    for visit in visits::entries(&yard, &filled, Role::Homeowner) {
        look.visit(&visit, &[UPRIGHT, DARK, LARGE_TEXT, SIDEWAYS])
            .await?;
    }
    let all_open = Visit::new("list-all-open", yard.at("/home")).until(
        "const folds = [...document.querySelectorAll('details')]; folds.forEach((fold) => { fold.open = true; });\
         return folds.length > 1;",
    );
    look.visit(&all_open, &PHONE_WAYS).await?;
    let theirs = "return location.pathname.startsWith('/home');";
    let led = Visit::new(
        "led-home-from-the-field",
        yard.at(&format!("/field/{}/walk", filled.site)),
    )
    .until(theirs);
    look.visit(&led, &[UPRIGHT]).await?;
    let not_theirs = Visit::new(
        "question-of-the-coordinator",
        yard.at("/home/ask/site/panel.main_rating"),
    );
    look.visit(&not_theirs, &PHONE_WAYS).await?;

    // Every link of every screen of theirs stays with them.
    for spec in visits::routes(&yard, &filled, Area::Homeowner) {
        browser
            .open(spec.address.as_deref().unwrap_or_default())
            .await?;
        browser.until("the screen", LIMIT, "return !!document.querySelector('#app h1') && !document.querySelector('.starting');").await?;
        let elsewhere = browser
            .run("return [...document.querySelectorAll('a[href]')].map((link) => link.getAttribute('href')).filter((href) => !href.startsWith('/home'));")
            .await?;
        assert_eq!(elsewhere, serde_json::json!([]), "{}", spec.name);
    }

    // The other link ends while it is in use.
    let second = tempfile::tempdir()?;
    let other = Browser::start(second.path(), DESK).await?;
    other
        .open(&yard.at(&format!("/home#{}", filled.revoked)))
        .await?;
    other
        .until(
            "the checklist",
            LIMIT,
            "return !!document.querySelector('.station');",
        )
        .await?;
    filled.revoke().await?;
    let mut look_on = Looker::new(&other, "link")?;
    let ended = Visit::new("link-ended", yard.at("/home"))
        .wait_for(".strip-trouble")
        .logs(&["401"]);
    look_on.visit(&ended, &PHONE_WAYS).await?;
    drop(server);
    let (here, there) = (look.finish(), look_on.finish());
    here.and(there)
}

#[tokio::test]
async fn screens_of_the_office() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let filled = Filled::new(&yard).await?;
    let profile = tempfile::tempdir()?;
    let browser = Browser::start(profile.path(), DESK).await?;
    let mut look = Looker::new(&browser, "office")?;
    let signed_out = Visit::new("signed-out", yard.at("/office"))
        .wait_for(".notice.error")
        .logs(&["401"]);
    look.visit(&signed_out, &[AT_DESK, OFFICE_PHONE]).await?;
    sign_in(&browser, &yard, "valley-office", "/office").await?;
    browser.console_errors().await?;
    for visit in visits::routes(&yard, &filled, Area::Office) {
        look.visit(&visit, &[AT_DESK, OFFICE_PHONE]).await?;
    }
    let dark = looking::Mode {
        dark: true,
        name: ".desk-dark",
        ..AT_DESK
    };
    for visit in visits::states_of_the_office(&yard, &filled) {
        look.visit(&visit, &[AT_DESK, OFFICE_PHONE, dark]).await?;
    }
    look.finish()
}

#[tokio::test]
async fn a_link_to_a_check_opens_it_on_screen_and_a_tape_stays_as_it_was_put() -> Result<(), Failure>
{
    let yard = Yard::new().await?;
    let _server = yard.start();
    let filled = Filled::new(&yard).await?;
    let profile = tempfile::tempdir()?;
    let browser = Browser::start(profile.path(), DESK).await?;
    sign_in(&browser, &yard, "valley-office", "/office").await?;
    let on_screen = |id: &str| {
        format!(
            "const card = document.getElementById('{id}'); if (!card || !card.open) return false;\
             const top = card.getBoundingClientRect().top;\
             const bar = document.querySelector('.office-bar').getBoundingClientRect().bottom;\
             return top >= bar - 1 && top < innerHeight - 60;"
        )
    };
    // By address, from another page.
    let address = format!("/office/{}?view=checks#check-stage-hand_over", filled.site);
    browser.open(&yard.at(&address)).await?;
    browser
        .until(
            "the check by its address",
            LIMIT,
            &on_screen("check-stage-hand_over"),
        )
        .await?;

    // From a tape, with another view open: the check is not even listed where it is not needed.
    browser
        .open(&yard.at(&format!("/office/{}?view=history", filled.site)))
        .await?;
    let open_all = "const all = [...document.querySelectorAll('.tape-button')]; all.forEach((each) => each.click());\
         return all.length > 3;";
    browser.until("the tapes", LIMIT, open_all).await?;
    let counted = "return [...document.querySelectorAll('.tape-count')].map((each) => each.textContent).join();";
    let before = browser.run(counted).await?;
    let href = browser
        .run("return [...document.querySelectorAll('.tape-items a')].at(-1).getAttribute('href');")
        .await?;
    let id = href
        .as_str()
        .and_then(|href| href.split_once('#'))
        .ok_or("a link to a check")?
        .1
        .to_owned();

    // A phone in the yard answers: the tape changes under the open items, and they stay.
    filled.answer_one_more(&yard).await;
    let changed = format!(
        "return [...document.querySelectorAll('.tape-count')].map((each) => each.textContent).join() !== {before};"
    );
    browser
        .until("the tapes to change", LIMIT, &changed)
        .await?;
    let folded = browser
        .run("return document.querySelectorAll('.tape-button[aria-expanded=false]').length;")
        .await?;
    assert_eq!(folded, 0, "a live update folded a tape");

    let follow = "[...document.querySelectorAll('.tape-items a')].at(-1).click(); return true;";
    browser.run(follow).await?;
    browser
        .until("the check from the tape", LIMIT, &on_screen(&id))
        .await?;
    // Scrolled away and followed again, it comes again.
    browser.run("scrollTo(0, 0); return true;").await?;
    browser.run(follow).await?;
    browser
        .until("the check once more", LIMIT, &on_screen(&id))
        .await?;
    Ok(())
}

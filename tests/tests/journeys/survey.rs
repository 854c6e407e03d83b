//! A survey with no server in reach: saved, killed, sent; and seen at the desk without a reload.

use setdown_tests::browser::{Browser, DESK, Failure};
use setdown_tests::clients::Client;
use setdown_tests::yard::{
    LIMIT, UNSURVEYED, Yard, page_says, phone, press, sign_in, strip_says, taken_site,
    tap_take_along,
};
use setdown_types::entry::Entry;
use setdown_types::value::Value;

#[tokio::test]
async fn an_answer_given_with_no_server_survives_a_kill_and_reaches_the_desk() -> Result<(), Failure>
{
    let yard = Yard::new().await?;
    let server = yard.start();
    let (profile, desk_profile) = (tempfile::tempdir()?, tempfile::tempdir()?);
    let browser = phone(profile.path()).await?;
    sign_in(&browser, &yard, "valley-coordinator", "/field").await?;
    tap_take_along(&browser, UNSURVEYED).await?;
    let site = taken_site(&browser).await?;
    page_says(&browser, "brought up to date: ").await?;
    browser.until_kept_for_offline().await?;
    server.kill();

    // No server: the question opens, and what is kept is on this phone only.
    browser
        .open(&yard.at(&format!("{site}/ask/site/way.chain")))
        .await?;
    browser.text("h1.question").await?;
    browser
        .run(
            "window.asked = []; const begin = IDBDatabase.prototype.transaction;\
             IDBDatabase.prototype.transaction = function (stores, mode, options) {\
               if (mode === 'readwrite') window.asked.push(options && options.durability);\
               return begin.call(this, stores, mode, options); };",
        )
        .await?;
    press(&browser, "Rolled flat on dollies").await?;
    press(&browser, "Keep").await?;
    strip_says(&browser, "only on this phone").await?;
    let asked = browser.run("return window.asked;").await?;
    let asked = asked.as_array().ok_or("a list")?;
    assert!(
        !asked.is_empty() && asked.iter().all(|each| each == "strict"),
        "{asked:?}"
    );

    // The browser is killed, too; the entry is still there.
    browser.kill();
    let browser = phone(profile.path()).await?;
    browser.open(&yard.at(&site)).await?;
    strip_says(&browser, "only on this phone").await?;

    // The server comes back: the desk sees it without a reload.
    let _server = yard.start();
    let desk = Browser::start(desk_profile.path(), DESK).await?;
    sign_in(&desk, &yard, "valley-office", "/office").await?;
    let id = site.trim_start_matches("/field/").to_owned();
    desk.open(&yard.at(&format!("/office/{id}?view=history")))
        .await?;
    // A browser that is killed may lose the cookie it had not yet put away: the person signs in
    // again, and what they had saved goes out under their own name.
    sign_in(&browser, &yard, "valley-coordinator", "/field").await?;
    browser.open(&yard.at(&site)).await?;
    strip_says(&browser, "Everything is sent").await?;
    let seen = "return document.body.textContent.includes('Rolled flat on dollies');";
    desk.until("the answer at the desk", LIMIT, seen).await?;

    let office = Client::sign_in(&yard.at(""), "valley-office").await;
    let site = setdown_types::ids::SiteId::parse(&id).ok_or("a site id")?;
    let pulled = office.pull(site, 0).await;
    let chains: Vec<Value> = pulled
        .entries
        .iter()
        .filter_map(|pulled| Entry::from_json(pulled.raw.get()).ok())
        .filter(|entry| entry.question == "way.chain")
        .filter_map(|entry| entry.value().cloned())
        .collect();
    assert_eq!(
        chains,
        [Value::Choice("rolled".to_owned())],
        "sent once, whatever was tried"
    );
    Ok(())
}

#[tokio::test]
async fn a_homeowner_opens_the_link_once_and_then_needs_no_server() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let office = Client::sign_in(&yard.at(""), "valley-office").await;
    let site = office.site().await;
    let (status, made) = office
        .post(
            "/api/office/invite",
            &serde_json::json!({ "site": site, "name": "the homeowner" }),
        )
        .await;
    assert!(status.is_success(), "{status}: {made}");
    let text = made.to_string();
    let token = text
        .split("/home#")
        .nth(1)
        .map(|rest| {
            rest.chars()
                .take_while(char::is_ascii_hexdigit)
                .collect::<String>()
        })
        .ok_or("a link with a token")?;
    let profile = tempfile::tempdir()?;
    let browser = phone(profile.path()).await?;
    browser.open(&yard.at(&format!("/home#{token}"))).await?;
    let listed = "return !!document.querySelector('.station');";
    browser.until("the checklist", LIMIT, listed).await?;
    let hash = browser.run("return location.hash;").await?;
    assert_eq!(hash, "", "the token does not stay in the address");
    browser.until_kept_for_offline().await?;
    browser.kill();
    server.kill();

    let browser = phone(profile.path()).await?;
    browser.open(&yard.at("/home")).await?;
    browser
        .until("the checklist, offline", LIMIT, listed)
        .await?;
    Ok(())
}

//! The phone's own store fails: it is full, its handle is dead, or the browser has emptied it.

use std::time::{Duration, Instant};

use serde_json::json;
use setdown_app::words::word;
use setdown_tests::browser::Failure;
use setdown_tests::yard::{LIMIT, Yard, page_says, press, strip_says};
use setdown_types::value::Value;

use super::{LENGTH, Phone, choice, until_on_server, values};

/// The reason the entry screen gives for not having saved, where all of it can be seen without scrolling.
const REASON_IN_SIGHT: &str = "const reason = document.querySelector('[role=alert].not-saved');\
     if (!reason || !reason.textContent) return null;\
     const box = reason.getBoundingClientRect();\
     const at = (y) => document.elementFromPoint(box.left + box.width / 2, y);\
     const seen = reason.contains(at(box.top + 1)) && reason.contains(at(box.bottom - 1));\
     return seen ? reason.textContent : null;";

/// Waits until the screen gives a reason that names each of `parts`, in sight.
async fn reason_says(phone: &Phone, parts: &[&str]) -> Result<(), Failure> {
    let parts = serde_json::to_string(parts)?;
    let script = format!(
        "const reason = (() => {{ {REASON_IN_SIGHT} }})();\
         return !!reason && {parts}.every((part) => reason.includes(part));"
    );
    let waited = phone.browser.until("the reason", LIMIT, &script).await;
    phone.shown_on_failure(waited).await
}

/// Writes a row to a database of its own; gives the name of the error, or `written`.
const FILLS: &str = "const request = indexedDB.open('filler', 1);\
     request.onupgradeneeded = () => request.result.createObjectStore('rows', { autoIncrement: true });\
     const opened = await new Promise((done) => {\
       request.onsuccess = () => done(null); request.onerror = () => done(request.error); });\
     if (opened) return opened.name;\
     const transaction = request.result.transaction('rows', 'readwrite');\
     const over = new Promise((done) => {\
       transaction.oncomplete = () => done('written');\
       transaction.onabort = () => done(transaction.error ? transaction.error.name : 'aborted'); });\
     transaction.objectStore('rows').put('a row');\
     const answer = await over; request.result.close(); return answer;";

impl Phone {
    /// Leaves the page no room for its stores, and waits until the browser goes by that: it looks only now and then.
    async fn fill(&self) -> Result<(), Failure> {
        let parameters = json!({ "origin": self.base, "quotaSize": 1 });
        let command = "Storage.overrideQuotaForOrigin";
        self.browser.devtools(command, parameters).await?;
        let start = Instant::now();
        while self.browser.run_async(FILLS).await? != "QuotaExceededError" {
            if start.elapsed() > 3 * LIMIT {
                return Err("the browser does not go by the quota it was given".into());
            }
            tokio::time::sleep(Duration::from_millis(200)).await;
        }
        Ok(())
    }

    /// Gives the page its usual room again.
    async fn make_room(&self) -> Result<(), Failure> {
        let command = "Storage.overrideQuotaForOrigin";
        let parameters = json!({ "origin": self.base });
        self.browser.devtools(command, parameters).await.map(drop)
    }
}

#[tokio::test]
async fn a_full_store_says_so_and_keeps_what_was_typed() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    phone.ask(LENGTH).await?;
    phone.key("4").await?;
    phone.fill().await?;
    phone.key("ft").await?;
    phone.length_reads("4 ft 0 in").await?;
    phone.press_keep().await?;
    let said = [
        "storage is full",
        "was not saved",
        "Nothing that was saved is lost",
        "free some storage",
    ];
    reason_says(&phone, &said).await?;
    phone.length_reads("4 ft 0 in").await?;
    strip_says(&phone.browser, "1 only on this phone").await?;
    assert!(phone.entries(LENGTH).await?.is_empty());
    let before = phone.entries("way.chain").await?;
    assert_eq!(before.len(), 1, "what was saved before is still there");

    // Somebody made room.
    phone.make_room().await?;
    phone.keep().await?;
    strip_says(&phone.browser, "2 only on this phone").await?;
    assert_eq!(phone.entries(LENGTH).await?.len(), 1);
    Ok(())
}

/// Makes the page remember its database handle and count how often it opens one.
const WATCH_HANDLES: &str = "window.opened = 0;\
     const begin = IDBDatabase.prototype.transaction;\
     IDBDatabase.prototype.transaction = function (...given) { window.handle = this; return begin.apply(this, given); };\
     const open = IDBFactory.prototype.open;\
     IDBFactory.prototype.open = function (...given) {\
       if (window.refuses) throw new DOMException('the database is away', 'UnknownError');\
       window.opened += 1; return open.apply(this, given); };\
     return true;";

#[tokio::test]
async fn a_dead_handle_is_opened_again_and_the_answer_is_saved() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.ask(LENGTH).await?;
    phone.browser.run(WATCH_HANDLES).await?;
    phone.key("9").await?;
    phone.length_reads("9 in").await?;
    let used = "return !!window.handle;";
    phone
        .browser
        .until("a use of the store", LIMIT, used)
        .await?;
    phone
        .browser
        .run("window.handle.close(); return true;")
        .await?;
    phone.keep().await?;
    page_says(&phone.browser, "It was opened again and nothing was lost.").await?;
    assert_ne!(phone.browser.run("return window.opened;").await?, 0);
    strip_says(&phone.browser, "1 only on this phone").await?;
    let kept = phone.entries(LENGTH).await?;
    assert_eq!(kept.len(), 1, "tried again, and written once");
    Ok(())
}

#[tokio::test]
async fn a_store_that_does_not_open_again_costs_no_typed_value() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.ask(LENGTH).await?;
    phone.browser.run(WATCH_HANDLES).await?;
    phone.key("9").await?;
    let used = "return !!window.handle;";
    phone
        .browser
        .until("a use of the store", LIMIT, used)
        .await?;
    let dies = "window.handle.close(); window.refuses = true; return true;";
    phone.browser.run(dies).await?;
    phone.press_keep().await?;
    reason_says(
        &phone,
        &["did not answer", "was not saved", "on the screen"],
    )
    .await?;
    phone.length_reads("9 in").await?;

    phone
        .browser
        .run("window.refuses = false; return true;")
        .await?;
    phone.keep().await?;
    assert_eq!(phone.entries(LENGTH).await?.len(), 1);
    Ok(())
}

#[tokio::test]
async fn an_emptied_store_is_noticed_and_filled_from_the_server() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    server.kill();
    phone.choose("base.kind", "New concrete slab").await?;
    strip_says(&phone.browser, "1 only on this phone").await?;

    // The browser takes the store away while the app is closed.
    phone.browser.open("about:blank").await?;
    let parameters = json!({ "origin": phone.base, "storageTypes": "indexeddb" });
    phone
        .browser
        .devtools("Storage.clearDataForOrigin", parameters)
        .await?;
    let server = yard.start();
    phone.browser.open(&format!("{}/field", phone.base)).await?;
    page_says(
        &phone.browser,
        "The browser emptied its store since the last visit.",
    )
    .await?;
    page_says(
        &phone.browser,
        "Gone, because it was only on this phone: 1 ",
    )
    .await?;

    // The site comes back by itself, with what had been sent, and works offline again.
    page_says(&phone.browser, "Last brought up to date: ").await?;
    // Its sheets follow its entries: once a question stands on screen, everything is here.
    phone.ask("way.chain").await?;
    server.kill();
    phone.ask("way.chain").await?;
    let stands = "const standing = document.querySelector('.standing');\
         return !!standing && standing.textContent.includes('Rolled flat on dollies');";
    phone
        .browser
        .until("what had been sent", LIMIT, stands)
        .await?;
    phone.choose("base.kind", "New concrete slab").await?;
    let _server = yard.start();
    phone.signal_is_back().await?;
    let sent = until_on_server(&yard, phone.site, "base.kind", 1).await?;
    assert_eq!(values(&sent), [choice("slab")]);
    let chain = until_on_server(&yard, phone.site, "way.chain", 1).await?;
    assert_eq!(values(&chain), [Value::Choice("rolled".to_owned())]);
    Ok(())
}

/// Takes the dealer's limits off the phone's store; how many rows went.
const WITHOUT_LIMITS: &str = "const settled = (request) => new Promise((yes, no) => {\
       request.onsuccess = () => yes(request.result); request.onerror = () => no(request.error); });\
     const database = await settled(indexedDB.open('setdown', 1));\
     const store = database.transaction('documents', 'readwrite').objectStore('documents');\
     let gone = 0;\
     for (const key of await settled(store.getAllKeys())) {\
       if (JSON.parse(await settled(store.get(key))).kind !== 'practice') continue;\
       await settled(store.delete(key)); gone += 1;\
     }\
     database.close(); return gone;";

/// The defaults may be laxer than the dealer's own limits: nothing may be clear by them.
#[tokio::test]
async fn nothing_is_judged_while_the_dealers_limits_are_not_on_the_phone() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    assert_eq!(phone.browser.run_async(WITHOUT_LIMITS).await?, 1);
    phone.open("").await?;
    page_says(&phone.browser, &word("field.no_sheet")).await?;
    let _server = yard.start();
    press(&phone.browser, &word("field.try_now")).await?;
    page_says(&phone.browser, &word("overview.other_hold_points")).await
}

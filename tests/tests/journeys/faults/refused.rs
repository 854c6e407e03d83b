//! The server refuses an entry at the front of the queue.

use setdown_tests::browser::Failure;
use setdown_tests::yard::{LIMIT, Yard, page_says, press, strip_says};
use setdown_types::entry::Entry;

use super::{Phone, choice, on_server, until_on_server, values};

#[tokio::test]
async fn one_refused_entry_holds_up_no_other_and_can_be_copied() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.choose("way.attitude", "Flat").await?;
    phone.choose("way.chain", "Rolled flat on dollies").await?;
    phone.choose("base.kind", "New concrete slab").await?;
    let bad = phone
        .turn_into_what_only_the_office_may_write("way.attitude")
        .await?;
    // Read anew, as the queue of a page that opens.
    phone.open("/history").await?;
    strip_says(&phone.browser, "3 only on this phone").await?;

    let _server = yard.start();
    phone.signal_is_back().await?;
    strip_says(&phone.browser, "1 not taken").await?;
    for (question, value) in [("way.chain", "rolled"), ("base.kind", "slab")] {
        let sent = until_on_server(&yard, phone.site, question, 1).await?;
        assert_eq!(values(&sent), [choice(value)]);
    }
    assert!(on_server(&yard, phone.site, "sign.order").await?.is_empty());

    // It stays, says why, and its text can be had; also after the page is opened again.
    phone.open("/history").await?;
    page_says(
        &phone.browser,
        "Not taken by the server: this role may not write it.",
    )
    .await?;
    press(&phone.browser, "Copy this entry").await?;
    let shown = "return document.querySelector('textarea.copyable')?.value ?? null;";
    phone
        .browser
        .until(
            "its text",
            LIMIT,
            &format!("return (() => {{ {shown} }})() !== null;"),
        )
        .await?;
    let text = phone.browser.run(shown).await?;
    let copied = Entry::from_json(text.as_str().ok_or("a text")?)?;
    assert_eq!((copied.id, copied.value()), (bad.id, bad.value()));
    let [(_, state)] = &phone.entries("sign.order").await?[..] else {
        return Err("it is not kept once".into());
    };
    assert_eq!(state, "refused");
    Ok(())
}

impl Phone {
    /// Makes an unsent entry one that the server refuses: as if this build gave a right that the server does not.
    pub(super) async fn turn_into_what_only_the_office_may_write(
        &self,
        question: &str,
    ) -> Result<Entry, Failure> {
        let script = format!(
            "const settled = (request) => new Promise((yes, no) => {{\
               request.onsuccess = () => yes(request.result); request.onerror = () => no(request.error); }});\
             const database = await settled(indexedDB.open('setdown', 1));\
             const store = database.transaction('entries', 'readwrite').objectStore('entries');\
             const rows = await settled(store.getAll());\
             const row = rows.find((row) => row.state === 'unsent' && row.raw.includes('\"{question}\"'));\
             row.raw = row.raw.replace('\"{question}\"', '\"sign.order\"');\
             await settled(store.put(row, JSON.parse(row.raw).id));\
             database.close(); return row.raw;"
        );
        let raw = self.browser.run_async(&script).await?;
        Ok(Entry::from_json(raw.as_str().ok_or("the entry's text")?)?)
    }
}

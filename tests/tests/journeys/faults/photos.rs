//! Photos on the phone: gone once the office has taken them out, and the first to go when the phone is full.

use setdown_tests::browser::Failure;
use setdown_tests::clients::Client;
use setdown_tests::yard::{Yard, strip_says};
use setdown_types::entry::{Intent, Payload};
use setdown_types::subject::Subject;
use setdown_types::value::Value;
use setdown_types::wire::Verdict;

use super::killed::{PHOTO, choose_picture};
use super::{OFFICE, Phone, until_on_server};

impl Phone {
    /// Takes a photo, keeps it, and waits until the server has checked its bytes.
    async fn send_a_photo(&self) -> Result<(), Failure> {
        self.ask(PHOTO).await?;
        let folder = tempfile::tempdir()?;
        choose_picture(self, folder.path()).await?;
        self.browser.text("img.photo").await?;
        self.keep().await?;
        self.until_stored("photos", "the photo at the server", |row| {
            row["verified"] == true
        })
        .await?;
        strip_says(&self.browser, "Everything is sent").await?;
        assert_eq!(self.kept_pictures().await?, 1);
        Ok(())
    }

    /// How many pictures lie on this phone.
    async fn kept_pictures(&self) -> Result<u64, Failure> {
        let script = "const settled = (request) => new Promise((yes, no) => {\
               request.onsuccess = () => yes(request.result); request.onerror = () => no(request.error); });\
             const database = await settled(indexedDB.open('setdown', 1));\
             const count = await settled(database.transaction('photo_bytes').objectStore('photo_bytes').count());\
             database.close(); return count;";
        Ok(self
            .browser
            .run_async(script)
            .await?
            .as_u64()
            .ok_or("a count")?)
    }
}

#[tokio::test]
async fn a_photo_that_the_office_takes_out_leaves_the_phone() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    phone.send_a_photo().await?;
    let [shown] = &until_on_server(&yard, phone.site, PHOTO, 1).await?[..] else {
        return Err("one entry shows it".into());
    };
    let office = Client::sign_in(&yard.at(""), OFFICE).await;
    let mut redaction = office.entry(phone.site, Subject::SITE, PHOTO, Value::Absent);
    redaction.intent = Intent::Redact;
    redaction.payload = Payload::Nothing;
    redaction.replaces = vec![shown.id];
    let verdict = office.push_one(&redaction).await;
    assert!(matches!(verdict, Verdict::Accepted(_)), "{verdict:?}");
    phone.until_empty("photos").await?;
    assert_eq!(
        phone.kept_pictures().await?,
        0,
        "its bytes are gone as well"
    );
    strip_says(&phone.browser, "Everything is sent").await
}

/// The store has room for an entry only once bytes of a photo were let go.
const FULL: &str = "window.full = true;\
     const put = IDBObjectStore.prototype.put;\
     IDBObjectStore.prototype.put = function (...given) {\
       if (window.full && this.name === 'entries') throw new DOMException('no room', 'QuotaExceededError');\
       return put.apply(this, given); };\
     const remove = IDBObjectStore.prototype.delete;\
     IDBObjectStore.prototype.delete = function (...given) {\
       if (this.name === 'photo_bytes') window.full = false;\
       return remove.apply(this, given); };\
     return true;";

#[tokio::test]
async fn a_full_phone_lets_go_of_what_the_server_has_before_it_refuses_an_answer()
-> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    phone.send_a_photo().await?;
    server.kill();
    phone.ask("way.chain").await?;
    phone.browser.run(FULL).await?;
    setdown_tests::yard::press(&phone.browser, "Rolled flat on dollies").await?;
    phone.keep().await?;
    strip_says(&phone.browser, "1 only on this phone").await?;
    assert_eq!(phone.entries("way.chain").await?.len(), 1);
    assert_eq!(phone.kept_pictures().await?, 0);
    Ok(())
}

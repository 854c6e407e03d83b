//! A site leaves the phone: nothing that is only there goes without having been said, and nothing owed goes at all.

use serde_json::json;
use setdown_app::words::{filled, word};
use setdown_tests::browser::Failure;
use setdown_tests::yard::{LIMIT, Yard, page_says, strip_says};

use super::killed::{PHOTO, choose_picture};
use super::{LENGTH, Phone};

/// The button that removes the site: absent, disabled or ready.
const BUTTON: &str = "const button = document.querySelector('.leaving button.danger');\
     return !button ? 'absent' : button.disabled ? 'disabled' : 'ready';";

impl Phone {
    /// Opens the site's screen and unfolds what would go.
    async fn unfold_leaving(&self) -> Result<(), Failure> {
        self.open("").await?;
        self.browser
            .tap(".leaving > summary", &word("leaving.title"))
            .await?;
        page_says(&self.browser, &word("leaving.what")).await?;
        let counted =
            "return !!document.querySelector('.leaving .stack > .notice, .leaving button.danger');";
        self.browser.until("what would go", LIMIT, counted).await
    }

    async fn is_removed(&self) -> Result<(), Failure> {
        page_says(&self.browser, &word("leaving.gone")).await?;
        for store in ["entries", "drafts"] {
            self.until_empty(store).await?;
        }
        let row = &self.stored("sites").await?;
        assert!(row.iter().all(|row| row["taken"] == false), "{row:?}");
        Ok(())
    }
}

fn said(key: &str, count: usize) -> String {
    filled(key, &[("count", &count.to_string())])
}

#[tokio::test]
async fn a_site_with_a_refused_entry_and_a_draft_leaves_once_that_was_said() -> Result<(), Failure>
{
    let yard = Yard::new().await?;
    let server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    server.kill();
    phone.choose("way.attitude", "Flat").await?;
    phone
        .turn_into_what_only_the_office_may_write("way.attitude")
        .await?;
    phone.unfold_leaving().await?;
    page_says(&phone.browser, &said("leaving.send_first", 1)).await?;
    assert_eq!(phone.browser.run(BUTTON).await?, "absent");

    let _server = yard.start();
    phone.signal_is_back().await?;
    strip_says(&phone.browser, "1 not taken").await?;
    phone.ask(LENGTH).await?;
    phone.key("4").await?;
    phone
        .until_stored("drafts", "the draft", |draft| draft["text"] == "4 in")
        .await?;
    phone.unfold_leaving().await?;
    page_says(&phone.browser, &said("leaving.refused", 1)).await?;
    page_says(&phone.browser, &said("leaving.drafts", 1)).await?;
    assert_eq!(phone.browser.run(BUTTON).await?, "disabled");
    phone
        .browser
        .tap(".leaving input[type=checkbox]", "")
        .await?;
    phone
        .browser
        .tap(".leaving button.danger", &word("leaving.go"))
        .await?;
    phone.is_removed().await?;
    strip_says(&phone.browser, "Everything is sent").await
}

#[tokio::test]
async fn a_site_whose_photo_is_owed_stays_until_the_photo_is_there() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let _server = yard.start();
    let phone = Phone::with_a_site(&yard.at("")).await?;
    phone.browser.devtools("Network.enable", json!({})).await?;
    let blocked = |urls: &[&str]| json!({ "urls": urls });
    let command = "Network.setBlockedURLs";
    phone
        .browser
        .devtools(command, blocked(&["*/api/photos/*"]))
        .await?;
    phone.ask(PHOTO).await?;
    let folder = tempfile::tempdir()?;
    choose_picture(&phone, folder.path()).await?;
    phone.browser.text("img.photo").await?;
    phone.keep().await?;
    phone
        .until_stored("entries", "the entry at the server", |row| {
            row["state"] == "settled" && row["raw"].as_str().is_some_and(|raw| raw.contains(PHOTO))
        })
        .await?;
    strip_says(&phone.browser, "photos to send: 1").await?;
    phone.unfold_leaving().await?;
    page_says(&phone.browser, &said("leaving.send_first", 1)).await?;
    assert_eq!(phone.browser.run(BUTTON).await?, "absent");

    phone.browser.devtools(command, blocked(&[])).await?;
    phone.signal_is_back().await?;
    strip_says(&phone.browser, "Everything is sent").await?;
    phone.unfold_leaving().await?;
    assert_eq!(phone.browser.run(BUTTON).await?, "ready");
    phone
        .browser
        .tap(".leaving button.danger", &word("leaving.go"))
        .await?;
    phone.is_removed().await?;
    // Its copy is at the server, and can be fetched again.
    phone.until_empty("photos").await
}

//! What journeys share: a server program that is really stopped and started, a phone, and the steps a person takes on it.

use std::path::{Path, PathBuf};
use std::time::Duration;

use setdown_app::words::word;
use setdown_server::demo::PASSWORD;

use crate::browser::{Browser, Failure, PHONE};
use crate::running_server::packed_folder;
use crate::server::{Kind, Program, database, free_port};

/// How long a step may take before the journey fails: a wait ends as soon as what it waits for is there, so that only a
/// failing journey takes long, on a busy machine as well.
pub const LIMIT: Duration = Duration::from_secs(60);

/// A server program that can be killed and started again on the same data and port.
pub struct Yard {
    folder: tempfile::TempDir,
    /// Where its entries are, for a look past the program.
    pub database_url: String,
    /// Where it listens while it runs.
    pub port: u16,
}

impl Yard {
    /// An empty data folder and a free port; the first [`Yard::start`] puts the demo in.
    pub async fn new() -> Result<Self, Failure> {
        let folder = tempfile::tempdir()?;
        let database_url = database(Kind::Sqlite, folder.path()).await;
        Ok(Self {
            folder,
            database_url,
            port: free_port(),
        })
    }

    /// Starts the program with the app that `make pack` wrote; returns once it answers.
    pub fn start(&self) -> Program {
        let dist: PathBuf = packed_folder();
        self.start_with(&dist)
    }

    /// Starts the program with the packed app in `dist`; returns once it answers.
    pub fn start_with(&self, dist: &Path) -> Program {
        Program::serve_app(self.folder.path(), &self.database_url, self.port, dist)
    }

    /// The full address of a path.
    pub fn at(&self, path: &str) -> String {
        format!("http://127.0.0.1:{}{path}", self.port)
    }
}

/// Starts a browser of a phone's size on `profile`, which may be used again after a kill.
pub async fn phone(profile: &Path) -> Result<Browser, Failure> {
    Browser::start(profile, PHONE).await
}

/// Signs in as one of the demo's people, and waits until the screen at `to` is there.
pub async fn sign_in(browser: &Browser, yard: &Yard, name: &str, to: &str) -> Result<(), Failure> {
    sign_in_at(browser, &yard.at(""), name, to).await
}

/// The same at another address of the server, such as a proxy's.
pub async fn sign_in_at(
    browser: &Browser,
    base: &str,
    name: &str,
    to: &str,
) -> Result<(), Failure> {
    browser.open(&format!("{base}/sign-in?to={to}")).await?;
    browser.text("#sign-in-name").await?;
    for (field, text) in [("#sign-in-name", name), ("#sign-in-password", PASSWORD)] {
        let script = format!(
            "const field = document.querySelector('{field}'); field.value = '{text}';\
             field.dispatchEvent(new Event('input', {{ bubbles: true }})); return true;"
        );
        browser.run(&script).await?;
    }
    browser.click("button[type=submit]").await?;
    let arrived = format!("return location.pathname === '{to}';");
    browser.until("the sign-in", LIMIT, &arrived).await
}

/// Clicks the button, label or link that says exactly `text`, once there is one that is not disabled.
pub async fn press(browser: &Browser, text: &str) -> Result<(), Failure> {
    let script = format!(
        "const all = [...document.querySelectorAll('button, label, a')];\
         const one = all.find((each) => each.textContent.trim() === '{text}');\
         if (!one || one.disabled) return false; one.click(); return true;"
    );
    browser.until(text, LIMIT, &script).await
}

/// Waits until the strip says, among other things, `words` about what is sent and what is not.
pub async fn strip_says(browser: &Browser, words: &str) -> Result<(), Failure> {
    let script = format!(
        "const strip = document.querySelector('.strip-state'); return !!strip && strip.textContent.includes('{words}');"
    );
    shown_on_failure(browser, browser.until(words, LIMIT, &script).await).await
}

/// Waits until the page says `words` anywhere.
pub async fn page_says(browser: &Browser, words: &str) -> Result<(), Failure> {
    let words = serde_json::to_string(words)?;
    let script = format!("return document.body.textContent.includes({words});");
    shown_on_failure(browser, browser.until(&words, LIMIT, &script).await).await
}

/// Adds to a failure what the page shows.
async fn shown_on_failure(browser: &Browser, result: Result<(), Failure>) -> Result<(), Failure> {
    match result {
        Ok(()) => Ok(()),
        Err(error) => {
            let shown = browser.text("body").await.unwrap_or_default();
            Err(format!("{error}; the page says: {shown}").into())
        }
    }
}

/// The address of the first site that was taken along, once the list shows it.
pub async fn taken_site(browser: &Browser) -> Result<String, Failure> {
    let link = "return !!document.querySelector('a[href^=\"/field/0\"]');";
    browser.until("the site on the phone", LIMIT, link).await?;
    let href = browser
        .run("return document.querySelector('a[href^=\"/field/0\"]').getAttribute('href');")
        .await?;
    Ok(href.as_str().ok_or("a link")?.to_owned())
}

/// A demo site that nobody has surveyed yet.
pub const UNSURVEYED: &str = "Narrow row house";

/// Taps "Take along" on the site of that name.
pub async fn tap_take_along(phone: &Browser, name: &str) -> Result<(), Failure> {
    let take = format!(
        "const card = [...document.querySelectorAll('.site-card')].find((each) => each.querySelector('strong').textContent === '{name}');\
         const button = card && card.querySelector('button'); if (!button) return false; button.click(); return true;"
    );
    phone.until("the site to take along", LIMIT, &take).await
}

/// Takes the site of that name along; opens it once it is here in full, and gives its id.
pub async fn take_along(phone: &Browser, name: &str) -> Result<String, Failure> {
    tap_take_along(phone, name).await?;
    page_says(phone, "brought up to date: ").await?;
    let link = phone
        .client
        .find(fantoccini::Locator::Css("a.site-card"))
        .await?;
    let href = link.attr("href").await?.ok_or("an address")?;
    phone
        .open(phone.client.current_url().await?.join(&href)?.as_str())
        .await?;
    page_says(phone, &word("overview.go_on")).await?;
    Ok(href.trim_start_matches("/field/").to_owned())
}

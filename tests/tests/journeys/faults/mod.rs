//! What goes wrong in a yard, really made to go wrong: nothing saved and nothing typed may be lost, and the screen says so.

mod killed;
mod leaving;
mod people;
mod photos;
mod refused;
mod sending;
mod session;
mod storage;
mod typing;
mod update;

use serde_json::Value as Json;
use setdown_tests::browser::{Browser, Failure};
use setdown_tests::clients::Client;
use setdown_tests::yard::{
    LIMIT, UNSURVEYED, Yard, page_says, phone, press, sign_in_at, taken_site, tap_take_along,
};
use setdown_types::entry::Entry;
use setdown_types::ids::SiteId;
use setdown_types::value::Value;
use tempfile::TempDir;

const COORDINATOR: &str = "valley-coordinator";
const OFFICE: &str = "valley-office";

/// A length of the site as a whole, keyed on the phone's own keypad.
const LENGTH: &str = "spot.clear_foot";

/// A coordinator's phone with one site on it, ready for no signal.
struct Phone {
    profile: TempDir,
    browser: Browser,
    base: String,
    site: SiteId,
}

impl Phone {
    /// Signs in at `base`, takes a site along, and waits until site and app are whole on the phone.
    async fn with_a_site(base: &str) -> Result<Self, Failure> {
        let profile = tempfile::tempdir()?;
        let browser = phone(profile.path()).await?;
        sign_in_at(&browser, base, COORDINATOR, "/field").await?;
        tap_take_along(&browser, UNSURVEYED).await?;
        let address = taken_site(&browser).await?;
        page_says(&browser, "brought up to date: ").await?;
        browser.until_kept_for_offline().await?;
        let id = address.trim_start_matches("/field/");
        Ok(Self {
            profile,
            browser,
            base: base.to_owned(),
            site: SiteId::parse(id).ok_or("a site id")?,
        })
    }

    /// The same phone after its browser was killed and started again; it shows nothing yet.
    async fn killed(self) -> Result<Self, Failure> {
        self.browser.kill();
        Ok(Self {
            browser: phone(self.profile.path()).await?,
            ..self
        })
    }

    /// Opens a screen below the site's own address.
    async fn open(&self, below: &str) -> Result<(), Failure> {
        let address = format!("{}/field/{}{below}", self.base, self.site);
        self.browser.open(&address).await?;
        self.browser.text("#app h1").await.map(drop)
    }

    /// Opens a question about the site as a whole.
    async fn ask(&self, question: &str) -> Result<(), Failure> {
        self.open(&format!("/ask/site/{question}")).await?;
        self.browser.text("h1.question").await.map(drop)
    }

    /// Presses a key of the length keypad.
    async fn key(&self, text: &str) -> Result<(), Failure> {
        let script = format!(
            "const keys = [...document.querySelectorAll('.keypad button')];\
             const key = keys.find((each) => each.textContent.trim() === '{text}');\
             if (!key || key.disabled) return false; key.click(); return true;"
        );
        self.browser.until(text, LIMIT, &script).await
    }

    /// Waits until the length on screen reads `text`.
    async fn length_reads(&self, text: &str) -> Result<(), Failure> {
        let script = format!(
            "const shown = document.querySelector('.length-shown .large');\
             return !!shown && shown.textContent.trim() === '{text}';"
        );
        let waited = self.browser.until(text, LIMIT, &script).await;
        self.shown_on_failure(waited).await
    }

    /// Presses Keep, whatever comes of it.
    async fn press_keep(&self) -> Result<(), Failure> {
        let script = "const keep = document.querySelector('.field-bottom button.primary');\
             if (!keep || keep.getAttribute('aria-disabled') !== 'false') return false;\
             if (!keep.textContent.trim().startsWith('Keep')) return false;\
             keep.click(); return true;";
        self.browser.until("Keep", LIMIT, script).await
    }

    /// Presses Keep and waits until the answer is saved, which leads to the next question.
    async fn keep(&self) -> Result<(), Failure> {
        let here = self.browser.run("return location.pathname;").await?;
        self.press_keep().await?;
        let script = format!(
            "const said = document.querySelector('.strip-said');\
             return location.pathname !== {here} && !!said && said.textContent.startsWith('Saved: ');"
        );
        self.shown_on_failure(
            self.browser
                .until("the answer to be saved", LIMIT, &script)
                .await,
        )
        .await
    }

    /// Answers a question about the site with the choice that is called `choice`.
    async fn choose(&self, question: &str, choice: &str) -> Result<(), Failure> {
        self.ask(question).await?;
        press(&self.browser, choice).await?;
        self.keep().await
    }

    /// Tells the page what a phone tells it when its signal is back.
    async fn signal_is_back(&self) -> Result<(), Failure> {
        let script = "window.dispatchEvent(new Event('online')); return true;";
        self.browser.run(script).await.map(drop)
    }

    /// Everything in one of the phone's stores; texts are read as JSON.
    async fn stored(&self, store: &str) -> Result<Vec<Json>, Failure> {
        let script = format!(
            "const request = indexedDB.open('setdown', 1);\
             const settled = (request) => new Promise((yes, no) => {{\
               request.onsuccess = () => yes(request.result); request.onerror = () => no(request.error); }});\
             const database = await settled(request);\
             const rows = await settled(database.transaction('{store}').objectStore('{store}').getAll());\
             database.close();\
             return rows.map((row) => typeof row === 'string' ? JSON.parse(row) : row);"
        );
        let rows = self.browser.run_async(&script).await?;
        Ok(rows.as_array().ok_or("rows")?.clone())
    }

    /// Waits until one of the rows of a store is as wanted.
    async fn until_stored(
        &self,
        store: &str,
        what: &str,
        wanted: impl Fn(&Json) -> bool,
    ) -> Result<Json, Failure> {
        let mut rows = Vec::new();
        let found = tokio::time::timeout(LIMIT, async {
            loop {
                rows = self.stored(store).await?;
                if let Some(row) = rows.iter().find(|row| wanted(row)) {
                    return Ok(row.clone());
                }
                tokio::time::sleep(std::time::Duration::from_millis(50)).await;
            }
        });
        let found: Result<Result<Json, Failure>, _> = found.await;
        found.map_err(|_| format!("waited {LIMIT:?} for {what} in {store}; there is {rows:?}"))?
    }

    /// Waits until a store holds nothing any more.
    async fn until_empty(&self, store: &str) -> Result<(), Failure> {
        let start = std::time::Instant::now();
        loop {
            let rows = self.stored(store).await?;
            if rows.is_empty() {
                return Ok(());
            }
            if start.elapsed() > LIMIT {
                return Err(format!("{store} still holds {rows:?}").into());
            }
            tokio::time::sleep(std::time::Duration::from_millis(50)).await;
        }
    }

    /// The entries on the phone that answer a question, with how they stand.
    async fn entries(&self, question: &str) -> Result<Vec<(Entry, Json)>, Failure> {
        let rows = self.stored("entries").await?;
        let entries = rows.iter().filter_map(|row| {
            let entry = Entry::from_json(row["raw"].as_str()?).ok()?;
            (entry.question == question).then(|| (entry, row["state"].clone()))
        });
        Ok(entries.collect())
    }

    /// Adds to a failure what the page shows.
    async fn shown_on_failure(&self, result: Result<(), Failure>) -> Result<(), Failure> {
        let Err(error) = result else { return Ok(()) };
        let shown = self.browser.text("body").await.unwrap_or_default();
        Err(format!("{error}; the page says: {shown}").into())
    }
}

/// The server's entries that answer a question at a site, as the office sees them.
async fn on_server(yard: &Yard, site: SiteId, question: &str) -> Result<Vec<Entry>, Failure> {
    let office = Client::sign_in(&yard.at(""), OFFICE).await;
    let pulled = office.pull(site, 0).await;
    assert!(!pulled.more, "one page holds a demo site");
    let entries = pulled.entries.iter();
    let entries = entries.filter_map(|pulled| Entry::from_json(pulled.raw.get()).ok());
    Ok(entries.filter(|entry| entry.question == question).collect())
}

/// Waits until the server has `count` entries that answer a question.
async fn until_on_server(
    yard: &Yard,
    site: SiteId,
    question: &str,
    count: usize,
) -> Result<Vec<Entry>, Failure> {
    let start = std::time::Instant::now();
    loop {
        let there = on_server(yard, site, question).await?;
        if there.len() == count {
            return Ok(there);
        }
        if start.elapsed() > LIMIT {
            return Err(format!("{} entries for {question}, not {count}", there.len()).into());
        }
        tokio::time::sleep(std::time::Duration::from_millis(100)).await;
    }
}

/// The values of entries.
fn values(entries: &[Entry]) -> Vec<Value> {
    entries
        .iter()
        .filter_map(|entry| entry.value().cloned())
        .collect()
}

fn choice(text: &str) -> Value {
    Value::Choice(text.to_owned())
}

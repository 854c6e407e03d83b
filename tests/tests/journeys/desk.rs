//! The office at its desk: the table of sites, one site with its working and readings, hold points, invitations, a new
//! site, and what another dealer sees of it all.

mod hold_point;
mod invitation;
mod missing_sheet;
mod one_site;
mod plan;
mod table;

use setdown_app::office::messages::SiteView;
use setdown_app::words::word;
use setdown_tests::browser::{Browser, DESK, Failure};
use setdown_tests::clients::Client;
use setdown_tests::server::Program;
use setdown_tests::yard::{LIMIT, Yard, page_says, sign_in};

/// The demo's first site.
const SITE: &str = "Hillside house";

/// A running server with the valley dealer's office signed in at a desk.
struct Office {
    yard: Yard,
    desk: Browser,
    _server: Program,
    _profile: tempfile::TempDir,
}

impl Office {
    async fn open() -> Result<Self, Failure> {
        Self::open_as(Yard::new().await?, "valley-office").await
    }

    async fn open_as(yard: Yard, name: &str) -> Result<Self, Failure> {
        let server = yard.start();
        let profile = tempfile::tempdir()?;
        let desk = Browser::start(profile.path(), DESK).await?;
        sign_in(&desk, &yard, name, "/office").await?;
        Ok(Self {
            yard,
            desk,
            _server: server,
            _profile: profile,
        })
    }

    /// From the table to a site's page; gives its id.
    async fn go_to(&self, name: &str) -> Result<String, Failure> {
        self.desk.tap("table.sites th a", name).await?;
        self.is_on_a_site().await
    }

    /// Waits for a site's page; gives the id in its address.
    async fn is_on_a_site(&self) -> Result<String, Failure> {
        page_says(&self.desk, &word("office.tapes")).await?;
        let path = self.desk.run("return location.pathname;").await?;
        let path = path.as_str().ok_or("a path")?;
        Ok(path.trim_start_matches("/office/").to_owned())
    }

    async fn tab(&self, key: &str) -> Result<(), Failure> {
        let label = word(&format!("office.view.{key}"));
        self.desk.tap("nav.tabs a", &label).await
    }

    /// Waits until the first element of `selector` says exactly `text`.
    async fn says(&self, selector: &str, text: &str) -> Result<(), Failure> {
        let script = format!(
            "const found = document.querySelector({}); return found ? found.textContent.trim() : null;",
            serde_json::to_string(selector)?
        );
        let until = format!(
            "return (() => {{ {script} }})() === {};",
            serde_json::to_string(text)?
        );
        match self.desk.until(text, LIMIT, &until).await {
            Ok(()) => Ok(()),
            Err(error) => {
                let said = self.desk.run(&script).await?;
                Err(format!("{selector}: {error}; it says {said}").into())
            }
        }
    }

    /// Waits until `selector` finds so many elements that can be seen.
    async fn counts(&self, selector: &str, count: usize) -> Result<(), Failure> {
        let until = format!(
            "return [...document.querySelectorAll({})].filter((each) => each.getClientRects().length > 0).length === {count};",
            serde_json::to_string(selector)?
        );
        self.desk
            .until(&format!("{count} of {selector}"), LIMIT, &until)
            .await
    }

    /// The site as the server tells it.
    async fn site(&self, id: &str) -> Result<SiteView, Failure> {
        let office = Client::sign_in(&self.yard.at(""), "valley-office").await;
        let message = serde_json::json!({ "site": id });
        let (status, view) = office.post("/api/office/site", &message).await;
        assert!(status.is_success(), "{view}");
        Ok(serde_json::from_value(view)?)
    }

    /// Marks the page, so that a reload would be noticed.
    async fn mark(&self) -> Result<(), Failure> {
        self.desk.run("window.stayed = true; return true;").await?;
        Ok(())
    }

    async fn assert_not_reloaded(&self) -> Result<(), Failure> {
        assert_eq!(self.desk.run("return window.stayed;").await?, true);
        Ok(())
    }
}

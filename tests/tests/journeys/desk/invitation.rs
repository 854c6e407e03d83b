//! An invitation: its link is shown once, opens one site, and opens nothing once it is revoked.

use reqwest::StatusCode;
use setdown_app::words::{filled, word};
use setdown_tests::browser::Failure;
use setdown_tests::yard::page_says;

use super::{Office, SITE};

const NAME: &str = "the people at the hillside house";

#[tokio::test]
async fn an_invitation_is_shown_once_opens_one_site_and_is_revoked() -> Result<(), Failure> {
    let office = Office::open().await?;
    let id = office.go_to(SITE).await?;
    office.tab("invitations").await?;
    office.desk.write("#invitation-name", NAME).await?;
    office
        .desk
        .tap("form button[type=submit]", &word("office.invite"))
        .await?;
    office.desk.text("#invitation-link").await?;
    let link = office.desk.value("#invitation-link").await?;
    let token = link.split_once('#').ok_or("a token behind #")?.1.to_owned();
    let home = Home::new(&office)?;
    assert_eq!(home.open(&token).await?, StatusCode::OK);
    let (status, sites) = home.sites().await?;
    assert_eq!(status, StatusCode::OK);
    assert!(sites.contains(&id), "{sites}");

    office
        .desk
        .tap("button", &word("office.link_noted"))
        .await?;
    office.counts("#invitation-link", 0).await?;
    office.desk.client.refresh().await?;
    page_says(&office.desk, NAME).await?;
    let page = office.desk.client.source().await?;
    assert!(!page.contains(&token), "the link is shown once");

    let label = filled("office.revoke_for", &[("name", NAME)]);
    office
        .desk
        .tap(&format!("button[aria-label=\"{label}\"]"), "")
        .await?;
    page_says(&office.desk, &word("office.revoke_sure")).await?;
    office
        .desk
        .tap("td button.danger:not([aria-label])", &word("office.revoke"))
        .await?;
    let revoked = filled("office.revoked", &[("when", "")]);
    page_says(&office.desk, revoked.trim()).await?;
    office
        .counts(&format!("button[aria-label=\"{label}\"]"), 0)
        .await?;
    assert_eq!(
        home.sites().await?.0,
        StatusCode::UNAUTHORIZED,
        "the session has ended"
    );
    assert!(!Home::new(&office)?.open(&token).await?.is_success());
    Ok(())
}

/// Somebody with the link.
struct Home {
    http: reqwest::Client,
    base: String,
}

impl Home {
    fn new(office: &Office) -> Result<Self, Failure> {
        Ok(Self {
            http: reqwest::Client::builder().cookie_store(true).build()?,
            base: office.yard.at(""),
        })
    }

    async fn open(&self, token: &str) -> Result<StatusCode, Failure> {
        let address = format!("{}/api/invitation/open", self.base);
        let message = serde_json::json!({ "token": token });
        Ok(self
            .http
            .post(address)
            .json(&message)
            .send()
            .await?
            .status())
    }

    async fn sites(&self) -> Result<(StatusCode, String), Failure> {
        let address = format!("{}/api/sync/sites", self.base);
        let answer = self.http.get(address).send().await?;
        Ok((answer.status(), answer.text().await?))
    }
}

//! Two coordinators change one width with no signal: everybody sees that the answers disagree, the check does not decide,
//! the desk settles it by an entry, and everybody follows.

use std::time::Duration;

use setdown_app::words::{filled, question_title, word};
use setdown_server::clock;
use setdown_server::demo::{DEALERS, PASSWORD};
use setdown_server::secrets::hash_password;
use setdown_server::settings::DataSettings;
use setdown_server::state::AppState;
use setdown_server::store::people::NewPerson;
use setdown_tests::browser::{Browser, DESK, Failure};
use setdown_tests::walker::{Answers, Place, Walker};
use setdown_tests::yard::{Yard, page_says, phone, sign_in, strip_says, take_along};
use setdown_types::ids::PersonId;
use setdown_types::party::Role;
use uuid::Uuid;

const SITE: &str = "Hillside house";
const CHECK: &str = "roll.openings";
const WIDTH: &str = "opening.width_hip";
/// How long a page may take to hear of everything again after the server comes back.
const AGAIN: Duration = Duration::from_secs(90);

/// A coordinator's phone with the site on it.
struct OnePhone {
    browser: Browser,
    answers: Answers,
    _profile: tempfile::TempDir,
}

#[tokio::test]
async fn two_widths_disagree_until_the_desk_settles_them() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    second_coordinator(&yard).await?;
    let mut one = OnePhone::with_the_site(&yard, "valley-coordinator", "8 ft 6 in").await?;
    let mut other = OnePhone::with_the_site(&yard, "valley-second", "8 ft 4 1/2 in").await?;
    // Before they go: the list of openings is complete, and the check decides.
    one.say_that_all_are_listed().await?;
    for phone in [&one, &other] {
        phone.outcome_is("outcome.clear").await?;
    }
    let (desk, id, _profile) = desk(&yard).await?;

    server.kill();
    for phone in [&mut one, &mut other] {
        phone.measure_again().await?;
        phone.outcome_is("outcome.clear").await?;
    }
    let _server = yard.start();
    for phone in [&one, &other] {
        phone.is_picked_up().await?;
    }
    for phone in [&one, &other] {
        phone.sees_the_disagreement().await?;
        phone.outcome_is("outcome.tight").await?;
    }
    desk_sees_the_disagreement(&desk).await?;
    desk_outcome_is(&desk, &yard, &id, "outcome.tight").await?;
    desk_settles(&desk, &yard, &id, "8 ft 4 1/2 in").await?;
    desk_outcome_is(&desk, &yard, &id, "outcome.clear").await?;
    for phone in [&one, &other] {
        phone.follows("8 ft 4 1/2 in").await?;
        phone.outcome_is("outcome.clear").await?;
    }
    Ok(())
}

/// One more person of the valley dealer.
async fn second_coordinator(yard: &Yard) -> Result<(), Failure> {
    let folder = tempfile::tempdir()?;
    let settings = DataSettings {
        database_url: Some(yard.database_url.clone()),
        ..DataSettings::under(folder.path())
    };
    let state = AppState::open_data(&settings, &yard.at("")).await?;
    let person = NewPerson {
        id: PersonId(Uuid::new_v4()),
        organisation: DEALERS[0].organisation,
        sign_in: "valley-second".to_owned(),
        name: "Second coordinator".to_owned(),
        role: Role::Coordinator,
        password_hash: hash_password(PASSWORD.to_owned()).await?,
    };
    state.store.add_person(&person, clock::now()).await?;
    state.store.close().await;
    Ok(())
}

impl OnePhone {
    async fn with_the_site(yard: &Yard, name: &str, width: &'static str) -> Result<Self, Failure> {
        let profile = tempfile::tempdir()?;
        let browser = phone(profile.path()).await?;
        sign_in(&browser, yard, name, "/field").await?;
        take_along(&browser, SITE).await?;
        browser.until_kept_for_offline().await?;
        let rows = vec![
            ("way.openings_listed", "", "yes"),
            (WIDTH, "side gate", width),
        ];
        let answers = Answers {
            today: clock::today("America/Denver"),
            photo: profile.path().join("no-photo"),
            rows: Box::leak(rows.into_boxed_slice()),
            added: &[],
            slots: &[],
            points: &[],
        };
        Ok(Self {
            browser,
            answers,
            _profile: profile,
        })
    }

    fn walker(&self) -> Walker<'_> {
        Walker::new(&self.browser, &self.answers)
    }

    /// By the walk's list to one question, the answer, and back to the site.
    async fn answer(&self, question: &str) -> Result<(), Failure> {
        let mut walker = self.walker();
        walker.back_to_the_site().await?;
        walker.leave_by("a[href$='/walk']").await?;
        walker.stops().await?;
        walker
            .leave_by(&format!("a.line-link[href$='/{question}']"))
            .await?;
        let screen = walker.screen().await?;
        if !matches!(&screen.place, Place::Ask { question: asked, .. } if asked == question) {
            return Err(format!("the walk led to {:?}", screen.place).into());
        }
        walker.answer(&screen).await?;
        walker.back_to_the_site().await
    }

    async fn say_that_all_are_listed(&self) -> Result<(), Failure> {
        self.answer("way.openings_listed").await?;
        strip_says(&self.browser, "Everything is sent").await
    }

    async fn measure_again(&mut self) -> Result<(), Failure> {
        self.answer(WIDTH).await?;
        strip_says(&self.browser, "1 only on this phone").await
    }

    /// Looked at again, which is when a phone tries again at once.
    async fn is_picked_up(&self) -> Result<(), Failure> {
        self.browser
            .run("window.dispatchEvent(new Event('focus')); return true;")
            .await?;
        let sent = "return document.querySelector('.strip-state').textContent.startsWith('Everything is sent');";
        self.browser.until("everything sent", AGAIN, sent).await
    }

    /// Opens the check and waits for its outcome; comes back to the site.
    async fn outcome_is(&self, key: &str) -> Result<(), Failure> {
        let walker = self.walker();
        walker.back_to_the_site().await?;
        walker.leave_by("nav.links a[href$='/checks']").await?;
        walker
            .leave_by(&format!("a.tape-item[href$='/{CHECK}']"))
            .await?;
        let says = format!(
            "const outcome = document.querySelector('.check-outcome .word');\
             return !!outcome && outcome.textContent === '{}';",
            word(key)
        );
        self.browser
            .until(&format!("the check: {key}"), AGAIN, &says)
            .await?;
        walker.back_to_the_site().await
    }

    /// The list of disagreements names the question and both answers.
    async fn sees_the_disagreement(&self) -> Result<(), Failure> {
        let walker = self.walker();
        walker.back_to_the_site().await?;
        let link = "nav.links a[href$='/disagreements']";
        let there = format!("return !!document.querySelector(\"{link}\");");
        self.browser
            .until("the disagreement", AGAIN, &there)
            .await?;
        walker.leave_by(link).await?;
        for words in [
            question_title(WIDTH).as_str(),
            "side gate",
            "8 ft 6 in",
            "8 ft 4 1/2 in",
        ] {
            page_says(&self.browser, words).await?;
        }
        Ok(())
    }

    /// Nothing disagrees any more, and the width is the one settled on.
    async fn follows(&self, width: &str) -> Result<(), Failure> {
        let walker = self.walker();
        walker.back_to_the_site().await?;
        let settled = "return !document.querySelector(\"nav.links a[href$='/disagreements']\");";
        self.browser.until("the settlement", AGAIN, settled).await?;
        walker.leave_by("a[href$='/walk']").await?;
        walker.stops().await?;
        let shown = format!(
            "return document.querySelector(\"a.line-link[href$='/{WIDTH}'] .answer\").textContent === '{width}';"
        );
        self.browser
            .until("the width settled on", AGAIN, &shown)
            .await
    }
}

/// The desk, with the readings of the site open.
async fn desk(yard: &Yard) -> Result<(Browser, String, tempfile::TempDir), Failure> {
    let profile = tempfile::tempdir()?;
    let desk = Browser::start(profile.path(), DESK).await?;
    sign_in(&desk, yard, "valley-office", "/office").await?;
    desk.tap("table.sites a", SITE).await?;
    page_says(&desk, &word("office.tapes")).await?;
    let path = desk.run("return location.pathname;").await?;
    let id = path.as_str().unwrap_or_default();
    let id = id.trim_start_matches("/office/").to_owned();
    desk.tap("nav.tabs a", &word("office.view.readings"))
        .await?;
    Ok((desk, id, profile))
}

/// Seen on the page that was open before, without a reload.
async fn desk_sees_the_disagreement(desk: &Browser) -> Result<(), Failure> {
    let there = "const form = document.querySelector('form.settle');\
        return !!form && form.getClientRects().length > 0;";
    desk.until("the disagreement at the desk", AGAIN, there)
        .await?;
    let form = desk.text("form.settle").await?;
    for words in [
        question_title(WIDTH).as_str(),
        "8 ft 6 in",
        "8 ft 4 1/2 in",
        "Demo coordinator",
        "Second coordinator",
    ] {
        assert!(form.contains(words), "{words}: {form}");
    }
    page_says(
        desk,
        &filled("office.disagreement_waits", &[("count", "1")]),
    )
    .await
}

async fn desk_outcome_is(desk: &Browser, yard: &Yard, id: &str, key: &str) -> Result<(), Failure> {
    desk.open(&yard.at(&format!("/office/{id}?view=checks")))
        .await?;
    let says = format!(
        "const outcome = document.querySelector('#check-roll-openings .gap-mark .word');\
         return !!outcome && outcome.textContent === '{}';",
        word(key)
    );
    desk.until(&format!("the check at the desk: {key}"), AGAIN, &says)
        .await
}

/// Takes one of the two; both stay in the history, and the settlement stands there by name.
async fn desk_settles(desk: &Browser, yard: &Yard, id: &str, width: &str) -> Result<(), Failure> {
    desk.open(&yard.at(&format!("/office/{id}?view=readings")))
        .await?;
    desk.text("form.settle").await?;
    let choose = format!(
        "const line = [...document.querySelectorAll('form.settle label.choice')].find((each) => each.querySelector('strong').textContent.includes('{width}'));\
         line.querySelector('input').setAttribute('data-chosen', ''); return true;"
    );
    desk.run(&choose).await?;
    desk.tap("[data-chosen]", "").await?;
    desk.tap("form.settle button[type=submit]", &word("office.settle"))
        .await?;
    let gone = "const form = document.querySelector('form.settle'); return !form || form.getClientRects().length === 0;";
    desk.until("the settlement", AGAIN, gone).await?;
    desk.open(&yard.at(&format!("/office/{id}?view=history")))
        .await?;
    for words in [word("office.did.settle").as_str(), "8 ft 6 in", width] {
        page_says(desk, words).await?;
    }
    Ok(())
}

//! The main job on all three sides: the demo site is surveyed on a phone with no server in reach; then phone, desk and
//! homeowner show the same score, counts and tasks, and so does the server's own summary.

mod hillside;

use std::path::{Path, PathBuf};
use std::time::Duration;

use setdown_app::office::messages::{SiteSummary, SitesPage, SitesQuery};
use setdown_app::parts::answer::understand;
use setdown_app::words::{filled, word};
use setdown_tests::browser::{Browser, DESK, Failure};
use setdown_tests::clients::Client;
use setdown_tests::readiness::{self, Tape};
use setdown_tests::walker::{Answers, Place, Walker};
use setdown_tests::yard::{LIMIT, Yard, page_says, phone, press, sign_in, strip_says, take_along};
use setdown_types::entry::Entry;
use setdown_types::ids::SiteId;
use setdown_types::ledger::{Record, fold};
use setdown_types::quantity::UnitSystem;
use setdown_types::question::{self, AnswerKind};
use setdown_types::site::Site;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

const SITE: &str = "Hillside house";
/// How long a page may take to hear of everything again after the server comes back.
const AGAIN: Duration = Duration::from_secs(90);

/// The three people and the server between them.
struct Three {
    yard: Yard,
    id: String,
    phone: Browser,
    home: Browser,
    desk: Browser,
    _folders: Vec<tempfile::TempDir>,
}

#[tokio::test]
async fn a_survey_with_no_server_ends_and_three_sides_show_the_same() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let three = Three::gather(yard).await?;
    let before = three.ledger().await?.len();
    server.kill();

    let folder = tempfile::tempdir()?;
    let answers = hillside::found(three.today(), picture(folder.path())?);
    let phone = &three.phone;
    let mut walker = Walker::new(phone, &answers);
    walker.walk_to_the_end().await?;
    assert_all_answered(phone).await?;
    put_right(&mut walker, "roll.rig", "street.unloading_length").await?;
    put_right(&mut walker, "roll.pull", "way.means").await?;
    another_way(&mut walker).await?;
    assert_all_answered(phone).await?;
    note(&walker).await?;
    walker.back_to_the_site().await?;
    page_says(phone, &word("overview.nothing_next")).await?;
    strip_says(phone, "only on this phone").await?;
    let unsent = unsent(phone).await?;
    let tapes = readiness::tapes(phone).await?;
    walker.leave_by("nav.links a[href$='/tasks']").await?;
    let tasks = readiness::field_tasks(phone).await?;
    assert!(!tasks.is_empty() && tapes.len() == 7, "{tapes:?} {tasks:?}");

    let _server = three.yard.start();
    three.pick_phones_up().await?;
    three.until_sent().await?;
    let ledger = three.ledger().await?;
    assert_eq!(
        ledger.len() - before,
        unsent,
        "every entry of the phone, once"
    );
    assert_kept(&fold(&ledger), &walker, &answers);
    three.desk_shows(&tapes, &tasks).await?;
    three.home_shows(&tapes).await?;
    three.summary_says(&tapes[0]).await
}

impl Three {
    /// Takes the site along, opens the invitation and the desk's page, all with the server there.
    async fn gather(yard: Yard) -> Result<Self, Failure> {
        let folders = [
            tempfile::tempdir()?,
            tempfile::tempdir()?,
            tempfile::tempdir()?,
        ];
        let coordinator = phone(folders[0].path()).await?;
        sign_in(&coordinator, &yard, "valley-coordinator", "/field").await?;
        let id = take_along(&coordinator, SITE).await?;
        coordinator.until_kept_for_offline().await?;

        let office = Client::sign_in(&yard.at(""), "valley-office").await;
        let site = SiteId::parse(&id).ok_or("a site id")?;
        let invitation = serde_json::json!({ "site": site, "name": "the homeowner" });
        let (status, made) = office.post("/api/office/invite", &invitation).await;
        assert!(status.is_success(), "{made}");
        let link = made["link"].as_str().ok_or("a link")?;
        let token = link.split_once('#').ok_or("a token")?.1;
        let home = phone(folders[1].path()).await?;
        home.open(&yard.at(&format!("/home#{token}"))).await?;
        page_says(&home, &word("home.list")).await?;

        let desk = Browser::start(folders[2].path(), DESK).await?;
        sign_in(&desk, &yard, "valley-office", "/office").await?;
        desk.open(&yard.at(&format!("/office/{id}?view=tasks")))
            .await?;
        page_says(&desk, SITE).await?;
        desk.run("window.stayed = true; return true;").await?;
        home.run("window.stayed = true; return true;").await?;
        Ok(Self {
            yard,
            id,
            phone: coordinator,
            home,
            desk,
            _folders: folders.into(),
        })
    }

    fn today(&self) -> jiff::civil::Date {
        setdown_server::clock::today("America/Denver")
    }

    async fn ledger(&self) -> Result<Vec<Record>, Failure> {
        let office = Client::sign_in(&self.yard.at(""), "valley-office").await;
        let site = SiteId::parse(&self.id).ok_or("a site id")?;
        let (mut records, mut after) = (Vec::new(), 0);
        loop {
            let page = office.pull(site, after).await;
            let Some(last) = page.entries.last() else {
                return Ok(records);
            };
            after = last.acceptance.seq;
            for pulled in &page.entries {
                let raw = pulled.raw.get().to_owned();
                let entry = Entry::from_json(&raw)?;
                let standing = setdown_types::ledger::Standing::Accepted(pulled.acceptance);
                records.push(Record {
                    entry,
                    raw,
                    standing,
                });
            }
        }
    }

    /// Both phones are looked at again, which is when they try again at once.
    async fn pick_phones_up(&self) -> Result<(), Failure> {
        for browser in [&self.phone, &self.home] {
            browser
                .run("window.dispatchEvent(new Event('focus')); return true;")
                .await?;
        }
        Ok(())
    }

    async fn until_sent(&self) -> Result<(), Failure> {
        let sent = "return document.querySelector('.strip-state').textContent.startsWith('Everything is sent');";
        self.phone.until("everything sent", AGAIN, sent).await
    }

    /// The page that was open before shows what the phone showed, tape by tape and task by task.
    async fn desk_shows(
        &self,
        tapes: &[Tape],
        tasks: &[readiness::PartyTasks],
    ) -> Result<(), Failure> {
        let count = serde_json::to_string(&tapes[0].count)?;
        let there = format!(
            "return [...document.querySelectorAll('.tape-count')].some((each) => each.textContent === {count});"
        );
        self.desk
            .until("the phone's count at the desk", AGAIN, &there)
            .await?;
        let mut shown = readiness::tapes(&self.desk).await?;
        shown.sort_by_key(|tape| tapes.iter().position(|known| known.label == tape.label));
        assert_eq!(shown, tapes, "the desk's tapes");
        assert_eq!(
            readiness::office_tasks(&self.desk).await?,
            tasks,
            "the desk's tasks"
        );
        assert_eq!(
            self.desk.run("return window.stayed;").await?,
            true,
            "no reload"
        );
        Ok(())
    }

    /// The homeowner's phone shows the same tape, and their tasks as the desk lists them.
    async fn home_shows(&self, tapes: &[Tape]) -> Result<(), Failure> {
        let count = serde_json::to_string(&tapes[0].count)?;
        let there = format!(
            "return [...document.querySelectorAll('.tape-count')].some((each) => each.textContent === {count});"
        );
        self.home
            .until("the phone's count at home", AGAIN, &there)
            .await?;
        assert_eq!(
            readiness::tapes(&self.home).await?,
            tapes[..1],
            "the homeowner's tape"
        );
        let mine = readiness::home_tasks(&self.home).await?;
        assert!(!mine.is_empty(), "the homeowner has something to arrange");
        assert_eq!(mine, readiness::office_homeowner_tasks(&self.desk).await?);
        assert_eq!(
            self.home.run("return window.stayed;").await?,
            true,
            "no reload"
        );
        Ok(())
    }

    /// The row that the server keeps for its table says the same.
    async fn summary_says(&self, tape: &Tape) -> Result<(), Failure> {
        let office = Client::sign_in(&self.yard.at(""), "valley-office").await;
        let query = SitesQuery {
            search: SITE.to_owned(),
            ..SitesQuery::default()
        };
        let message = serde_json::json!({ "query": query });
        let (status, page) = office.post("/api/office/sites", &message).await;
        assert!(status.is_success(), "{page}");
        let page: SitesPage = serde_json::from_value(page)?;
        let [row] = page.rows.as_slice() else {
            return Err(format!("{} sites called {SITE}", page.rows.len()).into());
        };
        let summary = row.summary.as_ref().ok_or("a summary")?;
        assert_eq!(tape.score, format!("{} / 100", summary.score));
        assert_eq!(tape.count, counted(summary));
        assert!(
            tape.label
                .starts_with(&word(&format!("hold_point.{}", summary.hold_point.key())))
        );
        Ok(())
    }
}

/// The counts of a summary in the words of the tape.
fn counted(summary: &SiteSummary) -> String {
    let numbers = [
        ("tape.to_measure", summary.to_measure),
        ("tape.tight", summary.tight),
        ("tape.stopped", summary.stopped),
    ];
    let settled = [
        ("settled", summary.settled.to_string()),
        ("named", summary.named.to_string()),
    ];
    let settled = filled(
        "tape.settled",
        &settled
            .each_ref()
            .map(|(name, text)| (*name, text.as_str())),
    );
    let others = numbers
        .into_iter()
        .filter(|(_, count)| *count > 0)
        .map(|(key, count)| filled(key, &[("count", &count.to_string())]));
    std::iter::once(settled)
        .chain(others)
        .collect::<Vec<_>>()
        .join(", ")
}

/// A picture as a camera might make one: large, and not of one colour.
fn picture(folder: &Path) -> Result<PathBuf, Failure> {
    let path = folder.join("photo.jpg");
    let image = image::RgbImage::from_fn(1600, 1200, |x, y| {
        image::Rgb([(x % 256) as u8, (y % 256) as u8, ((x + y) % 256) as u8])
    });
    image.save(&path)?;
    Ok(path)
}

/// From the site's screen by the check that is short, to the answer that changes it, and back.
async fn put_right(walker: &mut Walker<'_>, check: &str, question: &str) -> Result<(), Failure> {
    walker.back_to_the_site().await?;
    walker.leave_by("nav.links a[href$='/checks']").await?;
    walker
        .leave_by(&format!("a.tape-item[href$='/{check}']"))
        .await?;
    let short = word("outcome.short");
    assert_eq!(
        walker.browser.text(".check-outcome .word").await?,
        short,
        "{check}"
    );
    walker
        .leave_by(&format!("a.line-link[href$='/site/{question}']"))
        .await?;
    let screen = walker.screen().await?;
    walker.answer(&screen).await?;
    // What the new answer opens is asked next.
    loop {
        let screen = walker.screen().await?;
        match screen.place {
            Place::Ask { .. } => walker.answer(&screen).await?,
            _ => return Ok(()),
        }
    }
}

/// Part of the way goes by crane after all: by the walk's list to the way, and on through all that the lift asks.
async fn another_way(walker: &mut Walker<'_>) -> Result<(), Failure> {
    walker.back_to_the_site().await?;
    walker.leave_by("a[href$='/walk']").await?;
    walker.stops().await?;
    walker
        .leave_by("a.line-link[href$='/site/way.chain']")
        .await?;
    let screen = walker.screen().await?;
    walker.answer(&screen).await?;
    walker.walk_on().await
}

/// Leaves a note and a photo at the site as a whole.
async fn note(walker: &Walker<'_>) -> Result<(), Failure> {
    walker.back_to_the_site().await?;
    walker.leave_by("nav.links a[href$='/notes']").await?;
    walker
        .browser
        .write("main textarea", "The dog is in the yard after four")
        .await?;
    press(walker.browser, &word("notes.keep")).await?;
    page_says(walker.browser, "The dog is in the yard after four").await?;
    walker.photograph().await?;
    press(walker.browser, &word("notes.keep_photo")).await?;
    let kept = "return document.querySelectorAll('.entry-row img.photo').length === 1;";
    walker
        .browser
        .until("the photo among the notes", LIMIT, kept)
        .await
}

/// The walk's own count says that nothing waits: as many answered as asked, and more than the demo began with.
async fn assert_all_answered(phone: &Browser) -> Result<(), Failure> {
    let text = phone.text("main > p.number").await?;
    let mut numbers = text.split(' ').filter_map(|word| word.parse::<u32>().ok());
    let (answered, asked) = (numbers.next(), numbers.next());
    assert!(answered == asked && asked > Some(100), "{text}");
    Ok(())
}

/// How many entries the strip says are only on this phone.
async fn unsent(phone: &Browser) -> Result<usize, Failure> {
    let text = phone.text(".strip-state").await?;
    let number = text.split(' ').next().ok_or("a number")?;
    Ok(number
        .parse()
        .map_err(|_| format!("the strip says {text}"))?)
}

/// What the server's ledger says is what was answered, word for word.
fn assert_kept(site: &Site, walker: &Walker<'_>, answers: &Answers) {
    for (question, thing) in walker.given() {
        let Some(row) = question::find(question) else {
            panic!("{question} is no question");
        };
        let Some(text) = answers.get(question, thing) else {
            continue;
        };
        let subject = subject_called(site, row.subject, thing)
            .unwrap_or_else(|| panic!("nothing is called {thing}"));
        let stream = site.stream(subject, question);
        let value = stream
            .and_then(|stream| stream.leading())
            .and_then(|head| head.value.clone())
            .unwrap_or_else(|| panic!("{question} about {thing} did not arrive"));
        match (&row.kind, &value) {
            (_, Value::DontKnow) => assert_eq!(text, "?"),
            (_, Value::CannotMeasure(why)) => assert_eq!(text, format!("!{why}")),
            (AnswerKind::Photo, Value::Photo(_))
            | (AnswerKind::Attestation, Value::Attestation(_)) => {}
            (AnswerKind::Date, Value::Date(date)) => assert_eq!(Some(*date), answers.date(text)),
            (AnswerKind::Choices(_), Value::Choices(chosen)) if text == "-" => {
                assert!(
                    chosen.is_empty() || chosen == &["none"],
                    "{question}: {chosen:?}"
                );
            }
            _ => {
                let meant = understand(row, text, UnitSystem::Us);
                let meant = meant.answer().map(|answer| &answer.value);
                assert_eq!(meant, Some(&value), "{question} about {thing}");
            }
        }
    }
}

fn subject_called(
    site: &Site,
    kind: setdown_types::subject::SubjectKind,
    thing: &str,
) -> Option<Subject> {
    if thing.is_empty() {
        return Some(Subject::SITE);
    }
    let called = |subject: &&Subject| site.name(**subject) == Some(thing);
    site.subjects(kind).iter().find(called).copied()
}

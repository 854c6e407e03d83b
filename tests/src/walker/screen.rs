//! What a walker sees: which screen it is, what is asked about what, and the stops of the walk.

use serde::Deserialize;
use setdown_app::words::question_title;

use super::Walker;
use crate::browser::Failure;
use crate::yard::LIMIT;

/// Which screen is there.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Place {
    /// A question about a thing; the site itself has no name here.
    Ask {
        /// The question's key.
        question: String,
        /// The thing's name as shown.
        thing: String,
    },
    /// The whole walk.
    Walk,
    /// Another, by its path.
    Other(String),
}

/// What is on screen.
#[derive(Debug, Clone)]
pub struct Screen {
    /// Which screen.
    pub place: Place,
    /// The kind of entry, by what it is made of; empty where there is none.
    pub kind: String,
}

#[derive(Deserialize)]
struct Seen {
    path: Vec<String>,
    title: String,
    about: String,
    kind: String,
}

/// One line of the walk's screen.
#[derive(Debug, Clone, Deserialize)]
pub struct Stop {
    /// Where it leads.
    pub href: String,
    /// The question's key.
    pub question: String,
    /// The heading of the thing it is about; empty for the site.
    pub thing: String,
    /// Whether it is marked as waiting for an answer.
    pub wanted: bool,
    /// Whether it says "if you can".
    pub unanswered: bool,
}

const LOOK: &str = "
    const field = document.querySelector('.field-screen');
    if (!field || field.dataset.left) return null;
    const kinds = { photo: '.photo-entry', slot: '.slot-entry', level: '.level-entry', slope: '.slope-entry',
        length: '.length-entry', number: '.number-entry', count: '.count-entry', yes_no: '.entry .two',
        choice: '.entry .lines', attestation: '.entry .caution', date: '.entry input[type=date]', text: '.entry textarea' };
    const kind = Object.keys(kinds).find((name) => field.querySelector(kinds[name])) || '';
    return { path: location.pathname.split('/').slice(1), kind,
        title: (field.querySelector('h1') || field).textContent,
        about: field.querySelector('.where').textContent };";

const STOPS: &str = "
    return [...document.querySelectorAll('details.station a.line-link')].map((link) => {
        const thing = link.closest('.thing');
        const answer = link.querySelector('.answer').textContent;
        return { href: link.getAttribute('href'), question: link.getAttribute('href').split('/').pop(),
            thing: thing ? thing.querySelector('.thing-head span').textContent : '',
            wanted: link.classList.contains('wanted'), unanswered: answer === IF_YOU_CAN };
    });";

impl Walker<'_> {
    /// What is on screen, once what the address asks for is there.
    pub async fn screen(&self) -> Result<Screen, Failure> {
        let begun = std::time::Instant::now();
        loop {
            let seen: Option<Seen> = serde_json::from_value(self.browser.run(LOOK).await?)?;
            if let Some(screen) = seen.as_ref().and_then(understood) {
                return Ok(screen);
            }
            if begun.elapsed() > LIMIT {
                let shown = self.browser.text("body").await?;
                return Err(format!("no screen of the walk: {shown}").into());
            }
            tokio::time::sleep(std::time::Duration::from_millis(30)).await;
        }
    }

    /// The lines of the walk's screen, in its order.
    pub async fn stops(&self) -> Result<Vec<Stop>, Failure> {
        self.browser
            .run("document.querySelectorAll('details.station').forEach((each) => { each.open = true; }); return true;")
            .await?;
        let words = serde_json::to_string(&setdown_app::words::word("walk.if_you_can"))?;
        let mut stops: Vec<Stop> = serde_json::from_value(
            self.browser
                .run(&STOPS.replace("IF_YOU_CAN", &words))
                .await?,
        )?;
        for stop in &mut stops {
            stop.thing = lowered(&stop.thing);
        }
        Ok(stops)
    }
}

/// `None` while the heading is not yet that of the question the address names.
fn understood(seen: &Seen) -> Option<Screen> {
    let path: Vec<&str> = seen.path.iter().map(String::as_str).collect();
    let place = match path.as_slice() {
        ["field", _, "ask", subject, question] => {
            if seen.title != question_title(question) || seen.kind.is_empty() {
                return None;
            }
            let thing = match *subject {
                "site" => String::new(),
                _ => seen.about.split_once(", ")?.1.to_owned(),
            };
            Place::Ask {
                question: (*question).to_owned(),
                thing,
            }
        }
        ["field", _, "walk"] => Place::Walk,
        other => Place::Other(other.join("/")),
    };
    Some(Screen {
        place,
        kind: seen.kind.clone(),
    })
}

/// Names stand with a capital in headings and without one beside a question.
fn lowered(name: &str) -> String {
    let mut letters = name.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_lowercase().chain(letters).collect()
    })
}

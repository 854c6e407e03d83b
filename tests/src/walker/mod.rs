//! A coordinator who walks a site on a phone: goes where the app leads and answers what is on screen from a table.
//!
//! It fails on a question that the table has no answer for, on an entry that it knows no way to give an answer on, on a
//! question that comes back although it was answered, and on a walk without an end.

mod answers;
mod entry;
mod keys;
mod screen;

use std::collections::BTreeMap;

use serde_json::json;
use setdown_app::words::word;

use crate::browser::{Browser, Failure};
use crate::yard::LIMIT;

pub use answers::{Answers, Point, Slot};
pub use screen::{Place, Screen};

/// More screens than any walk has.
const MOST_SCREENS: usize = 600;

/// Somebody on a walk.
pub struct Walker<'a> {
    /// Their phone.
    pub browser: &'a Browser,
    answers: &'a Answers,
    given: BTreeMap<(String, String), u32>,
}

impl<'a> Walker<'a> {
    /// Somebody who knows `answers`.
    pub fn new(browser: &'a Browser, answers: &'a Answers) -> Self {
        Self {
            browser,
            answers,
            given: BTreeMap::new(),
        }
    }

    /// Questions answered so far, with the thing each was about.
    pub fn given(&self) -> impl Iterator<Item = &(String, String)> {
        self.given.keys()
    }

    /// From the site's overview to the end of the walk.
    pub async fn walk_to_the_end(&mut self) -> Result<(), Failure> {
        self.browser
            .tap("a.button.primary.grow", &word("overview.go_on"))
            .await?;
        self.walk_on().await
    }

    /// Goes on from question to question until the app has none left, and comes back to the walk's own screen.
    pub async fn walk_on(&mut self) -> Result<(), Failure> {
        for _ in 0..MOST_SCREENS {
            let screen = self.screen().await?;
            match &screen.place {
                Place::Ask { .. } => self.answer(&screen).await?,
                Place::Walk if !self.open_next_stop().await? => return Ok(()),
                Place::Walk => {}
                Place::Other(path) => return Err(format!("the walk led to {path}").into()),
            }
        }
        Err(format!("{MOST_SCREENS} screens, and the walk has no end").into())
    }

    /// From the walk's screen: the first question that waits, else one that helps and that the table knows; false where
    /// there is neither.
    async fn open_next_stop(&mut self) -> Result<bool, Failure> {
        let stops = self.stops().await?;
        let known = |stop: &screen::Stop| {
            let about = (stop.question.clone(), stop.thing.clone());
            !self.given.contains_key(&about)
                && self.answers.get(&stop.question, &stop.thing).is_some()
        };
        let next = stops
            .iter()
            .find(|stop| stop.wanted)
            .or_else(|| stops.iter().find(|stop| stop.unanswered && known(stop)));
        let Some(next) = next else {
            return Ok(false);
        };
        self.leave_by(&format!("a[href=\"{}\"]", next.href)).await?;
        Ok(true)
    }

    /// Gives the table's answer to the question on screen and keeps it.
    pub async fn answer(&mut self, screen: &Screen) -> Result<(), Failure> {
        let Place::Ask { question, thing } = &screen.place else {
            return Err(format!("no question on screen but {:?}", screen.place).into());
        };
        if self.add_what_is_missing(question).await? {
            return Ok(());
        }
        match question.as_str() {
            "slot.holds" => return self.slot_or_leave().await,
            "level_point.height" => return self.level_or_leave().await,
            _ => {}
        }
        let answer = self.answers.get(question, thing).ok_or_else(|| {
            format!(
                "the walk asks {question} about \"{thing}\" ({} on screen), and the table has no answer",
                screen.kind
            )
        })?;
        let answer = answer.to_owned();
        let times = self
            .given
            .entry((question.clone(), thing.clone()))
            .or_default();
        *times += 1;
        if *times > 1 {
            return Err(
                format!("{question} about \"{thing}\" is asked again after an answer").into(),
            );
        }
        self.enter(screen, &answer)
            .await
            .map_err(|error| format!("{question} about \"{thing}\", \"{answer}\": {error}"))?;
        self.keep().await
    }

    /// Opens the place where things of a kind are listed, and adds the next one that the table knows.
    async fn add_what_is_missing(&mut self, question: &str) -> Result<bool, Failure> {
        match question {
            "panel.slots_listed" if self.next_slot().is_some() => {
                self.tap_slot().await?;
                return Ok(true);
            }
            "base.level_points_listed" if self.next_point().is_some() => {
                self.leave_by(".things button.add").await?;
                return Ok(true);
            }
            _ => {}
        }
        let Some((kind, name)) = self.next_thing(question) else {
            return Ok(false);
        };
        self.leave_by(".things button.add").await?;
        let at = self.screen().await?;
        let named = format!("{kind}.present");
        if !matches!(&at.place, Place::Ask { question, .. } if *question == named) {
            return Err(format!("adding {name} led to {:?}", at.place).into());
        }
        self.browser.write(".entry textarea", &name).await?;
        self.given.insert((named, name), 1);
        self.keep().await?;
        Ok(true)
    }

    fn next_thing(&self, question: &str) -> Option<(&'static str, String)> {
        let (kind, names) = self.answers.things(question)?;
        let named = format!("{kind}.present");
        let missing = |name: &&&str| {
            !self
                .given
                .contains_key(&(named.clone(), (**name).to_owned()))
        };
        names
            .iter()
            .find(missing)
            .map(|name| (kind, (*name).to_owned()))
    }

    /// Back, as often as it takes, to the site's own screen.
    pub async fn back_to_the_site(&self) -> Result<(), Failure> {
        loop {
            match self.screen().await?.place {
                Place::Other(path) if path.split('/').count() == 2 => return Ok(()),
                _ => self.leave_by("a.back").await?,
            }
        }
    }

    /// Taps Keep and waits until the next screen is there.
    pub async fn keep(&self) -> Result<(), Failure> {
        let button = ".field-bottom button.primary";
        let ready = format!(
            "const keep = document.querySelector('{button}');\
             return !!keep && keep.getAttribute('aria-disabled') === 'false' && keep.textContent.startsWith({});",
            json!(word("ask.keep"))
        );
        if let Err(error) = self.browser.until("something to keep", LIMIT, &ready).await {
            let shown = self.browser.text("main").await?;
            return Err(format!("{error}; on screen: {shown}").into());
        }
        self.leave_by(button).await
    }

    /// Taps what leads to another screen, and waits for that.
    pub async fn leave_by(&self, selector: &str) -> Result<(), Failure> {
        self.browser
            .run("document.querySelector('.field-screen').dataset.left = 'true'; return true;")
            .await?;
        self.browser.tap(selector, "").await?;
        let gone = "const screen = document.querySelector('.field-screen');\
             const refused = document.querySelector('main > [role=alert].unclear');\
             return (!!refused && refused.textContent !== '') || (!!screen && !screen.dataset.left && !!screen.querySelector('h1'));";
        self.browser.until("the next screen", LIMIT, gone).await?;
        let refused = self
            .browser
            .run(
                "const screen = document.querySelector('.field-screen');\
                 const refused = document.querySelector('main > [role=alert].unclear');\
                 return screen.dataset.left && refused ? refused.textContent : '';",
            )
            .await?;
        match refused.as_str() {
            Some("") => Ok(()),
            other => Err(format!("not kept: {other:?}").into()),
        }
    }
}

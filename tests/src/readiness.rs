//! Readiness as three screens show it: tapes with their scores and counts, and tasks by party.

use serde::Deserialize;

use crate::browser::{Browser, Failure};

/// One hold point's tape, word for word.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct Tape {
    /// What it says to a screen reader: name, state, count.
    pub label: String,
    /// "63 / 100".
    pub score: String,
    /// "31 of 38 settled, 6 to measure".
    pub count: String,
}

/// The tasks of one party, word for word.
#[derive(Debug, Clone, PartialEq, Eq, Deserialize)]
pub struct PartyTasks {
    /// The party.
    pub party: String,
    /// The number beside it.
    pub count: String,
    /// Each task.
    pub lines: Vec<String>,
}

const TAPES: &str = "
    return [...document.querySelectorAll('.tape-button')].map((tape) => ({
        label: tape.getAttribute('aria-label'),
        score: tape.querySelector('.tape-score').textContent,
        count: tape.querySelector('.tape-count').textContent }));";

const FIELD_TASKS: &str = "
    return [...document.querySelectorAll('main details')].map((party) => ({
        party: party.querySelector('summary').firstChild.textContent.trim(),
        count: party.querySelector('.badge').textContent,
        lines: [...party.querySelectorAll('.line-title')].map((line) => line.textContent.trim()) }));";

const OFFICE_TASKS: &str = "
    return [...document.querySelectorAll('section[aria-labelledby^=tasks-]:not([aria-labelledby=tasks-title])')]
        .filter((party) => !party.hidden)
        .map((party) => ({
            party: party.querySelector('h3').firstChild.textContent.trim(),
            count: party.querySelector('.badge').textContent,
            lines: [...party.querySelectorAll('.task-line')].map((line) => {
                const badge = line.querySelector('.badge');
                return line.textContent.slice(badge ? badge.textContent.length : 0).trim(); }) }));";

const OFFICE_HOMEOWNER: &str = "
    return [...document.querySelectorAll('section[aria-labelledby=tasks-homeowner] li.task')]
        .filter((task) => !task.querySelector('ul'))
        .map((task) => {
            const line = task.querySelector('.task-line');
            const badge = line.querySelector('.badge');
            return line.textContent.slice(badge ? badge.textContent.length : 0).trim(); });";

const HOME_TASKS: &str = "
    return [...document.querySelectorAll('main > ul.plain > li.line-link')].map((line) => line.textContent.trim());";

/// Every tape on the page, in order.
pub async fn tapes(browser: &Browser) -> Result<Vec<Tape>, Failure> {
    Ok(serde_json::from_value(browser.run(TAPES).await?)?)
}

/// The tasks on the coordinator's screen.
pub async fn field_tasks(browser: &Browser) -> Result<Vec<PartyTasks>, Failure> {
    Ok(serde_json::from_value(browser.run(FIELD_TASKS).await?)?)
}

/// The tasks on the desk's screen.
pub async fn office_tasks(browser: &Browser) -> Result<Vec<PartyTasks>, Failure> {
    Ok(serde_json::from_value(browser.run(OFFICE_TASKS).await?)?)
}

/// What the desk lists for the homeowner beyond questions.
pub async fn office_homeowner_tasks(browser: &Browser) -> Result<Vec<String>, Failure> {
    Ok(serde_json::from_value(
        browser.run(OFFICE_HOMEOWNER).await?,
    )?)
}

/// What the homeowner's own phone lists beyond questions.
pub async fn home_tasks(browser: &Browser) -> Result<Vec<String>, Failure> {
    Ok(serde_json::from_value(browser.run(HOME_TASKS).await?)?)
}

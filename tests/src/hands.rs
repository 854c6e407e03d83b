//! Hands: tapping what can be seen, typing into fields, picking from lists, as somebody at the screen does.

use std::time::{Duration, Instant};

use fantoccini::Locator;
use serde_json::json;

use crate::browser::{Browser, Failure};
use crate::yard::LIMIT;

/// Two taps on one place within about 300 ms are a double tap, and after one the emulated phone swallows what is typed, on
/// a page without any script as well: of 60 fields tapped 200 ms apart 19 stayed empty, of as many tapped 350 ms apart
/// none. No hand taps one field and types into the next that fast.
const BETWEEN_TAPS: Duration = Duration::from_millis(500);

impl Browser {
    /// Taps the first element of `selector` that can be seen and says `text` (anything, where that is empty), in the middle
    /// of the screen. A tap that something else would get is a failure.
    pub async fn tap(&self, selector: &str, text: &str) -> Result<(), Failure> {
        let mark = format!(
            "const all = [...document.querySelectorAll({})].filter((each) => each.getClientRects().length > 0 && ({} === '' || each.textContent.trim() === {}));\
             document.querySelectorAll('[data-tap]').forEach((each) => each.removeAttribute('data-tap'));\
             if (all.length === 0 || all[0].disabled) return false;\
             all[0].setAttribute('data-tap', ''); all[0].scrollIntoView({{ block: 'center' }}); return true;",
            json!(selector),
            json!(text),
            json!(text)
        );
        let begun = Instant::now();
        loop {
            let last = match self.run(&mark).await? == true {
                true => match self.client.find(Locator::Css("[data-tap]")).await {
                    Ok(element) => match element.click().await {
                        Ok(()) => return Ok(()),
                        Err(error) => error.to_string(),
                    },
                    Err(error) => error.to_string(),
                },
                false => "it is not there".to_owned(),
            };
            if begun.elapsed() > LIMIT {
                let shown = self.text("body").await?;
                return Err(format!(
                    "{selector} \"{text}\" cannot be tapped: {last}; on screen: {shown}"
                )
                .into());
            }
            tokio::time::sleep(Duration::from_millis(30)).await;
        }
    }

    /// Empties a field and types into it, once: a field that then holds something else has lost what was typed.
    pub async fn write(&self, selector: &str, text: &str) -> Result<(), Failure> {
        tokio::time::sleep(BETWEEN_TAPS).await;
        self.tap(selector, "").await?;
        let field = self.client.find(Locator::Css(selector)).await?;
        field.clear().await?;
        field.send_keys(text).await?;
        match self.value(selector).await? {
            kept if kept == text => Ok(()),
            other => Err(format!("{selector} holds \"{other}\" after typing \"{text}\"").into()),
        }
    }

    /// What a field holds.
    pub async fn value(&self, selector: &str) -> Result<String, Failure> {
        let field = self.client.find(Locator::Css(selector)).await?;
        Ok(field.prop("value").await?.unwrap_or_default())
    }

    /// Picks a line of a list by its words.
    pub async fn pick(&self, selector: &str, label: &str) -> Result<(), Failure> {
        let list = self.client.find(Locator::Css(selector)).await?;
        Ok(list.select_by_label(label).await?)
    }

    /// Sets a field that is filled by a picker of its own, such as a date's.
    pub async fn set_picker(&self, selector: &str, text: &str) -> Result<(), Failure> {
        let script = format!(
            "const field = document.querySelector({}); field.value = {};\
             field.dispatchEvent(new Event('input', {{ bubbles: true }})); return field.value;",
            json!(selector),
            json!(text)
        );
        match self.run(&script).await? {
            kept if kept == text => Ok(()),
            other => Err(format!("{selector} took {other}").into()),
        }
    }
}

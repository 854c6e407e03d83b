//! Keying lengths with the ruler, slopes, numbers and counts.

use fantoccini::Locator;
use fantoccini::actions::{InputSource, PointerAction, TouchActions};
use serde_json::json;
use setdown_app::parts::length_keys::{KeyedLength, ticks_per_unit};
use setdown_app::words::word;
use setdown_types::quantity::text::{Understood, format_length, parse_length};
use setdown_types::quantity::{Unit, UnitSystem};

use super::Walker;
use crate::browser::Failure;

/// The ruler's own units: its drawing's width and the empty edge at each end.
const RULER: (f64, f64) = (340.0, 10.0);

impl Walker<'_> {
    /// Keys a length: digits, the feet key and a tick of the ruler; typed where the keys cannot write it.
    pub(super) async fn key_length(&self, within: &str, text: &str) -> Result<(), Failure> {
        let Some(keyed) = KeyedLength::read(text, UnitSystem::Us) else {
            self.browser
                .tap(&format!("{within} .length-head button"), "")
                .await?;
            return self
                .browser
                .write(&format!("{within} .length-entry > label input"), text)
                .await;
        };
        if let Some(feet) = &keyed.large {
            self.digits(within, feet).await?;
            let label = word("length.feet");
            self.browser
                .tap(&format!("{within} .keypad [aria-label=\"{label}\"]"), "")
                .await?;
        }
        self.digits(within, &keyed.small).await?;
        if keyed.ticks > 0 {
            self.touch_tick(within, keyed.ticks).await?;
        }
        let shown = self
            .browser
            .text(&format!("{within} .length-shown .large"))
            .await?;
        match parse_length(text, Some(Unit::Inch))? {
            Understood::One(length) if shown == format_length(length, UnitSystem::Us) => Ok(()),
            meant => Err(format!("the keypad shows \"{shown}\" for {meant:?}").into()),
        }
    }

    async fn digits(&self, within: &str, digits: &str) -> Result<(), Failure> {
        for digit in digits.chars() {
            self.browser
                .tap(&format!("{within} .keypad button"), &digit.to_string())
                .await?;
        }
        Ok(())
    }

    /// Touches the ruler where the tick is drawn.
    async fn touch_tick(&self, within: &str, tick: u8) -> Result<(), Failure> {
        let ruler = format!("{within} svg.ruler");
        self.browser
            .run(&format!(
                "document.querySelector({}).scrollIntoView({{ block: 'center' }}); return true;",
                json!(ruler)
            ))
            .await?;
        let element = self.browser.client.find(Locator::Css(&ruler)).await?;
        let (_, _, width, _) = element.rectangle().await?;
        let step = (RULER.0 - 2.0 * RULER.1) / f64::from(ticks_per_unit(UnitSystem::Us));
        let along = RULER.1 + f64::from(tick) * step - RULER.0 / 2.0;
        let touch = TouchActions::new("finger".to_owned())
            .then(PointerAction::MoveToElement {
                element,
                duration: None,
                x: (along * width / RULER.0).round(),
                y: -10.0,
            })
            .then(PointerAction::Down { button: 0 })
            .then(PointerAction::Up { button: 0 });
        Ok(self.browser.client.perform_actions(touch).await?)
    }

    /// Keys a slope as an instrument shows it, or as the gap under a level.
    pub(super) async fn key_slope(&self, text: &str) -> Result<(), Failure> {
        let (minus, size) = match text.strip_prefix('-') {
            Some(size) => (true, size),
            None => (false, text),
        };
        if let Some((gap, level)) = size.split_once(':') {
            self.browser
                .tap(".slope-entry button", &word("slope.level_and_tape"))
                .await?;
            self.browser
                .write(".slope-entry label:nth-of-type(1) input", gap)
                .await?;
            self.browser
                .write(".slope-entry label:nth-of-type(2) input", level)
                .await?;
        } else {
            self.key_number(size).await?;
        }
        if minus {
            self.browser
                .tap(".slope-entry button", &word("slope.minus"))
                .await?;
        }
        Ok(())
    }

    /// Keys a number and chooses its unit.
    pub(super) async fn key_number(&self, text: &str) -> Result<(), Failure> {
        let (number, unit) = text.split_once(' ').ok_or("a number with its unit")?;
        self.digits(".number-entry", number).await?;
        let shown = self.browser.text(".number-entry .length-shown").await?;
        if shown != text {
            self.browser.tap(".number-entry button.chip", unit).await?;
        }
        let shown = self.browser.text(".number-entry .length-shown").await?;
        if shown == text {
            Ok(())
        } else {
            Err(format!("the keys show \"{shown}\" for \"{text}\"").into())
        }
    }

    /// A small count by its steps, a larger one typed.
    pub(super) async fn key_count(&self, text: &str) -> Result<(), Failure> {
        let count: u32 = text.parse()?;
        if !(1..=4).contains(&count) {
            return self.browser.write(".count-entry input", text).await;
        }
        let more = word("count.more");
        for _ in 0..count {
            self.browser
                .tap(&format!(".count-entry [aria-label=\"{more}\"]"), "")
                .await?;
        }
        match self.browser.value(".count-entry input").await? {
            kept if kept == text => Ok(()),
            other => Err(format!("{count} steps up make {other}").into()),
        }
    }
}

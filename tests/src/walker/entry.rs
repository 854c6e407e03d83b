//! Giving an answer on the entry that is on screen, whatever kind it is.

use setdown_app::parts::answer::{CANNOT, DONT_KNOW, NONE, none_of};
use setdown_app::words::word;
use setdown_types::question::{self, AnswerKind};

use super::{Place, Point, Screen, Slot, Walker};
use crate::browser::Failure;
use crate::yard::LIMIT;

impl Walker<'_> {
    /// Enters `answer`; the kind is what is seen on screen, not what the question table says.
    pub(super) async fn enter(&self, screen: &Screen, answer: &str) -> Result<(), Failure> {
        let Place::Ask { question, .. } = &screen.place else {
            return Err("no question on screen".into());
        };
        if answer == DONT_KNOW {
            return self
                .browser
                .tap(".no-answer button", &word("entry.dont_know"))
                .await;
        }
        if let Some(reason) = answer.strip_prefix(CANNOT) {
            self.browser
                .tap(".no-answer button", &word("entry.cannot_measure"))
                .await?;
            return self
                .browser
                .write(".entry > .field input[type=text]", reason.trim())
                .await;
        }
        match screen.kind.as_str() {
            "length" => self.key_length(".entry", answer).await,
            "slope" => self.key_slope(answer).await,
            "number" => self.key_number(answer).await,
            "count" => self.key_count(answer).await,
            "yes_no" => {
                let label = word(&format!("entry.{answer}"));
                self.browser.tap(".entry .two button", &label).await
            }
            "choice" => self.choose(question, answer).await,
            "date" => self.pick_date(".entry input[type=date]", answer).await,
            "text" => self.browser.write(".entry textarea", answer).await,
            "attestation" => self.attest(answer).await,
            "photo" => self.photograph().await,
            other => Err(format!("no way known to answer on \"{other}\"").into()),
        }
    }

    /// One or several choices, by their words.
    async fn choose(&self, question: &str, answer: &str) -> Result<(), Failure> {
        let row = question::find(question).ok_or("a question of the table")?;
        let keys: Vec<&str> = match (answer, row.kind) {
            (NONE, AnswerKind::Choices(choices)) => vec![none_of(choices)],
            _ => answer.split(',').collect(),
        };
        for key in keys {
            let label = match key {
                NONE => word("entry.none_of_these"),
                key => word(&format!("choice.{question}.{key}")),
            };
            self.browser.tap(".entry .lines button", &label).await?;
        }
        Ok(())
    }

    async fn pick_date(&self, selector: &str, days: &str) -> Result<(), Failure> {
        let date = self
            .answers
            .date(days)
            .ok_or("a date as days from today")?
            .to_string();
        self.browser.set_picker(selector, &date).await
    }

    async fn attest(&self, answer: &str) -> Result<(), Failure> {
        let parts: Vec<&str> = answer.split('|').map(str::trim).collect();
        let [person, licence, document, days] = parts.as_slice() else {
            return Err("a licensed person's word has four parts".into());
        };
        for (place, part) in [(2, person), (3, licence), (4, document)] {
            let field = format!(".entry .stack > :nth-child({place}) input");
            self.browser.write(&field, part).await?;
        }
        self.pick_date(".entry input[type=date]", days).await
    }

    /// Gives the file to the camera's own input, and waits until the picture is kept and shown.
    pub async fn photograph(&self) -> Result<(), Failure> {
        let path = self.answers.photo.display().to_string();
        let input = self
            .browser
            .client
            .find(fantoccini::Locator::Css(".photo-entry input[type=file]"))
            .await?;
        input.send_keys(&path).await?;
        let kept = "const image = document.querySelector('.photo-entry img.photo');\
             return !!image && image.complete && image.naturalWidth > 0;";
        self.browser.until("the photo on screen", LIMIT, kept).await
    }

    pub(super) fn next_slot(&self) -> Option<Slot> {
        let known = |slot: &&Slot| {
            let about = ("slot.holds".to_owned(), slot.position.to_string());
            !self.given.contains_key(&about)
        };
        self.answers.slots.iter().find(known).copied()
    }

    /// Taps the next position in the drawing of the panel.
    pub(super) async fn tap_slot(&self) -> Result<(), Failure> {
        let slot = self.next_slot().ok_or("a position to record")?;
        self.leave_by(&format!(".slot-grid .slot:nth-child({})", slot.position))
            .await
    }

    /// Records the next position on screen; where the table has none left, leaves.
    pub(super) async fn slot_or_leave(&mut self) -> Result<(), Failure> {
        let Some(slot) = self.next_slot() else {
            return self.go_past().await;
        };
        let position = slot.position.to_string();
        let offered = self
            .browser
            .value(".slot-entry input[inputmode=numeric]")
            .await?;
        if offered != position {
            self.browser
                .write(".slot-entry input[inputmode=numeric]", &position)
                .await?;
        }
        self.browser
            .tap(".slot-entry button", &word(&format!("slot.{}", slot.holds)))
            .await?;
        if slot.rating > 0 {
            self.browser
                .tap(".slot-entry button", &format!("{} A", slot.rating))
                .await?;
        }
        if !slot.label.is_empty() {
            self.browser
                .write(".slot-entry input[autocomplete=off]", slot.label)
                .await?;
        }
        self.given.insert(("slot.holds".to_owned(), position), 1);
        self.keep().await
    }

    pub(super) fn next_point(&self) -> Option<Point> {
        let known = |point: &&Point| {
            let about = ("level_point.height".to_owned(), point.place.to_owned());
            !self.given.contains_key(&about)
        };
        self.answers.points.iter().find(known).copied()
    }

    /// Records the next height on screen; where the table has none left, leaves. From three points on the plane is said.
    pub(super) async fn level_or_leave(&mut self) -> Result<(), Failure> {
        let Some(point) = self.next_point() else {
            return self.go_past().await;
        };
        let place = word(&format!("level.place.{}", point.place));
        self.browser.pick(".level-entry select", &place).await?;
        self.key_length(".level-entry", point.height).await?;
        let before = self
            .given
            .keys()
            .filter(|(question, _)| question == "level_point.height")
            .count();
        if before >= 3 {
            let forms = "return !!document.querySelector('.footprint path.fall');";
            self.browser.until("the plane", LIMIT, forms).await?;
        }
        let about = ("level_point.height".to_owned(), point.place.to_owned());
        self.given.insert(about, 1);
        self.keep().await
    }

    /// On to the question after this one, without an answer.
    async fn go_past(&self) -> Result<(), Failure> {
        let label = word("ask.next");
        self.leave_by(&format!(".field-bottom a[aria-label=\"{label}\"]"))
            .await
    }
}

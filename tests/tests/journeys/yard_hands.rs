//! What the journeys of the yard plan share: the site, and the steps of somebody who draws its plan on a phone.

use fantoccini::wd::PrintConfiguration;
use setdown_app::words::{filled, word};
use setdown_tests::browser::{Browser, Failure};
use setdown_tests::yard::{LIMIT, Yard, press};
use setdown_types::quantity::text::format_length;
use setdown_types::quantity::{Length, UnitSystem};

/// The demo's site whose way in is measured half.
pub const SITE: &str = "Hillside house";

/// A length as the trade writes it.
pub fn written(inches: f64) -> Result<String, Failure> {
    Ok(format_length(Length::from_inches(inches)?, UnitSystem::Us))
}

/// Somebody with a phone in a yard.
pub struct Hands<'a> {
    /// The phone.
    pub phone: &'a Browser,
    journey: &'static str,
    pictures: usize,
}

impl<'a> Hands<'a> {
    /// Hands on a phone; `journey` is what its pictures are named after.
    pub const fn new(phone: &'a Browser, journey: &'static str) -> Self {
        Self {
            phone,
            journey,
            pictures: 0,
        }
    }

    /// Waits until the address ends so.
    pub async fn at(&self, ending: &str) -> Result<(), Failure> {
        let script = format!("return location.pathname.endsWith('{ending}');");
        self.phone.until(ending, LIMIT, &script).await
    }

    /// Keeps a picture for people to look at, where they ask for it.
    pub async fn look(&mut self, name: &str) -> Result<(), Failure> {
        self.pictures += 1;
        if let Ok(folder) = std::env::var("SETDOWN_PICTURES") {
            std::fs::create_dir_all(&folder)?;
            let path = std::path::Path::new(&folder)
                .join(format!("{}-{:02}-{name}.png", self.journey, self.pictures));
            std::fs::write(path, self.phone.client.screenshot().await?)?;
        }
        Ok(())
    }

    /// Keeps the page as it is printed for people to look at, where they ask for it.
    pub async fn look_at_print(&mut self, name: &str) -> Result<(), Failure> {
        if let Ok(folder) = std::env::var("SETDOWN_PICTURES") {
            std::fs::create_dir_all(&folder)?;
            let path = std::path::Path::new(&folder).join(format!("{}-{name}.pdf", self.journey));
            let printed = self
                .phone
                .client
                .print(PrintConfiguration::default())
                .await?;
            std::fs::write(path, printed)?;
        }
        Ok(())
    }

    /// Follows the first link whose address ends so, whatever fold it is in.
    pub async fn follow(&self, ending: &str) -> Result<(), Failure> {
        let script = format!(
            "const link = [...document.querySelectorAll('a')].find((each) => each.getAttribute('href').endsWith('{ending}'));\
             if (!link) return false; link.click(); return true;"
        );
        self.phone.until(ending, LIMIT, &script).await
    }

    /// Follows a link of the plan's list that ends so, of the thing of that name.
    pub async fn follow_in(&self, name: &str, ending: &str) -> Result<(), Failure> {
        let script = format!(
            "const rows = [...document.querySelectorAll('details.fold > ul > li')];\
             const row = rows.find((each) => each.querySelector('.line-title')?.textContent.trim().toLowerCase() === '{name}');\
             const link = row && [...row.querySelectorAll('a')].find((each) => each.getAttribute('href').endsWith('{ending}'));\
             if (!link) return false; link.click(); return true;"
        );
        self.phone.until(name, LIMIT, &script).await?;
        self.at(ending).await
    }

    /// Comes to a question about a thing of the plan: it is on screen already, or the plan's list leads to it.
    pub async fn come_to(&self, name: &str, question: &str) -> Result<(), Failure> {
        if self.asked().await? != question {
            self.back_to_plan().await?;
            self.follow_in(name, &format!("/{question}")).await?;
        }
        Ok(())
    }

    /// Goes back to the plan, by the arrow of the question on screen.
    pub async fn back_to_plan(&self) -> Result<(), Failure> {
        if self.asked().await? != "plan" {
            self.phone.tap(".button.back", "").await?;
        }
        self.at("/plan").await
    }

    /// The question on screen, or what else ends the address.
    pub async fn asked(&self) -> Result<String, Failure> {
        let url = self.phone.client.current_url().await?;
        let last = url.path_segments().and_then(|mut parts| parts.next_back());
        Ok(last.unwrap_or_default().to_owned())
    }

    /// Presses an answer's button and keeps it; `entry` is where yes and no are.
    pub async fn choice(&self, question: &str, key: &str) -> Result<(), Failure> {
        let (label, group) = match question {
            "entry" => (word(&format!("entry.{key}")), ".two"),
            _ => (word(&format!("choice.{question}.{key}")), ".lines"),
        };
        self.phone
            .tap(&format!(".entry {group} button"), &label)
            .await?;
        self.keep().await
    }

    /// Chooses one thing by its name and keeps it.
    pub async fn pick_thing(&self, name: &str) -> Result<(), Failure> {
        self.phone.tap(".point-names .chip", name).await?;
        self.keep().await
    }

    /// Types a number on the keys, below 0 with the right-hand side chosen, and keeps it.
    pub async fn number(&self, number: i32) -> Result<(), Failure> {
        if number < 0 {
            self.phone
                .tap(".number-entry .chip", &word("number.right"))
                .await?;
        }
        for digit in number.abs().to_string().chars() {
            self.phone
                .tap(".entry .keypad button", &digit.to_string())
                .await?;
        }
        self.keep().await
    }

    /// Types the length of a tape and keeps it.
    pub async fn taped_length(&self, text: &str) -> Result<(), Failure> {
        self.at("/tie.length").await?;
        self.length(text).await
    }

    /// Types a length past the keypad, as the keyboard way has it, and keeps it.
    pub async fn length(&self, text: &str) -> Result<(), Failure> {
        self.phone.tap(".entry .length-head button", "").await?;
        self.phone
            .write(".entry .length-entry > label input", text)
            .await?;
        self.keep().await
    }

    /// Keeps what is on screen, and waits until another screen has taken its place.
    pub async fn keep(&self) -> Result<(), Failure> {
        let before = self.phone.client.current_url().await?;
        let ready = "const keep = document.querySelector('.field-bottom button.primary');\
                     return !!keep && keep.getAttribute('aria-disabled') === 'false';";
        self.phone.until("something to keep", LIMIT, ready).await?;
        self.phone.tap(".field-bottom button.primary", "").await?;
        let gone = format!("return location.pathname !== '{}';", before.path());
        self.phone.until("the next screen", LIMIT, &gone).await
    }

    /// Chooses points by their names, in order.
    pub async fn choose(&self, names: &str) -> Result<(), Failure> {
        for name in names.chars() {
            self.phone
                .tap(".point-names .chip", &name.to_string())
                .await?;
        }
        Ok(())
    }

    /// Adds a tape and its number.
    pub async fn tape(&self, tape: &str, inches: f64) -> Result<(), Failure> {
        press(self.phone, &word("plan.add_tape")).await?;
        self.at("/tie.present").await?;
        self.choose(tape).await?;
        self.keep().await?;
        self.taped_length(&written(inches)?).await?;
        self.at("/plan").await
    }

    /// Adds a line: name, kind, points.
    pub async fn line(&self, name: &str, kind: &str, points: &str) -> Result<(), Failure> {
        let add = filled("things.add", &[("kind", &word("kind.one.plan_line"))]);
        self.press_hidden(&add).await?;
        self.at("/plan_line.present").await?;
        self.phone.write(".entry textarea", name).await?;
        self.keep().await?;
        self.at("/plan_line.kind").await?;
        let label = word(&format!("choice.plan_line.kind.{kind}"));
        self.phone.tap(".entry .lines button", &label).await?;
        self.keep().await?;
        self.at("/plan_line.points").await?;
        self.choose(points).await?;
        self.keep().await?;
        self.at("/plan").await
    }

    /// Opens every fold, then presses.
    pub async fn press_hidden(&self, text: &str) -> Result<(), Failure> {
        self.phone
            .run("document.querySelectorAll('details').forEach((fold) => { fold.open = true; }); return true;")
            .await?;
        press(self.phone, text).await
    }

    /// Answers a question of the site by points, or yes or no.
    pub async fn site(&self, question: &str, answer: &str) -> Result<(), Failure> {
        self.follow(&format!("/ask/site/{question}")).await?;
        self.at(question).await?;
        match answer {
            "yes" | "no" => {
                self.phone
                    .tap(".entry .two button", &word(&format!("entry.{answer}")))
                    .await?
            }
            points => self.choose(points).await?,
        }
        self.keep().await
    }

    /// What the way in needs besides its plan: it is rolled, and everything on it is listed.
    pub async fn before_the_plan(&self, yard: &Yard, id: &str) -> Result<(), Failure> {
        let ask = |question: &str| yard.at(&format!("/field/{id}/ask/site/{question}"));
        self.phone.open(&ask("way.chain")).await?;
        press(self.phone, &word("choice.way.chain.rolled")).await?;
        self.keep().await?;
        for listed in ["way.openings_listed", "way.turns_listed"] {
            self.phone.open(&ask(listed)).await?;
            self.phone
                .tap(".entry .two button", &word("entry.yes"))
                .await?;
            self.keep().await?;
        }
        self.phone.open(&yard.at(&format!("/field/{id}"))).await?;
        self.follow("/plan").await
    }
}

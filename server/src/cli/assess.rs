//! `assess FILE`: what the rules say about a survey file, in words or as JSON.

use std::fmt::Write as _;
use std::path::Path;

use setdown_app::words::{Wording, check_title, word};
use setdown_rules::Assessment;
use setdown_rules::frame::result::{CheckResult, HoldPointResult, HoldState, Item, Outcome};
use setdown_types::party::Party;
use setdown_types::quantity::UnitSystem;
use setdown_types::site::Site;

use crate::survey::{FileError, Survey};

/// What to print and how.
#[derive(Debug, Clone, Copy)]
pub struct Choices {
    /// The assessment as JSON, for other programs.
    pub json: bool,
    /// Every check with its working, not only those that are not clear.
    pub all: bool,
    /// Units of the text.
    pub units: UnitSystem,
}

/// Assesses a survey file and gives what is to be printed.
///
/// # Errors
/// [`FileError`] that says where the file is wrong and what to write instead.
pub fn assess(path: &Path, choices: Choices) -> Result<String, FileError> {
    let survey = Survey::read(path)?;
    let assessment = survey.assess();
    if choices.json {
        let mut text = serde_json::to_string_pretty(&assessment).unwrap_or_default();
        text.push('\n');
        return Ok(text);
    }
    let site = survey.fold();
    let report = Report {
        survey: &survey,
        assessment: &assessment,
        site: &site,
        choices,
    };
    Ok(report.text())
}

struct Report<'a> {
    survey: &'a Survey,
    assessment: &'a Assessment,
    site: &'a Site,
    choices: Choices,
}

impl Report<'_> {
    fn wording(&self) -> Wording<'_> {
        Wording::new(self.choices.units, self.site)
    }

    fn text(&self) -> String {
        let mut out = String::new();
        let _ = writeln!(out, "{}, {}", self.survey.name, self.survey.spa.name);
        let _ = writeln!(
            out,
            "on {}, rules {}\n",
            self.survey.date, self.assessment.rules
        );
        self.hold_points(&mut out);
        self.checks(&mut out);
        self.next(&mut out);
        self.tasks(&mut out);
        let _ = writeln!(out, "\n{}", word("cli.caution"));
        out
    }

    fn hold_points(&self, out: &mut String) {
        let _ = writeln!(out, "{}", heading("cli.hold_points"));
        for point in &self.assessment.hold_points {
            let name = word(&format!("hold_point.{}", point.hold_point.key()));
            let _ = writeln!(out, "  {name:<10} {}", self.standing(point));
        }
        out.push('\n');
    }

    /// A stopped one says the word and the reason first, the number last and small.
    fn standing(&self, point: &HoldPointResult) -> String {
        let state = word(&format!("state.{}", state_key(point.state)));
        let counts = counts(point);
        match &point.worst {
            Some(worst) if point.state >= HoldState::ToPutRight => {
                format!(
                    "{state}: {}. {counts} ({} of 100)",
                    check_title(worst),
                    point.score
                )
            }
            _ => format!("{state}. {} of 100: {counts}", point.score),
        }
    }

    fn checks(&self, out: &mut String) {
        let mut area = None;
        for check in &self.assessment.checks {
            if !self.choices.all && check.outcome.settled() {
                continue;
            }
            if area != Some(check.area) {
                area = Some(check.area);
                let key = format!("area.{}", serialised(&check.area));
                let _ = writeln!(out, "{}", word(&key));
            }
            self.check(out, check);
        }
        out.push('\n');
    }

    fn check(&self, out: &mut String, check: &CheckResult) {
        let stopper = if check.stopper { " (stopper)" } else { "" };
        let _ = writeln!(
            out,
            "  {:<16} {}{stopper}",
            outcome_word(check.outcome),
            check_title(&check.key)
        );
        let wording = self.wording();
        let _ = writeln!(out, "                   {}", wording.line(&check.reason));
        for item in &check.items {
            self.item(out, item);
        }
        for source in &check.sources {
            let _ = writeln!(out, "      source: {}", source_line(source));
        }
        for caution in &check.cautions {
            let _ = writeln!(out, "      caution: {}", word(caution));
        }
    }

    fn item(&self, out: &mut String, item: &Item) {
        let wording = self.wording();
        let name = setdown_app::words::subject_name(self.site, item.subject);
        let _ = writeln!(
            out,
            "      {name}: {}. {}",
            outcome_word(item.outcome),
            wording.line(&item.reason)
        );
        for line in &item.working {
            let _ = writeln!(out, "        {}", wording.line(line));
        }
    }

    fn next(&self, out: &mut String) {
        if self.assessment.next.is_empty() {
            return;
        }
        let _ = writeln!(out, "{}", heading("cli.next"));
        for next in self.assessment.next.iter().take(5) {
            let name = setdown_app::words::subject_name(self.site, next.stream.subject);
            let question = setdown_app::words::question_title(&next.stream.question);
            let _ = writeln!(out, "  {name}: {question} ({} min)", next.minutes);
        }
        out.push('\n');
    }

    fn tasks(&self, out: &mut String) {
        let wording = self.wording();
        for party in Party::ALL {
            let mut tasks = self
                .assessment
                .tasks
                .iter()
                .filter(|task| task.party == party)
                .peekable();
            if tasks.peek().is_none() {
                continue;
            }
            let _ = writeln!(out, "{}", word(&format!("party.{}", serialised(&party))));
            for task in tasks {
                let unlocks: Vec<String> = task
                    .unlocks
                    .iter()
                    .map(|point| word(&format!("hold_point.{}", point.key())))
                    .collect();
                let _ = writeln!(
                    out,
                    "  - {} [{}]",
                    wording.line(&task.line),
                    unlocks.join(", ")
                );
            }
        }
    }
}

fn heading(key: &str) -> String {
    word(key)
}

/// The key that serde gives a unit variant.
fn serialised<T: serde::Serialize>(value: &T) -> String {
    match serde_json::to_value(value) {
        Ok(serde_json::Value::String(key)) => key,
        _ => String::new(),
    }
}

fn state_key(state: HoldState) -> String {
    serialised(&state)
}

fn outcome_word(outcome: Outcome) -> String {
    word(&format!(
        "outcome.{}",
        serialised(&outcome).replace('_', "-")
    ))
}

fn counts(point: &HoldPointResult) -> String {
    let mut text = format!("{} of {} settled", point.settled, point.named);
    for (count, words) in [
        (point.to_measure, "to measure"),
        (point.tight, "tight"),
        (point.stopped, "short"),
    ] {
        if count > 0 {
            let _ = write!(text, ", {count} {words}");
        }
    }
    text
}

fn source_line(source: &setdown_rules::frame::result::Cited) -> String {
    let mut line = source.document.to_string();
    for part in [&source.section, &source.edition] {
        if !part.is_empty() {
            line.push_str(", ");
            line.push_str(part);
        }
    }
    if !source.status.may_clear() {
        line.push_str(", ");
        line.push_str(source.status.words());
    }
    line
}

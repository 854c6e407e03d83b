//! `network FILE` and `plan FILE`: what the rules make of a tape network or a plan, in words or as JSON.

use std::fmt::Write as _;
use std::fs::File;
use std::io::Read as _;
use std::path::{Path, PathBuf};

use serde::Serialize;
use setdown_app::words::{Wording, word};
use setdown_rules::document::{Complaint, MOST_BYTES};
use setdown_rules::frame::result::Line;
use setdown_rules::{network, plan};
use setdown_types::quantity::{Dimension, UnitSystem};
use thiserror::Error;

/// Metres in an inch, exact: the files are in inches.
const INCH: f64 = 0.0254;

/// A yard file that cannot be used; the program ends with status 2.
#[derive(Debug, Error)]
pub enum BadFile {
    /// It cannot be opened or read.
    #[error(
        "{path}: cannot be read ({cause}). Check the path and that it is a text file you may read"
    )]
    Unreadable {
        /// The path as given.
        path: PathBuf,
        /// What the system said.
        cause: std::io::Error,
    },
    /// Something in it is wrong.
    #[error("{path}: {complaint}")]
    Content {
        /// The path as given.
        path: PathBuf,
        /// Which key, and why, on one line.
        complaint: String,
    },
}

impl BadFile {
    /// The complaint about a file, on one line whatever names it quotes.
    pub fn of(path: &Path, complaint: &str) -> Self {
        Self::Content {
            path: path.to_owned(),
            complaint: complaint.replace(char::is_control, " "),
        }
    }
}

/// What the rules make of a tape network file.
///
/// # Errors
/// [`BadFile`] names the key that is wrong.
pub fn network(path: &Path, json: bool, units: UnitSystem) -> Result<String, BadFile> {
    let network = network::read(&text(path)?).map_err(|complaint| content(path, complaint))?;
    let answer = network::answer(&network);
    if json {
        return Ok(as_json(&answer));
    }
    let mut out = heading(&answer.name, answer.settled);
    network_text(&mut out, &answer, units);
    findings(&mut out, &answer.findings, units);
    Ok(out)
}

/// What the rules make of a plan file.
///
/// # Errors
/// [`BadFile`] names the key that is wrong.
pub fn plan(path: &Path, json: bool, units: UnitSystem) -> Result<String, BadFile> {
    let derived = plan::read(&text(path)?).map_err(|complaint| content(path, complaint))?;
    let answer = plan::answer(&derived);
    if json {
        return Ok(as_json(&answer));
    }
    let mut out = heading(&answer.name, answer.settled);
    if let Some(network) = &answer.network {
        network_text(&mut out, network, units);
    }
    findings(&mut out, &answer.findings, units);
    if !answer.passed_over.is_empty() {
        let over = answer.passed_over.join(", ");
        let _ = writeln!(out, "{}: {over}", word("plan.cli.passed_over"));
    }
    if answer.route.is_some() {
        let _ = writeln!(out, "{}", word("plan.cli.scene"));
    }
    Ok(out)
}

/// The text of a file, never much more of it than is understood.
fn text(path: &Path) -> Result<String, BadFile> {
    text_of(path, MOST_BYTES)
}

/// The text of a file of at most `most` bytes; of a longer one a byte more, so that its reader sees that there is more.
///
/// # Errors
/// [`BadFile::Unreadable`] where it cannot be opened or is no text.
pub fn text_of(path: &Path, most: usize) -> Result<String, BadFile> {
    let unreadable = |cause| BadFile::Unreadable {
        path: path.to_owned(),
        cause,
    };
    let mut text = String::new();
    let most = u64::try_from(most).unwrap_or(u64::MAX);
    let file = File::open(path).map_err(unreadable)?;
    file.take(most.saturating_add(1))
        .read_to_string(&mut text)
        .map_err(unreadable)?;
    Ok(text)
}

fn content(path: &Path, complaint: Complaint) -> BadFile {
    BadFile::of(path, &complaint.to_string())
}

fn as_json(answer: &impl Serialize) -> String {
    let mut text = serde_json::to_string_pretty(answer).unwrap_or_default();
    text.push('\n');
    text
}

fn heading(name: &str, settled: bool) -> String {
    let state = if settled {
        "plan.cli.settled"
    } else {
        "plan.cli.open"
    };
    match name {
        "" => format!("{}\n\n", word(state)),
        name => format!("{name}\n{}\n\n", word(state)),
    }
}

fn network_text(out: &mut String, answer: &network::Answer, units: UnitSystem) {
    let wording = Wording {
        system: units,
        site: None,
    };
    let length = |inches: f64| wording.quantity(Dimension::Length, inches * INCH);
    let _ = writeln!(out, "{}", word("plan.cli.points"));
    for point in &answer.points {
        let sure = point
            .major
            .map_or(String::new(), |major| format!(" ± {}", length(major)));
        let _ = writeln!(
            out,
            "  {:<12} {}, {}{sure}",
            point.name,
            length(point.x),
            length(point.y)
        );
    }
    let _ = writeln!(out, "{}", word("plan.cli.readings"));
    for reading in &answer.readings {
        let normalised = reading
            .normalised
            .map_or("-".to_owned(), |w| format!("{w:.1}"));
        let redundancy = reading
            .redundancy
            .map_or("-".to_owned(), |r| format!("{r:.2}"));
        let _ = writeln!(
            out,
            "  {:<24} r {redundancy:>4}  w {normalised:>6}",
            reading.id
        );
    }
}

fn findings(out: &mut String, lines: &[Line], units: UnitSystem) {
    let wording = Wording {
        system: units,
        site: None,
    };
    if lines.is_empty() {
        return;
    }
    let _ = writeln!(out, "{}", word("plan.cli.findings"));
    for line in lines {
        let _ = writeln!(out, "  {}", wording.line(line));
    }
}

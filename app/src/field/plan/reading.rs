//! From what is recorded to what the plan's screens show: the sketch, and what the tapes say about themselves.

use std::sync::Arc;

use setdown_rules::frame::assess::Input;
use setdown_rules::frame::result::Outcome;
use setdown_rules::plan::ledger::{CHECK, Drawn, document};
use setdown_rules::tables::units::INCH;
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;

use super::findings::{Finding, findings};
use crate::field::on_site::Assessed;
use crate::parts::plan_drawing::{Sketch, sketch};
use crate::parts::preferences;
use crate::parts::tapes_checked::{CheckedTape, tapes_checked};
use crate::words::Wording;

/// The plan of a site.
#[derive(Clone, Debug, PartialEq)]
pub struct YardPlan {
    /// What is drawn.
    pub sketch: Arc<Sketch>,
    /// What somebody should know or answer, most pressing first.
    pub findings: Vec<Finding>,
    /// How well the tapes check each other.
    pub checked: Vec<CheckedTape>,
    /// Whether nothing is missing.
    pub complete: bool,
    /// What in the record does not go together, in words.
    pub problem: Option<String>,
}

/// Whether the check of the way in rests on what was worked out: while it is open, or would be were the unit rolled,
/// something on the way is not known.
pub fn is_judged(now: &Assessed) -> bool {
    judged(now).is_some()
}

/// What the check came to, unless it is open.
fn judged(now: &Assessed) -> Option<Outcome> {
    let outcome = now.check(CHECK)?.worked_out();
    (outcome != Outcome::Open).then_some(outcome)
}

/// Works out the plan; `None`: none is begun.
pub fn yard_plan(now: &Assessed) -> Option<YardPlan> {
    let input = now.input();
    let drawn = document(&input)?;
    let derived = drawn.derive();
    let wording = Wording::new(preferences::system(), &now.site);
    let network = derived
        .as_ref()
        .ok()
        .and_then(|derived| derived.network.as_ref());
    let checked = network.map(|network| tapes_checked(&drawn, network, &wording));
    let (sketch, found, problem) = match &derived {
        Ok(derived) => (
            sketch(&input, &drawn, derived, judged(now)),
            findings(&drawn, derived, &wording),
            None,
        ),
        // Before the first leg is measured there is nothing to draw, and nothing wrong either.
        Err(complaint) if !drawn.complete && complaint.place == "legs" => {
            (Sketch::default(), Vec::new(), None)
        }
        Err(complaint) => {
            let problem = wording.line(&drawn.fault(complaint));
            let (sketch, found) = without_features(&input, &drawn, &wording);
            (sketch, found, Some(problem))
        }
    };
    Some(YardPlan {
        sketch: Arc::new(sketch),
        findings: found,
        checked: checked.unwrap_or_default(),
        complete: drawn.complete,
        problem,
    })
}

/// What can be shown while something in the plan does not go together: points and tapes, and what they say.
fn without_features(
    input: &Input<'_>,
    drawn: &Drawn,
    wording: &Wording<'_>,
) -> (Sketch, Vec<Finding>) {
    let Some(derived) = drawn.derive_without_features() else {
        return (Sketch::default(), Vec::new());
    };
    let mut found = findings(drawn, &derived, wording);
    // What a way needs besides is not said of half a plan.
    found.retain(|one| !matches!(one, Finding::Other { question: None, .. }));
    (sketch(input, drawn, &derived, None), found)
}

/// The question that a reading came from: where it is taped again.
pub fn length_question(subject: Subject) -> StreamKey {
    StreamKey::new(subject, "tie.length")
}

/// Inches as metres.
pub const fn metres(inches: f64) -> f64 {
    inches * INCH
}

//! From a site to an assessment: runs every check of the table and derives the rest.

use std::sync::Arc;

use jiff::civil::Date;
use setdown_types::practice::PracticeSheet;
use setdown_types::site::{Head, Site, StreamKey};
use setdown_types::spa::SpaSheet;
use setdown_types::subject::Subject;

use super::chance::joint;
use super::context::{Context, Trace};
use super::result::{Assessment, CheckResult, Line, NeedState, Outcome};
use super::spec::{Check, WayPart};
use super::{next, score, tasks};
use crate::checks;
pub use crate::motion::Ways;
use crate::motion::certify_scene;
use crate::plan::ledger;

/// Everything an assessment depends on.
#[derive(Clone, Copy)]
pub struct Input<'a> {
    /// The folded site.
    pub site: &'a Site,
    /// The spa sheet it is pinned to.
    pub spa: &'a SpaSheet,
    /// The practice sheet it is pinned to.
    pub practice: &'a PracticeSheet,
    /// The civil date at the site.
    pub today: Date,
    /// An answer to be supposed in place of what is recorded: for answers still being typed, and
    /// for weighing what to measure next.
    pub suppose: Option<(&'a StreamKey, &'a Head)>,
    /// Ways in that the solver has worked out, by the digest of what was asked.
    pub ways: &'a Ways,
}

/// Applies every check and derives hold points, tasks and what to measure next, with no way in worked out: see
/// [`assess_with`].
pub fn assess(site: &Site, spa: &SpaSheet, practice: &PracticeSheet, today: Date) -> Assessment {
    assess_with(site, spa, practice, today, Ways::none())
}

/// The same, with the ways in that the solver has worked out. What it should work out is
/// [`crate::plan::ledger::wanted`].
pub fn assess_with(
    site: &Site,
    spa: &SpaSheet,
    practice: &PracticeSheet,
    today: Date,
    ways: &Ways,
) -> Assessment {
    let input = Input {
        site,
        spa,
        practice,
        today,
        suppose: None,
        ways,
    };
    let spa_revision = spa.revision();
    let practice_revision = practice.revision();
    let checks: Vec<CheckResult> = checks::all()
        .map(|check| assess_check(check, &input))
        .collect();
    let hold_points = score::hold_points(&input, &checks, &spa_revision, &practice_revision);
    let tasks = tasks::tasks(&input, &checks, &hold_points);
    let next = next::measurements(&input, &checks, &hold_points);
    Assessment {
        rules: crate::RULES_VERSION.into(),
        spa: spa_revision,
        practice: practice_revision,
        date: today,
        checks,
        hold_points,
        tasks,
        next,
    }
}

/// The same for those who can wait: what the solver should work out is worked out on the spot and added to `ways`,
/// unless it is there.
pub fn assess_worked_out(
    site: &Site,
    spa: &SpaSheet,
    practice: &PracticeSheet,
    today: Date,
    ways: &mut Ways,
) -> Assessment {
    let input = Input {
        site,
        spa,
        practice,
        today,
        suppose: None,
        ways,
    };
    let wanted = ledger::wanted(&input).filter(|wanted| ways.get(&wanted.digest).is_none());
    let certified =
        wanted.and_then(|wanted| certify_scene(&wanted.scene_text, wanted.resolution).ok());
    if let Some(certified) = certified {
        ways.insert(Arc::new(certified));
    }
    assess_with(site, spa, practice, today, ways)
}

/// Applies one check. Where facts were given more than once and disagree, with the one that comes out worst.
pub fn assess_check(check: &Check, input: &Input<'_>) -> CheckResult {
    let context = Context::new(input, check.key);
    let (mut worst, disagreeing) = applied(check, context);
    for (stream, head) in disagreeing {
        let context = Context::new(input, check.key).reading_instead(stream, head);
        let (other, _) = applied(check, context);
        if other.worked_out() > worst.worked_out() {
            worst = other;
        }
    }
    worst
}

fn applied(check: &Check, context: Context<'_>) -> (CheckResult, Vec<(StreamKey, Head)>) {
    let applies = applies(check.way, context.chain().as_deref());
    (check.evaluate)(&context);
    let attested = if check.licensed {
        let question = check.attestation_question();
        context.optionally(|| context.attestation(Subject::SITE, &question))
    } else {
        None
    };
    let disagreeing = context.disagreeing_facts();
    let trace = context.trace.into_inner();
    let (worked_out, reason) = overall(&trace.items, trace.missing > 0);
    let disputed = trace
        .needs
        .values()
        .any(|need| need.state == NeedState::Disputed);
    let (mut outcome, mut reason) = (worked_out, reason);
    if outcome == Outcome::Clear && trace.remembered {
        (outcome, reason) = (Outcome::Tight, Line::new("frame.remembered"));
    }
    // A check rests on what is settled: neither a clear outcome, nor one that does not apply, nor
    // a licensed person's word stands on readings that disagree.
    if disputed && matches!(outcome, Outcome::Clear | Outcome::NotNeeded) {
        (outcome, reason) = (Outcome::Tight, Line::new("frame.disputed"));
    }
    if attested.is_some()
        && !disputed
        && matches!(outcome, Outcome::Open | Outcome::Tight | Outcome::Clear)
    {
        (outcome, reason) = (Outcome::ClearAttested, Line::new("frame.attested"));
    }
    let would_be = (!applies).then_some(outcome);
    if !applies {
        (outcome, reason) = (Outcome::NotNeeded, Line::new("frame.other_way"));
    }
    let chance = chance(check, outcome, &reason, &trace);
    let bets = if check.geometry {
        trace.bets
    } else {
        Vec::new()
    };
    let result = CheckResult {
        key: check.key.into(),
        area: check.area,
        stopper: check.stopper,
        weight: check.weight(),
        outcome,
        would_be,
        reason,
        items: trace.items,
        sources: trace.sources,
        cautions: trace.cautions,
        needs: trace.needs.into_values().collect(),
        attested,
        hold_points: check.hold_points.to_vec(),
        owner: check.owner,
        actions: trace.actions,
        chance,
        bets,
    };
    (result, disagreeing)
}

/// Whether a part of the way applies under the chain chosen; while none is chosen the rolled way
/// is the one looked at first, since it is tried first.
pub fn applies(part: WayPart, chain: Option<&str>) -> bool {
    match (part, chain) {
        (WayPart::Any, _) | (WayPart::Rolled, None) => true,
        (WayPart::Lifted, None) => false,
        (WayPart::Rolled, Some(chain)) => chain.contains("rolled"),
        (WayPart::Lifted, Some(chain)) => chain.contains("lifted") || chain == "carried",
    }
}

/// The worst finding; without any, open where something is missing.
fn overall(items: &[super::result::Item], missing: bool) -> (Outcome, Line) {
    let mut worst: Option<&super::result::Item> = None;
    for item in items {
        if worst.is_none_or(|known| item.outcome > known.outcome) {
            worst = Some(item);
        }
    }
    match worst {
        Some(item) if missing && item.outcome < Outcome::Open => {
            (Outcome::Open, Line::new("frame.missing"))
        }
        Some(item) => (item.outcome, item.reason.clone()),
        None if missing => (Outcome::Open, Line::new("frame.missing")),
        None => (Outcome::Open, Line::new("frame.nothing_to_judge")),
    }
}

/// Probability that the check holds: Φ(margin/σ) over its margins where it is geometry; facts and
/// life safety are 1 or 0. A limit that is only remembered is no measurement, and takes nothing away.
fn chance(check: &Check, outcome: Outcome, reason: &Line, trace: &Trace) -> f64 {
    if matches!(outcome, Outcome::NotNeeded | Outcome::ClearAttested) {
        return 1.0;
    }
    if trace.short_fact {
        return 0.0;
    }
    if !check.geometry || trace.bets.is_empty() {
        // What is not measured yet is no part of "everything measured holds".
        let holds =
            matches!(outcome, Outcome::Clear | Outcome::Open) || reason.key == "frame.remembered";
        return if holds { 1.0 } else { 0.0 };
    }
    joint(&trace.bets)
}

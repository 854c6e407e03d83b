//! `roll.way`: the certified way in through the yard plan leaves the running clearance everywhere.

use std::sync::Arc;

use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use crate::document::{Complaint, Problem};
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity, word};
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::motion::Certified;
use crate::motion::answer::{Limit, Pinch, Verdict};
use crate::plan::ledger::{self, Drawn};
use crate::plan::{Derived, Margin, Plan, Scene, margin_at, margin_at_stand};
use crate::tables::Source;
use crate::tables::units::INCH;

/// How many readings are named behind a spread.
const NAMED: usize = 3;
/// How many pinches are told.
const TOLD: usize = 4;

/// The bounds on the best clearance, less the running clearance, against the spread of the survey at the narrowest
/// pinch: clear where the proved lower bound leaves more than the spread, short where the upper bound leaves less than
/// minus the spread. Open while the plan is incomplete, loose, mirrored or mistaped, or the solver has not worked it
/// out. Not needed where there is no turn and no plan: widths and openings decide.
pub fn way(context: &Context<'_>) {
    context.cite(Source::derived(
        "certified motion of a rectangle: bounds over cells of poses, proved for the plan as drawn",
    ));
    context.caution("caution.rolling");
    let item = context.item(Subject::SITE);
    let listed = context.yes(Subject::SITE, "way.turns_listed");
    let turns = context.subjects(SubjectKind::Turn);
    let begun = ledger::begun(context);
    match (listed, turns.is_empty(), begun) {
        (Some(true), true, false) => return item.not_needed("roll.way.straight"),
        (None, _, false) => return item.wait(),
        _ => {}
    }
    let Some(drawn) = ledger::drawn(context) else {
        return item.wait();
    };
    let complete = context.yes(Subject::SITE, "plan.complete");
    if context.choice(Subject::SITE, "plan.basis").as_deref() == Some("legs") {
        let legs = context.subjects(SubjectKind::Leg);
        if legs.is_empty() {
            return item.open("reach.no_legs");
        }
        if legs.len() <= turns.len() {
            return item.open("roll.way.turns_missing");
        }
    }
    if complete == Some(false) {
        return item.open("roll.way.not_complete");
    }
    if context.missing() > 0 {
        return item.wait();
    }
    planned(context, item, &drawn);
}

fn planned(context: &Context<'_>, mut item: Draft<'_, '_>, drawn: &Drawn) {
    let planned = context.ways().planned(&drawn.document);
    let derived = match &planned.derived {
        Ok(derived) => derived,
        Err(complaint) => {
            item.line(fault(drawn, complaint));
            return item.open("roll.way.plan_at_odds");
        }
    };
    if let Some(reason) = unsettled(derived) {
        for finding in &derived.findings {
            item.line(finding.clone());
        }
        return item.open(reason);
    }
    if derived.plan.as_ref().is_some_and(|plan| !plan.lines.is_empty()) {
        context.caution("caution.power_lines");
    }
    let (Some(plan), Some(Ok(scene)), Some(wanted)) =
        (&derived.plan, &planned.scene, &planned.wanted)
    else {
        return item.open("roll.way.plan_at_odds");
    };
    match context.ways().get(&wanted.digest) {
        None => item.open("roll.way.working"),
        Some(certified) => {
            let found = Found {
                context,
                drawn,
                plan,
                scene,
                certified: Arc::clone(certified),
            };
            found.judge(item);
        }
    }
}

/// Why a plan cannot be relied on.
fn unsettled(derived: &Derived) -> Option<&'static str> {
    let network = derived.network.as_ref();
    if network.is_some_and(|network| !network.tied) {
        return Some("roll.way.loose");
    }
    if network.is_some_and(|network| !network.mistaped.is_empty()) {
        return Some("roll.way.mistaped");
    }
    if network.is_some_and(|network| !network.mirrors.is_empty()) {
        return Some("roll.way.mirrored");
    }
    (!derived.settled).then_some("roll.way.plan_at_odds")
}

/// What in the plan does not go together, and whose answer that is.
fn fault(drawn: &Drawn, complaint: &Complaint) -> Line {
    let key = match complaint.problem {
        Problem::Senseless(_) if complaint.place.ends_with(".ring") => "roll.way.ring_crosses",
        Problem::Count { .. } => "roll.way.too_few_or_many",
        _ => "roll.way.makes_no_sense",
    };
    let (thing, question) = told(drawn, &complaint.place);
    Line::new(key)
        .with("thing", thing)
        .with("question", question)
}

/// The thing and the question behind a name in the plan.
fn told(drawn: &Drawn, name: &str) -> (Arg, Arg) {
    match drawn.origin(name) {
        Some(stream) => {
            let thing = match stream.subject.kind {
                // A tie has no name of its own but that of its points.
                SubjectKind::Tie => Arg::Text(name.to_owned()),
                _ => Arg::Subject(stream.subject),
            };
            (thing, word(format!("question.{}", stream.question)))
        }
        None => (Arg::Subject(Subject::SITE), word("roll.way.the_plan")),
    }
}

/// A plan with the solver's answer.
struct Found<'c, 'a> {
    context: &'c Context<'a>,
    drawn: &'c Drawn,
    plan: &'c Plan,
    scene: &'c Scene,
    certified: Arc<Certified>,
}

/// A pinch with what is known of its spread.
struct Held {
    margin: Margin,
    /// The middle of the unit there, inches.
    at: [f64; 2],
    clearance: Num,
    spread: f64,
}

impl Found<'_, '_> {
    fn judge(&self, mut item: Draft<'_, '_>) {
        let required = self.context.limit("running_clearance_required");
        let answer = &self.certified.answer;
        let held = self.least_sure();
        item.line(self.verdict());
        item.line(self.bounds(required));
        for pinch in self.narrowest() {
            item.line(self.pinch_line(pinch));
        }
        if let Some(held) = &held {
            item.line(self.spread_line(held));
            self.readings(held, |line| {
                item.line(line);
            });
        }
        let spread = held.as_ref().map_or(0.0, |held| held.spread);
        let lower = answer.lower.map(|lower| lower * INCH - required);
        let upper = answer.upper * INCH - required;
        if !upper.is_finite() && lower.is_none() {
            return item.open("roll.way.working");
        }
        if answer.verdict == Verdict::NoRoute {
            return self.shut(item, upper, held.as_ref());
        }
        let Some(margin) = decisive(lower, upper, spread) else {
            self.advise(&mut item, held.as_ref());
            return item.tight(Line::new("roll.way.undecided"));
        };
        let number = self.margin_number(margin, held.as_ref());
        if margin.abs() < spread {
            self.advise(&mut item, held.as_ref());
        }
        item.margin(&number, Dimension::Length);
    }

    /// A proof that there is no way is short, however the yard was measured.
    fn shut(&self, item: Draft<'_, '_>, upper: f64, held: Option<&Held>) {
        let number = self.margin_number(upper, held);
        if upper <= -self.context.spread(&number) {
            return item.margin(&number, Dimension::Length);
        }
        item.holds(false, "roll.way.shut");
    }

    fn margin_number(&self, margin: f64, held: Option<&Held>) -> Num {
        match held {
            Some(held) => Num::combine(margin, &[(&held.clearance, 1.0)]),
            None => Num::exact(margin),
        }
    }

    fn verdict(&self) -> Line {
        Line::new(match self.certified.answer.verdict {
            Verdict::Route => "roll.way.proved",
            Verdict::NoRoute => "roll.way.proved_shut",
            Verdict::Undecided => "roll.way.bounds_straddle",
        })
    }

    fn bounds(&self, required: f64) -> Line {
        let answer = &self.certified.answer;
        let key = match (answer.lower, answer.upper.is_finite()) {
            (Some(_), true) => "roll.way.bounds",
            (Some(_), false) => "roll.way.bounds_below",
            (None, _) => "roll.way.bounds_above",
        };
        let length = |inches: f64| quantity(Dimension::Length, inches * INCH);
        let mut line = Line::new(key);
        if let Some(lower) = answer.lower {
            line = line.with("lower", length(lower));
        }
        if answer.upper.is_finite() {
            line = line.with("upper", length(answer.upper));
        }
        line.with("required", quantity(Dimension::Length, required))
    }

    /// The pinches that are as narrow as the narrowest, within the resolution.
    fn narrowest(&self) -> Vec<&Pinch> {
        let answer = &self.certified.answer;
        let gaps = answer.pinches.iter().map(|pinch| pinch.gap);
        let Some(least) = gaps.reduce(f64::min) else {
            return Vec::new();
        };
        let near = |pinch: &&Pinch| pinch.gap <= least + self.certified.resolution;
        answer.pinches.iter().filter(near).take(TOLD).collect()
    }

    /// Of the narrowest pinches the one that is least sure.
    fn least_sure(&self) -> Option<Held> {
        let held = self.narrowest().into_iter().enumerate();
        let held = held.filter_map(|(place, pinch)| self.held(place, pinch));
        held.reduce(|worst, other| {
            if other.spread > worst.spread {
                other
            } else {
                worst
            }
        })
    }

    fn held(&self, place: usize, pinch: &Pinch) -> Option<Held> {
        let unit = self.plan.unit.map(|unit| [unit.length, unit.width])?;
        // Where an end limits, its pinch comes first.
        let stand = match self.certified.answer.limited_by {
            Limit::Start if place == 0 => self.plan.truck_stand.as_ref(),
            Limit::Goal if place == 0 => self.plan.spot.as_ref(),
            _ => None,
        };
        let margin = match stand {
            Some(stand) => margin_at_stand(self.scene, unit, (stand, pinch.gap), &pinch.against)?,
            None => {
                let pose = [pinch.pose.x, pinch.pose.y, pinch.pose.heading];
                margin_at(self.scene, unit, (pose, pinch.gap), &pinch.against)?
            }
        };
        let clearance = self.drawn.number(self.plan, &margin.clearance);
        Some(Held {
            spread: self.context.spread(&clearance),
            margin,
            at: [pinch.pose.x, pinch.pose.y],
            clearance,
        })
    }

    fn pinch_line(&self, pinch: &Pinch) -> Line {
        let mut names: Vec<&str> = pinch.against.iter().map(String::as_str).collect();
        names.dedup();
        let key = match self.certified.answer.limited_by {
            Limit::Start => "roll.way.pinch_at_truck",
            Limit::Goal => "roll.way.pinch_at_spot",
            Limit::Way | Limit::Cap => "roll.way.pinch",
        };
        Line::new(key)
            .with("gap", quantity(Dimension::Length, pinch.gap * INCH))
            .with("against", Arg::Text(names.join(", ")))
    }

    fn spread_line(&self, held: &Held) -> Line {
        let answer = &self.certified.answer;
        let apart = answer.lower.map_or(0.0, |lower| answer.upper - lower);
        Line::new("roll.way.spreads")
            .with("survey", quantity(Dimension::Length, held.spread))
            .with(
                "analysis",
                quantity(Dimension::Length, apart.max(0.0) * INCH),
            )
    }

    /// The readings that the spread comes from, most first.
    fn readings(&self, held: &Held, mut tell: impl FnMut(Line)) {
        for (name, alone) in self.sources(held).into_iter().take(NAMED) {
            let (thing, question) = told(self.drawn, &name);
            tell(
                Line::new("roll.way.hangs_on")
                    .with("thing", thing)
                    .with("question", question)
                    .with("alone", quantity(Dimension::Length, alone * INCH)),
            );
        }
    }

    /// Sources of error by the spread in inches that each alone would give.
    fn sources(&self, held: &Held) -> Vec<(String, f64)> {
        let slopes = held.margin.clearance.slopes.iter();
        let named = slopes.filter_map(|(source, slope)| {
            let name = &self.plan.sources.get(*source as usize)?.name;
            self.drawn.origin(name)?;
            let alone = slope.abs() * crate::frame::spread::SPREADS_PER_SIGMA;
            Some((name.clone(), alone))
        });
        let mut named: Vec<(String, f64)> = named.collect();
        named.sort_by(|a, b| b.1.total_cmp(&a.1));
        named
    }

    /// What to measure to be surer: the tape between what holds the unit, or else the reading that is off most.
    fn advise(&self, item: &mut Draft<'_, '_>, held: Option<&Held>) {
        let Some(held) = held else { return };
        let best = self
            .drawn
            .next_tape(self.plan, self.scene, &held.margin, held.at);
        if let Some(tape) = best {
            let spread = quantity(Dimension::Length, tape.spread * INCH);
            item.line(
                Line::new("roll.way.next_tape")
                    .with("from", Arg::Text(tape.from))
                    .with("to", Arg::Text(tape.to))
                    .with("spread", spread),
            );
        } else if let Some((name, _)) = self.sources(held).into_iter().next() {
            let (thing, question) = told(self.drawn, &name);
            let line = Line::new("roll.way.measure_again");
            item.line(line.with("thing", thing).with("question", question));
        }
    }
}

/// The margin that decides: the lower bound's where that is clear, the upper bound's where that is short, else the one
/// that lies within the spread. `None`: the bounds lie on both sides of all of it.
fn decisive(lower: Option<f64>, upper: f64, spread: f64) -> Option<f64> {
    match lower {
        Some(lower) if lower > -spread => Some(lower),
        _ if upper < spread => Some(upper),
        _ => None,
    }
}

#[cfg(test)]
mod tests;

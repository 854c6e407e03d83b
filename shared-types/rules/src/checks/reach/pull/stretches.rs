//! `roll.pull` along the way that the solver proved: each stretch with its own grade and ground.

use std::sync::Arc;

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::{Means, Resistance, about, holds, pull_margins, resistance, rolled_mass, steepness};
use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::number::Num;
use crate::frame::result::{Line, Outcome};
use crate::motion::Certified;
use crate::motion::answer::Verdict;
use crate::motion::moves::Move;
use crate::plan::ledger::Planned;
use crate::plan::{self, Grade, Ground, ZoneKind};
use crate::tables::units::INCH;

/// A part of the way with one grade and ground.
pub(super) struct Stretch {
    /// Metres along the way.
    from: f64,
    to: f64,
    slope: Num,
    zone: Option<ZoneKind>,
}

/// The way that the solver proved, with the heights of the plan as they were read.
pub(super) struct Proved {
    planned: Arc<Planned>,
    certified: Arc<Certified>,
    heights: Vec<Option<Num>>,
}

impl Proved {
    /// `None` where there is no such way, or `roll.way` is not clear.
    pub(super) fn of(context: &Context<'_>) -> Option<Self> {
        let (drawn, planned) = context.plan()?;
        let wanted = planned.wanted.as_ref()?;
        let certified = Arc::clone(context.ways().get(&wanted.digest)?);
        let count = planned.derived.as_ref().ok()?.plan.as_ref()?.levels.len();
        let is_route = certified.answer.verdict == Verdict::Route;
        if !is_route || context.outcome_of("roll.way") != Some(Outcome::Clear) {
            return None;
        }
        let height = |index: usize| {
            let stream = drawn.origin(&format!("levels[{index}].height"))?;
            context.optionally(|| context.measure(stream.subject, &stream.question))
        };
        Some(Self {
            heights: (0..count).map(height).collect(),
            planned,
            certified,
        })
    }

    /// The ground it leads over.
    pub(super) fn ground(&self) -> Option<Ground<'_>> {
        let derived = self.planned.derived.as_ref().ok()?;
        derived.plan.as_ref().map(Ground::of)
    }

    /// Its moves.
    pub(super) fn moves(&self) -> &[Move] {
        &self.certified.answer.moves
    }

    /// A grade as a number that moves with the heights it came from.
    pub(super) fn slope(&self, grade: &Grade) -> Option<Num> {
        let mut slope = Num::exact(grade.rise);
        for (level, by) in &grade.by_level {
            let height = self.heights.get(*level)?.as_ref()?;
            slope = Num::combine(grade.rise, &[(&slope, 1.0), (height, by / INCH)]);
        }
        Some(slope)
    }

    /// Its stretches whose grade is known, and whether they are all of it.
    pub(super) fn stretches(&self) -> (Vec<Stretch>, bool) {
        let Some(ground) = self.ground() else {
            return (Vec::new(), false);
        };
        let (known, whole) = ground.known_stretches(&self.certified.answer.path);
        let stretch = |stretch: &plan::Stretch| {
            Some(Stretch {
                from: stretch.from * INCH,
                to: stretch.to * INCH,
                slope: self.slope(&stretch.grade)?,
                zone: stretch.zone,
            })
        };
        let stretches: Vec<Stretch> = known.iter().filter_map(stretch).collect();
        let whole = whole && !stretches.is_empty() && stretches.len() == known.len();
        (stretches, whole)
    }
}

/// Pull, steepness and holding back on every stretch.
pub(super) fn judge(
    context: &Context<'_>,
    stretches: &[Stretch],
    legs: &[Subject],
    (means, wheels): (Option<&Means>, Option<&str>),
) {
    let slopes: Vec<Num> = stretches
        .iter()
        .map(|stretch| stretch.slope.clone())
        .collect();
    pulls(context, stretches, legs, (means, wheels));
    steepness(context, Subject::SITE, means, Some(&slopes));
    holds(context, Subject::SITE, Some(&slopes));
}

fn pulls(
    context: &Context<'_>,
    stretches: &[Stretch],
    legs: &[Subject],
    (means, wheels): (Option<&Means>, Option<&str>),
) {
    let mut item = context.item(Subject::SITE);
    about(&mut item, "roll.pull.of_pull");
    let mass = rolled_mass(context, &mut item);
    let grounds: Vec<(Subject, String)> = (legs.iter())
        .filter_map(|leg| Some((*leg, context.choice(*leg, "leg.surface")?)))
        .collect();
    let (Some(means), Some(wheels)) = (means, wheels) else {
        return item.wait();
    };
    let mut all = Vec::new();
    for stretch in stretches {
        item.line(
            Line::new("roll.pull.stretch")
                .with("from", quantity(Dimension::Length, stretch.from))
                .with("to", quantity(Dimension::Length, stretch.to))
                .with("ground", word(ground_key(stretch.zone)))
                .with("slope", context.arg(&stretch.slope, Dimension::Slope)),
        );
        let Some(resistance) = worst(context, stretch.zone, &grounds, wheels, mass) else {
            return item.wait();
        };
        let margins = pull_margins(context, &mut item, mass, &stretch.slope, &resistance, means);
        let Some(margins) = margins else {
            return item.wait();
        };
        all.extend(margins);
    }
    item.margins(&all, Dimension::Force);
}

const fn ground_key(zone: Option<ZoneKind>) -> &'static str {
    match zone {
        Some(ZoneKind::Street) => "choice.plan_line.kind.street",
        Some(ZoneKind::Drive) => "choice.plan_line.kind.drive",
        Some(ZoneKind::Lawn) => "choice.plan_line.kind.lawn",
        Some(ZoneKind::Patio) => "choice.plan_line.kind.patio",
        Some(ZoneKind::Beds) => "choice.plan_line.kind.bed",
        _ => "roll.pull.ground_not_drawn",
    }
}

fn is_hard(surface: &str) -> bool {
    matches!(surface, "concrete" | "asphalt" | "pavers")
}

/// The worst resistance that a stretch can have: that of the legs whose surface can lie there. A drive or a patio can be
/// of gravel; where no leg has such a surface all legs count, and for a lawn or bed the soft lawn.
fn worst(
    context: &Context<'_>,
    zone: Option<ZoneKind>,
    grounds: &[(Subject, String)],
    wheels: &str,
    mass: f64,
) -> Option<Resistance> {
    let fits = |surface: &str| match zone {
        Some(ZoneKind::Street) => is_hard(surface),
        Some(ZoneKind::Drive | ZoneKind::Patio) => {
            is_hard(surface) || surface.starts_with("gravel")
        }
        Some(ZoneKind::Lawn | ZoneKind::Beds) => !is_hard(surface),
        _ => true,
    };
    let any_fits = grounds.iter().any(|(_, surface)| fits(surface));
    let soft = matches!(zone, Some(ZoneKind::Lawn | ZoneKind::Beds)) && !any_fits;
    let mut hardest: Option<Resistance> = None;
    for (leg, surface) in grounds {
        if any_fits && !fits(surface) {
            continue;
        }
        let surface = if soft { "lawn_soft" } else { surface };
        let next = resistance(context, *leg, surface, wheels, mass)?;
        let most = |r: &Resistance| r.start.value() + context.spread(&r.start);
        if hardest
            .as_ref()
            .is_none_or(|known| most(&next) > most(known))
        {
            hardest = Some(next);
        }
    }
    hardest
}

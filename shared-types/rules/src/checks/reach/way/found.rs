//! The judgement on a way that the solver worked out: bounds, spread of the survey, pinches, and what to measure next.

use setdown_types::order;
use std::sync::Arc;

use setdown_types::party::Party;
use setdown_types::quantity::Dimension;

use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity};
use crate::frame::number::Num;
use crate::frame::result::{Arg, Line};
use crate::frame::spread::SPREADS_PER_SIGMA;
use crate::motion::Certified;
use crate::motion::answer::{Limit, Pinch, Verdict};
use crate::motion::moves::Action;
use crate::plan::ledger::{Drawn, Steers};
use crate::plan::{Margin, Plan, Scene, margin_at, margin_at_stand};
use crate::tables::units::INCH;

/// How many readings are named behind a spread.
const NAMED: usize = 3;
/// The share of the first's that another must have to be named.
const WORTH: f64 = 0.2;
/// A gap above zero: an end from which a way was proved overlaps nothing.
const TOUCHES_NOTHING: f64 = 1.0;
/// How many pinches are told.
const TOLD: usize = 4;
/// How far to the side of so much forward or back a move may go and still be rolled on fixed axles: about half a
/// degree, which a push sets right. Common practice, no source.
const STRAIGHT: f64 = 0.01;

/// A plan with the solver's answer.
pub(super) struct Found<'c, 'a> {
    pub context: &'c Context<'a>,
    pub drawn: &'c Drawn,
    pub plan: &'c Plan,
    pub scene: &'c Scene,
    pub certified: Arc<Certified>,
    /// How the carriage rolls.
    pub steers: Steers,
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
    /// Judges the way, showing what it rests on.
    pub fn judge(&self, mut item: Draft<'_, '_>) {
        let required = self.context.limit("running_clearance_required");
        let answer = &self.certified.answer;
        let held = self.least_sure();
        item.line(self.verdict());
        item.line(self.bounds(required));
        let mut told: Vec<&Pinch> = Vec::new();
        for pinch in self.narrowest() {
            // A gate is about as narrow where the unit comes to it as where it leaves it.
            if !told.iter().any(|other| other.against == pinch.against) {
                item.line(self.pinch_line(self.pinch_key(), pinch));
                told.push(pinch);
            }
        }
        if let Some(held) = &held {
            item.line(self.spread_line(held));
            self.readings(held, |line| {
                item.line(line);
            });
        }
        self.passed_under(&mut item);
        self.steering(&mut item);
        let set_right = self.set_right() * INCH;
        let lower = answer
            .lower
            .map(|lower| lower * INCH - set_right - required);
        let roomy = answer.limited_by == Limit::Cap && lower.is_some_and(|lower| lower >= 0.0);
        if held.is_none() && roomy {
            if self.must_be_steered() {
                return self.steered(item);
            }
            let unsure = self.all_unsure(&mut item, required);
            if unsure.is_empty() {
                return item.holds(true, "roll.way.roomy");
            }
            return item.margins(&unsure, Dimension::Length);
        }
        if held.is_none() && answer.verdict == Verdict::Route && answer.upper.is_finite() {
            return item.open("frame.not_computable");
        }
        let spread = held.as_ref().map_or(0.0, |held| held.spread);
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
        if self.must_be_steered() && margin > -spread {
            return self.steered(item);
        }
        if margin.abs() < spread {
            self.advise(&mut item, held.as_ref());
            return item.margin(&number, Dimension::Length);
        }
        let mut margins = vec![number];
        if margin >= spread {
            margins.extend(self.all_unsure(&mut item, required));
        }
        item.margins(&margins, Dimension::Length);
    }

    /// What hangs high enough to count as nothing here.
    fn passed_under(&self, item: &mut Draft<'_, '_>) {
        if !self.scene.passed_over.is_empty() {
            let names = Arg::Text(self.scene.passed_over.join(", "));
            item.line(Line::new("roll.way.passed_under").with("names", names));
        }
    }

    /// What the proof is worth to a carriage that does not roll in every direction.
    fn steering(&self, item: &mut Draft<'_, '_>) {
        if self.certified.answer.verdict != Verdict::Route {
            return;
        }
        let line = match (self.steers, self.rolls_straight()) {
            (Steers::FixedAxle, true) => Line::new("roll.way.straight_throughout")
                .with("room", quantity(Dimension::Length, self.set_right() * INCH)),
            (Steers::FixedAxle, false) => Line::new("roll.way.not_for_fixed_axle"),
            (Steers::Unsaid, false) => Line::new("roll.way.taken_as_every_way"),
            (Steers::Unsaid, true) | (Steers::EveryWay, _) => return,
        };
        item.line(line);
    }

    /// Whether the moves only go forward and back.
    fn rolls_straight(&self) -> bool {
        let moves = &self.certified.answer.moves;
        let straight = |action: Action| matches!(action, Action::Straight { forward, left } if left.abs() <= STRAIGHT * forward.abs());
        !moves.is_empty() && moves.iter().all(|one| straight(one.action))
    }

    /// The room in inches that a carriage with fixed axles takes besides: the proof holds its heading, but it goes to the
    /// side only by being turned a little and back. So much do the ends of the unit swing out at the most; 0 where it
    /// rolls every way, and where nothing is said of fixed axles anyway.
    fn set_right(&self) -> f64 {
        if self.steers != Steers::FixedAxle || !self.rolls_straight() {
            return 0.0;
        }
        let aside = |action: Action| match action {
            Action::Straight { forward, left } if forward != 0.0 => (left / forward).abs(),
            _ => 0.0,
        };
        let moves = self.certified.answer.moves.iter();
        let most = moves.map(|one| aside(one.action)).fold(0.0, f64::max);
        let unit = self.plan.unit;
        let half = unit.map_or(0.0, |unit| 0.5 * libm::hypot(unit.length, unit.width));
        most * half
    }

    /// A way is proved, but not for fixed axles.
    fn must_be_steered(&self) -> bool {
        self.steers == Steers::FixedAxle
            && self.certified.answer.verdict == Verdict::Route
            && !self.rolls_straight()
    }

    /// A way is proved, but not that this carriage can be steered along it.
    fn steered(&self, item: Draft<'_, '_>) {
        let line = Line::new("roll.way.go_through_moves");
        self.context
            .action(Party::Coordinator, line, super::MINUTES);
        item.tight_until_done(Line::new("roll.way.fixed_axle"));
    }

    /// Margins that are not sure enough although there is more room than at the narrowest place.
    fn all_unsure(&self, item: &mut Draft<'_, '_>, required: f64) -> Vec<Num> {
        let mut margins = self.unsure(item, required);
        margins.extend(self.unsure_ends(item, required));
        margins
    }

    /// Margins at pinches that are wider than the narrowest, but so much less sure that they may be short.
    fn unsure(&self, item: &mut Draft<'_, '_>, required: f64) -> Vec<Num> {
        let answer = &self.certified.answer;
        let apart = answer.lower.map_or(0.0, |lower| answer.upper - lower);
        let mut margins = Vec::new();
        for (place, pinch) in answer.pinches.iter().enumerate() {
            let Some(held) = self.held(place, pinch) else {
                continue;
            };
            let margin = (pinch.gap - apart - self.set_right()) * INCH - required;
            if margin >= held.spread {
                continue;
            }
            item.line(
                self.pinch_line("roll.way.pinch_unsure", pinch)
                    .with("spread", quantity(Dimension::Length, held.spread)),
            );
            self.advise(item, Some(&held));
            margins.push(self.margin_number(margin, Some(&held)));
        }
        margins
    }

    /// Margins where the unit comes off the truck and where it shall stand, which nobody can shift to where there is more
    /// room, if they are not sure enough.
    fn unsure_ends(&self, item: &mut Draft<'_, '_>, required: f64) -> Vec<Num> {
        let ends = [
            (&self.plan.truck_stand, "roll.way.truck_unsure"),
            (&self.plan.spot, "roll.way.spot_unsure"),
        ];
        let mut margins = Vec::new();
        for (stand, key) in ends {
            let unit = self.plan.unit.map(|unit| [unit.length, unit.width]);
            let margin = stand.as_ref().zip(unit).and_then(|(stand, unit)| {
                margin_at_stand(self.scene, unit, (stand, TOUCHES_NOTHING), &[])
            });
            let Some(margin) = margin else { continue };
            let clearance = self.drawn.number(self.plan, &margin.clearance);
            let spread = self.context.spread(&clearance);
            let room = (margin.clearance.value - self.set_right()) * INCH - required;
            if room >= spread {
                continue;
            }
            item.line(
                Line::new(key)
                    .with("gap", quantity(Dimension::Length, room + required))
                    .with("spread", quantity(Dimension::Length, spread)),
            );
            margins.push(Num::combine(room, &[(&clearance, 1.0)]));
        }
        margins
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
        // Above what is of interest nobody looked how much more room there is.
        let bounded = answer.upper.is_finite() && answer.limited_by != Limit::Cap;
        let key = match (answer.lower, bounded) {
            (Some(_), true) => "roll.way.bounds",
            (Some(_), false) => "roll.way.bounds_below",
            (None, true) => "roll.way.bounds_above",
            (None, false) => "roll.way.bounds_unknown",
        };
        let length = |inches: f64| quantity(Dimension::Length, inches * INCH);
        let mut line = Line::new(key);
        if let Some(lower) = answer.lower {
            line = line.with("lower", length(lower));
        }
        if bounded {
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

    fn pinch_key(&self) -> &'static str {
        match self.certified.answer.limited_by {
            Limit::Start => "roll.way.pinch_at_truck",
            Limit::Goal => "roll.way.pinch_at_spot",
            Limit::Way | Limit::Cap => "roll.way.pinch",
        }
    }

    fn pinch_line(&self, key: &'static str, pinch: &Pinch) -> Line {
        let mut names: Vec<&str> = pinch.against.iter().map(String::as_str).collect();
        names.dedup();
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
        let sources = self.sources(held);
        let most = sources.first().map_or(0.0, |(_, alone)| *alone);
        let worth = sources
            .into_iter()
            .filter(|(_, alone)| *alone >= WORTH * most);
        for (name, alone) in worth.take(NAMED) {
            let (thing, question) = self.drawn.told(&name);
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
            let alone = slope.abs() * SPREADS_PER_SIGMA;
            Some((name.clone(), alone))
        });
        let mut named: Vec<(String, f64)> = named.collect();
        order::sort_by(&mut named, |a, b| b.1.total_cmp(&a.1));
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
            let (thing, question) = self.drawn.told(&name);
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

//! `roll.pull`: the means chosen move the unit up every leg, and hold it back.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use super::listed::legs;
use super::load::{about, rolled_mass};
use crate::frame::context::Context;
use crate::frame::item::{Draft, quantity, word};
use crate::frame::number::Num;
use crate::frame::result::Line;
use crate::maths::{STANDARD_GRAVITY, roll, weight_of};
use crate::tables::Source;
use crate::tables::rolling::{self, Surface, Wheel};

mod pivots;
mod stretches;

use stretches::Proved;

/// What moves the load and what holds it, in newtons.
struct Means {
    kind: String,
    /// To start it.
    start: Option<Num>,
    /// To keep it moving.
    sustained: Option<Num>,
    /// Steepest slope for these means.
    slope_limit: &'static str,
}

/// Per leg, and per stretch of the way in where the plan knows its heights: what the means pull, less W(sinθ + c·cosθ) at the high end of c or at the c of a measured break-away pull;
/// what holds it back, less W·sinθ at c = 0; the slope against the limit for the means. Per turn, and per move of the proved way that turns: no pivot on a slope.
pub fn pull(context: &Context<'_>) {
    context.cite(Source::derived("pull W(sinθ + c·cosθ), hold back W·sinθ"));
    context.cite(Source::common_practice());
    context.caution("caution.heavy_load_slope");
    let wheels = context.choice(Subject::SITE, "way.wheels");
    let means = means(context);
    let proved = Proved::of(context);
    let (stretches, whole) = proved.as_ref().map(Proved::stretches).unwrap_or_default();
    let legs = legs(context);
    for &leg in &legs {
        let slopes = slopes(context, leg, whole);
        if slopes.as_ref().is_some_and(Vec::is_empty) {
            let mut item = context.item(leg);
            about(&mut item, "roll.pull.of_pull");
            item.not_needed("roll.pull.by_stretch");
            continue;
        }
        let slopes = slopes.as_deref();
        moves(context, leg, (means.as_ref(), wheels.as_deref()), slopes);
        steepness(context, leg, means.as_ref(), slopes);
        holds(context, leg, slopes);
    }
    if !stretches.is_empty() {
        let by = (means.as_ref(), wheels.as_deref());
        stretches::judge(context, &stretches, &legs, by);
    }
    pivots::listed(context);
    if let Some(proved) = &proved {
        pivots::proved(context, proved);
    }
}

fn means(context: &Context<'_>) -> Option<Means> {
    let kind = context.choice(Subject::SITE, "way.means")?;
    if kind == "hands" {
        let hands = context.count(Subject::SITE, "way.hands");
        let each = |field| {
            let limit = context.limit(field);
            hands.map(|hands| Num::exact(f64::from(hands) * limit))
        };
        return Some(Means {
            kind,
            start: each("hand_pull_start"),
            sustained: each("hand_pull_sustained"),
            slope_limit: "slope_limit_hands",
        });
    }
    let rated = context.measure(Subject::SITE, "way.means_pull");
    let slope_limit = if kind == "winch" {
        "slope_limit_winch"
    } else {
        "slope_limit_mover"
    };
    Some(Means {
        kind,
        start: rated.clone(),
        sustained: rated,
        slope_limit,
    })
}

/// Slopes of a leg, each with its own spread: the leg along its way, and the ramp at its curb. Which of them decides is
/// judged, not picked: a gentler one that is less sure can be the worse.
///
/// Where the plan knows the heights along the whole way, the slope of the leg need not be measured; where it was, it
/// counts. Which stretches a leg has is not known, so one without heights leaves every leg to be measured.
fn slopes(context: &Context<'_>, leg: Subject, by_stretch: bool) -> Option<Vec<Num>> {
    let along = if by_stretch {
        context.optionally(|| context.measure(leg, "leg.slope_along"))
    } else {
        Some(context.measure(leg, "leg.slope_along")?)
    };
    let ramp = context.optionally(|| {
        if context.yes(leg, "leg.curb") != Some(true) {
            return None;
        }
        let height = context.measure(leg, "leg.curb_height")?;
        let length = context.measure(leg, "leg.ramp_length")?;
        (length.value() > 0.0).then(|| height / length)
    });
    Some([along, ramp].into_iter().flatten().collect())
}

/// The same, up or down.
fn steepnesses(slopes: &[Num]) -> Vec<Num> {
    slopes.iter().map(Num::abs).collect()
}

fn moves(
    context: &Context<'_>,
    leg: Subject,
    (means, wheels): (Option<&Means>, Option<&str>),
    slopes: Option<&[Num]>,
) {
    let mut item = context.item(leg);
    about(&mut item, "roll.pull.of_pull");
    let mass = rolled_mass(context, &mut item);
    let surface = context.choice(leg, "leg.surface");
    let resistance = surface
        .zip(wheels)
        .and_then(|(surface, wheels)| resistance(context, leg, &surface, wheels, mass));
    let (Some(slopes), Some(resistance), Some(means)) = (slopes, resistance, means) else {
        return item.wait();
    };
    let mut pulls = Vec::new();
    for slope in slopes {
        let Some(margins) = pull_margins(context, &mut item, mass, slope, &resistance, means)
        else {
            return item.wait();
        };
        pulls.extend(margins);
    }
    item.margins(&pulls, Dimension::Force);
}

/// What is left of the pull to start and to keep moving on one slope; `None` while what the means pull is missing.
fn pull_margins(
    context: &Context<'_>,
    item: &mut Draft<'_, '_>,
    mass: f64,
    slope: &Num,
    resistance: &Resistance,
    means: &Means,
) -> Option<Vec<Num>> {
    let weight = weight_of(mass);
    let mut margins = Vec::new();
    for (formula, resistance, available) in [
        (
            "roll.pull.start_formula",
            &resistance.start,
            means.start.as_ref()?,
        ),
        (
            "roll.pull.move_formula",
            &resistance.moving,
            means.sustained.as_ref()?,
        ),
    ] {
        let Some(pull) = pulled(weight, slope, resistance) else {
            // Not a number, which no judgement passes.
            margins.push(Num::exact(f64::NAN));
            continue;
        };
        let margin = available - &pull;
        item.line(
            Line::new(formula)
                .with("means", word(format!("choice.way.means.{}", means.kind)))
                .with("slope", context.arg(slope, Dimension::Slope))
                .with("resistance", coefficient(context, resistance))
                .with("pull", force(context, &pull))
                .with("available", force(context, available))
                .with("margin", force(context, &margin)),
        );
        margins.push(margin);
    }
    if let Some(low) = resistance.low {
        let easy = pulled(weight, slope, &Num::exact(low)).unwrap_or_default();
        item.line(Line::new("roll.pull.low_end").with("pull", force(context, &easy)));
    }
    Some(margins)
}

fn force(context: &Context<'_>, number: &Num) -> crate::frame::result::Arg {
    context.arg(number, Dimension::Force)
}

/// The coefficient as a share of the weight.
fn coefficient(context: &Context<'_>, number: &Num) -> crate::frame::result::Arg {
    context.arg(number, Dimension::Slope)
}

/// W(sinθ + c·cosθ), at least zero. Where it would run by itself the spread stays: it may have to be pulled after all.
fn pulled(weight: f64, slope: &Num, resistance: &Num) -> Option<Num> {
    let pull = roll::pull(weight, slope.value(), resistance.value().max(0.0))?;
    let [_, by_slope, by_resistance] = pull.gradient;
    let pull = Num::combine(
        pull.value,
        &[(slope, by_slope), (resistance, by_resistance)],
    );
    Some(pull.chain(pull.value().max(0.0), 1.0))
}

/// Rolling resistance as a share of the weight.
struct Resistance {
    start: Num,
    moving: Num,
    /// The low end of the published range, shown beside.
    low: Option<f64>,
}

/// From a break-away pull measured on this carriage and surface, which beats any table; else the high end of the
/// published range, and on top of it what starting takes.
fn resistance(
    context: &Context<'_>,
    leg: Subject,
    surface: &str,
    wheels: &str,
    mass: f64,
) -> Option<Resistance> {
    let boards = context.optionally(|| context.yes(leg, "leg.mats")) == Some(true);
    let row = rolling::resistance(wheel(wheels), ground(surface, boards));
    let measured = match row {
        Some(_) => context.optionally(|| breakaway(context, leg, mass)),
        // Nothing is published for these wheels on this ground: only a trial says.
        None => breakaway(context, leg, mass),
    };
    let Some(row) = row else {
        return measured.map(|measured| Resistance::trial(measured.clone(), measured));
    };
    context.cite(row.source);
    match (measured, row.source.status.may_clear()) {
        (Some(measured), true) => {
            let moving = measured.clone().min(Num::exact(row.value.high));
            Some(Resistance::trial(measured, moving))
        }
        (Some(measured), false) => Some(Resistance::trial(measured.clone(), measured)),
        (None, true) => Some(Resistance::range(context, row.value.low, row.value.high)),
        // Read on one page only: the dealer states it before it turns anything clear.
        (None, false) => {
            let high = context.limit("rolling_resistance_small_hard");
            Some(Resistance::range(context, row.value.low.min(high), high))
        }
    }
}

impl Resistance {
    fn trial(start: Num, moving: Num) -> Self {
        Self {
            start,
            moving,
            low: None,
        }
    }

    fn range(context: &Context<'_>, low: f64, high: f64) -> Self {
        let extra = context.limit("start_extra");
        Self {
            start: Num::exact(high * (1.0 + extra)),
            moving: Num::exact(high),
            low: Some(low),
        }
    }
}

/// The least part of what will roll that a trial must have on the carriage: wheels sink and start otherwise under a
/// light load. Common practice, no source.
const TRIAL_SHARE: f64 = 0.5;

/// c = F / (m·g) of a trial on the level, with at least half of what will roll on the carriage; a lighter one says
/// nothing.
fn breakaway(context: &Context<'_>, leg: Subject, mass: f64) -> Option<Num> {
    let pull = context.measure(leg, "leg.breakaway_pull")?;
    let load = context.measure(leg, "leg.breakaway_load")?;
    if load.value() - context.spread(&load) < TRIAL_SHARE * mass {
        context.item(leg).open("roll.pull.trial_too_light");
        return None;
    }
    Some(pull / (load * STANDARD_GRAVITY))
}

fn wheel(wheels: &str) -> Wheel {
    if wheels == "pneumatic" {
        Wheel::Pneumatic
    } else {
        Wheel::SmallHard
    }
}

fn ground(surface: &str, boards: bool) -> Surface {
    match surface {
        _ if boards => Surface::Hard,
        "concrete" | "asphalt" | "pavers" => Surface::Hard,
        "gravel_packed" => Surface::FirmGravel,
        "lawn_dry" => Surface::Soil,
        // Soft lawn is never better than loose ground.
        _ => Surface::Loose,
    }
}

/// The slope against the limit for the means, where it is not about level.
fn steepness(context: &Context<'_>, thing: Subject, means: Option<&Means>, slopes: Option<&[Num]>) {
    let mut item = context.item(thing);
    about(&mut item, "roll.pull.of_slope");
    let (Some(slopes), Some(means)) = (slopes, means) else {
        return item.wait();
    };
    let slopes = steepnesses(slopes);
    if !slopes.iter().any(|slope| sloping(context, slope)) {
        return item.not_needed("roll.pull.level");
    }
    let limit = context.limit(means.slope_limit);
    for slope in &slopes {
        item.line(
            Line::new("roll.pull.slope_formula")
                .with("means", word(format!("choice.way.means.{}", means.kind)))
                .with("slope", context.arg(slope, Dimension::Slope))
                .with("limit", quantity(Dimension::Slope, limit)),
        );
    }
    let margins: Vec<Num> = slopes.iter().map(|slope| limit - slope).collect();
    item.margins(&margins, Dimension::Slope);
}

/// Whether it may be steeper than about level.
fn sloping(context: &Context<'_>, slope: &Num) -> bool {
    slope.value() + context.spread(slope) > context.limit("slope_level")
}

/// What holds the load on the slope if the rolling resistance is nothing.
fn holds(context: &Context<'_>, thing: Subject, slopes: Option<&[Num]>) {
    let mut item = context.item(thing);
    about(&mut item, "roll.pull.of_hold_back");
    let weight = weight_of(rolled_mass(context, &mut item));
    let by = context.choice(Subject::SITE, "way.hold_back");
    let by_hand = by.as_deref() == Some("hands");
    let available = if by_hand {
        hands(context)
    } else if by.is_some() {
        context.measure(Subject::SITE, "way.hold_back_rated")
    } else {
        None
    };
    let (Some(slopes), Some(available)) = (slopes.map(steepnesses), available) else {
        return item.wait();
    };
    if by_hand && slopes.iter().any(|slope| sloping(context, slope)) {
        let level = quantity(Dimension::Slope, context.limit("slope_level"));
        return item.holds_with(
            false,
            Line::new("roll.pull.hands_on_slope").with("level", level),
        );
    }
    held(context, item, weight, &slopes, &available);
}

fn hands(context: &Context<'_>) -> Option<Num> {
    let hands = context.count(Subject::SITE, "way.hands")?;
    let each = context.limit("hand_pull_sustained");
    Some(Num::exact(f64::from(hands) * each))
}

fn held(
    context: &Context<'_>,
    mut item: Draft<'_, '_>,
    weight: f64,
    slopes: &[Num],
    available: &Num,
) {
    let mut margins = Vec::new();
    for slope in slopes {
        let Some(back) = roll::hold_back(weight, slope.value(), 0.0) else {
            return item.open("frame.not_computable");
        };
        let [_, by_slope, _] = back.gradient;
        let back = slope.chain(back.value, by_slope);
        let margin = available - &back;
        item.line(
            Line::new("roll.pull.hold_formula")
                .with("slope", context.arg(slope, Dimension::Slope))
                .with("back", force(context, &back))
                .with("available", force(context, available))
                .with("margin", force(context, &margin)),
        );
        margins.push(margin);
    }
    item.margins(&margins, Dimension::Force);
}

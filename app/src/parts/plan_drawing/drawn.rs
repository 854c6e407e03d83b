//! From the plan that the rules derived to the sketch that is drawn: points, tapes, how sure they are, the unit.

use setdown_rules::frame::result::Outcome;
use setdown_rules::plan::ledger::{Drawn, wanted};
use setdown_rules::plan::{Derived, Plan};
use setdown_rules::{Input, network};
use setdown_types::ids::SubjectId;
use setdown_types::quantity::text::format_quantity;
use setdown_types::site::Site;
use setdown_types::spa::SpaSheet;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::{Tie, TieKind, Value};

use super::sketch::{Ellipse, Sketch, SketchPoint, Tape, UnitMarks};
use crate::parts::preferences;

/// The sketch of a derived plan, with its way in where that is worked out and the check rests on it: `outcome` is what
/// the check came to, `None` while it is open.
pub fn sketch(
    input: &Input<'_>,
    drawn: &Drawn,
    derived: &Derived,
    outcome: Option<Outcome>,
) -> Sketch {
    let plan = derived.plan.clone().unwrap_or_default();
    let points = points(drawn, &plan, derived.network.as_ref());
    let suspects = suspects(drawn, derived.network.as_ref());
    let wanted = wanted(input).filter(|_| outcome.is_some());
    let answer = wanted.and_then(|wanted| input.ways.get(&wanted.digest).cloned());
    Sketch {
        tapes: tapes(input.site, &points, &suspects),
        ellipses: ellipses(&plan, derived.network.as_ref()),
        loose: derived.plan.is_none(),
        answer: answer.map(|certified| certified.answer.clone()),
        has_room: outcome == Some(Outcome::Clear),
        unit: marks(input.spa),
        north: north(drawn, &plan, &points),
        points,
        plan,
    }
}

/// Where north is, if somebody held a compass along a line that is on the plan.
fn north(drawn: &Drawn, plan: &Plan, points: &[SketchPoint]) -> Option<f64> {
    let bearing = drawn.bearing?;
    let along = match bearing.points {
        Some(ends) => {
            let place = |id| points.iter().find(|point| point.id == Some(id));
            let [from, to] = ends.map(place);
            [from?.at, to?.at]
        }
        // The unit comes off the truck along the first leg.
        None => {
            let stand = plan.truck_stand.as_ref()?;
            let (from, ahead) = (stand.at.at(), stand.ahead.at());
            [from, [from[0] + ahead[0], from[1] + ahead[1]]]
        }
    };
    Some(bearing.north(along))
}

/// Points of the plan; of the network alone while it is loose.
fn points(drawn: &Drawn, plan: &Plan, network: Option<&network::Answer>) -> Vec<SketchPoint> {
    let id = |name: &str| {
        let origin = drawn.origins.get(name)?;
        (origin.subject.kind == SubjectKind::PlanPoint).then_some(origin.subject.id)
    };
    let named = |name: &str, at: [f64; 2]| SketchPoint {
        id: id(name),
        name: name.to_owned(),
        at,
    };
    if plan.points.is_empty() {
        let loose = network.iter().flat_map(|network| &network.points);
        return loose
            .map(|point| named(&point.name, [point.x, point.y]))
            .collect();
    }
    plan.points
        .iter()
        .map(|point| named(&point.name, point.at.at()))
        .collect()
}

fn suspects(drawn: &Drawn, network: Option<&network::Answer>) -> Vec<Subject> {
    let mistaped = network.iter().flat_map(|network| &network.mistaped);
    let suspects = mistaped.flat_map(|mistaped| &mistaped.suspects);
    suspects
        .filter_map(|suspect| drawn.origin(&suspect.id))
        .map(|origin| origin.subject)
        .collect()
}

/// How sure each point is: as the network says it, else from the slopes of its coordinates.
fn ellipses(plan: &Plan, network: Option<&network::Answer>) -> Vec<Ellipse> {
    let Some(network) = network else {
        return plan
            .points
            .iter()
            .map(|point| Ellipse::of(&point.at))
            .collect();
    };
    network
        .points
        .iter()
        .filter_map(|point| {
            Some(Ellipse {
                at: [point.x, point.y],
                major: point.major?,
                minor: point.minor?,
                heading: point.heading?,
            })
        })
        .collect()
}

/// What the unit's own sheet marks.
fn marks(spa: &SpaSheet) -> UnitMarks {
    UnitMarks {
        service: spa.service.iter().map(|service| service.side).collect(),
        entry: spa.entry_sides.clone(),
    }
}

/// The tie that a subject is.
pub fn tie_of(site: &Site, subject: Subject) -> Option<Tie> {
    match site
        .stream(subject, "tie.present")?
        .leading()?
        .value
        .as_ref()?
    {
        Value::Tie(tie) => Some(tie.clone()),
        _ => None,
    }
}

/// What was taped for a tie, in words.
pub fn length_text(site: &Site, subject: Subject) -> Option<String> {
    match site
        .stream(subject, "tie.length")?
        .leading()?
        .value
        .as_ref()?
    {
        Value::Measure(measure) => Some(format_quantity(measure.quantity(), preferences::system())),
        _ => None,
    }
}

/// The taped distances as dimension lines between points that have a place.
fn tapes(site: &Site, points: &[SketchPoint], suspects: &[Subject]) -> Vec<Tape> {
    let place = |id: SubjectId| {
        points
            .iter()
            .find(|point| point.id == Some(id))
            .map(|point| point.at)
    };
    site.subjects(SubjectKind::Tie)
        .iter()
        .filter_map(|subject| {
            let tie = tie_of(site, *subject)?;
            let (TieKind::Distance, [from, to]) = (tie.kind(), tie.points()) else {
                return None;
            };
            Some(Tape {
                from: place(*from)?,
                to: place(*to)?,
                text: length_text(site, *subject)?,
                suspect: suspects.contains(subject),
            })
        })
        .collect()
}

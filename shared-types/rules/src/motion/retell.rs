//! The fewest plain moves along a row of stops: straight rolls and turns on the spot before turns about corners, those
//! before turns about other points, and rolling while turning last of all.

use super::crew::{NO_TURN, Prover, Step, body_point, pivots, pole};
use super::hubs::Hub;
use super::moves::About;
use super::yard::{Place, Yard, into_body};

/// How often a chain is sought before only what is proved counts.
const MOST_CHAINS: usize = 24;

/// Lines that cross at less than this sine cross too far away.
const SLANT: f64 = 0.2;

/// In radians: the point that a smaller turn is about is too far away.
const LEAST_POLE_TURN: f64 = 0.005;

/// How a pair of stops may be joined: turned first or last about one of the pivots, in one turn about another point, or
/// both at once.
#[derive(Clone, Copy, Debug)]
enum Way {
    First(About),
    Last(About),
    /// Straight ahead or back, turned on the spot, and straight again.
    Bend,
    Pole,
    Both,
    Hub(Hub),
}

/// All ways: those about the centre, the corners, and the hubs, then the last resorts.
fn ways(hubs: &[Hub]) -> Vec<Way> {
    let pivoted = pivots()
        .into_iter()
        .flat_map(|about| [Way::First(about), Way::Last(about)]);
    let about_hubs = hubs.iter().map(|hub| Way::Hub(*hub));
    pivoted
        .chain(about_hubs)
        .chain([Way::Bend, Way::Pole, Way::Both])
        .collect()
}

/// Whether stops are within a way's reach.
fn reaches(way: &Way, from: usize, to: usize) -> bool {
    match way {
        Way::Hub(hub) => hub.first <= from && from <= hub.near && hub.near <= to && to <= hub.last,
        _ => true,
    }
}

/// The steps from one stop to another in this way; `None` where it makes no sense.
fn steps(yard: &Yard, [from, to]: [Place; 2], way: Way) -> Option<Vec<Step>> {
    let turn = to.heading - from.heading;
    let turns = turn.abs() >= NO_TURN;
    let mut steps = match way {
        Way::First(About::Centre) if !turns => vec![Step::shift(from, to)],
        _ if !turns => return None,
        Way::First(about) => {
            let pivot = Step::turn(yard, from, about, turn);
            vec![
                pivot,
                Step::shift(
                    Place {
                        heading: to.heading,
                        ..pivot.to
                    },
                    to,
                ),
            ]
        }
        Way::Last(about) => {
            let point = body_point(yard, about);
            let around = Yard::from_body(to, point);
            let before = Place {
                heading: from.heading,
                ..super::certify::turned(to, around, -turn)
            };
            let pivot = Step {
                to,
                ..Step::turn(yard, before, about, turn)
            };
            vec![Step::shift(from, before), pivot]
        }
        Way::Bend => {
            let before = bend(from, to)?;
            let pivot = Step::turn(yard, before, About::Centre, turn);
            let after = Place {
                heading: to.heading,
                ..pivot.to
            };
            let pivot = Step { to: after, ..pivot };
            vec![Step::shift(from, before), pivot, Step::shift(after, to)]
        }
        Way::Pole if turn.abs() < LEAST_POLE_TURN => return None,
        Way::Pole => vec![Step {
            to,
            ..Step::turn(yard, from, pole(from, to), turn)
        }],
        Way::Both => vec![Step::shift(from, to)],
        Way::Hub(hub) => {
            let [forward, left] = hub.about;
            let before = hub.pose(from.heading);
            let pivot = Step::turn(yard, before, About::Point { forward, left }, turn);
            let after = Place {
                heading: to.heading,
                ..pivot.to
            };
            vec![
                Step::shift(from, before),
                Step { to: after, ..pivot },
                Step::shift(after, to),
            ]
        }
    };
    steps.retain(|step| !step.is_nothing());
    Some(steps)
}

/// Where the lines through two poses along their headings cross, with the heading of the first.
fn bend(from: Place, to: Place) -> Option<Place> {
    let (sine, cosine) = libm::sincos(from.heading);
    let [x, y] = into_body(to.at, from.at, cosine, sine);
    let (across, along) = libm::sincos(to.heading - from.heading);
    if across.abs() < SLANT {
        return None;
    }
    let at = Yard::from_body(from, [x - y * along / across, 0.0]);
    Some(Place { at, ..from })
}

/// What is known of joining two stops in one way.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
enum Standing {
    Unseen,
    Open,
    Shut,
    Proved,
}

/// The best known chain to a state: a stop, and whether the last move to it was a turn on the spot.
#[derive(Clone, Copy, Debug)]
struct Known {
    trouble: f64,
    before: usize,
    way: usize,
    done: bool,
}

/// A pair of stops and the way they are joined.
#[derive(Clone, Copy, Debug)]
struct Joint {
    from: usize,
    to: usize,
    way: usize,
}

/// The search for the least trouble.
pub(super) struct Retelling<'a> {
    stops: &'a [Place],
    ways: Vec<Way>,
    /// By pair of stops and way.
    standing: Vec<Standing>,
}

impl<'a> Retelling<'a> {
    /// Stops of which each is proved to lead straight to the next.
    pub fn new(stops: &'a [Place], hubs: &[Hub]) -> Self {
        let ways = ways(hubs);
        let standing = vec![Standing::Unseen; stops.len() * stops.len() * ways.len()];
        Retelling {
            stops,
            ways,
            standing,
        }
    }

    /// The steps with the least trouble, all proved.
    pub fn steps(&mut self, prover: &mut Prover) -> Vec<Step> {
        // Chains are sought among what looks open, and only the best is proved: then again without what failed.
        for _ in 0..MOST_CHAINS {
            let chain = self.chain(prover);
            let failed = chain
                .iter()
                .copied()
                .find(|joint| !self.proves(prover, *joint));
            if failed.is_none() {
                return self.told(prover.yard, &chain);
            }
        }
        for standing in &mut self.standing {
            if *standing != Standing::Proved {
                *standing = Standing::Shut;
            }
        }
        let chain = self.chain(prover);
        self.told(prover.yard, &chain)
    }

    fn standing(&mut self, joint: Joint) -> Option<&mut Standing> {
        let pair = joint.from * self.stops.len() + joint.to;
        self.standing.get_mut(pair * self.ways.len() + joint.way)
    }

    fn parts(&self, yard: &Yard, joint: Joint) -> Option<Vec<Step>> {
        let way = self
            .ways
            .get(joint.way)
            .filter(|way| reaches(way, joint.from, joint.to))?;
        steps(
            yard,
            [*self.stops.get(joint.from)?, *self.stops.get(joint.to)?],
            *way,
        )
    }

    /// Neighbouring stops are proved to be joined straight.
    fn is_given(&self, joint: Joint, parts: &[Step]) -> bool {
        let is_one_shift = parts.iter().all(Step::is_shift) && parts.len() <= 1;
        joint.to == joint.from + 1 && is_one_shift
    }

    fn is_open(&mut self, prover: &Prover, joint: Joint, parts: &[Step]) -> bool {
        let given = self.is_given(joint, parts);
        let Some(standing) = self.standing(joint) else {
            return false;
        };
        if given {
            *standing = Standing::Proved;
        } else if *standing == Standing::Unseen {
            let open = parts.iter().all(|step| prover.looks(step));
            *standing = if open { Standing::Open } else { Standing::Shut };
        }
        *standing != Standing::Shut
    }

    fn proves(&mut self, prover: &mut Prover, joint: Joint) -> bool {
        let parts = self.parts(prover.yard, joint).unwrap_or_default();
        match self.standing(joint).copied() {
            Some(Standing::Open) => {}
            seen => return seen == Some(Standing::Proved),
        }
        let failed = parts.iter().find(|step| !prover.proves(step));
        if let Some(step) = failed {
            self.shut(joint, !step.is_shift());
        } else if let Some(standing) = self.standing(joint) {
            *standing = Standing::Proved;
        }
        failed.is_none()
    }

    /// Shuts a joint; where its turn about a hub failed, all that turn about it as far and farther.
    fn shut(&mut self, joint: Joint, turn_failed: bool) {
        let is_hub = matches!(self.ways.get(joint.way), Some(Way::Hub(_)));
        let (firsts, lasts) = if turn_failed && is_hub {
            (
                0..=joint.from,
                joint.to..=self.stops.len().saturating_sub(1),
            )
        } else {
            (joint.from..=joint.from, joint.to..=joint.to)
        };
        for from in firsts {
            for to in lasts.clone() {
                if let Some(standing) = self.standing(Joint { from, to, ..joint }) {
                    *standing = Standing::Shut;
                }
            }
        }
    }

    /// The chain with the least trouble among what looks open.
    fn chain(&mut self, prover: &Prover) -> Vec<Joint> {
        let mut known: Vec<Option<Known>> = vec![None; 2 * self.stops.len()];
        if let Some(start) = known.first_mut() {
            *start = Some(Known {
                trouble: 0.0,
                before: 0,
                way: 0,
                done: false,
            });
        }
        while let Some(state) = nearest(&known) {
            if state / 2 + 1 == self.stops.len() {
                return joints(&known, state);
            }
            self.extend(prover, &mut known, state);
        }
        Vec::new()
    }

    fn extend(&mut self, prover: &Prover, known: &mut [Option<Known>], state: usize) {
        let Some(Some(so_far)) = known.get_mut(state) else {
            return;
        };
        so_far.done = true;
        let so_far = so_far.trouble;
        let from = state / 2;
        for to in (from + 1..self.stops.len()).rev() {
            for way in 0..self.ways.len() {
                let joint = Joint { from, to, way };
                if !self.is_worth_it(known, joint, so_far - f64::from(state as u32 % 2)) {
                    continue;
                }
                let Some(parts) = self.parts(prover.yard, joint) else {
                    continue;
                };
                let merges = state % 2 == 1 && parts.first().is_some_and(Step::is_on_the_spot);
                let merged = if merges { 1.0 } else { 0.0 };
                let own: f64 = parts.iter().map(|step| step.trouble(prover.yard)).sum();
                let trouble = so_far + own - merged;
                let turns = parts.last().map_or(state % 2 == 1, Step::is_on_the_spot);
                if !is_known(known, to, turns, trouble) && self.is_open(prover, joint, &parts) {
                    let better = Known {
                        trouble,
                        before: state,
                        way,
                        done: false,
                    };
                    known[2 * to + usize::from(turns)] = Some(better);
                }
            }
        }
    }

    /// Whether a joint may lead to its stop with less trouble than is known, before its steps are worked out.
    fn is_worth_it(&mut self, known: &[Option<Known>], joint: Joint, so_far: f64) -> bool {
        let least = match self.ways.get(joint.way) {
            Some(Way::First(About::Centre) | Way::Last(About::Centre) | Way::Bend) => 1.0,
            Some(Way::Both) => 4.0,
            Some(Way::Hub(_) | Way::Pole) => 2.0,
            _ => 1.0,
        };
        let seen = self.standing(joint).copied();
        let is_next = joint.to == joint.from + 1;
        seen.is_some_and(|seen| is_next || seen != Standing::Shut)
            && !is_known(known, joint.to, true, so_far + least)
    }

    fn told(&self, yard: &Yard, chain: &[Joint]) -> Vec<Step> {
        let mut all: Vec<Step> = Vec::new();
        for step in chain
            .iter()
            .filter_map(|joint| self.parts(yard, *joint))
            .flatten()
        {
            match all.last().copied() {
                // What lies between was proved both ways, so the sum is.
                Some(before) if before.is_on_the_spot() && step.is_on_the_spot() => {
                    all.pop();
                    let turn = step.to.heading - before.from.heading;
                    let sum = Step::turn(yard, before.from, About::Centre, turn);
                    let sum = Step { to: step.to, ..sum };
                    all.extend((!sum.is_nothing()).then_some(sum));
                }
                _ => all.push(step),
            }
        }
        all
    }
}

/// Whether a chain as good leads to a stop, or to the last one. Ending with a turn on the spot saves at most one move.
fn is_known(known: &[Option<Known>], to: usize, turns: bool, trouble: f64) -> bool {
    let as_good = |state: usize, more: f64| {
        let known = known.get(state).copied().flatten();
        known.is_some_and(|each| each.trouble + more <= trouble)
    };
    let end = known.len().saturating_sub(2);
    let plain = if turns { 1.0 } else { 0.0 };
    as_good(2 * to, plain) || as_good(2 * to + 1, 0.0) || as_good(end, 0.0) || as_good(end + 1, 0.0)
}

fn nearest(known: &[Option<Known>]) -> Option<usize> {
    let mut best: Option<(f64, usize)> = None;
    for (state, each) in known.iter().enumerate() {
        if let Some(each) = each.filter(|each| !each.done)
            && best.is_none_or(|(trouble, _)| each.trouble < trouble)
        {
            best = Some((each.trouble, state));
        }
    }
    best.map(|(_, state)| state)
}

/// The joints that led to a state.
fn joints(known: &[Option<Known>], state: usize) -> Vec<Joint> {
    let mut joints = Vec::new();
    let mut at = state;
    while let Some(Some(each)) = known.get(at).filter(|_| at / 2 > 0) {
        joints.push(Joint {
            from: each.before / 2,
            to: at / 2,
            way: each.way,
        });
        at = each.before;
    }
    joints.reverse();
    joints
}

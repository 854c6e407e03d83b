//! `power.spaces`: the panel has room for the breakers, two adjacent spaces on opposite legs for each of 240 V.

use std::collections::BTreeMap;

use setdown_types::spa::SupplySetting;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::SlotHolds;

use super::{Chosen, setting};
use crate::frame::context::Context;
use crate::frame::result::{Arg, Line};
use crate::tables::Source;

/// Circuits above this many volts take a two-pole breaker.
const TWO_POLE_ABOVE: f64 = 200.0;

/// What the panel must take.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Wanted {
    /// Two-pole breakers.
    pub pairs: usize,
    /// One-pole breakers.
    pub singles: usize,
}

/// What the schedule shows.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Room {
    /// Two-pole breakers that could be put in.
    pub pairs: usize,
    /// Empty positions in all.
    pub spaces: usize,
    /// Positions with two thin breakers, which are both on one leg.
    pub tandems: usize,
}

impl Room {
    /// Reads a schedule numbered odd left, even right: positions n and n + 2 stand one above the other on opposite legs.
    /// Runs of empty positions on one side hold half as many two-pole breakers, rounded down.
    pub fn of(schedule: &BTreeMap<u16, SlotHolds>) -> Self {
        let empty = |position: u16| schedule.get(&position) == Some(&SlotHolds::Space);
        let mut pairs = 0;
        for &start in schedule.keys() {
            let begins = empty(start) && !start.checked_sub(2).is_some_and(empty);
            if !begins {
                continue;
            }
            let mut run = 0usize;
            let mut at = Some(start);
            while let Some(position) = at.filter(|position| empty(*position)) {
                run += 1;
                at = position.checked_add(2);
            }
            pairs += run / 2;
        }
        let count = |wanted: SlotHolds| schedule.values().filter(|held| **held == wanted).count();
        Self {
            pairs,
            spaces: count(SlotHolds::Space),
            tandems: count(SlotHolds::Tandem),
        }
    }

    /// Whether what is wanted fits.
    pub const fn takes(self, wanted: Wanted) -> bool {
        self.pairs >= wanted.pairs && self.spaces >= 2 * wanted.pairs + wanted.singles
    }
}

/// Pairs of adjacent spaces against two-pole breakers; a two-zone unit takes a breaker for each circuit, or one for a
/// feeder to a sub-panel. Source: common practice, no source; how panels are built.
pub fn spaces(context: &Context<'_>) {
    context.cite(Source::common_practice());
    super::cautions(context);
    context.optionally(|| context.photo(Subject::SITE, "panel.photo"));
    let mut item = context.item(Subject::SITE);
    let chosen = setting(context);
    let service = context.choice(Subject::SITE, "panel.service_kind");
    let numbering = context.choice(Subject::SITE, "panel.numbering");
    let listed = context.yes(Subject::SITE, "panel.slots_listed");
    let wanted = match chosen {
        Chosen::Setting(setting) if !setting.circuits.is_empty() => wanted(context, setting),
        Chosen::NotYet => None,
        _ => return item.open("power.supply.not_on_sheet"),
    };
    let schedule = schedule(context);
    let (Some(wanted), Some(service), Some(numbering)) = (wanted, service, numbering) else {
        return item.wait();
    };
    if service != "split_phase" {
        return item.open("power.spaces.other_service");
    }
    if numbering != "odd_left_even_right" {
        return item.open("power.spaces.other_numbering");
    }
    let Some(schedule) = schedule else {
        return item.open("power.spaces.listed_twice");
    };
    let room = Room::of(&schedule);
    let number = |count: usize| Arg::Count(i64::try_from(count).unwrap_or(i64::MAX));
    item.line(
        Line::new("power.spaces.schedule")
            .with("positions", number(schedule.len()))
            .with("spaces", number(room.spaces))
            .with("pairs", number(room.pairs))
            .with("tandems", number(room.tandems)),
    );
    item.line(
        Line::new("power.spaces.wanted")
            .with("pairs", number(wanted.pairs))
            .with("singles", number(wanted.singles)),
    );
    if room.takes(wanted) {
        item.holds(true, "power.spaces.room");
    } else if listed == Some(true) {
        item.holds(false, "power.spaces.no_room");
    } else {
        item.open("power.spaces.not_listed");
    }
}

fn wanted(context: &Context<'_>, setting: &SupplySetting) -> Option<Wanted> {
    let circuits = &setting.circuits;
    let pairs = circuits
        .iter()
        .filter(|circuit| circuit.voltage.si() > TWO_POLE_ABOVE)
        .count();
    let each = Wanted {
        pairs,
        singles: circuits.len() - pairs,
    };
    if circuits.len() < 2 {
        return Some(each);
    }
    match context.choice(Subject::SITE, "power.several_by")?.as_str() {
        "feeder_with_subpanel" => Some(Wanted {
            pairs: 1,
            singles: 0,
        }),
        _ => Some(each),
    }
}

/// The schedule by position; `None` where one position is listed twice with different contents.
fn schedule(context: &Context<'_>) -> Option<BTreeMap<u16, SlotHolds>> {
    let mut schedule = BTreeMap::new();
    let mut sound = true;
    for subject in context.subjects(SubjectKind::Slot) {
        if let Some(slot) = context.slot(subject) {
            let before = schedule.insert(slot.position, slot.holds);
            sound &= before.is_none_or(|before| before == slot.holds);
        }
    }
    sound.then_some(schedule)
}

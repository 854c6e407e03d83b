//! `lift.people`: nobody is under the swing, and whoever must allow the lift has.

use setdown_types::party::Party;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::word;
use crate::frame::result::Line;
use crate::tables::Source;

/// Facts that must be so, each with the reasons for yes and for no.
const FACTS: &[(&str, &str, &str)] = &[
    (
        "lift.swing_clear",
        "lift.people.swing_clear",
        "lift.people.swing_not_clear",
    ),
    (
        "lift.rooms_empty",
        "lift.people.rooms_empty",
        "lift.people.rooms_occupied",
    ),
    (
        "lift.tag_lines",
        "lift.people.tag_lines",
        "lift.people.no_tag_lines",
    ),
];

/// The swing clear of people and of occupied rooms, tag lines, and the permissions that are needed held.
pub fn people(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.lifting");
    for &(question, good, bad) in FACTS {
        let item = context.item(Subject::SITE);
        match context.yes(Subject::SITE, question) {
            None => item.wait(),
            Some(true) => item.holds(true, good),
            Some(false) => item.holds(false, bad),
        }
    }
    permissions(context);
}

fn permissions(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    let Some(needed) = context.choices(Subject::SITE, "lift.permissions_needed") else {
        return item.wait();
    };
    if needed.is_empty() {
        return item.open("lift.people.not_said");
    }
    let needed: Vec<String> = needed.into_iter().filter(|which| which != "none").collect();
    if needed.is_empty() {
        return item.holds(true, "lift.people.no_permission_needed");
    }
    let held = context.choices(Subject::SITE, "lift.permissions_held");
    let Some(held) = held else {
        return item.wait();
    };
    let lacking: Vec<&String> = needed
        .iter()
        .filter(|which| !held.contains(which))
        .collect();
    for which in &lacking {
        let permission = word(format!("choice.lift.permissions_needed.{which}"));
        let line = Line::new("lift.people.get_permission").with("permission", permission);
        context.action(Party::Office, line, 30.0);
    }
    if lacking.is_empty() {
        item.holds(true, "lift.people.permitted")
    } else {
        item.open("lift.people.permission_lacking")
    }
}

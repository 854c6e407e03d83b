//! `roll.openings`: every gate and gap on the way in is wide enough for the unit as it ships.

use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use crate::frame::context::Context;
use crate::frame::item::quantity;
use crate::frame::result::Line;
use crate::tables::Source;

/// Per opening: the narrowest of ankle, hip and head height, less the shipping width, less twice
/// the running clearance. Source: common practice; limits from the practice sheet.
pub fn openings(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let clearance = context.limit("running_clearance_required");
    let width = context.spa().shipping.width.metres();
    let listed = context.yes(Subject::SITE, "way.openings_listed");
    let openings = context.subjects(SubjectKind::Opening);
    if openings.is_empty() {
        let item = context.item(Subject::SITE);
        match listed {
            Some(true) => item.not_needed("roll.openings.none"),
            _ => item.open("roll.openings.not_listed"),
        }
        return;
    }
    for opening in openings {
        opening_item(context, opening, width, clearance);
    }
    if listed == Some(false) {
        context.item(Subject::SITE).open("roll.openings.not_listed");
    }
}

fn opening_item(context: &Context<'_>, opening: Subject, width: f64, clearance: f64) {
    let mut item = context.item(opening);
    let ankle = context.measure(opening, "opening.width_ankle");
    let hip = context.measure(opening, "opening.width_hip");
    let head = context.measure(opening, "opening.width_head");
    context.optionally(|| context.photo(opening, "opening.photo"));
    // The narrowest of what is there: one height that is too narrow decides alone.
    let Some(narrowest) = [ankle, hip, head]
        .into_iter()
        .flatten()
        .reduce(|a, b| a.min(b))
    else {
        return item.wait();
    };
    let margin = &narrowest - width - 2.0 * clearance;
    item.shows("roll.openings.narrowest", &narrowest, Dimension::Length);
    item.line(
        Line::new("roll.openings.formula")
            .with("narrowest", context.arg(&narrowest, Dimension::Length))
            .with("width", quantity(Dimension::Length, width))
            .with("clearance", quantity(Dimension::Length, clearance))
            .with("margin", context.arg(&margin, Dimension::Length)),
    );
    item.margin(&margin, Dimension::Length);
}

#[cfg(test)]
mod tests {
    use crate::frame::result::Outcome;
    use crate::frame::testing::TestSite;

    fn gate(width: &str) -> TestSite {
        TestSite::new()
            .yes("site", "way.openings_listed", true)
            .measure("opening#1", "opening.width_ankle", width)
            .measure("opening#1", "opening.width_hip", "9 ft")
            .measure("opening#1", "opening.width_head", "9 ft")
    }

    fn check(width: &str, expect: Outcome) {
        assert_eq!(gate(width).outcome("roll.openings"), expect, "{width}");
    }

    /// Shipping width 7 ft 10 in and twice 2 in: 8 ft 2 in; a tape's spread is 1/4 in.
    #[test]
    fn the_narrowest_height_decides() {
        check("8 ft 4 in", Outcome::Clear);
        check("8 ft 2 3/8 in", Outcome::Clear);
        check("8 ft 2 in", Outcome::Tight);
        check("8 ft 1 5/8 in", Outcome::Short);
        check("7 ft 6 in", Outcome::Short);
    }
}

//! `roll.openings`: every gate, gap and leg on the way in is wide enough for the unit as it ships.

use setdown_types::quantity::Dimension;
use setdown_types::subject::{Subject, SubjectKind};

use super::listed::{Empty, listed};
use super::load;
use crate::frame::context::Context;
use crate::frame::item::{quantity, worst_of};
use crate::frame::result::Line;
use crate::tables::Source;

/// Where the width of an opening is taped.
const HEIGHTS: &[&str] = &[
    "opening.width_ankle",
    "opening.width_hip",
    "opening.width_head",
];

/// Widths in metres that decide.
struct Limits {
    width: f64,
    required: f64,
    preferred: f64,
}

/// Per opening: the width at ankle, hip and head height, less the shipping width, less twice the running clearance; the
/// height that leaves the least for sure decides. Each leg likewise, where it is narrowest. Source: common practice;
/// limits from the practice sheet.
pub fn openings(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.rolling");
    let limits = Limits {
        width: load::rolling(context).width,
        required: context.limit("running_clearance_required"),
        preferred: context.limit("running_clearance_preferred"),
    };
    let openings = listed(
        context,
        SubjectKind::Opening,
        "way.openings_listed",
        "roll.openings.not_listed",
        Empty::NotNeeded("roll.openings.none"),
    );
    for opening in openings {
        context.optionally(|| context.photo(opening, "opening.photo"));
        narrowest(context, opening, HEIGHTS, &limits);
    }
    for leg in context.subjects(SubjectKind::Leg) {
        narrowest(context, leg, &["leg.width"], &limits);
    }
}

fn narrowest(context: &Context<'_>, thing: Subject, questions: &[&str], limits: &Limits) {
    let mut item = context.item(thing);
    let widths: Vec<_> = questions
        .iter()
        .map(|question| context.measure(thing, question))
        .collect();
    let widths: Vec<_> = widths.into_iter().flatten().collect();
    let margins: Vec<_> = widths
        .iter()
        .map(|width| width - limits.width - 2.0 * limits.required)
        .collect();
    // One height that is too narrow decides alone, whatever the others are.
    let Some(place) = worst_of(context, &margins) else {
        return item.wait();
    };
    let (narrowest, margin) = (&widths[place], &margins[place]);
    item.shows("roll.openings.narrowest", narrowest, Dimension::Length);
    item.line(
        Line::new("roll.openings.formula")
            .with("narrowest", context.arg(narrowest, Dimension::Length))
            .with("width", quantity(Dimension::Length, limits.width))
            .with("clearance", quantity(Dimension::Length, limits.required))
            .with("margin", context.arg(margin, Dimension::Length)),
    );
    let beside = (narrowest.value() - limits.width) / 2.0;
    if margin.value() >= 0.0 && beside < limits.preferred {
        item.line(
            Line::new("roll.openings.below_preferred")
                .with("clearance", quantity(Dimension::Length, beside))
                .with("preferred", quantity(Dimension::Length, limits.preferred)),
        );
    }
    item.margins(&margins, Dimension::Length);
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

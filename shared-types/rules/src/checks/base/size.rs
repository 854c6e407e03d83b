//! `base.size`: the base reaches past the unit on every side.

use setdown_types::quantity::Dimension;
use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::{quantity, word};
use crate::frame::result::Line;

/// Half of what the base is longer (wider) than the unit, less the margin of the practice sheet; the unit stands in the
/// middle. Source: practice sheet.
pub fn size(context: &Context<'_>) {
    let past = context.limit("base_margin");
    let spa = context.spa().bare;
    for (question, along, unit) in [
        ("base.length", "base.size.along", spa.length.metres()),
        ("base.width", "base.size.across", spa.width.metres()),
    ] {
        let mut item = context.item(Subject::SITE);
        item.about("direction", word(along));
        let Some(base) = context.measure(Subject::SITE, question) else {
            item.wait();
            continue;
        };
        let margin = (&base - unit) / 2.0 - past;
        item.line(
            Line::new("base.size.formula")
                .with("direction", word(along))
                .with("base", context.arg(&base, Dimension::Length))
                .with("unit", quantity(Dimension::Length, unit))
                .with("past", quantity(Dimension::Length, past))
                .with("margin", context.arg(&margin, Dimension::Length)),
        );
        item.margin(&margin, Dimension::Length);
    }
}

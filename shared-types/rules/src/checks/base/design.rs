//! `base.design`: what carries the unit is designed or judged by somebody licensed, for the loads stated.

use setdown_types::subject::Subject;

use super::placing::{Kind, kind_of};
use crate::frame::context::Context;
use crate::frame::result::Line;
use crate::tables::Source;
use setdown_types::party::Party;

/// A slab is built to a local contractor's design, who is given the loads and never a thickness. An existing slab, with
/// cracks or of unknown thickness, and a deck or suspended floor carry it only by a licensed person's word. Rock and pad
/// rest on the ground's own check. Source: common practice, no source.
pub fn design(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.base_structure");
    context.caution("caution.base_dig");
    let Some(kind) = kind_of(context) else {
        return context.item(Subject::SITE).wait();
    };
    let item = context.item(Subject::SITE);
    match kind {
        Kind::Rock | Kind::Pad => item.not_needed("base.design.on_the_ground"),
        Kind::Slab => {
            context.action(
                Party::Groundworks,
                Line::new("base.design.give_loads"),
                30.0,
            );
            item.open("base.design.slab");
        }
        Kind::ExistingSlab => match context.yes(Subject::SITE, "base.cracks") {
            Some(true) => item.open("base.design.cracked"),
            Some(false) => item.open("base.design.thickness_unknown"),
            None => item.wait(),
        },
        Kind::Deck => item.open("base.design.deck"),
    }
}

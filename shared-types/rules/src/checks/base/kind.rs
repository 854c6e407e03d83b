//! `base.kind`: a kind of base is chosen, and it suits where the unit stands.

use setdown_types::subject::Subject;

use super::placing::{Kind, Placing, kind_of, of};
use crate::frame::context::Context;
use crate::frame::item::word;
use crate::frame::result::Line;
use crate::tables::Source;

/// A raised deck carries the unit itself; below grade it stands on a slab; indoors on a slab or a suspended floor; on
/// grade on anything but a deck. Source: common practice, no source.
pub fn kind(context: &Context<'_>) {
    context.cite(Source::common_practice());
    context.caution("caution.base_structure");
    let placing = of(context);
    let kind = kind_of(context);
    let item = context.item(Subject::SITE);
    let (Some(placing), Some(kind)) = (placing, kind) else {
        return item.wait();
    };
    let suits = suits(placing, kind);
    let reason = if suits {
        "base.kind.suits"
    } else {
        "base.kind.does_not_suit"
    };
    let chosen = |question: &'static str| match context.choice(Subject::SITE, question) {
        Some(choice) => word(format!("choice.{question}.{choice}")),
        None => word("frame.missing"),
    };
    item.holds_with(
        suits,
        Line::new(reason)
            .with("kind", chosen("base.kind"))
            .with("placing", chosen("base.placing")),
    );
}

const fn suits(placing: Placing, kind: Kind) -> bool {
    match placing {
        Placing::RaisedDeck => matches!(kind, Kind::Deck),
        Placing::Vault | Placing::PartlyRecessed => kind.is_slab(),
        Placing::Indoors => matches!(kind, Kind::Slab | Kind::ExistingSlab | Kind::Deck),
        Placing::OnGrade => !matches!(kind, Kind::Deck),
    }
}

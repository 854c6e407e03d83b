//! `way.chosen`: a way in is chosen, reaches from truck to spot, and every link of it holds.

use setdown_types::subject::Subject;

use crate::frame::context::Context;
use crate::frame::item::word;
use crate::frame::result::{Line, Outcome};
use crate::frame::spec::Check;
use crate::tables::Source;

/// The chain is chosen, is covered from truck to spot without a gap, and no check of the way in is unsettled.
pub fn chosen(context: &Context<'_>) {
    context.cite(Source::common_practice());
    let Some(chain) = context.choice(Subject::SITE, "way.chain") else {
        return context.item(Subject::SITE).wait();
    };
    if chain == "none" {
        return context.item(Subject::SITE).holds(false, "way.chosen.none");
    }
    covers(context, &chain);
    edge(context);
    for link in super::CHECKS {
        if link.key != context.key() {
            link_item(context, link);
        }
    }
}

fn covers(context: &Context<'_>, chain: &str) {
    let mut item = context.item(Subject::SITE);
    item.line(
        Line::new("way.chosen.chain").with("chain", word(format!("choice.way.chain.{chain}"))),
    );
    let covers = context.yes(Subject::SITE, "way.covers");
    if chain.contains("_then_") {
        context.text(Subject::SITE, "way.change_over");
    }
    match covers {
        None => item.wait(),
        Some(true) => item.holds(true, "way.chosen.covered"),
        Some(false) => item.holds(false, "way.chosen.gap"),
    }
}

/// On edge only where the maker and the carrier allow it.
fn edge(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    let chosen = context.optionally(|| context.choice(Subject::SITE, "way.attitude"));
    if chosen.as_deref() != Some("on_edge") {
        return item.not_needed("way.chosen.flat");
    }
    let maker = context
        .spa()
        .attitudes
        .contains(&setdown_types::spa::Attitude::OnEdge);
    if !maker {
        return item.holds(false, "way.chosen.maker_forbids_edge");
    }
    match context.yes(Subject::SITE, "way.carrier_allows_edge") {
        None => item.wait(),
        Some(true) => item.holds(true, "way.chosen.edge_allowed"),
        Some(false) => item.holds(false, "way.chosen.carrier_forbids_edge"),
    }
}

/// One link: short where it is short and holds the whole job by itself; while it is open, tight, or short in a way that
/// can be put right, this check waits for it.
fn link_item(context: &Context<'_>, link: &Check) {
    let outcome = context.outcome_of(link.key);
    if outcome == Some(Outcome::NotNeeded) {
        return;
    }
    let mut item = context.item(Subject::SITE);
    item.about("link", word(format!("check.{}", link.key)));
    match outcome {
        Some(Outcome::Clear | Outcome::ClearAttested) => {
            item.holds(true, "way.chosen.link_clear");
        }
        Some(Outcome::Short) if link.stopper => item.holds(false, "way.chosen.link_short"),
        Some(Outcome::Short) => item.open("way.chosen.link_to_put_right"),
        Some(Outcome::Tight) => item.open("way.chosen.link_tight"),
        _ => item.open("way.chosen.link_open"),
    }
}

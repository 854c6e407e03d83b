//! `cover.kind`: the people of the house can handle the cover chosen. Whether it has room is `spot.cover`'s.

use setdown_types::spa::CoverKind;
use setdown_types::subject::Subject;

use crate::checks::fact::fact;
use crate::frame::context::Context;
use crate::frame::result::{Arg, Line};
use crate::tables::{Source, Status};

/// People that hard sections take: common practice, no source.
const PEOPLE_FOR_SECTIONS: u32 = 2;

/// The cover chosen, as the spec sheet names its kind.
pub(super) const fn kind_key(kind: CoverKind) -> &'static str {
    match kind {
        CoverKind::Sectional => "sectional",
        CoverKind::Rolled => "rolled",
        CoverKind::LiftingRoof => "lifting_roof",
    }
}

/// Sections: a dry place for them and two people to carry them. Rolled: one person can roll it. A lifting roof: its posts
/// stand on the base and it is worked by key. Source: spec sheet; common practice, no source.
pub fn kind(context: &Context<'_>) {
    context.cite(Source::published(
        "spec sheet of the unit",
        "covers",
        "",
        Status::Read,
    ));
    context.cite(Source::common_practice());
    context.caution("caution.drowning");
    let item = context.item(Subject::SITE);
    let Some(chosen) = context.choice(Subject::SITE, "cover.kind") else {
        return item.wait();
    };
    let covers = &context.spa().covers;
    if !covers.iter().any(|sheet| kind_key(sheet.kind) == chosen) {
        return item.open("cover.kind.not_on_sheet");
    }
    item.holds(true, "cover.kind.on_sheet");
    match chosen.as_str() {
        "sectional" => {
            fact(
                context,
                "cover.dry_place",
                "cover.kind.dry_place",
                "cover.kind.no_dry_place",
            );
            people(context);
        }
        "rolled" => {
            fact(
                context,
                "cover.one_person",
                "cover.kind.one_person",
                "cover.kind.not_one_person",
            );
        }
        _ => {
            fact(
                context,
                "cover.posts_on_base",
                "cover.kind.posts_on_base",
                "cover.kind.posts_off_base",
            );
            fact(
                context,
                "cover.keyed",
                "cover.kind.keyed",
                "cover.kind.not_keyed",
            );
        }
    }
}

fn people(context: &Context<'_>) {
    let item = context.item(Subject::SITE);
    let Some(people) = context.count(Subject::SITE, "cover.people") else {
        return item.wait();
    };
    let enough = people >= PEOPLE_FOR_SECTIONS;
    let reason = if enough {
        "cover.kind.enough_people"
    } else {
        "cover.kind.too_few_people"
    };
    item.holds_with(
        enough,
        Line::new(reason)
            .with("people", Arg::Count(i64::from(people)))
            .with("needed", Arg::Count(i64::from(PEOPLE_FOR_SECTIONS))),
    );
}

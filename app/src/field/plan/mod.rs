//! The yard plan: what it is made of, what does not fit, and the drawing. Points are named here and chosen by touch;
//! numbers are typed on the question's own screen.

mod findings;
mod lists;
mod missing;
mod page;
mod reading;

pub use missing::Missing;
pub use page::PlanPage;
pub use reading::{YardPlan, is_judged, metres, yard_plan};

use std::cell::Cell;
use std::sync::Arc;

use leptos::prelude::*;
use setdown_types::question::{AnswerKind, Question};
use setdown_types::site::StreamKey;
use setdown_types::subject::SubjectKind;

use super::on_site::OnSite;
use crate::parts::entries::YardPicks;
use crate::words::subject_name;

thread_local! {
    static FROM_PLAN: Cell<bool> = const { Cell::new(false) };
}

/// Notes whether the person works on the plan or walks: where a question of the plan leads back to follows from it.
pub fn came_from_plan(plan: bool) {
    FROM_PLAN.set(plan);
}

/// Whether a question leads back to the plan's own screen. Of a leg or gate that is come to from there all that is still
/// open is asked while somebody stands at it, then the plan is back.
pub fn leads_to_plan(key: &StreamKey) -> bool {
    let kind = key.subject.kind;
    let listed = is_drawn_kind(kind) || matches!(kind, SubjectKind::Leg | SubjectKind::Opening);
    let asked_there = key.question.starts_with("plan.")
        || matches!(
            key.question.as_str(),
            "way.legs_listed" | "way.openings_listed" | "way.turns_listed"
        );
    FROM_PLAN.get() && (listed || asked_there)
}

/// Whether things of this kind are drawn, so that the plan lists them and not the walk.
pub const fn is_drawn_kind(kind: SubjectKind) -> bool {
    matches!(
        kind,
        SubjectKind::PlanPoint | SubjectKind::Tie | SubjectKind::PlanLine | SubjectKind::PlanThing
    )
}

/// The plan as it stands on this phone, worked out once per version of the site.
pub fn plan_of(on_site: OnSite) -> Memo<Option<Arc<YardPlan>>> {
    Memo::new(move |_| {
        let now = on_site.assessed()?;
        yard_plan(&now).map(Arc::new)
    })
}

/// What a question about points is answered from; `None` for any other question.
pub fn yard_picks(on_site: OnSite, question: &Question) -> Option<YardPicks> {
    let of = match question.kind {
        AnswerKind::Points { of, .. } => of,
        AnswerKind::Tie => SubjectKind::PlanPoint,
        _ => return None,
    };
    let plan = plan_of(on_site);
    let things = Memo::new(move |_| {
        let now = on_site.assessed()?;
        let all = now.site.subjects(of).iter();
        Some(
            all.map(|thing| (thing.id, subject_name(&now.site, *thing)))
                .collect::<Vec<_>>(),
        )
    });
    Some(YardPicks {
        sketch: Signal::derive(move || {
            plan.get()
                .map(|plan| Arc::clone(&plan.sketch))
                .unwrap_or_default()
        }),
        things: Signal::derive(move || things.get().unwrap_or_default()),
    })
}

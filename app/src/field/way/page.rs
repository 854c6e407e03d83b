//! The way's own screen: the verdict first, then the drawing to play, then what the crew does.

use std::sync::Arc;

use leptos::prelude::*;
use setdown_rules::motion::Certified;
use setdown_rules::motion::answer::Verdict as Proved;
use setdown_rules::plan::ledger::{Wanted, wanted};

use super::limits::OtherSizes;
use super::moves::{Moves, Pinches};
use super::verdict::Verdict;
use crate::field::address;
use crate::field::frame::{FieldFrame, print, with_site};
use crate::field::on_site::OnSite;
use crate::field::plan::{Missing, YardPlan, came_from_plan, is_judged, plan_of};
use crate::parts::plan_drawing::{PlanDrawing, Playback, Played};
use crate::parts::{CautionList, cautions_of};
use crate::words::word;

/// The way in of a site.
#[component]
pub fn WayPage() -> impl IntoView {
    with_site(|on_site| view! { <WayIn on_site/> }.into_any())
}

/// What the screen's parts read.
#[derive(Clone, Copy)]
pub struct Shown {
    /// The site.
    pub on_site: OnSite,
    /// The plan.
    pub plan: Memo<Option<Arc<YardPlan>>>,
    /// The question to the solver; `None` while the plan does not settle it.
    pub wanted: Memo<Option<Wanted>>,
    /// Its answer, once the check rests on it: while the check is open for another reason, nothing is told as proved.
    pub certified: Memo<Option<Arc<Certified>>>,
}

impl Shown {
    fn new(on_site: OnSite) -> Self {
        let wanted = Memo::new(move |_| wanted(&on_site.assessed()?.input()));
        let ways = on_site.device.way().ways();
        let certified = Memo::new(move |_| {
            on_site.assessed().filter(|now| is_judged(now))?;
            ways.with(|ways| ways.get(&wanted.get()?.digest).cloned())
        });
        Self {
            on_site,
            plan: plan_of(on_site),
            wanted,
            certified,
        }
    }

    /// Whether a way was proved.
    pub fn has_way(self) -> bool {
        self.certified.with(|certified| {
            certified
                .as_ref()
                .is_some_and(|one| one.answer.verdict == Proved::Route)
        })
    }
}

#[component]
fn WayIn(on_site: OnSite) -> impl IntoView {
    came_from_plan(true);
    let shown = Shown::new(on_site);
    let sketch = Signal::derive(move || {
        shown
            .plan
            .get()
            .map(|plan| Arc::clone(&plan.sketch))
            .unwrap_or_default()
    });
    let drawable = Memo::new(move |_| {
        sketch.with(|sketch| sketch.plan.truck_stand.is_some() || !sketch.plan.barriers.is_empty())
    });
    let Played {
        track,
        share,
        moment,
    } = Played::of(sketch);
    let cautions = move || {
        let keys = shown
            .on_site
            .assessed()
            .map(|now| cautions_of(|key| now.check(key)));
        view! { <CautionList keys=keys.unwrap_or_default()/> }
    };
    let bottom = move || {
        view! {
            <a class="button" href=address::plan(on_site)>{word("plan.title")}</a>
            <button type="button" class="button primary grow" on:click=move |_| print()>{word("way.print")}</button>
        }
        .into_any()
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name()) bottom=bottom>
            <h1>{word("way.title")}</h1>
            <Verdict shown/>
            <Missing on_site/>
            <Show when=move || drawable.get()>
                <PlanDrawing sketch=sketch moment=moment/>
            </Show>
            <Show when=move || track.with(|track| !track.samples.is_empty())>
                <Playback track=Signal::from(track) share/>
            </Show>
            <Pinches shown/>
            <Moves shown track share/>
            <OtherSizes shown/>
            {cautions}
            <details class="fold">
                <summary><h2>{word("way.proved.title")}</h2></summary>
                <p>{word("way.proved.means")}</p>
                <p>{word("way.proved.means_not")}</p>
            </details>
        </FieldFrame>
    }
}

//! What each party must do next.

use leptos::prelude::*;
use setdown_rules::frame::result::Task;
use setdown_types::party::Party;

use super::address;
use super::frame::{FieldFrame, with_site};
use super::on_site::OnSite;
use crate::parts::{Folds, preferences};
use crate::words::{Wording, word};

/// The tasks by party.
#[component]
pub fn Tasks() -> impl IntoView {
    with_site(|on_site| view! { <TaskList on_site/> }.into_any())
}

/// The key of a party, for words.
const fn party_key(party: Party) -> &'static str {
    match party {
        Party::Coordinator => "coordinator",
        Party::Homeowner => "homeowner",
        Party::Office => "office",
        Party::Electrician => "electrician",
        Party::Groundworks => "groundworks",
        Party::CraneOperator => "crane_operator",
        Party::DeliveryCrew => "delivery_crew",
    }
}

#[component]
fn TaskList(on_site: OnSite) -> impl IntoView {
    let folds = Folds::default();
    let lists = move || {
        let now = on_site.assessed()?;
        let assessment = now.assessment();
        let wording = Wording::new(preferences::system(), &now.site);
        let blocks = Party::ALL
            .into_iter()
            .filter_map(|party| {
                let mine: Vec<&Task> = assessment
                    .tasks
                    .iter()
                    .filter(|task| task.party == party)
                    .collect();
                let rows = mine
                    .iter()
                    .map(|task| row(on_site, task, &wording))
                    .collect_view();
                let key = party_key(party);
                (!mine.is_empty()).then(|| {
                    view! {
                        <details class="fold" open=folds.is_open(key, party == Party::Coordinator)
                            on:toggle:target=move |event| folds.put(key, event.target().open())>
                            <summary>
                                <span>{word(&format!("party.{}", party_key(party)))}</span>
                                <span class="badge number">{mine.len()}</span>
                            </summary>
                            <ul class="plain">{rows}</ul>
                        </details>
                    }
                })
            })
            .collect_view();
        Some(blocks)
    };
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=address::site(on_site)
            title=Signal::derive(move || on_site.name())>
            <h1>{word("tasks.title")}</h1>
            {lists}
        </FieldFrame>
    }
}

fn row(on_site: OnSite, task: &Task, wording: &Wording<'_>) -> AnyView {
    let words = wording.line(&task.line);
    let unlocks = task.unlocks.first().map(|point| {
        format!(
            "{} {}",
            word("tasks.unlocks"),
            word(&format!("hold_point.{}", point.key()))
        )
    });
    let stopper = task
        .stopper
        .then(|| view! { <span class="badge">{word("tasks.stopper")}</span> });
    let inside = view! {
        <span class="line-title">{words}</span>
        <span class="quiet">{unlocks}</span>
        {stopper}
    };
    match task.streams.first() {
        Some(stream) => {
            view! { <li><a class="line-link" href=address::ask(on_site, stream)>{inside}</a></li> }
                .into_any()
        }
        None => view! { <li><span class="line-link">{inside}</span></li> }.into_any(),
    }
}

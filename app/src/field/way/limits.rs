//! Other sizes: the longest and the widest unit that would pass, and one size tried.

use leptos::prelude::*;
use setdown_rules::motion::largest::Measured;
use setdown_rules::plan::ledger::Wanted;

use super::page::Shown;
use crate::device::Working;
use crate::parts::moves_text::length;
use crate::parts::other_sizes_text::{
    limit_asked, limit_text, tried_text, try_asked, typed_inches,
};
use crate::parts::preferences;
use crate::words::{filled, word};

/// Longest, widest, and a length of one's own; there once the way is answered.
#[component]
pub fn OtherSizes(
    /// What is shown.
    shown: Shown,
) -> impl IntoView {
    view! {
        <Show when=move || shown.certified.with(Option::is_some)>
            <section class="other-sizes">
                <h2>{word("way.sizes")}</h2>
                <p class="quiet">{word("way.sizes.about")}</p>
                <LimitOf shown measured=Measured::Length/>
                <LimitOf shown measured=Measured::Width/>
                <TryLength shown/>
            </section>
        </Show>
    }
}

/// One side's limit: a button, then what was found.
#[component]
fn LimitOf(shown: Shown, measured: Measured) -> impl IntoView {
    let way = shown.on_site.device.way();
    let working = way.working();
    let busy = move || working.with(|working| *working == Working::AtLargest(measured));
    let search = move |_| {
        if let Some(wanted) = shown.wanted.get_untracked() {
            way.search(&wanted, measured);
        }
    };
    let found = move || {
        let wanted = shown.wanted.get()?;
        let extent = way.limit(&wanted, measured)?;
        let text = limit_text(measured, extent, wanted.demanded, preferences::system());
        Some(view! { <p class="number" role="status">{text}</p> })
    };
    let failed = move || {
        let why = way.search_failed(&shown.wanted.get()?, measured)?;
        Some(view! { <p class="notice error" role="alert">{why}</p> })
    };
    view! {
        <div class="limit">
            {found}
            {move || if busy() {
                view! {
                    <p>{word("way.work.searching")}</p>
                    <button type="button" class="button" on:click=move |_| way.call_off()>{word("way.work.call_off")}</button>
                }.into_any()
            } else {
                view! {
                    {failed}
                    <button type="button" class="button" on:click=search>{limit_asked(measured)}</button>
                }.into_any()
            }}
        </div>
    }
}

/// A unit of another length tried on the same way. Nothing is recorded.
#[component]
fn TryLength(shown: Shown) -> impl IntoView {
    let way = shown.on_site.device.way();
    let text = RwSignal::new(String::new());
    let tried = RwSignal::new(None::<(f64, Result<Wanted, String>)>);
    let typed = Memo::new(move |_| typed_inches(&text.get(), preferences::system()));
    let go = move |_| {
        let question = shown.wanted.get_untracked().zip(typed.get_untracked());
        let Some((wanted, inches)) = question else {
            return;
        };
        let question = wanted
            .with_length(inches)
            .map_err(|fault| filled("way.work.fault", &[("fault", &fault.to_string())]));
        tried.set(Some((inches, question.clone())));
        if let Ok(question) = question {
            way.begin_unless_known(question);
        }
    };
    let trying = move || {
        let tried = tried.get();
        tried.is_some_and(|(_, question)| {
            question.is_ok_and(|question| {
                matches!(way.working_at(&question.digest), Working::At { .. })
            })
        })
    };
    let ways = way.ways();
    let outcome = move || {
        let (inches, question) = tried.get()?;
        let question = match question {
            Ok(question) => question,
            Err(why) => return Some(why),
        };
        let answer = ways.with(|ways| {
            ways.get(&question.digest)
                .map(|certified| certified.answer.clone())
        });
        if let Some(answer) = answer {
            let bounds = (answer.lower, answer.upper);
            let demanded = question.demanded;
            return Some(tried_text(inches, bounds, demanded, preferences::system()));
        }
        Some(match way.working_at(&question.digest) {
            Working::Failed { why, .. } => why,
            Working::At { .. } => filled("way.try.working", &[("size", &length(inches))]),
            _ => word("way.work.called_off"),
        })
    };
    view! {
        <div class="limit">
            <label class="field">
                <span>{word("way.try.label")}</span>
                <input type="text" class="number" autocomplete="off" prop:value=move || text.get()
                    on:input=move |event| text.set(event_target_value(&event))/>
            </label>
            <button type="button" class="button" prop:disabled=move || typed.get().is_none() on:click=go>
                {move || try_asked(typed.get(), preferences::system())}
            </button>
            <p class="number" role="status">{outcome}</p>
            <Show when=trying>
                <button type="button" class="button" on:click=move |_| way.call_off()>{word("way.work.call_off")}</button>
            </Show>
        </div>
    }
}

//! Other sizes: the longest and the widest unit that would pass, and one size tried.

use leptos::prelude::*;
use serde_json::Value;
use setdown_rules::motion::answer::Verdict as Proved;
use setdown_rules::motion::{canonical_text, scene_digest};
use setdown_rules::plan::ledger::Wanted;
use setdown_types::quantity::text::{Understood, parse_length};
use setdown_types::quantity::{Unit, UnitSystem};

use super::page::Shown;
use super::verdict::length;
use crate::device::{Largest, Working};
use crate::field::plan::basis;
use crate::parts::preferences;
use crate::words::{filled, word};

/// Longest, widest, and a length of one's own; there once the way is answered.
#[component]
pub fn OtherSizes(
    /// What is shown.
    shown: Shown,
) -> impl IntoView {
    // The ends of a plan of legs are laid out for this unit: another length would find them closed.
    let taped = Memo::new(move |_| {
        let now = shown.on_site.assessed();
        now.is_some_and(|now| basis(&now.site).as_deref() == Some("tapes"))
    });
    view! {
        <Show when=move || taped.get() && shown.certified.with(Option::is_some)>
            <section class="other-sizes">
                <h2>{word("way.sizes")}</h2>
                <p class="quiet">{word("way.sizes.about")}</p>
                <LimitOf shown largest=Largest::Longest/>
                <LimitOf shown largest=Largest::Widest/>
                <TryLength shown/>
            </section>
        </Show>
    }
}

/// One side's limit: a button, then what was found.
#[component]
fn LimitOf(shown: Shown, largest: Largest) -> impl IntoView {
    let way = shown.on_site.device.way();
    let working = way.working();
    let key = match largest {
        Largest::Longest => "longest",
        Largest::Widest => "widest",
    };
    let busy = move || working.with(|working| *working == Working::AtLargest(largest));
    let search = move |_| {
        if let Some(wanted) = shown.wanted.get_untracked() {
            way.search(&wanted, largest);
        }
    };
    let found = move || {
        let digest = shown.wanted.get()?.digest;
        let extent = way.limit(&digest, largest)?;
        let passes = extent
            .passes
            .map(|size| filled(&format!("way.{key}.passes"), &[("size", &length(size))]));
        let fails = extent
            .fails
            .map(|size| filled(&format!("way.{key}.fails"), &[("size", &length(size))]));
        let passes = passes.unwrap_or_else(|| word(&format!("way.{key}.none")));
        Some(view! { <p class="number" role="status">{passes} " " {fails}</p> })
    };
    let failed = move || {
        let why = way.search_failed(&shown.wanted.get()?.digest, largest)?;
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
                    <button type="button" class="button" on:click=search>{word(&format!("way.{key}.ask"))}</button>
                }.into_any()
            }}
        </div>
    }
}

/// The same question for a unit of another length.
fn with_length(wanted: &Wanted, inches: f64) -> Option<Wanted> {
    let mut scene: Value = serde_json::from_str(&wanted.scene_text).ok()?;
    *scene.get_mut("unit")?.get_mut("L")? = Value::from(inches);
    let scene_text = canonical_text(&scene);
    Some(Wanted {
        digest: scene_digest(&scene_text, wanted.resolution),
        scene_text,
        resolution: wanted.resolution,
    })
}

/// A length as typed, in inches.
fn inches(text: &str, system: UnitSystem) -> Option<f64> {
    let bare = match system {
        UnitSystem::Us => Unit::Inch,
        UnitSystem::Metric => Unit::Centimetre,
    };
    match parse_length(text, Some(bare)).ok()? {
        Understood::One(length) => Some(length.metres() / crate::field::plan::metres(1.0)),
        Understood::Ambiguous(_) => None,
    }
}

/// A unit of another length tried on the same way. Nothing is recorded.
#[component]
fn TryLength(shown: Shown) -> impl IntoView {
    let way = shown.on_site.device.way();
    let text = RwSignal::new(String::new());
    let tried = RwSignal::new(None::<(f64, Wanted)>);
    let typed = Memo::new(move |_| {
        inches(&text.get(), preferences::system()).filter(|inches| *inches > 0.0)
    });
    let go = move |_| {
        let question = shown.wanted.get_untracked().zip(typed.get_untracked());
        if let Some((question, inches)) =
            question.and_then(|(wanted, inches)| Some((with_length(&wanted, inches)?, inches)))
        {
            tried.set(Some((inches, question.clone())));
            way.begin_unless_known(question);
        }
    };
    let trying = move || {
        let tried = tried.get();
        tried.is_some_and(|(_, question)| {
            matches!(way.working_at(&question.digest), Working::At { .. })
        })
    };
    let ways = way.ways();
    let outcome = move || {
        let (inches, question) = tried.get()?;
        let answer = ways.with(|ways| {
            ways.get(&question.digest)
                .map(|certified| certified.answer.clone())
        });
        let size = length(inches);
        let Some(answer) = answer else {
            return Some(match way.working_at(&question.digest) {
                Working::Failed { why, .. } => why,
                Working::At { .. } => filled("way.try.working", &[("size", &size)]),
                _ => word("way.work.called_off"),
            });
        };
        let room = answer
            .lower
            .filter(|lower| *lower >= 0.0)
            .map(length)
            .unwrap_or_default();
        let key = match answer.verdict {
            Proved::Route => "way.try.route",
            Proved::NoRoute => "way.try.no_route",
            Proved::Undecided => "way.try.undecided",
        };
        Some(filled(key, &[("size", &size), ("room", &room)]))
    };
    view! {
        <div class="limit">
            <label class="field">
                <span>{word("way.try.label")}</span>
                <input type="text" class="number" autocomplete="off" prop:value=move || text.get()
                    on:input=move |event| text.set(event_target_value(&event))/>
            </label>
            <button type="button" class="button" prop:disabled=move || typed.get().is_none() on:click=go>
                {move || typed.get().map_or_else(|| word("way.try.ask"), |inches| filled("way.try.ask_size", &[("size", &length(inches))]))}
            </button>
            <p class="number" role="status">{outcome}</p>
            <Show when=trying>
                <button type="button" class="button" on:click=move |_| way.call_off()>{word("way.work.call_off")}</button>
            </Show>
        </div>
    }
}

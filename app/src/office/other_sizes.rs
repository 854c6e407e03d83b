//! Other sizes of the unit on the way in, asked of the server: the longest, the widest, one length tried.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_rules::motion::largest::Measured;
use setdown_rules::plan::ledger::Demanded;

use super::calls::ask_other_size;
use super::frame::system;
use super::loaded::on_site;
use super::marks::Trouble;
use super::messages::{OfficeError, SizeAnswer, SizeAsked};
use crate::parts::other_sizes_text::{
    limit_asked, limit_text, tried_text, try_asked, typed_inches,
};
use crate::words::word;

/// What was asked last of one kind, and what came of it.
#[derive(Clone, Copy)]
struct Asking {
    busy: RwSignal<bool>,
    /// With the answer to the way in that it belongs to: a changed yard has no answer yet.
    answer: RwSignal<Option<(String, SizeAsked, SizeAnswer)>>,
    error: RwSignal<Option<OfficeError>>,
    /// The digest of the way in shown.
    way: Memo<Option<String>>,
    demanded: Memo<Option<Demanded>>,
}

impl Asking {
    fn new() -> Self {
        let on = on_site();
        Self {
            busy: RwSignal::new(false),
            answer: RwSignal::new(None),
            error: RwSignal::new(None),
            way: on.part(|loaded| loaded.view.way.as_ref().map(|way| way.scene.clone())),
            demanded: on.part(|loaded| loaded.view.demanded),
        }
    }

    fn ask(self, asked: SizeAsked) {
        let site = on_site().id;
        let Some(way) = self.way.get_untracked() else {
            return;
        };
        self.busy.set(true);
        self.error.set(None);
        spawn_local(async move {
            match ask_other_size(site, way.clone(), asked).await {
                Ok(answer) => drop(self.answer.try_set(Some((way, asked, answer)))),
                Err(error) => drop(self.error.try_set(Some(error))),
            }
            self.busy.try_set(false);
        });
    }

    /// The answer in words, while it belongs to the yard on screen.
    fn text(self) -> Option<String> {
        let (way, asked, answer) = self.answer.get()?;
        let system = system().get();
        (self.way.get()? == way).then_some(())?;
        let demanded = self.demanded.get()?;
        match (asked, answer) {
            (SizeAsked::Largest(measured), SizeAnswer::Limit(extent)) => {
                Some(limit_text(measured, extent, demanded, system))
            }
            (SizeAsked::Length(inches), SizeAnswer::Tried { lower, upper }) => {
                Some(tried_text(inches, (lower, upper), demanded, system))
            }
            _ => None,
        }
    }

    fn view(self) -> impl IntoView {
        let error = self.error;
        view! {
            <p class="number" role="status">{move || {
                if self.busy.get() { Some(word("way.work.searching")) } else { self.text() }
            }}</p>
            <Trouble error/>
        }
    }
}

/// Longest, widest, and a length of one's own.
#[component]
pub fn OtherSizes() -> impl IntoView {
    view! {
        <section class="stack other-sizes">
            <h3>{word("way.sizes")}</h3>
            <p class="quiet">{word("way.sizes.about")}</p>
            <LimitOf measured=Measured::Length/>
            <LimitOf measured=Measured::Width/>
            <TryLength/>
        </section>
    }
}

#[component]
fn LimitOf(measured: Measured) -> impl IntoView {
    let asking = Asking::new();
    view! {
        <div class="limit">
            <button type="button" class="button" disabled=move || asking.busy.get()
                on:click=move |_| asking.ask(SizeAsked::Largest(measured))>{limit_asked(measured)}</button>
            {asking.view()}
        </div>
    }
}

#[component]
fn TryLength() -> impl IntoView {
    let asking = Asking::new();
    let system = system();
    let text = RwSignal::new(String::new());
    let typed = Memo::new(move |_| typed_inches(&text.get(), system.get()));
    let go = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        if let Some(inches) = typed.get_untracked() {
            asking.ask(SizeAsked::Length(inches));
        }
    };
    view! {
        <form class="limit" on:submit=go>
            <label class="field">
                <span>{word("way.try.label")}</span>
                <input type="text" class="number" autocomplete="off" prop:value=move || text.get()
                    on:input=move |event| text.set(event_target_value(&event))/>
            </label>
            <button type="submit" class="button" disabled=move || asking.busy.get() || typed.get().is_none()>
                {move || try_asked(typed.get(), system.get())}
            </button>
            {asking.view()}
        </form>
    }
}

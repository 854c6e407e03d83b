//! What stands round every office screen: where one can go, the units, who is signed in.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::quantity::UnitSystem;

use crate::device::Device;
use crate::parts::preferences::{preferences, set_system};
use crate::words::word;

/// The bar on top and the screen below it.
#[component]
pub fn OfficeFrame(
    /// The screen.
    children: Children,
) -> impl IntoView {
    view! {
        <header class="bar top office-bar">
            <nav class="row" aria-label=word("office.nav")>
                <a class="office-home" href="/office">{word("office.sites")}</a>
                <a href="/office/new">{word("office.new_site")}</a>
            </nav>
            <div class="row">
                <UnitSwitch/>
                <Who/>
            </div>
        </header>
        <main class="screen wide stack office">{children()}</main>
    }
}

/// US units or metric.
#[component]
fn UnitSwitch() -> impl IntoView {
    let system = preferences().system;
    let chip = move |wanted: UnitSystem, key: &str| {
        let system = system.clone();
        let pressed = {
            let system = system.clone();
            move || (system.get() == wanted).to_string()
        };
        view! {
            <button type="button" class="chip" aria-pressed=pressed on:click=move |_| set_system(wanted)>{word(key)}</button>
        }
    };
    view! {
        <div class="row" role="group" aria-label=word("office.units")>
            {chip(UnitSystem::Us, "office.units_us")}
            {chip(UnitSystem::Metric, "office.units_metric")}
        </div>
    }
}

/// Who is signed in on this browser, with the way out.
#[component]
fn Who() -> impl IntoView {
    let device = RwSignal::new(None::<Device>);
    spawn_local(async move {
        if let Ok(opened) = Device::open().await {
            device.try_set(Some(opened));
        }
    });
    let note = RwSignal::new(None::<String>);
    let name = move || {
        device
            .get()
            .and_then(|device| device.session().get())
            .map(|session| session.name)
    };
    let sign_out = move |_| {
        let Some(device) = device.get_untracked() else {
            return;
        };
        spawn_local(async move {
            match device.sign_out(false).await {
                Ok(()) => {
                    let _ = window().location().assign("/sign-in?to=/office");
                }
                Err(error) => {
                    note.try_set(Some(error.to_string()));
                }
            }
        });
    };
    view! {
        {move || name().map(|name| view! {
            <span class="quiet">{name}</span>
            <button type="button" class="button" on:click=sign_out>{word("office.sign_out")}</button>
        })}
        <span role="status">{move || note.get()}</span>
    }
}

/// Units shown, tracked.
pub fn system() -> Signal<UnitSystem> {
    let system = preferences().system;
    Signal::derive(move || system.get())
}

//! Units, light, storage, export, signing out.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::quantity::UnitSystem;

use super::frame::{FieldFrame, age_text, state_text, with_device};
use crate::device::{Device, SyncStatus};
use crate::parts::preferences;
use crate::words::{filled, word};

/// The settings of this phone.
#[component]
pub fn Settings() -> impl IntoView {
    with_device(|device| view! { <SettingsPage device/> }.into_any())
}

#[component]
fn SettingsPage(device: Device) -> impl IntoView {
    view! {
        <FieldFrame device back="/field".to_owned() title=word("field.settings") says_who=true>
            <h1>{word("field.settings")}</h1>
            <Units/>
            <Light/>
            <Sending device/>
            <Keeping device/>
            <Leaving device/>
        </FieldFrame>
    }
}

#[component]
fn Units() -> impl IntoView {
    let chip = |system: UnitSystem, key: &'static str| {
        view! {
            <button
                type="button"
                class="chip"
                aria-pressed=move || (preferences::system() == system).to_string()
                on:click=move |_| preferences::set_system(system)
            >
                {word(key)}
            </button>
        }
    };
    view! {
        <fieldset class="card">
            <legend class="seen-by-readers-only">{word("settings.units")}</legend>
            <h2>{word("settings.units")}</h2>
            <div class="row">
                {chip(UnitSystem::Us, "settings.us")}
                {chip(UnitSystem::Metric, "settings.metric")}
            </div>
        </fieldset>
    }
}

#[component]
fn Light() -> impl IntoView {
    let outdoors = move || preferences::preferences().outdoors.get();
    let chip = move |wanted: bool, key: &'static str| {
        view! {
            <button
                type="button"
                class="chip"
                aria-pressed=move || (outdoors() == wanted).to_string()
                on:click=move |_| preferences::set_outdoors(wanted)
            >
                {word(key)}
            </button>
        }
    };
    view! {
        <fieldset class="card">
            <legend class="seen-by-readers-only">{word("settings.light")}</legend>
            <h2>{word("settings.light")}</h2>
            <div class="row">
                {chip(true, "settings.outdoors")}
                {chip(false, "settings.like_phone")}
            </div>
        </fieldset>
    }
}

#[component]
fn Sending(device: Device) -> impl IntoView {
    let status = device.status();
    let last = move |at: Option<i64>, key: &str, never: &str| match at {
        Some(at) => {
            let minutes = u64::try_from((device.now() - at) / 60_000).unwrap_or(0);
            filled(key, &[("age", &age_text(minutes))])
        }
        None => word(never),
    };
    view! {
        <section class="card">
            <h2>{word("settings.sending")}</h2>
            <p class="number">{move || status.with(state_text)}</p>
            <p class="quiet">{move || last(status.with(|status| status.last_push), "settings.last_push", "settings.never_push")}</p>
            <p class="quiet">{move || last(status.with(|status| status.last_pull), "settings.last_pull", "settings.never_pull")}</p>
            <button type="button" class="button" on:click=move |_| device.sync_now()>{word("settings.send_now")}</button>
        </section>
    }
}

fn storage_text(status: &SyncStatus) -> String {
    let kept = match status.persisted {
        Some(true) => word("settings.persisted"),
        Some(false) => word("settings.not_persisted"),
        None => word("settings.persist_not_asked"),
    };
    match status.storage {
        Some(room) => {
            let megabytes = |bytes: f64| format!("{:.0}", bytes / 1_000_000.0);
            let room = filled(
                "settings.room",
                &[
                    ("used", &megabytes(room.usage)),
                    ("room", &megabytes(room.quota)),
                ],
            );
            format!("{kept} {room}")
        }
        None => kept,
    }
}

#[component]
fn Keeping(device: Device) -> impl IntoView {
    let status = device.status();
    let said = RwSignal::new(String::new());
    let export = move |_| {
        spawn_local(async move {
            let text = match device.download_everything().await {
                Ok(()) => word("settings.exported"),
                Err(error) => error.to_string(),
            };
            let _ = said.try_set(text);
        });
    };
    view! {
        <section class="card">
            <h2>{word("settings.keeping")}</h2>
            <p>{move || status.with(storage_text)}</p>
            <button type="button" class="button" on:click=export>{word("settings.export")}</button>
            <p role="status">{move || said.get()}</p>
        </section>
    }
}

#[component]
fn Leaving(device: Device) -> impl IntoView {
    let session = device.session();
    let warning = RwSignal::new(String::new());
    let out = move |anyway: bool| {
        spawn_local(async move {
            match device.sign_out(anyway).await {
                Ok(()) => {
                    let _ = warning.try_set(String::new());
                }
                Err(error) => {
                    let _ = warning.try_set(error.to_string());
                }
            }
        });
    };
    view! {
        <section class="card">
            <h2>{word("settings.person")}</h2>
            {move || match session.get() {
                Some(session) => view! {
                    <p>{filled("sites.signed_in_as", &[("name", &session.name)])}</p>
                    <button type="button" class="button" on:click=move |_| out(false)>{word("settings.sign_out")}</button>
                }.into_any(),
                None => view! {
                    <p>{word("sites.not_signed_in")}</p>
                    <a class="button primary" href="/sign-in">{word("field.sign_in")}</a>
                }.into_any(),
            }}
            {move || (!warning.with(String::is_empty)).then(|| view! {
                <div class="notice" role="alert">
                    <p>{warning.get()}</p>
                    <button type="button" class="button danger" on:click=move |_| out(true)>
                        {word("settings.sign_out_anyway")}
                    </button>
                </div>
            })}
        </section>
    }
}

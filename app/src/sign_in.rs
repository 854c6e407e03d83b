//! The way in: the start screen at `/`, and the sign-in screen for coordinators and the office.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::hooks::{use_navigate, use_query_map};
use setdown_types::party::Role;

use crate::device::Device;
use crate::words::word;

/// Where to go from `/`.
#[component]
pub fn Start() -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>"Setdown"</h1>
            <p>{word("door.what")}</p>
            <a class="button primary" href="/field">{word("door.field")}</a>
            <a class="button" href="/office">{word("door.office")}</a>
            <p class="quiet">{word("door.homeowner")}</p>
        </main>
    }
}

/// Name and password: one form for coordinators and the office. Leads to where `to=` says, else to where the role works.
#[component]
pub fn SignIn() -> impl IntoView {
    let query = use_query_map();
    let navigate = use_navigate();
    let (name, password) = (RwSignal::new(String::new()), RwSignal::new(String::new()));
    let (busy, problem) = (RwSignal::new(false), RwSignal::new(None::<String>));
    let submit = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        if busy.get_untracked() {
            return;
        }
        if name.with_untracked(|name| name.trim().is_empty())
            || password.with_untracked(String::is_empty)
        {
            problem.set(Some(word("door.both_needed")));
            return;
        }
        let wanted = query
            .with_untracked(|query| query.get("to"))
            .filter(|to| leads_inside(to));
        let navigate = navigate.clone();
        busy.set(true);
        problem.set(None);
        spawn_local(async move {
            match sign_in(&name.get_untracked(), &password.get_untracked()).await {
                Ok(role) => navigate(&address(role, wanted), Default::default()),
                Err(reason) => {
                    problem.try_set(Some(reason));
                }
            }
            busy.try_set(false);
        });
    };
    view! {
        <main class="screen stack">
            <h1>{word("door.sign_in")}</h1>
            <form class="stack" novalidate on:submit=submit>
                <div class="field">
                    <label for="sign-in-name">{word("door.name")}</label>
                    <input id="sign-in-name" name="username" type="text" autocomplete="username" autocapitalize="none" spellcheck="false"
                        aria-describedby="sign-in-problem"
                        on:input:target=move |event| name.set(event.target().value())/>
                </div>
                <div class="field">
                    <label for="sign-in-password">{word("door.password")}</label>
                    <input id="sign-in-password" name="password" type="password" autocomplete="current-password"
                        aria-describedby="sign-in-problem"
                        on:input:target=move |event| password.set(event.target().value())/>
                </div>
                <div id="sign-in-problem" role="alert">
                    {move || problem.get().map(|text| view! { <p class="notice error">{text}</p> })}
                </div>
                <button type="submit" class="button primary" disabled=move || busy.get()>{word("door.sign_in")}</button>
            </form>
            <p class="quiet">{word("door.homeowner")}</p>
            <p class="quiet">{word("door.kept")}</p>
        </main>
    }
}

/// Signs in through this browser's store, which keeps who it is for the time without signal.
async fn sign_in(name: &str, password: &str) -> Result<Role, String> {
    let device = Device::open().await.map_err(|error| error.to_string())?;
    let session = device
        .sign_in(name.trim(), password)
        .await
        .map_err(|error| error.to_string())?;
    Ok(session.role)
}

/// Where somebody of this role goes: where they came from if that is theirs, else to their work.
fn address(role: Role, wanted: Option<String>) -> String {
    let home = match role {
        Role::Office => "/office",
        Role::Coordinator => "/field",
        Role::Homeowner => "/home",
    };
    // An office account may look at the field screens; a coordinator has no way into the office.
    wanted
        .filter(|to| role == Role::Office || !to.starts_with("/office"))
        .unwrap_or_else(|| home.to_owned())
}

/// Whether an address stays inside this app: nobody is led elsewhere by a prepared link.
fn leads_inside(to: &str) -> bool {
    to.starts_with('/')
        && !to.starts_with("//")
        && !to.contains('\\')
        && !to.chars().any(char::is_control)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn only_addresses_of_this_app_are_followed() {
        assert!(leads_inside("/office/0190?view=tasks"));
        for elsewhere in [
            "//elsewhere.example",
            "https://elsewhere.example",
            "/\\elsewhere.example",
            "",
            "office",
        ] {
            assert!(!leads_inside(elsewhere), "{elsewhere}");
        }
    }

    #[test]
    fn everybody_lands_where_they_work() {
        assert_eq!(address(Role::Coordinator, Some("/office".into())), "/field");
        assert_eq!(
            address(Role::Office, Some("/office/new".into())),
            "/office/new"
        );
        assert_eq!(address(Role::Coordinator, None), "/field");
    }
}

//! The office's screens: sites, readings, tasks and hold points at a desk.

use leptos::prelude::*;

/// The table of sites.
#[component]
pub fn Sites() -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>"Sites"</h1>
        </main>
    }
}

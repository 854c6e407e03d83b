//! The table of sites.

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

//! The homeowner's screens: a guided checklist, opened by an invitation link.

use leptos::prelude::*;

/// The homeowner's checklist and tasks.
#[component]
pub fn Start() -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>"Getting your yard ready"</h1>
            <p>"Open this page with the link you were sent."</p>
        </main>
    }
}

//! The coordinator's screens: a phone in a yard, often with no signal.

use leptos::prelude::*;

/// The sites taken along on this phone.
#[component]
pub fn Sites() -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>"Sites on this phone"</h1>
            <p>"No site is on this phone yet."</p>
        </main>
    }
}

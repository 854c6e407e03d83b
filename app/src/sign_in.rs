//! The way in: the start screen at `/`, and the sign-in screen.

use leptos::prelude::*;

/// Where to go from `/`.
#[component]
pub fn Start() -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>"Setdown"</h1>
            <p>"From sold to set down, in a yard that was ready for it."</p>
            <a class="button primary" href="/field">"Survey a site"</a>
            <a class="button" href="/office">"Office"</a>
        </main>
    }
}

/// Name and password.
#[component]
pub fn SignIn() -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>"Sign in"</h1>
        </main>
    }
}

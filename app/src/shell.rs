//! The one HTML document behind every address: no data, no inline script, the same bytes for everybody.

use leptos::prelude::*;

/// What changes in the shell from build to build.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct ShellAssets {
    /// The build's id, as the packer computed it over everything it packed.
    pub build: String,
    /// Address of the starting script.
    pub boot_script: String,
    /// Address of the style sheet.
    pub style: String,
}

/// Renders the shell to a complete HTML document.
pub fn shell_document(assets: &ShellAssets) -> String {
    let assets = assets.clone();
    let owner = Owner::new();
    let document = owner.with(move || Shell(ShellProps { assets }).to_html());
    format!("<!DOCTYPE html>{document}\n")
}

/// The document itself.
#[component]
fn Shell(assets: ShellAssets) -> impl IntoView {
    view! {
        <html lang="en">
            <head>
                <meta charset="utf-8"/>
                <meta name="viewport" content="width=device-width, initial-scale=1, viewport-fit=cover"/>
                <meta name="setdown-build" content=assets.build/>
                <meta name="theme-color" content="#FCFBF7"/>
                <meta name="color-scheme" content="light dark"/>
                <meta name="format-detection" content="telephone=no"/>
                <title>"Setdown"</title>
                <link rel="manifest" href="/manifest.webmanifest"/>
                <link rel="icon" href="/icons/setdown.svg" r#type="image/svg+xml"/>
                <link rel="apple-touch-icon" href="/icons/setdown-192.png"/>
                <link rel="stylesheet" href=assets.style/>
                <script r#type="module" src=assets.boot_script></script>
            </head>
            <body>
                <noscript>
                    <p class="notice">"Setdown needs JavaScript. Please switch it on for this page and load it again."</p>
                </noscript>
                <div id="app">
                    <p class="starting">"Opening Setdown"</p>
                </div>
            </body>
        </html>
    }
}

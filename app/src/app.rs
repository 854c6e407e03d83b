//! The app's root: mounts into the shell and shows the screen that the address asks for.

#[cfg(feature = "field")]
use crate::field::{self, Sites as FieldSites};
#[cfg(feature = "field")]
use crate::homeowner::Start as HomeownerStart;
#[cfg(feature = "desk")]
use crate::office::{NewSite, SitePage, Sites as OfficeSites};
use crate::parts::preferences::preferences;
use crate::routes::{self, Area, FoundRoute, RouteParameters, Screen};
use crate::sign_in::{SignIn, Start};
use crate::update::UpdateNotice;
use leptos::prelude::*;
use leptos_router::components::{FlatRoutes, Route, Router};
use leptos_router::hooks::use_location;
use leptos_router::path;

/// Mounts the whole app into the shell's `#app`, in place of its starting text, for the life of the page.
///
/// Does nothing but log where the document has no `#app`.
pub fn mount() {
    std::panic::set_hook(Box::new(|info| {
        console_error_panic_hook::hook(info);
        // public/boot.js answers with a readable text; a dead screen without one would read as lost work.
        if let (Some(window), Ok(event)) =
            (web_sys::window(), web_sys::Event::new("setdown-stopped"))
        {
            let _ = window.dispatch_event(&event);
        }
    }));
    let root = document().get_element_by_id("app").and_then(|element| {
        use wasm_bindgen::JsCast;
        element.dyn_into::<web_sys::HtmlElement>().ok()
    });
    match root {
        Some(root) => {
            root.set_inner_html("");
            leptos::mount::mount_to(root, App).forget();
        }
        None => leptos::logging::error!("the page has no #app to mount into"),
    }
}

/// The root component.
#[component]
pub fn App() -> impl IntoView {
    // One wildcard, because `routes::ROUTES` is the only table of addresses.
    view! {
        <Router>
            {cfg!(feature = "field").then(UpdateNotice)}
            <FlatRoutes fallback=NotFound>
                <Route path=path!("/*any") view=CurrentScreen/>
            </FlatRoutes>
        </Router>
    }
}

/// The named segments of the current address, as a signal, for screens that need them.
pub fn use_route_parameters() -> Memo<RouteParameters> {
    let location = use_location();
    Memo::new(move |_| {
        routes::find(&location.pathname.get())
            .map(|found| found.parameters)
            .unwrap_or_default()
    })
}

/// Shows the screen of the current address, rebuilt whenever the address finds another route or other segments.
#[component]
fn CurrentScreen() -> impl IntoView {
    let location = use_location();
    let found = Memo::new(move |_| routes::find(&location.pathname.get()));
    Effect::new(move |before: Option<()>| {
        mark_outdoors(found.get().map(|found| found.spec.area));
        request_animation_frame(move || name_screen(before.is_some()));
    });
    move || view_of(found.get())
}

/// The screen of one route.
fn view_of(found: Option<FoundRoute>) -> AnyView {
    let Some(found) = found else {
        return NotFound().into_any();
    };
    match found.spec.area {
        Area::Door => door_view(found.spec.screen),
        Area::Field | Area::Homeowner => field_view(found.spec.screen),
        Area::Office => desk_view(found.spec.screen),
    }
}

/// The screens that both bundles carry.
fn door_view(screen: Screen) -> AnyView {
    match screen {
        Screen::Start => Start().into_any(),
        Screen::SignIn => SignIn().into_any(),
        _ => NotFound().into_any(),
    }
}

/// The screens of coordinator and homeowner.
#[cfg(feature = "field")]
fn field_view(screen: Screen) -> AnyView {
    match screen {
        Screen::FieldSites => FieldSites().into_any(),
        Screen::FieldSettings => field::Settings().into_any(),
        Screen::FieldOverview => field::Overview().into_any(),
        Screen::FieldWalk => field::Walk().into_any(),
        Screen::FieldAsk => field::Ask().into_any(),
        Screen::FieldChecks => field::Checks().into_any(),
        Screen::FieldCheck => field::CheckPage().into_any(),
        Screen::FieldTasks => field::Tasks().into_any(),
        Screen::FieldHistory => field::History().into_any(),
        Screen::FieldNotes => field::Notes().into_any(),
        Screen::FieldPlan => field::PlanPage().into_any(),
        Screen::FieldWay => field::WayPage().into_any(),
        Screen::FieldDisagreements => field::Disagreements().into_any(),
        Screen::HomeownerStart => HomeownerStart().into_any(),
        _ => NotFound().into_any(),
    }
}

/// The screens of the office.
#[cfg(feature = "desk")]
fn desk_view(screen: Screen) -> AnyView {
    match screen {
        Screen::OfficeSites => OfficeSites().into_any(),
        Screen::OfficeNewSite => NewSite().into_any(),
        Screen::OfficeSite => SitePage().into_any(),
        _ => NotFound().into_any(),
    }
}

/// A screen of the other bundle.
#[cfg(not(feature = "field"))]
fn field_view(_: Screen) -> AnyView {
    OtherBundle().into_any()
}

/// A screen of the other bundle.
#[cfg(not(feature = "desk"))]
fn desk_view(_: Screen) -> AnyView {
    OtherBundle().into_any()
}

/// Opens the current address anew: public/boot.js loads the bundle that has its screen.
#[cfg(not(all(feature = "field", feature = "desk")))]
#[component]
fn OtherBundle() -> impl IntoView {
    let address = use_location();
    Effect::new(move |_| {
        let path = address.pathname.get_untracked() + &address.search.get_untracked();
        let _ = window().location().assign(&path);
    });
    view! {
        <main class="screen stack">
            <h1>"Opening Setdown"</h1>
        </main>
    }
}

/// Field screens are read in the sun: they stay light whatever the phone's theme says, unless the person prefers
/// otherwise.
fn mark_outdoors(area: Option<Area>) {
    let Some(root) = document().document_element() else {
        return;
    };
    let _ = match area {
        Some(Area::Field) if preferences().outdoors.get() => {
            root.set_attribute("data-outdoors", "")
        }
        _ => root.remove_attribute("data-outdoors"),
    };
}

/// Names the page after its screen's heading and, on a change of screen, puts the reader there, so that a screen
/// reader says where it is. Leaves the focus alone where the screen has already placed it.
fn name_screen(changed: bool) {
    use wasm_bindgen::JsCast;
    let Some(heading) = document().query_selector("#app h1").ok().flatten() else {
        return;
    };
    document().set_title(&format!(
        "{} - Setdown",
        heading.text_content().unwrap_or_default()
    ));
    let placed = document()
        .active_element()
        .is_some_and(|element| element.tag_name() != "BODY");
    if !changed || placed {
        return;
    }
    if let Some(heading) = heading.dyn_ref::<web_sys::HtmlElement>() {
        heading.set_tab_index(-1);
        let _ = heading.focus();
    }
}

/// What stands in for a screen when the address leads nowhere.
#[component]
fn NotFound() -> impl IntoView {
    view! {
        <main class="screen stack">
            <h1>"Nothing here"</h1>
            <p>"This address does not lead to a screen. Nothing was lost."</p>
            <a class="button primary" href="/">"Go to the start"</a>
        </main>
    }
}

//! What stands around every field screen: the way back, where I am, what is only on this phone, undo.

use std::sync::Arc;

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::{use_location, use_navigate};
use setdown_types::ids::SiteId;
use setdown_types::party::Role;

use super::address;
use super::on_site::{OnSite, SiteState};
use crate::device::{self, Device, Opening, SyncState, SyncStatus};
use crate::parts::{answer::shown, preferences};
use crate::routes::HOME;
use crate::words::{date_text, filled, question_title, word};

thread_local! {
    /// The last thing said: it outlives the screen that said it, because saving moves on to the next one.
    static SAID: ArcRwSignal<String> = ArcRwSignal::new(String::new());
}

/// Says something on the strip of this and the next screen.
pub fn say(text: impl Into<String>) {
    SAID.with(|said| said.set(text.into()));
}

/// Opens the browser's printing; where it has none, nothing happens.
pub fn print() {
    let _ = window().print();
}

fn said() -> String {
    SAID.with(Clone::clone).get()
}

/// Shows `screen` once the store is open, and says why where it does not open.
pub fn with_device(screen: impl Fn(Device) -> AnyView + Send + Sync + 'static) -> impl IntoView {
    let opening = device::opened();
    move || match opening.get() {
        Opening::Underway => view! { <p class="starting">{word("field.opening")}</p> }.into_any(),
        Opening::Failed(error) => view! {
            <main class="screen stack">
                <h1>{word("field.no_store")}</h1>
                <p class="notice error">{error.to_string()}</p>
            </main>
        }
        .into_any(),
        Opening::Open(device) => {
            lead_home(device);
            screen(device)
        }
    }
}

/// Leads a homeowner who came to a coordinator's address to their own screen.
fn lead_home(device: Device) {
    let session = device.session().get_untracked();
    if session.is_none_or(|session| session.role != Role::Homeowner) {
        return;
    }
    let path = use_location().pathname.get_untracked();
    if let Some(own) = crate::routes::at_home(&path) {
        let replace = NavigateOptions {
            replace: true,
            ..NavigateOptions::default()
        };
        use_navigate()(&own, replace);
    }
}

/// The site that the address names, else the one that whoever is here is invited to.
pub fn site_here(device: Device) -> Option<SiteId> {
    let parameters = crate::use_route_parameters().get_untracked();
    match parameters.get("site") {
        // Of another dealer's site that is on this phone nothing is shown, as in the list.
        Some(text) => SiteId::parse(text).filter(|site| device.may_open(*site)),
        None => device.session().get_untracked()?.site,
    }
}

/// What is shown of a site. One type for all screens: each would compile its own copy of all that takes one.
type SiteScreen = Arc<dyn Fn(OnSite) -> AnyView + Send + Sync>;

/// Shows `screen` of the site that the address names, once it is loaded; a new version of the site does not rebuild it.
pub fn with_site(screen: impl Fn(OnSite) -> AnyView + Send + Sync + 'static) -> AnyView {
    of_a_site(Arc::new(screen))
}

fn of_a_site(screen: SiteScreen) -> AnyView {
    with_device(move |device| {
        let screen = Arc::clone(&screen);
        anew_for_each_person(device, Arc::new(move || on_its_site(device, &screen)))
    })
    .into_any()
}

/// Builds a screen anew where another person comes in or goes in another tab: what is typed on it is whose who typed it,
/// and stays their draft.
pub fn anew_for_each_person(
    device: Device,
    screen: Arc<dyn Fn() -> AnyView + Send + Sync>,
) -> AnyView {
    let session = device.session();
    let person =
        Memo::new(move |_| session.with(|session| session.as_ref().map(|session| session.person)));
    let begun = StoredValue::new(person.get_untracked());
    let body = move || {
        let now = person.get();
        if now != begun.get_value() {
            begun.set_value(now);
            say("");
            lead_home(device);
        }
        screen()
    };
    view! { {body} }.into_any()
}

fn on_its_site(device: Device, screen: &SiteScreen) -> AnyView {
    let Some(id) = site_here(device) else {
        return NoSite().into_any();
    };
    let on_site = OnSite::new(device, id);
    // A new sheet that is still on its way takes no screen away from under somebody's hands.
    let kind = Memo::new(move |before: Option<&u8>| {
        let now = on_site.state.get().kind();
        let waits = before == Some(&SiteState::READY) && now == SiteState::NO_SHEET;
        if waits { SiteState::READY } else { now }
    });
    let screen = Arc::clone(screen);
    view! {
        {move || {
            // Read, not only tracked: a memo that nobody reads never learns what it depends on.
            let _ = kind.get();
            match on_site.state.get_untracked() {
                SiteState::Loading => view! { <p class="starting">{word("field.opening")}</p> }.into_any(),
                SiteState::NotHere => NoSite().into_any(),
                SiteState::NoSheet => view! { <NoSheet on_site/> }.into_any(),
                SiteState::Ready(_) => view! { <SheetOnItsWay on_site/> {screen(on_site)} }.into_any(),
            }
        }}
    }
    .into_any()
}

/// Says so while the sheet that a screen began with has been exchanged for one that is not here yet.
#[component]
fn SheetOnItsWay(on_site: OnSite) -> impl IntoView {
    view! {
        <Show when=move || on_site.state.get().kind() == SiteState::NO_SHEET>
            <p class="notice" role="status">{word("field.sheet_on_its_way")}</p>
        </Show>
    }
}

/// What stands in for a site that is not on this phone.
#[component]
pub fn NoSite() -> impl IntoView {
    let path = use_location().pathname.get_untracked();
    if path.starts_with(HOME) {
        return view! {
            <main class="screen stack">
                <h1>{word("home.title")}</h1>
                <p>{word("home.need_link")}</p>
            </main>
        }
        .into_any();
    }
    view! {
        <main class="screen stack">
            <h1>{word("field.no_site")}</h1>
            <p>{word("field.no_site_help")}</p>
            <a class="button primary" href="/field">{word("field.all_sites")}</a>
        </main>
    }
    .into_any()
}

#[component]
fn NoSheet(on_site: OnSite) -> impl IntoView {
    view! {
        <FieldFrame device=on_site.device on_site=Some(on_site) back=(!on_site.home_now()).then(|| "/field".to_owned())
            title=on_site.name()>
            <h1>{on_site.name()}</h1>
            <p class="notice">{word("field.no_sheet")}</p>
            <button type="button" class="button primary" on:click=move |_| on_site.device.sync_now()>
                {word("field.try_now")}
            </button>
            <a class="button" href=address::notes(on_site)>{word("field.notes")}</a>
        </FieldFrame>
    }
}

/// A field screen: on top what is only read (where I am, what is saved and sent), then what the screen shows, and at the
/// thumb all that is tapped: back, undo, and the screen's own bar.
#[component]
pub fn FieldFrame(
    /// The store.
    device: Device,
    /// The site, where the screen has one: for undo.
    #[prop(default = None)]
    on_site: Option<OnSite>,
    /// Where back leads; a screen that everything else hangs below has none.
    #[prop(default = None, into)]
    back: Option<String>,
    /// Where I am, short.
    #[prop(into)]
    title: Signal<String>,
    /// Where in the walk, where that is known.
    #[prop(optional, into)]
    position: Signal<String>,
    /// What the check says now, in one line between back and undo.
    #[prop(optional, into)]
    now: Option<ViewFn>,
    /// The bar at the thumb.
    #[prop(optional, into)]
    bottom: Option<ViewFn>,
    /// Whether the screen itself says that nobody is signed in, with the way to do so.
    #[prop(default = false)]
    says_who: bool,
    /// What the screen shows.
    children: Children,
) -> impl IntoView {
    let (has_back, has_now) = (back.is_some(), now.is_some());
    let has_foot = has_back || has_now || on_site.is_some() || bottom.is_some();
    view! {
        <div class="field-screen">
            <header class="bar top field-head">
                <p class="field-top">
                    <span class="where">{move || title.get()}</span>
                    <span class="position number">{move || position.get()}</span>
                </p>
                <Strip device/>
            </header>
            <Troubles device on_site says_who/>
            {on_site.map(|on_site| view! { <p class="print-only"><strong>{move || sheet_head(on_site)}</strong></p> })}
            <main class="screen stack field-main">{children()}</main>
            {has_foot.then(|| view! {
                <footer class="bar bottom field-foot">
                    {(has_back || has_now || on_site.is_some()).then(|| view! {
                        <div class="field-now">
                            {back.map(|back| view! { <Back back/> })}
                            <div class="grow">{now.map(|now| now.run())}</div>
                            {on_site.map(|on_site| view! { <Undo on_site/> })}
                        </div>
                    })}
                    {bottom.map(|bottom| view! { <div class="field-bottom">{bottom.run()}</div> })}
                </footer>
            })}
        </div>
    }
}

/// What a printed screen is about: the site, the unit, the day.
fn sheet_head(on_site: OnSite) -> String {
    let name = on_site.name();
    match on_site.assessed() {
        Some(now) => format!("{name}, {}, {}", now.spa.name, date_text(now.today)),
        None => name,
    }
}

/// The way back.
#[component]
fn Back(back: String) -> impl IntoView {
    view! {
        <a class="button back" href=back aria-label=word("field.back")>
            <svg viewBox="0 0 20 20" aria-hidden="true" class="glyph"><path d="M13 2L5 10L13 18"/></svg>
        </a>
    }
}

/// Saved and sent: what was said last, how many entries are only on this phone and how old the oldest is.
#[component]
fn Strip(device: Device) -> impl IntoView {
    let status = device.status();
    view! {
        <div class="strip">
            <p class="strip-said" role="status">{said}</p>
            <p class="strip-state number">{move || status.with(state_text)}</p>
        </div>
    }
}

/// Takes back what was saved last on a site.
#[component]
fn Undo(on_site: OnSite) -> impl IntoView {
    let busy = RwSignal::new(false);
    let undo = move |_| {
        busy.set(true);
        spawn_local(async move {
            let text = match on_site.device.undo_last(on_site.id).await {
                Ok(undone) => {
                    let question = question_title(&undone.question);
                    match &undone.restored {
                        Some(value) => {
                            let value = shown(
                                &undone.question,
                                value,
                                preferences::preferences().system.get_untracked(),
                            );
                            filled(
                                "strip.restored",
                                &[("question", &question), ("value", &value)],
                            )
                        }
                        None => filled("strip.taken_back", &[("question", &question)]),
                    }
                }
                Err(error) => error.to_string(),
            };
            say(text);
            let _ = busy.try_set(false);
        });
    };
    view! {
        <button type="button" class="button undo" prop:disabled=move || busy.get() on:click=undo>
            {word("strip.undo")}
        </button>
    }
}

/// What must be said about sending and keeping, in full.
#[component]
fn Troubles(device: Device, on_site: Option<OnSite>, says_who: bool) -> impl IntoView {
    let status = device.status();
    let invited = move || {
        device
            .session()
            .get()
            .is_some_and(|session| session.site.is_some())
    };
    let marked_here = Memo::new(move |_| {
        on_site
            .filter(|site| site.view.with(|view| !view.refused.is_empty()))
            .map(address::history)
    });
    let all = Memo::new(move |_| {
        let said = says_who && device.session().get().is_none();
        status.with(|status| troubles(status, invited(), said, marked_here.get()))
    });
    move || {
        all.get()
            .into_iter()
            .map(|trouble| trouble_view(device, trouble))
            .collect_view()
    }
}

fn trouble_view(device: Device, trouble: Trouble) -> AnyView {
    let way = match trouble.way {
        Way::None => None,
        Way::Link(href, label) => Some(view! { <a class="button" href=href>{label}</a> }.into_any()),
        Way::Read => Some(
            view! {
                <button type="button" class="button" on:click=move |_| device.note_read()>{word("strip.read")}</button>
            }
            .into_any(),
        ),
    };
    view! {
        <div class="notice strip-trouble" role="status">
            <p>{trouble.text}</p>
            {way}
        </div>
    }
    .into_any()
}

/// "3 only on this phone, oldest 12 min" or "Everything is sent".
pub fn state_text(status: &SyncStatus) -> String {
    let mut parts = Vec::new();
    if status.unsent > 0 {
        let age = age_text(status.oldest_unsent_minutes.unwrap_or(0));
        parts.push(filled(
            "strip.unsent",
            &[("count", &status.unsent.to_string()), ("age", &age)],
        ));
    }
    if status.photos_unsent > 0 {
        parts.push(filled(
            "strip.photos",
            &[("count", &status.photos_unsent.to_string())],
        ));
    }
    if status.held > 0 {
        parts.push(filled("strip.held", &[("count", &status.held.to_string())]));
    }
    if status.refused > 0 {
        parts.push(filled(
            "strip.not_taken",
            &[("count", &status.refused.to_string())],
        ));
    }
    if parts.is_empty() {
        parts.push(word("strip.all_sent"));
    }
    match status.state {
        SyncState::Syncing => parts.push(word("strip.sending")),
        SyncState::Offline => parts.push(word("strip.offline")),
        _ => {}
    }
    parts.join(", ")
}

/// Minutes as a short age.
pub fn age_text(minutes: u64) -> String {
    match minutes {
        0 => word("age.now"),
        1..=119 => filled("age.minutes", &[("count", &minutes.to_string())]),
        120..=2879 => filled("age.hours", &[("count", &(minutes / 60).to_string())]),
        _ => filled("age.days", &[("count", &(minutes / 1440).to_string())]),
    }
}

/// One thing that must be said, and what can be done about it.
#[derive(Clone, PartialEq, Eq)]
struct Trouble {
    text: String,
    way: Way,
}

/// What can be done about a trouble.
#[derive(Clone, PartialEq, Eq)]
enum Way {
    /// Nothing here.
    None,
    /// Going there.
    Link(String, String),
    /// Reading it is all.
    Read,
}

/// Everything that must be said, the most pressing first: none of them hides another.
fn troubles(
    status: &SyncStatus,
    invited: bool,
    says_who: bool,
    marked_at: Option<String>,
) -> Vec<Trouble> {
    let counted = |key: &str, count: usize| {
        (count > 0).then(|| filled(key, &[("count", &count.to_string())]))
    };
    let said = |text: String, way: Way| Trouble { text, way };
    let mut all: Vec<Trouble> = state_trouble(&status.state, invited, says_who)
        .into_iter()
        .collect();
    if let Some(lost) = status.wiped {
        let text = counted("strip.wiped_lost", lost).unwrap_or_else(|| word("strip.wiped"));
        all.push(said(text, Way::Read));
    }
    all.extend(counted("strip.refused", status.refused).map(|text| {
        let way = marked_at.map_or(Way::None, |href| Way::Link(href, word("field.history")));
        said(text, way)
    }));
    all.extend(counted("strip.of_others", status.of_others).map(|text| said(text, Way::None)));
    all.extend(status.note.clone().map(|text| said(text, Way::Read)));
    all
}

/// What the state of sending asks for.
fn state_trouble(state: &SyncState, invited: bool, says_who: bool) -> Option<Trouble> {
    let plain = |text: String| {
        Some(Trouble {
            text,
            way: Way::None,
        })
    };
    match state {
        // The screen says it itself.
        SyncState::SignInNeeded if says_who => None,
        // An invitation has no password to sign in with.
        SyncState::SignInNeeded if invited => plain(word("home.link_ended")),
        SyncState::SignInNeeded => Some(Trouble {
            text: word("strip.sign_in"),
            way: Way::Link("/sign-in".to_owned(), word("field.sign_in")),
        }),
        SyncState::UpdateNeeded => plain(word("strip.update_needed")),
        SyncState::Error(text) => plain(text.clone()),
        SyncState::Idle | SyncState::Syncing | SyncState::Offline => None,
    }
}

//! The site page: what holds it up first, then the tapes, then one of its views.

use std::sync::Arc;

use leptos::prelude::*;
use leptos_router::hooks::use_query_map;
use setdown_rules::frame::result::{HoldPoint, HoldPointResult, HoldState};
use setdown_types::ids::SiteId;

use super::calls::load_site;
use super::checks_view::ChecksView;
use super::contacts_view::ContactsView;
use super::frame::OfficeFrame;
use super::history_view::HistoryView;
use super::hold_points_view::HoldPointsView;
use super::invitations_view::InvitationsView;
use super::live::{Live, live};
use super::loaded::{Loaded, OnSite, on_site, short_digest};
use super::marks::{StateMark, Trouble, age_text, party_name};
use super::messages::OfficeError;
use super::missing_sheets::MissingSheetsForm;
use super::photos_view::PhotosView;
use super::plan_view::PlanView;
use super::readings_view::ReadingsView;
use super::sites::Freshness;
use super::tasks_view::{TasksView, current_waits_for};
use crate::parts::ReadinessTape;
use crate::parts::tape::count_text;
use crate::use_route_parameters;
use crate::words::{check_title, filled, word};

/// The views of a site, by their key in the address.
const VIEWS: [&str; 9] = [
    "checks",
    "plan",
    "readings",
    "tasks",
    "hold_points",
    "history",
    "photos",
    "invitations",
    "contacts",
];

/// The page of one site.
#[component]
pub fn SitePage() -> impl IntoView {
    let parameters = use_route_parameters();
    let id = Memo::new(move |_| {
        parameters.with(|all| all.get("site").and_then(|text| SiteId::parse(text)))
    });
    let site = live(id, |id| async move {
        let id = id.ok_or_else(|| OfficeError::not_found("site"))?;
        load_site(id).await.map(Loaded::new)
    });
    let found = Memo::new(move |_| site.value.with(Option::is_some));
    let no_sheet = Memo::new(move |_| {
        site.error
            .with(|error| error.as_ref().is_some_and(OfficeError::is_no_sheet))
    });
    let body = move || {
        let first = found.get().then(|| site.value.get_untracked()).flatten();
        match (id.get(), first) {
            (Some(id), Some(first)) => on_page(id, first, site).into_any(),
            (Some(id), None) if no_sheet.get() => {
                view! { <MissingSheetsForm id live=site/> }.into_any()
            }
            _ => waiting(site).into_any(),
        }
    };
    view! {
        <OfficeFrame>
            <Trouble error=site.error/>
            {body}
        </OfficeFrame>
    }
}

/// The page once the site is here. What is shown changes part by part from then on.
fn on_page(id: SiteId, first: Arc<Loaded>, live: Live<Loaded>) -> impl IntoView {
    let loaded = RwSignal::new(first);
    Effect::new(move |_| {
        if let Some(newer) = live.value.get() {
            loaded.set(newer);
        }
    });
    provide_context(OnSite {
        id,
        loaded: loaded.into(),
        live,
    });
    view! { <Header/> <Tapes/> <Views/> }
}

fn waiting(live: Live<Loaded>) -> impl IntoView {
    let text = move || {
        word(if live.error.with(Option::is_some) {
            "office.site"
        } else {
            "office.loading"
        })
    };
    view! { <h1>{text}</h1> <p><a href="/office">{word("office.back_to_sites")}</a></p> }
}

/// What is said of a site in one glance.
#[derive(Clone, PartialEq)]
struct Glance {
    name: String,
    spa: String,
    practice: String,
    current: Option<HoldPointResult>,
    waits_for: Option<String>,
    disagreements: usize,
    synced: String,
}

impl Glance {
    fn of(loaded: &Loaded) -> Self {
        let view = &loaded.view;
        Self {
            name: view.name.clone(),
            spa: format!("{} ({})", view.spa.name, short_digest(&view.spa.digest)),
            practice: format!(
                "{} ({})",
                view.practice.name,
                short_digest(&view.practice.digest)
            ),
            current: loaded.assessment.current().cloned(),
            waits_for: current_waits_for(&loaded.assessment).map(party_name),
            disagreements: loaded.disagreements(),
            synced: view.last_received_at.map_or_else(
                || word("office.never_synced"),
                |then| age_text(then, view.now),
            ),
        }
    }
}

/// Name, state with its reason first, and what stands behind it.
#[component]
fn Header() -> impl IntoView {
    let on = on_site();
    let glance = on.part(Glance::of);
    let name = move || glance.with(|glance| glance.name.clone());
    let stopped = move || glance.with(|glance| is_stopped(glance.current.as_ref()));
    view! {
        <section class="site-head stack" class:stopped=stopped>
            <div class="row spread">
                <h1>{name}</h1>
                <Freshness connected=on.live.connected/>
            </div>
            {move || standing(&glance.get())}
        </section>
    }
}

fn is_stopped(point: Option<&HoldPointResult>) -> bool {
    point.is_some_and(|point| point.state == HoldState::Stopped)
}

fn standing(glance: &Glance) -> AnyView {
    let state = match &glance.current {
        None => view! { <p class="big">{word("office.all_signed")}</p> }.into_any(),
        Some(point) => state_line(point),
    };
    let row = |key: &str, value: String| view! { <div><dt>{word(key)}</dt><dd>{value}</dd></div> };
    let disagreements = (glance.disagreements > 0).then(|| {
        let count = glance.disagreements.to_string();
        let key = if glance.disagreements == 1 {
            "office.disagreement_waits"
        } else {
            "office.disagreements_wait"
        };
        view! {
            <p class="notice">
                {filled(key, &[("count", &count)])}" "
                <a href="?view=readings" data-noscroll="">{word("office.settle_them")}</a>
            </p>
        }
    });
    view! {
        {state}
        {disagreements}
        <dl class="facts">
            {row("office.column.waits_for", glance.waits_for.clone().unwrap_or_else(|| word("office.nobody")))}
            {row("office.column.last_sync", glance.synced.clone())}
            {row("office.spa", glance.spa.clone())}
            {row("office.practice", glance.practice.clone())}
        </dl>
    }
    .into_any()
}

/// The state of the hold point worked towards: a stopped one says so first, its number small.
fn state_line(point: &HoldPointResult) -> AnyView {
    let hold_point = word(&format!("hold_point.{}", point.hold_point.key()));
    let small = point.state == HoldState::Stopped;
    let worst = point.worst.as_ref().map(|key| key.to_string());
    let worst_title = point.worst.as_ref().filter(|_| !small).map(|key| {
        view! { <span class="quiet">{filled("office.worst", &[("check", &check_title(key))])}</span> }
    });
    view! {
        <div class="row state-line">
            <span class="big"><StateMark state=point.state worst/></span>
            <span class="quiet">{filled("office.towards", &[("hold_point", &hold_point)])}</span>
            <span class="score" class:small=small><span class="score-number">{point.score}</span></span>
            <span class="number">{count_text(point)}</span>
            {worst_title}
        </div>
    }
    .into_any()
}

/// One tape a hold point. A tape that was opened stays open while its checks change.
#[component]
fn Tapes() -> impl IntoView {
    let tapes = HoldPoint::ALL
        .into_iter()
        .map(|point| view! { <Tape point/> })
        .collect_view();
    view! {
        <section aria-labelledby="tapes-title" class="stack">
            <h2 id="tapes-title">{word("office.tapes")}</h2>
            <div class="tapes">{tapes}</div>
        </section>
    }
}

#[component]
fn Tape(point: HoldPoint) -> impl IntoView {
    let on = on_site();
    let result = on.part(move |loaded| {
        let result = loaded
            .assessment
            .hold_points
            .iter()
            .find(|result| result.hold_point == point)
            .cloned();
        let outcomes: Vec<_> = result
            .iter()
            .flat_map(|result| &result.checks)
            .filter_map(|key| loaded.assessment.check(key).map(|check| check.outcome))
            .collect();
        (result, outcomes)
    });
    let address =
        Callback::new(|key: String| format!("?view=checks#{}", super::checks_view::anchor(&key)));
    let open = RwSignal::new(false);
    move || {
        let (result, _) = result.get();
        let assessment = on
            .loaded
            .with_untracked(|loaded| Arc::clone(&loaded.assessment));
        result.map(|point| view! { <ReadinessTape point assessment address open=Some(open)/> })
    }
}

/// The views, one of them open.
#[component]
fn Views() -> impl IntoView {
    let query = use_query_map();
    let view_key = Memo::new(move |_| {
        let wanted = query.with(|query| query.get("view"));
        VIEWS
            .into_iter()
            .find(|key| wanted.as_deref() == Some(key))
            .unwrap_or(VIEWS[0])
    });
    let tab = move |key: &'static str| {
        let current = move || (view_key.get() == key).then_some("page");
        view! { <a href=format!("?view={key}") data-noscroll="" aria-current=current>{word(&format!("office.view.{key}"))}</a> }
    };
    let tabs = VIEWS.into_iter().map(tab).collect_view();
    let body = move || match view_key.get() {
        "plan" => view! { <PlanView/> }.into_any(),
        "readings" => view! { <ReadingsView/> }.into_any(),
        "tasks" => view! { <TasksView/> }.into_any(),
        "hold_points" => view! { <HoldPointsView/> }.into_any(),
        "history" => view! { <HistoryView/> }.into_any(),
        "photos" => view! { <PhotosView/> }.into_any(),
        "invitations" => view! { <InvitationsView/> }.into_any(),
        "contacts" => view! { <ContactsView/> }.into_any(),
        _ => view! { <ChecksView/> }.into_any(),
    };
    view! {
        <nav class="tabs" aria-label=word("office.views")>{tabs}</nav>
        {body}
    }
}

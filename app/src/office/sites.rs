//! The table of sites: search, state, order, pages; live.

use std::sync::Arc;
use std::time::Duration;

use leptos::leptos_dom::helpers::debounce;
use leptos::prelude::*;
use setdown_rules::frame::result::HoldState;

use super::calls::list_sites;
use super::frame::OfficeFrame;
use super::live::{Live, live};
use super::marks::{StateMark, Trouble, age_text, grouped, party_name, state_word};
use super::messages::{PAGE, SiteSummary, SiteTableRow, SitesOrder, SitesPage, SitesQuery};
use crate::words::{filled, word};

/// How long typing rests before it is searched for.
const TYPING_RESTS: Duration = Duration::from_millis(200);
/// States offered to narrow the table, worst first.
const STATES: [HoldState; 6] = [
    HoldState::Stopped,
    HoldState::ToPutRight,
    HoldState::Unsure,
    HoldState::Unmeasured,
    HoldState::ReadyToSign,
    HoldState::Signed,
];

thread_local! {
    /// The table as it was left, for coming back from a site.
    static LEFT: std::cell::RefCell<SitesQuery> = std::cell::RefCell::new(SitesQuery::default());
}

/// The table of sites.
#[component]
pub fn Sites() -> impl IntoView {
    let query = RwSignal::new(LEFT.with_borrow(Clone::clone));
    Effect::new(move |_| LEFT.set(query.get()));
    let sites = live(Memo::new(move |_| query.get()), list_sites);
    view! {
        <OfficeFrame>
            <div class="row spread">
                <h1>{word("office.sites")}</h1>
                <Freshness connected=sites.connected/>
            </div>
            <Narrowing query/>
            <Trouble error=sites.error/>
            <Table query sites/>
        </OfficeFrame>
    }
}

/// Whether the page hears of changes by itself.
#[component]
pub fn Freshness(
    /// Whether it does.
    connected: RwSignal<bool>,
) -> impl IntoView {
    let text = move || {
        word(if connected.get() {
            "office.live"
        } else {
            "office.not_live"
        })
    };
    view! { <p class="quiet" role="status">{text}</p> }
}

/// Search and state.
#[component]
fn Narrowing(query: RwSignal<SitesQuery>) -> impl IntoView {
    let mut search = debounce(TYPING_RESTS, move |text: String| {
        query.try_update(|query| {
            query.search = text;
            query.page = 0;
        });
    });
    let by_state = move |text: String| {
        query.update(|query| {
            query.state = STATES
                .into_iter()
                .find(|state| crate::parts::tape::state_key(*state) == text);
            query.page = 0;
        });
    };
    let before = query.get_untracked();
    let options = STATES
        .into_iter()
        .map(|state| {
            let key = crate::parts::tape::state_key(state);
            view! { <option value=key selected=before.state == Some(state)>{state_word(state)}</option> }
        })
        .collect_view();
    view! {
        <form class="narrowing" role="search" on:submit=|event| event.prevent_default()>
            <div class="field">
                <label for="search">{word("office.search")}</label>
                <input
                    id="search"
                    type="search"
                    autocomplete="off"
                    prop:value=before.search.clone()
                    on:input:target=move |event| search(event.target().value())
                />
            </div>
            <div class="field">
                <label for="state">{word("office.column.state")}</label>
                <select id="state" on:change:target=move |event| by_state(event.target().value())>
                    <option value="">{word("office.every_state")}</option>
                    {options}
                </select>
            </div>
        </form>
    }
}

/// The rows, and the pages below.
#[component]
fn Table(query: RwSignal<SitesQuery>, sites: Live<SitesPage>) -> impl IntoView {
    let rows = Memo::new(move |_| {
        sites
            .value
            .get()
            .map(|page| page.rows.clone())
            .unwrap_or_default()
    });
    let now = Memo::new(move |_| sites.value.get().map_or(0, |page| page.now));
    let body = move || {
        if sites.value.with(Option::is_none) {
            return view! { <p class="quiet">{word("office.loading")}</p> }.into_any();
        }
        if rows.with(Vec::is_empty) {
            return nothing_found(query).into_any();
        }
        ().into_any()
    };
    let empty = Memo::new(move |_| rows.with(Vec::is_empty));
    view! {
        <div aria-live="polite">{body}</div>
        <div class="table-frame" hidden=move || empty.get()>
            <table class="table sites">
                <caption class="seen-by-readers-only">{word("office.sites_caption")}</caption>
                <thead>
                    <tr>
                        <Heading query order=SitesOrder::Name key="office.column.site"/>
                        <Heading query order=SitesOrder::HoldPoint key="office.column.hold_point"/>
                        <Heading query order=SitesOrder::State key="office.column.state"/>
                        <Heading query order=SitesOrder::Score key="office.column.score"/>
                        <Heading query order=SitesOrder::WaitsFor key="office.column.waits_for"/>
                        <Heading query order=SitesOrder::LastSync key="office.column.last_sync"/>
                    </tr>
                </thead>
                <tbody>
                    <For each=move || rows.get() key=|row| row.site let(row)>
                        <Row site=row.site rows now/>
                    </For>
                </tbody>
            </table>
        </div>
        <Pages query sites/>
    }
}

fn nothing_found(query: RwSignal<SitesQuery>) -> impl IntoView {
    let narrowed = query.with(|query| !query.search.trim().is_empty() || query.state.is_some());
    if narrowed {
        view! { <p>{word("office.nothing_matches")}</p> }.into_any()
    } else {
        view! {
            <p>{word("office.no_sites")}</p>
            <a class="button primary" href="/office/new">{word("office.new_site")}</a>
        }
        .into_any()
    }
}

/// A column's heading, which orders by it.
#[component]
fn Heading(query: RwSignal<SitesQuery>, order: SitesOrder, key: &'static str) -> impl IntoView {
    let chosen = move || query.with(|query| (query.order == order).then_some(query.descending));
    let sort = move || match chosen() {
        None => "none",
        Some(false) => "ascending",
        Some(true) => "descending",
    };
    let arrow = move || match chosen() {
        None => "",
        Some(false) => " ↑",
        Some(true) => " ↓",
    };
    let click = move |_| {
        query.update(|query| {
            query.descending = query.order == order && !query.descending;
            query.order = order;
            query.page = 0;
        });
    };
    view! {
        <th scope="col" aria-sort=sort>
            <button type="button" class="heading" on:click=click>
                {word(key)}<span aria-hidden="true">{arrow}</span>
            </button>
        </th>
    }
}

/// One site. The row stays while its content changes.
#[component]
fn Row(
    site: setdown_types::ids::SiteId,
    rows: Memo<Vec<SiteTableRow>>,
    now: Memo<i64>,
) -> impl IntoView {
    let row =
        Memo::new(move |_| rows.with(|rows| rows.iter().find(|row| row.site == site).cloned()));
    let name = move || row.get().map(|row| row.name);
    let summary = Memo::new(move |_| row.get().and_then(|row| row.summary));
    let synced = move || match row.get().and_then(|row| row.last_received_at) {
        Some(then) => age_text(then, now.get()),
        None => word("office.never_synced"),
    };
    let of = move |part: fn(SiteSummary) -> AnyView| {
        move || {
            summary.get().map_or_else(
                || view! { <span class="quiet">{word("office.not_worked_out")}</span> }.into_any(),
                part,
            )
        }
    };
    view! {
        <tr>
            <th scope="row"><a href=format!("/office/{site}")>{name}</a></th>
            <td data-label=word("office.column.hold_point")>{of(hold_point_cell)}</td>
            <td data-label=word("office.column.state")>{of(state_cell)}</td>
            <td data-label=word("office.column.score")>{of(score_cell)}</td>
            <td data-label=word("office.column.waits_for")>{of(waits_for_cell)}</td>
            <td data-label=word("office.column.last_sync")>{synced}</td>
        </tr>
    }
}

fn hold_point_cell(summary: SiteSummary) -> AnyView {
    view! { <span>{word(&format!("hold_point.{}", summary.hold_point.key()))}</span> }.into_any()
}

fn state_cell(summary: SiteSummary) -> AnyView {
    let disagreements = (summary.disagreements > 0).then(|| {
        let count = summary.disagreements.to_string();
        let key = if summary.disagreements == 1 {
            "office.disagreement"
        } else {
            "office.disagreements"
        };
        view! { <span class="badge">{filled(key, &[("count", &count)])}</span> }
    });
    view! {
        <div class="stack-tight">
            <StateMark state=summary.state worst=summary.worst.clone()/>
            {disagreements}
        </div>
    }
    .into_any()
}

fn score_cell(summary: SiteSummary) -> AnyView {
    let small = summary.state == HoldState::Stopped;
    let counts = counts_text(&summary);
    view! {
        <div class="score" class:small=small>
            <span class="score-number">{summary.score}</span>
            <span class="quiet">{counts}</span>
        </div>
    }
    .into_any()
}

/// "31 of 38 settled, 6 to measure".
fn counts_text(summary: &SiteSummary) -> String {
    let mut text = filled(
        "tape.settled",
        &[
            ("settled", &summary.settled.to_string()),
            ("named", &summary.named.to_string()),
        ],
    );
    for (key, count) in [
        ("tape.to_measure", summary.to_measure),
        ("tape.tight", summary.tight),
        ("tape.stopped", summary.stopped),
    ] {
        if count > 0 {
            text.push_str(", ");
            text.push_str(&filled(key, &[("count", &count.to_string())]));
        }
    }
    text
}

fn waits_for_cell(summary: SiteSummary) -> AnyView {
    let text = summary
        .waits_for
        .map_or_else(|| word("office.nobody"), party_name);
    view! { <span>{text}</span> }.into_any()
}

/// Which part of the list is shown, and the way to the next.
#[component]
fn Pages(query: RwSignal<SitesQuery>, sites: Live<SitesPage>) -> impl IntoView {
    let total = Memo::new(move |_| {
        sites
            .value
            .get()
            .map_or(0, |page: Arc<SitesPage>| page.total)
    });
    let page = move || query.with(|query| query.page);
    let last =
        move || u32::try_from(total.get().saturating_sub(1) / u64::from(PAGE)).unwrap_or(u32::MAX);
    let range = move || {
        let first = u64::from(page()) * u64::from(PAGE) + 1;
        let end = (first + u64::from(PAGE) - 1).min(total.get());
        filled(
            "office.range",
            &[
                ("first", &grouped(first)),
                ("last", &grouped(end)),
                ("total", &grouped(total.get())),
            ],
        )
    };
    let go = move |step: i64| {
        query.update(|query| {
            let wanted = i64::from(query.page) + step;
            query.page = u32::try_from(wanted.max(0)).unwrap_or(0).min(last());
        });
    };
    view! {
        <nav class="row" aria-label=word("office.pages") hidden=move || total.get() == 0>
            <button type="button" class="button" disabled={move || page() == 0} on:click=move |_| go(-1)>{word("office.previous")}</button>
            <button type="button" class="button" disabled={move || page() >= last()} on:click=move |_| go(1)>{word("office.next")}</button>
            <p class="number" role="status">{range}</p>
        </nav>
    }
}

//! A site that is pinned to a sheet that is not there: which one, and another in its place.

use leptos::prelude::*;
use leptos::task::spawn_local;
use setdown_types::entry::{Intent, Method};
use setdown_types::ids::SiteId;
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use super::calls::{append_answer, load_catalogue, load_missing_sheets};
use super::live::Live;
use super::loaded::{Loaded, short_digest};
use super::marks::Trouble;
use super::messages::{
    Catalogue, MissingSheet, MissingSheets, OfficeAnswer, OfficeError, SheetCard,
};
use crate::words::{filled, instant_text, word};

/// In place of the site's page, under the text that says what can be done on the server's machine.
#[component]
pub fn MissingSheetsForm(
    /// Which site.
    id: SiteId,
    /// Loads the page once the site can be worked out again.
    live: Live<Loaded>,
) -> impl IntoView {
    let here = Here {
        id,
        live,
        found: RwSignal::new(None),
        busy: RwSignal::new(false),
        error: RwSignal::new(None),
    };
    spawn_local(here.load());
    let body = move || {
        here.found.get().map(|(sheets, catalogue)| {
            let forms = sheets.missing.into_iter().map(|missing| {
                let cards = if missing.question == "site.spa" {
                    &catalogue.spas
                } else {
                    &catalogue.practices
                };
                form(here, missing, cards)
            });
            view! { <h1>{sheets.name}</h1> {forms.collect_view()} }
        })
    };
    view! { {body} <Trouble error=here.error/> <p><a href="/office">{word("office.back_to_sites")}</a></p> }
}

/// What the forms of one site share, as a token for closures.
#[derive(Clone, Copy)]
struct Here {
    id: SiteId,
    live: Live<Loaded>,
    /// What is missing and what there is in its place, as last heard.
    found: RwSignal<Option<(MissingSheets, Catalogue)>>,
    /// One is being exchanged: what another form would replace is not known until all is loaded again.
    busy: RwSignal<bool>,
    error: RwSignal<Option<OfficeError>>,
}

impl Here {
    async fn load(self) {
        let both = async { Ok((load_missing_sheets(self.id).await?, load_catalogue().await?)) };
        match both.await {
            Ok(both) => drop(self.found.try_set(Some(both))),
            Err(reason) => drop(self.error.try_set(Some(reason))),
        }
    }

    /// Pins the site to another sheet, and shows what is still missing then.
    async fn exchange(self, answer: OfficeAnswer) {
        match append_answer(answer).await {
            Ok(_) => {
                self.live.again();
                self.load().await;
            }
            Err(reason) => drop(self.error.try_set(Some(reason))),
        }
        self.busy.try_set(false);
    }
}

/// One sheet that is missing, with the choice of another.
fn form(here: Here, missing: MissingSheet, cards: &[SheetCard]) -> impl IntoView + use<> {
    let chosen = RwSignal::new(String::new());
    let field = missing.question.replace('.', "-");
    let label = word(if missing.question == "site.spa" {
        "office.spa"
    } else {
        "office.practice"
    });
    let told = filled(
        "office.missing_sheet",
        &[("sheet", &label), ("digest", &missing.digest)],
    );
    let options = cards.iter().map(option).collect_view();
    let submit = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        here.error.set(None);
        here.busy.set(true);
        let answer = instead(here.id, &missing, chosen.get_untracked());
        spawn_local(here.exchange(answer));
    };
    let unready = move || here.busy.get() || chosen.with(String::is_empty);
    view! {
        <form class="stack missing-sheet" on:submit=submit>
            <p class="missing-digest">{told}</p>
            <p>{word("office.missing_sheet_another")}</p>
            <div class="field">
                <label for=field.clone()>{label}</label>
                <select id=field prop:value=move || chosen.get() on:change:target=move |event| chosen.set(event.target().value())>
                    <option value="">{word("office.missing_sheet_choose")}</option>
                    {options}
                </select>
            </div>
            <div class="row"><button type="submit" class="button primary" disabled=unready>{word("office.missing_sheet_pin")}</button></div>
        </form>
    }
}

fn option(card: &SheetCard) -> impl IntoView + use<> {
    let day = instant_text(card.created_at, 0);
    let text = format!("{}, {day}, {}", card.name, short_digest(&card.digest));
    view! { <option value=card.digest.clone()>{text}</option> }
}

/// The entry that pins the site to another sheet in place of all that stands.
fn instead(id: SiteId, missing: &MissingSheet, digest: String) -> OfficeAnswer {
    OfficeAnswer {
        site: id,
        stream: StreamKey::new(Subject::SITE, &missing.question),
        intent: match missing.replaces.len() {
            0 => Intent::First,
            1 => Intent::Changed,
            _ => Intent::Settle,
        },
        replaces: missing.replaces.clone(),
        value: Value::Pin(digest),
        spread: None,
        method: Method::Document,
    }
}

//! The working of a check: the formula with this site's numbers, the margin, the sources and the cautions.

use leptos::prelude::*;
use setdown_rules::frame::result::{CheckResult, Cited, Item, Key};
use setdown_rules::tables::Status;
use setdown_types::quantity::UnitSystem;
use setdown_types::site::Site;
use setdown_types::subject::Subject;

use super::{GapMark, MarginBar};
use crate::words::{Wording, has, subject_name, word};

/// What a check found about each thing, then its sources.
#[component]
pub fn Working(
    /// The check.
    check: CheckResult,
    /// The site, for the names of its things.
    site: std::sync::Arc<Site>,
    /// Units.
    system: UnitSystem,
    /// Only the findings about this thing, and those about the site.
    #[prop(optional_no_strip)]
    about: Option<Subject>,
) -> impl IntoView {
    let wording = Wording::new(system, &site);
    let items = check
        .items
        .iter()
        .filter(|item| about.is_none_or(|about| item.subject == about))
        .map(|item| finding(item, &site, wording))
        .collect_view();
    let sources = check
        .sources
        .iter()
        .map(|source| view! { <li>{cited(source, &wording)}</li> })
        .collect_view();
    let has_sources = !check.sources.is_empty();
    view! {
        <div class="working stack">
            {items}
            {has_sources.then(|| view! {
                <div class="sources">
                    <h3>{word("working.sources")}</h3>
                    <ul>{sources}</ul>
                </div>
            })}
        </div>
    }
}

fn finding(item: &Item, site: &Site, wording: Wording<'_>) -> AnyView {
    let lines = item
        .working
        .iter()
        .map(|line| view! { <li class="number">{wording.line(line)}</li> })
        .collect_view();
    let margin = item
        .margin
        .map(|margin| view! { <MarginBar margin system=wording.system/> });
    let name = (item.subject != Subject::SITE)
        .then(|| view! { <h3>{capital(&subject_name(site, item.subject))}</h3> });
    view! {
        <div class="finding">
            <div class="finding-head">
                {name}
                <GapMark outcome=item.outcome/>
            </div>
            <p>{wording.line(&item.reason)}</p>
            {margin}
            <ol class="formula">{lines}</ol>
        </div>
    }
    .into_any()
}

/// One source: document, section, edition, and how well it is known.
pub fn cited(source: &Cited, _wording: &Wording<'_>) -> String {
    let field = format!("practice.{}", source.section);
    let section = if has(&field) {
        word(&field)
    } else {
        source.section.to_string()
    };
    let mut text = source.document.to_string();
    for part in [section.as_str(), source.edition.as_ref()] {
        if !part.is_empty() {
            text.push_str(", ");
            text.push_str(part);
        }
    }
    let status = match source.status {
        Status::Memory => Some("source.memory"),
        Status::ReadSecondary => Some("source.secondary"),
        _ => None,
    };
    if let Some(status) = status {
        text.push_str(" (");
        text.push_str(&word(status));
        text.push(')');
    }
    text
}

/// The cautions that stand beside a check; nothing where there are none.
#[component]
pub fn CautionList(
    /// Their keys.
    keys: Vec<Key>,
) -> impl IntoView {
    let lines = keys
        .iter()
        .map(|key| view! { <p>{word(key)}</p> })
        .collect_view();
    (!keys.is_empty()).then(|| {
        view! {
            <aside class="caution" aria-label=word("working.caution")>
                <strong>{word("working.caution")}</strong>
                {lines}
            </aside>
        }
    })
}

/// The same with a capital in front.
pub fn capital(text: &str) -> String {
    let mut letters = text.chars();
    letters.next().map_or_else(String::new, |first| {
        first.to_uppercase().chain(letters).collect()
    })
}

/// What everybody must heed who takes the unit along the way in: the cautions of the checks that judge it.
pub fn cautions_of<'a>(check: impl Fn(&'static str) -> Option<&'a CheckResult>) -> Vec<Key> {
    let mut keys: Vec<Key> = Vec::new();
    // By the keys of their titles, so that a test sees that each has one.
    for title in ["check.roll.way", "check.roll.pull", "check.roll.crossfall"] {
        let name = title.trim_start_matches("check.");
        for caution in check(name).iter().flat_map(|found| &found.cautions) {
            if !keys.contains(caution) {
                keys.push(caution.clone());
            }
        }
    }
    keys
}

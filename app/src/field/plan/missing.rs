//! What the way in still waits for, each a link to its question.

use leptos::prelude::*;
use setdown_rules::frame::result::NeedState;
use setdown_rules::plan::ledger::CHECK;
use setdown_types::order;
use setdown_types::subject::Subject;

use crate::field::address;
use crate::field::on_site::OnSite;
use crate::words::{question_title, subject_name, word};

/// The questions that the check of the way in misses; nothing where it misses none.
#[component]
pub fn Missing(
    /// The site.
    on_site: OnSite,
) -> impl IntoView {
    move || {
        let now = on_site.assessed()?;
        let needs = now.check(CHECK)?.needs.iter();
        let mut missing: Vec<_> = needs
            .filter(|need| need.state != NeedState::Answered && !need.optional)
            .collect();
        // In the order in which the walk asks them.
        order::sort_by_key(&mut missing, |need| {
            now.stop(&need.stream)
                .map_or(usize::MAX, |(place, _)| place)
        });
        let rows: Vec<AnyView> = missing
            .into_iter()
            .map(|need| {
                let about = (need.stream.subject != Subject::SITE)
                    .then(|| subject_name(&now.site, need.stream.subject));
                view! {
                    <li>
                        <a class="line-link wanted" href=address::ask(on_site, &need.stream)>
                            <span class="line-title">{question_title(&need.stream.question)}</span>
                            <span class="quiet number">{about}</span>
                        </a>
                    </li>
                }
                .into_any()
            })
            .collect();
        (!rows.is_empty()).then(|| {
            view! {
                <section>
                    <h2>{word("plan.missing")}</h2>
                    <ul class="plain">{rows}</ul>
                </section>
            }
        })
    }
}

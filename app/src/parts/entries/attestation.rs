//! Entering a licensed person's word: who, under which licence, in which document, when.

use leptos::prelude::*;

use super::own_text;
use crate::parts::attestation_text::AttestationText;
use crate::words::word;

/// Four fields; the draft keeps them all at every input.
#[component]
pub fn AttestationEntry(
    /// The draft.
    text: RwSignal<String>,
) -> impl IntoView {
    let own = own_text(text);
    let form = Memo::new(move |_| AttestationText::read(&own.get()));
    let change = move |edit: &dyn Fn(&mut AttestationText)| {
        let mut now = form.get_untracked();
        edit(&mut now);
        text.set(now.write());
    };
    view! {
        <div class="stack">
            <p class="caution">{word("entry.attestation.caution")}</p>
            <label class="field">
                <span>{word("entry.attestation.person")}</span>
                <input type="text" autocomplete="off" prop:value=move || form.get().person
                    on:input=move |event| change(&|form| form.person = event_target_value(&event))/>
            </label>
            <label class="field">
                <span>{word("entry.attestation.licence")}</span>
                <input type="text" autocomplete="off" prop:value=move || form.get().licence
                    on:input=move |event| change(&|form| form.licence = event_target_value(&event))/>
            </label>
            <label class="field">
                <span>{word("entry.attestation.document")}</span>
                <input type="text" autocomplete="off" prop:value=move || form.get().document
                    on:input=move |event| change(&|form| form.document = event_target_value(&event))/>
            </label>
            <label class="field">
                <span>{word("entry.attestation.date")}</span>
                <input type="date" prop:value=move || form.get().date
                    on:input=move |event| change(&|form| form.date = event_target_value(&event))/>
            </label>
        </div>
    }
}

//! Invitations of a homeowner to this site: made, shown once, revoked.

use leptos::prelude::*;
use leptos::task::spawn_local;
use uuid::Uuid;

use super::calls::{create_invitation, revoke_invitation};
use super::loaded::on_site;
use super::marks::Trouble;
use super::messages::{InvitationView, OfficeError};
use crate::words::{filled, word};

/// The list, and the form for a new one.
#[component]
pub fn InvitationsView() -> impl IntoView {
    let on = on_site();
    let all = on.part(|loaded| loaded.view.invitations.clone());
    view! {
        <section class="stack" aria-labelledby="invitations-title">
            <h2 id="invitations-title" class="seen-by-readers-only">{word("office.view.invitations")}</h2>
            <p>{word("office.invitation_what")}</p>
            <NewOne/>
            <p hidden=move || !all.with(Vec::is_empty)>{word("office.no_invitations")}</p>
            <div class="table-frame" role="region" tabindex="0" aria-label=word("office.invitations_so_far") hidden=move || all.with(Vec::is_empty)>
                <table class="table">
                    <caption class="seen-by-readers-only">{word("office.invitations_so_far")}</caption>
                    <thead>
                        <tr>
                            <th scope="col">{word("office.column.for")}</th>
                            <th scope="col">{word("office.column.made")}</th>
                            <th scope="col">{word("office.column.opens_until")}</th>
                            <th scope="col">{word("office.column.state")}</th>
                        </tr>
                    </thead>
                    <tbody>
                        <For each=move || all.get() key=|one| (one.id, one.revoked_at) let(one)>
                            <One invitation=one/>
                        </For>
                    </tbody>
                </table>
            </div>
        </section>
    }
}

/// Makes an invitation and shows its link once.
#[component]
fn NewOne() -> impl IntoView {
    let on = on_site();
    let name = RwSignal::new(String::new());
    let link = RwSignal::new(None::<String>);
    let (busy, error) = (RwSignal::new(false), RwSignal::new(None::<OfficeError>));
    let submit = move |event: leptos::ev::SubmitEvent| {
        event.prevent_default();
        busy.set(true);
        spawn_local(async move {
            match create_invitation(on.id, name.get_untracked().trim().to_owned()).await {
                Ok(made) => {
                    link.try_set(Some(made.link));
                    name.try_set(String::new());
                    error.try_set(None);
                    on.live.again();
                }
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            busy.try_set(false);
        });
    };
    view! {
        <form class="row bottom" on:submit=submit>
            <div class="field narrow">
                <label for="invitation-name">{word("office.invitation_name")}</label>
                <input id="invitation-name" type="text" autocomplete="off" prop:value=move || name.get() on:input:target=move |event| name.set(event.target().value())/>
            </div>
            <button type="submit" class="button primary" disabled=move || busy.get()>{word("office.invite")}</button>
        </form>
        <Trouble error/>
        {move || link.get().map(|address| view! { <LinkOnce address link/> })}
    }
}

/// The link, once, with a button that copies it.
#[component]
fn LinkOnce(address: String, link: RwSignal<Option<String>>) -> impl IntoView {
    let copied = RwSignal::new(None::<&'static str>);
    let text = address.clone();
    let copy = move |_| {
        let promise = window().navigator().clipboard().write_text(&text);
        spawn_local(async move {
            let done = wasm_bindgen_futures::JsFuture::from(promise).await;
            copied.try_set(Some(if done.is_ok() {
                "office.copied"
            } else {
                "office.copy_by_hand"
            }));
        });
    };
    view! {
        <div class="notice stack-tight">
            <div class="field">
                <label for="invitation-link">{word("office.link_once")}</label>
                <input id="invitation-link" type="text" readonly prop:value=address on:focus:target=|event| event.target().select()/>
            </div>
            <div class="row">
                <button type="button" class="button primary" on:click=copy>{word("office.copy")}</button>
                <button type="button" class="button" on:click=move |_| link.set(None)>{word("office.link_noted")}</button>
                <span role="status">{move || copied.get().map(word)}</span>
            </div>
        </div>
    }
}

#[component]
fn One(invitation: InvitationView) -> impl IntoView {
    let on = on_site();
    let moment = move |at: i64| on.loaded.with_untracked(|loaded| loaded.moment(at));
    let now = on.loaded.with_untracked(|loaded| loaded.view.now);
    let state = match invitation.revoked_at {
        Some(at) => {
            view! { <span>{filled("office.revoked", &[("when", &moment(at))])}</span> }.into_any()
        }
        None if invitation.expires_at <= now => {
            view! { <span>{word("office.run_out")}</span> }.into_any()
        }
        None => view! { <Revoke id=invitation.id name=invitation.name.clone()/> }.into_any(),
    };
    view! {
        <tr>
            <th scope="row">{invitation.name.clone()}</th>
            <td data-label=word("office.column.made")>{moment(invitation.created_at)}</td>
            <td data-label=word("office.column.opens_until")>{moment(invitation.expires_at)}</td>
            <td data-label=word("office.column.state")>{state}</td>
        </tr>
    }
}

/// Revoking, with one question back.
#[component]
fn Revoke(id: Uuid, name: String) -> impl IntoView {
    let on = on_site();
    let (asking, busy, error) = (
        RwSignal::new(false),
        RwSignal::new(false),
        RwSignal::new(None::<OfficeError>),
    );
    let revoke = move |_| {
        busy.set(true);
        spawn_local(async move {
            match revoke_invitation(on.id, id).await {
                Ok(()) => on.live.again(),
                Err(reason) => {
                    error.try_set(Some(reason));
                }
            }
            busy.try_set(false);
        });
    };
    let label = filled("office.revoke_for", &[("name", &name)]);
    view! {
        <Show
            when=move || asking.get()
            fallback={
                let label = label.clone();
                move || view! { <button type="button" class="button small danger" aria-label=label.clone() on:click=move |_| asking.set(true)>{word("office.revoke")}</button> }
            }
        >
            <span class="row">
                <span>{word("office.revoke_sure")}</span>
                <button type="button" class="button small danger" disabled=move || busy.get() on:click=revoke>{word("office.revoke")}</button>
                <button type="button" class="button small" on:click=move |_| asking.set(false)>{word("office.strike_no")}</button>
            </span>
        </Show>
        <Trouble error/>
    }
}

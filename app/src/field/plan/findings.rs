//! What the tapes say about themselves, each with what can be done: tape again, tape one more, say which side.

use leptos::prelude::*;
use leptos::task::spawn_local;
use leptos_router::NavigateOptions;
use leptos_router::hooks::use_navigate;
use setdown_rules::frame::result::{Arg, Line};
use setdown_rules::network;
use setdown_rules::plan::Derived;
use setdown_rules::plan::ledger::Drawn;
use setdown_types::entry::Method;
use setdown_types::ids::SubjectId;
use setdown_types::quantity::Dimension;
use setdown_types::site::StreamKey;
use setdown_types::subject::SubjectKind;
use setdown_types::value::{PointList, Tie, TieKind, Value};

use super::reading::{length_question, metres};
use crate::device::NewAnswer;
use crate::field::address;
use crate::field::frame::say;
use crate::field::on_site::OnSite;
use crate::words::{Wording, filled, word};

/// One thing to know or answer.
#[derive(Clone, Debug, PartialEq)]
pub enum Finding {
    /// Points are not held in place.
    Loose {
        /// In words.
        text: String,
        /// The tape that holds them.
        tape: Option<[SubjectId; 2]>,
    },
    /// The tapes fit a mirror image as well.
    Mirror {
        /// In words.
        text: String,
        /// The point asked about, where to stand, and towards which point to look.
        points: [SubjectId; 3],
        /// Whether it is drawn on the left.
        drawn_left: bool,
    },
    /// A reading is mistaped.
    Mistaped {
        /// In words.
        text: String,
        /// What it can be, likeliest first, each with its question and what would explain it.
        suspects: Vec<Suspect>,
    },
    /// Anything else.
    Other {
        /// In words.
        text: String,
        /// The answer that it is about, where there is one.
        question: Option<StreamKey>,
    },
}

/// A reading that may be mistaped.
#[derive(Clone, Debug, PartialEq)]
pub struct Suspect {
    /// Where it is taped again.
    pub question: Option<StreamKey>,
    /// What it is called.
    pub name: String,
    /// By how much it is off, and which slip of the eye explains it.
    pub reasons: Vec<String>,
}

/// Keys of findings that are told by their own kinds here.
const TOLD: [&str; 7] = [
    "network.loose",
    "network.weak",
    "network.mirror.",
    "network.mistaped",
    "network.doubtful",
    "network.excess.",
    "network.slip.",
];

/// How many loose parts are told at a time.
const LOOSE_TOLD: usize = 2;

/// What is to be known, most pressing first.
pub fn findings(drawn: &Drawn, derived: &Derived, wording: &Wording<'_>) -> Vec<Finding> {
    let mut found = Vec::new();
    if let Some(network) = &derived.network {
        found.extend(
            network
                .mistaped
                .iter()
                .map(|one| mistaped(drawn, one, wording)),
        );
        found.extend(network.mirrors.iter().filter_map(|one| mirror(drawn, one)));
        // One tape at a time: every one that is added changes what is loose.
        found.extend(
            network
                .loose
                .iter()
                .take(LOOSE_TOLD)
                .map(|one| loose(drawn, one)),
        );
    }
    let others = derived.findings.iter();
    let others = others.filter(|line| !TOLD.iter().any(|told| line.key.starts_with(told)));
    found.extend(others.map(|line| Finding::Other {
        text: wording.line(line),
        question: about(drawn, line),
    }));
    found
}

/// The answer that a line names with its place in the plan.
fn about(drawn: &Drawn, line: &Line) -> Option<StreamKey> {
    let place = line.args.iter().find(|(name, _)| *name == "place");
    match place {
        Some((_, Arg::Text(place))) => drawn.origin(place).cloned(),
        _ => None,
    }
}

fn point(drawn: &Drawn, name: &str) -> Option<SubjectId> {
    let origin = drawn.origins.get(name)?;
    (origin.subject.kind == SubjectKind::PlanPoint).then_some(origin.subject.id)
}

fn loose(drawn: &Drawn, one: &network::LooseAnswer) -> Finding {
    let points = one.points.join(", ");
    let key = if one.free {
        "network.loose"
    } else {
        "network.weak"
    };
    let text = match &one.fix {
        Some([from, to]) => filled(key, &[("points", &points), ("from", from), ("to", to)]),
        None => filled(&format!("{key}.no_tape"), &[("points", &points)]),
    };
    let tape = one
        .fix
        .as_ref()
        .and_then(|[from, to]| Some([point(drawn, from)?, point(drawn, to)?]));
    Finding::Loose { text, tape }
}

fn mirror(drawn: &Drawn, one: &network::MirrorAnswer) -> Option<Finding> {
    let side = word(&format!("network.side.{}", one.drawn));
    let moved = one.moves.join(", ");
    let arguments = [
        ("from", one.from.as_str()),
        ("to", one.to.as_str()),
        ("point", one.point.as_str()),
        ("points", moved.as_str()),
        ("drawn", side.as_str()),
    ];
    let key = if one.whole {
        "network.mirror.whole"
    } else {
        "network.mirror.part"
    };
    Some(Finding::Mirror {
        text: filled(key, &arguments),
        points: [
            point(drawn, &one.point)?,
            point(drawn, &one.from)?,
            point(drawn, &one.to)?,
        ],
        drawn_left: one.drawn == "left",
    })
}

fn mistaped(drawn: &Drawn, one: &network::MistapedAnswer, wording: &Wording<'_>) -> Finding {
    let names: Vec<&str> = one
        .suspects
        .iter()
        .map(|suspect| suspect.id.as_str())
        .collect();
    let first = names.first().copied().unwrap_or_default();
    let text = match (one.sure, names.len()) {
        (true, 0..=1) => filled("network.mistaped", &[("reading", first)]),
        (true, count) => filled(
            "network.mistaped.either",
            &[
                ("count", &count.to_string()),
                ("readings", &names.join(", ")),
            ],
        ),
        (false, _) => filled("network.doubtful", &[("reading", first)]),
    };
    let suspects = one.suspects.iter().map(|suspect| Suspect {
        question: drawn.origin(&suspect.id).cloned(),
        name: suspect.id.clone(),
        reasons: reasons(suspect, wording),
    });
    Finding::Mistaped {
        text,
        suspects: suspects.collect(),
    }
}

/// By how much a suspect is off, and the slips that explain it.
fn reasons(suspect: &network::SuspectAnswer, wording: &Wording<'_>) -> Vec<String> {
    let length = |inches: f64| wording.quantity(Dimension::Length, metres(inches));
    let key = if suspect.excess > 0.0 {
        "network.excess.much"
    } else {
        "network.excess.little"
    };
    let excess = filled(
        key,
        &[
            ("reading", &suspect.id),
            ("excess", &length(suspect.excess.abs())),
        ],
    );
    let slips = suspect.slips.iter().map(|slip| {
        filled(
            &format!("network.slip.{}", slip.kind),
            &[
                ("reading", &suspect.id),
                ("count", &slip.count.abs().to_string()),
                ("showed", &length(slip.reading)),
            ],
        )
    });
    std::iter::once(excess).chain(slips).collect()
}

/// All findings, each with its buttons.
#[component]
pub fn Findings(
    /// The site.
    on_site: OnSite,
    /// What was found.
    found: Vec<Finding>,
) -> impl IntoView {
    if found.is_empty() {
        return ().into_any();
    }
    let rows = found
        .into_iter()
        .map(|one| finding_view(on_site, one))
        .collect_view();
    view! {
        <section class="findings" aria-label=word("plan.findings")>
            <h2>{word("plan.findings")}</h2>
            <ul class="plain stack">{rows}</ul>
        </section>
    }
    .into_any()
}

fn finding_view(on_site: OnSite, finding: Finding) -> AnyView {
    match finding {
        Finding::Other {
            text,
            question: None,
        } => view! { <li>{text}</li> }.into_any(),
        Finding::Other {
            text,
            question: Some(key),
        } => view! {
            <li class="notice"><p>{text}</p><a class="button" href=address::ask(on_site, &key)>{word("plan.look_again")}</a></li>
        }
        .into_any(),
        Finding::Loose { text, tape } => {
            let button = tape.map(|points| view! { <TapeThis on_site points/> });
            view! { <li class="notice"><p>{text}</p>{button}</li> }.into_any()
        }
        Finding::Mirror {
            text,
            points,
            drawn_left,
        } => {
            let busy = RwSignal::new(false);
            let side = move |left: bool| {
                let kind = if left {
                    TieKind::SideLeft
                } else {
                    TieKind::SideRight
                };
                let key = if left {
                    "plan.it_is_left"
                } else {
                    "plan.it_is_right"
                };
                let as_drawn = (left == drawn_left).then(|| format!(" {}", word("plan.as_drawn")));
                view! {
                    <button type="button" class="button" prop:disabled=move || busy.get()
                        on:click=move |_| add_tie(on_site, kind, points.to_vec(), busy, |_| {})>
                        {word(key)}{as_drawn}
                    </button>
                }
            };
            view! { <li class="notice"><p>{text}</p><div class="row">{side(true)} {side(false)}</div></li> }.into_any()
        }
        Finding::Mistaped { text, suspects } => {
            let rows = suspects
                .into_iter()
                .map(|suspect| suspect_view(on_site, suspect))
                .collect_view();
            view! { <li class="notice error"><p><strong>{text}</strong></p><ul class="plain stack">{rows}</ul></li> }.into_any()
        }
    }
}

fn suspect_view(on_site: OnSite, suspect: Suspect) -> AnyView {
    let reasons = suspect
        .reasons
        .into_iter()
        .map(|reason| view! { <p class="number">{reason}</p> })
        .collect_view();
    let again = suspect.question.map(|key| {
        let name = filled("plan.tape_again", &[("reading", &suspect.name)]);
        view! { <a class="button" href=address::ask(on_site, &key)>{name}</a> }
    });
    view! { <li>{reasons}{again}</li> }.into_any()
}

/// A button that adds the tape between two points and goes to its number.
#[component]
fn TapeThis(on_site: OnSite, points: [SubjectId; 2]) -> impl IntoView {
    let navigate = StoredValue::new_local(use_navigate());
    let busy = RwSignal::new(false);
    let tape = move |_| {
        add_tie(
            on_site,
            TieKind::Distance,
            points.to_vec(),
            busy,
            move |href| {
                // The list may have been drawn anew meanwhile: then the tape is in it, and nobody is sent anywhere.
                let _ =
                    navigate.try_with_value(|navigate| navigate(&href, NavigateOptions::default()));
            },
        );
    };
    view! { <button type="button" class="button" prop:disabled=move || busy.get() on:click=tape>{word("plan.tape_this")}</button> }
}

/// Adds a tie of points that are there, then `after` with the address of its number. A second tap while it is `busy`
/// adds nothing.
fn add_tie(
    on_site: OnSite,
    kind: TieKind,
    points: Vec<SubjectId>,
    busy: RwSignal<bool>,
    after: impl Fn(String) + 'static,
) {
    let Some(tie) = PointList::new(points)
        .ok()
        .and_then(|points| Tie::new(kind, points).ok())
    else {
        return;
    };
    if busy.get_untracked() {
        return;
    }
    busy.set(true);
    let subject = on_site.device.new_subject(SubjectKind::Tie);
    let new = NewAnswer::new(
        on_site.id,
        subject,
        "tie.present",
        Value::Tie(tie),
        Method::Seen,
    );
    spawn_local(async move {
        match on_site.device.append(new).await {
            Ok(_) => after(address::ask(on_site, &length_question(subject))),
            Err(error) => say(error.to_string()),
        }
        let _ = busy.try_set(false);
    });
}

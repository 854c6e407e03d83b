//! The way in, worked out beside the page: one worker at a time, its progress, and the answers so far.
//!
//! An answer is kept by the digest of its question, in memory and on the phone, so that a phone that was closed shows
//! it at once. A new question calls the old one off. Faults are told in words, and nothing else waits for any of this.

use std::cell::RefCell;
use std::collections::BTreeMap;
use std::sync::Arc;

use js_sys::Object;
use leptos::prelude::*;
use serde::Deserialize;
use serde::de::DeserializeOwned;
use setdown_rules::Ways;
use setdown_rules::motion::Certified;
use setdown_rules::motion::largest::{Extent, Measured};
use setdown_rules::plan::ledger::Wanted;
use wasm_bindgen::closure::Closure;
use wasm_bindgen::{JsCast, JsValue};
use wasm_bindgen_futures::spawn_local;
use web_sys::{MessageEvent, Worker, WorkerOptions, WorkerType};

use super::database::{META, set, text_at};
use super::{Device, inner};
use crate::words::{filled, word};

/// What stands before a digest in the store's small facts.
const PREFIX: &str = "way.";
/// Most answers kept on the phone: when there are as many, all of them make room and are worked out again where asked
/// for.
const MOST_KEPT: u32 = 24;

/// What the solver is doing.
#[derive(Clone, Debug, Default, PartialEq)]
pub enum Working {
    /// Nothing.
    #[default]
    Idle,
    /// At this question.
    At {
        /// Its digest.
        digest: String,
        /// Proved lower bound, inches.
        lower: Option<f64>,
        /// Proved upper bound, inches.
        upper: Option<f64>,
    },
    /// At the limit of one side.
    AtLargest(Measured),
    /// Called off by the person.
    CalledOff(String),
    /// It did not come to an end.
    Failed {
        /// Of which question.
        digest: String,
        /// Why, for people.
        why: String,
    },
}

/// A handle on the solver: what it says, and what is asked of it.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Way {
    opened: (),
}

impl Device {
    /// The solver of this page.
    pub const fn way(self) -> Way {
        Way { opened: () }
    }
}

/// A worker at work, with what it calls back; ended where it is dropped.
struct Run {
    digest: String,
    worker: Worker,
    _callbacks: [Closure<dyn FnMut(MessageEvent)>; 2],
}

impl Drop for Run {
    fn drop(&mut self) {
        self.worker.terminate();
    }
}

/// Limits found so far, by the name of what was sought.
type Limits = BTreeMap<String, Extent>;

/// Everything the page knows of ways.
struct State {
    run: RefCell<Option<Run>>,
    working: ArcRwSignal<Working>,
    ways: ArcRwSignal<Arc<Ways>>,
    limits: ArcRwSignal<Limits>,
}

thread_local! {
    static STATE: State = State {
        run: RefCell::new(None),
        working: ArcRwSignal::new(Working::Idle),
        ways: ArcRwSignal::new(Arc::new(Ways::default())),
        limits: ArcRwSignal::new(Limits::new()),
    };
}

fn working() -> ArcRwSignal<Working> {
    STATE.with(|state| state.working.clone())
}

/// Every answer that is there, as a signal.
pub fn ways() -> ArcRwSignal<Arc<Ways>> {
    STATE.with(|state| state.ways.clone())
}

impl Way {
    /// What the solver is doing.
    pub fn working(self) -> Signal<Working> {
        working().into()
    }

    /// Every answer that is there, by its question.
    pub fn ways(self) -> Signal<Arc<Ways>> {
        ways().into()
    }

    /// What the solver is doing about this question; idle where it works at another.
    pub fn working_at(self, digest: &str) -> Working {
        working().with(|working| match working {
            Working::At { digest: at, .. }
            | Working::CalledOff(at)
            | Working::Failed { digest: at, .. }
                if at == digest =>
            {
                working.clone()
            }
            _ => Working::Idle,
        })
    }

    /// The limit of one side of a question, where it was found.
    pub fn limit(self, wanted: &Wanted, side: Measured) -> Option<Extent> {
        let limits = STATE.with(|state| state.limits.clone());
        limits.with(|limits| limits.get(&limit_of(wanted, side)).copied())
    }

    /// Works out a question, unless its answer is there or it is being worked out; another one is called off.
    pub fn want(self, wanted: Wanted) {
        if known(&wanted.digest) || at(&wanted.digest) || called_off(&wanted.digest) {
            return;
        }
        self.begin(wanted);
    }

    /// Works out a question unless its answer is there.
    pub fn begin_unless_known(self, wanted: Wanted) {
        if !known(&wanted.digest) {
            self.begin(wanted);
        }
    }

    /// Works out a question again that was called off or failed.
    pub fn begin(self, wanted: Wanted) {
        end();
        working().set(Working::At {
            digest: wanted.digest.clone(),
            lower: None,
            upper: None,
        });
        spawn_local(async move {
            match kept(&wanted.digest).await {
                Some(certified) => finish(Arc::new(certified)),
                // Another question may have come while the store was read.
                None if at(&wanted.digest) => solve(&wanted),
                None => {}
            }
        });
    }

    /// Searches the limit of one side; the answer itself must be there already.
    pub fn search(self, wanted: &Wanted, side: Measured) {
        end();
        working().set(Working::AtLargest(side));
        let message = asked(wanted);
        let largest = Object::new();
        set(&largest, "longest", &(side == Measured::Length).into());
        set(&largest, "tailAtStart", &wanted.ends.tail_at_start.into());
        set(&largest, "headAtGoal", &wanted.ends.head_at_goal.into());
        set(&largest, "keeps", &wanted.demanded.clearance.into());
        set(&message, "largest", &largest);
        start(limit_of(wanted, side), &message);
    }

    /// Why the search for a limit did not come to its end, if it did not.
    pub fn search_failed(self, wanted: &Wanted, side: Measured) -> Option<String> {
        match self.working_at(&limit_of(wanted, side)) {
            Working::Failed { why, .. } => Some(why),
            _ => None,
        }
    }

    /// Ends what is under way.
    pub fn call_off(self) {
        let digest = STATE.with(|state| state.run.borrow().as_ref().map(|run| run.digest.clone()));
        end();
        working().set(digest.map_or(Working::Idle, Working::CalledOff));
    }
}

/// What a search for a limit is at: not the question itself, which has its answer.
fn limit_of(wanted: &Wanted, side: Measured) -> String {
    format!("{}.{}", wanted.digest, wanted.sought(side).name())
}

fn known(digest: &str) -> bool {
    ways().with_untracked(|ways| ways.get(digest).is_some())
}

/// Whether this question is being worked out or looked up.
fn at(digest: &str) -> bool {
    working()
        .with_untracked(|working| matches!(working, Working::At { digest: at, .. } if at == digest))
}

fn called_off(digest: &str) -> bool {
    working().with_untracked(|working| match working {
        Working::CalledOff(off) | Working::Failed { digest: off, .. } => off == digest,
        _ => false,
    })
}

fn end() {
    STATE.with(|state| drop(state.run.take()));
}

fn solve(wanted: &Wanted) {
    start(wanted.digest.clone(), &asked(wanted));
}

fn asked(wanted: &Wanted) -> Object {
    let message = Object::new();
    set(&message, "scene", &wanted.scene_text.as_str().into());
    set(&message, "resolution", &wanted.resolution.into());
    message
}

/// Starts a worker on a message.
fn start(digest: String, message: &Object) {
    match begun(&digest, message) {
        Ok(run) => STATE.with(|state| drop(state.run.replace(Some(run)))),
        Err(_) => fail(digest, word("way.work.no_worker")),
    }
}

fn begun(digest: &str, message: &Object) -> Result<Run, JsValue> {
    let address = text_at(&window(), "setdownSolverWorker").ok_or(JsValue::UNDEFINED)?;
    let options = WorkerOptions::new();
    options.set_type(WorkerType::Module);
    let worker = Worker::new_with_options(&address, &options)?;
    let of = digest.to_owned();
    let hears = Closure::<dyn FnMut(MessageEvent)>::new(move |event: MessageEvent| {
        hear(&of, &event.data())
    });
    worker.set_onmessage(Some(hears.as_ref().unchecked_ref()));
    let of = digest.to_owned();
    let breaks = Closure::<dyn FnMut(MessageEvent)>::new(move |_| {
        fail(of.clone(), word("way.work.no_worker"))
    });
    worker.set_onerror(Some(breaks.as_ref().unchecked_ref()));
    worker.post_message(message)?;
    Ok(Run {
        digest: digest.to_owned(),
        worker,
        _callbacks: [hears, breaks],
    })
}

/// What of the progress is read.
#[derive(Deserialize)]
struct Bounds {
    lower: Option<f64>,
    upper: Option<f64>,
}

fn read<T: DeserializeOwned>(message: &JsValue, name: &str) -> Option<T> {
    serde_json::from_str(&text_at(message, name)?).ok()
}

/// Takes a message of the worker that works at `digest`.
fn hear(digest: &str, message: &JsValue) {
    if let Some(Bounds { lower, upper }) = read(message, "progress") {
        let digest = digest.to_owned();
        working().set(Working::At {
            digest,
            lower,
            upper,
        });
    } else if let Some(certified) = read::<Certified>(message, "certified") {
        if certified.scene == digest {
            keep(certified);
        } else {
            fail(digest.to_owned(), word("way.work.other_version"));
        }
    } else if let Some(fault) = text_at(message, "fault") {
        fail(
            digest.to_owned(),
            filled("way.work.fault", &[("fault", &fault)]),
        );
    } else if let Some(extent) = read::<Extent>(message, "largest") {
        let limits = STATE.with(|state| state.limits.clone());
        limits.update(|limits| {
            limits.insert(digest.to_owned(), extent);
        });
        rest();
    } else {
        fail(digest.to_owned(), word("way.work.other_version"));
    }
}

/// Ends the worker a moment later: it is the one that is calling.
fn rest() {
    working().set(Working::Idle);
    spawn_local(async { end_if_idle() });
}

fn end_if_idle() {
    let busy = working()
        .with_untracked(|working| matches!(working, Working::At { .. } | Working::AtLargest(_)));
    if !busy {
        end();
    }
}

fn fail(digest: String, why: String) {
    working().set(Working::Failed { digest, why });
    spawn_local(async { end_if_idle() });
}

/// Takes an answer in and shows it.
fn finish(certified: Arc<Certified>) {
    ways().update(|ways| {
        let mut all = ways.as_ref().clone();
        all.insert(certified);
        *ways = Arc::new(all);
    });
    rest();
}

/// Takes an answer in, shows it, and keeps it on the phone. Where the phone cannot keep it, it is worked out again
/// the next time: nothing that a person entered is lost.
fn keep(certified: Certified) {
    let text = serde_json::to_string(&certified);
    let key = format!("{PREFIX}{}", certified.scene);
    finish(Arc::new(certified));
    let Ok(text) = text else { return };
    spawn_local(async move {
        let written = inner::get()
            .database
            .write(&[META], async |transaction| {
                if transaction.all_under(META, PREFIX).await?.length() >= MOST_KEPT {
                    transaction.delete_under(META, PREFIX)?;
                }
                transaction.put_text(META, &key, &text)
            })
            .await;
        if let Err(error) = written {
            leptos::logging::warn!("the way in was not kept: {error}");
        }
    });
}

/// The answer on the phone.
async fn kept(digest: &str) -> Option<Certified> {
    let key = format!("{PREFIX}{digest}");
    let read = inner::get()
        .database
        .read(&[META], async |transaction| {
            transaction.text(META, &key).await
        })
        .await;
    let certified: Certified = serde_json::from_str(&read.ok()??).ok()?;
    (certified.scene == digest).then_some(certified)
}

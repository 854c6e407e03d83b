//! A site as field screens read it: folded, with its sheets, its checks and (when asked for) its whole assessment.
//!
//! Checks are worked out once per version of the site, however many screens look at them.

use setdown_types::order;
use std::cell::RefCell;
use std::collections::BTreeSet;
use std::sync::{Arc, OnceLock};

use jiff::civil::Date;
use leptos::prelude::*;
use setdown_rules::frame::assess::{Input, assess_check};
use setdown_rules::frame::result::CheckResult;
use setdown_rules::frame::score::hold_points;
use setdown_rules::frame::walk::{Stop, waiting_for_delivery, walk};
use setdown_rules::plan::ledger::wanted;
use setdown_rules::{Assessment, Ways, assess_with, checks};
use setdown_types::ids::SiteId;
use setdown_types::party::Role;
use setdown_types::practice::PracticeSheet;
use setdown_types::question::visible;
use setdown_types::site::{Head, Site, StreamKey};
use setdown_types::spa::SpaSheet;
use setdown_types::subject::Subject;
use setdown_types::value::Value;

use crate::device::{Device, SiteView};

/// One version of a site with everything the rules need.
pub struct Assessed {
    /// The folded site.
    pub site: Arc<Site>,
    /// The spa sheet it is pinned to.
    pub spa: Arc<SpaSheet>,
    /// The practice sheet it is pinned to; the defaults where none is.
    pub practice: Arc<PracticeSheet>,
    /// Today at the site.
    pub today: Date,
    /// Every check.
    pub checks: Vec<CheckResult>,
    /// What is asked, in walking order; what waits for the delivery day comes last.
    pub stops: Vec<Stop>,
    on_the_day: BTreeSet<StreamKey>,
    role: Role,
    /// The ways in that are worked out.
    pub ways: Arc<Ways>,
    whole: OnceLock<Arc<Assessment>>,
}

impl Assessed {
    fn new(
        site: Arc<Site>,
        spa: Arc<SpaSheet>,
        practice: Arc<PracticeSheet>,
        today: Date,
        role: Role,
        ways: Arc<Ways>,
    ) -> Self {
        let input = Input {
            site: &site,
            spa: &spa,
            practice: &practice,
            today,
            suppose: None,
            ways: &ways,
        };
        let checks: Vec<CheckResult> = checks::all()
            .map(|check| assess_check(check, &input))
            .collect();
        let mut stops = walk(&site, &checks, role);
        let points = hold_points(&input, &checks, &spa.revision(), &practice.revision());
        let on_the_day = match role {
            Role::Homeowner => BTreeSet::new(),
            Role::Coordinator | Role::Office => waiting_for_delivery(&stops, &checks, &points),
        };
        order::sort_by_key(&mut stops, |stop| on_the_day.contains(&stop.stream));
        Self {
            site,
            spa,
            practice,
            today,
            checks,
            stops,
            on_the_day,
            role,
            ways,
            whole: OnceLock::new(),
        }
    }

    /// What the rules read.
    pub fn input(&self) -> Input<'_> {
        Input {
            site: &self.site,
            spa: &self.spa,
            practice: &self.practice,
            today: self.today,
            suppose: None,
            ways: &self.ways,
        }
    }

    /// Hold points, tasks and what to measure next; worked out at the first call.
    pub fn assessment(&self) -> Arc<Assessment> {
        Arc::clone(self.whole.get_or_init(|| {
            Arc::new(assess_with(
                &self.site,
                &self.spa,
                &self.practice,
                self.today,
                &self.ways,
            ))
        }))
    }

    /// The check with this key as it stands.
    pub fn check(&self, key: &str) -> Option<&CheckResult> {
        self.checks.iter().find(|check| check.key == key)
    }

    /// The check with this key, supposing `head` for `stream`.
    pub fn check_supposing(
        &self,
        key: &str,
        stream: &StreamKey,
        head: &Head,
    ) -> Option<CheckResult> {
        let input = Input {
            site: &self.site,
            spa: &self.spa,
            practice: &self.practice,
            today: self.today,
            suppose: Some((stream, head)),
            ways: &self.ways,
        };
        checks::find(key).map(|check| assess_check(check, &input))
    }

    /// Whether a question waits for the delivery day: the hold point worked towards comes before it, and nothing that comes
    /// before it reads the answer.
    pub fn is_on_the_day(&self, stop: &Stop) -> bool {
        self.on_the_day.contains(&stop.stream)
    }

    /// The first question that is still wanted and is not one of the delivery day.
    pub fn first_wanted(&self) -> Option<&Stop> {
        self.stops
            .iter()
            .find(|stop| stop.wanted() && !self.is_on_the_day(stop))
    }

    /// The stop of a question, with its place in the walk.
    pub fn stop(&self, stream: &StreamKey) -> Option<(usize, &Stop)> {
        self.stops
            .iter()
            .enumerate()
            .find(|(_, stop)| stop.stream == *stream)
    }
}

/// What can be shown of a site.
#[derive(Clone)]
pub enum SiteState {
    /// Its entries are being read from the store.
    Loading,
    /// It is not on this phone.
    NotHere,
    /// The sheet of its spa or the dealer's own is not on this phone, or the office has not pinned the first.
    NoSheet,
    /// Everything is there.
    Ready(Arc<Assessed>),
}

impl PartialEq for SiteState {
    fn eq(&self, other: &Self) -> bool {
        match (self, other) {
            (Self::Ready(one), Self::Ready(other)) => Arc::ptr_eq(one, other),
            (one, other) => one.kind() == other.kind(),
        }
    }
}

impl SiteState {
    /// The kind of [`SiteState::NoSheet`].
    pub const NO_SHEET: u8 = 2;
    /// The kind of [`SiteState::Ready`].
    pub const READY: u8 = 3;

    /// Which of the four, as a number that changes only when the whole screen must.
    pub const fn kind(&self) -> u8 {
        match self {
            Self::Loading => 0,
            Self::NotHere => 1,
            Self::NoSheet => Self::NO_SHEET,
            Self::Ready(_) => Self::READY,
        }
    }
}

/// One site with its device, as a token for closures.
#[derive(Clone, Copy)]
pub struct OnSite {
    /// The store.
    pub device: Device,
    /// Which site.
    pub id: SiteId,
    /// The site as the device has it.
    pub view: Signal<SiteView>,
    /// What can be shown.
    pub state: Memo<SiteState>,
}

impl OnSite {
    /// Reads a site.
    pub fn new(device: Device, id: SiteId) -> Self {
        let view = device.site(id);
        let session = device.session();
        let state = Memo::new(move |_| {
            let role = session
                .get()
                .map_or(Role::Coordinator, |session| session.role);
            let ways = device.way().ways().get();
            view.with(|view| state_of(view, role, &ways))
        });
        // The way in is worked out beside every screen, so that its check is never older than the plan.
        Effect::new(move |_| {
            if let SiteState::Ready(now) = state.get()
                && let Some(wanted) = wanted(&now.input())
            {
                device.way().want(wanted);
            }
        });
        Self {
            device,
            id,
            view,
            state,
        }
    }

    /// The assessed site, tracked; `None` where it cannot be assessed.
    pub fn assessed(self) -> Option<Arc<Assessed>> {
        match self.state.get() {
            SiteState::Ready(assessed) => Some(assessed),
            _ => None,
        }
    }

    /// The same, not tracked.
    pub fn assessed_now(self) -> Option<Arc<Assessed>> {
        untrack(move || self.assessed())
    }

    /// Whether a homeowner is asked: in plain words, without methods and spreads. Tracked.
    pub fn home(self) -> bool {
        self.device
            .session()
            .get()
            .is_some_and(|session| session.role == Role::Homeowner)
    }

    /// The same, not tracked.
    pub fn home_now(self) -> bool {
        untrack(move || self.home())
    }

    /// Whether who is here may see answers to a question: on a shared phone there may be others' as well. Tracked.
    pub fn shows(self, question: &str) -> bool {
        self.device.session().with(|session| {
            session
                .as_ref()
                .is_none_or(|session| visible(question, session.role))
        })
    }

    /// The site's name.
    pub fn name(self) -> String {
        self.view
            .with(|view| view.card.as_ref().map(|card| card.name.clone()))
            .unwrap_or_default()
    }
}

/// What was assessed last, with the roles and sheets it rests on.
type Last = Option<(SiteId, Arc<Site>, String, String, Arc<Assessed>)>;

thread_local! {
    static LAST: RefCell<Last> = const { RefCell::new(None) };
}

fn state_of(view: &SiteView, role: Role, ways: &Arc<Ways>) -> SiteState {
    if !view.loaded {
        return SiteState::Loading;
    }
    if view.card.is_none() && view.records.is_empty() {
        return SiteState::NotHere;
    }
    let spa_digest = pinned(&view.site, "site.spa").unwrap_or_default();
    let Some(spa) = document::<SpaSheet>(view, &spa_digest) else {
        return SiteState::NoSheet;
    };
    let practice_digest = pinned(&view.site, "site.practice");
    // Nothing is judged by the defaults while the dealer's own limits are still to come.
    let practice = match &practice_digest {
        Some(digest) => document::<PracticeSheet>(view, digest),
        None => Some(PracticeSheet::default()),
    };
    let Some(practice) = practice else {
        return SiteState::NoSheet;
    };
    let practice_digest = practice_digest.unwrap_or_default();
    let today = view.today.unwrap_or_else(today_here);
    let known = LAST.with_borrow(|last| {
        last.as_ref()
            .filter(|(id, site, spa, practice, assessed)| {
                *id == view.id
                    && Arc::ptr_eq(site, &view.site)
                    && *spa == spa_digest
                    && *practice == practice_digest
                    && assessed.today == today
                    && assessed.role == role
                    && Arc::ptr_eq(&assessed.ways, ways)
            })
            .map(|(.., assessed)| Arc::clone(assessed))
    });
    if let Some(known) = known {
        return SiteState::Ready(known);
    }
    let assessed = Arc::new(Assessed::new(
        Arc::clone(&view.site),
        Arc::new(spa),
        Arc::new(practice),
        today,
        role,
        Arc::clone(ways),
    ));
    LAST.set(Some((
        view.id,
        Arc::clone(&view.site),
        spa_digest,
        practice_digest,
        Arc::clone(&assessed),
    )));
    SiteState::Ready(assessed)
}

/// The digest a site is pinned to.
fn pinned(site: &Site, question: &str) -> Option<String> {
    match site
        .stream(Subject::SITE, question)?
        .leading()?
        .value
        .as_ref()?
    {
        Value::Pin(digest) => Some(digest.clone()),
        _ => None,
    }
}

fn document<T: serde::de::DeserializeOwned>(view: &SiteView, digest: &str) -> Option<T> {
    serde_json::from_str(&view.documents.get(digest)?.body).ok()
}

/// The phone's own date, where the site's time zone is not known.
fn today_here() -> Date {
    let now = js_sys::Date::new_0();
    let year = i16::try_from(now.get_full_year()).unwrap_or(2000);
    let month = i8::try_from(now.get_month() + 1).unwrap_or(1);
    let day = i8::try_from(now.get_date()).unwrap_or(1);
    Date::new(year, month, day).unwrap_or_default()
}

/// Minutes that this phone's clock is ahead of UTC, for showing times.
pub fn offset_minutes() -> i64 {
    // Whole minutes, within a day.
    -(js_sys::Date::new_0().get_timezone_offset() as i64)
}

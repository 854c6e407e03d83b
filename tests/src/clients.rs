//! Clients by role: each signs in as a person of the demo and writes entries in their name.

use reqwest::{Method as HttpMethod, RequestBuilder, StatusCode};
use serde_json::{Value as Json, json};
use setdown_server::demo::{DEALERS, Dealer, PASSWORD};
use setdown_types::entry::{Entry, Intent, Method, Payload, SCHEMA, Stamp};
use setdown_types::ids::{BootId, DeviceId, EntryId, SiteId, SubjectId};
use setdown_types::party::Role;
use setdown_types::subject::{Subject, SubjectKind};
use setdown_types::value::Value;
use setdown_types::wire::{PROTOCOL, Pulled, Pushed, Session, SiteList, Verdict};
use uuid::Uuid;

use crate::server::World;

/// Somebody who is signed in.
pub struct Client {
    http: reqwest::Client,
    base: String,
    /// Who it is.
    pub session: Session,
    /// The device it writes on.
    pub device: DeviceId,
    /// Its page load.
    pub boot: BootId,
}

impl World {
    /// The valley dealer's coordinator.
    pub async fn as_coordinator(&self) -> Client {
        self.signed_in(&DEALERS[0], Role::Coordinator).await
    }

    /// The valley dealer's office.
    pub async fn as_office(&self) -> Client {
        self.signed_in(&DEALERS[0], Role::Office).await
    }

    /// The holder of the invitation to the valley dealer's first site.
    pub async fn as_homeowner(&self) -> Client {
        let message = json!({ "token": self.invitation });
        Client::enter(&self.at(""), "/api/invitation/open", &message).await
    }

    /// Somebody of the coast dealer.
    pub async fn as_stranger(&self, role: Role) -> Client {
        self.signed_in(&DEALERS[1], role).await
    }

    /// Any of the three, at the valley dealer.
    pub async fn as_role(&self, role: Role) -> Client {
        match role {
            Role::Coordinator => self.as_coordinator().await,
            Role::Office => self.as_office().await,
            Role::Homeowner => self.as_homeowner().await,
        }
    }

    async fn signed_in(&self, dealer: &Dealer, role: Role) -> Client {
        Client::sign_in(&self.at(""), &dealer.sign_in(role)).await
    }
}

impl Client {
    /// Signs in with the demo's password.
    pub async fn sign_in(base: &str, name: &str) -> Self {
        let message = json!({ "sign_in": name, "password": PASSWORD });
        Self::enter(base, "/api/sign-in", &message).await
    }

    async fn enter(base: &str, path: &str, message: &Json) -> Self {
        setdown_server::photo_location::install_tls();
        let http = reqwest::Client::builder()
            .cookie_store(true)
            .build()
            .expect("a client");
        let answer = http
            .post(format!("{base}{path}"))
            .json(message)
            .send()
            .await
            .expect("an answer");
        assert_eq!(answer.status(), StatusCode::OK, "{path}");
        Self {
            session: answer.json().await.expect("a session"),
            http,
            base: base.to_owned(),
            device: DeviceId(Uuid::new_v4()),
            boot: BootId(Uuid::new_v4()),
        }
    }

    /// A request to a path.
    pub fn request(&self, method: HttpMethod, path: &str) -> RequestBuilder {
        self.http.request(method, format!("{}{path}", self.base))
    }

    /// Asks for a path: status and JSON.
    pub async fn get(&self, path: &str) -> (StatusCode, Json) {
        answered(self.request(HttpMethod::GET, path)).await
    }

    /// Sends JSON: status and JSON.
    pub async fn post(&self, path: &str, message: &Json) -> (StatusCode, Json) {
        answered(self.request(HttpMethod::POST, path).json(message)).await
    }

    /// The sites it may take along.
    pub async fn sites(&self) -> SiteList {
        let (status, list) = self.get("/api/sync/sites").await;
        assert_eq!(status, StatusCode::OK);
        serde_json::from_value(list).expect("a list of sites")
    }

    /// Its own site where it is invited, else the first of the list.
    pub async fn site(&self) -> SiteId {
        match self.session.site {
            Some(site) => site,
            None => self.sites().await.sites.first().expect("a site").site,
        }
    }

    /// An entry in its name.
    pub fn entry(&self, site: SiteId, subject: Subject, question: &str, value: Value) -> Entry {
        Entry {
            id: EntryId(Uuid::now_v7()),
            organisation: self.session.organisation,
            site,
            subject,
            question: question.to_owned(),
            payload: Payload::Known(value),
            spread: None,
            method: Method::Tape,
            intent: Intent::First,
            replaces: Vec::new(),
            author: self.session.person,
            role: self.session.role,
            device: self.device,
            stamp: Stamp {
                wall: 0,
                boot: self.boot,
                monotonic: 1_000,
                counter: 1,
            },
            schema: SCHEMA,
        }
    }

    /// A reading about a thing of its own, under a question that only the tests know.
    pub fn reading(&self, site: SiteId) -> Entry {
        let subject = Subject::new(SubjectKind::Opening, SubjectId(Uuid::new_v4()));
        self.entry(site, subject, "trial.count", Value::Count(7))
    }

    /// Pushes entries as raw JSON texts: one verdict each.
    pub async fn push_raw(&self, raws: &[String]) -> Vec<Verdict> {
        let answer = self.push_body(raws).send().await.expect("an answer");
        assert_eq!(answer.status(), StatusCode::OK);
        let pushed: Pushed = answer.json().await.expect("verdicts");
        pushed
            .verdicts
            .into_iter()
            .map(|verdict| verdict.verdict)
            .collect()
    }

    /// The request of a push.
    pub fn push_body(&self, raws: &[String]) -> RequestBuilder {
        let body = format!(
            r#"{{"protocol":{PROTOCOL},"device":"{}","boot":"{}","monotonic":5000,"entries":[{}]}}"#,
            self.device,
            self.boot,
            raws.join(",")
        );
        self.request(HttpMethod::POST, "/api/sync/push")
            .header("content-type", "application/json")
            .body(body)
    }

    /// Pushes entries: one verdict each.
    pub async fn push(&self, entries: &[Entry]) -> Vec<Verdict> {
        let raws: Vec<String> = entries
            .iter()
            .map(|entry| entry.to_json().expect("a known value"))
            .collect();
        self.push_raw(&raws).await
    }

    /// Pushes one entry.
    pub async fn push_one(&self, entry: &Entry) -> Verdict {
        self.push(std::slice::from_ref(entry)).await.remove(0)
    }

    /// Pulls one page.
    pub async fn pull(&self, site: SiteId, after: u64) -> Pulled {
        let path = format!("/api/sync/pull?site={site}&after={after}");
        let answer = self
            .request(HttpMethod::GET, &path)
            .send()
            .await
            .expect("an answer");
        assert_eq!(answer.status(), StatusCode::OK);
        let bytes = answer.bytes().await.expect("a body");
        serde_json::from_slice(&bytes).expect("a page")
    }
}

/// Sends a request: status and JSON (null where there is none).
pub async fn answered(request: RequestBuilder) -> (StatusCode, Json) {
    let answer = request.send().await.expect("an answer");
    let status = answer.status();
    let bytes = answer.bytes().await.expect("a body");
    (status, serde_json::from_slice(&bytes).unwrap_or(Json::Null))
}

/// The seq of an accepted entry.
pub fn seq(verdict: &Verdict) -> u64 {
    match verdict {
        Verdict::Accepted(acceptance) | Verdict::Duplicate(acceptance) => acceptance.seq,
        other => panic!("not accepted: {other:?}"),
    }
}

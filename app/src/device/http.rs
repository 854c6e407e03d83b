//! Requests to the server: each has a time limit, and only its answer decides whether there is a network.

use std::rc::Rc;

use gloo_net::http::{Method, RequestBuilder, Response};
use gloo_timers::callback::Timeout;
use js_sys::Uint8Array;
use serde::Serialize;
use serde::de::DeserializeOwned;
use setdown_types::wire::Problem;
use wasm_bindgen::JsValue;
use web_sys::AbortController;

use super::types::RequestError;

/// How long the server may take to begin an answer, milliseconds.
const ANSWER_LIMIT: u32 = 8_000;
/// Bytes that even a weak signal gets across in a millisecond: what is sent adds that much to [`ANSWER_LIMIT`].
const SLOW_BYTES: usize = 16;
/// How long the rest of an answer may trickle, milliseconds.
const BODY_LIMIT: u32 = 30_000;
/// How long the server may take where it has to work before it answers: a password takes its time by intent.
const PATIENT_LIMIT: u32 = 30_000;
/// How long a photo may take to get across, milliseconds.
const PHOTO_LIMIT: u32 = 120_000;

/// What is sent along.
enum Body<'a> {
    Nothing,
    Json(String),
    Bytes(&'a [u8], &'a str),
}

/// Asks for JSON.
pub async fn get<T: DeserializeOwned>(path: &str) -> Result<T, RequestError> {
    read(&call(Method::GET, path, Body::Nothing, ANSWER_LIMIT).await?)
}

/// Sends JSON and reads JSON.
pub async fn post<B: Serialize, T: DeserializeOwned>(
    path: &str,
    body: &B,
) -> Result<T, RequestError> {
    read(&post_for_bytes(path, body, ANSWER_LIMIT).await?)
}

/// The same where the server has to work before it answers.
pub async fn post_patiently<B: Serialize, T: DeserializeOwned>(
    path: &str,
    body: &B,
) -> Result<T, RequestError> {
    read(&post_for_bytes(path, body, PATIENT_LIMIT).await?)
}

/// Sends JSON; whatever the answer says beside its status is not read.
pub async fn post_plain<B: Serialize>(path: &str, body: &B) -> Result<(), RequestError> {
    post_for_bytes(path, body, ANSWER_LIMIT).await.map(|_| ())
}

async fn post_for_bytes<B: Serialize>(
    path: &str,
    body: &B,
    limit: u32,
) -> Result<Vec<u8>, RequestError> {
    let body =
        serde_json::to_string(body).map_err(|error| RequestError::Answer(error.to_string()))?;
    let across = u32::try_from(body.len() / SLOW_BYTES).unwrap_or(u32::MAX);
    call(
        Method::POST,
        path,
        Body::Json(body),
        limit.saturating_add(across),
    )
    .await
}

/// Asks for bytes.
pub async fn get_bytes(path: &str) -> Result<Vec<u8>, RequestError> {
    call(Method::GET, path, Body::Nothing, ANSWER_LIMIT).await
}

/// Sends the bytes of a photo and reads JSON.
pub async fn put_photo<T: DeserializeOwned>(
    path: &str,
    bytes: &[u8],
    media_type: &str,
) -> Result<T, RequestError> {
    read(
        &call(
            Method::PUT,
            path,
            Body::Bytes(bytes, media_type),
            PHOTO_LIMIT,
        )
        .await?,
    )
}

fn read<T: DeserializeOwned>(bytes: &[u8]) -> Result<T, RequestError> {
    serde_json::from_slice(bytes).map_err(|error| RequestError::Answer(error.to_string()))
}

async fn call(
    method: Method,
    path: &str,
    body: Body<'_>,
    limit: u32,
) -> Result<Vec<u8>, RequestError> {
    let controller = AbortController::new().map_err(|_| RequestError::Offline)?;
    let controller = Rc::new(controller);
    let timer = abort_after(&controller, limit);
    let builder = RequestBuilder::new(path)
        .method(method)
        .header("accept", "application/json")
        .cache(web_sys::RequestCache::NoStore)
        .abort_signal(Some(&controller.signal()));
    let request = match body {
        Body::Nothing => builder.build(),
        Body::Json(text) => builder
            .header("content-type", "application/json")
            .body(text),
        Body::Bytes(bytes, media_type) => builder
            .header("content-type", media_type)
            .body(JsValue::from(Uint8Array::from(bytes))),
    };
    let request = request.map_err(|error| RequestError::Answer(error.to_string()))?;
    let response = request.send().await.map_err(|_| RequestError::Offline)?;
    timer.cancel();
    let timer = abort_after(&controller, BODY_LIMIT);
    let bytes = response.binary().await.map_err(|_| RequestError::Offline)?;
    timer.cancel();
    if response.ok() {
        Ok(bytes)
    } else {
        Err(refusal(&response, &bytes))
    }
}

fn abort_after(controller: &Rc<AbortController>, limit: u32) -> Timeout {
    let controller = Rc::clone(controller);
    Timeout::new(limit, move || controller.abort())
}

/// What an answer other than 2xx means. Answers of something between here and the server count as no network.
fn refusal(response: &Response, bytes: &[u8]) -> RequestError {
    let problem: Option<Problem> = serde_json::from_slice(bytes).ok();
    let text = problem.map(|problem| problem.detail);
    let status = response.status();
    match (status, text) {
        (401, text) => {
            RequestError::NotSignedIn(text.unwrap_or_else(|| {
                "Sign in to go on. Everything on this phone is kept.".to_owned()
            }))
        }
        (426, _) => RequestError::UpdateNeeded,
        // The server says in words that it has no such site or photo; whatever stands in between does not.
        (404 | 502..=504, None) => RequestError::Offline,
        (status, Some(text)) => RequestError::Server { status, text },
        (status, None) => RequestError::Server {
            status,
            text: format!(
                "The server answered {status}. Nothing was lost; it is tried again later."
            ),
        },
    }
}

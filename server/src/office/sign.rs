//! Signing a hold point: on the findings that were shown, or not at all.

use setdown_app::office::messages::{OfficeError, OfficeSignature, Written};
use setdown_rules::frame::result::{HoldPointResult, HoldState};
use setdown_types::entry::{Intent, Method, Payload};
use setdown_types::site::StreamKey;
use setdown_types::subject::Subject;
use setdown_types::value::{Signature, Value};
use setdown_types::wire::Session;

use super::append::Draft;
use super::{Office, told};

impl Office {
    pub(super) async fn sign_hold_point(
        &self,
        caller: &Session,
        sign: OfficeSignature,
    ) -> Result<Written, OfficeError> {
        let assessed = self.assessed(caller, sign.site).await?;
        let name = crate::store::plain("the name", &sign.name, 200).map_err(told)?;
        if name.is_empty() {
            return Err(OfficeError::bad_input("Write the name you sign with."));
        }
        let point = assessed
            .assessment
            .hold_points
            .iter()
            .find(|point| point.hold_point == sign.hold_point)
            .ok_or_else(|| OfficeError::not_found("hold point"))?;
        may_sign(point, &sign.digest)?;
        let stream = StreamKey::new(Subject::SITE, sign.hold_point.question());
        let replaces = assessed
            .site
            .stream(stream.subject, &stream.question)
            .map_or_else(Vec::new, |stream| stream.heads.clone());
        let signature = Signature {
            hold_point: sign.hold_point.key().to_owned(),
            digest: point.digest.clone(),
            rules: assessed.assessment.rules.to_string(),
            spa: assessed.assessment.spa.clone(),
            practice: assessed.assessment.practice.clone(),
            date: assessed.today,
            name,
            findings: point.findings.clone(),
        };
        let draft = Draft {
            stream,
            intent: if replaces.is_empty() {
                Intent::First
            } else {
                Intent::Changed
            },
            replaces,
            payload: Payload::Known(Value::Signature(signature)),
            spread: None,
            method: Method::Document,
        };
        self.append(caller, sign.site, draft).await
    }
}

/// Whether a hold point may be signed on the findings that were shown.
fn may_sign(point: &HoldPointResult, digest: &str) -> Result<(), OfficeError> {
    if point.digest != digest {
        return Err(OfficeError::changed(
            "The findings have changed since they were shown. Nothing was signed: look at them again.",
            Vec::new(),
        ));
    }
    match point.state {
        HoldState::ReadyToSign | HoldState::Signed => Ok(()),
        _ => Err(OfficeError::not_ready(
            "Not every check that this hold point names is clear. Nothing was signed.",
            point.worst.iter().map(ToString::to_string).collect(),
        )),
    }
}

//! Questions about papers and stages: documents pinned, notes, permits, certificates, signatures.

use super::AnswerKind::{Photo, Pin, Signature, Text};
use super::{Question, Station};
use crate::subject::SubjectKind;

const fn sign(key: &'static str) -> Question {
    Question::new(key, SubjectKind::Site, Station::Papers, Signature).office()
}

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    Question::new("site.spa", SubjectKind::Site, Station::Start, Pin).office(),
    Question::new("site.practice", SubjectKind::Site, Station::Start, Pin).office(),
    Question::new("site.note", SubjectKind::Site, Station::Start, Text).homeowner(),
    Question::new("site.photo", SubjectKind::Site, Station::Start, Photo).homeowner(),
    sign("sign.order"),
    sign("sign.dig"),
    sign("sign.close_in"),
    sign("sign.deliver"),
    sign("sign.fill"),
    sign("sign.start"),
    sign("sign.first_use"),
];

//! Questions about papers: documents pinned, notes, permits, certificates, what is agreed before the ground is broken.

use super::AnswerKind::{Attestation, Choice, Choices, Date, Photo, Pin, Signature, Text, YesNo};
use super::{AnswerKind, Question, Station};
use crate::subject::SubjectKind;

/// How far a permission has got.
const PERMISSION: AnswerKind = Choice(&[
    "not_asked",
    "applied",
    "issued",
    "issued_without_end",
    "refused",
    "not_required",
]);

const fn sign(key: &'static str) -> Question {
    Question::new(key, SubjectKind::Site, Station::Papers, Signature).office()
}

const fn paper(key: &'static str, kind: AnswerKind) -> Question {
    Question::new(key, SubjectKind::Site, Station::Papers, kind)
}

/// The questions, in the order in which they are asked.
pub const QUESTIONS: &[Question] = &[
    Question::new("site.spa", SubjectKind::Site, Station::Start, Pin).office(),
    Question::new("site.practice", SubjectKind::Site, Station::Start, Pin).office(),
    Question::new("site.note", SubjectKind::Site, Station::Start, Text).homeowner(),
    Question::new("site.photo", SubjectKind::Site, Station::Start, Photo).homeowner(),
    // For the dealer's people only.
    Question::new("site.staff_note", SubjectKind::Site, Station::Start, Text).staff_only(),
    Question::new("site.staff_photo", SubjectKind::Site, Station::Start, Photo).staff_only(),
    // Permits.
    paper("permit.building", PERMISSION).minutes(10.0),
    paper("permit.building_said_by", Text).minutes(2.0),
    paper("permit.building_expires", Date),
    paper("permit.electrical", PERMISSION).minutes(10.0),
    paper("permit.electrical_said_by", Text).minutes(2.0),
    paper("permit.electrical_expires", Date),
    paper("association.must_approve", YesNo).homeowner(),
    paper(
        "association.approval",
        Choice(&["not_asked", "applied", "approved", "refused"]),
    )
    .homeowner(),
    // What is buried.
    paper("utilities.digging", YesNo),
    paper("utilities.ticket", Text).minutes(2.0),
    paper("utilities.ticket_expires", Date),
    paper("utilities.all_marked", YesNo).minutes(5.0),
    paper(
        "utilities.private_lines",
        Choice(&["marked", "none_after_search", "not_looked_for"]),
    )
    .minutes(10.0),
    paper("dig.finished_on", Date),
    // The street, the hours, the neighbour, the certificates.
    paper("permit.street_needed", YesNo).minutes(5.0),
    paper("permit.street", PERMISSION).minutes(10.0),
    paper("permit.street_said_by", Text).minutes(2.0),
    paper("permit.street_expires", Date),
    paper("street.traffic_plan", YesNo).minutes(3.0),
    paper("hours.limited", YesNo).minutes(3.0),
    paper("hours.fits", YesNo),
    paper("neighbour.land_used", YesNo).homeowner(),
    paper(
        "neighbour.agreed",
        Choice(&["not_asked", "by_word", "in_writing", "refused"]),
    )
    .minutes(5.0)
    .homeowner(),
    paper("insurance.expires", Date).minutes(5.0),
    paper("operator.certificate_expires", Date).minutes(5.0),
    // Agreed and marked before ordering and digging.
    paper(
        "order.way_paid_by",
        Choice(&["dealer", "homeowner", "shared"]),
    )
    .minutes(5.0),
    paper("order.way_paid_signed_on", Date),
    paper("dig.stub_up_marked", YesNo).minutes(3.0),
    paper("dig.conduit_marked", YesNo).minutes(3.0),
    // Seen before it is covered up.
    paper(
        "close_in.parts",
        Choices(&["conduit", "drain", "bonding", "none"]),
    ),
    paper("close_in.photo_conduit", Photo),
    paper("close_in.photo_drain", Photo),
    paper("close_in.photo_bonding", Photo),
    paper(
        "close_in.inspection",
        Choice(&["not_yet", "passed", "failed", "not_required"]),
    )
    .minutes(5.0),
    paper("close_in.inspected_on", Date),
    paper("close_in.said_by", Text).minutes(2.0),
    // Words of licensed people, signatures.
    paper("attest.cover_safety", Attestation).minutes(10.0),
    sign("sign.order"),
    sign("sign.dig"),
    sign("sign.close_in"),
    sign("sign.deliver"),
    sign("sign.fill"),
    sign("sign.start"),
    sign("sign.first_use"),
];

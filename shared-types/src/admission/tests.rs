//! Tests of admission: verdicts, release of held entries, redaction, bridging of clocks.

use super::*;
use crate::entry::{Method, SCHEMA, Stamp};
use crate::ids::SubjectId;
use crate::subject::{Subject, SubjectKind};
use crate::value::Value;
use uuid::Uuid;

const ORGANISATION: OrganisationId = OrganisationId(Uuid::from_u128(1));
const SITE: SiteId = SiteId(Uuid::from_u128(2));
const PERSON: PersonId = PersonId(Uuid::from_u128(3));
const DEVICE: DeviceId = DeviceId(Uuid::from_u128(4));
const BOOT: BootId = BootId(Uuid::from_u128(5));

fn writer() -> Writer {
    Writer {
        person: PERSON,
        role: Role::Coordinator,
        organisation: ORGANISATION,
        site: None,
    }
}

fn arrival() -> Arrival {
    Arrival {
        device: DEVICE,
        boot: BOOT,
        monotonic: 5_000,
        received_at: 1_000_000,
    }
}

fn entry(id: u128, replaces: &[u128]) -> Entry {
    Entry {
        id: EntryId(Uuid::from_u128(id)),
        organisation: ORGANISATION,
        site: SITE,
        subject: Subject::new(SubjectKind::Opening, SubjectId(Uuid::from_u128(9))),
        question: "opening.test_width".into(),
        payload: crate::entry::Payload::Known(Value::Count(7)),
        spread: None,
        method: Method::Tape,
        intent: if replaces.is_empty() {
            Intent::First
        } else {
            Intent::Correct
        },
        replaces: replaces
            .iter()
            .map(|id| EntryId(Uuid::from_u128(*id)))
            .collect(),
        author: PERSON,
        role: Role::Coordinator,
        device: DEVICE,
        stamp: Stamp {
            wall: 0,
            boot: BOOT,
            monotonic: 2_000,
            counter: 1,
        },
        schema: SCHEMA,
    }
}

fn json(entry: &Entry) -> String {
    entry.to_json().unwrap()
}

fn site() -> MemorySite {
    MemorySite::new(ORGANISATION, SITE)
}

fn push(site: &mut MemorySite, entry: &Entry) -> Verdict {
    push_raw(site, &writer(), &json(entry))
        .verdicts
        .remove(0)
        .verdict
}

fn push_raw(site: &mut MemorySite, writer: &Writer, raw: &str) -> Outcome {
    site.push(writer, &arrival(), &[raw])
}

fn seq(verdict: &Verdict) -> Option<u64> {
    match verdict {
        Verdict::Accepted(acceptance) | Verdict::Duplicate(acceptance) => Some(acceptance.seq),
        _ => None,
    }
}

#[test]
fn a_retry_is_a_duplicate_and_other_bytes_are_refused() {
    let mut site = site();
    let first = entry(10, &[]);
    assert_eq!(seq(&push(&mut site, &first)), Some(1));
    assert!(
        matches!(push(&mut site, &first), Verdict::Duplicate(acceptance) if acceptance.seq == 1)
    );
    let mut other = first.clone();
    other.spread = Some(1);
    assert_eq!(
        push(&mut site, &other),
        Verdict::Refused(Refusal::OtherBytes)
    );
    assert_eq!(site.last_seq(), 1);
}

#[test]
fn what_is_held_is_released_in_order_when_its_parent_comes() {
    let mut site = site();
    assert_eq!(push(&mut site, &entry(12, &[11])), Verdict::Held);
    assert_eq!(push(&mut site, &entry(11, &[10])), Verdict::Held);
    assert_eq!(push(&mut site, &entry(11, &[10])), Verdict::Held);
    assert!(site.pull(0, 10).entries.is_empty());
    let outcome = push_raw(&mut site, &writer(), &json(&entry(10, &[])));
    let order: Vec<u128> = outcome.accepted.iter().map(|id| id.0.as_u128()).collect();
    assert_eq!(order, [10, 11, 12]);
    assert_eq!(site.last_seq(), 3);
}

#[test]
fn children_of_refused_entries_are_taken_and_the_refused_one_is_looked_through() {
    let mut site = site();
    push(&mut site, &entry(10, &[]));
    let mut refused = entry(11, &[10]);
    refused.intent = Intent::Redact;
    assert_eq!(
        push(&mut site, &refused),
        Verdict::Refused(Refusal::NotAllowed)
    );
    assert_eq!(seq(&push(&mut site, &entry(12, &[11]))), Some(2));
    let page = site.pull(1, 10);
    assert_eq!(page.refused.len(), 1);
    assert!(!page.refused[0].raw.contains("value"));
    let stream = StreamKey::new(entry(10, &[]).subject, "opening.test_width");
    assert_eq!(
        site.fold().streams()[&stream].heads,
        [EntryId(Uuid::from_u128(12))]
    );
}

#[test]
fn nobody_writes_for_somebody_else_or_somewhere_else() {
    let mut site = site();
    let mut other = entry(10, &[]);
    other.author = PersonId(Uuid::from_u128(33));
    assert_eq!(push(&mut site, &other), Verdict::Refused(Refusal::NotYours));
    let mut office = entry(11, &[]);
    office.role = Role::Office;
    assert_eq!(
        push(&mut site, &office),
        Verdict::Refused(Refusal::NotYours)
    );
    let mut foreign = entry(10, &[]);
    foreign.organisation = OrganisationId(Uuid::from_u128(99));
    assert_eq!(
        push(&mut site, &foreign),
        Verdict::Refused(Refusal::OtherSite)
    );
    let invited = Writer {
        site: Some(SiteId(Uuid::from_u128(98))),
        ..writer()
    };
    let outcome = push_raw(&mut site, &invited, &json(&entry(10, &[])));
    assert_eq!(
        outcome.verdicts[0].verdict,
        Verdict::Refused(Refusal::OtherSite)
    );
    assert!(outcome.changed.is_empty());
    assert_eq!(seq(&push(&mut site, &entry(10, &[]))), Some(1));
}

#[test]
fn an_entry_replaces_only_inside_its_stream() {
    let mut site = site();
    push(&mut site, &entry(10, &[]));
    let mut other = entry(11, &[10]);
    other.question = "opening.test_height".into();
    assert_eq!(
        push(&mut site, &other),
        Verdict::Refused(Refusal::OtherStream)
    );
    let mut strike = entry(12, &[10]);
    strike.intent = Intent::Strike;
    strike.question = "opening.test_height".into();
    assert_eq!(
        push(&mut site, &strike),
        Verdict::Refused(Refusal::OtherStream)
    );
}

#[test]
fn a_redaction_takes_the_content_out_and_a_retry_stays_harmless() {
    let mut site = site();
    let office = Writer {
        role: Role::Office,
        ..writer()
    };
    let told = json(&entry(10, &[])).replace("\"count\":7", "\"rumour\":\"secret\"");
    push_raw(&mut site, &writer(), &told);
    let mut redaction = entry(11, &[10]);
    redaction.intent = Intent::Redact;
    redaction.role = Role::Office;
    redaction.subject = Subject::SITE;
    redaction.payload = crate::entry::Payload::Nothing;
    let outcome = push_raw(&mut site, &office, &json(&redaction));
    assert_eq!(outcome.redacted, [EntryId(Uuid::from_u128(10))]);
    let kept = site.find(EntryId(Uuid::from_u128(10))).unwrap();
    assert!(!kept.raw.contains("secret") && kept.digest.is_none());
    assert_eq!(
        seq(&push_raw(&mut site, &writer(), &told).verdicts[0].verdict),
        Some(1)
    );
    assert!(
        !site
            .pull(0, 9)
            .entries
            .iter()
            .any(|record| record.raw.contains("secret"))
    );
}

#[test]
fn unreadable_bytes_are_refused_and_do_not_hold_what_follows() {
    let mut site = site();
    let raw = json(&entry(10, &[])).replace("\"coordinator\"", "\"inspector\"");
    let verdict = push_raw(&mut site, &writer(), &raw).verdicts.remove(0);
    assert_eq!(verdict.id, EntryId(Uuid::from_u128(10)));
    assert!(matches!(
        verdict.verdict,
        Verdict::Refused(Refusal::Malformed(_))
    ));
    assert_eq!(seq(&push(&mut site, &entry(11, &[10]))), Some(1));
    let nothing = push_raw(&mut site, &writer(), "7").verdicts.remove(0);
    assert_eq!(nothing.id, EntryId::NIL);
}

#[test]
fn clocks_are_bridged_only_inside_one_page_load() {
    assert_eq!(arrival().effective_at(&entry(10, &[])), Some(997_000));
    let mut rebooted = entry(10, &[]);
    rebooted.stamp.boot = BootId(Uuid::from_u128(55));
    assert_eq!(arrival().effective_at(&rebooted), None);
    let mut later = entry(10, &[]);
    later.stamp.monotonic = 5_001;
    assert_eq!(arrival().effective_at(&later), None);
}

#[test]
fn pages_follow_the_cursor_and_only_the_last_carries_the_digest() {
    let mut site = site();
    for id in 10..15 {
        let mut one = entry(id, &[]);
        one.intent = Intent::Repeat;
        push(&mut site, &one);
    }
    let first = site.pull(0, 3);
    assert!(first.more && first.digest.is_none() && first.entries.len() == 3);
    let last = site.pull(3, 3);
    assert!(!last.more && last.digest.is_some() && last.entries.len() == 2);
}

#[test]
fn what_a_refusal_keeps_quotes_nothing() {
    let mut site = site();
    let raw = json(&entry(10, &[])).replace("\"coordinator\"", "\"gate code 4711\"");
    let verdict = push_raw(&mut site, &writer(), &raw)
        .verdicts
        .remove(0)
        .verdict;
    let Verdict::Refused(Refusal::Malformed(reason)) = verdict else {
        panic!("{verdict:?}");
    };
    assert!(
        reason.contains("column") && !reason.contains("4711"),
        "{reason}"
    );
}

#[test]
fn a_photo_without_a_hash_is_no_entry() {
    let mut site = site();
    let photo = r#"{"photo":{"sha256":"a\u0000b","media_type":"image/png","width":1,"height":1,"bytes":1}}"#;
    let raw = json(&entry(10, &[])).replace(r#"{"count":7}"#, photo);
    let verdict = push_raw(&mut site, &writer(), &raw)
        .verdicts
        .remove(0)
        .verdict;
    assert!(matches!(verdict, Verdict::Refused(Refusal::Malformed(_))));
    let named = raw.replace("a\\u0000b", &"0".repeat(64));
    assert!(Entry::from_json(&named).is_ok(), "{named}");
}

#[test]
fn a_pin_needs_its_sheet_where_somebody_looked() {
    let mut pin = entry(10, &[]);
    pin.question = "site.spa".into();
    pin.subject = Subject::SITE;
    pin.role = Role::Office;
    pin.payload = crate::entry::Payload::Known(Value::Pin("abc".into()));
    let office = Writer {
        role: Role::Office,
        ..writer()
    };
    let mut push = |sheets: Option<&[(&'static str, &str)]>, id: u128| {
        pin.id = EntryId(Uuid::from_u128(id));
        let mut surroundings = Surroundings {
            sheets: sheets.map(|sheets| {
                let owned = sheets
                    .iter()
                    .map(|(kind, digest)| (*kind, (*digest).into()));
                owned.collect()
            }),
            waiting: 0,
        };
        let raw = json(&pin);
        let mut site = site();
        let outcome = site.push_among(&mut surroundings, &office, &arrival(), &[&raw]);
        outcome.verdicts[0].verdict.clone()
    };
    assert_eq!(seq(&push(None, 10)), Some(1));
    assert_eq!(seq(&push(Some(&[("spa", "abc")]), 11)), Some(1));
    for other in [&[][..], &[("practice", "abc")], &[("spa", "ab")]] {
        let verdict = push(Some(other), 12);
        assert_eq!(verdict, Verdict::Refused(Refusal::NoSuchSheet));
    }
}

#[test]
fn a_signature_of_other_findings_is_refused_and_an_old_one_signs_nothing() {
    use crate::value::Signature;
    let mut signed = entry(10, &[]);
    signed.question = "sign.order".into();
    signed.subject = Subject::SITE;
    signed.role = Role::Office;
    let office = Writer {
        role: Role::Office,
        ..writer()
    };
    signed.payload = crate::entry::Payload::Known(Value::Signature(Signature {
        hold_point: "order".into(),
        digest: digest_hex(b"other findings"),
        rules: "1".into(),
        spa: String::new(),
        practice: String::new(),
        date: jiff::civil::date(2026, 11, 25),
        name: "somebody".into(),
        findings: "{}".into(),
    }));
    let refused = Verdict::Refused(Refusal::OtherFindings);
    let outcome = push_raw(&mut site(), &office, &json(&signed));
    assert_eq!(outcome.verdicts[0].verdict, refused);
    let record = crate::ledger::Record {
        raw: json(&signed),
        entry: signed,
        standing: Standing::Unsent,
    };
    let folded = crate::ledger::fold([&record]);
    let stream = folded.stream(Subject::SITE, "sign.order").unwrap();
    assert_eq!(
        stream.heads,
        [record.entry.id],
        "it stands and can be replaced"
    );
    assert_eq!(stream.leading().unwrap().value, None);
}

#[test]
fn pages_are_bounded_by_bytes_as_well() {
    use crate::wire::MAX_PAGE_BYTES;
    let mut site = site();
    let lengths = [
        MAX_PAGE_BYTES - 9000,
        9000,
        9000,
        MAX_PAGE_BYTES - 1000,
        1,
        1,
    ];
    for (place, length) in lengths.into_iter().enumerate() {
        let mut long = entry(10 + u128::try_from(place).unwrap(), &[]);
        long.payload = crate::entry::Payload::Known(Value::Text("x".repeat(length)));
        assert!(seq(&push(&mut site, &long)).is_some());
    }
    let (mut after, mut counts) = (0, Vec::new());
    loop {
        let page = site.pull(after, 100);
        counts.push(page.entries.len());
        after += u64::try_from(page.entries.len()).unwrap();
        assert_eq!(page.digest.is_some(), !page.more);
        if !page.more {
            break;
        }
    }
    assert_eq!(counts, [1, 2, 1, 2]);
}

//! Senders that go away before they hear the answer: what their push brings about comes about all the same.

use std::time::Duration;

use reqwest::StatusCode;
use setdown_tests::clients::seq;
use setdown_tests::server::{BOTH, World};
use setdown_types::admission::{Arrival, Writer};
use setdown_types::digest::digest_hex;
use setdown_types::entry::{Intent, Payload};
use setdown_types::wire::Verdict;

use super::photos::{picture, put, show};

#[tokio::test(flavor = "multi_thread")]
async fn a_push_whose_sender_goes_away_is_told_to_the_others_and_takes_out_what_it_takes_out() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let site = office.site().await;
        let bytes = picture(29, 29);
        let sha = digest_hex(&bytes);
        let mut pokes = world.state.events.listen();
        let shown = show(&office, site, &bytes).await;
        pokes.recv().await.expect("the photo's entry is told");
        assert_eq!(put(&office, &sha, bytes).await, StatusCode::OK);
        let mut redaction = office.reading(site);
        redaction.intent = Intent::Redact;
        redaction.payload = Payload::Nothing;
        redaction.replaces = vec![shown.id];
        let arrival = Arrival {
            device: office.device,
            boot: office.boot,
            monotonic: 5000,
            received_at: 1,
        };
        let raw = redaction.to_json().unwrap();
        let writer = Writer::from(&office.session);
        // Dropped at its first wait.
        let raws = [raw.as_str()];
        let push = world.state.push(&writer, &arrival, &raws);
        assert!(tokio::time::timeout(Duration::ZERO, push).await.is_err());
        let poke = tokio::time::timeout(Duration::from_secs(20), async {
            while pokes.recv().await.expect("a poke").site != site {}
        });
        assert!(poke.await.is_ok(), "{database:?}: nobody was told");
        let kept = world.photos().join(office.session.organisation.to_string());
        assert!(!kept.join(&sha).exists(), "{database:?}");
        let stale = world.state.store.stale_sites().await.unwrap();
        assert!(stale.iter().all(|(_, stale)| *stale != site));
        let again = office.push_one(&redaction).await;
        assert!(matches!(again, Verdict::Duplicate(_)), "{again:?}");
        seq(&again);
    }
}

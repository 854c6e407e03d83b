//! Other sizes of the unit, asked at the desk: proved for a yard that is settled, refused for one that is not.

use reqwest::StatusCode;
use serde_json::{Value as Json, json};
use setdown_tests::clients::Client;
use setdown_tests::server::{BOTH, World};
use setdown_types::ids::SiteId;
use setdown_types::party::Role;

/// The demo's yards: one taped to the end, one measured half.
const TAPED: &str = "Corner lot with a side gate";
const HALF: &str = "Hillside house";

async fn named(client: &Client, name: &str) -> SiteId {
    let list = client.sites().await;
    let found = list.sites.iter().find(|site| site.name == name);
    found.expect("the demo has it").site
}

async fn ask(client: &Client, site: SiteId, asked: Json) -> (StatusCode, Json) {
    let message = json!({ "site": site, "asked": asked });
    client.post("/api/office/other-size", &message).await
}

/// What is said to be proved of the limit holds for lengths tried on either side of it.
#[tokio::test(flavor = "multi_thread")]
async fn other_sizes_are_proved_where_the_way_is_settled() {
    for database in BOTH {
        let world = World::start(database).await;
        let office = world.as_office().await;
        let coordinator = world.as_coordinator().await;
        let longest = || json!({ "largest": "length" });
        let half = named(&coordinator, HALF).await;
        let (status, problem) = ask(&office, half, longest()).await;
        assert_eq!(status, StatusCode::BAD_REQUEST, "{problem}");
        let site = named(&coordinator, TAPED).await;
        let (status, _) = ask(&coordinator, site, longest()).await;
        assert_eq!(status, StatusCode::FORBIDDEN);
        let stranger = world.as_stranger(Role::Office).await;
        let (status, _) = ask(&stranger, site, longest()).await;
        assert_eq!(status, StatusCode::NOT_FOUND);

        let (status, answer) = ask(&office, site, longest()).await;
        assert_eq!(status, StatusCode::OK, "{answer}");
        let bound = |name: &str| answer["limit"][name].as_f64().expect("a bound");
        let (passes, fails) = (bound("passes"), bound("fails"));
        assert!(passes < fails && fails - passes < 0.25, "{answer}");
        for (inches, verdict) in [(passes - 0.2, "route"), (fails + 0.2, "no_route")] {
            let (status, answer) = ask(&office, site, json!({ "length": inches })).await;
            assert_eq!(status, StatusCode::OK, "{answer}");
            assert_eq!(answer["tried"]["verdict"], verdict, "{inches}: {answer}");
        }
        for senseless in [0.5, -3.0, 1e300] {
            let (status, problem) = ask(&office, site, json!({ "length": senseless })).await;
            assert_eq!(status, StatusCode::BAD_REQUEST, "{problem}");
        }
    }
}

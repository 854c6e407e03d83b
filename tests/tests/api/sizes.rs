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

/// The demo's running clearance, inches.
const CLEARANCE: f64 = 2.0;

async fn named(client: &Client, name: &str) -> SiteId {
    let list = client.sites().await;
    let found = list.sites.iter().find(|site| site.name == name);
    found.expect("the demo has it").site
}

async fn ask(client: &Client, (site, way): (SiteId, &str), asked: Json) -> (StatusCode, Json) {
    let message = json!({ "site": site, "way": way, "asked": asked });
    client.post("/api/office/other-size", &message).await
}

/// The name of the way in that the desk shows.
async fn way_of(office: &Client, site: SiteId) -> String {
    let (status, view) = office
        .post("/api/office/site", &json!({ "site": site }))
        .await;
    assert_eq!(status, StatusCode::OK, "{view}");
    view["way"]["scene"].as_str().unwrap_or_default().to_owned()
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
        let (status, problem) = ask(&office, (half, ""), longest()).await;
        assert_eq!(status, StatusCode::BAD_REQUEST, "{problem}");
        let site = named(&coordinator, TAPED).await;
        let way = way_of(&office, site).await;
        let here = (site, way.as_str());
        let (status, _) = ask(&coordinator, here, longest()).await;
        assert_eq!(status, StatusCode::FORBIDDEN);
        let stranger = world.as_stranger(Role::Office).await;
        let (status, _) = ask(&stranger, here, longest()).await;
        assert_eq!(status, StatusCode::NOT_FOUND);
        let (status, problem) = ask(&office, (site, "another yard"), longest()).await;
        assert_eq!(status, StatusCode::CONFLICT, "{problem}");

        let (status, answer) = ask(&office, here, longest()).await;
        assert_eq!(status, StatusCode::OK, "{answer}");
        assert_eq!(ask(&office, here, longest()).await.1, answer);
        let bound = |name: &str| answer["limit"][name].as_f64().expect("a bound");
        let (passes, fails) = (bound("passes"), bound("fails"));
        assert!(passes < fails && fails - passes < 0.25, "{answer}");
        // A tried length's bounds are a tenth of an inch apart.
        for (inches, keeps) in [(passes - 0.3, true), (fails + 0.3, false)] {
            let (status, answer) = ask(&office, here, json!({ "length": inches })).await;
            assert_eq!(status, StatusCode::OK, "{answer}");
            let bound = if keeps { "lower" } else { "upper" };
            let bound = answer["tried"][bound].as_f64().expect("a bound");
            assert_eq!(bound >= CLEARANCE, keeps, "{inches}: {answer}");
        }
        for senseless in [0.5, -3.0, 1e300] {
            let (status, problem) = ask(&office, here, json!({ "length": senseless })).await;
            assert_eq!(status, StatusCode::BAD_REQUEST, "{problem}");
        }
    }
}

//! A way in walked leg by leg with no server in reach: proved, played, narrowed until it is proved shut, and proved again.

use serde_json::{Value, json};
use setdown_app::parts::other_sizes_text::limit_text;
use setdown_app::words::{filled, word};
use setdown_rules::motion::answer::{Answer, Verdict};
use setdown_rules::motion::certified::RESOLUTION;
use setdown_rules::motion::largest::{Ends, Extent, Measured, Sought, largest_unit};
use setdown_rules::motion::{Options, certify_scene, file};
use setdown_rules::plan::ledger::Demanded;
use setdown_rules::plan::{read, scene};
use setdown_tests::browser::Failure;
use setdown_tests::yard::{LIMIT, Yard, page_says, phone, press, sign_in, strip_says, take_along};

use setdown_types::quantity::UnitSystem;

use crate::yard_hands::{Hands, SITE, written};

/// One leg as it is walked, inches and degrees: left and right of the line, along it, the turn at its end.
struct Walked {
    name: &'static str,
    left: f64,
    right: f64,
    length: f64,
    turn: Option<i32>,
}

/// The demo's driveway and side yard, whose lengths are measured already, and a back yard to the left of their end.
const LEGS: [Walked; 3] = [
    Walked {
        name: "driveway",
        left: 67.0,
        right: 68.0,
        length: 456.0,
        turn: Some(0),
    },
    Walked {
        name: "side yard",
        left: 53.0,
        right: 54.0,
        length: 348.0,
        turn: Some(90),
    },
    Walked {
        name: "back yard",
        left: 120.0,
        right: 120.0,
        length: 372.0,
        turn: None,
    },
];
/// What the side yard is narrowed to on its left: 93 in in all, for a unit 95 in wide.
const NARROWED: f64 = 39.0;
/// Where the demo's side gate is on the side yard, to the near face of its posts, and its left post off the line.
const GATE: [f64; 2] = [24.0, 51.0];
/// The outdoor unit on the right of the driveway: from and to along it, from and to off the line.
const OUTDOOR_UNIT: [f64; 4] = [300.0, 336.0, 54.0, 68.0];

/// What the rules say natively to the plan file of these legs, as the README of such files has it. The unit's shipping
/// size is on the demo's sheet; 8 in of room are more than is of interest, and the unit stands 5 in inside both ends.
fn native(side_yard_left: f64) -> Result<Answer, Failure> {
    Ok(certify_scene(&native_scene(side_yard_left)?, RESOLUTION)?.answer)
}

fn native_scene(side_yard_left: f64) -> Result<String, Failure> {
    let mut legs: Vec<Value> = LEGS
        .iter()
        .map(|leg| json!({ "id": leg.name, "left": leg.left, "right": leg.right, "length": leg.length }))
        .collect();
    for (written, leg) in legs.iter_mut().zip(&LEGS) {
        if let Some(turn) = leg.turn {
            written["turn"] = json!(turn);
        }
    }
    let [along, along_to, off, off_to] = OUTDOOR_UNIT;
    legs[0]["things"] = json!([{ "id": "outdoor unit", "kind": "unit_outdoor",
        "along": [along, along_to], "left": [-off_to, -off], "removable": true, "trouble": 90 }]);
    legs[1]["left"] = json!(side_yard_left);
    legs[1]["gates"] =
        json!([{ "id": "side gate", "along": GATE[0], "left": GATE[1], "width": 102.25 }]);
    let inside = 228.0 / 2.0 + 5.0;
    let file = json!({ "spread": 0.25, "angle_spread": 1.0, "unit": { "L": 228.0, "W": 95.0 }, "enough": DEMANDED.clearance + 6.0, "goal_symmetric": true, "legs": legs,
        "truck_stand": { "at": { "leg": "driveway", "along": inside }, "heading": { "leg": "driveway" } },
        "spot": { "at": { "leg": "back yard", "along": LEGS[2].length - inside }, "heading": { "leg": "back yard" } } });
    let derived = read(&file.to_string()).map_err(|complaint| complaint.to_string())?;
    let plan = derived.plan.ok_or("legs are tied")?;
    let scene = scene(&plan).map_err(|missing| format!("{missing:?}"))?;
    Ok(scene.file.to_string())
}

/// The running clearance of the demo's practice sheet.
const DEMANDED: Demanded = Demanded {
    clearance: 2.0,
    fixed_axle: false,
};

/// The longest unit, natively: its tail 5 in inside the beginning and its head 5 in inside the end, whatever its length.
fn native_longest() -> Result<Extent, Failure> {
    let scene = file::read(&native_scene(LEGS[1].left)?)?;
    let ends = Ends {
        tail_at_start: true,
        head_at_goal: true,
    };
    let most_cells = Options::default().most_cells;
    let sought = Sought {
        side: Measured::Length,
        ends,
        keeps: DEMANDED.clearance,
    };
    Ok(largest_unit(&scene, sought, most_cells)?)
}

/// The bounds as the way's screen words them.
fn bounds(answer: &Answer) -> Result<String, Failure> {
    let lower = answer
        .lower
        .map_or_else(|| Ok(word("way.bound.none")), written)?;
    let upper = written(answer.upper)?;
    Ok(filled(
        "way.bounds_of",
        &[("lower", &lower), ("upper", &upper)],
    ))
}

#[tokio::test]
async fn a_way_is_walked_in_legs_proved_shut_and_proved_again_with_no_server() -> Result<(), Failure>
{
    let yard = Yard::new().await?;
    let server = yard.start();
    let profile = tempfile::tempdir()?;
    let browser = phone(profile.path()).await?;
    sign_in(&browser, &yard, "valley-coordinator", "/field").await?;
    let id = take_along(&browser, SITE).await?;
    browser.until_kept_for_offline().await?;
    server.kill();

    let mut hands = Hands::new(&browser, "legs");
    hands.before_the_plan(&yard, &id).await?;
    walked(&mut hands).await?;
    gate_and_thing(&mut hands).await?;
    ends(&mut hands).await?;
    proved(&mut hands).await?;
    shut(&mut hands).await?;
    proved_again(&mut hands).await?;
    strip_says(&browser, "only on this phone").await
}

async fn walked(hands: &mut Hands<'_>) -> Result<(), Failure> {
    press(hands.phone, &word("choice.plan.basis.legs")).await?;
    page_says(hands.phone, &word("plan.nothing_drawn.legs")).await?;
    assert_eq!(hands.phone.run(COMPLAINS).await?, "");
    hands.look("begin").await?;
    let [driveway, side_yard, back_yard] = &LEGS;
    measured(hands, driveway).await?;
    turned(hands, driveway).await?;
    // One leg is measured and the next one is not: nothing is wrong with that.
    assert_eq!(hands.phone.run(COMPLAINS).await?, "");
    hands.look("one-leg").await?;
    measured(hands, side_yard).await?;
    press(hands.phone, &word("plan.add_leg")).await?;
    hands.at("/leg.present").await?;
    hands.phone.write(".entry textarea", back_yard.name).await?;
    hands.keep().await?;
    measured(hands, back_yard).await?;
    // The last leg turns nowhere: how far this one does is asked once another one follows.
    turned(hands, side_yard).await?;
    hands.look("legs").await
}

/// What the plan's screen calls wrong.
const COMPLAINS: &str =
    "const error = document.querySelector('.notice.error'); return error ? error.textContent : '';";

/// Says how wide and how long a leg is. What else is asked about it on the way is left for later.
async fn measured(hands: &mut Hands<'_>, leg: &Walked) -> Result<(), Failure> {
    let lengths = [
        ("leg.width_left", leg.left),
        ("leg.width_right", leg.right),
        ("leg.length", leg.length),
    ];
    for (question, inches) in lengths {
        hands.come_to(leg.name, question).await?;
        hands.length(&written(inches)?).await?;
    }
    hands.back_to_plan().await
}

/// Says how far the way turns at the end of a leg.
async fn turned(hands: &mut Hands<'_>, leg: &Walked) -> Result<(), Failure> {
    hands.come_to(leg.name, "leg.turn").await?;
    hands.look("turn").await?;
    hands.number(leg.turn.unwrap_or_default()).await?;
    hands.back_to_plan().await
}

/// The demo's gate is put on the side yard, and something stands beside the driveway.
async fn gate_and_thing(hands: &mut Hands<'_>) -> Result<(), Failure> {
    hands.come_to("side gate", "opening.on_leg").await?;
    hands.look("which-leg").await?;
    hands.pick_thing("side yard").await?;
    let [along, left] = GATE;
    for (question, inches) in [("opening.along", along), ("opening.left", left)] {
        hands.come_to("side gate", question).await?;
        hands.length(&written(inches)?).await?;
    }
    hands.back_to_plan().await?;
    hands.look("gate").await?;
    let add = filled("things.add", &[("kind", &word("kind.one.plan_thing"))]);
    hands.press_hidden(&add).await?;
    hands.at("/plan_thing.present").await?;
    hands.phone.write(".entry textarea", "outdoor unit").await?;
    hands.keep().await?;
    loop {
        let question = hands.asked().await?;
        match question.as_str() {
            "plan_thing.kind" => hands.choice(&question, "unit_outdoor").await?,
            "plan_thing.leg" => hands.pick_thing("driveway").await?,
            "plan_thing.along" => hands.length(&written(OUTDOOR_UNIT[0])?).await?,
            "plan_thing.along_to" => hands.length(&written(OUTDOOR_UNIT[1])?).await?,
            "plan_thing.side" => hands.choice(&question, "right").await?,
            "plan_thing.left" => hands.length(&written(OUTDOOR_UNIT[2])?).await?,
            "plan_thing.left_to" => hands.length(&written(OUTDOOR_UNIT[3])?).await?,
            "plan_thing.removable" => hands.choice("entry", "yes").await?,
            "plan_thing.trouble" => hands.number(90).await?,
            "plan" => break,
            other => return Err(format!("the thing is asked for {other}").into()),
        }
    }
    hands.look("thing").await
}

/// The spot is where the last leg ends; what remains is said on the plan, then the compass.
async fn ends(hands: &mut Hands<'_>) -> Result<(), Failure> {
    for question in ["way.legs_listed", "plan.either_end", "plan.complete"] {
        hands.site(question, "yes").await?;
        hands.at("/plan").await?;
    }
    let arrow = "return !!document.querySelector('.plan .north');";
    assert_eq!(hands.phone.run(arrow).await?, false);
    hands.follow("/ask/site/plan.bearing").await?;
    hands.at("/plan.bearing").await?;
    hands.number(90).await?;
    hands.at("/plan").await?;
    hands.phone.until("north", LIMIT, arrow).await?;
    hands.look("drawn").await
}

/// Waits until what is proved is worded so; other words there are a failure.
async fn verdict(hands: &Hands<'_>, key: &str) -> Result<(), Failure> {
    let said = "const said = document.querySelector('.way-verdict [role=status]'); return said ? said.textContent : '';";
    let script = format!("return (() => {{ {said} }})() === {:?};", word(key));
    let waited = hands.phone.until(key, LIMIT, &script).await;
    let shown = hands.phone.run(said).await?;
    waited.map_err(|error| format!("{error}; said is {shown}").into())
}

async fn proved(hands: &mut Hands<'_>) -> Result<(), Failure> {
    let answer = native(LEGS[1].left)?;
    assert_eq!(answer.verdict, Verdict::Route);
    hands.follow("/way").await?;
    hands.at("/way").await?;
    verdict(hands, "way.verdict.route").await?;
    page_says(hands.phone, &bounds(&answer)?).await?;
    hands.look("way").await?;
    let mut at = Vec::new();
    let unit = "const unit = document.querySelector('.plan .moving .unit'); return unit ? unit.getAttribute('d') : '';";
    at.push(hands.phone.run(unit).await?);
    for _ in &answer.moves {
        hands
            .phone
            .tap(".playback button", &word("way.play.next"))
            .await?;
        let last = at.last().cloned().unwrap_or_default();
        let moved = format!("return (() => {{ {unit} }})() !== {last};");
        hands.phone.until("the unit to move", LIMIT, &moved).await?;
        at.push(hands.phone.run(unit).await?);
        if at.len() == answer.moves.len().div_ceil(2) {
            hands.look("played").await?;
        }
    }
    let circled = "return document.querySelectorAll('.plan circle.pinch').length;";
    let pinches = hands.phone.run(circled).await?.as_u64().unwrap_or_default();
    assert!(pinches > 0, "the narrow places are circled");
    let turns = "return [...document.querySelectorAll('.moves li')].map((each) => each.textContent.trim()).filter((each) => each.startsWith('Turn'));";
    let turns = hands.phone.run(turns).await?;
    let told = turns.as_array().ok_or("a list")?.iter();
    let mut told = told.filter_map(serde_json::Value::as_str);
    assert!(
        told.any(|turn| turn.starts_with("Turn left by 90° about")),
        "round the corner of the house in one: {turns}"
    );
    hands.look("arrived").await?;
    hands.look_at_print("way").await?;
    longest(hands).await
}

/// The longest unit is found as it is natively: it reaches further in from the same ends.
async fn longest(hands: &mut Hands<'_>) -> Result<(), Failure> {
    let extent = native_longest()?;
    let passes = extent.passes.filter(|_| extent.fails.is_some());
    assert!(
        passes.is_some_and(|passes| passes > 228.0),
        "the unit itself passes: {extent:?}"
    );
    press(hands.phone, &word("way.longest.ask")).await?;
    let told = limit_text(Measured::Length, extent, DEMANDED, UnitSystem::Us);
    page_says(hands.phone, &told).await?;
    hands.look("longest").await
}

/// The side yard is taped again and found too narrow.
async fn shut(hands: &mut Hands<'_>) -> Result<(), Failure> {
    assert_eq!(native(NARROWED)?.verdict, Verdict::NoRoute);
    hands.follow("/plan").await?;
    hands.at("/plan").await?;
    hands.follow_in("side yard", "/leg.width_left").await?;
    hands.at("/leg.width_left").await?;
    hands.length(&written(NARROWED)?).await?;
    hands.back_to_plan().await?;
    hands.follow("/way").await?;
    verdict(hands, "way.verdict.no_route").await?;
    page_says(hands.phone, &word("roll.way.proved_shut")).await?;
    hands.look("shut").await
}

/// The second reading was a mistake: it is struck on its own question's screen, and the first one is said again.
async fn proved_again(hands: &mut Hands<'_>) -> Result<(), Failure> {
    hands.follow("/plan").await?;
    hands.at("/plan").await?;
    hands.follow_in("side yard", "/leg.width_left").await?;
    hands.at("/leg.width_left").await?;
    hands.press_hidden(&word("history.strike")).await?;
    page_says(hands.phone, &word("history.strike_question")).await?;
    hands.look("strike").await?;
    hands
        .phone
        .tap(".notice button.danger", &word("history.strike"))
        .await?;
    page_says(hands.phone, &word("history.struck_now")).await?;
    hands.look("struck").await?;
    hands.length(&written(LEGS[1].left)?).await?;
    hands.back_to_plan().await?;
    hands.follow("/way").await?;
    verdict(hands, "way.verdict.route").await?;
    hands.look("again").await
}

//! A yard taped and drawn with no server in reach: the mistaped distance is found, the way in proved and played, and a
//! longer unit tried.

use setdown_app::words::{filled, word};
use setdown_tests::browser::Failure;
use setdown_tests::yard::{LIMIT, Yard, page_says, phone, press, sign_in, strip_says, take_along};

use crate::yard_hands::{Hands, SITE, written};

/// The yard as it is, inches: a passage 103 in wide between the side fence A-B and the house D-E, with the demo's side
/// gate at its beginning, then a corner into a back yard 240 in wide that the fence B-C-F closes. G is the truck's place,
/// H the spot, I and J lie at the street.
const POINTS: [(&str, [f64; 2]); 10] = [
    ("A", [0.0, 0.0]),
    ("B", [840.0, 0.0]),
    ("C", [840.0, 420.0]),
    ("D", [0.0, 103.0]),
    ("E", [600.0, 104.0]),
    ("F", [600.0, 420.0]),
    ("G", [-200.0, 62.0]),
    ("H", [720.0, 270.0]),
    ("I", [-340.0, -80.0]),
    ("J", [-340.0, 190.0]),
];

/// What is taped: 25 distances, where 17 would tie ten points.
const TAPES: [&str; 25] = [
    "AB", "AD", "AE", "DE", "DB", "EB", "EC", "EF", "BC", "BF", "CF", "AG", "DG", "GB", "HB", "HC",
    "HE", "HF", "AI", "DI", "GI", "AJ", "DJ", "GJ", "IJ",
];
/// The one that is read a foot short at first.
const MISTAPED: &str = "EB";

fn place(name: char) -> [f64; 2] {
    let found = POINTS.iter().find(|(known, _)| known.starts_with(name));
    found.map_or([0.0, 0.0], |(_, at)| *at)
}

/// The distance between the two points of a tape, to the sixteenth of an inch.
fn distance(tape: &str) -> f64 {
    let mut ends = tape.chars().map(place);
    let (from, to) = (
        ends.next().unwrap_or_default(),
        ends.next().unwrap_or_default(),
    );
    ((from[0] - to[0]).hypot(from[1] - to[1]) * 16.0).round() / 16.0
}

#[tokio::test]
async fn a_yard_is_taped_drawn_and_proved_with_no_server() -> Result<(), Failure> {
    let yard = Yard::new().await?;
    let server = yard.start();
    let profile = tempfile::tempdir()?;
    let browser = phone(profile.path()).await?;
    sign_in(&browser, &yard, "valley-coordinator", "/field").await?;
    let id = take_along(&browser, SITE).await?;
    browser.until_kept_for_offline().await?;
    server.kill();

    let mut hands = Hands::new(&browser, "yard");
    hands.before_the_plan(&yard, &id).await?;
    taped(&mut hands).await?;
    mended(&mut hands).await?;
    drawn(&mut hands).await?;
    proved(&mut hands).await?;
    tried(&mut hands).await?;
    strip_says(&browser, "only on this phone").await?;
    // The killed phone shows the answer at once, without working it out again.
    let page = browser.client.current_url().await?;
    browser.kill();
    let browser = phone(profile.path()).await?;
    browser.open(page.as_str()).await?;
    page_says(&browser, &word("way.verdict.route")).await
}

async fn taped(hands: &mut Hands<'_>) -> Result<(), Failure> {
    hands.look("begin").await?;
    press(hands.phone, &word("choice.plan.basis.tapes")).await?;
    for (name, _) in POINTS {
        press(hands.phone, &filled("plan.add_point", &[("name", name)])).await?;
        page_says(hands.phone, &filled("plan.point_added", &[("name", name)])).await?;
    }
    hands.look("points").await?;
    for tape in TAPES {
        let short = if tape == MISTAPED { 12.0 } else { 0.0 };
        hands.tape(tape, distance(tape) - short).await?;
        if tape == "DE" {
            hands.look("loose").await?;
        }
    }
    Ok(())
}

/// The tape that was read a foot short is named, with the foot, and taped again; then the mirror image is asked about.
async fn mended(hands: &mut Hands<'_>) -> Result<(), Failure> {
    let name = "E-B";
    page_says(
        hands.phone,
        &filled("network.mistaped", &[("reading", name)]),
    )
    .await?;
    let showed = written(distance(MISTAPED))?;
    let slip = filled(
        "network.slip.feet",
        &[("reading", name), ("count", "1"), ("showed", &showed)],
    );
    page_says(hands.phone, &slip).await?;
    hands.look("mistaped").await?;
    press(
        hands.phone,
        &filled("plan.tape_again", &[("reading", name)]),
    )
    .await?;
    hands.taped_length(&showed).await?;
    hands.at("/plan").await?;
    let gone = format!(
        "return !document.body.textContent.includes({:?});",
        word("network.mistaped").replace("{reading}", name)
    );
    hands
        .phone
        .until("the mistake to be gone", LIMIT, &gone)
        .await?;
    hands.look("mended").await?;
    answer_mirror(hands).await
}

/// The question of sides that is on screen; empty where there is none.
const ASKED: &str = "const notice = [...document.querySelectorAll('.findings .notice p')].find((each) => each.textContent.includes('Stand at'));\
     return notice ? notice.textContent : '';";

/// Says on which side the points asked about really are, question by question.
async fn answer_mirror(hands: &mut Hands<'_>) -> Result<(), Failure> {
    let mut answered = Vec::new();
    loop {
        let asked = hands.phone.run(ASKED).await?;
        let text = asked.as_str().unwrap_or_default();
        if text.is_empty() {
            break;
        }
        if answered.len() > 4 {
            return Err(format!("asked again and again: {answered:?}").into());
        }
        say_side(hands, text).await?;
        answered.push(text.to_owned());
        let changed = format!(
            "const asked = (() => {{ {ASKED} }})(); return asked !== {};",
            serde_json::to_string(text)?
        );
        hands
            .phone
            .until("another question of sides, or none", LIMIT, &changed)
            .await?;
    }
    if answered.is_empty() {
        return Err("nobody asked about the mirror image".into());
    }
    Ok(())
}

/// Answers "Stand at A and look to B: is C on your left or right?".
async fn say_side(hands: &Hands<'_>, text: &str) -> Result<(), Failure> {
    let after = |words: &str| {
        text.split(words)
            .nth(1)
            .and_then(|rest| rest.chars().next())
            .unwrap_or('?')
    };
    let (from, to, point) = (
        place(after("Stand at ")),
        place(after("look to ")),
        place(after(": is ")),
    );
    let cross = (to[0] - from[0]) * (point[1] - from[1]) - (to[1] - from[1]) * (point[0] - from[0]);
    let key = if cross > 0.0 {
        "plan.it_is_left"
    } else {
        "plan.it_is_right"
    };
    let press = format!(
        "const one = [...document.querySelectorAll('.findings button')].find((each) => each.textContent.trim().startsWith({:?}));\
         if (!one) return false; one.click(); return true;",
        word(key)
    );
    hands.phone.until("the side", LIMIT, &press).await
}

async fn drawn(hands: &mut Hands<'_>) -> Result<(), Failure> {
    hands.line("edge of the ground", "edge", "ABCFEDJI").await?;
    hands.line("side fence", "fence", "ABCF").await?;
    hands.line("house", "house", "DEF").await?;
    // The gate has been measured before; where it is has not.
    hands.follow("/opening.between").await?;
    hands.at("/opening.between").await?;
    hands.choose("AD").await?;
    hands.keep().await?;
    hands.at("/plan").await?;
    hands.site("plan.stand", "GB").await?;
    hands.at("/plan").await?;
    hands.site("plan.spot", "HC").await?;
    hands.at("/plan").await?;
    hands.site("plan.either_end", "yes").await?;
    hands.at("/plan").await?;
    hands.site("plan.complete", "yes").await?;
    hands.at("/plan").await?;
    hands.look_at_print("plan").await?;
    hands.look("drawn").await
}

async fn proved(hands: &mut Hands<'_>) -> Result<(), Failure> {
    hands.follow("/way").await?;
    hands.at("/way").await?;
    page_says(hands.phone, &word("way.verdict.route")).await?;
    hands.look("way").await?;
    // Played: the unit moves.
    let unit = "const unit = document.querySelector('.plan .moving .unit'); return unit ? unit.getAttribute('d') : '';";
    let before = hands.phone.run(unit).await?;
    assert_ne!(before, "");
    hands
        .phone
        .tap(".playback button", &word("way.play.next"))
        .await?;
    let moved = format!(
        "const unit = document.querySelector('.plan .moving .unit'); return unit.getAttribute('d') !== {before};"
    );
    hands.phone.until("the unit to move", LIMIT, &moved).await?;
    let circled = "return document.querySelectorAll('.plan circle.pinch').length;";
    let pinches = hands.phone.run(circled).await?.as_u64().unwrap_or_default();
    assert!(pinches > 0, "the narrow places are circled");
    hands.look("played").await?;
    hands.look_at_print("way").await
}

async fn tried(hands: &mut Hands<'_>) -> Result<(), Failure> {
    hands
        .phone
        .write(".other-sizes input[type=text]", "24 ft")
        .await?;
    press(
        hands.phone,
        &filled("way.try.ask_size", &[("size", "24 ft 0 in")]),
    )
    .await?;
    page_says(
        hands.phone,
        &filled("way.try.no_route", &[("size", "24 ft 0 in")]),
    )
    .await?;
    hands
        .phone
        .write(".other-sizes input[type=text]", "16 ft")
        .await?;
    press(
        hands.phone,
        &filled("way.try.ask_size", &[("size", "16 ft 0 in")]),
    )
    .await?;
    page_says(hands.phone, "16 ft 0 in long passes").await?;
    press(hands.phone, &word("way.longest.ask")).await?;
    page_says(
        hands.phone,
        "long passes (proved), carriage counted, and keeps",
    )
    .await?;
    hands.look("longest").await
}

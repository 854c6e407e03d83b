//! `roll.pull` along the proved way: slopes, ground and turns where the way leads.

use super::*;

/// Heights of the yard's corners: level to the fence, then up to the right.
fn on_a_slope(rise: &str) -> TestSite {
    on_a_slope_behind(104.0, rise)
}

/// The same with a gate of this width.
fn on_a_slope_behind(gate: f64, rise: &str) -> TestSite {
    let mut site = yard(gate)
        .practice("rolling_resistance_small_hard", "40 %")
        .practice("start_extra", "50 %")
        .yes("site", "way.legs_listed", true)
        .choice("site", "way.means", "winch")
        .measure("site", "way.means_pull", "4000 lbf")
        .choice("site", "way.wheels", "small_hard")
        .choice("site", "way.hold_back", "winch")
        .measure("site", "way.hold_back_rated", "4000 lbf")
        .choice("leg#1", "leg.surface", "concrete");
    for (letter, height) in [('A', "1 ft"), ('D', "1 ft"), ('N', "1 ft"), ('S', "1 ft")] {
        site = site.measure(&name_of(letter), "plan_point.height", height);
    }
    for letter in ['B', 'C'] {
        site = site.measure(&name_of(letter), "plan_point.height", rise);
    }
    site
}

/// 5250 lb with the carriage; 12 in of rise over 400 in is 3 %, which the winch pulls; statics as for a leg.
#[test]
fn pull_follows_the_heights_along_the_way() {
    let site = on_a_slope("2 ft");
    // Without an answer the leg's own slope is asked for.
    assert_eq!(site.outcome("roll.pull"), Outcome::Open);
    assert_eq!(site.missing("roll.pull"), ["leg.slope_along"]);
    let solved = site.worked_out();
    let result = solved.check("roll.pull");
    assert_eq!(result.outcome, Outcome::Tight, "{:#?}", result.items);
    assert_eq!(result.reason.key, "frame.remembered");
    let told: Vec<&Arg> = (result.items.iter().flat_map(|item| &item.working))
        .filter(|line| line.key == "roll.pull.stretch")
        .map(|line| &line.args[3].1)
        .collect();
    let slopes: Vec<f64> = told
        .iter()
        .map(|arg| match arg {
            Arg::Measured { si, .. } | Arg::Quantity { si, .. } => *si,
            other => panic!("{other:?}"),
        })
        .collect();
    let steepest = slopes.iter().copied().fold(0.0, f64::max);
    assert!((steepest - 0.03).abs() < 1e-3, "{slopes:?}");
    assert!(
        slopes.first().expect("a stretch").abs() < 1e-3,
        "{slopes:?}"
    );
    // W(sin + c cos) at c = 0.6 to start: 5250 · (0.03 + 0.6)/√1.0009 = 3306 lbf of 4000.
    let margin = result
        .items
        .iter()
        .filter(|item| item.subject == subject("site"));
    let margins: Vec<f64> = margin
        .filter_map(|item| item.margin)
        .map(|m| m.si / 4.448_221_615_260_5)
        .collect();
    assert!(
        margins.iter().any(|lbf| (lbf - 694.0).abs() < 5.0),
        "{margins:?}"
    );
    // A steep place that somebody measured counts beside it.
    let steep = solved.measure("leg#1", "leg.slope_along", "20 %");
    assert_eq!(steep.outcome("roll.pull"), Outcome::Short);
}

/// Heights along a way count only where that way is proved: a gate too tight, a plan said to be incomplete, or a yard
/// without an edge leaves the slope of the leg to be measured.
#[test]
fn heights_along_a_way_not_proved_do_not_stand_for_a_leg() {
    let asked = |site: &TestSite| {
        assert_ne!(site.outcome("roll.way"), Outcome::Clear);
        assert_eq!(site.outcome("roll.pull"), Outcome::Open);
        assert_eq!(site.missing("roll.pull"), ["leg.slope_along"]);
    };
    asked(&on_a_slope_behind(98.0, "2 ft").worked_out());
    let proved = on_a_slope("2 ft").worked_out();
    assert!(proved.missing("roll.pull").is_empty());
    asked(&proved.yes("site", "plan.complete", false));
    let no_edge = on_a_slope("2 ft").choice("plan_line#1", "plan_line.kind", "wall");
    asked(&no_edge.worked_out());
}

/// The sloping yard with the unit across at its spot behind the fence, as no listed turn says: X is 100 in left of V.
fn across_at_the_spot(rise: &str) -> TestSite {
    let mut site = on_a_slope(rise).add("plan_point#13", "X");
    for (number, letter, apart) in [
        ("tie#50", 'V', 100.0),
        ("tie#51", 'W', 100.0 * std::f64::consts::SQRT_2),
        ("tie#52", 'C', 250.0),
        ("tie#53", 'B', 427.200_187),
    ] {
        site = site
            .tie(
                number,
                TieKind::Distance,
                &["plan_point#13", &name_of(letter)],
            )
            .measure(number, "tie.length", &format!("{apart:.6} in"));
    }
    site.points("site", "plan.spot", &[&name_of('V'), "plan_point#13"])
}

/// 3 % behind the fence is no level ground (2 %) to turn on, though nobody listed a turn; 0 % is.
#[test]
fn proved_way_does_not_turn_on_a_slope() {
    let said = |site: &TestSite, key: &str| {
        let result = site.check("roll.pull");
        assert_eq!(site.outcome("roll.way"), Outcome::Clear);
        assert!(lines(&result).contains(&key), "{:#?}", result.items);
        result
    };
    let level = across_at_the_spot("1 ft").worked_out();
    assert_eq!(said(&level, "roll.pull.turned").outcome, Outcome::Clear);
    let slope = across_at_the_spot("2 ft").worked_out();
    let result = said(&slope, "roll.pull.turned");
    assert_eq!(result.outcome, Outcome::Short);
    let by = result.reason.args.iter().find(|(name, _)| name == "what");
    assert_eq!(by.unwrap().1, Arg::Word("roll.pull.of_turn".into()));
    let margin = result
        .items
        .iter()
        .find(|item| item.outcome == Outcome::Short);
    let margin = margin.and_then(|item| item.margin).expect("a margin").si;
    assert!((margin + 0.01).abs() < 1e-3, "{margin}");
}

/// Without heights behind the fence nothing says how the ground lies where the proved way turns.
#[test]
fn turn_on_unknown_ground_keeps_it_open() {
    let mut site = across_at_the_spot("1 ft").measure("leg#1", "leg.slope_along", "1 %");
    for letter in ['B', 'C'] {
        site = site.without(&name_of(letter), "plan_point.height");
    }
    let site = site.worked_out();
    let result = site.check("roll.pull");
    assert_eq!(site.outcome("roll.way"), Outcome::Clear);
    assert_eq!(result.outcome, Outcome::Open, "{:#?}", result.items);
    assert_eq!(result.reason.key, "roll.pull.turn_not_known");
    assert!(lines(&result).contains(&"roll.pull.turned_unknown"));
}

/// Heights by the truck and the fence alone, all level: what lies behind the fence is not known, and the leg's slope is
/// asked for. What is known of the way counts beside it.
#[test]
fn heights_of_a_part_do_not_stand_for_the_whole() {
    let without = |letters: &str, rise| {
        let unknown = |site: TestSite, letter| site.without(&name_of(letter), "plan_point.height");
        let site = letters.chars().fold(on_a_slope(rise), unknown);
        site.worked_out()
    };
    let level = without("BC", "1 ft");
    assert_eq!(level.outcome("roll.way"), Outcome::Clear);
    assert_eq!(level.outcome("roll.pull"), Outcome::Open);
    assert_eq!(level.missing("roll.pull"), ["leg.slope_along"]);
    let measured = level.measure("leg#1", "leg.slope_along", "1 %");
    assert_eq!(measured.outcome("roll.pull"), Outcome::Clear);
    // Heights behind the fence alone, 21 % up: short, whatever the leg's answer.
    let steep = without("AD", "8 ft").measure("leg#1", "leg.slope_along", "1 %");
    assert_eq!(steep.outcome("roll.pull"), Outcome::Short);
}

/// A patio can be of gravel, on which only a trial says how small hard wheels roll; a street cannot.
#[test]
fn gravel_counts_on_a_patio() {
    let on = |kind: &str| {
        let corners = ['A', 'B', 'C', 'D'].map(name_of);
        on_a_slope("2 ft")
            .choice("leg#2", "leg.surface", "gravel_packed")
            .add("plan_line#9", "paving")
            .choice("plan_line#9", "plan_line.kind", kind)
            .points(
                "plan_line#9",
                "plan_line.points",
                &corners.each_ref().map(String::as_str),
            )
            .worked_out()
    };
    assert!(on("street").missing("roll.pull").is_empty());
    let patio = on("patio");
    assert_eq!(patio.outcome("roll.pull"), Outcome::Open);
    assert_eq!(patio.missing("roll.pull"), ["leg.breakaway_pull"]);
}

#[test]
fn steep_yard_is_short() {
    let site = on_a_slope("8 ft").worked_out();
    assert_eq!(site.outcome("roll.pull"), Outcome::Short);
}

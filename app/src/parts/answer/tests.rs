//! What is typed to a question, understood and written.

use super::*;
use setdown_types::question;

fn gate() -> &'static Question {
    question::find("opening.width_hip").expect("a question of the way in")
}

fn typed(text: &str) -> Typed {
    understand(gate(), text, UnitSystem::Us)
}

#[test]
fn a_common_form_is_understood_and_shown() {
    let Typed::Answer(answer) = typed("7' 10 1/2\" ± 1/4\"") else {
        panic!("{:?}", typed("7' 10 1/2\" ± 1/4\""));
    };
    assert_eq!(answer.shown.as_deref(), Some("7 ft 10 1/2 in"));
    assert_eq!(answer.spread, Some(6_350_000));
    assert_eq!(answer.doubt, None);
}

#[test]
fn a_form_that_trades_read_differently_is_asked_about() {
    assert!(matches!(typed("7-10-08"), Typed::Ambiguous(readings) if readings.len() > 1));
}

#[test]
fn an_implausible_width_is_questioned_and_can_be_kept() {
    let doubted = typed("78 ft");
    assert!(
        doubted
            .answer()
            .is_some_and(|answer| answer.doubt.is_some())
    );
}

#[test]
fn having_no_answer_is_three_different_answers() {
    let value = |text: &str| typed(text).answer().map(|answer| answer.value.clone());
    assert_eq!(value(DONT_KNOW), Some(Value::DontKnow));
    assert_eq!(value(ABSENT), Some(Value::Absent));
    assert_eq!(
        value("! the gate is locked"),
        Some(Value::CannotMeasure("the gate is locked".to_owned()))
    );
}

#[test]
fn every_answer_reads_back_from_its_own_text() {
    for text in ["7 ft 10 1/2 in", "94.5", "2.4 m"] {
        let first = typed(text).answer().cloned().expect("understood");
        let again = typed(&text_of(&first.value))
            .answer()
            .cloned()
            .expect("understood again");
        assert_eq!(first.value, again.value);
    }
}

#[test]
fn none_of_them_and_some_of_them_never_stand_together() {
    assert_eq!(toggled("", "tank"), "tank");
    assert_eq!(toggled("tank", "septic_lid"), "septic_lid,tank");
    assert_eq!(toggled("septic_lid,tank", "tank"), "septic_lid");
    for none in [NONE, NONE_KEY] {
        assert_eq!(toggled("septic_lid,tank", none), none);
        assert_eq!(toggled(none, "tank"), "tank");
        assert_eq!(toggled(none, none), "");
    }
    assert_eq!(none_of(&["septic_lid", "none"]), NONE_KEY);
    assert_eq!(none_of(&["septic_lid"]), NONE);
}

#[test]
fn nonsense_says_what_to_do_and_keeps_nothing() {
    assert!(matches!(typed("wide"), Typed::Unclear(message) if message.ends_with('.')));
    assert_eq!(typed("  "), Typed::Nothing);
}

//! Homeowner texts can be read by anybody who finished seventh grade.

use setdown_app::words::find;
use setdown_types::party::Role;
use setdown_types::question;

/// Syllables by counting vowel groups, a silent ending apart: the usual approximation.
fn syllables(word: &str) -> u32 {
    let word: Vec<char> = word
        .to_lowercase()
        .chars()
        .filter(char::is_ascii_alphabetic)
        .collect();
    let vowel = |letter: &char| "aeiouy".contains(*letter);
    let groups = word
        .iter()
        .enumerate()
        .filter(|(at, letter)| vowel(letter) && (*at == 0 || !vowel(&word[at - 1])))
        .count();
    let silent = groups > 1 && word.ends_with(&['e']) && !word.ends_with(&['l', 'e']);
    u32::try_from(groups - usize::from(silent))
        .unwrap_or(1)
        .max(1)
}

/// Flesch-Kincaid grade level. Source: Kincaid, Fishburne, Rogers and Chissom, Research Branch
/// Report 8-75 (1975): 0.39 words/sentence + 11.8 syllables/word - 15.59 (coefficients from memory).
fn grade(text: &str) -> f64 {
    let sentences = text
        .split(['.', '!', '?', ':', ';'])
        .filter(|part| part.chars().any(char::is_alphabetic))
        .count()
        .max(1) as f64;
    let words: Vec<&str> = text
        .split(|letter: char| !letter.is_alphabetic() && letter != '\'')
        .filter(|word| !word.is_empty())
        .collect();
    let count = words.len().max(1) as f64;
    let spoken: u32 = words.iter().map(|word| syllables(word)).sum();
    0.39 * count / sentences + 11.8 * f64::from(spoken) / count - 15.59
}

#[test]
fn the_grade_tells_plain_words_from_hard_ones() {
    assert!(grade("Open the gate. Tape from post to post.") < 3.0);
    assert!(
        grade(
            "Ascertain the unobstructed horizontal dimension perpendicular to the intended trajectory."
        ) > 12.0
    );
}

#[test]
fn every_homeowner_text_is_grade_seven_or_lower() {
    let rows: Vec<_> = question::all()
        .filter(|row| row.may_answer(Role::Homeowner))
        .collect();
    assert!(!rows.is_empty());
    for row in rows {
        let text = find(&format!("home.{}", row.key))
            .unwrap_or_else(|| panic!("{} has no text for the homeowner", row.key));
        let grade = grade(text);
        assert!(grade <= 7.0, "{}: grade {grade:.1}: {text}", row.key);
    }
}

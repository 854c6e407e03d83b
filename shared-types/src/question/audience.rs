//! Who may see the answers to a question: one table on phone and server alike.

use super::find;
use crate::party::Role;

/// What stands in the key of every question that only the dealer's people see.
const STAFF: &str = ".staff_";

/// Whether `role` may see entries under this question. A question of a newer version is judged by its key alone, so
/// that an older server does not hand on what a newer phone recorded for the dealer's people only.
pub fn visible(question: &str, role: Role) -> bool {
    match find(question) {
        Some(row) => row.may_see(role),
        None => role != Role::Homeowner || !question.contains(STAFF),
    }
}

/// Whether everybody who may see `hidden` may see `telling` as well: what tells of an entry must reach all who hold it.
pub(crate) fn reaches_all_of(telling: &str, hidden: &str) -> bool {
    [Role::Coordinator, Role::Homeowner, Role::Office]
        .into_iter()
        .all(|role| !visible(hidden, role) || visible(telling, role))
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::question;

    #[test]
    fn keys_say_what_the_table_says_and_nobody_answers_unseen() {
        let mut hidden = 0;
        for row in question::all() {
            let staff = !row.may_see(Role::Homeowner);
            assert_eq!(staff, row.key.contains(STAFF), "{}", row.key);
            assert!(row.who.iter().all(|role| row.may_see(*role)), "{}", row.key);
            assert!(row.may_see(Role::Office), "{}", row.key);
            hidden += u32::from(staff);
        }
        assert!(hidden > 0, "the table hides something");
    }

    #[test]
    fn what_is_not_known_yet_is_judged_by_its_key() {
        assert!(visible("yard.colour", Role::Homeowner));
        assert!(!visible("yard.staff_colour", Role::Homeowner));
        assert!(visible("yard.staff_colour", Role::Coordinator));
        assert!(reaches_all_of("yard.colour", "yard.staff_colour"));
        assert!(!reaches_all_of("yard.staff_colour", "yard.colour"));
    }
}

//! Naming things: by number on the column, name, short id or whole id. A name that fits several things
//! is answered with the candidates, never guessed.

/// One thing that a name may mean.
#[derive(Clone, Debug)]
pub struct Candidate<T> {
    /// The thing.
    pub id: T,
    /// Its whole id as text.
    pub whole: String,
    /// Names that people use.
    pub names: Vec<String>,
    /// How it is shown among others.
    pub shown: String,
}

/// Why a name was not understood.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
pub enum FindWrong {
    /// Nothing is called that.
    #[error("no {kind} is called '{typed}'{}", listed(", there is ", .there))]
    None {
        /// What was looked for.
        kind: &'static str,
        /// What was typed.
        typed: String,
        /// What there is, the first few.
        there: Vec<String>,
    },
    /// Several things are called that.
    #[error("'{typed}' may be {} {kind}s{}", .fit.len(), listed(": ", .fit))]
    Several {
        /// What was looked for.
        kind: &'static str,
        /// What was typed.
        typed: String,
        /// What it may be.
        fit: Vec<String>,
    },
    /// Nothing was named, and there is not exactly one.
    #[error("name the {kind}{}", listed(", one of ", .there))]
    Unnamed {
        /// What was looked for.
        kind: &'static str,
        /// What there is, the first few.
        there: Vec<String>,
    },
}

/// Most candidates that an answer lists.
const LISTED_MAX: usize = 12;
/// Fewest characters of an id that are taken as its beginning.
const PREFIX_MIN: usize = 3;

fn listed(lead: &str, names: &[String]) -> String {
    if names.is_empty() {
        return String::new();
    }
    let more = names.len().saturating_sub(LISTED_MAX);
    let shown: Vec<&str> = names.iter().take(LISTED_MAX).map(String::as_str).collect();
    let rest = if more > 0 { format!(" and {more} more") } else { String::new() };
    format!("{lead}{}{rest}", shown.join("; "))
}

/// The one thing that was named. A whole id or a whole name goes before a beginning; upper and lower
/// case are one.
pub fn pick<T: Clone>(
    kind: &'static str,
    typed: &str,
    candidates: &[Candidate<T>],
) -> Result<T, FindWrong> {
    let wanted = typed.trim().to_lowercase();
    let whole = |one: &&Candidate<T>| one.whole.to_lowercase() == wanted;
    let named = |one: &&Candidate<T>| one.names.iter().any(|name| name.to_lowercase() == wanted);
    let begins = |one: &&Candidate<T>| {
        let long = wanted.chars().count() >= PREFIX_MIN;
        let id = long && one.whole.to_lowercase().starts_with(&wanted);
        id || (long && one.names.iter().any(|name| name.to_lowercase().starts_with(&wanted)))
    };
    let fits: [Vec<&Candidate<T>>; 3] = [
        candidates.iter().filter(whole).collect(),
        candidates.iter().filter(named).collect(),
        candidates.iter().filter(begins).collect(),
    ];
    for fit in fits {
        match fit.as_slice() {
            [] => {}
            [one] => return Ok(one.id.clone()),
            several => {
                let fit = several.iter().map(|one| one.shown.clone()).collect();
                return Err(FindWrong::Several { kind, typed: short(typed), fit });
            }
        }
    }
    let there = candidates.iter().map(|one| one.shown.clone()).collect();
    Err(FindWrong::None { kind, typed: short(typed), there })
}

/// The only thing there is.
pub fn only<T: Clone>(kind: &'static str, candidates: &[Candidate<T>]) -> Result<T, FindWrong> {
    match candidates {
        [one] => Ok(one.id.clone()),
        several => {
            let there = several.iter().map(|one| one.shown.clone()).collect();
            Err(FindWrong::Unnamed { kind, there })
        }
    }
}

fn short(typed: &str) -> String {
    typed.chars().take(60).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    fn units() -> Vec<Candidate<u8>> {
        let one = |id, whole: &str, name: &str| Candidate {
            id,
            whole: whole.to_owned(),
            names: vec![name.to_owned()],
            shown: format!("{name} ({})", &whole[..6]),
        };
        vec![
            one(1, "0a1b2c3d4e5f6", "UH-05"),
            one(2, "0a1b9c3d4e5f6", "UH-06"),
            one(3, "zzzzzzzzzzzzz", "UH-06"),
        ]
    }

    #[test]
    fn whole_names_ids_and_beginnings_are_found() {
        for (typed, id) in [("uh-05", 1), ("0a1b2", 1), ("ZZZ", 3), ("zzzzzzzzzzzzz", 3)] {
            assert_eq!(pick("unit", typed, &units()), Ok(id), "{typed}");
        }
    }

    #[test]
    fn what_fits_several_is_never_guessed() {
        let several = pick("unit", "UH-06", &units()).unwrap_err();
        assert_eq!(several.to_string(), "'UH-06' may be 2 units: UH-06 (0a1b9c); UH-06 (zzzzzz)");
        let none = pick("unit", "BLR", &units()).unwrap_err();
        assert!(none.to_string().starts_with("no unit is called 'BLR', there is UH-05"), "{none}");
        assert!(matches!(pick("unit", "0a1b", &units()), Err(FindWrong::Several { .. })));
        assert!(pick("unit", "", &units()).is_err());
    }

    #[test]
    fn the_only_one_needs_no_name() {
        assert_eq!(only("unit", &units()[..1]), Ok(1));
        assert!(
            only("unit", &units()).unwrap_err().to_string().starts_with("name the unit, one of")
        );
        assert_eq!(only::<u8>("site", &[]).unwrap_err().to_string(), "name the site");
    }
}

//! What would change what keeps coming back: what the air of an area carries, what helps against it, and
//! which readings would settle it. Common practice and trade judgement, no source; the person on site decides.

use super::building::{Building, Cause};

/// A word of what air carries, and what helps against it.
const HELPS: &[(&str, &str)] = &[
    (
        "salt",
        "outside combustion air, washing and drying instead of dry brushing, or a sealed unit",
    ),
    (
        "brine",
        "outside combustion air, washing and drying instead of dry brushing, or a sealed unit",
    ),
    ("silicone", "another release product or none at the unit, and fresh air"),
    ("soap", "outside combustion air with its intake upstream of the spray"),
    ("surfactant", "outside combustion air with its intake upstream of the spray"),
    ("solvent", "taking the source away or moving the air; new parts alone repeat"),
    ("chlor", "taking the source away or moving the air; new parts alone repeat"),
    ("refrigerant", "taking the source away or moving the air; new parts alone repeat"),
    ("flour", "separation and extraction; combustible dust stops the work and is referred"),
    ("sugar", "separation and extraction; combustible dust stops the work and is referred"),
    ("starch", "separation and extraction; combustible dust stops the work and is referred"),
    ("dust", "a filter, clear space and a plan for cleaning"),
    ("lint", "a filter, clear space and a plan for cleaning"),
    ("battery", "separate air, or a sealed unit"),
    ("fertili", "separate air, or a sealed unit"),
    ("weld", "an exhaust that runs whenever the work does"),
    ("plating", "an exhaust that runs whenever the work does"),
    ("paint", "an exhaust that runs whenever the work does"),
    ("exhaust", "doors and trucks in order; try with the heaters off"),
    ("moisture", "shields, and starts that do not follow the wash-down"),
];

/// Causes that what the air carries brings. Trade judgement.
const BY_AIR: &[&str] = &[
    "rod_dirty",
    "rod_leak",
    "electrode",
    "burner_dirty",
    "pilot_orifice",
    "inducer_wheel",
    "airflow_block",
    "air_prove",
    "hx_breach",
    "hx_fouled",
    "ps_hose",
];

/// What helps against the air of an area: the first word that is known.
pub fn helps(air: &[String]) -> Option<&'static str> {
    let known = |word: &String| {
        let word = word.to_lowercase();
        HELPS.iter().find(|(own, _)| word.contains(own)).map(|(_, helps)| *helps)
    };
    air.iter().find_map(known)
}

/// What would change the cause that leads, an area a line; nothing while no cause was found on two days or two
/// units.
pub fn would_change(building: &Building) -> Vec<String> {
    let Some(cause) = building.causes.first().filter(|cause| cause.findings > 1) else {
        return vec![];
    };
    let hit = cause.rows.iter().filter(|row| row.count().0 > 0);
    hit.map(|row| line(building, cause, &row.area)).collect()
}

fn line(building: &Building, cause: &Cause, label: &str) -> String {
    let area = building.areas.iter().find(|area| area.label == label);
    let air = area.map(|area| area.air.as_slice()).unwrap_or_default();
    let name = if label.is_empty() { "units without an area" } else { label };
    let what = match (BY_AIR.contains(&cause.key.as_str()), helps(air)) {
        (true, Some(helps)) => format!("{}: {helps}", air.join(" and ")),
        (true, None) if air.is_empty() => {
            "nothing is entered for the air: look what it carries, and where it comes from"
                .to_owned()
        }
        (true, None) => {
            format!("{}: take the source away, or the air from elsewhere", air.join(" and "))
        }
        (false, _) => {
            "the repair proved by a clean as-left, and a look at what else is alike there"
                .to_owned()
        }
    };
    let row = cause.rows.iter().find(|row| row.area == label);
    let still = row.map(|row| row.still.as_slice()).unwrap_or_default();
    let settle = if still.is_empty() {
        "not found at the newest visit; another clean one would settle it".to_owned()
    } else {
        format!(
            "found again at the newest visit on {}; the next reading as found tells",
            still.join(", ")
        )
    };
    format!("{name}, {what}; {settle}")
}

#[cfg(test)]
mod tests {
    use super::super::building::{AreaSeen, Row};
    use super::*;

    fn building(cause: &str, air: &[&str], still: &[&str]) -> Building {
        let own = |words: &[&str]| words.iter().map(|word| (*word).to_owned()).collect::<Vec<_>>();
        Building {
            areas: vec![AreaSeen {
                label: "A3".to_owned(),
                name: None,
                air: own(air),
                units: vec![],
            }],
            causes: vec![Cause {
                key: cause.to_owned(),
                findings: 5,
                rows: vec![Row {
                    area: "A3".to_owned(),
                    units: vec![("UH-05".to_owned(), 2), ("UH-06".to_owned(), 3)],
                    still: own(still),
                    range: None,
                    others: vec![],
                }],
            }],
            ..Building::default()
        }
    }

    #[test]
    fn the_air_says_what_would_change_it_and_the_newest_visit_what_settles_it() {
        let said = would_change(&building("rod_dirty", &["salt", "moisture"], &["UH-06"]));
        assert_eq!(
            said,
            [
                "A3, salt and moisture: outside combustion air, washing and drying instead of dry brushing, or a \
              sealed unit; found again at the newest visit on UH-06; the next reading as found tells"
            ]
        );
        let said = would_change(&building("rod_dirty", &[], &[]));
        assert!(said[0].contains("look what it carries") && said[0].contains("another clean one"));
        let said = would_change(&building("manifold_low", &["salt"], &[]));
        assert!(said[0].contains("the repair proved by a clean as-left"), "{said:?}");
        assert!(would_change(&Building::default()).is_empty());
    }

    #[test]
    fn every_word_of_the_demo_hall_is_known_and_an_unknown_one_promises_nothing() {
        for air in ["salt", "moisture", "silicone", "battery gas"] {
            assert!(helps(&[air.to_owned()]).is_some(), "{air}");
        }
        assert_eq!(helps(&["glitter".to_owned()]), None);
        assert_eq!(helps(&[]), None);
    }

    #[test]
    fn causes_that_air_brings_are_in_the_tables() {
        let table = crate::fault::table::Table::standard();
        for key in BY_AIR {
            assert!(table.cause(key).is_some(), "{key}");
        }
    }
}

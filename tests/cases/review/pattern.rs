//! The page of a building: what keeps failing, where, what would change it, seen in ten seconds.

use client_core::record::id::SiteId;
use serde_json::Value;

use super::story::played;

const SITE: SiteId = SiteId([0x0a; 8]);

/// The scenario to its end, and the supervisor's browser.
#[test]
fn what_keeps_failing_and_where_stands_on_one_page() {
    let mut played = played(95);
    let path = format!("/review/sites/{SITE}/building");
    let page = played.desk.page(&played.hall, &path);
    for says in [
        "What keeps coming back: flame rod coated, 6 of ",
        "<b>2 of 3</b>",
        "UH-06 in A3",
        "Next visit, proposed",
        " found outside limits",
        "the supervisor settles",
        "Few units say little",
        // With two visits nothing is charted, and the page says what is missing.
        "No control chart yet: its limits need 8 readings as left",
        "No chart: 2 of 8 readings as left",
        "Its own first proved as-left",
        "Parts to carry",
        "What would change it",
        "A3, salt and moisture: outside combustion air",
        "Tomorrow morning, proposed",
        "Person 2",
    ] {
        assert!(page.contains(says), "{says:?} is not in {page}");
    }
    // One dot a unit that was opened, and a link to each unit of the building.
    assert!(page.contains("<i class=\"on\" title=\"UH-05\">"), "{page}");
    for unit in played.player.units.values() {
        assert!(page.contains(&format!("/review/sites/{SITE}/units/{unit}")), "{unit}");
    }
    for never in ["technician", "ranking", "savings", "guarantee", "mean time between"] {
        assert!(!page.to_lowercase().contains(never), "{never}");
    }
    let unit = played.player.units["UH-05"];
    let own = played.desk.page(&played.hall, &format!("/review/sites/{SITE}/units/{unit}"));
    for says in ["Against itself", "Target at least 1.0 uA", "No chart: 2 of 8 readings as left"] {
        assert!(own.contains(says), "{says:?} is not in {own}");
    }
    let site = played.desk.page(&played.hall, &format!("/review/sites/{SITE}"));
    assert!(site.contains(&path));
    let json = played.desk.get(&played.hall, &format!("/api/1/sites/{SITE}/building"));
    let json: Value = serde_json::from_slice(&json.body).unwrap();
    assert_eq!(
        json["causes"][0]["cause"].as_str().unwrap().split(" (").next(),
        Some("Flame rod coated")
    );
    // A whole team may go, and every unit that still hangs there has its place in one share.
    let plan = played.desk.get(&played.hall, &format!("/api/1/sites/{SITE}/building?people=3"));
    let plan: Value = serde_json::from_slice(&plan.body).unwrap();
    let shares = plan["morning"].as_array().unwrap();
    assert_eq!(shares.len(), 3);
    let planned: Vec<&str> = shares
        .iter()
        .flat_map(|share| share["units"].as_array().unwrap())
        .map(|unit| unit[1].as_str().unwrap())
        .collect();
    assert!(page.contains(&format!("{} units:", planned.len())), "{planned:?}");
    assert!(planned.contains(&"UH-06"), "{planned:?}");
    // The tagged one is looked at last, and by whoever has its area.
    let own: Vec<&str> = shares
        .iter()
        .map(|share| share["units"].as_array().unwrap())
        .find(|units| units.iter().any(|unit| unit[1] == "UH-08"))
        .unwrap()
        .iter()
        .map(|unit| unit[1].as_str().unwrap())
        .collect();
    assert_eq!(own.last(), Some(&"UH-08"), "{own:?}");
    for part in json["carry"].as_array().unwrap() {
        assert!(part.as_str().unwrap().contains(" visits"), "{part}");
    }
    assert!(json["carry"].to_string().contains("lame rod"), "{}", json["carry"]);
    let none = SiteId([9; 8]);
    let answer = played.desk.get(&played.hall, &format!("/review/sites/{none}/building"));
    assert_eq!(answer.status, 404);
}

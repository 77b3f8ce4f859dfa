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
    let site = played.desk.page(&played.hall, &format!("/review/sites/{SITE}"));
    assert!(site.contains(&path));
    let json = played.desk.get(&played.hall, &format!("/api/1/sites/{SITE}/building"));
    let json: Value = serde_json::from_slice(&json.body).unwrap();
    assert_eq!(
        json["causes"][0]["cause"].as_str().unwrap().split(" (").next(),
        Some("Flame rod coated")
    );
    let none = SiteId([9; 8]);
    let answer = played.desk.get(&played.hall, &format!("/review/sites/{none}/building"));
    assert_eq!(answer.status, 404);
}

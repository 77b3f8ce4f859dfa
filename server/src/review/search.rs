//! Searching what rows and the directory name: sites, units, visits, people. No document is opened.

use serde::Serialize;
use utoipa::ToSchema;

use super::home::{SiteRows, UnitLine, VisitLine};
use super::{Book, Named};

/// Most hits of each kind.
const MOST: usize = 50;

/// What was found.
#[derive(Clone, Debug, Default, PartialEq, Eq, Serialize, ToSchema)]
pub struct Found {
    /// Sites.
    pub sites: Vec<Named>,
    /// Units.
    pub units: Vec<UnitLine>,
    /// Visits.
    pub visits: Vec<VisitLine>,
    /// People.
    pub people: Vec<Named>,
}

/// Everything in which every word of the question occurs.
pub fn search(question: &str, sites: &[SiteRows], book: &Book) -> Found {
    let words: Vec<String> = question.split_whitespace().map(str::to_lowercase).collect();
    let mut found = Found::default();
    if words.is_empty() {
        return found;
    }
    let fits = |text: String| {
        let text = text.to_lowercase();
        words.iter().all(|word| text.contains(word.as_str()))
    };
    for site in sites {
        let named = site.named();
        let own = [&site.row.name, &site.row.town, &site.row.customer]
            .map(|part| part.clone().unwrap_or_default());
        if fits(own.join(" ")) {
            found.sites.push(named.clone());
        }
        for unit in site.unit_lines(book) {
            let words: Vec<String> = unit
                .advisories
                .iter()
                .map(|(severity, text)| format!("{severity} {text}"))
                .collect();
            let text = format!(
                "{} {} {} {} {} {}",
                unit.unit.name,
                unit.site.name,
                unit.kind.clone().unwrap_or_default(),
                unit.area.clone().unwrap_or_default(),
                unit.status,
                words.join(" ")
            );
            if fits(text) {
                found.units.push(unit);
            }
        }
        for visit in site.visit_lines(book) {
            let text = format!(
                "{} {} {} {} {}",
                visit.site.name,
                visit.kind,
                visit.day.clone().unwrap_or_default(),
                visit.reference.clone().unwrap_or_default(),
                visit.people.join(" ")
            );
            if fits(text) {
                found.visits.push(visit);
            }
        }
    }
    for row in book.people() {
        if let Some(name) = row.name.clone().filter(|name| fits(name.clone())) {
            found.people.push(Named::new(row.person, name));
        }
    }
    found.sites.truncate(MOST);
    found.units.truncate(MOST);
    found.visits.truncate(MOST);
    found.people.truncate(MOST);
    found
}

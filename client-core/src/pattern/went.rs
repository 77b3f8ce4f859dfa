//! How visits went, out of their documents: units found outside limits, jobs, parts. Rows do not carry it, so
//! somebody opens the visits and adds them here; command line and pages say the same.

use super::Day;
use super::answers::Jobs;
use super::found::{self, Found};
use super::van::{Carry, Used, carry};
use crate::record::body::{Body, Kind};
use crate::record::contradiction::counted_twice;
use crate::record::file::VisitFile;
use crate::trade::unit::Unit;

/// A part used at a visit.
#[derive(Debug, Clone, PartialEq)]
pub struct PartUsed {
    /// The part in words.
    pub part: String,
    /// The visit.
    pub visit: String,
    /// How many pieces; a length or a weight is one piece.
    pub quantity: f64,
    /// The cause it was used for, where the unit had only one at that visit.
    pub cause: Option<String>,
}

/// Visits that were opened.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Went {
    /// Each visit's day and what was found, in the order in which they were added.
    pub found: Vec<(Option<Day>, Found)>,
    /// Jobs.
    pub jobs: Jobs,
    /// Parts used.
    pub parts: Vec<PartUsed>,
}

impl Went {
    /// Adds a visit of this day.
    pub fn add(&mut self, day: Option<Day>, file: &VisitFile<'_>) {
        self.found.push((day, found::found(&found::of_visit(file))));
        self.jobs.add(file);
        let visit = file.visit.to_string();
        for sheet in file.units.iter().filter_map(|unit| unit.sheet.as_ref()) {
            let mut causes =
                sheet.read.counted(Kind::Finding).filter_map(|entry| match &entry.body {
                    Body::Finding(own) => Some(own.cause.clone()),
                    _ => None,
                });
            let cause = causes.next().filter(|_| causes.next().is_none());
            // What two people entered of one part counts once.
            let twice = counted_twice(&sheet.read);
            for entry in sheet.read.counted(Kind::Part).filter(|entry| !twice.contains(&entry.id)) {
                let Body::Part(own) = &entry.body else { continue };
                self.parts.push(PartUsed {
                    part: own.part.clone(),
                    visit: visit.clone(),
                    quantity: own.quantity.in_unit(Unit::N).unwrap_or(1.0),
                    cause: cause.clone(),
                });
            }
        }
    }

    /// How the visits went, in words; `cause` says a cause.
    pub fn say(&self, today: Option<Day>, cause: &dyn Fn(&str) -> String) -> Vec<String> {
        let day = |day: Option<Day>| day.map_or("no day".to_owned(), |day| day.to_string());
        let found = self.found.iter();
        let mut said: Vec<String> =
            found.map(|(own, count)| format!("{}: {}", day(*own), found::say(count))).collect();
        said.extend(today.into_iter().flat_map(|today| self.jobs.say(today, cause)));
        said
    }

    /// Parts to carry to the next visit, by what these visits used.
    pub fn carry(&self) -> Vec<Carry<'_>> {
        let used = self.parts.iter().map(|own| Used {
            part: &own.part,
            visit: &own.visit,
            quantity: own.quantity,
            cause: own.cause.as_deref(),
        });
        let used: Vec<Used<'_>> = used.collect();
        carry(&used, self.found.len())
    }
}

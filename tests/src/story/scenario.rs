//! The scenario as it lies in the fixture: plain JSON, read by name.

use client_core::record::value::{Day, Moment};
use serde_json::Value;

/// The scenario.
#[derive(Clone, Debug)]
pub struct Scenario(Value);

impl Scenario {
    /// Reads the fixture that is built into the program.
    pub fn load() -> Scenario {
        let text = include_str!("../../fixtures/demo/scenario.json");
        Scenario(serde_json::from_str(text).expect("the fixture is JSON"))
    }

    /// A list of the scenario.
    pub fn list(&self, name: &str) -> &[Value] {
        self.0[name].as_array().map_or(&[], Vec::as_slice)
    }

    /// Members of a list that belong to a visit.
    pub fn of_visit<'a>(&'a self, name: &str, visit: &'a str) -> impl Iterator<Item = &'a Value> {
        self.list(name).iter().filter(move |one| text(one, "visit") == Some(visit))
    }

    /// A value by a path of names.
    pub fn at(&self, path: &[&str]) -> &Value {
        path.iter().fold(&self.0, |value, name| &value[*name])
    }

    /// A member of a list with this id.
    pub fn by_id(&self, name: &str, id: &str) -> Option<&Value> {
        self.list(name).iter().find(|one| text(one, "id") == Some(id))
    }
}

/// A text member.
pub fn text<'a>(value: &'a Value, name: &str) -> Option<&'a str> {
    value[name].as_str()
}

/// A number member, as it stands in the file: digits are part of the reading.
pub fn number(value: &Value, name: &str) -> Option<String> {
    value[name].as_number().map(ToString::to_string)
}

/// A moment member.
pub fn moment(value: &Value, name: &str) -> Option<Moment> {
    Moment::parse(text(value, name)?).ok()
}

/// A day member.
pub fn day(value: &Value, name: &str) -> Option<Day> {
    Day::parse(text(value, name)?).ok()
}

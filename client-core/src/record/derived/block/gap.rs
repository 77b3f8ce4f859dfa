//! What cannot be worked out or judged, and why.

use crate::trade::impossible::Impossible;

/// A sum or a verdict that is left out. Nothing is assumed in its place.
#[derive(Clone, Copy, Debug, PartialEq)]
pub enum Gap {
    /// Stack or combustion air temperature was not read.
    FlueTemperatures,
    /// The gas supplied is not settled.
    GasNotSettled,
    /// The flue readings cannot be.
    FlueSums(Impossible),
    /// Over 15 % oxygen an air-free figure gets no verdict.
    TooMuchAir,
    /// The flue CO cannot be.
    FlueCo(Impossible),
    /// Something that clocking needs is missing.
    Clocking,
    /// The air temperatures cannot be.
    Rise(Impossible),
    /// The room CO cannot be.
    RoomCo(Impossible),
    /// A figure cannot be held against its limit.
    Judging {
        /// Key of the figure.
        key: &'static str,
        /// Its name.
        name: &'static str,
        /// Why.
        impossible: Impossible,
    },
}

impl Gap {
    /// In words.
    pub fn says(&self) -> String {
        match self {
            Gap::FlueTemperatures => {
                "flue sums: stack or combustion air temperature was not read".to_owned()
            }
            Gap::GasNotSettled => "flue sums: the gas supplied is not settled".to_owned(),
            Gap::FlueSums(impossible) => format!("flue sums: {impossible}"),
            Gap::TooMuchAir => {
                "flue CO: over 15 % O2 an air-free figure gets no verdict".to_owned()
            }
            Gap::FlueCo(impossible) => format!("flue CO: {impossible}"),
            Gap::Clocking => {
                "clocked input: dial, metering pressure, heating value or elevation is missing"
                    .to_owned()
            }
            Gap::Rise(impossible) => format!("temperature rise: {impossible}"),
            Gap::RoomCo(impossible) => format!("room CO: {impossible}"),
            Gap::Judging { name, impossible, .. } => format!("{name}: {impossible}"),
        }
    }
}

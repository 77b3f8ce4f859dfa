//! The table of registers.
//!
//! Ranges: common practice, no published source. They catch typing slips.

use super::{FieldDef, Holds, Merge, WordList};
use crate::record::body::Home;
use crate::record::code::{AdvisorySeverity, Status};
use crate::trade::unit::Unit;

use Holds::{Day, Entry, Figure, Flag, Person, Text, Word};
use Home::{Appliance, Company, Sheet, Site, Visit};
use Merge::{Farther, Larger, Plain, Smaller, Undecided};

/// Most careful first. "Removed" is last: a unit that may still hang there may still be fired.
const STATUS: Merge = Merge::Careful(&[
    Status::ShutDownTagged.code(),
    Status::ControlLockedOut.code(),
    Status::Unknown.code(),
    Status::Watch.code(),
    Status::InServicePartAwaited.code(),
    Status::InService.code(),
    Status::Removed.code(),
]);

const SEVERITY: Merge = Merge::Careful(&[
    AdvisorySeverity::ShutDown.code(),
    AdvisorySeverity::Urgent.code(),
    AdvisorySeverity::Advise.code(),
    AdvisorySeverity::Note.code(),
]);

const fn plain(key: &'static str, home: Home, holds: Holds, says: &'static str) -> FieldDef {
    FieldDef { key, home, holds, merge: Plain, range: None, says }
}

const fn careful(
    key: &'static str,
    home: Home,
    holds: Holds,
    merge: Merge,
    says: &'static str,
) -> FieldDef {
    FieldDef { key, home, holds, merge, range: None, says }
}

const fn number(
    key: &'static str,
    home: Home,
    unit: Unit,
    range: (f64, f64),
    merge: Merge,
    says: &'static str,
) -> FieldDef {
    FieldDef { key, home, holds: Figure(unit), merge, range: Some(range), says }
}

/// Every register.
pub const FIELDS: &[FieldDef] = &[
    // The company.
    careful("person/{}/role", Company, Word(WordList::Role), Undecided, "role"),
    plain("person/{}/licence_kind", Company, Text, "license"),
    plain("person/{}/licence_expires", Company, Day, "license expires"),
    plain("instrument/{}/owner", Company, Person, "instrument's owner"),
    plain("instrument/{}/accuracy", Company, Text, "accuracy as its owner typed it"),
    plain("instrument/{}/retired", Company, Flag, "instrument out of use"),
    // The site.
    plain("customer/name", Site, Text, "customer"),
    plain("customer/address", Site, Text, "customer's address"),
    plain("site/name", Site, Text, "site"),
    plain("site/town", Site, Text, "town"),
    number("site/elevation", Site, Unit::Ft, (-300.0, 12_000.0), Undecided, "elevation"),
    careful("site/gas_kind", Site, Word(WordList::Gas), Undecided, "gas of the site"),
    number("site/heating_value", Site, Unit::BtuFt3, (900.0, 2600.0), Plain, "heating value"),
    number("site/specific_gravity", Site, Unit::Ratio, (0.55, 2.1), Plain, "specific gravity"),
    number("site/co2_max", Site, Unit::Pct, (10.0, 20.0), Plain, "CO2 max of the gas"),
    plain("site/gas_composition", Site, Text, "gas composition"),
    plain("site/gas_source", Site, Text, "source of the gas figures"),
    plain("site/meter_id", Site, Text, "meter"),
    number("site/meter_dial", Site, Unit::Ft3, (0.5, 100.0), Plain, "meter dial"),
    number("site/meter_pressure", Site, Unit::Psig, (0.0, 5.0), Plain, "metering pressure"),
    number("site/building_pressure", Site, Unit::InWc, (3.0, 28.0), Plain, "building gas pressure"),
    number("site/floor_area", Site, Unit::Ft2, (100.0, 5_000_000.0), Plain, "floor area"),
    careful("site/muster", Site, Text, Undecided, "muster point"),
    careful("site/emergency", Site, Text, Undecided, "emergency numbers"),
    plain("area/{}/name", Site, Text, "area"),
    plain("area/{}/use", Site, Text, "use of the area"),
    plain("position/{}/column", Site, Text, "column mark"),
    // The appliance.
    plain("unit/no", Appliance, Text, "unit no."),
    plain("unit/maker", Appliance, Text, "maker"),
    plain("unit/model", Appliance, Text, "model"),
    plain("unit/serial", Appliance, Text, "serial"),
    plain("unit/kind", Appliance, Text, "kind"),
    plain("unit/family", Appliance, Word(WordList::Family), "sequence family"),
    careful("unit/status", Appliance, Word(WordList::Status), STATUS, "status"),
    careful("unit/supplied_gas", Appliance, Word(WordList::Gas), Undecided, "gas supplied"),
    plain("unit/position", Appliance, Entry, "position"),
    plain("unit/area", Appliance, Entry, "area"),
    plain("unit/merged_into", Appliance, Holds::Appliance, "merged into"),
    plain("unit/baseline", Appliance, Entry, "baseline block"),
    plain("unit/main_photo", Appliance, Entry, "main photo"),
    plain("unit/mount", Appliance, Word(WordList::Mount), "mounting"),
    number("unit/mount_height", Appliance, Unit::Ft, (0.0, 60.0), Plain, "mounting height"),
    plain("unit/lift_needed", Appliance, Flag, "lift needed"),
    plain("unit/clearances", Appliance, Text, "clearances"),
    plain("unit/vent_category", Appliance, Word(WordList::Vent), "vent category"),
    number("unit/vent_length", Appliance, Unit::Ft, (0.0, 100.0), Plain, "vent length"),
    plain("unit/vent_terminal", Appliance, Text, "vent terminal"),
    plain("unit/air_intake", Appliance, Text, "combustion air from"),
    // The plate.
    careful("plate/gas", Appliance, Word(WordList::Gas), Undecided, "plate gas"),
    number("plate/input", Appliance, Unit::Mbh, (20.0, 5000.0), Undecided, "plate input"),
    number("plate/input_min", Appliance, Unit::Mbh, (1.0, 5000.0), Plain, "plate input, low fire"),
    number("plate/manifold_high", Appliance, Unit::InWc, (0.05, 14.0), Undecided, "plate manifold"),
    number(
        "plate/manifold_low",
        Appliance,
        Unit::InWc,
        (0.05, 14.0),
        Undecided,
        "plate manifold, low fire",
    ),
    number("plate/inlet_min", Appliance, Unit::InWc, (3.0, 28.0), Larger, "plate inlet, least"),
    number("plate/inlet_max", Appliance, Unit::InWc, (3.0, 28.0), Smaller, "plate inlet, most"),
    number(
        "plate/valve_max_inlet",
        Appliance,
        Unit::InWc,
        (3.0, 140.0),
        Smaller,
        "valve inlet, most",
    ),
    number(
        "plate/pilot_pressure",
        Appliance,
        Unit::InWc,
        (0.5, 14.0),
        Undecided,
        "plate pilot pressure",
    ),
    careful("plate/pilot_orifice", Appliance, Text, Undecided, "plate pilot orifice"),
    number(
        "plate/pressure_switch",
        Appliance,
        Unit::InWc,
        (-5.0, 5.0),
        Farther,
        "pressure switch setpoint",
    ),
    number(
        "plate/flame_current_min",
        Appliance,
        Unit::Ua,
        (0.1, 20.0),
        Larger,
        "flame current, least",
    ),
    number("plate/rise_min", Appliance, Unit::DeltaF, (15.0, 160.0), Plain, "plate rise, least"),
    number("plate/rise_max", Appliance, Unit::DeltaF, (15.0, 160.0), Plain, "plate rise, most"),
    number(
        "plate/limit_max_outlet",
        Appliance,
        Unit::F,
        (110.0, 250.0),
        Smaller,
        "plate outlet, most",
    ),
    number("plate/profile_min", Appliance, Unit::InWc, (0.05, 2.0), Plain, "plate profile, least"),
    number("plate/profile_max", Appliance, Unit::InWc, (0.05, 2.0), Plain, "plate profile, most"),
    number(
        "plate/co_added_max",
        Appliance,
        Unit::Ppm,
        (0.0, 50.0),
        Smaller,
        "plate CO added, most",
    ),
    number(
        "plate/co_air_free_max",
        Appliance,
        Unit::Ppm,
        (20.0, 1000.0),
        Smaller,
        "plate CO air-free, most",
    ),
    careful("plate/orifice", Appliance, Text, Undecided, "plate main orifice"),
    number(
        "plate/orifice_count",
        Appliance,
        Unit::N,
        (1.0, 60.0),
        Undecided,
        "plate main orifices, number",
    ),
    number("plate/volts", Appliance, Unit::V, (24.0, 600.0), Plain, "plate volts"),
    number("plate/amps", Appliance, Unit::A, (0.0, 60.0), Plain, "plate amps"),
    plain("plate/supply", Appliance, Text, "electrical supply"),
    number("plate/year", Appliance, Unit::N, (1900.0, 2200.0), Plain, "plate year of make"),
    number(
        "plate/altitude_min",
        Appliance,
        Unit::Ft,
        (-300.0, 12_000.0),
        Plain,
        "plate altitude, least",
    ),
    number(
        "plate/altitude_max",
        Appliance,
        Unit::Ft,
        (-300.0, 12_000.0),
        Plain,
        "plate altitude, most",
    ),
    number("plate/water_max", Appliance, Unit::F, (100.0, 250.0), Smaller, "plate water, most"),
    number("plate/relief", Appliance, Unit::Psi, (10.0, 200.0), Smaller, "relief valve rating"),
    // Advisories and questions of the appliance.
    careful("advisory/{}/severity", Appliance, Word(WordList::Severity), SEVERITY, "severity"),
    plain("advisory/{}/due", Appliance, Day, "advisory due"),
    plain("advisory/{}/decision", Appliance, Word(WordList::Decision), "customer's decision"),
    plain("question/{}/state", Appliance, Word(WordList::QuestionState), "state of the question"),
    // The visit.
    plain("visit/kind", Visit, Word(WordList::VisitKind), "kind of visit"),
    plain("visit/day", Visit, Day, "day"),
    plain("visit/last_day", Visit, Day, "last day"),
    plain("visit/reference", Visit, Text, "reference"),
    number("visit/outdoor_temp", Visit, Unit::F, (-60.0, 120.0), Plain, "outdoor temperature"),
    plain("visit/weather", Visit, Text, "weather"),
    plain("assign/{}/person", Visit, Person, "assigned to"),
    number("assign/{}/order", Visit, Unit::N, (0.0, 10_000.0), Plain, "order in the walk"),
    // The sheet.
    plain("sheet/outcome", Sheet, Word(WordList::Outcome), "outcome"),
    plain("sheet/outcome_reason", Sheet, Text, "reason of the outcome"),
    plain("sheet/lockout_kind", Sheet, Text, "kind of lockout met"),
    plain("finding/{}/root", Sheet, Word(WordList::Root), "what lies behind it"),
];

//! Causes in the few words that fit a key: the tables' full names stand where there is room.

use client_core::fault::belief::Candidate;
use client_core::fault::table::Table;

/// A cause in two to four words; its name where there are none yet.
pub fn short(table: &Table, candidate: Candidate) -> &'static str {
    let Some(cause) = candidate else { return "none of these" };
    let key = table[cause].key;
    let found = NAMES.iter().find(|(own, _)| *own == key);
    found.map_or(table[cause].name, |(_, words)| words)
}

const NAMES: &[(&str, &str)] = &[
    ("no_call", "No call for heat"),
    ("power_off", "Power off"),
    ("transformer", "Transformer or fuse"),
    ("limit_open", "Limit open"),
    ("rollout_open", "Rollout or vent switch open"),
    ("control_board", "Flame control"),
    ("loose_wiring", "Loose or corroded wire"),
    ("low_voltage", "Control voltage sags"),
    ("polarity_ground", "Polarity or ground"),
    ("stuck_contact", "Welded contact"),
    ("manual_override", "Left on by hand"),
    ("stat_location", "Thermostat in a bad place"),
    ("inducer_motor", "Inducer motor"),
    ("inducer_wheel", "Inducer wheel"),
    ("ps_open", "Pressure switch stays open"),
    ("ps_hose", "Pressure hose or tap"),
    ("ps_closed", "Pressure switch stuck closed"),
    ("vent_blocked", "Vent or intake blocked"),
    ("vent_defect", "Vent run wrong"),
    ("drain_block", "Drain or trap blocked"),
    ("building_neg", "Building under suction"),
    ("hx_breach", "Exchanger open"),
    ("hx_fouled", "Flue ways sooted"),
    ("gas_off", "Gas shut off"),
    ("low_inlet", "Inlet pressure low"),
    ("high_inlet", "Inlet pressure high"),
    ("air_in_line", "Air in the gas line"),
    ("manifold_low", "Manifold set low"),
    ("manifold_high", "Manifold set high"),
    ("valve_fail", "Gas valve stays shut"),
    ("valve_leakby", "Gas valve leaks by"),
    ("conversion_mismatch", "Parts of the other gas"),
    ("orifice_size", "Orifice of wrong size"),
    ("orifice_blocked", "Orifice part-blocked"),
    ("burner_dirty", "Burner fouled"),
    ("burner_align", "Burner out of line"),
    ("electrode", "Electrode gap"),
    ("hv_lead", "Ignition lead"),
    ("hsi_open", "Igniter open"),
    ("hsi_weak", "Igniter aged"),
    ("pilot_orifice", "Pilot orifice fouled"),
    ("rod_dirty", "Rod coated"),
    ("rod_leak", "Rod leaks to ground"),
    ("flame_lift", "Flame lifts off the rod"),
    ("tc_weak", "Thermocouple weak"),
    ("magnet_weak", "Magnet lets go early"),
    ("pilot_draft", "Draft on the pilot"),
    ("fan_motor", "Fan motor"),
    ("fan_drive", "Belt or blade"),
    ("airflow_block", "Air path blocked"),
    ("fan_control", "Fan control"),
    ("limit_weak", "Limit opens early"),
    ("recirc", "Takes its own hot air"),
    ("load_high", "Load too high"),
    ("mod_valve", "Modulating valve stuck"),
    ("mod_signal", "Modulating signal"),
    ("stage2_call", "No second-stage call"),
    ("air_prove", "Air proving not made"),
    ("damper_sw", "Damper switch not made"),
    ("ir_tube", "Tube, cup or reflector"),
    ("cold_return", "Below dew point"),
    ("rain_in", "Rain gets in"),
    ("gas_ps_open", "Gas pressure switch open"),
    ("water_low", "Low water"),
    ("flow_switch", "No flow proved"),
    ("freeze_stat", "Freeze stat"),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn every_cause_has_a_name_that_fits_a_key_and_no_two_share_one() {
        let table = Table::standard();
        for cause in table.cause_ids() {
            let name = short(table, Some(cause));
            assert!(name.chars().count() <= 28, "{}: {name}", table[cause].key);
            assert_ne!(name, table[cause].name, "{}", table[cause].key);
            let same = table.cause_ids().filter(|other| short(table, Some(*other)) == name);
            assert_eq!(same.count(), 1, "{name}");
        }
        assert_eq!(NAMES.len(), table.cause_ids().count());
    }
}

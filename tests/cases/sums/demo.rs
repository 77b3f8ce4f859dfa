//! The demo's 66 blocks of readings, worked out again.
//!
//! The first derivation knew the figures before they were rounded to what an instrument shows, took
//! CO air-free by the 20.9 rule and O2 of air as 20.95. Each printed figure must come out again within
//! half its last digit and what the rounding of the readings and those two rules can move; the bounds
//! below name what each allows. One block stands on the kit of another gas, where the square-root law of
//! the plate does not hold: its input comes from the kit check.

use client_core::trade::air::rise::rise;
use client_core::trade::atmosphere::standard_pressure;
use client_core::trade::flue::{FlueReading, air_free, analyse};
use client_core::trade::fuel::Fuel;
use client_core::trade::gas::clock::Clocking;
use client_core::trade::gas::kit::{Kit, KitAnswer, KitCheck};
use client_core::trade::gas::manifold::SquareRoot;
use client_core::trade::heat::output::output;
use client_core::trade::quantity::{
    Concentration, Count, GasBase, GaugePressure, HeatRate, HeatingValue, Length, Ratio,
    Temperature, TimeSpan, Volume,
};
use std::collections::BTreeMap;
use tests::fixture::{Rows, text};

/// What may differ in each figure: half its printed digit, and why more.
///
/// - `co2_pct`: half of 0.1, and 0.05 of O2 that the reading's rounding hides (0.57 CO2 each O2).
/// - `excess_air_pct`: half of 1, and 0.05 of O2 (up to 40 points each point of O2 at 14.6 %).
/// - `co_air_free_ppm`: half of 1, half a ppm of CO and 0.05 of O2, both times the factor (up to 3.3).
/// - `net_stack_F`: half of 1, and half a degree of each temperature.
/// - `efficiency_gross_pct`: half of 0.1, 0.05 of O2 and half a degree, and 0.1 for the enthalpies and
///   the latent datum (25 C there, 60 F here: 0.09).
/// - `temp_rise_F`: half of 1, and a quarter of a degree of each temperature.
/// - `output_btuh`: half of 100, and the efficiency's and the input's allowance.
/// - `input_from_manifold_btuh`: half of 100, and 0.0125 in w.c. of manifold: the last digit moves by one
///   between the figure derived from and the gauge. On the other gas's kit 1 %, for its heating value.
/// - `clocked_input_btuh`: half of 100, and 0.05 s of time.
/// - `clocked_vs_plate_pct`: half of 0.1 and the same.
fn allowed(figure: &str, derived: f64, block: &Block<'_>) -> f64 {
    let manifold = block.number("manifold_high").unwrap();
    let other_kit = if block.wrong_kit() { 0.01 } else { 0.0 };
    let o2_slope = block.number("flue_o2").map_or(0.0, |o2| 20.9 * 90.0 / (20.9 - o2).powi(2));
    let factor = block.number("flue_o2").map_or(1.0, |o2| 20.9 / (20.9 - o2));
    match figure {
        "co2_pct" => 0.05 + 0.05 * 0.57,
        "excess_air_pct" => 0.5 + 0.05 * o2_slope,
        "co_air_free_ppm" => 0.5 + 0.5 * factor + derived * 0.05 * factor / 20.9,
        "net_stack_F" => 1.5,
        "efficiency_gross_pct" => 0.05 + 0.05 * 1.0 + 0.05 + 0.1,
        "temp_rise_F" => 1.0,
        "output_btuh" => 50.0 + derived * (0.003 + 0.00625 / manifold + other_kit),
        "input_from_manifold_btuh" => 50.0 + derived * (0.00625 / manifold + other_kit),
        "clocked_input_btuh" => 50.0 + derived * 0.05 / 200.0,
        "clocked_vs_plate_pct" => 0.05 + 100.0 * 0.05 / 200.0,
        other => panic!("no bound for {other}"),
    }
}

struct Block<'a> {
    rows: &'a Rows,
    cells: &'a [String],
}

impl Block<'_> {
    fn number(&self, column: &str) -> Option<f64> {
        let place = self.rows.column(column).unwrap_or_else(|| panic!("{column}"));
        let cell = &self.cells[place];
        (!cell.is_empty()).then(|| cell.parse().unwrap())
    }

    fn fahrenheit(&self, column: &str) -> Option<Temperature> {
        self.number(column).map(Temperature::from_fahrenheit)
    }

    /// The one block that stands on the kit of another gas.
    fn wrong_kit(&self) -> bool {
        self.cells[..3] == ["V-3", "UH-08B", "as_found"]
    }

    /// Input with the kit of the other gas, which the readings must name by themselves.
    fn input_on_other_kit(&self, plate: HeatRate, manifold: GaugePressure) -> HeatRate {
        let check = KitCheck {
            supplied: Kit::Natural,
            plate_input: plate,
            natural_manifold: GaugePressure::from_inches_wc(3.5),
            propane_manifold: GaugePressure::from_inches_wc(10.0),
            manifold,
            clocked: None,
            o2: self.number("flue_o2").map(Concentration::from_percent),
            o2_right: None,
        };
        let found = check.solve().unwrap();
        assert_eq!(found.answer, KitAnswer::Other(Kit::Propane));
        found.other.input
    }

    /// Every figure that the readings allow.
    fn figures(&self, fuel: &Fuel) -> BTreeMap<&'static str, f64> {
        let mut found = BTreeMap::new();
        let plate = HeatRate::from_mbh(self.number("plate_input_mbh").unwrap());
        let law = SquareRoot {
            plate_input: plate,
            plate: GaugePressure::from_inches_wc(self.number("plate_manifold_inwc").unwrap()),
            measured: GaugePressure::from_inches_wc(self.number("manifold_high").unwrap()),
        };
        let mut input = law.solve().unwrap().input;
        if self.wrong_kit() {
            input = self.input_on_other_kit(plate, law.measured);
        }
        found.insert("input_from_manifold_btuh", input.btu_per_hour());
        if let (Some(inlet), Some(outlet)) = (self.fahrenheit("air_in"), self.fahrenheit("air_out"))
        {
            found.insert("temp_rise_F", rise(inlet, outlet).unwrap().fahrenheit());
        }
        if let Some(o2) = self.number("flue_o2").map(Concentration::from_percent) {
            let co = Concentration::from_ppm(self.number("flue_co").unwrap());
            let stack = self.fahrenheit("stack_temp").unwrap();
            let air = self.fahrenheit("combustion_air_temp").unwrap();
            let reading = FlueReading { co, ..FlueReading::of_oxygen(o2, stack, air) };
            let flue = analyse(fuel, &reading).unwrap();
            let rule = air_free::by_rule(o2, co, Concentration::from_percent(20.9)).unwrap();
            let efficiency = flue.gross_without_condensing;
            found.insert("co2_pct", flue.co2.percent());
            found.insert("excess_air_pct", flue.excess_air.percent());
            found.insert("co_air_free_ppm", rule.ppm());
            found.insert("net_stack_F", stack.above(air).fahrenheit());
            found.insert("efficiency_gross_pct", efficiency.percent());
            found.insert("output_btuh", output(input, efficiency).unwrap().btu_per_hour());
        }
        if let Some(seconds) = self.number("meter_time") {
            let clocked = Clocking {
                dial: Volume::from_cubic_feet(10.0),
                revolutions: Count::from_number(1.0),
                time: TimeSpan::from_seconds(seconds),
                gauge: GaugePressure::from_psi(2.0),
                barometer: standard_pressure(Length::from_feet(820.0)).unwrap(),
                gas: Some(Temperature::from_fahrenheit(45.0)),
                heating_value: HeatingValue::from_btu_per_cubic_foot(1025.0),
                base: GasBase::PSIA_14_73,
            };
            let clocked = clocked.solve().unwrap().input;
            found.insert("clocked_input_btuh", clocked.btu_per_hour());
            let over = Ratio::from_ratio((clocked / plate).ratio() - 1.0);
            found.insert("clocked_vs_plate_pct", over.percent());
        }
        found
    }
}

#[test]
fn demo_rows_are_reproduced() {
    let rows = Rows::parse(&text("demo_sums.csv")).unwrap();
    assert_eq!(rows.rows.len(), 66);
    let fuel = Fuel::named("natural_gas").unwrap();
    let mut worst: BTreeMap<&str, (f64, f64, String)> = BTreeMap::new();
    let mut compared = 0;
    for cells in &rows.rows {
        let block = Block { rows: &rows, cells };
        for (figure, got) in block.figures(&fuel) {
            let Some(derived) = block.number(&format!("derived_{figure}")) else { continue };
            let (off, bound) = ((got - derived).abs(), allowed(figure, derived, &block));
            compared += 1;
            let name = cells[..3].join(" ");
            assert!(off <= bound, "{name} {figure}: {got} against {derived}, allowed {bound}");
            let own = worst.entry(figure).or_default();
            if off > own.0 {
                *own = (off, bound, name);
            }
        }
    }
    for (figure, (off, bound, name)) in worst {
        println!("{figure:26} greatest difference {off:9.3} of {bound:9.3} allowed, {name}");
    }
    assert!(compared > 450, "only {compared} figures compared");
}

//! Check values for programmers of this trade, computed once with another program from a natural gas of
//! 1,025 Btu/ft3 and gravity 0.588; those marked "formula" are exact.

use client_core::trade::air::rise::rise_of;
use client_core::trade::atmosphere::standard_pressure;
use client_core::trade::flue::dew_point::FlueDew;
use client_core::trade::flue::{
    Dilution, FRESH_AIR, FlueReading, air_free, analyse, excess, siegert,
};
use client_core::trade::fuel::{Family, Fuel};
use client_core::trade::gas::BurnerGas;
use client_core::trade::gas::clock::Clocking;
use client_core::trade::gas::drill::Drill;
use client_core::trade::gas::manifold::SquareRoot;
use client_core::trade::gas::orifice::{Orifice, USUAL_DISCHARGE};
use client_core::trade::quantity::{
    AbsolutePressure, ActualFlow, Concentration, Count, GasBase, GaugePressure, HeatRate,
    HeatingValue, Length, Ratio, RelativeHumidity, Temperature, TimeSpan, Volume,
};
use client_core::trade::unit::Unit;

fn near(got: f64, printed: f64, within: f64, what: &str) {
    assert!((got - printed).abs() <= within, "{what}: {got} against {printed}");
}

const NONE: Concentration = Concentration::from_ppm(0.0);

#[test]
fn trade_check_values() {
    fuels();
    dilution();
    losses();
    clock_and_orifice();
    manifold_and_rise();
    dew_points();
}

fn fuels() {
    let [gas, propane] = ["natural_gas", "propane"].map(|name| Fuel::named(name).unwrap());
    // 0.04 of the difference is the carbon dioxide of the air, which the check values leave out.
    near(gas.stoichiometry().co2_max_fuel_alone().percent(), 11.87, 0.01, "CO2 max");
    near(propane.stoichiometry().co2_max_fuel_alone().percent(), 13.72, 0.01, "CO2 max, propane");
    near(gas.stoichiometry().air().ratio(), 9.68, 0.015, "air");
    near(propane.stoichiometry().air().ratio(), 23.87, 0.015, "air, propane");
    let base = gas.at_base(GasBase::ATMOSPHERE_60F).unwrap();
    near(base.gross_ideal.btu_per_cubic_foot(), 1025.0, 0.5, "heating value, ideal gas");
    near(base.relative_density_ideal.ratio(), 0.588, 5e-4, "gravity, ideal gas");
}

fn dilution() {
    let [gas, propane] = ["natural_gas", "propane"].map(|name| Fuel::named(name).unwrap());
    let rows = [
        (3.0, 10.17, 15.0, 11.76, 15.0),
        (5.0, 9.04, 28.0, 10.45, 29.0),
        (7.0, 7.90, 45.0, 9.14, 46.0),
        (8.0, 7.34, 56.0, 8.48, 57.0),
        (9.0, 6.77, 68.0, 7.83, 69.0),
        (10.0, 6.20, 82.0, 7.17, 84.0),
        (14.0, 3.94, 181.0, 4.55, 185.0),
    ];
    for (o2, co2, air, propane_co2, propane_air) in rows {
        let o2 = Concentration::from_percent(o2);
        for (fuel, co2, air) in [(&gas, co2, air), (&propane, propane_co2, propane_air)] {
            let got = excess::carbon_dioxide(fuel, o2, NONE, FRESH_AIR).unwrap();
            near(got.percent(), co2, 0.045, "CO2 from O2");
            let got = excess::from_oxygen(fuel, o2, NONE, FRESH_AIR).unwrap();
            near(got.percent(), air, 0.005 * air + 0.5, "excess air from O2");
        }
    }
    let rows = [
        (87.0, 5.0, 114.4),
        (50.0, 7.0, 75.2),
        (25.0, 8.4, 41.8),
        (168.0, 7.0, 252.6),
        (318.0, 9.9, 604.2),
    ];
    for (co, o2, printed) in rows {
        let (o2, co) = (Concentration::from_percent(o2), Concentration::from_ppm(co));
        let rule = air_free::by_rule(o2, co, Concentration::from_percent(20.9)).unwrap();
        near(rule.ppm(), printed, 0.05, "CO air-free, formula");
    }
}

fn losses() {
    let gas = Fuel::named("natural_gas").unwrap();
    let air = Temperature::from_fahrenheit(60.0);
    let rows = [
        (5.0, 75.0, 88.3),
        (8.0, 300.0, 81.1),
        (8.0, 345.0, 79.8),
        (8.4, 345.0, 79.5),
        (9.0, 400.0, 77.2),
        (12.0, 300.0, 77.7),
    ];
    for (o2, net_stack, efficiency) in rows {
        let reading = FlueReading::of_oxygen(
            Concentration::from_percent(o2),
            Temperature::from_fahrenheit(60.0 + net_stack),
            air,
        );
        let found = analyse(&gas, &reading).unwrap();
        // The check values take the latent heat at 25 C, which is 0.09 points less than at 60 F.
        near(found.latent_loss.percent(), 9.76, 0.1, "latent loss");
        near(found.gross_without_condensing.percent(), efficiency, 0.17, "efficiency");
    }
    for (o2, net_stack, printed, exact) in [(4.0, 300.0, 8.0, 8.1), (8.0, 345.0, 11.5, 11.6)] {
        let o2 = Concentration::from_percent(o2);
        let flue = Temperature::from_fahrenheit(60.0 + net_stack);
        let rule = siegert::net_loss(Family::NaturalGas, o2, flue, air).unwrap();
        near(rule.percent(), printed, 0.05, "Siegert, formula");
        let found = analyse(&gas, &FlueReading::of_oxygen(o2, flue, air)).unwrap();
        near(100.0 - found.net_without_condensing.percent(), exact, 0.1, "net loss, exact");
    }
}

fn clock_and_orifice() {
    let rows = [
        (1.0, 45.0, 0.0, 14.73, 60.0, 80.0, 1.0000, 80.0, 82.0),
        (1.0, 45.0, 2.0, 14.16, 60.0, 80.0, 1.0971, 87.8, 89.9),
        (10.0, 209.0, 2.0, 14.266, 45.0, 172.2, 1.1371, 195.9, 200.7),
    ];
    for (dial, seconds, gauge, barometer, gas, metered, factor, flow, input) in rows {
        let clocked = Clocking {
            dial: Volume::from_cubic_feet(dial),
            revolutions: Count::from_number(1.0),
            time: TimeSpan::from_seconds(seconds),
            gauge: GaugePressure::from_psi(gauge),
            barometer: AbsolutePressure::from_psia(barometer),
            gas: Some(Temperature::from_fahrenheit(gas)),
            heating_value: HeatingValue::from_btu_per_cubic_foot(1025.0),
            base: GasBase::PSIA_14_73,
        };
        let found = clocked.solve().unwrap();
        near(found.metered.cfh(), metered, 0.06, "metered");
        let factors = found.pressure_factor * found.temperature_factor;
        // The list prints 14.27 psia for 14.266, which it reckoned with.
        near(factors.ratio(), factor, 1e-4, "factor");
        near(found.flow.scfh(), flow, 0.06, "at the base");
        // The second row's 89.96 is cut to 89.9 in the list.
        near(found.input.mbh(), input, 0.07, "input");
    }
    let rows = [
        ("42", 3.5, 0.60, 24.8, 1000.0, 24.8),
        ("42", 10.0, 1.52, 26.3, 2500.0, 65.7),
        ("54", 10.0, 1.52, 9.1, 2500.0, 22.7),
        ("54", 3.5, 0.60, 8.6, 1000.0, 8.6),
    ];
    for (drill, inches, gravity, flow, heating_value, heat) in rows {
        let orifice = Orifice {
            bore: Drill::named(drill).unwrap().bore(),
            pressure: GaugePressure::from_inches_wc(inches),
            gas: BurnerGas {
                gravity: Ratio::from_ratio(gravity),
                heating_value: HeatingValue::from_btu_per_cubic_foot(heating_value),
                ..BurnerGas::NATURAL
            },
            discharge: USUAL_DISCHARGE,
            barometer: AbsolutePressure::STANDARD,
            temperature: Temperature::BASE_60F,
        };
        let found = orifice.solve().unwrap();
        near(found.trade.scfh(), flow, 0.05, "1658.5 K A sqrt(h/SG)");
        near(found.trade.scfh() * heating_value / 1000.0, heat, 0.06, "its heat");
        near(found.heat.mbh() / heat, 1.0, 0.012, "exact heat");
    }
}

fn manifold_and_rise() {
    for (measured, factor) in [(3.06, 0.935), (4.12, 1.085), (3.2, 0.956), (3.8, 1.042)] {
        let law = SquareRoot {
            plate_input: HeatRate::from_mbh(100.0),
            plate: GaugePressure::from_inches_wc(3.5),
            measured: GaugePressure::from_inches_wc(measured),
        };
        near(law.solve().unwrap().factor.ratio(), factor, 5e-4, "square-root law");
    }
    let rise = |psia| {
        let pressure = AbsolutePressure::from_psia(psia);
        let flow = ActualFlow::from_cfm(2700.0);
        rise_of(HeatRate::from_btu_per_hour(160_000.0), flow, pressure).unwrap().fahrenheit()
    };
    near(rise(14.696), 54.9, 0.05, "rise at sea level");
    near(rise(12.23), 65.9, 0.05, "rise at 5,000 ft");
    for (feet, psia) in [(820.0, 14.27), (5000.0, 12.23)] {
        let pressure = standard_pressure(Length::from_feet(feet)).unwrap();
        near(pressure.psia(), psia, 0.005, "barometer");
    }
    near(Unit::InWc.convert(1.0, Unit::Pa).unwrap(), 249.09, 0.005, "in w.c.");
    near(Unit::Psi.convert(1.0, Unit::InWc).unwrap(), 27.68, 0.005, "psi");
    near(Unit::Mbh.convert(1.0, Unit::Kw).unwrap(), 0.2931, 5e-5, "MBH");
    near(Unit::Therm.convert(1.0, Unit::Btu).unwrap(), 100_000.0, 1e-6, "therm");
}

fn dew_points() {
    let gas = Fuel::named("natural_gas").unwrap();
    for (o2, fahrenheit) in [(0.0, 140.0), (5.0, 132.0), (8.0, 126.0), (10.0, 121.0)] {
        // Air of humidity ratio 0.008 is 70 F at 51.5 %.
        let dew = FlueDew {
            fuel: &gas,
            dilution: Dilution::Oxygen(Concentration::from_percent(o2)),
            air: Temperature::from_fahrenheit(70.0),
            humidity: RelativeHumidity::from_percent(51.5),
            pressure: AbsolutePressure::STANDARD,
        };
        let found = dew.solve().unwrap().unwrap().fahrenheit();
        near(found, fahrenheit, 0.75, "dew point");
    }
}

//! Off the grid of the stored tables: what must hold for any fuel, any air, any reading.

use super::published::mix;
use client_core::trade::flue::{Dilution, FRESH_AIR, FlueAnalysis, FlueReading, analyse, excess};
use client_core::trade::fuel::Fuel;
use client_core::trade::gas::BurnerGas;
use client_core::trade::gas::orifice::{Orifice, USUAL_DISCHARGE};
use client_core::trade::gas::pipe::{NATURAL_VISCOSITY, PipeRun, STEEL};
use client_core::trade::impossible::Impossible;
use client_core::trade::quantity::{
    AbsolutePressure, Concentration, GaugePressure, Length, Quantity, Ratio, RelativeHumidity,
    StandardFlow, Temperature,
};
use client_core::trade::table::{Fuels, compute};
use client_core::trade::uncertainty::random::Random;
use client_core::trade::water;

/// Fuels off the grid: hydrogen blends, landfill gas, coal gas, sour gas, a mix of heavy traces.
fn fuels() -> Vec<Fuel> {
    let gases: [(&str, &[(&str, f64)]); 8] = [
        ("blend of 20 % hydrogen", &[("CH4", 0.76), ("C2H6", 0.03), ("N2", 0.01), ("H2", 0.20)]),
        ("blend of 60 % hydrogen", &[("CH4", 0.40), ("H2", 0.60)]),
        ("hydrogen", &[("H2", 1.0)]),
        ("landfill", &[("CH4", 0.45), ("CO2", 0.35), ("N2", 0.18), ("O2", 0.02)]),
        ("coal gas", &[("H2", 0.5), ("CO", 0.1), ("CH4", 0.25), ("N2", 0.1), ("CO2", 0.05)]),
        ("sour", &[("CH4", 0.93), ("H2S", 0.04), ("CO2", 0.03)]),
        ("heavy", &[("CH4", 0.9), ("nC7H16", 0.01), ("C6H6", 0.01), ("C2H4", 0.05), ("He", 0.03)]),
        ("wet", &[("CH4", 0.6), ("CO2", 0.36), ("H2O", 0.04)]),
    ];
    let own = gases.into_iter().map(|(name, parts)| Fuel::gas(name, mix(parts)).unwrap());
    let named = ["natural_gas", "propane", "n_butane", "lp_air", "biogas", "oil2"];
    own.chain(named.into_iter().map(|name| Fuel::named(name).unwrap())).collect()
}

fn reading(random: &mut Random) -> FlueReading {
    let mut between = |low: f64, high: f64| low + (high - low) * random.uniform();
    let air = between(-25.0, 45.0);
    FlueReading {
        dilution: Dilution::ExcessAir(Ratio::from_percent(between(0.0, 30.0).powi(2))),
        co: Concentration::from_ppm(between(0.0, 1500.0)),
        flue: Temperature::from_celsius(between(air.max(20.0), 600.0)),
        air: Temperature::from_celsius(air),
        humidity: RelativeHumidity::from_percent(between(0.0, 100.0)),
        pressure: AbsolutePressure::from_kilopascals(between(65.0, 105.0)),
        fresh_air: FRESH_AIR,
    }
}

fn every_figure(found: &FlueAnalysis) -> Vec<f64> {
    let shares = [found.o2, found.co2, found.co, found.co2_max, found.o2_wet, found.h2o_wet];
    let ratios = [
        found.condensed,
        found.dry_loss,
        found.vapour_loss,
        found.latent_loss,
        found.co_loss,
        found.gross_without_condensing,
        found.gross,
        found.net_without_condensing,
        found.net,
        found.excess_air,
    ];
    let shares = shares.iter().map(|share| share.fraction());
    let dew = found.dew_point.map_or(0.0, Temperature::celsius);
    let rest = [dew, found.density.si(), found.molar_mass.si(), found.co_air_free.ppm()];
    shares.chain(ratios.iter().map(|ratio| ratio.ratio())).chain(rest).collect()
}

#[test]
fn any_fuel_gives_figures_that_can_be() {
    let mut random = Random::new(11);
    for fuel in fuels() {
        for _ in 0..2000 {
            let mut reading = reading(&mut random);
            if fuel.name() == "hydrogen" {
                reading.co = Concentration::from_ppm(0.0);
            }
            let found = analyse(&fuel, &reading)
                .unwrap_or_else(|reason| panic!("{} {reading:?}: {reason}", fuel.name()));
            assert!(found.proved);
            assert!(every_figure(&found).iter().all(|figure| figure.is_finite()), "{found:?}");
            let sum = found.o2.percent() + found.co2.percent();
            assert!((0.0..=21.0).contains(&found.o2.percent()) && sum < 40.0);
            assert!(found.gross >= found.gross_without_condensing);
            assert!(found.gross.percent() < 101.5, "{} {found:?}", fuel.name());
            assert!((0.0..=2.0).contains(&found.condensed.ratio()), "{found:?}");
            let dew = found.dew_point.unwrap();
            assert_eq!(found.condensed.ratio() > 0.0, reading.flue < dew, "{found:?}");
        }
    }
}

#[test]
fn oxygen_and_carbon_dioxide_lead_back_to_the_excess_air() {
    let mut random = Random::new(12);
    for fuel in fuels() {
        let has_carbon = fuel.name() != "hydrogen";
        for _ in 0..500 {
            let mut reading = reading(&mut random);
            if !has_carbon {
                reading.co = Concentration::from_ppm(0.0);
            }
            let found = analyse(&fuel, &reading).unwrap();
            let back = excess::from_oxygen(&fuel, found.o2, found.co, FRESH_AIR).unwrap();
            // Beyond 100 % the last bit of oxygen moves the excess by its square.
            let within = 1e-9 * (1.0 + found.excess_air.percent()).powi(2);
            assert!((back.percent() - found.excess_air.percent()).abs() < within, "{found:?}");
            if has_carbon {
                let back = excess::from_carbon_dioxide(&fuel, found.co2, found.co).unwrap();
                assert!((back.percent() - found.excess_air.percent()).abs() < within, "{found:?}");
            }
        }
    }
}

#[test]
fn efficiency_falls_with_heat_air_and_carbon_monoxide() {
    let mut random = Random::new(13);
    for fuel in fuels().iter().filter(|fuel| fuel.name() != "hydrogen") {
        for _ in 0..300 {
            let mut base = reading(&mut random);
            let Dilution::ExcessAir(excess) = base.dilution else { panic!() };
            base.flue = Temperature::from_celsius(base.flue.celsius().min(590.0));
            let gross = |reading: FlueReading| analyse(fuel, &reading).unwrap().gross.percent();
            let at = gross(base);
            let hotter = Temperature::from_celsius(base.flue.celsius() + 5.0);
            assert!(gross(FlueReading { flue: hotter, ..base }) < at);
            let richer = base.co + Concentration::from_ppm(100.0);
            assert!(gross(FlueReading { co: richer, ..base }) < at);
            let rise = base.flue.above(base.air).kelvin();
            if rise > 1.0 {
                let more = Dilution::ExcessAir(Ratio::from_percent(excess.percent() + 5.0));
                assert!(gross(FlueReading { dilution: more, ..base }) < at, "{base:?}");
            }
        }
    }
}

#[test]
fn losses_and_efficiency_make_a_whole() {
    // Source: the datum of 60 F moves at most 0.05 points (0.06 at the extremes) into the remainder.
    let mut random = Random::new(14);
    for fuel in fuels().iter().filter(|fuel| fuel.name() != "hydrogen") {
        for _ in 0..300 {
            let found = analyse(fuel, &reading(&mut random)).unwrap();
            let losses = [found.dry_loss, found.vapour_loss, found.latent_loss, found.co_loss];
            let sum: f64 = losses.iter().map(|loss| loss.percent()).sum();
            let rest = 100.0 - sum - found.gross_without_condensing.percent();
            assert!(rest.abs() < 0.2, "{}: {rest}", fuel.name());
        }
    }
}

#[test]
fn saturation_rises_and_comes_back() {
    let mut before = 0.0;
    for tenth in -600..3600 {
        let at = Temperature::from_celsius(f64::from(tenth) / 10.0);
        let pressure = water::saturation_pressure(at).unwrap();
        assert!(pressure.pascals() > before, "{}", at.celsius());
        before = pressure.pascals();
        let back = water::dew_point(pressure).unwrap();
        assert!((back.celsius() - at.celsius()).abs() < 2e-3, "{}", at.celsius());
    }
}

#[test]
fn orifices_pass_more_of_everything_that_pushes() {
    let orifice = |inches, pressure, kilopascals| {
        let orifice = Orifice {
            bore: Length::from_inches(inches),
            pressure: GaugePressure::from_inches_wc(pressure),
            gas: BurnerGas::NATURAL,
            discharge: USUAL_DISCHARGE,
            barometer: AbsolutePressure::from_kilopascals(kilopascals),
            temperature: Temperature::BASE_60F,
        };
        orifice.solve().unwrap().heat.watts()
    };
    for step in 0..200 {
        let step = f64::from(step);
        let at = orifice(0.02 + 0.001 * step, 0.1 + 0.5 * step, 65.0 + 0.2 * step);
        assert!(at.is_finite() && at > 0.0);
        assert!(orifice(0.021 + 0.001 * step, 0.1 + 0.5 * step, 65.0 + 0.2 * step) > at);
        assert!(orifice(0.02 + 0.001 * step, 0.2 + 0.5 * step, 65.0 + 0.2 * step) > at);
        assert!(orifice(0.02 + 0.001 * step, 0.1 + 0.5 * step, 65.1 + 0.2 * step) > at);
    }
}

#[test]
fn pipes_drop_more_of_everything_that_flows() {
    let drop = |cfh, feet, inches| {
        let run = PipeRun {
            bore: Length::from_inches(inches),
            length: Length::from_feet(feet),
            flow: StandardFlow::from_scfh(cfh),
            gravity: Ratio::from_ratio(0.60),
            viscosity: NATURAL_VISCOSITY,
            inlet: GaugePressure::from_psi(2.0),
            barometer: AbsolutePressure::STANDARD,
            temperature: Temperature::BASE_60F,
            roughness: STEEL,
        };
        run.solve().unwrap().exact.pascals()
    };
    for step in 1..100 {
        let step = f64::from(step);
        let at = drop(5.0 * step, 50.0, 1.049);
        assert!(drop(5.0 * step + 5.0, 50.0, 1.049) > at);
        assert!(drop(5.0 * step, 60.0, 1.049) > at);
        assert!(drop(5.0 * step, 50.0, 1.380) < at);
    }
}

#[test]
fn impossible_readings_are_refused_in_words() {
    let gas = Fuel::named("natural_gas").unwrap();
    let base = FlueReading::of_oxygen(
        Concentration::from_percent(8.0),
        Temperature::from_celsius(180.0),
        Temperature::from_celsius(20.0),
    );
    let with_o2 = |percent| FlueReading {
        dilution: Dilution::Oxygen(Concentration::from_percent(percent)),
        ..base
    };
    let with_co2 = |percent| FlueReading {
        dilution: Dilution::CarbonDioxide(Concentration::from_percent(percent)),
        ..base
    };
    let cases: [(FlueReading, &str); 10] = [
        (with_o2(21.2), "fresh-air"),
        (with_o2(-1.0), "zero the instrument"),
        (with_o2(f64::NAN), "no figure"),
        (with_co2(12.4), "most that this fuel can make"),
        (with_co2(0.01), "fresh air"),
        (FlueReading { flue: Temperature::from_celsius(10.0), ..base }, "colder than"),
        (FlueReading { flue: Temperature::from_celsius(f64::INFINITY), ..base }, "no figure"),
        (FlueReading { co: Concentration::from_percent(30.0), ..base }, "ppm against percent"),
        (FlueReading { pressure: AbsolutePressure::from_pascals(-5.0), ..base }, "air pressure"),
        (FlueReading { humidity: RelativeHumidity::from_percent(130.0), ..base }, "percent"),
    ];
    for (reading, words) in cases {
        let refused: Impossible = analyse(&gas, &reading).unwrap_err();
        let said = refused.to_string();
        assert!(said.contains(words), "'{said}' lacks '{words}'");
        let lower = said.chars().next().is_some_and(char::is_lowercase);
        assert!(lower && !said.ends_with('.') && !said.contains("error"), "{said}");
    }
}

#[test]
fn no_row_of_any_numbers_gives_a_figure_that_is_none() {
    let mut random = Random::new(15);
    let words = ["natural_gas", "propane", "oil2", "psi", "in_wc", "flange", "corner", "CO2"];
    for name in client_core::trade::table::names() {
        let inputs = client_core::trade::table::inputs(name).unwrap();
        let header: Vec<&str> = inputs.iter().flat_map(|name| name.split(" | ")).collect();
        let mut cell = || match random.bits() % 8 {
            0 => String::new(),
            1 => words[usize::try_from(random.bits() % 8).unwrap()].to_owned(),
            2 => "0".to_owned(),
            3 => format!("{}", -100.0 * random.uniform()),
            4 => format!("{:e}", 1e12 * random.normal()),
            5 => format!("{}", random.uniform()),
            _ => format!("{}", 400.0 * random.uniform()),
        };
        let rows: Vec<Vec<String>> =
            (0..3000).map(|_| header.iter().map(|_| cell()).collect()).collect();
        let found = compute(name, &header, &rows, &Fuels::default()).unwrap();
        assert_eq!(found.rows.len(), rows.len());
        for (row, cells) in rows.iter().zip(&found.rows) {
            let bad = |cell: &String| cell.contains("NaN") || cell.contains("inf");
            let (_, figures) = cells.split_last().unwrap();
            assert!(!figures.iter().any(bad), "{name} {row:?}: {cells:?}");
        }
    }
}

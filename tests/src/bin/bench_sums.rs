//! Prints how many full flue analyses one core works out in a second.
#![expect(clippy::print_stdout, reason = "the figure is the product")]
#![expect(clippy::unwrap_used, reason = "the inputs are made here and always work out")]

use client_core::trade::flue::{Dilution, FRESH_AIR, FlueReading, analyse};
use client_core::trade::fuel::Fuel;
use client_core::trade::quantity::{
    AbsolutePressure, Concentration, RelativeHumidity, Temperature,
};
use std::hint::black_box;
use std::time::Instant;

/// Analyses wanted of one core in a second.
const WANTED: f64 = 200_000.0;
/// Analyses of one run.
const COUNT: u32 = 400_000;

fn main() {
    let fuels = ["natural_gas", "propane", "biogas", "oil2"].map(|name| Fuel::named(name).unwrap());
    let mut best: f64 = 0.0;
    for _ in 0..5 {
        let start = Instant::now();
        let mut sum = 0.0;
        for number in 0..COUNT {
            let reading = reading(number);
            let fuel = &fuels[usize::try_from(number % 4).unwrap()];
            sum += analyse(black_box(fuel), black_box(&reading)).unwrap().gross.percent();
        }
        black_box(sum);
        best = best.max(f64::from(COUNT) / start.elapsed().as_secs_f64());
    }
    println!("full flue analyses a second on one core: {best:.0} (wanted: {WANTED:.0})");
}

/// A reading of a fleet: a third condenses, all air is moist, some burn with carbon monoxide.
fn reading(number: u32) -> FlueReading {
    let part = |modulus: u32| f64::from(number % modulus) / f64::from(modulus);
    FlueReading {
        dilution: Dilution::Oxygen(Concentration::from_percent(1.0 + 14.0 * part(997))),
        co: Concentration::from_ppm(400.0 * part(31)),
        flue: Temperature::from_celsius(if number.is_multiple_of(3) {
            42.0
        } else {
            80.0 + 200.0 * part(101)
        }),
        air: Temperature::from_celsius(-20.0 + 45.0 * part(53)),
        humidity: RelativeHumidity::from_percent(20.0 + 60.0 * part(17)),
        pressure: AbsolutePressure::from_kilopascals(75.0 + 26.0 * part(7)),
        fresh_air: FRESH_AIR,
    }
}

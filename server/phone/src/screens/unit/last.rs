//! The last visit in one table, and how one figure went from visit to visit.

use std::fmt::Write as _;

use client_core::record::code::{Phase, Quantity};
use client_core::record::file::{UnitInVisit, amount};
use client_core::record::row::{ReadingRow, SheetRow};
use client_core::trade::flue::{FRESH_AIR, air_free};
use client_core::trade::quantity::{Concentration, Quantity as _};
use client_core::trade::unit::Unit;
use maud::{Markup, PreEscaped, html};

use crate::bits;
use crate::pad::Form;
use crate::see::See;
use crate::stop;

/// Rows of the table.
const SHOWN: [Quantity; 8] = [
    Quantity::InletFlowing,
    Quantity::ManifoldHigh,
    Quantity::FlameCurrent,
    Quantity::ThermocoupleLoaded,
    Quantity::DraftDifferential,
    Quantity::FlueO2,
    Quantity::StackTemp,
    Quantity::AirOut,
];

fn of(rows: &[ReadingRow], quantity: Quantity) -> Option<&ReadingRow> {
    rows.iter().find(|row| row.quantity == quantity)
}

/// A figure without its unit, in the person's own.
fn digits(see: &See<'_>, row: &ReadingRow) -> String {
    let Some(figure) = row.value.figure() else { return see.t("can't").to_owned() };
    let form = Form::of(row.quantity, see.set.system());
    form.and_then(|form| Some(form.shown(&form.typed(figure)?)))
        .unwrap_or_else(|| figure.digits.to_string())
}

/// CO air-free of a row's O2 and CO.
fn co_air_free(rows: &[ReadingRow]) -> Option<f64> {
    let read = |quantity| amount(of(rows, quantity)?.value.figure()?);
    let o2 = Concentration::from_amount(read(Quantity::FlueO2)?)?;
    let co = Concentration::from_amount(read(Quantity::FlueCo)?)?;
    air_free::exact(o2, co, FRESH_AIR).ok().map(Concentration::ppm)
}

/// FOUND, LEFT and plate of the last visit.
pub(super) fn table(see: &See<'_>, own: &UnitInVisit<'_>) -> Markup {
    let Some(last) = see.last_time() else {
        return html! { p class="dim" { (see.t("No earlier visit is on this phone.")) } };
    };
    let row = &last.row;
    let day = row.day.map(|day| see.day(day)).unwrap_or_default();
    html! {
        div class="wide" tabindex="0" role="group" aria-label=(see.t("The last visit")) { table class="nw" {
            tr {
                th scope="col" { (day) }
                th scope="col" class="r" { (bits::plate_small(see, Phase::AsFound)) }
                th scope="col" class="r" { (bits::plate_small(see, Phase::AsLeft)) }
                th scope="col" class="r" { (see.t("plate")) }
            }
            @for quantity in SHOWN {
                @if of(&row.found, quantity).is_some() || of(&row.left, quantity).is_some() {
                    (line(see, own, row, quantity))
                    @if quantity == Quantity::FlueO2 { (co_line(see, row)) }
                }
            }
        } }
    }
}

fn name(see: &See<'_>, quantity: Quantity) -> String {
    let unit = Form::of(quantity, see.set.system()).map(|form| form.unit.symbol().to_owned());
    // From a ladder the short name is read faster; the pad says the long one.
    let short = match quantity {
        Quantity::InletFlowing => "Inlet",
        Quantity::ManifoldHigh => "Manifold",
        Quantity::FlameCurrent => "Flame",
        Quantity::ThermocoupleLoaded => "Thermocouple",
        Quantity::DraftDifferential => "Draft",
        Quantity::FlueO2 => "O2",
        Quantity::StackTemp => "Stack",
        Quantity::AirOut => "Air out",
        other => other.says(),
    };
    format!("{}, {}", bits::capital(see.t(short)), unit.unwrap_or_default())
}

fn line(see: &See<'_>, own: &UnitInVisit<'_>, row: &SheetRow, quantity: Quantity) -> Markup {
    let cell = |rows: &[ReadingRow]| of(rows, quantity).map(|row| digits(see, row));
    let plate = stop::plate(quantity).and_then(|key| own.figure(key));
    let form = Form::of(quantity, see.set.system());
    let plate =
        plate.and_then(|figure| form.and_then(|form| Some(form.shown(&form.typed(figure)?))));
    html! {
        tr {
            th scope="row" { (name(see, quantity)) }
            td class="r" { (cell(&row.found).unwrap_or_default()) }
            td class="r b" { (cell(&row.left).unwrap_or_default()) }
            td class="r" { (plate.unwrap_or_default()) }
        }
    }
}

fn co_line(see: &See<'_>, row: &SheetRow) -> Markup {
    let cell = |rows: &[ReadingRow]| co_air_free(rows).map(|ppm| format!("{ppm:.0}"));
    html! {
        tr {
            th scope="row" { (see.t("CO air-free")) ", " (Unit::Ppm.symbol()) }
            td class="r" { (cell(&row.found).unwrap_or_default()) }
            td class="r b" { (cell(&row.left).unwrap_or_default()) }
            td class="r" {}
        }
    }
}

/// One figure from visit to visit: found an open diamond, left a solid square.
pub(super) fn trend(see: &See<'_>, own: &UnitInVisit<'_>) -> Markup {
    let quantity = Quantity::FlameCurrent;
    let value = |rows: &[ReadingRow]| {
        let figure = of(rows, quantity)?.value.figure()?;
        figure.in_unit(quantity.kind()?.unit)
    };
    let earlier = see.lists.history.iter().filter(|listed| Some(listed.id) != see.visit);
    let visits: Vec<(Option<f64>, Option<f64>)> =
        earlier.map(|listed| (value(&listed.row.found), value(&listed.row.left))).collect();
    let all: Vec<f64> = visits.iter().flat_map(|(found, left)| [*found, *left]).flatten().collect();
    let least = own.figure("plate/flame_current_min").and_then(|figure| figure.in_unit(Unit::Ua));
    if all.len() < 2 {
        return html! {};
    }
    let top = all.iter().copied().chain(least).fold(0.0_f64, f64::max).max(0.1) * 1.15;
    let y = |value: f64| 66.0 - 56.0 * (value / top);
    let mut drawn = String::new();
    if let Some(least) = least {
        let at = y(least);
        write!(drawn, "<path d=\"M0 {at:.1}H340\" stroke-dasharray=\"8 5\" class=\"thin\"/>")
            .expect("writing to memory does not fail");
    }
    let count = u32::try_from(visits.len()).unwrap_or(1).max(1);
    let step = 300.0 / f64::from(count);
    let mut x = 14.0;
    for (found, left) in &visits {
        if let Some(value) = found {
            let at = y(*value);
            let at = at - 9.0;
            write!(drawn, "<path class=\"found-c\" d=\"M{x:.1} {at:.1}l9 9l-9 9l-9 -9z\"/>")
                .expect("writing to memory does not fail");
        }
        if let Some(value) = left {
            let at = y(*value) - 6.0;
            let x = x + 24.0;
            write!(drawn,
                "<rect class=\"left-c solid\" x=\"{x:.1}\" y=\"{at:.1}\" width=\"12\" height=\"12\"/>")
                .expect("writing to memory does not fail");
        }
        x += step;
    }
    let words: Vec<String> = visits
        .iter()
        .map(|(found, left)| {
            let one = |value: &Option<f64>| {
                value.map_or_else(|| "\u{2013}".to_owned(), |own| format!("{own:.1}"))
            };
            format!("{} {}, {} {}", see.t("found"), one(found), see.t("left"), one(left))
        })
        .collect();
    let least =
        least.map(|own| see.f("least {} (plate)", &[&format!("{own:.1}")])).unwrap_or_default();
    html! {
        div {
            h2 { (see.f("Flame current, {} visits", &[&visits.len().to_string()])) }
            svg viewBox="0 0 340 76" role="img" aria-label={ (words.join("; ")) ". " (least) } {
                (PreEscaped(drawn))
            }
            p class="dim t1" { (words.join("; ")) ". " (least) }
        }
    }
}

//! A stop of the round: one figure with the pad, or a block with everything that it comes to.

use client_core::record::body::Body;
use client_core::record::code::{Family, Phase, Quantity};
use client_core::record::derived::block::{Block, Gap, Shown, block};
use client_core::record::file::UnitInVisit;
use client_core::record::id::ApplianceId;
use maud::{Markup, html};

use crate::bits;
use crate::pad::Form;
use crate::screens::{condition, pad};
use crate::see::See;
use crate::stop::{self, Stop};
use crate::tap::{Deed, Place};
use crate::words::Language;

/// The page.
pub fn page(see: &See<'_>, place: &Place, unit: ApplianceId, phase: Phase, n: u8) -> Markup {
    let Some(own) = see.unit(unit) else { return bits::page(see, place, &html! {}) };
    let stops = stop::round(own.word("unit/family").map(Family::from_code));
    let Some(here) = stops.get(usize::from(n)) else { return bits::page(see, place, &html! {}) };
    if let [quantity] = here.fields {
        return pad::page(see, place, pad::Where::of(unit, phase, Some(n), *quantity));
    }
    let next = stops.get(usize::from(n) + 1).map_or("Figures and checks", |next| next.name);
    let count = if usize::from(n) + 1 < stops.len() {
        see.f("next stop, {} of {}", &[&(n + 2).to_string(), &stops.len().to_string()])
    } else {
        see.t("then how it ends").to_owned()
    };
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            div class="between t1 dim" {
                button type="button" class="line" data-tap={ "go " (Place::Condition { unit, phase }) } { (condition::line(see)) }
                span { (stamp(see, own, here, phase)) }
            }
            (bits::notice(see))
            div class="keys k2" {
                @for quantity in here.fields { (figure(see, own, unit, phase, n, *quantity)) }
            }
            (comes_to(see, own, here, phase))
        }
        (bits::foot(&html! {
            div class="keys k3" {
                (bits::key(Place::Photos { unit }, see.t("Photo"), see.t("printout")))
                (bits::back(see))
                (bits::gas_smell(see))
            }
            (bits::big(Deed::Next {}, see.t(next), &count))
        }))
    };
    bits::framed(see, place, phase, &inside)
}

/// One stamp for the block.
fn stamp(see: &See<'_>, own: &UnitInVisit<'_>, here: &Stop, phase: Phase) -> String {
    let first = here.fields.first().and_then(|quantity| own.last(*quantity, phase));
    match first {
        Some(entry) => see.f("one stamp, {}", &[&entry.stamp.at().clock()]),
        None => see.t("one entry").to_owned(),
    }
}

/// A figure of the block: tap it to type.
fn figure(
    see: &See<'_>,
    own: &UnitInVisit<'_>,
    unit: ApplianceId,
    phase: Phase,
    n: u8,
    quantity: Quantity,
) -> Markup {
    let form = Form::of(quantity, see.set.system());
    let typed = see.state.typing.of(quantity);
    let typed = form.and_then(|form| typed.map(|typed| form.shown(typed)));
    let read = own.last(quantity, phase).and_then(|entry| match &entry.body {
        Body::Reading(reading) => match reading.value.figure() {
            Some(figure) => form.and_then(|form| Some(form.shown(&form.typed(figure)?))),
            None => Some(see.t("can't").to_owned()),
        },
        _ => None,
    });
    let symbol = form.map_or("", |form| form.unit.symbol());
    html! {
        button type="button" class="four" data-tap={ "go " (Place::Pad { unit, phase, n, quantity }) } {
            span class="dim" { (bits::capital(see.t(pad::short(quantity)))) }
            @match (typed, read) {
                (Some(text), _) => { span { b { (text) } " " (symbol) " " small { (see.t("typed")) } } }
                (None, Some(text)) => { span { b { (text) } " " (symbol) } }
                (None, None) => { span { b class="dim" { "\u{2013}" } " " small { (see.t("not tested")) } } }
            }
        }
    }
}

/// Figures and verdicts of the phase that have to do with the stop.
fn comes_to(see: &See<'_>, own: &UnitInVisit<'_>, here: &Stop, phase: Phase) -> Markup {
    let Some(file) = see.file else { return html! {} };
    let all = block(file, own, phase);
    let keys: &[&str] = match here.fields.first() {
        Some(Quantity::FlueO2) => &[
            "flue_o2",
            "flue_co2",
            "flue_co",
            "co_air_free",
            "net_stack",
            "excess_air",
            "co2",
            "efficiency",
            "stack_temp",
        ],
        Some(Quantity::AirIn) => &["rise", "air_out", "output"],
        _ => &[],
    };
    let mine = |key: &str| keys.contains(&key);
    let part = Block {
        figures: all.figures.into_iter().filter(|one| mine(one.key)).collect(),
        verdicts: all.verdicts.into_iter().filter(|one| mine(one.key)).collect(),
        missing: vec![],
        gaps: all.gaps.into_iter().filter(|gap| keys.len() > 3 && of_the_flue(gap)).collect(),
    };
    html! { (table(see, &part)) (since(see, own, phase, &part)) }
}

/// Whether what could not be worked out is a sum over the flue.
fn of_the_flue(gap: &Gap) -> bool {
    match gap {
        Gap::FlueTemperatures
        | Gap::GasNotSettled
        | Gap::FlueSums(_)
        | Gap::TooMuchAir
        | Gap::FlueCo(_) => true,
        Gap::Judging { key, .. } => key.starts_with("flue"),
        Gap::Clocking | Gap::Rise(_) | Gap::RoomCo(_) => false,
    }
}

/// The name of a figure; in English the core says it itself.
fn name<'s>(see: &See<'_>, shown: &'s Shown) -> &'s str {
    match see.language() {
        Language::English => shown.name,
        language => crate::verdict::name(language, shown.key).unwrap_or(shown.name),
    }
}

/// Derived figures and verdicts, one a row.
pub fn table(see: &See<'_>, part: &Block) -> Markup {
    let judged = |shown: &Shown| part.verdicts.iter().any(|verdict| verdict.key == shown.key);
    let say = see.say();
    html! {
        div class="rows" {
            @for verdict in &part.verdicts {
                div class="say" {
                    (bits::Bracket::of(verdict).draw())
                    span {
                        @if let Some(shown) = part.figures.iter().find(|own| own.key == verdict.key) {
                            b { (bits::capital(name(see, shown))) " " (say.amount(shown.amount)) } br;
                        }
                        (bits::sentence(&crate::verdict::sentence(see, verdict)))
                    }
                }
            }
            @for shown in part.figures.iter().filter(|shown| !judged(shown)) {
                div class="say" {
                    (bits::Bracket::None.draw())
                    span {
                        (bits::capital(name(see, shown))) " " b { (say.amount(shown.amount)) }
                        span class="t1 dim" { " " (see.t("no figure to compare")) ", " (shown.formula) }
                    }
                }
            }
            @for gap in &part.gaps {
                @let words = crate::verdict::missing(see, gap);
                div class="say" { (bits::Bracket::NotTested.draw()) span { (bits::sentence(&words)) } }
            }
        }
    }
}

/// What rose or fell since the unit was left the last time: CO air-free is what the trade looks at first.
fn since(see: &See<'_>, own: &UnitInVisit<'_>, phase: Phase, part: &Block) -> Markup {
    let other = if phase == Phase::AsLeft { Phase::AsFound } else { return html! {} };
    let Some(file) = see.file else { return html! {} };
    let before = block(file, own, other);
    let of = |block: &Block, key: &str| {
        block.figures.iter().find(|shown| shown.key == key).map(|shown| shown.amount)
    };
    let say = see.say();
    let lines: Vec<String> = ["co_air_free", "efficiency"]
        .into_iter()
        .filter_map(|key| {
            let (old, new) = (of(&before, key)?, of(part, key)?);
            let name = name(see, before.figures.iter().find(|shown| shown.key == key)?);
            Some(see.f(
                "{}: found {}, left {}",
                &[&bits::capital(name), &say.amount(old), &say.amount(new)],
            ))
        })
        .collect();
    html! {
        @if !lines.is_empty() { p class="note" { @for line in lines { (line) br; } } }
    }
}

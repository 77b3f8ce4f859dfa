//! One screen a file: pure functions from what may be seen to HTML.

pub mod ask_maker;
pub mod checks;
pub mod condition;
pub mod entered;
pub mod entry;
pub mod exchange;
pub mod fault;
pub mod find;
pub mod found;
pub mod gas_parts;
pub mod hand;
pub mod hazard;
pub mod hours;
pub mod instruments;
pub mod notes;
pub mod pad;
pub mod parts;
pub mod photos;
pub mod plate;
pub mod record;
pub mod settings;
pub mod sign;
pub mod sites;
pub mod slip;
pub mod stop;
pub mod timers;
pub mod two;
pub mod unit;
pub mod units;
pub mod work;
pub mod wrong;

use maud::{Markup, html};

use crate::see::See;
use crate::tap::Place;

/// Whether a screen shows more than rows tell.
pub const fn needs_documents(place: &Place) -> bool {
    !matches!(
        place,
        Place::Sites {}
            | Place::Units {}
            | Place::Find {}
            | Place::Condition { .. }
            | Place::Hand {}
            | Place::Timers {}
            | Place::Settings {}
            | Place::Turn { .. }
            | Place::Cannot { .. }
    )
}

/// A screen with the language, the theme and the target size around it.
pub fn draw(see: &See<'_>, place: &Place) -> Markup {
    let inside = inside(see, place);
    face(see.set, see.language().key(), &inside)
}

/// What every screen stands in.
pub fn face(set: &crate::settings::Settings, language: &str, inside: &Markup) -> Markup {
    html! {
        div id="face" class={ (set.theme()) " " (set.size()) } lang=(language) { (inside) }
    }
}

fn inside(see: &See<'_>, place: &Place) -> Markup {
    match place {
        Place::Sites {} => sites::page(see, place),
        Place::Units {} => units::page(see, place),
        Place::Find {} => find::page(see, place),
        Place::Unit { unit } => unit::page(see, place, *unit),
        Place::More { unit } => unit::more(see, place, *unit),
        Place::Turn { unit, phase } => condition::turn(see, place, *unit, *phase),
        Place::Condition { unit, phase } => condition::page(see, place, *unit, *phase),
        Place::Stop { unit, phase, n } => stop::page(see, place, *unit, *phase, *n),
        Place::Pad { unit, phase, n, quantity } => {
            pad::page(see, place, pad::Where::of(*unit, *phase, Some(*n), *quantity))
        }
        Place::One { unit, phase, quantity } => {
            pad::page(see, place, pad::Where::of(*unit, *phase, None, *quantity))
        }
        Place::Cannot { unit, phase, quantity, .. } => {
            pad::cannot(see, place, *unit, *phase, *quantity)
        }
        Place::Extra { unit, phase } => entered::extra(see, place, *unit, *phase),
        Place::Entered { unit, phase } => entered::page(see, place, *unit, *phase),
        Place::Entry { unit, entry } => entry::page(see, place, *unit, *entry),
        Place::Checks { unit } => checks::page(see, place, *unit),
        Place::Found { unit } => found::page(see, place, *unit),
        Place::Work { unit } => work::page(see, place, *unit),
        Place::Setting { unit } => work::setting(see, place, *unit),
        Place::Parts { unit } => parts::page(see, place, *unit),
        Place::GasParts { unit } => gas_parts::page(see, place, *unit),
        Place::Photos { unit } => photos::page(see, place, *unit),
        Place::Notes { unit } => notes::page(see, place, *unit),
        Place::Note { unit, entry } => notes::one(see, place, *unit, *entry),
        Place::Advise { unit } => hazard::advise(see, place, *unit),
        Place::Told { unit, entry } => hazard::told(see, place, *unit, *entry),
        Place::ShutDown { unit } => hazard::shut_down(see, place, *unit),
        Place::Locks { unit } => hazard::locks(see, place, *unit),
        Place::AskMaker { unit } => ask_maker::page(see, place, *unit),
        Place::NotReached { unit } => unit::not_reached(see, place, *unit),
        Place::Plate { unit } => plate::page(see, place, *unit),
        Place::Two { unit } => two::page(see, place, *unit),
        Place::Slip { unit } => slip::page(see, place, *unit),
        Place::Fault { unit } => fault::page(see, place, *unit),
        Place::Start { unit } => fault::start::page(see, place, *unit),
        Place::LastSeen { unit } => fault::start::last_seen(see, place, *unit),
        Place::DoesWhat { unit } => fault::start::does_what(see, place, *unit),
        Place::InOrder { unit } => fault::order::page(see, place, *unit),
        Place::Tests { unit } => fault::tests::page(see, place, *unit),
        Place::Hours {} => hours::page(see, place),
        Place::Sign {} => sign::page(see, place),
        Place::Exchange {} => exchange::page(see, place),
        Place::Differ {} => two::all(see, place),
        Place::Hand {} => hand::page(see, place),
        Place::Instruments {} => instruments::page(see, place),
        Place::Timers {} => timers::page(see, place),
        Place::Settings {} => settings::page(see, place),
        Place::Record {} => record::page(see, place),
    }
}

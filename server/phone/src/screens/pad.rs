//! One figure and the number pad.

use client_core::record::body::Body;
use client_core::record::code::{Family, Phase, Quantity};
use client_core::record::derived::block::{Judged, Typed, judge_typed};
use client_core::record::file::UnitInVisit;
use client_core::record::id::ApplianceId;
use client_core::record::value::Figure;
use maud::{Markup, html};

use crate::app::state::Question;
use crate::bits;
use crate::pad::Form;
use crate::screens::condition;
use crate::see::See;
use crate::stop;
use crate::tap::{Deed, Name, Place};

/// Which figure of which unit.
#[derive(Clone, Copy, Debug)]
pub struct Where {
    unit: ApplianceId,
    phase: Phase,
    n: Option<u8>,
    quantity: Quantity,
}

impl Where {
    /// A figure, of a stop of the round where `n` says so.
    pub const fn of(unit: ApplianceId, phase: Phase, n: Option<u8>, quantity: Quantity) -> Where {
        Where { unit, phase, n, quantity }
    }
}

/// The page.
pub fn page(see: &See<'_>, place: &Place, at: Where) -> Markup {
    let Some(own) = see.unit(at.unit) else { return bits::page(see, place, &html! {}) };
    let Some(form) = Form::of(at.quantity, see.set.system()) else {
        return bits::page(see, place, &html! {});
    };
    let typed = see.state.typing.of(at.quantity).cloned().unwrap_or_default();
    let minus = see.state.typing.figures.get(&at.quantity.code()).is_some_and(|own| own.minus);
    let shown = form.shown(&crate::pad::Typed { minus: minus || typed.minus, ..typed.clone() });
    let figure = form.figure(&typed);
    let inside = html! {
        (bits::unit_head(&see.unit_no(at.unit), &bits::plate(see, at.phase)))
        div class="pad stack grow figure" {
            div class="between t1 dim" {
                button type="button" class="line" data-tap={ "go " (Place::Condition { unit: at.unit, phase: at.phase }) } {
                    (condition::line(see))
                }
                span { (round(see, own, at)) }
            }
            (bits::notice(see))
            div {
                h2 class="t4 b" id="what" { (bits::capital(see.t(at.quantity.says()))) }
                div class="val" {
                    b role="status" aria-labelledby="what" {
                        @if shown.is_empty() { span class="dim" { "\u{2013}" } } @else { (shown) }
                    }
                    span class="u" { (form.unit.symbol()) }
                    (beside(see, own, at, form))
                }
            }
            (judged(see, own, at, figure))
        }
        @match &see.state.question {
            Some(question) => { (ask(see, question)) }
            None => { (keys(see, own, at, form)) }
        }
    };
    bits::framed(see, place, at.phase, &inside)
}

fn round(see: &See<'_>, own: &UnitInVisit<'_>, at: Where) -> String {
    let stops = stop::round(own.word("unit/family").map(Family::from_code)).len();
    match at.n {
        Some(n) => see.f("stop {} of {}", &[&(n + 1).to_string(), &stops.to_string()]),
        None => see.t("off the round").to_owned(),
    }
}

/// The figure that stands beside: found where the unit is left, else the last time.
fn beside(see: &See<'_>, own: &UnitInVisit<'_>, at: Where, form: Form) -> Markup {
    let shown = |figure: Figure| form.typed(figure).map(|typed| form.shown(&typed));
    let found =
        (at.phase == Phase::AsLeft).then(|| own.last(at.quantity, Phase::AsFound)).flatten();
    if let Some(entry) = found
        && let Body::Reading(reading) = &entry.body
        && let Some(text) = reading.value.figure().and_then(shown)
    {
        return html! {
            span class="was found-c" { b { (text) } br; (see.t("found")) br; (entry.stamp.at().clock()) }
        };
    }
    let Some(last) = see.last_time() else { return html! {} };
    let left = last.row.left.iter().find(|row| row.quantity == at.quantity);
    let (row, word) = match left {
        Some(row) => (Some(row), "last left"),
        None => (last.row.found.iter().find(|row| row.quantity == at.quantity), "last found"),
    };
    let text = row.and_then(|row| row.value.figure()).and_then(shown);
    let day = last.row.day.map(|day| see.day(day)).unwrap_or_default();
    html! {
        @if let Some(text) = text {
            span class="was" { b { (text) } br; (see.t(word)) " " br; (day) }
        }
    }
}

/// The verdict while the figure is typed.
fn judged(see: &See<'_>, own: &UnitInVisit<'_>, at: Where, figure: Option<Figure>) -> Markup {
    let Some(file) = see.file else { return html! {} };
    let instrument = stop::instrument(at.quantity)
        .and_then(|kind| see.set.instruments.get(&kind.code()).copied());
    let verdict: Option<Judged> = figure.and_then(|figure| {
        let stage = see.state.carried.condition.stage;
        let typed = Typed { quantity: at.quantity, figure, stage, instrument, day: see.today() };
        judge_typed(file, own, typed)
    });
    html! {
        @match (verdict, figure) {
            (Some(verdict), _) => {
                // The name stands above in large letters.
                @let all = crate::verdict::sentence(see, &verdict);
                @let said = all.strip_prefix(see.t(at.quantity.says())).unwrap_or(&all);
                @let said = said.trim_start_matches([' ', '\u{a0}', ':']);
                @let said = said.strip_prefix("is ").unwrap_or(said);
                div class="say" { (bits::Bracket::of(&verdict).draw()) span { (bits::sentence(said)) } }
            }
            (None, Some(_)) => {
                div class="say" { (bits::Bracket::None.draw()) span class="dim" { (see.t("No figure to compare.")) } }
            }
            (None, None) => {
                div class="say" { (bits::Bracket::NotTested.draw()) span class="dim" { (see.t("Not tested yet.")) } }
            }
        }
    }
}

fn keys(see: &See<'_>, own: &UnitInVisit<'_>, at: Where, form: Form) -> Markup {
    let n = at.n.unwrap_or(crate::app::OFF_THE_ROUND);
    let cannot = Place::Cannot { unit: at.unit, phase: at.phase, n, quantity: at.quantity };
    let digit =
        |digit: u8| bits::key_of("key digit", Deed::Digit { digit }, &digit.to_string(), "");
    bits::foot(&html! {
        div class="keys k3" {
            (first_key(see, own, at, form))
            (bits::key(cannot, see.t("can't"), see.t("say why")))
            (bits::gas_smell(see))
            @for number in 1..=9 { (digit(number)) }
            (bits::key(Deed::Wipe {}, see.t("wipe"), see.t("last digit")))
            (digit(0))
            (bits::key_of("key big", Deed::Next {}, &next_word(see, own, at), see.t("next stop")))
        }
    })
}

/// Same as plate with the figure on the key; for a draft the sign; else the key back.
fn first_key(see: &See<'_>, own: &UnitInVisit<'_>, at: Where, form: Form) -> Markup {
    let shown = |figure: Figure| form.typed(figure).map(|typed| form.shown(&typed));
    if at.quantity == Quantity::AirIn
        && let Some(entry) = own.last(Quantity::CombustionAirTemp, at.phase)
        && let Body::Reading(reading) = &entry.body
        && let Some(text) = reading.value.figure().and_then(shown)
    {
        return bits::key_of("key fig", Deed::Same {}, &text, see.t("same as at burner"));
    }
    if stop::plate_is_the_figure(at.quantity)
        && let Some(key) = stop::plate(at.quantity)
        && let Some(text) = own.figure(key).and_then(shown)
    {
        return bits::key_of("key fig", Deed::Same {}, &text, see.t("same as plate"));
    }
    if form.signed {
        return bits::key(Deed::Minus {}, "+ / \u{2212}", see.t("below zero"));
    }
    bits::back(see)
}

/// The name of the next stop, or of the next figure of the block.
fn next_word(see: &See<'_>, own: &UnitInVisit<'_>, at: Where) -> String {
    let Some(n) = at.n else { return see.t("Enter").to_owned() };
    let stops = stop::round(own.word("unit/family").map(Family::from_code));
    let Some(here) = stops.get(usize::from(n)) else { return see.t("Enter").to_owned() };
    let empty = here.fields.iter().find(|quantity| {
        **quantity != at.quantity
            && see.state.typing.of(**quantity).is_none()
            && own.last(**quantity, at.phase).is_none()
    });
    if here.fields.len() > 1 {
        return match empty {
            Some(quantity) => bits::capital(see.t(short(*quantity))),
            None => see.t("Enter").to_owned(),
        };
    }
    stops
        .get(usize::from(n) + 1)
        .map_or_else(|| see.t("Enter").to_owned(), |next| see.t(next.name).to_owned())
}

/// What a figure of a block is called on a key.
pub const fn short(quantity: Quantity) -> &'static str {
    match quantity {
        Quantity::FlueO2 => "O2",
        Quantity::FlueCo => "CO as read",
        Quantity::StackTemp => "stack",
        Quantity::CombustionAirTemp => "air at burner",
        other => other.says(),
    }
}

/// A question in place of the pad.
fn ask(see: &See<'_>, question: &Question) -> Markup {
    match question {
        Question::Doubt(doubts) => bits::foot(&html! {
            div class="stack" role="alert" {
                @for doubt in doubts {
                    p class="note now" {
                        b { (bits::capital(see.t(&doubt.about))) " " (doubt.typed) ": " (see.t(&doubt.asks)) "?" }
                        br; (bits::sentence(&see.phrase(&doubt.usual)))
                    }
                }
            }
            div class="keys k2" {
                (bits::key(Deed::SoItIs { why: Name("read_twice".to_owned()) }, see.t("So it is"), see.t("read twice")))
                (bits::key(Deed::SoItIs { why: Name("looked_into_next".to_owned()) }, see.t("So it is"), see.t("will look into it")))
            }
            (bits::big(Deed::Wipe {}, see.t("Type it again"), see.t("nothing was entered")))
        }),
        Question::Again { reads, .. } => bits::foot(&html! {
            p class="note now" role="alert" {
                b { (see.f("You entered {} here already.", &[reads])) } br;
                (see.t("Both stay readable. Which is it?"))
            }
            div class="keys k2" {
                (bits::key(Deed::Again {}, see.t("Read again"), see.t("a second reading")))
                (bits::key(Deed::Correct {}, see.t("Typed wrongly"), see.t("this one corrects it")))
            }
            (bits::big(Deed::Wipe {}, see.t("Leave the first"), see.t("nothing was entered")))
        }),
    }
}

/// Why a figure could not be taken.
pub fn cannot(
    see: &See<'_>,
    place: &Place,
    unit: ApplianceId,
    phase: Phase,
    quantity: Quantity,
) -> Markup {
    const WHYS: [&str; 6] = [
        "port seized",
        "no test port",
        "does not fire",
        "cannot be reached",
        "instrument not working",
        "not fitted",
    ];
    let over = matches!(
        quantity,
        Quantity::RodToGround | Quantity::IgniterOhms | Quantity::ValveCoilOhms | Quantity::FlueCo
    );
    let inside = html! {
        (bits::unit_head(&see.unit_no(unit), &bits::plate(see, phase)))
        div class="pad stack grow" {
            (bits::notice(see))
            h2 { (see.f("{}: could not be taken", &[&bits::capital(see.t(quantity.says()))])) }
            div class="keys k2" {
                @for why in WHYS {
                    (bits::key(Deed::Why { why: Name(why.replace(' ', "_")) }, see.t(why), ""))
                }
                @if over { (bits::key(Deed::Over {}, see.t("over range"), see.t("as the instrument shows"))) }
            }
            (bits::line(see, "why", see.t("Another reason"), ""))
            (bits::key(Deed::WhyTyped {}, see.t("Enter this reason"), ""))
            p class="dim t1" { (see.t("It is shown as not tested, never as a pass.")) }
        }
        (bits::foot(&html! { div class="keys k2" { (bits::back(see)) (bits::gas_smell(see)) } }))
    };
    bits::framed(see, place, phase, &inside)
}

//! A verdict in the person's language: the shape of its bracket, and its sentence with the source of the
//! limit. In English the core says it itself; other languages say it with the words that reports use.

use client_core::record::code::Quantity;
use client_core::record::derived::block::Gap;
use client_core::record::derived::block::{Judged, Judgement, LimitFrom};
use client_core::trade::impossible::Impossible;
use client_core::trade::quantity::Amount;
use client_core::trade::verdict::{Limit, Side, Verdict};

use crate::bits::Bracket;
use crate::see::See;
use crate::words::Language;

/// The bracket of a verdict.
pub const fn bracket(judged: &Judged) -> Bracket {
    match &judged.judgement {
        Judgement::NoTarget => Bracket::None,
        Judgement::CarbonMonoxide(band) => match band.key.as_bytes() {
            b"usual" | b"note" => Bracket::Within,
            _ => Bracket::Above,
        },
        Judgement::Against { verdict, .. } => match verdict {
            Verdict::Within { .. } => Bracket::Within,
            Verdict::OutsideBy { side: Side::Over, .. } => Bracket::Above,
            Verdict::OutsideBy { side: Side::Under, .. } => Bracket::Below,
            Verdict::TooCloseToCall { .. } => Bracket::Edge,
            Verdict::NotTested { .. } => Bracket::NotTested,
            Verdict::NoTargetYet { .. } => Bracket::None,
        },
    }
}

/// The sentence of a verdict.
pub fn sentence(see: &See<'_>, judged: &Judged) -> String {
    if see.language() == Language::English {
        return judged.sentence.clone();
    }
    said(see, judged).unwrap_or_else(|| judged.sentence.clone())
}

/// The name of a figure that was read or worked out.
pub fn name(language: Language, key: &str) -> Option<&'static str> {
    match Quantity::from_key(key) {
        Some(quantity) => Some(language.say(quantity.says())),
        None => language.message(&format!("derived-{key}")),
    }
}

fn said(see: &See<'_>, judged: &Judged) -> Option<String> {
    let language = see.language();
    let name = name(language, judged.key)?.to_owned();
    let of = |key: &str, with: &[(&str, &str)]| {
        let mut with = with.to_vec();
        with.push(("name", &name));
        language.message(key).map(|words| filled(words, &with))
    };
    match &judged.judgement {
        Judgement::NoTarget => of("verdict-no_target", &[]),
        Judgement::CarbonMonoxide(band) => {
            let meaning = language.message(&format!("co_band-{}", band.key))?;
            let source = language.message(&format!("co_source-{}", band.key))?;
            of("verdict-co", &[("meaning", meaning), ("source", source)])
        }
        Judgement::Against { verdict, limit: against, from } => {
            let (limit, source) = (limit(see, against)?, source(see, from)?);
            let both = [("limit", limit.as_str()), ("source", source.as_str())];
            let amount = |amount: Amount| see.say().amount(amount);
            let with = |name, text: &str, key: &str| of(key, &[both[0], both[1], (name, text)]);
            match verdict {
                Verdict::Within { margin } => with("margin", &amount(*margin), "verdict-within"),
                Verdict::OutsideBy { by, side: Side::Over } => {
                    with("by", &amount(*by), "verdict-over")
                }
                Verdict::OutsideBy { by, side: Side::Under } => {
                    with("by", &amount(*by), "verdict-under")
                }
                Verdict::TooCloseToCall { margin, .. } => {
                    let distance = amount(Amount::new(margin.value.abs(), margin.unit));
                    with("distance", &distance, "verdict-too_close")
                }
                Verdict::NotTested { .. } => of("verdict-not_tested", &[]),
                Verdict::NoTargetYet { .. } => of("verdict-no_target", &[]),
            }
        }
    }
}

fn limit(see: &See<'_>, limit: &Limit) -> Option<String> {
    let language = see.language();
    let amount = |own: Amount| see.say().amount(own);
    match (limit.low, limit.high) {
        (Some(low), Some(high)) if low == high => Some(amount(low)),
        (Some(low), Some(high)) => language
            .message("limit-between")
            .map(|words| filled(words, &[("low", &amount(low)), ("high", &amount(high))])),
        (Some(low), None) => {
            language.message("limit-at_least").map(|words| filled(words, &[("low", &amount(low))]))
        }
        (None, Some(high)) => {
            language.message("limit-at_most").map(|words| filled(words, &[("high", &amount(high))]))
        }
        (None, None) => language.message("limit-none").map(str::to_owned),
    }
}

fn source(see: &See<'_>, from: &LimitFrom) -> Option<String> {
    let language = see.language();
    let plain = |key: &str| language.message(key).map(str::to_owned);
    match from {
        LimitFrom::PlateBand(figure) => {
            let figure = see.say().amount(*figure);
            language.message("source-plate_band").map(|words| filled(words, &[("figure", &figure)]))
        }
        LimitFrom::Plate => plain("source-plate"),
        LimitFrom::ValveOrPlate => plain("source-valve_or_plate"),
        LimitFrom::PlateOrControl => plain("source-plate_or_control"),
        LimitFrom::SwitchSetpoint => plain("source-switch"),
        LimitFrom::Target(source, None) => Some(see.t(source.says()).to_owned()),
        LimitFrom::Target(source, Some(day)) => {
            let (source, day) = (see.t(source.says()).to_owned(), see.day(*day));
            language
                .message("source-dated")
                .map(|words| filled(words, &[("source", &source), ("day", &day)]))
        }
    }
}

/// What could not be worked out, and why.
pub fn missing(see: &See<'_>, gap: &Gap) -> String {
    let english = || gap.says();
    match see.language() {
        Language::English => english(),
        language => not_worked_out(language, gap).unwrap_or_else(english),
    }
}

fn not_worked_out(language: Language, gap: &Gap) -> Option<String> {
    let (key, name, why) = match gap {
        Gap::FlueTemperatures => ("gap-flue_temperatures", None, None),
        Gap::GasNotSettled => ("gap-gas_not_settled", None, None),
        Gap::FlueSums(why) => ("gap-flue_sums", None, Some(why)),
        Gap::TooMuchAir => ("gap-too_much_air", None, None),
        Gap::FlueCo(why) => ("gap-flue_co", None, Some(why)),
        Gap::Clocking => ("gap-clocking", None, None),
        Gap::Rise(why) => ("gap-rise", None, Some(why)),
        Gap::RoomCo(why) => ("gap-room_co", None, Some(why)),
        Gap::Judging { key, impossible, .. } => {
            ("gap-judging", Some(name(language, key)?), Some(impossible))
        }
    };
    let why = why.map(|why| match why {
        Impossible::OxygenOfAir { .. } => "impossible-oxygen_of_air",
        Impossible::FlueColderThanAir { .. } => "impossible-flue_colder",
        Impossible::NoRise { .. } => "impossible-no_rise",
        Impossible::CarbonDioxideOverMost { .. } => "impossible-co2_over_most",
        _ => "impossible-other",
    });
    let why = why.and_then(|key| language.message(key)).unwrap_or_default();
    let name = name.unwrap_or_default();
    language.message(key).map(|words| filled(words, &[("why", why), ("name", name)]))
}

/// Words with their named gaps filled.
fn filled(words: &str, with: &[(&str, &str)]) -> String {
    with.iter().fold(words.to_owned(), |words, (name, text)| {
        words.replace(&format!("{{ ${name} }}"), text)
    })
}

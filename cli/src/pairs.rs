//! What is typed as `key=value`.

use client_core::record::action::Setting;
use client_core::record::body::Home;
use client_core::record::code::Quantity;
use client_core::record::code::unit::UnitCode;
use client_core::record::doc_id::DocKind;
use client_core::record::field::{FIELDS, Field, FieldValue, Holds, Of};
use client_core::record::value::{Figure, Measured};
use client_core::trade::unit::{Unit, parse_in};

use crate::book::Book;
use crate::error::Trouble;

/// Splits `key=value`.
pub fn split(typed: &str) -> Result<(&str, &str), Trouble> {
    let (key, value) = typed.split_once('=').ok_or_else(|| {
        Trouble::Usage(format!("'{}' is not of the form key=value", short(typed)))
    })?;
    Ok((key.trim(), value.trim()))
}

/// A quantity by its key, for example `manifold_high`; hyphens and upper case are read as well.
pub fn quantity(typed: &str) -> Result<Quantity, Trouble> {
    let key = typed.trim().to_lowercase().replace(['-', ' '], "_");
    if let Some(found) = Quantity::from_key(&key) {
        return Ok(found);
    }
    let near: Vec<&str> = Quantity::ALL
        .iter()
        .map(|quantity| quantity.key())
        .filter(|own| {
            own.contains(&key) || key.split('_').any(|word| own.split('_').any(|part| part == word))
        })
        .collect();
    let hint = if near.is_empty() {
        "`dripleg words quantities` lists them".to_owned()
    } else {
        format!("did you mean {}?", near.join(", "))
    };
    Err(Trouble::Usage(format!("'{}' is not a quantity; {hint}", short(typed))))
}

/// A reading `quantity=value`: a figure with or without unit, `over` for over range, or
/// `not:WHY` where it could not be taken.
pub fn reading(typed: &str) -> Result<(Quantity, Measured), Trouble> {
    let (key, value) = split(typed)?;
    let quantity = quantity(key)?;
    Ok((quantity, measured(quantity, value)?))
}

/// What was measured of a quantity.
pub fn measured(quantity: Quantity, value: &str) -> Result<Measured, Trouble> {
    let unit = quantity.kind().map_or(Unit::N, |kind| kind.unit);
    if value.eq_ignore_ascii_case("over") {
        let unit = UnitCode::of(unit).ok_or_else(|| not_kept(quantity, unit))?;
        return Ok(Measured::OverRange(unit));
    }
    if let Some(why) = value.strip_prefix("not:") {
        let why = why.trim();
        if why.is_empty() {
            let words = format!("{}: say why it could not be taken", quantity.says());
            return Err(Trouble::Usage(words));
        }
        return Ok(Measured::NotTaken(why.to_owned()));
    }
    Ok(Measured::Figure(figure(quantity.says(), value, unit)?))
}

fn not_kept(quantity: Quantity, unit: Unit) -> Trouble {
    Trouble::Usage(format!("{}: records keep no figures in {}", quantity.says(), unit.key()))
}

/// A figure as typed, in a unit that records keep.
pub fn figure(what: &str, value: &str, unit: Unit) -> Result<Figure, Trouble> {
    let (digits, typed) =
        parse_in(value, unit).map_err(|wrong| Trouble::Usage(format!("{what}: {wrong}")))?;
    let unit = UnitCode::of(typed).ok_or_else(|| {
        let key = typed.key();
        Trouble::Usage(format!("{what}: records keep no figures in {key}; use {}", unit.key()))
    })?;
    Ok(Figure { digits, unit })
}

/// A register of a kind of document by its key, with or without the group: `plate/input` or `input`.
pub fn field(kind: DocKind, typed: &str, of: Option<Of>) -> Result<Field, Trouble> {
    let key = typed.trim().to_lowercase().replace(['-', ' '], "_");
    let fits = |home: Home| home.takes(kind);
    let subject = |def_key: &str| def_key.contains("{}") == of.is_some();
    let here = || FIELDS.iter().filter(|def| fits(def.home) && subject(def.key));
    let whole = here().find(|def| def.key == key || def.key.replace("/{}/", "/") == key);
    let named = || here().filter(|def| def.key.rsplit('/').next() == Some(key.as_str()));
    let def = match (whole, named().count()) {
        (Some(def), _) => def,
        (None, 1) => named().next().expect("one was counted"),
        (None, 0) => {
            let all: Vec<String> = here().map(|def| def.key.replace("/{}/", "/")).collect();
            let words = format!("'{}' is not kept here; there is {}", short(typed), all.join(", "));
            return Err(Trouble::Usage(words));
        }
        (None, _) => {
            let all: Vec<&str> = named().map(|def| def.key).collect();
            let words = format!("'{}' may be {}", short(typed), all.join(" or "));
            return Err(Trouble::Usage(words));
        }
    };
    Ok(Field { def, of })
}

/// A setting `key=value` of a kind of document; people and units may be named.
pub fn setting(
    book: &Book,
    kind: DocKind,
    typed: &str,
    of: Option<Of>,
    reason: Option<&str>,
) -> Result<Setting, Trouble> {
    let (key, value) = split(typed)?;
    let field = field(kind, key, of)?;
    let value = value_of(book, &field, value)?;
    Ok(Setting { field, value, reason: reason.map(str::to_owned) })
}

/// A register's value as typed; people and units may be named.
pub fn value_of(book: &Book, field: &Field, value: &str) -> Result<FieldValue, Trouble> {
    Ok(match field.def.holds {
        Holds::Person => FieldValue::Person(book.find_person(value)?),
        Holds::Appliance => FieldValue::Appliance(book.find_unit(None, value)?.1),
        _ => {
            let value = match field.def.holds {
                Holds::Word(_) => value.to_lowercase().replace(['-', ' '], "_"),
                _ => value.to_owned(),
            };
            field.parse(&value)?
        }
    })
}

fn short(typed: &str) -> String {
    typed.chars().take(60).collect()
}

/// A word of a closed list by its key; hyphens and upper case are read as well. For the argument reader.
macro_rules! word_parser {
    ($($name:ident $list:ident;)*) => {$(
        #[doc = concat!("A word of the list of ", stringify!($list), ".")]
        pub fn $name(typed: &str) -> Result<client_core::record::code::$list, String> {
            use client_core::record::code::$list;
            let key = typed.trim().to_lowercase().replace(['-', ' '], "_");
            $list::from_key(&key).ok_or_else(|| {
                let all: Vec<&str> = $list::ALL.iter().map(|word| word.key()).collect();
                format!("use one of {}", all.join(", "))
            })
        }
    )*};
}

word_parser! {
    role Role;
    channel Channel;
    decision Decision;
    labour_kind LabourKind;
    severity AdvisorySeverity;
    check_item CheckItem;
    check_result CheckResult;
    confidence Confidence;
    gas Gas;
    gas_part GasPartKind;
    instrument_kind InstrumentKind;
    method Method;
    outcome Outcome;
    phase Phase;
    running Running;
    stage Stage;
    system System;
    target_source TargetSource;
    visit_kind VisitKind;
    work_kind WorkKind;
    crew_event CrewEvent;
}

/// A day as typed. For the argument reader.
pub fn day(typed: &str) -> Result<client_core::record::value::Day, String> {
    client_core::record::value::Day::parse(typed).map_err(|wrong| wrong.to_string())
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn readings_are_read_as_people_type_them() {
        let (quantity, value) = reading("manifold-high=3.50").unwrap();
        assert_eq!(
            (quantity, value.to_string().as_str()),
            (Quantity::ManifoldHigh, "3.50 in w.c.")
        );
        assert_eq!(reading("flue_co=over").unwrap().1.to_string(), "over range (ppm)");
        let not = reading("inlet_static=not: port seized").unwrap().1;
        assert_eq!(not.to_string(), "could not take: port seized");
        assert_eq!(reading("stack_temp=204 C").unwrap().1.to_string(), "204 C");
    }

    #[test]
    fn bad_readings_say_what_is_wrong() {
        for (typed, says) in [
            ("manifold_high", "not of the form"),
            ("manifold=3.5", "did you mean manifold_high, manifold_low, manifold_off?"),
            ("xyz=1", "words quantities"),
            ("manifold_high=wet", "does not begin with a number"),
            ("manifold_high=72 F", "does not fit"),
            ("inlet_static=not:", "say why"),
            ("manifold_high=", "nothing typed"),
        ] {
            let wrong = reading(typed).unwrap_err().to_string();
            assert!(wrong.contains(says), "{typed}: {wrong}");
        }
    }

    #[test]
    fn registers_are_found_with_and_without_their_group() {
        let unit = DocKind::Appliance(client_core::record::id::ApplianceId([0; 8]));
        assert_eq!(field(unit, "plate/input", None).unwrap().def.key, "plate/input");
        assert_eq!(field(unit, "manifold-high", None).unwrap().def.key, "plate/manifold_high");
        assert!(field(unit, "site/name", None).unwrap_err().to_string().contains("not kept here"));
    }
}

//! Questions about what was typed. An answer "yes, so it is" with a reason keeps the value: a range is
//! never a hard stop.

use crate::record::action::{Action, Setting};
use crate::record::body::{Body, Reading};
use crate::record::code::Quantity;
use crate::record::field::{Field, FieldValue, Holds};
use crate::record::file::amount;
use crate::record::phrase::{Gap, Phrase};
use crate::record::value::Figure;
use crate::trade::quantity::Amount;
use crate::trade::reading::Slip;

/// A question about a value.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Doubt {
    /// What it is about, in words.
    pub about: String,
    /// The value as typed.
    pub typed: String,
    /// The question.
    pub asks: String,
    /// What is usual, in words.
    pub usual: Phrase,
}

/// Questions about an action. `expected` gives plate, target or last figure of a quantity, where known.
pub fn doubts(action: &Action, expected: &dyn Fn(Quantity) -> Option<Figure>) -> Vec<Doubt> {
    match action {
        Action::Enter(bodies) => bodies
            .iter()
            .filter_map(|body| match body {
                Body::Reading(reading) if reading.why_unusual.is_none() => {
                    about_reading(reading, expected(reading.quantity))
                }
                _ => None,
            })
            .collect(),
        Action::Set(settings) => settings
            .iter()
            .filter(|setting| setting.reason.is_none())
            .filter_map(|Setting { field, value, .. }| about_register(field, value))
            .collect(),
        _ => vec![],
    }
}

fn about_reading(reading: &Reading, expected: Option<Figure>) -> Option<Doubt> {
    let figure = reading.value.figure()?;
    let kind = reading.quantity.kind()?;
    let slip = kind.slip(amount(figure)?, expected.and_then(amount))?;
    let usual = match (slip, expected) {
        (Slip::Implausible, _) | (_, None) => {
            let edge = |value| Gap::of(Amount::new(value, kind.unit));
            Phrase::new("usual here is {} to {}", vec![edge(kind.low), edge(kind.high)])
        }
        (_, Some(expected)) => Phrase::new("expected is about {}", vec![Gap::of(expected)]),
    };
    Some(Doubt {
        about: reading.quantity.says().to_owned(),
        typed: figure.to_string(),
        asks: slip.words().to_owned(),
        usual,
    })
}

fn about_register(field: &Field, value: &FieldValue) -> Option<Doubt> {
    let (Holds::Figure(unit), FieldValue::Figure(figure)) = (field.def.holds, value) else {
        return None;
    };
    let (least, most) = field.def.range?;
    let typed = figure.in_unit(unit)?;
    if typed >= least && typed <= most {
        return None;
    }
    let edge = |value| Gap::of(Amount::new(value, unit));
    Some(Doubt {
        about: field.def.says.to_owned(),
        typed: figure.to_string(),
        asks: Slip::Implausible.words().to_owned(),
        usual: Phrase::new("usual is {} to {}", vec![edge(least), edge(most)]),
    })
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::Phase;
    use crate::record::code::unit::UnitCode;
    use crate::record::value::Measured;

    fn ask(mantissa: i64, places: u8, why: Option<&str>) -> Vec<Doubt> {
        let value = Measured::Figure(Figure::new(mantissa, places, UnitCode(1)));
        let mut reading = Reading::new(Quantity::ManifoldHigh, value, Phase::AsLeft);
        reading.why_unusual = why.map(str::to_owned);
        let plate = Some(Figure::new(35, 1, UnitCode(1)));
        doubts(&Action::Enter(vec![reading.into()]), &|_| plate)
    }

    #[test]
    fn a_decimal_slip_is_asked_about_and_a_reason_ends_it() {
        let asked = ask(350, 1, None);
        assert_eq!(asked[0].asks, "is the point one place off");
        assert!(asked[0].usual.to_string().contains("3.5 in w.c."), "{:?}", asked[0]);
        assert!(ask(350, 1, Some("will check")).is_empty());
        assert!(ask(351, 2, None).is_empty());
    }

    #[test]
    fn a_register_outside_its_range_is_asked_about() {
        let field = Field::named("plate/input");
        let set = |text| {
            let value = field.parse(text).unwrap();
            doubts(&Action::Set(vec![Setting { field, value, reason: None }]), &|_| None)
        };
        assert!(set("175").is_empty());
        assert_eq!(set("9000")[0].usual.to_string(), "usual is 20.0 MBH to 5000.0 MBH");
    }
}

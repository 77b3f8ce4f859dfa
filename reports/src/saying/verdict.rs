//! Figures, limits, verdicts and what is missing.

use crate::layout::Shape;
use crate::text::Text;
use crate::tongue::{Tongue, say};
use client_core::record::code::Quantity;
use client_core::record::derived::block::{Gap, Judged, Judgement, LimitFrom};
use client_core::trade::impossible::Impossible;
use client_core::trade::quantity::Amount;
use client_core::trade::verdict::{Limit, Side, Verdict};

impl Tongue {
    /// The name of a figure by its key: a measured quantity or one that follows from readings.
    pub fn figure_name(self, key: &str) -> String {
        match Quantity::from_key(key) {
            Some(quantity) => self.word(quantity),
            None => self.plain(&format!("derived-{key}")),
        }
    }

    /// A limit without its source: "3.30 to 3.70 in w.c.", "at least 1.0 uA".
    pub fn limit(self, limit: &Limit) -> String {
        let amount = |own: Amount| self.amount(own);
        match (limit.low, limit.high) {
            (Some(low), Some(high)) if low == high => amount(low),
            (Some(low), Some(high)) => {
                say!(self, "limit-between", low = self.amount_digits(low), high = amount(high))
            }
            (Some(low), None) => say!(self, "limit-at_least", low = amount(low)),
            (None, Some(high)) => say!(self, "limit-at_most", high = amount(high)),
            (None, None) => self.plain("limit-none"),
        }
    }

    /// Where a limit comes from.
    pub fn limit_source(self, from: &LimitFrom) -> String {
        match from {
            LimitFrom::PlateBand(figure) => {
                say!(self, "source-plate_band", figure = self.amount(*figure))
            }
            LimitFrom::Plate => self.plain("source-plate"),
            LimitFrom::ValveOrPlate => self.plain("source-valve_or_plate"),
            LimitFrom::PlateOrControl => self.plain("source-plate_or_control"),
            LimitFrom::SwitchSetpoint => self.plain("source-switch"),
            LimitFrom::Target(source, None) => self.word(*source),
            LimitFrom::Target(source, Some(day)) => {
                say!(self, "source-dated", source = self.word(*source), day = self.day(*day))
            }
        }
    }

    /// A limit with its source.
    pub fn limit_with_source(self, limit: &Limit, from: &LimitFrom) -> String {
        say!(self, "limit-with_source", limit = self.limit(limit), source = self.limit_source(from))
    }

    /// One or two words of a verdict.
    pub fn verdict_label(self, judged: &Judged) -> String {
        let key = match &judged.judgement {
            Judgement::NoTarget => "verdict_label-no_target",
            Judgement::CarbonMonoxide(band) => {
                return self.plain(&format!("co_label-{}", band.key));
            }
            Judgement::Against { verdict, .. } => match verdict {
                Verdict::Within { .. } => "verdict_label-within",
                Verdict::OutsideBy { side: Side::Over, .. } => "verdict_label-over",
                Verdict::OutsideBy { side: Side::Under, .. } => "verdict_label-under",
                Verdict::TooCloseToCall { .. } => "verdict_label-too_close",
                Verdict::NotTested { .. } => "verdict_label-not_tested",
                Verdict::NoTargetYet { .. } => "verdict_label-no_target",
            },
        };
        self.plain(key)
    }

    /// A verdict as a sentence with the source of its limit.
    pub fn verdict(self, judged: &Judged) -> Text {
        let name = self.figure_name(judged.key);
        let words = match &judged.judgement {
            Judgement::NoTarget => say!(self, "verdict-no_target", name = name),
            Judgement::CarbonMonoxide(band) => say!(
                self,
                "verdict-co",
                name = name,
                meaning = self.plain(&format!("co_band-{}", band.key)),
                source = self.plain(&format!("co_source-{}", band.key)),
            ),
            Judgement::Against { verdict, limit, from } => {
                let source = self.limit_source(from);
                self.against(&name, verdict, limit, &source)
            }
        };
        Text::words(words).capital()
    }

    fn against(self, name: &str, verdict: &Verdict, limit: &Limit, source: &str) -> String {
        match verdict {
            Verdict::Within { margin } => say!(
                self,
                "verdict-within",
                name = name,
                limit = self.limit(limit),
                margin = self.fine(*margin),
                source = source,
            ),
            Verdict::OutsideBy { by, side: Side::Over } => say!(
                self,
                "verdict-over",
                name = name,
                limit = self.limit(limit),
                by = self.fine(*by),
                source = source,
            ),
            Verdict::OutsideBy { by, side: Side::Under } => say!(
                self,
                "verdict-under",
                name = name,
                limit = self.limit(limit),
                by = self.fine(*by),
                source = source,
            ),
            Verdict::TooCloseToCall { margin, chance_inside, .. } => say!(
                self,
                "verdict-too_close",
                name = name,
                limit = self.limit(limit),
                distance = self.fine(Amount::new(margin.value.abs(), margin.unit)),
                chance = self.number(*chance_inside, 0),
                source = source,
            ),
            Verdict::NotTested { .. } => say!(self, "verdict-not_tested", name = name),
            Verdict::NoTargetYet { .. } => say!(self, "verdict-no_target", name = name),
        }
    }

    /// Shown finely enough that a figure beyond a limit never rounds away to nothing.
    fn fine(self, amount: Amount) -> String {
        self.amount(amount)
    }

    /// Something that cannot be worked out or judged, and why.
    pub fn gap(self, gap: &Gap) -> Text {
        Text::words(match gap {
            Gap::FlueTemperatures => self.plain("gap-flue_temperatures"),
            Gap::GasNotSettled => self.plain("gap-gas_not_settled"),
            Gap::FlueSums(why) => say!(self, "gap-flue_sums", why = self.impossible(why)),
            Gap::TooMuchAir => self.plain("gap-too_much_air"),
            Gap::FlueCo(why) => say!(self, "gap-flue_co", why = self.impossible(why)),
            Gap::Clocking => self.plain("gap-clocking"),
            Gap::Rise(why) => say!(self, "gap-rise", why = self.impossible(why)),
            Gap::RoomCo(why) => say!(self, "gap-room_co", why = self.impossible(why)),
            Gap::Judging { key, impossible, .. } => say!(
                self,
                "gap-judging",
                name = self.figure_name(key),
                why = self.impossible(impossible),
            ),
        })
        .capital()
    }

    fn impossible(self, why: &Impossible) -> String {
        self.plain(match why {
            Impossible::OxygenOfAir { .. } => "impossible-oxygen_of_air",
            Impossible::FlueColderThanAir { .. } => "impossible-flue_colder",
            Impossible::NoRise { .. } => "impossible-no_rise",
            Impossible::CarbonDioxideOverMost { .. } => "impossible-co2_over_most",
            _ => "impossible-other",
        })
    }
}

/// The shape of a verdict.
pub(crate) fn shape(judged: &Judged) -> Shape {
    match &judged.judgement {
        Judgement::NoTarget => Shape::NoFigure,
        Judgement::CarbonMonoxide(band) => match band.key {
            "usual" | "note" => Shape::Within,
            _ => Shape::Above,
        },
        Judgement::Against { verdict, .. } => match verdict {
            Verdict::Within { .. } => Shape::Within,
            Verdict::OutsideBy { side: Side::Over, .. } => Shape::Above,
            Verdict::OutsideBy { side: Side::Under, .. } => Shape::Below,
            Verdict::TooCloseToCall { .. } => Shape::TooClose,
            Verdict::NotTested { .. } => Shape::NotTested,
            Verdict::NoTargetYet { .. } => Shape::NoFigure,
        },
    }
}

/// Keys of figures that follow from readings.
pub(crate) const DERIVED: &[&str] = &[
    "net_stack",
    "co2",
    "excess_air",
    "co_air_free",
    "efficiency",
    "manifold_input",
    "clocked_input",
    "output",
    "rise",
];

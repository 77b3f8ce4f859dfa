//! What the truck needs: parts used in the visit, and what is worth carrying next time.

use std::collections::BTreeMap;

use crate::book::{Book, Source};
use crate::kind::Kind;
use crate::layout::{Block, Cell, Column, Report, Row, Table};
use crate::text::Text;
use crate::tongue::{Tongue, say};
use crate::unit_facts::UnitFacts;
use crate::visit_head::VisitHead;
use client_core::pattern::van::Carry;
use client_core::record::body::Body;
use client_core::trade::unit::Decimal;

/// A part worth carrying, owned.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct CarryLine {
    /// The part.
    pub part: String,
    /// Used so many in all.
    pub used: usize,
    /// At so many visits, of those on record.
    pub visits: (usize, usize),
    /// Enough for nine visits of ten like those on record.
    pub carry: usize,
    /// Causes it was used for.
    pub causes: Vec<String>,
}

impl From<&Carry<'_>> for CarryLine {
    fn from(carry: &Carry<'_>) -> CarryLine {
        CarryLine {
            part: carry.part.to_owned(),
            used: carry.used,
            visits: carry.visits,
            carry: carry.carry,
            causes: carry.causes.iter().map(|cause| (*cause).to_owned()).collect(),
        }
    }
}

/// A part used.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct UsedLine {
    /// The part.
    pub part: String,
    /// How many, a line for each unit of measure.
    pub quantity: Decimal,
    /// For which units.
    pub units: Vec<String>,
    /// From which trucks or stores.
    pub sources: Vec<String>,
}

/// What the truck needs.
#[derive(Clone, Debug, PartialEq)]
pub struct RestockList {
    /// The visit.
    pub head: VisitHead,
    /// Parts used; a line entered twice counts once.
    pub used: Vec<UsedLine>,
    /// Parts that look like one event entered twice and were not looked at yet.
    pub doubtful: usize,
    /// Parts worth carrying, where that was worked out.
    pub carry: Vec<CarryLine>,
    /// Names.
    pub book: Book,
}

impl RestockList {
    /// Gathers it from a visit. `carry` is what [`client_core::pattern::van::carry`] found, or empty.
    pub fn of(source: &Source<'_>, carry: &[Carry<'_>]) -> RestockList {
        use client_core::record::contradiction::Contradiction;
        let book = Book::of(source);
        let units = UnitFacts::all(source, &book);
        let open = source.file.contradictions();
        let doubtful =
            open.iter().filter(|one| matches!(one, Contradiction::Double { .. })).count();
        RestockList {
            head: VisitHead::of(source),
            used: used(&units),
            doubtful,
            carry: carry.iter().map(CarryLine::from).collect(),
            book,
        }
    }

    /// The list in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let mut masthead = self.head.masthead(tongue, &self.book);
        masthead.what = Text::words(say!(tongue, "restock-what", when = self.head.when(tongue)));
        let mut blocks = vec![
            Block::Masthead(masthead),
            Block::Lead(Text::words(say!(tongue, "restock-lead", count = self.used.len()))),
        ];
        if self.doubtful > 0 {
            let words = say!(tongue, "restock-doubtful", count = self.doubtful);
            blocks.push(Block::Caution(Text::words(words)));
        }
        if !self.used.is_empty() {
            blocks.push(Block::Heading(2, Text::words(tongue.plain("restock-used"))));
            blocks.push(Block::Table(self.used(tongue)));
        }
        blocks.push(Block::Heading(2, Text::words(tongue.plain("restock-carry"))));
        blocks.extend(carry_blocks(tongue, &self.carry));
        Report {
            kind: Kind::Restock,
            tongue,
            title: say!(tongue, "restock-title", when = self.head.when(tongue)),
            blocks,
            foot: self.head.foot(tongue),
        }
    }

    fn used(&self, tongue: Tongue) -> Table {
        let names = |list: &[String]| Text::join(list.iter().map(Text::name), ", ");
        let row = |line: &UsedLine| {
            let sources = match line.sources.is_empty() {
                true => Text::words(tongue.plain("restock-no_source")),
                false => names(&line.sources),
            };
            Row(vec![
                Cell::from(tongue.decimal(line.quantity)),
                Cell::from(Text::name(&line.part)),
                Cell::from(names(&line.units)),
                Cell::from(sources),
            ])
        };
        Table {
            caption: Text::words(tongue.plain("restock-used_caption")),
            columns: vec![
                Column::figures(tongue.plain("column-quantity"), 12),
                Column::words(tongue.plain("column-part"), 40),
                Column::words(tongue.plain("column-for_units"), 24),
                Column::words(tongue.plain("column-from"), 24),
            ],
            rows: self.used.iter().map(row).collect(),
            dense: false,
        }
    }
}

/// Parts worth carrying, with the counts behind them.
pub(crate) fn carry_blocks(tongue: Tongue, carry: &[CarryLine]) -> Vec<Block> {
    if carry.is_empty() {
        return vec![Block::Paragraph(Text::words(tongue.plain("restock-no_carry")))];
    }
    let row = |line: &CarryLine| {
        let causes = line.causes.iter().map(|cause| tongue.cause(cause));
        let causes = Text::join(causes, "; ");
        let causes =
            if causes.is_empty() { Text::words(tongue.plain("restock-no_cause")) } else { causes };
        let (hits, of) = (tongue.count(line.visits.0), tongue.count(line.visits.1));
        Row(vec![
            Cell::from(tongue.count(line.carry)),
            Cell::from(Text::name(&line.part)),
            Cell::from(tongue.count(line.used)),
            Cell::from(say!(tongue, "count-of", hits = hits, of = of)),
            Cell::from(causes),
        ])
    };
    vec![
        Block::Table(Table {
            caption: Text::words(tongue.plain("restock-carry_caption")),
            columns: vec![
                Column::figures(tongue.plain("column-carry"), 10),
                Column::words(tongue.plain("column-part"), 28),
                Column::figures(tongue.plain("column-used"), 10),
                Column::figures(tongue.plain("column-at_visits"), 14),
                Column::words(tongue.plain("column-for_causes"), 38),
            ],
            rows: carry.iter().map(row).collect(),
            dense: false,
        }),
        Block::Small(Text::words(tongue.plain("restock-carry_why"))),
    ]
}

fn used(units: &[UnitFacts]) -> Vec<UsedLine> {
    let mut found: BTreeMap<(String, u16), UsedLine> = BTreeMap::new();
    for unit in units {
        for told in unit.counted().filter(|told| !told.double) {
            let Body::Part(part) = &told.body else { continue };
            let key = (part.part.trim().to_lowercase(), part.quantity.unit.0);
            let line = found.entry(key).or_insert_with(|| UsedLine {
                part: part.part.clone(),
                quantity: Decimal::new(0, 0),
                units: vec![],
                sources: vec![],
            });
            line.quantity = sum(line.quantity, part.quantity.digits);
            if !line.units.contains(&unit.no) {
                line.units.push(unit.no.clone());
            }
            if let Some(source) = part.source.as_ref().filter(|own| !line.sources.contains(own)) {
                line.sources.push(source.clone());
            }
        }
    }
    found.into_values().collect()
}

/// The exact sum of two decimals; where it does not fit, the first one stands.
fn sum(one: Decimal, other: Decimal) -> Decimal {
    let places = one.places().max(other.places());
    let scaled = |own: Decimal| {
        let power = 10_i64.checked_pow(u32::from(places - own.places()))?;
        own.mantissa().checked_mul(power)
    };
    let sum = scaled(one).zip(scaled(other)).and_then(|(one, other)| one.checked_add(other));
    sum.map_or(one, |mantissa| Decimal::new(mantissa, places))
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn parts_are_summed_exactly() {
        assert_eq!(sum(Decimal::new(15, 1), Decimal::new(250, 2)).to_string(), "4.00");
        assert_eq!(sum(Decimal::new(i64::MAX, 0), Decimal::new(1, 9)), Decimal::new(i64::MAX, 0));
    }
}

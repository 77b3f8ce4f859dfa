//! The slip of a unit that is shut down: DO NOT USE first, why, what was isolated, who, when, whom to call.

use super::line::{cut, cut_words, day, ends, two_lines};
use super::{COLUMNS, column::finish};
use crate::book::{Book, Source};
use crate::kind::Kind;
use crate::layout::Report;
use crate::text::Text;
use crate::tongue::Tongue;
use crate::unit_facts::{TagFacts, UnitFacts};
use crate::visit_head::VisitHead;
use client_core::present::say::Names as _;
use client_core::record::id::ApplianceId;

/// The slip of a unit that is shut down.
#[derive(Clone, Debug, PartialEq)]
pub struct ShutDownSlip {
    /// The visit.
    pub head: VisitHead,
    /// The unit.
    pub unit: UnitFacts,
    /// The record in force.
    pub tag: TagFacts,
    /// Names.
    pub book: Book,
}

impl ShutDownSlip {
    /// Gathers it; none unless a shut-down record of the unit is in force.
    pub fn of(source: &Source<'_>, unit: ApplianceId) -> Option<ShutDownSlip> {
        let book = Book::of(source);
        let marker = client_core::record::mark::Marker::new(source.file);
        let unit = UnitFacts::of(source, source.file.unit(unit)?, &book, &marker);
        let tag = unit.tag.clone()?;
        Some(ShutDownSlip { head: VisitHead::of(source), unit, tag, book })
    }

    /// The slip in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        let tag = &self.tag.tag;
        let place = self.unit.area.as_ref().map(|area| Text::name(area.to_uppercase()));
        let place = Text::name(&self.unit.no).then(place.unwrap_or_default());
        let when = day(tongue, self.tag.told.at.day());
        let mut lines = vec![ends(place, Text::words(when))];
        lines.extend(two_lines(&Text::typed(&tag.reason)));
        let isolated = match tag.isolations.is_empty() {
            true => Text::words(tongue.plain("slip-no_isolation")),
            false => Text::words(tongue.plain("slip-isolated"))
                .then(Text::join(tag.isolations.iter().map(Text::typed), ", ")),
        };
        lines.push(cut_words(isolated, COLUMNS));
        lines.push(cut(Text::words(tongue.plain("slip-release")), COLUMNS));
        let by = Text::words(tongue.plain("slip-by"))
            .then(Text::name(self.book.person(self.tag.told.person)));
        lines.push(ends(by, Text::words(self.tag.told.at.clock())));
        let call = match &self.head.firm.phone {
            Some(phone) => Text::name(phone),
            None => Text::name(&self.head.firm.name),
        };
        let call = Text::words(tongue.plain("slip-call")).then(call);
        lines.push(ends(call, Text::name(&self.head.reference)));
        let banner = Text::strong(tongue.plain("slip-do_not_use"));
        finish(Kind::ShutDown, tongue, &self.unit, &self.head, Some(banner), lines)
    }
}

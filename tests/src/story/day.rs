//! The days of the story, one after the other.

use client_core::device::Step;
use client_core::record::action::{Action, Setting};
use client_core::record::blocker::Blocker;
use client_core::record::body::{
    Body, DoubleMark, Reading, Repoint, Roster, Settlement, SignOff, Tag, TextRead,
};
use client_core::record::code::unit::UnitCode;
use client_core::record::code::{Phase, Quantity, Role};
use client_core::record::contradiction::{Contradiction, removed_with_evidence};
use client_core::record::derived::signed::to_sign;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::field::Field;
use client_core::record::id::{ApplianceId, EntryId};
use client_core::record::value::{Measured, Moment};

use super::office::{figure, set};
use super::player::{Link, Player, StoryWrong, Who, moment};
use crate::world::Trip;

/// What the supervisor sees of a visit.
#[derive(Clone, Debug)]
pub struct Seen {
    /// Contradictions that are not settled.
    pub contradictions: Vec<Contradiction>,
    /// What blocks the sign-off.
    pub blockers: Vec<Blocker>,
}

/// Dov's phone runs this much ahead on the day of the second visit.
pub const AHEAD_S: i64 = 47 * 60;

impl Player {
    /// Both technicians enter their part of a visit up to a moment on their own clocks.
    pub fn work(
        &mut self,
        visit: &str,
        who: Who,
        after: Moment,
        upto: Moment,
    ) -> Result<usize, StoryWrong> {
        let mut items = self.items(visit, who)?;
        items.extend(self.extras(visit, who)?);
        items.sort_by_key(|item| (item.at.secs, item.rank));
        items.retain(|item| item.at.secs > after.secs && item.at.secs <= upto.secs);
        let count = items.len();
        for item in items {
            self.play(visit, who, item)?;
        }
        Ok(count)
    }

    /// What the fixture tells in words only: the sides of the contradictions.
    fn extras(&self, visit: &str, who: Who) -> Result<Vec<super::item::Item>, StoryWrong> {
        use super::item::{Item, What};
        let mut extras = vec![];
        let mut add = |at: &str, doc: DocId, action: Action| {
            let what = What::Steps(vec![Step::new(doc, action)]);
            extras.push(Item { at: moment(at), rank: 0, what });
        };
        match (visit, who) {
            ("V-1", Who::Ilse) => {
                let plate = Action::Set(vec![set("plate/input", "175")]);
                add("2024-10-08T11:20", self.unit_doc("UH-06")?, plate);
                let value = Measured::Figure(figure("3.49", UnitCode(1)));
                let mut reading = Reading::new(Quantity::ManifoldHigh, value, Phase::AsFound);
                reading.instrument = self.instruments.get("N-M1").copied();
                let sheet = self.sheet_doc("V-1", "UH-11")?;
                add("2024-10-08T10:26", sheet, Action::Enter(vec![reading.into()]));
            }
            ("V-1", Who::Dov) => {
                let plate = Action::Set(vec![set("plate/input", "125")]);
                add("2024-10-08T11:12", self.unit_doc("UH-06")?, plate);
                let void = Action::Void {
                    entry: self.entry("roster UH-11")?,
                    reason: "made by mistake for UH-04".to_owned(),
                };
                add("2024-10-08T10:20", self.site_doc(), void);
            }
            ("V-2", Who::Ilse) => {
                let edit = "Locks out at shift start. Crust on rod is salt, wipes off wet; worst \
                            when bagger 2 runs.";
                add("2025-01-22T10:40", self.sheet_doc("V-2", "UH-05")?, self.edit(edit)?);
                add("2025-01-22T11:35", self.unit_doc("UH-08")?, self.shut_down()?);
            }
            ("V-2", Who::Dov) => {
                let edit = "Locks out at shift start, twice on Monday. Inlet sags to 6.6 with all \
                            heaters on.";
                add("2025-01-22T10:10", self.sheet_doc("V-2", "UH-05")?, self.edit(edit)?);
                let status = Action::Set(vec![set("unit/status", "in_service_part_awaited")]);
                add("2025-01-22T10:58", self.unit_doc("UH-08")?, status);
            }
            ("V-3", Who::Ilse) => {
                let watch = || Action::Set(vec![set("unit/status", "watch")]);
                add("2025-10-14T12:20", self.unit_doc("UH-07")?, watch());
            }
            ("V-3", Who::Dov) => {
                let watch = || Action::Set(vec![set("unit/status", "watch")]);
                add("2025-10-14T15:30", self.unit_doc("UH-08B")?, watch());
                add("2025-10-14T15:31", self.unit_doc("UH-06")?, watch());
            }
            _ => {}
        }
        Ok(extras)
    }

    fn edit(&self, text: &str) -> Result<Action, StoryWrong> {
        Ok(Action::Edit { note: self.entry("NT-1")?, text: text.to_owned() })
    }

    fn shut_down(&self) -> Result<Action, StoryWrong> {
        let tag = Tag {
            reason: "suspected heat exchanger breach and raised room CO".to_owned(),
            isolations: vec![
                "gas cock, closed and tagged".to_owned(),
                "service switch, padlock".to_owned(),
            ],
            customer_told: Some("customer contact, in person".to_owned()),
            utility_told: None,
            release_when: Some("repaired or replaced by a licensed firm, and proved".to_owned()),
            advisory: None,
            visit: Some(self.visit("V-2")?),
            told_person: self.others.get("P-BS").copied(),
        };
        Ok(Action::ShutDown { tag, locks: vec![] })
    }

    /// Dov makes a unit by mistake, before both go out of reach.
    pub fn mistake(&mut self) -> Result<(), StoryWrong> {
        let appliance = ApplianceId(self.new_id());
        self.units.insert("UH-11".to_owned(), appliance);
        let at = moment("2024-10-08T07:10");
        let roster = Roster { appliance, unit_no: "UH-11".to_owned() };
        let made = self.enter(Who::Dov, at, self.site_doc(), vec![roster.into()])?;
        self.entries.insert("roster UH-11".to_owned(), made[0]);
        let doc = self.unit_doc("UH-11")?;
        let no = Action::Set(vec![set("unit/no", "UH-11")]);
        self.act(Who::Dov, at, vec![Step::new(doc, no)]).map(drop)
    }

    /// The complaint that both will write on.
    pub fn complaint(&mut self) -> Result<(), StoryWrong> {
        let sheet = self.sheet_doc("V-2", "UH-05")?;
        let write = Action::Write {
            subject: "job".to_owned(),
            about: None,
            text: "Locks out at shift start.".to_owned(),
        };
        let at = moment("2025-01-21T16:30");
        let made = self.act(Who::Oriane, at, vec![Step::new(sheet, write)])?;
        self.entries.insert("NT-1".to_owned(), made[0]);
        Ok(())
    }

    /// A device exchanges at a moment of the hall's true time; `ahead_s` is how wrong its clock is.
    pub fn meet(
        &mut self,
        link: &mut Link<'_>,
        who: Who,
        at: Moment,
        ahead_s: i64,
    ) -> Result<Trip, StoryWrong> {
        self.exchange(link, who, at.secs + ahead_s)
    }

    /// What the supervisor's device shows of a visit.
    pub fn see(&mut self, visit: &str) -> Result<Seen, StoryWrong> {
        let (site, id) = (self.site, self.visit(visit)?);
        let wrong = |wrong| StoryWrong::Device { who: "Oriane".to_owned(), wrong };
        let device = self.device(Who::Oriane);
        let mut entries = std::collections::BTreeMap::new();
        for unit in device.units(site).map_err(wrong)? {
            let history = device.history(site, unit.id).map_err(wrong)?;
            let count: u32 = history.iter().map(|listed| listed.row.entries).sum();
            entries.insert(unit.id, usize::try_from(count).unwrap_or_default());
        }
        let mut seen = {
            let opened = device.open_visit(site, id).map_err(wrong)?;
            let file = opened.file();
            Seen { contradictions: file.contradictions(), blockers: file.blockers() }
        };
        let papers = device.read_doc(DocId::new(site, DocKind::Site)).map_err(wrong)?;
        let removed =
            removed_with_evidence(&papers, |unit| entries.get(&unit).copied().unwrap_or_default());
        seen.contradictions.extend(removed);
        Ok(seen)
    }

    /// Settles a contested register.
    pub fn settle(
        &mut self,
        at: Moment,
        doc: DocId,
        key: &str,
        typed: &str,
        reason: &str,
    ) -> Result<(), StoryWrong> {
        let Setting { field, value, .. } = set(key, typed);
        let settle = Action::Settle { field, value, reason: reason.to_owned(), evidence: vec![] };
        self.act(Who::Oriane, at, vec![Step::new(doc, settle)]).map(drop)
    }

    /// Settles something else that two people said differently.
    pub fn settle_other(
        &mut self,
        at: Moment,
        doc: DocId,
        one: &Contradiction,
        chosen: Option<EntryId>,
        reason: &str,
    ) -> Result<(), StoryWrong> {
        let settlement = Settlement {
            what: one.key(),
            chosen,
            sides: one.sides(),
            reason: reason.to_owned(),
            evidence: None,
        };
        let action = Action::SettleOther(settlement);
        self.act(Who::Oriane, at, vec![Step::new(doc, action)]).map(drop)
    }

    /// K-5: the reading of the instrument in date governs.
    pub fn settle_readings(&mut self, at: Moment, one: &Contradiction) -> Result<(), StoryWrong> {
        let Contradiction::Readings { doc, governs, .. } = one else { return Ok(()) };
        let reason = "N-M2 overdue and 0.18 high before re-zero at 09:45; N-M1 value governs";
        self.settle_other(at, *doc, one, *governs, reason)
    }

    /// K-6: the reading belongs to UH-04; UH-11 is closed as a duplicate.
    pub fn merge_units(&mut self, at: Moment, one: &Contradiction) -> Result<(), StoryWrong> {
        let (from, to) = (self.unit("UH-11")?, self.unit("UH-04")?);
        let reason = "made by mistake for UH-04";
        let repoint = Repoint { entries: vec![], from, to, reason: reason.to_owned() };
        let sheet = self.sheet_doc("V-1", "UH-04")?;
        self.enter(Who::Oriane, at, sheet, vec![repoint.into()])?;
        let merged = Setting {
            field: Field::named("unit/merged_into"),
            value: client_core::record::field::FieldValue::Appliance(to),
            reason: Some(reason.to_owned()),
        };
        let doc = self.unit_doc("UH-11")?;
        self.act(Who::Oriane, at, vec![Step::new(doc, Action::Set(vec![merged]))])?;
        let words = "reading moved by reference to UH-04; UH-11 closed as duplicate";
        self.settle_other(at, self.site_doc(), one, None, words)
    }

    /// K-3: the merged text was read.
    pub fn read_text(&mut self, at: Moment, note: EntryId, doc: DocId) -> Result<(), StoryWrong> {
        let read = TextRead { note, reason: Some("reads well".to_owned()) };
        self.enter(Who::Oriane, at, doc, vec![read.into()]).map(drop)
    }

    /// K-4: one part entered twice.
    pub fn mark_double(&mut self, at: Moment) -> Result<(), StoryWrong> {
        let mark = DoubleMark {
            keep: self.entry("PT-4")?,
            other: self.entry("PT-5")?,
            same: true,
            reason: "PT-5 marked duplicate of PT-4, kept".to_owned(),
        };
        let sheet = self.sheet_doc("V-2", "UH-05")?;
        self.enter(Who::Oriane, at, sheet, vec![Body::DoubleMark(mark)]).map(drop)
    }

    /// Signs a visit as the device knows it.
    pub fn sign(&mut self, who: Who, at: Moment, visit: &str) -> Result<EntryId, StoryWrong> {
        let (site, id) = (self.site, self.visit(visit)?);
        let wrong = |wrong| StoryWrong::Device { who: who.name().to_owned(), wrong };
        let role = if who == Who::Oriane { Role::Supervisor } else { Role::Technician };
        let sign = {
            let opened = self.device(who).open_visit(site, id).map_err(wrong)?;
            let file = opened.file();
            SignOff {
                role,
                docs: file.to_sign(),
                statement: None,
                shown: to_sign(&file),
                drawn: None,
            }
        };
        let head = self.head_doc(visit)?;
        let made = self.act(who, at, vec![Step::new(head, Action::SignOff(sign))])?;
        made.first().copied().ok_or_else(|| StoryWrong::Lacks("a sign-off".to_owned()))
    }
}

//! The visit: choosing one, beginning one, claims, how a unit's turn ended, hours, the signature.

use client_core::device::DeviceError;
use client_core::record::action::Action;
use client_core::record::body::{Claim, Crew, Labour};
use client_core::record::code::{CrewEvent, LabourKind, Outcome, Role, VisitKind};
use client_core::record::deed::{self, Planned};
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId, VisitId};

use super::App;
use super::state::drawn_name;
use crate::tap::{Deed, Place};

impl App {
    pub(super) fn at_the_visit(&mut self, deed: Deed) -> Result<(), DeviceError> {
        match deed {
            Deed::Visit { site, visit } => self.open_visit(site, visit),
            Deed::Begin { site, kind } => self.begin(site, kind),
            Deed::Here { unit } => self.claim(unit),
            Deed::NotReachedFor { unit, why } => {
                let why = match why.0.as_str() {
                    "typed" => self.state.text("why").unwrap_or_default(),
                    word => word.replace('_', " "),
                };
                self.close_unit(unit, Outcome::NotReached, Some(why))
            }
            Deed::LeftAsFound { unit } => self.close_unit(unit, Outcome::LeftAsFound, None),
            Deed::Done { unit } => self.close_unit(unit, Outcome::Done, None),
            Deed::Labour { kind, minutes } => self.labour(kind, minutes),
            Deed::SignIt {} => self.sign(),
            _ => Ok(()),
        }
    }

    fn open_visit(&mut self, site: SiteId, visit: VisitId) -> Result<(), DeviceError> {
        self.set.site = Some(site);
        self.set.visit = Some(visit);
        self.keep_settings()?;
        self.state.stack = vec![Place::Units {}];
        self.arrive()
    }

    /// A visit that nobody planned: every unit of the building is in it.
    fn begin(&mut self, site: SiteId, kind: VisitKind) -> Result<(), DeviceError> {
        let visit = VisitId(self.device.new_id());
        let units = self.device.units(site)?;
        let units = units.iter().filter(|unit| unit.row.merged_into.is_none()).enumerate();
        let planned: Vec<Planned> = units
            .map(|(order, unit)| Planned {
                appliance: unit.id,
                person: None,
                order: u32::try_from(order).unwrap_or(u32::MAX),
            })
            .collect();
        let day = self.now.day();
        let mut acts = deed::plan_visit(site, visit, kind, day, vec![], &planned);
        let arrived = Crew { person: self.device.identity().person, event: CrewEvent::Arrived };
        let head = DocId::new(site, DocKind::Visit(visit));
        acts.push((head, Action::Enter(vec![arrived.into()])));
        self.act(acts)?;
        self.open_visit(site, visit)
    }

    fn claim(&mut self, unit: ApplianceId) -> Result<(), DeviceError> {
        let me = self.device.identity().person;
        let here =
            self.look(unit, |own| crate::screens::unit::claimed(own, me))?.unwrap_or_default();
        let sheet = self.sheet(unit)?;
        let claim = Claim { here: !here };
        self.act(vec![(sheet, Action::Enter(vec![claim.into()]))]).map(drop)
    }

    fn close_unit(
        &mut self,
        unit: ApplianceId,
        outcome: Outcome,
        reason: Option<String>,
    ) -> Result<(), DeviceError> {
        let sheet = self.sheet(unit)?;
        self.act(vec![(sheet, Action::Close { outcome, reason })])?;
        self.clear(&["why"]);
        self.state.stack = vec![Place::Units {}];
        self.arrive()
    }

    fn labour(&mut self, kind: LabourKind, minutes: u16) -> Result<(), DeviceError> {
        let head = self.head()?;
        let line = Labour {
            person: self.device.identity().person,
            minutes: u32::from(minutes),
            start: None,
            kind,
            note: self.state.text("hours"),
        };
        self.act(vec![(head, Action::Enter(vec![line.into()]))])?;
        self.clear(&["hours"]);
        Ok(())
    }

    fn sign(&mut self) -> Result<(), DeviceError> {
        let (site, visit) = (self.site()?, self.visit()?);
        let role = match self.device.identity().role {
            Role::Supervisor => Role::Supervisor,
            _ => Role::Technician,
        };
        let statement = self.state.text("statement");
        let mut acts = {
            let opened = self.device.open_visit(site, visit)?;
            deed::sign_off(&opened.file(), role, statement)?
        };
        let drawn = self.state.drawn(visit);
        for (_, act) in &mut acts {
            if let Action::SignOff(sign_off) = act {
                sign_off.drawn.clone_from(&drawn);
            }
        }
        self.act(acts)?;
        self.clear(&["statement", &drawn_name(visit)]);
        self.state.notice =
            Some(self.set.language().say("Signed, and kept on this phone.").to_owned());
        Ok(())
    }
}

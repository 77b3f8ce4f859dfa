//! Deeds on a device: all of one or none, what a sign-off forbids, and what evidence forbids.

use super::{Device, DeviceError, Step};
use crate::exchange::frame;
use crate::exchange::office::{Order, PATH};
use crate::record::apply::Delta;
use crate::record::body::Body;
use crate::record::deed::{self, Deed};
use crate::record::doc_id::{DocId, DocKind};
use crate::record::id::{ApplianceId, EntryId, SiteId};
use crate::record::refused::Refused;
use crate::record::stamp::Stamp;

impl Device {
    /// The number that the next entry gets, for deeds whose entries name each other.
    pub fn next_entry(&self) -> EntryId {
        let actor = self.session.pen.actor;
        EntryId { actor: actor.half(), n: self.session.pen.next }
    }

    /// Carries a deed out, all or none. Nothing is changed under a sign-off.
    pub fn carry_out(&mut self, deed: Deed, stamp: &Stamp) -> Result<Vec<Delta>, DeviceError> {
        let mut visits: Vec<(SiteId, crate::record::id::VisitId)> = vec![];
        for (doc, _) in &deed {
            if let Some(visit) = doc.visit()
                && !visits.contains(&(doc.site, visit))
            {
                visits.push((doc.site, visit));
            }
        }
        for (site, visit) in visits {
            match self.open_visit(site, visit) {
                Ok(opened) => deed::under_sign_off(&opened.file(), &deed)?,
                // A visit of which nothing is here has no sign-off here either.
                Err(DeviceError::NotHere(_)) => {}
                Err(wrong) => return Err(wrong),
            }
        }
        let steps: Vec<Step> = deed.into_iter().map(|(doc, action)| Step { doc, action }).collect();
        self.act(&steps, stamp)
    }

    /// How many entries stand for an appliance: in its own document and in every sheet, as far as this
    /// device knows.
    pub fn evidence(&mut self, site: SiteId, appliance: ApplianceId) -> Result<usize, DeviceError> {
        let own = DocId::new(site, DocKind::Appliance(appliance));
        let counted = match self.read_doc(own) {
            Ok(papers) => papers.read.entries.iter().filter(|entry| entry.counts()).count(),
            Err(DeviceError::NotHere(_)) => 0,
            Err(wrong) => return Err(wrong),
        };
        let sheets = self.history(site, appliance)?;
        let sheets = sheets.iter().map(|listed| usize::try_from(listed.row.entries).unwrap_or(0));
        Ok(counted + sheets.sum::<usize>())
    }

    /// Takes a unit off the roster that has no evidence. One that has is never deleted.
    pub fn remove_unit(
        &mut self,
        site: SiteId,
        appliance: ApplianceId,
        reason: &str,
        stamp: &Stamp,
    ) -> Result<Vec<Delta>, DeviceError> {
        let doc = DocId::new(site, DocKind::Site);
        let roster = self.read_doc(doc)?.read;
        let found = roster.entries.iter().find(|entry| {
            entry.counts()
                && matches!(&entry.body, Body::Roster(roster) if roster.appliance == appliance)
        });
        let Some(entry) = found else { return Err(Refused::Nothing.into()) };
        let Body::Roster(named) = &entry.body else { return Err(Refused::Nothing.into()) };
        let what = named.unit_no.clone();
        let entry = entry.id;
        let entries = self.evidence(site, appliance)?;
        if entries > 0 {
            return Err(Refused::HasEvidence { what, entries }.into());
        }
        let void = crate::record::action::Action::Void { entry, reason: reason.to_owned() };
        self.act(&[Step::new(doc, void)], stamp)
    }

    /// Lets the counter of requests begin no lower than this, so that two short runs within one second
    /// are told apart.
    pub fn count_from(&mut self, counter: u64) {
        self.counter = self.counter.max(counter);
    }

    /// An office order as it travels, signed.
    pub fn order(&mut self, order: &Order) -> Vec<u8> {
        let ask = frame::encode(order);
        self.counter = self.counter.saturating_add(1);
        let bytes = frame::to_sign(self.identity.hub, PATH, self.counter, &ask);
        let signature = self.sign(&bytes);
        frame::envelope(self.identity.device(), self.counter, &signature, &ask)
    }
}

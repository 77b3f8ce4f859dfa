//! What somebody does on a page: changes on the documents as they stand, sealed and signed with their page
//! key, appended like anybody's delivery, and folded.

use std::collections::BTreeMap;

use client_core::exchange::delivery::{Delivery, DocChanges};
use client_core::record::action::Action;
use client_core::record::apply::{Delta, Pen};
use client_core::record::deed::under_sign_off;
use client_core::record::doc::session_actor;
use client_core::record::doc_id::DocId;
use client_core::record::id::{EntryId, SiteId, VisitId};
use client_core::record::refused::Refused;
use client_core::record::stamp::Stamp;
use client_core::record::value::Moment;
use ed25519_dalek::{Signer, SigningKey};

use super::page::Acting;
use super::{Hub, Turn, not_stored};
use crate::log::Arrival;
use crate::view::DraftWrong;

/// Changes of one delivery, well below what one may hold.
const CHANGES: usize = 128;
/// Bytes of one delivery, likewise.
const BYTES: usize = 128 * 1024;

/// What a person's pages write under, until the hub is opened again.
pub(super) struct PagePen {
    nonce: [u8; 16],
    pen: Pen,
    /// How-many-th delivery was the last at each site, and its id.
    ends: BTreeMap<SiteId, (u32, [u8; 32])>,
}

/// Why a deed was not carried out.
#[derive(Debug, thiserror::Error)]
pub enum DeedWrong {
    /// It was refused; nothing is changed.
    #[error(transparent)]
    Refused(#[from] Refused),
    /// The hub could not.
    #[error(transparent)]
    Turn(#[from] Turn),
}

impl From<DraftWrong> for DeedWrong {
    fn from(wrong: DraftWrong) -> DeedWrong {
        match wrong {
            DraftWrong::Refused(refused) => DeedWrong::Refused(refused),
            DraftWrong::Store(wrong) => DeedWrong::Turn(Turn::Store(wrong)),
        }
    }
}

impl Hub {
    /// The number that the next entry of somebody on the pages gets, for deeds whose entries name each
    /// other.
    pub fn next_page_entry(&mut self, acting: &Acting) -> EntryId {
        let pen = &self.page_pen(acting).pen;
        EntryId { actor: pen.actor.half(), n: pen.next }
    }

    /// Carries a deed out, all or none, for somebody on the pages. When this returns, the log holds it and
    /// the view shows it.
    pub fn act(
        &mut self,
        acting: &Acting,
        at: Moment,
        deed: &[(DocId, Action)],
    ) -> Result<Vec<EntryId>, DeedWrong> {
        for (doc, _) in deed {
            if doc.site != self.identity.company() && !self.may_see(acting, doc.site) {
                return Err(Turn::Role.into());
            }
        }
        // What was drafted has to stand on everything that has arrived.
        for site in sites_of(deed) {
            self.fold_site(site)?;
        }
        self.not_under_sign_off(acting, deed)?;
        let stamp = Stamp::new(acting.person, at);
        let mut pen = self.page_pen(acting).pen.clone();
        let deltas = self.view.draft(&mut pen, &stamp, deed)?;
        let entries = deltas.iter().flat_map(|delta| delta.entries.iter().copied()).collect();
        let sealed = self.seal(acting, &deltas);
        let stored = match &sealed {
            Ok(sealed) => self.append(sealed).map_err(|wrong| not_stored(&wrong).into()),
            Err(refused) => Err(DeedWrong::Refused(refused.clone())),
        };
        if let Err(wrong) = stored {
            // The same actor with other content would wedge every document it touched.
            self.pens.remove(&acting.device);
            return Err(wrong);
        }
        self.page_pen(acting).pen = pen;
        for site in sites_of(deed) {
            self.ring(site, Some(acting.device));
            self.fold_site(site)?;
        }
        Ok(entries)
    }

    fn page_pen(&mut self, acting: &Acting) -> &mut PagePen {
        let (random, identity) = (&mut self.random, &self.identity);
        let known = self.pens.entry(acting.device).or_insert_with(|| {
            let mut nonce = [0; 16];
            random(&mut nonce);
            let key = identity.page_key(acting.person, acting.round).verifying_key().to_bytes();
            let pen = Pen::new(session_actor(&key, &nonce), acting.role);
            PagePen { nonce, pen, ends: BTreeMap::new() }
        });
        known.pen.role = acting.role;
        known
    }

    fn not_under_sign_off(
        &mut self,
        acting: &Acting,
        deed: &[(DocId, Action)],
    ) -> Result<(), DeedWrong> {
        let mut visits: Vec<(SiteId, VisitId)> =
            deed.iter().filter_map(|(doc, _)| Some((doc.site, doc.visit()?))).collect();
        visits.dedup();
        for (site, visit) in visits {
            if let Some(opened) = self.visit_seen(acting, site, visit)? {
                under_sign_off(&opened.file(), deed)?;
            }
        }
        Ok(())
    }

    /// Seals changes into deliveries, each site's in their order. Where the chains stand is noted at once:
    /// whoever cannot append what comes of this throws the pen away.
    fn seal(
        &mut self,
        acting: &Acting,
        deltas: &[Delta],
    ) -> Result<Vec<(SiteId, Arrival)>, Refused> {
        let key = self.identity.page_key(acting.person, acting.round);
        let hub = self.identity.hub;
        let pen = self.page_pen(acting);
        let mut sealed = vec![];
        let mut bunch: Vec<&Delta> = vec![];
        let mut bytes = 0;
        let mut seal = |bunch: &mut Vec<&Delta>| {
            let arrival = seal_one(hub, &key, acting, pen, bunch);
            bunch.clear();
            sealed.push(arrival?);
            Ok::<(), Refused>(())
        };
        for delta in deltas {
            let other = bunch.first().is_some_and(|first| first.doc.site != delta.doc.site);
            let full = bunch.len() >= CHANGES || bytes + delta.bytes.len() > BYTES;
            if !bunch.is_empty() && (other || full) {
                seal(&mut bunch)?;
                bytes = 0;
            }
            bytes += delta.bytes.len();
            bunch.push(delta);
        }
        if !bunch.is_empty() {
            seal(&mut bunch)?;
        }
        Ok(sealed)
    }
}

/// Sites that a deed touches, each once.
fn sites_of(deed: &[(DocId, Action)]) -> Vec<SiteId> {
    let mut sites: Vec<SiteId> = deed.iter().map(|(doc, _)| doc.site).collect();
    sites.sort_unstable();
    sites.dedup();
    sites
}

fn seal_one(
    hub: client_core::record::id::HubId,
    key: &SigningKey,
    acting: &Acting,
    pen: &mut PagePen,
    bunch: &[&Delta],
) -> Result<(SiteId, Arrival), Refused> {
    let site = bunch.first().ok_or(Refused::Nothing)?.doc.site;
    let mut docs: Vec<DocChanges> = vec![];
    for delta in bunch {
        let at = docs.iter().position(|part| part.doc == delta.doc).unwrap_or_else(|| {
            docs.push(DocChanges { doc: delta.doc, changes: vec![] });
            docs.len() - 1
        });
        docs[at].changes.push(delta.bytes.clone());
    }
    let (seq, previous) = pen.ends.get(&site).copied().unwrap_or_default();
    let session = (acting.device, pen.nonce);
    let persons = vec![acting.person];
    let head = Delivery::head_of(hub, site, session, (seq + 1, previous), persons, &docs);
    let head = head.map_err(|wrong| Refused::Document(wrong.to_string()))?;
    pen.ends.insert(site, (head.seq, head.id()));
    let signature = key.sign(&head.to_sign()).to_bytes();
    Ok((site, Arrival::Delivery(Box::new(Delivery { head, signature, docs }))))
}

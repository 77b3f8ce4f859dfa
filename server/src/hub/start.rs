//! First exchanges and documents on demand.

use client_core::exchange::frame::{SessionRow, SiteReply, Start, Started, Whole};
use client_core::exchange::place::{self, Place};
use client_core::record::doc_id::DocId;
use client_core::record::id::SiteId;

use super::{Hub, Received, Turn};
use crate::view::{Cursor, weight};

impl Hub {
    /// Pieces of first exchanges, as many as fit a page: today's visits of every site come before the rows
    /// of any.
    pub(super) fn first_exchanges(
        &mut self,
        received: &Received,
        sites: &[SiteId],
        replies: &mut Vec<SiteReply>,
        after: &mut [(SiteId, Place)],
    ) -> Result<(), Turn> {
        let mut starts: Vec<(Cursor, &Start)> = received
            .ask
            .starts
            .iter()
            .flatten()
            .filter(|start| sites.contains(&start.site))
            .map(|start| (Cursor::read(&start.cursor), start))
            .collect();
        starts.sort_by_key(|(cursor, _)| matches!(cursor, Cursor::Rows(_)));
        let mut room = self.page_bytes;
        for (cursor, start) in starts {
            if room == 0 {
                at(replies, start.site).more = Some(true);
                continue;
            }
            let started = self.piece(start, &cursor, room)?;
            let docs: usize = started.docs.iter().map(weight).sum();
            let rows = started.rows.as_ref().map_or(0, |rows| rows.len());
            let sessions = started.sessions.as_ref().map_or(0, |rows| rows.len() * 48);
            room = room.saturating_sub((docs + rows + sessions).max(1));
            for (site, place) in after.iter_mut() {
                if *site == start.site && place.n == 0 {
                    *place = started.place;
                }
            }
            at(replies, start.site).started = Some(started);
        }
        Ok(())
    }

    fn piece(&mut self, start: &Start, cursor: &Cursor, room: usize) -> Result<Started, Turn> {
        let site = start.site;
        self.fold_site(site)?;
        let place = match self.view.place(site)? {
            Some(place) => place,
            None => self.log.end(site)?,
        };
        let place = Place { log: self.log.id(), ..place };
        let signature = self.identity.sign(&place::to_sign(site, &place));
        let piece = self.view.piece(site, cursor, start.today, room)?;
        let sessions = match start.cursor.is_empty() {
            true => self.view.sessions_at(site)?,
            false => vec![],
        };
        let late = match start.cursor.is_empty() {
            true => self.view.late_at(site)?,
            false => vec![],
        };
        let sessions: Vec<SessionRow> = sessions
            .into_iter()
            .map(|session| SessionRow {
                device: session.device,
                nonce: session.nonce,
                clocks: session.clocks,
            })
            .collect();
        Ok(Started {
            place,
            signature,
            docs: piece.docs,
            rows: (!piece.rows.is_empty()).then(|| crate::view::rows_bytes(&piece.rows).into()),
            cursor: piece.next.map(|next| next.write().into()),
            sessions: (!sessions.is_empty()).then_some(sessions),
            left: Some(piece.left),
            late: (!late.is_empty()).then(|| late.concat().into()),
        })
    }

    /// Documents that a device wants whole.
    pub(super) fn wanted(
        &mut self,
        received: &Received,
        sites: &[SiteId],
        replies: &mut Vec<SiteReply>,
    ) -> Result<(), Turn> {
        let mut room = self.page_bytes;
        for want in received.ask.wanted.iter().flatten() {
            if !sites.contains(&want.site) {
                continue;
            }
            let Ok(doc) = DocId::from_bytes(want.site, &want.doc) else { continue };
            if room == 0 {
                at(replies, want.site).more = Some(true);
                break;
            }
            self.fold_site(want.site)?;
            let mut wholes = self.view.wholes(doc)?;
            if wholes.is_empty() {
                // Nothing of it passed the gate, or nobody wrote in it: that is an answer too.
                let first = client_core::record::doc::first_change(doc.with_part(1)).hash();
                wholes.push(Whole {
                    doc: doc.with_part(1).to_bytes().into(),
                    heads: first.0.to_vec().into(),
                    saved: vec![].into(),
                    overwritten: None,
                    waiting: None,
                });
            }
            for whole in wholes {
                room = room.saturating_sub(weight(&whole));
                at(replies, want.site).docs.get_or_insert_default().push(whole);
            }
        }
        Ok(())
    }
}

/// A site's part of the reply, begun when it is not there yet.
pub(super) fn at(replies: &mut Vec<SiteReply>, site: SiteId) -> &mut SiteReply {
    let found = replies.iter().position(|one| one.site == site);
    let found = found.unwrap_or_else(|| {
        replies.push(SiteReply::new(site));
        replies.len() - 1
    });
    &mut replies[found]
}

//! First exchanges and documents on demand.

use client_core::exchange::codec::squeeze;
use client_core::exchange::frame::{SessionRow, SiteReply, Start, Started};
use client_core::exchange::place;
use client_core::record::doc_id::DocId;
use client_core::record::id::SiteId;

use super::{Hub, Received, Turn};
use crate::view::Cursor;

impl Hub {
    pub(super) fn first_exchanges(
        &mut self,
        _now: i64,
        received: &Received,
        sites: &[SiteId],
        replies: &mut Vec<SiteReply>,
    ) -> Result<(), Turn> {
        let starts = received.ask.starts.clone().unwrap_or_default();
        let Some(start) = starts.iter().find(|start| sites.contains(&start.site)) else {
            return Ok(());
        };
        // One site's piece in one reply: a piece is a page.
        let started = self.piece(start)?;
        at(replies, start.site).started = Some(started);
        if starts.len() > 1 {
            at(replies, start.site).more = Some(true);
        }
        Ok(())
    }

    fn piece(&mut self, start: &Start) -> Result<Started, Turn> {
        let site = start.site;
        self.fold()?;
        let place = self.view.place(site)?.unwrap_or(self.log.end(site)?);
        let place = place::Place { log: self.log.id(), ..place };
        let signature = self.identity.sign(&place::to_sign(site, &place));
        let first = start.cursor.is_empty();
        let cursor = Cursor::read(&start.cursor);
        let piece = self.view.piece(site, &cursor, start.today, self.page_bytes)?;
        let sessions = match first {
            true => self
                .view
                .sessions()?
                .into_iter()
                .map(|(_, session)| SessionRow {
                    device: session.device,
                    nonce: session.nonce,
                    waits_from: session.waits_from,
                    clocks: session.clocks,
                })
                .collect(),
            false => vec![],
        };
        Ok(Started {
            place,
            signature,
            docs: piece.docs,
            rows: (!piece.rows.is_empty()).then(|| crate::view::rows_bytes(&piece.rows).into()),
            cursor: piece.next.map(|next| next.write().into()),
            sessions: (!sessions.is_empty()).then_some(sessions),
            left: Some(piece.left),
        })
    }

    /// Documents that a device wants whole.
    pub(super) fn wanted(
        &mut self,
        received: &Received,
        sites: &[SiteId],
        replies: &mut Vec<SiteReply>,
    ) -> Result<(), Turn> {
        let wanted = received.ask.wanted.clone().unwrap_or_default();
        if wanted.is_empty() {
            return Ok(());
        }
        self.fold()?;
        let mut room = self.page_bytes;
        for want in wanted.iter().filter(|want| sites.contains(&want.site)) {
            let Ok(doc) = DocId::from_bytes(want.site, &want.doc) else { continue };
            if room == 0 {
                at(replies, want.site).more = Some(true);
                break;
            }
            for whole in self.view.wholes(doc)? {
                room = room.saturating_sub(whole.saved.len());
                at(replies, want.site).docs.get_or_insert_default().push(whole);
            }
        }
        Ok(())
    }
}

fn at(replies: &mut Vec<SiteReply>, site: SiteId) -> &mut SiteReply {
    let found = replies.iter().position(|one| one.site == site);
    let found = found.unwrap_or_else(|| {
        replies.push(SiteReply::new(site));
        replies.len() - 1
    });
    &mut replies[found]
}

/// Rows as they travel.
pub(crate) fn squeeze_rows(plain: &[u8]) -> Vec<u8> {
    squeeze(plain)
}

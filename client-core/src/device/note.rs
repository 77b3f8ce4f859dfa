//! Notes of the hub: who may write, who may not any more, what its gate refused, what came late.

use super::ask::OWN_CERTIFICATE;
use super::reply::ReplyWrong;
use super::standing::{
    self, Quarantined, StoredCertificate, StoredSession, half_of, put_certificate, put_late,
    put_quarantined, put_session,
};
use crate::exchange::delivery::device_id;
use crate::exchange::note::{Certificate, Note, Refusal, Says};
use crate::record::id::{DeviceId, SiteId};
use crate::store::{Get, StoreError, Table, Write};

/// Takes a note in; gives the refusal that it tells of, if it does.
pub(super) fn note_in(
    write: &Write,
    site: SiteId,
    note: &Note,
    own: DeviceId,
) -> Result<Option<Refusal>, ReplyWrong> {
    // A note of a newer version says nothing to this one.
    let Ok(says) = note.says() else { return Ok(None) };
    match says {
        Says::Certificate(certificate) => {
            if device_id(&certificate.key) == own {
                write.put(Table::Meta, OWN_CERTIFICATE, &signed(note))?;
            }
            certify(write, certificate)?;
        }
        Says::Revocation(revocation) => {
            if let Some(mut stored) = standing::certificate(write, revocation.device)? {
                stored.revoked = Some(revocation.reason);
                put_certificate(write, &stored)?;
            }
        }
        Says::Clock(clock) => {
            if let Some(stored) = standing::certificate(write, clock.device)? {
                let half = half_of(&stored, &clock.nonce);
                let known = standing::session(write, half)?;
                let mut session =
                    known.unwrap_or_else(|| StoredSession::new(clock.device, clock.nonce));
                session.add_clock(clock.span);
                put_session(write, half, &session)?;
            }
        }
        Says::Late(late) => put_late(write, site, &late)?,
        Says::Refusal(refusal) => {
            let known = standing::quarantined(write, site, &refusal.change)?;
            let known = known.filter(|known| known.doc == refusal.doc);
            let quarantined = Quarantined {
                doc: refusal.doc.clone(),
                reason: refusal.reason.clone(),
                words: format!("the hub's gate: {}", refusal.words),
                bytes: known.as_ref().map(|known| known.bytes.clone()).unwrap_or_default(),
                device: known.as_ref().and_then(|known| known.device),
                reentered: known.is_some_and(|known| known.reentered),
                binding: Some(true),
            };
            put_quarantined(write, site, &refusal.change, &quarantined)?;
            return Ok(Some(refusal));
        }
    }
    Ok(None)
}

/// Of two certificates of one device the later one holds.
fn certify(write: &Write, certificate: Certificate) -> Result<(), StoreError> {
    let known = standing::certificate(write, device_id(&certificate.key))?;
    if known.as_ref().is_some_and(|known| known.certificate.given > certificate.given) {
        return Ok(());
    }
    let revoked = known.and_then(|known| known.revoked);
    put_certificate(write, &StoredCertificate { certificate, revoked })
}

/// Keeps a note that the hub must not lose, so that it can be handed back.
pub(super) fn keep(write: &Write, site: SiteId, n: u64, note: &Note) -> Result<(), StoreError> {
    if matches!(note.says(), Ok(Says::Certificate(_) | Says::Revocation(_))) {
        write.put(Table::Heads, &[&site.0[..], &n.to_be_bytes()].concat(), &signed(note))?;
    }
    // It has come back: it need not be handed back any more.
    for (key, waiting) in write.under(Table::Notes, &[])? {
        if waiting == signed(note) {
            write.remove(Table::Notes, &key)?;
        }
    }
    Ok(())
}

/// A note as it is kept: signature, then note.
fn signed(note: &Note) -> Vec<u8> {
    [&note.signature[..], &note.bytes].concat()
}

//! What the hub says of this device's own deliveries: verdicts, echoes, and what is kept of deliveries for
//! offering them again.

use std::collections::BTreeMap;

use super::act::next_order;
use super::ask::plain_key;
use super::offer::{SealedDelivery, short};
use super::reply::Report;
use super::standing::{self, EntryState, put_state, take_late};
use crate::exchange::delivery::{Delivery, Head};
use crate::exchange::frame::Verdict;
use crate::gate::scan;
use crate::record::doc_id::DocId;
use crate::record::id::{DeviceId, SiteId};
use crate::record::inside::inside;
use crate::store::doc_table::unreadable;
use crate::store::{Get, StoreError, Table, Write};

/// The device that signed a delivery has no right to the site.
pub(super) const NOT_YOURS: u8 = 4;
/// The hub does not take a delivery yet: nobody who may begin the site's log has. It is offered again.
pub(super) const NOT_YET: u8 = 5;

pub(super) fn verdict_on(
    write: &Write,
    site: SiteId,
    verdict: &Verdict,
    untold: bool,
    report: &mut Report,
) -> Result<bool, StoreError> {
    let sealed = || sealed_as(write, site, verdict.id);
    let words = || verdict.words.clone().unwrap_or_else(|| "the hub refused it".to_owned());
    match verdict.answer {
        // The log is not told any more to a device that lost the site or its rights: the verdict is the
        // echo.
        0 | 1 if untold => {
            let Some((key, sealed)) = sealed()? else { return Ok(false) };
            on_hub(write, site, &sealed.delivery()?, report)?;
            report.echoed += 1;
            write.remove(Table::Sealed, &key)
        }
        0 | 1 => Ok(true),
        2 => write.put(Table::Meta, &plain_key(site), &[1]).map(|()| true),
        // Rights may change: it is offered again another time.
        NOT_YOURS | NOT_YET => {
            let Some((key, mut sealed)) = sealed()? else { return Ok(false) };
            sealed.turned_away = Some(words());
            write.put(Table::Sealed, &key, &standing::cbor(&sealed)).map(|()| false)
        }
        _ => {
            let Some((key, mut sealed)) = sealed()? else { return Ok(false) };
            sealed.refused = Some(words());
            write.put(Table::Sealed, &key, &standing::cbor(&sealed)).map(|()| true)
        }
    }
}

/// Entries of a delivery are on the hub, except those that were taken out and entered again: they are on the
/// hub when what took their place is.
fn on_hub(
    write: &Write,
    site: SiteId,
    delivery: &Delivery,
    report: &mut Report,
) -> Result<(), StoreError> {
    for change in delivery.docs.iter().flat_map(|part| &part.changes) {
        report.changes_up += 1;
        let hash = scan(change).map(|scan| scan.hash).unwrap_or_default();
        let again = standing::quarantined(write, site, &hash)?.is_some_and(|known| known.reentered);
        if again {
            continue;
        }
        for inside in inside(change) {
            put_state(write, site, inside.id, EntryState::OnHub)?;
        }
    }
    Ok(())
}

/// The sealed delivery whose id begins like this.
fn sealed_as(
    write: &Write,
    site: SiteId,
    id: [u8; 8],
) -> Result<Option<(Vec<u8>, SealedDelivery)>, StoreError> {
    for (key, value) in write.under(Table::Sealed, &site.0)? {
        let sealed: SealedDelivery =
            minicbor::decode(&value).map_err(|wrong| unreadable(Table::Sealed, wrong))?;
        if short(&sealed.id()?) == id {
            return Ok(Some((key, sealed)));
        }
    }
    Ok(None)
}

/// Keeps of a delivery what it takes to put it together again: its signed head, and which changes it brought,
/// wherever they end up here.
pub(super) fn put_head(write: &Write, n: u64, delivery: &Delivery) -> Result<(), StoreError> {
    let head = &delivery.head;
    let key = [&head.site.0[..], &n.to_be_bytes()].concat();
    let changes = delivery.docs.iter().flat_map(|part| &part.changes);
    let hashes: Vec<u8> =
        changes.flat_map(|change| scan(change).map(|scan| scan.hash).unwrap_or_default()).collect();
    write.put(Table::HeadChanges, &key, &hashes)?;
    write.put(Table::Heads, &key, &[&delivery.signature[..], &head.to_bytes()].concat())
}

/// Forgets what was kept of an arrival.
pub(super) fn drop_head(write: &Write, key: &[u8]) -> Result<(), StoreError> {
    write.remove(Table::HeadChanges, key)?;
    write.remove(Table::Heads, key).map(drop)
}

/// Arrivals that are kept behind what a backup covers: whoever restores a hub may take an older backup than
/// the last.
const KEPT_BEHIND: u64 = 1_000;

/// A backup of the hub covers arrivals up to here: those far behind it will hardly be asked for again. This
/// device's own stay: whatever backup is restored, they can be offered once more.
pub(super) fn forget_heads(
    write: &Write,
    site: SiteId,
    upto: u64,
    own: DeviceId,
) -> Result<(), StoreError> {
    let upto = upto.saturating_sub(KEPT_BEHIND);
    if upto == 0 {
        return Ok(());
    }
    for (key, value) in write.under(Table::Heads, &site.0)? {
        let head = value.get(64..).and_then(|head| Head::from_bytes(head).ok());
        if head.is_some_and(|head| head.device == own) {
            continue;
        }
        let n = key.get(8..16).and_then(|n| n.try_into().ok()).map(u64::from_be_bytes);
        if n.is_some_and(|n| n <= upto) {
            drop_head(write, &key)?;
        }
    }
    Ok(())
}

/// Puts a recovered delivery among the sealed ones, to be offered again.
pub(super) fn offer_again(
    write: &Write,
    site: SiteId,
    delivery: Delivery,
) -> Result<(), StoreError> {
    let order = next_order(write, Table::Sealed, site)?;
    write.put(Table::Sealed, &order, &standing::cbor(&SealedDelivery::of(delivery)))
}

/// Sealed deliveries of a site that the hub has not echoed: id and key.
pub(super) fn waiting(
    write: &Write,
    site: SiteId,
) -> Result<BTreeMap<[u8; 32], Vec<u8>>, StoreError> {
    let mut found = BTreeMap::new();
    for (key, value) in write.under(Table::Sealed, &site.0)? {
        let sealed: SealedDelivery =
            minicbor::decode(&value).map_err(|wrong| unreadable(Table::Sealed, wrong))?;
        found.insert(sealed.id()?, key);
    }
    Ok(found)
}

/// A delivery of this device's, or one that it carries, found in the hub's log.
#[derive(Debug, Default)]
pub(super) struct Echo {
    /// Its documents.
    pub(super) docs: Vec<DocId>,
    /// Its changes, when it arrived after its key was revoked.
    pub(super) late: Vec<[u8; 32]>,
}

/// The hub's log has a delivery that was waiting: only now its entries are on the hub.
pub(super) fn echoed(
    write: &Write,
    site: SiteId,
    n: u64,
    key: &[u8],
    report: &mut Report,
) -> Result<Echo, StoreError> {
    let Some(value) = write.get(Table::Sealed, key)? else { return Ok(Echo::default()) };
    let sealed: SealedDelivery =
        minicbor::decode(&value).map_err(|wrong| unreadable(Table::Sealed, wrong))?;
    let delivery = sealed.delivery()?;
    put_head(write, n, &delivery)?;
    on_hub(write, site, &delivery, report)?;
    write.remove(Table::Sealed, key)?;
    report.echoed += 1;
    let late = take_late(write, &delivery)?;
    Ok(Echo { docs: delivery.docs.iter().map(|part| part.doc).collect(), late })
}

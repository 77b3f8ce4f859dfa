//! Packs in plain form: longer, and nothing to misread.

use minicbor::bytes::ByteVec;

use super::{PLAIN_BYTES_MAX, PackWrong};
use crate::exchange::delivery::{Delivery, DeliveryWrong, DocChanges, Head};
use crate::record::id::{HubId, SiteId};

type Plain = Vec<(ByteVec, ByteVec, Vec<Vec<ByteVec>>)>;

/// Packs deliveries without leaving anything out.
pub fn pack_plain(deliveries: &[&Delivery]) -> Vec<u8> {
    let plain: Plain = deliveries
        .iter()
        .map(|delivery| {
            let changes = delivery.docs.iter().map(|part| {
                part.changes.iter().map(|change| ByteVec::from(change.clone())).collect()
            });
            let signature = delivery.signature.to_vec().into();
            (delivery.head.to_bytes().into(), signature, changes.collect())
        })
        .collect();
    let mut bytes = vec![0];
    minicbor::encode(&plain, &mut bytes).expect("writing to memory does not fail");
    bytes
}

/// Reads what [`pack_plain`] wrote, without its leading zero.
pub(super) fn unpack_plain(
    bytes: &[u8],
    hub: HubId,
    site: SiteId,
) -> Result<Vec<Delivery>, PackWrong> {
    if bytes.len() > PLAIN_BYTES_MAX {
        return Err(PackWrong::Layout("more changes than a pack may hold"));
    }
    let plain: Plain =
        minicbor::decode(bytes).map_err(|_| PackWrong::Layout("it is not a plain pack"))?;
    let mut deliveries = vec![];
    for (head, signature, changes) in plain {
        let head = Head::from_bytes(&head)
            .map_err(|_| PackWrong::Layout("it holds something that is not a delivery"))?;
        if head.hub != hub || head.site != site {
            return Err(DeliveryWrong::Elsewhere.into());
        }
        if head.docs.len() != changes.len() {
            return Err(DeliveryWrong::Mixed.into());
        }
        let signature = <[u8; 64]>::try_from(signature.as_slice())
            .map_err(|_| PackWrong::Layout("a signature has another length"))?;
        let docs = head.docs.iter().zip(changes).map(|(part, changes)| DocChanges {
            doc: part.doc,
            changes: changes.into_iter().map(Vec::from).collect(),
        });
        let docs = docs.collect();
        deliveries.push(Delivery { head, signature, docs });
    }
    Ok(deliveries)
}

//! `quarantine`: changes that were refused.

use client_core::present::words::hex;
use client_core::record::doc_id::DocId;
use serde_json::json;

use crate::desk::Desk;
use crate::error::Trouble;

/// List changes that were refused, with the reason; they stop nothing else
#[derive(Debug, clap::Args)]
pub struct Args {}

pub(crate) fn run(_: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let found = desk.device()?.quarantine()?;
    let doc = |site, bytes: &[u8]| {
        DocId::from_bytes(site, bytes).map_or_else(|wrong| wrong.to_string(), |doc| doc.to_string())
    };
    if desk.ui.manners.json {
        let list: Vec<_> = found
            .iter()
            .map(|(site, hash, own)| {
                json!({
                    "document": doc(*site, &own.doc),
                    "change": hex(hash),
                    "reason": own.reason,
                    "words": own.words,
                    "device": own.device.map(|device| device.to_string()),
                    "bytes": own.bytes.len(),
                    "entered_again": own.reentered,
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    if found.is_empty() {
        return desk.ui.line("nothing is in quarantine");
    }
    for (site, hash, own) in &found {
        let from = own.device.map_or_else(|| "unknown device".to_owned(), client_core::record::id::DeviceId::short);
        let again = if own.reentered { "; its entries were entered again" } else { "" };
        let change: String = hex(hash).chars().take(12).collect();
        desk.ui.line(&format!("{change}  {} from {from}: {}{again}", doc(*site, &own.doc), own.words))?;
    }
    Ok(())
}

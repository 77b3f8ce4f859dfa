//! The bell: a device that is online hears which sites have news, and then exchanges.
//!
//! A signed `POST /bell/1`, enveloped like an exchange, is answered by `text/event-stream` that stays
//! open. Events: `here` once at the start, then `ring` with the sites that have news, their ids in text
//! form with spaces between. Lines that begin with a colon keep the connection alive and say nothing.

use minicbor::{Decode, Encode};

use crate::record::id::SiteId;

/// Path of the bell.
pub const PATH: &str = "/bell/1";
/// Most bytes of a request for the bell.
pub const REQUEST_BYTES_MAX: usize = 1024;
/// Name of the event that says that the bell hangs.
pub const HERE: &str = "here";
/// Name of the event that says which sites rang.
pub const RING: &str = "ring";

/// A request to hear the bell.
#[derive(Clone, Copy, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct BellAsk {
    /// The device's clock, seconds since 1970.
    #[n(0)]
    pub clock: i64,
}

/// Sites as an event's data.
pub fn data(sites: impl IntoIterator<Item = SiteId>) -> String {
    sites.into_iter().map(|site| site.to_string()).collect::<Vec<_>>().join(" ")
}

/// Sites of an event's data. What is not a site's id is of a newer hub and passed over.
pub fn sites(data: &str) -> Vec<SiteId> {
    data.split_ascii_whitespace().filter_map(|word| word.parse().ok()).collect()
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn sites_come_back() {
        let rang = vec![SiteId([7; 8]), SiteId([9; 8])];
        assert_eq!(sites(&data(rang.clone())), rang);
        assert_eq!(sites(&format!("{} and-more", data([SiteId([1; 8])]))), [SiteId([1; 8])]);
        assert_eq!(sites(""), []);
    }
}

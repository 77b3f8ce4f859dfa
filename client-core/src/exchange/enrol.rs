//! Joining a hub: a one-time code makes a key a person's.

use minicbor::{Decode, Encode};
use sha2::{Digest, Sha256};

use crate::record::code::Role;
use crate::record::id::{HubId, PersonId, SiteId};

/// Path of the enrolment.
pub const PATH: &str = "/enrol/1";
/// Most bytes of an enrolment request.
pub const REQUEST_BYTES_MAX: usize = 4 * 1024;
/// Characters of a code that is typed by hand.
pub const CODE_CHARS: usize = 8;

/// A request to join.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct EnrolAsk {
    /// The code as typed or out of the link.
    #[n(0)]
    pub code: String,
    /// The device's ed25519 key.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub key: [u8; 32],
    /// What the person calls the device.
    #[n(2)]
    pub label: String,
    /// The person's name, where the code is not bound to a person yet.
    #[n(3)]
    pub name: Option<String>,
    /// The key's signature over [`to_sign`].
    #[n(4)]
    #[cbor(with = "minicbor::bytes")]
    pub signature: [u8; 64],
}

/// The hub's reply.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct EnrolReply {
    /// The hub's installation.
    #[n(0)]
    pub hub: HubId,
    /// The hub's key: pin it.
    #[n(1)]
    #[cbor(with = "minicbor::bytes")]
    pub hub_key: [u8; 32],
    /// The person.
    #[n(2)]
    pub person: PersonId,
    /// The role.
    #[n(3)]
    pub role: Role,
    /// Sites; none means every site.
    #[n(4)]
    pub sites: Option<Vec<SiteId>>,
}

/// A code in its one form: lower case, no hyphens or spaces, look-alike letters read as digits.
pub fn tidy(code: &str) -> String {
    code.chars()
        .filter(|letter| !letter.is_whitespace() && *letter != '-')
        .map(|letter| match letter.to_ascii_lowercase() {
            'o' => '0',
            'i' | 'l' => '1',
            other => other,
        })
        .take(64)
        .collect()
}

/// A code as it is shown: in groups of four.
pub fn show(code: &str) -> String {
    let letters: Vec<char> = code.chars().collect();
    letters.chunks(4).map(|group| group.iter().collect::<String>()).collect::<Vec<_>>().join("-")
}

/// The bytes that the joining key signs.
pub fn to_sign(code: &str, key: &[u8; 32]) -> Vec<u8> {
    [b"dripleg enrol 1", tidy(code).as_bytes(), &[0], key].concat()
}

/// A hub key's fingerprint as it is read out and compared: sixteen letters in groups of four.
pub fn fingerprint(hub_key: &[u8; 32]) -> String {
    let digest = Sha256::new().chain_update(b"dripleg hub 1").chain_update(hub_key).finalize();
    show(&crate::record::id::encode(&digest[..10]))
}

/// Six digits that both screens show: they differ when somebody stands between.
pub fn check_number(hub_key: &[u8; 32], key: &[u8; 32]) -> String {
    let digest: [u8; 32] = Sha256::new()
        .chain_update(b"dripleg check 1")
        .chain_update(hub_key)
        .chain_update(key)
        .finalize()
        .into();
    let number = u32::from_be_bytes([digest[0], digest[1], digest[2], digest[3]]) % 1_000_000;
    format!("{:03} {:03}", number / 1_000, number % 1_000)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_code_is_read_however_it_is_typed() {
        assert_eq!(tidy(" K7o2-9iL1 "), "k7029111");
        assert_eq!(show("k7029111"), "k702-9111");
    }

    #[test]
    fn the_check_number_depends_on_both_keys() {
        assert_ne!(check_number(&[1; 32], &[2; 32]), check_number(&[1; 32], &[3; 32]));
        assert_eq!(check_number(&[1; 32], &[2; 32]).len(), 7);
        assert_eq!(fingerprint(&[1; 32]).len(), 19);
        assert_ne!(fingerprint(&[1; 32]), fingerprint(&[2; 32]));
    }
}

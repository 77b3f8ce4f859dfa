//! Which document: a site's, an appliance's, a visit's, or one unit's sheet of a visit.

use std::fmt;
use std::str::FromStr;

use crate::record::id::{ApplianceId, SiteId, VisitId};

/// What one document holds.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub enum DocKind {
    /// The company: people's roles and licenses, instruments, catalogue.
    Company,
    /// A site: customer, gas, areas, positions, the roster of appliances.
    Site,
    /// One appliance through all its years: plate, targets, status, advisories, tags, locks.
    Appliance(ApplianceId),
    /// The head of one visit: plan, crew, labour, sign-offs.
    Visit(VisitId),
    /// One appliance in one visit: readings, checks, findings, work, parts, notes.
    Sheet(VisitId, ApplianceId),
}

/// One automerge document. Documents never move between sites.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct DocId {
    /// The site it belongs to; the company's own site id for the company document.
    pub site: SiteId,
    /// What it holds.
    pub kind: DocKind,
    /// Part, from 1: a document that grows long is continued in the next part.
    pub part: u16,
}

/// Why bytes or a text do not name a document.
#[derive(Clone, Debug, PartialEq, Eq, thiserror::Error)]
#[error("'{0}' does not name a document")]
pub struct DocIdWrong(pub String);

impl DocId {
    /// The first part of a document.
    pub const fn new(site: SiteId, kind: DocKind) -> DocId {
        DocId { site, kind, part: 1 }
    }

    /// The same document's other part.
    #[must_use]
    pub const fn with_part(self, part: u16) -> DocId {
        DocId { part, ..self }
    }

    /// Bytes within the site: kind (1), ids (0, 8 or 16), part (2, only above 1).
    ///
    /// ```text
    /// 0 company | 1 site | 2 appliance id | 3 visit id | 4 visit id, appliance id   [part, big-endian]
    /// ```
    pub fn to_bytes(self) -> Vec<u8> {
        let mut out = Vec::with_capacity(19);
        match self.kind {
            DocKind::Company => out.push(0),
            DocKind::Site => out.push(1),
            DocKind::Appliance(appliance) => {
                out.push(2);
                out.extend_from_slice(&appliance.0);
            }
            DocKind::Visit(visit) => {
                out.push(3);
                out.extend_from_slice(&visit.0);
            }
            DocKind::Sheet(visit, appliance) => {
                out.push(4);
                out.extend_from_slice(&visit.0);
                out.extend_from_slice(&appliance.0);
            }
        }
        if self.part > 1 {
            out.extend_from_slice(&self.part.to_be_bytes());
        }
        out
    }

    /// Reads what [`DocId::to_bytes`] wrote; every document has exactly one form.
    pub fn from_bytes(site: SiteId, bytes: &[u8]) -> Result<DocId, DocIdWrong> {
        let wrong = || DocIdWrong(crate::record::id::encode(&bytes[..bytes.len().min(24)]));
        let (tag, rest) = bytes.split_first().ok_or_else(wrong)?;
        let ids = match tag {
            0 | 1 => 0,
            2 | 3 => 8,
            4 => 16,
            _ => return Err(wrong()),
        };
        if rest.len() < ids {
            return Err(wrong());
        }
        let (ids, part) = rest.split_at(ids);
        let eight = |at: usize| <[u8; 8]>::try_from(&ids[at..at + 8]).map_err(|_| wrong());
        let kind = match tag {
            0 => DocKind::Company,
            1 => DocKind::Site,
            2 => DocKind::Appliance(ApplianceId(eight(0)?)),
            3 => DocKind::Visit(VisitId(eight(0)?)),
            _ => DocKind::Sheet(VisitId(eight(0)?), ApplianceId(eight(8)?)),
        };
        let part = match part {
            [] => 1,
            [high, low] => u16::from_be_bytes([*high, *low]),
            _ => return Err(wrong()),
        };
        if part == 0 || (part == 1 && rest.len() != ids.len()) {
            return Err(wrong());
        }
        Ok(DocId { site, kind, part })
    }

    /// The appliance that this document is about, if it is about one.
    pub fn appliance(self) -> Option<ApplianceId> {
        match self.kind {
            DocKind::Appliance(appliance) | DocKind::Sheet(_, appliance) => Some(appliance),
            DocKind::Company | DocKind::Site | DocKind::Visit(_) => None,
        }
    }

    /// The visit that this document is about, if it is about one.
    pub fn visit(self) -> Option<VisitId> {
        match self.kind {
            DocKind::Visit(visit) | DocKind::Sheet(visit, _) => Some(visit),
            DocKind::Company | DocKind::Site | DocKind::Appliance(_) => None,
        }
    }
}

impl fmt::Display for DocId {
    fn fmt(&self, out: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(out, "{}/", self.site)?;
        match self.kind {
            DocKind::Company => out.write_str("company")?,
            DocKind::Site => out.write_str("site")?,
            DocKind::Appliance(appliance) => write!(out, "appliance/{appliance}")?,
            DocKind::Visit(visit) => write!(out, "visit/{visit}")?,
            DocKind::Sheet(visit, appliance) => write!(out, "sheet/{visit}/{appliance}")?,
        }
        if self.part > 1 { write!(out, "/{}", self.part) } else { Ok(()) }
    }
}

impl FromStr for DocId {
    type Err = DocIdWrong;

    fn from_str(text: &str) -> Result<DocId, DocIdWrong> {
        let wrong = || DocIdWrong(text.chars().take(80).collect());
        let mut words = text.split('/');
        let mut next = || words.next().ok_or_else(wrong);
        let site = next()?.parse().map_err(|_| wrong())?;
        let kind = match next()? {
            "company" => DocKind::Company,
            "site" => DocKind::Site,
            "appliance" => DocKind::Appliance(next()?.parse().map_err(|_| wrong())?),
            "visit" => DocKind::Visit(next()?.parse().map_err(|_| wrong())?),
            "sheet" => DocKind::Sheet(
                next()?.parse().map_err(|_| wrong())?,
                next()?.parse().map_err(|_| wrong())?,
            ),
            _ => return Err(wrong()),
        };
        let part = match words.next() {
            None => 1,
            Some(part) => part.parse().ok().filter(|part| *part > 1).ok_or_else(wrong)?,
        };
        if words.next().is_some() { Err(wrong()) } else { Ok(DocId { site, kind, part }) }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    fn all() -> Vec<DocId> {
        let site = SiteId([1; 8]);
        [
            DocKind::Company,
            DocKind::Site,
            DocKind::Appliance(ApplianceId([2; 8])),
            DocKind::Visit(VisitId([3; 8])),
            DocKind::Sheet(VisitId([3; 8]), ApplianceId([2; 8])),
        ]
        .into_iter()
        .flat_map(|kind| [1, 2, 700].map(|part| DocId { site, kind, part }))
        .collect()
    }

    #[test]
    fn bytes_and_text_go_there_and_back() {
        for doc in all() {
            assert_eq!(DocId::from_bytes(doc.site, &doc.to_bytes()), Ok(doc));
            assert_eq!(doc.to_string().parse(), Ok(doc));
        }
    }

    #[test]
    fn a_document_has_one_form_only() {
        let site = SiteId([1; 8]);
        for bytes in [&[][..], &[0, 0, 0], &[0, 0, 1], &[2, 1], &[9], &[0, 1], &[4; 40]] {
            assert!(DocId::from_bytes(site, bytes).is_err(), "{bytes:?}");
        }
        assert!("x/site".parse::<DocId>().is_err());
        assert!(format!("{site}/site/1").parse::<DocId>().is_err());
    }
}

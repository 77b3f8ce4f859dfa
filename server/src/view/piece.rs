//! Pieces of a first exchange: documents of today's visits, then rows of everything.

use std::collections::BTreeSet;

use client_core::exchange::frame::Whole;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::id::{ApplianceId, SiteId, VisitId};
use client_core::record::row;
use client_core::record::value::Day;
use client_core::store::{Get, Pair, StoreError, Table, doc_table};

use super::View;

/// Where a first exchange goes on.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Cursor {
    /// Documents of today's visits, from the n-th on.
    Today(u32),
    /// Rows, from behind a key.
    Rows(Vec<u8>),
}

/// A piece of a first exchange.
#[derive(Debug, Default)]
pub struct Piece {
    /// Whole documents.
    pub docs: Vec<Whole>,
    /// Rows.
    pub rows: Vec<Pair>,
    /// Where to go on.
    pub next: Option<Cursor>,
    /// About how many pieces are left.
    pub left: u64,
}

impl Cursor {
    /// Reads a cursor; an empty or foreign one begins.
    pub fn read(bytes: &[u8]) -> Cursor {
        match bytes.split_first() {
            Some((1, key)) => Cursor::Rows(key.to_vec()),
            Some((0, at)) => {
                Cursor::Today(at.try_into().map(u32::from_be_bytes).unwrap_or_default())
            }
            _ => Cursor::Today(0),
        }
    }

    /// Writes a cursor.
    pub fn write(&self) -> Vec<u8> {
        match self {
            Cursor::Today(at) => [&[0][..], &at.to_be_bytes()].concat(),
            Cursor::Rows(key) => [&[1][..], key].concat(),
        }
    }
}

impl View {
    /// The next piece of a first exchange: documents of today's visits, then rows of everything.
    pub fn piece(
        &mut self,
        site: SiteId,
        cursor: &Cursor,
        today: i32,
        most: usize,
    ) -> Result<Piece, StoreError> {
        match cursor {
            Cursor::Today(at) => self.today(site, *at, Day(today), most),
            Cursor::Rows(key) => self.rows_after(site, key, most),
        }
    }

    fn today(
        &mut self,
        site: SiteId,
        at: u32,
        today: Day,
        most: usize,
    ) -> Result<Piece, StoreError> {
        let docs = self.docs_of_today(site, today)?;
        let mut piece = Piece::default();
        let mut bytes = 0;
        let from = usize::try_from(at).unwrap_or(usize::MAX).min(docs.len());
        let mut next = from;
        for doc in &docs[from..] {
            if bytes > most {
                break;
            }
            for whole in self.wholes(*doc)? {
                bytes += weight(&whole);
                piece.docs.push(whole);
            }
            next += 1;
        }
        let more = next < docs.len();
        piece.next = Some(match more {
            true => Cursor::Today(u32::try_from(next).unwrap_or(u32::MAX)),
            false => Cursor::Rows(vec![]),
        });
        piece.left = 1 + self.rows_left(site, &[])? / 1_000;
        Ok(piece)
    }

    /// The site itself, then today's visits with their sheets and appliances; then whatever holds something
    /// that arrived before what it builds on, which no row tells of.
    fn docs_of_today(&self, site: SiteId, today: Day) -> Result<Vec<DocId>, StoreError> {
        let read = self.store.read()?;
        let mut docs = vec![DocId::new(site, DocKind::Site)];
        let prefix = row::visit_key(site, None);
        for (key, value) in read.under(Table::Rows, &prefix)? {
            let visit: Option<row::VisitRow> = row::decode(&value);
            let id = VisitId::from_slice(&key[prefix.len()..]);
            let (Some(visit), Some(id)) = (visit, id) else { continue };
            if visit.day != Some(today) {
                continue;
            }
            docs.push(DocId::new(site, DocKind::Visit(id)));
            let sheets = row::sheet_key(site, id, None);
            for (key, _) in read.under(Table::Rows, &sheets)? {
                if let Some(appliance) = ApplianceId::from_slice(&key[sheets.len()..]) {
                    docs.push(DocId::new(site, DocKind::Sheet(id, appliance)));
                    docs.push(DocId::new(site, DocKind::Appliance(appliance)));
                }
            }
        }
        let waiting = doc_table::with_parked(&read, site)?;
        docs.extend(waiting);
        let mut seen = BTreeSet::new();
        docs.retain(|doc| seen.insert(*doc));
        Ok(docs)
    }

    fn rows_after(&self, site: SiteId, key: &[u8], most: usize) -> Result<Piece, StoreError> {
        let read = self.store.read()?;
        let mut piece = Piece::default();
        let mut bytes = 0;
        for kind in 1..=5u8 {
            let prefix = [&[kind][..], &site.0].concat();
            if key.first().is_some_and(|done| *done > kind) {
                continue;
            }
            let from = match key.first() {
                // Behind the key itself.
                Some(same) if *same == kind => [key, &[0]].concat(),
                _ => prefix.clone(),
            };
            let end = client_core::store::after(&prefix);
            let mut full = false;
            read.scan(Table::Rows, &from, end.as_deref(), &mut |key, value| {
                bytes += key.len() + value.len();
                piece.rows.push((key.to_vec(), value.to_vec()));
                // Rows squeeze to about a fifth.
                full = bytes > most * 4;
                !full
            })?;
            if full {
                let last = piece.rows.last().map(|(key, _)| key.clone()).unwrap_or_default();
                piece.left = self.rows_left(site, &last)? / 1_000;
                piece.next = Some(Cursor::Rows(last));
                return Ok(piece);
            }
        }
        Ok(piece)
    }

    fn rows_left(&self, site: SiteId, key: &[u8]) -> Result<u64, StoreError> {
        let read = self.store.read()?;
        let mut left = 0;
        for kind in 1..=5u8 {
            if key.first().is_none_or(|done| *done <= kind) {
                left += read.count(Table::Rows, &[&[kind][..], &site.0].concat())?;
            }
        }
        Ok(left)
    }
}

/// What a whole document weighs in a reply.
pub fn weight(whole: &Whole) -> usize {
    let waiting = whole.waiting.iter().flatten();
    whole.saved.len() + waiting.map(|change| change.len()).sum::<usize>()
}

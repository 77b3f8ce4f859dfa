//! Folding what has arrived into the view, behind the replies.

use client_core::record::id::SiteId;

use super::{Hub, Turn};
use crate::log::{Arrival, LogError};

impl Hub {
    /// Folds everything that has arrived into the view, and notes in the log what its gate refused.
    pub fn fold(&mut self) -> Result<(), Turn> {
        while self.fold_step()? {}
        Ok(())
    }

    /// Folds a piece, so that requests in between do not wait long. Says whether more is left.
    pub fn fold_step(&mut self) -> Result<bool, Turn> {
        let Some(site) = self.next_behind()? else { return Ok(false) };
        if !self.fold_piece(site)? {
            self.behind.get_or_insert_default().remove(&site);
        }
        Ok(self.behind.as_ref().is_some_and(|behind| !behind.is_empty()))
    }

    /// Folds one site, and the company's log first: certificates say who signs for the rest.
    pub fn fold_site(&mut self, site: SiteId) -> Result<(), Turn> {
        for site in [self.identity.company(), site] {
            while self.fold_piece(site)? {}
        }
        Ok(())
    }

    /// How many arrivals the view has not folded yet.
    pub fn lag(&mut self) -> Result<u64, Turn> {
        let mut lag = 0;
        self.next_behind()?;
        for site in self.behind.iter().flatten() {
            let folded = self.view.place(*site)?.map_or(0, |place| place.n);
            lag += self.log.end(*site)?.n.saturating_sub(folded);
        }
        Ok(lag)
    }

    /// A site that has something to fold. At the start every site may have.
    fn next_behind(&mut self) -> Result<Option<SiteId>, LogError> {
        if self.behind.is_none() {
            let sites = self.log.sites()?;
            self.sites = u64::try_from(sites.len()).unwrap_or_default();
            self.behind = Some(sites.into_iter().map(|(site, _)| site).collect());
        }
        let company = self.identity.company();
        let behind = self.behind.get_or_insert_default();
        Ok(behind.get(&company).or_else(|| behind.first()).copied())
    }

    /// Folds a piece of a site; says whether more is left.
    fn fold_piece(&mut self, site: SiteId) -> Result<bool, Turn> {
        if self.view.fold(self.log.as_ref(), &self.access, site)? {
            return Ok(true);
        }
        // Only at the end of the log it is known which refusals it does not tell of yet.
        let refused = self.view.unnoted(site)?;
        if refused.is_empty() {
            return Ok(false);
        }
        self.totals.refused += u64::try_from(refused.len()).unwrap_or_default();
        let notes: Vec<Arrival> =
            refused.into_iter().map(|refusal| self.refusal(site, refusal)).collect();
        self.append_notes(site, notes)?;
        Ok(true)
    }
}

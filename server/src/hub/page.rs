//! The pages' side of the hub: who works there, what they may see, what they may do.
//!
//! A person's pages write under a key of that person which the hub derives from its own: see
//! `docs/decisions`. Its certificate stands in the company's log like any device's, so everybody who
//! reads an entry judges it by the same rules, and revoking it works the same way.

use std::collections::BTreeMap;

use client_core::device::{Opened, Wanted};
use client_core::exchange::delivery::device_id;
use client_core::exchange::frame::PersonRow;
use client_core::exchange::note::Certificate;
use client_core::record::code::Role;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::file::Papers;
use client_core::record::id::{DeviceId, PersonId, SiteId, VisitId};
use client_core::record::row::{self, SiteRow};
use client_core::store::{Get, Table};

use super::{Hub, Turn, people};
use crate::access::account::{Account, tidy};
use crate::access::{CodeWrong, StoredCode};

/// What a page key is called in lists of devices.
pub const LABEL: &str = "review pages";

/// Who works on the pages, as their page key's certificate says at this moment.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Acting {
    /// Their page key, as a device.
    pub device: DeviceId,
    /// The person.
    pub person: PersonId,
    /// Their role.
    pub role: Role,
    /// Their sites; none means every site.
    pub sites: Option<Vec<SiteId>>,
    /// Which of their page keys it is.
    pub round: u32,
}

/// What somebody wants who comes with a one-time code.
#[derive(Clone, Debug)]
pub struct Joining {
    /// The code.
    pub code: String,
    /// The person's name, where the code is not bound to a person yet.
    pub name: Option<String>,
    /// The name to sign in with.
    pub sign_in: String,
    /// What the password comes to.
    pub secret: String,
}

impl Hub {
    /// Makes an account by a one-time code: the page key becomes the person's. A person who had an
    /// account gets a new password.
    pub fn join_pages(
        &mut self,
        now: i64,
        from: &str,
        joining: &Joining,
    ) -> Result<Account, CodeWrong> {
        let sign_in = tidy(&joining.sign_in).ok_or(CodeWrong::SignInName)?;
        let bound = self.access.code_person(&joining.code)?;
        let person = bound.unwrap_or_else(|| {
            let mut id = [0; 8];
            (self.random)(&mut id);
            PersonId(id)
        });
        let round = self.next_round(person);
        let key = self.identity.page_key(person, round).verifying_key().to_bytes();
        let code = self.access.code(now, from, &joining.code, &key)?;
        let role = code.role;
        if !matches!(role, Role::Supervisor | Role::Office) {
            return Err(CodeWrong::NotForPages);
        }
        let taken = self.access.account(&sign_in)?;
        if taken.is_some_and(|taken| taken.person != person) {
            return Err(CodeWrong::SignInTaken);
        }
        let name = joining.name.as_deref().and_then(people::name);
        if bound.is_none() && name.is_none() {
            return Err(CodeWrong::NameNeeded);
        }
        if bound.is_none() {
            let row = PersonRow { person, name, contact: None, licence: None };
            self.access.put_people(&[row])?;
        }
        let code = self.access.use_code(&joining.code, &code, &key, person)?;
        self.certify_page(now, key, person, &code)?;
        let secret = joining.secret.clone();
        let account = Account { sign_in, person, secret, round, made: now };
        self.access.put_account(&account)?;
        self.access.note(now, Some(person), "joined the pages", from)?;
        Ok(account)
    }

    /// The page key of a person that is in use or comes next: the first that was not revoked.
    fn next_round(&self, person: PersonId) -> u32 {
        let revoked = |round: &u32| {
            let key = self.identity.page_key(person, *round).verifying_key().to_bytes();
            self.access.device(device_id(&key)).is_some_and(|known| known.revoked.is_some())
        };
        (0..u32::MAX).find(|round| !revoked(round)).unwrap_or(u32::MAX)
    }

    fn certify_page(
        &mut self,
        now: i64,
        key: [u8; 32],
        person: PersonId,
        code: &StoredCode,
    ) -> Result<(), CodeWrong> {
        let known = self.access.device(device_id(&key)).map(|known| known.certificate.clone());
        let given = known.as_ref().map_or(now, |known| now.max(known.given.saturating_add(1)));
        let (role, sites, label) = (code.role, code.sites.clone(), LABEL.to_owned());
        let same = known.is_some_and(|known| known.role == role && known.sites == sites);
        if !same {
            let note = self.certificate(Certificate { key, person, role, sites, label, given });
            self.append_notes(self.identity.company(), vec![note])?;
        }
        Ok(())
    }

    /// Who an account stands for now. `made` tells which password the session was begun with.
    pub fn acting(&self, sign_in: &str, made: i64) -> Result<Acting, Turn> {
        let account = self.access.account(sign_in)?.filter(|account| account.made == made);
        let account = account.ok_or(Turn::Unknown)?;
        let key = self.identity.page_key(account.person, account.round).verifying_key().to_bytes();
        let device = device_id(&key);
        let certificate = &self.standing(device)?.certificate;
        Ok(Acting {
            device,
            person: certificate.person,
            role: certificate.role,
            sites: certificate.sites.clone(),
            round: account.round,
        })
    }

    /// Whether somebody on the pages may see a site.
    pub fn may_see(&self, acting: &Acting, site: SiteId) -> bool {
        let known = self.access.device(acting.device);
        known.is_some_and(|known| known.may(site, self.identity.company()))
            && site != self.identity.company()
    }

    /// Sites that somebody may see, with their rows, by name.
    pub fn sites_seen(&mut self, acting: &Acting) -> Result<Vec<(SiteId, SiteRow)>, Turn> {
        self.fold_a_little()?;
        let read = self.view.store().read()?;
        let mut found = vec![];
        read.scan(Table::Rows, &[1], Some(&[2]), &mut |key, value| {
            let site = key.get(1..).and_then(SiteId::from_slice);
            found.extend(site.zip(row::decode::<SiteRow>(value)));
            true
        })?;
        found.retain(|(site, _)| self.may_see(acting, *site));
        found.sort_by(|one, other| (&one.1.name, one.0).cmp(&(&other.1.name, other.0)));
        Ok(found)
    }

    /// Folds what has arrived, as much as a page may wait for.
    fn fold_a_little(&mut self) -> Result<(), Turn> {
        for _ in 0..8 {
            if !self.fold_step()? {
                break;
            }
        }
        Ok(())
    }

    /// A visit, laid out of everything that has arrived; none when there is no such visit to see.
    pub fn visit_seen(
        &mut self,
        acting: &Acting,
        site: SiteId,
        visit: VisitId,
    ) -> Result<Option<Opened<'_>>, Turn> {
        if !self.may_see(acting, site) {
            return Ok(None);
        }
        self.fold_site(site)?;
        let company = self.identity.company();
        Ok(self.view.open_visit(Wanted { company, site, visit, only: None })?)
    }

    /// Whether a supervisor's signature stands under a visit.
    pub fn released(&mut self, site: SiteId, visit: VisitId) -> Result<bool, Turn> {
        self.fold_site(site)?;
        let company = self.identity.company();
        let opened = self.view.open_visit(Wanted { company, site, visit, only: None })?;
        Ok(opened.is_some_and(|opened| opened.file().signed().released))
    }

    /// A document as far as somebody may see it.
    pub fn doc_seen(&mut self, acting: &Acting, doc: DocId) -> Result<Option<Papers<'_>>, Turn> {
        let company = doc.site == self.identity.company() && doc.kind == DocKind::Company;
        if !company && !self.may_see(acting, doc.site) {
            return Ok(None);
        }
        self.fold_site(doc.site)?;
        Ok(self.view.read_doc(doc)?)
    }

    /// The company's own document.
    pub const fn company_doc(&self) -> DocId {
        DocId::new(self.identity.company(), DocKind::Company)
    }

    /// Names of everybody in the directory.
    pub fn names(&self) -> Result<BTreeMap<PersonId, PersonRow>, Turn> {
        let page = self.access.people_after(0, usize::MAX)?;
        Ok(page.rows.into_iter().map(|row| (row.person, row)).collect())
    }
}

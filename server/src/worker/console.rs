//! What the console asks of the worker.

use std::sync::Arc;

use client_core::record::code::Role;
use client_core::store::Store;

use super::{ConsoleJob, ConsoleWrong, NewCode, Snapshot, Worker, Wrong};
use crate::access::{CODE_SECONDS, CodeFor};
use crate::folder::Opened;
use crate::hub::Hub;
use crate::log::redb::RedbLog;

impl Worker {
    /// What the console asks.
    pub(super) fn console(&mut self, job: ConsoleJob) {
        match job {
            ConsoleJob::Code { another, answer } => {
                let code = self.guarded(|hub, now| supervisors_code(hub, now, another));
                drop(answer.send(code));
            }
            ConsoleJob::Snapshot { answer } => {
                let snapshot = match &self.opened {
                    Some(opened) => opened.store.read().map_err(|wrong| Wrong::Turn(wrong.into())),
                    None => Err(Wrong::Closed),
                };
                let store = self.opened.as_ref().map(|opened| Arc::clone(&opened.store));
                let snapshot = snapshot.and_then(|read| {
                    store.map(|store| Snapshot { read, _store: store }).ok_or(Wrong::Closed)
                });
                drop(answer.send(snapshot.map(Box::new)));
            }
            ConsoleJob::BackedUp { ends, answer } => {
                let noted = match &self.opened {
                    Some(opened) => RedbLog::note_backup(&opened.store, &ends)
                        .map_err(|wrong| Wrong::Turn(wrong.into())),
                    None => Err(Wrong::Closed),
                };
                drop(answer.send(noted));
            }
            ConsoleJob::Compact { answer } => {
                let outcome = self.compact();
                drop(answer.send(outcome));
            }
        }
    }

    /// Gives unused pages of both stores back. The hub is closed for it, and opened again.
    fn compact(&mut self) -> Result<(), ConsoleWrong> {
        let Some(opened) = self.opened.take() else { return Err(ConsoleWrong::Closed) };
        self.totals = opened.hub.totals();
        let Opened { hub, store, view_store, .. } = opened;
        drop(hub);
        let compact = |store: Arc<Store>| match Arc::try_unwrap(store) {
            Ok(mut store) => store.compact().map(drop).map_err(ConsoleWrong::Store),
            // A backup is reading it.
            Err(_) => Err(ConsoleWrong::InUse),
        };
        let outcome = compact(view_store).and_then(|()| compact(store));
        self.open(false);
        outcome
    }
}

/// A code for a supervisor, from whoever sits at the console.
pub(crate) fn supervisors_code(hub: &mut Hub, now: i64, another: bool) -> Result<NewCode, Wrong> {
    if hub.access().supervisors() > 0 && !another {
        return Ok(NewCode::NotNeeded);
    }
    let mut random = [0; 24];
    hub.fill(&mut random);
    let what = CodeFor { person: None, role: Role::Supervisor, sites: None, by: None };
    let issued = hub.access().issue(now, what, &random);
    let (code, token) = issued.map_err(|wrong| Wrong::Turn(wrong.into()))?;
    Ok(NewCode::Code { code, token, until: now + CODE_SECONDS })
}

//! One file for each verb.

use crate::args::{Command, dispatch};
use crate::desk::Desk;
use crate::error::Trouble;

pub mod readings;

macro_rules! files {
    ($($name:ident)*) => { $(pub mod $name;)* };
}

files! {
    adjust advise answer area ask blockers calc catalogue check claim close completions
    contradictions correct crew device draft event except exchange export fault finding found gas_part
    here history instrument join labour left lines list lock man note part pattern person photo
    pictures plan position quarantine query read release reopen reply report review set settle show shut_down sign site
    status symptom target told unit unlock vouch whereis wish withdraw words work
}

/// Carries a command out.
pub(crate) fn run(command: Command, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    dispatch(command, desk)
}

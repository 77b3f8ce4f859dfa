//! `draft`: what was typed and not done.

use client_core::record::value::Moment;
use serde_json::json;

use crate::args;
use crate::desk::Desk;
use crate::draft::{Draft, quoted};
use crate::error::Trouble;
use crate::ui::Tone;

/// List, resume or drop what was typed and not done
#[derive(Debug, clap::Args)]
pub struct Args {
    #[command(subcommand)]
    what: What,
}

#[derive(Debug, clap::Subcommand)]
enum What {
    /// List drafts
    List,
    /// Go on with a draft: what is typed behind its name is added to it; a KEY=VALUE takes the place of
    /// an earlier one of the same KEY
    Resume {
        /// The draft
        name: String,
        /// What to add: --because "...", another value
        #[arg(trailing_var_arg = true, allow_hyphen_values = true)]
        more: Vec<String>,
    },
    /// Drop a draft
    Drop {
        /// The draft
        name: String,
    },
}

fn read(desk: &mut Desk<'_>, name: &str) -> Result<Draft, Trouble> {
    let bytes = desk.device()?.draft(name)?.ok_or_else(|| no_such(name))?;
    Draft::read(&bytes).ok_or_else(|| {
        Trouble::State(format!("draft '{name}' was not made by this program; it stays as it is"))
    })
}

fn no_such(name: &str) -> Trouble {
    let name: String = name.chars().take(60).collect();
    Trouble::State(format!("there is no draft '{name}'; `dripleg draft list` shows what there is"))
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    match &args.what {
        What::List => list(desk),
        What::Resume { name, more } => resume(desk, name, more),
        What::Drop { name } => {
            if desk.device()?.draft(name)?.is_none() {
                return Err(no_such(name));
            }
            desk.device()?.drop_draft(name)?;
            desk.ui.talk(Tone::Dim, &format!("draft {name} is dropped"));
            Ok(())
        }
    }
}

fn list(desk: &mut Desk<'_>) -> Result<(), Trouble> {
    let mut drafts = vec![];
    for name in desk.device()?.drafts()? {
        let bytes = desk.device()?.draft(&name)?.unwrap_or_default();
        drafts.push((name, Draft::read(&bytes)));
    }
    drafts.sort_by_key(|(name, _)| (name.parse::<u32>().unwrap_or(u32::MAX), name.clone()));
    let offset_min = desk.now().offset_min;
    if desk.ui.manners.json {
        let list: Vec<_> = drafts
            .iter()
            .map(|(name, draft)| {
                json!({
                    "name": name,
                    "typed": draft.as_ref().map(|draft| draft.typed.clone()),
                    "at": draft.as_ref().map(|draft| Moment { secs: draft.at, offset_min }.to_string()),
                    "why": draft.as_ref().map(|draft| draft.why.clone()),
                })
            })
            .collect();
        return desk.ui.json(&json!(list));
    }
    for (name, draft) in drafts {
        match draft {
            Some(draft) => {
                let at = Moment { secs: draft.at, offset_min };
                desk.ui.line(&format!("{name}  dripleg {}", quoted(&draft.typed)))?;
                desk.ui.toned(Tone::Dim, &format!("    {} {}: {}", at.day(), at.clock(), draft.why))?;
            }
            None => desk.ui.line(&format!("{name}  made by another program"))?,
        }
    }
    Ok(())
}

/// What was typed with more behind it. A value typed again takes the place of the earlier one.
fn joined(typed: &[String], more: &[String]) -> Vec<String> {
    let key = |word: &str| {
        let (key, _) = word.split_once('=')?;
        (!key.starts_with('-')).then(|| key.to_owned())
    };
    let again: Vec<String> = more.iter().filter_map(|word| key(word)).collect();
    let stays = |word: &&String| key(word).is_none_or(|key| !again.contains(&key));
    typed.iter().filter(stays).chain(more).cloned().collect()
}

fn resume(desk: &mut Desk<'_>, name: &str, more: &[String]) -> Result<(), Trouble> {
    let draft = read(desk, name)?;
    let typed = joined(&draft.typed, more);
    let argv = std::iter::once("dripleg".to_owned()).chain(typed.clone()).map(Into::into);
    let (cli, _) = args::parse(argv.collect())
        .map_err(|wrong| Trouble::Usage(wrong.render().to_string().trim().to_owned()))?;
    if desk.resuming.is_some() {
        return Err(Trouble::Usage("a draft does not resume another draft".to_owned()));
    }
    desk.resuming = Some(name.to_owned());
    let code = desk.carry_out(cli.command, &typed);
    desk.resuming = None;
    match code {
        0 => {
            desk.device()?.drop_draft(name)?;
            Ok(())
        }
        2 => Err(Trouble::Usage(format!("draft {name} stays"))),
        _ => Err(Trouble::State(format!("draft {name} stays"))),
    }
}

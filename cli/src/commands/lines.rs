//! `lines`: many commands in one run of the program.

use crate::args;
use crate::desk::{Desk, file_wrong};
use crate::error::Trouble;
use crate::ui::Tone;

/// Read commands from a file or from standard input, one a line, without `dripleg`
///
/// All of them run in one session, which packs better than one run of the program for each entry. Quotes
/// work as in a shell, a line that begins with # is a remark. It stops at the first line that is not
/// done, unless --go-on is given.
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The file; standard input without one
    file: Option<std::path::PathBuf>,
    /// Go on after a line that is not done
    #[arg(long)]
    go_on: bool,
}

/// How deep files of commands may call others.
const DEPTH_MAX: u8 = 4;

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if desk.depth >= DEPTH_MAX {
        return Err(Trouble::Usage("files of commands call each other too deep".to_owned()));
    }
    let (name, text) = match &args.file {
        Some(file) => {
            let text = std::fs::read_to_string(file)
                .map_err(|wrong| file_wrong(file, "read", &wrong))?;
            (file.display().to_string(), text)
        }
        None => ("standard input".to_owned(), desk.ui.read_all()?),
    };
    desk.depth += 1;
    let outcome = each(desk, &name, &text, args.go_on);
    desk.depth -= 1;
    outcome
}

fn each(desk: &mut Desk<'_>, name: &str, text: &str, go_on: bool) -> Result<(), Trouble> {
    let mut not_done = 0_usize;
    for (at, line) in text.lines().enumerate() {
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') {
            continue;
        }
        let code = one(desk, line);
        if code != 0 {
            not_done += 1;
            let says = format!("{name}, line {}: not done", at + 1);
            desk.ui.talk(Tone::Stop, &says);
            if !go_on {
                return Err(Trouble::State(format!("stopped at line {}", at + 1)));
            }
        }
    }
    match not_done {
        0 => Ok(()),
        several => Err(Trouble::State(format!("{several} lines were not done"))),
    }
}

fn one(desk: &mut Desk<'_>, line: &str) -> u8 {
    let Some(typed) = shlex::split(line) else {
        desk.ui.talk(Tone::Stop, "a quote is opened and not closed");
        return 2;
    };
    let argv = std::iter::once("dripleg".to_owned()).chain(typed.clone()).map(Into::into);
    match args::parse(argv.collect()) {
        Ok((cli, _)) => desk.carry_out(cli.command, &typed),
        Err(wrong) => {
            desk.ui.talk(Tone::Stop, wrong.render().to_string().trim());
            2
        }
    }
}

//! `lines`: many commands in one run of the program.

use crate::args;
use crate::desk::{Desk, file_wrong};
use crate::error::Trouble;
use crate::ui::Tone;

/// Read commands from a file or from standard input, one a line, without `dripleg`
///
/// All of them run in one session, which packs better than one run of the program for each entry: leave it
/// open while you work. Quotes work as in a shell, a line that begins with # is a remark. It stops at the
/// first line that is not done, unless --go-on is given or a person types.
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
    desk.depth += 1;
    let outcome = match &args.file {
        Some(file) => of_file(desk, file, args.go_on),
        None => of_input(desk, args.go_on),
    };
    desk.depth -= 1;
    outcome
}

fn of_file(desk: &mut Desk<'_>, file: &std::path::Path, go_on: bool) -> Result<(), Trouble> {
    let text = std::fs::read_to_string(file).map_err(|wrong| file_wrong(file, "read", &wrong))?;
    let mut count = Count { name: file.display().to_string(), go_on, at: 0, not_done: 0 };
    for line in text.lines() {
        count.line(desk, line)?;
    }
    count.end()
}

/// Lines as they come, so that a person or a program may type one after the other.
fn of_input(desk: &mut Desk<'_>, go_on: bool) -> Result<(), Trouble> {
    // A person sees at once what was not done and types it again.
    let go_on = go_on || desk.ui.asks();
    let mut count = Count { name: "standard input".to_owned(), go_on, at: 0, not_done: 0 };
    while let Some(line) = desk.ui.read_line()? {
        count.line(desk, &line)?;
    }
    count.end()
}

struct Count {
    name: String,
    go_on: bool,
    at: usize,
    not_done: usize,
}

impl Count {
    fn line(&mut self, desk: &mut Desk<'_>, line: &str) -> Result<(), Trouble> {
        self.at += 1;
        let line = line.trim();
        if line.is_empty() || line.starts_with('#') || one(desk, line) == 0 {
            return Ok(());
        }
        self.not_done += 1;
        desk.ui.talk(Tone::Stop, &format!("{}, line {}: not done", self.name, self.at));
        if self.go_on {
            return Ok(());
        }
        Err(Trouble::State(format!("stopped at line {}", self.at)))
    }

    fn end(self) -> Result<(), Trouble> {
        match self.not_done {
            0 => Ok(()),
            several => Err(Trouble::State(format!("{several} lines were not done"))),
        }
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

//! `man`: the manual page, and the reference in Markdown.

use std::fmt::Write as _;

use client_core::present::plain;

use crate::args;
use crate::desk::Desk;
use crate::error::Trouble;

/// Print the manual page
#[derive(Debug, clap::Args)]
pub struct Args {
    /// The page of this command; without one that of the program
    command: Vec<String>,
    /// The whole reference in Markdown instead
    #[arg(long, conflicts_with = "command")]
    markdown: bool,
}

pub(crate) fn run(args: &Args, desk: &mut Desk<'_>) -> Result<(), Trouble> {
    if args.markdown {
        return desk.ui.raw(&markdown());
    }
    let mut command = args::command();
    command.build();
    for word in &args.command {
        let found = command.find_subcommand(word).cloned();
        command = found.ok_or_else(|| Trouble::Usage(format!("there is no command '{word}'")))?;
    }
    let mut page = vec![];
    clap_mangen::Man::new(command).render(&mut page)?;
    desk.ui.raw(&String::from_utf8_lossy(&page))
}

/// The reference of every command in Markdown, as `docs/cli.md` keeps it.
pub fn markdown() -> String {
    let mut command = args::command();
    command.build();
    let mut text = String::from(
        "# The command line\n\nMade by `dripleg man --markdown`; a test keeps it true.\nExit codes: 0 \
         done, 1 not done, 2 the command line cannot be read.\nData goes to standard output, everything \
         else to standard error.\n",
    );
    section(&mut text, &mut command, "dripleg", 2);
    text
}

fn section(text: &mut String, command: &mut clap::Command, name: &str, depth: usize) {
    let hashes = "#".repeat(depth.min(4));
    let help = command.render_long_help().to_string();
    let help: Vec<&str> = help.lines().map(str::trim_end).collect();
    let help = plain::paragraph(help.join("\n").trim_end());
    writeln!(text, "\n{hashes} {name}\n\n```text\n{help}\n```").expect("writing to memory does not fail");
    let names: Vec<String> =
        command.get_subcommands().map(|own| own.get_name().to_owned()).collect();
    for own in names {
        if let Some(sub) = command.find_subcommand_mut(&own) {
            section(text, sub, &format!("{name} {own}"), depth + 1);
        }
    }
}

//! The program's commands: one file each. Exit codes: 0 done, 1 not done, 2 the command line or the
//! settings are wrong.

mod backup;
mod check;
mod code;
mod compact;
mod config;
mod restore;
mod run;

use std::ffi::OsString;
use std::io::Write;
use std::path::{Path, PathBuf};
use std::process::ExitCode;

use clap::{Arg, ArgAction, ArgMatches, Command, value_parser};

use crate::config::table::{Kind, SETTINGS};
use crate::config::{AllFound, ConfigWrong, Settings, file};
use crate::folder::Folder;
use crate::serve::console::{Said, ask};

/// What a command came to.
enum Outcome {
    /// Done; these lines are printed.
    Done(Vec<String>),
    /// Not done; why.
    Failed(String),
}

/// Runs the program.
pub fn main(arguments: impl IntoIterator<Item = OsString>) -> ExitCode {
    let matches = match command().try_get_matches_from(arguments) {
        Ok(matches) => matches,
        Err(wrong) => {
            let failed = wrong.use_stderr();
            drop(wrong.print());
            return if failed { ExitCode::from(2) } else { ExitCode::SUCCESS };
        }
    };
    let (name, own) = matches.subcommand().unwrap_or(("run", &matches));
    let read = read(&matches, own).and_then(|all| Settings::of(&all).map(|set| (all, set)));
    let (all, settings) = match read {
        Ok(read) => read,
        Err(wrong) => {
            complain(&wrong.to_string());
            return ExitCode::from(2);
        }
    };
    let folder = Folder::new(settings.folder.clone(), settings.cache_bytes);
    let path = |id: &str| own.get_one::<PathBuf>(id).cloned().unwrap_or_default();
    let outcome = match name {
        "backup" => backup::backup(&folder, &path("DIR")),
        "restore" => restore::restore(&folder, &path("DIR")),
        "check" => check::check(&folder),
        "code" => code::code(&folder, &settings, own.get_flag("another")),
        "compact" => compact::compact(&folder),
        "config" => config::config(&all),
        _ => run::run(&settings),
    };
    match outcome {
        Outcome::Done(lines) => {
            for line in &lines {
                say(line);
            }
            ExitCode::SUCCESS
        }
        Outcome::Failed(why) => {
            complain(&why);
            ExitCode::FAILURE
        }
    }
}

/// The command line.
pub fn command() -> Command {
    let dir = |help| {
        Arg::new("DIR")
            .value_name("DIR")
            .required(true)
            .value_parser(value_parser!(PathBuf))
            .help(help)
    };
    let another = Arg::new("another")
        .long("another")
        .action(ArgAction::SetTrue)
        .help("Make one though there is a supervisor already");
    let config = Arg::new("config")
        .long("config")
        .value_name("FILE")
        .global(true)
        .value_parser(value_parser!(PathBuf))
        .help("Settings file; dripleg-hub.toml in this folder when there is one");
    let command = Command::new("dripleg-hub")
        .version(env!("CARGO_PKG_VERSION"))
        .about("The hub where the halves of a record meet")
        .after_help(
            "Every setting is also an environment variable, like DRIPLEG_HUB_LISTEN, and a line of \
             the settings file, like listen = \"127.0.0.1:7317\". Flags go over variables, variables \
             over the file.",
        )
        .arg(config)
        .subcommand(Command::new("run").about("Run the hub (what happens without a command)"))
        .subcommand(
            Command::new("backup")
                .about("Copy the log as it stands, also while the hub runs, and check the copy")
                .arg(dir("Folder to make; it must not be there")),
        )
        .subcommand(
            Command::new("restore")
                .about("Bring a backup back into a folder that holds no hub")
                .arg(dir("Folder of the backup")),
        )
        .subcommand(Command::new("check").about(
            "Check the whole log: gaps, hashes, chains, signatures; also while the hub runs",
        ))
        .subcommand(
            Command::new("code")
                .about("Make a one-time code for the first supervisor")
                .arg(another),
        )
        .subcommand(Command::new("compact").about("Give unused room of the stores back"))
        .subcommand(Command::new("config").about("Print the settings in force, and where each is from"));
    SETTINGS.iter().fold(command, |command, one| {
        let what = match one.kind {
            Kind::Path => "PATH",
            Kind::Address => "ADDRESS",
            Kind::Text => "TEXT",
            Kind::Flag => "BOOL",
            Kind::Whole(..) => "N",
            Kind::Choice(_) => "WORD",
        };
        let default = if one.default.is_empty() { "none" } else { one.default };
        command.arg(
            Arg::new(one.key)
                .long(one.flag())
                .value_name(what)
                .global(true)
                .help_heading("Settings")
                .help(format!("{} [{default}]", one.what)),
        )
    })
}

/// The settings as they were found.
fn read(matches: &ArgMatches, own: &ArgMatches) -> Result<AllFound, ConfigWrong> {
    let named = own.get_one::<PathBuf>("config").or_else(|| matches.get_one("config")).cloned();
    let variable = |name: &str| std::env::var(name).ok().filter(|text| !text.is_empty());
    let named = named.or_else(|| variable("DRIPLEG_HUB_CONFIG").map(PathBuf::from));
    let flag = |key: &str| own.get_one::<String>(key).or_else(|| matches.get_one(key)).cloned();
    AllFound::read(file(named.as_deref()).as_deref(), &variable, &flag)
}

/// Asks the hub that runs in a folder; none when none runs there.
fn ask_running(folder: &Folder, line: &str) -> Option<Outcome> {
    let outcome = |said: Said| match said {
        Ok(lines) => Outcome::Done(lines),
        Err(why) => Outcome::Failed(why),
    };
    match ask(&folder.socket(), line) {
        Ok(said) => said.map(outcome),
        Err(wrong) => {
            let path = folder.socket();
            Some(Outcome::Failed(format!("{}: {wrong}", path.display())))
        }
    }
}

/// A path that means the same to another program.
fn absolute(path: &Path) -> PathBuf {
    std::path::absolute(path).unwrap_or_else(|_| path.to_owned())
}

/// A line for whoever sits before the program. A reader that has gone is no reason to stop.
fn say(line: &str) {
    drop(writeln!(std::io::stdout().lock(), "{line}"));
}

fn complain(line: &str) {
    drop(writeln!(std::io::stderr().lock(), "dripleg-hub: {line}"));
}

impl<E: std::error::Error> From<E> for Outcome {
    fn from(wrong: E) -> Outcome {
        Outcome::Failed(crate::in_full(&wrong))
    }
}

#[cfg(test)]
mod tests {
    #[test]
    fn the_command_line_holds_together() {
        super::command().debug_assert();
    }
}

//! What can be typed. The doc comments here and in the commands are the help.

use std::ffi::OsString;
use std::path::PathBuf;

use clap::{Args, CommandFactory, FromArgMatches, Parser, Subcommand, ValueEnum};
use client_core::record::value::Moment;
use client_core::trade::unit::System;

use crate::commands::{
    adjust, advise, answer, area, ask, blockers, calc, catalogue, check, claim, close, completions,
    contradictions, correct, crew, device, draft, event, except, exchange, export, fault, finding,
    found, gas_part, here, history, instrument, join, labour, left, lines, list, lock, man, note,
    part, pattern, person, photo, pictures, plan, position, quarantine, query, read, release,
    reopen, reply, report, review, set, settle, show, shut_down, sign, site, status, symptom,
    target, told, unit, unlock, vouch, whereis, wish, withdraw, words, work,
};
use crate::ui::Colour;

/// Records visits to gas-fired heaters where there is no signal, joins what two people entered, and does
/// the sums of the trade.
///
/// What is entered is saved on this device before it is said to be, and goes to the hub at the next
/// exchange. The plate, local code and a licensed person decide; this program informs.
#[derive(Debug, Parser)]
#[command(name = "dripleg", version, propagate_version = true, term_width = 80)]
#[command(
    disable_help_subcommand = true,
    subcommand_required = true,
    arg_required_else_help = true
)]
pub struct Cli {
    /// Options of every command.
    #[command(flatten)]
    pub global: Global,
    /// What to do.
    #[command(subcommand)]
    pub command: Command,
}

/// Options of every command.
#[derive(Clone, Debug, Args)]
#[command(next_help_heading = "Everywhere")]
pub struct Global {
    /// Folder of the store [default: the person's own; variable DRIPLEG_STORE]
    #[arg(long, global = true, value_name = "DIR")]
    pub store: Option<PathBuf>,
    /// Show figures in these units [default: as they were typed]
    #[arg(long, global = true, value_enum)]
    pub units: Option<Units>,
    /// Print data as JSON
    #[arg(long, global = true)]
    pub json: bool,
    /// Colours
    #[arg(long, global = true, value_enum, default_value_t)]
    pub color: Colour,
}

/// Units that a person reads.
#[derive(Clone, Copy, Debug, PartialEq, Eq, ValueEnum)]
pub enum Units {
    /// Inches, Fahrenheit, Btu.
    Us,
    /// Metres, Celsius, watts.
    Si,
}

impl Units {
    /// The system of units.
    pub const fn system(self) -> System {
        match self {
            Units::Us => System::Us,
            Units::Si => System::Si,
        }
    }
}

/// Which visit is meant.
#[derive(Clone, Debug, Default, Args)]
pub struct At {
    /// The site, by name or id
    #[arg(long, value_name = "SITE")]
    pub site: Option<String>,
    /// The visit, by reference, day or id [default: that of `here`, or the only open one]
    #[arg(long, value_name = "VISIT")]
    pub visit: Option<String>,
}

/// How something is entered.
#[derive(Clone, Debug, Default, Args)]
pub struct Entering {
    /// When it was, if not now, as 2025-10-14T10:20:00-05:00
    #[arg(long, value_name = "MOMENT", value_parser = moment)]
    pub at: Option<Moment>,
    /// The person whose work it is, if not your own
    #[arg(long = "for", value_name = "PERSON")]
    pub entered_for: Option<String>,
    /// Why: for what is unusual, lowers a safety word or settles
    #[arg(long, value_name = "WHY")]
    pub because: Option<String>,
}

/// A moment as typed. For the argument reader.
pub(crate) fn moment(typed: &str) -> Result<Moment, String> {
    Moment::parse(typed).map_err(|wrong| wrong.to_string())
}

macro_rules! commands {
    ($($(#[$doc:meta])* $name:ident $module:ident $keeps:literal;)*) => {
        /// What can be done.
        #[derive(Debug, Subcommand)]
        #[expect(missing_docs, reason = "a variant's text would take the place of the command's help")]
        pub enum Command {
            $($(#[$doc])* $name($module::Args),)*
        }

        impl Command {
            /// Whether what was typed is kept as a draft when it is not done.
            pub const fn keeps(&self) -> bool {
                match self { $(Command::$name(_) => $keeps,)* }
            }
        }

        /// Carries a command out.
        pub(crate) fn dispatch(
            command: Command,
            desk: &mut crate::desk::Desk<'_>,
        ) -> Result<(), crate::error::Trouble> {
            match command { $(Command::$name(args) => $module::run(&args, desk),)* }
        }
    };
}

commands! {
    // Between this device and the hub.
    Join join false;
    Exchange exchange false;
    Status status false;
    Here here false;
    Draft draft false;
    Quarantine quarantine false;
    Where whereis false;
    // Looking.
    List list false;
    Show show false;
    History history false;
    Contradictions contradictions false;
    Blockers blockers false;
    Review review false;
    Words words false;
    // At the unit.
    Found found true;
    Left left true;
    Read read true;
    Check check true;
    Finding finding true;
    Work work true;
    Adjust adjust true;
    GasPart gas_part true;
    Part part true;
    Labour labour true;
    Crew crew true;
    Note note true;
    Photo photo true;
    Pictures pictures false;
    Symptom symptom true;
    Claim claim true;
    Close close true;
    // Dangers.
    Advise advise true;
    Told told true;
    ShutDown shut_down true;
    Release release true;
    Lock lock true;
    Unlock unlock true;
    // Questions.
    Ask ask true;
    Answer answer true;
    Target target true;
    // Putting right.
    Correct correct true;
    Withdraw withdraw true;
    Settle settle true;
    Set set true;
    // For people who were not there.
    Report report false;
    Export export false;
    // Signing.
    Sign sign true;
    Except except true;
    Reopen reopen true;
    Query query true;
    Reply reply true;
    Vouch vouch true;
    // The office.
    Site site true;
    Area area true;
    Position position true;
    Unit unit true;
    Person person true;
    Device device false;
    Plan plan true;
    Instrument instrument true;
    Catalogue catalogue true;
    Event event true;
    Wish wish true;
    // Sums, faults, patterns.
    Calc calc false;
    Fault fault false;
    Pattern pattern false;
    // The program itself.
    Lines lines false;
    Completions completions false;
    Man man false;
}

/// The whole command with every subcommand, for help texts and completions.
pub fn command() -> clap::Command {
    Cli::command()
}

/// Reads a command line; answers what was typed as well.
pub fn parse(argv: Vec<OsString>) -> Result<(Cli, Vec<String>), clap::Error> {
    let typed = argv.iter().skip(1).map(|word| word.to_string_lossy().into_owned()).collect();
    let matches = Cli::command().try_get_matches_from(argv)?;
    let cli = Cli::from_arg_matches(&matches)?;
    Ok((cli, typed))
}

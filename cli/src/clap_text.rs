//! Help texts and errors of the argument reader, in the program's own voice.

use clap::error::ErrorKind;

use crate::outside::Outside;
use crate::ui::wrapped;

/// Prints what the argument reader has to say; answers the exit code.
pub(crate) fn print(wrong: &clap::Error, outside: &mut Outside<'_>) -> u8 {
    let shown = matches!(
        wrong.kind(),
        ErrorKind::DisplayHelp
            | ErrorKind::DisplayVersion
            | ErrorKind::DisplayHelpOnMissingArgumentOrSubcommand
    );
    let asked = matches!(wrong.kind(), ErrorKind::DisplayHelp | ErrorKind::DisplayVersion);
    let text = wrong.render().to_string();
    let text = wrapped(text.trim_end()).join("\n") + "\n";
    let stream = if asked { &mut outside.out } else { &mut outside.err };
    // A reader that went away has nothing more to be told.
    drop(stream.write_all(text.as_bytes()).and_then(|()| stream.flush()));
    if asked {
        0
    } else if shown {
        2
    } else {
        u8::try_from(wrong.exit_code()).unwrap_or(2)
    }
}

//! Texts made fit for one line of a terminal or a slip: control characters, escape sequences and marks
//! that turn the direction of writing round are shown as a replacement character, never obeyed.

/// What stands where a character was taken out.
pub const TAKEN_OUT: char = '\u{fffd}';

/// The text on one line: line breaks and tabs become blanks.
///
/// ```
/// use client_core::present::plain::line;
/// assert_eq!(line("rod\twet\nagain"), "rod wet again");
/// assert_eq!(line("\u{1b}[2Jgone"), "\u{fffd}[2Jgone");
/// assert_eq!(line("a\u{202e}b"), "a\u{fffd}b");
/// ```
pub fn line(text: &str) -> String {
    text.chars().map(|letter| if letter.is_whitespace() { ' ' } else { tame(letter) }).collect()
}

/// The same with line breaks kept.
pub fn paragraph(text: &str) -> String {
    let one = |letter| match letter {
        '\n' => '\n',
        letter if letter.is_whitespace() => ' ',
        letter => tame(letter),
    };
    text.chars().map(one).collect()
}

fn tame(letter: char) -> char {
    if letter.is_control() || turns(letter) { TAKEN_OUT } else { letter }
}

/// Marks that change the direction of writing or cannot be seen: Unicode TR 9 and TR 36.
const fn turns(letter: char) -> bool {
    matches!(
        letter,
        '\u{061c}'
            | '\u{00ad}'
            | '\u{115f}'
            | '\u{180e}'
            | '\u{200b}'
            | '\u{200e}'
            | '\u{200f}'
            | '\u{2028}'
            | '\u{2029}'
            | '\u{202a}'..='\u{202e}'
            | '\u{2060}'..='\u{206f}'
            | '\u{feff}'
            | '\u{fff9}'..='\u{fffb}'
            | '\u{e0000}'..='\u{e0fff}'
    )
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn nothing_that_a_terminal_obeys_comes_through() {
        let hostile = "\u{1b}]0;title\u{7}\u{9b}31mred\u{8}\u{0}\r\u{7f}\u{85}\u{2066}x\u{2069}";
        for clean in [line(hostile), paragraph(hostile)] {
            assert!(!clean.chars().any(|letter| letter.is_control() || turns(letter)), "{clean:?}");
            assert!(clean.contains("title") && clean.contains("red"));
        }
    }

    #[test]
    fn ordinary_writing_is_left_alone() {
        for text in ["Müller, 3.50 in w.c.", "日本語", "قياس", "👩\u{200d}🔧"] {
            assert_eq!(line(text), text);
        }
        assert_eq!(paragraph("one\ntwo"), "one\ntwo");
    }
}

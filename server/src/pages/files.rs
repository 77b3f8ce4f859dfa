//! Files of the pages: the look shared with the phone, what the pages add to it, and a little script that
//! no page needs.

use std::sync::LazyLock;

/// A file as it is handed out.
#[derive(Clone, Copy, Debug)]
pub struct File {
    /// Kind.
    pub kind: &'static str,
    /// Content.
    pub content: &'static [u8],
}

const LOOK: &str = include_str!("../../phone/static/app.css");
const PAGES: &str = include_str!("pages.css");
const CSS: &str = "text/css; charset=utf-8";

/// The pages' own rules, and the shared colours for readers whose device asks for light.
static STYLES: LazyLock<String> = LazyLock::new(|| {
    let light = tokens(".light{").unwrap_or_default();
    let dark = tokens(":root,.dark{").unwrap_or_default();
    format!(
        "@media (prefers-color-scheme:light){{:root:not(.dark){{{light}}}}}\n\
         @media print{{:root,:root.dark,:root.light{{{light}--bg:#fff;--surface:#fff}}}}\n\
         :root.dark{{color-scheme:dark;{dark}}}:root.light{{color-scheme:light;{light}}}\n{PAGES}"
    )
});

/// The reports' own rules, in the colours that the reader of the pages chose.
static REPORT: LazyLock<String> = LazyLock::new(|| {
    let names = [
        ("ground", "bg"),
        ("sheet", "surface"),
        ("line", "line"),
        ("ink", "text"),
        ("dim", "dim"),
        ("found", "found"),
        ("left", "left"),
        ("two", "two"),
    ];
    // A custom property cannot be made of one of the same name, so they go through names of their own.
    let outer = names.map(|(own, token)| format!("--p-{own}:var(--{token});")).concat();
    let inner = names.map(|(own, _)| format!("--{own}:var(--p-{own});")).concat();
    let style = reports::face::page::STYLE;
    format!(
        "{style}\n@media screen{{.paper{{{outer}}}.paper .report{{{inner}}}}}\n\
     .paper .report .typed{{display:inline}}\n"
    )
});

/// The declarations of a rule of the shared look.
fn tokens(selector: &str) -> Option<String> {
    let from = LOOK.find(selector)? + selector.len();
    let rule = &LOOK[from..];
    let declarations = &rule[..rule.find('}')?];
    Some(format!("{};", declarations.trim().trim_end_matches(';')))
}

/// Where a file is; another content has another address, so browsers may keep it for ever.
pub fn address(name: &'static str) -> String {
    let hash = blake3::hash(file(name).map_or(&[][..], |file| file.content)).to_hex();
    format!("/review/files/{name}?v={}", &hash[..12])
}

/// A file by its name.
pub fn file(name: &str) -> Option<File> {
    let (kind, content): (&'static str, &'static [u8]) = match name {
        "app.css" => (CSS, LOOK.as_bytes()),
        "pages.css" => (CSS, STYLES.as_bytes()),
        "report.css" => (CSS, REPORT.as_bytes()),
        "pages.js" => ("text/javascript; charset=utf-8", include_bytes!("pages.js")),
        "passkey.js" => ("text/javascript; charset=utf-8", include_bytes!("passkey.js")),
        "icon.svg" => ("image/svg+xml", include_bytes!("../../phone/static/icon.svg")),
        "fonts/hyper.woff2" => {
            ("font/woff2", include_bytes!("../../phone/static/fonts/hyper.woff2"))
        }
        "fonts/hyper-mono.woff2" => {
            ("font/woff2", include_bytes!("../../phone/static/fonts/hyper-mono.woff2"))
        }
        _ => return None,
    };
    Some(File { kind, content })
}

#[cfg(test)]
mod tests {
    use super::*;

    fn value<'t>(tokens: &'t str, name: &str) -> &'t str {
        let from = tokens.find(&format!("{name}:")).unwrap_or_else(|| panic!("{name}: {tokens}"));
        tokens[from + name.len() + 1..].split(';').next().unwrap().trim()
    }

    #[test]
    fn reports_have_the_colours_of_the_shared_look() {
        let style = reports::face::page::STYLE;
        let rules: Vec<&str> =
            style.split(".report{").skip(1).map(|rest| rest.split('}').next().unwrap()).collect();
        for (rule, selector) in [(rules[0], ".light{"), (rules[1], ":root,.dark{")] {
            let tokens = tokens(selector).unwrap();
            for (own, token) in
                [("--ground", "--bg"), ("--sheet", "--surface"), ("--ink", "--text")]
            {
                assert_eq!(value(rule, own), value(&tokens, token), "{selector} {own}");
            }
            for name in ["--line", "--dim", "--found", "--left", "--two"] {
                assert_eq!(value(rule, name), value(&tokens, name), "{selector} {name}");
            }
        }
    }

    #[test]
    fn the_document_of_the_look_names_its_tokens_as_they_are() {
        let text = include_str!("../../../docs/design-language.md");
        let (dark, light) = (tokens(":root,.dark{").unwrap(), tokens(".light{").unwrap());
        let mut rows = 0;
        for line in text.lines().filter(|line| line.contains("| #")) {
            let cells: Vec<&str> = line.split('|').map(str::trim).collect();
            let name = cells[1].trim_matches('`');
            assert_eq!(cells[2], value(&dark, name), "{name}, dark");
            assert_eq!(cells[3], value(&light, name), "{name}, light");
            rows += 1;
        }
        assert_eq!(rows, 10);
    }

    #[test]
    fn the_pages_take_their_colours_from_the_shared_look() {
        for selector in [".light{", ":root,.dark{"] {
            let tokens = tokens(selector).unwrap();
            for token in
                ["--bg:", "--surface:", "--text:", "--dim:", "--found:", "--left:", "--two:"]
            {
                assert!(tokens.contains(token), "{selector} lacks {token}");
            }
        }
        let styles = String::from_utf8(file("pages.css").unwrap().content.to_vec()).unwrap();
        assert!(styles.contains("prefers-color-scheme:light"));
        assert!(!PAGES.contains('#'), "a colour of its own stands in pages.css");
    }
}

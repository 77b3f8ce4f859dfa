//! A report on a page of the hub, with what a reader may change about it; the same for a customer who was
//! sent a link, with nothing round it.

use maud::{DOCTYPE, Markup, html};

use super::part::trail;
use super::qr::qr;
use super::{Chrome, Section, files, page_with};

/// A report that is laid out.
#[derive(Clone, Debug)]
pub struct Paper {
    /// Its title.
    pub title: String,
    /// The report as a fragment.
    pub body: Markup,
}

/// What was asked for.
#[derive(Clone, Debug, Default)]
pub struct Asked {
    /// The site.
    pub site: String,
    /// The report.
    pub kind: String,
    /// What it is of: visit, unit, question, day.
    pub rest: Vec<(String, String)>,
    /// The language, by its code.
    pub language: String,
    /// The units.
    pub units: String,
    /// It is a slip.
    pub narrow: bool,
    /// The firm has a name.
    pub named: bool,
}

/// Where a report is.
pub fn report_path(site: &str, kind: &str, of: &[(&str, &str)]) -> String {
    let mut query = form_urlencoded::Serializer::new(String::new());
    query.extend_pairs(of);
    format!("/review/sites/{site}/report/{kind}?{}", query.finish())
}

impl Asked {
    fn path(&self, change: &[(&str, &str)]) -> String {
        let mut pairs: Vec<(&str, &str)> =
            self.rest.iter().map(|(name, value)| (name.as_str(), value.as_str())).collect();
        for (name, value) in [("lang", self.language.as_str()), ("units", self.units.as_str())] {
            if !change.iter().any(|(own, _)| *own == name) {
                pairs.push((name, value));
            }
        }
        pairs.extend_from_slice(change);
        report_path(&self.site, &self.kind, &pairs)
    }
}

const LANGUAGES: [(&str, &str); 3] = [("en", "English"), ("fr", "Français"), ("es", "Español")];
const UNITS: [(&str, &str); 2] = [("us", "US units"), ("si", "SI units")];
const SHEETS: [(&str, &str); 2] = [("letter", "PDF, letter"), ("a4", "PDF, A4")];
const ROLLS: [(&str, &str); 2] = [("roll58", "PDF, 58 mm"), ("roll80", "PDF, 80 mm")];

/// A report.
pub fn report(chrome: &Chrome, asked: &Asked, paper: &Paper) -> Markup {
    let site = format!("/review/sites/{}", asked.site);
    let papers = if asked.narrow { ROLLS } else { SHEETS };
    let content = html! {
        div.no-print {
            (trail(&[("/review/sites", "Sites"), (&site, "Site")]))
            // A slip has no heading of its own.
            @if asked.narrow { h1.vh { (paper.title) } }
            div.bar role="group" aria-label="This report" {
                button.btn type="button" data-print hidden { "Print" }
                (choice("Language", "lang", &LANGUAGES, &asked.language, asked))
                (choice("Units", "units", &UNITS, &asked.units, asked))
                span.choice {
                    a href=(asked.path(&[("face", "text")])) { "Text" }
                    @if cfg!(feature = "pdf") { @for (key, name) in papers {
                        a href=(asked.path(&[("face", "pdf"), ("paper", key)])) { (name) }
                    } }
                }
            }
            @if !asked.named { (unnamed(chrome)) }
        }
        div.paper .strip[asked.narrow] { (paper.body) }
    };
    page_with(chrome, Some(Section::Visits), &paper.title, &content, &["report.css"])
}

fn choice(label: &str, name: &str, all: &[(&str, &str)], chosen: &str, asked: &Asked) -> Markup {
    html! {
        span.choice role="group" aria-label=(label) {
            @for (key, words) in all {
                a href=(asked.path(&[(name, key)])) aria-current=[(*key == chosen).then_some("true")] { (words) }
            }
        }
    }
}

/// The firm's name is asked for once, where its lack shows.
fn unnamed(chrome: &Chrome) -> Markup {
    html! {
        details.note.now {
            summary { "No firm stands on reports yet. Name it" }
            (firm_form(chrome, "", ""))
        }
    }
}

/// How the firm stands on reports.
pub fn firm_form(chrome: &Chrome, name: &str, phone: &str) -> Markup {
    html! {
        form.narrow method="post" action="/review/firm" {
            (chrome.token_field())
            label.typed { span { "Firm, as it stands on reports" } input name="name" value=(name) required maxlength="200"; }
            label.typed { span { "Number to call" } input name="phone" value=(phone) maxlength="200" autocomplete="off"; }
            button.btn.q2 type="submit" { "Keep" }
        }
    }
}

/// A new link, shown once.
pub fn link(chrome: &Chrome, link: &str, until: &str, back: &str) -> Markup {
    let content = html! {
        (trail(&[(back, "The visit")]))
        h1 { "Link for the customer" }
        p { "Whoever has this link reads the customer's report until " (until) ", and nothing else. It is shown here only; it can be ended on the visit's page." }
        p.pre { a href=(link) { (link) } }
        (qr(link))
    };
    page_with(chrome, Some(Section::Visits), "Link for the customer", &content, &[])
}

/// A report for whoever was sent a link: nothing round it, no way further in.
pub fn shared(language: &str, paper: &Paper) -> Markup {
    html! {
        (DOCTYPE)
        html lang=(language) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                meta name="robots" content="noindex";
                title { (paper.title) }
                @for name in ["app.css", "pages.css", "report.css"] {
                    link rel="stylesheet" href=(files::address(name));
                }
                link rel="icon" href=(files::address("icon.svg"));
            }
            body.desk { main.paper { (paper.body) } }
        }
    }
}

//! The review pages as HTML: functions of what [`crate::review`] laid out. Everything works without
//! scripts; every text is escaped where it is put in.

pub mod audit;
pub mod building;
pub mod chart;
pub mod files;
pub mod history;
pub mod home;
pub mod import;
pub mod labels;
pub mod me;
pub mod part;
pub mod people;
pub mod qr;
pub mod quarantine;
pub mod question;
pub mod report;
pub mod search;
pub mod settle;
pub mod shape;
pub mod sign_in;
pub mod site;
pub mod visit;
pub mod wrong;

use maud::{DOCTYPE, Markup, html};

/// Sections of the pages, in the order of the header.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Section {
    /// What waits.
    Queue,
    /// Visits.
    Visits,
    /// Sites and their units.
    Sites,
    /// Questions to manufacturers.
    Questions,
    /// People and devices.
    People,
    /// Search.
    Search,
}

impl Section {
    /// All sections.
    pub const ALL: [Section; 6] = [
        Section::Queue,
        Section::Visits,
        Section::Sites,
        Section::Questions,
        Section::People,
        Section::Search,
    ];

    const fn name(self) -> &'static str {
        match self {
            Section::Queue => "Queue",
            Section::Visits => "Visits",
            Section::Sites => "Sites",
            Section::Questions => "Questions",
            Section::People => "People",
            Section::Search => "Search",
        }
    }

    const fn path(self) -> &'static str {
        match self {
            Section::Queue => "/review",
            Section::Visits => "/review/visits",
            Section::Sites => "/review/sites",
            Section::Questions => "/review/questions",
            Section::People => "/review/people",
            Section::Search => "/review/search",
        }
    }
}

/// Light, dark, or as the reader's device says.
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub enum Look {
    /// As the device says.
    #[default]
    Device,
    /// Light.
    Light,
    /// Dark.
    Dark,
}

impl Look {
    /// Class of the whole page.
    pub const fn class(self) -> &'static str {
        match self {
            Look::Device => "",
            Look::Light => "light",
            Look::Dark => "dark",
        }
    }
}

/// What every page has round its content.
#[derive(Clone, Debug, Default)]
pub struct Chrome {
    /// Who is signed in: name and role.
    pub who: Option<(String, String)>,
    /// Stands in every form.
    pub token: String,
    /// Light or dark.
    pub look: Look,
    /// Sites of which this page tells, so that it hears when something new arrives.
    pub hears: Vec<String>,
}

impl Chrome {
    /// The field that every form carries.
    pub fn token_field(&self) -> Markup {
        html! { input type="hidden" name="token" value=(self.token); }
    }

    /// Whether the reader may settle, sign, except and revoke.
    pub fn supervises(&self) -> bool {
        self.who.as_ref().is_some_and(|(_, role)| role == "supervisor")
    }
}

/// A whole page.
pub fn page(chrome: &Chrome, section: Option<Section>, title: &str, content: &Markup) -> Markup {
    page_with(chrome, section, title, content, &[])
}

/// A whole page that needs more style sheets than every page has.
pub fn page_with(
    chrome: &Chrome,
    section: Option<Section>,
    title: &str,
    content: &Markup,
    styles: &[&'static str],
) -> Markup {
    html! {
        (DOCTYPE)
        html lang="en" class=(chrome.look.class()) {
            head {
                meta charset="utf-8";
                meta name="viewport" content="width=device-width, initial-scale=1";
                meta name="color-scheme" content="light dark";
                title { (title) " · Dripleg" }
                link rel="stylesheet" href=(files::address("app.css"));
                link rel="stylesheet" href=(files::address("pages.css"));
                @for style in styles { link rel="stylesheet" href=(files::address(style)); }
                link rel="icon" href=(files::address("icon.svg"));
                script src=(files::address("pages.js")) defer {}
            }
            body.desk {
                a.skip href="#main" { "To the content" }
                (header(chrome, section))
                main #main .main tabindex="-1" data-hears=[hears(chrome)] { (content) }
                (footer(chrome))
            }
        }
    }
}

fn hears(chrome: &Chrome) -> Option<String> {
    (!chrome.hears.is_empty()).then(|| chrome.hears.join(" "))
}

fn header(chrome: &Chrome, section: Option<Section>) -> Markup {
    html! {
        header.pipe {
            a.brand href="/review" { "Dripleg" }
            @if let Some((name, role)) = &chrome.who {
                nav aria-label="Sections" {
                    ul {
                        @for one in Section::ALL {
                            li {
                                @let here = section == Some(one);
                                a href=(one.path()) aria-current=[here.then_some("page")] { (one.name()) }
                            }
                        }
                    }
                }
                div.who {
                    a href="/review/me" { (name) ", " (role) }
                    form method="post" action="/review/sign-out" {
                        (chrome.token_field())
                        button.line type="submit" { "Sign out" }
                    }
                }
            }
        }
    }
}

fn footer(chrome: &Chrome) -> Markup {
    html! {
        footer.feet {
            p { "Readings are held against the limits entered. The plate, local code and licensed practice decide." }
            @if chrome.who.is_some() {
                form.look method="post" action="/review/look" {
                    (chrome.token_field())
                    span { "Look: " }
                    @for (key, name, look) in [
                        ("device", "as this device", Look::Device),
                        ("light", "light", Look::Light),
                        ("dark", "dark", Look::Dark),
                    ] {
                        button.line type="submit" name="look" value=(key) aria-pressed=(if chrome.look == look { "true" } else { "false" }) { (name) }
                    }
                }
                p { a href="/review/audit" { "What was done here" } }
            }
        }
    }
}

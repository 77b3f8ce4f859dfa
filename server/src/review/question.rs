//! Questions to manufacturers, and what came of them.

use client_core::present::{Names as _, Say};
use client_core::record::body::{Body, Kind};
use client_core::record::file::Papers;
use serde::Serialize;
use utoipa::ToSchema;

use super::difference::at;
use super::{Book, Named};

/// A question.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct Asked {
    /// The entry.
    pub entry: String,
    /// What is asked.
    pub asked: String,
    /// To whom.
    pub to: Option<String>,
    /// Quantities for which an answer becomes a target: key and name.
    pub about: Vec<(String, String)>,
    /// Who asked.
    pub person: Named,
    /// When.
    pub at: String,
    /// Answers: text with source, and who entered it when.
    pub answers: Vec<(String, String)>,
    /// Targets that came of them.
    pub targets: Vec<String>,
}

/// A unit with its questions.
#[derive(Clone, Debug, PartialEq, Eq, Serialize, ToSchema)]
pub struct UnitAsked {
    /// The site.
    pub site: Named,
    /// The unit.
    pub unit: Named,
    /// Questions, oldest first.
    pub questions: Vec<Asked>,
}

/// Questions of a unit's own document.
pub fn asked(papers: &Papers<'_>, book: &Book) -> Vec<Asked> {
    let read = &papers.read;
    let say = Say { names: book, system: None };
    let mut found = vec![];
    for entry in read.counted(Kind::Question) {
        let Body::Question(question) = &entry.body else { continue };
        let mut answers = vec![];
        let mut targets = vec![];
        for other in read.counted(Kind::Answer) {
            let Body::Answer(answer) = &other.body else { continue };
            if answer.question != entry.id {
                continue;
            }
            let day = answer.day.map(|day| format!(" of {day}")).unwrap_or_default();
            let from = answer.from.as_ref().map(|from| format!(", {from}")).unwrap_or_default();
            let text = format!("{} ({}{day}{from})", answer.text, answer.source.says());
            let who = format!("{}, {}", book.person(other.person()), at(other.stamp.at()));
            answers.push((text, who));
            let own = read.counted(Kind::Target).filter_map(|entry| match &entry.body {
                Body::Target(target) if target.answer == Some(other.id) => Some(say.target(target)),
                _ => None,
            });
            targets.extend(own);
        }
        let about = question.about.iter().flatten();
        found.push(Asked {
            entry: entry.id.to_string(),
            asked: question.asked.clone(),
            to: question.to.clone(),
            about: about.map(|own| (own.key().to_owned(), own.says().to_owned())).collect(),
            person: book.named_person(entry.person()),
            at: at(entry.stamp.at()),
            answers,
            targets,
        });
    }
    found
}

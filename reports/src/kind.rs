//! Which reports there are, and the model of each.

use crate::customer::CustomerPage;
use crate::dossier::UnitDossier;
use crate::layout::Report;
use crate::morning::MorningSheet;
use crate::question::QuestionSheet;
use crate::register::DifferencesRegister;
use crate::restock::RestockList;
use crate::slip::{ColumnSlip, FlueSlip, ShutDownSlip};
use crate::tongue::Tongue;
use crate::visit::VisitRecord;

/// A report.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// One page for the customer.
    Customer,
    /// The supervisor's record of a visit.
    Visit,
    /// All evidence for one unit.
    Unit,
    /// A question to a manufacturer.
    Question,
    /// The plan of a day.
    Morning,
    /// What the truck needs.
    Restock,
    /// Everything that two people said differently at a site.
    Differences,
    /// The slip on the column.
    Column,
    /// The slip of a unit that is shut down.
    ShutDown,
    /// The slip of a flue test.
    Flue,
}

impl Kind {
    /// Every report.
    pub const ALL: [Kind; 10] = [
        Kind::Customer,
        Kind::Visit,
        Kind::Unit,
        Kind::Question,
        Kind::Morning,
        Kind::Restock,
        Kind::Differences,
        Kind::Column,
        Kind::ShutDown,
        Kind::Flue,
    ];

    /// Its key in commands, addresses and file names.
    pub const fn key(self) -> &'static str {
        match self {
            Kind::Customer => "customer",
            Kind::Visit => "visit",
            Kind::Unit => "unit",
            Kind::Question => "question",
            Kind::Morning => "morning",
            Kind::Restock => "restock",
            Kind::Differences => "differences",
            Kind::Column => "column",
            Kind::ShutDown => "shut_down",
            Kind::Flue => "flue",
        }
    }

    /// The report with this key.
    pub fn from_key(key: &str) -> Option<Kind> {
        Kind::ALL.into_iter().find(|kind| kind.key() == key)
    }

    /// Whether it is printed on narrow paper.
    pub const fn narrow(self) -> bool {
        matches!(self, Kind::Column | Kind::ShutDown | Kind::Flue)
    }
}

/// A report's model: what was gathered, before it is said in any language.
#[derive(Clone, Debug, PartialEq)]
pub enum Model {
    /// One page for the customer.
    Customer(Box<CustomerPage>),
    /// The supervisor's record of a visit.
    Visit(Box<VisitRecord>),
    /// All evidence for one unit.
    Unit(Box<UnitDossier>),
    /// A question to a manufacturer.
    Question(Box<QuestionSheet>),
    /// The plan of a day.
    Morning(Box<MorningSheet>),
    /// What the truck needs.
    Restock(Box<RestockList>),
    /// Everything that two people said differently at a site.
    Differences(Box<DifferencesRegister>),
    /// The slip on the column.
    Column(Box<ColumnSlip>),
    /// The slip of a unit that is shut down.
    ShutDown(Box<ShutDownSlip>),
    /// The slip of a flue test.
    Flue(Box<FlueSlip>),
}

impl Model {
    /// Which report it is.
    pub const fn kind(&self) -> Kind {
        match self {
            Model::Customer(_) => Kind::Customer,
            Model::Visit(_) => Kind::Visit,
            Model::Unit(_) => Kind::Unit,
            Model::Question(_) => Kind::Question,
            Model::Morning(_) => Kind::Morning,
            Model::Restock(_) => Kind::Restock,
            Model::Differences(_) => Kind::Differences,
            Model::Column(_) => Kind::Column,
            Model::ShutDown(_) => Kind::ShutDown,
            Model::Flue(_) => Kind::Flue,
        }
    }

    /// The report in a tongue.
    pub fn report(&self, tongue: Tongue) -> Report {
        match self {
            Model::Customer(model) => model.report(tongue),
            Model::Visit(model) => model.report(tongue),
            Model::Unit(model) => model.report(tongue),
            Model::Question(model) => model.report(tongue),
            Model::Morning(model) => model.report(tongue),
            Model::Restock(model) => model.report(tongue),
            Model::Differences(model) => model.report(tongue),
            Model::Column(model) => model.report(tongue),
            Model::ShutDown(model) => model.report(tongue),
            Model::Flue(model) => model.report(tongue),
        }
    }
}

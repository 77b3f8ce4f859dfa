//! Which unit first: a rank from hazard, margin, season and use. The weights are the firm's.

use crate::trade::impossible::{Impossible, Range};
use crate::trade::quantity::Ratio;
use crate::trade::unit::Unit;
use crate::trade::worked::{Formula, Sheet, Worked};

/// Formula of the priority.
pub const PRIORITY: Formula = Formula {
    id: "plan.priority",
    version: 1,
    name: "priority",
    expression: "hazard class first; within it 0.4 thin margin + 0.3 use + 0.2 season + 0.1 overdue",
    source: "our setting, no source; the firm may change it",
    range: "a rank for the morning plan, not a measure of danger",
    function: "plan::priority::Need::solve",
    test: "a_hazard_goes_before_any_margin",
};

/// Shut-down classes of a finding, least first.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Hazard {
    /// Nothing noted.
    None,
    /// No risk now, recorded.
    Note,
    /// Works, will not stay so.
    Advise,
    /// Abnormal, under watch with a limit and a date.
    Urgent,
    /// Shut down and tagged, or should be.
    ShutDown,
}

/// What bears on the order of a day.
#[derive(Clone, Copy, Debug, PartialEq)]
pub struct Need {
    /// Worst open finding.
    pub hazard: Hazard,
    /// Thinnest margin left, as a share of a healthy one: 0 none left, 1 healthy.
    pub margin: Ratio,
    /// Use: share of the week that people are under it or goods depend on it.
    pub in_use: Ratio,
    /// How near the cold is: 0 summer, 1 freezing now.
    pub season: Ratio,
    /// Overdue, as a share of its interval, at most 1.
    pub overdue: Ratio,
}

impl Need {
    /// Rank from 0 to 5; higher first.
    pub fn solve(&self) -> Result<Ratio, Impossible> {
        const SHARE: Range = Range {
            what: "a share in the priority",
            low: 0.0,
            high: 1.0,
            unit: Unit::Ratio,
            hint: "give a share from 0 to 1",
        };
        for share in [self.margin, self.in_use, self.season, self.overdue] {
            SHARE.check(share)?;
        }
        let class = match self.hazard {
            Hazard::None => 0.0,
            Hazard::Note => 1.0,
            Hazard::Advise => 2.0,
            Hazard::Urgent => 3.0,
            Hazard::ShutDown => 4.0,
        };
        let within = 0.4 * (1.0 - self.margin.ratio())
            + 0.3 * self.in_use.ratio()
            + 0.2 * self.season.ratio()
            + 0.1 * self.overdue.ratio();
        // Kept under one, so that a class is never overtaken from below.
        Ok(Ratio::from_ratio(class + 0.999 * within))
    }

    /// The rank with its sheet.
    pub fn worked(&self) -> Result<Worked<Ratio>, Impossible> {
        let value = self.solve()?;
        let sheet = Sheet::new(&PRIORITY)
            .input("margin", "margin left", self.margin, Unit::Ratio)
            .input("in_use", "use", self.in_use, Unit::Ratio)
            .input("season", "nearness of cold", self.season, Unit::Ratio)
            .input("overdue", "overdue", self.overdue, Unit::Ratio)
            .result("rank", "rank", value, Unit::Ratio)
            .caution("a rank for the plan of a day, not a measure of danger");
        Ok(Worked { value, sheet })
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn a_hazard_goes_before_any_margin() {
        let need = |hazard, margin, rest| Need {
            hazard,
            margin: Ratio::from_ratio(margin),
            in_use: Ratio::from_ratio(rest),
            season: Ratio::from_ratio(rest),
            overdue: Ratio::from_ratio(rest),
        };
        let rank = |need: Need| need.solve().unwrap().ratio();
        let worst_note = rank(need(Hazard::Note, 0.0, 1.0));
        let mildest_advice = rank(need(Hazard::Advise, 1.0, 0.0));
        assert!(mildest_advice > worst_note);
        assert!(rank(need(Hazard::Note, 0.2, 0.5)) > rank(need(Hazard::Note, 0.8, 0.5)));
        assert!(need(Hazard::Note, 1.2, 0.5).solve().is_err());
    }
}

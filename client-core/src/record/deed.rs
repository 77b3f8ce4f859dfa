//! Deeds: what people do that concerns several documents, as lists of actions.
//!
//! All of a deed is carried out or none of it. An entry that another document must name is named before
//! it is made: whoever carries a deed out says which number the next entry gets.

use crate::record::action::{Action, Setting};
use crate::record::body::{
    Advisory, Answer, Body, DoubleMark, Lock, Repoint, Roster, Settlement, SignOff, Tag, Target,
    TextRead,
};
use crate::record::code::{Role, VisitKind};
use crate::record::contradiction::Contradiction;
use crate::record::derived;
use crate::record::doc_id::{DocId, DocKind};
use crate::record::field::{Field, FieldValue, Of};
use crate::record::file::VisitFile;
use crate::record::id::{ApplianceId, EntryId, PersonId, SiteId, VisitId};
use crate::record::refused::Refused;
use crate::record::value::{Day, Figure};

/// Actions on documents, in order.
pub type Deed = Vec<(DocId, Action)>;

/// The register of a key, set to a value, without a reason.
pub fn setting(key: &str, value: FieldValue) -> Setting {
    Setting { field: Field::named(key), value, reason: None }
}

/// A new appliance: on the roster of its site, with what is known of it.
pub fn new_appliance(
    site: SiteId,
    appliance: ApplianceId,
    unit_no: &str,
    mut settings: Vec<Setting>,
) -> Deed {
    let roster = Roster { appliance, unit_no: unit_no.to_owned() };
    settings.insert(0, setting("unit/no", FieldValue::Text(unit_no.to_owned())));
    vec![
        (DocId::new(site, DocKind::Site), Action::Enter(vec![roster.into()])),
        (DocId::new(site, DocKind::Appliance(appliance)), Action::Set(settings)),
    ]
}

/// A unit in the plan of a visit.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Planned {
    /// The unit.
    pub appliance: ApplianceId,
    /// Who takes it.
    pub person: Option<PersonId>,
    /// Its place in the walk.
    pub order: u32,
}

/// A visit with its plan.
pub fn plan_visit(
    site: SiteId,
    visit: VisitId,
    kind: VisitKind,
    day: Day,
    settings: Vec<Setting>,
    units: &[Planned],
) -> Deed {
    let mut all = vec![
        setting("visit/kind", FieldValue::Word(kind.code())),
        setting("visit/day", FieldValue::Day(day)),
    ];
    all.extend(settings);
    let head = DocId::new(site, DocKind::Visit(visit));
    let mut deed = vec![(head, Action::Set(all))];
    deed.extend(assign(site, visit, units));
    deed
}

/// Units put into the plan of a visit, or given to somebody else.
pub fn assign(site: SiteId, visit: VisitId, units: &[Planned]) -> Option<(DocId, Action)> {
    let mut settings = vec![];
    for planned in units {
        let of = Of::Appliance(planned.appliance);
        let order = Figure::new(i64::from(planned.order), 0, count_unit());
        settings.push(Setting {
            field: Field::named("assign/{}/order").about(of),
            value: FieldValue::Figure(order),
            reason: None,
        });
        settings.extend(planned.person.map(|person| Setting {
            field: Field::named("assign/{}/person").about(of),
            value: FieldValue::Person(person),
            reason: None,
        }));
    }
    let head = DocId::new(site, DocKind::Visit(visit));
    (!settings.is_empty()).then_some((head, Action::Set(settings)))
}

fn count_unit() -> crate::record::code::unit::UnitCode {
    crate::record::code::unit::UnitCode::from_key("n").expect("the table of stored units holds `n`")
}

/// A unit shut down: the advisory that goes with it where one is given, then record, locks and status.
///
/// `next` is the number that the next entry gets.
pub fn shut_down(
    unit: DocId,
    advisory: Option<Advisory>,
    mut tag: Tag,
    locks: Vec<Lock>,
    next: EntryId,
) -> Deed {
    let mut deed = vec![];
    if let Some(advisory) = advisory {
        tag.advisory = Some(next);
        deed.push((unit, Action::Enter(vec![advisory.into()])));
    }
    deed.push((unit, Action::ShutDown { tag, locks }));
    deed
}

/// A unit that was made twice: it is marked as merged into the right one, and everything ever entered for
/// it is pointed there by reference.
pub fn merge_units(site: SiteId, from: ApplianceId, into: ApplianceId, reason: &str) -> Deed {
    let repoint = Repoint { entries: vec![], from, to: into, reason: reason.to_owned() };
    let merged = Setting {
        field: Field::named("unit/merged_into"),
        value: FieldValue::Appliance(into),
        reason: Some(reason.to_owned()),
    };
    vec![
        (DocId::new(site, DocKind::Appliance(from)), Action::Set(vec![merged])),
        (DocId::new(site, DocKind::Appliance(into)), Action::Enter(vec![repoint.into()])),
    ]
}

/// A manufacturer's answer, and the targets that follow from it for the unit asked about and for others
/// like it.
///
/// `next` is the number that the next entry gets.
pub fn answer(
    site: SiteId,
    asked: ApplianceId,
    others: &[ApplianceId],
    answer: Answer,
    targets: &[Target],
    next: EntryId,
) -> Deed {
    let unit = |appliance| DocId::new(site, DocKind::Appliance(appliance));
    let own = Action::Answer { answer, targets: targets.to_vec() };
    let mut deed = vec![(unit(asked), own)];
    if targets.is_empty() {
        return deed;
    }
    for other in others.iter().filter(|other| **other != asked) {
        let same = |target: &Target| Body::from(Target { answer: Some(next), ..target.clone() });
        deed.push((unit(*other), Action::Enter(targets.iter().map(same).collect())));
    }
    deed
}

/// The signature under a visit as it stands here, unless something blocks it that no supervisor excepted.
pub fn sign_off(
    file: &VisitFile<'_>,
    role: Role,
    statement: Option<String>,
) -> Result<Deed, Refused> {
    let open = file.blockers().into_iter().filter(|blocker| blocker.excepted.is_none());
    let open: Vec<String> = open.map(|blocker| blocker.key).collect();
    if !open.is_empty() {
        return Err(Refused::Blocked(open));
    }
    let head = file.head.id().ok_or(Refused::Nothing)?;
    let (docs, shown) = (file.to_sign(), derived::signed::to_sign(file));
    let sign_off = SignOff { role, docs, statement, shown, drawn: None };
    Ok(vec![(head, Action::SignOff(sign_off))])
}

/// What settles a contradiction that is no register: a double is marked, a text is read, anything else is
/// settled in words, with the side that governs where one was chosen.
pub fn settle(
    one: &Contradiction,
    chosen: Option<EntryId>,
    same: bool,
    reason: &str,
) -> Option<Action> {
    let reason = reason.to_owned();
    match one {
        Contradiction::Field { .. }
        | Contradiction::Late { .. }
        | Contradiction::Release { .. } => None,
        Contradiction::Double { one, other, .. } => {
            let (keep, other) = match chosen {
                Some(chosen) if chosen == *other => (*other, *one),
                _ => (*one, *other),
            };
            Some(Action::Enter(vec![DoubleMark { keep, other, same, reason }.into()]))
        }
        Contradiction::Text { note, .. } => {
            Some(Action::Enter(vec![TextRead { note: *note, reason: Some(reason) }.into()]))
        }
        other => Some(Action::SettleOther(Settlement {
            what: other.key(),
            chosen,
            sides: other.sides(),
            reason,
            evidence: None,
        })),
    }
}

/// Refuses what would change a visit under its sign-off: late evidence is taken, but nothing that was
/// signed is edited, withdrawn or corrected before the visit was opened again.
pub fn under_sign_off(file: &VisitFile<'_>, steps: &[(DocId, Action)]) -> Result<(), Refused> {
    if !file.signed().released {
        return Ok(());
    }
    let of_visit = |doc: &DocId| doc.visit() == Some(file.visit);
    for (_, action) in steps.iter().filter(|(doc, _)| of_visit(doc)) {
        if let Some(what) = changes_signed(action) {
            return Err(Refused::Signed { what: what.to_owned() });
        }
    }
    Ok(())
}

fn changes_signed(action: &Action) -> Option<&'static str> {
    match action {
        Action::Edit { .. } => Some("editing a text"),
        Action::Set(_) => Some("changing a value"),
        Action::Settle { .. } => Some("settling a value"),
        Action::Close { .. } => Some("closing a unit again"),
        Action::Void { .. } => Some("withdrawing an entry"),
        Action::Enter(bodies) => bodies.iter().find_map(|body| match body {
            Body::Reading(reading) if reading.corrects.is_some() => Some("correcting a reading"),
            Body::Check(check) if check.corrects.is_some() => Some("correcting a check"),
            _ => None,
        }),
        _ => None,
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::{AdvisorySeverity, TargetSource};
    use crate::record::id::ActorHalf;

    const SITE: SiteId = SiteId([1; 8]);

    fn unit(n: u8) -> ApplianceId {
        ApplianceId([n; 8])
    }

    fn next() -> EntryId {
        EntryId { actor: ActorHalf([9; 8]), n: 4 }
    }

    #[test]
    fn a_shut_down_names_its_advisory_before_it_is_made() {
        let tag = Tag {
            reason: "soot at the seam".to_owned(),
            isolations: vec!["gas cock".to_owned()],
            customer_told: None,
            told_person: None,
            utility_told: None,
            release_when: None,
            advisory: None,
            visit: None,
        };
        let advisory = Advisory {
            severity: AdvisorySeverity::ShutDown,
            text: "exchanger open".to_owned(),
            due: None,
            visit: None,
        };
        let doc = DocId::new(SITE, DocKind::Appliance(unit(1)));
        let deed = shut_down(doc, Some(advisory), tag.clone(), vec![], next());
        assert_eq!(deed.len(), 2);
        let Action::ShutDown { tag: made, .. } = &deed[1].1 else { panic!("no shut-down") };
        assert_eq!(made.advisory, Some(next()));
        let alone = shut_down(doc, None, tag, vec![], next());
        assert!(
            matches!(&alone[..], [(_, Action::ShutDown { tag, .. })] if tag.advisory.is_none())
        );
    }

    #[test]
    fn an_answer_gives_targets_to_every_unit_like_the_one_asked_about() {
        let given = Answer {
            question: next(),
            text: "6.6 to 7.4 % CO2".to_owned(),
            source: TargetSource::WrittenAnswer,
            day: None,
            from: None,
        };
        let target = Target {
            quantity: crate::record::code::Quantity::FlueCo2,
            least: None,
            most: None,
            aim: None,
            stage: None,
            gas: None,
            altitude: None,
            source: TargetSource::WrittenAnswer,
            valid_from: None,
            page: None,
            answer: None,
            air_free: None,
        };
        let deed = answer(SITE, unit(7), &[unit(5), unit(7), unit(6)], given, &[target], next());
        assert_eq!(deed.len(), 3);
        for (_, action) in &deed[1..] {
            let Action::Enter(bodies) = action else { panic!("not entered") };
            assert!(matches!(&bodies[0], Body::Target(target) if target.answer == Some(next())));
        }
    }

    #[test]
    fn a_merge_points_from_the_double_to_the_right_unit() {
        let deed = merge_units(SITE, unit(11), unit(4), "made by mistake");
        assert_eq!(deed[0].0.appliance(), Some(unit(11)));
        let Action::Enter(bodies) = &deed[1].1 else { panic!("not entered") };
        assert!(
            matches!(&bodies[0], Body::Repoint(point) if point.to == unit(4) && point.from == unit(11))
        );
    }
}

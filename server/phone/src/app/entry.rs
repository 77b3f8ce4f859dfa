//! The round of readings: typing, questions about slips, entering, the next stop.

use client_core::device::DeviceError;
use client_core::record::action::Action;
use client_core::record::body::{Body, Reading};
use client_core::record::code::{Phase, Quantity};
use client_core::record::doubt::doubts;
use client_core::record::file::UnitInVisit;
use client_core::record::id::{ApplianceId, EntryId};
use client_core::record::value::{Figure, Measured};
use client_core::trade::quantity::Amount;

use super::state::{Question, Typing};
use super::{App, Effect};
use crate::carried::{DRAFT, STEADY_MIN};
use crate::pad::{Form, Typed};
use crate::stop::{self, Stop};
use crate::tap::{Deed, Place};

/// Where the pad stands.
#[derive(Clone, Copy, Debug)]
struct At {
    unit: ApplianceId,
    phase: Phase,
    /// The stop, for a figure of the round.
    n: Option<u8>,
    quantity: Quantity,
}

fn typing_name(unit: ApplianceId, phase: Phase) -> String {
    format!("typed {unit} {}", phase.key())
}

impl App {
    pub(super) fn at_the_pad(&mut self, deed: Deed) -> Result<(), DeviceError> {
        match deed {
            Deed::Digit { digit } => self.typing(|typed| typed.push(digit)),
            Deed::Wipe {} => self.typing(Typed::wipe),
            Deed::Minus {} => self.typing(|typed| typed.minus = !typed.minus),
            Deed::Same {} => self.same(),
            Deed::Next {} => self.next(),
            Deed::SoItIs { why } => self.so_it_is(&why.0.replace('_', " ")),
            Deed::Again {} => self.enter(None, None),
            Deed::Correct {} => {
                let corrects = match &self.state.question {
                    Some(Question::Again { stands, .. }) => Some(*stands),
                    _ => None,
                };
                self.enter(corrects, None)
            }
            Deed::Over {} => self.over_range(),
            Deed::Why { why } => self.not_taken(&why.0.replace('_', " ")),
            Deed::WhyTyped {} => match self.state.text("why") {
                Some(why) => {
                    self.clear(&["why"]);
                    self.not_taken(&why)
                }
                None => Ok(()),
            },
            Deed::Phase { unit, phase } => self.phase(unit, phase),
            other => self.condition(&other),
        }
    }

    // --- where ---

    fn at(&mut self) -> Result<Option<At>, DeviceError> {
        Ok(match self.state.place() {
            Place::Stop { unit, phase, n } => {
                let stop = self.stop(unit, n)?;
                stop.and_then(|stop| match stop.fields {
                    [quantity] => Some(At { unit, phase, n: Some(n), quantity: *quantity }),
                    _ => None,
                })
            }
            Place::Pad { unit, phase, n, quantity }
            | Place::Cannot { unit, phase, n, quantity } => {
                let n = (n != OFF_THE_ROUND).then_some(n);
                Some(At { unit, phase, n, quantity })
            }
            Place::One { unit, phase, quantity } => Some(At { unit, phase, n: None, quantity }),
            _ => None,
        })
    }

    /// The stops of a unit's family.
    pub(super) fn round(&mut self, unit: ApplianceId) -> Result<&'static [Stop], DeviceError> {
        let site = self.site()?;
        let rows = self.device.units(site)?;
        let family = rows.iter().find(|row| row.id == unit).and_then(|row| row.row.family);
        Ok(stop::round(family))
    }

    fn stop(&mut self, unit: ApplianceId, n: u8) -> Result<Option<&'static Stop>, DeviceError> {
        Ok(self.round(unit)?.get(usize::from(n)))
    }

    /// Reads something of the unit in hand.
    pub(super) fn look<T>(
        &mut self,
        unit: ApplianceId,
        look: impl FnOnce(&UnitInVisit<'_>) -> T,
    ) -> Result<Option<T>, DeviceError> {
        let (site, visit) = (self.site()?, self.visit()?);
        let opened = self.device.open_unit(site, visit, unit)?;
        let file = opened.file();
        Ok(file.unit(unit).map(look))
    }

    // --- typing ---

    /// Loads what was typed before for the unit and phase of the screen.
    pub(super) fn load_typing(&mut self) -> Result<(), DeviceError> {
        let of = match self.state.place() {
            Place::Stop { unit, phase, .. }
            | Place::Pad { unit, phase, .. }
            | Place::One { unit, phase, .. }
            | Place::Cannot { unit, phase, .. }
            | Place::Entered { unit, phase } => Some((unit, phase)),
            _ => None,
        };
        if of.is_none() || self.state.typing_of == of {
            return Ok(());
        }
        self.state.typing_of = of;
        let typing: Option<Typing> = match of {
            Some((unit, phase)) => super::draft(&self.device, &typing_name(unit, phase))?,
            None => None,
        };
        self.state.typing = typing.unwrap_or_default();
        Ok(())
    }

    fn keep_typing(&mut self, at: At) -> Result<(), DeviceError> {
        let name = typing_name(at.unit, at.phase);
        self.typed += 1;
        self.state.typing.figures.retain(|_, typed| !typed.is_empty() || typed.minus);
        if self.state.typing.figures.is_empty() {
            return self.device.drop_draft(&name);
        }
        let bytes = minicbor::to_vec(&self.state.typing).expect("writing to memory does not fail");
        self.device.put_draft(&name, &bytes)
    }

    /// Changes what is typed for the figure in hand: durable with each key.
    fn typing(&mut self, change: impl FnOnce(&mut Typed)) -> Result<(), DeviceError> {
        self.state.question = None;
        let Some(at) = self.at()? else { return Ok(()) };
        if !self.state.typing.figures.contains_key(&at.quantity.code()) {
            let minus = self.usually_below_zero(at)?;
            let fresh = Typed { digits: String::new(), minus };
            self.state.typing.figures.insert(at.quantity.code(), fresh);
        }
        if let Some(typed) = self.state.typing.figures.get_mut(&at.quantity.code()) {
            change(typed);
        }
        self.keep_typing(at)
    }

    /// A draft is typed below zero where the switch's setpoint or the last reading is.
    fn usually_below_zero(&mut self, at: At) -> Result<bool, DeviceError> {
        let signed = Form::of(at.quantity, self.set.system()).is_some_and(|form| form.signed);
        if !signed {
            return Ok(false);
        }
        let expected = self.expected(at.unit, at.quantity)?;
        Ok(expected.is_some_and(|figure| figure.digits.mantissa() < 0))
    }

    /// What is expected of a figure: the plate, else the last time.
    fn expected(
        &mut self,
        unit: ApplianceId,
        quantity: Quantity,
    ) -> Result<Option<Figure>, DeviceError> {
        let plate = stop::plate(quantity);
        let plate = match plate.filter(|_| names_or_signs(quantity)) {
            Some(key) => self.look(unit, |own| own.figure(key))?.flatten(),
            None => None,
        };
        if plate.is_some() {
            return Ok(plate);
        }
        let visit = self.set.visit;
        let history = self.device.history(self.site()?, unit)?;
        let earlier = history.iter().filter(|listed| Some(listed.id) != visit);
        Ok(earlier.rev().find_map(|listed| {
            let rows = listed.row.left.iter().chain(&listed.row.found);
            rows.into_iter().find(|row| row.quantity == quantity).and_then(|row| row.value.figure())
        }))
    }

    /// The plate's figure, or for the air at the inlet the air at the burner.
    fn same(&mut self) -> Result<(), DeviceError> {
        let Some(at) = self.at()? else { return Ok(()) };
        let Some(form) = Form::of(at.quantity, self.set.system()) else { return Ok(()) };
        let figure = if at.quantity == Quantity::AirIn {
            self.look(at.unit, |own| {
                let entry = own.last(Quantity::CombustionAirTemp, at.phase)?;
                match &entry.body {
                    Body::Reading(reading) => reading.value.figure(),
                    _ => None,
                }
            })?
            .flatten()
        } else {
            match stop::plate(at.quantity).filter(|_| stop::plate_is_the_figure(at.quantity)) {
                Some(key) => self.look(at.unit, |own| own.figure(key))?.flatten(),
                None => None,
            }
        };
        match figure.and_then(|figure| form.typed(figure)) {
            Some(typed) => self.typing(|own| *own = typed),
            None => Ok(()),
        }
    }

    // --- entering ---

    /// The next key: enters what is typed, then goes on.
    fn next(&mut self) -> Result<(), DeviceError> {
        match self.state.place() {
            Place::Stop { unit, phase, n } if self.is_block(unit, n)? => {
                return self.leave_block(unit, phase, n);
            }
            Place::Entered { unit, .. } => return self.go(Place::Checks { unit }),
            _ => {}
        }
        let Some(at) = self.at()? else { return Ok(()) };
        if self.state.typing.of(at.quantity).is_none() {
            return self.onward(at);
        }
        if let Place::Pad { unit, phase, n, .. } = self.state.place()
            && n != OFF_THE_ROUND
            && self.is_block(unit, n)?
        {
            return self.next_of_block(unit, phase, n);
        }
        self.enter_or_ask(at)
    }

    fn is_block(&mut self, unit: ApplianceId, n: u8) -> Result<bool, DeviceError> {
        Ok(self.stop(unit, n)?.is_some_and(|stop| stop.fields.len() > 1))
    }

    /// Asks before a likely slip or a second figure of the same phase is entered.
    fn enter_or_ask(&mut self, at: At) -> Result<(), DeviceError> {
        let stands = self.own_reading(at)?;
        if let Some((stands, reads)) = stands {
            self.state.question = Some(Question::Again { stands, reads });
            return Ok(());
        }
        self.ask_about_slips(at, None)
    }

    /// Own reading of this quantity and phase that counts.
    fn own_reading(&mut self, at: At) -> Result<Option<(EntryId, String)>, DeviceError> {
        let me = self.device.identity().person;
        let found = self.look(at.unit, |own| {
            let entry = own.last(at.quantity, at.phase)?;
            let Body::Reading(reading) = &entry.body else { return None };
            (entry.stamp.by == me).then(|| (entry.id, reading.value.to_string()))
        })?;
        Ok(found.flatten())
    }

    fn ask_about_slips(&mut self, at: At, corrects: Option<EntryId>) -> Result<(), DeviceError> {
        let action = self.reading_action(at, corrects, None);
        let mut expected = vec![];
        for quantity in self.typed_of(at) {
            expected.push((quantity, self.expected(at.unit, quantity)?));
        }
        let of = |quantity: Quantity| {
            expected.iter().find(|(own, _)| *own == quantity).and_then(|(_, figure)| *figure)
        };
        let asked = doubts(&action, &of);
        if asked.is_empty() {
            return self.put(at, action);
        }
        self.effects.push(Effect::Buzz(2));
        self.state.question = Some(Question::Doubt(asked));
        Ok(())
    }

    /// The figures that are entered together with the one in hand.
    fn typed_of(&mut self, at: At) -> Vec<Quantity> {
        let block = at.n.and_then(|n| self.stop(at.unit, n).ok().flatten());
        match block {
            Some(stop) => stop.fields.to_vec(),
            None => vec![at.quantity],
        }
    }

    fn reading_action(
        &mut self,
        at: At,
        corrects: Option<EntryId>,
        unusual: Option<&str>,
    ) -> Action {
        let mut bodies = vec![];
        for quantity in self.typed_of(at) {
            let Some(form) = Form::of(quantity, self.set.system()) else { continue };
            let figure = self.state.typing.of(quantity).and_then(|typed| form.figure(typed));
            let Some(figure) = figure else { continue };
            let mut reading = self.reading(quantity, Measured::Figure(figure), at.phase);
            reading.corrects = corrects.filter(|_| quantity == at.quantity);
            reading.why_corrected = reading.corrects.map(|_| "typed wrongly".to_owned());
            reading.why_unusual = unusual.filter(|_| self.in_doubt(quantity)).map(str::to_owned);
            bodies.push(Body::from(reading));
        }
        Action::Enter(bodies)
    }

    fn in_doubt(&self, quantity: Quantity) -> bool {
        match &self.state.question {
            Some(Question::Doubt(asked)) => {
                asked.iter().any(|doubt| doubt.about == quantity.says())
            }
            _ => false,
        }
    }

    /// A reading with everything that is carried.
    fn reading(&self, quantity: Quantity, value: Measured, phase: Phase) -> Reading {
        let carried = &self.state.carried;
        let kind = stop::instrument(quantity);
        let instrument = kind.and_then(|kind| self.set.instruments.get(&kind.code()).copied());
        let flue = stop::FLUE.fields.contains(&quantity);
        Reading {
            condition: Some(carried.condition.clone()),
            steady_min: Some(carried.steady_min),
            early: (flue && carried.steady_min < STEADY_MIN).then_some(true),
            instrument,
            ..Reading::new(quantity, value, phase)
        }
    }

    /// Enters what is typed: a second reading, or one that corrects the first.
    fn enter(
        &mut self,
        corrects: Option<EntryId>,
        unusual: Option<&str>,
    ) -> Result<(), DeviceError> {
        let Some(at) = self.at()? else { return Ok(()) };
        if unusual.is_none() {
            return self.ask_about_slips(at, corrects);
        }
        let action = self.reading_action(at, corrects, unusual);
        self.put(at, action)
    }

    fn so_it_is(&mut self, why: &str) -> Result<(), DeviceError> {
        self.enter(None, Some(why))
    }

    fn put(&mut self, at: At, action: Action) -> Result<(), DeviceError> {
        let Action::Enter(bodies) = &action else { return Ok(()) };
        let outside = bodies.iter().any(asks_for_a_look);
        let sheet = self.sheet(at.unit)?;
        self.act(vec![(sheet, action)])?;
        if outside {
            self.effects.push(Effect::Buzz(2));
        }
        self.state.question = None;
        for quantity in self.typed_of(at) {
            self.state.typing.figures.remove(&quantity.code());
        }
        self.keep_typing(at)?;
        self.onward(at)
    }

    fn over_range(&mut self) -> Result<(), DeviceError> {
        let Some(at) = self.at()? else { return Ok(()) };
        let Some(form) = Form::of(at.quantity, self.set.system()) else { return Ok(()) };
        let unit = client_core::record::code::unit::UnitCode::of(form.unit);
        match unit {
            Some(unit) => self.put_value(at, Measured::OverRange(unit)),
            None => Ok(()),
        }
    }

    fn not_taken(&mut self, why: &str) -> Result<(), DeviceError> {
        let Some(at) = self.at()? else { return Ok(()) };
        self.put_value(at, Measured::NotTaken(why.to_owned()))
    }

    fn put_value(&mut self, at: At, value: Measured) -> Result<(), DeviceError> {
        let body = Body::from(self.reading(at.quantity, value, at.phase));
        let sheet = self.sheet(at.unit)?;
        self.act(vec![(sheet, Action::Enter(vec![body]))])?;
        self.state.typing.figures.remove(&at.quantity.code());
        self.keep_typing(at)?;
        match at.n {
            Some(n) if self.is_block(at.unit, n)? => self.next_of_block(at.unit, at.phase, n),
            _ => self.onward(at),
        }
    }

    // --- going on ---

    fn onward(&mut self, at: At) -> Result<(), DeviceError> {
        let Some(n) = at.n else {
            // A figure that a test asked for leads back to the search.
            let search = Place::Fault { unit: at.unit };
            if self.state.stack.contains(&search) {
                return self.go(search);
            }
            return self.go(Place::Entered { unit: at.unit, phase: at.phase });
        };
        if self.is_block(at.unit, n)? {
            return self.go(Place::Stop { unit: at.unit, phase: at.phase, n });
        }
        self.open_stop(at.unit, at.phase, n + 1)
    }

    /// The stop with this number; a block opens on its first empty figure.
    pub(super) fn open_stop(
        &mut self,
        unit: ApplianceId,
        phase: Phase,
        n: u8,
    ) -> Result<(), DeviceError> {
        let Some(stop) = self.stop(unit, n)? else {
            return self.go(Place::Entered { unit, phase });
        };
        if stop.fields.len() > 1
            && let Some(quantity) = self.first_empty(unit, phase, stop)?
        {
            return self.go(Place::Pad { unit, phase, n, quantity });
        }
        self.go(Place::Stop { unit, phase, n })
    }

    /// The first figure of a block that is neither typed nor read nor said not to be taken.
    fn first_empty(
        &mut self,
        unit: ApplianceId,
        phase: Phase,
        stop: &Stop,
    ) -> Result<Option<Quantity>, DeviceError> {
        let read = self.look(unit, |own| {
            let read = stop.fields.iter().filter(|quantity| own.last(**quantity, phase).is_some());
            read.copied().collect::<Vec<_>>()
        })?;
        let read = read.unwrap_or_default();
        let empty = |quantity: &&Quantity| {
            self.state.typing.of(**quantity).is_none() && !read.contains(quantity)
        };
        Ok(stop.fields.iter().find(empty).copied())
    }

    fn next_of_block(&mut self, unit: ApplianceId, phase: Phase, n: u8) -> Result<(), DeviceError> {
        let Some(stop) = self.stop(unit, n)? else { return Ok(()) };
        if let Some(quantity) = self.first_empty(unit, phase, stop)? {
            return self.go(Place::Pad { unit, phase, n, quantity });
        }
        let typed = stop.fields.iter().find(|quantity| self.state.typing.of(**quantity).is_some());
        match typed.copied() {
            Some(quantity) => self.enter_or_ask(At { unit, phase, n: Some(n), quantity }),
            None => self.go(Place::Stop { unit, phase, n }),
        }
    }

    /// From the block on: what is typed of it is entered, with or without the rest.
    fn leave_block(&mut self, unit: ApplianceId, phase: Phase, n: u8) -> Result<(), DeviceError> {
        let Some(stop) = self.stop(unit, n)? else { return Ok(()) };
        let typed = stop.fields.iter().find(|quantity| self.state.typing.of(**quantity).is_some());
        if let Some(quantity) = typed.copied() {
            return self.enter_or_ask(At { unit, phase, n: Some(n), quantity });
        }
        self.open_stop(unit, phase, n + 1)
    }

    /// What opens in place of a screen: the condition before the first block, the pad before an empty block.
    pub(super) const fn instead(&self, place: Place) -> Place {
        match place {
            Place::Stop { unit, phase, .. } if !self.state.carried.said => {
                Place::Condition { unit, phase }
            }
            other => other,
        }
    }

    fn phase(&mut self, unit: ApplianceId, phase: Phase) -> Result<(), DeviceError> {
        if !self.state.carried.said {
            self.state.carried.said = true;
            self.keep_carried()?;
        }
        // Changed in the middle of a round: on with the stop where the hands are.
        let below = self.state.stack.iter().rev().nth(1);
        if matches!(below, Some(Place::Stop { phase: own, .. } | Place::Pad { phase: own, .. }
            | Place::One { phase: own, .. }) if *own == phase)
        {
            return self.back();
        }
        self.open_stop(unit, phase, 0)
    }

    // --- condition ---

    fn condition(&mut self, deed: &Deed) -> Result<(), DeviceError> {
        let carried = &mut self.state.carried;
        match deed {
            Deed::Fire { stage } => carried.condition.stage = Some(*stage),
            Deed::Fan { state } => carried.condition.fan = Some(*state),
            Deed::Panel { state } => carried.condition.panel = Some(*state),
            Deed::Others { state } => carried.condition.others = Some(*state),
            Deed::Steady { minutes } => carried.steady_min = *minutes,
            _ => return Ok(()),
        }
        self.keep_carried()
    }

    fn keep_carried(&mut self) -> Result<(), DeviceError> {
        let bytes = minicbor::to_vec(&self.state.carried).expect("writing to memory does not fail");
        self.device.put_draft(DRAFT, &bytes)
    }
}

/// Stands for a stop in the pad of a figure that is not on the round.
pub const OFF_THE_ROUND: u8 = 255;

/// Whether CO in the room asks for a look at the screen at once.
fn asks_for_a_look(body: &Body) -> bool {
    match body {
        Body::Reading(reading) if reading.quantity == Quantity::AmbientCo => {
            let ppm = reading.value.figure().and_then(client_core::record::file::amount);
            ppm.is_some_and(|own: Amount| own.value >= 10.0)
        }
        _ => false,
    }
}

/// Whether the plate says what the figure is, or at least on which side of zero it lies.
const fn names_or_signs(quantity: Quantity) -> bool {
    stop::plate_is_the_figure(quantity) || matches!(quantity, Quantity::DraftDifferential)
}

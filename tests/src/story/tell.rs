//! The story, told while it is played, each figure held against the scenario.

use std::collections::BTreeMap;
use std::io::Write;

use client_core::record::body::Body;
use client_core::record::code::Quantity;
use client_core::record::contradiction::Contradiction;
use client_core::record::derived::signed;
use client_core::record::doc_id::{DocId, DocKind};
use client_core::record::file::{UnitInVisit, VisitFile};
use client_core::record::id::{EntryId, PersonId};
use client_core::record::read::Entry;
use client_core::record::value::Moment;

use super::day::{AHEAD_S, Seen};
use super::player::{Link, Player, StoryWrong, Who, moment};
use crate::world::Trip;

/// The story fits a terminal of eighty columns.
const COLUMNS: usize = 79;

/// Figures of the whole story.
#[derive(Clone, Debug, Default)]
pub struct Summary {
    /// Readings in the merged record, counters left out.
    pub readings: usize,
    /// Contradictions met, by the scenario's number.
    pub met: Vec<&'static str>,
    /// Round trips.
    pub rounds: u32,
    /// Exchanges.
    pub exchanges: u32,
}

/// Tells and checks.
pub struct Teller<'t> {
    out: &'t mut dyn Write,
    now_ms: &'t dyn Fn() -> u128,
    summary: Summary,
}

impl std::fmt::Debug for Teller<'_> {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        write!(out, "Teller({:?})", self.summary)
    }
}

/// Plays and tells the whole story. `now_ms` measures how long exchanges take.
pub fn tell(
    player: &mut Player,
    link: &mut Link<'_>,
    now_ms: &dyn Fn() -> u128,
    out: &mut dyn Write,
) -> Result<Summary, StoryWrong> {
    let mut teller = Teller { out, now_ms, summary: Summary::default() };
    teller.loading(player, link)?;
    teller.first_visit(player, link)?;
    teller.second_visit(player, link)?;
    teller.third_visit(player, link)?;
    teller.close(player)?;
    Ok(teller.summary)
}

/// Plays the story up to the evening of the second visit, and settles and signs nothing on the way: what is
/// left is for a supervisor to look at.
pub fn tell_unsettled(
    player: &mut Player,
    link: &mut Link<'_>,
    out: &mut dyn Write,
) -> Result<(), StoryWrong> {
    let mut teller = Teller { out, now_ms: &|| 0, summary: Summary::default() };
    teller.loading(player, link)?;
    teller.first_hall(player, link)?;
    teller.between(player, link)?;
    teller.second_hall(player, link)?;
    teller.late_work(player, link)
}

fn wrong_figure(what: &str, found: impl ToString, wanted: impl ToString) -> StoryWrong {
    StoryWrong::Figure {
        what: what.to_owned(),
        found: found.to_string(),
        wanted: wanted.to_string(),
    }
}

fn check<T: PartialEq + std::fmt::Debug>(
    what: &str,
    found: T,
    wanted: T,
) -> Result<(), StoryWrong> {
    if found == wanted {
        return Ok(());
    }
    Err(wrong_figure(what, format!("{found:?}"), format!("{wanted:?}")))
}

impl Teller<'_> {
    fn say(&mut self, line: &str) {
        let text = line.trim_start();
        let lead = " ".repeat(line.len() - text.len());
        let hang = format!("{lead}     ");
        let options =
            textwrap::Options::new(COLUMNS).initial_indent(&lead).subsequent_indent(&hang);
        let lines = textwrap::wrap(text, options);
        // A closed pipe must not stop the story: the figures are checked all the same.
        let _closed = writeln!(self.out, "{}", lines.join("\n"));
    }

    fn head(&mut self, line: &str) {
        self.say("");
        self.say(line);
        self.say(&"-".repeat(line.chars().count()));
    }

    fn meet(
        &mut self,
        player: &mut Player,
        link: &mut Link<'_>,
        who: Who,
        at: &str,
        ahead_s: i64,
    ) -> Result<Trip, StoryWrong> {
        let begin = (self.now_ms)();
        let trip = player.meet(link, who, moment(at), ahead_s)?;
        let took = (self.now_ms)().saturating_sub(begin);
        self.summary.rounds += trip.rounds;
        self.summary.exchanges += 1;
        let report = &trip.report;
        let others: u32 = report.news.entries.values().sum();
        self.say(&format!(
            "  {:<6} {} up {:>3} changes {:>4} B, down {:>3} changes {:>4} B, {} trip{}, {took} ms",
            who.name(),
            &at[11..],
            report.changes_up,
            trip.up,
            report.changes_down,
            trip.down,
            trip.rounds,
            if trip.rounds == 1 { "" } else { "s" },
        ));
        if others > 0 {
            let persons: BTreeMap<PersonId, u32> = report.news.entries.iter().fold(
                BTreeMap::new(),
                |mut sum, ((person, _), count)| {
                    *sum.entry(*person).or_default() += count;
                    sum
                },
            );
            for (person, count) in persons {
                self.say(&format!("          {} added {count} entries", name(player, person)));
            }
        }
        Ok(trip)
    }

    fn loading(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        self.head("The office loads the site (2024-10-01)");
        player.load_site(moment("2024-10-01T09:00"))?;
        let scenario = &player.scenario;
        let site = scenario.at(&["site", "name"]).as_str().unwrap_or_default().to_owned();
        self.say(&format!("  {site}: 6 areas, 14 positions, 14 appliances, 8 instruments"));
        self.meet(player, link, Who::Oriane, "2024-10-01T09:30", 0)?;
        Ok(())
    }

    fn first_visit(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        self.first_hall(player, link)?;
        let seen = player.see("V-1")?;
        self.contradictions(player, "V-1", &seen, &["K-2", "K-5", "K-6"])?;
        self.blockers(&seen);
        let at = moment("2024-10-09T08:30");
        self.settle(player, "V-1", at, &seen)?;
        self.sign(player, link, "V-1", "2024-10-09T08:40")
    }

    fn first_hall(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        player.plan(moment("2024-10-07T15:00"), "V-1")?;
        self.head("First visit, pre-season (2024-10-08)");
        self.say(" Morning, in the yard:");
        self.meet(player, link, Who::Oriane, "2024-10-07T15:10", 0)?;
        self.meet(player, link, Who::Dov, "2024-10-08T07:05", 0)?;
        player.mistake()?;
        self.meet(player, link, Who::Dov, "2024-10-08T07:15", 0)?;
        self.meet(player, link, Who::Ilse, "2024-10-08T07:20", 0)?;
        self.offline(player, "V-1", "2024-10-08T07:30", ["2024-10-08T17:20", "2024-10-08T17:20"])?;
        self.say(" Back at the truck:");
        self.meet(player, link, Who::Ilse, "2024-10-08T17:30", 0)?;
        self.meet(player, link, Who::Dov, "2024-10-08T17:35", 0)?;
        self.meet(player, link, Who::Ilse, "2024-10-08T17:40", 0)?;
        self.meet(player, link, Who::Oriane, "2024-10-09T08:20", 0)?;
        Ok(())
    }

    fn offline(
        &mut self,
        player: &mut Player,
        visit: &str,
        after: &str,
        upto: [&str; 2],
    ) -> Result<(), StoryWrong> {
        self.say(" In the hall, no signal:");
        for (who, upto) in [Who::Ilse, Who::Dov].into_iter().zip(upto) {
            let items = player.work(visit, who, moment(after), moment(upto))?;
            let unsent = player
                .device(who)
                .store()
                .read()
                .and_then(|read| client_core::device::standing::unsent(&read, player.site))
                .map_err(|wrong| StoryWrong::Device {
                    who: who.name().to_owned(),
                    wrong: wrong.into(),
                })?;
            self.say(&format!(
                "  {:<7} made {items} entries of the hand; {} changes are on this phone only",
                who.name(),
                unsent.changes
            ));
        }
        Ok(())
    }

    fn second_visit(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        self.between(player, link)?;
        self.second_hall(player, link)?;
        let seen = player.see("V-2")?;
        self.contradictions(player, "V-2", &seen, &["K-1", "K-3", "K-4", "K-7", "K-9"])?;
        self.blockers(&seen);
        self.settle(player, "V-2", moment("2025-01-22T14:30"), &seen)?;
        self.meet(player, link, Who::Oriane, "2025-01-22T14:35", 0)?;
        self.afternoon(player, link)?;
        self.sign(player, link, "V-2", "2025-01-23T09:05")
    }

    fn second_hall(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        self.head("Second visit, no heat (2025-01-22)");
        self.say(" The evening before, at the office:");
        player.plan(moment("2025-01-21T16:00"), "V-2")?;
        player.complaint()?;
        self.meet(player, link, Who::Oriane, "2025-01-21T16:40", 0)?;
        self.meet(player, link, Who::Ilse, "2025-01-21T17:30", 0)?;
        self.meet(player, link, Who::Dov, "2025-01-21T17:35", 0)?;
        self.say(" Overnight Dov's phone sets its clock 47 minutes ahead.");
        let start = "2025-01-22T07:00";
        self.offline(player, "V-2", start, ["2025-01-22T13:34", "2025-01-22T14:21"])?;
        self.say(" At the truck, early afternoon:");
        self.meet(player, link, Who::Ilse, "2025-01-22T13:35", 0)?;
        self.meet(player, link, Who::Dov, "2025-01-22T13:36", AHEAD_S)?;
        self.meet(player, link, Who::Ilse, "2025-01-22T13:37", 0)?;
        self.meet(player, link, Who::Oriane, "2025-01-22T13:50", 0)?;
        Ok(())
    }

    fn afternoon(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        self.late_work(player, link)?;
        let seen = player.see("V-2")?;
        self.contradictions(player, "V-2", &seen, &["K-8", "K-9"])?;
        self.settle(player, "V-2", moment("2025-01-23T09:00"), &seen)
    }

    /// Dov tests again, Ilse signs, and Dov's last readings come after her signature.
    fn late_work(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        self.say(" Later that afternoon:");
        let from = moment("2025-01-22T14:21");
        player.work("V-2", Who::Dov, from, moment("2025-01-22T15:46"))?;
        self.meet(player, link, Who::Dov, "2025-01-22T15:00", AHEAD_S)?;
        let evening = moment("2025-01-22T23:00");
        player.work("V-2", Who::Ilse, moment("2025-01-22T13:34"), evening)?;
        self.meet(player, link, Who::Ilse, "2025-01-22T15:05", 0)?;
        player.sign(Who::Ilse, moment("2025-01-22T15:10"), "V-2")?;
        self.say("  Ilse signs at 15:10, as far as her phone shows the record.");
        player.work("V-2", Who::Dov, moment("2025-01-22T15:46"), evening)?;
        self.meet(player, link, Who::Ilse, "2025-01-22T15:12", 0)?;
        self.meet(player, link, Who::Dov, "2025-01-22T16:20", AHEAD_S)?;
        self.meet(player, link, Who::Oriane, "2025-01-23T08:50", 0)?;
        Ok(())
    }

    /// Calibrations, the manufacturer's answer, and what was built in the meantime.
    fn between(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        self.head("Between the visits");
        let day = |text: &str| moment(&format!("{text}T09:00")).day();
        let at = moment("2024-10-21T09:00");
        player.calibrations(day("2024-10-01"), day("2025-01-20"), at)?;
        player.answer(moment("2024-11-04T10:20"))?;
        self.say("  The manufacturer answers Q-1 by letter: nine targets for UH-05, UH-06, UH-07.");
        self.meet(player, link, Who::Oriane, "2024-11-04T10:30", 0)?;
        Ok(())
    }

    fn third_visit(&mut self, player: &mut Player, link: &mut Link<'_>) -> Result<(), StoryWrong> {
        player.summer()?;
        let day = |text: &str| moment(&format!("{text}T09:00")).day();
        let at = moment("2025-08-05T09:00");
        player.calibrations(day("2025-01-20"), day("2025-10-01"), at)?;
        player.plan(moment("2025-10-13T15:00"), "V-3")?;
        self.head("Third visit, pre-season (2025-10-14 and 15)");
        self.say(" Morning, in the yard:");
        self.meet(player, link, Who::Oriane, "2025-10-13T15:10", 0)?;
        self.meet(player, link, Who::Dov, "2025-10-14T07:10", 0)?;
        self.meet(player, link, Who::Ilse, "2025-10-14T07:15", 0)?;
        let end = "2025-10-15T18:00";
        self.offline(player, "V-3", "2025-10-14T07:20", [end, end])?;
        self.say(" Back at the truck:");
        self.meet(player, link, Who::Dov, "2025-10-15T18:10", 0)?;
        self.meet(player, link, Who::Ilse, "2025-10-15T18:12", 0)?;
        self.meet(player, link, Who::Dov, "2025-10-15T18:14", 0)?;
        self.meet(player, link, Who::Oriane, "2025-10-16T08:10", 0)?;
        let seen = player.see("V-3")?;
        self.contradictions(player, "V-3", &seen, &[])?;
        self.blockers(&seen);
        self.sign(player, link, "V-3", "2025-10-16T08:30")
    }

    fn contradictions(
        &mut self,
        player: &mut Player,
        visit: &str,
        seen: &Seen,
        wanted: &[&'static str],
    ) -> Result<(), StoryWrong> {
        self.say(&format!(" What the two halves disagree on: {}", seen.contradictions.len()));
        let mut found: Vec<&'static str> = vec![];
        let told: Vec<(Option<&'static str>, Vec<String>)> = {
            let visit_id = player.visit(visit)?;
            let site = player.site;
            let names = names(player);
            let instruments: BTreeMap<EntryId, String> =
                player.instruments.iter().map(|(label, id)| (*id, label.clone())).collect();
            let device = player.device(Who::Oriane);
            let opened = device
                .open_visit(site, visit_id)
                .map_err(|wrong| StoryWrong::Device { who: "Oriane".to_owned(), wrong })?;
            let file = opened.file();
            let book = Book { file: &file, names, instruments };
            seen.contradictions.iter().map(|one| (number(&book, one), book.lines(one))).collect()
        };
        for (number, lines) in told {
            let Some(number) = number else {
                let words = lines.first().cloned().unwrap_or_default();
                return Err(wrong_figure("contradictions", words, "none that the scenario lacks"));
            };
            found.push(number);
            for (index, line) in lines.iter().enumerate() {
                let mark = if index == 0 { number } else { "" };
                self.say(&format!("  {mark:<4} {line}"));
            }
        }
        found.sort_unstable();
        check(&format!("contradictions of {visit}"), found.clone(), wanted.to_vec())?;
        for number in found {
            if !self.summary.met.contains(&number) {
                self.summary.met.push(number);
            }
        }
        Ok(())
    }

    fn blockers(&mut self, seen: &Seen) {
        if seen.blockers.is_empty() {
            self.say(" Nothing blocks the sign-off.");
            return;
        }
        self.say(" What blocks the sign-off:");
        for blocker in &seen.blockers {
            self.say(&format!("  - {}", blocker.says));
        }
    }

    fn settle(
        &mut self,
        player: &mut Player,
        visit: &str,
        at: Moment,
        seen: &Seen,
    ) -> Result<(), StoryWrong> {
        self.say(" Oriane settles:");
        for one in &seen.contradictions {
            let words = match one {
                Contradiction::Field { doc, field, .. } if field.def.key == "unit/status" => {
                    let reason = "AD-2 signed; Dov's entry was made before the fan-on test";
                    player.settle(at, *doc, "unit/status", "shut_down_tagged", reason)?;
                    format!("status: shut down, tagged ({reason})")
                }
                Contradiction::Field { doc, .. } => {
                    let reason = "photo PH-06; seven burners at 25 MBH";
                    player.settle(at, *doc, "plate/input", "175", reason)?;
                    format!("plate input: 175 MBH ({reason})")
                }
                Contradiction::Readings { .. } => {
                    player.settle_readings(at, one)?;
                    "the reading of the instrument in date governs; the other stays".to_owned()
                }
                Contradiction::RemovedWithEvidence { .. } => {
                    player.merge_units(at, one)?;
                    "UH-11 is closed as a duplicate of UH-04; its reading stays".to_owned()
                }
                Contradiction::Text { note, doc } => {
                    player.read_text(at, *note, *doc)?;
                    "the merged note reads well".to_owned()
                }
                Contradiction::Double { .. } => {
                    player.mark_double(at)?;
                    "one flame rod, entered twice; both lines stay, one counts".to_owned()
                }
                Contradiction::Check { .. } => {
                    "the check is left: one of the two tests again".to_owned()
                }
                Contradiction::Late { .. } => "a second signature will cover it".to_owned(),
                Contradiction::Clock { .. } if self.summary.met.contains(&"K-8") => {
                    let head = player.head_doc(visit)?;
                    let reason = "skew measured at the exchange: 47 min; stamps stay as entered";
                    player.settle_other(at, head, one, None, reason)?;
                    reason.to_owned()
                }
                Contradiction::Clock { .. } => "the clock is noted and kept in view".to_owned(),
                Contradiction::Release { .. } | Contradiction::Lock { .. } => {
                    return Err(wrong_figure("contradictions", one.key(), "none of this kind"));
                }
            };
            self.say(&format!("  - {words}"));
        }
        Ok(())
    }

    fn sign(
        &mut self,
        player: &mut Player,
        link: &mut Link<'_>,
        visit: &str,
        at: &str,
    ) -> Result<(), StoryWrong> {
        let seen = player.see(visit)?;
        let open: Vec<String> = seen
            .contradictions
            .iter()
            .filter(|one| !matches!(one, Contradiction::Late { .. }))
            .map(Contradiction::key)
            .collect();
        check("contradictions left at the sign-off", open, vec![])?;
        let blocking: Vec<String> = seen.blockers.iter().map(|one| one.says.clone()).collect();
        check("items that block the sign-off", blocking, vec![])?;
        player.sign(Who::Oriane, moment(at), visit)?;
        self.say(&format!(" Oriane signs {} at {}.", visit, &at[11..]));
        let later = format!("{}T{}", &at[..10], "18:00");
        for who in [Who::Oriane, Who::Ilse, Who::Dov] {
            self.meet(player, link, who, &later, 0)?;
        }
        for who in Who::ALL {
            let (site, id) = (player.site, player.visit(visit)?);
            let opened = player.device(who).open_visit(site, id);
            let opened =
                opened.map_err(|wrong| StoryWrong::Device { who: who.name().to_owned(), wrong })?;
            let file = opened.file();
            check(
                "signed by a supervisor, as every device shows it",
                file.signed().released,
                true,
            )?;
            let moved = signed::since_last(&file).map(|(_, moved)| moved);
            check("figures that moved since the sign-off", moved, Some(vec![]))?;
        }
        Ok(())
    }

    /// The merged record, counted on every device.
    fn close(&mut self, player: &mut Player) -> Result<(), StoryWrong> {
        self.head("The merged record");
        let mut counts = vec![];
        for who in Who::ALL {
            counts.push(count(player, who));
        }
        check("the same record on every device", counts[1], counts[0])?;
        check("the same record on every device", counts[2], counts[0])?;
        let [readings, checks, parts] = counts[0];
        let wanted = player.scenario.list("readings").len() + 1;
        check("readings (the scenario's and the one of K-6)", readings, wanted)?;
        check("checks", checks, player.scenario.list("checks").len())?;
        check("part lines", parts, player.scenario.list("parts").len())?;
        self.summary.readings = readings;
        self.summary.met.sort_unstable();
        let all = ["K-1", "K-2", "K-3", "K-4", "K-5", "K-6", "K-7", "K-8", "K-9"];
        check("contradictions of the scenario", self.summary.met.clone(), all.to_vec())?;
        self.say(&format!(
            "  {readings} readings, {checks} checks and {parts} part lines, the same on all three devices;"
        ));
        self.say(
            "  nine contradictions met, shown with both sides, and settled; nothing was lost.",
        );
        Ok(())
    }
}

/// Readings (counters left out), checks and part lines of all visits on one device.
fn count(player: &mut Player, who: Who) -> [usize; 3] {
    let site = player.site;
    let mut sheets = vec![];
    for visit in player.visits.values() {
        for unit in player.units.values() {
            sheets.push(DocId::new(site, DocKind::Sheet(*visit, *unit)));
        }
    }
    let mut counts = [0; 3];
    for sheet in sheets {
        let Ok(papers) = player.device(who).read_doc(sheet) else { continue };
        for entry in &papers.read.entries {
            match &entry.body {
                Body::Reading(reading) => {
                    let counter =
                        matches!(reading.quantity, Quantity::BurnerHours | Quantity::LockoutCount);
                    counts[0] += usize::from(!counter);
                }
                Body::Check(_) => counts[1] += 1,
                Body::Part(_) => counts[2] += 1,
                _ => {}
            }
        }
    }
    counts
}

fn names(player: &mut Player) -> BTreeMap<PersonId, String> {
    let people = player.device(Who::Oriane).people().unwrap_or_default();
    people.into_iter().filter_map(|row| Some((row.person, row.name?))).collect()
}

fn name(player: &mut Player, person: PersonId) -> String {
    names(player).remove(&person).unwrap_or_else(|| person.short())
}

/// The scenario's number of a contradiction.
fn number(book: &Book<'_>, one: &Contradiction) -> Option<&'static str> {
    Some(match one {
        Contradiction::Field { field, .. } if field.def.key == "unit/status" => "K-1",
        Contradiction::Field { field, .. } if field.def.key == "plate/input" => "K-2",
        Contradiction::Text { .. } => "K-3",
        Contradiction::Double { .. } => "K-4",
        Contradiction::Readings { doc, quantity: Quantity::ManifoldHigh, .. }
            if book.unit_no(*doc) == "UH-03" =>
        {
            "K-5"
        }
        Contradiction::RemovedWithEvidence { .. } => "K-6",
        Contradiction::Check { doc, .. } if book.unit_no(*doc) == "RT-01" => "K-7",
        Contradiction::Late { .. } => "K-8",
        Contradiction::Clock { ahead_s, .. } if (*ahead_s - AHEAD_S).abs() <= 60 => "K-9",
        _ => return None,
    })
}

/// What is needed to put a contradiction into words.
struct Book<'b> {
    file: &'b VisitFile<'b>,
    names: BTreeMap<PersonId, String>,
    instruments: BTreeMap<EntryId, String>,
}

impl Book<'_> {
    fn unit_no(&self, doc: DocId) -> String {
        let unit = doc.appliance().and_then(|appliance| self.file.unit(appliance));
        unit.map_or_else(|| "the visit".to_owned(), UnitInVisit::unit_no)
    }

    fn name(&self, person: PersonId) -> String {
        let known = self.names.get(&person);
        known.and_then(|name| name.split(' ').next()).unwrap_or("somebody").to_owned()
    }

    fn entry(&self, id: EntryId) -> Option<&Entry> {
        self.file.papers().find_map(|papers| papers.read.entry(id))
    }

    /// One side in a line: who, when, with what, and what they said.
    fn side(&self, id: EntryId) -> String {
        let Some(entry) = self.entry(id) else { return format!("entry {id}") };
        let said = match &entry.body {
            Body::Reading(reading) => {
                let instrument = reading.instrument.and_then(|id| self.instruments.get(&id));
                let instrument = instrument.map_or("no instrument", String::as_str);
                format!("{} with {instrument}", reading.value)
            }
            Body::Check(check) => check.result.says().to_owned(),
            Body::Part(part) => format!("{} {}", part.quantity.digits, part.part),
            body => body.kind().root().to_owned(),
        };
        format!("{} {}: {said}", self.name(entry.stamp.by), entry.stamp.at().clock())
    }

    /// A contradiction in lines: what, then each side.
    fn lines(&self, one: &Contradiction) -> Vec<String> {
        let sides = |head: String, ids: &[EntryId]| {
            std::iter::once(head).chain(ids.iter().map(|id| self.side(*id))).collect()
        };
        match one {
            Contradiction::Field { doc, field, merged } => {
                let governs = match merged.governs() {
                    Some(said) => {
                        format!("{} governs until it is settled", field.show(&said.value))
                    }
                    None => "nothing that rests on it is judged until it is settled".to_owned(),
                };
                let head =
                    format!("{} {}: two answers; {governs}", self.unit_no(*doc), field.def.says);
                let said = merged.sides().iter().map(|side| {
                    let clock = side.stamp.at().clock();
                    format!("{} {clock}: {}", self.name(side.stamp.by), field.show(&side.value))
                });
                std::iter::once(head).chain(said).collect()
            }
            Contradiction::Check { doc, item, sides: ids } => sides(
                format!("{} {}: two answers; the worse governs", self.unit_no(*doc), item.says()),
                ids,
            ),
            Contradiction::Readings { doc, quantity, phase, sides: ids, governs } => {
                let governs = governs.and_then(|id| self.entry(id));
                let governs = governs.map_or_else(
                    || "neither governs".to_owned(),
                    |entry| format!("{}'s governs (instrument in date)", self.name(entry.stamp.by)),
                );
                let head = format!(
                    "{} {} {}: {governs}",
                    self.unit_no(*doc),
                    quantity.says(),
                    phase.says()
                );
                sides(head, ids)
            }
            Contradiction::Text { doc, note } => {
                let text = self.file.papers().flat_map(|papers| &papers.read.texts);
                let text = text.into_iter().find(|text| text.note == *note);
                let text = text.map(|text| text.text.clone()).unwrap_or_default();
                vec![format!("{} note: two people edited it", self.unit_no(*doc)), text]
            }
            Contradiction::Double { doc, one, other } => sides(
                format!("{} part: perhaps entered twice", self.unit_no(*doc)),
                &[*one, *other],
            ),
            Contradiction::RemovedWithEvidence { entries, .. } => {
                vec![format!(
                    "UH-11 was taken off the list by Dov, and {entries} entry stands for it: refused"
                )]
            }
            Contradiction::Late { entries, .. } => {
                let persons: Vec<String> = entries
                    .iter()
                    .filter_map(|id| self.entry(*id))
                    .map(|entry| self.name(entry.stamp.by))
                    .collect();
                let who = persons.first().cloned().unwrap_or_default();
                vec![format!(
                    "{} entries of {who} came after the signature; heads decide, not clocks",
                    entries.len()
                )]
            }
            Contradiction::Clock { person, ahead_s } => vec![format!(
                "{}'s clock was {} min ahead of the hub; stamps stay, order is by causality",
                self.name(*person),
                ahead_s / 60
            )],
            Contradiction::Release { doc, .. } | Contradiction::Lock { doc, .. } => {
                vec![format!("{}: {}", self.unit_no(*doc), one.key())]
            }
        }
    }
}

//! One talk of a device with a hub, from the first request to "nothing left": the machine that decides
//! what is asked next. No clock, no socket, no store: what it needs to know is handed in.

use crate::exchange::frame::{
    Ask, Ladder, PersonRow, Reply, SignedNote, SitePack, SitePlace, Start, Wanted,
};
use crate::exchange::place;
use crate::exchange::place::Place;
use crate::record::doc_id::DocId;
use crate::record::id::SiteId;

/// Rounds without any progress after which a talk ends and says so.
const STUCK_ROUNDS: u32 = 3;
/// Most rounds of one talk: a runaway guard far above any first exchange.
const ROUNDS_MAX: u32 = 100_000;
/// Sites whose places are said in full while something is offered.
const PLACES_IN_FULL: usize = 8;

/// Where a device stands when it asks.
#[derive(Clone, Debug, Default)]
pub struct Standing {
    /// The device's clock, seconds since 1970.
    pub clock: i64,
    /// The device's day, for first exchanges.
    pub today: i32,
    /// Places of all sites followed.
    pub places: Vec<(SiteId, Place)>,
    /// Packs of unsent deliveries.
    pub packs: Vec<SitePack>,
    /// Ladders of the sites that [`Talk::climbing`] names.
    pub ladders: Vec<Ladder>,
    /// Cursors of the first exchanges that are not done.
    pub cursors: Vec<(SiteId, Vec<u8>)>,
    /// Sites that are followed by rows.
    pub by_rows: Vec<SiteId>,
    /// Version of the directory.
    pub directory: u64,
    /// Additions to the directory that wait.
    pub people: Vec<PersonRow>,
    /// Notes to be handed back to the hub.
    pub notes: Vec<SignedNote>,
}

/// What happens next.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum Next {
    /// Ask again.
    Again,
    /// Nothing is left to ask.
    Done,
    /// Nothing moves any more; what is left is tried another time.
    Stuck,
}

/// One talk.
#[derive(Clone, Debug, Default)]
pub struct Talk {
    in_full: bool,
    climbing: Vec<SiteId>,
    wanted: Vec<DocId>,
    rounds: u32,
    idle_rounds: u32,
}

/// What a reply changed on the device.
#[expect(clippy::struct_excessive_bools, reason = "five independent facts, each with its name")]
#[derive(Clone, Copy, Debug, Default, PartialEq, Eq)]
pub struct Moved {
    /// Something was taken in, echoed or answered.
    pub moved: bool,
    /// Sealed deliveries are left that the hub has not refused.
    pub offers_left: bool,
    /// First exchanges are left.
    pub starts_left: bool,
    /// The hub has more to tell.
    pub more: bool,
    /// The counter was too low.
    pub counter: bool,
}

impl Talk {
    /// A talk that also asks for some documents whole.
    pub fn new(wanted: Vec<DocId>) -> Talk {
        Talk { wanted, ..Talk::default() }
    }

    /// Sites for which the next request needs a ladder.
    pub fn climbing(&self) -> &[SiteId] {
        &self.climbing
    }

    /// Round trips so far.
    pub const fn rounds(&self) -> u32 {
        self.rounds
    }

    /// The next request.
    pub fn ask(&mut self, standing: Standing) -> Ask {
        self.rounds += 1;
        let offering = !standing.packs.is_empty();
        let few = standing.places.len() <= PLACES_IN_FULL;
        let in_full = self.in_full || (offering && few) || !standing.cursors.is_empty();
        let digest = (!in_full).then(|| place::digest(&standing.places, standing.directory));
        let offered = |site: &SiteId| standing.packs.iter().any(|pack| pack.site == *site);
        let places: Vec<SitePlace> = standing
            .places
            .iter()
            .filter(|(site, _)| in_full || offered(site))
            .map(|(site, place)| SitePlace { site: *site, place: *place })
            .collect();
        let starts = standing.cursors.into_iter().map(|(site, cursor)| Start {
            site,
            cursor: cursor.into(),
            today: standing.today,
        });
        let wanted =
            self.wanted.iter().map(|doc| Wanted { site: doc.site, doc: doc.to_bytes().into() });
        Ask {
            clock: standing.clock,
            digest,
            places: some(places),
            packs: some(standing.packs),
            ladders: some(standing.ladders),
            directory: Some(standing.directory),
            starts: some(starts.collect()),
            wanted: some(wanted.collect()),
            people: some(standing.people),
            notes: some(standing.notes),
            prepared: None,
            by_rows: if in_full || offering { some(standing.by_rows) } else { None },
        }
    }

    /// What the reply means for the talk; `moved` says what it changed on the device.
    pub fn hear(&mut self, reply: &Reply, moved: Moved) -> Next {
        let sites = reply.sites.as_deref().unwrap_or_default();
        // What did not fit the page is asked for again, as long as something comes.
        let before = self.wanted.len();
        let came: Vec<(SiteId, &[u8])> = sites
            .iter()
            .flat_map(|site| site.docs.iter().flatten().map(|whole| (site.site, &whole.doc[..])))
            .collect();
        self.wanted.retain(|doc| !came.contains(&(doc.site, &doc.to_bytes()[..])));
        if self.wanted.len() == before && !moved.counter {
            // A reply that only says which counter to use has not looked at what was wanted.
            self.wanted.clear();
        }
        let climb = sites.iter().filter(|site| site.climb == Some(true));
        self.climbing = climb.map(|site| site.site).collect();
        let say_places = reply.say_places == Some(true);
        self.in_full |= say_places || !self.climbing.is_empty();
        let tells = say_places
            || moved.more
            || moved.starts_left
            || !self.wanted.is_empty()
            || !self.climbing.is_empty();
        // To a revoked key nothing is told; what it has is still taken.
        let again = moved.offers_left || moved.counter || (tells && reply.revoked.is_none());
        if !again {
            return Next::Done;
        }
        self.idle_rounds = if moved.moved { 0 } else { self.idle_rounds + 1 };
        if self.idle_rounds >= STUCK_ROUNDS || self.rounds >= ROUNDS_MAX {
            return Next::Stuck;
        }
        Next::Again
    }
}

fn some<T>(list: Vec<T>) -> Option<Vec<T>> {
    if list.is_empty() { None } else { Some(list) }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::exchange::frame::{SiteReply, encode};
    use crate::record::doc_id::DocKind;
    use crate::record::id::LogId;

    fn place(site: u8) -> (SiteId, Place) {
        let site = SiteId([site; 8]);
        (site, Place::begin(LogId([1; 8]), site))
    }

    #[test]
    fn an_idle_device_asks_with_one_digest_whatever_it_follows() {
        let sizes = [1, 300].map(|count| {
            let places = (0..count).map(|n| place(u8::try_from(n % 250).unwrap())).collect();
            let ask = Talk::default().ask(Standing { places, ..Standing::default() });
            assert!(ask.places.is_none() && ask.digest.is_some());
            encode(&ask).len()
        });
        assert_eq!(sizes[0], sizes[1]);
        assert!(sizes[0] < 40, "{}", sizes[0]);
    }

    #[test]
    fn what_is_wanted_is_asked_for_again_when_only_the_counter_was_too_low() {
        let doc = DocId::new(SiteId([1; 8]), DocKind::Site);
        let mut talk = Talk::new(vec![doc]);
        let asked =
            |talk: &mut Talk| talk.ask(Standing::default()).wanted.map_or(0, |all| all.len());
        assert_eq!(asked(&mut talk), 1);
        let low = Reply { counter: Some(7), ..Reply::default() };
        let counter = Moved { counter: true, ..Moved::default() };
        assert_eq!(talk.hear(&low, counter), Next::Again);
        assert_eq!(asked(&mut talk), 1, "nobody has answered it yet");
        assert_eq!(talk.hear(&Reply::default(), Moved::default()), Next::Done);
        assert_eq!(asked(&mut talk), 0, "a reply that looked and had nothing is an answer");
    }

    #[test]
    fn a_talk_ends_when_nothing_is_left_or_nothing_moves() {
        let mut talk = Talk::default();
        let standing = Standing { places: vec![place(1)], ..Standing::default() };
        talk.ask(standing.clone());
        assert_eq!(talk.hear(&Reply::default(), Moved::default()), Next::Done);
        let asks = Reply { say_places: Some(true), ..Reply::default() };
        assert_eq!(talk.hear(&asks, Moved::default()), Next::Again);
        assert!(talk.ask(standing.clone()).places.is_some());
        let mut climb = SiteReply::new(SiteId([1; 8]));
        climb.climb = Some(true);
        let climb = Reply { sites: Some(vec![climb]), ..Reply::default() };
        assert_eq!(talk.hear(&climb, Moved::default()), Next::Again);
        assert_eq!(talk.climbing(), [SiteId([1; 8])]);
        assert_eq!(talk.hear(&climb, Moved::default()), Next::Stuck);
    }
}

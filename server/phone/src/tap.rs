//! What a finger can do: a closed list, written into the screens as words and read back from them.

use client_core::record::code::{
    AdvisorySeverity, CheckItem, CheckResult, Gas, GasPartKind, InstrumentKind, LabourKind, Phase,
    Quantity, Running, Stage, System, VisitKind, WorkKind,
};
use client_core::record::id::{ActorHalf, ApplianceId, EntryId, SiteId, VisitId};

/// Something that stands in a tap as one word.
trait Token: Sized {
    fn put(&self) -> String;
    fn take(word: &str) -> Option<Self>;
}

macro_rules! ids {
    ($($name:ident)*) => {$(
        impl Token for $name {
            fn put(&self) -> String { self.to_string() }
            fn take(word: &str) -> Option<Self> { word.parse().ok() }
        }
    )*};
}
ids!(ApplianceId SiteId VisitId u8 u16 u32);

macro_rules! codes {
    ($($name:ident)*) => {$(
        impl Token for $name {
            fn put(&self) -> String { self.key().to_owned() }
            fn take(word: &str) -> Option<Self> { $name::from_key(word) }
        }
    )*};
}
codes!(AdvisorySeverity CheckItem CheckResult Gas GasPartKind InstrumentKind LabourKind Phase Quantity
    Running Stage System VisitKind WorkKind);

impl Token for EntryId {
    fn put(&self) -> String {
        format!("{}.{}", self.actor.hex(), self.n)
    }
    fn take(word: &str) -> Option<EntryId> {
        let (actor, n) = word.split_once('.')?;
        Some(EntryId { actor: ActorHalf::from_hex(actor)?, n: n.parse().ok()? })
    }
}

/// A key of a fault table or a list: one word without spaces.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Name(pub String);

impl Token for Name {
    fn put(&self) -> String {
        self.0.clone()
    }
    fn take(word: &str) -> Option<Name> {
        let fits = !word.is_empty() && word.len() <= 160;
        fits.then(|| Name(word.to_owned()))
    }
}

macro_rules! spoken {
    ($(#[$doc:meta])* $name:ident {
        $($word:ident { $($arg:ident : $kind:ty),* } = $text:literal $says:literal,)*
    }) => {
        $(#[$doc])*
        #[derive(Clone, Debug, PartialEq, Eq)]
        #[expect(missing_docs, reason = "each variant says what it is, its arguments are named")]
        pub enum $name { $(#[doc = $says] $word { $($arg: $kind),* },)* }

        impl $name {
            fn write(&self) -> String {
                match self { $($name::$word { $($arg),* } => {
                    let words: Vec<String> = vec![$text.to_owned(), $($arg.put()),*];
                    words.join(" ")
                })* }
            }

            fn read<'w>(first: &str, rest: &mut impl Iterator<Item = &'w str>) -> Option<$name> {
                match first {
                    $($text => Some($name::$word { $($arg: Token::take(rest.next()?)?),* }),)*
                    _ => None,
                }
            }
        }

        impl std::fmt::Display for $name {
            fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
                out.write_str(&self.write())
            }
        }

        impl std::str::FromStr for $name {
            type Err = ();
            fn from_str(text: &str) -> Result<$name, ()> {
                let mut words = text.split(' ');
                let first = words.next().unwrap_or_default();
                let read = $name::read(first, &mut words).ok_or(())?;
                if words.next().is_some() { Err(()) } else { Ok(read) }
            }
        }
    };
}

spoken! {
    /// Where somebody is: one screen.
    Place {
        Sites {} = "sites" "Buildings and their visits.",
        Units {} = "units" "The units of the visit.",
        Find {} = "find" "Finding a unit.",
        Unit { unit: ApplianceId } = "unit" "One unit.",
        More { unit: ApplianceId } = "more" "Everything else that can be done at a unit.",
        Turn { unit: ApplianceId, phase: Phase } = "turn" "Asks before the phase changes.",
        Condition { unit: ApplianceId, phase: Phase } = "condition" "Stage, fan, panels, minutes.",
        Stop { unit: ApplianceId, phase: Phase, n: u8 } = "stop" "One stop of the hands.",
        Pad { unit: ApplianceId, phase: Phase, n: u8, quantity: Quantity } = "pad" "The pad for one figure.",
        Extra { unit: ApplianceId, phase: Phase } = "extra" "Figures that are not on the round.",
        One { unit: ApplianceId, phase: Phase, quantity: Quantity } = "one" "The pad for a figure off the round.",
        Cannot { unit: ApplianceId, phase: Phase, n: u8, quantity: Quantity } = "cannot" "Why a figure could not be taken.",
        Entered { unit: ApplianceId, phase: Phase } = "entered" "What was entered, and what it comes to.",
        Entry { unit: ApplianceId, entry: EntryId } = "entry" "One entry: correct it or take it out.",
        Checks { unit: ApplianceId } = "checks" "Checks.",
        Found { unit: ApplianceId } = "found" "A finding: the cause.",
        Work { unit: ApplianceId } = "work" "What was done.",
        Setting { unit: ApplianceId } = "setting" "A setting changed: before and after.",
        Parts { unit: ApplianceId } = "parts" "Parts used.",
        GasParts { unit: ApplianceId } = "gasparts" "Parts that belong to one gas, as seen.",
        Photos { unit: ApplianceId } = "photos" "Photos.",
        Notes { unit: ApplianceId } = "notes" "Notes.",
        Note { unit: ApplianceId, entry: EntryId } = "note" "One note.",
        Advise { unit: ApplianceId } = "advise" "An advisory.",
        Told { unit: ApplianceId, entry: EntryId } = "told" "Who was told, and the answer.",
        ShutDown { unit: ApplianceId } = "shutdown" "Shut the unit down.",
        Locks { unit: ApplianceId } = "locks" "Locks on and off.",
        AskMaker { unit: ApplianceId } = "askmaker" "A question to the maker.",
        NotReached { unit: ApplianceId } = "notreached" "Why the unit was not reached.",
        Plate { unit: ApplianceId } = "plate" "The plate, register by register.",
        Two { unit: ApplianceId } = "two" "Two answers.",
        Slip { unit: ApplianceId } = "slip" "The column slip.",
        Fault { unit: ApplianceId } = "fault" "Finding the fault: where it stands, and the next test.",
        Start { unit: ApplianceId } = "start" "A start, followed step by step.",
        LastSeen { unit: ApplianceId } = "lastseen" "The last thing that was seen of a start.",
        DoesWhat { unit: ApplianceId } = "doeswhat" "What the unit does: the symptom.",
        InOrder { unit: ApplianceId } = "inorder" "What is in order before a test.",
        Tests { unit: ApplianceId } = "tests" "Every test that may be made, and those held back.",
        Hours {} = "hours" "Working time.",
        Sign {} = "sign" "Sign-off and what blocks it.",
        Exchange {} = "exchange" "The exchange and its news.",
        Differ {} = "differ" "Everything that two people answered differently.",
        Hand {} = "hand" "Hand-over file.",
        Instruments {} = "instruments" "Instruments.",
        Timers {} = "timers" "Timers.",
        Settings {} = "settings" "Settings.",
        Record {} = "record" "After a gas smell: what to record.",
    }
}

spoken! {
    /// What a tap does, beside going somewhere.
    Deed {
        Back {} = "back" "One screen back.",
        Home {} = "home" "The units of the visit.",
        Visit { site: SiteId, visit: VisitId } = "visit" "Choose a visit.",
        Begin { site: SiteId, kind: VisitKind } = "begin" "Begin a visit that nobody planned.",
        Here { unit: ApplianceId } = "here" "I am working here, or not any more.",
        Order {} = "order" "By area, or in walk order.",
        Show { what: Name } = "show" "All units, mine, those still open.",
        Label {} = "label" "A unit label was scanned.",
        Digit { digit: u8 } = "digit" "A digit.",
        Wipe {} = "wipe" "The last digit.",
        Minus {} = "minus" "The sign.",
        Same {} = "same" "Same as plate.",
        Next {} = "next" "Enter and go to the next stop.",
        SoItIs { why: Name } = "soitis" "The unusual figure is so, and why.",
        Again {} = "again" "Read again: a second reading.",
        Correct {} = "correct" "The first was typed wrongly.",
        Over {} = "over" "The instrument shows over range.",
        Why { why: Name } = "why" "Why a figure could not be taken.",
        WhyTyped {} = "whytyped" "The same, in words.",
        Fire { stage: Stage } = "fire" "Firing stage.",
        Fan { state: Running } = "fan" "Circulating fan.",
        Panel { state: Running } = "panel" "Panels.",
        Others { state: Running } = "others" "Other units.",
        Steady { minutes: u16 } = "steady" "Minutes at steady state.",
        Phase { unit: ApplianceId, phase: Phase } = "phase" "Go on in this phase.",
        Check { unit: ApplianceId, item: CheckItem, result: CheckResult } = "check" "A check.",
        Cause { unit: ApplianceId, cause: Name } = "cause" "A cause is chosen.",
        FoundIt { unit: ApplianceId } = "foundit" "Enter the finding.",
        Kind { kind: WorkKind } = "kind" "Kind of work.",
        Touch { system: System } = "touch" "What the work touched.",
        DidIt { unit: ApplianceId } = "didit" "Enter the work.",
        SetIt { unit: ApplianceId } = "setit" "Enter a changed setting.",
        UsePart { unit: ApplianceId } = "usepart" "Enter a part.",
        Seen { unit: ApplianceId } = "seen" "Enter a gas part as seen.",
        PartKind { kind: GasPartKind } = "partkind" "Which gas part.",
        ForGas { gas: Gas } = "forgas" "The gas a part is for.",
        PutNote { unit: ApplianceId } = "putnote" "Enter a note.",
        EditNote { unit: ApplianceId, entry: EntryId } = "editnote" "Keep an edited note.",
        Severity { severity: AdvisorySeverity } = "severity" "How serious.",
        PutAdvice { unit: ApplianceId } = "putadvice" "Enter an advisory.",
        PutTold { unit: ApplianceId, entry: EntryId } = "puttold" "Enter who was told.",
        Isolate { what: Name } = "isolate" "An isolation, made or not.",
        PutShutDown { unit: ApplianceId } = "putshutdown" "Shut it down.",
        LockOn { unit: ApplianceId } = "lockon" "A lock is on.",
        LockOff { unit: ApplianceId, entry: EntryId } = "lockoff" "My lock is off.",
        PutQuestion { unit: ApplianceId } = "putquestion" "Ask the maker.",
        NotReachedFor { unit: ApplianceId, why: Name } = "notreachedfor" "Close as not reached.",
        LeftAsFound { unit: ApplianceId } = "leftasfound" "Close as left as found.",
        Done { unit: ApplianceId } = "done" "Close as done.",
        SetPlate { unit: ApplianceId } = "setplate" "Set plate registers.",
        Settle { unit: ApplianceId, key: Name, entry: EntryId } = "settle" "Settle two answers.",
        Doubles { unit: ApplianceId, key: Name, same: u8 } = "doubles" "One event, or two.",
        ReadText { unit: ApplianceId, key: Name } = "readtext" "The merged text reads well.",
        StartNow { unit: ApplianceId } = "startnow" "The call for heat is on: a start begins.",
        Stamp { unit: ApplianceId, step: u8 } = "stamp" "A step of the start was seen.",
        Weak { unit: ApplianceId, step: u8 } = "weak" "A step happened, but weakly.",
        StopAfter { unit: ApplianceId, step: u8 } = "stopafter" "The step after this one did not happen.",
        ItDoes { unit: ApplianceId, symptom: Name } = "itdoes" "The symptom.",
        Gave { unit: ApplianceId, test: Name, outcome: u8 } = "gave" "The result of a test.",
        PickTest { unit: ApplianceId, test: Name } = "picktest" "Another test than the one that tells most.",
        Able { care: Name } = "able" "A care that can be met today.",
        Saw { unit: ApplianceId, what: Name } = "saw" "A sign that was seen.",
        Control { unit: ApplianceId, what: Name, to: Name } = "control" "How the control was found.",
        NoSmell { unit: ApplianceId } = "nosmell" "No gas smell, high and low.",
        GasChecked { unit: ApplianceId } = "gaschecked" "Gas checked after two trials: the wait begins.",
        Waited { unit: ApplianceId } = "waited" "The wait is over.",
        ItIs { unit: ApplianceId, cause: Name } = "itis" "The cause that a person settles on.",
        Void { unit: ApplianceId, entry: EntryId } = "void" "Take an own entry out of the count.",
        Labour { kind: LabourKind, minutes: u16 } = "labour" "Working time.",
        Large { unit: ApplianceId, photo: Name } = "large" "A photo is to be seen large.",
        SignIt {} = "signit" "Sign.",
        Undraw { what: Name } = "undraw" "Wipe a drawn signature.",
        Sync {} = "sync" "Exchange now.",
        Export {} = "export" "Write everything unsent into a file.",
        TakeIn {} = "takein" "Take a hand-over file in.",
        Use { kind: InstrumentKind, entry: EntryId } = "use" "Use this instrument.",
        Zero { entry: EntryId } = "zero" "Zeroed in clean air, or at no pressure.",
        Timer { what: Name, seconds: u32 } = "timer" "Start a timer.",
        TimerOff { n: u8 } = "timeroff" "Take a timer away.",
        Set { what: Name, to: Name } = "set" "A setting of this phone.",
        Choose { what: Name, to: Name } = "choose" "One of several, on the screen.",
        Outside {} = "outside" "Outside, after a gas smell.",
        PutEmergency {} = "putemergency" "Record what happened.",
        Copy { what: Name } = "copy" "Copy a text.",
        Lamp {} = "lamp" "The phone's lamp.",
        Open {} = "open" "The program was opened again.",
    }
}

/// A tap as it comes from the screen.
#[derive(Clone, Debug, PartialEq, Eq)]
pub enum Tap {
    /// Go to a place.
    Go(Place),
    /// Do something.
    Do(Deed),
}

impl std::fmt::Display for Tap {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        match self {
            Tap::Go(place) => write!(out, "go {place}"),
            Tap::Do(deed) => deed.fmt(out),
        }
    }
}

impl std::str::FromStr for Tap {
    type Err = ();
    fn from_str(text: &str) -> Result<Tap, ()> {
        match text.strip_prefix("go ") {
            Some(place) => place.parse().map(Tap::Go),
            None => text.parse().map(Tap::Do),
        }
    }
}

impl From<Place> for Tap {
    fn from(place: Place) -> Tap {
        Tap::Go(place)
    }
}

impl From<Deed> for Tap {
    fn from(deed: Deed) -> Tap {
        Tap::Do(deed)
    }
}

impl Place {
    /// The unit of the screen, where it has one.
    pub const fn unit(&self) -> Option<ApplianceId> {
        match self {
            Place::Unit { unit }
            | Place::More { unit }
            | Place::Turn { unit, .. }
            | Place::Condition { unit, .. }
            | Place::Stop { unit, .. }
            | Place::Pad { unit, .. }
            | Place::Extra { unit, .. }
            | Place::One { unit, .. }
            | Place::Cannot { unit, .. }
            | Place::Entered { unit, .. }
            | Place::Entry { unit, .. }
            | Place::Checks { unit }
            | Place::Found { unit }
            | Place::Work { unit }
            | Place::Setting { unit }
            | Place::Parts { unit }
            | Place::GasParts { unit }
            | Place::Photos { unit }
            | Place::Notes { unit }
            | Place::Note { unit, .. }
            | Place::Advise { unit }
            | Place::Told { unit, .. }
            | Place::ShutDown { unit }
            | Place::Locks { unit }
            | Place::AskMaker { unit }
            | Place::NotReached { unit }
            | Place::Plate { unit }
            | Place::Fault { unit }
            | Place::Start { unit }
            | Place::LastSeen { unit }
            | Place::DoesWhat { unit }
            | Place::InOrder { unit }
            | Place::Tests { unit }
            | Place::Two { unit }
            | Place::Slip { unit } => Some(*unit),
            _ => None,
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn what_stands_in_a_screen_is_read_back() {
        let unit = ApplianceId([7; 8]);
        let entry = EntryId { actor: ActorHalf([3; 8]), n: 12 };
        let places = [
            Place::Units {},
            Place::Stop { unit, phase: Phase::AsFound, n: 3 },
            Place::Told { unit, entry },
        ];
        for place in places {
            assert_eq!(place.to_string().parse(), Ok(place.clone()));
            assert_eq!(Tap::from(place.clone()).to_string().parse(), Ok(Tap::Go(place)));
        }
        let deed = Deed::Check { unit, item: CheckItem::PortsClosed, result: CheckResult::Pass };
        assert_eq!(Tap::from(deed.clone()).to_string().parse(), Ok(Tap::Do(deed)));
    }

    #[test]
    fn anything_else_is_no_tap() {
        for text in
            ["", "go", "go nowhere", "digit", "digit 5 6", "digit x", "unit 00", "digit 300"]
        {
            assert_eq!(text.parse::<Tap>(), Err(()), "{text}");
        }
    }
}

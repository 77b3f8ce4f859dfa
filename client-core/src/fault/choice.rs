//! The closed lists that the fault tables speak in, each with its set.

/// Makes an enum with its keys, and a set of its members in one byte.
macro_rules! choices {
    (
        $(#[$doc:meta])* $name:ident, $(#[$set_doc:meta])* $set:ident,
        { $($(#[$member_doc:meta])* $member:ident = $key:literal),+ $(,)? }
    ) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
        pub enum $name { $($(#[$member_doc])* $member),+ }

        impl $name {
            /// Every member in order.
            pub const ALL: &[Self] = &[$(Self::$member),+];

            /// The key that files and records use.
            pub fn key(self) -> &'static str {
                match self { $(Self::$member => $key),+ }
            }

            /// The member with this key.
            pub fn from_key(key: &str) -> Option<Self> {
                Self::ALL.iter().copied().find(|member| member.key() == key)
            }
        }

        $(#[$set_doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
        pub struct $set(u8);

        impl $set {
            /// No member.
            pub const NONE: Self = Self(0);

            /// Every member.
            pub fn all() -> Self {
                Self::of($name::ALL)
            }

            /// These members.
            pub fn of(members: &[$name]) -> Self {
                members.iter().fold(Self::NONE, |set, member| set.with(*member))
            }

            /// The same set with `member` in it.
            #[must_use]
            pub fn with(self, member: $name) -> Self {
                Self(self.0 | 1 << member as u8)
            }

            /// The same set without `member`.
            #[must_use]
            pub fn without(self, member: $name) -> Self {
                Self(self.0 & !(1 << member as u8))
            }

            /// Whether `member` is in it.
            pub fn has(self, member: $name) -> bool {
                self.0 & 1 << member as u8 != 0
            }

            /// Whether nothing is in it.
            pub fn is_empty(self) -> bool {
                self.0 == 0
            }

            /// Its members in order.
            pub fn members(self) -> impl Iterator<Item = $name> {
                $name::ALL.iter().copied().filter(move |member| self.has(*member))
            }
        }
    };
}

choices! {
    /// How a unit lights and what it is: decides the sequence and the causes that are possible.
    Family,
    /// A set of families.
    FamilySet,
    {
        /// Intermittent spark pilot with inducer.
        Isp = "isp",
        /// Direct spark.
        Dsi = "dsi",
        /// Hot surface igniter.
        Hsi = "hsi",
        /// Standing pilot with thermocouple.
        Spc = "spc",
        /// Infrared tube heater.
        Irt = "irt",
        /// Modulating make-up air with flame rod.
        Mua = "mua",
        /// Two-stage duct furnace or rooftop unit.
        Two = "two",
        /// Boiler.
        Blr = "blr",
    }
}

choices! {
    /// What the unit must be doing while a test is made.
    State,
    /// A set of operating states.
    StateSet,
    {
        /// No flame and no attempt at one.
        Off = "off",
        /// The inducer runs, nothing else yet.
        Inducer = "inducer",
        /// A trial for ignition.
        Trial = "trial",
        /// A pilot flame.
        Pilot = "pilot",
        /// A main flame for seconds.
        Brief = "brief",
        /// A main flame for minutes.
        Steady = "steady",
    }
}

impl State {
    /// Whether reaching this state lights something.
    pub fn fires(self) -> bool {
        self >= Self::Trial
    }
}

choices! {
    /// What a test needs from the unit.
    Need,
    /// A set of needs.
    NeedSet,
    {
        /// Electrical supply on.
        Power = "power",
        /// A call for heat.
        Call = "call",
        /// Gas cock open.
        Gas = "gas",
        /// A flame.
        Flame = "flame",
    }
}

choices! {
    /// What a person must have in order before a test.
    Care,
    /// A set of cares.
    CareSet,
    {
        /// No opening, no contact; eyes, ears, nose and ambient CO monitor first.
        Look = "look",
        /// Qualified person, covers and insulated probes, dry hands, one test at a time.
        Live = "live",
        /// Power locked out and tried dead, gas cock closed and tagged, parts cool.
        Locked = "locked",
        /// Test port opened only with that line isolated; closed and soaped afterwards.
        Port = "port",
        /// No gas smell, ambient CO under 10 ppm, full pre-purge, face away at light-off, panel back.
        Firing = "firing",
        /// Ladder footed or lift inspected, second technician in sight, tools tethered, zone kept clear.
        Height = "height",
        /// Roof access permit, edge distance or fall arrest, weather acceptable.
        Roof = "roof",
    }
}

impl Care {
    /// The care in words, as it is asked for before the test.
    pub fn words(self) -> &'static str {
        match self {
            Self::Look => {
                "no opening, no contact; eyes, ears, nose and the ambient CO monitor first"
            }
            Self::Live => {
                "qualified person, covers and insulated probes, dry hands, one test at a time"
            }
            Self::Locked => {
                "power padlocked and tried dead, gas cock closed and tagged, parts cool"
            }
            Self::Port => {
                "test port opened only with that line isolated; port closed and soaped afterwards"
            }
            Self::Firing => {
                "no gas smell, ambient CO under 10 ppm, full pre-purge, face away at light-off, panel \
                 back for final figures"
            }
            Self::Height => {
                "ladder footed or lift inspected, second technician in sight, tools tethered, zone \
                 below kept clear"
            }
            Self::Roof => "roof access permit, edge distance or fall arrest, weather acceptable",
        }
    }
}

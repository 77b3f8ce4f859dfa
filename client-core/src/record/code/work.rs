//! Words about the work itself.

super::vocabulary! {
    /// When, relative to the work, a reading was taken. It is part of the reading, not a folder.
    Phase {
        /// Before anything was cleaned or adjusted.
        AsFound = 1 "as_found" "found",
        InWork = 2 "in_work" "in work",
        /// After the work, unit steady, panels on.
        AsLeft = 3 "as_left" "left",
        Baseline = 4 "baseline" "baseline",
        Spot = 5 "spot" "spot",
    }

    /// Firing stage while a reading was taken.
    Stage {
        Off = 1 "off" "off",
        Pilot = 2 "pilot" "pilot only",
        Low = 3 "low" "low fire",
        High = 4 "high" "high fire",
        Between = 5 "between" "between low and high",
        HighCalledStaysLow = 6 "high_called_stays_low" "high fire called, stays low",
        Trial = 7 "trial" "trial for ignition",
    }

    /// Whether something ran, was on or was in place.
    Running {
        Off = 1 "off" "off",
        On = 2 "on" "on",
        SomeOn = 3 "some_on" "some on",
        None = 4 "none" "none fitted",
    }

    /// Where a figure comes from.
    Method {
        Measured = 1 "measured" "measured",
        /// Worked out inside the instrument, so never a second witness.
        InstrumentCalculated = 2 "instrument_calculated" "calculated by the instrument",
        FromPrintout = 3 "from_printout" "from printout",
        ReadFromGauge = 4 "read_from_gauge" "read from a fixed gauge",
    }

    /// What state an appliance is in. Cautious-first: the more careful of two governs.
    Status {
        InService = 1 "in_service" "in service",
        InServicePartAwaited = 2 "in_service_part_awaited" "in service, part awaited",
        Watch = 3 "watch" "watch",
        ShutDownTagged = 4 "shut_down_tagged" "shut down, tagged",
        /// The unit's own control has stopped it; not a padlock.
        ControlLockedOut = 5 "control_locked_out" "control locked out",
        Removed = 6 "removed" "removed",
        Unknown = 7 "unknown" "not known",
    }

    /// How serious an advisory is.
    AdvisorySeverity {
        Note = 1 "note" "note",
        Advise = 2 "advise" "advise",
        Urgent = 3 "urgent" "urgent",
        ShutDown = 4 "shut_down" "shut down",
    }

    /// A gas, of a plate, a supply or a part.
    Gas {
        Natural = 1 "natural" "natural gas",
        Lp = 2 "lp" "LP",
        Other = 3 "other_gas" "another gas",
        Both = 4 "both" "natural gas and LP",
        NotKnown = 5 "not_known" "not known",
    }

    /// A part that belongs to one gas.
    GasPartKind {
        MainOrifice = 1 "main_orifice" "main orifice",
        PilotOrifice = 2 "pilot_orifice" "pilot orifice",
        RegulatorSpring = 3 "regulator_spring" "regulator spring",
        Valve = 4 "valve" "gas valve",
        AirShutter = 5 "air_shutter" "air shutter or venturi piece",
        ConversionLabel = 6 "conversion_label" "conversion label",
        FlameControl = 7 "flame_control" "flame control",
    }

    /// What was checked.
    CheckItem {
        LeakCheck = 1 "leak_check" "leak check at the joints opened",
        PortsClosed = 2 "test_ports_closed" "test ports closed",
        FlameFailure = 3 "flame_failure" "flame failure",
        HighLimit = 4 "high_limit" "high limit",
        Rollout = 5 "rollout" "rollout switch",
        AirProving = 6 "air_proving" "air proving",
        Spill = 7 "spill" "spill at the draft hood",
        GuardsAndPanels = 8 "guards_and_panels" "guards and panels",
        Wiring = 9 "wiring" "wiring",
        Label = 10 "label" "labels",
        VentLook = 11 "vent_look" "vent, outside look",
        Condensate = 12 "condensate" "condensate drain and trap",
        ReliefValve = 13 "relief_valve" "relief valve, by eye",
        LowWater = 14 "low_water" "low-water cut-off",
        HeatExchanger = 15 "heat_exchanger" "heat exchanger, by eye",
        Clearances = 16 "clearances" "clearances",
        ToolsCounted = 17 "tools_counted" "tools counted, area clean",
        AmbientSmell = 18 "ambient_smell" "smell at entry, high and low",
        /// A question that is answered in words, for a firm's own list.
        FirmsOwn = 19 "firms_own" "firm's own item",
    }

    /// What a person answered to a check.
    CheckResult {
        Pass = 1 "pass" "pass",
        Fail = 2 "fail" "fail",
        NotDone = 3 "not_done" "not done",
        NotApplicable = 4 "not_applicable" "not applicable",
    }

    /// How sure the finder is.
    Confidence {
        Suspected = 1 "suspected" "suspected",
        Likely = 2 "likely" "likely",
        Proved = 3 "proved" "proved by repair and as-left",
    }

    /// What lies behind a cause.
    Root {
        AreaContaminant = 1 "area_contaminant" "contaminant of the area",
        Installation = 2 "installation" "installation",
        Age = 3 "age" "age",
        Misuse = 4 "misuse" "use",
        NotKnown = 5 "not_known" "not known",
    }

    /// What was done.
    WorkKind {
        Cleaned = 1 "cleaned" "cleaned",
        Set = 2 "set" "set",
        Replaced = 3 "replaced" "replaced",
        Repaired = 4 "repaired" "repaired",
        Isolated = 5 "isolated" "isolated",
        Advised = 6 "advised" "advised",
        None = 7 "none" "nothing done",
    }

    /// What the work touched; decides which proofs are asked for before sign-off.
    System {
        GasJoint = 1 "gas_joint" "a gas joint opened",
        GasPort = 2 "gas_port" "a gas test port opened",
        GasSetting = 3 "gas_setting" "a gas setting",
        Combustion = 4 "combustion" "burner, air or flue way",
        Ignition = 5 "ignition" "ignition or flame sensing",
        AirSide = 6 "air_side" "circulating air side",
        Controls = 7 "controls" "controls and wiring",
        Vent = 8 "vent" "vent",
        Water = 9 "water" "water side",
        Outside = 10 "outside" "nothing of the unit",
    }

    /// How a unit's turn in a visit ended.
    Outcome {
        Done = 1 "done" "done",
        /// Nothing touched gas, air or ignition; the found block is also the left block.
        LeftAsFound = 2 "left_as_found" "left as found",
        NotReached = 3 "not_reached" "not reached",
        InHand = 4 "in_hand" "in hand",
    }

    /// Why somebody came.
    VisitKind {
        PreSeason = 1 "pre_season" "pre-season maintenance",
        NoHeat = 2 "no_heat" "no-heat call",
        Repair = 3 "repair" "repair",
        StartUp = 4 "start_up" "first start",
        Inspection = 5 "inspection" "inspection",
        FollowUp = 6 "follow_up" "follow-up",
    }

    /// Which sequence of operation an appliance follows.
    Family {
        Isp = 1 "isp" "intermittent spark pilot, inducer",
        Dsi = 2 "dsi" "direct spark",
        Hsi = 3 "hsi" "hot surface igniter",
        Spc = 4 "spc" "standing pilot, thermocouple",
        Pvs = 5 "pvs" "power vent, air proving",
        Irt = 6 "irt" "infrared tube",
        Mua = 7 "mua" "modulating make-up air",
        Two = 8 "two" "two-stage duct furnace or rooftop",
        Blr = 9 "blr" "hot-water boiler",
    }

    /// Vent category by pressure and condensing tendency (fuel gas code definitions).
    VentCategory {
        I = 1 "i" "I, negative, non-condensing",
        II = 2 "ii" "II, negative, condensing",
        III = 3 "iii" "III, positive, non-condensing",
        IV = 4 "iv" "IV, positive, condensing",
        Unvented = 5 "unvented" "unvented or direct-fired",
    }

    /// How an appliance is mounted.
    Mount {
        Hung = 1 "hung" "hung",
        Floor = 2 "floor" "on the floor",
        Roof = 3 "roof" "on the roof",
        Wall = 4 "wall" "on a wall",
    }

    /// Where a target comes from, in the order in which one outranks another.
    TargetSource {
        Plate = 1 "plate" "plate",
        WrittenAnswer = 2 "written_answer" "maker's written answer",
        Booklet = 3 "booklet" "installation booklet",
        PhoneCall = 4 "phone_call" "maker by phone",
        Firm = 5 "firm" "firm's setting",
        Baseline = 6 "baseline" "own baseline",
    }

    /// State of a question to a manufacturer.
    QuestionState {
        Open = 1 "open" "open",
        Sent = 2 "sent" "sent",
        Answered = 3 "answered" "answered",
        Withdrawn = 4 "withdrawn" "withdrawn",
    }

    /// What a lock point does at the moment of the entry.
    LockState {
        On = 1 "on" "on",
        Off = 2 "off" "off",
    }

    /// Somebody came or went.
    CrewEvent {
        Arrived = 1 "arrived" "arrived",
        Left = 2 "left" "left",
    }

    /// Kinds of instrument.
    InstrumentKind {
        FlueGasAnalyser = 1 "flue_gas_analyser" "flue gas analyzer",
        Manometer = 2 "manometer" "manometer",
        Multimeter = 3 "multimeter" "multimeter, microamp range",
        AirProbe = 4 "air_probe" "air temperature probe",
        GasDetector = 5 "gas_detector" "combustible gas detector",
        CoMonitor = 6 "co_monitor" "room CO monitor",
        InfraredThermometer = 7 "infrared_thermometer" "infrared thermometer",
        Clock = 8 "clock" "stopwatch",
        ClampMeter = 9 "clamp_meter" "clamp meter",
        PhMeter = 10 "ph_meter" "pH meter",
        PinGauge = 11 "pin_gauge" "pin gauge set",
        Tachometer = 12 "tachometer" "tachometer",
    }
}

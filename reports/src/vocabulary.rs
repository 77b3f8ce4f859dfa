//! The closed lists of the record, as the language files name them.

use client_core::record::code;

/// A word of a closed list.
pub trait Word: Copy {
    /// The list's name in the language files.
    const LIST: &'static str;
    /// The word's key; none for a word of a newer version.
    fn key(self) -> Option<&'static str>;
}

macro_rules! lists {
    ($($name:ident $list:literal;)*) => {
        $(impl Word for code::$name {
            const LIST: &'static str = $list;
            fn key(self) -> Option<&'static str> {
                match self { code::$name::Newer(_) => None, known => Some(code::$name::key(known)) }
            }
        })*

        /// Every word: list, key and the English words of the record itself.
        pub fn every_word() -> Vec<(&'static str, &'static str, &'static str)> {
            let mut all = vec![];
            $(all.extend(code::$name::ALL.iter().map(|word| {
                ($list, code::$name::key(*word), word.says())
            }));)*
            all
        }
    };
}

lists! {
    Role "role";
    Training "training";
    Channel "channel";
    Decision "decision";
    LabourKind "labour_kind";
    Quantity "quantity";
    Phase "phase";
    Stage "stage";
    Running "running";
    Method "method";
    Status "status";
    AdvisorySeverity "advisory_severity";
    Gas "gas";
    GasPartKind "gas_part_kind";
    CheckItem "check_item";
    CheckResult "check_result";
    Confidence "confidence";
    Root "root";
    WorkKind "work_kind";
    System "system";
    Outcome "outcome";
    VisitKind "visit_kind";
    Family "family";
    VentCategory "vent_category";
    Mount "mount";
    TargetSource "target_source";
    QuestionState "question_state";
    LockState "lock_state";
    CrewEvent "crew_event";
    InstrumentKind "instrument_kind";
}

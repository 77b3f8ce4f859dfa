//! Words about people: roles, training, how somebody was told.

super::vocabulary! {
    /// What a person may do. Authority is judged when an entry is read, by the signer's role.
    Role {
        Technician = 1 "technician" "technician",
        Supervisor = 2 "supervisor" "supervisor",
        Office = 3 "office" "office",
        /// Somebody at the customer's; holds no device.
        Customer = 4 "customer" "customer contact",
    }

    /// Work that a person is trained for.
    Training {
        Live = 1 "live" "live electrical tests",
        Lift = 2 "lift" "lift",
        Roof = 3 "roof" "roof",
        ClosedSpace = 4 "closed_space" "closed spaces",
    }

    /// How somebody was told something.
    Channel {
        InPerson = 1 "in_person" "in person",
        InWriting = 2 "in_writing" "in writing",
        InPersonAndWriting = 3 "in_person_and_writing" "in person and in writing",
        ByPhone = 4 "by_phone" "by phone",
        OnReport = 5 "on_report" "on the report",
        InPersonAndReport = 6 "in_person_and_report" "in person and on the report",
    }

    /// What the customer decided about an advisory.
    Decision {
        Open = 1 "open" "open",
        Accepted = 2 "accepted" "accepted",
        Declined = 3 "declined" "declined",
        Deferred = 4 "deferred" "deferred",
    }

    /// What labour time was spent on.
    LabourKind {
        OnSite = 1 "on_site" "on site",
        Travel = 2 "travel" "travel",
        Office = 3 "office" "office",
        Fetching = 4 "fetching" "fetching parts",
    }
}

//! Every setting once: its name, what it is for, what is allowed, and what holds when nobody says
//! anything. Flags, environment variables and the table of the guide are made from this.

use std::fmt::Write as _;

/// One setting.
#[derive(Clone, Copy, Debug)]
pub struct Setting {
    /// Its name in the file; `listen` is the flag `--listen` and the variable `DRIPLEG_HUB_LISTEN`.
    pub key: &'static str,
    /// What holds when nobody says anything; empty where there is nothing then.
    pub default: &'static str,
    /// What is allowed.
    pub kind: Kind,
    /// What it is for.
    pub what: &'static str,
}

/// What a setting allows.
#[derive(Clone, Copy, Debug)]
pub enum Kind {
    /// A file or folder. In a settings file it is relative to that file.
    Path,
    /// An address and a port.
    Address,
    /// Words.
    Text,
    /// Yes or no.
    Flag,
    /// A whole number in a range.
    Whole(u64, u64),
    /// One of some words.
    Choice(&'static [&'static str]),
}

impl Kind {
    /// What is allowed, in words.
    pub fn allowed(self) -> String {
        match self {
            Kind::Path => "a path".to_owned(),
            Kind::Address => "an address and a port, like 127.0.0.1:7317".to_owned(),
            Kind::Text => "text".to_owned(),
            Kind::Flag => "true or false".to_owned(),
            Kind::Whole(least, most) => format!("a whole number from {least} to {most}"),
            Kind::Choice(words) => words.join(", "),
        }
    }
}

impl Setting {
    /// Its environment variable.
    pub fn variable(&self) -> String {
        format!("DRIPLEG_HUB_{}", self.key.to_uppercase())
    }

    /// Its flag, without the hyphens before it.
    pub fn flag(&self) -> String {
        self.key.replace('_', "-")
    }
}

/// The settings, as the guide lists them.
pub const SETTINGS: &[Setting] = &[
    Setting {
        key: "folder",
        default: "hub-data",
        kind: Kind::Path,
        what: "where the hub keeps its stores; made at the first start",
    },
    Setting {
        key: "listen",
        default: "127.0.0.1:7317",
        kind: Kind::Address,
        what: "where the hub listens; port 0 takes a free one",
    },
    Setting {
        key: "public_url",
        default: "",
        kind: Kind::Text,
        what: "address that devices use, for links; made from `listen` when empty",
    },
    Setting {
        key: "tls_certificate",
        default: "",
        kind: Kind::Path,
        what: "certificate chain as PEM; read again on SIGHUP",
    },
    Setting {
        key: "tls_key",
        default: "",
        kind: Kind::Path,
        what: "private key of the certificate as PEM",
    },
    Setting {
        key: "plain_http",
        default: "false",
        kind: Kind::Flag,
        what: "listen beyond this machine without TLS; whoever is on the way reads along",
    },
    Setting {
        key: "behind_proxy",
        default: "false",
        kind: Kind::Flag,
        what: "a proxy stands before the hub: the last address of X-Forwarded-For is who asks",
    },
    Setting {
        key: "requests_per_s",
        default: "10",
        kind: Kind::Whole(0, 100_000),
        what: "requests a second of one device, or of one address of strangers; 0 is no limit",
    },
    Setting {
        key: "requests_burst",
        default: "50",
        kind: Kind::Whole(1, 1_000_000),
        what: "requests at once after a rest",
    },
    Setting {
        key: "megabytes_per_hour",
        default: "20",
        kind: Kind::Whole(0, 1_000_000),
        what: "megabytes an hour that one device or address may send; 0 is no limit",
    },
    Setting {
        key: "requests_at_once",
        default: "256",
        kind: Kind::Whole(1, 65_536),
        what: "requests being read or answered at one time; more are told to come back",
    },
    Setting {
        key: "requests_at_once_per_address",
        default: "64",
        kind: Kind::Whole(1, 65_536),
        what: "the same for one address",
    },
    Setting {
        key: "queue",
        default: "512",
        kind: Kind::Whole(1, 65_536),
        what: "requests that may wait for the one thread that answers",
    },
    Setting {
        key: "connections",
        default: "1024",
        kind: Kind::Whole(1, 1_000_000),
        what: "connections at one time; more are closed at once",
    },
    Setting {
        key: "bells",
        default: "1000",
        kind: Kind::Whole(0, 1_000_000),
        what: "devices that may hear the bell at one time",
    },
    Setting {
        key: "bell_quiet_s",
        default: "20",
        kind: Kind::Whole(1, 3_600),
        what: "seconds of silence after which the bell says that it is still there",
    },
    Setting {
        key: "header_wait_s",
        default: "10",
        kind: Kind::Whole(1, 3_600),
        what: "seconds for the TLS greeting, and for a connection's first request to begin",
    },
    Setting {
        key: "body_wait_s",
        default: "30",
        kind: Kind::Whole(1, 3_600),
        what: "seconds for a request's body",
    },
    Setting {
        key: "idle_wait_s",
        default: "60",
        kind: Kind::Whole(1, 3_600),
        what: "seconds that a connection stays open without a request",
    },
    Setting {
        key: "stop_wait_s",
        default: "20",
        kind: Kind::Whole(0, 3_600),
        what: "seconds to finish requests after SIGTERM or SIGINT",
    },
    Setting {
        key: "metrics",
        default: "loopback",
        kind: Kind::Choice(&["off", "loopback", "anyone"]),
        what: "who may read /metrics; loopback is this machine without a proxy between",
    },
    Setting {
        key: "phone",
        default: "",
        kind: Kind::Path,
        what: "folder of the phone's files, as `bundle` makes it; no phone is handed out when empty",
    },
    Setting {
        key: "cache_megabytes",
        default: "8",
        kind: Kind::Whole(1, 65_536),
        what: "memory for pages of each of the two stores",
    },
    Setting {
        key: "log_level",
        default: "info",
        kind: Kind::Choice(&["error", "warn", "info", "debug", "trace"]),
        what: "how much is logged",
    },
    Setting {
        key: "log_format",
        default: "auto",
        kind: Kind::Choice(&["auto", "text", "json"]),
        what: "how it is logged; auto is text on a terminal and JSON elsewhere",
    },
];

/// The table of the guide, as Markdown.
pub fn guide() -> String {
    let mut rows = String::from("| setting | default | allowed | what for |\n|---|---|---|---|\n");
    for one in SETTINGS {
        let default =
            if one.default.is_empty() { String::new() } else { format!("`{}`", one.default) };
        let (key, allowed, what) = (one.key, one.kind.allowed(), one.what);
        writeln!(rows, "| `{key}` | {default} | {allowed} | {what} |").expect("memory takes it");
    }
    rows
}

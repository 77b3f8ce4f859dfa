//! Every setting, read once and checked once: file, then environment, then flags.

pub mod found;
pub mod table;

use std::net::{IpAddr, Ipv4Addr, SocketAddr};
use std::path::{Path, PathBuf};
use std::time::Duration;

use crate::quota::Quota;

pub use found::{AllFound, Source};

/// Why the settings cannot be used.
#[derive(Debug, PartialEq, Eq, thiserror::Error)]
pub enum ConfigWrong {
    /// The file cannot be read.
    #[error("{}: {wrong}", path.display())]
    File {
        /// The file.
        path: PathBuf,
        /// What is wrong.
        wrong: String,
    },
    /// The file names a setting that there is not.
    #[error(
        "{}: there is no setting '{key}'{}",
        path.display(),
        near.map(|near| format!("; did you mean '{near}'")).unwrap_or_default()
    )]
    Unknown {
        /// The file.
        path: PathBuf,
        /// What it names.
        key: String,
        /// The setting that is spelled most like it.
        near: Option<&'static str>,
    },
    /// A value that is not allowed.
    #[error("{place}: {key}: found {found}, allowed is {allowed}")]
    Value {
        /// Where it was found.
        place: String,
        /// The setting.
        key: &'static str,
        /// What was found.
        found: String,
        /// What is allowed.
        allowed: String,
    },
    /// Settings that do not go together.
    #[error("{0}")]
    Together(&'static str),
}

/// What is in force.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Settings {
    /// Where the hub keeps its stores.
    pub folder: PathBuf,
    /// Where it listens.
    pub listen: SocketAddr,
    /// The address that devices use.
    pub public_url: Option<String>,
    /// TLS, when the hub does it itself.
    pub tls: Option<Tls>,
    /// A proxy stands before the hub.
    pub behind_proxy: bool,
    /// What one sender may ask.
    pub quota: Quota,
    /// What all may ask together.
    pub limits: Limits,
    /// How long the hub waits for something.
    pub waits: Waits,
    /// Who may read the metrics.
    pub metrics: MetricsFor,
    /// Where the phone's files are, when the hub hands them out.
    pub phone: Option<PathBuf>,
    /// Bytes of cache for each store.
    pub cache_bytes: usize,
    /// How much is logged.
    pub log_level: String,
    /// How it is logged.
    pub log_format: LogFormat,
}

/// Files of TLS.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct Tls {
    /// The certificate chain as PEM.
    pub certificate: PathBuf,
    /// The private key as PEM.
    pub key: PathBuf,
}

/// What all may ask together.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Limits {
    /// Requests being read or answered at one time.
    pub requests_at_once: usize,
    /// The same for one address.
    pub requests_at_once_per_address: usize,
    /// Requests that may wait.
    pub queue: usize,
    /// Connections at one time.
    pub connections: usize,
    /// Devices that may hear the bell at one time.
    pub bells: usize,
}

/// How long the hub waits for something.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub struct Waits {
    /// For a TLS greeting, and for a connection's first request to begin.
    pub header: Duration,
    /// For a request's body.
    pub body: Duration,
    /// For the next request on a connection.
    pub idle: Duration,
    /// Until the bell says that it is still there.
    pub bell_quiet: Duration,
    /// For requests to finish when the hub is stopped.
    pub stop: Duration,
}

/// Who may read the metrics.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum MetricsFor {
    /// Nobody.
    Off,
    /// This machine, without a proxy between.
    Loopback,
    /// Anyone.
    Anyone,
}

/// How it is logged.
#[derive(Clone, Copy, Debug, PartialEq, Eq)]
pub enum LogFormat {
    /// Text on a terminal, JSON elsewhere.
    Auto,
    /// Text.
    Text,
    /// One JSON object a line.
    Json,
}

impl Settings {
    /// The defaults, with this folder, on a free port of this machine.
    pub fn in_folder(folder: impl Into<PathBuf>) -> Settings {
        let defaults =
            AllFound::read(None, &|_| None, &|_| None).and_then(|all| Settings::of(&all));
        Settings {
            folder: folder.into(),
            listen: SocketAddr::new(IpAddr::V4(Ipv4Addr::LOCALHOST), 0),
            ..defaults.expect("the defaults are allowed")
        }
    }

    /// Checks what was found.
    pub fn of(all: &AllFound) -> Result<Settings, ConfigWrong> {
        let text = |key| all.get(key).text.clone();
        let path = |key| Some(text(key)).filter(|text| !text.is_empty()).map(PathBuf::from);
        let listen: SocketAddr = checked(all, "listen")?;
        let tls = match (path("tls_certificate"), path("tls_key")) {
            (Some(certificate), Some(key)) => Some(Tls { certificate, key }),
            (None, None) => None,
            _ => {
                let words = "tls_certificate and tls_key belong together; only one is set";
                return Err(ConfigWrong::Together(words));
            }
        };
        let plain: bool = checked(all, "plain_http")?;
        let behind_proxy = checked(all, "behind_proxy")?;
        if !listen.ip().is_loopback() && tls.is_none() && !plain {
            return Err(ConfigWrong::Together(
                "listen goes beyond this machine and TLS is not set; set tls_certificate and tls_key, \
                 listen on 127.0.0.1 behind a proxy, or set plain_http when whoever is on the way may \
                 read along",
            ));
        }
        let seconds = |key| checked(all, key).map(Duration::from_secs);
        let folder = path("folder").ok_or_else(|| value_wrong(all, "folder"))?;
        let megabytes: u64 = whole(all, "megabytes_per_hour")?;
        Ok(Settings {
            folder,
            listen,
            public_url: url(all)?,
            tls,
            behind_proxy,
            quota: Quota {
                requests_per_s: whole(all, "requests_per_s")?,
                requests_burst: whole(all, "requests_burst")?,
                bytes_per_hour: megabytes * 1_000_000,
            },
            limits: Limits {
                requests_at_once: whole(all, "requests_at_once")?,
                requests_at_once_per_address: whole(all, "requests_at_once_per_address")?,
                queue: whole(all, "queue")?,
                connections: whole(all, "connections")?,
                bells: whole(all, "bells")?,
            },
            waits: Waits {
                header: seconds("header_wait_s")?,
                body: seconds("body_wait_s")?,
                idle: seconds("idle_wait_s")?,
                bell_quiet: seconds("bell_quiet_s")?,
                stop: seconds("stop_wait_s")?,
            },
            metrics: match choice(all, "metrics")? {
                "off" => MetricsFor::Off,
                "anyone" => MetricsFor::Anyone,
                _ => MetricsFor::Loopback,
            },
            phone: path("phone"),
            cache_bytes: whole::<usize>(all, "cache_megabytes")? * 1_048_576,
            log_level: choice(all, "log_level")?.to_owned(),
            log_format: match choice(all, "log_format")? {
                "text" => LogFormat::Text,
                "json" => LogFormat::Json,
                _ => LogFormat::Auto,
            },
        })
    }

    /// The address that devices use, when the hub listens here.
    pub fn url(&self, listens: SocketAddr) -> String {
        let scheme = if self.tls.is_some() { "https" } else { "http" };
        self.public_url.clone().unwrap_or_else(|| format!("{scheme}://{listens}"))
    }
}

/// The settings file to read: the one that was named, or one in this folder.
pub fn file(named: Option<&Path>) -> Option<PathBuf> {
    let usual = Path::new("dripleg-hub.toml");
    named.map(Path::to_owned).or_else(|| usual.exists().then(|| usual.to_owned()))
}

fn setting(key: &str) -> &'static table::Setting {
    table::SETTINGS.iter().find(|one| one.key == key).expect("the table has every setting")
}

fn value_wrong(all: &AllFound, key: &str) -> ConfigWrong {
    let (one, found) = (setting(key), all.get(key));
    ConfigWrong::Value {
        place: found.source.to_string(),
        key: one.key,
        found: format!("'{}'", found.text),
        allowed: one.kind.allowed(),
    }
}

fn checked<T: std::str::FromStr>(all: &AllFound, key: &str) -> Result<T, ConfigWrong> {
    if matches!(setting(key).kind, table::Kind::Whole(..)) {
        in_range(all, key)?;
    }
    all.get(key).text.trim().parse().map_err(|_| value_wrong(all, key))
}

fn whole<T: TryFrom<u64>>(all: &AllFound, key: &str) -> Result<T, ConfigWrong> {
    T::try_from(in_range(all, key)?).map_err(|_| value_wrong(all, key))
}

fn in_range(all: &AllFound, key: &str) -> Result<u64, ConfigWrong> {
    let number: Option<u64> = all.get(key).text.trim().parse().ok();
    let range = match setting(key).kind {
        table::Kind::Whole(least, most) => least..=most,
        _ => 0..=u64::MAX,
    };
    number.filter(|number| range.contains(number)).ok_or_else(|| value_wrong(all, key))
}

fn choice(all: &AllFound, key: &str) -> Result<&'static str, ConfigWrong> {
    let table::Kind::Choice(words) = setting(key).kind else {
        return Err(value_wrong(all, key));
    };
    let found = all.get(key).text.trim();
    words.iter().copied().find(|word| *word == found).ok_or_else(|| value_wrong(all, key))
}

/// The public address, without a slash at its end.
fn url(all: &AllFound) -> Result<Option<String>, ConfigWrong> {
    let text = all.get("public_url").text.trim().trim_end_matches('/').to_owned();
    let known = text.starts_with("https://") || text.starts_with("http://");
    match text.is_empty() {
        true => Ok(None),
        false if known && !text.contains(char::is_whitespace) => Ok(Some(text)),
        false => Err(ConfigWrong::Value {
            place: all.get("public_url").source.to_string(),
            key: "public_url",
            found: format!("'{text}'"),
            allowed: "an address that begins with https:// or http://".to_owned(),
        }),
    }
}

#[cfg(test)]
mod tests;

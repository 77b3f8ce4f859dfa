//! What is counted and measured, in the text form of Prometheus.

use std::path::PathBuf;
use std::sync::atomic::{AtomicI64, AtomicU64, Ordering};
use std::sync::{Arc, PoisonError};

use prometheus_client::collector::Collector;
use prometheus_client::encoding::text::encode;
use prometheus_client::encoding::{DescriptorEncoder, EncodeLabelSet, EncodeMetric};
use prometheus_client::metrics::counter::{ConstCounter, Counter};
use prometheus_client::metrics::family::Family;
use prometheus_client::metrics::gauge::ConstGauge;
use prometheus_client::metrics::histogram::Histogram;
use prometheus_client::registry::{Registry, Unit};

use crate::worker::Window;

/// Upper ends of the latency buckets, seconds.
const BUCKETS: [f64; 12] =
    [0.001, 0.0025, 0.005, 0.01, 0.025, 0.05, 0.1, 0.25, 0.5, 1.0, 2.5, 10.0];

/// Labels of a request.
#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Asked {
    route: &'static str,
    status: u16,
}

/// Labels of a latency.
#[derive(Clone, Debug, PartialEq, Eq, Hash, EncodeLabelSet)]
struct Route {
    route: &'static str,
}

/// What is counted and measured.
#[derive(Debug)]
pub struct Metrics {
    registry: Registry,
    requests: Family<Asked, Counter>,
    latency: Family<Route, Histogram, fn() -> Histogram>,
    /// Bytes of request bodies read.
    pub bytes_in: Counter<u64, AtomicU64>,
    /// Bytes of answers.
    pub bytes_out: Counter<u64, AtomicU64>,
    /// Requests turned away because too many were being answered.
    pub shed: Counter<u64, AtomicU64>,
}

/// What is read where it stands when somebody asks.
#[derive(Debug)]
struct Standing {
    window: Window,
    sizes: Arc<Sizes>,
}

/// What is looked up when somebody asks.
#[derive(Debug, Default)]
pub struct Sizes {
    /// Requests that wait for the thread that answers.
    pub queue: AtomicI64,
    /// The log's store, when it is a file.
    pub log_file: Option<PathBuf>,
    /// The view's store, when it is a file.
    pub view_file: Option<PathBuf>,
}

impl Metrics {
    /// Nothing is counted yet.
    pub fn new(window: Window, sizes: Arc<Sizes>) -> Metrics {
        let mut registry = Registry::with_prefix("dripleg_hub");
        let requests = Family::default();
        let buckets: fn() -> Histogram = || Histogram::new(BUCKETS);
        let latency = Family::new_with_constructor(buckets);
        let (bytes_in, bytes_out, shed) =
            (Counter::default(), Counter::default(), Counter::default());
        registry.register("requests", "Requests answered, by route and status", requests.clone());
        registry.register_with_unit(
            "latency",
            "Time from a request's head to its answer",
            Unit::Seconds,
            latency.clone(),
        );
        registry.register("received_bytes", "Bytes of request bodies", bytes_in.clone());
        registry.register("sent_bytes", "Bytes of answers", bytes_out.clone());
        registry.register("shed", "Requests turned away for lack of room", shed.clone());
        registry.register_collector(Box::new(Standing { window, sizes }));
        Metrics { registry, requests, latency, bytes_in, bytes_out, shed }
    }

    /// Counts an answer.
    pub fn answered(&self, route: &'static str, status: u16, seconds: f64) {
        self.requests.get_or_create(&Asked { route, status }).inc();
        self.latency.get_or_create(&Route { route }).observe(seconds);
    }

    /// Everything, as text.
    pub fn text(&self) -> String {
        let mut out = String::new();
        encode(&mut out, &self.registry).expect("writing to memory does not fail");
        out
    }
}

impl Collector for Standing {
    fn encode(&self, mut out: DescriptorEncoder<'_>) -> Result<(), std::fmt::Error> {
        let shown = *self.window.lock().unwrap_or_else(PoisonError::into_inner);
        let totals = shown.totals;
        for (name, help, value) in [
            ("deliveries", "Deliveries appended to the logs", totals.deliveries),
            ("changes", "Changes in them", totals.changes),
            ("repeats", "Deliveries that were there already", totals.repeats),
            ("malformed", "Deliveries refused as malformed", totals.malformed),
            ("refused_changes", "Changes refused by the gate when folded", totals.refused),
            ("commits", "Appends, each one durable commit", totals.commits),
            (
                "chain_breaks",
                "Gaps, repeats and forks in chains of deliveries",
                totals.chain_breaks,
            ),
            ("turned_away", "Exchanges turned away", totals.turned),
            ("panics", "Requests that panicked", shown.panics),
            ("reopened", "Times the stores were opened again after a failure", shown.reopened),
        ] {
            let counter = ConstCounter::new(value);
            counter.encode(out.encode_descriptor(name, help, None, counter.metric_type())?)?;
        }
        let size = |path: &Option<PathBuf>| {
            let file = path.as_ref().and_then(|path| std::fs::metadata(path).ok());
            file.map_or(0, |file| i64::try_from(file.len()).unwrap_or(i64::MAX))
        };
        let queue = self.sizes.queue.load(Ordering::Relaxed);
        let signed = |number: u64| i64::try_from(number).unwrap_or(i64::MAX);
        for (name, help, value) in [
            ("up", "Whether the stores are open", i64::from(shown.open)),
            ("queue", "Requests that wait for the thread that answers", queue),
            ("sites", "Sites that have a log", signed(shown.sites)),
            ("devices", "Devices that may write", signed(shown.devices)),
            ("bells", "Devices that hear the bell", signed(shown.bells)),
            ("fold_lag", "Arrivals that are not folded into the view yet", signed(shown.lag)),
            ("log_store_bytes", "Size of the log's store", size(&self.sizes.log_file)),
            ("view_store_bytes", "Size of the view's store", size(&self.sizes.view_file)),
        ] {
            let gauge = ConstGauge::new(value);
            gauge.encode(out.encode_descriptor(name, help, None, gauge.metric_type())?)?;
        }
        Ok(())
    }
}

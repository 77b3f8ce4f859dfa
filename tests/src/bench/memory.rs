//! The memory of a process, as the kernel counts it.

use std::fs;

/// Most memory that this process had resident so far, KiB. Zero where the kernel does not tell.
pub fn peak_kib() -> u64 {
    status("VmHWM:")
}

/// Memory of this process that is resident now, KiB. Zero where the kernel does not tell.
pub fn now_kib() -> u64 {
    status("VmRSS:")
}

fn status(name: &str) -> u64 {
    let text = fs::read_to_string("/proc/self/status").unwrap_or_default();
    let line = text.lines().find_map(|line| line.strip_prefix(name));
    line.and_then(|rest| rest.trim().trim_end_matches("kB").trim().parse().ok()).unwrap_or(0)
}

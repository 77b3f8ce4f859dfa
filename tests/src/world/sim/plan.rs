//! Which faults one seed meets: a few at a time find more than all at once.

use client_core::device::sizes::Sizes;

use crate::world::Seeded;

/// Something that may happen to a world.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub enum Event {
    /// A person acts.
    Act,
    /// A device begins an exchange.
    Call,
    /// A message arrives.
    Deliver,
    /// A program is closed and opened again.
    Reopen,
    /// The hub folds its view.
    Fold,
    /// A message is lost.
    Lose,
    /// A message is delivered and stays on the way.
    Twice,
    /// A message is cut short.
    CutShort,
    /// A device has no signal, or has it again.
    Partition,
    /// A device's power goes during one of its next writes.
    DevicePower,
    /// The hub's power goes during one of its next writes.
    HubPower,
    /// A device's disk fails or is full at one of its next writes.
    DeviceDisk,
    /// The hub's disk fails or is full at one of its next writes.
    HubDisk,
    /// A clock jumps.
    Clock,
    /// A device is backed up.
    DeviceBackup,
    /// A device is restored from an old backup.
    DeviceRestore,
    /// A device is copied, and both go on.
    DeviceClone,
    /// The hub is backed up.
    HubBackup,
    /// The hub is restored from an old backup.
    HubRestore,
    /// The hub's view is lost.
    ViewLoss,
    /// A device's key is revoked.
    Revoke,
    /// A hostile device sends something.
    Hostile,
    /// Another device joins.
    Join,
}

/// What one seed meets.
#[derive(Clone, Debug)]
pub struct Plan {
    /// Events with their weights.
    pub weights: Vec<(Event, u64)>,
    /// How many steps.
    pub steps: usize,
    /// How many sites.
    pub sites: usize,
    /// Sizes of all devices.
    pub sizes: Sizes,
    /// Bytes of a page.
    pub page_bytes: usize,
}

const ALWAYS: [(Event, u64); 5] = [
    (Event::Act, 40),
    (Event::Call, 16),
    (Event::Deliver, 44),
    (Event::Reopen, 2),
    (Event::Fold, 3),
];

/// Groups of faults that come together.
const FAULTS: [&[(Event, u64)]; 12] = [
    &[(Event::Lose, 4), (Event::Twice, 4), (Event::CutShort, 3)],
    &[(Event::Partition, 3)],
    &[(Event::DevicePower, 4)],
    &[(Event::HubPower, 3)],
    &[(Event::DeviceDisk, 4)],
    &[(Event::HubDisk, 3)],
    &[(Event::Clock, 2)],
    &[(Event::DeviceBackup, 3), (Event::DeviceRestore, 2), (Event::DeviceClone, 2)],
    &[(Event::HubBackup, 3), (Event::HubRestore, 2), (Event::ViewLoss, 1)],
    &[(Event::Revoke, 1)],
    &[(Event::Hostile, 6)],
    &[(Event::Join, 2)],
];

impl Plan {
    /// The plan of a seed.
    pub fn of(random: &mut Seeded) -> Plan {
        let mut weights = ALWAYS.to_vec();
        let share = [10, 25, 50][random.index(3)];
        for fault in FAULTS {
            if random.percent(share) {
                weights.extend_from_slice(fault);
            }
        }
        let small = random.percent(60);
        let sizes = match small {
            true => Sizes {
                part_changes: 6 + random.index(30),
                delivery_changes: 1 + random.index(6),
                offer_bytes: 600 + random.index(4_000),
                whole_log: random.below(20),
                shelf: 4,
                rest_changes: 2 + u32::try_from(random.below(8)).unwrap_or_default(),
            },
            false => Sizes::USUAL,
        };
        Plan {
            weights,
            steps: 30 + random.index(90),
            sites: 1 + usize::from(random.percent(30)),
            sizes,
            page_bytes: if small { 300 + random.index(3_000) } else { 256 * 1024 },
        }
    }

    /// Whether an event may happen.
    pub fn has(&self, event: Event) -> bool {
        self.weights.iter().any(|(own, _)| *own == event)
    }

    /// The next event.
    pub fn pick(&self, random: &mut Seeded) -> Event {
        let total: u64 = self.weights.iter().map(|(_, weight)| weight).sum();
        let mut at = random.below(total);
        for (event, weight) in &self.weights {
            if at < *weight {
                return *event;
            }
            at -= weight;
        }
        Event::Act
    }
}

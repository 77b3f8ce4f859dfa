//! Something that a page asks of the hub: a function that runs on the hub's thread.

use std::any::Any;

use super::Wrong;
use crate::hub::Hub;

/// What a task gives back; whoever sent it knows of which kind it is.
pub type Made = Box<dyn Any + Send>;

type Run = Box<dyn FnOnce(&mut Hub, i64) -> Result<Made, Wrong> + Send>;

/// A function that runs on the hub's thread, told the time.
pub struct Task(Run);

impl std::fmt::Debug for Task {
    fn fmt(&self, out: &mut std::fmt::Formatter<'_>) -> std::fmt::Result {
        out.write_str("Task")
    }
}

impl Task {
    /// A task out of a function.
    pub fn new<T: Send + 'static>(
        run: impl FnOnce(&mut Hub, i64) -> Result<T, Wrong> + Send + 'static,
    ) -> Task {
        Task(Box::new(move |hub, now| {
            let made = run(hub, now)?;
            Ok(Box::new(made) as Made)
        }))
    }

    pub(super) fn run(self, hub: &mut Hub, now: i64) -> Result<Made, Wrong> {
        (self.0)(hub, now)
    }
}

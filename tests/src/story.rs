//! The invented scenario, played as real actions on separate devices with the network off in between:
//! one hall, fourteen positions, fifteen appliances, three visits, nine contradictions.

pub mod day;
pub mod item;
pub mod office;
pub mod player;
pub mod scenario;
pub mod tell;
pub mod today;

pub use player::{Link, Player, StoryWrong};
pub use scenario::Scenario;

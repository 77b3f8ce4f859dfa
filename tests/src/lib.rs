//! One world from one seed, and the cases that attack it.

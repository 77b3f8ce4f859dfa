//! A small seeded generator, so that draws replay.
//!
//! Source: SplitMix64 (Steele, Lea, Flood 2014), public domain constants; Marsaglia's polar method.

/// Seeded draws.
#[derive(Clone, Debug)]
pub struct Random {
    state: u64,
    spare: Option<f64>,
}

impl Random {
    /// From a seed.
    pub const fn new(seed: u64) -> Random {
        Random { state: seed, spare: None }
    }

    /// The next 64 bits.
    pub fn bits(&mut self) -> u64 {
        self.state = self.state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut word = self.state;
        word = (word ^ (word >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        word = (word ^ (word >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        word ^ (word >> 31)
    }

    /// Uniform from 0 up to 1.
    pub fn uniform(&mut self) -> f64 {
        let high = u32::try_from(self.bits() >> 32).expect("32 bits fit");
        let low = u32::try_from(self.bits() >> 43).expect("21 bits fit");
        (f64::from(high) + f64::from(low) / 2_097_152.0) / 4_294_967_296.0
    }

    /// Standard normal.
    pub fn normal(&mut self) -> f64 {
        if let Some(spare) = self.spare.take() {
            return spare;
        }
        loop {
            let (x, y) = (2.0 * self.uniform() - 1.0, 2.0 * self.uniform() - 1.0);
            let square = x * x + y * y;
            if square > 0.0 && square < 1.0 {
                let scale = (-2.0 * square.ln() / square).sqrt();
                self.spare = Some(y * scale);
                return x * scale;
            }
        }
    }
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn normal_has_the_moments_of_a_normal() {
        let mut random = Random::new(1);
        let draws: Vec<f64> = (0..100_000).map(|_| random.normal()).collect();
        let mean = draws.iter().sum::<f64>() / 1e5;
        let square = draws.iter().map(|draw| draw * draw).sum::<f64>() / 1e5;
        assert!(mean.abs() < 0.01 && (square - 1.0).abs() < 0.02, "{mean} {square}");
    }
}

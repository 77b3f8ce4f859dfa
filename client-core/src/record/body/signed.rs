//! Figures as somebody signed them: a copy of what followed from the readings, with formula and version.

use minicbor::{Decode, Encode};

use crate::record::code::Phase;
use crate::record::id::ApplianceId;
use crate::record::value::Figure;

/// One figure that followed from readings.
#[derive(Clone, Debug, PartialEq, Eq)]
pub struct SignedFigure {
    /// The unit.
    pub appliance: ApplianceId,
    /// The phase of its readings.
    pub phase: Phase,
    /// Stable key of the figure.
    pub key: String,
    /// The figure, to the digits that were shown.
    pub figure: Figure,
    /// Formula and version that gave it.
    pub formula: String,
    /// The verdict beside it, where there was a limit.
    pub verdict: Option<String>,
}

/// All of them. Words are stored once: a visit of a hundred units has a thousand figures and two dozen
/// different words.
#[derive(Clone, Debug, Default, PartialEq, Eq, Encode, Decode)]
#[cbor(map)]
pub struct SignedFigures {
    /// Keys, formulas and verdicts.
    #[n(0)]
    words: Vec<String>,
    /// The figures, by unit and phase.
    #[n(1)]
    blocks: Vec<SignedBlock>,
}

/// The figures of a unit in one phase. A CBOR array, as are its lines: keys would cost more than values.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(array)]
struct SignedBlock {
    /// The unit.
    #[n(0)]
    appliance: ApplianceId,
    /// The phase of the readings.
    #[n(1)]
    phase: Phase,
    /// The figures.
    #[n(2)]
    lines: Vec<SignedLine>,
}

/// One figure.
#[derive(Clone, Debug, PartialEq, Eq, Encode, Decode)]
#[cbor(array)]
struct SignedLine {
    /// Key of the figure, as its place among the words.
    #[n(0)]
    key: u16,
    /// The figure.
    #[n(1)]
    figure: Figure,
    /// Formula and version, as a place among the words.
    #[n(2)]
    formula: u16,
    /// Verdict, as a place among the words.
    #[n(3)]
    verdict: Option<u16>,
}

impl SignedFigures {
    /// Packs figures, in their order.
    pub fn pack(figures: &[SignedFigure]) -> SignedFigures {
        let mut packed = SignedFigures::default();
        for one in figures {
            let line = SignedLine {
                key: packed.word(&one.key),
                figure: one.figure,
                formula: packed.word(&one.formula),
                verdict: one.verdict.as_ref().map(|verdict| packed.word(verdict)),
            };
            let same = |block: &&mut SignedBlock| {
                (block.appliance, block.phase) == (one.appliance, one.phase)
            };
            match packed.blocks.iter_mut().rev().find(same) {
                Some(block) => block.lines.push(line),
                None => packed.blocks.push(SignedBlock {
                    appliance: one.appliance,
                    phase: one.phase,
                    lines: vec![line],
                }),
            }
        }
        packed
    }

    fn word(&mut self, word: &str) -> u16 {
        let at = self.words.iter().position(|known| known == word).unwrap_or_else(|| {
            self.words.push(word.to_owned());
            self.words.len() - 1
        });
        u16::try_from(at).unwrap_or(u16::MAX)
    }

    /// The figures. One whose words are not there says so in place of them.
    pub fn figures(&self) -> Vec<SignedFigure> {
        let word = |at: u16| {
            let known = self.words.get(usize::from(at)).map(String::as_str);
            known.unwrap_or("a word that was not stored").to_owned()
        };
        let mut all = vec![];
        for block in &self.blocks {
            all.extend(block.lines.iter().map(|line| SignedFigure {
                appliance: block.appliance,
                phase: block.phase,
                key: word(line.key),
                figure: line.figure,
                formula: word(line.formula),
                verdict: line.verdict.map(word),
            }));
        }
        all
    }
}

#[cfg(test)]
mod tests {
    use super::*;
    use crate::record::code::unit::UnitCode;

    #[test]
    fn what_is_packed_comes_back_and_stays_small() {
        let mut all = vec![];
        for unit in 0..200_u64 {
            for phase in [Phase::AsFound, Phase::AsLeft] {
                for (n, key) in
                    ["net_stack", "co2", "excess_air", "rise", "output"].iter().enumerate()
                {
                    all.push(SignedFigure {
                        appliance: ApplianceId(unit.to_be_bytes()),
                        phase,
                        key: (*key).to_owned(),
                        figure: Figure::new(800 + i64::try_from(n).unwrap(), 1, UnitCode(65)),
                        formula: "flue.analysis/1".to_owned(),
                        verdict: (n == 3).then(|| "within".to_owned()),
                    });
                }
            }
        }
        let packed = SignedFigures::pack(&all);
        let bytes = minicbor::to_vec(&packed).unwrap();
        assert!(bytes.len() < 36 * 1024, "{}", bytes.len());
        let back: SignedFigures = minicbor::decode(&bytes).unwrap();
        assert_eq!(back.figures(), all);
    }

    #[test]
    fn a_number_without_its_word_is_said() {
        let mut packed = SignedFigures::pack(&[SignedFigure {
            appliance: ApplianceId([1; 8]),
            phase: Phase::AsLeft,
            key: "rise".to_owned(),
            figure: Figure::new(55, 0, UnitCode(15)),
            formula: "air.rise/1".to_owned(),
            verdict: None,
        }]);
        packed.words.clear();
        assert_eq!(packed.figures()[0].key, "a word that was not stored");
    }
}

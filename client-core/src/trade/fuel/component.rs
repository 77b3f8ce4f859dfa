//! The sixty components of ISO 6976:2016: names, atoms, molar masses.

mod heat;

use crate::trade::quantity::{MolarMass, Quantity};
use crate::trade::species::{self, Heat};

/// A component of a gas that ISO 6976:2016 lists.
#[derive(Clone, Copy, Debug, PartialEq, Eq, PartialOrd, Ord)]
pub struct Component(u8);

/// How many components the standard lists.
pub(crate) const COMPONENTS: usize = 60;

impl Component {
    /// Every component, in the order of the standard.
    pub fn all() -> impl Iterator<Item = Component> {
        (0_u8..60).map(Component)
    }

    /// The component of this key ("CH4") or name ("methane").
    ///
    /// ```
    /// use client_core::trade::fuel::Component;
    /// assert_eq!(Component::from_key("CH4"), Component::from_key("methane"));
    /// assert!(Component::from_key("steam engine").is_none());
    /// ```
    pub fn from_key(key: &str) -> Option<Component> {
        Component::all().find(|own| own.row().key == key || own.row().name == key)
    }

    /// Its key, a formula where one says enough.
    pub fn key(self) -> &'static str {
        self.row().key
    }

    /// Its name.
    pub fn name(self) -> &'static str {
        self.row().name
    }

    /// Its molar mass.
    pub fn molar_mass(self) -> MolarMass {
        MolarMass::from_si(self.row().grams / 1000.0)
    }

    pub(crate) fn index(self) -> usize {
        usize::from(self.0)
    }

    pub(crate) fn row(self) -> &'static Row {
        &ROWS[self.index()]
    }
}

/// What the standard and the heat tables say of one component.
#[derive(Debug)]
pub(crate) struct Row {
    pub(crate) key: &'static str,
    pub(crate) name: &'static str,
    pub(crate) atoms: Atoms,
    /// Grams per mole.
    pub(crate) grams: f64,
    /// Heat of a like species, and how many times it counts.
    pub(crate) heat: Heat,
    pub(crate) heat_times: f64,
}

/// Atoms in one mole of gas, or in one kilogram of oil.
#[derive(Clone, Copy, Debug, Default, PartialEq)]
pub(crate) struct Atoms {
    pub(crate) carbon: f64,
    pub(crate) hydrogen: f64,
    pub(crate) oxygen: f64,
    pub(crate) nitrogen: f64,
    pub(crate) sulphur: f64,
    /// Helium, neon and argon, which pass through.
    pub(crate) inert: f64,
}

impl Atoms {
    pub(crate) fn add(&mut self, moles: f64, other: &Atoms) {
        self.carbon += moles * other.carbon;
        self.hydrogen += moles * other.hydrogen;
        self.oxygen += moles * other.oxygen;
        self.nitrogen += moles * other.nitrogen;
        self.sulphur += moles * other.sulphur;
        self.inert += moles * other.inert;
    }
}

const fn row(
    key: &'static str,
    name: &'static str,
    atoms: [f64; 6],
    grams: f64,
    heat: Heat,
    heat_times: f64,
) -> Row {
    let [carbon, hydrogen, oxygen, nitrogen, sulphur, inert] = atoms;
    let atoms = Atoms { carbon, hydrogen, oxygen, nitrogen, sulphur, inert };
    Row { key, name, atoms, grams, heat, heat_times }
}

/// Atoms are C, H, O, N, S, inert. Source: ISO 6976:2016 Table A.2.
/// Where the heat tables lack a species, a like one stands for it, scaled by carbon number;
/// at 40 K from 60 F this moves efficiency by less than 0.001 points for the traces in real gases.
#[rustfmt::skip]
const ROWS: [Row; COMPONENTS] = [
    row("CH4", "methane", [1.0, 4.0, 0.0, 0.0, 0.0, 0.0], 16.04246, heat::CH4, 1.0),
    row("C2H6", "ethane", [2.0, 6.0, 0.0, 0.0, 0.0, 0.0], 30.06904, heat::C2H6, 1.0),
    row("C3H8", "propane", [3.0, 8.0, 0.0, 0.0, 0.0, 0.0], 44.09562, heat::C3H8, 1.0),
    row("nC4H10", "n-butane", [4.0, 10.0, 0.0, 0.0, 0.0, 0.0], 58.1222, heat::NC4H10, 1.0),
    row("iC4H10", "isobutane", [4.0, 10.0, 0.0, 0.0, 0.0, 0.0], 58.1222, heat::IC4H10, 1.0),
    row("nC5H12", "n-pentane", [5.0, 12.0, 0.0, 0.0, 0.0, 0.0], 72.14878, heat::NC5H12, 1.0),
    row("iC5H12", "isopentane", [5.0, 12.0, 0.0, 0.0, 0.0, 0.0], 72.14878, heat::IC5H12, 1.0),
    row("neoC5H12", "neopentane", [5.0, 12.0, 0.0, 0.0, 0.0, 0.0], 72.14878, heat::NEOC5H12, 1.0),
    row("nC6H14", "n-hexane", [6.0, 14.0, 0.0, 0.0, 0.0, 0.0], 86.17536, heat::NC5H12, 1.197),
    row("C6H14_2MP", "2-methylpentane", [6.0, 14.0, 0.0, 0.0, 0.0, 0.0], 86.17536, heat::NC5H12, 1.197),
    row("C6H14_3MP", "3-methylpentane", [6.0, 14.0, 0.0, 0.0, 0.0, 0.0], 86.17536, heat::NC5H12, 1.197),
    row("C6H14_22DMB", "2,2-dimethylbutane", [6.0, 14.0, 0.0, 0.0, 0.0, 0.0], 86.17536, heat::NC5H12, 1.197),
    row("C6H14_23DMB", "2,3-dimethylbutane", [6.0, 14.0, 0.0, 0.0, 0.0, 0.0], 86.17536, heat::NC5H12, 1.197),
    row("nC7H16", "n-heptane", [7.0, 16.0, 0.0, 0.0, 0.0, 0.0], 100.20194, heat::NC7H16, 1.0),
    row("nC8H18", "n-octane", [8.0, 18.0, 0.0, 0.0, 0.0, 0.0], 114.22852, heat::NC8H18, 1.0),
    row("nC9H20", "n-nonane", [9.0, 20.0, 0.0, 0.0, 0.0, 0.0], 128.2551, heat::NC8H18, 1.125),
    row("nC10H22", "n-decane", [10.0, 22.0, 0.0, 0.0, 0.0, 0.0], 142.28168, heat::NC8H18, 1.25),
    row("C2H4", "ethylene", [2.0, 4.0, 0.0, 0.0, 0.0, 0.0], 28.05316, heat::C2H4, 1.0),
    row("C3H6", "propylene", [3.0, 6.0, 0.0, 0.0, 0.0, 0.0], 42.07974, heat::C3H6, 1.0),
    row("C4H8_1", "1-butene", [4.0, 8.0, 0.0, 0.0, 0.0, 0.0], 56.10632, heat::C4H8_1, 1.0),
    row("C4H8_cis2", "cis-2-butene", [4.0, 8.0, 0.0, 0.0, 0.0, 0.0], 56.10632, heat::C4H8_CIS2, 1.0),
    row("C4H8_trans2", "trans-2-butene", [4.0, 8.0, 0.0, 0.0, 0.0, 0.0], 56.10632, heat::C4H8_TRANS2, 1.0),
    row("iC4H8", "isobutylene", [4.0, 8.0, 0.0, 0.0, 0.0, 0.0], 56.10632, heat::IC4H8, 1.0),
    row("C5H10_1", "1-pentene", [5.0, 10.0, 0.0, 0.0, 0.0, 0.0], 70.1329, heat::C5H10_1, 1.0),
    row("C3H4", "propadiene", [3.0, 4.0, 0.0, 0.0, 0.0, 0.0], 40.06386, heat::C3H4, 1.0),
    row("C4H6_12", "1,2-butadiene", [4.0, 6.0, 0.0, 0.0, 0.0, 0.0], 54.09044, heat::C4H6_13, 1.0),
    row("C4H6_13", "1,3-butadiene", [4.0, 6.0, 0.0, 0.0, 0.0, 0.0], 54.09044, heat::C4H6_13, 1.0),
    row("C2H2", "acetylene", [2.0, 2.0, 0.0, 0.0, 0.0, 0.0], 26.03728, heat::C2H2, 1.0),
    row("cycC5H10", "cyclopentane", [5.0, 10.0, 0.0, 0.0, 0.0, 0.0], 70.1329, heat::CYCC5H10, 1.0),
    row("mcycC5", "methylcyclopentane", [6.0, 12.0, 0.0, 0.0, 0.0, 0.0], 84.15948, heat::CYCC6H12, 1.0),
    row("ecycC5", "ethylcyclopentane", [7.0, 14.0, 0.0, 0.0, 0.0, 0.0], 98.18606, heat::CYCC6H12, 1.166667),
    row("cycC6H12", "cyclohexane", [6.0, 12.0, 0.0, 0.0, 0.0, 0.0], 84.15948, heat::CYCC6H12, 1.0),
    row("mcycC6", "methylcyclohexane", [7.0, 14.0, 0.0, 0.0, 0.0, 0.0], 98.18606, heat::CYCC6H12, 1.166667),
    row("ecycC6", "ethylcyclohexane", [8.0, 16.0, 0.0, 0.0, 0.0, 0.0], 112.21264, heat::CYCC6H12, 1.333333),
    row("C6H6", "benzene", [6.0, 6.0, 0.0, 0.0, 0.0, 0.0], 78.11184, heat::C6H6, 1.0),
    row("C7H8", "toluene", [7.0, 8.0, 0.0, 0.0, 0.0, 0.0], 92.13842, heat::C7H8, 1.0),
    row("C8H10_eb", "ethylbenzene", [8.0, 10.0, 0.0, 0.0, 0.0, 0.0], 106.165, heat::C8H10_EB, 1.0),
    row("C8H10_ox", "o-xylene", [8.0, 10.0, 0.0, 0.0, 0.0, 0.0], 106.165, heat::C8H10_EB, 1.0),
    row("CH3OH", "methanol", [1.0, 4.0, 1.0, 0.0, 0.0, 0.0], 32.04186, heat::CH3OH, 1.0),
    row("CH3SH", "methanethiol", [1.0, 4.0, 0.0, 0.0, 1.0, 0.0], 48.10746, heat::CH3OH, 1.1),
    row("H2", "hydrogen", [0.0, 2.0, 0.0, 0.0, 0.0, 0.0], 2.01588, heat::H2, 1.0),
    row("H2O", "water", [0.0, 2.0, 1.0, 0.0, 0.0, 0.0], 18.01528, species::H2O, 1.0),
    row("H2S", "hydrogen sulphide", [0.0, 2.0, 0.0, 0.0, 1.0, 0.0], 34.08088, heat::H2S, 1.0),
    row("NH3", "ammonia", [0.0, 3.0, 0.0, 1.0, 0.0, 0.0], 17.03052, heat::NH3, 1.0),
    row("HCN", "hydrogen cyanide", [1.0, 1.0, 0.0, 1.0, 0.0, 0.0], 27.02534, heat::HCN, 1.0),
    row("CO", "carbon monoxide", [1.0, 0.0, 1.0, 0.0, 0.0, 0.0], 28.0101, species::CO, 1.0),
    row("COS", "carbonyl sulphide", [1.0, 0.0, 1.0, 0.0, 1.0, 0.0], 60.0751, heat::COS, 1.0),
    row("CS2", "carbon disulphide", [1.0, 0.0, 0.0, 0.0, 2.0, 0.0], 76.1407, heat::CS2, 1.0),
    row("He", "helium", [0.0, 0.0, 0.0, 0.0, 0.0, 1.0], 4.002602, species::AR, 1.0),
    row("Ne", "neon", [0.0, 0.0, 0.0, 0.0, 0.0, 1.0], 20.1797, species::AR, 1.0),
    row("Ar", "argon", [0.0, 0.0, 0.0, 0.0, 0.0, 1.0], 39.948, species::AR, 1.0),
    row("N2", "nitrogen", [0.0, 0.0, 0.0, 2.0, 0.0, 0.0], 28.0134, species::N2, 1.0),
    row("O2", "oxygen", [0.0, 0.0, 2.0, 0.0, 0.0, 0.0], 31.9988, species::O2, 1.0),
    row("CO2", "carbon dioxide", [1.0, 0.0, 2.0, 0.0, 0.0, 0.0], 44.0095, species::CO2, 1.0),
    row("SO2", "sulphur dioxide", [0.0, 0.0, 2.0, 0.0, 1.0, 0.0], 64.0638, species::SO2, 1.0),
    row("nC11H24", "n-undecane", [11.0, 24.0, 0.0, 0.0, 0.0, 0.0], 156.30826, heat::NC8H18, 1.375),
    row("nC12H26", "n-dodecane", [12.0, 26.0, 0.0, 0.0, 0.0, 0.0], 170.33484, heat::NC8H18, 1.5),
    row("nC13H28", "n-tridecane", [13.0, 28.0, 0.0, 0.0, 0.0, 0.0], 184.36142, heat::NC8H18, 1.625),
    row("nC14H30", "n-tetradecane", [14.0, 30.0, 0.0, 0.0, 0.0, 0.0], 198.388, heat::NC8H18, 1.75),
    row("nC15H32", "n-pentadecane", [15.0, 32.0, 0.0, 0.0, 0.0, 0.0], 212.41458, heat::NC8H18, 1.875),
];

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn molar_masses_are_those_of_their_atoms() {
        // Source: ISO 6976:2016 Table A.1 atomic masses.
        for component in Component::all() {
            let Row { atoms, grams, key, .. } = component.row();
            let sum = 12.0107 * atoms.carbon
                + 1.00794 * atoms.hydrogen
                + 15.9994 * atoms.oxygen
                + 14.0067 * atoms.nitrogen
                + 32.065 * atoms.sulphur;
            if atoms.inert == 0.0 {
                assert!((sum - grams).abs() < 2e-4, "{key}: {sum} against {grams}");
            }
        }
    }

    #[test]
    fn keys_are_unique() {
        let keys: std::collections::BTreeSet<_> = Component::all().map(Component::key).collect();
        assert_eq!(keys.len(), COMPONENTS);
    }
}

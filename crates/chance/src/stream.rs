//! Random streams that are named, and evenly spread points for smooth averages.
//!
//! A stream is known by a seed and a name ("oven 2 stops"): adding or removing one leaves every
//! other as it was, so two variants of a works can be compared on the same luck.

use crate::special::normal_quantile;
use rand_core::Rng;
use rand_pcg::Pcg64;

/// 2⁻⁵².
const STEP: f64 = 1.0 / 4_503_599_627_370_496.0;

/// A random stream (PCG XSL RR 128/64, O'Neill 2014) told apart by seed and name.
#[derive(Debug, Clone)]
pub struct Stream {
    pcg: Pcg64,
}

impl Stream {
    /// The stream of this name under this seed.
    pub fn new(seed: u64, name: &str) -> Self {
        let mut mix = SplitMix(seed ^ fnv_1a(name.as_bytes()).rotate_left(32));
        let state = mix.wide();
        // The name picks the increment too, so two names never share a sequence.
        let mut own = SplitMix(fnv_1a(name.as_bytes()));
        Self {
            pcg: Pcg64::new(state, own.wide()),
        }
    }

    /// The next 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.pcg.next_u64()
    }

    /// Uniform, strictly between 0 and 1: the middles of 2⁵² equal steps.
    pub fn uniform(&mut self) -> f64 {
        ((self.bits() >> 12) as f64 + 0.5) * STEP
    }

    /// Standard normal, by inversion: one uniform gives one normal, larger for larger.
    pub fn normal(&mut self) -> f64 {
        normal_quantile(self.uniform())
    }

    /// A whole number from 0 to `count` − 1, each alike (Lemire 2019, without bias); 0 for 0.
    pub fn index(&mut self, count: u64) -> u64 {
        if count == 0 {
            return 0;
        }
        let least = count.wrapping_neg() % count;
        loop {
            let product = u128::from(self.bits()) * u128::from(count);
            if product as u64 >= least {
                return (product >> 64) as u64;
            }
        }
    }

    /// Puts the items in random order (Fisher & Yates).
    pub fn shuffle<T>(&mut self, items: &mut [T]) {
        for last in (1..items.len()).rev() {
            items.swap(last, self.index(last as u64 + 1) as usize);
        }
    }
}

/// FNV-1a of 64 bits (Fowler, Noll & Vo; IETF draft-eastlake-fnv).
pub fn fnv_1a(bytes: &[u8]) -> u64 {
    bytes.iter().fold(0xcbf2_9ce4_8422_2325, |hash, byte| {
        (hash ^ u64::from(*byte)).wrapping_mul(0x0000_0100_0000_01b3)
    })
}

/// `SplitMix64` (Steele, Lea & Flood 2014), to spread a seed over all bits.
struct SplitMix(u64);

impl SplitMix {
    fn next(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        z ^ (z >> 31)
    }

    fn wide(&mut self) -> u128 {
        (u128::from(self.next()) << 64) | u128::from(self.next())
    }
}

/// Points spread evenly over the unit cube: the Kronecker sequence by the powers of the
/// generalised golden ratio, the root of x^(d+1) = x + 1 (Roberts 2018, *The unreasonable
/// effectiveness of quasirandom sequences*; for d = 1 it is Weyl's golden-ratio sequence).
#[derive(Debug, Clone)]
pub struct EvenPoints {
    steps: Vec<f64>,
    shift: Vec<f64>,
}

impl EvenPoints {
    /// A sequence in as many dimensions as `shift` has entries, each moved round the unit circle
    /// by its entry. Several random shifts give the standard error of an average (Cranley &
    /// Patterson 1976).
    pub fn new(shift: &[f64]) -> Self {
        let ratio = golden_ratio(shift.len());
        let mut step = 1.0;
        let next = |_| {
            step /= ratio;
            step
        };
        Self {
            steps: (0..shift.len()).map(next).collect(),
            shift: shift.to_vec(),
        }
    }

    /// Coordinate `axis` of point `index`, strictly inside (0, 1).
    pub fn coordinate(&self, index: u64, axis: usize) -> f64 {
        let turns = self.shift[axis] + (index + 1) as f64 * self.steps[axis];
        (turns - libm::floor(turns)).clamp(STEP, 1.0 - STEP)
    }
}

/// The root above 1 of x^(d+1) = x + 1, by the contraction x ← (1 + x)^(1/(d+1)).
fn golden_ratio(dimensions: usize) -> f64 {
    let power = 1.0 / (dimensions as f64 + 1.0);
    (0..64).fold(2.0, |x, _| libm::pow(1.0 + x, power))
}

/// A good lattice of 251 points in up to six dimensions, moved by a random shift and folded.
///
/// Rank-1 lattice rule whose generator was built component by component against the worst case
/// of smooth periodic functions (Sloan & Reztsov 2002); the fold (the baker's map, Hickernell
/// 2002, *Obtaining O(N^(−2+ε)) convergence for lattice quadrature rules*) makes any smooth
/// function periodic. For smooth averages it is far closer than `EvenPoints` of the same size.
///
/// The generator is extensible: the points in fewer axes are those in more, looked at from above.
#[derive(Debug, Clone, Copy)]
pub struct Lattice;

impl Lattice {
    /// Number of points.
    pub const POINTS: usize = 251;
    /// The generator: one multiplier for each axis.
    pub const GENERATOR: [u64; 6] = [1, 70, 19, 97, 55, 57];

    /// Coordinate `axis` (below six) of point `index`, strictly inside (0, 1), after moving the
    /// axis by its `shift`. Independent uniform shifts make every point uniform.
    pub fn coordinate(index: usize, axis: usize, shift: f64) -> f64 {
        let points = Self::POINTS as u64;
        let step = index as u64 % points * Self::GENERATOR[axis] % points;
        let turns = shift + step as f64 / points as f64;
        let place = turns - libm::floor(turns);
        (1.0 - (2.0 * place - 1.0).abs()).clamp(STEP, 1.0 - STEP)
    }
}

//! Random numbers with a seed.

/// A small random number generator (splitmix64, Steele, Lea and Flood 2014): same seed, same numbers.
#[derive(Clone, Debug)]
pub struct Random(u64);

impl Random {
    /// Starts the sequence of a seed.
    pub fn new(seed: u64) -> Self {
        Self(seed)
    }

    /// The next 64 random bits.
    pub fn bits(&mut self) -> u64 {
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        z ^ (z >> 31)
    }

    /// A whole number from 0 to below `n`; 0 where `n` is 0.
    pub fn below(&mut self, n: usize) -> usize {
        if n == 0 { 0 } else { usize::try_from(self.bits() % (n as u64)).unwrap_or(0) }
    }

    /// A number from 0 to below 1, with 53 random bits.
    pub fn unit(&mut self) -> f64 {
        (self.bits() >> 11) as f64 / (1u64 << 53) as f64
    }

    /// A number between two others.
    pub fn between(&mut self, low: f64, high: f64) -> f64 {
        low + (high - low) * self.unit()
    }

    /// A number spread evenly over the decades between two positive ones.
    pub fn decades(&mut self, low: f64, high: f64) -> f64 {
        self.between(low.ln(), high.ln()).exp()
    }

    /// True once in `n`.
    pub fn once_in(&mut self, n: usize) -> bool {
        self.below(n) == 0
    }

    /// One of these.
    pub fn pick<T: Copy>(&mut self, list: &[T]) -> T {
        list[self.below(list.len())]
    }

    /// The value of `make`, half the time.
    pub fn maybe<T>(&mut self, make: impl FnOnce(&mut Self) -> T) -> Option<T> {
        if self.once_in(2) { Some(make(self)) } else { None }
    }
}
